//! Which shells of a mesh make a body of their own.

use super::mesh::{Joined, Mesh, cross, dot, sub};

/// Shells beyond which a mesh is taken as one body: a soup or a lattice, no tray of parts (assumed).
const MOST_SHELLS: usize = 2000;

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
        let (low, high) = self.bounds().unwrap_or_default();
        let middle: [f64; 3] = std::array::from_fn(|k| 0.5 * (low[k] + high[k]));
        let mut numbers: Vec<Option<usize>> = vec![None; self.vertices.len()];
        let mut shells: Vec<Shell> = Vec::new();
        for (i, triangle) in self.triangles.iter().enumerate() {
            let Some(corners) = self.corners(triangle) else {
                continue;
            };
            let root = joined.root(triangle[0] as usize);
            let number = *numbers[root].get_or_insert(shells.len());
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
    /// in its box. A mesh in one piece, or in more than two thousand, is one body.
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
                around.six_volume > -shells[i].six_volume && around.boxes(&shells[i])
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
    fn part_of(&self, triangles: &[usize]) -> Mesh {
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
    use super::super::mesh::tests::{cube, joined, turned};
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
}
