//! The load board: lists on the left, the plan of the level in the middle with the elevation
//! beside it and the tally under it, findings on the right.

use super::state::{Action, App, Results};
use super::theme;
use egui::{CentralPanel, Panel, Ui};

impl App {
    pub(super) fn load_board(&mut self, ui: &mut Ui, actions: &mut Vec<Action>) {
        let Some(results) = self.results.take() else {
            return;
        };
        self.shapes.refresh(&results.plan, &self.working.catalogue);
        Panel::bottom("tally").show(ui, |ui| self.tally_bar(ui, &results, actions));
        Panel::right("findings")
            .default_size(theme::SIDE * 1.1)
            .size_range(theme::SIDE * 0.8..=theme::SIDE * 2.0)
            .show(ui, |ui| {
                self.findings_panel(ui, &results, actions);
            });
        Panel::left("lists")
            .default_size(theme::SIDE * 0.85)
            .size_range(theme::SIDE * 0.7..=theme::SIDE * 1.6)
            .show(ui, |ui| {
                self.lists(ui, &results, actions);
            });
        CentralPanel::default().show(ui, |ui| self.level(ui, &results, actions));
        self.results = Some(results);
    }

    /// The level: inspector above, then the plan or the table, with the elevation beside it.
    fn level(&mut self, ui: &mut Ui, results: &Results, actions: &mut Vec<Action>) {
        if self.arrange_panel_is_open() {
            self.arrange_panel(ui, results, actions);
            return;
        }
        Panel::top("inspector").show(ui, |ui| self.inspector(ui, results, actions));
        Panel::right("elevation")
            .default_size((ui.available_width() * 0.22).clamp(theme::SIDE * 0.45, theme::SIDE))
            .size_range(theme::SIDE * 0.3..=theme::SIDE)
            .show(ui, |ui| {
                self.elevation(ui, results, actions);
            });
        CentralPanel::no_frame().show(ui, |ui| {
            if self.view.table {
                self.placements_table(ui, results, actions);
            } else {
                self.plan_view(ui, results, actions);
            }
        });
    }
}
