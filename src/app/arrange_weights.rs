//! What counts when parts are set out: a named set of weights or one's own numbers, and two layouts
//! weighed by them.

use super::checked::{Typing, checked_cell};
use super::theme::{self, Tokens};
use crate::arrange::{Order, Weight, Weights};
use crate::text::app as say;
use crate::text::arranging_ways as ways;
use crate::text::arranging_weights as words;
use egui::{CollapsingHeader, ComboBox, Label, RichText, Ui};

fn order_word(order: Option<Order>) -> String {
    say::label(match order {
        Some(Order::Middle) => "Fewest setters, lowest stack, near the middle",
        Some(Order::Balance) => "Fewest setters, lowest stack, in balance",
        Some(Order::Rows) => "Fewest setters, lowest stack, in rows",
        Some(Order::Lowest) => "Lowest stack, fewest setters, near the middle",
        None => return words::own(),
    })
}

/// The list of named sets, and under it the numbers, open where they are asked for.
pub(super) fn form(ui: &mut Ui, weights: &mut Weights, typing: &mut Typing) {
    let mut open = None;
    ui.horizontal_wrapped(|ui| {
        let label = ui.label(say::label("What counts"));
        let now = Order::of(weights);
        ComboBox::from_id_salt("arrange order")
            .selected_text(order_word(now))
            .width(theme::SIDE * 0.75)
            .show_ui(ui, |ui| {
                for order in Order::ALL {
                    let entry = ui.selectable_label(now == Some(order), order_word(Some(order)));
                    if entry.clicked() {
                        *weights = order.weights();
                        typing.clear();
                    }
                }
                if ui.selectable_label(now.is_none(), words::own()).clicked() {
                    open = Some(true);
                }
            })
            .response
            .labelled_by(label.id)
            .on_hover_text(ways::order_hint());
    });
    let own = Order::of(weights).is_none();
    CollapsingHeader::new(words::heading(own))
        .id_salt("arrange weights")
        .default_open(own)
        .open(open)
        .show(ui, |ui| {
            let tokens = Tokens::of(ui.ctx());
            ui.add(Label::new(RichText::new(words::hint()).color(tokens.weak)).wrap());
            for weight in Weight::ALL {
                ui.horizontal(|ui| {
                    let name = words::short(weight.word());
                    let shown = words::weight(weights.get(weight));
                    let read = |text: &str| {
                        let no_number = || words::not_a_number(text, weight.range());
                        let value = text.parse().map_err(|_| no_number())?;
                        weights.with(weight, value).map_err(|_| no_number())
                    };
                    let cell = (shown.as_str(), theme::TARGET * 2.5);
                    let set = checked_cell(ui, typing, weight.word(), &name, cell, read);
                    if let Some(set) = set {
                        *weights = set;
                    }
                    ui.add(Label::new(name).wrap())
                        .on_hover_text(words::each(weight.word()));
                });
            }
        });
}
