//! Mass: rating, fill, sizes, sliding, and whether lots and pieces add up.

use super::common::{check, furnace, limit, limit_for, off, unknown_masses, with_records};
use crate::catalogue::Severity::{self, Caution, Note, Stop};
use crate::catalogue::{Limit, SupportKind};
use crate::load::PartRecords;
use crate::part::{Infill, Part, Shape, SizeStage, Weighed};
use crate::review::facts::Facts;
use crate::review::facts_limits::{as_share, from_record, scaled};
use crate::review::finding::{
    Check, Family, Report, Sense, Subject, at_least, at_most, number, text,
};
use crate::text::findings::Arg;
use crate::text::{limits, missing};
use crate::units::Quantity::{Fraction, Length, Mass, Number};
use crate::units::show;
use std::collections::BTreeMap;

const fn mass(
    severity: Severity,
    slug: &'static str,
    limits: &'static [&'static str],
    run: fn(&Facts, &mut Report),
) -> Check {
    check(Family::Mass, severity, slug, limits, run)
}

/// The family's checks.
pub const CHECKS: &[Check] = &[
    mass(Stop, "load-over-furnace-mass", &[], load_over_furnace_mass),
    off(mass(
        Note,
        "level-mass-uneven",
        &["level-mass-mean-ratio"],
        level_mass_uneven,
    )),
    off(mass(Caution, "fill-high", &["fill-high"], fill_high)),
    off(mass(Note, "fill-low", &["fill-low"], fill_low)),
    mass(
        Stop,
        "oversize-factor-mismatch",
        &["oversize-difference-max"],
        oversize_factor_mismatch,
    ),
    mass(
        Caution,
        "weighed-mass-differs",
        &["mass-difference-max"],
        weighed_mass_differs,
    ),
    mass(
        Caution,
        "heavier-than-solid",
        &["mass-difference-max"],
        heavier_than_solid,
    ),
    mass(
        Caution,
        "lot-mass-differs",
        &["mass-difference-max"],
        lot_mass_differs,
    ),
    mass(
        Caution,
        "drag-likely",
        &["drag-length", "drag-mass"],
        drag_likely,
    ),
    mass(
        Caution,
        "raft-of-other-feedstock",
        &[],
        raft_of_other_feedstock,
    ),
    mass(Stop, "lot-count-mismatch", &[], lot_count_mismatch),
    mass(Note, "lot-without-placement", &[], lot_without_placement),
    mass(Note, "part-without-lot", &[], part_without_lot),
];

fn load_over_furnace_mass(facts: &Facts, report: &mut Report) {
    let Some(furnace) = furnace(facts, report) else {
        return;
    };
    let whole = &facts.tally.whole;
    if whole.unknown > 0 {
        report.missing(vec![Subject::Load], missing::masses_of_load());
    }
    let rated = furnace.mass_rating_kg;
    let limit = from_record(
        furnace,
        "mass_rating_kg",
        limits::furnace_mass(),
        rated,
        "kg",
    );
    report.hold(
        vec![Subject::Load],
        at_most(Mass, whole.total_g(), 0),
        &scaled(&limit, 1000.0, "g"),
        vec![("furnace", text(&furnace.name))],
    );
}

fn level_mass_uneven(facts: &Facts, report: &mut Report) {
    let Some(limit) = limit(facts, report, "level-mass-mean-ratio") else {
        return;
    };
    let levels = &facts.tally.levels;
    let mean_g = levels.iter().map(|l| l.on_plate_g).sum::<f64>() / levels.len() as f64;
    for tally in levels {
        unknown_masses(report, tally.level, tally.sums.unknown);
        if mean_g > 0.0 {
            report.hold(
                vec![Subject::Level(tally.level)],
                at_most(Number, tally.on_plate_g / mean_g, 2),
                limit,
                vec![
                    ("level", text(facts.plan.level_label(tally.level))),
                    ("mean", number(Mass, mean_g, 0)),
                ],
            );
        }
    }
}

fn fill_high(facts: &Facts, report: &mut Report) {
    fill(facts, report, "fill-high", at_most);
}

fn fill_low(facts: &Facts, report: &mut Report) {
    fill(facts, report, "fill-low", at_least);
}

fn fill(
    facts: &Facts,
    report: &mut Report,
    id: &str,
    sense: fn(crate::units::Quantity, f64, usize) -> crate::review::finding::Measured,
) {
    let Some(limit) = limit(facts, report, id) else {
        return;
    };
    for tally in &facts.tally.levels {
        let subject = vec![Subject::Level(tally.level)];
        let Some(fill) = tally.fill() else {
            report.missing(subject, missing::setter_record());
            continue;
        };
        unknown_masses(report, tally.level, tally.sums.unknown);
        let level = text(facts.plan.level_label(tally.level));
        report.hold(
            subject,
            sense(Fraction, fill, 0),
            limit,
            vec![("level", level)],
        );
    }
}

fn oversize_factor_mismatch(facts: &Facts, report: &mut Report) {
    for (placed, records) in with_records(facts, report) {
        let Some(limit) = limit_for(
            facts,
            report,
            "oversize-difference-max",
            &records,
            Sense::AtMost,
        ) else {
            continue;
        };
        let subject = vec![Subject::Part(placed.part.id)];
        let Some(made) = placed.part.made_with_oversize else {
            let what = missing::oversize_factors(&placed.part.name);
            report.missing(subject, what);
            continue;
        };
        let pairs = made.into_iter().zip(records.feedstock.oversize);
        let by = |(a, b): &(f64, f64)| (a - b).abs();
        let Some((made, wanted)) = pairs.max_by(|a, b| by(a).total_cmp(&by(b))) else {
            continue;
        };
        report.hold(
            subject,
            at_most(Number, (made - wanted).abs(), 4),
            limit,
            vec![
                ("part", text(&placed.part.name)),
                ("made", number(Number, made, 4)),
                ("feedstock", text(&records.feedstock.name)),
                ("wanted", number(Number, wanted, 4)),
            ],
        );
    }
}

/// How far a weighing may be from what is worked out, as a share.
fn mass_difference(facts: &Facts, report: &mut Report, records: &PartRecords) -> Option<Limit> {
    let id = "mass-difference-max";
    limit_for(facts, report, id, records, Sense::AtMost).map(as_share)
}

/// Mass of one piece in the state in which it was weighed, from its volume alone, g; none where
/// that does not tell it.
fn computed_g(records: &PartRecords, weighed: Weighed) -> Option<f64> {
    let part = Part {
        weighed: None,
        ..records.part.clone()
    };
    mass_g(&part, records, weighed)
}

/// [`computed_g`] of a piece that fills all of its outline or its mesh, g.
fn filled_g(records: &PartRecords, weighed: Weighed) -> Option<f64> {
    let shape = match &records.part.shape {
        Shape::Outline {
            outline_mm,
            height_mm,
        } => Shape::Prism {
            outline_mm: outline_mm.clone(),
            height_mm: *height_mm,
        },
        other => other.clone(),
    };
    let part = Part {
        weighed: None,
        infill: Infill::Solid,
        shape,
        ..records.part.clone()
    };
    mass_g(&part, records, weighed)
}

fn mass_g(part: &Part, records: &PartRecords, weighed: Weighed) -> Option<f64> {
    let records = PartRecords { part, ..*records };
    let share = records.extracted(None).share;
    Some(records.masses(share)?.in_state(weighed.state))
}

fn weighed_mass_differs(facts: &Facts, report: &mut Report) {
    for (placed, records) in with_records(facts, report) {
        let Some(limit) = mass_difference(facts, report, &records) else {
            continue;
        };
        let subject = vec![Subject::Part(placed.part.id)];
        let Some(weighed) = placed.part.weighed else {
            let what = missing::weighed_mass(&placed.part.name);
            report.missing(subject, what);
            continue;
        };
        let Some(computed) = computed_g(&records, weighed) else {
            report.missing(subject, missing::volume_of(&placed.part.name));
            continue;
        };
        report.hold(
            subject,
            at_most(Fraction, (weighed.mass_g / computed - 1.0).abs(), 1),
            &limit,
            vec![
                ("part", text(&placed.part.name)),
                ("weighed", number(Mass, weighed.mass_g, 2)),
                ("computed", number(Mass, computed, 2)),
                ("state", text(weighed.state.word())),
            ],
        );
    }
}

/// What is known by an outline or has an infill can be no heavier than the same filled.
fn heavier_than_solid(facts: &Facts, report: &mut Report) {
    for (placed, records) in with_records(facts, report) {
        let part = &placed.part;
        if part.solid_volume_mm3().is_some() {
            continue;
        }
        let Some(limit) = mass_difference(facts, report, &records) else {
            continue;
        };
        let subject = vec![Subject::Part(part.id)];
        let filled = part.weighed.and_then(|w| Some((w, filled_g(&records, w)?)));
        let Some((weighed, filled)) = filled else {
            report.missing(subject, missing::weighed_mass(&part.name));
            continue;
        };
        report.hold(
            subject,
            at_most(Fraction, (weighed.mass_g / filled - 1.0).max(0.0), 1),
            &limit,
            vec![
                ("part", text(&part.name)),
                ("weighed", number(Mass, weighed.mass_g, 2)),
                ("filled", number(Mass, filled, 2)),
                ("state", text(weighed.state.word())),
            ],
        );
    }
}

fn lot_mass_differs(facts: &Facts, report: &mut Report) {
    for lot in &facts.plan.lots {
        let subject = vec![Subject::Lot(lot.id)];
        let placed = facts.placed.iter().find(|p| p.part.id == lot.part);
        // A lot whose part is not in the load waits for another one.
        let Some(placed) = placed else {
            continue;
        };
        let Some(records) = placed.records else {
            report.missing(subject, missing::part_records());
            continue;
        };
        let Some(limit) = mass_difference(facts, report, &records) else {
            continue;
        };
        let Some(green_g) = lot.green_g.filter(|_| lot.count > 0) else {
            report.missing(subject, missing::green_mass_of(&lot.name));
            continue;
        };
        let Some(each) = records.masses(1.0).map(|m| m.green_g) else {
            report.missing(subject, missing::weighed_mass(&placed.part.name));
            continue;
        };
        let computed = each * f64::from(lot.count);
        report.hold(
            subject,
            at_most(Fraction, (green_g / computed - 1.0).abs(), 1),
            &limit,
            vec![
                ("lot", text(&lot.name)),
                ("weighed", number(Mass, green_g, 1)),
                ("pieces", Arg::Count(lot.count as usize)),
                ("part", text(&placed.part.name)),
                ("each", number(Mass, each, 2)),
            ],
        );
    }
}

/// Longest straight line across what a part stands on, green, mm.
fn contact_length_mm(facts: &Facts, records: &PartRecords) -> f64 {
    let factors = crate::part::scale(
        records.part,
        records.feedstock,
        records.alloy,
        facts.peak_c,
        SizeStage::Green,
    );
    let hull = records.part.geometry.support_polygon().into_iter();
    let hull: Vec<[f64; 2]> = hull
        .map(|[x, y]| [x * factors[0], y * factors[1]])
        .collect();
    let far = |a: &[f64; 2]| {
        let to = hull.iter().map(|b| libm::hypot(a[0] - b[0], a[1] - b[1]));
        to.fold(0.0, f64::max)
    };
    hull.iter().map(far).fold(0.0, f64::max)
}

fn drag_likely(facts: &Facts, report: &mut Report) {
    let mut bare: BTreeMap<u32, usize> = BTreeMap::new();
    for (_, placement) in facts.plan.placements() {
        if let (Some(part), None) = (placement.item.part(), &placement.support) {
            *bare.entry(part.0).or_default() += 1;
        }
    }
    for (placed, records) in with_records(facts, report) {
        let length = limit_for(facts, report, "drag-length", &records, Sense::AtMost);
        let from_g = limit_for(facts, report, "drag-mass", &records, Sense::AtMost);
        let (Some(length), Some(from_g)) = (length, from_g) else {
            continue;
        };
        let Some(mass_g) = records.masses(1.0).map(|m| m.green_g) else {
            let what = missing::weighed_mass(&placed.part.name);
            report.missing(vec![Subject::Part(placed.part.id)], what);
            continue;
        };
        let Some(count) = bare
            .get(&placed.part.id.0)
            .filter(|_| mass_g > from_g.value)
        else {
            continue;
        };
        let along = at_most(Length, contact_length_mm(facts, &records), 0);
        report.hold_beside(
            vec![Subject::Part(placed.part.id)],
            (along, show(Mass, mass_g, 0)),
            length,
            vec![
                ("part", text(&placed.part.name)),
                ("count", Arg::Count(*count)),
                ("mass", number(Mass, mass_g, 0)),
                ("from", number(Mass, from_g.value, 0)),
            ],
        );
    }
}

fn raft_of_other_feedstock(facts: &Facts, report: &mut Report) {
    let mut pairs: BTreeMap<(u32, &str), usize> = BTreeMap::new();
    for (_, placement) in facts.plan.placements() {
        if let (Some(part), Some(support)) = (placement.item.part(), &placement.support) {
            *pairs.entry((part.0, support)).or_default() += 1;
        }
    }
    for ((part, id), count) in pairs {
        let Some(placed) = facts.placed.iter().find(|p| p.part.id.0 == part) else {
            continue;
        };
        let subject = vec![Subject::Part(placed.part.id)];
        let Some(support) = facts.catalogue.support(id) else {
            report.missing(subject, missing::support_record_of(id));
            continue;
        };
        // An empty material stands for the part's own feedstock.
        let own = support.material.is_empty() || support.material == placed.part.feedstock;
        if support.kind == SupportKind::Raft && !own {
            report.found(
                subject,
                vec![
                    ("part", text(&placed.part.name)),
                    ("count", Arg::Count(count)),
                    ("raft", text(&support.material)),
                    ("feedstock", text(&placed.part.feedstock)),
                ],
            );
        }
    }
}

fn lot_count_mismatch(facts: &Facts, report: &mut Report) {
    for lot in &facts.plan.lots {
        let placed = facts.tally.lots.get(&lot.id.0).copied().unwrap_or(0);
        if placed > 0 && placed != lot.count as usize {
            report.found(
                vec![Subject::Lot(lot.id)],
                vec![
                    ("lot", text(&lot.name)),
                    ("placed", Arg::Count(placed)),
                    ("count", Arg::Count(lot.count as usize)),
                ],
            );
        }
    }
    if facts.regulated() {
        for (part, _) in facts.without_lot() {
            report.missing(vec![Subject::Part(part.id)], missing::lot_of(&part.name));
        }
    }
}

fn lot_without_placement(facts: &Facts, report: &mut Report) {
    for lot in &facts.plan.lots {
        if !facts.tally.lots.contains_key(&lot.id.0) {
            report.found(
                vec![Subject::Lot(lot.id)],
                vec![
                    ("lot", text(&lot.name)),
                    ("count", Arg::Count(lot.count as usize)),
                ],
            );
        }
    }
}

/// Only where the plan has lots at all, or where work is regulated: a shop that does without is not
/// reminded of it.
fn part_without_lot(facts: &Facts, report: &mut Report) {
    if facts.plan.lots.is_empty() && !facts.regulated() {
        return;
    }
    for (part, count) in facts.without_lot() {
        report.found(
            vec![Subject::Part(part.id)],
            vec![("part", text(&part.name)), ("count", Arg::Count(count))],
        );
    }
}
