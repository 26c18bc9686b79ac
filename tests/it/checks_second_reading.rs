//! Passes that a second reading of the checks found: each trips now.

use crate::checks_scopes::{accepted, regulated};
use crate::fixture::{Case, clean, found, passes};
use crate::mutation_table::bases;
use setterwright::catalogue::Severity::{Caution, Stop};
use setterwright::catalogue::{CheckSetting, FirstStep, Limit, LimitScope, Standing};
use setterwright::load::{Bath, Edit, Item};
use setterwright::part::MassState;
use setterwright::profile::{Event, EventAt, EventKind};
use std::sync::Arc;

const WET: &str = "solvent-on-parts";

fn in_hexane(case: &mut Case) {
    case.lot().bath = Some(Bath {
        solvent: Some("hexane".to_owned()),
        ..Bath::default()
    });
    case.lot().dried_min = Some(5.0);
}

/// What a lot was in counts, not what its binder would have asked for.
#[test]
fn a_lot_is_wet_with_what_it_was_in() {
    let catalytic = |case: &mut Case| {
        let id = case.feedstock().binder.clone();
        let record = case.catalogue_mut().binders.get_mut(&id).unwrap();
        Arc::make_mut(&mut record.1).first_step = FirstStep::Catalytic { front_mm_h: 1.5 };
    };
    passes(WET, catalytic);
    found(WET, Stop, |case| {
        catalytic(case);
        in_hexane(case);
    });
    found(WET, Stop, |case| {
        in_hexane(case);
        case.lot().enters = MassState::Green;
    });
    // A solvent that no record names counts as one that burns.
    found(WET, Stop, |case| {
        catalytic(case);
        in_hexane(case);
        case.lot().bath.as_mut().unwrap().solvent = Some("a new degreaser".to_owned());
    });
}

#[test]
fn half_a_proof_of_dryness_is_none_where_vapour_burns() {
    found(WET, Stop, |case| case.lot().previous_dry_g = None);
    found(WET, Stop, |case| case.lot().dried_min = None);
    passes(WET, |_| {});
}

#[test]
fn a_record_of_drying_that_refutes_itself_is_no_proof() {
    let at = |ended: &'static str| {
        move |case: &mut Case| {
            case.plan.planned_start = Some("2026-11-26".to_owned());
            case.plan.planned_start_time = Some("06:00".to_owned());
            case.lot().dried_min = Some(180.0);
            (case.lot().dry_at, case.lot().previous_dry_at) = (None, None);
            case.lot().bath = Some(Bath {
                solvent: Some("hexane".to_owned()),
                ended: Some(ended.to_owned()),
                ..Bath::default()
            });
        }
    };
    passes(WET, at("2026-11-26 03:00"));
    found(WET, Stop, at("2026-11-26 05:30"));
    found(WET, Stop, at("2026-11-28 05:30"));
    // The day of the start alone is enough to see that the bath ends after it.
    found(WET, Stop, |case| {
        at("2026-11-28 05:30")(case);
        case.plan.planned_start_time = None;
    });
    found(WET, Stop, |case| {
        at("2026-11-25 12:00")(case);
        case.lot().dry_at = Some("2026-11-25 11:00".to_owned());
    });
}

fn limit(id: &str, value: f64, unit: &str, scope: LimitScope) -> Limit {
    Limit {
        id: id.to_owned(),
        name: "test".to_owned(),
        value,
        unit: unit.to_owned(),
        scope,
        set_by: "engineer".to_owned(),
        source: "test".to_owned(),
        standing: Standing::Shop,
        revision: 1,
        reason: "test".to_owned(),
        on_day: None,
        history: Vec::new(),
    }
}

/// A customer's or a furnace's value may ask for more than the shop's, not for less, where it
/// guards people.
#[test]
fn a_narrower_scope_does_not_loosen_what_guards_people() {
    let set = |shop: f64, narrower: f64| {
        move |case: &mut Case| {
            case.lot().dried_min = Some(180.0);
            let feedstock = LimitScope::Feedstock("316l-wax".to_owned());
            case.catalogue_mut().limits.extend([
                limit("dry-time-min", shop, "min", LimitScope::Shop),
                limit("dry-time-min", narrower, "min", feedstock),
            ]);
        }
    };
    found(WET, Stop, set(300.0, 150.0));
    found(WET, Stop, set(150.0, 300.0));
    passes(WET, set(150.0, 170.0));
    let unload = |shop: f64, furnace: f64| {
        move |case: &mut Case| {
            case.profile().unload_c = 60.0;
            let own = LimitScope::Furnace(case.plan.load.furnace.clone());
            case.catalogue_mut().limits.extend([
                limit("unload-max", shop, "°C", LimitScope::Shop),
                limit("unload-max", furnace, "°C", own),
            ]);
        }
    };
    found("unload-too-hot", Stop, unload(50.0, 70.0));
    passes("unload-too-hot", unload(65.0, 70.0));
}

/// A short hold low in the binder's range is there for the wax; it does not free the ramp that
/// follows.
#[test]
fn a_hold_for_the_wax_does_not_free_the_ramp_through_the_rest() {
    let slug = "ramp-far-too-fast-for-section";
    passes(slug, |_| {});
    found(slug, Stop, |case| {
        let debind = case.feedstock().debind;
        let low = debind.from_c + 0.1 * (debind.to_c - debind.from_c);
        let segments = &mut case.profile().segments;
        // All that was in the range becomes one short hold at its foot.
        segments.retain(|s| s.to_c <= debind.from_c || s.to_c > debind.to_c);
        let mut hold = segments[0].clone();
        hold.id.0 = 90;
        hold.to_c = low;
        hold.hold_min = 10.0;
        segments.insert(0, hold);
        let setterwright::profile::RampBy::Rate { k_min } = &mut segments[1].ramp else {
            panic!("the next ramp has a rate");
        };
        *k_min = 10.0;
    });
}

#[test]
fn a_soak_does_not_wait_for_a_slot_that_the_furnace_does_not_have() {
    let slug = "soak-waits-for-no-thermocouple";
    passes(slug, |_| {});
    found(slug, Stop, |case| {
        for level in 0..2 {
            for p in &mut case.level(level).placements {
                if let Item::Sensor { sensor, .. } = &mut p.item {
                    *sensor = "nowhere".to_owned();
                }
            }
        }
    });
}

#[test]
fn papers_of_days_to_come_and_of_people_unknown_do_not_count() {
    found("signature-missing", Stop, |case| {
        regulated(case);
        case.plan.signatures[0].on = "2028-11-27".to_owned();
    });
    let approved = |case: &mut Case, by: &str, on: &str| {
        regulated(case);
        let mut approval = crate::checks_approval::approval();
        approval.by = by.to_owned();
        approval.on = on.to_owned();
        case.profile().approval = Some(approval);
    };
    passes("profile-not-approved", |c| approved(c, "E", "2026-11-20"));
    found("profile-not-approved", Stop, |c| {
        approved(c, "E", "2028-11-26")
    });
    found("profile-not-approved", Stop, |c| {
        approved(c, "Z", "2026-11-20")
    });
}

#[test]
fn declarations_that_are_switched_off_are_told() {
    let mut case = clean();
    for slug in ["not-declared", "declared-otherwise", "declarations"] {
        case.catalogue_mut().checks = vec![CheckSetting {
            on: false,
            ..CheckSetting::new(slug, "nobody asks here")
        }];
        let told = case.review().settings;
        assert!(told.iter().any(|s| s.check == slug), "{slug}");
    }
}

#[test]
fn safety_that_was_not_evaluated_is_counted_by_itself() {
    let mut case = clean();
    let before = case.review().safety_not_evaluated();
    case.plan.load.furnace = "none".to_owned();
    assert!(case.review().safety_not_evaluated() > before);
}

#[test]
fn what_was_accepted_of_one_furnace_lapses_with_another() {
    let mut case = clean();
    case.state().survey.as_mut().unwrap().due = "2026-01-01".to_owned();
    let finding =
        case.review().findings.into_iter().find(|f| {
            f.subjects == [setterwright::review::Subject::Furnace] && f.severity >= Caution
        });
    case.plan.acceptances = vec![accepted(&finding.unwrap())];
    let same = Edit::SetFurnace(case.plan.load.furnace.clone());
    let same = same.apply(&case.plan, &case.catalogue).unwrap();
    assert_eq!(same.acceptances.len(), 1);
    let mut other = case.catalogue.furnaces.keys();
    let other = other.find(|id| **id != case.plan.load.furnace).unwrap();
    let other = Edit::SetFurnace(other.clone());
    let other = other.apply(&case.plan, &case.catalogue).unwrap();
    assert!(other.acceptances.is_empty());
}

/// From the same place a larger part touches worse, and so does a stack that is moved further.
#[test]
fn what_touches_is_accepted_at_its_size_and_where_its_stack_stands() {
    let mut case = clean();
    case.level(0).placements[1].at_mm = case.level(0).placements[0].at_mm;
    let of = |case: &Case| -> Vec<_> { case.says("parts-touching").0 };
    case.plan.acceptances = of(&case).iter().map(accepted).collect();
    assert!(!case.plan.acceptances.is_empty());
    assert!(of(&case).iter().all(|f| f.accepted.is_some()));
    let mut larger = case.clone();
    larger.part().made_with_oversize = Some([1.3; 3]);
    assert!(of(&larger).iter().all(|f| f.accepted.is_none()));

    let mut case = clean();
    case.plan.load.stacks[0].at_mm = [400.0, 0.0];
    let of = |case: &Case| -> Vec<_> {
        let all = case.review().findings.into_iter();
        let outside = |f: &setterwright::review::Finding| {
            f.check == "setter-outside-hot-zone" && f.measured.is_none()
        };
        all.filter(outside).collect()
    };
    case.plan.acceptances = of(&case).iter().map(accepted).collect();
    assert!(of(&case).iter().all(|f| f.accepted.is_some()));
    case.plan.load.stacks[0].at_mm = [500.0, 0.0];
    assert!(of(&case).iter().all(|f| f.accepted.is_none()));
}

/// A mixture burns as what is in it does, and a binder's own liquid may be in any bath.
#[test]
fn no_word_beside_a_solvent_makes_it_harmless() {
    for solvent in [
        "hexane and water",
        "water, then hexane",
        "ethanol/water",
        "water",
    ] {
        found(WET, Stop, |case| {
            in_hexane(case);
            case.lot().bath.as_mut().unwrap().solvent = Some(solvent.to_owned());
            case.lot().enters = MassState::Brown;
        });
    }
}

#[test]
fn a_purge_that_does_not_mix_is_none() {
    found("hydrogen-without-purge-before", Stop, |case| {
        *case = bases::hydrogen();
        let pumps = |e: &Event| {
            matches!(
                e.kind,
                EventKind::PumpDown { .. } | EventKind::Backfill { .. }
            )
        };
        case.profile().segments[0].events.retain(|e| !pumps(e));
        case.limit("purge-mixing").value = 0.0;
    });
}

/// Hydrogen that was filled in stays until something takes it out.
#[test]
fn a_fill_of_hydrogen_is_not_forgotten() {
    let filled = |case: &mut Case| {
        *case = bases::hydrogen();
        for segment in &mut case.profile().segments[..6] {
            segment.gas = None;
            segment.flow_l_min_25c = 0.0;
        }
        let events = &mut case.profile().segments[0].events;
        events.retain(|e| e.kind != EventKind::HydrogenOn);
        let fill = |kind| Event {
            at: EventAt::Start,
            kind,
        };
        events.push(fill(EventKind::Backfill {
            gas: "hydrogen".to_owned(),
            to_mbar: 1013.0,
        }));
        events.push(fill(EventKind::BurnOffOff));
    };
    for slug in [
        "hydrogen-event-mismatch",
        "hydrogen-without-flow",
        "flame-off-before-hydrogen-off",
    ] {
        let mut case = clean();
        filled(&mut case);
        let (findings, _) = case.says(slug);
        assert!(!findings.is_empty(), "{slug}");
    }
}

/// No gas and the air's pressure is air, not a vacuum.
#[test]
fn a_run_in_air_stops() {
    let one = found("air-left-on-heating", Stop, |case| {
        for segment in &mut case.profile().segments {
            (segment.gas, segment.pressure_mbar) = (None, Some(1013.0));
            segment.events.clear();
        }
    });
    assert!(one.safety);
}
