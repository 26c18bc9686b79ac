//! The running tally against limits.

use super::state::{Action, App, Results};
use super::theme::Tokens;
use crate::text::app as say;
use crate::units::{Quantity, show};
use egui::text::{LayoutJob, TextFormat};
use egui::{Label, RichText, TextStyle, Ui};

impl App {
    pub(super) fn tally_bar(&mut self, ui: &mut Ui, results: &Results, _actions: &mut Vec<Action>) {
        let tally = &results.tally;
        let whole = &tally.whole;
        let furnace = self.working.catalogue.furnace(&results.plan.load.furnace);
        let state = furnace.zip(self.working.shop.as_deref());
        let state = state.and_then(|(f, shop)| shop.furnaces.iter().find(|s| s.furnace == f.id));
        let kg = |g: f64| format!("{:.2} kg", g / 1000.0);
        let share = |v: Option<f64>| {
            v.map_or_else(crate::text::cli::unknown, |v| {
                show(Quantity::Fraction, v, 0)
            })
        };
        let mut cells: Vec<(String, String)> = vec![
            (say::label("Parts"), say::pieces(whole.parts, whole.coupons)),
            (say::label("Green"), kg(whole.by_state_g[0])),
            (say::label("As they enter"), kg(whole.entering_g)),
            (
                say::label("Furniture"),
                kg(whole.furniture_g + whole.dummy_g),
            ),
        ];
        if let Some(furnace) = furnace {
            cells.push((
                say::label("On the hearth"),
                say::of(
                    &kg(whole.total_g()),
                    &format!("{:.0} kg", furnace.mass_rating_kg),
                ),
            ));
            cells.push((
                say::label("Binder to burn"),
                say::of(
                    &format!("{:.0} g", whole.binder_g),
                    &format!("{:.0} g", furnace.binder_rating_g),
                ),
            ));
            if let (Some(trap), Some(fill)) = (&furnace.trap, state.and_then(|s| s.trap_fill_g)) {
                cells.push((
                    say::label("Trap now"),
                    say::of(
                        &format!("{fill:.0} g"),
                        &format!("{:.0} g", trap.capacity_g),
                    ),
                ));
            }
        }
        cells.push((say::label("Area filled"), share(tally.area_fill())));
        cells.push((say::label("Height filled"), share(tally.height_fill)));
        let level = self
            .view
            .level
            .and_then(|id| tally.levels.iter().find(|l| l.level == id));
        if let Some(level) = level {
            let setter = results
                .plan
                .level(level.level)
                .and_then(|(_, l)| self.working.catalogue.setter(&l.setter));
            let rated = setter.map_or_else(crate::text::cli::unknown, |s| {
                format!("{:.1} kg", s.rated_load_kg)
            });
            cells.push((
                say::label("On this plate"),
                say::of(&kg(level.on_plate_g), &rated),
            ));
            cells.push((say::label("Plate filled"), share(level.fill())));
        }
        let curve = results
            .plan
            .profile
            .curve(furnace.map(|f| f.ramp_max_k_min));
        if let Ok(curve) = curve {
            let hours = curve.total_time_min() / 60.0;
            cells.push((say::label("Program"), format!("{hours:.1} h")));
        }
        let tokens = Tokens::of(ui.ctx());
        ui.horizontal_wrapped(|ui| {
            if self.shows_another_layout() {
                let whose = crate::text::arranging::tally_of_the_load();
                ui.label(RichText::new(whose).color(tokens.caution));
            }
            for (name, value) in cells {
                // One text a cell: it goes to the next line whole or not at all.
                let mut cell = LayoutJob::default();
                let font = TextStyle::Body.resolve(ui.style());
                let name = format!("{name} ");
                cell.append(&name, 0.0, TextFormat::simple(font.clone(), tokens.weak));
                cell.append(&value, 0.0, TextFormat::simple(font, tokens.text));
                ui.add(Label::new(cell).extend());
                ui.add_space(super::theme::SPACE);
            }
            if whole.extraction_assumed > 0 {
                let text = crate::text::cli::extraction_assumed(whole.extraction_assumed);
                ui.label(RichText::new(text).color(tokens.caution));
            }
        });
    }
}
