//! What a load says of its mesh files, and load thermocouples where there is no room for them.

use super::common::{geometry, records, without_lift};
use crate::catalogue::Severity::Caution;
use crate::load::{Item, lift_mm, pose_on_setter};
use crate::part::{Shape, SizeStage};
use crate::review::facts::{Facts, MESH_OTHER};
use crate::review::finding::{Check, Report, Subject, text};
use crate::text::{missing, unmeasured as lacks};

/// The checks.
pub const CHECKS: &[Check] = &[
    records(Caution, "mesh-file-other", &[], mesh_file_other),
    geometry(
        Caution,
        "load-thermocouple-in-part",
        &[],
        load_thermocouple_in_part,
    ),
];

fn mesh_file_other(facts: &Facts, report: &mut Report) {
    let other = facts
        .differences
        .iter()
        .filter(|(kind, _)| kind == MESH_OTHER);
    for (_, was) in other {
        for part in &facts.plan.parts {
            let from = matches!(&part.shape, Shape::Mesh { sha256, .. } if sha256 == was);
            if from {
                report.found(
                    vec![Subject::Part(part.id)],
                    vec![("part", text(&part.name))],
                );
            }
        }
    }
}

/// A tip may stand in a bore or a hollow, for these are no part of the body; where there is
/// material, a thermocouple needs a hole that the drawing does not have.
fn load_thermocouple_in_part(facts: &Facts, report: &mut Report) {
    for (_, level) in facts.plan.levels() {
        let tips = level.placements.iter().filter_map(|p| match &p.item {
            Item::Sensor { sensor, height_mm } => Some((p, sensor, *height_mm)),
            Item::Part { .. } | Item::Coupon { .. } | Item::Dummy { .. } => None,
        });
        for (tip, sensor, height_mm) in tips {
            for other in level.placements.iter().filter(|p| !p.item.is_tip()) {
                let subject = || vec![Subject::Placement(tip.id), Subject::Placement(other.id)];
                let Some(sized) = facts.sizes.of(&other.item, facts.catalogue) else {
                    report.missing(subject(), missing::feedstock_or_material());
                    continue;
                };
                if without_lift(facts, other) {
                    report.missing(subject(), lacks::support_height());
                    continue;
                }
                let z = height_mm - lift_mm(other, facts.catalogue);
                let pose = pose_on_setter(other, 0.0, 1.0);
                let body = &sized.at(SizeStage::Green).body;
                let inside = body
                    .slabs
                    .iter()
                    .filter(|s| s.z0 <= z && z <= s.z1)
                    .any(|s| s.finest().placed(&pose).contains(tip.at_mm));
                if inside {
                    report.found(
                        subject(),
                        vec![
                            ("sensor", text(sensor)),
                            ("part", text(facts.label(other.id))),
                        ],
                    );
                }
            }
        }
    }
}
