//! Bending of setters between their supports: elastic stress and deflection.
//!
//! The load is taken as spread evenly over the plate. A rim's stiffness is not counted.

use super::balance::post_lines;
use crate::catalogue::{Catalogue, Material, Setter, SetterShape, Standing};
use crate::geometry::P2;
use crate::load::{Carrier, Level, LevelId, LevelTally, Stack};
use std::f64::consts::PI;

/// Standard gravity, m/s² (by definition).
pub const GRAVITY_M_S2: f64 = 9.80665;

/// Posts count as standing at the corners up to this share of the longer side from each edge
/// (assumed).
pub const CORNER_SHARE: f64 = 0.15;

/// How a plate is held, and so by which formula it is judged.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PlateCase {
    /// It lies on the hearth: no bending.
    OnHearth,
    /// A rectangle simply supported on all edges.
    EdgesHeld {
        /// Longer side, mm.
        long_mm: f64,
        /// Shorter side, mm.
        short_mm: f64,
    },
    /// A rectangle on rails under two opposite edges.
    TwoRails {
        /// Between the rails, mm.
        span_mm: f64,
        /// Along the rails, mm.
        along_mm: f64,
    },
    /// A rectangle on four posts near its corners.
    CornerPosts {
        /// Longer side, mm.
        long_mm: f64,
        /// Shorter side, mm.
        short_mm: f64,
    },
    /// A disc simply supported along its edge.
    RoundOnRim {
        /// Diameter, mm.
        diameter_mm: f64,
    },
    /// Any plate on posts that stand otherwise.
    Reach {
        /// From the nearest post to the point of the plate that is farthest from any post, mm.
        reach_mm: f64,
    },
}

/// Largest moment per width m·q·s² and largest deflection c·q·s⁴/D for a side s.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Coefficients {
    /// m.
    pub moment: f64,
    /// c.
    pub deflection: f64,
    /// s, mm.
    pub side_mm: f64,
}

/// Roark table 11.4 case 1a at Poisson's ratio 0.3: (a/b, β, α); σ = βqb²/t², y = αqb⁴/(Et³)
/// (`physics.md` 6c, published). The last row is a strip, a/b without end.
const EDGES_HELD: [(f64, f64, f64); 10] = [
    (1.0, 0.2874, 0.0444),
    (1.2, 0.3762, 0.0616),
    (1.4, 0.4530, 0.0770),
    (1.6, 0.5172, 0.0906),
    (1.8, 0.5688, 0.1017),
    (2.0, 0.6102, 0.1110),
    (3.0, 0.7134, 0.1335),
    (4.0, 0.7410, 0.1400),
    (5.0, 0.7476, 0.1417),
    (f64::INFINITY, 0.7500, 0.1421),
];

/// Square on four corner posts by Poisson's ratio: (ν, c at the centre, m at the middle of an
/// edge, which governs) (`physics.md` 6c, derived by finite elements).
const CORNER_POSTS: [(f64, f64, f64); 3] = [
    (0.22, 0.025823, 0.1530),
    (0.25, 0.025669, 0.1521),
    (0.30, 0.025506, 0.1505),
];

impl PlateCase {
    /// Coefficients for a Poisson's ratio; none where the plate does not bend.
    pub fn coefficients(&self, poisson: f64) -> Option<Coefficients> {
        match *self {
            PlateCase::OnHearth => None,
            PlateCase::EdgesHeld { long_mm, short_mm } => {
                let (beta, alpha) = edges_held(long_mm / short_mm);
                Some(Coefficients {
                    // m = (mₓ + ν·m_y) grows by less than (1 + ν), so this is never too small.
                    moment: beta / 6.0 * f64::max(1.0, (1.0 + poisson) / 1.3),
                    // From Et³ at the table's ν of 0.3 to D, on which alone c depends.
                    deflection: alpha / (12.0 * (1.0 - 0.3 * 0.3)),
                    side_mm: short_mm,
                })
            }
            PlateCase::TwoRails { span_mm, along_mm } => {
                Some(two_rails(span_mm, along_mm, poisson))
            }
            PlateCase::CornerPosts { long_mm, .. } => {
                let (deflection, moment) = corner_posts(poisson);
                Some(Coefficients {
                    moment,
                    deflection,
                    side_mm: long_mm,
                })
            }
            // Roark table 11.2 case 10a, from memory: σ = 3(3+ν)qR²/(8t²),
            // y = qR⁴(5+ν)/(64D(1+ν)).
            PlateCase::RoundOnRim { diameter_mm } => Some(Coefficients {
                moment: (3.0 + poisson) / 16.0,
                deflection: (5.0 + poisson) / (64.0 * (1.0 + poisson)),
                side_mm: diameter_mm / 2.0,
            }),
            // A strip of span 2r held at its ends and a strip of length r held at one end have the
            // same moment qr²/2; the former sinks more, 5q(2r)⁴/(384EI).
            PlateCase::Reach { reach_mm } => Some(Coefficients {
                moment: 0.5,
                deflection: 80.0 / 384.0 / (1.0 - poisson * poisson),
                side_mm: reach_mm,
            }),
        }
    }

    /// How far the formula may be trusted.
    pub fn standing(&self) -> Standing {
        match self {
            PlateCase::OnHearth | PlateCase::TwoRails { .. } => Standing::Derived,
            PlateCase::EdgesHeld { .. } => Standing::Published,
            PlateCase::CornerPosts { long_mm, short_mm } if long_mm == short_mm => {
                Standing::Derived
            }
            PlateCase::RoundOnRim { .. } => Standing::Memory,
            PlateCase::CornerPosts { .. } | PlateCase::Reach { .. } => Standing::Assumed,
        }
    }

    /// The formula in words, for sheets.
    pub fn formula(&self) -> &'static str {
        match self {
            PlateCase::OnHearth => "lies on the hearth: no bending",
            PlateCase::EdgesHeld { .. } => {
                "rectangle simply supported on all edges (Roark table 11.4, case 1a)"
            }
            PlateCase::TwoRails { .. } => {
                "rectangle on two rails, middle of the free edge (Lévy's series)"
            }
            PlateCase::CornerPosts { long_mm, short_mm } if long_mm == short_mm => {
                "square on corner posts, middle of an edge (finite elements)"
            }
            PlateCase::CornerPosts { .. } => {
                "rectangle on corner posts, taken as a square of its longer side"
            }
            PlateCase::RoundOnRim { .. } => {
                "disc simply supported along its edge (Roark table 11.2, case 10a)"
            }
            PlateCase::Reach { .. } => {
                "strip of twice the farthest distance from a post, held at its ends"
            }
        }
    }
}

/// Roark's β and α at a ratio of sides, straight between the rows; beyond the last ratio the
/// strip's, which are larger.
fn edges_held(ratio: f64) -> (f64, f64) {
    let ratio = ratio.max(1.0);
    let mut below = EDGES_HELD[0];
    for row in EDGES_HELD {
        if ratio <= row.0 {
            // Towards the strip the share is 1 for any finite step.
            let share = if row.0.is_finite() && row.0 > below.0 {
                (ratio - below.0) / (row.0 - below.0)
            } else if ratio > below.0 {
                1.0
            } else {
                0.0
            };
            return (
                below.1 + share * (row.1 - below.1),
                below.2 + share * (row.2 - below.2),
            );
        }
        below = row;
    }
    (below.1, below.2)
}

/// c and m at a Poisson's ratio; below the first row along its line, above the last row the last,
/// which is the larger.
fn corner_posts(poisson: f64) -> (f64, f64) {
    let [a, b, c] = CORNER_POSTS;
    let (from, to) = if poisson < b.0 { (a, b) } else { (b, c) };
    let share = ((poisson - from.0) / (to.0 - from.0)).min(1.0);
    (
        from.1 + share * (to.1 - from.1),
        from.2 + share * (to.2 - from.2),
    )
}

/// Lévy's solution at the middle of the free edge of a plate on two rails (derived; Timoshenko's
/// table for it, from memory, agrees). With α = mπ/span and u = α·along/2:
/// Y = 1 + ν·((1+ν)/(1−ν) − k)/(3 + ν − (1−ν)k), k = 2u/sinh 2u;
/// c = Σ ±4Y/(mπ)⁵ and, since no moment crosses the free edge, m = (1−ν²) Σ ±4Y/(mπ)³.
fn two_rails(span_mm: f64, along_mm: f64, poisson: f64) -> Coefficients {
    let nu = poisson;
    let (mut moment, mut deflection) = (0.0, 0.0);
    let mut sign = 1.0;
    // Terms fall with the third power; 50 leave less than 1e-6.
    for m in (1..100).step_by(2) {
        let wave = f64::from(m) * PI;
        let twice = wave * along_mm / span_mm;
        let k = twice / libm::sinh(twice);
        let edge = 1.0 + nu * ((1.0 + nu) / (1.0 - nu) - k) / (3.0 + nu - (1.0 - nu) * k);
        let third = wave * wave * wave;
        moment += sign * 4.0 * edge / third;
        deflection += sign * 4.0 * edge / (third * wave * wave);
        sign = -sign;
    }
    Coefficients {
        moment: (1.0 - nu * nu) * moment,
        deflection,
        side_mm: span_mm,
    }
}

/// Stress and deflection of a plate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bent {
    /// Largest elastic bending stress, MPa.
    pub stress_mpa: f64,
    /// Largest elastic deflection, µm.
    pub deflection_um: f64,
}

/// σ = 6mqs²/t² and w = cqs⁴/D, D = Et³/(12(1−ν²)), for an even load `q_pa`.
pub fn bend(
    coefficients: &Coefficients,
    q_pa: f64,
    thickness_mm: f64,
    modulus_gpa: f64,
    poisson: f64,
) -> Bent {
    let q_mpa = q_pa * 1e-6;
    let t = thickness_mm;
    let side_2 = coefficients.side_mm * coefficients.side_mm;
    let stiffness_n_mm = modulus_gpa * 1e3 * t * t * t / (12.0 * (1.0 - poisson * poisson));
    Bent {
        stress_mpa: 6.0 * coefficients.moment * q_mpa * side_2 / (t * t),
        deflection_um: coefficients.deflection * q_mpa * side_2 * side_2 / stiffness_n_mm * 1e3,
    }
}

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
    #[error("setter \"{0}\" is not in the catalogue")]
    UnknownSetter(String),
    /// Its material is not in the catalogue.
    #[error("material \"{0}\" is not in the catalogue")]
    UnknownMaterial(String),
    /// No modulus, no strength, or a Poisson's ratio that cannot be.
    #[error(
        "material \"{0}\" has no usable modulus, strength or Poisson's ratio: complete its record"
    )]
    NoTable(String),
    /// No thickness or no area.
    #[error("setter \"{0}\" has no thickness or no area: correct its record")]
    NoPlate(String),
    /// Carried by posts, and there is none.
    #[error("no post carries the setter: add posts")]
    NoPost,
    /// No formula for this shape on this carrier.
    #[error("how a round setter on feet or in a rack bends is not worked out")]
    NotCovered,
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
    let area_mm2 = match setter.shape {
        SetterShape::Rectangle { width_mm, depth_mm } => width_mm * depth_mm,
        SetterShape::Disc { diameter_mm } => PI * diameter_mm * diameter_mm / 4.0,
    };
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
/// No post, or a round setter on feet or in a rack.
pub fn plate_case(setter: &Setter, carrier: &Carrier) -> Result<PlateCase, PlateFault> {
    let (long_mm, short_mm) = match setter.shape {
        SetterShape::Rectangle { width_mm, depth_mm } => {
            (width_mm.max(depth_mm), width_mm.min(depth_mm))
        }
        SetterShape::Disc { diameter_mm } => {
            return match carrier {
                Carrier::Hearth => Ok(PlateCase::OnHearth),
                Carrier::Rim => Ok(PlateCase::RoundOnRim { diameter_mm }),
                Carrier::Posts { at_mm, .. } => on_reach(setter.shape, at_mm),
                Carrier::Feet { .. } | Carrier::RackSlot(_) => Err(PlateFault::NotCovered),
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
        Carrier::Posts { at_mm, .. } if at_corners(setter.shape, at_mm) => {
            Ok(PlateCase::CornerPosts { long_mm, short_mm })
        }
        Carrier::Posts { at_mm, .. } => on_reach(setter.shape, at_mm),
    }
}

/// Whether four posts stand near the four corners of a rectangle.
fn at_corners(shape: SetterShape, posts_mm: &[P2]) -> bool {
    let SetterShape::Rectangle { width_mm, depth_mm } = shape else {
        return false;
    };
    let near = CORNER_SHARE * width_mm.max(depth_mm);
    let corner = |sx: f64, sy: f64| {
        posts_mm.iter().any(|p| {
            (sx * p[0] - width_mm / 2.0).abs() <= near && (sy * p[1] - depth_mm / 2.0).abs() <= near
        })
    };
    posts_mm.len() == 4
        && corner(1.0, 1.0)
        && corner(-1.0, 1.0)
        && corner(-1.0, -1.0)
        && corner(1.0, -1.0)
}

fn on_reach(shape: SetterShape, posts_mm: &[P2]) -> Result<PlateCase, PlateFault> {
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
/// small, and too large by at most half a grid step's diagonal (1.1 % of a square's side).
fn reach_mm(shape: SetterShape, posts_mm: &[P2]) -> f64 {
    let (width_mm, depth_mm) = match shape {
        SetterShape::Rectangle { width_mm, depth_mm } => (width_mm, depth_mm),
        SetterShape::Disc { diameter_mm } => (diameter_mm, diameter_mm),
    };
    let share = |i: u32| f64::from(i) / f64::from(REACH_STEPS) - 0.5;
    let mut farthest = 0.0;
    for i in 0..=REACH_STEPS {
        for j in 0..=REACH_STEPS {
            let (mut x, mut y) = (share(i) * width_mm, share(j) * depth_mm);
            let out = libm::hypot(x, y);
            if let SetterShape::Disc { diameter_mm } = shape
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
    let half_step = 0.5 / f64::from(REACH_STEPS);
    libm::sqrt(farthest) + half_step * libm::hypot(width_mm, depth_mm)
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
