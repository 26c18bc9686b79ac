//! Calibration of densification from measured pieces: the lower branch, by the forecast's own curve.

use super::densify::{
    Branch, CLOSURE, Densifying, Sintering, ln_of_theta, ln_theta, sigmoid, thetas,
};
use super::fit::{least_squares, standard_errors};

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

    /// Whether gas was around for a time, and for a time not.
    fn is_mixed(&self) -> bool {
        let first = self.is_caught(0);
        (1..self.history.len()).any(|i| self.is_caught(i) != first)
    }

    /// Runs of its history with and without gas; one of no end where its pores close at once.
    fn closing(&self, data: &Sintering, start: f64) -> Closing {
        let filled = data.asymptote.gas_filled;
        let counts = filled < data.asymptote.open;
        if start >= CLOSURE {
            let at_once = counts && start <= filled && self.is_caught(0);
            return Closing(vec![(f64::INFINITY, at_once)]);
        }
        let mut runs: Vec<(f64, bool)> = Vec::new();
        for (i, theta) in thetas(&self.history, data.low.q_j_mol).enumerate() {
            let caught = counts && self.is_caught(i);
            match runs.last_mut() {
                Some(run) if run.1 == caught => run.0 = theta,
                _ => runs.push((theta, caught)),
            }
        }
        let ln = runs
            .into_iter()
            .map(|(theta, caught)| (ln_of_theta(theta), caught));
        Closing(ln.collect())
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
    /// Root mean square of what the densities are off, before.
    pub residual_from: f64,
    /// And after.
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
    Pores {
        /// The two that are farthest apart.
        rivals: [Branch; 2],
        /// The record's.
        from: Branch,
    },
}

/// What weighing in water or a length before and after tells of a density (assumed).
const DENSITY_ERROR: f64 = 0.001;
/// A figure whose standard error is more than this share of it is not determined (assumed).
pub const UNDETERMINED: f64 = 0.5;
/// Heating rates are two where the faster is so many times the slower (assumed).
const RATES_APART: f64 = 1.5;
/// Pieces have been through the same heat where lnΘ differs by less (assumed).
const THETA_SPREAD: f64 = 0.1;
/// Of so many standard errors is how far a figure may go (assumed).
const ERRORS: f64 = 3.0;
/// b moves by no more than this factor from the record's (assumed).
const B_FACTOR: f64 = 3.0;
/// And by so much of its logarithm, where the nearest curve of a kind is sought (assumed).
const B_SPAN: f64 = 1.6;
/// Shares of the record's b from which a curve is sought (assumed).
const SLOPES: [f64; 9] = [0.2, 0.35, 0.5, 0.7, 1.0, 1.4, 2.0, 3.0, 5.0];
/// Shares of the record's Q from which it is sought, and at which pores may close (assumed).
const ENERGIES: [f64; 9] = [0.4, 0.55, 0.7, 0.85, 1.0, 1.2, 1.5, 1.9, 2.5];
/// A piece is far off the others where its density is off by more than this, and by more than
/// [`OUTLIER_OF_REST`] times what they differ by (assumed).
const OUTLIER: f64 = 0.01;
const OUTLIER_OF_REST: f64 = 3.0;
/// Without another piece the rest would differ by this much more, share of full density and times
/// what it is without the one that is named: else nobody knows which of the two is wrong (assumed).
const AS_WELL: f64 = 0.003;
const AS_WELL_OF_REST: f64 = 2.0;

/// Fits a and b (and Q when `fit_q` and pieces were heated at two rates) of the lower branch to the shop's
/// own densities by least squares, each piece with the asymptote of its gas. What these do not determine
/// by its standard error stays as it was, and the others are fitted with that.
///
/// # Errors
/// See [`NotCalibrated`].
pub fn calibrate(
    sintering: &Sintering,
    start: f64,
    points: &[Measured],
    fit_q: bool,
) -> Result<Calibration, NotCalibrated> {
    let ways = ways_to_close(sintering, start, points, fit_q);
    let plausible = plausible(&ways);
    let alike = plausible.iter().map(|way| way.seen.clone());
    let Some(mut seen) = alike.reduce(|all, other| all.where_alike(&other)) else {
        // Too few for any curve; the fit says so.
        let seen = Seen::first(sintering, start, points);
        return fit(sintering, start, points, fit_q, &seen);
    };
    let mut curves: Vec<Branch> = plausible.iter().map(|way| way.by).collect();
    loop {
        let found = match fit(sintering, start, points, fit_q, &seen) {
            Ok(found) => found,
            Err(why) if seen.0.contains(&None) => {
                let rivals = farthest_apart(&curves);
                let from = sintering.low;
                return Err(rivals.map_or(why, |rivals| NotCalibrated::Pores { rivals, from }));
            }
            Err(why) => return Err(why),
        };
        curves.push(found.to);
        // A piece of which the curve found tells otherwise is told by nobody.
        let alike = seen.where_alike(&Seen::by(sintering, start, points, found.to));
        if alike == seen {
            return Ok(found);
        }
        seen = alike;
    }
}

/// The two of some curves that are farthest apart; none where they are one.
fn farthest_apart(curves: &[Branch]) -> Option<[Branch; 2]> {
    let by_a = |x: &&Branch, y: &&Branch| x.a.total_cmp(&y.a);
    let (least, most) = (curves.iter().min_by(by_a)?, curves.iter().max_by(by_a)?);
    (least != most).then_some([*least, *most])
}

/// Whether gas stays in the pores of a piece, by a curve.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Pores {
    /// They have not closed.
    Open,
    /// They closed without it.
    Without,
    /// They closed in it.
    Filled,
}

/// What became of the pores of each piece; none where nobody knows.
#[derive(Clone, Debug, PartialEq)]
struct Seen(Vec<Option<Pores>>);

impl Seen {
    /// By the record; a piece denser than gas in the pores lets it become had none in them.
    fn first(sintering: &Sintering, start: f64, points: &[Measured]) -> Seen {
        let mut seen = Seen::by(sintering, start, points, sintering.low);
        for (pores, piece) in seen.0.iter_mut().zip(points) {
            if piece.density >= sintering.asymptote.gas_filled && piece.is_mixed() {
                *pores = Some(Pores::Without);
            }
        }
        seen
    }

    /// By a branch.
    fn by(sintering: &Sintering, start: f64, points: &[Measured], by: Branch) -> Seen {
        let by = Sintering {
            low: by,
            ..sintering.clone()
        };
        let all = points.iter().map(|piece| {
            let had = piece.follow(&by, start).dense();
            Some(match (had.closed, had.end < by.asymptote.open) {
                (false, _) => Pores::Open,
                (true, false) => Pores::Without,
                (true, true) => Pores::Filled,
            })
        });
        Seen(all.collect())
    }

    /// Where two do not contradict each other: open pores tell nothing of how they would close.
    fn where_alike(&self, other: &Seen) -> Seen {
        let both = self.0.iter().zip(&other.0).map(|pair| match pair {
            (Some(Pores::Open), other) | (other, Some(Pores::Open)) => *other,
            (one, other) if one == other => *one,
            _ => None,
        });
        Seen(both.collect())
    }
}

/// A way in which the pores of all pieces may have closed, with the best curve that closes them so.
#[derive(Clone, Debug)]
struct Way {
    seen: Seen,
    by: Branch,
    /// Sum of the squares of what the densities are off.
    squares: f64,
    /// Pieces less figures.
    rest: usize,
}

/// Sum of squares, in variances of a density, by which a way may be worse than the best and still be
/// the one (assumed: two figures that are off by three or four of their errors).
const AS_WELL_SQUARES: f64 = 14.0;

/// Those that fit about as well as the best.
fn plausible(ways: &[Way]) -> Vec<&Way> {
    let best = ways.iter().min_by(|a, b| a.squares.total_cmp(&b.squares));
    let Some(best) = best else { return Vec::new() };
    let most = best.squares + AS_WELL_SQUARES * variance(best.squares, best.rest);
    ways.iter().filter(|way| way.squares <= most).collect()
}

/// Variance of a density by what so many are off beyond the figures found; few tell it badly.
fn variance(squares: f64, rest: usize) -> f64 {
    /// Student's t of one standard error, by pieces more than figures.
    const STUDENT: [f64; 5] = [1.84, 1.32, 1.20, 1.14, 1.11];
    let of = squares / rest.max(1) as f64;
    let t = rest.checked_sub(1).and_then(|i| STUDENT.get(i));
    of.max(DENSITY_ERROR * DENSITY_ERROR)
        * square(t.copied().unwrap_or(1.0 + 0.55 / rest.max(1) as f64))
}

/// All ways. How far a piece has come when its pores close is one value of lnΘ for all of them,
/// a + b·lnΦ: between two values at which a piece closes otherwise there is one way.
fn ways_to_close(sintering: &Sintering, start: f64, points: &[Measured], fit_q: bool) -> Vec<Way> {
    let from = sintering.low;
    let telling = points.iter().filter(|piece| tells(sintering, start, piece));
    let energies = match fit_q && !one_rate(telling) {
        true => &ENERGIES[..],
        false => &[1.0],
    };
    let mut out: Vec<Way> = Vec::new();
    for factor in energies {
        let q_j_mol = from.q_j_mol * factor;
        let at = Sintering {
            low: Branch { q_j_mol, ..from },
            ..sintering.clone()
        };
        // A piece that tells nothing asks nothing either.
        let closing = points
            .iter()
            .map(|piece| match tells(sintering, start, piece) {
                true => piece.closing(&at, start),
                false => Closing(Vec::new()),
            });
        let closing: Vec<Closing> = closing.collect();
        let mut borders: Vec<f64> = closing
            .iter()
            .flat_map(|c| c.0.iter().map(|r| r.0))
            .collect();
        borders.retain(|b| b.is_finite());
        borders.sort_by(f64::total_cmp);
        borders.dedup();
        // A curve on which they close at once, or never.
        let ends = [f64::NEG_INFINITY].into_iter().chain(borders);
        let lows: Vec<f64> = ends.collect();
        for (i, &low) in lows.iter().enumerate() {
            let high = lows.get(i + 1).copied().unwrap_or(f64::INFINITY);
            let pores = |c: &Closing| Some(c.at(high));
            let seen = Seen(closing.iter().map(pores).collect());
            let Some(way) = best_within(sintering, start, points, q_j_mol, seen, (low, high))
            else {
                continue;
            };
            match out.iter_mut().find(|w| w.seen == way.seen) {
                Some(had) if had.squares > way.squares => *had = way,
                Some(_) => {}
                None => out.push(way),
            }
        }
    }
    out
}

/// The curve of a way that is nearest to the densities, where pores close between two values of lnΘ.
fn best_within(
    sintering: &Sintering,
    start: f64,
    points: &[Measured],
    q_j_mol: f64,
    seen: Seen,
    (low, high): (f64, f64),
) -> Option<Way> {
    let all = points.iter().zip(&seen.0);
    let usable = all.enumerate();
    let usable = usable.filter(|(_, (piece, _))| tells(sintering, start, piece));
    let usable = usable.map(|(at, (piece, pores))| Usable {
        at,
        piece,
        filled: *pores == Some(Pores::Filled),
    });
    let data = Data {
        sintering,
        usable: usable.collect(),
        start,
    };
    let both = [Figure::A, Figure::B];
    let rest = data
        .usable
        .len()
        .checked_sub(both.len())
        .filter(|r| *r > 0)?;
    let x = data.thetas(q_j_mol);
    let from = Branch {
        q_j_mol,
        ..sintering.low
    };
    let free = data.fitted(from, &both)?;
    let lever = ln_phi(start, sintering.asymptote.open, CLOSURE.max(start + 1e-6));
    let closes = |by: Branch| by.a + by.b * lever;
    let by = if (low..=high).contains(&closes(free)) {
        free
    } else {
        // The nearest that is one lies at the border.
        let at = closes(free).clamp(low, high);
        let on = |ln_b: f64| {
            let b = libm::exp(ln_b);
            Branch {
                q_j_mol,
                a: at - b * lever,
                b,
            }
        };
        let middle = libm::log(from.b);
        let of = |ln_b: f64| data.squares(on(ln_b), &x);
        on(golden(of, middle - B_SPAN, middle + B_SPAN))
    };
    Some(Way {
        squares: data.squares(by, &x),
        seen,
        by,
        rest,
    })
}

/// Where a function of one valley is least between two ends.
fn golden(of: impl Fn(f64) -> f64, mut low: f64, mut high: f64) -> f64 {
    const GOLDEN: f64 = 0.618_033_988_749_895;
    for _ in 0..40 {
        let (c, d) = (high - GOLDEN * (high - low), low + GOLDEN * (high - low));
        if of(c) <= of(d) {
            high = d;
        } else {
            low = c;
        }
    }
    0.5 * (low + high)
}

/// Whether the density of a piece tells something of the lower branch by one way or another.
fn tells(sintering: &Sintering, start: f64, piece: &Measured) -> bool {
    let between = piece.density > start + 1e-6 && piece.density < sintering.asymptote.open - 1e-6;
    between && piece.history.len() > 1 && above(sintering, piece).is_none()
}

/// Runs of a history with and without gas: lnΘ at the end of each, and whether gas was around.
struct Closing(Vec<(f64, bool)>);

impl Closing {
    /// Pores of a piece that close just before a value of lnΘ.
    fn at(&self, ln_theta: f64) -> Pores {
        match self.0.iter().find(|run| run.0 >= ln_theta) {
            Some((_, true)) => Pores::Filled,
            Some((_, false)) => Pores::Without,
            None => Pores::Open,
        }
    }
}

/// ln of what a density has behind it over what it has before it.
fn ln_phi(start: f64, end: f64, at: f64) -> f64 {
    libm::log((at - start) / (end - at))
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
    let (data, unused) = Data::of(sintering, points, start, seen);
    if data.usable.len() < 3 {
        return Err(NotCalibrated::TooFewPoints(data.usable.len()));
    }
    let thetas = data.thetas(from.q_j_mol);
    let (least, most) = ends(thetas.into_iter());
    if most - least < THETA_SPREAD {
        return Err(NotCalibrated::NoSpread);
    }
    let one_rate = fit_q && one_rate(data.usable.iter().map(|p| p.piece));
    let mut free = vec![Figure::A, Figure::B];
    let mut kept = Vec::new();
    if one_rate {
        kept.push(Figure::Energy);
    } else if fit_q {
        free.push(Figure::Energy);
    }
    // What a figure that is kept may be off makes the other one uncertain, too.
    let mut beside_kept: Vec<(Figure, Option<f64>)> = Vec::new();
    let (to, error) = loop {
        let to = data.fitted(from, &free).ok_or(NotCalibrated::NothingTold)?;
        // How well a and b are known is asked at the energy found: all three move together.
        let at_energy: Vec<Figure> = free
            .iter()
            .copied()
            .filter(|f| *f != Figure::Energy)
            .collect();
        let mut errors = data.errors(to, &at_energy);
        let together = match free.contains(&Figure::Energy) {
            true => data.errors(to, &free),
            false => errors.clone(),
        };
        errors.extend(together.get(errors.len()));
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
            break (to, together);
        };
        if worst != Figure::Energy {
            beside_kept = free
                .iter()
                .copied()
                .zip(errors)
                .filter(|f| f.0 != Figure::Energy)
                .collect();
        }
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
    let error_of = |figure| {
        let at = free.iter().position(|f| *f == figure)?;
        let error = error.get(at).copied().flatten()?;
        match beside_kept.iter().find(|f| f.0 == figure) {
            Some((_, beside)) => Some(error.max((*beside)?)),
            None => Some(error),
        }
    };
    Ok(Calibration {
        from,
        to,
        residual_from: data.residual(from),
        residual: data.residual(to),
        points: data.usable.len(),
        error: [Figure::A, Figure::B, Figure::Energy].map(error_of),
        kept,
        one_rate,
        unused,
        outliers: data.outliers(to),
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
    let (data, unused) = Data::of(sintering, points, start, &seen);
    (unused, data.outliers(sintering.low))
}

/// Whether pieces were heated at one rate, which tells no energy.
fn one_rate<'a>(pieces: impl Iterator<Item = &'a Measured>) -> bool {
    let (slowest, fastest) = ends(pieces.map(|piece| piece.heating_k_s));
    fastest < RATES_APART * slowest
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
    /// As given.
    at: usize,
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
    /// Those that tell something, and those that do not, as given.
    fn of(
        sintering: &'a Sintering,
        points: &'a [Measured],
        start: f64,
        seen: &Seen,
    ) -> (Data<'a>, Vec<(usize, Unused)>) {
        let (mut usable, mut unused) = (Vec::new(), Vec::new());
        let asymptote = sintering.asymptote;
        for (i, (piece, pores)) in points.iter().zip(&seen.0).enumerate() {
            let filled = *pores == Some(Pores::Filled);
            let end = match filled {
                true => asymptote.gas_filled.min(asymptote.open),
                false => asymptote.open,
            };
            let between = piece.density > start + 1e-6 && piece.density < end - 1e-6;
            if let Some(split_k) = above(sintering, piece) {
                unused.push((i, Unused::UpperBranch(split_k)));
            } else if !between || piece.history.len() < 2 {
                unused.push((i, Unused::Density(end)));
            } else if pores.is_none() {
                unused.push((i, Unused::Pores));
            } else {
                usable.push(Usable {
                    at: i,
                    piece,
                    filled,
                });
            }
        }
        let data = Data {
            sintering,
            usable,
            start,
        };
        (data, unused)
    }

    fn thetas(&self, q_j_mol: f64) -> Vec<f64> {
        let all = self.usable.iter();
        all.map(|p| ln_theta(&p.piece.history, q_j_mol)).collect()
    }

    /// Densities by a branch and the lnΘ of each piece, with what stays in its pores as it was found.
    /// Where gas does, Θ goes on from where they closed to the lower asymptote (see
    /// [`Densifying::step`]).
    fn densities(&self, by: Branch, thetas: &[f64]) -> Vec<f64> {
        let (open, filled) = (
            self.sintering.asymptote.open,
            self.sintering.asymptote.gas_filled,
        );
        let at = CLOSURE.max(self.start);
        let filled = filled.max(at + 1e-6);
        let theta = |end: f64| match at > self.start {
            true => libm::exp(by.a + by.b * ln_phi(self.start, end, at)),
            false => 0.0,
        };
        let (closes, goes_on) = (theta(open), theta(filled));
        let all = self.usable.iter().zip(thetas).map(|(p, &ln)| {
            let since = libm::exp(ln) - closes;
            match p.filled && since > 0.0 {
                true => sigmoid(self.start, filled, libm::log(goes_on + since), by.a, by.b),
                false => sigmoid(self.start, open, ln, by.a, by.b),
            }
        });
        all.collect()
    }

    /// What the densities by a branch are off.
    fn off(&self, by: Branch, thetas: &[f64]) -> Vec<f64> {
        let all = self.densities(by, thetas).into_iter().zip(&self.usable);
        all.map(|(is, p)| is - p.piece.density).collect()
    }

    fn squares(&self, by: Branch, thetas: &[f64]) -> f64 {
        self.off(by, thetas).into_iter().map(square).sum()
    }

    /// Root mean square of what the forecast is off with a branch.
    fn residual(&self, by: Branch) -> f64 {
        let all = self.usable.iter();
        let off = all.map(|p| p.piece.density_by(self.sintering, self.start, by) - p.piece.density);
        libm::sqrt(off.map(square).sum::<f64>() / self.usable.len().max(1) as f64)
    }

    /// Pieces, as given, far off what the others say by themselves, the farthest first and then of those left;
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
        let given = found.into_iter().filter_map(|i| self.usable.get(i));
        given.map(|p| p.at).collect()
    }

    /// A piece, how far it is off what the others of some say, and how far these differ by themselves.
    fn beside_others(&self, at: Branch, i: usize, of: &[usize]) -> Option<(usize, f64, f64)> {
        let one = *self.usable.get(i)?;
        let some = |usable: Vec<Usable<'a>>| Data { usable, ..*self };
        let others = of.iter().filter(|j| **j != i);
        let rest = some(
            others
                .filter_map(|j| self.usable.get(*j).copied())
                .collect(),
        );
        let by = rest.fitted(at, &[Figure::A, Figure::B]).unwrap_or(at);
        let squares = rest.squares(by, &rest.thetas(by.q_j_mol));
        let rms = libm::sqrt(squares / rest.usable.len().max(1) as f64);
        let alone = some(vec![one]);
        let off = alone.squares(by, &alone.thetas(by.q_j_mol));
        Some((i, libm::sqrt(off), rms))
    }

    /// Best figures, those that are not free as they were; none where there is no piece.
    fn fitted(&self, from: Branch, free: &[Figure]) -> Option<Branch> {
        let is_free = |figure: Figure| free.contains(&figure);
        let energies = match is_free(Figure::Energy) {
            true => &ENERGIES[..],
            false => &[1.0],
        };
        let slopes = match is_free(Figure::B) {
            true => &SLOPES[..],
            false => &[1.0],
        };
        let mut best: Option<(f64, Branch)> = None;
        for energy in energies {
            let q_j_mol = from.q_j_mol * energy;
            let thetas = self.thetas(q_j_mol);
            for slope in slopes {
                let b = from.b * slope;
                let a = match is_free(Figure::A) {
                    true => self.middle(b, &thetas),
                    false => from.a,
                };
                let by = Branch { q_j_mol, a, b };
                let squares = self.squares(by, &thetas);
                if squares.is_finite() && best.is_none_or(|best| squares < best.0) {
                    best = Some((squares, by));
                }
            }
        }
        Some(self.nearest(best?.1, free))
    }

    /// Best figures near some.
    fn nearest(&self, near: Branch, free: &[Figure]) -> Branch {
        // All are sought by their logarithms: a is a place on the axis of lnΘ, of which b is the scale.
        let with = |shares: &[f64]| {
            let all = free.iter().zip(shares);
            all.fold(near, |by, (figure, share)| {
                figure.moved(by, libm::log(*share))
            })
        };
        let at_near = self.thetas(near.q_j_mol);
        let found = least_squares(&vec![1.0; free.len()], |shares| {
            let by = with(shares);
            let off = match free.contains(&Figure::Energy) {
                true => self.off(by, &self.thetas(by.q_j_mol)),
                false => self.off(by, &at_near),
            };
            off.iter().all(|x| x.is_finite()).then_some(off)
        });
        found.map_or(near, |found| with(&found.to))
    }

    /// a in the middle of where a slope puts it by each piece.
    fn middle(&self, b: f64, thetas: &[f64]) -> f64 {
        let each = self.usable.iter().zip(thetas).map(|(p, theta)| {
            // A piece denser than its curve becomes is near its end.
            let end = match p.filled && p.piece.density > CLOSURE {
                true => self.sintering.asymptote.gas_filled,
                false => self.sintering.asymptote.open,
            };
            let at = p
                .piece
                .density
                .min(end - 0.1 * (end - self.start) * DENSITY_ERROR);
            theta - b * ln_phi(self.start, end, at)
        });
        each.sum::<f64>() / self.usable.len().max(1) as f64
    }

    /// Errors of the figures that are free: a third of how far each may go, the others following, until
    /// the densities are off by three errors more. None where as many figures as pieces leave nothing to
    /// tell it from, where the pieces tell them only together, or where one may go anywhere.
    fn errors(&self, at: Branch, free: &[Figure]) -> Vec<Option<f64>> {
        let rest = self.usable.len().saturating_sub(free.len());
        if rest == 0 {
            return vec![None; free.len()];
        }
        let of = |by: Branch| self.densities(by, &self.thetas(by.q_j_mol));
        let squares = self.squares(at, &self.thetas(at.q_j_mol));
        let variance = variance(squares, rest);
        let here = of(at);
        const STEP: f64 = 1e-3;
        let slope = |figure: &Figure| -> Vec<f64> {
            let there = of(figure.moved(at, STEP));
            let both = there.iter().zip(&here);
            both.map(|(a, b)| (a - b) / STEP).collect()
        };
        let columns: Vec<Vec<f64>> = free.iter().map(slope).collect();
        let told = standard_errors(&columns, variance).into_iter();
        let most = squares + square(ERRORS) * variance;
        let each = told.zip(free);
        each.map(|(told, figure)| self.reach((at, *figure, free), told?, most))
            .collect()
    }

    /// A third of how far a figure may go either way before the squares are too many; `told` is what it
    /// is near where it is best, of its scale.
    fn reach(
        &self,
        (at, figure, free): (Branch, Figure, &[Figure]),
        told: f64,
        most: f64,
    ) -> Option<f64> {
        /// Nothing tells a figure that may go so many times as far as it may near its best (assumed).
        const FAR: f64 = 30.0;
        let others: Vec<Figure> = free.iter().copied().filter(|f| *f != figure).collect();
        let mut out: f64 = 0.0;
        for way in [-1.0, 1.0] {
            // The others follow from step to step.
            let mut by = at;
            let mut moved = |share: f64| {
                by = self.nearest(figure.at(by, figure.moved(at, way * share)), &others);
                self.squares(by, &self.thetas(by.q_j_mol))
            };
            let step = ERRORS * told / 2.0;
            let (mut within, mut over) = (0.0, step);
            while moved(over) <= most {
                (within, over) = (over, over + step.max(0.4 * over));
                if over > FAR * told {
                    return None;
                }
            }
            for _ in 0..12 {
                let middle = f64::midpoint(within, over);
                match moved(middle) <= most {
                    true => within = middle,
                    false => over = middle,
                }
            }
            out = out.max(figure.off(at, figure.moved(at, way * over)));
        }
        Some(out / ERRORS)
    }
}

impl Figure {
    /// A branch with this figure moved by a share: a of b, the others of themselves.
    fn moved(self, by: Branch, share: f64) -> Branch {
        match self {
            Figure::A => Branch {
                a: by.a + by.b * share,
                ..by
            },
            Figure::B => Branch {
                b: by.b * libm::exp(share),
                ..by
            },
            Figure::Energy => Branch {
                q_j_mol: by.q_j_mol * libm::exp(share),
                ..by
            },
        }
    }

    /// A branch with this figure of another.
    fn at(self, by: Branch, other: Branch) -> Branch {
        match self {
            Figure::A => Branch { a: other.a, ..by },
            Figure::B => Branch { b: other.b, ..by },
            Figure::Energy => Branch {
                q_j_mol: other.q_j_mol,
                ..by
            },
        }
    }

    /// How far two branches are apart in this figure.
    fn off(self, by: Branch, other: Branch) -> f64 {
        let off = match self {
            Figure::A => by.a - other.a,
            Figure::B => by.b - other.b,
            Figure::Energy => by.q_j_mol - other.q_j_mol,
        };
        off.abs()
    }
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

    /// With a kept, b is what no other b beats.
    #[test]
    fn a_figure_beside_one_that_is_kept_is_the_best_of_its_kind() {
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
        let seen = Seen::first(&sintering, 0.6, &pieces);
        let (data, _) = Data::of(&sintering, &pieces, 0.6, &seen);
        let x = data.thetas(q);
        // A figure that the pieces alone would not give.
        let from = Branch {
            a: x.iter().sum::<f64>() / 3.0 - 1.0,
            ..any
        };
        let found = data.fitted(from, &[Figure::B]).unwrap();
        assert_eq!(found.a, from.a);
        for factor in [0.98, 1.02] {
            let beside = Branch {
                b: factor * found.b,
                ..found
            };
            assert!(data.squares(beside, &x) > data.squares(found, &x));
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

    /// Numbers between 0 and 1 that look like chance (splitmix64).
    struct Dice(u64);

    impl Dice {
        fn next(&mut self) -> f64 {
            self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
            let mut x = self.0;
            x = (x ^ (x >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
            x = (x ^ (x >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
            ((x ^ (x >> 31)) >> 11) as f64 / (1u64 << 53) as f64
        }

        fn of(&mut self, values: &[f64]) -> f64 {
            values[(self.next() * values.len() as f64) as usize]
        }

        /// Of a normal distribution, near enough.
        fn error(&mut self) -> f64 {
            (0..12).map(|_| self.next()).sum::<f64>() - 6.0
        }
    }

    /// Up to a hold, and on to a top that is hotter or not at all. `gas`: whether gas is around before
    /// and from the top's ramp on.
    fn two_steps(dice: &mut Dice, gas: [bool; 2]) -> Measured {
        const STEP_S: f64 = 300.0;
        let mut piece = Measured {
            history: vec![(0.0, 1000.0)],
            caught: vec![gas[0]],
            heating_k_s: 25.0 / STEP_S,
            density: 0.0,
        };
        let (hold, hold_k) = (
            dice.of(&[1.0, 6.0, 12.0, 24.0, 40.0, 80.0]),
            dice.of(&[1450.0, 1500.0, 1530.0]),
        );
        let (top, top_k) = (
            dice.of(&[0.0, 2.0, 6.0, 12.0, 24.0]),
            dice.of(&[1560.0, 1600.0, 1640.0]),
        );
        let mut k = 1000.0;
        for (to_k, steps, gas) in [(hold_k, hold, gas[0]), (top_k, top, gas[1])] {
            if steps == 0.0 {
                continue;
            }
            let rising = ((to_k - k) / 25.0_f64).ceil() as usize;
            for _ in 0..rising + steps as usize {
                k = f64::min(k + 25.0, to_k);
                let t = STEP_S * piece.history.len() as f64;
                piece.history.push((t, k));
                piece.caught.push(gas);
            }
        }
        piece
    }

    /// What came of calibrations with noise on the densities.
    #[derive(Debug, Default)]
    struct Count {
        wrong: usize,
        right: usize,
        /// Refused, or told without how far it may be off.
        open: usize,
        /// Refused since two answers fit, which are told.
        rivals: usize,
        /// Of these, such that have the truth outside of both.
        beside: usize,
    }

    /// Pieces made with the forecast's own curve, some seeds of noise on each set.
    fn count(gas: &[[bool; 2]], noise: f64, sets: u64) -> Count {
        let mut out = Count::default();
        for set in 0..sets {
            let mut dice = Dice(1000 + set);
            let truth = Branch {
                q_j_mol: 280e3,
                a: dice.of(&[-22.5, -23.5, -24.2, -25.0]),
                b: dice.of(&[0.9, 1.1, 1.3]),
            };
            let from = Branch {
                a: truth.a + dice.of(&[-1.5, -0.5, 0.5, 1.5]),
                b: truth.b * dice.of(&[0.85, 1.0, 1.2]),
                ..truth
            };
            let mut sintering = record(truth, 0.99);
            sintering.asymptote.gas_filled = 0.97;
            let wanted = 3 + (set % 6) as usize;
            let mut pieces: Vec<Measured> = Vec::new();
            while pieces.len() < wanted {
                let at = (dice.next() * gas.len() as f64) as usize;
                let mut piece = two_steps(&mut dice, gas[at]);
                piece.density = piece.density_by(&sintering, 0.6, truth);
                if (0.66..0.985).contains(&piece.density) {
                    pieces.push(piece);
                }
            }
            sintering.low = from;
            for seed in 0..40 {
                let mut dice = Dice(77 * set + 1_000_003 * (seed + 1));
                let mut noisy = pieces.clone();
                for piece in &mut noisy {
                    piece.density += noise * dice.error();
                }
                match calibrate(&sintering, 0.6, &noisy, false) {
                    Ok(c) => match c.error[0] {
                        Some(e) if (c.to.a - truth.a).abs() > f64::max(3.0 * e, 0.5) => {
                            out.wrong += 1;
                        }
                        Some(_) => out.right += 1,
                        None => out.open += 1,
                    },
                    Err(why) => {
                        out.open += 1;
                        if let NotCalibrated::Pores { rivals, .. } = why {
                            out.rivals += 1;
                            // Both are told, and the truth is not outside.
                            let [least, most] = rivals.map(|by| by.a);
                            let within = least - 0.5..=most + 0.5;
                            out.beside += usize::from(!within.contains(&truth.a));
                        }
                    }
                }
            }
        }
        out
    }

    /// Partly in vacuum and partly in gas, with the truth where pores close otherwise from one answer to
    /// the next: no answer that is wrong, and those that one kind of run gives are given.
    #[test]
    fn noise_makes_no_answer_that_is_wrong_and_said_to_be_sure() {
        let mixed = [[false, true], [true, false]];
        for (gas, noise, sets, least_right, most_wrong) in [
            (&mixed[..], 0.001, 24, 540, 0),
            (&mixed[..], 0.002, 24, 440, 5),
            (&[[false; 2]], 0.001, 12, 390, 0),
            (&[[true; 2]], 0.001, 12, 235, 0),
        ] {
            let found = count(gas, noise, sets);
            assert!(found.wrong <= most_wrong, "{gas:?} {noise}: {found:?}");
            assert!(found.beside <= most_wrong, "{gas:?} {noise}: {found:?}");
            assert_eq!(
                found.rivals > 0,
                gas.len() > 1,
                "{gas:?} {noise}: {found:?}"
            );
            assert!(found.right >= least_right, "{gas:?} {noise}: {found:?}");
        }
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
