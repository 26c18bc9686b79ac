//! A backlog and the loads that it becomes: made in the background, listed with what is in each and
//! why, opened one at a time.

use super::commands::Command;
use super::state::{Action, App, Board, Modal};
use super::theme::{self, Tokens};
use super::wake;
use crate::catalogue::when;
use crate::document::arranging::MOST_SEED;
use crate::document::backlog::{
    Base, ForTable, Listed, QueuedOrNot, QueuedRuns, Queueing, ToQueue, look_at,
};
use crate::document::{Budget, Document, Finished};
use crate::files::{self, JobRead, JobsRead, MOST_TURNAROUND_MIN};
use crate::text::app as say;
use crate::text::backlog_board as words;
use crate::text::queueing;
use egui::{Button, ComboBox, Context, DragValue, Grid, RichText, ScrollArea, TextEdit, Ui};
use std::path::{Path, PathBuf};
use std::time::Duration;

/// How often the job is looked at.
const LOOK: Duration = Duration::from_millis(50);
/// Most jobs that are listed (assumed: nobody reads more).
const MOST_SHOWN: usize = 200;

fn budget_word(budget: Budget) -> String {
    words::hard(budget.word(), budget.a_filling())
}

/// The board's state; it belongs to no load.
#[derive(Default)]
pub struct BacklogBoard {
    file: Option<PathBuf>,
    read: JobsRead,
    start: String,
    turnaround_min: f64,
    budget: Budget,
    seed: Option<u64>,
    keep_posts: bool,
    work: Option<Queueing>,
}

impl BacklogBoard {
    fn is_table(&self) -> bool {
        self.file.as_deref().is_some_and(files::is_table)
    }
}

impl App {
    /// Whether a backlog is being made into loads.
    pub fn is_queueing(&self) -> bool {
        self.backlog.work.as_ref().is_some_and(Queueing::is_running)
    }

    /// Takes a backlog file, and shows its jobs.
    pub(super) fn take_backlog(&mut self, path: PathBuf) {
        self.backlog.file = Some(path);
        self.backlog.work = None;
        self.view.board = Board::Backlog;
        self.read_backlog();
    }

    /// Reads the jobs for showing; they are read anew when the loads are made.
    fn read_backlog(&mut self) {
        let Some(file) = &self.backlog.file else {
            return;
        };
        let open = self.backlog.is_table().then(|| self.open_base());
        let folder = self.shop.as_ref().map(|(_, shop)| shop);
        self.backlog.read = look_at(file, open.as_ref(), folder);
    }

    /// The open load as a base load.
    fn open_base(&self) -> Base {
        let folder = self.path.as_deref().and_then(Path::parent);
        Base {
            name: self.doc.title(),
            plan: self.doc.history.to_save(),
            working: self.working.clone(),
            folder: folder.unwrap_or(Path::new("")).to_owned(),
        }
    }

    pub(super) fn poll_queueing(&self, ctx: &Context) {
        if self.is_queueing() {
            ctx.request_repaint_after(LOOK);
        }
    }

    /// What a table does not say: its base load is the open one.
    fn for_table(&self) -> Result<Option<ForTable>, String> {
        if !self.backlog.is_table() {
            return Ok(None);
        }
        let typed = self.backlog.start.trim();
        let start = when::moment(typed).ok_or_else(|| words::start_wanted(typed))?;
        Ok(Some(ForTable {
            start,
            turnaround_min: self.backlog.turnaround_min,
            base: self.open_base(),
        }))
    }

    pub(super) fn start_queueing(&mut self, ctx: &Context) {
        let Some(file) = self.backlog.file.clone() else {
            return;
        };
        self.read_backlog();
        match self.for_table() {
            Err(sentence) => self.message = sentence,
            Ok(table) => {
                let asked = ToQueue {
                    file,
                    table,
                    evaluations: self.backlog.budget.a_filling(),
                    seed: self.backlog.seed.unwrap_or(1),
                    anew: !self.backlog.keep_posts,
                    weights: self.arranging.weights,
                    shop: self.shop.as_ref().map(|(_, shop)| shop.clone()),
                };
                self.backlog.work = Some(asked.start(wake(ctx)));
            }
        }
    }

    /// Opens a run as a load of its own, not saved yet.
    pub(super) fn open_run(&mut self, at: usize) {
        let finished = self.backlog.work.as_ref().and_then(Queueing::finished);
        let made = finished.as_deref().and_then(made);
        let Some((plan, working)) = made.and_then(|made| made.runs.opened(at)) else {
            self.modal = Some(Modal::Trouble(words::run_gone()));
            return;
        };
        let title = plan.title.clone();
        self.working = working;
        // It is in no file yet: closing it asks.
        self.replace(Document::recovered(plan, None), None);
        self.view.board = Board::Load;
        self.message = words::run_opened(&title);
    }

    /// Takes the backlog that lies beside the open load, makes its loads and waits for them, or for
    /// so long: for a picture.
    pub(super) fn backlog_beside(&mut self, ctx: &Context, most: Duration) {
        let Some(file) = self.path.as_deref().and_then(files::backlog_beside) else {
            return;
        };
        self.take_backlog(file);
        self.backlog.budget = Budget::Quick;
        self.start_queueing(ctx);
        let start = std::time::Instant::now();
        while self.is_queueing() && start.elapsed() < most {
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    /// The board.
    pub(super) fn backlog_board(&mut self, ui: &mut Ui, actions: &mut Vec<Action>) {
        ui.horizontal(|ui| {
            ui.heading(say::label("Backlog"));
            if ui.button(Command::OpenBacklog.name()).clicked() {
                actions.push(Action::Command(Command::OpenBacklog));
            }
            if let Some(file) = &self.backlog.file {
                let name = file.display().to_string();
                ui.add(egui::Label::new(&name).truncate())
                    .on_hover_text(&name);
            }
        });
        if self.backlog.file.is_none() {
            ui.add(egui::Label::new(words::what_it_is()).wrap());
            return;
        }
        let running = self.is_queueing();
        ui.add_enabled_ui(!running, |ui| self.backlog_form(ui));
        self.backlog_buttons(ui, running);
        ui.separator();
        let finished = self.backlog.work.as_ref().and_then(Queueing::finished);
        ScrollArea::vertical()
            .id_salt("runs of the backlog")
            .auto_shrink([false, false])
            .show(ui, |ui| {
                if let Some(finished) = &finished {
                    came_of_it(ui, finished, actions);
                }
                jobs_read(ui, &self.backlog.read);
            });
    }

    fn backlog_form(&mut self, ui: &mut Ui) {
        let table = self.backlog.is_table();
        let form = &mut self.backlog;
        if table {
            ui.add(egui::Label::new(words::table_hint(&self.doc.title())).wrap());
            ui.horizontal(|ui| {
                let label = ui.label(say::label("From when the furnace may be used"));
                let field = TextEdit::singleline(&mut form.start).hint_text(words::start_hint());
                ui.add(field.desired_width(theme::SIDE * 0.6))
                    .labelled_by(label.id);
                let label = ui.label(say::label("Minutes between two runs"));
                let range = 0.0..=MOST_TURNAROUND_MIN;
                ui.add(DragValue::new(&mut form.turnaround_min).range(range))
                    .labelled_by(label.id);
            });
        }
        ui.horizontal(|ui| {
            let label = ui.label(say::label("How hard"));
            ComboBox::from_id_salt("backlog effort")
                .selected_text(budget_word(form.budget))
                .width(theme::SIDE)
                .show_ui(ui, |ui| {
                    for budget in Budget::ALL {
                        ui.selectable_value(&mut form.budget, budget, budget_word(budget));
                    }
                })
                .response
                .labelled_by(label.id);
            let label = ui.label(say::label("Seed"));
            let seed = form.seed.get_or_insert(1);
            ui.add(DragValue::new(seed).range(1..=MOST_SEED))
                .labelled_by(label.id);
            ui.checkbox(&mut form.keep_posts, say::label("Keep the posts"))
                .on_hover_text(words::keep_posts_hint());
            let tokens = Tokens::of(ui.ctx());
            ui.label(RichText::new(words::weights_hint()).color(tokens.weak));
        });
    }

    fn backlog_buttons(&mut self, ui: &mut Ui, running: bool) {
        ui.horizontal(|ui| {
            if !running {
                let word = match self.backlog.work {
                    Some(_) => "Make the loads again",
                    None => "Make the loads",
                };
                if ui.button(say::label(word)).clicked() {
                    let ctx = ui.ctx().clone();
                    self.start_queueing(&ctx);
                }
                return;
            }
            let Some(work) = &self.backlog.work else {
                return;
            };
            let stop = Button::new(say::label("Stop"));
            let stop = ui.add_enabled(!work.is_stopped(), stop);
            if stop.on_hover_text(words::stop_hint()).clicked() {
                work.stop();
            }
            let word = work.progress().word;
            ui.label(match work.is_stopped() {
                true => words::stopping(&word),
                false => words::at_work(&word),
            });
        });
    }
}

/// The jobs as they stand in the file, each with what is wrong with it.
fn jobs_read(ui: &mut Ui, read: &JobsRead) {
    if let Some(fault) = &read.fault {
        ui.add(egui::Label::new(fault).wrap());
    }
    if read.rows.is_empty() {
        return;
    }
    let faults = read.rows.iter().filter(|row| row.fault.is_some()).count();
    ui.strong(words::jobs_read(read.rows.len(), faults));
    // Where there are too many to look at, those with a fault come first.
    let mut shown: Vec<&JobRead> = read.rows.iter().collect();
    if shown.len() > MOST_SHOWN {
        shown.sort_by_key(|row| row.fault.is_none());
    }
    // Columns that few backlogs have are there where one has them.
    let more = more_columns(read);
    Grid::new("jobs of the backlog")
        .num_columns(7 + more.len())
        .striped(true)
        .min_row_height(0.0)
        .show(ui, |ui| {
            let headings = ["Lot", "Part", "Pieces", "Feedstock", "Due", "Cleared"];
            let more_headings = more.iter().map(|(heading, _)| *heading);
            for heading in headings.into_iter().chain(more_headings).chain(["Fault"]) {
                ui.label(RichText::new(say::label(heading)).small());
            }
            ui.end_row();
            for row in shown.iter().take(MOST_SHOWN) {
                for cell in [&row.lot, &row.part, &row.count, &row.feedstock, &row.due] {
                    ui.label(cell);
                }
                ui.label(words::cleared(row.cleared, &row.ready));
                for (_, cell) in &more {
                    ui.label(cell(row));
                }
                if let Some(fault) = &row.fault {
                    ui.label(RichText::new(words::at(&row.place, fault)).strong());
                }
                ui.end_row();
            }
        });
    if shown.len() > MOST_SHOWN {
        ui.label(words::more_jobs(shown.len() - MOST_SHOWN));
    }
}

type Column = (&'static str, fn(&JobRead) -> &str);

/// Priority, pin, base load and customer, each where a job has it.
fn more_columns(read: &JobsRead) -> Vec<Column> {
    let all: [Column; 4] = [
        ("Priority", |row| &row.priority),
        ("Kept in run", |row| &row.run),
        ("Base load", |row| &row.base),
        ("Customer", |row| &row.customer),
    ];
    let has = |(_, cell): &Column| read.rows.iter().any(|row| !cell(row).is_empty());
    all.into_iter().filter(has).collect()
}

fn made(finished: &Finished<QueuedOrNot>) -> Option<&QueuedRuns> {
    finished.result.as_ref().ok()?.as_ref().ok()
}

fn came_of_it(ui: &mut Ui, finished: &Finished<QueuedOrNot>, actions: &mut Vec<Action>) {
    let wrapped = |ui: &mut Ui, text: String| ui.add(egui::Label::new(text).wrap());
    let made = match &finished.result {
        Err(fault) => {
            wrapped(ui, fault.sentence(&words::job()));
            return;
        }
        Ok(Err(sentence)) => {
            wrapped(ui, sentence.clone());
            return;
        }
        Ok(Ok(made)) => made,
    };
    ui.strong(&made.summary);
    wrapped(ui, queueing::least(made.runs.least()));
    wrapped(ui, made.lateness.sentence());
    for line in made.short.iter().chain(&made.notes) {
        wrapped(ui, line.clone());
    }
    for listed in &made.list {
        ui.separator();
        run(ui, listed, made.anew, actions);
    }
    if !made.left.is_empty() {
        ui.separator();
        ui.strong(queueing::left_over());
        for job in &made.left {
            wrapped(ui, job.line().trim().to_owned());
        }
    }
    ui.separator();
    let tokens = Tokens::of(ui.ctx());
    let how = RichText::new(queueing::how_counted()).color(tokens.weak);
    ui.add(egui::Label::new(how).wrap());
    if made.list.iter().any(|listed| listed.run.trap.is_some()) {
        let how = RichText::new(queueing::how_carried()).color(tokens.weak);
        ui.add(egui::Label::new(how).wrap());
    }
}

/// One run: when, on what, what is in it, and the button that opens it.
fn run(ui: &mut Ui, listed: &Listed, anew: bool, actions: &mut Vec<Action>) {
    let (run, judged) = (&listed.run, &listed.judged);
    ui.horizontal_wrapped(|ui| {
        ui.strong(queueing::run(run.number, &run.base, &run.start, &run.end));
        let name = words::open_run(run.number);
        let open = ui.button(say::label("Open as a load"));
        open.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, name.clone()));
        if open.clicked() {
            actions.push(Action::OpenRun(run.number - 1));
        }
    });
    let pieces = run.lots.iter().map(|lot| lot.pieces).sum();
    let filled = queueing::filled(pieces, run.coupons, run.setters, run.fill);
    let levels = queueing::levels(run.levels, run.height_mm, anew);
    let trap = run.trap.map(|trap| trap.sentence());
    let counts = judged.counts;
    let named = queueing::names(&judged.stops);
    let stops = (counts.stops, named.as_str());
    let (cautions, missing) = (counts.cautions, counts.missing);
    let counts = words::counts(judged.with_forecast, stops, cautions, missing);
    let lines = [Some(filled), Some(levels), trap, Some(counts)];
    let lines = lines.into_iter().flatten().chain(judged.sentences());
    for line in lines {
        ui.add(egui::Label::new(line.trim()).wrap());
    }
    Grid::new(("run of the backlog", run.number))
        .num_columns(4)
        .striped(true)
        .min_row_height(0.0)
        .show(ui, |ui| {
            for heading in ["Lot", "Part", "Pieces", "Due"] {
                ui.label(RichText::new(say::label(heading)).small());
            }
            ui.end_row();
            for lot in &run.lots {
                ui.label(&lot.lot);
                ui.label(&lot.part);
                ui.label(words::pieces(lot.pieces, lot.of));
                let when = lot.when();
                let when = RichText::new(when.trim_start_matches([',', ' ']));
                // Late is told by its word; strong only brings the eye to it.
                ui.label(if lot.late_min > 0.0 {
                    when.strong()
                } else {
                    when
                });
                ui.end_row();
            }
        });
}
