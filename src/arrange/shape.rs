//! Outlines for the search: grown by half the clearance, bores opened by a slit, fields shrunk.

use crate::geometry::outline::signed_area;
use crate::geometry::{P2, Shape};
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay::{Overlay, ShapeType};
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::i_float::int::point::IntPoint;

/// Grid points a unit of length.
const GRID: f64 = 1e7;

/// Widest turn that one tangent takes round a corner, radians: a corner's arc is circumscribed,
/// so a grown outline holds the true one and is at most r (1 / cos(TURN / 2) - 1) = 0.046 r
/// farther out, at corners only.
const TURN: f64 = 0.6;

/// Twice the signed area of a ring, counter-clockwise positive.
pub fn area2(ring: &[P2]) -> f64 {
    2.0 * signed_area(ring)
}

/// Area of a shape without its holes.
pub fn area(shape: &Shape) -> f64 {
    rings(shape).map(|ring| signed_area(ring)).sum()
}

/// The outer ring and the holes.
pub fn rings(shape: &Shape) -> impl Iterator<Item = &Vec<P2>> {
    std::iter::once(&shape.outer).chain(&shape.holes)
}

/// The shape with every point moved by `f`.
pub fn map(shape: &Shape, f: impl Fn(P2) -> P2) -> Shape {
    let ring = |r: &Vec<P2>| r.iter().map(|&p| f(p)).collect();
    Shape {
        outer: ring(&shape.outer),
        holes: shape.holes.iter().map(ring).collect(),
    }
}

/// Bounding box of a ring: left, lower, right, upper.
pub fn bounds(ring: &[P2]) -> [f64; 4] {
    let none = [f64::MAX, f64::MAX, f64::MIN, f64::MIN];
    ring.iter().fold(none, |m, p| {
        [
            m[0].min(p[0]),
            m[1].min(p[1]),
            m[2].max(p[0]),
            m[3].max(p[1]),
        ]
    })
}

/// The ring moved outward (to its right) by `r`: raw, it may cross itself at reflex corners.
fn raw_offset(ring: &[P2], r: f64) -> Vec<P2> {
    let points: Vec<P2> = {
        let mut kept: Vec<P2> = Vec::with_capacity(ring.len());
        for &p in ring {
            if kept
                .last()
                .is_none_or(|q| libm::hypot(p[0] - q[0], p[1] - q[1]) > 1e-9)
            {
                kept.push(p);
            }
        }
        while kept.len() > 1 {
            let (a, b) = (kept[0], kept[kept.len() - 1]);
            if libm::hypot(a[0] - b[0], a[1] - b[1]) > 1e-9 {
                break;
            }
            kept.pop();
        }
        kept
    };
    let n = points.len();
    let mut out = Vec::with_capacity(2 * n);
    for i in 0..n {
        let (a, b, c) = (points[(i + n - 1) % n], points[i], points[(i + 1) % n]);
        let normal = |p: P2, q: P2| -> P2 {
            let l = libm::hypot(q[0] - p[0], q[1] - p[1]);
            [(q[1] - p[1]) / l, (p[0] - q[0]) / l]
        };
        let (u, v) = (normal(a, b), normal(b, c));
        let turn = libm::atan2(u[0] * v[1] - u[1] * v[0], u[0] * v[0] + u[1] * v[1]);
        if turn < -1e-9 {
            out.push([b[0] + r * u[0], b[1] + r * u[1]]);
            out.push(b);
            out.push([b[0] + r * v[0], b[1] + r * v[1]]);
        } else {
            let pieces = (turn / TURN).ceil().max(1.0);
            let half = turn / (2.0 * pieces);
            let far = r / libm::cos(half);
            let start = libm::atan2(u[1], u[0]);
            for k in 0..pieces as usize {
                let t = start + half * (2 * k + 1) as f64;
                out.push([b[0] + far * libm::cos(t), b[1] + far * libm::sin(t)]);
            }
        }
    }
    out
}

fn positive(rings: &[Vec<P2>]) -> Vec<Shape> {
    let mut overlay = Overlay::<i64>::new(64);
    for ring in rings {
        let path = ring
            .iter()
            .map(|p| IntPoint::new((p[0] * GRID).round() as i64, (p[1] * GRID).round() as i64));
        overlay.add_path_iter(path, ShapeType::Subject);
    }
    overlay
        .overlay(OverlayRule::Subject, FillRule::Positive)
        .into_iter()
        .filter_map(|shape| {
            let mut rings = shape.into_iter().map(|ring| {
                ring.iter()
                    .map(|p| [p.x as f64 / GRID, p.y as f64 / GRID])
                    .collect()
            });
            let outer = rings.next()?;
            Some(Shape {
                outer,
                holes: rings.collect(),
            })
        })
        .collect()
}

/// The region grown by `r` all round (a Minkowski sum with a disc, from outside). Holes too small
/// to be left are closed.
pub fn grown(region: &Shape, r: f64) -> Shape {
    let offset: Vec<Vec<P2>> = rings(region).map(|ring| raw_offset(ring, r)).collect();
    let shapes = positive(&offset);
    shapes
        .into_iter()
        .max_by(|a, b| area2(&a.outer).total_cmp(&area2(&b.outer)))
        .unwrap_or_default()
}

/// The ring shrunk by `r` all round; `None` if nothing is left.
pub fn shrunk(ring: &[P2], r: f64) -> Option<Vec<P2>> {
    if r <= 0.0 {
        return Some(ring.to_vec());
    }
    let far = ring.iter().flatten().fold(1.0, |m: f64, v| m.max(v.abs())) * 4.0 + 4.0 * r;
    let frame = vec![[-far, -far], [far, -far], [far, far], [-far, far]];
    let mut hole = ring.to_vec();
    if area2(&hole) > 0.0 {
        hole.reverse();
    }
    let rings = [frame, raw_offset(&hole, r)];
    let holes = positive(&rings).into_iter().next()?.holes;
    let mut best = holes
        .into_iter()
        .max_by(|a, b| area2(a).abs().total_cmp(&area2(b).abs()))?;
    if area2(&best) < 0.0 {
        best.reverse();
    }
    Some(best)
}

/// One ring round the region: each hole is joined to the rest by a slit `slit` wide at its
/// shortest bridge, so that what lies in the hole is outside the ring.
pub fn keyhole(region: &Shape, slit: f64) -> Vec<P2> {
    let mut ring = region.outer.clone();
    let mut holes = region.holes.clone();
    holes.sort_by(|a, b| {
        let right = |r: &Vec<P2>| r.iter().fold(f64::MIN, |m, p| m.max(p[0]));
        right(b).total_cmp(&right(a))
    });
    for hole in holes {
        let mut best = (f64::MAX, 0, 0.0, 0);
        for i in 0..ring.len() {
            let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
            let d = [b[0] - a[0], b[1] - a[1]];
            let l2 = d[0] * d[0] + d[1] * d[1];
            if l2 < (4.0 * slit) * (4.0 * slit) {
                continue;
            }
            let edge = slit / l2.sqrt();
            for (k, p) in hole.iter().enumerate() {
                let t = ((p[0] - a[0]) * d[0] + (p[1] - a[1]) * d[1]) / l2;
                let t = t.clamp(1.5 * edge, 1.0 - 1.5 * edge);
                let q = [a[0] + t * d[0], a[1] + t * d[1]];
                let dist = libm::hypot(q[0] - p[0], q[1] - p[1]);
                if dist < best.0 {
                    best = (dist, i, t, k);
                }
            }
        }
        let (dist, i, t, k) = best;
        if dist == f64::MAX {
            continue;
        }
        let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
        let d = [b[0] - a[0], b[1] - a[1]];
        let l = libm::hypot(d[0], d[1]);
        let u = [d[0] / l * slit / 2.0, d[1] / l * slit / 2.0];
        let q = [a[0] + t * d[0], a[1] + t * d[1]];
        let p = hole[k];
        // The slit is cut out of the body: its two lips stand half a slit to either side. The
        // hole's vertex is replaced by two, one on each lip.
        let mut path = vec![[q[0] - u[0], q[1] - u[1]], [p[0] - u[0], p[1] - u[1]]];
        let n = hole.len();
        path.extend((1..n).map(|s| hole[(k + s) % n]));
        path.push([p[0] + u[0], p[1] + u[1]]);
        path.push([q[0] + u[0], q[1] + u[1]]);
        ring.splice(i + 1..i + 1, path);
    }
    ring
}
