//! Typed entry.

use super::bench::Bench;
use egui::{Key, Modifiers};

fn first(bench: &mut Bench) -> String {
    let level = bench.app().view.level.unwrap();
    let id = bench.plan().level(level).unwrap().1.placements[0].id;
    let label = bench.plan().placement_labels()[&id].clone();
    bench.click(&label);
    label
}

/// One inch is 25.4 mm exactly (ISO 80000-1); a comma divides decimals as well as a point does.
#[test]
fn inches_and_decimal_commas() {
    let mut bench = Bench::demo("clean");
    let label = first(&mut bench);
    bench.fill("x", "2 in");
    assert!((bench.at_mm(&label)[0] - 50.8).abs() < 1e-12);
    bench.fill("y", "0,5");
    assert_eq!(bench.at_mm(&label)[1], 0.5);
    bench.fill("Angle", "12,5°");
    assert_eq!(
        bench
            .plan()
            .placement(bench.id(&label))
            .unwrap()
            .1
            .angle_deg,
        12.5
    );
    assert_eq!(bench.app().doc.history.steps().count(), 3);
}

#[test]
fn what_cannot_be_read_stays_and_says_so() {
    let mut bench = Bench::demo("clean");
    first(&mut bench);
    let before = bench.bytes();
    bench.fill("x", "2 furlongs");
    assert_eq!(bench.bytes(), before);
    assert!(bench.message().contains("furlongs"), "{}", bench.message());
    assert_eq!(bench.value("x"), "2 furlongs");
}

/// Escape in a field drops what was typed and keeps the selection.
#[test]
fn escape_drops_only_the_typing() {
    let mut bench = Bench::demo("clean");
    first(&mut bench);
    let shown = bench.value("x");
    let selected = bench.app().view.selection.clone();
    bench.focus_field("x");
    bench.harness.event(egui::Event::Text("7".into()));
    bench.run();
    bench.key(Key::Escape);
    assert_eq!(bench.value("x"), shown);
    assert_eq!(bench.app().view.selection, selected);
    assert_eq!(bench.app().doc.history.undo_label(), None);
}

/// Arrow keys nudge by the typed step; quick ones are one step back.
#[test]
fn nudges_by_a_typed_step() {
    let mut bench = Bench::demo("clean");
    bench.fill("Nudge by", "0,25 mm");
    let label = first(&mut bench);
    let [x, y] = bench.at_mm(&label);
    bench.key(Key::ArrowRight);
    bench.key(Key::ArrowRight);
    bench.key(Key::ArrowUp);
    let [nx, ny] = bench.at_mm(&label);
    assert!(
        (nx - x - 0.5).abs() < 1e-12 && (ny - y - 0.25).abs() < 1e-12,
        "{nx} {ny}"
    );
    bench.keys(Modifiers::COMMAND, Key::Z);
    assert_eq!(bench.at_mm(&label), [x, y]);
}

/// The table shows the same numbers and takes the same edits.
#[test]
fn the_table_edits_too() {
    let mut bench = Bench::demo("clean");
    let label = first(&mut bench);
    bench.keys(Modifiers::COMMAND, Key::T);
    let field = format!("x of {label}");
    bench.fill(&field, "-1,5");
    assert_eq!(bench.at_mm(&label)[0], -1.5);
}
