//! Words about what is on record of furnace and plan.

/// How often a thermocouple was hot.
pub fn uses_of(slot: &str) -> String {
    format!("the runs above 980 °C of thermocouple {slot}")
}

/// When a thermocouple was put in.
pub fn day_put_in(slot: &str) -> String {
    format!("the day on which thermocouple {slot} was put in")
}

/// How many runs the trap has taken.
pub fn trap_runs() -> &'static str {
    "the runs since the trap was emptied"
}

/// What the exhaust said last.
pub fn exhaust_dew_point() -> &'static str {
    "the dew point last read at the exhaust"
}

/// What the standard was tried with.
pub fn charge_tried() -> &'static str {
    "the charge with which the standard was tried"
}

/// What the parts weigh.
pub fn mass_of_parts() -> &'static str {
    "the green mass of all parts"
}

/// Neither.
pub fn nobody_and_no_reason() -> &'static str {
    "nobody and no reason"
}

/// No name.
pub fn nobody() -> &'static str {
    "nobody"
}

/// No reason.
pub fn no_reason() -> &'static str {
    "no reason"
}

/// What is calibrated, in words.
pub fn calibration(kind: &str) -> String {
    format!("a due date of the {kind}")
}
