//! Step by step: integration up to a time or an event, with samples, arrivals and energy.

use super::{Energy, HoldReport, PhaseEnd, RunFault};
use crate::forecast::clock::ClockEvent;
use crate::forecast::heat::furnace::{Drive, FurnaceSystem, Power};
use crate::forecast::heat::gas::GasNow;
use crate::forecast::inputs::{Atmosphere, Settings};
use crate::forecast::solver::rosenbrock::{Stepper, System, next_step};

/// Steps of temperature between samples, K, and of time, s.
const SAMPLE_K: f64 = 5.0;
/// The same while the chamber cools, where hardly anything happens any more.
const SAMPLE_COOLING_K: f64 = 15.0;
const SAMPLE_S: f64 = 300.0;
/// Step at the start and after a break, s.
pub(super) const FIRST_S: f64 = 10.0;

#[derive(Default)]
pub(super) struct Outcome {
    pub(super) ends: Vec<PhaseEnd>,
    pub(super) holds: Vec<HoldReport>,
    pub(super) events: Vec<ClockEvent>,
}

#[derive(Default)]
pub(super) struct Record {
    pub(super) times: Vec<f64>,
    pub(super) states: Vec<f64>,
    pub(super) segment: Vec<usize>,
    pub(super) power: Vec<f64>,
    pub(super) energy: Energy,
}

/// Turns from negative to not negative when something happens.
pub(super) type Event<'a> = dyn Fn(&FurnaceSystem<'a>, &[f64]) -> f64;

/// Nodes being watched for arrival.
pub(super) struct Watch {
    pub(super) start_s: f64,
    pub(super) target: Vec<f64>,
    pub(super) band_k: f64,
    pub(super) arrival: Vec<Option<f64>>,
}

pub(super) struct Runner<'a> {
    pub(super) stepper: Stepper,
    pub(super) system: FurnaceSystem<'a>,
    pub(super) h: f64,
    pub(super) time: f64,
    pub(super) y: Vec<f64>,
    /// Whether `end_rate` and `end_power` hold for `y` under the present drive.
    pub(super) fresh: bool,
    pub(super) settings: Settings,
    pub(super) cancelled: &'a (dyn Fn() -> bool + Sync),
    pub(super) atmospheres: &'a [(Atmosphere, Option<GasNow>)],
    pub(super) record: Option<Record>,
    pub(super) limited_s: f64,
    pub(super) work: Vec<f64>,
    pub(super) end_rate: Vec<f64>,
    pub(super) end_power: Power,
    pub(super) start_power: Power,
    pub(super) watch: Option<Watch>,
}

impl<'a> Runner<'a> {
    pub(super) fn set_gas(&mut self, a: &Atmosphere) {
        self.system.gas = self
            .atmospheres
            .iter()
            .find(|(b, _)| b == a)
            .and_then(|(_, gas)| gas.as_ref());
        self.fresh = false;
    }

    pub(super) fn drive(&mut self, drive: Drive) {
        if self.system.drive != drive {
            self.system.drive = drive;
            self.fresh = false;
            self.h = self.h.min(FIRST_S.max(0.05 * self.h));
        }
    }

    pub(super) fn setpoint(&mut self, k: f64) {
        let i = self.system.border.setpoint;
        if self.y[i] != k {
            self.y[i] = k;
            self.fresh = false;
        }
    }

    pub(super) fn sample(&mut self, segment: usize, y: Vec<f64>, power: f64) {
        let time = self.time;
        if let Some(r) = &mut self.record {
            r.times.push(time);
            r.states.extend_from_slice(&y);
            r.segment.push(segment);
            r.power.push(power);
        }
    }

    /// Integrates for a time, s, or until `event` turns from negative to not negative. Gives the
    /// time that went by and whether the event came.
    pub(super) fn advance(
        &mut self,
        segment: usize,
        for_s: f64,
        event: Option<&Event<'a>>,
    ) -> Result<(f64, bool), RunFault> {
        let start = self.time;
        let end = start + for_s;
        if let Some(g) = event
            && g(&self.system, &self.y) >= 0.0
        {
            return Ok((0.0, true));
        }
        self.mind_fan();
        while self.time < end {
            if (self.cancelled)() {
                return Err(RunFault::Cancelled);
            }
            let left = end - self.time;
            if left <= 1e-9 * end.max(1.0) {
                self.time = end;
                break;
            }
            let y = std::mem::take(&mut self.y);
            self.begin(&y);
            let mut h = self.h;
            let mut tries = 0;
            let (h_done, error) = loop {
                // Not to leave a sliver for the last step.
                let step = if h >= left {
                    left
                } else if h > 0.55 * left {
                    0.5 * left
                } else {
                    h
                };
                let error = self.stepper.attempt(
                    &mut self.system,
                    step,
                    self.settings.rtol,
                    self.settings.atol_k,
                );
                let sane =
                    error.is_finite() && self.stepper.to.iter().all(|t| *t > 50.0 && *t < 6_000.0);
                if sane && error <= 1.0 {
                    break (step, error);
                }
                self.stepper.effort.rejected += 1;
                h = next_step(step, if sane { error } else { f64::INFINITY }).min(0.7 * step);
                tries += 1;
                let all = self.stepper.effort.steps + self.stepper.effort.rejected;
                if tries > 60 || h < 1e-7 || all > self.settings.steps_max {
                    self.y = y;
                    return Err(RunFault::GaveUp { time_s: self.time });
                }
            };
            self.stepper.accept();
            let all = self.stepper.effort.steps + self.stepper.effort.rejected;
            if all > self.settings.steps_max {
                self.y = y;
                return Err(RunFault::GaveUp { time_s: self.time });
            }
            let wish = next_step(h_done, error);
            // A step cut short by the end says little about the next.
            self.h = if h_done < 0.99 * h { wish.max(h) } else { wish };
            self.y = y;
            let mut theta = 1.0;
            let mut hit = false;
            if let Some(g) = event
                && g(&self.system, &self.stepper.to) >= 0.0
            {
                hit = true;
                theta = self.root(g);
            }
            if self.system.fan_due(&self.stepper.to) >= 0.0 {
                let at = self.root(&|s, y| s.fan_due(y));
                if at < theta {
                    theta = at;
                    hit = false;
                }
            }
            self.finish_step(segment, h_done, theta);
            self.mind_fan();
            if hit {
                return Ok((self.time - start, true));
            }
        }
        Ok((self.time - start, false))
    }

    /// Switches the fan when it is due.
    pub(super) fn mind_fan(&mut self) {
        if self.system.fan_due(&self.y) >= 0.0 {
            self.system.switch_fan();
            self.fresh = false;
            self.h = self.h.min(FIRST_S);
        }
    }

    pub(super) fn begin(&mut self, y: &[f64]) {
        if self.fresh {
            self.stepper.begin_with(&mut self.system, y, &self.end_rate);
            self.start_power = self.end_power;
        } else {
            self.stepper.begin(&mut self.system, y);
            self.start_power = self.system.last;
        }
    }

    pub(super) fn root(&mut self, g: &Event<'a>) -> f64 {
        let (mut lo, mut hi) = (0.0, 1.0);
        for _ in 0..50 {
            let mid = 0.5 * (lo + hi);
            self.stepper.dense(mid, &mut self.work);
            if g(&self.system, &self.work) >= 0.0 {
                hi = mid;
            } else {
                lo = mid;
            }
        }
        hi
    }

    /// Takes a step over as far as `theta`: samples, arrivals, energy.
    pub(super) fn finish_step(&mut self, segment: usize, h: f64, theta: f64) {
        let t0 = self.time;
        let nodes = self.system.net.len();
        let most = self
            .stepper
            .to
            .iter()
            .zip(&self.stepper.from)
            .map(|(a, b)| (a - b).abs())
            .fold(0.0, f64::max);
        let face = self.system.border.face;
        let cools = self.stepper.to[face] < self.stepper.from[face] - 1.0;
        let spacing = if cools { SAMPLE_COOLING_K } else { SAMPLE_K };
        let pieces = (most * theta / spacing)
            .max(h * theta / SAMPLE_S)
            .ceil()
            .clamp(1.0, 400.0) as usize;
        // Power at the middle and the end, for Simpson's rule and the samples.
        let mut mid = std::mem::take(&mut self.work);
        let mut rate = std::mem::take(&mut self.end_rate);
        self.stepper.dense(0.5 * theta, &mut mid);
        self.system.rhs(&mid, &mut rate);
        let p_mid = self.system.last;
        if theta >= 1.0 {
            self.y.copy_from_slice(&self.stepper.to);
        } else {
            let mut y = std::mem::take(&mut self.y);
            self.stepper.dense(theta, &mut y);
            self.y = y;
        }
        self.system.rhs(&self.y, &mut rate);
        self.stepper.effort.rhs += 2;
        self.end_power = self.system.last;
        let (p0, p1) = (self.start_power, self.end_power);
        let dt = h * theta;
        if let Some(r) = &mut self.record {
            let simpson = |f: fn(&Power) -> f64| dt / 6.0 * (f(&p0) + 4.0 * f(&p_mid) + f(&p1));
            // What was put in, from the chamber's own balance: the power itself jumps and, held
            // back, trembles; what leaves is smooth.
            let chamber = self.system.border.chamber;
            let heated = self.y[chamber] - self.stepper.from[chamber];
            r.energy.electric_j += self.system.chamber_j_k() * heated + simpson(|p| p.out_w);
            r.energy.loss_j += simpson(|p| p.outside_w);
            r.energy.sweep_j += simpson(|p| p.sweep_w);
            r.energy.water_j += simpson(|p| p.water_w);
            if self.system.at_full_power(&mid) {
                self.limited_s += dt;
            }
            // The mark, where it lies inside this step.
            let mark = self.settings.mark_s.map(|m| (m - t0) / dt.max(1e-9));
            let mut at: Vec<f64> = (1..=pieces).map(|i| i as f64 / pieces as f64).collect();
            if let Some(f) = mark.filter(|f| *f > 0.0 && *f < 1.0 && !at.contains(f)) {
                at.insert(at.partition_point(|a| *a < f), f);
            }
            for f in at {
                r.times.push(t0 + dt * f);
                if f >= 1.0 {
                    r.states.extend_from_slice(&self.y);
                } else {
                    let at = r.states.len();
                    r.states.extend_from_slice(&self.y);
                    self.stepper.dense(theta * f, &mut r.states[at..]);
                }
                r.segment.push(segment);
                r.power
                    .push(p0.electric_w + f * (p1.electric_w - p0.electric_w));
            }
        }
        if let Some(w) = &mut self.watch {
            for i in 0..nodes {
                let away = |t: f64| (t - w.target[i]).abs() - w.band_k;
                if w.arrival[i].is_some() || away(self.y[i]) > 0.0 {
                    continue;
                }
                let (mut lo, mut hi) = (0.0, theta);
                if away(self.stepper.from[i]) <= 0.0 {
                    hi = 0.0;
                }
                for _ in 0..40 {
                    let m = 0.5 * (lo + hi);
                    if away(self.stepper.dense_at(i, m)) <= 0.0 {
                        hi = m;
                    } else {
                        lo = m;
                    }
                }
                w.arrival[i] = Some(t0 + hi * h - w.start_s);
            }
        }
        self.work = mid;
        self.end_rate = rate;
        self.fresh = true;
        self.time = t0 + dt;
    }
}
