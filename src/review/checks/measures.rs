//! Geometry: what hangs over, spans free or differs much in thickness. Both lengths are as drawn,
//! since their ratio hardly changes until the part shrinks.

use super::common::{geometry, limit_for, with_records};
use crate::catalogue::Severity::{Caution, Note, Stop};
use crate::catalogue::SupportKind;
use crate::load::PartRecords;
use crate::part::{Part, Rest, Shape};
use crate::review::facts::{Facts, PlacedPart};
use crate::review::finding::{Check, Report, Sense, Subject, at_most, number, text};
use crate::text::findings::Arg;
use crate::text::unmeasured as lacks;
use crate::units::Quantity::{Length, Number};
use std::collections::BTreeMap;

/// Checks of overhangs and walls.
pub const CHECKS: &[Check] = &[
    geometry(
        Stop,
        "overhang-too-long",
        &["overhang-ratio-stop"],
        overhang_too_long,
    ),
    geometry(
        Caution,
        "overhang-long",
        &[
            "overhang-ratio-caution",
            "overhang-ratio-stop",
            "overhang-thin-max",
            "overhang-thin-wall",
        ],
        overhang_long,
    ),
    geometry(
        Caution,
        "bridge-long",
        &["bridge-ratio-caution"],
        bridge_long,
    ),
    geometry(Note, "wall-ratio-high", &["section-ratio"], wall_ratio_high),
];

/// What of a part is not carried, as drawn.
struct Hanging {
    /// Farthest reach, mm.
    reach_mm: f64,
    /// Longest free span, mm.
    span_mm: f64,
    /// Thinnest wall, mm: what hangs may be thicker, never thinner. None where none was found.
    thinnest_mm: Option<f64>,
}

/// A typed shape stands upright on all of its outline, so nothing of it hangs.
fn hanging(part: &Part) -> Result<Option<Hanging>, String> {
    match part.shape {
        Shape::Mesh { .. } => {
            let detail = part.geometry.detail;
            let overhang = detail.and_then(|d| d.overhang);
            let overhang = overhang.ok_or_else(|| lacks::overhang_of(&part.name))?;
            let thinnest = detail.and_then(|d| d.thinnest);
            Ok(Some(Hanging {
                reach_mm: overhang.reach_mm,
                span_mm: overhang.span_mm,
                thinnest_mm: thinnest.map(|b| b.diameter_mm),
            }))
        }
        Shape::Outline { .. } => Err(lacks::overhang_of(&part.name)),
        Shape::Block { .. } | Shape::Disc { .. } | Shape::Tube { .. } | Shape::Prism { .. } => {
            if has_upright_walls(&part.shape, part.rest) {
                Ok(None)
            } else {
                Err(lacks::overhang_of(&part.name))
            }
        }
    }
}

/// Whether nothing of a typed shape can hang over: it stands on an end between upright walls, a block
/// on any side.
fn has_upright_walls(shape: &Shape, rest: Rest) -> bool {
    let [x, y, z] = rest.down().map(|c| c.abs() > 1.0 - 1e-9);
    z || matches!(shape, Shape::Block { .. }) && (x || y)
}

/// Pieces of each part under which something stands that may carry an overhang.
fn carried(facts: &Facts) -> BTreeMap<u32, usize> {
    let mut pieces: BTreeMap<u32, usize> = BTreeMap::new();
    for (_, placement) in facts.plan.placements() {
        let support = placement.support.as_ref();
        let support = support.and_then(|id| facts.catalogue.support(id));
        let carries = support.is_some_and(|s| match s.kind {
            SupportKind::Raft | SupportKind::Pins => true,
            SupportKind::Powder | SupportKind::Sheet => false,
        });
        if let (Some(part), true) = (placement.item.part(), carries) {
            *pieces.entry(part.0).or_default() += 1;
        }
    }
    pieces
}

/// A part of which something hangs: how long it is and how thick the thinnest wall, mm.
type Reach<'a> = (PlacedPart<'a>, PartRecords<'a>, [f64; 2]);

/// Parts of which something hangs, with the length that `pick` takes over the thinnest wall; says
/// what is not known.
fn ratios<'a>(facts: &Facts<'a>, report: &mut Report, pick: fn(&Hanging) -> f64) -> Vec<Reach<'a>> {
    let carried = carried(facts);
    let mut found = Vec::new();
    for (placed, records) in with_records(facts, report) {
        let subject = || vec![Subject::Part(placed.part.id)];
        let hanging = match hanging(placed.part) {
            Ok(Some(hanging)) => hanging,
            Ok(None) => continue,
            Err(what) => {
                report.missing(subject(), what);
                continue;
            }
        };
        let length_mm = pick(&hanging);
        if length_mm <= 0.0 {
            continue;
        }
        let Some(thinnest_mm) = hanging.thinnest_mm.filter(|mm| *mm > 0.0) else {
            report.missing(subject(), lacks::thinnest_of(&placed.part.name));
            continue;
        };
        let on_supports = carried.get(&placed.part.id.0).copied().unwrap_or(0);
        if on_supports > 0 {
            report.missing(subject(), lacks::carried_by_support(&placed.part.name));
        }
        if on_supports < placed.pieces {
            found.push((placed, records, [length_mm, thinnest_mm]));
        }
    }
    found
}

fn reach_args(
    placed: &PlacedPart,
    [length_mm, wall_mm]: [f64; 2],
    of: &str,
) -> Vec<(&'static str, Arg)> {
    vec![
        ("part", text(&placed.part.name)),
        ("length", number(Length, length_mm, 1)),
        ("thinnest", number(Length, wall_mm, 1)),
        ("of", text(of)),
        ("count", Arg::Count(placed.pieces)),
    ]
}

/// Holds a length over the thinnest wall, unless it is beyond the limit that stops; gives all, and
/// whether each is within the limit.
fn hold_ratio<'a>(
    facts: &Facts<'a>,
    report: &mut Report,
    pick: fn(&Hanging) -> f64,
    id: &str,
    stop: Option<&str>,
) -> Vec<(Reach<'a>, bool)> {
    let mut all = Vec::new();
    for (placed, records, [length_mm, thinnest_mm]) in ratios(facts, report, pick) {
        let Some(limit) = limit_for(facts, report, id, &records, Sense::AtMost) else {
            continue;
        };
        let ratio = length_mm / thinnest_mm;
        let reach = (placed, records, [length_mm, thinnest_mm]);
        all.push((reach, ratio <= limit.value));
        let stop = stop.and_then(|id| facts.limit_for(id, &records, Sense::AtMost));
        if stop.is_some_and(|stop| ratio > stop.value) {
            continue;
        }
        let args = reach_args(&placed, [length_mm, thinnest_mm], lacks::times_its_wall());
        let subject = vec![Subject::Part(placed.part.id)];
        report.hold(subject, at_most(Number, ratio, 1), limit, args);
    }
    all
}

fn overhang_too_long(facts: &Facts, report: &mut Report) {
    hold_ratio(facts, report, |h| h.reach_mm, "overhang-ratio-stop", None);
}

fn overhang_long(facts: &Facts, report: &mut Report) {
    let stop = Some("overhang-ratio-stop");
    let all = hold_ratio(
        facts,
        report,
        |h| h.reach_mm,
        "overhang-ratio-caution",
        stop,
    );
    overhang_of_thin_wall(facts, report, all);
}

/// A thin wall sags over a length at which a thick one does not; what is far for any wall is told
/// as such.
fn overhang_of_thin_wall(facts: &Facts, report: &mut Report, all: Vec<(Reach, bool)>) {
    for ((placed, records, [length_mm, wall_mm]), within) in all {
        let (Some(most), Some(thin)) = (
            limit_for(facts, report, "overhang-thin-max", &records, Sense::AtMost),
            limit_for(
                facts,
                report,
                "overhang-thin-wall",
                &records,
                Sense::AtLeast,
            ),
        ) else {
            continue;
        };
        if !within || wall_mm >= thin.value {
            continue;
        }
        let args = reach_args(&placed, [length_mm, wall_mm], lacks::from_so_thin_a_wall());
        let subject = vec![Subject::Part(placed.part.id)];
        report.hold(subject, at_most(Length, length_mm, 1), most, args);
    }
}

fn bridge_long(facts: &Facts, report: &mut Report) {
    hold_ratio(facts, report, |h| h.span_mm, "bridge-ratio-caution", None);
}

fn wall_ratio_high(facts: &Facts, report: &mut Report) {
    for (placed, records) in with_records(facts, report) {
        let part = placed.part;
        let subject = vec![Subject::Part(part.id)];
        let walls = match part.shape {
            // One thickness throughout.
            Shape::Block { .. } | Shape::Disc { .. } | Shape::Tube { .. } => continue,
            Shape::Mesh { .. } => {
                let thinnest = part.geometry.detail.and_then(|d| d.thinnest);
                part.geometry
                    .section_mm
                    .zip(thinnest.map(|b| b.diameter_mm))
            }
            Shape::Prism { .. } | Shape::Outline { .. } => None,
        };
        let Some((thickest, thinnest)) = walls.filter(|(_, thin)| *thin > 0.0) else {
            report.missing(subject, lacks::thinnest_of(&part.name));
            continue;
        };
        let Some(limit) = limit_for(facts, report, "section-ratio", &records, Sense::AtMost) else {
            continue;
        };
        let args = vec![
            ("part", text(&part.name)),
            ("thickest", number(Length, thickest, 1)),
            ("thinnest", number(Length, thinnest, 1)),
        ];
        let ratio = at_most(Number, thickest / thinnest, 1);
        report.hold(subject, ratio, limit, args);
    }
}
