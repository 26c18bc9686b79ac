//! The setpoint curve over the elapsed time, with the process ranges of the feedstocks behind it
//! and points that can be dragged.

use super::forecast_plot::{Overlay, note_at};
use super::plot_names::{Free, Side};
use super::profile_board::{ProfileView, change, furnace};
use super::profile_edits::{self as edits, Knot, Steps};
use super::profile_table::{Field, no_question, shown};
use super::state::{Action, App};
use super::theme::{BOLD_EDGE, EDGE, SMALL, SPACE, TARGET, Tokens};
use crate::catalogue::Feedstock;
use crate::load::{Edit, Plan};
use crate::profile::{Curve, Phase, Profile, RampBy, Segment, SegmentId};
use crate::text::app as say;
use crate::text::forecast_window as forecast_say;
use crate::units::{self, Quantity};
use egui::{
    Align2, Color32, CursorIcon, EventFilter, FontId, Key, Modifiers, Painter, Pos2, Rect,
    Response, Role, Sense, Shape, Stroke, Ui, Vec2, Vec2b, WidgetInfo, accesskit, pos2, vec2,
};
use egui_plot::{
    GridInput, GridMark, Line, LineStyle, Plot, PlotBounds, PlotPoint, PlotPoints, PlotTransform,
    uniform_grid_spacer,
};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Least height of the curve with its axis, points: below that what is around it has to scroll.
const LEAST: f32 = 230.0;
/// Height of all of it in which a line is kept for what the cursors read, points.
const ROOMY: f32 = 440.0;

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

impl Drag {
    /// Index of the segment, and the segment as it would be on release.
    pub(super) fn becomes(&self) -> (usize, Segment) {
        (self.index, self.after.clone())
    }
}

/// A process range behind the curve.
struct Band {
    name: String,
    /// The same where there is less room.
    short: String,
    from_c: f64,
    to_c: f64,
    color: Color32,
    /// Debind ranges are hatched the other way than sinter ranges.
    rising: bool,
}

fn bands(feedstocks: &[&Feedstock], tokens: &Tokens) -> Vec<Band> {
    let of = |f: &Feedstock, what: &str, from_c: f64, to_c: f64, color, rising| Band {
        name: say::process_range(&f.name, what, from_c, to_c),
        short: say::label(what),
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
    /// The curve with what is said of it, in so much height; where that is not enough it takes more.
    pub(super) fn profile_curve(
        &mut self,
        ui: &mut Ui,
        plan: &Plan,
        room: f32,
        actions: &mut Vec<Action>,
    ) {
        let top = ui.cursor().top();
        let overlay = self.forecast_overlay();
        let profile = &plan.profile;
        let catalogue = &Arc::clone(&self.working.catalogue);
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
        let typing = &mut self.view.typing;
        let read = overlay.as_ref();
        // Where there is room the curve stays where it is when a cursor is set.
        let keep = room > ROOMY;
        ui.horizontal_wrapped(|ui| {
            head(ui, view, &shown_profile, &curve, read);
            cursor_fields(ui, view, typing, &curve, actions);
        });
        pointed_at(ui, view, &shown_profile, &curve, read);
        cursors(ui, view, &shown_profile, &curve, read, keep);
        self.forecast_legend(ui);
        let view = &mut self.view.profile;
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
            overlay,
        };
        let height = (room - (ui.cursor().top() - top)).max(LEAST);
        let (transform, index) = board.show(ui, view, &bands, height, actions);
        if let Some(segment) = index.and_then(|i| profile.segments.get(i)) {
            self.view.segment = Some(segment.id);
        }
        self.keep_time_axis(ui, &transform);
    }
}

/// Program time and peak.
fn head(
    ui: &mut Ui,
    view: &mut ProfileView,
    profile: &Profile,
    curve: &Curve,
    forecast: Option<&Overlay>,
) {
    let peak = shown(Quantity::Temperature, curve.peak_c());
    let points = curve.points();
    let own_cooling_min: f64 = (0..profile.segments.len())
        .filter(|i| edits::cools_by_itself(profile, *i))
        .filter_map(|i| Some(points.get(2 * i + 1)?.time_min - points.get(2 * i)?.time_min))
        .sum();
    let time = say::clock(curve.total_time_min() - own_cooling_min);
    ui.strong(if own_cooling_min > 0.0 {
        say::program_and_cooling(&time, &peak)
    } else {
        say::program(&time, &peak)
    });
    if let Some(h) = forecast.and_then(Overlay::program_end_h) {
        ui.label(forecast_say::with_waits(&say::clock(h * 60.0)));
    }
    if ui.button(say::label("Show the whole curve")).clicked() {
        view.fit = Some(Vec2b::TRUE);
    }
}

/// What the pointer is on, in one line that keeps its height: the curve must not move away from
/// the pointer.
fn pointed_at(
    ui: &mut Ui,
    view: &ProfileView,
    profile: &Profile,
    curve: &Curve,
    forecast: Option<&Overlay>,
) {
    let read = view.pointer_min.and_then(|min| {
        let read = reading(profile, curve, min)?;
        let Some(forecast) = forecast.filter(|f| f.is_drawn()) else {
            return Some(read);
        };
        let run = forecast.run_h(min / 60.0).map(|h| say::clock(h * 60.0));
        Some(forecast_say::by_the_clock(&read, run.as_deref()))
    });
    ui.add(egui::Label::new(read.unwrap_or_else(say::no_cursor)).truncate());
}

/// Time, setpoint, segment and phase at a time, min.
fn reading(profile: &Profile, curve: &Curve, min: f64) -> Option<String> {
    let (setpoint, next) = (curve.setpoint_at(min)?, next_point(curve, min)?);
    if next.phase == Phase::Ramp && edits::cools_by_itself(profile, next.segment) {
        return Some(say::own_cooling_of(next.segment + 1));
    }
    let phase = match next.phase {
        Phase::Ramp => say::label("ramp"),
        Phase::Hold => say::label("hold"),
    };
    let setpoint = units::show(Quantity::Temperature, setpoint, 0);
    Some(say::cursor(
        &say::clock(min),
        &setpoint,
        next.segment + 1,
        &phase,
    ))
}

/// Time and setpoint at a time, min.
fn short_reading(profile: &Profile, curve: &Curve, min: f64) -> Option<String> {
    let (setpoint, next) = (curve.setpoint_at(min)?, next_point(curve, min)?);
    if next.phase == Phase::Ramp && edits::cools_by_itself(profile, next.segment) {
        return Some(say::own_cooling_of(next.segment + 1));
    }
    let setpoint = units::show(Quantity::Temperature, setpoint, 0);
    Some(say::two_values(&say::clock(min), &setpoint))
}

/// Names of the two cursors on the plot and of their fields.
const CURSORS: [(&str, &str); 2] = [("A", "Cursor A"), ("B", "Cursor B")];

/// The times of the two cursors, which can be typed.
fn cursor_fields(
    ui: &mut Ui,
    view: &mut ProfileView,
    typing: &mut BTreeMap<String, String>,
    curve: &Curve,
    actions: &mut Vec<Action>,
) {
    let total_min = curve.total_time_min();
    for ((_, cursor), min) in CURSORS.iter().zip(&mut view.cursors_min) {
        let name = say::label(cursor);
        ui.label(&name);
        let key = format!("profile {cursor}");
        let field = Field {
            key: &key,
            name: &name,
            quantity: Quantity::Time,
            optional: true,
        };
        let rounded = min.map(|min| min.round());
        ui.allocate_ui(vec2(TARGET * 3.5, TARGET), |ui| {
            let typed = field.show(ui, typing, rounded, &no_question, actions, &mut false);
            match typed {
                Some(Some(typed)) if !(0.0..=total_min).contains(&typed) => {
                    let end = say::clock(total_min);
                    actions.push(Action::Say(say::after_the_end(&end)));
                }
                Some(typed) => *min = typed,
                None => {}
            }
        });
    }
    let some = view.cursors_min.iter().any(Option::is_some);
    let button = egui::Button::new(say::label("Clear"));
    let name = say::label("Take the cursors away");
    let button = ui.add_enabled(some, button).on_hover_text(&name);
    button.widget_info(|| WidgetInfo::labeled(Role::Button, some, &name));
    if button.clicked() {
        view.cursors_min = [None; 2];
    }
}

/// What the cursors read, and what lies between; a line is kept for it where there is room.
fn cursors(
    ui: &mut Ui,
    view: &ProfileView,
    profile: &Profile,
    curve: &Curve,
    forecast: Option<&Overlay>,
    keep: bool,
) {
    if !keep && view.cursors_min.iter().all(Option::is_none) {
        return;
    }
    let total_min = curve.total_time_min();
    ui.horizontal_wrapped(|ui| {
        let mut words = Vec::new();
        for ((cursor, _), min) in CURSORS.iter().zip(view.cursors_min) {
            if let Some(min) = min {
                let end = || say::after_the_end(&say::clock(total_min));
                let read = short_reading(profile, curve, min).unwrap_or_else(end);
                let there = forecast.and_then(|f| f.read_all(min / 60.0));
                let read = match there {
                    Some(there) => forecast_say::both_clocks(&read, &say::clock(min), &there),
                    None => read,
                };
                words.push(say::cursor_named(cursor, &read));
            }
        }
        if let [Some(a), Some(b)] = view.cursors_min {
            words.extend(between(profile, curve, a, b));
        }
        if words.is_empty() {
            words.push(String::new());
        }
        for words in words {
            ui.label(words);
        }
    });
}

/// What lies between two times, min: none where one is outside the program.
fn between(profile: &Profile, curve: &Curve, a_min: f64, b_min: f64) -> Option<String> {
    let (from, to) = (a_min.min(b_min), a_min.max(b_min));
    let points = curve.points();
    let open = (0..profile.segments.len()).any(|i| {
        let ends = points.get(2 * i).zip(points.get(2 * i + 1));
        let meets = ends.is_some_and(|(s, e)| s.time_min < to && e.time_min > from);
        meets && edits::cools_by_itself(profile, i)
    });
    let dc = curve.setpoint_at(b_min)? - curve.setpoint_at(a_min)?;
    if open {
        return Some(say::own_cooling());
    }
    let dt = b_min - a_min;
    let signed = |quantity, value: f64, digits| {
        let shown = units::show(quantity, value, digits);
        if value > 0.0 {
            format!("+{shown}")
        } else {
            shown
        }
    };
    let slope = if dt == 0.0 {
        say::label("none")
    } else {
        signed(Quantity::Rate, dc / dt, 2)
    };
    let sign = if dt < 0.0 { "-" } else { "" };
    Some(say::between(
        &format!("{sign}{}", say::clock(dt.abs())),
        &signed(Quantity::TemperatureDifference, dc, 0),
        &slope,
    ))
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
    overlay: Option<Overlay>,
}

impl Board<'_> {
    /// Draws the curve; where it lies, and the index of a segment that was picked.
    fn show(
        &self,
        ui: &mut Ui,
        view: &mut ProfileView,
        bands: &[Band],
        height: f32,
        actions: &mut Vec<Action>,
    ) -> (PlotTransform, Option<usize>) {
        let painter = ui.painter().clone();
        // Ground, ranges and forecast lie behind the curve, but where is known only after it.
        let (behind, band) = (painter.add(Shape::Noop), painter.add(Shape::Noop));
        let runs = self.runs();
        let selected = self.picked.map(|i| self.leg(2 * i, 2 * i + 2));
        let selected = selected.filter(|leg| leg.len() > 1);
        let (fit, drag_bounds) = (view.fit.take(), view.drag.as_ref().map(|d| d.bounds));
        let free = !view.hot && view.drag.is_none();
        let two_clocks = self.overlay.as_ref().is_some_and(Overlay::is_drawn);
        let time = match two_clocks {
            true => forecast_say::two_clocks_axis(),
            false => say::label("Elapsed time, h"),
        };
        let mut plot = Plot::new("profile-curve")
            .height(height)
            .show_background(false)
            .allow_drag(free)
            .allow_scroll(false)
            .allow_axis_zoom_drag(false)
            .label_formatter(|_| None)
            .grid_color(self.tokens.line)
            .x_grid_spacer(uniform_grid_spacer(grid))
            .y_grid_spacer(uniform_grid_spacer(grid))
            .x_axis_formatter(|mark, _| at_mark(mark))
            .y_axis_formatter(|mark, _| at_mark(mark))
            .x_axis_label(time)
            .y_axis_label(say::label("Setpoint, °C"))
            .include_x(0.0)
            .include_y(0.0);
        for band in bands {
            plot = plot.include_y(band.to_c);
        }
        if let Some(until_h) = self.overlay.as_ref().and_then(Overlay::until_h) {
            plot = plot.include_x(until_h);
        }
        let tokens = self.tokens;
        let out = plot.show(ui, |plot| {
            if let Some(bounds) = drag_bounds {
                plot.set_plot_bounds(bounds);
            } else if let Some(fit) = fit {
                plot.set_auto_bounds(fit);
            }
            let line = |name: &str, points: Vec<[f64; 2]>, color, width| {
                Line::new(say::label(name), PlotPoints::from(points))
                    .color(color)
                    .width(width)
                    .allow_hover(false)
            };
            // The selection is a wide line under the curve, so that the curve keeps its form.
            if let Some(leg) = selected {
                plot.line(line(
                    "Selected segment",
                    leg,
                    tokens.accent,
                    BOLD_EDGE * 2.4,
                ));
            }
            for (points, forecast) in runs {
                let curve = line("Setpoint", points, tokens.curve, BOLD_EDGE * 0.8);
                plot.line(if forecast {
                    curve
                } else {
                    curve.style(LineStyle::dashed_dense())
                });
            }
            plot.auto_bounds()
        });
        let (response, transform, fitted) = (out.response, out.transform, out.inner);
        let area = *transform.frame();
        painter.set(behind, Shape::Vec(self.ground(area, bands, &transform)));
        let clipped = painter.with_clip_rect(area.intersect(painter.clip_rect()));
        if let Some(overlay) = &self.overlay {
            let shapes = overlay.shapes(area, &transform, tokens);
            clipped.set(band, Shape::Vec(shapes));
        }
        self.names(ui, &clipped, area, bands, &transform);
        self.paint_cursors(&clipped, area, view, &transform);
        let peak = shown(Quantity::Temperature, self.curve.peak_c());
        let time = say::clock(self.curve.total_time_min());
        let summary = say::curve_summary(&peak, &time, self.profile.segments.len());
        response.widget_info(|| WidgetInfo::labeled(Role::Figure, true, &summary));

        let pointer = response
            .hover_pos()
            .map(|at| transform.value_from_position(at).x * 60.0)
            .filter(|min| (0.0..=self.curve.total_time_min()).contains(min));
        if pointer != view.pointer_min {
            // It is written above the curve, which this pass has drawn already.
            view.pointer_min = pointer;
            ui.ctx().request_repaint();
        }
        let over = response.hover_pos().filter(|at| area.contains(*at));
        let over_h = over.map(|at| transform.value_from_position(at).x);
        let noted = view.drag.is_none() && !view.hot;
        if over_h != view.forecast.pointer_h && over_h.is_some() {
            view.forecast.pointer_h = over_h;
        }
        let mut picked = None;
        if response.clicked() {
            let shift = ui.input(|i| i.modifiers.shift);
            if let (Some(min), [a, b]) = (pointer, &mut view.cursors_min) {
                *(if shift { b } else { a }) = Some(min.round());
            }
            picked = pointer
                .filter(|_| !shift)
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
        // Over the points: what is read lies on top.
        if let (Some(overlay), Some(at), Some(h)) = (&self.overlay, over, over_h)
            && noted
        {
            let mut lines = overlay.read(h);
            if !lines.is_empty() {
                lines.insert(0, overlay.read_clocks(h));
            }
            note_at(&painter, area, at, &lines, tokens);
        }
        (transform, picked)
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

    /// Corners of the curve from one point to another, h and °C, without those that take no time.
    fn leg(&self, from: usize, to: usize) -> Vec<[f64; 2]> {
        let points = self.curve.points().get(from..=to).unwrap_or_default();
        let mut corners: Vec<[f64; 2]> = points
            .iter()
            .map(|p| [p.time_min / 60.0, p.setpoint_c])
            .collect();
        corners.dedup();
        corners
    }

    /// The curve in stretches, and whether each is forecast: a ramp in which the furnace cools by
    /// itself is not.
    fn runs(&self) -> Vec<(Vec<[f64; 2]>, bool)> {
        let (mut runs, mut from) = (Vec::new(), 0);
        let last = self.curve.points().len().saturating_sub(1);
        for index in
            (0..self.profile.segments.len()).filter(|i| edits::cools_by_itself(self.profile, *i))
        {
            let start = 2 * index;
            runs.push((self.leg(from, start), true));
            runs.push((self.leg(start, start + 1), false));
            from = start + 1;
        }
        runs.push((self.leg(from, last), true));
        runs.retain(|(corners, _)| corners.len() > 1);
        runs
    }

    /// Names of the ranges, of stretches that are not forecast and of the marks, where they cover
    /// neither points nor lines. What finds no such place is told when it is pointed at.
    fn names(
        &self,
        ui: &Ui,
        painter: &Painter,
        area: Rect,
        bands: &[Band],
        transform: &PlotTransform,
    ) {
        let corners: Vec<Pos2> = self
            .curve
            .points()
            .iter()
            .map(|p| position(transform, p.time_min, p.setpoint_c))
            .collect();
        let overlay = self.overlay.as_ref();
        let marks = overlay.map_or_else(Vec::new, |o| o.marks(area, transform));
        let lines = overlay.map_or_else(Vec::new, |o| o.in_the_way(area, transform, &marks));
        let mut free = Free {
            area,
            corners: &corners,
            lines: &lines,
            taken: Vec::new(),
        };
        let mut write = |names: &[&str], salt: usize, near: Rect, side: Side| {
            let font = FontId::proportional(SMALL + 1.0);
            let laid = names.iter().map(|name| {
                painter.layout_no_wrap((*name).to_owned(), font.clone(), self.tokens.text)
            });
            let found = laid.into_iter().find_map(|galley| {
                let size = galley.size() + vec2(SPACE, 0.0);
                Some((free.place(size, near, side)?, galley))
            });
            let at = found.as_ref().map_or(near, |(at, _)| *at);
            if let Some((at, galley)) = found {
                painter.rect_filled(at, 2.0, self.tokens.ground.gamma_multiply(0.9));
                painter.galley(at.min + vec2(SPACE / 2.0, 0.0), galley, self.tokens.text);
            }
            let name = names.first().copied().unwrap_or_default();
            let named = ui.interact(at, ui.scope_id().with(("name", salt)), Sense::HOVER);
            named.widget_info(|| WidgetInfo::labeled(Role::Label, true, name));
        };
        // The marks first: they may stand nowhere else.
        for (i, (name, near)) in marks.iter().enumerate() {
            let salt = bands.len() + self.profile.segments.len() + i;
            write(&[name], salt, *near, Side::Line);
        }
        for (i, band) in bands.iter().enumerate() {
            let rect = band_rect(area, band, transform);
            if rect.height() > 0.0 {
                write(&[&band.name, &band.short], i, rect, Side::Right);
            }
        }
        for index in 0..self.profile.segments.len() {
            let ends = corners.get(2 * index).zip(corners.get(2 * index + 1));
            if let Some((a, b)) = ends.filter(|_| edits::cools_by_itself(self.profile, index)) {
                let near = Rect::from_two_pos(*a, *b).intersect(area);
                let name = say::own_cooling_of(index + 1);
                if near.is_positive() {
                    write(&[&name], bands.len() + index, near, Side::Beside);
                }
            }
        }
    }

    /// The two cursors: one solid, one dashed, each with its letter.
    fn paint_cursors(
        &self,
        painter: &Painter,
        area: Rect,
        view: &ProfileView,
        transform: &PlotTransform,
    ) {
        let stroke = Stroke::new(EDGE * 1.5, self.tokens.accent);
        for (i, ((name, _), min)) in CURSORS.iter().zip(view.cursors_min).enumerate() {
            let Some(min) = min else { continue };
            let x = transform.position_from_point_x(min / 60.0);
            let ends = [pos2(x, area.top()), pos2(x, area.bottom())];
            if i == 0 {
                painter.line_segment(ends, stroke);
            } else {
                painter.extend(Shape::dashed_line(&ends, stroke, SPACE, SPACE / 2.0));
            }
            let font = FontId::proportional(SMALL + 2.0);
            let galley = painter.layout_no_wrap(say::label(name), font, self.tokens.text);
            let corner = pos2(x + SPACE / 2.0, area.bottom() - SPACE / 2.0);
            let ground = Align2::LEFT_BOTTOM.anchor_size(corner, galley.size());
            painter.rect_filled(ground.expand(2.0), 2.0, self.tokens.panel);
            painter.galley(ground.min, galley, self.tokens.text);
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

fn position(transform: &PlotTransform, time_min: f64, c: f64) -> Pos2 {
    transform.position_from_point(&PlotPoint::new(time_min / 60.0, c))
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

/// Grid lines at a power of ten, five and ten of it: at least as far apart as asked for.
fn grid(input: GridInput) -> [f64; 3] {
    let mut step = 1e-6;
    while step < input.base_step_size && step < 1e9 {
        step *= 10.0;
    }
    [step, 5.0 * step, 10.0 * step]
}

/// The number at a grid line, with as many decimals as its step has.
fn at_mark(mark: GridMark) -> String {
    let decimals = (-libm::log10(mark.step_size)).ceil().clamp(0.0, 6.0) as usize;
    format!("{:.decimals$}", mark.value)
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
