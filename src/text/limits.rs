//! Names of the limits that stand in a record instead of the list of limits, and who set them.
//! Plain words, as the names in the list are.

/// Binder burned out in one run.
pub fn binder_rating() -> &'static str {
    "binder burned out in one run"
}

/// Ramp in the debind range for the section.
pub fn debind_ramp() -> &'static str {
    "ramp in the debind range for the section"
}

/// Sweep in the debind range.
pub fn debind_sweep() -> &'static str {
    "sweep in the debind range"
}

/// Ramp while parts densify.
pub fn densifying_ramp() -> &'static str {
    "ramp while parts densify"
}

/// Share of the first-step binder that must be out.
pub fn extraction_floor() -> &'static str {
    "share of the first-step binder that must be out"
}

/// Fastest cooling.
pub fn fastest_cooling() -> &'static str {
    "fastest cooling"
}

/// Fastest cooling without a fan.
pub fn furnace_cooling() -> &'static str {
    "fastest cooling without a fan"
}

/// Mass rating of the furnace.
pub fn furnace_mass() -> &'static str {
    "mass rating of the furnace"
}

/// Fastest ramp, empty.
pub fn furnace_ramp() -> &'static str {
    "fastest ramp, empty"
}

/// What the run uses over what is on hand less the reserve.
pub fn gas_on_hand() -> &'static str {
    "what the run uses over what is on hand less the reserve"
}

/// Highest setpoint.
pub fn highest_setpoint() -> &'static str {
    "highest setpoint"
}

/// Longest hold.
pub fn longest_hold() -> &'static str {
    "longest hold"
}

/// Most segments.
pub fn most_segments() -> &'static str {
    "most segments"
}

/// Rated mass on the plate.
pub fn plate_mass() -> &'static str {
    "rated mass on the plate"
}

/// Lowest pressure while hot.
pub fn pressure_floor() -> &'static str {
    "lowest pressure while hot"
}

/// Highest pressure that a furnace is made for.
pub fn pressure_max() -> &'static str {
    "highest pressure that the furnace is made for"
}

/// Pressure that the pump holds against the sweep.
pub fn pump_floor() -> &'static str {
    "pressure that the pump holds against the sweep"
}

/// Lower end of the sinter range.
pub fn sinter_from() -> &'static str {
    "lower end of the sinter range"
}

/// Sinter hold.
pub fn sinter_hold() -> &'static str {
    "sinter hold"
}

/// A third of a setter's hot strength.
pub fn third_of_strength() -> &'static str {
    "a third of the hot strength"
}

/// End of an alloy's carbon range.
pub fn carbon_end() -> &'static str {
    "end of the alloy's carbon range"
}

/// Upper end of the sinter range.
pub fn sinter_to() -> &'static str {
    "upper end of the sinter range"
}

/// Slowest cooling.
pub fn slowest_cooling() -> &'static str {
    "slowest cooling"
}

/// Pieces fit for use.
pub fn stock() -> &'static str {
    "pieces fit for use"
}

/// What the survey found.
pub fn survey_spread() -> &'static str {
    "farthest place from the setpoint in the survey"
}

/// Lowest setpoint at which the coldest place reaches the sinter range.
pub fn usable_from() -> &'static str {
    "lowest setpoint at which the coldest place reaches the sinter range"
}

/// Highest setpoint at which the hottest place stays in the sinter range.
pub fn usable_to() -> &'static str {
    "highest setpoint at which the hottest place stays in the sinter range"
}

/// A record as the owner of a limit.
pub fn set_by_record(kind: &str, name: &str) -> String {
    format!("{kind} record {name}")
}

/// A shop's placing tolerance, mm, as the owner of a limit.
pub fn set_by_placing(shop: &str, tolerance_mm: f64) -> String {
    format!("{shop}: placing tolerance {tolerance_mm} mm")
}

/// For whom a limit is set: a kind of record with its name, or neither.
pub fn whose(kind: &str, of: Option<&str>) -> String {
    super::say(match of {
        Some(of) => format!("for {kind} {of}"),
        None => kind.to_owned(),
    })
}

/// What a standard was tried with.
pub fn charge_tried() -> &'static str {
    "green mass of the parts as the standard was tried"
}

/// Set by a standard load.
pub fn set_by_standard(name: &str) -> String {
    format!("standard load {name}")
}

/// A value with its unit, where it has one.
pub fn with_unit(value: f64, unit: &str) -> String {
    format!("{} {unit}", super::figure(value))
        .trim_end()
        .to_owned()
}
