//! Gas pressure in the core of a part: Darcy flow of what the core makes through open pores.

use super::constants::R;

/// Below this open porosity there is no number, only the finding.
pub const OPEN_MIN: f64 = 0.05;
/// Kozeny–Carman constant.
pub const CARMAN: f64 = 180.0;

/// Slip of gas in pores, Pa: none, since no record has it; it would only lower the pressure (assumed).
pub const SLIP_PA: f64 = 0.0;

/// Kozeny–Carman permeability, m², for an open porosity and powder size, with slip
/// (Klinkenberg, b_K in Pa; 0 for none).
pub fn permeability_m2(open: f64, powder_m: f64, slip_pa: f64, pressure_pa: f64) -> f64 {
    let solid = 1.0 - open;
    let k = open * open * open * powder_m * powder_m / (CARMAN * solid * solid);
    k * (1.0
        + if pressure_pa > 0.0 {
            slip_pa / pressure_pa
        } else {
            0.0
        })
}

/// Open porosity with a share of the binder's volume left: (1 − φ)(1 − f).
pub fn open_porosity(loading: f64, left: f64) -> f64 {
    ((1.0 - loading) * (1.0 - left)).clamp(0.0, 1.0)
}

/// Gas made in the body, and where it goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Making {
    /// kg of gas per m³ of body and second.
    pub kg_m3_s: f64,
    /// Its viscosity, Pa·s.
    pub viscosity_pa_s: f64,
    /// Its molar mass, kg/mol.
    pub molar_kg_mol: f64,
    /// Temperature, K.
    pub t_k: f64,
    /// Half section, m.
    pub half_m: f64,
    /// Pressure outside, Pa.
    pub outside_pa: f64,
}

/// Pressure in the middle of a slab, Pa: Pc² = P0² + ṁμRTL²/(Mκ).
pub fn core_pressure_pa(g: &Making, permeability_m2: f64) -> f64 {
    libm::sqrt(
        g.outside_pa * g.outside_pa
            + g.kg_m3_s * g.viscosity_pa_s * R * g.t_k * g.half_m * g.half_m
                / (g.molar_kg_mol * permeability_m2),
    )
}

/// What can be said of the core at a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Core {
    /// Pressure above the outside, Pa.
    Overpressure(f64),
    /// Pores not open.
    Closed,
}

/// Judges the core.
pub fn core(g: &Making, open: f64, powder_m: f64) -> Core {
    if open < OPEN_MIN {
        return Core::Closed;
    }
    let k = permeability_m2(open, powder_m, SLIP_PA, g.outside_pa);
    Core::Overpressure(core_pressure_pa(g, k) - g.outside_pa)
}

/// Conductivity of a porous body over that of the solid, after Koh and Fortini.
pub fn koh_fortini(porosity: f64) -> f64 {
    (1.0 - porosity) / (1.0 + 11.0 * porosity * porosity)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(a: f64, b: f64, rel: f64) {
        assert!((a / b - 1.0).abs() < rel, "{a} instead of {b}");
    }

    #[test]
    fn row_32_kozeny_carman() {
        near(permeability_m2(0.4, 10e-6, 0.0, 1e5), 9.87654e-14, 1e-5);
    }

    #[test]
    fn rows_33_to_35_core_pressure() {
        // physics.md 33–35 (derived).
        let g = |half_m, outside_pa| Making {
            kg_m3_s: 1.0 / 60.0,
            viscosity_pa_s: 1.8e-5,
            molar_kg_mol: 0.042,
            t_k: 723.15,
            half_m,
            outside_pa,
        };
        near(
            core_pressure_pa(&g(5e-3, 101_325.0), 1e-15),
            106_491.5,
            1e-5,
        );
        near(
            core_pressure_pa(&g(10e-3, 101_325.0), 1e-15),
            120_670.9,
            1e-5,
        );
        near(core_pressure_pa(&g(5e-3, 5_000.0), 1e-15), 33_146.3, 1e-5);
    }

    #[test]
    fn row_91_koh_fortini() {
        // The row prints 0.217391 of it.
        near(koh_fortini(0.4), 0.217_391_3, 1e-6);
    }

    #[test]
    fn the_cliff_of_model_3() {
        // model.md 3: at 1 kg/m³min and 5 mm: ε 0.40 → 0.05 kPa, 0.05 → 54 (kPa).
        let g = Making {
            kg_m3_s: 1.0 / 60.0,
            viscosity_pa_s: 1.8e-5,
            molar_kg_mol: 0.042,
            t_k: 723.15,
            half_m: 5e-3,
            outside_pa: 101_325.0,
        };
        let Core::Overpressure(p) = core(&g, 0.40, 10e-6) else {
            panic!()
        };
        assert!((p - 54.0).abs() < 5.0, "{p} Pa");
        let Core::Overpressure(p) = core(&g, 0.05, 10e-6) else {
            panic!()
        };
        assert!((p * 1e-3 - 54.0).abs() < 3.0, "{p}");
        assert_eq!(core(&g, 0.049, 10e-6), Core::Closed);
        // 0.02 would be 390 kPa.
        let p = core_pressure_pa(&g, permeability_m2(0.02, 10e-6, 0.0, 1e5)) - 101_325.0;
        assert!((p * 1e-3 - 390.0).abs() < 25.0, "{p}");
    }
}
