//! View factors between coaxial parallel rings of rectangles or discs, by inclusion and exclusion
//! of the closed forms for whole rectangles and discs.

use crate::forecast::inputs::PlanShape;
use std::f64::consts::PI;

/// View factor from rectangle (w1 × d1) to the coaxial parallel rectangle (w2 × d2) at a distance,
/// m. Closed form of section 4.3 (the usual catalogue form for rectangles with parallel edges).
pub fn rectangles(w1: f64, d1: f64, w2: f64, d2: f64, h: f64) -> f64 {
    if !(w1 > 0.0 && d1 > 0.0 && w2 > 0.0 && d2 > 0.0 && h > 0.0) {
        return 0.0;
    }
    let g = |u: f64, v: f64| {
        let p = libm::sqrt(u * u + h * h);
        let q = libm::sqrt(v * v + h * h);
        (v * p * libm::atan(v / p) + u * q * libm::atan(u / q)
            - 0.5 * h * h * libm::log(u * u + v * v + h * h))
            / (2.0 * PI)
    };
    let mut sum = 0.0;
    for (i, x) in [-w1 / 2.0, w1 / 2.0].into_iter().enumerate() {
        for (j, y) in [-d1 / 2.0, d1 / 2.0].into_iter().enumerate() {
            for (k, eta) in [-d2 / 2.0, d2 / 2.0].into_iter().enumerate() {
                for (l, xi) in [-w2 / 2.0, w2 / 2.0].into_iter().enumerate() {
                    let sign = if (i + j + k + l) % 2 == 0 { 1.0 } else { -1.0 };
                    sum += sign * g(x - xi, y - eta);
                }
            }
        }
    }
    sum / (w1 * d1)
}

/// View factor from a disc to a coaxial parallel disc, radii and distance in m.
pub fn discs(r1: f64, r2: f64, h: f64) -> f64 {
    if !(r1 > 0.0 && r2 > 0.0 && h > 0.0) {
        return 0.0;
    }
    let a = r1 / h;
    let b = r2 / h;
    let s = 1.0 + (1.0 + b * b) / (a * a);
    let ratio = r2 / r1;
    // (S − √(S² − 4ρ²))/2 without its cancellation.
    2.0 * ratio * ratio / (s + libm::sqrt((s * s - 4.0 * ratio * ratio).max(0.0)))
}

/// View factors between `zones` equal-area rings of two opposite plates at a distance: row-major,
/// from ring i to ring j, centre first. Symmetric, since the areas are equal.
pub fn rings(shape: PlanShape, zones: usize, h_m: f64) -> Vec<f64> {
    let scale = |z: usize| libm::sqrt(z as f64 / zones as f64);
    // Exchange areas of whole inner shapes in units of a ring's area: i·F(i → j).
    let whole = |i: usize, j: usize| {
        if i == 0 || j == 0 {
            return 0.0;
        }
        let f = match shape {
            PlanShape::Rectangle { width_m, depth_m } => rectangles(
                width_m * scale(i),
                depth_m * scale(i),
                width_m * scale(j),
                depth_m * scale(j),
                h_m,
            ),
            PlanShape::Disc { radius_m } => discs(radius_m * scale(i), radius_m * scale(j), h_m),
        };
        i as f64 * f
    };
    let mut wholes = vec![0.0; (zones + 1) * (zones + 1)];
    for i in 0..=zones {
        for j in i..=zones {
            let x = whole(i, j);
            wholes[i * (zones + 1) + j] = x;
            wholes[j * (zones + 1) + i] = x;
        }
    }
    let at = |i: usize, j: usize| wholes[i * (zones + 1) + j];
    let mut out = vec![0.0; zones * zones];
    for i in 1..=zones {
        for j in 1..=zones {
            let f = at(i, j) - at(i - 1, j) - at(i, j - 1) + at(i - 1, j - 1);
            out[(i - 1) * zones + j - 1] = f.clamp(0.0, 1.0);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn squares_as_tabulated() {
        // model.md 4.3, derived: unit squares, and side 5 at distance 1.
        assert!((rectangles(1.0, 1.0, 1.0, 1.0, 1.0) - 0.199_825).abs() < 1e-6);
        assert!((rectangles(5.0, 5.0, 5.0, 5.0, 1.0) - 0.690_245).abs() < 1e-6);
    }

    #[test]
    fn reciprocity_and_sums() {
        let (a, b) = (
            rectangles(1.0, 2.0, 3.0, 1.5, 0.7) * 2.0,
            rectangles(3.0, 1.5, 1.0, 2.0, 0.7) * 4.5,
        );
        assert!((a - b).abs() < 1e-12);
        assert!((discs(1.0, 2.0, 0.5) - 4.0 * discs(2.0, 1.0, 0.5)).abs() < 1e-12);
        // A disc before an endless plate sees nothing else.
        assert!((discs(1.0, 1e6, 0.5) - 1.0).abs() < 1e-9);
    }

    #[test]
    fn reference_gap_centre_to_opening() {
        // model.md 4.3: gap 27.25 mm of the reference, centre to opening 0.0714.
        let shape = PlanShape::Rectangle {
            width_m: 0.25,
            depth_m: 0.25,
        };
        let f = rings(shape, 2, 0.02725);
        assert!(
            (1.0 - f[0] - f[1] - 0.0714).abs() < 5e-5,
            "{}",
            1.0 - f[0] - f[1]
        );
    }

    #[test]
    fn rings_add_up_to_the_whole() {
        for shape in [
            PlanShape::Rectangle {
                width_m: 0.3,
                depth_m: 0.2,
            },
            PlanShape::Disc { radius_m: 0.12 },
        ] {
            let whole = rings(shape, 1, 0.03)[0];
            for n in [2, 3, 4, 8] {
                let f = rings(shape, n, 0.03);
                let mean: f64 = f.iter().sum::<f64>() / n as f64;
                assert!((mean - whole).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn a_square_and_a_disc_of_the_same_area_see_about_the_same() {
        let square = rectangles(0.2, 0.2, 0.2, 0.2, 0.03);
        let disc = discs(0.2 / PI.sqrt(), 0.2 / PI.sqrt(), 0.03);
        assert!((square - disc).abs() < 0.02, "{square} {disc}");
    }
}
