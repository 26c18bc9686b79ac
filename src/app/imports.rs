//! Reading part shapes off the window's thread: one question a batch, then a job, then one edit a
//! file.

use super::state::{Action, App, Modal};
use super::theme::{self, Tokens};
use super::wake;
use crate::document::{InputHash, Job, Stopped, Ticket};
use crate::files::{MeshesAs, PartFrom, part_from_mesh, parts_from_mesh};
use crate::load::Edit;
use crate::part::{Drawn, MeshUnit, Part, PartId, Shape};
use crate::text::app::label;
use crate::text::library as say;
use egui::{Align2, ComboBox, Context, Key, Modal as Question, RichText, Ui, Window, vec2};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// Files named in the question before "and n more".
const NAMED: usize = 6;
/// Sentences told after a batch before "and n more".
const TOLD: usize = 12;

/// What mesh files do not say. The answers stay for the next batch, and all but the feedstock for
/// the next time.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ImportAs {
    /// Unit, size and what becomes of several bodies.
    pub meshes: MeshesAs,
    /// Feedstock slug; empty until one is chosen.
    pub feedstock: String,
}

/// A file as read: its parts without numbers, and remarks; or the sentence why not.
type ReadFile = Result<(Vec<Part>, Vec<String>), String>;

/// A running import.
pub struct Import {
    job: Job<Vec<ReadFile>>,
    files: usize,
}

impl App {
    /// Whether a question of these boards stands over the window.
    pub(super) fn asking(&self) -> bool {
        self.view.import.is_some() || self.standards.naming.is_some()
    }

    /// Asks what the files do not say; more files that come meanwhile join the batch.
    pub(super) fn start_import(&mut self, paths: Vec<PathBuf>) {
        if paths.is_empty() {
            return;
        }
        let Some(first) = self.working.catalogue.feedstocks.keys().next() else {
            self.message = say::no_feedstock();
            return;
        };
        if self
            .working
            .catalogue
            .feedstock(&self.view.import_as.feedstock)
            .is_none()
        {
            // The feedstock of the part last added is the likeliest.
            let last = self.doc.plan().parts.last().map(|p| &p.feedstock);
            let known = last.filter(|id| self.working.catalogue.feedstock(id).is_some());
            self.view.import_as.feedstock = known.unwrap_or(first).clone();
        }
        self.view.import.get_or_insert_default().extend(paths);
    }

    /// Takes over what has been read.
    pub(super) fn poll_imports(&mut self, _ctx: &Context) {
        let mut done = Vec::new();
        self.imports.retain(|import| match import.job.finished() {
            Some(finished) => {
                done.push((finished, import.files));
                false
            }
            None => true,
        });
        for (finished, files) in done {
            match &finished.result {
                Ok(read) => self.take_over(read, files),
                Err(fault) => {
                    self.modal = Some(Modal::Trouble(fault.sentence(say::import_job())));
                }
            }
        }
    }

    fn take_over(&mut self, read: &[ReadFile], files: usize) {
        let mut added = 0;
        let mut faults = Vec::new();
        let mut remarks = Vec::new();
        for one in read {
            match one {
                Ok((parts, notes)) => {
                    remarks.extend(notes.iter().cloned());
                    let mut parts = parts.clone();
                    let mut taken: BTreeSet<String> = BTreeSet::new();
                    taken.extend(self.doc.plan().parts.iter().map(|p| p.name.clone()));
                    for (part, id) in parts.iter_mut().zip(self.doc.history.next_id()..) {
                        part.id = PartId(id);
                        part.name = unused(&part.name, &taken);
                        taken.insert(part.name.clone());
                    }
                    let n = parts.len();
                    let edit = match <[Part; 1]>::try_from(parts) {
                        Ok([part]) => Edit::AddPart(Box::new(part)),
                        Err(parts) => Edit::AddParts(parts),
                    };
                    match self.edit(&edit) {
                        true => added += n,
                        false => faults.push(self.message.clone()),
                    }
                }
                Err(sentence) => faults.push(sentence.clone()),
            }
        }
        self.message = say::imported(added);
        let mut lines = Vec::new();
        let well = faults.is_empty();
        if !faults.is_empty() {
            lines.push(say::not_read(faults.len(), files));
        }
        lines.extend(faults);
        lines.extend(remarks);
        if lines.len() > TOLD {
            let more = lines.len() - TOLD;
            lines.truncate(TOLD);
            lines.push(say::and_more(more));
        }
        if !lines.is_empty() {
            let lines = lines.join("\n");
            self.modal = Some(match well {
                true => Modal::Told(lines),
                false => Modal::Trouble(lines),
            });
        }
    }

    /// The question before a batch, and how far the running ones are.
    pub(super) fn import_questions(&mut self, ctx: &Context, actions: &mut Vec<Action>) {
        self.import_question(ctx);
        self.import_progress(ctx, actions);
    }

    fn import_question(&mut self, ctx: &Context) {
        let Some(paths) = self.view.import.take() else {
            return;
        };
        let mut answers = self.view.import_as.clone();
        let shown = Question::new(egui::Id::unique("import")).show(ctx, |ui| {
            ui.set_width(theme::SIDE * 1.4);
            ui.heading(say::import_head(paths.len()));
            files(ui, &paths);
            ui.separator();
            ui.label(label("Unit of the numbers in the files"));
            ui.horizontal(|ui| {
                for unit in [MeshUnit::Millimetre, MeshUnit::Inch, MeshUnit::Metre] {
                    ui.radio_value(&mut answers.meshes.unit, unit, label(unit.word()));
                }
            });
            ui.label(label("Drawn at"));
            ui.horizontal(|ui| {
                ui.radio_value(&mut answers.meshes.drawn, Drawn::Final, label("final size"));
                ui.radio_value(
                    &mut answers.meshes.drawn,
                    Drawn::Green,
                    label("green size, oversize"),
                );
            });
            ui.label(label("Several bodies in one file"));
            ui.horizontal(|ui| {
                ui.radio_value(
                    &mut answers.meshes.each_body,
                    true,
                    label("each its own part"),
                );
                ui.radio_value(
                    &mut answers.meshes.each_body,
                    false,
                    label("together one part"),
                );
            });
            let catalogue = &self.working.catalogue;
            let name = ui.label(label("Feedstock"));
            let chosen = catalogue.feedstock(&answers.feedstock);
            ComboBox::from_id_salt("feedstock")
                .width(ui.available_width())
                .selected_text(chosen.map_or("", |f| f.name.as_str()))
                .show_ui(ui, |ui| {
                    for (id, (_, feedstock)) in &catalogue.feedstocks {
                        ui.selectable_value(&mut answers.feedstock, id.clone(), &feedstock.name);
                    }
                })
                .response
                .labelled_by(name.id);
            ui.separator();
            // Enter in a list or on a button is meant for that.
            let free = ui.memory(|m| m.focused().is_none());
            let enter = free && ui.input(|i| i.key_pressed(Key::Enter));
            let mut answer = enter.then_some(true);
            ui.horizontal(|ui| {
                if ui.button(say::read_files(paths.len())).clicked() {
                    answer = Some(true);
                }
                if ui.button(label("Cancel")).clicked() {
                    answer = Some(false);
                }
            });
            answer
        });
        self.view.import_as = answers;
        match shown.inner.or(shown.should_close().then_some(false)) {
            None => self.view.import = Some(paths),
            Some(true) => self.begin_import(ctx, paths),
            Some(false) => {}
        }
    }

    fn begin_import(&mut self, ctx: &Context, paths: Vec<PathBuf>) {
        let answers = self.view.import_as.clone();
        let folder = self
            .path
            .as_ref()
            .and_then(|p| p.parent())
            .map(Path::to_owned);
        let files = paths.len();
        let input = InputHash::of(&(&paths, &answers));
        let wake = wake(ctx);
        let job = Job::start("import", input, wake, move |ticket| {
            read_all(&paths, &answers, folder.as_deref(), ticket)
        });
        self.imports.push(Import { job, files });
    }

    fn import_progress(&mut self, ctx: &Context, actions: &mut Vec<Action>) {
        if self.imports.is_empty() {
            return;
        }
        let mut stopped = None;
        let at = vec2(-theme::SPACE, -theme::TARGET * 1.5);
        Window::new(label("Importing"))
            .collapsible(false)
            .resizable(false)
            .anchor(Align2::RIGHT_BOTTOM, at)
            .show(ctx, |ui| {
                ui.set_width(theme::SIDE);
                for (i, import) in self.imports.iter().enumerate() {
                    let progress = import.job.progress();
                    let words = say::reading_file(&progress.word, progress.share);
                    let bar = egui::ProgressBar::new(progress.share as f32);
                    ui.label(words);
                    ui.add(bar);
                    if ui.button(label("Cancel the import")).clicked() {
                        stopped = Some(i);
                    }
                }
            });
        if let Some(i) = stopped {
            // Dropping the job tells it to stop.
            self.imports.remove(i);
            actions.push(Action::Say(say::import_stopped()));
        }
    }
}

fn files(ui: &mut Ui, paths: &[PathBuf]) {
    let tokens = Tokens::of(ui.ctx());
    for path in paths.iter().take(NAMED) {
        ui.label(RichText::new(file_name(path)).color(tokens.weak));
    }
    if paths.len() > NAMED {
        ui.label(RichText::new(say::and_more(paths.len() - NAMED)).color(tokens.weak));
    }
}

fn file_name(path: &Path) -> String {
    path.file_name()
        .unwrap_or(path.as_os_str())
        .to_string_lossy()
        .into_owned()
}

fn read_all(
    paths: &[PathBuf],
    answers: &ImportAs,
    folder: Option<&Path>,
    ticket: &Ticket,
) -> Result<Vec<ReadFile>, Stopped> {
    let mut out = Vec::with_capacity(paths.len());
    for (i, path) in paths.iter().enumerate() {
        ticket.go_on()?;
        ticket.progress(i as f64 / paths.len() as f64, &file_name(path));
        out.push(read_one(path, answers, folder));
    }
    ticket.progress(1.0, "");
    Ok(out)
}

fn read_one(path: &Path, answers: &ImportAs, folder: Option<&Path>) -> ReadFile {
    let name = path
        .file_stem()
        .unwrap_or_default()
        .to_string_lossy()
        .trim()
        .to_owned();
    let from = PartFrom {
        // The plan gives the number when the part goes into it.
        id: PartId(0),
        name,
        feedstock: answers.feedstock.clone(),
        unit: answers.meshes.unit,
        drawn: answers.meshes.drawn,
    };
    let read = if answers.meshes.each_body {
        parts_from_mesh(path, &from)
    } else {
        part_from_mesh(path, from).map(|(part, notes)| (vec![part], notes))
    };
    let (mut parts, notes) = read.map_err(|fault| fault.to_string())?;
    for part in &mut parts {
        // Named from the load file's folder where it lies below it, so that both can move together.
        if let Shape::Mesh { file, .. } = &mut part.shape
            && let Some(below) = folder.and_then(|folder| path.strip_prefix(folder).ok())
        {
            *file = below.display().to_string();
        }
    }
    let remarks = notes
        .iter()
        .map(|note| say::remark(&file_name(path), &note.to_string()));
    Ok((parts, remarks.collect()))
}

/// The name, or the name with a number behind it, that no part has yet.
fn unused(name: &str, taken: &BTreeSet<String>) -> String {
    if !taken.contains(name) {
        return name.to_owned();
    }
    // In brackets: "Bracket 2" is what the second piece of Bracket is called.
    (2..=taken.len() + 2)
        .map(|n| format!("{name} ({n})"))
        .find(|name| !taken.contains(name))
        .unwrap_or_default()
}
