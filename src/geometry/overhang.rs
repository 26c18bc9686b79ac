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
/// Points of a face are looked at this far apart, mm (assumed: a tenth of what matters).
const GRID_MM: f64 = 0.5;
/// Points that are looked at in any case (assumed).
const FEWEST_POINTS: usize = 200;
/// Points that are looked at, at most (assumed: a fine face needs no more to show its reach).
const MOST_POINTS: usize = 4000;
/// Nearer than this a point lies on its support, mm: rounding of drawn coordinates.
const ON_SUPPORT_MM: f64 = 1e-4;
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
    /// None where such faces are carried by nothing that is seen.
    ///
    /// Reach and span are found on a grid in plan and along the rims, however the faces are cut
    /// into triangles; large and fine ones are thinned.
    pub fn overhang(&self, contact_mm: f64) -> Option<Overhang> {
        let (low, _) = self.bounds()?;
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
            return Some(Overhang::default());
        }
        let (supports, patches) = self.supports(&hanging, limit);
        let all: Vec<[P2; 2]> = supports.values().flatten().copied().collect();
        if all.is_empty() {
            return None;
        }
        let longest = supports.values().map(Vec::len).max().unwrap_or(0).max(1);
        let most = (MOST_PAIRS / longest).clamp(FEWEST_POINTS, MOST_POINTS);
        let (mut reach_mm, mut span_mm) = (0.0, 0.0);
        let step = GRID_MM.max(libm::sqrt(area_mm2 / most as f64));
        let mut points = self.grid(&hanging, &patches, step, [low[0], low[1]]);
        let rim = self.rim(&hanging, &patches, step);
        let stride = rim.len().div_ceil(most).max(1);
        points.extend(rim.into_iter().step_by(stride));
        for (patch, p) in points {
            // A patch that nothing carries from below hangs on the rest of the part.
            let own = supports.get(&patch).unwrap_or(&all);
            let Some((near, way)) = nearest(p, own, None) else {
                continue;
            };
            // On a support but for rounding, whose direction is noise.
            if near <= ON_SUPPORT_MM {
                continue;
            }
            match nearest(p, own, Some(way)) {
                Some((far, _)) => span_mm = f64::max(span_mm, near + far),
                None => reach_mm = f64::max(reach_mm, near),
            }
        }
        Some(Overhang {
            area_mm2,
            reach_mm,
            span_mm,
        })
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

    /// Points of a grid in plan, in the middle of its squares from a corner on, that lie on hanging
    /// triangles, with their patches.
    fn grid(&self, hanging: &[bool], patches: &[usize], step: f64, corner: P2) -> Vec<(usize, P2)> {
        let mut points = Vec::new();
        let triangles = self.triangles.iter().enumerate();
        for (i, triangle) in triangles.filter(|(i, _)| hanging[*i]) {
            let Some(corners) = self.corners(triangle) else {
                continue;
            };
            // Seen from above a hanging triangle runs clockwise.
            let [a, c, b] = corners.map(|p| [p[0], p[1]]);
            let first = |k: usize| {
                let low = a[k].min(b[k]).min(c[k]);
                libm::ceil((low - corner[k]) / step - 0.5)
            };
            let along = |k: usize| {
                let high = a[k].max(b[k]).max(c[k]);
                let first = first(k);
                let count = libm::floor((high - corner[k]) / step - 0.5) - first + 1.0;
                (0..count.max(0.0) as usize)
                    .map(move |n| corner[k] + (first + n as f64 + 0.5) * step)
            };
            let left = |p: P2, q: P2, at: P2| {
                (q[0] - p[0]) * (at[1] - p[1]) - (q[1] - p[1]) * (at[0] - p[0]) >= 0.0
            };
            for x in along(0) {
                for y in along(1) {
                    let at = [x, y];
                    if left(a, b, at) && left(b, c, at) && left(c, a, at) {
                        points.push((patches[i], at));
                    }
                }
            }
        }
        points
    }

    /// Points along the rims of hanging faces, corners and no farther apart than a step, with their
    /// patches.
    fn rim(&self, hanging: &[bool], patches: &[usize], step: f64) -> Vec<(usize, P2)> {
        let mut points = Vec::new();
        for same in self
            .edges_with_triangles()
            .chunk_by(|a, b| a.0 >> 1 == b.0 >> 1)
        {
            let mut hang = same.iter().map(|e| e.1 as usize).filter(|t| hanging[*t]);
            let (Some(t), None) = (hang.next(), hang.next()) else {
                continue;
            };
            let ends = ends_of(same[0].0).map(|v| self.vertices.get(v as usize).copied());
            let [Some(a), Some(b)] = ends else { continue };
            let length = libm::hypot(b[0] - a[0], b[1] - a[1]);
            let parts = (libm::ceil(length / step) as usize).clamp(1, MOST_POINTS);
            for n in 0..=parts {
                let share = n as f64 / parts as f64;
                points.push((patches[t], [0, 1].map(|k| a[k] + share * (b[k] - a[k]))));
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
        assert_eq!(cube().overhang(0.02), Some(Overhang::default()));
        let cone = revolved(&[[0.0, 0.0], [5.0, 0.0], [0.0, 9.0]], 32);
        assert_eq!(cone.overhang(0.02), Some(Overhang::default()));
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
        let found = arm.overhang(0.02).unwrap();
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
        let found = bridge.overhang(0.02).unwrap();
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
        let found = revolved(&profile, 64).overhang(0.001).unwrap();
        let rim = 8.0 * (std::f64::consts::PI / 4.0).sin();
        assert!((found.reach_mm - rim).abs() < 0.1, "{found:?} {rim}");
    }

    #[test]
    fn a_span_is_the_same_however_its_face_is_cut() {
        // A table on a leg of 6 in each corner, 18 apart: its underside and the legs' walls.
        let table = |cuts: u32| {
            let mut soup = Vec::new();
            let share =
                |from: f64, to: f64, n: u32| from + (to - from) * f64::from(n) / f64::from(cuts);
            let mut wall = |p: P2, q: P2| {
                for n in 0..cuts {
                    let at = |n, z| [share(p[0], q[0], n), share(p[1], q[1], n), z];
                    soup.push([at(n, 0.0), at(n + 1, 0.0), at(n + 1, 10.0)]);
                    soup.push([at(n, 0.0), at(n + 1, 10.0), at(n, 10.0)]);
                }
            };
            for (x, y) in [(0.0, 0.0), (24.0, 0.0), (24.0, 24.0), (0.0, 24.0)] {
                let (x1, y1) = (x + 6.0, y + 6.0);
                wall([x, y], [x1, y]);
                wall([x1, y], [x1, y1]);
                wall([x1, y1], [x, y1]);
                wall([x, y1], [x, y]);
            }
            let strips = [[0.0, 6.0], [6.0, 24.0], [24.0, 30.0]];
            for (i, x) in strips.iter().enumerate() {
                for (k, y) in strips.iter().enumerate() {
                    let z = if i != 1 && k != 1 { 0.0 } else { 10.0 };
                    for (n, m) in (0..cuts).flat_map(|n| (0..cuts).map(move |m| (n, m))) {
                        let at = |n, m| [share(x[0], x[1], n), share(y[0], y[1], m), z];
                        soup.push([at(n, m), at(n, m + 1), at(n + 1, m + 1)]);
                        soup.push([at(n, m), at(n + 1, m + 1), at(n + 1, m)]);
                    }
                }
            }
            Mesh::from_soup(&soup).overhang(0.02).unwrap().span_mm
        };
        let spans = [1, 2, 6].map(table);
        // From the corner of a leg to the one across it is 18√2 straight.
        let straight = 18.0 * 2.0_f64.sqrt();
        for span in spans {
            assert!(span >= straight - 0.5, "{spans:?}");
            assert!((span - spans[0]).abs() < 0.5, "{spans:?}");
        }
    }

    #[test]
    fn a_cantilever_has_no_span_however_it_lies_and_is_cut() {
        // A post of 10 mm with an arm 40 mm out, 10 mm wide.
        let gallows = [
            [0.0, 0.0],
            [10.0, 0.0],
            [10.0, 20.0],
            [50.0, 20.0],
            [50.0, 25.0],
            [0.0, 25.0],
        ];
        let mut mesh = prism(&gallows, 10.0);
        for _ in 0..2 {
            for angle in [0.0_f64, 7.0, 30.0, 33.0, 61.0] {
                let (sin, cos) = angle.to_radians().sin_cos();
                let turned = Mesh {
                    vertices: mesh
                        .vertices
                        .iter()
                        .map(|[x, y, z]| [x * cos - y * sin, x * sin + y * cos, *z])
                        .collect(),
                    triangles: mesh.triangles.clone(),
                };
                let found = turned.overhang(0.02).unwrap();
                assert_eq!(found.span_mm, 0.0, "{angle}");
                assert!((found.reach_mm - 40.0).abs() < 1e-6, "{angle} {found:?}");
            }
            mesh = divided(&mesh);
        }
    }

    /// Each triangle cut into four at the middles of its edges.
    fn divided(mesh: &Mesh) -> Mesh {
        let mut soup = Vec::new();
        for triangle in &mesh.triangles {
            let [a, b, c] = mesh.corners(triangle).unwrap();
            let middle = |p: [f64; 3], q: [f64; 3]| std::array::from_fn(|k| 0.5 * (p[k] + q[k]));
            let (ab, bc, ca) = (middle(a, b), middle(b, c), middle(c, a));
            soup.extend([[a, ab, ca], [ab, b, bc], [ca, bc, c], [ab, bc, ca]]);
        }
        Mesh::from_soup(&soup)
    }

    #[test]
    fn what_nothing_carries_is_not_measured() {
        let slab = [[0.0, 5.0], [4.0, 5.0], [4.0, 6.0], [0.0, 6.0]];
        let mut all = prism(&slab, 4.0);
        // A foot apart: a shell of its own, level at its tip only.
        let foot = revolved(&[[0.0, 0.0], [1.0, 2.0], [0.0, 4.0]], 12).moved([20.0, 0.0, 0.0]);
        let first = all.vertices.len() as u32;
        all.vertices.extend(foot.vertices);
        all.triangles
            .extend(foot.triangles.iter().map(|t| t.map(|v| v + first)));
        assert_eq!(all.overhang(0.02), None);
    }
}
