//! Convex hulls of points in space.
//!
//! parry3d's hull is f32 and asserts on nearly flat input. Here points are laid on a grid of whole
//! numbers, each shifted by a few steps that depend on its place alone, so that no four lie in one
//! plane; on which side of a facet a point lies is then decided exactly. Quickhull by conflict
//! lists (Barber, Dobkin and Huhdanpaa 1996).

use super::mesh::{cross, dot, sub};
use std::collections::BTreeMap;

/// Steps of the grid over half the longest side of the points' box.
const STEPS: f64 = (1_u64 << 29) as f64;
/// A point is shifted by less than this many steps an axis: 5e-7 of half the longest side.
const SHIFT: u64 = 256;

type P3 = [f64; 3];
type Grid = [i64; 3];

/// A triangle of the hull while it is built.
struct Facet {
    corners: [u32; 3],
    /// Points beyond it that no other facet has.
    outside: Vec<u32>,
    alive: bool,
}

/// Triangles of the convex hull, outward, as indices of points; none when the points lie in one
/// plane. Points nearer to the hull than about 1e-6 of its size may be left out.
pub(super) fn hull(points: &[P3]) -> Option<Vec<[u32; 3]>> {
    let grid = on_grid(points)?;
    let mut work = Work {
        grid: &grid,
        facets: Vec::new(),
        edges: BTreeMap::new(),
    };
    let first = work.simplex(points)?;
    let rest = 0..points.len() as u32;
    let mut waiting: Vec<usize> = (0..4).collect();
    let free: Vec<u32> = rest.filter(|i| !first.contains(i)).collect();
    work.share(&free, &waiting);
    while let Some(facet) = waiting.pop() {
        if !work.facets[facet].alive {
            continue;
        }
        let Some(point) = work.farthest(facet, points) else {
            continue;
        };
        waiting.extend(work.add(facet, point));
    }
    let alive = work.facets.into_iter().filter(|f| f.alive);
    Some(alive.map(|f| f.corners).collect())
}

fn on_grid(points: &[P3]) -> Option<Vec<Grid>> {
    let first = *points.first()?;
    let (mut low, mut high) = (first, first);
    for p in points {
        for k in 0..3 {
            low[k] = low[k].min(p[k]);
            high[k] = high[k].max(p[k]);
        }
    }
    let half = sub(high, low).into_iter().fold(0.0, f64::max) / 2.0;
    if !(half > 0.0 && half.is_finite()) {
        return None;
    }
    let middle: P3 = std::array::from_fn(|k| low[k] + 0.5 * (high[k] - low[k]));
    let lay = |p: &P3| {
        let at = sub(*p, middle).map(|c| libm::round(c / half * STEPS) as i64);
        // Of the place alone, so that the order of the points does not matter.
        let mut hash = 0_u64;
        for c in at {
            hash = (hash ^ c as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15);
            hash ^= hash >> 29;
        }
        std::array::from_fn(|k| at[k] + (hash >> (16 * k) & (SHIFT - 1)) as i64)
    };
    Some(points.iter().map(lay).collect())
}

struct Work<'a> {
    grid: &'a [Grid],
    facets: Vec<Facet>,
    /// The facet to the left of each directed edge.
    edges: BTreeMap<(u32, u32), usize>,
}

impl Work<'_> {
    /// Six times the volume of a tetrahedron: positive when `p` lies outside of the triangle.
    /// Coordinates have 31 bits, so that nothing overflows.
    fn beyond(&self, [a, b, c]: [u32; 3], p: u32) -> i128 {
        let from = self.grid[p as usize];
        let [a, b, c] = [a, b, c].map(|i| {
            let at = self.grid[i as usize];
            [0, 1, 2].map(|k| i128::from(at[k] - from[k]))
        });
        -(a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0])
            + a[2] * (b[0] * c[1] - b[1] * c[0]))
    }

    fn push(&mut self, corners: [u32; 3]) -> usize {
        let [a, b, c] = corners;
        let number = self.facets.len();
        for edge in [(a, b), (b, c), (c, a)] {
            self.edges.insert(edge, number);
        }
        self.facets.push(Facet {
            corners,
            outside: Vec::new(),
            alive: true,
        });
        number
    }

    /// Four points far apart, as the first hull; none when all lie in one plane.
    fn simplex(&mut self, points: &[P3]) -> Option<[u32; 4]> {
        let farthest = |far: &dyn Fn(P3) -> f64| {
            let all = points.iter().enumerate().map(|(i, p)| (far(*p), i));
            all.reduce(|a, b| if b.0 > a.0 { b } else { a })
        };
        let (_, a) = farthest(&|p| -p[0] - 1e-3 * p[1] - 1e-6 * p[2])?;
        let from = points[a];
        let (far, b) = farthest(&|p| dot(sub(p, from), sub(p, from)))?;
        let way = sub(points[b], from);
        let (wide, c) = farthest(&|p| {
            let n = cross(way, sub(p, from));
            dot(n, n)
        })?;
        let normal = cross(way, sub(points[c], from));
        let (deep, d) = farthest(&|p| dot(normal, sub(p, from)).abs())?;
        // Thinner than the shifts: a flat thing.
        let flat = 1e-6 * libm::sqrt(far);
        if libm::sqrt(wide) <= flat * libm::sqrt(far) || deep <= flat * libm::sqrt(wide) {
            return None;
        }
        let [a, b, c, d] = [a, b, c, d].map(|i| i as u32);
        let (b, c) = if self.beyond([a, b, c], d) > 0 {
            (c, b)
        } else {
            (b, c)
        };
        for corners in [[a, b, c], [a, d, b], [b, d, c], [c, d, a]] {
            self.push(corners);
        }
        Some([a, b, c, d])
    }

    /// Gives each point to the first of some facets that it lies beyond.
    fn share(&mut self, points: &[u32], among: &[usize]) {
        for p in points {
            let beyond = |f: &&usize| self.beyond(self.facets[**f].corners, *p) > 0;
            if let Some(f) = among.iter().find(beyond) {
                self.facets[*f].outside.push(*p);
            }
        }
    }

    /// The point farthest beyond a facet.
    fn farthest(&self, facet: usize, points: &[P3]) -> Option<u32> {
        let Facet {
            corners, outside, ..
        } = &self.facets[facet];
        let [a, b, c] = corners.map(|i| points[i as usize]);
        let n = cross(sub(b, a), sub(c, a));
        let far = |p: &u32| dot(n, sub(points[*p as usize], a));
        outside
            .iter()
            .map(|p| (far(p), *p))
            .reduce(|a, b| if b.0 > a.0 { b } else { a })
            .map(|(_, p)| p)
    }

    /// Takes a point beyond a facet into the hull; gives the new facets.
    fn add(&mut self, facet: usize, point: u32) -> Vec<usize> {
        // The facets that the point sees hang together.
        let (mut seen, mut next) = (vec![facet], 0);
        self.facets[facet].alive = false;
        let mut rim = Vec::new();
        while next < seen.len() {
            let [a, b, c] = self.facets[seen[next]].corners;
            next += 1;
            for (from, to) in [(a, b), (b, c), (c, a)] {
                let Some(&other) = self.edges.get(&(to, from)) else {
                    continue;
                };
                if !self.facets[other].alive {
                    continue;
                }
                if self.beyond(self.facets[other].corners, point) > 0 {
                    self.facets[other].alive = false;
                    seen.push(other);
                } else {
                    rim.push((from, to));
                }
            }
        }
        let mut free = Vec::new();
        for old in seen {
            free.append(&mut self.facets[old].outside);
        }
        free.retain(|p| *p != point);
        let fresh: Vec<usize> = rim
            .into_iter()
            .map(|(from, to)| self.push([from, to, point]))
            .collect();
        self.share(&free, &fresh);
        fresh
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn volume(points: &[P3], triangles: &[[u32; 3]]) -> f64 {
        let six = triangles.iter().map(|t| {
            let [a, b, c] = t.map(|i| points[i as usize]);
            dot(a, cross(b, c))
        });
        six.sum::<f64>() / 6.0
    }

    #[test]
    fn a_grid_of_points_has_the_hull_of_its_corners() {
        let points: Vec<P3> = (0..1000)
            .map(|i| [i % 10, i / 10 % 10, i / 100].map(f64::from))
            .collect();
        let found = hull(&points).unwrap();
        assert!((volume(&points, &found) - 729.0).abs() < 1e-9);
    }

    #[test]
    fn flat_points_have_none() {
        let flat: Vec<P3> = (0..100)
            .map(|i| [f64::from(i % 10), f64::from(i / 10), 3.0])
            .collect();
        assert_eq!(hull(&flat), None);
        assert_eq!(hull(&[]), None);
        assert_eq!(hull(&[[1.0; 3]; 9]), None);
        let line: Vec<P3> = (0..9).map(|i| [f64::from(i); 3]).collect();
        assert_eq!(hull(&line), None);
    }

    proptest! {
        #[test]
        fn no_point_lies_outside(
            points in proptest::collection::vec([-9.0..9.0_f64, -9.0..9.0, -9.0..9.0], 5..200),
            coarse in any::<bool>(),
        ) {
            // Coarse ones coincide and lie in common planes without number.
            let round = |c: f64| if coarse { (c / 3.0).round() } else { c };
            let points: Vec<P3> = points.into_iter().map(|p| p.map(round)).collect();
            let Some(found) = hull(&points) else {
                return Ok(());
            };
            // Closed, and round about: V - E + F = 2.
            let mut used: Vec<u32> = found.iter().flatten().copied().collect();
            used.sort_unstable();
            used.dedup();
            prop_assert_eq!(2 * used.len(), found.len() + 4);
            for t in &found {
                let [a, b, c] = t.map(|i| points[i as usize]);
                let n = cross(sub(b, a), sub(c, a));
                let size = dot(n, n).sqrt();
                for p in &points {
                    prop_assert!(dot(n, sub(*p, a)) <= 1e-4 * size.max(1e-3));
                }
            }
        }
    }
}
