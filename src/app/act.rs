//! Carries out actions and commands, after the pass that asked for them.

use super::arrange_by_hand as hand;
use super::commands::Command;
use super::forecast_plot::Below;
use super::state::{Action, After, App, Ask, Board, Measuring, Modal, Results, Worst};
use crate::document::{Document, Finished, MadeForecast};
use crate::files::{self, Colours, ShopChange};
use crate::forecast::plan::{NoForecast, PlanForecast};
use crate::load::{Edit, Item, Level, LevelId, Move, Placement, PlacementId, Plan};
use crate::review::Subject;
use crate::text::app as say;
use crate::text::{fixes, shop_forms};
use egui::{Context, ThemePreference, ViewportCommand};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::Arc;

impl App {
    /// Carries out one action.
    pub fn act(&mut self, ctx: &Context, action: Action) {
        match action {
            Action::Edit(edit) => {
                self.edit(&edit);
            }
            Action::Fix(edit, also) => {
                if self.edit(&edit) {
                    self.message = fixes::done(&edit.label(), &also);
                }
            }
            Action::Nudge(edit) => {
                self.nudge(&edit);
            }
            Action::Command(command) => self.command(ctx, command),
            Action::Go(subjects) => self.go(&subjects),
            Action::Open(path) => self.unless_unsaved(ctx, After::Open(path)),
            Action::SaveAs(path) => {
                let after = self.after_save.take();
                if self.save_to(&path)
                    && let Some(after) = after
                {
                    self.go_on(ctx, after);
                }
            }
            Action::Import(paths) => self.start_import(paths),
            Action::UseShopFolder(path) => self.choose_shop_folder(path),
            Action::OpenBacklog(path) => self.take_backlog(path),
            Action::OpenRun(at) => self.unless_unsaved(ctx, After::OpenRun(at)),
            Action::ReadLots(path) => self.read_lots(ctx, &path),
            Action::Shop(change) => self.change_shop(change),
            Action::StepShop { back } => self.step_draft(back),
            Action::BeginShop(state) => self.begin_shop(*state),
            Action::StartFrom(path) => self.unless_unsaved(ctx, After::StartFrom(path)),
            Action::CompareWith(path) => self.compare_with(&path),
            Action::AskPath(ask) => self.ask_path(ctx, ask),
            Action::FileOfQuestion(ask, path) => self.take_file_of_question(ctx, ask, path),
            Action::Say(sentence) => self.message = sentence,
        }
    }

    /// Applies an edit as one step of its own; a refusal goes to the status line.
    pub fn edit(&mut self, edit: &Edit) -> bool {
        self.doc.history.end_nudges();
        let done = self.nudge(edit);
        self.doc.history.end_nudges();
        done
    }

    /// Applies an edit that joins with others of its kind that follow quickly.
    fn nudge(&mut self, edit: &Edit) -> bool {
        let now = (self.clock)();
        match self.doc.history.apply(edit, &self.working.catalogue, now) {
            Ok(_) => {
                self.message = edit.label();
                true
            }
            Err(refusal) => {
                self.message = refusal.0;
                false
            }
        }
    }

    /// The edit, where it would be taken; a form is emptied only then.
    ///
    /// # Errors
    /// Why it would be refused.
    pub(super) fn taken(&self, edit: Edit) -> Result<Edit, String> {
        let takes = self.doc.history.takes(&edit, &self.working.catalogue);
        takes.map(|()| edit).map_err(|refusal| refusal.0)
    }

    fn edits(&mut self, edits: Vec<Edit>) {
        for edit in edits {
            if !self.edit(&edit) {
                break;
            }
        }
    }

    fn command(&mut self, ctx: &Context, command: Command) {
        if !command.enabled(self) {
            self.message = say::not_now(&command.name());
            return;
        }
        match command {
            Command::New => self.unless_unsaved(ctx, After::New),
            Command::Open => self.ask_path(ctx, Ask::Open),
            Command::Save => match self.path.clone() {
                Some(path) => {
                    self.save_to(&path);
                }
                None => self.ask_path(ctx, Ask::SaveAs),
            },
            Command::SaveAs => self.ask_path(ctx, Ask::SaveAs),
            Command::SaveStandard => self.save_standard(),
            Command::ShopFolder => self.ask_path(ctx, Ask::ShopFolder),
            Command::Compare => self.ask_path(ctx, Ask::Compare),
            Command::EndComparison => self.end_comparison(),
            Command::Import => self.ask_path(ctx, Ask::Import),
            Command::LotsFile => self.ask_path(ctx, Ask::Lots),
            Command::OpenBacklog => self.ask_path(ctx, Ask::Backlog),
            Command::BacklogBoard => self.view.board = Board::Backlog,
            Command::Quit => ctx.send_viewport_cmd(ViewportCommand::Close),
            Command::Undo | Command::Redo if self.view.board == Board::Shop => {
                self.step_draft(command == Command::Undo);
            }
            Command::Undo => {
                if let Some(label) = self.doc.history.undo_label().map(str::to_owned) {
                    self.doc.history.undo();
                    self.message = say::undone(&label);
                }
            }
            Command::Redo => {
                if let Some(label) = self.doc.history.redo_label().map(str::to_owned) {
                    self.doc.history.redo();
                    self.message = say::redone(&label);
                }
            }
            Command::LoadBoard => self.view.board = Board::Load,
            Command::ProfileBoard => self.view.board = Board::Profile,
            Command::SegmentsTab => self.under_the_profile(Below::Segments),
            Command::OverTimeTab => self.under_the_profile(Below::OverTime),
            Command::FiguresTab => self.under_the_profile(Below::Figures),
            Command::StoppedTab => self.under_the_profile(Below::Stopped),
            Command::ShortenTab => self.under_the_profile(Below::Shorten),
            Command::CostTab => self.under_the_profile(Below::Cost),
            Command::MeasuredTab => self.under_the_profile(Below::Measured),
            Command::LibraryBoard => {
                self.view.board = Board::Library;
                self.refresh_standards();
            }
            Command::LimitsBoard => self.view.board = Board::Limits,
            Command::ClearedBoard => self.view.board = Board::Cleared,
            Command::ShopBoard => self.view.board = Board::Shop,
            Command::Declarations => {
                self.view.board = Board::Load;
                self.view.to_declarations = true;
            }
            Command::Fit => self.view.camera = None,
            Command::ZoomIn => self.zoom(1.25),
            Command::ZoomOut => self.zoom(0.8),
            Command::Measure => {
                let measuring = self.view.measure.is_some();
                self.view.measure = (!measuring).then(Measuring::default);
            }
            Command::Table => self.view.table = !self.view.table,
            Command::Arrange => self.toggle_arrange_panel(),
            Command::Palette => self.view.palette = Some(String::new()),
            Command::Light => self.show_colours(ctx, Colours::Light),
            Command::Dark => self.show_colours(ctx, Colours::Dark),
            Command::System => self.show_colours(ctx, Colours::System),
            _ => self.command_on_load(command),
        }
    }

    pub(super) fn show_colours(&mut self, ctx: &Context, colours: Colours) {
        self.colours = colours;
        ctx.set_theme(match colours {
            Colours::Light => ThemePreference::Light,
            Colours::Dark => ThemePreference::Dark,
            Colours::System => ThemePreference::System,
        });
    }

    fn zoom(&mut self, factor: f32) {
        let mut camera = self.view.shown;
        camera.zoom_by(factor);
        self.view.camera = Some(camera);
    }

    fn command_on_load(&mut self, command: Command) {
        let plan = Arc::clone(self.doc.plan());
        let ids: Vec<PlacementId> = self.view.selection.iter().copied().collect();
        let moves = |moves: Vec<Move>| vec![Edit::MovePlacements(moves)];
        let selected = || hand::selected(&plan, &self.working.catalogue, &ids);
        let edits = match command {
            Command::SelectAll => {
                if let Some((_, level)) = self.view.level.and_then(|id| plan.level(id)) {
                    self.view.selection = level.placements.iter().map(|p| p.id).collect();
                }
                return;
            }
            Command::SelectNone => {
                self.view.selection.clear();
                self.view.measure = None;
                return;
            }
            Command::SelectSamePart | Command::SelectSameLot => {
                self.select_alike(&plan, command == Command::SelectSameLot);
                return;
            }
            Command::LevelUp => return self.step_level(&plan, 1),
            Command::LevelDown => return self.step_level(&plan, -1),
            Command::Duplicate => self.duplicate(&plan, &ids),
            Command::Delete => vec![Edit::RemovePlacements(ids)],
            Command::Lock => vec![Edit::SetLocked { ids, locked: true }],
            Command::Unlock => vec![Edit::SetLocked { ids, locked: false }],
            Command::TurnLeft => moves(hand::turned(&selected(), 90.0)),
            Command::TurnRight => moves(hand::turned(&selected(), -90.0)),
            Command::AlignLeft => moves(hand::aligned(&selected(), hand::Edge::Left)),
            Command::AlignRight => moves(hand::aligned(&selected(), hand::Edge::Right)),
            Command::AlignDoor => moves(hand::aligned(&selected(), hand::Edge::Door)),
            Command::AlignBack => moves(hand::aligned(&selected(), hand::Edge::Back)),
            Command::AlignMiddleX => moves(hand::aligned(&selected(), hand::Edge::MiddleX)),
            Command::AlignMiddleY => moves(hand::aligned(&selected(), hand::Edge::MiddleY)),
            Command::DistributeX => moves(hand::distributed(&selected(), 0)),
            Command::DistributeY => moves(hand::distributed(&selected(), 1)),
            Command::MirrorX => moves(hand::mirrored(&selected(), 0)),
            Command::MirrorY => moves(hand::mirrored(&selected(), 1)),
            Command::MoveUp => moves(hand::to_neighbour(&plan, &ids, 1)),
            Command::MoveDown => moves(hand::to_neighbour(&plan, &ids, -1)),
            Command::AddLevel => self.new_level(&plan),
            Command::RepeatLevel => self.repeated_level(&plan),
            Command::RemoveLevel => self.view.level.map(Edit::RemoveLevel).into_iter().collect(),
            _ => Vec::new(),
        };
        if edits
            .iter()
            .any(|e| matches!(e, Edit::MovePlacements(m) if m.is_empty()))
        {
            self.message = say::nothing_to_move();
            return;
        }
        self.edits(edits);
    }

    fn select_alike(&mut self, plan: &Plan, by_lot: bool) {
        let key = |item: &Item| match item {
            Item::Part { lot, part } => (Some(*part), lot.filter(|_| by_lot)),
            other => (other.part(), None),
        };
        let wanted: Vec<_> = plan
            .placements()
            .filter(|(_, p)| self.view.selection.contains(&p.id))
            .map(|(_, p)| key(&p.item))
            .collect();
        let alike = plan
            .placements()
            .filter(|(_, p)| wanted.contains(&key(&p.item)));
        self.view.selection = alike.map(|(_, p)| p.id).collect();
    }

    fn step_level(&mut self, plan: &Plan, by: isize) {
        let levels: Vec<LevelId> = plan.levels().map(|(_, l)| l.id).collect();
        let now = self
            .view
            .level
            .and_then(|id| levels.iter().position(|l| *l == id));
        let next = now
            .and_then(|i| i.checked_add_signed(by))
            .and_then(|i| levels.get(i));
        if let Some(id) = next {
            self.show_level(*id);
        }
    }

    /// Shows a level; what was selected elsewhere is no longer.
    pub fn show_level(&mut self, id: LevelId) {
        if self.view.level != Some(id) {
            self.view.level = Some(id);
            self.view.selection.clear();
            self.view.preview = None;
        }
    }

    /// Copies beside the originals, on the same level, selected afterwards.
    fn duplicate(&mut self, plan: &Plan, ids: &[PlacementId]) -> Vec<Edit> {
        let mut next = self.doc.history.next_id();
        let mut edits = Vec::new();
        let mut copies = Vec::new();
        let across = hand::width(&hand::selected(plan, &self.working.catalogue, ids));
        for (_, level) in plan.levels() {
            let mut placements = Vec::new();
            for old in level.placements.iter().filter(|p| ids.contains(&p.id)) {
                let id = PlacementId(next);
                next = next.saturating_add(1);
                copies.push(id);
                let at_mm = [old.at_mm[0] + across, old.at_mm[1]];
                placements.push(Placement {
                    id,
                    at_mm,
                    locked: false,
                    ..old.clone()
                });
            }
            if !placements.is_empty() {
                edits.push(Edit::Place {
                    level: level.id,
                    placements,
                });
            }
        }
        self.view.selection = copies.into_iter().collect();
        edits
    }

    fn new_level(&mut self, plan: &Plan) -> Vec<Edit> {
        let next = self.doc.history.next_id();
        match hand::next_level(plan, &self.working.catalogue, next) {
            Some((edits, level)) => {
                self.view.level = Some(level);
                self.view.selection.clear();
                edits
            }
            None => {
                self.message = say::no_setter_known();
                Vec::new()
            }
        }
    }

    fn repeated_level(&mut self, plan: &Plan) -> Vec<Edit> {
        let Some((stack, level)) = self.view.level.and_then(|id| plan.level(id)) else {
            return Vec::new();
        };
        let mut next = self.doc.history.next_id();
        // Numbers that have run out repeat here, and the edit refuses them.
        let mut take = || {
            let taken = next;
            next = next.saturating_add(1);
            taken
        };
        let id = LevelId(take());
        let top = stack.levels.last().unwrap_or(level);
        let placements = level
            .placements
            .iter()
            .map(|p| Placement {
                id: PlacementId(take()),
                locked: false,
                ..p.clone()
            })
            .collect();
        let carrier = hand::carrier_above(plan, &self.working.catalogue, top);
        let copy = Level {
            id,
            setter: level.setter.clone(),
            carrier,
            placements,
        };
        let stack = stack.id;
        self.view.level = Some(id);
        self.view.selection.clear();
        vec![Edit::AddLevel {
            stack,
            index: usize::MAX,
            level: copy,
        }]
    }

    fn go(&mut self, subjects: &[Subject]) {
        let plan = Arc::clone(self.doc.plan());
        self.view.selection.clear();
        for subject in subjects {
            match subject {
                Subject::Placement(id) => {
                    if let Some((level, _)) = plan.placement(*id) {
                        self.view.board = Board::Load;
                        if self.view.selection.is_empty() {
                            self.view.level = Some(level.id);
                        }
                        self.view.selection.insert(*id);
                    }
                }
                Subject::Level(id) => {
                    self.view.board = Board::Load;
                    self.view.level = Some(*id);
                }
                Subject::Part(part) => {
                    self.view.board = Board::Load;
                    let of = plan
                        .placements()
                        .filter(|(_, p)| p.item.part() == Some(*part));
                    for (level, p) in of {
                        if self.view.selection.is_empty() {
                            self.view.level = Some(level.id);
                        }
                        self.view.selection.insert(p.id);
                    }
                }
                Subject::Lot(lot) => {
                    self.view.board = Board::Load;
                    for (level, p) in plan.placements() {
                        if matches!(p.item, Item::Part { lot: Some(of), .. } if of == *lot) {
                            if self.view.selection.is_empty() {
                                self.view.level = Some(level.id);
                            }
                            self.view.selection.insert(p.id);
                        }
                    }
                }
                Subject::Segment(id) => {
                    self.view.board = Board::Profile;
                    self.view.segment = Some(*id);
                }
                Subject::Profile => self.view.board = Board::Profile,
                Subject::Load | Subject::Furnace | Subject::Stack(_) | Subject::Named(_) => {
                    self.view.board = Board::Load;
                }
            }
        }
        self.view.camera = None;
        self.view.frame = !self.view.selection.is_empty();
    }

    /// Does it at once when nothing would be lost, and asks otherwise.
    pub(super) fn unless_unsaved(&mut self, ctx: &Context, after: After) {
        if self.doc.history.is_saved() {
            self.go_on(ctx, after);
        } else {
            self.modal = Some(Modal::Unsaved(after));
        }
    }

    /// What was asked for before the question about unsaved changes.
    pub(super) fn go_on(&mut self, ctx: &Context, after: After) {
        match after {
            After::Close => {
                self.closing = true;
                ctx.send_viewport_cmd(ViewportCommand::Close);
            }
            After::New => {
                let shop = self.shop.as_ref().map(|(_, shop)| shop);
                let fresh = |furnace: &str| {
                    let plan = Plan::empty(furnace);
                    files::working(&plan, shop).map(|working| (plan, working))
                };
                // A furnace that only the last file knew is none for the next.
                let furnace = &self.doc.plan().load.furnace;
                match fresh(furnace).or_else(|_| fresh(&crate::cli::first_furnace())) {
                    Ok((plan, working)) => {
                        self.working = working;
                        self.replace(Document::new(plan, None), None);
                    }
                    Err(fault) => self.modal = Some(Modal::Trouble(fault.to_string())),
                }
            }
            After::Open(path) => self.open(&path),
            After::StartFrom(path) => self.start_from(&path),
            After::OpenRun(at) => self.open_run(at),
            After::ShopFolder(path) => self.use_shop_folder(&path),
        }
    }

    /// Opens a file; a bad one leaves everything as it is.
    pub fn open(&mut self, path: &Path) {
        let shop = self.shop.as_ref().map(|(_, shop)| shop);
        match files::open_load(path, shop) {
            Ok((plan, working)) => {
                let name = path.file_name().map(|n| n.to_string_lossy().into_owned());
                self.working = working;
                self.replace(Document::new(plan, name), Some(path.to_owned()));
                self.remember(path);
                let gone = self.find_standard();
                self.message = gone.unwrap_or_else(|| say::opened(&path.display().to_string()));
            }
            Err(fault) => self.modal = Some(Modal::Trouble(fault.to_string())),
        }
    }

    /// Another document: nothing that was meant for the one before goes into it.
    pub(super) fn replace(&mut self, doc: Document, path: Option<PathBuf>) {
        self.imports.clear();
        self.message.clear();
        self.standards.begun_from = None;
        self.doc = doc;
        self.forecasting.forget();
        self.arranging.forget();
        self.ways.forget();
        self.path = path;
        self.results = None;
        let theme_free = super::state::View::default();
        self.view = super::state::View {
            board: self.view.board,
            snap: self.view.snap,
            nudge_mm: self.view.nudge_mm,
            import_as: self.view.import_as.clone(),
            ..theme_free
        };
        self.view.level = self.doc.plan().levels().next().map(|(_, l)| l.id);
    }

    fn remember(&mut self, path: &Path) {
        self.recent.retain(|p| p != path);
        self.recent.insert(0, path.to_owned());
        self.recent.truncate(8);
    }

    /// Saves; true when it is on disk.
    pub fn save_to(&mut self, path: &Path) -> bool {
        let path = &files::load_path(path);
        let plan = self.doc.history.to_save();
        match files::save_load(path, &plan, &self.working) {
            Ok(_) => {
                self.doc.history.mark_saved();
                self.doc.name = path.file_name().map(|n| n.to_string_lossy().into_owned());
                self.path = Some(path.to_owned());
                self.remember(path);
                self.message = say::saved(&path.display().to_string());
                if self.shop_unkept() {
                    self.message = say::both(&self.message, &shop_forms::saved_without_shop());
                }
                true
            }
            Err(fault) => {
                self.modal = Some(Modal::Trouble(fault.to_string()));
                false
            }
        }
    }

    fn read_lots(&mut self, ctx: &Context, path: &Path) {
        let text = match files::read_script(path) {
            Ok(text) => text,
            Err(fault) => {
                self.modal = Some(Modal::Trouble(fault.to_string()));
                return;
            }
        };
        self.view.board = Board::Cleared;
        let plan = Arc::clone(self.doc.plan());
        let mut actions = Vec::new();
        self.take_lots(&text, &plan, &mut actions);
        for action in actions {
            self.act(ctx, action);
        }
    }

    /// Changes what the shop sets for itself, and judges by it from then on.
    pub(super) fn change_shop(&mut self, change: ShopChange) {
        let Some((_, folder)) = &self.shop else {
            self.message = crate::text::limits_board::no_shop_folder();
            return;
        };
        let state = matches!(change, ShopChange::State(_));
        let limit = match &change {
            ShopChange::Limit(limit) => Some((limit.id.clone(), limit.scope.clone())),
            _ => None,
        };
        let changed = files::change_shop(folder, change).and_then(|shop| {
            let working = files::working(self.doc.plan(), Some(&shop))?;
            Ok((shop, working.with_meshes_of(&self.working)))
        });
        match changed {
            Ok((shop, working)) => {
                self.shop = Some((shop.dir.clone(), shop));
                self.working = working;
                self.results = None;
                self.message = say::shop_changed();
                if state {
                    self.draft_kept();
                }
                if let Some((id, scope)) = limit {
                    self.choose_limit(&id, &scope);
                }
            }
            Err(fault) => self.modal = Some(Modal::Trouble(fault.to_string())),
        }
    }

    pub(super) fn use_shop_folder(&mut self, path: &Path) {
        let read = files::read_shop_folder(path).and_then(|shop| {
            let working = files::working(self.doc.plan(), Some(&shop))?;
            Ok((shop, working.with_meshes_of(&self.working)))
        });
        match read {
            Ok((shop, working)) => {
                self.shop = Some((path.to_owned(), shop));
                self.working = working;
                self.results = None;
                self.shapes.clear();
                self.arranging.clear_shapes();
                let gone = match self.standards.begun_from {
                    None => self.find_standard(),
                    Some(_) => None,
                };
                let carried = self.working.shop.as_ref().filter(|shop| shop.carried);
                let carried = carried.map(|shop| shop.name.as_str());
                let said = say::shop_folder(&path.display().to_string(), carried);
                self.message = gone.unwrap_or(said);
                self.refresh_standards();
            }
            Err(fault) => self.modal = Some(Modal::Trouble(fault.to_string())),
        }
    }

    /// Review, tally and clearances of the plan as it is now, made once per value.
    pub(super) fn refresh(&mut self) {
        let plan = Arc::clone(self.doc.plan());
        self.follow_forecast();
        let forecast = self.forecasting.now();
        let same = |r: &&Results| {
            let as_it_is = r.forecast.as_ref().map(Arc::as_ptr);
            Arc::ptr_eq(&r.plan, &plan) && as_it_is == forecast.as_ref().map(Arc::as_ptr)
        };
        if let Some(results) = self.results.as_ref().filter(same) {
            keep_known(&mut self.view.selection, results);
            return;
        }
        let differences = self.working.told_differences();
        let catalogue = Arc::clone(&self.working.catalogue);
        let shop = self.working.shop.clone();
        let standard = self.working.standard.clone();
        let (review, caps) = self.doc.review(
            &catalogue,
            shop.as_deref(),
            &differences,
            standard.as_deref(),
            forecast.as_deref().and_then(result_of),
        );
        let tally = self.doc.tally(&catalogue);
        self.results = Some(Results {
            furniture: furniture(&plan),
            labels: plan.placement_labels(),
            worst: Worst::of(&plan, &review),
            plan: Arc::clone(&plan),
            review,
            tally,
            caps,
            forecast,
        });
        // What is gone is no longer shown or selected.
        if let Some(results) = &self.results {
            keep_known(&mut self.view.selection, results);
        }
        if self.view.level.is_none_or(|id| plan.level(id).is_none()) {
            self.view.level = plan.levels().next().map(|(_, l)| l.id);
        }
        let segments = &plan.profile.segments;
        if self
            .view
            .segment
            .is_some_and(|id| segments.iter().all(|s| s.id != id))
        {
            self.view.segment = None;
        }
    }
}

/// The forecast, or why the plan has none; nothing where the work on it failed.
fn result_of(made: &Finished<MadeForecast>) -> Option<&Result<PlanForecast, NoForecast>> {
    made.result.as_ref().ok().map(|made| &made.result)
}

/// What is gone, or was refused, is not selected.
fn keep_known(selection: &mut BTreeSet<PlacementId>, results: &Results) {
    selection.retain(|id| results.labels.contains_key(id));
}

fn furniture(plan: &Plan) -> BTreeMap<String, usize> {
    let all = [plan.setters_used(), plan.posts_used(), plan.supports_used()];
    let each = all.into_iter().flatten();
    each.map(|(id, count)| (id.to_owned(), count)).collect()
}
