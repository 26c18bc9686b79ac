//! Which waiting lots go first, as marked in the arrange panel: for this load, until it is closed.

use super::theme::{self, Tokens};
use crate::arrange::{First, waiting_of};
use crate::catalogue::when;
use crate::load::{LotId, Plan};
use crate::text::app as say;
use crate::text::arranging_ways as ways;
use egui::{
    Checkbox, CollapsingHeader, DragValue, Grid, Label, RichText, ScrollArea, TextEdit, Ui,
};
use std::collections::BTreeMap;

/// Largest priority that is taken.
const MOST_PRIORITY: u32 = 99;

/// Marks of lots.
#[derive(Default)]
pub(super) struct ArrangeFirst {
    lots: BTreeMap<LotId, (First, String)>,
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
        if lots.is_empty() {
            return;
        }
        let tokens = Tokens::of(ui.ctx());
        CollapsingHeader::new(say::label("What goes first"))
            .default_open(true)
            .show(ui, |ui| {
                ui.label(RichText::new(ways::lots_hint()).color(tokens.weak));
                let rows = |ui: &mut Ui| {
                    for (lot, pieces) in &lots {
                        let part = plan.part(lot.part).map_or("", |part| part.name.as_str());
                        let (first, due) = self.lots.entry(lot.id).or_default();
                        ui.label(ways::waits(&lot.name, part, *pieces));
                        let word = say::label("Must go");
                        ui.add(Checkbox::new(&mut first.must, &word))
                            .accessible_name(ways::of_lot(&word, &lot.name));
                        let word = say::label("Priority");
                        ui.label(&word);
                        ui.add(DragValue::new(&mut first.priority).range(0..=MOST_PRIORITY))
                            .accessible_name(ways::of_lot(&word, &lot.name));
                        let word = say::label("Due");
                        ui.label(&word);
                        let field = TextEdit::singleline(due).hint_text(ways::due_hint());
                        ui.add_sized([theme::SIDE * 0.5, theme::TARGET], field)
                            .accessible_name(ways::of_lot(&word, &lot.name));
                        ui.end_row();
                    }
                };
                ScrollArea::vertical()
                    .id_salt("what goes first")
                    .max_height(theme::SIDE * 0.4)
                    .show(ui, |ui| {
                        Grid::new("what goes first").striped(true).show(ui, rows);
                    });
                for (lot, _) in &lots {
                    if let Some(due) = self.not_a_due(lot.id) {
                        ui.add(Label::new(ways::not_a_due(&lot.name, due)).wrap());
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
        self.lots.keys().all(|lot| self.not_a_due(*lot).is_none())
    }
}

fn is_time(text: &str) -> bool {
    when::day(text).is_some() || when::moment(text).is_some()
}
