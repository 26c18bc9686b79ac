//! Geometry: shapes of parts, and records without which nothing can be drawn.

use super::common::{geometry, limit_for, with_records};
use crate::catalogue::Severity::{Caution, Note, Stop};
use crate::catalogue::{Kind, SensorJob, SupportKind};
use crate::load::{Carrier, CarrierFault, Item, PartRecords};
use crate::part::{Infill, Part, Shape, likely_slip};
use crate::review::facts::Facts;
use crate::review::finding::Sense::{self, AtLeast};
use crate::review::finding::{Check, Report, Subject, at_most, number, text};
use crate::text::did_you_mean;
use crate::text::findings::Arg;
use crate::text::{missing, phrases, unmeasured as lacks};
use crate::units::Quantity::Length;
use std::collections::BTreeMap;

/// Checks of shapes and records.
pub const CHECKS: &[Check] = &[
    geometry(Stop, "unknown-record", &[], unknown_record),
    geometry(Stop, "level-not-carried", &[], level_not_carried),
    geometry(
        Caution,
        "load-thermocouple-unknown",
        &[],
        load_thermocouple_unknown,
    ),
    geometry(
        Stop,
        "section-too-thick",
        &["section-stop"],
        section_too_thick,
    ),
    geometry(
        Caution,
        "section-thick",
        &["section-caution", "section-stop"],
        section_thick,
    ),
    geometry(Caution, "mesh-open", &[], mesh_open),
    geometry(Caution, "mesh-crossing", &[], mesh_crossing),
    geometry(
        Note,
        "section-stated-thinner",
        &["section-stated-told", "section-stated-share"],
        |facts, report| section_stated(facts, report, false),
    ),
    geometry(
        Stop,
        "section-stated-far-thinner",
        &["section-stated-share"],
        |facts, report| section_stated(facts, report, true),
    ),
    geometry(Note, "mesh-degenerate", &[], mesh_degenerate),
    geometry(Caution, "size-of-another-unit", &[], size_of_another_unit),
    geometry(
        Caution,
        "rests-on-kept-off-face",
        &[],
        rests_on_kept_off_face,
    ),
    geometry(Note, "outline-and-mass-only", &[], outline_and_mass_only),
    geometry(Note, "closed-infill", &[], closed_infill),
];

/// Every record that the load and its parts ask for, with what asks. Gases are the profile's.
fn asked_for<'f>(facts: &'f Facts) -> Vec<(Kind, &'f str, Subject)> {
    let (plan, catalogue) = (facts.plan, facts.catalogue);
    let mut asked = vec![(Kind::Furnace, plan.load.furnace.as_str(), Subject::Furnace)];
    for (_, level) in plan.levels() {
        let by = Subject::Level(level.id);
        asked.push((Kind::Setter, &level.setter, by.clone()));
        if let Some(setter) = catalogue.setter(&level.setter) {
            let face = setter.face_material.as_deref();
            for material in face.into_iter().chain([setter.material.as_str()]) {
                asked.push((Kind::Material, material, by.clone()));
            }
        }
        if let Carrier::Posts { post, .. } = &level.carrier {
            asked.push((Kind::Post, post, by.clone()));
            if let Some(post) = catalogue.post(post) {
                asked.push((Kind::Material, &post.material, by.clone()));
            }
        }
        for placement in &level.placements {
            if let Item::Dummy { material, .. } = &placement.item {
                asked.push((Kind::Material, material, by.clone()));
            }
            let Some(support) = &placement.support else {
                continue;
            };
            asked.push((Kind::Support, support, by.clone()));
            if let Some(support) = catalogue.support(support)
                && support.kind != SupportKind::Raft
            {
                asked.push((Kind::Material, &support.material, by.clone()));
            }
        }
    }
    for part in &plan.parts {
        let by = Subject::Part(part.id);
        asked.push((Kind::Feedstock, &part.feedstock, by.clone()));
        if let Some(feedstock) = catalogue.feedstock(&part.feedstock) {
            asked.push((Kind::Alloy, &feedstock.alloy, by.clone()));
            asked.push((Kind::Binder, &feedstock.binder, by));
        }
    }
    asked
}

fn unknown_record(facts: &Facts, report: &mut Report) {
    let mut unknown: BTreeMap<(Kind, &str), Vec<Subject>> = BTreeMap::new();
    for (kind, id, by) in asked_for(facts) {
        if !facts.catalogue.has(kind, id) {
            unknown.entry((kind, id)).or_default().push(by);
        }
    }
    for ((kind, id), mut subjects) in unknown {
        subjects.sort();
        subjects.dedup();
        let by = subjects.first().map(|s| s.label(facts.plan));
        let args = vec![
            ("kind", text(kind.word())),
            ("id", text(id)),
            ("by", text(by.unwrap_or_default())),
            (
                "candidates",
                text(did_you_mean(&facts.catalogue.candidates(kind, id))),
            ),
        ];
        subjects.push(Subject::Named(format!("{} {id}", kind.word())));
        report.found(subjects, args);
    }
}

fn level_not_carried(facts: &Facts, report: &mut Report) {
    if facts.furnace.is_none() {
        return report.missing(vec![Subject::Furnace], missing::furnace_record());
    }
    for stack in &facts.plan.load.stacks {
        let heights = facts.heights.get(&stack.id).into_iter().flatten();
        for (level, height) in stack.levels.iter().zip(heights) {
            let why = match height {
                Err(CarrierFault::NoRimBelow) => phrases::no_rim_below(),
                Err(CarrierFault::NoSlot) => phrases::no_slot(),
                Err(CarrierFault::HearthTaken) => phrases::hearth_taken(),
                Err(CarrierFault::InRimBelow) => phrases::in_rim_below(),
                Err(CarrierFault::WithinRim) => phrases::within_rim(),
                Err(CarrierFault::SlotTooLow) => phrases::slot_too_low(),
                // That a record is unknown is another check's, but without it nobody knows.
                Err(CarrierFault::UnknownSetter | CarrierFault::UnknownPost) => {
                    report.missing(vec![Subject::Level(level.id)], missing::setter_or_carrier());
                    continue;
                }
                // Above a level without a height the first fault is the one to mend.
                Ok(_) | Err(CarrierFault::BelowUnknown) => continue,
            };
            let label = facts.plan.level_label(level.id);
            report.found(
                vec![Subject::Level(level.id)],
                vec![("level", text(label)), ("why", text(why))],
            );
        }
    }
}

fn load_thermocouple_unknown(facts: &Facts, report: &mut Report) {
    for (_, placement) in facts.plan.placements() {
        let Item::Sensor { sensor, .. } = &placement.item else {
            continue;
        };
        let subject = vec![Subject::Placement(placement.id)];
        let Some(furnace) = facts.furnace else {
            report.missing(subject, missing::furnace_record());
            continue;
        };
        let load = |s: &&crate::catalogue::FurnaceSensor| s.job == SensorJob::Load;
        let names = furnace.sensors.iter().filter(load).map(|s| s.id.as_str());
        if names.clone().all(|name| name != sensor) {
            let near = crate::text::nearest(sensor, names, 3);
            report.found(
                subject,
                vec![
                    ("sensor", text(sensor)),
                    ("furnace", text(&furnace.name)),
                    ("candidates", text(did_you_mean(&near))),
                ],
            );
        }
    }
}

/// Governing section of a part at green size; says where it is not known.
fn section_mm(records: &PartRecords, report: &mut Report) -> Option<f64> {
    let found = records.part.green_section_mm(records.feedstock.oversize);
    if found.is_none() {
        report.missing(
            vec![Subject::Part(records.part.id)],
            missing::section_of(&records.part.name),
        );
    }
    found
}

fn section_too_thick(facts: &Facts, report: &mut Report) {
    section(facts, report, "section-stop", None);
}

fn section_thick(facts: &Facts, report: &mut Report) {
    section(facts, report, "section-caution", Some("section-stop"));
}

/// Holds the section of each part against a limit, unless it is beyond the one that stops.
fn section(facts: &Facts, report: &mut Report, id: &str, stop: Option<&str>) {
    for (placed, records) in with_records(facts, report) {
        let Some(limit) = limit_for(facts, report, id, &records, Sense::AtMost) else {
            continue;
        };
        let Some(section) = section_mm(&records, report) else {
            continue;
        };
        let stop = stop.and_then(|id| facts.limit_for(id, &records, Sense::AtMost));
        if stop.is_some_and(|stop| section > stop.value) {
            continue;
        }
        report.hold(
            vec![Subject::Part(placed.part.id)],
            at_most(Length, section, 1),
            limit,
            vec![
                ("part", text(&placed.part.name)),
                ("count", Arg::Count(placed.pieces)),
            ],
        );
    }
}

fn mesh_open(facts: &Facts, report: &mut Report) {
    mesh(facts, report, |g| g.open_edges);
}

fn mesh_crossing(facts: &Facts, report: &mut Report) {
    for placed in &facts.placed {
        let part = placed.part;
        let detail = part.geometry.detail;
        if matches!(part.shape, Shape::Mesh { .. })
            && detail.is_none_or(|d| d.crossing_shells.is_none())
        {
            let subject = vec![Subject::Part(part.id)];
            report.missing(subject, missing::crossing_of(&part.name));
        }
    }
    mesh(facts, report, |g| {
        g.detail.and_then(|d| d.crossing_shells).unwrap_or(0)
    });
}

fn size_of_another_unit(facts: &Facts, report: &mut Report) {
    for placed in &facts.placed {
        let part = placed.part;
        if !matches!(part.shape, Shape::Mesh { .. }) {
            continue;
        }
        if let Some(slip) = likely_slip(part.geometry.size_mm) {
            let longest = part.geometry.size_mm.into_iter().fold(0.0, f64::max);
            let args = vec![
                ("part", text(&part.name)),
                ("longest", number(Length, longest, 2)),
                ("likelier", number(Length, longest * slip, 1)),
            ];
            report.found(vec![Subject::Part(part.id)], args);
        }
    }
}

/// A person may know better than the largest ball; it is said all the same. `far` beyond the limit
/// nobody knows better: it is a slip.
fn section_stated(facts: &Facts, report: &mut Report, far: bool) {
    for (placed, records) in with_records(facts, report) {
        let part = placed.part;
        let Some(stated) = part.section_mm else {
            continue;
        };
        let measured = Part {
            section_mm: None,
            ..part.clone()
        };
        let Some(measured) = measured.green_section_mm(records.feedstock.oversize) else {
            let subject = vec![Subject::Part(part.id)];
            report.missing(subject, lacks::section_as_measured(&part.name));
            continue;
        };
        let id = if far {
            "section-stated-share"
        } else {
            "section-stated-told"
        };
        let Some(told) = limit_for(facts, report, id, &records, AtLeast) else {
            continue;
        };
        if stated >= told.value * measured {
            continue;
        }
        let Some(least) = limit_for(facts, report, "section-stated-share", &records, AtLeast)
        else {
            continue;
        };
        if (stated < least.value * measured) == far {
            let args = vec![
                ("part", text(&part.name)),
                ("stated", number(Length, stated, 2)),
                ("measured", number(Length, measured, 2)),
            ];
            let subjects = vec![Subject::Part(part.id)];
            report.found_by(subjects, told, args);
        }
    }
}

fn rests_on_kept_off_face(facts: &Facts, report: &mut Report) {
    for placed in &facts.placed {
        let part = placed.part;
        if part.keep_off.iter().any(|f| part.rest.rests_on_face(*f)) {
            let args = vec![("part", text(&part.name))];
            report.found(vec![Subject::Part(part.id)], args);
        }
    }
}

fn mesh_degenerate(facts: &Facts, report: &mut Report) {
    mesh(facts, report, |g| g.degenerate_triangles);
}

fn outline_and_mass_only(facts: &Facts, report: &mut Report) {
    for placed in facts.placed.iter().filter(|p| p.part.outline_only()) {
        let args = vec![("part", text(&placed.part.name))];
        report.found(vec![Subject::Part(placed.part.id)], args);
    }
}

fn closed_infill(facts: &Facts, report: &mut Report) {
    for placed in &facts.placed {
        if let Infill::Closed { shell_thickness_mm } = placed.part.infill {
            let args = vec![
                ("part", text(&placed.part.name)),
                ("shell", number(Length, shell_thickness_mm, 1)),
            ];
            report.found(vec![Subject::Part(placed.part.id)], args);
        }
    }
}

fn mesh(facts: &Facts, report: &mut Report, count: fn(&crate::part::Geometry) -> usize) {
    for placed in &facts.placed {
        let found = count(&placed.part.geometry);
        if found > 0 {
            report.found(
                vec![Subject::Part(placed.part.id)],
                vec![
                    ("part", text(&placed.part.name)),
                    ("count", Arg::Count(found)),
                ],
            );
        }
    }
}
