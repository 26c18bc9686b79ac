//! A load built without a pointer: everything can be reached by keys.

use super::bench::{Bench, demo_loads, in_both_locales};
use egui::{Key, Modifiers};
use setterwright::app::state::App;
use setterwright::files::open_load;

impl Bench {
    /// Does a command by the palette.
    fn palette(&mut self, letters: &str) {
        self.keys(Modifiers::COMMAND, Key::K);
        // As somebody types who reads that language.
        let typed = setterwright::text::say(letters);
        let typed = typed.trim_matches(['[', ']', '~']).to_owned();
        self.harness.event(egui::Event::Text(typed));
        self.run();
        self.key(Key::Enter);
        assert!(self.app().view.palette.is_none(), "{letters}");
    }

    /// Tab until something of this name has the focus.
    fn tab_to(&mut self, name: &str) {
        for _ in 0..400 {
            if self.focused().as_deref() == Some(name) {
                return;
            }
            self.key(Key::Tab);
        }
        panic!("Tab never came to {name}; there are {:?}", self.names());
    }

    fn press(&mut self, name: &str) {
        self.tab_to(name);
        self.key(Key::Space);
    }

    fn type_into(&mut self, name: &str, text: &str) {
        self.tab_to(name);
        self.write(text);
        self.key(Key::Enter);
    }
}

#[test]
fn a_load_is_built_by_keyboard_alone() {
    in_both_locales(built_by_keyboard);
}

fn built_by_keyboard() {
    let mut bench = Bench::empty();
    let meshes = demo_loads().join("meshes");
    bench.answer(&[meshes.join("bracket.stl"), meshes.join("ring.stl")]);
    bench.keys(Modifiers::COMMAND, Key::I);
    assert!(bench.app().view.import.is_some());
    bench.key(Key::Enter);
    bench.wait("the parts", |app| app.doc.plan().parts.len() == 2);
    bench.palette("Add a level");
    assert_eq!(bench.plan().levels().count(), 1);
    for part in ["bracket", "ring"] {
        bench.press(&format!("Place one {part} on this level"));
    }
    assert_eq!(bench.plan().placements().count(), 2);
    // The second finds a free place of its own.
    assert_eq!(bench.findings("parts-touching"), []);
    assert_eq!(bench.findings("gap-too-small"), []);
    bench.type_into("x", "-70 mm");
    bench.type_into("y", "4 cm");
    let ring = bench
        .plan()
        .placement_labels()
        .into_values()
        .find(|l| l.starts_with("ring"));
    assert_eq!(bench.at_mm(&ring.unwrap()), [-70.0, 40.0]);
    assert_eq!(bench.findings("parts-touching"), []);
    bench.palette("Repeat this level");
    assert_eq!(bench.plan().levels().count(), 2);

    let path = bench.folder.path().join("by-keys.load.ron");
    bench.answer(std::slice::from_ref(&path));
    bench.keys(Modifiers::COMMAND, Key::S);
    let (plan, _) = open_load(&path, None).unwrap();
    assert_eq!(plan.placements().count(), 4);
    // The file carries its records too, so only the rest is the same.
    assert_eq!(
        (&plan.load, &plan.parts),
        (&bench.plan().load, &bench.plan().parts)
    );
}

/// Without a dialog service the window says so and takes a typed path.
#[test]
fn a_path_can_be_typed() {
    let mut bench = Bench::demo("clean");
    let path = bench.folder.path().join("typed.load.ron");
    bench.keys(Modifiers::COMMAND | Modifiers::SHIFT, Key::S);
    assert!(bench.shows("dialog service"), "{:?}", bench.names());
    bench.type_into("Path", path.to_str().unwrap());
    assert!(path.exists());
}

#[test]
fn closing_with_changes_asks() {
    let mut bench = Bench::demo("clean");
    bench.keys(Modifiers::COMMAND, Key::A);
    bench.key(Key::R);
    assert!(bench.starred());
    bench.keys(Modifiers::COMMAND, Key::N);
    assert!(bench.shows("Drop the changes"));
    bench.click("Stay here");
    assert!(!bench.plan().parts.is_empty());
    bench.keys(Modifiers::COMMAND, Key::N);
    bench.click("Drop the changes");
    assert!(bench.plan().parts.is_empty());
}

/// Arrangement by command: what each does is held in `arrange_by_hand`; here, that it can be asked
/// for, is one step and comes back.
#[test]
fn commands_on_a_selection_come_back() {
    for command in [
        "Duplicate",
        "Remove from the load",
        "Lock",
        "Turn left",
        "Turn right",
        "Align left",
        "Align right",
        "Align at the door side",
        "Align at the back",
        "Align anchors in a column",
        "Align anchors in a row",
        "Mirror left to right",
        "Mirror door to back",
        "Repeat this level",
        "Add a level",
    ] {
        let mut bench = Bench::demo("clean");
        let before = bench.bytes();
        bench.keys(Modifiers::COMMAND, Key::A);
        bench.palette(command);
        let steps = bench.app().doc.history.steps().count();
        if bench.bytes() == before {
            // Only what is in line already stays; then nothing may be on the list of steps.
            assert!(command.starts_with("Align"), "{command} did nothing");
            assert_eq!(steps, 0, "{command}");
            continue;
        }
        assert_eq!(steps, 1, "{command}");
        bench.keys(Modifiers::COMMAND, Key::Z);
        assert_eq!(bench.bytes(), before, "{command}");
    }
}

/// Files used lately, the shop folder and the colours outlive the window.
#[test]
fn settings_are_kept() {
    let folder = tempfile::tempdir().unwrap();
    let settings = folder.path().join("settings.ron");
    let with_settings = |load: &str| {
        let path = demo_loads().join(format!("{load}.load.ron"));
        let app = App::on_file(Some(&path)).unwrap();
        let settings = settings.clone();
        let kept = tempfile::tempdir().unwrap();
        Bench::made(kept, [1280.0, 800.0], move |ctx| {
            app.with_settings(ctx, settings)
        })
    };
    let mut bench = with_settings("clean");
    bench.menu("View", "Dark colours");
    // The answers to what mesh files do not say, too.
    bench.answer(&[demo_loads().join("meshes/ring.stl")]);
    bench.menu("File", "Import parts…");
    bench.click("in");
    bench.click("together one part");
    bench.click("Cancel");
    drop(bench);
    let mut bench = with_settings("stop");
    let kept = setterwright::files::read_settings(&settings).unwrap();
    assert_eq!(kept.colours, setterwright::files::Colours::Dark);
    assert_eq!(kept.meshes.unit, setterwright::part::MeshUnit::Inch);
    assert!(!kept.meshes.each_body);
    bench.click("File");
    assert!(bench.shows("clean.load.ron") && bench.shows("stop.load.ron"));
    bench.key(Key::Escape);
    let now = &bench.app().view.import_as.meshes;
    assert_eq!(*now, kept.meshes);

    // One that cannot be read is said and stays as it is.
    std::fs::write(&settings, "no settings").unwrap();
    let mut bench = with_settings("clean");
    assert!(
        bench.message().contains("settings.ron"),
        "{}",
        bench.message()
    );
    bench.menu("View", "Light colours");
    assert_eq!(std::fs::read_to_string(&settings).unwrap(), "no settings");
}

/// A dialog of the desktop asks before it takes another file's place; so does a typed path.
#[test]
fn a_typed_path_asks_before_it_replaces_a_file() {
    let mut bench = Bench::demo("clean");
    let other = bench.folder.path().join("other.load.ron");
    std::fs::copy(demo_loads().join("stop.load.ron"), &other).unwrap();
    let before = std::fs::read(&other).unwrap();
    for (answer, same) in [("Keep it", true), ("Replace it", false)] {
        bench.keys(Modifiers::COMMAND | Modifiers::SHIFT, Key::S);
        bench.type_into("Path", other.to_str().unwrap());
        bench.click(answer);
        assert_eq!(std::fs::read(&other).unwrap() == before, same, "{answer}");
    }
    // A name without an ending gets the usual one.
    let bare = bench.folder.path().join("mine");
    bench.keys(Modifiers::COMMAND | Modifiers::SHIFT, Key::S);
    bench.type_into("Path", bare.to_str().unwrap());
    assert!(bench.folder.path().join("mine.load.ron").exists());
}

#[test]
fn to_do_again_what_is_not_there_takes_nothing_back() {
    let mut bench = Bench::demo("clean");
    bench.keys(Modifiers::COMMAND, Key::A);
    bench.key(Key::Delete);
    let emptied = bench.bytes();
    bench.keys(Modifiers::COMMAND | Modifiers::SHIFT, Key::Z);
    assert_eq!(bench.bytes(), emptied);
    bench.keys(Modifiers::COMMAND, Key::Z);
    assert_ne!(bench.bytes(), emptied);
    bench.keys(Modifiers::COMMAND, Key::Y);
    assert_eq!(bench.bytes(), emptied);
    bench.keys(Modifiers::COMMAND | Modifiers::SHIFT, Key::Z);
    assert_eq!(bench.bytes(), emptied);
}
