//! What is selected, in numbers: place, turn, lot, support, lock; arrays; snapping.

use super::commands::Command;
use super::fields::quantity_field;
use super::state::{Action, App, Results};
use super::theme;
use crate::load::{Edit, Item, Move, Placement, PlacementId, Plan};
use crate::part::SizeStage;
use crate::text::app as say;
use crate::units::Quantity;
use egui::{Button, ComboBox, RichText, Ui};

/// Rows that the selection has, so that the plan does not jump when there is one.
const ROWS: f32 = 2.0;

impl App {
    pub(super) fn inspector(&mut self, ui: &mut Ui, results: &Results, actions: &mut Vec<Action>) {
        let plan = &results.plan;
        let chosen: Vec<PlacementId> = self.view.selection.iter().copied().collect();
        ui.horizontal_wrapped(|ui| self.settings(ui, results, &chosen, actions));
        ui.separator();
        ui.scope(|ui| {
            let spacing = ui.spacing();
            let height = spacing.interact_size.y * ROWS + spacing.item_spacing.y;
            ui.set_min_height(height);
            ui.set_min_width(ui.available_width());
            match chosen.as_slice() {
                [] => {
                    ui.label(say::nothing_selected());
                }
                [one] => self.one(ui, plan, *one, actions),
                several => self.several(ui, plan, several, actions),
            }
        });
    }

    fn field(
        &mut self,
        ui: &mut Ui,
        id: &str,
        label: &str,
        (quantity, value): (Quantity, f64),
        actions: &mut Vec<Action>,
    ) -> Option<f64> {
        let typing = &mut self.view.typing;
        match quantity_field(ui, typing, id, label, quantity, value, 2)? {
            Ok(value) => Some(value),
            Err(sentence) => {
                actions.push(Action::Say(sentence));
                None
            }
        }
    }

    fn one(&mut self, ui: &mut Ui, plan: &Plan, id: PlacementId, actions: &mut Vec<Action>) {
        let Some((level, placement)) = plan.placement(id) else {
            return;
        };
        // While it is dragged, where it would stand.
        let preview = self.view.preview.as_ref().filter(|p| p.ids.contains(&id));
        let (by_mm, by_deg) = preview.map_or(([0.0; 2], 0.0), |p| (p.delta_mm, p.delta_deg));
        let [x, y] = [0, 1].map(|k| placement.at_mm[k] + by_mm[k]);
        let angle = placement.angle_deg + by_deg;
        let key = |name: &str| format!("{name} of {}", id.0);
        let row = ui.horizontal(|ui| {
            let name = RichText::new(plan.placement_label(id)).strong();
            ui.add(egui::Label::new(name).truncate());
            let x = self.field(ui, &key("x"), "x", (Quantity::Length, x), actions);
            let y = self.field(ui, &key("y"), "y", (Quantity::Length, y), actions);
            let angle = (Quantity::Angle, angle);
            (x, y, self.field(ui, &key("angle"), "Angle", angle, actions))
        });
        let (new_x, new_y, new_angle) = row.inner;
        if new_x.is_some() || new_y.is_some() || new_angle.is_some() {
            let at_mm = [new_x.unwrap_or(x), new_y.unwrap_or(y)];
            let angle_deg = new_angle.unwrap_or(angle);
            let to = Move {
                id,
                level: level.id,
                at_mm,
                angle_deg,
            };
            actions.push(Action::Edit(Edit::MovePlacements(vec![to])));
        }
        ui.horizontal(|ui| {
            self.support_and_lot(ui, plan, placement, actions);
            let mut locked = placement.locked;
            if ui.checkbox(&mut locked, say::label("Locked")).changed() {
                actions.push(Action::Edit(Edit::SetLocked {
                    ids: vec![id],
                    locked,
                }));
            }
        });
    }

    fn support_and_lot(
        &self,
        ui: &mut Ui,
        plan: &Plan,
        placement: &Placement,
        actions: &mut Vec<Action>,
    ) {
        let none = say::label("none");
        let ids = vec![placement.id];
        let catalogue = &self.working.catalogue;
        let name = |id: &Option<String>| {
            id.as_ref()
                .and_then(|id| catalogue.support(id))
                .map_or_else(|| none.clone(), |s| s.name.clone())
        };
        let label = ui.label(say::label("Support"));
        let combo = ComboBox::from_id_salt("support").selected_text(name(&placement.support));
        let shown = combo.show_ui(ui, |ui| {
            let choices = std::iter::once(None).chain(catalogue.supports.keys().cloned().map(Some));
            for choice in choices {
                let chosen = choice == placement.support;
                if ui.selectable_label(chosen, name(&choice)).clicked() && !chosen {
                    let ids = ids.clone();
                    actions.push(Action::Edit(Edit::SetSupport {
                        ids,
                        support: choice,
                    }));
                }
            }
        });
        shown.response.labelled_by(label.id);
        if let Item::Part { part, lot } = placement.item {
            let name = |id: Option<crate::load::LotId>| {
                id.and_then(|id| plan.lot(id))
                    .map_or_else(|| none.clone(), |l| l.name.clone())
            };
            let label = ui.label(say::label("Lot"));
            let shown = ComboBox::from_id_salt("lot")
                .selected_text(name(lot))
                .show_ui(ui, |ui| {
                    let of_part = plan
                        .lots
                        .iter()
                        .filter(|l| l.part == part)
                        .map(|l| Some(l.id));
                    for choice in std::iter::once(None).chain(of_part) {
                        let chosen = choice == lot;
                        if ui.selectable_label(chosen, name(choice)).clicked() && !chosen {
                            let ids = ids.clone();
                            actions.push(Action::Edit(Edit::SetLot { ids, lot: choice }));
                        }
                    }
                });
            shown.response.labelled_by(label.id);
        }
    }

    fn several(
        &mut self,
        ui: &mut Ui,
        plan: &Plan,
        ids: &[PlacementId],
        actions: &mut Vec<Action>,
    ) {
        let zero = (Quantity::Length, 0.0);
        let row = ui.horizontal(|ui| {
            ui.strong(say::selected(ids.len()));
            let dx = self.field(ui, "move x", "Move by x", zero, actions);
            let dy = self.field(ui, "move y", "Move by y", zero, actions);
            let turn = (Quantity::Angle, 0.0);
            (
                dx,
                dy,
                self.field(ui, "turn", "Turn each by", turn, actions),
            )
        });
        let (dx, dy, turn) = row.inner;
        if dx.is_some() || dy.is_some() || turn.is_some() {
            let preview = crate::document::Preview {
                ids: ids.to_vec(),
                delta_mm: [dx.unwrap_or(0.0), dy.unwrap_or(0.0)],
                delta_deg: turn.unwrap_or(0.0),
            };
            actions.extend(preview.to_edit(plan).map(Action::Edit));
        }
        use Command as C;
        let menus: [(&str, &[Command]); 3] = [
            (
                "Align…",
                &[
                    C::AlignLeft,
                    C::AlignRight,
                    C::AlignDoor,
                    C::AlignBack,
                    C::AlignMiddleX,
                    C::AlignMiddleY,
                ],
            ),
            ("Distribute…", &[C::DistributeX, C::DistributeY]),
            ("Mirror…", &[C::MirrorX, C::MirrorY]),
        ];
        ui.horizontal(|ui| {
            for (name, commands) in menus {
                ui.menu_button(say::label(name), |ui| {
                    for command in commands {
                        self.command_button(ui, *command, actions);
                    }
                });
            }
            for command in [C::Duplicate, C::Lock, C::Unlock, C::Delete] {
                self.tool_button(ui, command, actions);
            }
        });
    }

    fn settings(
        &mut self,
        ui: &mut Ui,
        results: &Results,
        chosen: &[PlacementId],
        actions: &mut Vec<Action>,
    ) {
        let label = ui.label(say::label("Outlines"));
        ComboBox::from_id_salt("outlines")
            .selected_text(say::label(self.view.stage.word()))
            .show_ui(ui, |ui| {
                for stage in SizeStage::ALL {
                    ui.selectable_value(&mut self.view.stage, stage, say::label(stage.word()));
                }
            })
            .response
            .labelled_by(label.id);
        let nudge = (Quantity::Length, self.view.nudge_mm);
        if let Some(step) = self.field(ui, "nudge", "Nudge by", nudge, actions)
            && step > 0.0
        {
            self.view.nudge_mm = step;
        }
        self.snap_menu(ui, actions);
        for command in [
            Command::Table,
            Command::Measure,
            Command::Fit,
            Command::Arrange,
        ] {
            self.tool_button(ui, command, actions);
        }
        let menu = ui
            .add_enabled(chosen.len() == 1, Button::new(say::label("Copy as array…")))
            .on_disabled_hover_text(say::label("Select one thing to copy it."));
        if let [one] = chosen {
            self.array_menu(&menu, results, *one, actions);
        }
    }

    /// What dragging snaps to.
    fn snap_menu(&mut self, ui: &mut Ui, actions: &mut Vec<Action>) {
        let word = if self.view.snap.on {
            "Snap: on…"
        } else {
            "Snap: off…"
        };
        let menu = ui.button(say::label(word));
        egui::Popup::menu(&menu)
            .close_behavior(egui::PopupCloseBehavior::CloseOnClickOutside)
            .show(|ui| {
                ui.reset_style();
                ui.checkbox(&mut self.view.snap.on, say::label("Snap while dragging"));
                let grid = (Quantity::Length, self.view.snap.grid_mm);
                let step =
                    ui.horizontal(|ui| self.field(ui, "grid", "to a grid of", grid, actions));
                if let Some(step) = step.inner.filter(|step| *step >= 0.0) {
                    self.view.snap.grid_mm = step;
                }
                ui.checkbox(
                    &mut self.view.snap.edge,
                    say::label("to the edge of the setter"),
                );
                ui.checkbox(
                    &mut self.view.snap.parts,
                    say::label("to edges and anchors of parts"),
                );
            });
    }

    /// Rows and columns of the selected part, or as many as the level takes.
    fn array_menu(
        &mut self,
        menu: &egui::Response,
        results: &Results,
        id: PlacementId,
        actions: &mut Vec<Action>,
    ) {
        let mut array = self.view.array;
        egui::Popup::menu(menu)
            .close_behavior(egui::PopupCloseBehavior::CloseOnClickOutside)
            .show(|ui| {
                // A form, not a list of commands: its buttons look like buttons.
                ui.reset_style();
                ui.set_min_width(theme::SIDE * 0.7);
                let count = |ui: &mut Ui, name: &str, value: &mut usize| {
                    let label = ui.label(say::label(name));
                    ui.add(egui::DragValue::new(value).range(1..=200))
                        .labelled_by(label.id);
                    ui.end_row();
                };
                egui::Grid::new("array").num_columns(2).show(ui, |ui| {
                    count(ui, "Columns", &mut array.columns);
                    count(ui, "Rows", &mut array.rows);
                    for (k, name) in ["Pitch along x", "Pitch along y"].into_iter().enumerate() {
                        let pitch = array.pitch_mm.get(k).copied().unwrap_or(0.0);
                        let pitch = (Quantity::Length, pitch);
                        if let Some(pitch) = self.field(ui, name, name, pitch, actions)
                            && pitch > 0.0
                            && let Some(slot) = array.pitch_mm.get_mut(k)
                        {
                            *slot = pitch;
                        }
                        ui.end_row();
                    }
                });
                ui.checkbox(
                    &mut array.staggered,
                    say::label("Hexagonal: every second row staggered"),
                );
                if ui.button(say::label("Tightest pitch")).clicked() {
                    match self.tightest_pitch(results, id, array.staggered) {
                        Some(pitch_mm) => array.pitch_mm = pitch_mm,
                        None => actions.push(Action::Say(say::no_size_known())),
                    }
                }
                ui.horizontal(|ui| {
                    if ui.button(say::label("Set out the array")).clicked() {
                        actions.extend(self.array(results, id, &array, false));
                        ui.close();
                    }
                    if ui.button(say::label("Fill the level")).clicked() {
                        actions.extend(self.array(results, id, &array, true));
                        ui.close();
                    }
                });
            });
        self.view.array = array;
    }
}
