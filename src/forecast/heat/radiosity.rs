//! Radiation in a closed gap of grey, diffuse surfaces: Gebhart's factors.

use crate::forecast::constants::SIGMA;

/// One surface of a gap.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Surface {
    /// Area, m².
    pub area_m2: f64,
    /// Emissivity.
    pub emissivity: f64,
}

/// Exchange coefficients K, W/K⁴, row-major: Q_i = Σ K_ij (T_j⁴ − T_i⁴). `views` holds the view
/// factors row-major; rows add to 1. B = (I − F·diag(1−ε))⁻¹ F·diag(ε), K = σAεB, symmetrised.
/// None when the system is singular or not finite.
pub fn exchange(surfaces: &[Surface], views: &[f64]) -> Option<Vec<f64>> {
    let n = surfaces.len();
    if views.len() != n * n {
        return None;
    }
    let mut m = vec![0.0; n * n];
    let mut b = vec![0.0; n * n];
    for i in 0..n {
        for (j, s) in surfaces.iter().enumerate() {
            let f = views[i * n + j];
            m[i * n + j] = if i == j { 1.0 } else { 0.0 } - f * (1.0 - s.emissivity);
            b[i * n + j] = f * s.emissivity;
        }
    }
    solve(&mut m, &mut b, n, n)?;
    let mut k = vec![0.0; n * n];
    for i in 0..n {
        for j in 0..n {
            let one = surfaces[i].area_m2 * surfaces[i].emissivity * b[i * n + j];
            let other = surfaces[j].area_m2 * surfaces[j].emissivity * b[j * n + i];
            k[i * n + j] = SIGMA * 0.5 * (one + other);
        }
    }
    k.iter().all(|x| x.is_finite()).then_some(k)
}

/// Solves m·x = b for `cols` right-hand sides in place, with row pivoting.
pub(crate) fn solve(m: &mut [f64], b: &mut [f64], n: usize, cols: usize) -> Option<()> {
    for c in 0..n {
        let mut best = c;
        for r in c + 1..n {
            if m[r * n + c].abs() > m[best * n + c].abs() {
                best = r;
            }
        }
        let pivot = m[best * n + c];
        if pivot.is_nan() || pivot.abs() <= 1e-300 {
            return None;
        }
        if best != c {
            for j in 0..n {
                m.swap(c * n + j, best * n + j);
            }
            for j in 0..cols {
                b.swap(c * cols + j, best * cols + j);
            }
        }
        for r in 0..n {
            if r == c {
                continue;
            }
            let f = m[r * n + c] / pivot;
            if f == 0.0 {
                continue;
            }
            for j in c..n {
                m[r * n + j] -= f * m[c * n + j];
            }
            for j in 0..cols {
                b[r * cols + j] -= f * b[c * cols + j];
            }
        }
    }
    for r in 0..n {
        let d = m[r * n + r];
        for j in 0..cols {
            b[r * cols + j] /= d;
        }
    }
    Some(())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// physics.md row 62 (derived): an enclosure of two surfaces, ε 0.5 and 0.3, A1/A2 = 1/3.
    #[test]
    fn two_surface_enclosure() {
        let s = [
            Surface {
                area_m2: 1.0,
                emissivity: 0.5,
            },
            Surface {
                area_m2: 3.0,
                emissivity: 0.3,
            },
        ];
        let views = [0.0, 1.0, 1.0 / 3.0, 2.0 / 3.0];
        let k = exchange(&s, &views).unwrap();
        // 1/(1/ε1 + (A1/A2)(1/ε2 − 1)) with ε1 0.5, ε2 0.3: 0.36.
        assert!((k[1] / SIGMA - 0.36).abs() < 1e-9, "{}", k[1] / SIGMA);
        assert_eq!(k[1], k[2]);
    }

    #[test]
    fn black_surfaces_exchange_by_views_alone() {
        let s = [Surface {
            area_m2: 2.0,
            emissivity: 1.0,
        }; 2];
        let k = exchange(&s, &[0.0, 1.0, 1.0, 0.0]).unwrap();
        assert!((k[1] / SIGMA - 2.0).abs() < 1e-12);
    }
}
