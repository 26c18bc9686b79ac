//! What no layout can beat.

use super::shape::{area, area2, grown};
use super::task::{Field, Goal, Ground, Task};
use crate::geometry::outline::perimeter;
use crate::geometry::{Outline, Shape};

/// An arc reaches no farther beyond its circle, mm: a hair more than circles are drawn to.
const ARC_MM: f64 = 1.1 * crate::geometry::outline::CIRCLE_TOLERANCE_MM;

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
        Ground::Polygon(ring) if i > 0.0 => {
            // What is left, in however many pieces, and what arcs drawn around circles and rounding
            // take of it besides.
            let whole = Outline::single(ring.clone());
            let arc = std::f64::consts::PI * ((i + ARC_MM) * (i + ARC_MM) - i * i);
            let rounding = 1e-5 * perimeter(ring);
            whole.moved_in(i).area() + arc * whole.inward_corners() as f64 + rounding
        }
        Ground::Polygon(ring) => {
            let area = area2(ring).abs() / 2.0;
            // Grown by so much a polygon gains at most its sides' strips and a disc in all.
            let more = (-i).max(0.0);
            area + perimeter(ring) * more + std::f64::consts::PI * more * more
        }
    }
}

/// Area of all grown parts, hardly less than it is, and that of each field, the largest first.
fn areas(task: &Task) -> (f64, Vec<f64>) {
    let half = task.clearance / 2.0;
    let each: Vec<f64> = task
        .kinds
        .iter()
        .map(|k| grown_area(&k.outline, half))
        .collect();
    let total: f64 = task.parts.iter().map(|&k| each[k]).sum();
    let mut areas: Vec<f64> = task.fields.iter().map(|f| field_area(f, half)).collect();
    areas.sort_by(|a, b| b.total_cmp(a));
    (total * (1.0 - 1e-6), areas)
}

/// Least number of fields by area: grown parts do not overlap and lie in the grown field.
pub fn least_fields(task: &Task) -> usize {
    let (total, areas) = areas(task);
    let mut sum = 0.0;
    for (n, a) in areas.iter().enumerate() {
        if sum >= total {
            return n;
        }
        sum += a;
    }
    areas.len()
}

/// The same where every field may be like the largest one and there may be more of them, for the parts
/// and for others of so much area with half the clearance around them, mm².
pub fn least_of_the_largest(task: &Task, others_mm2: f64) -> usize {
    let (total, areas) = areas(task);
    let largest = areas.first().copied().unwrap_or(0.0);
    if largest <= 0.0 {
        return areas.len();
    }
    ((total + others_mm2 * (1.0 - 1e-6)) / largest).ceil() as usize
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

#[cfg(test)]
mod tests {
    use super::super::task::{Kind, Turns};
    use super::*;

    #[test]
    fn levels_that_may_be_larger_make_the_least_smaller() {
        let side = |w: f64| Field {
            ground: Ground::Rectangle { w, h: 100.0 },
            margin: 0.0,
            fixed: Vec::new(),
            accepts: vec![true],
        };
        let tile = [[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]];
        let task = Task {
            kinds: vec![Kind {
                outline: Shape {
                    outer: tile.to_vec(),
                    holes: Vec::new(),
                },
                turns: Turns::Of(vec![0.0]),
            }],
            parts: vec![0; 400],
            fields: vec![side(250.0), side(100.0), side(100.0)],
            clearance: 0.0,
            goal: Goal::Setters,
        };
        // 40000 mm² on 25000 + 10000 + 10000; on two of 25000 there would be room.
        assert_eq!(least_fields(&task), 3);
        assert_eq!(least_of_the_largest(&task, 0.0), 2);
        // And of as much again on four.
        assert_eq!(least_of_the_largest(&task, 40_000.0), 4);
    }

    /// A thin L whose grown area is known: no share of its own area would do.
    #[test]
    fn a_polygon_that_is_grown_is_no_larger_than_its_bound() {
        let ring = vec![
            [0.0, 0.0],
            [40.0, 0.0],
            [40.0, 1.0],
            [1.0, 1.0],
            [1.0, 40.0],
            [0.0, 40.0],
        ];
        let field = |margin: f64| Field {
            ground: Ground::Polygon(ring.clone()),
            margin,
            fixed: Vec::new(),
            accepts: Vec::new(),
        };
        let alone = Shape {
            outer: ring.clone(),
            holes: Vec::new(),
        };
        let (more, own) = (area(&grown(&alone, 2.0)), area(&alone));
        assert!((own - 79.0).abs() < 1e-9);
        assert!(more > 3.0 * own);
        assert!(field_area(&field(0.0), 2.0) >= more * 0.999);
        // Half a millimetre from its edges a corner of 0.5² − π/16 is left, and what an arc may take.
        let left = 0.25 - std::f64::consts::PI / 16.0;
        let bound = field_area(&field(2.5), 2.0);
        assert!((left..left + 0.07).contains(&bound), "{bound}");
    }
}
