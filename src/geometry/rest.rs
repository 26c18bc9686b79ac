//! How a mesh can rest: the faces of its convex hull over which its centroid stands.

use super::hull::hull;
use super::mesh::{Mesh, cross, dot, sub};
use super::outline::{P2, convex_hull};

/// Vertices beyond which they are thinned before the hull is made.
const THIN_ABOVE: usize = 20_000;
/// Cells along each side of the box for thinning: what is kept reaches within 1e-4 of the
/// diagonal as far in every direction, which a test holds.
const CELLS: usize = 48;
/// Points of one plane may stand this far from it, as a share of the diagonal; coordinates of
/// single precision add their own rounding.
const FLAT_SHARE: f64 = 2e-6;
/// Rounding of single precision, as a share of the coordinate.
const SINGLE: f64 = 1.2e-7;
/// A centroid nearer to the edge of what carries it, as a share of the diagonal, does not stand.
const EDGE_SHARE: f64 = 1e-6;
/// Of ways to stand less than 1° apart only the steadiest is one (assumed): a tip that is drawn as
/// a fan of nearly flat triangles stands once.
const SAME_COS: f64 = 0.999_847_695;
/// Faces that are looked at closely; a fine ball stands on all of its triangles.
pub const MOST_FACES: usize = 1000;

type P3 = [f64; 3];
/// Rows of a rotation.
pub type Turn = [P3; 3];

/// A rotation that brings a vector of length 1 down to −z: none at all for −z itself, exact along
/// the axes. About the vertical it is chosen so that the axis of the drawing that lies flattest is
/// an axis again: walls that were drawn square to it stay square to the grid.
pub fn turn_down(down: P3) -> Turn {
    let up = down.map(|c| 0.0 - c);
    // By more than rounding, so that of equal ones the first is taken.
    let flattest = (1..3).fold(0, |k, other| {
        if down[other].abs() < down[k].abs() - 1e-9 {
            other
        } else {
            k
        }
    });
    let mut along = up.map(|c| 0.0 - c * up[flattest]);
    along[flattest] += 1.0;
    let size = libm::sqrt(dot(along, along));
    let along = along.map(|c| c / size);
    let turn = if flattest == 0 {
        [along, cross(up, along), up]
    } else {
        [cross(along, up), along, up]
    };
    // −0 would be printed.
    turn.map(|row| row.map(|c| c + 0.0))
}

/// A point turned.
pub fn turned(turn: &Turn, p: P3) -> P3 {
    turn.map(|row| dot(row, p))
}

/// A point turned back.
pub fn turned_back(turn: &Turn, p: P3) -> P3 {
    std::array::from_fn(|k| turn[0][k] * p[0] + turn[1][k] * p[1] + turn[2][k] * p[2])
}

/// The convex hull of a mesh.
#[derive(Clone, Debug, PartialEq)]
pub struct Hull {
    /// Its corners.
    vertices: Vec<P3>,
    /// Outward.
    triangles: Vec<[u32; 3]>,
    /// How far points of one plane may stand from it.
    flat: f64,
    /// Length of the diagonal of the box.
    diagonal: f64,
}

/// A way in which a body can stand on a plane.
#[derive(Clone, Debug, PartialEq)]
pub struct Stand {
    /// Which way is down, in the mesh's own axes; of length 1.
    pub down: P3,
    /// Convex hull of what touches the plane, seen from above after [`turn_down`].
    pub polygon: Vec<P2>,
    /// The centroid seen from above after [`turn_down`].
    pub centroid: P2,
    /// Height of the centroid above the plane.
    pub centroid_height: f64,
}

impl Mesh {
    /// Turned so that `down`, of length 1, points to −z.
    pub fn resting(&self, down: P3) -> Mesh {
        let turn = turn_down(down);
        Mesh {
            vertices: self.vertices.iter().map(|v| turned(&turn, *v)).collect(),
            triangles: self.triangles.clone(),
        }
    }

    /// The convex hull; none for a flat mesh. Its corners are vertices of the mesh. Of many
    /// vertices only those are kept that are outermost in their neighbourhood.
    pub fn hull(&self) -> Option<Hull> {
        let (low, high) = self.bounds()?;
        let span = sub(high, low);
        let diagonal = libm::sqrt(dot(span, span));
        let points = if self.vertices.len() > THIN_ABOVE {
            outermost(&self.vertices, low, span)
        } else {
            self.vertices.clone()
        };
        let mut triangles = hull(&points)?;
        let mut number = vec![u32::MAX; points.len()];
        let mut vertices = Vec::new();
        for corner in triangles.iter_mut().flatten() {
            let slot = &mut number[*corner as usize];
            if *slot == u32::MAX {
                *slot = vertices.len() as u32;
                vertices.push(points[*corner as usize]);
            }
            *corner = *slot;
        }
        let farthest = low
            .iter()
            .chain(&high)
            .fold(0.0, |m, c| f64::max(m, c.abs()));
        Some(Hull {
            vertices,
            triangles,
            flat: FLAT_SHARE * diagonal + 4.0 * SINGLE * farthest,
            diagonal,
        })
    }
}

/// Of each cell of the box, the points outermost along the 26 directions to its neighbours: every
/// corner of a right angle or sharper is among them.
fn outermost(points: &[P3], low: P3, span: P3) -> Vec<P3> {
    let ways: Vec<P3> = (0..27)
        .filter(|i| *i != 13)
        .map(|i| {
            let way = [i % 3, i / 3 % 3, i / 9].map(|c| f64::from(c) - 1.0);
            let size = libm::sqrt(dot(way, way));
            way.map(|c| c / size)
        })
        .collect();
    let cell = |p: &P3| {
        (0..3).fold(0, |n, k| {
            let share = if span[k] > 0.0 {
                (p[k] - low[k]) / span[k]
            } else {
                0.0
            };
            n * CELLS + ((share * CELLS as f64) as usize).min(CELLS - 1)
        })
    };
    let mut order: Vec<(u32, u32)> = points
        .iter()
        .enumerate()
        .map(|(i, p)| (cell(p) as u32, i as u32))
        .collect();
    order.sort_unstable();
    let mut kept = Vec::new();
    for group in order.chunk_by(|a, b| a.0 == b.0) {
        for way in &ways {
            let far = group
                .iter()
                .map(|(_, i)| (dot(*way, points[*i as usize]), *i));
            kept.extend(
                far.reduce(|a, b| if b.0 > a.0 { b } else { a })
                    .map(|b| b.1),
            );
        }
    }
    kept.sort_unstable();
    kept.dedup();
    kept.into_iter().map(|i| points[i as usize]).collect()
}

impl Hull {
    /// Enclosed volume.
    pub fn volume(&self) -> f64 {
        let Some(from) = self.vertices.first() else {
            return 0.0;
        };
        let six = self.corners().map(|[a, b, c]| {
            let [a, b, c] = [a, b, c].map(|p| sub(p, *from));
            dot(a, cross(b, c))
        });
        six.sum::<f64>() / 6.0
    }

    fn corners(&self) -> impl Iterator<Item = [P3; 3]> + '_ {
        let at = |i: u32| self.vertices[i as usize];
        self.triangles.iter().map(move |t| t.map(at))
    }

    /// Farthest reach along a direction.
    pub fn reach(&self, way: P3) -> f64 {
        let all = self.vertices.iter().map(|v| dot(way, *v));
        all.fold(f64::NEG_INFINITY, f64::max)
    }

    /// How it stands with `down`, of length 1, at the bottom: also where it falls from.
    pub fn stand(&self, down: P3, centroid: P3) -> Stand {
        let lowest = self.reach(down) - self.flat;
        let on_plane = self.vertices.iter().copied();
        let on_plane = on_plane.filter(|v| dot(down, *v) >= lowest);
        self.standing_on(down, on_plane, centroid)
    }

    fn standing_on(&self, down: P3, points: impl Iterator<Item = P3>, centroid: P3) -> Stand {
        let turn = turn_down(down);
        let (mut lowest, mut seen) = (f64::NEG_INFINITY, Vec::new());
        for p in points {
            let [x, y, z] = turned(&turn, p);
            lowest = lowest.max(-z);
            seen.push([x, y]);
        }
        let [x, y, z] = turned(&turn, centroid);
        Stand {
            down,
            polygon: convex_hull(seen.into_iter()),
            centroid: [x, y],
            centroid_height: lowest + z,
        }
    }

    /// Its corners seen from above with `down`, of length 1, at the bottom: their convex hull.
    pub fn seen_from_above(&self, down: P3) -> Vec<P2> {
        let turn = turn_down(down);
        convex_hull(self.vertices.iter().map(|v| {
            let [x, y, _] = turned(&turn, *v);
            [x, y]
        }))
    }

    /// All faces on which it stands by itself, of the [`MOST_FACES`] steadiest; and how many such
    /// faces there are. Triangles of one plane are one face.
    pub fn stands(&self, centroid: P3) -> (Vec<Stand>, usize) {
        let mut steady: Vec<(f64, P3)> = Vec::new();
        for (normal, vertices) in self.faces() {
            let rough = self.standing_on(normal, vertices.into_iter(), centroid);
            let margin = rough.margin();
            if margin > -self.flat {
                steady.push((margin / rough.centroid_height, normal));
            }
        }
        let all = steady.len();
        steady.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut found: Vec<Stand> = Vec::new();
        for (_, seed) in steady.into_iter().take(MOST_FACES) {
            let Some(down) = self.refined(seed) else {
                continue;
            };
            let stand = self.stand(down, centroid);
            let same = |other: &Stand| dot(other.down, down) > SAME_COS;
            if stand.margin() > EDGE_SHARE * self.diagonal && !found.iter().any(same) {
                found.push(stand);
            }
        }
        let all = if all > MOST_FACES { all } else { found.len() };
        (found, all)
    }

    /// A normal for each face, and its corners.
    fn faces(&self) -> Vec<(P3, Vec<P3>)> {
        let mut seeds: Vec<(f64, usize, P3)> = Vec::new();
        for (i, [a, b, c]) in self.corners().enumerate() {
            let n = cross(sub(b, a), sub(c, a));
            let size = libm::sqrt(dot(n, n));
            let longest = [sub(b, a), sub(c, b), sub(a, c)]
                .into_iter()
                .map(|e| libm::sqrt(dot(e, e)))
                .fold(0.0, f64::max);
            // What is no higher than the tolerance has no direction of its own.
            if size > self.flat * longest {
                seeds.push((size, i, n.map(|c| c / size)));
            }
        }
        seeds.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        let mut edges: Vec<(u32, u32, usize)> = Vec::new();
        for (i, [a, b, c]) in self.triangles.iter().enumerate() {
            edges.extend([(*a, *b, i), (*b, *c, i), (*c, *a, i)]);
        }
        edges.sort_unstable();
        let across = |from: u32, to: u32| {
            let at = edges.partition_point(|e| (e.0, e.1) < (to, from));
            edges
                .get(at)
                .filter(|e| (e.0, e.1) == (to, from))
                .map(|e| e.2)
        };
        let mut taken = vec![false; self.triangles.len()];
        let mut faces = Vec::new();
        for (_, seed, n) in seeds {
            if taken[seed] {
                continue;
            }
            taken[seed] = true;
            let plane = dot(n, self.vertices[self.triangles[seed][0] as usize]);
            let flat = |t: usize| {
                let off = |i: u32| (dot(n, self.vertices[i as usize]) - plane).abs();
                self.triangles[t].iter().all(|i| off(*i) <= self.flat)
            };
            let mut corners = Vec::new();
            let mut open = vec![seed];
            while let Some(t) = open.pop() {
                let [a, b, c] = self.triangles[t];
                corners.extend([a, b, c].map(|i| self.vertices[i as usize]));
                for other in [across(a, b), across(b, c), across(c, a)] {
                    if let Some(other) = other.filter(|o| !taken[*o] && flat(*o)) {
                        taken[other] = true;
                        open.push(other);
                    }
                }
            }
            faces.push((n, corners));
        }
        faces
    }

    /// The normal of a face from the corners that stand farthest apart on it: a small triangle of
    /// it says its direction worse.
    fn refined(&self, normal: P3) -> Option<P3> {
        let lowest = self.reach(normal) - self.flat;
        let on: Vec<P3> = self
            .vertices
            .iter()
            .copied()
            .filter(|v| dot(normal, *v) >= lowest)
            .collect();
        let farthest = |far: &dyn Fn(P3) -> f64| {
            let all = on.iter().map(|p| (far(*p), *p));
            all.reduce(|a, b| if b.0 > a.0 { b } else { a })
                .map(|b| b.1)
        };
        let first = *on.first()?;
        let squared = |from: P3| move |p: P3| dot(sub(p, from), sub(p, from));
        let a = farthest(&squared(first))?;
        let b = farthest(&squared(a))?;
        let way = sub(b, a);
        let c = farthest(&|p| {
            let n = cross(way, sub(p, a));
            dot(n, n)
        })?;
        let n = cross(way, sub(c, a));
        let size = libm::sqrt(dot(n, n));
        if size <= self.flat * libm::sqrt(dot(way, way)) {
            return None;
        }
        let side = if dot(n, normal) < 0.0 { -1.0 } else { 1.0 };
        Some(n.map(|c| side * c / size))
    }
}

impl Stand {
    /// From the projected centroid to the nearest edge of the polygon; negative outside, and
    /// for what is no polygon.
    pub fn margin(&self) -> f64 {
        if self.polygon.len() < 3 {
            return f64::NEG_INFINITY;
        }
        super::point_to_convex_edge_distance(&self.polygon, self.centroid)
            .unwrap_or(f64::NEG_INFINITY)
    }
}

#[cfg(test)]
mod tests {
    use super::super::mesh::tests::{cube, joined, prism, revolved};
    use super::*;
    use proptest::prelude::*;

    fn downs(mesh: &Mesh) -> Vec<P3> {
        let hull = mesh.hull().unwrap();
        let (stands, _) = hull.stands(mesh.measures().centroid_mm);
        stands.iter().map(|s| s.down).collect()
    }

    fn tetrahedron() -> Mesh {
        let [a, b, c, d] = [
            [1.0, 1.0, 1.0],
            [1.0, -1.0, -1.0],
            [-1.0, 1.0, -1.0],
            [-1.0, -1.0, 1.0],
        ];
        Mesh::from_soup(&[[a, b, c], [a, d, b], [a, c, d], [b, d, c]])
    }

    fn ell() -> Mesh {
        let profile = [
            [0.0, 0.0],
            [40.0, 0.0],
            [40.0, 6.0],
            [4.0, 6.0],
            [4.0, 30.0],
            [0.0, 30.0],
        ];
        prism(&profile, 50.0)
    }

    #[test]
    fn simple_solids_stand_on_the_faces_that_theory_says() {
        assert_eq!(downs(&cube()).len(), 6);
        assert_eq!(downs(&cube().scaled([30.0, 2.0, 0.5])).len(), 6);
        assert_eq!(downs(&tetrahedron()).len(), 4);
        // Three sides and two ends.
        assert_eq!(
            downs(&prism(&[[0.0, 0.0], [4.0, 0.0], [0.0, 3.0]], 20.0)).len(),
            5
        );
        // A leaning tower stands on its flanks and its front and back, on neither end.
        let tower = prism(&[[0.0, 0.0], [1.0, 0.0], [6.0, 10.0], [5.0, 10.0]], 3.0);
        let found = downs(&tower);
        assert_eq!(found.len(), 4, "{found:?}");
        assert!(found.iter().all(|d| d[2] > -0.9));
        // Both outer legs, over the hollow, front and back: not on the ends of its legs.
        let found = downs(&ell());
        assert_eq!(found.len(), 5, "{found:?}");
        let hollow = [24.0, 0.0, 36.0].map(|c| c / 1872_f64.sqrt());
        assert!(found.iter().any(|d| dot(*d, hollow) > 1.0 - 1e-12));
        // A cone: its base and each facet of its side. A cylinder: both ends, each facet.
        let cone = revolved(&[[0.0, 0.0], [8.0, 0.0], [0.0, 20.0]], 24);
        assert_eq!(downs(&cone).len(), 25);
        let rod = revolved(&[[0.0, 0.0], [3.0, 0.0], [3.0, 40.0], [0.0, 40.0]], 32);
        assert_eq!(downs(&rod).len(), 34);
    }

    #[test]
    fn margins_of_a_block_are_its_half_sides() {
        let block = cube().scaled([20.0, 10.0, 5.0]).moved([300.0, -50.0, 7.0]);
        let hull = block.hull().unwrap();
        assert!((hull.volume() - 1000.0).abs() < 1e-9);
        let centroid = block.measures().centroid_mm;
        let stand = hull.stand([0.0, 0.0, -1.0], centroid);
        assert!((stand.margin() - 5.0).abs() < 1e-9, "{stand:?}");
        assert!((stand.centroid_height - 2.5).abs() < 1e-9);
        let stand = hull.stand([-1.0, 0.0, 0.0], centroid);
        assert!((stand.margin() - 2.5).abs() < 1e-9);
        assert!((stand.centroid_height - 10.0).abs() < 1e-9);
        // On an edge it does not stand.
        let s = std::f64::consts::FRAC_1_SQRT_2;
        assert!(hull.stand([s, 0.0, -s], centroid).margin() <= 1e-6);
    }

    #[test]
    fn turning_along_the_axes_is_exact_and_downward_none() {
        assert_eq!(cube().resting([0.0, 0.0, -1.0]), cube());
        for k in 0..3 {
            for side in [-1.0, 1.0] {
                let mut down = [0.0; 3];
                down[k] = side;
                let turn = turn_down(down);
                assert_eq!(turned(&turn, down), [0.0, 0.0, -1.0]);
                assert!(turn.iter().flatten().all(|c| [-1.0, 0.0, 1.0].contains(c)));
                let m = cube().resting(down).measures();
                assert_eq!((m.volume_mm3, m.open_edges), (1.0, 0));
            }
        }
        assert_eq!(Mesh::default().hull(), None);
    }

    /// A wavy ball: every vertex is a corner of its hull, or near it.
    fn ball(rings: usize, around: usize) -> Mesh {
        let profile: Vec<[f64; 2]> = (0..=rings)
            .map(|i| {
                let a = std::f64::consts::PI * (i as f64 / rings as f64 - 0.5);
                [
                    if i % rings == 0 { 0.0 } else { 30.0 * a.cos() },
                    20.0 * a.sin(),
                ]
            })
            .collect();
        revolved(&profile, around)
    }

    #[test]
    fn thinning_keeps_the_reach_and_what_is_square() {
        let fine = joined(&[ball(240, 200), cube().scaled([55.0, 4.0, 31.0])]);
        assert!(fine.vertices.len() > THIN_ABOVE);
        let hull = fine.hull().unwrap();
        let (low, high) = fine.bounds().unwrap();
        let span = sub(high, low);
        let diagonal = dot(span, span).sqrt();
        for i in 0..400 {
            // Spread over the sphere.
            let z = 1.0 - (f64::from(i) + 0.5) / 200.0;
            let (s, a) = ((1.0 - z * z).sqrt(), f64::from(i) * 2.399_963);
            let way = [s * a.cos(), s * a.sin(), z];
            let whole = fine.vertices.iter().map(|v| dot(way, *v));
            let off = whole.fold(f64::NEG_INFINITY, f64::max) - hull.reach(way);
            assert!((-1e-9..1e-4 * diagonal).contains(&off), "{off}");
        }
        // It stands on its poles, which are flattest and have the smallest triangles; on a few
        // facets of each, since thinning makes them uneven.
        let (stands, _) = ball(240, 200).hull().unwrap().stands([0.0; 3]);
        let near = |side: f64| stands.iter().filter(|s| s.down[2] * side > 0.998).count();
        assert!(near(1.0) > 0 && near(-1.0) > 0);
        assert!(near(1.0) + near(-1.0) == stands.len() && stands.len() <= 10);
        // The corners of the block.
        let corner = [[55.0, 0.0, 31.0], [55.0, 4.0, 31.0]];
        assert!(corner.iter().all(|c| hull.vertices.contains(c)));
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]
        #[test]
        fn poses_of_a_turned_mesh_are_the_turned_poses(
            way in [-1.0..1.0_f64, -1.0..1.0, -1.0..1.0],
            spin in [-1.0..1.0_f64, -1.0..1.0, -1.0..1.0],
            by in [-500.0..500.0_f64, -500.0..500.0, -500.0..500.0],
            which in 0..4_usize,
        ) {
            let size = |v: P3| dot(v, v).sqrt();
            prop_assume!(size(way) > 0.1 && size(spin) > 0.1);
            let [first, second] = [way, spin].map(|v| turn_down(v.map(|c| c / size(v))));
            let mesh = match which {
                0 => cube().scaled([9.0, 5.0, 3.0]),
                1 => tetrahedron(),
                2 => ell(),
                _ => revolved(&[[0.0, 0.0], [8.0, 0.0], [0.0, 20.0]], 12),
            };
            let turn = |p: P3| turned(&second, turned(&first, p));
            let other = Mesh {
                vertices: mesh.vertices.iter().map(|v| turn(*v)).collect(),
                ..mesh.clone()
            }
            .moved(by);
            let (here, there) = (downs(&mesh), downs(&other));
            prop_assert_eq!(here.len(), there.len());
            for down in here {
                let wanted = turn(down);
                let found = there.iter().any(|d| dot(*d, wanted) > 1.0 - 1e-10);
                prop_assert!(found, "{:?} {:?}", wanted, there);
            }
        }
    }
}
