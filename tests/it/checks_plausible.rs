//! Figures that cannot be so, and acceptances and settings that must not outlive what they were
//! given for. Temperatures of bath and dryer are common practice without a source.

use crate::fixture::{Case, OVERSIZE, clean, found, measured, not_evaluated, passes};
use setterwright::catalogue::Severity::{Caution, Note, Stop};
use setterwright::catalogue::{CheckSetting, FirstStep, LimitScope, Person, SensorState, Severity};
use setterwright::load::Acceptance;
use setterwright::part::MassState;
use setterwright::profile::{Event, EventAt, EventKind};
use setterwright::review::{Finding, Subject, limit_to_accept};
use std::sync::Arc;

#[test]
fn a_lots_dates_and_states_agree() {
    let slug = "lot-record-disagrees";
    passes(slug, |_| {});
    // The bath ended on 2026-11-23 at 08:00, the run starts the next day at 06:00.
    let green = |at: &'static str| move |c: &mut Case| c.lot().green_at = Some(at.to_owned());
    passes(slug, green("2026-11-23 08:00"));
    found(slug, Caution, green("2026-11-23 08:01"));
    let dry = |at: &'static str| move |c: &mut Case| c.lot().dry_at = Some(at.to_owned());
    passes(slug, dry("2026-11-24 06:00"));
    found(slug, Caution, dry("2026-11-24 06:01"));
    found(slug, Caution, |c| {
        c.lot().previous_dry_at = Some("2026-11-23 20:00".to_owned());
        dry("2026-11-23 18:00")(c);
    });
    for state in [
        MassState::Green,
        MassState::Presintered,
        MassState::Sintered,
    ] {
        found(slug, Caution, |c| c.lot().enters = state);
        passes(slug, |c| {
            c.lot().enters = state;
            (c.lot().dry_g, c.lot().previous_dry_g, c.lot().bath) = (None, None, None);
        });
    }
}

#[test]
fn a_bath_and_a_dryer_do_not_melt_the_binder() {
    let bath = |t: f64| move |c: &mut Case| c.lot().bath.as_mut().unwrap().temp_c = Some(t);
    passes("bath-too-hot", bath(60.0));
    measured("bath-too-hot", Caution, "61 °C", bath(61.0));
    let water = |t: f64| {
        move |c: &mut Case| {
            let id = c.feedstock().binder.clone();
            let record = c.catalogue_mut().binders.get_mut(&id).unwrap();
            Arc::make_mut(&mut record.1).first_step = FirstStep::Water {
                diffusivity_cm2_s: 1e-6,
                diffusion_kj_mol: 30.0,
            };
            bath(t)(c);
        }
    };
    passes("bath-too-hot", water(80.0));
    found("bath-too-hot", Caution, water(81.0));
    let dryer = |t: f64| move |c: &mut Case| c.lot().dryer_c = Some(t);
    passes("dryer-too-hot", dryer(80.0));
    measured("dryer-too-hot", Caution, "400 °C", dryer(400.0));
    for (slug, id) in [
        ("bath-too-hot", "bath-solvent-max"),
        ("dryer-too-hot", "dryer-max"),
    ] {
        not_evaluated(slug, id, |c| {
            dryer(50.0)(c);
            c.catalogue_mut().limits.retain(|l| l.id != id);
        });
    }
}

#[test]
fn a_furnace_is_no_pressure_vessel() {
    let slug = "pressure-above-furnace";
    let set = |mbar: f64| move |c: &mut Case| c.profile().segments[3].pressure_mbar = Some(mbar);
    passes(slug, set(1100.0));
    measured(slug, Stop, "1101 mbar", set(1101.0));
    assert!(found(slug, Stop, set(1101.0)).safety);
    measured(slug, Stop, "50000 mbar", set(50_000.0));
    found(slug, Stop, |c| {
        c.profile().segments[3].events.push(Event {
            at: EventAt::Start,
            kind: EventKind::Backfill {
                gas: "argon".to_owned(),
                to_mbar: 2000.0,
            },
        });
    });
    let unknown = |mbar: f64| {
        move |c: &mut Case| {
            c.furnace().pressure_max_mbar = None;
            set(mbar)(c);
        }
    };
    not_evaluated(slug, "highest pressure", unknown(1200.0));
    passes(slug, unknown(1050.0));
}

#[test]
fn what_has_not_been_done_yet_is_no_record() {
    let slug = "record-of-days-to-come";
    passes(slug, |c| {
        c.state().trap_emptied = Some("2026-11-24".to_owned())
    });
    found(slug, Caution, |c| {
        c.state().trap_emptied = Some("2026-11-25".to_owned())
    });
    found(slug, Caution, |c| {
        c.state().survey.as_mut().unwrap().date = "2026-12-01".to_owned();
    });
    found(slug, Stop, |c| {
        c.state().survey.as_mut().unwrap().date = "2026-12-01".to_owned();
        c.shop_mut().regulated = true;
    });
    found(slug, Caution, |c| {
        c.state().calibrations[0].done = Some("2027-01-01".to_owned())
    });
    found(slug, Caution, |c| {
        c.state().sensors.push(SensorState {
            slot: "x".to_owned(),
            kind: "S".to_owned(),
            installed: Some("2026-11-30".to_owned()),
            ..SensorState::default()
        });
    });
    found(slug, Caution, |c| {
        let balance = c.lot().balance.clone().unwrap();
        let all = &mut c.shop_mut().balances;
        let mine = all.iter_mut().find(|b| b.id == balance).unwrap();
        mine.done = Some("2026-12-24".to_owned());
    });
    not_evaluated(slug, "planned start", |c| c.plan.planned_start = None);
}

#[test]
fn a_section_of_nothing_is_a_slip() {
    // A block of 5 mm, green 5 x 1.1777.
    let far = "section-stated-far-thinner";
    let half = 2.5 * OVERSIZE;
    let stated = |mm: f64| move |c: &mut Case| c.part().section_mm = Some(mm);
    passes(far, stated(half + 0.01));
    found("section-stated-thinner", Note, stated(half + 0.01));
    found(far, Stop, stated(half - 0.01));
    passes("section-stated-thinner", stated(0.1));
    found(far, Stop, stated(0.1));
    not_evaluated(far, "section-stated-share", |c| {
        stated(0.1)(c);
        c.catalogue_mut()
            .limits
            .retain(|l| l.id != "section-stated-share");
    });
}

#[test]
fn a_hold_of_a_minute_is_none() {
    let debind = "debind-hold-missing";
    let hold = |min: f64| {
        move |c: &mut Case| {
            for segment in &mut c.profile().segments[..3] {
                segment.hold_min = min;
            }
        }
    };
    // Three segments lie in the range from 250 to 550; together they have to hold ten minutes.
    passes(debind, hold(4.0));
    found(debind, Stop, hold(1.0));
    let reduction = |min: f64| {
        move |c: &mut Case| {
            c.profile().segments[3].hold_min = min;
        }
    };
    passes("reduction-hold-missing", reduction(10.0));
    found("reduction-hold-missing", Caution, reduction(9.9));
    not_evaluated(debind, "hold-counts-from", |c| {
        c.catalogue_mut()
            .limits
            .retain(|l| l.id != "hold-counts-from");
    });
}

#[test]
fn a_shops_stricter_limit_holds_before_the_feedstocks_own() {
    let slug = "extraction-too-low";
    let most = |c: &mut Case, value: f64| {
        c.feedstock().extraction_floor = Some(0.59);
        let mut own = c.limit("extraction-stop").clone();
        (own.value, own.scope) = (value, LimitScope::Shop);
        c.catalogue_mut().limits.push(own);
    };
    // 92 % are out.
    passes(slug, |c| most(c, 0.91));
    found(slug, Stop, |c| most(c, 0.93));
    // A looser one of the shop does not undo the record.
    found(slug, Stop, |c| {
        most(c, 0.1);
        c.feedstock().extraction_floor = Some(0.93);
    });
}

fn accepted(finding: &Finding) -> Acceptance {
    Acceptance {
        check: finding.check.to_owned(),
        subjects: finding.subjects.iter().map(Subject::key).collect(),
        limit: finding.limit.as_ref().map(limit_to_accept),
        value: finding.value_to_accept(),
        by: "E".to_owned(),
        reason: "test".to_owned(),
        on: "2026-11-24".to_owned(),
        ..Acceptance::default()
    }
}

#[test]
fn parts_that_touch_are_accepted_where_they_stand() {
    let mut case = clean();
    let stand = |c: &mut Case, x: f64| c.bracket().at_mm = [x, -40.0];
    let one = |c: &Case| c.says("parts-touching").0[0].clone();
    stand(&mut case, -42.0);
    case.plan.acceptances = vec![accepted(&one(&case))];
    assert!(one(&case).accepted.is_some());
    // Deeper into the other, or turned: somebody has to look again.
    stand(&mut case, -35.0);
    assert_eq!(one(&case).accepted, None);
    stand(&mut case, -42.0);
    assert!(one(&case).accepted.is_some());
    case.bracket().angle_deg = 45.0;
    assert_eq!(one(&case).accepted, None);
}

#[test]
fn nobody_accepts_after_the_start_or_out_of_qualification() {
    let mut case = clean();
    case.bracket().at_mm = [-44.1, -40.0];
    let one = |c: &Case| c.says("gap-too-small").0[0].clone();
    let mut acceptance = accepted(&one(&case));
    let mut on = |case: &mut Case, day: &str| {
        acceptance.on = day.to_owned();
        acceptance.role = Some("engineer".to_owned());
        case.plan.acceptances = vec![acceptance.clone()];
        one(case).accepted.is_some()
    };
    assert!(on(&mut case, "2026-11-24"));
    assert!(!on(&mut case, "2026-11-25"));
    let shop = case.shop_mut();
    shop.regulated = true;
    shop.people = vec![Person {
        name: "E".to_owned(),
        roles: vec!["engineer".to_owned()],
        qualified_until: Some("2026-11-20".to_owned()),
    }];
    assert!(on(&mut case, "2026-11-20"));
    assert!(!on(&mut case, "2026-11-21"));
    case.shop_mut().people[0].qualified_until = None;
    assert!(!on(&mut case, "2026-11-20"));
}

#[test]
fn what_regulated_work_asks_for_is_not_lowered_by_a_reason() {
    let slug = "survey-missing";
    let spoilt = |regulated: bool, on: bool, severity: Option<Severity>| {
        let mut case = clean();
        case.state().survey = None;
        case.shop_mut().regulated = regulated;
        let setting = CheckSetting {
            on,
            severity,
            ..CheckSetting::new(slug, "we know our furnace")
        };
        case.catalogue_mut().checks.push(setting);
        let review = case.review();
        let found = review.findings.iter().find(|f| f.check == slug);
        let listed = review.settings.iter().any(|s| s.check == slug);
        (found.map(|f| f.severity), listed)
    };
    assert_eq!(spoilt(false, true, Some(Note)), (Some(Note), true));
    assert_eq!(spoilt(false, false, None), (None, true));
    assert_eq!(spoilt(true, true, Some(Note)), (Some(Stop), false));
    assert_eq!(spoilt(true, false, None), (Some(Stop), false));
}

#[test]
fn a_question_weighs_what_the_shop_gives_it() {
    let weigh = |slug: &str, severity: Option<Severity>| {
        let mut case = clean();
        case.plan.declarations.retain(|d| d.question != slug);
        let setting = CheckSetting {
            severity,
            ..CheckSetting::new(slug, "ours")
        };
        case.catalogue_mut().checks.push(setting);
        let review = case.review();
        let mut found = review.findings.iter().filter(|f| f.check == "not-declared");
        found.next().map(|f| f.severity)
    };
    let own = weigh("no-cracks", None);
    assert_ne!(own, Some(Stop));
    assert_eq!(weigh("no-cracks", Some(Stop)), Some(Stop));
    assert_eq!(weigh("no-cracks", Some(Note)), Some(Note));
}

#[test]
fn a_dryer_moves_the_air_that_its_solvent_needs() {
    let slug = "dryer-air-short";
    let air = |m3_h: f64| move |c: &mut Case| c.shop_mut().dryer_air_m3_h = Some(m3_h);
    // By hand: 24 brackets lose 24 x 12.58 x 0.0713 x 0.55 x 0.92 = 10.9 g of wax and stearic acid
    // of about 0.9 g/cm³: 12.1 cm³, full of hexane of 0.655 g/cm³: 7.9 g. 7.9/86.18 mol x 24.47 L
    // over a quarter of 1.2 %: 0.75 m³ in four hours.
    passes(slug, air(0.25));
    assert!(found(slug, Stop, air(0.15)).safety);
    not_evaluated(slug, "dryer moves", |c| c.shop_mut().dryer_air_m3_h = None);
    not_evaluated(slug, "time in the dryer", |c| c.lot().dried_min = None);
    not_evaluated(slug, "green", |c| c.lot().green_g = None);
    not_evaluated(slug, "dryer-flammable-share", |c| {
        c.catalogue_mut()
            .limits
            .retain(|l| l.id != "dryer-flammable-share");
    });
}
