//! Pressure and flow.

use super::bases::event;
use super::{Row, argon, hydrogen, taken};
use setterwright::catalogue::Severity::{Caution, Stop};
use setterwright::profile::EventKind;

pub fn rows() -> Vec<Row> {
    vec![
        argon(
            "air-left-on-heating",
            "1000 mbar and no sweep on the way up",
            |c| {
                for segment in &mut c.profile().segments[..2] {
                    segment.pressure_mbar = Some(1000.0);
                    segment.flow_l_min_25c = 0.0;
                }
            },
        )
        .with(&["sweep-too-low"])
        .weighs(Stop)
        .inside("the same with a sweep of 2.1 L/min", |c| {
            for segment in &mut c.profile().segments[..2] {
                segment.pressure_mbar = Some(1000.0);
                segment.flow_l_min_25c = 2.1;
            }
        })
        .missing("the furnace's record taken out", taken::furnace),
        hydrogen("hydrogen-below-air", "hydrogen at 500 mbar", |c| {
            c.profile().segments[2].pressure_mbar = Some(500.0);
        })
        .weighs(Stop)
        .inside("hydrogen at 1000 mbar", |c| {
            c.profile().segments[2].pressure_mbar = Some(1000.0)
        })
        .missing("500 mbar of a gas that no record describes", |c| {
            c.profile().segments[2].pressure_mbar = Some(500.0);
            taken::gas(c, "hydrogen");
        }),
        hydrogen("hydrogen-without-flow", "no flow while it cools", |c| {
            c.profile().segments[5].flow_l_min_25c = 0.0;
        })
        .weighs(Stop)
        .inside("1 L/min while it cools", |c| {
            c.profile().segments[5].flow_l_min_25c = 1.0
        })
        .missing("no flow of a gas that no record describes", |c| {
            c.profile().segments[5].flow_l_min_25c = 0.0;
            taken::gas(c, "hydrogen");
        }),
        argon("vacuum-at-the-door", "8 mbar at the end", |c| {
            c.profile().segments[5].pressure_mbar = Some(8.0);
        })
        .weighs(Caution)
        .inside("700 mbar at the end", |c| {
            c.profile().segments[5].pressure_mbar = Some(700.0)
        })
        .missing(
            "a vacuum at the end of which nobody knows how deep it is",
            |c| {
                let last = &mut c.profile().segments[5];
                (last.gas, last.flow_l_min_25c, last.pressure_mbar) = (None, 0.0, None);
                c.furnace().ultimate_mbar = None;
            },
        ),
        argon(
            "event-undone-by-segment",
            "a backfill to 800 mbar at 50",
            |c| {
                let fill = EventKind::Backfill {
                    gas: "argon".to_owned(),
                    to_mbar: 800.0,
                };
                c.profile().segments[3].events.push(event(fill));
            },
        )
        .weighs(Caution)
        .inside("a backfill to 100 mbar at 50", |c| {
            let to_mbar = 100.0;
            let gas = "argon".to_owned();
            let fill = EventKind::Backfill { gas, to_mbar };
            c.profile().segments[3].events.push(event(fill));
        })
        .never_missing(
            "every segment has its events, and without a pressure of its own it undoes none",
        ),
    ]
}
