//! Whether somebody has taken a finding on.

use super::checks::check_by_slug;
use super::facts::Facts;
use super::facts_limits::limit_to_accept;
use super::finding::{BESIDE, Finding, Sense, Subject, WhenRegulated};
use crate::catalogue::{ShopState, when};
use crate::load::{Acceptance, ProcedureRef};
use crate::text::finding_accept as say;
use crate::units::show_in_words;

/// The acceptance that holds: same check, same subjects, same limit, and a value no worse than the
/// one accepted. In a regulated shop a role stands behind it; behind a safety finding always a
/// written procedure of the furnace.
pub(super) fn acceptance(finding: &Finding, facts: &Facts) -> Option<usize> {
    let keys: Vec<String> = finding.subjects.iter().map(Subject::key).collect();
    facts.plan.acceptances.iter().position(|accepted| {
        accepted.check == finding.check
            && accepted.subjects == keys
            && accepted.limit == finding.limit.as_ref().map(limit_to_accept)
            && no_worse(finding, accepted.value.as_deref())
            && entitled(accepted, facts)
            && (!finding.safety || by_procedure(accepted, facts).is_some())
    })
}

/// An acceptance that was given for a finding and does not hold for it, with the first reason; the
/// last one that was given.
pub(super) fn lapsed(finding: &Finding, facts: &Facts) -> Option<(usize, String)> {
    let keys: Vec<String> = finding.subjects.iter().map(Subject::key).collect();
    let given = facts.plan.acceptances.iter().enumerate();
    let mut given = given.filter(|(_, a)| a.check == finding.check && a.subjects == keys);
    let (index, accepted) = given.next_back()?;
    let why = if accepted.limit != finding.limit.as_ref().map(limit_to_accept) {
        say::other_limit().to_owned()
    } else if !no_worse(finding, accepted.value.as_deref()) {
        match (finding.measured, &accepted.value) {
            (Some(measured), Some(then)) => {
                let (value, beside) = with_beside(then);
                let shown = |v: f64| show_in_words(measured.quantity, v, measured.digits);
                match value.parse() {
                    Ok(value) if beside == finding.beside.as_deref() => {
                        say::worse(&shown(value), &shown(measured.value))
                    }
                    _ => say::rests_on_other().to_owned(),
                }
            }
            _ => say::otherwise().to_owned(),
        }
    } else if facts.is_after_start(&accepted.on) {
        say::after_start().to_owned()
    } else if asked_of_all(accepted, facts) {
        say::asked_of_all().to_owned()
    } else if !entitled(accepted, facts) {
        say::not_entitled().to_owned()
    } else {
        say::no_such_procedure().to_owned()
    };
    Some((index, why))
}

/// The procedure that an acceptance goes by, where the furnace has it in that revision and it
/// covers the check.
pub(super) fn by_procedure<'a>(
    accepted: &'a Acceptance,
    facts: &Facts,
) -> Option<&'a ProcedureRef> {
    let named = accepted.procedure.as_ref()?;
    let furnace = &facts.plan.load.furnace;
    covers(facts.shop?, furnace, named, &accepted.check).then_some(named)
}

/// Whether a furnace has a written procedure, in that revision, for findings of a check. What only
/// a load says of its furnace does not count.
pub fn covers(shop: &ShopState, furnace: &str, named: &ProcedureRef, check: &str) -> bool {
    let same = |name: &str, revision: &str| name == named.name && revision == named.revision;
    let state = shop.furnaces.iter().find(|f| f.furnace == furnace);
    let mut procedures = state.iter().flat_map(|state| &state.procedures);
    !shop.carried
        && procedures
            .any(|p| same(&p.name, &p.revision) && p.covers.iter().any(|slug| slug == check))
}

/// Nobody takes on a finding of a load that has run. In a regulated shop only a role accepts, and
/// only a role that the person has and was qualified for on that day.
fn entitled(accepted: &Acceptance, facts: &Facts) -> bool {
    if facts.is_after_start(&accepted.on) || asked_of_all(accepted, facts) {
        return false;
    }
    let on = when::day(&accepted.on);
    let Some(shop) = facts.shop.filter(|shop| shop.regulated) else {
        return true;
    };
    let Some(role) = accepted.role.as_deref().filter(|r| !r.trim().is_empty()) else {
        return false;
    };
    let person = shop.people.iter().find(|p| p.name == accepted.by);
    let qualified = |until: &String| {
        when::day(until)
            .zip(on)
            .is_some_and(|(until, on)| until >= on)
    };
    person.is_some_and(|p| {
        p.roles.iter().any(|r| r == role) && p.qualified_until.as_ref().is_some_and(qualified)
    })
}

/// Signatures, approvals and qualifications are what regulated work is about: nobody takes their
/// absence on.
fn asked_of_all(accepted: &Acceptance, facts: &Facts) -> bool {
    let check = check_by_slug(&accepted.check);
    facts.regulated() && check.is_some_and(|c| c.regulated == WhenRegulated::Only)
}

/// The number of an accepted value, and what stands beside it.
fn with_beside(accepted: &str) -> (&str, Option<&str>) {
    match accepted.split_once(BESIDE) {
        Some((value, beside)) => (value, Some(beside)),
        None => (accepted, None),
    }
}

fn no_worse(finding: &Finding, accepted: Option<&str>) -> bool {
    let (Some(measured), Some(accepted)) = (finding.measured, accepted) else {
        return finding.measured.is_none() && finding.value_to_accept().as_deref() == accepted;
    };
    let (value, beside) = with_beside(accepted);
    if beside != finding.beside.as_deref() {
        return false;
    }
    let (Ok(now), Ok(then)) = (measured.printed().parse::<f64>(), value.parse::<f64>()) else {
        return false;
    };
    then.is_finite()
        && match measured.sense {
            Sense::AtLeast => now >= then,
            Sense::AtMost => now <= then,
        }
}
