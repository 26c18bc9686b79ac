//! Mesh files, and load thermocouples where parts are.

use super::{Row, argon};
use crate::fixture::Case;
use setterwright::catalogue::Severity;
use setterwright::load::Item;
use setterwright::part::{MeshUnit, Shape};
use setterwright::review::MESH_OTHER;

fn from_mesh(case: &mut Case, sha256: &str) {
    case.part().shape = Shape::Mesh {
        file: "bracket.stl".to_owned(),
        unit: MeshUnit::Millimetre,
        sha256: sha256.to_owned(),
        body: None,
    };
}

/// A load thermocouple 1 mm beside the middle of the first bracket, so high.
pub fn tip(case: &mut Case, mm: f64) {
    let [x, y] = case.bracket().at_mm;
    for p in &mut case.level(0).placements {
        if let Item::Sensor { height_mm, .. } = &mut p.item {
            *height_mm = mm;
            p.at_mm = [x + 1.0, y + 1.0];
        }
    }
}

pub fn rows() -> Vec<Row> {
    vec![
        // A shape that is a mesh has measures that a typed one is not asked for.
        argon("mesh-file-other", "the mesh file is another one", |c| {
            from_mesh(c, "as it was");
            c.differences = vec![(MESH_OTHER.to_owned(), "as it was".to_owned())];
        })
        .lapses(&[
            "bridge-long",
            "mesh-crossing",
            "overhang-long",
            "overhang-too-long",
            "wall-ratio-high",
        ])
        .weighs(Severity::Caution)
        .inside("the part made anew from the file that is there", |c| {
            from_mesh(c, "as it is");
            c.differences = vec![(MESH_OTHER.to_owned(), "as it was".to_owned())];
        })
        .never_missing(
            "a file that is not there is no other one, and the load carries what was read of it",
        ),
        argon(
            "load-thermocouple-in-part",
            "a load thermocouple in the middle of a bracket",
            |c| tip(c, 1.0),
        )
        .weighs(Severity::Caution)
        .inside("0.06 mm above it", |c| tip(c, 5.95))
        .missing("a bracket on a support without a record", |c| {
            tip(c, 1.0);
            c.bracket().support = Some("none".to_owned());
        }),
    ]
}
