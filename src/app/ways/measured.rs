//! Figures from measurements: of the furnace from logs of an empty run and of one of this load, of
//! densification from measured pieces. Fitted figures stand beside the record's; records are files
//! of the shop, so what is to be written there is given as text.

use super::{Work, answer, caution_line, is_running, line, weak_line};
use crate::app::columns::{Cell, table};
use crate::app::forecast_table::no_forecast;
use crate::app::state::{Action, App, Ask};
use crate::app::theme::SPACE;
use crate::catalogue::Furnace;
use crate::cli::ways::calibrate::{self, Pieces, by, each_said, measured, unused_said, why_not};
use crate::cli::ways::fit::{Fitted, Rows, empty_run, is_told, loaded_as, words};
use crate::document::Question;
use crate::forecast::calibrate::{Calibration, Figure};
use crate::forecast::densify::Branch;
use crate::forecast::fit::Free;
use crate::forecast::plan::{Missing, NoForecast, furnace_heat};
use crate::text::calibrating;
use crate::text::digits;
use crate::text::fitting;
use crate::text::logs;
use crate::text::ways as told_by;
use crate::text::ways_window as say;
use egui::{Context, RichText, ScrollArea, Ui};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Files that were opened, and what came of them.
#[derive(Default)]
pub(super) struct MeasuredForm {
    empty: Option<PathBuf>,
    loaded: Option<PathBuf>,
    fit: Option<Work<FurnaceFit>>,
    pieces: Option<PathBuf>,
    calibration: Option<Work<Vec<OfFeedstock>>>,
    with_energy: bool,
}

impl MeasuredForm {
    pub fn is_running(&self) -> bool {
        is_running(&self.fit) || is_running(&self.calibration)
    }
}

/// What came of the pieces of one feedstock.
struct OfFeedstock {
    slug: String,
    pieces: Pieces,
    /// With the energy held, and with it moved.
    found: [Found; 2],
}

/// What a calibration gave.
enum Found {
    /// Nothing to start from.
    Nothing,
    /// Why there is none, and each piece with what became of it.
    WhyNot(String, Vec<String>),
    Done(Box<Done>),
}

/// A calibration, and what its branches say of the pieces.
struct Done {
    moved: Calibration,
    /// Densities before and after, in the order of the pieces.
    densities: Vec<[f64; 2]>,
}

fn found(pieces: &Pieces, with_energy: bool) -> Found {
    match pieces.calibrated(with_energy) {
        None => Found::Nothing,
        Some(Err(why)) => Found::WhyNot(why_not(&pieces.name, why), each_said(pieces)),
        Some(Ok(moved)) => {
            let both = [moved.from, moved.to];
            let points = pieces.points.iter();
            Found::Done(Box::new(Done {
                densities: points
                    .map(|(_, point)| both.map(|branch| by(branch, pieces, point)))
                    .collect(),
                moved,
            }))
        }
    }
}

/// Fits of one furnace, in the order in which they were made.
struct FurnaceFit {
    record: Arc<Furnace>,
    runs: Vec<Fitted>,
}

fn fit(of: &Question, empty: Option<&Path>, loaded: Option<&Path>) -> Result<FurnaceFit, String> {
    let slug = &of.plan.load.furnace;
    let missing = || no_forecast(&NoForecast::Missing(vec![Missing::Furnace(slug.clone())]));
    let record = of.catalogue.furnace(slug).ok_or_else(missing)?;
    let mut furnace = furnace_heat(record);
    let mut runs = Vec::new();
    if let Some(path) = empty {
        runs.push(empty_run(path, record, &mut furnace).map_err(|fault| fault.sentence())?);
    }
    if let Some(path) = loaded {
        let run = loaded_as(&of.asked(), path, (record, &furnace));
        runs.push(run.map_err(|fault| fault.sentence())?);
    }
    Ok(FurnaceFit {
        record: Arc::clone(record),
        runs,
    })
}

impl App {
    pub(super) fn take_measured(&mut self, ctx: &Context, ask: Ask, path: PathBuf) {
        let form = &mut self.ways.measured;
        match ask {
            Ask::EmptyRun => form.empty = Some(path),
            Ask::LoadedRun => form.loaded = Some(path),
            _ => form.pieces = Some(path),
        }
        match ask {
            Ask::Pieces => self.calibrate_from_pieces(ctx),
            _ => self.fit_furnace(ctx),
        }
    }

    fn fit_furnace(&mut self, ctx: &Context) {
        let of = self.question();
        let form = &mut self.ways.measured;
        let (empty, loaded) = (form.empty.clone(), form.loaded.clone());
        let work = Work::start(ctx, "fit", of, move |of, ticket| {
            ticket.go_on()?;
            Ok(fit(of, empty.as_deref(), loaded.as_deref()))
        });
        form.fit = Some(work);
    }

    fn calibrate_from_pieces(&mut self, ctx: &Context) {
        let of = self.question();
        let folder = self.shop.as_ref().map(|(path, _)| path.clone());
        let form = &mut self.ways.measured;
        let Some(path) = form.pieces.clone() else {
            return;
        };
        let work = Work::start(ctx, "calibrate", of, move |of, ticket| {
            ticket.go_on()?;
            let mut here = |then: calibrate::Then| then(&of.asked());
            let all = match measured(&path, folder.as_deref(), &mut here) {
                Ok(all) => all,
                Err(fault) => return Ok(Err(fault.sentence())),
            };
            let mut out = Vec::new();
            for (slug, pieces) in all {
                ticket.go_on()?;
                out.push(OfFeedstock {
                    slug,
                    found: [false, true].map(|with_energy| found(&pieces, with_energy)),
                    pieces,
                });
            }
            Ok(Ok(out))
        });
        form.calibration = Some(work);
    }

    /// The tab.
    pub(in crate::app) fn measured_figures(&mut self, ui: &mut Ui, actions: &mut Vec<Action>) {
        let buttons = [
            (Ask::EmptyRun, say::open_empty_run()),
            (Ask::LoadedRun, say::open_loaded_run()),
            (Ask::Pieces, say::open_pieces()),
        ];
        ui.horizontal_wrapped(|ui| {
            for (ask, name) in buttons {
                if ui.button(name).clicked() {
                    actions.push(Action::AskPath(ask));
                }
            }
            let form = &mut self.ways.measured;
            ui.checkbox(&mut form.with_energy, say::with_energy())
                .on_hover_text(say::with_energy_hint());
            if form.is_running() && ui.button(say::stop()).clicked() {
                form.fit = form.fit.take().filter(|work| !work.is_running());
                form.calibration = form.calibration.take().filter(|work| !work.is_running());
            }
        });
        let form = &self.ways.measured;
        ScrollArea::vertical()
            .id_salt("measured")
            .auto_shrink(false)
            .show(ui, |ui| {
                if form.fit.is_none() && form.calibration.is_none() {
                    line(ui, say::measured_hint());
                    line(ui, told_by::card_runs());
                }
                if let Some(work) = &form.fit {
                    self.show_fit(ui, work);
                }
                if let Some(work) = &form.calibration {
                    self.show_calibration(ui, work, form.with_energy);
                }
            });
    }

    fn show_fit(&self, ui: &mut Ui, work: &Work<FurnaceFit>) {
        let form = &self.ways.measured;
        for path in form.empty.iter().chain(&form.loaded) {
            weak_line(ui, path.display().to_string());
        }
        let Some(finished) = work.finished() else {
            line(ui, say::being_answered());
            return;
        };
        self.say_if_stale(ui, work);
        match answer(&finished, say::fit_job()) {
            Ok(found) => show_runs(ui, found),
            Err(why) => caution_line(ui, why),
        }
    }

    fn show_calibration(&self, ui: &mut Ui, work: &Work<Vec<OfFeedstock>>, with_energy: bool) {
        ui.add_space(SPACE);
        if let Some(path) = &self.ways.measured.pieces {
            weak_line(ui, path.display().to_string());
        }
        let Some(finished) = work.finished() else {
            line(ui, say::being_answered());
            return;
        };
        self.say_if_stale(ui, work);
        match answer(&finished, say::calibration_job()) {
            Ok(all) => {
                for of in all {
                    show_pieces(ui, of, with_energy);
                }
                if all.is_empty() {
                    caution_line(ui, say::no_rows());
                }
            }
            Err(why) => caution_line(ui, why),
        }
    }
}

/// Text for a record, with a button that copies it.
fn to_copy(ui: &mut Ui, text: &str) {
    ui.horizontal_wrapped(|ui| {
        ui.add(egui::Label::new(RichText::new(say::data(text)).monospace()).wrap());
        if ui.button(say::copy()).clicked() {
            ui.copy_text(text.to_owned());
        }
    });
}

fn show_runs(ui: &mut Ui, found: &FurnaceFit) {
    let mut fields = Vec::new();
    for run in &found.runs {
        ui.strong(told_by::fit_head(&found.record.name, run.empty));
        let mut rows = Vec::new();
        for (i, free) in run.free.iter().enumerate() {
            let (field, name, unit, factor) = words(*free);
            let of = |list: &[f64]| list.get(i).copied().unwrap_or(f64::NAN) * factor;
            let error = run.fit.error.get(i).copied().flatten().map(|e| e * factor);
            let (was, is) = (of(&run.fit.from), of(&run.fit.to));
            let told = is_told(run, i);
            // The area of the loss is no field of its own: shields and emissivity go into it.
            if told && *free != Free::LossArea {
                fields.push(format!("{field}: {}", digits(is)));
            }
            let row = [
                say::data(name),
                say::value(was, unit),
                match told {
                    true => say::value(is, unit),
                    false => say::not_told(),
                },
                error.map_or_else(say::none, |e| say::value(e, unit)),
                match told {
                    true => say::moved_by(was, is),
                    false => say::none(),
                },
            ];
            rows.push(row.into_iter().map(Cell::from).collect());
        }
        let columns: Vec<(String, f32)> = say::fit_heads()
            .into_iter()
            .zip([2.0, 1.0, 1.2, 1.0, 0.9])
            .collect();
        table(ui, &columns, rows);
        line(
            ui,
            told_by::fit_residual(run.empty, run.fit.residual_from, run.fit.residual),
        );
        if let Some((w, c)) = run.most {
            line(ui, told_by::fit_power(w / 1e3, c, found.record.power_kw));
        }
        let Rows { given, used, means } = run.rows;
        line(ui, fitting::rows(used, given, means, run.empty));
        for doubt in &run.doubts {
            caution_line(ui, doubt.clone());
        }
        if let Some((residual, most)) = run.misfit() {
            caution_line(ui, logs::misfit(residual, most, run.empty));
        }
    }
    // Figures that do not describe the log go nowhere.
    if found.runs.iter().any(|run| run.misfit().is_some()) {
        return;
    }
    line(ui, say::into_furnace_record(&found.record.id));
    if !fields.is_empty() {
        to_copy(ui, &fields.join(", "));
    }
}

fn show_pieces(ui: &mut Ui, of: &OfFeedstock, with_energy: bool) {
    let pieces = &of.pieces;
    let told = match &of.found[usize::from(with_energy)] {
        Found::Done(told) => told,
        Found::WhyNot(why, each) => {
            caution_line(ui, why.clone());
            for said in each {
                line(ui, said);
            }
            return;
        }
        Found::Nothing => return caution_line(ui, told_by::nothing_to_calibrate(&pieces.name)),
    };
    let done = &told.moved;
    ui.strong(told_by::calibrated_head(&pieces.name, done.points));
    figures(ui, done);
    if done.error[2].is_some() {
        weak_line(ui, calibrating::together());
    }
    if done.one_rate {
        weak_line(ui, calibrating::one_rate());
    }
    let points = pieces.points.iter().zip(&told.densities).enumerate();
    let rows = points.map(|(i, ((row, point), densities))| {
        let pct = |share: f64| say::percent(share);
        let [before, after] = densities.map(pct);
        let remark = match unused_said(pieces, i, &done.unused) {
            Some(said) => said,
            None if done.outliers.contains(&i) => calibrating::outlier(),
            None => say::none(),
        };
        let cells = [say::row(*row), pct(point.density), before, after, remark];
        cells.into_iter().map(Cell::from).collect()
    });
    let columns: Vec<(String, f32)> = say::piece_heads()
        .into_iter()
        .zip([0.6, 0.9, 1.0, 1.0, 2.0])
        .collect();
    table(ui, &columns, rows.collect());
    line(ui, told_by::residual(done.residual_from, done.residual));
    line(ui, say::into_feedstock_record(&of.slug));
    let Branch { a, b, q_j_mol } = done.to;
    to_copy(ui, &say::branch_field(q_j_mol / 1e3, a, b));
}

/// The figures of the branch, before and after.
fn figures(ui: &mut Ui, done: &Calibration) {
    let (from, to) = (done.from, done.to);
    let [a, b, q] = done.error;
    let all = [
        (Figure::A, "a", from.a, to.a, a, ""),
        (Figure::B, "b", from.b, to.b, b, ""),
        (
            Figure::Energy,
            "Q",
            from.q_j_mol / 1e3,
            to.q_j_mol / 1e3,
            q.map(|e| e / 1e3),
            "kJ/mol",
        ),
    ];
    let rows = all.into_iter().map(|(figure, name, was, is, error, unit)| {
        let kept = done.kept.contains(&figure);
        let cells = [
            say::data(name),
            say::value(was, unit),
            match kept {
                true => say::not_told(),
                false => say::value(is, unit),
            },
            error
                .filter(|_| !kept)
                .map_or_else(say::none, |e| say::value(e, unit)),
            match kept {
                true => say::none(),
                false => say::moved_by(was, is),
            },
        ];
        cells.into_iter().map(Cell::from).collect()
    });
    let columns: Vec<(String, f32)> = say::fit_heads()
        .into_iter()
        .zip([2.0, 1.0, 1.2, 1.0, 0.9])
        .collect();
    table(ui, &columns, rows.collect());
}
