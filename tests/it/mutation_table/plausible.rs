//! Figures that cannot be so.

use super::parts::{without_feedstock, without_limit};
use super::{Row, argon};
use setterwright::catalogue::Severity;

pub fn rows() -> Vec<Row> {
    vec![
        argon(
            "lot-record-disagrees",
            "green weighed after the end of the bath",
            |c| {
                c.lot().green_at = Some("2026-11-23 09:00".to_owned());
            },
        )
        .weighs(Severity::Caution)
        .inside("weighed at the end of the bath", |c| {
            c.lot().green_at = Some("2026-11-23 08:00".to_owned())
        })
        .missing("the feedstock's record taken out", without_feedstock),
        argon("bath-too-hot", "a bath of 75 °C", |c| {
            c.lot().bath.as_mut().unwrap().temp_c = Some(75.0);
        })
        .weighs(Severity::Caution)
        .inside("a bath of 59.5 °C", |c| {
            c.lot().bath.as_mut().unwrap().temp_c = Some(59.5)
        })
        .missing("a bath of which nobody noted the temperature", |c| {
            c.lot().bath.as_mut().unwrap().temp_c = None
        }),
        argon("dryer-too-hot", "a dryer of 400 °C", |c| {
            c.lot().dryer_c = Some(400.0);
        })
        .weighs(Severity::Caution)
        .inside("a dryer of 79.5 °C", |c| c.lot().dryer_c = Some(79.5))
        .missing("a dryer of which nobody noted the temperature", |c| {
            c.lot().dryer_c = None
        }),
        argon("dryer-air-short", "a dryer that moves 100 L/h", |c| {
            c.shop_mut().dryer_air_m3_h = Some(0.1);
        })
        .weighs(Severity::Stop)
        .inside("a dryer that moves 184 L/h", |c| {
            c.shop_mut().dryer_air_m3_h = Some(0.184)
        })
        .missing("a dryer of which nobody knows what it moves", |c| {
            c.shop_mut().dryer_air_m3_h = None
        }),
        argon(
            "pressure-above-furnace",
            "50 bar instead of 50 mbar while cooling",
            |c| {
                c.profile().segments[5].pressure_mbar = Some(50_000.0);
            },
        )
        .weighs(Severity::Stop)
        .inside("1099 mbar while cooling", |c| {
            c.profile().segments[5].pressure_mbar = Some(1099.0)
        })
        .missing("a furnace of which nobody knows what it bears", |c| {
            c.furnace().pressure_max_mbar = None;
            c.profile().segments[5].pressure_mbar = Some(1200.0);
        }),
        argon(
            "record-of-days-to-come",
            "the trap emptied after the start",
            |c| {
                c.state().trap_emptied = Some("2026-11-26".to_owned());
            },
        )
        .weighs(Severity::Caution)
        .inside("the trap emptied on the day of the start", |c| {
            c.state().trap_emptied = Some("2026-11-24".to_owned())
        })
        .missing("no day of the start", |c| c.plan.planned_start = None),
        argon(
            "section-stated-far-thinner",
            "0.1 mm stated for a section of 5.9 mm",
            |c| {
                c.part().section_mm = Some(0.1);
            },
        )
        .weighs(Severity::Stop)
        .inside("2.96 mm stated for a section of 5.89 mm", |c| {
            c.part().section_mm = Some(2.96)
        })
        .missing("nobody has set the limit", |c| {
            c.part().section_mm = Some(0.1);
            without_limit(c, "section-stated-share");
        }),
    ]
}
