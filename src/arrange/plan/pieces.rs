//! What of a plan is set out, and where each kind of it may stand.

use super::super::bound::{field_area, grown_area};
use super::super::proof::prove;
use super::super::rules::HAIR;
use super::super::shape::shrunk;
use super::super::task::{Field, Ground, Kind, Placed, Task, Turns};
use super::{Keep, NotRearranged, ROUND_MM, Scope, Turning};
use crate::catalogue::Catalogue;
use crate::geometry::outline::signed_area;
use crate::geometry::{Outline, P2, Pose, Region, Shape};
use crate::load::{
    Carrier, Item, Level, LevelId, LevelScene, Lot, OnMaterial, PartRecords, Placement,
    PlacementId, Plan, Sizes, Stack, contact_material, floor_and_roof, lift_mm, pose_on_setter,
    stack_heights, tally, usable_face,
};
use crate::part::{PartId, growth};
use std::collections::BTreeSet;
use std::sync::Arc;

/// Outlines may be simplified outward by so much, mm (assumed).
const SIMPLER_MM: f64 = 0.02;
/// Steps of [`Turning::Steps`], degrees.
const STEP_DEG: f64 = 15.0;
/// Other angles at which pieces stand now that stay allowed, at most (assumed).
const OWN_ANGLES: usize = 8;

/// A kind of piece: what is alike for the arrangement.
#[derive(Clone)]
pub(super) struct Piece {
    pub model: Placement,
    pub height_mm: f64,
    pub feedstock: Option<String>,
}

/// One piece: where it stands, or that it waits.
#[derive(Clone, Copy)]
pub(super) struct Copy {
    pub kind: usize,
    pub placed: Option<PlacementId>,
}

/// Why a kind may not stand on a level.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Refused {
    /// Parts of another feedstock, or on another support, stand there.
    OtherFeedstock,
    /// The alloy or the feedstock does not go onto this material.
    Material(String),
    /// It is so much higher than the room, mm.
    TooHigh { room_mm: f64 },
}

/// A level that may take pieces.
#[derive(Clone)]
pub(super) struct Seat {
    pub level: LevelId,
    /// Where the setter's middle lies in the field's frame.
    pub middle: P2,
    pub refused: Vec<Option<Refused>>,
    /// Area of its face inside the margin, mm².
    pub area_mm2: f64,
}

pub(super) fn movable(placement: &Placement) -> bool {
    !placement.locked && placement.item.is_production()
}

/// Parts of which pieces are set out: they stand where they may be moved, or wait.
pub(super) fn set_out(plan: &Plan, scope: Scope) -> BTreeSet<PartId> {
    let stand = plan.placements();
    let stand = stand.filter(|(level, p)| scope.moves(level.id) && movable(p));
    let wait = plan.lots.iter().filter(|lot| waiting_of(plan, lot) > 0);
    let stand = stand.filter_map(|(_, p)| p.item.part());
    stand.chain(wait.map(|lot| lot.part)).collect()
}

/// Most pieces that are searched at once: the search keeps a number for each pair (assumed; for
/// these about a quarter of a gigabyte).
pub(super) const MOST_PIECES: usize = 4_000;

/// Pieces of a kind, by its index.
pub(super) type Many = (usize, usize);

/// Kinds, pieces of them, and what waits beyond these.
pub(super) type Sorted = (Vec<Piece>, Vec<Copy>, Vec<Many>);

/// The kinds of pieces and every piece of them: what stands and may be moved, then what waits. Of
/// what waits in a lot no more than [`MOST_PIECES`]; the rest is the last of the three.
pub(super) fn pieces(
    plan: &Plan,
    like: Option<&Plan>,
    catalogue: &Catalogue,
    sizes: &Sizes,
    scope: Scope,
    frozen: &BTreeSet<LevelId>,
) -> Result<Sorted, NotRearranged> {
    let mut kinds: Vec<Piece> = Vec::new();
    let (mut copies, mut beyond) = (Vec::new(), Vec::new());
    let mut kind_of = |model: &Placement| -> Result<usize, NotRearranged> {
        let alike = |k: &Piece| k.model.item == model.item && k.model.support == model.support;
        if let Some(kind) = kinds.iter().position(alike) {
            return Ok(kind);
        }
        let sized = sizes.of(&model.item, catalogue);
        let sized = sized.ok_or_else(|| NotRearranged::Unknown {
            name: plan.item_name(&model.item),
        })?;
        kinds.push(Piece {
            model: model.clone(),
            height_mm: height_mm(model, catalogue, sizes).unwrap_or(0.0),
            feedstock: sized.feedstock.clone(),
        });
        Ok(kinds.len() - 1)
    };
    for (level, placement) in plan.placements() {
        if scope.moves(level.id) && movable(placement) && !frozen.contains(&level.id) {
            copies.push(Copy {
                kind: kind_of(placement)?,
                placed: Some(placement.id),
            });
        }
    }
    for lot in &plan.lots {
        let waiting = waiting_of(plan, lot);
        if waiting == 0 {
            continue;
        }
        let Some(model) = model_of(plan, like, lot) else {
            continue;
        };
        let kind = kind_of(&model)?;
        let taken = waiting.min(MOST_PIECES);
        copies.extend(std::iter::repeat_n(Copy { kind, placed: None }, taken));
        if waiting > taken {
            beyond.push((kind, waiting - taken));
        }
    }
    Ok((kinds, copies, beyond))
}

/// Leaves out of what waits what could not go by area even on so many times the levels; gives how
/// many of each kind that are.
pub(super) fn only_what_may_fit(
    copies: &mut Vec<Copy>,
    kinds: &[Kind],
    area_mm2: f64,
    keep: Keep,
) -> Vec<Many> {
    let most = |kind: usize| {
        let one = kinds
            .get(kind)
            .map_or(0.0, |kind| self::area_mm2(kind, keep));
        match one > 0.0 {
            true => (area_mm2 / one).ceil() as usize,
            false => MOST_PIECES,
        }
    };
    let mut left: Vec<usize> = (0..kinds.len()).map(most).collect();
    let mut beyond: Vec<Many> = Vec::new();
    copies.retain(|copy| {
        let Some(left) = left.get_mut(copy.kind).filter(|_| copy.placed.is_none()) else {
            return true;
        };
        if *left > 0 {
            *left -= 1;
            return true;
        }
        match beyond.iter_mut().find(|(kind, _)| *kind == copy.kind) {
            Some((_, n)) => *n += 1,
            None => beyond.push((copy.kind, 1)),
        }
        false
    });
    beyond
}

/// A setter with something on it that stays (a coupon, a locked part) is in the furnace anyway, and
/// nothing is gained by emptying it of the rest: one of its pieces becomes a kind of its own that
/// stays on the level. Gives the level of each such kind.
pub(super) fn hold(
    plan: &Plan,
    pieces: &mut Vec<Piece>,
    copies: &mut [Copy],
) -> Vec<(usize, LevelId)> {
    let mut held = Vec::new();
    for (_, level) in plan.levels() {
        if level.placements.iter().all(movable) {
            continue;
        }
        let here = |copy: &&mut Copy| {
            let id = copy.placed;
            id.is_some_and(|id| level.placements.iter().any(|p| p.id == id))
        };
        if let Some(copy) = copies.iter_mut().find(here)
            && let Some(piece) = pieces.get(copy.kind).cloned()
        {
            copy.kind = pieces.len();
            held.push((pieces.len(), level.id));
            pieces.push(piece);
        }
    }
    held
}

/// Pieces of a lot that stand nowhere yet.
pub(super) fn waiting_of(plan: &Plan, lot: &Lot) -> usize {
    let mine = plan
        .placements()
        .filter(|(_, p)| p.item.lot() == Some(lot.id));
    let placed = mine.count();
    (lot.count as usize).saturating_sub(placed)
}

/// How a piece of a lot is set down: as another of the lot, else as another of the part, else as
/// what is of its feedstock, in the plan or in the one that serves as its pattern. None where its
/// part is gone.
fn model_of(plan: &Plan, like: Option<&Plan>, lot: &Lot) -> Option<Placement> {
    let part = plan.part(lot.part)?;
    let item = Item::Part {
        part: lot.part,
        lot: Some(lot.id),
    };
    let plans = || std::iter::once(plan).chain(like);
    let stands = || plans().flat_map(|plan| plan.placements().map(|(_, p)| p));
    let production = |p: &&Placement| p.item.is_production();
    let same_lot = stands().find(|p| p.item == item);
    let same_part = || {
        let mut all = stands().filter(production);
        all.find(|p| p.item.part() == Some(lot.part))
    };
    let same_feedstock = || {
        let of = |p: &&Placement| {
            let other = p.item.part().and_then(|id| plan.part(id));
            other.is_some_and(|other| other.feedstock == part.feedstock)
        };
        stands().filter(production).find(of)
    };
    let model = same_lot.or_else(same_part).or_else(same_feedstock);
    Some(Placement {
        id: PlacementId(0),
        item,
        at_mm: [0.0; 2],
        angle_deg: 0.0,
        support: model.and_then(|m| m.support.clone()),
        locked: false,
    })
}

/// Kinds of the task: outlines and the turns that each may take. An angle at which a piece stands
/// now stays allowed.
pub(super) fn kinds(
    plan: &Plan,
    like: Option<&Plan>,
    catalogue: &Catalogue,
    sizes: &Sizes,
    pieces: &[Piece],
    turning: impl Fn(Option<PartId>) -> Turning,
) -> Result<Vec<Kind>, NotRearranged> {
    let mut kinds = Vec::new();
    for piece in pieces {
        let unknown = || NotRearranged::Unknown {
            name: plan.item_name(&piece.model.item),
        };
        let part = piece.model.item.part();
        let plans = std::iter::once(plan).chain(like);
        let standing = plans.flat_map(|plan| plan.placements().map(|(_, p)| p));
        // A locked piece shows how a part that is not turned has to stand.
        let turning = turning(part);
        let mine = |p: &&Placement| match turning {
            Turning::AsPlaced => p.item.is_production(),
            _ => movable(p),
        };
        let own = standing
            .filter(|p| p.item.part() == part)
            .filter(mine)
            .map(|p| p.angle_deg.rem_euclid(360.0));
        let turns = match turning {
            Turning::Any => Turns::Any,
            Turning::AsPlaced => Turns::Of(only_own(own)),
            Turning::RightAngles => Turns::Of(with_own(90.0, own)),
            Turning::Steps => Turns::Of(with_own(STEP_DEG, own)),
        };
        kinds.push(Kind {
            outline: for_search(&piece.model, catalogue, sizes).ok_or_else(unknown)?,
            turns,
        });
    }
    Ok(kinds)
}

/// Adds the angles that are not there yet, up to so many in all.
fn add_own(all: &mut Vec<f64>, own: impl Iterator<Item = f64>, most: usize) {
    for angle in own {
        let known = |a: &f64| (a - angle).abs() < 1e-6;
        if all.len() < most && !all.iter().any(known) {
            all.push(angle);
        }
    }
}

fn only_own(own: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut all: Vec<f64> = Vec::new();
    add_own(&mut all, own, usize::MAX);
    if all.is_empty() {
        all.push(0.0);
    }
    all
}

fn with_own(step_deg: f64, own: impl Iterator<Item = f64>) -> Vec<f64> {
    let steps = (360.0 / step_deg).round() as usize;
    let mut all: Vec<f64> = (0..steps).map(|i| i as f64 * step_deg).collect();
    let most = all.len() + OWN_ANGLES;
    add_own(&mut all, own, most);
    all
}

/// Height of a thing at the stage at which it is highest, with what is under it, mm. None where
/// its body is not known.
pub(super) fn height_mm(model: &Placement, catalogue: &Catalogue, sizes: &Sizes) -> Option<f64> {
    let sized = sizes.of(&model.item, catalogue)?;
    Some(sized.highest_mm() + lift_mm(model, catalogue))
}

/// What a thing may cover at any stage, about its anchor.
fn covered(model: &Placement, catalogue: &Catalogue, sizes: &Sizes) -> Option<Outline> {
    let sized = sizes.of(&model.item, catalogue)?;
    Some(sized.covers().simplify_outward(SIMPLER_MM))
}

/// The same as one shape.
fn footprint(model: &Placement, catalogue: &Catalogue, sizes: &Sizes) -> Option<Shape> {
    let shape = one_shape(&covered(model, catalogue, sizes)?)?;
    Some(with_less_bore(shape, catalogue, sizes))
}

/// The same for a thing that is set out: a ring that shrinks by more than its wall is searched for as a
/// disc, for thin rings find fewer places (measured, DEVELOPERS.md).
fn for_search(model: &Placement, catalogue: &Catalogue, sizes: &Sizes) -> Option<Shape> {
    let outline = covered(model, catalogue, sizes)?;
    match outline.shapes.as_slice() {
        [one] => Some(with_less_bore(one.clone(), catalogue, sizes)),
        _ => hull_of(&outline),
    }
}

/// Its bores as small as a setter makes them that grows: it carries what stands in one towards the wall,
/// by so much of the way between the two.
fn with_less_bore(mut shape: Shape, catalogue: &Catalogue, sizes: &Sizes) -> Shape {
    if shape.holes.is_empty() {
        return shape;
    }
    let grows = setter_growth(catalogue, sizes.peak_c()) - 1.0;
    shape.holes = (shape.holes.into_iter())
        .filter_map(|mut hole| {
            let far_mm = hole.iter().map(|p| libm::hypot(p[0], p[1]));
            let far_mm = far_mm.fold(0.0, f64::max);
            hole.reverse();
            let mut hole = shrunk(&hole, grows * far_mm)?;
            hole.reverse();
            Some(hole)
        })
        .collect();
    shape
}

fn hull_of(outline: &Outline) -> Option<Shape> {
    Some(Shape {
        outer: Some(outline.hull()).filter(|hull| hull.len() > 2)?,
        holes: Vec::new(),
    })
}

/// The most by which a setter on record grows up to a temperature, as a factor.
fn setter_growth(catalogue: &Catalogue, at_c: f64) -> f64 {
    let setters = catalogue.setters.values();
    let materials = setters.filter_map(|(_, s)| catalogue.material(&s.material));
    let factors = materials.map(|m| growth(m.expansion_per_k, at_c));
    factors.fold(1.0, f64::max)
}

/// A region as one shape that holds it. What lies within a hole of the largest shape, as a thin ring
/// does that shrinks by more than its wall, is joined to it, its own holes stay open; where anything
/// lies elsewhere the hull is taken.
fn one_shape(outline: &Outline) -> Option<Shape> {
    let size = |ring: &[P2]| signed_area(ring).abs();
    let largest = outline.shapes.iter();
    let largest = largest.max_by(|a, b| size(&a.outer).total_cmp(&size(&b.outer)))?;
    let mut one = largest.clone();
    let mut others: Vec<&Shape> = outline.shapes.iter().filter(|s| *s != largest).collect();
    // From the outside in: what lies in a hole of another one comes after it.
    others.sort_by(|a, b| size(&b.outer).total_cmp(&size(&a.outer)));
    for other in others {
        let lies_in = |hole: &Vec<P2>| {
            let mut outer = hole.clone();
            outer.reverse();
            let hole = Outline {
                shapes: vec![Shape {
                    outer,
                    holes: Vec::new(),
                }],
            };
            other.outer.iter().all(|p| hole.contains(*p))
        };
        match one.holes.iter().position(lies_in) {
            Some(at) => {
                one.holes.remove(at);
                one.holes.extend(other.holes.iter().cloned());
            }
            None => return hull_of(outline),
        }
    }
    Some(one)
}

/// What a level has to be told besides itself.
pub(super) struct Around<'a> {
    pub plan: &'a Plan,
    pub catalogue: &'a Catalogue,
    pub sizes: &'a Sizes,
    pub pieces: &'a [Piece],
    pub keep: Keep,
    pub scope: Scope,
}

impl Around<'_> {
    /// A level as a field. None where its setter or something on it is not known.
    pub fn field(&self, stack: &Stack, level: &Level) -> Option<(Field, Seat)> {
        let (catalogue, keep) = (self.catalogue, self.keep);
        let setter = catalogue.setter(&level.setter)?;
        let mut fixed = Vec::new();
        let (ground, middle) = match usable_face(setter, 1.0) {
            Region::Rectangle {
                width_mm: w,
                depth_mm: h,
            } => (Ground::Rectangle { w, h }, [w / 2.0, h / 2.0]),
            Region::Disc { diameter_mm: d } => (Ground::Disc { d }, [0.0; 2]),
            Region::Polygon(face) => {
                let (ground, holes) = polygon(&face)?;
                fixed.extend(holes);
                (ground, [0.0; 2])
            }
        };
        let stays = |p: &&Placement| self.scope == Scope::Gaps || !movable(p);
        for placement in level.placements.iter().filter(stays) {
            let shape = footprint(placement, catalogue, self.sizes)?;
            let pose = pose_on_setter(placement, 0.0, 1.0);
            fixed.push(placed(shape, &pose, middle));
        }
        let above = stack.levels.iter().skip_while(|l| l.id != level.id).nth(1);
        let mut disc = |diameter_mm: f64, [x, y]: P2| {
            let shapes = Outline::disc(diameter_mm).shapes.into_iter();
            fixed.extend(shapes.map(|s| placed(s, &Pose::at(x, y), middle)));
        };
        if let Some(next) = above
            && let Carrier::Posts { post, at_mm } = &next.carrier
        {
            let diameter_mm = catalogue.post(post)?.diameter_mm;
            at_mm.iter().for_each(|at| disc(diameter_mm, *at));
        }
        let heights = self.heights(stack, level, above.map(AsRef::as_ref));
        for (radius_mm, at) in self.spots(stack, level, heights) {
            disc(2.0 * radius_mm, at);
        }
        let room_mm = heights.map(|[face, under]| under - face);
        let refused: Vec<_> = self
            .pieces
            .iter()
            .map(|piece| self.refused(level, piece, room_mm))
            .collect();
        let field = Field {
            ground,
            margin: keep.edge_mm + ROUND_MM,
            fixed,
            accepts: refused.iter().map(Option::is_none).collect(),
        };
        let seat = Seat {
            level: level.id,
            middle,
            refused,
            area_mm2: field_area(&field, self.half_gap()),
        };
        Some((field, seat))
    }

    fn half_gap(&self) -> f64 {
        self.keep.gap_mm / 2.0
    }

    /// Height of a level's face, and up to where parts on it may reach, mm; none where unknown.
    fn heights(&self, stack: &Stack, level: &Level, above: Option<&Level>) -> Option<[f64; 2]> {
        let furnace = self.catalogue.furnace(&self.plan.load.furnace)?;
        let all = stack_heights(stack, self.catalogue, furnace);
        let at = |id: LevelId| {
            let i = stack.levels.iter().position(|l| l.id == id)?;
            all.get(i).copied()?.ok()
        };
        let here = at(level.id)?;
        let top = match above {
            Some(next) => at(next.id)?.underside_mm - self.keep.head_mm,
            None => {
                let (_, roof) = floor_and_roof(&furnace.hot_zone);
                let (_, zone) = floor_and_roof(&furnace.work_zone);
                (roof - self.keep.roof_mm).min(zone)
            }
        };
        Some([here.face_mm, top])
    }

    /// Nozzles and thermocouples of the furnace that stand in the way on a level: radius and
    /// place on the setter, mm.
    fn spots(&self, stack: &Stack, level: &Level, heights: Option<[f64; 2]>) -> Vec<(f64, P2)> {
        let Some(furnace) = self.catalogue.furnace(&self.plan.load.furnace) else {
            return Vec::new();
        };
        let Some(setter) = self.catalogue.setter(&level.setter) else {
            return Vec::new();
        };
        let [low, high] = heights.unwrap_or([f64::NEG_INFINITY, f64::INFINITY]);
        let [sx, sy] = stack.at_mm;
        let face = crate::load::setter_outline(setter);
        let mut found = Vec::new();
        let mut add = |radius_mm: f64, at: [f64; 2], from: f64, to: f64| {
            let at = [at[0] - sx, at[1] - sy];
            if to > low && from < high && face.contains(at) {
                found.push((radius_mm, at));
            }
        };
        for spot in &furnace.forbidden {
            add(spot.radius_mm, spot.at_mm, spot.z0_mm, spot.z1_mm);
        }
        for sensor in &furnace.sensors {
            if let Some([x, y, z]) = sensor.at_mm {
                // The gap is kept to the disc; what a thermocouple wants beyond that is added.
                let more = (self.keep.sensor_mm - self.keep.gap_mm).max(0.0);
                let radius_mm = crate::load::SENSOR_DIAMETER_MM / 2.0 + more;
                add(radius_mm, [x, y], z - more, z + more);
            }
        }
        found
    }

    /// Whether the setters of two levels are the same, or of one material.
    fn are_alike(&self, one: &Level, other: &Level) -> bool {
        let material = |level: &Level| self.catalogue.setter(&level.setter).map(|s| &s.material);
        one.setter == other.setter
            || material(one).is_some_and(|m| material(other).is_some_and(|o| m == o))
    }

    /// The material of a level onto which a kind does not go; what lies on such a one anywhere in
    /// the load may.
    fn not_on(&self, level: &Level, piece: &Piece) -> Option<String> {
        let support = piece.model.support.as_deref();
        let support = support.map(|id| self.catalogue.support(id).map(AsRef::as_ref));
        let touches = |level: &Level| -> Option<String> {
            let setter = self.catalogue.setter(&level.setter)?;
            let support = match support {
                Some(record) => Some(record?),
                None => None,
            };
            Some(contact_material(setter, support).to_owned())
        };
        let material = touches(level)?;
        let part = self.plan.part(piece.model.item.part()?)?;
        let says = PartRecords::new(part, self.catalogue)?.on_material(&material);
        let bad = matches!(says, OnMaterial::RefusedByAlloy | OnMaterial::NotListed);
        let there = |(level, p): (&Level, &Placement)| {
            let alike = p.item.part() == Some(part.id) && p.support == piece.model.support;
            alike && touches(level).as_deref() == Some(material.as_str())
        };
        (bad && !self.plan.placements().any(there)).then_some(material)
    }

    /// Why a kind may not stand on a level. What stands there already may.
    fn refused(&self, level: &Level, piece: &Piece, room_mm: Option<f64>) -> Option<Refused> {
        let others = || level.placements.iter();
        let production = |p: &&Placement| p.item.is_production();
        let alike = |p: &Placement| {
            p.item.part() == piece.model.item.part() && p.support == piece.model.support
        };
        if others().any(alike) {
            return None;
        }
        let feedstock = |p: &Placement| {
            let part = p.item.part().and_then(|id| self.plan.part(id));
            part.map(|part| part.feedstock.clone())
        };
        let same =
            |p: &Placement| feedstock(p) == piece.feedstock && p.support == piece.model.support;
        let fits = if others().any(|p| production(&p)) {
            others().any(same)
        } else {
            // An empty setter of the material of one on which the feedstock stands, or all that are empty.
            let mut of_it = self.plan.placements().filter(|(_, p)| same(p)).peekable();
            of_it.peek().is_none() || of_it.any(|(l, _)| self.are_alike(l, level))
        };
        if let Some(material) = self.not_on(level, piece) {
            return Some(Refused::Material(material));
        }
        if !fits {
            return Some(Refused::OtherFeedstock);
        }
        // What is no higher than something of its kind that stands there may, whatever the room.
        let stands_mm = self.pieces.iter().filter(|other| {
            let there = |p: &Placement| p.item.part() == other.model.item.part();
            others().any(there)
        });
        let stands_mm = stands_mm.map(|p| p.height_mm).fold(0.0, f64::max);
        let room_mm = room_mm.unwrap_or(0.0).max(stands_mm);
        (piece.height_mm > room_mm).then_some(Refused::TooHigh { room_mm })
    }
}

/// A polygon's largest shape as a ground, with its holes as things that stand there.
fn polygon(face: &Outline) -> Option<(Ground, Vec<Shape>)> {
    let area = |s: &&Shape| signed_area(&s.outer);
    let shape = face
        .shapes
        .iter()
        .max_by(|a, b| area(a).total_cmp(&area(b)))?;
    let holes = shape.holes.iter().map(|hole| {
        let mut outer = hole.clone();
        outer.reverse();
        let holes = Vec::new();
        Shape { outer, holes }
    });
    Some((Ground::Polygon(shape.outer.clone()), holes.collect()))
}

fn placed(shape: Shape, pose: &Pose, middle: P2) -> Shape {
    let shapes = vec![shape];
    let moved = Outline { shapes }.placed(pose).moved(middle[0], middle[1]);
    moved.shapes.into_iter().next().unwrap_or_default()
}

/// All levels in the scope as fields, without those that are left as they are.
pub(super) fn fields(
    around: &Around,
    frozen: &BTreeSet<LevelId>,
) -> Result<(Vec<Field>, Vec<Seat>), NotRearranged> {
    let (mut fields, mut seats) = (Vec::new(), Vec::new());
    for (stack, level) in around.plan.levels() {
        let other = matches!(around.scope, Scope::Level(id) if id != level.id);
        if other || frozen.contains(&level.id) {
            continue;
        }
        let level: &Arc<Level> = level;
        let made = around.field(stack, level);
        let (field, seat) = made.ok_or_else(|| NotRearranged::Unknown {
            name: around.plan.level_label(level.id),
        })?;
        fields.push(field);
        seats.push(seat);
    }
    Ok((fields, seats))
}

/// Area that a piece with its share of the gaps takes, mm².
pub(super) fn area_mm2(kind: &Kind, keep: Keep) -> f64 {
    grown_area(&kind.outline, keep.gap_mm / 2.0)
}

/// The same of a thing that stands. None where its body is not known.
pub(super) fn cover_mm2(
    placement: &Placement,
    catalogue: &Catalogue,
    sizes: &Sizes,
    keep: Keep,
) -> Option<f64> {
    let outline = footprint(placement, catalogue, sizes)?;
    Some(grown_area(&outline, keep.gap_mm / 2.0))
}

/// Mass of a piece of each kind, green, g; 0 where it is not known, which then limits nothing.
pub(super) fn masses(plan: &Plan, catalogue: &Catalogue, pieces: &[Piece]) -> Vec<f64> {
    let mass = |piece: &Piece| {
        let part = plan.part(piece.model.item.part()?)?;
        let masses = PartRecords::new(part, catalogue)?.masses(1.0)?;
        Some(masses.green_g).filter(|g| g.is_finite() && *g >= 0.0)
    };
    pieces
        .iter()
        .map(|piece| mass(piece).unwrap_or(0.0))
        .collect()
}

/// Most mass of what may be moved on each level, g: what the setter's rating leaves beside what
/// stays, but never less than what stands there. `each` are the masses of the kinds, g.
pub(super) fn most(
    plan: &Plan,
    catalogue: &Catalogue,
    sizes: &Sizes,
    seats: &[Seat],
    (each, copies): (&[f64], &[Copy]),
) -> Vec<f64> {
    let furnace = catalogue.furnace(&plan.load.furnace);
    let sums = tally(plan, catalogue, furnace.map(AsRef::as_ref), sizes);
    let most = |seat: &Seat| -> Option<f64> {
        let (_, level) = plan.level(seat.level)?;
        let rated_g = 1000.0 * catalogue.setter(&level.setter)?.rated_load_kg;
        let on_plate_g = sums
            .levels
            .iter()
            .find(|l| l.level == seat.level)?
            .on_plate_g;
        let mine = copies.iter().filter(|copy| {
            let id = copy.placed;
            id.is_some_and(|id| level.placements.iter().any(|p| p.id == id))
        });
        let moved_g: f64 = mine.filter_map(|copy| each.get(copy.kind)).sum();
        // More by the hair that the search takes off, and by one for sums in another order.
        Some((rated_g - (on_plate_g - moved_g).max(0.0)).max(moved_g) * (1.0 + 2.0 * HAIR))
    };
    seats
        .iter()
        .map(|seat| most(seat).unwrap_or(f64::INFINITY))
        .collect()
}

/// What stands, as a layout.
fn stands(plan: &Plan, seats: &[Seat], copies: &[Copy]) -> Vec<Placed> {
    let at = |(part, copy): (usize, &Copy)| {
        let (level, placement) = plan.placement(copy.placed?)?;
        let field = seats.iter().position(|seat| seat.level == level.id)?;
        let middle = seats.get(field)?.middle;
        Some(Placed {
            part,
            field,
            x: placement.at_mm[0] + middle[0],
            y: placement.at_mm[1] + middle[1],
            angle: placement.angle_deg,
        })
    };
    copies.iter().enumerate().filter_map(at).collect()
}

/// What stands, as the layout to begin with: as far as the proof has nothing against it, which
/// asks a hair more than the review does.
pub(super) fn start(plan: &Plan, task: &Task, seats: &[Seat], copies: &[Copy]) -> Vec<Placed> {
    sound(task, &stands(plan, seats, copies))
}

/// Pieces that stand nearer to something, or to the edge, than the review takes: by its own gaps, and
/// each alone by the proof with what the review takes, not with the little more that a layout keeps.
pub(super) fn amiss(
    around: &Around,
    task: &Task,
    seats: &[Seat],
    copies: &[Copy],
) -> BTreeSet<PlacementId> {
    let (plan, keep) = (around.plan, around.keep);
    let mut reviewed = task.clone();
    reviewed.clearance = keep.gap_mm;
    for (kind, piece) in reviewed.kinds.iter_mut().zip(around.pieces) {
        if let Some(outline) = footprint(&piece.model, around.catalogue, around.sizes) {
            kind.outline = outline;
        }
    }
    for field in &mut reviewed.fields {
        field.margin = keep.edge_mm;
        // What may stand where is another matter.
        field.accepts.fill(true);
    }
    let alone = stands(plan, seats, copies).into_iter();
    let alone = alone.filter(|p| prove(&reviewed, std::slice::from_ref(p), None).is_err());
    let alone = alone.filter_map(|p| copies.get(p.part)?.placed);
    let pairs = seats.iter().flat_map(|seat| {
        let level = plan.level(seat.level).map(|(_, level)| level);
        let scene = level.map(|l| LevelScene::new(l, plan, around.sizes, around.catalogue));
        let gaps = scene.map_or(Vec::new(), |scene| scene.pair_gaps(keep.gap_mm));
        let near = gaps.into_iter().filter(|g| g.gap_mm < keep.gap_mm);
        near.flat_map(|g| [g.a, g.b]).collect::<Vec<_>>()
    });
    let movable: BTreeSet<PlacementId> = copies.iter().filter_map(|c| c.placed).collect();
    let all = alone.chain(pairs);
    all.filter(|id| movable.contains(id)).collect()
}

/// As much of a layout as the proof has nothing against.
pub(super) fn sound(task: &Task, all: &[Placed]) -> Vec<Placed> {
    let mut sound = Vec::new();
    for field in 0..task.fields.len() {
        let mut here: Vec<Placed> = all.iter().filter(|p| p.field == field).copied().collect();
        while let Err(bad) = prove(task, &here, None) {
            here.retain(|p| p.part != bad.part);
        }
        sound.append(&mut here);
    }
    sound
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::outline::signed_area;

    #[test]
    fn an_angle_at_which_a_piece_stands_stays_allowed_once() {
        let own = [37.0, 90.0, 37.0].into_iter();
        assert_eq!(with_own(90.0, own), [0.0, 90.0, 180.0, 270.0, 37.0]);
        assert_eq!(with_own(STEP_DEG, std::iter::empty()).len(), 24);
    }

    #[test]
    fn a_part_that_is_not_turned_keeps_its_own_angles_or_that_of_its_drawing() {
        assert_eq!(only_own([37.0, 90.0, 37.0].into_iter()), [37.0, 90.0]);
        assert_eq!(only_own(std::iter::empty()), [0.0]);
    }

    /// A thin ring before and after it shrinks: a region of two rings, one within the other.
    #[test]
    fn two_rings_within_each_other_are_one_with_the_inner_bore() {
        let disc = |d: f64| Outline::disc(d).shapes[0].outer.clone();
        let ring = |outer: f64, bore: f64| {
            let mut hole = disc(bore);
            hole.reverse();
            Shape {
                outer: disc(outer),
                holes: vec![hole],
            }
        };
        let (green, sintered) = (ring(84.0, 73.0), ring(72.0, 62.0));
        for shapes in [
            vec![green.clone(), sintered.clone()],
            vec![sintered.clone(), green.clone()],
        ] {
            let one = one_shape(&Outline { shapes }).unwrap();
            assert_eq!((&one.outer, &one.holes), (&green.outer, &sintered.holes));
        }
        // What lies beside it is held by the hull alone.
        let mut beside = ring(72.0, 62.0);
        for p in beside
            .outer
            .iter_mut()
            .chain(beside.holes.iter_mut().flatten())
        {
            p[0] += 200.0;
        }
        let both = Outline {
            shapes: vec![green, beside],
        };
        let one = one_shape(&both).unwrap();
        assert_eq!((one.outer, one.holes.len()), (both.hull(), 0));
    }

    #[test]
    fn a_setter_of_any_shape_is_a_ground_with_its_holes_in_the_way() {
        let square = |half: f64| vec![[-half, -half], [half, -half], [half, half], [-half, half]];
        let mut hole = square(5.0);
        hole.reverse();
        let shapes = vec![
            Shape {
                outer: square(2.0),
                holes: Vec::new(),
            },
            Shape {
                outer: square(50.0),
                holes: vec![hole],
            },
        ];
        let (ground, fixed) = polygon(&Outline { shapes }).unwrap();
        assert!(matches!(ground, Ground::Polygon(ring) if ring == square(50.0)));
        assert_eq!(fixed.len(), 1);
        assert!(signed_area(&fixed[0].outer) > 0.0);
    }
}
