//! A backlog from its file to runs that can be shown, written and opened, for command line and
//! window alike, and the job of the window.

use super::arranging::Counts;
use super::hash::InputHash;
use super::job::{Ticket, Wake};
use super::queueing::{
    Pattern, QueueEffort, Queued, Waiting, figures, queue_loads, wanted, why_left,
};
use super::searching::Searching;
use crate::arrange::{LeftOver, Turning, Wanted, Watch, late_min};
use crate::catalogue::when;
use crate::files::{self, Backlog, BaseLoad, FileFault, ShopFolder, Working};
use crate::load::{Placement, Plan};
use crate::part::{Part, PartId, Shape};
use crate::review::{Given, review};
use crate::text::nearest;
use crate::text::queueing as words;
use jiff::civil::DateTime;
use std::cell::Cell;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A backlog with its base loads.
pub struct Bases {
    /// The backlog.
    pub backlog: Backlog,
    /// The base loads, in its order.
    pub loads: Vec<Base>,
}

/// A load that serves as a pattern.
#[derive(Clone)]
pub struct Base {
    /// Name.
    pub name: String,
    /// The load.
    pub plan: Arc<Plan>,
    /// Its records.
    pub working: Working,
    /// Where its mesh paths begin.
    pub folder: PathBuf,
}

impl Bases {
    /// Reads the base loads of a backlog that lies in a folder.
    ///
    /// # Errors
    /// What is wrong with one of their files.
    pub fn open(
        backlog: Backlog,
        beside: &Path,
        folder: Option<&ShopFolder>,
    ) -> Result<Bases, FileFault> {
        let mut loads = Vec::new();
        for base in &backlog.bases {
            let file = beside.join(&base.file);
            let (plan, working) = files::open_load(&file, folder)?;
            loads.push(Base {
                name: base.name.clone(),
                plan: Arc::new(plan),
                working,
                folder: file.parent().unwrap_or(Path::new("")).to_owned(),
            });
        }
        Ok(Bases { backlog, loads })
    }

    fn patterns(&self) -> Vec<Pattern> {
        let pattern = |base: &Base| Pattern {
            name: base.name.clone(),
            plan: Arc::clone(&base.plan),
            catalogue: Arc::clone(&base.working.catalogue),
            shop: base.working.shop.clone(),
        };
        self.loads.iter().map(pattern).collect()
    }

    /// Makes the runs; `tell` is told of each load before it is filled.
    ///
    /// # Errors
    /// A sentence about a job or a base load that cannot be used.
    pub fn queue(
        self,
        effort: QueueEffort,
        watch: &Watch,
        tell: &dyn Fn(usize, &str),
    ) -> Result<Runs, String> {
        let patterns = self.patterns();
        let (jobs, never) = waiting(&self.backlog, &patterns)?;
        let made = Cell::new(0);
        let tell = |group: usize| {
            made.set(made.get() + 1);
            tell(
                made.get(),
                patterns.get(group).map_or("", |p| p.name.as_str()),
            );
        };
        let turnaround_min = self.backlog.turnaround_min;
        let queued = queue_loads(&patterns, &jobs, turnaround_min, effort, watch, &tell)?;
        Ok(Runs {
            bases: self,
            patterns,
            jobs,
            never,
            queued,
        })
    }
}

/// A job that is not planned because nobody knows when it is ready.
struct NeverReady {
    lot: String,
    part: String,
    count: u32,
}

/// Jobs with their parts, and those that nobody knows when to load.
fn waiting(
    backlog: &Backlog,
    patterns: &[Pattern],
) -> Result<(Vec<Waiting>, Vec<NeverReady>), String> {
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
            return Err(words::no_such_part(&job.lot, &job.part, &near));
        };
        if let Some(said) = &job.feedstock
            && *said != part.feedstock
        {
            let (lot, name, has) = (&job.lot, &part.name, &part.feedstock);
            return Err(words::other_feedstock(lot, name, has, said));
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
    60.0 * when::hours_between(from, to)
}

fn after(start: DateTime, min: f64) -> DateTime {
    // A start to the minute, as it is typed.
    let span = jiff::SignedDuration::from_secs((min.ceil() as i64).saturating_mul(60));
    start.checked_add(span).unwrap_or(DateTime::MAX)
}

fn clock(at: DateTime) -> String {
    at.strftime("%Y-%m-%d %H:%M").to_string()
}

/// What a backlog became.
pub struct Runs {
    bases: Bases,
    patterns: Vec<Pattern>,
    jobs: Vec<Waiting>,
    never: Vec<NeverReady>,
    queued: Queued,
}

/// A run as it is shown.
#[derive(Clone, Debug)]
pub struct RunShown {
    /// From 1.
    pub number: usize,
    /// Name of its base load.
    pub base: String,
    /// Furnace slug.
    pub furnace: String,
    /// Start and end, `2026-12-01 06:00`.
    pub start: String,
    /// See `start`.
    pub end: String,
    /// Lots in it.
    pub lots: Vec<RunLot>,
    /// Setters with parts on them.
    pub setters: usize,
    /// Share of their usable faces that is taken.
    pub fill: Option<f64>,
    /// Levels of the base load that are not built.
    pub levels_left_out: usize,
}

/// A lot in a run.
#[derive(Clone, Debug)]
pub struct RunLot {
    /// Lot number.
    pub lot: String,
    /// Part.
    pub part: String,
    /// Pieces in this run.
    pub pieces: u32,
    /// Pieces of the job.
    pub of: u32,
    /// As it was written.
    pub due: Option<String>,
    /// min.
    pub late_min: f64,
    /// Whether it is due later than what the run is made for.
    pub fills_up: bool,
    /// Whether it was pinned.
    pub kept_in_this_run: bool,
    /// When it will be cleared, where it is not.
    pub not_cleared_until: Option<String>,
}

impl RunLot {
    /// When it is due, whether it is late, and why it is here.
    pub fn when(&self) -> String {
        let mut when = match &self.due {
            None => words::not_due(),
            Some(due) if self.late_min > 0.0 => words::late(due, &words::span(self.late_min)),
            Some(due) => words::in_time(due),
        };
        if self.kept_in_this_run {
            when += &words::pinned();
        }
        if self.fills_up {
            when += &words::filler();
        }
        if let Some(until) = &self.not_cleared_until {
            when += &words::not_cleared(until);
        }
        when
    }
}

/// Pieces in no run.
#[derive(Clone, Debug)]
pub struct LeftJob {
    /// Lot number.
    pub lot: String,
    /// Part.
    pub part: String,
    /// Pieces.
    pub pieces: u32,
    /// Why.
    pub why: String,
}

impl Runs {
    /// How many.
    pub fn count(&self) -> usize {
        self.queued.queue.runs.len()
    }

    /// Fewest by area; none where a base load does not tell.
    pub fn least(&self) -> Option<usize> {
        self.queued.least
    }

    /// Pieces that are late, and the most that one is late by, min.
    pub fn lateness(&self) -> (u32, f64) {
        let lots = (0..self.count()).flat_map(|at| self.lots(at));
        let most_min = lots.map(|lot| lot.late_min).fold(0.0, f64::max);
        let (pieces, _) = self.queued.queue.lateness(&wanted(&self.jobs));
        (pieces, most_min)
    }

    /// The base load of a run.
    pub fn base(&self, at: usize) -> Option<&Base> {
        self.bases.loads.get(self.queued.queue.runs.get(at)?.group)
    }

    /// The load of a run, with title and start; mesh paths are relative to the base load's folder.
    pub fn plan(&self, at: usize) -> Option<Plan> {
        let run = self.queued.queue.runs.get(at)?;
        let start = after(self.bases.backlog.start, run.start_min);
        let mut plan = run.filled.load.plan.as_ref().clone();
        plan.title = words::title(&self.base(at)?.name, at + 1);
        plan.planned_start = Some(start.strftime("%Y-%m-%d").to_string());
        plan.planned_start_time = Some(start.strftime("%H:%M").to_string());
        Some(plan)
    }

    /// The same to be opened from nowhere: with whole mesh paths.
    pub fn opened(&self, at: usize) -> Option<(Plan, Working)> {
        let (mut plan, base) = (self.plan(at)?, self.base(at)?);
        for part in &mut plan.parts {
            if let Shape::Mesh { file, .. } = &part.shape {
                let whole = base.folder.join(file).display().to_string();
                let part: &mut Part = Arc::make_mut(part);
                if let Shape::Mesh { file, .. } = &mut part.shape {
                    *file = whole;
                }
            }
        }
        Some((plan, base.working.clone()))
    }

    /// A run as it is shown.
    pub fn shown(&self, at: usize) -> Option<RunShown> {
        let run = self.queued.queue.runs.get(at)?;
        let (base, plan) = (self.base(at)?, &run.filled.load.plan);
        let numbers = figures(self.patterns.get(run.group)?, plan);
        let start = self.bases.backlog.start;
        Some(RunShown {
            number: at + 1,
            base: base.name.clone(),
            furnace: plan.load.furnace.clone(),
            start: clock(after(start, run.start_min)),
            end: clock(after(start, run.end_min)),
            lots: self.lots(at),
            setters: with_parts(plan),
            fill: numbers.fill,
            levels_left_out: base.plan.levels().count() - plan.levels().count(),
        })
    }

    /// What the review says of a run's load, without a forecast.
    pub fn reviewed(&self, at: usize) -> Option<Counts> {
        let (base, plan) = (self.base(at)?, self.plan(at)?);
        let found = review(&Given {
            plan: &plan,
            catalogue: &base.working.catalogue,
            shop: base.working.shop.as_deref(),
            differences: &base.working.told_differences(),
            standard: None,
            forecast: None,
        });
        Some(Counts::of(&found))
    }

    fn part_name(&self, pattern: usize, id: PartId) -> String {
        let plan = self.patterns.get(pattern).map(|p| &p.plan);
        let part = plan.and_then(|plan| plan.part(id));
        part.map_or_else(String::new, |p| p.name.clone())
    }

    fn lots(&self, at: usize) -> Vec<RunLot> {
        let Some(run) = self.queued.queue.runs.get(at) else {
            return Vec::new();
        };
        let jobs = wanted(&self.jobs);
        let start = self.bases.backlog.start;
        let dues = run.filled.taken.iter();
        let first = dues
            .filter_map(|(i, _)| self.jobs.get(*i)?.wanted.due_min)
            .fold(f64::INFINITY, f64::min);
        let of = |(i, pieces): &(usize, u32)| {
            let job = self.jobs.get(*i)?;
            let said = self.bases.backlog.jobs.iter();
            let said = said.into_iter().find(|j| j.lot == job.lot)?;
            let until = (job.wanted.ready_min > 0.0).then(|| after(start, job.wanted.ready_min));
            Some(RunLot {
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

    /// What is in no run, and why.
    pub fn left(&self) -> Vec<LeftJob> {
        let never = self.never.iter().map(|job| LeftJob {
            lot: job.lot.clone(),
            part: job.part.clone(),
            pieces: job.count,
            why: words::never_ready(),
        });
        let mut out: Vec<LeftJob> = never.collect();
        for ((entry, pieces), why) in &self.queued.queue.left {
            let Some(job) = self.jobs.get(*entry) else {
                continue;
            };
            let reason = self.queued.reasons.get(entry);
            let reason = reason.filter(|_| *why == LeftOver::NoPlace);
            out.push(LeftJob {
                lot: job.lot.clone(),
                part: self.part_name(job.wanted.group, job.part),
                pieces: *pieces,
                why: why_left(*why, reason),
            });
        }
        out
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

/// A backlog that the window asks for.
pub struct ToQueue {
    /// The file: RON, or with `table` a table of jobs.
    pub file: PathBuf,
    /// What a table does not say.
    pub table: Option<ForTable>,
    /// Evaluations for one filling of a load.
    pub evaluations: u64,
    /// Another number gives other loads.
    pub seed: u64,
    /// Records of the shop.
    pub shop: Option<ShopFolder>,
}

/// What a table of jobs does not say.
pub struct ForTable {
    /// From when the furnace may be used.
    pub start: DateTime,
    /// Between two runs, min.
    pub turnaround_min: f64,
    /// The load that serves as the pattern.
    pub base: Base,
}

/// A run of the list, as it is shown in the window.
pub struct Listed {
    /// The run.
    pub run: RunShown,
    /// What the review says of it without a forecast.
    pub counts: Counts,
}

/// What the window shows of a backlog.
pub struct QueuedRuns {
    /// The runs themselves, to be opened.
    pub runs: Runs,
    /// Each as it is listed.
    pub list: Vec<Listed>,
    /// What is in none.
    pub left: Vec<LeftJob>,
    /// Pieces that are late, and the most that one is late by, min.
    pub lateness: (u32, f64),
}

/// What the job gives back; else a sentence on what is wrong.
pub type QueuedOrNot = Result<QueuedRuns, String>;

impl ToQueue {
    fn bases(&self) -> Result<Bases, FileFault> {
        let Some(table) = &self.table else {
            let backlog = files::read_backlog(&self.file)?;
            let beside = self.file.parent().unwrap_or(Path::new(""));
            return Bases::open(backlog, beside, self.shop.as_ref());
        };
        let base = BaseLoad {
            name: table.base.name.clone(),
            file: PathBuf::new(),
        };
        let (start, turnaround_min) = (table.start, table.turnaround_min);
        let backlog = files::read_jobs(&self.file, vec![base], start, turnaround_min)?;
        Ok(Bases {
            backlog,
            loads: vec![table.base.clone()],
        })
    }

    fn queue(&self, watch: &Watch, ticket: &Ticket) -> QueuedOrNot {
        ticket.progress(0.0, &words::reading());
        let bases = self.bases().map_err(|fault| fault.to_string())?;
        let effort = QueueEffort {
            evaluations: self.evaluations,
            seed: self.seed,
            turning: Turning::RightAngles,
        };
        let tell = |number: usize, base: &str| ticket.progress(0.0, &words::filling(number, base));
        let runs = bases.queue(effort, watch, &tell)?;
        ticket.progress(0.0, &words::reviewing());
        let listed = |at: usize| {
            Some(Listed {
                run: runs.shown(at)?,
                counts: runs.reviewed(at)?,
            })
        };
        Ok(QueuedRuns {
            list: (0..runs.count()).filter_map(listed).collect(),
            left: runs.left(),
            lateness: runs.lateness(),
            runs,
        })
    }
}

/// A backlog that becomes runs in the background.
pub type Queueing = Searching<QueuedOrNot>;

impl ToQueue {
    /// Starts it. `wake` is called when there is something new.
    pub fn start(self, wake: Wake) -> Queueing {
        let input = InputHash::of(&(self.seed, self.evaluations));
        let work = move |watch: &Watch, ticket: &Ticket| Ok(self.queue(watch, ticket));
        Searching::start("queue", input, wake, work)
    }
}
