//! What only a person can say, and checks that wait for a forecast.

use crate::fixture::{Case, LOT, clean, found, measured, not_evaluated, passes};
use setterwright::catalogue::Severity::{Caution, Note, Stop};
use setterwright::catalogue::{CheckSetting, FirstStep, LimitScope};
use setterwright::load::Declaration;
use setterwright::profile::{Event, EventAt, EventKind};
use setterwright::review::{Needs, QUESTIONS, Subject, all_checks};

fn said<'a>(case: &'a mut Case, slug: &str) -> &'a mut Declaration {
    let mut all = case.plan.declarations.iter_mut();
    all.find(|d| d.question == slug).unwrap()
}

fn unsaid(slug: &'static str) -> impl Fn(&mut Case) {
    move |case| case.plan.declarations.retain(|d| d.question != slug)
}

fn asked(case: &Case) -> Vec<&'static str> {
    let review = case.review();
    review.asked.iter().map(|a| a.question.slug).collect()
}

fn hydrogen(case: &mut Case) {
    let segment = &mut case.profile().segments[3];
    segment.gas = Some("hydrogen".to_owned());
    segment.events.push(Event {
        at: EventAt::Start,
        kind: EventKind::HydrogenOn,
    });
}

#[test]
fn what_is_asked_follows_from_the_load() {
    let mut case = clean();
    let in_argon = asked(&case);
    for slug in [
        "over-temperature-set",
        "oxygen-measured-before-entry",
        "trap-coolant",
        "posts-matched",
        "load-thermocouples-plugged-in",
    ] {
        assert!(in_argon.contains(&slug), "{slug}");
    }
    for slug in [
        "flame-proven",
        "trap-emptied",
        "powder-laid",
        "coating-sound",
        "acid-purged",
        "vacuum-reached-at-peak-last-run",
    ] {
        assert!(!in_argon.contains(&slug), "{slug}");
    }
    case.state().trap_fill_g = None;
    assert!(asked(&case).contains(&"trap-emptied"));
    hydrogen(&mut case);
    let mut with_hydrogen = asked(&case);
    with_hydrogen.retain(|slug| !in_argon.contains(slug) && *slug != "trap-emptied");
    assert_eq!(
        with_hydrogen,
        [
            "flame-proven",
            "interlocks-tested",
            "hydrogen-sensor-tested",
            "emergency-purge-open"
        ]
    );
    case.bracket().support = Some("alumina-powder-1".to_owned());
    assert!(asked(&case).contains(&"powder-laid"));
}

#[test]
fn what_nobody_declared_is_found() {
    passes("not-declared", |_| {});
    let one = found("not-declared", Stop, unsaid("oxygen-measured-before-entry"));
    assert!(one.safety);
    let one = found("not-declared", Note, unsaid("setters-flat"));
    assert!(!one.safety);
    // An answer that is none.
    found("not-declared", Note, |case| {
        said(case, "setters-flat").answer = "perhaps".to_owned();
    });
    // It does not apply.
    passes("not-declared", unsaid("flame-proven"));
    found("not-declared", Stop, |case| {
        hydrogen(case);
        unsaid("flame-proven")(case);
    });
    // The cut-out has its own check.
    passes("not-declared", unsaid("over-temperature-set"));
    not_evaluated("not-declared", "furnace", |case| {
        case.plan.load.furnace = "none".to_owned();
    });
}

#[test]
fn a_no_and_a_number_beyond_its_limit_are_found() {
    passes("declared-otherwise", |_| {});
    let one = found("declared-otherwise", Stop, |case| {
        said(case, "oxygen-measured-before-entry").answer = "no".to_owned();
    });
    assert!(one.safety);
    found("declared-otherwise", Stop, |case| {
        said(case, "no-cracks").answer = "No".to_owned();
    });
    let warm = |answer: &'static str| {
        move |case: &mut Case| said(case, "trap-coolant").answer = answer.to_owned()
    };
    measured("declared-otherwise", Caution, "26.000 °C", warm("26 °C"));
    passes("declared-otherwise", warm("25 °C"));
    not_evaluated("declared-otherwise", "trap-coolant-max", |case| {
        case.catalogue_mut()
            .limits
            .retain(|l| l.id != "trap-coolant-max");
    });
}

#[test]
fn what_was_said_long_ago_or_before_a_repair_is_found() {
    // The start is 2026-11-24; two days are allowed.
    passes("declaration-stale", |case| {
        said(case, "setters-flat").on = "2026-11-22".to_owned();
    });
    found("declaration-stale", Note, |case| {
        said(case, "setters-flat").on = "2026-11-21".to_owned();
    });
    // Thirty for a test.
    passes("declaration-stale", |case| {
        said(case, "over-temperature-set").on = "2026-10-25".to_owned();
    });
    found("declaration-stale", Caution, |case| {
        said(case, "over-temperature-set").on = "2026-10-24".to_owned();
    });
    found("declaration-stale", Caution, |case| {
        said(case, "over-temperature-set").on = "2026-11-20".to_owned();
        case.state().repaired_on = Some("2026-11-21".to_owned());
    });
    passes("declaration-stale", |case| {
        said(case, "over-temperature-set").on = "2026-11-21".to_owned();
        case.state().repaired_on = Some("2026-11-21".to_owned());
    });
    not_evaluated("declaration-stale", "planned start", |case| {
        case.plan.planned_start = None;
    });
}

#[test]
fn a_lot_is_asked_about_by_itself() {
    let mut case = clean();
    let binder = case.feedstock().binder.clone();
    let record = case.catalogue_mut().binders.get_mut(&binder).unwrap();
    std::sync::Arc::make_mut(&mut record.1).first_step = FirstStep::Catalytic { front_mm_h: 1.5 };
    let lot = Subject::Lot(LOT);
    let about = |case: &Case| {
        let review = case.review();
        let mut all = review.asked.iter();
        let asked = all.find(|a| a.question.slug == "acid-purged");
        asked.and_then(|a| a.about.clone())
    };
    assert_eq!(about(&case), Some(lot.clone()));
    unsaid("acid-purged")(&mut case);
    assert_eq!(case.says("not-declared").0.len(), 1);
    case.plan.declarations.push(Declaration {
        question: "acid-purged".to_owned(),
        answer: "yes".to_owned(),
        by: "technician".to_owned(),
        on: "2026-11-24".to_owned(),
        about: Some(lot.key()),
        ..Declaration::default()
    });
    assert!(case.says("not-declared").0.is_empty());
    case.plan.declarations.last_mut().unwrap().about = Some("lot 99".to_owned());
    assert_eq!(case.says("not-declared").0.len(), 1);
    // The lot itself says it.
    case.lot().acid_purged = Some(true);
    assert_eq!(about(&case), None);
}

#[test]
fn a_shop_may_do_without_a_question_but_not_without_one_of_safety() {
    let off = |slug: &'static str| {
        move |case: &mut Case| {
            unsaid(slug)(case);
            case.catalogue_mut().checks = vec![CheckSetting {
                on: false,
                scope: LimitScope::Shop,
                ..CheckSetting::new(slug, "one piece of each")
            }];
        }
    };
    passes("not-declared", off("posts-matched"));
    found("not-declared", Stop, off("oxygen-measured-before-entry"));
    // Nor with the whole check.
    let mut case = clean();
    unsaid("oxygen-measured-before-entry")(&mut case);
    unsaid("setters-flat")(&mut case);
    case.catalogue_mut().checks = vec![CheckSetting {
        on: false,
        ..CheckSetting::new("not-declared", "test")
    }];
    let review = case.review();
    let mine = review.findings.iter().filter(|f| f.check == "not-declared");
    assert_eq!(mine.map(|f| f.safety).collect::<Vec<_>>(), [true]);
}

#[test]
fn what_waits_for_a_forecast_is_counted_and_not_passed() {
    let review = clean().review();
    let waiting: Vec<_> = all_checks()
        .filter(|c| c.needs == Needs::Forecast)
        .map(|c| c.slug)
        .collect();
    assert_eq!(waiting.len(), 26);
    assert_eq!(review.unforecast, waiting);
    assert_eq!(review.missing, Vec::new());
    assert_eq!(review.not_evaluated(), 26);
    assert_eq!(QUESTIONS.len(), 29);
}
