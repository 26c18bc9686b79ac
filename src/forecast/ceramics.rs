//! What heat does to setters: creep bow of a run, and cracking by the difference between edge and
//! centre. Elastic figures (deflection, stress) come from the statics.

use super::constants::R;
use super::curve::Curve;

/// Creep of sintered alumina (NIST SRD 150, published: 6.6e-6 1/s at 150 MPa and 1400 °C, stress
/// exponent 1.08, Q 325 kJ/mol; 5 µm grain).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Creep {
    /// Rate at the reference, 1/s.
    pub rate_per_s: f64,
    /// Reference stress, Pa.
    pub stress_pa: f64,
    /// Reference temperature, K.
    pub t_k: f64,
    /// Stress exponent.
    pub exponent: f64,
    /// Activation energy, J/mol.
    pub q_j_mol: f64,
    /// Reference grain, m.
    pub grain_m: f64,
    /// Grain exponent, 2 (assumed).
    pub grain_exponent: f64,
}

/// Alumina as tabulated.
pub const ALUMINA: Creep = Creep {
    rate_per_s: 6.6e-6,
    stress_pa: 150e6,
    t_k: 1673.15,
    exponent: 1.08,
    q_j_mol: 325e3,
    grain_m: 5e-6,
    grain_exponent: 2.0,
};

/// Stress at which the creep law is made linear, Pa (2 MPa).
pub const LINEAR_PA: f64 = 2e6;

impl Creep {
    /// Strain rate, 1/s.
    pub fn rate(&self, stress_pa: f64, t_k: f64, grain_m: f64) -> f64 {
        self.rate_per_s
            * libm::pow(stress_pa / self.stress_pa, self.exponent)
            * libm::exp(-self.q_j_mol / R * (1.0 / t_k - 1.0 / self.t_k))
            * libm::pow(grain_m / self.grain_m, -self.grain_exponent)
    }

    /// Fluidity at 2 MPa, 1/(Pa·s): strain rate over stress.
    pub fn fluidity(&self, t_k: f64, grain_m: f64) -> f64 {
        self.rate(LINEAR_PA, t_k, grain_m) / LINEAR_PA
    }
}

/// Creep bow of a run, m: w_elastic·E·∫(ε̇(σ0,T)/σ0)dt over the plate's own temperature.
pub fn creep_bow_m(
    creep: &Creep,
    grain_m: f64,
    elastic_m: f64,
    modulus_pa: f64,
    history: impl IntoIterator<Item = (f64, f64)>,
) -> f64 {
    let mut sum = 0.0;
    let mut last: Option<(f64, f64)> = None;
    for (t, k) in history {
        let f = creep.fluidity(k.max(200.0), grain_m);
        if let Some((t0, f0)) = last {
            // Log mean: exact for an exponent linear in time.
            let (a, b): (f64, f64) = (f0, f);
            let mean = if (a / b - 1.0).abs() < 1e-6 || a <= 0.0 || b <= 0.0 {
                0.5 * (a + b)
            } else {
                (b - a) / libm::log(b / a)
            };
            sum += mean * (t - t0);
        }
        last = Some((t, f));
    }
    elastic_m * modulus_pa * sum
}

/// Thermal stress of a plate from the difference between its edge and its centre, Pa: EαΔT/4
/// heating, /2 cooling (`model.md` section 6).
pub fn thermal_stress_pa(
    modulus_pa: f64,
    expansion_per_k: f64,
    difference_k: f64,
    cooling: bool,
) -> f64 {
    modulus_pa * expansion_per_k * difference_k.abs() / if cooling { 2.0 } else { 4.0 }
}

/// Edge to centre over outermost to innermost zone, of zones of equal area and a profile linear in
/// area: the middle of a zone lies half of it inside its end. 2 for two zones, as `model.md` has it.
pub fn edge_over_zones(zones: usize) -> f64 {
    if zones < 2 {
        return 0.0;
    }
    zones as f64 / (zones - 1) as f64
}

/// Worst moment of a plate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cracking {
    /// When, s.
    pub time_s: f64,
    /// Plate temperature, K.
    pub t_k: f64,
    /// Stress, Pa.
    pub stress_pa: f64,
    /// Hot strength over three, Pa.
    pub limit_pa: f64,
}

/// Largest ratio of thermal stress to a third of the hot strength over (s, K of the plate, K from
/// centre to edge).
pub fn cracking(
    modulus_pa: &Curve,
    strength_pa: &Curve,
    expansion_per_k: f64,
    history: impl IntoIterator<Item = (f64, f64, f64)>,
) -> Option<Cracking> {
    let mut worst: Option<Cracking> = None;
    for (time_s, t, edge_k) in history {
        let modulus = modulus_pa.at(t);
        let stress = thermal_stress_pa(modulus, expansion_per_k, edge_k, edge_k < 0.0);
        let limit = strength_pa.at(t) / 3.0;
        let here = Cracking {
            time_s,
            t_k: t,
            stress_pa: stress,
            limit_pa: limit,
        };
        let ratio = |c: &Cracking| {
            if c.limit_pa > 0.0 {
                c.stress_pa / c.limit_pa
            } else {
                f64::INFINITY
            }
        };
        if worst.as_ref().is_none_or(|w| ratio(&here) > ratio(w)) {
            worst = Some(here);
        }
    }
    worst
}

/// Thermal shock resistance R = σ(1−ν)/(Eα), K.
pub fn shock_resistance_k(
    strength_pa: f64,
    poisson: f64,
    modulus_pa: f64,
    expansion_per_k: f64,
) -> f64 {
    strength_pa * (1.0 - poisson) / (modulus_pa * expansion_per_k)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn row_72_creep_activation() {
        // physics.md 72: from the published rates 280e-9 at 1200 and 6600e-9 at 1400 °C.
        let q = R * libm::log(6600.0 / 280.0) / (1.0 / 1473.15 - 1.0 / 1673.15);
        assert!((q / 323_800.0 - 1.0).abs() < 1e-4, "{q}");
        // The code's law gives the two rates back with it.
        let law = Creep {
            q_j_mol: q,
            ..ALUMINA
        };
        for (t_k, rate) in [(1473.15, 280e-9), (1673.15, 6600e-9)] {
            assert!((law.rate(150e6, t_k, 5e-6) / rate - 1.0).abs() < 1e-9);
        }
        // And the rates quoted in 6a at 2 MPa (derived).
        assert!((ALUMINA.rate(2e6, 1673.15, 5e-6) / 6.2299e-8 - 1.0).abs() < 1e-4);
        assert!((ALUMINA.rate(2e6, 1633.15, 5e-6) / 3.5154e-8 - 1.0).abs() < 1e-4);
    }

    /// A profile linear in area, T = ΔT·a over areas a from 0 to 1: the means of n equal zones are
    /// ΔT·(i + ½)/n, so the outermost is ΔT·(n − 1)/n above the innermost.
    #[test]
    fn the_edge_is_told_alike_by_any_number_of_zones() {
        for zones in [2, 3, 4, 8] {
            let mean = |i: usize| 30.0 * (i as f64 + 0.5) / zones as f64;
            let between = mean(zones - 1) - mean(0);
            assert!(
                (edge_over_zones(zones) * between - 30.0).abs() < 1e-9,
                "{zones}"
            );
        }
        assert_eq!(edge_over_zones(2), 2.0);
        assert_eq!(edge_over_zones(1), 0.0);
        // EαΔT/2 when it cools: 364 GPa · 8.07e-6 · 30 K / 2 = 44.06 MPa.
        let stress = thermal_stress_pa(364e9, 8.07e-6, -30.0, true);
        assert!((stress / 44.06e6 - 1.0).abs() < 1e-3, "{stress}");
    }

    #[test]
    fn row_73_strength_between_rows() {
        let s = Curve::new(&[(1473.15, 300e6), (1673.15, 210e6)]).unwrap();
        assert!((s.at(1573.15) / 255e6 - 1.0).abs() < 1e-9);
    }

    #[test]
    fn row_74_thermal_shock() {
        let r = shock_resistance_k(380e6, 0.231, 416e9, 8e-6);
        assert!((r / 87.81 - 1.0).abs() < 1e-3, "{r}");
    }

    /// model.md 6 and story 5: 300×300, 25 kg/m² and own mass, corner posts, 2 h at 1360 °C.
    #[test]
    fn bow_of_plates_by_thickness() {
        // c = 0.025823 (corner posts, ν 0.22; own finite elements, derived).
        for (t, want) in [(6e-3f64, 0.66), (8e-3, 0.32), (10e-3, 0.19)] {
            let q = (25.0 + 3850.0 * t) * 9.81;
            let d = 343e9 * t * t * t / (12.0 * (1.0 - 0.22 * 0.22));
            let w = 0.025823 * q * 0.3f64.powi(4) / d;
            let hold = [(0.0, 1633.15), (7200.0, 1633.15)];
            let bow = creep_bow_m(&ALUMINA, 5e-6, w, 343e9, hold) * 1e3;
            assert!((bow - want).abs() < 0.015, "{t}: {bow}");
        }
    }

    #[test]
    fn bow_of_a_plate_does_not_depend_on_its_modulus() {
        let hold = [(0.0, 1600.0), (3600.0, 1600.0)];
        let a = creep_bow_m(&ALUMINA, 5e-6, 1e-5, 300e9, hold);
        let b = creep_bow_m(&ALUMINA, 5e-6, 1e-5 * 300.0 / 200.0, 200e9, hold);
        assert!((a / b - 1.0).abs() < 1e-12);
    }
}
