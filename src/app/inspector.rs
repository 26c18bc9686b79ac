//! What is selected, in numbers: place, turn, lot, support, lock; arrays; snapping.

use super::commands::Command;
use super::fields::quantity_field;
use super::state::{Action, App, Results};
use super::theme;
use crate::geometry::Pose;
use crate::load::{Edit, Item, Move, Placement, PlacementId, Plan, Sizes, usable_face};
use crate::part::SizeStage;
use crate::text::app as say;
use crate::units::Quantity;
use egui::{ComboBox, Ui};

impl App {
    pub(super) fn inspector(&mut self, ui: &mut Ui, results: &Results, actions: &mut Vec<Action>) {
        let plan = &results.plan;
        let chosen: Vec<PlacementId> = self.view.selection.iter().copied().collect();
        ui.horizontal_wrapped(|ui| match chosen.as_slice() {
            [] => {
                ui.label(say::nothing_selected());
            }
            [one] => self.one(ui, plan, *one, actions),
            several => self.several(ui, plan, several, actions),
        });
        ui.horizontal_wrapped(|ui| self.settings(ui, results, &chosen, actions));
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
        ui.strong(plan.placement_label(id));
        let [x, y] = placement.at_mm;
        let angle = placement.angle_deg;
        let key = |name: &str| format!("{name} of {}", id.0);
        let new_x = self.field(ui, &key("x"), "x", (Quantity::Length, x), actions);
        let new_y = self.field(ui, &key("y"), "y", (Quantity::Length, y), actions);
        let new_angle = self.field(
            ui,
            &key("angle"),
            "Angle",
            (Quantity::Angle, angle),
            actions,
        );
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
        self.support_and_lot(ui, plan, placement, actions);
        let mut locked = placement.locked;
        if ui.checkbox(&mut locked, say::label("Locked")).changed() {
            actions.push(Action::Edit(Edit::SetLocked {
                ids: vec![id],
                locked,
            }));
        }
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
        ui.strong(say::selected(ids.len()));
        let zero = (Quantity::Length, 0.0);
        let dx = self.field(ui, "move x", "Move by x", zero, actions);
        let dy = self.field(ui, "move y", "Move by y", zero, actions);
        let turn = self.field(ui, "turn", "Turn each by", (Quantity::Angle, 0.0), actions);
        if dx.is_some() || dy.is_some() || turn.is_some() {
            let preview = crate::document::Preview {
                ids: ids.to_vec(),
                delta_mm: [dx.unwrap_or(0.0), dy.unwrap_or(0.0)],
                delta_deg: turn.unwrap_or(0.0),
            };
            actions.extend(preview.to_edit(plan).map(Action::Edit));
        }
        for command in [
            Command::AlignLeft,
            Command::AlignRight,
            Command::AlignDoor,
            Command::AlignBack,
            Command::DistributeX,
            Command::DistributeY,
            Command::MirrorX,
            Command::MirrorY,
        ] {
            self.tool_button(ui, command, actions);
        }
    }

    fn settings(
        &mut self,
        ui: &mut Ui,
        results: &Results,
        chosen: &[PlacementId],
        actions: &mut Vec<Action>,
    ) {
        ui.label(say::label("Outlines"));
        for stage in SizeStage::ALL {
            ui.selectable_value(&mut self.view.stage, stage, say::label(stage.word()));
        }
        ui.separator();
        let nudge = (Quantity::Length, self.view.nudge_mm);
        if let Some(step) = self.field(ui, "nudge", "Nudge by", nudge, actions)
            && step > 0.0
        {
            self.view.nudge_mm = step;
        }
        ui.checkbox(&mut self.view.snap.on, say::label("Snap"));
        let grid = (Quantity::Length, self.view.snap.grid_mm);
        if let Some(step) = self.field(ui, "grid", "to a grid of", grid, actions)
            && step >= 0.0
        {
            self.view.snap.grid_mm = step;
        }
        ui.checkbox(&mut self.view.snap.edge, say::label("to the edge"));
        ui.checkbox(&mut self.view.snap.parts, say::label("to parts"));
        ui.separator();
        for command in [Command::Table, Command::Measure, Command::Fit] {
            self.tool_button(ui, command, actions);
        }
        if let [one] = chosen {
            self.array_menu(ui, results, *one, actions);
        }
    }

    /// Rows and columns of the selected part, or as many as the level takes.
    fn array_menu(
        &mut self,
        ui: &mut Ui,
        results: &Results,
        id: PlacementId,
        actions: &mut Vec<Action>,
    ) {
        let menu = ui.button(say::label("Copy as array…"));
        let mut array = self.view.array;
        egui::Popup::menu(&menu)
            .close_behavior(egui::PopupCloseBehavior::CloseOnClickOutside)
            .show(|ui| {
                ui.set_min_width(theme::SIDE * 0.7);
                let count = |ui: &mut Ui, name: &str, value: &mut usize| {
                    let label = ui.label(say::label(name));
                    ui.add(egui::DragValue::new(value).range(1..=200))
                        .labelled_by(label.id);
                };
                ui.horizontal(|ui| count(ui, "Columns", &mut array.columns));
                ui.horizontal(|ui| count(ui, "Rows", &mut array.rows));
                for (k, name) in ["Pitch along x", "Pitch along y"].into_iter().enumerate() {
                    ui.horizontal(|ui| {
                        let pitch = array.pitch_mm.get(k).copied().unwrap_or(0.0);
                        let pitch = (Quantity::Length, pitch);
                        if let Some(pitch) = self.field(ui, name, name, pitch, actions)
                            && pitch > 0.0
                            && let Some(slot) = array.pitch_mm.get_mut(k)
                        {
                            *slot = pitch;
                        }
                    });
                }
                ui.checkbox(
                    &mut array.staggered,
                    say::label("Every second row staggered"),
                );
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

    /// The edit of an array. Filling takes only places inside the edge margin that leave the gap
    /// limit to posts and to what stands there.
    fn array(
        &self,
        results: &Results,
        id: PlacementId,
        array: &super::state::ArrayForm,
        fill: bool,
    ) -> Option<Action> {
        const MOST: usize = 2_000;
        let plan = &results.plan;
        let (level, old) = plan.placement(id)?;
        let [px, py] = array.pitch_mm;
        let mut places: Vec<[f64; 2]> = Vec::new();
        let stagger = |row: i64| {
            if array.staggered && row.rem_euclid(2) == 1 {
                px / 2.0
            } else {
                0.0
            }
        };
        if fill {
            let reach = 400.0;
            let (nx, ny) = ((reach / px) as i64, (reach / py) as i64);
            for row in -ny.min(200)..=ny.min(200) {
                for column in -nx.min(200)..=nx.min(200) {
                    places.push([
                        old.at_mm[0] + column as f64 * px + stagger(row),
                        old.at_mm[1] + row as f64 * py,
                    ]);
                }
            }
        } else {
            for row in 0..array.rows as i64 {
                for column in 0..array.columns as i64 {
                    places.push([
                        old.at_mm[0] + column as f64 * px + stagger(row),
                        old.at_mm[1] + row as f64 * py,
                    ]);
                }
            }
        }
        places.retain(|p| *p != old.at_mm);
        if fill {
            self.keep_free_places(results, level, old, &mut places)?;
        }
        places.truncate(MOST);
        let next = self.doc.history.next_id();
        let placements: Vec<Placement> = places
            .into_iter()
            .zip(next..)
            .map(|(at_mm, id)| Placement {
                id: PlacementId(id),
                at_mm,
                locked: false,
                ..old.clone()
            })
            .collect();
        if placements.is_empty() {
            return Some(Action::Say(say::no_free_place()));
        }
        Some(Action::Edit(Edit::Place {
            level: level.id,
            placements,
        }))
    }

    fn keep_free_places(
        &self,
        results: &Results,
        level: &crate::load::Level,
        old: &Placement,
        places: &mut Vec<[f64; 2]>,
    ) -> Option<()> {
        use crate::geometry::{PlacedBody, inside_margin, placed_gap};
        let catalogue = &self.working.catalogue;
        let plan = &results.plan;
        let sizes = Sizes::new(plan, catalogue);
        let sized = sizes.of(&old.item, catalogue)?;
        let body = &sized.at(SizeStage::Hottest).body;
        let setter = catalogue.setter(&level.setter)?;
        let face = usable_face(setter, 1.0);
        let caps = self.caps(plan);
        let (margin, gap) = (caps.edge_mm, caps.gap_mm);
        let stand = |at: [f64; 2], angle_deg: f64| {
            PlacedBody::new(
                body,
                &Pose {
                    angle_deg,
                    ..Pose::at(at[0], at[1])
                },
            )
        };
        let mut taken: Vec<PlacedBody> = level
            .placements
            .iter()
            .filter_map(|p| {
                let sized = sizes.of(&p.item, catalogue)?;
                let pose = Pose {
                    angle_deg: p.angle_deg,
                    ..Pose::at(p.at_mm[0], p.at_mm[1])
                };
                Some(PlacedBody::new(&sized.at(SizeStage::Hottest).body, &pose))
            })
            .collect();
        let above = plan
            .level(level.id)
            .and_then(|(stack, _)| stack.levels.iter().skip_while(|l| l.id != level.id).nth(1));
        if let Some(next) = above
            && let crate::load::Carrier::Posts { post, at_mm } = &next.carrier
            && let Some(post) = catalogue.post(post)
        {
            use crate::geometry::{Body, Outline};
            let post = Body::prism(Outline::disc(post.diameter_mm), post.length_mm);
            taken.extend(
                at_mm
                    .iter()
                    .map(|[x, y]| PlacedBody::new(&post, &Pose::at(*x, *y))),
            );
        }
        places.retain(|at| {
            let here = stand(*at, old.angle_deg);
            let inside = here
                .outlines()
                .all(|(_, _, o)| inside_margin(&face, o).is_some_and(|m| m >= margin));
            let free = inside && taken.iter().all(|t| placed_gap(&here, t, gap).is_none());
            if free {
                taken.push(here);
            }
            free
        });
        Some(())
    }
}
