//! Pictures of a board without a display: the same window, drawn on the processor.

use super::forecast_plot::Below;
use super::soft::SoftRenderer;
use super::state::{App, Board};
use super::theme;
use egui::{ColorImage, Context, Pos2, RawInput, Rect, Theme, Vec2};
use std::time::Duration;

/// Passes after which a window that still asks for another is taken as it is.
const MOST_PASSES: usize = 8;

/// Which board.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PictureBoard {
    /// Load board.
    Load,
    /// Load board with the parts arranged anew, and not yet kept.
    Arranged,
    /// Profile board.
    Profile,
    /// Profile board with the forecast over time under the curve.
    OverTime,
    /// Profile board with the forecast in figures under the curve.
    Forecast,
    /// Profile board with a run that was stopped half way.
    Stopped,
    /// Profile board with a shorter program.
    Shorten,
    /// Profile board with the cost of the run.
    Cost,
    /// Profile board with figures from measurements.
    Measured,
    /// Limits.
    Limits,
    /// Checks.
    Checks,
    /// Lots and furnace.
    Lots,
    /// The shop.
    Shop,
    /// A backlog and the loads that it becomes.
    Backlog,
}

/// How long a picture waits for the forecast that belongs on it.
const FORECAST_WITHIN: Duration = Duration::from_secs(120);

/// How long a picture waits for the arrangement, or the answer to a question.
const ARRANGED_WITHIN: Duration = Duration::from_secs(600);

/// What a picture shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PictureOf {
    /// Board.
    pub board: PictureBoard,
    /// Light or dark.
    pub theme: Theme,
    /// Width and height, points; a point is a pixel.
    pub size: [usize; 2],
    /// Level shown, counted from 1 over all stacks from the hearth up; the first where none is
    /// named or there are fewer.
    pub level: Option<usize>,
}

/// Draws a board of the window. The same pixels for the same load on every run of one build.
pub fn picture(app: &mut App, of: &PictureOf) -> ColorImage {
    let ctx = Context::default();
    theme::install(&ctx);
    ctx.set_theme(of.theme);
    ctx.all_styles_mut(|style| {
        style.animation_time = 0.0;
        style.visuals.text_cursor.blink = false;
    });
    app.view.board = match of.board {
        PictureBoard::Load | PictureBoard::Arranged => Board::Load,
        PictureBoard::Profile
        | PictureBoard::OverTime
        | PictureBoard::Forecast
        | PictureBoard::Stopped
        | PictureBoard::Shorten
        | PictureBoard::Cost
        | PictureBoard::Measured => Board::Profile,
        PictureBoard::Limits | PictureBoard::Checks => Board::Limits,
        PictureBoard::Lots => Board::Cleared,
        PictureBoard::Shop => Board::Shop,
        PictureBoard::Backlog => Board::Backlog,
    };
    app.view.limits.checks = of.board == PictureBoard::Checks;
    let below = match of.board {
        PictureBoard::OverTime => Below::OverTime,
        PictureBoard::Forecast => Below::Figures,
        PictureBoard::Stopped => Below::Stopped,
        PictureBoard::Shorten => Below::Shorten,
        PictureBoard::Cost => Below::Cost,
        PictureBoard::Measured => Below::Measured,
        _ => Below::Segments,
    };
    app.view.profile.show_forecast(below);
    let wanted = of.level.and_then(|n| n.checked_sub(1));
    let level = wanted.and_then(|n| app.doc.plan().levels().nth(n).map(|(_, l)| l.id));
    if let Some(id) = level {
        app.show_level(id);
    }

    let [width, height] = of.size;
    let screen = Rect::from_min_size(Pos2::ZERO, Vec2::new(width as f32, height as f32));
    let mut renderer = SoftRenderer::default();
    let mut pass = 0_usize;
    loop {
        let input = RawInput {
            screen_rect: Some(screen),
            // A clock of its own, so that nothing depends on how quick the machine is.
            time: Some(pass as f64 * 0.25),
            ..RawInput::default()
        };
        let mut out = ctx.run_ui(input, |ui| {
            app.before(ui.ctx());
            app.pass(ui);
        });
        renderer.update(&mut out.textures_delta);
        if pass == 0 {
            app.wait_for_forecast(FORECAST_WITHIN);
            if of.board == PictureBoard::Arranged {
                app.arrange_now(&ctx, ARRANGED_WITHIN);
            }
            if of.board == PictureBoard::Backlog {
                app.backlog_beside(&ctx, ARRANGED_WITHIN);
            }
            app.answer_now(&ctx, below, ARRANGED_WITHIN);
        }
        // Panels learn their sizes in the first passes.
        let settled = pass >= 2 && !ctx.has_requested_repaint();
        if settled || pass + 1 == MOST_PASSES {
            let scale = out.pixels_per_point;
            let drawn = ctx.tessellate(out.shapes, scale);
            return renderer.draw(
                &drawn,
                of.size,
                scale,
                ctx.global_style().visuals.panel_fill,
            );
        }
        pass += 1;
    }
}
