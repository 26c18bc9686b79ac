//! `setterwright queue BACKLOG -o DIR`.

use super::review::look;
use super::{Failure, Opened, Outcome, print_json};
use crate::arrange::{LeftOver, Turning, Wanted, Watch, late_min};
use crate::document::arranging::Counts;
use crate::document::queueing::{
    Pattern, QueueEffort, Queued, Waiting, figures, queue_loads, wanted, why_left,
};
use crate::files::{self, Backlog, BaseLoad, Working};
use crate::load::{Placement, Plan};
use crate::part::PartId;
use crate::text::nearest;
use crate::text::queueing as words;
use clap::Args;
use jiff::civil::DateTime;
use serde::Serialize;
use std::io::{IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;

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

A job may name its feedstock, base, priority, customer, and the run of its base in which it is kept.
A base load gives the furnace, the setters and posts, the profile and the part records. A job that is
not cleared needs a time at which it will be ready. The same as a table: columns lot, part, count and
the other names as headings.";

#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// The backlog (*.backlog.ron), or a table of its jobs (CSV).
    backlog: PathBuf,
    /// The folder into which the loads are written; it is made where it is not there.
    #[arg(short, long, value_name = "DIR")]
    output: PathBuf,
    /// With a table: a load whose furnace, furniture and profile the jobs use.
    #[arg(long, value_name = "LOAD")]
    base: Vec<PathBuf>,
    /// With a table: from when the furnaces may be used, "2026-12-01 06:00".
    #[arg(long, value_name = "MOMENT")]
    start: Option<String>,
    /// With a table: time between two runs of one furnace, min.
    #[arg(long, value_name = "MIN")]
    turnaround: Option<f64>,
    /// How long to search for one filling of a load: places tried. The same number gives the same
    /// loads.
    #[arg(long, value_name = "N", default_value_t = 400_000)]
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

/// A job that is not planned because nobody knows when it is ready.
struct NeverReady {
    lot: String,
    part: String,
    count: u32,
}

pub(super) fn run(arguments: &Arguments, out: &mut dyn Write) -> Outcome {
    let backlog = read(arguments)?;
    let folder = arguments.shop.as_deref().map(files::read_shop_folder);
    let folder = folder.transpose()?;
    let beside = arguments.backlog.parent().unwrap_or(Path::new(""));
    let mut bases = Vec::new();
    for base in &backlog.bases {
        let (plan, working) = files::open_load(&beside.join(&base.file), folder.as_ref())?;
        bases.push((base.name.clone(), Arc::new(plan), working));
    }
    let patterns: Vec<Pattern> = bases
        .iter()
        .map(|(name, plan, working)| Pattern {
            name: name.clone(),
            plan: Arc::clone(plan),
            catalogue: Arc::clone(&working.catalogue),
            shop: working.shop.clone(),
        })
        .collect();
    let (jobs, never) = waiting(&backlog, &patterns)?;
    let effort = QueueEffort {
        evaluations: arguments.budget,
        seed: arguments.seed,
        turning: Turning::RightAngles,
    };
    let made = std::cell::Cell::new(0);
    let tell = |group: usize| {
        made.set(made.get() + 1);
        if std::io::stderr().is_terminal() {
            let name = patterns.get(group).map_or("", |p| p.name.as_str());
            eprintln!("{}", words::making(made.get(), name));
        }
    };
    let watch = Watch::default();
    let queued = queue_loads(
        &patterns,
        &jobs,
        backlog.turnaround_min,
        effort,
        &watch,
        &tell,
    )
    .map_err(Failure::Input)?;
    let folders: Vec<PathBuf> = backlog
        .bases
        .iter()
        .map(|base| beside.join(&base.file))
        .map(|file| file.parent().unwrap_or(Path::new("")).to_owned())
        .collect();
    let shown = Shown {
        folders: &folders,
        backlog: &backlog,
        patterns: &patterns,
        jobs: &jobs,
        never: &never,
        queued: &queued,
    };
    let runs = shown.write(&bases, &arguments.output)?;
    if arguments.json {
        print_json(out, &shown.json(runs))?;
        return Ok(0);
    }
    shown.print(&runs, out)?;
    Ok(0)
}

fn read(arguments: &Arguments) -> Result<Backlog, Failure> {
    let is_table = arguments
        .backlog
        .extension()
        .is_some_and(|e| e.eq_ignore_ascii_case("csv"));
    let own = !arguments.base.is_empty() || arguments.start.is_some();
    if !is_table {
        if own || arguments.turnaround.is_some() {
            return Err(Failure::Input(words::only_for_tables()));
        }
        return Ok(files::read_backlog(&arguments.backlog)?);
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
    let turnaround = arguments.turnaround.unwrap_or(0.0);
    Ok(files::read_jobs(
        &arguments.backlog,
        bases.collect(),
        begins,
        turnaround,
    )?)
}

/// Jobs with their parts, and those that nobody knows when to load.
fn waiting(
    backlog: &Backlog,
    patterns: &[Pattern],
) -> Result<(Vec<Waiting>, Vec<NeverReady>), Failure> {
    let (mut jobs, mut never) = (Vec::new(), Vec::new());
    for job in &backlog.jobs {
        let among = || {
            let named = |p: &(usize, &Pattern)| job.base.as_ref().is_none_or(|b| *b == p.1.name);
            patterns.iter().enumerate().filter(named)
        };
        let found = among().find_map(|(at, pattern)| {
            let same = |name: &str| name.eq_ignore_ascii_case(&job.part);
            let part = pattern.plan.parts.iter().find(|p| same(&p.name))?;
            Some((at, part))
        });
        let Some((pattern, part)) = found else {
            let names = among().flat_map(|(_, p)| p.plan.parts.iter().map(|p| p.name.as_str()));
            let near = nearest(&job.part, names, 3);
            let why = words::no_such_part(&job.lot, &job.part, &near);
            return Err(Failure::Input(why));
        };
        if let Some(said) = &job.feedstock
            && *said != part.feedstock
        {
            let why = words::other_feedstock(&job.lot, &part.name, &part.feedstock, said);
            return Err(Failure::Input(why));
        }
        let ready_min = match (job.cleared, job.ready_at()) {
            (true, _) => 0.0,
            (false, Some(ready)) => minutes(backlog.start, ready).max(0.0),
            (false, None) => {
                never.push(NeverReady {
                    lot: job.lot.clone(),
                    part: part.name.clone(),
                    count: job.count,
                });
                continue;
            }
        };
        jobs.push(Waiting {
            lot: job.lot.clone(),
            part: part.id,
            customer: job.customer.clone(),
            wanted: Wanted {
                group: pattern,
                pieces: job.count,
                due_min: job.due_at().map(|due| minutes(backlog.start, due)),
                ready_min,
                priority: job.priority,
                run: job.run,
            },
        });
    }
    Ok((jobs, never))
}

fn minutes(from: DateTime, to: DateTime) -> f64 {
    60.0 * crate::catalogue::when::hours_between(from, to)
}

fn after(start: DateTime, min: f64) -> DateTime {
    // A start to the minute, as it is typed.
    let span = jiff::SignedDuration::from_secs((min.ceil() as i64).saturating_mul(60));
    start.checked_add(span).unwrap_or(DateTime::MAX)
}

fn clock(at: DateTime) -> String {
    at.strftime("%Y-%m-%d %H:%M").to_string()
}

struct Shown<'a> {
    /// Where the base loads lie.
    folders: &'a [PathBuf],
    backlog: &'a Backlog,
    patterns: &'a [Pattern],
    jobs: &'a [Waiting],
    never: &'a [NeverReady],
    queued: &'a Queued,
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
    levels_left_out: usize,
    stops: usize,
    cautions: usize,
    not_evaluated: usize,
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
}

#[derive(Serialize)]
struct LeftJson {
    lot: String,
    part: String,
    pieces: u32,
    why: String,
}

#[derive(Serialize)]
struct QueueJson {
    schema: &'static str,
    version: u32,
    runs: Vec<RunJson>,
    least_runs_by_area: Option<usize>,
    late_pieces: u32,
    left: Vec<LeftJson>,
}

impl Shown<'_> {
    fn part_name(&self, pattern: usize, id: PartId) -> String {
        let plan = self.patterns.get(pattern).map(|p| &p.plan);
        let part = plan.and_then(|plan| plan.part(id));
        part.map_or_else(String::new, |p| p.name.clone())
    }

    /// Writes the loads; nothing that is there is written over.
    fn write(
        &self,
        bases: &[(String, Arc<Plan>, Working)],
        dir: &Path,
    ) -> Result<Vec<RunJson>, Failure> {
        let runs = &self.queued.queue.runs;
        let name = |at: usize| dir.join(format!("run-{:02}.load.ron", at + 1));
        if let Some(there) = (0..runs.len()).map(name).find(|path| files::is_there(path)) {
            let there = there.display().to_string();
            return Err(Failure::Input(words::already_there(&there)));
        }
        files::make_folder(dir)?;
        let mut out = Vec::new();
        for (at, run) in runs.iter().enumerate() {
            let (Some(pattern), Some((base, base_plan, working))) =
                (self.patterns.get(run.group), bases.get(run.group))
            else {
                continue;
            };
            let start = after(self.backlog.start, run.start_min);
            let mut plan = run.filled.load.plan.as_ref().clone();
            plan.title = words::title(base, at + 1);
            plan.planned_start = Some(start.strftime("%Y-%m-%d").to_string());
            plan.planned_start_time = Some(start.strftime("%H:%M").to_string());
            let path = name(at);
            let from = self.folders.get(run.group).map_or(Path::new(""), |f| f);
            let plan = files::moved(&plan, from, dir);
            files::save_load(&path, &plan, working)?;
            let numbers = figures(pattern, &plan);
            let counts = Counts::of(&look(&Opened {
                plan: plan.clone(),
                working: working.clone(),
            }));
            out.push(RunJson {
                run: at + 1,
                base: base.clone(),
                furnace: plan.load.furnace.clone(),
                file: path.display().to_string(),
                start: clock(start),
                end: clock(after(self.backlog.start, run.end_min)),
                lots: self.lots(at),
                setters: with_parts(&plan),
                fill: numbers.fill,
                levels_left_out: base_plan.levels().count() - plan.levels().count(),
                stops: counts.stops,
                cautions: counts.cautions,
                not_evaluated: counts.missing,
            });
        }
        Ok(out)
    }

    fn lots(&self, at: usize) -> Vec<LotJson> {
        let Some(run) = self.queued.queue.runs.get(at) else {
            return Vec::new();
        };
        let jobs = wanted(self.jobs);
        let dues = run.filled.taken.iter();
        let first = dues
            .filter_map(|(i, _)| self.jobs.get(*i)?.wanted.due_min)
            .fold(f64::INFINITY, f64::min);
        let of = |(i, pieces): &(usize, u32)| {
            let job = self.jobs.get(*i)?;
            let said = self.backlog.jobs.iter().find(|j| j.lot == job.lot)?;
            let until = (job.wanted.ready_min > 0.0)
                .then(|| after(self.backlog.start, job.wanted.ready_min));
            Some(LotJson {
                lot: job.lot.clone(),
                part: self.part_name(job.wanted.group, job.part),
                pieces: *pieces,
                of: job.wanted.pieces,
                due: said.due.clone(),
                late_min: late_min(&jobs, *i, run.end_min),
                fills_up: job.wanted.run.is_none()
                    && job.wanted.due_min.is_none_or(|due| due > first),
                kept_in_this_run: job.wanted.run.is_some(),
                not_cleared_until: until.map(clock),
            })
        };
        run.filled.taken.iter().filter_map(of).collect()
    }

    fn left(&self) -> Vec<LeftJson> {
        let mut out: Vec<LeftJson> = self
            .never
            .iter()
            .map(|job| LeftJson {
                lot: job.lot.clone(),
                part: job.part.clone(),
                pieces: job.count,
                why: words::never_ready(),
            })
            .collect();
        for ((entry, pieces), why) in &self.queued.queue.left {
            let Some(job) = self.jobs.get(*entry) else {
                continue;
            };
            let reason = self.queued.reasons.get(entry);
            let reason = reason.filter(|_| *why == LeftOver::NoPlace);
            out.push(LeftJson {
                lot: job.lot.clone(),
                part: self.part_name(job.wanted.group, job.part),
                pieces: *pieces,
                why: why_left(*why, reason),
            });
        }
        out
    }

    fn json(&self, runs: Vec<RunJson>) -> QueueJson {
        QueueJson {
            schema: "setterwright.queue",
            version: 1,
            runs,
            least_runs_by_area: self.queued.least,
            late_pieces: self.queued.queue.lateness(&wanted(self.jobs)).0,
            left: self.left(),
        }
    }

    fn print(&self, runs: &[RunJson], out: &mut dyn Write) -> Result<(), Failure> {
        writeln!(out, "{}", words::runs(runs.len(), self.queued.least))?;
        for run in runs {
            writeln!(out)?;
            let head = words::run(run.run, &run.base, &run.start, &run.end);
            writeln!(out, "{head}")?;
            let pieces = run.lots.iter().map(|lot| lot.pieces).sum();
            let filled = words::filled(pieces, run.setters, run.fill, run.levels_left_out);
            writeln!(out, "{filled}")?;
            for lot in &run.lots {
                let mut when = match &lot.due {
                    None => words::not_due(),
                    Some(due) if lot.late_min > 0.0 => words::late(due, &words::span(lot.late_min)),
                    Some(due) => words::in_time(due),
                };
                if lot.kept_in_this_run {
                    when += &words::pinned();
                }
                if lot.fills_up {
                    when += &words::filler();
                }
                if let Some(until) = &lot.not_cleared_until {
                    when += &words::not_cleared(until);
                }
                let line = words::lot(&lot.lot, &lot.part, lot.pieces, lot.of, &when);
                writeln!(out, "{line}")?;
            }
            let line = words::reviewed(run.stops, run.cautions, run.not_evaluated, &run.file);
            writeln!(out, "{line}")?;
        }
        let left = self.left();
        if !left.is_empty() {
            writeln!(out, "\n{}", words::left_over())?;
            for job in &left {
                let line = words::left(&job.lot, &job.part, job.pieces, &job.why);
                writeln!(out, "{line}")?;
            }
        }
        let most = runs.iter().flat_map(|run| &run.lots);
        let most = most.map(|lot| lot.late_min).fold(0.0, f64::max);
        let late = self.queued.queue.lateness(&wanted(self.jobs)).0;
        writeln!(out, "\n{}", words::lateness(late, most))?;
        writeln!(out, "{}", words::how_counted())?;
        Ok(())
    }
}

/// Setters with parts on them; others carry thermocouples or what stays.
fn with_parts(plan: &Plan) -> usize {
    let part = |p: &Placement| p.item.is_production();
    let levels = plan.levels();
    levels
        .filter(|(_, l)| l.placements.iter().any(part))
        .count()
}
