//! The plan of the level to scale: setter, posts, zones and true outlines; dragging with live
//! clearance, turning, selecting, measuring.

use super::canvas::{Camera, ruler_step_mm};
use super::shapes::{Drawn, plate};
use super::snap::{Boxed, Face, Targets, snapped};
use super::state::{Action, App, Results, worst_of_placements};
use super::theme::{self, Tokens};
use crate::catalogue::{Catalogue, Severity};
use crate::document::{Preview, PreviewGaps, preview_gaps};
use crate::geometry::P2;
use crate::geometry::Region;
use crate::load::{Carrier, Level, Neighbour, Placement, PlacementId, Plan, Stack};
use crate::review::Subject;
use crate::text::app as say;
use crate::units::{Quantity, show};
use egui::epaint::PathShape;
use egui::{
    Align2, Color32, CursorIcon, EventFilter, FontId, Id, Key, Painter, Pos2, Rect, Role, Sense,
    Shape, Stroke, Ui, Vec2, WidgetInfo, pos2, vec2,
};
use std::collections::BTreeSet;
use std::f32::consts::TAU;
use std::sync::Arc;

/// How near the pointer has to come for a snap, points.
const SNAP_REACH: f32 = 8.0;
/// Distance of the turning handle from the box, points.
const HANDLE: f32 = 22.0;

/// Room around a fitted setter, for the names at its edges, mm.
const ROOM_MM: f64 = 16.0;

/// Room around what a finding is about, mm.
const FRAME_MM: f64 = 40.0;

/// What the pointer holds.
#[derive(Clone, Debug, PartialEq)]
enum Hold {
    /// Selected things, grabbed at a plan point.
    Things { from_mm: [f64; 2] },
    /// The turning handle.
    Handle { from_deg: f64 },
    /// A box over the ground.
    Box { from: Pos2 },
    /// The view.
    View,
}

/// One placement as drawn.
struct Seen {
    placement: Placement,
    drawn: Arc<Drawn>,
    severity: Option<Severity>,
}

impl Seen {
    fn boxed(&self) -> Boxed {
        let anchor = self.placement.at_mm;
        let at = |p: P2| [p[0] + anchor[0], p[1] + anchor[1]];
        let [low, high] = self.drawn.bounds.unwrap_or_default().map(at);
        Boxed { low, high, anchor }
    }

    /// Whether a plan point lies on it.
    fn covers(&self, at: [f64; 2]) -> bool {
        let anchor = self.placement.at_mm;
        self.drawn.covers([at[0] - anchor[0], at[1] - anchor[1]])
    }
}

impl App {
    pub(super) fn plan_view(&mut self, ui: &mut Ui, results: &Results, actions: &mut Vec<Action>) {
        let plan = Arc::clone(&results.plan);
        let Some((stack, level)) = self.view.level.and_then(|id| plan.level(id)) else {
            ui.centered_and_justified(|ui| ui.label(say::no_level()));
            return;
        };
        let size = ui.available_size().max(vec2(120.0, 120.0));
        let (whole, canvas) = ui.allocate_exact_size(size, Sense::click_and_drag());
        let rect = Rect::from_min_max(
            whole.min + vec2(theme::RULER, 0.0),
            whole.max - vec2(0.0, theme::RULER),
        );
        let id = canvas.id;
        let catalogue = Arc::clone(&self.working.catalogue);
        let fitted = self.view.camera;
        let fitted = fitted.unwrap_or_else(|| fitting(rect, level, &catalogue));
        let camera = self.look(ui, &canvas, rect, fitted);
        self.view.shown = camera;

        let gaps = self.preview_of(results, &catalogue);
        let seen = self.seen(level, results, &catalogue);
        let face = snap_face(level, &catalogue, results.caps.edge_mm);
        self.pointer(ui, &canvas, rect, camera, &seen, face, actions);
        self.arrows(ui, id, &seen, level, actions);

        if std::mem::take(&mut self.view.frame)
            && let Some(camera) = framing(rect, &seen, &self.view.selection)
        {
            self.view.camera = Some(camera);
            ui.ctx().request_repaint();
        }
        let tokens = Tokens::of(ui.ctx());
        let painter = ui.painter_at(whole);
        painter.rect_filled(whole, 0.0, tokens.ground);
        let inner = ui.painter_at(rect);
        let view = Drawing {
            painter: &inner,
            rect,
            camera,
            tokens,
            names: std::cell::RefCell::default(),
        };
        view.setter(level, stack, &self.working.catalogue);
        view.furnace(stack, &self.working.catalogue, &plan);
        // What is selected lies on top: a drag must not vanish under what it touches.
        for selected in [false, true] {
            let mine = |s: &&Seen| self.view.selection.contains(&s.placement.id) == selected;
            for one in seen.iter().filter(mine) {
                view.thing(one, selected, alarm(one, gaps.as_ref()));
            }
        }
        if let Some(gaps) = &gaps {
            view.gaps(gaps, &seen);
        }
        self.live = gaps;
        self.view.handle = self.handle_at(&seen, rect, camera);
        if let Some(handle) = self.view.handle {
            view.handle(handle);
        }
        if let Some(measure) = self.view.measure {
            view.measure(measure.from_mm, measure.to_mm);
        }
        view.rulers(&painter, whole);
        self.named(ui, id, rect, camera, &seen, results);
        let handle = self.view.handle;
        for (i, (area, name)) in view
            .around(level, stack, &catalogue, &plan)
            .into_iter()
            .enumerate()
        {
            let area = Rect::from_min_max(rect.clamp(area.min), rect.clamp(area.max));
            let drawn = ui.interact(area, id.with(("drawn", i)), Sense::HOVER);
            drawn.widget_info(|| WidgetInfo::labeled(Role::Image, true, &name));
        }
        if let Some(at) = handle {
            let area = Rect::from_center_size(at, Vec2::splat(theme::TARGET));
            let drawn = ui.interact(area, id.with("handle"), Sense::HOVER);
            let name = say::label("Turning handle");
            drawn.widget_info(|| WidgetInfo::labeled(Role::Image, true, &name));
        }
        let measured = self.view.measure.and_then(|m| m.from_mm.zip(m.to_mm));
        if let Some((from, to)) = measured {
            let area = Rect::from_two_pos(view.at(from), view.at(to)).intersect(rect);
            let drawn = ui.interact(area, id.with("measured"), Sense::HOVER);
            let name = measured_between(from, to);
            drawn.widget_info(|| WidgetInfo::labeled(Role::Image, true, &name));
        }
        // Not before the nodes are there: to them this click was one elsewhere, which ends a focus.
        let wanted = ui.data_mut(|d| d.remove_temp::<Option<Id>>(id.with("focus")));
        if let Some(focus) = wanted.flatten() {
            ui.memory_mut(|m| m.request_focus(focus));
        }
        let summary = say::plan_summary(&plan.level_label(level.id), seen.len(), camera.zoom);
        canvas.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, summary.clone()));
    }

    /// Wheel zooms about the pointer, the middle or secondary button moves the view.
    fn look(&mut self, ui: &Ui, canvas: &egui::Response, rect: Rect, from: Camera) -> Camera {
        let mut camera = from;
        if let Some(at) = canvas.hover_pos().filter(|at| rect.contains(*at)) {
            let (scroll, pinch) = ui.input(|i| (i.smooth_scroll_delta().y, i.zoom_delta()));
            let factor = (scroll / 300.0).exp() * pinch;
            if factor != 1.0 {
                camera.zoom_about(rect, at, factor);
            }
        }
        let panning = canvas.dragged_by(egui::PointerButton::Middle)
            || canvas.dragged_by(egui::PointerButton::Secondary);
        if panning {
            camera.pan(canvas.drag_delta());
        }
        if camera != from {
            self.view.camera = Some(camera);
        }
        camera
    }

    /// Gaps of the drag; a thermocouple's tip belongs close to a part, so that is no gap.
    fn preview_of(&mut self, results: &Results, catalogue: &Catalogue) -> Option<PreviewGaps> {
        let preview = self.view.preview.as_ref()?;
        let (plan, caps) = (&results.plan, &results.caps);
        let furnace = catalogue.furnace(&plan.load.furnace)?;
        let derived = &mut self.doc.derived;
        let mut gaps = preview_gaps(preview, plan, catalogue, furnace, caps, derived);
        let is_tip = |id| plan.placement(id).is_some_and(|(_, p)| p.item.is_tip());
        gaps.pairs.retain(|gap| !is_tip(gap.a) && !is_tip(gap.b));
        Some(gaps)
    }

    /// What stands on the level, where it would stand if the drag ended now.
    fn seen(&mut self, level: &Level, results: &Results, catalogue: &Catalogue) -> Vec<Seen> {
        let preview = self.view.preview.clone();
        // While something is dragged, what the review said of it where it stood no longer holds.
        let without = preview.as_ref().map(|moving| {
            let of_moving = |subject: &Subject| match subject {
                Subject::Placement(id) => moving.ids.contains(id),
                _ => false,
            };
            let findings = results.review.findings.iter();
            worst_of_placements(
                &results.plan,
                findings.filter(|f| !f.subjects.iter().any(of_moving)),
            )
        });
        let worst = without.as_ref().unwrap_or(&results.worst.placements);
        level
            .placements
            .iter()
            .map(|p| {
                let mut placement = p.clone();
                if let Some(preview) = preview.as_ref().filter(|v| v.ids.contains(&p.id)) {
                    placement.at_mm[0] += preview.delta_mm[0];
                    placement.at_mm[1] += preview.delta_mm[1];
                    placement.angle_deg += preview.delta_deg;
                }
                let (item, angle_deg) = (&placement.item, placement.angle_deg);
                let drawn = self.shapes.of(item, self.view.stage, angle_deg, catalogue);
                Seen {
                    severity: worst.get(&p.id).copied(),
                    placement,
                    drawn,
                }
            })
            .collect()
    }

    #[expect(
        clippy::too_many_arguments,
        reason = "one frame's worth of what the pointer meets"
    )]
    fn pointer(
        &mut self,
        ui: &Ui,
        canvas: &egui::Response,
        rect: Rect,
        camera: Camera,
        seen: &[Seen],
        face: Option<Face>,
        actions: &mut Vec<Action>,
    ) {
        let hold_id = canvas.id.with("hold");
        let mut hold: Option<Hold> = ui.data(|d| d.get_temp::<Option<Hold>>(hold_id)).flatten();
        let press = ui.input(|i| i.pointer.press_origin());
        let now = ui.input(|i| i.pointer.latest_pos());
        let adding = ui.input(|i| i.modifiers.shift || i.modifiers.command);
        let under = |at: Pos2| {
            let at = camera.to_plan(rect, at);
            seen.iter()
                .rev()
                .find(|s| s.covers(at))
                .map(|s| s.placement.id)
        };
        if let Some(at) = now.filter(|at| rect.contains(*at)) {
            let over_handle = self
                .handle_at(seen, rect, camera)
                .is_some_and(|h| h.distance(at) < theme::SPACE);
            if over_handle || under(at).is_some() {
                ui.ctx().set_cursor_icon(CursorIcon::Grab);
            }
        }
        if let Some(measure) = &mut self.view.measure {
            if canvas.clicked()
                && let Some(at) = canvas.interact_pointer_pos()
            {
                let at = camera.to_plan(rect, at);
                match (measure.from_mm, measure.to_mm) {
                    (Some(_), None) => measure.to_mm = Some(at),
                    _ => (measure.from_mm, measure.to_mm) = (Some(at), None),
                }
            }
            return;
        }
        if canvas.clicked()
            && let Some(at) = canvas.interact_pointer_pos()
        {
            let hit = under(at);
            self.choose(hit, adding);
            let focus = hit.map_or(canvas.id, |h| canvas.id.with(h.0));
            ui.data_mut(|d| d.insert_temp(canvas.id.with("focus"), Some(focus)));
        }
        if canvas.drag_started_by(egui::PointerButton::Primary)
            && let Some(from) = press.filter(|p| rect.contains(*p))
        {
            let from_mm = camera.to_plan(rect, from);
            let handle = self.handle_at(seen, rect, camera);
            hold = Some(
                if handle.is_some_and(|h| h.distance(from) < theme::SPACE * 1.5) {
                    Hold::Handle {
                        from_deg: self.bearing(seen, from_mm),
                    }
                } else if let Some(hit) = under(from) {
                    if !self.view.selection.contains(&hit) {
                        self.choose(Some(hit), adding);
                    }
                    Hold::Things { from_mm }
                } else if ui.input(|i| i.modifiers.alt) {
                    Hold::View
                } else {
                    Hold::Box { from }
                },
            );
        }
        let escape = ui.input(|i| i.key_pressed(Key::Escape));
        if escape && hold.is_some() {
            hold = None;
            self.view.preview = None;
            ui.ctx().stop_dragging();
            // Escape takes the focus too; the arrows go on meaning what is selected.
            ui.memory_mut(|m| m.request_focus(canvas.id));
            ui.ctx().request_repaint();
        }
        if let (Some(held), Some(at)) = (&hold, now) {
            let at_mm = camera.to_plan(rect, at);
            match held {
                Hold::Things { from_mm } => {
                    let delta = [at_mm[0] - from_mm[0], at_mm[1] - from_mm[1]];
                    self.drag_to(delta, seen, face, camera);
                }
                Hold::Handle { from_deg } => {
                    let step = if ui.input(|i| i.modifiers.shift) {
                        0.1
                    } else {
                        5.0
                    };
                    let by = ((self.bearing(seen, at_mm) - from_deg) / step).round() * step;
                    self.preview(|p| p.delta_deg = by);
                }
                Hold::Box { from } => {
                    let area = Rect::from_two_pos(*from, at);
                    if !canvas.drag_stopped() {
                        let tokens = Tokens::of(ui.ctx());
                        let stroke = Stroke::new(theme::EDGE, tokens.accent);
                        ui.ctx().debug_painter().with_clip_rect(rect).rect_stroke(
                            area,
                            0.0,
                            stroke,
                            egui::StrokeKind::Inside,
                        );
                    } else {
                        let inside = seen
                            .iter()
                            .filter(|s| area.contains(camera.to_screen(rect, s.placement.at_mm)));
                        if !adding {
                            self.view.selection.clear();
                        }
                        self.view.selection.extend(inside.map(|s| s.placement.id));
                    }
                }
                Hold::View => {
                    let mut camera = camera;
                    camera.pan(canvas.drag_delta());
                    self.view.camera = Some(camera);
                }
            }
        }
        if canvas.drag_stopped() {
            hold = None;
            if let Some(preview) = self.view.preview.take()
                && let Some(edit) = preview.to_edit(self.doc.plan())
            {
                actions.push(Action::Edit(edit));
            }
        }
        ui.data_mut(|d| d.insert_temp(hold_id, hold));
    }

    /// Makes a hit the selection, or adds it.
    fn choose(&mut self, hit: Option<PlacementId>, adding: bool) {
        if !adding {
            self.view.selection.clear();
        }
        if let Some(id) = hit
            && !self.view.selection.insert(id)
        {
            self.view.selection.remove(&id);
        }
    }

    fn preview(&mut self, change: impl FnOnce(&mut Preview)) {
        let plan = self.doc.plan();
        let free = |id: &&PlacementId| plan.placement(**id).is_some_and(|(_, p)| !p.locked);
        let ids: Vec<PlacementId> = self.view.selection.iter().filter(free).copied().collect();
        let mut preview = Preview {
            ids,
            ..Preview::default()
        };
        change(&mut preview);
        if preview.ids.is_empty() {
            self.message = say::all_locked();
        } else {
            self.view.preview = Some(preview);
        }
    }

    fn drag_to(&mut self, delta: [f64; 2], seen: &[Seen], face: Option<Face>, camera: Camera) {
        let already = self
            .view
            .preview
            .as_ref()
            .map_or([0.0, 0.0], |p| p.delta_mm);
        // Boxes of what is seen include the running preview; the snap wants them without it.
        let back = |v: [f64; 2]| [v[0] - already[0], v[1] - already[1]];
        let Some(moving) = around_selected(seen, &self.view.selection) else {
            return;
        };
        let moving = Boxed {
            low: back(moving.low),
            high: back(moving.high),
            anchor: back(moving.anchor),
        };
        let is_moving = |s: &&Seen| self.view.selection.contains(&s.placement.id);
        let others = seen
            .iter()
            .filter(|s| !is_moving(s))
            .map(Seen::boxed)
            .collect();
        let targets = Targets { face, others };
        let reach = f64::from(SNAP_REACH / camera.zoom);
        let delta_mm = snapped(&self.view.snap, &moving, delta, &targets, reach);
        self.preview(|p| p.delta_mm = delta_mm);
    }

    /// Direction from the middle of the selection to a plan point, degrees.
    fn bearing(&self, seen: &[Seen], at: [f64; 2]) -> f64 {
        let chosen: Vec<&Seen> = seen
            .iter()
            .filter(|s| self.view.selection.contains(&s.placement.id))
            .collect();
        let n = chosen.len().max(1) as f64;
        let middle = |k: usize| chosen.iter().map(|s| s.placement.at_mm[k]).sum::<f64>() / n;
        libm::atan2(at[1] - middle(1), at[0] - middle(0)).to_degrees()
    }

    /// Where the turning handle of the selection is drawn.
    fn handle_at(&self, seen: &[Seen], rect: Rect, camera: Camera) -> Option<Pos2> {
        let boxed = around_selected(seen, &self.view.selection)?;
        let top = camera.to_screen(rect, [(boxed.low[0] + boxed.high[0]) / 2.0, boxed.high[1]]);
        Some(top - vec2(0.0, HANDLE))
    }

    /// Arrow keys nudge the selection while the plan or a thing on it has the focus.
    fn arrows(
        &mut self,
        ui: &Ui,
        canvas: Id,
        seen: &[Seen],
        level: &Level,
        actions: &mut Vec<Action>,
    ) {
        let focused = ui.memory(|m| m.focused());
        let mine =
            |id: Id| id == canvas || seen.iter().any(|s| canvas.with(s.placement.id.0) == id);
        let Some(id) = focused.filter(|id| mine(*id)) else {
            return;
        };
        let filter = EventFilter {
            horizontal_arrows: true,
            vertical_arrows: true,
            ..EventFilter::default()
        };
        ui.memory_mut(|m| m.set_focus_lock_filter(id, filter));
        let step = self.view.nudge_mm;
        let keys = [
            (Key::ArrowLeft, [-step, 0.0]),
            (Key::ArrowRight, [step, 0.0]),
            (Key::ArrowUp, [0.0, step]),
            (Key::ArrowDown, [0.0, -step]),
        ];
        for (key, by) in keys {
            if !self.view.selection.is_empty() && ui.input(|i| i.key_pressed(key)) {
                let on_level = |id: &PlacementId| level.placements.iter().any(|p| p.id == *id);
                let ids = self
                    .view
                    .selection
                    .iter()
                    .copied()
                    .filter(on_level)
                    .collect();
                let nudge = Preview {
                    ids,
                    delta_mm: by,
                    delta_deg: 0.0,
                };
                actions.extend(nudge.to_edit(self.doc.plan()).map(Action::Nudge));
            }
        }
    }

    /// One named node a placement, for assistive technology, tests and the Tab key.
    fn named(
        &mut self,
        ui: &mut Ui,
        canvas: Id,
        rect: Rect,
        camera: Camera,
        seen: &[Seen],
        results: &Results,
    ) {
        let labels = &results.labels;
        for one in seen {
            let boxed = one.boxed();
            let area = Rect::from_two_pos(
                camera.to_screen(rect, boxed.low),
                camera.to_screen(rect, boxed.high),
            );
            // What is out of sight lies on the nearest edge: an empty place, but on the plan.
            let area = Rect::from_min_max(rect.clamp(area.min), rect.clamp(area.max));
            let placement = &one.placement;
            let id = canvas.with(placement.id.0);
            let response = ui.interact(area, id, Sense::focusable_noninteractive());
            let label = labels.get(&placement.id).map_or("", String::as_str);
            let selected = self.view.selection.contains(&placement.id);
            response
                .widget_info(|| WidgetInfo::selected(Role::ListBoxOption, true, selected, label));
            // Only where somebody listens.
            ui.ctx().accesskit_node_builder(id, |node| {
                node.set_description(description(placement, results));
            });
            let asked = ui
                .input(|i| i.num_accesskit_action_requests(id, egui::accesskit::Action::Click) > 0);
            if asked || (response.gained_focus() && !ui.input(|i| i.pointer.any_down())) {
                self.choose(Some(placement.id), false);
            }
            let toggled = response.has_focus() && ui.input(|i| i.key_pressed(Key::Space));
            if toggled {
                self.choose(Some(placement.id), true);
            }
        }
    }
}

/// Where a placement stands and the worst that is found of it.
fn description(placement: &Placement, results: &Results) -> String {
    let place = placement.at_mm.map(|v| show(Quantity::Length, v, 2));
    let subject = Subject::Placement(placement.id);
    let findings = &results.review.findings;
    let finding = findings
        .iter()
        .find(|f| f.accepted.is_none() && f.subjects.contains(&subject));
    let finding = finding
        .and_then(|f| crate::text::findings::prose(f.check))
        .map_or_else(say::no_finding, |words| say::label(words.title));
    say::placed_at(&place.join(", "), placement.angle_deg, &finding)
}

/// The camera that shows the whole setter with some room around it.
fn fitting(rect: Rect, level: &Level, catalogue: &Catalogue) -> Camera {
    let setter = catalogue.setter(&level.setter);
    let [low, high] = setter.map_or([[-150.0; 2], [150.0; 2]], |s| s.shape.bounds_mm());
    let (low, high) = (low.map(|v| v - ROOM_MM), high.map(|v| v + ROOM_MM));
    Camera::fitting(low, high, rect)
}

/// The face of a level's setter less the edge margin.
fn snap_face(level: &Level, catalogue: &Catalogue, edge_mm: f64) -> Option<Face> {
    let setter = catalogue.setter(&level.setter)?;
    let less = setter.rim_mm() + edge_mm;
    Some(match setter.shape.region(less) {
        Region::Rectangle { width_mm, depth_mm } => Face::Box([width_mm / 2.0, depth_mm / 2.0]),
        Region::Disc { diameter_mm } => Face::Disc(diameter_mm / 2.0),
        Region::Polygon(outline) => Face::Polygon(outline),
    })
}

/// The box around what is selected; none where nothing of it is here.
fn around_selected(seen: &[Seen], selected: &BTreeSet<PlacementId>) -> Option<Boxed> {
    let mine = seen.iter().filter(|s| selected.contains(&s.placement.id));
    mine.map(Seen::boxed).reduce(Boxed::and)
}

/// The camera that shows what is selected with its neighbours; none where nothing of it is here.
fn framing(rect: Rect, seen: &[Seen], selected: &BTreeSet<PlacementId>) -> Option<Camera> {
    let all = around_selected(seen, selected)?;
    let low = all.low.map(|v| v - FRAME_MM);
    Some(Camera::fitting(low, all.high.map(|v| v + FRAME_MM), rect))
}

/// Severity at which a thing is drawn: what the drag does to it now, or what the review says.
fn alarm(one: &Seen, gaps: Option<&PreviewGaps>) -> Option<Severity> {
    let Some(gaps) = gaps else {
        return one.severity;
    };
    let id = one.placement.id;
    let pairs = gaps.pairs.iter().filter(|g| g.a == id || g.b == id);
    let pairs = pairs.map(|g| near(g.gap_mm));
    let items = gaps.items.iter().filter(|i| i.placement == id);
    let items = items.filter_map(|i| near_to(&i.to, i.gap_mm));
    one.severity.max(pairs.chain(items).max())
}

/// Of two things closer than the gap limit.
fn near(gap_mm: f64) -> Severity {
    if gap_mm <= 0.0 {
        Severity::Stop
    } else {
        Severity::Caution
    }
}

/// Of a thing closer to something else than its limit, as the review judges it; none where only
/// the outside counts and it is inside.
fn near_to(to: &Neighbour, gap_mm: f64) -> Option<Severity> {
    match to {
        Neighbour::WorkZone => (gap_mm < 0.0).then_some(Severity::Caution),
        Neighbour::SetterEdge if gap_mm < 0.0 => Some(Severity::Stop),
        Neighbour::SetterEdge => Some(Severity::Caution),
        _ => Some(near(gap_mm)),
    }
}

/// Draws in plan coordinates.
struct Drawing<'a> {
    painter: &'a Painter,
    rect: Rect,
    camera: Camera,
    tokens: &'a Tokens,
    /// Where names stand already.
    names: std::cell::RefCell<Vec<Rect>>,
}

impl Drawing<'_> {
    fn at(&self, p: [f64; 2]) -> Pos2 {
        self.camera.to_screen(self.rect, p)
    }

    fn length(&self, mm: f64) -> f32 {
        mm as f32 * self.camera.zoom
    }

    fn text(&self, at: Pos2, align: Align2, text: &str, color: Color32) {
        self.painter
            .text(at, align, text, FontId::proportional(theme::SMALL), color);
    }

    /// A name at the first of these places where it is wholly in sight and covers no other; on a
    /// ground of its own, so that lines do not cross it. Left away where there is no room.
    fn name(&self, places: &[(Pos2, Align2)], text: &str, color: Color32) {
        let font = FontId::proportional(theme::SMALL);
        let galley = self.painter.layout_no_wrap(text.to_owned(), font, color);
        let mut taken = self.names.borrow_mut();
        let areas = places.iter().map(|(at, align)| {
            let area = align.anchor_size(*at, galley.size());
            // Pulled in from the edge of the view.
            let low = self.rect.min;
            let high = (self.rect.max - area.size()).max(low);
            Rect::from_min_size(area.min.clamp(low, high), area.size())
        });
        let free = areas.filter(|a| taken.iter().all(|t| !t.intersects(*a)));
        if let Some(area) = free.into_iter().next() {
            self.painter
                .rect_filled(area, 2.0, self.tokens.ground.gamma_multiply(0.8));
            self.painter.galley(area.min, galley, color);
            taken.push(area);
        }
    }

    /// What is drawn beside the things, and what it is called.
    fn around(
        &self,
        level: &Level,
        stack: &Stack,
        catalogue: &Catalogue,
        plan: &Plan,
    ) -> Vec<(Rect, String)> {
        let mut out = Vec::new();
        let round = |at: [f64; 2], radius_mm: f64| {
            Rect::from_center_size(self.at(at), Vec2::splat(2.0 * self.length(radius_mm)))
        };
        let boxed = |half: [f64; 2], at: [f64; 2]| {
            let corner = |sign: f64| self.at([at[0] + sign * half[0], at[1] + sign * half[1]]);
            Rect::from_two_pos(corner(-1.0), corner(1.0))
        };
        if let Some(setter) = catalogue.setter(&level.setter) {
            let [low, high] = setter.shape.bounds_mm();
            let area = Rect::from_two_pos(self.at(low), self.at(high));
            out.push((area, say::drawn_setter(&setter.name)));
        }
        let above = stack.levels.iter().skip_while(|l| l.id != level.id).nth(1);
        for (of, carries) in [(Some(level), false), (above.map(|l| l.as_ref()), true)] {
            if let Some(Carrier::Posts { post, at_mm }) = of.map(|l| &l.carrier)
                && let Some(post) = catalogue.post(post)
            {
                for (i, at) in at_mm.iter().enumerate() {
                    let area = round(*at, post.diameter_mm / 2.0);
                    out.push((area, say::drawn_post(i + 1, &post.name, carries)));
                }
            }
        }
        if let Some(furnace) = catalogue.furnace(&plan.load.furnace) {
            use crate::catalogue::Space;
            let from = stack.at_mm.map(|v| -v);
            for (space, name) in [
                (&furnace.hot_zone, say::label("hot zone")),
                (&furnace.work_zone, say::label("work zone")),
            ] {
                let area = match *space {
                    Space::Box {
                        width_mm, depth_mm, ..
                    } => boxed([width_mm / 2.0, depth_mm / 2.0], from),
                    Space::Cylinder { diameter_mm, .. } => round(from, diameter_mm / 2.0),
                };
                out.push((area, name));
            }
            for spot in &furnace.forbidden {
                let at = [0, 1].map(|k| spot.at_mm[k] + from[k]);
                out.push((round(at, spot.radius_mm), spot.name.clone()));
            }
        }
        out
    }

    /// Work zone, hot zone and forbidden spots, seen from this stack's setter.
    fn furnace(&self, stack: &Stack, catalogue: &Catalogue, plan: &Plan) {
        use crate::catalogue::Space;
        let Some(furnace) = catalogue.furnace(&plan.load.furnace) else {
            return;
        };
        let [sx, sy] = stack.at_mm;
        let zones = [
            (&furnace.hot_zone, self.tokens.weak, say::label("hot zone")),
            (
                &furnace.work_zone,
                self.tokens.zone,
                say::label("work zone"),
            ),
        ];
        for (space, color, name) in zones {
            let stroke = Stroke::new(theme::EDGE * 1.5, color);
            let label_at = match *space {
                Space::Box {
                    width_mm, depth_mm, ..
                } => {
                    let low = [-width_mm / 2.0 - sx, -depth_mm / 2.0 - sy];
                    let high = [width_mm / 2.0 - sx, depth_mm / 2.0 - sy];
                    let corners = [low, [high[0], low[1]], high, [low[0], high[1]]];
                    self.dashed(&corners.map(|c| self.at(c)), stroke);
                    [low[0], high[1]]
                }
                Space::Cylinder { diameter_mm, .. } => {
                    let centre = self.at([-sx, -sy]);
                    self.painter
                        .circle_stroke(centre, self.length(diameter_mm / 2.0), stroke);
                    [-sx, diameter_mm / 2.0 - sy]
                }
            };
            let at = self.at(label_at);
            let (inside, outside) = (at + vec2(3.0, 2.0), at + vec2(0.0, -2.0));
            let places = [
                (outside, Align2::LEFT_BOTTOM),
                (inside, Align2::LEFT_TOP),
                (inside + vec2(0.0, theme::SMALL * 1.4), Align2::LEFT_TOP),
            ];
            self.name(&places, &name, color);
        }
        for spot in &furnace.forbidden {
            let at = self.at([spot.at_mm[0] - sx, spot.at_mm[1] - sy]);
            let radius = self.length(spot.radius_mm);
            self.painter
                .circle_stroke(at, radius, Stroke::new(theme::EDGE, self.tokens.weak));
            let d = radius * std::f32::consts::FRAC_1_SQRT_2;
            for (a, b) in [(vec2(-d, -d), vec2(d, d)), (vec2(-d, d), vec2(d, -d))] {
                self.painter
                    .line_segment([at + a, at + b], Stroke::new(theme::EDGE, self.tokens.weak));
            }
            let away = radius + 2.0;
            let places = [
                (at + vec2(0.0, away), Align2::CENTER_TOP),
                (at - vec2(0.0, away), Align2::CENTER_BOTTOM),
                (at + vec2(away, 0.0), Align2::LEFT_CENTER),
                (at - vec2(away, 0.0), Align2::RIGHT_CENTER),
            ];
            if self.rect.contains(at) {
                self.name(&places, &spot.name, self.tokens.weak);
            }
        }
    }

    fn dashed(&self, corners: &[Pos2], stroke: Stroke) {
        let mut closed = corners.to_vec();
        closed.extend(corners.first().copied());
        self.painter
            .extend(Shape::dashed_line(&closed, stroke, 6.0, 4.0));
    }

    /// The plate, the posts that stand on it and the posts that carry it, and the door.
    fn setter(&self, level: &Level, stack: &Stack, catalogue: &Catalogue) {
        let stroke = Stroke::new(theme::EDGE * 1.5, self.tokens.setter_edge);
        let Some(setter) = catalogue.setter(&level.setter) else {
            return;
        };
        for less in [0.0, setter.rim_mm()] {
            let at = |p: &[f64; 2]| self.at(*p);
            let drawn = plate(&setter.shape, less, at, self.tokens.setter, stroke);
            self.painter.extend(drawn);
        }
        let [[_, front], _] = setter.shape.bounds_mm();
        let door = self.at([0.0, front]) + vec2(0.0, 5.0);
        let places = [(door, Align2::CENTER_TOP)];
        self.name(&places, &say::label("DOOR SIDE"), self.tokens.weak);
        // Those below are under the plate: dashed.
        if let Carrier::Posts { post, at_mm } = &level.carrier
            && let Some(post) = catalogue.post(post)
        {
            let edge = Stroke::new(theme::EDGE, self.tokens.setter_edge);
            let radius = self.length(post.diameter_mm / 2.0);
            for at in at_mm {
                let around: Vec<Pos2> = (0..=32)
                    .map(|i| self.at(*at) + radius * Vec2::angled(i as f32 * TAU / 32.0))
                    .collect();
                self.painter
                    .extend(Shape::dashed_line(&around, edge, 3.0, 3.0));
            }
        }
        let above = stack.levels.iter().skip_while(|l| l.id != level.id).nth(1);
        if let Some(next) = above
            && let Carrier::Posts { post, at_mm } = &next.carrier
            && let Some(post) = catalogue.post(post)
        {
            for at in at_mm {
                let edge = Stroke::new(theme::EDGE, self.tokens.setter_edge);
                self.painter.circle(
                    self.at(*at),
                    self.length(post.diameter_mm / 2.0),
                    self.tokens.post,
                    edge,
                );
            }
        }
    }

    fn thing(&self, one: &Seen, selected: bool, alarm: Option<Severity>) {
        // One anchor and one factor: the outline is turned already.
        let anchor = self.at(one.placement.at_mm);
        let zoom = self.camera.zoom;
        let shape = |p: &P2| anchor + vec2(p[0] as f32 * zoom, -p[1] as f32 * zoom);
        let production = matches!(one.placement.item, crate::load::Item::Part { .. });
        let (fill, edge) = match alarm {
            Some(Severity::Stop) => (self.tokens.stop_ground, self.tokens.stop),
            Some(Severity::Caution) => (self.tokens.caution_ground, self.tokens.caution),
            Some(Severity::Note) | None if production => (self.tokens.part, self.tokens.part_edge),
            Some(Severity::Note) | None => (self.tokens.other, self.tokens.part_edge),
        };
        let inside = super::shapes::filled(&one.drawn.pieces, shape, fill);
        self.painter.add(inside);
        let width = if selected || alarm == Some(Severity::Stop) {
            theme::BOLD_EDGE
        } else {
            theme::EDGE
        };
        let color = if selected { self.tokens.accent } else { edge };
        for ring in &one.drawn.rings {
            let stroke = Stroke::new(width, color);
            if let Some(points) = super::shapes::closed(ring.iter().map(shape)) {
                self.painter.add(PathShape::closed_line(points, stroke));
            }
        }
        let at = self.at(one.placement.at_mm);
        match alarm {
            // Never colour alone: a stop carries its octagon, a caution its triangle.
            Some(severity @ (Severity::Stop | Severity::Caution)) => {
                super::marks::mark(self.painter, at, 7.0, severity, self.tokens);
            }
            _ if one.placement.locked => {
                self.text(
                    at,
                    Align2::CENTER_CENTER,
                    &say::label("locked"),
                    self.tokens.text,
                );
            }
            _ => {}
        }
    }

    /// Gaps of the drag, written between the things, or under the thing for what is no thing.
    fn gaps(&self, gaps: &PreviewGaps, seen: &[Seen]) {
        let place = |id: PlacementId| seen.iter().find(|s| s.placement.id == id);
        let gap = |mm: f64| show(Quantity::Length, mm, 2);
        let mut taken: Vec<Rect> = Vec::new();
        for pair in &gaps.pairs {
            let (Some(a), Some(b)) = (place(pair.a), place(pair.b)) else {
                continue;
            };
            let [a, b] = [a, b].map(|one| one.placement.at_mm);
            let middle = [0, 1].map(|k| (a[k] + b[k]) / 2.0);
            let stages = match pair.stages {
                (a, b) if a == b => say::label(a.word()),
                (a, b) => say::two_stages(a.word(), b.word()),
            };
            let text = say::live_gap(&gap(pair.gap_mm), &stages);
            self.flag(self.at(middle), near(pair.gap_mm), text, &mut taken);
        }
        for item in &gaps.items {
            let Some(severity) = near_to(&item.to, item.gap_mm) else {
                continue;
            };
            let Some(one) = place(item.placement) else {
                continue;
            };
            let to = match &item.to {
                Neighbour::SetterEdge => say::label("edge of the setter"),
                Neighbour::SetterAbove(_) => say::label("setter above"),
                Neighbour::Roof => say::label("roof"),
                Neighbour::Post(_) => say::label("post"),
                Neighbour::WorkZone => say::label("work zone"),
                Neighbour::Spot(name) | Neighbour::Sensor(name) => name.clone(),
            };
            let text = say::live_gap_to(&to, &gap(item.gap_mm), &say::label(item.stage.word()));
            self.flag(self.at(one.placement.at_mm), severity, text, &mut taken);
        }
    }

    /// A few words on a ground of their own, below what is written already.
    fn flag(&self, at: Pos2, severity: Severity, text: String, taken: &mut Vec<Rect>) {
        let color = self.tokens.severity(severity);
        let font = FontId::proportional(theme::SMALL + 1.0);
        let galley = self.painter.layout_no_wrap(text, font, color);
        let mut area = Rect::from_center_size(at, galley.size() + Vec2::splat(theme::SPACE));
        while let Some(other) = taken.iter().find(|t| t.intersects(area)) {
            area = area.translate(vec2(0.0, other.max.y - area.min.y + theme::EDGE * 2.0));
        }
        taken.push(area);
        let edge = Stroke::new(theme::EDGE, color);
        let kind = egui::StrokeKind::Outside;
        self.painter.rect(area, 3.0, self.tokens.panel, edge, kind);
        let corner = area.center() - galley.size() / 2.0;
        self.painter.galley(corner, galley, self.tokens.text);
    }

    fn handle(&self, at: Pos2) {
        let stroke = Stroke::new(theme::EDGE, self.tokens.accent);
        self.painter
            .line_segment([at, at + vec2(0.0, HANDLE)], stroke);
        self.painter
            .circle(at, theme::SPACE * 0.75, self.tokens.panel, stroke);
    }

    fn measure(&self, from: Option<[f64; 2]>, to: Option<[f64; 2]>) {
        let Some(from) = from else { return };
        let stroke = Stroke::new(theme::EDGE * 1.5, self.tokens.accent);
        let a = self.at(from);
        self.painter.circle_stroke(a, 4.0, stroke);
        let Some(to) = to else { return };
        let b = self.at(to);
        self.painter.line_segment([a, b], stroke);
        self.painter.circle_stroke(b, 4.0, stroke);
        let text = measured_between(from, to);
        let at = a.lerp(b, 0.5) - vec2(0.0, theme::SPACE);
        self.text(at, Align2::CENTER_BOTTOM, &text, self.tokens.text);
    }

    /// Rulers in mm from the setter's centre: below and on the left.
    fn rulers(&self, painter: &Painter, whole: Rect) {
        let below = Rect::from_min_max(pos2(whole.min.x, self.rect.max.y), whole.max);
        let left = Rect::from_min_max(whole.min, pos2(self.rect.min.x, whole.max.y));
        for ruler in [below, left] {
            painter.rect_filled(ruler, 0.0, self.tokens.panel);
        }
        let step = ruler_step_mm(self.camera.zoom);
        let low = self.camera.to_plan(self.rect, self.rect.left_bottom());
        let high = self.camera.to_plan(self.rect, self.rect.right_top());
        let font = FontId::proportional(theme::SMALL);
        let stroke = Stroke::new(theme::EDGE, self.tokens.weak);
        let marks = |from: f64, to: f64| {
            let first = (from / step).ceil() as i64;
            let last = (to / step).floor() as i64;
            (first..=last.min(first + 200)).map(move |i| i as f64 * step)
        };
        let digits = usize::from(step < 1.0);
        for x in marks(low[0], high[0]) {
            let at = pos2(self.at([x, 0.0]).x, below.min.y);
            if at.x > below.max.x - theme::RULER / 3.0 {
                continue;
            }
            painter.line_segment([at, at + vec2(0.0, 5.0)], stroke);
            let text = format!("{x:.digits$}");
            painter.text(
                at + vec2(0.0, 7.0),
                Align2::CENTER_TOP,
                text,
                font.clone(),
                self.tokens.weak,
            );
        }
        for y in marks(low[1], high[1]) {
            let at = pos2(left.max.x, self.at([0.0, y]).y);
            let half = theme::SMALL / 2.0;
            if at.y > below.min.y || at.y < left.min.y + half {
                continue;
            }
            painter.line_segment([at, at - vec2(4.0, 0.0)], stroke);
            let text = format!("{y:.digits$}");
            painter.text(
                at - vec2(6.0, 0.0),
                Align2::RIGHT_CENTER,
                text,
                font.clone(),
                self.tokens.weak,
            );
        }
        painter.text(
            below.left_bottom() + vec2(3.0, -2.0),
            Align2::LEFT_BOTTOM,
            "mm",
            font,
            self.tokens.weak,
        );
    }
}

/// A distance with its parts along x and y.
fn measured_between(from: [f64; 2], to: [f64; 2]) -> String {
    let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
    say::measured(
        &show(Quantity::Length, libm::hypot(dx, dy), 2),
        &show(Quantity::Length, dx, 2),
        &show(Quantity::Length, dy, 2),
    )
}
