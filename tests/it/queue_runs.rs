//! How far runs are filled, in which order, what is told of it, and what is told before.

use crate::cli::{Ran, demo, json, run};
use serde_json::Value;
use setterwright::arrange::{Turning, Watch, Weights};
use setterwright::document::Budget;
use setterwright::document::backlog::{Bases, ToQueue};
use setterwright::document::queueing::{Pattern, QueueEffort, trap_catch_g};
use setterwright::files::{self, Working};
use setterwright::load::Plan;
use setterwright::text::findings::title;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::Ordering;
use std::time::{Duration, Instant};

const BUDGET: u64 = 2000;

fn queue(backlog: &Path, out: &Path, more: &[&str]) -> Ran {
    let (backlog, out) = (backlog.display().to_string(), out.display().to_string());
    let budget = BUDGET.to_string();
    let mut words = vec!["queue", &backlog, "-o", &out];
    if !more.contains(&"--budget") {
        words.extend(["--budget", &budget]);
    }
    words.extend(more);
    run(&words)
}

fn backlog(dir: &Path, base: &Path, jobs: &[String]) -> PathBuf {
    let path = dir.join("b.backlog.ron");
    let text = format!(
        "(kind: \"backlog\", version: 1, bases: [(name: \"brackets\", file: {base:?})], \
         start: \"2026-11-30 06:00\", turnaround_min: 60, jobs: [{}])",
        jobs.join(", ")
    );
    fs::write(&path, text).unwrap();
    path
}

fn job(lot: &str, part: &str, count: u32, due: u32) -> String {
    format!(
        "(lot: \"{lot}\", part: \"{part}\", count: {count}, due: Some(\"2026-12-{due:02}\"), \
         cleared: true)"
    )
}

fn clean() -> (Plan, Working) {
    files::open_load(Path::new(&demo("clean.load.ron")), None).unwrap()
}

fn names<'a>(run: &'a Value, of: &str) -> Vec<&'a str> {
    let all = run[of].as_array().unwrap();
    all.iter().map(|name| name.as_str().unwrap()).collect()
}

/// A plan as the base load of a backlog.
fn pattern(plan: &Plan, working: &Working) -> Pattern {
    Pattern {
        name: "x".to_owned(),
        plan: Arc::new(plan.clone()),
        catalogue: Arc::clone(&working.catalogue),
        shop: working.shop.clone(),
        differences: Vec::new(),
        standard: None,
    }
}

fn has_trap(run: &Value, of: &str) -> bool {
    names(run, of)
        .iter()
        .any(|n| n.starts_with("Trap overfull"))
}

/// The trap on record leaves room for what the base load has, and not for much more.
#[test]
fn a_run_is_filled_only_as_far_as_it_brings_no_new_stop() {
    let dir = tempfile::tempdir().unwrap();
    let (plan, mut working) = clean();
    let pattern = pattern(&plan, &working);
    let base_g = trap_catch_g(&pattern, &plan).unwrap();
    let furnace = working.catalogue.furnace(&plan.load.furnace).unwrap();
    // The limit of the demo's catalogue.
    let limit_g = furnace.trap.as_ref().unwrap().capacity_g;
    let before_g = limit_g - base_g - 3.0;
    let shop = Arc::make_mut(working.shop.as_mut().unwrap());
    let state = shop.furnaces.iter_mut();
    let mut state = state.filter(|s| s.furnace == plan.load.furnace);
    state.next().unwrap().trap_fill_g = Some(before_g);
    let base = dir.path().join("base.load.ron");
    files::save_load(&base, &plan, &working).unwrap();
    let of_base = json(&run(&["review", "--json", &base.display().to_string()]));
    let of_base = of_base["findings"].as_array().unwrap();
    assert!(of_base.iter().all(|f| f["check"] != "trap-over-full"));

    let jobs = [
        job("B-1", "bracket", 150, 20),
        job("B-2", "bracket", 90, 24),
    ];
    let path = backlog(dir.path(), &base, &jobs);
    let ran = queue(&path, &dir.path().join("runs"), &["--json"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let said = json(&ran);
    let runs = said["runs"].as_array().unwrap();
    let first = &runs[0];
    let after_g = first["trap"]["after_g"].as_f64().unwrap();
    let pieces = |run: &Value| -> u64 {
        let lots = run["lots"].as_array().unwrap();
        lots.iter().map(|lot| lot["pieces"].as_u64().unwrap()).sum()
    };
    let each_g = (after_g - before_g) / pieces(first) as f64;
    // Not over the limit, and with one piece more it would be.
    assert!(after_g <= limit_g + 1e-9, "{after_g} of {limit_g}");
    assert!(after_g + each_g > limit_g, "{after_g} of {limit_g}");
    assert!(!has_trap(first, "stop_names"), "{first}");
    assert!(has_trap(first, "filled_only_so_far_for"), "{first}");
    // Nothing is lost; the rest goes later, once the trap is emptied, and that is told.
    assert_eq!(runs.iter().map(pieces).sum::<u64>(), 240, "{}", ran.out);
    assert_eq!(said["in_no_run_pieces"], 0);
    let second = &runs[1];
    assert!(has_trap(second, "stops_of_runs_before"), "{second}");
    assert!(pieces(second) > pieces(first), "{second}");
    // What every piece of the demo brings, since nobody has declared anything for these loads.
    assert!(!names(first, "stops_of_single_pieces").is_empty());
    let told = queue(&path, &dir.path().join("told"), &[]);
    for sentence in [
        "Not filled further: every layout tried with more pieces brought",
        "Empty the trap before this run",
        "a single piece brings them as well",
    ] {
        let lower = told.out.to_lowercase();
        assert!(lower.contains(&sentence.to_lowercase()), "{}", told.out);
    }

    // Kept in a run that may not take them, pieces are told with what they would bring.
    let pinned = [format!(
        "(lot: \"P-1\", part: \"bracket\", count: {}, run: Some(1), cleared: true)",
        pieces(first) + 5
    )];
    let path = backlog(dir.path(), &base, &pinned);
    let ran = queue(&path, &dir.path().join("pinned"), &["--json"]);
    let said = json(&ran);
    assert_eq!(said["left"][0]["pieces"], 5, "{}", ran.out);
    let why = said["left"][0]["why"].as_str().unwrap();
    assert!(why.contains("Trap overfull"), "{why}");
}

/// A stop that the base load has is no leave to make it worse, and a later run is held against the
/// base load with an emptied trap.
#[test]
fn a_stop_of_the_base_load_is_not_made_worse() {
    let dir = tempfile::tempdir().unwrap();
    let (plan, mut working) = clean();
    let pattern = pattern(&plan, &working);
    let before_g = 395.0;
    let of_base_g = before_g + trap_catch_g(&pattern, &plan).unwrap();
    let shop = Arc::make_mut(working.shop.as_mut().unwrap());
    let state = shop.furnaces.iter_mut();
    let mut state = state.filter(|s| s.furnace == plan.load.furnace);
    state.next().unwrap().trap_fill_g = Some(before_g);
    let base = dir.path().join("base.load.ron");
    files::save_load(&base, &plan, &working).unwrap();
    let of_base = json(&run(&["review", "--json", &base.display().to_string()]));
    let of_base = of_base["findings"].as_array().unwrap();
    assert!(of_base.iter().any(|f| f["check"] == "trap-over-full"));

    let path = backlog(dir.path(), &base, &[job("B-1", "bracket", 160, 20)]);
    let ran = queue(&path, &dir.path().join("runs"), &["--json"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let said = json(&ran);
    let runs = said["runs"].as_array().unwrap();
    let after_g = runs[0]["trap"]["after_g"].as_f64().unwrap();
    assert!(after_g <= of_base_g + 1e-9, "{after_g} of {of_base_g}");
    assert!(has_trap(&runs[0], "filled_only_so_far_for"), "{}", runs[0]);
    assert!(has_trap(&runs[1], "stops_of_runs_before"), "{}", runs[1]);
}

/// So many pieces go into a run by themselves: more that wait with them do not make them fewer.
#[test]
fn more_that_waits_does_not_make_a_run_much_emptier() {
    let dir = tempfile::tempdir().unwrap();
    let first_of = |count: u32| {
        let jobs = [job("B-1", "bracket", count, 20)];
        let path = backlog(dir.path(), Path::new(&demo("clean.load.ron")), &jobs);
        let out = dir.path().join(count.to_string());
        let ran = queue(&path, &out, &["--json", "--budget", "20000"]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        json(&ran)["runs"][0].clone()
    };
    let (some, of_more) = (first_of(104), first_of(120));
    assert_eq!(some["lots"][0]["pieces"], 104, "{some}");
    assert!(names(&some, "filled_only_so_far_for").is_empty(), "{some}");
    let pieces = of_more["lots"][0]["pieces"].as_u64().unwrap();
    // Which layouts are tried is chance; nine tenths of it is not.
    assert!(pieces >= 94, "{of_more}");
    let hot = |name: &&str| name.starts_with("Load hot");
    assert!(!names(&of_more, "stop_names").iter().any(hot), "{of_more}");
}

/// How many runs, how many of them have no stop, how many pieces are in none: before all else.
#[test]
fn the_first_line_says_what_there_is() {
    let dir = tempfile::tempdir().unwrap();
    let jobs = [
        job("B-1", "bracket", 20, 20),
        "(lot: \"B-2\", part: \"bracket\", count: 7)".to_owned(),
    ];
    let path = backlog(dir.path(), Path::new(&demo("clean.load.ron")), &jobs);
    let ran = queue(&path, &dir.path().join("runs"), &[]);
    assert_eq!(
        ran.out.lines().next().unwrap(),
        "1 run is planned. The review finds stops in it. 7 pieces are in no run."
    );
    let said = json(&queue(&path, &dir.path().join("again"), &["--json"]));
    let runs = said["runs"].as_array().unwrap();
    let without = runs.iter().filter(|run| run["stops"] == 0).count();
    assert_eq!(said["runs_without_stop"], without);
}

/// Titles of the checks that found something open, of these weights, in the review of a file.
fn of_review(file: &str, severities: &[&str]) -> BTreeSet<String> {
    let said = json(&run(&["review", "--json", file]));
    let all = said["findings"].as_array().unwrap().iter();
    let open = all.filter(|f| f["accepted_by"].is_null() || !f["done_under"].is_null());
    let grave = open.filter(|f| severities.contains(&f["severity"].as_str().unwrap()));
    grave.map(|f| title(f["check"].as_str().unwrap())).collect()
}

/// The cautions that a run names are among those that the review of its file finds, and all are there
/// of checks that find nothing in the base load.
#[test]
fn cautions_that_the_base_load_has_not_are_named() {
    let dir = tempfile::tempdir().unwrap();
    let base = demo("clean.load.ron");
    let jobs = [job("B-1", "bracket", 60, 20), job("R-2", "ring", 70, 22)];
    let path = backlog(dir.path(), Path::new(&base), &jobs);
    let ran = queue(&path, &dir.path().join("runs"), &["--json"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let said = json(&ran);
    let first = &said["runs"][0];
    let named: BTreeSet<String> = names(first, "new_cautions")
        .into_iter()
        .map(str::to_owned)
        .collect();
    let of_run = of_review(first["file"].as_str().unwrap(), &["Caution"]);
    let of_base = of_review(&base, &["Caution", "Stop"]);
    assert!(named.is_subset(&of_run), "{named:?} of {of_run:?}");
    let new: BTreeSet<String> = &of_run - &of_base;
    assert!(
        !new.is_empty() && new.is_subset(&named),
        "{new:?} of {named:?}"
    );
    let told = queue(&path, &dir.path().join("told"), &[]);
    let line = format!(
        "  cautions that are not open in the base load: {}",
        names(first, "new_cautions").join("; ")
    );
    assert!(told.out.lines().any(|l| l == line), "{line}: {}", told.out);
}

/// Where the work is stopped before the review of a run is whole, that is no run without new cautions.
#[test]
fn new_cautions_are_not_evaluated_where_the_review_was_stopped() {
    let dir = tempfile::tempdir().unwrap();
    let jobs = [job("B-1", "bracket", 60, 20)];
    let path = backlog(dir.path(), Path::new(&demo("clean.load.ron")), &jobs);
    let bases = Bases::open(files::read_backlog(&path).unwrap(), dir.path(), None).unwrap();
    let effort = QueueEffort {
        evaluations: BUDGET,
        seed: 1,
        turning: Turning::RightAngles,
        anew: false,
        weights: Weights::default(),
    };
    let made = bases.queue(effort, &Watch::default(), &|_| ()).unwrap();
    let not_evaluated = "not evaluated, since the work was stopped";
    let whole = made.judged(0, &Watch::default()).unwrap();
    assert!(whole.all_new_cautions().is_some());
    let told = |sentences: Vec<String>| sentences.iter().any(|s| s.contains(not_evaluated));
    assert!(!told(whole.sentences()));
    let watch = Watch::default();
    watch.cancel.store(true, Ordering::Relaxed);
    let part = made.judged(0, &watch).unwrap();
    assert!(!part.with_forecast && part.all_new_cautions().is_none());
    assert!(told(part.sentences()));
    // What was found without the forecast is named all the same.
    let [part, whole] = [part, whole].map(|judged| judged.new_cautions.unwrap());
    assert!(
        part.iter().all(|name| whole.contains(name)),
        "{part:?}, {whole:?}"
    );
}

/// The window's list and the command line name the same stops and new cautions, and count the same:
/// without a forecast more would be not evaluated.
#[test]
fn window_and_command_line_name_the_same() {
    let dir = tempfile::tempdir().unwrap();
    let base = demo("clean.load.ron");
    let jobs = [job("B-1", "bracket", 60, 20), job("R-2", "ring", 70, 22)];
    let file = backlog(dir.path(), Path::new(&base), &jobs);
    let evaluations = Budget::Quick.a_filling();
    let budget = ["--json", "--budget", &evaluations.to_string()].map(str::to_owned);
    let budget: Vec<&str> = budget.iter().map(String::as_str).collect();
    let said = json(&queue(&file, &dir.path().join("runs"), &budget));
    let asked = ToQueue {
        file,
        table: None,
        evaluations,
        seed: 1,
        anew: true,
        weights: Weights::default(),
        shop: None,
    };
    let work = asked.start(Arc::new(|| ()));
    let end = Instant::now() + Duration::from_secs(300);
    let finished = loop {
        if let Some(finished) = work.finished() {
            break finished;
        }
        assert!(Instant::now() < end);
        std::thread::sleep(Duration::from_millis(20));
    };
    let made = finished.result.as_ref().unwrap().as_ref().unwrap();
    let runs = said["runs"].as_array().unwrap();
    assert_eq!(runs.len(), made.list.len());
    for (run, listed) in runs.iter().zip(&made.list) {
        let judged = &listed.judged;
        assert!(judged.with_forecast);
        assert_eq!(names(run, "stop_names"), judged.stops);
        assert_eq!(run["stops"], judged.counts.stops);
        assert_eq!(run["cautions"], judged.counts.cautions);
        assert_eq!(run["not_evaluated"], judged.counts.missing);
        assert_eq!(
            names(run, "stops_of_single_pieces"),
            judged.of_single_pieces
        );
        assert_eq!(names(run, "stops_of_runs_before"), judged.of_runs_before);
        assert_eq!(
            names(run, "new_cautions"),
            judged.all_new_cautions().unwrap()
        );
    }
}

/// A generator of small numbers, the same each time.
fn dice(seed: u64) -> impl FnMut(u32) -> u32 {
    let mut state = seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1;
    move |most: u32| {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state % u64::from(most)) as u32
    }
}

/// However little is searched, no later lot has a place in a run while an earlier one of the same part
/// waits for the next; no piece is lost, and there are no fewer runs than the bound says.
#[test]
fn what_is_due_earlier_goes_into_the_earlier_run() {
    let dir = tempfile::tempdir().unwrap();
    for seed in 0..8 {
        let mut dice = dice(seed + 1);
        let (mut jobs, mut dues, mut pinned) = (Vec::new(), BTreeMap::new(), BTreeMap::new());
        let mut all = 0;
        for lot in 0..3 + dice(6) {
            let part = ["bracket", "ring"][dice(2) as usize];
            let (count, due) = (2 + dice(60), 2 + dice(14));
            let lot = format!("L-{lot}");
            let mut job = job(&lot, part, count, due);
            if dice(4) == 0 {
                let run = 1 + dice(3);
                job = job.replace("cleared", &format!("run: Some({run}), cleared"));
                pinned.insert(lot.clone(), run);
            }
            all += u64::from(count);
            dues.insert(lot, (part, due));
            jobs.push(job);
        }
        let path = backlog(dir.path(), Path::new(&demo("clean.load.ron")), &jobs);
        let out = dir.path().join(seed.to_string());
        let budget = [1, 10, 200, 5000][dice(4) as usize].to_string();
        let mut more = vec!["--json", "--budget", &budget];
        if dice(2) == 0 {
            more.push("--keep-posts");
        }
        let ran = queue(&path, &out, &more);
        assert_eq!(ran.code, 0, "{}", ran.err);
        let said = json(&ran);
        let runs = said["runs"].as_array().unwrap();
        let lots = |run: &Value| -> Vec<(String, u64)> {
            let all = run["lots"].as_array().unwrap().iter();
            all.map(|l| {
                (
                    l["lot"].as_str().unwrap().to_owned(),
                    l["pieces"].as_u64().unwrap(),
                )
            })
            .collect()
        };
        let placed: u64 = runs.iter().flat_map(lots).map(|lot| lot.1).sum();
        assert_eq!(placed + said["in_no_run_pieces"].as_u64().unwrap(), all);
        let free = |lot: &String| !pinned.contains_key(lot);
        for (at, one) in runs.iter().enumerate() {
            let later: Vec<String> = runs[at + 1..].iter().flat_map(lots).map(|l| l.0).collect();
            for (here, _) in lots(one).iter().filter(|lot| free(&lot.0)) {
                for waits in later.iter().filter(|lot| free(lot)) {
                    let ((part, due), (other, earlier)) = (dues[here], dues[waits]);
                    assert!(
                        part != other || due <= earlier,
                        "seed {seed}, run {}: {here} before {waits}",
                        at + 1
                    );
                }
            }
            for (lot, _) in lots(one) {
                assert!(pinned.get(&lot).is_none_or(|run| *run as usize == at + 1));
            }
        }
        let least = said["least_runs_by_area"].as_u64().unwrap() as usize;
        assert!(
            least <= runs.len(),
            "seed {seed}: {least} of {}",
            runs.len()
        );
    }
}

/// What does not go on the setters of one load by area takes two by the bound as well.
#[test]
fn the_bound_on_runs_counts_more_than_one_load() {
    let dir = tempfile::tempdir().unwrap();
    let jobs = [
        job("B-1", "bracket", 240, 20),
        job("B-2", "bracket", 40, 24),
    ];
    let path = backlog(dir.path(), Path::new(&demo("clean.load.ron")), &jobs);
    let more = ["--json", "--budget", "5000", "--keep-posts"];
    let said = json(&queue(&path, &dir.path().join("kept"), &more));
    let runs = said["runs"].as_array().unwrap().len();
    let least = said["least_runs_by_area"].as_u64().unwrap() as usize;
    assert!(2 <= least && least <= runs, "{least} of {runs}");
}

/// A row is named by the line on which a text editor shows it, after empty lines and cells of several
/// lines as well; all faults are told at once, those against the base load among them.
#[test]
fn every_fault_is_told_with_its_line() {
    let dir = tempfile::tempdir().unwrap();
    let table = dir.path().join("jobs.csv");
    let (base, out) = (demo("clean.load.ron"), dir.path().join("runs"));
    let from = ["--base", &base, "--start", "2026-11-30 06:00"];
    for end in ["\n", "\r\n"] {
        let text = "lot;part;count;customer\n\nA;bracket;three;\n\n\nB;ring;3;\"two\nlines\"\n\
                    C;brackte;1;\n;;;\nA;bracket;1;\nB;ring;1;\n";
        fs::write(&table, text.replace('\n', end)).unwrap();
        let ran = queue(&table, &out, &from);
        assert_eq!(ran.code, 2);
        let lines: Vec<&str> = ran.err.lines().map(str::trim).collect();
        assert_eq!(lines.len(), 4, "{}", ran.err);
        assert!(lines[0].contains("3 of 5 jobs"), "{}", ran.err);
        for (line, said) in lines[1..].iter().zip([
            "row 3: \"three\" under count is not a whole number; write it in digits",
            "row 8: Job C: no base load has a part called \"brackte\"; did you mean bracket",
            "row 11: two jobs have the lot number B",
        ]) {
            assert!(line.starts_with(said), "{said}: {}", ran.err);
        }
        assert!(!out.exists());
    }
    // The same of a backlog file.
    let jobs = [
        job("A", "brackte", 3, 9),
        job("B", "bracket", 0, 9),
        job("C", "ring", 3, 9),
        job("C", "ring", 3, 9).replace("2026-12-09", "soon"),
    ];
    let path = backlog(dir.path(), Path::new(&base), &jobs);
    let ran = queue(&path, &out, &[]);
    assert_eq!(ran.code, 2);
    for said in [
        "3 of 4 jobs",
        "did you mean bracket",
        "has no pieces",
        "neither a day",
    ] {
        assert!(ran.err.contains(said), "{said}: {}", ran.err);
    }
}

/// A folder that cannot be made is told before anything is searched, and is not made to find out.
#[test]
fn what_stands_in_the_way_of_the_folder_is_told_before_the_search() {
    let dir = tempfile::tempdir().unwrap();
    let base = demo("clean.load.ron");
    let path = backlog(dir.path(), Path::new(&base), &[job("B-1", "bracket", 4, 9)]);
    let file = dir.path().join("file");
    fs::write(&file, "x").unwrap();
    for out in [file.clone(), file.join("runs"), file.join("deep/runs")] {
        let ran = queue(&path, &out, &[]);
        assert_eq!(ran.code, 2);
        assert!(ran.err.contains("a file has that name"), "{}", ran.err);
        assert!(ran.err.contains(&file.display().to_string()), "{}", ran.err);
        assert!(!ran.err.contains("Filling load"), "{}", ran.err);
    }
    assert_eq!(fs::read(&file).unwrap(), b"x");
    let folder = dir.path().join("new/runs");
    files::may_make_folder(&folder).unwrap();
    assert!(!dir.path().join("new").exists());
    let there = fs::read_dir(dir.path()).unwrap().count();
    assert_eq!(there, 2, "the trial is taken away again");
}
