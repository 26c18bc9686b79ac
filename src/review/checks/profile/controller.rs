//! What the furnace can do and what its controller can be told.

use super::at;
use crate::catalogue::{Controller, Furnace};
use crate::profile::{Event, EventAt, EventKind, RampBy};
use crate::review::checks::atmosphere::pressure;
use crate::review::facts::Facts;
use crate::review::facts_limits::from_record;
use crate::review::facts_profile::Step;
use crate::review::finding::{Report, Subject, at_most, number, text};
use crate::text::{limits, missing, phrases};
use crate::units::Quantity::{Number, Pressure, Rate, Temperature, TemperatureDifference, Time};

fn furnace<'a>(facts: &Facts<'a>, report: &mut Report) -> Option<&'a Furnace> {
    if facts.furnace.is_none() {
        report.missing(vec![Subject::Furnace], missing::furnace_record());
    }
    facts.furnace
}

pub(super) fn ramp_beyond_furnace(facts: &Facts, report: &mut Report) {
    let Some(furnace) = furnace(facts, report) else {
        return;
    };
    if facts.curve_or_missing(report).is_none() {
        return;
    }
    let most = furnace.ramp_max_k_min;
    let limit = from_record(
        furnace,
        "ramp_max_k_min",
        limits::furnace_ramp(),
        most,
        "K/min",
    );
    for step in facts.steps().iter().filter(|s| s.heats()) {
        if let Some(rate) = step.rate_k_min {
            let rate = at_most(Rate, rate, 1);
            report.hold(vec![step.subject()], rate, &limit, vec![at(step)]);
        }
    }
}

pub(super) fn cooling_beyond_furnace(facts: &Facts, report: &mut Report) {
    let Some(furnace) = furnace(facts, report) else {
        return;
    };
    if facts.curve_or_missing(report).is_none() {
        return;
    }
    let (field, most) = ("cooling_max_k_min", furnace.cooling_max_k_min);
    let limit = from_record(furnace, field, limits::furnace_cooling(), most, "K/min");
    let steps = facts.steps();
    for step in steps
        .iter()
        .filter(|s| s.cools() && !fan_runs(facts, s.index))
    {
        if let Some(rate) = step.rate_k_min {
            let rate = at_most(Rate, -rate, 1);
            report.hold(vec![step.subject()], rate, &limit, vec![at(step)]);
        }
    }
}

/// Whether the fan runs at any time in a segment.
pub(super) fn fan_runs(facts: &Facts, index: usize) -> bool {
    let mut on = false;
    for (i, segment) in facts.plan.profile.segments.iter().enumerate() {
        let mut ran = on;
        for event in segment.events.iter().filter(|e| e.at == EventAt::Start) {
            match event.kind {
                EventKind::FanOn => (on, ran) = (true, true),
                EventKind::FanOff => (on, ran) = (false, false),
                _ => {}
            }
        }
        if i == index {
            return ran;
        }
        for event in segment.events.iter().filter(|e| e.at == EventAt::End) {
            match event.kind {
                EventKind::FanOn => on = true,
                EventKind::FanOff => on = false,
                _ => {}
            }
        }
    }
    false
}

/// Below this nothing but a pump holds a pressure, mbar (assumed: the air's on a high mountain).
const LEAST_UNPUMPED_MBAR: f64 = 500.0;

/// Without a pump a pump-down does nothing, and what rests on it is no purge.
pub(super) fn pump_not_there(facts: &Facts, report: &mut Report) {
    let pumps = |e: &Event| matches!(e.kind, EventKind::PumpDown { .. });
    for step in facts.steps() {
        let held = step.segment.pressure_mbar;
        let held = held.is_some_and(|mbar| mbar < LEAST_UNPUMPED_MBAR);
        if !held && !step.segment.events.iter().any(pumps) {
            continue;
        }
        if furnace(facts, report).is_none() {
            return;
        }
        if facts.pumps_to_mbar().is_none() {
            report.found(vec![step.subject()], vec![at(&step)]);
        }
    }
}

pub(super) fn fan_not_usable(facts: &Facts, report: &mut Report) {
    for step in facts.steps() {
        for event in &step.segment.events {
            if event.kind != EventKind::FanOn {
                continue;
            }
            let Some(furnace) = furnace(facts, report) else {
                return;
            };
            let at_c = match event.at {
                EventAt::Start => step.from_c,
                EventAt::End => step.segment.to_c,
            };
            let why = match &furnace.heat.fan {
                None => phrases::no_fan().to_owned(),
                Some(fan) if at_c > fan.on_below_c => phrases::fan_too_hot(
                    &number(Temperature, at_c, 0),
                    &number(Temperature, fan.on_below_c, 0),
                ),
                Some(fan) => match pressure(facts, &step) {
                    Err(what) => {
                        report.missing(vec![step.subject()], what);
                        continue;
                    }
                    Ok(None) => {
                        report.missing(vec![step.subject()], missing::fan_pressure());
                        continue;
                    }
                    Ok(Some(mbar)) if mbar < fan.pressure_min_mbar => phrases::fan_too_thin(
                        &number(Pressure, mbar, 1),
                        &number(Pressure, fan.pressure_min_mbar, 0),
                    ),
                    Ok(Some(_)) => continue,
                },
            };
            report.found(vec![step.subject()], vec![at(&step), ("how", text(why))]);
        }
    }
}

pub(super) fn target_above_furnace(facts: &Facts, report: &mut Report) {
    let Some(furnace) = furnace(facts, report) else {
        return;
    };
    let limit = from_record(
        furnace,
        "max_c",
        limits::highest_setpoint(),
        furnace.max_c,
        "°C",
    );
    let peak = at_most(Temperature, facts.peak_c, 0);
    report.hold(vec![Subject::Profile], peak, &limit, vec![]);
}

pub(super) fn too_many_segments(facts: &Facts, report: &mut Report) {
    let Some(furnace) = furnace(facts, report) else {
        return;
    };
    let (field, most) = ("controller.segments_max", furnace.controller.segments_max);
    let limit = from_record(furnace, field, limits::most_segments(), f64::from(most), "");
    let n = facts.plan.profile.segments.len() as f64;
    report.hold(
        vec![Subject::Profile],
        at_most(Number, n, 0),
        &limit,
        vec![],
    );
}

/// Whether a number comes out in whole steps, within a ten-thousandth of one; a step of nothing
/// asks for nothing.
fn in_steps(value: f64, step: f64) -> bool {
    let n = value / step;
    !n.is_finite() || (n - libm::round(n)).abs() < 1e-4
}

fn each_step(facts: &Facts, report: &mut Report, judge: fn(&Step, &Controller, &mut Report)) {
    if let Some(furnace) = furnace(facts, report) {
        for step in facts.steps() {
            judge(&step, &furnace.controller, report);
        }
    }
}

pub(super) fn target_not_typable(facts: &Facts, report: &mut Report) {
    each_step(facts, report, |step, controller, report| {
        if !in_steps(step.segment.to_c, controller.target_step_c) {
            let args = vec![
                at(step),
                ("typed", number(Temperature, step.segment.to_c, 2)),
                (
                    "step",
                    number(TemperatureDifference, controller.target_step_c, 2),
                ),
            ];
            report.found(vec![step.subject()], args);
        }
    });
}

pub(super) fn rate_not_typable(facts: &Facts, report: &mut Report) {
    each_step(facts, report, |step, controller, report| {
        let RampBy::Rate { k_min } = step.segment.ramp else {
            return;
        };
        if !in_steps(k_min, controller.rate_step_k_min) {
            let shown = |k_min: f64| {
                if controller.rates_per_hour {
                    text(format!("{:.2} K/h", k_min * 60.0))
                } else {
                    number(Rate, k_min, 3)
                }
            };
            let args = vec![
                at(step),
                ("typed", shown(k_min)),
                ("step", shown(controller.rate_step_k_min)),
            ];
            report.found(vec![step.subject()], args);
        }
    });
}

pub(super) fn hold_not_typable(facts: &Facts, report: &mut Report) {
    each_step(facts, report, |step, controller, report| {
        if !in_steps(step.segment.hold_min, controller.hold_step_min) {
            let args = vec![
                at(step),
                ("typed", number(Time, step.segment.hold_min, 2)),
                ("step", number(Time, controller.hold_step_min, 2)),
            ];
            report.found(vec![step.subject()], args);
        }
    });
}

pub(super) fn hold_beyond_controller(facts: &Facts, report: &mut Report) {
    let Some(furnace) = furnace(facts, report) else {
        return;
    };
    let (field, most) = ("controller.hold_max_min", furnace.controller.hold_max_min);
    let limit = from_record(furnace, field, limits::longest_hold(), most, "min");
    for step in facts.steps() {
        let hold = at_most(Time, step.segment.hold_min, 0);
        report.hold(vec![step.subject()], hold, &limit, vec![at(&step)]);
    }
}
