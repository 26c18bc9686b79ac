//! A small picture of an opened finding: the things on their setter, the heights about them, or the
//! stretch of the curve, from the outlines and the curve that the boards draw.

use super::canvas::Camera;
use super::shapes::{closed, filled, plate};
use super::state::{App, Results};
use super::theme::{self, Tokens};
use crate::catalogue::{Catalogue, Furnace};
use crate::load::{Carrier, Level, PlacementId, Plan, Stack, floor_and_roof, stack_heights};
use crate::part::SizeStage;
use crate::profile::{CurvePoint, SegmentId};
use crate::review::{Finding, Subject};
use crate::text::fixes as say;
use crate::units::{Quantity, show};
use egui::epaint::PathShape;
use egui::{
    Align2, FontId, Painter, Pos2, Rect, Role, Sense, Stroke, StrokeKind, Ui, WidgetInfo, pos2,
    vec2,
};
use std::collections::BTreeSet;

/// Height of a picture, points.
const HEIGHT: f32 = 120.0;
/// What is shown round the things in question, mm.
const ROUND_MM: f64 = 15.0;
/// Heights are drawn at most so many times as large as widths.
const MOST_STRETCH: f32 = 4.0;

/// What a picture shows.
enum View {
    /// Things on the setter of a level, from above.
    Above(BTreeSet<PlacementId>),
    /// The same from the door, with the level above.
    Door(BTreeSet<PlacementId>),
    /// Segments of the program.
    Time(BTreeSet<SegmentId>),
}

/// Checks about heights.
const HEIGHTS: [&str; 5] = [
    "part-touches-setter-above",
    "head-room-low",
    "part-touches-roof",
    "roof-room-low",
    "setter-touches-roof",
];

/// What there is to be seen of a finding, and on which level.
fn view(finding: &Finding, plan: &Plan) -> Option<(View, Option<usize>)> {
    let mut ids = BTreeSet::new();
    let mut segments = BTreeSet::new();
    let mut level = None;
    let at = |id| plan.levels().position(|(_, l)| l.id == id);
    for subject in &finding.subjects {
        match subject {
            Subject::Placement(id) => {
                ids.insert(*id);
            }
            Subject::Part(part) => {
                let mine = plan
                    .placements()
                    .filter(|(_, p)| p.item.part() == Some(*part));
                ids.extend(mine.map(|(_, p)| p.id));
            }
            Subject::Level(id) => level = level.or(at(*id)),
            Subject::Segment(id) => {
                segments.insert(*id);
            }
            _ => {}
        }
    }
    if !segments.is_empty() {
        return Some((View::Time(segments), None));
    }
    let on = ids.iter().find_map(|id| at(plan.placement(*id)?.0.id));
    let level = level.or(on)?;
    let view = if HEIGHTS.contains(&finding.check) {
        View::Door(ids)
    } else {
        View::Above(ids)
    };
    Some((view, Some(level)))
}

impl App {
    pub(super) fn finding_picture(&mut self, ui: &mut Ui, finding: &Finding, results: &Results) {
        let plan = &results.plan;
        let Some((view, level)) = view(finding, plan) else {
            return;
        };
        let catalogue = std::sync::Arc::clone(&self.working.catalogue);
        let furnace = catalogue.furnace(&plan.load.furnace);
        let size = vec2(ui.available_width().max(theme::TARGET), HEIGHT);
        let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
        let about: Vec<String> = finding.subjects.iter().map(|s| s.label(plan)).collect();
        let name = say::picture(&about.join(", "));
        response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &name));
        if !ui.is_rect_visible(rect) {
            return;
        }
        let tokens = Tokens::of(ui.ctx());
        let painter = ui.painter_at(rect);
        let edge = Stroke::new(theme::EDGE, tokens.line);
        painter.rect(rect, 0.0, tokens.ground, edge, StrokeKind::Inside);
        let alarm = tokens.severity(finding.severity);
        let here = level.and_then(|i| plan.levels().nth(i));
        let picture = Picture {
            painter: &painter,
            rect,
            tokens,
            alarm,
            catalogue: &catalogue,
        };
        self.shapes.refresh(plan, &catalogue);
        match (view, here) {
            (View::Above(ids), Some((stack, level))) => {
                self.draw_above(&picture, stack, level, &ids);
            }
            (View::Door(ids), Some((stack, level))) => {
                if let Some(furnace) = furnace {
                    self.draw_door(&picture, stack, level, &ids, furnace);
                }
            }
            (View::Time(ids), _) => {
                let full_rate = furnace.map(|f| f.ramp_max_k_min);
                if let Ok(curve) = plan.profile.curve(full_rate) {
                    over_time(&picture, curve.points(), &chosen(plan, &ids));
                }
            }
            _ => {}
        }
    }

    fn draw_above(
        &mut self,
        picture: &Picture,
        stack: &Stack,
        level: &Level,
        ids: &BTreeSet<PlacementId>,
    ) {
        let Some(setter) = picture.catalogue.setter(&level.setter) else {
            return;
        };
        let mut seen = Vec::new();
        let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
        for placement in &level.placements {
            let (item, turn) = (&placement.item, placement.angle_deg);
            let drawn = self
                .shapes
                .of(item, SizeStage::Green, turn, picture.catalogue);
            let mine = ids.contains(&placement.id);
            if let Some(bounds) = drawn.bounds.filter(|_| mine) {
                for axis in 0..2 {
                    low[axis] = low[axis].min(placement.at_mm[axis] + bounds[0][axis]);
                    high[axis] = high[axis].max(placement.at_mm[axis] + bounds[1][axis]);
                }
            }
            seen.push((placement.at_mm, drawn, mine));
        }
        if low[0] > high[0] {
            [low, high] = setter.shape.bounds_mm();
        }
        let low = low.map(|v| v - ROUND_MM);
        let high = high.map(|v| v + ROUND_MM);
        let camera = Camera::fitting(low, high, picture.rect);
        let at = |p: [f64; 2]| camera.to_screen(picture.rect, p);
        let stroke = Stroke::new(theme::EDGE, picture.tokens.setter_edge);
        let fill = picture.tokens.setter;
        let drawn = plate(&setter.shape, 0.0, |p| at(*p), fill, stroke);
        picture.painter.extend(drawn);
        // Posts that stand on this level carry the next.
        let above = stack.levels.iter().skip_while(|l| l.id != level.id).nth(1);
        if let Some(Carrier::Posts { post, at_mm }) = above.map(|l| &l.carrier)
            && let Some(post) = picture.catalogue.post(post)
        {
            for place in at_mm {
                let radius = (post.diameter_mm / 2.0) as f32 * camera.zoom;
                picture
                    .painter
                    .circle(at(*place), radius, picture.tokens.post, stroke);
            }
        }
        for (place, drawn, mine) in &seen {
            let shape = |p: &[f64; 2]| at([place[0] + p[0], place[1] + p[1]]);
            let part = filled(&drawn.pieces, shape, picture.tokens.part);
            picture.painter.add(part);
            let stroke = picture.stroke(*mine);
            for ring in &drawn.rings {
                if let Some(points) = closed(ring.iter().map(shape)) {
                    picture.painter.add(PathShape::closed_line(points, stroke));
                }
            }
        }
    }

    fn draw_door(
        &mut self,
        picture: &Picture,
        stack: &Stack,
        level: &Level,
        ids: &BTreeSet<PlacementId>,
        furnace: &Furnace,
    ) {
        let (_, roof) = floor_and_roof(&furnace.hot_zone);
        let heights = stack_heights(stack, picture.catalogue, furnace);
        let all: Vec<_> = stack.levels.iter().zip(heights).collect();
        let Some(here) = all.iter().position(|(l, _)| l.id == level.id) else {
            return;
        };
        let Some(Ok(own)) = all.get(here).map(|(_, h)| h) else {
            return;
        };
        let next = all.get(here + 1);
        let top = next.and_then(|(_, h)| h.as_ref().ok()).map(|h| h.face_mm);
        let (low, high) = (own.underside_mm, top.unwrap_or(roof));
        let [from, to] = picture
            .catalogue
            .setter(&level.setter)
            .map_or([-50.0, 50.0], |s| s.shape.bounds_mm().map(|[x, _]| x));
        let (middle, wide) = ((from + to) / 2.0, to - from);
        let room = picture.rect.shrink(theme::SPACE);
        let across = room.width() / wide as f32;
        let tall = (room.height() / (high - low).max(1.0) as f32).min(across * MOST_STRETCH);
        let across = across.min(tall);
        let at = |x: f64, z: f64| -> Pos2 {
            pos2(
                room.center().x + (x - middle) as f32 * across,
                room.max.y - (z - low) as f32 * tall,
            )
        };
        let edge = Stroke::new(theme::EDGE, picture.tokens.setter_edge);
        for (level, height) in all.iter().skip(here).take(2) {
            let (Ok(height), Some(setter)) = (height, picture.catalogue.setter(&level.setter))
            else {
                continue;
            };
            let [left, right] = setter.shape.bounds_mm().map(|[x, _]| x);
            let plate =
                Rect::from_two_pos(at(left, height.underside_mm), at(right, height.face_mm));
            let fill = picture.tokens.setter;
            picture
                .painter
                .rect(plate, 0.0, fill, edge, StrokeKind::Middle);
        }
        if top.is_none() {
            let ends = [at(middle - wide, roof), at(middle + wide, roof)];
            picture
                .painter
                .line_segment(ends, Stroke::new(theme::BOLD_EDGE, picture.tokens.zone));
        }
        for placement in &level.placements {
            let (item, turn) = (&placement.item, placement.angle_deg);
            let drawn = self
                .shapes
                .of(item, SizeStage::Green, turn, picture.catalogue);
            let Some([from, to]) = drawn.bounds else {
                continue;
            };
            let foot = own.face_mm + crate::load::lift_mm(placement, picture.catalogue);
            let [x, _] = placement.at_mm;
            let body =
                Rect::from_two_pos(at(x + from[0], foot), at(x + to[0], foot + drawn.height_mm));
            let stroke = picture.stroke(ids.contains(&placement.id));
            let fill = picture.tokens.part;
            picture
                .painter
                .rect(body, 0.0, fill, stroke, StrokeKind::Inside);
        }
    }
}

/// Where and in what colours a picture is drawn.
struct Picture<'a> {
    painter: &'a Painter,
    rect: Rect,
    tokens: &'a Tokens,
    alarm: egui::Color32,
    catalogue: &'a Catalogue,
}

impl Picture<'_> {
    /// What the finding is about stands out by its width and its colour.
    fn stroke(&self, mine: bool) -> Stroke {
        if mine {
            Stroke::new(theme::BOLD_EDGE, self.alarm)
        } else {
            Stroke::new(theme::EDGE, self.tokens.part_edge)
        }
    }

    fn text(&self, at: Pos2, align: Align2, text: String) {
        let font = FontId::proportional(theme::SMALL);
        self.painter.text(at, align, text, font, self.tokens.weak);
    }
}

/// Places of segments in the program.
fn chosen(plan: &Plan, ids: &BTreeSet<SegmentId>) -> Vec<usize> {
    let all = plan.profile.segments.iter().enumerate();
    all.filter(|(_, s)| ids.contains(&s.id))
        .map(|(i, _)| i)
        .collect()
}

/// The segments in question with their neighbours.
fn over_time(picture: &Picture, points: &[CurvePoint], chosen: &[usize]) {
    let (Some(first), Some(last)) = (chosen.first(), chosen.last()) else {
        return;
    };
    let shown = |p: &&CurvePoint| p.segment + 1 >= *first && p.segment <= *last + 1;
    let window: Vec<&CurvePoint> = points.iter().filter(shown).collect();
    let times = window.iter().map(|p| p.time_min);
    let (from, to) = times.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), t| {
        (a.min(t), b.max(t))
    });
    let (low, high) = window
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), p| {
            (a.min(p.setpoint_c), b.max(p.setpoint_c))
        });
    if to <= from || !to.is_finite() {
        return;
    }
    let mut room = picture.rect.shrink(theme::SPACE);
    room.max.y -= theme::SMALL * 1.5;
    room.min.y += theme::SMALL * 1.5;
    let at = |p: &CurvePoint| {
        let x = ((p.time_min - from) / (to - from)) as f32;
        let y = ((p.setpoint_c - low) / (high - low).max(1.0)) as f32;
        pos2(
            room.min.x + x * room.width(),
            room.max.y - y * room.height(),
        )
    };
    for pair in window.windows(2) {
        let [a, b] = pair else { continue };
        let stroke = if chosen.contains(&b.segment) {
            Stroke::new(theme::BOLD_EDGE, picture.alarm)
        } else {
            Stroke::new(theme::EDGE, picture.tokens.curve)
        };
        picture.painter.line_segment([at(a), at(b)], stroke);
    }
    let time = |min: f64| show(Quantity::Time, min, 0);
    let corner = picture.rect.shrink(theme::SPACE / 2.0);
    picture.text(corner.left_bottom(), Align2::LEFT_BOTTOM, time(from));
    picture.text(corner.right_bottom(), Align2::RIGHT_BOTTOM, time(to));
    let range = format!(
        "{} – {}",
        show(Quantity::Temperature, low, 0),
        show(Quantity::Temperature, high, 0)
    );
    picture.text(corner.left_top(), Align2::LEFT_TOP, range);
}
