//! The plan's values: undo, redo and the saved mark.
//!
//! A step is one gesture. Values share what an edit left alone, so a step costs what it changed.

use crate::catalogue::Catalogue;
use crate::load::{Edit, Level, Load, PlacementId, Plan, Refusal, Stack};
use crate::part::Part;
use std::collections::{BTreeSet, VecDeque};
use std::sync::Arc;
use std::time::Duration;

/// Nudges of the same things that follow each other within this time are one step.
pub const NUDGES_WITHIN: Duration = Duration::from_secs(1);

/// How much history stays in memory. The last step always stays.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Keep {
    /// Steps, at most.
    pub steps: usize,
    /// Estimated bytes, at most.
    pub bytes: usize,
}

impl Default for Keep {
    /// A thousand steps and 256 MiB (assumed): more than a day's work, little for a desktop.
    fn default() -> Keep {
        Keep {
            steps: 1000,
            bytes: 256 << 20,
        }
    }
}

/// What an edit did to the history.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Change {
    /// The plan is as it was: no step.
    Nothing,
    /// A new step.
    Step,
    /// It went into the nudge before it.
    Merged,
    /// It took the nudge before it back: that step is gone.
    TakenBack,
}

/// A step that is no longer in memory.
#[derive(Clone, Debug, PartialEq)]
pub struct Dropped {
    /// Its name.
    pub label: String,
    /// The plan before it, which undo no longer reaches.
    pub before: Arc<Plan>,
}

/// Outcome of an edit that was not refused.
#[derive(Clone, Debug, PartialEq)]
pub struct Applied {
    /// What it did.
    pub change: Change,
    /// Oldest steps that had to go, oldest first: for the journal to keep.
    pub dropped: Vec<Dropped>,
}

#[derive(Clone, Debug)]
struct Step {
    label: String,
    after: Arc<Plan>,
    bytes: usize,
}

#[derive(Clone, Debug)]
struct Nudge {
    ids: BTreeSet<PlacementId>,
    at: Duration,
}

/// All values of an open plan.
#[derive(Clone, Debug)]
pub struct History {
    first: Arc<Plan>,
    steps: VecDeque<Step>,
    /// How many of `steps` are done; the rest are undone.
    done: usize,
    keep: Keep,
    /// Highest next number of any value so far: a number given out stays used after an undo.
    next_id: u32,
    saved: Option<Arc<Plan>>,
    /// The last step, while another nudge may go into it.
    nudge: Option<Nudge>,
}

impl History {
    /// A history that begins with a plan, not marked as saved.
    pub fn new(plan: Plan) -> History {
        History::keeping(plan, Keep::default())
    }

    /// The same with another cap.
    pub fn keeping(plan: Plan, keep: Keep) -> History {
        History {
            next_id: plan.next_id,
            first: Arc::new(plan),
            steps: VecDeque::new(),
            done: 0,
            keep,
            saved: None,
            nudge: None,
        }
    }

    /// The plan as it is now.
    pub fn plan(&self) -> &Arc<Plan> {
        let last = self.done.checked_sub(1).and_then(|i| self.steps.get(i));
        last.map_or(&self.first, |step| &step.after)
    }

    /// Next number for an edit that creates something. Unlike the plan's own, undo does not take
    /// it back.
    pub fn next_id(&self) -> u32 {
        self.next_id
    }

    /// The plan as it is to be saved: with [`next_id`](History::next_id) as its next number, so
    /// that numbers stay used in the file too.
    pub fn to_save(&self) -> Arc<Plan> {
        numbered(self.plan(), self.next_id)
    }

    /// Applies an edit. `now` is any clock that only goes forward, for telling nudges in a row.
    ///
    /// # Errors
    /// The edit's own sentence; everything is as it was then, undone steps included.
    pub fn apply(
        &mut self,
        edit: &Edit,
        catalogue: &Catalogue,
        now: Duration,
    ) -> Result<Applied, Refusal> {
        let before = Arc::clone(self.plan());
        let after = edit.apply(&numbered(&before, self.next_id), catalogue)?;
        self.next_id = self.next_id.max(after.next_id);
        if same(&after, &before) {
            let dropped = Vec::new();
            let change = Change::Nothing;
            return Ok(Applied { change, dropped });
        }
        let ids = nudged(edit, &before);
        let goes_on = self.nudge.take().is_some_and(|last| {
            let since = now.checked_sub(last.at);
            Some(&last.ids) == ids.as_ref() && since.is_some_and(|since| since <= NUDGES_WITHIN)
        });
        self.steps.truncate(self.done);
        let mut change = Change::Step;
        if goes_on && self.steps.pop_back().is_some() {
            self.done -= 1;
            if same(&after, self.plan()) {
                let dropped = Vec::new();
                let change = Change::TakenBack;
                return Ok(Applied { change, dropped });
            }
            change = Change::Merged;
        }
        let bytes = estimate(&after, Some(self.plan()));
        self.steps.push_back(Step {
            label: edit.label(),
            after: Arc::new(after),
            bytes,
        });
        self.done += 1;
        self.nudge = ids.map(|ids| Nudge { ids, at: now });
        let dropped = self.drop_oldest();
        Ok(Applied { change, dropped })
    }

    /// Whether an edit would be taken.
    ///
    /// # Errors
    /// Why not.
    pub fn takes(&self, edit: &Edit, catalogue: &Catalogue) -> Result<(), Refusal> {
        let now = numbered(self.plan(), self.next_id);
        edit.apply(&now, catalogue).map(|_| ())
    }

    /// Ends a row of nudges: the next one is a step of its own.
    pub fn end_nudges(&mut self) {
        self.nudge = None;
    }

    fn drop_oldest(&mut self) -> Vec<Dropped> {
        let mut dropped = Vec::new();
        while self.done > 1
            && (self.steps.len() > self.keep.steps || self.bytes() > self.keep.bytes)
        {
            let Some(step) = self.steps.pop_front() else {
                break;
            };
            self.done -= 1;
            dropped.push(Dropped {
                label: step.label,
                before: std::mem::replace(&mut self.first, step.after),
            });
        }
        dropped
    }

    /// Estimated memory of all values, bytes; what values share counts once. The records that came
    /// with the file are left out: no edit changes them.
    pub fn bytes(&self) -> usize {
        estimate(&self.first, None) + self.steps.iter().map(|step| step.bytes).sum::<usize>()
    }

    /// Goes one step back; false where there is none.
    pub fn undo(&mut self) -> bool {
        self.nudge = None;
        let can = self.done > 0;
        self.done = self.done.saturating_sub(1);
        can
    }

    /// Goes one step forward again; false where there is none.
    pub fn redo(&mut self) -> bool {
        self.nudge = None;
        let can = self.done < self.steps.len();
        self.done += usize::from(can);
        can
    }

    /// Name of the step that undo would take back.
    pub fn undo_label(&self) -> Option<&str> {
        let last = self.steps.get(self.done.checked_sub(1)?)?;
        Some(&last.label)
    }

    /// Name of the step that redo would do again.
    pub fn redo_label(&self) -> Option<&str> {
        Some(&self.steps.get(self.done)?.label)
    }

    /// Names of all steps in memory, oldest first, with whether they are done (else undone).
    pub fn steps(&self) -> impl Iterator<Item = (&str, bool)> {
        let named = self.steps.iter().enumerate();
        named.map(|(i, step)| (step.label.as_str(), i < self.done))
    }

    /// Marks the plan as it is now as saved. A nudge after it is a new step.
    pub fn mark_saved(&mut self) {
        self.saved = Some(Arc::clone(self.plan()));
        self.nudge = None;
    }

    /// Whether the plan has the value that was saved, by whatever way it came to it.
    pub fn is_saved(&self) -> bool {
        let saved = self.saved.as_ref();
        saved.is_some_and(|saved| same(saved, self.plan()))
    }
}

/// The plan with a next number of at least `next_id`.
fn numbered(plan: &Arc<Plan>, next_id: u32) -> Arc<Plan> {
    if plan.next_id >= next_id {
        return Arc::clone(plan);
    }
    let mut plan = Plan::clone(plan);
    plan.next_id = next_id;
    Arc::new(plan)
}

/// What an edit nudges: things that move on their levels.
fn nudged(edit: &Edit, plan: &Plan) -> Option<BTreeSet<PlacementId>> {
    let Edit::MovePlacements(moves) = edit else {
        return None;
    };
    let stays = |id, level| plan.placement(id).is_some_and(|(from, _)| from.id == level);
    let all = moves.iter().all(|m| stays(m.id, m.level));
    all.then(|| moves.iter().map(|m| m.id).collect())
}

/// Whether two plans have the same value, apart from the next number, which only counts.
fn same(a: &Plan, b: &Plan) -> bool {
    let Plan {
        title,
        note,
        planned_start,
        planned_start_time,
        begun_from,
        next_id: _,
        load: Load { furnace, stacks },
        profile,
        parts,
        lots,
        declarations,
        acceptances,
        signatures,
        validated_kg,
        records_used,
    } = a;
    *title == b.title
        && *note == b.note
        && *planned_start == b.planned_start
        && *planned_start_time == b.planned_start_time
        && *begun_from == b.begun_from
        && *furnace == b.load.furnace
        && alike(stacks, &b.load.stacks, |x, y| {
            let Stack { id, at_mm, levels } = x;
            *id == y.id && *at_mm == y.at_mm && alike(levels, &y.levels, shared)
        })
        && shared(profile, &b.profile)
        && alike(parts, &b.parts, shared)
        && alike(lots, &b.lots, shared)
        && *declarations == b.declarations
        && *acceptances == b.acceptances
        && *signatures == b.signatures
        && *validated_kg == b.validated_kg
        && shared(records_used, &b.records_used)
}

/// Equal, looking inside only where the two are not one and the same.
fn shared<T: PartialEq>(a: &Arc<T>, b: &Arc<T>) -> bool {
    Arc::ptr_eq(a, b) || a == b
}

fn alike<T>(a: &[T], b: &[T], same: impl Fn(&T, &T) -> bool) -> bool {
    a.len() == b.len() && a.iter().zip(b).all(|(x, y)| same(x, y))
}

/// Memory of a plan, bytes, less what it shares with another. An estimate: allocation overhead and
/// spare capacity are not counted.
fn estimate(plan: &Plan, other: Option<&Plan>) -> usize {
    let address = |at: *const ()| at as usize;
    let mut known: BTreeSet<usize> = BTreeSet::new();
    if let Some(other) = other {
        known.extend(other.levels().map(|(_, l)| address(Arc::as_ptr(l).cast())));
        known.extend(other.parts.iter().map(|p| address(Arc::as_ptr(p).cast())));
        let geometries = other.parts.iter().map(|p| &p.geometry);
        known.extend(geometries.map(|g| address(Arc::as_ptr(g).cast())));
        known.extend(other.lots.iter().map(|l| address(Arc::as_ptr(l).cast())));
        known.insert(address(Arc::as_ptr(&other.profile).cast()));
    }
    let mut new = |at: *const ()| known.insert(address(at));
    let mut bytes = size_of::<Plan>() + plan.title.len() + plan.note.len();
    bytes += size_of_val(plan.load.stacks.as_slice()) + size_of_val(plan.parts.as_slice());
    bytes += size_of_val(plan.declarations.as_slice()) + size_of_val(plan.acceptances.as_slice());
    for (_, level) in plan.levels() {
        bytes += size_of::<Arc<Level>>();
        if new(Arc::as_ptr(level).cast()) {
            bytes += size_of::<Level>() + size_of_val(level.placements.as_slice());
        }
    }
    for part in &plan.parts {
        if new(Arc::as_ptr(part).cast()) {
            bytes += size_of::<Part>();
        }
        let geometry = &part.geometry;
        if new(Arc::as_ptr(geometry).cast()) {
            let slabs = geometry.body.slabs.iter();
            let corners: usize = slabs
                .map(|slab| {
                    slab.outline.point_count() + slab.fine.as_ref().map_or(0, |o| o.point_count())
                })
                .sum();
            bytes += corners * size_of::<[f64; 2]>();
        }
    }
    for lot in &plan.lots {
        if new(Arc::as_ptr(lot).cast()) {
            bytes += size_of_val(lot.as_ref());
        }
    }
    if new(Arc::as_ptr(&plan.profile).cast()) {
        bytes += size_of_val(plan.profile.segments.as_slice());
    }
    bytes
}
