//! What a check lacks of a shape, a support or a mark, as it follows "lacks"; see
//! [`missing`](super::missing).

/// What of a part hangs over.
pub fn overhang_of(part: &str) -> String {
    format!("the overhangs of {part}: its shape does not tell them")
}

/// The thinnest wall of a part.
pub fn thinnest_of(part: &str) -> String {
    format!("the thinnest wall of {part}")
}

/// What stands under an overhang.
pub fn carried_by_support(part: &str) -> String {
    format!("what its support carries of the overhang of {part}")
}

/// A mark that nobody wrote.
pub fn coupon_mark() -> &'static str {
    "the coupon's mark"
}

/// A thermocouple that nobody named.
pub fn thermocouple_name() -> &'static str {
    "which thermocouple it is"
}

/// How hot a support may get.
pub fn rated_temperature_of(support: &str) -> String {
    format!("the rated temperature of {support}")
}

/// How dry coupons are.
pub fn coupon_state(part: &str) -> String {
    format!("a lot that says how the coupons of {part} were dried")
}

/// How dry rafts are.
pub fn raft_state(part: &str) -> String {
    format!("a lot that says how the rafts under {part} were dried")
}

/// The section of a part by its shape, beside the one that is stated.
pub fn section_as_measured(part: &str) -> String {
    format!("the section of {part} as measured")
}

/// The temperature of a lot's bath.
pub fn bath_temperature() -> &'static str {
    "the temperature of the bath"
}

/// The temperature of the dryer of a lot.
pub fn dryer_temperature() -> &'static str {
    "the temperature of the dryer"
}

/// How high a support lifts what stands on it.
pub fn support_height() -> &'static str {
    "the record of the support, and with it its height"
}

/// A length over the wall that carries it, behind the number.
pub fn times_its_wall() -> &'static str {
    "times that wall"
}

/// A length that a thin wall reaches, behind the number.
pub fn from_so_thin_a_wall() -> &'static str {
    "from so thin a wall"
}
