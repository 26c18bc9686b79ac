//! Fewer points without losing any of the region: concave points are bridged, short convex edges
//! are replaced by the point where their neighbours meet. Both only add area.

use super::distance::point_segment_squared;
use super::outline::{Outline, P2, signed_area, turn};
use super::overlay;

/// See [`Outline::simplify_outward`].
pub(super) fn outward(outline: &Outline, tolerance_mm: f64) -> Outline {
    let rings: Vec<Vec<P2>> = outline
        .rings()
        .map(|ring| ring_outward(ring, tolerance_mm))
        .collect();
    let result = overlay::fill_rings(rings.iter().map(Vec::as_slice));
    if result.point_count() >= outline.point_count() {
        return outline.clone();
    }
    // Rounding to the grid may cut a sliver 1e-6 mm wide along the edge, nothing more.
    let perimeter: f64 = outline
        .rings()
        .flat_map(super::outline::edges)
        .map(|(a, b)| libm::hypot(b[0] - a[0], b[1] - a[1]))
        .sum();
    if overlay::difference(outline, &result).area() <= 2e-6 * perimeter {
        result
    } else {
        outline.clone()
    }
}

/// A corner of the ring and how far the edge after it has already been pushed outward, mm.
#[derive(Clone, Copy)]
struct Corner {
    point: P2,
    pushed: f64,
}

fn ring_outward(ring: &[P2], tolerance_mm: f64) -> Vec<P2> {
    let mut corners: Vec<Corner> = ring
        .iter()
        .map(|&point| Corner { point, pushed: 0.0 })
        .collect();
    // Small steps first, so that a finely drawn arc is thinned evenly and not eaten from one end.
    for share in [1e-6, 0.02, 0.05, 0.1, 0.2, 0.35, 0.5, 0.7, 1.0] {
        while sweep(&mut corners, share * tolerance_mm) {}
    }
    let points: Vec<P2> = corners.iter().map(|c| c.point).collect();
    // A ring that flipped (a hole narrower than the tolerance) keeps its own points.
    if points.len() < 3 || signed_area(&points) * signed_area(ring) <= 0.0 {
        ring.to_vec()
    } else {
        points
    }
}

/// One walk around the ring, each corner touched at most once; whether anything was saved.
fn sweep(corners: &mut Vec<Corner>, limit: f64) -> bool {
    let before = corners.len();
    let mut out: Vec<Corner> = Vec::with_capacity(before);
    let mut i = 0;
    let n = corners.len();
    // The walk stops short of the closing corners; turning the ring lets the next one reach them.
    while i < n {
        let left = n - i;
        let (Some(&previous), true) = (out.last(), left >= 2) else {
            out.push(corners[i]);
            i += 1;
            continue;
        };
        let here = corners[i];
        let next = corners[i + 1];
        if out.len() + left > 4 {
            if let Some(pushed) = bridge(previous, here, next.point)
                && pushed <= limit
            {
                if let Some(last) = out.last_mut() {
                    last.pushed = pushed;
                }
                out.push(next);
                i += 2;
                continue;
            }
            if left >= 3
                && let Some((point, pushed)) = extend(previous, here, next, corners[i + 2].point)
                && pushed <= limit
            {
                if let Some(last) = out.last_mut() {
                    last.pushed = last.pushed.max(pushed);
                }
                out.push(Corner {
                    point,
                    pushed: next.pushed.max(pushed),
                });
                out.push(corners[i + 2]);
                i += 3;
                continue;
            }
        }
        out.push(here);
        i += 1;
    }
    let saved = out.len() < before;
    let shift = 3.min(out.len());
    out.rotate_left(shift);
    *corners = out;
    saved
}

/// Leaving out a concave or straight corner: how far the new edge stands outside.
fn bridge(previous: Corner, here: Corner, next: P2) -> Option<f64> {
    let (a, b, c) = (previous.point, here.point, next);
    let length = libm::hypot(c[0] - a[0], c[1] - a[1]);
    if length == 0.0 || turn(a, b, c) > 1e-9 * length {
        return None;
    }
    // The corner has to lie beside the new edge, or the edge would not cover its own ends.
    let along = ((b[0] - a[0]) * (c[0] - a[0]) + (b[1] - a[1]) * (c[1] - a[1])) / length;
    if !(0.0..=length).contains(&along) {
        return None;
    }
    Some(turn(a, b, c).abs() / length + previous.pushed.max(here.pushed))
}

/// Replacing the edge between two convex corners by the point where its neighbours meet.
fn extend(previous: Corner, here: Corner, next: Corner, after: P2) -> Option<(P2, f64)> {
    let (p, a, b, q) = (previous.point, here.point, next.point, after);
    if turn(p, a, b) <= 0.0 || turn(a, b, q) <= 0.0 {
        return None;
    }
    let (ux, uy) = (a[0] - p[0], a[1] - p[1]);
    let (vx, vy) = (q[0] - b[0], q[1] - b[1]);
    let cross = ux * vy - uy * vx;
    // The neighbours meet ahead only if they turn by less than half a turn together.
    if cross <= 0.0 {
        return None;
    }
    let t = ((b[0] - a[0]) * vy - (b[1] - a[1]) * vx) / cross;
    let x = [a[0] + t * ux, a[1] + t * uy];
    let length = libm::hypot(b[0] - a[0], b[1] - a[1]);
    if t.is_nan() || t <= 0.0 || length == 0.0 {
        return None;
    }
    Some((x, libm::sqrt(point_segment_squared(x, a, b)) + here.pushed))
}

#[cfg(test)]
mod tests {
    use super::super::distance::point_segment_squared;
    use super::super::outline::edges;
    use super::*;

    fn distance_to(outline: &Outline, p: P2) -> f64 {
        if outline.contains(p) {
            return 0.0;
        }
        outline
            .rings()
            .flat_map(edges)
            .map(|(a, b)| point_segment_squared(p, a, b))
            .fold(f64::INFINITY, f64::min)
            .sqrt()
    }

    /// Contains the original; nowhere farther out than the tolerance, looked at in ten points an
    /// edge.
    fn check(outline: &Outline, tolerance: f64) -> Outline {
        let simple = outline.simplify_outward(tolerance);
        assert!(overlay::difference(outline, &simple).area() < 1e-3);
        for (a, b) in simple.rings().flat_map(edges) {
            for k in 0..10 {
                let t = k as f64 / 10.0;
                let p = [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])];
                let out = distance_to(outline, p);
                assert!(out <= tolerance + 1e-5, "{out} at {p:?}");
            }
        }
        simple
    }

    fn polygon(n: usize, radius: impl Fn(f64) -> f64) -> Outline {
        let points: Vec<P2> = (0..n)
            .map(|k| {
                let a = 2.0 * std::f64::consts::PI * k as f64 / n as f64;
                [radius(a) * a.cos(), radius(a) * a.sin()]
            })
            .collect();
        Outline::polygon(&points).unwrap()
    }

    #[test]
    fn what_is_already_plain_comes_back_as_it_is() {
        let square = Outline::rectangle(30.0, 20.0);
        assert_eq!(square.simplify_outward(0.02), square);
        let triangle = Outline::polygon(&[[0.0, 0.0], [5.0, 0.0], [0.0, 0.01]]).unwrap();
        assert_eq!(triangle.simplify_outward(0.02), triangle);
        assert!(Outline::default().simplify_outward(0.02).is_empty());
    }

    #[test]
    fn finely_drawn_curves_lose_points_and_no_area() {
        let disc = polygon(2000, |_| 20.0);
        let simple = check(&disc, 0.02);
        // A tangent polygon within 0.02 mm of a 20 mm radius needs 71 edges
        // (π / acos(20 / 20.02)); the local steps may take three times that.
        assert!(simple.point_count() < 213, "{}", simple.point_count());
        let wavy = polygon(3000, |a| 20.0 + 2.0 * (9.0 * a).sin());
        let simple = check(&wavy, 0.02);
        assert!(simple.point_count() < 600, "{}", simple.point_count());
        let bored = Outline::difference(&disc, &polygon(1000, |_| 12.0));
        let simple = check(&bored, 0.02);
        assert_eq!(simple.shapes[0].holes.len(), 1);
        assert!(simple.point_count() < 350, "{}", simple.point_count());
    }

    #[test]
    fn slots_and_holes_finer_than_the_tolerance_do_no_harm() {
        let plate = Outline::rectangle(20.0, 20.0);
        let slot = Outline::rectangle(10.0, 0.01);
        let slotted = Outline::difference(&plate, &slot.moved(8.0, 3.0));
        check(&slotted, 0.02);
        let pinhole = polygon(40, |_| 0.015);
        let simple = check(&Outline::difference(&plate, &pinhole), 0.02);
        assert_eq!(simple.bounds(), plate.bounds());
    }

    #[test]
    fn ragged_edges_stay_within_the_tolerance() {
        // Saw teeth 0.015 high along a long edge, and a noisy ring, by a fixed congruential
        // sequence (Lehmer, 48271 mod 2³¹ − 1).
        let mut saw = vec![[0.0, 10.0], [0.0, 0.0]];
        for k in 0..200 {
            let x = 0.1 * (k + 1) as f64;
            saw.push([x, if k % 2 == 0 { -0.015 } else { 0.0 }]);
        }
        saw.push([20.0, 10.0]);
        let simple = check(&Outline::polygon(&saw).unwrap(), 0.02);
        assert!(simple.point_count() < 150, "{}", simple.point_count());
        let mut seed = 1u64;
        let mut noise = || {
            seed = seed * 48271 % 2147483647;
            seed as f64 / 2147483647.0
        };
        let radii: Vec<f64> = (0..400).map(|_| 10.0 + 0.05 * noise()).collect();
        let ragged = polygon(400, |a| {
            radii[((a / std::f64::consts::PI * 200.0).round() as usize) % 400]
        });
        check(&ragged, 0.02);
    }
}
