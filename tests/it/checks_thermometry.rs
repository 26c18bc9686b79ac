//! Checks of thermocouples and of what is known of the furnace's temperatures, each tripped, just
//! inside, and without its datum.

use crate::fixture::{Case, clean, found, measured, not_evaluated, passes};
use setterwright::catalogue::Severity::{Caution, Stop};
use setterwright::catalogue::{Basis, SensorState};
use setterwright::load::peak_c;
use setterwright::text::findings::{fill, prose};

fn no_survey(case: &mut Case) {
    case.state().survey = None;
}

fn band(k: f64) -> impl FnOnce(&mut Case) {
    move |case| case.profile().segments[4].wait_on.as_mut().unwrap().band_k = k
}

/// Survey −6/+4 at 1360 °C.
#[test]
fn a_band_that_the_coldest_place_never_reaches() {
    let slug = "soak-band-below-survey-spread";
    measured(slug, Caution, "5.9 K", band(5.9));
    passes(slug, band(6.0));
    passes(slug, |case| case.profile().segments[4].wait_on = None);
    not_evaluated(slug, "a temperature uniformity survey", no_survey);
    not_evaluated(slug, "a survey at 1361", |case| {
        case.profile().segments[4].to_c = 1361.0;
    });
}

fn debind_control(kind: &'static str) -> impl FnOnce(&mut Case) {
    move |case| {
        case.state().sensors[0].kind = kind.to_owned();
        case.state().sensors[0].logger_kind = Some(kind.to_owned());
    }
}

#[test]
fn type_b_says_nothing_sure_in_the_debind_range() {
    let slug = "thermocouple-without-tolerance";
    found(slug, Caution, debind_control("B"));
    passes(slug, debind_control("N"));
    not_evaluated(
        slug,
        "the tolerance of thermocouple type T",
        debind_control("T"),
    );
    // Where nobody noted what is in the slot, the furnace's record tells.
    found(slug, Caution, |case| {
        case.state().sensors.clear();
        case.furnace().sensors[0].kind = "B".to_owned();
    });
    // One in the load counts where a hold there waits for it.
    let waits = |case: &mut Case| {
        let wait = case.profile().segments[4].wait_on;
        case.profile().segments[1].wait_on = wait;
    };
    let load_b = |case: &mut Case| case.state().sensors[3].kind = "B".to_owned();
    passes(slug, load_b);
    found(slug, Caution, |case| {
        load_b(case);
        waits(case);
    });
    not_evaluated(slug, "furnace", |case| {
        case.plan.load.furnace = "none".to_owned()
    });
}

fn set_to(kind: &'static str) -> impl FnOnce(&mut Case) {
    move |case| case.state().sensors[0].logger_kind = Some(kind.to_owned())
}

#[test]
fn an_instrument_set_to_another_type() {
    let slug = "thermocouple-type-mismatch";
    let sentence = |spoil| {
        let finding = found(slug, Stop, spoil);
        fill(prose(slug).unwrap().sentence, &finding.args)
    };
    // Type S at 1360 °C gives 13.9 mV: type K's at about 341 °C, with the terminals at 25 °C.
    let low = sentence(Box::new(set_to("K")) as Box<dyn FnOnce(&mut Case)>);
    assert!(
        low.contains("it would show 35") || low.contains("it would show 36"),
        "{low}"
    );
    // Type K gives 54.6 mV there, far more than type B at its top.
    let over = sentence(Box::new(|case: &mut Case| {
        set_to("B")(case);
        case.state().sensors[0].kind = "K".to_owned();
    }));
    assert!(over.contains("end of scale"), "{over}");
    let other = sentence(Box::new(set_to("J")));
    assert!(other.contains("not known"), "{other}");
    passes(slug, set_to("s"));
    let asked = "the thermocouple type that controller and logger are set to";
    not_evaluated(slug, asked, |case| {
        case.state().sensors[0].logger_kind = None
    });
    not_evaluated(slug, asked, |case| case.state().sensors.clear());
    not_evaluated(slug, "the state of the furnace", |case| case.shop = None);
    // One that is not in the load is not looked at.
    passes(slug, |case| {
        case.level(0).placements.pop();
        case.level(1).placements.pop();
        case.state().sensors.truncate(3);
    });
}

fn usable(case: &Case) -> Result<(f64, f64), &'static str> {
    let review = case.review();
    let known = review.setpoints.unwrap()?;
    Ok((known.usable.from_c, known.usable.to_c))
}

/// `model.md` section 8: with a survey its extremes and nothing of the thermocouple; with a class
/// alone that; with neither the sum.
#[test]
fn one_case_after_another() {
    let mut case = clean();
    let surveyed = usable(&case).unwrap();
    // Neither tolerance nor instrument nor spread move a survey: they are in it.
    case.state().sensors[0].class = Some(1);
    case.state().instrument_k = Some(50.0);
    case.state().spread_k = Some(50.0);
    assert_eq!(usable(&case).unwrap(), surveyed);
    // A class without a map: ±6 with drift 3 and overshoot 0. The range is 1340 to 1375.
    let range = case.review().setpoints.unwrap().unwrap().range;
    let survey = case.state().survey.as_mut().unwrap();
    survey.points.clear();
    survey.class = Some(2);
    assert_eq!(
        usable(&case).unwrap(),
        (range.from_c + 9.0, range.to_c - 9.0)
    );
    case.state().survey.as_mut().unwrap().class = None;
    assert_eq!(usable(&case), Err("surveyed temperatures"));
    // Neither: type S class 2 is ±0.25 %, with an instrument of 1.5 and a spread of 5 K.
    case.state().survey = None;
    case.state().sensors[0].class = Some(2);
    case.state().instrument_k = Some(1.5);
    case.state().spread_k = Some(5.0);
    let (from, to) = usable(&case).unwrap();
    assert!(
        (from - (range.from_c + 6.5) / 0.9975).abs() < 1e-9,
        "{from}"
    );
    assert!((to - (range.to_c - 6.5) / 1.0025).abs() < 1e-9, "{to}");
    let review = case.review();
    let basis = review.setpoints.as_ref().unwrap().as_ref().unwrap();
    assert!(matches!(basis.known.basis, Basis::Sum { .. }));
    let shown = review.setpoints_shown(peak_c(&case.plan));
    assert!(
        shown.contains("type S") && shown.contains("for information only"),
        "{shown}"
    );
    // Each part of the sum is asked for.
    case.state().spread_k = None;
    assert_eq!(
        usable(&case),
        Err("a survey, or the declared spread of the zone")
    );
    case.state().instrument_k = None;
    assert_eq!(usable(&case), Err("a temperature uniformity survey"));
    case.state().spread_k = Some(5.0);
    assert_eq!(
        usable(&case),
        Err("a survey, or the error of the controller")
    );
    case.state().instrument_k = Some(1.5);
    case.state().sensors = vec![SensorState::default()];
    let asked = "a survey, or type and tolerance class of the control thermocouple";
    assert_eq!(usable(&case), Err(asked));
}

/// A type C of ±1 % and a range of 20 K: no setpoint, and the finding says by what.
#[test]
fn no_setpoint_exists_without_a_survey() {
    let finding = found("no-setpoint-exists", Stop, |case| {
        no_survey(case);
        let state = case.state();
        state.sensors[0].kind = "C".to_owned();
        (state.instrument_k, state.spread_k) = (Some(1.0), Some(4.0));
        let range = &mut case.feedstock().sinter;
        (range.from_c, range.to_c) = (1350.0, 1370.0);
    });
    let words = fill(prose("no-setpoint-exists").unwrap().sentence, &finding.args);
    assert!(words.contains("type C thermocouple of class 2"), "{words}");
}

#[test]
fn the_usable_setpoints_are_always_said() {
    let mut case = clean();
    let shown = |case: &Case| case.review().setpoints_shown(1360.0);
    assert!(shown(&case).starts_with("Peak 1360"), "{}", shown(&case));
    assert!(shown(&case).contains("survey of"), "{}", shown(&case));
    no_survey(&mut case);
    assert!(shown(&case).contains("not evaluated"), "{}", shown(&case));
    for level in 0..2 {
        case.level(level).placements.clear();
    }
    assert!(
        shown(&case).contains("common to all feedstocks"),
        "{}",
        shown(&case)
    );
}
