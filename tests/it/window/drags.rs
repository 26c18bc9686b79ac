//! Dragging parts on the load board.

use super::bench::{Bench, in_both_locales, plain};
use egui::{Key, Modifiers};
use setterwright::catalogue::Severity;
use setterwright::files::open_load;

const TOUCH: &str = "parts-touching";

/// Two neighbours on the first level, and the way from one onto the other.
fn pair(bench: &Bench) -> (String, String, [f64; 2]) {
    let labels = bench.plan().placement_labels();
    let level = bench.app().view.level.unwrap();
    let (_, level) = bench.plan().level(level).unwrap();
    let label = |i: usize| labels[&level.placements[i].id].clone();
    let (a, b) = (label(0), label(1));
    let (from, to) = (bench.at_mm(&a), bench.at_mm(&b));
    // Not exactly on it, so that no snap or symmetry is in play.
    (a, b, [to[0] - from[0] + 1.0, to[1] - from[1] + 2.0])
}

/// Drag onto another, see the finding, Escape in mid-drag, drag again, undo, redo, save, reopen.
fn whole_story(prepare: impl Fn(&mut Bench)) {
    let mut bench = Bench::demo("clean");
    prepare(&mut bench);
    bench.snap(false);
    let (a, _, onto) = pair(&bench);
    let before = bench.bytes();
    let start = bench.at_mm(&a);
    assert_eq!(bench.findings(TOUCH), []);

    // Dropped by Escape: no step, nothing changed, and the review still of the plan.
    let to = bench.hold(&a, onto);
    assert!(bench.app().view.preview.is_some());
    bench.key(Key::Escape);
    bench.harness.drop_at(to);
    bench.run();
    assert_eq!(bench.bytes(), before);
    assert!(bench.app().view.preview.is_none());
    assert_eq!(bench.app().doc.history.undo_label(), None);

    bench.drag(&a, onto);
    let moved = bench.at_mm(&a);
    for k in 0..2 {
        assert!((moved[k] - start[k] - onto[k]).abs() < 0.02, "{moved:?}");
    }
    let found = bench.findings(TOUCH);
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(found[0].severity, Severity::Stop);
    let label = bench.app().doc.history.undo_label().map(plain);
    assert!(
        label.as_deref().is_some_and(|l| l.contains("Move")),
        "{label:?}"
    );
    assert!(bench.starred());
    let touching = bench.bytes();

    bench.keys(Modifiers::COMMAND, Key::Z);
    assert_eq!(bench.bytes(), before);
    assert_eq!(bench.findings(TOUCH), []);
    bench.keys(Modifiers::COMMAND | Modifiers::SHIFT, Key::Z);
    assert_eq!(bench.bytes(), touching);
    assert_eq!(bench.findings(TOUCH).len(), 1);

    bench.keys(Modifiers::COMMAND, Key::S);
    assert!(!bench.starred(), "{}", bench.app().doc.title());
    let path = bench.app().path.clone().unwrap();
    let (plan, _) = open_load(&path, None).unwrap();
    assert_eq!(
        setterwright::files::canonical(&plan).unwrap(),
        bench.bytes()
    );
}

#[test]
fn as_opened() {
    in_both_locales(|| whole_story(|_| {}));
}

#[test]
fn far_away() {
    whole_story(|bench| bench.zoom(0.5));
}

#[test]
fn near_by_after_a_pan() {
    whole_story(|bench| {
        let (a, b, _) = pair(bench);
        let (a, b) = (bench.at_mm(&a), bench.at_mm(&b));
        bench.zoom(3.0);
        // The view is moved with the middle button until both are in the middle.
        let rect = bench.plan_rect();
        let middle = [(a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0];
        let mut left = rect.center() - bench.on_screen(middle);
        while left.length() > 1.0 {
            let by = left.clamp(rect.size() * -0.4, rect.size() * 0.4);
            let from = rect.center() - by / 2.0;
            bench.harness.hover_at(from);
            let button = |pressed, pos| egui::Event::PointerButton {
                pos,
                button: egui::PointerButton::Middle,
                pressed,
                modifiers: Modifiers::NONE,
            };
            bench.harness.event(button(true, from));
            bench.harness.step();
            for i in 1..=4 {
                bench.harness.hover_at(from + by * (i as f32 / 4.0));
                bench.harness.step();
            }
            bench.harness.event(button(false, from + by));
            bench.run();
            let now = rect.center() - bench.on_screen(middle);
            assert!(
                now.length() < left.length(),
                "the view did not move: {now:?}"
            );
            left = now;
        }
    });
}

/// What touches is drawn so, with gap and stage, in the frame of the drag.
#[test]
fn a_drag_shows_what_it_touches() {
    let mut bench = Bench::demo("clean");
    bench.snap(false);
    let (a, _, onto) = pair(&bench);
    let to = bench.hold(&a, onto);
    let live = bench.app().live_gaps().unwrap();
    assert!(live.pairs.iter().any(|g| g.gap_mm <= 0.0), "{live:?}");
    bench.harness.drop_at(to);
    bench.run();
    assert!(bench.app().live_gaps().is_none());
}

#[test]
fn several_parts_move_as_one_step() {
    let mut bench = Bench::demo("clean");
    bench.snap(false);
    bench.keys(Modifiers::COMMAND, Key::A);
    let ids: Vec<_> = bench.app().view.selection.iter().copied().collect();
    assert!(ids.len() > 2);
    let before = bench.bytes();
    let (a, _, _) = pair(&bench);
    bench.drag(&a, [0.0, -2.0]);
    let steps = bench.app().doc.history.steps().count();
    assert_eq!(steps, 1);
    assert_eq!(bench.app().view.selection.len(), ids.len());
    bench.keys(Modifiers::COMMAND, Key::Z);
    assert_eq!(bench.bytes(), before);
}

#[test]
fn a_locked_part_stays() {
    let mut bench = Bench::demo("clean");
    let (a, _, onto) = pair(&bench);
    bench.click(&a);
    bench.keys(Modifiers::COMMAND, Key::L);
    let before = bench.bytes();
    bench.drag(&a, onto);
    assert_eq!(bench.bytes(), before);
    assert!(bench.message().contains("locked"), "{}", bench.message());
}

#[test]
fn the_handle_turns() {
    let mut bench = Bench::demo("clean");
    let (a, _, _) = pair(&bench);
    bench.click(&a);
    let handle = bench.app().view.handle.unwrap();
    let middle = bench.on_screen(bench.at_mm(&a));
    let radius = (handle - middle).length();
    bench.harness.hover_at(handle);
    bench.harness.step();
    bench.harness.drag_at(handle);
    bench.harness.step();
    let end = middle + egui::vec2(-radius, 0.0);
    for i in 1..=10 {
        let turn = std::f32::consts::FRAC_PI_2 * i as f32 / 10.0;
        bench
            .harness
            .hover_at(middle + radius * egui::vec2(-turn.sin(), -turn.cos()));
        bench.harness.step();
    }
    bench.harness.drop_at(end);
    bench.run();
    let angle = bench.plan().placement(bench.id(&a)).unwrap().1.angle_deg;
    let turned = (angle - 90.0).rem_euclid(360.0);
    assert!(turned.min(360.0 - turned) < 5.1, "{angle}");
}

#[test]
fn snapping_lands_on_the_grid() {
    let mut bench = Bench::demo("clean");
    let (a, _, _) = pair(&bench);
    bench.click("Snap: on…");
    bench.fill("to a grid of", "5 mm");
    bench.key(Key::Escape);
    bench.harness.state_mut().view.snap.parts = false;
    bench.harness.state_mut().view.snap.edge = false;
    bench.run();
    bench.drag(&a, [3.1, -2.2]);
    for v in bench.at_mm(&a) {
        assert!((v / 5.0 - (v / 5.0).round()).abs() < 1e-9, "{v}");
    }
}

/// After Escape the arrows still mean what is selected.
#[test]
fn arrows_nudge_after_a_dropped_drag() {
    let mut bench = Bench::demo("clean");
    let (a, _, onto) = pair(&bench);
    let [x, y] = bench.at_mm(&a);
    let to = bench.hold(&a, onto);
    bench.key(Key::Escape);
    bench.harness.drop_at(to);
    bench.run();
    bench.key(Key::ArrowRight);
    let step = bench.app().view.nudge_mm;
    assert_eq!(bench.at_mm(&a), [x + step, y]);
}

/// Two drags in quick succession are two steps; only nudges join.
#[test]
fn quick_drags_are_steps_of_their_own() {
    let mut bench = Bench::demo("clean");
    let (a, _, _) = pair(&bench);
    // Farther than a click may tremble.
    bench.drag(&a, [12.0, 0.0]);
    bench.drag(&a, [0.0, 12.0]);
    assert_eq!(bench.app().doc.history.steps().count(), 2);
}
