//! Mixing: alloys that share a load, and what the furnace ran before.

use crate::catalogue::Severity::{Caution, Stop};
use crate::catalogue::{Alloy, Family as AlloyFamily, Feedstock};
use crate::review::facts::Facts;
use crate::review::finding::{Check, Family, Report, Subject, at_most, text};
use crate::text::findings::Arg;
use crate::text::missing;
use crate::units::Quantity::TemperatureDifference;

const BASE: Check = Check {
    family: Family::Mixing,
    severity: Stop,
    ..Check::BASE
};

/// The family's checks.
pub const CHECKS: &[Check] = &[
    Check {
        slug: "alloys-share-load",
        run: alloys_share_load,
        ..BASE
    },
    Check {
        slug: "carbon-mix",
        run: carbon_mix,
        ..BASE
    },
    Check {
        slug: "vapour-mix",
        severity: Caution,
        run: vapour_mix,
        ..BASE
    },
    Check {
        slug: "reactive-mix",
        run: reactive_mix,
        ..BASE
    },
    Check {
        slug: "peaks-differ",
        limits: &["peak-difference-max"],
        run: peaks_differ,
        ..BASE
    },
    Check {
        slug: "previous-load-incompatible",
        severity: Caution,
        run: previous_load_incompatible,
        ..BASE
    },
];

/// All pairs of a list, each once, in its order.
fn pairs<T: Copy>(all: &[T]) -> impl Iterator<Item = (T, T)> + '_ {
    let rest = |i: usize| all.get(i + 1..).unwrap_or_default();
    all.iter()
        .enumerate()
        .flat_map(move |(i, a)| rest(i).iter().map(move |b| (*a, *b)))
}

fn alloy_pairs<'a>(facts: &Facts<'a>, report: &mut Report) -> Vec<(&'a Alloy, &'a Alloy)> {
    facts.unknown_records(report);
    let alloys: Vec<&Alloy> = facts.alloys.values().copied().collect();
    pairs(&alloys).collect()
}

fn subjects(a: &str, b: &str) -> Vec<Subject> {
    vec![Subject::Named(a.to_owned()), Subject::Named(b.to_owned())]
}

fn names(a: &str, b: &str) -> Vec<(&'static str, Arg)> {
    vec![("a", text(a)), ("b", text(b))]
}

/// Whether the record of either names the other.
fn may_share(a: &Alloy, b: &Alloy) -> bool {
    let names = |x: &Alloy, y: &Alloy| x.may_share_with.contains(&y.id);
    a.id == b.id || names(a, b) || names(b, a)
}

fn is_reactive(alloy: &Alloy) -> bool {
    alloy.family == AlloyFamily::Titanium
}

fn alloys_share_load(facts: &Facts, report: &mut Report) {
    for (a, b) in alloy_pairs(facts, report) {
        // A reactive alloy is named by its own check.
        if !may_share(a, b) && !is_reactive(a) && !is_reactive(b) {
            report.found(subjects(&a.id, &b.id), names(&a.name, &b.name));
        }
    }
}

/// Carbon range of an alloy, % by mass; one that starts nowhere starts at none.
fn carbon(alloy: &Alloy) -> Option<(f64, f64)> {
    Some((alloy.carbon_min_pct.unwrap_or(0.0), alloy.carbon_max_pct?))
}

fn carbon_mix(facts: &Facts, report: &mut Report) {
    for (a, b) in alloy_pairs(facts, report) {
        let (Some(carbon_a), Some(carbon_b)) = (carbon(a), carbon(b)) else {
            report.missing(subjects(&a.id, &b.id), missing::carbon_ranges());
            continue;
        };
        if carbon_a.0 > carbon_b.1 || carbon_b.0 > carbon_a.1 {
            let shown = |(from, to): (f64, f64)| text(format!("{from} to {to} %"));
            let mut args = names(&a.name, &b.name);
            args.push(("a_carbon", shown(carbon_a)));
            args.push(("b_carbon", shown(carbon_b)));
            report.found(subjects(&a.id, &b.id), args);
        }
    }
}

fn vapour_mix(facts: &Facts, report: &mut Report) {
    for (a, b) in alloy_pairs(facts, report) {
        if (a.evaporates || b.evaporates) && a.family != b.family {
            let which = match (a.evaporates, b.evaporates) {
                (true, true) => "both",
                (true, false) => &a.name,
                _ => &b.name,
            };
            let mut args = names(&a.name, &b.name);
            args.push(("which", text(which)));
            report.found(subjects(&a.id, &b.id), args);
        }
    }
}

fn reactive_mix(facts: &Facts, report: &mut Report) {
    for (a, b) in alloy_pairs(facts, report) {
        if is_reactive(a) || is_reactive(b) {
            report.found(subjects(&a.id, &b.id), names(&a.name, &b.name));
        }
    }
}

fn peaks_differ(facts: &Facts, report: &mut Report) {
    facts.unknown_records(report);
    let feedstocks: Vec<&Feedstock> = facts.feedstocks.values().copied().collect();
    for (a, b) in pairs(&feedstocks) {
        // Ranges that overlap have peaks in common; that there is none for all is another stop.
        let apart = (a.sinter.from_c - b.sinter.to_c).max(b.sinter.from_c - a.sinter.to_c);
        let apart = at_most(TemperatureDifference, apart.max(0.0), 0);
        match facts.limit("peak-difference-max") {
            Some(limit) => {
                let args = names(&a.name, &b.name);
                report.hold(subjects(&a.id, &b.id), apart, limit, args);
            }
            None => report.missing(
                subjects(&a.id, &b.id),
                missing::limit("peak-difference-max"),
            ),
        }
    }
}

fn previous_load_incompatible(facts: &Facts, report: &mut Report) {
    facts.unknown_records(report);
    if facts.alloys.is_empty() {
        return;
    }
    let Some(last) = facts.state.and_then(|s| s.last_alloy.as_ref()) else {
        return report.missing(vec![Subject::Furnace], missing::last_alloy());
    };
    let Some(last) = facts.catalogue.alloy(last) else {
        let what = missing::last_alloy_record();
        return report.missing(vec![Subject::Furnace, Subject::Named(last.clone())], what);
    };
    for alloy in facts.alloys.values() {
        if alloy.family != last.family && !may_share(alloy, last) {
            report.found(
                vec![Subject::Furnace, Subject::Named(alloy.id.clone())],
                names(&last.name, &alloy.name),
            );
        }
    }
}
