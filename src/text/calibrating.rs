//! What a calibration of densification says of its pieces.

use super::say;

/// The slope that the pieces give is none.
pub fn slope(feedstock: &str, found: f64, was: f64) -> String {
    say(format!(
        "{feedstock}: not calibrated. The pieces give b = {found:.3}, the record says {was:.3}; more than three \
         times apart, that is no property of a powder. Look at the measurements and at where the pieces lay."
    ))
}

/// The energy is kept.
pub fn one_rate() -> String {
    say("Q takes pieces from runs of two heating rates, the faster half as fast again at least.")
}

/// A field that has to be there.
pub fn empty(column: &str, row: usize) -> String {
    format!("row {row}: nothing stands under \"{column}\"")
}

/// A piece that was used, though to no end.
pub fn used(row: usize, density: f64) -> String {
    say(format!("row {row}: measured {:.1} %", 100.0 * density))
}

/// A piece that was not used.
pub fn unused(row: usize, density: f64, start: f64, end: f64) -> String {
    let [density, start, end] = [density, start, end].map(|d| 100.0 * d);
    say(format!(
        "row {row}: measured {density:.1} %, not used: it is not between the {start:.1} % of the green part and the \
         {end:.1} % at which the curve ends, and only there a density tells something"
    ))
}

/// A piece far off the others.
pub fn outlier() -> String {
    say("far off what the other pieces say: measure it again, or leave it out")
}
