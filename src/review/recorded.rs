//! Limits that stand in a record or in the state of the shop instead of the list of limits: which
//! condition reads which.

use crate::catalogue::Kind;

/// Where a limit stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Recorded {
    /// In each record of a kind, under a path of fields.
    Record(Kind, &'static str),
    /// In the state of the shop, under a field.
    Shop(&'static str),
}

use Recorded::{Record, Shop};

const FEEDSTOCK: Kind = Kind::Feedstock;
const FURNACE: Kind = Kind::Furnace;

/// Where the limits of a condition stand, besides the list.
pub fn recorded(slug: &str) -> impl Iterator<Item = Recorded> {
    let found = RECORDED.iter().filter(move |(of, _)| of.contains(&slug));
    found.map(|(_, place)| *place)
}

/// By place: the conditions that read it.
pub const RECORDED: &[(&[&str], Recorded)] = &[
    (
        &[
            "peak-below-sinter-range",
            "no-setpoint-exists",
            "peak-below-usable-setpoints",
        ],
        Record(FEEDSTOCK, "sinter.from_c"),
    ),
    (
        &[
            "peak-above-sinter-range",
            "no-setpoint-exists",
            "peak-above-usable-setpoints",
            "hot-spot-over-range",
        ],
        Record(FEEDSTOCK, "sinter.to_c"),
    ),
    (
        &["sinter-hold-short", "sinter-hold-short-at-coldest"],
        Record(FEEDSTOCK, "sinter.hold_min_min"),
    ),
    (
        &["sinter-hold-long"],
        Record(FEEDSTOCK, "sinter.hold_max_min"),
    ),
    (
        &["densifying-ramp-too-fast"],
        Record(FEEDSTOCK, "sinter.rate_max_k_min"),
    ),
    (
        &["ramp-too-fast-for-section", "ramp-far-too-fast-for-section"],
        Record(FEEDSTOCK, "ramp_limits"),
    ),
    (
        &["cooling-too-slow"],
        Record(FEEDSTOCK, "cooling.slowest_k_min"),
    ),
    (
        &["cooling-too-fast"],
        Record(FEEDSTOCK, "cooling.fastest_k_min"),
    ),
    (
        &[
            "extraction-too-low",
            "extraction-low",
            "extraction-centre-low",
        ],
        Record(FEEDSTOCK, "extraction_floor"),
    ),
    (&["sweep-too-low"], Record(FEEDSTOCK, "sweep_volumes_per_h")),
    (&["sweep-too-low"], Record(FURNACE, "sweep_min_l_min_25c")),
    (&["ramp-beyond-furnace"], Record(FURNACE, "ramp_max_k_min")),
    (
        &["cooling-beyond-furnace"],
        Record(FURNACE, "cooling_max_k_min"),
    ),
    (
        &[
            "target-above-furnace",
            "over-temperature-above-furnace",
            "survey-above-furnace",
        ],
        Record(FURNACE, "max_c"),
    ),
    (
        &["too-many-segments"],
        Record(FURNACE, "controller.segments_max"),
    ),
    (
        &["hold-beyond-controller"],
        Record(FURNACE, "controller.hold_max_min"),
    ),
    (
        &["target-not-typable"],
        Record(FURNACE, "controller.target_step_c"),
    ),
    (
        &["rate-not-typable"],
        Record(FURNACE, "controller.rate_step_k_min"),
    ),
    (
        &["hold-not-typable"],
        Record(FURNACE, "controller.hold_step_min"),
    ),
    (
        &["residual-binder-over-furnace-rating"],
        Record(FURNACE, "binder_rating_g"),
    ),
    (
        &["load-over-furnace-mass"],
        Record(FURNACE, "mass_rating_kg"),
    ),
    (
        &["pressure-above-furnace"],
        Record(FURNACE, "pressure_max_mbar"),
    ),
    (&["pressure-below-pump-floor"], Record(FURNACE, "pump")),
    (
        &["pressure-below-floor"],
        Record(Kind::Alloy, "pressure_floor_mbar"),
    ),
    (
        &["carbon-near-range"],
        Record(Kind::Alloy, "carbon_min_pct"),
    ),
    (
        &["carbon-near-range"],
        Record(Kind::Alloy, "carbon_max_pct"),
    ),
    (
        &["mass-over-setter-rating"],
        Record(Kind::Setter, "rated_load_kg"),
    ),
    (&["setter-temperature"], Record(Kind::Setter, "rated_c")),
    (&["setter-temperature"], Record(Kind::Post, "rated_c")),
    (&["plate-may-crack"], Record(Kind::Material, "strength_mpa")),
    (
        &[
            "setters-out-of-stock",
            "posts-out-of-stock",
            "supports-out-of-stock",
        ],
        Shop("stock"),
    ),
    (&["gas-supply-short"], Shop("furnaces: gases")),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::review::check_by_slug;

    #[test]
    fn every_place_is_read_by_a_check() {
        for slug in RECORDED.iter().flat_map(|(slugs, _)| *slugs) {
            assert!(check_by_slug(slug).is_some(), "{slug}");
        }
    }
}
