//! Mesh files, and load thermocouples where parts are.

use super::{Row, argon};
use setterwright::load::Item;
use setterwright::part::{MeshUnit, Shape};
use setterwright::review::MESH_OTHER;

pub fn rows() -> Vec<Row> {
    vec![
        // A shape that is a mesh has measures that a typed one is not asked for.
        argon("mesh-file-other", "the mesh file is another one", |c| {
            c.part().shape = Shape::Mesh {
                file: "bracket.stl".to_owned(),
                unit: MeshUnit::Millimetre,
                sha256: "as it was".to_owned(),
                body: None,
            };
            c.differences = vec![(MESH_OTHER.to_owned(), "as it was".to_owned())];
        })
        .lapses(&[
            "bridge-long",
            "mesh-crossing",
            "overhang-long",
            "overhang-too-long",
            "wall-ratio-high",
        ]),
        argon(
            "load-thermocouple-in-part",
            "a load thermocouple in the middle of a bracket",
            |c| {
                let at_mm = c.level(0).placements[0].at_mm;
                let placements = &mut c.level(0).placements;
                for p in placements.iter_mut() {
                    if let Item::Sensor { height_mm, .. } = &mut p.item {
                        *height_mm = 1.0;
                        p.at_mm = [at_mm[0] + 1.0, at_mm[1] + 1.0];
                    }
                }
            },
        ),
    ]
}
