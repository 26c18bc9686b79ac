//! Cold and hot case of section 8 as the solver takes them. What they rest on is
//! [`Uniformity`], which the review reads too.

use super::constants::ZERO_C;
use super::curve::Curve;
use super::inputs::Case;
use crate::catalogue::{Offsets, Uniformity};

/// Where a run begins and nothing is off, °C.
const START_C: f64 = 25.0;

/// Change of the setters' emissivity between cases (assumed).
pub const EMISSIVITY_STEP: f64 = 0.15;
/// Change of the mass between cases (assumed).
pub const MASS_STEP: f64 = 0.05;

/// The two cases, and where they hold.
#[derive(Clone, Debug, PartialEq)]
pub struct Cases {
    /// Cold: colder surroundings, setters that take less, more mass.
    pub cold: Case,
    /// Hot: the opposite.
    pub hot: Case,
    /// Temperatures for which the offsets are known, K; below them they fade to nought at 25 °C so
    /// that the run can begin, and what is read there is to be said so.
    pub known_k: (f64, f64),
}

impl Cases {
    /// Where what is known begins, K, if that is above a temperature.
    pub fn known_from_k(&self, at_k: f64) -> Option<f64> {
        let from_k = self.known_k.0;
        (at_k < from_k - 1e-9).then_some(from_k)
    }

    fn new(cold: Curve, hot: Curve, known_k: (f64, f64)) -> Cases {
        Cases {
            cold: Case {
                offset: cold,
                setter_emissivity: -EMISSIVITY_STEP,
                mass: 1.0 + MASS_STEP,
            },
            hot: Case {
                offset: hot,
                setter_emissivity: EMISSIVITY_STEP,
                mass: 1.0 - MASS_STEP,
            },
            known_k,
        }
    }

    /// The same offset either way at every temperature, K.
    pub fn even(k: f64) -> Cases {
        let everywhere = (0.0, f64::INFINITY);
        Cases::new(Curve::constant(-k), Curve::constant(k), everywhere)
    }
}

/// Why there are no cases.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NoCases {
    /// Nothing is known of the furnace.
    NothingKnown,
    /// The program goes beyond what is known: section 8 carries nothing on.
    Beyond {
        /// Known up to, K.
        known_k: f64,
        /// Highest target, K.
        peak_k: f64,
    },
}

/// Makes the cases of a program up to its highest target from what is known of the furnace.
///
/// # Errors
/// Where that is nothing, or does not reach up to the highest target: then only the nominal case
/// can be told, and both others are not evaluated.
pub fn cases(known: &Uniformity, peak_k: f64) -> Result<Cases, NoCases> {
    let (from_c, to_c) = known.span_c().ok_or(NoCases::NothingKnown)?;
    if peak_k > kelvin(to_c) {
        return Err(NoCases::Beyond {
            known_k: kelvin(to_c),
            peak_k,
        });
    }
    let curve = |of: fn(&Offsets) -> f64| {
        let knots = known.knots().iter();
        let mut points: Vec<(f64, f64)> = knots.map(|k| (kelvin(k.setpoint_c), of(k))).collect();
        if from_c > START_C {
            points.insert(0, (kelvin(START_C), 0.0));
        }
        Curve::new(&points).ok_or(NoCases::NothingKnown)
    };
    let (cold, hot) = (curve(|k| k.coldest_k)?, curve(|k| k.hottest_k)?);
    let known_k = (kelvin(from_c), kelvin(to_c));
    Ok(Cases::new(cold, hot, known_k))
}

/// Celsius, for tests and reports.
pub fn kelvin(c: f64) -> f64 {
    c + ZERO_C
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::{Survey, SurveyPoint};

    fn survey(setpoints_c: &[f64]) -> Uniformity {
        let point = |&setpoint_c: &f64| SurveyPoint {
            setpoint_c,
            hottest_k: 5.0,
            coldest_k: -8.0,
        };
        Uniformity::of_survey(&Survey {
            date: String::new(),
            due: String::new(),
            points: setpoints_c.iter().map(point).collect(),
            drift_k: 3.0,
            overshoot_k: 0.0,
            class: None,
            places: Vec::new(),
        })
    }

    /// Story 4: at 1205 °C the hottest place is at 1213 and the coldest at 1194.
    #[test]
    fn the_cases_are_those_of_the_review() {
        let c = cases(&survey(&[600.0, 1250.0]), kelvin(1205.0)).unwrap();
        assert_eq!(c.hot.offset.at(kelvin(1205.0)), 8.0);
        assert_eq!(c.cold.offset.at(kelvin(1205.0)), -11.0);
        assert_eq!(c.known_k, (kelvin(600.0), kelvin(1250.0)));
        // Below the survey they fade, and that is not known.
        assert!((c.hot.offset.at(kelvin(312.5)) - 4.0).abs() < 1e-9);
    }

    #[test]
    fn nothing_is_carried_on_above_the_last_surveyed_temperature() {
        let beyond = cases(&survey(&[600.0, 1200.0]), kelvin(1205.0));
        let (known_k, peak_k) = (kelvin(1200.0), kelvin(1205.0));
        assert_eq!(beyond, Err(NoCases::Beyond { known_k, peak_k }));
        assert!(cases(&survey(&[600.0, 1200.0]), kelvin(1200.0)).is_ok());
        assert_eq!(cases(&survey(&[]), 300.0), Err(NoCases::NothingKnown));
    }

    #[test]
    fn a_class_holds_everywhere() {
        let c = cases(&Uniformity::of_class(2, 6.0, 3.0, 2.0), kelvin(1600.0)).unwrap();
        assert_eq!(c.hot.offset.at(kelvin(300.0)), 11.0);
        assert_eq!(c.cold.offset.at(kelvin(1600.0)), -9.0);
    }
}
