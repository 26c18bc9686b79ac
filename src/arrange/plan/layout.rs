//! From a layout to one step of the history, and as much of it as the judge has nothing to say of.

use super::super::rules::HAIR;
use super::super::shape::area;
use super::super::task::{Answer, Placed, Watch};
use super::search::{Way, several};
use super::weights::{LEAST_GAIN, SAME_POINTS};
use super::{Arrangement, Figures, Judge, ROUND_MM, Trouble, Weights};
use crate::load::{
    Edit, Item, Level, LevelScene, LotId, Move, Placement, PlacementId, Plan, Sizes, Stack,
};
use crate::text::arranging as words;
use crate::text::findings::title;
use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Times that pieces are taken out of one layout until nothing new is found (assumed).
pub(super) const DROPS: usize = 8;
/// Times that some of them are put back (assumed: to within a sixtieth of them).
const BACK: usize = 6;

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
    /// Pieces that stood too near to something or over the edge, and do no longer.
    pub cleared: usize,
}

/// What is said of a layout: nothing, or what was found in which plan.
type Said = Result<Kept, (Vec<Trouble>, Plan)>;

/// A piece that is taken out of a layout.
pub(super) struct Out {
    /// For what.
    pub words: String,
    /// Whether that was not about this piece, so that some of its like may stay.
    pub may_return: bool,
}

impl Kept {
    /// More that stands clear first, more worth, more pieces, then fewer points.
    pub(super) fn is_better(&self, than: &Kept, weights: &Weights) -> bool {
        if self.cleared != than.cleared {
            return self.cleared > than.cleared;
        }
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

/// Takes levels away; what stood on one comes down onto its posts.
pub(super) fn without_levels(plan: &Plan, goes: impl Fn(&Level) -> bool) -> Vec<Edit> {
    let mut edits = Vec::new();
    for stack in &plan.load.stacks {
        let lowered = stack.without_levels(&goes);
        for (id, carrier) in lowered.onto {
            if let Some((_, level)) = plan.level(id) {
                let setter = level.setter.clone();
                edits.push(Edit::ChangeLevel {
                    id,
                    setter,
                    carrier,
                });
            }
        }
        edits.extend(lowered.gone.into_iter().map(Edit::RemoveLevel));
    }
    edits
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

    /// Pieces of this task that stand too near to something or over the edge in the plan that was
    /// asked about. In a layout of it they do not: it is proved.
    pub(super) fn clears(&self) -> usize {
        let amiss = self.amiss_before();
        let all = self.copies.iter().filter_map(|copy| copy.placed);
        all.filter(|id| amiss.contains(id)).count()
    }

    /// Whether a layout places more, sets clear what is not, or has clearly fewer points.
    pub(super) fn gains(&self, placed: &[Placed], plan: &Plan) -> bool {
        let figures = || [self.figures(self.origin()), self.figures(plan)];
        let points = || {
            let [before, after] = figures();
            self.aims.weights.gain([&before, &after])
        };
        placed.iter().any(|p| self.waits(p)) || self.clears() > 0 || points() >= LEAST_GAIN
    }

    /// The finished step of a layout.
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
        Some((several(edits), plan))
    }

    /// Takes emptied levels away.
    pub(super) fn without_emptied(&self, moved: &Plan) -> Vec<Edit> {
        // One that was empty before stays; one that setting up anew emptied does not.
        let carries = |(_, level): (&Stack, &Arc<Level>)| !level.placements.is_empty();
        let emptied = |level: &Level| {
            let before = self.origin().level(level.id);
            let laid_out = || self.plan.level(level.id).is_some_and(carries);
            level.placements.is_empty() && (before.is_none_or(carries) || laid_out())
        };
        without_levels(moved, emptied)
    }

    /// The clearance check's own answer for what was moved or added: things of different feedstocks
    /// may be at different stages, and stand on a setter that grows, which outlines alone do not show.
    /// Of two that are new the smaller one is named.
    pub(super) fn too_near(&self, placed: &[Placed], plan: &Plan) -> Vec<Trouble> {
        let gap_mm = self.wish.keep.gap_mm;
        let stood: BTreeSet<PlacementId> = self.copies.iter().filter_map(|c| c.placed).collect();
        let is_new = |id: PlacementId| id >= self.first_new();
        let mine = |id: PlacementId| stood.contains(&id) || is_new(id);
        let areas: BTreeMap<PlacementId, f64> = (self.numbered(placed))
            .filter_map(|(p, id)| {
                let kind = self.task.kinds.get(*self.task.parts.get(p.part)?)?;
                Some((id, area(&kind.outline)))
            })
            .collect();
        let of = |id: PlacementId| areas.get(&id).copied().unwrap_or(f64::INFINITY);
        let sizes = Sizes::new(plan, &self.catalogue);
        let mut found = Vec::new();
        for (_, level) in plan.levels() {
            let scene = LevelScene::new(level, plan, &sizes, &self.catalogue);
            let near = scene.pair_gaps(gap_mm).into_iter();
            for gap in near.filter(|g| g.gap_mm < gap_mm && (mine(g.a) || mine(g.b))) {
                let placements = match (is_new(gap.a), is_new(gap.b)) {
                    (true, false) => vec![gap.a],
                    (false, true) => vec![gap.b],
                    (true, true) if of(gap.a) < of(gap.b) => vec![gap.a],
                    (true, true) => vec![gap.b],
                    (false, false) => vec![gap.a, gap.b],
                };
                let name = |id| plan.placement(id).map(|(_, p)| plan.item_name(&p.item));
                let about: Vec<String> = [gap.a, gap.b].into_iter().filter_map(name).collect();
                found.push(Trouble {
                    words: words::new_finding(&title("gap-too-small"), &about),
                    placements,
                    ..Trouble::default()
                });
            }
        }
        found
    }

    /// What is said of a layout as it is; none where it leaves out what stood, or gains nothing. What is
    /// known as clear is not held against the clearance check again.
    fn said_of(&self, placed: Vec<Placed>, judge: Judge, is_clear: &mut bool) -> Option<Said> {
        if !self.is_whole(&placed) {
            return None;
        }
        let (edit, plan) = self.finished(&placed)?;
        if !self.gains(&placed, &plan) {
            return None;
        }
        if !*is_clear {
            let near = self.too_near(&placed, &plan);
            if !near.is_empty() {
                return Some(Err((near, plan)));
            }
            *is_clear = true;
        }
        let found = judge(&plan);
        if !found.is_empty() {
            return Some(Err((found, plan)));
        }
        Some(Ok(Kept {
            figures: self.figures(&plan),
            worth: self.worth(&plan),
            laid: self.laid_parts(&plan).count(),
            cleared: self.clears(),
            placed,
            edit,
            plan,
        }))
    }

    /// The layout, or as much of it as brings nothing new; what the whole would have brought, and
    /// for which of it each piece was taken out.
    pub(super) fn judged(
        &self,
        mut placed: Vec<Placed>,
        judge: Judge,
        way: &mut Way,
        watch: &Watch,
    ) -> Option<Kept> {
        let (mut may_return, mut some_not) = (Vec::new(), false);
        // With fewer pieces it is as clear as before.
        let mut is_clear = false;
        for _ in 0..DROPS {
            let (found, plan) = match self.said_of(placed.clone(), judge, &mut is_clear)? {
                Ok(kept) => {
                    let most = may_return.len() + usize::from(some_not);
                    return Some(self.put_back(kept, (may_return, most), judge, way, watch));
                }
                Err(said) => said,
            };
            let out = self.brought_by(&placed, &found);
            for trouble in &found {
                way.met(trouble, &plan);
            }
            if out.is_empty() {
                return None;
            }
            for (part, out) in &out {
                way.dropped.insert(*part, out.words.clone());
            }
            self.hold(&placed, &found, &out, way);
            some_not |= out.values().any(|out| !out.may_return);
            let returns = |p: &&Placed| out.get(&p.part).is_some_and(|out| out.may_return);
            may_return.extend(placed.iter().filter(returns).copied());
            placed.retain(|p| !out.contains_key(&p.part));
        }
        None
    }

    /// A layout with as many of the pieces that were taken out by halves as still bring nothing new,
    /// found by halving again; `most` is one more than could be put back at most.
    fn put_back(
        &self,
        mut kept: Kept,
        (mut pieces, most): (Vec<Placed>, usize),
        judge: Judge,
        way: &mut Way,
        watch: &Watch,
    ) -> Kept {
        self.dearest_first(&mut pieces, |p| p.part);
        let without = kept.placed.clone();
        let (mut back, mut too_many) = (0, most);
        for _ in 0..BACK {
            if too_many.saturating_sub(back) < 2 || watch.cancelled() {
                break;
            }
            let n = back + (too_many - back) / 2;
            let some = pieces.iter().take(n).copied();
            let with = without.iter().copied().chain(some).collect();
            match self.said_of(with, judge, &mut true) {
                // Of one that was judged while the search was stopped not all is known.
                Some(Ok(_)) if watch.cancelled() => break,
                Some(Ok(more)) => (kept, back) = (more, n),
                _ => too_many = n,
            }
        }
        for piece in pieces.iter().take(back) {
            way.dropped.remove(&piece.part);
        }
        kept
    }

    /// Sorts by what pieces are worth, the most first.
    pub(super) fn dearest_first<T>(&self, pieces: &mut [T], part: impl Fn(&T) -> usize) {
        let worth = self.rules.worth(self.copies.len());
        let of = |piece: &T| worth.get(part(piece)).copied().unwrap_or(0.0);
        pieces.sort_by(|a, b| of(b).total_cmp(&of(a)));
    }

    /// Notes what keeps pieces of lots out: what a piece was taken out for, and what is about the
    /// whole load, for that is filled by every lot.
    fn hold(
        &self,
        placed: &[Placed],
        found: &[Trouble],
        out: &BTreeMap<usize, Out>,
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
        for (part, out) in out {
            if let Some(lot) = lot(*part) {
                add(lot, &out.words);
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
    pub(super) fn brought_by(&self, placed: &[Placed], found: &[Trouble]) -> BTreeMap<usize, Out> {
        let mut new: Vec<(&Placed, PlacementId)> = self
            .numbered(placed)
            .filter(|(p, _)| self.waits(p))
            .collect();
        // Of what may go, that which is worth least goes first.
        self.dearest_first(&mut new, |(p, _)| p.part);
        let item = |p: &Placed| {
            let copy = self.copies.get(p.part);
            let piece = copy.and_then(|copy| self.pieces.get(copy.kind));
            piece.map(|piece| &piece.model.item)
        };
        let mut out: BTreeMap<usize, Out> = BTreeMap::new();
        for trouble in found {
            let named = |(p, id): &&(&Placed, PlacementId)| {
                let lot = item(p).and_then(Item::lot);
                let of_lot = lot.is_some_and(|lot| trouble.lots.contains(&lot));
                of_lot || trouble.placements.contains(id)
            };
            let mut go: Vec<usize> = new.iter().filter(named).map(|(p, _)| p.part).collect();
            let may_return = go.is_empty();
            if may_return {
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
            for part in go {
                let of_others = out.get(&part).is_none_or(|out| out.may_return);
                let words = trouble.words.clone();
                let may_return = may_return && of_others;
                out.insert(part, Out { words, may_return });
            }
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
            cleared: 0,
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
        let clear = Kept {
            cleared: 1,
            ..kept(20.0, USUAL)
        };
        assert!(clear.is_better(&kept(21.0, fewer), &weights));
        assert!(!kept(21.0, fewer).is_better(&clear, &weights));
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
