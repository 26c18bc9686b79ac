//! How much of the opening over each setter is free for the gas, cold and green.

use super::heights::{CarrierFault, LevelHeight, floor_and_roof};
use super::plan::{Carrier, Level, LevelId, Stack};
use super::sized::{Sizes, lift_mm, pose_on_setter};
use crate::catalogue::{Catalogue, Furnace};
use crate::geometry::PlacedBody;
use crate::part::SizeStage;

/// Free shares of the opening between a setter's face and what is above it, as wide as the plate.
/// What stands behind something hides behind it; below an overhang nothing is free.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GasPath {
    /// Level.
    pub level: LevelId,
    /// Free share seen from the door.
    pub from_door: f64,
    /// Free share seen from the side.
    pub from_side: f64,
}

/// What hides a stretch of an opening up to a height, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Hidden {
    from: f64,
    to: f64,
    top: f64,
}

/// Gas paths of the levels of a stack on which something stands, bottom first. A level without a
/// height, or under one, is left out; what has no body hides nothing. Both are the clearances' to
/// tell.
pub fn gas_paths(
    stack: &Stack,
    heights: &[Result<LevelHeight, CarrierFault>],
    catalogue: &Catalogue,
    furnace: &Furnace,
    sizes: &Sizes,
) -> Vec<GasPath> {
    let (_, roof) = floor_and_roof(&furnace.hot_zone);
    let mut found = Vec::new();
    for (i, level) in stack.levels.iter().enumerate() {
        let stands = level.placements.iter().any(|p| !p.item.is_tip());
        let (true, Some(Ok(height)), Some(setter)) =
            (stands, heights.get(i), catalogue.setter(&level.setter))
        else {
            continue;
        };
        let above = stack.levels.get(i + 1);
        let top = match heights.get(i + 1) {
            None => roof,
            Some(Ok(next)) => next.underside_mm,
            Some(Err(_)) => continue,
        };
        let room = top - height.face_mm;
        if room <= 0.0 {
            continue;
        }
        let [low, high] = setter.shape.bounds_mm();
        let share = |axis: usize| {
            let sides = (low[axis], high[axis]);
            let mut hidden = things(level, axis, catalogue, sizes);
            hidden.extend(above.into_iter().flat_map(|a| posts(a, axis, catalogue)));
            let rim = height.rim_mm - height.face_mm;
            hidden.push(Hidden {
                from: sides.0,
                to: sides.1,
                top: rim,
            });
            1.0 - hidden_mm2(hidden, sides, room) / ((sides.1 - sides.0) * room)
        };
        found.push(GasPath {
            level: level.id,
            from_door: share(0),
            from_side: share(1),
        });
    }
    found
}

fn things(level: &Level, axis: usize, catalogue: &Catalogue, sizes: &Sizes) -> Vec<Hidden> {
    let mut hidden = Vec::new();
    for placement in level.placements.iter().filter(|p| !p.item.is_tip()) {
        let Some(sized) = sizes.of(&placement.item, catalogue) else {
            continue;
        };
        let pose = pose_on_setter(placement, lift_mm(placement, catalogue), 1.0);
        let placed = PlacedBody::new(&sized.at(SizeStage::Green).body, &pose);
        for (_, top, outline) in placed.outlines() {
            if let Some([low, high]) = outline.bounds() {
                let (from, to) = (low[axis], high[axis]);
                hidden.push(Hidden { from, to, top });
            }
        }
    }
    hidden
}

/// Posts that stand on the level and carry the one above it.
fn posts(above: &Level, axis: usize, catalogue: &Catalogue) -> Vec<Hidden> {
    let Carrier::Posts { post, at_mm } = &above.carrier else {
        return Vec::new();
    };
    let Some(post) = catalogue.post(post) else {
        return Vec::new();
    };
    let half = post.diameter_mm / 2.0;
    let at = at_mm.iter().map(|at| at[axis]);
    at.map(|at| Hidden {
        from: at - half,
        to: at + half,
        top: post.length_mm,
    })
    .collect()
}

/// Area that is hidden of an opening from side to side and from 0 to `room`, mm²: the highest
/// first, of each what the higher ones leave.
fn hidden_mm2(mut all: Vec<Hidden>, sides: (f64, f64), room: f64) -> f64 {
    all.sort_by(|a, b| {
        b.top
            .total_cmp(&a.top)
            .then(a.from.total_cmp(&b.from))
            .then(a.to.total_cmp(&b.to))
    });
    let mut covered: Vec<(f64, f64)> = Vec::new();
    let mut mm2 = 0.0;
    for hidden in all {
        let (from, to) = (hidden.from.max(sides.0), hidden.to.min(sides.1));
        let top = hidden.top.min(room);
        if from >= to || top <= 0.0 {
            continue;
        }
        let (mut new, mut joined) = (to - from, (from, to));
        covered.retain(|&(a, b)| {
            let apart = b < from || a > to;
            if !apart {
                new -= (b.min(to) - a.max(from)).max(0.0);
                joined = (joined.0.min(a), joined.1.max(b));
            }
            apart
        });
        covered.push(joined);
        mm2 += new.max(0.0) * top;
    }
    mm2
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hidden(all: &[[f64; 3]]) -> f64 {
        let all = all.iter().map(|&[from, to, top]| Hidden { from, to, top });
        hidden_mm2(all.collect(), (-10.0, 10.0), 8.0)
    }

    #[test]
    fn what_stands_behind_hides_nothing_more() {
        assert_eq!(hidden(&[]), 0.0);
        assert_eq!(hidden(&[[-5.0, 5.0, 2.0]]), 20.0);
        // Behind it, as high, and lower, and higher in the middle of it.
        assert_eq!(
            hidden(&[[-5.0, 5.0, 2.0], [-5.0, 5.0, 2.0], [0.0, 1.0, 1.0]]),
            20.0
        );
        assert_eq!(hidden(&[[-5.0, 5.0, 2.0], [-1.0, 1.0, 4.0]]), 24.0);
        // Two that overlap, one that joins them.
        assert_eq!(
            hidden(&[[-6.0, 0.0, 3.0], [-1.0, 4.0, 3.0], [-8.0, 8.0, 1.0]]),
            36.0
        );
        // Beyond the plate, and above what is over it.
        assert_eq!(hidden(&[[5.0, 50.0, 80.0]]), 40.0);
    }
}
