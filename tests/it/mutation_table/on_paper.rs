//! Papers of shop, furnace and lots against each other and the run.

use super::lots::without_lot;
use super::{Row, argon, taken};
use crate::fixture::{Case, PER_LEVEL};
use setterwright::catalogue::FirstStep;
use setterwright::catalogue::Severity::{Caution, Note, Stop};
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

fn catalytic(c: &mut Case) {
    let id = c.feedstock().binder.clone();
    let record = c.catalogue_mut().binders.get_mut(&id).unwrap();
    Arc::make_mut(&mut record.1).first_step = FirstStep::Catalytic { front_mm_h: 1.5 };
}

pub fn rows() -> Vec<Row> {
    vec![
        argon(
            "over-temperature-below-peak",
            "cut-out 20 K below the peak",
            |c| cut_out(c, "1340"),
        )
        .weighs(Stop)
        .inside("cut-out at the peak", |c| cut_out(c, "1360"))
        .missing("nobody declares the cut-out", |c| {
            taken::answer(c, "over-temperature-set")
        }),
        argon(
            "over-temperature-above-furnace",
            "cut-out 1 K above the furnace",
            |c| cut_out(c, "1451"),
        )
        .with(&["over-temperature-set-high"])
        .weighs(Stop)
        .inside("cut-out at the furnace's highest", |c| cut_out(c, "1450"))
        .missing("nobody declares the cut-out", |c| {
            taken::answer(c, "over-temperature-set")
        }),
        argon(
            "acid-not-purged",
            "a catalytic first step without purge",
            |c| {
                catalytic(c);
                c.lot().acid_purged = Some(false);
            },
        )
        .lapses(&["bath-and-weighing-disagree"])
        .weighs(Stop)
        .no_between("somebody purged it or nobody did")
        .missing("catalytic pieces of no lot", |c| {
            catalytic(c);
            without_lot(c, 2 * PER_LEVEL);
        }),
        argon(
            "dryer-not-ventilated",
            "hexane in a dryer without ventilation",
            |c| c.lot().dryer_ventilated = Some(false),
        )
        .weighs(Stop)
        .no_between("a dryer is ventilated or not")
        .missing("pieces of no lot", |c| without_lot(c, 2 * PER_LEVEL)),
        argon(
            "thermocouple-type-changed",
            "type B in the roof instead of C",
            |c| {
                let mut all = c.state().sensors.iter_mut();
                let sensor = all.find(|s| s.slot == "monitor-roof").unwrap();
                sensor.kind = "B".to_owned();
                sensor.logger_kind = Some("B".to_owned());
            },
        )
        .weighs(Caution)
        .no_between("a type or another one")
        .missing("the furnace's record taken out", taken::furnace),
        argon(
            "survey-without-spread",
            "a setpoint at which nothing differs",
            |c| {
                let points = &mut c.state().survey.as_mut().unwrap().points;
                (points[0].hottest_k, points[0].coldest_k) = (0.0, 0.0);
            },
        )
        .weighs(Caution)
        .inside("one place is a tenth of a kelvin off", |c| {
            let points = &mut c.state().survey.as_mut().unwrap().points;
            (points[0].hottest_k, points[0].coldest_k) = (0.1, 0.0);
        })
        .missing("nothing of a survey", |c| c.state().survey = None),
        argon("survey-above-furnace", "a survey up to 2480", |c| {
            c.state()
                .survey
                .as_mut()
                .unwrap()
                .points
                .last_mut()
                .unwrap()
                .setpoint_c = 2480.0;
        })
        .weighs(Stop)
        .inside("a survey up to 1450", |c| {
            c.state()
                .survey
                .as_mut()
                .unwrap()
                .points
                .last_mut()
                .unwrap()
                .setpoint_c = 1450.0
        })
        .missing("the furnace's record taken out", taken::furnace),
        argon("survey-beyond-class", "class 2 with 8 K", |c| {
            c.state().survey.as_mut().unwrap().class = Some(2);
        })
        .weighs(Caution)
        .inside("class 3 with 8 K", |c| {
            c.state().survey.as_mut().unwrap().class = Some(3)
        })
        .missing("a class that no standard knows", |c| {
            c.state().survey.as_mut().unwrap().class = Some(9)
        }),
        argon(
            "soak-waits-for-no-thermocouple",
            "no tip in the load",
            |c| no_tips(c, 2),
        )
        .weighs(Stop)
        .no_between("a tip is in the load or none is")
        .missing("the furnace's record taken out", taken::furnace),
        argon("soak-leaves-thermocouples-out", "one tip of two", |c| {
            no_tips(c, 1)
        })
        .weighs(Note)
        .no_between("a tip is in the load or not")
        .missing("the furnace's record taken out", taken::furnace),
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
            "survey-without-spread",
            "thermocouple-type-mismatch",
            "trap-nearly-full",
            "trap-never-emptied",
            "trap-not-emptied",
            "trap-over-full",
        ])
        .weighs(Caution)
        .no_between("the state tells of the furnace or not")
        .missing("no state of the shop", |c| c.shop = None),
        argon(
            "lot-times-disagree",
            "three hours between bath and start",
            |c| {
                c.lot().bath.as_mut().unwrap().ended = Some("2026-11-24 03:00".to_owned());
            },
        )
        .with(&["solvent-on-parts"])
        .weighs(Caution)
        .inside("four hours, of which four in the dryer", |c| {
            c.lot().bath.as_mut().unwrap().ended = Some("2026-11-24 02:00".to_owned())
        })
        .missing("no end of the bath", |c| {
            c.lot().bath.as_mut().unwrap().ended = None
        }),
        argon("dried-very-long", "ten days in the dryer", |c| {
            c.lot().dried_min = Some(14_400.0);
        })
        .with(&["lot-times-disagree", "solvent-on-parts"])
        .weighs(Caution)
        .inside("seven days in the dryer", |c| {
            c.lot().dried_min = Some(10_080.0)
        })
        .missing("a shop without that limit", |c| {
            taken::limit(c, "dry-time-max")
        }),
        argon("bath-of-other-solvent", "a bath of cyclohexane", |c| {
            c.lot().bath.as_mut().unwrap().solvent = Some("cyclohexane".to_owned());
        })
        .lapses(&["bath-and-weighing-disagree"])
        .weighs(Caution)
        .inside("a bath of the same by another name", |c| {
            c.lot().bath.as_mut().unwrap().solvent = Some("n-Hexane, technical".to_owned())
        })
        .missing("the binder's record taken out", taken::binder),
        argon(
            "debinding-not-evaluated",
            "a lot that enters sintered",
            |c| {
                let lot = c.lot();
                lot.enters = MassState::Sintered;
                (lot.bath, lot.dry_g, lot.previous_dry_g) = (None, None, None);
            },
        )
        .weighs(Note)
        .no_between("it enters sintered or not")
        .never_missing("every lot says how it enters"),
    ]
}
