//! Limits and checks: every one with its owner, and what the shop sets instead.

use super::commands::Command;
use super::fields::picked;
use super::lists::{entry, filled_in, row, sentence, wrapped};
use super::state::{Action, App};
use super::theme::{self, Tokens};
use crate::catalogue::{Catalogue, CheckSetting, Limit, LimitScope, Severity, Standing};
use crate::files::ShopChange;
use crate::review::{Check, Topic, all_checks};
use crate::text::findings::title;
use crate::text::{app as words, figure, limits, limits_board as say};
use crate::units::{Quantity, parse};
use egui::{
    Align, Layout, Panel, RichText, Role, ScrollArea, TextEdit, TextStyle, TextWrapMode, Ui,
    WidgetInfo, WidgetText,
};
use egui_extras::{Column, TableBuilder};
use std::sync::Arc;

/// What the board shows and what is being typed in it.
#[derive(Clone, Debug, Default)]
pub struct LimitsView {
    /// Checks instead of limits.
    pub checks: bool,
    /// Words to find.
    pub wanted: String,
    /// Only what the shop has set.
    pub own: bool,
    limit: Option<(String, LimitScope)>,
    /// The chosen limit is to be brought into sight.
    show: bool,
    /// The topic whose conditions are shown.
    pub(super) topic: Option<&'static str>,
    pub(super) check: Option<&'static str>,
    pub(super) form: Form,
    /// What conditions go by.
    pub(super) goes_by: super::checks_board::GoesBy,
}

/// A change being typed.
#[derive(Clone, Debug, Default)]
pub(super) struct Form {
    value: String,
    /// Why the value was not taken.
    refused: Option<String>,
    pub(super) scope: Option<LimitScope>,
    by: String,
    on: String,
    source: String,
    reason: String,
    pub(super) switched_on: bool,
    pub(super) severity: Option<Severity>,
}

impl App {
    pub(super) fn limits_board(&mut self, ui: &mut Ui, actions: &mut Vec<Action>) {
        let catalogue = Arc::clone(&self.working.catalogue);
        let tokens = Tokens::of(ui.ctx());
        ui.heading(words::label("Limits and checks"));
        let told = match &self.shop {
            Some((dir, _)) => say::kept_in(&dir.display().to_string()),
            None => say::no_shop_folder(),
        };
        ui.label(RichText::new(told).color(tokens.weak));
        if self.shop.is_none() {
            self.tool_button(ui, Command::ShopFolder, actions);
        }
        let view = &mut self.view.limits;
        wrapped(ui, |ui| {
            for (checks, name) in [(false, "Limits"), (true, "Checks")] {
                let chosen = view.checks == checks;
                let tab = ui.selectable_label(chosen, words::label(name));
                tab.widget_info(|| {
                    WidgetInfo::selected(Role::Tab, true, chosen, words::tab(&words::label(name)))
                });
                if tab.clicked() {
                    view.checks = checks;
                }
            }
            ui.separator();
            let name = ui.label(words::label("Find"));
            ui.text_edit_singleline(&mut view.wanted)
                .labelled_by(name.id);
            ui.checkbox(&mut view.own, words::label("Only what the shop has set"));
        });
        ui.separator();
        if self.view.limits.checks {
            self.checks_table(ui, &catalogue, actions);
        } else {
            self.limits_table(ui, &catalogue, actions);
        }
    }

    fn limits_table(&mut self, ui: &mut Ui, catalogue: &Catalogue, actions: &mut Vec<Action>) {
        let view = &self.view.limits;
        let mut shown: Vec<&Limit> = catalogue
            .limits
            .iter()
            .filter(|l| !view.own || l.scope != LimitScope::BuiltIn)
            .filter(|l| found(&view.wanted, &[&l.id, &l.name, &l.set_by, &l.source]))
            .collect();
        shown.sort_by(|a, b| (&a.name, &a.scope).cmp(&(&b.name, &b.scope)));
        // Until something is chosen the table has the room.
        match self.view.limits.limit {
            None => sentence(ui, say::choose_limit()),
            Some(_) => self.beside(ui, "limit", |app, ui| {
                app.limit_panel(ui, catalogue, actions)
            }),
        }
        ui.label(say::shown(shown.len(), catalogue.limits.len()));
        let heads = [
            "Limit",
            "Value",
            "Holds for",
            "Set by",
            "Standing",
            "Revision",
            "Source",
        ];
        let cells: Vec<[String; 7]> = shown.iter().map(|l| cells(l, catalogue)).collect();
        let widths = fit(ui, &heads, &cells, 0.0);
        let key = self.view.limits.limit.clone();
        let chosen = |limit: &Limit| key.as_ref().is_some_and(|(id, of)| limit.is(id, of));
        let to = std::mem::take(&mut self.view.limits.show);
        let to = shown.iter().position(|l| to && chosen(l));
        table(ui, "limits", (&heads, &widths), to, |body| {
            body.rows(theme::TARGET, shown.len(), |mut row| {
                let at = row.index();
                let Some((limit, [name, rest @ ..])) = shown.get(at).zip(cells.get(at)) else {
                    return;
                };
                row.col(|ui| {
                    let said = say::limit_row(name, &limit.scope.words());
                    if picked(ui, chosen(limit), name, &said) {
                        self.view.limits.form = Form::of_limit(limit, &self.view.limits.form);
                        self.view.limits.limit = Some((limit.id.clone(), limit.scope.clone()));
                    }
                });
                for text in rest {
                    cell(&mut row, text);
                }
            });
        });
    }

    /// A limit that was just set is the one to look at.
    pub(super) fn choose_limit(&mut self, id: &str, scope: &LimitScope) {
        let view = &mut self.view.limits;
        view.limit = Some((id.to_owned(), scope.clone()));
        view.form.reason.clear();
        view.show = true;
    }

    /// What is chosen, in a panel at the right.
    pub(super) fn beside(&mut self, ui: &mut Ui, salt: &str, show: impl FnOnce(&mut App, &mut Ui)) {
        Panel::right(egui::Id::unique(salt))
            .resizable(true)
            .default_size(theme::SIDE * 1.2)
            .show(ui, |ui| {
                ScrollArea::vertical()
                    .auto_shrink([false, false])
                    .show(ui, |ui| show(self, ui));
            });
    }

    fn limit_panel(&mut self, ui: &mut Ui, catalogue: &Catalogue, actions: &mut Vec<Action>) {
        let chosen = self.view.limits.limit.clone();
        let limit =
            chosen.and_then(|(id, scope)| catalogue.limits.iter().find(|l| l.is(&id, &scope)));
        let Some(limit) = limit else {
            sentence(ui, say::choose_limit());
            return;
        };
        let tokens = Tokens::of(ui.ctx());
        ui.strong(&limit.name);
        sentence(ui, RichText::new(&limit.id).color(tokens.weak));
        sentence(
            ui,
            say::now(
                &limit.shown(),
                &limit.scope.words(),
                &limit.set_by,
                limit.revision,
            ),
        );
        if limit.standing == Standing::Assumed {
            sentence(ui, RichText::new(say::assumed()).color(tokens.caution));
        }
        sentence(ui, say::source(catalogue.cited(&limit.source)));
        if !limit.reason.is_empty() {
            sentence(ui, say::because(&limit.reason, limit.on_day.as_deref()));
        }
        let asked: Vec<String> = all_checks()
            .filter(|c| c.limits.contains(&limit.id.as_str()))
            .map(|c| title(c.slug))
            .collect();
        sentence(ui, say::asked_by(&asked));
        ui.separator();
        ui.strong(words::label("Set it otherwise"));
        let folder = self.shop.is_some();
        if !folder {
            sentence(ui, say::no_shop_folder());
            return;
        }
        let scopes = self.scopes();
        let form = &mut self.view.limits.form;
        value_with_unit(ui, &limit.unit, form);
        scope_choice(ui, &scopes, form);
        who_and_why(ui, form);
        entry(
            ui,
            "Source",
            "Source of the value",
            "document or standard",
            &mut form.source,
        );
        wrapped(ui, |ui| {
            if ui.button(words::label("Set the limit")).clicked() {
                match self.view.limits.form.limit(limit) {
                    Ok(limit) => actions.push(Action::Shop(ShopChange::Limit(limit))),
                    Err(why) => self.view.limits.form.refused = Some(why),
                }
            }
            let own = limit.scope != LimitScope::BuiltIn;
            let back = ui.add_enabled(own, egui::Button::new(words::label("Set it back")));
            let back = back.on_hover_text(say::set_back_hint());
            if back.on_disabled_hover_text(say::not_set_here()).clicked() {
                let form = &self.view.limits.form;
                actions.push(Action::Shop(ShopChange::ResetLimit {
                    id: limit.id.clone(),
                    scope: limit.scope.clone(),
                    set_by: form.by.trim().to_owned(),
                    reason: form.reason.trim().to_owned(),
                    on_day: filled_in(&form.on),
                }));
            }
        });
        ui.separator();
        ui.strong(words::label("Before"));
        if limit.history.is_empty() {
            sentence(ui, say::no_history());
        }
        for was in limit.history.iter().rev() {
            sentence(
                ui,
                say::was(
                    was.revision,
                    &limits::with_unit(was.value, &limit.unit),
                    &was.set_by,
                    &was.reason,
                    was.on.as_deref(),
                ),
            );
        }
    }

    /// What may have limits of its own here: the shop, and what the open load is about.
    pub(super) fn scopes(&self) -> Vec<LimitScope> {
        let plan = self.doc.plan();
        let catalogue = &self.working.catalogue;
        let mut scopes = vec![
            LimitScope::Shop,
            LimitScope::Furnace(plan.load.furnace.clone()),
        ];
        for part in &plan.parts {
            scopes.push(LimitScope::Feedstock(part.feedstock.clone()));
            if let Some(feedstock) = catalogue.feedstock(&part.feedstock) {
                scopes.push(LimitScope::Alloy(feedstock.alloy.clone()));
            }
        }
        let customers = plan.lots.iter().filter_map(|l| l.customer.clone());
        scopes.extend(customers.map(LimitScope::Customer));
        scopes.sort_by(|a, b| b.cmp(a));
        scopes.dedup();
        scopes
    }
}

impl Form {
    fn of_limit(limit: &Limit, last: &Form) -> Form {
        Form {
            value: figure(limit.value),
            scope: Some(match &limit.scope {
                LimitScope::BuiltIn => LimitScope::Shop,
                own => own.clone(),
            }),
            source: String::new(),
            reason: String::new(),
            refused: None,
            // Who sits here and on what day stays for the next one.
            ..last.clone()
        }
    }

    pub(super) fn of_check(check: &Check, set: Option<&CheckSetting>, last: &Form) -> Form {
        Form {
            switched_on: set.map_or(check.on, |s| s.on),
            ..Form::of_setting(set, last)
        }
    }

    pub(super) fn of_topic(topic: &Topic, set: Option<&CheckSetting>, last: &Form) -> Form {
        Form {
            switched_on: set.map_or_else(|| topic.on(), |s| s.on),
            ..Form::of_setting(set, last)
        }
    }

    fn of_setting(set: Option<&CheckSetting>, last: &Form) -> Form {
        Form {
            severity: set.and_then(|s| s.severity),
            scope: Some(set.map_or(LimitScope::Shop, |s| s.scope.clone())),
            reason: String::new(),
            ..last.clone()
        }
    }

    fn limit(&self, old: &Limit) -> Result<Limit, String> {
        let value = value_in(&self.value, &old.unit)?;
        let source = match self.source.trim() {
            "" => self.by.trim(),
            named => named,
        };
        Ok(Limit {
            value,
            scope: self.scope.clone().unwrap_or(LimitScope::Shop),
            set_by: self.by.trim().to_owned(),
            source: source.to_owned(),
            standing: Standing::Shop,
            reason: self.reason.trim().to_owned(),
            on_day: filled_in(&self.on),
            ..old.clone()
        })
    }

    /// The setting that was typed, for a check or all of a topic.
    pub(super) fn setting(&self, slug: &str) -> CheckSetting {
        CheckSetting {
            on: self.switched_on,
            severity: self.severity,
            scope: self.scope.clone().unwrap_or(LimitScope::Shop),
            set_by: self.by.trim().to_owned(),
            on_day: filled_in(&self.on),
            ..CheckSetting::new(slug, self.reason.trim())
        }
    }
}

pub(super) fn who_and_why(ui: &mut Ui, form: &mut Form) {
    entry(ui, "Set by", "Set by", "role and name", &mut form.by);
    entry(ui, "On", "Set on", "year-month-day", &mut form.on);
    entry(
        ui,
        "Reason",
        "Reason for it",
        "why it is set so",
        &mut form.reason,
    );
}

/// The value with its unit beside it, and under it why it was not taken.
fn value_with_unit(ui: &mut Ui, unit: &str, form: &mut Form) {
    row(ui, &words::label("Value"), |ui, label| {
        let layout = Layout::right_to_left(Align::Center);
        ui.with_layout(layout, |ui| {
            if !unit.is_empty() {
                ui.label(unit);
            }
            let edit = TextEdit::singleline(&mut form.value)
                .id_salt("value of the limit")
                .desired_width(f32::INFINITY);
            let field = ui.add(edit).labelled_by(label);
            if field.changed() {
                form.refused = None;
            }
            field.accessible_name(words::label("New value of the limit"));
        });
    });
    if let Some(why) = &form.refused {
        let tokens = Tokens::of(ui.ctx());
        sentence(ui, RichText::new(why).color(tokens.stop));
    }
}

/// A value as typed, in a limit's unit; another unit of the same quantity is converted.
fn value_in(text: &str, unit: &str) -> Result<f64, String> {
    let text = text.trim();
    let bare = match unit {
        "" => text,
        unit => text.strip_suffix(unit).unwrap_or(text).trim_end(),
    };
    if let Ok(value) = parse(Quantity::Number, bare) {
        return Ok(value);
    }
    let (of, in_document) = match unit {
        "°C" => (Quantity::Temperature, 1.0),
        "K" => (Quantity::TemperatureDifference, 1.0),
        "K/min" => (Quantity::Rate, 1.0),
        "mm" => (Quantity::Length, 1.0),
        "min" => (Quantity::Time, 1.0),
        "h" => (Quantity::Time, 60.0),
        "d" => (Quantity::Time, 1440.0),
        "mbar" => (Quantity::Pressure, 1.0),
        "MPa" => (Quantity::Stress, 1.0),
        "°" => (Quantity::Angle, 1.0),
        "g" => (Quantity::Mass, 1.0),
        "kg" => (Quantity::Mass, 1000.0),
        _ => return Err(say::does_not_fit(text, unit)),
    };
    match parse(of, text) {
        Ok(value) => Ok(value / in_document),
        Err(_) => Err(say::does_not_fit(text, unit)),
    }
}

/// Whose it is; some where another was chosen.
pub(super) fn scope_choice(
    ui: &mut Ui,
    scopes: &[LimitScope],
    form: &mut Form,
) -> Option<LimitScope> {
    let now = form.scope.clone().unwrap_or(LimitScope::Shop);
    let offered = scopes.iter().map(|s| (s.clone(), s.words()));
    let picked = super::lists::choice(ui, "scope", "Holds for", &now.words(), offered, &now);
    form.scope = Some(picked.clone().unwrap_or(now));
    picked
}

/// What stands in the row of a limit.
fn cells(limit: &Limit, catalogue: &Catalogue) -> [String; 7] {
    [
        limit.name.clone(),
        limit.shown(),
        limit.scope.words(),
        limit.set_by.clone(),
        say::standing(standing(limit.standing)),
        limit.revision.to_string(),
        catalogue.cited(&limit.source).to_owned(),
    ]
}

/// Narrowest column, points.
const NARROWEST: f32 = theme::TARGET * 2.5;

/// Share of the room that names take at most where there is none to spare.
const NAMES: f32 = 0.4;

/// Widths of columns: as wide as what stands in them; where there is no room for that the widest
/// give way, and what is left over is the last one's. `lead` is taken by signs before the first.
pub(super) fn fit<const N: usize>(
    ui: &Ui,
    heads: &[&str; N],
    rows: &[[String; N]],
    lead: f32,
) -> [f32; N] {
    let width = |text: &str| {
        let text = WidgetText::from(text);
        let extend = Some(TextWrapMode::Extend);
        let galley = text.into_galley(ui, extend, f32::INFINITY, TextStyle::Body);
        galley.size().x
    };
    let mut widths = heads.map(|head| width(&words::label(head)));
    for row in rows {
        for (at, text) in widths.iter_mut().zip(row) {
            *at = at.max(width(text));
        }
    }
    for at in &mut widths {
        *at = (*at + theme::SPACE).max(NARROWEST);
    }
    if let Some(first) = widths.first_mut() {
        // Names are buttons, with room around them.
        *first += lead + 2.0 * ui.spacing().button_padding.x + theme::SPACE;
    }
    let gaps = ui.spacing().item_spacing.x * N as f32;
    let bar = ui.spacing().scroll.bar_width + ui.spacing().scroll.bar_inner_margin;
    let room = (ui.available_width() - gaps - bar).max(NARROWEST * N as f32);
    // Names before everything else.
    let [first, others @ ..] = widths.as_mut_slice() else {
        return widths;
    };
    if *first + others.iter().sum::<f32>() > room {
        *first = first.min(room * NAMES);
    }
    let most = cap(others, room - *first);
    for at in others {
        *at = at.min(most);
    }
    let used: f32 = widths.iter().sum();
    if let Some(last) = widths.last_mut() {
        *last += (room - used).max(0.0);
    }
    widths
}

/// The width beyond which columns are cut so that all of them have room.
fn cap(widths: &[f32], room: f32) -> f32 {
    let mut sorted = widths.to_vec();
    sorted.sort_by(f32::total_cmp);
    let mut left = room;
    for (i, width) in sorted.iter().enumerate() {
        let each = left / (sorted.len() - i) as f32;
        if *width > each {
            return each;
        }
        left -= width;
    }
    f32::INFINITY
}

pub(super) fn table(
    ui: &mut Ui,
    salt: &str,
    (heads, widths): (&[&str], &[f32]),
    to: Option<usize>,
    rows: impl FnOnce(egui_extras::TableBody<'_>),
) {
    let mut table = TableBuilder::new(ui)
        .id_salt(salt)
        .striped(true)
        .auto_shrink(false)
        .cell_layout(Layout::left_to_right(Align::Center));
    for width in widths {
        table = table.column(Column::exact(*width).clip(true));
    }
    if let Some(at) = to {
        table = table.scroll_to_row(at, Some(Align::Center));
    }
    table
        .header(theme::TARGET, |mut header| {
            for head in heads {
                header.col(|ui| {
                    ui.strong(words::label(head));
                });
            }
        })
        .body(rows);
}

pub(super) fn cell(row: &mut egui_extras::TableRow<'_, '_>, text: &str) {
    row.col(|ui| {
        ui.label(text).on_hover_text(text);
    });
}

pub(super) fn found(wanted: &str, texts: &[&str]) -> bool {
    let wanted = wanted.trim().to_lowercase();
    wanted
        .split_whitespace()
        .all(|word| texts.iter().any(|text| text.to_lowercase().contains(word)))
}

fn standing(standing: Standing) -> &'static str {
    match standing {
        Standing::Published => "published",
        Standing::Memory => "from memory",
        Standing::Derived => "worked out",
        Standing::Assumed => "assumed",
        Standing::Shop => "set by the shop",
    }
}
