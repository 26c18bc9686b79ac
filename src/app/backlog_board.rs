//! A backlog and the loads that it becomes: made in the background, listed with what is in each and
//! why, opened one at a time.

use super::columns::from_right;
use super::commands::Command;
use super::marks::mark_in_row;
use super::state::{Action, App, Board, Modal};
use super::theme::{self, Tokens};
use super::wake;
use crate::catalogue::{Severity, when};
use crate::document::arranging::MOST_SEED;
use crate::document::backlog::{
    Base, ForTable, Listed, QueuedOrNot, QueuedRuns, Queueing, RunShown, ToQueue, look_at,
};
use crate::document::{Budget, Document, Finished};
use crate::files::{self, JobRead, JobsRead, MOST_TURNAROUND_MIN};
use crate::text::app as say;
use crate::text::backlog_board as words;
use crate::text::queueing;
use egui::{Button, ComboBox, Context, DragValue, Grid, RichText, ScrollArea, TextEdit, Ui, vec2};
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

    /// Why no loads can be made of what is read and typed.
    fn refused(&self) -> Option<String> {
        let rows = &self.read.rows;
        let faults = rows.iter().filter(|row| row.fault.is_some()).count();
        if faults > 0 {
            return Some(words::faults_first(rows.len(), faults));
        }
        if self.read.fault.is_some() {
            return Some(words::file_first());
        }
        let typed = self.start.trim();
        let wanted = self.is_table() && when::moment(typed).is_none();
        wanted.then(|| words::start_wanted(typed))
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
            if self.backlog.file.is_some() {
                let again = Button::new(say::label("Read it again"));
                let again = ui.add_enabled(!self.is_queueing(), again);
                if again.on_hover_text(words::again_hint()).clicked() {
                    self.backlog.work = None;
                    self.read_backlog();
                }
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
                    ui.separator();
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
                let field = field.align(egui::Align2::LEFT_CENTER);
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
                .labelled_by(label.id)
                .on_hover_text(words::hard_hint());
            let label = ui.label(say::label("Seed"));
            let seed = form.seed.get_or_insert(1);
            ui.add(DragValue::new(seed).range(1..=MOST_SEED))
                .labelled_by(label.id)
                .on_hover_text(words::hard_hint());
            ui.checkbox(&mut form.keep_posts, say::label("Keep the posts"))
                .on_hover_text(words::keep_posts_hint());
        });
        let tokens = Tokens::of(ui.ctx());
        let hint = RichText::new(words::weights_hint()).color(tokens.weak);
        ui.add(egui::Label::new(hint).wrap());
    }

    fn backlog_buttons(&mut self, ui: &mut Ui, running: bool) {
        ui.horizontal(|ui| {
            if !running {
                let word = match self.backlog.work {
                    Some(_) => "Make the loads again",
                    None => "Make the loads",
                };
                let refused = self.backlog.refused();
                let make = Button::new(say::label(word));
                let make = ui.add_enabled(refused.is_none(), make);
                if make.clicked() {
                    let ctx = ui.ctx().clone();
                    self.start_queueing(&ctx);
                }
                if let Some(why) = refused {
                    ui.add(egui::Label::new(&why).truncate());
                    make.on_disabled_hover_text(why);
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
    let columns = columns(read);
    Grid::new("jobs of the backlog")
        .num_columns(columns.len() + usize::from(faults > 0))
        .striped(true)
        .spacing(vec2(theme::SPACE * 2.0, theme::SPACE / 2.0))
        .min_row_height(0.0)
        .min_col_width(0.0)
        .show(ui, |ui| {
            if faults > 0 {
                ui.label("");
            }
            for column in &columns {
                let heading = RichText::new(say::label(column.heading)).strong();
                match column.number {
                    true => from_right(ui, heading),
                    false => ui.label(heading),
                };
            }
            ui.end_row();
            for row in shown.iter().take(MOST_SHOWN) {
                match row.fault {
                    Some(_) => mark_in_row(ui, Severity::Stop),
                    None if faults > 0 => drop(ui.label("")),
                    None => {}
                }
                for (i, column) in columns.iter().enumerate() {
                    let text = (column.cell)(row);
                    match column.number {
                        true => from_right(ui, text),
                        // Only the last one knows what is left of the width.
                        false if i + 1 == columns.len() => ui.add(egui::Label::new(text).wrap()),
                        false => ui.label(text),
                    };
                }
                ui.end_row();
            }
        });
    if shown.len() > MOST_SHOWN {
        ui.label(words::more_jobs(shown.len() - MOST_SHOWN));
    }
}

/// A column of the jobs.
struct Column {
    heading: &'static str,
    number: bool,
    cell: fn(&JobRead) -> String,
}

/// Lot, part, pieces and whether they are cleared; the others each where a job has something there.
/// The last one is of words: it takes what is left of the width.
fn columns(read: &JobsRead) -> Vec<Column> {
    let column = |heading, number, cell: fn(&JobRead) -> String| Column {
        heading,
        number,
        cell,
    };
    let all = [
        column("Lot", false, |row| row.lot.clone()),
        column("Part", false, |row| row.part.clone()),
        column("Pieces", true, |row| row.count.clone()),
        column("Priority", true, |row| row.priority.clone()),
        column("Kept in run", true, |row| row.run.clone()),
        column("Feedstock", false, |row| row.feedstock.clone()),
        column("Due", false, |row| row.due.clone()),
        column("Cleared", false, |row| {
            words::cleared(row.cleared, &row.ready)
        }),
        column("Base load", false, |row| row.base.clone()),
        column("Customer", false, |row| row.customer.clone()),
        column("Fault", false, |row| {
            let fault = row.fault.as_ref();
            fault.map_or_else(String::new, |fault| words::at(&row.place, fault))
        }),
    ];
    let used = |(i, column): &(usize, Column)| {
        *i < 3 || read.rows.iter().any(|row| !(column.cell)(row).is_empty())
    };
    let used = all.into_iter().enumerate().filter(used);
    used.map(|(_, column)| column).collect()
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
    let severity = match (counts.stops, cautions) {
        (0, 0) => None,
        (0, _) => Some(Severity::Caution),
        (_, _) => Some(Severity::Stop),
    };
    let counts = words::counts(judged.with_forecast, stops, cautions, missing);
    let lines = |ui: &mut Ui, lines: Vec<String>| {
        for line in lines {
            ui.add(egui::Label::new(words::as_sentence(&line)).wrap());
        }
    };
    ui.indent(("what is in run", run.number), |ui| {
        ui.horizontal_top(|ui| {
            if let Some(severity) = severity {
                mark_in_row(ui, severity);
            }
            ui.add(egui::Label::new(counts).wrap());
        });
        lines(ui, judged.sentences());
        lots_of(ui, run);
        ui.add_space(theme::SPACE / 2.0);
        let rest = [Some(filled), Some(levels), trap];
        lines(ui, rest.into_iter().flatten().collect());
    });
}

/// The lots of a run, each with what else there is to say of it.
fn lots_of(ui: &mut Ui, run: &RunShown) {
    Grid::new(("run of the backlog", run.number))
        .num_columns(5)
        .striped(true)
        .spacing(vec2(theme::SPACE * 2.0, theme::SPACE / 2.0))
        .min_row_height(0.0)
        .min_col_width(0.0)
        .show(ui, |ui| {
            let heading = |text: &str| RichText::new(say::label(text)).strong();
            ui.label(heading("Lot"));
            ui.label(heading("Part"));
            from_right(ui, heading("Pieces"));
            ui.label(heading("Due"));
            ui.end_row();
            for lot in &run.lots {
                ui.label(&lot.lot);
                ui.label(&lot.part);
                from_right(ui, words::pieces(lot.pieces, lot.of));
                ui.label(words::due(lot.due.as_deref()));
                let late = lot.late_by();
                let ready = lot.not_cleared_until.as_deref();
                let (kept, fills) = (lot.kept_in_this_run, lot.fills_up);
                let notes = words::lot_notes(late.as_deref(), kept, fills, ready);
                let notes = RichText::new(notes);
                // Late is told by its word; strong only brings the eye to it.
                let notes = match late {
                    Some(_) => notes.strong(),
                    None => notes,
                };
                ui.add(egui::Label::new(notes).wrap());
                ui.end_row();
            }
        });
}
