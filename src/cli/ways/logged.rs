//! Logs of a furnace as they are given: refused with a sentence where they cannot be what they say,
//! told where that is doubtful.

use super::Failure;
use super::table::{Pairs, Table};
use crate::catalogue::Furnace;
use crate::forecast::chemistry::celsius;
use crate::forecast::constants::ZERO_C;
use crate::forecast::inputs::Case;
use crate::forecast::logs::{self, Bounds, Fault, Power, from_fahrenheit};
use crate::forecast::plan::{NoForecast, Prepared};
use crate::forecast::stopped::planned;
use crate::text::{fitting, log_ends as off, logs as say};
use std::ops::RangeInclusive;

/// From here on a first row is told as late, s (assumed).
const LATE_S: f64 = 60.0;
/// No log is so many times as long as its program (assumed).
const MUCH_LONGER: f64 = 10.0;
/// A room in which a run begins, °C (assumed).
const ROOM_C: RangeInclusive<f64> = 15.0..=35.0;
/// What a first row that was meant in kelvin comes to, °C (assumed).
const IF_KELVIN_C: RangeInclusive<f64> = 0.0..=50.0;

/// Times, s, and what was read at them.
pub(super) type Points = Vec<(f64, f64)>;

/// A column of temperatures, in K.
pub(super) struct Logged {
    table: Pairs,
    /// (s, K), rising in time.
    pub(super) points: Vec<(f64, f64)>,
}

/// What a log is held against: the furnace's record, and where the run begins if that is known.
fn bounds(furnace: &Furnace, start_k: Option<f64>) -> Bounds {
    Bounds {
        max_k: furnace.max_c + ZERO_C,
        ramp_k_s: furnace.ramp_max_k_min / 60.0,
        start_k,
    }
}

/// Reads a column in °C.
///
/// # Errors
/// A sentence, where it cannot be that of this furnace.
pub(super) fn temperatures(
    table: &Table,
    column: &str,
    furnace: &Furnace,
    start_k: Option<f64>,
) -> Result<Logged, Failure> {
    let pairs = table.pairs("time_s", column)?;
    let kelvin = pairs.points.iter().map(|(t, c)| (*t, c + ZERO_C));
    let points: Vec<(f64, f64)> = kelvin.collect();
    let Some(fault) = logs::fault(&points, &bounds(furnace, start_k)) else {
        return Ok(Logged {
            table: pairs,
            points,
        });
    };
    let at = |row: usize| points.get(row).copied().unwrap_or_default();
    let c = |row: usize| celsius(at(row).1);
    let why = match fault {
        Fault::Cold(row) => say::cold(pairs.line(row), c(row)),
        Fault::Hot(row) => {
            let as_f_c = celsius(from_fahrenheit(at(row).1));
            let fits = Some(as_f_c).filter(|c| *c <= furnace.max_c);
            say::hot(pairs.line(row), c(row), furnace.max_c, fits)
        }
        Fault::Fast(from, to) => say::fast(
            (pairs.line(from), pairs.line(to)),
            at(to).1 - at(from).1,
            at(to).0 - at(from).0,
            furnace.ramp_max_k_min,
        ),
        Fault::Spike(row) => off::spike(pairs.line(row), c(row), c(row - 1), c(row + 1)),
        Fault::Gap(row) => {
            let minutes = (at(row + 1).0 - at(row).0) / 60.0;
            say::wide_gap(pairs.line(row), minutes, c(row), c(row + 1))
        }
        Fault::BeginsHot => {
            let start_c = celsius(start_k.unwrap_or_default());
            let as_k_c = Some(c(0) - ZERO_C).filter(|c| IF_KELVIN_C.contains(c));
            say::begins_hot(pairs.line(0), c(0), start_c, as_k_c)
        }
    };
    Err(table.fault(&why))
}

impl Logged {
    /// What is doubtful of it by itself.
    pub(super) fn doubts(&self, furnace: &Furnace) -> Vec<String> {
        let mut out = Vec::new();
        if let Some(row) = logs::widest_gap(&self.points)
            && let Some([a, b]) = self.points.get(row..row + 2)
        {
            out.push(say::gap(self.table.line(row), (b.0 - a.0) / 60.0));
        }
        let first_s = self.points.first().map_or(0.0, |p| p.0);
        if first_s >= LATE_S {
            out.push(say::begins_late(first_s));
        }
        let most_k = self.points.iter().map(|p| p.1).fold(0.0, f64::max);
        if celsius(most_k) > furnace.max_c {
            out.push(say::over(celsius(most_k), furnace.max_c));
        }
        out
    }

    /// Whether it begins at what is room temperature in °F.
    pub(super) fn perhaps_fahrenheit(&self) -> Option<String> {
        let first = celsius(self.points.first()?.1);
        let as_f = celsius(from_fahrenheit(first + ZERO_C));
        ROOM_C
            .contains(&as_f)
            .then(|| say::perhaps_fahrenheit(first, as_f))
    }

    /// Takes it up to a time, s from its first row, only; and says what is left out.
    ///
    /// # Errors
    /// A sentence, where the time lies outside.
    pub(super) fn until(&mut self, table: &Table, end_s: f64) -> Result<Option<String>, Failure> {
        let ends = || Some(self.points.last()?.0 - self.points.first()?.0);
        let (minute, end_min) = (end_s / 60.0, ends().unwrap_or_default() / 60.0);
        let Some(part) = logs::until(&self.points, end_s) else {
            return Err(table.fault(&off::stopped_outside(minute, end_min)));
        };
        self.points = part;
        Ok((end_min > minute).then(|| off::left_out(minute, end_min)))
    }

    /// How far it is off the plan of its run, which tells what was around the load.
    ///
    /// # Errors
    /// No forecast.
    pub(super) fn off_plan(&self, prepared: &Prepared) -> Result<Option<String>, Failure> {
        let made = planned(&prepared.inputs, &Case::nominal(), &self.points);
        let (planned, _) = made.map_err(NoForecast::Run)?;
        let first_s = self.points.first().map_or(0.0, |p| p.0);
        let said = logs::beside(&self.points, &planned).and_then(|off| {
            let minute = (self.points.get(off.row)?.0 - first_s) / 60.0;
            Some(fitting::off_plan(
                self.table.line(off.row),
                minute,
                off.off_k,
            ))
        });
        Ok(said)
    }

    /// What is doubtful of it beside the program that it is a log of, and beside sinter ranges (name
    /// of the feedstock, from and to, °C).
    ///
    /// # Errors
    /// A sentence, where it is in °F by all that can be told; or no forecast.
    pub(super) fn beside(
        &self,
        table: &Table,
        prepared: &Prepared,
        ranges: &[(String, f64, f64)],
    ) -> Result<Vec<String>, Failure> {
        let inputs = &prepared.inputs;
        let made = planned(inputs, &Case::nominal(), &self.points);
        let (planned, end_s) = made.map_err(NoForecast::Run)?;
        let first_s = self.points.first().map_or(0.0, |p| p.0);
        let last_s = self.points.last().map_or(0.0, |p| p.0) - first_s;
        if last_s > MUCH_LONGER * end_s {
            let why = off::milliseconds(last_s / 3600.0, end_s / 3600.0);
            return Err(table.fault(&why));
        }
        let mut out = Vec::new();
        let fall = logs::falls_away(&self.points, &planned);
        if let Some(off) = logs::beside(&self.points, &planned)
            && let Some((t, k)) = self.points.get(off.row)
        {
            let (line, planned_c) = (self.table.line(off.row), celsius(off.planned_k));
            if off.fahrenheit {
                return Err(table.fault(&say::fahrenheit(line, celsius(*k), planned_c)));
            }
            let minute = |t: f64| (t - first_s) / 60.0;
            if let Some((row, at)) = fall.and_then(|row| Some((row, self.points.get(row)?))) {
                let (line, c) = (self.table.line(row), celsius(at.1));
                out.push(off::off_from(line, minute(at.0), c));
            }
            // What comes of the fall is not told again.
            if fall.is_none_or(|row| off.row < row) {
                let planned = (off.segment + 1, planned_c);
                let as_f_c = off.as_fahrenheit_k.map(celsius);
                let said = say::off_program(line, off.off_k, minute(*t), planned, as_f_c);
                out.push(said);
            }
        }
        // Behind a fall nothing is as planned, which is told.
        let before = fall.map_or(planned.len(), |row| planned.len().min(row + 1));
        let before = planned.get(..before).unwrap_or(&planned);
        if let Some(apart) = logs::apart(&self.points, before, &inputs.program)
            && let Some((t, _)) = self.points.get(apart.row)
        {
            let minute = (t - first_s) / 60.0;
            let line = self.table.line(apart.row);
            out.push(off::apart(line, minute, apart.off_k, apart.ramp_s / 60.0));
        }
        for (name, from_c, to_c) in ranges {
            let range = (from_c + ZERO_C, to_c + ZERO_C);
            let off_k = logs::outside(&self.points, &planned, range);
            // One that fell away before it never came to it.
            if let Some(off_k) = off_k.filter(|off_k| *off_k > 0.0 || fall.is_none()) {
                out.push(off::outside_sinter(name, off_k, *from_c, *to_c));
            }
        }
        if planned.len() < self.points.len() {
            out.push(say::goes_on(last_s / 60.0, end_s / 60.0));
        }
        Ok(out)
    }
}

/// Reads electric power, W, with what is doubtful of it.
///
/// # Errors
/// A sentence, where it cannot be that of this furnace.
pub(super) fn power(table: &Table, furnace: &Furnace) -> Result<(Points, Option<String>), Failure> {
    if table.column("power_w").is_none() {
        return Ok((Vec::new(), None));
    }
    let pairs = table.pairs("time_s", "power_w")?;
    let most = pairs.points.iter().map(|p| p.1).fold(0.0, f64::max);
    let kw = furnace.power_kw;
    let refused = match logs::power(&pairs.points, 1e3 * kw) {
        Power::Negative(row) => say::negative_power(pairs.line(row)),
        Power::NextToNothing => say::no_power(most, kw),
        Power::Beyond => say::much_power(most, kw),
        Power::NeverNear => return Ok((pairs.points, Some(say::never_near(most / 1e3, kw)))),
        Power::Within => return Ok((pairs.points, None)),
    };
    Err(table.fault(&refused))
}
