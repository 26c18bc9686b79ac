//! A backlog into loads: each run a plan of its own, filled by the arrangement and held against the
//! review, with base loads as the pattern.

use super::arranging::{ISLANDS, distances, trouble};
use super::holding::{Checks, Held, HeldBack, Hold};
use super::queue_bound;
use crate::arrange::{
    Aims, Arrangement, Effort, Figures, Filled, Filler, First, Furniture, Group, Keep, LeftOver,
    NotRearranged, Queue, QueuedRun, Scope, Share, Step, Trouble, Turning, Wanted, Watch, Weights,
    Wish, queue, rearrange,
};
use crate::catalogue::{Catalogue, Severity, ShopState};
use crate::load::{Item, Lot, LotId, Plan};
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
    /// Records in use that differ from those in the file: kind and slug.
    pub differences: Vec<(String, String)>,
    /// The standard load that it began from.
    pub standard: Option<Arc<Plan>>,
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
    /// Why it is not filled further, and what stops it all the same; none where the search was
    /// stopped before that was known.
    pub held: Option<Held>,
    /// The plan with the levels on top that stay empty.
    whole: Arc<Plan>,
    /// Whether it was made as the first of its furnace.
    first: bool,
}

/// What a backlog became.
#[derive(Clone, Debug)]
pub struct Queued {
    /// Runs, and what is in none.
    pub queue: Queue<RunLoad>,
    /// Fewest runs into which what is in them could go; none where one base load does not tell.
    pub least: Option<usize>,
    /// Why pieces found no place in an empty load, by job.
    pub reasons: BTreeMap<usize, String>,
    /// What came of layouts in which more pieces of a job went into a run in which there is room, by
    /// job.
    pub held: BTreeMap<usize, Checks>,
    /// Open stops and cautions of each base load itself, in their order: with the trap on record, and
    /// with an emptied one. None where they are not known, or where no run is made of it.
    pub of_bases: Vec<[Option<Vec<Finding>>; 2]>,
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
        moulds: patterns.iter().map(|p| Mould::new(p, watch)).collect(),
        jobs,
        effort,
        watch,
        progress,
        reasons: BTreeMap::new(),
        held: BTreeMap::new(),
        fault: None,
    };
    let mut queue = queue(&wanted, &groups, turnaround_min, &mut loads);
    loads.earliest_first(&wanted, &mut queue.runs);
    for (at, run) in queue.runs.iter_mut().enumerate() {
        loads.set_up(at + 1, run.group, &mut run.filled);
    }
    match loads.fault {
        Some(fault) => Err(fault),
        None => Ok(Queued {
            least: loads.least(&queue.runs),
            of_bases: (loads.moulds.iter().enumerate())
                .map(|(group, mould)| {
                    let used = queue.runs.iter().any(|run| run.group == group);
                    let base = |first| used.then(|| mould.hold.base(first))?.map(<[_]>::to_vec);
                    [base(true), base(false)]
                })
                .collect(),
            queue,
            reasons: loads.reasons,
            held: loads.held,
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
    /// Holds its loads against the review with a forecast.
    hold: Hold<'a>,
}

impl<'a> Mould<'a> {
    fn new(pattern: &'a Pattern, watch: &'a Watch) -> Mould<'a> {
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
            hold: Hold::new(pattern, watch),
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
    held: BTreeMap<usize, Checks>,
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
                    // The papers of that very lot go along; else how the part enters.
                    let same = lots
                        .iter()
                        .find(|l| l.name == job.lot && l.part == job.part);
                    let enters = lots.iter().find(|l| l.part == job.part).map(|l| l.enters);
                    let mut lot = match same {
                        Some(same) => same.papers(),
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
        let mut now = self.filled(group, &plan, filled.load.first);
        let brought = self
            .found(group, &now)
            .is_none_or(|held| !held.by.is_empty());
        // Only where all that was in it is in it still, and nothing new is found.
        if now.taken == filled.taken && !brought {
            now.load.held.clone_from(&filled.load.held);
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

    /// Fewest runs for what stands in some, over all patterns, each of which needs its own.
    fn least(&self, runs: &[QueuedRun<RunLoad>]) -> Option<usize> {
        let mut least = 0;
        for (group, mould) in self.moulds.iter().enumerate() {
            let mine = || runs.iter().filter(|run| run.group == group);
            let shares = queue_bound::pieces_of(mine().map(|run| &run.filled.taken));
            if shares.is_empty() {
                continue;
            }
            let one: Vec<Share> = shares.iter().map(|(entry, _)| (*entry, 1)).collect();
            let plan = Arc::new(self.with(group, &self.empty(mould.pattern), &one));
            let set = mould.task(&plan, self.effort.turning).ok()?;
            let pieces: Vec<(LotId, u32)> = (shares.iter())
                .map(|(entry, n)| (lot_id(mould.pattern, *entry), *n))
                .collect();
            let asked = queue_bound::Asked {
                pattern: mould.pattern,
                plan: &plan,
                set: &set,
                pieces: &pieces,
                anew: self.effort.anew,
            };
            let kept_in = |(entry, _): &Share| self.jobs.get(*entry)?.wanted.run;
            let by_pins = queue_bound::least_by_pins(shares.iter().map(kept_in));
            // Where the base load is over the rating itself, that keeps nothing out.
            let loads = mine().map(|run| run.filled.load.plan.as_ref());
            let by_mass = match mould.known.contains("load-over-furnace-mass") {
                true => None,
                false => queue_bound::least_by_mass(mould.pattern, loads),
            };
            let by_room = asked.least()?.max(by_mass.unwrap_or(0));
            least += by_room.max(by_pins).max(1);
        }
        Some(least)
    }
}

impl Filler for Loads<'_> {
    type Load = RunLoad;

    fn fill(
        &mut self,
        group: usize,
        first: bool,
        classes: &[Vec<Share>],
    ) -> Option<Filled<RunLoad>> {
        (self.progress)(Doing::Filling(group));
        let plan = self.pack(group, classes)?;
        Some(self.held_back(group, first, &plan, classes))
    }

    fn add(&mut self, of: &Filled<RunLoad>, more: &[Share]) -> Option<Filled<RunLoad>> {
        let entry = more.first()?.0;
        let group = self.jobs.get(entry)?.wanted.group;
        let wanted = self.with(group, &of.load.whole, more);
        let (plan, changed) = self.place(group, wanted, 1)?;
        if !changed || crate::arrange::waiting(&plan) > 0 {
            return None;
        }
        self.instead(group, of, &plan)
    }

    fn cancelled(&self) -> bool {
        self.fault.is_some() || self.watch.cancelled()
    }

    fn told(&mut self, step: Step) {
        (self.progress)(Doing::Step(step));
    }
}

/// A plan with its lots of the size that stands.
pub(super) fn without_waiting(plan: &Plan) -> Plan {
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

/// A plan as it is built: levels on top on which nothing stands are not.
pub(super) fn built(plan: &Plan) -> Plan {
    let mut plan = plan.clone();
    for stack in &mut plan.load.stacks {
        while stack.levels.last().is_some_and(|l| l.placements.is_empty()) {
            stack.levels.pop();
        }
    }
    plan.load.stacks.retain(|stack| !stack.levels.is_empty());
    plan
}

/// Fillings that are tried between what was kept of one that brings a stop and all of it (assumed:
/// each takes as long as the first).
const TRIES: usize = 3;

/// The first pieces of what found a place, in the order in which they go in.
fn first_of(classes: &[Vec<Share>], taken: &[Share], pieces: usize) -> Vec<Vec<Share>> {
    let mut room = u32::try_from(pieces).unwrap_or(u32::MAX);
    let mut of_class = |class: &Vec<Share>| {
        let shares = class.iter().filter_map(|(entry, _)| {
            let (_, there) = taken.iter().find(|share| share.0 == *entry)?;
            let goes = room.min(*there);
            room -= goes;
            (goes > 0).then_some((*entry, goes))
        });
        shares.collect::<Vec<Share>>()
    };
    let mut first: Vec<Vec<Share>> = classes.iter().map(&mut of_class).collect();
    first.retain(|class| !class.is_empty());
    first
}

impl Loads<'_> {
    /// An empty load filled with classes of pieces, one after another.
    fn pack(&mut self, group: usize, classes: &[Vec<Share>]) -> Option<Arc<Plan>> {
        let mut plan = Arc::new(self.empty(self.moulds.get(group)?.pattern));
        let mut share = 1;
        for class in classes {
            // What found no place yet stays among what is searched for, and is worth more.
            let wanted = self.with(group, &plan, class);
            (plan, _) = self.place(group, wanted, share)?;
            let full = crate::arrange::waiting(&plan) > 0;
            // What is due later only fills up: it is searched for less, least where not all went in.
            share = if full { 4 } else { 2 };
        }
        Some(plan)
    }

    /// Fills anew with more pieces than were kept of a load that brings a stop: fewer pieces, set out
    /// for themselves, may bring none where as many of a fuller load do.
    fn fuller(
        &mut self,
        group: usize,
        classes: &[Vec<Share>],
        whole: &Filled<RunLoad>,
        back: &mut HeldBack,
    ) {
        let reasons = self.reasons.clone();
        let [_, mut too_many] = back.pieces;
        for _ in 0..TRIES {
            let [most, _] = back.pieces;
            if too_many.saturating_sub(most) < 2 || self.cancelled() {
                break;
            }
            let pieces = most + (too_many - most) / 2;
            let Some(plan) = self.pack(group, &first_of(classes, &whole.taken, pieces)) else {
                break;
            };
            let tried = self.filled(group, &plan, whole.load.first);
            let found = self.found(group, &tried);
            let stand: u32 = tried.taken.iter().map(|share| share.1).sum();
            match found {
                None => break,
                Some(found) if !found.by.is_empty() => {
                    too_many = pieces;
                    back.stopped.push((stand as usize, found.by));
                }
                // Not all of it found a place.
                Some(_) if (stand as usize) < pieces => too_many = pieces,
                Some(found) => {
                    back.plan = tried.load.whole.as_ref().clone();
                    back.pieces[0] = pieces;
                    back.anyway = found.anyway;
                }
            }
        }
        // The run stands as it was filled before.
        self.reasons = reasons;
        self.fault = None;
    }

    /// Fills the levels of the base load as they are, where what levels set up anew take may not all
    /// stay: kept where more of what goes in first stays so.
    fn on_levels_as_they_are(
        &mut self,
        group: usize,
        classes: &[Vec<Share>],
        first: bool,
        lots: &[LotId],
        back: &mut HeldBack,
    ) {
        let [kept, all] = back.pieces;
        if !self.effort.anew || kept >= all || self.cancelled() {
            return;
        }
        let reasons = self.reasons.clone();
        self.effort.anew = false;
        let plan = self.pack(group, classes);
        self.effort.anew = true;
        self.reasons = reasons;
        self.fault = None;
        let stays = |plan: &Plan| -> Vec<u32> {
            let taken: BTreeMap<usize, u32> = self.taken(group, plan).into_iter().collect();
            let of =
                |class: &Vec<Share>| class.iter().filter_map(|(entry, _)| taken.get(entry)).sum();
            classes.iter().map(of).collect()
        };
        let (Some(plan), Some(mould)) = (plan, self.moulds.get(group)) else {
            return;
        };
        let whole = self.filled(group, &plan, first).load.whole;
        if stays(&whole) <= stays(&back.plan) {
            return;
        }
        if let Some(mut other) = mould.hold.held(&whole, first, lots)
            && stays(&other.plan) > stays(&back.plan)
        {
            other.stopped.append(&mut back.stopped);
            *back = other;
        }
    }

    fn filled(&self, group: usize, plan: &Plan, first: bool) -> Filled<RunLoad> {
        let whole = without_waiting(plan);
        let plan = built(&whole);
        Filled {
            taken: self.taken(group, &plan),
            load: RunLoad {
                plan: Arc::new(plan),
                held: None,
                whole: Arc::new(whole),
                first,
            },
        }
    }

    /// What stops a load that its base load has not.
    fn found(&self, group: usize, filled: &Filled<RunLoad>) -> Option<Held> {
        let hold = &self.moulds.get(group)?.hold;
        hold.found(&filled.load.whole, filled.load.first)
    }

    /// A load in place of another, of which it keeps why that is not filled further; none where it
    /// brings a stop that its base load has not.
    fn instead(&self, group: usize, of: &Filled<RunLoad>, plan: &Plan) -> Option<Filled<RunLoad>> {
        let mut filled = self.filled(group, plan, of.load.first);
        let mut held = self.found(group, &filled)?;
        if !held.by.is_empty() {
            return None;
        }
        if let Some(before) = &of.load.held {
            held.by.clone_from(&before.by);
        }
        filled.load.held = Some(held);
        Some(filled)
    }

    /// A load with pieces of it that bring no stop that its base load has not, those of the first
    /// entries first: the fullest of what is tried.
    fn held_back(
        &mut self,
        group: usize,
        first: bool,
        plan: &Plan,
        classes: &[Vec<Share>],
    ) -> Filled<RunLoad> {
        let whole = self.filled(group, plan, first);
        let Some(mould) = self.moulds.get(group) else {
            return whole;
        };
        let lots: Vec<LotId> = (classes.iter().flatten())
            .map(|(entry, _)| lot_id(mould.pattern, *entry))
            .collect();
        let Some(mut back) = mould.hold.held(&whole.load.whole, first, &lots) else {
            return whole;
        };
        self.fuller(group, classes, &whole, &mut back);
        self.on_levels_as_they_are(group, classes, first, &lots, &mut back);
        let [kept, _] = back.pieces;
        let more = back.stopped.into_iter().filter(|(n, _)| *n > kept);
        let held = Held {
            by: more.flat_map(|(_, by)| by).collect(),
            anyway: back.anyway,
        };
        let mut filled = self.filled(group, &back.plan, first);
        for (entry, pieces) in &whole.taken {
            let still = filled.taken.iter().find(|share| share.0 == *entry);
            if still.map_or(0, |share| share.1) < *pieces {
                self.held.insert(*entry, held.by.clone());
            }
        }
        filled.load.held = Some(held);
        filled
    }
}

impl Loads<'_> {
    /// Gives the pieces of one part in the runs of one base load to the lots that are due first: which
    /// piece is of which lot is no matter of its place. Everything stays as it is where that would
    /// bring a stop.
    fn earliest_first(&mut self, wanted: &[Wanted], runs: &mut Vec<QueuedRun<RunLoad>>) {
        let mut kinds: Vec<(usize, PartId)> = (self.jobs.iter())
            .map(|job| (job.wanted.group, job.part))
            .collect();
        kinds.sort_unstable();
        kinds.dedup();
        for (group, part) in kinds {
            let mine = |entry: usize| {
                let job = self.jobs.get(entry);
                job.is_some_and(|job| {
                    job.wanted.group == group && job.part == part && job.wanted.run.is_none()
                })
            };
            let shares = handed_out(wanted, runs, &mine);
            let mut changed = runs.clone();
            let mut fits = true;
            for (run, shares) in changed.iter_mut().zip(&shares) {
                let had = run.filled.taken.iter().filter(|share| mine(share.0));
                let had: BTreeMap<usize, u32> = had.copied().collect();
                if run.group == group && had != *shares {
                    match self.with_lots(group, &run.filled, &mine, shares) {
                        Some(filled) => run.filled = filled,
                        None => fits = false,
                    }
                }
            }
            if fits {
                *runs = changed;
            }
        }
    }

    /// A load in which the pieces of some entries are of others; none where that brings a stop.
    fn with_lots(
        &self,
        group: usize,
        of: &Filled<RunLoad>,
        mine: &dyn Fn(usize) -> bool,
        shares: &BTreeMap<usize, u32>,
    ) -> Option<Filled<RunLoad>> {
        let pattern = self.moulds.get(group)?.pattern;
        let entries: Vec<Share> = shares.iter().map(|(entry, n)| (*entry, *n)).collect();
        // The lots are there with their records; their sizes follow from what stands.
        let mut plan = self.with(group, &of.load.whole, &entries);
        let theirs: BTreeSet<LotId> = (0..self.jobs.len())
            .filter(|entry| mine(*entry))
            .map(|entry| lot_id(pattern, entry))
            .collect();
        let mut lots = (shares.iter())
            .flat_map(|(entry, n)| std::iter::repeat_n(lot_id(pattern, *entry), *n as usize));
        for stack in &mut plan.load.stacks {
            for level in &mut stack.levels {
                for placement in &mut Arc::make_mut(level).placements {
                    if let Item::Part { lot: Some(lot), .. } = &mut placement.item
                        && theirs.contains(lot)
                    {
                        *lot = lots.next()?;
                    }
                }
            }
        }
        self.instead(group, of, &plan)
    }
}

/// For each run, in the order of their starts, how many pieces of which of these entries it takes if
/// what is due first goes first, as far as it is ready then. As many as the run has of them now.
fn handed_out(
    wanted: &[Wanted],
    runs: &[QueuedRun<RunLoad>],
    mine: &dyn Fn(usize) -> bool,
) -> Vec<BTreeMap<usize, u32>> {
    let mut left: BTreeMap<usize, u32> = BTreeMap::new();
    let taken = |run: &QueuedRun<RunLoad>| -> Vec<Share> {
        let all = run.filled.taken.iter();
        all.filter(|share| mine(share.0)).copied().collect()
    };
    for (entry, pieces) in runs.iter().flat_map(taken) {
        *left.entry(entry).or_default() += pieces;
    }
    let mut order: Vec<usize> = left.keys().copied().collect();
    let due = |entry: &usize| {
        let wanted = wanted.get(*entry);
        let due_min = wanted.and_then(|w| w.due_min).unwrap_or(f64::INFINITY);
        (due_min, u32::MAX - wanted.map_or(0, |w| w.priority))
    };
    order.sort_by(|a, b| {
        let (a, b) = (due(a), due(b));
        a.0.total_cmp(&b.0).then(a.1.cmp(&b.1))
    });
    let shares = runs.iter().map(|run| {
        let mut room: u32 = taken(run).iter().map(|share| share.1).sum();
        let mut shares = BTreeMap::new();
        for entry in &order {
            let ready = wanted.get(*entry).map_or(0.0, |w| w.ready_min);
            let left = left.entry(*entry).or_default();
            let goes = room.min(*left);
            if goes > 0 && ready <= run.start_min + 1e-6 {
                shares.insert(*entry, goes);
                *left -= goes;
                room -= goes;
            }
        }
        shares
    });
    shares.collect()
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

/// Why something is in no run, as a sentence; `held` names what layouts with more pieces in their run
/// brought.
pub fn why_left(left: LeftOver, reason: Option<&String>, held: &[String]) -> String {
    match left {
        LeftOver::PinnedFull if !held.is_empty() => words::pinned_held(held),
        LeftOver::NoPlace => {
            let reasons: Vec<String> = reason.into_iter().cloned().collect();
            words::no_place(&reasons)
        }
        LeftOver::PinnedFull => words::pinned_full(),
        LeftOver::PinnedNotReady => words::pinned_not_ready(),
        LeftOver::PinnedLater => words::pinned_later(),
        LeftOver::TooMany => words::too_many_runs(),
        LeftOver::Stopped => words::stopped(),
    }
}
