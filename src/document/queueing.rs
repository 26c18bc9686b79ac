//! A backlog into loads: each run a plan of its own, filled by the arrangement and held against the
//! review, with base loads as the pattern.

use super::arranging::{ISLANDS, distances, trouble};
use crate::arrange::{
    Aims, Arrangement, Effort, Figures, Filled, Filler, First, Furniture, Group, Keep, LeftOver,
    NotRearranged, Queue, Scope, Share, Step, Trouble, Turning, Wanted, Watch, Weights, Wish,
    queue, rearrange,
};
use crate::catalogue::{Catalogue, Severity, ShopState};
use crate::load::{Item, Lot, LotId, Plan, Sizes, Stack, floor_and_roof, stack_heights};
use crate::part::PartId;
use crate::review::{Facts, Family, Finding, Given, Prepared, Review, Subject, review};
use crate::text::queueing as words;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// A load that serves as a pattern, with its records.
#[derive(Clone, Debug)]
pub struct Pattern {
    /// Name.
    pub name: String,
    /// The load.
    pub plan: Arc<Plan>,
    /// Its records.
    pub catalogue: Arc<Catalogue>,
    /// State of the shop.
    pub shop: Option<Arc<ShopState>>,
}

/// Pieces that wait, their part found.
#[derive(Clone, Debug)]
pub struct Waiting {
    /// Lot number.
    pub lot: String,
    /// Its part in its pattern.
    pub part: PartId,
    /// Customer.
    pub customer: Option<String>,
    /// When it is due, as it was written.
    pub due: Option<String>,
    /// When and with which pattern: its group is the pattern's index.
    pub wanted: Wanted,
}

/// One run's load.
#[derive(Clone, Debug)]
pub struct RunLoad {
    /// The plan, without its planned start and title.
    pub plan: Arc<Plan>,
    /// The same with the levels on top that stay empty.
    whole: Arc<Plan>,
}

/// What a backlog became.
#[derive(Clone, Debug)]
pub struct Queued {
    /// Runs, and what is in none.
    pub queue: Queue<RunLoad>,
    /// Fewest runs by area; none where one base load does not tell.
    pub least: Option<usize>,
    /// Why pieces found no place in an empty load, by job.
    pub reasons: BTreeMap<usize, String>,
}

/// How hard to search.
#[derive(Clone, Copy, Debug)]
pub struct QueueEffort {
    /// Evaluations for one filling of a load.
    pub evaluations: u64,
    /// Another number gives other layouts.
    pub seed: u64,
    /// How parts may be turned.
    pub turning: Turning,
    /// Whether levels may be set up anew with the posts and setters in stock.
    pub anew: bool,
    /// What counts besides the pieces placed.
    pub weights: Weights,
}

/// What is being done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Doing {
    /// A load of this pattern is filled.
    Filling(usize),
    /// See [`Step`].
    Step(Step),
    /// Levels of a run, counted from 1, are set up anew.
    Anew(usize),
}

/// How long a pattern's run takes with every wait up to its timeout, min.
pub fn run_min(pattern: &Pattern) -> Option<f64> {
    let given = given(pattern, &pattern.plan);
    Facts::new(&given, Prepared::new(&given)).longest_run_min()
}

fn given<'a>(pattern: &'a Pattern, plan: &'a Plan) -> Given<'a> {
    Given {
        plan,
        catalogue: &pattern.catalogue,
        shop: pattern.shop.as_deref(),
        differences: &[],
        standard: None,
        forecast: None,
    }
}

/// Makes the runs. Patterns of one furnace share it; each pattern is a group of its own, since it
/// brings its profile and its furniture. `progress` is told what is being done.
///
/// # Errors
/// A sentence about a base load that cannot serve as one.
pub fn queue_loads(
    patterns: &[Pattern],
    jobs: &[Waiting],
    turnaround_min: f64,
    effort: QueueEffort,
    watch: &Watch,
    progress: &dyn Fn(Doing),
) -> Result<Queued, String> {
    let mut furnaces: Vec<&str> = Vec::new();
    let mut groups = Vec::new();
    for pattern in patterns {
        let furnace = pattern.plan.load.furnace.as_str();
        let at = furnaces.iter().position(|f| *f == furnace);
        let furnace = at.unwrap_or_else(|| {
            furnaces.push(furnace);
            furnaces.len() - 1
        });
        if pattern.plan.levels().next().is_none() {
            return Err(words::no_levels(&pattern.name));
        }
        let run_min = run_min(pattern).ok_or_else(|| words::no_run_time(&pattern.name))?;
        groups.push(Group { furnace, run_min });
    }
    let wanted = wanted(jobs);
    let mut loads = Loads {
        moulds: patterns.iter().map(Mould::new).collect(),
        jobs,
        effort,
        watch,
        progress,
        reasons: BTreeMap::new(),
        fault: None,
    };
    let least = loads.least();
    let mut queue = queue(&wanted, &groups, turnaround_min, &mut loads);
    for (at, run) in queue.runs.iter_mut().enumerate() {
        loads.set_up(at + 1, run.group, &mut run.filled);
    }
    match loads.fault {
        Some(fault) => Err(fault),
        None => Ok(Queued {
            queue,
            least,
            reasons: loads.reasons,
        }),
    }
}

/// Jobs as the queue takes them.
pub fn wanted(jobs: &[Waiting]) -> Vec<Wanted> {
    jobs.iter().map(|job| job.wanted.clone()).collect()
}

/// A pattern with what is asked of every load made of it.
struct Mould<'a> {
    pattern: &'a Pattern,
    keep: Keep,
    /// Checks of which the pattern itself, as it was run, has findings.
    known: BTreeSet<&'static str>,
    /// Its stops and what they are about.
    stops: BTreeSet<(&'static str, Vec<Subject>)>,
}

impl<'a> Mould<'a> {
    fn new(pattern: &'a Pattern) -> Mould<'a> {
        let given = given(pattern, &pattern.plan);
        let found = review(&given).findings;
        Mould {
            pattern,
            keep: distances(&given),
            known: found.iter().map(|f| f.check).collect(),
            stops: (found.iter())
                .filter(|f| f.severity == Severity::Stop)
                .map(|f| (f.check, f.subjects.clone()))
                .collect(),
        }
    }

    /// A plan of it as a task.
    fn task(&self, plan: &Arc<Plan>, turning: Turning) -> Result<Arrangement, NotRearranged> {
        let wish = Wish {
            scope: Scope::Everything,
            turning,
            turns: BTreeMap::new(),
            keep: self.keep,
        };
        Arrangement::like(&self.pattern.plan, plan, &self.pattern.catalogue, wish)
    }
}

struct Loads<'a> {
    moulds: Vec<Mould<'a>>,
    jobs: &'a [Waiting],
    effort: QueueEffort,
    watch: &'a Watch,
    progress: &'a dyn Fn(Doing),
    reasons: BTreeMap<usize, String>,
    fault: Option<String>,
}

/// The lot of a job in a plan: its number is the job's, beyond all that the pattern has.
fn lot_id(pattern: &Pattern, job: usize) -> LotId {
    let job = u32::try_from(job).unwrap_or(u32::MAX);
    LotId(pattern.plan.next_id.saturating_add(job))
}

impl Loads<'_> {
    /// A pattern without its parts and lots, and without what people said about that load. Coupons
    /// stay: what they witness is the run.
    fn empty(&self, pattern: &Pattern) -> Plan {
        let mut plan = pattern.plan.as_ref().clone();
        for stack in &mut plan.load.stacks {
            for level in &mut stack.levels {
                let stays = |item: &Item| !item.is_production();
                if level.placements.iter().any(|p| !stays(&p.item)) {
                    Arc::make_mut(level).placements.retain(|p| stays(&p.item));
                }
            }
        }
        plan.lots.clear();
        plan.acceptances.clear();
        plan.declarations.clear();
        plan.signatures.clear();
        plan.note.clear();
        let jobs = u32::try_from(self.jobs.len()).unwrap_or(u32::MAX);
        plan.next_id = plan.next_id.saturating_add(jobs);
        plan
    }

    /// Counts of lots in a plan raised by shares.
    fn with(&self, group: usize, plan: &Plan, shares: &[Share]) -> Plan {
        let mut plan = plan.clone();
        for (entry, pieces) in shares {
            let (Some(mould), Some(job)) = (self.moulds.get(group), self.jobs.get(*entry)) else {
                continue;
            };
            let pattern = mould.pattern;
            let id = lot_id(pattern, *entry);
            match plan.lots.iter_mut().find(|lot| lot.id == id) {
                Some(lot) => Arc::make_mut(lot).count += pieces,
                None => {
                    let lots = &pattern.plan.lots;
                    // What is on record of that very lot goes along; else how the part enters.
                    let same = lots
                        .iter()
                        .find(|l| l.name == job.lot && l.part == job.part);
                    let enters = lots.iter().find(|l| l.part == job.part).map(|l| l.enters);
                    let mut lot = match same {
                        Some(same) => same.as_ref().clone(),
                        None => Lot::new(id, &job.lot, job.part),
                    };
                    lot.id = id;
                    lot.count = *pieces;
                    if let (None, Some(enters)) = (same, enters) {
                        lot.enters = enters;
                    }
                    if job.customer.is_some() {
                        lot.customer.clone_from(&job.customer);
                    }
                    plan.lots.push(Arc::new(lot));
                }
            }
        }
        plan
    }

    /// Pieces of each job that stand in a plan.
    fn taken(&self, group: usize, plan: &Plan) -> Vec<Share> {
        let Some(mould) = self.moulds.get(group) else {
            return Vec::new();
        };
        let counts = stands(plan);
        (0..self.jobs.len())
            .filter_map(|job| Some((job, *counts.get(&lot_id(mould.pattern, job))?)))
            .collect()
    }

    /// What is wanted of a load of a pattern besides distances.
    fn aims(&self, pattern: &Pattern, anew: bool) -> Aims {
        let first = |(at, job): (usize, &Waiting)| {
            let first = First {
                // Its run has come, and there is no other for it.
                must: job.wanted.run.is_some(),
                priority: job.wanted.priority,
                due: job.due.clone(),
            };
            (lot_id(pattern, at), first)
        };
        Aims {
            furniture: anew.then(|| Furniture::of(&pattern.plan, pattern.shop.as_deref())),
            first: self.jobs.iter().enumerate().map(first).collect(),
            weights: self.effort.weights,
        }
    }

    /// Places what waits in a plan: on its levels as they are, and where not all of it goes, on
    /// levels set up anew. The plan as it was where nothing goes.
    fn place(&mut self, group: usize, plan: Plan, share: u64) -> Option<(Arc<Plan>, bool)> {
        let (plan, changed) = self.place_on(group, Arc::new(plan), share, false)?;
        if !self.effort.anew || crate::arrange::waiting(&plan) == 0 || self.watch.cancelled() {
            return Some((plan, changed));
        }
        let (plan, more) = self.place_on(group, plan, 2 * share, true)?;
        Some((plan, changed || more))
    }

    /// The levels of a filled load set up anew, each on the shortest posts that do.
    fn set_up(&mut self, number: usize, group: usize, filled: &mut Filled<RunLoad>) {
        if !self.effort.anew || self.cancelled() {
            return;
        }
        (self.progress)(Doing::Anew(number));
        let made = self.place_on(group, Arc::clone(&filled.load.plan), 2, true);
        // The run stands as it was filled.
        self.fault = None;
        let Some((plan, true)) = made else {
            return;
        };
        let now = self.filled(group, &plan);
        // Only where all that was in it is in it still.
        if now.taken == filled.taken {
            *filled = now;
        }
    }

    fn place_on(
        &mut self,
        group: usize,
        plan: Arc<Plan>,
        share: u64,
        anew: bool,
    ) -> Option<(Arc<Plan>, bool)> {
        let mould = self.moulds.get(group)?;
        let pattern = mould.pattern;
        let aims = Arc::new(self.aims(pattern, anew));
        let set = match mould.task(&plan, self.effort.turning) {
            Ok(set) => set.with(&aims),
            Err(NotRearranged::Nothing | NotRearranged::NothingWaits) => {
                return Some((plan, false));
            }
            Err(fault) => {
                self.fault = Some(words::base_fault(&pattern.name, &fault.to_string()));
                return None;
            }
        };
        let judge = |plan: &Plan| new_troubles(mould, &review(&given(pattern, plan)), plan);
        let effort = Effort {
            evaluations: self.effort.evaluations / share,
            seed: self.effort.seed,
            islands: ISLANDS,
        };
        match rearrange(set, effort, self.watch, &judge, &|_| ()) {
            Ok(found) => {
                for left in &found.left_out {
                    let of =
                        (0..self.jobs.len()).find(|job| left.lot == Some(lot_id(pattern, *job)));
                    if let Some(job) = of {
                        self.reasons.insert(job, left.sentence());
                    }
                }
                Some((found.plan, found.edit.is_some()))
            }
            Err(fault) => {
                self.fault = Some(words::base_fault(&pattern.name, &fault.to_string()));
                None
            }
        }
    }

    /// Fewest runs of all patterns by area.
    fn least(&self) -> Option<usize> {
        let mut runs = 0;
        for (group, mould) in self.moulds.iter().enumerate() {
            let jobs = self.jobs.iter().enumerate();
            let mine = jobs.filter(|(_, job)| job.wanted.group == group);
            let all: Vec<Share> = mine.map(|(i, job)| (i, job.wanted.pieces)).collect();
            if all.is_empty() {
                continue;
            }
            let plan = Arc::new(self.with(group, &self.empty(mould.pattern), &all));
            let set = mould.task(&plan, self.effort.turning).ok()?;
            let levels = match self.effort.anew {
                true => most_levels(mould, &all, &plan)?,
                false => plan.levels().count(),
            };
            runs += set.least_setters().div_ceil(levels.max(1)).max(1);
        }
        Some(runs)
    }
}

impl Filler for Loads<'_> {
    type Load = RunLoad;

    fn fill(&mut self, group: usize, classes: &[Vec<Share>]) -> Option<Filled<RunLoad>> {
        let mut plan = Arc::new(self.empty(self.moulds.get(group)?.pattern));
        (self.progress)(Doing::Filling(group));
        let mut share = 1;
        for class in classes {
            let wanted = self.with(group, &plan, class);
            let (with, _) = self.place(group, wanted, share)?;
            let full = crate::arrange::waiting(&with) > 0;
            plan = Arc::new(self.without_waiting(&with));
            // What is due later only fills up: it is searched for less, least where not all went in.
            share = if full { 4 } else { 2 };
        }
        Some(self.filled(group, &plan))
    }

    fn add(&mut self, of: &Filled<RunLoad>, more: &[Share]) -> Option<Filled<RunLoad>> {
        let entry = more.first()?.0;
        let group = self.jobs.get(entry)?.wanted.group;
        let wanted = self.with(group, &of.load.whole, more);
        let (plan, changed) = self.place(group, wanted, 1)?;
        (changed && crate::arrange::waiting(&plan) == 0).then(|| self.filled(group, &plan))
    }

    fn cancelled(&self) -> bool {
        self.fault.is_some() || self.watch.cancelled()
    }

    fn told(&mut self, step: Step) {
        (self.progress)(Doing::Step(step));
    }
}

impl Loads<'_> {
    /// Lots of the size that stands.
    fn without_waiting(&self, plan: &Plan) -> Plan {
        let mut plan = plan.clone();
        let counts = stands(&plan);
        for lot in &mut plan.lots {
            let here = counts.get(&lot.id).copied().unwrap_or(0);
            if lot.count != here {
                Arc::make_mut(lot).count = here;
            }
        }
        plan.lots.retain(|lot| lot.count > 0);
        plan
    }

    fn filled(&self, group: usize, plan: &Plan) -> Filled<RunLoad> {
        let whole = self.without_waiting(plan);
        let mut plan = whole.clone();
        // Levels on top on which nothing stands are not built.
        for stack in &mut plan.load.stacks {
            while stack.levels.last().is_some_and(|l| l.placements.is_empty()) {
                stack.levels.pop();
            }
        }
        plan.load.stacks.retain(|stack| !stack.levels.is_empty());
        Filled {
            taken: self.taken(group, &plan),
            load: RunLoad {
                plan: Arc::new(plan),
                whole: Arc::new(whole),
            },
        }
    }
}

/// Most levels with parts of these shares in a load of a pattern: by the setters that there are, and
/// by the height of its stacks. None where that is not known.
fn most_levels(mould: &Mould, shares: &[Share], plan: &Plan) -> Option<usize> {
    let pattern = mould.pattern;
    let catalogue = &pattern.catalogue;
    let furniture = Furniture::of(&pattern.plan, pattern.shop.as_deref());
    let setters = pattern.plan.setters_used();
    let there: usize = setters.keys().map(|id| furniture.count(id)).sum();
    let mut thinnest_mm = f64::INFINITY;
    for id in setters.keys() {
        thinnest_mm = thinnest_mm.min(catalogue.setter(id)?.thickness_mm);
    }
    let sizes = Sizes::new(plan, catalogue);
    let mut lowest_mm = f64::INFINITY;
    for (job, _) in shares {
        let lot = plan.lots.iter().find(|l| l.id == lot_id(pattern, *job))?;
        let part = Item::Part {
            part: lot.part,
            lot: Some(lot.id),
        };
        lowest_mm = lowest_mm.min(sizes.of(&part, catalogue)?.highest_mm());
    }
    let furnace = catalogue.furnace(&pattern.plan.load.furnace)?;
    let (_, roof_mm) = floor_and_roof(&furnace.hot_zone);
    let by_height = |stack: &Stack| -> Option<usize> {
        let lowest = stack_heights(stack, catalogue, furnace).first().copied()?;
        let zone_mm = (roof_mm - lowest.ok()?.underside_mm).max(0.0);
        let each_mm = thinnest_mm + lowest_mm;
        // At least those that the pattern has.
        let levels = (each_mm > 0.0).then(|| (zone_mm / each_mm) as usize)?;
        Some(levels.max(stack.levels.len()))
    };
    let stacks = pattern.plan.load.stacks.iter().map(by_height);
    let high: usize = stacks.sum::<Option<usize>>()?;
    Some(high.min(there))
}

/// What concerns where things stand.
fn of_placing(finding: &Finding) -> bool {
    let family = crate::review::check_by_slug(finding.check).map(|check| check.family);
    matches!(
        family,
        Some(Family::Geometry | Family::Furniture | Family::Mass)
    )
}

/// Pieces of each lot that stand in a plan.
fn stands(plan: &Plan) -> BTreeMap<LotId, u32> {
    let mut counts = BTreeMap::new();
    for lot in plan.placements().filter_map(|(_, p)| p.item.lot()) {
        *counts.entry(lot).or_default() += 1;
    }
    counts
}

/// What a layout brings that would keep it from being run: stops of geometry, furniture and mass
/// that the pattern does not have of the same things, and cautions of single places that it does not
/// have at all.
fn new_troubles(mould: &Mould, after: &Review, plan: &Plan) -> Vec<Trouble> {
    let placed_on = |f: &Finding| {
        f.subjects
            .iter()
            .all(|s| matches!(s, Subject::Placement(_) | Subject::Level(_)))
    };
    // What is said of a lot as a whole (its count) is no matter of places.
    let of_lot = |f: &Finding| f.subjects.iter().any(|s| matches!(s, Subject::Lot(_)));
    let counts = |f: &&Finding| {
        of_placing(f)
            && !of_lot(f)
            && match f.severity {
                Severity::Stop => !mould.stops.contains(&(f.check, f.subjects.clone())),
                Severity::Caution => placed_on(f) && !mould.known.contains(f.check),
                Severity::Note => false,
            }
    };
    let all = after.findings.iter().filter(counts);
    all.map(|finding| trouble(finding, plan)).collect()
}

/// Binder that a run is expected to leave in the trap, g; none where it is not known.
pub fn trap_catch_g(pattern: &Pattern, plan: &Plan) -> Option<f64> {
    let given = given(pattern, plan);
    Facts::new(&given, Prepared::new(&given)).trap_catch_g()
}

/// A run's load in numbers.
pub fn figures(pattern: &Pattern, plan: &Plan) -> Figures {
    let keep = distances(&given(pattern, plan));
    Figures::of(plan, &pattern.catalogue, keep)
}

/// Why something is in no run, as a sentence.
pub fn why_left(left: LeftOver, reason: Option<&String>) -> String {
    match left {
        LeftOver::NoPlace => {
            let reasons: Vec<String> = reason.into_iter().cloned().collect();
            words::no_place(&reasons)
        }
        LeftOver::PinnedFull => words::pinned_full(),
        LeftOver::PinnedLater => words::pinned_later(),
        LeftOver::TooMany => words::too_many_runs(),
        LeftOver::Stopped => words::stopped(),
    }
}
