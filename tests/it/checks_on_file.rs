//! Mesh files that are gone or other ones, load thermocouples within parts, and what an acceptance
//! is worth that leans on what the load says of itself.

use crate::fixture::{Case, clean, found, not_evaluated, passes};
use setterwright::catalogue::Severity::Caution;
use setterwright::files;
use setterwright::load::Item;
use setterwright::part::{MeshUnit, Shape};
use setterwright::review::MESH_OTHER;
use std::fs;

fn tip(at: [f64; 2], height: f64) -> impl Fn(&mut Case) {
    move |case| {
        let first = case.level(0).placements[0].at_mm;
        for p in &mut case.level(0).placements {
            if let Item::Sensor { height_mm, .. } = &mut p.item {
                *height_mm = height;
                p.at_mm = [first[0] + at[0], first[1] + at[1]];
            }
        }
    }
}

#[test]
fn a_tip_has_no_room_where_a_part_has_material() {
    let slug = "load-thermocouple-in-part";
    found(slug, Caution, tip([1.0, 1.0], 1.0));
    // Above the part, and beside it.
    passes(slug, tip([1.0, 1.0], 300.0));
    passes(slug, |_| {});
    not_evaluated(slug, "the feedstock or material record", |case| {
        tip([1.0, 1.0], 1.0)(case);
        case.part().feedstock = "none".to_owned();
    });
}

#[test]
fn a_mesh_file_that_is_another_one_is_no_record_of_the_shop() {
    let from_a_mesh = |case: &mut Case| {
        case.part().shape = Shape::Mesh {
            file: "bracket.stl".to_owned(),
            unit: MeshUnit::Millimetre,
            sha256: "as it was".to_owned(),
            body: None,
        };
    };
    let other = |case: &mut Case| {
        from_a_mesh(case);
        case.differences = vec![(MESH_OTHER.to_owned(), "as it was".to_owned())];
    };
    found("mesh-file-other", Caution, other);
    passes("mesh-file-other", |_| {});
    passes("record-differs-from-file", other);
    // Imported again it is made from the file that is there.
    passes("mesh-file-other", |case| {
        other(case);
        let Shape::Mesh { sha256, .. } = &mut case.part().shape else {
            panic!("a mesh");
        };
        *sha256 = "as it is".to_owned();
    });
}

#[test]
fn mesh_files_are_looked_for_when_a_load_is_opened() {
    let dir = tempfile::tempdir().unwrap();
    let demo = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-loads");
    let path = dir.path().join("clean.load.ron");
    fs::copy(demo.join("clean.load.ron"), &path).unwrap();
    let kinds = || {
        let (_, working) = files::open_load(&path, None).unwrap();
        let all = working.differences.into_iter().map(|d| d.kind);
        all.filter(|k| k == MESH_OTHER).collect::<Vec<_>>()
    };
    // Without its meshes a load is judged by what was read of them.
    assert!(kinds().is_empty());
    fs::create_dir(dir.path().join("meshes")).unwrap();
    for entry in fs::read_dir(demo.join("meshes")).unwrap() {
        let from = entry.unwrap().path();
        let to = dir.path().join("meshes").join(from.file_name().unwrap());
        fs::copy(from, to).unwrap();
    }
    assert!(kinds().is_empty());
    let other = dir.path().join("meshes/bracket.stl");
    fs::copy(demo.join("meshes/gear.stl"), other).unwrap();
    assert_eq!(kinds(), [MESH_OTHER]);
}

/// Whoever makes a load can write any procedure into it.
#[test]
fn procedures_that_only_a_load_names_do_not_count() {
    let demo = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-loads");
    let (_, alone) = files::open_load(&demo.join("clean.load.ron"), None).unwrap();
    assert!(alone.shop.unwrap().carried);
    let shop = files::read_shop_folder(&demo.join("shop")).unwrap();
    let (_, with) = files::open_load(&demo.join("clean.load.ron"), Some(&shop)).unwrap();
    assert!(!with.shop.unwrap().carried);

    let mut case = clean();
    case.profile().unload_c = 100.0;
    let one = |case: &Case| case.says("unload-too-hot").0[0].clone();
    let found = one(&case);
    let named = setterwright::load::ProcedureRef {
        name: "P-7".to_owned(),
        revision: "3".to_owned(),
    };
    case.state().procedures = vec![setterwright::catalogue::Procedure {
        name: named.name.clone(),
        revision: named.revision.clone(),
        covers: vec![found.check.to_owned()],
    }];
    let mut acceptance = crate::checks_scopes::accepted(&found);
    acceptance.procedure = Some(named);
    case.plan.acceptances = vec![acceptance];
    assert_eq!(one(&case).accepted, Some(0));
    case.shop_mut().carried = true;
    assert_eq!(one(&case).accepted, None);
}

/// Hydrogen where the alloy does not take it, accepted for a short hold, is not accepted for a
/// long one.
#[test]
fn what_is_wrong_in_a_segment_is_accepted_as_the_segment_runs() {
    let mut case = clean();
    let nitrogen = |case: &mut Case| {
        for segment in &mut case.profile().segments {
            if segment.gas.is_some() {
                segment.gas = Some("nitrogen".to_owned());
            }
        }
    };
    nitrogen(&mut case);
    let all = |case: &Case| case.says("gas-not-allowed-for-alloy").0;
    case.plan.acceptances = all(&case)
        .iter()
        .map(crate::checks_scopes::accepted)
        .collect();
    assert!(!case.plan.acceptances.is_empty());
    assert!(all(&case).iter().all(|f| f.accepted.is_some()));
    for segment in &mut case.profile().segments {
        segment.hold_min += 30.0;
    }
    assert!(all(&case).iter().all(|f| f.accepted.is_none()));
}
