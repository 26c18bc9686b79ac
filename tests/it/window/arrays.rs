//! Copies as an array, by label.

use super::bench::Bench;
use egui::{Key, Modifiers};
use setterwright::load::PlacementId;
use setterwright::part::Shape;
use std::collections::BTreeMap;

const GAPS: [&str; 2] = ["parts-touching", "gap-too-small"];
const PLACES: [&str; 7] = [
    "parts-touching",
    "gap-too-small",
    "part-over-setter-edge",
    "part-near-setter-edge",
    "part-touches-post",
    "part-near-post",
    "part-in-forbidden-spot",
];

/// An L with arms of 8 mm.
fn latch() -> Shape {
    Shape::Prism {
        outline_mm: vec![
            [0.0, 0.0],
            [34.0, 0.0],
            [34.0, 8.0],
            [8.0, 8.0],
            [8.0, 26.0],
            [0.0, 26.0],
        ],
        height_mm: 6.0,
    }
}

fn disc() -> Shape {
    Shape::Disc {
        diameter_mm: 30.0,
        height_mm: 6.0,
    }
}

impl Bench {
    /// One thing alone on the level, selected.
    fn one(shape: Shape) -> (Bench, PlacementId) {
        let mut bench = Bench::demo("clean");
        let id = bench.alone(shape);
        // On its material: the middle of the box of a concave part is beside it.
        let label = bench.plan().placement_label(id);
        bench.click_at(bench.on_screen(bench.grip_mm(&label)));
        (bench, id)
    }

    /// Opens the form, if it is not.
    fn open_form(&mut self) {
        if !self.shows("Tightest pitch") {
            self.click("Copy as array…");
        }
    }

    /// Types a number of rows or columns.
    fn count(&mut self, name: &str, n: usize) {
        self.find(name).focus();
        self.run();
        self.write(&n.to_string());
        self.key(Key::Enter);
    }

    fn array(&mut self, columns: usize, rows: usize, pitch: Option<[f64; 2]>) {
        self.open_form();
        self.count("Columns", columns);
        self.count("Rows", rows);
        if let Some([x, y]) = pitch {
            self.fill("Pitch along x", &format!("{x:.1} mm"));
            self.fill("Pitch along y", &format!("{y:.1} mm"));
        }
        self.click("Set out the array");
    }

    fn tightest(&mut self) -> [f64; 2] {
        self.open_form();
        self.click("Tightest pitch");
        self.app().view.array.pitch_mm
    }

    fn found(&self, slugs: &[&str]) -> Vec<String> {
        let all = slugs.iter().flat_map(|slug| self.findings(slug));
        all.map(|f| format!("{} {:?}", f.check, f.subjects))
            .collect()
    }

    /// Places of all on the level shown.
    fn there(&self) -> BTreeMap<PlacementId, [f64; 2]> {
        let level = self.app().view.level.unwrap();
        let (_, level) = self.plan().level(level).unwrap();
        level.placements.iter().map(|p| (p.id, p.at_mm)).collect()
    }

    fn stepped(&self) -> usize {
        self.app().doc.history.steps().count()
    }
}

#[test]
fn a_grid_with_a_typed_pitch() {
    let (mut bench, _) = Bench::one(disc());
    let (before, steps) = (bench.bytes(), bench.stepped());
    bench.array(3, 2, Some([36.0, 41.5]));
    let mut at: Vec<_> = bench.there().into_values().collect();
    at.sort_by(|a, b| (a[1], a[0]).partial_cmp(&(b[1], b[0])).unwrap());
    let want = [
        [0.0, 0.0],
        [36.0, 0.0],
        [72.0, 0.0],
        [0.0, 41.5],
        [36.0, 41.5],
        [72.0, 41.5],
    ];
    assert_eq!(at, want);
    assert_eq!(bench.stepped(), steps + 1);
    bench.keys(Modifiers::COMMAND, Key::Z);
    assert_eq!(bench.bytes(), before);
}

#[test]
fn a_hexagonal_array_staggers_every_second_row() {
    let (mut bench, _) = Bench::one(disc());
    bench.open_form();
    bench.click("Hexagonal: every second row staggered");
    bench.array(2, 3, Some([36.0, 32.0]));
    let mut at: Vec<_> = bench.there().into_values().collect();
    at.sort_by(|a, b| (a[1], a[0]).partial_cmp(&(b[1], b[0])).unwrap());
    let want = [
        [0.0, 0.0],
        [36.0, 0.0],
        [18.0, 32.0],
        [54.0, 32.0],
        [0.0, 64.0],
        [36.0, 64.0],
    ];
    assert_eq!(at, want);
}

/// Two at the tightest pitch keep the gap limit, and 0.2 mm nearer they do not: along x, and along
/// y with the rows beside one another.
fn tight(shape: Shape, staggered: bool) {
    let (mut bench, _) = Bench::one(shape);
    bench.harness.state_mut().view.array.staggered = staggered;
    let [x, y] = bench.tightest();
    assert!(x > 8.0 && y > 8.0, "{x} {y}");
    for (columns, rows, pitch, free) in [
        (2, 1, [x, y], true),
        (2, 1, [x - 0.2, y], false),
        (3, 3, [x, y], true),
        (3, 3, [x, y - 0.2], false),
    ] {
        bench.array(columns, rows, Some(pitch));
        assert_eq!(bench.there().len(), columns * rows, "{}", bench.message());
        let found = bench.found(&GAPS);
        assert_eq!(
            found.is_empty(),
            free,
            "{columns} x {rows} at {pitch:?}: {found:?}"
        );
        bench.keys(Modifiers::COMMAND, Key::Z);
    }
}

#[test]
fn the_tightest_pitch_of_a_disc() {
    tight(disc(), false);
    tight(disc(), true);
}

#[test]
fn the_tightest_pitch_of_a_concave_part() {
    tight(latch(), false);
    tight(latch(), true);
}

/// Chevrons stand in one another: the pitch of the rows is smaller than the box.
#[test]
fn concave_parts_interlock() {
    let chevron = || Shape::Prism {
        outline_mm: vec![
            [-20.0, 0.0],
            [0.0, 15.0],
            [20.0, 0.0],
            [20.0, 8.0],
            [0.0, 23.0],
            [-20.0, 8.0],
        ],
        height_mm: 6.0,
    };
    let (mut bench, _) = Bench::one(chevron());
    let [x, y] = bench.tightest();
    assert!(x > 40.0 && y < 20.0, "{x} {y}");
    tight(chevron(), false);
}

fn filled(shape: Shape, staggered: bool) {
    let (mut bench, only) = Bench::one(shape);
    bench.harness.state_mut().view.array.staggered = staggered;
    bench.tightest();
    let (before, steps) = (bench.bytes(), bench.stepped());
    assert_eq!(bench.found(&PLACES), [""; 0]);
    bench.open_form();
    bench.click("Fill the level");
    let there = bench.there();
    assert!(there.len() > 12, "{}: {}", there.len(), bench.message());
    assert_eq!(there[&only], [0.0, 0.0]);
    assert_eq!(bench.found(&PLACES), [""; 0]);
    assert_eq!(bench.stepped(), steps + 1);
    let full = bench.bytes();
    // Full is full.
    bench.open_form();
    bench.click("Fill the level");
    assert!(
        bench.message().starts_with("No further place"),
        "{}",
        bench.message()
    );
    assert_eq!(bench.bytes(), full);
    bench.keys(Modifiers::COMMAND, Key::Z);
    assert_eq!(bench.bytes(), before);
}

#[test]
fn a_level_is_filled_with_discs() {
    filled(disc(), false);
    filled(disc(), true);
}

#[test]
fn a_level_is_filled_with_concave_parts() {
    filled(latch(), false);
}

/// What is filled into a bore keeps the gap limit also when the bore has shrunk.
#[test]
fn a_bore_is_filled_with_its_shrinking_in_mind() {
    let (mut bench, _) = Bench::one(Shape::Disc {
        diameter_mm: 10.0,
        height_mm: 6.0,
    });
    let level = bench.app().view.level.unwrap();
    let ring = bench
        .plan()
        .parts
        .iter()
        .find(|p| p.name == "ring")
        .unwrap();
    let around = setterwright::load::Placement {
        id: PlacementId(bench.plan().next_id),
        item: setterwright::load::Item::Part {
            part: ring.id,
            lot: None,
        },
        at_mm: [60.0, 20.0],
        angle_deg: 0.0,
        support: None,
        locked: false,
    };
    let edit = setterwright::load::Edit::Place {
        level,
        placements: vec![around],
    };
    assert!(bench.harness.state_mut().edit(&edit));
    bench.run();
    bench.tightest();
    bench.open_form();
    bench.click("Fill the level");
    let inside = |p: &&[f64; 2]| (p[0] - 60.0).hypot(p[1] - 20.0) < 14.0;
    assert!(bench.there().values().filter(inside).count() > 1);
    assert_eq!(bench.found(&PLACES), [""; 0]);
}

#[test]
fn nothing_selected_is_no_array() {
    let mut bench = Bench::demo("clean");
    assert!(!bench.enabled("Copy as array…"));
    bench.keys(Modifiers::COMMAND, Key::A);
    assert!(!bench.enabled("Copy as array…"));
    bench.key(Key::Escape);
    assert!(!bench.enabled("Copy as array…"));
}

#[test]
fn too_many_copies_are_refused() {
    let (mut bench, _) = Bench::one(disc());
    let before = bench.bytes();
    bench.array(50, 41, None);
    assert_eq!(bench.bytes(), before);
    let message = bench.message();
    assert!(
        message.starts_with("2049 copies are more than the 2000"),
        "{message}"
    );
    // As many as there may be.
    bench.array(23, 87, None);
    assert_eq!(bench.there().len(), 2001);
}
