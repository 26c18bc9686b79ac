//! Limits and settings for some of what stands in a load, regulated shops, and safety findings that
//! only a written procedure deals with.

use crate::fixture::{Case, clean, found, not_evaluated, passes};
use setterwright::catalogue::Severity::{Caution, Stop};
use setterwright::catalogue::{CheckSetting, LimitScope, Person, Procedure, Severity};
use setterwright::load::{Acceptance, ProcedureRef, Signature};
use setterwright::review::{Finding, Subject, limit_to_accept};

fn alloy() -> LimitScope {
    LimitScope::Alloy("316l".to_owned())
}

fn scoped(id: &'static str, scope: LimitScope, value: f64) -> impl Fn(&mut Case) {
    move |case: &mut Case| {
        let mut limit = case.limit(id).clone();
        (limit.scope, limit.value) = (scope.clone(), value);
        case.catalogue_mut().limits.push(limit);
    }
}

fn setting(check: &str, on: bool, severity: Option<Severity>, scope: LimitScope) -> CheckSetting {
    CheckSetting {
        on,
        severity,
        scope,
        ..CheckSetting::new(check, "test")
    }
}

#[test]
fn a_limit_for_part_of_the_load_holds_for_what_is_judged_once() {
    passes("trap-over-full", |_| {});
    for scope in [
        alloy(),
        LimitScope::Feedstock("316l-wax".to_owned()),
        LimitScope::Furnace("small-vacuum-box".to_owned()),
        LimitScope::Shop,
    ] {
        let finding = found(
            "trap-over-full",
            Stop,
            scoped("trap-stop", scope.clone(), 0.001),
        );
        assert_eq!(finding.limit.unwrap().scope, scope);
    }
    found("trap-over-full", Stop, |case| {
        case.lot().customer = Some("B".to_owned());
        scoped("trap-stop", LimitScope::Customer("B".to_owned()), 0.001)(case);
    });
    // One for what is not in the load changes nothing.
    let other = LimitScope::Alloy("17-4ph".to_owned());
    passes("trap-over-full", scoped("trap-stop", other, 0.001));
}

#[test]
fn a_looser_limit_for_an_alloy_holds_for_it_but_not_for_safety() {
    let full = |case: &mut Case| case.state().trap_fill_g = Some(1e6);
    found("trap-over-full", Stop, full);
    passes("trap-over-full", |case| {
        full(case);
        scoped("trap-stop", alloy(), 1e6)(case);
    });
    let hot = |case: &mut Case| case.profile().unload_c = 100.0;
    found("unload-too-hot", Stop, hot);
    found("unload-too-hot", Stop, |case| {
        hot(case);
        scoped("unload-max", alloy(), 200.0)(case);
    });
    found("unload-too-hot", Stop, scoped("unload-max", alloy(), 40.0));
}

#[test]
fn a_setting_for_an_alloy_touches_what_is_of_it() {
    let near = |case: &mut Case| case.bracket().at_mm = [-44.1, -40.0];
    let finds = |set: Vec<CheckSetting>| {
        let mut case = clean();
        near(&mut case);
        case.catalogue_mut().checks = set;
        let review = case.review();
        let found = review.findings.iter().find(|f| f.check == "gap-too-small");
        let off = review.off.iter().any(|(slug, _)| *slug == "gap-too-small");
        (found.map(|f| f.severity), off, review.settings.len())
    };
    let slug = "gap-too-small";
    assert_eq!(finds(vec![]), (Some(Caution), false, 0));
    let off = setting(slug, false, None, alloy());
    // Everything in the load is of the alloy, so the check is off altogether.
    assert_eq!(finds(vec![off]), (None, true, 1));
    let stop = setting(slug, true, Some(Stop), alloy());
    assert_eq!(finds(vec![stop.clone()]), (Some(Stop), false, 1));
    // The narrower holds.
    let shop_off = setting(slug, false, None, LimitScope::Shop);
    assert_eq!(finds(vec![shop_off, stop]), (Some(Stop), false, 2));
    let other = setting(slug, false, None, LimitScope::Alloy("17-4ph".to_owned()));
    assert_eq!(finds(vec![other]), (Some(Caution), false, 0));
}

fn regulated(case: &mut Case) {
    let shop = case.shop_mut();
    shop.regulated = true;
    shop.signing_roles = vec!["engineer".to_owned(), "technician".to_owned()];
    let person = |name: &str, role: &str| Person {
        name: name.to_owned(),
        roles: vec![role.to_owned()],
        qualified_until: Some("2027-12-31".to_owned()),
    };
    shop.people = vec![person("E", "engineer"), person("T", "technician")];
    case.lot().certificate = Some("C-1".to_owned());
    let signed = |role: &str, by: &str| Signature {
        role: role.to_owned(),
        by: by.to_owned(),
        on: "2026-11-24".to_owned(),
        at: None,
    };
    case.plan.signatures = vec![signed("engineer", "E"), signed("technician", "T")];
}

#[test]
fn only_a_regulated_shop_asks_for_papers() {
    let slugs = [
        "certificate-missing",
        "signature-missing",
        "operator-not-qualified",
    ];
    let review = clean().review();
    for slug in slugs {
        assert!(review.findings.iter().all(|f| f.check != slug));
        assert!(review.missing.iter().all(|m| m.check != slug));
        assert!(review.off.iter().all(|(off, _)| *off != slug));
        passes(slug, regulated);
    }
    found("certificate-missing", Caution, |case| {
        regulated(case);
        case.lot().certificate = Some(" ".to_owned());
    });
    found("signature-missing", Stop, |case| {
        regulated(case);
        case.plan.signatures.pop();
    });
    // One person in two roles.
    found("signature-missing", Stop, |case| {
        regulated(case);
        case.shop_mut().people[0]
            .roles
            .push("technician".to_owned());
        case.plan.signatures[1].by = "E".to_owned();
    });
    not_evaluated("signature-missing", "roles", |case| {
        regulated(case);
        case.shop_mut().signing_roles.clear();
    });
    found("operator-not-qualified", Stop, |case| {
        regulated(case);
        case.shop_mut().people[1].qualified_until = Some("2026-11-20".to_owned());
    });
    found("operator-not-qualified", Stop, |case| {
        regulated(case);
        case.shop_mut().people.pop();
    });
    not_evaluated("operator-not-qualified", "qualified", |case| {
        regulated(case);
        case.shop_mut().people[1].qualified_until = None;
    });
}

#[test]
fn calibration_is_a_stop_where_the_shop_is_regulated() {
    let due = |case: &mut Case| case.state().due[0].due = "2026-11-20".to_owned();
    found("calibration-due", Caution, due);
    found("calibration-due", Stop, |case| {
        regulated(case);
        due(case);
    });
    let survey = |case: &mut Case| {
        case.state().survey.as_mut().unwrap().due = "2026-11-20".to_owned();
    };
    found("survey-out-of-date", Caution, survey);
    found("survey-out-of-date", Stop, |case| {
        regulated(case);
        survey(case);
    });
}

pub fn accepted(finding: &Finding) -> Acceptance {
    Acceptance {
        check: finding.check.to_owned(),
        subjects: finding.subjects.iter().map(Subject::key).collect(),
        limit: finding.limit.as_ref().map(limit_to_accept),
        value: finding.value_to_accept(),
        by: "E".to_owned(),
        reason: "test".to_owned(),
        on: "2026-11-24".to_owned(),
        ..Acceptance::default()
    }
}

#[test]
fn a_safety_finding_is_done_under_a_procedure_and_stays_in_sight() {
    let mut case = clean();
    case.profile().unload_c = 100.0;
    let one = |case: &Case| case.says("unload-too-hot").0[0].clone();
    let mut acceptance = accepted(&one(&case));
    let mut with = |case: &mut Case, procedure: Option<(&str, &str)>| {
        acceptance.procedure = procedure.map(|(name, revision)| ProcedureRef {
            name: name.to_owned(),
            revision: revision.to_owned(),
        });
        case.plan.acceptances = vec![acceptance.clone()];
        one(case)
    };
    // A sentence will not do, nor a procedure that the furnace does not have.
    assert_eq!(with(&mut case, None).accepted, None);
    assert_eq!(with(&mut case, Some(("P-7", "3"))).accepted, None);
    let procedure = |covers: &str| Procedure {
        name: "P-7".to_owned(),
        revision: "3".to_owned(),
        covers: vec![covers.to_owned()],
    };
    case.state().procedures = vec![procedure("purge-before-air-weak")];
    assert_eq!(with(&mut case, Some(("P-7", "3"))).accepted, None);
    case.state().procedures = vec![procedure("unload-too-hot")];
    assert_eq!(with(&mut case, Some(("P-7", "2"))).accepted, None);
    let done = with(&mut case, Some(("P-7", "3")));
    assert_eq!(done.accepted, Some(0));
    assert_eq!(done.done_under_words(), Some(("P-7", "3")));
    assert!(!done.is_gone());
    assert_eq!(done.severity, Stop);
    // Worse than accepted: it lapses.
    case.profile().unload_c = 120.0;
    assert_eq!(one(&case).accepted, None);
}

#[test]
fn in_a_regulated_shop_a_role_accepts() {
    let mut case = clean();
    regulated(&mut case);
    case.bracket().at_mm = [-44.1, -40.0];
    let one = |case: &Case| case.says("gap-too-small").0[0].clone();
    let mut acceptance = accepted(&one(&case));
    for (role, holds) in [
        (None, false),
        (Some("technician"), false),
        (Some("engineer"), true),
    ] {
        acceptance.role = role.map(str::to_owned);
        case.plan.acceptances = vec![acceptance.clone()];
        let finding = one(&case);
        assert_eq!(finding.accepted.is_some(), holds, "{role:?}");
        assert_eq!(finding.is_gone(), holds);
    }
}
