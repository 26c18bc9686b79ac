//! Findings, worst first: what, by how much, why, what to do. A click goes to the thing.

use super::marks::mark_in_row;
use super::state::{Action, App, Results};
use super::theme::{SPACE, Tokens};
use crate::catalogue::Severity;
use crate::load::{PlacementId, Plan};
use crate::review::{Finding, Missing, Review, Subject};
use crate::text::app::label;
use crate::text::arranging;
use crate::text::cautions;
use crate::text::cli;
use crate::text::findings::{fill, prose, title};
use crate::text::{findings_panel as say, shop_forms};
use egui::text::LayoutJob;
use egui::{
    Align, Button, CollapsingHeader, Layout, Response, RichText, Role, ScrollArea, TextFormat,
    TextStyle, Ui, WidgetInfo,
};
use std::collections::BTreeMap;

/// More findings of one check than this are one row that opens.
const ALIKE: usize = 8;
/// Rows of a group that are laid out before "show all".
const FIRST: usize = 200;

impl App {
    pub(super) fn findings_panel(
        &mut self,
        ui: &mut Ui,
        results: &Results,
        actions: &mut Vec<Action>,
    ) {
        let review = &results.review;
        ui.add_space(SPACE / 2.0);
        if self.shows_another_layout() {
            ui.heading(arranging::findings_of_the_load());
            let colour = Tokens::of(ui.ctx()).caution;
            let whose = RichText::new(arranging::not_of_the_layout()).color(colour);
            super::lists::sentence(ui, whose);
        } else {
            ui.heading(label("Findings"));
        }
        let summary = cli::summary(
            review.open_stops(),
            review.stops_taken_on(),
            review.topics,
            review.ran,
            [review.not_evaluated(), review.safety_not_evaluated()],
            review.off.len(),
        );
        ui.label(summary);
        if self.shop_unkept() {
            let colour = Tokens::of(ui.ctx()).caution;
            super::lists::sentence(
                ui,
                RichText::new(shop_forms::review_by_kept()).color(colour),
            );
        }
        ui.separator();
        ScrollArea::vertical()
            .auto_shrink([false, false])
            .show(ui, |ui| {
                let groups = [
                    (Severity::Stop, cli::fix_before_start()),
                    (Severity::Caution, cli::look_at()),
                    (Severity::Note, cli::for_information()),
                ];
                for (severity, heading) in groups {
                    let open = |f: &&Finding| f.severity == severity && !f.is_gone();
                    let mine: Vec<&Finding> = review.findings.iter().filter(open).collect();
                    self.group(ui, &heading, &mine, true, results, actions);
                }
                let taken = review
                    .findings
                    .iter()
                    .filter(|f| f.is_gone())
                    .collect::<Vec<_>>();
                self.group(ui, &cli::accepted(), &taken, false, results, actions);
                self.not_evaluated(ui, results, actions);
                record_cautions(ui, review);
                switched_off(ui, review);
            });
    }

    fn group(
        &mut self,
        ui: &mut Ui,
        heading: &str,
        findings: &[&Finding],
        open: bool,
        results: &Results,
        actions: &mut Vec<Action>,
    ) {
        if findings.is_empty() {
            return;
        }
        let text = RichText::new(say::head(heading, findings.len())).strong();
        let header = CollapsingHeader::new(text)
            .id_salt(heading)
            .default_open(open);
        header.show_unindented(ui, |ui| {
            // The review sorts by check within a group, so findings of a check are neighbours.
            for alike in findings.chunk_by(|a, b| a.check == b.check) {
                let Some(first) = alike.first() else { continue };
                if alike.len() <= ALIKE {
                    self.rows(ui, first.check, alike, results, actions);
                    continue;
                }
                let title = title(first.check);
                let word = severity_word(first.severity);
                let job = headline(ui, first.severity, &say::many(&title, alike.len()), false);
                ui.horizontal_top(|ui| {
                    mark_in_row(ui, first.severity);
                    let shown = ui.vertical(|ui| {
                        CollapsingHeader::new(job)
                            .id_salt((heading, first.check))
                            .show_unindented(ui, |ui| {
                                self.rows(ui, first.check, alike, results, actions);
                            })
                    });
                    let name = say::rows(&word, &title, alike.len());
                    shown
                        .inner
                        .header_response
                        .widget_info(|| WidgetInfo::labeled(Role::Button, true, name.clone()));
                });
            }
        });
    }

    fn rows(
        &mut self,
        ui: &mut Ui,
        key: &str,
        findings: &[&Finding],
        results: &Results,
        actions: &mut Vec<Action>,
    ) {
        let all = self.view.all_findings.contains(key);
        let shown = if all { findings.len() } else { FIRST };
        for finding in findings.iter().take(shown) {
            self.row(ui, finding, results, actions);
        }
        if findings.len() > shown && ui.button(say::show_all(findings.len())).clicked() {
            self.view.all_findings.insert(key.to_owned());
        }
    }

    fn row(
        &mut self,
        ui: &mut Ui,
        finding: &Finding,
        results: &Results,
        actions: &mut Vec<Action>,
    ) {
        let key = (finding.check, finding.subjects.clone());
        let open = self.view.finding.as_ref() == Some(&key);
        let word = severity_word(finding.severity);
        let title = title(finding.check);
        let sentence = sentence(finding);
        let tokens = Tokens::of(ui.ctx());
        let mut job = headline(ui, finding.severity, &title, open);
        let color = if open { tokens.text } else { tokens.weak };
        let font = TextStyle::Body.resolve(ui.style());
        job.append(
            &format!("\n{sentence}"),
            0.0,
            TextFormat::simple(font, color),
        );
        let response = ui
            .horizontal_top(|ui| {
                mark_in_row(ui, finding.severity);
                wide_button(ui, open, job)
            })
            .inner;
        let name = say::row(&word, &title, &sentence);
        response.widget_info(|| WidgetInfo::selected(Role::Button, true, open, name.clone()));
        if response.clicked() {
            self.view.finding = (!open).then_some(key);
            actions.push(Action::Go(finding.subjects.clone()));
        }
        if open {
            ui.indent(("details", finding.check), |ui| {
                self.finding_details(ui, finding, results, actions);
            });
        }
    }

    fn not_evaluated(&mut self, ui: &mut Ui, results: &Results, actions: &mut Vec<Action>) {
        let Results {
            review,
            plan,
            labels,
            ..
        } = results;
        if review.not_evaluated() == 0 {
            return;
        }
        let heading = cli::not_evaluated();
        let text = RichText::new(say::head(&heading, review.not_evaluated())).strong();
        CollapsingHeader::new(text)
            .id_salt("not evaluated")
            .show_unindented(ui, |ui| {
                if !review.unforecast.is_empty() {
                    ui.label(cli::unforecast(review.unforecast.len()));
                }
                for alike in review.missing.chunk_by(|a, b| a.check == b.check) {
                    let Some(first) = alike.first() else { continue };
                    let rows = |ui: &mut Ui, all: &mut dyn FnMut(&str) -> bool| {
                        let every = all(first.check);
                        let shown = if every { alike.len() } else { FIRST };
                        let mut go = Vec::new();
                        for missing in alike.iter().take(shown) {
                            let job = plain(ui, &missing_words(missing, plan, labels));
                            if wide_button(ui, false, job).clicked() {
                                go.push(Action::Go(missing.subjects.clone()));
                            }
                        }
                        let more =
                            alike.len() > shown && ui.button(say::show_all(alike.len())).clicked();
                        (go, more)
                    };
                    let set = &mut self.view.all_findings;
                    // Other keys than those of the findings: one check can be in both lists.
                    let named = |check: &str| format!("missing {check}");
                    let (go, more) = if alike.len() <= ALIKE {
                        rows(ui, &mut |check| set.contains(&named(check)))
                    } else {
                        CollapsingHeader::new(say::many(&title(first.check), alike.len()))
                            .id_salt(("not evaluated", first.check))
                            .show(ui, |ui| rows(ui, &mut |check| set.contains(&named(check))))
                            .body_returned
                            .unwrap_or_default()
                    };
                    actions.extend(go);
                    if more {
                        set.insert(named(first.check));
                    }
                }
            });
    }
}

fn switched_off(ui: &mut Ui, review: &Review) {
    if review.off.is_empty() {
        return;
    }
    let heading = label("Switched off");
    let text = RichText::new(say::head(&heading, review.off.len())).strong();
    CollapsingHeader::new(text)
        .id_salt("switched off")
        .show_unindented(ui, |ui| {
            for (check, reason) in &review.off {
                let who = crate::cli::who_switched(review, check, reason.as_deref());
                ui.label(say::off(&title(check), reason.as_deref(), &who));
            }
        });
}

/// A button as wide as the panel with its text to the left, over as many lines as it takes.
fn wide_button(ui: &mut Ui, selected: bool, text: LayoutJob) -> Response {
    ui.with_layout(Layout::top_down_justified(Align::LEFT), |ui| {
        ui.add(Button::selectable(selected, text).wrap())
    })
    .inner
}

/// The word of a severity in its colour, then a title. On the ground of a chosen row only the
/// text's own colour can be read.
fn headline(ui: &Ui, severity: Severity, title: &str, chosen: bool) -> LayoutJob {
    let tokens = Tokens::of(ui.ctx());
    let font = TextStyle::Body.resolve(ui.style());
    let color = if chosen {
        tokens.text
    } else {
        tokens.severity(severity)
    };
    let mut job = LayoutJob::default();
    job.append(
        &severity_word(severity),
        0.0,
        TextFormat::simple(font.clone(), color),
    );
    job.append(title, SPACE, TextFormat::simple(font, tokens.text));
    job
}

fn plain(ui: &Ui, text: &str) -> LayoutJob {
    let font = TextStyle::Body.resolve(ui.style());
    let color = Tokens::of(ui.ctx()).text;
    LayoutJob::single_section(text.to_owned(), TextFormat::simple(font, color))
}

/// What the records of gases, binders and alloys in the run say to watch.
fn record_cautions(ui: &mut Ui, review: &Review) {
    if review.cautions.is_empty() {
        return;
    }
    let head = say::head(&cautions::head(), review.cautions.len());
    CollapsingHeader::new(RichText::new(head).strong())
        .id_salt("cautions of the records")
        .default_open(true)
        .show_unindented(ui, |ui| {
            for caution in &review.cautions {
                let words = cautions::of(&caution.record, &caution.words);
                ui.add(egui::Label::new(words).wrap());
            }
            ui.add(egui::Label::new(cautions::defer()).wrap());
        });
}

/// The word of a severity.
pub(super) fn severity_word(severity: Severity) -> String {
    match severity {
        Severity::Stop => label("Stop"),
        Severity::Caution => label("Caution"),
        Severity::Note => label("Note"),
    }
}

fn sentence(finding: &Finding) -> String {
    prose(finding.check).map_or_else(String::new, |words| fill(words.sentence, &finding.args))
}

fn missing_words(missing: &Missing, plan: &Plan, labels: &BTreeMap<PlacementId, String>) -> String {
    let about: Vec<String> = missing
        .subjects
        .iter()
        .map(|subject| match subject {
            Subject::Placement(id) => labels.get(id).cloned().unwrap_or_default(),
            other => other.label(plan),
        })
        .collect();
    say::missing(&title(missing.check), &about.join(", "), &missing.what)
}
