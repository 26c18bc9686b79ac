//! Whether a log can be what it says it is: temperatures that a chamber has, times that a furnace
//! takes, power that its record allows.

use super::clock::ramp;
use super::constants::ZERO_C;
use super::follow_log::NEAR_K;
use super::inputs::Program;
use super::stopped::simplify;

/// What a log is held against.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    /// Highest temperature of the furnace, K.
    pub max_k: f64,
    /// Its fastest ramp, K/s.
    pub ramp_k_s: f64,
    /// What the run begins at, K; none where it may begin anywhere.
    pub start_k: Option<f64>,
}

/// Coldest that a chamber is, K (assumed: −20 °C).
const COLDEST_K: f64 = ZERO_C - 20.0;
/// How far a thermocouple may read above the furnace's highest, K (assumed).
const OVER_K: f64 = 50.0;
/// So many times the record's fastest ramp is no ramp of that furnace (assumed).
const TOO_FAST: f64 = 3.0;
/// And moves by so much, K (assumed): less may be noise.
const MOVES_K: f64 = 20.0;
/// Rows farther apart leave out what happened, s (assumed).
const GAP_S: f64 = 15.0 * 60.0;
/// Beyond this the straight line between two rows is no history, s (assumed),
const WIDE_GAP_S: f64 = 3600.0;
/// where the chamber moved by more than this, K (assumed).
const GAP_MOVES_K: f64 = 50.0;
/// Warmer than this over its start a run did not begin there, K (assumed).
const BEGINS_K: f64 = 75.0;
/// So far off the program a log is told, K (assumed).
const OFF_K: f64 = 50.0;
/// A log is in °F where it is closer to its program so by this factor and as near as this, K, and does
/// not begin colder than a hall in winter (assumed).
const CLOSER: f64 = 3.0;
const CLOSE_K: f64 = 15.0;
const HALL_K: f64 = ZERO_C + 5.0;

/// Why a log cannot be used; rows are counted from 0.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fault {
    /// Colder than a furnace gets: row.
    Cold(usize),
    /// Hotter than the furnace gets: row.
    Hot(usize),
    /// From one row to another faster than the furnace heats.
    Fast(usize, usize),
    /// One row that reads wrong: without it none is too fast.
    Spike(usize),
    /// From one row to the next nobody knows what happened.
    Gap(usize),
    /// The first row is hot: the run began before it.
    BeginsHot,
}

/// The first thing for which a log, (s, K), cannot be used.
pub fn fault(log: &[(f64, f64)], bounds: &Bounds) -> Option<Fault> {
    let row = |bad: &dyn Fn(f64) -> bool| log.iter().position(|(_, k)| bad(*k));
    if let Some(row) = row(&|k| k < COLDEST_K) {
        return Some(Fault::Cold(row));
    }
    if let Some(row) = row(&|k| k > bounds.max_k + OVER_K) {
        return Some(Fault::Hot(row));
    }
    if let Some((from, to)) = too_fast(log, bounds) {
        let without = |row: usize| {
            let mut rest = log.to_vec();
            rest.remove(row);
            too_fast(&rest, bounds).is_none()
        };
        // A single step is not a row that reads wrong: that goes there and back.
        let mut either = [to, from].into_iter();
        let alone = either.find(|&row| goes_and_comes(log, row) && without(row));
        return Some(alone.map_or(Fault::Fast(from, to), Fault::Spike));
    }
    let gap = log
        .windows(2)
        .position(|w| w[1].0 - w[0].0 > WIDE_GAP_S && (w[1].1 - w[0].1).abs() > GAP_MOVES_K);
    if let Some(row) = gap {
        return Some(Fault::Gap(row));
    }
    let (first, start_k) = (log.first()?, bounds.start_k?);
    (first.1 > start_k + BEGINS_K).then_some(Fault::BeginsHot)
}

/// Whether a row is far from both its neighbours, to one side.
fn goes_and_comes(log: &[(f64, f64)], row: usize) -> bool {
    let around = row
        .checked_sub(1)
        .and_then(|before| log.get(before..=row + 1));
    let Some([a, k, b]) = around else {
        return false;
    };
    let (from, to) = (k.1 - a.1, k.1 - b.1);
    from * to > 0.0 && from.abs().min(to.abs()) > MOVES_K
}

/// Rows between which it rises faster than the furnace heats.
fn too_fast(log: &[(f64, f64)], bounds: &Bounds) -> Option<(usize, usize)> {
    let index = |t: f64| log.partition_point(|p| p.0 < t);
    // Corners well below what counts as a move (assumed: a quarter).
    let corners = simplify(log, 0.25 * MOVES_K);
    let fast = corners.windows(2).find(|w| {
        let (rise, time) = (w[1].1 - w[0].1, w[1].0 - w[0].0);
        rise > MOVES_K && rise > TOO_FAST * bounds.ramp_k_s * time
    });
    fast.map(|w| (index(w[0].0), index(w[1].0)))
}

/// The row, from 0, that is followed by the widest gap, where one is worth a word.
pub fn widest_gap(log: &[(f64, f64)]) -> Option<usize> {
    let gaps = log.windows(2).map(|w| w[1].0 - w[0].0).enumerate();
    let widest = gaps.max_by(|a, b| a.1.total_cmp(&b.1))?;
    (widest.1 > GAP_S).then_some(widest.0)
}

/// A log beside the program as forecast.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Beside {
    /// Row, from 0, that is farthest off.
    pub row: usize,
    /// How far it is above the program there, K; negative = below.
    pub off_k: f64,
    /// The program's chamber there, K.
    pub planned_k: f64,
    /// Its segment there.
    pub segment: usize,
    /// Whether the log follows the program far better where its figures are taken for °F.
    pub fahrenheit: bool,
    /// What that row is where its figure is taken for °F, K: where the log begins as a furnace does
    /// then, and the row is nearer to the program.
    pub as_fahrenheit_k: Option<f64>,
}

/// Holds a log against what the program would have in the chamber, (K, segment) for each of its
/// rows; none where it is nowhere far off, or there is nothing to compare.
pub fn beside(log: &[(f64, f64)], planned: &[(f64, usize)]) -> Option<Beside> {
    let both = || log.iter().zip(planned).map(|(l, p)| (l.1, p.0));
    let n = both().count();
    let mean = |of: fn(f64) -> f64| both().map(|(k, p)| (of(k) - p).abs()).sum::<f64>() / n as f64;
    let (as_is, as_f) = (mean(|k| k), mean(from_fahrenheit));
    let begins_k = from_fahrenheit(log.first()?.1);
    let off = both().enumerate().map(|(row, (k, p))| (row, k - p));
    let (row, off_k) = off.max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()))?;
    let (planned_k, segment) = *planned.get(row)?;
    let as_f_k = from_fahrenheit(log.get(row)?.1);
    // Another unit is named where it explains at least half of it (assumed).
    let nearer = begins_k > HALL_K && 2.0 * (as_f_k - planned_k).abs() < off_k.abs();
    (off_k.abs() > OFF_K).then_some(Beside {
        as_fahrenheit_k: nearer.then_some(as_f_k),
        row,
        off_k,
        planned_k,
        segment,
        fahrenheit: begins_k > HALL_K && as_f < CLOSE_K && CLOSER * as_f < as_is,
    })
}

/// A log that is not as planned: where its program stood rests on the minute or on the chamber, and those
/// do not agree.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Apart {
    /// Row, from 0, that is farthest off.
    pub row: usize,
    /// How far it is above the program there, K; negative = below.
    pub off_k: f64,
    /// The longest that a ramp of the program takes for what a row in its segment is off, s.
    pub ramp_s: f64,
}

/// Holds a log against what the program would have in the chamber, (K, segment) for each of its rows;
/// none where it is nowhere off by what counts as there.
pub fn apart(log: &[(f64, f64)], planned: &[(f64, usize)], program: &Program) -> Option<Apart> {
    let off = log.iter().zip(planned).map(|(l, p)| (l.1 - p.0, p.1));
    let off = off.enumerate().filter(|(_, (k, _))| k.abs() > NEAR_K);
    let takes_s = |k: f64, segment: usize| {
        let now = program.segments.get(segment)?;
        let (_, rate) = ramp(now, program.from_k(segment))?;
        (rate != 0.0).then(|| (k / rate).abs())
    };
    off.fold(None, |most: Option<Apart>, (row, (off_k, segment))| {
        let ramp_s = takes_s(off_k, segment).unwrap_or(0.0);
        let one = Apart { row, off_k, ramp_s };
        let most = most.unwrap_or(one);
        let farthest = if off_k.abs() > most.off_k.abs() {
            one
        } else {
            most
        };
        Some(Apart {
            ramp_s: ramp_s.max(most.ramp_s),
            ..farthest
        })
    })
}

/// The row, from 0, after which a log falls away from its program and never comes back, though the
/// program does not fall: as of a furnace that is off from there.
pub fn falls_away(log: &[(f64, f64)], planned: &[(f64, usize)]) -> Option<usize> {
    let below = |(l, p): (&(f64, f64), &(f64, usize))| l.1 < p.0 - OFF_K;
    let far = log.iter().zip(planned).position(below)?;
    let before = log.get(..=far)?;
    let highest = before.iter().map(|p| p.1).fold(0.0, f64::max);
    // The last before the fall.
    let row = before.iter().rposition(|p| p.1 > highest - FALLS_K)?;
    let at_k = log.get(row)?.1;
    let wanted = planned.get(far)?.0 > planned.get(row)?.0 - MOVES_K;
    let mut after = log.iter().skip(far);
    let gone = log.last()?.1 < at_k - OFF_K && after.all(|p| p.1 < at_k);
    (wanted && gone && row + 2 < log.len()).then_some(row)
}

/// What a log falls by before it is seen to, K (assumed).
const FALLS_K: f64 = 5.0;

/// A log up to a time, s from its first row, with a point of its own there; none where the time lies
/// outside.
pub fn until(log: &[(f64, f64)], end_s: f64) -> Option<Vec<(f64, f64)>> {
    let end_s = log.first()?.0 + end_s;
    let mut out: Vec<(f64, f64)> = log.iter().copied().filter(|p| p.0 <= end_s).collect();
    let last = *out.last()?;
    if last.0 < end_s {
        let next = log.get(out.len())?;
        let share = (end_s - last.0) / (next.0 - last.0);
        out.push((end_s, last.1 + share * (next.1 - last.1)));
    }
    (out.len() > 1).then_some(out)
}

/// How far a log's highest is outside a range, K from and to; below only where the program has come
/// to its range by then. Negative = below, none where it is inside.
pub fn outside(
    log: &[(f64, f64)],
    planned: &[(f64, usize)],
    (from_k, to_k): (f64, f64),
) -> Option<f64> {
    let highest = log.iter().map(|p| p.1).fold(0.0, f64::max);
    let come = planned.iter().any(|p| p.0 >= from_k);
    let off_k = if highest > to_k {
        highest - to_k
    } else if come && highest < from_k {
        highest - from_k
    } else {
        return None;
    };
    Some(off_k)
}

/// What a figure that was taken for °C, in K, is if it was °F, K.
pub fn from_fahrenheit(kelvin: f64) -> f64 {
    (kelvin - ZERO_C - 32.0) / 1.8 + ZERO_C
}

/// What a log of power says of itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Power {
    /// Below nought, at this row from 0.
    Negative(usize),
    /// Next to nothing of what the record has.
    NextToNothing,
    /// Far beyond it.
    Beyond,
    /// Never near it: the record's power was not tried.
    NeverNear,
    /// Within it.
    Within,
}

/// Shares of the record's power that a log's highest may have (assumed).
const LEAST_POWER: f64 = 0.02;
const NEAR_POWER: f64 = 0.25;
const MOST_POWER: f64 = 1.5;

/// Judges a log of power, (s, W), beside the record's highest, W.
pub fn power(log: &[(f64, f64)], record_w: f64) -> Power {
    if let Some(row) = log.iter().position(|p| p.1 < 0.0) {
        return Power::Negative(row);
    }
    let most = log.iter().map(|p| p.1).fold(0.0, f64::max);
    match most / record_w {
        share if share < LEAST_POWER => Power::NextToNothing,
        share if share > MOST_POWER => Power::Beyond,
        share if share < NEAR_POWER => Power::NeverNear,
        _ => Power::Within,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const BOUNDS: Bounds = Bounds {
        max_k: 1450.0 + ZERO_C,
        ramp_k_s: 10.0 / 60.0,
        start_k: Some(25.0 + ZERO_C),
    };

    /// Minutes and °C.
    fn log(rows: &[(f64, f64)]) -> Vec<(f64, f64)> {
        let si = rows.iter().map(|(min, c)| (60.0 * min, c + ZERO_C));
        si.collect()
    }

    #[test]
    fn what_no_furnace_does_is_a_fault_with_its_row() {
        let of = |rows: &[(f64, f64)]| fault(&log(rows), &BOUNDS);
        assert_eq!(of(&[(0.0, 20.0), (10.0, -50.0)]), Some(Fault::Cold(1)));
        assert_eq!(of(&[(0.0, 20.0), (250.0, 2453.0)]), Some(Fault::Hot(1)));
        // Minutes under a column of seconds: 130 K in "3 s".
        let minutes = of(&[(0.0, 150.0), (0.05, 280.0), (4.0, 280.0)]);
        assert_eq!(minutes, Some(Fault::Fast(0, 1)));
        // One row too high, or too low.
        let ramp = |at: usize, c: f64| {
            let mut rows: Vec<(f64, f64)> = (0..12)
                .map(|i| (5.0 * f64::from(i), 20.0 * f64::from(i)))
                .collect();
            rows[at].1 = c;
            of(&rows)
        };
        assert_eq!(ramp(6, 1372.0), Some(Fault::Spike(6)));
        assert_eq!(ramp(8, -15.0), Some(Fault::Spike(8)));
        assert_eq!(of(&[(0.0, 20.0), (600.0, 1345.0)]), Some(Fault::Gap(0)));
        assert_eq!(of(&[(0.0, 450.0), (10.0, 450.0)]), Some(Fault::BeginsHot));
        let fine = [(0.0, 60.0), (50.0, 280.0), (400.0, 280.0)];
        assert_eq!(of(&fine), None);
        assert_eq!(widest_gap(&log(&fine)), Some(1));
        assert_eq!(widest_gap(&log(&[(0.0, 20.0), (10.0, 60.0)])), None);
        // A step of a furnace that is not yet beyond what it can.
        assert_eq!(of(&[(0.0, 25.0), (10.0, 250.0)]), None);
    }

    #[test]
    fn a_log_far_off_its_program_is_told() {
        let planned = [(25.0, 0), (280.0, 1), (280.0, 1)].map(|(c, s)| (c + ZERO_C, s));
        let near = log(&[(0.0, 25.0), (60.0, 260.0), (120.0, 282.0)]);
        assert_eq!(beside(&near, &planned), None);
        let fahrenheit = log(&[(0.0, 68.0), (60.0, 536.0), (120.0, 536.0)]);
        let told = beside(&fahrenheit, &planned).unwrap();
        assert!(told.fahrenheit && told.segment == 1);
        assert!((told.off_k - 256.0).abs() < 1e-9, "{told:?}");
        // Of which the speed was another, too: the row alone is told as it would be.
        let slow = log(&[(0.0, 68.0), (60.0, 392.0), (120.0, 446.0)]);
        let told = beside(&slow, &planned).unwrap();
        assert!(
            !told.fahrenheit && told.as_fahrenheit_k.is_some(),
            "{told:?}"
        );
        let other = log(&[(0.0, 25.0), (60.0, 180.0), (120.0, 280.0)]);
        let told = beside(&other, &planned).unwrap();
        assert!(!told.fahrenheit && told.row == 1 && told.off_k < 0.0);
        assert_eq!(told.as_fahrenheit_k, None);
        // As °F it would follow the program, but nobody begins a run at −4 °C.
        let hotter = log(&[(0.0, 25.0), (60.0, 536.0), (120.0, 536.0)]);
        assert!(!beside(&hotter, &planned).unwrap().fahrenheit);
        assert_eq!(beside(&near, &[]), None);
    }

    /// Ten kelvin off on a ramp of 1 K/min are ten minutes, on one of 2 K/min five.
    #[test]
    fn a_log_that_is_not_as_planned_is_told_in_minutes_of_its_ramps() {
        let program = crate::forecast::demo::story_1(2, 90.0).program;
        let planned = [(25.0, 0), (145.0, 0), (300.0, 0), (300.0, 0)];
        let planned = planned.map(|(c, s)| (c + ZERO_C, s));
        let of = |c: [f64; 4]| {
            let rows = [0.0, 60.0, 137.5, 190.0];
            let rows: Vec<(f64, f64)> = rows.into_iter().zip(c).collect();
            apart(&log(&rows), &planned, &program)
        };
        assert_eq!(of([25.0, 149.0, 304.0, 296.0]), None);
        let rate_k_s = ramp(&program.segments[0], program.start_k).unwrap().1;
        let told = of([25.0, 115.0, 292.0, 300.0]).unwrap();
        assert!(
            told.row == 1 && (told.off_k + 30.0).abs() < 1e-9,
            "{told:?}"
        );
        assert!((told.ramp_s - 30.0 / rate_k_s).abs() < 1e-6, "{told:?}");
    }

    #[test]
    fn a_log_that_falls_away_is_told_from_where_it_falls() {
        let up = [25.0, 280.0, 280.0, 280.0, 500.0, 700.0, 900.0, 900.0];
        let planned: Vec<(f64, usize)> = up.map(|c| (c + ZERO_C, 0)).into();
        let of = |c: &[f64]| {
            let rows: Vec<(f64, f64)> = (0..)
                .map(|i| 60.0 * f64::from(i))
                .zip(c.iter().copied())
                .collect();
            falls_away(&log(&rows), &planned)
        };
        assert_eq!(
            of(&[25.0, 280.0, 281.0, 280.0, 500.0, 420.0, 350.0, 300.0]),
            Some(4)
        );
        assert_eq!(
            of(&[25.0, 280.0, 279.0, 200.0, 150.0, 100.0, 80.0, 70.0]),
            Some(2)
        );
        // Slow, late, or come back.
        assert_eq!(
            of(&[25.0, 200.0, 210.0, 220.0, 400.0, 600.0, 800.0, 820.0]),
            None
        );
        assert_eq!(
            of(&[25.0, 280.0, 280.0, 280.0, 280.0, 500.0, 700.0, 900.0]),
            None
        );
        assert_eq!(
            of(&[25.0, 280.0, 280.0, 200.0, 500.0, 700.0, 900.0, 900.0]),
            None
        );
        assert_eq!(of(&up), None);
        assert_eq!(falls_away(&[], &planned), None);
    }

    #[test]
    fn a_log_counts_up_to_a_time() {
        let all = log(&[(10.0, 20.0), (20.0, 40.0), (30.0, 60.0)]);
        let part = until(&all, 900.0).unwrap();
        assert_eq!(part.len(), 3);
        assert!((part[2].1 - ZERO_C - 50.0).abs() < 1e-9, "{part:?}");
        assert_eq!(until(&all, 1200.0), Some(all.clone()));
        assert_eq!((until(&all, 1201.0), until(&all, 0.0)), (None, None));
    }

    #[test]
    fn a_log_outside_its_range_is_told() {
        let planned = [(1300.0, 5), (1620.0, 6)];
        let of = |k: f64| outside(&[(0.0, 300.0), (60.0, k)], &planned, (1600.0, 1650.0));
        assert_eq!(
            (of(1570.0), of(1620.0), of(1660.0)),
            (Some(-30.0), None, Some(10.0))
        );
        // Not yet there.
        assert_eq!(
            outside(&[(0.0, 1300.0)], &planned[..1], (1600.0, 1650.0)),
            None
        );
    }

    #[test]
    fn power_is_held_beside_the_record() {
        let of = |w: &[f64]| {
            let rows: Vec<(f64, f64)> = w.iter().map(|w| (0.0, *w)).collect();
            power(&rows, 25e3)
        };
        assert_eq!(of(&[0.5, 24.0]), Power::NextToNothing);
        assert_eq!(of(&[100.0, -1.0]), Power::Negative(1));
        assert_eq!(of(&[2500.0]), Power::NeverNear);
        assert_eq!(of(&[9000.0]), Power::Within);
        assert_eq!(of(&[9e6]), Power::Beyond);
    }
}
