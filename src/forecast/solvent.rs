//! The first step: Crank's diffusion out of slab, cylinder, sphere and brick; the bath; the dryer.

use super::constants::{R, molar_volume_m3};
use std::f64::consts::PI;

/// Shape of the governing section.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Body {
    /// Slab, a = half thickness, m (the full thickness where one face lies on a tray).
    Slab(f64),
    /// Long cylinder of radius a, m.
    Cylinder(f64),
    /// Sphere of radius a, m.
    Sphere(f64),
    /// Brick of three half sides, m: what is left multiplies.
    Brick([f64; 3]),
    /// Cylinder of radius and half height, m.
    ShortCylinder([f64; 2]),
}

/// First zeros of J0 (Abramowitz and Stegun, table 9.5); later ones by McMahon's expansion.
const J0_ZEROS: [f64; 4] = [
    2.404_825_557_695_773,
    5.520_078_110_286_311,
    8.653_727_912_911_013,
    11.791_534_439_014_281,
];

fn j0_zero(n: usize) -> f64 {
    if let Some(z) = J0_ZEROS.get(n) {
        return *z;
    }
    // McMahon: β + 1/(8β) − 124/(3(8β)³) + …, β = (n + 3/4)π for n from 0.
    let b = (n as f64 + 0.75) * PI;
    let e = 8.0 * b;
    b + 1.0 / e - 124.0 / (3.0 * e * e * e) + 120_928.0 / (15.0 * e * e * e * e * e)
}

/// Below this Fourier number a short-time form converges faster than the series.
const SHORT: f64 = 0.02;
const TERMS: usize = 40;

/// Mean share left in a slab at Fo = Dt/a² (Crank 1975, eq. 4.18).
pub fn slab_left(fo: f64) -> f64 {
    if fo <= 0.0 {
        return 1.0;
    }
    if fo < SHORT {
        // 1 − 2√(Fo/π); what follows is below 1e-20 here.
        return 1.0 - 2.0 * libm::sqrt(fo / PI);
    }
    let mut sum = 0.0;
    for n in 0..TERMS {
        let k = (2 * n + 1) as f64;
        sum += libm::exp(-k * k * PI * PI * fo / 4.0) / (k * k);
    }
    8.0 / (PI * PI) * sum
}

/// Share left in the middle of a slab: (4/π) Σ (−1)ⁿ/(2n+1) exp(−(2n+1)²π²Fo/4).
pub fn slab_centre_left(fo: f64) -> f64 {
    if fo < SHORT {
        return 1.0;
    }
    let mut sum = 0.0;
    for n in 0..TERMS {
        let k = (2 * n + 1) as f64;
        let sign = if n % 2 == 0 { 1.0 } else { -1.0 };
        sum += sign * libm::exp(-k * k * PI * PI * fo / 4.0) / k;
    }
    (4.0 / PI * sum).clamp(0.0, 1.0)
}

/// Mean share left in a long cylinder (Crank 1975, eq. 5.23).
pub fn cylinder_left(fo: f64) -> f64 {
    if fo <= 0.0 {
        return 1.0;
    }
    if fo < 2e-3 {
        // Short times: 1 − 4√(Fo/π) + Fo + Fo^(3/2)/(3√π).
        let root = libm::sqrt(fo / PI);
        return 1.0 - 4.0 * root + fo + root * fo / 3.0;
    }
    let mut sum = 0.0;
    for n in 0..TERMS {
        let a = j0_zero(n);
        sum += 4.0 * libm::exp(-a * a * fo) / (a * a);
    }
    sum
}

/// Share left on a long cylinder's axis: Σ 2/(αJ1(α)) exp(−α²Fo).
pub fn cylinder_centre_left(fo: f64) -> f64 {
    if fo < SHORT {
        return 1.0;
    }
    let mut sum = 0.0;
    for n in 0..TERMS {
        let a = j0_zero(n);
        sum += 2.0 / (a * libm::j1(a)) * libm::exp(-a * a * fo);
    }
    sum.clamp(0.0, 1.0)
}

/// Mean share left in a sphere (Crank 1975, eq. 6.20).
pub fn sphere_left(fo: f64) -> f64 {
    if fo <= 0.0 {
        return 1.0;
    }
    if fo < SHORT {
        // Short times: 1 − 6√(Fo/π) + 3Fo.
        return 1.0 - 6.0 * libm::sqrt(fo / PI) + 3.0 * fo;
    }
    let mut sum = 0.0;
    for n in 1..=TERMS {
        let k = n as f64;
        sum += libm::exp(-k * k * PI * PI * fo) / (k * k);
    }
    6.0 / (PI * PI) * sum
}

/// Share left in a sphere's middle: 2 Σ (−1)^(n+1) exp(−n²π²Fo).
pub fn sphere_centre_left(fo: f64) -> f64 {
    if fo < SHORT {
        return 1.0;
    }
    let mut sum = 0.0;
    for n in 1..=TERMS {
        let k = n as f64;
        let sign = if n % 2 == 1 { 1.0 } else { -1.0 };
        sum += sign * libm::exp(-k * k * PI * PI * fo);
    }
    (2.0 * sum).clamp(0.0, 1.0)
}

/// What is left of the soluble binder, in the mean and in the middle, 0–1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Left {
    /// Mean.
    pub mean: f64,
    /// Middle.
    pub centre: f64,
}

/// Left after ∫D dt, m².
pub fn left(body: Body, dt_m2: f64) -> Left {
    let fo = |a: f64| {
        if a > 0.0 {
            dt_m2 / (a * a)
        } else {
            f64::INFINITY
        }
    };
    let slab = |a: f64| (slab_left(fo(a)), slab_centre_left(fo(a)));
    let round = |a: f64| (cylinder_left(fo(a)), cylinder_centre_left(fo(a)));
    let product = |parts: &[(f64, f64)]| {
        parts
            .iter()
            .fold((1.0, 1.0), |(m, c), p| (m * p.0, c * p.1))
    };
    let (mean, centre) = match body {
        Body::Slab(a) => slab(a),
        Body::Cylinder(a) => round(a),
        Body::Sphere(a) => (sphere_left(fo(a)), sphere_centre_left(fo(a))),
        Body::Brick(s) => product(&s.map(slab)),
        Body::ShortCylinder([r, h]) => product(&[round(r), slab(h)]),
    };
    Left { mean, centre }
}

/// Arrhenius law of the diffusivity: D0·exp(−E/RT).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Diffusivity {
    /// D0, m²/s.
    pub d0_m2_s: f64,
    /// E, J/mol.
    pub e_j_mol: f64,
}

impl Diffusivity {
    /// D at a temperature, m²/s.
    pub fn at(&self, t_k: f64) -> f64 {
        self.d0_m2_s * libm::exp(-self.e_j_mol / (R * t_k))
    }
}

/// Wax in the bath at which it dissolves no more, kg/m³ (900 g/L, assumed).
pub const BATH_FULL_KG_M3: f64 = 900.0;

/// Result of the bath.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bath {
    /// Share of the soluble binder that is out, mean.
    pub out: f64,
    /// Share left in the middle.
    pub centre_left: f64,
    /// The same mean by other shapes of the same section: cylinder, sphere.
    pub other_shapes_out: [f64; 2],
}

/// After a time in the bath at a temperature, with wax in it: M = M_Crank (1 − c/900).
pub fn bath(d: Diffusivity, body: Body, t_k: f64, time_s: f64, wax_kg_m3: f64) -> Bath {
    let dt = d.at(t_k) * time_s.max(0.0);
    let fresh = (1.0 - wax_kg_m3 / BATH_FULL_KG_M3).clamp(0.0, 1.0);
    let here = left(body, dt);
    let a = match body {
        Body::Slab(a) | Body::Cylinder(a) | Body::Sphere(a) => a,
        Body::Brick(s) => s.iter().copied().fold(f64::INFINITY, f64::min),
        Body::ShortCylinder([r, h]) => r.min(h),
    };
    let out = |left: f64| (1.0 - left) * fresh;
    Bath {
        out: out(here.mean),
        centre_left: 1.0 - out(here.centre),
        other_shapes_out: [
            out(left(Body::Cylinder(a), dt).mean),
            out(left(Body::Sphere(a), dt).mean),
        ],
    }
}

/// Time until a share is out in the mean (or until the middle holds a share), s. None where the
/// bath cannot reach it.
pub fn time_until(
    d: Diffusivity,
    body: Body,
    t_k: f64,
    wax_kg_m3: f64,
    reached: impl Fn(&Bath) -> bool,
) -> Option<f64> {
    let (mut lo, mut hi) = (0.0, 3600.0);
    while !reached(&bath(d, body, t_k, hi, wax_kg_m3)) {
        lo = hi;
        hi *= 2.0;
        if hi > 1e9 {
            return None;
        }
    }
    for _ in 0..80 {
        let mid = 0.5 * (lo + hi);
        if reached(&bath(d, body, t_k, mid, wax_kg_m3)) {
            hi = mid;
        } else {
            lo = mid;
        }
    }
    Some(hi)
}

/// Catalytic step: a front from both faces, share out of a slab of half thickness a, m.
pub fn front_out(front_m_s: f64, a_m: f64, time_s: f64) -> f64 {
    if a_m > 0.0 {
        (front_m_s * time_s / a_m).clamp(0.0, 1.0)
    } else {
        1.0
    }
}

/// Solvent that the opened pores hold, kg.
pub fn solvent_held_kg(opened_m3: f64, solvent_kg_m3: f64) -> f64 {
    opened_m3.max(0.0) * solvent_kg_m3
}

/// Air that keeps its vapour under a share of the lower limit, m³ at 25 °C and 1 atm.
/// `lower_limit` is a volume share in air.
pub fn dryer_air_m3(solvent_kg: f64, molar_kg_mol: f64, lower_limit: f64, share: f64) -> f64 {
    solvent_kg / molar_kg_mol * molar_volume_m3() / (share * lower_limit)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(a: f64, b: f64, rel: f64) {
        assert!((a / b - 1.0).abs() < rel, "{a} instead of {b}");
    }

    fn inverse(target: f64, f: fn(f64) -> f64) -> f64 {
        let (mut lo, mut hi) = (0.0, 10.0);
        for _ in 0..100 {
            let m = 0.5 * (lo + hi);
            if 1.0 - f(m) < target { lo = m } else { hi = m }
        }
        hi
    }

    /// The law of wax in hexane, physics.md section 3 (published): 45.34 exp(−5437.2/T) cm²/s.
    fn hexane() -> Diffusivity {
        Diffusivity {
            d0_m2_s: 45.34e-4,
            e_j_mol: 5437.2 * R,
        }
    }

    #[test]
    fn rows_10_to_13_crank() {
        // physics.md 10–13: open library citing Crank 1975 (published), and derived.
        near(
            1.0 - left(Body::Slab(2e-4), 1e-8).mean,
            0.562_233_541_8,
            1e-9,
        );
        near(
            1.0 - left(Body::Slab(2e-4), 5e-9).mean,
            0.398_927_989_9,
            1e-9,
        );
        near(
            1.0 - left(Body::Sphere(2e-4), 1e-8).mean,
            0.948_436_897_9,
            1e-9,
        );
        near(1.0 - slab_centre_left(0.25), 0.314_554_233_1, 1e-9);
    }

    #[test]
    fn rows_14_to_18_fourier_numbers() {
        // physics.md 14–18 (derived).
        near(inverse(0.5, slab_left), 0.196_730_7, 1e-5);
        near(inverse(0.95, slab_left), 1.129_007_4, 1e-5);
        near(inverse(0.5, cylinder_left), 0.063_058_2, 1e-5);
        near(inverse(0.9, cylinder_left), 0.334_413_2, 1e-5);
        near(inverse(0.5, sphere_left), 0.030_546_5, 1e-5);
    }

    #[test]
    fn rows_19_and_20_products() {
        // physics.md 19, 20 (derived): short cylinder H = 2R at Fo 0.1; cube at Fo 0.2.
        near(
            1.0 - left(Body::ShortCylinder([1.0, 1.0]), 0.1).mean,
            0.746_475_3,
            1e-6,
        );
        near(
            1.0 - left(Body::Brick([1.0; 3]), 0.2).mean,
            0.878_040_9,
            1e-6,
        );
    }

    #[test]
    fn rows_21_to_23_the_law() {
        // physics.md 21–22 (published points, 1.5 %), 23 (derived).
        near(hexane().at(308.15), 9.763e-11, 0.015);
        near(hexane().at(313.15), 1.295e-10, 0.015);
        near(hexane().e_j_mol, 45_207.0, 1e-4);
    }

    #[test]
    fn rows_24_and_25_time_and_its_scaling() {
        // physics.md 24 (derived): 4 mm slab at 40 °C, 95 % out after 9.6072 h; 25: with L².
        let t = |half: f64| {
            time_until(hexane(), Body::Slab(half), 313.15, 0.0, |b| b.out >= 0.95).unwrap()
        };
        near(t(2e-3) / 3600.0, 9.6072, 1e-4);
        near(t(4e-3) / t(2e-3), 4.0, 1e-9);
    }

    #[test]
    fn row_26_removal_in_six_hours() {
        // physics.md 26: derived to 1e-4, the paper's 0.760 and 0.860 within 0.015.
        for (t, derived, paper) in [(308.15, 0.77188, 0.760), (313.15, 0.84900, 0.860)] {
            let b = bath(hexane(), Body::Slab(4.07e-3 / 2.0), t, 6.0 * 3600.0, 0.0);
            near(b.out, derived, 1e-4);
            assert!((b.out - paper).abs() < 0.015);
        }
    }

    #[test]
    fn short_time_forms_meet_the_series() {
        for (f, at) in [
            (slab_left as fn(f64) -> f64, SHORT),
            (cylinder_left, 2e-3),
            (sphere_left, SHORT),
        ] {
            let (a, b) = (f(at * (1.0 - 1e-9)), f(at * (1.0 + 1e-9)));
            assert!((a - b).abs() < 2e-6, "{a} {b}");
        }
    }

    /// Story 2 (hand arithmetic of stories.md): 4 and 8 mm in hexane at 40 °C for 10 h.
    #[test]
    fn story_2_two_sections_in_one_bath() {
        let after =
            |half: f64, h: f64, t: f64| bath(hexane(), Body::Slab(half), t, h * 3600.0, 0.0);
        let a = after(2e-3, 10.0, 313.15);
        let b = after(4e-3, 10.0, 313.15);
        assert!(
            (a.out - 0.955).abs() < 0.002 && (a.centre_left - 0.07).abs() < 0.005,
            "{a:?}"
        );
        assert!(
            (b.out - 0.607).abs() < 0.002 && (b.centre_left - 0.62).abs() < 0.005,
            "{b:?}"
        );
        let hours = |share: f64, t: f64| {
            time_until(hexane(), Body::Slab(4e-3), t, 0.0, |b| b.out >= share).unwrap() / 3600.0
        };
        assert!(
            (hours(0.85, 313.15) - 23.3).abs() < 0.2,
            "{}",
            hours(0.85, 313.15)
        );
        assert!((hours(0.95, 313.15) - 38.4).abs() < 0.1);
        assert!((hours(0.95, 323.15) - 22.5).abs() < 0.1);
    }

    #[test]
    fn a_full_bath_takes_nothing() {
        let b = bath(hexane(), Body::Slab(2e-3), 313.15, 1e6, 900.0);
        assert_eq!(b.out, 0.0);
        assert!(time_until(hexane(), Body::Slab(2e-3), 313.15, 450.0, |b| b.out > 0.6).is_none());
    }

    #[test]
    fn dryer_example_of_model_2() {
        // model.md 2: 0.58 kg heptane needs 52 m³ of air to stay under a quarter of 1.1 %.
        let m3 = dryer_air_m3(0.58, 0.100_2, 0.011, 0.25);
        assert!((m3 - 52.0).abs() < 1.0, "{m3}");
    }
}
