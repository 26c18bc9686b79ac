//! Calibration of densification from measured pieces: the lower branch, by the forecast's own curve.

use super::densify::{Branch, CLOSURE, Densifying, Sintering, ln_theta};

/// A measured piece: what it has been through, and the density found.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// History of the place at which it lay, s and K.
    pub history: Vec<(f64, f64)>,
    /// At each of these, whether a gas was around that stays in closing pores.
    pub caught: Vec<bool>,
    /// Rate of the ramp to the highest target of its program, K/s.
    pub heating_k_s: f64,
    /// Relative density found.
    pub density: f64,
}

impl Measured {
    /// Densification along its history, as the forecast has it.
    fn follow<'a>(&self, data: &'a Sintering, start: f64) -> Densifying<'a> {
        let mut d = Densifying::new(data, start);
        let mut last_s = self.history.first().map_or(0.0, |p| p.0);
        for (i, &(t_s, t_k)) in self.history.iter().enumerate() {
            d.step(t_s - last_s, t_k, self.is_caught(i));
            last_s = t_s;
        }
        d
    }

    fn is_caught(&self, at: usize) -> bool {
        self.caught.get(at).copied().unwrap_or(false)
    }

    /// Density that a lower branch gives it.
    pub fn density_by(&self, data: &Sintering, start: f64, branch: Branch) -> f64 {
        let low = Sintering {
            low: branch,
            ..data.clone()
        };
        self.follow(&low, start).density()
    }

    /// Asymptote that it goes towards by the record: that of the gas around when its pores close, or,
    /// where they do not, of the hottest moment.
    pub fn end(&self, data: &Sintering, start: f64) -> f64 {
        let had = self.follow(data, start).dense();
        let all = self.history.iter().enumerate();
        let hottest = all.max_by(|a, b| a.1.1.total_cmp(&b.1.1));
        match (had.closed, hottest) {
            (false, Some((i, _))) if self.is_caught(i) => data.asymptote.gas_filled.min(had.end),
            _ => had.end,
        }
    }

    fn hottest_k(&self) -> f64 {
        self.history.iter().map(|p| p.1).fold(0.0, f64::max)
    }
}

/// Why a piece tells nothing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Unused {
    /// Its density is not between the start and this end of its curve.
    Density(f64),
    /// It was above where the upper branch begins, K.
    UpperBranch(f64),
    /// Whether gas stayed in its pores hangs on the figures that are sought, and they on that.
    Pores,
}

/// Of two branches: whether a piece has been in the upper one, and from where that holds, K.
fn above(data: &Sintering, piece: &Measured) -> Option<f64> {
    let split_k = data.high.as_ref()?.0;
    (piece.hottest_k() >= split_k).then_some(split_k)
}

/// What a calibration moved.
#[derive(Clone, Debug, PartialEq)]
pub struct Calibration {
    /// Before.
    pub from: Branch,
    /// After.
    pub to: Branch,
    /// Densities computed with the new figures.
    pub fitted: Vec<f64>,
    /// Root mean square of the differences.
    pub residual: f64,
    /// Points used.
    pub points: usize,
    /// Standard errors of a, b and Q (J/mol); none of what was not fitted.
    pub error: [Option<f64>; 3],
    /// What the points do not determine, and what is as it was for that.
    pub kept: Vec<Figure>,
    /// Whether the energy was kept since all pieces were heated at one rate.
    pub one_rate: bool,
    /// Pieces, as given, that are not used, and why.
    pub unused: Vec<(usize, Unused)>,
    /// Pieces, as given, that lie far off what the others say.
    pub outliers: Vec<usize>,
}

/// A figure of a branch.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Figure {
    /// a.
    A,
    /// b.
    B,
    /// Activation energy.
    Energy,
}

/// Why a branch is not calibrated.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NotCalibrated {
    /// Fewer than three points between start and asymptote.
    TooFewPoints(usize),
    /// All at about the same Θ: nothing to tell a from b.
    NoSpread,
    /// The slope that they give is none: b found, and the record's.
    Slope(f64, f64),
    /// They determine neither a nor b.
    NothingTold,
    /// They fit a curve by which pores closed in vacuum, and about as well one by which gas stayed in
    /// them.
    Pores,
}

/// What weighing in water or a length before and after tells of a density (assumed).
const DENSITY_ERROR: f64 = 0.001;
/// A figure whose standard error is more than this share of it is not determined (assumed).
pub const UNDETERMINED: f64 = 0.5;
/// Heating rates are two where the faster is so many times the slower (assumed).
const RATES_APART: f64 = 1.5;
/// Pieces have been through the same heat where lnΘ differs by less (assumed).
const THETA_SPREAD: f64 = 0.1;
/// b moves by no more than this factor from the record's (assumed).
const B_FACTOR: f64 = 3.0;
/// A piece is far off the others where its density is off by more than this, and by more than
/// [`OUTLIER_OF_REST`] times what they differ by (assumed).
const OUTLIER: f64 = 0.01;
const OUTLIER_OF_REST: f64 = 3.0;
/// Without another piece the rest would differ by this much more, share of full density and times
/// what it is without the one that is named: else nobody knows which of the two is wrong (assumed).
const AS_WELL: f64 = 0.003;
const AS_WELL_OF_REST: f64 = 2.0;

/// Fits a and b (and Q when `fit_q` and pieces were heated at two rates) of the lower branch by least
/// squares on lnΦ = (lnΘ − a)/b, from the shop's own densities, each piece with the asymptote of its gas.
/// What these do not determine by its standard error stays as it was, and the others are fitted with
/// that.
///
/// # Errors
/// See [`NotCalibrated`].
pub fn calibrate(
    sintering: &Sintering,
    start: f64,
    points: &[Measured],
    fit_q: bool,
) -> Result<Calibration, NotCalibrated> {
    let asymptote = sintering.asymptote;
    let by_record = Seen::first(sintering, start, points);
    // One curve may fit with pores closed in vacuum and another with gas in them: each is tried.
    let mut starts = vec![by_record.clone()];
    for end in [asymptote.open, asymptote.gas_filled] {
        let seen = by_record.all_towards(end, points);
        if !starts.contains(&seen) {
            starts.push(seen);
        }
    }
    // A curve by which its pieces would have closed otherwise is near one that is right.
    let mut unsettled: Vec<(Calibration, Seen)> = Vec::new();
    let settled = starts.into_iter().map(|seen| {
        let first = fit(sintering, start, points, fit_q, &seen)?;
        unsettled.push((first.clone(), seen.clone()));
        settle(sintering, start, points, fit_q, (first, seen))
    });
    let settled: Vec<Result<(Calibration, Seen), NotCalibrated>> = settled.collect();
    let fits = || settled.iter().filter_map(|s| s.as_ref().ok());
    // One that leaves pieces out fits the rest the better for it.
    let best = fits().min_by(|(a, _), (b, _)| {
        let used = b.points.cmp(&a.points);
        used.then(a.residual.total_cmp(&b.residual))
    });
    let Some((found, seen)) = best else {
        let by_record = settled.into_iter().next();
        let nothing = Err(NotCalibrated::NothingTold);
        return by_record.map_or(nothing, |found| found.map(|(found, _)| found));
    };
    // What others say that fit as well, for all that weighing tells, is said by nobody.
    let as_well = libm::hypot(found.residual, DENSITY_ERROR);
    let rivals = fits().chain(&unsettled);
    let as_well = rivals.filter(|(a, _)| a.points == found.points && a.residual < as_well);
    let alike = as_well.fold(seen.clone(), |seen, (_, other)| seen.where_alike(other));
    match alike == *seen {
        true => Ok(found.clone()),
        false => match fit(sintering, start, points, fit_q, &alike) {
            Err(NotCalibrated::TooFewPoints(_)) => Err(NotCalibrated::Pores),
            fitted => fitted,
        },
    }
}

/// Goes on from a fit, in turns until it settles which pieces have gas in their pores.
fn settle(
    sintering: &Sintering,
    start: f64,
    points: &[Measured],
    fit_q: bool,
    (mut found, mut seen): (Calibration, Seen),
) -> Result<(Calibration, Seen), NotCalibrated> {
    /// In so many turns it settles, or it does not (assumed).
    const TURNS: usize = 6;
    for _ in 0..TURNS {
        let next = Seen::again(sintering, start, points, found.to);
        if next == seen {
            return Ok((found, seen));
        }
        seen = next;
        found = fit(sintering, start, points, fit_q, &seen)?;
    }
    let last = Seen::again(sintering, start, points, found.to);
    let alike = seen.where_alike(&last);
    Ok((fit(sintering, start, points, fit_q, &alike)?, alike))
}

/// What each piece goes towards by the curve that its pores closed on.
#[derive(Clone, Debug, PartialEq)]
struct Seen(Vec<Towards>);

#[derive(Clone, Copy, Debug, PartialEq)]
enum Towards {
    /// This asymptote.
    End(f64),
    /// Nobody knows.
    Unknown,
}

impl Seen {
    /// By the record; a piece denser than gas in the pores lets it become had none in them.
    fn first(sintering: &Sintering, start: f64, points: &[Measured]) -> Seen {
        let open = sintering.asymptote.open;
        let ends = points.iter().map(|piece| {
            let end = piece.end(sintering, start);
            Towards::End(if piece.density < end { end } else { open })
        });
        Seen(ends.collect())
    }

    /// By the branch found.
    fn again(sintering: &Sintering, start: f64, points: &[Measured], by: Branch) -> Seen {
        let by = Sintering {
            low: by,
            ..sintering.clone()
        };
        let ends = points
            .iter()
            .map(|piece| Towards::End(piece.end(&by, start)));
        Seen(ends.collect())
    }

    /// All that were in gas for a time, and without it for a time, towards one asymptote.
    fn all_towards(&self, end: f64, points: &[Measured]) -> Seen {
        let ends = self.0.iter().zip(points);
        let towards = |(by_record, piece): (&Towards, &Measured)| {
            let first = piece.is_caught(0);
            let either = (1..piece.history.len()).any(|i| piece.is_caught(i) != first);
            if either {
                Towards::End(end)
            } else {
                *by_record
            }
        };
        Seen(ends.map(towards).collect())
    }

    /// Where two agree.
    fn where_alike(&self, other: &Seen) -> Seen {
        let both = self.0.iter().zip(&other.0);
        Seen(
            both.map(|(a, b)| if a == b { *a } else { Towards::Unknown })
                .collect(),
        )
    }
}

/// The fit with what each piece goes towards.
fn fit(
    sintering: &Sintering,
    start: f64,
    points: &[Measured],
    fit_q: bool,
    seen: &Seen,
) -> Result<Calibration, NotCalibrated> {
    let from = sintering.low;
    let (data, used, unused) = Data::of(sintering, points, start, seen);
    if data.usable.len() < 3 {
        return Err(NotCalibrated::TooFewPoints(data.usable.len()));
    }
    let thetas = data.thetas(from.q_j_mol);
    let (least, most) = ends(thetas.into_iter());
    if most - least < THETA_SPREAD {
        return Err(NotCalibrated::NoSpread);
    }
    let (slowest, fastest) = ends(data.usable.iter().map(|p| p.piece.heating_k_s));
    let one_rate = fit_q && fastest < RATES_APART * slowest;
    let mut free = vec![Figure::A, Figure::B];
    let mut kept = Vec::new();
    if one_rate {
        kept.push(Figure::Energy);
    } else if fit_q {
        free.push(Figure::Energy);
    }
    let (to, error) = loop {
        let to = data.fitted(from, &free).ok_or(NotCalibrated::NoSpread)?;
        // How well a and b are known is asked at the energy found: all three move together.
        let at_energy: Vec<Figure> = free
            .iter()
            .copied()
            .filter(|f| *f != Figure::Energy)
            .collect();
        let mut errors = data.errors(to, &at_energy);
        if free.contains(&Figure::Energy) {
            errors.extend(data.errors(to, &free).last());
        }
        let far = |figure: &Figure| {
            let scale = match figure {
                // A place on the axis of lnΘ, of which b is the scale.
                Figure::A | Figure::B => to.b,
                Figure::Energy => to.q_j_mol,
            };
            let error = free.iter().position(|f| f == figure);
            let error = error.and_then(|i| errors.get(i).copied().flatten());
            error.map_or(f64::INFINITY, |e| e / scale.abs())
        };
        // Q before b before a: what takes most to tell goes first.
        let worst = free.iter().rev().copied().find(|f| far(f) > UNDETERMINED);
        let Some(worst) = worst else {
            break (to, errors);
        };
        free.retain(|f| *f != worst);
        kept.push(worst);
        // An energy alone means nothing: a goes with it.
        if free.iter().all(|f| *f == Figure::Energy) {
            return Err(NotCalibrated::NothingTold);
        }
    };
    if !(from.b / B_FACTOR..=from.b * B_FACTOR).contains(&to.b) {
        return Err(NotCalibrated::Slope(to.b, from.b));
    }
    let fitted = data.densities(to);
    let squares: f64 = fitted
        .iter()
        .zip(&data.usable)
        .map(|(f, p)| square(f - p.piece.density))
        .sum();
    let error_of = |figure| {
        let at = free.iter().position(|f| *f == figure)?;
        error.get(at).copied().flatten()
    };
    Ok(Calibration {
        from,
        to,
        residual: libm::sqrt(squares / data.usable.len() as f64),
        points: data.usable.len(),
        fitted,
        error: [Figure::A, Figure::B, Figure::Energy].map(error_of),
        kept,
        one_rate,
        unused,
        outliers: data
            .outliers(to)
            .into_iter()
            .filter_map(|i| used.get(i).copied())
            .collect(),
    })
}

/// Pieces, as given, that tell nothing, and those that lie far off what the others say: also where
/// there is no calibration.
pub fn odd_ones(
    sintering: &Sintering,
    start: f64,
    points: &[Measured],
) -> (Vec<(usize, Unused)>, Vec<usize>) {
    let seen = Seen::first(sintering, start, points);
    let (data, used, unused) = Data::of(sintering, points, start, &seen);
    let far = data.outliers(sintering.low).into_iter();
    (unused, far.filter_map(|i| used.get(i).copied()).collect())
}

/// Least and greatest.
fn ends(values: impl Iterator<Item = f64>) -> (f64, f64) {
    values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| {
        (low.min(x), high.max(x))
    })
}

fn square(x: f64) -> f64 {
    x * x
}

/// A piece that tells something.
#[derive(Clone, Copy)]
struct Usable<'a> {
    piece: &'a Measured,
    /// Whether gas stays in its pores from where they close.
    filled: bool,
}

/// Pieces that tell something, between what they started from and what they end at.
struct Data<'a> {
    sintering: &'a Sintering,
    usable: Vec<Usable<'a>>,
    start: f64,
}

impl<'a> Data<'a> {
    /// Those that tell something, and which of the points are these and which are not.
    fn of(
        sintering: &'a Sintering,
        points: &'a [Measured],
        start: f64,
        seen: &Seen,
    ) -> (Data<'a>, Vec<usize>, Vec<(usize, Unused)>) {
        let (mut usable, mut used, mut unused) = (Vec::new(), Vec::new(), Vec::new());
        for (i, (piece, towards)) in points.iter().zip(&seen.0).enumerate() {
            let Towards::End(end) = *towards else {
                unused.push((i, Unused::Pores));
                continue;
            };
            let between = piece.density > start + 1e-6 && piece.density < end - 1e-6;
            if let Some(split_k) = above(sintering, piece) {
                unused.push((i, Unused::UpperBranch(split_k)));
            } else if between && piece.history.len() > 1 {
                let filled = end < sintering.asymptote.open;
                usable.push(Usable { piece, filled });
                used.push(i);
            } else {
                unused.push((i, Unused::Density(end)));
            }
        }
        let data = Data {
            sintering,
            usable,
            start,
        };
        (data, used, unused)
    }

    fn thetas(&self, q_j_mol: f64) -> Vec<f64> {
        let all = self.usable.iter();
        all.map(|p| ln_theta(&p.piece.history, q_j_mol)).collect()
    }

    fn densities(&self, by: Branch) -> Vec<f64> {
        let all = self.usable.iter();
        all.map(|p| p.piece.density_by(self.sintering, self.start, by))
            .collect()
    }

    /// (lnΘ − a)/b of each density. Where gas stays in the pores, Θ goes on from where they closed on
    /// the curve to the lower asymptote (see [`Densifying::step`]), so that it depends on b.
    fn ln_phis(&self, b: f64) -> Vec<f64> {
        let (open, filled) = (
            self.sintering.asymptote.open,
            self.sintering.asymptote.gas_filled,
        );
        let at = CLOSURE.max(self.start);
        let filled = filled.max(at + 1e-6);
        let ln_phi = |end: f64, at: f64| libm::log((at - self.start) / (end - at));
        let of = |p: &Usable| {
            let density = p.piece.density;
            if !p.filled || density <= at {
                return ln_phi(open, density);
            }
            let theta = |end: f64, at: f64| libm::exp(b * ln_phi(end, at));
            let all = theta(filled, density) - theta(filled, at) + theta(open, at);
            libm::log(all) / b
        };
        self.usable.iter().map(of).collect()
    }

    /// Pieces far off what the others say by themselves, the farthest first and then of those left;
    /// of three, two say nothing of the third. None is named where another may as well be meant.
    fn outliers(&self, at: Branch) -> Vec<usize> {
        let mut left: Vec<usize> = (0..self.usable.len()).collect();
        let mut found = Vec::new();
        while left.len() >= 4 {
            let mut each: Vec<(usize, f64, f64)> = left
                .iter()
                .filter_map(|&i| self.beside_others(at, i, &left))
                .collect();
            each.sort_by(|a, b| a.2.total_cmp(&b.2));
            let [(i, off, rms), (_, _, next), ..] = each[..] else {
                break;
            };
            let told = next > AS_WELL.max(AS_WELL_OF_REST * rms);
            if !told || off <= OUTLIER.max(OUTLIER_OF_REST * rms) {
                break;
            }
            left.retain(|j| *j != i);
            found.push(i);
        }
        found.sort_unstable();
        found
    }

    /// A piece, how far it is off what the others of some say, and how far these differ by themselves.
    fn beside_others(&self, at: Branch, i: usize, of: &[usize]) -> Option<(usize, f64, f64)> {
        let piece = self.usable.get(i)?.piece;
        let others = of.iter().filter(|j| **j != i);
        let rest = Data {
            usable: others
                .filter_map(|j| self.usable.get(*j).copied())
                .collect(),
            ..*self
        };
        let by = rest.line(at, at.q_j_mol, &[Figure::A, Figure::B]);
        let by = by.map_or(at, |found| found.0);
        let said = rest.densities(by);
        let squares = said.iter().zip(&rest.usable);
        let squares: f64 = squares.map(|(f, p)| square(f - p.piece.density)).sum();
        let rms = libm::sqrt(squares / said.len() as f64);
        let off = piece.density_by(self.sintering, self.start, by) - piece.density;
        Some((i, off.abs(), rms))
    }

    /// Best figures, those that are not free as they were; none where all pieces have one Θ.
    fn fitted(&self, from: Branch, free: &[Figure]) -> Option<Branch> {
        let best = self.line(from, from.q_j_mol, free)?;
        if !free.contains(&Figure::Energy) {
            return Some(best.0);
        }
        // Golden section on Q between a third and three times the old one.
        let (mut lo, mut hi) = (from.q_j_mol / 3.0, from.q_j_mol * 3.0);
        let golden = 0.618_033_988_749_895;
        for _ in 0..60 {
            let (c, d) = (hi - golden * (hi - lo), lo + golden * (hi - lo));
            let at = |q: f64| self.line(from, q, free).map_or(f64::INFINITY, |f| f.1);
            if at(c) <= at(d) {
                hi = d;
            } else {
                lo = c;
            }
        }
        let found = self.line(from, 0.5 * (lo + hi), free);
        Some(found.filter(|found| found.1 < best.1).unwrap_or(best).0)
    }

    /// The straight line through lnΦ over lnΘ for an energy, with the sum of its squares.
    fn line(&self, from: Branch, q_j_mol: f64, free: &[Figure]) -> Option<(Branch, f64)> {
        /// A change of b, as a share of it, that is none, and in how many turns it comes to that.
        const SETTLED: f64 = 1e-12;
        const TURNS: usize = 60;
        let x = self.thetas(q_j_mol);
        let mut b = from.b;
        // Where gas is in the pores lnΦ goes by b itself.
        for _ in 0..TURNS {
            let y = self.ln_phis(b);
            let (a, next) = straight(&x, &y, from, b, free)?;
            let rest = x.iter().zip(&y).map(|(v, y)| square((v - a) / next - y));
            if (next - b).abs() <= SETTLED * b {
                return Some((
                    Branch {
                        q_j_mol,
                        a,
                        b: next,
                    },
                    rest.sum(),
                ));
            }
            b = next;
        }
        None
    }

    /// Standard errors of the figures that are free, from how the densities move with them; none
    /// where as many figures as pieces leave nothing to tell it from, or where the pieces tell them
    /// only together.
    fn errors(&self, at: Branch, free: &[Figure]) -> Vec<Option<f64>> {
        let n = free.len();
        let here = self.densities(at);
        let slope = |figure: &Figure| -> Vec<f64> {
            let mut moved = at;
            let step = match figure {
                Figure::A => {
                    moved.a += 1e-3 * at.b;
                    1e-3 * at.b
                }
                Figure::B => {
                    moved.b *= 1.001;
                    1e-3 * at.b
                }
                Figure::Energy => {
                    moved.q_j_mol *= 1.001;
                    1e-3 * at.q_j_mol
                }
            };
            let there = self.densities(moved);
            let both = there.iter().zip(&here);
            both.map(|(a, b)| (a - b) / step).collect()
        };
        let columns: Vec<Vec<f64>> = free.iter().map(slope).collect();
        let squares = here.iter().zip(&self.usable);
        let squares: f64 = squares.map(|(f, p)| square(f - p.piece.density)).sum();
        let rest = self.usable.len().saturating_sub(n);
        if rest == 0 {
            return vec![None; n];
        }
        let variance = (squares / rest as f64).max(DENSITY_ERROR * DENSITY_ERROR);
        super::fit::standard_errors(&columns, variance)
    }
}

/// The straight line through points of lnΘ and lnΦ: a, and b where that is free.
fn straight(x: &[f64], y: &[f64], from: Branch, b: f64, free: &[Figure]) -> Option<(f64, f64)> {
    let n = x.len() as f64;
    // With a kept the line goes through (a, 0), with a free through the middle of the pieces.
    let (mx, my) = match free.contains(&Figure::A) {
        true => (x.iter().sum::<f64>() / n, y.iter().sum::<f64>() / n),
        false => (from.a, 0.0),
    };
    let b = if free.contains(&Figure::B) {
        let sxx: f64 = x.iter().map(|v| square(v - mx)).sum();
        let sxy: f64 = x.iter().zip(y).map(|(v, y)| (v - mx) * (y - my)).sum();
        if !(sxx > 1e-6 && sxy > 1e-9) {
            return None;
        }
        sxx / sxy
    } else {
        b
    };
    Some((mx - b * my, b))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::forecast::densify::tests::history;
    use crate::forecast::densify::{Asymptote, sigmoid};

    /// A record with one branch and one asymptote.
    fn record(low: Branch, end: f64) -> Sintering {
        Sintering {
            low,
            high: None,
            asymptote: Asymptote {
                open: end,
                gas_filled: end,
            },
            range_to_k: 2000.0,
            grains: None,
        }
    }

    /// With a kept, b is what no other b beats: the line goes through (a, 0).
    #[test]
    fn a_line_through_a_kept_figure_is_the_best_of_its_kind() {
        let q = 300e3;
        let piece = |hold_s: f64, density: f64| Measured {
            history: history(5.0, 1250.0, hold_s, 5.0),
            caught: Vec::new(),
            heating_k_s: 5.0 / 60.0,
            density,
        };
        let pieces = [
            piece(600.0, 0.80),
            piece(3600.0, 0.88),
            piece(10_800.0, 0.93),
        ];
        let any = Branch {
            q_j_mol: q,
            a: -24.0,
            b: 1.0,
        };
        let sintering = record(any, 1.0);
        let (data, _, _) = Data::of(
            &sintering,
            &pieces,
            0.6,
            &Seen::first(&sintering, 0.6, &pieces),
        );
        let x = data.thetas(q);
        // A figure that the pieces alone would not give.
        let from = Branch {
            q_j_mol: q,
            a: x.iter().sum::<f64>() / 3.0 - 1.0,
            b: 1.0,
        };
        let (found, rest) = data.line(from, q, &[Figure::B]).unwrap();
        assert_eq!(found.a, from.a);
        for factor in [0.98, 1.02] {
            let beside = Branch {
                b: factor * found.b,
                ..found
            };
            let (_, other) = data.line(beside, q, &[]).unwrap();
            assert!(other > rest, "{other} {rest}");
        }
    }

    /// Held in vacuum, then hotter in argon: by the record the pores of a piece had closed before, in
    /// truth they close in argon. What is sought decides it, and comes out.
    #[test]
    fn pores_close_by_the_curve_that_is_sought() {
        let truth = Branch {
            q_j_mol: 280e3,
            a: -22.5,
            b: 1.1,
        };
        let mut sintering = record(truth, 0.99);
        sintering.asymptote.gas_filled = 0.97;
        let piece = |(hold_min, top_min): (usize, usize)| {
            let mut history: Vec<(f64, f64)> = vec![(0.0, 1000.0)];
            let mut caught = vec![false];
            let mut push = |k: f64, gas: bool| {
                history.push((60.0 * history.len() as f64, k));
                caught.push(gas);
            };
            (0..100).for_each(|i| push(1000.0 + 5.0 * f64::from(i), false));
            (0..hold_min).for_each(|_| push(1500.0, false));
            if top_min > 0 {
                (0..20).for_each(|i| push(1500.0 + 5.0 * f64::from(i), true));
            }
            (0..top_min).for_each(|_| push(1600.0, true));
            let mut piece = Measured {
                history,
                caught,
                heating_k_s: 5.0 / 60.0,
                density: 0.0,
            };
            piece.density = piece.density_by(&sintering, 0.6, truth);
            piece
        };
        let histories = [(5, 0), (60, 0), (200, 0), (5, 30), (60, 30), (400, 30)];
        let pieces: Vec<Measured> = histories.map(piece).to_vec();
        let closed_by = |a: f64| {
            let by = Sintering {
                low: Branch { a, ..truth },
                ..sintering.clone()
            };
            let open = pieces.iter().filter(|p| p.end(&by, 0.6) > 0.98);
            open.count()
        };
        // The pieces do differ in it, and by the record in another way.
        let off = truth.a - 1.5;
        assert!(closed_by(truth.a) < closed_by(off));
        let from = Sintering {
            low: Branch { a: off, ..truth },
            ..sintering.clone()
        };
        let found = calibrate(&from, 0.6, &pieces, false).unwrap();
        // A piece of which another curve tells as well is left out, and said.
        assert!(found.unused.len() < 2, "{:?}", found.unused);
        assert!(found.unused.iter().all(|u| u.1 == Unused::Pores));
        assert!((found.to.a - truth.a).abs() < 0.02, "{:?}", found.to);
        assert!((found.to.b - truth.b).abs() < 0.02, "{:?}", found.to);
    }

    #[test]
    fn a_figure_that_the_pieces_do_not_tell_stays() {
        let truth = Branch {
            q_j_mol: 280e3,
            a: -24.0,
            b: 1.1,
        };
        // One heating rate, two places, densities as rounded as a shop writes them.
        let points: Vec<Measured> = [(1200.0, 0.004), (1200.0, -0.003), (1212.0, 0.001)]
            .iter()
            .map(|&(c, off)| {
                let h = history(5.0, c, 3600.0, 2.0);
                let density = sigmoid(0.6, 0.99, ln_theta(&h, truth.q_j_mol), truth.a, truth.b);
                Measured {
                    history: h,
                    caught: Vec::new(),
                    heating_k_s: 5.0 / 60.0,
                    density: density + off,
                }
            })
            .collect();
        let c = calibrate(&record(truth, 0.99), 0.6, &points, true).unwrap();
        assert!(c.kept.contains(&Figure::Energy), "{c:?}");
        assert_eq!(c.to.q_j_mol, truth.q_j_mol);
        assert!((c.to.a - truth.a).abs() < 0.3, "{c:?}");
        // Four pieces of the same two places tell it no better.
        let four: Vec<Measured> = points.iter().chain(&points[2..]).cloned().collect();
        let c = calibrate(&record(truth, 0.99), 0.6, &four, true).unwrap();
        assert!(c.kept.contains(&Figure::Energy), "{c:?}");
    }

    #[test]
    fn a_calibration_finds_what_made_the_points() {
        let truth = Branch {
            q_j_mol: 310e3,
            a: -24.0,
            b: 1.1,
        };
        let made = |rates: [f64; 4]| -> Vec<Measured> {
            [1120.0, 1200.0, 1250.0, 1300.0]
                .into_iter()
                .zip([3600.0, 3600.0, 5400.0, 1800.0])
                .zip(rates)
                .map(|((c, hold), rate)| {
                    let h = history(rate, c, hold, 2.0);
                    let theta = ln_theta(&h, truth.q_j_mol);
                    Measured {
                        history: h,
                        caught: Vec::new(),
                        heating_k_s: rate / 60.0,
                        density: sigmoid(0.6, 0.99, theta, truth.a, truth.b),
                    }
                })
                .collect()
        };
        let points = made([5.0, 5.0, 10.0, 10.0]);
        let from = Branch {
            q_j_mol: 280e3,
            a: -23.7,
            b: 1.3,
        };
        let c = calibrate(&record(from, 0.99), 0.6, &points, true).unwrap();
        assert!(
            c.kept.is_empty() && c.error.iter().all(Option::is_some),
            "{c:?}"
        );
        assert!((c.to.q_j_mol / truth.q_j_mol - 1.0).abs() < 1e-3, "{c:?}");
        assert!(
            (c.to.b - truth.b).abs() < 5e-3 && c.residual < 1e-5,
            "{c:?}"
        );
        assert!(!c.one_rate && c.unused.is_empty() && c.outliers.is_empty());
        let fixed = calibrate(&record(truth, 0.99), 0.6, &points, false).unwrap();
        assert!((fixed.to.a - truth.a).abs() < 1e-6);
        assert_eq!(
            calibrate(&record(from, 0.99), 0.6, &points[..2], true),
            Err(NotCalibrated::TooFewPoints(2))
        );
        // One heating rate tells no energy.
        let c = calibrate(&record(from, 0.99), 0.6, &made([5.0; 4]), true).unwrap();
        assert!(c.one_rate && c.kept == [Figure::Energy], "{c:?}");
        assert_eq!(c.to.q_j_mol, from.q_j_mol);
    }

    #[test]
    fn pieces_of_one_run_tell_no_slope_and_an_outlier_is_named() {
        let truth = Branch {
            q_j_mol: 280e3,
            a: -24.0,
            b: 1.1,
        };
        let piece = |c: f64, off: f64| {
            let h = history(5.0, c, 3600.0, 2.0);
            let theta = ln_theta(&h, truth.q_j_mol);
            Measured {
                history: h,
                caught: Vec::new(),
                heating_k_s: 5.0 / 60.0,
                density: sigmoid(0.6, 0.99, theta, truth.a, truth.b) + off,
            }
        };
        // A kelvin between them, and half a per cent of weighing.
        let one_run = [
            (1200.0, 0.0),
            (1200.5, 0.005),
            (1201.0, 0.004),
            (1200.2, -0.003),
        ];
        let one_run = one_run.map(|(c, off)| piece(c, off));
        assert_eq!(
            calibrate(&record(truth, 0.99), 0.6, &one_run, true),
            Err(NotCalibrated::NoSpread)
        );
        // Densities that hardly move with the heat.
        let flat = [(1150.0, 0.70), (1200.0, 0.71), (1250.0, 0.72)].map(|(c, density)| Measured {
            density,
            ..piece(c, 0.0)
        });
        let found = calibrate(&record(truth, 0.99), 0.6, &flat, false);
        assert!(matches!(found, Err(NotCalibrated::Slope(..))), "{found:?}");
        // The fourth of six is off by five per cent, and one is no density of a sintered piece.
        let mut pieces: Vec<Measured> = [1120.0, 1150.0, 1180.0, 1210.0, 1240.0, 1270.0]
            .map(|c| piece(c, 0.0))
            .into();
        pieces[3].density -= 0.05;
        pieces.push(piece(1200.0, 0.0));
        pieces[6].density = 0.37;
        let c = calibrate(&record(truth, 0.99), 0.6, &pieces, false).unwrap();
        assert_eq!(
            (&c.unused[..], &c.outliers[..], c.points),
            (&[(6, Unused::Density(0.99))][..], &[3][..], 6)
        );
    }

    #[test]
    fn what_tells_nothing_is_no_calibration_and_a_piece_is_named_only_where_no_other_may_be() {
        let truth = Branch {
            q_j_mol: 280e3,
            a: -24.0,
            b: 1.1,
        };
        let piece = |c: f64, density: Option<f64>| {
            let h = history(5.0, c, 3600.0, 2.0);
            let theta = ln_theta(&h, truth.q_j_mol);
            Measured {
                history: h,
                caught: Vec::new(),
                heating_k_s: 5.0 / 60.0,
                density: density.unwrap_or_else(|| sigmoid(0.6, 0.99, theta, truth.a, truth.b)),
            }
        };
        // Densities that have nothing to do with the heat.
        let wild = [
            (1150.0, 0.80),
            (1190.0, 0.66),
            (1210.0, 0.88),
            (1250.0, 0.77),
        ];
        let wild = wild.map(|(c, d)| piece(c, Some(d)));
        for with_energy in [false, true] {
            let found = calibrate(&record(truth, 0.99), 0.6, &wild, with_energy);
            assert_eq!(found, Err(NotCalibrated::NothingTold));
        }
        // Without either of two the others lie on a line of their own.
        let one = piece(1150.0, None);
        let two = [
            one.clone(),
            one,
            piece(1250.0, Some(0.91)),
            piece(1200.0, None),
        ];
        assert!(odd_ones(&record(truth, 0.99), 0.6, &two).1.is_empty());
        let mut one_of_six: Vec<Measured> = [1120.0, 1150.0, 1180.0, 1210.0, 1240.0]
            .map(|c| piece(c, None))
            .into();
        one_of_six.push(piece(1200.0, Some(0.70)));
        assert_eq!(odd_ones(&record(truth, 0.99), 0.6, &one_of_six).1, [5]);
    }

    /// What the forecast's own curve gives moves nothing, whatever gas was around and however many
    /// branches the record has.
    #[test]
    fn the_forecasts_own_densities_move_nothing() {
        let low = Branch {
            q_j_mol: 280e3,
            a: -23.7,
            b: 1.3,
        };
        let mut data = Sintering {
            asymptote: Asymptote {
                open: 0.99,
                gas_filled: 0.97,
            },
            ..record(low, 0.99)
        };
        let piece = |data: &Sintering, c: f64, hold_s: f64, caught: bool| {
            let h = history(5.0, c, hold_s, 2.0);
            let mut piece = Measured {
                caught: vec![caught; h.len()],
                history: h,
                heating_k_s: 5.0 / 60.0,
                density: 0.0,
            };
            piece.density = piece.density_by(data, 0.6, data.low);
            piece
        };
        let moves_nothing = |data: &Sintering, pieces: &[Measured]| {
            let c = calibrate(data, 0.6, pieces, false).unwrap();
            let off = (c.to.a - low.a, c.to.b - low.b);
            assert!(off.0.abs() < 2e-3 && off.1.abs() < 2e-3, "{c:?}");
            assert!(c.residual < 1e-5, "{c:?}");
            c
        };
        let all = [
            (1150.0, 3600.0),
            (1200.0, 3600.0),
            (1250.0, 7200.0),
            (1345.0, 3600.0),
        ];
        for gas in [[false; 4], [true; 4], [false, true, false, true]] {
            let pieces: Vec<Measured> = all
                .iter()
                .zip(gas)
                .map(|((c, hold_s), gas)| piece(&data, *c, *hold_s, gas))
                .collect();
            let c = moves_nothing(&data, &pieces);
            assert!(c.unused.is_empty(), "{c:?}");
        }
        // A hot piece of the upper branch tells nothing of the lower one.
        data.high = Some((
            1553.15,
            Branch {
                q_j_mol: 500e3,
                a: -37.0,
                b: 1.1,
            },
        ));
        let two = all.map(|(c, hold_s)| piece(&data, c, hold_s, true));
        let c = moves_nothing(&data, &two);
        assert_eq!(c.unused, [(3, Unused::UpperBranch(1553.15))]);
    }
}
