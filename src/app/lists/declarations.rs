//! What a person states that no plan can compute: the questions that apply to this load.

use super::forms::{self, button, entry};
use crate::app::state::{Action, App, Results};
use crate::app::theme::Tokens;
use crate::load::{Declaration, Edit};
use crate::review::AskedQuestion;
use crate::review::questions::{Answer, declared, question_by_slug};
use crate::text::{app as say, questions};
use egui::{RichText, Ui};
use std::collections::BTreeMap;

/// Answers being typed.
#[derive(Clone, Debug, Default)]
pub(super) struct DeclareForm {
    /// Quantities by question.
    answers: BTreeMap<String, String>,
    /// Who declares; it stays for the next one.
    by: String,
    /// When, year-month-day; it stays too.
    on: String,
    /// Time of that day; it may stay empty.
    at: String,
}

impl App {
    pub(super) fn declarations(
        &mut self,
        ui: &mut Ui,
        results: &Results,
        actions: &mut Vec<Action>,
    ) {
        let plan = &results.plan;
        let tokens = Tokens::of(ui.ctx());
        let mut form = std::mem::take(&mut self.view.lists.declare);
        for (word, hint, text) in [
            ("Declared by", "role and name", &mut form.by),
            ("Declared on", "year-month-day", &mut form.on),
            ("Declared at", "hour:minute", &mut form.at),
        ] {
            entry(ui, word, word, hint, text);
        }
        for asked in &results.review.asked {
            let slug = asked.question.slug;
            let about = asked.about.as_ref().map(|subject| subject.label(plan));
            let question = questions::question_about(slug, about.as_deref());
            forms::sentence(ui, RichText::new(question).strong());
            match declared(plan, slug, asked.about.as_ref()) {
                Some(d) => forms::sentence(ui, said(d)),
                None => forms::sentence(
                    ui,
                    RichText::new(say::label("Not declared")).color(tokens.weak),
                ),
            }
            let Some(answer) = answered(ui, asked, about.as_deref(), &mut form.answers) else {
                continue;
            };
            let edit = form.declaration(asked, &answer).map(Edit::Declare);
            // What is refused stays to be mended.
            match edit.and_then(|edit| self.taken(edit)) {
                Ok(edit) => {
                    form.answers.remove(&key(asked));
                    actions.push(Action::Edit(edit));
                }
                Err(sentence) => actions.push(Action::Say(sentence)),
            }
        }
        // A file or a script may hold answers to questions that do not apply now.
        let asked = |d: &&Declaration| {
            let mut all = results.review.asked.iter();
            all.any(|asked| asked.question.slug == d.question)
        };
        for d in plan.declarations.iter().filter(|d| !asked(d)) {
            let question = match question_by_slug(&d.question) {
                Some(question) => questions::question(question.slug),
                None => d.question.clone(),
            };
            forms::sentence(ui, RichText::new(question).strong());
            forms::sentence(ui, said(d));
        }
        self.view.lists.declare = form;
    }
}

fn said(d: &Declaration) -> String {
    let when = match &d.at {
        Some(at) => format!("{} {at}", d.on),
        None => d.on.clone(),
    };
    say::declared(&d.answer, &d.by, &when)
}

fn key(asked: &AskedQuestion) -> String {
    let about = asked.about.as_ref().map(crate::review::Subject::key);
    format!("{} {}", asked.question.slug, about.unwrap_or_default())
}

/// Buttons or a field for the answer; the answer once it is given.
fn answered(
    ui: &mut Ui,
    asked: &AskedQuestion,
    about: Option<&str>,
    answers: &mut BTreeMap<String, String>,
) -> Option<String> {
    let word = questions::word(asked.question.slug);
    let name = |what: String| match about {
        Some(about) => format!("{what}, {about}"),
        None => what,
    };
    match asked.question.answer {
        Answer::YesNo => {
            let mut given = None;
            ui.horizontal(|ui| {
                for (answer, text) in [("yes", "Yes"), ("no", "No")] {
                    let name = name(say::declare_as(word, text));
                    if button(ui, true, &say::label(text), &name).clicked() {
                        given = Some(answer.to_owned());
                    }
                }
            });
            given
        }
        Answer::Quantity(quantity, _) => {
            let typed = answers.entry(key(asked)).or_default();
            entry(ui, word, word, quantity.unit(), typed);
            let name = name(say::declare(word));
            let clicked = button(ui, true, &say::label("Declare"), &name).clicked();
            clicked.then(|| typed.clone())
        }
    }
}

impl DeclareForm {
    /// The statement, or what is wrong with it.
    fn declaration(&self, asked: &AskedQuestion, answer: &str) -> Result<Declaration, String> {
        let answer = answer.trim();
        asked.question.check(answer)?;
        let by = self.by.trim();
        if by.is_empty() {
            return Err(say::declaration_needs_name());
        }
        Ok(Declaration {
            question: asked.question.slug.to_owned(),
            answer: answer.to_owned(),
            by: by.to_owned(),
            on: self.on.trim().to_owned(),
            at: forms::filled_in(&self.at),
            about: asked.about.as_ref().map(crate::review::Subject::key),
        })
    }
}
