//! Words about pressures.

/// Filling with gas.
pub fn backfill() -> &'static str {
    "a backfill"
}

/// Pumping down.
pub fn pump_down() -> &'static str {
    "a pump-down"
}
