//! Whether the profile is approved as it stands. Only a regulated shop has these checks.

use super::common::{check, only_when_regulated};
use crate::catalogue::Severity::Stop;
use crate::review::facts::Facts;
use crate::review::finding::{Check, Family, Report, Subject, text};
use crate::text::approvals as say;

/// The checks.
pub const CHECKS: &[Check] = &[
    only_when_regulated(check(
        Family::Records,
        Stop,
        "profile-not-approved",
        &[],
        profile_not_approved,
    )),
    only_when_regulated(check(
        Family::Records,
        Stop,
        "profile-changed-since-approval",
        &[],
        profile_changed_since_approval,
    )),
];

/// No approval, or none for a feedstock in the load.
fn profile_not_approved(facts: &Facts, report: &mut Report) {
    let profile = &facts.plan.profile;
    let mut found = |subjects: Vec<Subject>, how: String| {
        let args = vec![("profile", text(&profile.name)), ("how", text(how))];
        report.found(subjects, args);
    };
    let Some(approval) = &profile.approval else {
        return found(vec![Subject::Profile], say::nobody());
    };
    if approval.by.trim().is_empty() {
        return found(vec![Subject::Profile], say::no_name());
    }
    if facts.is_after_start(&approval.on) {
        return found(vec![Subject::Profile], say::after_start(&approval.on));
    }
    let people = facts.shop.map_or(&[][..], |shop| &shop.people);
    // A shop that lists nobody has its stop for each signature.
    if !people.is_empty() && people.iter().all(|p| p.name != approval.by) {
        return found(vec![Subject::Profile], say::not_listed(&approval.by));
    }
    if approval.feedstocks.is_empty() {
        return;
    }
    for (slug, feedstock) in &facts.feedstocks {
        if !approval.feedstocks.iter().any(|f| f == slug) {
            let subjects = vec![Subject::Profile, Subject::Named((*slug).to_owned())];
            found(subjects, say::not_for(&feedstock.name));
        }
    }
    facts.unknown_records(report);
}

/// Another revision than the approved one, or other steps. Where there is no approval the other
/// check says so.
fn profile_changed_since_approval(facts: &Facts, report: &mut Report) {
    let profile = &facts.plan.profile;
    let Some(approval) = &profile.approval else {
        return;
    };
    let revision = profile.revision.trim();
    if revision.is_empty() || approval.revision.trim().is_empty() {
        return report.missing(vec![Subject::Profile], say::revision());
    }
    let how = if revision != approval.revision.trim() {
        say::other_revision(revision)
    } else if approval.changed {
        say::changed()
    } else {
        return;
    };
    let args = vec![
        ("profile", text(&profile.name)),
        ("approved", text(&approval.revision)),
        ("by", text(&approval.by)),
        ("on", text(&approval.on)),
        ("how", text(how)),
    ];
    report.found(vec![Subject::Profile], args);
}
