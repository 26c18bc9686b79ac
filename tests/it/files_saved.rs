//! What is saved opens again as the same, judged by the same records.

use crate::demo_meshes;
use crate::files::{SAMPLE, decode, dir, one_sentence, with};
use crate::files_plans::{detail, plans, sample};
use proptest::prelude::*;
use setterwright::catalogue::{self, LimitContext, LimitScope, Origin, Severity};
use setterwright::files::{
    Differs, Fault, FileKind, MESH_CAP, PartFrom, RecordDifference, Working, canonical,
    decode_profile, open_load, part_from_mesh, read_load, read_mesh, read_profile,
    read_shop_folder, save_load, save_profile, sha256_hex, working,
};
use setterwright::load::Plan;
use setterwright::part::{Drawn, Geometry, MeshUnit, Part, PartId, Shape, measure_mesh};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use tempfile::TempDir;

#[test]
fn the_kept_sample_opens_as_the_plan_it_was_written_from() {
    let plan = decode(SAMPLE).unwrap();
    let used = Arc::clone(&plan.records_used);
    let bare = Plan {
        records_used: Arc::default(),
        ..plan.clone()
    };
    assert_eq!(bare, sample());
    assert_eq!(canonical(&plan).unwrap(), SAMPLE);
    // What the plan reaches, counted by hand: the vacuum box has argon and nitrogen, the alloy
    // allows hydrogen too; molybdenum is the dummy's.
    let c = &used.catalogue;
    let keys = |table: Vec<&String>| table.into_iter().cloned().collect::<Vec<_>>();
    assert_eq!(keys(c.furnaces.keys().collect()), ["small-vacuum-box"]);
    assert_eq!(keys(c.feedstocks.keys().collect()), ["316l-wax"]);
    assert_eq!(keys(c.alloys.keys().collect()), ["316l"]);
    assert_eq!(keys(c.binders.keys().collect()), ["wax-polyolefin-solvent"]);
    assert_eq!(keys(c.setters.keys().collect()), ["alumina-square-100x4"]);
    assert_eq!(keys(c.posts.keys().collect()), ["alumina-post-12x30"]);
    assert_eq!(keys(c.supports.keys().collect()), ["alumina-sheet-0.5"]);
    assert!(c.materials.contains_key("molybdenum") && c.materials.contains_key("alumina-995"));
    assert_eq!(
        keys(c.gases.keys().collect()),
        ["argon", "hydrogen", "nitrogen"]
    );
    let shop = used.shop.as_ref().unwrap();
    assert_eq!(shop.furnaces.len(), 1);
    assert_eq!(shop.furnaces[0].furnace, "small-vacuum-box");
    assert!(shop.prices.is_some());
    // One hash for each record, and each is that of the record.
    assert_eq!(
        used.hashes.len(),
        c.alloys.len()
            + c.binders.len()
            + c.feedstocks.len()
            + c.materials.len()
            + c.setters.len()
            + c.posts.len()
            + c.supports.len()
            + c.furnaces.len()
            + c.gases.len()
            + c.limits.len()
            + c.checks.len()
            + c.references.len()
            + 1
    );
    assert_eq!(c.checks[0].severity, Some(Severity::Caution));
}

fn saved(dir: &TempDir, name: &str, plan: &Plan) -> (PathBuf, Working) {
    let working = working(plan, None).unwrap();
    let path = dir.path().join(name);
    save_load(&path, plan, &working).unwrap();
    (path, working)
}

#[test]
fn save_open_save_gives_the_same_bytes() {
    let dir = dir();
    let (path, _) = saved(&dir, "a.load.ron", &sample());
    let first = fs::read_to_string(&path).unwrap();
    let (plan, working) = open_load(&path, None).unwrap();
    assert!(working.differences.is_empty(), "{:?}", working.differences);
    let second = save_load(&path, &plan, &working).unwrap();
    assert_eq!(fs::read_to_string(&path).unwrap(), first);
    assert_eq!(canonical(&second.plan).unwrap(), first);
    assert_eq!(second.sha256, sha256_hex(first.as_bytes()));
    assert_eq!(second.plan, plan);
    assert!(first.ends_with(")\n") && !first.contains('\r'));
    // Nothing else is left in the folder.
    assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 1);
}

#[test]
fn saving_overwrites_loads_and_nothing_else() {
    let dir = dir();
    let plan = sample();
    let (path, working) = saved(&dir, "a.load.ron", &plan);
    let refused = |name: &str, text: &str, what: Fault| {
        let path = dir.path().join(name);
        fs::write(&path, text).unwrap();
        let fault = save_load(&path, &plan, &working).unwrap_err();
        assert_eq!(fault.what, what);
        assert_eq!(fs::read_to_string(&path).unwrap(), text);
    };
    let not_ours = || Fault::NotOurs(FileKind::Load);
    refused("notes.txt", "remember the trap", not_ours());
    refused(
        "p.profile.ron",
        &SAMPLE.replace("\"load\"", "\"profile\""),
        not_ours(),
    );
    refused("torn.load.ron", &SAMPLE[..200], not_ours());
    let newer = Fault::Newer {
        version: 2,
        reads: 1,
    };
    refused("newer.load.ron", &with("version: 1", "version: 2"), newer);
    let blank = dir.path().join("blank.load.ron");
    fs::write(&blank, "").unwrap();
    save_load(&blank, &plan, &working).unwrap();
    let nowhere = dir.path().join("no-folder").join("a.load.ron");
    let fault = save_load(&nowhere, &plan, &working).unwrap_err();
    one_sentence(&fault, &nowhere, "no such folder");

    // A plan with a number that no file may hold leaves the old file as it was.
    let before = fs::read(&path).unwrap();
    let mut broken = plan.clone();
    Arc::make_mut(&mut broken.profile).segments[0].hold_min = f64::NAN;
    let fault = save_load(&path, &broken, &working).unwrap_err();
    one_sentence(&fault, &path, "nothing was written");
    assert!(matches!(fault.what, Fault::WouldNotOpen(_)));
    let mut broken = plan.clone();
    broken.next_id = 3;
    assert!(save_load(&path, &broken, &working).is_err());
    assert_eq!(fs::read(&path).unwrap(), before);
    assert!(save_load(&path, &plan, &working).is_ok());
}

#[cfg(unix)]
#[test]
fn a_link_stays_a_link_and_the_mode_is_kept() {
    use std::os::unix::fs::{MetadataExt, PermissionsExt, symlink};
    let dir = dir();
    let plan = sample();
    let (path, working) = saved(&dir, "real.load.ron", &plan);
    fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).unwrap();
    let link = dir.path().join("link.load.ron");
    symlink("real.load.ron", &link).unwrap();
    let changed = Plan {
        title: "Changed".to_owned(),
        ..plan.clone()
    };
    save_load(&link, &changed, &working).unwrap();
    assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
    assert_eq!(read_load(&path).unwrap().title, "Changed");
    assert_eq!(fs::metadata(&path).unwrap().mode() & 0o777, 0o640);
    let astray = dir.path().join("astray.load.ron");
    symlink("gone.load.ron", &astray).unwrap();
    let fault = save_load(&astray, &plan, &working).unwrap_err();
    assert_eq!(fault.what, Fault::Dangling);
    one_sentence(&fault, &astray, "a link that leads nowhere");

    fs::set_permissions(&path, fs::Permissions::from_mode(0o440)).unwrap();
    let fault = save_load(&path, &plan, &working).unwrap_err();
    assert_eq!(fault.what, Fault::Denied);
    assert_eq!(read_load(&path).unwrap().title, "Changed");
    fs::set_permissions(&path, fs::Permissions::from_mode(0o000)).unwrap();
    match fs::File::open(&path) {
        // The first user may read anything.
        Ok(_) => println!("skipped the unreadable file: this user may read it"),
        Err(_) => assert_eq!(read_load(&path).unwrap_err().what, Fault::Denied),
    }
}

#[test]
fn a_slug_that_stands_for_nothing_is_named_with_candidates() {
    let dir = dir();
    let path = dir.path().join("a.load.ron");
    let cases = [
        (
            "furnace: \"small-vacuum-box\"",
            "furnace: \"small-vacum-box\"",
            "furnace: there is no furnace \"small-vacum-box\"; did you mean small-vacuum-box",
        ),
        (
            "material: \"molybdenum\"",
            "material: \"molybdenium\"",
            "placements[0].item.material: there is no material",
        ),
        (
            "feedstock: \"316l-wax\"",
            "feedstock: \"316l-waxx\"",
            "parts[0].feedstock: there is no feedstock",
        ),
        (
            "post: \"alumina-post-12x30\"",
            "post: \"alumina-post-12x33\"",
            "carrier.post: there is no post",
        ),
        (
            "gas: \"argon\"",
            "gas: \"argonn\"",
            "there is no gas \"argonn\"; did you mean argon",
        ),
    ];
    for (old, new, says) in cases {
        fs::write(&path, with(old, new)).unwrap();
        let fault = open_load(&path, None).unwrap_err();
        one_sentence(&fault, &path, says);
    }
}

fn shop_file(dir: &Path, name: &str, body: &str) {
    let text = format!("(kind: \"catalogue\", version: 1, {body})");
    fs::write(dir.join(name), text).unwrap();
}

/// A gas of a shop's own, in the form of a file.
fn gas(id: &str, molar: f64, replaces: &str) -> String {
    format!(
        "(id: \"{id}\", name: \"{id}\", revision: 1, {replaces} nature: Inert, hydrogen_share: 0, \
         nitrogen_share: 0, molar_g_mol: {molar}, properties: [(300, 23, 18, 520)], \
         caution: \"\", source: \"shop\", standing: Shop)"
    )
}

fn limit(value: f64) -> String {
    format!(
        "(id: \"gap-min\", name: \"gap\", value: {value}, unit: \"mm\", scope: Shop, \
         set_by: \"engineer\", source: \"shop\", standing: Shop, revision: 1)"
    )
}

#[test]
fn a_load_is_reviewed_by_the_same_records_with_and_without_the_shop_folder() {
    let dir = dir();
    let shop_dir = dir.path().join("shop");
    fs::create_dir(&shop_dir).unwrap();
    let argon = gas("argon", 39.9, "replaces_revision: 1,");
    shop_file(
        &shop_dir,
        "a.ron",
        &format!("gases: [{argon}], limits: [{}]", limit(0.7)),
    );
    // Files of our other kinds may lie there.
    fs::write(shop_dir.join("b.load.ron"), SAMPLE).unwrap();
    let folder = read_shop_folder(&shop_dir).unwrap();
    assert_eq!(folder.files.len(), 1);
    assert_eq!(folder.shop, None);

    let plan = sample();
    let at_work = working(&plan, Some(&folder)).unwrap();
    let path = dir.path().join("a.load.ron");
    let saved = save_load(&path, &plan, &at_work).unwrap();
    let there = open_load(&path, Some(&folder)).unwrap().1;
    let (elsewhere_plan, elsewhere) = open_load(&path, None).unwrap();
    assert_eq!(there.differences, []);
    assert_eq!(elsewhere.differences, []);
    for kept in [&there, &elsewhere] {
        let c = &kept.catalogue;
        assert_eq!(c.gas("argon").unwrap().molar_g_mol, 39.9);
        assert_eq!(c.gases["argon"].0, Origin::Shop);
        let gap = c.limit("gap-min", &LimitContext::default()).unwrap();
        assert_eq!((gap.value, &gap.scope), (0.7, &LimitScope::Shop));
        assert_eq!(c.limits, at_work.catalogue.limits);
        let used = setterwright::files::records_for(&saved.plan, c, kept.shop.as_deref());
        assert_eq!(&used, saved.plan.records_used.as_ref());
    }
    // And saved elsewhere it is the same file.
    let before = fs::read(&path).unwrap();
    save_load(&path, &elsewhere_plan, &elsewhere).unwrap();
    assert_eq!(fs::read(&path).unwrap(), before);

    // The shop changes a record and drops its limit: the file says so when it is opened there,
    // and keeps what it had elsewhere.
    let argon = gas("argon", 40.1, "replaces_revision: 1,");
    shop_file(&shop_dir, "a.ron", &format!("gases: [{argon}]"));
    let folder = read_shop_folder(&shop_dir).unwrap();
    let there = open_load(&path, Some(&folder)).unwrap().1;
    let difference = |kind: &str, id: &str, what| RecordDifference {
        kind: kind.to_owned(),
        id: id.to_owned(),
        what,
    };
    assert_eq!(
        there.differences,
        [
            difference("gas", "argon", Differs::InUse),
            difference("limit", "gap-min (shop)", Differs::InUse),
        ]
    );
    assert_eq!(there.catalogue.gas("argon").unwrap().molar_g_mol, 40.1);
    let elsewhere = open_load(&path, None).unwrap().1;
    assert_eq!(elsewhere.differences, []);
}

#[test]
fn an_embedded_record_that_is_not_this_builds_or_not_its_hash_is_a_difference() {
    let dir = dir();
    let plan = sample();
    let (path, at_work) = saved(&dir, "a.load.ron", &plan);
    let mut older = at_work.clone();
    let catalogue = Arc::make_mut(&mut older.catalogue);
    let (origin, alloy) = catalogue.alloys["316l"].clone();
    let mut alloy = alloy.as_ref().clone();
    alloy.solidus_c -= 1.0;
    let solidus = alloy.solidus_c;
    catalogue
        .alloys
        .insert("316l".to_owned(), (origin, Arc::new(alloy)));
    save_load(&path, &plan, &older).unwrap();
    let (_, opened) = open_load(&path, None).unwrap();
    assert_eq!(opened.catalogue.alloy("316l").unwrap().solidus_c, solidus);
    let what = |w: &Working| {
        w.differences
            .iter()
            .map(|d| (d.id.clone(), d.what))
            .collect::<Vec<_>>()
    };
    assert_eq!(what(&opened), [("316l".to_owned(), Differs::Build)]);

    let text = fs::read_to_string(&path).unwrap();
    let line = format!("solidus_c: {solidus:?}");
    assert!(text.contains(&line));
    fs::write(&path, text.replacen(&line, "solidus_c: 1300.0", 1)).unwrap();
    let (_, opened) = open_load(&path, None).unwrap();
    let both = [Differs::Edited, Differs::Build].map(|d| ("316l".to_owned(), d));
    assert_eq!(what(&opened), both);
}

#[test]
fn what_is_wrong_in_a_shop_folder_is_named_with_its_file() {
    let dir = dir();
    let fault = |files: &[(&str, String)]| {
        for entry in fs::read_dir(dir.path()).unwrap() {
            fs::remove_file(entry.unwrap().path()).unwrap();
        }
        for (name, body) in files {
            shop_file(dir.path(), name, body);
        }
        read_shop_folder(dir.path()).map(|_| ()).unwrap_err()
    };
    let gases = |records: &[String]| format!("gases: [{}]", records.join(", "));
    let neon = gas("neon", 20.2, "");
    let twice = fault(&[
        ("a.ron", gases(std::slice::from_ref(&neon))),
        ("b.ron", gases(std::slice::from_ref(&neon))),
    ]);
    let a = dir.path().join("a.ron");
    one_sentence(
        &twice,
        &dir.path().join("b.ron"),
        &format!("stands in {} too", a.display()),
    );
    one_sentence(
        &fault(&[("a.ron", gases(&[neon.clone(), neon]))]),
        &a,
        "stands there twice",
    );
    let unsaid = fault(&[("a.ron", gases(&[gas("argon", 39.9, "")]))]);
    one_sentence(&unsaid, &a, "add replaces_revision: 1");
    let unknown = fault(&[("a.ron", "colour: 1".to_owned())]);
    one_sentence(&unknown, &a, "there is no field \"colour\"");
    assert!(unknown.what.spot().is_some());
    let nan = fault(&[("a.ron", gases(&[gas("neon", f64::NAN, "")]))]);
    one_sentence(&nan, &a, "NaN is not a finite number");
    let post = "posts: [(id: \"p\", name: \"p\", revision: 1, material: \"alumina-99\", \
                length_mm: 1, diameter_mm: 1, mass_g: 1, rated_c: 1, source: \"shop\", \
                standing: Shop)]";
    let link = fault(&[("a.ron", post.to_owned())]);
    one_sentence(
        &link,
        dir.path(),
        "there is no material \"alumina-99\"; did you mean",
    );
    assert!(read_shop_folder(&dir.path().join("none")).is_err());
    let file = dir.path().join("a.ron");
    one_sentence(&read_shop_folder(&file).unwrap_err(), &file, "not a folder");
}

#[test]
fn a_limit_or_a_check_setting_that_nothing_asks_for_is_named() {
    let dir = dir();
    let path = dir.path().join("a.ron");
    let read = |body: &str| {
        shop_file(dir.path(), "a.ron", body);
        read_shop_folder(dir.path())
    };
    let limits = |text: String| format!("limits: [{text}]");
    let slip = limits(limit(0.7).replace("gap-min", "gap-mni"));
    let said = "there is no limit \"gap-mni\"; did you mean gap-min";
    one_sentence(&read(&slip).unwrap_err(), &path, said);
    let scoped =
        |scope: &str| limits(limit(0.7).replace("scope: Shop", &format!("scope: {scope}")));
    for (scope, said) in [
        (
            "Feedstock(\"316l-wx\")",
            "no feedstock \"316l-wx\"; did you mean 316l-wax",
        ),
        ("Alloy(\"316\")", "no alloy \"316\"; did you mean 316l"),
        ("Furnace(\"small-vacuum\")", "did you mean small-vacuum-box"),
    ] {
        one_sentence(&read(&scoped(scope)).unwrap_err(), &path, said);
    }
    for scope in ["Feedstock(\"316l-wax\")", "Customer(\"any\")"] {
        assert!(read(&scoped(scope)).is_ok(), "{scope}");
    }
    let asked = limit(5.0).replace("gap-min", "sinter-rate-max");
    let asked = limits(asked.replace("\"mm\"", "\"K/min\""));
    assert!(read(&asked).is_ok());
    // One centimetre would be taken for one millimetre.
    let said = "the unit is \"cm\", and the checks read this limit in \"mm\"";
    let slip = limits(limit(1.0).replace("\"mm\"", "\"cm\""));
    one_sentence(&read(&slip).unwrap_err(), &path, said);
    let check = |slug: &str| {
        format!("checks: [(check: \"{slug}\", on: false, reason: \"test\", set_by: \"E\")]")
    };
    let said = "there is no check \"gap-to-small\"; did you mean gap-too-small";
    one_sentence(&read(&check("gap-to-small")).unwrap_err(), &path, said);
    assert!(read(&check("gap-too-small")).is_ok());
    let said = "unload-too-hot is a safety check: it is neither switched off nor lowered";
    one_sentence(&read(&check("unload-too-hot")).unwrap_err(), &path, said);
    let silent = check("gap-too-small").replace("\"test\"", "\" \"");
    let said = "gap-too-small is switched off or lowered without a reason";
    one_sentence(&read(&silent).unwrap_err(), &path, said);
}

#[test]
fn a_profile_has_a_file_of_its_own() {
    let dir = dir();
    let path = dir.path().join("wax.profile.ron");
    let profile = sample().profile;
    save_profile(&path, &profile).unwrap();
    let text = fs::read_to_string(&path).unwrap();
    assert_eq!(&read_profile(&path).unwrap(), profile.as_ref());
    save_profile(&path, &read_profile(&path).unwrap()).unwrap();
    assert_eq!(fs::read_to_string(&path).unwrap(), text);
    let fault = decode_profile("x.load.ron", SAMPLE.as_bytes()).unwrap_err();
    one_sentence(
        &fault,
        Path::new("x.load.ron"),
        "this is a load file, not a profile",
    );
    let fault = read_load(&path).unwrap_err();
    one_sentence(&fault, &path, "this is a profile file, not a load");
    let mut broken = profile.as_ref().clone();
    broken.segments[1].to_c = f64::INFINITY;
    let fault = save_profile(&path, &broken).unwrap_err();
    one_sentence(&fault, &path, "inf is not a finite number");
    assert_eq!(fs::read_to_string(&path).unwrap(), text);
}

#[test]
fn a_part_from_a_mesh_opens_without_the_mesh() {
    let dir = dir();
    let bytes = demo_meshes::all()[0].file_bytes();
    let mesh_path = dir.path().join("part.STL");
    fs::write(&mesh_path, &bytes).unwrap();
    let from = PartFrom {
        id: PartId(30),
        name: "Part".to_owned(),
        feedstock: "316l-wax".to_owned(),
        unit: MeshUnit::Millimetre,
        drawn: Drawn::Final,
    };
    let (part, notes) = part_from_mesh(&mesh_path, from).unwrap();
    assert!(notes.is_empty());
    let read = read_mesh(&mesh_path).unwrap();
    assert_eq!(read.sha256, sha256_hex(&bytes));
    let measured = measure_mesh(&read.mesh, MeshUnit::Millimetre).unwrap();
    assert_eq!(part.geometry.as_ref(), &measured);
    let mut plan = sample();
    plan.parts.push(Arc::new(part));
    let (path, _) = saved(&dir, "a.load.ron", &plan);
    fs::remove_file(&mesh_path).unwrap();
    let opened = read_load(&path).unwrap();
    assert_eq!(opened.parts, plan.parts);
    assert_eq!(opened.parts[2].geometry.as_ref(), &measured);
}

#[test]
fn further_measures_and_the_body_of_a_mesh_survive_saving() {
    let dir = dir();
    let mut plan = sample();
    let is_mesh = |part: &Arc<Part>| matches!(part.shape, Shape::Mesh { .. });
    let at = plan.parts.iter().position(is_mesh).unwrap();
    let mut part = Part::clone(&plan.parts[at]);
    let mut geometry = Geometry::clone(&part.geometry);
    geometry.detail = Some(detail());
    part.geometry = Arc::new(geometry);
    if let Shape::Mesh { body, .. } = &mut part.shape {
        *body = Some(3);
    }
    plan.parts[at] = Arc::new(part);
    let (path, _) = saved(&dir, "a.load.ron", &plan);
    assert_eq!(read_load(&path).unwrap().parts, plan.parts);
}

#[test]
fn a_mesh_that_cannot_be_read_is_named() {
    let dir = dir();
    let write = |name: &str, bytes: &[u8]| {
        let path = dir.path().join(name);
        fs::write(&path, bytes).unwrap();
        let fault = read_mesh(&path).unwrap_err();
        (path, fault)
    };
    let (path, fault) = write("part.step", b"ISO");
    one_sentence(
        &fault,
        &path,
        "\".step\" is not read; export the part as STL, OBJ or 3MF",
    );
    let (path, fault) = write("part.obj", b"v 0 0 0");
    one_sentence(&fault, &path, "holds no faces");
    let (path, fault) = write("part.3mf", b"v 0 0 0");
    one_sentence(&fault, &path, "holds no faces");
    let (path, fault) = write("package.3mf", b"PK\x03\x04 and nothing");
    one_sentence(&fault, &path, "not a 3MF package");
    let (path, fault) = write("part", b"solid");
    one_sentence(&fault, &path, "a file without an ending is not read");
    let (path, fault) = write("part.stl", b"");
    one_sentence(&fault, &path, "empty");
    let large = dir.path().join("large.stl");
    fs::File::create(&large)
        .unwrap()
        .set_len(MESH_CAP + 1)
        .unwrap();
    let fault = read_mesh(&large).unwrap_err();
    assert!(matches!(fault.what, Fault::TooLarge { .. }), "{fault}");
    assert_eq!(read_mesh(dir.path()).unwrap_err().what, Fault::Directory);
}

#[test]
fn the_built_in_catalogue_keeps_its_own_limits_when_a_file_carries_fewer() {
    let plan = decode(SAMPLE).unwrap();
    let opened = working(&plan, None).unwrap();
    let (built_in, _) = catalogue::builtin().unwrap();
    let carried = &plan.records_used.catalogue.limits;
    assert!(carried.len() < built_in.limits.len());
    for limit in built_in.limits.iter().chain(carried) {
        let same = |l: &&catalogue::Limit| l.id == limit.id && l.scope == limit.scope;
        assert_eq!(
            opened.catalogue.limits.iter().filter(same).count(),
            1,
            "{}",
            limit.id
        );
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn a_random_plan_opens_as_it_was_saved(plan in plans()) {
        let dir = dir();
        let (path, at_work) = saved(&dir, "a.load.ron", &plan);
        let first = fs::read(&path).unwrap();
        let (opened, again) = open_load(&path, None).unwrap();
        let bare = Plan { records_used: Arc::default(), ..opened.clone() };
        prop_assert_eq!(&bare, &plan);
        prop_assert_eq!(&again.catalogue.limits, &at_work.catalogue.limits);
        prop_assert_eq!(&again.differences, &Vec::new());
        let second = save_load(&path, &opened, &again).unwrap();
        prop_assert_eq!(second.plan, opened);
        prop_assert_eq!(fs::read(&path).unwrap(), first);
    }
}
