//! The one place that calls i_overlay: union and difference on a grid of 1e-6 mm.
//!
//! Points are put on the grid before the library sees them, so that equal points stay equal and
//! the result does not depend on where the shape lies.

use super::outline::{Outline, P2, Shape, edges, signed_area};
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay::{Overlay, ShapeType};
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::i_float::int::point::IntPoint;

/// Grid points a millimetre.
const GRID_PER_MM: f64 = 1e6;

/// Farther out than any furnace (1 km): coordinates are held here so that the integer arithmetic
/// cannot overflow on nonsense.
pub(super) const REACH_MM: f64 = 1e6;

/// Two grid points: what is no wider comes of rounding to the grid, mm.
pub(super) const NOISE_MM: f64 = 2.0 / GRID_PER_MM;

/// Whether a ring is no wider than rounding.
pub(super) fn is_sliver(ring: &[P2]) -> bool {
    let sides = edges(ring).map(|(a, b)| libm::hypot(b[0] - a[0], b[1] - a[1]));
    signed_area(ring).abs() <= 0.5 * NOISE_MM * sides.sum::<f64>()
}

fn to_grid(value_mm: f64) -> i64 {
    (value_mm.clamp(-REACH_MM, REACH_MM) * GRID_PER_MM).round() as i64
}

fn path(ring: &[P2]) -> impl Iterator<Item = IntPoint<i64>> + '_ {
    ring.iter()
        .map(|p| IntPoint::new(to_grid(p[0]), to_grid(p[1])))
}

/// The rings of an outline, outer and holes alike.
pub(super) fn rings(outline: &Outline) -> impl Iterator<Item = &[P2]> {
    outline.shapes.iter().flat_map(|shape| {
        std::iter::once(shape.outer.as_slice()).chain(shape.holes.iter().map(Vec::as_slice))
    })
}

fn to_outline(shapes: Vec<Vec<Vec<IntPoint<i64>>>>) -> Outline {
    let ring = |points: Vec<IntPoint<i64>>| -> Vec<P2> {
        points
            .iter()
            .map(|p| [p.x as f64 / GRID_PER_MM, p.y as f64 / GRID_PER_MM])
            .collect()
    };
    let shapes = shapes
        .into_iter()
        .filter_map(|contours| {
            let mut contours = contours.into_iter().map(ring);
            Some(Shape {
                outer: contours.next()?,
                holes: contours.filter(|hole| !is_sliver(hole)).collect(),
            })
        })
        .filter(|shape| !is_sliver(&shape.outer))
        .collect();
    Outline { shapes }
}

/// The region where rings wind at least once in either sense. Rings that must not cancel each
/// other have to be turned the same way.
pub(super) fn fill_rings<'a>(all: impl Iterator<Item = &'a [P2]>) -> Outline {
    let mut overlay = Overlay::<i64>::new(64);
    for ring in all {
        overlay.add_path_iter(path(ring), ShapeType::Subject);
    }
    to_outline(overlay.overlay(OverlayRule::Subject, FillRule::NonZero))
}

/// The region covered by convex pieces that may be turned either way (a projected triangle is
/// counter-clockwise from above or from below; both cover).
pub(super) fn cover(pieces: &[Vec<P2>]) -> Outline {
    let mut overlay = Overlay::<i64>::new(4 * pieces.len());
    for piece in pieces {
        if signed_area(piece) > 0.0 {
            overlay.add_path_iter(path(piece), ShapeType::Subject);
        } else {
            let reversed: Vec<P2> = piece.iter().rev().copied().collect();
            overlay.add_path_iter(path(&reversed), ShapeType::Subject);
        }
    }
    to_outline(overlay.overlay(OverlayRule::Subject, FillRule::NonZero))
}

/// `a` without `b`.
pub(super) fn difference(a: &Outline, b: &Outline) -> Outline {
    let mut overlay = Overlay::<i64>::new(a.point_count() + b.point_count());
    for ring in rings(a) {
        overlay.add_path_iter(path(ring), ShapeType::Subject);
    }
    for ring in rings(b) {
        overlay.add_path_iter(path(ring), ShapeType::Clip);
    }
    to_outline(overlay.overlay(OverlayRule::Difference, FillRule::NonZero))
}
