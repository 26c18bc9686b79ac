//! Checks of records, each tripped, just inside, and without its datum; and every limit of these
//! families taken away.

use crate::fixture::{Case, PART, clean, found, measured, not_evaluated, passes};
use setterwright::catalogue::Severity::{Caution, Note, Stop};
use setterwright::catalogue::{FurnaceSensor, SensorJob};
use setterwright::load::Item;
use setterwright::part::PartId;
use setterwright::profile::RampBy;
use setterwright::review::{Family, Subject, all_checks};
use std::sync::Arc;

fn no_shop(case: &mut Case) {
    case.shop = None;
}

fn no_start(case: &mut Case) {
    case.plan.planned_start = None;
}

fn no_survey(case: &mut Case) {
    case.state().survey = None;
}

fn peak(to_c: f64) -> impl FnOnce(&mut Case) {
    move |case| case.profile().segments[4].to_c = to_c
}

fn sinter(from_c: f64, to_c: f64) -> impl FnOnce(&mut Case) {
    move |case| {
        let range = &mut case.feedstock().sinter;
        (range.from_c, range.to_c) = (from_c, to_c);
    }
}

/// The program starts on 24 November and takes 22 h, so it may end on the 25th.
#[test]
fn days() {
    let due = |day: &'static str| move |case: &mut Case| case.state().due[0].due = day.to_owned();
    let survey = |day: &'static str| {
        move |case: &mut Case| case.state().survey.as_mut().unwrap().due = day.to_owned()
    };
    for day in ["2026-11-23", "2026-11-24"] {
        found("calibration-due", Caution, due(day));
        found("survey-out-of-date", Caution, survey(day));
    }
    passes("calibration-due", due("2026-11-25"));
    passes("survey-out-of-date", survey("2026-11-25"));
    for slug in ["calibration-due", "survey-out-of-date"] {
        not_evaluated(slug, "the planned start", no_start);
        not_evaluated(slug, "the state of the furnace", no_shop);
        not_evaluated(slug, "the length of the program", |case| {
            case.profile().segments[0].ramp = RampBy::Rate { k_min: 0.0 };
        });
    }
    not_evaluated("calibration-due", "a due date", due("soon"));
    not_evaluated("survey-out-of-date", "survey", no_survey);
}

#[test]
fn an_invented_shop_is_said() {
    let finding = found("shop-state-invented", Note, |_| {});
    assert_eq!(finding.subjects, [Subject::Load]);
    passes("shop-state-invented", |case| {
        "our own records".clone_into(&mut case.shop_mut().source);
    });
    not_evaluated("shop-state-invented", "the state of the shop", no_shop);
}

#[test]
fn trap_and_coupon() {
    found("trap-never-emptied", Caution, |case| {
        case.state().trap_emptied = None;
    });
    passes("trap-never-emptied", |case| {
        case.state().trap_emptied = None;
        case.furnace().trap = None;
    });
    passes("trap-never-emptied", |_| {});
    not_evaluated("trap-never-emptied", "the state of the furnace", no_shop);
    found("coupon-missing", Caution, |_| {});
    passes("coupon-missing", |case| {
        let label = "W1".to_owned();
        case.put(0, Item::Coupon { part: PART, label }, [80.0, 0.0]);
    });
}

#[test]
fn names_and_records() {
    found("duplicate-names", Caution, |case| {
        let mut part = case.plan.parts[0].as_ref().clone();
        part.id = PartId(900);
        case.plan.parts.push(Arc::new(part));
    });
    found("duplicate-names", Caution, |case| {
        let lot = Arc::clone(&case.plan.lots[0]);
        case.plan.lots.push(lot);
    });
    // A part and a lot may have one name.
    passes("duplicate-names", |case| {
        case.lot().name = "Bracket".to_owned();
    });
    found("record-differs-from-file", Note, |case| {
        case.differences = vec![("setter".to_owned(), "alumina-square-200x6".to_owned())];
    });
    passes("record-differs-from-file", |_| {});
}

#[test]
fn survey() {
    found("survey-missing", Caution, no_survey);
    passes("survey-missing", |_| {});
    not_evaluated("survey-missing", "the state of the furnace", no_shop);
    let slug = "survey-does-not-cover-peak";
    found(slug, Stop, peak(1361.0));
    passes(slug, peak(1360.0));
    not_evaluated(slug, "a temperature uniformity survey", no_survey);
    not_evaluated(slug, "surveyed temperatures", |case| {
        case.state().survey.as_mut().unwrap().points.clear();
    });
}

/// Survey −8/+5 at 1200 and −6/+4 at 1360 °C, drift 3, no overshoot: the coldest place is at
/// 1189 and 1351, the hottest at 1208 and 1367.
#[test]
fn setpoints() {
    let slug = "no-setpoint-exists";
    found(slug, Stop, sinter(1345.0, 1360.0));
    passes(slug, sinter(1344.0, 1361.0));
    not_evaluated(slug, "a temperature uniformity survey", no_survey);
    not_evaluated(
        slug,
        "the temperatures of the sinter range",
        sinter(1352.0, 1375.0),
    );
    let slug = "peak-above-usable-setpoints";
    // 1360 − 2/0.99375 = 1357.99.
    measured(slug, Stop, "1360.0 °C", sinter(1330.0, 1365.0));
    passes(slug, sinter(1330.0, 1367.0));
    not_evaluated(slug, "a survey at the peak", peak(1361.0));
    not_evaluated(slug, "a temperature uniformity survey", no_survey);
    let slug = "peak-below-usable-setpoints";
    // 1200 + 141/1.0125 = 1339.26.
    measured(slug, Caution, "1339.0 °C", peak(1339.0));
    passes(slug, peak(1340.0));
    not_evaluated(slug, "a survey at the peak", peak(1361.0));
    not_evaluated(slug, "a temperature uniformity survey", no_survey);
}

#[test]
fn thermocouples() {
    let slug = "thermocouple-unsuited";
    let control = |kind: &'static str| {
        move |case: &mut Case| {
            case.furnace().sensors[0].kind = kind.to_owned();
            case.state().sensors[0].kind = kind.to_owned();
        }
    };
    measured(slug, Stop, "1360 °C", control("K"));
    passes(slug, control("B"));
    passes(slug, |case| {
        control("K")(case);
        peak(1200.0)(case);
    });
    // One that may be placed with the load counts once it is.
    let load = |placed: bool| {
        move |case: &mut Case| {
            let sensor = "load-3".to_owned();
            case.furnace().sensors.push(FurnaceSensor {
                id: sensor.clone(),
                job: SensorJob::Load,
                kind: "K".to_owned(),
                at_mm: None,
            });
            let height_mm = 5.0;
            if placed {
                case.put(0, Item::Sensor { sensor, height_mm }, [80.0, 0.0]);
            }
        }
    };
    passes(slug, load(false));
    found(slug, Stop, load(true));
    not_evaluated(slug, "the limit thermocouple-max-q", control("Q"));
    not_evaluated(slug, "furnace", |case| {
        case.plan.load.furnace = "none".to_owned();
    });
}

#[test]
fn a_limit_that_nobody_set_is_named() {
    // Limits that are not asked for in the clean plan, and limits beyond which another check speaks.
    let silent = [
        "placing-tolerance-factor",
        "overhang-ratio-caution",
        "overhang-ratio-stop",
        "overhang-thin-max",
        "overhang-thin-wall",
        "bridge-ratio-caution",
        "section-ratio",
        "silica-max",
        "silica-from-c",
        "thermocouple-age-days",
        "thermocouple-max-b",
        "thermocouple-max-k",
        "thermocouple-max-n",
        "thermocouple-max-r",
        // Asked only of a forecast, which has a table of its own.
        "density-min",
        "density-spread-max",
        "size-tolerance",
        "size-spread-max",
        "plate-bow-max",
        // Asked only of a stated section.
        "section-stated-share",
        "section-stated-told",
        // Only of a load that began from a standard.
        "standard-mass-min",
        "standard-mass-max",
        // Base metal only, and the furnace has none.
        "thermocouple-uses",
        "thermocouple-age-days",
    ];
    let beyond = [
        ("section-thick", "section-stop"),
        ("part-may-tip", "tip-slenderness-stop"),
        ("plate-stress-high", "plate-stress-stop"),
        // Asked only of what has no volume of its own.
        ("heavier-than-solid", "mass-difference-max"),
    ];
    let families = [
        Family::Geometry,
        Family::Furniture,
        Family::Mass,
        Family::Records,
    ];
    let mut asked = 0;
    for check in all_checks().filter(|c| families.contains(&c.family)) {
        for id in check.limits {
            if silent.contains(id) || beyond.contains(&(check.slug, *id)) {
                continue;
            }
            let mut case = clean();
            case.limit(id);
            case.catalogue_mut().limits.retain(|l| l.id != *id);
            let (findings, missing) = case.says(check.slug);
            assert!(findings.is_empty(), "{} without {id}", check.slug);
            let named = format!("the limit {id}");
            assert!(
                missing.iter().any(|m| m.what == named),
                "{} without {id}",
                check.slug
            );
            asked += 1;
        }
    }
    assert!(asked > 20, "{asked}");
}
