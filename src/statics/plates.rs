//! Bending of plates by the way they are held: elastic stress and deflection under a load that is
//! spread evenly.

use crate::catalogue::Standing;
use crate::text::plates;
use std::f64::consts::PI;

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
    /// A rectangle on four posts near its corners. The coefficients are those of a square of the
    /// longer side with the posts at the very corners, and never too small: own finite elements
    /// gave less for sides of 1.25, 1.5, 2 and 4 to 1 and for posts set in by 5 to 15 %. What one
    /// post right at an edge adds just above itself is not counted.
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
    /// Any plate on posts that stand otherwise, by an assumed rule meant to be too large: the
    /// moment is twice that of the strip that spans or overhangs as far, for it peaks over a post.
    /// Own finite elements for 30 layouts of three to nine posts gave 0.25 to 0.97 of it, and 1.2
    /// over a single point under the middle of a free edge.
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
/// (`physics.md` 6c, published). The last row is a strip, a/b without end. Row 2.5 is ours, from
/// Navier's series: without it a straight line loses 2.6 % there.
const EDGES_HELD: [(f64, f64, f64); 11] = [
    (1.0, 0.2874, 0.0444),
    (1.2, 0.3762, 0.0616),
    (1.4, 0.4530, 0.0770),
    (1.6, 0.5172, 0.0906),
    (1.8, 0.5688, 0.1017),
    (2.0, 0.6102, 0.1110),
    (2.5, 0.6776, 0.1255),
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
            // w = A + Br² + qr⁴/(64D) without moment at the edge: σ = 3(3+ν)qR²/(8t²),
            // w = qR⁴(5+ν)/(64D(1+ν)) at the middle (derived; Roark's case 10a, from memory).
            PlateCase::RoundOnRim { diameter_mm } => Some(Coefficients {
                moment: (3.0 + poisson) / 16.0,
                deflection: (5.0 + poisson) / (64.0 * (1.0 + poisson)),
                side_mm: diameter_mm / 2.0,
            }),
            // A strip of span 2r held at its ends and a strip of length r held at one end have the
            // same moment qr²/2, taken twice; the former sinks more, 5q(2r)⁴/(384EI).
            PlateCase::Reach { reach_mm } => Some(Coefficients {
                moment: 1.0,
                deflection: 80.0 / 384.0 / (1.0 - poisson * poisson),
                side_mm: reach_mm,
            }),
        }
    }

    /// How far the formula may be trusted.
    pub fn standing(&self) -> Standing {
        match self {
            PlateCase::OnHearth
            | PlateCase::TwoRails { .. }
            | PlateCase::CornerPosts { .. }
            | PlateCase::RoundOnRim { .. } => Standing::Derived,
            PlateCase::EdgesHeld { .. } => Standing::Published,
            PlateCase::Reach { .. } => Standing::Assumed,
        }
    }

    /// The formula in words, for sheets.
    pub fn formula(&self) -> &'static str {
        match self {
            PlateCase::OnHearth => plates::on_hearth(),
            PlateCase::EdgesHeld { .. } => plates::edges_held(),
            PlateCase::TwoRails { .. } => plates::two_rails(),
            PlateCase::CornerPosts { .. } => plates::corner_posts(),
            PlateCase::RoundOnRim { .. } => plates::round_on_rim(),
            PlateCase::Reach { .. } => plates::reach(),
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
