//! Cutting an outline into convex pieces: ear clipping, then joining what stays convex
//! (Hertel–Mehlhorn: at most four times the least possible number of pieces).

use super::outline::{Outline, P2, Shape, edges, segments_meet, signed_area, turn};
use std::collections::BTreeMap;

/// Convex counter-clockwise pieces that cover the outline and nothing else.
pub(super) fn convex_pieces(outline: &Outline) -> Vec<Vec<P2>> {
    outline.shapes.iter().flat_map(shape_pieces).collect()
}

impl Outline {
    /// Convex counter-clockwise pieces that cover the outline and nothing else: for drawing it
    /// filled.
    pub fn convex_pieces(&self) -> Vec<Vec<P2>> {
        convex_pieces(self)
    }
}

fn shape_pieces(shape: &Shape) -> Vec<Vec<P2>> {
    let points: Vec<P2> = std::iter::once(&shape.outer)
        .chain(&shape.holes)
        .flatten()
        .copied()
        .collect();
    let wanted: f64 =
        signed_area(&shape.outer) + shape.holes.iter().map(|h| signed_area(h)).sum::<f64>();
    let area = |loops: &[Vec<usize>]| -> f64 {
        loops
            .iter()
            .map(|l| signed_area(&l.iter().map(|&i| points[i]).collect::<Vec<_>>()))
            .sum()
    };
    // Slivers can leave the clipping without an ear, or with the wrong one; the area tells.
    match bridged(shape, &points).and_then(|ring| clip_ears(&points, ring)) {
        Some(triangles) if (area(&triangles) - wanted).abs() <= 1e-6 * wanted => {
            join(&points, triangles)
                .into_iter()
                .map(|l| l.into_iter().map(|i| points[i]).collect())
                .collect()
        }
        _ => trapezoids(shape),
    }
}

/// One ring of point indices for outer ring and holes, joined by bridges walked both ways.
fn bridged(shape: &Shape, points: &[P2]) -> Option<Vec<usize>> {
    let mut ring: Vec<usize> = (0..shape.outer.len()).collect();
    let mut holes: Vec<Vec<usize>> = Vec::new();
    let mut start = shape.outer.len();
    for hole in &shape.holes {
        holes.push((start..start + hole.len()).collect());
        start += hole.len();
    }
    let rightmost = |hole: &Vec<usize>| {
        hole.iter()
            .map(|&i| points[i][0])
            .fold(f64::NEG_INFINITY, f64::max)
    };
    // From the right: what a hole sees to its right is then part of the ring already.
    holes.sort_by(|a, b| rightmost(b).total_cmp(&rightmost(a)));
    for k in 0..holes.len() {
        let at = (0..holes[k].len())
            .max_by(|&a, &b| points[holes[k][a]][0].total_cmp(&points[holes[k][b]][0]))?;
        let from = points[holes[k][at]];
        let mut order: Vec<usize> = (0..ring.len()).collect();
        let squared = |i: &usize| {
            let p = points[ring[*i]];
            (p[0] - from[0]).powi(2) + (p[1] - from[1]).powi(2)
        };
        order.sort_by(|a, b| squared(a).total_cmp(&squared(b)).then(a.cmp(b)));
        let target = order.into_iter().find(|&i| {
            let n = ring.len();
            let (before, after) = (points[ring[(i + n - 1) % n]], points[ring[(i + 1) % n]]);
            let to = points[ring[i]];
            opens_towards(before, to, after, from)
                && !std::iter::once(&ring)
                    .chain(&holes[k..])
                    .any(|other| crosses(points, other, from, to))
        })?;
        let hole = &holes[k];
        let mut next = ring[..=target].to_vec();
        next.extend(hole[at..].iter().chain(&hole[..=at]));
        next.extend(&ring[target..]);
        ring = next;
    }
    Some(ring)
}

/// Whether the filled side at corner `at` (between `before` and `after`) opens towards a point.
fn opens_towards(before: P2, at: P2, after: P2, point: P2) -> bool {
    if turn(before, at, after) > 0.0 {
        turn(at, after, point) > 0.0 && turn(before, at, point) > 0.0
    } else {
        turn(at, after, point) > 0.0 || turn(before, at, point) > 0.0
    }
}

/// Whether a bridge meets an edge that does not end where the bridge does.
fn crosses(points: &[P2], ring: &[usize], from: P2, to: P2) -> bool {
    let n = ring.len();
    (0..n).any(|i| {
        let (a, b) = (points[ring[i]], points[ring[(i + 1) % n]]);
        let shares = [a, b].iter().any(|p| *p == from || *p == to);
        if shares {
            // Running along the edge, the bridge would hide a corner.
            let other = if a == from || a == to { b } else { a };
            other != from
                && other != to
                && turn(from, to, other) == 0.0
                && (other[0] - from[0]) * (other[0] - to[0])
                    + (other[1] - from[1]) * (other[1] - to[1])
                    < 0.0
        } else {
            segments_meet(from, to, a, b)
        }
    })
}

/// Triangles of a ring; `None` if it runs out of ears.
fn clip_ears(points: &[P2], mut ring: Vec<usize>) -> Option<Vec<Vec<usize>>> {
    let mut triangles = Vec::with_capacity(ring.len());
    let mut at = 0;
    let mut tried = 0;
    while ring.len() > 3 {
        let n = ring.len();
        if tried > n {
            return None;
        }
        let i = at % n;
        let (a, b, c) = (ring[(i + n - 1) % n], ring[i], ring[(i + 1) % n]);
        let turned = turn(points[a], points[b], points[c]);
        if turned == 0.0 || is_ear(points, &ring, a, b, c) {
            if turned != 0.0 {
                triangles.push(vec![a, b, c]);
            }
            ring.remove(i);
            // Going on two corners further keeps the triangles from fanning around one point.
            at = i + 1;
            tried = 0;
        } else {
            at = i + 1;
            tried += 1;
        }
    }
    if ring.len() == 3 && turn(points[ring[0]], points[ring[1]], points[ring[2]]) > 0.0 {
        triangles.push(ring);
    }
    Some(triangles)
}

fn is_ear(points: &[P2], ring: &[usize], a: usize, b: usize, c: usize) -> bool {
    let (pa, pb, pc) = (points[a], points[b], points[c]);
    if turn(pa, pb, pc) <= 0.0 {
        return false;
    }
    ring.iter().all(|&v| {
        let p = points[v];
        // Corners at the same place (both sides of a bridge) do not block.
        p == pa
            || p == pb
            || p == pc
            || turn(pa, pb, p) < 0.0
            || turn(pb, pc, p) < 0.0
            || turn(pc, pa, p) < 0.0
    })
}

/// Joins neighbouring pieces wherever the result is convex.
fn join(points: &[P2], triangles: Vec<Vec<usize>>) -> Vec<Vec<usize>> {
    let mut pieces: Vec<Option<Vec<usize>>> = triangles.into_iter().map(Some).collect();
    let mut owner: BTreeMap<(usize, usize), usize> = BTreeMap::new();
    for (k, piece) in pieces.iter().enumerate() {
        for (a, b) in loop_edges(piece.as_deref().unwrap_or_default()) {
            owner.insert((a, b), k);
        }
    }
    let inner: Vec<(usize, usize)> = owner
        .keys()
        .copied()
        .filter(|&(a, b)| a < b && owner.contains_key(&(b, a)))
        .collect();
    for (a, b) in inner {
        let (Some(&left), Some(&right)) = (owner.get(&(a, b)), owner.get(&(b, a))) else {
            continue;
        };
        if left == right {
            continue;
        }
        let (Some(l), Some(r)) = (&pieces[left], &pieces[right]) else {
            continue;
        };
        let Some(merged) = spliced(l, r, a, b) else {
            continue;
        };
        if !is_convex(points, &merged) {
            continue;
        }
        for edge in loop_edges(&merged) {
            owner.insert(edge, left);
        }
        owner.remove(&(a, b));
        owner.remove(&(b, a));
        pieces[left] = Some(merged);
        pieces[right] = None;
    }
    pieces.into_iter().flatten().collect()
}

fn loop_edges(piece: &[usize]) -> impl Iterator<Item = (usize, usize)> + '_ {
    (0..piece.len()).map(|i| (piece[i], piece[(i + 1) % piece.len()]))
}

/// The loop around two pieces that share the edge `a → b` of the left one.
fn spliced(left: &[usize], right: &[usize], a: usize, b: usize) -> Option<Vec<usize>> {
    let after_b = left.iter().position(|v| *v == b)?;
    let after_a = right.iter().position(|v| *v == a)?;
    let mut merged: Vec<usize> = (0..left.len())
        .map(|i| left[(after_b + i) % left.len()])
        .collect();
    merged.extend((1..right.len() - 1).map(|i| right[(after_a + i) % right.len()]));
    let mut sorted = merged.clone();
    sorted.sort_unstable();
    sorted.dedup();
    (sorted.len() == merged.len()).then_some(merged)
}

fn is_convex(points: &[P2], piece: &[usize]) -> bool {
    let n = piece.len();
    let at = |i: usize| points[piece[i % n]];
    (0..n).all(|i| {
        let (a, b, c) = (at(i), at(i + 1), at(i + 2));
        let scale = (b[0] - a[0]).abs() + (b[1] - a[1]).abs();
        // A dent of 1e-9 mm is filled by its hull, far below anything measured.
        turn(a, b, c) >= -1e-9 * scale
    })
}

/// Trapezoids between the x coordinates of all points: many, but they cannot fail.
fn trapezoids(shape: &Shape) -> Vec<Vec<P2>> {
    let all: Vec<(P2, P2)> = std::iter::once(&shape.outer)
        .chain(&shape.holes)
        .flat_map(|ring| edges(ring))
        .map(|(a, b)| if a[0] <= b[0] { (a, b) } else { (b, a) })
        .filter(|(a, b)| a[0] < b[0])
        .collect();
    let mut xs: Vec<f64> = all.iter().flat_map(|(a, b)| [a[0], b[0]]).collect();
    xs.sort_by(f64::total_cmp);
    xs.dedup();
    let mut out = Vec::new();
    for pair in xs.windows(2) {
        let (x0, x1) = (pair[0], pair[1]);
        let y = |(a, b): &(P2, P2), x: f64| a[1] + (b[1] - a[1]) * (x - a[0]) / (b[0] - a[0]);
        let mut spanning: Vec<&(P2, P2)> = all
            .iter()
            .filter(|(a, b)| a[0] <= x0 && b[0] >= x1)
            .collect();
        let middle = 0.5 * (x0 + x1);
        spanning.sort_by(|a, b| y(a, middle).total_cmp(&y(b, middle)));
        for bounds in spanning.chunks_exact(2) {
            let (low, high) = (bounds[0], bounds[1]);
            out.push(vec![
                [x0, y(low, x0)],
                [x1, y(low, x1)],
                [x1, y(high, x1)],
                [x0, y(high, x0)],
            ]);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn total(pieces: &[Vec<P2>]) -> f64 {
        pieces.iter().map(|p| signed_area(p)).sum()
    }

    fn check(outline: &Outline) -> usize {
        let pieces = convex_pieces(outline);
        assert!((total(&pieces) - outline.area()).abs() < 1e-9 * outline.area());
        for piece in &pieces {
            let indices: Vec<usize> = (0..piece.len()).collect();
            assert!(is_convex(piece, &indices), "{piece:?}");
        }
        let cut: Vec<Vec<P2>> = outline.shapes.iter().flat_map(trapezoids).collect();
        assert!((total(&cut) - outline.area()).abs() < 1e-9 * outline.area());
        pieces.len()
    }

    #[test]
    fn simple_shapes_come_out_in_few_pieces() {
        assert_eq!(check(&Outline::rectangle(10.0, 5.0)), 1);
        assert_eq!(check(&Outline::disc(30.0)), 1);
        let ell = Outline::polygon(&[
            [0.0, 0.0],
            [30.0, 0.0],
            [30.0, 10.0],
            [10.0, 10.0],
            [10.0, 20.0],
            [0.0, 20.0],
        ])
        .unwrap();
        assert_eq!(check(&ell), 2);
    }

    #[test]
    fn rings_and_plates_with_many_holes_are_cut_without_loss() {
        assert!(check(&Outline::ring(40.0, 34.0)) > 2);
        // A plate with a 6 × 5 field of round holes and two square ones: bridges in every row.
        let mut plate = Outline::rectangle(70.0, 60.0);
        for i in 0..6 {
            for j in 0..5 {
                let hole =
                    Outline::disc(6.0).moved(-27.5 + 11.0 * i as f64, -22.0 + 11.0 * j as f64);
                plate = Outline::difference(&plate, &hole);
            }
        }
        assert_eq!(plate.shapes[0].holes.len(), 30);
        let pieces = check(&plate);
        assert!(pieces < plate.point_count(), "{pieces}");
    }

    #[test]
    fn a_comb_and_its_turned_copies_are_cut_without_loss() {
        let mut points = vec![[0.0, 0.0], [40.0, 0.0]];
        for i in (0..20).rev() {
            let x = 2.0 * i as f64;
            points.extend([[x + 2.0, 9.0], [x + 1.2, 9.0], [x + 1.2, 1.0], [x, 1.0]]);
        }
        let comb = Outline::polygon(&points).unwrap();
        for angle in [0.0, 17.3, 90.0, 123.4] {
            check(&comb.rotated(angle));
        }
    }
}
