//! What stands in the furnace: what is named and does not flow drives nothing out, a gas of oxygen
//! drives no air out, and what was let in is not air. Shares by hand, from ratios of pressures
//! (ideal gas) and exp(-K·N) of a mixed vessel.

use crate::fixture::{Case, clean, found, measured, not_evaluated, passes};
use crate::mutation_table::bases;
use setterwright::catalogue::Severity::{Caution, Stop};
use setterwright::catalogue::{Gas, GasNature, GasRule};
use setterwright::profile::EventAt::{End, Start};
use setterwright::profile::{Event, EventAt, EventKind};
use std::sync::Arc;

const AIR: &str = "air-left-on-heating";

fn pump(to_mbar: f64) -> EventKind {
    EventKind::PumpDown { to_mbar }
}

fn fill(gas: &str, to_mbar: f64) -> EventKind {
    let gas = gas.to_owned();
    EventKind::Backfill { gas, to_mbar }
}

/// A segment's gas (none, or argon with a flow), pressure and events.
struct Row(Option<f64>, Option<f64>, Vec<(EventAt, EventKind)>);

/// The clean plan by rows, the last of which goes on to the end.
fn run(case: &mut Case, rows: Vec<Row>) {
    for (i, segment) in case.profile().segments.iter_mut().enumerate() {
        let row = rows.get(i).or(rows.last()).unwrap();
        segment.gas = row.0.map(|_| "argon".to_owned());
        segment.flow_l_min_25c = row.0.unwrap_or(0.0);
        segment.pressure_mbar = row.1;
        let events = row.2.iter().filter(|_| i < rows.len());
        let event = |(at, kind): &(EventAt, EventKind)| Event {
            at: *at,
            kind: kind.clone(),
        };
        segment.events = events.map(event).collect();
    }
}

fn filled(mbar: f64) -> Vec<(EventAt, EventKind)> {
    vec![(Start, pump(0.1)), (Start, fill("argon", mbar))]
}

/// What was let in is there, whatever is named, pumped in part or flowed for a while.
#[test]
fn what_was_let_in_is_no_air() {
    let none = Vec::new;
    let loads: Vec<(&str, Vec<Row>)> = vec![
        (
            "named and still, then not named",
            vec![
                Row(None, Some(800.0), filled(800.0)),
                Row(Some(0.0), Some(800.0), none()),
                Row(None, Some(800.0), none()),
            ],
        ),
        (
            "a little flow, then still",
            vec![
                Row(None, Some(1013.0), filled(1013.0)),
                Row(Some(0.1), Some(1013.0), none()),
                Row(None, Some(1013.0), none()),
            ],
        ),
        (
            "named over a vacuum, then still",
            vec![
                Row(None, Some(0.1), vec![(Start, pump(0.1))]),
                Row(Some(0.0), Some(300.0), none()),
                Row(None, Some(300.0), none()),
            ],
        ),
        (
            "pumped down in part",
            vec![
                Row(None, Some(1000.0), filled(1000.0)),
                Row(None, Some(300.0), vec![(Start, pump(300.0))]),
            ],
        ),
        (
            "a flow at less than the air's pressure",
            vec![
                Row(None, Some(0.1), vec![(Start, pump(0.1))]),
                Row(Some(0.6), Some(300.0), none()),
                Row(None, Some(300.0), none()),
            ],
        ),
        (
            "let in at the end of a segment",
            vec![
                Row(
                    None,
                    None,
                    vec![(End, pump(0.1)), (End, fill("argon", 1000.0))],
                ),
                Row(Some(10.0), Some(1000.0), none()),
            ],
        ),
        ("a pump by itself", vec![Row(None, None, none())]),
    ];
    for (what, rows) in loads {
        let mut case = clean();
        run(&mut case, rows);
        let (findings, missing) = case.says(AIR);
        assert!(
            findings.is_empty() && missing.is_empty(),
            "{what}: {findings:#?}"
        );
    }
    // The lowest of a pump's table is as good as the other figure.
    passes(AIR, |case| {
        run(case, vec![Row(None, None, none())]);
        case.furnace().ultimate_mbar = None;
    });
    // Without a pump the air stays.
    found(AIR, Stop, |case| {
        run(case, vec![Row(None, None, none())]);
        case.furnace().ultimate_mbar = None;
        case.furnace().pump.clear();
    });
    // And so does argon.
    passes(AIR, |case| {
        run(
            case,
            vec![
                Row(Some(10.0), None, none()),
                Row(None, None, none()),
                Row(None, Some(1013.0), none()),
            ],
        );
        case.profile().segments[0].hold_min = 600.0;
        case.furnace().ultimate_mbar = None;
        case.furnace().pump.clear();
    });
}

/// Only what stands above what was let in is air, and no more of it than stands outside.
#[test]
fn air_is_the_difference() {
    let more = |from: f64, to: f64| {
        move |case: &mut Case| {
            let rows = vec![
                Row(None, Some(from), filled(from)),
                Row(None, Some(to), Vec::new()),
            ];
            run(case, rows);
        }
    };
    // (850 - 800 + 0.1 that was left)/1013.25 x 20.95 % = 1.04 %.
    measured(AIR, Caution, "1.04 %", more(800.0, 850.0));
    // (1013.25 - 500 + 0.1)/1013.25 x 20.95 % = 10.61 %.
    measured(AIR, Stop, "10.61 %", more(500.0, 1200.0));
    passes(AIR, more(1000.0, 1100.0));
    passes(AIR, more(900.0, 940.0));
}

/// A little in the first look does not hide a segment full of it.
#[test]
fn air_after_a_first_look_is_told() {
    let mut case = clean();
    run(
        &mut case,
        vec![
            Row(None, Some(60.0), vec![(Start, pump(60.0))]),
            Row(None, Some(1013.0), Vec::new()),
            Row(Some(10.0), Some(50.0), Vec::new()),
        ],
    );
    let (findings, _) = case.says(AIR);
    let said: Vec<_> = findings.iter().map(|f| (f.severity, f.safety)).collect();
    // 60 mbar is 1.24 %; then all of it; later segments have less, and are not told again.
    assert_eq!(said, [(Stop, true), (Caution, false)], "{findings:#?}");
}

/// A gas that is named and does not flow drives no hydrogen out.
#[test]
fn hydrogen_stays_until_something_takes_it_out() {
    let slug = "hydrogen-without-flow";
    let after = |spoil: fn(&mut Case)| {
        let mut case = bases::hydrogen();
        let segments = &mut case.profile().segments;
        let (last, cooling) = (segments[6].clone(), &mut segments[5]);
        cooling.gas = Some("argon".to_owned());
        cooling.flow_l_min_25c = 0.0;
        cooling.pressure_mbar = None;
        // Shut off as it begins to cool; the purge stays where it was.
        cooling.events = last.events[..2].to_vec();
        segments[6].events.drain(..2);
        spoil(&mut case);
        case.says(slug).0
    };
    let still = after(|_| {});
    assert!(still[0].safety && still[0].severity == Stop);
    assert!(after(|c| c.profile().segments[5].flow_l_min_25c = 10.0).is_empty());
    // With a pump it goes where nothing is set; without, it stays.
    let nothing = |c: &mut Case| c.profile().segments[5].gas = None;
    assert!(after(nothing).is_empty());
    let stays = after(|c| {
        c.profile().segments[5].gas = None;
        c.furnace().ultimate_mbar = None;
        c.furnace().pump.clear();
    });
    assert_eq!(stays.len(), 1, "{stays:#?}");
    // Pumped to a tenth of a millibar it is a vacuum.
    assert!(after(|c| c.profile().segments[5].pressure_mbar = Some(0.1)).is_empty());
}

fn flow(case: &mut Case, i: usize, flow: f64) {
    case.profile().segments[i].flow_l_min_25c = flow;
}

/// What is let in counts from its first minute, by its own flow.
#[test]
fn hydrogen_that_is_let_in_without_a_flow_is_told() {
    let slug = "hydrogen-without-flow";
    let run = |change: fn(&mut Case)| {
        let mut case = bases::hydrogen();
        change(&mut case);
        case.says(slug).0.len()
    };
    assert_eq!(run(|_| {}), 0);
    assert_eq!(run(|c| (0..6).for_each(|i| flow(c, i, 0.0))), 6);
    assert_eq!(run(|c| flow(c, 0, 0.9)), 1);
    // A flow of nobody knows what is none.
    assert_eq!(run(|c| c.profile().segments[3].gas = None), 0);
    let still = |c: &mut Case| {
        let segment = &mut c.profile().segments[3];
        (segment.gas, segment.pressure_mbar) = (None, Some(1013.0));
    };
    assert_eq!(run(still), 1);
}

/// Hydrogen that was filled in and then flows is off when it is off.
#[test]
fn the_flame_goes_off_after_hydrogen_that_was_filled_in() {
    let mut case = bases::hydrogen();
    let events = &mut case.profile().segments[0].events;
    let on = events.len() - 1;
    events.insert(
        on,
        Event {
            at: Start,
            kind: fill("hydrogen", 1013.0),
        },
    );
    let (findings, _) = case.says("flame-off-before-hydrogen-off");
    assert_eq!(findings, []);
}

/// A segment that holds a vacuum pumps as an event does; one that only says so does not.
#[test]
fn a_vacuum_before_hydrogen_is_a_pump_down() {
    let slug = "hydrogen-without-purge-before";
    let run = |pumps: bool| {
        let mut case = bases::hydrogen();
        let segments = &mut case.profile().segments;
        let switched: Vec<Event> = segments[0].events.drain(..).collect();
        (segments[0].gas, segments[0].flow_l_min_25c) = (None, 0.0);
        segments[1].events = switched[3..].to_vec();
        if !pumps {
            case.furnace().ultimate_mbar = None;
            case.furnace().pump.clear();
        }
        case.says(slug).0.len()
    };
    assert_eq!(run(true), 0);
    assert_eq!(run(false), 1);
}

/// A gas with a fifth of oxygen, under a name that does not tell it.
fn with_shop_gas(case: &mut Case) {
    let mut gas: Gas = (**case.catalogue.gas("nitrogen").unwrap()).clone();
    gas.id = "works-line".to_owned();
    gas.name = "Works line".to_owned();
    gas.nature = GasNature::Indeterminate;
    gas.nitrogen_share = 0.79;
    gas.oxygen_share = Some(0.21);
    let catalogue = case.catalogue_mut();
    let like = catalogue.gases["nitrogen"].clone();
    catalogue
        .gases
        .insert(gas.id.clone(), (like.0, Arc::new(gas)));
    for (_, alloy) in catalogue.alloys.values_mut() {
        Arc::make_mut(alloy).gases.push(GasRule {
            gas: "works-line".to_owned(),
            from_c: None,
            to_c: None,
            note: String::new(),
        });
    }
}

#[test]
fn a_gas_of_oxygen_drives_no_air_out() {
    // Swept over parts in binder.
    let swept = found(AIR, Stop, |case| {
        with_shop_gas(case);
        for segment in &mut case.profile().segments[..2] {
            segment.gas = Some("works-line".to_owned());
            segment.pressure_mbar = Some(1013.0);
        }
    });
    assert!(swept.safety);
    // Let in for one hot segment, and pumped out in the next.
    let mut once = clean();
    with_shop_gas(&mut once);
    once.profile().segments[2].gas = Some("works-line".to_owned());
    once.profile().segments[2].pressure_mbar = Some(1013.0);
    once.profile().segments[3].events = vec![Event {
        at: Start,
        kind: pump(0.1),
    }];
    let (findings, _) = once.says(AIR);
    assert_eq!(findings.len(), 1, "{findings:#?}");
    assert!(findings[0].severity == Stop && findings[0].safety);
    // Filled in before hydrogen.
    let mut case = bases::hydrogen();
    with_shop_gas(&mut case);
    for event in &mut case.profile().segments[0].events {
        if let EventKind::Backfill { gas, .. } = &mut event.kind {
            *gas = "works-line".to_owned();
        }
    }
    let (findings, _) = case.says("hydrogen-without-purge-before");
    assert!(findings.iter().any(|f| f.severity == Stop && f.safety));
    assert!(
        bases::hydrogen()
            .says("hydrogen-without-purge-before")
            .0
            .is_empty()
    );
}

/// Air that came in after a purge is there when hydrogen comes.
#[test]
fn a_purge_before_air_came_in_is_none() {
    let mut case = bases::hydrogen();
    let segments = &mut case.profile().segments;
    // Purged, then left to the air, then hydrogen.
    let switched: Vec<Event> = segments[0].events.drain(4..).collect();
    segments[0].gas = None;
    segments[0].flow_l_min_25c = 0.0;
    segments[0].events.push(Event {
        at: Start,
        kind: pump(10.0),
    });
    segments[0].pressure_mbar = Some(1013.0);
    segments[1].events = switched;
    let (findings, _) = case.says("hydrogen-without-purge-before");
    assert!(findings.iter().any(|f| f.severity == Stop), "{findings:#?}");
}

/// Which of two inert gases purges nobody says: what stands there is not evaluated.
#[test]
fn a_purge_of_some_gas_is_no_vacuum() {
    not_evaluated("gas-not-allowed-for-alloy", "purge", |case| {
        run(
            case,
            vec![
                Row(
                    None,
                    Some(1013.0),
                    vec![(Start, EventKind::PurgeInert { volumes: 20.0 })],
                ),
                Row(None, Some(1013.0), Vec::new()),
            ],
        );
    });
}

/// Built-in feedstock pointed to a binder whose first step does not burn.
#[test]
fn a_feedstock_pointed_to_another_binder_is_told() {
    let one = found("safety-record-loosened", Stop, |case| {
        case.feedstock().binder = "thermal-only".to_owned();
    });
    assert!(one.safety);
}
