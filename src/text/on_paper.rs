//! Words about what the papers of shop, furnace and lots say against each other.

use crate::units::Quantity::{Temperature, TemperatureDifference};
use crate::units::show;

/// Nobody has stated the cut-out's setting.
pub fn nobody_stated() -> String {
    "nobody has stated it".to_owned()
}

/// What a furnace class allows.
pub fn class_of_survey(class: u8) -> String {
    format!("what furnace class {class} allows")
}

/// Extremes of a survey at a setpoint.
pub fn extremes(setpoint_c: f64, coldest_k: f64, hottest_k: f64) -> String {
    format!(
        "the survey found places {} and {} from the setpoint at {}",
        show(TemperatureDifference, coldest_k, 1),
        show(TemperatureDifference, hottest_k, 1),
        show(Temperature, setpoint_c, 0)
    )
}

/// The declared spread of the zone.
pub fn declared_spread(k: f64) -> String {
    format!(
        "the spread of the zone is declared as {} either way",
        show(TemperatureDifference, k, 1)
    )
}

/// Where a lot was.
pub fn in_bath() -> &'static str {
    "in the bath"
}

/// Where a lot was.
pub fn in_dryer() -> &'static str {
    "in the dryer"
}

/// Between which moments.
pub fn green_to_end_of_bath() -> String {
    "between the green weighing and the end of the bath".to_owned()
}

/// Between which moments.
pub fn bath_to_weighing() -> String {
    "between the end of the bath and the dry weighing".to_owned()
}

/// Between which moments.
pub fn bath_to_start() -> String {
    "between the end of the bath and the planned start".to_owned()
}

/// Two weighings that cannot show that nothing leaves any more.
pub fn weighed_too_soon(apart: &str, least: &str) -> String {
    format!(
        "the last two weighings were {apart} apart, less than {least}, so that they show no \
         constant mass"
    )
}

/// Two weighings in the wrong order.
pub fn weighed_backwards() -> String {
    "the weighing before the last is noted after the last, so that they show no constant mass"
        .to_owned()
}

/// Nothing says that a lot is dry.
pub fn no_proof_of_dryness() -> &'static str {
    "neither a time in the dryer nor a weighing before the last is noted"
}

/// Weighings alone.
pub fn no_time_in_dryer() -> &'static str {
    "no time in the dryer is noted, and weighings alone are half a proof"
}

/// A time in the dryer alone.
pub fn no_two_weighings() -> &'static str {
    "no two weighings are noted, and a time in the dryer alone is half a proof"
}

/// The bath ends after the start.
pub fn bath_ends_after_start() -> &'static str {
    "its bath ends after the start of the run"
}

/// Weighed before the bath ended.
pub fn weighed_before_bath_ended() -> &'static str {
    "a weighing is noted from before its bath ended"
}

/// Less time than is noted.
pub fn dryer_had_less_time(noted: &str, had: &str) -> String {
    format!("{noted} in the dryer are noted, and from the end of the bath there were {had}")
}

/// A dry weighing that is noted for after the start.
pub fn weighed_after_start() -> &'static str {
    "a dry weighing is noted for after the planned start, so nobody has made it"
}

/// A dry mass above the green one, within a sentence.
pub fn dry_above_green() -> &'static str {
    " (its dry mass is above the green one, so one of the two is wrong)"
}

/// A tolerance in the sinter range, where there is no survey.
pub fn tolerance_in_sinter_range() -> &'static str {
    "a survey; the control thermocouple's type has no tolerance stated at the temperatures of the \
     sinter range"
}

/// A tolerance at the peak, where there is no survey.
pub fn tolerance_at_peak() -> &'static str {
    "a survey; the control thermocouple's type has no tolerance stated at the peak"
}

/// A doubt behind what the usable setpoints go by.
pub fn but(doubt: &str) -> String {
    format!("; but {doubt}")
}

/// A survey that has lapsed.
pub fn survey_expired(due: &str) -> String {
    format!("it held until {due}, before the planned start")
}

/// A survey that is dated after the start.
pub fn survey_of_days_to_come() -> String {
    "it is dated after the planned start".to_owned()
}

/// A repair after the survey.
pub fn repaired_since(day: &str) -> String {
    format!("the furnace was repaired since, on {day}")
}

/// Where what is known ends.
pub fn of_survey() -> &'static str {
    "where the survey ends"
}

/// Where what is known ends.
pub fn of_tolerance() -> &'static str {
    "where the tolerance ends"
}

/// What ends the usable setpoints: below and above, whether it is that nothing is known any further.
pub fn ends([below, above]: [bool; 2], unknown: &str) -> String {
    match (below, above) {
        (false, false) => "; both ends by the sinter range".to_owned(),
        (true, true) => format!("; both ends {unknown}, not by the sinter range"),
        (true, false) => format!("; the lower end {unknown}, the upper by the sinter range"),
        (false, true) => format!("; the upper end {unknown}, the lower by the sinter range"),
    }
}

/// A setpoint of a survey, as what a finding is about.
pub fn surveyed_at(setpoint_c: f64) -> String {
    format!("survey at {setpoint_c} °C")
}

/// Whether a dryer is ventilated.
pub fn dryer_air() -> &'static str {
    "whether the dryer is ventilated, or how much air it moves"
}
