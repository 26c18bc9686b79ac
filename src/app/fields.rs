//! Fields in which a person types a quantity: what is typed stays as it is until Enter or blur.

use super::theme::{BOLD_EDGE, TARGET, Tokens};
use crate::catalogue::Severity;
use crate::text::app as say;
use crate::units::{self, Quantity};
use egui::{Key, Response, Stroke, StrokeKind, TextEdit, Ui, vec2};
use std::collections::BTreeMap;

/// A label and a field beside it. Some on commit: the value in the document's unit, or the sentence
/// that says what is wrong with what was typed, which then stays in the field. Escape drops it.
pub(super) fn quantity_field(
    ui: &mut Ui,
    typing: &mut BTreeMap<String, String>,
    id: &str,
    label: &str,
    quantity: Quantity,
    value: f64,
    digits: usize,
) -> Option<Result<f64, String>> {
    let label = ui.label(say::label(label)).id;
    let name = |response: Response| response.labelled_by(label);
    typed(ui, typing, id, (quantity, value, digits), name)
}

/// The same without a label in sight: a cell of a table, named for assistive technology.
pub(super) fn quantity_cell(
    ui: &mut Ui,
    typing: &mut BTreeMap<String, String>,
    id: &str,
    name: &str,
    what: (Quantity, f64, usize),
) -> Option<Result<f64, String>> {
    typed(ui, typing, id, what, |response| {
        response.accessible_name(name)
    })
}

fn typed(
    ui: &mut Ui,
    typing: &mut BTreeMap<String, String>,
    id: &str,
    (quantity, value, digits): (Quantity, f64, usize),
    name: impl FnOnce(Response) -> Response,
) -> Option<Result<f64, String>> {
    let shown = units::show(quantity, value, digits);
    let mut text = typing.get(id).cloned().unwrap_or(shown);
    let edit = TextEdit::singleline(&mut text)
        .desired_width(ui.spacing().interact_size.x * 2.0)
        .align(egui::Align2::LEFT_CENTER);
    let response = name(ui.add(edit));
    let typed = committed(ui, typing, id, &response, text)?;
    let parsed = units::parse(quantity, &typed);
    if parsed.is_ok() {
        typing.remove(id);
    }
    Some(parsed.map_err(|fault| fault.to_string()))
}

/// What is typed in a field stays by its id until Enter or blur, which give it; Escape drops it.
/// What stays after that could not be read, and the field is marked.
pub(super) fn committed(
    ui: &Ui,
    typing: &mut BTreeMap<String, String>,
    id: &str,
    field: &Response,
    text: String,
) -> Option<String> {
    if typing.contains_key(id) && !field.has_focus() && !field.lost_focus() {
        refused(ui, field);
    }
    if field.changed() {
        typing.insert(id.to_owned(), text);
    }
    if !field.lost_focus() {
        return None;
    }
    if ui.input(|i| i.key_pressed(Key::Escape)) {
        typing.remove(id);
        return None;
    }
    typing.get(id).cloned()
}

/// Marks a field whose text could not be read: the old value still holds.
fn refused(ui: &Ui, response: &Response) {
    let tokens = Tokens::of(ui.ctx());
    let stroke = Stroke::new(BOLD_EDGE, tokens.stop);
    let painter = ui.painter();
    painter.rect_stroke(response.rect, 2.0, stroke, StrokeKind::Inside);
    let at = response.rect.right_center() - vec2(TARGET / 2.0, 0.0);
    super::marks::mark(painter, at, TARGET / 4.0, Severity::Stop, tokens);
    response.clone().on_hover_text(say::not_taken());
}

/// A row of a table to choose, named for assistive technology; whether it was chosen now.
pub(super) fn picked(
    ui: &mut Ui,
    chosen: bool,
    text: impl Into<egui::RichText>,
    name: &str,
) -> bool {
    let text: egui::RichText = text.into();
    let whole = text.text().to_owned();
    let row = ui.add(egui::Button::selectable(chosen, text).truncate());
    row.widget_info(|| egui::WidgetInfo::selected(egui::Role::ListBoxOption, true, chosen, name));
    row.on_hover_text(whole).clicked()
}
