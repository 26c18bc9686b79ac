//! Cold and hot case of section 8, and the usable setpoint.

use super::constants::ZERO_C;
use super::curve::Curve;
use super::inputs::Case;

/// What is known of the furnace's temperatures.
#[derive(Clone, Debug, PartialEq)]
pub enum Uniformity {
    /// A survey in force.
    Survey {
        /// (setpoint K, hottest less setpoint K, coldest less setpoint K), rising.
        points: Vec<(f64, f64, f64)>,
        /// Drift since, K.
        drift_k: f64,
        /// Declared overshoot, K.
        overshoot_k: f64,
    },
    /// No survey: ± (thermocouple + instrument + declared spread), K over K.
    Tolerance(Curve),
}

/// Change of the setters' emissivity between cases (assumed).
pub const EMISSIVITY_STEP: f64 = 0.15;
/// Change of the mass between cases (assumed).
pub const MASS_STEP: f64 = 0.05;

/// The two cases, and whether the survey covers the temperatures asked for.
#[derive(Clone, Debug, PartialEq)]
pub struct Cases {
    /// Cold: colder surroundings, setters that take less, more mass.
    pub cold: Case,
    /// Hot: the opposite.
    pub hot: Case,
    /// Surveyed range, K; outside it the nearest figure stands in and is to be said so.
    pub surveyed_k: Option<(f64, f64)>,
}

/// Makes the cases. Below the first surveyed temperature an offset fades to nought at 25 °C; it is
/// never extended beyond the surveyed range, the nearest figure holds.
pub fn cases(uniformity: &Uniformity) -> Cases {
    let zero = (298.15, 0.0);
    let (cold, hot, surveyed_k) = match uniformity {
        Uniformity::Survey {
            points,
            drift_k,
            overshoot_k,
        } => {
            let mut cold = vec![zero];
            let mut hot = vec![zero];
            for &(t, hottest, coldest) in points {
                cold.push((t, coldest - drift_k));
                hot.push((t, hottest + drift_k + overshoot_k));
            }
            let range = points.first().zip(points.last()).map(|(a, b)| (a.0, b.0));
            (cold, hot, range)
        }
        Uniformity::Tolerance(c) => {
            let ends: Vec<(f64, f64)> = c.points().iter().map(|&(t, k)| (t, k.abs())).collect();
            (
                ends.iter().map(|&(t, k)| (t, -k)).collect(),
                ends.clone(),
                None,
            )
        }
    };
    let curve = |p: &[(f64, f64)]| Curve::new(p).unwrap_or_else(|| Curve::constant(0.0));
    Cases {
        cold: Case {
            offset: curve(&cold),
            setter_emissivity: -EMISSIVITY_STEP,
            mass: 1.0 + MASS_STEP,
        },
        hot: Case {
            offset: curve(&hot),
            setter_emissivity: EMISSIVITY_STEP,
            mass: 1.0 - MASS_STEP,
        },
        surveyed_k,
    }
}

/// Setpoints at which both cases stay in a range, K: [Tmin − cold, Tmax − hot] with the offsets at
/// the range's middle; none = no setpoint exists.
pub fn usable_setpoint(cases: &Cases, from_k: f64, to_k: f64) -> Option<(f64, f64)> {
    let mid = 0.5 * (from_k + to_k);
    let lo = from_k - cases.cold.offset.at(mid);
    let hi = to_k - cases.hot.offset.at(mid);
    (lo <= hi).then_some((lo, hi))
}

/// Celsius, for tests and reports.
pub fn kelvin(c: f64) -> f64 {
    c + ZERO_C
}

#[cfg(test)]
mod tests {
    use super::*;

    fn survey(hot: f64, cold: f64, drift_k: f64, overshoot_k: f64) -> Cases {
        cases(&Uniformity::Survey {
            points: vec![(kelvin(1200.0), hot, cold)],
            drift_k,
            overshoot_k,
        })
    }

    /// Story 4: 1190–1210 °C, survey +5/−8, drift 3, overshoot 0: 1201–1202; with 2: none.
    #[test]
    fn story_4_a_range_one_kelvin_wide() {
        let c = survey(5.0, -8.0, 3.0, 0.0);
        let (lo, hi) = usable_setpoint(&c, kelvin(1190.0), kelvin(1210.0)).unwrap();
        assert!((lo - kelvin(1201.0)).abs() < 1e-9 && (hi - kelvin(1202.0)).abs() < 1e-9);
        assert!(
            usable_setpoint(&survey(5.0, -8.0, 3.0, 2.0), kelvin(1190.0), kelvin(1210.0)).is_none()
        );
        // At 1205: hot 1213, cold 1194.
        assert_eq!(1205.0 + c.hot.offset.at(kelvin(1205.0)), 1213.0);
        assert_eq!(1205.0 + c.cold.offset.at(kelvin(1205.0)), 1194.0);
        // No survey, ±(12 + 6.5): none.
        let t = cases(&Uniformity::Tolerance(Curve::constant(18.5)));
        assert!(usable_setpoint(&t, kelvin(1190.0), kelvin(1210.0)).is_none());
    }
}
