//! The same placements as a table with editable numbers.

use super::fields::quantity_cell;
use super::state::{Action, App, Results};
use super::theme;
use crate::load::{Edit, Item, Move};
use crate::review::Subject;
use crate::text::app as say;
use crate::units::Quantity;
use egui::{Align, Layout, Role, Ui, WidgetInfo};
use egui_extras::{Column, TableBuilder};

const HEADS: [&str; 8] = [
    "Item",
    "Lot",
    "x",
    "y",
    "Angle",
    "Support",
    "Locked",
    "Worst finding",
];

impl App {
    pub(super) fn placements_table(
        &mut self,
        ui: &mut Ui,
        results: &Results,
        actions: &mut Vec<Action>,
    ) {
        let plan = std::sync::Arc::clone(&results.plan);
        let Some((_, level)) = self.view.level.and_then(|id| plan.level(id)) else {
            ui.label(say::no_level());
            return;
        };
        let labels = &results.labels;
        let catalogue = std::sync::Arc::clone(&self.working.catalogue);
        let row_height = theme::TARGET + theme::SPACE / 2.0;
        TableBuilder::new(ui)
            .id_salt("placements")
            .striped(true)
            .auto_shrink(false)
            .cell_layout(Layout::left_to_right(Align::Center))
            .columns(Column::auto().at_least(70.0), HEADS.len() - 1)
            .column(Column::remainder())
            .header(row_height, |mut header| {
                for head in HEADS {
                    header.col(|ui| {
                        ui.strong(say::label(head));
                    });
                }
            })
            .body(|body| {
                body.rows(row_height, level.placements.len(), |mut row| {
                    let Some(p) = level.placements.get(row.index()) else {
                        return;
                    };
                    let label = labels.get(&p.id).cloned().unwrap_or_default();
                    row.col(|ui| {
                        let chosen = self.view.selection.contains(&p.id);
                        let response = ui.selectable_label(chosen, &label);
                        let name = say::row_of(&label);
                        response.widget_info(|| {
                            WidgetInfo::selected(Role::ListBoxOption, true, chosen, &name)
                        });
                        if response.clicked() {
                            self.view.selection = std::iter::once(p.id).collect();
                        }
                    });
                    row.col(|ui| {
                        if let Item::Part { lot: Some(lot), .. } = p.item {
                            ui.label(plan.lot(lot).map_or("", |l| l.name.as_str()));
                        }
                    });
                    let [x, y] = p.at_mm;
                    let fields = [
                        ("x", Quantity::Length, x),
                        ("y", Quantity::Length, y),
                        ("angle", Quantity::Angle, p.angle_deg),
                    ];
                    for (k, (name, quantity, value)) in fields.into_iter().enumerate() {
                        row.col(|ui| {
                            let key = format!("table {name} of {}", p.id.0);
                            let cell = say::cell_of(name, &label);
                            let typing = &mut self.view.typing;
                            match quantity_cell(ui, typing, &key, &cell, (quantity, value, 2)) {
                                Some(Ok(value)) => {
                                    let mut to = Move {
                                        id: p.id,
                                        level: level.id,
                                        at_mm: p.at_mm,
                                        angle_deg: p.angle_deg,
                                    };
                                    match k {
                                        0 => to.at_mm[0] = value,
                                        1 => to.at_mm[1] = value,
                                        _ => to.angle_deg = value,
                                    }
                                    actions.push(Action::Edit(Edit::MovePlacements(vec![to])));
                                }
                                Some(Err(sentence)) => actions.push(Action::Say(sentence)),
                                None => {}
                            }
                        });
                    }
                    row.col(|ui| {
                        let support = p.support.as_ref().and_then(|id| catalogue.support(id));
                        ui.label(support.map_or("", |s| s.name.as_str()));
                    });
                    row.col(|ui| {
                        ui.label(if p.locked {
                            say::label("locked")
                        } else {
                            String::new()
                        });
                    });
                    row.col(|ui| {
                        let finding = results.review.findings.iter().find(|f| {
                            f.accepted.is_none() && f.subjects.contains(&Subject::Placement(p.id))
                        });
                        let title = finding
                            .and_then(|f| crate::text::findings::prose(f.check))
                            .map_or_else(String::new, |words| say::label(words.title));
                        ui.label(title);
                    });
                });
            });
    }
}
