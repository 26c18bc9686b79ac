//! Which waiting lots go first, as marked in the arrange panel: for this load, until it is closed.

use super::checked::{Typing, checked_cell, not_taken};
use super::theme::{self, Tokens};
use crate::arrange::{First, MOST_PRIORITY, waiting_of};
use crate::catalogue::when;
use crate::load::{LotId, Plan};
use crate::text::app as say;
use crate::text::arranging_ways as ways;
use egui::{Align2, Checkbox, CollapsingHeader, Label, RichText, TextEdit, Ui};
use std::collections::BTreeMap;

/// Marks of lots.
#[derive(Default)]
pub(super) struct ArrangeFirst {
    lots: BTreeMap<LotId, (First, String)>,
    typing: Typing,
}

impl ArrangeFirst {
    /// By lot, as far as something is marked. A text that is no time counts for nothing.
    pub(super) fn by_lot(&self) -> BTreeMap<LotId, First> {
        let marked = self.lots.iter().map(|(id, (first, due))| {
            let due = Some(due.trim().to_owned()).filter(|due| is_time(due));
            let first = First {
                due,
                ..first.clone()
            };
            (*id, first)
        });
        marked
            .filter(|(_, first)| *first != First::default())
            .collect()
    }

    /// A row for each lot of which something waits; nothing where nothing does.
    pub(super) fn form(&mut self, ui: &mut Ui, plan: &Plan) {
        let lots: Vec<_> = plan
            .lots
            .iter()
            .map(|lot| (lot, waiting_of(plan, lot)))
            .filter(|(_, pieces)| *pieces > 0)
            .collect();
        self.lots
            .retain(|id, _| lots.iter().any(|(lot, _)| lot.id == *id));
        let lots_of = |key: &String| lots.iter().any(|(lot, _)| is_of(key, lot.id));
        self.typing.retain(|key, _| lots_of(key));
        if lots.is_empty() {
            return;
        }
        let tokens = Tokens::of(ui.ctx());
        CollapsingHeader::new(say::label("What goes first"))
            .default_open(true)
            .show(ui, |ui| {
                let hint = RichText::new(ways::lots_hint()).color(tokens.weak);
                ui.add(Label::new(hint).wrap());
                for (lot, pieces) in &lots {
                    let part = plan.part(lot.part).map_or("", |part| part.name.as_str());
                    ui.add(Label::new(ways::waits(&lot.name, part, *pieces)).wrap());
                    // In a narrow panel what has no room goes onto the next line.
                    ui.horizontal_wrapped(|ui| {
                        let (first, due) = self.lots.entry(lot.id).or_default();
                        let word = say::label("Must go");
                        ui.add(Checkbox::new(&mut first.must, &word))
                            .accessible_name(ways::of_lot(&word, &lot.name));
                        let word = say::label("Priority");
                        ui.label(&word);
                        let id = lot.id.0.to_string();
                        let shown = first.priority.to_string();
                        let cell = (shown.as_str(), theme::TARGET * 2.0);
                        let name = ways::of_lot(&word, &lot.name);
                        let set = checked_cell(ui, &mut self.typing, &id, &name, cell, a_priority);
                        first.priority = set.unwrap_or(first.priority);
                        let word = say::label("Due");
                        ui.label(&word);
                        let field = TextEdit::singleline(due).hint_text(ways::due_hint());
                        let field = field.align(Align2::LEFT_CENTER);
                        ui.add_sized([theme::SIDE * 0.6, theme::TARGET], field)
                            .accessible_name(ways::of_lot(&word, &lot.name));
                    });
                    if let Some(due) = self.not_a_due(lot.id) {
                        let why = RichText::new(ways::not_a_due(&lot.name, due));
                        ui.add(Label::new(why.color(tokens.stop)).wrap());
                    }
                }
            });
    }

    /// What stands as due of a lot and is no time.
    fn not_a_due(&self, lot: LotId) -> Option<&str> {
        let due = self.lots.get(&lot)?.1.trim();
        (!due.is_empty() && !is_time(due)).then_some(due)
    }

    /// Whether all that was typed is understood.
    pub(super) fn is_whole(&self) -> bool {
        let due = self.lots.keys().all(|lot| self.not_a_due(*lot).is_none());
        due && not_taken(&self.typing, "") == 0
    }
}

/// Whether a key of what is being typed is a lot's: its number, alone or on the first of two lines.
fn is_of(key: &str, lot: LotId) -> bool {
    key.lines().next() == Some(lot.0.to_string().as_str())
}

fn a_priority(text: &str) -> Result<u32, String> {
    let number = text.parse().ok().filter(|n| *n <= MOST_PRIORITY);
    number.ok_or_else(|| ways::no_priority(text, MOST_PRIORITY))
}

fn is_time(text: &str) -> bool {
    when::day(text).is_some() || when::moment(text).is_some()
}
