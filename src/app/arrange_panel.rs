//! Parts set out by themselves, in place of the plan while it is open: what, how hard, a running
//! picture of each setter that changes, stop, keep or discard, before and after, and what was left
//! out and why.

use super::arrange_first::ArrangeFirst;
use super::arrange_kinds::{Look, Looks};
use super::arrange_levels;
use super::arrange_turns::ArrangeTurns;
use super::arrange_weights;
use super::canvas::Camera;
use super::checked::{Typing, not_taken};
use super::columns::from_right;
use super::commands::Command;
use super::shapes::{Drawn, Shapes, closed, plate};
use super::state::{Action, App, Board, Results};
use super::theme::{self, Tokens};
use super::wake;
use crate::arrange::{Figures, First, Order, Rearranged, Scope, Turning, Weights};
use crate::catalogue::{Catalogue, SetterShape};
use crate::document::arranging::{Arranged, ArrangedOrNot, Counts, MOST_SEED};
use crate::document::{Arranging, Budget, Finished, Searching, ToArrange};
use crate::load::{Carrier, Edit, Level, LevelId, LotId, Placement, PlacementId, Plan, Stack};
use crate::part::{PartId, SizeStage};
use crate::text::app as say;
use crate::text::arranging as words;
use crate::text::arranging_ways as ways;
use crate::text::arranging_weights as points;
use crate::units::{Quantity, show};
use egui::epaint::PathShape;
use egui::{
    Align2, Button, CollapsingHeader, ComboBox, Context, DragValue, FontId, Grid, Painter, Rect,
    RichText, Role, ScrollArea, Sense, Stroke, Ui, WidgetInfo, vec2,
};
use std::collections::BTreeMap;
use std::sync::Arc;
use std::time::Duration;

/// How often the picture is looked at while a search runs.
const LOOK: Duration = Duration::from_millis(50);
/// About the width of the figures before and after, points.
const TABLE: f32 = 530.0;
/// Least width of the picture of a setter, points.
const LEAST_WIDTH: f32 = 190.0;
/// Most of the panel's height that the form takes, without a result and with one.
const FORM: [f32; 2] = [0.7, 0.45];

/// A panel lower than that has no room for the form beside a result, points.
const LOW: f32 = 700.0;

/// What may be set out anew, as chosen.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum What {
    #[default]
    Everything,
    Level,
    Gaps,
}

impl What {
    const ALL: [What; 3] = [What::Everything, What::Level, What::Gaps];

    /// In words; `level` is the label of the level shown.
    fn word(self, level: Option<&str>) -> String {
        match (self, level) {
            (What::Everything, _) => say::label("Everything that is not locked"),
            (What::Level, Some(level)) => words::this_level(level),
            (What::Level, None) => say::label("This level"),
            (What::Gaps, _) => say::label("The gaps: what stands stays"),
        }
    }
}

/// Ways to turn, the most bound last.
pub(super) const TURNINGS: [Turning; 4] = [
    Turning::RightAngles,
    Turning::Steps,
    Turning::Any,
    Turning::AsPlaced,
];

pub(super) fn turning_word(turning: Turning) -> String {
    say::label(match turning {
        Turning::RightAngles => "By right angles",
        Turning::Steps => "In steps of 15°",
        Turning::Any => "By any angle",
        Turning::AsPlaced => "Not at all",
    })
}

fn budget_word(budget: Budget) -> String {
    words::budget(budget.word(), budget.evaluations())
}

/// The panel's state.
pub struct ArrangePanel {
    open: bool,
    what: What,
    turning: Turning,
    turns: ArrangeTurns,
    poses: bool,
    anew: bool,
    pub(super) weights: Weights,
    typing: Typing,
    first: ArrangeFirst,
    budget: Budget,
    seed: u64,
    work: Option<Arranging>,
    /// What was chosen for it.
    asked: Option<Choices>,
    /// Plan, records and choices of the last pass.
    last: Option<(Arc<Plan>, Arc<Catalogue>, Choices)>,
    /// What the panel said last on the status line.
    said: String,
    /// Of what is shown, in which parts may lie on other faces than in the plan.
    shapes: Shapes,
}

impl Default for ArrangePanel {
    fn default() -> ArrangePanel {
        ArrangePanel {
            open: false,
            what: What::default(),
            turning: Turning::default(),
            turns: ArrangeTurns::default(),
            poses: false,
            anew: true,
            weights: Weights::default(),
            typing: Typing::new(),
            first: ArrangeFirst::default(),
            budget: Budget::default(),
            seed: 1,
            work: None,
            asked: None,
            last: None,
            said: String::new(),
            shapes: Shapes::default(),
        }
    }
}

/// What is chosen for a search.
#[derive(Clone, PartialEq)]
struct Choices {
    scope: Scope,
    turning: Turning,
    turns: BTreeMap<PartId, Turning>,
    poses: bool,
    anew: bool,
    first: BTreeMap<LotId, First>,
    weights: Weights,
    budget: Budget,
    seed: u64,
}

impl ArrangePanel {
    /// Other records are in use.
    pub(super) fn clear_shapes(&mut self) {
        self.shapes.clear();
    }

    /// Another document is open: what runs is for one that is gone.
    pub(super) fn forget(&mut self) {
        self.work = None;
        self.open = false;
        self.first = ArrangeFirst::default();
        self.turns = ArrangeTurns::default();
    }
}

/// What a level looks like in a picture.
struct Card {
    id: LevelId,
    level: String,
    counts: String,
    things: Vec<(Placement, Arc<Drawn>)>,
    added: usize,
}

impl App {
    /// Whether a search runs.
    pub fn is_arranging(&self) -> bool {
        self.arranging
            .work
            .as_ref()
            .is_some_and(|work| work.search().is_running())
    }

    /// Whether the panel is open.
    pub(super) fn arrange_panel_is_open(&self) -> bool {
        self.arranging.open
    }

    /// Whether the panel shows a layout that is not the load's, beside what is said of the load.
    pub(super) fn shows_another_layout(&self) -> bool {
        let search = self.arranging.work.as_ref().map(Arranging::search);
        let found = search.and_then(Searching::finished);
        let found = found.as_deref().is_some_and(|f| may_be_kept(f).is_some());
        self.arranging.open && (found || self.is_arranging())
    }

    /// Opens the panel, or closes it; what was found is thrown away with it, what runs is stopped.
    pub(super) fn toggle_arrange_panel(&mut self) {
        self.view.board = Board::Load;
        self.arranging.open = !self.arranging.open;
        if !self.arranging.open {
            self.arranging.work = None;
        }
    }

    /// What an earlier search said goes once the load, its records or the choices are others, but for
    /// a layout that may be kept.
    fn forget_stale_arrangement(&mut self) {
        let (plan, catalogue) = (self.doc.plan(), &self.working.catalogue);
        let choices = self.arrange_choices();
        let now = (Arc::clone(plan), Arc::clone(catalogue), choices);
        let last = self.arranging.last.replace(now.clone());
        let same = |(plan, catalogue, choices): (Arc<Plan>, Arc<Catalogue>, Choices)| {
            Arc::ptr_eq(&plan, &now.0) && Arc::ptr_eq(&catalogue, &now.1) && choices == now.2
        };
        if last.is_none_or(same) {
            return;
        }
        self.unsay_arranging();
        let search = self.arranging.work.as_ref().map(Arranging::search);
        let ended = search.and_then(Searching::finished);
        if ended.is_some_and(|made| may_be_kept(&made).is_none()) {
            self.arranging.work = None;
        }
    }

    /// A search for a plan that is not there any more is of no use: it stops with what it has.
    pub(super) fn poll_arranging(&mut self, ctx: &Context) {
        self.forget_stale_arrangement();
        let as_it_is = self.is_of_this_plan();
        let Some(search) = self.arranging.work.as_ref().map(Arranging::search) else {
            return;
        };
        if search.is_running() {
            if !as_it_is && !search.is_stopped() {
                search.stop();
                self.say_arranging(words::stopped_by_edit());
            }
            ctx.request_repaint_after(LOOK);
        }
    }

    /// Whether what runs, or was found, is for the plan as it is.
    fn is_of_this_plan(&self) -> bool {
        let work = self.arranging.work.as_ref();
        work.is_some_and(|work| {
            Arc::ptr_eq(work.of(), self.doc.plan())
                && Arc::ptr_eq(work.catalogue(), &self.working.catalogue)
        })
    }

    fn say_arranging(&mut self, sentence: String) {
        self.message.clone_from(&sentence);
        self.arranging.said = sentence;
    }

    /// Takes back what the panel said on the status line, where that stands there still.
    fn unsay_arranging(&mut self) {
        if self.message == std::mem::take(&mut self.arranging.said) {
            self.message.clear();
        }
    }

    fn arrange_scope(&self) -> Scope {
        match (self.arranging.what, self.view.level) {
            (What::Level, Some(level)) => Scope::Level(level),
            (What::Gaps, _) => Scope::Gaps,
            (What::Everything | What::Level, _) => Scope::Everything,
        }
    }

    fn arrange_choices(&self) -> Choices {
        let form = &self.arranging;
        Choices {
            scope: self.arrange_scope(),
            turning: form.turning,
            turns: form.turns.by_part(self.doc.plan()),
            poses: form.poses,
            anew: form.anew,
            first: form.first.by_lot(),
            weights: form.weights,
            budget: form.budget,
            seed: form.seed,
        }
    }

    fn start_arranging(&mut self, ctx: &Context) {
        self.unsay_arranging();
        let choices = self.arrange_choices();
        self.arranging.asked = Some(choices.clone());
        let asked = ToArrange {
            scope: choices.scope,
            turning: choices.turning,
            turns: choices.turns,
            poses: choices.poses,
            folder: self.part_folder(),
            anew: choices.anew,
            first: choices.first,
            weights: choices.weights,
            evaluations: choices.budget.evaluations(),
            seed: choices.seed,
            with_forecast: self.is_followed(),
            ..ToArrange::of(self.doc.history.to_save(), &self.working)
        };
        let wake = wake(ctx);
        self.arranging.work = Some(Arranging::start(Arc::clone(self.doc.plan()), asked, wake));
    }

    /// Opens the panel, arranges with a quick search and waits for it, or for so long.
    pub(super) fn arrange_now(&mut self, ctx: &Context, most: Duration) {
        self.arranging.open = true;
        self.arranging.budget = Budget::Quick;
        self.start_arranging(ctx);
        let start = std::time::Instant::now();
        while self.is_arranging() && start.elapsed() < most {
            std::thread::sleep(Duration::from_millis(2));
        }
    }

    /// The panel.
    pub(super) fn arrange_panel(
        &mut self,
        ui: &mut Ui,
        results: &Results,
        actions: &mut Vec<Action>,
    ) {
        ui.horizontal(|ui| {
            ui.heading(say::label("Arrange parts"));
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                if ui.button(say::label("Back to the plan")).clicked() {
                    actions.push(Action::Command(Command::Arrange));
                }
            });
        });
        let running = self.is_arranging();
        let search = self.arranging.work.as_ref().map(Arranging::search);
        let found = search.and_then(Searching::finished).is_some();
        // In a low window the form scrolls, or is closed, so that what is found keeps its room.
        // While it is searched nothing can be chosen, and the picture and the ways to stop count.
        let closed = found && ui.available_height() < LOW;
        if !running {
            ScrollArea::vertical()
                .id_salt("arrange form")
                .max_height(ui.available_height() * FORM[usize::from(found)])
                .auto_shrink([false, true])
                .show(ui, |ui| {
                    if closed {
                        CollapsingHeader::new(say::label("What was chosen"))
                            .id_salt("arrange choices")
                            .show(ui, |ui| self.arrange_form(ui));
                    } else {
                        self.arrange_form(ui);
                    }
                });
        }
        self.forget_stale_arrangement();
        self.arrange_buttons(ui, results, actions);
        ui.separator();
        let search = self.arranging.work.as_ref().map(Arranging::search);
        let finished = search.and_then(Searching::finished);
        let told = finished.as_deref().map(told);
        ScrollArea::vertical()
            .id_salt("arrangement")
            .auto_shrink([false, false])
            .show(ui, |ui| {
                let found = finished.as_deref();
                let found = found.and_then(|f| f.result.as_ref().ok()?.as_ref().ok());
                let wide = ui.available_width() > TABLE + theme::SIDE * 0.8;
                // Where there is no room beside the sentences, what is to be seen goes first.
                let mut below = None;
                if let Some([first, more]) = told {
                    if wide {
                        came_of_it(ui, found, &[first, more].concat());
                    } else {
                        came_of_it(ui, None, &first);
                        below = Some(more);
                    }
                }
                self.arrange_pictures(ui, results, finished.as_deref());
                if let Some(more) = below {
                    ui.separator();
                    sentences(ui, &more);
                    if let Some(found) = found {
                        ScrollArea::horizontal()
                            .id_salt("figures")
                            .show(ui, |ui| figures(ui, &found.layout, found.counts));
                    }
                }
            });
    }

    fn arrange_form(&mut self, ui: &mut Ui) {
        let level = self.view.level.map(|id| self.doc.plan().level_label(id));
        let level = level.as_deref();
        let form = &mut self.arranging;
        ui.horizontal_wrapped(|ui| {
            let label = ui.label(say::label("What"));
            ComboBox::from_id_salt("arrange what")
                .selected_text(form.what.word(level))
                .show_ui(ui, |ui| {
                    for what in What::ALL {
                        ui.add_enabled_ui(level.is_some() || what != What::Level, |ui| {
                            ui.selectable_value(&mut form.what, what, what.word(level));
                        });
                    }
                })
                .response
                .labelled_by(label.id);
            let label = ui.label(say::label("Turned"));
            ComboBox::from_id_salt("arrange turns")
                .selected_text(turning_word(form.turning))
                .show_ui(ui, |ui| {
                    for turning in TURNINGS {
                        ui.selectable_value(&mut form.turning, turning, turning_word(turning));
                    }
                })
                .response
                .labelled_by(label.id)
                .on_hover_text(words::own_angle_stays());
        });
        arrange_weights::form(ui, &mut form.weights, &mut form.typing);
        let all = form.what == What::Everything;
        ui.horizontal_wrapped(|ui| {
            let posts = egui::Checkbox::new(&mut form.anew, say::label("Choose posts and setters"));
            ui.add_enabled(all, posts)
                .on_hover_text(ways::posts_hint())
                .on_disabled_hover_text(ways::posts_hint());
            let poses = say::label("Choose the face that parts lie on");
            ui.checkbox(&mut form.poses, poses)
                .on_hover_text(ways::poses_hint());
        });
        ui.horizontal_wrapped(|ui| {
            let label = ui.label(say::label("How hard"));
            ComboBox::from_id_salt("arrange budget")
                .selected_text(budget_word(form.budget))
                .width(theme::SIDE * 0.75)
                .show_ui(ui, |ui| {
                    for budget in Budget::ALL {
                        ui.selectable_value(&mut form.budget, budget, budget_word(budget));
                    }
                })
                .response
                .labelled_by(label.id)
                .on_hover_text(words::same_again());
            let label = ui.label(say::label("Seed"));
            ui.add(DragValue::new(&mut form.seed).range(1..=MOST_SEED))
                .labelled_by(label.id)
                .on_hover_text(words::same_again());
        });
        let plan = Arc::clone(self.doc.plan());
        self.arranging.first.form(ui, &plan);
        let scope = self.arrange_scope();
        self.arranging.turns.form(ui, &plan, scope);
    }

    /// Start, stop, keep, discard; lock and unlock.
    fn arrange_buttons(&mut self, ui: &mut Ui, results: &Results, actions: &mut Vec<Action>) {
        let running = self.is_arranging();
        let tokens = Tokens::of(ui.ctx());
        let search = self.arranging.work.as_ref().map(Arranging::search);
        let finished = search.and_then(Searching::finished);
        let stopped = search.is_some_and(Searching::is_stopped);
        let found = finished.as_deref().and_then(may_be_kept);
        let of_this = self.is_of_this_plan();
        ui.horizontal_wrapped(|ui| {
            if running {
                let stop = Button::new(say::label("Stop with the best so far"));
                let stop = ui.add_enabled(!stopped, stop);
                if stop.on_hover_text(words::stop_keeps()).clicked()
                    && let Some(work) = &self.arranging.work
                {
                    work.search().stop();
                }
                let give_up = ui.button(say::label("Stop and discard"));
                if give_up.on_hover_text(words::stop_discards()).clicked() {
                    self.arranging.work = None;
                    self.say_arranging(words::given_up());
                }
            } else if found.is_some() {
                let keep = ui.add_enabled(of_this, Button::new(say::label("Keep it")));
                if keep.on_disabled_hover_text(words::edited_since()).clicked() {
                    self.keep_arrangement(finished.as_deref(), actions);
                }
                if ui.button(say::label("Discard it")).clicked() {
                    self.arranging.work = None;
                    self.say_arranging(words::discarded());
                }
            }
            if !running {
                let word = if self.arranging.work.is_some() {
                    "Search again"
                } else {
                    "Start"
                };
                let whole =
                    self.arranging.first.is_whole() && not_taken(&self.arranging.typing, "") == 0;
                let start = ui.add_enabled(whole, Button::new(say::label(word)));
                if start.on_disabled_hover_text(ways::all_first()).clicked() {
                    let ctx = ui.ctx().clone();
                    self.start_arranging(&ctx);
                }
            }
            // Locking is an edit, which would stop what runs.
            if running {
                return;
            }
            ui.separator();
            let chosen: Vec<PlacementId> = self.view.selection.iter().copied().collect();
            let any = !chosen.is_empty();
            for (word, locked) in [("Lock selected", true), ("Unlock selected", false)] {
                let button = ui.add_enabled(any, Button::new(say::label(word)));
                let hint = words::select_to_lock();
                if button.on_disabled_hover_text(hint).clicked() {
                    let ids = chosen.clone();
                    actions.push(Action::Edit(Edit::SetLocked { ids, locked }));
                }
            }
            let all = results.plan.placements();
            let locked = all.filter(|(_, p)| p.locked).count();
            let selected = self.view.selection.len();
            if selected + locked > 0 {
                let told = words::selected_and_locked(selected, locked);
                ui.label(RichText::new(told).color(tokens.weak));
            }
        });
        let other = self.arranging.asked.as_ref() != Some(&self.arrange_choices());
        let line = self.arranging.work.as_ref().and_then(|work| {
            if work.search().is_running() {
                let word = work.search().progress().word;
                return Some(match work.search().is_stopped() {
                    true => words::stopping(&word),
                    false => words::at_work_and_tried(&word, work.tried()),
                });
            }
            // Without a layout there is nothing that could be kept or not.
            found.filter(|_| of_this).map_or_else(
                || (!of_this).then(words::edited_since),
                |_| other.then(words::chosen_since),
            )
        });
        if let Some(line) = line {
            ui.label(line);
        }
    }

    fn keep_arrangement(
        &mut self,
        finished: Option<&Finished<ArrangedOrNot>>,
        actions: &mut Vec<Action>,
    ) {
        let Some(Ok(Ok(found))) = finished.map(|f| &f.result) else {
            return;
        };
        let next_id = self.doc.history.next_id();
        let Some(edit) = found.layout.numbered(next_id) else {
            return;
        };
        match self.taken(edit) {
            Ok(edit) => {
                actions.push(Action::Edit(edit));
                self.arranging.forget();
            }
            Err(refusal) => actions.push(Action::Say(refusal)),
        }
    }

    fn arrange_pictures(
        &mut self,
        ui: &mut Ui,
        results: &Results,
        finished: Option<&Finished<ArrangedOrNot>>,
    ) {
        let catalogue = Arc::clone(&self.working.catalogue);
        let mut title = words::as_it_is();
        let mut base = Arc::clone(&results.plan);
        let mut shown = Arc::clone(&results.plan);
        let (mut first_new, mut searching) = (None, false);
        if let Some(work) = &mut self.arranging.work {
            base = Arc::clone(work.of());
            first_new = Some(work.first_new());
            let found = finished.and_then(|f| f.result.as_ref().ok()?.as_ref().ok());
            match found {
                Some(found) if found.layout.edit.is_some() => {
                    shown = Arc::clone(&found.layout.plan);
                    title = words::found();
                }
                None if work.search().is_running() => match work.best() {
                    Some((best, so_far)) => {
                        title = words::best_so_far(
                            [so_far.placed, so_far.wanted],
                            so_far.setters,
                            so_far.shares,
                        );
                        shown = best;
                        searching = true;
                    }
                    None => {
                        title = words::nothing_yet();
                        shown = Arc::clone(&base);
                    }
                },
                _ => shown = Arc::clone(&base),
            }
        }
        self.arranging.shapes.refresh(&shown, &catalogue);
        let changes = !Arc::ptr_eq(&base, &shown);
        let mut cards = Vec::new();
        let mut unchanged = 0;
        let is_new = |(_, level): &(&Stack, &Arc<Level>)| base.level(level.id).is_none();
        for (stack, level) in base.levels().chain(shown.levels().filter(is_new)) {
            let there = shown.level(level.id).map(|(_, l)| l);
            let same =
                |l: &Arc<Level>| l.placements == level.placements && base.level(l.id).is_some();
            if changes && there.is_some_and(same) {
                unchanged += 1;
                continue;
            }
            let placements = there.map_or(&[][..], |l| l.placements.as_slice());
            let is_new = |p: &&Placement| first_new.is_some_and(|first| p.id >= first);
            let added = placements.iter().filter(is_new).count();
            let things = placements.iter().map(|p| {
                let (item, turn) = (&p.item, p.angle_deg);
                let shapes = &mut self.arranging.shapes;
                let drawn = shapes.of(item, SizeStage::Green, turn, &catalogue);
                (p.clone(), drawn)
            });
            let things: Vec<_> = things.collect();
            let label = arrange_levels::level_name(&base, &shown, level.id);
            // A level that is emptied goes once the layout is kept.
            let stood = base
                .level(level.id)
                .is_none_or(|(_, l)| !l.placements.is_empty());
            let gone = there.is_none() || searching && stood;
            let card = Card {
                id: level.id,
                counts: words::card_counts(things.len(), added, gone),
                level: label,
                things,
                added,
            };
            // On the setter on which it would stand.
            let (stack, level) = shown.level(level.id).unwrap_or((stack, level));
            cards.push((stack, level, card));
        }
        let looks = Looks::of(&shown, Tokens::of(ui.ctx()));
        ui.strong(title);
        looks.legend(ui, &shown);
        if changes && cards.iter().any(|(_, _, card)| card.added > 0) {
            ui.label(RichText::new(words::bold_are_new()).small());
        }
        if unchanged > 0 {
            ui.label(RichText::new(words::unchanged(unchanged)).small());
        }
        // While it is searched the pictures do, where there are any.
        let levels = match searching && !cards.is_empty() {
            true => Vec::new(),
            false => arrange_levels::changed(&base, &shown, &catalogue),
        };
        let fit = (ui.available_width() / LEAST_WIDTH).floor().max(1.0);
        // A few are drawn larger, but not so large that they cannot be seen at once.
        let columns = fit.min(cards.len().max(1) as f32);
        let gaps = theme::SPACE * (columns - 1.0);
        let width = ((ui.available_width() - gaps) / columns).floor();
        // What is above them, and the two lines over each, leave so much of the panel.
        let above = ui.cursor().top() - ui.min_rect().top();
        let left = ui.clip_rect().height() - above - theme::TARGET * 2.0;
        let most = left.clamp(LEAST_WIDTH, theme::SIDE * 1.2);
        let width = width.clamp(40.0, most);
        let mut rows = cards.chunks(columns as usize);
        let mut clicked = None;
        for row in rows.by_ref() {
            ui.horizontal_top(|ui| {
                for (stack, level, card) in row {
                    let hit = self.card(ui, width, (stack, level), (card, &looks), &catalogue);
                    clicked = clicked.or(hit);
                }
            });
        }
        if !levels.is_empty() {
            arrange_levels::table(ui, &levels);
        }
        if let Some(id) = clicked
            && !self.view.selection.remove(&id)
        {
            self.view.selection.insert(id);
        }
    }

    /// The picture of a setter; the thing that was clicked on it.
    fn card(
        &self,
        ui: &mut Ui,
        width: f32,
        (stack, level): (&Stack, &Level),
        (card, looks): (&Card, &Looks),
        catalogue: &Catalogue,
    ) -> Option<PlacementId> {
        let setter = catalogue.setter(&level.setter)?;
        let ([low, high], [wide, deep]) = (setter.shape.bounds_mm(), setter.shape.size_mm());
        let tokens = Tokens::of(ui.ctx());
        ui.vertical(|ui| {
            ui.set_width(width);
            ui.add(egui::Label::new(&card.level).truncate());
            ui.add(egui::Label::new(RichText::new(&card.counts).small()).truncate());
            let tall = (width * (deep / wide) as f32).clamp(width * 0.4, width * 1.3);
            let (rect, response) = ui.allocate_exact_size(vec2(width, tall), Sense::click());
            let name = words::picture(&card.level, &card.counts);
            response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &name));
            if !ui.is_rect_visible(rect) {
                return None;
            }
            let room = rect.shrink(theme::EDGE * 2.0);
            let camera = Camera::fitting(low, high, room);
            let painter = ui.painter_at(rect);
            let draw = Draw {
                painter: &painter,
                room,
                camera,
                tokens,
            };
            draw.setter(&setter.shape);
            let above = stack.levels.iter().skip_while(|l| l.id != card.id).nth(1);
            if let Some(Carrier::Posts { post, at_mm }) = above.map(|l| &l.carrier)
                && let Some(post) = catalogue.post(post)
            {
                at_mm
                    .iter()
                    .for_each(|at| draw.post(*at, post.diameter_mm / 2.0));
            }
            let first_new = card.things.len() - card.added.min(card.things.len());
            for (i, (placement, drawn)) in card.things.iter().enumerate() {
                let selected = self.view.selection.contains(&placement.id);
                let look = looks.of_item(&placement.item);
                draw.thing((placement, drawn, look), selected, i >= first_new);
            }
            let pointer = response
                .interact_pointer_pos()
                .filter(|_| response.clicked())?;
            let at = camera.to_plan(room, pointer);
            let hit = card.things.iter().rev().find(|(p, drawn)| {
                let local = [at[0] - p.at_mm[0], at[1] - p.at_mm[1]];
                drawn.covers(local)
            });
            hit.map(|(p, _)| p.id)
        })
        .inner
    }
}

struct Draw<'a> {
    painter: &'a Painter,
    room: Rect,
    camera: Camera,
    tokens: &'a Tokens,
}

impl Draw<'_> {
    fn setter(&self, shape: &SetterShape) {
        let at = |p: &[f64; 2]| self.camera.to_screen(self.room, *p);
        let stroke = Stroke::new(theme::EDGE, self.tokens.setter_edge);
        let drawn = plate(shape, 0.0, at, self.tokens.setter, stroke);
        self.painter.extend(drawn);
    }

    fn post(&self, at_mm: [f64; 2], radius_mm: f64) {
        let stroke = Stroke::new(theme::EDGE, self.tokens.setter_edge);
        let at = self.camera.to_screen(self.room, at_mm);
        let radius = radius_mm as f32 * self.camera.zoom;
        self.painter.circle(at, radius, self.tokens.post, stroke);
    }

    fn thing(
        &self,
        (placement, drawn, look): (&Placement, &Drawn, Look),
        selected: bool,
        new: bool,
    ) {
        let [x, y] = placement.at_mm;
        let shape = |p: &[f64; 2]| self.camera.to_screen(self.room, [x + p[0], y + p[1]]);
        let ink = (self.camera.zoom, self.tokens.part_edge);
        look.paint(self.painter, drawn, shape, ink);
        let width = match selected || new {
            true => theme::BOLD_EDGE,
            false => theme::EDGE,
        };
        let color = match selected {
            true => self.tokens.accent,
            false => self.tokens.part_edge,
        };
        for ring in &drawn.rings {
            if let Some(points) = closed(ring.iter().map(shape)) {
                let stroke = Stroke::new(width, color);
                self.painter.add(PathShape::closed_line(points, stroke));
            }
        }
        if placement.locked {
            self.painter.text(
                shape(&[0.0, 0.0]),
                Align2::CENTER_CENTER,
                say::label("locked"),
                FontId::proportional(theme::SMALL),
                self.tokens.text,
            );
        }
    }
}

/// In sentences what was placed and what was not; beside them the figures, where they are given.
fn came_of_it(ui: &mut Ui, figures_of: Option<&Arranged>, text: &[String]) {
    match figures_of {
        Some(found) => {
            ui.horizontal_top(|ui| {
                figures(ui, &found.layout, found.counts);
                ui.add_space(theme::SPACE);
                ui.vertical(|ui| sentences(ui, text));
            });
        }
        None => sentences(ui, text),
    }
    ui.separator();
}

fn sentences(ui: &mut Ui, text: &[String]) {
    for sentence in text {
        ui.add(egui::Label::new(sentence).wrap());
    }
}

/// Before and after in figures: what counts with its weight and its points, then the rest.
fn figures(ui: &mut Ui, layout: &Rearranged, counts: [Counts; 2]) {
    let weighed = layout.weighed();
    let unknown = crate::text::cli::unknown;
    let share = |value: Option<f64>| value.map_or_else(unknown, |v| show(Quantity::Fraction, v, 0));
    let both = [&layout.before, &layout.after];
    let count = |of: &dyn Fn(&Figures) -> usize| both.map(|f| of(f).to_string());
    let found = |of: &dyn Fn(&Counts) -> usize| counts.map(|c| of(&c).to_string());
    let rows = [
        ("Pieces placed", count(&|f| f.placed)),
        ("Pieces that wait", count(&|f| f.waiting)),
        ("Usable area taken", both.map(|f| share(f.fill))),
        ("Stops", found(&|c| c.stops)),
        ("Cautions", found(&|c| c.cautions)),
        ("Not evaluated", found(&|c| c.missing)),
    ];
    Grid::new("before and after")
        .striped(true)
        .min_row_height(0.0)
        .show(ui, |ui| {
            let heads = ["Before", "After", "Weight", "Points before", "Points after"];
            ui.label("");
            for head in heads {
                from_right(ui, RichText::new(say::label(head)).strong());
            }
            ui.end_row();
            for term in &weighed.terms {
                ui.label(points::counted(term.weight.word()));
                for amount in term.amounts {
                    from_right(ui, points::amount(amount));
                }
                from_right(ui, points::weight(term.each))
                    .on_hover_text(points::each(term.weight.word()));
                for sum in term.points() {
                    from_right(ui, points::points(sum));
                }
                ui.end_row();
            }
            ui.strong(points::sum(weighed.whole));
            for _ in 0..3 {
                ui.label("");
            }
            for sum in weighed.points {
                from_right(ui, RichText::new(points::points(Some(sum))).strong());
            }
            ui.end_row();
            for (name, [before, after]) in rows {
                ui.label(say::label(name));
                from_right(ui, before);
                from_right(ui, after);
                ui.end_row();
            }
        });
}

/// What was found, where that is a layout to be kept or not.
fn may_be_kept(made: &Finished<ArrangedOrNot>) -> Option<&Arranged> {
    let found = made.result.as_ref().ok()?.as_ref().ok()?;
    found.layout.edit.is_some().then_some(found)
}

/// What came of a search, in sentences: first what has to be known of a layout to keep it or not.
fn told(made: &Finished<ArrangedOrNot>) -> [Vec<String>; 2] {
    let found = match &made.result {
        Err(fault) => return [vec![fault.sentence(&words::job())], Vec::new()],
        Ok(Err(why)) => return [vec![words::not_arranged(&why.to_string())], Vec::new()],
        Ok(Ok(found)) => found,
    };
    let layout = &found.layout;
    let mut all = Vec::new();
    let after = &layout.after;
    if layout.edit.is_some() {
        let (before, now) = (layout.before.setters, after.setters);
        all.push(words::arranged(before, now, layout.bound, after.waiting));
    } else {
        all.push(match layout.stopped {
            true => words::stopped_before(),
            false => words::nothing_better(!layout.in_the_way.is_empty()),
        });
    }
    all.extend(layout.stood_amiss());
    let wanted = after.placed + after.waiting;
    all.push(words::placed(
        after.placed,
        wanted,
        after.fill,
        after.ceiling,
    ));
    all.extend(layout.set_up());
    all.extend(layout.laid.iter().cloned());
    all.extend(layout.left_out.iter().map(|left| left.sentence()));
    if !layout.in_the_way.is_empty() {
        all.push(words::in_the_way(&layout.in_the_way));
    }
    if layout.edit.is_some() {
        all.push(found.said());
    }
    let mut more = layout.on_their_face.clone();
    more.push(points::weights_were(Order::of(&layout.weights).is_none()));
    more.push(words::tried(layout.evaluations));
    [all, more]
}
