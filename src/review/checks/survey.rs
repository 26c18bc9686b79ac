//! Records: survey and thermocouples against the peak.

use super::common::{check, furnace, limit, state};
use super::records::due_before;
use crate::catalogue::Severity::{self, Caution, Stop};
use crate::catalogue::{Limit, LimitScope, SensorJob, Standing, Survey};
use crate::load::Item;
use crate::profile::Range;
use crate::review::facts::Facts;
use crate::review::facts_records::{Usable, usable_setpoints};
use crate::review::finding::{Check, Family, Report, Subject, at_least, at_most, number, text};
use crate::text::{limits, missing};
use crate::units::Quantity::{Temperature, TemperatureDifference};
use std::collections::BTreeSet;

const fn records(
    severity: Severity,
    slug: &'static str,
    limits: &'static [&'static str],
    run: fn(&Facts, &mut Report),
) -> Check {
    check(Family::Records, severity, slug, limits, run)
}

/// Checks of survey and thermocouples.
pub const CHECKS: &[Check] = &[
    records(Caution, "survey-missing", &[], survey_missing),
    records(Caution, "survey-out-of-date", &[], survey_out_of_date),
    records(
        Caution,
        "survey-does-not-cover-peak",
        &[],
        survey_does_not_cover_peak,
    ),
    records(Stop, "no-setpoint-exists", &[], no_setpoint_exists),
    records(
        Stop,
        "peak-above-usable-setpoints",
        &[],
        peak_above_usable_setpoints,
    ),
    records(
        Caution,
        "peak-below-usable-setpoints",
        &[],
        peak_below_usable_setpoints,
    ),
    records(
        Stop,
        "thermocouple-unsuited",
        &[
            "thermocouple-max-b",
            "thermocouple-max-c",
            "thermocouple-max-k",
            "thermocouple-max-n",
            "thermocouple-max-r",
            "thermocouple-max-s",
        ],
        thermocouple_unsuited,
    ),
];

/// The survey in force; where there is none, says so.
fn survey<'a>(facts: &Facts<'a>, report: &mut Report) -> Option<&'a Survey> {
    let survey = state(facts, report)?.survey.as_ref();
    if survey.is_none() {
        report.missing(vec![Subject::Furnace], missing::survey());
    }
    survey
}

fn survey_missing(facts: &Facts, report: &mut Report) {
    if let Some(state) = state(facts, report)
        && state.survey.is_none()
    {
        report.found(vec![Subject::Furnace], Vec::new());
    }
}

fn survey_out_of_date(facts: &Facts, report: &mut Report) {
    let Some(survey) = survey(facts, report) else {
        return;
    };
    if let Some(when) = due_before(facts, report, &survey.due) {
        report.found(
            vec![Subject::Furnace],
            vec![
                ("date", text(&survey.date)),
                ("due", text(&survey.due)),
                ("when", text(when)),
            ],
        );
    }
}

/// Lowest and highest surveyed setpoint, °C.
fn span(survey: &Survey) -> Option<(f64, f64)> {
    let (first, last) = (survey.points.first()?, survey.points.last()?);
    Some((first.setpoint_c, last.setpoint_c))
}

fn survey_does_not_cover_peak(facts: &Facts, report: &mut Report) {
    let Some(survey) = survey(facts, report) else {
        return;
    };
    let Some((from, to)) = span(survey) else {
        return report.missing(vec![Subject::Furnace], missing::surveyed_temperatures());
    };
    if !(from..=to).contains(&facts.peak_c) {
        report.found(
            vec![Subject::Furnace],
            vec![
                ("peak", number(Temperature, facts.peak_c, 0)),
                ("from", number(Temperature, from, 0)),
                ("to", number(Temperature, to, 0)),
            ],
        );
    }
}

/// The range common to all feedstocks, the survey, and the setpoints that it leaves. Nothing
/// where no part is placed, or where feedstocks have no range in common: both are other checks'.
fn usable<'a>(facts: &Facts<'a>, report: &mut Report) -> Option<(Range, &'a Survey, Usable)> {
    let range = *facts.sinter.as_ref()?.as_ref().ok()?;
    let survey = survey(facts, report)?;
    let found = usable_setpoints(range, survey);
    if found.is_none() {
        report.missing(vec![Subject::Furnace], missing::survey_of_sinter_range());
    }
    Some((range, survey, found?))
}

fn no_setpoint_exists(facts: &Facts, report: &mut Report) {
    let Some((range, survey, usable)) = usable(facts, report) else {
        return;
    };
    if usable.is_empty() {
        report.found(
            vec![Subject::Profile, Subject::Furnace],
            vec![
                ("from", number(Temperature, range.from_c, 0)),
                ("to", number(Temperature, range.to_c, 0)),
                ("lowest", number(Temperature, usable.from_c, 1)),
                ("highest", number(Temperature, usable.to_c, 1)),
                ("drift", number(TemperatureDifference, survey.drift_k, 0)),
                (
                    "overshoot",
                    number(TemperatureDifference, survey.overshoot_k, 0),
                ),
            ],
        );
    }
}

/// One end of the usable setpoints as a limit that the survey sets.
fn end(facts: &Facts, survey: &Survey, id: &str, name: &str, value: f64) -> Limit {
    Limit {
        id: id.to_owned(),
        name: name.to_owned(),
        value,
        unit: "°C".to_owned(),
        scope: LimitScope::Furnace(facts.plan.load.furnace.clone()),
        set_by: limits::set_by_survey(&survey.date),
        source: facts.shop.map_or_else(String::new, |s| s.source.clone()),
        standing: Standing::Derived,
        revision: 1,
        reason: String::new(),
        on_day: None,
        history: Vec::new(),
    }
}

/// The usable setpoints where there are any and the peak lies within what was surveyed.
fn usable_at_peak<'a>(facts: &Facts<'a>, report: &mut Report) -> Option<(&'a Survey, Usable)> {
    let (_, survey, usable) = usable(facts, report)?;
    let covered = span(survey).is_some_and(|(from, to)| (from..=to).contains(&facts.peak_c));
    if !covered {
        report.missing(vec![Subject::Furnace], missing::survey_at_peak());
    }
    (covered && !usable.is_empty()).then_some((survey, usable))
}

fn peak_above_usable_setpoints(facts: &Facts, report: &mut Report) {
    if let Some((survey, usable)) = usable_at_peak(facts, report) {
        let name = limits::usable_to();
        let limit = end(facts, survey, "usable-setpoint-max", name, usable.to_c);
        report.hold(
            vec![Subject::Profile],
            at_most(Temperature, facts.peak_c, 1),
            &limit,
            vec![
                ("from", number(Temperature, usable.from_c, 1)),
                ("to", number(Temperature, usable.to_c, 1)),
            ],
        );
    }
}

fn peak_below_usable_setpoints(facts: &Facts, report: &mut Report) {
    if let Some((survey, usable)) = usable_at_peak(facts, report) {
        let name = limits::usable_from();
        let limit = end(facts, survey, "usable-setpoint-min", name, usable.from_c);
        report.hold(
            vec![Subject::Profile],
            at_least(Temperature, facts.peak_c, 1),
            &limit,
            vec![
                ("from", number(Temperature, usable.from_c, 1)),
                ("to", number(Temperature, usable.to_c, 1)),
            ],
        );
    }
}

/// Id of the limit of a thermocouple by its type.
pub fn thermocouple_limit(kind: &str) -> String {
    format!("thermocouple-max-{}", kind.to_lowercase())
}

/// Thermocouples that see the peak: those fixed in the furnace, and those placed in the load.
fn thermocouple_unsuited(facts: &Facts, report: &mut Report) {
    let Some(furnace) = furnace(facts, report) else {
        return;
    };
    let placed: BTreeSet<&str> = facts
        .plan
        .placements()
        .filter_map(|(_, p)| match &p.item {
            Item::Sensor { sensor, .. } => Some(sensor.as_str()),
            _ => None,
        })
        .collect();
    for sensor in &furnace.sensors {
        if sensor.job == SensorJob::Load && !placed.contains(sensor.id.as_str()) {
            continue;
        }
        let id = thermocouple_limit(&sensor.kind);
        let Some(limit) = limit(facts, report, &id) else {
            continue;
        };
        report.hold(
            vec![Subject::Named(format!("thermocouple {}", sensor.id))],
            at_most(Temperature, facts.peak_c, 0),
            limit,
            vec![("sensor", text(&sensor.id)), ("kind", text(&sensor.kind))],
        );
    }
}
