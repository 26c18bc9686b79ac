//! Part records: import, typed shapes, the panel with measures.

use super::forms::{
    self, ShapeForm, button, button_unless, choice, entry, list_row, quantity_row, text_row,
};
use crate::app::commands::Command;
use crate::app::pose_picker;
use crate::app::state::{Action, App, Results};
use crate::load::{Edit, Item, PartRecords, Placement, PlacementId, Plan};
use crate::part::{Drawn, Infill, MassState, Part, PartId, Rest, Weighed};
use crate::text::app as say;
use crate::text::edits;
use crate::units::{self, Quantity};
use egui::{CollapsingHeader, Ui};
use std::collections::BTreeMap;
use std::sync::Arc;

/// A part as it is being typed.
#[derive(Clone, Debug)]
pub(super) struct PartForm {
    name: String,
    /// Feedstock slug; empty until one is chosen.
    feedstock: String,
    drawn: Drawn,
    shape: ShapeForm,
    /// Mass of one piece green, as typed; may be empty.
    mass: String,
}

impl Default for PartForm {
    fn default() -> PartForm {
        PartForm {
            name: String::new(),
            feedstock: String::new(),
            drawn: Drawn::Final,
            shape: ShapeForm::default(),
            mass: String::new(),
        }
    }
}

impl App {
    pub(super) fn parts(&mut self, ui: &mut Ui, results: &Results, actions: &mut Vec<Action>) {
        self.tool_button(ui, Command::Import, actions);
        let plan = &results.plan;
        let mut pieces: BTreeMap<PartId, usize> = BTreeMap::new();
        for part in plan.placements().filter_map(|(_, p)| p.item.part()) {
            *pieces.entry(part).or_default() += 1;
        }
        for part in &plan.parts {
            let placed = pieces.get(&part.id).copied().unwrap_or(0);
            let chosen = self.view.part == Some(part.id);
            let text = say::part_row(&part.name, placed);
            let place = say::place_one(&part.name);
            let (row, place) = forms::sides(
                ui,
                |ui| list_row(ui, chosen, &text),
                |ui| button(ui, true, &say::label("Place"), &place),
            );
            if row.clicked() {
                self.view.part = (!chosen).then_some(part.id);
            }
            if place.clicked() {
                let (part, lot) = (part.id, None);
                let item = Item::Part { part, lot };
                let at_mm = self.free_place(results, &item).unwrap_or_default();
                self.set_down(item, at_mm, actions);
            }
            if chosen {
                ui.indent(("part", part.id.0), |ui| {
                    self.part_panel(ui, plan, part, placed, actions);
                });
            }
        }
        CollapsingHeader::new(say::label("New part by its measures"))
            .show(ui, |ui| self.typed_part(ui, plan, actions));
    }

    /// Sets one thing down on the level shown, selected.
    pub(super) fn set_down(&mut self, item: Item, at_mm: [f64; 2], actions: &mut Vec<Action>) {
        let Some(level) = self.view.level else {
            self.message = say::no_level();
            return;
        };
        let id = PlacementId(self.doc.history.next_id());
        let placement = Placement {
            id,
            item,
            at_mm,
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

    fn part_panel(
        &mut self,
        ui: &mut Ui,
        plan: &Plan,
        part: &Part,
        placed: usize,
        actions: &mut Vec<Action>,
    ) {
        let catalogue = Arc::clone(&self.working.catalogue);
        self.part_picture(ui, part);
        let change = |part: Part| Action::Edit(Edit::ChangePart(Box::new(part)));
        let key = |name: &str| format!("{name} of part {}", part.id.0);
        let typing = &mut self.view.typing;
        if let Some(name) = text_row(ui, typing, &key("name"), "Name", &part.name) {
            actions.push(change(Part {
                name,
                ..part.clone()
            }));
        }
        if let Some(feedstock) = self.feedstock(ui, "Feedstock", &part.feedstock) {
            actions.push(change(Part {
                feedstock,
                ..part.clone()
            }));
        }
        if let Some(drawn) = drawn(ui, "Drawn at", part.drawn) {
            actions.push(change(Part {
                drawn,
                ..part.clone()
            }));
        }
        let records = PartRecords::new(part, &catalogue);
        let section = records.as_ref().map(|r| r.feedstock.oversize);
        let section = section.and_then(|oversize| part.green_section_mm(oversize));
        let typing = &mut self.view.typing;
        let what = (Quantity::Length, section, 2);
        let name = match part.section_mm {
            Some(_) => "Section, stated",
            None => "Section, green",
        };
        match quantity_row(ui, typing, &key("section"), name, what) {
            Some(Ok(section_mm)) => {
                actions.push(change(Part {
                    section_mm,
                    ..part.clone()
                }));
            }
            Some(Err(sentence)) => actions.push(Action::Say(sentence)),
            None => {}
        }
        self.infill(ui, part, actions);
        self.weighed(ui, part, actions);
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
        forms::wrapped(ui, |ui| {
            let word = say::label("Select all pieces");
            let none = (placed == 0).then(|| say::no_piece(&part.name));
            if button_unless(ui, none, &word, &say::select_pieces(&part.name)).clicked() {
                self.select_and_show(plan, |item| match item {
                    Item::Part { part: of, .. } => *of == part.id,
                    _ => false,
                });
            }
            let word = say::label("How it rests…");
            let fixed = (!pose_picker::can_be_laid(part)).then(say::rests_as_typed);
            if button_unless(ui, fixed, &word, &say::lay(&part.name)).clicked() {
                self.pick_pose(ui.ctx(), part);
            }
            let word = say::label("Remove the record");
            let refused = kept_because(plan, part.id);
            let name = say::remove_part(&part.name);
            if button_unless(ui, refused, &word, &name).clicked() {
                actions.push(Action::Edit(Edit::RemovePart(part.id)));
            }
        });
        super::measures::measures(ui, part, records.as_ref(), &mut self.view.part_size);
    }

    /// What a printed part is filled with, and how thick its shell is.
    fn infill(&mut self, ui: &mut Ui, part: &Part, actions: &mut Vec<Action>) {
        /// A shell until one is typed, mm (assumed: three strokes of 0.4 mm).
        const USUAL_SHELL_MM: f64 = 1.2;
        let change = |infill| {
            Action::Edit(Edit::ChangePart(Box::new(Part {
                infill,
                ..part.clone()
            })))
        };
        let shell = part.infill.shell_mm();
        let shell_thickness_mm = shell.unwrap_or(USUAL_SHELL_MM);
        let all = [
            Infill::Solid,
            Infill::Open { shell_thickness_mm },
            Infill::Closed { shell_thickness_mm },
        ];
        let word = |infill: Infill| say::infill(infill.word());
        let now = word(part.infill);
        let options = all.map(|infill| (infill, word(infill)));
        if let Some(infill) = choice(ui, "infill", "Filled", &now, options, &part.infill) {
            actions.push(change(infill));
        }
        if shell.is_none() {
            return;
        }
        let id = format!("shell of part {}", part.id.0);
        let what = (Quantity::Length, shell, 2);
        let typing = &mut self.view.typing;
        match quantity_row(ui, typing, &id, "Shell, green", what) {
            Some(Ok(Some(shell_thickness_mm))) => actions.push(change(match part.infill {
                Infill::Closed { .. } => Infill::Closed { shell_thickness_mm },
                _ => Infill::Open { shell_thickness_mm },
            })),
            Some(Ok(None)) => actions.push(change(Infill::Solid)),
            Some(Err(sentence)) => actions.push(Action::Say(sentence)),
            None => {}
        }
    }

    /// What the scale says of one piece; it goes before what the shape says.
    fn weighed(&mut self, ui: &mut Ui, part: &Part, actions: &mut Vec<Action>) {
        let change = |weighed| {
            Action::Edit(Edit::ChangePart(Box::new(Part {
                weighed,
                ..part.clone()
            })))
        };
        let id = format!("mass of part {}", part.id.0);
        let what = (Quantity::Mass, part.weighed.map(|w| w.mass_g), 3);
        let typing = &mut self.view.typing;
        match quantity_row(ui, typing, &id, "Piece weighs", what) {
            Some(Ok(mass_g)) => actions.push(change(mass_g.map(|mass_g| Weighed {
                mass_g,
                state: part.weighed.map_or(MassState::Green, |w| w.state),
            }))),
            Some(Err(sentence)) => actions.push(Action::Say(sentence)),
            None => {}
        }
        let Some(weighed) = part.weighed else { return };
        let word = |state: MassState| say::label(state.word());
        let all = MassState::ALL.map(|state| (state, word(state)));
        let now = word(weighed.state);
        if let Some(state) = choice(ui, "weighed", "Weighed", &now, all, &weighed.state) {
            actions.push(change(Some(Weighed { state, ..weighed })));
        }
    }

    /// Selects everything of a kind in the load, and shows a level on which some of it stands.
    pub(super) fn select_and_show(&mut self, plan: &Plan, is: impl Fn(&Item) -> bool) {
        let found: Vec<_> = plan
            .placements()
            .filter(|(_, p)| is(&p.item))
            .map(|(level, p)| (level.id, p.id))
            .collect();
        let here = found
            .iter()
            .any(|(level, _)| Some(*level) == self.view.level);
        if let Some((level, _)) = found.first().filter(|_| !here) {
            self.show_level(*level);
        }
        self.view.selection = found.into_iter().map(|(_, id)| id).collect();
    }

    fn feedstock(&self, ui: &mut Ui, name: &str, now: &String) -> Option<String> {
        let catalogue = &self.working.catalogue;
        let named = |id: &String| {
            catalogue
                .feedstock(id)
                .map_or_else(|| id.clone(), |f| f.name.clone())
        };
        let all = catalogue
            .feedstocks
            .keys()
            .map(|id| (id.clone(), named(id)));
        choice(ui, name, name, &named(now), all, now)
    }

    fn typed_part(&mut self, ui: &mut Ui, plan: &Plan, actions: &mut Vec<Action>) {
        let mut form = std::mem::take(&mut self.view.lists.part);
        if form.feedstock.is_empty() {
            // The feedstock of the part last added is the likeliest.
            let last = plan.parts.last().map(|p| &p.feedstock);
            let first = self.working.catalogue.feedstocks.keys().next();
            form.feedstock = last.or(first).cloned().unwrap_or_default();
        }
        entry(ui, "Name", "Name of the new part", "", &mut form.name);
        if let Some(id) = self.feedstock(ui, "Feedstock of the new part", &form.feedstock) {
            form.feedstock = id;
        }
        if let Some(chosen) = drawn(ui, "Typed at", form.drawn) {
            form.drawn = chosen;
        }
        form.shape.show(ui, "of the new part", true);
        let name = "Mass of one piece of the new part, green";
        entry(ui, "Piece weighs, green", name, "g", &mut form.mass);
        if ui.button(say::label("Add the part")).clicked() {
            let mass = match form.mass.trim() {
                "" => Ok(None),
                typed => units::parse(Quantity::Mass, typed)
                    .map(Some)
                    .map_err(|fault| say::in_field("Piece weighs, green", &fault.to_string())),
            };
            let shape = form.shape.shape();
            let form_read = shape.and_then(|shape| mass.map(|mass| (shape, mass)));
            match form_read {
                _ if form.name.trim().is_empty() => {
                    actions.push(Action::Say(edits::no_name("part")));
                }
                Err(sentence) => actions.push(Action::Say(sentence)),
                Ok(((shape, geometry), mass)) => {
                    let id = PartId(self.doc.history.next_id());
                    let edit = Edit::AddPart(Box::new(Part {
                        id,
                        name: form.name.trim().to_owned(),
                        feedstock: form.feedstock.clone(),
                        shape,
                        drawn: form.drawn,
                        rest: Rest::AS_DRAWN,
                        infill: Infill::Solid,
                        keep_off: Vec::new(),
                        approved_rest: None,
                        geometry: geometry.into(),
                        made_with_oversize: None,
                        weighed: mass.map(|mass_g| Weighed {
                            mass_g,
                            state: MassState::Green,
                        }),
                        section_mm: None,
                        work_zone_only: false,
                    }));
                    match self.taken(edit) {
                        Ok(edit) => {
                            actions.push(Action::Edit(edit));
                            // The next one is likely of the same feedstock and drawn at the same
                            // size.
                            form.name.clear();
                            form.shape = ShapeForm::default();
                            form.mass.clear();
                            self.view.part = Some(id);
                        }
                        Err(sentence) => actions.push(Action::Say(sentence)),
                    }
                }
            }
        }
        self.view.lists.part = form;
    }
}

/// Why a part record cannot go, in the words that would refuse it.
fn kept_because(plan: &Plan, id: PartId) -> Option<String> {
    let of = |item: &Item| item.part() == Some(id);
    match plan.placements().filter(|(_, p)| of(&p.item)).count() {
        0 => {
            let lot = plan.lots.iter().find(|l| l.part == id)?;
            Some(edits::part_in_lot(&lot.name))
        }
        n => Some(edits::part_in_use(n)),
    }
}

fn drawn(ui: &mut Ui, name: &str, now: Drawn) -> Option<Drawn> {
    let all = [(Drawn::Final, "final size"), (Drawn::Green, "green size")];
    let word = all.iter().find(|(d, _)| *d == now).map_or("", |(_, w)| w);
    let all = all.map(|(drawn, word)| (drawn, say::label(word)));
    choice(ui, name, name, &say::label(word), all, &now)
}
