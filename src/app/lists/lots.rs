//! Lots: which pieces went through moulding and the first step together, and their weighings.

use super::forms::{self, button, button_unless, choice, list_row, quantity_row, text_row};
use crate::app::state::{Action, App, Results};
use crate::load::{Edit, Item, Lot, LotId, PlacementId, Plan};
use crate::part::MassState;
use crate::text::app as say;
use crate::units::Quantity;
use egui::Ui;

impl App {
    pub(super) fn lots(&mut self, ui: &mut Ui, results: &Results, actions: &mut Vec<Action>) {
        let plan = &results.plan;
        for lot in &plan.lots {
            let placed = results.tally.lots.get(&lot.id.0).copied().unwrap_or(0);
            let part = plan.part(lot.part).map_or("", |p| &p.name);
            let count = lot.count as usize;
            let text = say::lot_row(&lot.name, part, placed, count, lot.enters.word());
            let chosen = self.view.lists.lot == Some(lot.id);
            if list_row(ui, chosen, &text).clicked() {
                self.view.lists.lot = (!chosen).then_some(lot.id);
            }
            if chosen {
                ui.indent(("lot", lot.id.0), |ui| {
                    self.lot_panel(ui, plan, lot, placed, actions);
                });
            }
        }
        let Some(part) = self.view.part.and_then(|id| plan.part(id)) else {
            forms::sentence(ui, say::choose_part_for_lot());
            return;
        };
        let typing = &mut self.view.typing;
        if let Some(name) = text_row(ui, typing, "new lot", "New lot of the part chosen", "")
            && !name.trim().is_empty()
        {
            let id = LotId(self.doc.history.next_id());
            self.view.lists.lot = Some(id);
            let lot = Lot {
                count: results.tally.pieces.get(&part.id.0).copied().unwrap_or(0) as u32,
                ..Lot::new(id, name.trim(), part.id)
            };
            actions.push(Action::Edit(Edit::AddLot(lot)));
        }
    }

    fn lot_panel(
        &mut self,
        ui: &mut Ui,
        plan: &Plan,
        lot: &Lot,
        placed: usize,
        actions: &mut Vec<Action>,
    ) {
        let key = |name: &str| format!("{name} of lot {}", lot.id.0);
        let change = |lot: Lot| Action::Edit(Edit::ChangeLot(lot));
        let old = || lot.clone();
        let typing = &mut self.view.typing;
        if let Some(name) = text_row(ui, typing, &key("name"), "Lot number", &lot.name) {
            let name = name.trim().to_owned();
            actions.push(change(Lot { name, ..old() }));
        }
        let part_name = plan.part(lot.part).map_or("", |p| &p.name);
        if placed == 0 {
            let all = plan.parts.iter().map(|p| (p.id, p.name.clone()));
            let salt = key("part");
            if let Some(part) = choice(ui, salt, "Part of the lot", part_name, all, &lot.part) {
                actions.push(change(Lot { part, ..old() }));
            }
        } else {
            // Its pieces would be of another part than it.
            forms::row(ui, &say::label("Part of the lot"), |ui, _| {
                ui.label(part_name).on_hover_text(say::part_of_lot_fixed());
            });
        }
        let typed = text_row(ui, typing, &key("count"), "Pieces", &lot.count.to_string());
        if let Some(typed) = typed {
            actions.push(match typed.trim().parse::<u32>() {
                Ok(count) => change(Lot { count, ..old() }),
                Err(_) => Action::Say(say::not_a_count(typed.trim())),
            });
        }
        let customer = lot.customer.as_deref().unwrap_or("");
        if let Some(typed) = text_row(ui, typing, &key("customer"), "Customer", customer) {
            let customer = forms::filled_in(&typed);
            actions.push(change(Lot { customer, ..old() }));
        }
        let states = MassState::ALL.map(|s| (s, say::label(s.word())));
        let now = say::label(lot.enters.word());
        if let Some(enters) = choice(ui, key("enters"), "Enters", &now, states, &lot.enters) {
            actions.push(change(Lot { enters, ..old() }));
        }
        type Set = fn(&mut Lot, Option<f64>);
        let figures: [(&str, Quantity, Option<f64>, Set); 4] = [
            ("Green mass", Quantity::Mass, lot.green_g, |l, v| {
                l.green_g = v;
            }),
            ("Dry mass", Quantity::Mass, lot.dry_g, |l, v| {
                l.dry_g = v;
            }),
            (
                "Dry mass before",
                Quantity::Mass,
                lot.previous_dry_g,
                |l, v| l.previous_dry_g = v,
            ),
            ("In the dryer", Quantity::Time, lot.dried_min, |l, v| {
                l.dried_min = v;
            }),
        ];
        for (name, quantity, value, set) in figures {
            let digits = if quantity == Quantity::Mass { 2 } else { 0 };
            match quantity_row(ui, typing, &key(name), name, (quantity, value, digits)) {
                Some(Ok(value)) => {
                    let mut lot = old();
                    set(&mut lot, value);
                    actions.push(change(lot));
                }
                Some(Err(sentence)) => actions.push(Action::Say(sentence)),
                None => {}
            }
        }
        self.lot_buttons(ui, plan, lot, placed, actions);
    }

    fn lot_buttons(
        &mut self,
        ui: &mut Ui,
        plan: &Plan,
        lot: &Lot,
        placed: usize,
        actions: &mut Vec<Action>,
    ) {
        forms::wrapped(ui, |ui| {
            let none = (placed == 0).then(say::no_piece_of_lot);
            let name = say::select_lot(&lot.name);
            if button_unless(ui, none, &say::label("Select its pieces"), &name).clicked() {
                self.select_and_show(
                    plan,
                    |item| matches!(item, Item::Part { lot: Some(of), .. } if *of == lot.id),
                );
            }
            let ids: Vec<PlacementId> = self.view.selection.iter().copied().collect();
            let none = ids.is_empty().then(say::select_for_lot);
            let name = say::assign_lot(&lot.name);
            if button_unless(ui, none, &say::label("Assign the selection"), &name).clicked() {
                let lot = Some(lot.id);
                actions.push(Action::Edit(Edit::SetLot { ids, lot }));
            }
            let name = say::remove_lot(&lot.name);
            if button(ui, true, &say::label("Remove the lot"), &name).clicked() {
                actions.push(Action::Edit(Edit::RemoveLot(lot.id)));
            }
        });
    }
}
