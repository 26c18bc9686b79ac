//! Size by stage, about the anchor.

use super::Part;
use crate::catalogue::{Alloy, Feedstock, FirstStep};

/// Room temperature to which sizes and expansions refer, °C.
pub const ROOM_C: f64 = 20.0;

/// Stages at which sizes are checked.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum SizeStage {
    /// Green and cold.
    Green,
    /// Hottest before shrinking begins.
    Hottest,
    /// Sintered and cold.
    Sintered,
}

impl SizeStage {
    /// All stages in the order of the run.
    pub const ALL: [SizeStage; 3] = [SizeStage::Green, SizeStage::Hottest, SizeStage::Sintered];

    /// In words, for sentences and JSON.
    pub fn word(self) -> &'static str {
        match self {
            SizeStage::Green => "green",
            SizeStage::Hottest => crate::text::names::hottest(),
            SizeStage::Sintered => "sintered",
        }
    }
}

/// How much larger a part gets while a binder without a first step softens and burns out, as a
/// share of its length: the upper end of 0.5 to 2 % (`model.md` 1; assumed). With a first step it
/// swells in the basket, not in the furnace.
pub const THERMAL_SWELL: f64 = 0.02;

/// Factor for the swelling in the furnace. It is taken to last until shrinking begins, which is on
/// the safe side.
pub fn furnace_swell(first_step: &FirstStep) -> f64 {
    match first_step {
        FirstStep::ThermalOnly => 1.0 + THERMAL_SWELL,
        FirstStep::Solvent { .. } | FirstStep::Water { .. } | FirstStep::Catalytic { .. } => 1.0,
    }
}

/// Linear growth 1 + α(T − T₀) from [`ROOM_C`] to `at_c`; never below 1.
pub fn growth(expansion_per_k: f64, at_c: f64) -> f64 {
    1.0 + expansion_per_k * (at_c - ROOM_C).max(0.0)
}

/// Factors in x, y, z from the size as drawn to the size at a stage. The axes are those at rest:
/// the factors belong to the drawing and turn with the part.
///
/// `peak_c` is the highest setpoint: a run that ends below the start of shrinking grows only so
/// far. L = L_green / OSF when sintered; the factor holds at the density at which it was measured
/// (`model.md` section 1).
pub fn scale(
    part: &Part,
    feedstock: &Feedstock,
    alloy: &Alloy,
    peak_c: f64,
    stage: SizeStage,
) -> [f64; 3] {
    let hot = growth(alloy.expansion_per_k, feedstock.shrink_start_c.min(peak_c));
    let mut factors = part.to_green(feedstock.oversize);
    for (factor, oversize) in factors.iter_mut().zip(feedstock.oversize) {
        match stage {
            SizeStage::Green => {}
            SizeStage::Hottest => *factor *= hot,
            // What it was made with says how large it is green; how far that shrinks is the
            // feedstock's to say.
            SizeStage::Sintered => *factor /= oversize,
        }
    }
    part.rest.factors(factors)
}

/// Linear shrinkage S = 1 − (φ/ρ)^(1/3) from green to sintered, for a solids loading φ and a
/// relative density ρ when sintered (`physics.md` 1d; exact when all directions shrink alike).
pub fn shrinkage(loading: f64, density: f64) -> f64 {
    1.0 - libm::cbrt(loading / density)
}

/// Linear shrinkage S = 1 − 1/OSF that goes with an oversize factor: 1.2 is 16.67 %, not 20 %.
pub fn shrinkage_from_oversize(oversize: f64) -> f64 {
    1.0 - 1.0 / oversize
}

/// Oversize factor OSF = (ρ/φ)^(1/3), green over sintered length.
pub fn oversize_from_loading(loading: f64, density: f64) -> f64 {
    libm::cbrt(density / loading)
}

/// Solids loading φ = ρ/OSF³ that an oversize factor implies at a relative density.
pub fn loading_from_oversize(oversize: f64, density: f64) -> f64 {
    density / (oversize * oversize * oversize)
}

/// Relative density ρ = φ·OSF³ reached by a part that shrank by an oversize factor.
pub fn density_from_oversize(oversize: f64, loading: f64) -> f64 {
    loading * oversize * oversize * oversize
}

/// Solids loading from the metal's share of the green mass, 0 to 1, and the densities of metal
/// and binder, g/cm³: volumes add.
pub fn loading_from_mass_share(metal_share: f64, metal_g_cm3: f64, binder_g_cm3: f64) -> f64 {
    let metal = metal_share / metal_g_cm3;
    metal / (metal + (1.0 - metal_share) / binder_g_cm3)
}
