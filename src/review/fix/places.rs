//! Moving things on their setters.

use super::{Candidate, Finding, Fixer, Found, placements};
use crate::load::{
    Caps, Edit, ItemGap, Level, Move, Neighbour, OnLevel, Placement, PlacementId, Plan,
};
use crate::review::finding::{Subject, number};
use crate::text::fixes as say;
use crate::units::Quantity::Length;

/// Places are typed in tenths, mm.
const STEP_MM: f64 = 0.1;
/// Farther than this nothing is moved by a button, mm (assumed).
const FARTHEST_MM: f64 = 100.0;

fn up(mm: f64) -> f64 {
    libm::round(libm::ceil(mm / STEP_MM - 1e-6)) / 10.0
}

fn tidy(mm: f64) -> f64 {
    libm::round(mm * 1e3) / 1e3
}

fn shown(mm: f64) -> String {
    number(Length, mm, 1).to_string()
}

fn moved(level: &Level, placement: &Placement, by_mm: [f64; 2]) -> Move {
    let [x, y] = placement.at_mm;
    Move {
        id: placement.id,
        level: level.id,
        at_mm: [tidy(x + by_mm[0]), tidy(y + by_mm[1])],
        angle_deg: placement.angle_deg,
    }
}

/// Straight away from a point first, then along the axes.
fn directions(from: [f64; 2], to: [f64; 2]) -> Vec<[f64; 2]> {
    let (x, y) = (to[0] - from[0], to[1] - from[1]);
    let far = libm::hypot(x, y);
    let mut all = Vec::new();
    if far > 1e-9 {
        all.push([x / far, y / far]);
    }
    let sign = |v: f64| if v < 0.0 { -1.0 } else { 1.0 };
    all.extend([
        [sign(x), 0.0],
        [0.0, sign(y)],
        [-sign(x), 0.0],
        [0.0, -sign(y)],
    ]);
    all
}

/// Two things on one setter, one of them moved until the gap limit is kept at every stage.
pub(super) fn apart(fixer: &Fixer, finding: &Finding) -> Found {
    let plan = fixer.plan();
    let ids = placements(finding);
    let (&[a, b], Some(limit)) = (
        ids.as_slice(),
        match ids.as_slice() {
            &[a, b] => fixer.facts.gap_limits().between(a, b).map(|l| l.value),
            _ => None,
        },
    ) else {
        return Err(say::no_way());
    };
    let (Some((level, first)), Some((_, second))) = (plan.placement(a), plan.placement(b)) else {
        return Err(say::no_way());
    };
    let loose: Vec<(&Placement, &Placement)> = [(second, first), (first, second)]
        .into_iter()
        .filter(|(mover, _)| !mover.locked)
        .collect();
    if loose.is_empty() {
        return Err(say::locked());
    }
    let mut found: Vec<(f64, Move)> = Vec::new();
    for (mover, other) in loose {
        for unit in directions(other.at_mm, mover.at_mm) {
            let by = |mm: f64| moved(level, mover, [unit[0] * mm, unit[1] * mm]);
            let enough = |mm: f64| kept(fixer, level, (a, b), &by(mm), limit);
            if let Some(mm) = least(enough) {
                found.push((mm, by(mm)));
            }
        }
    }
    found.sort_by(|x, y| x.0.total_cmp(&y.0));
    let candidate = |(mm, way): (f64, Move)| {
        let label = say::move_apart(&shown(mm));
        Candidate::one(label, Edit::MovePlacements(vec![way]))
    };
    Ok(found.into_iter().map(candidate).collect())
}

/// The least distance in tenths that is enough; none up to the farthest.
fn least(enough: impl Fn(f64) -> bool) -> Option<f64> {
    let (mut low, mut high) = (0.0, 1.0);
    while !enough(high) {
        (low, high) = (high, high * 2.0);
        if high > FARTHEST_MM {
            return None;
        }
    }
    while high - low > STEP_MM / 2.0 {
        let middle = 0.5 * (low + high);
        if enough(middle) {
            high = middle;
        } else {
            low = middle;
        }
    }
    let mm = up(high);
    enough(mm).then_some(mm)
}

/// Whether two things on a level keep a gap once one of them is moved.
fn kept(
    fixer: &Fixer,
    level: &Level,
    pair: (PlacementId, PlacementId),
    by: &Move,
    limit: f64,
) -> bool {
    let mut alone = level.clone();
    alone
        .placements
        .retain(|p| p.id == pair.0 || p.id == pair.1);
    for placement in &mut alone.placements {
        if placement.id == by.id {
            placement.at_mm = by.at_mm;
        }
    }
    let caps = Caps {
        gap_mm: limit,
        edge_mm: 0.0,
        head_mm: 0.0,
        roof_mm: 0.0,
        sensor_mm: 0.0,
        zone_mm: 0.0,
    };
    let sizes = &fixer.facts.sizes;
    let on = OnLevel::new(&alone, fixer.plan(), fixer.given.catalogue, sizes, &caps);
    on.pairs.iter().all(|p| p.gap_mm >= limit)
}

/// Gaps of a finding's things to what it is about.
fn gaps(fixer: &Fixer, ids: &[PlacementId], to: fn(&Neighbour) -> bool) -> Vec<ItemGap> {
    let Some(clearances) = &fixer.facts.clearances else {
        return Vec::new();
    };
    let items = clearances.items.iter();
    let mut gaps: Vec<ItemGap> = items
        .filter(|g| ids.contains(&g.placement) && to(&g.to))
        .cloned()
        .collect();
    // The nearest of each thing.
    gaps.sort_by(|a, b| {
        let key = a.placement.cmp(&b.placement);
        key.then(a.gap_mm.total_cmp(&b.gap_mm))
    });
    gaps.dedup_by_key(|g| g.placement);
    gaps
}

/// Off an edge, a post or a thermocouple: each thing by what it lacks.
pub(super) fn off(fixer: &Fixer, finding: &Finding) -> Found {
    let facts = &fixer.facts;
    let ids = placements(finding);
    let to: fn(&Neighbour) -> bool = match finding.check {
        "part-near-setter-edge" | "part-over-setter-edge" => |n| *n == Neighbour::SetterEdge,
        "part-near-thermocouple" => |n| matches!(n, Neighbour::Sensor(_)),
        _ => |n| matches!(n, Neighbour::Post(_)),
    };
    let wanted = |id: PlacementId| match finding.check {
        "part-near-setter-edge" | "part-over-setter-edge" => {
            facts.least_limits("edge-margin").of(id).map(|l| l.value)
        }
        "part-near-thermocouple" => {
            let limits = facts.least_limits("sensor-clearance-min");
            limits.of(id).map(|l| l.value)
        }
        _ => facts.gap_limits().of(id).map(|l| l.value),
    };
    let gaps = gaps(fixer, &ids, to);
    let lacks = |gap: &ItemGap| Some(wanted(gap.placement)? - gap.gap_mm);
    shifted(fixer, &gaps, lacks, say::move_off)
}

/// Pieces of a finding's part that reach out of the work zone, with by how much.
pub(super) fn outside(fixer: &Fixer, finding: &Finding) -> Vec<ItemGap> {
    let part = finding.subjects.iter().find_map(|s| match s {
        Subject::Part(id) => Some(*id),
        _ => None,
    });
    let plan = fixer.plan();
    let mine = plan.placements().filter(|(_, p)| p.item.part() == part);
    let ids: Vec<PlacementId> = mine.map(|(_, p)| p.id).collect();
    let mut gaps = gaps(fixer, &ids, |n| *n == Neighbour::WorkZone);
    gaps.retain(|g| g.gap_mm < 0.0);
    gaps
}

/// Into the work zone, all pieces of the part that reach out of it.
pub(super) fn into_work_zone(fixer: &Fixer, finding: &Finding) -> Found {
    let gaps = outside(fixer, finding);
    shifted(fixer, &gaps, |gap| Some(-gap.gap_mm), say::into_work_zone)
}

/// Each thing moved by what it lacks: towards the middle along x, along y or both, away from what
/// it is near, or by more where that is not enough.
fn shifted(
    fixer: &Fixer,
    gaps: &[ItemGap],
    lacks: impl Fn(&ItemGap) -> Option<f64>,
    label: fn(usize, &str) -> String,
) -> Found {
    let plan = fixer.plan();
    if gaps.is_empty() {
        return Err(say::no_way());
    }
    let locked = |g: &ItemGap| plan.placement(g.placement).is_some_and(|(_, p)| p.locked);
    if gaps.iter().any(locked) {
        return Err(say::locked());
    }
    let mut candidates = Vec::new();
    for more in [1.0, 1.5] {
        for course in [Course::X, Course::Y, Course::Both, Course::Away] {
            let mut moves = Vec::new();
            let mut farthest: f64 = 0.0;
            for gap in gaps {
                let (Some((level, p)), Some(mm)) = (plan.placement(gap.placement), lacks(gap))
                else {
                    continue;
                };
                let mm = up((mm.max(0.0) + 0.05) * more);
                let unit = course.unit(fixer, level, p, gap);
                let far = libm::hypot(unit[0], unit[1]) * mm;
                if far > 0.0 {
                    farthest = farthest.max(far);
                    moves.push(moved(level, p, [unit[0] * mm, unit[1] * mm]));
                }
            }
            if moves.len() == gaps.len() && farthest <= FARTHEST_MM {
                let words = label(moves.len(), &shown(farthest));
                candidates.push(Candidate::one(words, Edit::MovePlacements(moves)));
            }
        }
    }
    Ok(candidates)
}

/// Which way things are moved.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Course {
    X,
    Y,
    Both,
    Away,
}

impl Course {
    fn unit(self, fixer: &Fixer, level: &Level, p: &Placement, gap: &ItemGap) -> [f64; 2] {
        // The middle of the furnace for the work zone, of the setter for the rest.
        let stack = fixer
            .plan()
            .level(level.id)
            .map_or([0.0; 2], |(s, _)| s.at_mm);
        let at = if gap.to == Neighbour::WorkZone {
            [p.at_mm[0] + stack[0], p.at_mm[1] + stack[1]]
        } else {
            p.at_mm
        };
        let inward = |v: f64| match v {
            v if v > 0.0 => -1.0,
            v if v < 0.0 => 1.0,
            _ => 0.0,
        };
        match self {
            Course::X => [inward(at[0]), 0.0],
            Course::Y => [0.0, inward(at[1])],
            Course::Both => [inward(at[0]), inward(at[1])],
            Course::Away => away(fixer, level, p, stack, gap),
        }
    }
}

fn away(fixer: &Fixer, level: &Level, p: &Placement, stack: [f64; 2], gap: &ItemGap) -> [f64; 2] {
    let from = match &gap.to {
        Neighbour::Post(i) => post(fixer.plan(), level, *i),
        Neighbour::Sensor(id) => {
            let sensors = fixer.facts.furnace.map(|f| &f.sensors);
            let sensor = sensors.and_then(|all| all.iter().find(|s| s.id == *id));
            let at = sensor.and_then(|s| s.at_mm);
            at.map(|[x, y, _]| [x - stack[0], y - stack[1]])
        }
        _ => None,
    };
    let Some(from) = from else {
        return [0.0; 2];
    };
    let (x, y) = (p.at_mm[0] - from[0], p.at_mm[1] - from[1]);
    let far = libm::hypot(x, y);
    if far > 1e-9 {
        [x / far, y / far]
    } else {
        [0.0; 2]
    }
}

/// A post that stands on a level: one of those that carry the next.
fn post(plan: &Plan, level: &Level, index: usize) -> Option<[f64; 2]> {
    let (stack, _) = plan.level(level.id)?;
    let here = stack.levels.iter().position(|l| l.id == level.id)?;
    match &stack.levels.get(here + 1)?.carrier {
        crate::load::Carrier::Posts { at_mm, .. } => at_mm.get(index).copied(),
        _ => None,
    }
}
