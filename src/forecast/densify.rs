//! Densification by a master sintering curve with one or two branches, size, grain growth and sag.

use super::burnout::Integral;
use super::constants::{G, R};

/// One branch: the parameters of its sigmoid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Branch {
    /// Q, J/mol.
    pub q_j_mol: f64,
    /// a of lnΘ, Θ in s/K.
    pub a: f64,
    /// b.
    pub b: f64,
}

/// Asymptote by gas.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Asymptote {
    /// In vacuum, hydrogen, or thin inert gas.
    pub open: f64,
    /// With argon or nitrogen above 0.1 bar when the pores close.
    pub gas_filled: f64,
}

/// What an alloy's powder does.
#[derive(Clone, Debug, PartialEq)]
pub struct Sintering {
    /// Branch below the split (or the only one).
    pub low: Branch,
    /// Temperature of the split, K, and the branch above it.
    pub high: Option<(f64, Branch)>,
    /// Asymptote.
    pub asymptote: Asymptote,
    /// Upper end of the range in which it may be used, K.
    pub range_to_k: f64,
    /// Grain growth, where data exist.
    pub grains: Option<Grains>,
}

/// Pores close about here (assumed).
pub const CLOSURE: f64 = 0.92;
/// Argon or nitrogen above this is caught in closing pores, Pa (0.1 bar, assumed).
pub const CAUGHT_PA: f64 = 10_000.0;
const PHI_MIN: f64 = 1e-12;
/// Its logarithm.
const LN_PHI_MIN: f64 = -27.631_021_115_928_547;
/// ln of exp(−Q/RT) below which Θ gains nothing that counts (assumed).
const LN_NOTHING: f64 = -55.0;

fn theta_integral(q_j_mol: f64) -> Integral {
    let mut i = Integral::new(1.0, q_j_mol);
    i.floor = LN_NOTHING;
    i
}

/// ∫(1/T)exp(−Q/RT)dt of an isothermal hold, s/K.
pub fn theta_isothermal(q_j_mol: f64, t_k: f64, time_s: f64) -> f64 {
    time_s / t_k * libm::exp(-q_j_mol / (R * t_k))
}

/// Density of the sigmoid at lnΘ.
pub fn sigmoid(start: f64, end: f64, ln_theta: f64, a: f64, b: f64) -> f64 {
    start + (end - start) / (1.0 + libm::exp(-(ln_theta - a) / b))
}

/// How far a part has come, for a run that goes on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dense {
    /// Relative density, also where it is above the range of the data and so no prediction.
    pub density: f64,
    /// Hottest so far, K.
    pub hottest_k: f64,
    /// Whether its pores have closed.
    pub closed: bool,
    /// Asymptote in force.
    pub end: f64,
}

/// Densification along a temperature history.
#[derive(Clone, Debug)]
pub struct Densifying<'a> {
    data: &'a Sintering,
    start: f64,
    end: f64,
    low: Integral,
    high: Option<Integral>,
    in_high: bool,
    last_k: Option<f64>,
    /// Θ of the branch in force, s/K.
    theta: f64,
    /// Θ at which `now` was taken, and that density.
    taken: f64,
    now: f64,
    /// Hottest so far, K.
    pub hottest_k: f64,
    closed: bool,
    /// Density at which the pores close, or have closed before.
    closes_at: f64,
}

impl<'a> Densifying<'a> {
    /// From a relative density: the loading, or that of a presintered part.
    pub fn new(data: &'a Sintering, start: f64) -> Densifying<'a> {
        let integral = |b: &Branch| theta_integral(b.q_j_mol);
        Densifying {
            data,
            start,
            end: data.asymptote.open,
            low: integral(&data.low),
            high: data.high.as_ref().map(|(_, b)| integral(b)),
            in_high: false,
            last_k: None,
            theta: 0.0,
            taken: 0.0,
            now: start,
            hottest_k: 0.0,
            // Denser than gas in the pores lets a part become: they closed in a vacuum, and no gas
            // gets in any more.
            closed: start > data.asymptote.gas_filled.max(CLOSURE),
            closes_at: CLOSURE.max(start),
        }
    }

    /// From where it had come on the way from `start`.
    pub fn resumed(data: &'a Sintering, start: f64, had: &Dense) -> Densifying<'a> {
        let mut d = Densifying::new(data, start);
        d.hottest_k = had.hottest_k;
        d.closed = had.closed;
        d.end = had.end;
        d.closes_at = CLOSURE.max(had.density);
        if had.density > start {
            let gap = (d.end - had.density).max(PHI_MIN);
            let phi = ((had.density - start) / gap).max(PHI_MIN);
            d.theta = libm::exp(data.low.a + data.low.b * libm::log(phi));
            d.take();
        }
        d
    }

    /// What a run that goes on takes up.
    pub fn dense(&self) -> Dense {
        Dense {
            density: self.now,
            hottest_k: self.hottest_k,
            closed: self.closed,
            end: self.end,
        }
    }

    fn branch(&self) -> Branch {
        match (self.in_high, &self.data.high) {
            (true, Some((_, b))) => *b,
            _ => self.data.low,
        }
    }

    /// The branch that was in force where it was hottest.
    fn branch_at_hottest(&self) -> Branch {
        match &self.data.high {
            Some((split, b)) if self.hottest_k >= *split => *b,
            _ => self.data.low,
        }
    }

    /// ln Φ, the state that both branches share.
    fn ln_phi(&self) -> f64 {
        if self.theta > 0.0 {
            self.ln_phi_of(libm::log(self.theta))
        } else {
            LN_PHI_MIN
        }
    }

    fn ln_phi_of(&self, ln_theta: f64) -> f64 {
        let b = self.branch();
        ((ln_theta - b.a) / b.b).max(LN_PHI_MIN)
    }

    /// Relative density now.
    pub fn density(&self) -> f64 {
        self.now
    }

    fn take(&mut self) {
        self.taken = self.theta;
        if self.theta <= 0.0 {
            self.now = self.start;
            return;
        }
        let ln_theta = libm::log(self.theta);
        // While it cools, what is added soon no longer shows beside what there is: 1/T and a
        // step's length make some e⁷ at most of it.
        if self.data.high.is_none() {
            self.low.floor = LN_NOTHING.max(ln_theta - 25.0);
        }
        let ln_phi = self.ln_phi_of(ln_theta);
        self.now = if ln_phi <= LN_PHI_MIN + 1e-4 {
            self.start
        } else {
            let phi = libm::exp(ln_phi);
            (self.start + self.end * phi) / (1.0 + phi)
        };
    }

    /// Goes on by a time to a temperature. `caught`: argon or nitrogen above 0.1 bar is around.
    pub fn step(&mut self, dt_s: f64, t_k: f64, caught: bool) {
        self.hottest_k = self.hottest_k.max(t_k);
        if let Some((split, _)) = &self.data.high {
            let high = t_k >= *split;
            if high != self.in_high {
                // The state goes over: Θ of the other branch that gives the same Φ.
                let ln_phi = self.ln_phi();
                let had = self.theta > 0.0;
                self.in_high = high;
                let b = self.branch();
                if had {
                    self.theta = libm::exp(b.a + b.b * ln_phi);
                    self.taken = self.theta;
                }
            }
        }
        // 1/T varies little over a stretch; its mean stands outside the integral.
        let inverse = 1.0 / self.last_k.map_or(t_k, |l| 0.5 * (l + t_k));
        let low = self.low.step(dt_s, t_k, inverse);
        let high = self
            .high
            .as_mut()
            .map_or(0.0, |i| i.step(dt_s, t_k, inverse));
        self.theta += if self.in_high { high } else { low };
        self.last_k = Some(t_k);
        // Θ only grows; a change that moves no digit is not worth a logarithm.
        if self.theta > self.taken * (1.0 + 1e-7) {
            self.take();
        }
        if !self.closed && self.density() >= CLOSURE {
            self.closed = true;
            if caught && self.data.asymptote.gas_filled < self.end {
                // The density stays where pores close; what is left to gain becomes less. What Θ
                // gained since goes on from there, so that the length of a step does not count.
                let b = self.branch();
                let theta = |end: f64, at: f64| {
                    let phi = ((at - self.start) / (end - at).max(PHI_MIN)).max(PHI_MIN);
                    libm::exp(b.a + b.b * libm::log(phi))
                };
                let at = self.closes_at;
                let since = (self.theta - theta(self.end, at)).max(0.0);
                let end = self.data.asymptote.gas_filled.max(at + 1e-6);
                self.theta = theta(end, at) + since;
                self.end = end;
                self.take();
            }
        }
    }

    /// Prediction: none above the range of the data.
    pub fn predicted(&self) -> Option<f64> {
        (self.hottest_k <= self.data.range_to_k).then(|| self.density())
    }

    /// How much of the density a kelvin less where it was hottest would take, 1/K: a unit of lnΘ is
    /// RT²/Q kelvin. Near full density a wrong b hides a cold spot.
    pub fn slope_per_k(&self) -> f64 {
        if self.hottest_k <= 0.0 {
            return 0.0;
        }
        let phi = libm::exp(self.ln_phi());
        let b = self.branch_at_hottest();
        let per_ln_theta = (self.end - self.start) * phi / ((1.0 + phi) * (1.0 + phi)) / b.b;
        per_ln_theta * b.q_j_mol / (R * self.hottest_k * self.hottest_k)
    }
}

/// Sintered length from the green one: L = L_green/OSF·(ρref/ρ)^(1/3), anchored at the density at
/// which the factor was measured.
pub fn length(green: f64, oversize: f64, factor_density: f64, density: f64) -> f64 {
    green / oversize * libm::cbrt(factor_density / density)
}

/// Progress of shrinking, 0 at the start, 1 at the reference density.
pub fn progress(start: f64, reference: f64, density: f64) -> f64 {
    (1.0 - libm::cbrt(start / density)) / (1.0 - libm::cbrt(start / reference))
}

/// ln Θ of a history for an activation energy.
pub fn ln_theta(history: &[(f64, f64)], q_j_mol: f64) -> f64 {
    ln_of_theta(thetas(history, q_j_mol).last().unwrap_or(0.0))
}

/// ln of a Θ, s/K, that may be nought.
pub fn ln_of_theta(theta: f64) -> f64 {
    if theta > 0.0 { libm::log(theta) } else { -1e3 }
}

/// Θ at each point of a history, (s, K), for an activation energy, s/K.
pub fn thetas(history: &[(f64, f64)], q_j_mol: f64) -> impl Iterator<Item = f64> {
    let mut i = theta_integral(q_j_mol);
    let mut last: Option<(f64, f64)> = None;
    history.iter().map(move |&(t, k)| {
        let (dt, mean) = last.map_or((0.0, k), |(t0, k0)| (t - t0, 0.5 * (k + k0)));
        i.step(dt.max(0.0), k, 1.0 / mean);
        last = Some((t, k));
        i.sum
    })
}

/// Grain growth Gⁿ − G0ⁿ = ∫k0·exp(−Q/RT) dt.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grains {
    /// Exponent.
    pub n: f64,
    /// G0, m.
    pub start_m: f64,
    /// k0, mⁿ/s.
    pub k0: f64,
    /// Q, J/mol; 0 for a k measured at one temperature.
    pub q_j_mol: f64,
}

impl Grains {
    /// Grain size after a history, (s, K), m.
    pub fn after(&self, history: impl IntoIterator<Item = (f64, f64)>) -> f64 {
        let k = |t_k: f64| self.k0 * libm::exp(-self.q_j_mol / (R * t_k));
        let mut last: Option<(f64, f64)> = None;
        let mut sum = 0.0;
        for (t, t_k) in history {
            let now = k(t_k);
            sum += last.map_or(0.0, |(t0, then)| 0.5 * (now + then) * (t - t0));
            last = Some((t, now));
        }
        self.size_m(sum)
    }

    /// Grain size after ∫k dt in mⁿ, m.
    pub fn size_m(&self, integral: f64) -> f64 {
        libm::pow(libm::pow(self.start_m, self.n) + integral, 1.0 / self.n)
    }
}

/// Sag of a simply supported beam under its own weight, m/s: 5ρgL⁴/(32ηh²), η uniaxial.
pub fn sag_supported_m_s(
    density_kg_m3: f64,
    span_m: f64,
    height_m: f64,
    viscosity_pa_s: f64,
) -> f64 {
    5.0 * density_kg_m3 * G * libm::pow(span_m, 4.0) / (32.0 * viscosity_pa_s * height_m * height_m)
}

/// Sag of a cantilever's tip, m/s: 3ρgL⁴/(2ηh²).
pub fn sag_cantilever_m_s(
    density_kg_m3: f64,
    length_m: f64,
    height_m: f64,
    viscosity_pa_s: f64,
) -> f64 {
    3.0 * density_kg_m3 * G * libm::pow(length_m, 4.0)
        / (2.0 * viscosity_pa_s * height_m * height_m)
}

/// Sintering stress, Pa: 3γ/G·(1 − ε)².
pub fn sintering_stress_pa(surface_j_m2: f64, grain_m: f64, porosity: f64) -> f64 {
    3.0 * surface_j_m2 / grain_m * (1.0 - porosity) * (1.0 - porosity)
}

#[cfg(test)]
pub(in crate::forecast) mod tests {
    use super::*;

    /// A run that is stopped while it cools under gas goes on from the density that it has.
    #[test]
    fn no_density_falls_when_a_run_goes_on_under_gas() {
        let data = steel();
        for now in [0.7, 0.915, 0.93, 0.95, 0.97, 0.98] {
            let had = Dense {
                density: now,
                hottest_k: 1500.0,
                // Denser than gas lets it become: its pores closed in a vacuum.
                closed: now > data.asymptote.gas_filled,
                end: data.asymptote.open,
            };
            let mut d = Densifying::resumed(&data, 0.6, &had);
            let before = d.density();
            assert!((before - now).abs() < 2e-3, "{now}: {before}");
            for t in [500.0, 1500.0, 1620.0, 1620.0, 900.0] {
                d.step(600.0, t, true);
                assert!(
                    d.density() >= before - 1e-9,
                    "{now} at {t}: {}",
                    d.density()
                );
            }
        }
    }

    /// What closed its pores in a vacuum stays closed, and what went above the range stays without a
    /// prediction, however often it is taken up.
    #[test]
    fn pores_and_heat_go_along_with_a_part() {
        let data = steel();
        let follow = |d: &mut Densifying, k: f64, caught: bool| {
            for _ in 0..60 {
                d.step(60.0, k, caught);
            }
        };
        // To between where pores close and where gas holds it, then on under gas.
        let mut vacuum = Densifying::new(&data, 0.6);
        follow(&mut vacuum, 1500.0, false);
        assert!((0.93..0.97).contains(&vacuum.density()), "{vacuum:?}");
        let had = vacuum.dense();
        assert!(had.closed);
        let mut again = Densifying::resumed(&data, 0.6, &had);
        for d in [&mut vacuum, &mut again] {
            for k in [1500.0, 1600.0, 1600.0] {
                follow(d, k, true);
            }
        }
        assert!(again.density() > 0.975, "{again:?}");
        assert!((again.density() - vacuum.density()).abs() < 1e-3);
        // Gas that was caught stays in them, in a vacuum too.
        let mut gas = Densifying::new(&data, 0.6);
        follow(&mut gas, 1600.0, true);
        let mut again = Densifying::resumed(&data, 0.6, &gas.dense());
        follow(&mut again, 1600.0, false);
        assert!(again.density() <= 0.97 + 1e-6, "{again:?}");
        let mut over = Densifying::new(&data, 0.6);
        follow(&mut over, data.range_to_k + 5.0, false);
        let mut again = Densifying::resumed(&data, 0.6, &over.dense());
        follow(&mut again, 1400.0, false);
        assert_eq!(again.predicted(), None);
    }

    /// ln Θ of a ramp then a hold, in steps of `step` K.
    pub(in crate::forecast) fn history(
        rate_k_min: f64,
        to_c: f64,
        hold_s: f64,
        step: f64,
    ) -> Vec<(f64, f64)> {
        let mut h = Vec::new();
        let rate = rate_k_min / 60.0;
        let (mut k, mut t) = (298.15, 0.0);
        let top = to_c + 273.15;
        while k < top {
            h.push((t, k));
            k += step;
            t += step / rate;
        }
        let t_top = (top - 298.15) / rate;
        h.push((t_top, top));
        if hold_s > 0.0 {
            h.push((t_top + hold_s, top));
        }
        h
    }

    #[test]
    fn row_36_isothermal() {
        let l = libm::log(theta_isothermal(440e3, 1773.15, 3600.0));
        assert!((l + 29.136_922).abs() < 1e-6, "{l}");
    }

    #[test]
    fn rows_37_to_39_ramps() {
        // physics.md 37–39 (derived, E1 exact): with the forecast's own spacing of at most 5 K the
        // integral is good to 1e-4; with 0.5 K to the table's 1e-5.
        for (q, rate, to, hold, want) in [
            (300e3, 5.0, 1360.0, 0.0, -22.746_220),
            (250e3, 20.0, 1250.0, 0.0, -21.672_076),
            (300e3, 5.0, 1360.0, 7200.0, -20.498_145),
        ] {
            let fine = ln_theta(&history(rate, to, hold, 0.5), q);
            assert!((fine - want).abs() < 1e-5, "{fine} {want}");
            let coarse = ln_theta(&history(rate, to, hold, 5.0), q);
            assert!((coarse - want).abs() < 3e-4, "{coarse} {want}");
        }
    }

    #[test]
    fn row_40_sigmoid() {
        for (z, want) in [
            (0.0, 0.8),
            (1.0, 0.892_423_4),
            (2.0, 0.952_318_8),
            (4.0, 0.992_805_5),
        ] {
            let d = sigmoid(0.6, 1.0, z, 0.0, 1.0);
            assert!((d - want).abs() < 1e-6 * want + 1e-7, "{d}");
        }
    }

    fn steel() -> Sintering {
        Sintering {
            low: Branch {
                q_j_mol: 280e3,
                a: -23.715_726,
                b: 1.3,
            },
            high: None,
            asymptote: Asymptote {
                open: 1.0,
                gas_filled: 0.97,
            },
            range_to_k: 1400.0 + 273.15,
            grains: None,
        }
    }

    #[test]
    fn row_41_the_published_point() {
        // physics.md 41: 20 K/min to 1250 °C, 90 min → 0.9614 (published).
        let data = steel();
        let mut d = Densifying::new(&data, 0.6);
        let h = history(20.0, 1250.0, 5400.0, 2.0);
        let mut t0 = 0.0;
        for (t, k) in h {
            d.step(t - t0, k, false);
            t0 = t;
        }
        assert!((d.density() - 0.9614).abs() < 1e-4, "{}", d.density());
    }

    #[test]
    fn row_42_time_for_temperature() {
        let f = theta_isothermal(300e3, 1633.15, 1.0) / theta_isothermal(300e3, 1603.15, 1.0);
        assert!((f / 1.484_229 - 1.0).abs() < 1e-5, "{f}");
    }

    #[test]
    fn row_43_grain_size() {
        // physics.md 43: k published for W-15Cu, n = 3, result derived.
        let g = Grains {
            n: 3.0,
            start_m: 1e-6,
            k0: 0.15e-18,
            q_j_mol: 0.0,
        };
        let size = g.size_m(0.15e-18 * 3600.0) * 1e6;
        assert!((size / 8.148_276 - 1.0).abs() < 1e-5, "{size}");
    }

    #[test]
    fn rows_90_and_92() {
        let sag = sag_supported_m_s(5000.0, 0.04, 0.004, 1e10) * 60e6;
        assert!((sag / 7.3575 - 1.0).abs() < 1e-5, "{sag}");
        let tip = sag_cantilever_m_s(5000.0, 0.02, 0.004, 1e10) * 60e6;
        assert!((tip / 4.4145 - 1.0).abs() < 1e-5, "{tip}");
        assert!((sintering_stress_pa(2.0, 10e-6, 0.4) / 0.216e6 - 1.0).abs() < 1e-9);
    }

    /// The steel with an upper branch from 1200 °C.
    fn of_two_branches() -> Sintering {
        let high = Branch {
            q_j_mol: 500e3,
            a: -38.0,
            b: 1.1,
        };
        Sintering {
            high: Some((1473.15, high)),
            ..steel()
        }
    }

    #[test]
    fn density_is_continuous_where_branches_meet_and_pores_close() {
        let mut data = of_two_branches();
        data.asymptote.open = 0.99;
        let mut d = Densifying::new(&data, 0.6);
        let mut last = 0.6;
        for i in 0..4000 {
            let k = 1000.0 + 600.0 * (i as f64 / 3000.0).min(1.0);
            d.step(5.0, k, true);
            let now = d.density();
            assert!(
                now >= last - 1e-12 && now - last < 0.01,
                "{last} {now} at {k}"
            );
            last = now;
        }
        assert!(last > 0.92 && last <= 0.97 + 1e-5, "{last}");
        // And back below the split the density does not move, nor what a kelvin was worth.
        let per_k = d.slope_per_k();
        d.step(1.0, 1200.0, true);
        assert!((d.density() - last).abs() < 1e-4);
        assert!((d.slope_per_k() / per_k - 1.0).abs() < 1e-3, "{per_k}");
    }

    #[test]
    fn a_kelvin_is_worth_what_a_run_a_kelvin_colder_lacks() {
        let density = |k: f64| {
            let data = of_two_branches();
            let mut d = Densifying::new(&data, 0.6);
            for _ in 0..600 {
                d.step(6.0, k, false);
            }
            (d.density(), d.slope_per_k())
        };
        for k in [1440.0, 1520.0] {
            let ((more, slope), (less, _)) = (density(k + 0.5), density(k - 0.5));
            // 1/T of Θ is left out: RT/Q of it, 4 % here.
            assert!((slope / (more - less) - 1.0).abs() < 0.06, "{k}: {slope}");
        }
    }

    #[test]
    fn above_the_range_there_is_no_prediction() {
        let data = steel();
        let mut d = Densifying::new(&data, 0.6);
        d.step(0.0, 1600.0, false);
        assert!(d.predicted().is_some());
        d.step(60.0, 1680.0, false);
        assert!(d.predicted().is_none());
    }

    #[test]
    fn size_is_anchored() {
        // At the reference density the factor holds as it stands.
        assert!((length(120.0, 1.2, 0.98, 0.98) - 100.0).abs() < 1e-12);
        assert!(length(120.0, 1.2, 0.98, 0.95) > 100.0);
        assert!(
            (progress(0.6, 0.98, 0.98) - 1.0).abs() < 1e-12
                && progress(0.6, 0.98, 0.6).abs() < 1e-12
        );
    }
}
