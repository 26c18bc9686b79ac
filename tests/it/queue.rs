//! A backlog becomes loads that open, that the review judges, and that hold what was asked for.

use crate::cli::{Ran, demo, json, run, run as run_command};
use setterwright::catalogue::FurnaceState;
use setterwright::document::backlog::{Base, look_at};
use setterwright::files;
use setterwright::load::{Edit, Item, Plan, floor_and_roof};
use setterwright::part::{Drawn, Part, PartId, Shape, measure_typed};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::sync::Arc;

fn queue(backlog: &Path, out: &Path, more: &[&str]) -> Ran {
    let (backlog, out) = (backlog.display().to_string(), out.display().to_string());
    let mut words = vec!["queue", &backlog, "-o", &out];
    if !more.contains(&"--budget") {
        words.extend(["--budget", "40000"]);
    }
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
        (
            "lot;part;count;priority\nA;bracket;3;99\nB;ring;3;100\n",
            "row 3: job B: priority 100 is above 99; write 0 to 99",
        ),
        ("lot;part;count\nA;bracket;3;more\n", "4 cells"),
    ];
    for (text, said) in bad {
        let ran = with(text);
        assert_eq!(ran.code, 2, "{text}");
        assert!(ran.err.contains(said), "{text}: {}", ran.err);
        // It is a table, not a part.
        assert!(!ran.err.contains("shape"), "{text}: {}", ran.err);
        // Where a base load is asked, the lot tells where.
        let somewhere = ["row ", "jobs: no job", "Job A"];
        assert!(somewhere.iter().any(|w| ran.err.contains(w)), "{}", ran.err);
        assert!(!out.exists(), "{text}");
    }
    // A spreadsheet's empty row is none.
    let ran = with("lot;part;quantity;due;cleared\nA-1;Bracket;5;2026-12-05;yes\n;;;;\n");
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
    let urgent = whole.replace("count: 1", "count: 1, priority: 100");
    let said = files::decode_backlog("b", urgent.as_bytes()).unwrap_err();
    assert!(
        said.to_string().contains("jobs, A: job A: priority 100"),
        "{said}"
    );
    let twice = whole.replace("version: 1", "version: 9");
    assert!(files::decode_backlog("b", twice.as_bytes()).is_err());
}

fn runs_of(said: &serde_json::Value) -> &Vec<serde_json::Value> {
    said["runs"].as_array().unwrap()
}

fn file_of(run: &serde_json::Value) -> &Path {
    Path::new(run["file"].as_str().unwrap())
}

/// More than the base load's levels take goes into one run, on posts and setters that are there, and
/// under the roof; with its posts kept it takes two.
#[test]
fn runs_are_set_up_anew_from_the_stock_unless_the_posts_are_kept() {
    let dir = tempfile::tempdir().unwrap();
    let jobs = "(lot: \"B-1\", part: \"bracket\", count: 60, cleared: true), \
                (lot: \"R-2\", part: \"ring\", count: 50, cleared: true)";
    let path = backlog(dir.path(), jobs);
    let base = files::read_load(Path::new(&demo("clean.load.ron"))).unwrap();
    let ran = queue(&path, &dir.path().join("anew"), &["--json"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let said = json(&ran);
    let [run] = runs_of(&said).as_slice() else {
        panic!("{}", ran.out);
    };
    let (plan, working) = files::open_load(file_of(run), None).unwrap();
    let [levels, were] = [&plan, &base].map(|plan| plan.levels().count());
    assert!(levels > were, "{levels} levels");
    assert_eq!(
        run["levels_added"].as_u64().unwrap() as usize,
        levels - were
    );
    let shop = working.shop.clone().unwrap();
    let used = plan.setters_used().into_iter().chain(plan.posts_used());
    for (id, n) in used {
        let there = shop.stock.iter().find(|s| s.id == id).unwrap().count;
        assert!(n <= there as usize, "{id}: {n} of {there}");
    }
    let furnace = working.catalogue.furnace(&plan.load.furnace).unwrap();
    let (floor_mm, roof_mm) = floor_and_roof(&furnace.hot_zone);
    let height_mm = run["height_mm"].as_f64().unwrap();
    assert!(height_mm < roof_mm - floor_mm, "{height_mm}");
    let review = json(&run_command(&[
        "review",
        "--json",
        run["file"].as_str().unwrap(),
    ]));
    for finding in review["findings"].as_array().unwrap() {
        let check = finding["check"].as_str().unwrap();
        let family = setterwright::review::check_by_slug(check).unwrap().family;
        let placing = matches!(family.word(), "geometry" | "furniture");
        assert!(!(placing && finding["severity"] == "Stop"), "{check}");
    }

    let kept = queue(&path, &dir.path().join("kept"), &["--json", "--keep-posts"]);
    assert_eq!(kept.code, 0, "{}", kept.err);
    let said = json(&kept);
    assert_eq!(runs_of(&said).len(), 2, "{}", kept.out);
    for run in runs_of(&said) {
        let plan = files::read_load(file_of(run)).unwrap();
        let carriers = |plan: &Plan| -> Vec<_> {
            plan.levels()
                .map(|(_, l)| (l.id, l.carrier.clone()))
                .collect()
        };
        let all = carriers(&base);
        assert!(carriers(&plan).iter().all(|c| all.contains(c)));
    }
}

/// A coupon witnesses the run: each has those of the base load, where they stand there.
#[test]
fn coupons_of_the_base_load_stand_in_each_run() {
    let dir = tempfile::tempdir().unwrap();
    let jobs = "(lot: \"B-1\", part: \"bracket\", count: 6, due: Some(\"2026-12-02\"), cleared: true), \
                (lot: \"B-2\", part: \"bracket\", count: 6, ready: Some(\"2026-12-03\"))";
    let path = backlog(dir.path(), jobs);
    let ran = queue(&path, &dir.path().join("runs"), &["--json"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let said = json(&ran);
    let coupons = |plan: &Plan| -> Vec<(Item, [f64; 2], String)> {
        let all = plan.levels().flat_map(|(_, level)| {
            let of = level.placements.iter();
            let of = of.filter(|p| matches!(p.item, Item::Coupon { .. }));
            of.map(|p| (p.item.clone(), p.at_mm, level.setter.clone()))
        });
        all.collect()
    };
    let base = files::read_load(Path::new(&demo("clean.load.ron"))).unwrap();
    let wanted = coupons(&base);
    assert_eq!(wanted.len(), 2, "the demo has two");
    assert_eq!(runs_of(&said).len(), 2, "{}", ran.out);
    // Alone in its run it fills up nothing.
    assert_eq!(runs_of(&said)[1]["lots"][0]["fills_up"], false);
    for run in runs_of(&said) {
        let plan = files::read_load(file_of(run)).unwrap();
        assert_eq!(coupons(&plan), wanted);
        assert_eq!(run["coupons"], 2);
    }
}

/// What is due and in no run is told beside what is late.
#[test]
fn what_is_in_no_run_is_never_nothing_late() {
    let dir = tempfile::tempdir().unwrap();
    let jobs = "(lot: \"B-1\", part: \"bracket\", count: 4, due: Some(\"2026-12-20\"), cleared: true), \
                (lot: \"B-2\", part: \"bracket\", count: 3, due: Some(\"2026-12-09 08:00\")), \
                (lot: \"B-3\", part: \"bracket\", count: 2, due: Some(\"2026-12-09\")), \
                (lot: \"B-4\", part: \"bracket\", count: 1), \
                (lot: \"R-5\", part: \"ring\", count: 5, ready: Some(\"2026-12-01\"))";
    let path = backlog(dir.path(), jobs);
    let ran = queue(&path, &dir.path().join("runs"), &[]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    for said in [
        "Nothing in the runs is late. 6 pieces are in no run; 5 of them are due, \
         the first 2026-12-09 08:00.",
        "5 pieces in the runs are not cleared yet",
        "B-3: 2 × bracket, due 2026-12-09: not cleared",
    ] {
        assert!(ran.out.contains(said), "{said}: {}", ran.out);
    }
    assert!(!ran.out.contains("Nothing is late"), "{}", ran.out);
    let ran = queue(&path, &dir.path().join("again"), &["--json"]);
    let said = json(&ran);
    assert_eq!(said["late_pieces"], 0);
    assert_eq!(said["in_no_run_pieces"], 6);
    assert_eq!(said["in_no_run_due_pieces"], 5);
}

/// The trap of a run begins with what the one before leaves, and the answer names what that stops;
/// the file carries what is on record. On the way it is told what is done and how hard.
#[test]
fn the_trap_fills_from_run_to_run_and_progress_is_told() {
    let dir = tempfile::tempdir().unwrap();
    // Each is due before the next is ready, so that none waits for another.
    let job = |n: u32| {
        format!(
            "(lot: \"B-{n}\", part: \"bracket\", count: 40, ready: Some(\"2026-12-{:02}\"), \
             due: Some(\"2026-12-{:02}\"))",
            4 * n,
            4 * n + 2
        )
    };
    let jobs: Vec<String> = (1..=4).map(job).collect();
    let path = backlog(dir.path(), &jobs.join(", "));
    let ran = queue(&path, &dir.path().join("runs"), &["--json", "--keep-posts"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let said = json(&ran);
    let runs = runs_of(&said);
    assert_eq!(runs.len(), 4, "{}", ran.out);
    let trap = |run: &serde_json::Value, of: &str| run["trap"][of].as_f64().unwrap();
    let (_, working) = files::open_load(file_of(&runs[0]), None).unwrap();
    let state = &working.shop.as_ref().unwrap().furnaces;
    let slug = runs[0]["furnace"].as_str().unwrap();
    let now_g = |all: &[FurnaceState]| all.iter().find(|s| s.furnace == slug).unwrap().trap_fill_g;
    assert_eq!(now_g(state), Some(trap(&runs[0], "before_g")));
    for (one, next) in runs.iter().zip(&runs[1..]) {
        assert!(trap(one, "after_g") > trap(one, "before_g") + 10.0);
        assert!((trap(next, "before_g") - trap(one, "after_g")).abs() < 1e-9);
        let (plan, working) = files::open_load(file_of(next), None).unwrap();
        let noted = format!("{:.0}\u{a0}g before", trap(next, "before_g"));
        assert!(plan.note.contains(&noted), "{}", plan.note);
        assert_eq!(
            now_g(&working.shop.as_ref().unwrap().furnaces),
            now_g(state)
        );
    }
    let overfull = |run: &serde_json::Value| {
        let names = run["stop_names"].as_array().unwrap();
        names
            .iter()
            .any(|n| n.as_str().unwrap().starts_with("Trap overfull"))
    };
    assert!(!overfull(&runs[0]), "{}", ran.out);
    for run in runs {
        // The stop is at nine tenths of the capacity, or above it.
        if trap(run, "after_g") > trap(run, "capacity_g") {
            assert!(overfull(run), "{run}");
        }
    }
    assert!(overfull(&runs[3]), "{}", ran.out);
    assert!(ran.err.contains("40000 places"), "{}", ran.err);
    for run in 1..=4 {
        let line = format!("Run {run}, brackets: 40 pieces placed");
        assert_eq!(ran.err.matches(&line).count(), 1, "{}", ran.err);
    }
}

/// Of what is due at one time the greater priority goes first within a run as well; weights are taken
/// as `arrange` takes them.
#[test]
fn priority_and_weights_reach_the_arrangement_of_a_run() {
    let dir = tempfile::tempdir().unwrap();
    let job = |lot: &str, priority: u32| {
        format!(
            "(lot: \"{lot}\", part: \"bracket\", count: 60, due: Some(\"2026-12-09\"), \
             cleared: true, priority: {priority})"
        )
    };
    for (one, two) in [(0, 5), (5, 0)] {
        let jobs = [job("B-1", one), job("B-2", two)].join(", ");
        let path = backlog(dir.path(), &jobs);
        let out = dir.path().join(format!("runs-{one}"));
        let ran = queue(
            &path,
            &out,
            &["--json", "--keep-posts", "--order", "balance"],
        );
        assert_eq!(ran.code, 0, "{}", ran.err);
        let said = json(&ran);
        let first = runs_of(&said)[0]["lots"].as_array().unwrap();
        let pieces = |lot: &str| {
            let of = first.iter().find(|l| l["lot"] == lot);
            of.map_or(0, |l| l["pieces"].as_u64().unwrap())
        };
        let (before, after) = if one > two {
            ("B-1", "B-2")
        } else {
            ("B-2", "B-1")
        };
        assert_eq!(pieces(before), 60, "{}", ran.out);
        assert!(pieces(after) < 60, "not all goes into one run: {}", ran.out);
    }
    let path = backlog(dir.path(), &job("B-1", 0));
    let ran = queue(&path, &dir.path().join("none"), &["--weight", "stak=1"]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("did you mean stack"), "{}", ran.err);
}

/// Every row of a table is looked at, not only the first that is wrong.
#[test]
fn each_row_is_told_with_its_own_fault() {
    let dir = tempfile::tempdir().unwrap();
    let table = dir.path().join("jobs.csv");
    let text = "lot,part,count,due,cleared,priority\nA,bracket,3,,yes,\nB,bracket,three,,,\n\
                A,bracket,1,,,\nC,bracket,1,soon,no,\nD,bracket,1,,,100\n";
    fs::write(&table, text).unwrap();
    let (read, bases) = files::look_at_jobs(&table);
    assert!(bases.is_empty() && read.fault.is_none(), "{:?}", read.fault);
    let faults = [
        None,
        Some("\"three\" under count"),
        Some("lot number A"),
        Some("neither a day"),
        Some("0 to 99"),
    ];
    assert_eq!(read.rows.len(), faults.len());
    for (at, (row, fault)) in read.rows.iter().zip(faults).enumerate() {
        assert_eq!(row.place, format!("row {}", at + 2));
        match fault {
            None => assert_eq!(row.fault, None),
            Some(said) => assert!(row.fault.as_ref().unwrap().contains(said), "{row:?}"),
        }
    }
    assert_eq!(read.rows[1].count, "three");
    assert_eq!(read.rows[0].cleared, Some(true));
}

/// Nine o'clock is before two in the afternoon, though its text sorts after it.
#[test]
fn the_first_due_of_what_is_in_no_run_is_the_earliest_moment() {
    let dir = tempfile::tempdir().unwrap();
    let jobs = "(lot: \"B-1\", part: \"bracket\", count: 4, cleared: true), \
                (lot: \"B-2\", part: \"bracket\", count: 3, due: Some(\"2026-12-01 14:00\")), \
                (lot: \"B-3\", part: \"bracket\", count: 2, due: Some(\"2026-12-01 9:00\"))";
    let path = backlog(dir.path(), jobs);
    let out = dir.path().join("runs").display().to_string();
    let path = path.display().to_string();
    let ran = run(&["queue", &path, "-o", &out, "--budget", "2000"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.out.contains("the first 2026-12-01 9:00."),
        "{}",
        ran.out
    );
}

/// Which of two parts was taken is seen by its feedstock.
#[test]
fn the_exact_name_of_a_part_goes_before_one_of_another_case() {
    let dir = tempfile::tempdir().unwrap();
    let (mut plan, working) = files::open_load(Path::new(&demo("clean.load.ron")), None).unwrap();
    let bracket = plan.parts.iter().position(|p| p.name == "bracket").unwrap();
    let mut other = Part::clone(&plan.parts[bracket]);
    let feedstock = other.feedstock.clone();
    other.id = PartId(plan.next_id);
    other.name = "BRACKET".to_owned();
    other.feedstock = "another".to_owned();
    plan.parts.insert(0, Arc::new(other));
    let base = Base {
        name: "b".to_owned(),
        plan: Arc::new(plan),
        working,
        folder: dir.path().to_owned(),
    };
    let jobs = dir.path().join("jobs.csv");
    let fault = |part: &str, feedstock: &str| {
        let table = format!("lot,part,count,cleared,feedstock\nB-1,{part},4,yes,{feedstock}\n");
        fs::write(&jobs, table).unwrap();
        let read = look_at(&jobs, Some(&base), None);
        assert_eq!((read.rows.len(), &read.fault), (1, &None));
        read.rows[0].fault.clone()
    };
    assert_eq!(fault("bracket", &feedstock), None);
    assert_eq!(fault("BRACKET", "another"), None);
    let several = fault("Bracket", &feedstock).unwrap();
    assert!(several.contains("BRACKET, bracket"), "{several}");
}

/// A lot number says nothing of pieces that stood in another load: what was done with them is not
/// taken for these, and that is told.
#[test]
fn records_of_pieces_of_the_base_load_are_not_those_of_a_lot_of_the_same_number() {
    let dir = tempfile::tempdir().unwrap();
    let base = files::read_load(Path::new(&demo("clean.load.ron"))).unwrap();
    let of_base = base.lots.iter().find(|lot| lot.name == "B-4711").unwrap();
    assert!(of_base.green_g.is_some() && of_base.dry_g.is_some() && of_base.bath.is_some());
    assert!(of_base.dried_min.is_some() && of_base.feedstock_expires.is_some());
    let jobs = "(lot: \"B-4711\", part: \"bracket\", count: 4, cleared: true), \
                (lot: \"B-2\", part: \"bracket\", count: 3, cleared: true)";
    let path = backlog(dir.path(), jobs);
    let ran = queue(&path, &dir.path().join("runs"), &["--json"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let said = json(&ran);
    let plan = files::read_load(file_of(&runs_of(&said)[0])).unwrap();
    let lot = plan.lots.iter().find(|lot| lot.name == "B-4711").unwrap();
    let done = [
        lot.green_g,
        lot.dry_g,
        lot.previous_dry_g,
        lot.dried_min,
        lot.dryer_c,
    ];
    assert_eq!(done, [None; 5]);
    assert_eq!(
        (&lot.bath, &lot.dry_at, &lot.balance),
        (&None, &None, &None)
    );
    assert_eq!(lot.feedstock_expires, of_base.feedstock_expires);
    assert_eq!(
        (lot.oversize, lot.enters),
        (of_base.oversize, of_base.enters)
    );
    let notes = said["notes"].as_array().unwrap();
    assert_eq!(notes.len(), 1, "{notes:?}");
    let note = notes[0].as_str().unwrap();
    for word in [
        "Lot B-4711 has the number of a lot in base load brackets",
        "last day of the feedstock, oversize factors",
        "Weighings, bath and drying were not taken over",
    ] {
        assert!(note.contains(word), "{note}");
    }
    let ran = queue(&path, &dir.path().join("told"), &[]);
    assert!(ran.out.contains(note), "{}", ran.out);
}

/// What a table's own headings say is said back in their words.
#[test]
fn a_fault_in_a_table_names_the_column_as_it_is_headed() {
    let dir = tempfile::tempdir().unwrap();
    let table = dir.path().join("jobs.csv");
    let text = "Lot Number;Part;QTY [pcs];Due_date;Cleared\nA;bracket;three;;yes\n\
                B;bracket;1;soon;yes\nC;bracket;1;;perhaps\n";
    fs::write(&table, text).unwrap();
    let (read, _) = files::look_at_jobs(&table);
    let faults: Vec<&str> = (read.rows.iter())
        .map(|row| row.fault.as_deref().unwrap())
        .collect();
    for (fault, said) in faults.iter().zip([
        "\"three\" under QTY [pcs] is",
        "\"soon\" under Due_date is",
        "\"perhaps\" under Cleared is",
    ]) {
        assert!(fault.contains(said), "{fault}");
    }
    // Letters of another coding would be other lot numbers.
    fs::write(&table, b"lot;part;count\nK\xe4fig;bracket;1\n").unwrap();
    let (read, _) = files::look_at_jobs(&table);
    assert!(read.fault.as_ref().unwrap().contains("UTF-8"), "{read:?}");
}

/// Nothing that could be made is no success, and makes no folder.
#[test]
fn without_a_run_the_exit_says_so_and_old_runs_are_left_alone() {
    let dir = tempfile::tempdir().unwrap();
    let path = backlog(dir.path(), "(lot: \"B-1\", part: \"bracket\", count: 4)");
    let out = dir.path().join("runs");
    for more in [&[][..], &["--json"]] {
        let ran = queue(&path, &out, more);
        assert_eq!(ran.code, 1, "{}", ran.err);
        assert!(!out.exists());
    }
    let ran = queue(&path, &out, &[]);
    let first = ran.out.lines().next().unwrap();
    assert_eq!(first, "No run is planned. 4 pieces are in no run.");
    // A later run of an earlier week beside new ones would look like one of them.
    fs::create_dir(&out).unwrap();
    fs::write(out.join("run-07.load.ron"), "").unwrap();
    let ran = queue(&path, &out, &[]);
    assert_eq!(ran.code, 2);
    assert!(
        ran.err.contains("run-07.load.ron is there already"),
        "{}",
        ran.err
    );
    let ran = queue(
        &path,
        &dir.path().join("b"),
        &["--weight", "rows=1", "--weight", "rows=2"],
    );
    assert_eq!(ran.code, 2);
    assert!(
        ran.err
            .contains("Nothing was planned: --weight names rows twice"),
        "{}",
        ran.err
    );
    assert_eq!(
        queue(&path, &dir.path().join("b"), &["--seed", "-1"]).code,
        2
    );
    let none = dir.path().join("none").display().to_string();
    let path = path.display().to_string();
    assert_eq!(run(&["queue", &path, "-o", &none, "--budget", "0"]).code, 2);
}

/// What is late is not said to fill room that was left.
#[test]
fn what_is_late_is_told_as_late_alone() {
    let dir = tempfile::tempdir().unwrap();
    let jobs = "(lot: \"B-1\", part: \"bracket\", count: 4, due: Some(\"2026-11-30 08:00\"), cleared: true), \
                (lot: \"B-2\", part: \"bracket\", count: 1, due: Some(\"2026-11-30\"), cleared: true), \
                (lot: \"B-3\", part: \"bracket\", count: 2, due: Some(\"2026-12-20\"), cleared: true)";
    let path = backlog(dir.path(), jobs);
    let ran = queue(&path, &dir.path().join("runs"), &["--budget", "2000"]);
    let line = |lot: &str| ran.out.lines().find(|l| l.trim().starts_with(lot)).unwrap();
    assert!(line("B-2").contains("LATE by"), "{}", ran.out);
    assert!(!line("B-2").contains("room"), "{}", ran.out);
    assert!(
        line("B-3").ends_with("due 2026-12-20 (takes room that was left)"),
        "{}",
        ran.out
    );
    assert!(ran.out.contains("5 pieces are late, by "), "{}", ran.out);
    assert!(ran.out.contains("No piece is left over."), "{}", ran.out);
}
