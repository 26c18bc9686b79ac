//! Parts told apart on the pictures of an arrangement: each has a face and a hatching of its own, and
//! the legend names them. Colour never stands alone.

use super::shapes::{Drawn, closed, filled};
use super::theme::{self, Tokens};
use crate::arrange::waiting_of;
use crate::geometry::P2;
use crate::load::{Item, Plan};
use crate::part::PartId;
use crate::text::arranging as words;
use egui::epaint::PathShape;
use egui::{
    Color32, Painter, Pos2, Role, Sense, Stroke, TextStyle, TextWrapMode, Ui, WidgetInfo,
    WidgetText, pos2, vec2,
};
use std::collections::BTreeMap;

/// Directions of the hatchings in degrees, the first kind has none. As many as have no divisor in
/// common with the number of faces, so that a face comes with each of them before one is used again.
const HATCHES: [&[f64]; 6] = [&[], &[45.0], &[135.0], &[0.0], &[90.0], &[45.0, 135.0]];
/// Distance of hatching lines, points.
const EVERY: f32 = 6.0;
/// Size of a sample in the legend, points.
const SAMPLE: [f32; 2] = [26.0, 16.0];

/// The look of a kind of part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Look {
    pub face: Color32,
    /// Directions, degrees.
    pub hatch: &'static [f64],
}

impl Look {
    /// Of the part that stands at an index in the plan.
    fn of_part(at: usize, tokens: &Tokens) -> Look {
        let face = tokens.kinds.get(at % tokens.kinds.len()).copied();
        Look {
            face: face.unwrap_or(tokens.part),
            hatch: HATCHES.get(at % HATCHES.len()).copied().unwrap_or_default(),
        }
    }

    /// Of coupons, dummy masses and thermocouples.
    fn of_others(tokens: &Tokens) -> Look {
        Look {
            face: tokens.other,
            hatch: &[],
        }
    }

    /// Paints face and hatching; `at` gives the place on the screen, `zoom` points for a unit.
    pub(super) fn paint(
        self,
        painter: &Painter,
        drawn: &Drawn,
        at: impl Fn(&P2) -> Pos2,
        (zoom, ink): (f32, Color32),
    ) {
        painter.add(filled(&drawn.pieces, &at, self.face));
        let stroke = Stroke::new(theme::EDGE, ink.gamma_multiply(0.6));
        for direction in self.hatch {
            for line in hatched(&drawn.rings, *direction, f64::from(EVERY / zoom)) {
                painter.line_segment(line.map(|p| at(&p)), stroke);
            }
        }
    }
}

/// Looks by part.
pub(super) struct Looks {
    parts: BTreeMap<PartId, Look>,
    others: Look,
}

impl Looks {
    /// By the order of the parts in the plan, so that a part looks alike in every picture.
    pub(super) fn of(plan: &Plan, tokens: &Tokens) -> Looks {
        let parts = plan.parts.iter().enumerate();
        Looks {
            parts: parts
                .map(|(i, part)| (part.id, Look::of_part(i, tokens)))
                .collect(),
            others: Look::of_others(tokens),
        }
    }

    pub(super) fn of_item(&self, item: &Item) -> Look {
        let part = item.part().filter(|_| item.is_production());
        let look = part.and_then(|part| self.parts.get(&part));
        look.copied().unwrap_or(self.others)
    }

    /// A sample with a name for each part of which pieces stand or wait, and for the rest.
    pub(super) fn legend(&self, ui: &mut Ui, plan: &Plan) {
        let tokens = Tokens::of(ui.ctx());
        ui.horizontal_wrapped(|ui| {
            for part in &plan.parts {
                let mine = |item: &Item| item.is_production() && item.part() == Some(part.id);
                let placed = plan.placements().filter(|(_, p)| mine(&p.item)).count();
                let lots = plan.lots.iter().filter(|lot| lot.part == part.id);
                let waits: usize = lots.map(|lot| waiting_of(plan, lot)).sum();
                if placed + waits > 0
                    && let Some(look) = self.parts.get(&part.id)
                {
                    sample(ui, *look, &words::kind(&part.name, placed, waits), tokens);
                }
            }
            if plan.placements().any(|(_, p)| !p.item.is_production()) {
                sample(ui, self.others, &words::other_things(), tokens);
            }
        });
    }
}

/// A sample and its name, which go onto another line together.
fn sample(ui: &mut Ui, look: Look, name: &str, tokens: &Tokens) {
    let [w, h] = SAMPLE;
    let before = w + theme::SPACE / 2.0;
    let room = ui.max_rect().width() - before;
    let text = WidgetText::from(name);
    let text = text.into_galley(ui, Some(TextWrapMode::Truncate), room, TextStyle::Body);
    let size = vec2(before + text.size().x, text.size().y.max(h));
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, name));
    let ring: Vec<P2> = [[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]]
        .map(|p| p.map(f64::from))
        .to_vec();
    let drawn = Drawn {
        pieces: vec![ring.clone()],
        rings: vec![ring.clone()],
        ..Drawn::default()
    };
    let low = rect.center().y + h / 2.0;
    let at = |p: &P2| pos2(rect.left() + p[0] as f32, low - p[1] as f32);
    look.paint(ui.painter(), &drawn, at, (1.0, tokens.part_edge));
    if let Some(points) = closed(ring.iter().map(at)) {
        let stroke = Stroke::new(theme::EDGE, tokens.part_edge);
        ui.painter().add(PathShape::closed_line(points, stroke));
    }
    let corner = pos2(rect.left() + before, rect.center().y - text.size().y / 2.0);
    ui.painter().galley(corner, text, tokens.text);
}

/// Lines across an outline in a direction, even-odd over all rings, so that holes stay free.
fn hatched(rings: &[Vec<P2>], direction_deg: f64, every: f64) -> Vec<[P2; 2]> {
    let (sin, cos) = libm::sincos(direction_deg.to_radians());
    // Along the lines and across them.
    let turned = |p: &P2| [cos * p[0] + sin * p[1], cos * p[1] - sin * p[0]];
    let back = |[u, v]: P2| [cos * u - sin * v, sin * u + cos * v];
    let mut crossed: BTreeMap<i64, Vec<f64>> = BTreeMap::new();
    for ring in rings {
        let next = ring.iter().cycle().skip(1);
        for (a, b) in ring.iter().zip(next) {
            let (a, b) = (turned(a), turned(b));
            let [low, high] = [a[1].min(b[1]) / every, a[1].max(b[1]) / every];
            // Each end belongs to one side only.
            for k in low.ceil() as i64..high.ceil() as i64 {
                let share = (k as f64 * every - a[1]) / (b[1] - a[1]);
                crossed
                    .entry(k)
                    .or_default()
                    .push(a[0] + share * (b[0] - a[0]));
            }
        }
    }
    let mut lines = Vec::new();
    for (k, mut all) in crossed {
        all.sort_by(f64::total_cmp);
        let v = k as f64 * every;
        let pairs = all.chunks_exact(2);
        lines.extend(pairs.map(|pair| [back([pair[0], v]), back([pair[1], v])]));
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    fn length(lines: &[[P2; 2]]) -> f64 {
        let one = |[a, b]: &[P2; 2]| libm::hypot(a[0] - b[0], a[1] - b[1]);
        lines.iter().map(one).sum()
    }

    /// So much line is drawn as the area holds at that distance, and none in a hole.
    #[test]
    fn hatching_fills_the_outline_and_leaves_holes_free() {
        let square = |half: f64| vec![[-half, -half], [half, -half], [half, half], [-half, half]];
        let rings = [square(20.0), square(8.0)];
        let area = 40.0 * 40.0 - 16.0 * 16.0;
        for direction in [0.0, 45.0, 90.0, 135.0] {
            let lines = hatched(&rings, direction, 0.25);
            let drawn = length(&lines) * 0.25;
            assert!((drawn / area - 1.0).abs() < 0.02, "{direction}: {drawn}");
            for [a, b] in &lines {
                let middle = [0, 1].map(|k: usize| f64::midpoint(a[k], b[k]));
                let far = middle[0].abs().max(middle[1].abs());
                assert!(far > 7.9 && far < 20.1, "{direction}: {middle:?}");
            }
        }
        assert!(hatched(&[], 45.0, 1.0).is_empty());
    }

    #[test]
    fn no_two_of_many_parts_look_alike() {
        for tokens in [theme::LIGHT, theme::DARK] {
            let most = HATCHES.len() * tokens.kinds.len();
            let looks: Vec<Look> = (0..most).map(|i| Look::of_part(i, &tokens)).collect();
            for (i, look) in looks.iter().enumerate() {
                assert!(!looks[..i].contains(look), "{i}");
                // Among neighbours neither colour nor hatching alone is asked to tell them apart.
                let near = looks[..i].iter().rev().take(4);
                let mut near = near.filter(|l| l.face == look.face || l.hatch == look.hatch);
                assert_eq!(near.next(), None, "{i}");
            }
        }
    }
}
