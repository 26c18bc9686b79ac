//! A backlog from its file to runs that can be shown, written and opened, for command line and
//! window alike, and the job of the window.

use super::arranging::Counts;
use super::hash::InputHash;
use super::holding::{Checks, new_among, open_in, review_with_forecast, stops_of};
use super::job::{Ticket, Wake};
use super::queueing::{
    Doing, Pattern, QueueEffort, Queued, RunLoad, Waiting, figures, queue_loads, trap_catch_g,
    wanted, why_left,
};
use super::searching::Searching;
use crate::arrange::{
    LeftOver, QueuedRun, Step, Turning, Wanted, Watch, Weights, late_min, set_up_anew,
};
use crate::catalogue::{Severity, ShopState, when};
use crate::files::{self, Backlog, BaseLoad, FileFault, JobsRead, QueueJob, ShopFolder, Working};
use crate::load::{Item, Lot, Placement, Plan};
use crate::part::{Part, PartId, Shape};
use crate::review::{Finding, Given, Review, review};
use crate::text::findings::title;
use crate::text::queueing as words;
use crate::text::{called, nearest};
use jiff::civil::DateTime;
use std::cell::Cell;
use std::collections::BTreeMap;
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
        let loads = open_bases(&backlog.bases, beside, folder)?;
        Ok(Bases { backlog, loads })
    }

    /// Makes the runs; `tell` is told what is being done, in a sentence.
    ///
    /// # Errors
    /// A sentence about a job or a base load that cannot be used.
    pub fn queue(
        self,
        effort: QueueEffort,
        watch: &Watch,
        tell: &dyn Fn(&str),
    ) -> Result<Runs, String> {
        let patterns = patterns(&self.loads);
        let (jobs, never) = waiting(&self.backlog, &patterns)?;
        let filled = Cell::new(0);
        let name = |group: usize| patterns.get(group).map_or("", |p| p.name.as_str());
        let tell = |doing: Doing| {
            let sentence = match doing {
                Doing::Filling(group) => {
                    filled.set(filled.get() + 1);
                    words::filling(filled.get(), name(group))
                }
                Doing::Step(Step::Made {
                    run,
                    group,
                    pieces,
                    left,
                }) => words::made(run, name(group), pieces, left),
                Doing::Step(Step::Fewer { run, of }) => words::fewer(run, of),
                Doing::Step(Step::Timely) => words::timely(),
                Doing::Anew(run) => words::anew(run),
            };
            tell(&sentence);
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

fn open_bases(
    bases: &[BaseLoad],
    beside: &Path,
    folder: Option<&ShopFolder>,
) -> Result<Vec<Base>, FileFault> {
    let open = |base: &BaseLoad| {
        let file = beside.join(&base.file);
        let (plan, working) = files::open_load(&file, folder)?;
        Ok(Base {
            name: base.name.clone(),
            plan: Arc::new(plan),
            working,
            folder: file.parent().unwrap_or(Path::new("")).to_owned(),
        })
    };
    bases.iter().map(open).collect()
}

fn patterns(loads: &[Base]) -> Vec<Pattern> {
    let pattern = |base: &Base| Pattern {
        name: base.name.clone(),
        plan: Arc::clone(&base.plan),
        catalogue: Arc::clone(&base.working.catalogue),
        shop: base.working.shop.clone(),
        differences: base.working.told_differences(),
        standard: base.working.standard.clone(),
    };
    loads.iter().map(pattern).collect()
}

/// A job that is not planned because nobody knows when it is ready.
struct NeverReady {
    lot: String,
    part: String,
    count: u32,
    due: Option<String>,
}

/// The base load that has the part of a job, and the part.
fn found<'a>(job: &QueueJob, patterns: &'a [Pattern]) -> Result<(usize, &'a Part), String> {
    let among = || {
        let named = |p: &(usize, &Pattern)| job.base.as_ref().is_none_or(|b| *b == p.1.name);
        patterns.iter().enumerate().filter(named)
    };
    let all = || {
        let parts = |(at, pattern): (usize, &'a Pattern)| {
            let parts = pattern.plan.parts.iter();
            parts.map(move |p| (p.name.as_str(), (at, p.as_ref())))
        };
        among().flat_map(parts)
    };
    let found = called(&job.part, all())
        .map_err(|names| words::several_parts(&job.lot, &job.part, &names))?;
    let Some((at, part)) = found.into_iter().next() else {
        let near = nearest(&job.part, all().map(|(name, _)| name), 3);
        return Err(words::no_such_part(&job.lot, &job.part, &near));
    };
    match &job.feedstock {
        Some(said) if *said != part.feedstock => {
            let (lot, name, has) = (&job.lot, &part.name, &part.feedstock);
            Err(words::other_feedstock(lot, name, has, said))
        }
        _ => Ok((at, part)),
    }
}

/// The jobs of a backlog file, or of a table for a load that is open, to be looked at: each with what
/// is wrong with it in itself or against the base loads.
pub fn look_at(file: &Path, open: Option<&Base>, folder: Option<&ShopFolder>) -> JobsRead {
    let (read, bases) = files::look_at_jobs(file);
    match open {
        Some(open) => held_against(read, std::slice::from_ref(open)),
        None => held_against_files(read, &bases, file, folder),
    }
}

/// All faults of the jobs of a backlog file, or of a table beside these base loads, in sentences;
/// none where each can be used. What is wrong with the file as a whole is not among them.
pub fn row_faults(
    file: &Path,
    of_table: &[BaseLoad],
    folder: Option<&ShopFolder>,
) -> Option<String> {
    let (mut read, own) = files::look_at_jobs(file);
    let bases = match files::is_table(file) {
        true => of_table,
        false => &own,
    };
    read.check(bases);
    let read = held_against_files(read, bases, file, folder);
    let faults =
        (read.rows.iter()).filter_map(|row| Some((row.place.as_str(), row.fault.as_deref()?)));
    let faults: Vec<(&str, &str)> = faults.collect();
    let file = file.display().to_string();
    (!faults.is_empty()).then(|| words::row_faults(&file, read.rows.len(), &faults))
}

fn held_against_files(
    mut read: JobsRead,
    bases: &[BaseLoad],
    file: &Path,
    folder: Option<&ShopFolder>,
) -> JobsRead {
    let beside = file.parent().unwrap_or(Path::new(""));
    match open_bases(bases, beside, folder) {
        Ok(loads) => held_against(read, &loads),
        Err(fault) => {
            read.fault.get_or_insert_with(|| fault.to_string());
            read
        }
    }
}

fn held_against(mut read: JobsRead, loads: &[Base]) -> JobsRead {
    let patterns = patterns(loads);
    for (job, row) in read.jobs.iter().zip(&mut read.rows) {
        if row.fault.is_none() {
            row.fault = found(job, &patterns).err();
        }
    }
    read
}

/// Jobs with their parts, and those that nobody knows when to load.
fn waiting(
    backlog: &Backlog,
    patterns: &[Pattern],
) -> Result<(Vec<Waiting>, Vec<NeverReady>), String> {
    let (mut jobs, mut never) = (Vec::new(), Vec::new());
    for job in &backlog.jobs {
        let (pattern, part) = found(job, patterns)?;
        let ready_min = match (job.cleared, job.ready_at()) {
            (true, _) => 0.0,
            (false, Some(ready)) => minutes(backlog.start, ready).max(0.0),
            (false, None) => {
                never.push(NeverReady {
                    lot: job.lot.clone(),
                    part: part.name.clone(),
                    count: job.count,
                    due: job.due.clone(),
                });
                continue;
            }
        };
        jobs.push(Waiting {
            lot: job.lot.clone(),
            part: part.id,
            customer: job.customer.clone(),
            due: job.due.clone(),
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
    /// Levels that stand on other posts than in the base load, that have another setter, that it has
    /// not, and those of it that are not built.
    pub levels: [usize; 4],
    /// Height of the stack here and in the base load, mm.
    pub height_mm: [Option<f64>; 2],
    /// Coupons, as in the base load.
    pub coupons: usize,
    /// The trap; none where the furnace has none.
    pub trap: Option<RunTrap>,
}

/// What the trap holds before and after a run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RunTrap {
    /// On record, and what the runs before leave, g; none where it is not known.
    pub before_g: Option<f64>,
    /// What the run is expected to leave, g; none where it is not known.
    pub caught_g: Option<f64>,
    /// What it holds at most, g.
    pub capacity_g: f64,
}

impl RunTrap {
    /// What it holds after the run, g.
    pub fn after_g(&self) -> Option<f64> {
        Some(self.before_g? + self.caught_g?)
    }

    /// In a sentence.
    pub fn sentence(&self) -> String {
        words::trap(self.before_g, self.after_g(), self.capacity_g)
    }
}

/// What the review says of a run; stops and cautions by name, each once.
#[derive(Clone, Debug, Default)]
pub struct Judged {
    /// Numbers.
    pub counts: Counts,
    /// Its stops.
    pub stops: Vec<String>,
    /// Whether the forecast is part of it; it is not where the work was stopped before.
    pub with_forecast: bool,
    /// What layouts with more pieces brought: the run is not filled further.
    pub held_by: Vec<String>,
    /// Those of its stops that the base load has not, and that a single piece brings as well.
    pub of_single_pieces: Vec<String>,
    /// Those that the base load has not, and that come of what the runs before leave in the trap.
    pub of_runs_before: Vec<String>,
    /// Others that the base load has not.
    pub others: Vec<String>,
    /// Cautions that are not open in the base load, those of the forecast among them where the review has
    /// one; none where the work was stopped before the base load's were known.
    pub new_cautions: Option<Vec<String>>,
}

fn names(checks: &Checks) -> Vec<String> {
    let mut names: Vec<String> = checks.iter().map(|check| title(check)).collect();
    names.sort();
    names
}

impl Judged {
    fn of(
        found: Review,
        with_forecast: bool,
        base: Option<&[Finding]>,
        (load, after_others): (&RunLoad, bool),
    ) -> Judged {
        let counts = Counts::of(&found);
        let found = open_in(found);
        let mut judged = Judged {
            counts,
            stops: names(&stops_of(&found)),
            with_forecast,
            ..Judged::default()
        };
        let Some(base) = base else {
            return judged;
        };
        let new = |severity| new_among(&found, base, severity);
        judged.new_cautions = Some(names(&new(Severity::Caution)));
        let new = new(Severity::Stop);
        let Some(held) = &load.held else {
            judged.others = names(&new);
            return judged;
        };
        judged.held_by = names(&held.by);
        judged.of_single_pieces = names(&(&new & &held.anyway));
        // Held against the review with the trap of a first run, or with an emptied one, they were not
        // there.
        let of_trap = |check: &&str| after_others && *check == TRAP;
        let (trap, others) = (&new - &held.anyway).into_iter().partition(of_trap);
        judged.of_runs_before = names(&trap);
        judged.others = names(&others);
        judged
    }

    /// Cautions that are not open in the base load; none where the work was stopped before all of them
    /// were known.
    pub fn all_new_cautions(&self) -> Option<&[String]> {
        let known = self.new_cautions.as_deref();
        known.filter(|_| self.with_forecast)
    }

    /// What keeps the run from being filled further, where its stops come from, and which cautions the
    /// base load has not, in sentences.
    pub fn sentences(&self) -> Vec<String> {
        let told = |names: &[String], say: fn(&[String]) -> String| {
            (!names.is_empty()).then(|| say(names))
        };
        let all = [
            told(&self.held_by, words::held_by),
            told(&self.of_runs_before, words::of_runs_before),
            told(&self.of_single_pieces, words::of_single_pieces),
            told(&self.others, words::new_stops),
            told(
                self.new_cautions.as_deref().unwrap_or_default(),
                words::new_cautions,
            ),
            (self.all_new_cautions().is_none())
                .then(|| words::cautions_not_compared(self.new_cautions.is_some())),
        ];
        all.into_iter().flatten().collect()
    }

    /// Whether the whole review, forecast and all, found nothing that stops it.
    fn is_without_stop(&self) -> bool {
        self.with_forecast && self.counts.stops == 0
    }
}

/// The check that the runs before have a part in.
const TRAP: &str = "trap-over-full";

/// What is late, and what is in no run at all.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Lateness {
    /// Pieces in runs that end after they are due.
    pub late: u32,
    /// The most that one is late by, min.
    pub most_min: f64,
    /// Pieces in no run.
    pub in_none: u32,
    /// Those of them that are due at some time.
    pub in_none_due: u32,
    /// The earliest of their due times, as it was written.
    pub first_due: Option<String>,
    /// Pieces in runs whose lot is not cleared yet.
    pub not_cleared: u32,
}

impl Lateness {
    /// In sentences.
    pub fn sentence(&self) -> String {
        let first = self.first_due.as_deref();
        let in_none = (self.in_none, self.in_none_due, first);
        let mut said = words::lateness(self.late, self.most_min, in_none);
        if self.not_cleared > 0 {
            said = format!("{said} {}", words::count_on_clearing(self.not_cleared));
        }
        said
    }
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
    /// How late it is; none where it is not.
    pub fn late_by(&self) -> Option<String> {
        (self.late_min > 0.0).then(|| words::span(self.late_min))
    }

    /// When it is due, whether it is late, and why it is here.
    pub fn when(&self) -> String {
        let mut when = match (&self.due, self.late_by()) {
            (None, _) => words::not_due(),
            (Some(due), Some(by)) => words::late(due, &by),
            (Some(due), None) => words::in_time(due),
        };
        if self.kept_in_this_run {
            when += &words::pinned();
        }
        // Of what is late it is no comfort.
        if self.fills_up && self.late_min <= 0.0 {
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
    /// When they are due, as it was written.
    pub due: Option<String>,
    /// Why.
    pub why: String,
}

impl LeftJob {
    /// In a line.
    pub fn line(&self) -> String {
        let due = self.due.as_deref();
        words::left(&self.lot, &self.part, self.pieces, due, &self.why)
    }
}

impl Runs {
    /// How many.
    pub fn count(&self) -> usize {
        self.queued.queue.runs.len()
    }

    /// The fewest into which what is in them could go; none where a base load does not tell.
    pub fn least(&self) -> Option<usize> {
        self.queued.least
    }

    /// What is late, and what is in no run.
    pub fn lateness(&self) -> Lateness {
        let lots: Vec<RunLot> = (0..self.count()).flat_map(|at| self.lots(at)).collect();
        let (late, _) = self.queued.queue.lateness(&wanted(&self.jobs));
        let waits = lots.iter().filter(|lot| lot.not_cleared_until.is_some());
        let left = self.left();
        let due: Vec<&LeftJob> = left.iter().filter(|job| job.due.is_some()).collect();
        // As moments: the text of nine o'clock may sort after that of two.
        let end = |job: &&LeftJob| {
            let said = self.bases.backlog.jobs.iter();
            let said = said.into_iter().find(|said| said.lot == job.lot);
            said.and_then(QueueJob::due_at).unwrap_or(DateTime::MAX)
        };
        Lateness {
            late,
            most_min: lots.iter().map(|lot| lot.late_min).fold(0.0, f64::max),
            in_none: left.iter().map(|job| job.pieces).sum(),
            in_none_due: due.iter().map(|job| job.pieces).sum(),
            first_due: due
                .iter()
                .copied()
                .min_by_key(end)
                .and_then(|j| j.due.clone()),
            not_cleared: waits.map(|lot| lot.pieces).sum(),
        }
    }

    /// What is used at one time in two furnaces and is not there, in sentences.
    pub fn short_of_stock(&self) -> Vec<String> {
        let mut said = Vec::new();
        let runs = self.queued.queue.runs.iter().map(|run| {
            let plan = &run.filled.load.plan;
            let used = plan.setters_used().into_iter().chain(plan.posts_used());
            ([run.start_min, run.end_min], used.collect())
        });
        let runs: Vec<InUse> = runs.collect();
        for pattern in &self.patterns {
            let stock = pattern.shop.iter().flat_map(|shop| &shop.stock);
            for stock in stock {
                let there = stock.count as usize;
                for (together, wanted) in beyond(&runs, &stock.id, there) {
                    let sentence = words::stock_twice(&together, &stock.id, wanted, there);
                    if !said.contains(&sentence) {
                        said.push(sentence);
                    }
                }
            }
        }
        said
    }

    /// Of lots that have the number of a lot in their base load, what is taken over from there and
    /// what is not, in sentences.
    pub fn notes(&self) -> Vec<String> {
        let note = |job: &Waiting| {
            let pattern = self.patterns.get(job.wanted.group)?;
            let mut lots = pattern.plan.lots.iter();
            let same = lots.find(|lot| lot.name == job.lot && lot.part == job.part)?;
            let papers = same.papers();
            let taken = [
                papers.feedstock_lot.is_some(),
                papers.feedstock_expires.is_some(),
                papers.certificate.is_some(),
                papers.oversize.is_some(),
                papers.customer.is_some() && job.customer.is_none(),
            ];
            let count = same.count;
            let left = Lot { count, ..papers } != **same;
            let told = left || taken.contains(&true);
            told.then(|| words::same_number(&job.lot, &pattern.name, taken, left))
        };
        self.jobs.iter().filter_map(note).collect()
    }

    /// What the trap holds before and after a run; none where its furnace has none.
    fn trap(&self, at: usize) -> Option<RunTrap> {
        let runs = &self.queued.queue.runs;
        let run = runs.get(at)?;
        let pattern = self.patterns.get(run.group)?;
        let slug = &pattern.plan.load.furnace;
        let capacity_g = pattern.catalogue.furnace(slug)?.trap?.capacity_g;
        let states = pattern.shop.iter().flat_map(|shop| &shop.furnaces);
        let now_g = states.into_iter().find(|s| s.furnace == *slug);
        let now_g = now_g.and_then(|state| state.trap_fill_g);
        let caught = |run: &QueuedRun<RunLoad>| {
            trap_catch_g(self.patterns.get(run.group)?, &run.filled.load.plan)
        };
        let before = self.before(at).map(|i| caught(runs.get(i)?));
        let left: Option<f64> = before.sum();
        Some(RunTrap {
            before_g: now_g.zip(left).map(|(now, left)| now + left),
            caught_g: caught(run),
            capacity_g,
        })
    }

    /// Runs of the same furnace before a run.
    fn before(&self, at: usize) -> impl Iterator<Item = usize> {
        let runs = &self.queued.queue.runs;
        let furnace = |i: usize| {
            let plan = self.patterns.get(runs.get(i)?.group)?;
            Some(plan.plan.load.furnace.as_str())
        };
        let mine = furnace(at);
        (0..at.min(runs.len())).filter(move |i| furnace(*i) == mine)
    }

    /// The records of a run as they will be when it begins: the trap holds what the runs before
    /// leave in it.
    pub fn working(&self, at: usize) -> Option<Working> {
        let base = self.base(at)?;
        let mut working = base.working.clone();
        let earlier = u32::try_from(self.before(at).count()).unwrap_or(u32::MAX);
        if let (Some(trap), Some(shop)) = (self.trap(at), &mut working.shop) {
            let shop: &mut ShopState = Arc::make_mut(shop);
            let slug = &base.plan.load.furnace;
            if let Some(state) = shop.furnaces.iter_mut().find(|s| s.furnace == *slug) {
                state.trap_fill_g = trap.before_g;
                state.trap_runs = state.trap_runs.map(|runs| runs.saturating_add(earlier));
            }
        }
        Some(working)
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
        // Its own records are those of today: what the runs before it leave is only said.
        if let Some(trap) = self.trap(at) {
            plan.note = words::note_of_trap(&trap.sentence());
        }
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
        let pattern = self.patterns.get(run.group)?;
        let numbers = figures(pattern, plan);
        let coupon = |p: &Placement| matches!(p.item, Item::Coupon { .. });
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
            levels: set_up_anew(&base.plan, plan),
            height_mm: [numbers.height_mm, figures(pattern, &base.plan).height_mm],
            coupons: plan.placements().filter(|(_, p)| coupon(p)).count(),
            trap: self.trap(at),
        })
    }

    /// What the review says of a run's load, with a forecast unless the work is stopped before.
    pub fn judged(&self, at: usize, watch: &Watch) -> Option<Judged> {
        let (working, plan) = (self.working(at)?, self.plan(at)?);
        let run = self.queued.queue.runs.get(at)?;
        let given = Given {
            plan: &plan,
            catalogue: &working.catalogue,
            shop: working.shop.as_deref(),
            differences: &working.told_differences(),
            standard: working.standard.as_deref(),
            forecast: None,
        };
        let (found, with_forecast) = match review_with_forecast(&given, watch) {
            Some(found) => (found, true),
            None => (review(&given), false),
        };
        let after_others = self.before(at).next().is_some();
        let base = self.queued.of_bases.get(run.group);
        let base = base.and_then(|base| base.get(usize::from(after_others))?.as_deref());
        let load = (&run.filled.load, after_others);
        Some(Judged::of(found, with_forecast, base, load))
    }

    /// How many runs there are, how many of them have stops, and how many pieces are in none.
    pub fn summary<'a>(&self, judged: impl Iterator<Item = &'a Judged>) -> String {
        let (mut stopped, mut unfinished) = (0, 0);
        for judged in judged {
            match judged.counts.stops {
                0 => unfinished += usize::from(!judged.with_forecast),
                _ => stopped += 1,
            }
        }
        let in_none = self.lateness().in_none;
        words::summary(self.count(), stopped, unfinished, in_none)
    }

    /// How many of them have no stop.
    pub fn without_stop<'a>(&self, judged: impl Iterator<Item = &'a Judged>) -> usize {
        judged.filter(|judged| judged.is_without_stop()).count()
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
                fills_up: first.is_finite()
                    && job.wanted.run.is_none()
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
            due: job.due.clone(),
            why: words::never_ready(),
        });
        let mut out: Vec<LeftJob> = never.collect();
        for ((entry, pieces), why) in &self.queued.queue.left {
            let Some(job) = self.jobs.get(*entry) else {
                continue;
            };
            let reason = self.queued.reasons.get(entry);
            let reason = reason.filter(|_| *why == LeftOver::NoPlace);
            let held = self.queued.held.get(entry).map(names).unwrap_or_default();
            out.push(LeftJob {
                lot: job.lot.clone(),
                part: self.part_name(job.wanted.group, job.part),
                pieces: *pieces,
                due: job.due.clone(),
                why: why_left(*why, reason, &held),
            });
        }
        out
    }
}

/// Start and end of a run, min, and what it uses, by slug.
type InUse<'a> = ([f64; 2], BTreeMap<&'a str, usize>);

/// Runs, counted from 1, that are in their furnaces at one time and use more of a thing together than
/// there is, and how many they use.
fn beyond(runs: &[InUse], id: &str, there: usize) -> Vec<(Vec<usize>, usize)> {
    let mut all = Vec::new();
    for ([start_min, _], _) in runs {
        let uses = runs.iter().enumerate().filter_map(|(i, (time, used))| {
            let at_work = time[0] <= *start_min && *start_min < time[1];
            let pieces = used.get(id).filter(|_| at_work)?;
            Some((i + 1, *pieces))
        });
        let (together, pieces): (Vec<usize>, Vec<usize>) = uses.unzip();
        let wanted = pieces.iter().sum();
        if together.len() > 1 && wanted > there {
            all.push((together, wanted));
        }
    }
    all
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
    /// Whether levels may be set up anew with the posts and setters in stock.
    pub anew: bool,
    /// What counts besides the pieces placed.
    pub weights: Weights,
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
    /// What the review says of it.
    pub judged: Judged,
}

/// What the window shows of a backlog.
pub struct QueuedRuns {
    /// The runs themselves, to be opened.
    pub runs: Runs,
    /// See [`Runs::summary`].
    pub summary: String,
    /// Each as it is listed.
    pub list: Vec<Listed>,
    /// What is in none.
    pub left: Vec<LeftJob>,
    /// What is late, and what is in no run.
    pub lateness: Lateness,
    /// Whether levels could be set up anew.
    pub anew: bool,
    /// See [`Runs::short_of_stock`].
    pub short: Vec<String>,
    /// See [`Runs::notes`].
    pub notes: Vec<String>,
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
            anew: self.anew,
            weights: self.weights,
        };
        let tell = |sentence: &str| ticket.progress(0.0, sentence);
        let runs = bases.queue(effort, watch, &tell)?;
        ticket.progress(0.0, &words::reviewing());
        let listed = |at: usize| {
            Some(Listed {
                run: runs.shown(at)?,
                judged: runs.judged(at, watch)?,
            })
        };
        let list: Vec<Listed> = (0..runs.count()).filter_map(listed).collect();
        Ok(QueuedRuns {
            summary: runs.summary(list.iter().map(|listed| &listed.judged)),
            list,
            left: runs.left(),
            lateness: runs.lateness(),
            anew: self.anew,
            short: runs.short_of_stock(),
            notes: runs.notes(),
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_two_furnaces_use_at_one_time_is_held_against_the_stock() {
        let uses = |time: [f64; 2], n: usize| (time, BTreeMap::from([("post", n)]));
        let runs = [
            uses([0.0, 100.0], 12),
            uses([50.0, 90.0], 8),
            uses([100.0, 200.0], 12),
        ];
        assert_eq!(beyond(&runs, "post", 19), [(vec![1, 2], 20)]);
        assert!(beyond(&runs, "post", 20).is_empty());
        assert!(beyond(&runs, "setter", 0).is_empty());
        // One run by itself is for the review to judge.
        assert!(beyond(&runs[..1], "post", 3).is_empty());
    }
}
