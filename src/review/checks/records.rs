//! Records: dates, names, and whether the records in use are those of the file.

use super::common::{furnace, off, records, state, stop_when_regulated};
use crate::catalogue::Severity::{Caution, Note};
use crate::catalogue::when::day;
use crate::catalogue::{CalibrationKind, when};
use crate::review::facts::{Facts, MESH_OTHER};
use crate::review::finding::{Check, Report, Subject, at_most, text};
use crate::text::findings::Arg;
use crate::text::{furnace_records, missing, phrases};
use crate::units::Quantity::Number;
use std::collections::BTreeMap;

/// Checks of dates and names.
pub const CHECKS: &[Check] = &[
    records(Note, "shop-state-invented", &[], shop_state_invented),
    Check {
        some_safety: true,
        ..stop_when_regulated(records(Caution, "calibration-due", &[], calibration_due))
    },
    records(Caution, "trap-never-emptied", &[], trap_never_emptied),
    off(records(Caution, "coupon-missing", &[], coupon_missing)),
    records(
        Note,
        "record-differs-from-file",
        &[],
        record_differs_from_file,
    ),
    records(Caution, "duplicate-names", &[], duplicate_names),
];

/// The program brings the state of a shop that does not exist; a real load must not lean on it
/// unseen.
fn shop_state_invented(facts: &Facts, report: &mut Report) {
    match facts.shop {
        Some(shop) if shop.source == "invented" => {
            report.found(vec![Subject::Load], vec![("shop", text(&shop.name))]);
        }
        Some(_) => {}
        None => report.missing(vec![Subject::Load], missing::shop_state()),
    }
}

/// Whether a day on which something falls due lies before the end of the run: "before the start",
/// "before the end", or neither; with the days from then to the end.
pub fn due_before(facts: &Facts, report: &mut Report, due: &str) -> Option<(&'static str, i64)> {
    let Some(due) = day(due) else {
        report.missing(vec![Subject::Furnace], missing::due_date());
        return None;
    };
    match facts.run_days() {
        Ok(run) if due < run.end => {
            let when = match due < run.start {
                true => phrases::before_start(),
                false => phrases::before_end(),
            };
            Some((when, when::days_between(due, run.end) as i64))
        }
        Ok(_) => None,
        Err(what) => {
            report.missing(vec![Subject::Load], what);
            None
        }
    }
}

fn calibration_due(facts: &Facts, report: &mut Report) {
    let Some(state) = state(facts, report) else {
        return;
    };
    if state.due.is_empty() && state.calibrations.is_empty() {
        return report.missing(vec![Subject::Furnace], missing::calibrations());
    }
    let by_kind = state.calibrations.iter().map(|c| {
        let what = if c.what.is_empty() {
            c.kind.word()
        } else {
            &c.what
        };
        (what, Some(c.kind), &c.due)
    });
    let by_word = state.due.iter().map(|item| {
        let of = |k: &CalibrationKind| is_called(&item.what, *k);
        let kind = PROTECTS.into_iter().find(of);
        (item.what.as_str(), kind, &item.due)
    });
    for (what, kind, due) in by_word.chain(by_kind) {
        let protects = kind.is_some_and(|kind| PROTECTS.contains(&kind));
        report.rank(Caution, protects);
        if let Some((when, days)) = due_before(facts, report, due) {
            let args = vec![
                ("what", text(what)),
                ("due", text(due)),
                ("when", text(when)),
            ];
            let subjects = vec![Subject::Furnace, Subject::Named(what.to_owned())];
            report.found_at(subjects, at_most(Number, days as f64, 0), args);
        }
    }
    for kind in calibrations_wanted(facts) {
        let listed = state.calibrations.iter().any(|c| c.kind == kind)
            || state.due.iter().any(|d| is_called(&d.what, kind));
        if !listed {
            let what = furnace_records::calibration(kind.word());
            report.missing(vec![Subject::Furnace], what);
        }
    }
}

/// Instruments that protect people: what they read too late is no paper matter.
const PROTECTS: [CalibrationKind; 2] = [
    CalibrationKind::OverTemperature,
    CalibrationKind::HydrogenSensor,
];

fn is_called(what: &str, kind: CalibrationKind) -> bool {
    what.trim().eq_ignore_ascii_case(kind.word())
}

/// What this load leans on: nobody can say that it is in date while nobody lists it.
fn calibrations_wanted(facts: &Facts) -> Vec<CalibrationKind> {
    use CalibrationKind::{
        ControlThermocouple, DewPointMeter, FlowMeters, HydrogenSensor, Instrument,
        OverTemperature, PressureGauges, SystemAccuracy,
    };
    let segments = &facts.plan.profile.segments;
    let mut wanted = vec![
        SystemAccuracy,
        Instrument,
        ControlThermocouple,
        OverTemperature,
    ];
    if segments.iter().any(|s| s.pressure_mbar.is_some()) {
        wanted.push(PressureGauges);
    }
    if segments.iter().any(|s| s.flow_l_min_25c > 0.0) {
        wanted.push(FlowMeters);
    }
    if facts.fuel_path(1.0).is_some() {
        wanted.extend([DewPointMeter, HydrogenSensor]);
    }
    wanted
}

fn trap_never_emptied(facts: &Facts, report: &mut Report) {
    let Some(furnace) = furnace(facts, report) else {
        return;
    };
    if furnace.trap.is_none() {
        return;
    }
    let Some(state) = state(facts, report) else {
        return;
    };
    if state.trap_emptied.is_none() {
        report.found(
            vec![Subject::Furnace],
            vec![("furnace", text(&furnace.name))],
        );
    }
}

fn coupon_missing(facts: &Facts, report: &mut Report) {
    let whole = &facts.tally.whole;
    if whole.parts > 0 && whole.coupons == 0 {
        report.found(
            vec![Subject::Load],
            vec![("count", Arg::Count(whole.parts))],
        );
    }
}

fn record_differs_from_file(facts: &Facts, report: &mut Report) {
    let of_records = |d: &&(String, String)| d.0 != MESH_OTHER;
    for (kind, id) in facts.differences.iter().filter(of_records) {
        report.found(
            vec![Subject::Named(format!("{kind} {id}"))],
            vec![("kind", text(kind)), ("id", text(id))],
        );
    }
}

fn duplicate_names(facts: &Facts, report: &mut Report) {
    let mut named: BTreeMap<(&str, &str), Vec<Subject>> = BTreeMap::new();
    for part in &facts.plan.parts {
        let same = named.entry(("parts", part.name.trim())).or_default();
        same.push(Subject::Part(part.id));
    }
    for lot in &facts.plan.lots {
        let same = named.entry(("lots", lot.name.trim())).or_default();
        same.push(Subject::Lot(lot.id));
    }
    for ((kind, name), subjects) in named {
        if subjects.len() > 1 {
            let args = vec![
                ("count", Arg::Count(subjects.len())),
                ("kind", text(kind)),
                ("name", text(name)),
            ];
            report.found(subjects, args);
        }
    }
}
