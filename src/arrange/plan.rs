//! From a plan to a task and back to one edit: [`Arrangement`] is the plan as a task,
//! [`rearrange`] searches it and keeps only what a judge has nothing new to say of.

mod aims;
mod fewer;
mod figures;
mod finish;
mod furnish;
mod layout;
mod outcome;
mod pieces;
mod poses;
mod posts;
mod reasons;
mod search;
mod weights;
mod zones;

pub use aims::{Aims, First, Furniture, MOST_PRIORITY};
pub use figures::{Figures, SoFar, setters_in_use};
pub use outcome::{Rearranged, set_up_anew};
pub use poses::{FindPoses, Lying, Poses};
pub use reasons::{LeftOut, Longer, OneMore, Why};
pub use search::rearrange;
pub use weights::{NotAWeight, Order, Term, Weighed, Weight, Weights};

use super::bound::{field_area, grown_area, least_fields, least_of_the_largest};
use super::islands::Effort;
use super::rules::{HAIR, Rank, Rules};
use super::task::{Fault, Goal, Placed, Task, Watch};
use crate::catalogue::Catalogue;
use crate::load::{Edit, LevelId, Lot, LotId, PlacementId, Plan, Sizes};
use crate::part::{Part, PartId};
use crate::text::arranging as words;
use crate::text::arranging_ways as ways;
use pieces::{Around, Copy, MOST_PIECES, Piece, Refused, Seat};
use search::{Met, several};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, OnceLock};

/// Places are rounded to this, mm; distances are asked for with as much more (assumed: nobody sets
/// parts down more finely).
const ROUND_MM: f64 = 0.01;
/// What waits is searched as far as it could go by area on so many times the levels, for levels may
/// be added (assumed).
const LEVELS_MORE: f64 = 2.0;

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

impl Scope {
    /// Whether what stands on a level may be moved.
    fn moves(self, level: LevelId) -> bool {
        match self {
            Scope::Level(id) => level == id,
            Scope::Gaps => false,
            Scope::Everything => true,
        }
    }
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
    /// Not at all: as a piece of the part stands now, as drawn where none does.
    AsPlaced,
}

/// What is wanted.
#[derive(Clone, Debug)]
pub struct Wish {
    /// What may be moved.
    pub scope: Scope,
    /// How it may be turned.
    pub turning: Turning,
    /// How parts may be turned for which that does not hold.
    pub turns: BTreeMap<PartId, Turning>,
    /// Distances.
    pub keep: Keep,
}

impl Wish {
    /// How a part may be turned.
    pub(super) fn turning_of(&self, part: Option<PartId>) -> Turning {
        let own = part.and_then(|part| self.turns.get(&part));
        own.copied().unwrap_or(self.turning)
    }
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

impl Trouble {
    /// Whether it is about no level, lot, part or piece, but about the load.
    fn is_of_all(&self) -> bool {
        self.levels.is_empty()
            && self.parts.is_empty()
            && self.placements.is_empty()
            && self.lots.is_empty()
    }
}

/// Says what would be new in a plan; whoever knows the review hands it in.
pub type Judge<'a> = &'a dyn Fn(&Plan) -> Vec<Trouble>;

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
    /// Pieces that may be moved and stand too near to something or over the edge; found when first asked
    /// for, since no layout waits for it.
    amiss: OnceLock<BTreeSet<PlacementId>>,
    /// Where only some of what waits is searched with.
    thinned: Option<fewer::Thinned>,
    /// The lot whose pieces go before all else that waits, in the search alone.
    turn: Option<LotId>,
    /// Areas that stay, for showing while it is searched; made when first asked for.
    areas: OnceLock<Option<figures::Still>>,
    /// Finds the other poses of its parts, where they may be laid on other faces.
    poses: Option<FindPoses>,
}

/// What a piece counts for more than one that has its turn later (assumed: as much as an earlier due
/// day by the usual weights).
const BEFORE: f64 = 8.0;

/// The plan that a plan with other levels was made from, the edits that make it, and where pieces
/// that wait may stand in it to begin with.
struct Base {
    plan: Arc<Plan>,
    amiss: BTreeSet<PlacementId>,
    edits: Vec<Edit>,
    seeds: Vec<furnish::Seed>,
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

    /// Least number of setters by area. Levels set up anew may all get the largest one.
    fn least_setters(&self) -> usize {
        let as_large = least_of_the_largest(&self.task, self.beyond_mm2());
        match self.may_be_set_up_anew() {
            true => as_large,
            // Of those that there are; where not all goes onto them the first says how many it would take.
            false => as_large.max(least_fields(&self.task)),
        }
    }

    /// The same in which a lot has its turn before all else that waits.
    fn in_turn(&self, lot: LotId) -> Arrangement {
        let mut set = self.with_copies(self.copies.clone());
        set.turn = Some(lot);
        set.with(&self.aims)
    }

    /// What takes the pieces that are searched without since they go nowhere by area, with half the gap
    /// around each, mm².
    fn beyond_mm2(&self) -> f64 {
        let half = self.task.clearance / 2.0;
        let area = |(kind, n): &(usize, usize)| {
            let kind = self.task.kinds.get(*kind)?;
            Some(*n as f64 * grown_area(&kind.outline, half))
        };
        self.beyond.iter().filter_map(area).sum()
    }

    /// Whether setters and posts may be chosen anew.
    fn may_be_set_up_anew(&self) -> bool {
        self.wish.scope == Scope::Everything && self.aims.furniture.is_some()
    }

    /// What no layout can beat, mm²: of each lot what a piece takes with half the gap around it, and of
    /// each level that takes pieces what there is for that.
    pub fn least_areas(&self) -> (BTreeMap<LotId, f64>, Vec<f64>) {
        let half = self.task.clearance / 2.0;
        let kinds = self.pieces.iter().zip(&self.task.kinds);
        let lots = kinds.filter_map(|(piece, kind)| {
            let lot = piece.model.item.lot()?;
            Some((lot, grown_area(&kind.outline, half)))
        });
        let fields = self.task.fields.iter();
        (
            lots.collect(),
            fields.map(|f| field_area(f, half)).collect(),
        )
    }

    /// The same with another scope, levels that take no more mass than they bear, and levels left
    /// as they are; none where nothing of that is new or nothing is left.
    fn again(&self, scope: Scope, met: &Met) -> Option<Arrangement> {
        let wish = Wish {
            scope,
            ..self.wish.clone()
        };
        let mine = |id: &LevelId| self.seats.iter().any(|seat| seat.level == *id);
        if !met.new && !met.twice.iter().any(mine) && scope == self.wish.scope {
            return None;
        }
        let like = self.like.as_ref();
        let made = Arrangement::without(&self.plan, like, &self.catalogue, wish, &met.twice);
        let mut made = made.ok()?;
        made.turn = self.turn;
        let mut made = made.with(&self.aims).thinned_like(self);
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
        let later = |copy: &Copy| self.turn.is_some() && lot(copy) != self.turn;
        let value = self.copies.iter().map(|copy| match stands(copy) {
            true => most,
            false => {
                let worth = lot(copy).and_then(|id| worths.get(&id));
                worth.copied().unwrap_or(1.0) / if later(copy) { BEFORE } else { 1.0 }
            }
        });
        // Where all that waits must go, none goes before others.
        let some_may = |copy: &Copy| !stands(copy) && !aims.must(lot(copy));
        let some_may = self.copies.iter().any(some_may);
        let must = |copy: &Copy| some_may && aims.must(lot(copy));
        let rank = self.copies.iter().map(|copy| match stands(copy) {
            true => Rank::Stands,
            false if must(copy) && !later(copy) => Rank::Must,
            false => Rank::May,
        });
        (self.rules.value, self.rules.rank) = match self.copies.iter().all(stands) {
            true => (Vec::new(), Vec::new()),
            false => (value.collect(), rank.collect()),
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
    /// nothing.
    fn furnished(&self, effort: Effort, watch: &Watch) -> Option<Arrangement> {
        let furniture = self.aims.furniture.as_ref()?;
        let tall = self.with_the_tall();
        let set = tall.as_ref().unwrap_or(self);
        self.set_up(furnish::furnish(set, furniture, effort, watch)?)
    }

    /// The same with what waits and is too high for every level as it is; none where nothing is.
    fn with_the_tall(&self) -> Option<Arrangement> {
        let too_high = |seat: &Seat, kind: usize| {
            let refused = seat.refused.get(kind).and_then(Option::as_ref);
            matches!(refused, Some(Refused::TooHigh { .. }))
        };
        let tall = self.nowhere.iter().flat_map(|(kind, n)| {
            let mut seats = self.seats.iter().zip(&self.task.fields);
            let any = seats.any(|(seat, field)| {
                let outline = self.task.kinds.get(*kind);
                too_high(seat, *kind) && outline.is_some_and(|k| reasons::fits(k, field))
            });
            let copy = Copy {
                kind: *kind,
                placed: None,
            };
            vec![copy; if any { *n } else { 0 }]
        });
        let mut copies = self.copies.clone();
        let room = MOST_PIECES.saturating_sub(copies.len());
        copies.extend(tall.take(room));
        if copies.len() == self.copies.len() {
            return None;
        }
        // How many do not fit is told of the plan as it is.
        let most_mm2 = most_mm2(&self.seats);
        pieces::only_what_may_fit(&mut copies, &self.task.kinds, most_mm2, self.wish.keep);
        Some(self.with_copies(copies).with(&self.aims))
    }

    /// The task on levels set up anew, or with parts on other faces.
    fn set_up(&self, made: furnish::Furnished) -> Option<Arrangement> {
        let all = several(made.edits.clone());
        let plan = Arc::new(all.apply(&self.plan, &self.catalogue).ok()?);
        let before = self.base.iter().flat_map(|base| &base.edits);
        let edits = before.cloned().chain(made.edits);
        let like = self.like.as_ref();
        let (wish, none) = (self.wish.clone(), BTreeSet::new());
        let mut set = Arrangement::without(&plan, like, &self.catalogue, wish, &none).ok()?;
        set.turn = self.turn;
        let base = Base {
            plan: Arc::clone(self.origin()),
            amiss: self.amiss_before().clone(),
            edits: edits.collect(),
            seeds: made.seeds,
        };
        let set = set.with(&self.aims).thinned_like(self);
        Some(set.based_on(&Arc::new(base)))
    }

    /// The same of which no layout is shown.
    fn unshown(&self) -> Arrangement {
        self.with_copies(Vec::new())
    }

    /// The same with fewer of its pieces; places to begin with are still those of all.
    fn with_copies(&self, copies: Vec<Copy>) -> Arrangement {
        Arrangement {
            plan: Arc::clone(&self.plan),
            base: self.base.clone(),
            aims: Arc::clone(&self.aims),
            like: self.like.clone(),
            catalogue: Arc::clone(&self.catalogue),
            wish: self.wish.clone(),
            task: Task {
                parts: copies.iter().map(|copy| copy.kind).collect(),
                ..self.task.clone()
            },
            rules: self.rules.clone(),
            pieces: self.pieces.clone(),
            copies,
            seats: self.seats.clone(),
            nowhere: self.nowhere.clone(),
            beyond: self.beyond.clone(),
            amiss: self.amiss.clone(),
            thinned: None,
            turn: self.turn,
            areas: OnceLock::new(),
            poses: None,
        }
    }

    /// The plan that was asked about.
    fn origin(&self) -> &Arc<Plan> {
        self.base.as_ref().map_or(&self.plan, |base| &base.plan)
    }

    /// Pieces of that plan that could be moved and stand too near to something or over the edge.
    fn amiss_before(&self) -> &BTreeSet<PlacementId> {
        let amiss = || {
            let around = Around {
                plan: &self.plan,
                catalogue: &self.catalogue,
                sizes: &Sizes::new(&self.plan, &self.catalogue),
                pieces: &self.pieces,
                keep: self.wish.keep,
                scope: self.wish.scope,
            };
            pieces::amiss(&around, &self.task, &self.seats, &self.copies)
        };
        match &self.base {
            Some(base) => &base.amiss,
            None => self.amiss.get_or_init(amiss),
        }
    }

    /// What counts of a plan once every level is on the shortest posts that do.
    fn figures(&self, plan: &Plan) -> Figures {
        Figures {
            height_mm: self.lowest_mm(plan),
            ..Figures::without_areas(plan, &self.catalogue)
        }
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
        let kinds = pieces::kinds(plan, like, catalogue, &sizes, &pieces, |p| {
            wish.turning_of(p)
        })?;
        let (within, whole) = zones::within(&around, &mut fields, &seats);
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
        let most_mm2 = most_mm2(&seats);
        let more = pieces::only_what_may_fit(&mut copies, &kinds, most_mm2, wish.keep);
        beyond.extend(more);
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
            whole,
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
            amiss: OnceLock::new(),
            thinned: None,
            turn: None,
            areas: OnceLock::new(),
            poses: None,
        })
    }
}

/// Area beyond which no piece of a kind is searched with, mm².
fn most_mm2(seats: &[Seat]) -> f64 {
    LEVELS_MORE * seats.iter().map(|seat| seat.area_mm2).sum::<f64>()
}

/// Of these parts, why none of their pieces is turned however they may be: each stays as it stands. In
/// sentences, in the order of the plan.
pub fn not_turned(plan: &Plan, scope: Scope, parts: &BTreeMap<PartId, Turning>) -> Vec<String> {
    let set_out = pieces::set_out(plan, scope);
    let stays = |part: &&Arc<Part>| parts.contains_key(&part.id) && !set_out.contains(&part.id);
    let sentence = |part: &Arc<Part>| {
        let mut all = plan.placements();
        let stands = all.any(|(_, p)| p.item.part() == Some(part.id));
        ways::not_turned(&part.name, stands)
    };
    plan.parts.iter().filter(stays).map(sentence).collect()
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
