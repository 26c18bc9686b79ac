//! Rows of a form: a name in its column, the control beside it. Nothing gets wider than the panel.

use crate::app::fields::committed;
use crate::part::{Geometry, Shape, measure_typed};
use crate::text::app as say;
use crate::units::{self, Quantity, show};
use egui::{
    Align, Button, ComboBox, Id, Label, Layout, Response, Role, Sides, TextEdit, TextWrapMode, Ui,
    WidgetInfo, vec2,
};
use std::collections::BTreeMap;

/// Share of the panel that names take.
const NAMES: f32 = 0.42;

/// A name and what stands beside it, which gets the name's id.
pub(in crate::app) fn row<R>(ui: &mut Ui, name: &str, control: impl FnOnce(&mut Ui, Id) -> R) -> R {
    ui.horizontal(|ui| {
        let size = vec2(ui.available_width() * NAMES, ui.spacing().interact_size.y);
        let layout = Layout::left_to_right(Align::Center);
        let label = ui.allocate_ui_with_layout(size, layout, |ui| {
            ui.set_width(size.x);
            ui.add(Label::new(name).truncate())
        });
        control(ui, label.inner.id)
    })
    .inner
}

/// Something to choose on the left that gives way, something to press on the right.
pub(super) fn sides<L, R>(
    ui: &mut Ui,
    left: impl FnOnce(&mut Ui) -> L,
    right: impl FnOnce(&mut Ui) -> R,
) -> (L, R) {
    Sides::new().shrink_left().truncate().show(ui, left, right)
}

/// A sentence over as many lines as it takes.
pub(in crate::app) fn sentence(ui: &mut Ui, text: impl Into<egui::RichText>) {
    ui.add(Label::new(text.into()).wrap());
}

/// Short things to press, in as many rows as they take.
pub(in crate::app) fn wrapped<R>(ui: &mut Ui, buttons: impl FnOnce(&mut Ui) -> R) -> R {
    ui.horizontal_wrapped(|ui| {
        // Cut short they would never go on in the next row.
        ui.style_mut().wrap_mode = Some(TextWrapMode::Extend);
        buttons(ui)
    })
    .inner
}

/// What was typed, without spaces around it; none where that is nothing.
pub(in crate::app) fn filled_in(text: &str) -> Option<String> {
    let text = text.trim();
    (!text.is_empty()).then(|| text.to_owned())
}

/// A button with a longer name for assistive technology, which is its hint too.
pub(in crate::app) fn button(ui: &mut Ui, enabled: bool, text: &str, name: &str) -> Response {
    let response = ui.add_enabled(enabled, Button::new(text));
    response.widget_info(|| WidgetInfo::labeled(Role::Button, enabled, name));
    response.on_hover_text(name)
}

/// The same, but where it cannot be pressed the hint says why.
pub(in crate::app) fn button_unless(
    ui: &mut Ui,
    refused: Option<String>,
    text: &str,
    name: &str,
) -> Response {
    let response = button(ui, refused.is_none(), text, name);
    match refused {
        Some(why) => response.on_disabled_hover_text(why),
        None => response,
    }
}

/// A row of a list that can be chosen.
pub(in crate::app) fn list_row(ui: &mut Ui, chosen: bool, text: &str) -> Response {
    let row = ui.add(Button::selectable(chosen, text).truncate());
    row.widget_info(|| WidgetInfo::selected(Role::ListBoxOption, true, chosen, text));
    row.on_hover_text(text)
}

/// The same over as many lines as it takes; `name` is its whole text.
pub(in crate::app) fn wrapped_row(ui: &mut Ui, chosen: bool, text: &str, name: &str) -> Response {
    let row = ui.add(Button::selectable(chosen, text).wrap());
    row.widget_info(|| WidgetInfo::selected(Role::ListBoxOption, true, chosen, name));
    row.on_hover_text(name)
}

/// A field for words; some on Enter or blur when they changed, Escape drops them.
pub(in crate::app) fn text_row(
    ui: &mut Ui,
    typing: &mut BTreeMap<String, String>,
    id: &str,
    name: &str,
    value: &str,
) -> Option<String> {
    let typed = commit_row(ui, typing, id, name, value)?;
    typing.remove(id);
    (typed != value).then_some(typed)
}

/// A field for a quantity that may not be known: some on commit, with none where the field was
/// emptied, or with the sentence that says what is wrong with what was typed, which then stays.
pub(in crate::app) fn quantity_row(
    ui: &mut Ui,
    typing: &mut BTreeMap<String, String>,
    id: &str,
    name: &str,
    (quantity, value, digits): (Quantity, Option<f64>, usize),
) -> Option<Result<Option<f64>, String>> {
    let shown = value.map_or_else(String::new, |value| show(quantity, value, digits));
    let typed = commit_row(ui, typing, id, name, &shown)?;
    let parsed = match typed.trim() {
        "" => Ok(None),
        typed => units::parse(quantity, typed)
            .map(Some)
            .map_err(|fault| fault.to_string()),
    };
    if parsed.is_ok() {
        typing.remove(id);
    }
    Some(parsed)
}

fn commit_row(
    ui: &mut Ui,
    typing: &mut BTreeMap<String, String>,
    id: &str,
    name: &str,
    shown: &str,
) -> Option<String> {
    let mut text = typing.get(id).cloned().unwrap_or_else(|| shown.to_owned());
    let response = row(ui, &say::label(name), |ui, label| {
        let edit = TextEdit::singleline(&mut text)
            .id_salt(id)
            .desired_width(f32::INFINITY);
        ui.add(edit).labelled_by(label)
    });
    committed(ui, typing, id, &response, text)
}

/// A field of a form that is read as a whole when its button is pressed. `name` tells it from
/// fields of the same word in other forms.
pub(in crate::app) fn entry(ui: &mut Ui, word: &str, name: &str, hint: &str, text: &mut String) {
    row(ui, &say::label(word), |ui, label| {
        let edit = TextEdit::singleline(text)
            .id_salt(name)
            .hint_text(say::label(hint))
            .desired_width(f32::INFINITY);
        let response = ui.add(edit).labelled_by(label);
        if name != word {
            response.accessible_name(say::label(name));
        }
    });
}

/// One of several; some when another is chosen.
pub(in crate::app) fn choice<T: PartialEq>(
    ui: &mut Ui,
    salt: impl std::hash::Hash + std::fmt::Debug,
    name: &str,
    now: &str,
    options: impl IntoIterator<Item = (T, String)>,
    chosen: &T,
) -> Option<T> {
    let mut picked = None;
    row(ui, &say::label(name), |ui, label| {
        let combo = ComboBox::from_id_salt(("choice", format!("{salt:?}")))
            .width(ui.available_width())
            .truncate()
            .selected_text(now);
        let shown = combo.show_ui(ui, |ui| {
            for (value, text) in options {
                let mine = value == *chosen;
                if ui.selectable_label(mine, text).clicked() && !mine {
                    picked = Some(value);
                }
            }
        });
        shown.response.labelled_by(label).on_hover_text(now);
    });
    picked
}

/// Which shape is typed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Kind {
    /// A block.
    #[default]
    Block,
    /// A disc or upright rod.
    Disc,
    /// A tube or ring.
    Tube,
    /// A prism over a typed outline.
    Prism,
    /// An outline of which only the mass is known.
    Outline,
}

/// A shape as it is being typed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ShapeForm {
    kind: Kind,
    /// In the order of [`ShapeForm::words`].
    sides: [String; 3],
    outline: String,
}

impl ShapeForm {
    fn words(&self) -> &'static [&'static str] {
        match self.kind {
            Kind::Block => &["Width", "Depth", "Height"],
            Kind::Disc => &["Diameter", "Height"],
            Kind::Tube => &["Outer diameter", "Bore", "Height"],
            Kind::Prism | Kind::Outline => &["Height"],
        }
    }

    /// The fields; `of` is what the shape is for, as in "of the new part". An outline that tells
    /// no volume is offered where a mass is asked for too.
    pub(super) fn show(&mut self, ui: &mut Ui, of: &str, with_mass: bool) {
        wrapped(ui, |ui| {
            let kinds = [
                (Kind::Block, "Block"),
                (Kind::Disc, "Disc"),
                (Kind::Tube, "Tube"),
                (Kind::Prism, "Prism"),
                (Kind::Outline, "Outline and mass"),
            ];
            let offered = kinds.into_iter();
            for (kind, word) in offered.filter(|(k, _)| with_mass || *k != Kind::Outline) {
                let chosen = self.kind == kind;
                let name = say::label(&format!("{word} {of}"));
                let choice = ui.selectable_label(chosen, say::label(word));
                choice.widget_info(|| WidgetInfo::selected(Role::RadioButton, true, chosen, &name));
                if choice.clicked() {
                    self.kind = kind;
                }
            }
        });
        if matches!(self.kind, Kind::Prism | Kind::Outline) {
            let name = format!("Outline {of}");
            entry(
                ui,
                "Outline",
                &name,
                "x,y x,y x,y … in mm",
                &mut self.outline,
            );
        }
        for (word, text) in self.words().iter().zip(&mut self.sides) {
            entry(ui, word, &format!("{word} {of}"), "mm", text);
        }
    }

    /// The shape with its measures, or what is wrong with it.
    pub(super) fn shape(&self) -> Result<(Shape, Geometry), String> {
        let mut mm = [0.0; 3];
        for ((word, text), mm) in self.words().iter().zip(&self.sides).zip(&mut mm) {
            *mm = units::parse(Quantity::Length, text)
                .map_err(|fault| say::in_field(word, &fault.to_string()))?;
        }
        let [a, b, c] = mm;
        let shape = match self.kind {
            Kind::Block => Shape::Block {
                width_mm: a,
                depth_mm: b,
                height_mm: c,
            },
            Kind::Disc => Shape::Disc {
                diameter_mm: a,
                height_mm: b,
            },
            Kind::Tube => Shape::Tube {
                outer_mm: a,
                bore_mm: b,
                height_mm: c,
            },
            Kind::Prism => Shape::Prism {
                outline_mm: units::parse_places(&self.outline).map_err(say::not_points)?,
                height_mm: a,
            },
            Kind::Outline => Shape::Outline {
                outline_mm: units::parse_places(&self.outline).map_err(say::not_points)?,
                height_mm: a,
            },
        };
        let geometry = measure_typed(&shape)
            .map_err(|fault| crate::text::edits::bad_shape(&fault.to_string()))?;
        Ok((shape, geometry))
    }
}
