//! Plan outlines: disjoint shapes with holes, and what is made of and measured on them.

use super::pose::cos_sin_deg;
use super::{distance, overlay};
use super::{pose::Pose, simplify};
use crate::text::geometry;

/// A plan point `[x, y]`, mm.
pub type P2 = [f64; 2];

/// How far a polygon drawn for a circle may stand outside it, mm. Assumed: a tenth of the finest
/// clearance anybody states.
pub const CIRCLE_TOLERANCE_MM: f64 = 0.016;

/// Corners that turn by less than 120° are mitred, up to twice as far as the sides are moved; beyond
/// that a mitre would be a spike.
const MITRE_LEAST: f64 = -0.5;

/// One connected shape.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Shape {
    /// Outer ring, counter-clockwise, the first point not repeated at the end, mm.
    pub outer: Vec<P2>,
    /// Rings of the holes, clockwise, mm.
    pub holes: Vec<Vec<P2>>,
}

/// A filled plan region: shapes that do not overlap.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Outline {
    /// The shapes; none is an empty region.
    pub shapes: Vec<Shape>,
}

/// Why a typed outline is refused. Indices count from 0 in the list as typed.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum OutlineFault {
    /// Fewer than three distinct points.
    #[error("{}", geometry::too_few_points(*points))]
    TooFewPoints {
        /// Distinct points found.
        points: usize,
    },
    /// A coordinate is not a finite number within 1 km.
    #[error("{}", geometry::point_not_finite(*index))]
    NotFinite {
        /// Index of the point.
        index: usize,
    },
    /// Two edges cross, touch, or fold back on each other.
    #[error("{}", geometry::self_crossing(*first, *second))]
    SelfCrossing {
        /// Index of the first edge's first point.
        first: usize,
        /// Index of the second edge's first point.
        second: usize,
    },
    /// The points enclose no area.
    #[error("{}", geometry::no_area())]
    ZeroArea,
}

/// Twice-halved shoelace sum: area of a ring, positive counter-clockwise, mm². Taken about the
/// first point, so that it stays exact far from the origin.
pub fn signed_area(ring: &[P2]) -> f64 {
    let Some(&o) = ring.first() else { return 0.0 };
    0.5 * edges(ring)
        .map(|(a, b)| (a[0] - o[0]) * (b[1] - o[1]) - (b[0] - o[0]) * (a[1] - o[1]))
        .sum::<f64>()
}

/// Length of the way round a ring, mm.
pub fn perimeter(ring: &[P2]) -> f64 {
    let next = ring.iter().cycle().skip(1);
    ring.iter()
        .zip(next)
        .map(|(a, b)| libm::hypot(b[0] - a[0], b[1] - a[1]))
        .sum()
}

/// The edges of a ring, closing one included.
pub(super) fn edges(ring: &[P2]) -> impl Iterator<Item = (P2, P2)> + '_ {
    let last = ring.last().copied();
    ring.iter().scan(last, |previous, &point| {
        previous.replace(point).map(|from| (from, point))
    })
}

/// Positive where `a → b → c` turns left.
pub(super) fn turn(a: P2, b: P2, c: P2) -> f64 {
    (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
}

impl Outline {
    /// A rectangle centred on the origin, `width_mm` along x and `depth_mm` along y.
    pub fn rectangle(width_mm: f64, depth_mm: f64) -> Outline {
        let (w, d) = (0.5 * width_mm, 0.5 * depth_mm);
        Outline::single(vec![[-w, -d], [w, -d], [w, d], [-w, d]])
    }

    /// A disc about the origin as a polygon drawn around the circle, nowhere more than
    /// [`CIRCLE_TOLERANCE_MM`] outside it; its bounds are the circle's own.
    pub fn disc(diameter_mm: f64) -> Outline {
        Outline::ring_within(diameter_mm, None, CIRCLE_TOLERANCE_MM)
    }

    /// A ring about the origin: outside as [`Outline::disc`], the bore drawn inside its circle, so
    /// that the region is never smaller than the ring.
    pub fn ring(outer_diameter_mm: f64, inner_diameter_mm: f64) -> Outline {
        let bore = Some(inner_diameter_mm);
        Outline::ring_within(outer_diameter_mm, bore, CIRCLE_TOLERANCE_MM)
    }

    /// [`Outline::ring`], or [`Outline::disc`] without a bore, within another tolerance.
    pub(super) fn ring_within(outer_mm: f64, bore_mm: Option<f64>, tolerance_mm: f64) -> Outline {
        let hole = |diameter_mm: f64| {
            let mut bore = circle(0.5 * diameter_mm, false, tolerance_mm);
            bore.reverse();
            bore
        };
        Outline {
            shapes: vec![Shape {
                outer: circle(0.5 * outer_mm, true, tolerance_mm),
                holes: bore_mm.map(hole).into_iter().collect(),
            }],
        }
    }

    /// An outline as typed, in either sense, the first point repeated at the end or not. Points
    /// equal to the one before are taken once.
    ///
    /// # Errors
    /// See [`OutlineFault`].
    pub fn polygon(points: &[P2]) -> Result<Outline, OutlineFault> {
        if let Some(index) = points
            .iter()
            .position(|p| !p.iter().all(|c| c.abs() <= overlay::REACH_MM))
        {
            return Err(OutlineFault::NotFinite { index });
        }
        let mut kept: Vec<(usize, P2)> = points.iter().copied().enumerate().collect();
        kept.dedup_by(|b, a| a.1 == b.1);
        while kept.len() > 1 && kept.first().map(|p| p.1) == kept.last().map(|p| p.1) {
            kept.pop();
        }
        let count = kept.len();
        if count < 3 {
            return Err(OutlineFault::TooFewPoints { points: count });
        }
        let ring: Vec<P2> = kept.iter().map(|p| p.1).collect();
        let extent = ring
            .iter()
            .flat_map(|p| [(p[0] - ring[0][0]).abs(), (p[1] - ring[0][1]).abs()])
            .fold(0.0, f64::max);
        let on_one_line =
            (2..count).all(|i| turn(ring[0], ring[1], ring[i]).abs() <= 1e-12 * extent * extent);
        if on_one_line {
            return Err(OutlineFault::ZeroArea);
        }
        for first in 0..count {
            for second in first + 1..count {
                if edges_meet(&ring, first, second) {
                    return Err(OutlineFault::SelfCrossing {
                        first: kept[first].0,
                        second: kept[second].0,
                    });
                }
            }
        }
        let area = signed_area(&ring);
        if area.abs() <= 1e-12 * extent * extent {
            return Err(OutlineFault::ZeroArea);
        }
        Ok(Outline::single(if area > 0.0 {
            ring
        } else {
            ring.into_iter().rev().collect()
        }))
    }

    /// One ring, counter-clockwise, without holes; nothing is checked.
    pub(crate) fn single(outer: Vec<P2>) -> Outline {
        Outline {
            shapes: vec![Shape {
                outer,
                holes: Vec::new(),
            }],
        }
    }

    /// Whether there is no shape.
    pub fn is_empty(&self) -> bool {
        self.shapes.is_empty()
    }

    /// Outer rings and holes, all with the filled side on the left.
    pub fn rings(&self) -> impl Iterator<Item = &[P2]> {
        overlay::rings(self)
    }

    /// Points of all rings.
    pub fn point_count(&self) -> usize {
        self.rings().map(<[P2]>::len).sum()
    }

    /// Filled area, mm².
    pub fn area(&self) -> f64 {
        self.rings().map(signed_area).sum()
    }

    /// Centroid of the filled area, mm; the origin for an empty region.
    pub fn centroid(&self) -> P2 {
        let Some([o, _]) = self.bounds() else {
            return [0.0; 2];
        };
        let (mut double, mut mx, mut my) = (0.0, 0.0, 0.0);
        for (a, b) in self.rings().flat_map(edges) {
            let (a, b) = ([a[0] - o[0], a[1] - o[1]], [b[0] - o[0], b[1] - o[1]]);
            let cross = a[0] * b[1] - b[0] * a[1];
            double += cross;
            mx += cross * (a[0] + b[0]);
            my += cross * (a[1] + b[1]);
        }
        if double == 0.0 {
            return o;
        }
        [o[0] + mx / (3.0 * double), o[1] + my / (3.0 * double)]
    }

    /// Lowest and highest corner of the bounding box, mm; `None` for an empty region.
    pub fn bounds(&self) -> Option<[P2; 2]> {
        let mut points = self.shapes.iter().flat_map(|s| s.outer.iter());
        let first = *points.next()?;
        Some(points.fold([first, first], |[lo, hi], p| {
            [
                [lo[0].min(p[0]), lo[1].min(p[1])],
                [hi[0].max(p[0]), hi[1].max(p[1])],
            ]
        }))
    }

    /// Whether a point lies in the region. A point on an edge may be counted either way.
    pub fn contains(&self, point: P2) -> bool {
        let mut inside = false;
        for (a, b) in self.rings().flat_map(edges) {
            if (a[1] > point[1]) != (b[1] > point[1]) {
                let left = turn(a, b, point) > 0.0;
                if left == (b[1] > a[1]) {
                    inside = !inside;
                }
            }
        }
        inside
    }

    /// Distance from a point to the edge, mm: positive inside, negative outside.
    pub fn margin_mm(&self, point: P2) -> f64 {
        let distance = distance::edge_distance(self, point);
        if self.contains(point) {
            distance
        } else {
            -distance
        }
    }

    /// What is left of the region `by_mm` and farther within its edge. Nothing of it is nearer:
    /// round an inward corner the arc is drawn on the far side of the circle, and rounding is on
    /// the same side. It may fall into several shapes, or be none.
    pub fn moved_in(&self, by_mm: f64) -> Outline {
        self.without_strip(by_mm, false)
    }

    /// The same less what a strip along the edge with square corners takes besides: what such a rim
    /// leaves, in whatever way its corners are made.
    pub fn within_rim(&self, by_mm: f64) -> Outline {
        self.without_strip(by_mm, true)
    }

    fn without_strip(&self, by_mm: f64, mitred: bool) -> Outline {
        if by_mm <= 0.0 {
            return self.clone();
        }
        let by_mm = by_mm + overlay::NOISE_MM;
        let mut taken = Vec::new();
        for ring in self.rings() {
            let inward = |(a, b): (P2, P2)| {
                let (x, y) = (b[0] - a[0], b[1] - a[1]);
                let length = libm::hypot(x, y);
                (length > 0.0).then(|| (a, b, [-y / length, x / length]))
            };
            let sides: Vec<(P2, P2, P2)> = edges(ring).filter_map(inward).collect();
            let before = sides.iter().cycle().skip(sides.len().saturating_sub(1));
            for (&(a, b, n), &(o, _, m)) in sides.iter().zip(before) {
                let off = |p: P2, n: P2, far: f64| [p[0] + n[0] * far, p[1] + n[1] * far];
                let strip = vec![a, b, off(b, n, by_mm), off(a, n, by_mm)];
                taken.push(Outline::single(strip));
                if turn(o, a, b) >= 0.0 {
                    continue;
                }
                let along = m[0] * n[0] + m[1] * n[1];
                taken.push(if mitred && along > MITRE_LEAST {
                    let tip = off(a, [m[0] + n[0], m[1] + n[1]], by_mm / (1.0 + along));
                    Outline::single(vec![a, off(a, n, by_mm), tip, off(a, m, by_mm)])
                } else {
                    Outline::disc(2.0 * by_mm).moved(a[0], a[1])
                });
            }
        }
        Outline::difference(self, &Outline::union(&taken))
    }

    /// Corners at which the edge turns away from the region: notches, and those of holes.
    pub fn inward_corners(&self) -> usize {
        let of = |ring: &[P2]| {
            let sides: Vec<(P2, P2)> = edges(ring).collect();
            let next = sides.iter().cycle().skip(1);
            let corners = sides.iter().zip(next);
            corners
                .filter(|((a, b), (_, c))| turn(*a, *b, *c) < 0.0)
                .count()
        };
        self.rings().map(of).sum()
    }

    /// Whether the region is one shape without an inward corner.
    pub fn is_convex(&self) -> bool {
        self.shapes.len() == 1 && self.inward_corners() == 0
    }

    /// Area on the side of a line along an axis where that coordinate is the larger, mm²; `axis` is
    /// 0 for x, 1 for y.
    pub fn area_beyond(&self, axis: usize, at_mm: f64) -> f64 {
        let beyond = |ring: &[P2]| {
            // Cut off at the line; what then runs along it encloses nothing.
            let mut cut = Vec::new();
            for (a, b) in edges(ring) {
                let (from, to) = (a[axis] - at_mm, b[axis] - at_mm);
                if (from > 0.0) != (to > 0.0) {
                    let t = from / (from - to);
                    cut.push([a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t]);
                }
                if to > 0.0 {
                    cut.push(b);
                }
            }
            signed_area(&cut)
        };
        self.rings().map(beyond).sum()
    }

    /// Convex hull of all points, counter-clockwise without points on its edges, mm. It is also
    /// the support polygon of a part standing on this footprint. Fewer than three points if the
    /// region has no extent.
    pub fn hull(&self) -> Vec<P2> {
        convex_hull(self.shapes.iter().flat_map(|s| s.outer.iter().copied()))
    }

    /// The region covered by any of the outlines. Points come out on a grid of 1e-6 mm.
    pub fn union(outlines: &[Outline]) -> Outline {
        overlay::fill_rings(outlines.iter().flat_map(overlay::rings))
    }

    /// The part of `a` that `b` does not cover. Points come out on a grid of 1e-6 mm.
    pub fn difference(a: &Outline, b: &Outline) -> Outline {
        overlay::difference(a, b)
    }

    /// Whether `fine` lies within this outline and is nowhere far from it: the area between them is
    /// no more than a strip of `tolerance_mm` along the rings.
    pub fn holds(&self, fine: &Outline, tolerance_mm: f64) -> bool {
        let along = |outline: &Outline| -> f64 {
            let edges = outline.rings().flat_map(edges);
            edges
                .map(|(a, b)| libm::hypot(b[0] - a[0], b[1] - a[1]))
                .sum()
        };
        Outline::difference(fine, self).area() <= 4e-6 * along(fine)
            && self.area() - fine.area() <= tolerance_mm * along(self)
    }

    fn mapped(&self, map: impl Fn(P2) -> P2, turned_over: bool) -> Outline {
        let ring = |points: &Vec<P2>| -> Vec<P2> {
            let mut points: Vec<P2> = points.iter().map(|p| map(*p)).collect();
            if turned_over {
                points.reverse();
            }
            points
        };
        Outline {
            shapes: self
                .shapes
                .iter()
                .map(|shape| Shape {
                    outer: ring(&shape.outer),
                    holes: shape.holes.iter().map(ring).collect(),
                })
                .collect(),
        }
    }

    /// Moved, mm.
    pub fn moved(&self, dx_mm: f64, dy_mm: f64) -> Outline {
        self.mapped(|p| [p[0] + dx_mm, p[1] + dy_mm], false)
    }

    /// Turned about the origin, degrees counter-clockwise; exact for quarter turns.
    pub fn rotated(&self, angle_deg: f64) -> Outline {
        let (cos, sin) = cos_sin_deg(angle_deg);
        self.mapped(
            |p| [cos * p[0] - sin * p[1], sin * p[0] + cos * p[1]],
            false,
        )
    }

    /// Scaled about the origin by non-zero factors; a negative one mirrors, and the rings are
    /// turned over so that outer rings stay counter-clockwise.
    pub fn scaled(&self, sx: f64, sy: f64) -> Outline {
        self.mapped(|p| [p[0] * sx, p[1] * sy], sx * sy < 0.0)
    }

    /// Mirrored about the y axis (x changes sign).
    pub fn mirrored(&self) -> Outline {
        self.scaled(-1.0, 1.0)
    }

    /// Turned and moved as a pose says.
    pub fn placed(&self, pose: &Pose) -> Outline {
        self.mapped(pose.applier(), false)
    }

    /// The same region with its holes filled.
    pub fn without_holes(&self) -> Outline {
        overlay::fill_rings(self.shapes.iter().map(|s| s.outer.as_slice()))
    }

    /// A region with fewer points that contains this one and reaches nowhere more than
    /// `tolerance_mm` beyond it. Returns the outline unchanged if nothing can be saved.
    pub fn simplify_outward(&self, tolerance_mm: f64) -> Outline {
        simplify::outward(self, tolerance_mm)
    }
}

/// Convex hull of points, counter-clockwise, points on its edges left out (Andrew's monotone
/// chain).
pub fn convex_hull(points: impl Iterator<Item = P2>) -> Vec<P2> {
    let mut points: Vec<P2> = points.collect();
    points.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    points.dedup();
    if points.len() < 3 {
        return points;
    }
    let half = |ordered: &mut dyn Iterator<Item = &P2>| {
        let mut chain: Vec<P2> = Vec::new();
        for &p in ordered {
            while let [.., a, b] = chain[..] {
                if turn(a, b, p) > 0.0 {
                    break;
                }
                chain.pop();
            }
            chain.push(p);
        }
        chain.pop();
        chain
    };
    let mut hull = half(&mut points.iter());
    hull.extend(half(&mut points.iter().rev()));
    hull
}

/// A polygon for a circle about the origin: around it or inside it, within a tolerance (none
/// finer than 4096 edges); a multiple of four edges, so that both axes are met squarely.
fn circle(radius_mm: f64, around: bool, tolerance_mm: f64) -> Vec<P2> {
    let radius = radius_mm.abs();
    let reach = |n: usize| radius / libm::cos(std::f64::consts::PI / n as f64);
    let mut n = 8;
    // The chord's height falls short of the tangent polygon's overshoot, so one test serves both.
    while reach(n) - radius > tolerance_mm && n < 4096 {
        n += 4;
    }
    let corner = if around { reach(n) } else { radius };
    (0..n)
        .map(|k| {
            let (cos, sin) = cos_sin_deg((k as f64 + 0.5) * 360.0 / n as f64);
            [corner * cos, corner * sin]
        })
        .collect()
}

/// Whether two edges of a ring meet elsewhere than in the point they share.
fn edges_meet(ring: &[P2], first: usize, second: usize) -> bool {
    let n = ring.len();
    let (a, b) = (ring[first], ring[(first + 1) % n]);
    let (c, d) = (ring[second], ring[(second + 1) % n]);
    let folds_back = |tip: P2, end: P2, other: P2| {
        turn(tip, end, other) == 0.0
            && (end[0] - tip[0]) * (other[0] - tip[0]) + (end[1] - tip[1]) * (other[1] - tip[1])
                > 0.0
    };
    if first + 1 == second {
        folds_back(b, a, d)
    } else if (second + 1) % n == first {
        folds_back(a, b, c)
    } else {
        segments_meet(a, b, c, d)
    }
}

/// Whether two segments share a point, ends included.
pub(super) fn segments_meet(a: P2, b: P2, c: P2, d: P2) -> bool {
    let apart = |k: usize| a[k].max(b[k]) < c[k].min(d[k]) || c[k].max(d[k]) < a[k].min(b[k]);
    if apart(0) || apart(1) {
        return false;
    }
    let (c_side, d_side) = (turn(a, b, c), turn(a, b, d));
    let (a_side, b_side) = (turn(c, d, a), turn(c, d, b));
    let split = |s: f64, t: f64| (s <= 0.0 && t >= 0.0) || (s >= 0.0 && t <= 0.0);
    split(c_side, d_side) && split(a_side, b_side)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn circles_are_drawn_on_the_safe_side() {
        // Area of a circle of 40 mm: 400 π; the polygon around it is larger by at most the
        // tolerance times the circumference.
        let true_area = 400.0 * std::f64::consts::PI;
        let disc = Outline::disc(40.0);
        assert!(disc.area() > true_area);
        assert!(disc.area() < true_area + 40.0 * std::f64::consts::PI * CIRCLE_TOLERANCE_MM);
        let [lo, hi] = disc.bounds().unwrap();
        assert!((hi[0] - lo[0] - 40.0).abs() < 1e-12 && (hi[1] - lo[1] - 40.0).abs() < 1e-12);
        assert_eq!(disc.point_count() % 4, 0);
        let ring = Outline::ring(40.0, 30.0);
        assert!(ring.area() > (400.0 - 225.0) * std::f64::consts::PI);
        assert!(ring.contains([17.0, 0.0]) && !ring.contains([0.0, 0.0]));
        let bore = &ring.shapes[0].holes[0];
        assert!(bore.iter().all(|p| libm::hypot(p[0], p[1]) <= 15.0 + 1e-12));
        assert!(signed_area(bore) < 0.0);
    }

    #[test]
    fn a_typed_outline_is_checked() {
        let square = [[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]];
        let outline = Outline::polygon(&square).unwrap();
        assert_eq!(outline.area(), 100.0);
        let mut clockwise = square;
        clockwise.reverse();
        assert_eq!(Outline::polygon(&clockwise).unwrap().area(), 100.0);
        let closed = [
            square[0], square[1], square[1], square[2], square[3], square[0],
        ];
        assert_eq!(Outline::polygon(&closed).unwrap(), outline);

        assert_eq!(
            Outline::polygon(&[[0.0, 0.0], [1.0, 0.0], [0.0, 0.0]]),
            Err(OutlineFault::TooFewPoints { points: 2 })
        );
        assert_eq!(
            Outline::polygon(&[[0.0, 0.0], [1.0, f64::NAN], [0.0, 1.0]]),
            Err(OutlineFault::NotFinite { index: 1 })
        );
        assert_eq!(
            Outline::polygon(&[[0.0, 0.0], [1.0, 1.0], [3.0, 3.0]]),
            Err(OutlineFault::ZeroArea)
        );
        // A bow tie: the edges 1→2 and 3→0 cross in its middle.
        assert_eq!(
            Outline::polygon(&[[0.0, 0.0], [4.0, 0.0], [0.0, 4.0], [4.0, 4.0]]),
            Err(OutlineFault::SelfCrossing {
                first: 1,
                second: 3
            })
        );
        // A spike that runs back on itself.
        assert_eq!(
            Outline::polygon(&[[0.0, 0.0], [9.0, 0.0], [4.0, 0.0], [4.0, 4.0]]),
            Err(OutlineFault::SelfCrossing {
                first: 0,
                second: 1
            })
        );
        assert_eq!(
            Outline::polygon(&[[0.0, 0.0], [9.0, 0.0], [4.0, 0.0], [4.0, 4.0]])
                .unwrap_err()
                .to_string(),
            "the outline crosses or touches itself: the edge after point 1 meets the edge after point 2"
        );
    }

    /// An L: 30 × 20 with a 20 × 10 piece missing.
    fn ell() -> Outline {
        Outline::polygon(&[
            [0.0, 0.0],
            [30.0, 0.0],
            [30.0, 10.0],
            [10.0, 10.0],
            [10.0, 20.0],
            [0.0, 20.0],
        ])
        .unwrap()
    }

    /// Area 400; centroid by parts:
    /// x = (300·15 + 100·5)/400 = 12.5, y = (300·5 + 100·15)/400 = 7.5.
    #[test]
    fn an_ell_has_the_area_and_centroid_worked_by_hand() {
        let ell = ell();
        assert_eq!(ell.area(), 400.0);
        assert_eq!(ell.centroid(), [12.5, 7.5]);
        let far = ell.moved(700.0, -300.0);
        assert_eq!(far.area(), 400.0);
        let c = far.centroid();
        assert!((c[0] - 712.5).abs() < 1e-12 && (c[1] + 292.5).abs() < 1e-12);
        assert_eq!(ell.mirrored().area(), 400.0);
        assert_eq!(ell.mirrored().centroid(), [-12.5, 7.5]);
        assert_eq!(ell.scaled(2.0, 0.5).area(), 400.0);
        assert_eq!(
            ell.rotated(90.0).bounds(),
            Some([[-20.0, 0.0], [0.0, 30.0]])
        );
        assert_eq!(ell.hull().len(), 5);
        assert!(!ell.contains([20.0, 15.0]) && ell.contains([5.0, 15.0]));
    }

    #[test]
    fn what_is_moved_in_keeps_its_distance() {
        // A square of 10 less 2 all round is one of 6; by 5 and more nothing is left.
        let square = Outline::rectangle(10.0, 10.0);
        assert!((square.moved_in(2.0).area() - 36.0).abs() < 1e-4);
        assert!(square.moved_in(5.0).is_empty() && square.moved_in(7.0).is_empty());
        assert_eq!(square.moved_in(0.0), square);
        // The L less 2: 6 wide arms; round the inward corner at (10, 10) a quarter of a circle is
        // kept clear, so its corner (8, 8) is cut: 26·6 + 6·10 + (4 − π).
        let less = ell().moved_in(2.0);
        let round = 4.0 - std::f64::consts::PI;
        assert!(
            (less.area() - (156.0 + 60.0 + round)).abs() < 0.05,
            "{}",
            less.area()
        );
        assert!(less.rings().flatten().all(|p| ell().margin_mm(*p) >= 2.0));
        assert_eq!(less.shapes.len(), 1);
        // Within a rim with square corners (8, 8) is a corner.
        let rim = ell().within_rim(2.0);
        assert!((rim.area() - 216.0).abs() < 1e-3, "{}", rim.area());
        assert_eq!(rim.point_count(), 6);
        // A notch as sharp as a needle is rounded in both ways: no spike grows from it.
        let needle = Outline::polygon(&[
            [-20.0, -20.0],
            [20.0, -20.0],
            [20.0, 20.0],
            [0.5, 20.0],
            [0.0, 0.0],
            [-0.5, 20.0],
            [-20.0, 20.0],
        ])
        .unwrap();
        for less in [needle.within_rim(2.0), needle.moved_in(2.0)] {
            assert!(less.contains([0.0, -2.1]) && !less.contains([0.0, -1.9]));
        }
        // A neck of 3 does not bear 2 on either side: two pieces.
        let neck = Outline::union(&[
            square.clone(),
            Outline::rectangle(20.0, 3.0).moved(10.0, 0.0),
            square.moved(20.0, 0.0),
        ]);
        assert_eq!(neck.moved_in(1.0).shapes.len(), 1);
        assert_eq!(neck.moved_in(2.0).shapes.len(), 2);
    }

    #[test]
    fn margins_convexity_and_shares_of_an_ell() {
        let ell = ell();
        assert_eq!(ell.margin_mm([5.0, 15.0]), 5.0);
        // 3-4-5 beyond the inward corner, into the void: the nearer side is 3 away.
        assert_eq!(ell.margin_mm([13.0, 14.0]), -3.0);
        // Within, the inward corner is 5 away: at (7, 6) the sides are 6 and 7 away.
        assert_eq!(ell.margin_mm([7.0, 6.0]), 5.0);
        assert!(!ell.is_convex() && Outline::rectangle(2.0, 3.0).is_convex());
        assert!(Outline::disc(50.0).is_convex());
        // Right of x = 10: 20 × 10. Above y = 5: 30 × 5 and 10 × 10.
        assert_eq!(ell.area_beyond(0, 10.0), 200.0);
        assert_eq!(ell.area_beyond(1, 5.0), 250.0);
        assert_eq!(
            (ell.area_beyond(0, -1.0), ell.area_beyond(0, 31.0)),
            (400.0, 0.0)
        );
    }

    #[test]
    fn union_and_difference_keep_exact_areas() {
        let a = Outline::rectangle(10.0, 10.0);
        let b = a.moved(5.0, 0.0);
        assert_eq!(Outline::union(&[a.clone(), b.clone()]).area(), 150.0);
        assert_eq!(Outline::difference(&a, &b).area(), 50.0);
        let apart = Outline::union(&[a.clone(), a.moved(30.0, 0.0)]);
        assert_eq!(apart.shapes.len(), 2);
        let frame = Outline::difference(&a, &Outline::rectangle(4.0, 4.0));
        assert_eq!((frame.area(), frame.shapes[0].holes.len()), (84.0, 1));
        assert_eq!(frame.without_holes().area(), 100.0);
        assert!(Outline::difference(&a, &a).is_empty());
        assert_eq!(Outline::default().bounds(), None);
    }
}
