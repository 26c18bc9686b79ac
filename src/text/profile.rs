//! What can be wrong with a profile in itself.

use super::{figure, figure_to};

/// Puts the segment before a fault's sentence; none is the profile as a whole.
pub fn fault(segment: Option<usize>, sentence: &str) -> String {
    match segment {
        Some(number) => format!("Segment {number}: {sentence}"),
        None => format!("Profile: {sentence}"),
    }
}

/// Nothing to do.
pub fn no_segments() -> String {
    "it has no segments. Add at least one.".to_owned()
}

/// Two segments of a number.
pub fn repeated_id(id: u32) -> String {
    format!("its id {id} is already used by an earlier segment. Give it another.")
}

/// No number.
pub fn not_finite(field: &str) -> String {
    format!("{field} is not a finite number. Type one.")
}

/// A temperature that cannot be, °C.
pub fn below_absolute_zero(field: &str, value_c: f64, zero_c: f64) -> String {
    format!(
        "{field} of {} °C is below absolute zero ({zero_c} °C). Correct it.",
        figure(value_c)
    )
}

/// Below zero; a rate carries no sign.
pub fn negative(field: &str, value: f64, unit: &str, is_rate: bool) -> String {
    let remedy = if is_rate {
        "Type the rate without a sign: a target below the one before is cooling."
    } else {
        "Type zero or more."
    };
    format!(
        "{field} of {} {unit} is below zero. {remedy}",
        figure(value)
    )
}

/// Beyond any furnace.
pub fn too_large(field: &str, value: f64, most: f64, unit: &str) -> String {
    format!("{field} of {value:.6e} {unit} is beyond {most} {unit}. Check the number and its unit.")
}

/// A ramp that stands still.
pub fn zero_rate() -> String {
    "the ramp rate is zero, so the target is never reached. Type a rate above zero.".to_owned()
}

/// A step, K.
pub fn step_jump(jump_k: f64) -> String {
    format!(
        "the setpoint jumps by {} K in no time, which calls for full power. Give the ramp \
 a time or a rate.",
        figure_to(jump_k, 1)
    )
}

/// Full rate of an unknown furnace.
pub fn full_rate_unknown() -> String {
    "the ramp runs at full rate, and the furnace's greatest rate is not known. Enter it with the \
 furnace, or give the ramp a rate."
        .to_owned()
}

/// A wait without end.
pub fn missing_timeout() -> String {
    "the guaranteed soak has no timeout, so a broken thermocouple could keep the load there for \
 ever. Give it a timeout above zero."
        .to_owned()
}

/// A wait that never ends.
pub fn zero_band() -> String {
    "the guaranteed soak has a band of zero, so it would never start. Type a band above zero."
        .to_owned()
}

/// A wait that waits for nothing.
pub fn waits_nowhere() -> String {
    "the guaranteed soak applies to neither the ramp nor the hold. Choose one, or remove it."
        .to_owned()
}

/// A flow of nothing.
pub fn flow_without_gas() -> String {
    "it has a gas flow and no gas. Choose the gas, or set the flow to zero.".to_owned()
}

// Names of the numbers.

/// The start temperature.
pub fn start() -> &'static str {
    "the start temperature"
}

/// The unload temperature.
pub fn unload() -> &'static str {
    "the unload temperature"
}

/// The target.
pub fn target() -> &'static str {
    "the target"
}

/// The ramp rate.
pub fn rate() -> &'static str {
    "the ramp rate"
}

/// The ramp time.
pub fn ramp_time() -> &'static str {
    "the ramp time"
}

/// The hold.
pub fn hold() -> &'static str {
    "the hold"
}

/// The band of the guaranteed soak.
pub fn band() -> &'static str {
    "the band of the guaranteed soak"
}

/// The timeout of the guaranteed soak.
pub fn timeout() -> &'static str {
    "the timeout of the guaranteed soak"
}

/// The gas flow.
pub fn flow() -> &'static str {
    "the gas flow"
}

/// The pressure.
pub fn pressure() -> &'static str {
    "the pressure"
}

/// The number of purge volumes.
pub fn purge_volumes() -> &'static str {
    "the number of purge volumes"
}

/// The pressure of an event.
pub fn event_pressure() -> &'static str {
    "the pressure of an event"
}
