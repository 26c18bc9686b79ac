//! Safety: fuel gas, oxygen, hot doors, flammable solvent, over-temperature. Every purge here is
//! planned, and only the furnace's interlocks and its written procedure can verify it.

use super::debind::not_dry;
use super::declared::later;
use crate::catalogue::Severity::{Caution, Note, Stop};
use crate::catalogue::{FurnaceKind, GasNature, Lining};
use crate::forecast::purge;
use crate::profile::{EventAt, EventKind};
use crate::review::facts::Facts;
use crate::review::facts_gas::{FuelEntry, FuelPath, OXYGEN_IN_AIR, Purge};
use crate::review::facts_limits::as_share;
use crate::review::finding::{Check, Family, Report, Subject, at_least, at_most, number, text};
use crate::review::questions::declared;
use crate::text::findings::Arg;
use crate::text::{missing, on_paper, phrases, questions};
use crate::units::Quantity::{Fraction, Temperature, TemperatureDifference};
use crate::units::parse;

/// The question whose answer is the temperature to which the independent cut-out is set.
pub const OVER_TEMPERATURE: &str = "over-temperature-set";

const BASE: Check = Check {
    family: Family::Safety,
    severity: Stop,
    safety: true,
    ..Check::BASE
};

/// The family's checks.
pub const CHECKS: &[Check] = &[
    Check {
        slug: "hydrogen-without-purge-before",
        limits: &[
            "purge-volumes",
            "purge-mixing",
            "hydrogen-ignition",
            "flammable-hydrogen-share",
        ],
        run: hydrogen_without_purge_before,
        ..BASE
    },
    Check {
        slug: "hydrogen-without-purge-after",
        limits: &["purge-volumes", "purge-mixing", "flammable-hydrogen-share"],
        run: hydrogen_without_purge_after,
        ..BASE
    },
    Check {
        slug: "purge-before-fuel-weak",
        limits: &[
            "purge-mixing",
            "oxygen-before-fuel",
            "flammable-hydrogen-share",
        ],
        run: purge_before_fuel_weak,
        ..BASE
    },
    Check {
        slug: "purge-before-air-weak",
        limits: &[
            "purge-mixing",
            "fuel-before-air",
            "flammable-hydrogen-share",
        ],
        run: purge_before_air_weak,
        ..BASE
    },
    Check {
        slug: "hydrogen-without-burn-off",
        limits: &["flammable-hydrogen-share"],
        run: hydrogen_without_burn_off,
        ..BASE
    },
    Check {
        slug: "hydrogen-event-mismatch",
        limits: &["flammable-hydrogen-share"],
        run: hydrogen_event_mismatch,
        ..BASE
    },
    Check {
        slug: "solvent-on-parts",
        limits: &["dry-mass-change", "dry-time-min", "weighings-apart-min"],
        run: |facts, report| not_dry(facts, report, true),
        ..BASE
    },
    Check {
        slug: "unload-too-hot",
        limits: &["unload-max", "unload-max-molybdenum"],
        run: unload_too_hot,
        ..BASE
    },
    Check {
        slug: "inert-gas-entry",
        severity: Note,
        limits: &["oxygen-deficient"],
        run: inert_gas_entry,
        ..BASE
    },
    Check {
        slug: "over-temperature-not-declared",
        severity: Caution,
        run: over_temperature_not_declared,
        ..BASE
    },
    Check {
        slug: "over-temperature-set-low",
        severity: Caution,
        limits: &["over-temperature-margin-min"],
        run: over_temperature_set_low,
        ..BASE
    },
    Check {
        slug: "over-temperature-set-high",
        severity: Caution,
        limits: &["over-temperature-margin-max"],
        run: over_temperature_set_high,
        ..BASE
    },
];

/// The way of fuel gas, where the profile has any. A gas without a record might be fuel, so it is
/// counted as not evaluated.
pub(super) fn fuel(facts: &Facts, report: &mut Report, mixing: f64) -> Option<FuelPath> {
    for slug in facts.gas_slugs() {
        if facts.catalogue.gas(slug).is_none() {
            report.missing(vec![Subject::Named(slug.to_owned())], missing::gas_record());
        }
    }
    facts.fuel_path(mixing)
}

/// The same with the purges' mixing, which is a limit.
fn fuel_mixed(facts: &Facts, report: &mut Report) -> Option<FuelPath> {
    let Some(mixing) = facts.limit("purge-mixing") else {
        if fuel(facts, report, 0.0).is_some() {
            report.missing(vec![Subject::Profile], missing::limit("purge-mixing"));
        }
        return None;
    };
    fuel(facts, report, mixing.value)
}

fn at(entry: &FuelEntry) -> (Vec<Subject>, Vec<(&'static str, Arg)>) {
    (
        vec![Subject::Segment(entry.segment)],
        vec![("segment", Arg::Count(entry.number))],
    )
}

/// What is planned, in words.
fn planned(purge: &Purge) -> String {
    match (purge.pumped, purge.volumes > 0.0) {
        (0, false) => phrases::no_purge().to_owned(),
        (0, true) => phrases::purge(purge.volumes),
        (n, false) => phrases::pump_downs(n),
        (n, true) => phrases::pump_downs_and_purge(n, purge.volumes),
    }
}

/// The same with what it leaves, where it is too weak to be one.
fn planned_too_weak(purge: &Purge) -> String {
    let what = planned(purge);
    if purge.planned() {
        phrases::too_weak(&what, &number(Fraction, purge.left(), 1))
    } else {
        what
    }
}

/// Whether a purge is one at all: the volumes asked for, or as much of what was there driven out
/// by pumping as those volumes would. A limit of nought asks for nothing, so it lets nothing pass.
fn purged(purge: &Purge, volumes: f64, mixing: f64) -> bool {
    let enough = libm::exp(-mixing * volumes);
    // A purge that does not mix drives nothing out.
    let driven_out = mixing > 0.0 && purge.left() <= enough;
    volumes > 0.0 && purge.planned() && (purge.volumes >= volumes || driven_out)
}

/// Volumes of a purge that is one and leaves no more than is wanted, so that doing what one check
/// asks for does not bring the next: to a tenth, upwards.
fn volumes_wanted(facts: &Facts, least: f64, mixing: f64, (start, target): (f64, &str)) -> String {
    let target = facts.limit(target).map(as_share);
    let needed = target.map_or(0.0, |t| purge::changes_needed(start, t.value, mixing));
    let tenths = libm::ceil(least.max(needed) * 10.0 - 1e-9) / 10.0;
    tenths.to_string()
}

/// Mixing of the purges; where it is not set a purge is asked for that mixes wholly.
fn mixing(facts: &Facts) -> f64 {
    facts.limit("purge-mixing").map_or(1.0, |l| l.value)
}

fn hydrogen_without_purge_before(facts: &Facts, report: &mut Report) {
    let mixing = mixing(facts);
    let Some(path) = fuel(facts, report, mixing) else {
        return;
    };
    let Some(furnace) = facts.furnace else {
        return report.missing(vec![Subject::Furnace], missing::furnace_record());
    };
    let Some(limit) = facts.limit("purge-volumes") else {
        return report.missing(vec![Subject::Profile], missing::limit("purge-volumes"));
    };
    for entry in &path.entries {
        // Only a continuous furnace may let fuel in by its temperature alone.
        let hot = match furnace.kind {
            FurnaceKind::VacuumBox | FurnaceKind::PumpedRetort => false,
            FurnaceKind::Continuous => {
                let ignition = facts.limit("hydrogen-ignition");
                if ignition.is_none() {
                    report.missing(vec![Subject::Furnace], missing::limit("hydrogen-ignition"));
                }
                ignition.is_some_and(|ignition| entry.at_c >= ignition.value)
            }
        };
        let purge = &entry.purge;
        if hot || purged(purge, limit.value, mixing) {
            continue;
        }
        let (subjects, mut args) = at(entry);
        args.push(("planned", text(planned_too_weak(purge))));
        let air = (OXYGEN_IN_AIR, "oxygen-before-fuel");
        let volumes = volumes_wanted(facts, limit.value, mixing, air);
        args.push(("volumes", text(volumes)));
        report.found_by(subjects, limit, args);
    }
}

fn hydrogen_without_purge_after(facts: &Facts, report: &mut Report) {
    let mixing = mixing(facts);
    let Some(path) = fuel(facts, report, mixing) else {
        return;
    };
    let Some(limit) = facts.limit("purge-volumes") else {
        return report.missing(vec![Subject::Profile], missing::limit("purge-volumes"));
    };
    let purged = |p: &Purge| purged(p, limit.value, mixing);
    if path.entries.is_empty() || path.after.as_ref().is_some_and(purged) {
        return;
    }
    let now = path.after.as_ref().map_or_else(
        || phrases::fuel_at_end().to_owned(),
        |purge| phrases::planned_after(&planned_too_weak(purge)),
    );
    let args = vec![
        ("now", text(now)),
        (
            "volumes",
            text(volumes_wanted(
                facts,
                limit.value,
                mixing,
                (path.share, "fuel-before-air"),
            )),
        ),
    ];
    report.found_by(vec![Subject::Profile], limit, args);
}

fn purge_before_fuel_weak(facts: &Facts, report: &mut Report) {
    let Some(path) = fuel_mixed(facts, report) else {
        return;
    };
    // Without any purge that is said by another check.
    for entry in path.entries.iter().filter(|e| e.purge.planned()) {
        let (subjects, mut args) = at(entry);
        let Some(limit) = facts.limit("oxygen-before-fuel").map(as_share) else {
            report.missing(subjects, missing::limit("oxygen-before-fuel"));
            continue;
        };
        args.push(("planned", text(planned(&entry.purge))));
        let oxygen = OXYGEN_IN_AIR * entry.purge.left();
        report.hold(subjects, at_most(Fraction, oxygen, 2), &limit, args);
    }
}

fn purge_before_air_weak(facts: &Facts, report: &mut Report) {
    let Some(path) = fuel_mixed(facts, report) else {
        return;
    };
    let Some(purge) = path.after.filter(Purge::planned) else {
        return;
    };
    let Some(limit) = facts.limit("fuel-before-air").map(as_share) else {
        return report.missing(vec![Subject::Profile], missing::limit("fuel-before-air"));
    };
    let left = path.share * purge.left();
    let args = vec![("planned", text(planned(&purge)))];
    report.hold(
        vec![Subject::Profile],
        at_most(Fraction, left, 2),
        &limit,
        args,
    );
}

fn hydrogen_without_burn_off(facts: &Facts, report: &mut Report) {
    let Some(path) = fuel(facts, report, 0.0) else {
        return;
    };
    for entry in path.entries.iter().filter(|e| !e.flame) {
        let (subjects, args) = at(entry);
        report.found(subjects, args);
    }
}

fn hydrogen_event_mismatch(facts: &Facts, report: &mut Report) {
    let Some(path) = fuel(facts, report, 0.0) else {
        return;
    };
    for (id, number, on) in path.mismatches {
        let how = if on {
            phrases::hydrogen_without_gas()
        } else {
            phrases::gas_without_hydrogen()
        };
        let args = vec![("segment", Arg::Count(number)), ("how", text(how))];
        report.found(vec![Subject::Segment(id)], args);
    }
}

fn unload_too_hot(facts: &Facts, report: &mut Report) {
    let Some(furnace) = facts.furnace else {
        return report.missing(vec![Subject::Furnace], missing::furnace_record());
    };
    let id = match furnace.lining {
        Lining::Molybdenum => "unload-max-molybdenum",
        Lining::Graphite | Lining::CeramicFibre => "unload-max",
    };
    let Some(limit) = facts.limit(id) else {
        return report.missing(vec![Subject::Profile], missing::limit(id));
    };
    let unload = at_most(Temperature, facts.plan.profile.unload_c, 0);
    report.hold(vec![Subject::Profile], unload, limit, vec![]);
    for step in facts.steps() {
        for event in &step.segment.events {
            let at_c = match event.at {
                EventAt::Start => step.from_c,
                EventAt::End => step.segment.to_c,
            };
            if event.kind == EventKind::Unload {
                let unload = at_most(Temperature, at_c, 0);
                report.hold(vec![step.subject()], unload, limit, vec![]);
            }
        }
    }
}

fn inert_gas_entry(facts: &Facts, report: &mut Report) {
    let slugs = facts.gas_slugs();
    let gases = slugs.iter().filter_map(|slug| facts.catalogue.gas(slug));
    let displacing = gases.filter(|g| g.nature != GasNature::Flammable || g.nitrogen_share > 0.0);
    let mut names: Vec<&str> = displacing.map(|g| g.name.as_str()).collect();
    let segments = facts.plan.profile.segments.iter();
    let purged = segments
        .flat_map(|s| &s.events)
        .any(|e| matches!(e.kind, EventKind::PurgeInert { .. }));
    if names.is_empty() && purged {
        names.push(phrases::inert_gas());
    }
    if names.is_empty() {
        // What no record describes may take the air's place as well.
        for slug in slugs.iter().filter(|s| facts.catalogue.gas(s).is_none()) {
            let named = Subject::Named((*slug).to_owned());
            report.missing(vec![named], missing::gas_record());
        }
        return;
    }
    match facts.limit("oxygen-deficient") {
        Some(limit) => {
            let oxygen = as_share(limit).value;
            let args = vec![
                ("gases", text(names.join(", "))),
                ("oxygen", number(Fraction, oxygen, 1)),
            ];
            // As it is listed, in per cent: no value tells in which quantity to print it.
            report.found_by(vec![Subject::Furnace], limit, args);
        }
        None => report.missing(vec![Subject::Furnace], missing::limit("oxygen-deficient")),
    }
}

/// Temperature to which the cut-out is declared to be set, °C.
///
/// # Errors
/// Why nothing is declared, as plain words within a sentence.
pub(super) fn cut_out_c(facts: &Facts) -> Result<f64, String> {
    let said = declared(facts.plan, OVER_TEMPERATURE, None);
    let said = said.ok_or_else(on_paper::nobody_stated)?;
    let set_c = parse(Temperature, said.answer.trim());
    let set_c = set_c.map_err(|_| questions::not_read(&said.answer, &said.by))?;
    if said.by.trim().is_empty() {
        return Err(questions::by_nobody());
    }
    if later(said, facts) {
        return Err(questions::from_later(&said.on));
    }
    Ok(set_c)
}

/// How far above the highest target that is, K; below it another check speaks.
fn over_temperature_margin(facts: &Facts, report: &mut Report) -> Option<f64> {
    let set_c = cut_out_c(facts);
    if set_c.is_err() {
        report.missing(vec![Subject::Furnace], missing::cut_out_setting());
    }
    Some(set_c.ok()? - facts.peak_c).filter(|k| *k >= 0.0)
}

fn over_temperature_not_declared(facts: &Facts, report: &mut Report) {
    if let Err(how) = cut_out_c(facts) {
        report.found(vec![Subject::Furnace], vec![("how", text(how))]);
    }
}

fn over_temperature_set_low(facts: &Facts, report: &mut Report) {
    let Some(margin) = over_temperature_margin(facts, report) else {
        return;
    };
    match facts.limit("over-temperature-margin-min") {
        Some(limit) => {
            let margin = at_least(TemperatureDifference, margin, 0);
            report.hold(vec![Subject::Furnace], margin, limit, vec![]);
        }
        None => report.missing(
            vec![Subject::Furnace],
            missing::limit("over-temperature-margin-min"),
        ),
    }
}

fn over_temperature_set_high(facts: &Facts, report: &mut Report) {
    let Some(margin) = over_temperature_margin(facts, report) else {
        return;
    };
    match facts.limit("over-temperature-margin-max") {
        Some(limit) => {
            let margin = at_most(TemperatureDifference, margin, 0);
            report.hold(vec![Subject::Furnace], margin, limit, vec![]);
        }
        None => report.missing(
            vec![Subject::Furnace],
            missing::limit("over-temperature-margin-max"),
        ),
    }
}
