//! How a part rests: its poses as pictures, best first, one of them to be chosen.

use super::part_view::coloured;
use super::state::{Action, App};
use super::theme::{self, Tokens};
use super::wake;
use crate::document::{InputHash, Job};
use crate::files::{self, FileFault};
use crate::geometry::raster::{Model, Projection, Texel, draw};
use crate::load::Edit;
use crate::part::{CONTACT_MM, Geometry, Part, PartId, Rest, Shape};
use crate::statics::{RestBy, RestingPose, RestsOn};
use crate::text::app::label;
use crate::text::part_view as say;
use crate::units::{Quantity, show};
use egui::{
    Button, Color32, Context, Frame, Rect, RichText, Role, ScrollArea, Sense, Stroke, StrokeKind,
    TextureHandle, TextureOptions, Ui, WidgetInfo, Window, pos2, vec2,
};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Width and height of a pose's picture, points.
const PICTURE: [usize; 2] = [170, 120];
/// Poses in a row.
const ROW: usize = 3;
/// From where the poses are looked at, degrees.
const FROM: (f64, f64) = (30.0, 20.0);

/// The poses of one part, while they are being chosen from.
#[derive(Default)]
pub struct PosePicker {
    of: Option<PartId>,
    geometry: Option<Arc<Geometry>>,
    looking: Option<Job<Result<Found, FileFault>>>,
    found: Option<Result<Found, String>>,
    laying: Option<Job<Result<(Rest, Geometry), FileFault>>>,
    pictures: Option<(bool, Vec<TextureHandle>)>,
}

/// Poses with what is seen of each.
#[derive(Clone, Debug, PartialEq)]
struct Found {
    poses: Vec<RestingPose>,
    left_out: usize,
    seen: Vec<Vec<Option<Texel>>>,
}

impl App {
    /// Whether poses are being looked for or measured.
    pub fn measures_poses(&self) -> bool {
        self.poses.looking.is_some() || self.poses.laying.is_some()
    }

    /// Opens the poses of a part.
    pub(super) fn pick_pose(&mut self, ctx: &Context, part: &Part) {
        self.poses = PosePicker {
            of: Some(part.id),
            ..PosePicker::default()
        };
        self.look_for_poses(ctx, part);
    }

    /// Where mesh files of parts are named from: the load's folder.
    pub(super) fn part_folder(&self) -> PathBuf {
        let folder = self.path.as_ref().and_then(|p| p.parent());
        folder.unwrap_or(Path::new("")).to_owned()
    }

    fn look_for_poses(&mut self, ctx: &Context, part: &Part) {
        let folder = self.part_folder();
        let part = part.clone();
        self.poses.geometry = Some(Arc::clone(&part.geometry));
        let input = InputHash::of(&part.id);
        self.poses.looking = Some(Job::start("poses", input, wake(ctx), move |ticket| {
            let found = files::poses_of(&part, &folder, &part.keep_off);
            ticket.go_on()?;
            let (poses, mesh) = match found {
                Ok(found) => found,
                Err(fault) => return Ok(Err(fault)),
            };
            let mut seen = Vec::with_capacity(poses.ranked.len());
            for pose in &poses.ranked {
                ticket.go_on()?;
                let size = PICTURE.map(|s| s * super::part_view::FINER);
                let model = Model::new(mesh.resting(pose.rest.down()), CONTACT_MM);
                seen.push(model.map_or_else(Vec::new, |model| {
                    draw(&model, &Projection::new(&model, FROM.0, FROM.1, size))
                }));
            }
            Ok(Ok(Found {
                poses: poses.ranked,
                left_out: poses.left_out,
                seen,
            }))
        }));
    }

    fn lay(&mut self, ctx: &Context, part: &Part, rest: Rest) {
        let (part, folder) = (part.clone(), self.part_folder());
        let input = InputHash::of(&part.id);
        self.poses.laying = Some(Job::start("rest", input, wake(ctx), move |_| {
            Ok(files::part_resting(&part, &folder, &RestBy::Towards(rest)))
        }));
    }

    /// Takes over what has been found, and a part that has been laid another way.
    fn poll_poses(&mut self, actions: &mut Vec<Action>) {
        if let Some(done) = self.poses.looking.as_ref().and_then(Job::finished) {
            self.poses.looking = None;
            self.poses.pictures = None;
            self.poses.found = Some(match &done.result {
                Ok(Ok(found)) => Ok(found.clone()),
                Ok(Err(fault)) => Err(fault.to_string()),
                Err(fault) => Err(fault.sentence(say::poses_job())),
            });
        }
        let Some(done) = self.poses.laying.as_ref().and_then(Job::finished) else {
            return;
        };
        self.poses.laying = None;
        let Some(id) = self.poses.of else { return };
        match &done.result {
            Ok(Ok((rest, geometry))) => actions.push(Action::Edit(Edit::RestPart {
                id,
                rest: *rest,
                geometry: Arc::new(geometry.clone()),
            })),
            Ok(Err(fault)) => actions.push(Action::Say(fault.to_string())),
            Err(fault) => actions.push(Action::Say(fault.sentence(say::poses_job()))),
        }
    }

    /// The window over the board.
    pub(super) fn pose_window(&mut self, ctx: &Context, actions: &mut Vec<Action>) {
        let Some(id) = self.poses.of else { return };
        self.poll_poses(actions);
        let plan = Arc::clone(self.doc.plan());
        let Some(part) = plan.parts.iter().find(|p| p.id == id) else {
            self.poses = PosePicker::default();
            return;
        };
        let mut open = true;
        let mut chosen = None;
        let mut keep_off = part.keep_off.clone();
        Window::new(say::poses_of(&part.name))
            .id(egui::Id::unique("poses"))
            .open(&mut open)
            .collapsible(false)
            .pivot(egui::Align2::CENTER_CENTER)
            .default_pos(ctx.content_rect().center())
            .default_size(vec2(
                ROW as f32 * (PICTURE[0] as f32 + 4.0 * theme::SPACE),
                theme::SIDE * 1.6,
            ))
            .show(ctx, |ui| {
                chosen = self.poses.show(ui, part, &mut keep_off);
            });
        if let Some(rest) = chosen {
            self.lay(ctx, part, rest);
        }
        if keep_off != part.keep_off {
            let part = Part {
                keep_off,
                ..part.as_ref().clone()
            };
            self.look_for_poses(ctx, &part);
            actions.push(Action::Edit(Edit::ChangePart(Box::new(part))));
        }
        let escape = ctx.input(|i| i.key_pressed(egui::Key::Escape));
        if !open || escape {
            self.poses = PosePicker::default();
        }
    }
}

impl PosePicker {
    /// Shows the poses; gives the one that was pressed.
    fn show(&mut self, ui: &mut Ui, part: &Part, keep_off: &mut Vec<Rest>) -> Option<Rest> {
        super::lists::sentence(ui, say::poses_help());
        if self.looking.is_some() || self.laying.is_some() {
            ui.label(say::measuring());
        }
        let dark = ui.visuals().dark_mode;
        let found = match &self.found {
            None => return None,
            Some(Err(sentence)) => {
                super::lists::sentence(ui, sentence.as_str());
                return None;
            }
            Some(Ok(found)) => found,
        };
        if self.pictures.as_ref().is_none_or(|(d, _)| *d != dark) {
            let tokens = Tokens::of(ui.ctx());
            let textures = found.seen.iter().enumerate().map(|(i, seen)| {
                let image = coloured(seen, PICTURE, tokens);
                let name = format!("pose {i}");
                ui.ctx().load_texture(name, image, TextureOptions::LINEAR)
            });
            self.pictures = Some((dark, textures.collect()));
        }
        let pictures = self.pictures.as_ref().map_or(&[][..], |(_, p)| p);
        let mut chosen = None;
        ScrollArea::vertical()
            .auto_shrink([false, false])
            .max_height(ui.available_height().max(theme::SIDE))
            .show(ui, |ui| {
                let numbered: Vec<_> = found.poses.iter().zip(pictures).enumerate().collect();
                for row in numbered.chunks(ROW) {
                    ui.horizontal_top(|ui| {
                        for (i, (pose, picture)) in row {
                            let pressed = card(ui, *i, pose, picture, part, keep_off);
                            if pressed && self.laying.is_none() && pose.rest != part.rest {
                                chosen = Some(pose.rest);
                            }
                        }
                    });
                }
                if found.left_out > 0 {
                    ui.label(say::poses_left_out(found.left_out));
                }
            });
        chosen
    }
}

/// One pose: whether its picture or its button was pressed.
fn card(
    ui: &mut Ui,
    i: usize,
    pose: &RestingPose,
    picture: &TextureHandle,
    part: &Part,
    keep_off: &mut Vec<Rest>,
) -> bool {
    let tokens = Tokens::of(ui.ctx());
    let mine = pose.rest == part.rest;
    let mut pressed = false;
    Frame::group(ui.style()).show(ui, |ui| {
        ui.vertical(|ui| {
            let size = vec2(PICTURE[0] as f32, PICTURE[1] as f32);
            ui.set_width(size.x);
            let (rect, image) = ui.allocate_exact_size(size, Sense::click());
            let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
            ui.painter()
                .image(picture.id(), rect, whole, Color32::WHITE);
            if mine {
                let edge = Stroke::new(theme::BOLD_EDGE, tokens.accent);
                ui.painter()
                    .rect_stroke(rect, 0.0, edge, StrokeKind::Inside);
            }
            image.widget_info(|| WidgetInfo::labeled(Role::Image, true, say::pose_picture(i + 1)));
            let word = if mine {
                label("Rests so")
            } else {
                label("Rest so")
            };
            let button = ui.add_enabled(!mine, Button::new(word));
            button.widget_info(|| WidgetInfo::labeled(Role::Button, !mine, say::rest_so(i + 1)));
            pressed = button.clicked() || image.clicked();
            for (line, weight) in lines(pose) {
                let colour = if weight { tokens.caution } else { tokens.text };
                super::lists::sentence(ui, RichText::new(line).color(colour).small());
            }
            let mut kept = keep_off.contains(&pose.rest);
            let name = say::keep_off(i + 1);
            let check = ui.checkbox(&mut kept, label("keep this face off"));
            check.widget_info(|| WidgetInfo::selected(Role::CheckBox, true, kept, &name));
            if check.changed() {
                match kept {
                    true => keep_off.push(pose.rest),
                    false => keep_off.retain(|rest| *rest != pose.rest),
                }
            }
        });
    });
    pressed
}

/// What is said of a pose, and whether it needs attention.
fn lines(pose: &RestingPose) -> Vec<(String, bool)> {
    let length = |mm| show(Quantity::Length, mm, 1);
    let mut out = Vec::new();
    if pose.rest.is_as_drawn() {
        out.push((say::pose_as_drawn(), false));
    }
    if !pose.stands {
        out.push((say::pose_falls(), true));
    } else if pose.rests_on != RestsOn::Area {
        out.push((say::pose_rolls(pose.alike), true));
    }
    if pose.kept_off {
        out.push((say::pose_kept_off(), true));
    }
    out.push((say::pose_tips(pose.tip_angle_deg), false));
    out.push((
        say::pose_foot(pose.contact_area_mm2, &length(pose.foot_width_mm)),
        false,
    ));
    out.push((say::pose_height(&length(pose.height_mm)), false));
    match pose.overhang {
        Some(over) if over.area_mm2 > 0.0 => {
            out.push((say::pose_hangs(over.area_mm2, &length(over.span_mm)), false));
        }
        Some(_) => {}
        None => out.push((say::pose_hangs_not_evaluated(), false)),
    }
    out
}

/// Whether a part can be laid another way: an outline with a mass cannot.
pub(super) fn can_be_laid(part: &Part) -> bool {
    !matches!(part.shape, Shape::Outline { .. })
}
