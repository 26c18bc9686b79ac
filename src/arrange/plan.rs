//! From a plan to a task and back to one edit: [`Arrangement`] is the plan as a task,
//! [`rearrange`] searches it and keeps only what a judge has nothing new to say of.

mod aims;
mod figures;
mod finish;
mod furnish;
mod pieces;
mod posts;
mod reasons;
mod zones;

pub use aims::{Aims, First, Furniture, Order};
pub use figures::{Figures, setters_in_use};
pub use reasons::{LeftOut, Longer, OneMore, Why};

use super::bound::least_fields;
use super::islands::{Effort, arrange_by};
use super::rules::{HAIR, Rules};
use super::task::{Answer, Fault, Goal, Placed, Task, Watch};
use crate::catalogue::Catalogue;
use crate::load::{
    Carrier, Edit, Item, Level, LevelId, LevelScene, Lot, LotId, Move, Placement, PlacementId,
    Plan, Sizes,
};
use crate::part::PartId;
use crate::text::arranging as words;
use crate::text::arranging_ways as ways;
use pieces::{Around, Copy, MOST_PIECES, Piece, Seat, movable};
use reasons::Places;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, PoisonError};

/// Places are rounded to this, mm; distances are asked for with as much more.
const ROUND_MM: f64 = 0.01;
/// Searches again, with the levels left as they are on which something was found, at most.
const AGAIN: usize = 4;
/// The share of the effort that each of them gets: one over this.
const SHARE: u64 = 4;
/// Times that pieces are taken out of one layout until nothing new is found.
const DROPS: usize = 8;
/// The share of the effort for setting levels up anew, and for the search on them: one over this.
const ANEW: u64 = 2;
/// What waits is searched as far as it could go by area on so many times the levels: levels may be
/// added.
const LEVELS_MORE: f64 = 2.0;
/// A stack is lower than another where it is by so much, mm.
const LOWER_MM: f64 = 1.0;
/// Where balance was asked for, it is better by so much, mm; rows by such a share of the pieces.
const NEARER_MM: f64 = 1.0;
const MORE_ROWS: f64 = 0.05;

/// Distances to keep, mm: those of the review.
#[derive(Clone, Copy, Debug)]
pub struct Keep {
    /// Between things on a setter, and to posts.
    pub gap_mm: f64,
    /// To the edge of the usable face.
    pub edge_mm: f64,
    /// Under the setter above.
    pub head_mm: f64,
    /// Under the roof.
    pub roof_mm: f64,
    /// To a fixed thermocouple.
    pub sensor_mm: f64,
}

/// What may be set out anew.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scope {
    /// What stands on one level, with what waits.
    Level(LevelId),
    /// What waits, into free places: nothing that stands is moved.
    Gaps,
    /// All that is not locked, with what waits.
    Everything,
}

/// How pieces may be turned about the vertical axis. An angle at which a piece of the part stands
/// stays allowed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Turning {
    /// By right angles.
    #[default]
    RightAngles,
    /// In steps of 15°.
    Steps,
    /// By any angle.
    Any,
}

/// What is wanted.
#[derive(Clone, Copy, Debug)]
pub struct Wish {
    /// What may be moved.
    pub scope: Scope,
    /// How it may be turned.
    pub turning: Turning,
    /// Distances.
    pub keep: Keep,
}

/// A stop or a caution that the plan did not have before.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Trouble {
    /// What was found, in words.
    pub words: String,
    /// Things that it is about.
    pub placements: Vec<PlacementId>,
    /// Levels that it is about.
    pub levels: Vec<LevelId>,
    /// Lots that it is about.
    pub lots: Vec<LotId>,
    /// Parts that it is about.
    pub parts: Vec<PartId>,
}

/// Says what would be new in a plan; whoever knows the review hands it in.
pub type Judge<'a> = &'a dyn Fn(&Plan) -> Vec<Trouble>;

/// What came of a search.
#[derive(Clone, Debug)]
pub struct Rearranged {
    /// One step of the history; none where nothing better was found.
    pub edit: Option<Edit>,
    /// The plan with that step, or as it was.
    pub plan: Arc<Plan>,
    /// The plan before.
    pub before: Figures,
    /// The plan after.
    pub after: Figures,
    /// Least number of setters by area for what was set out.
    pub bound: usize,
    /// Pieces that waited and are now placed.
    pub added: usize,
    /// Levels that stand on other posts, that were added, that are gone.
    pub levels: [usize; 3],
    /// What still waits, and why.
    pub left_out: Vec<LeftOut>,
    /// What layouts that were better by number would have brought.
    pub in_the_way: Vec<String>,
    /// Places tried.
    pub evaluations: u64,
}

impl Rearranged {
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

/// Why a plan is not set out anew.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NotRearranged {
    /// Nothing that may be moved, and nothing waits.
    #[error("{}", words::nothing_to_move())]
    Nothing,
    /// Nothing waits that could go into a gap.
    #[error("{}", words::nothing_waits())]
    NothingWaits,
    /// More pieces than are searched at once.
    #[error("{}", ways::too_many_pieces(*there, *most))]
    TooMany {
        /// How many there are, without those for which there is no room anyway.
        there: usize,
        /// How many are taken.
        most: usize,
    },
    /// A level or a thing whose records are missing.
    #[error("{}", words::not_known(name))]
    Unknown {
        /// Its label.
        name: String,
    },
    /// See [`Fault`].
    #[error("{0}")]
    Fault(#[from] Fault),
}

/// A plan as a task. A level takes what stands on it already, and what is of the same feedstock on
/// the same support and no higher than the room there. Dummies, coupons, thermocouples and locked
/// parts stay.
pub struct Arrangement {
    plan: Arc<Plan>,
    /// The plan that was asked about, where that has other levels.
    base: Option<Arc<Base>>,
    aims: Arc<Aims>,
    /// Shows how pieces are set down of which none stands in the plan.
    like: Option<Arc<Plan>>,
    catalogue: Arc<Catalogue>,
    wish: Wish,
    task: Task,
    rules: Rules,
    pieces: Vec<Piece>,
    copies: Vec<Copy>,
    seats: Vec<Seat>,
    /// What waits and has no place anywhere, by kind: the search is not asked about it.
    nowhere: Vec<(usize, usize)>,
    /// What waits beyond all that could go by area, by kind.
    beyond: Vec<(usize, usize)>,
}

/// The plan that a plan with other levels was made from, the edits that make it, and where pieces
/// that wait may stand in it to begin with.
struct Base {
    plan: Arc<Plan>,
    edits: Vec<Edit>,
    seeds: Vec<furnish::Seed>,
}

/// A layout that nothing new was found in.
struct Kept {
    placed: Vec<Placed>,
    edit: Edit,
    plan: Plan,
    height_mm: Option<f64>,
    /// What all its pieces are worth.
    worth: f64,
}

impl Kept {
    /// More worth first, then fewer setters and a lower stack, or the other way round.
    fn is_better(&self, than: &Kept, order: Order) -> bool {
        if (self.worth - than.worth).abs() > HAIR * than.worth {
            return self.worth > than.worth;
        }
        let setters = |kept: &Kept| setters_in_use(&kept.plan);
        let fewer = setters(than).cmp(&setters(self));
        let lower = |a: &Kept, b: &Kept| lower(a.height_mm, b.height_mm);
        let lower = lower(self, than).cmp(&lower(than, self));
        match order {
            Order::Lowest => lower.then(fewer).is_gt(),
            _ => fewer.then(lower).is_gt(),
        }
    }
}

/// Whether a stack is lower than another; one whose height is not known is not.
fn lower(one: Option<f64>, other: Option<f64>) -> bool {
    one.zip(other)
        .is_some_and(|(one, other)| one < other - LOWER_MM)
}

impl Arrangement {
    /// Makes the task.
    ///
    /// # Errors
    /// See [`NotRearranged`].
    pub fn new(
        plan: &Arc<Plan>,
        catalogue: &Arc<Catalogue>,
        wish: Wish,
    ) -> Result<Arrangement, NotRearranged> {
        Arrangement::without(plan, None, catalogue, wish, &BTreeSet::new())
    }

    /// The same, with another plan as the pattern for how pieces are set down of which none stands.
    ///
    /// # Errors
    /// See [`NotRearranged`].
    pub fn like(
        pattern: &Arc<Plan>,
        plan: &Arc<Plan>,
        catalogue: &Arc<Catalogue>,
        wish: Wish,
    ) -> Result<Arrangement, NotRearranged> {
        Arrangement::without(plan, Some(pattern), catalogue, wish, &BTreeSet::new())
    }

    /// Least number of setters by area.
    pub fn least_setters(&self) -> usize {
        least_fields(&self.task)
    }

    /// The same with another scope, levels that take no more mass than they bear, and levels left
    /// as they are; none where nothing of that is new or nothing is left.
    fn again(&self, scope: Scope, met: &Met) -> Option<Arrangement> {
        let wish = Wish { scope, ..self.wish };
        let mine = |id: &LevelId| self.seats.iter().any(|seat| seat.level == *id);
        if !met.new && !met.twice.iter().any(mine) && scope == self.wish.scope {
            return None;
        }
        let like = self.like.as_ref();
        let made = Arrangement::without(&self.plan, like, &self.catalogue, wish, &met.twice);
        let mut made = made.ok()?.with(&self.aims);
        if let Some(base) = &self.base {
            made = made.based_on(base);
        }
        let bears = made.bears();
        for ((most, seat), bears) in made.rules.most_g.iter_mut().zip(&made.seats).zip(bears) {
            if met.once.contains(&seat.level) {
                // More by the hair that the search takes off, and by one for sums in another order.
                *most = most.min(bears * (1.0 + 2.0 * HAIR));
            }
        }
        Some(made)
    }

    /// The same with what is wanted besides distances.
    #[must_use]
    pub fn with(mut self, aims: &Arc<Aims>) -> Arrangement {
        self.aims = Arc::clone(aims);
        let worths = aims.worths(&self.plan);
        let most = worths.values().copied().fold(1.0, f64::max);
        let lot = |copy: &Copy| self.pieces.get(copy.kind).and_then(|p| p.model.item.lot());
        let stands = |copy: &Copy| copy.placed.is_some();
        // What stands is never given up for what waits.
        let value = self.copies.iter().map(|copy| match stands(copy) {
            true => most,
            false => lot(copy)
                .and_then(|id| worths.get(&id))
                .copied()
                .unwrap_or(1.0),
        });
        let must = self
            .copies
            .iter()
            .map(|copy| stands(copy) || aims.must(lot(copy)));
        (self.rules.value, self.rules.must) = match self.copies.iter().all(stands) {
            true => (Vec::new(), Vec::new()),
            false => (value.collect(), must.collect()),
        };
        self
    }

    /// What the pieces of a plan are worth: those of lots that must go before all others.
    fn worth(&self, plan: &Plan) -> f64 {
        let worths = self.aims.worths(plan);
        let pieces = || plan.placements().map(|(_, p)| p.item.lot());
        let worth = |lot: Option<LotId>| {
            let own = lot.and_then(|id| worths.get(&id));
            own.copied().unwrap_or(1.0)
        };
        let lots = plan.lots.iter();
        let all: f64 = lots.map(|l| f64::from(l.count) * worth(Some(l.id))).sum();
        let must = |lot| match self.aims.must(lot) {
            true => all,
            false => 0.0,
        };
        pieces().map(|lot| worth(lot) + must(lot)).sum()
    }

    /// The same as made from another plan, with places to begin with for what waits.
    fn based_on(mut self, base: &Arc<Base>) -> Arrangement {
        let mut all = std::mem::take(&mut self.rules.start);
        let mut used: BTreeSet<usize> = BTreeSet::new();
        for seed in &base.seeds {
            let waits = |(i, copy): &(usize, &Copy)| {
                copy.kind == seed.kind && copy.placed.is_none() && !used.contains(i)
            };
            let part = self.copies.iter().enumerate().find(waits).map(|(i, _)| i);
            let field = self.seats.iter().position(|seat| seat.level == seed.level);
            let middle = field
                .and_then(|f| self.seats.get(f))
                .map(|seat| seat.middle);
            if let (Some(part), Some(field), Some(middle)) = (part, field, middle) {
                used.insert(part);
                all.push(Placed {
                    part,
                    field,
                    x: seed.at_mm[0] + middle[0],
                    y: seed.at_mm[1] + middle[1],
                    angle: seed.angle_deg,
                });
            }
        }
        self.rules.start = pieces::sound(&self.task, &all);
        self.base = Some(Arc::clone(base));
        self
    }

    /// The plan with levels set up anew, as a task; none where that is not wanted, or changes
    /// nothing. With it the evaluations that it took.
    fn furnished(&self, effort: Effort, watch: &Watch) -> Option<(Arrangement, u64)> {
        let furniture = self.aims.furniture.as_ref()?;
        let made = furnish::furnish(self, furniture, effort, watch)?;
        let all = several(made.edits.clone());
        let plan = Arc::new(all.apply(&self.plan, &self.catalogue).ok()?);
        let like = self.like.as_ref();
        let (wish, none) = (self.wish, BTreeSet::new());
        let set = Arrangement::without(&plan, like, &self.catalogue, wish, &none).ok()?;
        let base = Base {
            plan: Arc::clone(&self.plan),
            edits: made.edits,
            seeds: made.seeds,
        };
        let set = set.with(&self.aims).based_on(&Arc::new(base));
        Some((set, made.evaluations))
    }

    /// The same of which no layout is shown.
    fn unshown(&self) -> Arrangement {
        Arrangement {
            plan: Arc::clone(&self.plan),
            base: self.base.clone(),
            aims: Arc::clone(&self.aims),
            like: self.like.clone(),
            catalogue: Arc::clone(&self.catalogue),
            wish: self.wish,
            task: self.task.clone(),
            rules: Rules::default(),
            pieces: Vec::new(),
            copies: Vec::new(),
            seats: Vec::new(),
            nowhere: Vec::new(),
            beyond: Vec::new(),
        }
    }

    /// The plan that was asked about.
    fn origin(&self) -> &Arc<Plan> {
        self.base.as_ref().map_or(&self.plan, |base| &base.plan)
    }

    fn height_mm(&self, plan: &Plan) -> Option<f64> {
        figures::height_mm(plan, &self.catalogue, &Sizes::new(plan, &self.catalogue))
    }

    /// Height of a plan once every level is on the shortest posts that do, where they may be
    /// changed.
    fn lowest_mm(&self, plan: &Plan) -> Option<f64> {
        let furniture = self.aims.furniture.as_ref();
        let furniture = furniture.filter(|_| self.wish.scope == Scope::Everything);
        let Some(furniture) = furniture else {
            return self.height_mm(plan);
        };
        let edits = posts::lowered(plan, &self.catalogue, self.wish.keep, furniture, &[]);
        let lowered = several(edits).apply(plan, &self.catalogue).ok()?;
        self.height_mm(&lowered)
    }

    /// Mass that stands on each level now of what may be moved, g.
    fn bears(&self) -> Vec<f64> {
        let mut all = vec![0.0; self.seats.len()];
        for copy in &self.copies {
            let level = copy.placed.and_then(|id| self.plan.placement(id));
            let level = level.map(|(level, _)| level.id);
            let seat = self.seats.iter().position(|s| Some(s.level) == level);
            let mass = self.rules.mass_g.get(copy.kind);
            if let (Some(all), Some(mass)) = (seat.and_then(|i| all.get_mut(i)), mass) {
                *all += mass;
            }
        }
        all
    }

    fn without(
        plan: &Arc<Plan>,
        pattern: Option<&Arc<Plan>>,
        catalogue: &Arc<Catalogue>,
        wish: Wish,
        frozen: &BTreeSet<LevelId>,
    ) -> Result<Arrangement, NotRearranged> {
        let sizes = Sizes::new(plan, catalogue);
        let like = pattern.map(Arc::as_ref);
        let made = pieces::pieces(plan, like, catalogue, &sizes, wish.scope, frozen)?;
        let (mut pieces, mut copies, mut beyond) = made;
        if copies.is_empty() {
            return Err(match wish.scope {
                Scope::Gaps => NotRearranged::NothingWaits,
                _ => NotRearranged::Nothing,
            });
        }
        let held = pieces::hold(plan, &mut pieces, &mut copies);
        let around = Around {
            plan,
            catalogue,
            sizes: &sizes,
            pieces: &pieces,
            keep: wish.keep,
            scope: wish.scope,
        };
        let (mut fields, seats) = pieces::fields(&around, frozen)?;
        for (field, seat) in fields.iter_mut().zip(&seats) {
            for (kind, level) in &held {
                if let Some(accepts) = field.accepts.get_mut(*kind) {
                    *accepts = seat.level == *level;
                }
            }
        }
        if fields.is_empty() {
            return Err(NotRearranged::Nothing);
        }
        let kinds = pieces::kinds(plan, like, catalogue, &sizes, &pieces, wish.turning)?;
        let within = zones::within(&around, &mut fields, &seats);
        let somewhere = |kind: usize| {
            let outline = kinds.get(kind);
            fields.iter().any(|field| {
                field.accepts.get(kind).is_some_and(|accepts| *accepts)
                    && outline.is_some_and(|outline| reasons::fits(outline, field))
            })
        };
        let mut nowhere: Vec<(usize, usize)> = Vec::new();
        copies.retain(|copy| {
            if copy.placed.is_some() || somewhere(copy.kind) {
                return true;
            }
            match nowhere.iter_mut().find(|(kind, _)| *kind == copy.kind) {
                Some((_, n)) => *n += 1,
                None => nowhere.push((copy.kind, 1)),
            }
            false
        });
        let all_mm2: f64 = seats.iter().map(|seat| seat.area_mm2).sum();
        let most_mm2 = LEVELS_MORE * all_mm2;
        beyond.extend(pieces::only_what_may_fit(
            &mut copies,
            &kinds,
            most_mm2,
            wish.keep,
        ));
        if copies.len() > MOST_PIECES {
            return Err(NotRearranged::TooMany {
                there: copies.len(),
                most: MOST_PIECES,
            });
        }
        let task = Task {
            kinds,
            parts: copies.iter().map(|c| c.kind).collect(),
            fields,
            clearance: wish.keep.gap_mm + 3.0 * ROUND_MM,
            goal: Goal::Setters,
        };
        let mass_g = pieces::masses(plan, catalogue, &pieces);
        let rules = Rules {
            most_g: pieces::most(plan, catalogue, &sizes, &seats, (&mass_g, &copies)),
            mass_g,
            start: pieces::start(plan, &task, &seats, &copies),
            within,
            ..Rules::default()
        };
        Ok(Arrangement {
            plan: Arc::clone(plan),
            base: None,
            aims: Arc::default(),
            like: pattern.cloned(),
            catalogue: Arc::clone(catalogue),
            wish,
            task,
            rules,
            pieces,
            copies,
            seats,
            nowhere,
            beyond,
        })
    }

    /// The plan as a layout that was found would set it out, emptied levels still there: for
    /// showing while the search runs. None where the layout is of another task.
    pub fn shown(&self, answer: &Answer) -> Option<Plan> {
        self.step(&answer.placed)?
            .apply(&self.plan, &self.catalogue)
            .ok()
    }

    /// Number of the first thing that a layout adds; lower ones stood before.
    fn first_new(&self) -> PlacementId {
        PlacementId(self.plan.next_id)
    }

    /// Moves and new things of a layout, as one step.
    fn step(&self, placed: &[Placed]) -> Option<Edit> {
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
    fn numbered<'a>(
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

    fn waits(&self, placed: &Placed) -> bool {
        let copy = self.copies.get(placed.part);
        copy.is_some_and(|copy| copy.placed.is_none())
    }

    /// Whether a layout leaves out nothing that stood.
    fn is_whole(&self, placed: &[Placed]) -> bool {
        let stood = self.copies.iter().filter(|c| c.placed.is_some()).count();
        placed.iter().filter(|p| !self.waits(p)).count() >= stood
    }

    /// Whether a layout places more, or needs fewer setters, or with levels set up anew a lower
    /// stack.
    fn gains(&self, placed: &[Placed], plan: &Plan) -> bool {
        let added = placed.iter().filter(|p| self.waits(p)).count();
        let (now, before) = (setters_in_use(plan), setters_in_use(self.origin()));
        let is_lower = || lower(self.lowest_mm(plan), self.lowest_mm(self.origin()));
        let may = now == before || self.aims.order == Order::Lowest;
        added > 0
            || now < before
            || (self.base.is_some() && may && is_lower())
            || (now == before && self.is_neater(plan))
    }

    /// Whether a plan is clearly better in what was asked for after setters and stack.
    fn is_neater(&self, plan: &Plan) -> bool {
        let sizes = |plan: &Plan| Sizes::new(plan, &self.catalogue);
        let off = |plan: &Plan| figures::off_axis_mm(plan, &self.catalogue, &sizes(plan));
        let less =
            |a: Option<f64>, b: Option<f64>, by: f64| a.zip(b).is_some_and(|(a, b)| a < b - by);
        let higher = lower(self.height_mm(self.origin()), self.height_mm(plan));
        !higher
            && match self.aims.order {
                Order::Balance => less(off(plan), off(self.origin()), NEARER_MM),
                Order::Rows => {
                    let (now, was) = (figures::in_rows(plan), figures::in_rows(self.origin()));
                    less(was, now, MORE_ROWS)
                }
                Order::Middle | Order::Lowest => false,
            }
    }

    /// The finished step of a layout, if the clearance check has nothing against it.
    fn finished(&self, placed: &[Placed]) -> Option<(Edit, Plan)> {
        let edit = self.step(placed)?;
        let moved = edit.apply(&self.plan, &self.catalogue).ok()?;
        let Edit::Several { mut edits, .. } = edit else {
            return None;
        };
        edits.extend(self.without_emptied(&moved));
        let mut edit = several(edits);
        let plan = edit.apply(&self.plan, &self.catalogue).ok()?;
        if let (Some(base), Edit::Several { edits, .. }) = (&self.base, &mut edit) {
            edits.splice(0..0, base.edits.iter().cloned());
        }
        self.is_clear(&plan).then_some((edit, plan))
    }

    /// Takes emptied levels away. What stood on one comes down to where it stood: on its posts, so
    /// that the level below keeps its head room and the posts their places.
    fn without_emptied(&self, moved: &Plan) -> Vec<Edit> {
        let laid_out = |id: LevelId| {
            let level = self.plan.level(id);
            let is_new = self.origin().level(id).is_none();
            is_new || level.is_some_and(|(_, l)| !l.placements.is_empty())
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
    fn is_clear(&self, plan: &Plan) -> bool {
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
    fn judged(&self, mut placed: Vec<Placed>, judge: Judge, way: &mut Way) -> Option<Kept> {
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
                    height_mm: self.lowest_mm(&plan),
                    worth: self.worth(&plan),
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
            placed.retain(|p| !out.contains_key(&p.part));
        }
        None
    }

    /// New pieces to be taken out because of what was found. What names things or lots goes; of
    /// what is about a whole level, a part or the load, half of them.
    fn brought_by(&self, placed: &[Placed], found: &[Trouble]) -> BTreeMap<usize, String> {
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
                    let whole = trouble.levels.is_empty()
                        && trouble.parts.is_empty()
                        && trouble.placements.is_empty()
                        && trouble.lots.is_empty();
                    whole
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

    /// What waits still, and why.
    fn left_out(&self, kept: Option<&Kept>, way: &Way) -> Vec<LeftOut> {
        let none = Vec::new();
        let placed = kept.map_or(&none, |k| &k.placed);
        let there: BTreeSet<usize> = placed.iter().map(|p| p.part).collect();
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
        };
        let waits = |(_, copy): &(usize, &Copy)| copy.placed.is_none();
        let copies = self.copies.iter().enumerate().filter(waits);
        let copies = copies.filter(|(i, _)| !there.contains(i));
        let copies = copies.map(|(i, copy)| (copy.kind, 1, way.dropped.get(&i)));
        let nowhere = self.nowhere.iter().chain(&self.beyond);
        let nowhere = nowhere.map(|(kind, n)| (*kind, *n, None));
        let mut left: Vec<LeftOut> = Vec::new();
        // Of one kind all stay out for the same.
        let mut known: BTreeMap<usize, Why> = BTreeMap::new();
        for (index, n, dropped) in copies.chain(nowhere) {
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
            match left.iter_mut().find(|l| l.name == name && l.why == why) {
                Some(same) => same.count += n,
                None => left.push(LeftOut {
                    name,
                    must: self.aims.must(piece.model.item.lot()),
                    lot: piece.model.item.lot(),
                    count: n,
                    why,
                }),
            }
        }
        left.sort_by_key(|l| !l.must);
        left
    }
}

/// The part's name with its lot's.
fn name_of(plan: &Plan, item: &Item) -> String {
    let lot = item.lot().and_then(|id| plan.lot(id));
    let name = plan.item_name(item);
    lot.map_or_else(|| name.clone(), |lot| words::of_lot(&name, &lot.name))
}

/// What stood in the way of better layouts.
#[derive(Default)]
struct Way {
    words: Vec<String>,
    levels: BTreeSet<LevelId>,
    /// What each piece was taken out for.
    dropped: BTreeMap<usize, String>,
}

impl Way {
    fn met(&mut self, trouble: &Trouble, plan: &Plan) {
        if !self.words.contains(&trouble.words) {
            self.words.push(trouble.words.clone());
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
struct Met {
    once: BTreeSet<LevelId>,
    twice: BTreeSet<LevelId>,
    new: bool,
}

impl Met {
    fn add(&mut self, levels: &BTreeSet<LevelId>) {
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

/// Edits as the one step of an arrangement.
fn several(edits: Vec<Edit>) -> Edit {
    Edit::Several {
        label: words::step(),
        edits,
    }
}

/// Searches for a layout that places more pieces, or needs fewer setters, and of which the judge
/// has nothing new to say: from the best layout pieces are taken out that bring something, then
/// the search begins again with no more mass on the levels on which something was found, then with
/// those left as they are. Emptied levels go. Where there is furniture for it and everything may be
/// moved, levels are set up anew if that may let more in or need fewer, and in the end each stands
/// on the shortest posts that do. `ready` is told each task before it is searched.
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
    let bound = least_fields(&set.task);
    let set = Arc::new(set);
    let mut search = Search {
        watch,
        judge,
        ready,
        best: None,
        last: None,
        in_the_way: Vec::new(),
        evaluations: 0,
    };
    search.run(Arc::clone(&set), effort)?;
    search.with_levels_anew(&set, effort, bound);
    search.with_lower_posts(&set);
    search.outcome(&set, bound)
}

/// Levels that stand on other posts, that were added, that are gone.
fn set_up_anew(before: &Plan, after: &Plan) -> [usize; 3] {
    let posts = |level: &Level| match &level.carrier {
        Carrier::Posts { post, .. } => Some(post.clone()),
        _ => None,
    };
    let were = |l: &Level| before.level(l.id).map(|(_, level)| posts(level));
    let others = after
        .levels()
        .filter(|(_, l)| were(l).is_some_and(|p| p != posts(l)));
    let new = after.levels().filter(|(_, l)| before.level(l.id).is_none());
    let gone = before.levels().filter(|(_, l)| after.level(l.id).is_none());
    [others.count(), new.count(), gone.count()]
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
    evaluations: u64,
}

impl Search<'_> {
    /// Tells of a task whose layouts are shown from now on.
    fn announce(&self, set: &Arc<Arrangement>) {
        // What an earlier search left is of another task; whoever looks on takes both at once.
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
            self.evaluations += answer.evaluations;
            let mut way = Way::default();
            let placed = current.finish(answer.placed, self.watch);
            let kept = current.judged(placed, self.judge, &mut way);
            self.tell(&way);
            met.add(&way.levels);
            let clean = way.words.is_empty();
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

    fn tell(&mut self, way: &Way) {
        for words in &way.words {
            if !self.in_the_way.contains(words) {
                self.in_the_way.push(words.clone());
            }
        }
    }

    /// Keeps what is better than the best so far.
    fn offer(&mut self, set: Arc<Arrangement>, kept: Option<Kept>, way: Way) {
        let best = self.best.as_ref();
        match kept {
            Some(kept) if best.is_none_or(|b| kept.is_better(&b.kept, set.aims.order)) => {
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

    /// Searches on levels set up anew, where that may let more in or need fewer setters.
    fn with_levels_anew(&mut self, set: &Arc<Arrangement>, effort: Effort, bound: usize) {
        let plan = self.plan(set);
        let more = waiting(plan) > 0 || setters_in_use(plan) > bound;
        let all = set.wish.scope == Scope::Everything && set.aims.furniture.is_some();
        if !more || !all || self.watch.cancelled() {
            return;
        }
        let half = Effort {
            evaluations: effort.evaluations / ANEW,
            ..effort
        };
        // Its layouts are of a task of their own, which is not shown.
        self.announce(&Arc::new(set.unshown()));
        let Some((anew, evaluations)) = set.furnished(half, self.watch) else {
            return;
        };
        self.evaluations += evaluations;
        // Where that cannot be searched, what was found stays.
        let _ = self.run(Arc::new(anew), half);
    }

    /// Puts each level onto the shortest posts that do, if nothing new is found then.
    fn with_lower_posts(&mut self, set: &Arc<Arrangement>) {
        let Some(furniture) = set.aims.furniture.as_ref() else {
            return;
        };
        if set.wish.scope != Scope::Everything {
            return;
        }
        let mut but: Vec<LevelId> = Vec::new();
        for _ in 0..DROPS {
            let plan = self.plan(set);
            let lowered = posts::lowered(plan, &set.catalogue, set.wish.keep, furniture, &but);
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
            let height_mm = set.height_mm(&now);
            if !lower(height_mm, set.height_mm(plan)) {
                return;
            }
            let found = (self.judge)(&now);
            if found.is_empty() {
                edits.extend(lowered);
                let (own, placed, way) = match self.best.take() {
                    Some(best) => (best.set, best.kept.placed, best.way),
                    None => self.standing(set),
                };
                let kept = Kept {
                    worth: set.worth(&now),
                    placed,
                    edit: several(edits),
                    plan: now,
                    height_mm,
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

    fn outcome(self, set: &Arrangement, bound: usize) -> Result<Rearranged, NotRearranged> {
        let before = Figures::of(&set.plan, &set.catalogue, set.wish.keep);
        let (set, kept, way) = match (self.best, self.last) {
            (Some(best), _) => (best.set, Some(best.kept), best.way),
            (None, Some((set, way))) => (set, None, way),
            (None, None) => return Err(NotRearranged::Nothing),
        };
        let added = kept.as_ref().map_or(0, |kept| {
            kept.placed.iter().filter(|p| set.waits(p)).count()
        });
        let left_out = set.left_out(kept.as_ref(), &way);
        let (edit, plan) = match kept {
            Some(kept) => (Some(kept.edit), Arc::new(kept.plan)),
            None => (None, Arc::clone(set.origin())),
        };
        let levels = set_up_anew(set.origin(), &plan);
        Ok(Rearranged {
            edit,
            before,
            after: Figures::of(&plan, &set.catalogue, set.wish.keep),
            plan,
            bound,
            added,
            levels,
            left_out,
            in_the_way: self.in_the_way,
            evaluations: self.evaluations,
        })
    }
}

/// Whether anything could be set out at all: something that is not locked, or something that waits.
pub fn has_anything(plan: &Plan) -> bool {
    plan.placements().any(|(_, p)| movable(p)) || waiting(plan) > 0
}

/// Pieces of one lot that stand nowhere yet.
pub fn waiting_of(plan: &Plan, lot: &Lot) -> usize {
    pieces::waiting_of(plan, lot)
}

/// Pieces of lots that stand nowhere yet.
pub fn waiting(plan: &Plan) -> usize {
    let all = plan.lots.iter();
    all.map(|lot| pieces::waiting_of(plan, lot)).sum()
}
