//! What is known of the furnace's temperatures, and the setpoints that it leaves at the peak.

use super::engine::Review;
use super::facts::Facts;
use crate::catalogue::{Basis, RangeC, SensorJob, Uniformity, Usable, standards};
use crate::profile::Range;
use crate::text::{missing, setpoints as say};

/// Setpoints that keep both the coldest and the hottest place in the sinter range.
#[derive(Clone, Debug, PartialEq)]
pub struct Setpoints {
    /// Sinter range common to all feedstocks.
    pub range: Range,
    /// What is known of the furnace.
    pub known: Uniformity,
    /// The setpoints.
    pub usable: Usable,
}

impl Review {
    /// The peak and the setpoints that are usable there, in one sentence, known or not.
    pub fn setpoints_shown(&self, peak_c: f64) -> String {
        let found = match &self.setpoints {
            Some(Ok(found)) => found,
            Some(Err(what)) => return say::unknown(peak_c, what),
            None => return say::unknown(peak_c, missing::common_sinter_range()),
        };
        let Usable { from_c, to_c } = found.usable;
        let known = counted(&found.known);
        if found.usable.is_empty() {
            return say::none(peak_c, from_c, to_c, &known);
        }
        let mut shown = say::usable(peak_c, from_c, to_c, &known);
        let at_peak = found.known.at(peak_c).map(|at| at.hottest_k);
        let root = found.known.root_sum_square_k(peak_c);
        if let Some((sum, root)) = at_peak.zip(root) {
            shown.push_str(&say::root_sum_square(sum, root));
        }
        shown
    }
}

/// What is counted into the two cases, in words.
pub fn counted(known: &Uniformity) -> String {
    let (s, o) = (known.drift_k, known.overshoot_k);
    match &known.basis {
        Basis::Survey { date } => say::by_survey(date, s, o),
        Basis::Class { class } => say::by_class(*class, s, o),
        Basis::Sum {
            kind,
            class,
            instrument_k,
            spread_k,
        } => say::by_sum(kind, *class, *instrument_k, *spread_k),
    }
}

/// Who sets an end of the usable setpoints.
pub fn set_by(basis: &Basis) -> String {
    match basis {
        Basis::Survey { date } => say::set_by_survey(date),
        Basis::Class { class } => say::set_by_class(*class),
        Basis::Sum { kind, .. } => say::set_by_sum(kind),
    }
}

impl Facts<'_> {
    /// How far places may be from the setpoint. By the survey where there is one: it contains the
    /// control system's own error, and the thermocouple's tolerance is not counted again. By the
    /// class where that alone is known. Else by the sum of the control thermocouple's tolerance,
    /// the instrument and the declared spread; a correction is in the reading already.
    ///
    /// # Errors
    /// What is missing.
    pub fn uniformity(&self) -> Result<Uniformity, &'static str> {
        let state = self.state.ok_or(missing::furnace_state())?;
        if let Some(survey) = &state.survey {
            if !survey.points.is_empty() {
                return Ok(Uniformity::of_survey(survey));
            }
            let class = survey.class.ok_or(missing::surveyed_temperatures())?;
            let k = standards().uniformity_k(class);
            let k = k.ok_or(missing::surveyed_temperatures())?;
            let (s, o) = (survey.drift_k, survey.overshoot_k);
            return Ok(Uniformity::of_class(class, k, s, o));
        }
        let none = [state.instrument_k, state.spread_k] == [None, None];
        if none {
            return Err(missing::survey());
        }
        let control = self.furnace.ok_or(missing::furnace_record())?;
        let control = control.sensors.iter().find(|s| s.job == SensorJob::Control);
        let control = control.and_then(|c| state.sensors.iter().find(|s| s.slot == c.id));
        let tolerance = control.and_then(|c| standards().tolerance(&c.kind, c.class?));
        let tolerance = tolerance.ok_or(missing::control_class())?;
        let instrument_k = state.instrument_k.ok_or(missing::instrument_error())?;
        let spread_k = state.spread_k.ok_or(missing::declared_spread())?;
        Ok(Uniformity::of_sum(tolerance, instrument_k, spread_k))
    }

    /// Setpoints that the furnace leaves in the sinter range; none where no part is placed, or
    /// where feedstocks have no range in common: both are other checks'.
    pub fn setpoints(&self) -> Option<Result<Setpoints, &'static str>> {
        let range = *self.sinter.as_ref()?.as_ref().ok()?;
        let make = || {
            let known = self.uniformity()?;
            let ends = RangeC {
                from_c: range.from_c,
                to_c: range.to_c,
            };
            let usable = known.usable(ends);
            let usable = usable.ok_or(missing::survey_of_sinter_range())?;
            Ok(Setpoints {
                range,
                known,
                usable,
            })
        };
        Some(make())
    }
}
