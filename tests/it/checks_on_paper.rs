//! What the papers of shop, furnace and lots say against each other and the run: each check trips,
//! passes just inside, and says what is missing.

use crate::fixture::{Case, clean, found, measured, not_evaluated, passes};
use setterwright::catalogue::Severity::{Caution, Note, Stop};
use setterwright::catalogue::{FirstStep, Survey};
use setterwright::load::Item;
use setterwright::part::MassState;
use setterwright::profile::WaitFor;
use setterwright::text::findings::{fill, prose};
use std::sync::Arc;

fn cut_out(answer: &'static str) -> impl Fn(&mut Case) {
    move |case| answer.clone_into(&mut case.plan.declarations[0].answer)
}

fn words(
    slug: &str,
    severity: setterwright::catalogue::Severity,
    spoil: impl Fn(&mut Case),
) -> String {
    let finding = found(slug, severity, spoil);
    fill(prose(slug).unwrap().sentence, &finding.args).replace('\u{a0}', " ")
}

fn undeclared(case: &mut Case) {
    case.plan.declarations.clear();
}

fn no_furnace(case: &mut Case) {
    case.plan.load.furnace = "none".to_owned();
}

/// The peak is 1360 °C, the furnace goes to 1450.
#[test]
fn the_cut_out_is_above_the_peak_and_within_the_furnace() {
    let slug = "over-temperature-below-peak";
    let said = words(slug, Stop, cut_out("1340"));
    assert!(said.contains("20 K below the peak"), "{said}");
    let said = words(slug, Stop, cut_out("1359.5"));
    assert!(said.contains("0.5 K below the peak"), "{said}");
    assert!(found(slug, Stop, cut_out("1340")).safety);
    passes(slug, cut_out("1360"));
    // Below the peak only the graver one speaks.
    passes("over-temperature-set-low", cut_out("1340"));
    not_evaluated(slug, "cut-out", undeclared);
    let slug = "over-temperature-above-furnace";
    measured(slug, Stop, "1451 °C", cut_out("1451"));
    passes(slug, cut_out("1450"));
    not_evaluated(slug, "cut-out", undeclared);
    not_evaluated(slug, "furnace", no_furnace);
}

/// As with every other question: an answer that bears no name or a later day is none.
#[test]
fn the_cut_out_is_declared_by_somebody_who_looked() {
    let slug = "over-temperature-not-declared";
    let nameless = |case: &mut Case| case.plan.declarations[0].by = " ".to_owned();
    let later = |case: &mut Case| case.plan.declarations[0].on = "2026-11-25".to_owned();
    assert!(words(slug, Caution, nameless).contains("no name"));
    assert!(words(slug, Caution, later).contains("after the planned start"));
    assert!(words(slug, Caution, cut_out("hot")).contains("cannot be read"));
    assert!(words(slug, Caution, undeclared).contains("nobody has stated it"));
    passes(slug, |_| {});
    not_evaluated("over-temperature-set-low", "cut-out", later);
}

fn control(kind: &'static str) -> impl Fn(&mut Case) {
    move |case| {
        let state = case.state().sensors.iter_mut();
        for sensor in state.filter(|s| s.slot == "control") {
            kind.clone_into(&mut sensor.kind);
        }
    }
}

#[test]
fn thermocouples_are_judged_by_what_is_in_the_slot() {
    let slug = "thermocouple-unsuited";
    measured(slug, Stop, "1360 °C", control("K"));
    for kind in ["J", "T", "E", "A"] {
        not_evaluated(slug, "the limit thermocouple-max-", control(kind));
    }
    passes(slug, control("B"));
    let slug = "thermocouple-type-changed";
    let said = words(slug, Caution, control("K"));
    assert!(
        said.contains("type K by the shop's state, and of type S"),
        "{said}"
    );
    passes(slug, |_| {});
    passes(slug, |case| case.state().sensors.clear());
    not_evaluated(slug, "furnace", no_furnace);
}

fn binder(case: &mut Case, first_step: FirstStep) {
    let id = case.feedstock().binder.clone();
    let record = case.catalogue_mut().binders.get_mut(&id).unwrap();
    Arc::make_mut(&mut record.1).first_step = first_step;
}

#[test]
fn acid_and_solvent_vapour_are_let_out() {
    let slug = "acid-not-purged";
    let purged = |said: Option<bool>| {
        move |case: &mut Case| {
            binder(case, FirstStep::Catalytic { front_mm_h: 1.5 });
            case.lot().acid_purged = said;
        }
    };
    assert!(found(slug, Stop, purged(Some(false))).safety);
    passes(slug, purged(Some(true)));
    // Nobody said: a question, which concerns safety.
    passes(slug, purged(None));
    passes(slug, |case| case.lot().acid_purged = Some(false));
    let mut case = clean();
    purged(None)(&mut case);
    case.plan
        .declarations
        .retain(|d| d.question != "acid-purged");
    let unsaid = case.says("not-declared").0;
    assert!(unsaid.iter().any(|f| f.safety && f.severity == Stop));
    not_evaluated(slug, "", |case| case.part().feedstock = "none".to_owned());
    let slug = "dryer-not-ventilated";
    let aired = |said: Option<bool>| move |case: &mut Case| case.lot().dryer_ventilated = said;
    assert!(found(slug, Stop, aired(Some(false))).safety);
    passes(slug, aired(Some(true)));
    passes(slug, aired(None));
    passes(slug, |case| {
        aired(Some(false))(case);
        case.lot().bath = None;
        binder(case, FirstStep::ThermalOnly);
    });
    not_evaluated(slug, "", |case| case.part().feedstock = "none".to_owned());
}

#[test]
fn dryness_is_shown_by_something() {
    let slug = "solvent-on-parts";
    let nothing = |case: &mut Case| {
        case.lot().dried_min = None;
        case.lot().previous_dry_g = None;
    };
    assert!(words(slug, Stop, nothing).contains("neither a time in the dryer"));
    let half = words(slug, Stop, |case| case.lot().dried_min = None);
    assert!(half.contains("half a proof"), "{half}");
    let weighed = |before: &'static str, after: &'static str| {
        move |case: &mut Case| {
            case.lot().previous_dry_at = Some(before.to_owned());
            case.lot().dry_at = Some(after.to_owned());
        }
    };
    measured(
        slug,
        Stop,
        "0 min",
        weighed("2026-11-23 14:00", "2026-11-23 14:00"),
    );
    measured(
        slug,
        Stop,
        "29 min",
        weighed("2026-11-23 14:00", "2026-11-23 14:29"),
    );
    let back = weighed("2026-11-23 15:00", "2026-11-23 14:00");
    assert!(words(slug, Stop, back).contains("after the last"));
    passes(slug, weighed("2026-11-23 14:00", "2026-11-23 14:30"));
    // Moments that nobody noted are no missing datum.
    passes(slug, |_| {});
    not_evaluated(slug, "weighings-apart-min", |case| {
        weighed("2026-11-23 14:00", "2026-11-23 15:00")(case);
        case.catalogue_mut()
            .limits
            .retain(|l| l.id != "weighings-apart-min");
    });
}

/// Four hours in the dryer; out of the bath at 08:00 the day before a start at 06:00.
#[test]
fn times_fit_between_the_moments_around_them() {
    let slug = "lot-times-disagree";
    let ended = |at: &'static str| {
        move |case: &mut Case| case.lot().bath.as_mut().unwrap().ended = Some(at.to_owned())
    };
    passes(slug, ended("2026-11-24 02:00"));
    let said = words(slug, Caution, ended("2026-11-24 02:01"));
    assert!(
        said.contains("in the dryer; between the end of the bath and the planned start"),
        "{said}"
    );
    let weighed = |at: &'static str| move |case: &mut Case| case.lot().dry_at = Some(at.to_owned());
    passes(slug, weighed("2026-11-23 12:00"));
    assert!(words(slug, Caution, weighed("2026-11-23 11:59")).contains("dry weighing"));
    // A day in the bath.
    let green = |at: &'static str| move |case: &mut Case| case.lot().green_at = Some(at.to_owned());
    passes(slug, green("2026-11-22 08:00"));
    assert!(words(slug, Caution, green("2026-11-22 08:01")).contains("in the bath"));
    not_evaluated(slug, "bath ended", |case| case.lot().bath = None);
    not_evaluated(slug, "planned start", |case| case.plan.planned_start = None);
    passes(slug, |case| case.lot().dried_min = None);
    let slug = "dried-very-long";
    let dried = |min: f64| move |case: &mut Case| case.lot().dried_min = Some(min);
    found(slug, Caution, dried(10_081.0));
    passes(slug, dried(10_080.0));
    not_evaluated(slug, "dry-time-max", |case| {
        case.catalogue_mut()
            .limits
            .retain(|l| l.id != "dry-time-max");
    });
}

fn survey(case: &mut Case) -> &mut Survey {
    case.state().survey.as_mut().unwrap()
}

#[test]
fn a_survey_keeps_within_the_furnace_and_its_class() {
    let slug = "survey-above-furnace";
    let highest =
        |c: f64| move |case: &mut Case| survey(case).points.last_mut().unwrap().setpoint_c = c;
    passes(slug, highest(1450.0));
    // What the peak goes by: between 1200 and the point that cannot be.
    let said = words(slug, Stop, highest(2480.0));
    assert!(
        said.contains("Fahrenheit, which would be 1360 °C"),
        "{said}"
    );
    // The peak lies within what can be.
    found(slug, Caution, |case| {
        highest(2480.0)(case);
        case.profile().segments[4].to_c = 1200.0;
    });
    passes(slug, |case| case.state().survey = None);
    not_evaluated(slug, "furnace record", |case| {
        let id = case.plan.load.furnace.clone();
        case.catalogue_mut().furnaces.remove(&id);
    });
    let slug = "survey-beyond-class";
    let class = |class: u8| move |case: &mut Case| survey(case).class = Some(class);
    // -8 K at 1200 °C: class 3 allows 8, class 2 allows 6.
    passes(slug, class(3));
    assert!(words(slug, Caution, class(2)).contains("Class 2 allows ±6 K"));
    let spread = words(slug, Caution, |case| {
        class(3)(case);
        case.state().spread_k = Some(8.5);
    });
    assert!(spread.contains("8.5 K either way"), "{spread}");
    not_evaluated(slug, "class 9", class(9));
    let mut case = clean();
    class(2)(&mut case);
    case.shop_mut().regulated = true;
    assert_eq!(case.says(slug).0[0].severity, Stop);
}

#[test]
fn a_peak_above_the_survey_stops_and_one_below_it_cautions() {
    let slug = "survey-does-not-cover-peak";
    let peak = |c: f64| move |case: &mut Case| case.profile().segments[4].to_c = c;
    found(slug, Stop, peak(1361.0));
    let low = |case: &mut Case| {
        survey(case).points.retain(|p| p.setpoint_c > 1100.0);
        case.profile().segments.retain(|s| s.to_c < 1100.0);
    };
    found(slug, Caution, low);
}

fn without_tips(case: &mut Case, levels: usize) {
    for level in 0..levels {
        let placements = &mut case.level(level).placements;
        placements.retain(|p| !matches!(p.item, Item::Sensor { .. }));
    }
}

#[test]
fn a_soak_waits_for_thermocouples_that_are_there() {
    let slug = "soak-waits-for-no-thermocouple";
    found(slug, Stop, |case| without_tips(case, 2));
    passes(slug, |case| without_tips(case, 1));
    passes(slug, |case| {
        without_tips(case, 2);
        case.profile().segments[4].wait_on.as_mut().unwrap().on = WaitFor::Control;
    });
    let slug = "soak-leaves-thermocouples-out";
    let said = words(slug, Note, |case| without_tips(case, 1));
    assert!(
        said.contains("Placed: load-2; not placed: load-1."),
        "{said}"
    );
    passes(slug, |case| without_tips(case, 2));
    passes(slug, |_| {});
    // One that does not go so high is not waited for.
    passes(slug, |case| {
        without_tips(case, 1);
        let state = case.state().sensors.iter_mut();
        for sensor in state.filter(|s| s.slot == "load-1") {
            "K".clone_into(&mut sensor.kind);
        }
    });
    not_evaluated(slug, "furnace", no_furnace);
}

#[test]
fn the_shops_state_has_the_furnace() {
    let slug = "furnace-not-in-shop-state";
    let said = words(slug, Caution, |case| {
        case.state().furnace = "small-vacum-box".to_owned();
    });
    assert!(said.contains("did you mean small-vacum-box?"), "{said}");
    passes(slug, |case| case.shop_mut().furnaces.clear());
    passes(slug, |_| {});
    not_evaluated(slug, "shop", |case| case.shop = None);
    let said = words("shop-names-unknown", Note, |case| {
        case.state().last_alloy = Some("316ll".to_owned());
    });
    assert!(said.contains("316ll"), "{said}");
}

#[test]
fn baths_and_states_that_are_not_the_binders() {
    let slug = "bath-of-other-solvent";
    let solvent = |name: &'static str| {
        move |case: &mut Case| {
            case.lot().bath.as_mut().unwrap().solvent = Some(name.to_owned());
        }
    };
    found(slug, Caution, solvent("cyclohexane"));
    passes(slug, solvent("N-Hexane"));
    passes(slug, solvent(" "));
    not_evaluated(slug, "", |case| case.part().feedstock = "none".to_owned());
    let slug = "debinding-not-evaluated";
    found(slug, Note, |case| case.lot().enters = MassState::Sintered);
    found(slug, Note, |case| {
        case.lot().enters = MassState::Presintered
    });
    passes(slug, |case| case.lot().enters = MassState::Brown);
}

#[test]
fn the_usable_setpoints_say_what_they_rest_on() {
    let shown = |spoil: &dyn Fn(&mut Case)| {
        let mut case = clean();
        spoil(&mut case);
        case.review().setpoints_shown(1360.0)
    };
    // The survey ends at 1360 °C, where the hottest place is still within 1375.
    let said = shown(&|_| {});
    assert!(
        said.contains("the upper end where the survey ends"),
        "{said}"
    );
    assert!(!said.contains("; but"), "{said}");
    let said = shown(&|case| survey(case).due = "2026-11-23".to_owned());
    assert!(said.contains("it held until 2026-11-23, before"), "{said}");
    let said = shown(&|case| survey(case).date = "2026-11-25".to_owned());
    assert!(
        said.contains("it is dated after the planned start"),
        "{said}"
    );
    let said = shown(&|case| case.state().repaired_on = Some("2026-10-20".to_owned()));
    assert!(said.contains("repaired since, on 2026-10-20"), "{said}");
    // Without a survey, by a type that has no tolerance there.
    let said = shown(&|case| {
        control("K")(case);
        let state = case.state();
        state.survey = None;
        (state.instrument_k, state.spread_k) = (Some(1.5), Some(5.0));
    });
    assert!(said.contains("no tolerance stated"), "{said}");
}

#[test]
fn a_purge_too_weak_says_what_it_leaves() {
    let mut case = crate::mutation_table::bases::hydrogen();
    case.limit("purge-volumes").value = 50.0;
    let finding = &case.says("hydrogen-without-purge-before").0[0];
    let words = prose("hydrogen-without-purge-before").unwrap();
    let said = fill(words.sentence, &finding.args);
    assert!(said.contains("2 pump-downs (too weak: "), "{said}");
}
