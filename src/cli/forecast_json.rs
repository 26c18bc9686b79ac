//! The forecast as JSON: what goes in, every figure with its standing, and all cases over time, so
//! that burnout and density can be computed again from the temperatures.

use super::forecast::{level_c, levels, place, setpoint_c, state_c};
use crate::forecast::chemistry::celsius;
use crate::forecast::clock::Phase;
use crate::forecast::constants::Constant;
use crate::forecast::densify::{Branch, CAUGHT_PA, CLOSURE};
use crate::forecast::inputs::Atmosphere;
use crate::forecast::matter::KindMatter;
use crate::forecast::offgas::l_min_25c;
use crate::forecast::plan::{Asked, HoldRow, InCases, KindKey, Need, PlanForecast, Report};
use crate::forecast::stopped::length_s;
use crate::forecast::whole::CaseForecast;
use serde_json::{Value, json};

/// Three digits after the point, which is finer than any printed figure.
fn fine(x: f64) -> Value {
    rounded(x, 1e3)
}

fn rounded(x: f64, per_unit: f64) -> Value {
    json!(libm::round(x * per_unit) / per_unit)
}

fn in_cases<T>(value: &InCases<T>, show: impl Fn(&T) -> Value) -> Value {
    json!({
        "nominal": show(&value.nominal),
        "cold": value.cold.as_ref().map(&show),
        "hot": value.hot.as_ref().map(&show),
    })
}

fn some(x: &Option<f64>) -> Value {
    x.map_or(Value::Null, fine)
}

pub(super) fn json(asked: &Asked, made: &PlanForecast, told: &Report) -> Value {
    let prepared = &made.prepared;
    let lacking: Vec<String> = prepared.lacking.iter().map(|m| m.to_string()).collect();
    let cases: serde_json::Map<String, Value> = made
        .by_case()
        .map(|(word, case)| (word.to_owned(), one_case(asked, made, case)))
        .collect();
    json!({
        "schema": "setterwright.forecast",
        "version": 1,
        "title": asked.plan.title,
        "furnace": asked.plan.load.furnace,
        "never_permission_to_open": true,
        "cases_not_evaluated": prepared.no_cases.map(|why| why.to_string()),
        "not_evaluated": lacking,
        "segments": segments(made),
        "holds": holds(asked, made, told),
        "kinds": kinds(made, told),
        "run": {
            "program_min": in_cases(&told.unload.program_min, |x| fine(*x)),
            "unload_c": told.unload.at_c,
            "chamber_unload_min": in_cases(&told.unload.chamber_min, some),
            "load_unload_min": in_cases(&told.unload.load_min, some),
            "trap_caught_g": in_cases(&told.trap.caught_g, some),
            "trap_before_g": told.trap.before_g,
            "trap_capacity_g": told.trap.capacity_g,
            "offgas_most_l_min_25c": in_cases(&told.offgas_l_min, some),
            "trap_passed_g": in_cases(&told.trap.passed_g, some),
            "offgas_peak": in_cases(&told.offgas_peak, |p| json!(p.map(|p| json!({
                "at_min": fine(p.at_min),
                "g_min": fine(p.g_min),
                "l_min_in_the_furnace": fine(p.there_l_min),
                "residence_s": fine(p.residence_s),
            })))),
            "exhaust": told.exhaust.map(|e| json!({
                "hydrogen_l_min_25c": fine(e.hydrogen_l_min),
                "binder_vapour_l_min_25c": fine(e.vapour_l_min),
                "above_upper_limit_without_air": e.above_upper_limit,
                "lower_limit_in_air": rounded(e.lower, 1e6),
                "diluted_to_share_of_it": e.share,
                "air_l_min_25c": fine(e.air_l_min),
            })),
            "clock_min": fine(length_s(&prepared.inputs.program) / 60.0),
            "electric_kwh": in_cases(&told.energy_kwh, |x| fine(*x)),
        },
        "figures_used": told.figures,
        "figures_assumed": told.assumed,
        "constants": made.forecast.figures.iter().map(constant).collect::<Vec<_>>(),
        "cases": cases,
    })
}

fn constant(c: &Constant) -> Value {
    json!({
        "record": c.record,
        "name": c.name,
        "value": c.value,
        "unit": c.unit,
        "standing": c.standing.word(),
        "source": c.source,
    })
}

fn atmosphere(made: &PlanForecast, a: &Atmosphere) -> Value {
    json!({
        "gas": a.gas.and_then(|g| made.prepared.keys.gases.get(g)),
        "pressure_mbar": a.pressure_pa / 100.0,
        "sweep_l_min_25c": fine(l_min_25c(a.sweep_mol_s)),
    })
}

/// The segments, and after them what the load cools in.
fn segments(made: &PlanForecast) -> Vec<Value> {
    let program = &made.prepared.inputs.program;
    let mut all: Vec<Value> = program
        .segments
        .iter()
        .map(|s| {
            json!({
                "target_c": fine(celsius(s.to_k)),
                "hold_min": s.hold_s / 60.0,
                "atmosphere": atmosphere(made, &s.atmosphere),
            })
        })
        .collect();
    all.push(json!({ "atmosphere": atmosphere(made, &program.after) }));
    all
}

fn holds(asked: &Asked, made: &PlanForecast, told: &Report) -> Vec<Value> {
    let one = |hold: &HoldRow| {
        let need = hold.need.as_ref().map(|of| {
            let need = &of.need;
            let (what, kind) = match need {
                Need::Burnout {
                    component, kind, ..
                } => (component.as_str(), kind),
                Need::Sinter { kind, .. } => ("sinter hold of the feedstock", kind),
            };
            json!({
                "what": what,
                "kind": kind,
                "minutes": fine(need.minutes()),
                "worst_in": hold.surveyed_from_c.is_none().then_some(of.case.words()),
                "left_at_its_end": of.left.map(|l| rounded(l, 1e6)),
                "gets_min": fine(of.gets_min),
                "margin_min": fine(of.margin_min()),
                "rest_leaves_by_segment": of.rest_leaves_by.map(|s| s + 1),
                "finished_in": of.finished.map(|f| json!({
                    "segment": f.segment + 1, "target_c": f.target_c, "to_spare_min": fine(f.spare_min),
                })),
            })
        });
        json!({
            "segment": hold.segment + 1,
            "target_c": fine(hold.target_c),
            "clock_min": hold.clock_min,
            "lasts_min": fine(hold.lasts_min),
            "coldest": place(asked.plan, made, &hold.coldest),
            "arrival_min": in_cases(&hold.arrival_min, some),
            "gets_min": in_cases(&hold.gets_min, |x| fine(*x)),
            "short_k": fine(hold.short_k),
            "cases_known_from_c": hold.surveyed_from_c.map(fine),
            "needs": need,
            "needs_not_evaluated_of": hold.unknown_need,
        })
    };
    told.holds.iter().map(one).collect()
}

fn branch(b: &Branch) -> Value {
    json!({ "q_j_mol": b.q_j_mol, "a": b.a, "b": b.b })
}

/// One entry a kind of the core, dummies among them.
fn kinds(made: &PlanForecast, told: &Report) -> Vec<Value> {
    let keys = &made.prepared.keys;
    let matter = &made.prepared.inputs.matter;
    let one = |(k, (key, m)): (usize, (&KindKey, &KindMatter))| {
        let components: Vec<Value> = m
            .components
            .iter()
            .map(|c| {
                let reactions: Vec<Value> = c
                    .reactions
                    .iter()
                    .map(|r| {
                        json!({
                            "share": r.share,
                            "a_per_s": r.a_per_s,
                            "e_j_mol": r.e_j_mol,
                            "order": r.order,
                            "evaporates": r.evaporates,
                        })
                    })
                    .collect();
                json!({
                    "name": c.name,
                    "share_of_entering_mass": c.mass_share,
                    "density_kg_m3": c.density_kg_m3,
                    "char_share": c.char_share,
                    "offgas_kg_mol": c.offgas_kg_mol,
                    "trap_share": c.trap_share,
                    "reactions": reactions,
                })
            })
            .collect();
        let sintering = m.sintering.as_ref().map(|s| {
            json!({
                "branch": branch(&s.low),
                "upper": s.high.as_ref().map(|(k, b)| json!({
                    "from_c": fine(celsius(*k)),
                    "branch": branch(b),
                })),
                "start_density": m.density,
                "end_density_open": s.asymptote.open,
                "end_density_gas_filled": s.asymptote.gas_filled,
                "pores_close_at": CLOSURE,
                "gas_caught_from_mbar": CAUGHT_PA / 100.0,
                "caught_gases": m.caught_gases.iter()
                    .filter_map(|g| keys.gases.get(*g)).collect::<Vec<_>>(),
                "range_to_c": fine(celsius(s.range_to_k)),
            })
        });
        let row = told.kinds.iter().find(|row| row.kind == k).map(|row| {
            let both = |x: &Option<(f64, f64)>| json!(x.map(|(a, b)| [rounded(a, 1e6), rounded(b, 1e6)]));
            json!({
                "binder_left": in_cases(&row.left, |x| json!(x.map(|x| rounded(x, 1e6)))),
                "density": in_cases(&row.density, both),
                "density_per_10_k": in_cases(&row.density_per_10_k, |d| json!(d.map(|d| rounded(d, 1e6)))),
                "grain_um": in_cases(&row.grain_um, some),
                "size_mm": in_cases(&row.size_mm, |x| json!(x.map(|s| s.map(|s| s.map(fine))))),
                "core_overpressure_kpa": in_cases(&row.overpressure_pa, |p| some(&p.map(|p| p / 1e3))),
                "pores_not_open": in_cases(&row.closed, |c| json!(c)),
            })
        });
        json!({
            "name": key.name,
            "pieces": key.pieces,
            "enters": key.enters.word(),
            "extracted": key.extracted.map(|e| json!({ "share": e.share, "by": e.by.word() })),
            "loading": m.loading,
            "powder_um": m.powder_m * 1e6,
            "half_section_mm": m.half_m * 1e3,
            "components": components,
            "sintering": sintering,
            "result": row,
        })
    };
    keys.kinds.iter().zip(matter).enumerate().map(one).collect()
}

fn one_case(asked: &Asked, made: &PlanForecast, case: &CaseForecast) -> Value {
    let run = &case.run;
    let samples = 0..run.times_s.len();
    let series = |f: &dyn Fn(usize) -> Value| samples.clone().map(f).collect::<Vec<_>>();
    let levels: Vec<Value> = levels(made)
        .into_iter()
        .map(|(s, l, name)| {
            let at = |i: usize| level_c(run, i, s, l).unwrap_or((f64::NAN, f64::NAN));
            json!({
                "level": name,
                "coldest_c": series(&|i| fine(at(i).0)),
                "hottest_c": series(&|i| fine(at(i).1)),
            })
        })
        .collect();
    let gas = |i: usize| case.matter.offgas.get(i).copied().unwrap_or_default();
    let kinds: Vec<Value> = case
        .matter
        .kinds
        .iter()
        .zip(&made.prepared.inputs.matter)
        .map(|(kind, with)| {
            // None of what nobody knows how it burns out.
            let left = |all: &[f64]| -> Vec<Value> {
                let both = all.iter().zip(&with.components);
                both.map(|(l, c)| json!(c.is_known().then(|| rounded(*l, 1e9))))
                    .collect()
            };
            // Of the phase ends, each place's.
            let at_ends = |place: usize| -> Vec<Value> {
                let ends = kind.ends.iter().filter_map(|end| end.get(place));
                ends.map(|(lefts, density)| {
                    json!({
                        "left": left(lefts),
                        "density": density.map(|d| rounded(d, 1e9)),
                    })
                })
                .collect()
            };
            let places: Vec<Value> = kind
                .places
                .iter()
                .enumerate()
                .map(|(i, p)| {
                    let at = run.nodes.get(p.node);
                    json!({
                        "place": at.map(|at| place(asked.plan, made, at)),
                        "mass_kg": rounded(p.mass_kg, 1e6),
                        "left": left(&p.left),
                        "density": p.density.map(|d| rounded(d, 1e9)),
                        "hottest_c": fine(celsius(p.hottest_k)),
                        "at_ends": at_ends(i),
                        "temperature_c": series(&|s| rounded(state_c(run, s, p.node), 1e4)),
                    })
                })
                .collect();
            json!({
                "binder_left": kind.left.iter().map(|l| rounded(l.1, 1e6)).collect::<Vec<_>>(),
                "density_least": kind.density.iter().map(|d| rounded(d.0, 1e6)).collect::<Vec<_>>(),
                "density_most": kind.density.iter().map(|d| rounded(d.1, 1e6)).collect::<Vec<_>>(),
                "places": places,
            })
        })
        .collect();
    let energy = &run.energy;
    json!({
        "time_s": series(&|i| json!(run.times_s.get(i))),
        "segment": series(&|i| json!(run.segment.get(i).map(|s| s + 1))),
        "phase_ends": run.ends.iter().map(|end| json!({
            "segment": end.segment + 1,
            "phase": match end.phase { Phase::Ramp => "ramp", Phase::Hold => "hold" },
            "time_s": end.time_s,
        })).collect::<Vec<_>>(),
        "setpoint_c": series(&|i| some(&setpoint_c(run, i))),
        "chamber_c": series(&|i| fine(state_c(run, i, run.border.chamber))),
        "levels": levels,
        "offgas_l_min_25c": series(&|i| match case.matter.burnout_known {
            true => rounded(gas(i).flow.l_min_25c(), 1e6),
            false => Value::Null,
        }),
        "sweep_l_min_25c": series(&|i| fine(l_min_25c(gas(i).sweep_mol_s))),
        "kinds": kinds,
        "energy": {
            "electric_mj": energy.electric_j / 1e6,
            "loss_mj": energy.loss_j / 1e6,
            "sweep_mj": energy.sweep_j / 1e6,
            "water_mj": energy.water_j / 1e6,
            "stored_mj": energy.stored_j / 1e6,
            "gap": energy.gap,
        },
    })
}
