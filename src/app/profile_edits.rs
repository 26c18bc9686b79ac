//! What the profile board makes of a profile: splits, new segments, drags and suspicions. No
//! widget here.

use crate::catalogue::{Catalogue, Feedstock, Furnace, LimitContext};
use crate::load::{PartRecords, Plan};
use crate::profile::faults::{ABSOLUTE_ZERO_C, MOST_C, MOST_MIN};
use crate::profile::slips::{RateSlip, fahrenheit_slip, rate_slip};
use crate::profile::{Profile, RampBy, Segment, SegmentId};
use crate::text::app as say;
use crate::units::{self, Quantity, tidy};
use std::collections::BTreeMap;

/// Rate of a ramp that had none before, K/min (assumed).
const USUAL_K_MIN: f64 = 2.0;
/// Hold of a new segment, min (assumed).
const USUAL_HOLD_MIN: f64 = 30.0;
/// A longer hold is asked about, min (assumed: a day).
const LONGEST_HOLD_MIN: f64 = 1440.0;
/// A higher pressure is asked about, mbar (assumed: no furnace of this trade holds twice the
/// pressure of the air).
const HIGHEST_MBAR: f64 = 2000.0;
/// How far the first segment goes, K (assumed).
const FIRST_RISE_K: f64 = 100.0;

/// Steps in which a controller takes its numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Steps {
    /// °C.
    pub target_c: f64,
    /// min, of holds and of ramps by time.
    pub time_min: f64,
    /// K/min.
    pub rate_k_min: f64,
}

impl Steps {
    /// The controller's, and round numbers where there is none (assumed).
    pub fn of(furnace: Option<&Furnace>) -> Steps {
        let given = furnace.map(|f| &f.controller);
        let step =
            |of: Option<f64>, usual| of.filter(|s| s.is_finite() && *s > 0.0).unwrap_or(usual);
        Steps {
            target_c: step(given.map(|c| c.target_step_c), 1.0),
            time_min: step(given.map(|c| c.hold_step_min), 1.0),
            rate_k_min: step(given.map(|c| c.rate_step_k_min), 0.1),
        }
    }
}

/// The nearest multiple of a step, without the last digits that the product brings along.
pub(super) fn rounded(value: f64, step: f64) -> f64 {
    if step > 0.0 {
        tidy((value / step).round() * step)
    } else {
        value
    }
}

/// The ways in which a ramp is paced.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Pace {
    Rate,
    Time,
    FullRate,
}

impl Pace {
    pub const ALL: [Pace; 3] = [Pace::Rate, Pace::Time, Pace::FullRate];

    pub fn of(ramp: RampBy) -> Pace {
        match ramp {
            RampBy::Rate { .. } => Pace::Rate,
            RampBy::Time { .. } => Pace::Time,
            RampBy::FullRate => Pace::FullRate,
        }
    }

    pub fn name(self) -> String {
        match self {
            Pace::Rate => say::label("at a rate"),
            Pace::Time => say::label("in a time"),
            Pace::FullRate => say::label("at full rate"),
        }
    }
}

/// The same ramp paced another way: as long as before, where that can be told.
pub(super) fn paced(ramp: RampBy, by_k: f64, pace: Pace, full_rate_k_min: Option<f64>) -> RampBy {
    if Pace::of(ramp) == pace {
        return ramp;
    }
    let k_min = match ramp {
        RampBy::Rate { k_min } => Some(k_min),
        RampBy::Time { min } => Some(by_k.abs() / min),
        RampBy::FullRate => full_rate_k_min,
    };
    let k_min = k_min
        .filter(|r| r.is_finite() && *r > 0.0)
        .unwrap_or(USUAL_K_MIN);
    match pace {
        Pace::Rate => RampBy::Rate { k_min: tidy(k_min) },
        Pace::Time => RampBy::Time {
            min: tidy(by_k.abs() / k_min),
        },
        Pace::FullRate => RampBy::FullRate,
    }
}

/// Temperature from which a segment starts, °C.
pub(super) fn from_c(profile: &Profile, index: usize) -> f64 {
    let before = index.checked_sub(1).and_then(|i| profile.segments.get(i));
    before.map_or(profile.start_c, |s| s.to_c)
}

/// Whether the ramp of a segment goes down as fast as the furnace cools: how long that takes is the
/// forecast's to say.
pub(super) fn cools_by_itself(profile: &Profile, index: usize) -> bool {
    let segment = profile.segments.get(index);
    segment.is_some_and(|s| s.ramp == RampBy::FullRate && s.to_c < from_c(profile, index))
}

/// A new segment at a place: it holds at the temperature reached there, in the gas of its
/// neighbour. The first of a profile rises a little.
pub(super) fn inserted(profile: &Profile, index: usize, id: SegmentId, steps: Steps) -> Segment {
    let neighbour = index.checked_sub(1).and_then(|i| profile.segments.get(i));
    let neighbour = neighbour.or_else(|| profile.segments.get(index));
    let from = from_c(profile, index);
    let rise_k = if profile.segments.is_empty() {
        FIRST_RISE_K
    } else {
        0.0
    };
    Segment {
        id,
        ramp: RampBy::Rate { k_min: USUAL_K_MIN },
        to_c: rounded(
            from + rise_k,
            if rise_k > 0.0 { steps.target_c } else { 0.0 },
        ),
        hold_min: rounded(USUAL_HOLD_MIN, steps.time_min),
        wait_on: None,
        gas: neighbour.and_then(|n| n.gas.clone()),
        flow_l_min_25c: neighbour.map_or(0.0, |n| n.flow_l_min_25c),
        pressure_mbar: neighbour.and_then(|n| n.pressure_mbar),
        events: Vec::new(),
        note: String::new(),
    }
}

/// The ramp split at its middle temperature; the program takes as long as before. None where
/// there is no ramp to split.
pub(super) fn ramp_split(
    profile: &Profile,
    index: usize,
    id: SegmentId,
    steps: Steps,
) -> Option<(Segment, Segment)> {
    let whole = profile.segments.get(index)?;
    let from = from_c(profile, index);
    let middle = rounded((from + whole.to_c) / 2.0, steps.target_c);
    let share = (middle - from) / (whole.to_c - from);
    if !(share > 0.0 && share < 1.0) {
        return None;
    }
    let (mut first, mut second) = whole.in_two(id);
    first.to_c = middle;
    first.hold_min = 0.0;
    if let RampBy::Time { min } = whole.ramp {
        first.ramp = RampBy::Time { min: min * share };
        second.ramp = RampBy::Time {
            min: min - min * share,
        };
    }
    Some((first, second))
}

/// The hold split in its middle; the program takes as long as before. None where there is no hold
/// to split.
pub(super) fn hold_split(
    profile: &Profile,
    index: usize,
    id: SegmentId,
    steps: Steps,
) -> Option<(Segment, Segment)> {
    let whole = profile.segments.get(index)?;
    let half = rounded(whole.hold_min / 2.0, steps.time_min);
    if !(half > 0.0 && half < whole.hold_min) {
        return None;
    }
    let (mut first, mut second) = whole.in_two(id);
    first.hold_min = half;
    second.hold_min = whole.hold_min - half;
    if let RampBy::Time { .. } = whole.ramp {
        second.ramp = RampBy::Time { min: 0.0 };
    }
    Some((first, second))
}

/// A point of the curve that can be moved.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Knot {
    /// End of the ramp.
    Target,
    /// End of the hold.
    HoldEnd,
}

/// A segment with its target at another temperature and, for a ramp by time, at another time
/// after the ramp's start; what is none stays.
pub(super) fn with_target(
    segment: &Segment,
    to_c: Option<f64>,
    ramp_min: Option<f64>,
    steps: Steps,
) -> Segment {
    let mut moved = segment.clone();
    if let Some(c) = to_c.filter(|c| c.is_finite()) {
        moved.to_c = rounded(c, steps.target_c).clamp(0.0, MOST_C);
    }
    if let (RampBy::Time { .. }, Some(min)) = (segment.ramp, ramp_min.filter(|m| m.is_finite())) {
        moved.ramp = RampBy::Time {
            min: rounded(min, steps.time_min).clamp(0.0, MOST_MIN),
        };
    }
    moved
}

/// A segment with another hold.
pub(super) fn with_hold(segment: &Segment, hold_min: f64, steps: Steps) -> Segment {
    let mut moved = segment.clone();
    if hold_min.is_finite() {
        moved.hold_min = rounded(hold_min, steps.time_min).clamp(0.0, MOST_MIN);
    }
    moved
}

/// A segment moved by controller steps, as the arrow keys do: up and down its target, to the
/// sides its time or, at a rate, the rate. A hold's end goes to the sides only.
pub(super) fn nudged(segment: &Segment, knot: Knot, aside: f64, up: f64, steps: Steps) -> Segment {
    if knot == Knot::HoldEnd {
        return with_hold(
            segment,
            segment.hold_min + (aside + up) * steps.time_min,
            steps,
        );
    }
    let to_c = (up != 0.0).then_some(segment.to_c + up * steps.target_c);
    match segment.ramp {
        RampBy::Time { min } => {
            let min = (aside != 0.0).then_some(min + aside * steps.time_min);
            with_target(segment, to_c, min, steps)
        }
        RampBy::Rate { k_min } if aside != 0.0 => {
            let mut moved = with_target(segment, to_c, None, steps);
            // To the right is later, so slower; never to a stop.
            let slower = rounded(k_min - aside * steps.rate_k_min, steps.rate_k_min);
            moved.ramp = RampBy::Rate {
                k_min: slower.max(steps.rate_k_min),
            };
            moved
        }
        RampBy::Rate { .. } | RampBy::FullRate => with_target(segment, to_c, None, steps),
    }
}

/// Feedstocks of what stands in the load.
pub(super) fn feedstocks<'a>(plan: &'a Plan, catalogue: &'a Catalogue) -> Vec<&'a Feedstock> {
    let mut found: BTreeMap<&str, &Feedstock> = BTreeMap::new();
    for (_, placement) in plan.placements() {
        let part = placement.item.part().and_then(|id| plan.part(id));
        if let Some(records) = part.and_then(|part| PartRecords::new(part, catalogue)) {
            found.insert(records.feedstock.id.as_str(), records.feedstock);
        }
    }
    found.into_values().collect()
}

/// What looks typed in another unit. None where the limit is not in the catalogue.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Suspects {
    slowest_k_min: Option<f64>,
    fastest_k_min: Option<f64>,
    fahrenheit: Option<f64>,
    top_c: Option<f64>,
    /// Debind and sinter ranges of the load, °C.
    ranges_c: Vec<[f64; 2]>,
}

impl Suspects {
    pub fn of(plan: &Plan, catalogue: &Catalogue, feedstocks: &[&Feedstock]) -> Suspects {
        let furnace = Some(plan.load.furnace.clone());
        let context = LimitContext {
            furnace,
            ..LimitContext::default()
        };
        let limit = |id: &str| catalogue.limit(id, &context).map(|l| l.value);
        let tops = feedstocks.iter().map(|f| f.sinter.to_c);
        let ranges = feedstocks.iter().flat_map(|f| {
            [
                [f.debind.from_c, f.debind.to_c],
                [f.sinter.from_c, f.sinter.to_c],
            ]
        });
        Suspects {
            slowest_k_min: limit("rate-suspect-low"),
            fastest_k_min: limit("rate-suspect-high"),
            fahrenheit: limit("fahrenheit-factor"),
            top_c: tops.max_by(f64::total_cmp),
            ranges_c: ranges.collect(),
        }
    }

    fn slip(&self, k_min: f64) -> Option<RateSlip> {
        rate_slip(k_min, self.slowest_k_min?, self.fastest_k_min?)
    }

    /// The question to ask about a rate, K/min.
    pub fn rate(&self, k_min: f64) -> Option<String> {
        Some(match self.slip(k_min)? {
            RateSlip::MeantPerHour { k_min: meant } => say::meant_per_hour(k_min, meant),
            RateSlip::MeantPerMinute { k_min: meant } => say::meant_per_minute(k_min, meant),
        })
    }

    /// The question to ask about a ramp of so many K in so many min.
    pub fn time(&self, by_k: f64, min: f64) -> Option<String> {
        let k_min = by_k.abs() / min;
        Some(match self.slip(k_min)? {
            RateSlip::MeantPerHour { .. } => say::meant_hours(k_min, min),
            RateSlip::MeantPerMinute { .. } => say::meant_minutes(k_min, min),
        })
    }

    /// The question to ask about a target, °C. One meant in K lies above all ranges of the load and
    /// comes into one as °C; one typed in K lies in none and its number among them.
    pub fn target(&self, to_c: f64, typed: Option<&str>) -> Option<String> {
        if let (Some(top), Some(factor)) = (self.top_c, self.fahrenheit)
            && let Some(meant) = fahrenheit_slip(to_c, top, factor)
        {
            return Some(say::meant_fahrenheit(to_c, meant));
        }
        let in_range = |c: f64| self.ranges_c.iter().any(|r| (r[0]..=r[1]).contains(&c));
        if self.top_c.is_some_and(|top| to_c > top) && in_range(to_c + ABSOLUTE_ZERO_C) {
            return Some(say::meant_kelvin(to_c, to_c + ABSOLUTE_ZERO_C));
        }
        let in_kelvin = typed.filter(|text| text.trim().ends_with(['K', 'k']));
        let number = in_kelvin.and_then(number_of)?;
        let lowest_c = self.ranges_c.iter().map(|r| r[0]).min_by(f64::total_cmp)?;
        let among = (lowest_c..=self.top_c?).contains(&number);
        (among && !in_range(to_c)).then(|| say::meant_celsius(number, to_c))
    }
}

/// The question to ask about a hold, min: a number typed in hours may be meant in minutes.
pub(super) fn hold_question(min: f64, typed: Option<&str>) -> Option<String> {
    if min.is_nan() || min <= LONGEST_HOLD_MIN {
        return None;
    }
    let number = typed.and_then(number_of).filter(|number| *number != min);
    Some(match number {
        Some(number) => say::hold_in_minutes(min, number),
        None => say::long_hold(min),
    })
}

/// The question to ask about a pressure, mbar: typed in another unit, or a number meant in Pa.
pub(super) fn pressure_question(mbar: f64, typed: Option<&str>) -> Option<String> {
    if !(mbar.is_finite() && mbar > HIGHEST_MBAR) {
        return None;
    }
    let number = typed.and_then(number_of).filter(|number| *number != mbar);
    Some(match number {
        Some(number) => say::meant_mbar(mbar, number),
        None => say::meant_pascal(mbar, mbar / 100.0),
    })
}

/// The number in front of a unit.
fn number_of(typed: &str) -> Option<f64> {
    let number = typed.trim_end_matches(|c: char| !c.is_ascii_digit());
    units::parse(Quantity::Number, number).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::profile::Event;
    use crate::profile::EventAt;
    use crate::profile::EventKind::{FanOff, FanOn};

    const STEPS: Steps = Steps {
        target_c: 1.0,
        time_min: 1.0,
        rate_k_min: 0.1,
    };

    fn profile(ramp: RampBy) -> Profile {
        let segment = Segment {
            id: SegmentId(4),
            ramp,
            to_c: 601.0,
            hold_min: 45.0,
            wait_on: None,
            gas: None,
            flow_l_min_25c: 0.0,
            pressure_mbar: None,
            events: vec![
                Event {
                    at: EventAt::End,
                    kind: FanOff,
                },
                Event {
                    at: EventAt::Start,
                    kind: FanOn,
                },
            ],
            note: String::new(),
        };
        let (name, revision) = (String::new(), String::new());
        Profile {
            name,
            revision,
            start_c: 20.0,
            segments: vec![segment],
            unload_c: 60.0,
            approval: None,
        }
    }

    #[test]
    fn splits_take_as_long_and_part_the_events() {
        let ramps = [
            RampBy::Rate { k_min: 3.0 },
            RampBy::Time { min: 100.0 },
            RampBy::FullRate,
        ];
        for whole in ramps.map(profile) {
            let length = |p: &Profile| p.curve(Some(7.0)).unwrap().total_time_min();
            for split in [ramp_split, hold_split] {
                let (first, second) = split(&whole, 0, SegmentId(9), STEPS).unwrap();
                let mut two = whole.clone();
                two.segments = vec![first, second];
                assert_eq!(two.segments.len(), 2);
                assert!((length(&two) - length(&whole)).abs() < 1e-9);
                assert_eq!(two.segments[0].events[0].kind, FanOn);
                assert_eq!(two.segments[1].events[0].kind, FanOff);
                assert_eq!(two.segments[1].to_c, 601.0);
            }
        }
        // Half of 20 to 601 is 310.5, which the controller takes as 311 (half away from zero).
        let two = ramp_split(&profile(RampBy::FullRate), 0, SegmentId(9), STEPS).unwrap();
        assert_eq!(two.0.to_c, 311.0);
    }

    #[test]
    fn nothing_to_split_is_none() {
        let mut flat = profile(RampBy::FullRate);
        flat.segments[0].to_c = 20.0;
        flat.segments[0].hold_min = 1.0;
        assert_eq!(ramp_split(&flat, 0, SegmentId(9), STEPS), None);
        assert_eq!(hold_split(&flat, 0, SegmentId(9), STEPS), None);
        flat.segments[0].to_c = f64::NAN;
        flat.segments[0].hold_min = f64::NAN;
        assert_eq!(ramp_split(&flat, 0, SegmentId(9), STEPS), None);
        assert_eq!(hold_split(&flat, 0, SegmentId(9), STEPS), None);
        assert_eq!(hold_split(&flat, 7, SegmentId(9), STEPS), None);
    }

    #[test]
    fn another_pace_takes_as_long() {
        // 120 K at 2 K/min are 60 min.
        let rate = RampBy::Rate { k_min: 2.0 };
        assert_eq!(
            paced(rate, -120.0, Pace::Time, None),
            RampBy::Time { min: 60.0 }
        );
        assert_eq!(
            paced(RampBy::Time { min: 60.0 }, 120.0, Pace::Rate, None),
            rate
        );
        let none = paced(RampBy::Time { min: 0.0 }, 0.0, Pace::Rate, None);
        assert_eq!(none, RampBy::Rate { k_min: USUAL_K_MIN });
    }

    #[test]
    fn knots_move_in_controller_steps() {
        let by_rate = &profile(RampBy::Rate { k_min: 2.0 }).segments[0];
        let steps = Steps {
            target_c: 5.0,
            time_min: 10.0,
            rate_k_min: 0.5,
        };
        let moved = with_target(by_rate, Some(612.6), Some(99.0), steps);
        assert_eq!((moved.to_c, moved.ramp), (615.0, by_rate.ramp));
        assert_eq!(
            nudged(by_rate, Knot::Target, 1.0, 0.0, steps).ramp,
            RampBy::Rate { k_min: 1.5 }
        );
        assert_eq!(
            nudged(by_rate, Knot::Target, 99.0, 0.0, steps).ramp,
            RampBy::Rate { k_min: 0.5 }
        );
        let by_time = &profile(RampBy::Time { min: 100.0 }).segments[0];
        let moved = with_target(by_time, None, Some(118.0), steps);
        assert_eq!(
            (moved.to_c, moved.ramp),
            (601.0, RampBy::Time { min: 120.0 })
        );
        assert_eq!(with_hold(by_time, -3.0, steps).hold_min, 0.0);
        assert_eq!(with_hold(by_time, f64::NAN, steps).hold_min, 45.0);
        assert_eq!(rounded(0.3, 0.1), 0.3);
    }
}
