//! Words about names in the shop's own records.

/// Where a thermocouple sits.
pub fn slot() -> &'static str {
    "thermocouple"
}

/// A setter, post or support that is counted.
pub fn stock() -> &'static str {
    "setter, post or support"
}

/// A place of a survey.
pub fn place(zone: &str, level: Option<u32>) -> String {
    match level {
        Some(level) => format!("{zone}, level {level}"),
        None => zone.to_owned(),
    }
}
