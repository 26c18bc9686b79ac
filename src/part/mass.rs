//! Mass by state.

use super::Part;
use crate::catalogue::{Alloy, Binder, Feedstock};

/// States in which a part has a mass.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum MassState {
    /// As moulded or printed.
    Green,
    /// After the first step. Solvent still in the pores is not counted: no plan knows it.
    Brown,
    /// After drying; the same metal and backbone as brown.
    Dry,
    /// Binder gone, necks formed.
    Presintered,
    /// Sintered.
    Sintered,
}

impl MassState {
    /// In words, for sentences, scripts and JSON.
    pub fn word(self) -> &'static str {
        match self {
            MassState::Green => "green",
            MassState::Brown => "brown",
            MassState::Dry => "dry",
            MassState::Presintered => "presintered",
            MassState::Sintered => "sintered",
        }
    }

    /// All states in the order of the route.
    pub const ALL: [MassState; 5] = [
        MassState::Green,
        MassState::Brown,
        MassState::Dry,
        MassState::Presintered,
        MassState::Sintered,
    ];
}

/// Mass of one piece by state, g.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Masses {
    /// Green.
    pub green_g: f64,
    /// After the first step and drying.
    pub dry_g: f64,
    /// Metal alone: presintered and sintered.
    pub metal_g: f64,
    /// Binder in the green piece.
    pub binder_g: f64,
    /// What the first step can remove of it.
    pub first_step_g: f64,
}

impl Masses {
    /// Mass in a state, g.
    pub fn in_state(&self, state: MassState) -> f64 {
        match state {
            MassState::Green => self.green_g,
            MassState::Brown | MassState::Dry => self.dry_g,
            MassState::Presintered | MassState::Sintered => self.metal_g,
        }
    }

    /// Binder still in a piece that enters the furnace in a state, g.
    pub fn binder_left_g(&self, state: MassState) -> f64 {
        (self.in_state(state) - self.metal_g).max(0.0)
    }
}

/// Density of a binder, g/cm³: masses and volumes of the components add.
pub fn binder_density(binder: &Binder) -> f64 {
    let volume: f64 = binder
        .components
        .iter()
        .map(|c| c.mass_share / c.density_g_cm3)
        .sum();
    1.0 / volume
}

/// Green density φρm + (1−φ)ρb, g/cm³ (`model.md` section 1).
pub fn green_density(loading: f64, metal_g_cm3: f64, binder_g_cm3: f64) -> f64 {
    loading * metal_g_cm3 + (1.0 - loading) * binder_g_cm3
}

/// Binder mass share w = (1−φ)ρb / green density (`model.md` section 1).
pub fn binder_mass_share(loading: f64, metal_g_cm3: f64, binder_g_cm3: f64) -> f64 {
    (1.0 - loading) * binder_g_cm3 / green_density(loading, metal_g_cm3, binder_g_cm3)
}

/// Mass of one piece by state. `extracted` is the share of the first-step binder that is out
/// when the piece is dry, 0 to 1. A weighing overrides the volume; none where nothing was weighed
/// and the shape does not tell the volume of what is in it.
pub fn masses(
    part: &Part,
    feedstock: &Feedstock,
    alloy: &Alloy,
    binder: &Binder,
    extracted: f64,
) -> Option<Masses> {
    let share = binder_mass_share(
        feedstock.loading,
        alloy.density_g_cm3,
        binder_density(binder),
    );
    let first: f64 = binder
        .components
        .iter()
        .filter(|c| c.first_step)
        .map(|c| c.mass_share)
        .sum();
    let out = share * first * extracted;
    let green_g = match part.weighed {
        Some(weighed) => match weighed.state {
            MassState::Green => weighed.mass_g,
            MassState::Brown | MassState::Dry => weighed.mass_g / (1.0 - out),
            MassState::Presintered | MassState::Sintered => weighed.mass_g / (1.0 - share),
        },
        None => computed_green_g(part, feedstock, alloy, binder)?,
    };
    Some(Masses {
        green_g,
        dry_g: green_g * (1.0 - out),
        metal_g: green_g * (1.0 - share),
        binder_g: green_g * share,
        first_step_g: green_g * share * first,
    })
}

/// Green mass of one piece from its volume, g, whatever the scale says; none for a part with
/// infill and for one of which only the outline is known.
pub fn computed_green_g(
    part: &Part,
    feedstock: &Feedstock,
    alloy: &Alloy,
    binder: &Binder,
) -> Option<f64> {
    let factor: f64 = part.to_green(feedstock.oversize).iter().product();
    let density = green_density(
        feedstock.loading,
        alloy.density_g_cm3,
        binder_density(binder),
    );
    Some(part.solid_volume_mm3()? * factor / 1000.0 * density)
}
