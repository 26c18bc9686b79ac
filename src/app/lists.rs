//! Levels, furniture, parts and lots.

use super::commands::Command;
use super::fields::quantity_field;
use super::marks;
use super::state::{Action, App, Results};
use super::theme::{self, Tokens};
use crate::catalogue::Severity;
use crate::load::{
    Carrier, Edit, Item, Level, LevelId, Lot, LotId, PartRecords, Placement, PlacementId, Plan,
};
use crate::part::{Drawn, MassState, Part, SizeStage, scale};
use crate::review::Subject;
use crate::text::app as say;
use crate::units::{self, Quantity, show};
use egui::{CollapsingHeader, ComboBox, Grid, RichText, Role, ScrollArea, Ui, WidgetInfo};
use std::collections::BTreeMap;

impl App {
    pub(super) fn lists(&mut self, ui: &mut Ui, results: &Results, actions: &mut Vec<Action>) {
        ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
            let open = |name: &str| CollapsingHeader::new(say::label(name)).default_open(true);
            open("Levels").show(ui, |ui| self.levels(ui, results, actions));
            open("Parts").show(ui, |ui| self.parts(ui, results, actions));
            open("Lots").show(ui, |ui| self.lots(ui, results, actions));
            CollapsingHeader::new(say::label("Furniture in stock"))
                .show(ui, |ui| self.stock(ui, &results.plan));
            CollapsingHeader::new(say::label("Load and furnace"))
                .show(ui, |ui| self.about(ui, &results.plan, actions));
        });
    }

    fn about(&mut self, ui: &mut Ui, plan: &Plan, actions: &mut Vec<Action>) {
        let catalogue = std::sync::Arc::clone(&self.working.catalogue);
        if let Some(title) = self.text_field(ui, "title", "Title", &plan.title) {
            actions.push(Action::Edit(Edit::SetTitle(title)));
        }
        let start = plan.planned_start.clone().unwrap_or_default();
        if let Some(day) = self.text_field(ui, "start", "Planned start (year-month-day)", &start) {
            let day = (!day.trim().is_empty()).then(|| day.trim().to_owned());
            actions.push(Action::Edit(Edit::SetPlannedStart(day)));
        }
        let name = |id: &str| {
            catalogue
                .furnace(id)
                .map_or_else(|| id.to_owned(), |f| f.name.clone())
        };
        let label = ui.label(say::label("Furnace"));
        let shown = ComboBox::from_id_salt("furnace")
            .selected_text(name(&plan.load.furnace))
            .show_ui(ui, |ui| {
                for id in catalogue.furnaces.keys() {
                    let chosen = *id == plan.load.furnace;
                    if ui.selectable_label(chosen, name(id)).clicked() && !chosen {
                        actions.push(Action::Edit(Edit::SetFurnace(id.clone())));
                    }
                }
            });
        shown.response.labelled_by(label.id);
        if let Some(note) = self.text_field(ui, "note", "Note", &plan.note) {
            actions.push(Action::Edit(Edit::SetNote(note)));
        }
    }

    /// A field for words; some on Enter or blur when they changed.
    pub(super) fn text_field(
        &mut self,
        ui: &mut Ui,
        id: &str,
        label: &str,
        value: &str,
    ) -> Option<String> {
        let label = ui.label(say::label(label));
        let mut text = self
            .view
            .typing
            .get(id)
            .cloned()
            .unwrap_or_else(|| value.to_owned());
        let field = ui.text_edit_singleline(&mut text).labelled_by(label.id);
        if field.changed() {
            self.view.typing.insert(id.to_owned(), text);
        }
        if !field.lost_focus() {
            return None;
        }
        let typed = self.view.typing.remove(id)?;
        let dropped = ui.input(|i| i.key_pressed(egui::Key::Escape));
        (!dropped && typed != value).then_some(typed)
    }

    fn levels(&mut self, ui: &mut Ui, results: &Results, actions: &mut Vec<Action>) {
        let plan = &results.plan;
        ui.horizontal_wrapped(|ui| {
            for command in [
                Command::AddLevel,
                Command::RepeatLevel,
                Command::RemoveLevel,
            ] {
                self.tool_button(ui, command, actions);
            }
        });
        let worst = worst_by_level(results);
        for (s, stack) in plan.load.stacks.iter().enumerate().rev() {
            if plan.load.stacks.len() > 1 {
                ui.label(say::stack(s + 1));
            }
            for level in stack.levels.iter().rev() {
                let name = plan.level_label(level.id);
                let setter = self.working.catalogue.setter(&level.setter);
                let setter = setter.map_or_else(|| level.setter.clone(), |s| s.name.clone());
                let parts = level.placements.len();
                let chosen = self.view.level == Some(level.id);
                ui.horizontal(|ui| {
                    match worst.get(&level.id) {
                        Some(severity) => marks::mark_in_row(ui, *severity),
                        None => {
                            ui.add_space(ui.spacing().interact_size.y * 0.7 + theme::SPACE);
                        }
                    }
                    let text = say::level_row(&name, &setter, parts);
                    let row = ui.selectable_label(chosen, &text);
                    row.widget_info(|| {
                        WidgetInfo::selected(Role::ListBoxOption, true, chosen, &text)
                    });
                    if row.clicked() {
                        self.show_level(level.id);
                    }
                });
                if chosen {
                    let id = ui.scope_id().with(("level", level.id.0));
                    ui.indent(id, |ui| self.level_details(ui, plan, level, actions));
                }
            }
        }
    }

    fn level_details(
        &mut self,
        ui: &mut Ui,
        plan: &Plan,
        level: &Level,
        actions: &mut Vec<Action>,
    ) {
        let catalogue = std::sync::Arc::clone(&self.working.catalogue);
        let change = |setter: &str, carrier: Carrier| {
            Action::Edit(Edit::ChangeLevel {
                id: level.id,
                setter: setter.to_owned(),
                carrier,
            })
        };
        let left = self.left_in_stock(plan);
        let label = ui.label(say::label("Setter"));
        let current = catalogue
            .setter(&level.setter)
            .map_or(level.setter.as_str(), |s| &s.name);
        let shown = ComboBox::from_id_salt("setter")
            .width(theme::SIDE * 0.7)
            .selected_text(current);
        let shown = shown.show_ui(ui, |ui| {
            for (_, setter) in catalogue.setters.values() {
                let text = say::with_stock(&setter.name, left.get(setter.id.as_str()).copied());
                let chosen = setter.id == level.setter;
                if ui.selectable_label(chosen, text).clicked() && !chosen {
                    actions.push(change(&setter.id, level.carrier.clone()));
                }
            }
        });
        shown.response.labelled_by(label.id);

        let label = ui.label(say::label("Carried by"));
        let word = |carrier: &Carrier| match carrier {
            Carrier::Hearth => say::label("hearth"),
            Carrier::Posts { .. } => say::label("posts"),
            Carrier::Rim => say::label("rim of the setter below"),
            Carrier::Feet { .. } => say::label("feet of its own"),
            Carrier::RackSlot(slot) => say::rack_slot(slot + 1),
        };
        let posts = match &level.carrier {
            posts @ Carrier::Posts { .. } => posts.clone(),
            _ => super::arrange_by_hand::posts_at_corners(&catalogue, &level.setter),
        };
        let mut choices = vec![
            Carrier::Hearth,
            posts,
            Carrier::Rim,
            Carrier::Feet { height_mm: 20.0 },
        ];
        let slots = catalogue
            .furnace(&plan.load.furnace)
            .map_or(0, |f| f.rack_slots_mm.len());
        choices.extend((0..slots).map(Carrier::RackSlot));
        let shown = ComboBox::from_id_salt("carrier").selected_text(word(&level.carrier));
        let shown = shown.show_ui(ui, |ui| {
            for choice in choices {
                let chosen = word(&choice) == word(&level.carrier);
                if ui.selectable_label(chosen, word(&choice)).clicked() && !chosen {
                    actions.push(change(&level.setter, choice));
                }
            }
        });
        shown.response.labelled_by(label.id);

        match &level.carrier {
            Carrier::Posts { post, at_mm } => {
                let label = ui.label(say::label("Post"));
                let current = catalogue.post(post).map_or(post.as_str(), |p| &p.name);
                let shown = ComboBox::from_id_salt("post")
                    .selected_text(current)
                    .show_ui(ui, |ui| {
                        let mut posts: Vec<_> = catalogue.posts.values().map(|(_, p)| p).collect();
                        posts.sort_by(|a, b| a.length_mm.total_cmp(&b.length_mm));
                        for p in posts {
                            let text = say::with_stock(&p.name, left.get(p.id.as_str()).copied());
                            let chosen = p.id == *post;
                            if ui.selectable_label(chosen, text).clicked() && !chosen {
                                let at_mm = at_mm.clone();
                                let carrier = Carrier::Posts {
                                    post: p.id.clone(),
                                    at_mm,
                                };
                                actions.push(change(&level.setter, carrier));
                            }
                        }
                    });
                shown.response.labelled_by(label.id);
                let text: Vec<String> = at_mm.iter().map(|[x, y]| format!("{x},{y}")).collect();
                let key = format!("posts of {}", level.id.0);
                let typed = self.text_field(ui, &key, "Post places x,y (mm)", &text.join(" "));
                if let Some(typed) = typed {
                    match units::parse_places(&typed) {
                        Ok(at_mm) => {
                            let carrier = Carrier::Posts {
                                post: post.clone(),
                                at_mm,
                            };
                            actions.push(change(&level.setter, carrier));
                        }
                        Err(word) => actions.push(Action::Say(say::not_points(word))),
                    }
                }
            }
            Carrier::Feet { height_mm } => {
                let key = format!("feet of {}", level.id.0);
                let typing = &mut self.view.typing;
                let length = Quantity::Length;
                match quantity_field(
                    ui,
                    typing,
                    &key,
                    "Height of the feet",
                    length,
                    *height_mm,
                    1,
                ) {
                    Some(Ok(height_mm)) => {
                        actions.push(change(&level.setter, Carrier::Feet { height_mm }));
                    }
                    Some(Err(sentence)) => actions.push(Action::Say(sentence)),
                    None => {}
                }
            }
            Carrier::Hearth | Carrier::Rim | Carrier::RackSlot(_) => {}
        }
        self.order(ui, plan, level.id, actions);
    }

    /// Level up or down in its stack.
    fn order(&mut self, ui: &mut Ui, plan: &Plan, id: LevelId, actions: &mut Vec<Action>) {
        let Some((stack, _)) = plan.level(id) else {
            return;
        };
        let Some(at) = stack.levels.iter().position(|l| l.id == id) else {
            return;
        };
        ui.horizontal(|ui| {
            for (name, to) in [
                ("Move level up", at.checked_add(1)),
                ("Move level down", at.checked_sub(1)),
            ] {
                let to = to.filter(|to| *to < stack.levels.len());
                if ui
                    .add_enabled(to.is_some(), egui::Button::new(say::label(name)))
                    .clicked()
                    && let Some(index) = to
                {
                    actions.push(Action::Edit(Edit::MoveLevel {
                        id,
                        stack: stack.id,
                        index,
                    }));
                }
            }
        });
    }

    /// What the shop has of each item less what the load uses.
    fn left_in_stock(&self, plan: &Plan) -> BTreeMap<&str, i64> {
        let mut used: BTreeMap<&str, i64> = BTreeMap::new();
        for (_, level) in plan.levels() {
            *used.entry(&level.setter).or_default() += 1;
            if let Carrier::Posts { post, at_mm } = &level.carrier {
                *used.entry(post).or_default() += at_mm.len() as i64;
            }
        }
        let stock = self.working.shop.stock.iter();
        stock
            .map(|s| {
                let used = used.get(s.id.as_str()).copied().unwrap_or(0);
                (s.id.as_str(), i64::from(s.count) - used)
            })
            .collect()
    }

    fn stock(&self, ui: &mut Ui, plan: &Plan) {
        let left = self.left_in_stock(plan);
        let catalogue = &self.working.catalogue;
        let tokens = Tokens::of(ui.ctx());
        Grid::new("stock")
            .num_columns(3)
            .striped(true)
            .show(ui, |ui| {
                for head in ["Item", "In stock", "Left"] {
                    ui.label(RichText::new(say::label(head)).color(tokens.weak));
                }
                ui.end_row();
                for stock in &self.working.shop.stock {
                    let name = catalogue
                        .post(&stock.id)
                        .map(|p| &p.name)
                        .or_else(|| catalogue.setter(&stock.id).map(|s| &s.name))
                        .or_else(|| catalogue.support(&stock.id).map(|s| &s.name));
                    ui.label(name.unwrap_or(&stock.id));
                    ui.label(stock.count.to_string());
                    let left = left.get(stock.id.as_str()).copied().unwrap_or(0);
                    let color = if left < 0 { tokens.stop } else { tokens.text };
                    ui.label(RichText::new(left.to_string()).color(color));
                    ui.end_row();
                }
            });
    }

    fn parts(&mut self, ui: &mut Ui, results: &Results, actions: &mut Vec<Action>) {
        self.tool_button(ui, Command::Import, actions);
        let plan = &results.plan;
        for part in &plan.parts {
            let placed = results.tally.pieces.get(&part.id.0).copied().unwrap_or(0);
            let chosen = self.view.part == Some(part.id);
            ui.horizontal(|ui| {
                let text = say::part_row(&part.name, placed);
                let row = ui.selectable_label(chosen, &text);
                row.widget_info(|| WidgetInfo::selected(Role::ListBoxOption, true, chosen, &text));
                if row.clicked() {
                    self.view.part = (!chosen).then_some(part.id);
                }
                let place = ui.button(say::label("Place"));
                let name = say::place_one(&part.name);
                place.widget_info(|| WidgetInfo::labeled(Role::Button, true, &name));
                if place.clicked() {
                    self.place_one(part, actions);
                }
            });
            if chosen {
                ui.indent(("part", part.id.0), |ui| self.part_panel(ui, part, actions));
            }
        }
    }

    /// Sets one piece down at the middle of the level, selected.
    fn place_one(&mut self, part: &Part, actions: &mut Vec<Action>) {
        let Some(level) = self.view.level else {
            self.message = say::no_level();
            return;
        };
        let id = PlacementId(self.doc.history.next_id());
        let placement = Placement {
            id,
            item: Item::Part {
                part: part.id,
                lot: None,
            },
            at_mm: [0.0, 0.0],
            angle_deg: 0.0,
            support: None,
            locked: false,
        };
        self.view.selection = std::iter::once(id).collect();
        actions.push(Action::Edit(Edit::Place {
            level,
            placements: vec![placement],
        }));
    }

    fn part_panel(&mut self, ui: &mut Ui, part: &Part, actions: &mut Vec<Action>) {
        let catalogue = std::sync::Arc::clone(&self.working.catalogue);
        let change = |part: Part| Action::Edit(Edit::ChangePart(Box::new(part)));
        let key = |name: &str| format!("{name} of part {}", part.id.0);
        if let Some(name) = self.text_field(ui, &key("name"), "Name", &part.name) {
            actions.push(change(Part {
                name,
                ..part.clone()
            }));
        }
        let label = ui.label(say::label("Feedstock"));
        let name = |id: &str| {
            catalogue
                .feedstock(id)
                .map_or_else(|| id.to_owned(), |f| f.name.clone())
        };
        let combo = ComboBox::from_id_salt("feedstock")
            .width(theme::SIDE * 0.7)
            .selected_text(name(&part.feedstock));
        let shown = combo.show_ui(ui, |ui| {
            for id in catalogue.feedstocks.keys() {
                let chosen = *id == part.feedstock;
                if ui.selectable_label(chosen, name(id)).clicked() && !chosen {
                    actions.push(change(Part {
                        feedstock: id.clone(),
                        ..part.clone()
                    }));
                }
            }
        });
        shown.response.labelled_by(label.id);
        ui.horizontal(|ui| {
            ui.label(say::label("Drawn at"));
            for (drawn, word) in [(Drawn::Final, "final size"), (Drawn::Green, "green size")] {
                let chosen = part.drawn == drawn;
                if ui.selectable_label(chosen, say::label(word)).clicked() && !chosen {
                    actions.push(change(Part {
                        drawn,
                        ..part.clone()
                    }));
                }
            }
        });
        let section = part.section_mm.or(part.geometry.section_mm).unwrap_or(0.0);
        let typing = &mut self.view.typing;
        let id = key("section");
        match quantity_field(
            ui,
            typing,
            &id,
            "Governing section, green",
            Quantity::Length,
            section,
            2,
        ) {
            Some(Ok(mm)) => {
                let section_mm = (mm > 0.0).then_some(mm);
                actions.push(change(Part {
                    section_mm,
                    ..part.clone()
                }));
            }
            Some(Err(sentence)) => actions.push(Action::Say(sentence)),
            None => {}
        }
        let mut only = part.work_zone_only;
        if ui
            .checkbox(&mut only, say::label("Only inside the work zone"))
            .changed()
        {
            actions.push(change(Part {
                work_zone_only: only,
                ..part.clone()
            }));
        }
        measures(ui, part, PartRecords::new(part, &catalogue).as_ref());
    }

    fn lots(&mut self, ui: &mut Ui, results: &Results, actions: &mut Vec<Action>) {
        let plan = &results.plan;
        for lot in &plan.lots {
            let placed = results.tally.lots.get(&lot.id.0).copied().unwrap_or(0);
            let part = plan.part(lot.part).map_or("", |p| &p.name);
            ui.horizontal(|ui| {
                ui.label(say::lot_row(
                    &lot.name,
                    part,
                    placed,
                    lot.count as usize,
                    lot.enters.word(),
                ));
            });
        }
        let Some(part) = self.view.part.and_then(|id| plan.part(id)) else {
            let weak = Tokens::of(ui.ctx()).weak;
            ui.label(RichText::new(say::choose_part_for_lot()).color(weak));
            return;
        };
        if let Some(name) = self.text_field(ui, "new lot", "New lot of the part chosen", "")
            && !name.trim().is_empty()
        {
            let lot = Lot {
                id: LotId(self.doc.history.next_id()),
                name: name.trim().to_owned(),
                part: part.id,
                count: results.tally.pieces.get(&part.id.0).copied().unwrap_or(0) as u32,
                enters: MassState::Dry,
                customer: None,
                green_g: None,
                dry_g: None,
                previous_dry_g: None,
                dried_min: None,
            };
            actions.push(Action::Edit(Edit::AddLot(lot)));
        }
    }
}

/// Worst open finding of each level: its own or of something on it.
fn worst_by_level(results: &Results) -> BTreeMap<LevelId, Severity> {
    let plan = &results.plan;
    let of: BTreeMap<PlacementId, LevelId> = plan
        .placements()
        .map(|(level, p)| (p.id, level.id))
        .collect();
    let mut worst: BTreeMap<LevelId, Severity> = BTreeMap::new();
    for finding in results
        .review
        .findings
        .iter()
        .filter(|f| f.accepted.is_none())
    {
        for subject in &finding.subjects {
            let level = match subject {
                Subject::Level(id) => Some(*id),
                Subject::Placement(id) => of.get(id).copied(),
                _ => None,
            };
            if let Some(level) = level {
                let slot = worst.entry(level).or_insert(finding.severity);
                *slot = (*slot).max(finding.severity);
            }
        }
    }
    worst
}

/// Measures of a part with their units.
fn measures(ui: &mut Ui, part: &Part, records: Option<&PartRecords>) {
    let tokens = Tokens::of(ui.ctx());
    let g = &part.geometry;
    let length = |mm: f64| show(Quantity::Length, mm, 2);
    let mut rows: Vec<(String, String)> = vec![
        (
            say::label("Volume as drawn"),
            format!("{:.1} mm³", g.volume_mm3),
        ),
        (
            say::label("Surface as drawn"),
            format!("{:.1} mm²", g.area_mm2),
        ),
        (
            say::label("Outline as drawn"),
            format!("{:.1} mm²", g.outline().area()),
        ),
        (
            say::label("Contact as drawn"),
            format!("{:.1} mm²", g.footprint.area()),
        ),
    ];
    if let Some(records) = records {
        let target = records.feedstock.extraction_target.unwrap_or(1.0);
        let masses = records.masses(target);
        for (name, state) in [
            ("Mass green", MassState::Green),
            ("Mass dry, at the extraction target", MassState::Dry),
            ("Mass sintered", MassState::Sintered),
        ] {
            rows.push((
                say::label(name),
                show(Quantity::Mass, masses.in_state(state), 2),
            ));
        }
        let peak_c = records.feedstock.sinter.to_c;
        for stage in SizeStage::ALL {
            let factors = scale(part, records.feedstock, records.alloy, peak_c, stage);
            let sides: Vec<String> = g
                .size_mm
                .iter()
                .zip(factors)
                .map(|(s, f)| length(s * f))
                .collect();
            rows.push((say::size_at(stage.word()), sides.join(" × ")));
        }
    }
    Grid::new("measures").num_columns(2).show(ui, |ui| {
        for (name, value) in rows {
            ui.label(RichText::new(name).color(tokens.weak));
            ui.label(value);
            ui.end_row();
        }
    });
    if g.open_edges > 0 {
        let text = crate::text::cli::volume_not_trusted(g.open_edges);
        ui.label(RichText::new(text).color(tokens.caution));
    }
}
