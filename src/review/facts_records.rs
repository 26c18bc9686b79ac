//! Days of the run, and setpoints that a survey leaves.

use super::facts::Facts;
use crate::catalogue::Survey;
use crate::profile::Range;
use crate::text::missing;
use jiff::civil::Date;

/// Days on which the run may be under way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RunDays {
    /// Planned start.
    pub start: Date,
    /// Latest day on which the program may end, whatever the hour of the start.
    pub end: Date,
}

impl Facts<'_> {
    /// Days of the run.
    ///
    /// # Errors
    /// What is missing: the planned start, or a program whose length is known.
    pub fn run_days(&self) -> Result<RunDays, &'static str> {
        let start = self.plan.planned_start.as_deref().and_then(day);
        let start = start.ok_or(missing::planned_start())?;
        let curve = self.curve.as_ref();
        let minutes = curve
            .map_err(|_| missing::program_length())?
            .total_time_min();
        let days = libm::ceil(minutes / (24.0 * 60.0)) as i64;
        let span = jiff::Span::new().try_days(days);
        let end = span.and_then(|span| start.checked_add(span));
        let end = end.map_err(|_| missing::program_length())?;
        Ok(RunDays { start, end })
    }
}

/// A day written year-month-day.
pub fn day(text: &str) -> Option<Date> {
    text.parse().ok()
}

/// Setpoints at which both the coldest and the hottest place of a survey stay in a range, °C.
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

/// [Tmin − u_cold + s, Tmax − u_hot − s − o] (`model.md` section 8), with the survey's extremes u
/// taken at the setpoint itself: straight between surveyed temperatures, never beyond them. None
/// where one end lies beyond what was surveyed.
pub fn usable_setpoints(range: Range, survey: &Survey) -> Option<Usable> {
    let (s, o) = (survey.drift_k, survey.overshoot_k);
    let coldest = survey
        .points
        .iter()
        .map(|p| (p.setpoint_c, p.setpoint_c + p.coldest_k - s));
    let hottest = survey
        .points
        .iter()
        .map(|p| (p.setpoint_c, p.setpoint_c + p.hottest_k + s + o));
    Some(Usable {
        from_c: first_at_least(&coldest.collect::<Vec<_>>(), range.from_c)?,
        to_c: last_at_most(&hottest.collect::<Vec<_>>(), range.to_c)?,
    })
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
    use super::*;
    use crate::catalogue::SurveyPoint;

    /// Story 4 (`stories.md`): survey +5/−8 at and about 1200 °C, drift 3, range 1190 to 1210.
    fn usable(overshoot_k: f64) -> Usable {
        let point = |setpoint_c: f64| SurveyPoint {
            setpoint_c,
            hottest_k: 5.0,
            coldest_k: -8.0,
        };
        let survey = Survey {
            date: "2026-10-12".to_owned(),
            due: "2027-04-12".to_owned(),
            points: vec![point(1150.0), point(1250.0)],
            drift_k: 3.0,
            overshoot_k,
            class: None,
            places: Vec::new(),
        };
        let range = Range {
            from_c: 1190.0,
            to_c: 1210.0,
        };
        usable_setpoints(range, &survey).unwrap()
    }

    #[test]
    fn a_range_one_kelvin_wide() {
        let tuned = usable(0.0);
        assert!((tuned.from_c - 1201.0).abs() < 1e-9 && (tuned.to_c - 1202.0).abs() < 1e-9);
        assert!(!tuned.is_empty());
        let loose = usable(2.0);
        assert!((loose.to_c - 1200.0).abs() < 1e-9 && loose.is_empty());
    }

    #[test]
    fn nothing_is_said_beyond_what_was_surveyed() {
        let point = |setpoint_c: f64, coldest_k: f64| SurveyPoint {
            setpoint_c,
            hottest_k: 4.0,
            coldest_k,
        };
        let survey = Survey {
            date: String::new(),
            due: String::new(),
            points: vec![point(1200.0, -8.0), point(1360.0, -6.0)],
            drift_k: 3.0,
            overshoot_k: 0.0,
            class: None,
            places: Vec::new(),
        };
        let range = |from_c: f64, to_c: f64| Range { from_c, to_c };
        // Coldest place 1189 at 1200 and 1351 at 1360: 1333 = 1330 + 3 is passed at
        // 1200 + 160·(1330 − 1189)/162 = 1339.26. The hottest reaches 1367 < 1375 at 1360.
        let found = usable_setpoints(range(1330.0, 1375.0), &survey).unwrap();
        assert!((found.from_c - 1_339.259_259).abs() < 1e-6, "{found:?}");
        assert!((found.to_c - 1360.0).abs() < 1e-12);
        assert_eq!(usable_setpoints(range(1352.0, 1375.0), &survey), None);
        assert_eq!(usable_setpoints(range(1100.0, 1150.0), &survey), None);
    }
}
