//! One case of a run, from the start of the program until the load may come out.

mod follow;
mod stepping;

use super::clock::{ClockEvent, Phase, ProgramFault};
use super::curve::Grid;
use super::heat::furnace::{Border, FurnaceSystem, Power};
use super::heat::gas::GasNow;
use super::heat::network::{Network, NodeAt};
use super::inputs::{Atmosphere, Case, FurnaceHeat, Gas, LoadHeat, Program, Settings};
use super::solver::rosenbrock::{Effort, Stepper, System};
use stepping::{FIRST_S, Outcome, Record, Runner};

/// Why there is no forecast of heat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum RunFault {
    /// No level to heat, or figures without meaning.
    NothingToHeat,
    /// A figure of the furnace.
    Furnace,
    /// The program.
    Program(ProgramFault),
    /// The integration gave up.
    GaveUp {
        /// At this time, s.
        time_s: f64,
    },
    /// A newer input came.
    Cancelled,
}

/// End of a phase.
#[derive(Clone, Debug, PartialEq)]
pub struct PhaseEnd {
    /// Segment from 0.
    pub segment: usize,
    /// Phase that ends.
    pub phase: Phase,
    /// s.
    pub time_s: f64,
    /// All states.
    pub state: Vec<f64>,
}

/// How a hold went.
#[derive(Clone, Debug, PartialEq)]
pub struct HoldReport {
    /// Segment from 0.
    pub segment: usize,
    /// Start, s.
    pub start_s: f64,
    /// End, s.
    pub end_s: f64,
    /// Setpoint, K.
    pub target_k: f64,
    /// From the start of the hold until each node is in band, s; none = never in this hold.
    pub arrival_s: Vec<Option<f64>>,
    /// The same with the hold prolonged, up to a day; none = not then either (or not asked).
    pub prolonged_s: Vec<Option<f64>>,
    /// Temperatures at the end, K.
    pub end_k: Vec<f64>,
    /// Stretches in which the timer ran, s from and to.
    pub counted_s: Vec<(f64, f64)>,
}

impl HoldReport {
    /// What its timer has at a time, s. Where it begins anew after each wait, only the last stretch
    /// counts.
    pub fn timer_s(&self, at_s: f64, restarts: bool) -> f64 {
        let mut ran = self.counted_s.iter().filter(|(from, _)| *from <= at_s);
        let on = |(from, to): &(f64, f64)| to.min(at_s) - from;
        if restarts {
            let last = ran.next_back();
            let last = last.filter(|(_, to)| at_s <= *to || *to >= self.end_s);
            last.map_or(0.0, on)
        } else {
            ran.map(on).sum()
        }
    }
}

/// Heat over the whole run, J.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Energy {
    /// Electric.
    pub electric_j: f64,
    /// Out through the walls.
    pub loss_j: f64,
    /// With the sweep.
    pub sweep_j: f64,
    /// With the fan's water.
    pub water_j: f64,
    /// Stored in load and furnace at the end, from ∫cp dT.
    pub stored_j: f64,
    /// Moved in all, against which the gap is judged.
    pub moved_j: f64,
    /// Electric less all the others, over what was moved.
    pub gap: f64,
}

/// One case, computed.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// What the first states stand for.
    pub nodes: Vec<NodeAt>,
    /// Masses of these nodes, kg, as the case has them.
    pub mass_kg: Vec<f64>,
    /// The states after them.
    pub border: Border,
    /// States a sample.
    pub width: usize,
    /// Times, s.
    pub times_s: Vec<f64>,
    /// Samples one after the other, each `width` states.
    pub states: Vec<f64>,
    /// Segment of each sample; one past the last while cooling after the program.
    pub segment: Vec<usize>,
    /// Electric power at each sample, W.
    pub power_w: Vec<f64>,
    /// Ends of phases.
    pub ends: Vec<PhaseEnd>,
    /// Holds.
    pub holds: Vec<HoldReport>,
    /// What the clock did.
    pub events: Vec<ClockEvent>,
    /// End of the program, s.
    pub program_end_s: f64,
    /// When the chamber first reads the unload temperature after the program, s.
    pub chamber_unload_s: Option<f64>,
    /// When the whole load has it, s.
    pub load_unload_s: Option<f64>,
    /// Heat.
    pub energy: Energy,
    /// What it cost to compute.
    pub effort: Effort,
}

impl Run {
    /// The run as far as a time, s, at which it has a sample ([`Settings::mark_s`]).
    pub fn until(mut self, time_s: f64) -> Run {
        let time_s = time_s + 1e-6;
        let n = self.times_s.partition_point(|&t| t <= time_s);
        self.times_s.truncate(n);
        self.states.truncate(n * self.width);
        self.segment.truncate(n);
        self.power_w.truncate(n);
        self.ends.retain(|end| end.time_s <= time_s);
        self.holds.retain(|hold| hold.start_s <= time_s);
        self
    }

    /// Number among the ends of phases of that of a segment, from 0.
    pub fn end_of(&self, segment: usize, phase: Phase) -> Option<usize> {
        let mut ends = self.ends.iter();
        ends.position(|e| e.segment == segment && e.phase == phase)
    }

    /// When the segment before one has ended, s; the start of the run for the first.
    pub fn begins_s(&self, segment: usize) -> f64 {
        let before = segment.checked_sub(1);
        let end = before.and_then(|before| self.ends.get(self.end_of(before, Phase::Hold)?));
        end.map_or(0.0, |end| end.time_s)
    }

    /// State i over time.
    pub fn series(&self, i: usize) -> impl Iterator<Item = (f64, f64)> + '_ {
        self.times_s
            .iter()
            .zip(self.states.chunks_exact(self.width.max(1)))
            .map(move |(&t, y)| (t, y.get(i).copied().unwrap_or(f64::NAN)))
    }

    /// States at sample s.
    pub fn sample(&self, s: usize) -> &[f64] {
        self.states
            .get(s * self.width..(s + 1) * self.width)
            .unwrap_or(&[])
    }

    /// Temperature of a state at a time, K, between samples.
    pub fn at(&self, i: usize, time_s: f64) -> f64 {
        let after = self.times_s.partition_point(|&t| t <= time_s);
        let before = after.saturating_sub(1);
        let after = after.min(self.times_s.len().saturating_sub(1));
        let value = |s: usize| self.sample(s).get(i).copied().unwrap_or(f64::NAN);
        let time = |s: usize| self.times_s.get(s).copied().unwrap_or(0.0);
        let (t0, t1) = (time(before), time(after));
        let (y0, y1) = (value(before), value(after));
        if t1 > t0 {
            y0 + (y1 - y0) * ((time_s - t0) / (t1 - t0)).clamp(0.0, 1.0)
        } else {
            y0
        }
    }

    /// Electric power at a time, W, between samples.
    pub fn power_at(&self, time_s: f64) -> f64 {
        let after = self.times_s.partition_point(|&t| t <= time_s);
        let value = |s: usize| self.power_w.get(s).copied().unwrap_or(0.0);
        let time = |s: usize| self.times_s.get(s).copied().unwrap_or(0.0);
        let last = self.times_s.len().saturating_sub(1);
        let (a, b) = (after.saturating_sub(1), after.min(last));
        if time(b) > time(a) {
            value(a) + (value(b) - value(a)) * (time_s - time(a)) / (time(b) - time(a))
        } else {
            value(a)
        }
    }

    /// Mean electric power between two times, W.
    pub fn mean_power(&self, from_s: f64, to_s: f64) -> f64 {
        if to_s <= from_s {
            return self.power_at(to_s);
        }
        let at = |time_s: f64| self.times_s.partition_point(|t| *t < time_s);
        let within = self.times_s.iter().zip(&self.power_w);
        let within = within.take(at(to_s)).skip(at(from_s));
        let ends = |t: f64| (t, self.power_at(t));
        let (mut sum, mut last) = (0.0, ends(from_s));
        // Power jumps where two samples have one time: the later goes on from there.
        for next in within.map(|(t, w)| (*t, *w)).chain([ends(to_s)]) {
            sum += 0.5 * (last.1 + next.1) * (next.0 - last.0);
            last = next;
        }
        sum / (to_s - from_s)
    }

    /// Real time of a state in a range, s, between two times.
    pub fn time_in_range_s(
        &self,
        i: usize,
        from_k: f64,
        to_k: f64,
        from_s: f64,
        until_s: f64,
    ) -> f64 {
        let mut sum = 0.0;
        let mut last: Option<(f64, f64)> = None;
        for (t, y) in self.series(i) {
            if let Some((t0, y0)) = last {
                let (a, b) = (t0.max(from_s), t.min(until_s));
                if b > a && t > t0 {
                    let at = |x: f64| y0 + (y - y0) * (x - t0) / (t - t0);
                    sum += (b - a) * share_between(at(a), at(b), from_k, to_k);
                }
            }
            last = Some((t, y));
        }
        sum
    }

    /// Setpoint at a sample, K; none once the program is over, when nothing is set any more.
    pub fn setpoint_k(&self, s: usize) -> Option<f64> {
        let segment = *self.segment.get(s)?;
        let last = self.ends.last()?.segment;
        let y = self.sample(s);
        (segment <= last).then(|| y.get(self.border.setpoint).copied())?
    }

    /// How far the chamber leads the setpoint at most on a ramp upward, K. The controller holds its
    /// thermocouple at the setpoint, and that lags behind the chamber by rate times its lag.
    pub fn lead_k(&self) -> f64 {
        let samples = 0..self.times_s.len();
        let lead = samples.filter_map(|s| {
            let before = self.setpoint_k(s.checked_sub(1)?)?;
            let setpoint = self.setpoint_k(s)?;
            let chamber = *self.sample(s).get(self.border.chamber)?;
            // More than a hold's setpoint trembles by.
            (setpoint > before + 0.01).then_some(chamber - setpoint)
        });
        lead.fold(0.0, f64::max)
    }

    /// Coldest and hottest node among those chosen at a sample, K.
    pub fn extremes(&self, s: usize, choose: impl Fn(&NodeAt) -> bool) -> Option<(f64, f64)> {
        let y = self.sample(s);
        let mut out: Option<(f64, f64)> = None;
        for (at, &t) in self.nodes.iter().zip(y) {
            if choose(at) {
                let (lo, hi) = out.unwrap_or((t, t));
                out = Some((lo.min(t), hi.max(t)));
            }
        }
        out
    }
}

/// Share of the way from a to b that lies in a range.
fn share_between(a: f64, b: f64, from: f64, to: f64) -> f64 {
    let (lo, hi) = if a <= b { (a, b) } else { (b, a) };
    if hi - lo < 1e-12 {
        return if lo >= from && lo <= to { 1.0 } else { 0.0 };
    }
    ((hi.min(to) - lo.max(from)) / (hi - lo)).max(0.0)
}

/// Where a run begins other than uniformly cold: a run that was stopped.
#[derive(Clone, Debug, PartialEq)]
pub struct Start {
    /// All states, as in a [`PhaseEnd`] of a run of the same load and furnace.
    pub state: Vec<f64>,
    /// Whether parts are sintered and clean already.
    pub sintered: bool,
}

/// What to run.
#[derive(Clone, Copy)]
pub struct Job<'a> {
    /// Load.
    pub load: &'a LoadHeat,
    /// Furnace.
    pub furnace: &'a FurnaceHeat,
    /// Gases that the program's atmospheres name.
    pub gases: &'a [Gas],
    /// Program.
    pub program: &'a Program,
    /// Tolerance case.
    pub case: &'a Case,
    /// How finely.
    pub settings: Settings,
    /// Start; uniform without.
    pub start: Option<&'a Start>,
    /// Asks when nodes arrive that do not in their hold.
    pub prolong: bool,
    /// Asked once a step.
    pub cancelled: &'a (dyn Fn() -> bool + Sync),
}

/// Runs one case.
///
/// # Errors
/// See [`RunFault`].
pub fn run(job: &Job) -> Result<Run, RunFault> {
    let Job {
        load,
        furnace,
        gases,
        program,
        case,
        settings,
        start,
        prolong,
        cancelled,
    } = *job;
    program.check().map_err(RunFault::Program)?;
    if !sound(furnace) {
        return Err(RunFault::Furnace);
    }
    let net = Network::build(load, furnace.emissivity, settings.zones, case)
        .ok_or(RunFault::NothingToHeat)?;
    // One table for each atmosphere, in the order of first use.
    let mut atmospheres: Vec<(Atmosphere, Option<GasNow>)> = Vec::new();
    for a in program
        .segments
        .iter()
        .map(|s| s.atmosphere)
        .chain([program.after])
    {
        if !atmospheres.iter().any(|(b, _)| *b == a) {
            atmospheres.push((a, GasNow::new(gases, &a)));
        }
    }
    let mut system = FurnaceSystem::new(&net, load, furnace, Grid::from_curve(&case.offset));
    system.cooled = settings.cooled;
    let n = system.len();
    let mut y = system.start(settings.start_k, program.start_k);
    if let Some(start) =
        start.filter(|s| s.state.len() == n && s.state.iter().all(|t| t.is_finite()))
    {
        y.copy_from_slice(&start.state);
        if let Some(sp) = y.get_mut(system.border.setpoint) {
            *sp = program.start_k;
        }
    }
    let began = y.clone();
    let mut runner = Runner {
        stepper: Stepper::new(n),
        system,
        h: FIRST_S,
        time: 0.0,
        y,
        fresh: false,
        settings,
        cancelled,
        atmospheres: &atmospheres,
        record: Some(Record::default()),
        limited_s: 0.0,
        work: vec![0.0; n],
        end_rate: vec![0.0; n],
        end_power: Power::default(),
        start_power: Power::default(),
        watch: None,
    };
    runner.system.sintered = start.is_some_and(|s| s.sintered);
    runner.sample(0, runner.y.clone(), 0.0);
    let mut out = Outcome::default();
    runner.program(program, &mut out)?;
    let program_end_s = runner.time;
    let (chamber_unload_s, load_unload_s) = runner.cool(program)?;
    let stored_j = runner.stored(load, &began);
    let record = runner.record.take().unwrap_or_default();
    if prolong {
        runner.prolong(program, &mut out)?;
    }
    let mut energy = record.energy;
    energy.stored_j = stored_j;
    energy.moved_j = energy
        .electric_j
        .max(energy.loss_j)
        .max(stored_j.abs())
        .max(1.0);
    energy.gap = (energy.electric_j - energy.loss_j - energy.sweep_j - energy.water_j - stored_j)
        / energy.moved_j;
    Ok(Run {
        border: runner.system.border.clone(),
        width: n,
        times_s: record.times,
        states: record.states,
        segment: record.segment,
        power_w: record.power,
        ends: out.ends,
        holds: out.holds,
        events: out.events,
        program_end_s,
        chamber_unload_s,
        load_unload_s,
        energy,
        effort: runner.stepper.effort,
        nodes: net.nodes.clone(),
        mass_kg: net.mass_kg.clone(),
    })
}

fn sound(f: &FurnaceHeat) -> bool {
    let positive = [f.heat_j_k, f.control_s, f.ambient_k];
    let not_negative = [
        f.loss_w_k,
        f.loss_m2,
        f.sensor_lag_s,
        f.face_m2,
        f.emissivity,
    ];
    let retort = f
        .retort
        .is_none_or(|r| r.heat_j_k > 0.0 && r.area_m2 >= 0.0 && r.exchange >= 0.0);
    let insulation = f.insulation.is_none_or(|i| i.heat_j_k > 0.0);
    positive.iter().all(|x| x.is_finite() && *x > 0.0)
        && not_negative.iter().all(|x| x.is_finite() && *x >= 0.0)
        && retort
        && insulation
}

#[cfg(test)]
mod limits;
#[cfg(test)]
pub(crate) mod tests;
