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
    if !(t > 0.0) || length == 0.0 {
        return None;
    }
    Some((x, libm::sqrt(point_segment_squared(x, a, b)) + here.pushed))
}
