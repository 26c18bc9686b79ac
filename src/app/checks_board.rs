//! Checks on the board of limits: each with its conditions, and what the shop makes of them.

use super::fields::picked;
use super::findings_panel::severity_word;
use super::limits_board::{Form, LimitsView, cell, fit, found, scope_choice, table, who_and_why};
use super::lists::{button, sentence, wrapped};
use super::state::{Action, App};
use super::theme::{self, Tokens};
use crate::catalogue::{Catalogue, CheckSetting, LimitScope, Severity};
use crate::cli::limits_in_words;
use crate::files::ShopChange;
use crate::review::{
    Check, Needs, TOPICS, Topic, WhenRegulated, all_checks, check_by_slug, setting_of,
    topic_by_slug,
};
use crate::text::findings::{prose, title};
use crate::text::{app as words, limits_board as say, topics};
use egui::collapsing_header::paint_default_icon;
use egui::{RichText, Sense, Ui, vec2};
use egui_extras::TableRow;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// A row of the list.
#[derive(Clone, Copy)]
enum Row {
    /// A check with all its conditions, and whether these are listed under it.
    Topic(&'static Topic, bool),
    Check(&'static Check),
}

impl Row {
    fn slug(self) -> &'static str {
        match self {
            Row::Topic(topic, _) => topic.slug,
            Row::Check(check) => check.slug,
        }
    }

    /// What stands in the row, in the order of [`HEADS`].
    fn cells(self, catalogue: &Catalogue) -> [String; 6] {
        let set: Vec<&CheckSetting> = settings(catalogue, self.slug()).collect();
        let scopes: Vec<String> = set.iter().map(|s| s.scope.words()).collect();
        let reasons: Vec<&str> = set.iter().map(|s| s.reason.as_str()).collect();
        let shop = |slug| setting_of(slug, &LimitScope::Shop, &catalogue.checks);
        let [name, family, weight, on] = match self {
            Row::Topic(topic, _) => {
                let families: BTreeSet<&str> = topic.all().map(|c| c.family.word()).collect();
                let on = |c: &&Check| c.safety || shop(c.slug).map_or(c.on, |s| s.on);
                let on = topic.all().filter(on).count();
                [
                    topics::title(topic.slug),
                    families.into_iter().collect::<Vec<_>>().join(", "),
                    String::new(),
                    say::on_of(on, topic.checks.len(), narrower_set(topic, catalogue)),
                ]
            }
            Row::Check(check) => {
                let set = shop(check.slug);
                let severity = set.and_then(|s| s.severity).unwrap_or(check.severity);
                let severity = match check.safety {
                    true => severity.max(check.severity),
                    false => severity,
                };
                let on = check.safety || set.map_or(check.on, |s| s.on);
                [
                    title(check.slug),
                    check.family.word().to_owned(),
                    severity_word(severity),
                    say::state(on, check.safety, check.needs == Needs::Forecast),
                ]
            }
        };
        let narrower = set.iter().filter(|s| s.scope != LimitScope::Shop);
        let narrower: Vec<String> = narrower
            .map(|s| say::state_for(s.on, &s.scope.words()))
            .collect();
        let on = std::iter::once(on)
            .chain(narrower)
            .collect::<Vec<_>>()
            .join("; ");
        let (scopes, reasons) = (scopes.join(", "), reasons.join("; "));
        [name, family, weight, on, scopes, reasons]
    }
}

/// Before the name of a condition, points.
const INDENT: f32 = theme::TARGET * 1.5;

const HEADS: [&str; 6] = [
    "Check and its conditions",
    "Family",
    "Weight",
    "On",
    "Scope",
    "Reason",
];

/// How many conditions of a check are set otherwise for some things alone.
fn narrower_set(topic: &Topic, catalogue: &Catalogue) -> usize {
    let narrower = |c: &&Check| {
        let mut set = settings(catalogue, c.slug);
        set.any(|s| s.scope != LimitScope::Shop)
    };
    topic.all().filter(narrower).count()
}

/// What is set for a check by its own name, the narrowest scope first.
fn settings<'c>(
    catalogue: &'c Catalogue,
    slug: &str,
) -> impl Iterator<Item = &'c CheckSetting> + use<'c> {
    let mut set: Vec<&CheckSetting> = catalogue.checks.iter().collect();
    set.retain(|s| s.check == slug);
    set.sort_by(|a, b| a.scope.cmp(&b.scope));
    set.into_iter()
}

/// What is set for a check in one scope.
fn setting_in<'c>(
    catalogue: &'c Catalogue,
    slug: &str,
    scope: &LimitScope,
) -> Option<&'c CheckSetting> {
    catalogue.checks.iter().find(|s| s.is(slug, scope))
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
                rows.push(Row::Topic(topic, !checks.is_empty()));
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
        // Until something is chosen the table has the room.
        let view = &self.view.limits;
        match view.check.is_some() || view.topic.is_some() {
            false => sentence(ui, say::choose_check()),
            true => self.beside(ui, "check", |app, ui| {
                app.check_panel(ui, catalogue, actions)
            }),
        }
        let checks = shown.iter().filter(|r| matches!(r, Row::Topic(..))).count();
        ui.label(say::shown_checks(
            checks,
            TOPICS.len(),
            all_checks().count(),
        ));
        let cells: Vec<[String; 6]> = shown.iter().map(|row| row.cells(catalogue)).collect();
        let widths = fit(ui, &HEADS, &cells, INDENT);
        table(ui, "checks", (&HEADS, &widths), None, |body| {
            body.rows(theme::TARGET, shown.len(), |mut row| {
                let at = row.index();
                if let Some((shown, cells)) = shown.get(at).zip(cells.get(at)) {
                    self.checks_row(&mut row, *shown, cells, catalogue);
                }
            });
        });
    }

    fn checks_row(
        &mut self,
        row: &mut TableRow,
        of: Row,
        cells: &[String; 6],
        catalogue: &Catalogue,
    ) {
        let [name, rest @ ..] = cells;
        row.col(|ui| match of {
            Row::Topic(topic, open) => self.topic_cell(ui, topic, (name, open), catalogue),
            Row::Check(check) => {
                ui.add_space(INDENT);
                let chosen = self.view.limits.check == Some(check.slug);
                if picked(ui, chosen, name, &say::check_row(name)) {
                    let set = setting_in(catalogue, check.slug, &LimitScope::Shop);
                    self.view.limits.form = Form::of_check(check, set, &self.view.limits.form);
                    self.view.limits.check = Some(check.slug);
                }
            }
        });
        for text in rest {
            cell(row, text);
        }
    }

    /// The name of a check with the sign that there is more under it.
    fn topic_cell(
        &mut self,
        ui: &mut Ui,
        topic: &'static Topic,
        (name, open): (&str, bool),
        catalogue: &Catalogue,
    ) {
        let view = &mut self.view.limits;
        let size = vec2(theme::TARGET * 0.6, theme::TARGET * 0.6);
        let (_, sign) = ui.allocate_exact_size(size, Sense::hover());
        paint_default_icon(ui, if open { 1.0 } else { 0.0 }, &sign);
        let chosen = view.topic == Some(topic.slug);
        let only = chosen && view.check.is_none();
        let said = say::topic_row(name, open);
        if picked(ui, only, RichText::new(name).strong(), &said) {
            let set = setting_in(catalogue, topic.slug, &LimitScope::Shop);
            view.form = Form::of_topic(topic, set, &view.form);
            view.topic = Some(topic.slug).filter(|_| !chosen || view.check.is_some());
            view.check = None;
        }
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
        head(ui, &title(check.slug), check.slug);
        let lines = self.view.limits.goes_by.of(check, &self.working.catalogue);
        condition(ui, check, lines);
        ui.separator();
        self.what_is_set(ui, check.slug, catalogue, actions);
        if check.safety {
            sentence(ui, say::safety_stays());
            return;
        }
        if self.fixed(check) {
            sentence(ui, say::regulated_stays());
            return;
        }
        if check.some_safety {
            sentence(ui, say::some_findings_stay());
        }
        self.setting(ui, check.slug, catalogue, actions, |ui, form| {
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
        head(ui, &topics::title(topic.slug), topic.slug);
        sentence(ui, say::conditions(topic.checks.len()));
        for check in topic.all() {
            let line = say::condition(&title(check.slug), &severity_word(check.severity));
            sentence(ui, RichText::new(line).strong());
            let lines = self.view.limits.goes_by.of(check, &self.working.catalogue);
            ui.indent(check.slug, |ui| condition(ui, check, lines));
        }
        ui.separator();
        self.what_is_set(ui, topic.slug, catalogue, actions);
        if topic.all().all(|check| check.safety || self.fixed(check)) {
            let guards = topic.all().all(|check| check.safety);
            let stays = if guards {
                say::safety_stays()
            } else {
                say::regulated_stays()
            };
            sentence(ui, stays);
            return;
        }
        if topic.all().any(|check| check.safety) {
            sentence(ui, say::some_stay_on());
        }
        self.setting(ui, topic.slug, catalogue, actions, |ui, form| {
            let name = words::label("The check is on, with all its conditions");
            ui.checkbox(&mut form.switched_on, name);
        });
    }

    /// Whether regulated work asks for it here, so that a setting would change nothing.
    fn fixed(&self, check: &Check) -> bool {
        let regulated = self.working.shop.as_ref().is_some_and(|s| s.regulated);
        regulated && matches!(check.regulated, WhenRegulated::Stop | WhenRegulated::Only)
    }

    /// Every setting of a check, each with its scope, to be changed or set back.
    fn what_is_set(
        &mut self,
        ui: &mut Ui,
        slug: &'static str,
        catalogue: &Catalogue,
        actions: &mut Vec<Action>,
    ) {
        for set in settings(catalogue, slug) {
            let scope = set.scope.words();
            let weight = set.severity.map(severity_word);
            sentence(ui, say::setting(&scope, set.on, weight.as_deref()));
            ui.indent((slug, &scope), |ui| {
                let by = (set.set_by.as_str(), set.on_day.as_deref());
                sentence(ui, say::set_because(&set.reason, by));
                if self.shop.is_none() {
                    return;
                }
                wrapped(ui, |ui| {
                    let text = words::label("Change it");
                    if button(ui, true, &text, &say::change_for(&scope)).clicked() {
                        self.view.limits.form.take(slug, &set.scope, catalogue);
                    }
                    let text = words::label("Set it back");
                    if button(ui, true, &text, &say::back_for(&scope)).clicked() {
                        actions.push(Action::Shop(ShopChange::ResetCheck {
                            check: slug.to_owned(),
                            scope: set.scope.clone(),
                        }));
                    }
                });
            });
        }
    }

    /// The form of a setting: what `choose` asks, for whom, who and why.
    fn setting(
        &mut self,
        ui: &mut Ui,
        slug: &'static str,
        catalogue: &Catalogue,
        actions: &mut Vec<Action>,
        choose: impl FnOnce(&mut Ui, &mut Form),
    ) {
        if self.shop.is_none() {
            sentence(ui, say::no_shop_folder());
            return;
        }
        ui.strong(words::label("Set it otherwise"));
        let scopes = self.scopes();
        let form = &mut self.view.limits.form;
        if let Some(scope) = scope_choice(ui, &scopes, form) {
            form.take(slug, &scope, catalogue);
        }
        choose(ui, form);
        who_and_why(ui, form);
        if ui.button(words::label("Set the check")).clicked() {
            let setting = form.setting(slug);
            actions.push(Action::Shop(ShopChange::Check(setting)));
        }
    }
}

impl Form {
    /// What is set in a scope, to be changed; where nothing is, what the form says stays.
    fn take(&mut self, slug: &str, scope: &LimitScope, catalogue: &Catalogue) {
        let last = self.clone();
        let Some(set) = setting_in(catalogue, slug, scope) else {
            self.scope = Some(scope.clone());
            return;
        };
        let set = Some(set);
        *self = match (check_by_slug(slug), topic_by_slug(slug)) {
            (Some(check), _) => Form::of_check(check, set, &last),
            (None, Some(topic)) => Form::of_topic(topic, set, &last),
            (None, None) => last,
        };
        self.scope = Some(scope.clone());
    }
}

/// What a check is called.
fn head(ui: &mut Ui, title: &str, slug: &str) {
    let tokens = Tokens::of(ui.ctx());
    ui.strong(title);
    sentence(ui, RichText::new(slug).color(tokens.weak));
}

/// What conditions go by, in words: records are read through for it, so it is kept.
#[derive(Clone, Debug, Default)]
pub(super) struct GoesBy {
    from: Option<Arc<Catalogue>>,
    lines: BTreeMap<&'static str, Vec<String>>,
}

impl GoesBy {
    fn of(&mut self, check: &'static Check, catalogue: &Arc<Catalogue>) -> &[String] {
        let same = |from: &Arc<Catalogue>| Arc::ptr_eq(from, catalogue);
        if !self.from.as_ref().is_some_and(same) {
            self.lines.clear();
            self.from = Some(Arc::clone(catalogue));
        }
        let lines = self.lines.entry(check.slug);
        lines.or_insert_with(|| goes_by(check, catalogue))
    }
}

/// Every limit that a condition asks for, as `review --list` has them.
fn goes_by(check: &'static Check, catalogue: &Catalogue) -> Vec<String> {
    let mut lines = limits_in_words(check, catalogue);
    if lines.is_empty() {
        lines.push(say::no_limit_of_its_own());
    }
    lines
}

/// Why a condition matters, and what it goes by.
fn condition(ui: &mut Ui, check: &Check, goes_by: &[String]) {
    let tokens = Tokens::of(ui.ctx());
    if let Some(prose) = prose(check.slug) {
        sentence(ui, words::label(prose.why));
    }
    for line in goes_by {
        sentence(ui, RichText::new(line).color(tokens.weak));
    }
}
