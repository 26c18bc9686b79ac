//! Words of the checks of gas supplies, beside those that all checks share.

/// The hour of a reading, where an age in hours hangs on it.
pub fn hour_of_reading() -> &'static str {
    "the hour of the reading, or of the start"
}

/// What comes out, as it follows "the dew point of".
pub fn the_exhaust() -> &'static str {
    "the exhaust"
}

/// An age of which the least is known.
pub fn at_least_hours(hours: f64) -> String {
    format!("at least {hours:.0} h")
}

/// The gas of flow purges.
pub fn purge_gas() -> &'static str {
    "which inert gas the purges take"
}
