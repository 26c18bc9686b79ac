//! What came of a search: the step, figures before and after, and what still waits.

use super::layout::Kept;
use super::pieces::Copy;
use super::reasons::Places;
use super::search::{Held, Way};
use super::{Arrangement, Figures, LeftOut, Weighed, Weights, Why, figures, pieces};
use crate::catalogue::Catalogue;
use crate::load::{Carrier, Edit, Item, Level, LevelId, PlacementId, Plan, stack_heights};
use crate::text::arranging as words;
use crate::text::arranging_ways as ways;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// What came of a search.
#[derive(Clone, Debug)]
pub struct Rearranged {
    /// One step of the history; none where nothing better was found.
    pub edit: Option<Edit>,
    /// The plan with that step, or as it was.
    pub plan: Arc<Plan>,
    /// What counted.
    pub weights: Weights,
    /// The plan before.
    pub before: Figures,
    /// The plan after.
    pub after: Figures,
    /// Least number of setters by area for all of it; none where only a part was set out.
    pub bound: Option<usize>,
    /// Pieces that waited and are now placed.
    pub added: usize,
    /// Levels that stand on other posts, that have another setter, that were added, that are gone.
    pub levels: [usize; 4],
    /// Levels with coupons, sensors or locked pieces that stand higher now, by so many mm; lower ones
    /// below 0.
    pub held: Vec<(String, f64)>,
    /// Pieces that could be moved and stand too near to something or over the edge, before and after.
    pub amiss: [usize; 2],
    /// Parts that lie on another face than before, in sentences.
    pub laid: Vec<String>,
    /// Why parts were not laid on other faces where that was asked, in sentences.
    pub on_their_face: Vec<String>,
    /// What still waits, and why.
    pub left_out: Vec<LeftOut>,
    /// What layouts that were better by number would have brought.
    pub in_the_way: Vec<String>,
    /// Whether the search was stopped before its end.
    pub stopped: bool,
    /// Places tried, as [`Watch::tried`](super::Watch) counts them while it is searched.
    pub evaluations: u64,
}

impl Rearranged {
    /// The plan before and after, weighed.
    pub fn weighed(&self) -> Weighed {
        self.weights.weighed([&self.before, &self.after])
    }

    /// What was set up anew, and what of it moves what stays, in sentences.
    pub fn set_up(&self) -> Vec<String> {
        let levels = (self.levels != [0; 4]).then(|| ways::levels(self.levels));
        let held = (!self.held.is_empty()).then(|| ways::held_at(&self.held));
        levels.into_iter().chain(held).collect()
    }

    /// What stood too near to something or over the edge, in a sentence.
    pub fn stood_amiss(&self) -> Option<String> {
        let [before, after] = self.amiss;
        (before > 0).then(|| ways::stood_amiss(before, after))
    }

    /// The step with its new things numbered from `next_id` on: numbers may have been given out
    /// and taken back since.
    pub fn numbered(&self, next_id: u32) -> Option<Edit> {
        let mut edit = self.edit.clone()?;
        let mut next = next_id;
        let mut take = || {
            let id = next;
            next = next.saturating_add(1);
            id
        };
        let mut levels: BTreeMap<LevelId, LevelId> = BTreeMap::new();
        let Edit::Several { edits, .. } = &mut edit else {
            return Some(edit);
        };
        for one in edits {
            let now = |id: LevelId| levels.get(&id).copied().unwrap_or(id);
            match one {
                Edit::AddLevel { level, .. } => {
                    let new = LevelId(take());
                    levels.insert(level.id, new);
                    level.id = new;
                }
                Edit::Place { level, placements } => {
                    *level = now(*level);
                    for placement in placements {
                        placement.id = PlacementId(take());
                    }
                }
                Edit::MovePlacements(moves) => {
                    for one in moves {
                        one.level = now(one.level);
                    }
                }
                Edit::ChangeLevel { id, .. } | Edit::RemoveLevel(id) => *id = now(*id),
                _ => {}
            }
        }
        Some(edit)
    }
}

/// Levels that stand on other posts, that have another setter, that were added, that are gone.
pub fn set_up_anew(before: &Plan, after: &Plan) -> [usize; 4] {
    let posts = |level: &Level| match &level.carrier {
        Carrier::Posts { post, .. } => Some(post.clone()),
        _ => None,
    };
    let setters = after.levels().filter(|(_, l)| {
        let was = before.level(l.id);
        was.is_some_and(|(_, was)| was.setter != l.setter)
    });
    let were = |l: &Level| before.level(l.id).map(|(_, level)| posts(level));
    let others = after
        .levels()
        .filter(|(_, l)| were(l).is_some_and(|p| p != posts(l)));
    let new = after.levels().filter(|(_, l)| before.level(l.id).is_none());
    let gone = before.levels().filter(|(_, l)| after.level(l.id).is_none());
    [others.count(), setters.count(), new.count(), gone.count()]
}

/// Heights that differ by less are one, mm (assumed: no stack is measured so).
const HEIGHT_MM: f64 = 0.05;

/// Levels on which something stays and that stand at another height, and by how much higher, mm.
pub(super) fn held_at(before: &Plan, after: &Plan, catalogue: &Catalogue) -> Vec<(String, f64)> {
    let faces = |plan: &Plan| {
        let mut all: BTreeMap<LevelId, f64> = BTreeMap::new();
        let Some(furnace) = catalogue.furnace(&plan.load.furnace) else {
            return all;
        };
        for stack in &plan.load.stacks {
            let heights = stack_heights(stack, catalogue, furnace);
            for (level, height) in stack.levels.iter().zip(heights) {
                all.extend(height.ok().map(|at| (level.id, at.face_mm)));
            }
        }
        all
    };
    let (were, are) = (faces(before), faces(after));
    let held = before.levels();
    let held = held.filter(|(_, l)| !l.placements.iter().all(pieces::movable));
    let moved = held.filter_map(|(_, level)| {
        let higher = are.get(&level.id)? - were.get(&level.id)?;
        (higher.abs() > HEIGHT_MM).then(|| (before.level_label(level.id), higher))
    });
    moved.collect()
}

impl Arrangement {
    /// What waits still, and why.
    pub(super) fn left_out(
        &self,
        kept: Option<&Kept>,
        (way, held): (&Way, &Held),
        anew: bool,
        stopped: bool,
    ) -> Vec<LeftOut> {
        let none = Vec::new();
        let placed = kept.map_or(&none, |k| &k.placed);
        let there: BTreeSet<usize> = placed.iter().map(|p| p.part).collect();
        let waits = |(_, copy): &(usize, &Copy)| copy.placed.is_none();
        let copies = self.copies.iter().enumerate().filter(waits);
        let copies = copies.filter(|(i, _)| !there.contains(i));
        let copies = copies.map(|(i, copy)| (copy.kind, 1, way.dropped.get(&i)));
        let nowhere = self.nowhere.iter().chain(&self.beyond);
        let nowhere = nowhere.map(|(kind, n)| (*kind, *n, None));
        let thinned = self.thinned_out();
        let nowhere = nowhere.chain(thinned.map(|(kind, n, why)| (kind, n, Some(why))));
        let mut out = copies.chain(nowhere).peekable();
        if out.peek().is_none() {
            return Vec::new();
        }
        let plan = kept.map_or(self.plan.as_ref(), |k| &k.plan);
        let places = Places {
            plan: &self.plan,
            fields: &self.task.fields,
            seats: &self.seats,
            filled: figures::fullest(plan, &self.catalogue, self.wish.keep),
            now: plan,
            furniture: self.aims.furniture.as_ref(),
            catalogue: &self.catalogue,
            keep: self.wish.keep,
            stopped,
        };
        let mut left: Vec<LeftOut> = Vec::new();
        // Of one kind all stay out for the same.
        let mut known: BTreeMap<usize, Why> = BTreeMap::new();
        for (index, n, dropped) in out {
            let (Some(piece), Some(kind)) = (self.pieces.get(index), self.task.kinds.get(index))
            else {
                continue;
            };
            let why = match dropped {
                Some(words) => Why::Review(words.clone()),
                None => {
                    let why = || {
                        let area_mm2 = pieces::area_mm2(kind, self.wish.keep);
                        places.why(index, piece, kind, area_mm2)
                    };
                    known.entry(index).or_insert_with(why).clone()
                }
            };
            let name = name_of(&self.plan, &piece.model.item);
            let lot = piece.model.item.lot();
            // Where the shape or the feedstock keeps a piece out, no review was asked.
            let held = lot
                .and_then(|lot| held.get(&lot))
                .filter(|_| why.may_be_held());
            match left.iter_mut().find(|l| l.name == name && l.why == why) {
                Some(same) => same.count += n,
                None => left.push(LeftOut {
                    name,
                    must: self.aims.must(lot),
                    lot,
                    count: n,
                    why,
                    held: held.cloned().unwrap_or_default(),
                    anew,
                }),
            }
        }
        left.sort_by_key(|l| (!l.must, !l.is_for_review()));
        left
    }
}

/// The part's name with its lot's.
fn name_of(plan: &Plan, item: &Item) -> String {
    let lot = item.lot().and_then(|id| plan.lot(id));
    let name = plan.item_name(item);
    lot.map_or_else(|| name.clone(), |lot| words::of_lot(&name, &lot.name))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::load::{Stack, StackId};

    fn level(id: u32, setter: &str, carrier: Carrier) -> Arc<Level> {
        Arc::new(Level {
            id: LevelId(id),
            setter: setter.to_owned(),
            carrier,
            placements: Vec::new(),
        })
    }

    fn plan(levels: Vec<Arc<Level>>) -> Plan {
        let mut plan = Plan::empty("a furnace");
        plan.load.stacks = vec![Stack {
            id: StackId(1),
            at_mm: [0.0; 2],
            levels,
        }];
        plan
    }

    #[test]
    fn other_posts_and_other_setters_are_counted_each_for_itself() {
        let posts = |post: &str| Carrier::Posts {
            post: post.to_owned(),
            at_mm: vec![[50.0, 50.0]],
        };
        let before = plan(vec![
            level(1, "square", Carrier::Hearth),
            level(2, "square", posts("long")),
            level(3, "square", posts("long")),
            level(4, "square", posts("long")),
        ]);
        let after = plan(vec![
            level(1, "disc", Carrier::Hearth),
            level(2, "disc", posts("short")),
            level(3, "square", posts("short")),
            level(9, "square", posts("long")),
        ]);
        assert_eq!(set_up_anew(&before, &after), [2, 2, 1, 1]);
        assert_eq!(set_up_anew(&before, &before), [0; 4]);
    }
}
