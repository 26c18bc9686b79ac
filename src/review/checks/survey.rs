//! Records: survey and thermocouples against the peak.

use super::common::{furnace, limit, records, state, stop_when_regulated};
use super::records::due_before;
use super::thermometry::kind_in_slot;
use crate::catalogue::Severity::{Caution, Stop};
use crate::catalogue::{
    Basis, Furnace, FurnaceSensor, Limit, LimitScope, SensorJob, Standing, Survey, Uniformity,
    Usable,
};
use crate::load::Item;
use crate::review::facts::Facts;
use crate::review::finding::{Check, Report, Subject, at_least, at_most, number, text};
use crate::review::setpoints::{self, Setpoints};
use crate::text::findings::Arg;
use crate::text::{limits, missing, on_paper};
use crate::units::Quantity::{Number, Temperature};
use std::collections::BTreeSet;

/// Checks of survey and thermocouples.
pub const CHECKS: &[Check] = &[
    stop_when_regulated(records(Caution, "survey-missing", &[], survey_missing)),
    stop_when_regulated(records(
        Caution,
        "survey-out-of-date",
        &[],
        survey_out_of_date,
    )),
    stop_when_regulated(records(
        Caution,
        "survey-does-not-cover-peak",
        &[],
        survey_does_not_cover_peak,
    )),
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
    if let Some((when, days)) = due_before(facts, report, &survey.due) {
        let args = vec![
            ("date", text(&survey.date)),
            ("due", text(&survey.due)),
            ("when", text(when)),
        ];
        let days = at_most(Number, days as f64, 0);
        report.found_at(vec![Subject::Furnace], days, args);
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
    // Above it, the stops that go by the hottest place cannot be judged.
    if facts.peak_c > to {
        report.rank(Stop, false);
    }
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

/// Setpoints that the furnace leaves, or says what is missing to know them. Those of a survey that
/// is not in force go on to find what is beyond them, and pass nothing.
fn usable(facts: &Facts, report: &mut Report) -> Option<Setpoints> {
    facts.unknown_records(report);
    match facts.setpoints()? {
        Ok(found) => {
            if !found.doubts.is_empty() {
                report.missing(vec![Subject::Furnace], missing::survey_in_force());
            }
            Some(found)
        }
        Err(what) => {
            report.missing(vec![Subject::Furnace], what);
            None
        }
    }
}

fn no_setpoint_exists(facts: &Facts, report: &mut Report) {
    let Some(found) = usable(facts, report) else {
        return;
    };
    let Setpoints {
        range,
        known,
        usable,
        ..
    } = found;
    if usable.is_empty() {
        report.found(
            vec![Subject::Profile, Subject::Furnace],
            vec![
                ("from", number(Temperature, range.from_c, 0)),
                ("to", number(Temperature, range.to_c, 0)),
                ("lowest", number(Temperature, usable.from_c, 1)),
                ("highest", number(Temperature, usable.to_c, 1)),
                ("known", text(setpoints::counted(&known))),
            ],
        );
    }
}

/// What follows from how hot a place may be, as a limit whose owner is what that rests on.
pub(super) fn by_uniformity(
    facts: &Facts,
    known: &Uniformity,
    (id, name): (&str, &str),
    (value, unit): (f64, &str),
) -> Limit {
    Limit {
        id: id.to_owned(),
        name: name.to_owned(),
        value,
        unit: unit.to_owned(),
        scope: LimitScope::Furnace(facts.plan.load.furnace.clone()),
        set_by: setpoints::set_by(&known.basis),
        source: facts.shop.map_or_else(String::new, |s| s.source.clone()),
        standing: Standing::Derived,
        revision: 1,
        reason: String::new(),
        on_day: None,
        history: Vec::new(),
    }
}

/// The usable setpoints where there are any and the furnace is known at the peak.
fn usable_at_peak(facts: &Facts, report: &mut Report) -> Option<Setpoints> {
    let found = usable(facts, report)?;
    let covered = found.known.at(facts.peak_c).is_some();
    if !covered {
        let lacks = match found.known.basis {
            Basis::Sum { .. } => on_paper::tolerance_at_peak(),
            Basis::Survey { .. } | Basis::Class { .. } => missing::survey_at_peak(),
        };
        report.missing(vec![Subject::Furnace], lacks);
    }
    (covered && !found.usable.is_empty()).then_some(found)
}

fn peak_above_usable_setpoints(facts: &Facts, report: &mut Report) {
    if let Some(Setpoints { known, usable, .. }) = usable_at_peak(facts, report) {
        let named = ("usable-setpoint-max", limits::usable_to());
        let limit = by_uniformity(facts, &known, named, (usable.to_c, "°C"));
        report.hold(
            vec![Subject::Profile],
            at_most(Temperature, facts.peak_c, 1),
            &limit,
            ends(usable),
        );
    }
}

fn peak_below_usable_setpoints(facts: &Facts, report: &mut Report) {
    if let Some(Setpoints { known, usable, .. }) = usable_at_peak(facts, report) {
        let named = ("usable-setpoint-min", limits::usable_from());
        let limit = by_uniformity(facts, &known, named, (usable.from_c, "°C"));
        report.hold(
            vec![Subject::Profile],
            at_least(Temperature, facts.peak_c, 1),
            &limit,
            ends(usable),
        );
    }
}

fn ends(usable: Usable) -> Vec<(&'static str, Arg)> {
    vec![
        ("from", number(Temperature, usable.from_c, 1)),
        ("to", number(Temperature, usable.to_c, 1)),
    ]
}

/// Id of the limit of a thermocouple by its type.
pub fn thermocouple_limit(kind: &str) -> String {
    format!("thermocouple-max-{}", kind.to_lowercase())
}

/// Thermocouples in use: those fixed in the furnace, and those placed in the load.
pub(super) fn in_use<'a>(facts: &Facts, furnace: &'a Furnace) -> Vec<&'a FurnaceSensor> {
    let placed: BTreeSet<&str> = facts
        .plan
        .placements()
        .filter_map(|(_, p)| match &p.item {
            Item::Sensor { sensor, .. } => Some(sensor.as_str()),
            _ => None,
        })
        .collect();
    let used = |s: &&FurnaceSensor| s.job != SensorJob::Load || placed.contains(s.id.as_str());
    furnace.sensors.iter().filter(used).collect()
}

/// Thermocouples that see the peak, by the type that is in the slot.
fn thermocouple_unsuited(facts: &Facts, report: &mut Report) {
    let Some(furnace) = furnace(facts, report) else {
        return;
    };
    for sensor in in_use(facts, furnace) {
        let kind = kind_in_slot(facts, sensor);
        let id = thermocouple_limit(kind);
        let Some(limit) = limit(facts, report, &id) else {
            continue;
        };
        report.hold(
            vec![Subject::Named(format!("thermocouple {}", sensor.id))],
            at_most(Temperature, facts.peak_c, 0),
            limit,
            vec![("sensor", text(&sensor.id)), ("kind", text(kind))],
        );
    }
}
