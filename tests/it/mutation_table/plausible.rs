//! Figures that cannot be so.

use super::{Row, argon};

pub fn rows() -> Vec<Row> {
    vec![
        argon(
            "lot-record-disagrees",
            "green weighed after the end of the bath",
            |c| {
                c.lot().green_at = Some("2026-11-23 09:00".to_owned());
            },
        ),
        argon("bath-too-hot", "a bath of 75 °C", |c| {
            c.lot().bath.as_mut().unwrap().temp_c = Some(75.0);
        }),
        argon("dryer-too-hot", "a dryer of 400 °C", |c| {
            c.lot().dryer_c = Some(400.0);
        }),
        argon("dryer-air-short", "a dryer that moves 100 L/h", |c| {
            c.shop_mut().dryer_air_m3_h = Some(0.1);
        }),
        argon(
            "pressure-above-furnace",
            "50 bar instead of 50 mbar while cooling",
            |c| {
                c.profile().segments[5].pressure_mbar = Some(50_000.0);
            },
        ),
        argon(
            "record-of-days-to-come",
            "the trap emptied after the start",
            |c| {
                c.state().trap_emptied = Some("2026-11-26".to_owned());
            },
        ),
        argon(
            "section-stated-far-thinner",
            "0.1 mm stated for a section of 5.9 mm",
            |c| {
                c.part().section_mm = Some(0.1);
            },
        ),
    ]
}
