//! Runs the checks.

use super::acceptance::{acceptance, by_procedure, lapsed};
use super::cautions::{RecordCaution, cautions};
use super::checks::{all_checks, check_by_slug};
use super::facts::{Facts, Given, Prepared};
use super::finding::{
    Check, Family, Finding, Missing, Needs, Report, Subject, WhenRegulated, text,
};
use super::questions::{AskedQuestion, asked};
use super::setpoints::Setpoints;
use super::settings::{Settings, in_force};
use super::topics::{TOPICS, Topic};
use crate::catalogue::{CheckSetting, Severity};
use crate::text::missing;
use std::collections::{BTreeMap, BTreeSet};

/// What a review came to.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Review {
    /// Findings, worst first.
    pub findings: Vec<Finding>,
    /// What could not be judged, and for want of what.
    pub missing: Vec<Missing>,
    /// Checks that ran.
    pub ran: usize,
    /// Topics of which some check ran.
    pub topics: usize,
    /// Checks that are switched off, with the reason where the shop gave one.
    pub off: Vec<(&'static str, Option<String>)>,
    /// Checks that wait for a forecast; they are not evaluated.
    pub unforecast: Vec<&'static str>,
    /// Questions that somebody has to answer before this load runs.
    pub asked: Vec<AskedQuestion>,
    /// Settings of checks that hold for something in this load.
    pub settings: Vec<CheckSetting>,
    /// What the records of gases, binders and alloys in the run say to watch.
    pub cautions: Vec<RecordCaution>,
    /// Setpoints that the furnace leaves in the sinter range, or what is missing to say so; none
    /// where the load has no sinter range.
    pub setpoints: Option<Result<Setpoints, &'static str>>,
}

impl Review {
    /// Stops that nobody has accepted.
    pub fn open_stops(&self) -> usize {
        self.open(Severity::Stop)
    }

    /// Stops that somebody has taken on.
    pub fn stops_taken_on(&self) -> usize {
        let stops = self
            .findings
            .iter()
            .filter(|f| f.severity == Severity::Stop);
        stops.filter(|f| f.accepted.is_some()).count()
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
            + self.unforecast.len()
    }
}

impl Review {
    /// Of [`Review::not_evaluated`] those that concern people.
    pub fn safety_not_evaluated(&self) -> usize {
        let missing = self.missing.iter().map(|m| m.check);
        let all: BTreeSet<&str> = missing.chain(self.unforecast.iter().copied()).collect();
        let safety = |slug: &&&str| check_by_slug(slug).is_some_and(|check| check.safety);
        all.iter().filter(safety).count()
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
        settings: in_force(&facts),
        asked: asked(&facts),
        cautions: cautions(&facts),
        setpoints: facts.setpoints(),
        ..Review::default()
    };
    let mut ran = BTreeSet::new();
    let regulated = facts.regulated();
    let registered = |c: &&Check| c.regulated != WhenRegulated::Only || regulated;
    for check in all_checks().filter(registered) {
        let settings = Settings::of(check, &facts);
        if let Err(reason) = settings.runs() {
            out.off.push((check.slug, reason));
            continue;
        }
        ran.insert(check.slug);
        if check.needs == Needs::Forecast && facts.forecast.is_none() {
            out.unforecast.push(check.slug);
            continue;
        }
        let (mut findings, missing) = run(check, &facts);
        if check.family == Family::Geometry {
            findings.iter_mut().for_each(|f| bind_to_place(f, &facts));
        }
        findings.iter_mut().for_each(|f| bind_to_step(f, &facts));
        findings.iter_mut().for_each(|f| bind_to_part(f, &facts));
        let mixed = check.family == Family::Mixing || check.slug == "binder-systems-mixed";
        if (mixed || check.needs == Needs::Declaration) && !findings.is_empty() {
            let is = load_as_it_is(&facts);
            findings.iter_mut().for_each(|f| bind_to_load(f, &is));
        }
        out.findings.extend(findings.into_iter().filter_map(|f| {
            let severity = settings.judge(&f.subjects, f.severity, f.safety)?;
            Some(Finding { severity, ..f })
        }));
        let kept = |m: &Missing| {
            let judged = settings.judge(&m.subjects, check.severity, check.safety);
            judged.is_some() || check.some_safety
        };
        out.missing.extend(missing.into_iter().filter(kept));
    }
    let some_ran = |t: &&Topic| t.checks.iter().any(|slug| ran.contains(slug));
    out.ran = ran.len();
    out.topics = TOPICS.iter().filter(some_ran).count();
    for finding in &mut out.findings {
        finding.accepted = acceptance(finding, &facts);
        if finding.accepted.is_none() {
            finding.lapsed = lapsed(finding, &facts);
        }
        let accepted = finding.accepted.and_then(|i| given.plan.acceptances.get(i));
        if let Some(accepted) = accepted.filter(|_| finding.safety) {
            finding.done_under = by_procedure(accepted, &facts).cloned();
        }
    }
    out.findings.sort_by(|a, b| {
        let key = |f: &Finding| (f.is_gone(), std::cmp::Reverse(f.severity), f.family);
        key(a)
            .cmp(&key(b))
            .then(a.check.cmp(b.check))
            .then(a.subjects.cmp(&b.subjects))
    });
    out
}

/// What touches without a measured depth is accepted where it stands: once moved, it may touch
/// worse.
fn bind_to_place(finding: &mut Finding, facts: &Facts) {
    if finding.measured.is_some() {
        return;
    }
    let placed = finding.subjects.iter().filter_map(|subject| match subject {
        Subject::Placement(id) => facts.stands(*id),
        _ => None,
    });
    let mut stands: Vec<String> = placed
        .map(|(level, p)| {
            let [x, y] = p.at_mm;
            let part = p.item.part().and_then(|id| facts.plan.part(id));
            // Another size or another pose touches otherwise, from the same place.
            let size = part.map_or_else(String::new, |part| {
                let volume = part.geometry.volume_mm3;
                format!(" {volume:.1} {:?} {:?}", part.rest, part.made_with_oversize)
            });
            format!("{} {x:.2} {y:.2} {:.2}{size}", level.id.0, p.angle_deg)
        })
        .collect();
    let mut stacks = facts.plan.load.stacks.iter().filter(|stack| {
        let of = |s: &Subject| match s {
            Subject::Stack(id) => *id == stack.id,
            Subject::Level(id) => stack.levels.iter().any(|l| l.id == *id),
            _ => false,
        };
        finding.subjects.iter().any(of)
    });
    if let Some(stack) = stacks.next() {
        let [x, y] = stack.at_mm;
        stands.push(format!("{x:.2} {y:.2}"));
    }
    if !stands.is_empty() {
        finding.args.push(("stands", text(stands.join(", "))));
    }
}

/// What is wrong in a segment without a number for it is accepted for that segment as it runs: with
/// a longer hold or a higher target it may be worse.
fn bind_to_step(finding: &mut Finding, facts: &Facts) {
    if finding.measured.is_some() {
        return;
    }
    let of = |subject: &Subject| match subject {
        Subject::Segment(id) => facts.plan.profile.segments.iter().find(|s| s.id == *id),
        _ => None,
    };
    let runs: Vec<String> = finding
        .subjects
        .iter()
        .filter_map(of)
        .map(|s| {
            let [flow, hold] = [s.flow_l_min_25c, s.hold_min];
            format!(
                "{:?} {} {hold} {:?} {flow} {:?} {:?}",
                s.ramp, s.to_c, s.gas, s.pressure_mbar, s.wait_on
            )
        })
        .collect();
    if !runs.is_empty() {
        finding.args.push(("runs", text(runs.join(", "))));
    }
}

/// What is wrong with a part or a lot without a number for it is accepted for that size, that many
/// pieces, and what the lot's record says of bath and dryer.
fn bind_to_part(finding: &mut Finding, facts: &Facts) {
    if finding.measured.is_some() {
        // Of what concerns people all that is said beside the number has to stay.
        if finding.safety && finding.beside.is_none() {
            let number = |name: &str| ["value", "limit", "how"].contains(&name);
            let args = finding.args.iter().filter(|(name, _)| !number(name));
            let args: Vec<String> = args.map(|(_, arg)| arg.to_string()).collect();
            finding.beside = (!args.is_empty()).then(|| args.join("; "));
        }
        return;
    }
    if finding.family == Family::Furniture {
        finding.args.push(("peak", text(facts.peak_c.to_string())));
    }
    let part = |id| {
        let placed = facts.placed.iter().find(|p| p.part.id == id);
        let (pieces, part) = (placed.map_or(0, |p| p.pieces), facts.plan.part(id)?);
        let volume = part.geometry.volume_mm3;
        Some(format!("{pieces} {volume:.1} {:?}", part.section_mm))
    };
    let of = |subject: &Subject| match subject {
        Subject::Part(id) => part(*id),
        Subject::Lot(id) => {
            let lot = facts.plan.lots.iter().find(|l| l.id == *id)?;
            let ended = lot.bath.as_ref().and_then(|b| b.ended.as_deref());
            let start = (&facts.plan.planned_start, &facts.plan.planned_start_time);
            let masses = (lot.green_g, lot.dry_g, lot.previous_dry_g, lot.dried_min);
            let of = part(lot.part)?;
            Some(format!(
                "{of} {ended:?} {:?} {masses:?} {start:?}",
                lot.dry_at
            ))
        }
        _ => None,
    };
    let is: Vec<String> = finding.subjects.iter().filter_map(of).collect();
    if !is.is_empty() {
        finding.args.push(("is", text(is.join(", "))));
    }
}

/// Pieces of each alloy, levels and the run.
fn load_as_it_is(facts: &Facts) -> String {
    let mut pieces: BTreeMap<&str, usize> = BTreeMap::new();
    for one in facts.pieces() {
        let alloy = one.records.map_or("", |r| r.alloy.id.as_str());
        *pieces.entry(alloy).or_default() += one.count;
    }
    let (levels, run) = (facts.plan.levels().count(), facts.run_as_it_is());
    format!("{pieces:?} {levels} {run}")
}

/// What is wrong with things that share a load is accepted for the load as it is.
fn bind_to_load(finding: &mut Finding, is: &str) {
    match finding.measured {
        None => finding.args.push(("load", text(is))),
        Some(_) if finding.beside.is_none() => finding.beside = Some(is.to_owned()),
        Some(_) => {}
    }
}

/// Runs one check over facts.
fn run(check: &Check, facts: &Facts) -> (Vec<Finding>, Vec<Missing>) {
    let mut report = Report {
        check: *check,
        severity: check.severity,
        safety: check.safety,
        findings: Vec::new(),
        missing: Vec::new(),
    };
    facts.begin(check.safety || check.some_safety);
    (check.run)(facts, &mut report);
    for id in facts.narrower_limits() {
        report.missing(vec![Subject::Load], missing::narrower_limit(&id));
    }
    (report.findings, report.missing)
}
