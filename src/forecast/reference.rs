//! Figures typed into the code beside a script that derives them.

use super::burnout::Integral;
use super::chemistry::{CHROMIUM, COPPER, MANGANESE, chromia};
use super::closed::OneTerm;
use super::densify::ln_theta;
use super::solvent::{Body, left};

fn script() -> serde_json::Value {
    serde_json::from_str(include_str!(
        "../../tests/reference/forecast/coefficients.json"
    ))
    .unwrap()
}

fn number(v: &serde_json::Value) -> f64 {
    v.as_f64().unwrap()
}

#[test]
fn diffusion_by_finite_volumes() {
    for row in script()["diffusion"].as_array().unwrap() {
        let body = match row[0].as_str().unwrap() {
            "slab" => Body::Slab(1.0),
            "cylinder" => Body::Cylinder(1.0),
            _ => Body::Sphere(1.0),
        };
        let got = left(body, number(&row[1]));
        assert!((got.mean - number(&row[2])).abs() < 2e-5, "{row}: {got:?}");
        assert!(
            (got.centre - number(&row[3])).abs() < 2e-3,
            "{row}: {got:?}"
        );
    }
}

#[test]
fn zeros_of_j0() {
    for z in script()["j0_zeros"].as_array().unwrap() {
        assert!(libm::j0(number(z)).abs() < 1e-12);
    }
    // Cylinder of infinite Biot number: ζ is the first zero.
    let (zeta, _) = OneTerm::Cylinder.coefficients(1e9);
    assert!((zeta - number(&script()["j0_zeros"][0])).abs() < 1e-6);
}

#[test]
fn peaks_of_the_kinetics() {
    for row in script()["peaks_c"].as_array().unwrap() {
        let (a, e) = (number(&row[1]), number(&row[2]));
        let mut i = Integral::new(a, e);
        let (mut t, mut last, mut best) = (300.0, 1.0, (0.0, 0.0));
        while t < 900.0 {
            i.step(0.05 * 6.0, t, 1.0);
            let x = libm::exp(-i.sum);
            if last - x > best.0 {
                best = (last - x, t - 273.15);
            }
            last = x;
            t += 0.05;
        }
        assert!((best.1 - number(&row[3])).abs() < 0.15, "{row}: {}", best.1);
    }
}

#[test]
fn theta_by_quadrature() {
    for row in script()["ln_theta"].as_array().unwrap() {
        let (q, to, rate) = (number(&row[0]), number(&row[1]), number(&row[2]));
        let n = 20_000;
        let history: Vec<(f64, f64)> = (0..=n)
            .map(|i| {
                let t = 298.15 + (to - 298.15) * f64::from(i) / f64::from(n);
                ((t - 298.15) / rate, t)
            })
            .collect();
        assert!(
            (ln_theta(&history, q) - number(&row[3])).abs() < 2e-5,
            "{row}"
        );
    }
}

#[test]
fn vapours_and_chromia() {
    let v = &script()["vapour_pa_1633"];
    for (vapour, name) in [(CHROMIUM, "Cr"), (MANGANESE, "Mn"), (COPPER, "Cu")] {
        assert!((vapour.pure_pa(1633.15) / number(&v[name]) - 1.0).abs() < 1e-9);
    }
    for row in script()["chromia"].as_array().unwrap() {
        let r = chromia().ratio(number(&row[0]) + 273.15, 1.0);
        assert!((r / number(&row[1]) - 1.0).abs() < 1e-9);
    }
}
