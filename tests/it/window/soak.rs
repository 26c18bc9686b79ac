//! Random clicks and keys: nothing panics, and undoing all gives the first bytes again.

use super::bench::Bench;
use egui::{Event, Key, Modifiers, PointerButton, pos2};
use setterwright::app::state::Board;
use std::sync::atomic::{AtomicUsize, Ordering};

/// A small generator, so that a seed means the same everywhere (xorshift64*, Vigna 2016).
struct Random(u64);

impl Random {
    fn below(&mut self, n: usize) -> usize {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        let mixed = self.0.wrapping_mul(0x2545_F491_4F6C_DD1D);
        ((mixed >> 33) % n as u64) as usize
    }
}

/// Keys that neither close nor reopen: those would end the story or begin another document.
const KEYS: &[(Modifiers, Key)] = &[
    (Modifiers::NONE, Key::Tab),
    (Modifiers::NONE, Key::Enter),
    (Modifiers::NONE, Key::Escape),
    (Modifiers::NONE, Key::Space),
    (Modifiers::NONE, Key::Delete),
    (Modifiers::NONE, Key::R),
    (Modifiers::NONE, Key::F),
    (Modifiers::NONE, Key::M),
    (Modifiers::NONE, Key::Plus),
    (Modifiers::NONE, Key::Minus),
    (Modifiers::NONE, Key::PageUp),
    (Modifiers::NONE, Key::PageDown),
    (Modifiers::NONE, Key::ArrowLeft),
    (Modifiers::NONE, Key::ArrowUp),
    (Modifiers::NONE, Key::Backspace),
    (Modifiers::SHIFT, Key::PageUp),
    (Modifiers::COMMAND, Key::A),
    (Modifiers::COMMAND, Key::D),
    (Modifiers::COMMAND, Key::L),
    (Modifiers::COMMAND, Key::T),
    (Modifiers::COMMAND, Key::Z),
    (Modifiers::COMMAND.plus(Modifiers::SHIFT), Key::Z),
    (Modifiers::COMMAND, Key::K),
    (Modifiers::COMMAND, Key::S),
    (Modifiers::COMMAND, Key::Num1),
    (Modifiers::COMMAND, Key::Num2),
    (Modifiers::COMMAND, Key::Num3),
];

const TEXTS: &[&str] = &[
    "7", "-3,5", "2 in", "1e400", "NaN", "°C", "0", "漢字", ",,", "-",
];

/// Whether it came to the comparison after undoing all.
fn run(seed: u64, demo: &str) -> bool {
    let mut bench = Bench::demo(demo);
    // People paste what no font of ours has; it is drawn as boxes.
    let boxes = egui::epaint::text::MissingGlyphPolicy::Tofu;
    bench.harness.ctx.set_missing_glyph_policy(boxes);
    let before = bench.bytes();
    let mut reopened = false;
    let path = bench.app().path.clone();
    let mut random = Random(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) + 1);
    let size = bench.harness.ctx.content_rect().size();
    for step in 0..200 {
        let at = pos2(
            random.below(size.x as usize) as f32,
            random.below(size.y as usize) as f32,
        );
        match random.below(10) {
            0..=3 => {
                let button = match random.below(8) {
                    0 => PointerButton::Secondary,
                    _ => PointerButton::Primary,
                };
                let modifiers = match random.below(5) {
                    0 => Modifiers::SHIFT,
                    _ => Modifiers::NONE,
                };
                for pressed in [true, false] {
                    bench.harness.hover_at(at);
                    let event = Event::PointerButton {
                        pos: at,
                        button,
                        pressed,
                        modifiers,
                    };
                    bench.harness.event(event);
                    bench.harness.step();
                }
            }
            4..=5 => {
                bench.harness.hover_at(at);
                bench.harness.drag_at(at);
                bench.harness.step();
                let to = pos2(
                    random.below(size.x as usize) as f32,
                    random.below(size.y as usize) as f32,
                );
                for i in 1..=3 {
                    bench.harness.hover_at(at.lerp(to, i as f32 / 3.0));
                    bench.harness.step();
                }
                bench.harness.drop_at(to);
            }
            6 => {
                let text = TEXTS[random.below(TEXTS.len())];
                bench.harness.event(Event::Text(text.to_owned()));
            }
            _ => {
                let (modifiers, key) = KEYS[random.below(KEYS.len())];
                bench.harness.key_press_modifiers(modifiers, key);
            }
        }
        bench.harness.step();
        // The same file again, perhaps as saved meanwhile, is another document too.
        reopened |= bench.message().ends_with(" is open.");
        if bench.app().path != path || bench.app().view.board == Board::Library && step % 7 == 0 {
            bench.harness.state_mut().view.board = Board::Load;
        }
    }
    // A click may have opened a new load; that document has a story of its own.
    let app = bench.harness.state_mut();
    app.modal = None;
    let opened_another = reopened || app.path != path;
    while app.doc.history.undo() {}
    if !opened_another {
        assert_eq!(bench.bytes(), before, "seed {seed}");
    }
    bench.harness.step();
    !opened_another
}

#[test]
fn two_hundred_clicks_and_keys_under_twenty_seeds() {
    let compared = AtomicUsize::new(0);
    std::thread::scope(|scope| {
        for demos in [["clean", "stop"], ["cautions", "clean"]] {
            let compared = &compared;
            scope.spawn(move || {
                for seed in 0..10 {
                    let half = u64::from(demos[0] == "cautions") * 10;
                    let reached = run(half + seed, demos[(seed % 2) as usize]);
                    compared.fetch_add(usize::from(reached), Ordering::Relaxed);
                }
            });
        }
    });
    // A soak that always strays into another document compares nothing.
    let compared = compared.into_inner();
    assert!(compared >= 10, "only {compared} of 20 seeds");
}
