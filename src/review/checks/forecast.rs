//! Checks that need a forecast of the run; until there is one each is counted as not evaluated.
//! Where the furnace's survey does not reach, they judge the nominal case and say so.

mod binder;
mod chemistry;
mod density;
mod heat;
mod plates;

use crate::catalogue::Severity::{Caution, Note, Stop};
use crate::review::finding::{Check, Family, Needs};

const BASE: Check = Check {
    needs: Needs::Forecast,
    ..Check::BASE
};

/// One row a check.
pub const CHECKS: &[Check] = &[
    Check {
        slug: "pores-not-open",
        family: Family::Debind,
        severity: Caution,
        run: binder::pores_not_open,
        ..BASE
    },
    Check {
        slug: "core-pressure-high",
        family: Family::Debind,
        severity: Caution,
        limits: &["core-pressure-max"],
        run: binder::core_pressure_high,
        ..BASE
    },
    Check {
        slug: "debind-hold-short",
        family: Family::Debind,
        severity: Caution,
        limits: &["backbone-out-wanted", "backbone-out-least"],
        run: |facts, report| binder::debind_hold(facts, report, false),
        ..BASE
    },
    Check {
        slug: "debind-hold-far-short",
        family: Family::Debind,
        severity: Stop,
        limits: &["backbone-out-wanted", "backbone-out-least"],
        run: |facts, report| binder::debind_hold(facts, report, true),
        ..BASE
    },
    Check {
        slug: "offgas-over-sweep",
        family: Family::Debind,
        severity: Caution,
        limits: &["sweep-offgas-share"],
        run: binder::offgas_over_sweep,
        ..BASE
    },
    Check {
        slug: "pump-floor-with-vapour",
        family: Family::Atmosphere,
        severity: Caution,
        run: binder::pump_floor_with_vapour,
        ..BASE
    },
    Check {
        slug: "trap-catch-predicted",
        family: Family::Debind,
        severity: Caution,
        limits: &["trap-caution"],
        run: binder::trap_catch_predicted,
        ..BASE
    },
    Check {
        slug: "coldest-spot-not-in-band",
        family: Family::Profile,
        severity: Caution,
        run: heat::coldest_spot_not_in_band,
        ..BASE
    },
    Check {
        slug: "band-never-reached",
        family: Family::Profile,
        severity: Stop,
        run: heat::band_never_reached,
        ..BASE
    },
    Check {
        slug: "wait-too-long",
        family: Family::Profile,
        severity: Caution,
        limits: &["wait-caution"],
        run: heat::wait_too_long,
        ..BASE
    },
    Check {
        slug: "ramp-beyond-power",
        family: Family::Profile,
        severity: Caution,
        limits: &["chamber-lag-max", "power-wait-stop"],
        run: heat::ramp_beyond_power,
        ..BASE
    },
    Check {
        slug: "sinter-hold-short-at-coldest",
        family: Family::Profile,
        severity: Caution,
        run: heat::sinter_hold_short_at_coldest,
        ..BASE
    },
    Check {
        slug: "hot-spot-over-range",
        family: Family::Profile,
        severity: Stop,
        run: heat::hot_spot_over_range,
        ..BASE
    },
    Check {
        slug: "density-low",
        family: Family::Mass,
        severity: Caution,
        limits: &["density-min"],
        run: density::density_low,
        ..BASE
    },
    Check {
        slug: "density-uncertain",
        family: Family::Mass,
        severity: Note,
        limits: &["density-spread-max"],
        run: density::density_uncertain,
        ..BASE
    },
    Check {
        slug: "size-outside-tolerance",
        family: Family::Mass,
        severity: Caution,
        limits: &["size-tolerance"],
        run: density::size_outside_tolerance,
        ..BASE
    },
    Check {
        slug: "spot-size-error",
        family: Family::Mass,
        severity: Caution,
        limits: &["size-spread-max"],
        run: density::spot_size_error,
        ..BASE
    },
    Check {
        slug: "plate-creep-bow",
        family: Family::Furniture,
        severity: Caution,
        limits: &["plate-bow-max"],
        run: plates::plate_creep_bow,
        ..BASE
    },
    Check {
        slug: "plate-may-crack",
        family: Family::Furniture,
        severity: Caution,
        run: plates::plate_may_crack,
        ..BASE
    },
    Check {
        slug: "reduction-gas-limited",
        family: Family::Atmosphere,
        severity: Caution,
        limits: &["reduction-share-min"],
        run: chemistry::reduction_gas_limited,
        ..BASE
    },
    Check {
        slug: "furnace-dew-point",
        family: Family::Atmosphere,
        severity: Caution,
        limits: &["dew-point-furnace-max"],
        run: chemistry::furnace_dew_point,
        ..BASE
    },
    Check {
        slug: "evaporation-loss",
        family: Family::Atmosphere,
        severity: Caution,
        limits: &["evaporation-max"],
        run: chemistry::evaporation_loss,
        ..BASE
    },
    Check {
        slug: "carbon-near-range",
        family: Family::Atmosphere,
        severity: Caution,
        limits: &["carbon-spread-share"],
        run: chemistry::carbon_near_range,
        ..BASE
    },
    Check {
        slug: "nitrogen-taken-up",
        family: Family::Atmosphere,
        severity: Caution,
        limits: &["nitrogen-time-max"],
        run: chemistry::nitrogen_taken_up,
        ..BASE
    },
    Check {
        slug: "load-hot-at-unload",
        family: Family::Safety,
        severity: Stop,
        safety: true,
        limits: &["unload-max", "unload-max-molybdenum"],
        run: heat::load_hot_at_unload,
        ..BASE
    },
    Check {
        slug: "run-longer-than-planned",
        family: Family::Profile,
        severity: Note,
        limits: &["run-over-plan-max"],
        run: heat::run_longer_than_planned,
        ..BASE
    },
];
