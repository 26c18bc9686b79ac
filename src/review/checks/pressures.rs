//! Pressure and flow against what is done to the furnace: air left when it heats, hydrogen below the
//! air's pressure or without flow, a vacuum at the door, an event that its segment undoes.

use super::atmosphere::pressure;
use super::common::{check, furnace, limit};
use crate::catalogue::Limit;
use crate::catalogue::Severity::{Caution, Stop};
use crate::profile::{EventAt, EventKind, Segment};
use crate::review::facts::Facts;
use crate::review::facts_gas::{AIR, ATMOSPHERE_MBAR, Purge};
use crate::review::facts_limits::as_share;
use crate::review::facts_profile::Step;
use crate::review::finding::{Check, Family, Report, Subject, at_most, number, text};
use crate::text::findings::Arg;
use crate::text::{missing, pressures as say};
use crate::units::Quantity::{Flow, Fraction, Pressure, Temperature};

/// Below this a furnace counts as pumped: weather and a check valve stay above, mbar.
pub(super) const PUMPED_MBAR: f64 = 900.0;
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
    let (Some(by), Some(most), Some(mixing), Some(air_run)) = (
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
    let mut air = Purge::NONE;
    for (step, time) in facts.steps().iter().zip(times) {
        let segment = step.segment;
        for event in segment.events.iter().filter(|e| e.at == EventAt::Start) {
            air = match &event.kind {
                EventKind::PumpDown { to_mbar } => match facts.pumps_to_mbar() {
                    Some(lowest) => air.pump(to_mbar.max(lowest)),
                    None => air,
                },
                EventKind::Backfill { to_mbar, .. } => air.fill(*to_mbar),
                EventKind::PurgeInert { volumes } => air.flow(*volumes, mixing.value),
                _ => air,
            };
        }
        let vacuum = furnace.ultimate_mbar.filter(|_| segment.gas.is_none());
        let set = segment.pressure_mbar.or(vacuum);
        if let Some(mbar) = set {
            air = if mbar < PUMPED_MBAR {
                facts.pumps_to_mbar().map_or(air, |_| air.pump(mbar))
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
            // Most of the air is still there: binder vapour burns in it, and so does the hot zone.
            if air.over_load() >= as_share(air_run).value {
                report.rank(Stop, true);
            }
            report.hold(
                vec![step.subject()],
                at_most(Fraction, oxygen, 2),
                &limit,
                args,
            );
            // Where the first look found nothing, its own segment may still fill with air.
            let from = step.index + usize::from(oxygen > limit.value);
            let from_c = by.value;
            let air_run = as_share(air_run).value;
            return air_let_in(facts, report, (from, from_c, air_run), &limit);
        }
    }
}

/// Later segments with a pressure and no gas that was let in.
fn air_let_in(
    facts: &Facts,
    report: &mut Report,
    (from, from_c, air_run): (usize, f64, f64),
    limit: &Limit,
) {
    let over = facts.gases_over();
    let later = over
        .iter()
        .filter(|g| g.slug == AIR && g.step.index >= from);
    for air in later.filter(|g| g.high_c >= from_c) {
        let mbar = air.step.segment.pressure_mbar.unwrap_or(ATMOSPHERE_MBAR);
        let share = (mbar / ATMOSPHERE_MBAR).min(1.0);
        let much = share >= air_run;
        report.rank(if much { Stop } else { Caution }, much);
        let args = vec![
            ("segment", Arg::Count(air.step.index + 1)),
            ("by", number(Temperature, air.high_c, 0)),
        ];
        let subject = vec![air.step.subject()];
        let oxygen = at_most(Fraction, AIR_OXYGEN * share, 2);
        report.hold(subject, oxygen, limit, args);
    }
}

/// Segments in which something is so while a gas flows that burns in air; one that no record
/// describes might, so that is counted as not evaluated.
fn in_fuel<'a>(
    facts: &Facts<'a>,
    report: &mut Report,
    so: impl Fn(&Segment) -> bool,
) -> Vec<Step<'a>> {
    let over = facts.gases_over();
    let mut steps = facts.steps();
    steps.retain(|s| so(s.segment));
    steps.retain(|s| {
        let mut here = over.iter().filter(|g| g.during && g.step.index == s.index);
        let filled = here.find(|g| {
            facts
                .catalogue
                .gas(g.slug)
                .is_some_and(|g| facts.is_fuel(g))
        });
        let Some(slug) = s.segment.gas.as_deref().or(filled.map(|g| g.slug)) else {
            return false;
        };
        let gas = facts.catalogue.gas(slug);
        if gas.is_none() {
            report.missing(vec![s.subject()], missing::gas_record());
        }
        gas.is_some_and(|g| facts.is_fuel(g))
    });
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
    let below = |s: &Segment| s.pressure_mbar.filter(|p| *p < ATMOSPHERE_MBAR - 13.25);
    for step in in_fuel(facts, report, |s| below(s).is_some()) {
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
        s.flow_l_min_25c < least.value && !pumped
    };
    for step in in_fuel(facts, report, still) {
        let args = vec![
            ("segment", Arg::Count(step.index + 1)),
            ("value", number(Flow, step.segment.flow_l_min_25c, 2)),
            ("least", number(Flow, least.value, 1)),
        ];
        report.found(vec![step.subject()], args);
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
