//! Runs the checks.

use super::checks::all_checks;
use super::facts::{Facts, Given, Prepared};
use super::facts_limits::limit_to_accept;
use super::finding::{Check, Finding, Missing, Report, Sense, Subject};
use super::setpoints::Setpoints;
use crate::catalogue::{Catalogue, Severity};
use crate::load::Plan;
use crate::text::missing;
use std::collections::BTreeSet;

/// What a review came to.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Review {
    /// Findings, worst first.
    pub findings: Vec<Finding>,
    /// What could not be judged, and for want of what.
    pub missing: Vec<Missing>,
    /// Checks that ran.
    pub ran: usize,
    /// Checks that are switched off, with the reason where the shop gave one.
    pub off: Vec<(&'static str, Option<String>)>,
    /// Setpoints that the furnace leaves in the sinter range, or what is missing to say so; none
    /// where the load has no sinter range.
    pub setpoints: Option<Result<Setpoints, &'static str>>,
}

impl Review {
    /// Stops that nobody has accepted.
    pub fn open_stops(&self) -> usize {
        self.open(Severity::Stop)
    }

    /// Findings of a severity that nobody has accepted.
    pub fn open(&self, severity: Severity) -> usize {
        self.findings
            .iter()
            .filter(|f| f.severity == severity && f.accepted.is_none())
            .count()
    }

    /// Checks that were not evaluated, in full or for some subject.
    pub fn not_evaluated(&self) -> usize {
        self.missing
            .iter()
            .map(|m| m.check)
            .collect::<BTreeSet<_>>()
            .len()
    }
}

/// Reviews a plan with all checks that are on.
pub fn review(given: &Given) -> Review {
    review_of(given, Prepared::new(given))
}

/// [`review`], with what was made before of the same plan and records.
pub fn review_of(given: &Given, prepared: Prepared) -> Review {
    let facts = Facts::new(given, prepared);
    let mut out = Review {
        setpoints: facts.setpoints(),
        ..Review::default()
    };
    for check in all_checks() {
        match setting(check, given.catalogue) {
            Ok(severity) => {
                out.ran += 1;
                let (findings, missing) = run(check, severity, &facts);
                out.findings.extend(findings);
                out.missing.extend(missing);
            }
            Err(reason) => out.off.push((check.slug, reason)),
        }
    }
    for finding in &mut out.findings {
        finding.accepted = acceptance(finding, given.plan);
    }
    out.findings.sort_by(|a, b| {
        let key = |f: &Finding| {
            (
                f.accepted.is_some(),
                std::cmp::Reverse(f.severity),
                f.family,
            )
        };
        key(a)
            .cmp(&key(b))
            .then(a.check.cmp(b.check))
            .then(a.subjects.cmp(&b.subjects))
    });
    out
}

/// Runs one check over facts.
pub(super) fn run(
    check: &Check,
    severity: Severity,
    facts: &Facts,
) -> (Vec<Finding>, Vec<Missing>) {
    let mut report = Report {
        check: *check,
        severity,
        findings: Vec::new(),
        missing: Vec::new(),
    };
    facts.begin();
    (check.run)(facts, &mut report);
    for id in facts.narrower_limits() {
        report.missing(vec![Subject::Load], missing::narrower_limit(&id));
    }
    (report.findings, report.missing)
}

/// Severity in force, or the reason why the check is off. A safety check is neither switched off
/// nor lowered, whatever file says so: a load comes from anywhere.
fn setting(check: &Check, catalogue: &Catalogue) -> Result<Severity, Option<String>> {
    match catalogue.checks.iter().find(|s| s.check == check.slug) {
        Some(setting) if check.safety => {
            let severity = setting.severity.unwrap_or(check.severity);
            Ok(severity.max(check.severity))
        }
        Some(setting) if !setting.on => Err(Some(setting.reason.clone())),
        Some(setting) => Ok(setting.severity.unwrap_or(check.severity)),
        None if check.on => Ok(check.severity),
        None => Err(None),
    }
}

/// The acceptance that holds: same check, same subjects, same limit revision, and a value no worse
/// than the one accepted. A safety finding is never accepted here.
fn acceptance(finding: &Finding, plan: &Plan) -> Option<usize> {
    if super::checks::check_by_slug(finding.check).is_some_and(|c| c.safety) {
        return None;
    }
    let keys: Vec<String> = finding.subjects.iter().map(Subject::key).collect();
    plan.acceptances.iter().position(|accepted| {
        accepted.check == finding.check
            && accepted.subjects == keys
            && accepted.limit == finding.limit.as_ref().map(limit_to_accept)
            && no_worse(finding, accepted.value.as_deref())
    })
}

fn no_worse(finding: &Finding, accepted: Option<&str>) -> bool {
    let (Some(measured), Some(accepted)) = (finding.measured, accepted) else {
        return finding.measured.is_none() && finding.value_to_accept().as_deref() == accepted;
    };
    let (Ok(now), Ok(then)) = (measured.printed().parse::<f64>(), accepted.parse::<f64>()) else {
        return false;
    };
    match measured.sense {
        Sense::AtLeast => now >= then,
        Sense::AtMost => now <= then,
    }
}
