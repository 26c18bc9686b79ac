//! Natural constants, the reference state of gas volumes, and the list of figures that the models
//! bring along, each with its standing.

use super::{cases, densify, heat, pores};
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

// Figures of the models that no record holds; [`own`] lists them.

/// Gap of a contact through which gas conducts, m (assumed).
pub(super) const CONTACT_GAP_M: f64 = 1e-4;
/// Conductance of a contact by what touches, W/(m²·K) (assumed).
pub(super) const CONTACT_SOLID_W_M2K: f64 = 10.0;
/// Exchange of its faces by radiation (assumed).
pub(super) const CONTACT_RADIATION: f64 = 0.35;
/// Factor of Globe and Dropkin's law (from memory).
pub(super) const BUOYANCY_FACTOR: f64 = 0.069;
/// From brown to reduced over these, K (assumed).
pub(super) const REDUCING_K: (f64, f64) = (923.15, 1023.15);
/// Emissivity of a load thermocouple (assumed).
pub(super) const TIP_EMISSIVITY: f64 = 0.8;
/// Its contact, W/(m²·K) (assumed).
pub(super) const TIP_CONTACT_W_M2K: f64 = 10.0;
/// The setpoint slows down over some seven times this share of the band before it stops (assumed).
pub(super) const HOLDBACK_SOFT: f64 = 0.02;
/// How much faster than at 1 atm something evaporates at most (assumed).
pub(super) const EVAPORATION_MOST: f64 = 50.0;
/// Viscosity of off-gas, Pa·s (assumed).
pub(super) const OFFGAS_PA_S: f64 = 1.8e-5;
/// Carbon in the char of a hydrocarbon (assumed).
pub(super) const CHAR_CARBON: f64 = 0.86;
/// Diffusivity of a metal's vapour at 0 °C and 1 bar, m²/s (assumed).
pub(super) const VAPOUR_M2_S: f64 = 1.5e-5;

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
    let core_m = heat::CORE_SECTION_M / 2.0;
    let band_k = super::inputs::Settings::default().arrival_band_k;
    let (reduced_from_k, reduced_to_k) = REDUCING_K;
    let reduction_c = super::chemistry::REDUCES_FROM_C;
    let assumed: [(&str, f64, &str, &str); 23] = [
        ("contact_gap_m", CONTACT_GAP_M, "m", "heat network, contact"),
        (
            "contact_solid_w_m2k",
            CONTACT_SOLID_W_M2K,
            "W/m²K",
            "heat network, contact",
        ),
        (
            "contact_radiation_exchange",
            CONTACT_RADIATION,
            "",
            "heat network, contact",
        ),
        (
            "core_half_section_m",
            core_m,
            "m",
            "heat network, core nodes",
        ),
        (
            "buoyancy_from_pa",
            heat::gas::BUOYANT_PA,
            "Pa",
            "heat network, gas",
        ),
        (
            "reduced_from_k",
            reduced_from_k,
            "K",
            "heat network, emissivity",
        ),
        (
            "reduced_to_k",
            reduced_to_k,
            "K",
            "heat network, emissivity",
        ),
        ("tip_emissivity", TIP_EMISSIVITY, "", "load thermocouples"),
        (
            "tip_contact_w_m2k",
            TIP_CONTACT_W_M2K,
            "W/m²K",
            "load thermocouples",
        ),
        ("holdback_soft_share", HOLDBACK_SOFT, "", "program clock"),
        ("evaporation_pressure_most", EVAPORATION_MOST, "", "burnout"),
        ("open_porosity_least", pores::OPEN_MIN, "", "core pressure"),
        (
            "offgas_viscosity_pa_s",
            OFFGAS_PA_S,
            "Pa·s",
            "core pressure",
        ),
        (
            "pore_slip_pa",
            pores::SLIP_PA,
            "Pa",
            "core pressure: none, an upper bound",
        ),
        (
            "pore_closure_density",
            densify::CLOSURE,
            "",
            "densification",
        ),
        (
            "gas_caught_from_pa",
            densify::CAUGHT_PA,
            "Pa",
            "densification",
        ),
        ("char_carbon_share", CHAR_CARBON, "", "carbon"),
        (
            "creep_linear_at_pa",
            super::ceramics::LINEAR_PA,
            "Pa",
            "creep bow",
        ),
        (
            "vapour_diffusivity_m2_s",
            VAPOUR_M2_S,
            "m²/s",
            "evaporation",
        ),
        ("arrival_band_k", band_k, "K", "holds"),
        ("reduces_from_c", reduction_c, "°C", "reduction"),
        ("case_emissivity_step", cases::EMISSIVITY_STEP, "", "cases"),
        ("case_mass_step", cases::MASS_STEP, "", "cases"),
    ];
    let assumed = assumed.map(|(name, value, unit, source)| c(name, value, unit, Assumed, source));
    let memory = "Globe and Dropkin";
    let others = [
        c("buoyancy_factor", BUOYANCY_FACTOR, "", Memory, memory),
        c("kozeny_carman", pores::CARMAN, "", Memory, "core pressure"),
        c(
            "molar_volume_m3",
            molar_volume_m3(),
            "m³/mol",
            Derived,
            "25 °C, 1 atm",
        ),
    ];
    assumed.into_iter().chain(others).collect()
}
