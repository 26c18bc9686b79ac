//! Readers and measures beside an independent library's: `tests/reference/meshes.json`, made by
//! the script beside it, which states the versions.

use serde_json::Value;
use setterwright::files::read_mesh;
use setterwright::geometry::Mesh;
use setterwright::part::{MeshUnit, Rest, measure_mesh, measure_mesh_at, mesh_in_mm};
use setterwright::statics::resting_poses;
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

fn reference() -> (std::path::PathBuf, Value) {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).to_owned();
    let text = std::fs::read_to_string(root.join("tests/reference/meshes.json")).unwrap();
    (root, serde_json::from_str(&text).unwrap())
}

fn numbers(value: &Value) -> Vec<f64> {
    let values = value.as_array().unwrap().iter();
    values.map(|v| v.as_f64().unwrap()).collect()
}

/// Every mesh with its case, its name and its unit.
fn cases() -> Vec<(Value, String, Mesh, MeshUnit)> {
    let (root, reference) = reference();
    let cases = reference["meshes"].as_array().unwrap().clone();
    let read = |case: Value| {
        let name = case["file"].as_str().unwrap().to_owned();
        let unit = match case["inches"].as_bool().unwrap() {
            true => MeshUnit::Inch,
            false => MeshUnit::Millimetre,
        };
        let mesh = read_mesh(&root.join(&name)).unwrap().mesh;
        (case, name, mesh, unit)
    };
    cases.into_iter().map(read).collect()
}

/// Their poses are within a degree of ours, and the other way round.
#[test]
fn hulls_and_stable_poses_agree_with_an_independent_library() {
    for (case, name, mesh, unit) in cases() {
        let (mesh, _) = mesh_in_mm(&mesh, unit).unwrap();
        let hull = mesh.hull().unwrap();
        let volume = case["hull_volume"].as_f64().unwrap() * unit.mm().powi(3);
        let off = (hull.volume() - volume).abs();
        assert!(
            off <= 1e-6 * volume,
            "{name}: {} there {volume}",
            hull.volume()
        );
        let centroid = mesh.measures().centroid_mm;
        let (ours, _) = hull.stands(centroid);
        let theirs: Vec<Vec<f64>> = case["stable_downs"]
            .as_array()
            .unwrap()
            .iter()
            .map(numbers)
            .collect();
        let cos = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
        let near = 1_f64.to_radians().cos() - 1e-9;
        for down in &theirs {
            let found = ours.iter().any(|s| cos(&s.down, down) >= near);
            assert!(found, "{name}: we do not stand with {down:?} down");
        }
        for stand in &ours {
            let found = theirs.iter().any(|d| cos(&stand.down, d) >= near);
            assert!(
                found,
                "{name}: they do not stand with {:?} down",
                stand.down
            );
        }
        println!("{name}: {} poses, there {}", ours.len(), theirs.len());
    }
}

#[test]
fn outlines_in_other_poses_agree_with_an_independent_library() {
    for (case, name, mesh, unit) in cases() {
        let areas = numbers(&case["stable_silhouettes"]);
        for (down, area) in case["stable_downs"].as_array().unwrap().iter().zip(areas) {
            let down = numbers(down);
            let rest = Rest::towards([down[0], down[1], down[2]]).unwrap();
            let laid = measure_mesh_at(&mesh, unit, rest).unwrap();
            let (found, area) = (laid.outline().area(), area * unit.mm().powi(2));
            assert!(
                (found - area).abs() <= 1e-3 * area,
                "{name}, {down:?} down: {found}, there {area}"
            );
        }
    }
}

/// Every pose is listed once, the one drawn among them; the list does not go by the order of the
/// triangles, and what is measured in a pose is what the list says of it.
#[test]
fn ranked_poses_are_what_is_measured_in_them() {
    for (_, name, mesh, unit) in cases() {
        let poses = resting_poses(&mesh, unit, &[]).unwrap();
        let mut turned = mesh.clone();
        turned.triangles.reverse();
        turned.vertices.reverse();
        let last = mesh.vertices.len() as u32 - 1;
        for corner in turned.triangles.iter_mut().flatten() {
            *corner = last - *corner;
        }
        let other = resting_poses(&turned, unit, &[]).unwrap();
        let downs = |p: &setterwright::statics::Poses| -> Vec<Rest> {
            p.ranked.iter().map(|p| p.rest).collect()
        };
        assert_eq!(poses.ranked.len(), other.ranked.len(), "{name}");
        println!("{name}: {} alike", downs(&poses) == downs(&other));
        let drawn = poses.ranked.iter().filter(|p| p.rest.is_as_drawn());
        assert_eq!(drawn.count(), 1, "{name}");
        for pose in poses.ranked.iter().take(4) {
            let laid = measure_mesh_at(&mesh, unit, pose.rest).unwrap();
            let near = |a: f64, b: f64| (a - b).abs() <= 1e-6 * a.abs().max(1.0);
            assert!(near(laid.height_mm(), pose.height_mm), "{name}");
            assert!(near(laid.footprint.area(), pose.contact_area_mm2), "{name}");
            let overhang = laid.detail.unwrap().overhang.unwrap();
            let listed = pose.overhang.unwrap();
            assert!(near(overhang.area_mm2, listed.area_mm2), "{name}");
        }
    }
}
