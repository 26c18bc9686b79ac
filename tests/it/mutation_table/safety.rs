//! Safety: fuel gas, doors, dryness, over-temperature and the order of events.

use super::bases::event;
use super::{Row, argon, bases, hydrogen, row, taken};
use crate::fixture::Case;
use setterwright::catalogue::Severity::{Caution, Note, Stop};
use setterwright::catalogue::{GasNature, LimitScope};
use setterwright::part::MassState;
use setterwright::profile::{Event, EventAt, EventKind};
use std::sync::Arc;

/// The question of the cut-out.
const OVER_TEMPERATURE: &str = "over-temperature-set";

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

/// One flow purge instead of pumping before the hydrogen.
fn purged_before(case: &mut Case, volumes: f64) {
    without(case, 0, is_purge);
    let purge = event(EventKind::PurgeInert { volumes });
    case.profile().segments[0].events.insert(0, purge);
}

/// So many volumes after the hydrogen.
fn purged_after(case: &mut Case, after: f64) {
    for e in &mut case.profile().segments[6].events {
        if let EventKind::PurgeInert { volumes } = &mut e.kind {
            *volumes = after;
        }
    }
}

/// Pumped so far after the hydrogen, and then open to the air.
fn air_after(case: &mut Case, to_mbar: f64) {
    let last = &mut case.profile().segments[6];
    (last.gas, last.flow_l_min_25c) = (None, 0.0);
    last.pressure_mbar = Some(1013.25);
    for e in &mut last.events {
        if matches!(e.kind, EventKind::PurgeInert { .. }) {
            e.kind = EventKind::PumpDown { to_mbar };
        }
    }
}

/// The shop's own limit for the cooling of plates.
fn cools_plates(case: &mut Case, k_min: f64) {
    let limit = case.limit("ceramic-cooling-max");
    (limit.scope, limit.value) = (LimitScope::Shop, k_min);
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
        )
        .weighs(Stop)
        .inside("one flow purge of 5 volumes instead", |c| {
            purged_before(c, 5.0)
        })
        .missing("a shop without that limit", |c| {
            taken::limit(c, "purge-volumes")
        }),
        hydrogen(
            "hydrogen-without-purge-after",
            "no purge after the hydrogen",
            |c| without(c, 6, is_purge),
        )
        .weighs(Stop)
        .inside("5 volumes after the hydrogen", |c| purged_after(c, 5.0))
        .missing("a shop without that limit", |c| {
            taken::limit(c, "purge-volumes")
        }),
        hydrogen(
            "purge-before-fuel-weak",
            "one flow purge of 5 volumes instead of two pump-downs",
            |c| purged_before(c, 5.0),
        )
        .weighs(Stop)
        .inside("6.1 volumes instead", |c| purged_before(c, 6.1))
        .missing("a shop without that limit", |c| {
            taken::limit(c, "oxygen-before-fuel")
        }),
        hydrogen(
            "purge-before-air-weak",
            "5 volumes instead of 10 after the hydrogen",
            |c| purged_after(c, 5.0),
        )
        .weighs(Stop)
        .inside("9.3 volumes instead", |c| purged_after(c, 9.3))
        .missing("a shop without that limit", |c| {
            taken::limit(c, "fuel-before-air")
        }),
        hydrogen(
            "air-into-fuel",
            "pumped to 500 mbar of hydrogen and filled up with air",
            |c| air_after(c, 500.0),
        )
        .with(&[
            "air-left-on-heating",
            "hydrogen-without-flow",
            "hydrogen-without-purge-after",
            "purge-before-air-weak",
        ])
        .weighs(Stop)
        .inside("pumped to 10 mbar", |c| air_after(c, 10.0))
        .missing("a shop without that limit", |c| {
            taken::limit(c, "fuel-before-air")
        }),
        hydrogen(
            "safety-record-loosened",
            "hydrogen that is said not to burn",
            |c| {
                let record = c.catalogue_mut().gases.get_mut("hydrogen").unwrap();
                Arc::make_mut(&mut record.1).nature = GasNature::Inert;
            },
        )
        .lapses(&["gas-supply-short"])
        .weighs(Stop)
        .inside("another gas that nobody says burns", |c| {
            let record = c.catalogue_mut().gases.get_mut("argon").unwrap();
            Arc::make_mut(&mut record.1).name = "argon 5.0".to_owned();
        })
        .never_missing("a gas without a record is another check's"),
        hydrogen("hydrogen-without-burn-off", "no flame", |c| {
            without(c, 0, |k| *k == EventKind::BurnOffOn);
        })
        .weighs(Stop)
        .no_between("the flame is on or off")
        .missing("the gas's record taken out", |c| taken::gas(c, "hydrogen")),
        hydrogen(
            "hydrogen-event-mismatch",
            "argon in one segment while hydrogen is switched on",
            |c| c.profile().segments[2].gas = Some("argon".to_owned()),
        )
        .weighs(Stop)
        .no_between("hydrogen is switched on or off")
        .missing("the gas's record taken out", |c| taken::gas(c, "hydrogen")),
        hydrogen(
            "flame-off-before-hydrogen-off",
            "the flame goes off one segment early",
            |c| {
                without(c, 6, |k| *k == EventKind::BurnOffOff);
                c.profile().segments[5].events = vec![event(EventKind::BurnOffOff)];
            },
        )
        .weighs(Stop)
        .no_between("the flame is on or off")
        .missing("the gas's record taken out", |c| taken::gas(c, "hydrogen")),
        hydrogen(
            "purge-after-hydrogen-on",
            "a flow purge more, after hydrogen is switched on",
            |c| {
                let purge = event(EventKind::PurgeInert { volumes: 5.0 });
                c.profile().segments[0].events.push(purge);
            },
        )
        .weighs(Stop)
        .no_between("hydrogen is switched on or off")
        .missing("the gas's record taken out", |c| taken::gas(c, "hydrogen")),
        hydrogen("purge-reserve-short", "no gas kept back", |c| {
            for gas in &mut c.state().gases {
                gas.reserve_m3_25c = 0.0;
            }
        })
        .weighs(Stop)
        .inside("0.3 m³ of argon kept back, which is 5 volumes", |c| {
            for gas in &mut c.state().gases {
                gas.reserve_m3_25c = if gas.gas == "argon" { 0.3 } else { 0.0 };
            }
        })
        .missing("no gas on record", |c| c.state().gases.clear()),
        argon(
            "solvent-on-parts",
            "the lot comes brown from the bath",
            |c| {
                c.lot().enters = MassState::Brown;
            },
        )
        .weighs(Stop)
        .inside("two hours in the dryer", |c| {
            c.lot().dried_min = Some(120.0)
        })
        .missing("the feedstock's record taken out", taken::feedstock),
        argon(
            "safety-limit-loosened",
            "a shop that unloads at 300 °C by its own limit",
            |c| c.limit("unload-max").value = 300.0,
        )
        .weighs(Stop)
        .inside("one that unloads at 79 °C", |c| {
            c.limit("unload-max").value = 79.0
        })
        .never_missing("a limit that nobody set is said by the check that goes by it"),
        argon(
            "limit-loosened",
            "a shop that cools plates at 10.1 K/min by its own limit",
            |c| cools_plates(c, 10.1),
        )
        .weighs(Note)
        .inside("one that cools them at 10 K/min", |c| cools_plates(c, 10.0))
        .never_missing("a limit that nobody set is said by the check that goes by it"),
        argon("unload-too-hot", "unloaded at 81 °C", |c| {
            c.profile().unload_c = 81.0;
        })
        .weighs(Stop)
        .inside("unloaded at 80 °C", |c| c.profile().unload_c = 80.0)
        .missing("a shop without that limit", |c| {
            taken::limit(c, "unload-max")
        }),
        argon("unload-not-last", "a pump-down after unloading", |c| {
            at_end(c, 5, EventKind::Unload);
            at_end(c, 5, EventKind::PumpDown { to_mbar: 1.0 });
        })
        .weighs(Stop)
        .inside("a look by the operator after unloading", |c| {
            at_end(c, 5, EventKind::Unload);
            at_end(c, 5, EventKind::OperatorCheck);
        })
        .never_missing("every plan has its profile"),
        row(
            "inert-gas-entry",
            bases::vacuum_to_the_door,
            "a purge with inert gas in a run in vacuum",
            |c| {
                at_end(c, 5, EventKind::PurgeInert { volumes: 5.0 });
            },
        )
        .weighs(Note)
        .no_between("a gas is let in or none is")
        .missing("a gas that no record describes", |c| {
            c.profile().segments[0].gas = Some("no-such-gas".to_owned());
        }),
        argon(
            "over-temperature-not-declared",
            "nobody declares the cut-out",
            |c| {
                c.plan
                    .declarations
                    .retain(|d| d.question != OVER_TEMPERATURE);
            },
        )
        .lapses(&[
            "over-temperature-above-furnace",
            "over-temperature-below-peak",
            "over-temperature-set-high",
            "over-temperature-set-low",
        ])
        .weighs(Caution)
        .no_between("somebody declared it or nobody did")
        .never_missing("that it is missing is what it finds"),
        argon(
            "over-temperature-set-low",
            "cut-out 14 K above the peak",
            |c| {
                c.plan.declarations[0].answer = "1374".to_owned();
            },
        )
        .weighs(Caution)
        .inside("cut-out 15 K above the peak", |c| {
            c.plan.declarations[0].answer = "1375".to_owned()
        })
        .missing("nobody declares the cut-out", |c| {
            taken::answer(c, OVER_TEMPERATURE)
        }),
        argon(
            "over-temperature-set-high",
            "cut-out 31 K above the peak",
            |c| {
                c.plan.declarations[0].answer = "1391".to_owned();
            },
        )
        .weighs(Caution)
        .inside("cut-out 30 K above the peak", |c| {
            c.plan.declarations[0].answer = "1390".to_owned()
        })
        .missing("nobody declares the cut-out", |c| {
            taken::answer(c, OVER_TEMPERATURE)
        }),
        argon(
            "titanium-dust",
            "brackets of titanium instead of 316L",
            |c| *c = bases::titanium(),
        )
        .weighs(Caution)
        .no_between("titanium or another metal")
        .missing("the alloy's record taken out", |c| taken::alloy(c, "316l")),
    ]
}
