//! A part on a turntable: its shape with what rests, what hangs and its governing section.

use super::state::App;
use super::theme::{self, Tokens};
use super::wake;
use crate::document::{InputHash, Job};
use crate::files;
use crate::geometry::raster::{Model, Projection, Surface, Texel, draw};
use crate::part::{CONTACT_MM, Geometry, Part, PartId, Shape};
use crate::text::library as say_mesh;
use crate::text::{app as say, part_view as words};
use crate::units::{Quantity, show};
use egui::{
    Align2, Color32, ColorImage, Context, FontId, Key, Painter, Rect, Response, RichText, Role,
    Sense, Stroke, TextureHandle, TextureOptions, Ui, WidgetInfo, pos2, vec2,
};
use std::path::Path;
use std::sync::Arc;

/// Degrees of a turn by a key.
const STEP_DEG: f64 = 15.0;
/// Degrees of a turn by a point of dragging.
const DRAG_DEG: f64 = 0.5;
/// Pixels drawn for one shown, in each direction: smooth edges.
pub(super) const FINER: usize = 2;
/// Pixels between the lines of the hatching of what hangs over.
const HATCH: usize = 7;
/// Height of the picture as a share of its width.
const ASPECT: f32 = 0.72;

/// Directions to look from by one press: name, turn and tilt in degrees.
const FROM: [(&str, f64, f64); 4] = [
    ("Aslant", 30.0, 25.0),
    ("From the door", 0.0, 0.0),
    ("From above", 0.0, 90.0),
    ("From below", 0.0, -90.0),
];

/// The turntable, for one part at a time.
pub struct Turntable {
    turn_deg: f64,
    tilt_deg: f64,
    of: Option<(PartId, Arc<Geometry>)>,
    model: Option<Arc<Model>>,
    reading: Option<Job<Read>>,
    /// Why the body is drawn in place of the mesh.
    why: Option<String>,
    shown: Option<(Shown, TextureHandle)>,
}

/// A mesh as read for drawing: none where it is not the one that was measured.
type Read = Result<Option<Model>, files::FileFault>;

/// What the picture at hand was made of.
#[derive(Clone, Debug, PartialEq)]
struct Shown {
    turn_deg: f64,
    tilt_deg: f64,
    size: [usize; 2],
    dark: bool,
}

impl Default for Turntable {
    fn default() -> Turntable {
        let (_, turn_deg, tilt_deg) = FROM[0];
        Turntable {
            turn_deg,
            tilt_deg,
            of: None,
            model: None,
            reading: None,
            why: None,
            shown: None,
        }
    }
}

impl App {
    /// Whether the mesh of the part on the turntable is still being read.
    pub fn reading_mesh(&self) -> bool {
        self.turntable.reading.is_some()
    }

    /// The picture of a part, and how to look at it.
    pub(super) fn part_picture(&mut self, ui: &mut Ui, part: &Part) {
        let folder = self.part_folder();
        self.turntable.follow(ui.ctx(), part, &folder);
        self.turntable.show(ui, part);
    }
}

impl Turntable {
    /// Takes up another part, and takes over a mesh that has been read.
    fn follow(&mut self, ctx: &Context, part: &Part, folder: &Path) {
        let same = self
            .of
            .as_ref()
            .is_some_and(|(id, g)| *id == part.id && Arc::ptr_eq(g, &part.geometry));
        if !same {
            self.of = Some((part.id, Arc::clone(&part.geometry)));
            // What the load keeps of the shape, until the mesh is there.
            self.model = Model::of_body(&part.geometry.body, CONTACT_MM).map(Arc::new);
            self.why = None;
            self.shown = None;
            self.reading = reading(ctx, part, folder);
        }
        let Some(done) = self.reading.as_ref().and_then(Job::finished) else {
            return;
        };
        self.reading = None;
        match &done.result {
            Ok(Ok(Some(model))) => {
                self.model = Some(Arc::new(model.clone()));
                self.shown = None;
            }
            Ok(Ok(None)) => {
                if let Shape::Mesh { file, .. } = &part.shape {
                    self.why = Some(words::body_instead(&words::changed(file)));
                }
            }
            Ok(Err(fault)) => self.why = Some(words::body_instead(&fault.to_string())),
            Err(fault) => {
                let sentence = fault.sentence(say_mesh::import_job());
                self.why = Some(words::body_instead(&sentence));
            }
        }
    }

    fn show(&mut self, ui: &mut Ui, part: &Part) {
        let tokens = Tokens::of(ui.ctx());
        let Some(model) = self.model.clone() else {
            return;
        };
        let width = ui.available_width();
        let (rect, response) =
            ui.allocate_exact_size(vec2(width, width * ASPECT), Sense::click_and_drag());
        self.turn(ui, &response);
        let name = words::view(&part.name, self.turn_deg, self.tilt_deg);
        response.widget_info(|| WidgetInfo::labeled(Role::Slider, true, &name));
        let painter = ui.painter_at(rect);
        painter.rect_filled(rect, 0.0, tokens.ground);
        let pixels = ui.ctx().pixels_per_point();
        let size = [rect.width(), rect.height()].map(|s| (s * pixels).round().max(1.0) as usize);
        let view = Projection::new(&model, self.turn_deg, self.tilt_deg, size);
        let now = Shown {
            turn_deg: self.turn_deg,
            tilt_deg: self.tilt_deg,
            size,
            dark: ui.visuals().dark_mode,
        };
        if self.shown.as_ref().is_none_or(|(made, _)| *made != now) {
            let image = picture(&model, self.turn_deg, self.tilt_deg, size, tokens);
            let texture = ui
                .ctx()
                .load_texture("turntable", image, TextureOptions::LINEAR);
            self.shown = Some((now, texture));
        }
        if let Some((_, texture)) = &self.shown {
            let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
            painter.image(texture.id(), rect, whole, Color32::WHITE);
        }
        balls(&painter, rect, pixels, &view, &part.geometry, tokens);
        if response.has_focus() {
            let edge = Stroke::new(theme::BOLD_EDGE, tokens.accent);
            painter.rect_stroke(rect, 0.0, edge, egui::StrokeKind::Inside);
        }
        super::lists::wrapped(ui, |ui| {
            for (word, turn_deg, tilt_deg) in FROM {
                let chosen = (self.turn_deg, self.tilt_deg) == (turn_deg, tilt_deg);
                let button = ui.selectable_label(chosen, say::label(word));
                if button.clicked() {
                    (self.turn_deg, self.tilt_deg) = (turn_deg, tilt_deg);
                }
            }
        });
        legend(ui, &part.geometry, tokens);
        if self.reading.is_some() {
            super::lists::sentence(ui, RichText::new(words::reading()).color(tokens.weak));
        }
        if let Some(why) = &self.why {
            super::lists::sentence(ui, RichText::new(why).color(tokens.weak));
        }
    }

    /// Turns by dragging and by the arrow keys.
    fn turn(&mut self, ui: &Ui, response: &Response) {
        if response.clicked() {
            response.request_focus();
        }
        let drag = response.drag_delta();
        self.turn_deg -= f64::from(drag.x) * DRAG_DEG;
        self.tilt_deg += f64::from(drag.y) * DRAG_DEG;
        if response.has_focus() {
            ui.memory_mut(|m| {
                let filter = egui::EventFilter {
                    horizontal_arrows: true,
                    vertical_arrows: true,
                    ..egui::EventFilter::default()
                };
                m.set_focus_lock_filter(response.id, filter);
            });
            let pressed = |key| ui.input(|i| f64::from(u8::from(i.key_pressed(key))));
            self.turn_deg += STEP_DEG * (pressed(Key::ArrowLeft) - pressed(Key::ArrowRight));
            self.tilt_deg += STEP_DEG * (pressed(Key::ArrowUp) - pressed(Key::ArrowDown));
        }
        self.turn_deg = self.turn_deg.rem_euclid(360.0);
        self.tilt_deg = self.tilt_deg.clamp(-90.0, 90.0);
    }
}

/// Reads the mesh of a part on another thread; none for a typed shape.
fn reading(ctx: &Context, part: &Part, folder: &Path) -> Option<Job<Read>> {
    let Shape::Mesh { file, sha256, .. } = &part.shape else {
        return None;
    };
    let path = folder.join(file);
    let input = InputHash::of(&(part.id, sha256));
    let wake = wake(ctx);
    let part = part.clone();
    Some(Job::start("turntable", input, wake, move |ticket| {
        let mesh = files::mesh_at_rest(&path, &part);
        ticket.go_on()?;
        Ok(mesh.map(|mesh| mesh.and_then(|mesh| Model::new(mesh, CONTACT_MM))))
    }))
}

/// A shape in the colours of a theme.
fn picture(
    model: &Model,
    turn_deg: f64,
    tilt_deg: f64,
    size: [usize; 2],
    tokens: &Tokens,
) -> ColorImage {
    let fine = size.map(|s| s * FINER);
    let texels = draw(model, &Projection::new(model, turn_deg, tilt_deg, fine));
    coloured(&texels, size, tokens)
}

/// What was drawn [`FINER`] than `size`, in the colours of a theme.
pub(super) fn coloured(texels: &[Option<Texel>], size: [usize; 2], tokens: &Tokens) -> ColorImage {
    let width = size[0];
    let fine = width * FINER;
    let mut image = ColorImage::filled(size, tokens.ground);
    for (i, pixel) in image.pixels.iter_mut().enumerate() {
        let (x, y) = (i % width, i / width);
        let hatched = (x + y) % HATCH < 2;
        let mut sum = [0_u32; 3];
        for fine_y in y * FINER..(y + 1) * FINER {
            for fine_x in x * FINER..(x + 1) * FINER {
                let texel = texels.get(fine_y * fine + fine_x).copied().flatten();
                let [r, g, b, _] = colour(texel, hatched, tokens).to_array();
                for (sum, c) in sum.iter_mut().zip([r, g, b]) {
                    *sum += u32::from(c);
                }
            }
        }
        let [r, g, b] = sum.map(|s| (s / (FINER * FINER) as u32) as u8);
        *pixel = Color32::from_rgb(r, g, b);
    }
    image
}

fn colour(texel: Option<Texel>, hatched: bool, tokens: &Tokens) -> Color32 {
    let Some(texel) = texel else {
        return tokens.ground;
    };
    let face = match texel.surface {
        Surface::Plain => tokens.part,
        Surface::Resting => tokens.accent,
        Surface::Hanging if hatched => tokens.part_edge,
        Surface::Hanging => tokens.other,
    };
    // From the colour of edges where a face is seen edge on to its own where it is looked at.
    let light = f32::from(texel.light) / 255.0;
    tokens.part_edge.lerp_to_gamma(face, 0.35 + 0.65 * light)
}

/// The governing and the thinnest section, true to scale.
fn balls(
    painter: &Painter,
    rect: Rect,
    pixels: f32,
    view: &Projection,
    geometry: &Geometry,
    tokens: &Tokens,
) {
    let Some(detail) = &geometry.detail else {
        return;
    };
    let governing = detail.section_at_mm.zip(geometry.section_mm);
    let thinnest = detail.thinnest.map(|b| (b.centre_mm, b.diameter_mm));
    let found = [governing, thinnest].into_iter().enumerate();
    for (n, (centre, diameter_mm)) in found.filter_map(|(n, ball)| Some((n, ball?))) {
        let ([x, y], _) = view.place(centre);
        let at = rect.min + vec2(x as f32, y as f32) / pixels;
        let radius = (0.5 * diameter_mm * view.scale) as f32 / pixels;
        let stroke = Stroke::new(theme::EDGE * 1.5, tokens.text);
        painter.circle_stroke(at, radius.max(1.0), stroke);
        painter.text(
            at + vec2(radius.max(1.0) + 2.0, 0.0),
            Align2::LEFT_CENTER,
            words::ball_mark(n),
            FontId::proportional(theme::SMALL),
            tokens.text,
        );
    }
}

/// What the marks in the picture mean.
fn legend(ui: &mut Ui, geometry: &Geometry, tokens: &Tokens) {
    let length = |mm| show(Quantity::Length, mm, 2);
    let rests = (!geometry.footprint.is_empty()).then(|| words::rests(geometry.footprint.area()));
    swatch(
        ui,
        tokens.accent,
        &rests.unwrap_or_else(words::rests_on_a_line),
    );
    let Some(detail) = &geometry.detail else {
        return;
    };
    if let Some(hangs) = detail.overhang.filter(|o| o.area_mm2 > 0.0) {
        swatch(ui, tokens.other, &words::hangs(hangs.area_mm2));
    }
    if let Some(mm) = geometry
        .section_mm
        .filter(|_| detail.section_at_mm.is_some())
    {
        super::lists::sentence(ui, words::governing(&length(mm)));
    }
    if let Some(ball) = detail.thinnest {
        super::lists::sentence(ui, words::thinnest(&length(ball.diameter_mm)));
    }
}

fn swatch(ui: &mut Ui, colour: Color32, text: &str) {
    ui.horizontal(|ui| {
        let (rect, _) = ui.allocate_exact_size(vec2(14.0, 14.0), Sense::hover());
        ui.painter().rect_filled(rect, 2.0, colour);
        ui.label(text);
    });
}
