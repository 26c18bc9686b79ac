//! Checks on the board of limits: each with its conditions, and what the shop makes of them.

use super::fields::picked;
use super::findings_panel::severity_word;
use super::limits_board::{Form, LimitsView, cell, found, scope_choice, table, who_and_why};
use super::lists::{sentence, wrapped};
use super::state::{Action, App};
use super::theme::{self, Tokens};
use crate::catalogue::{Catalogue, CheckSetting, LimitScope, Severity};
use crate::files::ShopChange;
use crate::review::{
    Check, Needs, TOPICS, Topic, all_checks, check_by_slug, setting_of, topic_by_slug,
};
use crate::text::findings::{prose, title};
use crate::text::{app as words, limits_board as say, topics};
use egui::{RichText, Ui};
use egui_extras::TableRow;
use std::collections::BTreeSet;

/// A row of the list.
enum Row {
    Topic(&'static Topic),
    Check(&'static Check),
}

impl LimitsView {
    /// What is asked for: topics, and under the chosen one, or where words are looked for, their
    /// conditions.
    fn rows(&self, settings: &[CheckSetting]) -> Vec<Row> {
        let set = |slug: &str| settings.iter().any(|s| s.check == slug);
        let looking = self.own || !self.wanted.trim().is_empty();
        let mut rows = Vec::new();
        for topic in TOPICS {
            let heading = topics::title(topic.slug);
            let whole =
                (!self.own || set(topic.slug)) && found(&self.wanted, &[topic.slug, &heading]);
            let wanted = |c: &&Check| {
                let title = title(c.slug);
                (!self.own || set(c.slug))
                    && found(&self.wanted, &[c.slug, &title, c.family.word()])
            };
            let open = self.topic == Some(topic.slug) || looking && !whole;
            let all = looking && !whole;
            let checks: Vec<&'static Check> = topic
                .all()
                .filter(|c| if all { wanted(c) } else { open })
                .collect();
            if whole || !checks.is_empty() {
                rows.push(Row::Topic(topic));
                rows.extend(checks.into_iter().map(Row::Check));
            }
        }
        rows
    }
}

impl App {
    pub(super) fn checks_table(
        &mut self,
        ui: &mut Ui,
        catalogue: &Catalogue,
        actions: &mut Vec<Action>,
    ) {
        let shown = self.view.limits.rows(&catalogue.checks);
        self.beside(ui, "check", |app, ui| {
            app.check_panel(ui, catalogue, actions)
        });
        let checks = shown.iter().filter(|r| matches!(r, Row::Topic(_))).count();
        ui.label(say::shown_checks(
            checks,
            TOPICS.len(),
            all_checks().count(),
        ));
        let heads = [
            "Check and its conditions",
            "Family",
            "Weight",
            "On",
            "Reason",
        ];
        table(ui, "checks", &heads, |body| {
            body.rows(theme::TARGET, shown.len(), |mut row| {
                match shown.get(row.index()) {
                    Some(Row::Topic(topic)) => self.topic_row(&mut row, topic, catalogue),
                    Some(Row::Check(check)) => self.check_row(&mut row, check, catalogue),
                    None => {}
                }
            });
        });
    }

    fn topic_row(&mut self, row: &mut TableRow, topic: &'static Topic, catalogue: &Catalogue) {
        let set = catalogue.checks.iter().find(|s| s.check == topic.slug);
        let view = &mut self.view.limits;
        let chosen = view.topic == Some(topic.slug);
        row.col(|ui| {
            let title = RichText::new(topics::title(topic.slug)).strong();
            let name = say::topic_row(&topics::title(topic.slug));
            if picked(ui, chosen && view.check.is_none(), title, &name) {
                view.form = Form::of_topic(topic, set, &view.form);
                view.topic = Some(topic.slug).filter(|_| !chosen || view.check.is_some());
                view.check = None;
            }
        });
        let families: BTreeSet<&str> = topic.all().map(|c| c.family.word()).collect();
        cell(row, &families.into_iter().collect::<Vec<_>>().join(", "));
        cell(row, "");
        let checks = &catalogue.checks;
        let on = topic.all().filter(|c| {
            let set = setting_of(c.slug, &LimitScope::Shop, checks);
            c.safety || set.map_or(c.on, |s| s.on)
        });
        cell(row, &say::on_of(on.count(), topic.checks.len()));
        cell(row, set.map_or("", |s| &s.reason));
    }

    fn check_row(&mut self, row: &mut TableRow, check: &'static Check, catalogue: &Catalogue) {
        let title = title(check.slug);
        let own = catalogue.checks.iter().find(|s| s.check == check.slug);
        let set = own.or_else(|| setting_of(check.slug, &LimitScope::Shop, &catalogue.checks));
        let chosen = self.view.limits.check == Some(check.slug);
        row.col(|ui| {
            ui.add_space(theme::SPACE);
            if picked(ui, chosen, &title, &say::check_row(&title)) {
                self.view.limits.form = Form::of_check(check, own, &self.view.limits.form);
                self.view.limits.check = Some(check.slug);
            }
        });
        cell(row, check.family.word());
        let severity = set.and_then(|s| s.severity).unwrap_or(check.severity);
        cell(row, &severity_word(severity));
        let on = check.safety || set.map_or(check.on, |s| s.on);
        let state = say::state(on, check.safety, check.needs == Needs::Forecast);
        cell(row, &state);
        cell(row, set.map_or("", |s| &s.reason));
    }

    fn check_panel(&mut self, ui: &mut Ui, catalogue: &Catalogue, actions: &mut Vec<Action>) {
        let view = &self.view.limits;
        let Some(check) = view.check.and_then(check_by_slug) else {
            match view.topic.and_then(topic_by_slug) {
                Some(topic) => self.topic_panel(ui, topic, catalogue, actions),
                None => sentence(ui, say::choose_check()),
            }
            return;
        };
        let set = head(ui, &title(check.slug), check.slug, catalogue, |ui| {
            if let Some(prose) = prose(check.slug) {
                sentence(ui, words::label(prose.why));
            }
        });
        if check.safety {
            sentence(ui, say::safety_stays());
            return;
        }
        self.setting(ui, check.slug, set, actions, |ui, form| {
            ui.checkbox(&mut form.switched_on, words::label("The check is on"));
            wrapped(ui, |ui| {
                ui.label(words::label("Weight"));
                let default = say::default_weight(&severity_word(check.severity));
                let mut offered = vec![(None, default)];
                let others = [Severity::Stop, Severity::Caution, Severity::Note];
                let others = others.into_iter().filter(|s| *s != check.severity);
                offered.extend(others.map(|s| (Some(s), severity_word(s))));
                for (severity, name) in offered {
                    ui.selectable_value(&mut form.severity, severity, name);
                }
            });
        });
    }

    fn topic_panel(
        &mut self,
        ui: &mut Ui,
        topic: &'static Topic,
        catalogue: &Catalogue,
        actions: &mut Vec<Action>,
    ) {
        let set = head(
            ui,
            &topics::title(topic.slug),
            topic.slug,
            catalogue,
            |ui| {
                sentence(ui, say::conditions(topic.checks.len()));
                for check in topic.all() {
                    let line = say::condition(&title(check.slug), &severity_word(check.severity));
                    sentence(ui, line);
                }
            },
        );
        if topic.all().all(|check| check.safety) {
            sentence(ui, say::safety_stays());
            return;
        }
        if topic.all().any(|check| check.safety) {
            sentence(ui, say::some_stay_on());
        }
        self.setting(ui, topic.slug, set, actions, |ui, form| {
            let name = words::label("The check is on, with all its conditions");
            ui.checkbox(&mut form.switched_on, name);
        });
    }

    /// The form of a setting: what `choose` asks, for whom, who and why.
    fn setting(
        &mut self,
        ui: &mut Ui,
        slug: &str,
        set: Option<&CheckSetting>,
        actions: &mut Vec<Action>,
        choose: impl FnOnce(&mut Ui, &mut Form),
    ) {
        if self.shop.is_none() {
            sentence(ui, say::no_shop_folder());
            return;
        }
        let scopes = self.scopes();
        let form = &mut self.view.limits.form;
        choose(ui, form);
        scope_choice(ui, &scopes, form);
        who_and_why(ui, form);
        wrapped(ui, |ui| self.set_or_back(ui, slug, set, actions));
    }

    /// The two buttons under a form.
    fn set_or_back(
        &self,
        ui: &mut Ui,
        slug: &str,
        set: Option<&CheckSetting>,
        actions: &mut Vec<Action>,
    ) {
        if ui.button(words::label("Set the check")).clicked() {
            let setting = self.view.limits.form.setting(slug);
            actions.push(Action::Shop(ShopChange::Check(setting)));
        }
        let back = egui::Button::new(words::label("Set it back"));
        let back = ui.add_enabled(set.is_some(), back);
        if back.on_disabled_hover_text(say::not_set_here()).clicked() {
            actions.push(Action::Shop(ShopChange::ResetCheck {
                check: slug.to_owned(),
                scope: set.map_or(LimitScope::Shop, |s| s.scope.clone()),
            }));
        }
    }
}

/// What a check is called, what `about` says of it, and what is set for it.
fn head<'a>(
    ui: &mut Ui,
    title: &str,
    slug: &str,
    catalogue: &'a Catalogue,
    about: impl FnOnce(&mut Ui),
) -> Option<&'a CheckSetting> {
    let tokens = Tokens::of(ui.ctx());
    ui.strong(title);
    sentence(ui, RichText::new(slug).color(tokens.weak));
    about(ui);
    let set = catalogue.checks.iter().find(|s| s.check == slug);
    if let Some(set) = set {
        sentence(ui, say::because(&set.reason, set.on_day.as_deref()));
    }
    ui.separator();
    set
}
