//! A run that was stopped: where the load is now, and what each way on would give.

use super::curve::Curve;
use super::inputs::{Case, Pace, Program, Segment};
use super::matter::Had;
use super::run::{RunFault, Start};
use super::whole::{CaseForecast, Inputs, one};

/// Where the load is.
#[derive(Clone, Debug, PartialEq)]
pub struct Now {
    /// State of heat.
    pub start: Start,
    /// State of the parts.
    pub had: Had,
    /// When, s.
    pub time_s: f64,
    /// Segment of the program in which it stopped.
    pub segment: usize,
    /// Setpoint then, K.
    pub setpoint_k: f64,
    /// Coldest and hottest place of the load, K.
    pub extremes_k: (f64, f64),
    /// Binder in the trap by then, of this run, kg.
    pub caught_kg: f64,
}

/// State at the end of a computed run.
fn end_of(done: &CaseForecast, time_s: f64, segment: usize, sintered: bool) -> Option<Now> {
    let last = done.run.times_s.len().checked_sub(1)?;
    let state = done.run.sample(last).to_vec();
    let setpoint_k = *state.get(done.run.border.setpoint)?;
    Some(Now {
        start: Start { state, sintered },
        had: Had {
            places: done
                .matter
                .kinds
                .iter()
                .map(|k| {
                    k.places
                        .iter()
                        .map(|p| (p.left.clone(), p.density))
                        .collect()
                })
                .collect(),
        },
        time_s,
        segment,
        setpoint_k,
        extremes_k: done.run.extremes(last, |_| true)?,
        caught_kg: done.matter.trapped.caught_kg,
    })
}

/// The program as far as a time, s, by its clock; what follows is cut off. Gives the segment, too.
pub fn cut(program: &Program, time_s: f64) -> (Program, usize) {
    let mut out = Program {
        segments: Vec::new(),
        cool_max_s: 0.0,
        ..program.clone()
    };
    let mut from = program.start_k;
    let mut left = time_s.max(0.0);
    for (i, s) in program.segments.iter().enumerate() {
        let (ramp_s, rate) = super::clock::ramp(s, from).unwrap_or((0.0, 0.0));
        if left <= ramp_s && ramp_s > 0.0 {
            out.segments.push(Segment {
                pace: Pace::Time(left),
                to_k: from + rate * left,
                hold_s: 0.0,
                ..*s
            });
            return (out, i);
        }
        left -= ramp_s;
        if left <= s.hold_s {
            out.segments.push(Segment { hold_s: left, ..*s });
            return (out, i);
        }
        left -= s.hold_s;
        out.segments.push(*s);
        from = s.to_k;
    }
    (out, program.segments.len().saturating_sub(1))
}

/// Where the load is when the program stops at a time, s.
///
/// # Errors
/// See [`RunFault`].
pub fn at_time(inputs: &Inputs, case: &Case, time_s: f64) -> Result<Option<Now>, RunFault> {
    let (program, segment) = cut(&inputs.program, time_s);
    let peak = peak_segment(&inputs.program);
    let part = Inputs {
        program,
        ..inputs.clone()
    };
    let done = one(&part, case, false, &|| false)?;
    Ok(end_of(&done, time_s, segment, segment > peak))
}

fn peak_segment(program: &Program) -> usize {
    let mut best = (0, f64::NEG_INFINITY);
    for (i, s) in program.segments.iter().enumerate() {
        if s.to_k >= best.1 {
            best = (i, s.to_k);
        }
    }
    best.0
}

/// Largest distance between a log and its simplified form, K.
const LOG_K: f64 = 1.0;
/// Most pieces that a log is followed in.
const LOG_PIECES: usize = 400;

/// Keeps the points of a log that straight lines need to stay within a distance (Douglas and
/// Peucker, measured in K).
pub fn simplify(log: &[(f64, f64)], within_k: f64) -> Vec<(f64, f64)> {
    let mut keep = vec![false; log.len()];
    if log.is_empty() {
        return Vec::new();
    }
    let last = log.len() - 1;
    keep[0] = true;
    keep[last] = true;
    let mut open = vec![(0, last)];
    while let Some((a, b)) = open.pop() {
        let (ta, ya) = log[a];
        let (tb, yb) = log[b];
        let mut worst = (0.0, a);
        for (i, &(t, y)) in log.iter().enumerate().take(b).skip(a + 1) {
            let line = if tb > ta {
                ya + (yb - ya) * (t - ta) / (tb - ta)
            } else {
                ya
            };
            let d = (y - line).abs();
            if d > worst.0 {
                worst = (d, i);
            }
        }
        if worst.0 > within_k {
            keep[worst.1] = true;
            open.push((a, worst.1));
            open.push((worst.1, b));
        }
    }
    log.iter()
        .zip(keep)
        .filter(|(_, k)| *k)
        .map(|(p, _)| *p)
        .collect()
}

/// Where the load is after a partial log of the chamber, (s, K), rising in time: the chamber is
/// made to follow the log, and the network follows the chamber.
///
/// # Errors
/// See [`RunFault`].
pub fn from_log(inputs: &Inputs, case: &Case, log: &[(f64, f64)]) -> Result<Option<Now>, RunFault> {
    let clean: Vec<(f64, f64)> = log
        .iter()
        .copied()
        .filter(|(t, y)| t.is_finite() && y.is_finite() && *y > 200.0)
        .collect();
    let mut within = LOG_K;
    let mut points = simplify(&clean, within);
    while points.len() > LOG_PIECES {
        within *= 1.5;
        points = simplify(&clean, within);
    }
    let (Some(&first), Some(&last)) = (points.first(), points.last()) else {
        return Ok(None);
    };
    let at = |t: f64| -> usize {
        // Segment of the program by its clock: gives the gas that was planned then.
        cut(&inputs.program, t - first.0).1
    };
    let segments: Vec<Segment> = points
        .windows(2)
        .filter(|w| w[1].0 > w[0].0)
        .filter_map(|w| {
            let planned = inputs.program.segments.get(at(0.5 * (w[0].0 + w[1].0)))?;
            Some(Segment {
                pace: Pace::Time(w[1].0 - w[0].0),
                to_k: w[1].1,
                hold_s: 0.0,
                wait: None,
                ..*planned
            })
        })
        .collect();
    let mut furnace = inputs.furnace.clone();
    furnace.power_w = Curve::constant(1e9);
    let part = Inputs {
        program: Program {
            start_k: first.1,
            segments,
            cool_max_s: 0.0,
            ..inputs.program.clone()
        },
        furnace,
        settings: super::inputs::Settings {
            start_k: first.1,
            ..inputs.settings
        },
        ..inputs.clone()
    };
    let done = one(&part, case, false, &|| false)?;
    let segment = at(last.0);
    Ok(end_of(
        &done,
        last.0 - first.0,
        segment,
        segment > peak_segment(&inputs.program),
    ))
}

/// A way on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WayOn {
    /// The rest of the program from where it stopped.
    GoOn,
    /// Back to the target of the segment in which it stopped, its whole hold again, then the rest.
    RepeatHold,
    /// Cool down, reload, run the whole program again.
    Again,
}

/// What a way on gives.
///
/// # Errors
/// See [`RunFault`].
pub fn way_on(
    inputs: &Inputs,
    case: &Case,
    now: &Now,
    way: WayOn,
) -> Result<CaseForecast, RunFault> {
    let program = &inputs.program;
    let rest = |from: usize| program.segments.get(from..).unwrap_or(&[]).to_vec();
    let (segments, start_k) = match way {
        WayOn::GoOn => {
            // Length of what ran of this segment.
            let mut segments = rest(now.segment);
            if let Some(first) = segments.first_mut() {
                let (_, before) = spent(program, now.time_s);
                if before > 0.0 {
                    first.hold_s = (first.hold_s - before).max(0.0);
                }
            }
            (segments, now.setpoint_k)
        }
        WayOn::RepeatHold => (rest(now.segment), now.setpoint_k),
        WayOn::Again => (program.segments.clone(), program.start_k),
    };
    let start = match way {
        WayOn::Again => Start {
            // Cooled: uniform again, the parts as they are.
            state: vec![inputs.settings.start_k; now.start.state.len()],
            sintered: now.start.sintered,
        },
        _ => now.start.clone(),
    };
    let part = Inputs {
        program: Program {
            start_k,
            segments,
            ..program.clone()
        },
        start: Some((start, now.had.clone())),
        ..inputs.clone()
    };
    one(&part, case, false, &|| false)
}

/// Segment at a time, s, by the clock, and the time spent in its hold.
fn spent(program: &Program, time_s: f64) -> (usize, f64) {
    let mut from = program.start_k;
    let mut left = time_s;
    for (i, s) in program.segments.iter().enumerate() {
        let ramp_s = super::clock::ramp(s, from).map_or(0.0, |r| r.0);
        if left <= ramp_s {
            return (i, 0.0);
        }
        left -= ramp_s;
        if left <= s.hold_s {
            return (i, left);
        }
        left -= s.hold_s;
        from = s.to_k;
    }
    (program.segments.len(), 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::forecast::demo::story_1;

    #[test]
    fn a_stopped_run_that_goes_on_ends_as_one_that_was_not() {
        let mut inputs = story_1(2, 90.0);
        inputs.program.segments.truncate(2);
        inputs.program.cool_max_s = 0.0;
        let whole = one(&inputs, &Case::nominal(), false, &|| false).unwrap();
        for minutes in [60.0, 160.0, 230.0, 300.0] {
            let now = at_time(&inputs, &Case::nominal(), minutes * 60.0)
                .unwrap()
                .unwrap();
            let on = way_on(&inputs, &Case::nominal(), &now, WayOn::GoOn).unwrap();
            let (a, b) = (
                whole.run.sample(whole.run.times_s.len() - 1),
                on.run.sample(on.run.times_s.len() - 1),
            );
            for (x, y) in a.iter().zip(b) {
                assert!((x - y).abs() < 0.05, "{minutes}: {x} {y}");
            }
            for (p, q) in whole.matter.kinds[0]
                .places
                .iter()
                .zip(&on.matter.kinds[0].places)
            {
                for (l, m) in p.left.iter().zip(&q.left) {
                    assert!((l - m).abs() < 2e-3, "{minutes}: {l} {m}");
                }
            }
            let again = way_on(&inputs, &Case::nominal(), &now, WayOn::RepeatHold).unwrap();
            assert!(
                again.matter.kinds[0].places[0].left[1]
                    <= on.matter.kinds[0].places[0].left[1] + 1e-9
            );
        }
    }

    #[test]
    fn a_log_of_the_plan_gives_the_state_of_the_plan() {
        let mut inputs = story_1(2, 90.0);
        inputs.program.segments.truncate(2);
        inputs.program.cool_max_s = 0.0;
        let stop = 240.0 * 60.0;
        let planned = at_time(&inputs, &Case::nominal(), stop).unwrap().unwrap();
        let done = one(&inputs, &Case::nominal(), false, &|| false).unwrap();
        let log: Vec<(f64, f64)> = (0..=240)
            .map(|m| {
                (
                    m as f64 * 60.0,
                    done.run.at(done.run.border.chamber, m as f64 * 60.0),
                )
            })
            .collect();
        let logged = from_log(&inputs, &Case::nominal(), &log).unwrap().unwrap();
        let n = done.run.nodes.len();
        for (a, b) in planned.start.state[..n].iter().zip(&logged.start.state) {
            assert!((a - b).abs() < 1.0, "{a} {b}");
        }
        assert_eq!(planned.segment, logged.segment);
    }
}
