//! How far the coldest and the hottest place of a furnace may be from its setpoint, and the
//! setpoints that this leaves: the cold and the hot case of `model.md` section 8, for review and
//! forecast alike.

use super::{Furnace, FurnaceState, RangeC, SensorJob, Survey, Tolerance, standards, when};
use crate::text::{missing, on_paper};

/// What the two cases rest on.
#[derive(Clone, Debug, PartialEq)]
pub enum Basis {
    /// A survey in force, which contains the control system's own error: nothing is added for the
    /// thermocouple.
    Survey {
        /// Day of the survey.
        date: String,
    },
    /// The furnace's class alone; its map is not known.
    Class {
        /// The class.
        class: u8,
    },
    /// No survey: tolerance of the control thermocouple, instrument and declared spread.
    Sum {
        /// Letter of the type.
        kind: String,
        /// Class of its tolerance.
        class: u8,
        /// Instrument, K either way.
        instrument_k: f64,
        /// Declared spread of the zone, K either way.
        spread_k: f64,
    },
}

/// Both cases at a setpoint, with drift and overshoot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Offsets {
    /// Setpoint, °C.
    pub setpoint_c: f64,
    /// Coldest place less setpoint, K.
    pub coldest_k: f64,
    /// Hottest place less setpoint, K.
    pub hottest_k: f64,
}

/// The two cases over the setpoint: straight between knots, nothing beyond them.
#[derive(Clone, Debug, PartialEq)]
pub struct Uniformity {
    /// What they rest on.
    pub basis: Basis,
    /// Drift counted in, K.
    pub drift_k: f64,
    /// Overshoot counted in, K.
    pub overshoot_k: f64,
    knots: Vec<Offsets>,
    everywhere: bool,
}

impl Uniformity {
    /// Signed extremes of a survey: hot u + s + o, cold u − s.
    pub fn of_survey(survey: &Survey) -> Uniformity {
        let (s, o) = (survey.drift_k, survey.overshoot_k);
        let knots = survey.points.iter().map(|p| Offsets {
            setpoint_c: p.setpoint_c,
            coldest_k: p.coldest_k - s,
            hottest_k: p.hottest_k + s + o,
        });
        let mut knots: Vec<Offsets> = knots.collect();
        knots.sort_by(|a, b| a.setpoint_c.total_cmp(&b.setpoint_c));
        Uniformity {
            basis: Basis::Survey {
                date: survey.date.clone(),
            },
            drift_k: s,
            overshoot_k: o,
            knots,
            everywhere: false,
        }
    }

    /// What a class allows, K either way, with drift and overshoot.
    pub fn of_class(class: u8, k: f64, drift_k: f64, overshoot_k: f64) -> Uniformity {
        Uniformity {
            basis: Basis::Class { class },
            drift_k,
            overshoot_k,
            knots: vec![Offsets {
                setpoint_c: 0.0,
                coldest_k: -k - drift_k,
                hottest_k: k + drift_k + overshoot_k,
            }],
            everywhere: true,
        }
    }

    /// ± (thermocouple + instrument + spread), a linear sum; nothing where the type has no stated
    /// tolerance.
    pub fn of_sum(tolerance: &Tolerance, instrument_k: f64, spread_k: f64) -> Uniformity {
        let knots = tolerance.knots();
        let knots = knots.into_iter().filter_map(|c| {
            let k = tolerance.at(c)? + instrument_k + spread_k;
            Some(Offsets {
                setpoint_c: c,
                coldest_k: -k,
                hottest_k: k,
            })
        });
        Uniformity {
            basis: Basis::Sum {
                kind: tolerance.kind.clone(),
                class: tolerance.class,
                instrument_k,
                spread_k,
            },
            drift_k: 0.0,
            overshoot_k: 0.0,
            knots: knots.collect(),
            everywhere: false,
        }
    }

    /// What is known of a furnace on the day of the run, where that is planned. By the survey in
    /// force: it contains the control system's own error, and the thermocouple's tolerance is not
    /// counted again. By the class where that alone is known. Else by the sum of the control
    /// thermocouple's tolerance, the instrument and the declared spread; a correction is in the
    /// reading already.
    ///
    /// # Errors
    /// What is missing.
    pub fn of_furnace(
        furnace: Option<&Furnace>,
        state: Option<&FurnaceState>,
        start: Option<&str>,
    ) -> Result<Uniformity, &'static str> {
        let state = state.ok_or(missing::furnace_state())?;
        let out = state.survey_out_of_force(start);
        if let Some(survey) = state.survey.as_ref().filter(|_| out.is_empty()) {
            return Uniformity::surveyed(survey);
        }
        let none = [state.instrument_k, state.spread_k] == [None, None];
        if none {
            return Err(match &state.survey {
                Some(_) => missing::survey_in_force(),
                None => missing::survey(),
            });
        }
        let control = furnace.ok_or(missing::furnace_record())?;
        let control = control.sensors.iter().find(|s| s.job == SensorJob::Control);
        let control = control.and_then(|c| state.sensors.iter().find(|s| s.slot == c.id));
        let tolerance = control.and_then(|c| standards().tolerance(&c.kind, c.class?));
        let tolerance = tolerance.ok_or(missing::control_class())?;
        let instrument_k = state.instrument_k.ok_or(missing::instrument_error())?;
        let spread_k = state.spread_k.ok_or(missing::declared_spread())?;
        Ok(Uniformity::of_sum(tolerance, instrument_k, spread_k))
    }

    /// What a survey says, in force or not.
    ///
    /// # Errors
    /// It has neither temperatures nor a class.
    pub fn surveyed(survey: &Survey) -> Result<Uniformity, &'static str> {
        if !survey.points.is_empty() {
            return Ok(Uniformity::of_survey(survey));
        }
        let class = survey.class.ok_or(missing::surveyed_temperatures())?;
        let k = standards().uniformity_k(class);
        let k = k.ok_or(missing::surveyed_temperatures())?;
        let (s, o) = (survey.drift_k, survey.overshoot_k);
        Ok(Uniformity::of_class(class, k, s, o))
    }

    /// Setpoints for which it says something, °C; none where it says nothing at all.
    pub fn span_c(&self) -> Option<(f64, f64)> {
        let (first, last) = (self.knots.first()?, self.knots.last()?);
        if self.everywhere {
            return Some((f64::NEG_INFINITY, f64::INFINITY));
        }
        Some((first.setpoint_c, last.setpoint_c))
    }

    /// Both cases at their knots, rising.
    pub fn knots(&self) -> &[Offsets] {
        &self.knots
    }

    /// Both cases at a setpoint; none beyond the knots.
    pub fn at(&self, setpoint_c: f64) -> Option<Offsets> {
        if self.everywhere {
            let first = *self.knots.first()?;
            return Some(Offsets {
                setpoint_c,
                ..first
            });
        }
        let after = self.knots.iter().position(|k| k.setpoint_c >= setpoint_c)?;
        let b = *self.knots.get(after)?;
        if b.setpoint_c == setpoint_c {
            return Some(b);
        }
        let a = *self.knots.get(after.checked_sub(1)?)?;
        let share = (setpoint_c - a.setpoint_c) / (b.setpoint_c - a.setpoint_c);
        let between = |x: f64, y: f64| x + (y - x) * share;
        Some(Offsets {
            setpoint_c,
            coldest_k: between(a.coldest_k, b.coldest_k),
            hottest_k: between(a.hottest_k, b.hottest_k),
        })
    }

    /// [Tmin − cold, Tmax − hot], each with the case at the setpoint itself. None where one end
    /// lies beyond what is known.
    pub fn usable(&self, range: RangeC) -> Option<Usable> {
        if self.everywhere {
            let at = self.knots.first()?;
            return Some(Usable {
                from_c: range.from_c - at.coldest_k,
                to_c: range.to_c - at.hottest_k,
            });
        }
        let places = |of: fn(&Offsets) -> f64| -> Vec<(f64, f64)> {
            let knots = self.knots.iter();
            knots
                .map(|k| (k.setpoint_c, k.setpoint_c + of(k)))
                .collect()
        };
        Some(Usable {
            from_c: first_at_least(&places(|k| k.coldest_k), range.from_c)?,
            to_c: last_at_most(&places(|k| k.hottest_k), range.to_c)?,
        })
    }

    /// What a linear sum would be as a root of squares, K either way: for information only. None
    /// where there is no sum.
    pub fn root_sum_square_k(&self, setpoint_c: f64) -> Option<f64> {
        let Basis::Sum {
            instrument_k,
            spread_k,
            ..
        } = self.basis
        else {
            return None;
        };
        let tolerance = self.at(setpoint_c)?.hottest_k - instrument_k - spread_k;
        Some(libm::hypot(libm::hypot(tolerance, instrument_k), spread_k))
    }
}

impl FurnaceState {
    /// Why the survey on record does not hold for a run that starts on a day, as plain words; of a
    /// start that is not planned nothing can be said.
    pub fn survey_out_of_force(&self, start: Option<&str>) -> Vec<String> {
        let Some(survey) = &self.survey else {
            return Vec::new();
        };
        let start = start.and_then(when::day);
        let (made, due) = (when::day(&survey.date), when::day(&survey.due));
        let mut found = Vec::new();
        if start.zip(due).is_some_and(|(start, due)| due < start) {
            found.push(on_paper::survey_expired(&survey.due));
        }
        if start.zip(made).is_some_and(|(start, made)| made > start) {
            found.push(on_paper::survey_of_days_to_come());
        }
        let repaired = self.repaired_on.as_deref();
        if let Some(day) = repaired.filter(|d| when::day(d).zip(made).is_some_and(|(d, m)| d > m)) {
            found.push(on_paper::repaired_since(day));
        }
        found
    }
}

/// Setpoints at which both the coldest and the hottest place stay in a range, °C.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Usable {
    /// Lowest at which the coldest place is hot enough.
    pub from_c: f64,
    /// Highest at which the hottest place is not too hot; below `from_c` where there is none.
    pub to_c: f64,
}

impl Usable {
    /// No setpoint serves both.
    pub fn is_empty(&self) -> bool {
        self.to_c < self.from_c
    }
}

/// Where a line through points (setpoint, place) first reaches a temperature.
fn first_at_least(line: &[(f64, f64)], c: f64) -> Option<f64> {
    let mut before = *line.first()?;
    if before.1 >= c {
        return Some(before.0);
    }
    for &next in line {
        if next.1 >= c {
            return Some(crossing(before, next, c));
        }
        before = next;
    }
    None
}

/// Where it is last at or below one.
fn last_at_most(line: &[(f64, f64)], c: f64) -> Option<f64> {
    let mut after = *line.last()?;
    if after.1 <= c {
        return Some(after.0);
    }
    for &next in line.iter().rev() {
        if next.1 <= c {
            return Some(crossing(next, after, c));
        }
        after = next;
    }
    None
}

fn crossing(a: (f64, f64), b: (f64, f64), c: f64) -> f64 {
    a.0 + (b.0 - a.0) * (c - a.1) / (b.1 - a.1)
}

#[cfg(test)]
mod tests {
    use super::super::{SurveyPoint, standards};
    use super::*;

    fn survey(points: &[(f64, f64, f64)], overshoot_k: f64) -> Survey {
        let point = |&(setpoint_c, hottest_k, coldest_k): &(f64, f64, f64)| SurveyPoint {
            setpoint_c,
            hottest_k,
            coldest_k,
        };
        Survey {
            date: "2026-10-12".to_owned(),
            due: "2027-04-12".to_owned(),
            points: points.iter().map(point).collect(),
            drift_k: 3.0,
            overshoot_k,
            class: None,
            places: Vec::new(),
        }
    }

    fn range(from_c: f64, to_c: f64) -> RangeC {
        RangeC { from_c, to_c }
    }

    /// Story 4 (`stories.md`): survey +5/−8 at and about 1200 °C, drift 3, range 1190 to 1210.
    #[test]
    fn a_range_one_kelvin_wide() {
        let points = [(1150.0, 5.0, -8.0), (1250.0, 5.0, -8.0)];
        let usable = |overshoot_k| {
            let known = Uniformity::of_survey(&survey(&points, overshoot_k));
            known.usable(range(1190.0, 1210.0)).unwrap()
        };
        let tuned = usable(0.0);
        assert!((tuned.from_c - 1201.0).abs() < 1e-9 && (tuned.to_c - 1202.0).abs() < 1e-9);
        assert!(!tuned.is_empty());
        let loose = usable(2.0);
        assert!((loose.to_c - 1200.0).abs() < 1e-9 && loose.is_empty());
        // At 1205: hot 1213, cold 1194.
        let at = Uniformity::of_survey(&survey(&points, 0.0))
            .at(1205.0)
            .unwrap();
        assert_eq!((at.hottest_k, at.coldest_k), (8.0, -11.0));
    }

    /// The same story without a survey: a new type C (±1 %) and ±6.5 K of instrument and spread:
    /// 20 − 13 − 24 < 0.
    #[test]
    fn without_a_survey_the_sum_leaves_nothing() {
        let c = standards().tolerance("C", 2).unwrap();
        let known = Uniformity::of_sum(c, 1.5, 5.0);
        let at = known.at(1200.0).unwrap();
        assert!((at.hottest_k - 18.5).abs() < 1e-9 && (at.coldest_k + 18.5).abs() < 1e-9);
        let usable = known.usable(range(1190.0, 1210.0)).unwrap();
        assert!(usable.is_empty());
        assert!(
            (usable.to_c - usable.from_c - (20.0 - 13.0 - 24.0)).abs() < 0.5,
            "{usable:?}"
        );
        // A root of squares is less, and no reason to go on.
        let rss = known.root_sum_square_k(1200.0).unwrap();
        assert!((rss - (144.0_f64 + 2.25 + 25.0).sqrt()).abs() < 1e-9);
        // Type B has nothing to say of the debind range.
        let b = Uniformity::of_sum(standards().tolerance("B", 2).unwrap(), 1.5, 5.0);
        assert_eq!(b.at(450.0), None);
        assert_eq!(b.usable(range(400.0, 500.0)), None);
    }

    /// Class 5 is ±14 K; with drift 3 and overshoot 2 a range of 1340 to 1380 leaves 1357 to 1361.
    #[test]
    fn a_class_holds_where_the_map_is_not_known() {
        let k = standards().uniformity_k(5).unwrap();
        let known = Uniformity::of_class(5, k, 3.0, 2.0);
        let usable = known.usable(range(1340.0, 1380.0)).unwrap();
        assert_eq!((usable.from_c, usable.to_c), (1357.0, 1361.0));
        assert!(known.usable(range(1345.0, 1378.0)).unwrap().is_empty());
        assert_eq!(known.root_sum_square_k(1360.0), None);
    }

    #[test]
    fn nothing_is_said_beyond_what_was_surveyed() {
        let found = |points: &[(f64, f64, f64)], range| {
            Uniformity::of_survey(&survey(points, 0.0)).usable(range)
        };
        let points = [(1200.0, 4.0, -8.0), (1360.0, 4.0, -6.0)];
        // Coldest place 1189 at 1200 and 1351 at 1360: 1333 = 1330 + 3 is passed at
        // 1200 + 160·(1330 − 1189)/162 = 1339.26. The hottest reaches 1367 < 1375 at 1360.
        let inside = found(&points, range(1330.0, 1375.0)).unwrap();
        assert!((inside.from_c - 1_339.259_259).abs() < 1e-6, "{inside:?}");
        assert!((inside.to_c - 1360.0).abs() < 1e-12);
        assert_eq!(found(&points, range(1352.0, 1375.0)), None);
        assert_eq!(found(&points, range(1100.0, 1150.0)), None);
        assert_eq!(found(&[], range(1100.0, 1150.0)), None);
        let known = Uniformity::of_survey(&survey(&points, 0.0));
        assert_eq!(known.at(1199.9), None);
        assert_eq!(known.at(1360.1), None);
        assert_eq!(known.at(1200.0).unwrap().coldest_k, -11.0);
        assert_eq!(known.at(1280.0).unwrap().coldest_k, -10.0);
    }
}
