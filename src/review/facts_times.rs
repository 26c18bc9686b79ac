//! How long a run takes beyond what the clock of the program counts: waits and cooling by itself.

use super::facts::Facts;
use crate::catalogue::when::{hours, time};
use crate::profile::RampBy;

/// Water and walls to which a furnace cools, °C.
const SINK_C: f64 = crate::part::ROOM_C;

/// Nearest to the sink that is told apart from it, K: cooling to the sink itself never ends.
const NEAREST_K: f64 = 5.0;

/// Times of one segment, min.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SegmentTime {
    /// Ramp and hold. A load that cools by itself follows Newton's law, at the furnace's fastest
    /// cooling where it is hottest (assumed: radiation is slower, and so is a heavy load).
    pub program_min: f64,
    /// Longest wait of its guaranteed soak, until its timeout.
    pub wait_min: f64,
}

impl Facts<'_> {
    /// Times of the segments in order; none without a curve or a furnace.
    pub fn segment_times(&self) -> Option<Vec<SegmentTime>> {
        let (curve, furnace) = (self.curve.as_ref().ok()?, self.furnace?);
        let mut out = Vec::new();
        for (i, (from_c, segment)) in self.segments().enumerate() {
            let at = |k: usize| curve.points().get(k).map(|point| point.time_min);
            let clock_min = at(2 * i + 2)? - at(2 * i)?;
            let by_itself = segment.to_c < from_c && segment.ramp == RampBy::FullRate;
            let program_min = if by_itself {
                let rate = furnace.cooling_max_k_min;
                let cooling = free_cooling_min(from_c, segment.to_c, furnace.max_c, rate);
                // Never less than what the clock of the program gives it.
                clock_min.max(cooling + segment.hold_min)
            } else {
                clock_min
            };
            let waits = segment.wait_on.filter(|w| w.on_ramp || w.on_hold);
            out.push(SegmentTime {
                program_min,
                wait_min: waits.and_then(|w| w.timeout_min).unwrap_or(0.0),
            });
        }
        Some(out)
    }

    /// Hour of the day at which the run is planned to start; none where only the day is.
    pub fn start_hour(&self) -> Option<f64> {
        time(self.plan.planned_start_time.as_deref()?).map(hours)
    }

    /// Targets, rates, holds, gases, flows, pressures and events of the run, for an acceptance that holds
    /// for it as it is.
    pub fn run_as_it_is(&self) -> String {
        let segments = self.plan.profile.segments.iter();
        let each = segments.map(|s| {
            let (gas, mbar) = (s.gas.as_deref().unwrap_or("-"), s.pressure_mbar);
            let [to, hold, flow] = [s.to_c, s.hold_min, s.flow_l_min_25c];
            let (ramp, events) = (&s.ramp, &s.events);
            format!("{to} {ramp:?} {hold} {gas} {flow} {mbar:?} {events:?}")
        });
        each.collect::<Vec<_>>().join(", ")
    }

    /// Longest that the run takes with every wait up to its timeout, min; none without a curve or a
    /// furnace.
    pub fn longest_run_min(&self) -> Option<f64> {
        let times = self.segment_times()?;
        Some(times.iter().map(|t| t.program_min + t.wait_min).sum())
    }
}

/// Time to cool from one temperature to another, min: dT/dt = −r·(T − T₀)/(Tmax − T₀), with the
/// rate r, K/min, at the top of the furnace's range (Newton's law; `model.md` 4.8 gives the
/// radiative one).
pub fn free_cooling_min(from_c: f64, to_c: f64, max_c: f64, rate_k_min: f64) -> f64 {
    let above = |c: f64| (c - SINK_C).max(NEAREST_K);
    if rate_k_min <= 0.0 || from_c <= to_c {
        return 0.0;
    }
    above(max_c) / rate_k_min * libm::log(above(from_c) / above(to_c))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cooling_slows_down_as_it_nears_the_sink() {
        // (1420 − 20)/10 · ln(1400/700) = 140 · 0.693147 = 97.04 min.
        assert!((free_cooling_min(1420.0, 720.0, 1420.0, 10.0) - 97.040_6).abs() < 1e-3);
        // Down to 60 °C: 140 · ln(1400/40) = 497.7 min instead of 136 at the full rate.
        assert!((free_cooling_min(1420.0, 60.0, 1420.0, 10.0) - 497.749).abs() < 1e-2);
        assert!(free_cooling_min(1420.0, 0.0, 1420.0, 10.0).is_finite());
        assert_eq!(free_cooling_min(60.0, 60.0, 1420.0, 10.0), 0.0);
    }
}
