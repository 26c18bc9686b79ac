//! A table whose columns share the width there is: what is long wraps, so that nothing lies out of
//! sight to the right and the first column always stands beside what belongs to it.

use super::theme::{SPACE, TARGET, Tokens};
use egui::{Align, Label, Layout, Rect, RichText, Shape, TextStyle, Ui, vec2};

/// A cell: its text, and what it says when pointed at.
pub(super) struct Cell {
    text: String,
    hint: Option<String>,
}

impl Cell {
    /// With a hint.
    pub fn hinted(text: String, hint: String) -> Cell {
        Cell {
            text,
            hint: Some(hint),
        }
    }
}

impl From<String> for Cell {
    fn from(text: String) -> Cell {
        Cell { text, hint: None }
    }
}

/// Shows it. Each column has its heading and its share of the width.
pub(super) fn table(ui: &mut Ui, columns: &[(String, f32)], rows: Vec<Vec<Cell>>) {
    let shares: f32 = columns.iter().map(|c| c.1).sum();
    let gaps = SPACE * columns.len().saturating_sub(1) as f32;
    let room = (ui.available_width() - gaps).max(TARGET * columns.len() as f32);
    let widths: Vec<f32> = columns
        .iter()
        .map(|c| (room * c.1 / shares.max(1e-3)).floor())
        .collect();
    let heads = columns
        .iter()
        .map(|(name, _)| (RichText::new(name).strong(), None));
    row(ui, &widths, heads, false);
    for (i, cells) in rows.into_iter().enumerate() {
        let cells = cells
            .into_iter()
            .map(|cell| (RichText::new(cell.text), cell.hint));
        row(ui, &widths, cells, i % 2 == 0);
    }
}

/// A figure in a cell of a grid, so that the last digits of a column stand under each other.
pub(super) fn from_right(ui: &mut Ui, text: impl Into<egui::WidgetText>) -> egui::Response {
    // No higher than the text: a cell that takes its row's height would never let it shrink.
    let high = ui.text_style_height(&TextStyle::Body);
    let size = vec2(ui.available_width(), high);
    let layout = Layout::right_to_left(Align::Center);
    ui.allocate_ui_with_layout(size, layout, |ui| ui.label(text))
        .inner
}

fn row(
    ui: &mut Ui,
    widths: &[f32],
    cells: impl Iterator<Item = (RichText, Option<String>)>,
    striped: bool,
) {
    let ground = ui.painter().add(Shape::Noop);
    let shown = ui.horizontal_top(|ui| {
        ui.spacing_mut().item_spacing.x = SPACE;
        for (width, (text, hint)) in widths.iter().zip(cells) {
            let size = vec2(*width, 0.0);
            ui.allocate_ui_with_layout(size, Layout::top_down(Align::Min), |ui| {
                ui.set_width(*width);
                let label = ui.add(Label::new(text).wrap());
                if let Some(hint) = hint {
                    label.on_hover_text(hint);
                }
            });
        }
    });
    if striped {
        let rect: Rect = shown.response.rect.expand2(vec2(0.0, SPACE / 4.0));
        let color = Tokens::of(ui.ctx()).faint.gamma_multiply(0.4);
        ui.painter()
            .set(ground, Shape::rect_filled(rect, 0.0, color));
    }
}
