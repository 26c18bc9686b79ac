//! A log of the chamber as a program: straight lines, each in what the plan has around the load then.

use super::inputs::{Pace, Program, Segment, WaitFor};
use super::run::Run;
use super::stopped::{Where, length_to_s, place};

/// What a plan has around the load at each time of a run: the segment of its program.
pub struct Planned<'a> {
    /// The program.
    pub program: &'a Program,
    /// A run of it.
    pub run: &'a Run,
    /// The segment from 0 that ran last where somebody knows better.
    pub last: Option<usize>,
}

impl Planned<'_> {
    fn at(&self, time_s: f64) -> Option<Segment> {
        let segment = place(self.program, self.run, time_s).segment;
        let segment = self.last.map_or(segment, |last| segment.min(last));
        self.program.segments.get(segment).copied()
    }

    /// When one segment follows another, s.
    fn borders(&self) -> impl Iterator<Item = f64> {
        let ends = self.run.ends.windows(2);
        ends.filter(|e| e[0].segment != e[1].segment)
            .map(|e| e[0].time_s)
    }

    /// The program that takes the chamber along a log in straight lines, (s, K), rising in time. None
    /// where the log has no point.
    pub fn following(&self, lines: &[(f64, f64)]) -> Option<Program> {
        let first_s = lines.first()?.0;
        let borders: Vec<f64> = self.borders().map(|t| t + first_s).collect();
        let parted = parted(lines, &borders);
        let like = |t: f64| self.at(t - first_s);
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
/// around the load at its middle. None where the log has no point.
pub fn following(lines: &[(f64, f64)], like: impl Fn(f64) -> Option<Segment>) -> Option<Program> {
    let first = lines.first()?;
    let pieces = lines.windows(2).filter(|w| w[1].0 > w[0].0);
    let segments = pieces.filter_map(|w| {
        Some(Segment {
            pace: Pace::Time(w[1].0 - w[0].0),
            to_k: w[1].1,
            hold_s: 0.0,
            wait: None,
            ..like(0.5 * (w[0].0 + w[1].0))?
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

/// So near to its target a segment without a band holds, K (assumed).
const NEAR_K: f64 = 5.0;

/// Where a program stood in a segment at the end of a run that followed a log: on its ramp, or in its
/// hold, of which the timer has had the time in band.
pub(super) fn stood_in(program: &Program, logged: &Run, segment: usize) -> Option<Where> {
    let now = program.segments.get(segment)?;
    let from_k = program.from_k(segment);
    let (ramp_s, rate) = super::clock::ramp(now, from_k).unwrap_or((0.0, 0.0));
    let end_s = *logged.times_s.last()?;
    let at_k = logged.at(logged.border.chamber, end_s);
    let holding = (at_k - now.to_k).abs() <= NEAR_K;
    let wait = now.wait.filter(|w| w.on_hold);
    let band_k = wait.map_or(NEAR_K, |w| w.band_k);
    // The segments before it were over by then.
    let in_band_s = |state: usize| {
        let (low, high) = (now.to_k - band_k, now.to_k + band_k);
        logged.time_in_range_s(state, low, high, 0.0, end_s)
    };
    let sensors = (logged.border.sensors..logged.border.end).map(in_band_s);
    let in_band_s = match wait.map(|w| w.on) {
        Some(WaitFor::AllLoad) => sensors.reduce(f64::min),
        Some(WaitFor::AnyLoad) => sensors.reduce(f64::max),
        _ => Some(in_band_s(logged.border.chamber)),
    };
    let ramp_s = match holding || rate == 0.0 {
        true => ramp_s,
        false => ((at_k - from_k) / rate).clamp(0.0, ramp_s),
    };
    let timer_s = match holding {
        true => in_band_s.unwrap_or(0.0).min(now.hold_s),
        false => 0.0,
    };
    Some(Where {
        time_s: end_s,
        clock_s: length_to_s(program, segment) + ramp_s + timer_s,
        segment,
        ramp_s,
        timer_s,
    })
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
