//! What is known of the furnace's temperatures, and the setpoints that it leaves at the peak.

use super::engine::Review;
use super::facts::Facts;
use crate::catalogue::{Basis, RangeC, Uniformity, Usable};
use crate::profile::Range;
use crate::text::{missing, on_paper, setpoints as say};

/// Setpoints that keep both the coldest and the hottest place in the sinter range.
#[derive(Clone, Debug, PartialEq)]
pub struct Setpoints {
    /// Sinter range common to all feedstocks.
    pub range: Range,
    /// What is known of the furnace.
    pub known: Uniformity,
    /// The setpoints.
    pub usable: Usable,
    /// Why the survey that they rest on is not in force for this run, as plain words: then a peak
    /// outside them is told, and one inside them is not judged.
    pub doubts: Vec<String>,
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
        let mut known = counted(&found.known);
        for doubt in &found.doubts {
            known.push_str(&on_paper::but(doubt));
        }
        if found.usable.is_empty() {
            return say::none(peak_c, from_c, to_c, &known);
        }
        let mut shown = say::usable(peak_c, from_c, to_c, &known);
        shown.push_str(&found.ends());
        let at_peak = found.known.at(peak_c).map(|at| at.hottest_k);
        let root = found.known.root_sum_square_k(peak_c);
        if let Some((sum, root)) = at_peak.zip(root) {
            shown.push_str(&say::root_sum_square(sum, root));
        }
        shown
    }
}

impl Setpoints {
    /// What ends the usable setpoints below and above: the sinter range, or that nothing is known
    /// any further.
    fn ends(&self) -> String {
        let (first, last) = self.known.span_c().unwrap_or((f64::NAN, f64::NAN));
        let unknown = [self.usable.from_c == first, self.usable.to_c == last];
        match self.known.basis {
            Basis::Sum { .. } => on_paper::ends(unknown, on_paper::of_tolerance()),
            Basis::Survey { .. } | Basis::Class { .. } => {
                on_paper::ends(unknown, on_paper::of_survey())
            }
        }
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

/// What is lacking where nothing is known in all of the sinter range.
fn lacks_in_range(known: &Uniformity) -> &'static str {
    match known.basis {
        Basis::Sum { .. } => on_paper::tolerance_in_sinter_range(),
        Basis::Survey { .. } | Basis::Class { .. } => missing::survey_of_sinter_range(),
    }
}

impl Facts<'_> {
    /// How far places may be from the setpoint: [`Uniformity::of_furnace`].
    ///
    /// # Errors
    /// What is missing.
    pub fn uniformity(&self) -> Result<Uniformity, &'static str> {
        let start = self.plan.planned_start.as_deref();
        Uniformity::of_furnace(self.furnace, self.state, start)
    }

    /// The same; where nothing is in force, by the survey that is not, with why.
    fn uniformity_or_doubtful(&self) -> Result<(Uniformity, Vec<String>), &'static str> {
        self.uniformity()
            .map(|known| (known, Vec::new()))
            .or_else(|what| {
                let state = self.state.ok_or(what)?;
                let survey = state.survey.as_ref().ok_or(what)?;
                let doubts = state.survey_out_of_force(self.plan.planned_start.as_deref());
                if doubts.is_empty() {
                    return Err(what);
                }
                Ok((Uniformity::surveyed(survey)?, doubts))
            })
    }

    /// How much hotter than the setpoint the hottest place is at the peak, K, and whether what says
    /// so is in force: where it is not, it may find something, and nothing passes by it. None
    /// where nothing is known; nothing is carried on beyond what was surveyed.
    pub fn hottest_at_peak(&self) -> Option<(f64, bool)> {
        let (known, doubts) = self.uniformity_or_doubtful().ok()?;
        Some((known.at(self.peak_c)?.hottest_k, doubts.is_empty()))
    }

    /// Setpoints that the furnace leaves in the sinter range; none where no part is placed, or
    /// where feedstocks have no range in common: both are other checks'.
    pub fn setpoints(&self) -> Option<Result<Setpoints, &'static str>> {
        let range = *self.sinter.as_ref()?.as_ref().ok()?;
        let make = || {
            let (known, doubts) = self.uniformity_or_doubtful()?;
            let ends = RangeC {
                from_c: range.from_c,
                to_c: range.to_c,
            };
            let usable = known.usable(ends);
            let usable = usable.ok_or(lacks_in_range(&known))?;
            Ok(Setpoints {
                range,
                known,
                usable,
                doubts,
            })
        };
        Some(make())
    }
}
