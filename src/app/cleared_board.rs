//! Lots cleared to load, and what is known of the furnace for the day of the run.

use super::commands::Command;
use super::lists::{
    button, choice, filled_in, list_row, quantity_row, sentence, text_row, wrapped,
};
use super::state::{Action, App, Results};
use super::theme::{self, Tokens};
use crate::catalogue::{
    Calibration, CalibrationKind, FurnaceState, GasOnHand, Procedure, SensorState, Severity,
    ShopState, Survey, SurveyPoint,
};
use crate::files::{LotsTable, ShopChange, read_lots};
use crate::load::{Bath, Edit, Lot, LotId, Plan};
use crate::review::{Family, Review, Subject, check_by_slug};
use crate::text::findings::title;
use crate::text::{app as words, cleared_board as say, lots_table};
use crate::units::Quantity;
use egui::{CollapsingHeader, Panel, RichText, ScrollArea, TextEdit, Ui};
use std::collections::BTreeMap;
use std::sync::Arc;

/// What the board shows and what is being typed in it.
#[derive(Clone, Debug, Default)]
pub struct ClearedView {
    /// Cells pasted or scanned and not yet taken.
    pub pasted: String,
    /// What was not taken of the last table.
    pub told: Vec<String>,
    /// The furnace's state as changed here and not yet kept.
    draft: Option<Draft>,
}

#[derive(Clone, Debug)]
struct Draft {
    of: Option<Arc<ShopState>>,
    state: ShopState,
}

/// Drift since a survey, and overshoot, of a survey being typed, K: assumed until somebody knows
/// better, for none at all would be a perfect furnace.
const ASSUMED_DRIFT_K: f64 = 3.0;
const ASSUMED_OVERSHOOT_K: f64 = 2.0;

/// Whether a lot may go into the furnace, as far as the review can tell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Clearance {
    /// Nothing stands against it.
    Cleared,
    /// No stop, but this is to be looked at.
    ToLookAt(Vec<String>),
    /// What stands against it.
    NotCleared(Vec<String>),
    /// Nothing stands against it, but this could not be judged.
    NotEvaluated(Vec<String>),
}

/// What the review says of a lot by itself.
pub fn clearance(review: &Review, plan: &Plan, lot: LotId) -> Clearance {
    let about = |subjects: &[Subject]| subjects.contains(&Subject::Lot(lot));
    let of_lots = |slug: &str| {
        check_by_slug(slug).is_some_and(|c| matches!(c.family, Family::Debind | Family::Records))
    };
    let found = |severity: Severity| -> Vec<String> {
        let open = review.findings.iter().filter(|f| f.accepted.is_none());
        open.filter(|f| f.severity == severity && about(&f.subjects))
            .map(|f| title(f.check))
            .collect()
    };
    let against = found(Severity::Stop);
    if !against.is_empty() {
        return Clearance::NotCleared(against);
    }
    let mut open: Vec<String> = review
        .missing
        .iter()
        .filter(|m| about(&m.subjects) && of_lots(m.check))
        .map(|m| m.what.clone())
        .collect();
    open.dedup();
    if !plan.placements().any(|(_, p)| p.item.lot() == Some(lot)) {
        // The checks go by what stands in the load.
        open.push(say::nothing_placed_yet());
    }
    if !open.is_empty() {
        return Clearance::NotEvaluated(open);
    }
    match found(Severity::Caution) {
        cautions if cautions.is_empty() => Clearance::Cleared,
        cautions => Clearance::ToLookAt(cautions),
    }
}

impl App {
    pub(super) fn cleared_board(&mut self, ui: &mut Ui, actions: &mut Vec<Action>) {
        let Some(results) = self.results.take() else {
            return;
        };
        Panel::right("furnace state")
            .resizable(true)
            .default_size(theme::SIDE * 1.6)
            .show(ui, |ui| {
                ScrollArea::vertical()
                    .id_salt("furnace state")
                    .auto_shrink([false, false])
                    .show(ui, |ui| self.furnace_state(ui, actions));
            });
        ScrollArea::vertical()
            .id_salt("cleared lots")
            .auto_shrink([false, false])
            .show(ui, |ui| {
                // Fields end short of the line beside them.
                ui.set_max_width(ui.available_width() - theme::SPACE);
                ui.heading(words::label("Lots"));
                self.lot_table(ui, &results, actions);
                ui.separator();
                self.lots_pasted(ui, &results, actions);
            });
        self.results = Some(results);
    }

    fn lot_table(&mut self, ui: &mut Ui, results: &Results, actions: &mut Vec<Action>) {
        let tokens = Tokens::of(ui.ctx());
        if results.plan.lots.is_empty() {
            sentence(ui, say::no_lot());
        }
        for lot in &results.plan.lots {
            let part = results.plan.part(lot.part).map_or("", |p| &p.name);
            let clearance = clearance(&results.review, &results.plan, lot.id);
            let (state, colour) = match &clearance {
                Clearance::Cleared => (say::cleared(), tokens.text),
                Clearance::ToLookAt(what) => (say::to_look_at(what), tokens.caution),
                Clearance::NotCleared(why) => (say::not_cleared(why), tokens.stop),
                Clearance::NotEvaluated(what) => (say::not_evaluated(what.len()), tokens.caution),
            };
            let chosen = self.view.lists.lot == Some(lot.id);
            let name = say::lot_row(&lot.name, part, lot.count);
            if list_row(ui, chosen, &name).clicked() {
                self.view.lists.lot = (!chosen).then_some(lot.id);
            }
            sentence(ui, RichText::new(state).color(colour));
            if chosen {
                ui.indent(("cleared", lot.id.0), |ui| {
                    if let Clearance::NotEvaluated(what) = &clearance {
                        for what in what {
                            sentence(ui, RichText::new(say::missing(what)).color(tokens.weak));
                        }
                    }
                    self.lot_fields(ui, lot, actions);
                });
            }
        }
    }

    /// All that is known of a lot's way here.
    fn lot_fields(&mut self, ui: &mut Ui, lot: &Lot, actions: &mut Vec<Action>) {
        let balances: Vec<String> = self
            .working
            .shop
            .iter()
            .flat_map(|s| s.balances.iter().map(|b| b.id.clone()))
            .collect();
        let typing = &mut self.view.typing;
        let mut changed = lot.clone();
        let mut said = Vec::new();
        let id = lot.id.0;
        type Word = fn(&mut Lot) -> &mut Option<String>;
        type Number = fn(&mut Lot) -> &mut Option<f64>;
        enum Field {
            Word(&'static str, Word),
            Number(&'static str, Quantity, usize, Number),
        }
        use Field::{Number as N, Word as W};
        let fields = [
            W("Lot number of the feedstock", |l| &mut l.feedstock_lot),
            W("Feedstock may be used until", |l| &mut l.feedstock_expires),
            W("Certificate of the feedstock", |l| &mut l.certificate),
            N("Green mass", Quantity::Mass, 2, |l| &mut l.green_g),
            W("Green weighed at", |l| &mut l.green_at),
            W("Solvent", |l| &mut bath(l).solvent),
            W("Bath", |l| &mut bath(l).bath_id),
            N("Bath temperature", Quantity::Temperature, 0, |l| {
                &mut bath(l).temp_c
            }),
            N("Time in the bath", Quantity::Time, 0, |l| {
                &mut bath(l).minutes
            }),
            N("Wax in the bath, g/L", Quantity::Number, 1, |l| {
                &mut bath(l).wax_g_l
            }),
            W("Basket", |l| &mut bath(l).basket),
            W("Bath ended at", |l| &mut bath(l).ended),
            W("Solvent may be used until", |l| &mut bath(l).expires),
            N("In the dryer", Quantity::Time, 0, |l| &mut l.dried_min),
            N("Dryer temperature", Quantity::Temperature, 0, |l| {
                &mut l.dryer_c
            }),
            N("Dry mass before", Quantity::Mass, 2, |l| {
                &mut l.previous_dry_g
            }),
            W("Dry before weighed at", |l| &mut l.previous_dry_at),
            N("Dry mass", Quantity::Mass, 2, |l| &mut l.dry_g),
            W("Dry weighed at", |l| &mut l.dry_at),
        ];
        for field in fields {
            match field {
                W(name, at) => {
                    let now = at(&mut changed).clone().unwrap_or_default();
                    let key = format!("cleared {name} of {id}");
                    if let Some(typed) = text_row(ui, typing, &key, name, &now) {
                        *at(&mut changed) = filled_in(&typed);
                    }
                }
                N(name, quantity, digits, at) => {
                    let now = *at(&mut changed);
                    let key = format!("cleared {name} of {id}");
                    match quantity_row(ui, typing, &key, name, (quantity, now, digits)) {
                        Some(Ok(value)) => *at(&mut changed) = value,
                        Some(Err(why)) => said.push(Action::Say(why)),
                        None => {}
                    }
                }
            }
        }
        type Answer = fn(&mut Lot) -> &mut Option<bool>;
        let answers: [(&str, Answer); 3] = [
            ("Laid on a tray in the bath", |l| &mut bath(l).on_tray),
            ("Dryer ventilated", |l| &mut l.dryer_ventilated),
            ("Acid purged out", |l| &mut l.acid_purged),
        ];
        for (name, at) in answers {
            let now = *at(&mut changed);
            if let Some(picked) = yes_no(ui, (name, id), name, now) {
                *at(&mut changed) = picked;
            }
        }
        if !balances.is_empty() {
            let now = changed.balance.clone();
            let shown = now.clone().unwrap_or_else(|| words::label("not stated"));
            let all = balances.into_iter().map(|b| (Some(b.clone()), b));
            if let Some(picked) = choice(ui, ("balance", id), "Balance", &shown, all, &now) {
                changed.balance = picked;
            }
        }
        if changed.bath.as_ref().is_some_and(|b| *b == Bath::default()) {
            changed.bath = None;
        }
        if changed != *lot {
            actions.push(Action::Edit(Edit::ChangeLot(changed)));
        }
        actions.append(&mut said);
    }

    /// Cells from a spreadsheet, or a scanner that types.
    fn lots_pasted(&mut self, ui: &mut Ui, results: &Results, actions: &mut Vec<Action>) {
        ui.strong(words::label("From a table"));
        sentence(ui, say::paste_here());
        let view = &mut self.view.cleared;
        let name = ui.label(words::label("Cells"));
        ScrollArea::vertical()
            .id_salt("cells")
            .max_height(theme::SIDE * 0.5)
            .show(ui, |ui| {
                ui.add(
                    TextEdit::multiline(&mut view.pasted)
                        .desired_width(f32::INFINITY)
                        .hint_text(say::paste_hint())
                        .code_editor(),
                )
                .labelled_by(name.id);
            });
        let mut take = None;
        wrapped(ui, |ui| {
            let some = !view.pasted.trim().is_empty();
            let text = words::label("Take the lots");
            if button(ui, some, &text, &text).clicked() {
                take = Some(view.pasted.clone());
            }
        });
        for told in &view.told {
            sentence(ui, told);
        }
        self.tool_button(ui, Command::LotsFile, actions);
        if let Some(text) = take {
            self.take_lots(&text, &results.plan, actions);
        }
    }

    /// Lots of a table, as one step; what was not taken stays in sight.
    pub(super) fn take_lots(&mut self, text: &str, plan: &Plan, actions: &mut Vec<Action>) {
        let view = &mut self.view.cleared;
        match read_lots(text, plan) {
            Err(why) => view.told = vec![why],
            Ok(LotsTable { lots, faults }) => {
                let new = lots.iter().filter(|l| l.id == LotId(0)).count();
                view.told = vec![lots_table::taken(new, lots.len() - new, faults.len())];
                let rows = faults.iter().map(|f| lots_table::row(f.row, &f.sentence));
                view.told.extend(rows);
                if faults.is_empty() {
                    view.pasted.clear();
                }
                if !lots.is_empty() {
                    let label = crate::text::edits::take_lots(lots.len());
                    let mut next = self.doc.history.next_id();
                    let edits = lots.into_iter().map(|mut lot| match lot.id {
                        LotId(0) => {
                            lot.id = LotId(next);
                            next = next.saturating_add(1);
                            Edit::AddLot(lot)
                        }
                        _ => Edit::ChangeLot(lot),
                    });
                    let edits = edits.collect();
                    actions.push(Action::Edit(Edit::Several { label, edits }));
                }
            }
        }
    }

    fn furnace_state(&mut self, ui: &mut Ui, actions: &mut Vec<Action>) {
        let tokens = Tokens::of(ui.ctx());
        ui.heading(words::label("Furnace"));
        let id = self.doc.plan().load.furnace.clone();
        let catalogue = Arc::clone(&self.working.catalogue);
        let furnace = catalogue.furnace(&id);
        ui.strong(furnace.map_or(id.as_str(), |f| f.name.as_str()));
        let Some(shop) = self.working.shop.clone().filter(|_| self.shop.is_some()) else {
            sentence(ui, say::no_shop_folder());
            self.tool_button(ui, Command::ShopFolder, actions);
            return;
        };
        let same = |d: &Draft| d.of.as_ref().is_some_and(|of| **of == *shop);
        let mut draft = self
            .view
            .cleared
            .draft
            .take()
            .filter(same)
            .unwrap_or_else(|| Draft {
                of: Some(Arc::clone(&shop)),
                state: shop.as_ref().clone(),
            });
        // Above the form, which is longer than the window is high.
        let changed = draft.state != *shop;
        if changed {
            sentence(ui, RichText::new(say::not_kept()).color(tokens.caution));
        }
        wrapped(ui, |ui| {
            let text = words::label("Keep the furnace's state");
            if button(ui, changed, &text, &text).clicked() {
                let state = Box::new(draft.state.clone());
                actions.push(Action::Shop(ShopChange::State(state)));
            }
            let text = words::label("Drop the changes");
            if button(ui, changed, &text, &text).clicked() {
                draft.state = shop.as_ref().clone();
            }
        });
        ui.checkbox(&mut draft.state.regulated, words::label("Regulated work"))
            .on_hover_text(say::regulated_hint());
        let at = match draft.state.furnaces.iter().position(|f| f.furnace == id) {
            Some(at) => at,
            None => {
                draft.state.furnaces.push(FurnaceState::new(&id));
                draft.state.furnaces.len() - 1
            }
        };
        let mut said = Vec::new();
        if let Some(state) = draft.state.furnaces.get_mut(at) {
            let mut form = StateForm {
                typing: &mut self.view.typing,
                said: &mut said,
            };
            form.show(ui, state, |gas| {
                catalogue
                    .gases
                    .get(gas)
                    .map_or_else(|| gas.to_owned(), |g| g.1.name.clone())
            });
            let slots: Vec<(String, String)> = furnace
                .iter()
                .flat_map(|f| f.sensors.iter().map(|s| (s.id.clone(), s.kind.clone())))
                .collect();
            form.sensors(ui, state, &slots);
        }
        // A furnace of which nothing was said is not noted.
        draft
            .state
            .furnaces
            .retain(|f| *f != FurnaceState::new(&f.furnace));
        actions.extend(said.into_iter().map(Action::Say));
        self.view.cleared.draft = Some(draft);
    }
}

fn bath(lot: &mut Lot) -> &mut Bath {
    lot.bath.get_or_insert_with(Bath::default)
}

fn yes_no(ui: &mut Ui, salt: (&str, u32), name: &str, now: Option<bool>) -> Option<Option<bool>> {
    let word = |answer: Option<bool>| {
        words::label(match answer {
            None => "not stated",
            Some(true) => "yes",
            Some(false) => "no",
        })
    };
    let all = [None, Some(true), Some(false)].map(|a| (a, word(a)));
    choice(ui, salt, name, &word(now), all, &now)
}

/// Fields of a furnace's state; what is refused is said.
struct StateForm<'a> {
    typing: &'a mut BTreeMap<String, String>,
    said: &'a mut Vec<String>,
}

impl StateForm<'_> {
    fn word(&mut self, ui: &mut Ui, salt: &str, name: &str, to: &mut Option<String>) {
        let key = format!("state {salt} {name}");
        let now = to.clone().unwrap_or_default();
        if let Some(typed) = text_row(ui, self.typing, &key, name, &now) {
            *to = filled_in(&typed);
        }
    }

    fn text(&mut self, ui: &mut Ui, salt: &str, name: &str, to: &mut String) {
        let mut value = filled_in(to);
        self.word(ui, salt, name, &mut value);
        *to = value.unwrap_or_default();
    }

    fn number(
        &mut self,
        ui: &mut Ui,
        salt: &str,
        (name, quantity, digits): (&str, Quantity, usize),
        to: &mut Option<f64>,
    ) {
        let key = format!("state {salt} {name}");
        match quantity_row(ui, self.typing, &key, name, (quantity, *to, digits)) {
            Some(Ok(value)) => *to = value,
            Some(Err(why)) => self.said.push(why),
            None => {}
        }
    }

    /// A figure that is never left out: an empty field keeps it.
    fn figure(&mut self, ui: &mut Ui, salt: &str, what: (&str, Quantity, usize), to: &mut f64) {
        let mut value = Some(*to);
        self.number(ui, salt, what, &mut value);
        *to = value.unwrap_or(*to);
    }

    fn count(&mut self, ui: &mut Ui, salt: &str, name: &str, to: &mut Option<u32>) {
        let key = format!("state {salt} {name}");
        let now = to.map_or_else(String::new, |n| n.to_string());
        match text_row(ui, self.typing, &key, name, &now)
            .as_deref()
            .map(str::trim)
        {
            Some("") => *to = None,
            Some(typed) => match typed.parse() {
                Ok(n) => *to = Some(n),
                Err(_) => self.said.push(words::not_a_count(typed)),
            },
            None => {}
        }
    }

    fn show(&mut self, ui: &mut Ui, state: &mut FurnaceState, gas: impl Fn(&str) -> String) {
        use Quantity::{DewPoint, Mass, Number, TemperatureDifference};
        section(ui, "Trap and last load", |ui| {
            self.number(ui, "", ("Trap holds", Mass, 0), &mut state.trap_fill_g);
            self.word(ui, "", "Trap emptied on", &mut state.trap_emptied);
            self.count(ui, "", "Runs since", &mut state.trap_runs);
            self.word(ui, "", "Alloy of the last load", &mut state.last_alloy);
            self.word(ui, "", "Cleaned up on", &mut state.cleaned_on);
            self.word(ui, "", "Repaired on", &mut state.repaired_on);
        });
        section(ui, "Leak and dew point", |ui| {
            self.number(
                ui,
                "",
                ("Leak-up rate, µmHg/h", Number, 1),
                &mut state.leak_um_h,
            );
            self.word(ui, "", "Leak tested on", &mut state.leak_tested);
            let dew = &mut state.exhaust_dew_point_c;
            self.number(ui, "", ("Dew point at the exhaust", DewPoint, 0), dew);
            self.word(ui, "", "Exhaust read on", &mut state.exhaust_dew_point_read);
        });
        section(ui, "Gas on hand", |ui| {
            for held in &mut state.gases {
                let salt = held.gas.clone();
                ui.strong(gas(&held.gas));
                let what = ("On hand, m³ at 25 °C", Number, 1);
                self.figure(ui, &salt, what, &mut held.m3_25c);
                let what = ("Kept for an emergency purge, m³", Number, 1);
                self.figure(ui, &salt, what, &mut held.reserve_m3_25c);
                let what = ("Dew point of the supply", DewPoint, 0);
                self.number(ui, &salt, what, &mut held.dew_point_c);
                self.word(ui, &salt, "Dew point read on", &mut held.dew_point_read);
            }
            let mut new = None;
            self.word(ui, "new", "Another gas", &mut new);
            if let Some(gas) = new {
                state.gases.push(GasOnHand {
                    gas,
                    m3_25c: 0.0,
                    reserve_m3_25c: 0.0,
                    dew_point_c: None,
                    dew_point_read: None,
                });
            }
        });
        section(ui, "Temperature uniformity survey", |ui| {
            let k = TemperatureDifference;
            match &mut state.survey {
                Some(survey) => self.survey(ui, survey),
                None => {
                    sentence(ui, say::no_survey());
                    let mut date = None;
                    self.word(ui, "survey", "Surveyed on", &mut date);
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
            }
            self.number(
                ui,
                "",
                ("Controller and recorder, ±", k, 1),
                &mut state.instrument_k,
            );
            self.number(
                ui,
                "",
                ("Spread without a survey, ±", k, 1),
                &mut state.spread_k,
            );
        });
        section(ui, "Calibrations", |ui| {
            sentence(ui, say::last_days());
            for (i, item) in state.calibrations.iter_mut().enumerate() {
                let name = say::calibration(item.kind.word(), &item.what);
                self.text(ui, &format!("calibration {i}"), &name, &mut item.due);
            }
            state.calibrations.retain(|c| !c.due.is_empty());
            for kind in CalibrationKind::ALL {
                if state.calibrations.iter().any(|c| c.kind == kind) {
                    continue;
                }
                let mut due = None;
                let name = say::calibration(kind.word(), "");
                self.word(ui, "calibration", &name, &mut due);
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
                self.text(ui, &format!("due {i}"), &name, &mut item.due);
            }
        });
        section(ui, "Written procedures", |ui| {
            for (i, procedure) in state.procedures.iter_mut().enumerate() {
                let salt = format!("procedure {i}");
                self.text(ui, &salt, "Procedure", &mut procedure.name);
                self.text(ui, &salt, "Its revision", &mut procedure.revision);
                let mut covers = procedure.covers.join(", ");
                self.text(ui, &salt, "Covers the checks", &mut covers);
                procedure.covers = covers.split(',').filter_map(filled_in).collect();
            }
            state.procedures.retain(|p| !p.name.is_empty());
            let mut new = None;
            self.word(ui, "new", "Another procedure", &mut new);
            state.procedures.extend(new.map(|name| Procedure {
                name,
                revision: "1".to_owned(),
                covers: Vec::new(),
            }));
        });
    }

    fn survey(&mut self, ui: &mut Ui, survey: &mut Survey) {
        use Quantity::{Temperature, TemperatureDifference as Kelvin};
        self.text(ui, "survey", "Surveyed on", &mut survey.date);
        self.text(ui, "survey", "Holds until", &mut survey.due);
        let mut class = survey.class.map(u32::from);
        self.count(ui, "survey", "Furnace class (AMS 2750)", &mut class);
        survey.class = class.and_then(|c| u8::try_from(c).ok());
        self.figure(
            ui,
            "survey",
            ("Drift since", Kelvin, 1),
            &mut survey.drift_k,
        );
        self.figure(
            ui,
            "survey",
            ("Overshoot", Kelvin, 1),
            &mut survey.overshoot_k,
        );
        let mut gone = None;
        for (i, point) in survey.points.iter_mut().enumerate() {
            let salt = format!("survey point {i}");
            ui.strong(say::survey_point(i + 1));
            self.figure(
                ui,
                &salt,
                ("Setpoint", Temperature, 0),
                &mut point.setpoint_c,
            );
            self.figure(
                ui,
                &salt,
                ("Coldest place", Kelvin, 1),
                &mut point.coldest_k,
            );
            self.figure(
                ui,
                &salt,
                ("Hottest place", Kelvin, 1),
                &mut point.hottest_k,
            );
            let text = words::label("Remove the point");
            if button(ui, true, &text, &say::remove_point(i + 1)).clicked() {
                gone = Some(i);
            }
        }
        if let Some(i) = gone {
            survey.points.remove(i);
        }
        let mut new = None;
        let what = ("Another setpoint", Temperature, 0);
        self.number(ui, "survey new", what, &mut new);
        survey.points.extend(new.map(|setpoint_c| SurveyPoint {
            setpoint_c,
            hottest_k: 0.0,
            coldest_k: 0.0,
        }));
        // While a setpoint is typed the order may be wrong for a moment.
        survey
            .points
            .sort_by(|a, b| a.setpoint_c.total_cmp(&b.setpoint_c));
    }

    fn sensors(&mut self, ui: &mut Ui, state: &mut FurnaceState, slots: &[(String, String)]) {
        section(ui, "Thermocouples", |ui| {
            for (slot, kind) in slots {
                let at = state.sensors.iter().position(|s| s.slot == *slot);
                let mut sensor = at
                    .and_then(|i| state.sensors.get(i).cloned())
                    .unwrap_or_else(|| SensorState {
                        slot: slot.clone(),
                        kind: kind.clone(),
                        ..SensorState::default()
                    });
                let before = sensor.clone();
                ui.strong(slot);
                self.text(ui, slot, "Type in it", &mut sensor.kind);
                let mut class = sensor.class.map(u32::from);
                self.count(ui, slot, "Tolerance class", &mut class);
                sensor.class = class.and_then(|c| u8::try_from(c).ok());
                self.word(ui, slot, "Put in on", &mut sensor.installed);
                self.count(ui, slot, "Runs with it", &mut sensor.uses);
                self.count(
                    ui,
                    slot,
                    "Of these above 980 °C",
                    &mut sensor.uses_above_980,
                );
                let what = ("Correction", Quantity::TemperatureDifference, 1);
                self.number(ui, slot, what, &mut sensor.correction_k);
                self.word(ui, slot, "Controller set to type", &mut sensor.logger_kind);
                if sensor != before {
                    state.sensors.retain(|s| s.slot != *slot);
                    state.sensors.push(sensor);
                    state.sensors.sort_by(|a, b| a.slot.cmp(&b.slot));
                }
            }
        });
    }
}

fn section(ui: &mut Ui, name: &str, show: impl FnOnce(&mut Ui)) {
    CollapsingHeader::new(words::label(name))
        .id_salt(("state", name))
        .show(ui, show);
}
