//! Natural constants, the reference state of gas volumes, and the list of figures that the models
//! bring along, each with its standing.

use crate::catalogue::Standing;

/// Stefan–Boltzmann constant, W/(m²·K⁴) (CODATA 2018, exact).
pub const SIGMA: f64 = 5.670_374_419e-8;
/// Molar gas constant, J/(mol·K) (CODATA 2018, exact).
pub const R: f64 = 8.314_462_618;
/// 0 °C, K.
pub const ZERO_C: f64 = 273.15;
/// 1 atm, Pa.
pub const ATM_PA: f64 = 101_325.0;
/// Reference temperature of gas volumes, K (25 °C).
pub const T_REF_K: f64 = 298.15;
/// Gravity, m/s².
pub const G: f64 = 9.81;

/// Molar volume of an ideal gas at 25 °C and 1 atm, m³/mol.
pub const fn molar_volume_m3() -> f64 {
    R * T_REF_K / ATM_PA
}

/// One figure that a forecast used.
#[derive(Clone, Debug, PartialEq)]
pub struct Constant {
    /// Name with its unit, e.g. `chamber_emissivity`.
    pub name: String,
    /// Value.
    pub value: f64,
    /// Unit as printed; empty for a number.
    pub unit: String,
    /// Standing.
    pub standing: Standing,
    /// Key into the bibliography, or where in the model it stands.
    pub source: String,
    /// Kind and slug of the record that holds it, e.g. `alloy 316l`; empty for a figure of the
    /// models.
    pub record: String,
}

impl Constant {
    /// Whether it is to be shown as assumed.
    pub fn is_assumed(&self) -> bool {
        self.standing == Standing::Assumed
    }
}

/// Figures of the models themselves: those that no record of the catalogue holds.
pub fn own() -> Vec<Constant> {
    use Standing::{Assumed, Derived, Memory};
    let c = |name: &str, value: f64, unit: &str, standing, source: &str| Constant {
        name: name.to_owned(),
        value,
        unit: unit.to_owned(),
        standing,
        source: source.to_owned(),
        record: String::new(),
    };
    vec![
        c("contact_gap_m", 1e-4, "m", Assumed, "heat network, contact"),
        c(
            "contact_solid_w_m2k",
            10.0,
            "W/m²K",
            Assumed,
            "heat network, contact",
        ),
        c(
            "contact_radiation_exchange",
            0.35,
            "",
            Assumed,
            "heat network, contact",
        ),
        c(
            "core_half_section_m",
            0.008,
            "m",
            Assumed,
            "heat network, core nodes",
        ),
        c(
            "buoyancy_from_pa",
            30_000.0,
            "Pa",
            Assumed,
            "heat network, gas",
        ),
        c("buoyancy_factor", 0.069, "", Memory, "Globe and Dropkin"),
        c(
            "reduced_from_k",
            923.15,
            "K",
            Assumed,
            "heat network, emissivity",
        ),
        c(
            "reduced_to_k",
            1023.15,
            "K",
            Assumed,
            "heat network, emissivity",
        ),
        c("tip_emissivity", 0.8, "", Assumed, "load thermocouples"),
        c(
            "tip_contact_w_m2k",
            10.0,
            "W/m²K",
            Assumed,
            "load thermocouples",
        ),
        c("holdback_soft_share", 0.02, "", Assumed, "program clock"),
        c("evaporation_pressure_most", 50.0, "", Assumed, "burnout"),
        c(
            "core_overpressure_pa",
            20_000.0,
            "Pa",
            Assumed,
            "core pressure",
        ),
        c("open_porosity_least", 0.05, "", Assumed, "core pressure"),
        c("kozeny_carman", 180.0, "", Memory, "core pressure"),
        c(
            "offgas_viscosity_pa_s",
            1.8e-5,
            "Pa·s",
            Assumed,
            "core pressure",
        ),
        c("pore_closure_density", 0.92, "", Assumed, "densification"),
        c(
            "gas_caught_from_pa",
            10_000.0,
            "Pa",
            Assumed,
            "densification",
        ),
        c("char_carbon_share", 0.86, "", Assumed, "carbon"),
        c("creep_linear_at_pa", 2e6, "Pa", Assumed, "creep bow"),
        c(
            "vapour_diffusivity_m2_s",
            1.5e-5,
            "m²/s",
            Assumed,
            "evaporation",
        ),
        c(
            "arrival_band_k",
            super::inputs::Settings::default().arrival_band_k,
            "K",
            Assumed,
            "holds",
        ),
        c("reduces_from_c", 900.0, "°C", Assumed, "reduction"),
        c("case_emissivity_step", 0.15, "", Assumed, "cases"),
        c("case_mass_step", 0.05, "", Assumed, "cases"),
        c(
            "molar_volume_m3",
            molar_volume_m3(),
            "m³/mol",
            Derived,
            "25 °C, 1 atm",
        ),
    ]
}
