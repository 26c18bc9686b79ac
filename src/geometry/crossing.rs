//! Shells that pass through each other or through themselves, or lie in each other.

use super::bodies::MOST_SHELLS;
use super::bvh::{Bvh, Triangle, on_two_threads};
use super::mesh::{Mesh, cross, dot, sub};

/// Boxes and pairs of triangles that are looked at (assumed: a few seconds).
const MOST_PAIRS: usize = 200_000_000;

/// Surfaces pass through each other when they do by more than this share of the greatest
/// coordinate or side: what single precision and six printed digits may move them by.
const DEPTH_SHARE: f64 = 2e-6;

/// How far off the surface the winding number is taken, as a share of the greatest coordinate or
/// side: farther than solids that touch lie in each other by rounding.
const OFF_SHARE: f64 = 5.0 * DEPTH_SHARE;

/// Directions of rays, askew, so that they meet no edge of anything drawn on purpose.
const ASKEW: [P3; 3] = [
    [0.541_196_1, 0.306_562_9, 0.782_931_7],
    [-0.618_433_2, 0.702_914_6, 0.351_327_8],
    [0.227_518_4, -0.553_190_7, -0.801_377_3],
];

type P3 = [f64; 3];

impl Mesh {
    /// How many shells pass through another or through themselves; `None` when that takes more
    /// pairs of triangles than are looked at.
    ///
    /// Surfaces that only touch, by faces, edges or corners, do not cross. Triangles that share a
    /// corner are not held against each other, and a crossing along edges of both is not seen: see
    /// [`Mesh::doubled_shells`].
    pub fn crossing_shells(&self) -> Option<usize> {
        self.crossing_within(MOST_PAIRS)
    }

    fn crossing_within(&self, most: usize) -> Option<usize> {
        let Some((tree, (low, high))) = Bvh::new(self).zip(self.bounds()) else {
            return Some(0);
        };
        let greatest = (0..3)
            .map(|k| low[k].abs().max(high[k].abs()).max(high[k] - low[k]))
            .fold(0.0, f64::max);
        let depth = DEPTH_SHARE * greatest;
        let tasks = tree.pair_tasks();
        // Every other one a thread: neighbours take alike long.
        let look = |first: usize| -> Option<Vec<u32>> {
            let mut found = Vec::new();
            let mut left = most / 2;
            for task in tasks.iter().skip(first).step_by(2) {
                tree.pairs(*task, &mut left, |a: &Triangle, b: &Triangle| {
                    if pass(&a.corners, &b.corners, depth) {
                        found.extend([a.number, b.number]);
                        found.dedup();
                    }
                })?;
            }
            Some(found)
        };
        let (found, other) = on_two_threads(|| look(0), || look(1));
        let mut found = found?;
        found.extend(other?);
        if found.is_empty() {
            return Some(0);
        }
        found.sort_unstable();
        let shells = self.shells();
        let crosses = |triangles: &[usize]| {
            let mut own = triangles.iter();
            own.any(|t| found.binary_search(&(*t as u32)).is_ok())
        };
        let count = shells.iter().filter(|s| crosses(&s.triangles)).count();
        Some(count)
    }
}

impl Mesh {
    /// How many shells of a closed mesh bound what lies in two solids, or in two cavities, at once,
    /// so that it counts twice: solids that overlap, flush or not, or lie in others.
    ///
    /// Found at three thousand points of the surface and one of each shell. Just inside of it a
    /// sound mesh is wound about once, and just outside never less than not at all; solids that
    /// touch are wound about once on both sides. The winding number is counted along rays.
    pub fn doubled_shells(&self) -> usize {
        let Some((tree, (low, high))) = Bvh::new(self).zip(self.bounds()) else {
            return 0;
        };
        let greatest = (0..3)
            .map(|k| low[k].abs().max(high[k].abs()).max(high[k] - low[k]))
            .fold(0.0, f64::max);
        let shells = self.shells();
        let mut of = vec![0; self.triangles.len()];
        for (i, shell) in shells.iter().enumerate() {
            shell.triangles.iter().for_each(|t| of[*t] = i);
        }
        let mut starts = self.spread();
        let firsts = shells.iter().take(MOST_SHELLS).map(|s| s.triangles[0]);
        starts.extend(firsts.filter_map(|t| self.start(t, 1.0 / 3.0, 1.0 / 3.0)));
        let off = OFF_SHARE * greatest;
        let twice = |(_, p, inward): &&(usize, P3, P3)| {
            let at = |by: f64| std::array::from_fn(|k| p[k] + by * inward[k]);
            winding(&tree, at(off)) > 1 || winding(&tree, at(-off)) < 0
        };
        let look = |starts: &[(usize, P3, P3)]| -> Vec<usize> {
            starts.iter().filter(twice).map(|(t, ..)| of[*t]).collect()
        };
        let (one, other) = starts.split_at(starts.len() / 2);
        let (mut found, second) = on_two_threads(|| look(one), || look(other));
        found.extend(second);
        found.sort_unstable();
        found.dedup();
        found.len()
    }
}

/// How often the surface is wound about a point: 1 in a solid, 0 outside. Told by two rays out of
/// three, if the first does not say what a sound mesh would: a ray may slip through an edge.
pub(super) fn winding(tree: &Bvh, p: P3) -> i32 {
    let along = |way: P3| {
        let mut count = 0;
        tree.along_ray(p, way, |_, [a, b, c]| {
            let out = dot(cross(sub(*b, *a), sub(*c, *a)), way) > 0.0;
            count += if out { 1 } else { -1 };
            f64::INFINITY
        });
        count
    };
    let first = along(ASKEW[0]);
    if (0..=1).contains(&first) {
        return first;
    }
    let mut all = [first, along(ASKEW[1]), along(ASKEW[2])];
    all.sort_unstable();
    all[1]
}

/// Whether two triangles pass through each other by more than `depth`: each has corners on both
/// sides of the other's plane, and what they cut out of the line common to both planes overlaps.
fn pass(a: &[P3; 3], b: &[P3; 3], depth: f64) -> bool {
    let apart = (0..3).any(|k| {
        let low = |t: &[P3; 3]| t[0][k].min(t[1][k]).min(t[2][k]);
        let high = |t: &[P3; 3]| t[0][k].max(t[1][k]).max(t[2][k]);
        low(a) > high(b) || low(b) > high(a)
    });
    if apart || a.iter().any(|p| b.contains(p)) {
        return false;
    }
    // About one corner: the triangles may stand far from the origin.
    let o = a[0];
    let (a, b) = (a.map(|p| sub(p, o)), b.map(|p| sub(p, o)));
    let (Some((to_b, of_b)), Some((to_a, of_a))) = (sides(&a, &b, depth), sides(&b, &a, depth))
    else {
        return false;
    };
    let way = cross(of_a, of_b);
    let size = libm::sqrt(dot(way, way));
    if size <= 1e-9 {
        return false;
    }
    let way = way.map(|c| c / size);
    let ((a_low, a_high), (b_low, b_high)) = (cut(&a, to_b, way), cut(&b, to_a, way));
    a_high.min(b_high) - a_low.max(b_low) > depth
}

/// Distances of a triangle's corners to another's plane, and that plane's unit normal; `None`
/// unless they lie farther than `depth` on both sides.
fn sides(triangle: &[P3; 3], other: &[P3; 3], depth: f64) -> Option<([f64; 3], P3)> {
    let normal = cross(sub(other[1], other[0]), sub(other[2], other[0]));
    let size = libm::sqrt(dot(normal, normal));
    if size == 0.0 {
        return None;
    }
    let normal = normal.map(|c| c / size);
    let to = triangle.map(|p| dot(normal, sub(p, other[0])));
    let both = to.iter().any(|d| *d > depth) && to.iter().any(|d| *d < -depth);
    both.then_some((to, normal))
}

/// What a triangle cuts out of the line in which a plane meets its own: from where to where along
/// `way`. `to` are the distances of its corners to that plane, on both sides of it.
fn cut(triangle: &[P3; 3], to: [f64; 3], way: P3) -> (f64, f64) {
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for (i, j) in [(0, 1), (1, 2), (2, 0)] {
        if (to[i] > 0.0) == (to[j] > 0.0) {
            continue;
        }
        let share = to[i] / (to[i] - to[j]);
        let along = |p: P3| dot(p, way);
        let (from, until) = (along(triangle[i]), along(triangle[j]));
        let at = from + share * (until - from);
        (low, high) = (low.min(at), high.max(at));
    }
    (low, high)
}

#[cfg(test)]
mod tests {
    use super::super::mesh::tests::{cube, joined, prism, revolved, turned};
    use super::*;

    #[test]
    fn shells_that_pass_through_each_other_are_counted() {
        let bar = cube().scaled([20.0, 10.0, 10.0]);
        assert_eq!(bar.crossing_shells(), Some(0));
        assert_eq!(Mesh::default().crossing_shells(), Some(0));
        let across = cube().scaled([10.0, 20.0, 10.0]).moved([6.0, -4.0, 0.0]);
        let clear = cube().moved([50.0, 0.0, 0.0]);
        for by in [[0.0; 3], [700.0, -300.0, 40.0]] {
            let three = joined(&[bar.clone(), across.clone(), clear.clone()]).moved(by);
            assert_eq!(three.crossing_shells(), Some(2));
        }
        // A peg that runs through a plate on every side.
        let plate = cube().scaled([30.0, 30.0, 3.0]);
        let peg = revolved(&[[0.0, 0.0], [2.0, 0.0], [2.0, 9.0], [0.0, 9.0]], 24);
        let peg = peg.moved([10.0, 10.0, -2.0]);
        assert_eq!(joined(&[plate, peg]).crossing_shells(), Some(2));
    }

    #[test]
    fn what_touches_or_lies_inside_does_not_cross() {
        let slab = cube().scaled([20.0, 20.0, 2.0]);
        let small = cube().scaled([5.0, 5.0, 4.0]);
        for other in [
            slab.moved([0.0, 0.0, 2.0]),
            // On it, askew in plan; against its side; at its edge; in its corner.
            small.moved([3.0, 4.0, 2.0]),
            small.moved([20.0, 3.0, -1.0]),
            small.moved([20.0, 3.0, 2.0]),
            small.moved([20.0, 20.0, 2.0]),
            cube().scaled([0.5; 3]).moved([1.0; 3]),
            turned(cube()).moved([0.5; 3]),
        ] {
            assert_eq!(joined(&[slab.clone(), other]).crossing_shells(), Some(0));
        }
        // By a rounding: not yet.
        let rounding = slab.moved([0.0, 0.0, 2.0 - 1e-6]);
        assert_eq!(joined(&[slab, rounding]).crossing_shells(), Some(0));
    }

    #[test]
    fn what_lies_in_two_solids_or_cavities_counts_twice() {
        let at = |size: [f64; 3], by: [f64; 3]| cube().scaled(size).moved(by);
        let block = || at([20.0; 3], [0.0; 3]);
        let cavity = |by| turned(at([4.0; 3], by));
        for (parts, shells) in [
            // In line, with all sides flush.
            (
                vec![
                    at([40.0, 10.0, 10.0], [0.0; 3]),
                    at([40.0, 10.0, 10.0], [20.0, 0.0, 0.0]),
                ],
                2,
            ),
            // In it; in its corner, where both have the same faces.
            (vec![block(), at([5.0; 3], [6.0, 7.0, 8.0])], 1),
            (vec![block(), at([5.0; 3], [0.0; 3])], 2),
            // A cavity twice, and two in line.
            (vec![block(), cavity([3.0; 3]), cavity([3.0; 3])], 2),
            (vec![block(), cavity([3.0; 3]), cavity([5.0, 3.0, 3.0])], 2),
            // Sound: apart, touching, hollow, an island in a cavity.
            (vec![block(), at([5.0; 3], [30.0, 0.0, 0.0])], 0),
            (vec![block(), at([20.0, 20.0, 5.0], [0.0, 0.0, 20.0])], 0),
            (vec![block(), at([5.0; 3], [20.0 - 1e-6, 3.0, -2.0])], 0),
            (vec![block(), cavity([3.0; 3])], 0),
            (vec![block(), cavity([3.0; 3]), at([2.0; 3], [4.0; 3])], 0),
        ] {
            for by in [[0.0; 3], [700.0, -300.0, 40.0]] {
                assert_eq!(
                    joined(&parts).moved(by).doubled_shells(),
                    shells,
                    "{parts:?}"
                );
            }
        }
        assert_eq!(Mesh::default().doubled_shells(), 0);
        // The same block twice with its faces cut otherwise.
        let twice = joined(&[block(), at([-20.0, 20.0, 20.0], [20.0, 0.0, 0.0])]);
        let twice = twice.mended().map_or(twice, |m| m.0);
        assert_eq!(twice.doubled_shells(), 2);
    }

    #[test]
    fn a_shell_that_passes_through_itself_is_one() {
        // A band whose end runs through its side.
        let band = prism(
            &[
                [0.0, 0.0],
                [10.0, 0.0],
                [10.0, 10.0],
                [2.0, 10.0],
                [2.0, -5.0],
                [3.0, -5.0],
                [3.0, 9.0],
                [9.0, 9.0],
                [9.0, 1.0],
                [0.0, 1.0],
            ],
            5.0,
        );
        assert_eq!(band.crossing_shells(), Some(1));
        let angle = prism(
            &[
                [0.0, 0.0],
                [40.0, 0.0],
                [40.0, 6.0],
                [4.0, 6.0],
                [4.0, 30.0],
                [0.0, 30.0],
            ],
            50.0,
        );
        assert_eq!(angle.crossing_shells(), Some(0));
    }

    #[test]
    fn pairs_are_looked_at_up_to_a_budget_and_each_once() {
        let profile: Vec<[f64; 2]> = (0..=40)
            .map(|i| {
                let a = std::f64::consts::PI * (f64::from(i) / 40.0 - 0.5);
                [if i % 40 == 0 { 0.0 } else { 8.0 * a.cos() }, 8.0 * a.sin()]
            })
            .collect();
        let ball = revolved(&profile, 60);
        assert_eq!(ball.crossing_shells(), Some(0));
        assert_eq!(ball.crossing_within(1000), None);
        let two = joined(&[ball.clone(), ball.moved([9.0, 1.0, 2.0])]);
        assert_eq!(two.crossing_shells(), Some(2));
        // The same as trying all pairs.
        let all: Vec<[P3; 3]> = two
            .triangles
            .iter()
            .filter_map(|t| two.corners(t))
            .collect();
        let pairs = (0..all.len()).flat_map(|i| (0..i).map(move |k| (i, k)));
        let slow: Vec<(usize, usize)> = pairs
            .filter(|(i, k)| pass(&all[*i], &all[*k], 1e-5))
            .collect();
        let tree = Bvh::new(&two).unwrap();
        let (mut fast, mut left) = (Vec::new(), usize::MAX);
        for task in tree.pair_tasks() {
            let see = |a: &Triangle, b: &Triangle| {
                if pass(&a.corners, &b.corners, 1e-5) {
                    let (a, b) = (a.number as usize, b.number as usize);
                    fast.push((a.max(b), a.min(b)));
                }
            };
            tree.pairs(task, &mut left, see).unwrap();
        }
        fast.sort_unstable();
        assert!(!slow.is_empty());
        assert_eq!(fast, slow);
    }
}
