//! A run that was stopped: where the load is, and what each way on gives.

use super::logged::{Points, temperatures};
use super::table::Table;
use super::{Failure, Flags, Frame, Outcome, Way, with_load};
use crate::cli::forecast::{HOURS, PERCENT, whole};
use crate::cli::forecast_margins::{beside_density, densities_asked};
use crate::cli::print_json;
use crate::cli::review::found_said;
use crate::forecast::burnout::Component;
use crate::forecast::chemistry::celsius;
use crate::forecast::follow_log::NEAR_K;
use crate::forecast::inputs::Case;
use crate::forecast::matter::densities;
use crate::forecast::plan::printed::{figure_in_brackets, in_brackets};
use crate::forecast::plan::{
    Asked, InCases, KindIs, Missing, NoForecast, Prepared, Which, of, prepare,
};
use crate::forecast::stopped::{
    Now, WayOn, at_clock, at_time, from_log, length_s, paused, program_s, way_on,
};
use crate::forecast::whole::CaseForecast;
use crate::text::{forecast as words, log_ends, logs, stopping, ways as say};
use serde_json::{Value, json};
use std::io::Write;
use std::path::Path;

/// A way with its words.
pub(crate) const WAYS: [(Way, WayOn, &str); 3] = [
    (Way::GoOn, WayOn::GoOn, "go_on"),
    (Way::RepeatHold, WayOn::RepeatHold, "repeat_hold"),
    (Way::CoolAndReload, WayOn::Again, "cool_and_reload"),
];

/// Where the load is in a case, and the ways on from there.
pub(crate) struct Told {
    /// Now.
    pub(crate) now: Now,
    /// Where the ways on begin: the same, or after a pause.
    pub(crate) from: Now,
    /// Index in [`WAYS`], and what the way gives.
    pub(crate) ways: Vec<(usize, CaseForecast)>,
}

pub(super) fn run(flags: &Flags, frame: &Frame, out: &mut dyn Write) -> Outcome {
    let file = frame.file()?;
    with_load(file, frame.shop, |load, asked| {
        let prepared = prepare(asked).map_err(NoForecast::Missing)?;
        let minutes = flags.stopped_at.unwrap_or(0.0);
        if !(minutes.is_finite() && minutes >= 0.0) {
            return Err(Failure::Input(say::minutes_cannot_be()));
        }
        let log = match &flags.log {
            Some(path) => {
                let until_s = flags.stopped_at.map(|min| 60.0 * min);
                Some(read_log(path, asked, &prepared, until_s)?)
            }
            None => None,
        };
        let pause = flags.pause.unwrap_or(0.0);
        if !(0.0..=MOST_PAUSE_MIN).contains(&pause) {
            return Err(Failure::Input(stopping::pause_cannot_be(MOST_PAUSE_MIN)));
        }
        let segments = prepared.inputs.program.segments.len();
        // Counted from 1: nought is none either.
        let ran_last = flags.segment.map(|n| n.wrapping_sub(1));
        if let Some(last) = ran_last.filter(|last| *last >= segments) {
            let said = say::shorter_no_segment(last.wrapping_add(1), segments);
            return Err(Failure::Input(said));
        }
        let question = Question {
            prepared: &prepared,
            log: log.as_ref().map(|l| &l.0[..]),
            ran_last,
            at_s: minutes * 60.0,
            by_clock: flags.by_clock,
            pause_s: 60.0 * pause,
            way: flags.way,
        };
        let told = question.in_cases()?;
        let shown = Shown {
            prepared: &prepared,
            told: &told,
            least: &densities_asked(asked, &prepared),
        };
        if frame.json {
            let mut all = as_json(&load.plan.title, &shown);
            all["log_doubts"] = json!(log.as_ref().map(|l| &l.1));
            print_json(out, &all)?;
        } else {
            let doubts = log.as_ref().map_or(&[][..], |l| &l.1);
            if !doubts.is_empty() {
                writeln!(out, "{}", logs::doubts())?;
            }
            for doubt in doubts {
                writeln!(out, "  {doubt}")?;
            }
            let ends = log.as_ref().and_then(|l| l.0.last());
            // A segment that is said needs no telling.
            match ran_last {
                None => {
                    if let Some((_, k)) = ends {
                        let segment = told.nominal.now.segment + 1;
                        writeln!(out, "{}", logs::ends_at(celsius(*k), segment))?;
                    }
                }
                Some(last) if log.is_some() => {
                    writeln!(out, "{}", log_ends::holds_from(last + 1, NEAR_K))?;
                }
                Some(_) => {}
            }
            print(&load.plan.title, &shown, log.is_some(), out)?;
            let found = found_said(load, &of(asked, &|| false), file);
            writeln!(out, "{}", stopping::of_the_plan(&found))?;
        }
        Ok(0)
    })
}

/// A log of the chamber, (s, K), up to a time, s from its first row, where one is given; and what is
/// doubtful of it.
pub(crate) fn read_log(
    path: &Path,
    asked: &Asked,
    prepared: &Prepared,
    until_s: Option<f64>,
) -> Result<(Points, Vec<String>), Failure> {
    let slug = &asked.plan.load.furnace;
    let missing = || NoForecast::Missing(vec![Missing::Furnace(slug.clone())]);
    let furnace = asked.catalogue.furnace(slug).ok_or_else(missing)?;
    let table = Table::read(path, logs::wanted_of_log())?;
    let start_k = prepared.inputs.program.start_k;
    let mut log = temperatures(&table, "temperature_c", furnace, Some(start_k))?;
    let left_out = match until_s {
        Some(end_s) => log.until(&table, end_s)?,
        None => None,
    };
    let mut doubts = log.doubts(furnace);
    doubts.extend(log.beside(&table, prepared, &sinter_ranges(asked, prepared))?);
    doubts.extend(left_out);
    Ok((log.points, doubts))
}

/// Sinter ranges of what stands in the load: name of the feedstock, from and to, °C.
fn sinter_ranges(asked: &Asked, prepared: &Prepared) -> Vec<(String, f64, f64)> {
    let mut out: Vec<(String, f64, f64)> = Vec::new();
    for key in &prepared.keys.kinds {
        let KindIs::Pieces { part, .. } = key.is else {
            continue;
        };
        let feedstock = asked.plan.part(part).map(|p| &p.feedstock);
        let Some(f) = feedstock.and_then(|slug| asked.catalogue.feedstock(slug)) else {
            continue;
        };
        let range = (f.name.clone(), f.sinter.from_c, f.sinter.to_c);
        if !out.contains(&range) {
            out.push(range);
        }
    }
    out
}

/// What is asked of each case.
pub(crate) struct Question<'a> {
    /// The plan, prepared.
    pub(crate) prepared: &'a Prepared,
    /// The chamber so far, s and K; goes before the time.
    pub(crate) log: Option<&'a [(f64, f64)]>,
    /// The segment, from 0, that ran last by a log, where somebody knows better than the plan.
    pub(crate) ran_last: Option<usize>,
    /// When it stopped, s.
    pub(crate) at_s: f64,
    /// Whether that is by the program's clock.
    pub(crate) by_clock: bool,
    /// For how long the furnace stands off before a way on, s.
    pub(crate) pause_s: f64,
    /// Only this way on.
    pub(crate) way: Option<Way>,
}

/// Longest time that a furnace is followed while it stands off, min (assumed: a week).
pub(crate) const MOST_PAUSE_MIN: f64 = 7.0 * 24.0 * 60.0;

impl Question<'_> {
    /// All cases that there are.
    pub(crate) fn in_cases(&self) -> Result<InCases<Told>, Failure> {
        let mut told = InCases {
            nominal: self.told(&Case::nominal(), None)?,
            cold: None,
            hot: None,
        };
        if let Some(both) = &self.prepared.inputs.cases {
            told.cold = Some(self.told(&both.cold, Some(&told.nominal.now))?);
            told.hot = Some(self.told(&both.hot, Some(&told.nominal.now))?);
        }
        Ok(told)
    }

    /// A case; the nominal one first, whose stop after its end is none. In another it is at its end then,
    /// and a log, which is of one furnace, ended in the same segment.
    fn told(&self, case: &Case, nominal: Option<&Now>) -> Result<Told, Failure> {
        let inputs = &self.prepared.inputs;
        let now = match self.log {
            Some(log) => {
                let ran_last = self.ran_last.or(nominal.map(|now| now.segment));
                from_log(inputs, case, log, ran_last).map(|now| match (now, nominal) {
                    (Some(now), Some(nominal)) => Some(now.as_far_as(nominal, &inputs.program)),
                    (now, _) => now,
                })
            }
            None if self.by_clock => at_clock(inputs, case, self.at_s),
            None => at_time(inputs, case, self.at_s),
        };
        let nothing = || Failure::Input(say::nothing_ran());
        let now = match now.map_err(NoForecast::Run)? {
            Some(now) => now,
            None if self.log.is_some() => return Err(nothing()),
            None => {
                let end_s = program_s(inputs, case).map_err(NoForecast::Run)?;
                if nominal.is_none() {
                    let clock_s = length_s(&inputs.program);
                    let end_s = if self.by_clock { clock_s } else { end_s };
                    let (at, end) = (self.at_s / 60.0, end_s / 60.0);
                    let said = say::stopped_after_end(at, end, self.by_clock);
                    return Err(Failure::Input(said));
                }
                let now = at_time(inputs, case, end_s).map_err(NoForecast::Run)?;
                now.ok_or_else(nothing)?
            }
        };
        let from = match self.pause_s > 0.0 {
            true => paused(inputs, case, &now, self.pause_s).map_err(NoForecast::Run)?,
            false => now.clone(),
        };
        let mut ways = Vec::new();
        for (i, (word, way, _)) in WAYS.iter().enumerate() {
            if self.way.is_none_or(|only| only == *word) {
                let on = way_on(inputs, case, &from, *way).map_err(NoForecast::Run)?;
                ways.push((i, on));
            }
        }
        Ok(Told { now, from, ways })
    }
}

/// Least and most over places.
fn range(values: impl Iterator<Item = f64>) -> Option<(f64, f64)> {
    values.fold(None, |range, x| {
        let (lo, hi) = range.unwrap_or((x, x));
        Some((f64::min(lo, x), f64::max(hi, x)))
    })
}

/// Least and most of a component, by its number, that is left of what entered; none where nobody
/// knows how it burns out.
pub(crate) fn left_now(
    now: &Now,
    kind: usize,
    (number, component): (usize, &Component),
) -> Option<(f64, f64)> {
    let places = now.had.places.get(kind).filter(|_| component.is_known())?;
    range(places.iter().filter_map(|p| p.left.get(number).copied()))
}

/// Least and most density; none where a place has none.
pub(crate) fn density_now(now: &Now, kind: usize) -> Option<(f64, f64)> {
    densities(now.had.places.get(kind)?.iter().map(|p| p.density))
}

/// Binder left at the worst place and density of a kind at the end of a way.
pub(crate) fn at_end(case: &CaseForecast, kind: usize) -> AtEnd {
    let Some(found) = case.matter.kinds.get(kind) else {
        return (None, None);
    };
    let left = found.left.last().map(|l| l.1).filter(|l| !l.is_nan());
    (left, densities(found.places.iter().map(|p| p.density)))
}

/// Binder left, and least and most density.
pub(crate) type AtEnd = (Option<f64>, Option<(f64, f64)>);

/// What a kind has now.
pub(crate) fn now_said(prepared: &Prepared, told: &InCases<Told>, kind: usize) -> Vec<String> {
    let none = words::not_evaluated();
    let components = prepared.inputs.matter.get(kind).map(|m| &m.components);
    let components = components.into_iter().flatten().enumerate();
    let left = components.map(|(i, component)| {
        let left = told.map(|t| left_now(&t.now, kind, (i, component)));
        let least = in_brackets(&left, PERCENT, &none, |l| l.and_then(|l| point(l.0)));
        let most = in_brackets(&left, PERCENT, &none, |l| l.and_then(|l| point(l.1)));
        say::now_left(&component.name, &least, &most)
    });
    let density = told.map(|t| density_now(&t.now, kind));
    let density = in_brackets(&density, PERCENT, &prepared.why_no_density(kind), |d| *d);
    left.chain([say::now_density(&density)]).collect()
}

/// What a kind has at the end of a way, and its density beside the least that is asked.
pub(crate) fn then_said(
    prepared: &Prepared,
    told: &InCases<Told>,
    (way, kind): (usize, usize),
    least: Option<f64>,
) -> ([String; 2], Option<String>) {
    let none = words::not_evaluated();
    let end = told.map(|t| t.ways.get(way).map_or((None, None), |w| at_end(&w.1, kind)));
    let left = in_brackets(&end, PERCENT, &none, |e| e.0.and_then(point));
    let density = end.map(|e| e.1);
    let said = in_brackets(&density, PERCENT, &prepared.why_no_density(kind), |d| *d);
    let beside = least.and_then(|least| beside_density(least, &density));
    ([words::left(&left), words::density(&said)], beside)
}

/// How long a way takes: its program, and until it may be unloaded.
pub(crate) fn times_said(told: &InCases<Told>, way: usize) -> [String; 2] {
    let on = told.map(|t| t.ways.get(way).map(|w| &w.1));
    let min = |s: f64| point(s / 60.0);
    let (never, none) = (words::not_followed(), words::not_evaluated());
    [
        in_brackets(&on, HOURS, &none, |w| min(w.as_ref()?.run.program_end_s)),
        in_brackets(&on, HOURS, &never, |w| min(w.as_ref()?.run.load_unload_s?)),
    ]
}

/// Where the survey begins, °C, if that is above what the load, or the binder that it held, has seen so
/// far: the cold and the hot case are no more than the nominal one below.
pub(crate) fn surveyed_from_c(prepared: &Prepared, now: &Now) -> Option<f64> {
    prepared.surveyed_from_c(now.hottest_k())
}

/// Both ends of a figure.
fn point(x: f64) -> Option<(f64, f64)> {
    Some((x, x))
}

/// What the trap has caught so far.
pub(crate) fn caught_g(told: &InCases<Told>) -> String {
    let caught = told.map(|t| t.now.caught_kg);
    in_brackets(&caught, whole("g"), &words::not_evaluated(), |kg| {
        kg.and_then(|kg| point(1e3 * kg))
    })
}

/// The sentence that tells where the load is: a log tells the chamber, and no setpoint.
pub(crate) fn now_at(by_log: bool, now: &Now, coldest: &str, hottest: &str) -> String {
    match by_log {
        true => log_ends::now_at(celsius(now.chamber_k), coldest, hottest),
        false => say::now_at(celsius(now.setpoint_k), coldest, hottest),
    }
}

/// What is printed.
struct Shown<'a> {
    prepared: &'a Prepared,
    told: &'a InCases<Told>,
    /// The least density that is asked of each kind.
    least: &'a [Option<f64>],
}

fn print(title: &str, shown: &Shown, by_log: bool, out: &mut dyn Write) -> Result<(), Failure> {
    let Shown { prepared, told, .. } = shown;
    let first = &told.nominal.now;
    let (minutes, clock) = (first.time_s / 60.0, first.clock_s / 60.0);
    let head = say::stopped_head(title, minutes, clock, first.segment + 1);
    writeln!(out, "{head}")?;
    if let Some(why) = &prepared.no_cases {
        writeln!(out, "{why}")?;
    }
    for what in &prepared.lacking {
        writeln!(out, "{}", what.said())?;
    }
    let degrees = |of: fn(&Told) -> f64| figure_in_brackets(&told.map(of), whole("°C"));
    let coldest = degrees(|t| celsius(t.now.extremes_k.0));
    let hottest = degrees(|t| celsius(t.now.extremes_k.1));
    writeln!(out, "  {}", now_at(by_log, first, &coldest, &hottest))?;
    if let Some(from_c) = surveyed_from_c(prepared, first) {
        writeln!(out, "  {}", stopping::not_surveyed(from_c))?;
    }
    let caught = caught_g(told);
    writeln!(out, "  {}", say::now_trap(&caught))?;
    for (k, key) in prepared.keys.kinds.iter().enumerate() {
        writeln!(out, "  {}", words::kind_head(&key.name, key.pieces))?;
        for said in now_said(prepared, told, k) {
            writeln!(out, "    {said}")?;
        }
    }
    let said = if first.paused_s == told.nominal.from.paused_s {
        stopping::at_once()
    } else {
        let coldest = degrees(|t| celsius(t.from.extremes_k.0));
        let hottest = degrees(|t| celsius(t.from.extremes_k.1));
        stopping::after_pause(told.nominal.from.paused_s / 60.0, &coldest, &hottest)
    };
    writeln!(out, "\n{said}")?;
    for n in 0..told.nominal.ways.len() {
        print_way(shown, n, out)?;
    }
    writeln!(out, "\n{}", words::not_permission())?;
    Ok(())
}

fn print_way(shown: &Shown, n: usize, out: &mut dyn Write) -> Result<(), Failure> {
    let Shown {
        prepared,
        told,
        least,
    } = shown;
    let Some((which, _)) = told.nominal.ways.get(n) else {
        return Ok(());
    };
    let (way, name) = match which {
        0 => (Way::GoOn, say::go_on()),
        1 => (Way::RepeatHold, say::repeat_hold()),
        _ => (Way::CoolAndReload, say::reload()),
    };
    writeln!(out, "\n{}", say::way_head(name))?;
    let [ends, unload] = times_said(told, n);
    writeln!(out, "  {}", say::way_time(&ends, &unload))?;
    if way == Way::CoolAndReload {
        writeln!(out, "  {}", say::way_cooling())?;
    }
    for (k, key) in prepared.keys.kinds.iter().enumerate() {
        writeln!(out, "  {}", words::kind_head(&key.name, key.pieces))?;
        let asked = least.get(k).copied().flatten();
        let (lines, beside) = then_said(prepared, told, (n, k), asked);
        for said in lines {
            writeln!(out, "    {said}")?;
        }
        if let Some(said) = beside {
            writeln!(out, "      {said}")?;
        }
    }
    Ok(())
}

fn as_json(title: &str, shown: &Shown) -> Value {
    let Shown {
        prepared,
        told,
        least,
    } = shown;
    let first = &told.nominal.now;
    let case = |(which, t): (Which, &Told)| {
        let kinds = prepared.keys.kinds.iter().enumerate();
        let kinds: Vec<Value> = kinds
            .map(|(k, key)| {
                let components = prepared.inputs.matter.get(k).map(|m| &m.components);
                let components = components.into_iter().flatten().enumerate();
                let left: Vec<Value> = components
                    .map(|(i, c)| {
                        let both = left_now(&t.now, k, (i, c));
                        json!({ "component": c.name, "least": both.map(|b| b.0), "most": both.map(|b| b.1) })
                    })
                    .collect();
                json!({ "kind": key.name, "pieces": key.pieces, "left": left, "density": density_now(&t.now, k), "density_asked": least.get(k) })
            })
            .collect();
        let ways: Vec<Value> = t
            .ways
            .iter()
            .map(|(i, way)| {
                let kinds: Vec<Value> = (0..prepared.keys.kinds.len())
                    .map(|k| {
                        let (left, density) = at_end(way, k);
                        json!({ "kind": prepared.keys.kinds[k].name, "binder_left": left, "density": density })
                    })
                    .collect();
                json!({
                    "way": WAYS.get(*i).map(|w| w.2),
                    "program_min": way.run.program_end_s / 60.0,
                    "load_unload_min": way.run.load_unload_s.map(|s| s / 60.0),
                    "kinds": kinds,
                })
            })
            .collect();
        json!({
            "case": match which {
                Which::Nominal => words::nominal(),
                Which::Cold => words::cold(),
                Which::Hot => words::hot(),
            },
            "coldest_c": celsius(t.now.extremes_k.0),
            "hottest_c": celsius(t.now.extremes_k.1),
            "trap_caught_g": t.now.caught_kg.map(|kg| 1e3 * kg),
            "after_pause_coldest_c": celsius(t.from.extremes_k.0),
            "after_pause_hottest_c": celsius(t.from.extremes_k.1),
            "kinds": kinds,
            "ways": ways,
        })
    };
    json!({
        "schema": "setterwright.stopped",
        "version": 1,
        "title": title,
        "never_permission_to_open": true,
        "time_min": first.time_s / 60.0,
        "clock_min": first.clock_s / 60.0,
        "pause_min": told.nominal.from.paused_s / 60.0,
        "segment": first.segment + 1,
        "setpoint_c": celsius(first.setpoint_k),
        "cases_not_evaluated": prepared.no_cases.map(|why| why.to_string()),
        "cases_known_from_c": surveyed_from_c(prepared, first),
        "not_evaluated": prepared.lacking.iter().map(|m| m.to_string()).collect::<Vec<_>>(),
        "cases": told.each().map(case).collect::<Vec<_>>(),
    })
}
