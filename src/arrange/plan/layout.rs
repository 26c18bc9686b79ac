//! From a layout to one step of the history, and as much of it as the judge has nothing to say of.

use super::super::rules::HAIR;
use super::super::task::{Answer, Placed};
use super::search::{Way, several};
use super::weights::{LEAST_GAIN, SAME_POINTS};
use super::{Arrangement, Figures, Judge, ROUND_MM, Trouble, Weights};
use crate::load::{
    Carrier, Edit, Item, Level, LevelId, LevelScene, LotId, Move, Placement, PlacementId, Plan,
    Sizes, Stack,
};
use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Times that pieces are taken out of one layout until nothing new is found (assumed).
pub(super) const DROPS: usize = 8;

/// A layout that nothing new was found in.
pub(super) struct Kept {
    pub placed: Vec<Placed>,
    pub edit: Edit,
    pub plan: Plan,
    /// With every level on the shortest posts that do.
    pub figures: Figures,
    /// What all its pieces are worth.
    pub worth: f64,
    /// How many parts lie on other faces than before.
    pub laid: usize,
}

impl Kept {
    /// More worth first, then more pieces, then fewer points.
    pub(super) fn is_better(&self, than: &Kept, weights: &Weights) -> bool {
        if (self.worth - than.worth).abs() > HAIR * than.worth {
            return self.worth > than.worth;
        }
        if self.figures.placed != than.figures.placed {
            return self.figures.placed > than.figures.placed;
        }
        // Another face is a change that people have to be told of, and none for a hair.
        let least = match self.laid.cmp(&than.laid) {
            Ordering::Greater => LEAST_GAIN,
            Ordering::Equal => SAME_POINTS,
            Ordering::Less => -LEAST_GAIN,
        };
        weights.gain([&than.figures, &self.figures]) > least
    }
}

impl Arrangement {
    /// The plan as a layout that was found would set it out, emptied levels still there: for
    /// showing while the search runs. None where the layout is of another task.
    pub fn shown(&self, answer: &Answer) -> Option<Plan> {
        self.step(&answer.placed)?
            .apply(&self.plan, &self.catalogue)
            .ok()
    }

    /// Number of the first thing that a layout adds; lower ones stood before.
    pub(super) fn first_new(&self) -> PlacementId {
        PlacementId(self.plan.next_id)
    }

    /// Moves and new things of a layout, as one step.
    pub(super) fn step(&self, placed: &[Placed]) -> Option<Edit> {
        let (mut moves, mut places) = (Vec::new(), vec![Vec::new(); self.seats.len()]);
        let round = |v: f64| (v / ROUND_MM).round() * ROUND_MM;
        for (p, new) in self.numbered(placed) {
            let (copy, seat) = (self.copies.get(p.part)?, self.seats.get(p.field)?);
            let at_mm = [round(p.x - seat.middle[0]), round(p.y - seat.middle[1])];
            match copy.placed {
                Some(id) => moves.push(Move {
                    id,
                    level: seat.level,
                    at_mm,
                    angle_deg: p.angle,
                }),
                None => places.get_mut(p.field)?.push(Placement {
                    id: new,
                    at_mm,
                    angle_deg: p.angle,
                    ..self.pieces.get(copy.kind)?.model.clone()
                }),
            }
        }
        // In the order of the levels, so that numbers run through them as they are given.
        let mut edits = Vec::new();
        if !moves.is_empty() {
            edits.push(Edit::MovePlacements(moves));
        }
        for (seat, placements) in self.seats.iter().zip(places) {
            if !placements.is_empty() {
                let level = seat.level;
                edits.push(Edit::Place { level, placements });
            }
        }
        Some(several(edits))
    }

    /// What is placed, with the number that it gets where it is new.
    pub(super) fn numbered<'a>(
        &'a self,
        placed: &'a [Placed],
    ) -> impl Iterator<Item = (&'a Placed, PlacementId)> {
        let mut order: Vec<&Placed> = placed.iter().collect();
        order.sort_by_key(|p| (p.field, p.part));
        let mut next = self.plan.next_id;
        order.into_iter().map(move |p| {
            let id = PlacementId(next);
            if self.waits(p) {
                next = next.saturating_add(1);
            }
            (p, id)
        })
    }

    pub(super) fn waits(&self, placed: &Placed) -> bool {
        let copy = self.copies.get(placed.part);
        copy.is_some_and(|copy| copy.placed.is_none())
    }

    /// Whether a layout leaves out nothing that stood.
    pub(super) fn is_whole(&self, placed: &[Placed]) -> bool {
        let stood = self.copies.iter().filter(|c| c.placed.is_some()).count();
        placed.iter().filter(|p| !self.waits(p)).count() >= stood
    }

    /// Whether a layout places more, or as much with clearly fewer points.
    pub(super) fn gains(&self, placed: &[Placed], plan: &Plan) -> bool {
        let figures = || [self.figures(self.origin()), self.figures(plan)];
        let points = || {
            let [before, after] = figures();
            self.aims.weights.gain([&before, &after])
        };
        placed.iter().any(|p| self.waits(p)) || points() >= LEAST_GAIN
    }

    /// The finished step of a layout, if the clearance check has nothing against it.
    pub(super) fn finished(&self, placed: &[Placed]) -> Option<(Edit, Plan)> {
        let edit = self.step(placed)?;
        let moved = edit.apply(&self.plan, &self.catalogue).ok()?;
        let Edit::Several { mut edits, .. } = edit else {
            return None;
        };
        edits.extend(self.without_emptied(&moved));
        let mut plan = several(edits.clone())
            .apply(&self.plan, &self.catalogue)
            .ok()?;
        if let Some(base) = &self.base {
            // A part of which no piece found a place keeps its face: nothing was said of it there.
            let placed = |id| plan.placements().any(|(_, p)| p.item.part() == Some(id));
            let wanted = |edit: &&Edit| match edit {
                Edit::RestPart { id, .. } => placed(*id),
                _ => true,
            };
            let before: Vec<Edit> = base.edits.iter().filter(wanted).cloned().collect();
            let whole = before.len() == base.edits.len();
            edits.splice(0..0, before);
            if !whole {
                plan = several(edits.clone())
                    .apply(&base.plan, &self.catalogue)
                    .ok()?;
            }
        }
        self.is_clear(&plan).then(|| (several(edits), plan))
    }

    /// Takes emptied levels away. What stood on one comes down to where it stood: on its posts, so
    /// that the level below keeps its head room and the posts their places.
    pub(super) fn without_emptied(&self, moved: &Plan) -> Vec<Edit> {
        // One that was empty before stays; one that setting up anew emptied does not.
        let carries = |(_, level): (&Stack, &Arc<Level>)| !level.placements.is_empty();
        let laid_out = |id: LevelId| {
            self.origin().level(id).is_none_or(carries) || self.plan.level(id).is_some_and(carries)
        };
        let mut edits = Vec::new();
        for stack in &moved.load.stacks {
            let mut lowest: Option<&Level> = None;
            let mut emptied = Vec::new();
            for level in &stack.levels {
                if level.placements.is_empty() && laid_out(level.id) {
                    lowest = lowest.or(Some(level.as_ref()));
                    emptied.push(Edit::RemoveLevel(level.id));
                    continue;
                }
                let slot = |l: &Level| matches!(l.carrier, Carrier::RackSlot(_));
                if let Some(below) = lowest.take()
                    && !slot(level)
                {
                    if slot(below) {
                        // It has nothing else to stand on.
                        emptied.pop();
                        continue;
                    }
                    edits.push(Edit::ChangeLevel {
                        id: level.id,
                        setter: level.setter.clone(),
                        carrier: below.carrier.clone(),
                    });
                }
            }
            edits.append(&mut emptied);
        }
        edits
    }

    /// The clearance check's own answer for what was moved or added.
    pub(super) fn is_clear(&self, plan: &Plan) -> bool {
        let gap_mm = self.wish.keep.gap_mm;
        let stood: BTreeSet<PlacementId> = self.copies.iter().filter_map(|c| c.placed).collect();
        let mine = |id: PlacementId| stood.contains(&id) || id >= self.first_new();
        let sizes = Sizes::new(plan, &self.catalogue);
        plan.levels().all(|(_, level)| {
            let scene = LevelScene::new(level, plan, &sizes, &self.catalogue);
            let near = scene.pair_gaps(gap_mm);
            !near
                .iter()
                .any(|g| g.gap_mm < gap_mm && (mine(g.a) || mine(g.b)))
        })
    }

    /// The layout, or as much of it as brings nothing new; what the whole would have brought, and
    /// for which of it each piece was taken out.
    pub(super) fn judged(
        &self,
        mut placed: Vec<Placed>,
        judge: Judge,
        way: &mut Way,
    ) -> Option<Kept> {
        for _ in 0..DROPS {
            if !self.is_whole(&placed) {
                return None;
            }
            let (edit, plan) = self.finished(&placed)?;
            if !self.gains(&placed, &plan) {
                return None;
            }
            let found = judge(&plan);
            if found.is_empty() {
                return Some(Kept {
                    figures: self.figures(&plan),
                    worth: self.worth(&plan),
                    laid: self.laid_parts(&plan).count(),
                    placed,
                    edit,
                    plan,
                });
            }
            let out = self.brought_by(&placed, &found);
            for trouble in &found {
                way.met(trouble, &plan);
            }
            if out.is_empty() {
                return None;
            }
            for (part, words) in &out {
                way.dropped.insert(*part, words.clone());
            }
            self.hold(&placed, &found, &out, way);
            placed.retain(|p| !out.contains_key(&p.part));
        }
        None
    }

    /// Notes what keeps pieces of lots out: what a piece was taken out for, and what is about the
    /// whole load, for that is filled by every lot.
    fn hold(
        &self,
        placed: &[Placed],
        found: &[Trouble],
        out: &BTreeMap<usize, String>,
        way: &mut Way,
    ) {
        let lot = |part: usize| {
            let copy = self.copies.get(part)?;
            self.pieces.get(copy.kind)?.model.item.lot()
        };
        let mut add = |lot: LotId, words: &String| {
            let held = way.held.entry(lot).or_default();
            if !held.contains(words) {
                held.push(words.clone());
            }
        };
        for (part, words) in out {
            if let Some(lot) = lot(*part) {
                add(lot, words);
            }
        }
        if placed.iter().any(|p| self.waits(p)) {
            for trouble in found.iter().filter(|t| t.is_of_all()) {
                self.plan
                    .lots
                    .iter()
                    .for_each(|l| add(l.id, &trouble.words));
            }
        }
    }

    /// New pieces to be taken out because of what was found. What names things or lots goes; of
    /// what is about a whole level, a part or the load, half of them.
    pub(super) fn brought_by(
        &self,
        placed: &[Placed],
        found: &[Trouble],
    ) -> BTreeMap<usize, String> {
        let mut new: Vec<(&Placed, PlacementId)> = self
            .numbered(placed)
            .filter(|(p, _)| self.waits(p))
            .collect();
        // Of what may go, that which is worth least goes first.
        let worth = self.rules.worth(self.copies.len());
        let of = |p: &Placed| worth.get(p.part).copied().unwrap_or(0.0);
        new.sort_by(|a, b| of(b.0).total_cmp(&of(a.0)));
        let item = |p: &Placed| {
            let copy = self.copies.get(p.part);
            let piece = copy.and_then(|copy| self.pieces.get(copy.kind));
            piece.map(|piece| &piece.model.item)
        };
        let mut out = BTreeMap::new();
        for trouble in found {
            let words = trouble.words.clone();
            let named = |(p, id): &&(&Placed, PlacementId)| {
                let lot = item(p).and_then(Item::lot);
                let of_lot = lot.is_some_and(|lot| trouble.lots.contains(&lot));
                of_lot || trouble.placements.contains(id)
            };
            let mut go: Vec<usize> = new.iter().filter(named).map(|(p, _)| p.part).collect();
            if go.is_empty() {
                let about = |(p, _): &&(&Placed, PlacementId)| {
                    let level = self.seats.get(p.field).map(|s| s.level);
                    let part = item(p).and_then(Item::part);
                    trouble.is_of_all()
                        || level.is_some_and(|l| trouble.levels.contains(&l))
                        || part.is_some_and(|p| trouble.parts.contains(&p))
                };
                let all: Vec<usize> = new.iter().filter(about).map(|(p, _)| p.part).collect();
                go = all.get(all.len() / 2..).unwrap_or_default().to_vec();
            }
            out.extend(go.into_iter().map(|part| (part, words.clone())));
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::super::Weight;
    use super::*;

    fn kept(worth: f64, figures: Figures) -> Kept {
        Kept {
            placed: Vec::new(),
            edit: several(Vec::new()),
            plan: Plan::empty("a furnace"),
            figures,
            worth,
            laid: 0,
        }
    }

    fn worse_by(mm: f64) -> Figures {
        Figures {
            height_mm: Some(150.0 + mm),
            ..USUAL
        }
    }

    const USUAL: Figures = Figures {
        setters: 4,
        placed: 20,
        waiting: 0,
        height_mm: Some(150.0),
        fill: None,
        ceiling: None,
        middle_mm: Some(60.0),
        off_axis_mm: Some(5.0),
        in_rows: Some(0.5),
    };

    /// One layout for each weight that is better in what that counts, and worse in all else.
    #[test]
    fn each_weight_alone_decides_which_layout_is_kept() {
        let worse = Figures {
            setters: 5,
            height_mm: Some(160.0),
            middle_mm: Some(70.0),
            off_axis_mm: Some(6.0),
            in_rows: Some(0.4),
            ..USUAL
        };
        let better = [
            (
                Weight::Setter,
                Figures {
                    setters: 4,
                    ..worse
                },
            ),
            (
                Weight::Stack,
                Figures {
                    height_mm: USUAL.height_mm,
                    ..worse
                },
            ),
            (
                Weight::Middle,
                Figures {
                    middle_mm: USUAL.middle_mm,
                    ..worse
                },
            ),
            (
                Weight::Balance,
                Figures {
                    off_axis_mm: USUAL.off_axis_mm,
                    ..worse
                },
            ),
            (
                Weight::Rows,
                Figures {
                    in_rows: USUAL.in_rows,
                    ..worse
                },
            ),
        ];
        let nothing = Weights {
            setter: 0.0,
            stack: 0.0,
            middle: 0.0,
            balance: 0.0,
            rows: 0.0,
            earlier: 8.0,
        };
        for (weight, figures) in better {
            let (one, all) = (
                kept(20.0, figures),
                better.map(|(_, other)| kept(20.0, other)),
            );
            let alone = nothing.with(weight, 1.0).unwrap();
            for (other, of) in all.iter().zip(better) {
                assert!(!one.is_better(other, &nothing));
                assert_eq!(one.is_better(other, &alone), of.0 != weight, "{weight:?}");
                assert!(!other.is_better(&one, &alone), "{weight:?}");
            }
        }
    }

    #[test]
    fn value_and_pieces_come_before_all_points() {
        let weights = Weights::default();
        let fewer = Figures {
            setters: 1,
            ..USUAL
        };
        assert!(kept(20.0, fewer).is_better(&kept(20.0, USUAL), &weights));
        assert!(kept(21.0, USUAL).is_better(&kept(20.0, fewer), &weights));
        let more = Figures {
            placed: 21,
            ..USUAL
        };
        assert!(kept(20.0, more).is_better(&kept(20.0, fewer), &weights));
        // Half a point less is worth no other face.
        let lower = Figures {
            height_mm: Some(149.5),
            ..USUAL
        };
        let laid = Kept {
            laid: 1,
            ..kept(20.0, lower)
        };
        assert!(kept(20.0, lower).is_better(&kept(20.0, USUAL), &weights));
        assert!(!laid.is_better(&kept(20.0, USUAL), &weights));
        assert!(laid.is_better(&kept(20.0, worse_by(2.0)), &weights));
        // And as they lay is better for half a point more, but not for two.
        assert!(kept(20.0, USUAL).is_better(&laid, &weights));
        assert!(!kept(20.0, worse_by(2.0)).is_better(&laid, &weights));
    }
}
