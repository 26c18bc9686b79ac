//! Values over time, with gaps: the setpoint curve, and furnace logs.

/// Times and values beyond ± this are refused, so that no arithmetic here can overflow (assumed;
/// far outside anything a furnace measures).
pub const LARGEST: f64 = 1e15;

/// Points (time in min, value in the caller's unit) in order of time. A gap is a missing stretch
/// between two points: nothing is known in it, and nothing is computed across it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Series {
    points: Vec<(f64, f64)>,
    /// Indices of the points that come after a gap, rising.
    after_gap: Vec<usize>,
}

/// Why a point was not taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SeriesFault {
    /// Not finite, or beyond [`LARGEST`].
    NotUsable {
        /// The refused time, min.
        time_min: f64,
        /// The refused value.
        value: f64,
    },
    /// Earlier than the point before it.
    OutOfOrder {
        /// The refused time, min.
        time_min: f64,
        /// The time of the last point, min.
        last_min: f64,
    },
}

impl Series {
    /// A series without points.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a point, joined to the one before. A point at the same time as the one before is a
    /// step: at that time the later value holds.
    ///
    /// # Errors
    /// A number that is not usable, or a time before the last one; the series is then unchanged.
    pub fn push(&mut self, time_min: f64, value: f64) -> Result<(), SeriesFault> {
        let usable = |x: f64| x.abs() <= LARGEST; // false for NaN
        if !usable(time_min) || !usable(value) {
            return Err(SeriesFault::NotUsable { time_min, value });
        }
        if let Some(&(last_min, _)) = self.points.last()
            && time_min < last_min
        {
            return Err(SeriesFault::OutOfOrder { time_min, last_min });
        }
        self.points.push((time_min, value));
        Ok(())
    }

    /// Adds a point that is not joined to the one before: the time between them is a gap.
    ///
    /// # Errors
    /// As [`Self::push`].
    pub fn push_after_gap(&mut self, time_min: f64, value: f64) -> Result<(), SeriesFault> {
        let index = self.points.len();
        self.push(time_min, value)?;
        if index > 0 {
            self.after_gap.push(index);
        }
        Ok(())
    }

    /// The points (time in min, value), in order.
    pub fn points(&self) -> &[(f64, f64)] {
        &self.points
    }

    /// How many points.
    pub fn len(&self) -> usize {
        self.points.len()
    }

    /// Whether it has no points.
    pub fn is_empty(&self) -> bool {
        self.points.is_empty()
    }

    /// Minutes covered, gaps left out.
    pub fn covered_min(&self) -> f64 {
        self.legs().map(|((a, _), (b, _))| b - a).sum()
    }

    /// The value at a time, linear between two joined points; `None` in a gap and outside.
    pub fn at(&self, time_min: f64) -> Option<f64> {
        let next = self.points.partition_point(|&(t, _)| t <= time_min);
        let before = *self.points.get(next.checked_sub(1)?)?;
        if before.0 == time_min {
            return Some(before.1);
        }
        let after = *self.points.get(next)?;
        if self.after_gap.binary_search(&next).is_ok() {
            return None;
        }
        Some(between(before, after, time_min))
    }

    /// Smallest and largest value known from one time to another, ends included; `None` where
    /// nothing is known there.
    pub fn min_max(&self, from_min: f64, to_min: f64) -> Option<(f64, f64)> {
        let asked = from_min..=to_min;
        if asked.is_empty() {
            return None; // also where an end is not a number
        }
        let first = self.points.partition_point(|&(t, _)| t < from_min);
        let inside = self.points.iter().skip(first);
        inside
            .take_while(|&&(t, _)| t <= to_min)
            .map(|&(_, value)| value)
            .chain([from_min, to_min].iter().filter_map(|&t| self.at(t)))
            .fold(None, |found, value| match found {
                None => Some((value, value)),
                Some((low, high)) => Some((value.min(low), value.max(high))),
            })
    }

    /// The joined pairs of neighbouring points, in order.
    pub fn legs(&self) -> impl Iterator<Item = ((f64, f64), (f64, f64))> {
        let pairs = self.points.iter().zip(self.points.iter().skip(1));
        pairs.enumerate().filter_map(|(i, (&a, &b))| {
            let joined = self.after_gap.binary_search(&(i + 1)).is_err();
            joined.then_some((a, b))
        })
    }
}

/// Linear in time, held inside the two values so that rounding cannot overshoot them.
fn between(a: (f64, f64), b: (f64, f64), time_min: f64) -> f64 {
    let share = (time_min - a.0) / (b.0 - a.0);
    (a.1 + (b.1 - a.1) * share)
        .max(a.1.min(b.1))
        .min(a.1.max(b.1))
}
