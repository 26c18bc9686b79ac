//! The shortest holds and fastest ramps that keep every limit in both cases, one segment at a time.

use super::inputs::{Pace, Program};

/// A limit as judged on a case: its name and the margin, at least nought when it is kept.
#[derive(Clone, Debug, PartialEq)]
pub struct Margin {
    /// Slug of the limit.
    pub limit: String,
    /// Margin in units of the limit; negative = broken.
    pub margin: f64,
}

/// What was found for one segment.
#[derive(Clone, Debug, PartialEq)]
pub struct Shorter {
    /// Segment from 0.
    pub segment: usize,
    /// Hold now, s, and the shortest that keeps every limit.
    pub hold_s: (f64, f64),
    /// Ramp rate now, K/s, and the fastest; none where the segment has no ramp by rate.
    pub rate_k_s: Option<(f64, f64)>,
    /// What stops it from being shorter: the limit that breaks one step further.
    pub hold_bound_by: Option<String>,
    /// The same of the ramp.
    pub ramp_bound_by: Option<String>,
}

/// How far is searched.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Search {
    /// Shortest hold tried, s: a hold that is left out altogether is no longer judged as one.
    pub hold_min_s: f64,
    /// Longest hold tried, s.
    pub hold_max_s: f64,
    /// Steps of holds, s.
    pub hold_step_s: f64,
    /// Fastest ramp tried, K/s.
    pub rate_max_k_s: f64,
    /// Steps of rates, K/s.
    pub rate_step_k_s: f64,
}

fn worst(margins: Vec<Margin>) -> Option<Margin> {
    margins
        .into_iter()
        .min_by(|a, b| a.margin.total_cmp(&b.margin))
}

/// Judges a program in the cold and the hot case.
pub type Judge<'a, E> = dyn Fn(&Program) -> Result<Vec<Margin>, E> + 'a;

/// Searches one segment of a program, the others as they stand: first the hold, then the ramp. The
/// smallest number of steps that keeps every limit, by bisection (a longer hold or a slower ramp is
/// taken not to break a limit that a shorter one keeps; what comes out is judged once more as it is).
/// None where there is no such segment.
///
/// # Errors
/// Those of the judge.
pub fn shorten<E>(
    before: &Program,
    segment: usize,
    search: &Search,
    judge: &Judge<E>,
) -> Result<Option<Shorter>, E> {
    let Some(now) = before.segments.get(segment).copied() else {
        return Ok(None);
    };
    let mut program = before.clone();
    let mut out = Shorter {
        segment,
        hold_s: (now.hold_s, now.hold_s),
        rate_k_s: None,
        hold_bound_by: None,
        ramp_bound_by: None,
    };
    let try_with = |program: &Program| -> Result<(bool, Option<String>), E> {
        Ok(match worst(judge(program)?) {
            Some(m) => (m.margin >= 0.0, Some(m.limit)),
            None => (true, None),
        })
    };
    // Holds, from the shortest to the longest.
    let step = search.hold_step_s.max(1.0);
    let most = (search.hold_max_s.max(now.hold_s) / step)
        .ceil()
        .clamp(0.0, 1e5) as usize;
    let hold = |n: usize, program: &mut Program| -> Result<(bool, Option<String>), E> {
        if let Some(s) = program.segments.get_mut(segment) {
            s.hold_s = n as f64 * step;
        }
        try_with(program)
    };
    if now.hold_s > 0.0 {
        let least = (search.hold_min_s / step).ceil().clamp(0.0, most as f64) as usize;
        let (mut lo, mut hi) = (least, most);
        let (kept, limit) = hold(least, &mut program)?;
        if kept {
            hi = least;
        } else {
            out.hold_bound_by = limit;
            if hold(hi, &mut program)?.0 {
                while hi - lo > 1 {
                    let mid = lo + (hi - lo) / 2;
                    let (kept, limit) = hold(mid, &mut program)?;
                    if kept {
                        hi = mid;
                    } else {
                        lo = mid;
                        out.hold_bound_by = limit;
                    }
                }
            } else {
                // No hold keeps the limits: leave it as it is and say what breaks.
                out.hold_s.1 = now.hold_s;
                if let Some(s) = program.segments.get_mut(segment) {
                    s.hold_s = now.hold_s;
                }
                return Ok(Some(out));
            }
        }
        out.hold_s.1 = hi as f64 * step;
        if let Some(s) = program.segments.get_mut(segment) {
            s.hold_s = out.hold_s.1;
        }
    }
    // Ramps, from the present rate up.
    if let Pace::Rate(rate) = now.pace {
        out.rate_k_s = Some((rate, rate));
        let step = search.rate_step_k_s.max(1e-5);
        let steps = ((search.rate_max_k_s - rate) / step)
            .floor()
            .clamp(0.0, 1e5) as usize;
        let ramp = |n: usize, program: &mut Program| -> Result<(bool, Option<String>), E> {
            if let Some(s) = program.segments.get_mut(segment) {
                s.pace = Pace::Rate(rate + n as f64 * step);
            }
            try_with(program)
        };
        let (mut good, mut bad) = (0, steps + 1);
        if steps > 0 {
            let (kept, limit) = ramp(steps, &mut program)?;
            if kept {
                good = steps;
            } else {
                out.ramp_bound_by = limit;
                bad = steps;
                while bad - good > 1 {
                    let mid = good + (bad - good) / 2;
                    let (kept, limit) = ramp(mid, &mut program)?;
                    if kept {
                        good = mid;
                    } else {
                        bad = mid;
                        out.ramp_bound_by = limit;
                    }
                }
            }
        }
        out.rate_k_s = Some((rate, rate + good as f64 * step));
        let _ = bad;
    }
    Ok(Some(out))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::forecast::demo::story_1;
    use crate::forecast::run::RunFault;
    use crate::forecast::whole::{Inputs, arrivals, several};

    #[test]
    fn the_shortest_hold_is_just_long_enough() {
        let mut inputs = story_1(2, 200.0);
        inputs.program.segments.truncate(2);
        inputs.program.cool_max_s = 0.0;
        let judge = |program: &Program| {
            let trial = Inputs {
                program: program.clone(),
                ..inputs.clone()
            };
            let cases = trial.cases.as_ref().unwrap();
            let cold = several(&trial, &[&cases.cold], false, &|| false)?;
            let in_band = arrivals(&cold[0].run, 5.0)
                .into_iter()
                .find(|a| a.segment == 1)
                .map_or(0.0, |a| a.in_band_s);
            Ok::<_, RunFault>(vec![Margin {
                limit: "arrival".to_owned(),
                margin: in_band / 60.0 - 10.0,
            }])
        };
        let search = Search {
            hold_min_s: 0.0,
            hold_max_s: 6.0 * 3600.0,
            hold_step_s: 300.0,
            rate_max_k_s: 2.0 / 60.0,
            rate_step_k_s: 0.5 / 60.0,
        };
        let s = shorten(&inputs.program, 1, &search, &judge)
            .unwrap()
            .unwrap();
        assert!(s.hold_s.1 < s.hold_s.0 && s.hold_s.1 > 3600.0, "{s:?}");
        assert_eq!(s.hold_bound_by.as_deref(), Some("arrival"));
        let mut shorter = inputs.program.clone();
        shorter.segments[1].hold_s = s.hold_s.1 - 300.0;
        let w = worst(judge(&shorter).unwrap()).unwrap();
        assert!(w.margin < 0.0 && w.margin > -6.0, "{w:?}");
    }
}
