//! The shop's board: what it has in furniture, who works there, its balances and procedures, and
//! the state of each of its furnaces. All of it is one value with its own undo ([`ShopDraft`]).

use super::checked::{
    Typing, a_day, a_time, any_words, checked_cell, checked_row, day_or_none, names, not_negative,
    or_none, quantity, some_words, whole,
};
use super::commands::Command;
use super::fields::picked;
use super::lists::{button, choice, entry, sentence, wrapped};
use super::shop_draft::{ShopDraft, TYPING, drop_typed, new_shop};
use super::state::{Action, App};
use super::theme::{self, Tokens};
use crate::catalogue::{
    Attended, Balance, Catalogue, Person, Prices, ShopState, Stock, Weekday, when,
};
use crate::text::{app as words, figure, shop_forms as say};
use crate::units::{Quantity, show};
use egui::{Align, Grid, Label, Layout, Panel, RichText, Role, ScrollArea, Ui, WidgetInfo, vec2};
use std::cmp::Ordering;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Which of the shop's forms is open.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Tab {
    /// Setters, posts and supports.
    #[default]
    Stock,
    /// People, their roles, and roles that sign.
    People,
    /// Balances.
    Balances,
    /// Written procedures.
    Procedures,
    /// State of each furnace.
    Furnaces,
    /// Name, hours, prices.
    Shop,
}

impl Tab {
    const ALL: [(Tab, &'static str); 6] = [
        (Tab::Stock, "Furniture stock"),
        (Tab::People, "People and roles"),
        (Tab::Balances, "Balances"),
        (Tab::Procedures, "Written procedures"),
        (Tab::Furnaces, "Furnaces"),
        (Tab::Shop, "Hours and prices"),
    ];
}

/// What the board shows and what is being typed in it.
#[derive(Clone, Debug, Default)]
pub struct ShopView {
    /// Form.
    pub tab: Tab,
    /// Furnace whose state is shown; the load's where none is chosen.
    pub(super) furnace: Option<String>,
    /// What is to be added, by field.
    pub(super) new: BTreeMap<&'static str, String>,
    /// Why it was not.
    pub(super) refused: Option<String>,
}

impl ShopView {
    /// What stands in a field of something new.
    pub(super) fn typed(&self, field: &str) -> &str {
        self.new.get(field).map_or("", |text| text.trim())
    }

    /// What stands there as `read` takes it; a refusal names the field.
    pub(super) fn read<T>(
        &self,
        field: &str,
        read: impl FnOnce(&str) -> Result<T, String>,
    ) -> Result<T, String> {
        read(self.typed(field)).map_err(|why| words::in_field(field, &why))
    }

    pub(super) fn entry(&mut self, ui: &mut Ui, field: &'static str, name: &str, hint: &str) {
        entry(ui, field, name, hint, self.new.entry(field).or_default());
    }

    /// The button of what is to be added: the fields are emptied only when it was.
    pub(super) fn add<T>(
        &mut self,
        ui: &mut Ui,
        text: &str,
        read: impl FnOnce(&ShopView) -> Result<T, String>,
    ) -> Option<T> {
        let mut added = None;
        if ui.button(words::label(text)).clicked() {
            match read(self) {
                Ok(value) => {
                    self.new.clear();
                    self.refused = None;
                    added = Some(value);
                }
                Err(why) => self.refused = Some(why),
            }
        }
        if let Some(why) = &self.refused {
            let tokens = Tokens::of(ui.ctx());
            sentence(ui, RichText::new(why).color(tokens.stop));
        }
        added
    }
}

impl App {
    pub(super) fn shop_board(&mut self, ui: &mut Ui, actions: &mut Vec<Action>) {
        let Some((dir, _)) = &self.shop else {
            ui.heading(words::label("The shop"));
            sentence(ui, say::no_folder());
            self.tool_button(ui, Command::ShopFolder, actions);
            return;
        };
        let kept_in = say::kept_in(&dir.display().to_string());
        let Some(mut draft) = self.take_draft() else {
            self.begin(ui, actions);
            return;
        };
        let before = draft.state.clone();
        ui.heading(&draft.state.name);
        ui.label(RichText::new(kept_in).color(Tokens::of(ui.ctx()).weak));
        self.draft_bar(ui, &mut draft, actions);
        wrapped(ui, |ui| {
            for (tab, name) in Tab::ALL {
                let chosen = self.view.shop.tab == tab;
                let shown = ui.selectable_label(chosen, words::label(name));
                shown.widget_info(|| {
                    WidgetInfo::selected(Role::Tab, true, chosen, words::tab(&words::label(name)))
                });
                if shown.clicked() && !chosen {
                    self.view.shop.tab = tab;
                    self.view.shop.new.clear();
                    self.view.shop.refused = None;
                }
            }
        });
        ui.separator();
        match self.view.shop.tab {
            Tab::Stock => self.stock_form(ui, &mut draft.state),
            Tab::People => self.people_form(ui, &mut draft.state),
            Tab::Balances => self.balances_form(ui, &mut draft.state),
            Tab::Procedures => self.procedures_form(ui, &mut draft.state),
            Tab::Furnaces => self.furnaces_form(ui, &mut draft.state),
            Tab::Shop => self.itself_form(ui, &mut draft),
        }
        self.put_draft(draft, before);
    }

    /// A folder that has no state yet.
    fn begin(&mut self, ui: &mut Ui, actions: &mut Vec<Action>) {
        ui.heading(words::label("The shop"));
        sentence(ui, say::no_state());
        ui.set_max_width(theme::SIDE * 1.6);
        let view = &mut self.view.shop;
        view.entry(ui, "Name of the shop", "Name of the shop", "");
        let field = "Parts are set down to within";
        view.entry(ui, field, field, "mm");
        let begun = view.add(ui, "Begin the shop's state", |view| {
            let name = view.read("Name of the shop", some_words)?;
            let mm = view.read(field, not_negative(Quantity::Length))?;
            Ok(new_shop(&name, mm))
        });
        actions.extend(begun.map(|state| Action::BeginShop(Box::new(state))));
    }

    fn stock_form(&mut self, ui: &mut Ui, state: &mut ShopState) {
        let catalogue = Arc::clone(&self.working.catalogue);
        let view = &mut self.view.shop;
        new_panel(ui, "new stock", |ui| {
            ui.strong(words::label("Another setter, post or support"));
            let listed = |id: &String| state.stock.iter().any(|s| s.id == *id);
            let offered: Vec<(String, String)> = furniture(&catalogue)
                .filter(|(id, ..)| !listed(id))
                .map(|(id, _, name)| (id, name))
                .collect();
            let now = view.typed("item").to_owned();
            let shown = offered.iter().find(|(id, _)| *id == now);
            let shown = shown.map_or_else(|| words::label("choose one"), |(_, n)| n.clone());
            if let Some(id) = choice(ui, "new stock", "New item", &shown, offered, &now) {
                view.new.insert("item", id);
            }
            view.entry(ui, "Pieces", "Pieces of the new item", "");
            let added = view.add(ui, "Add to the stock", |view| {
                let id = view.typed("item").to_owned();
                if id.is_empty() {
                    return Err(say::choose_item());
                }
                let count = view.read("Pieces", whole)?;
                Ok(Stock { id, count })
            });
            state.stock.extend(added);
            sentence(ui, say::stock_hint());
        });
        let typing = &mut self.view.typing;
        let mut gone = None;
        scrolled(ui, "stock", |ui| {
            if state.stock.is_empty() {
                sentence(ui, say::no_stock());
                return;
            }
            let mut rows: Vec<(&'static str, String, usize)> = Vec::new();
            for (i, stock) in state.stock.iter().enumerate() {
                let known = furniture(&catalogue).find(|(id, ..)| *id == stock.id);
                let (kind, name) = known.map_or_else(
                    || ("not in the catalogue", stock.id.clone()),
                    |(_, kind, name)| (kind, name),
                );
                rows.push((kind, name, i));
            }
            rows.sort_by(|a, b| a.0.cmp(b.0).then_with(|| by_number(&a.1, &b.1)));
            Grid::new("stock")
                .num_columns(4)
                .striped(true)
                .show(ui, |ui| {
                    heads(ui, &["Item", "Kind", "Pieces", ""]);
                    for (kind, name, i) in rows {
                        let Some(stock) = state.stock.get_mut(i) else {
                            continue;
                        };
                        named(ui, theme::SIDE * 1.2, &name);
                        ui.label(words::label(kind));
                        let id = format!("{TYPING}stock {}", stock.id);
                        let shown = stock.count.to_string();
                        let cell = (shown.as_str(), COUNT);
                        let title = say::pieces_of(&name);
                        if let Some(n) = checked_cell(ui, typing, &id, &title, cell, whole) {
                            stock.count = n;
                        }
                        if remove(ui, &name) {
                            gone = Some(i);
                        }
                        ui.end_row();
                    }
                });
        });
        if let Some(i) = gone {
            state.stock.remove(i);
            drop_typed(&mut self.view.typing);
        }
    }

    fn people_form(&mut self, ui: &mut Ui, state: &mut ShopState) {
        let view = &mut self.view.shop;
        new_panel(ui, "new person", |ui| {
            ui.strong(words::label("Another person"));
            view.entry(ui, "Name", "Name of the new person", "as it is signed");
            let hint = "divided by commas";
            view.entry(ui, "Roles", "Roles of the new person", hint);
            let name = "The new person is qualified until";
            view.entry(ui, "Qualified until", name, "year-month-day");
            let added = view.add(ui, "Add the person", |view| {
                let name = view.read("Name", some_words)?;
                once(&name, state.people.iter().map(|p| &p.name))?;
                Ok(Person {
                    name,
                    roles: view.read("Roles", names)?,
                    qualified_until: view.read("Qualified until", day_or_none)?,
                })
            });
            state.people.extend(added);
            sentence(ui, say::roles_hint());
        });
        let typing = &mut self.view.typing;
        let mut gone = None;
        scrolled(ui, "people", |ui| {
            let shown = state.signing_roles.join(", ");
            let id = format!("{TYPING}signing");
            let name = "Roles that sign a plan";
            let typed = ui.scope(|ui| {
                ui.set_max_width(theme::SIDE * 1.6);
                checked_row(ui, typing, &id, name, &shown, names)
            });
            if let Some(roles) = typed.inner {
                state.signing_roles = roles;
            }
            sentence(ui, say::by_commas());
            for role in &state.signing_roles {
                if !state.people.iter().any(|p| p.roles.contains(role)) {
                    let colour = Tokens::of(ui.ctx()).caution;
                    sentence(ui, RichText::new(say::nobody_has(role)).color(colour));
                }
            }
            ui.separator();
            if state.people.is_empty() {
                sentence(ui, say::no_people());
                return;
            }
            let all: Vec<String> = state.people.iter().map(|p| p.name.clone()).collect();
            Grid::new("people")
                .num_columns(4)
                .striped(true)
                .show(ui, |ui| {
                    heads(ui, &["Name", "Roles", "Qualified until", ""]);
                    for (i, person) in state.people.iter_mut().enumerate() {
                        let of = person.name.clone();
                        let mut cells = Cells::new(typing, format!("person {i}"));
                        let others = all.iter().filter(|n| **n != of);
                        let name = |text: &str| {
                            once(text, others)?;
                            some_words(text)
                        };
                        let title = say::name_of(&of);
                        cells.text(ui, &title, NAME, &of, name, &mut person.name);
                        let shown = person.roles.join(", ");
                        cells.text(
                            ui,
                            &say::roles_of(&of),
                            WIDE,
                            &shown,
                            names,
                            &mut person.roles,
                        );
                        let until = &mut person.qualified_until;
                        cells.day(ui, &say::qualified(&of), until);
                        if remove(ui, &of) {
                            gone = Some(i);
                        }
                        ui.end_row();
                    }
                });
        });
        if let Some(i) = gone {
            state.people.remove(i);
            drop_typed(&mut self.view.typing);
        }
    }

    fn balances_form(&mut self, ui: &mut Ui, state: &mut ShopState) {
        let view = &mut self.view.shop;
        new_panel(ui, "new balance", |ui| {
            ui.strong(words::label("Another balance"));
            view.entry(ui, "Mark", "Mark of the new balance", "as lots name it");
            view.entry(ui, "Smallest step", "Smallest step of the new balance", "g");
            let hint = "year-month-day";
            view.entry(
                ui,
                "Calibrated on",
                "The new balance was calibrated on",
                hint,
            );
            view.entry(ui, "Holds until", "The new balance holds until", hint);
            let added = view.add(ui, "Add the balance", |view| {
                let id = view.read("Mark", some_words)?;
                once(&id, state.balances.iter().map(|b| &b.id))?;
                let due = view.read("Holds until", a_day)?;
                let done = view.read("Calibrated on", day_or_none)?;
                in_order(done.as_deref(), &due)?;
                let step_g = view.read("Smallest step", or_none(above_nought(Quantity::Mass)))?;
                Ok(Balance {
                    id,
                    step_g,
                    done,
                    due,
                })
            });
            state.balances.extend(added);
        });
        let typing = &mut self.view.typing;
        let mut gone = None;
        scrolled(ui, "balances", |ui| {
            if state.balances.is_empty() {
                sentence(ui, say::no_balances());
                return;
            }
            let all: Vec<String> = state.balances.iter().map(|b| b.id.clone()).collect();
            Grid::new("balances")
                .num_columns(5)
                .striped(true)
                .show(ui, |ui| {
                    heads(
                        ui,
                        &[
                            "Balance",
                            "Smallest step",
                            "Calibrated on",
                            "Holds until",
                            "",
                        ],
                    );
                    for (i, balance) in state.balances.iter_mut().enumerate() {
                        let of = balance.id.clone();
                        let mut cells = Cells::new(typing, format!("balance {i}"));
                        let others = all.iter().filter(|n| **n != of);
                        let mark = |text: &str| {
                            once(text, others)?;
                            some_words(text)
                        };
                        cells.text(ui, &say::mark_of(&of), NAME, &of, mark, &mut balance.id);
                        let mass = Quantity::Mass;
                        let shown = balance.step_g.map_or_else(String::new, step_shown);
                        let read = or_none(above_nought(mass));
                        let step = &mut balance.step_g;
                        cells.text(ui, &say::step_of(&of), COUNT, &shown, read, step);
                        let due = balance.due.clone();
                        let shown = balance.done.clone().unwrap_or_default();
                        let read = |text: &str| {
                            let done = day_or_none(text)?;
                            in_order(done.as_deref(), &due)?;
                            Ok(done)
                        };
                        let done = &mut balance.done;
                        cells.text(ui, &say::calibrated(&of), DAY, &shown, read, done);
                        let done = balance.done.clone();
                        let read = |text: &str| {
                            let due = a_day(text)?;
                            in_order(done.as_deref(), &due)?;
                            Ok(due)
                        };
                        cells.text(ui, &say::due_of(&of), DAY, &due, read, &mut balance.due);
                        if remove(ui, &of) {
                            gone = Some(i);
                        }
                        ui.end_row();
                    }
                });
        });
        if let Some(i) = gone {
            state.balances.remove(i);
            drop_typed(&mut self.view.typing);
        }
    }

    fn itself_form(&mut self, ui: &mut Ui, draft: &mut ShopDraft) {
        let catalogue = Arc::clone(&self.working.catalogue);
        let state = &mut draft.state;
        let typing = &mut self.view.typing;
        scrolled(ui, "itself", |ui| {
            ui.set_max_width(theme::SIDE * 2.0);
            let id = |field: &str| format!("{TYPING}itself {field}");
            let name = "Name of the shop";
            let shown = state.name.clone();
            if let Some(new) = checked_row(ui, typing, &id(name), name, &shown, some_words) {
                state.name = new;
            }
            let name = "Parts are set down to within";
            let shown = show(Quantity::Length, state.placing_tolerance_mm, 2);
            let read = not_negative(Quantity::Length);
            if let Some(mm) = checked_row(ui, typing, &id(name), name, &shown, read) {
                state.placing_tolerance_mm = mm;
            }
            let name = "Air through the dryer, m³/h";
            let shown = state.dryer_air_m3_h.map_or_else(String::new, figure);
            let read = or_none(not_negative(Quantity::Number));
            if let Some(air) = checked_row(ui, typing, &id(name), name, &shown, read) {
                state.dryer_air_m3_h = air;
            }
            ui.checkbox(&mut state.regulated, words::label("Regulated work"))
                .on_hover_text(crate::text::cleared_board::regulated_hint());
            ui.separator();
            attended(ui, typing, state);
            ui.separator();
            prices(ui, typing, &catalogue, state);
        });
    }
}

/// Hours at which somebody is at the furnaces.
fn attended(ui: &mut Ui, typing: &mut Typing, state: &mut ShopState) {
    ui.strong(words::label("Hours at which somebody is at the furnaces"));
    sentence(ui, say::hours_hint());
    let mut gone = None;
    for (i, hours) in state.attended.iter_mut().enumerate() {
        wrapped(ui, |ui| {
            for (day, word) in Weekday::ALL {
                let mut on = hours.days.contains(&day);
                let name = say::day_of_hours(word, i + 1);
                let tick = ui.checkbox(&mut on, words::label(word));
                tick.widget_info(|| WidgetInfo::selected(Role::CheckBox, true, on, &name));
                if tick.changed() {
                    hours.days = Weekday::ALL
                        .map(|(d, _)| d)
                        .into_iter()
                        .filter(|d| {
                            if *d == day {
                                on
                            } else {
                                hours.days.contains(d)
                            }
                        })
                        .collect();
                }
            }
        });
        ui.horizontal(|ui| {
            let mut cells = Cells::new(typing, format!("hours {i}"));
            let from = hours.from.clone();
            cells.text(
                ui,
                &say::from_of(i + 1),
                COUNT,
                &from,
                a_time,
                &mut hours.from,
            );
            ui.label(words::label("to"));
            let to = hours.to.clone();
            cells.text(ui, &say::to_of(i + 1), COUNT, &to, a_time, &mut hours.to);
            if remove(ui, &say::hours(i + 1)) {
                gone = Some(i);
            }
        });
    }
    if let Some(i) = gone {
        state.attended.remove(i);
        drop_typed(typing);
    }
    if ui.button(words::label("Add hours")).clicked() {
        state.attended.push(Attended {
            days: Vec::new(),
            from: "00:00".to_owned(),
            to: "00:00".to_owned(),
        });
    }
}

fn prices(ui: &mut Ui, typing: &mut Typing, catalogue: &Catalogue, state: &mut ShopState) {
    ui.strong(words::label("Prices"));
    let before = state.prices.clone().unwrap_or_else(|| Prices {
        currency: String::new(),
        furnace_hour: None,
        kwh: None,
        gas_m3_25c: Vec::new(),
        labour_hour: None,
        furniture_run: None,
    });
    let mut after = before.clone();
    let id = |field: &str| format!("{TYPING}price {field}");
    let shown = before.currency.clone();
    let read = any_words;
    if let Some(new) = checked_row(ui, typing, &id("currency"), "Currency", &shown, read) {
        after.currency = new.unwrap_or_default();
    }
    for (name, to) in [
        ("One furnace hour", &mut after.furnace_hour),
        ("One kilowatt-hour", &mut after.kwh),
        ("One hour of labour", &mut after.labour_hour),
        ("Wear of furniture, one run", &mut after.furniture_run),
    ] {
        let shown = to.map_or_else(String::new, figure);
        let read = or_none(not_negative(Quantity::Number));
        if let Some(new) = checked_row(ui, typing, &id(name), name, &shown, read) {
            *to = new;
        }
    }
    for (slug, (_, gas)) in &catalogue.gases {
        let at = after.gas_m3_25c.iter().position(|(g, _)| g == slug);
        let now = at
            .and_then(|i| after.gas_m3_25c.get(i))
            .map(|(_, price)| *price);
        let shown = now.map_or_else(String::new, figure);
        let read = or_none(not_negative(Quantity::Number));
        let name = say::cubic_metre_of(&gas.name);
        if let Some(new) = checked_row(ui, typing, &id(slug), &name, &shown, read) {
            after.gas_m3_25c.retain(|(g, _)| g != slug);
            after
                .gas_m3_25c
                .extend(new.map(|price| (slug.clone(), price)));
        }
    }
    if after != before {
        state.prices = Some(after);
    }
}

/// Width of a cell with a count or a time of day, with a day, with a name, and with several names.
pub(super) const COUNT: f32 = theme::TARGET * 3.5;
pub(super) const DAY: f32 = theme::TARGET * 5.0;
pub(super) const NAME: f32 = theme::TARGET * 8.0;
const WIDE: f32 = theme::TARGET * 12.0;

/// Cells of one row of a table.
pub(super) struct Cells<'t> {
    typing: &'t mut Typing,
    row: String,
    nth: usize,
}

impl<'t> Cells<'t> {
    pub(super) fn new(typing: &'t mut Typing, row: String) -> Cells<'t> {
        Cells {
            typing,
            row,
            nth: 0,
        }
    }

    pub(super) fn text<T>(
        &mut self,
        ui: &mut Ui,
        name: &str,
        width: f32,
        shown: &str,
        read: impl FnOnce(&str) -> Result<T, String>,
        to: &mut T,
    ) {
        let id = format!("{TYPING}{} {}", self.row, self.nth);
        self.nth += 1;
        if let Some(value) = checked_cell(ui, self.typing, &id, name, (shown, width), read) {
            *to = value;
        }
    }

    fn day(&mut self, ui: &mut Ui, name: &str, to: &mut Option<String>) {
        let shown = to.clone().unwrap_or_default();
        self.text(ui, name, DAY, &shown, day_or_none, to);
    }
}

/// Names in the order in which people count: "12 x 20" before "12 x 100".
fn by_number(a: &str, b: &str) -> Ordering {
    let words = |name: &str| -> Vec<(u32, String)> {
        let number = |word: &str| word.parse().unwrap_or(u32::MAX);
        name.split(' ').map(|w| (number(w), w.to_owned())).collect()
    };
    words(a).cmp(&words(b))
}

/// Setters, posts and supports: slug, kind and name.
fn furniture(catalogue: &Catalogue) -> impl Iterator<Item = (String, &'static str, String)> {
    let setters = catalogue.setters.iter();
    let setters = setters.map(|(id, (_, r))| (id.clone(), "setter", r.name.clone()));
    let posts = catalogue.posts.iter();
    let posts = posts.map(|(id, (_, r))| (id.clone(), "post", r.name.clone()));
    let supports = catalogue.supports.iter();
    let supports = supports.map(|(id, (_, r))| (id.clone(), "support", r.name.clone()));
    setters.chain(posts).chain(supports)
}

/// Where something new is typed, at the right.
pub(super) fn new_panel(ui: &mut Ui, salt: &str, show: impl FnOnce(&mut Ui)) {
    Panel::right(egui::Id::unique(salt))
        .resizable(true)
        .default_size(theme::SIDE * 1.2)
        .show(ui, |ui| {
            ScrollArea::vertical()
                .id_salt(salt)
                .auto_shrink([false, false])
                .show(ui, show);
        });
}

pub(super) fn scrolled(ui: &mut Ui, salt: &str, show: impl FnOnce(&mut Ui)) {
    ScrollArea::both()
        .id_salt(salt)
        .auto_shrink([false, false])
        .show(ui, show);
}

pub(super) fn heads(ui: &mut Ui, names: &[&str]) {
    for name in names {
        match *name {
            "" => ui.label(""),
            name => ui.strong(words::label(name)),
        };
    }
    ui.end_row();
}

/// A name of any length in a column of a width.
pub(super) fn named(ui: &mut Ui, width: f32, name: &str) {
    let size = vec2(width, ui.spacing().interact_size.y);
    ui.allocate_ui_with_layout(size, Layout::left_to_right(Align::Center), |ui| {
        ui.set_width(width);
        ui.add(Label::new(name).truncate()).on_hover_text(name);
    });
}

pub(super) fn remove(ui: &mut Ui, what: &str) -> bool {
    button(ui, true, &words::label("Remove"), &say::remove(what)).clicked()
}

/// A row to choose among a few.
pub(super) fn one_of(ui: &mut Ui, chosen: bool, text: &str) -> bool {
    picked(ui, chosen, text, text)
}

pub(super) fn once<'a>(
    name: &str,
    mut others: impl Iterator<Item = &'a String>,
) -> Result<(), String> {
    match others.any(|other| other == name) {
        true => Err(say::there_already(name)),
        false => Ok(()),
    }
}

/// Done before it falls due.
fn in_order(done: Option<&str>, due: &str) -> Result<(), String> {
    match done.and_then(when::day).zip(when::day(due)) {
        Some((done, due)) if done > due => Err(say::done_after_due()),
        _ => Ok(()),
    }
}

fn above_nought(of: Quantity) -> impl Fn(&str) -> Result<f64, String> {
    move |text| match quantity(of)(text)? {
        value if value > 0.0 => Ok(value),
        _ => Err(say::not_above_nought(text)),
    }
}

/// To as many digits as it was typed with: steps of balances go down to parts of a milligram.
fn step_shown(g: f64) -> String {
    let digits = figure(g)
        .split_once('.')
        .map_or(0, |(_, after)| after.len());
    show(Quantity::Mass, g, digits)
}
