//! The load board beyond dragging: measuring, the view, outlines, what a click hits, the tally, the
//! elevation, selecting alike, dropped and recent files, imports.

use super::bench::{Bench, demo_loads, plain};
use egui::{Event, Key, Modifiers, MouseWheelUnit, Pos2, Rect, Role, vec2};
use egui_kittest::kittest::{By, NodeT as _, Queryable as _};
use serde_json::Value;
use setterwright::app::state::Modal;
use setterwright::load::Item;
use setterwright::part::{Shape, SizeStage, scale};
use setterwright::units::{Quantity, show};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

#[derive(Debug)]
struct Dropped(PathBuf);

impl egui::DroppedFile for Dropped {
    fn path(&self) -> &Path {
        &self.0
    }

    fn bytes(&self) -> Result<Vec<u8>, String> {
        std::fs::read(&self.0).map_err(|e| e.to_string())
    }
}

impl Bench {
    fn drop_files(&mut self, paths: &[PathBuf]) {
        for path in paths {
            let file = std::sync::Arc::new(Dropped(path.clone()));
            self.harness.input_mut().dropped_files.push(file);
        }
        self.harness.step();
        self.run();
    }

    fn wheel(&mut self, at: Pos2, up: f32) {
        self.harness.hover_at(at);
        self.harness.step();
        self.harness.event(Event::MouseWheel {
            unit: MouseWheelUnit::Point,
            delta: vec2(0.0, up),
            phase: egui::TouchPhase::Move,
            source: egui::MouseWheelSource::Unknown,
            modifiers: Modifiers::NONE,
        });
        // Scrolling is smoothed over some frames.
        for _ in 0..60 {
            self.harness.step();
        }
    }

    /// Starts the import of these files by the menu and answers its question.
    fn import(&mut self, paths: &[PathBuf]) {
        self.answer(paths);
        self.menu("File", "Import parts…");
        assert!(self.app().view.import.is_some());
        self.find(&format!("Read {} files", paths.len())).click();
        self.harness.step();
    }

    /// The box of a placement on the plan; what is selected is named in the inspector too.
    fn outline_box(&self, label: &str) -> Rect {
        let all = self.harness.query_all(By::new());
        let mut options = all.filter(|n| n.accesskit_node().role() == Role::ListBoxOption);
        let found = options.find(|n| n.accesskit_node().label().as_deref() == Some(label));
        found.unwrap().rect()
    }

    fn trouble(&self) -> Option<String> {
        match &self.app().modal {
            Some(Modal::Trouble(words)) => Some(plain(words)),
            _ => None,
        }
    }

    fn part_names(&self) -> Vec<&str> {
        self.plan().parts.iter().map(|p| p.name.as_str()).collect()
    }
}

fn mesh(name: &str) -> PathBuf {
    demo_loads().join("meshes").join(name)
}

#[test]
fn a_distance_is_measured() {
    let mut bench = Bench::demo("clean");
    let rect = bench.plan_rect();
    let (a, b) = (
        rect.center() + vec2(-60.0, 35.0),
        rect.center() + vec2(70.0, -20.0),
    );
    bench.key(Key::M);
    bench.click_at(a.round());
    bench.click_at(b.round());
    let at = |p: Pos2| bench.camera().to_plan(rect, p.round());
    let (a, b) = (at(a), at(b));
    let distance = show(Quantity::Length, (b[0] - a[0]).hypot(b[1] - a[1]), 2);
    let painted = bench.painted();
    let found = painted
        .iter()
        .any(|t| t.starts_with(&distance) && t.contains("x "));
    assert!(found, "{distance}: {painted:?}");
    let named = bench.names();
    assert!(
        named.iter().any(|n| n.starts_with(&distance)),
        "{distance}: {named:?}"
    );
    // Parts under the clicks are not selected meanwhile.
    assert!(bench.app().view.selection.is_empty());
    bench.key(Key::Escape);
    assert!(bench.app().view.measure.is_none());
    assert!(!bench.painted().iter().any(|t| t.starts_with(&distance)));
}

#[test]
fn the_setter_is_fitted() {
    let mut bench = Bench::demo("clean");
    let fitted = bench.camera();
    // The plate of 250 mm and what is named beside it, whole.
    let rect = bench.plan_rect();
    for corner in [[-125.0, -125.0], [125.0, 125.0]] {
        assert!(rect.contains(bench.on_screen(corner)));
    }
    bench.zoom(9.0);
    assert_ne!(bench.camera(), fitted);
    bench.key(Key::F);
    assert_eq!(bench.camera(), fitted);
    bench.key(Key::Plus);
    assert!(bench.camera().zoom > fitted.zoom);
    bench.click("Fit the setter");
    assert_eq!(bench.camera(), fitted);
}

#[test]
fn the_wheel_zooms_about_the_pointer() {
    let mut bench = Bench::demo("clean");
    let rect = bench.plan_rect();
    let at = rect.center() + vec2(83.0, -61.0);
    let before = bench.camera();
    let under = before.to_plan(rect, at);
    for up in [120.0, -40.0] {
        let zoom = bench.camera().zoom;
        bench.wheel(at, up);
        let camera = bench.camera();
        assert_eq!(camera.zoom > zoom, up > 0.0, "{zoom} {camera:?}");
        let now = camera.to_plan(rect, at);
        for k in 0..2 {
            assert!((now[k] - under[k]).abs() < 1e-3, "{under:?} {now:?}");
        }
    }
}

#[test]
fn outlines_are_drawn_at_each_stage_s_size() {
    let mut bench = Bench::demo("clean");
    let level = bench.app().view.level.unwrap();
    let id = bench.plan().level(level).unwrap().1.placements[0].id;
    let label = bench.plan().placement_label(id);
    bench.click(&label);
    for stage in SizeStage::ALL {
        bench.pick("Outlines", stage.word());
        assert_eq!(bench.app().view.stage, stage);
        bench.run();
        let plan = bench.plan();
        let (_, placement) = plan.placement(id).unwrap();
        assert_eq!(placement.angle_deg, 0.0);
        let part = plan.part(placement.item.part().unwrap()).unwrap();
        let catalogue = &bench.app().working.catalogue;
        let feedstock = catalogue.feedstock(&part.feedstock).unwrap();
        let alloy = catalogue.alloy(&feedstock.alloy).unwrap();
        let peak = setterwright::load::peak_c(plan);
        let [_, sy, _] = scale(part, feedstock, alloy, peak, stage);
        let [low, high] = part.geometry.outline().bounds().unwrap();
        // The node of a placement is as wide as its outline, and the turning handle stands a fixed
        // way above it.
        let zoom = bench.camera().zoom;
        let [sx, ..] = scale(part, feedstock, alloy, peak, stage);
        let width = bench.outline_box(&label).width() / zoom;
        let want = ((high[0] - low[0]) * sx) as f32;
        assert!((width - want).abs() < 0.01, "{stage:?}: {width}, {want}");
        let middle = bench.on_screen(placement.at_mm).y;
        let up = (middle - bench.app().view.handle.unwrap().y - 22.0) / zoom;
        let want = (high[1] * sy) as f32;
        assert!((up - want).abs() < 0.01, "{stage:?}: {up}, {want}");
    }
}

/// A point without material is no part of the thing, also inside its box.
#[test]
fn a_notch_and_a_bore_are_not_grabbed() {
    let ell = Shape::Prism {
        outline_mm: vec![
            [0.0, 0.0],
            [60.0, 0.0],
            [60.0, 20.0],
            [20.0, 20.0],
            [20.0, 80.0],
            [0.0, 80.0],
        ],
        height_mm: 6.0,
    };
    let tube = Shape::Tube {
        outer_mm: 60.0,
        bore_mm: 40.0,
        height_mm: 6.0,
    };
    // The centroid of the L lies 20 and 30 mm from its corner: (25, 25) is 45 and 55 from it.
    for (shape, empty) in [(ell, [25.0, 25.0]), (tube, [5.0, 5.0])] {
        let mut bench = Bench::demo("clean");
        let id = bench.alone(shape);
        let label = bench.plan().placement_label(id);
        let grip = bench.grip_mm(&label);
        bench.click_at(bench.on_screen(grip));
        assert_eq!(bench.app().view.selection, BTreeSet::from([id]));
        let at = bench.on_screen(empty);
        assert!(bench.outline_box(&label).contains(at));
        bench.click_at(at);
        assert!(bench.app().view.selection.is_empty(), "{empty:?}");
        let before = bench.bytes();
        bench.harness.drag_at(at);
        bench.harness.step();
        for i in 1..=6 {
            bench.harness.hover_at(at + vec2(3.0 * i as f32, 0.0));
            bench.harness.step();
        }
        bench.harness.drop_at(at + vec2(18.0, 0.0));
        bench.run();
        assert_eq!(bench.bytes(), before);
    }
}

#[test]
fn the_tally_bar_says_what_the_command_line_says() {
    let bench = Bench::sized("clean", [1900.0, 1000.0]);
    let path = bench.app().path.clone().unwrap();
    let args = [
        "setterwright".into(),
        "tally".into(),
        path.into_os_string(),
        "--json".into(),
    ];
    let (mut out, mut err) = (Vec::new(), Vec::new());
    assert_eq!(setterwright::cli::run(args, &mut out, &mut err), 0);
    let value: Value = serde_json::from_slice(&out).unwrap();
    let whole = &value["whole"];
    let number = |v: &Value| v.as_f64().unwrap_or_else(|| panic!("{v}"));
    let kg = |v: f64| format!("{:.2} kg", v / 1000.0);
    let share = |v: &Value| show(Quantity::Fraction, number(v), 0);
    let furniture = number(&whole["furniture_g"]) + number(&whole["dummy_g"]);
    let level = &value["levels"][0];
    let cells = [
        format!("Parts {} + ", whole["parts"]),
        format!("Green {}", kg(number(&whole["mass_by_state_g"]["green"]))),
        format!("As they enter {}", kg(number(&whole["entering_g"]))),
        format!("Furniture {}", kg(furniture)),
        format!("On the hearth {}", kg(number(&whole["total_g"]))),
        format!("Binder to burn {:.0} g", number(&whole["binder_to_burn_g"])),
        format!("Area filled {}", share(&value["area_fill"])),
        format!("Height filled {}", share(&value["height_fill"])),
        format!("On this plate {}", kg(number(&level["mass_on_plate_g"]))),
        format!("Plate filled {}", share(&level["area_fill"])),
        format!("Program {:.1} h", number(&value["profile_time_min"]) / 60.0),
    ];
    for cell in cells {
        assert!(bench.shows(&cell), "{cell}: {:?}", bench.names());
    }
}

#[test]
fn a_click_in_the_elevation_goes_to_the_level() {
    let mut bench = Bench::demo("clean");
    let levels: Vec<_> = bench.plan().levels().map(|(_, l)| l.id).collect();
    for id in [levels[2], levels[0], levels[3]] {
        let begins = format!("{} from the door", bench.plan().level_label(id));
        let all = bench.harness.query_all(By::new());
        let mut named = all.filter(|n| {
            let label = n.accesskit_node().label();
            label.is_some_and(|l| plain(&l).starts_with(&begins))
        });
        let at = named.next().unwrap().rect().center();
        drop(named);
        bench.click_at(at);
        assert_eq!(bench.app().view.level, Some(id));
    }
}

#[test]
fn alike_is_selected_by_part_and_by_lot() {
    let mut bench = Bench::demo("clean");
    let level = bench.app().view.level.unwrap();
    let first = bench.plan().level(level).unwrap().1.placements[0].clone();
    let Item::Part { part, lot } = first.item else {
        panic!("{first:?}")
    };
    // One piece without its lot.
    let second = bench.plan().level(level).unwrap().1.placements[1].id;
    let edit = setterwright::load::Edit::SetLot {
        ids: vec![second],
        lot: None,
    };
    assert!(bench.harness.state_mut().edit(&edit));
    bench.run();
    let label = bench.plan().placement_label(first.id);
    let of = |bench: &Bench, fits: &dyn Fn(&Item) -> bool| -> BTreeSet<_> {
        let fitting = bench.plan().placements().filter(|(_, p)| fits(&p.item));
        fitting.map(|(_, p)| p.id).collect()
    };
    bench.click(&label);
    bench.menu("Edit", "Select all of the same lot");
    let same = of(&bench, &|item| *item == Item::Part { part, lot });
    assert!(
        same.len() == 59 && !same.contains(&second),
        "{}",
        same.len()
    );
    assert_eq!(bench.app().view.selection, same);
    bench.key(Key::Escape);
    bench.click(&label);
    bench.menu("Edit", "Select all of the same part");
    let same = of(
        &bench,
        &|item| matches!(item, Item::Part { part: of, .. } if *of == part),
    );
    assert_eq!(same.len(), 60);
    assert_eq!(bench.app().view.selection, same);
}

#[test]
fn a_dropped_load_opens_and_dropped_meshes_ask() {
    let mut bench = Bench::demo("clean");
    let other = bench.folder.path().join("other.load.ron");
    std::fs::copy(demo_loads().join("stop.load.ron"), &other).unwrap();
    let parts = bench.plan().parts.len();
    bench.drop_files(&[mesh("bracket.stl"), mesh("lever.stl")]);
    assert_eq!(bench.app().view.import.as_ref().map(Vec::len), Some(2));
    assert!(bench.shows("Import 2 part shapes"));
    bench.click("Cancel");
    assert!(bench.app().view.import.is_none());
    assert_eq!(bench.plan().parts.len(), parts);
    bench.drop_files(std::slice::from_ref(&other));
    assert_eq!(bench.app().path.as_ref(), Some(&other));
    assert!(bench.plan().title.len() > 1);
    // One that is no load leaves the open one and says why.
    let title = bench.plan().title.clone();
    let broken = bench.folder.path().join("notes.txt");
    std::fs::write(&broken, "buy argon").unwrap();
    bench.drop_files(&[broken]);
    assert!(
        bench.trouble().is_some_and(|t| t.contains("notes.txt")),
        "{:?}",
        bench.trouble()
    );
    assert_eq!(bench.plan().title, title);
}

#[test]
fn a_recent_file_opens() {
    let mut bench = Bench::demo("clean");
    let first = bench.app().path.clone().unwrap();
    let other = bench.folder.path().join("other.load.ron");
    std::fs::copy(demo_loads().join("stop.load.ron"), &other).unwrap();
    bench.drop_files(std::slice::from_ref(&other));
    assert_eq!(bench.app().recent, [other.clone(), first.clone()]);
    bench.menu("File", &first.display().to_string());
    assert_eq!(bench.app().path.as_ref(), Some(&first));
    assert_eq!(bench.app().recent, [first, other]);
}

#[test]
fn one_bad_mesh_of_several_is_named_and_the_others_are_in() {
    let mut bench = Bench::demo("clean");
    let bad = bench.folder.path().join("half.stl");
    let bytes = std::fs::read(mesh("gear.stl")).unwrap();
    std::fs::write(&bad, &bytes[..bytes.len() / 2]).unwrap();
    let before = bench.plan().parts.len();
    bench.import(&[mesh("lever.stl"), bad, mesh("gear.stl")]);
    bench.wait("the import", |app| app.modal.is_some());
    let words = bench.trouble().unwrap();
    assert!(
        words.starts_with("1 file of 3 files could not be read"),
        "{words}"
    );
    assert!(words.contains("half.stl"), "{words}");
    assert!(
        bench.message().starts_with("2 parts read"),
        "{}",
        bench.message()
    );
    assert_eq!(bench.part_names()[before..], ["lever", "gear"]);
}

#[test]
fn a_cancelled_import_adds_nothing() {
    let mut bench = Bench::demo("clean");
    let before = bench.bytes();
    let many = vec![mesh("gear.stl"); 400];
    bench.import(&many);
    // A new window is shown one frame after it was first laid out, and the thread has to begin.
    for _ in 0..400 {
        if bench.shows("Reading gear.stl") {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(2));
        bench.harness.step();
    }
    assert!(bench.shows("Reading gear.stl"), "{:?}", bench.names());
    bench.find("Cancel the import").click();
    bench.harness.step();
    bench.run();
    assert!(
        bench.message().starts_with("Stopped"),
        "{}",
        bench.message()
    );
    std::thread::sleep(std::time::Duration::from_millis(100));
    bench.run();
    assert_eq!(bench.bytes(), before);
    assert!(bench.app().modal.is_none());
}
