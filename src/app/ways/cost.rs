//! What a run costs, from the shop's own prices.

use super::{caution_line, line, weak_line};
use crate::app::columns::{Cell, table};
use crate::app::commands::Command;
use crate::app::forecast_table::standing;
use crate::app::profile_table::{Field, no_question};
use crate::app::state::{Action, App};
use crate::app::theme::TARGET;
use crate::cli::ways::cost::{Priced, priced};
use crate::text::ways as told_by;
use crate::text::ways_window as say;
use crate::units::Quantity;
use egui::{ScrollArea, Ui, vec2};

/// What is typed.
#[derive(Default)]
pub(super) struct CostForm {
    labour_min: Option<f64>,
}

impl App {
    /// The tab.
    pub(in crate::app) fn cost_of_run(&mut self, ui: &mut Ui, actions: &mut Vec<Action>) {
        ui.horizontal_wrapped(|ui| {
            let typing = &mut self.view.typing;
            let form = &mut self.ways.cost;
            let name = say::labour_of_run();
            ui.label(&name);
            let field = Field {
                key: "labour of the run",
                name: &name,
                quantity: Quantity::Time,
                optional: true,
            };
            ui.allocate_ui(vec2(TARGET * 4.0, TARGET), |ui| {
                let now = form.labour_min;
                match field.show(ui, typing, now, &no_question, actions, &mut false) {
                    Some(Some(min)) if min < 0.0 => {
                        actions.push(Action::Say(say::labour_below_nought()));
                    }
                    Some(min) => form.labour_min = min,
                    None => {}
                }
            });
            if ui.button(say::to_prices()).clicked() {
                actions.push(Action::Command(Command::ShopBoard));
            }
        });
        if let Some(stands) = standing(self) {
            stands.show_whole(ui);
        }
        let Some((finished, _)) = self.shown_forecast() else {
            return;
        };
        let Some(made) = finished.result.as_ref().ok() else {
            return;
        };
        let Ok(forecast) = &made.result else {
            return;
        };
        let shop = self.working.shop.as_deref();
        let labour_min = self.ways.cost.labour_min;
        let priced = priced(forecast, &made.plan, shop, labour_min);
        ScrollArea::vertical()
            .id_salt("cost")
            .auto_shrink(false)
            .show(ui, |ui| {
                let prices = shop.and_then(|s| s.prices.as_ref());
                if prices.is_none() {
                    caution_line(ui, say::no_prices());
                }
                ui.strong(told_by::cost_head(&made.plan.title));
                lines(ui, &priced, labour_min);
                let money = |value| told_by::money(priced.currency, value);
                let each = priced.sum.per_part.map(money);
                let (total, pieces) = (money(priced.sum.total), priced.used.parts);
                let incomplete = priced.sum.incomplete;
                line(
                    ui,
                    told_by::cost_total(&total, each.as_deref(), pieces, incomplete),
                );
                if let Some(shop) = shop.filter(|s| s.prices.is_some()) {
                    let source = self.working.catalogue.cited(&shop.source);
                    weak_line(
                        ui,
                        told_by::prices_of(&shop.name, source, shop.standing.word()),
                    );
                }
                if forecast.forecast.nominal.run.load_unload_s.is_none() {
                    weak_line(ui, told_by::cost_time_open());
                }
            });
    }
}

fn lines(ui: &mut Ui, priced: &Priced, labour_min: Option<f64>) {
    let money = |value| told_by::money(priced.currency, value);
    let cost = |value: Option<f64>| value.map_or_else(say::no_price, money);
    let parts = priced.used.parts;
    let each = |value: Option<f64>| match value {
        Some(value) if parts > 0 => money(value / parts as f64),
        _ => say::none(),
    };
    let mut rows: Vec<[String; 4]> = priced
        .lines
        .iter()
        .map(|(what, amount, value)| {
            [
                say::data(what),
                say::data(amount),
                cost(*value),
                each(*value),
            ]
        })
        .collect();
    let labour = match labour_min {
        Some(min) => [say::minutes(min), cost(priced.sum.labour)],
        None => [say::none(), say::no_labour()],
    };
    let [amount, cost_of_it] = labour;
    rows.push([
        say::data(told_by::labour()),
        amount,
        cost_of_it,
        each(priced.sum.labour),
    ]);
    let columns: Vec<(String, f32)> = say::cost_heads()
        .into_iter()
        .zip([1.4, 0.8, 1.6, 1.0])
        .collect();
    let rows = rows
        .into_iter()
        .map(|row| row.into_iter().map(Cell::from).collect());
    table(ui, &columns, rows.collect());
}
