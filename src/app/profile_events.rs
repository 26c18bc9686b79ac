//! Events of a segment: in few words for the table, and one by one in a window of their own.

use super::profile_board::{change, furnace};
use super::profile_edits::pressure_question;
use super::profile_table::{Field, Question, combo, gas_combo, gas_name, no_question, shown};
use super::state::{Action, App};
use super::theme::SPACE;
use crate::catalogue::{Catalogue, Furnace};
use crate::load::Plan;
use crate::profile::{Event, EventAt, EventKind};
use crate::text::app as say;
use crate::units::Quantity;
use egui::{Align2, Ui, Window};
use std::collections::BTreeMap;

/// Purge of a new event, volumes (assumed).
const USUAL_VOLUMES: f64 = 5.0;
/// Pump-down of a new event, mbar (assumed).
const USUAL_VACUUM_MBAR: f64 = 0.1;
/// Backfill of a new event, mbar: just under 1 atm (assumed).
const USUAL_BACKFILL_MBAR: f64 = 900.0;

/// All events of a segment: "start: pump down to 0.01 mbar, fan on; end: unload".
pub(super) fn in_few_words(events: &[Event], catalogue: &Catalogue) -> String {
    let at = |end: EventAt| -> Option<String> {
        let here = events.iter().filter(|e| e.at == end);
        let words: Vec<String> = here.map(|e| words(&e.kind, catalogue)).collect();
        (!words.is_empty()).then(|| say::events_at(&end_name(end), &words.join(", ")))
    };
    let ends: Vec<String> = [EventAt::Start, EventAt::End]
        .into_iter()
        .filter_map(at)
        .collect();
    if ends.is_empty() {
        say::label("none")
    } else {
        ends.join("; ")
    }
}

fn end_name(end: EventAt) -> String {
    match end {
        EventAt::Start => say::label("start"),
        EventAt::End => say::label("end"),
    }
}

/// Name without its number.
fn kind_name(kind: &EventKind) -> String {
    say::label(match kind {
        EventKind::PurgeInert { .. } => "purge volumes",
        EventKind::PumpDown { .. } => "pump down to",
        EventKind::Backfill { .. } => "backfill to",
        EventKind::HydrogenOn => "hydrogen on",
        EventKind::HydrogenOff => "hydrogen off",
        EventKind::FanOn => "fan on",
        EventKind::FanOff => "fan off",
        EventKind::BurnOffOn => "burn-off on",
        EventKind::BurnOffOff => "burn-off off",
        EventKind::Unload => "unload",
        EventKind::OperatorCheck => "operator check",
    })
}

fn words(kind: &EventKind, catalogue: &Catalogue) -> String {
    match kind {
        EventKind::PurgeInert { volumes } => {
            say::event_with(&kind_name(kind), &shown(Quantity::Number, *volumes))
        }
        EventKind::PumpDown { to_mbar } => {
            say::event_with(&kind_name(kind), &shown(Quantity::Pressure, *to_mbar))
        }
        EventKind::Backfill { gas, to_mbar } => say::backfill(
            &gas_name(gas, catalogue),
            &shown(Quantity::Pressure, *to_mbar),
        ),
        _ => kind_name(kind),
    }
}

/// One of each kind, as it is added.
fn kinds(furnace: Option<&Furnace>) -> Vec<EventKind> {
    let gas = furnace
        .and_then(|f| f.gases.first())
        .cloned()
        .unwrap_or_default();
    vec![
        EventKind::PumpDown {
            to_mbar: USUAL_VACUUM_MBAR,
        },
        EventKind::Backfill {
            gas,
            to_mbar: USUAL_BACKFILL_MBAR,
        },
        EventKind::PurgeInert {
            volumes: USUAL_VOLUMES,
        },
        EventKind::HydrogenOn,
        EventKind::HydrogenOff,
        EventKind::FanOn,
        EventKind::FanOff,
        EventKind::BurnOffOn,
        EventKind::BurnOffOff,
        EventKind::Unload,
        EventKind::OperatorCheck,
    ]
}

impl App {
    /// The window with the events of one segment, while it is open.
    pub(super) fn events_editor(&mut self, ui: &mut Ui, plan: &Plan, actions: &mut Vec<Action>) {
        let open = self.view.profile.events;
        let mut segments = plan.profile.segments.iter().zip(1..);
        let Some((segment, number)) = segments.find(|(s, _)| Some(s.id) == open) else {
            self.view.profile.events = None;
            return;
        };
        let catalogue = &self.working.catalogue;
        let furnace = furnace(catalogue, plan);
        let typing = &mut self.view.typing;
        let mut changed = segment.clone();
        let mut close = false;
        Window::new(say::events_of(number))
            .id(egui::Id::unique("segment events"))
            .collapsible(false)
            .resizable(false)
            .anchor(Align2::CENTER_CENTER, [0.0, 0.0])
            .show(ui, |ui| {
                let (mut remove, mut earlier) = (None, None);
                for (i, event) in changed.events.iter_mut().enumerate() {
                    ui.horizontal(|ui| {
                        let key = format!("segment {} event {i}", segment.id.0);
                        row(
                            ui,
                            typing,
                            &key,
                            i + 1,
                            event,
                            (catalogue, furnace),
                            actions,
                        );
                        let button = |name: &str| (say::label(name), say::of_event(name, i + 1));
                        let (text, name) = button("Earlier");
                        let response = ui.add_enabled(i > 0, egui::Button::new(text));
                        if response.accessible_name(name).clicked() {
                            earlier = Some(i);
                        }
                        let (text, name) = button("Remove");
                        if ui.button(text).accessible_name(name).clicked() {
                            remove = Some(i);
                        }
                    });
                }
                if changed.events.is_empty() {
                    ui.label(say::label("There are no events yet."));
                }
                if let Some(i) = earlier {
                    changed.events.swap(i - 1, i);
                }
                if let Some(i) = remove {
                    changed.events.remove(i);
                }
                // Fields go by their place, so what is half typed belongs to nothing any more.
                if earlier.or(remove).is_some() {
                    typing
                        .retain(|key, _| !key.starts_with("segment ") || !key.contains(" event "));
                }
                ui.separator();
                ui.label(say::label("Add:"));
                ui.set_max_width(super::theme::SIDE * 2.0);
                ui.horizontal_wrapped(|ui| {
                    for kind in kinds(furnace) {
                        let text = kind_name(&kind);
                        let name = say::event_with(&say::label("Add"), &text);
                        if ui.button(text).accessible_name(name).clicked() {
                            let at_end =
                                matches!(kind, EventKind::Unload | EventKind::OperatorCheck);
                            let at = if at_end { EventAt::End } else { EventAt::Start };
                            changed.events.push(Event { at, kind });
                        }
                    }
                });
                ui.add_space(SPACE);
                close = ui.button(say::label("Close the events")).clicked();
            });
        if close {
            self.view.profile.events = None;
        }
        change(segment, changed, actions);
    }
}

/// One event: at which end, what, and its numbers.
fn row(
    ui: &mut Ui,
    typing: &mut BTreeMap<String, String>,
    key: &str,
    number: usize,
    event: &mut Event,
    (catalogue, furnace): (&Catalogue, Option<&Furnace>),
    actions: &mut Vec<Action>,
) {
    let width = super::theme::SIDE * 0.3;
    let sized = |ui: &mut Ui, add: &mut dyn FnMut(&mut Ui)| {
        ui.allocate_ui(egui::vec2(width, super::theme::TARGET), |ui| add(ui));
    };
    let ends = [EventAt::Start, EventAt::End].map(|end| (end, end_name(end)));
    let (now, text) = (event.at, end_name(event.at));
    let end = &mut event.at;
    sized(ui, &mut |ui| {
        let name = say::of_event("End", number);
        if let Some(at) = combo(ui, &format!("{key} at"), &name, &text, now, &ends) {
            *end = at;
        }
    });
    ui.label(kind_name(&event.kind));
    let mut field = |ui: &mut Ui, what: &str, quantity: Quantity, value: &mut f64| {
        let (key, name) = (format!("{key} {what}"), say::of_event(what, number));
        let field = Field {
            key: &key,
            name: &name,
            quantity,
            optional: false,
        };
        sized(ui, &mut |ui| {
            let now = Some(*value);
            let question: Question = match quantity {
                Quantity::Pressure => &pressure_question,
                _ => &no_question,
            };
            let typed = field.show(ui, typing, now, question, actions, &mut false);
            *value = typed.flatten().unwrap_or(*value);
        });
    };
    match &mut event.kind {
        EventKind::PurgeInert { volumes } => field(ui, "Volumes", Quantity::Number, volumes),
        EventKind::PumpDown { to_mbar } => field(ui, "Pressure", Quantity::Pressure, to_mbar),
        EventKind::Backfill { gas, to_mbar } => {
            field(ui, "Pressure", Quantity::Pressure, to_mbar);
            let name = say::of_event("Gas", number);
            let mut picked = None;
            sized(ui, &mut |ui| {
                let key = format!("{key} gas");
                picked = gas_combo(ui, &key, &name, Some(gas), catalogue, furnace, false).flatten();
            });
            if let Some(other) = picked {
                *gas = other;
            }
        }
        _ => {}
    }
}
