//! Pressure and flow against what is done to the furnace.

use crate::fixture::{Case, found, measured, not_evaluated, passes};
use crate::mutation_table::bases;
use setterwright::catalogue::Severity::{Caution, Stop};
use setterwright::profile::{Event, EventAt, EventKind};
use setterwright::review::Finding;

fn event(kind: EventKind) -> Event {
    Event {
        at: EventAt::Start,
        kind,
    }
}

fn in_hydrogen(slug: &str, spoil: impl FnOnce(&mut Case)) -> Vec<Finding> {
    let mut case = bases::hydrogen();
    spoil(&mut case);
    case.says(slug).0
}

/// The furnace holds 60 L. Air is 20.95 % oxygen.
#[test]
fn air_is_out_before_it_heats() {
    let slug = "air-left-on-heating";
    // At 50 mbar a twentieth of the air is left before the sweep does its part.
    passes(slug, |_| {});
    let still = |mbar: f64| {
        move |c: &mut Case| {
            for segment in &mut c.profile().segments[..2] {
                segment.pressure_mbar = Some(mbar);
                segment.flow_l_min_25c = 0.0;
            }
        }
    };
    // 1 % of an atmosphere of oxygen is 1 % / 20.95 % x 1013.25 = 48.4 mbar of air.
    passes(slug, still(48.0));
    found(slug, Caution, still(49.0));
    // Most of the air still there is a run in air.
    measured(slug, Stop, "20.95 %", still(1013.25));
    // A flow purge of N volumes leaves exp(-N/2): 6.08 volumes for 1 %.
    let purged = |volumes: f64| {
        move |c: &mut Case| {
            still(1013.25)(c);
            let purge = event(EventKind::PurgeInert { volumes });
            c.profile().segments[0].events.push(purge);
        }
    };
    passes(slug, purged(6.1));
    found(slug, Caution, purged(6.0));
    // Pumped and filled again: 50/1000 of the air.
    passes(slug, |c| {
        still(1000.0)(c);
        let fill = EventKind::Backfill {
            gas: "argon".to_owned(),
            to_mbar: 1000.0,
        };
        let events = [event(EventKind::PumpDown { to_mbar: 40.0 }), event(fill)];
        c.profile().segments[0].events.extend(events);
    });
    for id in ["air-out-by", "oxygen-on-heating", "purge-mixing"] {
        not_evaluated(slug, id, |c| {
            c.catalogue_mut().limits.retain(|l| l.id != id)
        });
    }
}

#[test]
fn hydrogen_stays_above_the_air_and_flows() {
    let pressure = |mbar: f64| {
        in_hydrogen("hydrogen-below-air", |c| {
            c.profile().segments[2].pressure_mbar = Some(mbar);
        })
    };
    assert!(pressure(1000.0).is_empty());
    let below = pressure(999.0);
    assert!(below[0].safety && below[0].severity == Stop);
    let flow = |flow: f64| {
        in_hydrogen("hydrogen-without-flow", |c| {
            c.profile().segments[2].flow_l_min_25c = flow;
        })
    };
    assert!(flow(1.0).is_empty());
    assert!(flow(0.9)[0].safety);
}

#[test]
fn nothing_is_taken_out_of_a_vacuum() {
    let slug = "vacuum-at-the-door";
    let last = |mbar: Option<f64>| move |c: &mut Case| c.profile().segments[5].pressure_mbar = mbar;
    passes(slug, last(Some(700.0)));
    passes(slug, last(None));
    found(slug, Caution, last(Some(699.0)));
    // Neither gas nor pressure: as far as the pump goes, unless somebody let gas in before.
    let pumped = |c: &mut Case| {
        let segment = &mut c.profile().segments[5];
        (segment.gas, segment.flow_l_min_25c, segment.pressure_mbar) = (None, 0.0, None);
    };
    found(slug, Caution, pumped);
    passes(slug, |c| {
        pumped(c);
        let fill = EventKind::Backfill {
            gas: "argon".to_owned(),
            to_mbar: 1000.0,
        };
        c.profile().segments[5].events.push(event(fill));
    });
    // Filled at the end it may be opened.
    passes(slug, |c| {
        last(Some(10.0))(c);
        c.profile().segments[5].events.push(Event {
            at: EventAt::End,
            kind: EventKind::Backfill {
                gas: "argon".to_owned(),
                to_mbar: 1000.0,
            },
        });
    });
}

#[test]
fn a_segment_does_not_undo_its_event() {
    let slug = "event-undone-by-segment";
    let filled = |to_mbar: f64| {
        move |c: &mut Case| {
            let gas = "argon".to_owned();
            let fill = event(EventKind::Backfill { gas, to_mbar });
            c.profile().segments[3].events.push(fill);
        }
    };
    // The segment holds 50 mbar.
    passes(slug, filled(100.0));
    found(slug, Caution, filled(101.0));
}
