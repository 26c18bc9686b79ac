//! The window: one file a board or panel. Only this module knows egui.
//!
//! A pass reads the document and pushes actions ([`state::Action`]); they are carried out after it
//! ([`act`]). Everything that can be asked for is a [`commands::Command`].

pub mod act;
mod arrange_by_hand;
mod arrange_first;
mod arrange_kinds;
mod arrange_levels;
mod arrange_panel;
mod arrange_turns;
mod arrange_weights;
mod array;
mod backlog_board;
pub mod canvas;
mod checked;
mod checks_board;
pub mod cleared_board;
mod columns;
pub mod commands;
mod compare;
pub mod dialogs;
mod elevation;
mod fields;
mod finding_accept;
mod finding_details;
mod finding_fixes;
mod finding_picture;
mod findings_panel;
mod forecast_follow;
mod forecast_plot;
mod forecast_table;
mod furnace_form;
mod imports;
mod inspector;
mod library;
pub mod limits_board;
mod lists;
mod load_board;
mod marks;
mod part_view;
mod picture;
mod placements_table;
mod plan_view;
mod plot_names;
mod pose_picker;
mod profile_board;
mod profile_edits;
mod profile_events;
mod profile_plot;
mod profile_table;
mod shapes;
mod shell;
pub mod shop_board;
mod shop_draft;
mod shop_papers;
mod snap;
pub mod soft;
pub mod state;
mod tally_bar;
pub mod theme;
mod ways;
mod window_errors;

pub use picture::{PictureBoard, PictureOf, picture};
pub use window_errors::run;

use crate::document::{Document, Wake};
use crate::files::{self, Working};
use crate::load::Plan;
use dialogs::{DesktopDialogs, Dialogs};
use egui::{CentralPanel, Context, Panel, Ui, ViewportCommand};
use state::{Action, App, Board, View};
use std::path::Path;
use std::sync::Arc;
use std::time::{Duration, Instant};

/// What other threads call when they have something to show.
fn wake(ctx: &Context) -> Wake {
    let ctx = ctx.clone();
    Arc::new(move || ctx.request_repaint())
}

impl App {
    /// A window on a document.
    pub fn new(doc: Document, working: Working) -> App {
        let start = Instant::now();
        let level = doc.plan().levels().next().map(|(_, l)| l.id);
        App {
            doc,
            path: None,
            shop: None,
            working,
            view: View {
                level,
                ..View::default()
            },
            modal: None,
            message: String::new(),
            recent: Vec::new(),
            dialogs: Box::new(DesktopDialogs),
            clock: Box::new(move || start.elapsed()),
            results: None,
            asked: None,
            imports: Vec::new(),
            shapes: shapes::Shapes::default(),
            turntable: part_view::Turntable::default(),
            poses: pose_picker::PosePicker::default(),
            fixes: finding_fixes::Fixes::default(),
            closing: false,
            after_save: None,
            shown_title: String::new(),
            standards: library::Standards::default(),
            live: None,
            colours: files::Colours::default(),
            settings: None,
            kept: files::Settings::default(),
            forecasting: forecast_follow::Forecasting::default(),
            draft: None,
            arranging: arrange_panel::ArrangePanel::default(),
            backlog: backlog_board::BacklogBoard::default(),
            ways: ways::Ways::default(),
        }
    }

    /// A window on a file, or on a demo load.
    ///
    /// # Errors
    /// What is wrong with the file.
    pub fn on_file(path: Option<&Path>) -> Result<App, files::FileFault> {
        let mut app = match path {
            Some(path) => {
                let (plan, working) = files::open_load(path, None)?;
                let name = path.file_name().map(|n| n.to_string_lossy().into_owned());
                App::new(Document::new(plan, name), working)
            }
            None => {
                let (plan, working) = crate::cli::demo()?;
                App::new(Document::new(plan, None), working)
            }
        };
        app.path = path.map(Path::to_owned);
        app.recent = path.map(Path::to_owned).into_iter().collect();
        Ok(app)
    }

    /// A window on a new, empty load in the first furnace of the starting catalogue.
    ///
    /// # Errors
    /// A broken starting catalogue.
    pub fn on_new() -> Result<App, files::FileFault> {
        let plan = Plan::empty(&crate::cli::first_furnace());
        let working = files::working(&plan, None)?;
        Ok(App::new(Document::new(plan, None), working))
    }

    /// Findings of the plan as it is shown.
    pub fn review(&self) -> Option<&crate::review::Review> {
        self.results.as_ref().map(|results| &results.review)
    }

    /// Gaps of what is being dragged, as drawn in the last pass.
    pub fn live_gaps(&self) -> Option<&crate::document::PreviewGaps> {
        self.live.as_ref()
    }

    /// With the settings of a file, which is kept up to date from now on. One that cannot be read
    /// is said and left as it is.
    pub fn with_settings(mut self, ctx: &Context, path: std::path::PathBuf) -> App {
        match files::read_settings(&path) {
            Ok(settings) => {
                for recent in &settings.recent {
                    if !self.recent.contains(recent) {
                        self.recent.push(recent.clone());
                    }
                }
                self.show_colours(ctx, settings.colours);
                self.view.import_as.meshes = settings.meshes;
                self.arranging.weights = settings.weights;
                let folder = settings.shop_folder.clone();
                if let Some(folder) = folder.filter(|_| self.shop.is_none()) {
                    self.use_shop_folder(&folder);
                }
                self.kept = settings;
                self.settings = Some(path);
            }
            Err(fault) => self.message = fault.to_string(),
        }
        self
    }

    /// Writes the settings when they changed; a disk that refuses is said once.
    fn keep_settings(&mut self) {
        let shop = self.shop.as_ref().map(|(path, _)| path);
        let kept = &self.kept;
        let same = kept.recent == self.recent
            && kept.shop_folder.as_ref() == shop
            && kept.colours == self.colours
            && kept.meshes == self.view.import_as.meshes
            && kept.weights == self.arranging.weights;
        let Some(path) = self.settings.as_ref().filter(|_| !same) else {
            return;
        };
        let now = files::Settings {
            recent: self.recent.clone(),
            shop_folder: shop.cloned(),
            colours: self.colours,
            meshes: self.view.import_as.meshes,
            weights: self.arranging.weights,
        };
        if let Err(fault) = files::save_settings(path, &now) {
            self.message = fault.to_string();
            self.settings = None;
        }
        self.kept = now;
    }

    /// With other dialogs than the desktop's, and another clock: for tests.
    pub fn with(mut self, dialogs: Box<dyn Dialogs>, clock: Box<dyn Fn() -> Duration>) -> App {
        self.dialogs = dialogs;
        self.clock = clock;
        self
    }

    /// Jobs, dialogs, the title and the question on closing. Nothing is painted here.
    pub fn before(&mut self, ctx: &Context) {
        self.poll_dialog(ctx);
        self.poll_imports(ctx);
        self.poll_standards(ctx);
        self.start_forecasting(ctx);
        self.poll_arranging(ctx);
        self.poll_queueing(ctx);
        self.refresh();
        if ctx.input(|i| i.viewport().close_requested()) && !self.closing {
            if self.shop_unkept() {
                ctx.send_viewport_cmd(ViewportCommand::CancelClose);
                self.modal = Some(state::Modal::Unkept(state::After::Close));
            } else if self.doc.history.is_saved() {
                self.closing = true;
            } else {
                ctx.send_viewport_cmd(ViewportCommand::CancelClose);
                self.modal = Some(state::Modal::Unsaved(state::After::Close));
            }
        }
        let title = crate::text::app::window_title(&self.doc.title());
        if title != self.shown_title {
            ctx.send_viewport_cmd(ViewportCommand::Title(title.clone()));
            self.shown_title = title;
        }
    }

    /// One pass over the whole window.
    pub fn pass(&mut self, ui: &mut Ui) {
        let ctx = ui.ctx().clone();
        let mut actions: Vec<Action> = Vec::new();
        self.keys(&ctx, &mut actions);
        self.dropped_files(&ctx, &mut actions);
        Panel::top("menu").show(ui, |ui| self.menu_bar(ui, &mut actions));
        Panel::bottom("status")
            .exact_size(theme::TARGET + 2.0)
            .show(ui, |ui| self.status_line(ui));
        match self.view.board {
            Board::Load => self.load_board(ui, &mut actions),
            Board::Profile => self.profile_board(ui, &mut actions),
            Board::Library => {
                CentralPanel::default().show(ui, |ui| self.library(ui, &mut actions));
            }
            Board::Limits => {
                CentralPanel::default().show(ui, |ui| self.limits_board(ui, &mut actions));
            }
            Board::Cleared => {
                CentralPanel::default().show(ui, |ui| self.cleared_board(ui, &mut actions));
            }
            Board::Backlog => {
                CentralPanel::default().show(ui, |ui| self.backlog_board(ui, &mut actions));
            }
            Board::Shop => {
                CentralPanel::default().show(ui, |ui| self.shop_board(ui, &mut actions));
            }
        }
        self.palette(&ctx, &mut actions);
        self.import_questions(&ctx, &mut actions);
        self.standard_question(&ctx);
        self.pose_window(&ctx, &mut actions);
        self.modals(&ctx, &mut actions);
        for action in actions {
            self.act(&ctx, action);
        }
        self.refresh();
        self.keep_settings();
        self.view.was_typing = ctx.text_edit_focused();
    }
}

impl eframe::App for App {
    fn logic(&mut self, ctx: &Context, _frame: &mut eframe::Frame) {
        self.before(ctx);
    }

    fn ui(&mut self, ui: &mut Ui, _frame: &mut eframe::Frame) {
        self.pass(ui);
    }
}
