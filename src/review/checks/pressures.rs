//! Pressure and flow against what is done to the furnace: air left when it heats, hydrogen below the
//! air's pressure or without flow, a vacuum at the door, an event that its segment undoes.

use super::common::{check, furnace, limit};
use crate::catalogue::Severity::{Caution, Stop};
use crate::profile::{EventAt, EventKind};
use crate::review::facts::Facts;
use crate::review::facts_gas::{ATMOSPHERE_MBAR, Purge};
use crate::review::facts_limits::as_share;
use crate::review::facts_profile::Step;
use crate::review::finding::{Check, Family, Report, Subject, at_most, number, text};
use crate::text::findings::Arg;
use crate::text::{missing, pressures as say};
use crate::units::Quantity::{Flow, Fraction, Pressure, Temperature};

/// Below this a furnace counts as pumped: weather and a check valve stay above, mbar.
const PUMPED_MBAR: f64 = 900.0;
/// Oxygen of air, by volume (NASA reference atmosphere, 1976).
const AIR_OXYGEN: f64 = 0.2095;

const fn safety(slug: &'static str, run: fn(&Facts, &mut Report)) -> Check {
    Check {
        safety: true,
        ..check(
            Family::Safety,
            Stop,
            slug,
            &["flammable-hydrogen-share"],
            run,
        )
    }
}

/// The checks.
pub const CHECKS: &[Check] = &[
    check(
        Family::Atmosphere,
        Caution,
        "air-left-on-heating",
        &["air-out-by", "oxygen-on-heating", "purge-mixing"],
        air_left_on_heating,
    ),
    safety("hydrogen-below-air", hydrogen_below_air),
    safety("hydrogen-without-flow", hydrogen_without_flow),
    check(
        Family::Atmosphere,
        Caution,
        "vacuum-at-the-door",
        &[],
        vacuum_at_the_door,
    ),
    check(
        Family::Atmosphere,
        Caution,
        "event-undone-by-segment",
        &[],
        event_undone_by_segment,
    ),
];

/// Oxygen of the air that is left when the program first comes to where parts begin to oxidise.
/// Pumping, filling and sweeping count in their order, a sweep by the clock of its segment.
fn air_left_on_heating(facts: &Facts, report: &mut Report) {
    let Some(furnace) = furnace(facts, report) else {
        return;
    };
    let (Some(by), Some(most), Some(mixing)) = (
        limit(facts, report, "air-out-by"),
        limit(facts, report, "oxygen-on-heating"),
        limit(facts, report, "purge-mixing"),
    ) else {
        return;
    };
    let Some(times) = facts.segment_times() else {
        return report.missing(vec![Subject::Profile], missing::program_length());
    };
    let mut air = Purge::NONE;
    for (step, time) in facts.steps().iter().zip(times) {
        let segment = step.segment;
        for event in segment.events.iter().filter(|e| e.at == EventAt::Start) {
            air = match &event.kind {
                EventKind::PumpDown { to_mbar } => air.pump(*to_mbar),
                EventKind::Backfill { to_mbar, .. } => air.fill(*to_mbar),
                EventKind::PurgeInert { volumes } => air.flow(*volumes, mixing.value),
                _ => air,
            };
        }
        let vacuum = furnace.ultimate_mbar.filter(|_| segment.gas.is_none());
        let set = segment.pressure_mbar.or(vacuum);
        if let Some(mbar) = set {
            air = if mbar < PUMPED_MBAR {
                air.pump(mbar)
            } else if segment.gas.is_some() {
                air.fill(mbar)
            } else {
                air
            };
        }
        let reaches = segment.to_c >= by.value;
        // Of the segment that passes the limit, only the way up to it.
        let share = if reaches && segment.to_c > step.from_c {
            ((by.value - step.from_c) / (segment.to_c - step.from_c)).clamp(0.0, 1.0)
        } else {
            1.0
        };
        let minutes = if reaches {
            share * (time.program_min - segment.hold_min).max(0.0)
        } else {
            time.program_min
        };
        if segment.gas.is_some() {
            // At a lower pressure the same gas fills more volumes.
            let at = set.map_or(1.0, |mbar| (mbar / ATMOSPHERE_MBAR).clamp(1e-3, 1.0));
            let volumes = segment.flow_l_min_25c * minutes / furnace.volume_l / at;
            air = air.flow(volumes, mixing.value);
        }
        if reaches {
            // Over the load, whatever the pressure: what counts is the oxygen that is there.
            let oxygen = AIR_OXYGEN * air.over_load();
            let args = vec![
                ("segment", Arg::Count(step.index + 1)),
                ("by", number(Temperature, by.value, 0)),
            ];
            let limit = as_share(most);
            report.hold(
                vec![step.subject()],
                at_most(Fraction, oxygen, 2),
                &limit,
                args,
            );
            return;
        }
    }
}

/// Segments with a gas that burns in air.
fn fuel<'a>(facts: &Facts<'a>) -> Vec<Step<'a>> {
    let burns = |slug: &String| facts.catalogue.gas(slug).is_some_and(|g| facts.is_fuel(g));
    let mut steps = facts.steps();
    steps.retain(|s| s.segment.gas.as_ref().is_some_and(burns));
    steps
}

/// A flame at the exhaust needs gas that comes out: below the air's pressure air goes in.
fn hydrogen_below_air(facts: &Facts, report: &mut Report) {
    let lit = |kind: &EventKind| *kind == EventKind::BurnOffOn;
    let segments = &facts.plan.profile.segments;
    let flame = segments
        .iter()
        .flat_map(|s| &s.events)
        .any(|e| lit(&e.kind));
    if !flame {
        return;
    }
    for step in fuel(facts) {
        if let Some(mbar) = step
            .segment
            .pressure_mbar
            .filter(|p| *p < ATMOSPHERE_MBAR - 13.25)
        {
            let args = vec![
                ("segment", Arg::Count(step.index + 1)),
                ("value", number(Pressure, mbar, 0)),
            ];
            report.found(vec![step.subject()], args);
        }
    }
}

/// What cools shrinks, and what leaks burns: without a flow air comes in.
fn hydrogen_without_flow(facts: &Facts, report: &mut Report) {
    for step in fuel(facts) {
        let pumped = step.segment.pressure_mbar.is_some_and(|p| p < PUMPED_MBAR);
        if step.segment.flow_l_min_25c <= 0.0 && !pumped {
            let args = vec![
                ("segment", Arg::Count(step.index + 1)),
                ("value", number(Flow, step.segment.flow_l_min_25c, 0)),
            ];
            report.found(vec![step.subject()], args);
        }
    }
}

/// The pressure over the load where it comes out: by the last event or segment that sets one.
fn vacuum_at_the_door(facts: &Facts, report: &mut Report) {
    let mut now: Option<f64> = None;
    let mut last = Subject::Profile;
    for step in facts.steps() {
        last = step.subject();
        let events = |at: EventAt| step.segment.events.iter().filter(move |e| e.at == at);
        let mut opened = false;
        // What comes after the door is another check's.
        let mut event = |kind: &EventKind, now: &mut Option<f64>| match kind {
            _ if opened => {}
            EventKind::PumpDown { to_mbar } | EventKind::Backfill { to_mbar, .. } => {
                *now = Some(*to_mbar);
            }
            EventKind::Unload => opened = true,
            _ => {}
        };
        events(EventAt::Start).for_each(|e| event(&e.kind, &mut now));
        match (step.segment.pressure_mbar, &step.segment.gas) {
            _ if step.unloads_at_start() => {}
            (Some(mbar), _) => now = Some(mbar),
            (None, Some(_)) => now = None,
            (None, None) => {}
        }
        events(EventAt::End).for_each(|e| event(&e.kind, &mut now));
        if opened {
            break;
        }
    }
    // A partial pressure of some tenths of an atmosphere holds the door shut as well.
    if let Some(mbar) = now.filter(|p| *p < DOOR_MBAR) {
        report.found(vec![last], vec![("value", number(Pressure, mbar, 0))]);
    }
}

/// Below this a door does not open by hand, and air rushes in where it does, mbar: a tenth of an
/// atmosphere is a tonne on a square metre.
const DOOR_MBAR: f64 = 700.0;

/// A backfill or pump-down whose segment then holds much less, with nothing that pumps it down.
fn event_undone_by_segment(facts: &Facts, report: &mut Report) {
    for step in facts.steps() {
        let set = step.segment.pressure_mbar;
        let mut starts = step.segment.events.iter().rev();
        let filled = starts.find_map(|e| match &e.kind {
            _ if e.at != EventAt::Start => None,
            EventKind::Backfill { to_mbar, .. } => Some((say::backfill(), *to_mbar)),
            EventKind::PumpDown { to_mbar } => Some((say::pump_down(), *to_mbar)),
            _ => None,
        });
        let (Some((what, filled)), Some(set)) = (filled, set) else {
            continue;
        };
        if filled > 2.0 * set {
            let args = vec![
                ("segment", Arg::Count(step.index + 1)),
                ("filled", number(Pressure, filled, 0)),
                ("set", number(Pressure, set, 0)),
                ("what", text(what)),
            ];
            report.found(vec![step.subject()], args);
        }
    }
}
