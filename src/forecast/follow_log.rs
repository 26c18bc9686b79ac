//! A log of the chamber as a program: straight lines, each in what the plan has around the load then.

use super::clock::{WAIT_MAX_S, ramp};
use super::inputs::{Case, Pace, Program, Segment, WaitFor};
use super::run::Run;
use super::stopped::{Where, length_to_s, place};

/// What a plan has around the load at each time of a run: the segment of its program.
pub struct Planned<'a> {
    /// The program.
    pub program: &'a Program,
    /// A run of it.
    pub run: &'a Run,
    /// What ran last, where somebody knows better.
    pub last: Option<RanLast>,
}

/// What ran last by somebody's word.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RanLast {
    /// The segment, from 0.
    pub segment: usize,
    /// By how much later than planned the log came to its end, s: so much longer it waited somewhere.
    pub late_s: f64,
}

impl Planned<'_> {
    /// The segment at a time, at which the log has a temperature, K. What waited longer is as planned
    /// before that wait, and later than planned after it: where it waited the temperature tells.
    fn at(&self, time_s: f64, k: f64) -> Option<Segment> {
        let off = |time_s: f64| (self.run.at(self.run.border.chamber, time_s) - k).abs();
        let late_s = self.last.map_or(0.0, |last| last.late_s);
        let then_s = match off(time_s - late_s) < off(time_s) {
            true => time_s - late_s,
            false => time_s,
        };
        let segment = place(self.program, self.run, then_s).segment;
        let segment = self.last.map_or(segment, |last| segment.min(last.segment));
        self.program.segments.get(segment).copied()
    }

    /// When one segment follows another, s: as planned, and as late as it came to its end.
    fn borders(&self) -> impl Iterator<Item = f64> {
        let late_s = self.last.map_or(0.0, |last| last.late_s);
        let ends = self.run.ends.windows(2);
        ends.filter(|e| e[0].segment != e[1].segment)
            .flat_map(move |e| [e[0].time_s, e[0].time_s + late_s])
    }

    /// The program that takes the chamber along a log in straight lines, (s, K), rising in time. None
    /// where the log has no point.
    pub fn following(&self, lines: &[(f64, f64)]) -> Option<Program> {
        let first_s = lines.first()?.0;
        let mut borders: Vec<f64> = self.borders().map(|t| t + first_s).collect();
        borders.sort_by(f64::total_cmp);
        borders.dedup();
        let parted = parted(lines, &borders);
        let like = |t: f64, k: f64| self.at(t - first_s, k);
        let program = following(&parted, like)?;
        Some(Program {
            after: self.program.after,
            fan_after: self.program.fan_after,
            unload_k: self.program.unload_k,
            ..program
        })
    }
}

/// The program that takes the chamber along a log in straight lines, (s, K), each in what `like` has
/// around the load at its middle, s and K. None where the log has no point.
pub fn following(
    lines: &[(f64, f64)],
    like: impl Fn(f64, f64) -> Option<Segment>,
) -> Option<Program> {
    let first = lines.first()?;
    let pieces = lines.windows(2).filter(|w| w[1].0 > w[0].0);
    let segments = pieces.filter_map(|w| {
        Some(Segment {
            pace: Pace::Time(w[1].0 - w[0].0),
            to_k: w[1].1,
            hold_s: 0.0,
            wait: None,
            ..like(0.5 * (w[0].0 + w[1].0), 0.5 * (w[0].1 + w[1].1))?
        })
    });
    let segments: Vec<Segment> = segments.collect();
    Some(Program {
        start_k: first.1,
        after: segments.last().map(|s| s.atmosphere).unwrap_or_default(),
        segments,
        fan_after: false,
        unload_k: 300.0,
        cool_max_s: 0.0,
    })
}

/// So near to a segment's target the chamber has come to it, K (assumed).
pub const NEAR_K: f64 = 5.0;

/// As near to a hold's target the chamber of another thermocouple holds, K (assumed).
const BESIDE_K: f64 = 15.0;

/// What rounding makes of a timer, s.
const HAIR_S: f64 = 1e-6;

/// Where a program stood in a segment at the end of a run that followed a log: on its ramp, or in its
/// hold, of which the timer has had the time in band.
///
/// A band lies about what the load comes to in the case.
pub(super) fn stood_in(
    program: &Program,
    logged: &Run,
    segment: usize,
    case: &Case,
) -> Option<Where> {
    let now = program.segments.get(segment)?;
    let from_k = program.from_k(segment);
    let (whole_s, rate) = ramp(now, from_k).unwrap_or((0.0, 0.0));
    let end_s = *logged.times_s.last()?;
    let at_k = logged.at(logged.border.chamber, end_s);
    let held = Held {
        logged,
        offset_k: case.offset.at(now.to_k),
    };
    // Holds at this temperature follow each other; the first of them begins where the chamber last came
    // from the one before.
    let like = |s: &&Segment| (s.to_k - now.to_k).abs() <= NEAR_K;
    let earlier = program.segments.get(..segment).unwrap_or(&[]);
    let first = segment - earlier.iter().rev().take_while(like).count();
    let half_k = 0.5 * (program.from_k(first) - now.to_k).abs();
    let chamber = logged.series(logged.border.chamber);
    let away = chamber.filter(|(_, k)| half_k > NEAR_K && (k - now.to_k).abs() > half_k);
    let mut begin_s = away.map(|(t, _)| t).fold(0.0, f64::max);
    begin_s = held.arrives(now.to_k, begin_s, end_s);
    for hold in earlier.get(first..).unwrap_or(&[]) {
        begin_s = held.over(hold, begin_s, end_s);
    }
    // A ramp that waits for nothing goes by the clock, however far behind the chamber is.
    let chamber: Vec<(f64, f64)> = logged.series(logged.border.chamber).collect();
    let left_s = match leaves(&chamber, from_k, now.to_k, NEAR_K) {
        Some(t) if held.stood_beside(program, segment, t) => {
            leaves(&chamber, from_k, now.to_k, BESIDE_K)
        }
        // So near to it the ramp has gone by then at least.
        left_s if rate != 0.0 => left_s.map(|t| t - (NEAR_K / rate).abs()),
        left_s => left_s,
    };
    let waits = now.wait.is_some_and(|w| w.on_ramp) || (from_k - now.to_k).abs() <= NEAR_K;
    let gone_s = left_s.filter(|_| !waits).map_or(0.0, |t| end_s - t);
    // It holds from its begin on, wherever it went since: a furnace that fails falls away in its hold.
    let holding = begin_s < end_s || gone_s > whole_s;
    let ramp_s = match holding || rate == 0.0 {
        true => whole_s,
        false => ((at_k - from_k) / rate).max(gone_s).clamp(0.0, whole_s),
    };
    let mut timer_s = held.timer_s(now, begin_s, end_s);
    if now.wait.is_none_or(|w| !w.on_hold) {
        timer_s = timer_s.max(gone_s - whole_s);
    }
    let timer_s = timer_s.clamp(0.0, now.hold_s);
    Some(Where {
        time_s: end_s,
        clock_s: length_to_s(program, segment) + ramp_s + timer_s,
        segment,
        ramp_s,
        timer_s,
    })
}

/// When a chamber, (s, K), last was as near to a temperature, s; none where it is not beyond that towards another.
fn leaves(chamber: &[(f64, f64)], from_k: f64, to_k: f64, near_k: f64) -> Option<f64> {
    // What it is beyond, in the ramp's direction.
    let beyond = |k: f64| (k - from_k) * (to_k - from_k).signum();
    let (end_s, end_k) = *chamber.last()?;
    if beyond(end_k) < -near_k {
        return None;
    }
    let mut after = (end_s, beyond(end_k));
    for &(t, k) in chamber.iter().rev() {
        let before = (t, beyond(k));
        if before.1 <= near_k {
            // Between two samples it may pass all of it.
            let share = match after.1 > before.1 {
                true => ((near_k - before.1) / (after.1 - before.1)).clamp(0.0, 1.0),
                false => 0.0,
            };
            return Some(before.0 + share * (after.0 - before.0));
        }
        after = before;
    }
    None
}

/// Timers of holds along a logged run.
struct Held<'a> {
    logged: &'a Run,
    /// What the load comes to at the target, less the target, K.
    offset_k: f64,
}

impl Held<'_> {
    /// When the chamber first is near a target from a time on, s; the end where it is not.
    fn arrives(&self, to_k: f64, from_s: f64, end_s: f64) -> f64 {
        let chamber = self.logged.series(self.logged.border.chamber);
        let mut near = chamber.filter(|(t, k)| *t >= from_s && (k - to_k).abs() <= NEAR_K);
        near.next().map_or(end_s, |(t, _)| t)
    }

    /// Whether the chamber only passed where a segment begins when it last was near it, s, and then stood
    /// beside it for that hold, as by a thermocouple that is off.
    fn stood_beside(&self, program: &Program, segment: usize, left_s: f64) -> bool {
        let before = segment.checked_sub(1);
        let Some((before, hold)) = before.and_then(|i| Some((i, program.segments.get(i)?))) else {
            return false;
        };
        let border = &self.logged.border;
        let half_k = 0.5 * (program.from_k(before) - hold.to_k).abs();
        let chamber = self.logged.series(border.chamber);
        let away = chamber.filter(|(t, k)| *t <= left_s && (k - hold.to_k).abs() > half_k);
        let away_s = away.map(|(t, _)| t).fold(0.0, f64::max);
        let begin_s = self.arrives(hold.to_k, away_s, left_s);
        let end_s = self.logged.times_s.last().copied().unwrap_or(left_s);
        let over_s = (begin_s + hold.hold_s).min(end_s);
        let beside_k = (self.logged.at(border.chamber, over_s) - hold.to_k).abs();
        let passed = half_k > NEAR_K && left_s - begin_s < 0.5 * hold.hold_s;
        passed && beside_k <= BESIDE_K
    }

    /// What the timer of a hold has from its begin to a time, s: all of it where it does not wait, else
    /// what it was in band; where it begins anew, since it last was not. It runs on once it has waited
    /// for its timeout.
    fn timer_s(&self, hold: &Segment, begin_s: f64, until_s: f64) -> f64 {
        let Some(wait) = hold.wait.filter(|w| w.on_hold) else {
            return (until_s - begin_s).max(0.0);
        };
        let border = &self.logged.border;
        let in_band_s = |state: usize, about_k: f64| {
            let (low, high) = (about_k - wait.band_k, about_k + wait.band_k);
            let out = self.logged.series(state);
            let out = out.filter(|(t, k)| *t <= until_s && !(low..=high).contains(k));
            let since_s = match wait.restart {
                true => out.map(|(t, _)| t).fold(begin_s, f64::max),
                false => begin_s,
            };
            let logged = self.logged;
            logged.time_in_range_s(state, low, high, since_s, until_s)
        };
        let sensors =
            (border.sensors..border.end).map(|state| in_band_s(state, hold.to_k + self.offset_k));
        let in_band_s = match wait.on {
            WaitFor::AllLoad => sensors.reduce(f64::min).unwrap_or(0.0),
            WaitFor::AnyLoad => sensors.reduce(f64::max).unwrap_or(0.0),
            _ => in_band_s(border.chamber, hold.to_k),
        };
        let patience_s = wait.timeout_s.unwrap_or(WAIT_MAX_S);
        in_band_s.max(until_s - begin_s - patience_s)
    }

    /// When a hold that begins at a time is over, s; the end where it is not by then.
    fn over(&self, hold: &Segment, begin_s: f64, end_s: f64) -> f64 {
        // A timer that begins anew falls back: the first time that it has all counts.
        let has_all = |t: f64| self.timer_s(hold, begin_s, t) >= hold.hold_s - HAIR_S;
        let times = self.logged.times_s.iter().copied();
        let times = times.filter(|t| (begin_s..=end_s).contains(t));
        let mut low = begin_s;
        for time in times.chain([end_s]) {
            if has_all(time) {
                let mut high = time;
                for _ in 0..30 {
                    let middle = f64::midpoint(low, high);
                    match has_all(middle) {
                        true => high = middle,
                        false => low = middle,
                    }
                }
                return high;
            }
            low = time;
        }
        end_s
    }
}

/// Lines with a point at each of some times within, too.
fn parted(lines: &[(f64, f64)], at: &[f64]) -> Vec<(f64, f64)> {
    let mut out: Vec<(f64, f64)> = lines.first().copied().into_iter().collect();
    for w in lines.windows(2) {
        let [a, b] = *w else { continue };
        let within = at.iter().filter(|t| **t > a.0 && **t < b.0);
        out.extend(within.map(|t| (*t, a.1 + (b.1 - a.1) * (t - a.0) / (b.0 - a.0))));
        out.push(b);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A chamber that passed a temperature while it heated has not left it while it cools to it.
    #[test]
    fn a_ramp_is_left_in_its_own_direction_and_between_samples() {
        let up_and_down = [
            (0.0, 300.0),
            (100.0, 1300.0),
            (200.0, 700.0),
            (300.0, 400.0),
        ];
        // Cooling from 600 K: past it between the last two samples.
        let left = leaves(&up_and_down, 600.0, 320.0, NEAR_K).unwrap();
        assert!((left - 235.0).abs() < 1e-9, "{left}");
        assert_eq!(leaves(&up_and_down[..3], 600.0, 320.0, NEAR_K), None);
        // Heating from 600 K.
        let left = leaves(&up_and_down[..2], 600.0, 1300.0, NEAR_K).unwrap();
        assert!((left - 30.5).abs() < 1e-9, "{left}");
        assert_eq!(leaves(&[], 600.0, 1300.0, NEAR_K), None);
    }

    #[test]
    fn a_line_is_parted_where_the_gas_changes() {
        let lines = [(0.0, 300.0), (100.0, 400.0), (300.0, 400.0)];
        assert_eq!(
            parted(&lines, &[50.0, 100.0, 150.0, 400.0]),
            [
                (0.0, 300.0),
                (50.0, 350.0),
                (100.0, 400.0),
                (150.0, 400.0),
                (300.0, 400.0)
            ]
        );
        assert!(parted(&[], &[1.0]).is_empty());
    }
}
