//! Bending of the setters of a load.
//!
//! What stands on a setter is taken as spread evenly over it. A rim's stiffness is not counted.

use super::balance::post_lines;
use super::plates::{Bent, PlateCase, bend};
use crate::catalogue::{Catalogue, Material, Setter, SetterShape};
use crate::geometry::P2;
use crate::load::{Carrier, Level, LevelId, LevelTally, Stack};
use crate::text::plates;

/// Standard gravity, m/s² (by definition).
pub const GRAVITY_M_S2: f64 = 9.80665;

/// Posts count as standing at the corners up to this share of a side from each edge. Set in that
/// far they bend the plate less than at the very corners (derived: own finite elements).
pub const CORNER_SHARE: f64 = 0.15;

/// A value read from a table of a material's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FromTable {
    /// Value, in the table's unit.
    pub value: f64,
    /// The temperature lies outside the table, and the value is that of its nearest end.
    pub beyond: bool,
}

/// Straight between the rows of a table (°C, value) that rises in temperature; none for an empty
/// one.
pub fn at_temperature(table: &[(f64, f64)], at_c: f64) -> Option<FromTable> {
    let (first, last) = (table.first()?, table.last()?);
    let held = |value: f64, beyond: bool| Some(FromTable { value, beyond });
    if at_c <= first.0 {
        return held(first.1, at_c < first.0);
    }
    if at_c >= last.0 {
        return held(last.1, at_c > last.0);
    }
    let next = table.partition_point(|row| row.0 <= at_c);
    let (low, high) = (table.get(next.checked_sub(1)?)?, table.get(next)?);
    let share = (at_c - low.0) / (high.0 - low.0);
    held(low.1 + share * (high.1 - low.1), false)
}

/// Bending of one setter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlateBending {
    /// Level.
    pub level: LevelId,
    /// How it is held.
    pub case: PlateCase,
    /// The plate's own weight and what stands on it, over its area, Pa.
    pub q_pa: f64,
    /// Stress and deflection; 0 on the hearth.
    pub bent: Bent,
    /// Temperature at which the material is taken, °C.
    pub at_c: f64,
    /// Young's modulus there, GPa.
    pub modulus_gpa: FromTable,
    /// Flexural strength there, MPa.
    pub strength_mpa: FromTable,
    /// The level above bears on this plate beside its supports, and that is not counted.
    pub more_above: bool,
}

/// Why a setter's bending was not worked out.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PlateFault {
    /// Not in the catalogue.
    #[error("{}", plates::unknown_setter(.0))]
    UnknownSetter(String),
    /// Its material is not in the catalogue.
    #[error("{}", plates::unknown_material(.0))]
    UnknownMaterial(String),
    /// No modulus, no strength, or a Poisson's ratio that cannot be.
    #[error("{}", plates::no_table(.0))]
    NoTable(String),
    /// No thickness or no area.
    #[error("{}", plates::no_plate(.0))]
    NoPlate(String),
    /// Carried by posts, and there is none.
    #[error("{}", plates::no_post())]
    NoPost,
    /// No formula for this shape on this carrier.
    #[error("{}", plates::not_covered())]
    NotCovered,
    /// No formula for a polygon on this carrier.
    #[error("{}", plates::polygon_not_covered())]
    PolygonNotCovered,
    /// A polygon with an inward corner on posts: stress peaks in that corner, and the rule for posts
    /// was held against plates without one.
    #[error("{}", plates::inward_corner())]
    InwardCorner,
}

/// Bending of the setter at `index` of a stack, counted from the bottom, at `at_c` °C; `tally` is
/// the level's. None where the stack has no such level.
///
/// # Errors
/// See [`PlateFault`].
pub fn plate_bending(
    stack: &Stack,
    index: usize,
    tally: &LevelTally,
    catalogue: &Catalogue,
    at_c: f64,
) -> Option<Result<PlateBending, PlateFault>> {
    let level = stack.levels.get(index)?;
    Some(
        bending(level, tally.on_plate_g, catalogue, at_c).map(|found| PlateBending {
            more_above: more_above(stack, index, catalogue),
            ..found
        }),
    )
}

fn bending(
    level: &Level,
    on_plate_g: f64,
    catalogue: &Catalogue,
    at_c: f64,
) -> Result<PlateBending, PlateFault> {
    let setter = catalogue
        .setter(&level.setter)
        .ok_or_else(|| PlateFault::UnknownSetter(level.setter.clone()))?;
    let material: &Material = catalogue
        .material(&setter.material)
        .ok_or_else(|| PlateFault::UnknownMaterial(setter.material.clone()))?;
    let no_table = || PlateFault::NoTable(material.id.clone());
    let modulus_gpa = at_temperature(&material.modulus_gpa, at_c).ok_or_else(no_table)?;
    let strength_mpa = at_temperature(&material.strength_mpa, at_c).ok_or_else(no_table)?;
    if !(modulus_gpa.value > 0.0 && (0.0..0.5).contains(&material.poisson)) {
        return Err(no_table());
    }
    let area_mm2 = setter.shape.area_mm2();
    if !(area_mm2 > 0.0 && setter.thickness_mm > 0.0) {
        return Err(PlateFault::NoPlate(setter.id.clone()));
    }
    let case = plate_case(setter, &level.carrier)?;
    // g/mm² to kg/m² is 1000.
    let q_pa = (setter.mass_g + on_plate_g) / area_mm2 * 1000.0 * GRAVITY_M_S2;
    let bent = case.coefficients(material.poisson).map(|coefficients| {
        bend(
            &coefficients,
            q_pa,
            setter.thickness_mm,
            modulus_gpa.value,
            material.poisson,
        )
    });
    Ok(PlateBending {
        level: level.id,
        case,
        q_pa,
        bent: bent.unwrap_or(Bent {
            stress_mpa: 0.0,
            deflection_um: 0.0,
        }),
        at_c,
        modulus_gpa,
        strength_mpa,
        more_above: false,
    })
}

/// How a setter on a carrier is held. A rack's rails are taken to run along the shorter side, and
/// feet of a setter's own to stand at its corners: neither place is known, and both are the
/// heavier case.
///
/// # Errors
/// No post, or no formula for the shape on the carrier.
pub fn plate_case(setter: &Setter, carrier: &Carrier) -> Result<PlateCase, PlateFault> {
    let shape = &setter.shape;
    let (long_mm, short_mm) = match *shape {
        SetterShape::Rectangle { width_mm, depth_mm } => {
            (width_mm.max(depth_mm), width_mm.min(depth_mm))
        }
        SetterShape::Disc { diameter_mm } => {
            return match carrier {
                Carrier::Hearth => Ok(PlateCase::OnHearth),
                Carrier::Rim => Ok(PlateCase::RoundOnRim { diameter_mm }),
                Carrier::Posts { at_mm, .. } => on_reach(shape, at_mm),
                Carrier::Feet { .. } | Carrier::RackSlot(_) => Err(PlateFault::NotCovered),
            };
        }
        SetterShape::Polygon { .. } => {
            return match carrier {
                Carrier::Hearth => Ok(PlateCase::OnHearth),
                Carrier::Posts { at_mm, .. } if shape.is_convex() => on_reach(shape, at_mm),
                Carrier::Posts { .. } => Err(PlateFault::InwardCorner),
                Carrier::Rim | Carrier::Feet { .. } | Carrier::RackSlot(_) => {
                    Err(PlateFault::PolygonNotCovered)
                }
            };
        }
    };
    match carrier {
        Carrier::Hearth => Ok(PlateCase::OnHearth),
        Carrier::Rim => Ok(PlateCase::EdgesHeld { long_mm, short_mm }),
        Carrier::Feet { .. } => Ok(PlateCase::CornerPosts { long_mm, short_mm }),
        Carrier::RackSlot(_) => Ok(PlateCase::TwoRails {
            span_mm: long_mm,
            along_mm: short_mm,
        }),
        Carrier::Posts { at_mm, .. } if at_corners(shape.size_mm(), at_mm) => {
            Ok(PlateCase::CornerPosts { long_mm, short_mm })
        }
        Carrier::Posts { at_mm, .. } => on_reach(shape, at_mm),
    }
}

/// Whether four posts stand near the four corners of a rectangle.
fn at_corners([width_mm, depth_mm]: [f64; 2], posts_mm: &[P2]) -> bool {
    let near = |at: f64, side: f64| (at - side / 2.0).abs() <= CORNER_SHARE * side;
    let corner = |sx: f64, sy: f64| {
        posts_mm
            .iter()
            .any(|p| near(sx * p[0], width_mm) && near(sy * p[1], depth_mm))
    };
    posts_mm.len() == 4
        && corner(1.0, 1.0)
        && corner(-1.0, 1.0)
        && corner(-1.0, -1.0)
        && corner(1.0, -1.0)
}

fn on_reach(shape: &SetterShape, posts_mm: &[P2]) -> Result<PlateCase, PlateFault> {
    if posts_mm.is_empty() {
        return Err(PlateFault::NoPost);
    }
    Ok(PlateCase::Reach {
        reach_mm: reach_mm(shape, posts_mm),
    })
}

/// Steps of the grid on which [`reach_mm`] looks.
const REACH_STEPS: u32 = 64;

/// From the nearest post to the point of the plate that is farthest from any post, mm; never too
/// small, and too large by at most half a grid step's diagonal (1.1 % of a square's side), for a
/// polygon by a whole one.
fn reach_mm(shape: &SetterShape, posts_mm: &[P2]) -> f64 {
    let ([low, high], [width_mm, depth_mm]) = (shape.bounds_mm(), shape.size_mm());
    let middle = [0, 1].map(|k| (low[k] + high[k]) / 2.0);
    let share = |i: u32| f64::from(i) / f64::from(REACH_STEPS) - 0.5;
    let half_step_mm = 0.5 / f64::from(REACH_STEPS) * libm::hypot(width_mm, depth_mm);
    let plate = match shape {
        SetterShape::Polygon { .. } => Some(shape.outline()),
        SetterShape::Rectangle { .. } | SetterShape::Disc { .. } => None,
    };
    let mut farthest = 0.0;
    for i in 0..=REACH_STEPS {
        for j in 0..=REACH_STEPS {
            let mut x = middle[0] + share(i) * width_mm;
            let mut y = middle[1] + share(j) * depth_mm;
            // Of a polygon those points that are the nearest to one of its own.
            if plate
                .as_ref()
                .is_some_and(|p| p.margin_mm([x, y]) < -half_step_mm)
            {
                continue;
            }
            let out = libm::hypot(x, y);
            if let SetterShape::Disc { diameter_mm } = *shape
                && out > diameter_mm / 2.0
            {
                // Drawn in to the edge, which brings no two points farther apart.
                let inwards = diameter_mm / 2.0 / out;
                (x, y) = (x * inwards, y * inwards);
            }
            let nearest = posts_mm
                .iter()
                .map(|p| (p[0] - x) * (p[0] - x) + (p[1] - y) * (p[1] - y))
                .fold(f64::INFINITY, f64::min);
            farthest = f64::max(farthest, nearest);
        }
    }
    libm::sqrt(farthest) + half_step_mm
}

/// Whether the next level bears on this plate elsewhere than over its supports.
fn more_above(stack: &Stack, index: usize, catalogue: &Catalogue) -> bool {
    let (Some(level), Some(above)) = (stack.levels.get(index), stack.levels.get(index + 1)) else {
        return false;
    };
    match (&level.carrier, &above.carrier) {
        (Carrier::Hearth, _) | (_, Carrier::RackSlot(_)) | (Carrier::Rim, Carrier::Rim) => false,
        (Carrier::Posts { post, .. }, Carrier::Posts { .. }) => {
            let within = catalogue.post(post).map_or(0.0, |p| p.diameter_mm / 2.0);
            post_lines(stack)
                .iter()
                .filter(|line| line.level == above.id)
                .any(|line| line.offset_mm.is_none_or(|offset| offset > within))
        }
        _ => true,
    }
}
