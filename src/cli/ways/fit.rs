//! Furnace figures from the logs of an empty and of a loaded run.

use super::logged::{power, temperatures};
use super::table::Table;
use super::{Failure, Flags, Frame, Outcome, with_load};
use crate::catalogue::{Catalogue, Furnace};
use crate::cli::{open, opened, print_json};
use crate::files;
use crate::forecast::constants::ZERO_C;
use crate::forecast::even::{self, MEAN_S, fine_lines, holds, last_at_top_s, lines};
use crate::forecast::fit::{Fit, Free, Log, MeanPower, fit};
use crate::forecast::follow_log::following;
use crate::forecast::inputs::{Case, FurnaceHeat, Settings};
use crate::forecast::plan::{
    Asked, NoForecast, Prepared, empty_load, furnace_heat, prepare, vacuum_hold,
};
use crate::forecast::stopped::as_logged;
use crate::forecast::whole::Inputs;
use crate::load::Plan;
use crate::text::{fitting, logs, ways as say};
use serde_json::{Value, json};
use std::io::Write;
use std::path::Path;

/// Power is not compared so near to a corner of the log, where it jumps within a row, s (assumed).
const CORNER_S: f64 = 300.0;
/// Least change of rate that is a corner, K/s (assumed).
const CORNER_K_S: f64 = 0.3 / 60.0;

/// One fitted run.
pub(crate) struct Fitted {
    /// Whether nothing stood in the furnace.
    pub(crate) empty: bool,
    /// What was free.
    pub(crate) free: Vec<Free>,
    /// What came out, in that order.
    pub(crate) fit: Fit,
    /// Highest power logged, W, and the chamber then, °C.
    pub(crate) most: Option<(f64, f64)>,
    /// What the figures rest on.
    pub(crate) rows: Rows,
    /// What is doubtful of the log.
    pub(crate) doubts: Vec<String>,
}

/// Of a log, what was compared.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Rows {
    /// Rows of the file.
    pub(crate) given: usize,
    /// Readings compared: rows, or their means.
    pub(crate) used: usize,
    /// Whether these are means.
    pub(crate) means: bool,
}

/// Fewer readings tell no figure and no error of it (assumed).
const LEAST_USED: usize = 10;
/// Holds that the card asks for.
const HOLDS: usize = 3;
/// Less of the highest power is none (assumed).
const NO_POWER: f64 = 0.01;

/// Misfit of an empty run, % of the highest power, and of a loaded one, K, beyond which the figures do
/// not describe the log (assumed).
const MISFIT_POWER: f64 = 5.0;
const MISFIT_K: f64 = 10.0;

impl Fitted {
    /// What is left of the misfit where it is large, and how much may be.
    pub(crate) fn misfit(&self) -> Option<(f64, f64)> {
        let most = if self.empty { MISFIT_POWER } else { MISFIT_K };
        (self.fit.residual > most).then_some((self.fit.residual, most))
    }
}

/// Field of the record, name, unit and factor from SI of a figure.
pub(crate) fn words(free: Free) -> (&'static str, &'static str, &'static str, f64) {
    match free {
        Free::Loss => ("loss_w_k", say::loss(), "W/K", 1.0),
        Free::LossArea => ("loss_m2", say::loss_area(), "m²", 1.0),
        Free::Heat => ("chamber_kj_k", say::chamber_heat(), "kJ/K", 1e-3),
        Free::SetterEmissivity => ("setter_emissivity", say::setter_emissivity(), "", 1.0),
    }
}

/// A log, and what is doubtful of it by itself, and beside the plan of the run where there is one.
fn read(
    path: &Path,
    furnace: &Furnace,
    prepared: Option<&Prepared>,
) -> Result<(Table, Log, Vec<String>), Failure> {
    let table = Table::read(path, logs::wanted_of_log())?;
    // The network begins as warm as the log, everywhere: that is so of a cold furnace only.
    let start_k = Some(Settings::default().start_k);
    let chamber = temperatures(&table, "temperature_c", furnace, start_k)?;
    let mut doubts = chamber.doubts(furnace);
    doubts.extend(chamber.perhaps_fahrenheit());
    if let Some(prepared) = prepared {
        doubts.extend(chamber.off_plan(prepared)?);
    }
    let (power, doubt) = power(&table, furnace)?;
    doubts.extend(doubt);
    let mut sensors = Vec::new();
    for n in 1.. {
        let name = format!("load_{n}_c");
        if table.column(&name).is_none() {
            break;
        }
        sensors.push(temperatures(&table, &name, furnace, start_k)?.points);
    }
    let log = Log {
        chamber: chamber.points,
        power: MeanPower::since_rows(&power),
        sensors,
    };
    Ok((table, log, doubts))
}

/// Means where the chamber scatters, and whether they were taken.
fn evened(log: &mut Log) -> bool {
    let first = log.chamber.first().copied();
    let Some(first) = first.filter(|_| even::scatters(&log.chamber)) else {
        return false;
    };
    for column in [&mut log.chamber].into_iter().chain(log.sensors.iter_mut()) {
        *column = even::means(column, first.0);
    }
    log.power = even::mean_powers(&log.power, first.0);
    // The run begins where the log does.
    if log.chamber.first().is_some_and(|p| p.0 > first.0) {
        log.chamber.insert(0, first);
    }
    true
}

/// Leaves out what comes after a time, s, and says so where it is worth a word.
fn cut_after(log: &mut Log, end_s: f64, said: fn(f64) -> String) -> Option<String> {
    let last = log.chamber.last()?.0;
    for column in [&mut log.chamber].into_iter().chain(log.sensors.iter_mut()) {
        column.retain(|p| p.0 <= end_s);
    }
    log.power.retain(|p| p.to_s <= end_s);
    let first = log.chamber.first()?.0;
    (last > end_s + MEAN_S).then(|| said((end_s - first) / 60.0))
}

/// What is compared, where that is enough.
fn rows(table: &Table, used: usize, means: bool) -> Result<Rows, Failure> {
    let given = table.rows();
    let rows = Rows { given, used, means };
    match used < LEAST_USED {
        true => Err(table.fault(&fitting::few(used, given, LEAST_USED))),
        false => Ok(rows),
    }
}

/// The log's power without means over a short time that lie beside its corners or its begin; a mean over
/// a long one holds what went in whatever the corner looked like.
fn away_from_corners(log: &Log) -> Vec<MeanPower> {
    let points = lines(&log.chamber);
    let rate = |a: (f64, f64), b: (f64, f64)| (b.1 - a.1) / (b.0 - a.0).max(1e-9);
    let corners = points.windows(3).filter(|w| {
        let change = rate(w[1], w[2]) - rate(w[0], w[1]);
        change.abs() > CORNER_K_S
    });
    let first = log.chamber.first().map(|p| p.0);
    let corners: Vec<f64> = corners.map(|w| w[1].0).chain(first).collect();
    let is_long = |p: &MeanPower| p.to_s - p.from_s > CORNER_S + 1.0;
    let apart = |p: &MeanPower, c: f64| p.from_s - c >= CORNER_S || c - p.to_s >= CORNER_S;
    let power = log.power.iter().copied();
    power
        .filter(|p| is_long(p) || corners.iter().all(|c| apart(p, *c)))
        .collect()
}

/// Highest power, and the chamber then.
fn most(log: &Log) -> Option<(f64, f64)> {
    let top = log
        .power
        .iter()
        .copied()
        .max_by(|a, b| a.w.total_cmp(&b.w))?;
    let at = log.chamber.iter().min_by(|a, b| {
        let off = |p: &(f64, f64)| (p.0 - top.to_s).abs();
        off(a).total_cmp(&off(b))
    })?;
    Some((top.w, at.1 - ZERO_C))
}

/// The furnace: its record, and the plan that goes with it.
fn furnace_named(
    flags: &Flags,
    frame: &Frame,
    then: impl FnOnce(&Furnace, &Catalogue) -> Outcome,
) -> Outcome {
    let folder = frame.shop.map(files::read_shop_folder).transpose()?;
    let load = match (
        &flags.furnace,
        frame.file.or(flags.loaded.first().map(AsRef::as_ref)),
    ) {
        (Some(slug), _) => opened(Plan::empty(slug), folder.as_ref())?,
        (None, Some(file)) => open(file, frame.shop)?,
        (None, None) => return Err(Failure::Input(say::needs_furnace())),
    };
    let slug = flags.furnace.as_deref().unwrap_or(&load.plan.load.furnace);
    let missing = || {
        NoForecast::Missing(vec![crate::forecast::plan::Missing::Furnace(
            slug.to_owned(),
        )])
    };
    let furnace = load.working.catalogue.furnace(slug).ok_or_else(missing)?;
    then(furnace, &load.working.catalogue)
}

pub(super) fn run(flags: &Flags, path: &Path, frame: &Frame, out: &mut dyn Write) -> Outcome {
    furnace_named(flags, frame, |record, _| {
        let mut furnace = furnace_heat(record);
        let mut all = vec![empty_run(path, record, &mut furnace)?];
        if let [file, csv] = &flags.loaded[..] {
            all.push(loaded_run(file, csv, frame, (record, &furnace))?);
        }
        let peak_kw = record.power_kw;
        if frame.json {
            print_json(out, &as_json(record, &all))?;
            return Ok(0);
        }
        for one in &all {
            writeln!(out, "{}", say::fit_head(&record.name, one.empty))?;
            for (i, free) in one.free.iter().enumerate() {
                let (_, name, unit, factor) = words(*free);
                let of = |list: &[f64]| list.get(i).copied().unwrap_or(f64::NAN) * factor;
                let error = one.fit.error.get(i).copied().flatten().map(|e| e * factor);
                let (was, is) = (of(&one.fit.from), of(&one.fit.to));
                let line = if is_told(one, i) {
                    say::fit_line(name, unit, was, is, error)
                } else {
                    say::fit_kept(name, unit, was, error)
                };
                writeln!(out, "  {line}")?;
            }
            let said = say::fit_residual(one.empty, one.fit.residual_from, one.fit.residual);
            writeln!(out, "  {said}")?;
            if let Some((w, c)) = one.most {
                writeln!(out, "  {}", say::fit_power(w / 1e3, c, peak_kw))?;
            }
            let Rows { given, used, means } = one.rows;
            writeln!(out, "  {}", fitting::rows(used, given, means, one.empty))?;
            for doubt in &one.doubts {
                writeln!(out, "  {doubt}")?;
            }
            if let Some((residual, most)) = one.misfit() {
                writeln!(out, "  {}", logs::misfit(residual, most, one.empty))?;
            }
        }
        if all.iter().all(|one| one.misfit().is_none()) {
            writeln!(out, "{}", say::fit_into_record())?;
        }
        Ok(0)
    })
}

/// Whether the run tells a figure.
pub(crate) fn is_told(fitted: &Fitted, figure: usize) -> bool {
    fitted.fit.determined.get(figure).copied().unwrap_or(false)
}

/// Settings for a run that begins as its log does.
fn begins(log: &Log) -> Settings {
    let settings = Settings::default();
    Settings {
        start_k: log.chamber.first().map_or(settings.start_k, |p| p.1),
        ..settings
    }
}

/// Losses and heat capacity, put into the furnace.
pub(crate) fn empty_run(
    path: &Path,
    record: &Furnace,
    furnace: &mut FurnaceHeat,
) -> Result<Fitted, Failure> {
    let (table, mut log, mut doubts) = read(path, record, None)?;
    if log.power.is_empty() {
        return Err(table.fault(&say::fit_nothing()));
    }
    let most = most(&log);
    log.sensors.clear();
    let means = evened(&mut log);
    let least = NO_POWER * most.map_or(0.0, |m| m.0);
    let drawn = log.power.iter().rev().find(|p| p.w > least);
    if let Some(end_s) = drawn.map(|p| p.to_s) {
        doubts.extend(cut_after(&mut log, end_s, fitting::no_power_after));
    }
    let held = holds(&log.chamber).len();
    if held == 0 {
        return Err(table.fault(&fitting::no_hold()));
    }
    if held < HOLDS {
        doubts.push(fitting::few_holds(held, HOLDS));
    }
    log.power = away_from_corners(&log);
    let rows = rows(&table, log.power.len(), means)?;
    let figures = [
        (Free::Loss, furnace.loss_w_k),
        (Free::LossArea, furnace.loss_m2),
        (Free::Heat, furnace.heat_j_k),
    ];
    // What is nought in the record stays so: a fit moves by factors.
    let free: Vec<Free> = figures
        .into_iter()
        .filter(|f| f.1 > 0.0)
        .map(|f| f.0)
        .collect();
    let program = following(&fine_lines(&log.chamber), |_, _| Some(vacuum_hold()));
    let program = program.ok_or_else(|| table.fault(&say::fit_nothing()))?;
    let found = fit(
        &empty_load(),
        furnace,
        &[],
        &log,
        &program,
        &free,
        begins(&log),
    );
    let found = found.map_err(NoForecast::Run)?;
    for (what, &to) in free.iter().zip(&found.to) {
        match what {
            Free::Loss => furnace.loss_w_k = to,
            Free::LossArea => furnace.loss_m2 = to,
            Free::Heat => furnace.heat_j_k = to,
            Free::SetterEmissivity => {}
        }
    }
    Ok(Fitted {
        empty: true,
        free,
        fit: found,
        most,
        rows,
        doubts,
    })
}

/// Emissivity of the setters, by the furnace as just fitted.
fn loaded_run(
    file: &Path,
    csv: &Path,
    frame: &Frame,
    (record, furnace): (&Furnace, &FurnaceHeat),
) -> Result<Fitted, Failure> {
    let mut fitted = None;
    with_load(file, frame.shop, |_, asked| {
        let theirs = &asked.plan.load.furnace;
        if *theirs != record.id {
            return Err(Failure::Input(say::other_furnace(theirs, &record.id)));
        }
        fitted = Some(loaded_as(asked, csv, (record, furnace))?);
        Ok(0)
    })?;
    fitted.ok_or_else(|| Failure::Input(say::fit_nothing()))
}

/// The same of a plan that is at hand.
pub(crate) fn loaded_as(
    asked: &Asked,
    csv: &Path,
    (record, furnace): (&Furnace, &FurnaceHeat),
) -> Result<Fitted, Failure> {
    let prepared = prepare(asked).map_err(NoForecast::Missing)?;
    let (table, mut log, mut doubts) = read(csv, record, Some(&prepared))?;
    let most = most(&log);
    let inputs = &prepared.inputs;
    log.sensors.truncate(inputs.load.sensors.len());
    log.power.clear();
    if log.sensors.is_empty() {
        return Err(table.fault(&say::fit_nothing()));
    }
    let means = evened(&mut log);
    // In cooling a fan, a gas and doors rule that no log tells.
    if let Some(end_s) = last_at_top_s(&log.chamber) {
        doubts.extend(cut_after(&mut log, end_s, fitting::cooling_after));
    }
    let rows = rows(&table, log.sensors.iter().map(Vec::len).sum(), means)?;
    let free = vec![Free::SetterEmissivity];
    let as_fitted = Inputs {
        furnace: furnace.clone(),
        ..inputs.clone()
    };
    // In what the plan has around the load by then.
    let program = as_logged(&as_fitted, &Case::nominal(), &fine_lines(&log.chamber));
    let program = program.map_err(NoForecast::Run)?;
    let program = program.ok_or_else(|| table.fault(&say::fit_nothing()))?;
    let found = fit(
        &inputs.load,
        furnace,
        &inputs.gases,
        &log,
        &program,
        &free,
        Settings {
            // No power is compared: the chamber may be taken down as the log has it.
            cooled: true,
            ..begins(&log)
        },
    );
    Ok(Fitted {
        empty: false,
        free,
        fit: found.map_err(NoForecast::Run)?,
        most,
        rows,
        doubts,
    })
}

fn as_json(record: &Furnace, all: &[Fitted]) -> Value {
    let one = |f: &Fitted| {
        let figures: Vec<Value> = f
            .free
            .iter()
            .enumerate()
            .map(|(i, free)| {
                let (slug, _, unit, factor) = words(*free);
                let of = |list: &[f64]| list.get(i).map(|x| x * factor);
                json!({
                    "figure": slug,
                    "unit": unit,
                    "from": of(&f.fit.from),
                    "to": of(&f.fit.to),
                    "determined": is_told(f, i),
                    "standard_error": f.fit.error.get(i).copied().flatten().map(|e| e * factor),
                })
            })
            .collect();
        json!({
            "run": if f.empty { "empty" } else { "loaded" },
            "figures": figures,
            "residual_from": f.fit.residual_from,
            "residual": f.fit.residual,
            "residual_unit": if f.empty { "% of the highest power" } else { "K" },
            "rows_given": f.rows.given,
            "readings_compared": f.rows.used,
            "readings_are_means": f.rows.means,
            "most_power_w": f.most.map(|m| m.0),
            "log_doubts": f.doubts,
            "misfit_is_large": f.misfit().is_some(),
        })
    };
    json!({
        "schema": "setterwright.fit",
        "version": 1,
        "furnace": record.id,
        "runs": all.iter().map(one).collect::<Vec<_>>(),
    })
}
