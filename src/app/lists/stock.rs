//! What the shop has of posts, setters and supports, and what the load leaves of it.

use super::forms;
use crate::app::marks;
use crate::app::state::{App, Results};
use crate::app::theme::{self, Tokens};
use crate::catalogue::{Severity, Stock};
use crate::text::app as say;
use egui::{Align, CollapsingHeader, Label, Layout, RichText, ScrollArea, Ui, vec2};
use std::collections::BTreeMap;

/// An item of the stock: name, count, left.
struct Row<'a> {
    name: &'a str,
    count: u32,
    left: i64,
}

impl App {
    /// Furniture that the shop has; nothing where its state is not known.
    fn stock_listed(&self) -> &[Stock] {
        let shop = self.working.shop.as_deref();
        shop.map_or(&[], |shop| shop.stock.as_slice())
    }

    /// What the shop has of each item less what the load uses.
    pub(super) fn left_in_stock(&self, results: &Results) -> BTreeMap<String, i64> {
        let left = self.stock_listed().iter().map(|item| {
            let used = results.furniture.get(&item.id).copied().unwrap_or(0);
            (item.id.clone(), i64::from(item.count) - used as i64)
        });
        left.collect()
    }

    /// Posts by length, then setters, then supports.
    pub(super) fn stock(&self, ui: &mut Ui, results: &Results) {
        let left = self.left_in_stock(results);
        let catalogue = &self.working.catalogue;
        let mut posts = Vec::new();
        let mut setters = Vec::new();
        let mut supports = Vec::new();
        for stock in self.stock_listed() {
            let row = |name| Row {
                name,
                count: stock.count,
                left: left.get(&stock.id).copied().unwrap_or(0),
            };
            if let Some(post) = catalogue.post(&stock.id) {
                posts.push((post.length_mm, post.diameter_mm, row(&post.name)));
            } else if let Some(setter) = catalogue.setter(&stock.id) {
                setters.push(row(&setter.name));
            } else {
                let support = catalogue.support(&stock.id);
                supports.push(row(support.map_or(&stock.id, |s| &s.name)));
            }
        }
        posts.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let posts: Vec<Row> = posts.into_iter().map(|(_, _, row)| row).collect();
        let known = self.working.shop.is_some();
        let used = results.furniture.keys().filter(|_| known);
        let unknown = used.filter(|id| !left.contains_key(*id));
        CollapsingHeader::new(say::label("Furniture in stock"))
            .default_open(true)
            .show_unindented(ui, |ui| {
                ScrollArea::vertical()
                    .auto_shrink([false, false])
                    .show(ui, |ui| {
                        if !known {
                            ui.label(say::no_shop_state());
                        }
                        for (head, rows) in [
                            ("Posts", posts),
                            ("Setters", setters),
                            ("Supports", supports),
                        ] {
                            table(ui, head, &rows);
                        }
                        for id in unknown {
                            let name = catalogue
                                .post(id)
                                .map(|p| &p.name)
                                .or_else(|| catalogue.setter(id).map(|s| &s.name))
                                .or_else(|| catalogue.support(id).map(|s| &s.name));
                            forms::sentence(ui, say::not_in_stock(name.unwrap_or(id)));
                        }
                    });
            });
    }
}

/// Name to the left, figures in their columns at the right.
fn table(ui: &mut Ui, head: &str, rows: &[Row]) {
    if rows.is_empty() {
        return;
    }
    let tokens = Tokens::of(ui.ctx());
    let figure = theme::TARGET * 2.0;
    // Nothing here is pressed, so more of it can be in sight.
    ui.spacing_mut().interact_size.y = theme::TARGET * 0.75;
    ui.spacing_mut().item_spacing.y = 0.0;
    let width = ui.available_width();
    let line = |ui: &mut Ui, cells: [RichText; 3], mark: bool| {
        let [name, count, left] = cells;
        ui.horizontal(|ui| {
            let height = ui.spacing().interact_size.y;
            let figures = 2.0 * (figure + ui.spacing().item_spacing.x);
            let mut cell = |width: f32, layout: Layout, text: RichText, mark: bool| {
                ui.allocate_ui_with_layout(vec2(width, height), layout, |ui| {
                    ui.set_width(width);
                    ui.add(Label::new(text).truncate());
                    if mark {
                        marks::mark_in_row(ui, Severity::Stop);
                    }
                });
            };
            let from_left = Layout::left_to_right(Align::Center);
            let from_right = Layout::right_to_left(Align::Center);
            cell((width - figures).max(figure), from_left, name, false);
            cell(figure, from_right, count, false);
            cell(figure, from_right, left, mark);
        });
    };
    let weak = |text: &str| RichText::new(say::label(text)).color(tokens.weak);
    line(ui, [weak(head), weak("In stock"), weak("Left")], false);
    for row in rows {
        let short = row.left < 0;
        let left = if short {
            RichText::new(say::short_by(-row.left)).color(tokens.stop)
        } else {
            RichText::new(row.left.to_string())
        };
        let cells = [row.name.into(), row.count.to_string().into(), left];
        line(ui, cells, short);
    }
}
