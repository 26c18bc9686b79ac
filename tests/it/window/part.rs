//! The panel of a part: its picture, its measures, and what an import makes of several bodies.

use super::bench::{Bench, demo_loads, in_both_locales, plain};
use egui::{Key, Modifiers, Pos2, vec2};
use setterwright::app::state::App;
use setterwright::part::{Infill, MassState};
use std::path::{Path, PathBuf};

fn reference(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/reference/meshes")
        .join(name)
}

impl Bench {
    /// Presses at one point and lets go at another.
    fn pull_view(&mut self, from: Pos2, to: Pos2) {
        self.harness.hover_at(from);
        self.harness.step();
        self.harness.drag_at(from);
        self.harness.step();
        for i in 1..=10 {
            self.harness.hover_at(from.lerp(to, i as f32 / 10.0));
            self.harness.step();
        }
        self.harness.drop_at(to);
        self.run();
    }

    /// Opens the question of an import.
    fn begin_import(&mut self, paths: &[PathBuf]) {
        self.answer(paths);
        self.menu("File", "Import parts…");
    }

    fn parts_called(&self) -> Vec<String> {
        self.plan().parts.iter().map(|p| p.name.clone()).collect()
    }
}

/// The view's name: which part, how far turned, from what height.
fn view(bench: &Bench) -> String {
    let all: Vec<String> = bench.names().iter().map(|n| plain(n)).collect();
    let found = all.iter().find(|n| n.starts_with("View of "));
    found
        .unwrap_or_else(|| panic!("no view among {all:?}"))
        .clone()
}

/// The whole degrees that a view's name tells.
fn angles(name: &str) -> [i32; 2] {
    let all = name
        .split(' ')
        .filter_map(|word| word.strip_suffix('°')?.parse().ok());
    let other = name
        .split(' ')
        .filter_map(|word| word.strip_suffix("°,")?.parse().ok());
    let all: Vec<i32> = other.chain(all).collect();
    [all[0], all[1]]
}

#[test]
fn a_part_is_turned_by_buttons_keys_and_the_pointer() {
    in_both_locales(|| {
        let mut bench = Bench::sized("clean", [1600.0, 4000.0]);
        bench.click("bracket, 60 placed");
        assert!(view(&bench).starts_with("View of bracket: turned 30°, from 25° above"));
        bench.click("From below");
        assert!(view(&bench).contains("turned 0°, from -90° above"));
        bench.click("Aslant");
        let name = view(&bench);
        bench.find(&name).focus();
        bench.run();
        bench.key(Key::ArrowLeft);
        bench.key(Key::ArrowUp);
        assert!(
            view(&bench).contains("turned 45°, from 40° above"),
            "{}",
            view(&bench)
        );
        let at = bench.find(&view(&bench)).rect().center();
        bench.pull_view(at, at + vec2(20.0, -30.0));
        // To the right and up: less turned, and seen from lower; a few points pass before it is a
        // drag.
        let [turned, from] = angles(&view(&bench));
        assert!(
            (35..40).contains(&turned) && (25..31).contains(&from),
            "{}",
            view(&bench)
        );
        // The keys turned the part and moved no piece of it.
        assert!(!bench.starred());
        // What is marked in the picture is said beside it, with its size.
        assert!(bench.shows("touches the setter: 1293.6 mm²"));
        assert!(bench.shows("a: governing section"));
    });
}

#[test]
fn the_mesh_is_drawn_or_why_not() {
    let there = demo_loads().join("clean.load.ron");
    let app = App::on_file(Some(&there)).unwrap();
    let mut bench = Bench::of(app, tempfile::tempdir().unwrap(), [1600.0, 4000.0]);
    bench.click("bracket, 60 placed");
    bench.wait("the mesh", |app| !app.reading_mesh());
    bench.run();
    assert!(
        !bench.shows("the body that the load keeps"),
        "{:?}",
        bench.names()
    );
    // The load alone in another folder: its meshes are not there.
    let alone = bench.folder.path().join("alone.load.ron");
    std::fs::copy(demo_loads().join("clean.load.ron"), &alone).unwrap();
    bench.answer(std::slice::from_ref(&alone));
    bench.keys(Modifiers::COMMAND, Key::O);
    bench.click("bracket, 60 placed");
    bench.wait("the mesh", |app| !app.reading_mesh());
    bench.run();
    assert!(
        bench.shows("Drawn is the body that the load keeps"),
        "{:?}",
        bench.names()
    );
    assert!(bench.shows("bracket.stl"), "{:?}", bench.names());
}

#[test]
fn measures_are_shown_at_every_size() {
    in_both_locales(|| {
        let mut bench = Bench::sized("clean", [1600.0, 4000.0]);
        bench.click("bracket, 60 placed");
        let size = |bench: &Bench| {
            let all: Vec<String> = bench.names().iter().map(|n| plain(n)).collect();
            let at = all.iter().position(|n| n == "Size").unwrap();
            all[at + 1].clone()
        };
        let drawn = size(&bench);
        // Drawn at final size; green it is larger by the feedstock's factor.
        bench.click("Measures green");
        let green = size(&bench);
        let first = |sides: &str| -> f64 {
            let end = sides
                .find(|c: char| !c.is_ascii_digit() && c != '.')
                .unwrap();
            sides[..end].parse().unwrap()
        };
        let part = bench.plan().parts[0].clone();
        let feedstock = bench
            .app()
            .working
            .catalogue
            .feedstock(&part.feedstock)
            .unwrap();
        let factor = feedstock.oversize[0];
        assert!(
            (first(&green) / first(&drawn) - factor).abs() < 2e-3,
            "{drawn} {green}"
        );
        bench.click("Measures sintered");
        assert!(first(&size(&bench)) < first(&green));
        bench.click("Measures as drawn");
        assert_eq!(size(&bench), drawn);
    });
}

#[test]
fn several_bodies_become_several_parts_or_one() {
    let mut bench = Bench::demo("clean");
    let before = bench.plan().parts.len();
    bench.begin_import(&[reference("two.3mf")]);
    bench.click("each its own part");
    bench.click("Read 1 file");
    bench.wait("the import", |app| app.doc.plan().parts.len() > before);
    bench.run();
    assert_eq!(bench.parts_called()[before..], ["box", "ring (2)"]);
    assert!(
        bench.message().starts_with("2 parts read"),
        "{}",
        bench.message()
    );

    bench.begin_import(&[reference("two.3mf")]);
    bench.click("together one part");
    bench.click("Read 1 file");
    bench.wait("the import", |app| app.doc.plan().parts.len() > before + 2);
    bench.run();
    assert_eq!(bench.parts_called()[before + 2..], ["two"]);
    let volumes: Vec<f64> = bench.plan().parts[before..]
        .iter()
        .map(|p| p.geometry.volume_mm3)
        .collect();
    assert!(
        (volumes[0] + volumes[1] - volumes[2]).abs() < 1e-6 * volumes[2],
        "{volumes:?}"
    );
}

fn with_meshes() -> Bench {
    let there = demo_loads().join("clean.load.ron");
    let app = App::on_file(Some(&there)).unwrap();
    Bench::of(app, tempfile::tempdir().unwrap(), [1600.0, 4000.0])
}

#[test]
fn a_pose_is_chosen_from_pictures() {
    let mut bench = with_meshes();
    bench.click("bracket, 60 placed");
    let before = bench.bytes();
    bench.click("How bracket rests: choose its pose");
    bench.wait("the poses", |app| !app.measures_poses());
    bench.run();
    // An angle of two arms has a foot under each of its six sides but the open one.
    assert!(
        bench.shows("Pose 1") && bench.shows("Pose 5"),
        "{:?}",
        bench.names()
    );
    let drawn = bench.plan().parts[0].geometry.height_mm();
    assert!(bench.shows("as drawn"));
    let other = (1..=5).find(|n| bench.enabled(&format!("Rest in pose {n}")));
    let other = other.unwrap();
    bench.click(&format!("Rest in pose {other}"));
    bench.wait("the measures", |app| !app.measures_poses());
    bench.run();
    let part = bench.plan().parts[0].clone();
    assert!(!part.rest.is_as_drawn());
    assert!((part.geometry.volume_mm3 - 6824.5).abs() < 0.1);
    assert!((part.geometry.height_mm() - drawn).abs() > 1.0);
    assert!(bench.starred());

    // A face that is kept off comes last, and is said.
    bench.click(&format!("Keep the face under pose {other} off the setter"));
    bench.wait("the poses", |app| !app.measures_poses());
    bench.run();
    assert!(bench.shows("rests on a face that is kept off"));
    bench.key(Key::Escape);
    assert!(!bench.shows("Pose 1"));
    // Both are edits of their own.
    bench.keys(Modifiers::COMMAND, Key::Z);
    assert!(bench.plan().parts[0].keep_off.is_empty());
    bench.keys(Modifiers::COMMAND, Key::Z);
    assert_eq!(bench.bytes(), before);
}

#[test]
fn locked_pieces_keep_their_pose() {
    let mut bench = with_meshes();
    bench.keys(Modifiers::COMMAND, Key::A);
    bench.click("Lock");
    bench.click("bracket, 60 placed");
    bench.click("How bracket rests: choose its pose");
    bench.wait("the poses", |app| !app.measures_poses());
    bench.run();
    let before = bench.bytes();
    let other = (1..=5).find(|n| bench.enabled(&format!("Rest in pose {n}")));
    bench.click(&format!("Rest in pose {}", other.unwrap()));
    bench.wait("the measures", |app| !app.measures_poses());
    bench.run();
    assert_eq!(bench.bytes(), before);
    assert!(bench.message().contains("locked"), "{}", bench.message());
}

#[test]
fn infill_and_what_the_scale_says_are_typed() {
    in_both_locales(|| {
        let mut bench = Bench::sized("clean", [1600.0, 4000.0]);
        bench.click("ring, 16 placed");
        let ring = |bench: &Bench| bench.plan().parts[1].clone();
        bench.pick("Filled", "lattice, open outwards");
        assert_eq!(
            ring(&bench).infill,
            Infill::Open {
                shell_thickness_mm: 1.2
            }
        );
        bench.fill("Shell, green", "0,08 in");
        let shell = ring(&bench).infill.shell_mm().unwrap();
        assert!((shell - 2.032).abs() < 1e-9);
        // Weighed in the demo; without that nobody knows the mass of a lattice.
        bench.focus_field("Piece weighs");
        bench.keys(Modifiers::COMMAND, Key::A);
        bench.key(Key::Delete);
        bench.key(Key::Enter);
        assert_eq!(ring(&bench).weighed, None);
        let all: Vec<String> = bench.names().iter().map(|n| plain(n)).collect();
        let at = all.iter().position(|n| n == "Mass green").unwrap();
        assert_eq!(all[at + 1], "not evaluated");
        bench.fill("Piece weighs", "9,5 g");
        bench.pick("Weighed", "dry");
        let weighed = ring(&bench).weighed.unwrap();
        assert_eq!((weighed.state, weighed.mass_g), (MassState::Dry, 9.5));
        bench.pick("Filled", "solid");
        assert_eq!(ring(&bench).infill, Infill::Solid);
    });
}

#[test]
fn a_part_is_known_by_its_outline_and_its_mass() {
    let mut bench = Bench::sized("clean", [1600.0, 4000.0]);
    let n = bench.plan().parts.len();
    bench.click("New part by its measures");
    bench.fill("Name of the new part", "casting");
    bench.click("Outline and mass of the new part");
    bench.fill("Outline of the new part", "0,0 30,0 30,20 0,20");
    bench.fill("Height of the new part", "12");
    bench.click("Add the part");
    // Without a mass it is nothing, and what was typed stays.
    assert_eq!(bench.plan().parts.len(), n);
    assert!(bench.message().contains("casting"), "{}", bench.message());
    bench.fill("Mass of one piece of the new part, green", "38 g");
    bench.click("Add the part");
    assert_eq!(bench.plan().parts.len(), n + 1, "{}", bench.message());
    let part = bench.plan().parts[n].clone();
    assert!(part.outline_only());
    assert_eq!(part.weighed.unwrap().mass_g, 38.0);
    assert!(bench.shows("Outline and mass only"), "{:?}", bench.names());
    bench.find("How casting rests: choose its pose");
}
