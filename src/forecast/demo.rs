//! Reference loads, for tests and benches.

use super::burnout::{Component, Reaction};
use super::cases::{Cases, kelvin};
use super::chemistry::mol_s_from_l_min;
use super::curve::Curve;
use super::densify::{Asymptote, Branch, Sintering};
use super::inputs::*;
use super::matter::KindMatter;
use super::whole::Inputs;

fn curve(points: &[(f64, f64)]) -> Curve {
    Curve::new(points).unwrap_or_else(|| Curve::constant(0.0))
}

/// Argon, nitrogen, hydrogen of physics.md 7a (derived, reference equations; hydrogen at 1500 K
/// extrapolated); accommodation 0.8, 0.75, 0.3 (assumed).
pub fn gases() -> Vec<Gas> {
    let make = |name: &str, m: f64, gamma: f64, a: f64, rows: [(f64, f64, f64, f64); 6]| Gas {
        name: name.to_owned(),
        molar_kg_mol: m,
        gamma,
        accommodation: a,
        viscosity: curve(&rows.map(|r| (r.0, r.1 * 1e-6))),
        conductivity: curve(&rows.map(|r| (r.0, r.2 * 1e-3))),
        cp: curve(&rows.map(|r| (r.0, r.3))),
        loss_factor: 1.0,
    };
    vec![
        make(
            "argon",
            0.039948,
            5.0 / 3.0,
            0.8,
            [
                (300.0, 22.741, 17.84, 521.5),
                (600.0, 38.997, 30.57, 520.6),
                (900.0, 51.855, 40.60, 520.4),
                (1000.0, 55.686, 43.58, 520.4),
                (1200.0, 62.869, 49.16, 520.4),
                (1500.0, 72.755, 56.82, 520.4),
            ],
        ),
        make(
            "nitrogen",
            0.028014,
            1.4,
            0.75,
            [
                (300.0, 17.890, 25.97, 1041.4),
                (600.0, 29.577, 44.84, 1075.1),
                (900.0, 38.780, 60.52, 1145.7),
                (1000.0, 41.543, 65.36, 1167.4),
                (1200.0, 46.767, 74.68, 1204.0),
                (1500.0, 54.066, 88.01, 1243.9),
            ],
        ),
        make(
            "hydrogen",
            0.002016,
            1.4,
            0.3,
            [
                (300.0, 8.938, 186.70, 14312.8),
                (600.0, 14.467, 309.04, 14549.3),
                (900.0, 19.238, 421.80, 14836.4),
                (1000.0, 20.726, 460.39, 14991.9),
                (1200.0, 23.581, 539.81, 15371.3),
                (1500.0, 27.620, 663.98, 16024.0),
            ],
        ),
    ]
}

/// Alumina of model.md 4.12.
pub fn alumina() -> SetterHeat {
    SetterHeat {
        density_kg_m3: 3890.0,
        cp: curve(&[
            (298.0, 772.9),
            (500.0, 1040.8),
            (1000.0, 1224.9),
            (1600.0, 1307.2),
        ]),
        conductivity: curve(&[
            (300.0, 30.0),
            (600.0, 16.0),
            (900.0, 9.0),
            (1300.0, 6.0),
            (1700.0, 5.5),
        ]),
        emissivity: 0.45,
    }
}

/// 316L of model.md 4.12.
pub fn steel() -> KindHeat {
    let cp = |t: f64| 428.46 + 0.1816 * t;
    KindHeat {
        name: "316L".to_owned(),
        section_m: 0.015,
        cp: curve(&[(200.0, cp(200.0)), (2600.0, cp(2600.0))]),
        conductivity: Curve::constant(1.0),
        emissivity: Emissivity::constant(0.6),
        plan_over_wet: 1.0 / 3.0,
        footprint_share: 0.5,
    }
}

/// Reference load of model.md 4.13.
pub fn reference_load() -> LoadHeat {
    let level = |clear_m| LevelHeat {
        setter: 0,
        thickness_m: 0.006,
        clear_m,
        parts: vec![OnLevel {
            kind: 0,
            mass_kg: 1.5,
            plan_share: 0.45,
            height_m: 0.015,
            by_zone: None,
        }],
    };
    LoadHeat {
        stacks: vec![StackHeat {
            shape: PlanShape::Rectangle {
                width_m: 0.25,
                depth_m: 0.25,
            },
            floor_gap_m: 0.03,
            exposed: 1.0,
            levels: (0..6)
                .map(|l| level(if l == 5 { 0.03 } else { 0.034 }))
                .collect(),
        }],
        kinds: vec![steel()],
        setters: vec![alumina()],
        sensors: Vec::new(),
    }
}

/// Reference furnace of model.md 4.13.
pub fn reference_furnace() -> FurnaceHeat {
    FurnaceHeat {
        heat_j_k: 8000.0,
        loss_w_k: 2.0,
        loss_m2: 0.012,
        emissivity: 0.8,
        face_m2: 0.7,
        power_w: Curve::constant(25e3),
        sensor_lag_s: 0.0,
        control_s: 60.0,
        ambient_k: 298.0,
        retort: None,
        insulation: None,
        fan: None,
    }
}

/// A segment by rate, K/min, °C and min.
pub fn segment(k_min: f64, to_c: f64, hold_min: f64, atmosphere: Atmosphere) -> Segment {
    Segment {
        pace: Pace::Rate(k_min / 60.0),
        to_k: kelvin(to_c),
        hold_s: hold_min * 60.0,
        wait: None,
        atmosphere,
        fan: false,
    }
}

/// Reference program of model.md 4.13.
pub fn reference_program(atmosphere: Atmosphere) -> Program {
    Program {
        start_k: 298.15,
        segments: vec![
            segment(2.0, 300.0, 60.0, atmosphere),
            segment(2.0, 450.0, 90.0, atmosphere),
            segment(5.0, 1000.0, 30.0, atmosphere),
            segment(5.0, 1360.0, 90.0, atmosphere),
        ],
        after: Atmosphere::default(),
        fan_after: false,
        unload_k: 353.15,
        cool_max_s: 0.0,
    }
}

/// Twelve levels, two kinds, one of them thick.
pub fn big_load() -> LoadHeat {
    let mut load = reference_load();
    let mut thick = steel();
    thick.name = "thick".to_owned();
    thick.section_m = 0.020;
    load.kinds.push(thick);
    let on = |kind, mass_kg, plan_share, height_m| OnLevel {
        kind,
        mass_kg,
        plan_share,
        height_m,
        by_zone: None,
    };
    for stack in &mut load.stacks {
        stack.levels = (0..12)
            .map(|l| LevelHeat {
                setter: 0,
                thickness_m: 0.006,
                clear_m: if l == 11 { 0.03 } else { 0.034 },
                parts: vec![on(0, 0.8, 0.25, 0.015), on(1, 0.9, 0.20, 0.020)],
            })
            .collect();
    }
    load
}

/// PP and HDPE in brown parts (physics.md 2b, derived), 316L (4c, placeholder).
pub fn matter() -> KindMatter {
    let c = |name: &str, a_per_s, e_j_mol| Component {
        name: name.to_owned(),
        mass_share: 0.017,
        density_kg_m3: 920.0,
        reactions: vec![Reaction {
            share: 1.0,
            a_per_s,
            e_j_mol,
            order: 1.0,
            evaporates: false,
        }],
        char_share: 0.005,
        offgas_kg_mol: 0.056,
        trap_share: 0.7,
    };
    KindMatter {
        components: vec![c("PP", 1.816e13, 214e3), c("HDPE", 1.804e13, 220e3)],
        loading: 0.6,
        binder_volume_left: 0.5,
        powder_m: 10e-6,
        half_m: 4e-3,
        body_kg_m3: 4950.0,
        sintering: Some(Sintering {
            low: Branch {
                q_j_mol: 280e3,
                a: -23.715_726,
                b: 1.3,
            },
            high: None,
            asymptote: Asymptote {
                open: 0.99,
                gas_filled: 0.97,
            },
            range_to_k: kelvin(1390.0),
            grains: None,
        }),
        density: 0.6,
        caught_gases: vec![0, 1],
    }
}

/// Argon at 50 mbar with a sweep of 10 L/min.
pub fn argon_sweep() -> Atmosphere {
    Atmosphere {
        gas: Some(0),
        pressure_pa: 5000.0,
        sweep_mol_s: mol_s_from_l_min(10.0),
    }
}

/// Story 1: reference load in argon, hold at 450 °C of so many minutes.
pub fn story_1(zones: usize, hold_min: f64) -> Inputs {
    let mut program = reference_program(argon_sweep());
    if let Some(s) = program.segments.get_mut(1) {
        s.hold_s = hold_min * 60.0;
    }
    program.cool_max_s = 30.0 * 3600.0;
    Inputs {
        load: reference_load(),
        matter: vec![matter()],
        furnace: reference_furnace(),
        pump: None,
        free_m3: 0.055,
        gases: gases(),
        program,
        cases: Some(Cases::even(3.0)),
        settings: Settings {
            zones,
            start_k: 298.0,
            ..Settings::default()
        },
        start: None,
        figures: Vec::new(),
    }
}

/// The large load: three cases of it have to be quick.
pub fn big(zones: usize) -> Inputs {
    let mut inputs = story_1(zones, 90.0);
    inputs.load = big_load();
    inputs.furnace.sensor_lag_s = 30.0;
    inputs.matter = vec![matter(), matter()];
    inputs
}
