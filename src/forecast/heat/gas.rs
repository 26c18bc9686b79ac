//! Conduction through rarefied gas: conductivity and temperature jump.

use crate::forecast::constants::{BUOYANCY_FACTOR, G, R};
use crate::forecast::curve::Grid;
use crate::forecast::inputs::{Atmosphere, Gas};

/// Temperature jump distance at one wall, m: ((2−a)/a)(2γ/(γ+1)) λ/Pr with
/// λ = (μ/P)√(πRT/2M).
pub fn jump_m(gas: &Gas, pressure_pa: f64, t_k: f64) -> f64 {
    let mu = gas.viscosity.at(t_k);
    let pr = prandtl(gas, t_k);
    let path =
        mu / pressure_pa * libm::sqrt(std::f64::consts::PI * R * t_k / (2.0 * gas.molar_kg_mol));
    (2.0 - gas.accommodation) / gas.accommodation * (2.0 * gas.gamma / (gas.gamma + 1.0)) * path
        / pr
}

/// Prandtl number.
pub fn prandtl(gas: &Gas, t_k: f64) -> f64 {
    gas.viscosity.at(t_k) * gas.cp.at(t_k) / gas.conductivity.at(t_k)
}

/// Conductance per area through a layer, W/(m²·K).
pub fn layer(gas: &Gas, pressure_pa: f64, t_k: f64, distance_m: f64) -> f64 {
    gas.conductivity.at(t_k) / (distance_m + 2.0 * jump_m(gas, pressure_pa, t_k))
}

/// Nusselt number of a layer heated from below: max(1, 0.069 Ra^(1/3) Pr^0.074) (the usual form of
/// Globe and Dropkin). Properties at the mean temperature.
pub fn nusselt(gas: &Gas, pressure_pa: f64, below_k: f64, above_k: f64, height_m: f64) -> f64 {
    let t = 0.5 * (below_k + above_k);
    if below_k <= above_k || t <= 0.0 {
        return 1.0;
    }
    let rho = pressure_pa * gas.molar_kg_mol / (R * t);
    let mu = gas.viscosity.at(t);
    let k = gas.conductivity.at(t);
    let rayleigh =
        G / t * (below_k - above_k) * height_m * height_m * height_m * rho * rho * gas.cp.at(t)
            / (mu * k);
    (BUOYANCY_FACTOR * libm::cbrt(rayleigh) * libm::pow(prandtl(gas, t), 0.074)).max(1.0)
}

/// Buoyancy is left out below this pressure, Pa (0.3 bar).
pub const BUOYANT_PA: f64 = 30_000.0;

/// The gas of a stretch of the program, tabulated over temperature.
#[derive(Clone, Debug)]
pub struct GasNow {
    /// Conductivity, W/(m·K).
    pub conductivity: Grid,
    /// Twice the jump distance, m.
    pub jumps: Grid,
    /// The gas itself and its pressure, for buoyancy where it counts.
    pub buoyant: Option<(Gas, f64)>,
    /// Heat carried by the sweep, W/K: flow times molar heat at 300 K.
    pub sweep_w_k: f64,
    /// Factor on the losses.
    pub loss_factor: f64,
    /// Pressure, Pa.
    pub pressure_pa: f64,
}

impl GasNow {
    /// Tabulates; none in vacuum.
    pub fn new(gases: &[Gas], atmosphere: &Atmosphere) -> Option<GasNow> {
        let gas = gases.get(atmosphere.gas?)?;
        let p = atmosphere.pressure_pa;
        if !(p > 0.0 && p.is_finite()) {
            return None;
        }
        Some(GasNow {
            conductivity: Grid::from_curve(&gas.conductivity),
            jumps: Grid::of(|t| 2.0 * jump_m(gas, p, t)),
            buoyant: (p > BUOYANT_PA).then(|| (gas.clone(), p)),
            sweep_w_k: atmosphere.sweep_mol_s.max(0.0) * gas.molar_kg_mol * gas.cp.at(300.0),
            loss_factor: gas.loss_factor,
            pressure_pa: p,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::forecast::demo::gases;

    #[test]
    fn argon_over_25_mm_by_pressure() {
        // model.md 4.7, derived: 0.22/0.99/1.52/1.61 W/m²K at 0.01/0.1/1/50 mbar, 900 K.
        let ar = &gases()[0];
        for (mbar, h) in [(0.01, 0.22), (0.1, 0.99), (1.0, 1.52), (50.0, 1.61)] {
            let got = layer(ar, mbar * 100.0, 900.0, 0.025);
            // Printed with two decimals; 50 mbar is 1.622 with these tables.
            assert!((got - h).abs() < 0.013, "{mbar}: {got}");
        }
    }

    #[test]
    fn buoyancy_only_when_the_lower_face_is_hotter() {
        let n2 = &gases()[1];
        assert_eq!(nusselt(n2, 101_325.0, 500.0, 600.0, 0.03), 1.0);
        assert!(nusselt(n2, 101_325.0, 600.0, 400.0, 0.1) > 1.5);
    }

    #[test]
    fn row_83_nitrogen_viscosity() {
        // physics.md 83, derived 17.89 µPa·s at 300 K (18.0 seen, CRC), 1 %.
        let n2 = &gases()[1];
        assert!((n2.viscosity.at(300.0) / 18.0e-6 - 1.0).abs() < 0.01);
    }
}
