//! Cutting a face of many corners into triangles.

use super::mesh::{Mesh, cross, sub};
use super::outline::{P2, turn};

impl Mesh {
    /// Cuts a flat face into triangles, ears first, so that a concave outline is kept. The corners
    /// are indices into `vertices`, counter-clockwise seen from outside. Indices out of range, a
    /// face that crosses itself, and a spiral that would take the cube of its corners are cut as a
    /// fan, which keeps the volume enclosed.
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

/// Corners held against an ear, as a multiple of the square of all corners (assumed): outlines drawn
/// for parts take one to three, spirals as many as they have corners.
const TESTS_A_SQUARE: usize = 8;

/// Ear clipping; `None` if no ear is left before the end, or the tests are used up.
fn ears(flat: &[P2]) -> Option<Vec<[usize; 3]>> {
    let mut ring: Vec<usize> = (0..flat.len()).collect();
    let mut out = Vec::with_capacity(flat.len());
    let (mut at, mut missed) = (0, 0);
    let mut tests = TESTS_A_SQUARE * flat.len() * flat.len();
    while ring.len() > 3 {
        let n = ring.len();
        let ear = [ring[(at + n - 1) % n], ring[at % n], ring[(at + 1) % n]];
        let [a, b, c] = ear.map(|i| flat[i]);
        let holds = |i: &usize| {
            let p = flat[*i];
            ![a, b, c].contains(&p)
                && turn(a, b, p) >= 0.0
                && turn(b, c, p) >= 0.0
                && turn(c, a, p) >= 0.0
        };
        // Corners in line are cut off only when nothing else is left.
        let wide = turn(a, b, c);
        let mut ear_found = wide > 0.0 || (wide == 0.0 && missed > n);
        if ear_found {
            let inside = ring.iter().position(holds);
            tests = tests.checked_sub(inside.unwrap_or(n))?;
            ear_found = inside.is_none();
        }
        if ear_found {
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

#[cfg(test)]
mod tests {
    use super::*;

    /// A band of width 1 wound `turns` times, `n` corners a turn on either side.
    fn spiral(turns: usize, n: usize) -> Vec<[f64; 3]> {
        let at = |i: usize, by: f64| {
            let turn = 2.0 * std::f64::consts::PI * i as f64 / n as f64;
            let r = 10.0 + 3.0 * i as f64 / n as f64 + by;
            [r * turn.cos(), r * turn.sin(), 0.0]
        };
        let outer = (0..=turns * n).map(|i| at(i, 1.0));
        outer
            .chain((0..=turns * n).rev().map(|i| at(i, 0.0)))
            .collect()
    }

    fn area(vertices: &[[f64; 3]], triangles: &[[u32; 3]]) -> f64 {
        let flat = |v: u32| [vertices[v as usize][0], vertices[v as usize][1]];
        let twice = triangles
            .iter()
            .map(|t| turn(flat(t[0]), flat(t[1]), flat(t[2])));
        0.5 * twice.sum::<f64>()
    }

    #[test]
    fn spirals_keep_their_area_however_they_are_cut() {
        for (turns, n) in [(2, 12), (9, 108)] {
            let vertices = spiral(turns, n);
            let corners: Vec<u32> = (0..vertices.len() as u32).collect();
            let found = Mesh::cut_face(&vertices, &corners);
            assert_eq!(found.len(), corners.len() - 2);
            let fan: Vec<[u32; 3]> = corners
                .windows(2)
                .skip(1)
                .map(|p| [0, p[0], p[1]])
                .collect();
            let expected = area(&vertices, &fan);
            assert!((area(&vertices, &found) - expected).abs() < 1e-6 * expected);
        }
    }

    #[test]
    fn ears_are_looked_for_up_to_a_budget() {
        // Corners of a comb whose teeth hide all ears but one until they are cut from its end.
        let flat: Vec<P2> = spiral(2, 12).iter().map(|p| [p[0], p[1]]).collect();
        assert!(ears(&flat).is_some());
        // Crossing itself: no ear anywhere, and an end.
        let star: Vec<P2> = (0..999)
            .map(|i| {
                let a = 2.0 * std::f64::consts::PI * f64::from(i) * 499.0 / 999.0;
                [a.cos(), -a.sin()]
            })
            .collect();
        assert_eq!(ears(&star), None);
    }
}
