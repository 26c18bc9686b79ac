//! What a person states that no plan can compute: the questions that the checks ask.

use super::forms::{self, button, entry};
use crate::app::state::{Action, App};
use crate::app::theme::Tokens;
use crate::load::{Declaration, Edit, Plan};
use crate::review::QUESTIONS;
use crate::text::app as say;
use crate::units::{self, Quantity};
use egui::{RichText, Ui};

/// Answers being typed.
#[derive(Clone, Debug, Default)]
pub(super) struct DeclareForm {
    /// Answers in the order of [`QUESTIONS`].
    answers: [String; QUESTIONS.len()],
    /// Who declares; it stays for the next one.
    by: String,
    /// When, year-month-day; it stays too.
    on: String,
}

impl App {
    pub(super) fn declarations(&mut self, ui: &mut Ui, plan: &Plan, actions: &mut Vec<Action>) {
        let tokens = Tokens::of(ui.ctx());
        let mut form = std::mem::take(&mut self.view.lists.declare);
        entry(
            ui,
            "Declared by",
            "Declared by",
            "role and name",
            &mut form.by,
        );
        entry(
            ui,
            "Declared on",
            "Declared on",
            "year-month-day",
            &mut form.on,
        );
        for ((question, quantity), answer) in QUESTIONS.into_iter().zip(&mut form.answers) {
            forms::sentence(ui, RichText::new(say::question(question)).strong());
            match plan.declarations.iter().find(|d| d.question == question) {
                Some(d) => forms::sentence(ui, say::declared(&d.answer, &d.by, &d.on)),
                None => forms::sentence(
                    ui,
                    RichText::new(say::label("Not declared")).color(tokens.weak),
                ),
            }
            let word = say::question_word(question);
            entry(ui, word, word, quantity.unit(), answer);
            let name = say::declare(word);
            if button(ui, true, &say::label("Declare"), &name).clicked() {
                let by = form.by.trim().to_owned();
                let on = form.on.trim().to_owned();
                let edit = declaration(question, quantity, answer, by, on).map(Edit::Declare);
                // What is refused stays to be mended.
                match edit.and_then(|edit| self.taken(edit)) {
                    Ok(edit) => {
                        answer.clear();
                        actions.push(Action::Edit(edit));
                    }
                    Err(sentence) => actions.push(Action::Say(sentence)),
                }
            }
        }
        // A file or a script may hold answers to questions that no check asks now.
        let asked = |d: &&Declaration| QUESTIONS.iter().any(|(q, _)| *q == d.question);
        for d in plan.declarations.iter().filter(|d| !asked(d)) {
            forms::sentence(ui, RichText::new(&d.question).strong());
            forms::sentence(ui, say::declared(&d.answer, &d.by, &d.on));
        }
        self.view.lists.declare = form;
    }
}

/// The statement, or what is wrong with it.
fn declaration(
    question: &str,
    quantity: Quantity,
    answer: &str,
    by: String,
    on: String,
) -> Result<Declaration, String> {
    let answer = answer.trim();
    units::parse(quantity, answer).map_err(|fault| fault.to_string())?;
    if by.is_empty() {
        return Err(say::declaration_needs_name());
    }
    Ok(Declaration {
        question: question.to_owned(),
        answer: answer.to_owned(),
        by,
        on,
        ..Declaration::default()
    })
}
