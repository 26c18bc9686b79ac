//! Levels, parts, lots, what else stands there, declarations and stock: one file a section.

mod declarations;
mod forms;
mod levels;
mod lots;
mod measures;
mod others;
mod parts;
mod stock;

pub(super) use forms::{
    button, button_unless, choice, entry, filled_in, list_row, quantity_row, row, sentence,
    text_row, wrapped,
};

pub(super) use levels::carrier_word;

use super::state::{Action, App, Results};
use super::theme;
use crate::load::{Edit, Plan};
use crate::text::app as say;
use egui::{Align, CollapsingHeader, Panel, ScrollArea, TextWrapMode, Ui};
use std::sync::Arc;

/// What is being chosen and typed in the lists.
#[derive(Clone, Debug, Default)]
pub struct Forms {
    /// Lot whose fields are open.
    pub lot: Option<crate::load::LotId>,
    part: parts::PartForm,
    other: others::OtherForm,
    declare: declarations::DeclareForm,
}

impl App {
    pub(super) fn lists(&mut self, ui: &mut Ui, results: &Results, actions: &mut Vec<Action>) {
        // Names come from people and can be of any length.
        ui.style_mut().wrap_mode = Some(TextWrapMode::Truncate);
        Panel::bottom("stock")
            .resizable(true)
            .default_size((ui.available_height() * 0.2).clamp(theme::TARGET * 4.0, theme::SIDE))
            .show(ui, |ui| self.stock(ui, results));
        ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
            let section = |name: &str| {
                CollapsingHeader::new(say::label(name))
                    .id_salt(("section", name))
                    .default_open(matches!(name, "Levels" | "Parts" | "Lots"))
            };
            section("Levels").show(ui, |ui| self.levels(ui, results, actions));
            section("Stacks").show(ui, |ui| self.stacks(ui, &results.plan, actions));
            section("Parts").show(ui, |ui| self.parts(ui, results, actions));
            section("Lots").show(ui, |ui| self.lots(ui, results, actions));
            section("Coupons, dummy masses, thermocouples")
                .show(ui, |ui| self.others(ui, &results.plan, actions));
            let wanted = std::mem::take(&mut self.view.to_declarations);
            let shown = section("Declarations")
                .open(wanted.then_some(true))
                .show(ui, |ui| self.declarations(ui, results, actions));
            if wanted {
                shown.header_response.scroll_to_me(Some(Align::TOP));
            }
            section("Load and furnace").show(ui, |ui| self.about(ui, &results.plan, actions));
        });
    }

    fn about(&mut self, ui: &mut Ui, plan: &Plan, actions: &mut Vec<Action>) {
        let catalogue = Arc::clone(&self.working.catalogue);
        let typing = &mut self.view.typing;
        if let Some(title) = text_row(ui, typing, "title", "Title", &plan.title) {
            actions.push(Action::Edit(Edit::SetTitle(title)));
        }
        let start = plan.planned_start.clone().unwrap_or_default();
        let name = "Start, year-month-day";
        if let Some(day) = text_row(ui, typing, "start", name, &start) {
            let day = filled_in(&day);
            actions.push(Action::Edit(Edit::SetPlannedStart(day)));
        }
        let time = plan.planned_start_time.clone().unwrap_or_default();
        if let Some(time) = text_row(ui, typing, "start time", "At (hour:minute)", &time) {
            let time = filled_in(&time);
            actions.push(Action::Edit(Edit::SetPlannedStartTime(time)));
        }
        let name = |id: &String| {
            catalogue
                .furnace(id)
                .map_or_else(|| id.clone(), |f| f.name.clone())
        };
        let now = &plan.load.furnace;
        let all = catalogue.furnaces.keys().map(|id| (id.clone(), name(id)));
        if let Some(id) = choice(ui, "furnace", "Furnace", &name(now), all, now) {
            actions.push(Action::Edit(Edit::SetFurnace(id)));
        }
        if let Some(note) = text_row(ui, typing, "note", "Note", &plan.note) {
            actions.push(Action::Edit(Edit::SetNote(note)));
        }
    }
}
