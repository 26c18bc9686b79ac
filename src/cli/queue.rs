//! `setterwright queue BACKLOG -o DIR`.

use super::arrange::Counting;
use super::{Failure, Outcome, print_json};
use crate::arrange::{MOST_RUNS, Turning, Watch};
use crate::document::backlog::{Bases, Judged, LeftJob, RunLot, RunTrap, Runs, row_faults};
use crate::document::queueing::QueueEffort;
use crate::files::{self, BaseLoad};
use crate::text::queueing as words;
use clap::Args;
use jiff::civil::DateTime;
use serde::Serialize;
use std::cell::RefCell;
use std::io::Write;
use std::path::{Path, PathBuf};

/// What a backlog looks like.
pub(super) const HELP: &str = "\
A backlog file (RON; days and moments as 2026-12-01 and 2026-12-01 14:00):

  (
    kind: \"backlog\", version: 1,
    bases: [(name: \"brackets\", file: \"clean.load.ron\")],
    start: \"2026-12-01 06:00\",
    turnaround_min: 90,
    jobs: [
      (lot: \"L-501\", part: \"Bracket\", count: 40, due: Some(\"2026-12-02\"), cleared: true),
      (lot: \"L-502\", part: \"Ring\", count: 24, ready: Some(\"2026-12-02 08:00\"), priority: 1),
    ],
  )

A job may name its feedstock, base, priority (0 to 99; the greater goes first among those due at
one time), customer, and the run of its base in which it is kept.
A base load gives the furnace, the setters and posts, the coupons, the profile and the part records;
posts and more setters come from the stock as well (--keep-posts). A job that is
not cleared needs a time at which it will be ready. Of a lot that has the number of one in its base load
the papers are taken over (feedstock, oversize, customer), and no weighings, bath or drying.
The same as a table: columns lot, part, count and the other names as headings.

  setterwright queue week.backlog.ron -o runs --shop shop
  setterwright queue jobs.csv -o runs --base clean.load.ron --start \"2026-12-01 06:00\" --turnaround 90";

#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// The backlog (*.backlog.ron), or a table of its jobs (CSV).
    backlog: PathBuf,
    /// The folder into which the loads are written, run-01.load.ron and on; it is made where it is
    /// not there, and must not have such loads yet.
    #[arg(short, long, value_name = "DIR")]
    output: PathBuf,
    /// With a table: a load whose furnace, furniture and profile the jobs use.
    #[arg(long, value_name = "LOAD")]
    base: Vec<PathBuf>,
    /// With a table: from when the furnaces may be used, "2026-12-01 06:00".
    #[arg(long, value_name = "MOMENT")]
    start: Option<String>,
    /// With a table: time between two runs of one furnace, min.
    #[arg(long, value_name = "MIN", allow_negative_numbers = true)]
    turnaround: Option<f64>,
    #[command(flatten)]
    counting: Counting,
    /// Leaves every level on its posts; without this, posts and setters in stock are chosen anew
    /// where not all goes in, and for the lowest stack.
    #[arg(long)]
    keep_posts: bool,
    /// How long to search for one filling of a load: places tried. The same number gives the same
    /// loads.
    #[arg(
        long,
        value_name = "N",
        default_value_t = 400_000,
        allow_negative_numbers = true
    )]
    #[arg(value_parser = clap::value_parser!(u64).range(1..))]
    budget: u64,
    /// Another number gives other layouts.
    #[arg(long, value_name = "N", default_value_t = 1)]
    seed: u64,
    /// Uses the records of this shop folder.
    #[arg(long, value_name = "DIR")]
    shop: Option<PathBuf>,
    /// As JSON.
    #[arg(long)]
    json: bool,
}

pub(super) fn run(arguments: &Arguments, out: &mut dyn Write, err: &mut dyn Write) -> Outcome {
    let table = for_table(arguments)?;
    let folder = arguments.shop.as_deref().map(files::read_shop_folder);
    let folder = folder.transpose()?;
    let beside = arguments.backlog.parent().unwrap_or(Path::new(""));
    let given = table.as_ref().map_or(&[][..], |(bases, _)| bases);
    let faults = row_faults(&arguments.backlog, given, folder.as_ref());
    if let Some(faults) = faults {
        return Err(Failure::Input(faults));
    }
    let backlog = match table {
        None => files::read_backlog(&arguments.backlog)?,
        Some((bases, begins)) => {
            let turnaround = arguments.turnaround.unwrap_or(0.0);
            files::read_jobs(&arguments.backlog, bases, begins, turnaround)?
        }
    };
    let bases = Bases::open(backlog, beside, folder.as_ref())?;
    let weights = arguments.counting.weights();
    let effort = QueueEffort {
        evaluations: arguments.budget,
        seed: arguments.seed,
        turning: Turning::RightAngles,
        anew: !arguments.keep_posts,
        weights: weights.map_err(|why| Failure::Input(words::not_planned(&why)))?,
    };
    // Not among the answer, which a program may read; where nobody reads it, it is not missed.
    let err = RefCell::new(err);
    let tell = |sentence: &str| drop(writeln!(err.borrow_mut(), "{sentence}"));
    // A folder with runs in it is told before the search, and not after it.
    let mut all = (0..MOST_RUNS).map(|at| run_file(&arguments.output, at));
    if let Some(there) = all.find(|file| files::is_there(file)) {
        return Err(is_there(&there));
    }
    files::may_make_folder(&arguments.output)?;
    tell(&words::budget(arguments.budget));
    let made = bases.queue(effort, &Watch::default(), &tell);
    let made = made.map_err(Failure::Input)?;
    let done = match made.count() {
        0 => NO_RUN,
        _ => 0,
    };
    tell(&words::reviewing());
    let runs = write_runs(&made, &arguments.output, effort.anew)?;
    if arguments.json {
        let lateness = made.lateness();
        let json = QueueJson {
            schema: "setterwright.queue",
            version: 1,
            runs_without_stop: made.without_stop(runs.iter().map(|run| &run.judged)),
            runs,
            least_runs_by_area: made.least(),
            late_pieces: lateness.late,
            in_no_run_pieces: lateness.in_none,
            in_no_run_due_pieces: lateness.in_none_due,
            short_of_stock: made.short_of_stock(),
            notes: made.notes(),
            left: made.left().into_iter().map(LeftJson::from).collect(),
        };
        print_json(out, &json)?;
        return Ok(done);
    }
    print(&made, &runs, out)?;
    Ok(done)
}

/// The exit where there is no run, and nothing written.
const NO_RUN: u8 = 1;

/// Base loads and start of a table of jobs; none for a backlog file, which has its own.
fn for_table(arguments: &Arguments) -> Result<Option<(Vec<BaseLoad>, DateTime)>, Failure> {
    let is_table = files::is_table(&arguments.backlog);
    let own = !arguments.base.is_empty() || arguments.start.is_some();
    if !is_table {
        if own || arguments.turnaround.is_some() {
            return Err(Failure::Input(words::only_for_tables()));
        }
        return Ok(None);
    }
    let start = arguments.start.as_deref();
    let (false, Some(start)) = (arguments.base.is_empty(), start) else {
        return Err(Failure::Input(words::table_needs_bases()));
    };
    let begins = crate::catalogue::when::moment(start)
        .ok_or_else(|| Failure::Input(words::not_a_start(start)))?;
    let bases = arguments.base.iter().map(|file| {
        let name = file.file_name().unwrap_or_default().to_string_lossy();
        BaseLoad {
            name: name.trim_end_matches(".load.ron").to_owned(),
            // Named on the command line, so from where that was typed.
            file: std::path::absolute(file).unwrap_or_else(|_| file.clone()),
        }
    });
    Ok(Some((bases.collect(), begins)))
}

/// A run as it was written.
#[derive(Serialize)]
struct RunJson {
    run: usize,
    base: String,
    furnace: String,
    file: String,
    start: String,
    end: String,
    lots: Vec<LotJson>,
    setters: usize,
    fill: Option<f64>,
    levels_on_other_posts: usize,
    levels_with_another_setter: usize,
    levels_added: usize,
    levels_left_out: usize,
    height_mm: Option<f64>,
    coupons: usize,
    trap: Option<TrapJson>,
    stops: usize,
    stop_names: Vec<String>,
    filled_only_so_far_for: Vec<String>,
    stops_of_single_pieces: Vec<String>,
    stops_of_runs_before: Vec<String>,
    other_new_stops: Vec<String>,
    cautions: usize,
    /// Names of those that the base load has not; null where the review was not finished.
    new_cautions: Option<Vec<String>>,
    not_evaluated: usize,
    /// For people.
    #[serde(skip)]
    judged: Judged,
    /// For people.
    #[serde(skip)]
    levels: String,
    /// For people.
    #[serde(skip)]
    trap_said: Option<String>,
}

#[derive(Serialize)]
struct TrapJson {
    before_g: Option<f64>,
    after_g: Option<f64>,
    capacity_g: f64,
}

impl From<RunTrap> for TrapJson {
    fn from(trap: RunTrap) -> TrapJson {
        TrapJson {
            before_g: trap.before_g,
            after_g: trap.after_g(),
            capacity_g: trap.capacity_g,
        }
    }
}

#[derive(Serialize)]
struct LotJson {
    lot: String,
    part: String,
    pieces: u32,
    of: u32,
    due: Option<String>,
    late_min: f64,
    fills_up: bool,
    kept_in_this_run: bool,
    not_cleared_until: Option<String>,
    /// For people.
    #[serde(skip)]
    when: String,
}

impl From<&RunLot> for LotJson {
    fn from(lot: &RunLot) -> LotJson {
        let (when, lot) = (lot.when(), lot.clone());
        LotJson {
            lot: lot.lot,
            part: lot.part,
            pieces: lot.pieces,
            of: lot.of,
            due: lot.due,
            late_min: lot.late_min,
            fills_up: lot.fills_up,
            kept_in_this_run: lot.kept_in_this_run,
            not_cleared_until: lot.not_cleared_until,
            when,
        }
    }
}

#[derive(Serialize)]
struct LeftJson {
    lot: String,
    part: String,
    pieces: u32,
    due: Option<String>,
    why: String,
}

impl From<LeftJob> for LeftJson {
    fn from(job: LeftJob) -> LeftJson {
        LeftJson {
            lot: job.lot,
            part: job.part,
            pieces: job.pieces,
            due: job.due,
            why: job.why,
        }
    }
}

#[derive(Serialize)]
struct QueueJson {
    schema: &'static str,
    version: u32,
    runs: Vec<RunJson>,
    runs_without_stop: usize,
    least_runs_by_area: Option<usize>,
    late_pieces: u32,
    in_no_run_pieces: u32,
    in_no_run_due_pieces: u32,
    short_of_stock: Vec<String>,
    /// Of lots with the number of one in their base load.
    notes: Vec<String>,
    left: Vec<LeftJson>,
}

/// The file of a run, counted from 0.
fn run_file(dir: &Path, at: usize) -> PathBuf {
    dir.join(format!("run-{:02}.load.ron", at + 1))
}

fn is_there(path: &Path) -> Failure {
    Failure::Input(words::already_there(&path.display().to_string()))
}

/// Writes the loads into a folder that has none yet.
fn write_runs(made: &Runs, dir: &Path, anew: bool) -> Result<Vec<RunJson>, Failure> {
    if made.count() > 0 {
        files::make_folder(dir)?;
    }
    let mut out = Vec::new();
    for at in 0..made.count() {
        let (Some(plan), Some(base), Some(run)) = (made.plan(at), made.base(at), made.shown(at))
        else {
            continue;
        };
        let path = run_file(dir, at);
        files::save_load_from(&base.folder, &path, &plan, &base.working)?;
        let Some(judged) = made.judged(at, &Watch::default()) else {
            continue;
        };
        let [on_other_posts, with_another_setter, added, left_out] = run.levels;
        let counts = judged.counts;
        out.push(RunJson {
            run: run.number,
            base: run.base,
            furnace: run.furnace,
            file: path.display().to_string(),
            start: run.start,
            end: run.end,
            lots: run.lots.iter().map(LotJson::from).collect(),
            setters: run.setters,
            fill: run.fill,
            levels_on_other_posts: on_other_posts,
            levels_with_another_setter: with_another_setter,
            levels_added: added,
            levels_left_out: left_out,
            height_mm: run.height_mm[0],
            coupons: run.coupons,
            trap: run.trap.map(TrapJson::from),
            levels: words::levels(run.levels, run.height_mm, anew),
            trap_said: run.trap.map(|trap| trap.sentence()),
            stops: counts.stops,
            stop_names: judged.stops.clone(),
            filled_only_so_far_for: judged.held_by.clone(),
            stops_of_single_pieces: judged.of_single_pieces.clone(),
            stops_of_runs_before: judged.of_runs_before.clone(),
            other_new_stops: judged.others.clone(),
            new_cautions: judged.all_new_cautions().map(<[_]>::to_vec),
            judged,
            cautions: counts.cautions,
            not_evaluated: counts.missing,
        });
    }
    Ok(out)
}

fn print(made: &Runs, runs: &[RunJson], out: &mut dyn Write) -> Result<(), Failure> {
    let summary = made.summary(runs.iter().map(|run| &run.judged));
    writeln!(out, "{summary}")?;
    if made.count() > 0 {
        writeln!(out, "{}", words::least(made.least()))?;
    }
    for run in runs {
        writeln!(out)?;
        let head = words::run(run.run, &run.base, &run.start, &run.end);
        writeln!(out, "{head}")?;
        let pieces = run.lots.iter().map(|lot| lot.pieces).sum();
        let filled = words::filled(pieces, run.coupons, run.setters, run.fill);
        writeln!(out, "{filled}")?;
        writeln!(out, "{}", run.levels)?;
        if let Some(trap) = &run.trap_said {
            writeln!(out, "{trap}")?;
        }
        for lot in &run.lots {
            let line = words::lot(&lot.lot, &lot.part, lot.pieces, lot.of, &lot.when);
            writeln!(out, "{line}")?;
        }
        let (stops, missing) = (run.stops, run.not_evaluated);
        let line = words::reviewed(stops, &run.stop_names, run.cautions, missing, &run.file);
        writeln!(out, "{line}")?;
        for sentence in run.judged.sentences() {
            writeln!(out, "{sentence}")?;
        }
    }
    let left = made.left();
    if !left.is_empty() {
        writeln!(out, "\n{}", words::left_over())?;
        for job in &left {
            writeln!(out, "{}", job.line())?;
        }
    }
    writeln!(out, "\n{}", made.lateness().sentence())?;
    for line in made.short_of_stock().into_iter().chain(made.notes()) {
        writeln!(out, "{line}")?;
    }
    if made.count() > 0 {
        writeln!(out, "{}", words::how_counted())?;
    }
    if runs.iter().any(|run| run.trap.is_some()) {
        writeln!(out, "{}", words::how_carried())?;
    }
    Ok(())
}
