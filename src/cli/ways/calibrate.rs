//! Densification from measured pieces: what moved, and by how much.

use super::table::Table;
use super::{Failure, Flags, Frame, Outcome, with_load};
use crate::cli::print_json;
use crate::forecast::calibrate::{
    Calibration, Figure, Measured, NotCalibrated, Unused, calibrate, odd_ones,
};
use crate::forecast::chemistry::celsius;
use crate::forecast::densify::{Branch, Sintering};
use crate::forecast::heat::{NodeAt, Place};
use crate::forecast::matter::around;
use crate::forecast::plan::{Asked, Keys, KindIs, PlanForecast, of};
use crate::forecast::run::Run;
use crate::text::{calibrating, logs, ways as say, ways_window};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::io::Write;
use std::path::{Path, PathBuf};

/// What is measured of one feedstock.
pub(crate) struct Pieces {
    /// Of the feedstock.
    pub(crate) name: String,
    sintering: Option<Sintering>,
    start: f64,
    /// Line of the table, and the piece.
    pub(crate) points: Vec<(usize, Measured)>,
}

impl Pieces {
    /// Fits them; none where the record has no densification to start from.
    pub(crate) fn calibrated(
        &self,
        with_energy: bool,
    ) -> Option<Result<Calibration, NotCalibrated>> {
        let points: Vec<Measured> = self.points.iter().map(|p| p.1.clone()).collect();
        let by = self.sintering.as_ref()?;
        Some(calibrate(by, self.start, &points, with_energy))
    }

    /// Whether a piece lies where the curve is flat.
    fn is_flat(&self, piece: &Measured) -> bool {
        let by = self.sintering.as_ref();
        by.is_some_and(|by| piece.density > piece.end(by, self.start) - FLAT)
    }
}

/// Pieces by slug of their feedstock.
pub(crate) type ByFeedstock = BTreeMap<String, Pieces>;

pub(super) fn run(flags: &Flags, path: &Path, frame: &Frame, out: &mut dyn Write) -> Outcome {
    let file = frame.file()?;
    let all = measured(path, frame.shop, &mut |then| {
        with_load(file, frame.shop, |_, asked| then(asked))
    })?;
    if all.is_empty() && !frame.json {
        writeln!(out, "{}", ways_window::no_rows())?;
    }
    let mut told = Vec::new();
    let mut calibrated = false;
    for (slug, pieces) in &all {
        let found = pieces.calibrated(flags.with_energy);
        calibrated |= matches!(found, Some(Ok(_)));
        if frame.json {
            told.push(as_json(slug, pieces, found.as_ref()));
        } else {
            print(pieces, found, out)?;
        }
    }
    if frame.json {
        let all = json!({ "schema": "setterwright.calibration", "version": 1, "feedstocks": told });
        print_json(out, &all)?;
    }
    Ok(if calibrated { 0 } else { NO_ANSWER })
}

/// What a density in per cent of full density can be (assumed: weighing may be off by a little).
const DENSITY_PCT: (f64, f64) = (20.0, 105.0);
/// A sintered length over the green one: none swells by more, none shrinks by more (assumed).
const LENGTH_SHARE: (f64, f64) = (0.6, 1.05);
/// So near to its end the curve is flat (assumed).
const FLAT: f64 = 0.02;
/// Two answers whose a and b differ by less are told as one (assumed).
const ALIKE: f64 = 0.05;
/// Exit where there is no answer.
const NO_ANSWER: u8 = 2;

/// What is done with a load.
pub(crate) type Then<'a> = &'a mut dyn FnMut(&Asked) -> Outcome;

/// Reads a table of pieces. `open` hands over the load of the rows that name none.
pub(crate) fn measured(
    path: &Path,
    shop: Option<&Path>,
    open: &mut dyn FnMut(Then) -> Outcome,
) -> Result<ByFeedstock, Failure> {
    let table = Table::read(path, logs::wanted_of_pieces())?;
    table.needs(&["lot", "part"])?;
    table.needs(&["level"])?;
    table.needs(&["density_pct", "green_mm"])?;
    let folder = path.parent().unwrap_or(Path::new(""));
    // Rows by the load file of their run.
    let mut runs: BTreeMap<Option<PathBuf>, Vec<usize>> = BTreeMap::new();
    for row in 0..table.rows() {
        let other = table.word(row, "load").map(|name| folder.join(name));
        runs.entry(other).or_default().push(row);
    }
    let mut all = ByFeedstock::new();
    for (load, rows) in &runs {
        let mut then = |asked: &Asked| {
            let made = of(asked, &|| false)?;
            for &row in rows {
                piece(&table, row, asked, &made, &mut all)?;
            }
            Ok(0)
        };
        match load {
            Some(load) => with_load(load, shop, |_, asked| then(asked))?,
            None => open(&mut then)?,
        };
    }
    Ok(all)
}

/// One row: where the piece lay, and what was measured of it.
fn piece(
    table: &Table,
    row: usize,
    asked: &Asked,
    made: &PlanForecast,
    all: &mut ByFeedstock,
) -> Result<(), Failure> {
    let line = table.line(row);
    let gone = |column: &str, word: &str| {
        table.fault(&match word {
            "" => calibrating::empty(column, line),
            word => say::names_nothing(column, line, word),
        })
    };
    let keys = &made.prepared.keys;
    let (column, word) = match (table.word(row, "lot"), table.word(row, "part")) {
        (Some(lot), _) => ("lot", lot),
        (None, Some(part)) => ("part", part),
        (None, None) => return Err(gone("lot", "")),
    };
    let named = |is: &KindIs| match is {
        KindIs::Pieces { part, .. } if column == "part" => {
            asked.plan.part(*part).is_some_and(|p| p.name == word)
        }
        KindIs::Pieces { lot, .. } => lot
            .and_then(|id| asked.plan.lot(id))
            .is_some_and(|l| l.name == word),
        KindIs::Dummy { .. } => false,
    };
    let kind = keys.kinds.iter().position(|k| named(&k.is));
    let kind = kind.ok_or_else(|| gone(column, word))?;
    let KindIs::Pieces { part, .. } = keys.kinds[kind].is else {
        return Ok(());
    };
    let number = |column: &str| table.number(row, column);
    let need = |column: &str| number(column)?.ok_or_else(|| gone(column, ""));
    // Levels are counted up over all stacks, rings from the centre.
    let level = need("level")?;
    let rings = made.prepared.inputs.settings.zones;
    let ring = number("ring")?.unwrap_or((rings as f64 / 2.0).ceil());
    let counts = keys.stacks.iter().map(|(_, levels)| levels.len());
    let mut places = counts
        .enumerate()
        .flat_map(|(s, n)| (0..n).map(move |l| (s, l)));
    // Counted from 1; anything else is no level.
    let index = (level >= 1.0).then_some(level as usize);
    let at = index.and_then(|n| places.nth(n - 1));
    let all_levels = keys.stacks.iter().map(|(_, levels)| levels.len()).sum();
    let no_level = || table.fault(&calibrating::no_level(line, level, all_levels));
    let at = at.ok_or_else(no_level)?;
    let run = &made.forecast.nominal.run;
    let here = |n: &NodeAt, of: Place| {
        (n.stack, n.level) == at && n.place == of && n.zone as f64 + 1.0 == ring
    };
    // Where the core has a node of its own the forecast follows that.
    let core = run.nodes.iter().position(|n| here(n, Place::Core(kind)));
    let node = core.or_else(|| run.nodes.iter().position(|n| here(n, Place::Part(kind))));
    let no_node = || {
        let there = places_of(run, kind, keys);
        table.fault(&calibrating::no_ring(line, word, (level, ring), &there))
    };
    let node = node.ok_or_else(no_node)?;
    let Some(matter) = made.prepared.inputs.matter.get(kind) else {
        return Ok(());
    };
    let density = match number("density_pct")? {
        Some(pct) if !(DENSITY_PCT.0..=DENSITY_PCT.1).contains(&pct) => {
            return Err(table.fault(&logs::no_percent(line, pct)));
        }
        Some(pct) => pct / 100.0,
        // The metal stays: density goes as the cube of the lengths.
        None => {
            let (green, sintered) = (need("green_mm")?, need("sintered_mm")?);
            let share = sintered / green;
            if !(green > 0.0 && (LENGTH_SHARE.0..=LENGTH_SHARE.1).contains(&share)) {
                return Err(table.fault(&logs::no_shrinkage(line, green, sintered)));
            }
            matter.density * libm::pow(share, -3.0)
        }
    };
    let part = asked.plan.part(part);
    let slug = part.map_or_else(String::new, |p| p.feedstock.clone());
    let name = asked
        .catalogue
        .feedstock(&slug)
        .map_or_else(|| slug.clone(), |f| f.name.clone());
    let program = &made.prepared.inputs.program;
    let around = around(run, program);
    let pieces = all.entry(slug).or_insert_with(|| Pieces {
        name,
        sintering: matter.sintering.clone(),
        start: matter.density,
        points: Vec::new(),
    });
    pieces.points.push((
        line,
        Measured {
            history: run.series(node).collect(),
            caught: around.iter().map(|a| matter.catches(a)).collect(),
            heating_k_s: program.heating_k_s(),
            density,
        },
    ));
    Ok(())
}

/// Level and ring of all places of a kind, counted from 1.
fn places_of(run: &Run, kind: usize, keys: &Keys) -> Vec<(usize, usize)> {
    let is_kind = |n: &&NodeAt| n.place == Place::Part(kind) || n.place == Place::Core(kind);
    let below = |stack: usize| {
        keys.stacks
            .iter()
            .take(stack)
            .map(|(_, l)| l.len())
            .sum::<usize>()
    };
    let places = run.nodes.iter().filter(is_kind);
    let mut there: Vec<(usize, usize)> = places
        .map(|n| (below(n.stack) + n.level + 1, n.zone + 1))
        .collect();
    there.sort_unstable();
    there.dedup();
    there
}

/// Density that the forecast gives a piece with a lower branch.
pub(crate) fn by(branch: Branch, pieces: &Pieces, piece: &Measured) -> f64 {
    let sintering = pieces.sintering.as_ref();
    sintering.map_or(f64::NAN, |s| piece.density_by(s, pieces.start, branch))
}

fn used<'a>(
    pieces: &'a Pieces,
    unused: &'a [(usize, Unused)],
) -> impl Iterator<Item = &'a (usize, Measured)> {
    let all = pieces.points.iter().enumerate();
    all.filter(|(i, _)| unused.iter().all(|u| u.0 != *i))
        .map(|(_, p)| p)
}

/// Why there is no calibration.
pub(crate) fn why_not(name: &str, why: NotCalibrated) -> String {
    match why {
        NotCalibrated::TooFewPoints(n) => say::too_few(name, n),
        NotCalibrated::NoSpread => say::no_spread(name),
        NotCalibrated::Slope(found, was) => calibrating::slope(name, found, was),
        NotCalibrated::NothingTold => calibrating::nothing_told(name),
        NotCalibrated::Pores { rivals, from } => {
            let [one, other] = rivals.map(|by| (by.a, by.b));
            if (one.0 - other.0).abs() < ALIKE && (one.1 - other.1).abs() < ALIKE {
                return calibrating::pores_do_not_count(name, one);
            }
            calibrating::pores_either_way(name, one, other, (from.a, from.b))
        }
    }
}

/// No calibration: why, and each piece with what became of it.
fn print_why_not(pieces: &Pieces, why: NotCalibrated, out: &mut dyn Write) -> Result<(), Failure> {
    writeln!(out, "{}", why_not(&pieces.name, why))?;
    for said in each_said(pieces) {
        writeln!(out, "    {said}")?;
    }
    Ok(())
}

/// Each piece with what became of it, where there is no calibration.
pub(crate) fn each_said(pieces: &Pieces) -> Vec<String> {
    let (unused, far) = odd_pieces(pieces);
    let points = pieces.points.iter().enumerate();
    let said = points.map(|(i, (row, point))| {
        if let Some(said) = unused_said(pieces, i, &unused) {
            return said;
        }
        let said = calibrating::used(*row, point.density);
        match far.contains(&i) {
            true => format!("{said}; {}", calibrating::outlier()),
            false => said,
        }
    });
    said.collect()
}

/// Why a piece is not used, where it is not.
pub(crate) fn unused_said(
    pieces: &Pieces,
    piece: usize,
    unused: &[(usize, Unused)],
) -> Option<String> {
    let (row, point) = pieces.points.get(piece)?;
    let why = unused.iter().find(|u| u.0 == piece)?.1;
    Some(match why {
        Unused::Density(end) => calibrating::unused(*row, point.density, pieces.start, end),
        Unused::Pores => calibrating::pores_unknown(*row, point.density),
        Unused::UpperBranch(from_k) => {
            calibrating::upper_branch(*row, point.density, celsius(from_k))
        }
    })
}

/// Pieces that tell nothing, and those far off the others.
fn odd_pieces(pieces: &Pieces) -> (Vec<(usize, Unused)>, Vec<usize>) {
    let points: Vec<Measured> = pieces.points.iter().map(|p| p.1.clone()).collect();
    let by = pieces.sintering.as_ref();
    by.map_or_else(Default::default, |s| odd_ones(s, pieces.start, &points))
}

fn print(
    pieces: &Pieces,
    found: Option<Result<Calibration, NotCalibrated>>,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    let name = &pieces.name;
    let done = match found {
        Some(Ok(done)) => done,
        Some(Err(why)) => return print_why_not(pieces, why, out),
        None => return Ok(writeln!(out, "{}", say::nothing_to_calibrate(name))?),
    };
    writeln!(out, "{}", say::calibrated_head(name, done.points))?;
    let (from, to) = (done.from, done.to);
    let kj = (from.q_j_mol / 1e3, to.q_j_mol / 1e3);
    let [a, b, q] = done.error;
    let q = q.map(|e| e / 1e3);
    for (figure, name, was, is, error, unit) in [
        (Figure::A, "a", from.a, to.a, a, ""),
        (Figure::B, "b", from.b, to.b, b, ""),
        (Figure::Energy, "Q", kj.0, kj.1, q, "kJ/mol"),
    ] {
        let said = if done.kept.contains(&figure) {
            say::kept(name, was, unit)
        } else {
            say::moved(name, was, is, error, unit)
        };
        writeln!(out, "  {said}")?;
        if error.is_none() && was != is {
            writeln!(out, "    {}", calibrating::no_error(name))?;
        }
    }
    if done.error[2].is_some() {
        writeln!(out, "  {}", calibrating::together())?;
    }
    if done.one_rate {
        writeln!(out, "  {}", calibrating::one_rate())?;
    }
    for (i, (row, point)) in pieces.points.iter().enumerate() {
        if let Some(said) = unused_said(pieces, i, &done.unused) {
            writeln!(out, "    {said}")?;
            continue;
        }
        let (before, after) = (by(from, pieces, point), by(to, pieces, point));
        writeln!(
            out,
            "    {}",
            say::piece(*row, point.density, before, after)
        )?;
        if done.outliers.contains(&i) {
            writeln!(out, "      {}", calibrating::outlier())?;
        }
    }
    writeln!(
        out,
        "  {}",
        say::residual(done.residual_from, done.residual)
    )?;
    if pieces.sintering.as_ref().is_some_and(|s| s.high.is_some()) {
        writeln!(out, "  {}", say::lower_branch_only())?;
    }
    if used(pieces, &done.unused).any(|(_, p)| pieces.is_flat(p)) {
        writeln!(out, "  {}", say::flat())?;
    }
    writeln!(
        out,
        "  densifying: (branch: (kj_mol: {:.1}, a: {:.5}, b: {:.4}), ...)",
        kj.1, to.a, to.b
    )?;
    Ok(())
}

fn as_json(
    slug: &str,
    pieces: &Pieces,
    found: Option<&Result<Calibration, NotCalibrated>>,
) -> Value {
    let branch = |b: Branch| json!({ "kj_mol": b.q_j_mol / 1e3, "a": b.a, "b": b.b });
    let rows = |of: &[usize]| -> Vec<usize> {
        let rows = of.iter().filter_map(|&i| pieces.points.get(i));
        rows.map(|(row, _)| *row).collect()
    };
    let above = |u: &&(usize, Unused)| matches!(u.1, Unused::UpperBranch(_));
    let done = found.and_then(|f| f.as_ref().ok());
    let (unused, far) = match done {
        Some(done) => (done.unused.clone(), done.outliers.clone()),
        None => odd_pieces(pieces),
    };
    let why = match found {
        Some(Err(why)) => Some(why_not(&pieces.name, *why)),
        None => Some(say::nothing_to_calibrate(&pieces.name)),
        Some(Ok(_)) => None,
    };
    json!({
        "feedstock": slug,
        "pieces": pieces.points.len(),
        "not_calibrated": why,
        "from": done.map(|d| branch(d.from)),
        "to": done.map(|d| branch(d.to)),
        "standard_error": done.map(|d| json!({
            "a": d.error[0], "b": d.error[1], "kj_mol": d.error[2].map(|e| e / 1e3),
        })),
        "not_determined": done.map(|d| d.kept.iter().map(|f| match f {
            Figure::A => "a",
            Figure::B => "b",
            Figure::Energy => "kj_mol",
        }).collect::<Vec<_>>()),
        "rows_not_used": rows(&unused.iter().map(|u| u.0).collect::<Vec<_>>()),
        "rows_of_the_upper_branch": rows(&unused.iter().filter(above).map(|u| u.0).collect::<Vec<_>>()),
        "rows_far_off": rows(&far),
        "residual_from": done.map(|d| d.residual_from),
        "residual": done.map(|d| d.residual),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two answers that read the same are not told as two.
    #[test]
    fn answers_that_are_one_are_told_as_one() {
        let at = |a: f64, b: f64| Branch {
            q_j_mol: 280e3,
            a,
            b,
        };
        let said = |one, other| {
            let (rivals, from) = ([one, other], at(-23.7, 1.3));
            why_not("powder", NotCalibrated::Pores { rivals, from })
        };
        let alike = said(at(-23.40, 1.49), at(-23.40, 1.48));
        assert!(alike.contains("not calibrated") && !alike.contains("Two answers"));
        assert!(alike.contains("a = -23.40 with b = 1.49"), "{alike}");
        let apart = said(at(-23.65, 0.78), at(-22.30, 0.34));
        assert!(apart.contains("Two answers"), "{apart}");
    }
}
