//! How high each setter stands.

use super::plan::{Carrier, Stack};
use crate::catalogue::{Catalogue, Furnace, Setter, SetterShape, Space};
use crate::geometry::inside_margin;

/// Where a setter stands, mm above the hearth, cold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LevelHeight {
    /// Underside of the plate.
    pub underside_mm: f64,
    /// Face on which parts stand.
    pub face_mm: f64,
    /// Top of the rim, or the face where there is none.
    pub rim_mm: f64,
}

/// Why a level has no height.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CarrierFault {
    /// Its setter is not in the catalogue.
    UnknownSetter,
    /// Its post is not in the catalogue.
    UnknownPost,
    /// It rests on a rim, and the setter below has none.
    NoRimBelow,
    /// The furnace has no such rack slot.
    NoSlot,
    /// It lies on the hearth, and another level is below.
    HearthTaken,
    /// A level below it has no height.
    BelowUnknown,
    /// A rack slot is not above the level below.
    SlotTooLow,
    /// It stands lower than the rim of the setter below, and does not fit within it.
    InRimBelow,
    /// It is to rest on the rim of the setter below, and is smaller than what that leaves.
    WithinRim,
}

/// Whether a plate fits within the rim of a tray below it, both centred.
fn fits_in(plate: &Setter, tray: &Setter) -> bool {
    match (&plate.shape, &tray.shape) {
        // The outline of a disc is drawn around it.
        (SetterShape::Disc { diameter_mm: d }, SetterShape::Disc { diameter_mm }) => {
            *d <= diameter_mm - 2.0 * tray.rim_mm()
        }
        _ => inside_margin(&tray.face(), &plate.shape.outline()).is_some_and(|mm| mm >= 0.0),
    }
}

/// Floor and roof of a space, mm.
pub fn floor_and_roof(space: &Space) -> (f64, f64) {
    match space {
        Space::Box { z0_mm, z1_mm, .. } | Space::Cylinder { z0_mm, z1_mm, .. } => (*z0_mm, *z1_mm),
    }
}

/// Height of every level of a stack, bottom first.
pub fn stack_heights(
    stack: &Stack,
    catalogue: &Catalogue,
    furnace: &Furnace,
) -> Vec<Result<LevelHeight, CarrierFault>> {
    let (hearth, _) = floor_and_roof(&furnace.hot_zone);
    let mut heights: Vec<Result<LevelHeight, CarrierFault>> = Vec::new();
    for (i, level) in stack.levels.iter().enumerate() {
        let below = match heights.last() {
            None => Ok(LevelHeight {
                underside_mm: hearth,
                face_mm: hearth,
                rim_mm: hearth,
            }),
            Some(Ok(height)) => Ok(*height),
            Some(Err(_)) => Err(CarrierFault::BelowUnknown),
        };
        let height = below.and_then(|below| {
            let setter = catalogue
                .setter(&level.setter)
                .ok_or(CarrierFault::UnknownSetter)?;
            let underside = match &level.carrier {
                Carrier::Hearth if i == 0 => hearth,
                Carrier::Hearth => return Err(CarrierFault::HearthTaken),
                Carrier::Posts { post, .. } => {
                    let post = catalogue.post(post).ok_or(CarrierFault::UnknownPost)?;
                    below.face_mm + post.length_mm
                }
                Carrier::Rim if i > 0 && below.rim_mm > below.face_mm => below.rim_mm,
                Carrier::Rim => return Err(CarrierFault::NoRimBelow),
                Carrier::Feet { height_mm } => below.face_mm + height_mm,
                Carrier::RackSlot(slot) => {
                    let slot = furnace
                        .rack_slots_mm
                        .get(*slot)
                        .ok_or(CarrierFault::NoSlot)?;
                    let underside = hearth + slot;
                    if underside < below.face_mm {
                        return Err(CarrierFault::SlotTooLow);
                    }
                    underside
                }
            };
            let rim_below = i.checked_sub(1).and_then(|i| stack.levels.get(i));
            let rim_below = rim_below.and_then(|below| catalogue.setter(&below.setter));
            let fits = || rim_below.is_some_and(|tray| fits_in(setter, tray));
            if underside < below.rim_mm && !fits() {
                return Err(CarrierFault::InRimBelow);
            }
            if matches!(level.carrier, Carrier::Rim) && fits() {
                return Err(CarrierFault::WithinRim);
            }
            let face = underside + setter.thickness_mm;
            let rim = setter.rim.map_or(0.0, |r| r.height_mm);
            Ok(LevelHeight {
                underside_mm: underside,
                face_mm: face,
                rim_mm: face + rim,
            })
        });
        heights.push(height);
    }
    heights
}
