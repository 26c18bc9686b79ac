//! What no layout can beat.

use super::shape::{area, area2, grown};
use super::task::{Field, Goal, Ground, Task};
use crate::geometry::Shape;

/// Area of a part grown by `r`, never more than the true one: grown from outside, less the most
/// that circumscribed corners can add (turn by turn), bores as they are left.
pub fn grown_area(region: &Shape, r: f64) -> f64 {
    if r <= 0.0 {
        return area(region);
    }
    // A corner's tangents cover at most (tan(TURN / 2) / (TURN / 2)) times its sector.
    let outside = area(&grown(region, r));
    let corners = std::f64::consts::PI * r * r * (libm::tan(0.3) / 0.3 - 1.0);
    outside - corners * (1 + region.holes.len()) as f64
}

/// Area that grown parts may cover, never less than the true one.
pub fn field_area(field: &Field, half: f64) -> f64 {
    let i = field.margin - half;
    match &field.ground {
        Ground::Rectangle { w, h } => (w - 2.0 * i) * (h - 2.0 * i),
        Ground::Disc { d } => std::f64::consts::PI * (d / 2.0 - i) * (d / 2.0 - i),
        Ground::Polygon(ring) => {
            let area = area2(ring).abs() / 2.0;
            if i >= 0.0 { area } else { area * 1.1 }
        }
    }
}

/// Least number of fields by area: grown parts do not overlap and lie in the grown field.
pub fn least_fields(task: &Task) -> usize {
    let half = task.clearance / 2.0;
    let each: Vec<f64> = task
        .kinds
        .iter()
        .map(|k| grown_area(&k.outline, half))
        .collect();
    let total: f64 = task.parts.iter().map(|&k| each[k]).sum();
    let mut areas: Vec<f64> = task.fields.iter().map(|f| field_area(f, half)).collect();
    areas.sort_by(|a, b| b.total_cmp(a));
    let mut sum = 0.0;
    for (n, a) in areas.iter().enumerate() {
        if sum >= total * (1.0 - 1e-6) {
            return n;
        }
        sum += a;
    }
    areas.len()
}

/// Most parts on the first field by area: the smallest ones first.
pub fn most_parts(task: &Task) -> usize {
    let half = task.clearance / 2.0;
    let each: Vec<f64> = task
        .kinds
        .iter()
        .map(|k| grown_area(&k.outline, half))
        .collect();
    let mut parts: Vec<f64> = task.parts.iter().map(|&k| each[k]).collect();
    if task.goal != Goal::InOrder {
        parts.sort_by(f64::total_cmp);
    }
    let mut left = task.fields.first().map_or(0.0, |f| field_area(f, half));
    parts
        .iter()
        .take_while(|a| {
            left -= **a;
            left >= 0.0
        })
        .count()
}
