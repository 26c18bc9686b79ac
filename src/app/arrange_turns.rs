//! How parts may be turned that do not go by what is chosen for all, as set in the arrange panel:
//! for this load, until it is closed.

use super::arrange_panel::{TURNINGS, turning_word};
use super::theme;
use crate::arrange::{Scope, Turning, not_turned};
use crate::load::{Item, Plan};
use crate::part::{Part, PartId};
use crate::text::app as say;
use crate::text::arranging_ways as ways;
use egui::{CollapsingHeader, ComboBox, Label, RichText, Ui};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Turns by part; parts that are not here go by what holds for all.
#[derive(Default)]
pub(super) struct ArrangeTurns {
    parts: BTreeMap<PartId, Turning>,
}

impl ArrangeTurns {
    /// Of the parts that a plan has.
    pub(super) fn by_part(&self, plan: &Plan) -> BTreeMap<PartId, Turning> {
        let there = self
            .parts
            .iter()
            .filter(|(id, _)| plan.part(**id).is_some());
        there.map(|(id, turning)| (*id, *turning)).collect()
    }

    /// A row for each part of which pieces stand or wait, then which of them are not turned at all.
    pub(super) fn form(&mut self, ui: &mut Ui, plan: &Plan, scope: Scope) {
        let items = plan.placements().map(|(_, p)| &p.item);
        let production = items.filter(|item| item.is_production());
        let stands: Vec<PartId> = production.filter_map(Item::part).collect();
        let used = |part: &&Arc<Part>| {
            stands.contains(&part.id) || plan.lots.iter().any(|lot| lot.part == part.id)
        };
        let parts: Vec<&Arc<Part>> = plan.parts.iter().filter(used).collect();
        if parts.is_empty() {
            return;
        }
        let own = self.by_part(plan).len();
        CollapsingHeader::new(ways::own_turns(own))
            .id_salt("turns of parts")
            .show(ui, |ui| {
                for part in parts {
                    ui.horizontal(|ui| {
                        let mut turning = self.parts.get(&part.id).copied();
                        let word = |turning: Option<Turning>| match turning {
                            Some(turning) => turning_word(turning),
                            None => say::label("As all"),
                        };
                        let list = ComboBox::from_id_salt(("turns of", part.id.0))
                            .selected_text(word(turning))
                            .width(theme::SIDE * 0.5)
                            .show_ui(ui, |ui| {
                                let all = TURNINGS.map(Some).into_iter();
                                for one in std::iter::once(None).chain(all) {
                                    ui.selectable_value(&mut turning, one, word(one));
                                }
                            });
                        let label = ui.add(Label::new(&part.name).truncate());
                        list.response.labelled_by(label.id);
                        match turning {
                            Some(turning) => self.parts.insert(part.id, turning),
                            None => self.parts.remove(&part.id),
                        };
                    });
                }
                for sentence in not_turned(plan, scope, &self.by_part(plan)) {
                    ui.add(Label::new(RichText::new(sentence).small()).wrap());
                }
            });
    }
}
