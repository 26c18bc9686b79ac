//! Records: surveys, calibrations, thermocouples, and what is noted.

use super::{Row, argon, bases, row};
use crate::fixture::Case;
use setterwright::catalogue::Severity::{Caution, Note, Stop};
use setterwright::catalogue::Survey;

fn survey(case: &mut Case) -> &mut Survey {
    case.state().survey.as_mut().unwrap()
}

fn sinter(case: &mut Case, from_c: f64, to_c: f64) {
    let range = &mut case.feedstock().sinter;
    (range.from_c, range.to_c) = (from_c, to_c);
}

pub fn rows() -> Vec<Row> {
    vec![
        row(
            "shop-state-invented",
            bases::vacuum,
            "the shop's state marked as invented",
            |c| {
                "invented".clone_into(&mut c.shop_mut().source);
            },
        )
        .weighs(Note)
        .no_between("a shop is invented or it is not")
        .missing("no state of the shop", |c| c.shop = None),
        argon("calibration-due", "a calibration due the day before", |c| {
            c.state().due[0].due = "2026-11-23".to_owned();
        })
        .weighs(Caution)
        .inside("one that is due on the day on which the run ends", |c| {
            c.state().due[0].due = "2026-11-25".to_owned()
        })
        .missing("no calibrations on record", |c| {
            let state = c.state();
            state.due.clear();
            state.calibrations.clear();
        }),
        argon(
            "trap-never-emptied",
            "no day on which the trap was emptied",
            |c| {
                c.state().trap_emptied = None;
            },
        )
        .weighs(Caution)
        .no_between("it was emptied on some day or on none")
        .missing("no state of any furnace", |c| c.shop_mut().furnaces.clear()),
        argon(
            "record-differs-from-file",
            "a setter that differs from the file's",
            |c| {
                c.differences = vec![("setter".to_owned(), "alumina-square-200x6".to_owned())];
            },
        )
        .weighs(Note)
        .no_between("a record is the file's or another one")
        .never_missing("a load of which no file is at hand differs from none"),
        argon("survey-missing", "no survey", |c| c.state().survey = None)
            .lapses(&[
                "no-setpoint-exists",
                "peak-above-usable-setpoints",
                "peak-below-usable-setpoints",
                "peak-near-solidus",
                "setter-temperature",
                "soak-band-below-survey-spread",
                "survey-does-not-cover-peak",
                "survey-out-of-date",
                "survey-without-spread",
            ])
            .weighs(Caution)
            .no_between("there is a survey or none")
            .missing("no state of any furnace", |c| c.shop_mut().furnaces.clear()),
        argon("survey-out-of-date", "a survey due the day before", |c| {
            survey(c).due = "2026-11-23".to_owned();
        })
        .lapses(&[
            "no-setpoint-exists",
            "peak-above-usable-setpoints",
            "peak-below-usable-setpoints",
            "peak-near-solidus",
            "setter-temperature",
        ])
        .weighs(Caution)
        .inside(
            "a survey that is due on the day on which the run ends",
            |c| survey(c).due = "2026-11-25".to_owned(),
        )
        .missing("no survey", |c| c.state().survey = None),
        argon(
            "survey-does-not-cover-peak",
            "a survey that ends below 1350 °C",
            |c| {
                survey(c).points.retain(|p| p.setpoint_c < 1350.0);
            },
        )
        .lapses(&[
            "no-setpoint-exists",
            "peak-above-usable-setpoints",
            "peak-below-usable-setpoints",
            "peak-near-solidus",
            "setter-temperature",
            "soak-band-below-survey-spread",
        ])
        .weighs(Stop)
        .inside("a survey that ends 1 K above the peak", |c| {
            survey(c).points.last_mut().unwrap().setpoint_c = 1361.0
        })
        .missing("no survey", |c| c.state().survey = None),
        argon("no-setpoint-exists", "a sinter range of 15 K", |c| {
            sinter(c, 1345.0, 1360.0)
        })
        .weighs(Stop)
        .inside("a sinter range of 17 K", |c| sinter(c, 1343.0, 1360.0))
        .missing("no survey", |c| c.state().survey = None),
        argon(
            "peak-above-usable-setpoints",
            "a sinter range up to 1365 °C",
            |c| {
                sinter(c, 1330.0, 1365.0);
            },
        )
        .weighs(Stop)
        .inside("a sinter range up to 1367 °C", |c| {
            sinter(c, 1330.0, 1367.0)
        })
        .missing("no survey", |c| c.state().survey = None),
        argon("peak-below-usable-setpoints", "a peak of 1339 °C", |c| {
            c.profile().segments[4].to_c = 1339.0;
        })
        .with(&["over-temperature-set-high"])
        .weighs(Caution)
        .inside("a peak of 1340 °C", |c| {
            c.profile().segments[4].to_c = 1340.0
        })
        .missing("no survey", |c| c.state().survey = None),
        argon(
            "thermocouple-unsuited",
            "a control thermocouple of type K",
            |c| {
                c.furnace().sensors[0].kind = "K".to_owned();
                let control = &mut c.state().sensors[0];
                control.kind = "K".to_owned();
                control.logger_kind = Some("K".to_owned());
                (control.uses, control.uses_above_980) = (Some(1), Some(1));
            },
        )
        .weighs(Stop)
        .inside("thermocouples of type S that bear 1360 °C", |c| {
            c.limit("thermocouple-max-s").value = 1360.0
        })
        .missing("one of a type that no limit is set for", |c| {
            let control = &mut c.state().sensors[0];
            control.kind = "Q".to_owned();
        }),
        argon(
            "thermocouple-type-mismatch",
            "the logger set to type K for a type S",
            |c| {
                c.state().sensors[0].logger_kind = Some("K".to_owned());
            },
        )
        .weighs(Stop)
        .no_between("a type is set or another one")
        .missing("nobody knows to what the logger is set", |c| {
            c.state().sensors[0].logger_kind = None
        }),
        argon(
            "soak-band-below-survey-spread",
            "a soak band of 5.9 K",
            |c| {
                c.profile().segments[4].wait_on.as_mut().unwrap().band_k = 5.9;
            },
        )
        .weighs(Caution)
        .inside("a soak band of 6 K", |c| {
            c.profile().segments[4].wait_on.as_mut().unwrap().band_k = 6.0
        })
        .missing("no survey", |c| c.state().survey = None),
        argon(
            "thermocouple-without-tolerance",
            "a control thermocouple of type B",
            |c| {
                let control = &mut c.state().sensors[0];
                control.kind = "B".to_owned();
                control.logger_kind = Some("B".to_owned());
            },
        )
        .with(&["thermocouple-type-changed"])
        .weighs(Caution)
        .no_between("a type has a tolerance in the debind range or none")
        .missing("one of a type that no standard knows", |c| {
            c.state().sensors[0].kind = "Q".to_owned()
        }),
        row(
            "certificate-missing",
            bases::regulated,
            "a lot without a certificate",
            |c| {
                c.lot().certificate = None;
            },
        )
        .weighs(Caution)
        .no_between("a lot has a certificate or none")
        .missing("pieces of no lot", |c| {
            super::lots::without_lot(c, 2 * crate::fixture::PER_LEVEL)
        }),
        row(
            "signature-missing",
            bases::regulated,
            "one of two signatures",
            |c| {
                c.plan.signatures.pop();
            },
        )
        .weighs(Stop)
        .no_between("a role has signed or not")
        .missing("a shop that does not say who signs", |c| {
            c.shop_mut().signing_roles.clear()
        }),
        row(
            "operator-not-qualified",
            bases::regulated,
            "a qualification that has ended",
            |c| {
                c.shop_mut().people[1].qualified_until = Some("2026-11-20".to_owned());
            },
        )
        .weighs(Stop)
        .inside("one that ends on the day on which the run ends", |c| {
            c.shop_mut().people[1].qualified_until = Some("2026-11-25".to_owned())
        })
        .missing("nobody knows until when", |c| {
            c.shop_mut().people[1].qualified_until = None
        }),
    ]
}
