//! Stacks and their levels: setters, what carries them, and the order in which they stand.

use super::forms::{self, button, choice, quantity_row, text_row};
use crate::app::arrange_by_hand as hand;
use crate::app::commands::Command;
use crate::app::fields::quantity_cell;
use crate::app::marks;
use crate::app::state::{Action, App, Results};
use crate::app::theme;
use crate::catalogue::Catalogue;
use crate::load::{Carrier, Edit, Level, LevelId, Plan, Stack, StackId};
use crate::text::app as say;
use crate::units::{self, Quantity};
use egui::Ui;
use std::sync::Arc;

/// Free space between a new stack and the one beside it, mm (assumed: room for a hand's placing).
const BESIDE_MM: f64 = 10.0;

impl App {
    pub(super) fn levels(&mut self, ui: &mut Ui, results: &Results, actions: &mut Vec<Action>) {
        let plan = &results.plan;
        forms::wrapped(ui, |ui| {
            for command in [
                Command::AddLevel,
                Command::RepeatLevel,
                Command::RemoveLevel,
            ] {
                self.tool_button(ui, command, actions);
            }
        });
        let worst = &results.worst.levels;
        // Where all levels have one kind, its name on each row would tell nothing.
        let mut setters = plan.levels().map(|(_, level)| &level.setter);
        let first = setters.next();
        let alike = setters.all(|setter| Some(setter) == first);
        for (s, stack) in plan.load.stacks.iter().enumerate().rev() {
            if plan.load.stacks.len() > 1 {
                ui.label(say::stack(s + 1));
            }
            for level in stack.levels.iter().rev() {
                let name = plan.level_label(level.id);
                let setter = self.working.catalogue.setter_name(&level.setter);
                let parts = level.placements.len();
                let chosen = self.view.level == Some(level.id);
                ui.horizontal(|ui| {
                    match worst.get(&level.id) {
                        Some(severity) => marks::mark_in_row(ui, *severity),
                        None => {
                            ui.add_space(ui.spacing().interact_size.y * 0.7 + theme::SPACE);
                        }
                    }
                    let full = say::level_row(&name, &setter, parts);
                    let shown = match alike {
                        true => say::level_row_short(&name, parts),
                        false => full.clone(),
                    };
                    if forms::wrapped_row(ui, chosen, &shown, &full).clicked() {
                        self.show_level(level.id);
                    }
                });
                if chosen {
                    let id = ui.scope_id().with(("level", level.id.0));
                    ui.indent(id, |ui| self.level_details(ui, results, level, actions));
                }
            }
        }
    }

    fn level_details(
        &mut self,
        ui: &mut Ui,
        results: &Results,
        level: &Level,
        actions: &mut Vec<Action>,
    ) {
        let plan = &results.plan;
        let catalogue = Arc::clone(&self.working.catalogue);
        let change = |setter: &str, carrier: Carrier| {
            Action::Edit(Edit::ChangeLevel {
                id: level.id,
                setter: setter.to_owned(),
                carrier,
            })
        };
        let left = self.left_in_stock(results);
        let stocked = |id: &str, name: &str| say::with_stock(name, left.get(id).copied());
        let now = catalogue
            .setter(&level.setter)
            .map_or(level.setter.as_str(), |s| &s.name);
        let setters = catalogue.setters.values().map(|(_, s)| s);
        let setters = setters.map(|s| (s.id.clone(), stocked(&s.id, &s.name)));
        if let Some(setter) = choice(ui, "setter", "Setter", now, setters, &level.setter) {
            actions.push(change(&setter, level.carrier.clone()));
        }
        let carriers = carriers(plan, &catalogue, level);
        let now = carrier_word(&level.carrier);
        let words = carriers.iter().map(|c| (carrier_word(c), carrier_word(c)));
        if let Some(word) = choice(ui, "carrier", "Carried by", &now, words, &now)
            && let Some(carrier) = carriers.iter().find(|c| carrier_word(c) == word)
        {
            actions.push(change(&level.setter, carrier.clone()));
        }
        match &level.carrier {
            Carrier::Posts { post, at_mm } => {
                let mut posts: Vec<_> = catalogue.posts.values().map(|(_, p)| p).collect();
                posts.sort_by(|a, b| a.length_mm.total_cmp(&b.length_mm));
                let now = catalogue.post(post).map_or(post.as_str(), |p| &p.name);
                let posts = posts
                    .iter()
                    .map(|p| (p.id.clone(), stocked(&p.id, &p.name)));
                if let Some(post) = choice(ui, "post", "Post", now, posts, post) {
                    let at_mm = at_mm.clone();
                    actions.push(change(&level.setter, Carrier::Posts { post, at_mm }));
                }
                let text: Vec<String> = at_mm.iter().map(|[x, y]| format!("{x},{y}")).collect();
                let key = format!("posts of {}", level.id.0);
                let typing = &mut self.view.typing;
                let name = "Post places x,y (mm)";
                if let Some(typed) = text_row(ui, typing, &key, name, &text.join(" ")) {
                    actions.push(match units::parse_places(&typed) {
                        Ok(at_mm) => {
                            let post = post.clone();
                            change(&level.setter, Carrier::Posts { post, at_mm })
                        }
                        Err(word) => Action::Say(say::not_points(word)),
                    });
                }
            }
            Carrier::Feet { height_mm } => {
                let key = format!("feet of {}", level.id.0);
                let typing = &mut self.view.typing;
                let what = (Quantity::Length, Some(*height_mm), 1);
                match quantity_row(ui, typing, &key, "Height of the feet", what) {
                    Some(Ok(Some(height_mm))) => {
                        actions.push(change(&level.setter, Carrier::Feet { height_mm }));
                    }
                    Some(Err(sentence)) => actions.push(Action::Say(sentence)),
                    Some(Ok(None)) | None => {}
                }
            }
            Carrier::Hearth | Carrier::Rim | Carrier::RackSlot(_) => {}
        }
        order(ui, plan, level.id, actions);
    }

    /// Where the stacks stand, and new ones.
    pub(super) fn stacks(&mut self, ui: &mut Ui, plan: &Plan, actions: &mut Vec<Action>) {
        for (i, stack) in plan.load.stacks.iter().enumerate() {
            let n = i + 1;
            let buttons = |ui: &mut Ui| {
                let remove = button(ui, true, &say::label("Remove"), &say::remove_stack(n));
                let add = button(ui, true, &say::label("Add level"), &say::add_level_to(n));
                (remove.clicked(), add.clicked())
            };
            let text = say::stack_row(n, stack.levels.len());
            let (_, (remove, add)) = forms::sides(ui, |ui| ui.label(text), buttons);
            if remove {
                actions.push(Action::Edit(Edit::RemoveStack(stack.id)));
            }
            if add {
                actions.extend(self.level_on(plan, stack));
            }
            ui.horizontal(|ui| {
                let [x, y] = stack.at_mm;
                let typing = &mut self.view.typing;
                let mut cell = |ui: &mut Ui, axis: &str, value: f64| {
                    let name = say::stack_axis(axis, n);
                    let key = format!("{axis} of stack {}", stack.id.0);
                    ui.label(say::label(axis));
                    let what = (Quantity::Length, value, 1);
                    match quantity_cell(ui, typing, &key, &name, what)? {
                        Ok(mm) => Some(mm),
                        Err(sentence) => {
                            actions.push(Action::Say(sentence));
                            None
                        }
                    }
                };
                let (new_x, new_y) = (cell(ui, "x", x), cell(ui, "y", y));
                if new_x.is_some() || new_y.is_some() {
                    actions.push(Action::Edit(Edit::MoveStack {
                        id: stack.id,
                        at_mm: [new_x.unwrap_or(x), new_y.unwrap_or(y)],
                    }));
                }
            });
        }
        if ui.button(say::label("Add a stack")).clicked() {
            let id = StackId(self.doc.history.next_id());
            let at_mm = beside(plan, &self.working.catalogue);
            let levels = Vec::new();
            actions.push(Action::Edit(Edit::AddStack(Stack { id, at_mm, levels })));
        }
        forms::sentence(ui, say::stacks_from_centre());
    }

    /// A further level on a stack, as the one below it; the first one stands on the hearth.
    fn level_on(&mut self, plan: &Plan, stack: &Stack) -> Option<Action> {
        let catalogue = &self.working.catalogue;
        let id = LevelId(self.doc.history.next_id());
        let (setter, carrier) = match stack.levels.last() {
            Some(top) => (
                top.setter.clone(),
                hand::carrier_above(plan, catalogue, top),
            ),
            None => {
                let shown = self.view.level.and_then(|id| plan.level(id));
                let setter = shown.map(|(_, level)| &level.setter);
                let Some(setter) = setter.or_else(|| catalogue.setters.keys().next()) else {
                    return Some(Action::Say(say::no_setter_known()));
                };
                (setter.clone(), Carrier::Hearth)
            }
        };
        self.view.level = Some(id);
        self.view.selection.clear();
        let level = Level {
            id,
            setter,
            carrier,
            placements: Vec::new(),
        };
        Some(Action::Edit(Edit::AddLevel {
            stack: stack.id,
            index: usize::MAX,
            level,
        }))
    }
}

pub(in crate::app) fn carrier_word(carrier: &Carrier) -> String {
    match carrier {
        Carrier::Hearth => say::label("hearth"),
        Carrier::Posts { .. } => say::label("posts"),
        Carrier::Rim => say::label("rim of the setter below"),
        Carrier::Feet { .. } => say::label("feet of its own"),
        Carrier::RackSlot(slot) => say::rack_slot(slot + 1),
    }
}

fn carriers(plan: &Plan, catalogue: &Catalogue, level: &Level) -> Vec<Carrier> {
    let posts = match &level.carrier {
        posts @ Carrier::Posts { .. } => posts.clone(),
        _ => hand::posts_at_corners(catalogue, &level.setter),
    };
    let mut out = vec![
        Carrier::Hearth,
        posts,
        Carrier::Rim,
        Carrier::Feet { height_mm: 20.0 },
    ];
    let slots = catalogue
        .furnace(&plan.load.furnace)
        .map_or(0, |f| f.rack_slots_mm.len());
    out.extend((0..slots).map(Carrier::RackSlot));
    out
}

/// Which stack a level is in, and up or down in it.
fn order(ui: &mut Ui, plan: &Plan, id: LevelId, actions: &mut Vec<Action>) {
    let Some((stack, _)) = plan.level(id) else {
        return;
    };
    let stacks = &plan.load.stacks;
    if stacks.len() > 1 {
        let names = stacks.iter().enumerate();
        let names = names.map(|(i, s)| (s.id, say::stack(i + 1)));
        let at = stacks.iter().position(|s| s.id == stack.id).unwrap_or(0);
        let now = say::stack(at + 1);
        if let Some(stack) = choice(ui, "stack of level", "In stack", &now, names, &stack.id) {
            actions.push(Action::Edit(Edit::MoveLevel {
                id,
                stack,
                index: usize::MAX,
            }));
        }
    }
    let Some(at) = stack.levels.iter().position(|l| l.id == id) else {
        return;
    };
    forms::wrapped(ui, |ui| {
        for (name, to) in [
            ("Move level up", at.checked_add(1)),
            ("Move level down", at.checked_sub(1)),
        ] {
            let to = to.filter(|to| *to < stack.levels.len());
            let button = egui::Button::new(say::label(name));
            if ui.add_enabled(to.is_some(), button).clicked()
                && let Some(index) = to
            {
                actions.push(Action::Edit(Edit::MoveLevel {
                    id,
                    stack: stack.id,
                    index,
                }));
            }
        }
    });
}

/// A place for a further stack, mm: right of the rightmost one, by the width of its widest setter.
fn beside(plan: &Plan, catalogue: &Catalogue) -> [f64; 2] {
    let width = |stack: &Stack| {
        let shapes = stack
            .levels
            .iter()
            .filter_map(|l| catalogue.setter(&l.setter));
        let widths = shapes.map(|s| s.shape.size_mm()[0]);
        widths.fold(0.0, f64::max)
    };
    let mut stacks = plan.load.stacks.iter().collect::<Vec<_>>();
    stacks.sort_by(|a, b| a.at_mm[0].total_cmp(&b.at_mm[0]));
    match stacks.last() {
        Some(last) => [last.at_mm[0] + width(last) + BESIDE_MM, last.at_mm[1]],
        None => [0.0, 0.0],
    }
}
