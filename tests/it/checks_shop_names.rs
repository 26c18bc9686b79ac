//! Names in the shop's state, and places of a survey against its extremes.

use crate::fixture::{Case, clean, found, not_evaluated, passes};
use setterwright::catalogue::Severity::{Caution, Note};
use setterwright::catalogue::{PlacePoint, SensorState, SurveyPlace};
use setterwright::load::RecordsUsed;
use std::sync::Arc;

const NAMES: &str = "shop-names-unknown";
const PLACES: &str = "survey-place-beyond-extremes";

#[test]
fn names_that_stand_for_nothing_have_the_nearest_beside_them() {
    type Spoil = fn(&mut Case);
    let spoil: [(Spoil, &str); 4] = [
        (
            |case| {
                let mut state = case.state().clone();
                state.furnace = "small-vacum-box".to_owned();
                case.shop_mut().furnaces.push(state);
            },
            "small-vacuum-box",
        ),
        (
            |case| {
                case.state().sensors.push(SensorState {
                    slot: "contrl".to_owned(),
                    kind: "S".to_owned(),
                    ..SensorState::default()
                });
            },
            "control",
        ),
        (
            |case| case.state().gases[0].gas = "argn".to_owned(),
            "argon",
        ),
        (
            |case| case.shop_mut().stock[0].id = "alumina-square-200x7".to_owned(),
            "alumina-square-200x6",
        ),
    ];
    for (spoil, near) in spoil {
        let finding = found(NAMES, Note, spoil);
        let said = format!("{:?}", finding.args);
        assert!(said.contains(near), "{said}");
    }
    passes(NAMES, |_| {});
    not_evaluated(NAMES, "the state of the shop", |case| case.shop = None);
}

#[test]
fn a_file_need_not_carry_the_records_of_its_stock() {
    passes(NAMES, |case| {
        case.shop_mut().stock[0].id = "of-another-shop".to_owned();
        case.plan.records_used = Arc::new(RecordsUsed {
            shop: case.shop.as_deref().cloned(),
            ..RecordsUsed::default()
        });
    });
}

pub fn place(case: &mut Case, deviation_k: impl Fn(f64, f64) -> f64) {
    let survey = case.state().survey.as_mut().unwrap();
    let point = *survey.points.last().unwrap();
    survey.places = vec![SurveyPlace {
        zone: "door, left".to_owned(),
        level: Some(1),
        points: vec![PlacePoint {
            setpoint_c: point.setpoint_c,
            deviation_k: deviation_k(point.coldest_k, point.hottest_k),
        }],
    }];
}

#[test]
fn places_of_a_survey() {
    for beyond in [
        |_: f64, hottest: f64| hottest + 0.1,
        |coldest: f64, _: f64| coldest - 0.1,
    ] {
        let finding = found(PLACES, Caution, |case| place(case, beyond));
        assert_eq!(finding.subjects.len(), 2);
    }
    passes(PLACES, |case| place(case, |_, hottest| hottest));
    passes(PLACES, |case| place(case, |coldest, _| coldest));
    // Nobody has to note places.
    passes(PLACES, |_| {});
    passes(PLACES, |case| case.state().survey = None);
    not_evaluated(PLACES, "survey at 1000", |case| {
        place(case, |_, hottest| hottest);
        let survey = case.state().survey.as_mut().unwrap();
        survey.places[0].points[0].setpoint_c = 1000.0;
    });
    assert!(!clean().state().survey.as_ref().unwrap().points.is_empty());
}
