//! Cutting a face of many corners into triangles.

use super::mesh::{Mesh, cross, sub};
use super::outline::P2;

impl Mesh {
    /// Cuts a flat face into triangles, ears first, so that a concave outline is kept. The corners
    /// are indices into `vertices`, counter-clockwise seen from outside; indices out of range or a
    /// face that crosses itself are cut as a fan, which keeps the volume enclosed.
    pub fn cut_face(vertices: &[[f64; 3]], corners: &[u32]) -> Vec<[u32; 3]> {
        let fan = || -> Vec<[u32; 3]> {
            let pairs = corners.windows(2).skip(1);
            pairs.map(|p| [corners[0], p[0], p[1]]).collect()
        };
        if corners.len() < 4 {
            return fan();
        }
        let points: Option<Vec<[f64; 3]>> = corners
            .iter()
            .map(|c| vertices.get(*c as usize).copied())
            .collect();
        let Some(points) = points else { return fan() };
        let flat = flattened(&points);
        let n = corners.len();
        let convex = (0..n).all(|i| turn(flat[i], flat[(i + 1) % n], flat[(i + 2) % n]) >= 0.0);
        if convex {
            return fan();
        }
        ears(&flat).map_or_else(fan, |ears| {
            ears.into_iter().map(|t| t.map(|i| corners[i])).collect()
        })
    }
}

/// Seen along the face's own normal (Newell), counter-clockwise, by leaving out the axis in which
/// the normal is longest.
fn flattened(points: &[[f64; 3]]) -> Vec<P2> {
    let mut normal = [0.0; 3];
    let first = points[0];
    for pair in points.windows(2) {
        let n = cross(sub(pair[0], first), sub(pair[1], first));
        for (sum, part) in normal.iter_mut().zip(n) {
            *sum += part;
        }
    }
    let size = normal.map(f64::abs);
    let k = if size[0] >= size[1] && size[0] >= size[2] {
        0
    } else if size[1] >= size[2] {
        1
    } else {
        2
    };
    let (u, v) = ((k + 1) % 3, (k + 2) % 3);
    let (u, v) = if normal[k] < 0.0 { (v, u) } else { (u, v) };
    points.iter().map(|p| [p[u], p[v]]).collect()
}

fn turn(a: P2, b: P2, c: P2) -> f64 {
    (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
}

/// Ear clipping; `None` if no ear is left before the end.
fn ears(flat: &[P2]) -> Option<Vec<[usize; 3]>> {
    let mut ring: Vec<usize> = (0..flat.len()).collect();
    let mut out = Vec::with_capacity(flat.len());
    let (mut at, mut missed) = (0, 0);
    while ring.len() > 3 {
        let n = ring.len();
        let ear = [ring[(at + n - 1) % n], ring[at % n], ring[(at + 1) % n]];
        let [a, b, c] = ear.map(|i| flat[i]);
        let holds = |i: &&usize| {
            let p = flat[**i];
            ![a, b, c].contains(&p)
                && turn(a, b, p) >= 0.0
                && turn(b, c, p) >= 0.0
                && turn(c, a, p) >= 0.0
        };
        // Corners in line are cut off only when nothing else is left.
        let wide = turn(a, b, c);
        if (wide > 0.0 || (wide == 0.0 && missed > n)) && !ring.iter().any(|i| holds(&i)) {
            out.push(ear);
            ring.remove(at % n);
            missed = 0;
        } else {
            missed += 1;
            if missed > 2 * n {
                return None;
            }
        }
        at = (at + 1) % ring.len();
    }
    out.push([ring[0], ring[1], ring[2]]);
    Some(out)
}
