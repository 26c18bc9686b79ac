//! Pressure and flow against what is done to the furnace: air left when it heats, hydrogen below the
//! air's pressure or without flow, a vacuum at the door, an event that its segment undoes.

use super::atmosphere::pressure;
use super::common::{check, furnace, limit};
use crate::catalogue::AIR_OXYGEN;
use crate::catalogue::Severity::{Caution, Stop};
use crate::forecast::standing::{ATMOSPHERE_MBAR, Standing};
use crate::profile::{EventAt, EventKind, Segment};
use crate::review::facts::Facts;
use crate::review::facts_limits::as_share;
use crate::review::facts_profile::Step;
use crate::review::facts_standing::Stands;
use crate::review::finding::{Check, Family, Report, Subject, at_most, number, text};
use crate::text::findings::Arg;
use crate::text::{missing, pressures as say};
use crate::units::Quantity::{Flow, Fraction, Pressure, Temperature};

/// Below this a furnace counts as pumped: weather and a check valve stay above, mbar.
pub(super) const PUMPED_MBAR: f64 = 900.0;

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
    Check {
        some_safety: true,
        ..check(
            Family::Atmosphere,
            Caution,
            "air-left-on-heating",
            &["air-out-by", "air-run", "oxygen-on-heating", "purge-mixing"],
            air_left_on_heating,
        )
    },
    safety("hydrogen-below-air", hydrogen_below_air),
    Check {
        limits: &["flammable-hydrogen-share", "fuel-flow-min"],
        ..safety("hydrogen-without-flow", hydrogen_without_flow)
    },
    Check {
        limits: &["flammable-hydrogen-share", "fuel-before-air"],
        ..safety("air-into-fuel", air_into_fuel)
    },
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
    if furnace(facts, report).is_none() {
        return;
    }
    let (Some(by), Some(most), Some(_), Some(air_run)) = (
        limit(facts, report, "air-out-by"),
        limit(facts, report, "oxygen-on-heating"),
        limit(facts, report, "purge-mixing"),
        limit(facts, report, "air-run"),
    ) else {
        return;
    };
    let Some(times) = facts.segment_times() else {
        return report.missing(vec![Subject::Profile], missing::program_length());
    };
    let limit = as_share(most);
    let air_run = as_share(air_run).value;
    let mut told = None;
    for (stands, time) in facts.gas_standing().iter().zip(times) {
        let step = &stands.step;
        let ramp_min = (time.program_min - step.segment.hold_min).max(0.0);
        // Over the load, whatever the pressure: what counts is the oxygen that is there.
        let moments = stands.moments(by.value, ramp_min).into_iter();
        let oxygen = moments.map(|(now, at_c)| (facts.oxygen(&now), at_c));
        let Some((oxygen, at_c)) = oxygen.reduce(|a, b| if b.0 > a.0 { b } else { a }) else {
            continue;
        };
        // Later on only what comes in: what goes out is told.
        if told.is_some_and(|before| oxygen <= f64::max(limit.value, before * (1.0 + MORE))) {
            continue;
        }
        told = Some(told.map_or(oxygen, |before| f64::max(before, oxygen)));
        // Most of the air is there: binder vapour burns in it, and so does the hot zone.
        let much = oxygen / AIR_OXYGEN >= air_run;
        report.rank(if much { Stop } else { Caution }, much);
        let args = vec![
            ("segment", Arg::Count(step.index + 1)),
            ("by", number(Temperature, at_c, 0)),
        ];
        let oxygen = at_most(Fraction, oxygen, 2);
        report.hold(vec![step.subject()], oxygen, &limit, args);
    }
}

/// Share by which air has become more before it is told again (assumed).
const MORE: f64 = 0.01;

/// Segments in which something is so while a gas that burns in air is let in, or stands over the load at
/// one of the moments that are asked for; one that no record describes might, so that is counted as not
/// evaluated.
fn in_fuel<'a>(
    facts: &Facts<'a>,
    report: &mut Report,
    so: impl Fn(&Segment) -> bool,
    when: impl Fn(&Stands<'a>) -> Vec<Standing<&'a str>>,
) -> Vec<Step<'a>> {
    let mut stands = facts.gas_standing();
    stands.retain(|s| so(s.step.segment));
    stands.retain(|s| {
        let mut unknown = false;
        let own = s.step.segment.gas.as_deref();
        let burns = match own.map(|slug| facts.catalogue.gas(slug)) {
            Some(Some(gas)) => facts.is_fuel(gas),
            Some(None) => {
                unknown = true;
                false
            }
            None => false,
        };
        let stood = when(s);
        let mut stands = stood.iter();
        let burns = burns || stands.any(|now| facts.holds_fuel(now, |_| unknown = true));
        if unknown && !burns {
            report.missing(vec![s.step.subject()], missing::gas_record());
        }
        burns
    });
    stands.into_iter().map(|s| s.step).collect()
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
    let below = |s: &Segment| s.pressure_mbar.filter(|p| *p < ATMOSPHERE_MBAR - 13.25);
    // What a flow has driven out before the segment's end was on its way out.
    for step in in_fuel(
        facts,
        report,
        |s| below(s).is_some(),
        |s| vec![s.ends.clone()],
    ) {
        if let Some(mbar) = below(step.segment) {
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
    let Some(least) = limit(facts, report, "fuel-flow-min") else {
        return;
    };
    let still = |s: &Segment| {
        let pumped = s.pressure_mbar.is_some_and(|p| p < PUMPED_MBAR);
        flow_l_min(s) < least.value && !pumped
    };
    for step in in_fuel(facts, report, still, |s| {
        vec![s.begins.clone(), s.ends.clone()]
    }) {
        let args = vec![
            ("segment", Arg::Count(step.index + 1)),
            ("value", number(Flow, flow_l_min(step.segment), 2)),
            ("least", number(Flow, least.value, 1)),
        ];
        report.found(vec![step.subject()], args);
    }
}

/// A flow of which nobody says of what is none; L/min at 25 °C and 1 atm.
fn flow_l_min(segment: &Segment) -> f64 {
    let gas = segment.gas.as_ref();
    gas.map_or(0.0, |_| segment.flow_l_min_25c)
}

/// Air over fuel within the run: what the purge before the door is at the door.
fn air_into_fuel(facts: &Facts, report: &mut Report) {
    let Some(limit) = limit(facts, report, "fuel-before-air").map(as_share) else {
        return;
    };
    for stands in facts.gas_standing() {
        let fuel = stands.air_into.iter().map(|now| facts.fuel(now));
        let Some(fuel) = fuel.reduce(f64::max).filter(|fuel| *fuel > 0.0) else {
            continue;
        };
        let args = vec![("segment", Arg::Count(stands.step.index + 1))];
        let subject = vec![stands.step.subject()];
        report.hold(subject, at_most(Fraction, fuel, 2), &limit, args);
    }
}

/// What stands over the load.
struct Over {
    /// Pressure, mbar; none at that of the air, or what is missing to tell it.
    mbar: Result<Option<f64>, &'static str>,
    /// Whether it was let in by an event, to stay until something is set or pumped.
    filled: bool,
}

impl Over {
    fn at(mbar: f64, filled: bool) -> Over {
        Over {
            mbar: Ok(Some(mbar)),
            filled,
        }
    }
}

/// The pressure over the load where it comes out: by the last event or segment that sets one. Where
/// nothing flows and no pressure is set a furnace that nobody filled is pumped as far as it goes.
fn vacuum_at_the_door(facts: &Facts, report: &mut Report) {
    let mut over = Over {
        mbar: Ok(None),
        filled: false,
    };
    let mut last = Subject::Profile;
    for step in facts.steps() {
        last = step.subject();
        let events = |at: EventAt| step.segment.events.iter().filter(move |e| e.at == at);
        let mut opened = false;
        // What comes after the door is another check's.
        let mut event = |kind: &EventKind, over: &mut Over| match kind {
            _ if opened => {}
            EventKind::PumpDown { to_mbar } => *over = Over::at(*to_mbar, false),
            EventKind::Backfill { to_mbar, .. } => *over = Over::at(*to_mbar, true),
            EventKind::Unload => opened = true,
            _ => {}
        };
        events(EventAt::Start).for_each(|e| event(&e.kind, &mut over));
        let stays = over.filled && (step.segment.pressure_mbar, &step.segment.gas) == (None, &None);
        if !stays && !step.unloads_at_start() {
            over = Over {
                mbar: pressure(facts, &step),
                filled: false,
            };
        }
        events(EventAt::End).for_each(|e| event(&e.kind, &mut over));
        if opened {
            break;
        }
    }
    // A partial pressure of some tenths of an atmosphere holds the door shut as well.
    match over.mbar {
        Ok(Some(mbar)) if mbar < DOOR_MBAR => {
            report.found(vec![last], vec![("value", number(Pressure, mbar, 0))]);
        }
        Ok(_) => {}
        Err(what) => report.missing(vec![last], what),
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
