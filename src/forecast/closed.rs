//! Closed forms of heat transfer that the program's integrators are checked against.

use super::constants::SIGMA;

/// Time of a lumped body to come from Ti to T in surroundings at Ts by radiation alone, s
/// (Incropera and DeWitt, eq. 5.18, from memory; Bejan and Kraus, eq. 3.283, seen).
/// `heat_j_m2k` is ρVc/A.
pub fn radiation_time_s(
    heat_j_m2k: f64,
    emissivity: f64,
    around_k: f64,
    from_k: f64,
    to_k: f64,
) -> f64 {
    let ln = |t: f64| libm::log(((around_k + t) / (around_k - t)).abs());
    let atan = |t: f64| libm::atan(t / around_k);
    heat_j_m2k / (4.0 * emissivity * SIGMA * around_k * around_k * around_k)
        * (ln(to_k) - ln(from_k) + 2.0 * (atan(to_k) - atan(from_k)))
}

/// Radiative film coefficient 4εσT³, W/(m²·K).
pub fn radiative_film(emissivity: f64, t_k: f64) -> f64 {
    4.0 * emissivity * SIGMA * t_k * t_k * t_k
}

/// Lag of a slab's centre behind its surface under a steady ramp, K: βL²/2α.
pub fn slab_ramp_lag_k(rate_k_s: f64, half_m: f64, k: f64, rho_c: f64) -> f64 {
    rate_k_s * half_m * half_m * rho_c / (2.0 * k)
}

/// First eigenvalue and coefficient of a body of Biot number Bi.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OneTerm {
    /// ζ tan ζ = Bi.
    Wall,
    /// ζ J1/J0 = Bi.
    Cylinder,
    /// 1 − ζ cot ζ = Bi.
    Sphere,
}

impl OneTerm {
    /// (ζ1, C1).
    pub fn coefficients(self, bi: f64) -> (f64, f64) {
        let (f, top): (fn(f64) -> f64, f64) = match self {
            OneTerm::Wall => (|z| z * libm::tan(z), std::f64::consts::FRAC_PI_2),
            OneTerm::Cylinder => (|z| z * libm::j1(z) / libm::j0(z), 2.404_825_557_695_773),
            OneTerm::Sphere => (|z| 1.0 - z / libm::tan(z), std::f64::consts::PI),
        };
        let (mut lo, mut hi) = (1e-9, top - 1e-12);
        for _ in 0..200 {
            let mid = 0.5 * (lo + hi);
            if f(mid) < bi { lo = mid } else { hi = mid }
        }
        let z = 0.5 * (lo + hi);
        let c = match self {
            OneTerm::Wall => 4.0 * libm::sin(z) / (2.0 * z + libm::sin(2.0 * z)),
            OneTerm::Cylinder => {
                let (j0, j1) = (libm::j0(z), libm::j1(z));
                2.0 / z * j1 / (j0 * j0 + j1 * j1)
            }
            OneTerm::Sphere => {
                4.0 * (libm::sin(z) - z * libm::cos(z)) / (2.0 * z - libm::sin(2.0 * z))
            }
        };
        (z, c)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::forecast::curve::Curve;
    use crate::forecast::heat::radiosity::{Surface, exchange};
    use crate::forecast::solver::rosenbrock::{Stepper, System, next_step};

    fn near(a: f64, b: f64, rel: f64) {
        assert!((a / b - 1.0).abs() < rel, "{a} instead of {b}");
    }

    /// A lumped body in surroundings that ramp: the program's own integrator on one node.
    struct Lump {
        heat: f64,
        e: f64,
        rate: f64,
        h: f64,
        /// What else it takes up, W/m².
        source: f64,
        j: [f64; 2],
        s: f64,
    }

    impl System for Lump {
        fn len(&self) -> usize {
            2
        }
        fn rhs(&mut self, y: &[f64], dy: &mut [f64]) {
            let radiated = self.e * SIGMA * (y[1].powi(4) - y[0].powi(4));
            dy[0] = (radiated + self.h * (y[1] - y[0]) + self.source) / self.heat;
            dy[1] = self.rate;
        }
        fn linearise(&mut self, y: &[f64]) {
            let d = |t: f64| (4.0 * self.e * SIGMA * t * t * t + self.h) / self.heat;
            self.j = [-d(y[0]), d(y[1])];
        }
        fn factor(&mut self, s: f64) -> bool {
            self.s = s;
            true
        }
        fn solve(&mut self, x: &mut [f64]) {
            x[1] /= self.s;
            x[0] = (x[0] + self.j[1] * x[1]) / (self.s - self.j[0]);
        }
    }

    fn integrate(mut l: Lump, from: [f64; 2], time: f64) -> f64 {
        let mut st = Stepper::new(2);
        let mut y = from.to_vec();
        let (mut t, mut h) = (0.0, 0.1f64);
        while t < time {
            st.begin(&mut l, &y);
            loop {
                let s = h.min(time - t);
                let e = st.attempt(&mut l, s, 1e-8, 1e-7);
                h = next_step(s, e);
                if e <= 1.0 {
                    t += s;
                    break;
                }
            }
            st.accept();
            y.copy_from_slice(&st.to);
        }
        y[0]
    }

    #[test]
    fn rows_44_to_46_radiating_lump() {
        // physics.md 44–46 (derived): the closed form gives the time, the integrator the end.
        for (e, ts, from, to, want) in [
            (0.8, 1600.0, 300.0, 1500.0, 67.2298),
            (0.4, 1600.0, 300.0, 1500.0, 134.4595),
            (0.8, 300.0, 1500.0, 600.0, 391.0164),
        ] {
            near(radiation_time_s(11_925.0, e, ts, from, to), want, 1e-4);
            let l = Lump {
                heat: 11_925.0,
                e,
                rate: 0.0,
                h: 0.0,
                source: 0.0,
                j: [0.0; 2],
                s: 0.0,
            };
            let end = integrate(l, [from, ts], want);
            assert!((end - to).abs() < 0.02, "{end}");
        }
    }

    #[test]
    fn rows_47_to_49_one_term() {
        // physics.md 47–49: derived; equal to the textbook's table (memory).
        let (z, c) = OneTerm::Wall.coefficients(1.0);
        assert!((z - 0.8603).abs() < 5e-5 && (c - 1.1191).abs() < 5e-5);
        let (z, c) = OneTerm::Cylinder.coefficients(1.0);
        assert!((z - 1.2558).abs() < 5e-5 && (c - 1.2071).abs() < 5e-5);
        let (z, c) = OneTerm::Sphere.coefficients(1.0);
        near(z, std::f64::consts::FRAC_PI_2, 1e-9);
        near(c, 4.0 / std::f64::consts::PI, 1e-9);
    }

    #[test]
    fn row_50_thermocouple_junction() {
        // Example 5.1 (companion, published; re-solved): ρVc/A = τh, D = 6hτ/(ρc).
        near(6.0 * 400.0 * 1.0 / (8500.0 * 400.0) * 1e3, 0.705_88, 1e-4);
        let l = Lump {
            heat: 400.0,
            e: 0.0,
            rate: 0.0,
            h: 400.0,
            source: 0.0,
            j: [0.0; 2],
            s: 0.0,
        };
        let end = integrate(l, [298.15, 473.15], 5.1648);
        assert!((end - 472.15).abs() < 1e-3, "{end}");
    }

    #[test]
    fn row_51_junction_between_gas_and_walls() {
        // Example 5.2 re-solved: 218.73 °C; h 400 to gas at 200 °C, ε 0.9 to walls at 400 °C.
        // Gas and walls are not as hot: what the gas takes beside walls of its own temperature.
        let junction = Lump {
            heat: 1000.0,
            e: 0.9,
            rate: 0.0,
            h: 400.0,
            source: 400.0 * (473.15 - 673.15),
            j: [0.0; 2],
            s: 0.0,
        };
        let end = integrate(junction, [298.15, 673.15], 600.0);
        assert!((end - 273.15 - 218.73).abs() < 0.05, "{}", end - 273.15);
    }

    #[test]
    fn row_52_cured_and_cooled_plate() {
        // Example 5.3 (987 s in the companion, published; 986.3 re-solved): 3 mm of aluminium,
        // ρ 2770, c 875, both sides; oven at 175 °C, h 40, ε 0.8; then 25 °C, h 10.
        let heat = 2770.0 * 875.0 * 0.0015;
        let lump = |h| Lump {
            heat,
            e: 0.8,
            rate: 0.0,
            h,
            source: 0.0,
            j: [0.0; 2],
            s: 0.0,
        };
        let cured = integrate(lump(40.0), [298.15, 448.15], 123.08);
        assert!((cured - 423.15).abs() < 0.05, "{cured}");
        let hot = integrate(lump(40.0), [298.15, 448.15], 423.08);
        assert!((hot - 273.15 - 174.75).abs() < 0.05, "{hot}");
        let cold = integrate(lump(10.0), [hot, 298.15], 986.3 - 423.08);
        assert!((cold - 310.15).abs() < 0.05, "{cold}");
    }

    #[test]
    fn rows_53_to_55_one_term_examples() {
        // Example 5.4: L 40 mm, k 63.9, h 500, α 18.8e-6, 480 s, −20 to 60 °C.
        let (l, k, h, alpha, t) = (0.04, 63.9, 500.0, 18.8e-6, 480.0);
        let bi = h * l / k;
        let fo = alpha * t / (l * l);
        let (z, c) = OneTerm::Wall.coefficients(bi);
        let theta = c * libm::exp(-z * z * fo);
        assert!((60.0 - 80.0 * theta - 43.017).abs() < 0.05);
        // Heat per metre of a pipe of diameter 1 m: ρc·V·(Ti − T∞)(1 − sin ζ/ζ·θ).
        let q =
            k / alpha * std::f64::consts::PI * 1.0 * l * (-80.0) * (1.0 - libm::sin(z) / z * theta);
        near(q, -2.7255e7, 1e-3);
        // Example 5.5: air stage of a 5 mm sphere, 400 to 335 °C in 20 °C, h 10, ρc 3000·1000.
        let ball = Lump {
            heat: 3000.0 * 1000.0 * 0.005 / 3.0,
            e: 0.0,
            rate: 0.0,
            h: 10.0,
            source: 0.0,
            j: [0.0; 2],
            s: 0.0,
        };
        // 0.63 K/s then: 0.06 K are a thousandth of the time.
        let end = integrate(ball, [673.15, 293.15], 93.80);
        assert!((end - 608.15).abs() < 0.06, "{end}");
    }

    #[test]
    fn rows_56_and_57() {
        near(radiative_film(0.5, 1273.15), 234.035, 1e-5);
        near(
            slab_ramp_lag_k(5.0 / 60.0, 5e-3, 1.0, 4760.0 * 600.0),
            2.975,
            1e-6,
        );
    }

    #[test]
    fn row_58_lag_in_a_radiating_furnace() {
        // physics.md 58 (derived): ρcL 14280, ε 0.5, 5 K/min from 20 °C.
        for (c, want) in [
            (200.0, 118.6),
            (300.0, 104.5),
            (600.0, 17.369),
            (1000.0, 5.180),
            (1300.0, 2.716),
        ] {
            let l = Lump {
                heat: 14_280.0,
                e: 0.5,
                rate: 5.0 / 60.0,
                h: 0.0,
                source: 0.0,
                j: [0.0; 2],
                s: 0.0,
            };
            let end = integrate(l, [293.15, 293.15], (c - 20.0) * 12.0);
            near(c + 273.15 - end, want, 1e-3);
        }
    }

    #[test]
    fn rows_59_to_61() {
        // physics.md 59 (fit of Mills, published; 602 in the textbook), 60, 61 (derived).
        let cp = Curve::new(&[
            (250.0, 428.46 + 0.1816 * 250.0),
            (2000.0, 428.46 + 0.1816 * 2000.0),
        ])
        .unwrap();
        near(cp.at(1000.0), 610.06, 1e-6);
        near(cp.at(1000.0), 602.0, 0.02);
        near(cp.integral(293.15, 1633.15), 808_513.0, 1e-5);
        // Of one black face to another that is as cold as can be, by the network's own exchange.
        let black = Surface {
            area_m2: 1.0,
            emissivity: 1.0,
        };
        let k = exchange(&[black, black], &[0.0, 1.0, 1.0, 0.0]).unwrap();
        near(k[1] * 1573.15f64.powi(4), 347_290.0, 1e-4);
    }
}
