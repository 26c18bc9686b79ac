//! A backlog in the window: made into loads in the background, shown, stopped, opened.

use super::bench::{Bench, demo_loads, in_both_locales, plain};
use setterwright::app::theme::LIGHT;
use std::time::{Duration, Instant};

impl Bench {
    /// The window with a backlog chosen: the demo's, or one of this text.
    fn with_backlog(name: &str, text: &str) -> Bench {
        let mut bench = Bench::sized("clean", [1600.0, 900.0]);
        let path = bench.folder.path().join(name);
        std::fs::write(&path, text).unwrap();
        bench.answer(&[path]);
        bench.menu("File", "Open a backlog…");
        bench.run();
        bench.click("How hard");
        let names = bench.names();
        let quick = names.iter().find(|n| plain(n).starts_with("Quick"));
        let quick = plain(quick.unwrap());
        bench.click(&quick);
        bench
    }

    fn make_loads(&mut self) {
        self.find("Make the loads").click();
        self.harness.step();
    }

    fn loads_made(&mut self) {
        self.wait("the loads", |app| !app.is_queueing());
    }
}

fn week() -> String {
    std::fs::read_to_string(demo_loads().join("week.backlog.ron")).unwrap()
}

/// Few pieces, so that it is quick: one lot late, one left over, one pinned.
const SMALL: &str = "(kind: \"backlog\", version: 1, bases: [(name: \"brackets\", file: \
    \"clean.load.ron\")], start: \"2026-11-30 06:00\", turnaround_min: 60, jobs: [\
    (lot: \"B-1\", part: \"bracket\", count: 6, due: Some(\"2026-11-30 07:00\"), cleared: true), \
    (lot: \"R-2\", part: \"ring\", count: 4, cleared: true, run: Some(1)), \
    (lot: \"B-4\", part: \"bracket\", count: 4)])";

#[test]
fn a_backlog_becomes_loads_and_one_is_opened() {
    in_both_locales(|| {
        let mut bench = Bench::with_backlog("small.backlog.ron", SMALL);
        bench.make_loads();
        bench.loads_made();
        for said in [
            "Run 1: brackets, 2026-11-30 06:00",
            "LATE by",
            "kept in this run",
            "not cleared, and no time is given",
            "Review: ",
            "Cautions that are not open in the base load: ",
            "1 run is planned. The review finds stops in it. 4 pieces are in no run.",
        ] {
            assert!(bench.shows(said), "{said}: {:?}", bench.names());
        }
        bench.click("Open run 1 as a load");
        assert!(
            bench.message().contains("is open as a new load"),
            "{}",
            bench.message()
        );
        let mut lots: Vec<&str> = bench.plan().lots.iter().map(|l| l.name.as_str()).collect();
        lots.sort_unstable();
        assert_eq!(lots, ["B-1", "R-2"]);
        assert_eq!(
            bench
                .plan()
                .placements()
                .filter(|(_, p)| p.item.is_production())
                .count(),
            10
        );
        // It is in no file yet: going on asks.
        assert!(bench.starred());
        bench.keys(egui::Modifiers::COMMAND, egui::Key::N);
        assert!(bench.shows("Drop the changes"));
        bench.click("Stay here");
        assert_eq!(bench.plan().lots.len(), 2);
        // The runs are still there.
        bench.menu("View", "Backlog");
        assert!(bench.shows("Run 1: brackets"));
    });
}

#[test]
fn it_runs_in_the_background_and_stops_when_told() {
    let mut bench = Bench::with_backlog("week.backlog.ron", &week());
    bench.click("How hard");
    let names = bench.names();
    let long = names
        .iter()
        .find(|n| n.starts_with("Long"))
        .unwrap()
        .clone();
    bench.click(&long);
    bench.make_loads();
    assert!(bench.app().is_queueing());
    let end = Instant::now() + Duration::from_secs(60);
    while !bench.shows("Filling load") {
        assert!(Instant::now() < end, "{:?}", bench.names());
        std::thread::sleep(Duration::from_millis(20));
        bench.harness.step();
    }
    bench.find("Stop").click();
    bench.harness.step();
    let asked = Instant::now();
    bench.loads_made();
    println!("stopped in {:?}", asked.elapsed());
    assert!(
        bench.shows("the search was stopped before"),
        "{:?}",
        bench.names()
    );
}

#[test]
fn a_file_that_is_none_is_a_sentence() {
    let mut bench = Bench::with_backlog("bad.backlog.ron", "(kind: \"backlog\", version: 1)");
    let told = |bench: &Bench| {
        let names = bench.names();
        let bad = |n: &&String| plain(n).contains("bad.backlog.ron: ");
        names.iter().filter(bad).count()
    };
    assert_eq!(told(&bench), 1, "{:?}", bench.names());
    assert!(!bench.enabled("Make the loads"));
    bench.make_loads();
    assert!(!bench.app().is_queueing());
    assert!(bench.shows("before what is said of the file below is mended"));
    let many = SMALL.replace("count: 6", "count: 4000000000");
    let bench = Bench::with_backlog("many.backlog.ron", &many);
    assert!(!bench.enabled("Make the loads"));
    assert!(
        bench.shows("at most 100000 are planned"),
        "{:?}",
        bench.names()
    );
}

#[test]
fn a_table_uses_the_open_load_and_wants_a_start() {
    let table = "lot;part;count;due;cleared\nA-1;Bracket;5;2026-12-05;yes\n";
    let mut bench = Bench::with_backlog("jobs.csv", table);
    // An example in the field is not taken for a value.
    let example = "e.g. 2026-12-01 06:00".to_owned();
    assert!(bench.painted().contains(&example), "{:?}", bench.painted());
    assert!(bench.cut().iter().all(|(text, _)| *text != example));
    assert!(!bench.enabled("Make the loads"));
    assert!(bench.shows("Type from when"), "{:?}", bench.names());
    bench.fill("From when the furnace may be used", "tomorrow");
    assert!(bench.shows("\"tomorrow\" is not a moment"));
    assert!(!bench.enabled("Make the loads"));
    bench.fill("From when the furnace may be used", "2026-12-01 06:00");
    bench.make_loads();
    bench.loads_made();
    assert!(bench.shows("A-1"), "{:?}", bench.names());
    assert!(bench.shows("Nothing is late"));
}

#[test]
fn the_jobs_are_listed_with_their_faults_before_the_loads_are_made() {
    in_both_locales(|| {
        let bench = Bench::with_backlog("small.backlog.ron", SMALL);
        for said in [
            "The file has 3 jobs.",
            "R-2",
            "2026-11-30 07:00",
            "no, and no time is given",
        ] {
            assert!(bench.shows(said), "{said}: {:?}", bench.names());
        }
        for seldom in ["Priority", "Base load", "Customer", "Feedstock", "Fault"] {
            let seldom = setterwright::text::app::label(seldom);
            let seldom = seldom.as_str();
            assert!(!bench.names().iter().any(|n| n == seldom), "{seldom}");
        }
        assert!(bench.shows("Kept in run"), "R-2 is pinned");
        let text = "lot;part;count;priority;base;customer\nA;bracket;3;7;;\nB;ring;2;;;Foundry\n";
        let bench = Bench::with_backlog("more.csv", text);
        assert!(!bench.shows("Due") && !bench.shows("Fault"));
        for said in ["Priority", "7", "Customer", "Foundry"] {
            assert!(bench.shows(said), "{said}: {:?}", bench.names());
        }
        assert!(!bench.shows("Kept in run"));
        let text = "lot;part;count\nA;brackte;3\nB;bracket;three\nC;ring;1\n";
        let bench = Bench::with_backlog("faults.csv", text);
        for said in [
            "The file has 3 jobs, 2 of them with a fault",
            "row 2: Job A: no base load has a part called \"brackte\"; did you mean bracket",
            "row 3: \"three\" under count",
        ] {
            assert!(bench.shows(said), "{said}: {:?}", bench.names());
        }
    });
}

/// Nothing can be made of a file with faults, so nothing is begun; once it is mended, it can.
#[test]
fn no_loads_are_made_of_faults() {
    in_both_locales(|| {
        let text = "lot;part;count\nA;brackte;3\nB;bracket;three\n";
        let mut bench = Bench::with_backlog("faults.csv", text);
        bench.fill("From when the furnace may be used", "2026-12-01 06:00");
        let all = "All 2 jobs have a fault, so no load can be made.";
        assert!(bench.shows(all), "{:?}", bench.names());
        assert!(!bench.enabled("Make the loads"));
        bench.make_loads();
        assert!(!bench.app().is_queueing());
        assert_eq!(bench.marks(LIGHT.stop), 2, "a mark for each");
        let path = bench.folder.path().join("faults.csv");
        std::fs::write(&path, text.replace("brackte", "bracket")).unwrap();
        bench.click("Read it again");
        assert!(
            bench.shows("1 of 2 jobs has a fault"),
            "{:?}",
            bench.names()
        );
        assert!(!bench.enabled("Make the loads"));
        std::fs::write(&path, "lot;part;count\nA;bracket;3\n").unwrap();
        bench.click("Read it again");
        assert!(bench.enabled("Make the loads"));
        assert_eq!(bench.marks(LIGHT.stop), 0);
    });
}

#[test]
fn runs_have_a_sign_for_stops_and_say_due_once() {
    let mut bench = Bench::with_backlog("small.backlog.ron", SMALL);
    assert_eq!(bench.marks(LIGHT.stop), 0);
    bench.make_loads();
    bench.loads_made();
    assert!(bench.shows("Review: ") && !bench.shows("Review: 0 stops"));
    assert_eq!(bench.marks(LIGHT.stop), 1, "one run");
    assert!(bench.shows("LATE by") && bench.shows("kept in this run"));
    let painted = bench.painted();
    assert!(
        painted.iter().any(|text| text == "no due date"),
        "{painted:?}"
    );
    let again = painted.iter().find(|text| text.contains("due 2026"));
    assert_eq!(again, None);
}

/// The last digits of a column stand under each other, and rows are no higher than their text.
#[test]
fn pieces_stand_under_each_other() {
    let text = "lot;part;count;priority\nA;bracket;7;\nB;ring;1234;5\nC;ring;88;61\n";
    let bench = Bench::with_backlog("jobs.csv", text);
    let rects = ["7", "1234", "88"].map(|n| bench.find(n).rect());
    for rect in rects {
        assert!((rect.right() - rects[0].right()).abs() < 0.6, "{rects:?}");
    }
    assert!(rects[1].top() - rects[0].top() < 30.0, "{rects:?}");
    let rects = ["5", "61"].map(|n| bench.find(n).rect().right());
    assert!((rects[0] - rects[1]).abs() < 0.6, "{rects:?}");
    // Beside the others, and not at the far side of the window.
    assert!(rects[0] < 500.0, "{rects:?}");
}

/// A fault in many words wraps, and is not out of sight to the right.
#[test]
fn faults_are_read_whole_in_a_small_window() {
    in_both_locales(|| {
        let mut bench = Bench::sized("clean", [1280.0, 720.0]);
        let lot = "B-2026-11-30-with-a-long-number-of-the-shop-floor-and-more-besides";
        let path = bench.folder.path().join("jobs.csv");
        let text = format!("lot;part;count;due;customer\n{lot};brackte;3;2026-12-04;Foundry\n");
        std::fs::write(&path, text).unwrap();
        bench.answer(&[path]);
        bench.menu("File", "Open a backlog…");
        bench.run();
        let names = bench.names();
        let fault = names.iter().map(|name| plain(name));
        let fault = fault
            .into_iter()
            .find(|name| name.contains("no base load has a part"));
        let rect = bench.find(&fault.unwrap()).rect();
        assert!(rect.right() <= 1280.0, "{rect}");
    });
}
