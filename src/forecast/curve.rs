//! Piecewise linear curves, and their fast form on a uniform grid.

/// y over x, linear between points and held constant outside. x rises strictly.
#[derive(Clone, Debug, PartialEq)]
pub struct Curve {
    points: Vec<(f64, f64)>,
}

impl Curve {
    /// A constant.
    pub fn constant(y: f64) -> Curve {
        Curve {
            points: vec![(0.0, y)],
        }
    }

    /// Through points. Those that are not finite or do not rise in x are left out; without any
    /// left the curve is none.
    pub fn new(points: &[(f64, f64)]) -> Option<Curve> {
        let mut kept: Vec<(f64, f64)> = Vec::with_capacity(points.len());
        for &(x, y) in points {
            let rises = kept.last().is_none_or(|&(last, _)| x > last);
            if x.is_finite() && y.is_finite() && rises {
                kept.push((x, y));
            }
        }
        (!kept.is_empty()).then_some(Curve { points: kept })
    }

    /// Points.
    pub fn points(&self) -> &[(f64, f64)] {
        &self.points
    }

    /// Value at x.
    pub fn at(&self, x: f64) -> f64 {
        let after = self.points.partition_point(|&(px, _)| px <= x);
        match (
            after.checked_sub(1).and_then(|i| self.points.get(i)),
            self.points.get(after),
        ) {
            (Some(&(x0, y0)), Some(&(x1, y1))) => y0 + (y1 - y0) * (x - x0) / (x1 - x0),
            (Some(&(_, y)), None) | (None, Some(&(_, y))) => y,
            (None, None) => 0.0,
        }
    }

    /// ∫ y dx from a to b, exact.
    pub fn integral(&self, a: f64, b: f64) -> f64 {
        if b < a {
            return -self.integral(b, a);
        }
        let mut knots = vec![a];
        knots.extend(self.points.iter().map(|p| p.0).filter(|&x| x > a && x < b));
        knots.push(b);
        knots
            .windows(2)
            .map(|w| 0.5 * (self.at(w[0]) + self.at(w[1])) * (w[1] - w[0]))
            .sum()
    }

    /// Whether x lies where points are.
    pub fn covers(&self, x: f64) -> bool {
        match (self.points.first(), self.points.last()) {
            (Some(a), Some(b)) => x >= a.0 && x <= b.0,
            _ => false,
        }
    }
}

/// Lowest temperature of a [`Grid`], K.
const GRID_FROM_K: f64 = 150.0;
/// Spacing of a [`Grid`], K; the knots of the usual tables fall on it.
const GRID_STEP_K: f64 = 2.0;
const GRID_LEN: usize = 1400;

/// A function of temperature on a grid of 2 K from 150 to 2948 K, with its slope.
#[derive(Clone, Debug, PartialEq)]
pub struct Grid {
    values: Vec<f64>,
}

impl Grid {
    /// Tabulates a function of temperature, K.
    pub fn of(f: impl Fn(f64) -> f64) -> Grid {
        Grid {
            values: (0..=GRID_LEN)
                .map(|i| f(GRID_FROM_K + GRID_STEP_K * i as f64))
                .collect(),
        }
    }

    /// Tabulates a curve.
    pub fn from_curve(curve: &Curve) -> Grid {
        Grid::of(|t| curve.at(t))
    }

    /// Value and slope at a temperature, K; constant outside the grid.
    #[inline]
    pub fn at(&self, t_k: f64) -> (f64, f64) {
        let x = ((t_k - GRID_FROM_K) * (1.0 / GRID_STEP_K)).clamp(0.0, GRID_LEN as f64 - 0.5);
        let i = x as usize;
        match self.values.get(i..i + 2) {
            Some(&[a, b]) => (a + (b - a) * (x - i as f64), (b - a) * (1.0 / GRID_STEP_K)),
            _ => (0.0, 0.0),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_curve_is_linear_between_and_constant_outside() {
        let c = Curve::new(&[(0.0, 1.0), (2.0, 5.0)]).unwrap();
        assert_eq!((c.at(-1.0), c.at(1.0), c.at(3.0)), (1.0, 3.0, 5.0));
        assert!((c.integral(-1.0, 3.0) - (1.0 + 6.0 + 5.0)).abs() < 1e-12);
        assert!(Curve::new(&[(f64::NAN, 1.0)]).is_none());
    }

    #[test]
    fn a_grid_repeats_knots_that_fall_on_it() {
        let c = Curve::new(&[(298.0, 772.9), (500.0, 1040.8), (1000.0, 1224.9)]).unwrap();
        let g = Grid::from_curve(&c);
        for t in [200.0, 298.0, 333.3, 500.0, 777.7, 1500.0, 9000.0] {
            assert!((g.at(t).0 - c.at(t)).abs() < 1e-9, "{t}");
        }
        assert!(g.at(f64::NAN).0.is_nan() || g.at(f64::NAN).0.is_finite());
    }
}
