//! Limits that somebody has set looser than they come.

use super::common::records;
use crate::catalogue::Severity::{Caution, Note, Stop};
use crate::catalogue::{Binder, FirstStep, GasNature, Limit, LimitContext, LimitScope, builtin};
use crate::review::facts::Facts;
use crate::review::finding::{Check, Family, Report, Sense, Subject, text};
use crate::review::limit_senses::sense_of;
use crate::text::findings::Arg;
use crate::text::loosened as say;
use std::collections::BTreeSet;

/// The check.
pub const CHECKS: &[Check] = &[
    Check {
        slug: "safety-limit-loosened",
        family: Family::Safety,
        severity: Stop,
        safety: true,
        run: safety_limit_loosened,
        ..Check::BASE
    },
    Check {
        slug: "safety-record-loosened",
        family: Family::Safety,
        severity: Stop,
        safety: true,
        run: safety_record_loosened,
        ..Check::BASE
    },
    records(Note, "limit-loosened", &[], limit_loosened),
];

/// Limits that the safety checks ask for.
fn of_safety() -> BTreeSet<&'static str> {
    super::all_checks()
        .filter(|c| c.safety || c.some_safety)
        .flat_map(|c| c.limits.iter().copied())
        .collect()
}

/// A looser limit hides a finding, and with it the limit's owner: so the limit itself is told. One
/// that passes for the program's own and is not weighs more: nobody has set it.
fn limit_loosened(facts: &Facts, report: &mut Report) {
    // A broken build is ruled out by a test of its own.
    let Ok((build, _)) = builtin() else { return };
    let of_safety = of_safety();
    let nobody = LimitContext::default();
    let contexts = || facts.contexts.things().chain(std::iter::once(&nobody));
    for limit in &facts.catalogue.limits {
        let Some(built) = build.limit(&limit.id, &nobody) else {
            continue;
        };
        let asked = contexts().any(|c| c.matches(&limit.scope));
        if of_safety.contains(limit.id.as_str()) || !asked || !looser(limit.value, built) {
            continue;
        }
        let as_built = limit.scope == LimitScope::BuiltIn;
        report.rank(if as_built { Caution } else { Note }, false);
        let subject = Subject::Named(limit.id.clone());
        report.found_by(vec![subject], limit, both(limit, built));
    }
}

/// A shop may well have better figures than ours, but no sentence makes a safety check blind: that
/// is for a written procedure.
fn safety_limit_loosened(facts: &Facts, report: &mut Report) {
    // A broken build is ruled out by a test of its own.
    let Ok((build, _)) = builtin() else { return };
    let nobody = LimitContext::default();
    for id in of_safety() {
        let Some(built) = build.limit(id, &nobody) else {
            continue;
        };
        let contexts = facts.contexts.things().chain(std::iter::once(&nobody));
        let mut seen: Vec<&Limit> = Vec::new();
        for limit in contexts.filter_map(|c| facts.catalogue.limit(id, c)) {
            if !looser(limit.value, built) || seen.contains(&limit) {
                continue;
            }
            seen.push(limit);
            report.found(vec![Subject::Named(id.to_owned())], both(limit, built));
        }
    }
}

/// What the records that come with the program say burns, burns: a record of the same name that
/// says less takes every stop about it away.
fn safety_record_loosened(facts: &Facts, report: &mut Report) {
    // A broken build is ruled out by a test of its own.
    let Ok((build, _)) = builtin() else { return };
    let mut found = |id: &str, name: &str, what: String| {
        let args = vec![("record", text(name)), ("what", text(what))];
        report.found(vec![Subject::Named(id.to_owned())], args);
    };
    for slug in facts.gas_slugs() {
        let (Some(now), Some(built)) = (facts.catalogue.gas(slug), build.gas(slug)) else {
            continue;
        };
        if built.nature == GasNature::Flammable && now.nature != GasNature::Flammable {
            found(slug, &now.name, say::burns().to_owned());
        }
        if now.hydrogen_share < built.hydrogen_share {
            let what = say::hydrogen(built.hydrogen_share, now.hydrogen_share);
            found(slug, &now.name, what);
        }
    }
    // The solvents of all binders tell which liquids burn.
    for (id, (_, now)) in &facts.catalogue.binders {
        let Some(built) = build.binder(id) else {
            continue;
        };
        let burns = |binder: &Binder| lower_limit_pct(&binder.first_step);
        match (burns(built), burns(now)) {
            (Some(_), None) => found(id, &now.name, say::solvent_burns().to_owned()),
            (Some(was), Some(is)) if is > was => {
                found(id, &now.name, say::solvent_from(was, is));
            }
            _ => {}
        }
    }
    for (id, (_, now)) in &facts.catalogue.feedstocks {
        let Some(built) = build.feedstock(id).filter(|f| f.binder != now.binder) else {
            continue;
        };
        let was = build.binder(&built.binder);
        let burns = |binder: &Binder| lower_limit_pct(&binder.first_step).is_some();
        let is = facts.catalogue.binder(&now.binder);
        if let Some(was) = was.filter(|was| burns(was))
            && !is.is_some_and(|is| burns(is))
        {
            let what = say::binder_of_solvent(&was.name, is.map_or(&now.binder, |is| &is.name));
            found(id, &now.name, what);
        }
    }
}

/// From how much of its vapour in air the liquid of a first step burns, % by volume.
fn lower_limit_pct(step: &FirstStep) -> Option<f64> {
    match step {
        FirstStep::Solvent {
            lower_flammable_limit_pct,
            ..
        } => *lower_flammable_limit_pct,
        FirstStep::Water { .. } | FirstStep::Catalytic { .. } | FirstStep::ThermalOnly => None,
    }
}

/// What a limit is set to, by whom, and what it comes with.
fn both(limit: &Limit, built: &Limit) -> Vec<(&'static str, Arg)> {
    vec![
        ("limit", text(&built.name)),
        ("now", text(limit.shown())),
        ("by", text(&limit.set_by)),
        ("built", text(built.shown())),
    ]
}

fn looser(value: f64, built: &Limit) -> bool {
    match sense_of(&built.id) {
        Some(Sense::AtLeast) => value < built.value,
        Some(Sense::AtMost) => value > built.value,
        None => value != built.value,
    }
}
