//! What is on record of the furnace and the plan: thermocouples, repairs, the trap, dew points, the
//! charge tried, acceptances.

use super::common::{
    check, furnace, limit, on_when_regulated, records, state, stop_when_regulated,
};
use crate::catalogue::Severity::{Caution, Stop};
use crate::catalogue::{Limit, LimitScope, SensorState, Standing, when};
use crate::review::facts::Facts;
use crate::review::facts_gas::is_stainless;
use crate::review::finding::{
    Check, Family, Report, Sense, Subject, at_least, at_most, number, text,
};
use crate::text::findings::Arg;
use crate::text::{furnace_records as say, limits, missing};
use crate::units::Quantity::{DewPoint, Mass, Number, Time};

/// The checks.
pub const CHECKS: &[Check] = &[
    records(
        Stop,
        "thermocouple-used-up",
        &["thermocouple-uses"],
        thermocouple_used_up,
    ),
    on_when_regulated(records(
        Caution,
        "thermocouple-old",
        &["thermocouple-age-days"],
        thermocouple_old,
    )),
    stop_when_regulated(records(
        Caution,
        "repaired-since-survey",
        &[],
        repaired_since_survey,
    )),
    check(
        Family::Debind,
        Caution,
        "trap-not-emptied",
        &["trap-runs-max"],
        trap_not_emptied,
    ),
    check(
        Family::Atmosphere,
        Caution,
        "exhaust-dew-point-high",
        &["dew-point-furnace-max", "dew-point-stop"],
        exhaust_dew_point_high,
    ),
    check(
        Family::Mass,
        Caution,
        "charge-outside-tried",
        &[],
        charge_outside_tried,
    ),
    records(
        Stop,
        "acceptance-without-reason",
        &[],
        acceptance_without_reason,
    ),
    check(
        Family::Geometry,
        Caution,
        "rest-not-approved",
        &[],
        rest_not_approved,
    ),
];

/// Base-metal thermocouples of the furnace, each with its state. Noble ones drift far less.
fn base_metal<'a>(
    facts: &Facts<'a>,
    report: &mut Report,
) -> Vec<(&'a str, Option<&'a SensorState>)> {
    let Some(furnace) = furnace(facts, report) else {
        return Vec::new();
    };
    let noted = facts.state.map_or(&[][..], |s| &s.sensors);
    let found = furnace.sensors.iter().map(|sensor| {
        let state = noted.iter().find(|s| s.slot == sensor.id);
        (sensor, state)
    });
    found
        .filter(|(sensor, state)| {
            let kind = state.map_or(sensor.kind.as_str(), |s| &s.kind);
            matches!(kind, "K" | "N" | "J" | "T" | "E")
        })
        .map(|(sensor, state)| (sensor.id.as_str(), state))
        .collect()
}

fn slot(slot: &str) -> Vec<Subject> {
    vec![Subject::Furnace, Subject::Named(slot.to_owned())]
}

fn thermocouple_used_up(facts: &Facts, report: &mut Report) {
    for (id, state) in base_metal(facts, report) {
        let Some((state, uses)) = state.and_then(|s| Some((s, s.uses_above_980?))) else {
            report.missing(slot(id), say::uses_of(id));
            continue;
        };
        let Some(most) = limit(facts, report, "thermocouple-uses") else {
            return;
        };
        let args = vec![
            ("slot", text(id)),
            ("kind", text(&state.kind)),
            ("count", Arg::Count(uses as usize)),
        ];
        report.hold(slot(id), at_most(Number, f64::from(uses), 0), most, args);
    }
}

fn thermocouple_old(facts: &Facts, report: &mut Report) {
    let start = facts.start_day();
    for (id, state) in base_metal(facts, report) {
        let put_in = state.and_then(|s| Some((s, s.installed.as_ref()?)));
        let Some((state, installed)) = put_in else {
            report.missing(slot(id), say::day_put_in(id));
            continue;
        };
        let (Some(start), Some(day)) = (start, when::day(installed)) else {
            report.missing(slot(id), missing::planned_start());
            continue;
        };
        let Some(most) = limit(facts, report, "thermocouple-age-days") else {
            return;
        };
        let args = vec![
            ("slot", text(id)),
            ("kind", text(&state.kind)),
            ("installed", text(installed)),
        ];
        let minutes = crate::review::facts_limits::scaled(most, 1440.0, "min");
        let age = at_most(Time, when::days_between(day, start) * 1440.0, 0);
        report.hold(slot(id), age, &minutes, args);
    }
}

/// That nobody noted a repair is no missing datum: a repair is noted when it happens.
fn repaired_since_survey(facts: &Facts, report: &mut Report) {
    let Some(state) = state(facts, report) else {
        return;
    };
    let (Some(survey), Some(repaired)) = (&state.survey, &state.repaired_on) else {
        return;
    };
    let (Some(surveyed), Some(day)) = (when::day(&survey.date), when::day(repaired)) else {
        return report.missing(vec![Subject::Furnace], missing::two_dates());
    };
    if day > surveyed {
        let args = vec![
            ("repaired", text(repaired)),
            ("surveyed", text(&survey.date)),
        ];
        report.found(vec![Subject::Furnace], args);
    }
}

fn trap_not_emptied(facts: &Facts, report: &mut Report) {
    let Some(furnace) = furnace(facts, report) else {
        return;
    };
    if furnace.trap.is_none() {
        return;
    }
    facts.unknown_records(report);
    if facts.feedstocks_with_binder().is_empty() {
        return;
    }
    let Some(state) = state(facts, report) else {
        return;
    };
    let Some(runs) = state.trap_runs else {
        return report.missing(vec![Subject::Furnace], say::trap_runs());
    };
    let Some(most) = limit(facts, report, "trap-runs-max") else {
        return;
    };
    let args = vec![("count", Arg::Count(runs as usize))];
    let runs = at_most(Number, f64::from(runs), 0);
    report.hold(vec![Subject::Furnace], runs, most, args);
}

/// Stainless steel that is to be reduced in hydrogen.
fn exhaust_dew_point_high(facts: &Facts, report: &mut Report) {
    let (mut hydrogen, mut unknown) = (false, Vec::new());
    for slug in facts.gas_slugs() {
        match facts.catalogue.gas(slug) {
            Some(gas) => hydrogen |= gas.hydrogen_share > 0.0,
            None => unknown.push(Subject::Named(slug.to_owned())),
        }
    }
    if !hydrogen && unknown.is_empty() {
        return;
    }
    facts.unknown_records(report);
    for (slug, alloy) in facts.alloys.iter().filter(|(_, a)| is_stainless(a.family)) {
        if !hydrogen {
            return report.missing(unknown, missing::gas_record());
        }
        let subjects = vec![Subject::Furnace, Subject::Named((*slug).to_owned())];
        let Some(read_c) = facts.state.and_then(|s| s.exhaust_dew_point_c) else {
            report.missing(subjects, say::exhaust_dew_point());
            continue;
        };
        let stop = facts.limit_for_alloy("dew-point-stop", slug, Sense::AtMost);
        if stop.is_some_and(|stop| read_c > stop.value) {
            report.rank(Stop, false);
        }
        let id = "dew-point-furnace-max";
        match facts.limit_for_alloy(id, slug, Sense::AtMost) {
            Some(limit) => report.hold(
                subjects,
                at_most(DewPoint, read_c, 0),
                limit,
                vec![("alloy", text(&alloy.name))],
            ),
            None => report.missing(subjects, missing::limit(id)),
        }
    }
}

/// Mass of the parts against what the standard was tried with.
fn charge_outside_tried(facts: &Facts, report: &mut Report) {
    let plan = facts.plan;
    let Some([least_kg, most_kg]) = plan.validated_kg else {
        if plan.begun_from.is_some() {
            report.missing(vec![Subject::Load], say::charge_tried());
        }
        return;
    };
    let whole = &facts.tally.whole;
    if whole.unknown > 0 {
        return report.missing(vec![Subject::Load], say::mass_of_parts());
    }
    let tried = |kg: f64| Limit {
        id: "charge-tried".to_owned(),
        name: limits::charge_tried().to_owned(),
        value: kg * 1000.0,
        unit: "g".to_owned(),
        scope: LimitScope::Shop,
        set_by: limits::set_by_standard(plan.begun_from.as_deref().unwrap_or(&plan.title)),
        source: String::new(),
        standing: Standing::Shop,
        revision: 1,
        reason: String::new(),
        on_day: None,
        history: Vec::new(),
    };
    let args = || {
        let end = |kg: f64| number(Mass, kg * 1000.0, 0);
        vec![("from", end(least_kg)), ("to", end(most_kg))]
    };
    let mass_g = whole.in_state(crate::part::MassState::Green);
    for (held, kg) in [
        (at_least(Mass, mass_g, 0), least_kg),
        (at_most(Mass, mass_g, 0), most_kg),
    ] {
        report.hold(vec![Subject::Load], held, &tried(kg), args());
    }
}

fn acceptance_without_reason(facts: &Facts, report: &mut Report) {
    for accepted in &facts.plan.acceptances {
        let empty = |text: &str| text.trim().is_empty();
        let how = match (empty(&accepted.by), empty(&accepted.reason)) {
            (false, false) => continue,
            (true, true) => say::nobody_and_no_reason(),
            (true, false) => say::nobody(),
            (false, true) => say::no_reason(),
        };
        let about = accepted.subjects.join(", ");
        report.found(
            vec![Subject::Named(format!("{} {about}", accepted.check))],
            vec![("check", text(&accepted.check)), ("how", text(how))],
        );
    }
}

fn rest_not_approved(facts: &Facts, report: &mut Report) {
    for placed in &facts.placed {
        let part = placed.part;
        if part.approved_rest.is_some_and(|rest| rest != part.rest) {
            let args = vec![("part", text(&part.name))];
            report.found(vec![Subject::Part(part.id)], args);
        }
    }
}
