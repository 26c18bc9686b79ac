//! Typed outlines as meshes.

use super::mesh::Mesh;
use super::outline::Outline;

impl Mesh {
    /// The upright prism over an outline from height 0: closed, unless slivers force the outline
    /// to be cut elsewhere than at its corners.
    pub fn upright(outline: &Outline, height_mm: f64) -> Mesh {
        let low = |p: [f64; 2]| [p[0], p[1], 0.0];
        let high = |p: [f64; 2]| [p[0], p[1], height_mm];
        let mut soup = Vec::new();
        for piece in outline.convex_pieces() {
            for pair in piece.get(1..).unwrap_or_default().windows(2) {
                let [a, b, c] = [piece[0], pair[0], pair[1]];
                soup.push([high(a), high(b), high(c)]);
                soup.push([low(a), low(c), low(b)]);
            }
        }
        for ring in outline.rings() {
            for (i, &a) in ring.iter().enumerate() {
                let b = ring[(i + 1) % ring.len()];
                soup.push([low(a), low(b), high(b)]);
                soup.push([low(a), high(b), high(a)]);
            }
        }
        Mesh::from_soup(&soup)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn prisms_are_closed_and_as_large_as_their_outline() {
        let ell = [
            [0.0, 0.0],
            [9.0, 0.0],
            [9.0, 2.0],
            [2.0, 2.0],
            [2.0, 7.0],
            [0.0, 7.0],
        ];
        for outline in [
            Outline::rectangle(4.0, 3.0),
            Outline::disc(20.0),
            Outline::ring(20.0, 14.0),
            Outline::polygon(&ell).unwrap(),
        ] {
            let m = Mesh::upright(&outline, 5.0).measures();
            assert_eq!((m.open_edges, m.touching_edges), (0, 0));
            assert!((m.volume_mm3 - 5.0 * outline.area()).abs() < 1e-9);
        }
    }
}
