//! Words about what is on record of the lots.

/// When the bath ended.
pub fn end_of_bath() -> &'static str {
    "the day and time at which the bath ended"
}

/// When the run starts.
pub fn time_of_start() -> &'static str {
    "the planned start with its time"
}

/// A bath after the start of the run.
pub fn bath_after_start() -> &'static str {
    "a bath that ended before the planned start"
}

/// Nothing about the bath.
pub fn bath() -> &'static str {
    "what is on record of the bath"
}

/// All of a bath that a weighing is held against.
pub fn bath_to_compare() -> &'static str {
    "a record of the bath from which its share follows"
}

/// How long and how warm.
pub fn bath_time_and_temperature() -> &'static str {
    "time and temperature of the bath"
}

/// How loaded the bath was and how the parts lay.
pub fn wax_and_tray() -> &'static str {
    "the wax content of the bath, and whether the parts lay on a tray"
}

/// A share in per cent.
pub fn share(share: f64) -> String {
    format!("{:.0} %", 100.0 * share)
}

/// Factors of two lots.
pub fn oversize_of_both() -> &'static str {
    "the oversize factors of both lots"
}

/// Which balance.
pub fn balance() -> &'static str {
    "the balance on which it was weighed"
}

/// A balance without a record.
pub fn record_of_balance(id: &str) -> String {
    format!("the shop's record of balance {id}")
}

/// Last day of use.
pub fn use_by(what: &str) -> String {
    format!("the last day on which the {what} may be used")
}

/// When it was used.
pub fn day_of_use(what: &str) -> String {
    format!("the day on which the {what} was used")
}

/// Powder and binder.
pub fn feedstock() -> &'static str {
    "feedstock"
}

/// What the bath holds.
pub fn solvent() -> &'static str {
    "solvent"
}
