//! What a temperature history does to the parts: binder, off-gas, core pressure, density, place by
//! place. One-way quadratures on a [`Run`].

use super::burnout::{Burning, Component};
use super::clock::Phase;
use super::constants::OFFGAS_PA_S;
use super::densify::{CAUGHT_PA, Dense, Densifying, Sintering};
use super::heat::Place;
use super::inputs::{Atmosphere, Program};
use super::offgas::{Flow, Pump, Trapped, residence_s};
use super::pores::{Core, Making, core, open_porosity};
use super::run::Run;

/// A kind of part, as far as its matter is concerned; in the order of the load's kinds.
#[derive(Clone, Debug, PartialEq)]
pub struct KindMatter {
    /// Binder that enters.
    pub components: Vec<Component>,
    /// Solids loading.
    pub loading: f64,
    /// Share of the green binder's volume that is left on entry.
    pub binder_volume_left: f64,
    /// Powder size, m.
    pub powder_m: f64,
    /// Half of the governing section, m.
    pub half_m: f64,
    /// Mass that enters over green volume, kg/m³.
    pub body_kg_m3: f64,
    /// Sintering; none where there are no data.
    pub sintering: Option<Sintering>,
    /// Relative density on entry: the loading, or that of a presintered part.
    pub density: f64,
    /// Indices of gases that stay in closing pores (argon, nitrogen).
    pub caught_gases: Vec<usize>,
}

impl KindMatter {
    /// The components of which nobody knows how they burn out.
    pub fn unknown(&self) -> impl Iterator<Item = &Component> {
        self.components.iter().filter(|c| !c.is_known())
    }

    /// Whether closing pores catch a gas that does not leave them again.
    pub fn catches(&self, around: &Atmosphere) -> bool {
        let stays = around.gas.is_some_and(|g| self.caught_gases.contains(&g));
        stays && around.pressure_pa > CAUGHT_PA
    }
}

/// One place of one kind.
#[derive(Clone, Debug, PartialEq)]
pub struct PlaceResult {
    /// State whose temperature it follows (the core's where there is one).
    pub node: usize,
    /// Stack.
    pub stack: usize,
    /// Level.
    pub level: usize,
    /// Zone.
    pub zone: usize,
    /// Mass that enters there, kg.
    pub mass_kg: f64,
    /// Share left at the end, by component.
    pub left: Vec<f64>,
    /// Relative density at the end; none without data or above their range.
    pub density: Option<f64>,
    /// How far it has come by then, for a run that goes on; none without data.
    pub dense: Option<Dense>,
    /// How much of the density a kelvin less where it was hottest would take, 1/K.
    pub density_per_k: f64,
    /// Grain size at the end, m, of a powder of which it is known how grains grow; counted from the
    /// start of this run.
    pub grain_m: Option<f64>,
    /// Hottest, K.
    pub hottest_k: f64,
    /// Highest core overpressure, Pa, and when, s.
    pub overpressure: Option<(f64, f64)>,
    /// When the gas came fastest while the pores were not open, s.
    pub closed_at_s: Option<f64>,
    /// Fastest gas, kg/(m³·s), and when, s.
    pub fastest: (f64, f64),
}

/// A kind along the run.
#[derive(Clone, Debug, PartialEq)]
pub struct KindResult {
    /// Places.
    pub places: Vec<PlaceResult>,
    /// At each sample, share of the entering binder left at the best and worst place; no numbers
    /// where nobody knows how a component burns out.
    pub left: Vec<(f64, f64)>,
    /// At each sample, lowest and highest density; empty without data, no numbers from where a
    /// place goes above their range.
    pub density: Vec<(f64, f64)>,
    /// At each phase end, by place: left by component, and density.
    pub ends: Vec<Vec<(Vec<f64>, Option<f64>)>>,
}

/// Off-gas at a sample: mean of the stretch that ends there.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct OffgasPoint {
    /// Flow.
    pub flow: Flow,
    /// Sweep, mol/s.
    pub sweep_mol_s: f64,
    /// Residence, s.
    pub residence_s: f64,
    /// Lowest pressure that the pump can hold, Pa; none where it cannot, or without a pump.
    pub floor_pa: Option<f64>,
    /// Pressure asked for, Pa.
    pub set_pa: f64,
}

/// All that happens to the parts.
#[derive(Clone, Debug, PartialEq)]
pub struct MatterResult {
    /// By kind.
    pub kinds: Vec<KindResult>,
    /// Whether it is known of all binder how it burns out: else what comes of it is more than is
    /// told here.
    pub burnout_known: bool,
    /// By sample.
    pub offgas: Vec<OffgasPoint>,
    /// Sample of the greatest flow.
    pub peak: usize,
    /// Trap.
    pub trapped: Trapped,
    /// Left as carbon, kg, by kind.
    pub char_kg: Vec<f64>,
    /// Metal, kg, by kind.
    pub metal_kg: Vec<f64>,
}

/// What is known of parts that have been in the furnace before.
#[derive(Clone, Debug, PartialEq)]
pub struct Had {
    /// By kind, by place.
    pub places: Vec<Vec<PlaceHad>>,
}

/// The same of one place.
#[derive(Clone, Debug, PartialEq)]
pub struct PlaceHad {
    /// Share left, by component.
    pub left: Vec<f64>,
    /// Relative density; none without data or above their range.
    pub density: Option<f64>,
    /// How far it has come; none without data.
    pub dense: Option<Dense>,
    /// Hottest so far, K.
    pub hottest_k: f64,
}

impl PlaceResult {
    /// What a run that goes on takes up.
    pub fn had(&self) -> PlaceHad {
        PlaceHad {
            left: self.left.clone(),
            density: self.density,
            dense: self.dense,
            hottest_k: self.hottest_k,
        }
    }
}

/// Least and most of the densities of places; none where any of them has none.
pub fn densities(each: impl Iterator<Item = Option<f64>>) -> Option<(f64, f64)> {
    let all: Option<Vec<f64>> = each.collect();
    let all = all.filter(|all| !all.is_empty())?;
    let least = all.iter().copied().fold(f64::INFINITY, f64::min);
    Some((least, all.into_iter().fold(0.0, f64::max)))
}

/// What is around the load at each sample of a run.
pub fn around(run: &Run, program: &Program) -> Vec<Atmosphere> {
    let of = |segment: &usize| {
        let segment = program.segments.get(*segment);
        segment.map_or(program.after, |s| s.atmosphere)
    };
    run.segment.iter().map(of).collect()
}

/// Follows the parts along a run. `free_m3` is the free volume of the furnace; `had` the state at
/// the start of a run that goes on.
pub fn follow(
    run: &Run,
    program: &Program,
    kinds: &[KindMatter],
    mass_factor: f64,
    free_m3: f64,
    pump: Option<&Pump>,
    had: Option<&Had>,
) -> MatterResult {
    let samples = run.times_s.len();
    let around = around(run, program);
    let dt: Vec<f64> = std::iter::once(0.0)
        .chain(run.times_s.windows(2).map(|w| w[1] - w[0]))
        .collect();
    // Samples at which phases end; they fall on samples exactly.
    let ends: Vec<usize> = run
        .ends
        .iter()
        .map(|e| {
            run.times_s
                .partition_point(|&t| t <= e.time_s)
                .saturating_sub(1)
        })
        .collect();
    let mut gas = vec![Flow::default(); samples];
    let mut out = MatterResult {
        kinds: Vec::new(),
        burnout_known: kinds.iter().all(|k| k.unknown().next().is_none()),
        offgas: Vec::new(),
        peak: 0,
        trapped: Trapped::default(),
        char_kg: Vec::new(),
        metal_kg: Vec::new(),
    };
    let mut amounts: Vec<(f64, f64)> = Vec::new();
    for (k, kind) in kinds.iter().enumerate() {
        let binder: f64 = kind.components.iter().map(|c| c.mass_share).sum();
        let volume: f64 = kind
            .components
            .iter()
            .map(|c| c.mass_share / c.density_kg_m3)
            .sum();
        let mut result = KindResult {
            places: Vec::new(),
            left: vec![(f64::INFINITY, 0.0); samples],
            density: if kind.sintering.is_some() {
                vec![(f64::INFINITY, 0.0); samples]
            } else {
                Vec::new()
            },
            ends: vec![Vec::new(); ends.len()],
        };
        let (mut char_kg, mut metal_kg) = (0.0, 0.0);
        for mut place in places(run, k, mass_factor) {
            let before = had
                .and_then(|h| h.places.get(k))
                .and_then(|p| p.get(result.places.len()));
            place.hottest_k = before.map_or(0.0, |b| b.hottest_k);
            let mut burning: Vec<Burning> = kind
                .components
                .iter()
                .enumerate()
                .map(|(c, comp)| match before.and_then(|b| b.left.get(c)) {
                    Some(&left) => Burning::from_left(comp, left),
                    None => Burning::new(comp),
                })
                .collect();
            let mut densifying = kind.sintering.as_ref().map(|s| {
                let had = before.and_then(|b| b.dense);
                had.map_or_else(
                    || Densifying::new(s, kind.density),
                    |had| Densifying::resumed(s, kind.density, &had),
                )
            });
            let mut end = ends.iter().peekable();
            let mut end_index = 0;
            for s in 0..samples {
                let t = run
                    .states
                    .get(s * run.width + place.node)
                    .copied()
                    .unwrap_or(300.0);
                let (step, a) = (dt[s], around[s]);
                let mut made = 0.0;
                let (mut mass_left, mut volume_left) = (0.0, 0.0);
                let mut moles = 0.0;
                for b in &mut burning {
                    let c = b.component();
                    // What is left then weighs less than an atom of a part.
                    if b.left() > 1e-12 {
                        let gone = b.step(step, t, a.pressure_pa);
                        let kg = gone * c.mass_share * (1.0 - c.char_share);
                        made += kg;
                        moles += kg / c.offgas_kg_mol;
                    }
                    mass_left += b.left() * c.mass_share;
                    volume_left += b.left() * c.mass_share / c.density_kg_m3;
                }
                if step > 0.0 && made > 0.0 {
                    gas[s].kg_s += made * place.mass_kg / step;
                    gas[s].mol_s += moles * place.mass_kg / step;
                    let rate = made * kind.body_kg_m3 / step;
                    if rate > place.fastest.0 {
                        place.fastest = (rate, run.times_s[s]);
                    }
                    let f = if volume > 0.0 {
                        volume_left / volume
                    } else {
                        0.0
                    };
                    let open = open_porosity(kind.loading, kind.binder_volume_left * f);
                    let making = Making {
                        kg_m3_s: rate,
                        viscosity_pa_s: OFFGAS_PA_S,
                        molar_kg_mol: made / moles.max(1e-300),
                        t_k: t,
                        half_m: kind.half_m,
                        outside_pa: a.pressure_pa,
                    };
                    match core(&making, open, kind.powder_m) {
                        Core::Overpressure(p) => {
                            if place.overpressure.is_none_or(|(most, _)| p > most) {
                                place.overpressure = Some((p, run.times_s[s]));
                            }
                        }
                        Core::Closed => {
                            if place.fastest.1 == run.times_s[s] {
                                place.closed_at_s = Some(run.times_s[s]);
                            }
                        }
                    }
                    // Opened by the time the gas comes fastest: no finding.
                    if open >= super::pores::OPEN_MIN && place.fastest.1 == run.times_s[s] {
                        place.closed_at_s = None;
                    }
                }
                let share = if binder > 0.0 {
                    mass_left / binder
                } else {
                    0.0
                };
                let left = &mut result.left[s];
                left.0 = left.0.min(share);
                left.1 = left.1.max(share);
                if let Some(d) = &mut densifying {
                    d.step(step, t, kind.catches(&a));
                    if let Some(range) = result.density.get_mut(s) {
                        *range = match d.predicted().filter(|_| !range.0.is_nan()) {
                            Some(now) => (range.0.min(now), range.1.max(now)),
                            None => (f64::NAN, f64::NAN),
                        };
                    }
                }
                while end.peek() == Some(&&s) {
                    end.next();
                    let lefts = burning.iter().map(Burning::left).collect();
                    let density = densifying.as_ref().and_then(Densifying::predicted);
                    if let Some(e) = result.ends.get_mut(end_index) {
                        e.push((lefts, density));
                    }
                    end_index += 1;
                }
                place.hottest_k = place.hottest_k.max(t);
            }
            place.left = burning.iter().map(Burning::left).collect();
            if let Some(d) = &densifying {
                place.density = d.predicted();
                place.dense = Some(d.dense());
                place.density_per_k = d.slope_per_k();
            }
            let grains = kind.sintering.as_ref().and_then(|s| s.grains);
            place.grain_m = grains.map(|g| g.after(run.series(place.node)));
            for b in &burning {
                let c = b.component();
                let gone = (1.0 - b.left()) * c.mass_share * place.mass_kg;
                char_kg += gone * c.char_share;
                amounts.push((gone * (1.0 - c.char_share), c.trap_share));
            }
            metal_kg += place.mass_kg * (1.0 - binder).max(0.0);
            result.places.push(place);
        }
        if kind.unknown().next().is_some() {
            result.left.fill((f64::NAN, f64::NAN));
        }
        out.kinds.push(result);
        out.char_kg.push(char_kg);
        out.metal_kg.push(metal_kg);
    }
    out.trapped = super::offgas::trap(amounts);
    let border = &run.border;
    for (s, flow) in gas.into_iter().enumerate() {
        let a = around[s];
        let t = run
            .states
            .get(s * run.width + border.face)
            .copied()
            .unwrap_or(300.0);
        let mol = a.sweep_mol_s + flow.mol_s;
        out.offgas.push(OffgasPoint {
            flow,
            sweep_mol_s: a.sweep_mol_s,
            residence_s: residence_s(free_m3, a.pressure_pa, t, mol),
            floor_pa: pump.and_then(|p| p.floor_pa_quick(mol)),
            set_pa: a.pressure_pa,
        });
        if flow.mol_s > out.offgas[out.peak].flow.mol_s {
            out.peak = s;
        }
    }
    out
}

/// Places of a kind, in the order of the nodes.
fn places(run: &Run, kind: usize, mass_factor: f64) -> Vec<PlaceResult> {
    let mut out = Vec::new();
    for (i, at) in run.nodes.iter().enumerate() {
        if at.place != Place::Part(kind) {
            continue;
        }
        let core = run.nodes.iter().position(|n| {
            n.place == Place::Core(kind)
                && (n.stack, n.level, n.zone) == (at.stack, at.level, at.zone)
        });
        let mass = run.mass_kg[i] + core.map_or(0.0, |c| run.mass_kg[c]);
        out.push(PlaceResult {
            node: core.unwrap_or(i),
            stack: at.stack,
            level: at.level,
            zone: at.zone,
            mass_kg: mass / mass_factor,
            left: Vec::new(),
            density: None,
            dense: None,
            density_per_k: 0.0,
            grain_m: None,
            hottest_k: 0.0,
            overpressure: None,
            closed_at_s: None,
            fastest: (0.0, 0.0),
        });
    }
    out
}

impl MatterResult {
    /// Largest share left of a component over its places at a time in a ramp, s. It goes on from the
    /// end of the segment before, or from the start of the run.
    pub fn left_in_ramp(
        &self,
        run: &Run,
        (kind, c): (usize, usize),
        component: &Component,
        (segment, pressure_pa): (usize, f64),
        until_s: f64,
    ) -> Option<f64> {
        let before = segment.checked_sub(1);
        let before = before.and_then(|before| run.end_of(before, Phase::Hold));
        let from_s = run.begins_s(segment);
        let result = self.kinds.get(kind)?;
        let left = |(index, place): (usize, &PlaceResult)| {
            let had = before.and_then(|end| result.ends.get(end)?.get(index)?.0.get(c));
            let mut burning = match had {
                Some(left) => Burning::from_left(component, *left),
                None => Burning::new(component),
            };
            let mut last_s = from_s;
            for (t_s, t_k) in run.series(place.node) {
                if t_s < from_s || t_s > until_s {
                    continue;
                }
                burning.step(t_s - last_s, t_k, pressure_pa);
                last_s = t_s;
            }
            burning.left()
        };
        result.places.iter().enumerate().map(left).reduce(f64::max)
    }

    /// Share left of a component at the end of a segment: of its hold, or of a ramp without one.
    pub fn left_after(
        &self,
        run: &Run,
        kind: usize,
        component: usize,
        segment: usize,
    ) -> Option<(f64, f64)> {
        let at = |phase| self.left_at(run, kind, component, segment, phase);
        at(Phase::Hold).or_else(|| at(Phase::Ramp))
    }

    /// Share left of a component at the end of a phase, by place: coldest place's and hottest's
    /// are the largest and smallest.
    pub fn left_at(
        &self,
        run: &Run,
        kind: usize,
        component: usize,
        segment: usize,
        phase: Phase,
    ) -> Option<(f64, f64)> {
        let end = run.end_of(segment, phase)?;
        let places = self.kinds.get(kind)?.ends.get(end)?;
        places
            .iter()
            .filter_map(|(left, _)| left.get(component).copied())
            .fold(None, |range: Option<(f64, f64)>, x| {
                let (lo, hi) = range.unwrap_or((x, x));
                Some((lo.min(x), hi.max(x)))
            })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::forecast::burnout::Reaction;
    use crate::forecast::demo::{matter, story_1};
    use crate::forecast::inputs::Case;
    use crate::forecast::run::{Job, run};
    use proptest::prelude::*;

    fn reaction() -> impl Strategy<Value = Reaction> {
        (1e-3..1e25f64, 1e4..5e5f64, 0.0..3.0f64, any::<bool>()).prop_map(
            |(a_per_s, e_j_mol, order, evaporates)| Reaction {
                share: 0.5,
                a_per_s,
                e_j_mol,
                order,
                evaporates,
            },
        )
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 40, failure_persistence: None, ..ProptestConfig::default() })]
        /// Whatever the kinetics: shares between 0 and 1, falling, and every gram somewhere.
        #[test]
        fn any_kinetics_keep_the_mass(reactions in proptest::collection::vec(reaction(), 2..=2), pressure_pa in 0.0..2e5f64, q in 5e4..1.2e6f64) {
            let mut inputs = story_1(2, 20.0);
            inputs.load.stacks[0].levels.truncate(2);
            inputs.program.segments.iter_mut().for_each(|s| s.atmosphere.pressure_pa = pressure_pa);
            inputs.program.cool_max_s = 0.0;
            let run = run(&Job {
                load: &inputs.load, furnace: &inputs.furnace, gases: &inputs.gases, program: &inputs.program,
                case: &Case::nominal(), settings: inputs.settings, start: None, prolong: false, cancelled: &|| false,
            }).unwrap();
            let mut kind = matter();
            kind.components.truncate(1);
            kind.components[0].reactions = reactions;
            if let Some(s) = &mut kind.sintering {
                s.low.q_j_mol = q;
            }
            let m = follow(&run, &inputs.program, &[kind], 1.0, 0.05, None, None);
            let k = &m.kinds[0];
            prop_assert!(k.left.iter().all(|l| l.0 >= 0.0 && l.1 <= 1.0 + 1e-12 && l.0 <= l.1));
            prop_assert!(k.density.iter().all(|d| d.0 >= 0.6 && d.1 <= 0.99 + 1e-9));
            let entered: f64 = k.places.iter().map(|p| p.mass_kg * 0.017).sum();
            let left: f64 = k.places.iter().map(|p| p.mass_kg * 0.017 * p.left[0]).sum();
            let gone = m.trapped.caught_kg + m.trapped.passed_kg + m.char_kg[0];
            prop_assert!(((gone + left) / entered - 1.0).abs() < 1e-9);
            prop_assert!(m.offgas.iter().all(|o| o.flow.kg_s.is_finite() && o.flow.mol_s.is_finite()));
            prop_assert!(k.places.iter().all(|p| p.overpressure.is_none_or(|(p, _)| p.is_finite() && p >= 0.0)));
        }
    }
}
