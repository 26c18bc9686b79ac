//! Pressure and flow.

use super::bases::event;
use super::{Row, argon, hydrogen};
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
        .with(&["sweep-too-low"]),
        hydrogen("hydrogen-below-air", "hydrogen at 500 mbar", |c| {
            c.profile().segments[2].pressure_mbar = Some(500.0);
        }),
        hydrogen("hydrogen-without-flow", "no flow while it cools", |c| {
            c.profile().segments[5].flow_l_min_25c = 0.0;
        }),
        argon("vacuum-at-the-door", "8 mbar at the end", |c| {
            c.profile().segments[5].pressure_mbar = Some(8.0);
        }),
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
        ),
    ]
}
