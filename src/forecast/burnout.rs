//! Thermal burnout: dx/dt = −A·exp(−E/RT)·xⁿ for each reaction, as quadratures on a temperature
//! history. Every order has a closed form in I = ∫A·exp(−E/RT)·f(P) dt: the equation separates.

use super::constants::{ATM_PA, EVAPORATION_MOST, R};

/// One reaction of a component.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reaction {
    /// Share of the component's mass that leaves by it.
    pub share: f64,
    /// A, 1/s.
    pub a_per_s: f64,
    /// E, J/mol.
    pub e_j_mol: f64,
    /// Order n ≥ 0.
    pub order: f64,
    /// An evaporation: k grows with falling pressure.
    pub evaporates: bool,
}

/// k(P)/k(1 atm) of an evaporation: min(1 atm/P, 50) (assumed); never below 1.
pub fn pressure_factor(pressure_pa: f64) -> f64 {
    if pressure_pa > 0.0 {
        (ATM_PA / pressure_pa).clamp(1.0, EVAPORATION_MOST)
    } else {
        EVAPORATION_MOST
    }
}

impl Reaction {
    /// ln k at a temperature and 1 atm, k in 1/s.
    pub fn ln_rate(&self, t_k: f64) -> f64 {
        libm::log(self.a_per_s) - self.e_j_mol / (R * t_k)
    }

    /// Rate constant at 1 atm, 1/s.
    pub fn rate(&self, t_k: f64) -> f64 {
        self.a_per_s * libm::exp(-self.e_j_mol / (R * t_k))
    }

    /// Share left after an integral I, and dx/dI. From x = 1; x reaches 0 at I = 1/(1−n) for n < 1.
    pub fn left(&self, integral: f64) -> f64 {
        left(integral, self.order)
    }
}

/// Share left after I = ∫k dt for order n.
pub fn left(integral: f64, order: f64) -> f64 {
    if integral.is_nan() || integral <= 0.0 {
        return 1.0;
    }
    let m = 1.0 - order;
    if m.abs() < 1e-9 {
        return libm::exp(-integral);
    }
    let base = 1.0 - m * integral;
    if base <= 0.0 {
        // n < 1 comes to an end; n > 1 never does, and its base only grows.
        return 0.0;
    }
    libm::pow(base, 1.0 / m)
}

/// The integral that leaves a share, the inverse of [`left`].
pub fn integral_for(left: f64, order: f64) -> f64 {
    if left >= 1.0 {
        return 0.0;
    }
    let m = 1.0 - order;
    if m.abs() < 1e-9 {
        return if left > 0.0 {
            -libm::log(left)
        } else {
            f64::INFINITY
        };
    }
    if left <= 0.0 {
        return if m > 0.0 { 1.0 / m } else { f64::INFINITY };
    }
    (1.0 - libm::pow(left, m)) / m
}

/// Below this ln k nothing leaves in a year.
const LN_NOTHING: f64 = -40.0;

/// Adds ∫exp(ln k) dt over a stretch whose ends have the given ln k, exact for an exponent that is
/// linear in time. `exp_a` and `exp_b` are the rates at the ends.
#[inline]
fn stretch(ln_a: f64, ln_b: f64, exp_a: f64, exp_b: f64, dt: f64) -> f64 {
    let d = ln_b - ln_a;
    if d.abs() < 1e-6 {
        0.5 * (exp_a + exp_b) * dt
    } else {
        (exp_b - exp_a) / d * dt
    }
}

/// A running integral of one Arrhenius rate over a temperature history.
#[derive(Clone, Copy, Debug)]
pub struct Integral {
    ln_a: f64,
    e_over_r: f64,
    last: Option<(f64, f64)>,
    /// Below this ln of the rate nothing is added.
    pub floor: f64,
    /// ∫ so far.
    pub sum: f64,
}

impl Integral {
    /// ∫A·exp(−E/RT) dt.
    pub fn new(a_per_s: f64, e_j_mol: f64) -> Integral {
        Integral {
            ln_a: libm::log(a_per_s.max(1e-300)),
            e_over_r: e_j_mol / R,
            last: None,
            floor: LN_NOTHING,
            sum: 0.0,
        }
    }

    /// Goes on by a time to a temperature; `factor` multiplies the rate in the stretch.
    #[inline]
    pub fn step(&mut self, dt_s: f64, t_k: f64, factor: f64) -> f64 {
        let ln = self.ln_a - self.e_over_r / t_k;
        let k = if ln > self.floor { libm::exp(ln) } else { 0.0 };
        let mut part = 0.0;
        if let Some((ln0, k0)) = self.last
            && (k > 0.0 || k0 > 0.0)
        {
            part = if k > 0.0 && k0 > 0.0 {
                stretch(ln0, ln, k0, k, dt_s)
            } else {
                0.5 * (k0 + k) * dt_s
            };
            part *= factor;
            self.sum += part;
        }
        self.last = Some((ln, k));
        part
    }
}

/// One component of the binder that enters the furnace.
#[derive(Clone, Debug, PartialEq)]
pub struct Component {
    /// Name, for reports.
    pub name: String,
    /// Mass that enters over the mass of the part that enters.
    pub mass_share: f64,
    /// Density, kg/m³.
    pub density_kg_m3: f64,
    /// Reactions; shares add to 1.
    pub reactions: Vec<Reaction>,
    /// Share of its mass left as carbon.
    pub char_share: f64,
    /// Molar mass of what leaves, kg/mol.
    pub offgas_kg_mol: f64,
    /// Share of its vapour that the trap catches.
    pub trap_share: f64,
}

impl Component {
    /// Whether anybody knows how it burns out.
    pub fn is_known(&self) -> bool {
        !self.reactions.is_empty()
    }
}

/// Burnout of one component along a temperature history.
#[derive(Clone, Debug)]
pub struct Burning<'a> {
    component: &'a Component,
    integrals: Vec<Integral>,
    left: f64,
    /// Sum of the integrals at which `left` was taken.
    taken: f64,
}

impl<'a> Burning<'a> {
    /// From the state in which it enters.
    pub fn new(component: &'a Component) -> Burning<'a> {
        Burning {
            component,
            integrals: component
                .reactions
                .iter()
                .map(|r| Integral::new(r.a_per_s, r.e_j_mol))
                .collect(),
            left: 1.0,
            taken: 0.0,
        }
    }

    /// From a share that is left (a stopped run).
    pub fn from_left(component: &'a Component, left: f64) -> Burning<'a> {
        let mut b = Burning::new(component);
        for (i, r) in b.integrals.iter_mut().zip(&component.reactions) {
            i.sum = integral_for(left.clamp(0.0, 1.0), r.order);
        }
        b.left = b.share_left();
        b
    }

    fn share_left(&self) -> f64 {
        self.integrals
            .iter()
            .zip(&self.component.reactions)
            .map(|(i, r)| r.share * r.left(i.sum))
            .sum()
    }

    /// Goes on by a time to a temperature at a pressure. Gives the share that left.
    pub fn step(&mut self, dt_s: f64, t_k: f64, pressure_pa: f64) -> f64 {
        for (i, r) in self.integrals.iter_mut().zip(&self.component.reactions) {
            let f = if r.evaporates {
                pressure_factor(pressure_pa)
            } else {
                1.0
            };
            i.step(dt_s, t_k, f);
        }
        let sum: f64 = self.integrals.iter().map(|i| i.sum).sum();
        if sum <= self.taken * (1.0 + 1e-13) + 1e-15 {
            return 0.0;
        }
        self.taken = sum;
        let now = self.share_left();
        let gone = (self.left - now).max(0.0);
        self.left = now;
        gone
    }

    /// The component.
    pub fn component(&self) -> &'a Component {
        self.component
    }

    /// Share that has not left, 0–1; a share `char_share` of what left stays as carbon.
    pub fn left(&self) -> f64 {
        self.left
    }
}

/// Time at a temperature and pressure until a component that has a share left comes down to
/// another, s: what a hold needs. None when it never does.
pub fn time_needed_s(
    component: &Component,
    from: f64,
    to: f64,
    t_k: f64,
    pressure_pa: f64,
) -> Option<f64> {
    if from <= to {
        return Some(0.0);
    }
    let rates: f64 = component.reactions.iter().map(|r| r.rate(t_k)).sum();
    if rates <= 0.0 {
        return None;
    }
    let left_after = |s: f64| -> f64 {
        component
            .reactions
            .iter()
            .map(|r| {
                let f = if r.evaporates {
                    pressure_factor(pressure_pa)
                } else {
                    1.0
                };
                r.share * r.left(integral_for(from, r.order) + r.rate(t_k) * f * s)
            })
            .sum()
    };
    let (mut lo, mut hi) = (0.0, 60.0);
    while left_after(hi) > to {
        lo = hi;
        hi *= 2.0;
        if hi > 1e8 {
            return None;
        }
    }
    for _ in 0..60 {
        let mid = 0.5 * (lo + hi);
        if left_after(mid) > to {
            lo = mid
        } else {
            hi = mid
        }
    }
    Some(hi)
}

/// Kissinger: A = βE/(R Tp²)·exp(E/RTp), 1/s, for a peak at Tp under β K/s.
pub fn kissinger(e_j_mol: f64, peak_k: f64, rate_k_s: f64) -> f64 {
    rate_k_s * e_j_mol / (R * peak_k * peak_k) * libm::exp(e_j_mol / (R * peak_k))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(a: f64, b: f64, rel: f64) {
        assert!((a / b - 1.0).abs() < rel, "{a} instead of {b}");
    }

    /// PMMA main step, physics.md 2b: parameters published (open data base), results derived.
    const PMMA: Reaction = Reaction {
        share: 1.0,
        a_per_s: 4.05e11,
        e_j_mol: 168e3,
        order: 1.0,
        evaporates: false,
    };

    /// Share gone by temperature in a ramp, K/s, in steps of a K/10.
    fn ramp(r: Reaction, k_s: f64) -> Vec<(f64, f64)> {
        let mut i = Integral::new(r.a_per_s, r.e_j_mol);
        let mut out = Vec::new();
        let step = 0.1;
        let mut t = 298.15;
        while t < 900.0 {
            i.step(step / k_s, t, 1.0);
            out.push((t, 1.0 - r.left(i.sum)));
            t += step;
        }
        out
    }

    #[test]
    fn row_27_peak_of_pmma() {
        let c = ramp(PMMA, 10.0 / 60.0);
        let rates: Vec<(f64, f64)> = c.windows(3).map(|w| (w[1].0, w[2].1 - w[0].1)).collect();
        let top = rates.windows(3).max_by(|a, b| a[1].1.total_cmp(&b[1].1));
        // The peak lies between samples: that of the parabola through three.
        let [a, b, c] = [0, 1, 2].map(|i| top.unwrap()[i]);
        let step = b.0 - a.0;
        let peak = b.0 + 0.5 * step * (a.1 - c.1) / (a.1 - 2.0 * b.1 + c.1) - 273.15;
        assert!((peak - 367.68).abs() < 0.05, "{peak}");
    }

    #[test]
    fn row_28_half_of_pmma() {
        let c = ramp(PMMA, 2.0 / 60.0);
        let w = c.windows(2).find(|w| w[1].1 >= 0.5).unwrap();
        let t = w[0].0 + (0.5 - w[0].1) / (w[1].1 - w[0].1) * (w[1].0 - w[0].0) - 273.15;
        assert!((t - 332.93).abs() < 0.05, "{t}");
    }

    #[test]
    fn rows_29_and_30_isothermal() {
        let mut i = Integral::new(PMMA.a_per_s, PMMA.e_j_mol);
        i.step(0.0, 573.15, 1.0);
        i.step(3600.0, 573.15, 1.0);
        near(1.0 - PMMA.left(i.sum), 0.509_914, 1e-5);
        let t99 = integral_for(0.01, 1.0) / PMMA.rate(623.15) / 60.0;
        near(t99, 22.894, 1e-4);
    }

    #[test]
    fn row_31_kissinger() {
        near(
            kissinger(214e3, 455.0 + 273.15, 10.0 / 60.0),
            1.816e13,
            1e-3,
        );
    }

    #[test]
    fn other_orders_follow_their_equation() {
        // dx/dI = −xⁿ by small steps (midpoint) beside the closed form.
        for n in [0.0, 0.35, 0.55, 1.0, 1.5, 2.0] {
            let mut x: f64 = 1.0;
            let h = 1e-4;
            for _ in 0..8000 {
                let mid = (x - 0.5 * h * x.max(0.0).powf(n)).max(0.0);
                x = (x - h * mid.powf(n)).max(0.0);
            }
            assert!(
                (x - left(0.8, n)).abs() < 1e-6,
                "order {n}: {x} {}",
                left(0.8, n)
            );
            assert!((integral_for(left(0.8, n), n) - 0.8).abs() < 1e-9);
        }
        // An evaporation ends: x = 1 − I.
        assert_eq!(left(1.0, 0.0), 0.0);
        assert_eq!(left(0.25, 0.0), 0.75);
        assert_eq!(left(2.5, 0.55), 0.0);
    }

    #[test]
    fn pressure_helps_up_to_fifty_times() {
        assert_eq!(pressure_factor(ATM_PA), 1.0);
        near(pressure_factor(ATM_PA / 7.0), 7.0, 1e-12);
        assert_eq!(pressure_factor(1.0), 50.0);
        assert_eq!(pressure_factor(0.0), 50.0);
        assert_eq!(pressure_factor(2.0 * ATM_PA), 1.0);
    }

    #[test]
    fn what_a_hold_needs() {
        let c = Component {
            name: "PMMA".into(),
            mass_share: 0.03,
            density_kg_m3: 1190.0,
            reactions: vec![PMMA],
            char_share: 0.0,
            offgas_kg_mol: 0.1,
            trap_share: 0.5,
        };
        // physics.md 30: 99 % after 22.894 min at 350 °C.
        let s = time_needed_s(&c, 1.0, 0.01, 623.15, ATM_PA).unwrap();
        near(s / 60.0, 22.894, 1e-4);
        let rest = time_needed_s(&c, 0.5, 0.01, 623.15, ATM_PA).unwrap();
        near(s - rest, 0.5f64.ln().abs() / PMMA.rate(623.15), 1e-6);
        assert_eq!(time_needed_s(&c, 0.01, 0.5, 623.15, ATM_PA), Some(0.0));
        assert!(time_needed_s(&c, 1.0, 0.01, 300.0, ATM_PA).is_none());
    }

    #[test]
    fn a_stopped_run_goes_on_where_it_was() {
        let c = Component {
            name: "PMMA".into(),
            mass_share: 0.03,
            density_kg_m3: 1190.0,
            reactions: vec![PMMA],
            char_share: 0.0,
            offgas_kg_mol: 0.1,
            trap_share: 0.5,
        };
        let mut whole = Burning::new(&c);
        whole.step(0.0, 590.0, ATM_PA);
        whole.step(600.0, 590.0, ATM_PA);
        let half = whole.left();
        let mut again = Burning::from_left(&c, half);
        whole.step(600.0, 590.0, ATM_PA);
        again.step(0.0, 590.0, ATM_PA);
        again.step(600.0, 590.0, ATM_PA);
        assert!((whole.left() - again.left()).abs() < 1e-12);
    }
}
