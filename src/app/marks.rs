//! Marks of severity: an octagon, a triangle, a circle. Colour never stands alone.

use super::theme::Tokens;
use crate::catalogue::Severity;
use egui::{Painter, Pos2, Rect, Sense, Shape, Stroke, Ui, Vec2, vec2};

/// Paints the mark of a severity.
pub fn mark(painter: &Painter, at: Pos2, radius: f32, severity: Severity, tokens: &Tokens) {
    let color = tokens.severity(severity);
    let polygon = |n: usize, turn: f32| -> Vec<Pos2> {
        (0..n)
            .map(|i| {
                let angle = (i as f32 / n as f32 + turn) * std::f32::consts::TAU;
                at + radius * vec2(angle.cos(), angle.sin())
            })
            .collect()
    };
    match severity {
        Severity::Stop => {
            painter.add(Shape::convex_polygon(
                polygon(8, 1.0 / 16.0),
                color,
                Stroke::NONE,
            ));
        }
        Severity::Caution => {
            painter.add(Shape::convex_polygon(
                polygon(3, -0.25),
                color,
                Stroke::NONE,
            ));
        }
        Severity::Note => {
            painter.circle_stroke(at, radius * 0.85, Stroke::new(2.0, color));
        }
    }
}

/// The mark in a row of widgets.
pub fn mark_in_row(ui: &mut Ui, severity: Severity) {
    let size = Vec2::splat(ui.spacing().interact_size.y * 0.7);
    let (rect, _) = ui.allocate_exact_size(size, Sense::hover());
    let tokens = Tokens::of(ui.ctx());
    mark(
        ui.painter(),
        Rect::center(&rect),
        size.x / 2.0,
        severity,
        tokens,
    );
}
