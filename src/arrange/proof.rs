//! The independent proof: f64 outlines, every pair and every border, by the distances that the
//! clearance check uses; nothing of the search.

use super::task::{Ground, Placed, Task};
use crate::geometry::{Outline, Pose, Region, Shape, inside_margin, outline_distance};

/// Rounding that a distance may fall short by, relative to the coordinates.
const ROUNDING: f64 = 1e-12;

/// Least distances of a proved layout, mm; `None` where there is nothing to measure, or nothing
/// near.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Least {
    /// Between two parts, or a part and what is fixed.
    pub between: Option<f64>,
    /// From a part to the edge of its field.
    pub edge: Option<f64>,
}

/// Whether a layout keeps every distance that the task asks for: the least ones if it does.
///
/// # Errors
/// The first part that stands too near to another or to the edge, stands twice, or stands on a
/// field that does not accept it.
pub fn prove(task: &Task, layout: &[Placed], length: Option<f64>) -> Result<Least, Placed> {
    let outline = |shape: &Shape| Outline {
        shapes: vec![shape.clone()],
    };
    let mut bodies: Vec<Outline> = Vec::with_capacity(layout.len());
    let fixed: Vec<Vec<Outline>> = task
        .fields
        .iter()
        .map(|f| f.fixed.iter().map(outline).collect())
        .collect();
    for p in layout {
        let kind = task.parts.get(p.part).and_then(|&k| task.kinds.get(k));
        let kind = kind.ok_or(*p)?;
        bodies.push(outline(&kind.outline).placed(&pose(p)));
    }
    let points = bodies.iter().flat_map(|b| b.rings()).flatten().flatten();
    let size = points.fold(1.0, |m: f64, v| m.max(v.abs()));
    let round = ROUNDING * size;
    let mut least = Least::default();
    let lower = |a: Option<f64>, b: f64| Some(a.map_or(b, |a| a.min(b)));
    let mut seen = vec![false; task.parts.len()];
    for (i, p) in layout.iter().enumerate() {
        let field = task.fields.get(p.field).ok_or(*p)?;
        let kind = task.parts[p.part];
        let accepted = field.accepts.get(kind).copied().unwrap_or(false);
        if std::mem::replace(&mut seen[p.part], true) || !accepted {
            return Err(*p);
        }
        let (region, centre) = region(&field.ground, length);
        let moved = bodies[i].moved(-centre[0], -centre[1]);
        let edge = inside_margin(&region, &moved).ok_or(*p)?;
        // A number that is none is no proof.
        if edge.is_nan() || edge < field.margin - round {
            return Err(*p);
        }
        least.edge = lower(least.edge, edge);
        let cap = 2.0 * task.clearance + 0.01 * size;
        let others = (0..i).filter(|&j| layout[j].field == p.field);
        for other in fixed[p.field].iter().chain(others.map(|j| &bodies[j])) {
            let d = outline_distance(&bodies[i], other, cap);
            // With no clearance asked parts may touch, but a distance of 0 may be an overlap.
            if d.is_nan() || d < task.clearance - round || d == 0.0 {
                return Err(*p);
            }
            if d < cap {
                least.between = lower(least.between, d);
            }
        }
    }
    Ok(least)
}

/// Where a part stands, in the frame of its field.
pub(super) fn pose(p: &Placed) -> Pose {
    Pose {
        x_mm: p.x,
        y_mm: p.y,
        z_mm: 0.0,
        angle_deg: p.angle,
    }
}

/// A field's region about its own middle, and where that middle lies.
fn region(ground: &Ground, length: Option<f64>) -> (Region, [f64; 2]) {
    match ground {
        Ground::Rectangle { w, h } => {
            let (width_mm, depth_mm) = (length.unwrap_or(*w), *h);
            (
                Region::Rectangle { width_mm, depth_mm },
                [width_mm / 2.0, depth_mm / 2.0],
            )
        }
        Ground::Disc { d } => (Region::Disc { diameter_mm: *d }, [0.0; 2]),
        Ground::Polygon(ring) => (Region::Polygon(Outline::single(ring.clone())), [0.0; 2]),
    }
}
