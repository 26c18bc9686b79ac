//! Safety: fuel gas, doors, dryness, over-temperature and the order of events.

use super::bases::event;
use super::{Row, argon, bases, hydrogen, row};
use crate::fixture::Case;
use setterwright::part::MassState;
use setterwright::profile::{Event, EventAt, EventKind};

/// Takes the events out of a segment that a test picks.
fn without(case: &mut Case, segment: usize, gone: fn(&EventKind) -> bool) {
    let events = &mut case.profile().segments[segment].events;
    events.retain(|e| !gone(&e.kind));
}

fn is_purge(kind: &EventKind) -> bool {
    matches!(
        kind,
        EventKind::PumpDown { .. } | EventKind::Backfill { .. } | EventKind::PurgeInert { .. }
    )
}

fn at_end(case: &mut Case, segment: usize, kind: EventKind) {
    let at = EventAt::End;
    case.profile().segments[segment]
        .events
        .push(Event { at, kind });
}

pub fn rows() -> Vec<Row> {
    vec![
        hydrogen(
            "hydrogen-without-purge-before",
            "no pump-down before the hydrogen",
            |c| without(c, 0, is_purge),
        ),
        hydrogen(
            "hydrogen-without-purge-after",
            "no purge after the hydrogen",
            |c| without(c, 6, is_purge),
        ),
        hydrogen(
            "purge-before-fuel-weak",
            "one flow purge of 5 volumes instead of two pump-downs",
            |c| {
                without(c, 0, is_purge);
                let purge = event(EventKind::PurgeInert { volumes: 5.0 });
                c.profile().segments[0].events.insert(0, purge);
            },
        ),
        hydrogen(
            "purge-before-air-weak",
            "5 volumes instead of 10 after the hydrogen",
            |c| {
                for e in &mut c.profile().segments[6].events {
                    if let EventKind::PurgeInert { volumes } = &mut e.kind {
                        *volumes = 5.0;
                    }
                }
            },
        ),
        hydrogen("hydrogen-without-burn-off", "no flame", |c| {
            without(c, 0, |k| *k == EventKind::BurnOffOn);
        }),
        hydrogen(
            "hydrogen-event-mismatch",
            "argon in one segment while hydrogen is switched on",
            |c| c.profile().segments[2].gas = Some("argon".to_owned()),
        ),
        hydrogen(
            "flame-off-before-hydrogen-off",
            "the flame goes off one segment early",
            |c| {
                without(c, 6, |k| *k == EventKind::BurnOffOff);
                c.profile().segments[5].events = vec![event(EventKind::BurnOffOff)];
            },
        ),
        hydrogen(
            "purge-after-hydrogen-on",
            "a flow purge more, after hydrogen is switched on",
            |c| {
                let purge = event(EventKind::PurgeInert { volumes: 5.0 });
                c.profile().segments[0].events.push(purge);
            },
        ),
        hydrogen("purge-reserve-short", "no gas kept back", |c| {
            for gas in &mut c.state().gases {
                gas.reserve_m3_25c = 0.0;
            }
        }),
        argon(
            "solvent-on-parts",
            "the lot comes brown from the bath",
            |c| {
                c.lot().enters = MassState::Brown;
            },
        ),
        argon(
            "safety-limit-loosened",
            "a shop that unloads at 300 °C by its own limit",
            |c| c.limit("unload-max").value = 300.0,
        ),
        argon("unload-too-hot", "unloaded at 81 °C", |c| {
            c.profile().unload_c = 81.0;
        }),
        argon("unload-not-last", "a pump-down after unloading", |c| {
            at_end(c, 5, EventKind::Unload);
            at_end(c, 5, EventKind::PumpDown { to_mbar: 1.0 });
        }),
        row(
            "inert-gas-entry",
            bases::vacuum_to_the_door,
            "a purge with inert gas in a run in vacuum",
            |c| {
                at_end(c, 5, EventKind::PurgeInert { volumes: 5.0 });
            },
        ),
        argon(
            "over-temperature-not-declared",
            "nobody declares the cut-out",
            |c| {
                c.plan
                    .declarations
                    .retain(|d| d.question != "over-temperature-set");
            },
        )
        .lapses(&[
            "over-temperature-above-furnace",
            "over-temperature-below-peak",
            "over-temperature-set-high",
            "over-temperature-set-low",
        ]),
        argon(
            "over-temperature-set-low",
            "cut-out 14 K above the peak",
            |c| {
                c.plan.declarations[0].answer = "1374".to_owned();
            },
        ),
        argon(
            "over-temperature-set-high",
            "cut-out 31 K above the peak",
            |c| {
                c.plan.declarations[0].answer = "1391".to_owned();
            },
        ),
        argon(
            "titanium-dust",
            "brackets of titanium instead of 316L",
            |c| *c = bases::titanium(),
        ),
    ]
}
