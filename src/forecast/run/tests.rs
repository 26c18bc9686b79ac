use super::*;
use crate::forecast::chemistry::mol_s_from_l_min;
use crate::forecast::curve::Curve;
pub(crate) use crate::forecast::demo::*;
use crate::forecast::heat::Place;
use crate::forecast::inputs::*;

pub(crate) fn atmospheres() -> [(&'static str, Atmosphere); 4] {
    let at = |gas, pressure_pa| Atmosphere {
        gas: Some(gas),
        pressure_pa,
        sweep_mol_s: 0.0,
    };
    [
        ("vacuum", Atmosphere::default()),
        ("Ar 50 mbar", at(0, 5000.0)),
        ("N2 1 atm", at(1, 101_325.0)),
        ("H2 1 atm", at(2, 101_325.0)),
    ]
}

pub(crate) fn settings(zones: usize) -> Settings {
    Settings {
        zones,
        start_k: 298.0,
        ..Settings::default()
    }
}

pub(crate) fn never() -> bool {
    false
}

pub(crate) fn node(run: &Run, level: usize, zone: usize, place: Place) -> usize {
    run.nodes
        .iter()
        .position(|n| n.level == level && n.zone == zone && n.place == place)
        .unwrap()
}

/// The usual job on a program.
pub(crate) fn job<'a>(
    load: &'a LoadHeat,
    furnace: &'a FurnaceHeat,
    gases: &'a [Gas],
    program: &'a Program,
    case: &'a Case,
    zones: usize,
) -> Job<'a> {
    Job {
        load,
        furnace,
        gases,
        program,
        case,
        settings: settings(zones),
        start: None,
        prolong: false,
        cancelled: &never,
    }
}

/// Table 4.13 of model.md [ref]: two independent implementations agree to 0.05 K.
const TABLE: [([f64; 8], [f64; 8]); 4] = [
    (
        [131.7, 238.4, 370.6, 447.6, 962.5, 999.8, 1342.4, 1360.0],
        [241.2, 291.8, 426.2, 449.8, 989.0, 1000.0, 1354.5, 1360.0],
    ),
    (
        [157.6, 256.7, 380.2, 448.5, 963.7, 999.9, 1342.7, 1360.0],
        [232.3, 288.7, 421.8, 449.7, 987.9, 1000.0, 1354.2, 1360.0],
    ),
    (
        [163.3, 260.9, 382.6, 448.7, 964.3, 999.9, 1342.9, 1360.0],
        [233.4, 289.1, 421.6, 449.7, 987.3, 1000.0, 1354.0, 1360.0],
    ),
    (
        [219.2, 290.2, 401.5, 449.7, 968.2, 999.9, 1344.1, 1360.0],
        [258.2, 296.8, 427.9, 449.9, 987.4, 1000.0, 1353.7, 1360.0],
    ),
];

#[test]
fn reference_table_to_a_tenth_of_a_kelvin() {
    let load = reference_load();
    let furnace = reference_furnace();
    let mut worst = 0.0f64;
    for ((name, atmosphere), (centre, edge)) in atmospheres().into_iter().zip(TABLE) {
        let r = run(&Job {
            prolong: false,
            ..job(
                &load,
                &furnace,
                &gases(),
                &reference_program(atmosphere),
                &Case::nominal(),
                2,
            )
        })
        .unwrap();
        for (level, zone, want) in [(2, 0, centre), (5, 1, edge)] {
            let i = node(&r, level, zone, Place::Part(0));
            let row = |all: Vec<f64>| {
                let all: Vec<String> = all.iter().map(|c| format!("{c:.1}")).collect();
                all.join(" ")
            };
            let ours = r.ends.iter().map(|e| e.state[i] - 273.15).collect();
            println!(
                "| {name}, level {} | {} | {} |",
                level + 1,
                row(want.to_vec()),
                row(ours)
            );
            for (end, w) in r.ends.iter().zip(want) {
                let got = end.state[i] - 273.15;
                worst = worst.max((got - w).abs());
                assert!(
                    (got - w).abs() < 0.1,
                    "{name} level {} at {} s: {got:.2} instead of {w}",
                    level + 1,
                    end.time_s
                );
            }
        }
        let mj = r.energy.electric_j * 1e-6;
        assert!((mj - 130.53).abs() < 0.01, "{name}: {mj} MJ");
        assert!(r.energy.gap.abs() < 1e-3, "{name}: gap {}", r.energy.gap);
        println!(
            "{name}: {mj:.3} MJ, gap {:.1e}, {:?}",
            r.energy.gap, r.effort
        );
    }
    println!("largest deviation {worst:.3} K");
}

/// Zones refined, model.md 4.13 [ref]: level 3 innermost, lag at 300 °C and arrival at 450 °C.
#[test]
fn refined_zones_as_in_the_reference() {
    let load = reference_load();
    let furnace = reference_furnace();
    let cases = [
        (0, [(2, 168.0, 72.0), (4, 178.0, 77.0), (8, 181.0, 79.0)]),
        (2, [(2, 137.0, 61.0), (4, 137.0, 63.0), (8, 134.0, 63.0)]),
    ];
    for (gas, rows) in cases {
        let (name, atmosphere) = atmospheres()[gas];
        for (zones, lag, arrival) in rows {
            let r = run(&Job {
                prolong: true,
                ..job(
                    &load,
                    &furnace,
                    &gases(),
                    &reference_program(atmosphere),
                    &Case::nominal(),
                    zones,
                )
            })
            .unwrap();
            let i = node(&r, 2, 0, Place::Part(0));
            let got = 300.0 - (r.ends[0].state[i] - 273.15);
            let when = r.holds[1].prolonged_s[i].unwrap() / 60.0;
            println!(
                "{name} {zones} zones: lag {got:.1} K, arrival {when:.1} min; {:?}",
                r.effort
            );
            assert!((got - lag).abs() < 1.0, "{name} {zones}: lag {got}");
            assert!(
                (when - arrival).abs() < 1.0,
                "{name} {zones}: arrival {when}"
            );
        }
    }
}

#[test]
fn error_follows_the_tolerance_and_work_stays_small() {
    let mut load = big_load();
    let furnace = FurnaceHeat {
        sensor_lag_s: 30.0,
        ..reference_furnace()
    };
    for (section_m, (name, atmosphere)) in [(0.016, atmospheres()[2]), (0.020, atmospheres()[1])] {
        load.kinds[1].section_m = section_m;
        let mut program = reference_program(atmosphere);
        program.cool_max_s = 30.0 * 3600.0;
        let go = |rtol, atol_k| {
            let s = Settings {
                rtol,
                atol_k,
                ..settings(4)
            };
            run(&Job {
                settings: s,
                ..job(&load, &furnace, &gases(), &program, &Case::nominal(), 4)
            })
            .unwrap()
        };
        let fine = go(1e-9, 1e-6);
        let mut last = f64::INFINITY;
        for rtol in [1e-5, 1e-6, 1e-7] {
            let r = go(rtol, rtol * 1e3);
            let worst = r
                .ends
                .iter()
                .zip(&fine.ends)
                .flat_map(|(a, b)| {
                    a.state[..r.nodes.len()]
                        .iter()
                        .zip(&b.state)
                        .map(|(x, y)| (x - y).abs())
                })
                .fold(0.0, f64::max);
            let late = r.load_unload_s.unwrap() - fine.load_unload_s.unwrap();
            println!(
                "{name} rtol {rtol:e}: {} states, {:?}, error {worst:.1e} K, unload {late:+.2} s",
                r.width, r.effort
            );
            // Kinks of the tables keep it from falling with the full order.
            assert!(worst < 0.01 && worst < last && late.abs() < 3.0);
            // What the budget rests on: right-hand sides of the default tolerance.
            assert!(rtol < 1e-5 || r.effort.rhs < 1500, "{:?}", r.effort);
            last = worst;
        }
    }
}

/// The three loads of reference/heat.py.
fn reference_job(name: &str) -> (LoadHeat, FurnaceHeat, Program, usize, f64) {
    let furnace = |heat_j_k, loss_w_k, loss_m2, watts, lag, face_m2| FurnaceHeat {
        heat_j_k,
        loss_w_k,
        loss_m2,
        power_w: Curve::constant(watts),
        sensor_lag_s: lag,
        face_m2,
        ..reference_furnace()
    };
    let gas = |gas, pressure_pa, l_min| Atmosphere {
        gas: Some(gas),
        pressure_pa,
        sweep_mol_s: mol_s_from_l_min(l_min),
    };
    let program = |segments: Vec<Segment>, after, fan_after, unload_c: f64| Program {
        start_k: 298.15,
        segments,
        after,
        fan_after,
        unload_k: unload_c + 273.15,
        cool_max_s: 80.0 * 3600.0,
    };
    match name {
        "a" => {
            let g = gas(1, 101_325.0, 25.0);
            let mut p = reference_program(g);
            p.after = gas(1, 101_325.0, 0.0);
            p.cool_max_s = 40.0 * 3600.0;
            (
                reference_load(),
                furnace(8000.0, 2.0, 0.012, 25e3, 30.0, 0.7),
                p,
                4,
                298.0,
            )
        }
        "b" => {
            let e = Emissivity {
                brown: 0.8,
                reduced: 0.6,
                sintered: 0.35,
            };
            let mut load = reference_load();
            load.kinds = vec![
                KindHeat {
                    section_m: 0.012,
                    emissivity: e,
                    ..steel()
                },
                KindHeat {
                    section_m: 0.024,
                    emissivity: e,
                    conductivity: Curve::constant(2.0),
                    plan_over_wet: 0.25,
                    footprint_share: 0.3,
                    ..steel()
                },
            ];
            let on = |kind, mass_kg, plan_share, height_m| OnLevel {
                kind,
                mass_kg,
                plan_share,
                height_m,
                by_zone: None,
            };
            load.stacks = vec![StackHeat {
                shape: PlanShape::Disc { radius_m: 0.12 },
                floor_gap_m: 0.025,
                exposed: 1.0,
                levels: (0..3)
                    .map(|l| LevelHeat {
                        setter: 0,
                        thickness_m: 0.008,
                        clear_m: if l < 2 { 0.045 } else { 0.04 },
                        parts: vec![on(0, 0.5, 0.25, 0.012), on(1, 0.9, 0.30, 0.03)],
                    })
                    .collect(),
            }];
            let mut f = furnace(12_000.0, 4.0, 0.016, 12e3, 45.0, 0.5);
            f.insulation = Some(Insulation { heat_j_k: 25e3 });
            f.retort = Some(Retort {
                heat_j_k: 5000.0,
                area_m2: 0.6,
                exchange: 0.3,
                h_outer: 5.0,
            });
            let g = gas(2, 101_325.0, 30.0);
            let p = program(
                vec![
                    segment(1.0, 350.0, 60.0, g),
                    segment(3.0, 1050.0, 45.0, g),
                    segment(6.0, 1380.0, 60.0, g),
                ],
                gas(0, 8e4, 0.0),
                false,
                80.0,
            );
            (load, f, p, 3, 298.15)
        }
        _ => {
            let mut load = reference_load();
            load.kinds = vec![KindHeat {
                section_m: 0.010,
                ..steel()
            }];
            load.setters[0].emissivity = 0.5;
            let stack = |n: usize| StackHeat {
                shape: PlanShape::Rectangle {
                    width_m: 0.2,
                    depth_m: 0.12,
                },
                floor_gap_m: 0.02,
                exposed: 0.75,
                levels: (0..n)
                    .map(|l| LevelHeat {
                        setter: 0,
                        thickness_m: 0.005,
                        clear_m: if l < n - 1 { 0.03 } else { 0.05 },
                        parts: if l % 2 == 0 {
                            vec![OnLevel {
                                kind: 0,
                                mass_kg: 0.7,
                                plan_share: 0.4,
                                height_m: 0.015,
                                by_zone: None,
                            }]
                        } else {
                            Vec::new()
                        },
                    })
                    .collect(),
            };
            load.stacks = vec![stack(4), stack(3)];
            let mut f = furnace(9000.0, 3.0, 0.02, 20e3, 30.0, 0.8);
            f.fan = Some(Fan {
                h_w_m2k: 25.0,
                ua_w_k: 40.0,
                water_k: 293.0,
                pressure_min_pa: 5e4,
                on_below_k: 900.0,
            });
            let g = gas(0, 5000.0, 10.0);
            let p = program(
                vec![segment(4.0, 400.0, 30.0, g), segment(8.0, 1300.0, 30.0, g)],
                gas(1, 9e4, 0.0),
                true,
                60.0,
            );
            (load, f, p, 4, 298.15)
        }
    }
}

#[test]
fn three_full_loads_as_scipy_has_them() {
    // Squares in nitrogen with sweep, lag and buoyancy; discs in a hydrogen retort with cores,
    // insulation and changing emissivity; two stacks of rectangles with bare levels, backfill and
    // fan. reference/heat.py, written apart, BDF at rtol 1e-8.
    let all: serde_json::Value =
        serde_json::from_str(include_str!("../../../tests/reference/forecast/heat.json")).unwrap();
    for name in ["a", "b", "c"] {
        let (load, furnace, program, zones, start_k) = reference_job(name);
        let mut j = settings(zones);
        j.start_k = start_k;
        let gases = gases();
        let r = run(&Job {
            settings: j,
            ..job(&load, &furnace, &gases, &program, &Case::nominal(), zones)
        })
        .unwrap();
        let want = &all[name];
        let places: Vec<(usize, usize, usize, String)> =
            serde_json::from_value(want["places"].clone()).unwrap();
        let mut worst = 0.0f64;
        for (end, w) in r.ends.iter().zip(want["ends"].as_array().unwrap()) {
            assert!((end.time_s - w["time_s"].as_f64().unwrap()).abs() < 1e-3);
            for (p, t) in places.iter().zip(w["nodes"].as_array().unwrap()) {
                let place = match p.3.as_str() {
                    "setter" => Place::Setter,
                    "a" => Place::Part(0),
                    "b" => Place::Part(1),
                    _ => Place::Core(1),
                };
                let i = r
                    .nodes
                    .iter()
                    .position(|n| (n.stack, n.level, n.zone, n.place) == (p.0, p.1, p.2, place))
                    .unwrap();
                let d = (end.state[i] - t.as_f64().unwrap()).abs();
                worst = worst.max(d);
                assert!(
                    d < 0.05,
                    "{name} {p:?} at {}: {} instead of {t}",
                    end.time_s,
                    end.state[i]
                );
            }
        }
        let hours = |t: Option<f64>, key: &str| {
            let got = t.unwrap() - r.program_end_s;
            let want = want["unload"][key].as_f64().unwrap();
            assert!(
                (got - want).abs() < 10.0,
                "{name} {key}: {got} instead of {want}"
            );
            got - want
        };
        let (c, l) = (
            hours(r.chamber_unload_s, "chamber_s"),
            hours(r.load_unload_s, "load_s"),
        );
        assert!(r.energy.gap.abs() < 1e-3, "{name}: {:?}", r.energy);
        let other = &want["at_program_tolerance"];
        println!(
            "{name}: worst {worst:.4} K, unload {c:+.1} {l:+.1} s, gap {:.1e}, {} rhs; SciPy {} rhs in {} s",
            r.energy.gap, r.effort.rhs, other["nfev"], other["seconds"]
        );
    }
}

#[test]
fn binder_and_density_as_scipy_has_them() {
    // Load a of reference/heat.py at two places, by fine trapezoids on its dense output.
    use crate::forecast::burnout::{Component, Reaction};
    use crate::forecast::matter::follow;
    let all: serde_json::Value =
        serde_json::from_str(include_str!("../../../tests/reference/forecast/heat.json")).unwrap();
    let (load, furnace, program, zones, start_k) = reference_job("a");
    let gases = gases();
    let case = Case::nominal();
    let r = run(&Job {
        settings: Settings {
            start_k,
            ..settings(zones)
        },
        ..job(&load, &furnace, &gases, &program, &case, zones)
    })
    .unwrap();
    let mut kind = matter();
    let like = kind.components[0].clone();
    kind.components = [
        (1.816e13, 214e3, 1.0),
        (1.804e13, 220e3, 1.0),
        (1.804e13, 220e3, 0.55),
        (7.0e6, 94e3, 0.0),
    ]
    .iter()
    .map(|&(a_per_s, e_j_mol, order)| Component {
        reactions: vec![Reaction {
            share: 1.0,
            a_per_s,
            e_j_mol,
            order,
            evaporates: order == 0.0,
        }],
        ..like.clone()
    })
    .collect();
    let m = follow(&r, &program, &[kind], 1.0, 0.055, None, None);
    let places = &m.kinds[0].places;
    let index = |level: usize, zone: usize| {
        places
            .iter()
            .position(|p| (p.level, p.zone) == (level, zone))
            .unwrap()
    };
    let mut worst = (0.0f64, 0.0f64);
    for (end, want) in m.kinds[0]
        .ends
        .iter()
        .zip(all["a"]["ends"].as_array().unwrap())
    {
        for (p, w) in [index(2, 0), index(5, 3)]
            .into_iter()
            .zip(want["matter"].as_array().unwrap())
        {
            for (got, want) in end[p].0.iter().zip(w["left"].as_array().unwrap()) {
                worst.0 = worst.0.max((got - want.as_f64().unwrap()).abs());
            }
            worst.1 = worst
                .1
                .max((end[p].1.unwrap() - w["density"].as_f64().unwrap()).abs());
        }
    }
    println!("binder {:.1e}, density {:.1e}", worst.0, worst.1);
    assert!(worst.0 < 1e-3 && worst.1 < 5e-4, "{worst:?}");
}
