//! Records: what thermocouples can tell, and what instruments make of them.

use super::common::{check, furnace, state};
use super::survey::{by_uniformity, in_use};
use crate::catalogue::Severity::{self, Caution, Stop};
use crate::catalogue::{
    Furnace, FurnaceSensor, Misread, SensorJob, SensorState, TERMINALS_C, Uniformity, standards,
};
use crate::profile::{Range, WaitFor, WaitOn};
use crate::review::facts::Facts;
use crate::review::facts_profile::Step;
use crate::review::finding::{Check, Family, Report, Subject, at_least, number, text};
use crate::text::{limits, missing, setpoints as say};
use crate::units::Quantity::{Temperature, TemperatureDifference};

const fn records(severity: Severity, slug: &'static str, run: fn(&Facts, &mut Report)) -> Check {
    check(Family::Records, severity, slug, &[], run)
}

/// Checks of thermocouples and instruments.
pub const CHECKS: &[Check] = &[
    records(
        Stop,
        "thermocouple-type-mismatch",
        thermocouple_type_mismatch,
    ),
    records(
        Caution,
        "soak-band-below-survey-spread",
        soak_band_below_survey_spread,
    ),
    records(
        Caution,
        "thermocouple-without-tolerance",
        thermocouple_without_tolerance,
    ),
];

/// Guaranteed soaks that wait for load thermocouples.
fn load_waits<'a>(facts: &Facts<'a>) -> Vec<(Step<'a>, WaitOn)> {
    let steps = facts.steps().into_iter();
    let waits = steps.filter_map(|s| Some((s, s.segment.wait_on?)));
    waits
        .filter(|(_, w)| w.on != WaitFor::Control && w.band_k > 0.0)
        .collect()
}

/// A place that the survey found farther from the setpoint than the band never comes into it,
/// however long the furnace waits. Drift and overshoot are no part of what was found.
fn soak_band_below_survey_spread(facts: &Facts, report: &mut Report) {
    let waits = load_waits(facts);
    if waits.is_empty() {
        return;
    }
    let Some(survey) = facts.state.and_then(|s| s.survey.as_ref()) else {
        return report.missing(vec![Subject::Furnace], missing::survey());
    };
    let known = Uniformity::of_survey(survey);
    for (step, wait) in waits {
        let to_c = step.segment.to_c;
        let Some(at) = known.at(to_c) else {
            report.missing(vec![step.subject()], missing::survey_at(to_c));
            continue;
        };
        let coldest_k = at.coldest_k + known.drift_k;
        let hottest_k = at.hottest_k - known.drift_k - known.overshoot_k;
        let named = ("survey-spread", limits::survey_spread());
        let spread_k = coldest_k.abs().max(hottest_k.abs());
        let limit = by_uniformity(facts, &known, named, (spread_k, "K"));
        report.hold(
            vec![step.subject()],
            at_least(TemperatureDifference, wait.band_k, 1),
            &limit,
            vec![
                ("segment", text((step.index + 1).to_string())),
                ("target", number(Temperature, to_c, 0)),
                ("coldest", number(TemperatureDifference, coldest_k, 1)),
                ("hottest", number(TemperatureDifference, hottest_k, 1)),
            ],
        );
    }
}

/// Thermocouples that are relied on in the debind range: the control's always, those in the load
/// where a segment there waits for them.
fn relied_on_in_debind<'a>(
    facts: &Facts,
    furnace: &'a Furnace,
    span: Range,
) -> Vec<&'a FurnaceSensor> {
    let waits = load_waits(facts).iter().any(|(s, _)| s.is_in(span));
    let mut used = in_use(facts, furnace);
    used.retain(|s| match s.job {
        SensorJob::Control => true,
        SensorJob::Load => waits,
        SensorJob::OverTemperature | SensorJob::Monitor => false,
    });
    used
}

/// What is in a slot now, where the shop noted it.
fn noted<'a>(facts: &Facts<'a>, sensor: &FurnaceSensor) -> Option<&'a SensorState> {
    facts.state?.sensors.iter().find(|s| s.slot == sensor.id)
}

/// Type of what is in a slot: as the shop noted it, else as the furnace's record has it.
pub(super) fn kind_in_slot<'a>(facts: &Facts<'a>, sensor: &'a FurnaceSensor) -> &'a str {
    noted(facts, sensor).map_or(&sensor.kind, |s| &s.kind)
}

fn thermocouple(sensor: &FurnaceSensor) -> Vec<Subject> {
    vec![Subject::Named(format!("thermocouple {}", sensor.id))]
}

fn thermocouple_without_tolerance(facts: &Facts, report: &mut Report) {
    let Some(furnace) = furnace(facts, report) else {
        return;
    };
    facts.unknown_records(report);
    let Some(span) = facts.debind_span() else {
        return;
    };
    for sensor in relied_on_in_debind(facts, furnace, span) {
        let kind = kind_in_slot(facts, sensor);
        let ends = [span.from_c, span.to_c];
        let stated = ends.map(|c| standards().any_tolerance_at(kind, c));
        if stated.contains(&None) {
            report.missing(thermocouple(sensor), missing::tolerance_of(kind));
        } else if stated.contains(&Some(false)) {
            report.found(
                thermocouple(sensor),
                vec![
                    ("sensor", text(&sensor.id)),
                    ("kind", text(kind)),
                    ("from", number(Temperature, span.from_c, 0)),
                    ("to", number(Temperature, span.to_c, 0)),
                ],
            );
        }
    }
}

/// What controller and logger make of a thermocouple of another type than they are set to, at the
/// peak of this load.
fn thermocouple_type_mismatch(facts: &Facts, report: &mut Report) {
    let Some(furnace) = furnace(facts, report) else {
        return;
    };
    if state(facts, report).is_none() {
        return;
    }
    for sensor in in_use(facts, furnace) {
        let noted = noted(facts, sensor);
        let set = noted.and_then(|s| Some((&s.kind, s.logger_kind.as_ref()?)));
        let Some((kind, set)) = set else {
            report.missing(thermocouple(sensor), missing::instrument_kind());
            continue;
        };
        if kind.eq_ignore_ascii_case(set) {
            continue;
        }
        let shown = match standards().misread(kind, set, facts.peak_c, TERMINALS_C) {
            Misread::Shows(c) => say::shows(c),
            Misread::OffScale => say::off_scale().to_owned(),
            Misread::Unknown => say::misread().to_owned(),
        };
        report.found(
            thermocouple(sensor),
            vec![
                ("sensor", text(&sensor.id)),
                ("kind", text(kind)),
                ("set", text(set)),
                ("peak", number(Temperature, facts.peak_c, 0)),
                ("shown", text(shown)),
            ],
        );
    }
}
