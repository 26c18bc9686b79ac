//! Facts about the profile, segment by segment.

use super::facts::Facts;
use super::finding::{Report, Subject};
use crate::profile::{Curve, EventAt, EventKind, RampBy, Range, Segment};
use crate::text::missing;

/// A segment with where it starts and how fast it goes.
#[derive(Clone, Copy, Debug)]
pub struct Step<'a> {
    /// Index in the profile, from 0.
    pub index: usize,
    /// Temperature at its start, °C.
    pub from_c: f64,
    /// The segment.
    pub segment: &'a Segment,
    /// Ramp rate, K/min, below zero when cooling; none for a step or where there is no curve. At
    /// full rate it is the furnace's when heating and none when cooling: how fast a load cools by
    /// itself is no number of the plan.
    pub rate_k_min: Option<f64>,
}

impl Step<'_> {
    /// What it is about.
    pub fn subject(&self) -> Subject {
        Subject::Segment(self.segment.id)
    }

    /// Whether the load comes out where it starts.
    pub fn unloads_at_start(&self) -> bool {
        let mut events = self.segment.events.iter();
        events.any(|e| e.at == EventAt::Start && e.kind == EventKind::Unload)
    }

    /// Whether it heats.
    pub fn heats(&self) -> bool {
        self.segment.to_c > self.from_c
    }

    /// Whether it cools.
    pub fn cools(&self) -> bool {
        self.segment.to_c < self.from_c
    }

    /// Lowest setpoint in it, °C.
    pub fn low_c(&self) -> f64 {
        self.from_c.min(self.segment.to_c)
    }

    /// Highest setpoint in it, °C.
    pub fn high_c(&self) -> f64 {
        self.from_c.max(self.segment.to_c)
    }

    /// Whether its ramp runs through some of a range; touching an end is not enough.
    pub fn ramps_through(&self, range: Range) -> bool {
        self.low_c() < range.to_c && self.high_c() > range.from_c && self.heats() | self.cools()
    }

    /// Whether it holds at a target inside a range.
    pub fn holds_in(&self, range: Range) -> bool {
        self.segment.hold_min > 0.0 && range.contains(self.segment.to_c)
    }

    /// Whether its ramp or its hold is in a range.
    pub fn is_in(&self, range: Range) -> bool {
        self.ramps_through(range) || self.holds_in(range)
    }
}

impl<'a> Facts<'a> {
    /// The segments in order.
    pub fn steps(&self) -> Vec<Step<'a>> {
        self.segments()
            .enumerate()
            .map(|(index, (from_c, segment))| {
                let cools = segment.to_c < from_c;
                let known = !(cools && segment.ramp == RampBy::FullRate);
                let curve = self.curve.as_ref().ok().filter(|_| known);
                Step {
                    index,
                    from_c,
                    segment,
                    rate_k_min: curve.and_then(|c| c.ramp_rate_k_min(index)),
                }
            })
            .collect()
    }

    /// The segments up to the first that reaches the peak.
    pub fn way_up(&self) -> Vec<Step<'a>> {
        let mut steps = self.steps();
        let top = steps.iter().position(|s| s.segment.to_c >= self.peak_c);
        steps.truncate(top.map_or(0, |i| i + 1));
        steps
    }

    /// How long the way up holds in a range, min, in all.
    pub fn held_min(&self, range: Range) -> f64 {
        let steps = self.way_up();
        let held = steps.iter().filter(|s| s.holds_in(range));
        held.map(|s| s.segment.hold_min).sum()
    }

    /// The segments after the last that reaches the peak.
    pub fn way_down(&self) -> Vec<Step<'a>> {
        let mut steps = self.steps();
        let top = steps.iter().rposition(|s| s.segment.to_c >= self.peak_c);
        steps.drain(..top.map_or(0, |i| i + 1));
        steps
    }

    /// The setpoint curve; where there is none that is counted as missing, since another check
    /// says what is wrong with the profile.
    pub fn curve_or_missing(&self, report: &mut Report) -> Option<&Curve> {
        match &self.curve {
            Ok(curve) => Some(curve),
            Err(_) => {
                report.missing(vec![Subject::Profile], missing::faultless_profile());
                None
            }
        }
    }
}
