//! A run that was stopped: where the load is, and what each way on gives.

use super::table::Table;
use super::{Failure, Flags, Frame, Outcome, Way, with_load};
use crate::cli::print_json;
use crate::forecast::chemistry::celsius;
use crate::forecast::constants::ZERO_C;
use crate::forecast::inputs::Case;
use crate::forecast::plan::{NoForecast, Prepared, prepare};
use crate::forecast::stopped::{
    Now, WayOn, at_clock, at_time, from_log, length_s, program_s, way_on,
};
use crate::forecast::whole::{CaseForecast, printed_min};
use crate::text::{forecast as words, ways as say};
use serde_json::{Value, json};
use std::io::Write;

/// A way with its words.
const WAYS: [(Way, WayOn, &str); 3] = [
    (Way::GoOn, WayOn::GoOn, "go_on"),
    (Way::RepeatHold, WayOn::RepeatHold, "repeat_hold"),
    (Way::CoolAndReload, WayOn::Again, "cool_and_reload"),
];

/// Where the load is in a case, and the ways on from there.
struct Told {
    case: &'static str,
    now: Now,
    ways: Vec<(usize, CaseForecast)>,
}

pub(super) fn run(flags: &Flags, frame: &Frame, out: &mut dyn Write) -> Outcome {
    with_load(frame.file()?, frame.shop, |load, asked| {
        let prepared = prepare(asked).map_err(NoForecast::Missing)?;
        let log = match &flags.log {
            Some(path) => Some(Table::read(path)?.pairs("time_s", "temperature_c")?),
            None => None,
        };
        let minutes = flags.stopped_at.unwrap_or(0.0);
        if !(minutes.is_finite() && minutes >= 0.0) {
            return Err(Failure::Input(say::minutes_cannot_be()));
        }
        let kelvin = log.map(|l| l.into_iter().map(|(t, c)| (t, c + ZERO_C)).collect());
        let kelvin: Option<Vec<(f64, f64)>> = kelvin;
        let nominal = Case::nominal();
        let mut cases = vec![(words::nominal(), &nominal)];
        if let Some(both) = &prepared.inputs.cases {
            cases.push((words::cold(), &both.cold));
            cases.push((words::hot(), &both.hot));
        }
        let mut told = Vec::new();
        for (name, case) in cases {
            let now = match &kelvin {
                Some(log) => from_log(&prepared.inputs, case, log),
                None if flags.by_clock => at_clock(&prepared.inputs, case, minutes * 60.0),
                None => at_time(&prepared.inputs, case, minutes * 60.0),
            };
            let now = match now.map_err(NoForecast::Run)? {
                Some(now) => now,
                None if kelvin.is_some() => return Err(Failure::Input(say::nothing_ran())),
                None if told.is_empty() => {
                    return Err(after_the_end(&prepared, case, minutes, flags.by_clock)?);
                }
                // A case that waits less is at its end by then.
                None => {
                    let end_s = program_s(&prepared.inputs, case).map_err(NoForecast::Run)?;
                    let now = at_time(&prepared.inputs, case, end_s);
                    let now = now.map_err(NoForecast::Run)?;
                    now.ok_or_else(|| Failure::Input(say::nothing_ran()))?
                }
            };
            let mut ways = Vec::new();
            for (i, (word, way, _)) in WAYS.iter().enumerate() {
                if flags.way.is_none_or(|only| only == *word) {
                    let on = way_on(&prepared.inputs, case, &now, *way).map_err(NoForecast::Run)?;
                    ways.push((i, on));
                }
            }
            told.push(Told {
                case: name,
                now,
                ways,
            });
        }
        if frame.json {
            print_json(out, &as_json(&load.plan.title, &prepared, &told))?;
        } else {
            print(&load.plan.title, &prepared, &told, out)?;
        }
        Ok(0)
    })
}

/// A stop at which the program of a case is over.
fn after_the_end(
    prepared: &Prepared,
    case: &Case,
    minutes: f64,
    by_clock: bool,
) -> Result<Failure, Failure> {
    let end_s = if by_clock {
        length_s(&prepared.inputs.program)
    } else {
        program_s(&prepared.inputs, case).map_err(NoForecast::Run)?
    };
    let said = say::stopped_after_end(minutes, end_s / 60.0, by_clock);
    Ok(Failure::Input(said))
}

/// Least and most over places.
fn range(values: impl Iterator<Item = f64>) -> Option<(f64, f64)> {
    values.fold(None, |range, x| {
        let (lo, hi) = range.unwrap_or((x, x));
        Some((f64::min(lo, x), f64::max(hi, x)))
    })
}

fn left_now(now: &Now, kind: usize, component: usize) -> Option<(f64, f64)> {
    let places = now.had.places.get(kind)?;
    range(
        places
            .iter()
            .filter_map(|(left, _)| left.get(component).copied()),
    )
}

fn density_now(now: &Now, kind: usize) -> Option<(f64, f64)> {
    let places = now.had.places.get(kind)?;
    range(places.iter().filter_map(|(_, density)| *density))
}

/// Binder left at the worst place and density of a kind at the end of a way.
fn at_end(case: &CaseForecast, kind: usize) -> (f64, Option<(f64, f64)>) {
    let Some(found) = case.matter.kinds.get(kind) else {
        return (0.0, None);
    };
    let left = found.left.last().map_or(0.0, |l| l.1);
    (left, range(found.places.iter().filter_map(|p| p.density)))
}

fn pct(share: f64) -> String {
    format!("{:.1} %", 100.0 * share)
}

fn both_pct((least, most): (f64, f64)) -> String {
    format!("{:.1}-{:.1} %", 100.0 * least, 100.0 * most)
}

/// Nominal, cold and hot in brackets.
fn bracketed(told: &[Told], show: impl Fn(&Told) -> String) -> String {
    match told {
        [nominal, cold, hot] => format!("{} [{} to {}]", show(nominal), show(cold), show(hot)),
        [nominal, ..] => show(nominal),
        [] => String::new(),
    }
}

fn hours(s: f64) -> String {
    format!("{:.1} h", printed_min(s) / 60.0)
}

fn print(
    title: &str,
    prepared: &Prepared,
    told: &[Told],
    out: &mut dyn Write,
) -> Result<(), Failure> {
    let Some(first) = told.first() else {
        return Ok(());
    };
    let (minutes, clock) = (first.now.time_s / 60.0, first.now.clock_s / 60.0);
    let segment = first.now.segment + 1;
    let head = say::stopped_head(title, minutes, clock, segment);
    writeln!(out, "{head}")?;
    if let Some(why) = &prepared.no_cases {
        writeln!(out, "{why}")?;
    }
    let c = |k: f64| format!("{:.0} °C", celsius(k));
    let coldest = bracketed(told, |t| c(t.now.extremes_k.0));
    let hottest = bracketed(told, |t| c(t.now.extremes_k.1));
    let setpoint = celsius(first.now.setpoint_k);
    writeln!(out, "  {}", say::now_at(setpoint, &coldest, &hottest))?;
    let caught = bracketed(told, |t| format!("{:.0} g", 1e3 * t.now.caught_kg));
    writeln!(out, "  {}", say::now_trap(&caught))?;
    let none = words::not_evaluated();
    for (k, key) in prepared.keys.kinds.iter().enumerate() {
        writeln!(out, "  {}", words::kind_head(&key.name, key.pieces))?;
        let components = prepared.inputs.matter.get(k).map(|m| &m.components);
        for (i, component) in components.into_iter().flatten().enumerate() {
            let of = |t: &Told| left_now(&t.now, k, i);
            let show = |x: Option<f64>| x.map_or_else(|| none.clone(), pct);
            let least = bracketed(told, |t| show(of(t).map(|l| l.0)));
            let most = bracketed(told, |t| show(of(t).map(|l| l.1)));
            writeln!(out, "    {}", say::now_left(&component.name, &least, &most))?;
        }
        let density = bracketed(told, |t| {
            density_now(&t.now, k).map_or_else(|| none.clone(), both_pct)
        });
        writeln!(out, "    {}", say::now_density(&density))?;
    }
    for n in 0..first.ways.len() {
        print_way(prepared, told, n, out)?;
    }
    writeln!(out, "\n{}", words::not_permission())?;
    Ok(())
}

fn print_way(
    prepared: &Prepared,
    told: &[Told],
    n: usize,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    let of = |t: &Told| t.ways.get(n).cloned();
    let Some((which, _)) = told.first().and_then(of) else {
        return Ok(());
    };
    let (way, name) = match which {
        0 => (Way::GoOn, say::go_on()),
        1 => (Way::RepeatHold, say::repeat_hold()),
        _ => (Way::CoolAndReload, say::reload()),
    };
    writeln!(out, "\n{}", say::way_head(name))?;
    let ends = bracketed(told, |t| {
        of(t).map_or_else(String::new, |w| hours(w.1.run.program_end_s))
    });
    let unload = bracketed(told, |t| {
        let at = of(t).and_then(|w| w.1.run.load_unload_s);
        at.map_or_else(words::not_followed, hours)
    });
    writeln!(out, "  {}", say::way_time(&ends, &unload))?;
    if way == Way::CoolAndReload {
        writeln!(out, "  {}", say::way_cooling())?;
    }
    for (k, key) in prepared.keys.kinds.iter().enumerate() {
        writeln!(out, "  {}", words::kind_head(&key.name, key.pieces))?;
        let end = |t: &Told| of(t).map_or((0.0, None), |w| at_end(&w.1, k));
        writeln!(
            out,
            "    {}",
            words::left(&bracketed(told, |t| pct(end(t).0)))
        )?;
        let density = bracketed(told, |t| {
            end(t).1.map_or_else(words::not_evaluated, both_pct)
        });
        writeln!(out, "    {}", words::density(&density))?;
    }
    Ok(())
}

fn as_json(title: &str, prepared: &Prepared, told: &[Told]) -> Value {
    let case = |t: &Told| {
        let kinds = prepared.keys.kinds.iter().enumerate();
        let kinds: Vec<Value> = kinds
            .map(|(k, key)| {
                let components = prepared.inputs.matter.get(k).map(|m| &m.components);
                let components = components.into_iter().flatten().enumerate();
                let left: Vec<Value> = components
                    .map(|(i, c)| {
                        let both = left_now(&t.now, k, i);
                        json!({ "component": c.name, "least": both.map(|b| b.0), "most": both.map(|b| b.1) })
                    })
                    .collect();
                json!({ "kind": key.name, "pieces": key.pieces, "left": left, "density": density_now(&t.now, k) })
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
            "case": t.case,
            "coldest_c": celsius(t.now.extremes_k.0),
            "hottest_c": celsius(t.now.extremes_k.1),
            "trap_caught_g": 1e3 * t.now.caught_kg,
            "kinds": kinds,
            "ways": ways,
        })
    };
    json!({
        "schema": "setterwright.stopped",
        "version": 1,
        "title": title,
        "never_permission_to_open": true,
        "time_min": told.first().map(|t| t.now.time_s / 60.0),
        "clock_min": told.first().map(|t| t.now.clock_s / 60.0),
        "segment": told.first().map(|t| t.now.segment + 1),
        "setpoint_c": told.first().map(|t| celsius(t.now.setpoint_k)),
        "cases_not_evaluated": prepared.no_cases.map(|why| why.to_string()),
        "cases": told.iter().map(case).collect::<Vec<_>>(),
    })
}
