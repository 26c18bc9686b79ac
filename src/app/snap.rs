//! Snapping a drag: to a grid, to the edge margin of the setter, to edges and anchors of others.

use super::state::Snap;
use crate::geometry::Outline;

/// A box in plan with its anchor, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Boxed {
    /// Lowest corner.
    pub low: [f64; 2],
    /// Highest corner.
    pub high: [f64; 2],
    /// Anchor.
    pub anchor: [f64; 2],
}

impl Boxed {
    /// The box around both, with the anchor of the first.
    pub fn and(self, other: Boxed) -> Boxed {
        let each = |pick: fn(f64, f64) -> f64, a: [f64; 2], b: [f64; 2]| {
            [pick(a[0], b[0]), pick(a[1], b[1])]
        };
        Boxed {
            low: each(f64::min, self.low, other.low),
            high: each(f64::max, self.high, other.high),
            anchor: self.anchor,
        }
    }
}

/// The usable face of a setter less the edge margin.
#[derive(Clone, Debug, PartialEq)]
pub enum Face {
    /// Half sizes, mm.
    Box([f64; 2]),
    /// Radius, mm.
    Disc(f64),
    /// An outline; its sides along the axes are snapped to.
    Polygon(Outline),
}

/// Shifts along an axis that bring a box flush with those sides of an outline that run across the
/// axis beside the box.
fn onto_sides(outline: &Outline, k: usize, low: [f64; 2], high: [f64; 2]) -> Vec<f64> {
    let mut shifts = Vec::new();
    for ring in outline.rings() {
        for (a, b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
            let along = b[1 - k] - a[1 - k];
            let beside =
                a[1 - k].min(b[1 - k]) < high[1 - k] && low[1 - k] < a[1 - k].max(b[1 - k]);
            if (a[k] - b[k]).abs() > 1e-5 || !beside {
                continue;
            }
            // The filled side is on the left: of a side that runs up it is where x is less.
            let less = (k == 0) == (along > 0.0);
            shifts.push(a[k] - if less { high[k] } else { low[k] });
        }
    }
    shifts
}

/// What there is to snap to.
#[derive(Clone, Debug, Default)]
pub struct Targets {
    /// The face of the setter, where it is known.
    pub face: Option<Face>,
    /// Other things on the level.
    pub others: Vec<Boxed>,
}

/// A drag of `moving` by `delta`, snapped where something lies within `reach_mm`.
pub fn snapped(
    snap: &Snap,
    moving: &Boxed,
    delta: [f64; 2],
    targets: &Targets,
    reach_mm: f64,
) -> [f64; 2] {
    if !snap.on {
        return delta;
    }
    if snap.edge
        && let Some(Face::Disc(onto)) = &targets.face
    {
        // Outwards or inwards until the farthest corner of the box lies on the circle.
        let far = |by: [f64; 2]| {
            let corner = |k: usize| {
                let (low, high) = (moving.low[k] + by[k], moving.high[k] + by[k]);
                if low.abs() > high.abs() { low } else { high }
            };
            [corner(0), corner(1)]
        };
        let [x, y] = far(delta);
        let reach = libm::hypot(x, y);
        if reach > 0.0 && (onto - reach).abs() <= reach_mm {
            let by = onto / reach - 1.0;
            return [delta[0] + x * by, delta[1] + y * by];
        }
    }
    std::array::from_fn(|k| {
        let at = |v: &[f64; 2]| v.get(k).copied().unwrap_or(0.0);
        let by = at(&delta);
        let (low, high, anchor) = (
            at(&moving.low) + by,
            at(&moving.high) + by,
            at(&moving.anchor) + by,
        );
        let mut best: Option<f64> = None;
        let mut offer = |shift: f64| {
            if shift.abs() <= reach_mm && best.is_none_or(|b| shift.abs() < b.abs()) {
                best = Some(shift);
            }
        };
        if snap.edge
            && let Some(Face::Box(half)) = &targets.face
        {
            offer(-at(half) - low);
            offer(at(half) - high);
        }
        if snap.edge
            && let Some(Face::Polygon(outline)) = &targets.face
        {
            let by = |v: [f64; 2]| [v[0] + delta[0], v[1] + delta[1]];
            let all = onto_sides(outline, k, by(moving.low), by(moving.high));
            all.into_iter().for_each(&mut offer);
        }
        if snap.parts {
            for other in &targets.others {
                offer(at(&other.anchor) - anchor);
                offer(at(&other.low) - low);
                offer(at(&other.high) - high);
            }
        }
        match best {
            Some(shift) => by + shift,
            // The grid is everywhere, so it comes last; it holds for the anchor.
            None if snap.grid_mm > 0.0 => {
                (anchor / snap.grid_mm).round() * snap.grid_mm - at(&moving.anchor)
            }
            None => by,
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const MOVING: Boxed = Boxed {
        low: [-5.0, -5.0],
        high: [5.0, 5.0],
        anchor: [0.0, 0.0],
    };

    fn snap() -> Snap {
        Snap {
            on: true,
            grid_mm: 2.0,
            edge: true,
            parts: true,
        }
    }

    #[test]
    fn the_grid_holds_for_the_anchor() {
        let to = snapped(&snap(), &MOVING, [3.2, -0.7], &Targets::default(), 1.0);
        assert_eq!(to, [4.0, 0.0]);
    }

    #[test]
    fn an_edge_in_reach_wins_over_the_grid() {
        let targets = Targets {
            face: Some(Face::Box([100.0, 100.0])),
            ..Targets::default()
        };
        let to = snapped(&snap(), &MOVING, [94.5, 0.1], &targets, 1.0);
        assert_eq!(to, [95.0, 0.0]);
    }

    #[test]
    fn a_round_edge_takes_the_farthest_corner() {
        let targets = Targets {
            face: Some(Face::Disc(100.0)),
            ..Targets::default()
        };
        // The corner (35 + 5, 45 + 5) · 1.56 lies near the circle; it ends on it.
        let to = snapped(&snap(), &MOVING, [57.0, 73.0], &targets, 1.0);
        let corner = libm::hypot(to[0] + 5.0, to[1] + 5.0);
        assert!((corner - 100.0).abs() < 1e-9, "{to:?}");
        // Out of reach it is left to the grid.
        let to = snapped(&snap(), &MOVING, [3.2, -0.7], &targets, 1.0);
        assert_eq!(to, [4.0, 0.0]);
    }

    #[test]
    fn others_line_up_by_anchor_or_edge() {
        let other = Boxed {
            low: [40.0, 20.0],
            high: [60.0, 40.0],
            anchor: [50.0, 30.0],
        };
        let targets = Targets {
            others: vec![other],
            ..Targets::default()
        };
        let to = snapped(&snap(), &MOVING, [50.6, 25.3], &targets, 1.0);
        assert_eq!(to, [50.0, 25.0]);
    }

    #[test]
    fn off_is_off() {
        let off = Snap {
            on: false,
            ..snap()
        };
        assert_eq!(
            snapped(&off, &MOVING, [3.2, -0.7], &Targets::default(), 1.0),
            [3.2, -0.7]
        );
    }

    #[test]
    fn beside_a_notch_the_side_of_the_notch_is_snapped_to() {
        let ell = [
            [-50.0, -50.0],
            [50.0, -50.0],
            [50.0, 10.0],
            [10.0, 10.0],
            [10.0, 50.0],
            [-50.0, 50.0],
        ];
        let targets = Targets {
            face: Some(Face::Polygon(Outline::polygon(&ell).unwrap())),
            others: Vec::new(),
        };
        let to = |delta| snapped(&snap(), &MOVING, delta, &targets, 1.0);
        // In the arm at the back, whose right side is at 10, and in the one at the front.
        assert_eq!(to([4.5, 30.0]), [5.0, 30.0]);
        assert_eq!(to([44.5, -44.2]), [45.0, -45.0]);
        assert_eq!(to([30.0, 4.6]), [30.0, 5.0]);
        // The side of the notch is none where the box is not beside it.
        assert_eq!(to([4.6, -20.0]), [4.0, -20.0]);
    }
}
