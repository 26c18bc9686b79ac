//! Steps that need somebody, against the hours at which somebody is there.

use crate::fixture::{Case, clean, found, not_evaluated, passes};
use setterwright::catalogue::Severity::{Caution, Note};
use setterwright::catalogue::{Attended, Weekday};
use setterwright::profile::{Event, EventAt, EventKind, RampBy};
use setterwright::review::Subject;

const STEP: &str = "unattended-step";
const HYDROGEN: &str = "hydrogen-change-unattended";

pub fn attended(days: &[Weekday], from: &str, to: &str) -> Vec<Attended> {
    vec![Attended {
        days: days.to_vec(),
        from: from.to_owned(),
        to: to.to_owned(),
    }]
}

fn there(from: &'static str, to: &'static str) -> impl FnOnce(&mut Case) {
    move |case| case.shop_mut().attended = attended(&[], from, to)
}

fn event(case: &mut Case, segment: usize, at: EventAt, kind: EventKind) {
    case.profile().segments[segment]
        .events
        .push(Event { at, kind });
}

/// From 06:00 on Tuesday the 24th, 1319 min without and 1379 with the wait: 03:59 to 04:59.
#[test]
fn the_end_of_the_program() {
    let finding = found(STEP, Note, there("06:00", "04:58"));
    assert_eq!(finding.subjects, [Subject::Profile]);
    let when = finding.args.iter().find(|(name, _)| *name == "when");
    let said = when.unwrap().1.to_string();
    assert_eq!(said, "between 2026-11-25 03:59 and 2026-11-25 04:59");
    passes(STEP, there("06:00", "04:59"));
    passes(STEP, there("00:00", "00:00"));
    passes(STEP, |_| {});
    // Of a shop that does not say when it is attended nobody knows.
    not_evaluated(STEP, "hours", |case| case.shop_mut().attended.clear());
    not_evaluated(STEP, "hours", |case| case.shop = None);
}

#[test]
fn the_start_and_the_days() {
    let finding = found(STEP, Note, there("06:01", "05:00"));
    assert_eq!(finding.subjects, [Subject::Load]);
    passes(STEP, |case| {
        case.shop_mut().attended = attended(&[Weekday::Tue], "06:00", "05:00");
    });
    let wednesday = |case: &mut Case| {
        case.shop_mut().attended = attended(&[Weekday::Wed], "00:00", "00:00");
    };
    assert_eq!(found(STEP, Note, wednesday).subjects, [Subject::Load]);
}

#[test]
fn checks_and_unloading() {
    let check = |to: &'static str| {
        move |case: &mut Case| {
            there("06:00", to)(case);
            // Cold and out long before the end of the program.
            event(case, 0, EventAt::End, EventKind::Unload);
            event(case, 0, EventAt::Start, EventKind::OperatorCheck);
        }
    };
    // 335 min: 11:35.
    passes(STEP, check("11:35"));
    let finding = found(STEP, Note, check("11:34"));
    let when = finding.args.iter().find(|(name, _)| *name == "when");
    assert_eq!(when.unwrap().1.to_string(), "at 2026-11-24 11:35");
}

#[test]
fn hydrogen() {
    let hydrogen = |to: &'static str| {
        move |case: &mut Case| {
            there("06:00", to)(case);
            event(case, 0, EventAt::Start, EventKind::HydrogenOn);
            event(case, 0, EventAt::End, EventKind::HydrogenOff);
        }
    };
    passes(HYDROGEN, hydrogen("11:35"));
    let finding = found(HYDROGEN, Caution, hydrogen("11:34"));
    assert!(finding.safety);
    // Without hydrogen there is nothing to be there for.
    passes(HYDROGEN, there("06:00", "06:01"));
}

#[test]
fn what_is_missing() {
    let around = |change: fn(&mut Case)| {
        move |case: &mut Case| {
            there("06:00", "22:00")(case);
            event(case, 0, EventAt::Start, EventKind::HydrogenOn);
            change(case);
        }
    };
    for slug in [STEP, HYDROGEN] {
        let day = around(|case| case.plan.planned_start = None);
        not_evaluated(slug, "the planned start", day);
        let time = around(|case| case.plan.planned_start_time = None);
        not_evaluated(slug, "the time of day of the planned start", time);
        let length = around(|case| case.profile().segments[0].ramp = RampBy::Rate { k_min: 0.0 });
        not_evaluated(slug, "the length of the program", length);
    }
}

#[test]
fn hours_that_are_none_are_refused() {
    let mut case = clean();
    there("06:00", "24:00")(&mut case);
    let fault = format!("{:?}", case.shop.unwrap().check().unwrap_err());
    assert!(fault.contains("06:00 to 24:00"), "{fault}");
}
