//! The program followed segment by segment: ramps, holds, guaranteed soaks, cooling, and what a
//! longer hold would give.

use super::stepping::{Outcome, Runner, Watch};
use super::{HoldReport, PhaseEnd, RunFault};
use crate::forecast::clock::{ClockEvent, LEAVINGS_MAX, Phase, ProgramFault, WAIT_MAX_S, ramp};
use crate::forecast::heat::Place;
use crate::forecast::heat::furnace::{Drive, FurnaceSystem};
use crate::forecast::inputs::{LoadHeat, Program, Wait};

/// How long a hold is prolonged to see when the load would arrive, s.
const PROLONG_S: f64 = 86_400.0;

impl<'a> Runner<'a> {
    pub(super) fn program(&mut self, program: &Program, out: &mut Outcome) -> Result<(), RunFault> {
        let peak = program.peak_segment();
        for (i, segment) in program.segments.iter().enumerate() {
            self.set_gas(&segment.atmosphere);
            self.system.fan = segment.fan;
            self.fresh = false;
            let mut wait = segment.wait;
            if let Some(w) = wait
                && self.system.deviation(&self.y, w.on).is_none()
            {
                out.events.push(ClockEvent::NothingToWaitFor { segment: i });
                wait = None;
            }
            let from = self.y[self.system.border.setpoint];
            let (ramp_s, rate) =
                ramp(segment, from).ok_or(RunFault::Program(ProgramFault::Segment(i)))?;
            if ramp_s > 0.0 {
                self.ramp(
                    i,
                    segment.to_k,
                    ramp_s,
                    rate,
                    wait.filter(|w| w.on_ramp),
                    out,
                )?;
            }
            self.setpoint(segment.to_k);
            self.drive(Drive::default());
            self.end(i, Phase::Ramp, out);
            if segment.hold_s > 0.0 {
                self.hold(
                    i,
                    segment.to_k,
                    segment.hold_s,
                    wait.filter(|w| w.on_hold),
                    out,
                )?;
            }
            self.end(i, Phase::Hold, out);
            if i == peak {
                self.system.sintered = true;
                self.fresh = false;
            }
            if self.limited_s > 60.0 {
                out.events.push(ClockEvent::PowerLimited {
                    segment: i,
                    for_s: self.limited_s,
                });
            }
            self.limited_s = 0.0;
        }
        Ok(())
    }

    pub(super) fn end(&mut self, segment: usize, phase: Phase, out: &mut Outcome) {
        out.ends.push(PhaseEnd {
            segment,
            phase,
            time_s: self.time,
            state: self.y.clone(),
        });
    }

    pub(super) fn ramp(
        &mut self,
        segment: usize,
        to_k: f64,
        ramp_s: f64,
        rate_k_s: f64,
        wait: Option<Wait>,
        out: &mut Outcome,
    ) -> Result<(), RunFault> {
        let start = self.time;
        let plain = Drive {
            rate_k_s,
            ..Drive::default()
        };
        let Some(wait) = wait.filter(|_| rate_k_s != 0.0) else {
            self.drive(plain);
            self.advance(segment, ramp_s, None)?;
            return Ok(());
        };
        self.drive(Drive {
            holdback: Some((wait.on, wait.band_k)),
            ..plain
        });
        let sign = rate_k_s.signum();
        let there = move |s: &FurnaceSystem<'a>, y: &[f64]| sign * (y[s.border.setpoint] - to_k);
        let timeout = wait.timeout_s.unwrap_or(WAIT_MAX_S);
        let (took, arrived) = self.advance(segment, ramp_s + timeout, Some(&there))?;
        if !arrived {
            out.events.push(ClockEvent::TimedOut {
                segment,
                phase: Phase::Ramp,
                time_s: self.time,
            });
            let left = (to_k - self.y[self.system.border.setpoint]) / rate_k_s;
            self.drive(plain);
            if left > 0.0 {
                self.advance(segment, left, None)?;
            }
        }
        let waited_s = (self.time - start - ramp_s).max(0.0);
        if waited_s > 1.0 {
            out.events.push(ClockEvent::Waited {
                segment,
                phase: Phase::Ramp,
                waited_s,
            });
        }
        let _ = took;
        Ok(())
    }

    pub(super) fn hold(
        &mut self,
        segment: usize,
        to_k: f64,
        hold_s: f64,
        wait: Option<Wait>,
        out: &mut Outcome,
    ) -> Result<(), RunFault> {
        let start_s = self.time;
        let nodes = self.system.net.len();
        let target = to_k + self.system.offset_at(to_k);
        let band_k = self.settings.arrival_band_k;
        let arrival = self.y[..nodes]
            .iter()
            .map(|t| ((t - target).abs() <= band_k).then_some(0.0))
            .collect();
        self.watch = Some(Watch {
            start_s,
            target: vec![target; nodes],
            band_k,
            arrival,
        });
        self.drive(Drive::default());
        let mut counted_s = Vec::new();
        match wait {
            None => {
                self.advance(segment, hold_s, None)?;
                counted_s.push((start_s, self.time));
            }
            Some(w) => self.guaranteed(segment, hold_s, &w, &mut counted_s, out)?,
        }
        if let Some(w) = self.watch.take() {
            out.holds.push(HoldReport {
                segment,
                start_s,
                end_s: self.time,
                target_k: to_k,
                prolonged_s: w.arrival.clone(),
                arrival_s: w.arrival,
                end_k: self.y[..nodes].to_vec(),
                counted_s,
            });
        }
        Ok(())
    }

    /// A hold whose timer runs only in band; notes when it ran.
    pub(super) fn guaranteed(
        &mut self,
        segment: usize,
        hold_s: f64,
        w: &Wait,
        counted_s: &mut Vec<(f64, f64)>,
        out: &mut Outcome,
    ) -> Result<(), RunFault> {
        let (on, band) = (w.on, w.band_k);
        // A hair of hysteresis keeps the crossings apart.
        let entered = move |s: &FurnaceSystem<'a>, y: &[f64]| {
            s.deviation(y, on).map_or(1.0, |(d, _)| band - d)
        };
        let left = move |s: &FurnaceSystem<'a>, y: &[f64]| {
            s.deviation(y, on).map_or(-1.0, |(d, _)| d - band - 0.01)
        };
        let mut patience = w.timeout_s.unwrap_or(WAIT_MAX_S);
        let mut timer = hold_s;
        let mut waited_s = 0.0;
        let mut leavings = 0;
        while timer > 0.0 {
            let (out_s, came) = self.advance(segment, patience, Some(&entered))?;
            waited_s += out_s;
            patience -= out_s;
            if !came {
                out.events.push(ClockEvent::TimedOut {
                    segment,
                    phase: Phase::Hold,
                    time_s: self.time,
                });
                let from = self.time;
                self.advance(segment, timer, None)?;
                counted_s.push((from, self.time));
                break;
            }
            let from = self.time;
            let (in_s, gone) = self.advance(segment, timer, Some(&left))?;
            counted_s.push((from, self.time));
            timer -= in_s;
            if !gone {
                break;
            }
            leavings += 1;
            if w.restart {
                timer = hold_s;
                waited_s += in_s;
                patience -= in_s;
                out.events.push(ClockEvent::Restarted {
                    segment,
                    time_s: self.time,
                });
            }
            if leavings >= LEAVINGS_MAX || patience <= 0.0 {
                out.events.push(ClockEvent::Unsettled { segment });
                let from = self.time;
                self.advance(segment, timer, None)?;
                counted_s.push((from, self.time));
                break;
            }
        }
        if waited_s > 1.0 {
            out.events.push(ClockEvent::Waited {
                segment,
                phase: Phase::Hold,
                waited_s,
            });
        }
        Ok(())
    }

    /// Cooling after the program, power off, until chamber and load are down.
    pub(super) fn cool(
        &mut self,
        program: &Program,
    ) -> Result<(Option<f64>, Option<f64>), RunFault> {
        self.set_gas(&program.after);
        self.system.fan = program.fan_after;
        self.system.sintered = true;
        self.drive(Drive {
            off: true,
            ..Drive::default()
        });
        self.fresh = false;
        let to = program.unload_k;
        let segment = program.segments.len();
        let nodes = self.system.net.len();
        let chamber = move |s: &FurnaceSystem<'a>, y: &[f64]| to - y[s.border.control];
        let load = move |_: &FurnaceSystem<'a>, y: &[f64]| {
            to - y[..nodes].iter().fold(f64::NEG_INFINITY, |a, &b| a.max(b))
        };
        let mut left = program.cool_max_s;
        let (took, came) = self.advance(segment, left, Some(&chamber))?;
        left -= took;
        let chamber_s = came.then_some(self.time);
        if !came {
            return Ok((None, None));
        }
        let (_, came) = self.advance(segment, left, Some(&load))?;
        Ok((chamber_s, came.then_some(self.time)))
    }

    /// Goes on holding where nodes did not arrive.
    pub(super) fn prolong(&mut self, program: &Program, out: &mut Outcome) -> Result<(), RunFault> {
        for i in 0..out.holds.len() {
            let hold = &out.holds[i];
            if hold.arrival_s.iter().all(Option::is_some) {
                continue;
            }
            let Some(segment) = program.segments.get(hold.segment) else {
                continue;
            };
            let Some(end) = out
                .ends
                .iter()
                .find(|e| e.segment == hold.segment && e.phase == Phase::Hold)
            else {
                continue;
            };
            let nodes = self.system.net.len();
            self.y.copy_from_slice(&end.state);
            self.time = hold.end_s;
            self.set_gas(&segment.atmosphere);
            self.system.fan = segment.fan;
            self.system.sintered = false;
            self.drive(Drive::default());
            self.fresh = false;
            self.watch = Some(Watch {
                start_s: hold.start_s,
                target: vec![hold.target_k + self.system.offset_at(hold.target_k); nodes],
                band_k: self.settings.arrival_band_k,
                arrival: hold.arrival_s.clone(),
            });
            let band = self.settings.arrival_band_k;
            let target = hold.target_k + self.system.offset_at(hold.target_k);
            let all = move |_: &FurnaceSystem<'a>, y: &[f64]| {
                band - 0.02
                    - y[..nodes]
                        .iter()
                        .fold(0.0, |a: f64, &b| a.max((b - target).abs()))
            };
            self.advance(hold.segment, PROLONG_S, Some(&all))?;
            if let (Some(w), Some(hold)) = (self.watch.take(), out.holds.get_mut(i)) {
                hold.prolonged_s = w.arrival;
            }
        }
        Ok(())
    }

    /// Heat that load and furnace gained since the start, J, by ∫cp dT.
    pub(super) fn stored(&self, load: &LoadHeat, began: &[f64]) -> f64 {
        let net = self.system.net;
        let mut sum = 0.0;
        for (i, mass) in net.mass_kg.iter().enumerate() {
            let cp = match net.nodes[i].place {
                Place::Setter => {
                    let at = net.nodes[i];
                    let material = load
                        .stacks
                        .get(at.stack)
                        .and_then(|s| s.levels.get(at.level))
                        .and_then(|l| load.setters.get(l.setter));
                    material.map(|m| &m.cp)
                }
                Place::Part(k) | Place::Core(k) => load.kinds.get(k).map(|k| &k.cp),
            };
            sum += cp.map_or(0.0, |cp| mass * cp.integral(began[i], self.y[i]));
        }
        sum + self.system.furnace_heat(&self.y, 0.0) - self.system.furnace_heat(began, 0.0)
    }
}
