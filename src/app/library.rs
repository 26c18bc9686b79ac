//! Standard loads of the shop folder: cards to begin a load from, and what was changed since.

use super::commands::Command;
use super::state::{Action, App, Board};
use super::theme::{self, Tokens};
use super::wake;
use crate::catalogue::{Catalogue, SetterShape};
use crate::document::{Document, InputHash, Job, Stopped, Ticket};
use crate::files::{self, FileFault, ShopFolder, as_standard, list_standards, standards_dir};
use crate::geometry::{P2, Pose};
use crate::load::{Item, Level, Plan, Sizes, since_standard, tally};
use crate::part::SizeStage;
use crate::text::app::label;
use crate::text::library as say;
use crate::units::{Quantity, show};
use egui::epaint::PathShape;
use egui::{
    Button, Context, Frame, Key, Modal, Pos2, RichText, Role, ScrollArea, Sense, Stroke, Ui,
    WidgetInfo, vec2,
};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Side of a card's picture, points.
const PICTURE: f32 = 150.0;
/// Width of a card, points.
const CARD: f32 = 430.0;

/// Standard loads of the shop folder.
#[derive(Default)]
pub struct Standards {
    /// Standard that the open load began from, with its path.
    pub begun_from: Option<(PathBuf, Arc<Plan>)>,
    /// Load file that the open load is held against.
    pub beside: super::compare::Beside,
    /// Name being typed for a new standard, and why the last one was refused.
    pub naming: Option<(String, String)>,
    cards: Vec<Card>,
    stale: bool,
    listing: Option<Job<Vec<Card>>>,
    changed: Changed,
}

/// What was changed since the standard, made once per value of the plan and its records.
#[derive(Default)]
struct Changed {
    of: Option<(Arc<Plan>, Arc<Catalogue>)>,
    groups: Vec<(String, Vec<String>)>,
    without_lot: usize,
}

/// A standard load, or why it cannot be read.
#[derive(Clone, Debug)]
struct Card {
    path: PathBuf,
    what: Result<Facts, String>,
}

#[derive(Clone, Debug)]
struct Facts {
    title: String,
    alloys: String,
    furnace: String,
    parts: usize,
    levels: usize,
    area_fill: Option<f64>,
    program_min: Option<f64>,
    picture: Option<Picture>,
}

/// The fullest level as drawn.
#[derive(Clone, Debug)]
struct Picture {
    level: String,
    things: usize,
    setter: Option<SetterShape>,
    pieces: Vec<Vec<P2>>,
    rings: Vec<Vec<P2>>,
}

impl App {
    pub(super) fn library(&mut self, ui: &mut Ui, actions: &mut Vec<Action>) {
        self.changed_since();
        self.hold_beside();
        let tokens = Tokens::of(ui.ctx());
        ui.heading(label("Standard loads"));
        let Some(dir) = self.shop.as_ref().map(|(dir, _)| standards_dir(dir)) else {
            ui.label(say::no_shop_folder());
            ui.horizontal(|ui| {
                self.tool_button(ui, Command::ShopFolder, actions);
                self.tool_button(ui, Command::Compare, actions);
            });
            self.comparison(ui, actions);
            self.changes(ui);
            return;
        };
        let lies_in = say::lies_in(&dir.display().to_string());
        ui.label(RichText::new(lies_in).color(tokens.weak));
        ui.horizontal(|ui| {
            self.tool_button(ui, Command::SaveStandard, actions);
            self.tool_button(ui, Command::ShopFolder, actions);
            self.tool_button(ui, Command::Compare, actions);
        });
        self.comparison(ui, actions);
        self.changes(ui);
        ui.separator();
        if self.standards.stale || self.standards.listing.is_some() {
            ui.label(say::reading());
        } else if self.standards.cards.is_empty() {
            ui.label(say::no_standard());
        }
        ScrollArea::vertical()
            .auto_shrink([false, false])
            .show(ui, |ui| {
                let columns = ((ui.available_width() / (CARD + theme::SPACE)) as usize).max(1);
                for row in self.standards.cards.chunks(columns) {
                    ui.horizontal_top(|ui| {
                        for card in row {
                            show_card(ui, card, actions);
                        }
                    });
                }
            });
    }

    /// What was changed since the standard that the load began from.
    fn changes(&self, ui: &mut Ui) {
        let Some((path, standard)) = &self.standards.begun_from else {
            return;
        };
        let changed = &self.standards.changed;
        Frame::group(ui.style()).show(ui, |ui| {
            ui.set_width(ui.available_width());
            let name = match standard.title.trim() {
                "" => file_name(path),
                title => title.to_owned(),
            };
            ui.strong(say::changed_since(&name));
            if changed.groups.is_empty() {
                ui.label(say::nothing_changed());
            }
            ScrollArea::vertical()
                .max_height((ui.available_height() * 0.6).max(theme::SIDE * 0.7))
                .id_salt("changes")
                .show(ui, |ui| {
                    super::compare::show_groups(ui, &changed.groups);
                });
            ui.label(say::left_to_fill(changed.without_lot));
        });
    }

    fn changed_since(&mut self) {
        let plan = Arc::clone(self.doc.plan());
        let Some((_, standard)) = &self.standards.begun_from else {
            return;
        };
        let catalogue = Arc::clone(&self.working.catalogue);
        let changed = &mut self.standards.changed;
        if let Some((of, by)) = &changed.of
            && Arc::ptr_eq(of, &plan)
            && Arc::ptr_eq(by, &catalogue)
        {
            return;
        }
        changed.groups.clear();
        let found = since_standard(standard, &plan, &catalogue);
        for alike in found.chunk_by(|a, b| a.affects == b.affects) {
            let Some(first) = alike.first() else { continue };
            let sentences = alike.iter().map(|d| d.sentence.clone()).collect();
            changed.groups.push((first.affects.name(), sentences));
        }
        changed.without_lot = without_lot(&plan);
        changed.of = Some((plan, catalogue));
    }

    /// The standards of the shop folder are to be read anew.
    pub(super) fn refresh_standards(&mut self) {
        self.standards.stale = true;
    }

    /// Begins to read the standards where that is wanted, and takes over what has been read.
    pub(super) fn poll_standards(&mut self, ctx: &Context) {
        if std::mem::take(&mut self.standards.stale)
            && let Some((dir, shop)) = self.shop.clone()
        {
            let wake = wake(ctx);
            let work = move |ticket: &Ticket| cards(&dir, &shop, ticket);
            self.standards.listing = Some(Job::start("standards", InputHash::of(&()), wake, work));
        }
        let finished = self.standards.listing.as_ref().and_then(Job::finished);
        let Some(finished) = finished else { return };
        self.standards.listing = None;
        match &finished.result {
            Ok(cards) => self.standards.cards.clone_from(cards),
            Err(fault) => self.message = fault.sentence(say::listing_job()),
        }
    }

    /// Asks under which name the open load becomes a standard.
    pub(super) fn save_standard(&mut self) {
        if self.shop.is_none() {
            self.message = say::no_shop_folder();
            return;
        }
        let title = self.doc.plan().title.trim().to_owned();
        self.standards.naming = Some((title, String::new()));
    }

    pub(super) fn standard_question(&mut self, ctx: &Context) {
        let Some((mut name, refused)) = self.standards.naming.take() else {
            return;
        };
        let shown = Modal::new(egui::Id::unique("standard")).show(ctx, |ui| {
            let tokens = Tokens::of(ui.ctx());
            ui.set_width(theme::SIDE * 1.4);
            ui.heading(label("Save as a standard load"));
            ui.label(say::standard_leaves_out());
            let field_name = ui.label(label("Name of the standard"));
            let field = ui
                .text_edit_singleline(&mut name)
                .labelled_by(field_name.id);
            if !field.lost_focus() && ui.memory(|m| m.focused().is_none()) {
                field.request_focus();
            }
            let enter = field.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
            if !refused.is_empty() {
                ui.label(RichText::new(&refused).color(tokens.stop));
            }
            let mut answer = enter.then_some(true);
            ui.horizontal(|ui| {
                if ui.button(label("Save the standard")).clicked() {
                    answer = Some(true);
                }
                if ui.button(label("Cancel")).clicked() {
                    answer = Some(false);
                }
            });
            answer
        });
        match shown.inner.or(shown.should_close().then_some(false)) {
            None => self.standards.naming = Some((name, refused)),
            Some(true) => self.save_standard_as(name),
            Some(false) => {}
        }
    }

    fn save_standard_as(&mut self, name: String) {
        let Some((dir, _)) = &self.shop else { return };
        let plan = self.doc.history.to_save();
        match files::save_standard(dir, &plan, &self.working, &name) {
            Ok(path) => {
                self.message = say::standard_saved(&path.display().to_string());
                self.refresh_standards();
            }
            Err(fault) => self.standards.naming = Some((name, fault.to_string())),
        }
    }

    /// Finds the standard that the open load once began from; gives the sentence where it is gone.
    pub(super) fn find_standard(&mut self) -> Option<String> {
        let (dir, _) = self.shop.as_ref()?;
        match files::standard_of(self.doc.plan(), dir) {
            Ok(found) => {
                self.standards.begun_from = found.map(|(path, plan)| (path, Arc::new(plan)));
                self.standards.changed = Changed::default();
                None
            }
            Err(fault) => Some(say::standard_gone(&fault.to_string())),
        }
    }

    /// A new load from a standard: nothing of it is written back.
    pub(super) fn start_from(&mut self, path: &Path) {
        let shop = self.shop.as_ref().map(|(_, shop)| shop);
        match files::open_load(path, shop) {
            Ok((plan, working)) => {
                // A file laid into the folder by hand may still have lots.
                let standard = as_standard(&plan, &plan.title);
                self.working = working;
                self.working.standard = Some(Arc::new(standard.clone()));
                self.shapes.clear();
                let mut begun = standard.clone();
                begun.begun_from = Some(file_name(path));
                self.replace(Document::new(begun, None), None);
                self.message = say::started(&standard.title, without_lot(&standard));
                self.standards.begun_from = Some((path.to_owned(), Arc::new(standard)));
                self.standards.changed = Changed::default();
                self.view.board = Board::Load;
            }
            Err(fault) => self.modal = Some(super::state::Modal::Trouble(fault.to_string())),
        }
    }
}

/// Pieces to be made that no lot is assigned to.
fn without_lot(plan: &Plan) -> usize {
    plan.placements()
        .filter(|(_, p)| matches!(p.item, Item::Part { lot: None, .. }))
        .count()
}

pub(super) fn file_name(path: &Path) -> String {
    path.file_name()
        .unwrap_or(path.as_os_str())
        .to_string_lossy()
        .into_owned()
}

fn cards(dir: &Path, shop: &ShopFolder, ticket: &Ticket) -> Result<Vec<Card>, Stopped> {
    let mut out = Vec::new();
    for (path, read) in list_standards(dir) {
        ticket.go_on()?;
        let what = read
            .and_then(|plan| facts(&plan, shop))
            .map_err(|fault: FileFault| fault.to_string());
        out.push(Card { path, what });
    }
    Ok(out)
}

fn facts(plan: &Plan, shop: &ShopFolder) -> Result<Facts, FileFault> {
    let catalogue = files::working(plan, Some(shop))?.catalogue;
    let furnace = catalogue.furnace(&plan.load.furnace);
    let sizes = Sizes::new(plan, &catalogue);
    let sums = tally(plan, &catalogue, furnace.map(AsRef::as_ref), &sizes);
    let curve = plan.profile.curve(furnace.map(|f| f.ramp_max_k_min));
    Ok(Facts {
        title: plan.title.clone(),
        alloys: alloys(plan, &catalogue),
        furnace: furnace.map_or_else(|| plan.load.furnace.clone(), |f| f.name.clone()),
        parts: sums.whole.parts,
        levels: plan.levels().count(),
        area_fill: sums.area_fill(),
        program_min: curve.ok().map(|curve| curve.total_time_min()),
        picture: picture(plan, &catalogue, &sizes),
    })
}

/// Names of the alloys that stand in the load.
fn alloys(plan: &Plan, catalogue: &Catalogue) -> String {
    let name = |item: &Item| {
        let part = plan.part(item.part()?)?;
        let feedstock = catalogue.feedstock(&part.feedstock)?;
        Some(catalogue.alloy(&feedstock.alloy)?.name.as_str())
    };
    let names: BTreeSet<&str> = plan
        .placements()
        .filter_map(|(_, p)| name(&p.item))
        .collect();
    if names.is_empty() {
        return say::unknown();
    }
    names.into_iter().collect::<Vec<_>>().join(", ")
}

/// The level with the most on it, green.
fn picture(plan: &Plan, catalogue: &Catalogue, sizes: &Sizes) -> Option<Picture> {
    let mut fullest = None;
    for (_, level) in plan.levels() {
        // Of equals the lowest, which comes first.
        if fullest.is_none_or(|f: &Arc<Level>| level.placements.len() > f.placements.len()) {
            fullest = Some(level);
        }
    }
    let level = fullest?;
    let mut out = Picture {
        level: plan.level_label(level.id),
        things: level.placements.len(),
        setter: catalogue.setter(&level.setter).map(|s| s.shape.clone()),
        pieces: Vec::new(),
        rings: Vec::new(),
    };
    for placement in &level.placements {
        let Some(sized) = sizes.of(&placement.item, catalogue) else {
            continue;
        };
        let pose = Pose {
            angle_deg: placement.angle_deg,
            ..Pose::at(placement.at_mm[0], placement.at_mm[1])
        };
        let outline = sized.at(SizeStage::Green).body.silhouette();
        let placed = |ring: &[P2]| ring.iter().map(|p| pose.apply(*p)).collect::<Vec<P2>>();
        out.pieces
            .extend(outline.convex_pieces().iter().map(|piece| placed(piece)));
        out.rings.extend(outline.rings().map(placed));
    }
    Some(out)
}

fn show_card(ui: &mut Ui, card: &Card, actions: &mut Vec<Action>) {
    let tokens = Tokens::of(ui.ctx());
    let frame = Frame::group(ui.style()).fill(tokens.panel);
    frame.show(ui, |ui| {
        ui.set_width(CARD - 2.0 * theme::SPACE);
        ui.set_min_height(PICTURE);
        ui.horizontal_top(|ui| {
            if let Ok(facts) = &card.what {
                draw(ui, facts, tokens);
            }
            ui.vertical(|ui| card_words(ui, card, tokens, actions));
        });
    });
}

fn card_words(ui: &mut Ui, card: &Card, tokens: &Tokens, actions: &mut Vec<Action>) {
    let name = file_name(&card.path);
    let facts = match &card.what {
        Ok(facts) => facts,
        Err(sentence) => {
            ui.strong(&name);
            ui.label(RichText::new(sentence).color(tokens.stop));
            return;
        }
    };
    let title = if facts.title.trim().is_empty() {
        &name
    } else {
        &facts.title
    };
    ui.strong(title);
    ui.label(RichText::new(&name).color(tokens.weak).small());
    ui.label(say::alloys(&facts.alloys));
    ui.label(say::furnace(&facts.furnace));
    ui.label(say::parts_on_levels(facts.parts, facts.levels));
    let fill = facts
        .area_fill
        .map_or_else(say::unknown, |f| show(Quantity::Fraction, f, 0));
    ui.label(say::area_fill(&fill));
    let hours = facts
        .program_min
        .map_or_else(say::unknown, |min| say::hours(min / 60.0));
    ui.label(say::program(&hours));
    let button = ui.add(Button::new(label("Start a load from this")));
    let named = say::start_from(title);
    button.widget_info(|| WidgetInfo::labeled(Role::Button, true, named.clone()));
    if button.clicked() {
        actions.push(Action::StartFrom(card.path.clone()));
    }
    let button = ui.add(Button::new(label("Compare")));
    let named = say::compare_with(title);
    button.widget_info(|| WidgetInfo::labeled(Role::Button, true, named.clone()));
    if button.clicked() {
        actions.push(Action::CompareWith(card.path.clone()));
    }
}

/// Setter and true outlines, as the plan draws them: right is right, away from the door is up.
fn draw(ui: &mut Ui, facts: &Facts, tokens: &Tokens) {
    let (rect, response) = ui.allocate_exact_size(vec2(PICTURE, PICTURE), Sense::hover());
    let Some(picture) = &facts.picture else {
        return;
    };
    let name = say::picture(&facts.title, &picture.level, picture.things);
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, name.clone()));
    if !ui.is_rect_visible(rect) {
        return;
    }
    let half = half_extent_mm(picture);
    let scale = PICTURE / 2.0 * 0.94 / half as f32;
    let at = |p: &P2| -> Pos2 { rect.center() + vec2(p[0] as f32 * scale, -(p[1] as f32) * scale) };
    let painter = ui.painter_at(rect);
    painter.rect_filled(rect, 0.0, tokens.ground);
    let edge = Stroke::new(theme::EDGE, tokens.setter_edge);
    if let Some(setter) = &picture.setter {
        painter.extend(super::shapes::plate(setter, 0.0, at, tokens.setter, edge));
    }
    painter.add(super::shapes::filled(&picture.pieces, at, tokens.part));
    for ring in &picture.rings {
        let stroke = Stroke::new(theme::EDGE, tokens.part_edge);
        if let Some(points) = super::shapes::closed(ring.iter().map(at)) {
            painter.add(PathShape::closed_line(points, stroke));
        }
    }
}

/// Half of the square that the setter and everything on it lies in, mm.
fn half_extent_mm(picture: &Picture) -> f64 {
    let shape = picture.setter.as_ref();
    let bounds = shape.map_or([[0.0; 2], [1.0; 2]], SetterShape::bounds_mm);
    picture
        .rings
        .iter()
        .flatten()
        .chain(&bounds)
        .flatten()
        .fold(1.0, |a: f64, c| a.max(c.abs()))
}
