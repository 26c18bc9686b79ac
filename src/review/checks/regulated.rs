//! What a regulated shop asks for beside a good plan: certificates, signatures, people who may.
//! Other shops never see these checks.

use super::common::{check, only_when_regulated};
use crate::catalogue::Person;
use crate::catalogue::Severity::{self, Caution, Stop};
use crate::review::facts::Facts;
use crate::review::finding::{Check, Family, Report, Subject, text};
use crate::text::{missing, signing};

const fn regulated(severity: Severity, slug: &'static str, run: fn(&Facts, &mut Report)) -> Check {
    only_when_regulated(check(Family::Records, severity, slug, &[], run))
}

/// The checks.
pub const CHECKS: &[Check] = &[
    regulated(Caution, "certificate-missing", certificate_missing),
    regulated(Stop, "signature-missing", signature_missing),
    regulated(Stop, "operator-not-qualified", operator_not_qualified),
];

fn certificate_missing(facts: &Facts, report: &mut Report) {
    for lot in &facts.plan.lots {
        let said = |text: &Option<String>| text.as_ref().is_some_and(|t| !t.trim().is_empty());
        if !said(&lot.certificate) {
            report.found(vec![Subject::Lot(lot.id)], vec![("lot", text(&lot.name))]);
        }
    }
    for (part, _) in facts.without_lot() {
        report.missing(vec![Subject::Part(part.id)], missing::lot_of(&part.name));
    }
}

fn people<'a>(facts: &Facts<'a>) -> &'a [Person] {
    facts.shop.map_or(&[], |shop| &shop.people)
}

fn signature_missing(facts: &Facts, report: &mut Report) {
    let roles = facts.shop.map_or(&[][..], |shop| &shop.signing_roles);
    if roles.is_empty() {
        return report.missing(vec![Subject::Load], missing::signing_roles());
    }
    let signatures = &facts.plan.signatures;
    let mut found = |role: &str, how: String| {
        report.found(
            vec![Subject::Named(role.to_owned())],
            vec![("role", text(role)), ("how", text(how))],
        );
    };
    for role in roles {
        let Some(signature) = signatures.iter().find(|s| s.role == *role) else {
            found(role, signing::nobody());
            continue;
        };
        if facts.is_after_start(&signature.on) {
            found(role, signing::after_start(&signature.by, &signature.on));
        }
        let person = people(facts).iter().find(|p| p.name == signature.by);
        if !person.is_some_and(|p| p.roles.contains(role)) {
            found(role, signing::not_in_role(&signature.by));
        }
        let other = |s: &&crate::load::Signature| {
            s.role != *role && s.by == signature.by && roles.contains(&s.role)
        };
        if let Some(other) = signatures.iter().find(other)
            && other.role < *role
        {
            found(role, signing::same_person(&signature.by, &other.role));
        }
    }
}

fn operator_not_qualified(facts: &Facts, report: &mut Report) {
    if facts.plan.signatures.is_empty() {
        return report.missing(vec![Subject::Load], missing::signatures());
    }
    let mut seen = std::collections::BTreeSet::new();
    for signature in &facts.plan.signatures {
        let name = &signature.by;
        if !seen.insert(name) {
            continue;
        }
        let subjects = vec![Subject::Named(name.clone())];
        let how = match people(facts).iter().find(|p| p.name == *name) {
            None => Some(signing::not_listed()),
            Some(person) => match &person.qualified_until {
                None => {
                    report.missing(subjects, missing::qualification(name));
                    continue;
                }
                Some(until) => super::records::due_before(facts, report, until)
                    .map(|(when, _)| signing::ends(until, when)),
            },
        };
        if let Some(how) = how {
            report.found(subjects, vec![("name", text(name)), ("how", text(how))]);
        }
    }
}
