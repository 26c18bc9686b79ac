//! Lines of a forecast over real time, with only the points that a drawing needs. Made once a
//! result, on its thread.

use crate::forecast::constants::ZERO_C;
use crate::forecast::heat::{NodeAt, Place};
use crate::forecast::offgas::l_min_25c;
use crate::forecast::plan::PlanForecast;
use crate::forecast::stopped::clock_s;
use crate::forecast::whole::CaseForecast;

/// What the clock may differ from its samples: h.
const WITHIN_H: f64 = 0.005;
/// What a line may differ from its samples: K.
const WITHIN_K: f64 = 0.5;
/// The same of shares, 0 to 1.
const WITHIN_SHARE: f64 = 0.001;
/// The same of flows, as a share of the greatest.
const WITHIN_OF_FLOW: f64 = 0.003;

/// Times, h, and so many values at each; NaN where there is none.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Lines {
    /// Times, h.
    pub times_h: Vec<f64>,
    /// Each as long as the times.
    pub values: Vec<Vec<f64>>,
}

impl Lines {
    /// Samples without those that lie within so much of the line between their neighbours, for
    /// every line at once.
    fn thinned(times_h: &[f64], values: &[Vec<f64>], within: f64) -> Lines {
        let keep = kept(times_h, values, within);
        let pick = |all: &[f64]| keep.iter().filter_map(|i| all.get(*i).copied()).collect();
        Lines {
            times_h: pick(times_h),
            values: values.iter().map(|line| pick(line)).collect(),
        }
    }

    /// A line at a time, h, between its points; none outside and where it has none.
    pub fn at(&self, line: usize, time_h: f64) -> Option<f64> {
        let line = self.values.get(line)?;
        let after = self.times_h.partition_point(|t| *t < time_h);
        let before = after.saturating_sub(1);
        let (t0, t1) = (*self.times_h.get(before)?, *self.times_h.get(after)?);
        let (y0, y1) = (*line.get(before)?, *line.get(after)?);
        // On a point it is that point's, whatever lies before it.
        let y = if t1 > t0 && time_h < t1 {
            y0 + (y1 - y0) * ((time_h - t0) / (t1 - t0)).clamp(0.0, 1.0)
        } else {
            y1
        };
        y.is_finite().then_some(y)
    }

    /// Greatest value of all lines; 0 without any.
    pub fn most(&self) -> f64 {
        let all = self.values.iter().flatten().copied();
        all.filter(|v| v.is_finite()).fold(0.0, f64::max)
    }
}

/// Indices of the points that are needed: the first, the last, and every one where the next would
/// leave the cone in which a straight line stays within `within` of all samples passed.
fn kept(times: &[f64], values: &[Vec<f64>], within: f64) -> Vec<usize> {
    let Some(last) = times.len().checked_sub(1) else {
        return Vec::new();
    };
    let mut keep = vec![0];
    let open = || vec![(f64::NEG_INFINITY, f64::INFINITY); values.len()];
    let (mut from, mut cones) = (0, open());
    let mut i = 1;
    while i <= last {
        let dt = times[i] - times[from];
        let slopes = |line: &Vec<f64>, off: f64| (line[i] + off - line[from]) / dt;
        // A step, or the edge of a gap, is kept on both sides.
        let breaks = dt <= 0.0
            || values
                .iter()
                .any(|line| line[i].is_finite() != line[from].is_finite());
        let leaves = values.iter().zip(&cones).any(|(line, (low, high))| {
            let slope = slopes(line, 0.0);
            slope < *low || slope > *high
        });
        if (breaks || leaves) && i - 1 > from {
            from = i - 1;
            keep.push(from);
            cones = open();
            continue;
        }
        if breaks {
            from = i;
            keep.push(from);
            cones = open();
        } else {
            for (line, (low, high)) in values.iter().zip(&mut cones) {
                *low = low.max(slopes(line, -within));
                *high = high.min(slopes(line, within));
            }
        }
        i += 1;
    }
    if keep.last() != Some(&last) {
        keep.push(last);
    }
    keep
}

/// Coldest and hottest part of the load in one case.
pub type BandOfLoad = Lines;

/// A kind of part over time.
#[derive(Clone, Debug, PartialEq)]
pub struct KindLines {
    /// Name.
    pub name: String,
    /// Binder left, nominal, over what entered: best and worst place.
    pub left: Lines,
    /// Relative density, nominal: least and most dense place; no points without data.
    pub density: Lines,
    /// Least dense place of the cold case, where there is one.
    pub density_cold: Lines,
    /// Most dense place of the hot case, where there is one: its second line.
    pub density_hot: Lines,
}

/// All lines of a forecast.
#[derive(Clone, Debug, PartialEq)]
pub struct Curves {
    /// Coldest and hottest place of the parts, nominal, °C; of everything where there are no
    /// parts.
    pub nominal: BandOfLoad,
    /// The same in the cold case, where there is one.
    pub cold: Option<BandOfLoad>,
    /// The same in the hot case, where there is one.
    pub hot: Option<BandOfLoad>,
    /// Chamber and setpoint, nominal, °C.
    pub furnace: Lines,
    /// The program's clock, nominal, h: it stands still while the program waits. None after its end.
    pub clock: Lines,
    /// Off-gas and sweep, nominal, L/min at 25 °C and 1 atm.
    pub gas: Lines,
    /// By kind, without dummies and what holds neither binder nor density.
    pub kinds: Vec<KindLines>,
    /// End of the program with its waits, nominal, h.
    pub program_end_h: f64,
    /// When the chamber first reads the unload temperature, nominal, h.
    pub chamber_unload_h: Option<f64>,
    /// When the whole load has it, nominal, h.
    pub load_unload_h: Option<f64>,
    /// End of what is followed, h.
    pub end_h: f64,
}

impl Curves {
    /// The time of the run, h, at which the program's clock first has a time, h.
    pub fn run_h(&self, clock_h: f64) -> Option<f64> {
        let (times, clock) = (&self.clock.times_h, self.clock.values.first()?);
        let told = clock.iter().take_while(|c| c.is_finite()).count();
        let after = clock.get(..told)?.partition_point(|c| *c < clock_h);
        let (t1, c1) = (
            *times.get(after)?,
            *clock.get(after).filter(|_| after < told)?,
        );
        let Some(before) = after.checked_sub(1) else {
            return Some(t1);
        };
        let (t0, c0) = (*times.get(before)?, *clock.get(before)?);
        let share = if c1 > c0 {
            (clock_h - c0) / (c1 - c0)
        } else {
            1.0
        };
        Some(t0 + (t1 - t0) * share.clamp(0.0, 1.0))
    }

    /// Of a forecast.
    pub fn of(made: &PlanForecast) -> Curves {
        let forecast = &made.forecast;
        let nominal = &forecast.nominal;
        let run = &nominal.run;
        let hours = |s: f64| s / 3600.0;
        let times: Vec<f64> = run.times_s.iter().map(|s| hours(*s)).collect();
        let state = |i: usize| run.series(i).map(|(_, k)| k - ZERO_C).collect::<Vec<f64>>();
        let setpoint = (0..times.len()).map(|s| run.setpoint_k(s).map_or(f64::NAN, |k| k - ZERO_C));
        let furnace = [state(run.border.chamber), setpoint.collect()];
        let offgas = &nominal.matter.offgas;
        let mut gas: Vec<Vec<f64>> = vec![
            offgas
                .iter()
                .map(|p| match nominal.matter.burnout_known {
                    true => p.flow.l_min_25c(),
                    false => f64::NAN,
                })
                .collect(),
            offgas.iter().map(|p| l_min_25c(p.sweep_mol_s)).collect(),
        ];
        gas.iter_mut()
            .for_each(|line| line.resize(times.len(), f64::NAN));
        let most = gas.iter().flatten().copied().fold(0.0, f64::max);
        Curves {
            nominal: band(nominal),
            cold: forecast.cold.as_ref().map(band),
            hot: forecast.hot.as_ref().map(band),
            furnace: Lines::thinned(&times, &furnace, WITHIN_K),
            clock: clock(made, &times),
            gas: Lines::thinned(&times, &gas, WITHIN_OF_FLOW * most),
            kinds: kinds(made),
            program_end_h: hours(run.program_end_s),
            chamber_unload_h: run.chamber_unload_s.map(hours),
            load_unload_h: run.load_unload_s.map(hours),
            end_h: times.last().copied().unwrap_or(0.0),
        }
    }
}

/// The program's clock over the run.
fn clock(made: &PlanForecast, times_h: &[f64]) -> Lines {
    let program = &made.prepared.inputs.program;
    let run = &made.forecast.nominal.run;
    let read = |s: &f64| match *s <= run.program_end_s {
        true => clock_s(program, run, *s) / 3600.0,
        false => f64::NAN,
    };
    let clock: Vec<f64> = run.times_s.iter().map(read).collect();
    Lines::thinned(times_h, &[clock], WITHIN_H)
}

fn band(case: &CaseForecast) -> BandOfLoad {
    let run = &case.run;
    let part = |at: &NodeAt| at.place != Place::Setter;
    let both = |s: usize| {
        let extremes = run.extremes(s, part).or_else(|| run.extremes(s, |_| true));
        extremes.unwrap_or((f64::NAN, f64::NAN))
    };
    let samples: Vec<(f64, f64)> = (0..run.times_s.len()).map(both).collect();
    let times: Vec<f64> = run.times_s.iter().map(|s| s / 3600.0).collect();
    let lines = [
        samples.iter().map(|s| s.0 - ZERO_C).collect(),
        samples.iter().map(|s| s.1 - ZERO_C).collect(),
    ];
    Lines::thinned(&times, &lines, WITHIN_K)
}

fn kinds(made: &PlanForecast) -> Vec<KindLines> {
    let forecast = &made.forecast;
    let keys = made.prepared.keys.kinds.iter().enumerate();
    let lines = |case: Option<&CaseForecast>, of: &dyn Fn(&CaseForecast) -> Vec<(f64, f64)>| {
        let Some(case) = case else {
            return Lines::default();
        };
        let samples = of(case);
        if samples.len() != case.run.times_s.len() {
            return Lines::default();
        }
        // Nothing is drawn from where there is no prediction any more.
        let told = samples.iter().take_while(|s| !s.0.is_nan()).count();
        let times = case.run.times_s.iter().take(told);
        let times: Vec<f64> = times.map(|s| s / 3600.0).collect();
        let both = [
            samples.iter().take(told).map(|s| s.0).collect(),
            samples.iter().take(told).map(|s| s.1).collect(),
        ];
        Lines::thinned(&times, &both, WITHIN_SHARE)
    };
    let all = keys.map(|(kind, key)| {
        let left = |c: &CaseForecast| c.matter.kinds.get(kind).map(|k| k.left.clone());
        let density = |c: &CaseForecast| c.matter.kinds.get(kind).map(|k| k.density.clone());
        let density = |case| lines(case, &|c| density(c).unwrap_or_default());
        KindLines {
            name: key.name.clone(),
            left: lines(Some(&forecast.nominal), &|c| left(c).unwrap_or_default()),
            density: density(Some(&forecast.nominal)),
            density_cold: density(forecast.cold.as_ref()),
            density_hot: density(forecast.hot.as_ref()),
        }
    });
    let all = all.filter(|kind| kind.left.most() > 0.0 || !kind.density.times_h.is_empty());
    all.collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thinned_lines_stay_within_what_was_asked() {
        let times: Vec<f64> = (0..1000).map(|i| f64::from(i) * 0.01).collect();
        let wave: Vec<f64> = times.iter().map(|t| 100.0 * libm::sin(*t)).collect();
        let step: Vec<f64> = times
            .iter()
            .map(|t| if *t < 3.0 { 0.0 } else { 50.0 })
            .collect();
        let lines = Lines::thinned(&times, &[wave.clone(), step.clone()], 0.5);
        assert!(lines.times_h.len() < 120, "{}", lines.times_h.len());
        for (i, t) in times.iter().enumerate() {
            for (line, samples) in [&wave, &step].into_iter().enumerate() {
                let off = (lines.at(line, *t).unwrap() - samples[i]).abs();
                assert!(off <= 1.01, "{off} at {t}");
            }
        }
    }

    #[test]
    fn gaps_stay_gaps() {
        let times = [0.0, 1.0, 2.0, 3.0, 4.0];
        let line = vec![0.0, 1.0, f64::NAN, f64::NAN, 4.0];
        let lines = Lines::thinned(&times, &[line], 0.1);
        assert_eq!(lines.at(0, 1.0), Some(1.0));
        assert_eq!(lines.at(0, 2.5), None);
        assert_eq!(lines.at(0, 4.0), Some(4.0));
        assert_eq!(lines.at(0, 5.0), None);
        assert_eq!(Lines::thinned(&[], &[Vec::new()], 0.1).times_h.len(), 0);
    }
}
