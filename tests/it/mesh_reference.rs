//! Readers and measures beside an independent library's: `tests/reference/meshes.json`, made by
//! the script beside it, which states the versions.

use serde_json::Value;
use setterwright::files::read_mesh;
use setterwright::part::{MeshUnit, measure_mesh};
use std::path::Path;

#[test]
fn measures_agree_with_an_independent_library() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(root.join("tests/reference/meshes.json")).unwrap();
    let reference: Value = serde_json::from_str(&text).unwrap();
    assert_eq!(reference["made_with"].as_object().unwrap().len(), 4);
    let meshes = reference["meshes"].as_array().unwrap();
    assert!(meshes.len() >= 13);
    for case in meshes {
        let name = case["file"].as_str().unwrap();
        let value = |key: &str| case[key].as_f64().unwrap();
        let list = |key: &str| -> Vec<f64> {
            let values = case[key].as_array().unwrap().iter();
            values.map(|v| v.as_f64().unwrap()).collect()
        };
        let file = read_mesh(&root.join(name)).unwrap();
        assert_eq!(
            file.mesh.triangles.len() as f64,
            value("triangles"),
            "{name}"
        );
        let unit = match case["inches"].as_bool().unwrap() {
            true => MeshUnit::Inch,
            false => MeshUnit::Millimetre,
        };
        let mm = unit.mm();
        let ours = measure_mesh(&file.mesh, unit).unwrap();
        let detail = ours.detail.unwrap();
        assert_eq!(ours.open_edges, 0, "{name}");
        let near = |what: &str, found: f64, expected: f64, within: f64| {
            let off = (found - expected).abs();
            assert!(off <= within, "{name}: {what} {found}, there {expected}");
        };
        let (volume, diagonal) = (value("volume") * mm.powi(3), value("diagonal") * mm);
        near("volume", ours.volume_mm3, volume, 1e-6 * volume);
        let area = value("area") * mm.powi(2);
        near("area", ours.area_mm2, area, 1e-6 * area);
        for (k, expected) in list("centroid").into_iter().enumerate() {
            let found = ours.centroid_mm[k] + ours.anchor_mm[k];
            near("centroid", found, expected * mm, 1e-6 * diagonal);
        }
        let inertia: Vec<f64> = list("inertia").iter().map(|i| i * mm.powi(5)).collect();
        let largest = inertia.iter().fold(0.0_f64, |a, b| a.max(b.abs()));
        for (found, expected) in detail.inertia_mm5.into_iter().zip(inertia) {
            near("inertia", found, expected, 1e-6 * largest);
        }
        let outline = value("silhouette_area") * mm.powi(2);
        near("outline", ours.outline().area(), outline, 1e-3 * outline);
        // There a search from random points: a lower bound, and near the truth.
        let (ball, found) = (value("inscribed_diameter") * mm, ours.section_mm.unwrap());
        println!(
            "{name}: section {found} there {ball}, outline {} there {outline}",
            ours.outline().area()
        );
        assert!(
            found >= ball * (1.0 - 1e-5),
            "{name}: section {found}, there {ball}"
        );
        assert!(
            found <= ball * 1.02,
            "{name}: section {found}, there {ball}"
        );
    }
}
