//! Logs that scatter: how much they do, means over a time, and where the furnace held.

use super::fit::MeanPower;
use super::stopped::simplify;

/// Noise beyond which means are taken, K (assumed).
const SCATTERS_K: f64 = 0.25;
/// Of how long, s (assumed).
pub const MEAN_S: f64 = 300.0;
/// Power of a furnace that follows a log whatever that takes, W: more than any has (assumed).
pub const UNLIMITED_W: f64 = 1e9;
/// Least distance in which a log is followed, K (assumed), and what it is at least in terms of its
/// noise: four times that is passed by chance by one row of sixteen thousand.
const WITHIN_K: f64 = 1.0;
const WITHIN_NOISE: f64 = 4.0;
/// The same where few lines are enough, K, and how many are (assumed).
const FINE_K: f64 = 0.1;
const FINE_LINES: usize = 60;
/// What is a hold: rate, K/s, for how long, s, and how far apart two are, K (assumed).
const HOLD_K_S: f64 = 0.3 / 60.0;
const HOLD_S: f64 = 1200.0;
const HOLDS_APART_K: f64 = 50.0;

/// Standard deviation of a row of a log, (s, K), from how far each is off the line between its
/// neighbours: the median, so that corners do not count.
pub fn noise(log: &[(f64, f64)]) -> f64 {
    let off = log.windows(3).filter_map(|w| {
        let [(t0, y0), (t, y), (t1, y1)] = *w else {
            return None;
        };
        let share = (t - t0) / (t1 - t0);
        let line = y0 + (y1 - y0) * share;
        let scale = 1.0 + share * share + (1.0 - share) * (1.0 - share);
        Some((y - line).abs() / libm::sqrt(scale))
    });
    let mut off: Vec<f64> = off.collect();
    off.sort_by(f64::total_cmp);
    // Half of a normal distribution lies within 0.6745 of its deviation.
    off.get(off.len() / 2).map_or(0.0, |m| m / 0.6745)
}

/// Whether means are to be taken of a log of the chamber, (s, K).
pub fn scatters(log: &[(f64, f64)]) -> bool {
    let (Some(first), Some(last)) = (log.first(), log.last()) else {
        return false;
    };
    let every = (last.0 - first.0) / (log.len() - 1).max(1) as f64;
    // A mean is of two rows at least.
    every < 0.5 * MEAN_S && noise(log) > SCATTERS_K
}

/// Means over [`MEAN_S`], counted from a time, s.
pub fn means(log: &[(f64, f64)], from_s: f64) -> Vec<(f64, f64)> {
    let slot = |t: f64| libm::floor((t - from_s) / MEAN_S);
    let blocks = log.chunk_by(|a, b| slot(a.0) == slot(b.0));
    let mean = |block: &[(f64, f64)]| {
        let n = block.len() as f64;
        let sum = block.iter().fold((0.0, 0.0), |s, p| (s.0 + p.0, s.1 + p.1));
        (sum.0 / n, sum.1 / n)
    };
    blocks.map(mean).collect()
}

/// The same of powers, each a mean over its own time.
pub fn mean_powers(all: &[MeanPower], from_s: f64) -> Vec<MeanPower> {
    let slot = |p: &MeanPower| libm::ceil((p.to_s - from_s) / MEAN_S);
    let blocks = all.chunk_by(|a, b| slot(a) == slot(b));
    let mean = |block: &[MeanPower]| {
        let lasts = |p: &MeanPower| p.to_s - p.from_s;
        let whole_s: f64 = block.iter().map(lasts).sum();
        let sum: f64 = block.iter().map(|p| p.w * lasts(p)).sum();
        Some(MeanPower {
            from_s: block.first()?.from_s,
            to_s: block.last()?.to_s,
            w: sum / whole_s,
        })
    };
    blocks.filter_map(mean).collect()
}

/// A log of the chamber in straight lines, as closely as its noise allows.
pub fn lines(log: &[(f64, f64)]) -> Vec<(f64, f64)> {
    simplify(log, WITHIN_K.max(WITHIN_NOISE * noise(log)))
}

/// The same as finely as few lines and its noise allow: what a chamber of much heat takes up shows in a
/// fraction of a kelvin.
pub fn fine_lines(log: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let noise_k = WITHIN_NOISE * noise(log);
    let mut within_k = FINE_K.max(noise_k);
    while within_k < WITHIN_K {
        let fine = simplify(log, within_k);
        if fine.len() <= FINE_LINES {
            return fine;
        }
        within_k *= 1.5;
    }
    lines(log)
}

/// Temperatures at which a log of the chamber holds, K, each once.
pub fn holds(log: &[(f64, f64)]) -> Vec<f64> {
    let mut out: Vec<f64> = Vec::new();
    // How long it has been flat, s.
    let mut flat_s = 0.0;
    for w in lines(log).windows(2) {
        let [(t0, y0), (t1, y1)] = *w else { continue };
        let is_flat = (y1 - y0).abs() <= HOLD_K_S * (t1 - t0);
        flat_s = if is_flat { flat_s + t1 - t0 } else { 0.0 };
        let known = out.iter().any(|k| (k - y1).abs() < HOLDS_APART_K);
        if flat_s >= HOLD_S && !known {
            out.push(y1);
        }
    }
    out
}

/// When a run was last at its top, s: what follows is cooling.
pub fn last_at_top_s(log: &[(f64, f64)]) -> Option<f64> {
    let most = log.iter().map(|p| p.1).fold(f64::NEG_INFINITY, f64::max);
    let near = |p: &&(f64, f64)| p.1 > most - AT_TOP_K;
    log.iter().rev().find(near).map(|p| p.0)
}

/// So near to its highest a run is at its top, K (assumed).
const AT_TOP_K: f64 = 10.0;

#[cfg(test)]
mod tests {
    use super::*;

    /// A ramp of 5 K/min to 600 K over the start, a hold of an hour, a row a minute that scatters up
    /// and down in turn.
    fn log(scatter: f64) -> Vec<(f64, f64)> {
        let row = |m: i32| {
            let up = [1.0, -1.0, -1.0, 1.0, -1.0, 1.0, 1.0][m as usize % 7];
            (
                60.0 * f64::from(m),
                300.0 + (5.0 * f64::from(m)).min(600.0) + up * scatter,
            )
        };
        (0..=180).map(row).collect()
    }

    #[test]
    fn a_log_that_scatters_is_evened() {
        assert!(!scatters(&log(0.0)) && scatters(&log(1.0)));
        assert!(lines(&log(0.0)).len() == 3);
        let even = means(&log(1.0), 0.0);
        assert_eq!(even.len(), 37);
        assert!((even[2].0 - 720.0).abs() < 1e-9 && (even[2].1 - 360.0).abs() < 1.0);
        assert!(lines(&even).len() < 8, "{:?}", lines(&even));
        let holds = holds(&even);
        assert!(
            holds.len() == 1 && (holds[0] - 900.0).abs() < 2.0,
            "{holds:?}"
        );
        assert_eq!(last_at_top_s(&log(0.0)), Some(10800.0));
        assert_eq!((noise(&[]), last_at_top_s(&[])), (0.0, None));
    }

    #[test]
    fn a_ramp_has_no_hold() {
        let ramp = &log(0.0)[..100];
        assert!(holds(ramp).is_empty() && holds(&[]).is_empty());
        assert!(!scatters(&[(0.0, 300.0)]));
    }
}
