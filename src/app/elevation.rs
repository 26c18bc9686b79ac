//! The hot zone seen from the door: every level and every part's height. Heights are drawn larger
//! than widths where there is room, so that twelve levels can be told apart.

use super::state::{Action, App, Results};
use super::theme::{self, Tokens};
use crate::catalogue::Space;
use crate::load::{Carrier, floor_and_roof, stack_heights};
use crate::part::SizeStage;
use crate::text::app as say;
use egui::epaint::Mesh;
use egui::{
    Align2, FontId, Pos2, Rect, Role, Sense, Shape, Stroke, StrokeKind, Ui, WidgetInfo, pos2,
};

/// Heights are drawn at most so many times as large as widths.
const MOST_STRETCH: f32 = 4.0;

impl App {
    pub(super) fn elevation(&mut self, ui: &mut Ui, results: &Results, _actions: &mut Vec<Action>) {
        ui.strong(say::label("From the door"));
        let plan = &results.plan;
        let catalogue = std::sync::Arc::clone(&self.working.catalogue);
        let Some(furnace) = catalogue.furnace(&plan.load.furnace) else {
            ui.label(say::no_furnace(&plan.load.furnace));
            return;
        };
        let size = ui.available_size().max(egui::vec2(80.0, 120.0));
        let (rect, canvas) = ui.allocate_exact_size(size, Sense::hover());
        let tokens = Tokens::of(ui.ctx());
        let (hearth, roof) = floor_and_roof(&furnace.hot_zone);
        let width = |space: &Space| match *space {
            Space::Box { width_mm, .. } => width_mm,
            Space::Cylinder { diameter_mm, .. } => diameter_mm,
        };
        let zone_width = width(&furnace.hot_zone);
        let mut room = rect.shrink(theme::SPACE * 1.5);
        // What stands over it.
        room.min.y += theme::SMALL * 2.0;
        let fits = room.height() / (roof - hearth) as f32;
        let wide = (room.width() / zone_width as f32).min(fits);
        let tall = fits.min(wide * MOST_STRETCH);
        let at = |x: f64, z: f64| -> Pos2 {
            pos2(
                room.center().x + x as f32 * wide,
                room.max.y - (z - hearth) as f32 * tall,
            )
        };
        let painter = ui.painter_at(rect);
        let zone = Rect::from_two_pos(at(-zone_width / 2.0, hearth), at(zone_width / 2.0, roof));
        painter.rect(
            zone,
            0.0,
            tokens.ground,
            Stroke::new(theme::EDGE, tokens.line),
            StrokeKind::Outside,
        );
        let (low, high) = floor_and_roof(&furnace.work_zone);
        let half = width(&furnace.work_zone) / 2.0;
        let work = [
            at(-half, low),
            at(half, low),
            at(half, high),
            at(-half, high),
            at(-half, low),
        ];
        painter.extend(Shape::dashed_line(
            &work,
            Stroke::new(theme::EDGE, tokens.zone),
            5.0,
            4.0,
        ));
        for stack in &plan.load.stacks {
            let heights = stack_heights(stack, &catalogue, furnace);
            let mut below = hearth;
            for (level, height) in stack.levels.iter().zip(heights) {
                let (Some(setter), Ok(height)) = (catalogue.setter(&level.setter), height) else {
                    continue;
                };
                let [left, right] = setter.shape.bounds_mm().map(|[x, _]| x);
                let [sx, _] = stack.at_mm;
                let shown = self.view.level == Some(level.id);
                if let Carrier::Posts { post, at_mm } = &level.carrier
                    && let Some(post) = catalogue.post(post)
                {
                    for [x, _] in at_mm {
                        let r = post.diameter_mm / 2.0;
                        let body = Rect::from_two_pos(
                            at(sx + x - r, below),
                            at(sx + x + r, height.underside_mm),
                        );
                        painter.rect_filled(body, 0.0, tokens.post);
                    }
                }
                let mut top = height.rim_mm;
                // One mesh a level: a thousand stroked boxes would cost more than all the rest.
                let mut parts = Mesh::default();
                for placement in &level.placements {
                    let (item, turn) = (&placement.item, placement.angle_deg);
                    let green = SizeStage::Green;
                    let drawn = self.shapes.of(item, green, turn, &catalogue);
                    let Some([low, high]) = drawn.bounds else {
                        continue;
                    };
                    let [low, high] = [low[0], high[0]].map(|x| sx + placement.at_mm[0] + x);
                    let lift = crate::load::lift_mm(placement, &catalogue);
                    let foot = height.face_mm + lift;
                    let z = foot + drawn.height_mm;
                    top = top.max(z);
                    let body = Rect::from_two_pos(at(low, foot), at(high, z));
                    parts.add_colored_rect(body, tokens.part_edge);
                    parts.add_colored_rect(body.shrink(theme::EDGE / 2.0), tokens.part);
                }
                painter.add(Shape::mesh(parts));
                let plate = Rect::from_two_pos(
                    at(sx + left, height.underside_mm),
                    at(sx + right, height.face_mm),
                );
                let (edge, color) = if shown {
                    (theme::BOLD_EDGE, tokens.accent)
                } else {
                    (theme::EDGE, tokens.setter_edge)
                };
                painter.rect(
                    plate,
                    0.0,
                    tokens.setter,
                    Stroke::new(edge, color),
                    StrokeKind::Outside,
                );
                let area =
                    Rect::from_two_pos(at(sx + left, height.underside_mm), at(sx + right, top));
                let id = canvas.id.with(("level", level.id.0));
                let response = ui.interact(area.intersect(rect), id, Sense::click());
                let name =
                    say::level_from_door(&plan.level_label(level.id), level.placements.len());
                response
                    .widget_info(|| WidgetInfo::selected(Role::ListBoxOption, true, shown, &name));
                if response.clicked() {
                    self.show_level(level.id);
                }
                below = height.face_mm;
            }
        }
        let font = FontId::proportional(theme::SMALL);
        painter.text(
            zone.center_top() - egui::vec2(0.0, 1.0),
            Align2::CENTER_BOTTOM,
            say::zone_height(roof - hearth, f64::from(tall / wide)),
            font,
            tokens.weak,
        );
        let summary = say::elevation_summary(plan.levels().count());
        canvas.widget_info(|| WidgetInfo::labeled(Role::Image, true, &summary));
    }
}
