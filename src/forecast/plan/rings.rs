//! Where things stand on a setter: rings of equal area, and what a stack sees of the wall.

use crate::catalogue::SetterShape;
use crate::forecast::inputs::PlanShape;
use crate::geometry::P2;
use crate::geometry::outline::perimeter as way_round;
use crate::geometry::{Outline, Pose};
use crate::load::Stack;

/// Points along each side of a body's box by which it is spread over the rings.
const POINTS: usize = 16;
/// Points along a perimeter by which the exposed share is taken.
const RAYS: usize = 360;

/// What stands for a polygon is a disc where area over the square of the perimeter comes as near
/// to a disc's (assumed: more than a regular pentagon's 0.865), else a rectangle.
const ROUND: f64 = 0.87;

/// Plan of a setter in m, and where its middle lies on the setter, mm. For a polygon stands a disc,
/// or a rectangle with the sides of its box to each other, of its area, about its centroid.
pub(super) fn plan_shape(shape: &SetterShape) -> (PlanShape, P2) {
    let plan = match *shape {
        SetterShape::Rectangle { width_mm, depth_mm } => PlanShape::Rectangle {
            width_m: width_mm * 1e-3,
            depth_m: depth_mm * 1e-3,
        },
        SetterShape::Disc { diameter_mm } => PlanShape::Disc {
            radius_m: diameter_mm * 0.5e-3,
        },
        SetterShape::Polygon { ref corners_mm } => {
            let area_m2 = shape.area_mm2() * 1e-6;
            let around_m = way_round(corners_mm) * 1e-3;
            if 4.0 * std::f64::consts::PI * area_m2 > ROUND * around_m * around_m {
                PlanShape::Disc {
                    radius_m: libm::sqrt(area_m2 / std::f64::consts::PI),
                }
            } else {
                let [wide, deep] = shape.size_mm();
                PlanShape::Rectangle {
                    width_m: libm::sqrt(area_m2 * wide / deep),
                    depth_m: libm::sqrt(area_m2 * deep / wide),
                }
            }
        }
    };
    (plan, shape.centroid_mm())
}

/// How far out a place is, 0 in the centre, 1 at the edge; mm from the centre.
pub(super) fn out(shape: PlanShape, at_mm: [f64; 2]) -> f64 {
    let [x, y] = at_mm.map(|c| c * 1e-3);
    match shape {
        PlanShape::Rectangle { width_m, depth_m } => {
            (2.0 * x.abs() / width_m).max(2.0 * y.abs() / depth_m)
        }
        PlanShape::Disc { radius_m } => libm::hypot(x, y) / radius_m,
    }
}

/// Share of a body in each of the rings, centre first.
pub(super) fn spread(shape: PlanShape, outline: &Outline, pose: &Pose, zones: usize) -> Vec<f64> {
    let mut shares = vec![0.0; zones];
    let [low, high] = outline.bounds().unwrap_or([[0.0; 2]; 2]);
    let at = |axis: usize, i: usize| {
        low[axis] + (high[axis] - low[axis]) * (i as f64 + 0.5) / POINTS as f64
    };
    let each = 1.0 / (POINTS * POINTS) as f64;
    // A pose is linear: three points of it are all of it.
    let [o, x, y] = [[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]].map(|p| pose.apply(p));
    let placed = |p: [f64; 2]| [0, 1].map(|k| o[k] + (x[k] - o[k]) * p[0] + (y[k] - o[k]) * p[1]);
    for i in 0..POINTS {
        for j in 0..POINTS {
            let m = out(shape, placed([at(0, i), at(1, j)]));
            let ring = (m * m * zones as f64).clamp(0.0, zones as f64 - 1.0) as usize;
            if let Some(share) = shares.get_mut(ring) {
                *share += each;
            }
        }
    }
    shares
}

/// Something beside a stack: its plan, where it stands, and how high, mm.
pub(super) struct Beside<'a> {
    /// The stack.
    pub(super) stack: &'a Stack,
    /// Plan of its largest setter.
    pub(super) shape: PlanShape,
    /// Where its middle lies from the stack's, mm.
    pub(super) middle_mm: P2,
    /// Height of its top level above the hearth, mm.
    pub(super) high_mm: f64,
}

/// Share of a stack's perimeter that faces the wall and no neighbour nearer than it is high.
pub(super) fn exposed(own: usize, all: &[Beside]) -> f64 {
    let Some(me) = all.get(own) else { return 1.0 };
    let seen = perimeter(me.shape)
        .into_iter()
        .filter(|(from, way)| {
            !all.iter().enumerate().any(|(i, other)| {
                let middle = |b: &Beside, k: usize| b.stack.at_mm[k] + b.middle_mm[k];
                let at = [0, 1].map(|k| middle(me, k) + from[k] - middle(other, k));
                i != own && distance_mm(other.shape, at, *way).is_some_and(|d| d < other.high_mm)
            })
        })
        .count();
    seen as f64 / perimeter(me.shape).len() as f64
}

/// Points on the perimeter about the centre, mm, evenly, with the way out of it.
fn perimeter(shape: PlanShape) -> Vec<([f64; 2], [f64; 2])> {
    match shape {
        PlanShape::Disc { radius_m } => (0..RAYS)
            .map(|i| {
                let a = (i as f64 + 0.5) / RAYS as f64 * 2.0 * std::f64::consts::PI;
                let way = [libm::cos(a), libm::sin(a)];
                (way.map(|c| c * radius_m * 1e3), way)
            })
            .collect(),
        PlanShape::Rectangle { width_m, depth_m } => {
            let (w, d) = (width_m * 1e3, depth_m * 1e3);
            (0..RAYS)
                .map(|i| {
                    let s = (i as f64 + 0.5) / RAYS as f64 * 2.0 * (w + d);
                    if s < w {
                        ([s - w / 2.0, -d / 2.0], [0.0, -1.0])
                    } else if s < w + d {
                        ([w / 2.0, s - w - d / 2.0], [1.0, 0.0])
                    } else if s < 2.0 * w + d {
                        ([s - w - d - w / 2.0, d / 2.0], [0.0, 1.0])
                    } else {
                        ([-w / 2.0, s - 2.0 * w - d - d / 2.0], [-1.0, 0.0])
                    }
                })
                .collect()
        }
    }
}

/// How far a ray goes until it meets a shape about the origin, mm; none where it passes by.
fn distance_mm(shape: PlanShape, from: [f64; 2], way: [f64; 2]) -> Option<f64> {
    match shape {
        PlanShape::Disc { radius_m } => {
            let r = radius_m * 1e3;
            let along = -(from[0] * way[0] + from[1] * way[1]);
            let off2 = from[0] * from[0] + from[1] * from[1] - along * along;
            (along > 0.0 && off2 < r * r).then(|| (along - (r * r - off2).sqrt()).max(0.0))
        }
        PlanShape::Rectangle { width_m, depth_m } => {
            let half = [width_m * 500.0, depth_m * 500.0];
            let (mut enter, mut leave) = (f64::NEG_INFINITY, f64::INFINITY);
            for k in [0, 1] {
                if way[k].abs() < 1e-12 {
                    if from[k].abs() > half[k] {
                        return None;
                    }
                    continue;
                }
                let (a, b) = ((-half[k] - from[k]) / way[k], (half[k] - from[k]) / way[k]);
                enter = enter.max(a.min(b));
                leave = leave.min(a.max(b));
            }
            (leave > 0.0 && enter <= leave).then(|| enter.max(0.0))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::load::StackId;

    fn square(at_mm: [f64; 2]) -> Stack {
        Stack {
            id: StackId(1),
            at_mm,
            levels: Vec::new(),
        }
    }

    const PLATE: PlanShape = PlanShape::Rectangle {
        width_m: 0.1,
        depth_m: 0.1,
    };

    fn share(others: &[Stack], high_mm: f64) -> f64 {
        let me = square([0.0, 0.0]);
        let all: Vec<Beside> = std::iter::once(&me)
            .chain(others)
            .map(|stack| Beside {
                stack,
                shape: PLATE,
                middle_mm: [0.0; 2],
                high_mm,
            })
            .collect();
        exposed(0, &all)
    }

    #[test]
    fn a_neighbour_hides_a_side_while_it_is_nearer_than_it_is_high() {
        assert_eq!(share(&[], 200.0), 1.0);
        assert_eq!(share(&[square([110.0, 0.0])], 200.0), 0.75);
        assert_eq!(
            share(&[square([110.0, 0.0]), square([0.0, -110.0])], 200.0),
            0.5
        );
        assert_eq!(share(&[square([310.0, 0.0])], 200.0), 1.0);
        // Half a plate aside hides half a side.
        assert!((share(&[square([110.0, 50.0])], 200.0) - 0.875).abs() < 0.01);
    }

    #[test]
    fn rings_have_equal_areas() {
        let whole = Outline::rectangle(100.0, 100.0);
        // A plate of its own size lies in all rings; the points tell quarters roughly.
        let shares = spread(PLATE, &whole, &Pose::default(), 4);
        assert!((shares.iter().sum::<f64>() - 1.0).abs() < 1e-9);
        assert!(shares.iter().all(|s| (s - 0.25).abs() < 0.1), "{shares:?}");
        let small = Outline::rectangle(5.0, 5.0);
        assert_eq!(
            spread(PLATE, &small, &Pose::default(), 4),
            [1.0, 0.0, 0.0, 0.0]
        );
        assert_eq!(
            spread(PLATE, &small, &Pose::at(46.0, 0.0), 4),
            [0.0, 0.0, 0.0, 1.0]
        );
        // Beyond the edge it still counts, in the outermost.
        assert_eq!(
            spread(PLATE, &small, &Pose::at(90.0, 0.0), 4),
            [0.0, 0.0, 0.0, 1.0]
        );
    }
}
