//! Cutting a mesh: cross-sections at a height, and what a band of heights covers in plan.

use super::mesh::Mesh;
use super::outline::P2;
use std::collections::BTreeMap;

/// An edge by its two vertices, lower index first, so that both its triangles name it alike.
type Edge = (u32, u32);

/// A mesh with the heights of its vertices drawn together to distinct levels.
pub(super) struct Leveled<'a> {
    mesh: &'a Mesh,
    z: Vec<f64>,
}

impl<'a> Leveled<'a> {
    /// Vertex heights within `merge_mm` above a level's lowest vertex become that level's height.
    /// Returns the levels too, ascending.
    pub(super) fn new(mesh: &'a Mesh, merge_mm: f64) -> (Leveled<'a>, Vec<f64>) {
        let mut order: Vec<usize> = (0..mesh.vertices.len()).collect();
        order.sort_by(|&a, &b| mesh.vertices[a][2].total_cmp(&mesh.vertices[b][2]));
        let mut z = vec![0.0; mesh.vertices.len()];
        let mut levels: Vec<f64> = Vec::new();
        for v in order {
            let height = mesh.vertices[v][2];
            match levels.last() {
                Some(level) if height - level <= merge_mm => z[v] = *level,
                _ => {
                    levels.push(height);
                    z[v] = height;
                }
            }
        }
        (Leveled { mesh, z }, levels)
    }

    fn height(&self, v: u32) -> f64 {
        self.z[v as usize]
    }

    fn plan(&self, v: u32) -> P2 {
        let p = self.mesh.vertices[v as usize];
        [p[0], p[1]]
    }

    /// Lowest and highest level of a triangle.
    pub(super) fn span(&self, triangle: &[u32; 3]) -> (f64, f64) {
        let z = triangle.map(|v| self.height(v));
        (z[0].min(z[1]).min(z[2]), z[0].max(z[1]).max(z[2]))
    }

    /// The triangle seen from above.
    pub(super) fn projected(&self, triangle: &[u32; 3]) -> [P2; 3] {
        triangle.map(|v| self.plan(v))
    }

    /// Where an edge passes a height. Worked from the edge's own order of vertices, so that both
    /// triangles beside it get the same point to the last bit.
    fn crossing(&self, edge: Edge, height: f64) -> P2 {
        let (a, b) = (self.plan(edge.0), self.plan(edge.1));
        let (za, zb) = (self.height(edge.0), self.height(edge.1));
        let t = if zb == za {
            0.0
        } else {
            ((height - za) / (zb - za)).clamp(0.0, 1.0)
        };
        [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])]
    }

    /// The part of a triangle between two heights, seen from above: a convex polygon, empty if
    /// the triangle only touches the band.
    pub(super) fn clipped(&self, triangle: &[u32; 3], low: f64, high: f64) -> Vec<P2> {
        let mut out = Vec::with_capacity(5);
        for k in 0..3 {
            let (v, w) = (triangle[k], triangle[(k + 1) % 3]);
            let (zv, zw) = (self.height(v), self.height(w));
            if (low..=high).contains(&zv) {
                out.push(self.plan(v));
            }
            let edge = (v.min(w), v.max(w));
            let mut cut = |height: f64| {
                if (zv < height && zw > height) || (zv > height && zw < height) {
                    out.push(self.crossing(edge, height));
                }
            };
            // In the order in which the walk from v to w meets them.
            if zv < zw {
                cut(low);
                cut(high);
            } else {
                cut(high);
                cut(low);
            }
        }
        if out.len() < 3 { Vec::new() } else { out }
    }

    /// The loops in which a plane cuts the surface, the solid on their left; `None` if they do
    /// not close, which a closed surface never does. A vertex in the plane counts as above it.
    pub(super) fn section<'t>(
        &self,
        triangles: impl Iterator<Item = &'t [u32; 3]>,
        height: f64,
    ) -> Option<Vec<Vec<P2>>> {
        let mut next: BTreeMap<Edge, Vec<Edge>> = BTreeMap::new();
        let mut balance: BTreeMap<Edge, i32> = BTreeMap::new();
        for triangle in triangles {
            let above = triangle.map(|v| self.height(v) >= height);
            let apex = match above {
                [true, false, false] | [false, true, true] => 0,
                [false, true, false] | [true, false, true] => 1,
                [false, false, true] | [true, true, false] => 2,
                _ => continue,
            };
            let (a, b, c) = (
                triangle[apex],
                triangle[(apex + 1) % 3],
                triangle[(apex + 2) % 3],
            );
            let (ab, ca) = ((a.min(b), a.max(b)), (a.min(c), a.max(c)));
            let (from, to) = if above[apex] { (ab, ca) } else { (ca, ab) };
            if from != to {
                next.entry(from).or_default().push(to);
                *balance.entry(from).or_default() += 1;
                *balance.entry(to).or_default() -= 1;
            }
        }
        if balance.values().any(|b| *b != 0) {
            return None;
        }
        // Every cut edge is entered as often as it is left, so each walk returns to its start;
        // where several sheets share an edge the pairing does not change what is enclosed.
        let starts: Vec<Edge> = next.keys().copied().collect();
        let mut loops = Vec::new();
        for start in starts {
            while let Some(first) = next.get_mut(&start).and_then(Vec::pop) {
                let mut ring = vec![self.crossing(start, height)];
                let mut at = first;
                while at != start {
                    ring.push(self.crossing(at, height));
                    at = next.get_mut(&at).and_then(Vec::pop)?;
                }
                loops.push(ring);
            }
        }
        Some(loops)
    }
}
