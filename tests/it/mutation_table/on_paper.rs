//! Papers of shop, furnace and lots against each other and the run.

use super::{Row, argon};
use crate::fixture::Case;
use setterwright::catalogue::FirstStep;
use setterwright::load::Item;
use setterwright::part::MassState;
use std::sync::Arc;

fn cut_out(case: &mut Case, answer: &str) {
    answer.clone_into(&mut case.plan.declarations[0].answer);
}

fn no_tips(case: &mut Case, levels: usize) {
    for level in 0..levels {
        let placements = &mut case.level(level).placements;
        placements.retain(|p| !matches!(p.item, Item::Sensor { .. }));
    }
}

pub fn rows() -> Vec<Row> {
    vec![
        argon(
            "over-temperature-below-peak",
            "cut-out 20 K below the peak",
            |c| cut_out(c, "1340"),
        ),
        argon(
            "over-temperature-above-furnace",
            "cut-out 1 K above the furnace",
            |c| cut_out(c, "1451"),
        )
        .with(&["over-temperature-set-high"]),
        argon(
            "acid-not-purged",
            "a catalytic first step without purge",
            |c| {
                let id = c.feedstock().binder.clone();
                let record = c.catalogue_mut().binders.get_mut(&id).unwrap();
                Arc::make_mut(&mut record.1).first_step = FirstStep::Catalytic { front_mm_h: 1.5 };
                c.lot().acid_purged = Some(false);
            },
        ),
        argon(
            "dryer-not-ventilated",
            "hexane in a dryer without ventilation",
            |c| c.lot().dryer_ventilated = Some(false),
        ),
        argon(
            "thermocouple-type-changed",
            "type B in the roof instead of C",
            |c| {
                let mut all = c.state().sensors.iter_mut();
                let sensor = all.find(|s| s.slot == "monitor-roof").unwrap();
                sensor.kind = "B".to_owned();
                sensor.logger_kind = Some("B".to_owned());
            },
        ),
        argon("survey-above-furnace", "a survey up to 2480", |c| {
            c.state().survey.as_mut().unwrap().points[3].setpoint_c = 2480.0;
        }),
        argon("survey-beyond-class", "class 2 with 8 K", |c| {
            c.state().survey.as_mut().unwrap().class = Some(2);
        }),
        argon(
            "soak-waits-for-no-thermocouple",
            "no tip in the load",
            |c| no_tips(c, 2),
        ),
        argon("soak-leaves-thermocouples-out", "one tip of two", |c| {
            no_tips(c, 1)
        }),
        argon(
            "furnace-not-in-shop-state",
            "the state of the furnace taken out",
            |c| {
                let id = c.plan.load.furnace.clone();
                c.shop_mut().furnaces.retain(|s| s.furnace != id);
            },
        )
        .lapses(&[
            "calibration-due",
            "dew-point-high",
            "dew-point-stale",
            "dew-point-too-high",
            "gas-supply-short",
            "leak-rate-high",
            "leak-test-old",
            "no-setpoint-exists",
            "peak-above-usable-setpoints",
            "peak-below-usable-setpoints",
            "peak-near-solidus",
            "previous-load-incompatible",
            "record-of-days-to-come",
            "repaired-since-survey",
            "setter-temperature",
            "soak-band-below-survey-spread",
            "survey-does-not-cover-peak",
            "survey-missing",
            "survey-out-of-date",
            "thermocouple-type-mismatch",
            "trap-nearly-full",
            "trap-never-emptied",
            "trap-not-emptied",
            "trap-over-full",
        ]),
        argon(
            "lot-times-disagree",
            "three hours between bath and start",
            |c| {
                c.lot().bath.as_mut().unwrap().ended = Some("2026-11-24 03:00".to_owned());
            },
        )
        .with(&["solvent-on-parts"]),
        argon("dried-very-long", "ten days in the dryer", |c| {
            c.lot().dried_min = Some(14_400.0);
        })
        .with(&["lot-times-disagree", "solvent-on-parts"]),
        argon("bath-of-other-solvent", "a bath of cyclohexane", |c| {
            c.lot().bath.as_mut().unwrap().solvent = Some("cyclohexane".to_owned());
        }),
        argon(
            "debinding-not-evaluated",
            "a lot that enters sintered",
            |c| {
                let lot = c.lot();
                lot.enters = MassState::Sintered;
                (lot.bath, lot.dry_g, lot.previous_dry_g) = (None, None, None);
            },
        ),
    ]
}
