//! Records: dates, names, and whether the records in use are those of the file.

use super::common::{check, furnace, off, state, stop_when_regulated};
use crate::catalogue::Severity::{self, Caution, Note};
use crate::review::facts::Facts;
use crate::review::facts_records::day;
use crate::review::finding::{Check, Family, Report, Subject, text};
use crate::text::findings::Arg;
use crate::text::{missing, phrases};
use std::collections::BTreeMap;

const fn records(
    severity: Severity,
    slug: &'static str,
    limits: &'static [&'static str],
    run: fn(&Facts, &mut Report),
) -> Check {
    check(Family::Records, severity, slug, limits, run)
}

/// Checks of dates and names.
pub const CHECKS: &[Check] = &[
    records(Note, "shop-state-invented", &[], shop_state_invented),
    stop_when_regulated(records(Caution, "calibration-due", &[], calibration_due)),
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
/// "before the end", or neither.
pub fn due_before(facts: &Facts, report: &mut Report, due: &str) -> Option<&'static str> {
    let Some(due) = day(due) else {
        report.missing(vec![Subject::Furnace], missing::due_date());
        return None;
    };
    match facts.run_days() {
        Ok(run) if due < run.start => Some(phrases::before_start()),
        Ok(run) if due < run.end => Some(phrases::before_end()),
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
    if state.due.is_empty() {
        return report.missing(vec![Subject::Furnace], missing::calibrations());
    }
    for item in &state.due {
        if let Some(when) = due_before(facts, report, &item.due) {
            report.found(
                vec![Subject::Furnace, Subject::Named(item.what.clone())],
                vec![
                    ("what", text(&item.what)),
                    ("due", text(&item.due)),
                    ("when", text(when)),
                ],
            );
        }
    }
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
    for (kind, id) in facts.differences {
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
