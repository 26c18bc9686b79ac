//! What the shop's own records name and nobody knows, and a survey that contradicts itself.

use super::common::records;
use crate::catalogue::Kind;
use crate::catalogue::Severity::{Caution, Note};
use crate::review::facts::Facts;
use crate::review::finding::{Check, Report, Subject, number, text};
use crate::text::{did_you_mean, missing, nearest, shop_names as say};
use crate::units::Quantity::{Temperature, TemperatureDifference};

/// The checks.
pub const CHECKS: &[Check] = &[
    records(Note, "shop-names-unknown", &[], shop_names_unknown),
    records(
        Caution,
        "survey-place-beyond-extremes",
        &[],
        survey_place_beyond_extremes,
    ),
];

/// A slip of the pen in the shop's state: what it says is then of nothing, and unseen.
fn shop_names_unknown(facts: &Facts, report: &mut Report) {
    let Some(shop) = facts.shop else {
        return report.missing(vec![Subject::Load], missing::shop_state());
    };
    let mut found = |kind: &str, id: &str, near: &[String]| {
        let args = vec![
            ("kind", text(kind)),
            ("id", text(id)),
            ("candidates", text(did_you_mean(near))),
        ];
        report.found(vec![Subject::Named(format!("{kind} {id}"))], args);
    };
    let catalogue = facts.catalogue;
    let near = |kinds: &[Kind], id: &str| {
        let all: Vec<String> = kinds
            .iter()
            .flat_map(|kind| catalogue.candidates(*kind, id))
            .collect();
        nearest(id, all.iter().map(String::as_str), 3)
    };
    for state in &shop.furnaces {
        // What the load itself asks for is another check's.
        let mine = state.furnace == facts.plan.load.furnace;
        if !mine && !catalogue.has(Kind::Furnace, &state.furnace) {
            let near = near(&[Kind::Furnace], &state.furnace);
            found(Kind::Furnace.word(), &state.furnace, &near);
        }
    }
    if let Some((furnace, state)) = facts.furnace.zip(facts.state) {
        for sensor in &state.sensors {
            let slots = || furnace.sensors.iter().map(|s| s.id.as_str());
            if !slots().any(|slot| slot == sensor.slot) {
                found(
                    say::slot(),
                    &sensor.slot,
                    &nearest(&sensor.slot, slots(), 3),
                );
            }
        }
        // Compared with the load's alloys, and with nothing where nobody knows it.
        if let Some(alloy) = &state.last_alloy
            && !catalogue.has(Kind::Alloy, alloy)
        {
            found(Kind::Alloy.word(), alloy, &near(&[Kind::Alloy], alloy));
        }
        for on_hand in &state.gases {
            let mine = facts.gas_slugs().iter().any(|slug| *slug == on_hand.gas);
            if !mine && !catalogue.has(Kind::Gas, &on_hand.gas) {
                let near = near(&[Kind::Gas], &on_hand.gas);
                found(Kind::Gas.word(), &on_hand.gas, &near);
            }
        }
    }
    // A file carries the whole stock, but of the records only those that its load uses.
    if facts.plan.records_used.shop.as_ref() == Some(shop) {
        return;
    }
    let kinds = [Kind::Setter, Kind::Post, Kind::Support];
    let plan = facts.plan;
    let used = [plan.setters_used(), plan.posts_used(), plan.supports_used()];
    for stock in &shop.stock {
        let mine = used.iter().any(|used| used.contains_key(stock.id.as_str()));
        if !mine && !kinds.iter().any(|kind| catalogue.has(*kind, &stock.id)) {
            found(say::stock(), &stock.id, &near(&kinds, &stock.id));
        }
    }
}

/// Every limit of the peak goes by the signed extremes of the survey: a place that read more than
/// they say would go unseen. That nobody noted places is no missing datum.
fn survey_place_beyond_extremes(facts: &Facts, report: &mut Report) {
    let Some(survey) = facts.state.and_then(|s| s.survey.as_ref()) else {
        return;
    };
    for place in &survey.places {
        for read in &place.points {
            let at = survey.points.iter();
            let mut at = at.filter(|p| p.setpoint_c == read.setpoint_c);
            let subjects = vec![Subject::Furnace, Subject::Named(place.zone.clone())];
            let Some(extremes) = at.next() else {
                report.missing(subjects, missing::survey_at(read.setpoint_c));
                continue;
            };
            if (extremes.coldest_k..=extremes.hottest_k).contains(&read.deviation_k) {
                continue;
            }
            let kelvins = |k: f64| number(TemperatureDifference, k, 1);
            let args = vec![
                ("place", text(say::place(&place.zone, place.level))),
                ("read", kelvins(read.deviation_k)),
                ("setpoint", number(Temperature, read.setpoint_c, 0)),
                ("coldest", kelvins(extremes.coldest_k)),
                ("hottest", kelvins(extremes.hottest_k)),
            ];
            report.found(subjects, args);
        }
    }
}
