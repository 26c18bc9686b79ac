//! Lots from a table, what was done to them, and what is known of the furnace.

use super::bench::{Bench, in_both_locales};
use egui::{Key, Modifiers};
use setterwright::app::cleared_board::{Clearance, clearance};
use setterwright::app::state::{Board, Worst};
use setterwright::catalogue::{CalibrationKind, Severity};
use setterwright::load::{Edit, Lot};
use setterwright::review::{Finding, Missing, Subject};

impl Bench {
    fn show_cleared(&mut self) {
        self.keys(Modifiers::COMMAND, Key::Num5);
        assert_eq!(self.app().view.board, Board::Cleared);
    }
}

#[test]
fn lots_are_taken_from_pasted_cells_as_one_step() {
    in_both_locales(|| {
        let mut bench = Bench::demo("clean");
        bench.show_cleared();
        let before = bench.bytes();
        let part = bench.plan().parts[0].name.clone();
        bench.focus_field("Cells");
        bench.write(&format!(
            "lot\tpart\tpieces\tgreen mass (g)\nZ1\t{part}\t4\t51,2\nZ2\t{part}\tfour\t1\n"
        ));
        bench.click("Take the lots");
        let taken = bench.plan().lots.last().unwrap().clone();
        assert_eq!((taken.name.as_str(), taken.count), ("Z1", 4));
        assert_eq!(taken.green_g, Some(51.2));
        assert!(bench.shows("1 things were not"));
        assert!(bench.shows("\"four\" is no count"));
        // Other cells: what was said of these is gone.
        bench.focus_field("Cells");
        bench.write("lot\tpart\n");
        assert!(!bench.shows("\"four\" is no count"));
        bench.menu("Edit", "Undo");
        assert_eq!(bench.bytes(), before);
    });
}

#[test]
fn a_lots_way_is_typed_and_shows_whether_it_is_cleared() {
    let mut bench = Bench::demo("clean");
    bench.show_cleared();
    assert!(bench.shows("Cleared to load"));
    let lot = bench.plan().lots[0].clone();
    let part = bench.plan().part(lot.part).unwrap().name.clone();
    bench.click(&format!("Lot {}: {} pieces of {part}", lot.name, lot.count));
    bench.fill("Bath ended at", "2026-11-20 14:30");
    bench.fill("Bath temperature", "45 °C");
    let bath = bench.plan().lots[0].bath.clone().unwrap();
    assert_eq!(bath.ended.as_deref(), Some("2026-11-20 14:30"));
    assert_eq!(bath.temp_c, Some(45.0));
    // A dry mass above the green one cannot be.
    bench.fill("Dry mass", "1 kg");
    assert!(bench.shows("Not cleared"), "{:?}", bench.names());
}

#[test]
fn the_furnaces_state_is_changed_and_kept_in_the_shop_folder() {
    in_both_locales(|| {
        let mut bench = Bench::demo("clean");
        bench.show_cleared();
        assert!(bench.shows("Choose the folder first"));
        bench.demo_shop();
        bench.show_cleared();
        bench.click("Trap and last load");
        bench.fill("Trap holds", "120 g");
        assert!(bench.shows("not kept yet"));
        let furnace = bench.plan().load.furnace.clone();
        let fill = |bench: &Bench| {
            let shop = bench.app().working.shop.clone().unwrap();
            let state = shop.furnaces.iter().find(|f| f.furnace == furnace);
            state.and_then(|f| f.trap_fill_g)
        };
        assert_ne!(fill(&bench), Some(120.0));
        bench.click("Keep the changes");
        assert_eq!(fill(&bench), Some(120.0), "{:?}", bench.app().modal);
        assert!(!bench.shows("not kept yet"));
        // Another program's change since is not written over.
        let (dir, _) = bench.app().shop.clone().unwrap();
        let path = dir.join("shop.ron");
        let text = std::fs::read_to_string(&path).unwrap();
        std::fs::write(&path, format!("{text}\n")).unwrap();
        bench.fill("Trap holds", "130 g");
        bench.click("Keep the changes");
        assert!(bench.app().modal.is_some());
        assert_eq!(std::fs::read_to_string(&path).unwrap(), format!("{text}\n"));
    });
}

#[test]
fn a_lot_with_a_caution_is_not_said_to_be_within_its_limits() {
    let mut bench = Bench::demo("cautions");
    assert!(!bench.findings("extraction-low").is_empty());
    bench.show_cleared();
    assert!(bench.shows("No stop; to be looked at first: Extraction low"));
    assert!(!bench.shows("Cleared to load"));
}

#[test]
fn calibrations_of_one_kind_are_kept_apart() {
    let mut bench = Bench::demo("clean");
    let shop = bench.demo_shop();
    let path = shop.join("shop.ron");
    let text = std::fs::read_to_string(&path).unwrap();
    let furnace = format!("furnace: \"{}\",", bench.plan().load.furnace);
    let at = text.find(&furnace).unwrap();
    let begin = at + text[at..].find("calibrations: [").unwrap() + "calibrations: [".len();
    let two = "(kind: PressureGauges, what: \"chamber\", done: \"2026-06-30\", due: \
               \"2027-06-30\"), (kind: PressureGauges, what: \"pump\", due: \"2027-05-31\"), ";
    std::fs::write(&path, format!("{}{two}{}", &text[..begin], &text[begin..])).unwrap();
    bench.demo_shop_again(&shop);
    bench.show_cleared();
    bench.click("Calibrations");
    bench.fill("Pressure gauges: pump", "2027-08-31");
    bench.click("Keep the changes");
    let kept = bench.app().working.shop.clone().unwrap();
    let furnace = bench.plan().load.furnace.clone();
    let state = kept.furnaces.iter().find(|f| f.furnace == furnace).unwrap();
    let gauges: Vec<_> = state
        .calibrations
        .iter()
        .filter(|c| c.kind == CalibrationKind::PressureGauges)
        .map(|c| (c.what.as_str(), c.done.as_deref(), c.due.as_str()))
        .collect();
    assert_eq!(
        gauges,
        [
            ("chamber", Some("2026-06-30"), "2027-06-30"),
            ("pump", None, "2027-08-31")
        ],
        "{:?} {}",
        bench.app().modal,
        bench.message()
    );
}

#[test]
fn what_several_checks_want_of_a_lot_is_counted_once() {
    let bench = Bench::demo("clean");
    let lot = bench.plan().lots[0].id;
    let mut review = bench.app().review().unwrap().clone();
    assert_eq!(clearance(&review, bench.plan(), lot), Clearance::Cleared);
    for what in ["dry mass", "green mass", "dry mass"] {
        review.missing.push(Missing {
            check: "extraction-low",
            subjects: vec![Subject::Lot(lot)],
            what: what.to_owned(),
        });
    }
    let wanted = ["dry mass", "green mass"].map(str::to_owned);
    let told = clearance(&review, bench.plan(), lot);
    assert_eq!(told, Clearance::NotEvaluated(wanted.to_vec()));
}

#[test]
fn the_furnace_panel_stays_where_it_is_at_the_first_edit() {
    let mut bench = Bench::demo("clean");
    bench.demo_shop();
    bench.show_cleared();
    bench.click("Trap and last load");
    let before = bench.find("Leak and dew point").rect();
    bench.fill("Trap holds", "120 g");
    assert!(bench.shows("not kept yet"));
    assert_eq!(bench.find("Leak and dew point").rect(), before);
}

#[test]
fn the_parts_of_a_lot_with_a_stop_carry_its_mark() {
    let mut bench = Bench::demo("clean");
    let lot = bench.plan().lots[0].clone();
    let wet = Lot {
        dry_g: Some(1000.0),
        ..Lot::clone(&lot)
    };
    assert!(bench.harness.state_mut().edit(&Edit::ChangeLot(wet)));
    bench.run();
    let review = bench.app().review().unwrap();
    let worst = Worst::of(bench.plan(), review);
    let about = |f: &&Finding| f.subjects.contains(&Subject::Lot(lot.id));
    let stops = review.findings.iter().filter(about);
    assert!(stops.filter(|f| f.severity == Severity::Stop).count() > 0);
    let mut mine = 0;
    for (level, placement) in bench.plan().placements() {
        if placement.item.lot() == Some(lot.id) {
            mine += 1;
            assert_eq!(worst.placements.get(&placement.id), Some(&Severity::Stop));
            assert_eq!(worst.levels.get(&level.id), Some(&Severity::Stop));
        }
    }
    assert!(mine > 0);
}
