//! On the shop's board: written procedures and what they cover, and each furnace's state with the
//! places of its survey.

use super::checked::{or_none, quantity, some_words, whole_or_none};
use super::furnace_form::FurnaceForm;
use super::lists::{choice, sentence, wrapped};
use super::shop_board::{COUNT, Cells, NAME, new_panel, once, one_of, remove, scrolled};
use super::shop_draft::{drop_typed, furnace_state, without_empty};
use super::state::App;
use super::theme;
use crate::catalogue::{Catalogue, PlacePoint, Procedure, ShopState, Survey, SurveyPlace};
use crate::review::{all_checks, check_by_slug};
use crate::text::findings::title;
use crate::text::{app as words, shop_forms as say};
use crate::units::{Quantity, show};
use egui::{Frame, Grid, Panel, ScrollArea, Ui};
use std::sync::Arc;

impl App {
    pub(super) fn procedures_form(&mut self, ui: &mut Ui, state: &mut ShopState) {
        let catalogue = Arc::clone(&self.working.catalogue);
        let furnaces = furnaces(&catalogue, state);
        let of_load = self.doc.plan().load.furnace.clone();
        let view = &mut self.view.shop;
        new_panel(ui, "new procedure", |ui| {
            ui.strong(words::label("Another written procedure"));
            let now = match view.typed("furnace") {
                "" => of_load,
                id => id.to_owned(),
            };
            let name = furnace_name(&catalogue, &now);
            if let Some(id) = choice(
                ui,
                "furnace of new",
                "Furnace",
                &name,
                furnaces.clone(),
                &now,
            ) {
                view.new.insert("furnace", id);
            }
            let hint = "name or number";
            view.entry(ui, "Document", "Document of the new procedure", hint);
            view.entry(ui, "Revision", "Revision of the new procedure", "");
            let check = view.typed("check").to_owned();
            let shown = check_shown(&check);
            let offered = covered_by_procedures();
            if let Some(slug) = choice(ui, "check of new", "Covers", &shown, offered, &check) {
                view.new.insert("check", slug);
            }
            let added = view.add(ui, "Add the procedure", |view| {
                let name = view.read("Document", some_words)?;
                let of = state.furnaces.iter().filter(|f| f.furnace == now);
                once(&name, of.flat_map(|f| f.procedures.iter().map(|p| &p.name)))?;
                let covers = Some(check.clone()).filter(|c| !c.is_empty());
                Ok(Procedure {
                    name,
                    revision: view.read("Revision", some_words)?,
                    covers: covers.into_iter().collect(),
                })
            });
            if let (Some(new), Some(furnace)) = (added, furnace_state(state, &now)) {
                furnace.procedures.push(new);
            }
            without_empty(state);
            sentence(ui, say::procedures_hint());
        });
        let typing = &mut self.view.typing;
        let mut any_gone = false;
        scrolled(ui, "procedures", |ui| {
            if state.furnaces.iter().all(|f| f.procedures.is_empty()) {
                sentence(ui, say::no_procedures());
            }
            for furnace in &mut state.furnaces {
                if furnace.procedures.is_empty() {
                    continue;
                }
                ui.strong(furnace_name(&catalogue, &furnace.furnace));
                let all: Vec<String> = furnace.procedures.iter().map(|p| p.name.clone()).collect();
                let mut gone = None;
                for (i, procedure) in furnace.procedures.iter_mut().enumerate() {
                    Frame::group(ui.style()).show(ui, |ui| {
                        let of = procedure.name.clone();
                        let row = format!("procedure {} {i}", furnace.furnace);
                        let mut cells = Cells::new(typing, row);
                        ui.horizontal(|ui| {
                            let others = all.iter().filter(|n| **n != of);
                            let read = |text: &str| {
                                once(text, others)?;
                                some_words(text)
                            };
                            ui.label(words::label("Document"));
                            let name = say::document_of(&of);
                            cells.text(ui, &name, NAME, &of, read, &mut procedure.name);
                            ui.label(words::label("Revision"));
                            let shown = procedure.revision.clone();
                            let to = &mut procedure.revision;
                            cells.text(ui, &say::revision_of(&of), COUNT, &shown, some_words, to);
                            if remove(ui, &of) {
                                gone = Some(i);
                            }
                        });
                        covers(ui, (&furnace.furnace, i), procedure);
                    });
                }
                if let Some(i) = gone {
                    furnace.procedures.remove(i);
                    any_gone = true;
                }
            }
        });
        if any_gone {
            drop_typed(&mut self.view.typing);
        }
    }

    pub(super) fn furnaces_form(&mut self, ui: &mut Ui, state: &mut ShopState) {
        let catalogue = Arc::clone(&self.working.catalogue);
        let chosen = self.view.shop.furnace.clone();
        let chosen = chosen.unwrap_or_else(|| self.doc.plan().load.furnace.clone());
        wrapped(ui, |ui| {
            for (id, name) in furnaces(&catalogue, state) {
                if one_of(ui, id == chosen, &name) && id != chosen {
                    self.view.shop.furnace = Some(id);
                    self.view.shop.new.clear();
                    self.view.shop.refused = None;
                }
            }
        });
        ui.separator();
        let Some(furnace) = furnace_state(state, &chosen) else {
            return;
        };
        Panel::left("furnace form")
            .resizable(true)
            .default_size(theme::SIDE * 1.5)
            .show(ui, |ui| {
                ScrollArea::vertical()
                    .id_salt("furnace form")
                    .auto_shrink([false, false])
                    .show(ui, |ui| {
                        let mut form = FurnaceForm {
                            typing: &mut self.view.typing,
                            catalogue: &catalogue,
                            furnace: &chosen,
                        };
                        form.show(ui, furnace);
                    });
            });
        let room = Frame::new().inner_margin(theme::SPACE);
        room.show(ui, |ui| {
            ui.strong(words::label("Places of the survey"));
            match &mut furnace.survey {
                None => sentence(ui, say::places_need_survey()),
                Some(survey) => scrolled(ui, "places", |ui| self.places(ui, survey)),
            }
        });
    }

    /// What each place read, by zone and level; one column a surveyed setpoint.
    fn places(&mut self, ui: &mut Ui, survey: &mut Survey) {
        sentence(ui, say::places_hint());
        let mut setpoints: Vec<f64> = survey.points.iter().map(|p| p.setpoint_c).collect();
        let read = survey.places.iter().flat_map(|p| &p.points);
        setpoints.extend(read.map(|p| p.setpoint_c));
        setpoints.sort_by(f64::total_cmp);
        setpoints.dedup();
        let extremes = survey.points.clone();
        let all: Vec<(String, Option<u32>)> = survey
            .places
            .iter()
            .map(|p| (p.zone.clone(), p.level))
            .collect();
        let typing = &mut self.view.typing;
        let mut gone = None;
        if !survey.places.is_empty() {
            let columns = setpoints.len() + 3;
            Grid::new("places")
                .num_columns(columns)
                .striped(true)
                .show(ui, |ui| {
                    ui.strong(words::label("Zone"));
                    ui.strong(words::label("Level"));
                    for c in &setpoints {
                        ui.strong(show(Quantity::Temperature, *c, 0));
                    }
                    ui.end_row();
                    for (i, place) in survey.places.iter_mut().enumerate() {
                        let n = i + 1;
                        let mut cells = Cells::new(typing, format!("place {i}"));
                        let (zone, level) = (place.zone.clone(), place.level);
                        let other = |zone: &str, level: Option<u32>| {
                            let mut others = all.iter().enumerate().filter(|(at, _)| *at != i);
                            match others.any(|(_, (z, l))| z == zone && *l == level) {
                                true => Err(say::place_twice(zone, level)),
                                false => Ok(()),
                            }
                        };
                        let read = |text: &str| {
                            other(text, level)?;
                            some_words(text)
                        };
                        cells.text(ui, &say::zone_of(n), NAME, &zone, read, &mut place.zone);
                        let shown = level.map_or_else(String::new, |l| l.to_string());
                        let read = |text: &str| {
                            let level = a_level(text)?;
                            other(&zone, level)?;
                            Ok(level)
                        };
                        cells.text(ui, &say::level_of(n), COUNT, &shown, read, &mut place.level);
                        for c in &setpoints {
                            let k = Quantity::TemperatureDifference;
                            let at = place.points.iter().find(|p| p.setpoint_c == *c);
                            let mut now = at.map(|p| p.deviation_k);
                            let before = now;
                            let shown = now.map_or_else(String::new, |value| show(k, value, 1));
                            let read = |text: &str| {
                                let value = or_none(quantity(k))(text)?;
                                let known = extremes.iter().find(|p| p.setpoint_c == *c);
                                match value.zip(known) {
                                    Some((v, p)) if !(p.coldest_k..=p.hottest_k).contains(&v) => {
                                        Err(say::beyond_extremes(v, *c, p.coldest_k, p.hottest_k))
                                    }
                                    _ => Ok(value),
                                }
                            };
                            let name = say::reading_of(n, &show(Quantity::Temperature, *c, 0));
                            cells.text(ui, &name, COUNT, &shown, read, &mut now);
                            if now != before {
                                place.points.retain(|p| p.setpoint_c != *c);
                                place.points.extend(now.map(|deviation_k| PlacePoint {
                                    setpoint_c: *c,
                                    deviation_k,
                                }));
                                let by = |p: &PlacePoint, q: &PlacePoint| {
                                    p.setpoint_c.total_cmp(&q.setpoint_c)
                                };
                                place.points.sort_by(by);
                            }
                        }
                        if remove(ui, &say::place(&zone, level)) {
                            gone = Some(i);
                        }
                        ui.end_row();
                    }
                });
        }
        if let Some(i) = gone {
            survey.places.remove(i);
            drop_typed(typing);
        }
        ui.separator();
        ui.scope(|ui| {
            ui.set_max_width(theme::SIDE * 1.2);
            let view = &mut self.view.shop;
            view.entry(ui, "Zone", "Zone of the new place", "e.g. door, left");
            view.entry(
                ui,
                "Level",
                "Level of the new place",
                "from 1 at the bottom",
            );
            let added = view.add(ui, "Add the place", |view| {
                let zone = view.read("Zone", some_words)?;
                let level = view.read("Level", a_level)?;
                if all.iter().any(|(z, l)| *z == zone && *l == level) {
                    return Err(say::place_twice(&zone, level));
                }
                Ok(SurveyPlace {
                    zone,
                    level,
                    points: Vec::new(),
                })
            });
            survey.places.extend(added);
        });
    }
}

/// The checks that a procedure covers, and another.
fn covers(ui: &mut Ui, key: (&str, usize), procedure: &mut Procedure) {
    let mut gone = None;
    if procedure.covers.is_empty() {
        sentence(ui, say::covers_nothing());
    }
    for slug in &procedure.covers {
        ui.horizontal(|ui| {
            ui.label(check_shown(slug));
            let what = say::cover(&title(slug), &procedure.name);
            if remove(ui, &what) {
                gone = Some(slug.clone());
            }
        });
    }
    procedure.covers.retain(|slug| gone.as_ref() != Some(slug));
    let offered = covered_by_procedures();
    let offered = offered.filter(|(slug, _)| !procedure.covers.contains(slug));
    let offered: Vec<(String, String)> = offered.collect();
    let shown = words::label("choose one");
    let name = say::another_check(&procedure.name);
    let salt = format!("covers {key:?}");
    ui.scope(|ui| {
        ui.set_max_width(theme::SIDE * 1.6);
        if let Some(slug) = choice(ui, salt, &name, &shown, offered, &String::new()) {
            procedure.covers.push(slug);
        }
    });
}

/// Checks whose findings a written procedure deals with: those that concern safety.
fn covered_by_procedures() -> impl Iterator<Item = (String, String)> {
    let all = all_checks().filter(|c| c.safety || c.some_safety);
    let mut all: Vec<(String, String)> = all.map(|c| (c.slug.to_owned(), title(c.slug))).collect();
    all.sort_by(|a, b| a.1.cmp(&b.1));
    all.into_iter()
}

fn check_shown(slug: &str) -> String {
    match check_by_slug(slug) {
        Some(check) => title(check.slug),
        None if slug.is_empty() => words::label("choose one"),
        None => slug.to_owned(),
    }
}

/// Slugs and names of the furnaces: the catalogue's, and what the shop's state has beside them.
fn furnaces(catalogue: &Catalogue, state: &ShopState) -> Vec<(String, String)> {
    let mut all: Vec<String> = catalogue.furnaces.keys().cloned().collect();
    for furnace in &state.furnaces {
        if !all.contains(&furnace.furnace) {
            all.push(furnace.furnace.clone());
        }
    }
    let named = |id: String| {
        let name = furnace_name(catalogue, &id);
        (id, name)
    };
    all.into_iter().map(named).collect()
}

fn furnace_name(catalogue: &Catalogue, id: &str) -> String {
    let furnace = catalogue.furnace(id);
    furnace.map_or_else(|| id.to_owned(), |f| f.name.clone())
}

/// A level counted from 1, or none.
fn a_level(text: &str) -> Result<Option<u32>, String> {
    match whole_or_none(text)? {
        Some(0) => Err(say::levels_from_one()),
        level => Ok(level),
    }
}
