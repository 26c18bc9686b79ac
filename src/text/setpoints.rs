//! What is known of a furnace's temperatures, and the setpoints that it leaves.

use super::say;
use crate::units::Quantity::{Temperature, TemperatureDifference};
use crate::units::show;

fn k(value: f64) -> String {
    show(TemperatureDifference, value, 1)
}

/// A temperature uniformity survey with what is added to it, as plain words within a sentence.
pub fn by_survey(date: &str, drift_k: f64, overshoot_k: f64) -> String {
    format!(
        "by the survey of {date} with drift {} and overshoot {}",
        k(drift_k),
        k(overshoot_k)
    )
}

/// A furnace class without a survey.
pub fn by_class(class: u8, drift_k: f64, overshoot_k: f64) -> String {
    format!(
        "by furnace class {class}, without a map, with drift {} and overshoot {}",
        k(drift_k),
        k(overshoot_k)
    )
}

/// Neither: tolerance, instrument and spread.
pub fn by_sum(kind: &str, class: u8, instrument_k: f64, spread_k: f64) -> String {
    format!(
        "without a survey, by the tolerance of a type {kind} thermocouple of class {class}, \
         instrument {} and spread {}",
        k(instrument_k),
        k(spread_k)
    )
}

/// Owner of a usable setpoint.
pub fn set_by_survey(date: &str) -> String {
    format!("sinter range and survey of {date}")
}

/// Owner of a usable setpoint.
pub fn set_by_class(class: u8) -> String {
    format!("sinter range and furnace class {class}")
}

/// Owner of a usable setpoint.
pub fn set_by_sum(kind: &str) -> String {
    format!("sinter range and tolerance of thermocouple type {kind}")
}

/// The setpoints that are left for the peak.
pub fn usable(peak_c: f64, from_c: f64, to_c: f64, known: &str) -> String {
    say(format!(
        "Peak {}; usable setpoints {} to {} ({known})",
        show(Temperature, peak_c, 0),
        show(Temperature, from_c, 1),
        show(Temperature, to_c, 1)
    ))
}

/// There are none.
pub fn none(peak_c: f64, lowest_c: f64, highest_c: f64, known: &str) -> String {
    say(format!(
        "Peak {}; no setpoint exists: the coldest place needs at least {}, the hottest allows at \
         most {} ({known})",
        show(Temperature, peak_c, 0),
        show(Temperature, lowest_c, 1),
        show(Temperature, highest_c, 1)
    ))
}

/// They are not known.
pub fn unknown(peak_c: f64, what: &str) -> String {
    say(format!(
        "Peak {}; usable setpoints not evaluated: lacks {what}",
        show(Temperature, peak_c, 0)
    ))
}

/// What an instrument set for another type shows, as plain words within a sentence.
pub fn shows(c: f64) -> String {
    format!("it would show {}", show(Temperature, c, 0))
}

/// The same, where the EMF is beyond its type's.
pub fn off_scale() -> &'static str {
    "it would show its end of scale"
}

/// The same, where one of the types is not known.
pub fn misread() -> &'static str {
    "what it would show is not known"
}

/// Both extremes at the peak, and what the sum would be as a root of squares.
pub fn root_sum_square(sum_k: f64, root_k: f64) -> String {
    say(format!(
        ". The sum at the peak is ±{}; as a root of squares it would be ±{}, for information only",
        k(sum_k),
        k(root_k)
    ))
}
