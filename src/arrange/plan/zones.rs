//! Parts that have to be inside the work zone, and where on a setter that is.

use super::super::task::{Field, Ground};
use super::ROUND_MM;
use super::pieces::{Around, Seat};
use crate::geometry::{Outline, P2, Region};
use crate::load::space_region;

/// By how much a setter that grows may carry its parts outward (assumed: alumina to 1200 °C).
const GROWS: f64 = 0.011;
/// The outline of a disc lies around it; by this share of its diameter it lies within (assumed: more
/// than its corners stand out).
const INSIDE: f64 = 0.998;
/// Less than that of the zone is left out for rounding, mm.
const LESS_MM: f64 = 2.0 * ROUND_MM;

/// For each kind the part of every field where alone it may stand: the work zone for parts that
/// have to be inside it, where that does not hold the whole field; and which fields it holds. Fields
/// whose zone lies elsewhere on the setter do not accept such a kind.
pub(super) fn within(
    around: &Around,
    fields: &mut [Field],
    seats: &[Seat],
) -> (Vec<Option<Vec<P2>>>, Vec<bool>) {
    let mut within = vec![None; around.pieces.len()];
    let Some(furnace) = around.catalogue.furnace(&around.plan.load.furnace) else {
        return (within, Vec::new());
    };
    let region = space_region(&furnace.work_zone);
    let rings: Vec<Option<Vec<P2>>> = seats
        .iter()
        .map(|seat| {
            let (stack, _) = around.plan.level(seat.level)?;
            let at = [0, 1].map(|k| seat.middle[k] - stack.at_mm[k]);
            ring(&region, stack.at_mm, at)
        })
        .collect();
    let each = fields.iter().zip(&rings);
    let whole: Vec<bool> = each
        .map(|(field, ring)| ring.as_ref().is_some_and(|ring| holds(ring, field)))
        .collect();
    let parts = rings.iter().zip(&whole).filter(|(_, whole)| !**whole);
    let Some(first) = parts.filter_map(|(ring, _)| ring.clone()).next() else {
        return (within, Vec::new());
    };
    let only = |piece: &super::Piece| {
        let part = piece.model.item.part().and_then(|id| around.plan.part(id));
        part.is_some_and(|part| part.work_zone_only)
    };
    let same = |ring: &Option<Vec<P2>>| {
        let near = |(a, b): (&P2, &P2)| (a[0] - b[0]).abs() + (a[1] - b[1]).abs() < 1e-6;
        ring.as_ref()
            .is_some_and(|r| r.iter().zip(&first).all(near))
    };
    for (kind, piece) in around.pieces.iter().enumerate() {
        if !only(piece) {
            continue;
        }
        for ((field, ring), whole) in fields.iter_mut().zip(&rings).zip(&whole) {
            if let Some(accepts) = field.accepts.get_mut(kind)
                && !whole
                && !same(ring)
            {
                *accepts = false;
            }
        }
        if let Some(slot) = within.get_mut(kind) {
            *slot = Some(first.clone());
        }
    }
    (within, whole)
}

/// The zone in a field's frame, as much smaller as the setter's growth wants; none where nothing is
/// left.
fn ring(region: &Region, stack_mm: P2, moved: P2) -> Option<Vec<P2>> {
    let outline = match region {
        Region::Rectangle { width_mm, depth_mm } => {
            Outline::rectangle(width_mm - LESS_MM, depth_mm - LESS_MM)
        }
        Region::Disc { diameter_mm } => Outline::disc((diameter_mm - LESS_MM) * INSIDE),
        Region::Polygon(outline) => outline.clone(),
    };
    let ring = &outline.shapes.first()?.outer;
    // What is seen from the setter's middle, which is where its growth begins.
    let shrunk = ring
        .iter()
        .map(|p| [0, 1].map(|k| stack_mm[k] + (p[k] - stack_mm[k]) / (1.0 + GROWS) + moved[k]));
    Some(shrunk.collect())
}

/// Whether a convex ring holds a whole field.
fn holds(ring: &[P2], field: &Field) -> bool {
    let corners: Vec<P2> = match &field.ground {
        Ground::Rectangle { w, h } => vec![[0.0, 0.0], [*w, 0.0], [*w, *h], [0.0, *h]],
        Ground::Disc { d } => {
            let r = d / 2.0;
            vec![[-r, -r], [r, -r], [r, r], [-r, r]]
        }
        Ground::Polygon(ring) => ring.clone(),
    };
    let next = ring.iter().cycle().skip(1);
    let sides: Vec<(&P2, &P2)> = ring.iter().zip(next).collect();
    corners.iter().all(|c| {
        let left = |(a, b): &(&P2, &P2)| {
            (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]) >= 0.0
        };
        sides.iter().all(left)
    })
}
