//! Phrases of the checks of places and of the order of events, as they stand in a finding's
//! sentence.

use super::count;

/// A side of the hot zone.
pub fn left() -> &'static str {
    "left"
}

/// A side of the hot zone.
pub fn right() -> &'static str {
    "right"
}

/// A side of the hot zone.
pub fn door() -> &'static str {
    "door"
}

/// A side of the hot zone.
pub fn back() -> &'static str {
    "back"
}

/// From where one looks.
pub fn from_door() -> &'static str {
    "from the door"
}

/// From where one looks.
pub fn from_side() -> &'static str {
    "from the side"
}

/// What a program still does once the load is out.
pub fn after_unload(segments: usize, events: usize) -> String {
    let segments_said = count(segments, "segment", "segments");
    let events_said = count(events, "event", "events");
    match (segments, events) {
        (0, _) => events_said,
        (_, 0) => segments_said,
        _ => format!("{segments_said} and {events_said}"),
    }
}

/// What is done to the furnace's gas.
pub fn a_purge() -> &'static str {
    "a purge with inert gas"
}

/// What is done to the furnace's gas.
pub fn a_pump_down() -> &'static str {
    "a pump-down"
}

/// Where no inert gas is plumbed.
pub fn any_inert_gas() -> &'static str {
    "inert gas"
}

/// An amount of gas at 25 °C and 1 atm.
pub fn cubic_metres(m3: f64) -> String {
    format!("{m3:.2} m³")
}

/// What a hot zone is lined with.
pub fn molybdenum() -> &'static str {
    "molybdenum"
}

/// What a hot zone is lined with.
pub fn graphite() -> &'static str {
    "graphite"
}
