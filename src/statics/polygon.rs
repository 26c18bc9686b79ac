//! Measures of convex, counter-clockwise polygons.

use crate::geometry::{Outline, P2, Shape, point_to_convex_edge_distance};

fn edges(polygon: &[P2]) -> impl Iterator<Item = (P2, P2)> + '_ {
    polygon
        .iter()
        .copied()
        .zip(polygon.iter().copied().cycle().skip(1))
}

/// How far `p` lies to the left of the line from `a` to `b`, mm; none where `a` is `b`.
fn left_of(a: P2, b: P2, p: P2) -> Option<f64> {
    let length = libm::hypot(b[0] - a[0], b[1] - a[1]);
    let cross = (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]);
    (length > 0.0).then(|| cross / length)
}

/// Least distance between two parallel lines that hold the polygon between them, mm: one of them
/// lies along an edge. 0 for fewer than three points.
pub fn least_width(polygon: &[P2]) -> f64 {
    if polygon.len() < 3 {
        return 0.0;
    }
    edges(polygon)
        .filter_map(|(a, b)| {
            polygon
                .iter()
                .filter_map(|p| left_of(a, b, *p))
                .reduce(f64::max)
        })
        .reduce(f64::min)
        .unwrap_or(0.0)
}

/// Greatest distance between two of the points, mm.
pub fn greatest_width(polygon: &[P2]) -> f64 {
    let mut greatest = 0.0;
    for (i, a) in polygon.iter().enumerate() {
        for b in polygon.iter().skip(i + 1) {
            greatest = f64::max(greatest, libm::hypot(a[0] - b[0], a[1] - b[1]));
        }
    }
    greatest
}

/// Centroid, mm; none for fewer than three points.
pub fn centroid(polygon: &[P2]) -> Option<P2> {
    (polygon.len() >= 3).then(|| {
        Outline {
            shapes: vec![Shape {
                outer: polygon.to_vec(),
                holes: Vec::new(),
            }],
        }
        .centroid()
    })
}

/// Distance of a point from the edge, mm, signed: positive inside. A polygon of one or two points
/// has no inside.
pub fn inside_mm(polygon: &[P2], point: P2) -> Option<f64> {
    match polygon {
        [] => None,
        [a] => Some(-libm::hypot(point[0] - a[0], point[1] - a[1])),
        [a, b] => {
            let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
            let along = (point[0] - a[0]) * dx + (point[1] - a[1]) * dy;
            let t = (along / (dx * dx + dy * dy)).clamp(0.0, 1.0);
            Some(-libm::hypot(
                point[0] - a[0] - t * dx,
                point[1] - a[1] - t * dy,
            ))
        }
        _ => point_to_convex_edge_distance(polygon, point),
    }
}

/// How far a point lies on the way from the centroid to the edge: 0 at the centroid, 1 on the
/// edge, above 1 outside. None for fewer than three points.
pub fn share_of_way_out(polygon: &[P2], point: P2) -> Option<f64> {
    let middle = centroid(polygon)?;
    edges(polygon)
        .filter_map(|(a, b)| {
            let whole = left_of(a, b, middle)?;
            (whole > 0.0).then_some(1.0 - left_of(a, b, point)? / whole)
        })
        .reduce(f64::max)
        .map(|share| share.max(0.0))
}
