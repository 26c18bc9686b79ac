//! The searches for one plan: what is tried after what, and which layout is kept.

use super::super::islands::{Effort, arrange_by};
use super::super::task::{Answer, Fault, Placed, Watch};
use super::layout::{DROPS, Kept, without_levels};
use super::outcome::{held_at, set_up_anew};
use super::poses::{Smallest, Ways};
use super::weights::LEAST_GAIN;
use super::{
    Arrangement, Figures, Judge, NotRearranged, Rearranged, Scope, Trouble, posts, setters_in_use,
    waiting,
};
use crate::load::{Edit, Level, LevelId, LotId, Plan};
use crate::part::{PartId, Rest};
use crate::text::arranging as words;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::atomic::Ordering;
use std::sync::{Arc, PoisonError};

/// Searches again, with the levels left as they are on which something was found, at most
/// (assumed).
const AGAIN: usize = 4;
/// The share of the effort that each of them gets: one over this (assumed).
const SHARE: u64 = 4;
/// The share of the effort for setting levels up anew, and for the search on them: one over this
/// (assumed).
const ANEW: u64 = 2;
/// Searches for each way of laying parts on other faces, at most (assumed).
const LAID: usize = 2;
/// Searches with fewer of the pieces that wait, at most (assumed).
const FEWER: usize = 5;
/// Of the pieces that the review kept out, the share with which it is tried next: one over this
/// (assumed: most that are put back into a thinned layout are few).
const NEXT: usize = 4;
/// Searches with one lot before the others, at most (assumed).
const TURNS: usize = 4;
/// Searches without one of the other faces that were taken, at most (assumed).
const WITHOUT: usize = 3;

/// What stood in the way of better layouts.
#[derive(Default)]
pub(super) struct Way {
    pub found: Vec<Trouble>,
    pub levels: BTreeSet<LevelId>,
    /// What each piece was taken out for.
    pub dropped: BTreeMap<usize, String>,
    /// What kept pieces of each lot out.
    pub held: Held,
}

/// What the judge found that kept pieces of lots out of layouts, by lot, in words.
pub(super) type Held = BTreeMap<LotId, Vec<String>>;

impl Way {
    pub(super) fn met(&mut self, trouble: &Trouble, plan: &Plan) {
        if !self.found.contains(trouble) {
            self.found.push(trouble.clone());
        }
        self.levels.extend(&trouble.levels);
        for id in &trouble.placements {
            self.levels.extend(plan.placement(*id).map(|(l, _)| l.id));
        }
    }
}

/// Levels on which something was found: they take no more mass than they bear now, and where
/// something is found again they are left as they are.
#[derive(Default)]
pub(super) struct Met {
    pub once: BTreeSet<LevelId>,
    pub twice: BTreeSet<LevelId>,
    pub new: bool,
}

impl Met {
    pub(super) fn add(&mut self, levels: &BTreeSet<LevelId>) {
        let again = levels & &self.once;
        self.twice.extend(again);
        let known = self.once.len();
        self.once.extend(levels);
        self.new = self.once.len() > known;
    }
}

/// A layout that may be kept, with the task that it is of.
struct Best {
    set: Arc<Arrangement>,
    kept: Kept,
    way: Way,
}

/// Levels that are empty between others that carry something: without them the stack is lower. The
/// lowest may be there for what is under it.
fn bare_levels(plan: &Plan) -> Vec<LevelId> {
    let mut bare = Vec::new();
    for stack in &plan.load.stacks {
        let carries = |l: &Arc<Level>| !l.placements.is_empty();
        let top = stack.levels.iter().rposition(carries).unwrap_or(0);
        let between = stack.levels.get(1..top).unwrap_or_default().iter();
        bare.extend(between.filter(|l| !carries(l)).map(|l| l.id));
    }
    bare
}

/// Edits as the one step of an arrangement.
pub(super) fn several(edits: Vec<Edit>) -> Edit {
    Edit::Several {
        label: words::step(),
        edits,
    }
}

/// Searches for a layout that places more pieces, or needs fewer setters, and of which the judge
/// has nothing new to say: from the best layout pieces are taken out that bring something, then
/// the search begins again with no more mass on the levels on which something was found, then with
/// those left as they are. Emptied levels go. Where there is furniture for it and everything may be
/// moved, levels are set up anew if that may let more in or need fewer; where parts may lie on other
/// faces, both are done with those that take less; and in the end each level stands on the shortest
/// posts that do. `ready` is told each task before it is searched.
///
/// # Errors
/// See [`Fault`].
pub fn rearrange(
    set: Arrangement,
    effort: Effort,
    watch: &Watch,
    judge: Judge,
    ready: &dyn Fn(&Arc<Arrangement>),
) -> Result<Rearranged, NotRearranged> {
    let bound = set.least_setters();
    let set = Arc::new(set);
    let mut search = Search {
        watch,
        judge,
        ready,
        best: None,
        last: None,
        in_the_way: Vec::new(),
        parts_met: BTreeSet::new(),
        on_their_face: Vec::new(),
        held: Held::new(),
        of_all: None,
        tried_before: watch.tried.load(Ordering::Relaxed),
    };
    search.run(Arc::clone(&set), effort)?;
    search.with_levels_anew(&set, effort, bound);
    search.with_fewer(&set, effort, bound);
    search.in_other_turns(&set, effort, bound);
    let bound = search.with_parts_laid(&set, effort, bound);
    search.with_lower_posts(&set);
    search.outcome(&set, bound)
}

/// The searches for one plan.
struct Search<'a> {
    watch: &'a Watch,
    judge: Judge<'a>,
    ready: &'a dyn Fn(&Arc<Arrangement>),
    best: Option<Best>,
    /// The last task of which nothing was kept.
    last: Option<(Arc<Arrangement>, Way)>,
    in_the_way: Vec<String>,
    /// Parts that something was found of that was not found before.
    parts_met: BTreeSet<PartId>,
    /// Why parts stay on their faces, in sentences.
    on_their_face: Vec<String>,
    /// What kept pieces out of any layout.
    held: Held,
    /// The first of it that is about the whole load.
    of_all: Option<String>,
    /// Places that were tried under the same watch before, by other searches.
    tried_before: u64,
}

impl Search<'_> {
    /// Tells of a task whose layouts are shown from now on.
    fn announce(&self, set: &Arc<Arrangement>) {
        // What an earlier search left is of another task; whoever looks on takes both at once.
        set.know_areas();
        let shown = self.watch.best.lock();
        *shown.unwrap_or_else(PoisonError::into_inner) = None;
        (self.ready)(set);
    }

    fn run(&mut self, set: Arc<Arrangement>, effort: Effort) -> Result<(), NotRearranged> {
        let less = Effort {
            evaluations: effort.evaluations / SHARE,
            ..effort
        };
        let mut met = Met::default();
        let mut current = set;
        for again in 0..=AGAIN {
            let effort = if again == 0 { effort } else { less };
            self.announce(&current);
            let answer = current.searched(effort, self.watch)?;
            if self.watch.cancelled() && self.best.is_some() {
                // What is kept was judged to the end; this could not be any more.
                break;
            }
            let (kept, way) = self.finished(&current, answer.placed);
            met.add(&way.levels);
            let clean = way.found.is_empty();
            // With nothing in the way, and nothing gained, what waits may still go into the gaps.
            let stuck = kept.is_none() && clean;
            let scope = match current.wish.scope {
                Scope::Everything if stuck => Scope::Gaps,
                scope => scope,
            };
            let next = (!self.watch.cancelled() && (!clean || scope != current.wish.scope))
                .then(|| current.again(scope, &met))
                .flatten();
            self.offer(current, kept, way);
            match next {
                Some(next) => current = Arc::new(next),
                None => break,
            }
        }
        Ok(())
    }

    /// The layout finished as the weights ask for it, and judged. Where that brings something, and
    /// the layout as it was found brings nothing, that is taken.
    fn finished(&mut self, set: &Arrangement, placed: Vec<Placed>) -> (Option<Kept>, Way) {
        let mut ways = set.finish(placed, self.watch).into_iter().map(|placed| {
            let mut way = Way::default();
            let kept = set.judged(placed, self.judge, &mut way, self.watch);
            (kept, way)
        });
        let mut first = ways.next().unwrap_or_default();
        let is_clean = |way: &Way| way.found.is_empty();
        let second = if is_clean(&first.1) {
            None
        } else {
            ways.next()
        };
        drop(ways);
        self.tell(&first.1);
        if let Some((Some(kept), way)) = second
            && is_clean(&way)
        {
            first = (Some(kept), way);
        }
        first
    }

    fn tell(&mut self, way: &Way) {
        for trouble in &way.found {
            if self.of_all.is_none() && trouble.is_of_all() {
                self.of_all = Some(trouble.words.clone());
            }
            if !self.in_the_way.contains(&trouble.words) {
                self.in_the_way.push(trouble.words.clone());
                self.parts_met.extend(&trouble.parts);
            }
        }
        for (lot, found) in &way.held {
            let held = self.held.entry(*lot).or_default();
            held.extend(
                found
                    .iter()
                    .filter(|f| !held.contains(f))
                    .cloned()
                    .collect::<Vec<_>>(),
            );
        }
    }

    /// Keeps what is better than the best so far.
    fn offer(&mut self, set: Arc<Arrangement>, kept: Option<Kept>, way: Way) {
        let best = self.best.as_ref();
        match kept {
            Some(kept) if best.is_none_or(|b| kept.is_better(&b.kept, &set.aims.weights)) => {
                self.best = Some(Best { set, kept, way });
            }
            _ if set.base.is_none() => self.last = Some((set, way)),
            _ => {}
        }
    }

    /// The best plan so far, or the one that was asked about.
    fn plan<'a>(&'a self, set: &'a Arrangement) -> &'a Plan {
        self.best.as_ref().map_or(&set.plan, |best| &best.kept.plan)
    }

    /// Searches on levels set up anew, where that may let more in or need fewer setters, or where
    /// the height of the stack counts for more than a setter.
    fn with_levels_anew(&mut self, set: &Arc<Arrangement>, effort: Effort, bound: usize) {
        let plan = self.plan(set);
        let weights = &set.aims.weights;
        let high = || {
            let points = set.height_mm(plan).map(|mm| mm * weights.stack);
            points.is_some_and(|points| points > weights.setter)
        };
        let cleared = self.best.as_ref().map_or(0, |best| best.kept.cleared);
        let more = waiting(plan) > 0
            || cleared < set.amiss_before().len()
            || setters_in_use(plan) > bound
            || high();
        if !more || !set.may_be_set_up_anew() || self.watch.cancelled() {
            return;
        }
        let half = Effort {
            evaluations: effort.evaluations / ANEW,
            ..effort
        };
        // Its layouts are of a task of their own, which is not shown.
        self.announce(&Arc::new(set.unshown()));
        if let Some(anew) = set.furnished(half, self.watch) {
            // Where that cannot be searched, what was found stays.
            let _ = self.run(Arc::new(anew), half);
        }
    }

    /// Searches with fewer of the pieces that wait, where what the whole load brings kept pieces out of
    /// a layout: with a share of those that stay out, with more where all of that went in.
    fn with_fewer(&mut self, set: &Arc<Arrangement>, effort: Effort, bound: usize) {
        let less = Effort {
            evaluations: effort.evaluations / SHARE,
            ..effort
        };
        // With all of them it was searched.
        let mut too_many = set.waiting();
        for _ in 0..FEWER {
            let Some(words) = self.of_all.clone() else {
                return;
            };
            let kept = set.placed(self.plan(set));
            let left = too_many.saturating_sub(kept);
            if left < 2 || self.watch.cancelled() {
                return;
            }
            let tried = kept + (left / NEXT).max(1);
            let Some(fewer) = set.fewer(tried, &words) else {
                return;
            };
            let fewer = Arc::new(fewer);
            // Where that cannot be searched, what was found stays.
            let _ = self.run(Arc::clone(&fewer), less);
            self.with_levels_anew(&fewer, less, bound);
            if set.placed(self.plan(set)) < tried {
                too_many = tried;
            }
        }
    }

    /// Where the review kept pieces out: searches with each of the lots that wait before the others. What
    /// goes in first decides which levels bear what.
    fn in_other_turns(&mut self, set: &Arc<Arrangement>, effort: Effort, bound: usize) {
        let lots: BTreeSet<LotId> = set.lots_that_wait().collect();
        let half = Effort {
            evaluations: effort.evaluations / ANEW,
            ..effort
        };
        if lots.len() < 2 || self.in_the_way.is_empty() {
            return;
        }
        for lot in lots.into_iter().take(TURNS) {
            if waiting(self.plan(set)) == 0 || self.watch.cancelled() {
                return;
            }
            let turned = Arc::new(set.in_turn(lot));
            // Where that cannot be searched, what was found stays.
            let _ = self.run(Arc::clone(&turned), half);
            self.with_levels_anew(&turned, half, bound);
        }
    }

    /// Searches with parts on other faces, where there may be; the least number of setters by area
    /// then.
    fn with_parts_laid(&mut self, set: &Arc<Arrangement>, effort: Effort, bound: usize) -> usize {
        let Some(poses) = set.poses.as_ref().filter(|_| !self.watch.cancelled()) else {
            return bound;
        };
        let (poses, why_not) = poses(self.watch);
        let (ways, stay) = set.ways(&poses);
        self.on_their_face = [why_not, stay].concat();
        let half = Effort {
            evaluations: effort.evaluations / ANEW,
            ..effort
        };
        let least = set.least_setters_laid(&ways);
        let bound = least.map_or(bound, |least| bound.min(least));
        let (mut refused, mut tried) = (Vec::new(), Vec::new());
        for smallest in Smallest::ALL {
            let mut searched = 0;
            while let Some(laid) = set.laid(&ways, smallest, &refused) {
                if self.watch.cancelled() || tried.contains(&laid.rests) || searched == LAID {
                    break;
                }
                // What the judge has against a part as it lies there needs no search.
                let mut way = Way::default();
                for trouble in (self.judge)(&laid.set.plan) {
                    // Places are those of the faces before.
                    if !trouble.parts.is_empty() {
                        way.met(&trouble, &laid.set.plan);
                    }
                }
                self.parts_met.clear();
                self.tell(&way);
                let met = |one: &(PartId, Rest)| self.parts_met.contains(&one.0);
                if !laid.rests.iter().any(met) {
                    searched += 1;
                    self.parts_met.clear();
                    let set = Arc::new(laid.set);
                    // Where that cannot be searched, what was found stays.
                    let _ = self.run(Arc::clone(&set), half);
                    self.with_levels_anew(&set, half, bound);
                }
                let met = |one: &&(PartId, Rest)| self.parts_met.contains(&one.0);
                refused.extend(laid.rests.iter().filter(met));
                tried.push(laid.rests);
            }
        }
        self.without_idle_faces(set, &ways, half, bound);
        bound
    }

    /// Parts are laid together: one by one it is searched without each face that was taken, so that
    /// one that brings nothing does not come along.
    fn without_idle_faces(
        &mut self,
        set: &Arrangement,
        ways: &[Ways],
        effort: Effort,
        bound: usize,
    ) {
        let laid = set.laid_parts(self.plan(set)).map(|[_, is]| is.id);
        let laid: Vec<PartId> = laid.collect();
        for part in laid.into_iter().take(WITHOUT) {
            let plan = self.plan(set);
            let lies = set.laid_parts(plan).any(|[_, is]| is.id == part);
            if self.watch.cancelled() || !lies {
                continue;
            }
            if let Some(without) = set.laid_but(ways, plan, part) {
                let without = Arc::new(without);
                // Where that cannot be searched, what was found stays.
                let _ = self.run(Arc::clone(&without), effort);
                self.with_levels_anew(&without, effort, bound);
            }
        }
    }

    /// Takes levels away that are empty between others and puts each level onto the shortest posts that
    /// do, if nothing new is found then.
    fn with_lower_posts(&mut self, set: &Arc<Arrangement>) {
        let Some(furniture) = set.aims.furniture.as_ref() else {
            return;
        };
        if set.wish.scope != Scope::Everything || self.watch.cancelled() {
            return;
        }
        let mut but: Vec<LevelId> = Vec::new();
        for _ in 0..DROPS {
            let plan = self.plan(set);
            // What waits may still go there.
            let bare = match waiting(plan) {
                0 => bare_levels(plan),
                _ => Vec::new(),
            };
            let mut lowered =
                without_levels(plan, |l| bare.contains(&l.id) && !but.contains(&l.id));
            let Ok(then) = several(lowered.clone()).apply(plan, &set.catalogue) else {
                return;
            };
            let shorter = posts::lowered(&then, &set.catalogue, set.wish.keep, furniture, &but);
            lowered.extend(shorter);
            if lowered.is_empty() {
                return;
            }
            let mut edits = match self.best.as_ref().map(|best| &best.kept.edit) {
                Some(Edit::Several { edits, .. }) => edits.clone(),
                _ => Vec::new(),
            };
            let Ok(now) = several(lowered.clone()).apply(plan, &set.catalogue) else {
                return;
            };
            let figures = Figures::without_areas(&now, &set.catalogue);
            let were = Figures::without_areas(plan, &set.catalogue);
            if set.aims.weights.gain([&were, &figures]) < LEAST_GAIN {
                return;
            }
            let found = (self.judge)(&now);
            if found.is_empty() {
                edits.extend(lowered);
                let cleared = self.best.as_ref().map_or(0, |best| best.kept.cleared);
                let (own, placed, way) = match self.best.take() {
                    Some(best) => (best.set, best.kept.placed, best.way),
                    None => self.standing(set),
                };
                let kept = Kept {
                    worth: set.worth(&now),
                    placed,
                    edit: several(edits),
                    laid: set.laid_parts(&now).count(),
                    cleared,
                    plan: now,
                    figures,
                };
                self.best = Some(Best {
                    set: own,
                    kept,
                    way,
                });
                return;
            }
            let known = but.len();
            let mut way = Way::default();
            found.iter().for_each(|trouble| way.met(trouble, &now));
            but.extend(
                way.levels
                    .iter()
                    .filter(|id| !but.contains(id))
                    .collect::<Vec<_>>(),
            );
            self.tell(&way);
            if but.len() == known {
                return;
            }
        }
    }

    /// The plan as it stands, as if that had been found.
    fn standing(&mut self, set: &Arc<Arrangement>) -> (Arc<Arrangement>, Vec<Placed>, Way) {
        let (set, way) = self
            .last
            .take()
            .unwrap_or((Arc::clone(set), Way::default()));
        let placed = set.rules.start.clone();
        (set, placed, way)
    }

    fn outcome(mut self, set: &Arrangement, bound: usize) -> Result<Rearranged, NotRearranged> {
        let on_their_face = std::mem::take(&mut self.on_their_face);
        let stopped = self.watch.cancelled();
        // The last search may have been one for the gaps alone.
        let everything = set.wish.scope == Scope::Everything;
        let anew = set.may_be_set_up_anew();
        let before = Figures::of(&set.plan, &set.catalogue, set.wish.keep);
        let amiss = set.amiss_before().len();
        let (set, kept, way) = match (self.best, self.last) {
            (Some(best), _) => (best.set, Some(best.kept), best.way),
            (None, Some((set, way))) => (set, None, way),
            (None, None) => return Err(NotRearranged::Nothing),
        };
        let added = kept.as_ref().map_or(0, |kept| {
            kept.placed.iter().filter(|p| set.waits(p)).count()
        });
        let cleared = kept.as_ref().map_or(0, |kept| kept.cleared);
        let left_out = set.left_out(kept.as_ref(), (&way, &self.held), anew, stopped);
        let (edit, plan) = match kept {
            Some(kept) => (Some(kept.edit), Arc::new(kept.plan)),
            None => (None, Arc::clone(set.origin())),
        };
        let levels = set_up_anew(set.origin(), &plan);
        let held = held_at(set.origin(), &plan, &set.catalogue);
        let laid = set.laid_words(&plan);
        Ok(Rearranged {
            edit,
            weights: set.aims.weights,
            before,
            after: Figures::of(&plan, &set.catalogue, set.wish.keep),
            plan,
            bound: everything.then_some(bound),
            added,
            levels,
            held,
            amiss: [amiss, amiss.saturating_sub(cleared)],
            laid,
            on_their_face,
            left_out,
            in_the_way: self.in_the_way,
            stopped,
            evaluations: self.watch.tried.load(Ordering::Relaxed) - self.tried_before,
        })
    }
}

impl Arrangement {
    /// The answer of a search. Where it broke off, the best that it had: that is proved like any
    /// other.
    fn searched(&self, effort: Effort, watch: &Watch) -> Result<Answer, NotRearranged> {
        if self.copies.is_empty() {
            return Ok(Answer::default());
        }
        let mut found = arrange_by(&self.task, &self.rules, effort, watch);
        // A first layout alone may take more than a small budget, and is not answered then.
        if let Ok(first) = &found
            && first.placed.is_empty()
            && first.evaluations >= effort.evaluations
            && !watch.cancelled()
        {
            let effort = Effort {
                evaluations: 2 * first.evaluations,
                ..effort
            };
            found = arrange_by(&self.task, &self.rules, effort, watch);
        }
        if found == Err(Fault::Broken) {
            let best = watch.best.lock().unwrap_or_else(PoisonError::into_inner);
            if let Some(best) = best.clone() {
                return Ok(best);
            }
        }
        Ok(found?)
    }
}
