//! The setpoint curve over the elapsed time, with the process ranges of the feedstocks behind it
//! and points that can be dragged.

use super::profile_board::{ProfileView, change, furnace};
use super::profile_edits::{self as edits, Knot, Steps};
use super::profile_table::shown;
use super::state::{Action, App};
use super::theme::{BOLD_EDGE, EDGE, SMALL, SPACE, TARGET, Tokens};
use crate::catalogue::Feedstock;
use crate::load::{Edit, Plan};
use crate::profile::{Curve, Phase, Profile, RampBy, Segment, SegmentId};
use crate::text::app as say;
use crate::units::Quantity;
use egui::{
    Align2, Color32, CursorIcon, EventFilter, FontId, Key, Modifiers, Painter, Pos2, Rect,
    Response, Role, Sense, Shape, Stroke, Ui, Vec2, Vec2b, WidgetInfo, accesskit, pos2, vec2,
};
use egui_plot::{Line, Plot, PlotBounds, PlotPoint, PlotPoints, PlotTransform};

/// A point of the curve being dragged.
#[derive(Clone, Debug)]
pub struct Drag {
    index: usize,
    knot: Knot,
    /// The segment as it was; the drag is dropped when the document has another.
    before: Segment,
    /// The segment as it would be on release.
    after: Segment,
    /// Where the pointer was pressed, and the point from there.
    pressed: Pos2,
    grab: Vec2,
    /// What was in sight: the view stands still while a point is dragged.
    bounds: PlotBounds,
    fitted: Vec2b,
}

/// A process range behind the curve.
struct Band {
    name: String,
    from_c: f64,
    to_c: f64,
    color: Color32,
    /// Debind ranges are hatched the other way than sinter ranges.
    rising: bool,
}

fn bands(feedstocks: &[&Feedstock], tokens: &Tokens) -> Vec<Band> {
    let of = |f: &Feedstock, what: &str, from_c: f64, to_c: f64, color, rising| Band {
        name: say::process_range(&f.name, what, from_c, to_c),
        from_c,
        to_c,
        color,
        rising,
    };
    let both = feedstocks.iter().flat_map(|f| {
        [
            of(
                f,
                "debind",
                f.debind.from_c,
                f.debind.to_c,
                tokens.debind,
                true,
            ),
            of(
                f,
                "sinter",
                f.sinter.from_c,
                f.sinter.to_c,
                tokens.sinter,
                false,
            ),
        ]
    });
    both.filter(|b| b.from_c.is_finite() && b.to_c.is_finite())
        .collect()
}

impl App {
    pub(super) fn profile_curve(&mut self, ui: &mut Ui, plan: &Plan, actions: &mut Vec<Action>) {
        let profile = &plan.profile;
        let catalogue = &self.working.catalogue;
        let furnace = furnace(catalogue, plan);
        let steps = Steps::of(furnace);
        if profile.segments.is_empty() {
            ui.label(say::no_segments());
            if ui.button(say::label("Add the first segment")).clicked() {
                let id = SegmentId(self.doc.history.next_id());
                let segment = edits::inserted(profile, 0, id, steps);
                self.view.segment = Some(id);
                actions.push(Action::Edit(Edit::AddSegment { index: 0, segment }));
            }
            return;
        }
        let view = &mut self.view.profile;
        let escape = view.drag.is_some() && ui.input(|i| i.key_pressed(Key::Escape));
        let stale = |drag: &Drag| profile.segments.get(drag.index) != Some(&drag.before);
        if escape || view.drag.as_ref().is_some_and(stale) {
            view.fit = view.drag.take().map(|drag| drag.fitted);
        }
        let full_rate = furnace.map(|f| f.ramp_max_k_min);
        let mut shown_profile = Profile::clone(profile);
        if let Some(drag) = &view.drag
            && let Some(segment) = shown_profile.segments.get_mut(drag.index)
        {
            *segment = drag.after.clone();
        }
        let curve = match shown_profile.curve(full_rate) {
            Ok(curve) => curve,
            Err(fault) => {
                view.drag = None;
                ui.label(say::no_curve(&fault.to_string()));
                return;
            }
        };
        let tokens = Tokens::of(ui.ctx());
        head(ui, view, &curve);
        let picked = profile
            .segments
            .iter()
            .position(|s| Some(s.id) == self.view.segment);
        let bands = bands(&edits::feedstocks(plan, catalogue), tokens);
        let board = Board {
            profile: &shown_profile,
            curve: &curve,
            steps,
            tokens,
            picked,
        };
        if let Some(index) = board.show(ui, view, &bands, actions)
            && let Some(segment) = profile.segments.get(index)
        {
            self.view.segment = Some(segment.id);
        }
    }
}

/// Program time, peak and what the pointer is on.
fn head(ui: &mut Ui, view: &mut ProfileView, curve: &Curve) {
    ui.horizontal_wrapped(|ui| {
        let peak = shown(Quantity::Temperature, curve.peak_c());
        ui.strong(say::program(&say::clock(curve.total_time_min()), &peak));
        if ui.button(say::label("Show the whole curve")).clicked() {
            view.fit = Some(Vec2b::TRUE);
        }
        let read = view.cursor_min.and_then(|min| {
            let (setpoint, next) = (curve.setpoint_at(min)?, next_point(curve, min)?);
            let phase = match next.phase {
                Phase::Ramp => say::label("ramp"),
                Phase::Hold => say::label("hold"),
            };
            let setpoint = crate::units::show(Quantity::Temperature, setpoint, 0);
            Some(say::cursor(
                &say::clock(min),
                &setpoint,
                next.segment + 1,
                &phase,
            ))
        });
        ui.label(read.unwrap_or_else(say::no_cursor));
    });
}

/// The end of the phase that runs at a time, min.
fn next_point(curve: &Curve, min: f64) -> Option<&crate::profile::CurvePoint> {
    curve.points().iter().skip(1).find(|p| p.time_min >= min)
}

/// What is drawn.
struct Board<'a> {
    profile: &'a Profile,
    curve: &'a Curve,
    steps: Steps,
    tokens: &'a Tokens,
    /// Index of the selected segment.
    picked: Option<usize>,
}

impl Board<'_> {
    /// Draws the curve; the index of a segment that was picked.
    fn show(
        &self,
        ui: &mut Ui,
        view: &mut ProfileView,
        bands: &[Band],
        actions: &mut Vec<Action>,
    ) -> Option<usize> {
        let painter = ui.painter().clone();
        // Ground and ranges lie behind the curve, but where they lie is known only after it.
        let behind = painter.add(Shape::Noop);
        let points: Vec<[f64; 2]> = self
            .curve
            .points()
            .iter()
            .map(|p| [p.time_min / 60.0, p.setpoint_c])
            .collect();
        let selected: Vec<[f64; 2]> = self
            .picked
            .and_then(|i| points.get(2 * i..2 * i + 3))
            .map(<[[f64; 2]]>::to_vec)
            .unwrap_or_default();
        let (fit, drag_bounds) = (view.fit.take(), view.drag.as_ref().map(|d| d.bounds));
        let free = !view.hot && view.drag.is_none();
        let mut plot = Plot::new("profile-curve")
            .show_background(false)
            .allow_drag(free)
            .allow_scroll(false)
            .allow_axis_zoom_drag(false)
            .label_formatter(|_| None)
            .grid_color(self.tokens.line)
            .x_axis_label(say::label("Elapsed time, h"))
            .y_axis_label(say::label("Setpoint, °C"))
            .include_x(0.0)
            .include_y(0.0);
        for band in bands {
            plot = plot.include_y(band.to_c);
        }
        let tokens = self.tokens;
        let out = plot.show(ui, |plot| {
            if let Some(bounds) = drag_bounds {
                plot.set_plot_bounds(bounds);
            } else if let Some(fit) = fit {
                plot.set_auto_bounds(fit);
            }
            let curve = Line::new(say::label("Setpoint"), PlotPoints::from(points));
            plot.line(
                curve
                    .color(tokens.curve)
                    .width(BOLD_EDGE * 0.7)
                    .allow_hover(false),
            );
            if !selected.is_empty() {
                let line = Line::new(say::label("Selected segment"), PlotPoints::from(selected));
                plot.line(
                    line.color(tokens.accent)
                        .width(BOLD_EDGE * 1.6)
                        .allow_hover(false),
                );
            }
            plot.auto_bounds()
        });
        let (response, transform, fitted) = (out.response, out.transform, out.inner);
        let area = *transform.frame();
        painter.set(behind, Shape::Vec(self.ground(area, bands, &transform)));
        let clipped = painter.with_clip_rect(area.intersect(painter.clip_rect()));
        self.band_names(ui, &clipped, area, bands, &transform);
        let peak = shown(Quantity::Temperature, self.curve.peak_c());
        let time = say::clock(self.curve.total_time_min());
        let summary = say::curve_summary(&peak, &time, self.profile.segments.len());
        response.widget_info(|| WidgetInfo::labeled(Role::Figure, true, &summary));

        let cursor = response
            .hover_pos()
            .map(|at| transform.value_from_position(at).x * 60.0)
            .filter(|min| (0.0..=self.curve.total_time_min()).contains(min));
        if cursor != view.cursor_min {
            // It is written above the curve, which this pass has drawn already.
            view.cursor_min = cursor;
            ui.ctx().request_repaint();
        }
        let mut picked = None;
        if response.clicked() {
            picked = cursor
                .and_then(|min| next_point(self.curve, min))
                .map(|p| p.segment);
        }
        let mut hot = false;
        for index in 0..self.profile.segments.len() {
            for knot in [Knot::HoldEnd, Knot::Target] {
                let seen = Seen {
                    area,
                    transform: &transform,
                    fitted,
                };
                let touched = self.knot(ui, &clipped, &response, view, index, knot, &seen, actions);
                if let Some(touched) = touched {
                    hot |= touched.contains_pointer();
                    if touched.clicked() || touched.drag_started() || touched.gained_focus() {
                        picked = Some(index);
                    }
                }
            }
        }
        view.hot = hot;
        picked
    }

    /// Ground and process ranges: outlined and hatched, so that they do not live by colour alone.
    fn ground(&self, area: Rect, bands: &[Band], transform: &PlotTransform) -> Vec<Shape> {
        let mut shapes = vec![Shape::rect_filled(area, 0.0, self.tokens.ground)];
        for band in bands {
            let rect = band_rect(area, band, transform);
            if rect.height() <= 0.0 {
                continue;
            }
            let stroke = Stroke::new(EDGE, band.color);
            shapes.push(Shape::rect_filled(
                rect,
                0.0,
                band.color.gamma_multiply(0.16),
            ));
            for y in [rect.top(), rect.bottom()] {
                shapes.push(Shape::hline(rect.x_range(), y, stroke));
            }
            let faint = Stroke::new(EDGE, band.color.gamma_multiply(0.45));
            shapes.extend(
                hatch(rect, band.rising)
                    .into_iter()
                    .map(|ends| Shape::line_segment(ends, faint)),
            );
        }
        shapes
    }

    /// Names at the right edge, those of ranges that overlap beside each other.
    fn band_names(
        &self,
        ui: &Ui,
        painter: &Painter,
        area: Rect,
        bands: &[Band],
        transform: &PlotTransform,
    ) {
        let mut taken: Vec<Rect> = Vec::new();
        for band in bands {
            let rect = band_rect(area, band, transform);
            if rect.height() <= 0.0 {
                continue;
            }
            let font = FontId::proportional(SMALL);
            let galley = painter.layout_no_wrap(band.name.clone(), font, self.tokens.text);
            let size = galley.size() + vec2(SPACE, 0.0);
            let mut at =
                Rect::from_min_size(pos2(area.right() - size.x - SPACE, rect.top() + EDGE), size);
            // Down by a line where another name stands already.
            while let Some(other) = taken.iter().find(|t| t.intersects(at)) {
                at = at.translate(vec2(0.0, other.bottom() - at.top() + EDGE));
            }
            painter.rect_filled(at, 2.0, self.tokens.ground.gamma_multiply(0.85));
            painter.galley(at.min + vec2(SPACE / 2.0, 0.0), galley, self.tokens.text);
            taken.push(at);
            let named = ui.interact(at, ui.scope_id().with(("range", taken.len())), Sense::HOVER);
            named.widget_info(|| WidgetInfo::labeled(Role::Label, true, &band.name));
        }
    }

    /// One point: drawn, named, dragged and moved by keys. None where it is out of sight.
    #[allow(clippy::too_many_arguments)]
    fn knot(
        &self,
        ui: &mut Ui,
        painter: &Painter,
        plot: &Response,
        view: &mut ProfileView,
        index: usize,
        knot: Knot,
        seen: &Seen,
        actions: &mut Vec<Action>,
    ) -> Option<Response> {
        let segment = self.profile.segments.get(index)?;
        let point = self
            .curve
            .points()
            .get(2 * index + if knot == Knot::Target { 1 } else { 2 })?;
        let mine = |drag: &Drag| drag.index == index && drag.knot == knot;
        let dragged = view.drag.as_ref().is_some_and(mine);
        if knot == Knot::HoldEnd && segment.hold_min <= 0.0 && !dragged {
            return None;
        }
        let at = seen
            .transform
            .position_from_point(&PlotPoint::new(point.time_min / 60.0, point.setpoint_c));
        if !(at.x.is_finite() && at.y.is_finite()) || !(seen.area.contains(at) || dragged) {
            return None;
        }
        let number = index + 1;
        let (what, value, quantity) = match knot {
            Knot::Target => (say::label("Target"), segment.to_c, Quantity::Temperature),
            Knot::HoldEnd => (
                say::label("End of the hold"),
                segment.hold_min,
                Quantity::Time,
            ),
        };
        let name = say::knot(&what, number, &shown(quantity, value));
        let id = plot.id.with(("knot", index, knot == Knot::Target));
        let rect = Rect::from_center_size(at, Vec2::splat(TARGET * 0.75));
        let cursor = match (knot, segment.ramp) {
            (Knot::HoldEnd, _) => CursorIcon::ResizeHorizontal,
            (Knot::Target, RampBy::Time { .. }) => CursorIcon::Move,
            (Knot::Target, _) => CursorIcon::ResizeVertical,
        };
        let response = ui
            .interact(rect, id, Sense::click_and_drag())
            .on_hover_and_drag_cursor(cursor);
        response.widget_info(|| WidgetInfo::slider(true, value, &name));
        ui.ctx().accesskit_node_builder(id, |node| {
            node.add_action(accesskit::Action::Increment);
            node.add_action(accesskit::Action::Decrement);
        });
        if response.clicked() {
            response.request_focus();
        }
        self.drag(&response, view, index, knot, at, seen, actions);
        if response.has_focus() && !dragged {
            self.keys(ui, &response, segment, knot, actions);
        }
        self.paint_knot(painter, at, knot, &response, dragged);
        if dragged {
            let setpoint = shown(Quantity::Temperature, segment.to_c);
            let second = match knot {
                Knot::Target => say::clock(point.time_min),
                Knot::HoldEnd => shown(Quantity::Time, segment.hold_min),
            };
            let text = say::two_values(&setpoint, &second);
            let font = FontId::proportional(SMALL + 1.0);
            let corner = at + vec2(SPACE, -SPACE);
            let galley = painter.layout_no_wrap(text, font, self.tokens.text);
            let ground = Align2::LEFT_BOTTOM.anchor_size(corner, galley.size());
            painter.rect_filled(ground.expand(2.0), 2.0, self.tokens.panel);
            painter.galley(ground.min, galley, self.tokens.text);
        }
        Some(response)
    }

    /// A press remembers what was pressed, a move makes the preview, the release the edit.
    #[allow(clippy::too_many_arguments)]
    fn drag(
        &self,
        response: &Response,
        view: &mut ProfileView,
        index: usize,
        knot: Knot,
        at: Pos2,
        seen: &Seen,
        actions: &mut Vec<Action>,
    ) {
        if response.drag_started()
            && let Some(segment) = self.profile.segments.get(index)
            && let Some(now) = response.interact_pointer_pos()
        {
            let pressed = now - response.total_drag_delta().unwrap_or_default();
            view.drag = Some(Drag {
                index,
                knot,
                before: segment.clone(),
                after: segment.clone(),
                pressed,
                grab: at - pressed,
                bounds: *seen.transform.bounds(),
                fitted: seen.fitted,
            });
            response.request_focus();
        }
        let Some(drag) = view
            .drag
            .as_mut()
            .filter(|d| d.index == index && d.knot == knot)
        else {
            return;
        };
        if let Some(now) = response.interact_pointer_pos() {
            let to = seen.transform.value_from_position(now + drag.grab);
            // A hand that moves one of the two does not mean the other.
            let moved = now - drag.pressed;
            let (across, along) = (moved.x.abs() > SPACE, moved.y.abs() > SPACE / 2.0);
            let points = self.curve.points();
            let after = |point: usize| {
                points
                    .get(point)
                    .map(|p| to.x * 60.0 - p.time_min)
                    .filter(|_| across)
            };
            drag.after = match knot {
                Knot::Target => {
                    let c = along.then_some(to.y);
                    edits::with_target(&drag.before, c, after(2 * index), self.steps)
                }
                Knot::HoldEnd => match after(2 * index + 1) {
                    Some(min) => edits::with_hold(&drag.before, min, self.steps),
                    None => drag.before.clone(),
                },
            };
        }
        if response.drag_stopped()
            && let Some(drag) = view.drag.take()
        {
            view.fit = Some(drag.fitted);
            change(&drag.before, drag.after, actions);
        }
    }

    /// Arrows move by a step of the controller, with Shift by ten; so do assistive technologies.
    fn keys(
        &self,
        ui: &Ui,
        response: &Response,
        segment: &Segment,
        knot: Knot,
        actions: &mut Vec<Action>,
    ) {
        let id = response.id;
        let arrows = EventFilter {
            horizontal_arrows: true,
            vertical_arrows: true,
            ..Default::default()
        };
        ui.memory_mut(|memory| memory.set_focus_lock_filter(id, arrows));
        let times = |key: Key| -> f64 {
            ui.input_mut(|i| {
                let ten = i.count_and_consume_key(Modifiers::SHIFT, key) as f64;
                ten * 10.0 + i.count_and_consume_key(Modifiers::NONE, key) as f64
            })
        };
        let asked = |action| ui.input(|i| i.num_accesskit_action_requests(id, action)) as f64;
        let aside = times(Key::ArrowRight) - times(Key::ArrowLeft);
        let up = times(Key::ArrowUp) - times(Key::ArrowDown) + asked(accesskit::Action::Increment)
            - asked(accesskit::Action::Decrement);
        if aside != 0.0 || up != 0.0 {
            change(
                segment,
                edits::nudged(segment, knot, aside, up, self.steps),
                actions,
            );
        }
    }

    /// A target is a disc, a hold's end a bar: they differ in shape.
    fn paint_knot(
        &self,
        painter: &Painter,
        at: Pos2,
        knot: Knot,
        response: &Response,
        dragged: bool,
    ) {
        let strong = dragged || response.hovered() || response.has_focus();
        let fill = if strong {
            self.tokens.accent
        } else {
            self.tokens.panel
        };
        let stroke = Stroke::new(BOLD_EDGE * 0.7, self.tokens.curve);
        let radius = SPACE * if strong { 0.75 } else { 0.6 };
        match knot {
            Knot::Target => {
                painter.circle(at, radius, fill, stroke);
            }
            Knot::HoldEnd => {
                let bar = Rect::from_center_size(at, vec2(radius * 1.1, radius * 2.4));
                painter.rect(bar, 1.0, fill, stroke, egui::StrokeKind::Middle);
            }
        }
        if response.has_focus() {
            painter.circle_stroke(at, SPACE * 1.3, Stroke::new(EDGE, self.tokens.accent));
        }
    }
}

/// Where the plot stands on the screen.
struct Seen<'a> {
    area: Rect,
    transform: &'a PlotTransform,
    /// Whether each axis fits itself.
    fitted: Vec2b,
}

fn band_rect(area: Rect, band: &Band, transform: &PlotTransform) -> Rect {
    let y = |c: f64| {
        transform
            .position_from_point_y(c)
            .clamp(area.top(), area.bottom())
    };
    Rect::from_min_max(
        pos2(area.left(), y(band.to_c)),
        pos2(area.right(), y(band.from_c)),
    )
}

/// Lines at 45° through a rectangle, cut at its edges.
fn hatch(rect: Rect, rising: bool) -> Vec<[Pos2; 2]> {
    const APART: f32 = 12.0;
    let (width, height) = (rect.width(), rect.height());
    if !(width > 0.0 && height > 0.0) || width + height > 20_000.0 {
        return Vec::new();
    }
    let count = ((width + height) / APART) as usize;
    let line = |i: usize| {
        // Along the bottom edge from the left, going up to the right at 45°.
        let start = i as f32 * APART - height;
        let (from, to) = (start.max(0.0), (start + height).min(width));
        let mirrored = |x: f32| {
            if rising {
                rect.left() + x
            } else {
                rect.right() - x
            }
        };
        [
            pos2(mirrored(from), rect.bottom() - (from - start)),
            pos2(mirrored(to), rect.bottom() - (to - start)),
        ]
    };
    (1..=count).map(line).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hatching_stays_inside_at_45_degrees() {
        let rect = Rect::from_min_size(pos2(10.0, 20.0), vec2(200.0, 31.0));
        for rising in [true, false] {
            let lines = hatch(rect, rising);
            assert!(lines.len() > 10);
            for [a, b] in lines {
                assert!(rect.expand(0.01).contains(a) && rect.expand(0.01).contains(b));
                let (dx, dy) = (b.x - a.x, b.y - a.y);
                assert!((dx.abs() - dy.abs()).abs() < 1e-3);
                assert_eq!(dx * dy <= 0.0, rising || dx == 0.0);
            }
        }
        assert!(hatch(Rect::NOTHING, true).is_empty());
    }
}
