//! Weights and silences that a third reading of the checks found.

use crate::checks_scopes::accepted;
use crate::fixture::{Case, clean, found, not_evaluated, passes};
use crate::mutation_table::bases;
use crate::mutation_table::lots::second_feedstock;
use setterwright::catalogue::Severity::{Caution, Stop};
use setterwright::catalogue::{Calibration, CalibrationKind, FirstStep, Gas};
use setterwright::load::Item;
use setterwright::profile::{Event, EventAt, EventKind};
use std::sync::Arc;

fn overdue(case: &mut Case, kind: CalibrationKind) {
    let all = &mut case.state().calibrations;
    all.retain(|c| c.kind != kind);
    all.push(Calibration {
        kind,
        what: String::new(),
        due: "2026-11-01".to_owned(),
        done: None,
    });
}

/// An instrument that guards people is not waved through by a sentence; one that guards parts may
/// be.
#[test]
fn an_overdue_guard_of_people_concerns_safety() {
    for (kind, safety) in [
        (CalibrationKind::OverTemperature, true),
        (CalibrationKind::HydrogenSensor, true),
        (CalibrationKind::FlowMeters, false),
    ] {
        let mut case = clean();
        overdue(&mut case, kind);
        let (findings, _) = case.says("calibration-due");
        let finding = findings.first().unwrap();
        assert_eq!((finding.severity, finding.safety), (Caution, safety));
        case.plan.acceptances = vec![accepted(finding)];
        let (findings, _) = case.says("calibration-due");
        assert_eq!(findings[0].accepted.is_some(), !safety, "{kind:?}");
    }
}

/// That the vacuum of titanium is not proved weighs what a poor one weighs.
#[test]
fn a_vacuum_that_nobody_proved_stops_titanium() {
    let question = "vacuum-reached-at-peak-last-run";
    let says = |case: &Case| {
        let (findings, _) = case.says("not-declared");
        let mine = |f: &&setterwright::review::Finding| {
            f.args.iter().any(|(_, arg)| arg.to_string() == question)
        };
        findings.iter().find(mine).map(|f| f.severity)
    };
    let mut case = bases::titanium();
    case.plan.declarations.retain(|d| d.question != question);
    assert_eq!(says(&case), Some(Stop));
}

/// Two binders of which one metal wants what the other must not have.
#[test]
fn binders_that_share_no_gas_stop() {
    let mixed = |gases: &'static [&'static str]| {
        move |case: &mut Case| {
            second_feedstock(case, "ti-6al-4v-peg");
            let second = case.plan.parts.last().unwrap().feedstock.clone();
            let alloy = case.catalogue.feedstock(&second).unwrap().alloy.clone();
            let record = case.catalogue_mut().alloys.get_mut(&alloy).unwrap();
            let rules = &mut Arc::make_mut(&mut record.1).gases;
            rules.retain(|r| gases.contains(&r.gas.as_str()));
        }
    };
    found("binder-systems-mixed", Caution, mixed(&["argon", "vacuum"]));
    found("binder-systems-mixed", Stop, mixed(&[]));
}

fn fill(at: EventAt) -> Event {
    Event {
        at,
        kind: EventKind::Backfill {
            gas: "hydrogen".to_owned(),
            to_mbar: 1013.0,
        },
    }
}

/// Fuel that comes in at the end of a segment was not over the load while it ran.
#[test]
fn a_fill_at_the_end_of_a_segment_is_of_the_next() {
    let still = |at: EventAt| {
        let mut case = bases::hydrogen();
        for segment in &mut case.profile().segments {
            (segment.gas, segment.flow_l_min_25c) = (None, 0.0);
            segment.pressure_mbar = Some(1013.0);
            segment.events.clear();
        }
        let last = case.profile().segments.len() - 1;
        case.profile().segments[last].events.push(fill(at));
        case.says("hydrogen-without-flow").0.len()
    };
    assert_eq!(still(EventAt::Start), 1);
    assert_eq!(still(EventAt::End), 0);
}

#[test]
fn a_reading_with_its_hour_is_judged_by_the_hour() {
    let read = |on: &'static str| {
        move |case: &mut Case| {
            *case = bases::hydrogen();
            for gas in &mut case.state().gases {
                gas.dew_point_read = Some(on.to_owned());
            }
            case.state().exhaust_dew_point_c = None;
        }
    };
    let slug = "dew-point-stale";
    // The start is on the 24th at 06:00.
    passes(slug, read("2026-11-23 07:00"));
    let late = found(slug, Caution, read("2026-11-23 05:00"));
    assert!(late.args.iter().any(|(_, a)| a.to_string() == "25 h"));
    not_evaluated(slug, "hour of the reading", |case| {
        read("2026-11-23")(case);
        case.plan.planned_start_time = None;
    });
    not_evaluated(slug, "after", read("2026-11-24 07:00"));
}

/// A shop that writes no dates is not reminded of them; one that does is judged by them.
#[test]
fn typed_dates_count_in_every_shop() {
    let slug = "past-its-date";
    passes(slug, |case| {
        case.lot().feedstock_expires = None;
    });
    found(slug, Caution, |case| {
        case.lot().feedstock_expires = Some("2026-11-01".to_owned());
    });
    let mut case = clean();
    case.shop_mut().regulated = true;
    case.lot().feedstock_expires = None;
    assert!(!case.says(slug).1.is_empty());
}

/// A shop that states no hours is not told that somebody is there.
#[test]
fn hours_that_nobody_states_are_not_evaluated() {
    not_evaluated("unattended-step", "hours", |case| {
        case.shop_mut().attended.clear()
    });
}

/// What comes with the program burns, whatever a record of that name says.
#[test]
fn a_record_does_not_talk_a_fire_away() {
    let slug = "safety-record-loosened";
    let hydrogen = |case: &mut Case, change: fn(&mut Gas)| {
        *case = bases::hydrogen();
        let record = case.catalogue_mut().gases.get_mut("hydrogen").unwrap();
        change(Arc::make_mut(&mut record.1));
    };
    passes(slug, |case| hydrogen(case, |_| {}));
    found(slug, Stop, |case| {
        hydrogen(case, |g| g.hydrogen_share = 0.0)
    });
    let solvent = |limit: Option<f64>| {
        move |case: &mut Case| {
            let id = case.feedstock().binder.clone();
            let record = case.catalogue_mut().binders.get_mut(&id).unwrap();
            if let FirstStep::Solvent {
                lower_flammable_limit_pct,
                ..
            } = &mut Arc::make_mut(&mut record.1).first_step
            {
                *lower_flammable_limit_pct = limit;
            }
        }
    };
    for limit in [None, Some(5.0)] {
        let one = found(slug, Stop, solvent(limit));
        assert!(one.safety);
    }
    passes(slug, solvent(Some(0.5)));
}

/// Air that comes in after the first look is air.
#[test]
fn a_pressure_without_a_gas_is_air() {
    let slug = "air-left-on-heating";
    let mut case = clean();
    let last = case.profile().segments.len() - 2;
    for segment in &mut case.profile().segments[1..last] {
        (segment.gas, segment.pressure_mbar) = (None, Some(1013.0));
        segment.flow_l_min_25c = 0.0;
        segment.events.clear();
    }
    case.profile().segments[0].pressure_mbar = Some(0.1);
    case.profile().segments[0].gas = None;
    let (findings, _) = case.says(slug);
    assert!(findings.iter().any(|f| f.severity == Stop && f.safety));
    // A gas that flowed before stays where nothing pumps it out.
    case.profile().segments[0].gas = Some("argon".to_owned());
    case.profile().segments[0].pressure_mbar = Some(1013.0);
    assert_eq!(case.says("gas-not-allowed-for-alloy").0.len(), 0);
}

/// Taken on for one piece of another alloy is not taken on for three.
#[test]
fn what_shares_a_load_is_accepted_as_it_stands() {
    let mut case = clean();
    second_feedstock(&mut case, "17-4ph-wax");
    let check = "alloys-share-load";
    let (findings, _) = case.says(check);
    let Some(finding) = findings.first() else {
        panic!("nothing found")
    };
    case.plan.acceptances = vec![accepted(finding)];
    assert!(case.says(check).0[0].accepted.is_some());
    case.level(1).placements.remove(0);
    assert!(case.says(check).0[0].accepted.is_none());
}

/// What gets better stays taken on.
#[test]
fn a_survey_less_overdue_stays_accepted() {
    let due = |case: &mut Case, day: &str| {
        case.state().survey.as_mut().unwrap().due = day.to_owned();
    };
    let check = "survey-out-of-date";
    let mut case = clean();
    due(&mut case, "2026-11-10");
    let (findings, _) = case.says(check);
    case.plan.acceptances = vec![accepted(&findings[0])];
    for (day, holds) in [("2026-11-15", true), ("2026-11-05", false)] {
        due(&mut case, day);
        assert_eq!(case.says(check).0[0].accepted.is_some(), holds, "{day}");
    }
}

/// Twenty coupons are a load, and as many lots are asked for.
#[test]
fn a_load_of_coupons_is_asked_for_its_lot() {
    let check = "first-step-missing";
    let of = |count: usize| {
        let mut case = clean();
        for index in 0..count {
            let at = crate::fixture::PER_LEVEL;
            let placement = &mut case.level(index / at).placements[index % at];
            if let Item::Part { part, .. } = placement.item {
                let label = format!("K{index}");
                placement.item = Item::Coupon { part, label };
            }
        }
        case.says(check).1.len()
    };
    assert_eq!(of(3), 0);
    assert!(of(12) > 0);
}

#[test]
fn a_mark_is_of_one_coupon() {
    let twice = |labels: [&'static str; 2]| {
        move |case: &mut Case| {
            for (index, label) in labels.into_iter().enumerate() {
                let placement = &mut case.level(0).placements[index];
                if let Item::Part { part, .. } = placement.item {
                    let label = label.to_owned();
                    placement.item = Item::Coupon { part, label };
                }
            }
        }
    };
    found("coupon-mark-twice", Stop, twice(["W1", "W1"]));
    passes("coupon-mark-twice", twice(["W1", "W2"]));
}

#[test]
fn the_exhaust_is_read_anew_too() {
    let slug = "dew-point-stale";
    let read = |on: Option<&'static str>| {
        move |case: &mut Case| {
            *case = bases::hydrogen();
            case.state().exhaust_dew_point_read = on.map(str::to_owned);
        }
    };
    found(slug, Caution, read(Some("2026-01-24")));
    not_evaluated(slug, "day", read(None));
}

/// A breath of gas does not make a furnace full of air one of gas.
#[test]
fn a_token_of_gas_is_no_filling() {
    let slug = "air-left-on-heating";
    let run = |fill_mbar: f64, set_mbar: f64| {
        let mut case = clean();
        for segment in &mut case.profile().segments {
            (segment.gas, segment.pressure_mbar) = (None, Some(set_mbar));
            segment.flow_l_min_25c = 0.0;
            segment.events.clear();
        }
        let start = |kind| Event {
            at: EventAt::Start,
            kind,
        };
        case.profile().segments[0].events = vec![
            start(EventKind::PumpDown { to_mbar: 0.1 }),
            start(EventKind::Backfill {
                gas: "argon".to_owned(),
                to_mbar: fill_mbar,
            }),
        ];
        let (findings, _) = case.says(slug);
        findings.iter().map(|f| (f.severity, f.safety)).max()
    };
    assert_eq!(run(1000.0, 1013.0), None);
    assert_eq!(run(1.0, 1013.0), Some((Stop, true)));
    // Little of it is told, and does not stop.
    assert_eq!(run(1.0, 90.0), Some((Caution, false)));
}

/// A solvent of which nobody says from when it burns is one that burns.
#[test]
fn a_solvent_without_a_flammable_limit_burns() {
    found("solvent-on-parts", Stop, |case| {
        let id = case.feedstock().binder.clone();
        let record = case.catalogue_mut().binders.get_mut(&id).unwrap();
        if let FirstStep::Solvent {
            solvent,
            lower_flammable_limit_pct,
            ..
        } = &mut Arc::make_mut(&mut record.1).first_step
        {
            *solvent = "acetone".to_owned();
            *lower_flammable_limit_pct = None;
        }
        case.lot().bath = None;
        case.lot().dried_min = Some(5.0);
    });
}
