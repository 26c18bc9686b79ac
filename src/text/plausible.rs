//! Words about figures that cannot be so.

/// The first weighing.
pub fn green_weighed() -> &'static str {
    "the green weighing"
}

/// The end of the bath.
pub fn bath_ended() -> &'static str {
    "the end of the bath"
}

/// The weighing before the last.
pub fn weighed_before() -> &'static str {
    "the weighing before the last"
}

/// The last weighing.
pub fn weighed_dry() -> &'static str {
    "the dry weighing"
}

/// The start of the run.
pub fn start() -> &'static str {
    "the planned start"
}

/// Two moments that stand the wrong way round.
pub fn out_of_order(earlier: &str, at: &str, later: &str, then: &str) -> String {
    format!("{earlier} is noted at {at}, after {later} at {then}")
}

/// A bath of pieces that enter green.
pub fn green_with_bath() -> String {
    "it enters green, and a bath has ended".to_owned()
}

/// A dry weighing of pieces that enter green.
pub fn green_weighed_dry() -> String {
    "it enters green, and a dry mass is noted".to_owned()
}

/// Weighings of pieces that bring no binder any more.
pub fn later_with_weighings(state: &str) -> String {
    format!("it enters {state}, and weighings or a bath of its first step are noted")
}

/// The survey.
pub fn survey() -> String {
    "the temperature uniformity survey".to_owned()
}

/// A calibration by kind, and of what.
pub fn calibration(kind: &str, what: &str) -> String {
    if what.is_empty() {
        format!("the calibration \"{kind}\"")
    } else {
        format!("the calibration \"{kind}\" ({what})")
    }
}

/// The emptying of the trap.
pub fn trap_emptied() -> String {
    "the emptying of the trap".to_owned()
}

/// The clean-up run.
pub fn cleaned() -> String {
    "the clean-up run".to_owned()
}

/// The repair.
pub fn repaired() -> String {
    "the repair".to_owned()
}

/// A thermocouple put in.
pub fn thermocouple(slot: &str) -> String {
    format!("thermocouple {slot} put in")
}

/// A balance.
pub fn balance(id: &str) -> String {
    format!("the calibration of balance {id}")
}

/// An amount of air.
pub fn air(m3: f64) -> String {
    format!("{} m³", super::figure(libm::round(m3 * 10.0) / 10.0))
}
