//! Records: surveys, calibrations, thermocouples, and what is noted.

use super::{Row, argon, bases, row};
use crate::fixture::Case;
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
        ),
        argon("calibration-due", "a calibration due the day before", |c| {
            c.state().due[0].due = "2026-11-23".to_owned();
        }),
        argon(
            "trap-never-emptied",
            "no day on which the trap was emptied",
            |c| {
                c.state().trap_emptied = None;
            },
        ),
        argon(
            "record-differs-from-file",
            "a setter that differs from the file's",
            |c| {
                c.differences = vec![("setter".to_owned(), "alumina-square-200x6".to_owned())];
            },
        ),
        argon("survey-missing", "no survey", |c| c.state().survey = None).lapses(&[
            "no-setpoint-exists",
            "peak-above-usable-setpoints",
            "peak-below-usable-setpoints",
            "peak-near-solidus",
            "setter-temperature",
            "soak-band-below-survey-spread",
            "survey-does-not-cover-peak",
            "survey-out-of-date",
        ]),
        argon("survey-out-of-date", "a survey due the day before", |c| {
            survey(c).due = "2026-11-23".to_owned();
        }),
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
        ]),
        argon("no-setpoint-exists", "a sinter range of 15 K", |c| {
            sinter(c, 1345.0, 1360.0)
        }),
        argon(
            "peak-above-usable-setpoints",
            "a sinter range up to 1365 °C",
            |c| {
                sinter(c, 1330.0, 1365.0);
            },
        ),
        argon("peak-below-usable-setpoints", "a peak of 1339 °C", |c| {
            c.profile().segments[4].to_c = 1339.0;
        })
        .with(&["over-temperature-set-high"]),
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
        ),
        argon(
            "thermocouple-type-mismatch",
            "the logger set to type K for a type S",
            |c| {
                c.state().sensors[0].logger_kind = Some("K".to_owned());
            },
        ),
        argon(
            "soak-band-below-survey-spread",
            "a soak band of 5.9 K",
            |c| {
                c.profile().segments[4].wait_on.as_mut().unwrap().band_k = 5.9;
            },
        ),
        argon(
            "thermocouple-without-tolerance",
            "a control thermocouple of type B",
            |c| {
                let control = &mut c.state().sensors[0];
                control.kind = "B".to_owned();
                control.logger_kind = Some("B".to_owned());
            },
        )
        .with(&["thermocouple-type-changed"]),
        row(
            "certificate-missing",
            bases::regulated,
            "a lot without a certificate",
            |c| {
                c.lot().certificate = None;
            },
        ),
        row(
            "signature-missing",
            bases::regulated,
            "one of two signatures",
            |c| {
                c.plan.signatures.pop();
            },
        ),
        row(
            "operator-not-qualified",
            bases::regulated,
            "a qualification that has ended",
            |c| {
                c.shop_mut().people[1].qualified_until = Some("2026-11-20".to_owned());
            },
        ),
    ]
}
