//! The distance between two placed bodies, in f64.
//!
//! A slab is a prism with vertical sides, so the distance between two of them is exactly
//! √(plan² + height²). Contract with [`super::solid`], held by property tests: for a gap `g` up
//! to 5 mm, parry3d calls the bodies closer than `g + 0.01` and not closer than `g − 0.01`.

use super::distance::{Bounds, box_gap_squared, distance_in_boxes};
use super::outline::Outline;
use super::pose::Pose;
use super::slab::Body;

/// How far two bodies are apart, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gap {
    /// Distance in space; 0 if they touch or overlap.
    pub gap_mm: f64,
    /// The part of it in plan, for the two slabs that come nearest.
    pub plan_mm: f64,
    /// The part of it along the vertical, for the same two slabs.
    pub height_mm: f64,
}

/// A body turned and moved to where it stands, made once and compared with many.
#[derive(Clone, Debug, PartialEq)]
pub struct PlacedBody {
    slabs: Vec<PlacedSlab>,
    bounds: Bounds,
}

#[derive(Clone, Debug, PartialEq)]
struct PlacedSlab {
    z0: f64,
    z1: f64,
    outline: Outline,
    bounds: Bounds,
}

impl PlacedBody {
    /// Turns and moves a body.
    pub fn new(body: &Body, pose: &Pose) -> PlacedBody {
        let slabs: Vec<PlacedSlab> = body
            .slabs
            .iter()
            .filter_map(|slab| {
                let outline = slab.outline.placed(pose);
                let bounds = outline.bounds()?;
                Some(PlacedSlab {
                    z0: slab.z0 + pose.z_mm,
                    z1: slab.z1 + pose.z_mm,
                    outline,
                    bounds,
                })
            })
            .collect();
        // An empty body keeps a box at infinity: nothing comes near it.
        let bounds = slabs.iter().fold(
            [[f64::INFINITY; 2], [f64::NEG_INFINITY; 2]],
            |[lo, hi], slab| {
                [
                    std::array::from_fn(|k| lo[k].min(slab.bounds[0][k])),
                    std::array::from_fn(|k| hi[k].max(slab.bounds[1][k])),
                ]
            },
        );
        PlacedBody { slabs, bounds }
    }

    /// Lowest and highest corner in plan, mm; `None` for an empty body.
    pub fn bounds(&self) -> Option<[[f64; 2]; 2]> {
        (!self.slabs.is_empty()).then_some(self.bounds)
    }

    /// Lowest and highest height, mm; `None` for an empty body.
    pub fn heights(&self) -> Option<(f64, f64)> {
        Some((self.slabs.first()?.z0, self.slabs.last()?.z1))
    }

    /// The placed outlines with the heights they reach from and to, mm, upward.
    pub fn outlines(&self) -> impl Iterator<Item = (f64, f64, &Outline)> {
        self.slabs.iter().map(|s| (s.z0, s.z1, &s.outline))
    }
}

/// [`placed_gap`] for two bodies placed here and now.
pub fn body_gap(a: &Body, pa: &Pose, b: &Body, pb: &Pose, cap_mm: f64) -> Option<Gap> {
    placed_gap(&PlacedBody::new(a, pa), &PlacedBody::new(b, pb), cap_mm)
}

/// The gap between two placed bodies; `None` if it is `cap_mm` or more. A cap of 0 therefore
/// answers `None` always: to find touching bodies use any positive cap.
pub fn placed_gap(a: &PlacedBody, b: &PlacedBody, cap_mm: f64) -> Option<Gap> {
    let mut best: Option<Gap> = None;
    let mut cap = cap_mm;
    if a.slabs.is_empty()
        || b.slabs.is_empty()
        || !(box_gap_squared(&a.bounds, &b.bounds) < cap * cap)
    {
        return None;
    }
    for lower in &a.slabs {
        for upper in &b.slabs {
            let height = (upper.z0 - lower.z1).max(lower.z0 - upper.z1).max(0.0);
            if height >= cap {
                continue;
            }
            let plan_cap = libm::sqrt(cap * cap - height * height);
            let plan = distance_in_boxes(
                &lower.outline,
                &lower.bounds,
                &upper.outline,
                &upper.bounds,
                plan_cap,
            );
            let gap = libm::hypot(plan, height);
            if plan < plan_cap && gap < cap {
                cap = gap;
                best = Some(Gap {
                    gap_mm: gap,
                    plan_mm: plan,
                    height_mm: height,
                });
                if gap == 0.0 {
                    return best;
                }
            }
        }
    }
    best
}
