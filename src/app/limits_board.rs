//! Limits and checks: every one with its owner, and what the shop sets instead.

use super::commands::Command;
use super::fields::picked;
use super::lists::{entry, filled_in, sentence, wrapped};
use super::state::{Action, App};
use super::theme::{self, Tokens};
use crate::catalogue::{Catalogue, CheckSetting, Limit, LimitScope, Severity, Standing};
use crate::files::ShopChange;
use crate::review::{Check, Topic, all_checks};
use crate::text::findings::title;
use crate::text::{app as words, figure, limits, limits_board as say};
use crate::units::{Quantity, parse};
use egui::{Align, Layout, Panel, RichText, Role, ScrollArea, Ui, WidgetInfo};
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
    /// The topic whose conditions are shown.
    pub(super) topic: Option<&'static str>,
    pub(super) check: Option<&'static str>,
    pub(super) form: Form,
}

/// A change being typed.
#[derive(Clone, Debug, Default)]
pub(super) struct Form {
    value: String,
    scope: Option<LimitScope>,
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
        let shown: Vec<&Limit> = catalogue
            .limits
            .iter()
            .filter(|l| !view.own || l.scope != LimitScope::BuiltIn)
            .filter(|l| found(&view.wanted, &[&l.id, &l.name, &l.set_by, &l.source]))
            .collect();
        self.beside(ui, "limit", |app, ui| {
            app.limit_panel(ui, catalogue, actions)
        });
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
        let row_height = theme::TARGET;
        table(ui, "limits", &heads, |body| {
            body.rows(row_height, shown.len(), |mut row| {
                let Some(limit) = shown.get(row.index()) else {
                    return;
                };
                let key = (limit.id.clone(), limit.scope.clone());
                let chosen = self.view.limits.limit.as_ref() == Some(&key);
                row.col(|ui| {
                    let name = say::limit_row(&limit.name, &limit.scope.words());
                    if picked(ui, chosen, &limit.name, &name) {
                        self.view.limits.form = Form::of_limit(limit, &self.view.limits.form);
                        self.view.limits.limit = Some(key.clone());
                    }
                });
                cell(&mut row, &limit.shown());
                cell(&mut row, &limit.scope.words());
                cell(&mut row, &limit.set_by);
                cell(&mut row, &say::standing(standing(limit.standing)));
                cell(&mut row, &limit.revision.to_string());
                cell(&mut row, catalogue.cited(&limit.source));
            });
        });
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
        entry(
            ui,
            "Value",
            "New value of the limit",
            &limit.unit,
            &mut form.value,
        );
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
                    Err(why) => actions.push(Action::Say(why)),
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
        let text = self.value.trim();
        let bare = text.strip_suffix(old.unit.as_str()).unwrap_or(text);
        let value = parse(Quantity::Number, bare).map_err(|f| f.to_string())?;
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

pub(super) fn scope_choice(ui: &mut Ui, scopes: &[LimitScope], form: &mut Form) {
    let now = form.scope.clone().unwrap_or(LimitScope::Shop);
    let offered = scopes.iter().map(|s| (s.clone(), s.words()));
    let picked = super::lists::choice(ui, "scope", "Holds for", &now.words(), offered, &now);
    form.scope = Some(picked.unwrap_or(now));
}

pub(super) fn table(
    ui: &mut Ui,
    salt: &str,
    heads: &[&str],
    rows: impl FnOnce(egui_extras::TableBody<'_>),
) {
    TableBuilder::new(ui)
        .id_salt(salt)
        .striped(true)
        .auto_shrink(false)
        .cell_layout(Layout::left_to_right(Align::Center))
        .column(
            Column::initial(theme::SIDE)
                .at_least(theme::SIDE * 0.5)
                .resizable(true)
                .clip(true),
        )
        .columns(Column::auto().at_least(60.0).clip(true), heads.len() - 2)
        .column(Column::remainder().clip(true))
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
