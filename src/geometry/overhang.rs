//! Faces that look down with nothing under them.

use super::mesh::{Joined, Mesh, cross, dot, ends_of, sub};
use super::outline::P2;
use super::raster::Surface;
use std::collections::BTreeMap;

/// Faces less than 45° from level are carried by nothing but their rims (assumed, as is usual for
/// parts that soften).
const STEEP_COS: f64 = std::f64::consts::FRAC_1_SQRT_2;
/// Pairs of points and supports that are looked at (assumed: a quarter of a second); beyond it the
/// points are thinned.
const MOST_PAIRS: usize = 40_000_000;
/// Points that are looked at in any case (assumed).
const FEWEST_POINTS: usize = 200;
/// Points that are looked at, at most (assumed: a fine face needs no more to show its reach).
const MOST_POINTS: usize = 4000;
/// A support on the other side: 120° or more from the nearest one (assumed).
const OPPOSITE_COS: f64 = -0.5;

/// What of a resting shape is not carried from below. In plan, as drawn.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Overhang {
    /// Plan area of faces that look down less than 45° from level and do not rest, mm².
    pub area_mm2: f64,
    /// Farthest reach of such a face from what carries it, where it ends in the air, mm.
    pub reach_mm: f64,
    /// Longest span between two opposite supports of such a face, mm.
    pub span_mm: f64,
}

impl Mesh {
    /// Overhangs and free spans of a closed mesh resting on its lowest points; faces within
    /// `contact_mm` of them rest. A face is carried where a wall goes down from its rim, and where
    /// it comes down to the setter.
    ///
    /// Reach and span are found at the corners, mid-edges and middles of the triangles, thinned in
    /// fine meshes.
    pub fn overhang(&self, contact_mm: f64) -> Overhang {
        let Some((low, _)) = self.bounds() else {
            return Overhang::default();
        };
        let limit = low[2] + contact_mm;
        let mut area_mm2 = 0.0;
        let surfaces = self.surfaces(contact_mm);
        let hanging: Vec<bool> = surfaces.iter().map(|s| *s == Surface::Hanging).collect();
        for (triangle, _) in self.triangles.iter().zip(&hanging).filter(|(_, h)| **h) {
            if let Some([a, b, c]) = self.corners(triangle) {
                area_mm2 += -0.5 * cross(sub(b, a), sub(c, a))[2];
            }
        }
        if area_mm2 == 0.0 {
            return Overhang::default();
        }
        let (supports, patches) = self.supports(&hanging, limit);
        let points = self.points(&hanging, &patches);
        let pairs = points
            .len()
            .saturating_mul(supports.values().map(Vec::len).max().unwrap_or(0));
        let most = if pairs > MOST_PAIRS {
            (points.len() / (pairs / MOST_PAIRS + 1)).max(FEWEST_POINTS)
        } else {
            points.len()
        };
        let stride = points.len().div_ceil(most.clamp(1, MOST_POINTS)).max(1);
        let (mut reach_mm, mut span_mm) = (0.0, 0.0);
        let all: Vec<[P2; 2]> = supports.values().flatten().copied().collect();
        for (patch, p) in points.into_iter().step_by(stride) {
            // A patch that nothing carries from below hangs on the rest of the part.
            let own = supports.get(&patch).unwrap_or(&all);
            let Some((near, way)) = nearest(p, own, None) else {
                continue;
            };
            if near <= 0.0 {
                continue;
            }
            match nearest(p, own, Some(way)) {
                Some((far, _)) => span_mm = f64::max(span_mm, near + far),
                None => reach_mm = f64::max(reach_mm, near),
            }
        }
        Overhang {
            area_mm2,
            reach_mm,
            span_mm,
        }
    }

    /// What each triangle is where the mesh rests on its lowest points.
    pub(super) fn surfaces(&self, contact_mm: f64) -> Vec<Surface> {
        let limit = self.bounds().map_or(0.0, |(low, _)| low[2] + contact_mm);
        let of = |triangle: &[u32; 3]| {
            let Some([a, b, c]) = self.corners(triangle) else {
                return Surface::Plain;
            };
            let n = cross(sub(b, a), sub(c, a));
            let size = libm::sqrt(dot(n, n));
            if [a, b, c].iter().all(|p| p[2] <= limit) {
                Surface::Resting
            } else if size > 0.0 && n[2] < -STEEP_COS * size {
                Surface::Hanging
            } else {
                Surface::Plain
            }
        };
        self.triangles.iter().map(of).collect()
    }

    /// Where each patch of hanging faces is carried, and the patch of each triangle.
    fn supports(
        &self,
        hanging: &[bool],
        limit: f64,
    ) -> (BTreeMap<usize, Vec<[P2; 2]>>, Vec<usize>) {
        let mut joined = Joined::new(hanging.len());
        let edges = self.edges_with_triangles();
        let groups = || edges.chunk_by(|a, b| a.0 >> 1 == b.0 >> 1);
        for same in groups() {
            let mut hang = same.iter().map(|e| e.1 as usize).filter(|t| hanging[*t]);
            if let Some(first) = hang.next() {
                hang.for_each(|t| joined.join(first, t));
            }
        }
        let patches: Vec<usize> = (0..hanging.len()).map(|t| joined.root(t)).collect();
        let mut supports: BTreeMap<usize, Vec<[P2; 2]>> = BTreeMap::new();
        for same in groups() {
            let Some(&(edge, t)) = same.iter().find(|e| hanging[e.1 as usize]) else {
                continue;
            };
            let ends = ends_of(edge);
            let [Some(a), Some(b)] = ends.map(|v| self.vertices.get(v as usize).copied()) else {
                continue;
            };
            // A wall goes down from here, or the edge itself rests.
            let carried = same.iter().any(|(_, u)| {
                let corners = self.triangles[*u as usize].into_iter();
                let apex = corners.filter(|v| !ends.contains(v));
                let lowest = apex
                    .filter_map(|v| self.vertices.get(v as usize))
                    .map(|p| p[2])
                    .fold(f64::INFINITY, f64::min);
                !hanging[*u as usize] && lowest < a[2].min(b[2])
            });
            let list = supports.entry(patches[t as usize]).or_default();
            match (
                carried || a[2].max(b[2]) <= limit,
                a[2] <= limit,
                b[2] <= limit,
            ) {
                (true, ..) => list.push([[a[0], a[1]], [b[0], b[1]]]),
                (_, true, _) => list.push([[a[0], a[1]]; 2]),
                (.., true) => list.push([[b[0], b[1]]; 2]),
                _ => {}
            }
        }
        supports.retain(|_, list| !list.is_empty());
        (supports, patches)
    }

    /// Corners, mid-edges and middles of hanging triangles, with their patches.
    fn points(&self, hanging: &[bool], patches: &[usize]) -> Vec<(usize, P2)> {
        let mut points = Vec::new();
        for (i, triangle) in self
            .triangles
            .iter()
            .enumerate()
            .filter(|(i, _)| hanging[*i])
        {
            let Some([a, b, c]) = self.corners(triangle) else {
                continue;
            };
            let third = [0, 1].map(|k| (a[k] + b[k] + c[k]) / 3.0);
            points.push((patches[i], third));
            for (p, q) in [(a, b), (b, c), (c, a)] {
                points.push((patches[i], [p[0], p[1]]));
                points.push((patches[i], [0, 1].map(|k| 0.5 * (p[k] + q[k]))));
            }
        }
        points
    }
}

/// Distance and direction of the nearest support; of the nearest one across from `way` if that is
/// given.
fn nearest(p: P2, supports: &[[P2; 2]], across: Option<P2>) -> Option<(f64, P2)> {
    let mut best: Option<(f64, P2)> = None;
    for [a, b] in supports {
        let ab = [b[0] - a[0], b[1] - a[1]];
        let ap = [p[0] - a[0], p[1] - a[1]];
        let size = ab[0] * ab[0] + ab[1] * ab[1];
        let t = if size > 0.0 {
            ((ap[0] * ab[0] + ap[1] * ab[1]) / size).clamp(0.0, 1.0)
        } else {
            0.0
        };
        let way = [t * ab[0] - ap[0], t * ab[1] - ap[1]];
        let d = libm::hypot(way[0], way[1]);
        if best.is_some_and(|(least, _)| d >= least) {
            continue;
        }
        if let Some(other) = across
            && (d == 0.0 || way[0] * other[0] + way[1] * other[1] > OPPOSITE_COS * d)
        {
            continue;
        }
        let unit = if d > 0.0 {
            [way[0] / d, way[1] / d]
        } else {
            way
        };
        best = Some((d, unit));
    }
    best
}

#[cfg(test)]
mod tests {
    use super::super::mesh::tests::{cube, prism, revolved};
    use super::*;

    #[test]
    fn what_stands_straight_hangs_nowhere() {
        assert_eq!(cube().overhang(0.02), Overhang::default());
        let cone = revolved(&[[0.0, 0.0], [5.0, 0.0], [0.0, 9.0]], 32);
        assert_eq!(cone.overhang(0.02), Overhang::default());
    }

    #[test]
    fn an_arm_reaches_out_and_a_bridge_spans() {
        // A post 4 wide with an arm of 10 at the height of 6.
        let arm = prism(
            &[
                [0.0, 0.0],
                [4.0, 0.0],
                [4.0, 6.0],
                [14.0, 6.0],
                [14.0, 8.0],
                [0.0, 8.0],
            ],
            5.0,
        );
        let found = arm.overhang(0.02);
        assert!((found.area_mm2 - 50.0).abs() < 1e-9, "{found:?}");
        assert!((found.reach_mm - 10.0).abs() < 1e-9, "{found:?}");
        assert_eq!(found.span_mm, 0.0);
        // Two feet 12 apart.
        let bridge = prism(
            &[
                [0.0, 0.0],
                [3.0, 0.0],
                [3.0, 5.0],
                [15.0, 5.0],
                [15.0, 0.0],
                [18.0, 0.0],
                [18.0, 7.0],
                [0.0, 7.0],
            ],
            5.0,
        );
        let found = bridge.overhang(0.02);
        assert!((found.area_mm2 - 60.0).abs() < 1e-9, "{found:?}");
        assert!((found.span_mm - 12.0).abs() < 1e-9, "{found:?}");
        assert_eq!(found.reach_mm, 0.0);
    }

    #[test]
    fn a_ball_hangs_from_its_tip_up_to_where_it_is_steep() {
        let n = 60;
        let profile: Vec<P2> = (0..=n)
            .map(|i| {
                let a = std::f64::consts::PI * (f64::from(i) / f64::from(n) - 0.5);
                [if i % n == 0 { 0.0 } else { 8.0 * a.cos() }, 8.0 * a.sin()]
            })
            .collect();
        let found = revolved(&profile, 64).overhang(0.001);
        let rim = 8.0 * (std::f64::consts::PI / 4.0).sin();
        assert!((found.reach_mm - rim).abs() < 0.1, "{found:?} {rim}");
    }
}
