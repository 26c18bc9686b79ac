//! Fields that hold what is typed against what it should be, and say under the field why it is not
//! taken.

use super::fields::committed;
use super::lists::{row, sentence};
use super::theme::{self, Tokens};
use crate::catalogue::when;
use crate::text::{app as words, shop_forms as say};
use crate::units::{Quantity, parse};
use egui::{Response, RichText, TextEdit, Ui};
use std::collections::BTreeMap;

/// What is being typed, by field.
pub(super) type Typing = BTreeMap<String, String>;

/// Width of a sentence under a cell, points.
const SENTENCE: f32 = theme::TARGET * 8.0;

/// Whole numbers that a person may mean by pieces, runs and the like.
const MOST: u32 = 1_000_000;

/// A name in its column and the field beside it; some on Enter or blur where it can be read.
pub(super) fn checked_row<T>(
    ui: &mut Ui,
    typing: &mut Typing,
    id: &str,
    name: &str,
    shown: &str,
    read: impl FnOnce(&str) -> Result<T, String>,
) -> Option<T> {
    let taken = row(ui, &words::label(name), |ui, label| {
        let width = f32::INFINITY;
        field(ui, typing, id, (shown, width), read, |response| {
            response.labelled_by(label)
        })
    });
    why_not(ui, typing, id);
    taken
}

/// The same without a name in sight: a cell of a table, named for assistive technology. It is as
/// wide as asked for.
pub(super) fn checked_cell<T>(
    ui: &mut Ui,
    typing: &mut Typing,
    id: &str,
    name: &str,
    (shown, width): (&str, f32),
    read: impl FnOnce(&str) -> Result<T, String>,
) -> Option<T> {
    ui.vertical(|ui| {
        // A sentence needs more room than a figure.
        ui.set_max_width(width.max(SENTENCE));
        let taken = field(ui, typing, id, (shown, width), read, |response| {
            response.accessible_name(name)
        });
        why_not(ui, typing, id);
        taken
    })
    .inner
}

fn field<T>(
    ui: &mut Ui,
    typing: &mut Typing,
    id: &str,
    (shown, width): (&str, f32),
    read: impl FnOnce(&str) -> Result<T, String>,
    name: impl FnOnce(Response) -> Response,
) -> Option<T> {
    let mut text = typing.get(id).cloned().unwrap_or_else(|| shown.to_owned());
    let edit = TextEdit::singleline(&mut text)
        .id_salt(id)
        .align(egui::Align2::LEFT_CENTER)
        .desired_width(width);
    let response = name(ui.add(edit));
    let typed = committed(ui, typing, id, &response, text)?;
    match read(typed.trim()) {
        Ok(value) => {
            typing.remove(id);
            Some(value)
        }
        Err(sentence) => {
            typing.insert(sentence_of(id), sentence);
            None
        }
    }
}

/// Why what stands in the field is not taken; nothing once it was put right or dropped.
fn why_not(ui: &mut Ui, typing: &mut Typing, id: &str) {
    let key = sentence_of(id);
    if !typing.contains_key(id) {
        typing.remove(&key);
    }
    if let Some(why) = typing.get(&key) {
        let tokens = Tokens::of(ui.ctx());
        sentence(ui, RichText::new(why).color(tokens.stop));
    }
}

/// How many fields whose ids begin so hold what was not taken.
pub(super) fn not_taken(typing: &Typing, begins: &str) -> usize {
    let mine = typing.keys().filter(|id| id.starts_with(begins));
    mine.filter(|id| typing.contains_key(&sentence_of(id)))
        .count()
}

fn sentence_of(id: &str) -> String {
    format!("{id}\nwhy")
}

/// Any words, or none.
pub(super) fn any_words(text: &str) -> Result<Option<String>, String> {
    Ok((!text.is_empty()).then(|| text.to_owned()))
}

/// Words that have to be there.
pub(super) fn some_words(text: &str) -> Result<String, String> {
    match text {
        "" => Err(say::empty()),
        text => Ok(text.to_owned()),
    }
}

/// Names divided by commas, each once.
pub(super) fn names(text: &str) -> Result<Vec<String>, String> {
    let mut names: Vec<String> = Vec::new();
    for name in text.split(',').map(str::trim).filter(|n| !n.is_empty()) {
        if names.iter().any(|n| n == name) {
            return Err(say::twice(name));
        }
        names.push(name.to_owned());
    }
    Ok(names)
}

/// A day.
pub(super) fn a_day(text: &str) -> Result<String, String> {
    match when::day(text) {
        Some(_) => Ok(text.to_owned()),
        None => Err(say::not_a_day(text)),
    }
}

/// A day, or none.
pub(super) fn day_or_none(text: &str) -> Result<Option<String>, String> {
    match text {
        "" => Ok(None),
        text => a_day(text).map(Some),
    }
}

/// A day, a day and a time of day, or none.
pub(super) fn moment_or_day(text: &str) -> Result<Option<String>, String> {
    match when::moment(text) {
        Some(_) => Ok(Some(text.to_owned())),
        None => day_or_none(text),
    }
}

/// A time of day.
pub(super) fn a_time(text: &str) -> Result<String, String> {
    match when::time(text) {
        Some(_) => Ok(text.to_owned()),
        None => Err(say::not_a_time(text)),
    }
}

/// A whole number.
pub(super) fn whole(text: &str) -> Result<u32, String> {
    match text.parse() {
        Ok(n) if n <= MOST => Ok(n),
        _ => Err(say::not_whole(text)),
    }
}

/// A whole number, or none.
pub(super) fn whole_or_none(text: &str) -> Result<Option<u32>, String> {
    match text {
        "" => Ok(None),
        text => whole(text).map(Some),
    }
}

/// A whole number up to `most`, counted from 1, or none.
pub(super) fn up_to(most: u8) -> impl Fn(&str) -> Result<Option<u8>, String> {
    move |text| match (text, text.parse()) {
        ("", _) => Ok(None),
        (_, Ok(n)) if (1..=most).contains(&n) => Ok(Some(n)),
        _ => Err(say::not_up_to(text, most)),
    }
}

/// A quantity.
pub(super) fn quantity(of: Quantity) -> impl Fn(&str) -> Result<f64, String> {
    move |text| parse(of, text).map_err(|fault| fault.to_string())
}

/// A quantity that is not below nought.
pub(super) fn not_negative(of: Quantity) -> impl Fn(&str) -> Result<f64, String> {
    move |text| match quantity(of)(text)? {
        value if value < 0.0 => Err(say::below_nought(text)),
        value => Ok(value),
    }
}

/// What `read` gives, or none where nothing is typed.
pub(super) fn or_none<T>(
    read: impl Fn(&str) -> Result<T, String>,
) -> impl Fn(&str) -> Result<Option<T>, String> {
    move |text| match text {
        "" => Ok(None),
        text => read(text).map(Some),
    }
}
