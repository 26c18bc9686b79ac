//! What of a mesh touches the plane it rests on.

use super::mesh::Mesh;
use super::outline::{Outline, P2, convex_hull};
use super::overlay;

impl Mesh {
    /// Union of the faces that lie within `within_mm` of the lowest point; empty when the mesh
    /// stands on a point or an edge, as a lying cylinder with true curvature does.
    pub fn contact_outline(&self, within_mm: f64) -> Outline {
        let Some((low, _)) = self.bounds() else {
            return Outline::default();
        };
        let limit = low[2] + within_mm;
        let mut pieces: Vec<Vec<P2>> = Vec::new();
        for triangle in &self.triangles {
            let corners: Vec<[f64; 3]> = triangle
                .iter()
                .filter_map(|i| self.vertices.get(*i as usize).copied())
                .collect();
            if corners.len() < 3 || corners.iter().any(|c| c[2] > limit) {
                continue;
            }
            pieces.push(corners.iter().map(|c| [c[0], c[1]]).collect());
        }
        overlay::cover(&pieces)
    }

    /// Convex hull in plan of all corners within `within_mm` of the lowest point: what the mesh
    /// stands on, also where it does on edges or tips alone. Fewer than three points for an edge or
    /// a tip.
    pub fn support_polygon(&self, within_mm: f64) -> Vec<P2> {
        let limit = self.bounds().map_or(0.0, |(low, _)| low[2] + within_mm);
        let low = self.vertices.iter().filter(|v| v[2] <= limit);
        convex_hull(low.map(|v| [v[0], v[1]]))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A right prism over a triangle, resting on z = 3, and the same standing on its edge.
    fn wedge(turn: bool) -> Mesh {
        let a = [[0.0, 0.0, 0.0], [6.0, 0.0, 0.0], [0.0, 4.0, 0.0]];
        let up = |p: [f64; 3]| [p[0], p[1], 5.0];
        let [p, q, r] = a;
        let soup = [
            [p, r, q],
            [up(p), up(q), up(r)],
            [p, q, up(q)],
            [p, up(q), up(p)],
            [q, r, up(r)],
            [q, up(r), up(q)],
            [r, p, up(p)],
            [r, up(p), up(r)],
        ];
        let map = |p: [f64; 3]| {
            let s = std::f64::consts::FRAC_1_SQRT_2;
            // A turn of 45° about the long edge through p along z brings that edge down.
            if turn {
                [p[2], s * (p[0] - p[1]), s * (p[0] + p[1])]
            } else {
                p
            }
        };
        let soup: Vec<[[f64; 3]; 3]> = soup.iter().map(|t| t.map(map)).collect();
        Mesh::from_soup(&soup).moved([0.0, 0.0, 3.0])
    }

    #[test]
    fn a_flat_face_is_the_contact() {
        let contact = wedge(false).contact_outline(0.02);
        assert!((contact.area() - 12.0).abs() < 1e-6, "{}", contact.area());
    }

    #[test]
    fn an_edge_is_no_contact_area() {
        let wedge = wedge(true);
        assert!(wedge.contact_outline(0.02).area() < 0.5);
        assert_eq!(wedge.support_polygon(0.02), [[0.0, 0.0], [5.0, 0.0]]);
    }
}
