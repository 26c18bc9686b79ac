//! The segments as a table, every field of which can be typed into.

use super::fields::committed;
use super::profile_board::{caution, change, furnace, text_cell};
use super::profile_edits::{self as edits, Pace, Suspects};
use super::profile_events::in_few_words;
use super::state::{Action, App};
use super::theme::{SPACE, TARGET, Tokens};
use crate::catalogue::{Catalogue, Furnace};
use crate::load::Plan;
use crate::profile::{Curve, OnLeave, Profile, RampBy, Segment, WaitFor, WaitOn};
use crate::text::app as say;
use crate::units::{self, Quantity};
use egui::style::ScrollStyle;
use egui::{
    Align, Button, ComboBox, Id, Layout, Popup, PopupCloseBehavior, RichText, Role, ScrollArea,
    TextEdit, Ui, WidgetInfo,
};
use egui_extras::{Column, TableBuilder};
use std::collections::BTreeMap;

/// Most digits after the point in a field.
const DIGITS: usize = 4;
/// Band, K, and timeout, min, of a new wait (assumed).
const USUAL_BAND_K: f64 = 5.0;
const USUAL_TIMEOUT_MIN: f64 = 60.0;

/// Heading and width of each column, points.
const COLUMNS: [(&str, f32); 17] = [
    ("Segment", 60.0),
    ("Ramp", 100.0),
    ("Rate or time", 118.0),
    ("Target", 102.0),
    ("Hold", 96.0),
    ("Starts at", 104.0),
    ("Takes", 54.0),
    ("Elapsed", 60.0),
    ("Gas", 124.0),
    ("Flow", 84.0),
    ("Pressure", 112.0),
    ("Wait on", 112.0),
    ("Wait in", 104.0),
    ("Band", 66.0),
    ("Timeout", 84.0),
    ("Events", 220.0),
    ("Note", 200.0),
];

/// Columns of times by the program's clock.
const CLOCKED: [&str; 3] = ["Starts at", "Takes", "Elapsed"];

/// What all rows share.
struct Shared<'a> {
    catalogue: &'a Catalogue,
    furnace: Option<&'a Furnace>,
    suspects: Suspects,
    profile: &'a Profile,
    curve: Option<&'a Curve>,
    from_c: f64,
}

impl App {
    pub(super) fn segment_table(&mut self, ui: &mut Ui, plan: &Plan, actions: &mut Vec<Action>) {
        let profile = &plan.profile;
        let catalogue = &self.working.catalogue;
        let furnace = furnace(catalogue, plan);
        let feedstocks = edits::feedstocks(plan, catalogue);
        let curve = profile.curve(furnace.map(|f| f.ramp_max_k_min)).ok();
        let mut shared = Shared {
            catalogue,
            furnace,
            suspects: Suspects::of(plan, catalogue, &feedstocks),
            profile,
            curve: curve.as_ref(),
            from_c: profile.start_c,
        };
        let view = &mut self.view;
        let selected = profile
            .segments
            .iter()
            .position(|s| Some(s.id) == view.segment);
        let scroll = selected.filter(|_| view.segment != view.profile.scrolled_to);
        view.profile.scrolled_to = view.segment;
        let typing = &mut view.typing;
        let (mut select, mut open_events) = (None, None);
        // Columns out of sight are there to be found: the bar does not wait for the pointer.
        ui.spacing_mut().scroll = ScrollStyle::thin();
        ScrollArea::horizontal().auto_shrink(false).show(ui, |ui| {
            let mut table = TableBuilder::new(ui)
                .id_salt("segments")
                .striped(true)
                .animate_scrolling(false)
                .auto_shrink(false)
                .min_scrolled_height(2.0 * TARGET)
                .cell_layout(Layout::left_to_right(Align::Center));
            for (_, width) in COLUMNS {
                table = table.column(Column::exact(width).clip(true));
            }
            if let Some(row) = scroll {
                table = table.scroll_to_row(row, None);
            }
            let table = table.header(TARGET, |mut header| {
                for (name, _) in COLUMNS {
                    header.col(|ui| {
                        let head = ui.label(RichText::new(say::label(name)).strong());
                        if CLOCKED.contains(&name) {
                            head.on_hover_text(say::program_time());
                        }
                    });
                }
            });
            table.body(|mut body| {
                for (index, segment) in profile.segments.iter().enumerate() {
                    body.row(TARGET + SPACE / 2.0, |mut row| {
                        row.set_selected(selected == Some(index));
                        let mut cells = Cells {
                            typing: &mut *typing,
                            actions: &mut *actions,
                            shared: &shared,
                            index,
                            segment,
                            changed: segment.clone(),
                            touched: false,
                        };
                        row.col(|ui| cells.number(ui, selected == Some(index)));
                        row.col(|ui| cells.pace(ui));
                        row.col(|ui| cells.rate_or_time(ui));
                        row.col(|ui| cells.target(ui));
                        row.col(|ui| cells.hold(ui));
                        cells.computed(&mut row);
                        row.col(|ui| cells.gas(ui));
                        row.col(|ui| cells.flow(ui));
                        row.col(|ui| cells.pressure(ui));
                        row.col(|ui| cells.wait_on(ui));
                        row.col(|ui| cells.wait_in(ui));
                        row.col(|ui| cells.band(ui));
                        row.col(|ui| cells.timeout(ui));
                        row.col(|ui| {
                            if cells.events(ui) {
                                open_events = Some(segment.id);
                            }
                        });
                        row.col(|ui| cells.note(ui));
                        if cells.touched {
                            select = Some(segment.id);
                        }
                        let changed = cells.changed;
                        change(segment, changed, actions);
                    });
                    shared.from_c = segment.to_c;
                }
            });
        });
        view.segment = select.or(view.segment);
        if open_events.is_some() {
            view.profile.events = open_events;
        }
    }
}

/// Key under which what is typed into a field is kept.
fn key(index: usize, segment: &Segment, what: &str) -> String {
    format!("segment {index} {} {what}", segment.id.0)
}

/// A segment with what stands typed in the fields of its ramp, target and hold and is not an edit
/// yet; none where nothing is typed there that can be read.
pub(super) fn typed_segment(
    typing: &BTreeMap<String, String>,
    index: usize,
    segment: &Segment,
) -> Option<Segment> {
    if typing.is_empty() {
        return None;
    }
    let typed = |what: &str, quantity| {
        let text = typing.get(&key(index, segment, what))?;
        units::parse(quantity, text).ok()
    };
    let mut changed = segment.clone();
    let ramp = match segment.ramp {
        RampBy::Rate { .. } => {
            typed("Rate", Quantity::Rate).map(|k_min| changed.ramp = RampBy::Rate { k_min })
        }
        RampBy::Time { .. } => {
            typed("Ramp time", Quantity::Time).map(|min| changed.ramp = RampBy::Time { min })
        }
        RampBy::FullRate => None,
    };
    let target = typed("Target", Quantity::Temperature).map(|c| changed.to_c = c);
    let hold = typed("Hold", Quantity::Time).map(|min| changed.hold_min = min);
    ramp.or(target).or(hold).map(|()| changed)
}

/// One row while it is drawn.
struct Cells<'a> {
    typing: &'a mut BTreeMap<String, String>,
    actions: &'a mut Vec<Action>,
    shared: &'a Shared<'a>,
    index: usize,
    segment: &'a Segment,
    changed: Segment,
    /// A field of it has the focus, or its number was picked.
    touched: bool,
}

impl Cells<'_> {
    fn name(&self, what: &str) -> String {
        say::of_segment(&say::label(what), self.index + 1)
    }

    fn key(&self, what: &str) -> String {
        key(self.index, self.segment, what)
    }

    fn number(&mut self, ui: &mut Ui, selected: bool) {
        let number = self.index + 1;
        let size = ui.available_size();
        let response = ui.add_sized(size, Button::selectable(selected, format!("{number}")));
        let name = say::select_segment(number);
        response.widget_info(|| WidgetInfo::selected(Role::Button, true, selected, &name));
        self.touched |= response.clicked();
    }

    fn pace(&mut self, ui: &mut Ui) {
        let now = Pace::of(self.segment.ramp);
        let paces = Pace::ALL.map(|pace| (pace, pace.name()));
        let name = self.name("Ramp");
        if let Some(pace) = combo(ui, &self.key("ramp"), &name, &now.name(), now, &paces) {
            let by_k = self.segment.to_c - self.shared.from_c;
            let full_rate = self.shared.furnace.map(|f| f.ramp_max_k_min);
            self.changed.ramp = edits::paced(self.segment.ramp, by_k, pace, full_rate);
        }
    }

    fn rate_or_time(&mut self, ui: &mut Ui) {
        let suspects = &self.shared.suspects;
        let by_k = self.segment.to_c - self.shared.from_c;
        match self.segment.ramp {
            RampBy::Rate { k_min } => {
                let slip = |k_min: f64, _: Option<&str>| suspects.rate(k_min);
                if let Some(k_min) = self.quantity(ui, "Rate", Quantity::Rate, k_min, &slip) {
                    self.changed.ramp = RampBy::Rate { k_min };
                }
            }
            RampBy::Time { min } => {
                let slip = |min: f64, _: Option<&str>| suspects.time(by_k, min);
                if let Some(min) = self.quantity(ui, "Ramp time", Quantity::Time, min, &slip) {
                    self.changed.ramp = RampBy::Time { min };
                }
            }
            RampBy::FullRate if by_k < 0.0 => {
                let weak = Tokens::of(ui.ctx()).weak;
                let label = ui.label(RichText::new(say::label("cools by itself")).color(weak));
                label.on_hover_text(say::own_cooling());
            }
            RampBy::FullRate => {
                let rate = self
                    .shared
                    .furnace
                    .map(|f| shown(Quantity::Rate, f.ramp_max_k_min));
                let weak = Tokens::of(ui.ctx()).weak;
                ui.label(RichText::new(say::full_rate(rate.as_deref())).color(weak));
            }
        }
    }

    fn target(&mut self, ui: &mut Ui) {
        let suspects = &self.shared.suspects;
        let slip = |c: f64, typed: Option<&str>| suspects.target(c, typed);
        let value = self.segment.to_c;
        if let Some(c) = self.quantity(ui, "Target", Quantity::Temperature, value, &slip) {
            self.changed.to_c = c;
        }
    }

    fn hold(&mut self, ui: &mut Ui) {
        let value = self.segment.hold_min;
        let slip = &edits::hold_question;
        if let Some(min) = self.quantity(ui, "Hold", Quantity::Time, value, slip) {
            self.changed.hold_min = min;
        }
    }

    /// Where it starts, how long it takes and what has passed at its end.
    fn computed(&self, row: &mut egui_extras::TableRow<'_, '_>) {
        let points = self.shared.curve.map(Curve::points).unwrap_or_default();
        let at = |point: usize| points.get(point).map(|p| p.time_min);
        let (start, end) = (at(2 * self.index), at(2 * self.index + 2));
        let cools = |i| edits::cools_by_itself(self.shared.profile, i);
        let (cools_before, here) = ((0..self.index).any(cools), cools(self.index));
        let cools_here = cools_before || here;
        let from = shown(Quantity::Temperature, self.shared.from_c);
        let dash = || say::label("–");
        let starts = match start.filter(|_| !cools_before) {
            Some(start) => say::starts_at(&say::clock(start), &from),
            None => say::starts_at(&dash(), &from),
        };
        let takes = start.zip(end).map(|(start, end)| say::clock(end - start));
        let elapsed = end.map(say::clock);
        let cells = [
            (starts, cools_before),
            (takes.filter(|_| !here).unwrap_or_else(dash), here),
            (
                elapsed.filter(|_| !cools_here).unwrap_or_else(dash),
                cools_here,
            ),
        ];
        for (text, open) in cells {
            row.col(|ui| {
                let weak = Tokens::of(ui.ctx()).weak;
                let label = ui.label(RichText::new(text).color(weak));
                if open {
                    label.on_hover_text(say::own_cooling());
                }
            });
        }
    }

    fn gas(&mut self, ui: &mut Ui) {
        let name = self.name("Gas");
        let (key, gas) = (self.key("gas"), self.segment.gas.as_deref());
        let Shared {
            catalogue, furnace, ..
        } = self.shared;
        if let Some(gas) = gas_combo(ui, &key, &name, gas, catalogue, *furnace, true) {
            self.changed.gas = gas;
        }
    }

    fn flow(&mut self, ui: &mut Ui) {
        let value = self.segment.flow_l_min_25c;
        if let Some(flow) = self.quantity(ui, "Flow", Quantity::Flow, value, &no_question) {
            self.changed.flow_l_min_25c = flow;
        }
    }

    fn pressure(&mut self, ui: &mut Ui) {
        let value = self.segment.pressure_mbar;
        if let Some(mbar) = self.optional(ui, "Pressure", Quantity::Pressure, value) {
            self.changed.pressure_mbar = mbar;
        }
    }

    fn wait_on(&mut self, ui: &mut Ui) {
        let choices = [
            (None, say::label("nothing")),
            (Some(WaitFor::Control), say::label("control")),
            (Some(WaitFor::AnyLoad), say::label("any load")),
            (Some(WaitFor::AllLoad), say::label("all load")),
        ];
        let now = self.segment.wait_on.map(|w| w.on);
        let text = choices
            .iter()
            .find(|(of, _)| *of == now)
            .map(|(_, text)| text.clone());
        let (key, name) = (self.key("wait"), self.name("Wait on"));
        if let Some(on) = combo(ui, &key, &name, &text.unwrap_or_default(), now, &choices) {
            self.changed.wait_on = on.map(|on| match self.segment.wait_on {
                Some(wait) => WaitOn { on, ..wait },
                None => WaitOn {
                    on,
                    band_k: USUAL_BAND_K,
                    on_ramp: false,
                    on_hold: true,
                    on_leave: OnLeave::Pause,
                    timeout_min: Some(USUAL_TIMEOUT_MIN),
                },
            });
        }
    }

    /// In which phase it waits, and what the timer does on leaving the band.
    fn wait_in(&mut self, ui: &mut Ui) {
        let Some(mut wait) = self.segment.wait_on else {
            return;
        };
        let text = match (wait.on_ramp, wait.on_hold) {
            (true, true) => say::label("ramp, hold"),
            (true, false) => say::label("ramp"),
            (false, true) => say::label("hold"),
            (false, false) => say::label("nowhere"),
        };
        let button = ui.button(text);
        let name = self.name("Wait in");
        button.widget_info(|| WidgetInfo::labeled(Role::Button, true, &name));
        Popup::menu(&button)
            .close_behavior(PopupCloseBehavior::CloseOnClickOutside)
            .show(|ui| {
                ui.reset_style();
                ui.checkbox(
                    &mut wait.on_ramp,
                    say::label("The setpoint stops while out of band"),
                );
                ui.checkbox(
                    &mut wait.on_hold,
                    say::label("The hold's timer waits for the band"),
                );
                ui.label(say::label("When the band is left again, the timer"));
                ui.radio_value(
                    &mut wait.on_leave,
                    OnLeave::Pause,
                    say::label("stops and goes on"),
                );
                ui.radio_value(
                    &mut wait.on_leave,
                    OnLeave::Restart,
                    say::label("begins again"),
                );
            });
        // Another choice in this pass stays.
        if self.segment.wait_on != Some(wait) {
            self.changed.wait_on = Some(wait);
        }
    }

    fn band(&mut self, ui: &mut Ui) {
        let Some(wait) = self.segment.wait_on else {
            return;
        };
        let quantity = Quantity::TemperatureDifference;
        if let Some(band_k) = self.quantity(ui, "Band", quantity, wait.band_k, &no_question) {
            self.changed.wait_on = Some(WaitOn { band_k, ..wait });
        }
    }

    fn timeout(&mut self, ui: &mut Ui) {
        let Some(wait) = self.segment.wait_on else {
            return;
        };
        if let Some(timeout_min) = self.optional(ui, "Timeout", Quantity::Time, wait.timeout_min) {
            self.changed.wait_on = Some(WaitOn {
                timeout_min,
                ..wait
            });
        }
    }

    /// True when its events are to be opened.
    fn events(&mut self, ui: &mut Ui) -> bool {
        let text = in_few_words(&self.segment.events, self.shared.catalogue);
        let button = ui.add(Button::new(text.as_str()).truncate());
        let name = say::events_of(self.index + 1);
        button.widget_info(|| WidgetInfo::labeled(Role::Button, true, &name));
        button.on_hover_text(text).clicked()
    }

    fn note(&mut self, ui: &mut Ui) {
        let (key, name) = (self.key("note"), self.name("Note"));
        let width = ui.available_width();
        if let Some(note) = text_cell(ui, self.typing, &key, &name, &self.segment.note, width) {
            self.changed.note = note;
        }
    }

    fn quantity(
        &mut self,
        ui: &mut Ui,
        what: &str,
        quantity: Quantity,
        value: f64,
        slip: Question,
    ) -> Option<f64> {
        let (key, name) = (self.key(what), self.name(what));
        let field = Field {
            key: &key,
            name: &name,
            quantity,
            optional: false,
        };
        field
            .show(
                ui,
                self.typing,
                Some(value),
                slip,
                self.actions,
                &mut self.touched,
            )
            .flatten()
    }

    /// An empty field is none.
    fn optional(
        &mut self,
        ui: &mut Ui,
        what: &str,
        quantity: Quantity,
        value: Option<f64>,
    ) -> Option<Option<f64>> {
        let (key, name) = (self.key(what), self.name(what));
        let question: Question = match quantity {
            Quantity::Pressure => &edits::pressure_question,
            _ => &no_question,
        };
        let field = Field {
            key: &key,
            name: &name,
            quantity,
            optional: true,
        };
        field.show(
            ui,
            self.typing,
            value,
            question,
            self.actions,
            &mut self.touched,
        )
    }
}

/// A quantity with as many digits as it needs.
pub(super) fn shown(quantity: Quantity, value: f64) -> String {
    let says_all = |digits: &usize| {
        let scale = 10f64.powi(i32::try_from(*digits).unwrap_or(0));
        ((value * scale).round() / scale - value).abs() <= 1e-9 * value.abs()
    };
    let digits = (0..DIGITS).find(says_all).unwrap_or(DIGITS);
    units::show(quantity, value, if value.is_finite() { digits } else { 0 })
}

/// What to ask about a value and the text that it was typed as.
pub(super) type Question<'a> = &'a dyn Fn(f64, Option<&str>) -> Option<String>;

/// Nothing to ask.
pub(super) fn no_question(_: f64, _: Option<&str>) -> Option<String> {
    None
}

/// A field of the table for a quantity.
pub(super) struct Field<'a> {
    pub key: &'a str,
    pub name: &'a str,
    pub quantity: Quantity,
    /// Whether it may be empty.
    pub optional: bool,
}

impl Field<'_> {
    /// Some on commit. What looks typed in another unit is asked about while it is typed; it can
    /// be committed all the same.
    pub fn show(
        &self,
        ui: &mut Ui,
        typing: &mut BTreeMap<String, String>,
        value: Option<f64>,
        slip: Question,
        actions: &mut Vec<Action>,
        touched: &mut bool,
    ) -> Option<Option<f64>> {
        let (typed, shown) = (typing.get(self.key), value.map(|v| shown(self.quantity, v)));
        let typed_value = typed.map(|text| units::parse(self.quantity, text).ok());
        let read = typed_value.unwrap_or(value);
        let question = read.and_then(|value| slip(value, typed.map(String::as_str)));
        // What was typed in another unit is read back in the document's.
        let back = typed.zip(read).and_then(|(text, value)| {
            let plain = units::parse(Quantity::Number, text).ok() == Some(value);
            let in_unit = text.trim().ends_with(self.quantity.unit());
            (!plain && !in_unit).then(|| say::read_back(&self::shown(self.quantity, value)))
        });
        let being_typed = typed.is_some();
        let mut text = typed.cloned().or(shown).unwrap_or_default();
        let mark = if question.is_some() { TARGET } else { 0.0 };
        let width = (ui.available_width() - mark).max(TARGET);
        // The margin lies inside the width asked for.
        let edit = TextEdit::singleline(&mut text)
            .id(Id::unique(self.key))
            .align(egui::Align2::LEFT_CENTER)
            .desired_width(width - 2.0 * SPACE);
        let response = ui.add(edit).accessible_name(self.name);
        if let Some(words) = &question {
            caution(ui, words);
        }
        if being_typed && response.has_focus() && (question.is_some() || back.is_some()) {
            let words: Vec<&str> = back.iter().chain(&question).map(String::as_str).collect();
            Popup::from_response(&response)
                .open(true)
                .close_behavior(PopupCloseBehavior::IgnoreClicks)
                .accessible_name(words.join(" "))
                .show(|ui| {
                    if let Some(back) = &back {
                        ui.label(back);
                    }
                    if let Some(words) = &question {
                        ui.label(RichText::new(words).color(Tokens::of(ui.ctx()).caution));
                    }
                });
        }
        *touched |= response.gained_focus();
        let typed = committed(ui, typing, self.key, &response, text)?;
        let value = if self.optional && typed.trim().is_empty() {
            None
        } else {
            match units::parse(self.quantity, &typed) {
                Ok(value) => Some(value),
                Err(fault) => {
                    actions.push(Action::Say(fault.to_string()));
                    return None;
                }
            }
        };
        typing.remove(self.key);
        Some(value)
    }
}

/// A choice. Some when another was made.
pub(super) fn combo<T: Copy + PartialEq>(
    ui: &mut Ui,
    key: &str,
    name: &str,
    text: &str,
    now: T,
    choices: &[(T, String)],
) -> Option<T> {
    let mut picked = now;
    ComboBox::from_id_salt(key)
        .width(ui.available_width())
        .truncate()
        .selected_text(text)
        .show_ui(ui, |ui| {
            for (choice, text) in choices {
                ui.selectable_value(&mut picked, *choice, text);
            }
        })
        .response
        .accessible_name(name);
    (picked != now).then_some(picked)
}

/// A choice among the furnace's gases and those it does not have; vacuum where it is allowed.
pub(super) fn gas_combo(
    ui: &mut Ui,
    key: &str,
    name: &str,
    now: Option<&str>,
    catalogue: &Catalogue,
    furnace: Option<&Furnace>,
    vacuum: bool,
) -> Option<Option<String>> {
    let here: Vec<&str> = furnace
        .iter()
        .flat_map(|f| &f.gases)
        .map(String::as_str)
        .collect();
    let elsewhere = catalogue
        .gases
        .keys()
        .map(String::as_str)
        .filter(|id| !here.contains(id));
    let mut choices: Vec<(Option<&str>, String)> = Vec::new();
    if vacuum {
        choices.push((None, say::label("vacuum")));
    }
    choices.extend(here.iter().map(|id| (Some(*id), gas_name(id, catalogue))));
    choices.extend(elsewhere.map(|id| (Some(id), say::gas_elsewhere(&gas_name(id, catalogue)))));
    let text = now.map_or_else(|| say::label("vacuum"), |id| gas_name(id, catalogue));
    combo(ui, key, name, &text, now, &choices).map(|gas| gas.map(str::to_owned))
}

/// Name of a gas; its slug where it is unknown.
pub(super) fn gas_name(id: &str, catalogue: &Catalogue) -> String {
    catalogue.gas(id).map_or(id, |gas| &gas.name).to_owned()
}
