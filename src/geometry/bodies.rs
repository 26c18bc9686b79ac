//! Which shells of a mesh make a body of their own.

use super::mesh::{Joined, Mesh, cross, dot, sub};

/// Shells beyond which a mesh is taken as one body and none is turned over: a soup or a lattice, no
/// tray of parts (assumed), and each is tested against each.
pub(super) const MOST_SHELLS: usize = 2000;

/// A piece of surface that hangs together by its vertices.
pub(super) struct Shell {
    /// Indices of its triangles, ascending.
    pub triangles: Vec<usize>,
    /// Six times its signed volume.
    pub six_volume: f64,
    /// Lowest coordinates.
    pub min: [f64; 3],
    /// Highest coordinates.
    pub max: [f64; 3],
}

impl Shell {
    /// Whether another shell's box lies in this one's and is smaller.
    pub fn boxes(&self, other: &Shell) -> bool {
        (0..3).all(|k| self.min[k] <= other.min[k] && other.max[k] <= self.max[k])
            && (0..3).any(|k| self.min[k] < other.min[k] || other.max[k] < self.max[k])
    }

    /// Whether the boxes come within a distance of each other along each axis.
    fn meets(&self, other: &Shell, within: f64) -> bool {
        (0..3).all(|k| self.min[k] <= other.max[k] + within && other.min[k] <= self.max[k] + within)
    }
}

impl Mesh {
    /// The shells in the order of their first triangles. Triangles with indices out of range are
    /// in none.
    pub(super) fn shells(&self) -> Vec<Shell> {
        let mut joined = Joined::new(self.vertices.len());
        for &[a, b, c] in &self.triangles {
            joined.join(a as usize, b as usize);
            joined.join(b as usize, c as usize);
        }
        self.grouped(self.vertices.len(), |_, [v, ..]| joined.root(v as usize))
    }

    /// Whether surfaces that face outwards may cross or touch: the boxes of two of them, told apart
    /// by their edges, come within `within_mm`. What lies between such surfaces is no wall.
    ///
    /// By boxes alone, so that it may be said of surfaces that stand clear; and of more than two
    /// thousand it is said unseen.
    pub fn may_cross(&self, within_mm: f64) -> bool {
        let mut joined = Joined::new(self.triangles.len());
        // A vertex alone joins nothing here: two bars that cross may share a corner.
        for same in self
            .edges_with_triangles()
            .chunk_by(|a, b| a.0 >> 1 == b.0 >> 1)
        {
            for pair in same.windows(2) {
                joined.join(pair[0].1 as usize, pair[1].1 as usize);
            }
        }
        let mut outward = self.grouped(self.triangles.len(), |i, _| joined.root(i));
        outward.retain(|shell| shell.six_volume > 0.0);
        if outward.len() > MOST_SHELLS {
            return true;
        }
        let mut pairs = (1..outward.len()).flat_map(|k| (0..k).map(move |i| (i, k)));
        pairs.any(|(i, k)| outward[i].meets(&outward[k], within_mm))
    }

    /// Groups of triangles in the order of their first ones; `root` numbers the group of a triangle
    /// below `most`.
    fn grouped(&self, most: usize, mut root: impl FnMut(usize, [u32; 3]) -> usize) -> Vec<Shell> {
        let (low, high) = self.bounds().unwrap_or_default();
        let middle: [f64; 3] = std::array::from_fn(|k| 0.5 * (low[k] + high[k]));
        let mut numbers: Vec<Option<usize>> = vec![None; most];
        let mut shells: Vec<Shell> = Vec::new();
        for (i, triangle) in self.triangles.iter().enumerate() {
            let Some(corners) = self.corners(triangle) else {
                continue;
            };
            let number = *numbers[root(i, *triangle)].get_or_insert(shells.len());
            if number == shells.len() {
                shells.push(Shell {
                    triangles: Vec::new(),
                    six_volume: 0.0,
                    min: corners[0],
                    max: corners[0],
                });
            }
            let shell = &mut shells[number];
            shell.triangles.push(i);
            for p in corners {
                for (k, c) in p.into_iter().enumerate() {
                    shell.min[k] = shell.min[k].min(c);
                    shell.max[k] = shell.max[k].max(c);
                }
            }
            let [a, b, c] = corners.map(|p| sub(p, middle));
            shell.six_volume += dot(a, cross(b, c));
        }
        shells
    }

    /// The bodies of a mesh: a shell each, with the cavities (shells that face inwards) that lie
    /// in it. A mesh in one piece, or in more than two thousand, is one body.
    pub fn bodies(&self) -> Vec<Mesh> {
        let shells = self.shells();
        if shells.len() < 2 || shells.len() > MOST_SHELLS {
            return vec![self.clone()];
        }
        let owner = |i: usize| -> usize {
            if shells[i].six_volume >= 0.0 {
                return i;
            }
            let around = shells.iter().enumerate().filter(|(_, around)| {
                around.six_volume > -shells[i].six_volume
                    && around.boxes(&shells[i])
                    && self.encloses(around, &shells[i])
            });
            let smallest = around.min_by(|a, b| a.1.six_volume.total_cmp(&b.1.six_volume));
            smallest.map_or(i, |(k, _)| k)
        };
        let owners: Vec<usize> = (0..shells.len()).map(owner).collect();
        let mut found: Vec<Mesh> = Vec::new();
        for i in (0..shells.len()).filter(|i| owners[*i] == *i) {
            let own = (0..shells.len()).filter(|k| owners[*k] == i);
            let mut triangles: Vec<usize> = own
                .flat_map(|k| shells[k].triangles.iter().copied())
                .collect();
            triangles.sort_unstable();
            found.push(self.part_of(&triangles));
        }
        found
    }

    /// A mesh of some of the triangles, without the vertices that are not used.
    pub(super) fn part_of(&self, triangles: &[usize]) -> Mesh {
        let used = triangles.iter().map(|t| self.triangles[*t]);
        let mut old: Vec<u32> = used.clone().flatten().collect();
        old.sort_unstable();
        old.dedup();
        let new = |v: u32| old.binary_search(&v).unwrap_or_default() as u32;
        Mesh {
            vertices: old.iter().map(|v| self.vertices[*v as usize]).collect(),
            triangles: used.map(|t| t.map(new)).collect(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::mesh::tests::{cube, joined, prism, turned};
    use super::*;

    #[test]
    fn each_shell_is_a_body_and_a_cavity_stays_with_its_own() {
        let big = cube().scaled([4.0; 3]);
        let hollow = turned(cube().moved([1.0; 3]));
        let tray = joined(&[
            big.clone(),
            cube().moved([9.0, 0.0, 0.0]),
            hollow.clone(),
            big.moved([20.0, 0.0, 0.0]),
            cube().moved([21.0, 1.0, 1.0]),
        ]);
        let bodies = tray.bodies();
        let volumes: Vec<f64> = bodies.iter().map(|b| b.measures().volume_mm3).collect();
        let expected = [63.0, 1.0, 64.0, 1.0];
        assert_eq!(volumes.len(), expected.len());
        for (volume, expected) in volumes.iter().zip(expected) {
            assert!((volume - expected).abs() < 1e-9, "{volumes:?}");
        }
        assert_eq!(bodies[0].vertices.len(), 16);
        // Alone it is a body, inside out.
        assert_eq!(hollow.bodies(), std::slice::from_ref(&hollow));
        assert_eq!(Mesh::default().bodies().len(), 1);
    }
    #[test]
    fn what_faces_inwards_in_a_notch_is_no_cavity() {
        let corner = prism(
            &[
                [0.0, 0.0],
                [9.0, 0.0],
                [9.0, 3.0],
                [3.0, 3.0],
                [3.0, 9.0],
                [0.0, 9.0],
            ],
            5.0,
        );
        let volumes = |notched: &Mesh| -> Vec<f64> {
            let bodies = notched.bodies();
            bodies.iter().map(|b| b.measures().volume_mm3).collect()
        };
        let inside_out = turned(cube().moved([6.0, 2.0, 6.0]));
        let found = volumes(&joined(&[corner.clone(), inside_out]));
        assert_eq!(found.len(), 2, "{found:?}");
        assert!((found[0] - 225.0).abs() < 1e-9 && (found[1] + 1.0).abs() < 1e-9);
        let cavity = turned(cube().moved([1.0, 2.0, 1.0]));
        assert_eq!(volumes(&joined(&[corner, cavity])).len(), 1);
    }

    #[test]
    fn outward_surfaces_that_may_cross_are_told() {
        let big = cube().scaled([4.0; 3]);
        let beside = |by: f64| joined(&[big.clone(), cube().moved([by, 0.0, 0.0])]);
        assert!(!big.may_cross(0.02) && !Mesh::default().may_cross(0.02));
        assert!(!beside(4.1).may_cross(0.02));
        assert!(beside(4.01).may_cross(0.02) && beside(3.5).may_cross(0.0));
        // A cavity is no second wall.
        assert!(!joined(&[big.clone(), turned(cube().moved([1.0; 3]))]).may_cross(0.02));
        // Crossing bars that share one corner hang together by it alone.
        let soup = |m: &Mesh| -> Vec<_> {
            let corners = m.triangles.iter().filter_map(|t| m.corners(t));
            corners.collect()
        };
        let mut bars = soup(&cube().scaled([20.0, 10.0, 10.0]));
        bars.extend(soup(&cube().scaled([10.0, 20.0, 8.0])));
        let bars = Mesh::from_soup(&bars);
        assert_eq!(
            (bars.measures().shells, bars.measures().touching_edges),
            (1, 0)
        );
        assert!(bars.may_cross(0.0));
    }
}
