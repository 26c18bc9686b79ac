//! Every text of the window goes through `text`: in the pseudo-locale all are changed.

use super::bench::Bench;
use egui::{Key, Modifiers};
use setterwright::text::{Locale, set_locale};

/// Names that are data and not texts: typed by people, or numbers.
fn is_data(name: &str, bench: &Bench) -> bool {
    let plan = bench.plan();
    let catalogue = &bench.app().working.catalogue;
    let no_word = name.chars().filter(|c| c.is_alphabetic()).nth(2).is_none();
    let named = plan.parts.iter().any(|p| name.starts_with(p.name.as_str()))
        || plan.lots.iter().any(|l| name == l.name)
        || plan.profile.name == name
        || plan.profile.segments.iter().any(|s| s.note == name)
        || plan.title == name
        || bench
            .app()
            .shop_draft()
            .is_some_and(|d| d.state.name == name)
        || catalogue
            .furnaces
            .values()
            .any(|(_, f)| f.forbidden.iter().any(|spot| spot.name == name))
        || catalogue.setters.values().any(|(_, s)| s.name == name)
        || catalogue.posts.values().any(|(_, s)| s.name == name)
        || catalogue.supports.values().any(|(_, s)| s.name == name)
        || catalogue.furnaces.values().any(|(_, s)| s.name == name)
        || catalogue.feedstocks.values().any(|(_, s)| s.name == name)
        || catalogue.gases.values().any(|(_, s)| s.name == name);
    // egui's own name of a panel's edge.
    let edge = name == "Resize panel";
    edge || no_word || named || name.contains(".load.ron")
}

fn every_name_is_said(bench: &Bench, where_: &str) {
    let plain: Vec<_> = bench
        .names()
        .into_iter()
        .filter(|name| !name.contains('[') && !is_data(name, bench))
        .collect();
    assert!(plain.is_empty(), "{where_}: {plain:?}");
    assert!(
        bench.names().iter().filter(|n| n.contains('[')).count() > 10,
        "{where_}"
    );
}

#[test]
fn no_text_of_the_forecast_goes_round_the_texts() {
    set_locale(Locale::Pseudo);
    let mut bench = Bench::forecasting("clean", [2600.0, 1300.0]);
    bench.keys(Modifiers::COMMAND, Key::Num2);
    bench.wait("the forecast", |app| !app.is_forecasting());
    every_name_is_said(&bench, "profile board with its forecast");
    bench.click("Forecast over time");
    every_name_is_said(&bench, "forecast over time");
    bench.click("Forecast in figures");
    every_name_is_said(&bench, "forecast in figures");
    set_locale(Locale::English);
}

#[test]
fn no_text_of_a_board_goes_round_the_texts() {
    set_locale(Locale::Pseudo);
    let mut bench = Bench::demo("stop");
    every_name_is_said(&bench, "load board");
    bench.keys(Modifiers::COMMAND, Key::A);
    every_name_is_said(&bench, "with a selection");
    bench.keys(Modifiers::COMMAND, Key::T);
    every_name_is_said(&bench, "placements as a table");
    bench.keys(Modifiers::COMMAND, Key::K);
    every_name_is_said(&bench, "palette");
    bench.key(Key::Escape);
    bench.keys(Modifiers::COMMAND, Key::Num2);
    every_name_is_said(&bench, "profile board");
    bench.keys(Modifiers::COMMAND, Key::Num3);
    every_name_is_said(&bench, "library");
    bench.demo_shop();
    bench.keys(Modifiers::COMMAND, Key::Num6);
    let tabs = [
        "Furniture stock",
        "People and roles",
        "Balances",
        "Written procedures",
        "Furnaces",
        "Hours and prices",
    ];
    for tab in tabs {
        bench.click(&format!("Show the {tab}"));
        every_name_is_said(&bench, tab);
    }
    set_locale(Locale::English);
}
