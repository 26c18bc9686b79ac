//! The shop's state while it is being changed: a value of its own with its own undo, which is not
//! on the disk until it is kept. It belongs to the shop folder, not to the open load.

use super::checked::not_taken;
use super::lists::{button, sentence, wrapped};
use super::state::{Action, After, App, Modal};
use super::theme::{self, Tokens};
use crate::catalogue::{FurnaceState, ShopState, Standing};
use crate::files::ShopChange;
use crate::text::{app as words, shop_forms as say};
use egui::{Context, Label, Modal as Window, RichText, Ui, ViewportCommand};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Fields of these forms begin their ids so in what is being typed.
pub(super) const TYPING: &str = "shop ";

/// Steps that can be taken back, at most (assumed: more than anybody remembers).
const MOST_STEPS: usize = 200;

/// A shop's state as changed here.
#[derive(Clone, Debug)]
pub struct ShopDraft {
    dir: PathBuf,
    /// As it was on the disk when the changes began; none where the folder has no state.
    of: Option<ShopState>,
    /// As it is now.
    pub state: ShopState,
    done: Vec<ShopState>,
    undone: Vec<ShopState>,
    /// Nothing of it is wanted any more.
    dropped: bool,
}

impl ShopDraft {
    fn new(dir: &Path, of: Option<&ShopState>, state: ShopState) -> ShopDraft {
        ShopDraft {
            dir: dir.to_owned(),
            of: of.cloned(),
            state,
            done: Vec::new(),
            undone: Vec::new(),
            dropped: false,
        }
    }

    /// Whether something is not on the disk.
    pub fn changed(&self) -> bool {
        self.of.as_ref() != Some(&self.state)
    }

    /// What was changed since `before` becomes a step.
    fn step(&mut self, before: ShopState) {
        if before == self.state {
            return;
        }
        self.undone.clear();
        self.done.push(before);
        if self.done.len() > MOST_STEPS {
            self.done.remove(0);
        }
    }

    /// What undo would take back.
    pub fn undo_label(&self) -> Option<String> {
        let before = self.done.last()?;
        Some(what_differs(before, &self.state))
    }

    /// What redo would do again.
    pub fn redo_label(&self) -> Option<String> {
        let after = self.undone.last()?;
        Some(what_differs(&self.state, after))
    }

    fn undo(&mut self) {
        if let Some(before) = self.done.pop() {
            self.undone.push(std::mem::replace(&mut self.state, before));
        }
    }

    fn redo(&mut self) {
        if let Some(after) = self.undone.pop() {
            self.done.push(std::mem::replace(&mut self.state, after));
        }
    }
}

/// In words, what a step changed.
fn what_differs(a: &ShopState, b: &ShopState) -> String {
    let word = if a.stock != b.stock {
        "furniture stock"
    } else if a.people != b.people || a.signing_roles != b.signing_roles {
        "people and roles"
    } else if a.balances != b.balances {
        "balances"
    } else if a.furnaces != b.furnaces {
        "state of a furnace"
    } else if a.prices != b.prices {
        "prices"
    } else {
        "the shop itself"
    };
    words::label(word)
}

/// A shop of which nothing is known yet but its name and how exactly parts are set down.
pub(super) fn new_shop(name: &str, placing_tolerance_mm: f64) -> ShopState {
    ShopState {
        name: name.to_owned(),
        placing_tolerance_mm,
        dryer_air_m3_h: None,
        stock: Vec::new(),
        furnaces: Vec::new(),
        prices: None,
        regulated: false,
        signing_roles: Vec::new(),
        people: Vec::new(),
        balances: Vec::new(),
        attended: Vec::new(),
        source: name.to_owned(),
        standing: Standing::Shop,
        carried: false,
    }
}

/// The state of a furnace; one that was not noted yet is put there, and taken out again by
/// [`without_empty`] where nothing was said of it.
pub(super) fn furnace_state<'s>(
    state: &'s mut ShopState,
    id: &str,
) -> Option<&'s mut FurnaceState> {
    if !state.furnaces.iter().any(|f| f.furnace == id) {
        state.furnaces.push(FurnaceState::new(id));
    }
    state.furnaces.iter_mut().find(|f| f.furnace == id)
}

/// A furnace of which nothing was said is not noted.
pub(super) fn without_empty(state: &mut ShopState) {
    let said = |f: &FurnaceState| *f != FurnaceState::new(&f.furnace);
    state.furnaces.retain(said);
}

impl App {
    /// The shop's state to be changed; none without a folder that has one. Give it back by
    /// [`App::put_draft`].
    pub(super) fn take_draft(&mut self) -> Option<ShopDraft> {
        let (dir, folder) = self.shop.as_ref()?;
        let draft = self.draft.take().filter(|d| d.dir == *dir);
        let on_disk = folder.shop.as_ref();
        match (draft, on_disk) {
            (Some(draft), _) if draft.of.as_ref() == on_disk || draft.changed() => Some(draft),
            (_, Some(state)) => Some(ShopDraft::new(dir, Some(state), state.clone())),
            (_, None) => None,
        }
    }

    /// The state after a pass; what was changed in it becomes a step.
    pub(super) fn put_draft(&mut self, mut draft: ShopDraft, before: ShopState) {
        without_empty(&mut draft.state);
        draft.step(before);
        self.draft = Some(draft).filter(|d| !d.dropped);
    }

    /// A folder without a state gets one, to be kept.
    pub(super) fn begin_shop(&mut self, state: ShopState) {
        if let Some((dir, _)) = &self.shop {
            self.draft = Some(ShopDraft::new(dir, None, state));
        }
    }

    /// Whether something of the shop's state is changed and not kept.
    pub fn shop_unkept(&self) -> bool {
        self.draft.as_ref().is_some_and(ShopDraft::changed)
    }

    /// The state as it is being changed.
    pub fn shop_draft(&self) -> Option<&ShopDraft> {
        self.draft.as_ref()
    }

    /// What undo, or redo, would do on the shop's board.
    pub(super) fn shop_step(&self, back: bool) -> Option<String> {
        let draft = self.draft.as_ref()?;
        match back {
            true => draft.undo_label(),
            false => draft.redo_label(),
        }
    }

    /// The state is on the disk as it is here.
    pub(super) fn draft_kept(&mut self) {
        let on_disk = self
            .shop
            .as_ref()
            .and_then(|(_, folder)| folder.shop.clone());
        if let Some(draft) = &mut self.draft {
            draft.of = on_disk;
        }
    }

    /// One step of the shop's state back or forward.
    pub(super) fn step_draft(&mut self, back: bool) {
        let Some((label, draft)) = self.shop_step(back).zip(self.draft.as_mut()) else {
            return;
        };
        if back {
            draft.undo();
            self.message = words::undone(&label);
        } else {
            draft.redo();
            self.message = words::redone(&label);
        }
        drop_typed(&mut self.view.typing);
    }

    /// Whether it is on the disk, and what can be done about it. It stands above the forms, which
    /// are longer than the window is high, and always takes the same room.
    pub(super) fn draft_bar(
        &mut self,
        ui: &mut Ui,
        draft: &mut ShopDraft,
        actions: &mut Vec<Action>,
    ) {
        let tokens = Tokens::of(ui.ctx());
        let changed = draft.changed();
        let refused = not_taken(&self.view.typing, TYPING);
        let on_disk = self
            .shop
            .as_ref()
            .and_then(|(_, folder)| folder.shop.as_ref());
        let (text, colour) = match changed {
            _ if refused > 0 => (say::fields_not_taken(refused), tokens.stop),
            false => (say::kept(), tokens.weak),
            true if draft.of.as_ref() != on_disk => (say::changed_beneath(), tokens.stop),
            true => (say::not_kept(), tokens.caution),
        };
        ui.add(Label::new(RichText::new(&text).color(colour)).truncate())
            .on_hover_text(text);
        wrapped(ui, |ui| {
            let text = words::label("Keep the changes");
            if button(ui, changed && refused == 0, &text, &text).clicked() {
                let state = Box::new(draft.state.clone());
                actions.push(Action::Shop(ShopChange::State(state)));
            }
            let text = words::label("Drop the changes");
            if button(ui, changed || refused > 0, &text, &text).clicked() {
                match on_disk {
                    Some(state) => draft.state = state.clone(),
                    None => draft.dropped = true,
                }
                draft.of = on_disk.cloned();
                drop_typed(&mut self.view.typing);
            }
            for (word, label, back) in [
                ("Take back", draft.undo_label(), true),
                ("Do again", draft.redo_label(), false),
            ] {
                let text = words::label(word);
                let name = match &label {
                    Some(step) => words::with_step(&text, step),
                    None => text.clone(),
                };
                if button(ui, label.is_some(), &text, &name).clicked() {
                    actions.push(Action::StepShop { back });
                }
            }
        });
    }

    /// Asks what becomes of changes that are not kept, before what would lose them.
    pub(super) fn unkept(&mut self, ctx: &Context, after: After) {
        let shown = Window::new(egui::Id::unique("unkept")).show(ctx, |ui| {
            ui.set_max_width(theme::SIDE * 1.8);
            ui.heading(words::label("The shop's state is not kept"));
            sentence(ui, say::unkept());
            let mut answer = None;
            wrapped(ui, |ui| {
                for choice in ["Keep it first", "Drop the changes", "Stay here"] {
                    if ui.button(words::label(choice)).clicked() {
                        answer = Some(choice);
                    }
                }
            });
            answer
        });
        match shown.inner {
            Some("Keep it first") => {
                self.modal = None;
                let state = self.draft.as_ref().map(|d| d.state.clone());
                if let Some(state) = state {
                    self.change_shop(ShopChange::State(Box::new(state)));
                }
                // Where it was refused the sentence is in sight now.
                if !self.shop_unkept() {
                    self.after_shop(ctx, after);
                }
            }
            Some("Drop the changes") => {
                self.modal = None;
                self.draft = None;
                drop_typed(&mut self.view.typing);
                self.after_shop(ctx, after);
            }
            Some(_) => self.modal = None,
            None if shown.should_close() => self.modal = None,
            None => {}
        }
    }

    fn after_shop(&mut self, ctx: &Context, after: After) {
        match after {
            // The question about the load comes next, where there is one.
            After::Close => ctx.send_viewport_cmd(ViewportCommand::Close),
            other => self.go_on(ctx, other),
        }
    }

    /// Another shop folder, unless what was changed in this one would be lost.
    pub(super) fn choose_shop_folder(&mut self, path: PathBuf) {
        let other = self.shop.as_ref().is_some_and(|(dir, _)| *dir != path);
        if other && self.shop_unkept() {
            self.modal = Some(Modal::Unkept(After::ShopFolder(path)));
        } else {
            self.use_shop_folder(&path);
        }
    }
}

/// What is typed in these forms and not read is put away.
pub(super) fn drop_typed(typing: &mut BTreeMap<String, String>) {
    typing.retain(|id, _| !id.starts_with(TYPING));
}
