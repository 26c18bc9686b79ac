//! What is known of a furnace for the day of the run, field by field.

use super::checked::{
    Typing, a_day, any_words, checked_row, day_or_none, moment_or_day, names, not_negative,
    or_none, quantity, some_words, up_to, whole_or_none,
};
use super::lists::{button, sentence};
use super::shop_draft::{TYPING, drop_typed};
use crate::catalogue::{
    Calibration, CalibrationKind, Catalogue, Furnace, FurnaceState, GasOnHand, PastLoad,
    SensorState, Survey, SurveyPoint, THERMOCOUPLE_KINDS,
};
use crate::text::{app as words, cleared_board as board, shop_forms as say};
use crate::units::{Quantity, show};
use egui::{CollapsingHeader, Ui};

/// Drift since a survey, and overshoot, of a survey being typed, K: assumed until somebody knows
/// better, for none at all would be a perfect furnace.
const ASSUMED_DRIFT_K: f64 = 3.0;
const ASSUMED_OVERSHOOT_K: f64 = 2.0;
/// What a surveyed point starts with, K either way: the widest class of AMS 2750 that is usual for
/// sintering, 5 (assumed).
const UNREAD_K: f64 = 14.0;

/// Fields of a furnace's state.
pub(super) struct FurnaceForm<'a> {
    pub(super) typing: &'a mut Typing,
    pub(super) catalogue: &'a Catalogue,
    /// Slug of the furnace.
    pub(super) furnace: &'a str,
}

impl FurnaceForm<'_> {
    /// Everything, in sections.
    pub(super) fn show(&mut self, ui: &mut Ui, state: &mut FurnaceState) {
        self.trap(ui, state);
        self.leak(ui, state);
        self.gases(ui, state);
        section(ui, "Temperature uniformity survey", |ui| {
            self.survey_or_none(ui, state);
            let k = Quantity::TemperatureDifference;
            let what = ("Controller and recorder, ±", k, 1);
            self.not_below(ui, "", what, &mut state.instrument_k);
            let what = ("Spread without a survey, ±", k, 1);
            self.not_below(ui, "", what, &mut state.spread_k);
        });
        self.calibrations(ui, state);
        let catalogue = self.catalogue;
        let furnace = catalogue.furnace(self.furnace).cloned();
        if let Some(furnace) = furnace {
            self.sensors(ui, state, &furnace);
        }
    }

    fn id(&self, salt: &str, name: &str) -> String {
        format!("{TYPING}{} {salt} {name}", self.furnace)
    }

    fn read<T>(
        &mut self,
        ui: &mut Ui,
        salt: &str,
        (name, shown): (&str, &str),
        read: impl FnOnce(&str) -> Result<T, String>,
        to: &mut T,
    ) {
        let id = self.id(salt, name);
        if let Some(value) = checked_row(ui, self.typing, &id, name, shown, read) {
            *to = value;
        }
    }

    fn word(&mut self, ui: &mut Ui, salt: &str, name: &str, to: &mut Option<String>) {
        let shown = to.clone().unwrap_or_default();
        self.read(ui, salt, (name, &shown), any_words, to);
    }

    fn day(&mut self, ui: &mut Ui, salt: &str, name: &str, to: &mut Option<String>) {
        let shown = to.clone().unwrap_or_default();
        self.read(ui, salt, (name, &shown), day_or_none, to);
    }

    /// A day that is never left out.
    fn own_day(&mut self, ui: &mut Ui, salt: &str, name: &str, to: &mut String) {
        let shown = to.clone();
        self.read(ui, salt, (name, &shown), a_day, to);
    }

    fn count(&mut self, ui: &mut Ui, salt: &str, name: &str, to: &mut Option<u32>) {
        let shown = to.map_or_else(String::new, |n| n.to_string());
        self.read(ui, salt, (name, &shown), whole_or_none, to);
    }

    fn class(&mut self, ui: &mut Ui, salt: &str, (name, most): (&str, u8), to: &mut Option<u8>) {
        let shown = to.map_or_else(String::new, |n| n.to_string());
        self.read(ui, salt, (name, &shown), up_to(most), to);
    }

    fn number(
        &mut self,
        ui: &mut Ui,
        salt: &str,
        (name, of, digits): (&str, Quantity, usize),
        to: &mut Option<f64>,
    ) {
        let shown = to.map_or_else(String::new, |value| show(of, value, digits));
        self.read(ui, salt, (name, &shown), or_none(quantity(of)), to);
    }

    fn not_below(
        &mut self,
        ui: &mut Ui,
        salt: &str,
        (name, of, digits): (&str, Quantity, usize),
        to: &mut Option<f64>,
    ) {
        let shown = to.map_or_else(String::new, |value| show(of, value, digits));
        self.read(ui, salt, (name, &shown), or_none(not_negative(of)), to);
    }

    /// A figure that is never left out.
    fn figure(&mut self, ui: &mut Ui, salt: &str, what: (&str, Quantity, usize), to: &mut f64) {
        let shown = show(what.1, *to, what.2);
        self.read(ui, salt, (what.0, &shown), quantity(what.1), to);
    }

    /// The same, not below nought.
    fn amount(&mut self, ui: &mut Ui, salt: &str, what: (&str, Quantity, usize), to: &mut f64) {
        let shown = show(what.1, *to, what.2);
        self.read(ui, salt, (what.0, &shown), not_negative(what.1), to);
    }

    fn trap(&mut self, ui: &mut Ui, state: &mut FurnaceState) {
        section(ui, "Trap and last load", |ui| {
            let what = ("Trap holds", Quantity::Mass, 0);
            self.not_below(ui, "", what, &mut state.trap_fill_g);
            self.day(ui, "", "Trap emptied on", &mut state.trap_emptied);
            self.count(ui, "", "Runs since", &mut state.trap_runs);
            self.word(ui, "", "Alloy of the last load", &mut state.last_alloy);
            self.day(ui, "", "Cleaned up on", &mut state.cleaned_on);
            self.day(ui, "", "Repaired on", &mut state.repaired_on);
            self.past_loads(ui, state);
        });
    }

    /// The last loads, oldest first.
    fn past_loads(&mut self, ui: &mut Ui, state: &mut FurnaceState) {
        let mut gone = None;
        for (i, load) in state.loads.iter_mut().enumerate() {
            let salt = format!("load {i}");
            ui.strong(say::past_load(i + 1, &load.title));
            self.own_day(ui, &salt, "Ended on", &mut load.on);
            let shown = load.alloys.join(", ");
            self.read(ui, &salt, ("Its alloys", &shown), names, &mut load.alloys);
            let shown = load.binders.join(", ");
            self.read(ui, &salt, ("Its binders", &shown), names, &mut load.binders);
            let text = words::label("Remove the load");
            if button(ui, true, &text, &say::remove_load(i + 1)).clicked() {
                gone = Some(i);
            }
        }
        if let Some(i) = gone {
            state.loads.remove(i);
            drop_typed(self.typing);
        }
        let mut new = None;
        self.day(ui, "new", "Another load ended on", &mut new);
        state.loads.extend(new.map(|on| PastLoad {
            on,
            alloys: Vec::new(),
            binders: Vec::new(),
            title: String::new(),
        }));
    }

    fn leak(&mut self, ui: &mut Ui, state: &mut FurnaceState) {
        section(ui, "Leak and dew point", |ui| {
            let what = ("Leak-up rate, µmHg/h", Quantity::Number, 1);
            self.not_below(ui, "", what, &mut state.leak_um_h);
            self.day(ui, "", "Leak tested on", &mut state.leak_tested);
            let what = ("Dew point at the exhaust", Quantity::DewPoint, 0);
            self.number(ui, "", what, &mut state.exhaust_dew_point_c);
            let read = state.exhaust_dew_point_read.clone().unwrap_or_default();
            let name = ("Exhaust read, day hour:min", &*read);
            self.read(
                ui,
                "",
                name,
                moment_or_day,
                &mut state.exhaust_dew_point_read,
            );
        });
    }

    fn gases(&mut self, ui: &mut Ui, state: &mut FurnaceState) {
        use Quantity::{DewPoint, Number};
        section(ui, "Gas on hand", |ui| {
            for held in &mut state.gases {
                let salt = held.gas.clone();
                let known = self.catalogue.gas(&held.gas);
                ui.strong(known.map_or(held.gas.as_str(), |g| g.name.as_str()));
                let what = ("On hand, m³ at 25 °C", Number, 1);
                self.amount(ui, &salt, what, &mut held.m3_25c);
                let what = ("Kept for an emergency purge, m³", Number, 1);
                self.amount(ui, &salt, what, &mut held.reserve_m3_25c);
                let what = ("Dew point of the supply", DewPoint, 0);
                self.number(ui, &salt, what, &mut held.dew_point_c);
                let read = held.dew_point_read.clone().unwrap_or_default();
                let name = ("Dew point read, day hour:min", &*read);
                self.read(ui, &salt, name, moment_or_day, &mut held.dew_point_read);
            }
            let mut new = None;
            self.word(ui, "new", "Another gas", &mut new);
            state.gases.extend(new.map(|gas| GasOnHand {
                gas,
                m3_25c: 0.0,
                reserve_m3_25c: 0.0,
                dew_point_c: None,
                dew_point_read: None,
            }));
        });
    }

    fn survey_or_none(&mut self, ui: &mut Ui, state: &mut FurnaceState) {
        if let Some(survey) = &mut state.survey {
            self.survey(ui, survey);
            let text = words::label("Remove the survey");
            if button(ui, true, &text, &text).clicked() {
                state.survey = None;
                drop_typed(self.typing);
            }
            return;
        }
        sentence(ui, board::no_survey());
        let mut date = None;
        self.day(ui, "survey", "Surveyed on", &mut date);
        state.survey = date.map(|date| Survey {
            due: date.clone(),
            date,
            points: Vec::new(),
            drift_k: ASSUMED_DRIFT_K,
            overshoot_k: ASSUMED_OVERSHOOT_K,
            class: None,
            places: Vec::new(),
        });
    }

    fn survey(&mut self, ui: &mut Ui, survey: &mut Survey) {
        use Quantity::{Temperature, TemperatureDifference as Kelvin};
        let salt = "survey";
        self.own_day(ui, salt, "Surveyed on", &mut survey.date);
        self.own_day(ui, salt, "Holds until", &mut survey.due);
        let what = ("Furnace class (AMS 2750)", 6);
        self.class(ui, salt, what, &mut survey.class);
        let what = ("Drift since", Kelvin, 1);
        self.amount(ui, salt, what, &mut survey.drift_k);
        let what = ("Overshoot", Kelvin, 1);
        self.amount(ui, salt, what, &mut survey.overshoot_k);
        let mut gone = None;
        for (i, point) in survey.points.iter_mut().enumerate() {
            let salt = format!("survey point {i}");
            ui.strong(board::survey_point(i + 1));
            let what = ("Setpoint", Temperature, 0);
            self.figure(ui, &salt, what, &mut point.setpoint_c);
            let what = ("Coldest place", Kelvin, 1);
            self.figure(ui, &salt, what, &mut point.coldest_k);
            let what = ("Hottest place", Kelvin, 1);
            self.figure(ui, &salt, what, &mut point.hottest_k);
            let text = words::label("Remove the point");
            if button(ui, true, &text, &board::remove_point(i + 1)).clicked() {
                gone = Some(i);
            }
        }
        if let Some(i) = gone {
            survey.points.remove(i);
            drop_typed(self.typing);
        }
        let mut new = None;
        let what = ("Another setpoint", Temperature, 0);
        self.number(ui, "survey new", what, &mut new);
        sentence(ui, say::new_point_assumed(UNREAD_K));
        // Until somebody types what was read, as wide as the others, and never nothing.
        let widest = survey
            .points
            .iter()
            .fold(UNREAD_K, |most, p| most.max(p.hottest_k).max(-p.coldest_k));
        survey.points.extend(new.map(|setpoint_c| SurveyPoint {
            setpoint_c,
            hottest_k: widest,
            coldest_k: -widest,
        }));
        // While a setpoint is typed the order may be wrong for a moment.
        survey
            .points
            .sort_by(|a, b| a.setpoint_c.total_cmp(&b.setpoint_c));
        sentence(ui, say::places_elsewhere(survey.places.len()));
    }

    fn calibrations(&mut self, ui: &mut Ui, state: &mut FurnaceState) {
        section(ui, "Calibrations", |ui| {
            sentence(ui, board::last_days());
            for (i, item) in state.calibrations.iter_mut().enumerate() {
                let name = board::calibration(item.kind.word(), &item.what);
                self.due(ui, &format!("calibration {i}"), &name, &mut item.due);
                let name = say::done_on(&name);
                self.day(ui, &format!("done {i}"), &name, &mut item.done);
            }
            state.calibrations.retain(|c| !c.due.is_empty());
            for kind in CalibrationKind::ALL {
                if state.calibrations.iter().any(|c| c.kind == kind) {
                    continue;
                }
                let mut due = None;
                let name = board::calibration(kind.word(), "");
                self.day(ui, "calibration", &name, &mut due);
                state.calibrations.extend(due.map(|due| Calibration {
                    kind,
                    what: String::new(),
                    done: None,
                    due,
                }));
            }
            state.calibrations.sort_by_key(|c| c.kind);
            if !state.due.is_empty() {
                ui.strong(words::label("In the shop's own words"));
            }
            for (i, item) in state.due.iter_mut().enumerate() {
                let name = item.what.clone();
                self.due(ui, &format!("due {i}"), &name, &mut item.due);
            }
            state.due.retain(|d| !d.due.is_empty());
        });
    }

    /// A last day; without one the entry goes.
    fn due(&mut self, ui: &mut Ui, salt: &str, name: &str, to: &mut String) {
        let mut due = Some(to.clone());
        self.day(ui, salt, name, &mut due);
        *to = due.unwrap_or_default();
    }

    fn sensors(&mut self, ui: &mut Ui, state: &mut FurnaceState, furnace: &Furnace) {
        section(ui, "Thermocouples", |ui| {
            for slot in &furnace.sensors {
                let at = state.sensors.iter().position(|s| s.slot == slot.id);
                let mut sensor = at
                    .and_then(|i| state.sensors.get(i).cloned())
                    .unwrap_or_else(|| SensorState {
                        slot: slot.id.clone(),
                        kind: slot.kind.clone(),
                        ..SensorState::default()
                    });
                let before = sensor.clone();
                let slot = &slot.id;
                ui.strong(slot);
                let shown = sensor.kind.clone();
                self.read(ui, slot, ("Type in it", &shown), a_kind, &mut sensor.kind);
                let what = ("Tolerance class", 3);
                self.class(ui, slot, what, &mut sensor.class);
                self.day(ui, slot, "Put in on", &mut sensor.installed);
                self.count(ui, slot, "Runs with it", &mut sensor.uses);
                let above = &mut sensor.uses_above_980;
                self.count(ui, slot, "Of these above 980 °C", above);
                let what = ("Correction", Quantity::TemperatureDifference, 1);
                self.number(ui, slot, what, &mut sensor.correction_k);
                let shown = sensor.logger_kind.clone().unwrap_or_default();
                let name = "Controller set to type";
                let to = &mut sensor.logger_kind;
                self.read(ui, slot, (name, &shown), or_none(a_kind), to);
                if sensor != before {
                    state.sensors.retain(|s| s.slot != *slot);
                    state.sensors.push(sensor);
                    state.sensors.sort_by(|a, b| a.slot.cmp(&b.slot));
                }
            }
        });
    }
}

/// A type of thermocouple.
fn a_kind(text: &str) -> Result<String, String> {
    let kind = some_words(text)?.to_uppercase();
    match THERMOCOUPLE_KINDS.contains(&kind.as_str()) {
        true => Ok(kind),
        false => Err(say::not_a_kind(text, &THERMOCOUPLE_KINDS.join(", "))),
    }
}

pub(super) fn section(ui: &mut Ui, name: &str, show: impl FnOnce(&mut Ui)) {
    CollapsingHeader::new(words::label(name))
        .id_salt(("state", name))
        .show(ui, show);
}
