//! Words about pressures.

/// Filling with gas.
pub fn backfill() -> &'static str {
    "a backfill"
}
