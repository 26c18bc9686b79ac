//! The program's clock: which stretches of a segment the setpoint or the timer stands still, and
//! what is noted about it.

use super::inputs::{Pace, Program, Segment};

pub use crate::profile::Phase;

/// Something the program did that its segment table does not say.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ClockEvent {
    /// Waited for thermocouples, s in all.
    Waited {
        /// Segment from 0.
        segment: usize,
        /// Phase.
        phase: Phase,
        /// s.
        waited_s: f64,
    },
    /// The longest wait was over: the furnace alarms, the program goes on by its clock.
    TimedOut {
        /// Segment from 0.
        segment: usize,
        /// Phase.
        phase: Phase,
        /// When, s.
        time_s: f64,
    },
    /// Waits for load thermocouples, and none is placed: nothing is waited for.
    NothingToWaitFor {
        /// Segment from 0.
        segment: usize,
    },
    /// The timer began again.
    Restarted {
        /// Segment from 0.
        segment: usize,
        /// When, s.
        time_s: f64,
    },
    /// The band was left and found more often than is followed; the rest goes by the clock.
    Unsettled {
        /// Segment from 0.
        segment: usize,
    },
    /// The power was at its greatest.
    PowerLimited {
        /// Segment from 0.
        segment: usize,
        /// For how long, s.
        for_s: f64,
    },
}

/// Longest program followed, s (60 days).
pub const LONGEST_S: f64 = 60.0 * 86_400.0;
/// Longest wait where none is given, s.
pub const WAIT_MAX_S: f64 = 86_400.0;
/// Most times that a band may be left.
pub const LEAVINGS_MAX: usize = 50;

/// Why a program cannot be followed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ProgramFault {
    /// A number of this segment is not finite or has no meaning.
    Segment(usize),
    /// It lasts longer than [`LONGEST_S`].
    TooLong,
    /// Start or unload temperature.
    Ends,
}

/// Length of a ramp, s, and its rate, K/s with sign; a step has no length.
pub fn ramp(segment: &Segment, from_k: f64) -> Option<(f64, f64)> {
    let away = segment.to_k - from_k;
    let time = match segment.pace {
        Pace::Rate(r) if r > 0.0 && r.is_finite() => away.abs() / r,
        Pace::Time(t) if t >= 0.0 && t.is_finite() => t,
        _ => return None,
    };
    Some((time, if time > 0.0 { away / time } else { 0.0 }))
}

impl Program {
    /// The first segment, from 0, whose target lies above a temperature, K: the ramp that leaves a
    /// range with that end. None where the program stays below.
    pub fn leaves(&self, end_k: f64) -> Option<usize> {
        self.segments.iter().position(|s| s.to_k > end_k)
    }

    /// Where the ramp of a segment begins, K.
    pub fn from_k(&self, segment: usize) -> f64 {
        let before = segment.checked_sub(1).and_then(|b| self.segments.get(b));
        before.map_or(self.start_k, |s| s.to_k)
    }

    /// The last segment with the highest target; 0 where there is none.
    pub fn peak_segment(&self) -> usize {
        let all = self.segments.iter().enumerate();
        all.fold((0, f64::NEG_INFINITY), |best, (i, s)| {
            if s.to_k >= best.1 { (i, s.to_k) } else { best }
        })
        .0
    }

    /// Whether it can be followed at all.
    ///
    /// # Errors
    /// The first thing that is wrong with it.
    pub fn check(&self) -> Result<(), ProgramFault> {
        let sound = |t: f64| t.is_finite() && t > 150.0 && t < 2_900.0;
        if !(sound(self.start_k) && sound(self.unload_k) && self.cool_max_s >= 0.0) {
            return Err(ProgramFault::Ends);
        }
        let mut from = self.start_k;
        let mut total = 0.0;
        for (i, s) in self.segments.iter().enumerate() {
            let bad = ProgramFault::Segment(i);
            if !(sound(s.to_k) && s.hold_s.is_finite() && s.hold_s >= 0.0) {
                return Err(bad);
            }
            if let Some(w) = s.wait {
                let timed = w.timeout_s.is_none_or(|t| t.is_finite() && t >= 0.0);
                if !(w.band_k.is_finite() && w.band_k > 0.0 && timed) {
                    return Err(bad);
                }
                total += 2.0 * w.timeout_s.unwrap_or(WAIT_MAX_S);
            }
            let gas = s.atmosphere;
            if !(gas.sweep_mol_s.is_finite() && gas.pressure_pa.is_finite()) {
                return Err(bad);
            }
            total += ramp(s, from).ok_or(bad)?.0 + s.hold_s;
            from = s.to_k;
        }
        if total > LONGEST_S || !total.is_finite() {
            return Err(ProgramFault::TooLong);
        }
        Ok(())
    }
}
