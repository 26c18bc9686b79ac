//! Lots cleared to load, and what is known of the furnace for the day of the run.

use super::commands::Command;
use super::furnace_form::FurnaceForm;
use super::lists::{
    button, choice, filled_in, list_row, quantity_row, sentence, text_row, wrapped,
};
use super::shop_draft::furnace_state;
use super::state::{Action, App, Results};
use super::theme::{self, Tokens};
use crate::catalogue::Severity;
use crate::files::{LotsTable, lot_columns, read_lots};
use crate::load::{Bath, Edit, Lot, LotId, Plan};
use crate::review::{Family, Review, Subject, check_by_slug};
use crate::text::findings::title;
use crate::text::{app as words, cleared_board as say, lots_table, shop_forms};
use crate::units::Quantity;
use egui::{Panel, RichText, ScrollArea, TextEdit, Ui};
use std::sync::Arc;

/// What the board shows and what is being typed in it.
#[derive(Clone, Debug, Default)]
pub struct ClearedView {
    /// Cells pasted or scanned and not yet taken.
    pub pasted: String,
    /// What was not taken of the last table.
    pub told: Vec<String>,
}

/// Whether a lot may go into the furnace, as far as the review can tell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Clearance {
    /// Nothing stands against it.
    Cleared,
    /// No stop, but this is to be looked at.
    ToLookAt(Vec<String>),
    /// What stands against it.
    NotCleared(Vec<String>),
    /// Nothing stands against it, but this could not be judged.
    NotEvaluated(Vec<String>),
}

/// What the review says of a lot by itself.
pub fn clearance(review: &Review, plan: &Plan, lot: LotId) -> Clearance {
    let about = |subjects: &[Subject]| subjects.contains(&Subject::Lot(lot));
    let of_lots = |slug: &str| {
        check_by_slug(slug).is_some_and(|c| matches!(c.family, Family::Debind | Family::Records))
    };
    let found = |severity: Severity| -> Vec<String> {
        let open = review.findings.iter().filter(|f| f.accepted.is_none());
        open.filter(|f| f.severity == severity && about(&f.subjects))
            .map(|f| title(f.check))
            .collect()
    };
    let against = found(Severity::Stop);
    if !against.is_empty() {
        return Clearance::NotCleared(against);
    }
    // Several checks may want the same thing.
    let mut open: Vec<String> = Vec::new();
    let missing = review.missing.iter();
    for what in missing.filter(|m| about(&m.subjects) && of_lots(m.check)) {
        if !open.contains(&what.what) {
            open.push(what.what.clone());
        }
    }
    if !plan.placements().any(|(_, p)| p.item.lot() == Some(lot)) {
        // The checks go by what stands in the load.
        open.push(say::nothing_placed_yet());
    }
    if !open.is_empty() {
        return Clearance::NotEvaluated(open);
    }
    match found(Severity::Caution) {
        cautions if cautions.is_empty() => Clearance::Cleared,
        cautions => Clearance::ToLookAt(cautions),
    }
}

impl App {
    pub(super) fn cleared_board(&mut self, ui: &mut Ui, actions: &mut Vec<Action>) {
        let Some(results) = self.results.take() else {
            return;
        };
        Panel::right("furnace state")
            .resizable(true)
            .default_size(theme::SIDE * 1.6)
            .show(ui, |ui| {
                ScrollArea::vertical()
                    .id_salt("furnace state")
                    .auto_shrink([false, false])
                    .show(ui, |ui| self.furnace_state(ui, actions));
            });
        ScrollArea::vertical()
            .id_salt("cleared lots")
            .auto_shrink([false, false])
            .show(ui, |ui| {
                // Fields end short of the line beside them.
                ui.set_max_width(ui.available_width() - theme::SPACE);
                ui.heading(words::label("Lots"));
                self.lot_table(ui, &results, actions);
                ui.separator();
                self.lots_pasted(ui, &results, actions);
            });
        self.results = Some(results);
    }

    fn lot_table(&mut self, ui: &mut Ui, results: &Results, actions: &mut Vec<Action>) {
        let tokens = Tokens::of(ui.ctx());
        if results.plan.lots.is_empty() {
            sentence(ui, say::no_lot());
        }
        for lot in &results.plan.lots {
            let part = results.plan.part(lot.part).map_or("", |p| &p.name);
            let clearance = clearance(&results.review, &results.plan, lot.id);
            let (state, colour) = match &clearance {
                Clearance::Cleared => (say::cleared(), tokens.text),
                Clearance::ToLookAt(what) => (say::to_look_at(what), tokens.caution),
                Clearance::NotCleared(why) => (say::not_cleared(why), tokens.stop),
                Clearance::NotEvaluated(what) => (say::not_evaluated(what.len()), tokens.caution),
            };
            let chosen = self.view.lists.lot == Some(lot.id);
            let name = say::lot_row(&lot.name, part, lot.count);
            if list_row(ui, chosen, &name).clicked() {
                self.view.lists.lot = (!chosen).then_some(lot.id);
            }
            sentence(ui, RichText::new(state).color(colour));
            if chosen {
                ui.indent(("cleared", lot.id.0), |ui| {
                    if let Clearance::NotEvaluated(what) = &clearance {
                        for what in what {
                            sentence(ui, RichText::new(say::missing(what)).color(tokens.weak));
                        }
                    }
                    self.lot_fields(ui, lot, actions);
                });
            }
        }
    }

    /// All that is known of a lot's way here.
    fn lot_fields(&mut self, ui: &mut Ui, lot: &Lot, actions: &mut Vec<Action>) {
        let balances: Vec<String> = self
            .working
            .shop
            .iter()
            .flat_map(|s| s.balances.iter().map(|b| b.id.clone()))
            .collect();
        let typing = &mut self.view.typing;
        let mut changed = lot.clone();
        let mut said = Vec::new();
        let id = lot.id.0;
        type Word = fn(&mut Lot) -> &mut Option<String>;
        type Number = fn(&mut Lot) -> &mut Option<f64>;
        enum Field {
            Word(&'static str, Word),
            Number(&'static str, Quantity, usize, Number),
        }
        use Field::{Number as N, Word as W};
        let fields = [
            W("Lot number of the feedstock", |l| &mut l.feedstock_lot),
            W("Feedstock may be used until", |l| &mut l.feedstock_expires),
            W("Certificate of the feedstock", |l| &mut l.certificate),
            N("Green mass", Quantity::Mass, 2, |l| &mut l.green_g),
            W("Green weighed at", |l| &mut l.green_at),
            W("Solvent", |l| &mut bath(l).solvent),
            W("Bath", |l| &mut bath(l).bath_id),
            N("Bath temperature", Quantity::Temperature, 0, |l| {
                &mut bath(l).temp_c
            }),
            N("Time in the bath", Quantity::Time, 0, |l| {
                &mut bath(l).minutes
            }),
            N("Wax in the bath, g/L", Quantity::Number, 1, |l| {
                &mut bath(l).wax_g_l
            }),
            W("Basket", |l| &mut bath(l).basket),
            W("Bath ended at", |l| &mut bath(l).ended),
            W("Solvent may be used until", |l| &mut bath(l).expires),
            N("In the dryer", Quantity::Time, 0, |l| &mut l.dried_min),
            N("Dryer temperature", Quantity::Temperature, 0, |l| {
                &mut l.dryer_c
            }),
            N("Dry mass before", Quantity::Mass, 2, |l| {
                &mut l.previous_dry_g
            }),
            W("Dry before weighed at", |l| &mut l.previous_dry_at),
            N("Dry mass", Quantity::Mass, 2, |l| &mut l.dry_g),
            W("Dry weighed at", |l| &mut l.dry_at),
        ];
        for field in fields {
            match field {
                W(name, at) => {
                    let now = at(&mut changed).clone().unwrap_or_default();
                    let key = format!("cleared {name} of {id}");
                    if let Some(typed) = text_row(ui, typing, &key, name, &now) {
                        *at(&mut changed) = filled_in(&typed);
                    }
                }
                N(name, quantity, digits, at) => {
                    let now = *at(&mut changed);
                    let key = format!("cleared {name} of {id}");
                    match quantity_row(ui, typing, &key, name, (quantity, now, digits)) {
                        Some(Ok(value)) => *at(&mut changed) = value,
                        Some(Err(why)) => said.push(Action::Say(why)),
                        None => {}
                    }
                }
            }
        }
        type Answer = fn(&mut Lot) -> &mut Option<bool>;
        let answers: [(&str, Answer); 3] = [
            ("Laid on a tray in the bath", |l| &mut bath(l).on_tray),
            ("Dryer ventilated", |l| &mut l.dryer_ventilated),
            ("Acid purged out", |l| &mut l.acid_purged),
        ];
        for (name, at) in answers {
            let now = *at(&mut changed);
            if let Some(picked) = yes_no(ui, (name, id), name, now) {
                *at(&mut changed) = picked;
            }
        }
        if !balances.is_empty() {
            let now = changed.balance.clone();
            let shown = now.clone().unwrap_or_else(|| words::label("not stated"));
            let all = balances.into_iter().map(|b| (Some(b.clone()), b));
            if let Some(picked) = choice(ui, ("balance", id), "Balance", &shown, all, &now) {
                changed.balance = picked;
            }
        }
        if changed.bath.as_ref().is_some_and(|b| *b == Bath::default()) {
            changed.bath = None;
        }
        if changed != *lot {
            actions.push(Action::Edit(Edit::ChangeLot(changed)));
        }
        actions.append(&mut said);
    }

    /// Cells from a spreadsheet, or a scanner that types.
    fn lots_pasted(&mut self, ui: &mut Ui, results: &Results, actions: &mut Vec<Action>) {
        ui.strong(words::label("From a table"));
        sentence(ui, say::paste_here(&lot_columns()));
        let view = &mut self.view.cleared;
        let name = ui.label(words::label("Cells"));
        ScrollArea::vertical()
            .id_salt("cells")
            .max_height(theme::SIDE * 0.5)
            .show(ui, |ui| {
                let cells = ui.add(
                    TextEdit::multiline(&mut view.pasted)
                        .desired_width(f32::INFINITY)
                        .hint_text(say::paste_hint())
                        .code_editor(),
                );
                if cells.labelled_by(name.id).changed() {
                    // What was said was of other cells.
                    view.told.clear();
                }
            });
        let mut take = None;
        wrapped(ui, |ui| {
            let some = !view.pasted.trim().is_empty();
            let text = words::label("Take the lots");
            if button(ui, some, &text, &text).clicked() {
                take = Some(view.pasted.clone());
            }
        });
        for told in &view.told {
            sentence(ui, told);
        }
        self.tool_button(ui, Command::LotsFile, actions);
        if let Some(text) = take {
            self.take_lots(&text, &results.plan, actions);
        }
    }

    /// Lots of a table, as one step; what was not taken stays in sight.
    pub(super) fn take_lots(&mut self, text: &str, plan: &Plan, actions: &mut Vec<Action>) {
        let view = &mut self.view.cleared;
        match read_lots(text, plan) {
            Err(why) => view.told = vec![why],
            Ok(LotsTable { lots, faults }) => {
                let new = lots.iter().filter(|l| l.id == LotId(0)).count();
                view.told = vec![lots_table::taken(new, lots.len() - new, faults.len())];
                let rows = faults.iter().map(|f| lots_table::row(f.row, &f.sentence));
                view.told.extend(rows);
                if faults.is_empty() {
                    view.pasted.clear();
                }
                if !lots.is_empty() {
                    let label = crate::text::edits::take_lots(lots.len());
                    let mut next = self.doc.history.next_id();
                    let edits = lots.into_iter().map(|mut lot| match lot.id {
                        LotId(0) => {
                            lot.id = LotId(next);
                            next = next.saturating_add(1);
                            Edit::AddLot(lot)
                        }
                        _ => Edit::ChangeLot(lot),
                    });
                    let edits = edits.collect();
                    actions.push(Action::Edit(Edit::Several { label, edits }));
                }
            }
        }
    }

    fn furnace_state(&mut self, ui: &mut Ui, actions: &mut Vec<Action>) {
        ui.heading(words::label("Furnace"));
        let id = self.doc.plan().load.furnace.clone();
        let catalogue = Arc::clone(&self.working.catalogue);
        let furnace = catalogue.furnace(&id);
        ui.strong(furnace.map_or(id.as_str(), |f| f.name.as_str()));
        if self.shop.is_none() {
            sentence(ui, say::no_shop_folder());
            self.tool_button(ui, Command::ShopFolder, actions);
            return;
        }
        let Some(mut draft) = self.take_draft() else {
            sentence(ui, shop_forms::no_state());
            self.tool_button(ui, Command::ShopBoard, actions);
            return;
        };
        let before = draft.state.clone();
        self.draft_bar(ui, &mut draft, actions);
        ui.checkbox(&mut draft.state.regulated, words::label("Regulated work"))
            .on_hover_text(say::regulated_hint());
        if let Some(state) = furnace_state(&mut draft.state, &id) {
            let mut form = FurnaceForm {
                typing: &mut self.view.typing,
                catalogue: &catalogue,
                furnace: &id,
            };
            form.show(ui, state);
        }
        self.tool_button(ui, Command::ShopBoard, actions);
        self.put_draft(draft, before);
    }
}

fn bath(lot: &mut Lot) -> &mut Bath {
    lot.bath.get_or_insert_with(Bath::default)
}

fn yes_no(ui: &mut Ui, salt: (&str, u32), name: &str, now: Option<bool>) -> Option<Option<bool>> {
    let word = |answer: Option<bool>| {
        words::label(match answer {
            None => "not stated",
            Some(true) => "yes",
            Some(false) => "no",
        })
    };
    let all = [None, Some(true), Some(false)].map(|a| (a, word(a)));
    choice(ui, salt, name, &word(now), all, &now)
}
