//! A run that was stopped: where the load is now, and what each way on would give.

use super::curve::Curve;
use super::even::UNLIMITED_W;
use super::follow_log::{NEAR_K, Planned, RanLast, stood_in};
use super::inputs::{Case, Pace, Program, Segment};
use super::matter::{Had, PlaceResult};
use super::run::{Run, RunFault, Start};
use super::whole::{CaseForecast, Inputs, heat, one, parts};

/// Where the load is.
#[derive(Clone, Debug, PartialEq)]
pub struct Now {
    /// State of heat.
    pub start: Start,
    /// State of the parts.
    pub had: Had,
    /// When, s from the start, waits counted.
    pub time_s: f64,
    /// The same by the program's clock, which stands still while the program waits, s.
    pub clock_s: f64,
    /// Segment of the program in which it stopped.
    pub segment: usize,
    /// How long its ramp has gone by then, by the clock, s.
    pub ramp_s: f64,
    /// What the timer of its hold has by then, s.
    pub timer_s: f64,
    /// Setpoint then, K; after a log, what the plan has it ahead of the chamber from the chamber on.
    pub setpoint_k: f64,
    /// Chamber then, K.
    pub chamber_k: f64,
    /// Coldest and hottest place of the load, K.
    pub extremes_k: (f64, f64),
    /// Binder in the trap by then, of this run, kg; none where nobody knows how all of it burns out.
    pub caught_kg: Option<f64>,
    /// How long the furnace has stood off since it stopped, s.
    pub paused_s: f64,
}

impl Now {
    /// The hottest that a place of the load has been so far, K.
    pub fn hottest_k(&self) -> f64 {
        let places = self.had.places.iter().flatten();
        let hottest = places.map(|p| p.hottest_k);
        hottest.fold(self.extremes_k.1, f64::max)
    }
}

impl Now {
    /// As far in the program as by the nominal case of the same log: what the controller did does not hang
    /// on the case, but for a wait, which hangs on the load.
    #[must_use]
    pub fn as_far_as(mut self, nominal: &Now, program: &Program) -> Now {
        let same = program.segments.get(nominal.segment);
        let Some(same) = same.filter(|_| self.segment == nominal.segment) else {
            return self;
        };
        let ramp_s = super::clock::ramp(same, program.from_k(nominal.segment)).map_or(0.0, |r| r.0);
        let holds = nominal.ramp_s >= ramp_s;
        if same.wait.is_none_or(|w| !(w.on_ramp || w.on_hold && holds)) {
            (self.clock_s, self.setpoint_k) = (nominal.clock_s, nominal.setpoint_k);
            (self.ramp_s, self.timer_s) = (nominal.ramp_s, nominal.timer_s);
        }
        self
    }
}

/// Where in the program a run has come.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Where {
    pub(super) time_s: f64,
    pub(super) clock_s: f64,
    pub(super) segment: usize,
    pub(super) ramp_s: f64,
    pub(super) timer_s: f64,
}

/// State at the end of a computed run.
fn end_of(done: &CaseForecast, at: Where, program: &Program) -> Option<Now> {
    let last = done.run.times_s.len().checked_sub(1)?;
    let state = done.run.sample(last).to_vec();
    let setpoint_k = *state.get(done.run.border.setpoint)?;
    let chamber_k = *state.get(done.run.border.chamber)?;
    Some(Now {
        start: Start {
            state,
            sintered: at.segment > program.peak_segment(),
        },
        had: Had {
            places: done
                .matter
                .kinds
                .iter()
                .map(|k| k.places.iter().map(PlaceResult::had).collect())
                .collect(),
        },
        time_s: at.time_s,
        clock_s: at.clock_s,
        segment: at.segment,
        ramp_s: at.ramp_s,
        timer_s: at.timer_s,
        setpoint_k,
        chamber_k,
        extremes_k: done.run.extremes(last, |_| true)?,
        caught_kg: done
            .matter
            .burnout_known
            .then_some(done.matter.trapped.caught_kg),
        paused_s: 0.0,
    })
}

/// The program as far as a segment with the time spent in its ramp and in its hold, s; what follows is
/// cut off.
fn cut(program: &Program, (segment, ramp_s, hold_s): (usize, f64, f64)) -> Program {
    let mut segments = program.segments.get(..segment).unwrap_or(&[]).to_vec();
    let from = program.from_k(segment);
    if let Some(s) = program.segments.get(segment) {
        let (whole_s, rate) = super::clock::ramp(s, from).unwrap_or((0.0, 0.0));
        segments.push(if ramp_s < whole_s {
            Segment {
                pace: Pace::Time(ramp_s),
                to_k: from + rate * ramp_s,
                hold_s: 0.0,
                ..*s
            }
        } else {
            Segment { hold_s, ..*s }
        });
    }
    Program {
        segments,
        cool_max_s: 0.0,
        ..program.clone()
    }
}

/// Where the load is when the program stops at a time, s, by its own clock; none after its end.
///
/// # Errors
/// See [`RunFault`].
pub fn at_clock(inputs: &Inputs, case: &Case, clock_s: f64) -> Result<Option<Now>, RunFault> {
    if clock_s > length_s(&inputs.program) + END_S {
        return Ok(None);
    }
    let spent = spent(&inputs.program, clock_s);
    let part = Inputs {
        program: cut(&inputs.program, spent),
        ..inputs.clone()
    };
    let done = one(&part, case, false, &|| false)?;
    let at = Where {
        time_s: done.run.program_end_s,
        clock_s,
        segment: spent.0,
        ramp_s: spent.1,
        timer_s: spent.2,
    };
    Ok(end_of(&done, at, &inputs.program))
}

/// What rounding may put a time beyond the end of a program, s (assumed: a minute is what is typed).
const END_S: f64 = 0.5;

/// Length of a program by its clock, s.
pub fn length_s(program: &Program) -> f64 {
    length_to_s(program, program.segments.len())
}

/// Length of it as far as to the begin of a segment.
pub(super) fn length_to_s(program: &Program, segment: usize) -> f64 {
    let mut from = program.start_k;
    let mut sum = 0.0;
    for s in program.segments.iter().take(segment) {
        sum += super::clock::ramp(s, from).map_or(0.0, |r| r.0) + s.hold_s;
        from = s.to_k;
    }
    sum
}

/// The whole program of a run without its cooling, with a sample at a time, s.
fn followed(inputs: &Inputs, case: &Case, mark_s: f64) -> Result<Run, RunFault> {
    let part = Inputs {
        program: Program {
            cool_max_s: 0.0,
            ..inputs.program.clone()
        },
        settings: super::inputs::Settings {
            mark_s: Some(mark_s),
            ..inputs.settings
        },
        ..inputs.clone()
    };
    heat(&part, case, false, &|| false)
}

/// Where in its program a run is at a time, s, waits counted.
pub(super) fn place(program: &Program, run: &Run, time_s: f64) -> Where {
    let sample = run
        .times_s
        .partition_point(|&t| t < time_s - 1e-6)
        .min(run.times_s.len().saturating_sub(1));
    let segment = run.segment.get(sample).copied().unwrap_or(0);
    let segment = segment.min(program.segments.len().saturating_sub(1));
    let from = program.from_k(segment);
    let mut at = Where {
        time_s,
        clock_s: length_to_s(program, segment),
        segment,
        ramp_s: 0.0,
        timer_s: 0.0,
    };
    let Some(now) = program.segments.get(segment) else {
        return at;
    };
    let (ramp_s, rate) = super::clock::ramp(now, from).unwrap_or((0.0, 0.0));
    let hold = run.holds.iter().find(|h| h.segment == segment);
    match hold.filter(|h| h.start_s <= time_s) {
        Some(hold) => {
            let restarts = now.wait.is_some_and(|w| w.on_hold && w.restart);
            at.timer_s = hold.timer_s(time_s, restarts).clamp(0.0, now.hold_s);
            at.ramp_s = ramp_s;
        }
        None if rate != 0.0 => {
            let done = (run.at(run.border.setpoint, time_s) - from) / rate;
            at.ramp_s = done.clamp(0.0, ramp_s);
        }
        // A ramp that goes nowhere waits for nothing.
        None => {
            let mut before = run.ends.iter().rev().filter(|e| e.segment < segment);
            let began_s = before.next().map_or(0.0, |e| e.time_s);
            at.ramp_s = (time_s - began_s).clamp(0.0, ramp_s);
        }
    }
    at.clock_s += at.ramp_s + at.timer_s;
    at
}

/// What the program's clock has at a time of a run, s, waits counted.
pub fn clock_s(program: &Program, run: &Run, time_s: f64) -> f64 {
    place(program, run, time_s).clock_s
}

/// Where the load is a time, s, after the start of a run, waits counted; none after the program's
/// end.
///
/// # Errors
/// See [`RunFault`].
pub fn at_time(inputs: &Inputs, case: &Case, time_s: f64) -> Result<Option<Now>, RunFault> {
    let run = followed(inputs, case, time_s)?;
    if time_s > run.program_end_s + END_S {
        return Ok(None);
    }
    let at = place(&inputs.program, &run, time_s);
    let run = run.until(time_s);
    Ok(end_of(&parts(inputs, case, run), at, &inputs.program))
}

/// How long a run of a program takes, waits counted, s.
///
/// # Errors
/// See [`RunFault`].
pub fn program_s(inputs: &Inputs, case: &Case) -> Result<f64, RunFault> {
    Ok(followed(inputs, case, 0.0)?.program_end_s)
}

/// Largest distance between a log and its simplified form, K (assumed).
const LOG_K: f64 = 1.0;
/// Most pieces that a log is followed in (assumed).
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
/// made to follow the log up and down, and the network follows the chamber. `last_segment` is the one, from
/// 0, that ran last; without it that is the one in which the program as forecast would be.
///
/// # Errors
/// See [`RunFault`].
pub fn from_log(
    inputs: &Inputs,
    case: &Case,
    log: &[(f64, f64)],
    last_segment: Option<usize>,
) -> Result<Option<Now>, RunFault> {
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
    // The program as it would have run tells the gas that was planned then.
    let planned = followed(inputs, case, last.0 - first.0)?;
    let mut furnace = inputs.furnace.clone();
    furnace.power_w = Curve::constant(UNLIMITED_W);
    let mut part = Inputs {
        furnace,
        settings: super::inputs::Settings {
            start_k: first.1,
            cooled: true,
            ..inputs.settings
        },
        ..inputs.clone()
    };
    let mut follow = |last: Option<RanLast>| -> Result<Option<CaseForecast>, RunFault> {
        let as_planned = Planned {
            program: &inputs.program,
            run: &planned,
            last,
        };
        let Some(program) = as_planned.following(&points) else {
            return Ok(None);
        };
        part.program = program;
        one(&part, case, false, &|| false).map(Some)
    };
    let log_s = last.0 - first.0;
    let named = |segment: usize, late_s: f64| Some(RanLast { segment, late_s });
    let Some(mut done) = follow(last_segment.and_then(|segment| named(segment, 0.0)))? else {
        return Ok(None);
    };
    let mut ended = place(&inputs.program, &planned, log_s);
    let by_plan = |segment: usize| ended.segment == segment && is_as_planned(&clean, &planned);
    let late = last_segment.filter(|segment| !by_plan(*segment));
    if let Some(segment) = late {
        let stood = |run: &Run| stood_in(&inputs.program, run, segment, case);
        // How late it came to its end tells in what gas it stood before.
        if let Some(at) = stood(&done.run) {
            let late_s = (log_s - when(&inputs.program, &planned, at.clock_s)).max(0.0);
            ended = at;
            if late_s > 0.0 {
                done = follow(named(segment, late_s))?.unwrap_or(done);
                ended = stood(&done.run).unwrap_or(at);
            }
        }
    }
    let planned_s = match late {
        Some(_) => when(&inputs.program, &planned, ended.clock_s),
        None => log_s,
    };
    let now = end_of(&done, ended, &inputs.program);
    Ok(now.map(|now| with_setpoint(now, &inputs.program, &planned, planned_s)))
}

/// Whether a log is nowhere far off the chamber that its plan has then: what its program did is known.
fn is_as_planned(log: &[(f64, f64)], planned: &Run) -> bool {
    let first_s = log.first().map_or(0.0, |p| p.0);
    let chamber = planned.border.chamber;
    let near = |(t, k): &(f64, f64)| (planned.at(chamber, t - first_s) - k).abs() <= NEAR_K;
    log.iter().all(near)
}

/// With the setpoint that a chamber has by a log: as far ahead of it as planned at a time, s. A chamber that
/// cannot cool as fast as its program does not hold that back.
fn with_setpoint(mut now: Now, program: &Program, planned: &Run, planned_s: f64) -> Now {
    let border = &planned.border;
    let [setpoint_k, chamber_k] =
        [border.setpoint, border.chamber].map(|i| planned.at(i, planned_s));
    let at_k = now.chamber_k + setpoint_k - chamber_k;
    // No ramp goes beyond its end.
    let to_k = program.segments.get(now.segment).map_or(at_k, |s| s.to_k);
    now.setpoint_k = match program.from_k(now.segment) > to_k {
        true => at_k.max(to_k),
        false => at_k.min(to_k),
    };
    now
}

/// When a run comes to a time of its program's clock, s: the first such time.
fn when(program: &Program, run: &Run, clock_s: f64) -> f64 {
    let (mut low, mut high) = (0.0, run.program_end_s);
    for _ in 0..50 {
        let middle = f64::midpoint(low, high);
        if place(program, run, middle).clock_s < clock_s {
            low = middle;
        } else {
            high = middle;
        }
    }
    high
}

/// The program that takes the chamber along a log in straight lines, (s, K), in what the plan has around
/// the load by then; none where the log has no point.
///
/// # Errors
/// See [`RunFault`].
pub fn as_logged(
    inputs: &Inputs,
    case: &Case,
    lines: &[(f64, f64)],
) -> Result<Option<Program>, RunFault> {
    let run = followed(inputs, case, 0.0)?;
    let planned = Planned {
        program: &inputs.program,
        run: &run,
        last: None,
    };
    Ok(planned.following(lines))
}

/// What the program as forecast has in the chamber at each row of a log, K, with its segment; rows
/// after its end have none. With the end of the program, s from the log's first row.
///
/// # Errors
/// See [`RunFault`].
pub fn planned(
    inputs: &Inputs,
    case: &Case,
    log: &[(f64, f64)],
) -> Result<(Vec<(f64, usize)>, f64), RunFault> {
    let run = followed(inputs, case, 0.0)?;
    let first = log.first().map_or(0.0, |p| p.0);
    let rows = log.iter().map(|p| p.0 - first);
    let within = rows.take_while(|t| *t <= run.program_end_s + END_S);
    let planned = within.map(|t| {
        let segment = place(&inputs.program, &run, t).segment;
        (run.at(run.border.chamber, t), segment)
    });
    Ok((planned.collect(), run.program_end_s))
}

/// Where the load is after the furnace has stood off for a time, s, since a stop: without power, in
/// the gas and at the pressure of the segment in which it stopped. The controller then begins at what
/// the chamber has.
///
/// # Errors
/// See [`RunFault`].
pub fn paused(inputs: &Inputs, case: &Case, now: &Now, pause_s: f64) -> Result<Now, RunFault> {
    let Some(like) = inputs.program.segments.get(now.segment) else {
        return Ok(now.clone());
    };
    // The setpoint falls at once to where the run began, so that no power is asked for.
    let off = Segment {
        pace: Pace::Time(1.0),
        to_k: inputs.program.start_k.min(now.extremes_k.0),
        hold_s: (pause_s - 1.0).max(0.0),
        wait: None,
        ..*like
    };
    let part = Inputs {
        program: Program {
            start_k: now.setpoint_k,
            segments: vec![off],
            cool_max_s: 0.0,
            ..inputs.program.clone()
        },
        start: Some((now.start.clone(), now.had.clone())),
        ..inputs.clone()
    };
    let done = one(&part, case, false, &|| false)?;
    let at = Where {
        time_s: now.time_s + done.run.program_end_s,
        clock_s: now.clock_s,
        segment: now.segment,
        ramp_s: now.ramp_s,
        timer_s: now.timer_s,
    };
    let Some(mut after) = end_of(&done, at, &inputs.program) else {
        return Ok(now.clone());
    };
    let border = &done.run.border;
    after.setpoint_k = after.chamber_k;
    if let Some(setpoint) = after.start.state.get_mut(border.setpoint) {
        *setpoint = after.chamber_k;
    }
    let caught = after.caught_kg.zip(now.caught_kg);
    after.caught_kg = caught.map(|(after, before)| after + before);
    after.paused_s = pause_s;
    Ok(after)
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
        WayOn::GoOn | WayOn::RepeatHold => {
            let mut segments = rest(now.segment);
            if let Some(first) = segments.first_mut() {
                if way == WayOn::GoOn {
                    first.hold_s = (first.hold_s - now.timer_s).max(0.0);
                }
                // A ramp given by its time takes what is left of that; after a pause it goes from
                // where the chamber is as fast as it was to go.
                if let Pace::Time(t) = first.pace {
                    let from_k = program.from_k(now.segment);
                    let rate_k_s = (first.to_k - from_k).abs() / t;
                    first.pace = if now.paused_s > 0.0 && rate_k_s.is_finite() && rate_k_s > 0.0 {
                        Pace::Rate(rate_k_s)
                    } else {
                        Pace::Time((t - now.ramp_s).max(0.0))
                    };
                }
            }
            (segments, now.setpoint_k)
        }
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

/// Segment at a time, s, by the clock, with the time spent in its ramp and in its hold; all of the
/// last after the end.
fn spent(program: &Program, clock_s: f64) -> (usize, f64, f64) {
    let mut from = program.start_k;
    let mut left = clock_s.max(0.0);
    let mut last = (0, 0.0, 0.0);
    for (i, s) in program.segments.iter().enumerate() {
        let ramp_s = super::clock::ramp(s, from).map_or(0.0, |r| r.0);
        if left <= ramp_s && ramp_s > 0.0 {
            return (i, left, 0.0);
        }
        left -= ramp_s;
        if left <= s.hold_s {
            return (i, ramp_s, left);
        }
        left -= s.hold_s;
        from = s.to_k;
        last = (i, ramp_s, s.hold_s);
    }
    last
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::forecast::demo::story_1;
    use crate::forecast::matter::densities;

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
    fn a_furnace_that_stands_off_cools_and_comes_back() {
        let mut inputs = story_1(2, 90.0);
        inputs.program.segments.truncate(2);
        inputs.program.cool_max_s = 0.0;
        let case = Case::nominal();
        let now = at_time(&inputs, &case, 230.0 * 60.0).unwrap().unwrap();
        let (mut last_k, mut ends) = (now.extremes_k.1, 0.0);
        for minutes in [10.0, 60.0, 300.0] {
            let after = paused(&inputs, &case, &now, 60.0 * minutes).unwrap();
            assert!(after.extremes_k.1 < last_k, "{minutes}");
            assert!((after.time_s - now.time_s - 60.0 * minutes).abs() < 1.0);
            assert_eq!((after.segment, after.timer_s), (now.segment, now.timer_s));
            for (was, is) in now.had.places[0].iter().zip(&after.had.places[0]) {
                assert!(was.left.iter().zip(&is.left).all(|(was, is)| is <= was));
            }
            let on = way_on(&inputs, &case, &after, WayOn::GoOn).unwrap();
            // It has to come back to where it was first.
            assert!(on.run.program_end_s > ends, "{minutes}");
            (last_k, ends) = (after.extremes_k.1, on.run.program_end_s);
        }
        let at_once = way_on(&inputs, &case, &now, WayOn::GoOn).unwrap();
        assert!(at_once.run.program_end_s < ends);
    }

    /// What was hotter than its data reach has no prediction after the stop either.
    #[test]
    fn a_place_above_the_range_stays_without_a_prediction() {
        let mut inputs = story_1(2, 90.0);
        inputs.program.cool_max_s = 0.0;
        if let Some(s) = &mut inputs.matter[0].sintering {
            s.range_to_k = crate::forecast::cases::kelvin(1200.0);
        }
        let case = Case::nominal();
        let now = at_time(&inputs, &case, 560.0 * 60.0).unwrap().unwrap();
        let none = |now: &Now| densities(now.had.places[0].iter().map(|p| p.density)).is_none();
        assert!(none(&now));
        let after = paused(&inputs, &case, &now, 7200.0).unwrap();
        assert!(none(&after));
        for from in [&now, &after] {
            for way in [WayOn::GoOn, WayOn::RepeatHold, WayOn::Again] {
                let on = way_on(&inputs, &case, from, way).unwrap();
                let places = &on.matter.kinds[0].places;
                assert!(places.iter().any(|p| p.density.is_none()), "{way:?}");
                // Nor does it begin again green.
                for (was, is) in from.had.places[0].iter().zip(places) {
                    let (was, is) = (was.dense.unwrap(), is.dense.unwrap());
                    assert!(is.density >= was.density - 1e-6, "{was:?} {is:?}");
                    assert!(is.hottest_k >= was.hottest_k);
                }
            }
        }
    }

    /// A time typed for a ramp that goes nowhere passes by the clock like any other.
    #[test]
    fn a_ramp_that_goes_nowhere_takes_its_time() {
        let mut inputs = story_1(2, 90.0);
        inputs.program.segments.truncate(1);
        inputs.program.cool_max_s = 0.0;
        let first_s = length_s(&inputs.program);
        let flat = Segment {
            pace: Pace::Time(3600.0),
            hold_s: 0.0,
            ..inputs.program.segments[0]
        };
        inputs.program.segments.push(flat);
        let case = Case::nominal();
        let now = at_time(&inputs, &case, first_s + 600.0).unwrap().unwrap();
        assert_eq!(now.segment, 1);
        assert!((now.clock_s - first_s - 600.0).abs() < 1.0, "{now:?}");
    }

    #[test]
    fn waits_count_in_run_time_and_not_by_the_clock() {
        let mut inputs = story_1(2, 90.0);
        inputs.program.segments.truncate(2);
        inputs.program.cool_max_s = 0.0;
        inputs
            .load
            .sensors
            .push(crate::forecast::inputs::LoadSensor {
                stack: 0,
                level: 2,
                place: 0.0,
                heat_j_m2k: 3000.0,
            });
        for s in &mut inputs.program.segments {
            s.wait = Some(crate::forecast::inputs::Wait {
                on: crate::forecast::inputs::WaitFor::AllLoad,
                band_k: 10.0,
                on_ramp: false,
                on_hold: true,
                restart: false,
                timeout_s: None,
            });
        }
        let nominal = Case::nominal();
        let whole = one(&inputs, &nominal, false, &|| false).unwrap();
        let hold = &whole.run.holds[0];
        let waited_s = hold.end_s - hold.start_s - inputs.program.segments[0].hold_s;
        assert!(waited_s > 600.0, "{waited_s}");
        // In the wait the timer has nothing yet; after it the clock lags by the wait.
        for (run_s, timer_s) in [
            (hold.start_s + 0.5 * waited_s, 0.0),
            (hold.start_s + waited_s + 600.0, 600.0),
        ] {
            let now = at_time(&inputs, &nominal, run_s).unwrap().unwrap();
            assert_eq!(now.segment, 0);
            assert!((now.timer_s - timer_s).abs() < 2.0, "{now:?}");
            assert!((now.clock_s - hold.start_s - timer_s).abs() < 2.0);
            for (i, at) in now.start.state.iter().enumerate() {
                assert!((at - whole.run.at(i, run_s)).abs() < 0.3);
            }
            let on = way_on(&inputs, &nominal, &now, WayOn::GoOn).unwrap();
            let ends = run_s + on.run.program_end_s;
            assert!((ends - whole.run.program_end_s).abs() < 5.0, "{ends}");
        }
        let late = whole.run.program_end_s + 60.0;
        assert_eq!(at_time(&inputs, &nominal, late).unwrap(), None);
        let clock = length_s(&inputs.program);
        assert!(clock + waited_s < late && program_s(&inputs, &nominal).unwrap() + 61.0 > late);
        assert_eq!(at_clock(&inputs, &nominal, clock + 60.0).unwrap(), None);
    }

    #[test]
    fn a_ramp_given_by_its_time_goes_on_for_what_is_left_of_it() {
        let mut inputs = story_1(2, 90.0);
        inputs.program.segments.truncate(1);
        inputs.program.segments[0].pace = Pace::Time(7200.0);
        inputs.program.cool_max_s = 0.0;
        let nominal = Case::nominal();
        let ramp = at_time(&inputs, &nominal, 3600.0).unwrap().unwrap();
        let on = way_on(&inputs, &nominal, &ramp, WayOn::GoOn).unwrap();
        assert!((on.run.program_end_s - 3600.0 - inputs.program.segments[0].hold_s).abs() < 1.0);
        let hold = at_time(&inputs, &nominal, 7800.0).unwrap().unwrap();
        let again = way_on(&inputs, &nominal, &hold, WayOn::RepeatHold).unwrap();
        assert!((again.run.program_end_s - inputs.program.segments[0].hold_s).abs() < 1.0);
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
        let logged = from_log(&inputs, &Case::nominal(), &log, None)
            .unwrap()
            .unwrap();
        // Named, the segment gives the same place in its hold, to a row of the log.
        let last = Some(planned.segment);
        let named = from_log(&inputs, &Case::nominal(), &log, last).unwrap();
        let (named, n) = (named.unwrap(), done.run.nodes.len());
        assert!((named.timer_s - planned.timer_s).abs() < 400.0, "{named:?}");
        assert!((named.clock_s - planned.clock_s).abs() < 400.0, "{named:?}");
        for (a, b) in planned.start.state[..n].iter().zip(&logged.start.state) {
            assert!((a - b).abs() < 1.0, "{a} {b}");
        }
        assert_eq!(planned.segment, logged.segment);
    }

    /// A fan that no plan knew, or an open door: the log's chamber goes before the losses.
    #[test]
    fn a_log_that_cools_faster_than_the_losses_is_followed() {
        let mut inputs = story_1(2, 90.0);
        inputs.program.segments.truncate(2);
        let hold = |log: &mut Vec<(f64, f64)>, k: f64, until_min: u32| {
            let from = log.len() as u32;
            log.extend((from..=until_min).map(|m| (60.0 * f64::from(m), k)));
        };
        let mut log: Vec<(f64, f64)> = (0..=120)
            .map(|m| (60.0 * f64::from(m), 298.15 + 2.0 * f64::from(m)))
            .collect();
        let top_k = log[120].1;
        hold(&mut log, top_k, 180);
        hold(&mut log, 303.15, 480);
        let case = Case::nominal();
        let after = |until: usize| {
            from_log(&inputs, &case, &log[..=until], None)
                .unwrap()
                .unwrap()
        };
        let chamber_k = |now: &Now| now.start.state[inputs_chamber(&inputs)];
        let hot = after(180);
        assert!((chamber_k(&hot) - top_k).abs() < 1.0, "{hot:?}");
        let soon = after(190);
        assert!((chamber_k(&soon) - 303.15).abs() < 2.0, "{soon:?}");
        assert!(soon.extremes_k.1 > 310.0 && soon.extremes_k.1 < hot.extremes_k.1);
        let cold = after(480);
        assert!((chamber_k(&cold) - 303.15).abs() < 1.0);
        // Five hours beside a chamber of 30 °C take the parts to within some tens of kelvin of it.
        assert!(cold.extremes_k.1 < 340.0, "{cold:?}");
    }

    fn inputs_chamber(inputs: &Inputs) -> usize {
        heat(inputs, &Case::nominal(), false, &|| false)
            .unwrap()
            .border
            .chamber
    }
}
