//! What else follows from a temperature history: setters, reduction, evaporation, nitrogen, purge,
//! amounts for the cost. One function a question, each on a computed [`Run`].

use super::ceramics::{Cracking, Creep, cracking, creep_bow_m, edge_over_zones};
use super::chemistry::{Oxide, Reduction, Stretch, Vapour, cooling_time_between_s, reduction};
use super::constants::molar_volume_m3;
use super::cost::Amounts;
use super::curve::Curve;
use super::heat::{NodeAt, Place};
use super::inputs::{Atmosphere, LoadHeat, Program};
use super::purge::{PurgeStretch, after, changes};
use super::run::Run;

/// Atmosphere of a segment; that after the program one past the last.
pub fn atmosphere(program: &Program, segment: usize) -> Atmosphere {
    program
        .segments
        .get(segment)
        .map_or(program.after, |s| s.atmosphere)
}

/// A state over time as points.
fn points(run: &Run, i: usize) -> Vec<(f64, f64)> {
    run.series(i).collect()
}

fn find(run: &Run, want: impl Fn(&NodeAt) -> bool) -> Vec<usize> {
    run.nodes
        .iter()
        .enumerate()
        .filter(|(_, n)| want(n))
        .map(|(i, _)| i)
        .collect()
}

/// What the statics know of a setter.
#[derive(Clone, Debug, PartialEq)]
pub struct Plate {
    /// Stack.
    pub stack: usize,
    /// Level.
    pub level: usize,
    /// Elastic deflection under load and own mass, m.
    pub elastic_m: f64,
    /// Modulus with which it was computed, Pa.
    pub modulus_pa: f64,
    /// Grain, m.
    pub grain_m: f64,
    /// Creep of its material; none where there are no data.
    pub creep: Option<Creep>,
    /// Modulus, Pa, over K.
    pub modulus: Curve,
    /// Strength, Pa, over K.
    pub strength: Curve,
    /// Expansion, 1/K.
    pub expansion_per_k: f64,
}

/// What a run does to a setter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlateRun {
    /// Creep bow of this run, m; none without data.
    pub bow_m: Option<f64>,
    /// Worst thermal stress while heating or cooling.
    pub cracking: Option<Cracking>,
}

/// Bow and cracking of a setter.
pub fn plate(run: &Run, plate: &Plate) -> Option<PlateRun> {
    let zones = find(run, |n| {
        n.stack == plate.stack && n.level == plate.level && n.place == Place::Setter
    });
    let (&centre, &outermost) = (zones.first()?, zones.last()?);
    let edge = edge_over_zones(zones.len());
    // The hottest zone rules the creep.
    let hottest = *zones.iter().max_by(|a, b| {
        let top = |i: usize| run.series(i).map(|p| p.1).fold(0.0, f64::max);
        top(**a).total_cmp(&top(**b))
    })?;
    let bow_m = plate.creep.map(|c| {
        creep_bow_m(
            &c,
            plate.grain_m,
            plate.elastic_m,
            plate.modulus_pa,
            points(run, hottest),
        )
    });
    let history = run
        .series(centre)
        .zip(run.series(outermost))
        .map(|((t, c), (_, e))| (t, 0.5 * (c + e), edge * (e - c)));
    Some(PlateRun {
        bow_m,
        cracking: cracking(
            &plate.modulus,
            &plate.strength,
            plate.expansion_per_k,
            history,
        ),
    })
}

/// Reduction balance of kinds of parts: their coldest place while pores are open, up to a relative
/// density (0.92), or to a temperature where density is not known.
#[derive(Clone, Debug, PartialEq)]
pub struct ReductionAsked {
    /// Kinds.
    pub kinds: Vec<usize>,
    /// Governing oxide.
    pub oxide: Oxide,
    /// Activity of its metal.
    pub activity: f64,
    /// Metal, kg.
    pub metal_kg: f64,
    /// Reducible oxygen, mass share.
    pub reducible: f64,
    /// Share of hydrogen in each gas.
    pub hydrogen: Vec<f64>,
    /// Water share of the gas supplied.
    pub inlet: f64,
    /// Counted from here, K.
    pub from_k: f64,
    /// Until pores close, K.
    pub to_k: f64,
}

/// Balance over a run.
pub fn reduction_of(run: &Run, program: &Program, asked: &ReductionAsked) -> Reduction {
    let places = find(
        run,
        |n| matches!(n.place, Place::Part(k) if asked.kinds.contains(&k)),
    );
    let mut stretches = Vec::new();
    let mut closed = false;
    for s in 1..run.times_s.len() {
        let dt = run.times_s[s] - run.times_s[s - 1];
        let y = run.sample(s);
        let coldest = places
            .iter()
            .filter_map(|&i| y.get(i).copied())
            .fold(f64::INFINITY, f64::min);
        closed |= coldest >= asked.to_k;
        if closed || coldest < asked.from_k || !coldest.is_finite() || dt <= 0.0 {
            continue;
        }
        let segment = run.segment[s];
        let a = atmosphere(program, segment);
        let share = a
            .gas
            .and_then(|g| asked.hydrogen.get(g).copied())
            .unwrap_or(0.0);
        let hold = run.holds.iter().any(|h| {
            h.segment == segment && run.times_s[s] > h.start_s && run.times_s[s] <= h.end_s + 1e-6
        });
        stretches.push(Stretch {
            dt_s: dt,
            t_k: coldest,
            hydrogen_mol_s: a.sweep_mol_s * share,
            inlet: asked.inlet,
            hold,
        });
    }
    reduction(
        &asked.oxide,
        asked.activity,
        asked.metal_kg,
        asked.reducible,
        stretches,
    )
}

/// Evaporation from a kind's surface, kg/m², upper bound, at the place that loses most. From each
/// place vapour goes half the gap of that place's own level, be the roof or an empty level above
/// as far away as they may.
pub fn evaporation_kg_m2(
    run: &Run,
    program: &Program,
    load: &LoadHeat,
    kind: usize,
    vapour: &Vapour,
    mole_fraction: f64,
) -> f64 {
    let clear_m = |n: &NodeAt| {
        let level = load.stacks.get(n.stack).and_then(|s| s.levels.get(n.level));
        level.map_or(0.0, |l| l.clear_m)
    };
    let places = find(run, |n| n.place == Place::Part(kind));
    places
        .iter()
        .map(|&i| {
            let half_gap_m = run.nodes.get(i).map_or(0.0, clear_m) / 2.0;
            let mut sum = 0.0;
            let mut last: Option<(f64, f64)> = None;
            for (s, (t, y)) in run.series(i).enumerate() {
                let a = atmosphere(program, run.segment.get(s).copied().unwrap_or(0));
                let p = if a.gas.is_some() { a.pressure_pa } else { 0.0 };
                let j = vapour.flux(y, mole_fraction, p, half_gap_m);
                if let Some((t0, j0)) = last {
                    sum += 0.5 * (j + j0) * (t - t0);
                }
                last = Some((t, j));
            }
            sum
        })
        .fold(0.0, f64::max)
}

/// Longest time of a kind's places in nitrogen between two temperatures while cooling, s.
pub fn nitrogen_time_s(
    run: &Run,
    program: &Program,
    kind: usize,
    nitrogen: &[bool],
    from_k: f64,
    to_k: f64,
) -> f64 {
    find(run, |n| n.place == Place::Part(kind))
        .iter()
        .map(|&i| {
            let p = points(run, i);
            p.windows(2)
                .enumerate()
                .filter(|(s, _)| {
                    let a = atmosphere(program, run.segment.get(s + 1).copied().unwrap_or(0));
                    a.gas
                        .is_some_and(|g| nitrogen.get(g).copied().unwrap_or(false))
                })
                .map(|(_, w)| cooling_time_between_s(w, from_k, to_k))
                .sum()
        })
        .fold(0.0, f64::max)
}

/// Concentration of what was in the furnace after the sweep of a stretch of the run.
pub fn purged(
    run: &Run,
    program: &Program,
    free_m3: f64,
    from_s: f64,
    until_s: f64,
    start: f64,
    mixing: f64,
) -> f64 {
    let stretches = (1..run.times_s.len()).filter_map(|s| {
        let (a, b) = (run.times_s[s - 1].max(from_s), run.times_s[s].min(until_s));
        let gas = atmosphere(program, run.segment[s]);
        (b > a && gas.gas.is_some()).then(|| PurgeStretch {
            dt_s: b - a,
            flow_m3_s_25c: gas.sweep_mol_s * molar_volume_m3(),
            t_k: run.sample(s).get(run.border.face).copied().unwrap_or(300.0),
            pressure_pa: gas.pressure_pa,
        })
    });
    after(start, 0.0, changes(stretches, free_m3), mixing)
}

/// What a run uses; the furnace is occupied until the load may come out, where that is known.
pub fn amounts(
    run: &Run,
    program: &Program,
    gases: usize,
    parts: usize,
    labour_s: Option<f64>,
) -> Amounts {
    let mut gas_m3 = vec![0.0; gases];
    let end = run.load_unload_s.unwrap_or(run.program_end_s);
    for s in 1..run.times_s.len() {
        let a = atmosphere(program, run.segment[s]);
        let dt = (run.times_s[s].min(end) - run.times_s[s - 1]).max(0.0);
        if let Some(g) = a.gas.and_then(|g| gas_m3.get_mut(g)) {
            *g += a.sweep_mol_s * molar_volume_m3() * dt;
        }
    }
    Amounts {
        time_s: end,
        electric_j: run.energy.electric_j,
        gas_m3,
        labour_s,
        parts,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::forecast::ceramics::ALUMINA;
    use crate::forecast::chemistry::{CHROMIUM, chromia, mol_s_from_l_min, water_share};
    use crate::forecast::demo::*;
    use crate::forecast::inputs::Case;
    use crate::forecast::whole::one;

    fn demo(at: Atmosphere) -> (Run, Program, LoadHeat) {
        let mut inputs = story_1(2, 90.0);
        inputs.program = reference_program(at);
        inputs.program.after = at;
        inputs.program.cool_max_s = 40.0 * 3600.0;
        let c = one(&inputs, &Case::nominal(), false, &|| false).unwrap();
        (c.run, inputs.program, inputs.load)
    }

    fn setter(level: usize) -> Plate {
        Plate {
            stack: 0,
            level,
            elastic_m: 15.2e-6,
            modulus_pa: 343e9,
            grain_m: 5e-6,
            creep: Some(ALUMINA),
            modulus: Curve::constant(364e9),
            strength: Curve::new(&[(293.0, 380e6), (1273.0, 345e6), (1673.0, 210e6)]).unwrap(),
            expansion_per_k: 8.07e-6,
        }
    }

    #[test]
    fn bow_of_the_run_is_that_of_its_peak_and_a_little() {
        let (run, ..) = demo(Atmosphere::default());
        let p = plate(&run, &setter(5)).unwrap();
        // Story 5 gives 0.66 mm for 2 h; here 90 min, and a ramp of 5 K/min that counts for
        // RT²/(Qβ) = 13.6 min more, and the beginning of the cooling.
        let bow = p.bow_m.unwrap() * 1e3;
        assert!(
            bow > 0.66 * 0.75 * 1.14 && bow < 0.66 * 0.75 * 1.19,
            "{bow}"
        );
        let c = p.cracking.unwrap();
        assert!(c.stress_pa > 0.0 && c.stress_pa < c.limit_pa * 3.0, "{c:?}");
    }

    #[test]
    fn hydrogen_carries_what_it_can() {
        let h2 = Atmosphere {
            gas: Some(2),
            pressure_pa: 101_325.0,
            sweep_mol_s: mol_s_from_l_min(30.0),
        };
        let (run, program, _) = demo(h2);
        let asked = ReductionAsked {
            kinds: vec![0],
            oxide: chromia(),
            activity: 0.2,
            metal_kg: 9.0,
            reducible: 0.0003,
            hydrogen: vec![0.0, 0.0, 1.0],
            inlet: water_share(-60.0),
            from_k: 1373.15,
            to_k: 1623.15,
        };
        let r = reduction_of(&run, &program, &asked);
        assert!(r.carried_mol > 0.0 && r.share() > 0.3, "{r:?}");
        let none = reduction_of(
            &run,
            &program,
            &ReductionAsked {
                hydrogen: vec![0.0; 3],
                ..asked
            },
        );
        assert_eq!(none.carried_mol, 0.0);
    }

    #[test]
    fn pressure_holds_chromium_and_gas_is_counted() {
        let (vacuum, vp, load) = demo(Atmosphere::default());
        let (argon, ap, _) = demo(argon_sweep());
        let go = |r: &Run, p: &Program, load: &LoadHeat| {
            evaporation_kg_m2(r, p, load, 0, &CHROMIUM, 0.18)
        };
        let lost = go(&argon, &ap, &load);
        assert!(go(&vacuum, &vp, &load) > 10.0 * lost && lost > 0.0);
        // A roof higher up moves the levels below by nothing; what is closed in loses more.
        let roof = |clear_m: f64| {
            let mut load = load.clone();
            load.stacks[0].levels.last_mut().unwrap().clear_m = clear_m;
            load
        };
        let below = go(&argon, &ap, &roof(0.5));
        assert_eq!(go(&argon, &ap, &roof(5.0)), below);
        let mut close = roof(0.5);
        let levels = close.stacks[0].levels.iter_mut().rev().skip(1);
        levels.for_each(|l| l.clear_m /= 2.0);
        assert!(go(&argon, &ap, &close) > 1.5 * below);
        let a = amounts(&argon, &ap, 3, 126, Some(1800.0));
        let want = 10.0e-3 / 60.0 * argon.load_unload_s.unwrap();
        assert!(
            (a.gas_m3[0] / want - 1.0).abs() < 1e-3,
            "{} {want}",
            a.gas_m3[0]
        );
        assert_eq!(
            nitrogen_time_s(&argon, &ap, 0, &[false, true, false], 1423.15, 873.15),
            0.0
        );
        assert!(nitrogen_time_s(&argon, &ap, 0, &[true, true, false], 1423.15, 873.15) > 600.0);
        let left = purged(&argon, &ap, 0.055, 0.0, 3600.0, 20.9, 0.5);
        assert!(left < 1e-6, "{left}");
    }
}
