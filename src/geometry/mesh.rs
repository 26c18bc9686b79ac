//! Triangle meshes and what can be measured on them.
//!
//! Sums are made here in f64 and not by parry3d: in f32 the centroid of a part drawn 300 mm from
//! the origin is off by 0.018 mm, and its volume carries no sign, so that a mesh turned inside
//! out passes.

/// The axes of the six second moments.
const AXES: [[usize; 2]; 6] = [[0, 0], [1, 1], [2, 2], [0, 1], [0, 2], [1, 2]];

/// A triangle mesh, welded by exactly equal coordinates, in mm or in the units it was drawn in.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Mesh {
    /// The distinct points.
    pub vertices: Vec<[f64; 3]>,
    /// Three vertex indices a triangle, counter-clockwise seen from outside. Degenerate triangles
    /// are kept, so that they can be counted.
    pub triangles: Vec<[u32; 3]>,
}

/// What a mesh measures. In mm if the mesh is in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeshMeasures {
    /// Enclosed volume, mm³; negative for a mesh turned inside out, meaningless if edges are open.
    pub volume_mm3: f64,
    /// Surface area, mm².
    pub area_mm2: f64,
    /// Centroid of the enclosed volume, mm; the middle of the bounds if there is no volume.
    pub centroid_mm: [f64; 3],
    /// Moments of inertia of the enclosed volume at unit density about axes through its centroid:
    /// xx, yy, zz, then the products xy, xz, yz with their sign in the tensor, mm⁵.
    pub inertia_mm5: [f64; 6],
    /// Lowest coordinates, mm.
    pub min_mm: [f64; 3],
    /// Highest coordinates, mm.
    pub max_mm: [f64; 3],
    /// Undirected edges whose two directions do not occur equally often: 0 for a closed,
    /// consistently turned surface.
    pub open_edges: usize,
    /// Edges at which more than two triangles meet and that are not open: shells touch there.
    pub touching_edges: usize,
    /// Triangles without area: two corners equal, or all three on one line.
    pub degenerate_triangles: usize,
    /// Pieces of surface that share no vertex.
    pub shells: usize,
}

impl Mesh {
    /// Welds loose triangles into a mesh. Nothing is dropped: degenerate triangles stay and are
    /// counted by [`Mesh::measures`]. Coordinates must be finite (readers refuse others).
    pub fn from_soup(soup: &[[[f64; 3]; 3]]) -> Mesh {
        let mut welder = Welder::new(soup.len());
        // Adding zero makes -0 into 0.
        let mut weld = |corner: [f64; 3]| welder.weld(corner.map(|c| c + 0.0));
        let triangles = soup.iter().map(|t| t.map(&mut weld)).collect();
        Mesh {
            vertices: welder.vertices,
            triangles,
        }
    }

    /// The corners of a triangle; `None` for an index out of range.
    pub(super) fn corners(&self, triangle: &[u32; 3]) -> Option<[[f64; 3]; 3]> {
        Some([
            *self.vertices.get(triangle[0] as usize)?,
            *self.vertices.get(triangle[1] as usize)?,
            *self.vertices.get(triangle[2] as usize)?,
        ])
    }

    /// Scaled about the origin by a factor an axis. An odd number of negative factors mirrors, and
    /// the triangles are turned over so that the outside stays outside.
    pub fn scaled(&self, factors: [f64; 3]) -> Mesh {
        let mirrored = factors.iter().filter(|f| **f < 0.0).count() % 2 == 1;
        Mesh {
            vertices: self
                .vertices
                .iter()
                .map(|v| [v[0] * factors[0], v[1] * factors[1], v[2] * factors[2]])
                .collect(),
            triangles: self
                .triangles
                .iter()
                .map(|t| if mirrored { [t[0], t[2], t[1]] } else { *t })
                .collect(),
        }
    }

    /// Moved by a vector.
    pub fn moved(&self, by: [f64; 3]) -> Mesh {
        Mesh {
            vertices: self
                .vertices
                .iter()
                .map(|v| [v[0] + by[0], v[1] + by[1], v[2] + by[2]])
                .collect(),
            triangles: self.triangles.clone(),
        }
    }

    /// Lowest and highest coordinates of the vertices; `None` without vertices.
    pub fn bounds(&self) -> Option<([f64; 3], [f64; 3])> {
        let mut vertices = self.vertices.iter();
        let first = *vertices.next()?;
        Some(vertices.fold((first, first), |(lo, hi), v| {
            (
                std::array::from_fn(|k| lo[k].min(v[k])),
                std::array::from_fn(|k| hi[k].max(v[k])),
            )
        }))
    }

    /// Volume, area, centroid, bounds and the state of the surface; see [`MeshMeasures`].
    ///
    /// Volume and centroid are sums of signed tetrahedra (divergence theorem), taken about the
    /// middle of the bounds: about a far origin they would be differences of large numbers.
    pub fn measures(&self) -> MeshMeasures {
        let (min_mm, max_mm) = self.bounds().unwrap_or_default();
        let middle: [f64; 3] = std::array::from_fn(|k| 0.5 * (min_mm[k] + max_mm[k]));
        let (mut six_volume, mut moment, mut two_area) = (0.0, [0.0; 3], 0.0);
        let mut second = [0.0; 6];
        let mut degenerate_triangles = 0;
        for triangle in &self.triangles {
            let Some([a, b, c]) = self.corners(triangle) else {
                continue;
            };
            let (a, b, c) = (sub(a, middle), sub(b, middle), sub(c, middle));
            let normal = cross(sub(b, a), sub(c, a));
            let doubled = libm::sqrt(dot(normal, normal));
            let longest = dot(sub(b, a), sub(b, a))
                .max(dot(sub(c, a), sub(c, a)))
                .max(dot(sub(c, b), sub(c, b)));
            // Height over the longest side below 1e-9 of that side: on one line.
            if doubled <= 1e-9 * longest {
                degenerate_triangles += 1;
            }
            two_area += doubled;
            let six = dot(a, cross(b, c));
            six_volume += six;
            for k in 0..3 {
                moment[k] += six * (a[k] + b[k] + c[k]);
            }
            for (sum, [i, j]) in second.iter_mut().zip(AXES) {
                *sum += six
                    * ((a[i] + b[i] + c[i]) * (a[j] + b[j] + c[j])
                        + a[i] * a[j]
                        + b[i] * b[j]
                        + c[i] * c[j]);
            }
        }
        let (open_edges, touching_edges, shells) = self.connections();
        let offset = moment.map(|m| {
            if six_volume == 0.0 {
                0.0
            } else {
                m / (4.0 * six_volume)
            }
        });
        // ∫ xᵢxⱼ dV about the middle, then about the centroid (parallel axes).
        let mut about = [0.0; 6];
        for ((about, sum), [i, j]) in about.iter_mut().zip(second).zip(AXES) {
            *about = sum / 120.0 - six_volume / 6.0 * offset[i] * offset[j];
        }
        let [xx, yy, zz, xy, xz, yz] = about;
        MeshMeasures {
            volume_mm3: six_volume / 6.0,
            area_mm2: two_area / 2.0,
            centroid_mm: std::array::from_fn(|k| middle[k] + offset[k]),
            inertia_mm5: [yy + zz, xx + zz, xx + yy, -xy, -xz, -yz],
            min_mm,
            max_mm,
            open_edges,
            touching_edges,
            degenerate_triangles,
            shells,
        }
    }

    /// Open edges alone; see [`MeshMeasures::open_edges`].
    pub fn open_edges(&self) -> usize {
        let mut edges = self.edges();
        edges.sort_unstable();
        open_and_touching(&edges).0
    }

    /// Open edges, touching edges and shells.
    fn connections(&self) -> (usize, usize, usize) {
        let mut shells = Joined::new(self.vertices.len());
        let mut used = vec![false; self.vertices.len()];
        for &[a, b, c] in &self.triangles {
            for (from, to) in [(a, b), (b, c), (c, a)] {
                if let Some(mark) = used.get_mut(from as usize) {
                    *mark = true;
                }
                shells.join(from as usize, to as usize);
            }
        }
        let mut edges = self.edges();
        edges.sort_unstable();
        let (open, touching) = open_and_touching(&edges);
        let count = (0..used.len())
            .filter(|&v| used[v] && shells.root(v) == v)
            .count();
        (open, touching, count)
    }

    /// All edges of all triangles, [`packed`], which sorts fast.
    fn edges(&self) -> Vec<u64> {
        let mut edges = Vec::with_capacity(3 * self.triangles.len());
        for &[a, b, c] in &self.triangles {
            for (from, to) in [(a, b), (b, c), (c, a)] {
                if from != to {
                    edges.push(packed(from, to));
                }
            }
        }
        edges
    }
}

/// How many of sorted [`packed`] edges are open, and at how many others shells touch.
fn open_and_touching(edges: &[u64]) -> (usize, usize) {
    let (mut open, mut touching) = (0, 0);
    for same in edges.chunk_by(|a, b| a >> 1 == b >> 1) {
        let forward = same.iter().filter(|e| *e & 1 == 1).count();
        open += usize::from(2 * forward != same.len());
        touching += usize::from(2 * forward == same.len() && forward > 1);
    }
    (open, touching)
}

/// An edge as one number: lower index, higher index, direction. Indices stay below 2³¹: so many
/// vertices take 50 GB.
pub(super) fn packed(from: u32, to: u32) -> u64 {
    let (low, high) = (u64::from(from.min(to)), u64::from(from.max(to)));
    low << 33 | high << 1 | u64::from(from < to)
}

/// The lower and the higher index of a [`packed`] edge.
pub(super) fn ends_of(edge: u64) -> [u32; 2] {
    [(edge >> 33) as u32, (edge >> 1) as u32]
}

/// Numbers points in the order of their coming, equal ones alike: a hash table of our own, since
/// std's has a random order in it and a sorted map takes seconds for a million triangles.
struct Welder {
    vertices: Vec<[f64; 3]>,
    /// Numbers of vertices, at the place of their hash or the next free one; a power of two long.
    slots: Vec<u32>,
}

impl Welder {
    const FREE: u32 = u32::MAX;

    /// For about half as many points as `triangles`; it grows.
    fn new(triangles: usize) -> Welder {
        Welder {
            vertices: Vec::with_capacity(triangles / 2 + 3),
            slots: vec![Welder::FREE; (triangles + 8).next_power_of_two()],
        }
    }

    fn slot(&self, point: &[f64; 3]) -> usize {
        // Multiplication spreads low bits upward; the shifts bring the high ones down.
        let mut hash = 0_u64;
        for c in point {
            hash = (hash ^ c.to_bits()).wrapping_mul(0x9E37_79B9_7F4A_7C15);
            hash ^= hash >> 29;
        }
        (hash ^ (hash >> 32)) as usize & (self.slots.len() - 1)
    }

    fn weld(&mut self, point: [f64; 3]) -> u32 {
        if 2 * self.vertices.len() >= self.slots.len() {
            self.slots = vec![Welder::FREE; 2 * self.slots.len()];
            for (i, v) in self.vertices.iter().enumerate() {
                let mut at = self.slot(v);
                while self.slots[at] != Welder::FREE {
                    at = (at + 1) & (self.slots.len() - 1);
                }
                self.slots[at] = i as u32;
            }
        }
        let mut at = self.slot(&point);
        loop {
            match self.slots[at] {
                Welder::FREE => {
                    self.slots[at] = self.vertices.len() as u32;
                    self.vertices.push(point);
                    return self.slots[at];
                }
                found if self.vertices[found as usize] == point => return found,
                _ => at = (at + 1) & (self.slots.len() - 1),
            }
        }
    }
}

/// Which vertices hang together (union–find with path halving).
pub(super) struct Joined(Vec<usize>);

impl Joined {
    pub(super) fn new(len: usize) -> Joined {
        Joined((0..len).collect())
    }

    pub(super) fn root(&mut self, mut v: usize) -> usize {
        while self.0[v] != v {
            self.0[v] = self.0[self.0[v]];
            v = self.0[v];
        }
        v
    }

    pub(super) fn join(&mut self, a: usize, b: usize) {
        if a < self.0.len() && b < self.0.len() {
            let (a, b) = (self.root(a), self.root(b));
            self.0[a.max(b)] = a.min(b);
        }
    }
}

pub(super) fn sub(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

pub(super) fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

pub(super) fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    ]
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;

    /// The unit cube, outward, as twelve loose triangles welded.
    pub(crate) fn cube() -> Mesh {
        let quads = [
            [[0, 0, 0], [0, 1, 0], [1, 1, 0], [1, 0, 0]],
            [[0, 0, 1], [1, 0, 1], [1, 1, 1], [0, 1, 1]],
            [[0, 0, 0], [1, 0, 0], [1, 0, 1], [0, 0, 1]],
            [[0, 1, 0], [0, 1, 1], [1, 1, 1], [1, 1, 0]],
            [[0, 0, 0], [0, 0, 1], [0, 1, 1], [0, 1, 0]],
            [[1, 0, 0], [1, 1, 0], [1, 1, 1], [1, 0, 1]],
        ];
        let soup: Vec<[[f64; 3]; 3]> = quads
            .iter()
            .flat_map(|q| [[q[0], q[1], q[2]], [q[0], q[2], q[3]]])
            .map(|t| t.map(|p| p.map(f64::from)))
            .collect();
        Mesh::from_soup(&soup)
    }

    /// A prism along y over a polygon in x and z, cut into ears by the face cutter.
    pub(crate) fn prism(profile: &[[f64; 2]], depth: f64) -> Mesh {
        let n = profile.len() as u32;
        let mut vertices: Vec<[f64; 3]> = profile.iter().map(|p| [p[0], 0.0, p[1]]).collect();
        vertices.extend(profile.iter().map(|p| [p[0], depth, p[1]]));
        let front: Vec<u32> = (0..n).collect();
        let back: Vec<u32> = (n..2 * n).rev().collect();
        let mut triangles = Mesh::cut_face(&vertices, &front);
        triangles.extend(Mesh::cut_face(&vertices, &back));
        for i in 0..n {
            let j = (i + 1) % n;
            triangles.extend([[i, n + i, n + j], [i, n + j, j]]);
        }
        let mesh = Mesh {
            vertices,
            triangles,
        };
        assert_eq!(mesh.measures().open_edges, 0);
        assert!(mesh.measures().volume_mm3 > 0.0);
        mesh
    }

    /// Shells side by side in one mesh.
    pub(crate) fn joined(meshes: &[Mesh]) -> Mesh {
        let mut all = Mesh::default();
        for mesh in meshes {
            let first = all.vertices.len() as u32;
            all.vertices.extend(&mesh.vertices);
            let moved = mesh.triangles.iter().map(|t| t.map(|v| v + first));
            all.triangles.extend(moved);
        }
        all
    }

    /// Every face the other way round.
    pub(crate) fn turned(mut mesh: Mesh) -> Mesh {
        mesh.triangles.iter_mut().for_each(|t| t.swap(1, 2));
        mesh
    }

    /// A closed profile `[radius, height]`, counter-clockwise, turned about the z axis in `n`
    /// steps. Points on the axis are allowed.
    pub(crate) fn revolved(profile: &[[f64; 2]], n: usize) -> Mesh {
        let at = |p: [f64; 2], k: usize| {
            let angle = 2.0 * std::f64::consts::PI * (k % n) as f64 / n as f64;
            [p[0] * angle.cos(), p[0] * angle.sin(), p[1]]
        };
        let mut soup = Vec::new();
        for (i, &p) in profile.iter().enumerate() {
            let q = profile[(i + 1) % profile.len()];
            for k in 0..n {
                let (a, b, c, d) = (at(p, k), at(p, k + 1), at(q, k + 1), at(q, k));
                if p[0] > 0.0 {
                    soup.push([a, b, c]);
                }
                if q[0] > 0.0 {
                    soup.push([a, c, d]);
                }
            }
        }
        Mesh::from_soup(&soup)
    }

    #[test]
    fn the_unit_cube_measures_one_wherever_it_is_drawn() {
        for by in [[0.0; 3], [700.0, -700.0, 300.0]] {
            let m = cube().moved(by).measures();
            assert!((m.volume_mm3 - 1.0).abs() < 1e-12);
            assert!((m.area_mm2 - 6.0).abs() < 1e-12);
            for (centroid, offset) in m.centroid_mm.iter().zip(by) {
                assert!((centroid - offset - 0.5).abs() < 1e-12);
            }
            assert_eq!((m.open_edges, m.degenerate_triangles, m.shells), (0, 0, 1));
            assert_eq!(m.max_mm[0] - m.min_mm[0], 1.0);
        }
        assert_eq!((cube().vertices.len(), cube().triangles.len()), (8, 12));
    }

    #[test]
    fn inertia_is_that_of_closed_forms() {
        // A block a × b × c of unit density: m (b² + c²) / 12 about x, no products.
        let block = cube().scaled([3.0, 2.0, 5.0]).moved([300.0, -80.0, 7.0]);
        let expected = [
            30.0 * 29.0 / 12.0,
            30.0 * 34.0 / 12.0,
            30.0 * 13.0 / 12.0,
            0.0,
            0.0,
            0.0,
        ];
        for (found, expected) in block.measures().inertia_mm5.iter().zip(expected) {
            assert!((found - expected).abs() < 1e-9, "{found} {expected}");
        }
        // The corner x + y + z ≤ 1: ∫x² = 1/60, ∫xy = 1/120, V = 1/6, centroid 1/4.
        let corner = Mesh::from_soup(&[
            [[0.0; 3], [0.0, 1.0, 0.0], [1.0, 0.0, 0.0]],
            [[0.0; 3], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]],
            [[0.0; 3], [0.0, 0.0, 1.0], [0.0, 1.0, 0.0]],
            [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]],
        ]);
        let square = 1.0 / 60.0 - 1.0 / 96.0;
        let product = 1.0 / 120.0 - 1.0 / 96.0;
        let m = corner.measures().inertia_mm5;
        assert!(
            (m[0] - 2.0 * square).abs() < 1e-15 && (m[3] + product).abs() < 1e-15,
            "{m:?}"
        );
    }

    #[test]
    fn the_order_of_triangles_does_not_matter() {
        let mut reversed = cube();
        reversed.triangles.reverse();
        let m = reversed.measures();
        assert!((m.volume_mm3 - 1.0).abs() < 1e-15);
        assert_eq!(m.open_edges, 0);
    }

    #[test]
    fn inside_out_is_negative_and_mirroring_is_not() {
        let mut inside_out = cube();
        for t in &mut inside_out.triangles {
            t.swap(1, 2);
        }
        let m = inside_out.measures();
        assert!((m.volume_mm3 + 1.0).abs() < 1e-12);
        assert_eq!(m.open_edges, 0);
        assert!((m.centroid_mm[0] - 0.5).abs() < 1e-12);
        let mirrored = cube().scaled([-2.0, 3.0, 1.0]).measures();
        assert!((mirrored.volume_mm3 - 6.0).abs() < 1e-12);
    }

    #[test]
    fn holes_and_wrongly_turned_triangles_are_open_edges() {
        let mut open = cube();
        open.triangles.truncate(10); // without the two triangles of x = 1
        assert_eq!(open.measures().open_edges, 4);
        let mut turned = cube();
        turned.triangles[0].swap(1, 2);
        assert_eq!(turned.measures().open_edges, 3);
        let mut doubled = cube();
        doubled.triangles.push(doubled.triangles[0]);
        assert_eq!(doubled.measures().open_edges, 3);
    }

    #[test]
    fn degenerate_triangles_are_kept_and_counted_and_shells_told_apart() {
        let mut soup = vec![
            [[0.0; 3], [1.0, 0.0, 0.0], [1.0, 0.0, 0.0]],
            [[0.0; 3], [1.0, 0.0, 0.0], [2.0, 0.0, 0.0]],
        ];
        let mesh = Mesh::from_soup(&soup);
        assert_eq!(mesh.triangles.len(), 2);
        assert_eq!(mesh.measures().degenerate_triangles, 2);
        assert_eq!(mesh.measures().shells, 1);
        soup.push([[5.0, 0.0, 0.0], [6.0, 0.0, 0.0], [5.0, 1.0, 0.0]]);
        assert_eq!(Mesh::from_soup(&soup).measures().shells, 2);
        // Zero has one sign: -0.0 welds to 0.0.
        let signs = Mesh::from_soup(&[[[0.0; 3], [-0.0, 0.0, 0.0], [1.0, 1.0, 1.0]]]);
        assert_eq!(signs.vertices.len(), 2);
    }

    #[test]
    fn an_empty_mesh_measures_nothing() {
        let m = Mesh::from_soup(&[]).measures();
        assert_eq!((m.volume_mm3, m.shells, m.open_edges), (0.0, 0, 0));
        assert_eq!(Mesh::default().bounds(), None);
    }
}
