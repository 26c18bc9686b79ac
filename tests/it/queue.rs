//! A backlog becomes loads that open, that the review judges, and that hold what was asked for.

use crate::cli::{Ran, demo, json, run};
use setterwright::files;
use setterwright::load::{Edit, Item};
use setterwright::part::{Drawn, Part, PartId, Shape, measure_typed};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::sync::Arc;

fn queue(backlog: &Path, out: &Path, more: &[&str]) -> Ran {
    let (backlog, out) = (backlog.display().to_string(), out.display().to_string());
    let mut words = vec!["queue", &backlog, "-o", &out, "--budget", "40000"];
    words.extend(more);
    run(&words)
}

fn backlog(dir: &Path, jobs: &str) -> std::path::PathBuf {
    let path = dir.join("b.backlog.ron");
    let text = format!(
        "(kind: \"backlog\", version: 1, bases: [(name: \"brackets\", file: {:?})], \
         start: \"2026-11-30 06:00\", turnaround_min: 60, jobs: [{jobs}])",
        demo("clean.load.ron")
    );
    fs::write(&path, text).unwrap();
    path
}

#[test]
fn runs_hold_what_waits_with_due_dates_and_reasons() {
    let dir = tempfile::tempdir().unwrap();
    let jobs = "(lot: \"B-1\", part: \"bracket\", count: 24, due: Some(\"2026-12-01\"), cleared: true), \
                (lot: \"R-2\", part: \"Ring\", count: 12, due: Some(\"2026-12-09\"), cleared: true), \
                (lot: \"B-3\", part: \"bracket\", count: 4, due: Some(\"2026-12-03\"), ready: Some(\"2026-12-02\")), \
                (lot: \"B-4\", part: \"bracket\", count: 4)";
    let out = dir.path().join("runs");
    let path = backlog(dir.path(), jobs);
    let ran = queue(&path, &out, &["--json"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let said = json(&ran);
    let runs = said["runs"].as_array().unwrap();
    assert_eq!(runs.len(), 2, "{}", ran.out);
    let mut placed: BTreeMap<String, u64> = BTreeMap::new();
    for run in runs {
        let file = run["file"].as_str().unwrap();
        let plan = files::read_load(Path::new(file)).unwrap();
        // What the answer says stands in the file, in lots of that size.
        for lot in run["lots"].as_array().unwrap() {
            let (name, pieces) = (
                lot["lot"].as_str().unwrap(),
                lot["pieces"].as_u64().unwrap(),
            );
            let of = plan.lots.iter().find(|l| l.name == name).unwrap();
            let stands = plan
                .placements()
                .filter(|(_, p)| matches!(p.item, Item::Part { lot: Some(l), .. } if l == of.id));
            assert_eq!(stands.count() as u64, pieces);
            assert_eq!(u64::from(of.count), pieces);
            *placed.entry(name.to_owned()).or_default() += pieces;
        }
        assert_eq!(
            plan.planned_start.is_some(),
            plan.planned_start_time.is_some()
        );
    }
    assert_eq!(placed["B-1"], 24);
    assert_eq!(placed["R-2"], 12);
    assert_eq!(placed["B-3"], 4);
    // Not before it is ready.
    let last = runs.last().unwrap();
    assert!(last["start"].as_str().unwrap() >= "2026-12-02 00:00");
    let left = said["left"].as_array().unwrap();
    assert_eq!(left.len(), 1);
    assert_eq!(left[0]["lot"], "B-4");
    assert!(left[0]["why"].as_str().unwrap().contains("not cleared"));

    // The same again gives the same loads; what is there is not written over.
    let ran = queue(&path, &out, &[]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("is there already"), "{}", ran.err);
    let again = dir.path().join("again");
    assert_eq!(queue(&path, &again, &[]).code, 0);
    for name in ["run-01.load.ron", "run-02.load.ron"] {
        let bytes = |dir: &Path| fs::read(dir.join(name)).unwrap();
        assert_eq!(bytes(&out), bytes(&again));
    }
    // No layout has a stop of places that its base load has not.
    for name in ["run-01.load.ron", "run-02.load.ron"] {
        let path = again.join(name).display().to_string();
        let review = json(&run(&["review", "--json", &path]));
        for finding in review["findings"].as_array().unwrap() {
            let check = finding["check"].as_str().unwrap();
            let family = setterwright::review::check_by_slug(check).unwrap().family;
            let placing = matches!(family.word(), "geometry" | "furniture");
            assert!(
                !(placing && finding["severity"] == "Stop"),
                "{name}: {check}"
            );
        }
    }
}

/// A base load with a part that is too high for its furnace and one that is too wide for its setters.
fn base_with_parts_that_cannot_go(path: &Path) {
    let (mut plan, working) = files::open_load(Path::new(&demo("clean.load.ron")), None).unwrap();
    let parts = [
        ("tower", [20.0, 20.0, 900.0]),
        ("sheet", [900.0, 900.0, 5.0]),
    ];
    for (name, [width_mm, depth_mm, height_mm]) in parts {
        let shape = Shape::Block {
            width_mm,
            depth_mm,
            height_mm,
        };
        let mut part = Part::clone(&plan.parts[0]);
        part.id = PartId(plan.next_id);
        part.name = name.to_owned();
        part.geometry = Arc::new(measure_typed(&shape).unwrap());
        part.shape = shape;
        part.drawn = Drawn::Green;
        let add = Edit::AddPart(Box::new(part));
        plan = add.apply(&plan, &working.catalogue).unwrap();
    }
    files::save_load(path, &plan, &working).unwrap();
}

/// "1" is the beginning of "10": the reason of one is not the other's.
#[test]
fn each_lot_that_is_left_has_its_own_reason() {
    let dir = tempfile::tempdir().unwrap();
    let base = dir.path().join("base.load.ron");
    base_with_parts_that_cannot_go(&base);
    let job = |lot: &str, part: &str| {
        format!("(lot: \"{lot}\", part: \"{part}\", count: 2, cleared: true)")
    };
    for [one, ten] in [["tower", "sheet"], ["sheet", "tower"]] {
        let jobs = [job("1", one), job("Lot 10", ten), job("10", "bracket")].join(", ");
        let path = dir.path().join("b.backlog.ron");
        let text = format!(
            "(kind: \"backlog\", version: 1, bases: [(name: \"x\", file: {base:?})], \
             start: \"2026-11-30 06:00\", turnaround_min: 60, jobs: [{jobs}])"
        );
        fs::write(&path, text).unwrap();
        let ran = queue(&path, &dir.path().join(one), &["--json"]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        let said = json(&ran);
        let left = said["left"].as_array().unwrap();
        let why = |lot: &str| {
            let mine = left.iter().find(|l| l["lot"] == lot);
            mine.map(|l| l["why"].as_str().unwrap())
        };
        assert_eq!(why("10"), None, "{left:?}");
        for (lot, part) in [("1", one), ("Lot 10", ten)] {
            let why = why(lot).unwrap();
            let expected = if part == "tower" { "high" } else { "across" };
            assert!(why.contains(expected) && why.contains(part), "{lot}: {why}");
        }
    }
}

#[test]
fn a_table_of_jobs_is_read_and_its_faults_are_named_by_row() {
    let dir = tempfile::tempdir().unwrap();
    let table = dir.path().join("jobs.csv");
    let base = demo("clean.load.ron");
    let out = dir.path().join("runs");
    let from = ["--base", &base, "--start", "2026-11-30 06:00"];
    let with = |text: &str| {
        fs::write(&table, text).unwrap();
        queue(&table, &out, &from)
    };
    let bad = [
        ("lot;part\nA;bracket\n", "no column \"count\""),
        ("lot;part;count;dues\nA;bracket;3;x\n", "did you mean due"),
        ("lot;part;count\nA;bracket;three\n", "row 2"),
        (
            "lot;part;count;cleared\nA;bracket;3;maybe\n",
            "neither yes nor no",
        ),
        (
            "lot;part;count;due\nA;bracket;3;tomorrow\n",
            "neither a day",
        ),
        ("lot;part;count\nA;bracket;3\nA;ring;3\n", "lot number A"),
        ("lot;part;count\nA;brackte;3\n", "did you mean bracket"),
        (
            "lot;part;count;feedstock\nA;bracket;3;other\n",
            "not of other",
        ),
        ("lot;part;count\nA;bracket;0\n", "no pieces"),
        ("lot;part;count\n", "no job"),
    ];
    for (text, said) in bad {
        let ran = with(text);
        assert_eq!(ran.code, 2, "{text}");
        assert!(ran.err.contains(said), "{text}: {}", ran.err);
        assert!(!out.exists(), "{text}");
    }
    let ran = with("lot;part;quantity;due;cleared\nA-1;Bracket;5;2026-12-05;yes\n");
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.out.contains("A-1: 5 × bracket, due 2026-12-05"),
        "{}",
        ran.out
    );
    assert!(ran.out.contains("Nothing is late."), "{}", ran.out);
    // A table says nothing of furnaces.
    let alone = queue(&table, &dir.path().join("other"), &[]);
    assert_eq!(alone.code, 2);
    assert!(alone.err.contains("--base"), "{}", alone.err);
}

#[test]
fn meshes_are_found_from_where_the_runs_lie() {
    let dir = tempfile::tempdir().unwrap();
    let path = backlog(
        dir.path(),
        "(lot: \"B-1\", part: \"bracket\", count: 2, cleared: true)",
    );
    let out = dir.path().join("deep/runs");
    assert_eq!(queue(&path, &out, &[]).code, 0);
    let plan = files::read_load(&out.join("run-01.load.ron")).unwrap();
    for part in &plan.parts {
        if let Shape::Mesh { file, .. } = &part.shape {
            assert!(out.join(file).exists(), "{file}");
        }
    }
}

#[test]
fn no_backlog_file_makes_it_panic() {
    let whole = "(kind: \"backlog\", version: 1, bases: [(name: \"a\", file: \"x\")], start: \
                 \"2026-11-30 06:00\", jobs: [(lot: \"A\", part: \"b\", count: 1)])";
    for end in 0..whole.len() {
        // Anything but a panic.
        let _ = files::decode_backlog("b", &whole.as_bytes()[..end]);
    }
    assert!(files::decode_backlog("b", whole.as_bytes()).is_ok());
    let wrong = whole.replace("count: 1", "count: -1");
    assert!(files::decode_backlog("b", wrong.as_bytes()).is_err());
    let twice = whole.replace("version: 1", "version: 9");
    assert!(files::decode_backlog("b", twice.as_bytes()).is_err());
}
