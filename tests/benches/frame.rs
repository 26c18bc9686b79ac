//! What a frame of the window costs while a part is dragged: `cargo bench --bench frame`.
//!
//! 1,000 parts on 20 levels, 600 frames with the pointer moving: building and tessellating, no
//! painting. Then 60 frames in which nothing happens, and whether any of them asks for another.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../demo/plans.rs"]
mod plans;

use egui::{Context, Event, Modifiers, PointerButton, Pos2, RawInput, Rect, Vec2, pos2};
use setterwright::app::canvas::Camera;
use setterwright::app::state::App;
use setterwright::app::theme;
use setterwright::catalogue::builtin;
use setterwright::document::Document;
use setterwright::files;
use std::time::{Duration, Instant};

const SIZE: Vec2 = Vec2::new(1920.0, 1080.0);
const FRAMES: usize = 600;

struct Window {
    ctx: Context,
    app: App,
    time: f64,
}

impl Window {
    /// One frame; what it cost, and whether it wants another at once.
    fn frame(&mut self, events: Vec<Event>) -> (Duration, bool) {
        self.time += 1.0 / 60.0;
        let input = RawInput {
            screen_rect: Some(Rect::from_min_size(Pos2::ZERO, SIZE)),
            time: Some(self.time),
            events,
            ..RawInput::default()
        };
        let start = Instant::now();
        let (ctx, app) = (&self.ctx, &mut self.app);
        let mut out = ctx.run_ui(input, |ui| {
            app.before(ui.ctx());
            app.pass(ui);
        });
        out.textures_delta.clear();
        let drawn = ctx.tessellate(std::mem::take(&mut out.shapes), out.pixels_per_point);
        let took = start.elapsed();
        assert!(!drawn.is_empty());
        (took, ctx.has_requested_repaint())
    }
}

fn percentile(sorted: &[Duration], share: f64) -> f64 {
    let at = ((sorted.len() - 1) as f64 * share).round() as usize;
    sorted[at].as_secs_f64() * 1e3
}

fn print(what: &str, mut times: Vec<Duration>) {
    times.sort();
    println!(
        "{what}: p50 {:.2} ms, p99 {:.2} ms, worst {:.2} ms over {} frames",
        percentile(&times, 0.5),
        percentile(&times, 0.99),
        percentile(&times, 1.0),
        times.len()
    );
}

fn main() {
    let (catalogue, shop) = builtin().expect("the starting catalogue");
    let plan = plans::any_size(1_000, 20, 1);
    let working = files::Working {
        catalogue,
        shop: Some(shop),
        differences: Vec::new(),
        standard: None,
    };
    let mut app = App::new(Document::new(plan, None), working);
    app.view.snap.on = true;
    let ctx = Context::default();
    theme::install(&ctx);
    let mut window = Window {
        ctx,
        app,
        time: 0.0,
    };
    for _ in 0..5 {
        window.frame(Vec::new());
    }

    // The middle of the plan as it is shown: between menu and tally, between lists and findings.
    let centre = pos2(SIZE.x * 0.42, SIZE.y * 0.5);
    let mut grips = Vec::new();
    for i in 0..200 {
        let at = centre + 6.0 * i as f32 * Vec2::angled(i as f32 * 2.4) / 6.0_f32.sqrt();
        grips.push(at);
    }
    let button = |pos, pressed| Event::PointerButton {
        pos,
        button: PointerButton::Primary,
        pressed,
        modifiers: Modifiers::NONE,
    };
    // A click that hits a part selects it; then that one is dragged.
    let grip = grips.into_iter().find(|at| {
        window.frame(vec![Event::PointerMoved(*at)]);
        window.frame(vec![button(*at, true)]);
        window.frame(vec![button(*at, false)]);
        window.frame(Vec::new());
        !window.app.view.selection.is_empty()
    });
    let grip = grip.expect("a part under the pointer");
    let camera: Camera = window.app.view.shown;
    println!(
        "{} parts on {} levels, {:.2} points a millimetre",
        window.app.doc.plan().placements().count(),
        window.app.doc.plan().levels().count(),
        camera.zoom
    );
    window.frame(vec![button(grip, true)]);
    let mut times = Vec::with_capacity(FRAMES);
    for i in 0..FRAMES {
        let angle = i as f32 * 0.05;
        let at = grip + Vec2::angled(angle) * (20.0 + 60.0 * (i as f32 / FRAMES as f32));
        times.push(window.frame(vec![Event::PointerMoved(at)]).0);
    }
    assert!(window.app.view.preview.is_some(), "nothing was dragged");
    print("dragging one part", times);
    let (release, _) = window.frame(vec![button(grip, false)]);
    println!(
        "the frame of the release, with the whole review: {:.1} ms",
        release.as_secs_f64() * 1e3
    );
    for _ in 0..10 {
        window.frame(Vec::new());
    }
    let (idle, wants): (Vec<_>, Vec<_>) = (0..60).map(|_| window.frame(Vec::new())).unzip();
    print("a frame in which nothing happens", idle);
    let asked = wants.iter().filter(|w| **w).count();
    println!("of these, frames that asked for another: {asked}");
}
