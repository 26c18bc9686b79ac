//! Furnace figures from logs, by least squares, with the residual shown: an empty run gives losses
//! and heat capacity, a loaded run the emissivity of the setters (and what else is freed).

use super::calibrate::UNDETERMINED;
use super::curve::Curve;
use super::even::UNLIMITED_W;
use super::heat::radiosity::solve;
use super::inputs::{Case, FurnaceHeat, Gas, LoadHeat, Program, Settings};
use super::run::{Job, Run, RunFault, run};

/// Result of a fit.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// Parameters before.
    pub from: Vec<f64>,
    /// Parameters after.
    pub to: Vec<f64>,
    /// Standard error of each, from the residual; none where it cannot be told.
    pub error: Vec<Option<f64>>,
    /// Whether the data determine it; where they do not it is as before.
    pub determined: Vec<bool>,
    /// Root mean square of the residual before.
    pub residual_from: f64,
    /// And after.
    pub residual: f64,
    /// Evaluations.
    pub evaluations: usize,
}

/// Levenberg and Marquardt's method on ln of positive parameters. `residuals` gives none where a
/// parameter set cannot be computed.
pub fn least_squares(
    from: &[f64],
    mut residuals: impl FnMut(&[f64]) -> Option<Vec<f64>>,
) -> Option<Fit> {
    let n = from.len();
    let mut x: Vec<f64> = from.iter().map(|p| libm::log(p.max(1e-12))).collect();
    let back = |x: &[f64]| x.iter().map(|v| libm::exp(*v)).collect::<Vec<f64>>();
    let rms = |r: &[f64]| libm::sqrt(r.iter().map(|v| v * v).sum::<f64>() / r.len().max(1) as f64);
    let mut evaluations = 1;
    let mut r = residuals(&back(&x))?;
    let residual_from = rms(&r);
    let mut damping = 1e-3;
    let mut normal = vec![0.0; n * n];
    let mut columns: Vec<Vec<f64>> = Vec::new();
    // With nothing free there is nothing to look for.
    for _ in 0..if n == 0 { 0 } else { 30 } {
        columns.clear();
        for j in 0..n {
            let mut moved = x.clone();
            let step = 1e-3;
            moved[j] += step;
            evaluations += 1;
            let other = residuals(&back(&moved))?;
            columns.push(
                other
                    .iter()
                    .zip(&r)
                    .map(|(a, b)| (a - b) / step)
                    .collect::<Vec<f64>>(),
            );
        }
        let mut gradient = vec![0.0; n];
        for i in 0..n {
            for j in 0..n {
                normal[i * n + j] = columns[i].iter().zip(&columns[j]).map(|(a, b)| a * b).sum();
            }
            gradient[i] = columns[i].iter().zip(&r).map(|(a, b)| a * b).sum();
        }
        let mut better = false;
        for _ in 0..8 {
            let mut m = normal.clone();
            for i in 0..n {
                m[i * n + i] += damping * (normal[i * n + i] + 1e-12);
            }
            let mut step: Vec<f64> = gradient.iter().map(|g| -g).collect();
            solve(&mut m, &mut step, n, 1)?;
            // A factor of two at most in one step.
            let trial: Vec<f64> = x
                .iter()
                .zip(&step)
                .map(|(a, d)| a + d.clamp(-0.7, 0.7))
                .collect();
            evaluations += 1;
            if let Some(next) = residuals(&back(&trial))
                && rms(&next) < rms(&r)
            {
                let gain = rms(&r) - rms(&next);
                x = trial;
                r = next;
                damping = (damping * 0.3).max(1e-9);
                better = gain > 1e-7 * residual_from;
                break;
            }
            damping *= 5.0;
        }
        if !better {
            break;
        }
    }
    let to = back(&x);
    let free = r.len().saturating_sub(n);
    let variance = r.iter().map(|v| v * v).sum::<f64>() / free.max(1) as f64;
    let error = if free > 0 {
        standard_errors(&columns, variance.max(LOG_ERROR * LOG_ERROR))
    } else {
        vec![None; n]
    };
    Some(Fit {
        from: from.to_vec(),
        determined: vec![true; n],
        // Of ln p, which is a share of p.
        error: error
            .into_iter()
            .zip(&to)
            .map(|(e, to)| e.map(|e| e * to))
            .collect(),
        to,
        residual_from,
        residual: rms(&r),
        evaluations,
    })
}

/// What a log tells at best: per cent of the highest power, or K (assumed).
const LOG_ERROR: f64 = 0.5;
/// Beyond this, figures are told only together: the square of their errors over what it would be
/// if the others were known (assumed: four figures are left of twelve).
const TOGETHER: f64 = 1e8;

/// Standard errors of figures by the slopes of what was measured with each (columns) and the
/// variance of a measurement: the diagonal of (JᵀJ)⁻¹ times that. None where nothing tells a figure,
/// or only together with others.
pub fn standard_errors(columns: &[Vec<f64>], variance: f64) -> Vec<Option<f64>> {
    let n = columns.len();
    let product = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
    let length: Vec<f64> = columns.iter().map(|c| libm::sqrt(product(c, c))).collect();
    if length.iter().any(|l| !(l.is_finite() && *l > 1e-12)) {
        let told = |l: &f64| l.is_finite() && *l > 1e-12;
        let left: Vec<Vec<f64>> = columns
            .iter()
            .zip(&length)
            .filter(|(_, l)| told(l))
            .map(|(c, _)| c.clone())
            .collect();
        let mut errors = standard_errors(&left, variance).into_iter();
        let each = length.iter();
        return each
            .map(|l| told(l).then(|| errors.next().flatten()).flatten())
            .collect();
    }
    // Each column of length one: what is left is how much they resemble each other.
    let mut m = vec![0.0; n * n];
    let mut inverse = vec![0.0; n * n];
    for i in 0..n {
        for j in 0..n {
            m[i * n + j] = product(&columns[i], &columns[j]) / (length[i] * length[j]);
        }
        inverse[i * n + i] = 1.0;
    }
    let known = solve(&mut m, &mut inverse, n, n).is_some();
    let error = |i: usize| {
        let v = inverse[i * n + i];
        let sound = known && v.is_finite() && v > 0.0 && v < TOGETHER;
        sound.then(|| libm::sqrt(v * variance) / length[i])
    };
    (0..n).map(error).collect()
}

/// Mean of the electric power over a time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeanPower {
    /// From, s.
    pub from_s: f64,
    /// To, s: when it is logged.
    pub to_s: f64,
    /// W.
    pub w: f64,
}

impl MeanPower {
    /// Rows of a log, (s, W), each of which tells the mean since the row before; the first has none.
    pub fn since_rows(rows: &[(f64, f64)]) -> Vec<MeanPower> {
        let each = rows.windows(2).map(|r| MeanPower {
            from_s: r[0].0,
            to_s: r[1].0,
            w: r[1].1,
        });
        each.filter(|p| p.to_s > p.from_s).collect()
    }
}

/// A log of a run: times s, chamber K, and what else was measured.
#[derive(Clone, Debug, PartialEq)]
pub struct Log {
    /// Control thermocouple, (s, K), rising in time.
    pub chamber: Vec<(f64, f64)>,
    /// Electric power; empty where it was not logged.
    pub power: Vec<MeanPower>,
    /// Load thermocouples in the order of the load's, (s, K).
    pub sensors: Vec<Vec<(f64, f64)>>,
}

/// What is fitted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Free {
    /// Linear loss, W/K.
    Loss,
    /// Radiative loss, m².
    LossArea,
    /// Heat capacity of the chamber, J/K.
    Heat,
    /// Emissivity of the setters.
    SetterEmissivity,
}

/// Fits figures to a log, of which `program` takes the chamber along: power where it was logged, load
/// thermocouples where they were. A figure
/// that the log does not determine (its standard error is more than [`UNDETERMINED`] of it, or there
/// are no more measurements than figures) stays as it was, and the others are fitted with that.
///
/// # Errors
/// See [`RunFault`]; `NothingToHeat` also where the log has nothing to compare with.
pub fn fit(
    load: &LoadHeat,
    furnace: &FurnaceHeat,
    gases: &[Gas],
    log: &Log,
    program: &Program,
    free: &[Free],
    settings: Settings,
) -> Result<Fit, RunFault> {
    let with = |p: &[f64]| {
        let (mut load, mut furnace) = (load.clone(), furnace.clone());
        // The chamber is where the log has it, whatever that takes.
        furnace.power_w = Curve::constant(UNLIMITED_W);
        for (what, &v) in free.iter().zip(p) {
            match what {
                Free::Loss => furnace.loss_w_k = v,
                Free::LossArea => furnace.loss_m2 = v,
                Free::Heat => furnace.heat_j_k = v,
                Free::SetterEmissivity => load
                    .setters
                    .iter_mut()
                    .for_each(|s| s.emissivity = v.min(0.98)),
            }
        }
        (load, furnace)
    };
    let from: Vec<f64> = free
        .iter()
        .map(|f| match f {
            Free::Loss => furnace.loss_w_k,
            Free::LossArea => furnace.loss_m2,
            Free::Heat => furnace.heat_j_k,
            Free::SetterEmissivity => load.setters.first().map_or(0.45, |s| s.emissivity),
        })
        .collect();
    let mut fault = None;
    let mut held: Vec<(usize, Option<f64>)> = Vec::new();
    let whole = |p: &[f64], held: &[(usize, Option<f64>)]| {
        let mut moved = p.iter();
        let each = from.iter().enumerate().map(|(i, was)| {
            let is_held = held.iter().any(|h| h.0 == i);
            let moved = if is_held { None } else { moved.next() };
            moved.copied().unwrap_or(*was)
        });
        each.collect::<Vec<f64>>()
    };
    let mut residuals = |p: &[f64], held: &[(usize, Option<f64>)]| -> Option<Vec<f64>> {
        let (load, furnace) = with(&whole(p, held));
        let job = Job {
            load: &load,
            furnace: &furnace,
            gases,
            program,
            case: &Case::nominal(),
            settings,
            start: None,
            prolong: false,
            cancelled: &|| false,
        };
        match run(&job) {
            Ok(r) => Some(compare(&r, log)),
            Err(e) => {
                fault = Some(e);
                None
            }
        }
    };
    let found = loop {
        let active: Vec<usize> = (0..from.len())
            .filter(|i| held.iter().all(|h| h.0 != *i))
            .collect();
        let start: Vec<f64> = active.iter().map(|i| from[*i]).collect();
        let Some(found) = least_squares(&start, |p| residuals(p, &held)) else {
            break None;
        };
        // How far each is from being told, as a share of it; the farthest is held.
        let off = found.error.iter().zip(&found.to);
        let off = off.map(|(e, to)| e.map_or(f64::INFINITY, |e| e / to.abs()));
        let worst = off
            .enumerate()
            .reduce(|a, b| if b.1 >= a.1 { b } else { a })
            .filter(|(_, off)| *off > UNDETERMINED);
        match worst.and_then(|(at, _)| Some((at, *active.get(at)?))) {
            Some((at, i)) => held.push((i, found.error.get(at).copied().flatten())),
            None => break Some((active, found)),
        }
    };
    let Some((active, found)) = found.filter(|(_, f)| f.residual.is_finite()) else {
        return Err(fault.unwrap_or(RunFault::NothingToHeat));
    };
    let error_of = |i: usize| {
        let of_held = held.iter().find(|h| h.0 == i).map(|h| h.1);
        let at = active.iter().position(|a| *a == i);
        of_held.or_else(|| at.and_then(|at| found.error.get(at).copied()))
    };
    Ok(Fit {
        to: whole(&found.to, &held),
        error: (0..from.len()).map(|i| error_of(i).flatten()).collect(),
        determined: (0..from.len()).map(|i| active.contains(&i)).collect(),
        from,
        residual_from: found.residual_from,
        residual: found.residual,
        evaluations: found.evaluations,
    })
}

/// Differences, power in per cent of the log's largest, temperatures in K.
fn compare(r: &Run, log: &Log) -> Vec<f64> {
    let first = log.chamber.first().map_or(0.0, |p| p.0);
    let most = log.power.iter().map(|p| p.w.abs()).fold(1.0, f64::max);
    let power = log.power.iter();
    let mut out: Vec<f64> = power
        .map(|p| (r.mean_power(p.from_s - first, p.to_s - first) - p.w) / most * 100.0)
        .collect();
    for (i, s) in log.sensors.iter().enumerate() {
        let state = r.border.sensors + i;
        if state < r.border.end {
            out.extend(s.iter().map(|&(t, k)| r.at(state, t - first) - k));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::forecast::demo::*;
    use crate::forecast::even::lines;
    use crate::forecast::follow_log::following;
    use crate::forecast::inputs::LoadSensor;

    #[test]
    fn what_is_told_only_together_has_no_error_of_its_own() {
        let x: Vec<f64> = (0..10).map(f64::from).collect();
        let twice: Vec<f64> = x.iter().map(|x| 2.0 * x).collect();
        assert_eq!(standard_errors(&[x.clone(), twice], 1.0), [None, None]);
        assert_eq!(standard_errors(&[vec![0.0; 10]], 1.0), [None]);
        let one = standard_errors(&[vec![1.0; 4]], 1.0);
        assert!((one[0].unwrap() - 0.5).abs() < 1e-12);
    }

    #[test]
    fn a_straight_line_is_found() {
        let data: Vec<(f64, f64)> = (0..20).map(|i| (i as f64, 3.0 + 0.5 * i as f64)).collect();
        let f = least_squares(&[1.0, 1.0], |p| {
            Some(data.iter().map(|(x, y)| p[0] + p[1] * x - y).collect())
        })
        .unwrap();
        assert!(
            (f.to[0] - 3.0).abs() < 1e-4 && (f.to[1] - 0.5).abs() < 1e-5,
            "{f:?}"
        );
        assert!(f.residual < 1e-4);
    }

    #[test]
    fn figures_come_back_from_logs_made_with_others() {
        let mut load = reference_load();
        load.stacks[0].levels.truncate(3);
        load.sensors.push(LoadSensor {
            stack: 0,
            level: 1,
            place: 0.0,
            heat_j_m2k: 3000.0,
        });
        let furnace = reference_furnace();
        let gases = gases();
        let mut program = reference_program(argon_sweep());
        program.segments.truncate(3);
        let settings = Settings {
            zones: 2,
            start_k: 298.15,
            ..Settings::default()
        };
        let job = Job {
            load: &load,
            furnace: &furnace,
            gases: &gases,
            program: &program,
            case: &Case::nominal(),
            settings,
            start: None,
            prolong: false,
            cancelled: &|| false,
        };
        let r = run(&job).unwrap();
        let minutes: Vec<f64> = (0..=(r.program_end_s / 600.0) as usize)
            .map(|m| m as f64 * 600.0)
            .collect();
        let mean = |from_s: f64, to_s: f64| MeanPower {
            from_s,
            to_s,
            w: r.mean_power(from_s, to_s),
        };
        let log = Log {
            chamber: (0..=(r.program_end_s / 60.0) as usize)
                .map(|m| (m as f64 * 60.0, r.at(r.border.chamber, m as f64 * 60.0)))
                .collect(),
            // Away from the corners of the program, where a log's power jumps.
            power: minutes
                .iter()
                .filter(|t| **t > 0.0 && r.ends.iter().all(|e| (e.time_s - **t).abs() > 400.0))
                .map(|&t| mean(t - 60.0, t))
                .collect(),
            sensors: vec![
                minutes
                    .iter()
                    .map(|&t| (t, r.at(r.border.sensors, t)))
                    .collect(),
            ],
        };
        let like = program.segments[0];
        let logged = following(&lines(&log.chamber), |_, _| Some(like)).unwrap();
        let mut wrong = furnace.clone();
        wrong.loss_w_k = 3.5;
        wrong.heat_j_k = 6000.0;
        let mut dark = load.clone();
        dark.setters[0].emissivity = 0.6;
        let f = fit(
            &dark,
            &wrong,
            &gases,
            &log,
            &logged,
            &[Free::Loss, Free::Heat, Free::SetterEmissivity],
            settings,
        )
        .unwrap();
        assert!((f.to[0] / 2.0 - 1.0).abs() < 0.05, "{f:?}");
        assert!((f.to[1] / 8000.0 - 1.0).abs() < 0.05, "{f:?}");
        assert!((f.to[2] / 0.45 - 1.0).abs() < 0.03, "{f:?}");
        assert!(f.residual < 0.2 * f.residual_from, "{f:?}");
        assert!(f.determined.iter().all(|d| *d), "{f:?}");
        // Two readings of a hold tell a loss, but not what the chamber holds of heat.
        let hold = r
            .ends
            .iter()
            .find(|e| e.phase == crate::forecast::clock::Phase::Hold);
        let end_s = hold.unwrap().time_s;
        let thin = Log {
            power: [1800.0, 900.0]
                .map(|s| mean(end_s - s - 60.0, end_s - s))
                .into(),
            sensors: Vec::new(),
            ..log.clone()
        };
        let free = [Free::Loss, Free::LossArea, Free::Heat];
        let f = fit(&load, &wrong, &gases, &thin, &logged, &free, settings).unwrap();
        assert!(!f.determined[2] && f.to[2] == wrong.heat_j_k, "{f:?}");
        assert!(f.determined.iter().filter(|d| **d).count() <= 1, "{f:?}");
    }

    /// However far apart the rows are, each of which tells the mean since the one before.
    #[test]
    fn heat_and_losses_come_back_from_rows_of_any_length() {
        use crate::forecast::even::fine_lines;
        use crate::forecast::plan::{empty_load, vacuum_hold};
        let load = empty_load();
        let furnace = reference_furnace();
        let mut program = reference_program(vacuum_hold().atmosphere);
        program.cool_max_s = 0.0;
        let settings = Settings {
            start_k: 298.15,
            ..Settings::default()
        };
        let run = run(&Job {
            load: &load,
            furnace: &furnace,
            gases: &[],
            program: &program,
            case: &Case::nominal(),
            settings,
            start: None,
            prolong: false,
            cancelled: &|| false,
        });
        let r = run.unwrap();
        let free = [Free::Loss, Free::LossArea, Free::Heat];
        let mut wrong = furnace.clone();
        wrong.loss_w_k *= 1.5;
        wrong.loss_m2 *= 0.7;
        wrong.heat_j_k *= 0.6;
        for minutes in [1.0, 5.0, 10.0, 15.0] {
            let rows = (r.program_end_s / (60.0 * minutes)) as usize;
            let times: Vec<f64> = (0..=rows).map(|n| 60.0 * minutes * n as f64).collect();
            let power: Vec<(f64, f64)> = times
                .iter()
                .map(|&t| (t, r.mean_power(t - 60.0 * minutes, t)))
                .collect();
            let log = Log {
                chamber: times
                    .iter()
                    .map(|&t| (t, r.at(r.border.chamber, t)))
                    .collect(),
                power: MeanPower::since_rows(&power),
                sensors: Vec::new(),
            };
            let logged = following(&fine_lines(&log.chamber), |_, _| Some(vacuum_hold())).unwrap();
            let f = fit(&load, &wrong, &[], &log, &logged, &free, settings).unwrap();
            let truth = [furnace.loss_w_k, furnace.loss_m2, furnace.heat_j_k];
            for (to, truth) in f.to.iter().zip(truth) {
                assert!((to / truth - 1.0).abs() < 0.02, "{minutes}: {f:?}");
            }
        }
    }
}
