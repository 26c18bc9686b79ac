//! Setpoint over time, as the program asks for it. Waiting on thermocouples can only make it
//! longer; by how much is the forecast's question.

use super::check::ramp;
use super::faults::{Fault, Field};
use super::segment::Profile;
use crate::series::Series;

/// Which part of a segment.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Phase {
    /// On the way to the target.
    Ramp,
    /// At the target.
    Hold,
}

/// The end of one phase of one segment; the first point of a curve is the start of segment 0.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CurvePoint {
    /// Minutes since the start.
    pub time_min: f64,
    /// °C.
    pub setpoint_c: f64,
    /// Index of the segment in the profile, from 0.
    pub segment: usize,
    /// The phase that ends here.
    pub phase: Phase,
}

/// Which way the setpoint moves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Going {
    /// Heating.
    Rising,
    /// Holding.
    Level,
    /// Cooling.
    Falling,
}

/// A stretch of time in which the setpoint stays inside a range and moves one way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// Minutes since the start.
    pub from_min: f64,
    /// Minutes since the start, after `from_min`.
    pub to_min: f64,
    /// Which way.
    pub going: Going,
}

/// The setpoint curve of a profile: one point at the start and two a segment (end of ramp, end of
/// hold), also where a phase takes no time, so segment `i` ends its ramp at point `2i + 1`.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    points: Vec<CurvePoint>,
    series: Series,
    rates_k_min: Vec<Option<f64>>,
}

impl Profile {
    /// The setpoint curve. `full_rate_k_min` is the furnace's greatest rate, K/min, where known:
    /// how long a full-rate ramp takes is not in the profile.
    ///
    /// # Errors
    /// The first of its faults for which there is no curve ([`Fault::blocks_curve`]); a step or a missing
    /// timeout is a fault and still has one.
    pub fn curve(&self, full_rate_k_min: Option<f64>) -> Result<Curve, Fault> {
        let faults = self.faults(full_rate_k_min);
        if let Some(fault) = faults.into_iter().find(Fault::blocks_curve) {
            return Err(fault);
        }
        let mut curve = Curve {
            points: Vec::with_capacity(1 + 2 * self.segments.len()),
            series: Series::new(),
            rates_k_min: Vec::with_capacity(self.segments.len()),
        };
        curve.push(0.0, self.start_c, 0, Phase::Ramp)?;
        let mut now_min = 0.0;
        let mut from_c = self.start_c;
        for (segment, here) in self.numbered() {
            let ramp = ramp(segment, here, from_c, full_rate_k_min)?;
            let index = here.number - 1;
            now_min += ramp.minutes;
            curve.push(now_min, segment.to_c, index, Phase::Ramp)?;
            now_min += segment.hold_min;
            curve.push(now_min, segment.to_c, index, Phase::Hold)?;
            curve.rates_k_min.push(ramp.k_min);
            from_c = segment.to_c;
        }
        Ok(curve)
    }
}

impl Curve {
    fn push(
        &mut self,
        time_min: f64,
        setpoint_c: f64,
        segment: usize,
        phase: Phase,
    ) -> Result<(), Fault> {
        // Sound phases add up to a refused time only after a thousand million segments.
        let too_long = |_| Fault::TooLarge {
            segment: None,
            field: Field::RampTime,
            value: time_min,
        };
        self.series.push(time_min, setpoint_c).map_err(too_long)?;
        self.points.push(CurvePoint {
            time_min,
            setpoint_c,
            segment,
            phase,
        });
        Ok(())
    }

    /// The points, in order of time.
    pub fn points(&self) -> &[CurvePoint] {
        &self.points
    }

    /// The same as a series of (min, °C).
    pub fn series(&self) -> &Series {
        &self.series
    }

    /// Length of the program without any waiting, min.
    pub fn total_time_min(&self) -> f64 {
        self.points.last().map_or(0.0, |point| point.time_min)
    }

    /// Highest setpoint, °C.
    pub fn peak_c(&self) -> f64 {
        let setpoints = self.points.iter().map(|point| point.setpoint_c);
        setpoints.fold(f64::NEG_INFINITY, f64::max)
    }

    /// Setpoint at a time in min since the start, °C; `None` before the start and after the end.
    pub fn setpoint_at(&self, time_min: f64) -> Option<f64> {
        self.series.at(time_min)
    }

    /// Ramp rate of a segment (index from 0), K/min, below zero when cooling, 0 where the target is
    /// already reached. `None` for a step and for a segment that is not there.
    pub fn ramp_rate_k_min(&self, segment: usize) -> Option<f64> {
        self.rates_k_min.get(segment).copied().flatten()
    }

    /// The stretches in which `from_c` ≤ setpoint ≤ `to_c`, in order, apart by the way it moves.
    /// Neighbouring stretches that move the same way are one, whatever segments they are of.
    pub fn intervals(&self, from_c: f64, to_c: f64) -> Vec<Interval> {
        let mut found: Vec<Interval> = Vec::new();
        for (a, b) in self.series.legs() {
            let Some(next) = inside(a, b, from_c, to_c) else {
                continue;
            };
            match found.last_mut() {
                Some(last) if last.to_min == next.from_min && last.going == next.going => {
                    last.to_min = next.to_min;
                }
                _ => found.push(next),
            }
        }
        found
    }

    /// Minutes with `from_c` ≤ setpoint ≤ `to_c`.
    pub fn time_in_range_min(&self, from_c: f64, to_c: f64) -> f64 {
        let intervals = self.intervals(from_c, to_c);
        intervals.iter().map(|i| i.to_min - i.from_min).sum()
    }

    /// Minutes with the setpoint at or above a temperature in °C.
    pub fn time_at_or_above_min(&self, c: f64) -> f64 {
        self.time_in_range_min(c, f64::INFINITY)
    }

    /// When the setpoint is first at or above a temperature in °C, min; `None` if never.
    pub fn first_time_at_or_above_min(&self, c: f64) -> Option<f64> {
        let (mut before_min, mut before_c) = self.series.points().first().copied()?;
        if before_c >= c {
            return Some(before_min);
        }
        for &(time_min, setpoint_c) in self.series.points() {
            if setpoint_c >= c {
                let from = (before_min, before_c);
                return Some(crossing(from, (time_min, setpoint_c), c));
            }
            (before_min, before_c) = (time_min, setpoint_c);
        }
        None
    }
}

/// The part of a leg inside a range, if it takes any time.
fn inside(a: (f64, f64), b: (f64, f64), from_c: f64, to_c: f64) -> Option<Interval> {
    let (low, high) = (a.1.min(b.1), a.1.max(b.1));
    if !(low <= to_c && high >= from_c) {
        return None;
    }
    let going = if b.1 > a.1 {
        Going::Rising
    } else if b.1 < a.1 {
        Going::Falling
    } else {
        Going::Level
    };
    let (enter_c, leave_c) = match going {
        Going::Falling => (to_c, from_c),
        Going::Rising | Going::Level => (from_c, to_c),
    };
    let enters_inside = (from_c..=to_c).contains(&a.1);
    let leaves_inside = (from_c..=to_c).contains(&b.1);
    let from_min = if enters_inside {
        a.0
    } else {
        crossing(a, b, enter_c)
    };
    let to_min = if leaves_inside {
        b.0
    } else {
        crossing(a, b, leave_c)
    };
    (to_min > from_min).then_some(Interval {
        from_min,
        to_min,
        going,
    })
}

/// When a leg passes a temperature between its two ends.
fn crossing(a: (f64, f64), b: (f64, f64), c: f64) -> f64 {
    let share = (c - a.1) / (b.1 - a.1);
    (a.0 + (b.0 - a.0) * share).max(a.0).min(b.0)
}
