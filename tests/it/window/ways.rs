//! Questions beyond the forecast on the profile board: a run that was stopped, a shorter program,
//! cost, figures from measurements.

use super::bench::{Bench, demo_loads, in_both_locales, plain};
use egui::{Key, Modifiers};
use egui_kittest::kittest::{By, NodeT as _, Queryable as _};
use setterwright::app::state::App;
use setterwright::files;
use setterwright::forecast::constants::ZERO_C;
use setterwright::forecast::densify::{ln_theta, sigmoid};
use setterwright::forecast::heat::Place;
use setterwright::forecast::inputs::{Case, Pace, Program, Segment, Settings};
use setterwright::forecast::plan::{
    Asked, PlanForecast, empty_load, furnace_heat, of, vacuum_hold,
};
use setterwright::forecast::run::{Job, run as heat};
use setterwright::load::{Edit, Sizes};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::sync::Arc;

const SIZE: [f32; 2] = [2200.0, 1400.0];

impl Bench {
    /// The profile board with a tab of it.
    fn asking(name: &str, tab: &str) -> Bench {
        let mut bench = Bench::forecasting(name, SIZE);
        bench.keys(Modifiers::COMMAND, Key::Num2);
        bench.wait("the forecast", |app| !app.is_forecasting());
        bench.click(tab);
        bench
    }

    fn answered(&mut self) {
        self.wait("the answer", |app| !app.is_working_on_a_question());
    }

    fn write_file(&self, name: &str, text: &str) -> PathBuf {
        let path = self.folder.path().join(name);
        std::fs::write(&path, text).unwrap();
        path
    }

    /// Where something lies whose name begins so.
    fn rect_of(&self, begins: &str) -> egui::Rect {
        let mut all = self.harness.query_all(By::new());
        let found = all.find(|n| {
            let name = n.accesskit_node().label();
            name.is_some_and(|name| plain(&name).starts_with(begins))
        });
        found.expect(begins).rect()
    }

    /// Holds of the plan, min.
    fn holds(&self) -> Vec<f64> {
        let segments = self.plan().profile.segments.iter();
        segments.map(|s| s.hold_min).collect()
    }
}

fn forecast<T>(file: &Path, then: impl FnOnce(&PlanForecast) -> T) -> T {
    let (plan, working) = files::open_load(file, None).unwrap();
    let sizes = Sizes::new(&plan, &working.catalogue);
    let asked = Asked {
        plan: &plan,
        catalogue: &working.catalogue,
        shop: working.shop.as_deref(),
        sizes: &sizes,
    };
    then(&of(&asked, &|| false).unwrap())
}

#[test]
fn a_stopped_run_is_told_by_time_by_temperature_and_by_log() {
    in_both_locales(|| {
        let mut bench = Bench::asking("clean", "A run that was stopped");
        assert!(bench.shows("Say when the run stopped"));
        bench.fill("Stopped after", "5:00");
        bench.answered();
        for words in [
            "stopped 300 minutes after its start",
            "the coldest place has",
            "Go on",
            "Repeat the hold",
            "Cool, load again",
            "density so far",
            "program ends after",
            "never permission to open",
        ] {
            assert!(bench.shows(words), "{words}: {:?}", bench.names());
        }
        assert!(bench.shows("as hot as at the stop"));
        bench.fill("Furnace stands off for", "60 min");
        bench.answered();
        assert!(
            bench.shows("has stood off for 60 min"),
            "{:?}",
            bench.names()
        );
        bench.fill("Furnace stands off for", "0 min");
        bench.answered();
        assert!(bench.shows("as hot as at the stop"));
        bench.click("Setpoint in a segment");
        bench.fill("Setpoint then", "900 °C");
        bench.answered();
        assert!(bench.shows("900 °C is not on its way"));
        bench.fill("Setpoint then", "100 °C");
        bench.answered();
        assert!(bench.shows("in segment 1"), "{:?}", bench.names());
        assert!(bench.shows("setpoint 100 °C; the coldest place has"));
        assert!(!bench.shows("first minute at that setpoint"));
        // At the setpoint of a hold: what is doubtful is no log's.
        let held = setterwright::profile::Segment {
            hold_min: 30.0,
            ..bench.plan().profile.segments[0].clone()
        };
        let setpoint = format!("{} °C", held.to_c);
        assert!(bench.harness.state_mut().edit(&Edit::ChangeSegment(held)));
        bench.fill("Setpoint then", &setpoint);
        bench.answered();
        assert!(bench.shows("first minute at that setpoint"));
        assert!(!bench.shows("Doubtful in the log"), "{:?}", bench.names());
        // So far into it, or farther than it goes.
        let minutes = |bench: &Bench| {
            let said = |minute: &u32| bench.shows(&format!("stopped {minute} minutes after"));
            (0..3000).find(said).unwrap()
        };
        let first = minutes(&bench);
        bench.fill("So long into its hold", "20 min");
        bench.answered();
        assert!(!bench.shows("first minute at that setpoint"));
        assert!(
            minutes(&bench).abs_diff(first + 20) <= 1,
            "{:?}",
            bench.names()
        );
        bench.fill("So long into its hold", "31 min");
        bench.answered();
        assert!(
            bench.shows("for 30 min: give minutes"),
            "{:?}",
            bench.names()
        );
        bench.fill("Setpoint then", "100 °C");
        bench.answered();
        assert!(bench.shows("does not hold 100 °C"), "{:?}", bench.names());
    });
    let mut bench = Bench::asking("clean", "A run that was stopped");
    let text = forecast(&demo_loads().join("clean.load.ron"), |made| {
        let run = &made.forecast.nominal.run;
        let mut text = "time_s,temperature_c\n".to_owned();
        for minute in 0..=300 {
            let s = f64::from(minute) * 60.0;
            writeln!(text, "{s},{:.2}", run.at(run.border.chamber, s) - ZERO_C).unwrap();
        }
        text
    });
    bench.click("Log of the chamber");
    bench.answer(&[bench.write_file("log.csv", &text)]);
    bench.click("Open the log…");
    bench.run();
    bench.answered();
    assert!(bench.shows("stopped 300 minutes after its start"));
    // A log tells the chamber, and no setpoint.
    let names = bench.names();
    let told = |word: &str| {
        let mut names = names.iter();
        names.any(|name| name.starts_with(word) && name.contains("the coldest place has"))
    };
    assert!(told("chamber ") && !told("setpoint "), "{names:?}");
    bench.fill("Taken up to its minute", "200 min");
    bench.answered();
    assert!(bench.shows("stopped 200 minutes after its start"));
    assert!(
        bench.shows("up to minute 200, as was said"),
        "{:?}",
        bench.names()
    );
    assert!(bench.shows("% is asked: "), "{:?}", bench.names());
    // Who knows which segment ran says so.
    bench.choose("Segment that ran last by the log", "segment 2");
    bench.click("Show where the load is");
    bench.answered();
    assert!(bench.shows("in segment 2"), "{:?}", bench.names());
    // A file that is none, and an edit: both are said.
    bench.answer(&[bench.write_file("words.csv", "time_s,temperature_c\n0,hot\n60,hotter\n")]);
    bench.click("Open the log…");
    bench.run();
    bench.answered();
    assert!(bench.shows("words.csv: "), "{:?}", bench.names());
    let first = bench.plan().profile.segments[0].clone();
    let longer = setterwright::profile::Segment {
        hold_min: first.hold_min + 5.0,
        ..first
    };
    assert!(bench.harness.state_mut().edit(&Edit::ChangeSegment(longer)));
    bench.run();
    assert!(bench.shows("Of an earlier state of the plan or its records: ask again."));
}

#[test]
fn a_shorter_program_is_one_edit_or_a_draft_beside_the_load() {
    in_both_locales(|| {
        let mut bench = Bench::asking("clean", "A shorter program");
        assert!(bench.shows("changes nothing until you take it"));
        let before = bench.holds();
        bench.click("Search a shorter program");
        bench.answered();
        for words in [
            "could be",
            "One step shorter breaks",
            "by its clock the program takes",
        ] {
            assert!(bench.shows(words), "{words}: {:?}", bench.names());
        }
        assert_eq!(bench.holds(), before);
        let draft = bench.folder.path().join("draft.load.ron");
        bench.answer(std::slice::from_ref(&draft));
        bench.click("Save as a draft beside it…");
        bench.run();
        let (plan, _) = files::open_load(&draft, None).unwrap();
        assert!(plan.title.ends_with("(draft, shorter)"), "{}", plan.title);
        assert_eq!(bench.holds(), before);
        bench.click("Take it into the plan");
        let after = bench.holds();
        assert!(after.iter().sum::<f64>() < before.iter().sum());
        assert_eq!(
            after,
            plan.profile
                .segments
                .iter()
                .map(|s| s.hold_min)
                .collect::<Vec<_>>()
        );
        assert!(bench.shows("Of an earlier state of the plan or its records: ask again."));
        bench.keys(Modifiers::COMMAND, Key::Z);
        assert_eq!(bench.holds(), before);
    });
}

#[test]
fn a_search_can_be_stopped_and_says_what_it_lacks() {
    let mut bench = Bench::asking("large", "A shorter program");
    let before = bench.bytes();
    bench.find("Search a shorter program").click();
    bench.harness.step();
    bench.harness.step();
    assert!(bench.app().is_working_on_a_question());
    bench.find("Stop").click();
    bench.harness.step();
    bench.run();
    assert!(!bench.app().is_working_on_a_question());
    assert!(
        bench.message().contains("nothing is changed"),
        "{}",
        bench.message()
    );
    assert_eq!(bench.bytes(), before);

    // An empty load has no run that could be asked about: it says what is lacking and what to do.
    let mut bench = Bench::asking("clean", "A run that was stopped");
    bench.menu("File", "New load");
    bench.wait("the forecast", |app| !app.is_forecasting());
    for (tab, button) in [
        ("A run that was stopped", "Show where the load is"),
        ("A shorter program", "Search a shorter program"),
    ] {
        bench.click(tab);
        if bench.shows("Stopped after") {
            bench.fill("Stopped after", "5:00");
        } else {
            bench.click(button);
        }
        bench.answered();
        assert!(
            bench.shows("set parts out on a level"),
            "{tab}: {:?}",
            bench.names()
        );
    }

    // Without the state of the furnace there are no cases to keep limits in.
    let mut bench = Bench::asking("clean", "A shorter program");
    let working = &mut bench.harness.state_mut().working;
    let mut shop = setterwright::catalogue::ShopState::clone(working.shop.as_deref().unwrap());
    shop.furnaces.clear();
    working.shop = Some(Arc::new(shop));
    bench.run();
    bench.click("Search a shorter program");
    bench.answered();
    assert!(
        bench.shows("No shorter program is searched"),
        "{:?}",
        bench.names()
    );
    assert!(bench.shows("Lots and furnace."));
}

#[test]
fn cost_stands_in_a_table_and_what_has_no_price_says_so() {
    in_both_locales(|| {
        let mut bench = Bench::asking("clean", "Cost of the run");
        for words in [
            "electric energy",
            "argon",
            "EUR",
            "type the labour of the run above",
        ] {
            assert!(bench.shows(words), "{words}: {:?}", bench.names());
        }
        bench.fill("Labour of the run", "90 min");
        assert!(!bench.shows("type the labour of the run above"));
        assert!(bench.shows("90 min"));
        bench.harness.state_mut().working.shop = None;
        bench.run();
        assert!(bench.shows("the shop has set no prices"));
        assert!(bench.shows("no price of it"));
        assert!(!bench.shows("EUR"));
        bench.click("Prices are typed under Shop");
        assert_eq!(
            bench.app().view.board,
            setterwright::app::state::Board::Shop
        );
    });
}

/// A minute a row of the empty furnace with other losses than its record has.
fn empty_log(app: &App) -> String {
    let slug = &app.doc.plan().load.furnace;
    let mut furnace = furnace_heat(app.working.catalogue.furnace(slug).unwrap());
    furnace.loss_w_k *= 1.4;
    furnace.heat_j_k *= 1.2;
    let segment = |k_min: f64, c: f64| Segment {
        pace: Pace::Rate(k_min / 60.0),
        to_k: c + ZERO_C,
        hold_s: 3600.0,
        ..vacuum_hold()
    };
    let program = Program {
        start_k: 298.15,
        segments: vec![
            segment(3.0, 300.0),
            segment(5.0, 700.0),
            segment(5.0, 1100.0),
        ],
        after: vacuum_hold().atmosphere,
        fan_after: false,
        unload_k: 300.0,
        cool_max_s: 0.0,
    };
    let run = heat(&Job {
        load: &empty_load(),
        furnace: &furnace,
        gases: &[],
        program: &program,
        case: &Case::nominal(),
        settings: Settings::default(),
        start: None,
        prolong: false,
        cancelled: &|| false,
    })
    .unwrap();
    let mut text = "time_s,temperature_c,power_w\n".to_owned();
    for minute in 0..=(run.program_end_s / 60.0) as u32 {
        let s = f64::from(minute) * 60.0;
        let c = run.at(run.border.chamber, s) - ZERO_C;
        writeln!(text, "{s},{c:.2},{:.0}", run.power_at(s)).unwrap();
    }
    text
}

#[test]
fn a_fit_stands_beside_the_record_and_says_where_it_goes() {
    in_both_locales(|| {
        let mut bench = Bench::asking("clean", "Figures from measurements");
        assert!(bench.shows("Three runs that make the forecast yours"));
        let text = empty_log(bench.app());
        bench.answer(&[bench.write_file("empty.csv", &text)]);
        bench.click("Log of an empty run…");
        bench.run();
        bench.answered();
        for words in [
            "heat capacity of the chamber",
            "linear loss",
            "residual (root mean square)",
            "The record is not changed here",
            "loss_w_k: ",
        ] {
            assert!(bench.shows(words), "{words}: {:?}", bench.names());
        }
        let slug = bench.plan().load.furnace.clone();
        assert!(bench.shows(&slug));
        bench.click("Copy");
        bench.answer(&[bench.write_file("none.csv", "a,b\n1,2\n3,4\n")]);
        bench.click("Log of a run of this load…");
        bench.run();
        bench.answered();
        assert!(bench.shows("none.csv: "), "{:?}", bench.names());
    });
}

/// Densities of places of two runs by another curve than the record's.
fn pieces(runs: &[(&str, PathBuf)]) -> String {
    let mut csv = "load,lot,level,ring,density_pct\n".to_owned();
    for (name, file) in runs {
        forecast(file, |made| {
            let kinds = &made.prepared.keys.kinds;
            let kind = kinds
                .iter()
                .position(|k| k.name.contains("B-4711"))
                .unwrap();
            let matter = &made.prepared.inputs.matter[kind];
            let data = matter.sintering.clone().unwrap();
            let run = &made.forecast.nominal.run;
            let here = |n: &&(usize, &setterwright::forecast::heat::NodeAt)| {
                n.1.place == Place::Part(kind)
            };
            let nodes: Vec<_> = run.nodes.iter().enumerate().collect();
            let mut nodes = nodes.iter().filter(here);
            for (i, n) in [nodes.next().unwrap(), nodes.next_back().unwrap()] {
                let history: Vec<(f64, f64)> = run.series(*i).collect();
                let theta = ln_theta(&history, data.low.q_j_mol);
                let density = sigmoid(matter.density, data.asymptote.open, theta, -23.2, 1.6);
                let pct = 100.0 * density;
                writeln!(csv, "{name},B-4711,{},{},{pct:.3}", n.level + 1, n.zone + 1).unwrap();
            }
        });
    }
    csv
}

#[test]
fn measured_pieces_calibrate_or_say_why_not() {
    let mut bench = Bench::asking("clean", "Figures from measurements");
    // A second run that sinters at 60 K less.
    let clean = demo_loads().join("clean.load.ron");
    let (mut plan, working) = files::open_load(&clean, None).unwrap();
    let segments = &mut Arc::make_mut(&mut plan.profile).segments;
    let peak = segments.iter_mut().max_by(|a, b| a.to_c.total_cmp(&b.to_c));
    peak.unwrap().to_c -= 60.0;
    let cool = bench.folder.path().join("cool.load.ron");
    files::save_load(&cool, &plan, &working).unwrap();
    let text = pieces(&[("", clean.clone()), ("cool.load.ron", cool)]);
    bench.answer(&[bench.write_file("pieces.csv", &text)]);
    bench.click("Measured pieces…");
    bench.run();
    bench.answered();
    for words in [
        "calibrated from 4 pieces",
        "By the record",
        "root mean square of the differences",
        "The record is not changed here",
        "branch: (kj_mol: ",
    ] {
        assert!(bench.shows(words), "{words}: {:?}", bench.names());
    }
    let text = pieces(&[("", clean)]);
    bench.answer(&[bench.write_file("few.csv", &text)]);
    bench.click("Measured pieces…");
    bench.run();
    bench.answered();
    assert!(bench.shows("not calibrated."), "{:?}", bench.names());
}

#[test]
fn questions_are_in_a_menu_and_in_the_palette() {
    let mut bench = Bench::forecasting("clean", SIZE);
    bench.wait("the forecast", |app| !app.is_forecasting());
    for (typed, entry, says) in [
        ("stop", "Profile: run stopped", "Say when the run stopped"),
        ("short", "Profile: shorten", "Searches, segment by segment"),
        ("cost", "Profile: cost", "Cost of \""),
        ("cal", "Profile: fit and calibrate", "Three runs that make"),
        ("log", "Profile: run stopped", "Say when the run stopped"),
    ] {
        bench.keys(Modifiers::COMMAND, Key::Num1);
        bench.menu("Forecast", entry);
        assert!(bench.shows(says), "{entry}: {:?}", bench.names());
        bench.keys(Modifiers::COMMAND, Key::Num1);
        bench.keys(Modifiers::COMMAND, Key::K);
        bench.write(typed);
        assert!(bench.shows(entry), "{typed}: {:?}", bench.names());
        bench.key(Key::Escape);
    }
}

/// In a small window every tab can be reached, and the curve keeps a height in which it is read.
#[test]
fn the_curve_keeps_its_height_in_a_small_window() {
    in_both_locales(|| {
        let mut bench = Bench::forecasting("clean", [1024.0, 768.0]);
        bench.keys(Modifiers::COMMAND, Key::Num2);
        bench.wait("the forecast", |app| !app.is_forecasting());
        let window = egui::Rect::from_min_size(egui::Pos2::ZERO, egui::vec2(1024.0, 768.0));
        for tab in [
            "A run that was stopped",
            "A shorter program",
            "Cost of the run",
            "Figures from measurements",
            "Forecast in figures",
            "Segments",
        ] {
            bench.click(tab);
            let rect = bench.find(tab).rect();
            assert!(window.contains_rect(rect), "{tab} at {rect}");
            let curve = bench.rect_of("Setpoint curve: ");
            assert!(curve.height() >= 200.0, "{tab}: {curve}");
        }
        // No density for a powder without figures: the pane says why.
        let mut bench = Bench::asking("stop", "Forecast over time");
        assert!(
            bench.shows("how feedstock \"17-4ph-wax\" densifies"),
            "{:?}",
            bench.names()
        );
        bench.run();
    });
}
