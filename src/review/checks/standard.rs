//! What a load has otherwise than the standard that it began from.

use super::common::{check, limit, records};
use crate::catalogue::Severity::{Caution, Note};
use crate::load::{Affects, Difference, PartRecords, Plan, since_standard};
use crate::review::facts::Facts;
use crate::review::finding::{
    Check, Family, Measured, Report, Subject, at_least, at_most, number, text,
};
use crate::text::findings::Arg;
use crate::text::{furnace_records, in_english, standards as say};
use crate::units::Quantity::{Fraction, Mass};
use std::collections::BTreeMap;

/// The checks. Of the first two only the graver speaks.
pub const CHECKS: &[Check] = &[
    records(Caution, "differs-from-standard", &[], differs_from_standard),
    records(Note, "moved-since-standard", &[], moved_since_standard),
    check(
        Family::Mass,
        Caution,
        "lighter-than-standard",
        &["standard-mass-min"],
        lighter_than_standard,
    ),
    check(
        Family::Mass,
        Caution,
        "heavier-than-standard",
        &["standard-mass-max"],
        heavier_than_standard,
    ),
];

/// Differences that one finding writes out; the others are counted.
const WRITTEN_OUT: usize = 4;

/// The standard; none where the load began from none, and where it is not at hand that is said.
fn standard<'a>(facts: &Facts<'a>, report: &mut Report) -> Option<&'a Plan> {
    let begun_from = facts.plan.begun_from.as_ref()?;
    if facts.standard.is_none() {
        report.missing(vec![Subject::Load], say::standard_load(begun_from));
    }
    facts.standard
}

fn name<'n>(facts: &'n Facts, standard: &'n Plan) -> &'n str {
    match standard.title.trim() {
        "" => facts.plan.begun_from.as_deref().unwrap_or_default(),
        title => title,
    }
}

/// What can affect the parts beyond gaps and what carries what.
fn weighty(difference: &Difference) -> bool {
    difference.affects < Affects::Clearance
}

/// What can affect the result of the run: not lots, limits or notes.
fn changes<'f>(facts: &'f Facts, standard: &Plan) -> &'f [Difference] {
    facts.since_standard.get_or_init(|| {
        // Findings keep their arguments in one language; the sentence as a whole is translated.
        let mut found = in_english(|| since_standard(standard, facts.plan, facts.catalogue));
        found.retain(|d| d.affects <= Affects::StabilityAndMass);
        found
    })
}

fn tell(facts: &Facts, report: &mut Report, standard: &Plan, changes: &[Difference]) {
    let sentences: Vec<&str> = changes
        .iter()
        .take(WRITTEN_OUT)
        .map(|d| d.sentence.as_str())
        .collect();
    let args = vec![
        ("standard", text(name(facts, standard))),
        ("count", Arg::Count(changes.len())),
        (
            "what",
            text(say::changes(&sentences, changes.len() - sentences.len())),
        ),
    ];
    report.found(vec![Subject::Load], args);
}

fn differs_from_standard(facts: &Facts, report: &mut Report) {
    let Some(standard) = standard(facts, report) else {
        return;
    };
    let changes = changes(facts, standard);
    if changes.iter().any(weighty) {
        tell(facts, report, standard, changes);
    }
}

fn moved_since_standard(facts: &Facts, report: &mut Report) {
    let Some(standard) = standard(facts, report) else {
        return;
    };
    let changes = changes(facts, standard);
    if !changes.is_empty() && !changes.iter().any(weighty) {
        tell(facts, report, standard, changes);
    }
}

/// Green mass of parts and coupons, g; none where one is unknown.
fn green_g(facts: &Facts, plan: &Plan) -> Option<f64> {
    let mut pieces: BTreeMap<u32, usize> = BTreeMap::new();
    for (_, placement) in plan.placements() {
        if let Some(part) = placement.item.part() {
            *pieces.entry(part.0).or_default() += 1;
        }
    }
    let masses = pieces.into_iter().map(|(id, count)| {
        let part = plan.parts.iter().find(|p| p.id.0 == id)?;
        let masses = PartRecords::new(part, facts.catalogue)?.masses(0.0)?;
        Some(count as f64 * masses.green_g)
    });
    masses.sum()
}

/// The charge against the standard's. Where the shop states for which charge it was tried, that is
/// another check.
fn mass_ratio(
    facts: &Facts,
    report: &mut Report,
    id: &str,
    measured: fn(crate::units::Quantity, f64, usize) -> Measured,
) {
    if facts.plan.validated_kg.is_some() {
        return;
    }
    let Some(standard) = standard(facts, report) else {
        return;
    };
    let masses = green_g(facts, facts.plan).zip(green_g(facts, standard));
    let Some((is_g, was_g)) = masses.filter(|(_, was)| *was > 0.0) else {
        return report.missing(vec![Subject::Load], furnace_records::mass_of_parts());
    };
    let Some(limit) = limit(facts, report, id) else {
        return;
    };
    let args = vec![
        ("standard", text(name(facts, standard))),
        ("is", number(Mass, is_g, 0)),
        ("was", number(Mass, was_g, 0)),
    ];
    let ratio = measured(Fraction, is_g / was_g, 0);
    report.hold(vec![Subject::Load], ratio, limit, args);
}

fn lighter_than_standard(facts: &Facts, report: &mut Report) {
    mass_ratio(facts, report, "standard-mass-min", at_least);
}

fn heavier_than_standard(facts: &Facts, report: &mut Report) {
    mass_ratio(facts, report, "standard-mass-max", at_most);
}
