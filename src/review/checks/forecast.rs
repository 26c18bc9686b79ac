//! Checks that wait for a forecast of the run. Their facts come with it; until then each is
//! counted as not evaluated.

use crate::catalogue::Severity::{Caution, Note, Stop};
use crate::review::finding::{Check, Family, Needs};

const BASE: Check = Check {
    needs: Needs::Forecast,
    ..Check::BASE
};

/// One row a check.
pub const CHECKS: &[Check] = &[
    Check {
        slug: "dryer-air-short",
        family: Family::Debind,
        severity: Stop,
        safety: true,
        ..BASE
    },
    Check {
        slug: "pores-not-open",
        family: Family::Debind,
        severity: Caution,
        ..BASE
    },
    Check {
        slug: "core-pressure-high",
        family: Family::Debind,
        severity: Caution,
        ..BASE
    },
    Check {
        slug: "debind-hold-short",
        family: Family::Debind,
        severity: Caution,
        ..BASE
    },
    Check {
        slug: "offgas-over-sweep",
        family: Family::Debind,
        severity: Caution,
        limits: &["sweep-offgas-share"],
        ..BASE
    },
    Check {
        slug: "pump-floor-with-vapour",
        family: Family::Atmosphere,
        severity: Caution,
        ..BASE
    },
    Check {
        slug: "trap-catch-predicted",
        family: Family::Debind,
        severity: Caution,
        limits: &["trap-caution"],
        ..BASE
    },
    Check {
        slug: "coldest-spot-not-in-band",
        family: Family::Profile,
        severity: Caution,
        ..BASE
    },
    Check {
        slug: "band-never-reached",
        family: Family::Profile,
        severity: Stop,
        ..BASE
    },
    Check {
        slug: "wait-too-long",
        family: Family::Profile,
        severity: Caution,
        ..BASE
    },
    Check {
        slug: "ramp-beyond-power",
        family: Family::Profile,
        severity: Caution,
        ..BASE
    },
    Check {
        slug: "sinter-hold-short-at-coldest",
        family: Family::Profile,
        severity: Caution,
        ..BASE
    },
    Check {
        slug: "hot-spot-over-range",
        family: Family::Profile,
        severity: Stop,
        ..BASE
    },
    Check {
        slug: "density-low",
        family: Family::Mass,
        severity: Caution,
        ..BASE
    },
    Check {
        slug: "density-uncertain",
        family: Family::Mass,
        severity: Note,
        ..BASE
    },
    Check {
        slug: "size-outside-tolerance",
        family: Family::Mass,
        severity: Caution,
        ..BASE
    },
    Check {
        slug: "spot-size-error",
        family: Family::Mass,
        severity: Caution,
        ..BASE
    },
    Check {
        slug: "plate-creep-bow",
        family: Family::Furniture,
        severity: Caution,
        ..BASE
    },
    Check {
        slug: "plate-may-crack",
        family: Family::Furniture,
        severity: Caution,
        ..BASE
    },
    Check {
        slug: "reduction-gas-limited",
        family: Family::Atmosphere,
        severity: Caution,
        ..BASE
    },
    Check {
        slug: "furnace-dew-point",
        family: Family::Atmosphere,
        severity: Caution,
        limits: &["dew-point-furnace-max"],
        ..BASE
    },
    Check {
        slug: "evaporation-loss",
        family: Family::Atmosphere,
        severity: Caution,
        ..BASE
    },
    Check {
        slug: "carbon-near-range",
        family: Family::Atmosphere,
        severity: Caution,
        ..BASE
    },
    Check {
        slug: "nitrogen-taken-up",
        family: Family::Atmosphere,
        severity: Caution,
        ..BASE
    },
    Check {
        slug: "load-hot-at-unload",
        family: Family::Safety,
        severity: Stop,
        safety: true,
        limits: &["unload-max", "unload-max-molybdenum"],
        ..BASE
    },
    Check {
        slug: "run-longer-than-planned",
        family: Family::Profile,
        severity: Note,
        ..BASE
    },
];
