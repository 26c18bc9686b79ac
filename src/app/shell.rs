//! Menus, keys, the palette, questions over the window and the status line.

use super::commands::{Command, Menu};
use super::dialogs::Answer;
use super::state::{Action, After, App, Ask, Board, Modal};
use super::theme::{self, Tokens};
use crate::files;
use crate::text::app as say;
use egui::{Button, Context, Key, Modal as Window, RichText, Role, Ui, WidgetInfo};
use std::path::PathBuf;

impl App {
    /// Keys that are not typed into a field.
    pub(super) fn keys(&self, ctx: &Context, actions: &mut Vec<Action>) {
        if self.modal.is_some() || self.view.palette.is_some() || self.asking() {
            return;
        }
        let typing = ctx.text_edit_focused() || self.view.was_typing;
        // Longer combinations first, so that Ctrl-Shift-Z is not taken for Ctrl-Z.
        let mut commands: Vec<Command> = Command::ALL.to_vec();
        commands.sort_by_key(|c| std::cmp::Reverse(c.keys().is_some_and(|k| k.modifiers.shift)));
        for command in commands {
            let Some(keys) = command.keys() else { continue };
            // A field keeps what types a character (Shift-R too), and its own selection and undo.
            let of_field = !keys.modifiers.command
                || keys.conflicts_with_text_editing()
                || matches!(keys.logical_key, Key::A | Key::Z);
            if typing && of_field {
                continue;
            }
            // A drag, or an open form, is dropped by Escape before anything else.
            let more = self.view.preview.is_some() || egui::Popup::is_any_open(ctx);
            if keys.logical_key == Key::Escape && more {
                continue;
            }
            let enabled = command.enabled(self);
            // One with Shift is taken in any case: Ctrl-Shift-Z with nothing to do again is no
            // Ctrl-Z.
            let mine = enabled || (keys.modifiers.shift && keys.modifiers.command);
            if mine && ctx.input_mut(|i| i.consume_shortcut(&keys)) && enabled {
                actions.push(Action::Command(command));
            }
        }
        // What others use for it.
        let again = egui::KeyboardShortcut::new(egui::Modifiers::COMMAND, Key::Y);
        if !typing && Command::Redo.enabled(self) && ctx.input_mut(|i| i.consume_shortcut(&again)) {
            actions.push(Action::Command(Command::Redo));
        }
    }

    pub(super) fn menu_bar(&mut self, ui: &mut Ui, actions: &mut Vec<Action>) {
        egui::MenuBar::new().ui(ui, |ui| {
            for menu in Menu::ALL {
                ui.menu_button(menu.name(), |ui| {
                    for command in Command::ALL.iter().filter(|c| c.menu() == menu) {
                        self.command_button(ui, *command, actions);
                    }
                    if menu == Menu::File && !self.recent.is_empty() {
                        ui.separator();
                        ui.label(say::label("Recent"));
                        for path in &self.recent {
                            if ui.button(path.display().to_string()).clicked() {
                                actions.push(Action::Open(path.clone()));
                            }
                        }
                    }
                });
            }
            ui.separator();
            let boards = [
                (Board::Load, Command::LoadBoard),
                (Board::Profile, Command::ProfileBoard),
                (Board::Library, Command::LibraryBoard),
                (Board::Limits, Command::LimitsBoard),
                (Board::Cleared, Command::ClearedBoard),
                (Board::Shop, Command::ShopBoard),
                (Board::Backlog, Command::BacklogBoard),
            ];
            for (board, command) in boards {
                let chosen = self.view.board == board;
                let tab = ui.selectable_label(chosen, command.name());
                tab.widget_info(|| {
                    WidgetInfo::selected(Role::Tab, true, chosen, say::tab(&command.name()))
                });
                if tab.clicked() {
                    actions.push(Action::Command(command));
                }
            }
            ui.separator();
            for command in [Command::Undo, Command::Redo] {
                self.tool_button(ui, command, actions);
            }
        });
    }

    /// A command as an entry of a menu.
    pub(super) fn command_button(&self, ui: &mut Ui, command: Command, actions: &mut Vec<Action>) {
        let mut button = Button::new(self.command_text(command));
        if let Some(keys) = command.keys() {
            button = button.shortcut_text(ui.ctx().format_shortcut(&keys));
        }
        if ui.add_enabled(command.enabled(self), button).clicked() {
            actions.push(Action::Command(command));
        }
    }

    /// A command as a button on a board; its keys are in the hint.
    pub(super) fn tool_button(&self, ui: &mut Ui, command: Command, actions: &mut Vec<Action>) {
        let button = Button::new(command.short());
        let mut response = ui.add_enabled(command.enabled(self), button);
        let keys = command.keys().map(|k| ui.ctx().format_shortcut(&k));
        let hint = match (command, keys) {
            (Command::Undo | Command::Redo, Some(keys)) => {
                format!("{} ({keys})", self.command_text(command))
            }
            (_, Some(keys)) => format!("{} ({keys})", command.name()),
            (_, None) => command.name(),
        };
        response = response.on_hover_text(hint);
        let name = command.name();
        let enabled = command.enabled(self);
        response.widget_info(|| WidgetInfo::labeled(Role::Button, enabled, &name));
        if response.clicked() {
            actions.push(Action::Command(command));
        }
    }

    /// Undo and redo name their step.
    fn command_text(&self, command: Command) -> String {
        let history = &self.doc.history;
        let step = match command {
            Command::Undo | Command::Redo if self.view.board == Board::Shop => {
                self.shop_step(command == Command::Undo)
            }
            Command::Undo => history.undo_label().map(str::to_owned),
            Command::Redo => history.redo_label().map(str::to_owned),
            _ => None,
        };
        step.map_or_else(
            || command.name(),
            |step| say::with_step(&command.name(), &step),
        )
    }

    pub(super) fn status_line(&self, ui: &mut Ui) {
        let tokens = Tokens::of(ui.ctx());
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            let plans = RichText::new(say::planner_only()).color(tokens.weak);
            ui.label(plans.size(theme::SMALL));
            // What is left of the line is the message's.
            ui.with_layout(egui::Layout::left_to_right(egui::Align::Center), |ui| {
                let message = egui::Label::new(&self.message).truncate();
                ui.add(message).on_hover_text(&self.message);
            });
        });
    }

    /// The palette: type a few letters, Enter does the first.
    pub(super) fn palette(&mut self, ctx: &Context, actions: &mut Vec<Action>) {
        let Some(typed) = &mut self.view.palette else {
            return;
        };
        let mut typed = std::mem::take(typed);
        let found: Vec<Command> = Command::ALL
            .iter()
            .copied()
            .filter(|c| {
                let name = c.name().to_lowercase();
                typed
                    .to_lowercase()
                    .split_whitespace()
                    .all(|word| name.contains(word))
            })
            .collect();
        let mut chosen = None;
        let shown = Window::new(egui::Id::unique("palette")).show(ctx, |ui| {
            ui.set_width(theme::SIDE * 1.5);
            ui.heading(say::label("Find a command"));
            let label = ui.label(say::label("Part of its name"));
            let field = ui.text_edit_singleline(&mut typed).labelled_by(label.id);
            field.request_focus();
            if ui.input(|i| i.key_pressed(Key::Enter)) {
                chosen = found.iter().copied().find(|c| c.enabled(self));
            }
            egui::ScrollArea::vertical()
                .max_height(theme::SIDE)
                .show(ui, |ui| {
                    for command in &found {
                        let mut button = Button::new(command.name()).frame(false);
                        if let Some(keys) = command.keys() {
                            button = button.shortcut_text(ui.ctx().format_shortcut(&keys));
                        }
                        let width = ui.available_width();
                        let response = ui.add_enabled(
                            command.enabled(self),
                            button.min_size(egui::vec2(width, theme::TARGET)),
                        );
                        if response.clicked() {
                            chosen = Some(*command);
                        }
                    }
                });
        });
        let done = chosen.is_some() || shown.should_close();
        self.view.palette = (!done).then_some(typed);
        actions.extend(chosen.map(Action::Command));
    }

    /// Questions over the window.
    pub(super) fn modals(&mut self, ctx: &Context, actions: &mut Vec<Action>) {
        match self.modal.clone() {
            None => {}
            Some(Modal::Trouble(sentence) | Modal::Told(sentence)) => {
                let told = matches!(self.modal, Some(Modal::Told(_)));
                let heading = match told {
                    true => "Read, and to be looked at",
                    false => "That did not work",
                };
                let shown = Window::new(egui::Id::unique("trouble")).show(ctx, |ui| {
                    ui.set_max_width(theme::SIDE * 1.8);
                    ui.heading(say::label(heading));
                    ui.label(sentence);
                    ui.button(say::label("Close this")).clicked()
                });
                if shown.inner || shown.should_close() {
                    self.modal = None;
                }
            }
            Some(Modal::Unsaved(after)) => self.unsaved(ctx, after),
            Some(Modal::Unkept(after)) => self.unkept(ctx, after),
            Some(Modal::Replace(path)) => self.replace_question(ctx, path, actions),
            Some(Modal::Path(ask)) => self.typed_path(ctx, ask, actions),
        }
    }

    /// The action, unless it would put a load in another file's place: then the question first.
    fn unless_replacing(&mut self, action: Option<Action>) -> Option<Action> {
        let Some(Action::SaveAs(path)) = &action else {
            return action;
        };
        let path = files::load_path(path);
        if path.exists() && self.path.as_ref() != Some(&path) {
            self.modal = Some(Modal::Replace(path));
            return None;
        }
        action
    }

    fn replace_question(&mut self, ctx: &Context, path: PathBuf, actions: &mut Vec<Action>) {
        let shown = Window::new(egui::Id::unique("replace")).show(ctx, |ui| {
            ui.heading(say::label("There is such a file"));
            ui.label(say::replaces(&path.display().to_string()));
            ui.horizontal(|ui| {
                let replace = ui.button(say::label("Replace it")).clicked();
                let keep = ui.button(say::label("Keep it")).clicked();
                (replace, keep)
            })
            .inner
        });
        let (replace, keep) = shown.inner;
        if replace {
            actions.push(Action::SaveAs(path));
        }
        if replace || keep || shown.should_close() {
            self.modal = None;
            if !replace {
                self.after_save = None;
            }
        }
    }

    fn unsaved(&mut self, ctx: &Context, after: After) {
        let shown = Window::new(egui::Id::unique("unsaved")).show(ctx, |ui| {
            ui.heading(say::label("This load is not saved"));
            ui.label(say::unsaved(&self.doc.title()));
            let mut answer = None;
            ui.horizontal(|ui| {
                for choice in ["Save first", "Drop the changes", "Stay here"] {
                    if ui.button(say::label(choice)).clicked() {
                        answer = Some(choice);
                    }
                }
            });
            answer
        });
        match shown.inner {
            Some("Save first") => match self.path.clone() {
                Some(path) => {
                    self.modal = None;
                    if self.save_to(&path) {
                        self.go_on(ctx, after);
                    }
                }
                None => {
                    self.modal = None;
                    self.after_save = Some(after);
                    self.ask_path(ctx, Ask::SaveAs);
                }
            },
            Some("Drop the changes") => {
                self.modal = None;
                self.go_on(ctx, after);
            }
            Some(_) => self.modal = None,
            None if shown.should_close() => self.modal = None,
            None => {}
        }
    }

    /// Asks the desktop for a path; where it has no dialog service, the window asks.
    pub(super) fn ask_path(&mut self, ctx: &Context, ask: Ask) {
        let ctx = ctx.clone();
        let answer = self
            .dialogs
            .ask(ask, Box::new(move || ctx.request_repaint()));
        self.asked = Some((ask, answer));
    }

    /// Takes the desktop's answer when it has come.
    pub(super) fn poll_dialog(&mut self, ctx: &Context) {
        let Some((ask, receiver)) = &self.asked else {
            return;
        };
        let ask = *ask;
        match receiver.try_recv() {
            Err(std::sync::mpsc::TryRecvError::Empty) => {}
            Ok(Answer::Paths(paths)) => {
                self.asked = None;
                // The dialog asked about the name that was chosen, not about the one with the ending.
                let asked = paths.first().is_some_and(|p| *p == files::load_path(p));
                let action = for_paths(ask, paths);
                if let Some(action) = if asked {
                    action
                } else {
                    self.unless_replacing(action)
                } {
                    self.act(ctx, action);
                }
            }
            Ok(Answer::Nothing) | Err(_) => {
                self.asked = None;
                // Cancel and "no dialog service" look the same, so a way to type is offered.
                self.modal = Some(Modal::Path(ask));
            }
        }
    }

    fn typed_path(&mut self, ctx: &Context, ask: Ask, actions: &mut Vec<Action>) {
        let field_name = "path".to_owned();
        let mut typed = self
            .view
            .typing
            .get(&field_name)
            .cloned()
            .unwrap_or_else(|| {
                // Only a load has the open load's name to begin from.
                let load = matches!(ask, Ask::Open | Ask::SaveAs);
                let path = self.path.as_ref().filter(|_| load);
                path.map_or_else(String::new, |p| p.display().to_string())
            });
        let shown = Window::new(egui::Id::unique("path")).show(ctx, |ui| {
            ui.set_width(theme::SIDE * 1.8);
            ui.heading(say::path_wanted(ask_words(ask)));
            ui.label(say::no_dialog_service());
            let label = ui.label(say::label("Path"));
            let field = ui.text_edit_singleline(&mut typed).labelled_by(label.id);
            if !field.lost_focus() && ui.memory(|m| m.focused().is_none()) {
                field.request_focus();
            }
            let enter = field.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
            let mut answer = enter.then_some(true);
            ui.horizontal(|ui| {
                if ui.button(say::label("Use this path")).clicked() {
                    answer = Some(true);
                }
                if ui.button(say::label("Cancel")).clicked() {
                    answer = Some(false);
                }
            });
            answer
        });
        let answer = shown.inner.or(shown.should_close().then_some(false));
        match answer {
            None => {
                self.view.typing.insert(field_name, typed);
            }
            Some(used) => {
                self.view.typing.remove(&field_name);
                self.modal = None;
                let paths: Vec<PathBuf> = if ask == Ask::Import {
                    typed.split(';').map(|p| PathBuf::from(p.trim())).collect()
                } else {
                    vec![PathBuf::from(typed.trim())]
                };
                if used && !typed.trim().is_empty() {
                    // A dialog of the desktop asks this itself; a typed path does not.
                    let action = for_paths(ask, paths);
                    actions.extend(self.unless_replacing(action));
                } else {
                    self.after_save = None;
                }
            }
        }
    }

    /// Files dropped on the window: loads are opened, meshes imported.
    pub(super) fn dropped_files(&self, ctx: &Context, actions: &mut Vec<Action>) {
        let dropped: Vec<PathBuf> = ctx.input(|i| {
            i.raw
                .dropped_files
                .iter()
                .map(|f| f.path().to_path_buf())
                .collect()
        });
        let is_mesh = |p: &PathBuf| files::is_mesh_name(p);
        let (meshes, others): (Vec<_>, Vec<_>) = dropped.into_iter().partition(is_mesh);
        if !meshes.is_empty() {
            actions.push(Action::Import(meshes));
        }
        actions.extend(others.into_iter().next().map(Action::Open));
    }
}

fn ask_words(ask: Ask) -> &'static str {
    match ask {
        Ask::Open => "Open a load",
        Ask::SaveAs => "Save the load as",
        Ask::Import => "Import part shapes (several paths divided by ;)",
        Ask::ShopFolder => "Choose the shop folder",
        Ask::Lots => "Read lots from a table",
        Ask::Backlog => "Open a backlog",
        Ask::Compare => "Compare with a load",
        Ask::RunLog => "Open the log of the stopped run",
        Ask::EmptyRun => "Open the log of an empty run",
        Ask::LoadedRun => "Open the log of a run of this load",
        Ask::Pieces => "Open a table of measured pieces",
        Ask::Draft => "Save the draft as",
    }
}

fn for_paths(ask: Ask, paths: Vec<PathBuf>) -> Option<Action> {
    match ask {
        Ask::Open => paths.into_iter().next().map(Action::Open),
        Ask::SaveAs => paths.into_iter().next().map(Action::SaveAs),
        Ask::ShopFolder => paths.into_iter().next().map(Action::UseShopFolder),
        Ask::Lots => paths.into_iter().next().map(Action::ReadLots),
        Ask::Backlog => paths.into_iter().next().map(Action::OpenBacklog),
        Ask::Import => Some(Action::Import(paths)),
        Ask::Compare => paths.into_iter().next().map(Action::CompareWith),
        Ask::RunLog | Ask::EmptyRun | Ask::LoadedRun | Ask::Pieces | Ask::Draft => {
            let path = paths.into_iter().next();
            path.map(|path| Action::FileOfQuestion(ask, path))
        }
    }
}
