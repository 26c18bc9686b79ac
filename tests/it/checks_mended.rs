//! What checks once let pass, or said wrongly: each of these failed before it was mended.

use crate::fixture::{Case, clean, found, not_evaluated, passes};
use setterwright::catalogue::Severity::{Note, Stop};
use setterwright::catalogue::{FirstStep, Severity};
use setterwright::part::{MassState, THERMAL_SWELL};
use setterwright::profile::{Event, EventAt, EventKind, RampBy};
use setterwright::text::findings::{fill, prose};
use std::sync::Arc;

fn event(at: EventAt, kind: EventKind) -> Event {
    Event { at, kind }
}

/// 316L in the hydrogen retort, with purges before and after as given.
fn hydrogen(before: Vec<EventKind>, after: Vec<EventKind>) -> impl Fn(&mut Case) {
    move |case: &mut Case| {
        case.plan.load.furnace = "mid-hydrogen-retort".to_owned();
        let segments = &mut case.profile().segments;
        for segment in &mut segments[3..5] {
            segment.gas = Some("hydrogen".to_owned());
        }
        let mut events: Vec<Event> = before
            .iter()
            .map(|kind| event(EventAt::Start, kind.clone()))
            .collect();
        events.push(event(EventAt::Start, EventKind::BurnOffOn));
        events.push(event(EventAt::Start, EventKind::HydrogenOn));
        segments[3].events = events;
        let mut events = vec![event(EventAt::Start, EventKind::HydrogenOff)];
        events.extend(after.iter().map(|kind| event(EventAt::Start, kind.clone())));
        segments[5].events = events;
    }
}

fn pump(to_mbar: f64) -> Vec<EventKind> {
    vec![EventKind::PumpDown { to_mbar }]
}

fn volumes(volumes: f64) -> Vec<EventKind> {
    vec![EventKind::PurgeInert { volumes }]
}

#[test]
fn a_pump_that_hardly_pumps_is_no_purge() {
    let (before, after) = (
        "hydrogen-without-purge-before",
        "hydrogen-without-purge-after",
    );
    passes(before, hydrogen(pump(10.0), volumes(10.0)));
    passes(after, hydrogen(volumes(10.0), pump(10.0)));
    found(before, Stop, hydrogen(pump(900.0), volumes(10.0)));
    found(after, Stop, hydrogen(volumes(10.0), pump(900.0)));
    // Five volumes at a mixing of one half leave exp(-2.5): pumping to 83 mbar takes as much.
    passes(before, hydrogen(pump(83.0), volumes(10.0)));
    found(before, Stop, hydrogen(pump(84.0), volumes(10.0)));
}

#[test]
fn a_purge_of_no_volumes_is_none_whoever_asks_for_it() {
    let nought = |before, after| {
        let spoil = hydrogen(before, after);
        move |case: &mut Case| {
            spoil(case);
            case.limit("purge-volumes").value = 0.0;
        }
    };
    let none = Vec::new;
    found(
        "hydrogen-without-purge-before",
        Stop,
        nought(none(), volumes(9.0)),
    );
    found(
        "hydrogen-without-purge-after",
        Stop,
        nought(volumes(9.0), none()),
    );
}

#[test]
fn a_leak_rate_is_said_by_the_hour() {
    let finding = found("leak-rate-high", Severity::Caution, |case| {
        case.state().leak_um_h = Some(20.0);
    });
    let shown = finding.measured.unwrap().shown();
    assert!(shown.ends_with("mbar/h"), "{shown}");
    let limit = finding.limit_shown().unwrap();
    assert!(limit.ends_with("mbar/h"), "{limit}");
    assert_eq!(
        finding.measured.unwrap().quantity.unit(),
        finding.limit.unwrap().unit
    );
}

#[test]
fn a_reading_of_yesterday_may_be_older_than_a_day() {
    let start = |day: &'static str| {
        move |case: &mut Case| {
            case.plan.planned_start = Some(day.to_owned());
            case.plan.planned_start_time = None;
        }
    };
    // Read on the 24th.
    passes("dew-point-stale", start("2026-11-24"));
    not_evaluated("dew-point-stale", "the hour", start("2026-11-25"));
    let finding = found("dew-point-stale", Severity::Caution, start("2026-11-27"));
    let words = prose("dew-point-stale").unwrap();
    assert!(fill(words.sentence, &finding.args).contains("at least 48 h"));
}

/// What the gas check says is needed of argon, m³.
fn argon_m3(change: impl FnOnce(&mut Case)) -> f64 {
    let mut case = clean();
    change(&mut case);
    for supply in &mut case.state().gases {
        supply.m3_25c = supply.reserve_m3_25c;
    }
    let finding = &case.says("gas-supply-short").0[0];
    let (_, need) = finding
        .args
        .iter()
        .find(|(name, _)| *name == "need")
        .unwrap();
    need.to_string().trim_end_matches(" m³").parse().unwrap()
}

#[test]
fn gas_is_counted_for_purges_waits_and_cooling() {
    let plain = argon_m3(|case| case.profile().segments[4].wait_on = None);
    // The soak may wait an hour at 10 L/min: 0.6 m³.
    let waits = argon_m3(|_| {});
    assert!((waits - plain - 0.6).abs() < 0.11, "{plain} {waits}");
    let volume_l = clean().furnace().volume_l;
    let purged = argon_m3(|case| {
        let purge = EventKind::PurgeInert { volumes: 100.0 };
        case.profile().segments[0]
            .events
            .push(event(EventAt::Start, purge));
    });
    assert!((purged - waits - volume_l / 10.0).abs() < 0.11, "{purged}");
    let cooled = argon_m3(|case| case.profile().segments[5].ramp = RampBy::FullRate);
    let furnace = clean().furnace().clone();
    let tau = (furnace.max_c - 20.0) / furnace.cooling_max_k_min;
    let cooling = tau * (1340.0_f64 / 40.0).ln();
    let linear = 1300.0 / 5.0;
    let more = (cooling - linear) * 10.0 / 1000.0;
    assert!(
        (cooled - waits - more).abs() < 0.11,
        "{cooled} {waits} {more}"
    );
}

#[test]
fn a_run_ends_when_its_waits_and_its_cooling_do() {
    let due = |ramp: RampBy, timeout: Option<f64>| {
        move |case: &mut Case| {
            for item in &mut case.state().due {
                item.due = "2026-11-25".to_owned();
            }
            // Whatever the hour of the start.
            case.plan.planned_start_time = None;
            let segments = &mut case.profile().segments;
            segments[5].ramp = ramp;
            if let Some(wait) = &mut segments[4].wait_on {
                wait.timeout_min = timeout;
            }
        }
    };
    let slow = RampBy::Rate { k_min: 5.0 };
    passes("calibration-due", due(slow, Some(60.0)));
    found("calibration-due", Severity::Caution, due(slow, Some(600.0)));
    found(
        "calibration-due",
        Severity::Caution,
        due(RampBy::FullRate, Some(60.0)),
    );
}

#[test]
fn the_time_of_the_start_tells_more_than_its_day() {
    let start = |day: &'static str, at: &'static str| {
        move |case: &mut Case| {
            case.plan.planned_start = Some(day.to_owned());
            case.plan.planned_start_time = Some(at.to_owned());
        }
    };
    // Read on the 24th, at some hour: on the 26th at 6:00 at least 30 h old, on the 25th 6 to 30.
    let finding = found(
        "dew-point-stale",
        Severity::Caution,
        start("2026-11-26", "06:00"),
    );
    let words = prose("dew-point-stale").unwrap();
    assert!(fill(words.sentence, &finding.args).contains("at least 30 h"));
    not_evaluated("dew-point-stale", "the hour", start("2026-11-25", "06:00"));
    passes("dew-point-stale", start("2026-11-25", "00:00"));
    // 1319 min of program and an hour of waiting: from half past midnight it ends the same day.
    let due = |at: &'static str| {
        move |case: &mut Case| {
            start("2026-11-24", at)(case);
            for item in &mut case.state().due {
                item.due = "2026-11-24".to_owned();
            }
        }
    };
    passes("calibration-due", due("00:30"));
    found("calibration-due", Severity::Caution, due("03:00"));
}

fn thermal_only(case: &mut Case) {
    let slug = case.feedstock().binder.clone();
    let (_, binder) = case.catalogue_mut().binders.get_mut(&slug).unwrap();
    let binder = Arc::make_mut(binder);
    binder.first_step = FirstStep::ThermalOnly;
    for component in &mut binder.components {
        component.first_step = false;
    }
    case.lot().enters = MassState::Green;
}

#[test]
fn what_swells_in_the_furnace_closes_gaps() {
    // Green 23.554 mm wide; 24.6 mm apart leave 1.05 mm, of which 2 % take 0.47 mm.
    let pitch = |case: &mut Case| {
        case.alone();
        let item = case.bracket().item.clone();
        case.put(0, item, [24.6, 0.0]);
    };
    passes("gap-too-small", |case| pitch(case));
    let finding = found("gap-too-small", Severity::Caution, |case| {
        pitch(case);
        thermal_only(case);
    });
    let wide = 20.0 * crate::fixture::OVERSIZE;
    let with = finding.measured.unwrap().value;
    let mut before = clean();
    pitch(&mut before);
    before.limit("gap-min").value = 100.0;
    let without = before.says("gap-too-small").0[0].measured.unwrap().value;
    let hot = 1.0 + 18e-6 * 930.0;
    let took = without - with;
    assert!((took - wide * hot * THERMAL_SWELL).abs() < 0.02, "{took}");
    let finding = found("swelling-assumed", Note, thermal_only);
    let words = prose("swelling-assumed").unwrap();
    assert!(fill(words.sentence, &finding.args).contains("assumed"));
    passes("swelling-assumed", |_| {});
}

#[test]
fn the_records_cautions_are_told_when_they_apply() {
    let case = clean();
    let told = case.review().cautions;
    let catalogue = &case.catalogue;
    let argon = catalogue.gas("argon").unwrap();
    let alloy = catalogue.alloy("316l").unwrap();
    let binder = &catalogue.feedstock("316l-wax").unwrap().binder;
    let binder = catalogue.binder(binder).unwrap();
    let words: Vec<(&str, &str)> = told
        .iter()
        .map(|c| (c.record.as_str(), c.words.as_str()))
        .collect();
    let wanted = [
        (argon.name.as_str(), argon.caution.as_str()),
        (&binder.name, &binder.caution),
        (&alloy.name, &alloy.watch),
    ];
    assert_eq!(words, wanted);
    // What is sintered already brings no binder.
    let mut case = clean();
    case.lot().enters = MassState::Sintered;
    let told = case.review().cautions;
    assert!(told.iter().all(|c| c.words != binder.caution));
    let ran = crate::cli::run(&["review", &crate::cli::demo("clean.load.ron")]);
    assert!(ran.out.contains(&argon.caution), "{}", ran.out);
    assert!(ran.out.contains("licensed people"), "{}", ran.out);
}
