//! What is on record of lots, furnace and plan: each check trips, passes just inside, and says what
//! is missing.

use crate::fixture::{Case, LOT, PART, clean, found, measured, not_evaluated, passes};
use setterwright::catalogue::Severity::{Caution, Note, Stop};
use setterwright::catalogue::{Calibration, CalibrationKind, SensorState};
use setterwright::load::{Acceptance, Bath, Item, Lot, LotId};
use setterwright::part::Rest;
use std::sync::Arc;

fn bath(case: &mut Case) -> &mut Bath {
    case.lot().bath.get_or_insert_default()
}

#[test]
fn brown_parts_wait_no_longer_than_the_limit() {
    let slug = "brown-waited-too-long";
    // The start is 2026-11-24 06:00; three days are allowed.
    let ended = |at: &'static str| move |case: &mut Case| bath(case).ended = Some(at.to_owned());
    passes(slug, ended("2026-11-21 06:00"));
    measured(slug, Note, "3 d 1 min", ended("2026-11-21 05:59"));
    not_evaluated(slug, "before the planned start", ended("2026-11-24 06:01"));
    not_evaluated(slug, "bath ended", |case| bath(case).ended = None);
    not_evaluated(slug, "its time", |case| case.plan.planned_start_time = None);
}

#[test]
fn the_middle_of_the_parts_has_to_be_open() {
    let slug = "extraction-centre-low";
    passes(slug, |_| {});
    // Of 5 mm, green, half of it 2.5 mm; D of the record at 40 °C; the series of the model.
    let minutes = |min: f64| move |case: &mut Case| bath(case).minutes = Some(min);
    let short = found(slug, Caution, minutes(60.0));
    assert!(short.measured.unwrap().value < 0.2);
    // A tray doubles the way out: four times as long.
    let value = |change: &dyn Fn(&mut Case)| {
        let mut case = clean();
        case.limit("extraction-stop").value = 1.0;
        case.feedstock().extraction_floor = Some(0.999);
        change(&mut case);
        case.says(slug).0[0].measured.unwrap().value
    };
    let free = value(&minutes(300.0));
    let on_tray = value(&|case| {
        bath(case).minutes = Some(1200.0);
        bath(case).on_tray = Some(true);
    });
    assert!((free - on_tray).abs() < 1e-9, "{free} {on_tray}");
    // A loaded bath takes less: 90 of 900 g/L is a tenth.
    let fresh = value(&|case| {
        bath(case).minutes = Some(300.0);
        bath(case).wax_g_l = Some(0.0);
    });
    let loaded = value(&|case| {
        bath(case).minutes = Some(300.0);
        bath(case).wax_g_l = Some(90.0);
    });
    assert!((loaded / fresh - 0.9).abs() < 1e-9);
    not_evaluated(slug, "the bath", |case| case.lot().bath = None);
    not_evaluated(slug, "time and temperature", |case| {
        bath(case).minutes = None
    });
    not_evaluated(slug, "wax content", |case| bath(case).wax_g_l = None);
}

/// A second lot of the same part, one piece of it placed.
fn second_lot(case: &mut Case, factor: Option<f64>) {
    let lot = Lot {
        oversize: factor.map(|f| [f; 3]),
        ..Lot::new(LotId(999), "A2", PART)
    };
    case.plan.lots.push(Arc::new(lot));
    case.bracket().item = Item::Part {
        part: PART,
        lot: Some(LotId(999)),
    };
}

#[test]
fn lots_of_one_feedstock_shrink_alike() {
    let slug = "lots-oversize-differ";
    passes(slug, |_| {});
    let two = |factor: Option<f64>| {
        move |case: &mut Case| {
            case.lot().oversize = Some([1.1777; 3]);
            second_lot(case, factor);
        }
    };
    // 1 − 1/1.1777 = 0.15089; 0.3 % more is 1/(1 − 0.15389) = 1.18187.
    passes(slug, two(Some(1.1818)));
    found(slug, Caution, two(Some(1.1820)));
    not_evaluated(slug, "factors of both", two(None));
    // Of which nothing stands in the load.
    passes(slug, |case| {
        two(Some(1.2))(case);
        case.bracket().item = Item::Part {
            part: PART,
            lot: Some(LOT),
        };
    });
}

#[test]
fn the_balance_of_a_lot_is_in_date() {
    let slug = "balance-out-of-date";
    let due =
        |day: &'static str| move |case: &mut Case| case.shop_mut().balances[0].due = day.to_owned();
    passes(slug, due("2026-11-24"));
    found(slug, Caution, due("2026-11-23"));
    // The day of the weighing counts where it is known.
    passes(slug, |case| {
        due("2026-11-23")(case);
        case.lot().dry_at = Some("2026-11-23 12:00".to_owned());
    });
    not_evaluated(slug, "balance on which", |case| case.lot().balance = None);
    not_evaluated(slug, "record of balance", |case| {
        case.shop_mut().balances.clear()
    });
    passes(slug, |case| {
        case.lot().balance = None;
        (case.lot().green_g, case.lot().dry_g) = (None, None);
    });
}

#[test]
fn feedstock_and_solvent_are_within_their_dates() {
    let slug = "past-its-date";
    let feedstock = |day: &'static str| {
        move |case: &mut Case| case.lot().feedstock_expires = Some(day.to_owned())
    };
    passes(slug, feedstock("2026-11-24"));
    found(slug, Caution, feedstock("2026-11-23"));
    // The bath ended on the 23rd.
    let solvent =
        |day: &'static str| move |case: &mut Case| bath(case).expires = Some(day.to_owned());
    passes(slug, solvent("2026-11-23"));
    found(slug, Caution, solvent("2026-11-22"));
    // A shop that writes none is not reminded of it, unless its work is regulated.
    passes(slug, |case| case.lot().feedstock_expires = None);
    not_evaluated(slug, "feedstock may be used", |case| {
        case.shop_mut().regulated = true;
        case.lot().feedstock_expires = None
    });
    not_evaluated(slug, "solvent may be used", |case| {
        case.shop_mut().regulated = true;
        bath(case).expires = None
    });
}

/// The control thermocouple as one of type K.
fn base_metal(case: &mut Case, change: impl FnOnce(&mut SensorState)) {
    let mut all = case.state().sensors.iter_mut();
    let sensor = all.find(|s| s.slot == "monitor-roof").unwrap();
    sensor.kind = "K".to_owned();
    sensor.logger_kind = Some("K".to_owned());
    (sensor.uses, sensor.uses_above_980) = (Some(120), Some(90));
    sensor.installed = Some("2025-11-24".to_owned());
    change(sensor);
}

#[test]
fn base_metal_thermocouples_wear_out() {
    passes("thermocouple-used-up", |_| {});
    passes("thermocouple-used-up", |case| base_metal(case, |_| {}));
    found("thermocouple-used-up", Stop, |case| {
        base_metal(case, |s| s.uses_above_980 = Some(91));
    });
    not_evaluated("thermocouple-used-up", "runs above 980", |case| {
        base_metal(case, |s| s.uses_above_980 = None);
    });
    passes("thermocouple-old", |case| base_metal(case, |_| {}));
    found("thermocouple-old", Caution, |case| {
        base_metal(case, |s| s.installed = Some("2025-11-23".to_owned()));
    });
    not_evaluated("thermocouple-old", "was put in", |case| {
        base_metal(case, |s| s.installed = None);
    });
}

#[test]
fn a_repair_ends_a_survey() {
    let slug = "repaired-since-survey";
    let repaired =
        |day: &'static str| move |case: &mut Case| case.state().repaired_on = Some(day.to_owned());
    // The survey is of 2026-10-12.
    passes(slug, repaired("2026-10-12"));
    found(slug, Caution, repaired("2026-10-13"));
    found(slug, Stop, |case| {
        repaired("2026-10-13")(case);
        case.shop_mut().regulated = true;
    });
    not_evaluated(slug, "state of the furnace", |case| case.shop = None);
}

#[test]
fn books_that_a_small_shop_does_not_keep_are_asked_for_in_a_regulated_one() {
    let mut case = clean();
    let off = |case: &Case, slug: &str| {
        let review = case.review();
        review.off.iter().any(|(off, _)| *off == slug)
    };
    let books = ["balance-out-of-date", "thermocouple-old"];
    for slug in books {
        assert!(off(&case, slug), "{slug}");
    }
    case.shop_mut().regulated = true;
    for slug in books {
        assert!(!off(&case, slug), "{slug}");
    }
}

#[test]
fn the_trap_takes_so_many_runs() {
    let runs = |n: Option<u32>| move |case: &mut Case| case.state().trap_runs = n;
    passes("trap-not-emptied", runs(Some(10)));
    found("trap-not-emptied", Caution, runs(Some(11)));
    not_evaluated("trap-not-emptied", "runs since", runs(None));
}

#[test]
fn a_calibration_that_nobody_lists_is_not_passed() {
    passes("calibration-due", |_| {});
    not_evaluated("calibration-due", "flow meters", |case| {
        let kept = |c: &Calibration| c.kind != CalibrationKind::FlowMeters;
        case.state().calibrations.retain(kept);
    });
    not_evaluated("calibration-due", "system accuracy test", |case| {
        case.state()
            .due
            .retain(|d| d.what != "system accuracy test");
    });
    found("calibration-due", Caution, |case| {
        case.state().calibrations[0].due = "2026-11-23".to_owned();
    });
}

fn in_hydrogen(case: &mut Case, dew_point_c: Option<f64>) {
    case.profile().segments[3].gas = Some("hydrogen".to_owned());
    case.state().exhaust_dew_point_c = dew_point_c;
}

#[test]
fn the_exhaust_is_dry() {
    let slug = "exhaust-dew-point-high";
    passes(slug, |_| {});
    passes(slug, |case| in_hydrogen(case, Some(-40.0)));
    found(slug, Caution, |case| in_hydrogen(case, Some(-39.0)));
    not_evaluated(slug, "at the exhaust", |case| in_hydrogen(case, None));
}

#[test]
fn a_charge_is_what_the_standard_was_tried_with() {
    let slug = "charge-outside-tried";
    // 24 brackets of 12.58 g and what the coupons weigh.
    passes(slug, |_| {});
    passes(slug, |case| case.plan.validated_kg = Some([0.25, 0.35]));
    found(slug, Caution, |case| {
        case.plan.validated_kg = Some([0.35, 0.5])
    });
    found(slug, Caution, |case| {
        case.plan.validated_kg = Some([0.1, 0.25])
    });
    not_evaluated(slug, "standard was tried", |case| {
        case.plan.begun_from = Some("a.load.ron".to_owned());
    });
}

#[test]
fn an_acceptance_has_a_name_and_a_reason() {
    let slug = "acceptance-without-reason";
    let accepted = |by: &'static str, reason: &'static str| {
        move |case: &mut Case| {
            case.plan.acceptances = vec![Acceptance {
                check: "gap-too-small".to_owned(),
                by: by.to_owned(),
                reason: reason.to_owned(),
                on: "2026-11-24".to_owned(),
                ..Acceptance::default()
            }];
        }
    };
    passes(slug, accepted("K", "same lot"));
    found(slug, Stop, accepted("K", " "));
    found(slug, Stop, accepted("", "same lot"));
}

#[test]
fn a_part_lies_as_approved() {
    let slug = "rest-not-approved";
    passes(slug, |_| {});
    passes(slug, |case| {
        case.part().approved_rest = Some(Rest::AS_DRAWN)
    });
    found(slug, Caution, |case| {
        case.part().approved_rest = Rest::towards([0.0, 0.0, 1.0]);
    });
}

#[test]
fn binder_that_nobody_weighed_is_not_judged() {
    for slug in [
        "residual-binder-over-furnace-rating",
        "trap-nearly-full",
        "trap-over-full",
    ] {
        passes(slug, |_| {});
        not_evaluated(slug, "by the feedstock's target it would be", |case| {
            case.lot().dry_g = None;
        });
    }
}
