//! Catalogue records as they stand in files of version 1.
//!
//! These structs are frozen: they are what `assets/catalogue`, a shop folder and a saved load hold.
//! A record is plain data without working state, so it is its own mirror. To change one, copy this
//! file to `v2.rs`, re-export that from the module, and convert here; never edit a field in place.
//!
//! Every number carries its unit in its name. `source` and `standing` hold for the whole record
//! unless `except` names a field that differs.

use super::attended::Attended;
use super::state::{
    Balance, Calibration, LimitChange, PastLoad, Person, Procedure, SensorState, SurveyPlace,
};
use serde::{Deserialize, Serialize};

/// How far a number may be trusted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Standing {
    /// Read in the cited source.
    Published,
    /// Recalled from the cited literature, not opened: verify before relying on it.
    Memory,
    /// Computed from other numbers by a stated formula.
    Derived,
    /// A place-holder of ours; shown as "assumed" wherever it is used.
    Assumed,
    /// Set by the shop.
    Shop,
}

impl Standing {
    /// In words.
    pub fn word(self) -> &'static str {
        match self {
            Standing::Published => "published",
            Standing::Memory => "from memory",
            Standing::Derived => "derived",
            Standing::Assumed => "assumed",
            Standing::Shop => "set by the shop",
        }
    }
}

/// A field whose source or standing differs from its record's.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Except {
    /// Path of the field, e.g. `"solidus_c"` or `"sinter.hold_min_min"`.
    pub field: String,
    /// Key into the bibliography.
    pub source: String,
    /// Standing of that field.
    pub standing: Standing,
    /// What a reader should know about it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// A closed temperature range, °C.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RangeC {
    /// Lower end, °C.
    pub from_c: f64,
    /// Upper end, °C.
    pub to_c: f64,
}

/// One entry of the bibliography.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Reference {
    /// Key used by `source` fields.
    pub id: String,
    /// Who, what, where, when.
    pub citation: String,
    /// How much of it was read.
    pub seen: String,
}

/// What an alloy belongs to, for setter pairs and for sharing a load.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Family {
    /// 300-series stainless.
    AusteniticStainless,
    /// Precipitation-hardening stainless.
    PrecipitationStainless,
    /// 400-series stainless.
    MartensiticStainless,
    /// Fe-Ni, Fe-Ni-Mo-C and similar.
    LowAlloySteel,
    /// High-speed and tool steels.
    ToolSteel,
    /// Copper and its dilute alloys.
    Copper,
    /// Titanium and its alloys.
    Titanium,
    /// Nickel-based alloys.
    NickelAlloy,
    /// W-Ni-Fe and W-Ni-Cu.
    TungstenHeavyAlloy,
}

/// A gas an alloy tolerates, and where.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GasRule {
    /// Gas slug, or `"vacuum"`.
    pub gas: String,
    /// Allowed only at or above this temperature, °C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_c: Option<f64>,
    /// Allowed only up to this temperature, °C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub to_c: Option<f64>,
    /// Why.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// Emissivities of a part through its states; hemispherical, total, grey.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PartEmissivity {
    /// Green, brown or oxidised.
    pub brown: f64,
    /// Reduced brown, above about 700 °C.
    pub reduced: f64,
    /// Sintered and clean.
    pub sintered: f64,
}

/// An element in an alloy.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Element {
    /// Symbol, e.g. `"Cr"`.
    pub symbol: String,
    /// Share of the atoms, 0 to 1.
    pub mole_fraction: f64,
    /// Activity in the alloy, the pure element being 1.
    pub activity: f64,
}

/// Reduction of an oxide by hydrogen, ΔG = a + bT per formula; the metal's activity is that of its
/// element in the alloy.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OxideLine {
    /// a, kJ/mol of the oxide.
    pub enthalpy_kj_mol: f64,
    /// b, J/(mol·K), the negative of the entropy.
    pub slope_j_molk: f64,
    /// Oxygen atoms in the formula.
    pub oxygens: f64,
    /// Metal atoms in the formula.
    pub metals: f64,
}

/// One branch of a master sintering curve; Θ in s/K.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DensifyingBranch {
    /// Activation energy, kJ/mol.
    pub kj_mol: f64,
    /// a: lnΘ at half way.
    pub a: f64,
    /// b: width in lnΘ.
    pub b: f64,
}

/// The branch above a temperature.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct UpperBranch {
    /// Begins here, °C.
    pub from_c: f64,
    /// Its figures.
    pub branch: DensifyingBranch,
}

/// How a powder densifies; `model.md` section 5. It holds for this powder and gas alone.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DensifyingData {
    /// The branch, or the lower one of two.
    pub branch: DensifyingBranch,
    /// The branch above a temperature, where there are two.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub upper: Option<UpperBranch>,
    /// Relative density on which the curve begins; the solids loading where nothing is said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub start_density: Option<f64>,
    /// Relative density that it tends to in vacuum, hydrogen or thin inert gas.
    pub end_density_open: f64,
    /// The same with argon or nitrogen above 0.1 bar when pores close.
    pub end_density_gas_filled: f64,
    /// Above this nothing is predicted, °C.
    pub range_to_c: f64,
    /// How its grains grow, where that is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grains: Option<GrainGrowth>,
}

/// Growth of grains by Gⁿ − G0ⁿ = kt.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GrainGrowth {
    /// n.
    pub exponent: f64,
    /// G0, µm.
    pub start_um: f64,
    /// k, µmⁿ/s.
    pub k_um_s: f64,
    /// At this temperature, °C.
    pub at_c: f64,
    /// Activation energy, kJ/mol; 0 of a k known at one temperature alone.
    pub kj_mol: f64,
}

/// Creep of a ceramic: a rate at one stress and temperature, and how it changes.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CreepLaw {
    /// Rate, 1/s.
    pub rate_per_s: f64,
    /// At this stress, MPa.
    pub stress_mpa: f64,
    /// At this temperature, °C.
    pub at_c: f64,
    /// With this grain, µm.
    pub grain_um: f64,
    /// Stress exponent.
    pub exponent: f64,
    /// Activation energy, kJ/mol.
    pub kj_mol: f64,
    /// Grain exponent: the rate falls with so many powers of the grain.
    pub grain_exponent: f64,
}

/// An alloy.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Alloy {
    /// Unchanging slug.
    pub id: String,
    /// Name shown.
    pub name: String,
    /// Revision of this record, from 1.
    pub revision: u32,
    /// Which built-in revision a shop's record replaces.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub replaces_revision: Option<u32>,
    /// Family.
    pub family: Family,
    /// Pore-free density, g/cm³.
    pub density_g_cm3: f64,
    /// Solidus, °C.
    pub solidus_c: f64,
    /// Liquidus, °C.
    pub liquidus_c: f64,
    /// Whether the sinter range lies at or above the solidus on purpose (liquid-phase sintering).
    pub sinters_with_liquid: bool,
    /// Mean linear expansion from room temperature to about 950 °C, 1/K.
    pub expansion_per_k: f64,
    /// The oxide that governs reduction, as a formula, e.g. `"Cr2O3"`.
    pub governing_oxide: String,
    /// Reduction hold (an oxide has to leave before pores close), °C, where one is wanted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reduction_hold: Option<RangeC>,
    /// Carbon range of the sintered alloy, % by mass.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub carbon_min_pct: Option<f64>,
    /// Upper end of the carbon range, % by mass.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub carbon_max_pct: Option<f64>,
    /// Oxygen allowed in the sintered alloy, % by mass.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub oxygen_max_pct: Option<f64>,
    /// Carbon that binder residue may add, % by mass.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub residue_carbon_max_pct: Option<f64>,
    /// Whether an element evaporates in vacuum at peak (Cr, Mn, Cu).
    pub evaporates: bool,
    /// Lowest pressure wanted above `evaporation_from_c`, mbar.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pressure_floor_mbar: Option<f64>,
    /// Where the pressure floor begins, °C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pressure_floor_from_c: Option<f64>,
    /// Gases allowed; a gas not listed is not allowed.
    pub gases: Vec<GasRule>,
    /// Setter materials that must not touch the alloy at peak.
    #[serde(default)]
    pub setter_materials_refused: Vec<String>,
    /// Alloy slugs that may share a load with this one.
    #[serde(default)]
    pub may_share_with: Vec<String>,
    /// What to watch, in one or two sentences.
    pub watch: String,
    /// Heat capacity: (K, J/(kg·K)), rising in temperature.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cp_j_kgk: Vec<(f64, f64)>,
    /// Conductivity of the pore-free metal: (K, W/(m·K)), rising in temperature.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub conductivity_w_mk: Vec<(f64, f64)>,
    /// Emissivities of parts through their states.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub emissivity: Option<PartEmissivity>,
    /// Elements that evaporate or set the reduction, in the alloy as sintered.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub elements: Vec<Element>,
    /// Reduction of the governing oxide by hydrogen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub oxide: Option<OxideLine>,
    /// Key into the bibliography.
    pub source: String,
    /// Standing of the record's numbers.
    pub standing: Standing,
    /// Fields that differ.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub except: Vec<Except>,
}

/// How the first binder leaves.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum FirstStep {
    /// Dissolved in a liquid bath.
    Solvent {
        /// Usual solvent.
        solvent: String,
        /// Density of the solvent, g/cm³.
        solvent_density_g_cm3: f64,
        /// Molar mass of the solvent, g/mol.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        solvent_molar_g_mol: Option<f64>,
        /// Lower flammable limit in air, % by volume; none where it does not burn.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        lower_flammable_limit_pct: Option<f64>,
        /// Diffusion law D = d0·exp(−E/RT): d0, cm²/s.
        diffusivity_cm2_s: f64,
        /// Its activation energy, kJ/mol.
        diffusion_kj_mol: f64,
    },
    /// Dissolved in water.
    Water {
        /// Diffusivity factor, cm²/s.
        diffusivity_cm2_s: f64,
        /// Activation energy, kJ/mol.
        diffusion_kj_mol: f64,
    },
    /// Depolymerised by acid vapour in nitrogen.
    Catalytic {
        /// Advance of the front, mm/h.
        front_mm_h: f64,
    },
    /// No first step: all binder burns out in the furnace.
    ThermalOnly,
}

/// One reaction by which a component leaves: dx/dt = −A·exp(−E/RT)·xⁿ.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Reaction {
    /// Share of the component's mass that leaves by it.
    pub share: f64,
    /// Activation energy, kJ/mol.
    pub e_kj_mol: f64,
    /// Pre-exponential factor, 1/s.
    pub a_per_s: f64,
    /// Order n.
    pub order: f64,
    /// Whether it is an evaporation, which feels the pressure.
    pub evaporates: bool,
}

/// One component of a binder.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Component {
    /// Slug within the binder.
    pub id: String,
    /// Name shown.
    pub name: String,
    /// Share of the binder's mass; shares add to 1.
    pub mass_share: f64,
    /// Whether the first step removes it.
    pub first_step: bool,
    /// Density, g/cm³.
    pub density_g_cm3: f64,
    /// Mean molar mass of what leaves, g/mol.
    pub offgas_g_mol: f64,
    /// Share of its mass left as carbon.
    pub char_share: f64,
    /// Share of its vapour that the trap catches.
    pub trap_share: f64,
    /// Reactions; shares add to 1.
    pub reactions: Vec<Reaction>,
}

/// A binder system.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Binder {
    /// Unchanging slug.
    pub id: String,
    /// Name shown.
    pub name: String,
    /// Revision of this record, from 1.
    pub revision: u32,
    /// Which built-in revision a shop's record replaces.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub replaces_revision: Option<u32>,
    /// How the first binder leaves.
    pub first_step: FirstStep,
    /// Components.
    pub components: Vec<Component>,
    /// Usual cautions, in sentences.
    pub caution: String,
    /// Key into the bibliography.
    pub source: String,
    /// Standing of the record's numbers.
    pub standing: Standing,
    /// Fields that differ.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub except: Vec<Except>,
}

/// A heating-rate limit for sections up to a thickness.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RampLimit {
    /// Holds for sections up to this, mm.
    pub section_up_to_mm: f64,
    /// Fastest ramp in the debind range, K/min.
    pub rate_k_min: f64,
}

/// Sinter range.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SinterRange {
    /// Lower end, °C.
    pub from_c: f64,
    /// Upper end, °C.
    pub to_c: f64,
    /// Shortest hold, min.
    pub hold_min_min: f64,
    /// Longest hold, min.
    pub hold_max_min: f64,
    /// Fastest ramp while the part densifies, K/min.
    pub rate_max_k_min: f64,
}

/// Cooling rule: the rate wanted while the setpoint falls through a range.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CoolingRule {
    /// Upper end of the range, °C.
    pub from_c: f64,
    /// Lower end of the range, °C.
    pub to_c: f64,
    /// Slowest cooling, K/min.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub slowest_k_min: Option<f64>,
    /// Fastest cooling, K/min.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fastest_k_min: Option<f64>,
}

/// A feedstock: a powder and a binder.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Feedstock {
    /// Unchanging slug.
    pub id: String,
    /// Name shown.
    pub name: String,
    /// Revision of this record, from 1.
    pub revision: u32,
    /// Which built-in revision a shop's record replaces.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub replaces_revision: Option<u32>,
    /// Alloy slug.
    pub alloy: String,
    /// Binder slug.
    pub binder: String,
    /// Solids loading: volume share of powder.
    pub loading: f64,
    /// Oversize factors in x, y, z: green over sintered.
    pub oversize: [f64; 3],
    /// Relative density at which the factors were measured.
    pub oversize_density: f64,
    /// Where the backbone leaves, °C.
    pub debind: RangeC,
    /// Where and how long it sinters.
    pub sinter: SinterRange,
    /// Where shrinking begins, °C: until here the part only grows.
    pub shrink_start_c: f64,
    /// Setter materials allowed in contact.
    pub setter_materials: Vec<String>,
    /// Heating-rate limits in the debind range by section, after the first step.
    pub ramp_limits: Vec<RampLimit>,
    /// Cooling rule.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cooling: Option<CoolingRule>,
    /// Share of the first-step binder that must be out, below which the core is closed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub extraction_floor: Option<f64>,
    /// Share of the first-step binder wanted out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub extraction_target: Option<f64>,
    /// Lowest sweep in the debind range, furnace volumes per hour.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sweep_volumes_per_h: Option<f64>,
    /// Powder lot carbon, % by mass.
    pub powder_carbon_pct: f64,
    /// Powder lot oxygen, % by mass.
    pub powder_oxygen_pct: f64,
    /// Size of the powder that sets the pores, µm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub powder_um: Option<f64>,
    /// Conductivity of the part before necks form, W/(m·K).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub brown_conductivity_w_mk: Option<f64>,
    /// Oxygen that hydrogen can take out, % by mass.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reducible_oxygen_pct: Option<f64>,
    /// How the powder densifies; none where nobody calibrated it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub densifying: Option<DensifyingData>,
    /// Key into the bibliography.
    pub source: String,
    /// Standing of the record's numbers.
    pub standing: Standing,
    /// Fields that differ.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub except: Vec<Except>,
}

/// What setters, posts and supports are made of.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Material {
    /// Unchanging slug.
    pub id: String,
    /// Name shown.
    pub name: String,
    /// Revision of this record, from 1.
    pub revision: u32,
    /// Which built-in revision a shop's record replaces.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub replaces_revision: Option<u32>,
    /// Density, g/cm³.
    pub density_g_cm3: f64,
    /// Mean linear expansion from room temperature to about 1000 °C, 1/K.
    pub expansion_per_k: f64,
    /// Poisson's ratio.
    pub poisson: f64,
    /// Silica content, % by mass.
    pub silica_pct: f64,
    /// Young's modulus by temperature: (°C, GPa), rising.
    pub modulus_gpa: Vec<(f64, f64)>,
    /// Flexural strength by temperature: (°C, MPa), rising.
    pub strength_mpa: Vec<(f64, f64)>,
    /// Heat capacity: (K, J/(kg·K)), rising in temperature.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cp_j_kgk: Vec<(f64, f64)>,
    /// Conductivity: (K, W/(m·K)), rising in temperature.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub conductivity_w_mk: Vec<(f64, f64)>,
    /// Emissivity; hemispherical, total, grey.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub emissivity: Option<f64>,
    /// Creep.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub creep: Option<CreepLaw>,
    /// Key into the bibliography.
    pub source: String,
    /// Standing of the record's numbers.
    pub standing: Standing,
    /// Fields that differ.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub except: Vec<Except>,
}

/// Plan shape of a setter, seen from above; x runs right, y away from the door.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum SetterShape {
    /// Width along x and depth along y, mm.
    Rectangle {
        /// Width along x, mm.
        width_mm: f64,
        /// Depth along y, mm.
        depth_mm: f64,
    },
    /// Round.
    Disc {
        /// Diameter, mm.
        diameter_mm: f64,
    },
    /// Any other plan without holes: an L, a hexagon, a plate with its corners cut.
    Polygon {
        /// Corners in order, either way round, mm from the setter's own centre: the place by which
        /// a stack sets it down and about which it grows. It lies within the corners.
        corners_mm: Vec<[f64; 2]>,
    },
}

/// A rim of a setter's own on which the next setter can rest.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rim {
    /// Height above the setter's face, mm.
    pub height_mm: f64,
    /// Width of the rim, taken from the usable face on every side, mm.
    pub width_mm: f64,
}

/// A setter.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Setter {
    /// Unchanging slug.
    pub id: String,
    /// Name shown.
    pub name: String,
    /// Revision of this record, from 1.
    pub revision: u32,
    /// Which built-in revision a shop's record replaces.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub replaces_revision: Option<u32>,
    /// Material slug of the body.
    pub material: String,
    /// Material slug of the face that parts touch (a coating), where it differs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub face_material: Option<String>,
    /// Plan shape.
    pub shape: SetterShape,
    /// Thickness of the plate, mm.
    pub thickness_mm: f64,
    /// Own rim.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rim: Option<Rim>,
    /// Mass, g.
    pub mass_g: f64,
    /// Grain size, µm.
    pub grain_um: f64,
    /// Rated temperature, °C.
    pub rated_c: f64,
    /// Rated mass on the plate at that temperature, kg.
    pub rated_load_kg: f64,
    /// Key into the bibliography.
    pub source: String,
    /// Standing of the record's numbers.
    pub standing: Standing,
    /// Fields that differ.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub except: Vec<Except>,
}

/// A post.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Post {
    /// Unchanging slug.
    pub id: String,
    /// Name shown.
    pub name: String,
    /// Revision of this record, from 1.
    pub revision: u32,
    /// Which built-in revision a shop's record replaces.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub replaces_revision: Option<u32>,
    /// Material slug.
    pub material: String,
    /// Length, mm.
    pub length_mm: f64,
    /// Diameter, mm.
    pub diameter_mm: f64,
    /// Mass, g.
    pub mass_g: f64,
    /// Rated temperature, °C.
    pub rated_c: f64,
    /// Key into the bibliography.
    pub source: String,
    /// Standing of the record's numbers.
    pub standing: Standing,
    /// Fields that differ.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub except: Vec<Except>,
}

/// Kind of support under a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum SupportKind {
    /// Loose ceramic powder.
    Powder,
    /// A thin ceramic sheet.
    Sheet,
    /// A raft of the part's own feedstock, which shrinks with it.
    Raft,
    /// Ceramic pins, set out by hand under the part; their places are not in the plan.
    Pins,
}

/// A support between a part and its setter.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Support {
    /// Unchanging slug.
    pub id: String,
    /// Name shown.
    pub name: String,
    /// Revision of this record, from 1.
    pub revision: u32,
    /// Which built-in revision a shop's record replaces.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub replaces_revision: Option<u32>,
    /// Kind.
    pub kind: SupportKind,
    /// Material slug, or the feedstock's for a raft (empty: the part's own).
    pub material: String,
    /// Height that it lifts the part, mm (green, for a raft).
    pub height_mm: f64,
    /// How far it reaches beyond the part's footprint, mm.
    pub margin_mm: f64,
    /// Mass per area, g/cm² (green, for a raft).
    pub mass_g_cm2: f64,
    /// Key into the bibliography.
    pub source: String,
    /// Standing of the record's numbers.
    pub standing: Standing,
    /// Fields that differ.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub except: Vec<Except>,
}

/// A space in the furnace, centred on x = y = 0, from `z0_mm` up; z = 0 is the hearth.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Space {
    /// A box.
    Box {
        /// Width along x, mm.
        width_mm: f64,
        /// Depth along y, mm.
        depth_mm: f64,
        /// Floor, mm.
        z0_mm: f64,
        /// Roof, mm.
        z1_mm: f64,
    },
    /// An upright cylinder.
    Cylinder {
        /// Diameter, mm.
        diameter_mm: f64,
        /// Floor, mm.
        z0_mm: f64,
        /// Roof, mm.
        z1_mm: f64,
    },
}

/// How a furnace is built, which decides its rules for hydrogen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum FurnaceKind {
    /// A pumped cold-wall chamber.
    VacuumBox,
    /// A pumped chamber with a gas-tight retort for hydrogen.
    PumpedRetort,
    /// A continuous atmosphere furnace.
    Continuous,
}

/// What the hot zone is lined and heated with.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Lining {
    /// Graphite felt or board.
    Graphite,
    /// Molybdenum shields and elements.
    Molybdenum,
    /// Ceramic fibre with metallic or disilicide elements.
    CeramicFibre,
}

/// What a thermocouple is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum SensorJob {
    /// Drives the controller.
    Control,
    /// Independent cut-out.
    OverTemperature,
    /// Recorded only.
    Monitor,
    /// Free to be placed in the load.
    Load,
}

/// A thermocouple fixed in the furnace.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FurnaceSensor {
    /// Slug within the furnace.
    pub id: String,
    /// Job.
    pub job: SensorJob,
    /// Thermocouple type letter (IEC 60584), or C.
    pub kind: String,
    /// Place of the tip, mm; none for one that is placed with the load.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_mm: Option<[f64; 3]>,
}

/// A place where nothing may stand: a gas nozzle, a pump port, an element.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ForbiddenSpot {
    /// Slug within the furnace.
    pub id: String,
    /// Name shown.
    pub name: String,
    /// Centre in plan, mm.
    pub at_mm: [f64; 2],
    /// Radius to be kept free, mm.
    pub radius_mm: f64,
    /// From this height, mm.
    pub z0_mm: f64,
    /// To this height, mm.
    pub z1_mm: f64,
}

/// A binder trap.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Trap {
    /// What it holds, g.
    pub capacity_g: f64,
}

/// What the controller can be told.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Controller {
    /// Most segments.
    pub segments_max: u32,
    /// Targets come in steps of, °C.
    pub target_step_c: f64,
    /// Rates come in steps of, K/min.
    pub rate_step_k_min: f64,
    /// Holds come in steps of, min.
    pub hold_step_min: f64,
    /// Longest hold, min.
    pub hold_max_min: f64,
    /// Rates are typed per hour.
    pub rates_per_hour: bool,
}

/// Heat figures of a furnace; `model.md` 4.8 gives the equations.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FurnaceHeat {
    /// Heat capacity of elements and inner face, kJ/K.
    pub chamber_kj_k: f64,
    /// Linear loss, W/K.
    pub loss_w_k: f64,
    /// Radiative loss area, m².
    pub loss_area_m2: f64,
    /// Number of shields or the equivalent of the insulation.
    pub shields: u32,
    /// Emissivity of the hot face.
    pub emissivity: f64,
    /// Lag of the control thermocouple, s.
    pub sensor_lag_s: f64,
    /// Inner area of the hot face, m².
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub face_area_m2: Option<f64>,
    /// Heat capacity of the insulation, kJ/K, as one body in the middle of the loss; none where
    /// it is small.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub insulation_kj_k: Option<f64>,
    /// Time constant of the controller, s.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub control_s: Option<f64>,
    /// Surroundings and gas as it comes in, °C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ambient_c: Option<f64>,
    /// Greatest power by chamber temperature: (°C, kW), rising in temperature; `power_kw` of the
    /// furnace everywhere where empty.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub power_by_c_kw: Vec<(f64, f64)>,
    /// ρcV/A of the tip and sheath of its load thermocouples, J/(m²·K).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub load_sensor_j_m2k: Option<f64>,
    /// Fan cooling, W/K, and the least pressure and highest temperature at which it runs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fan: Option<Fan>,
    /// Retort between elements and load.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub retort: Option<Retort>,
}

/// A cooling fan.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fan {
    /// Heat taken per kelvin between gas and water, W/K.
    pub ua_w_k: f64,
    /// Runs only above this pressure, mbar.
    pub pressure_min_mbar: f64,
    /// Runs only below this temperature, °C.
    pub on_below_c: f64,
    /// Film coefficient on the wetted areas of the load and the face, W/(m²·K).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub film_w_m2k: Option<f64>,
    /// Cooling water, °C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub water_c: Option<f64>,
}

/// A retort.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Retort {
    /// Material name.
    pub material: String,
    /// Heat capacity, kJ/K.
    pub kj_k: f64,
    /// Outer area, m².
    pub area_m2: f64,
    /// Emissivity.
    pub emissivity: f64,
    /// Film coefficient outside, W/(m²·K), of the gas between elements and retort.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outer_film_w_m2k: Option<f64>,
}

/// A furnace.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Furnace {
    /// Unchanging slug.
    pub id: String,
    /// Name shown.
    pub name: String,
    /// Revision of this record, from 1.
    pub revision: u32,
    /// Which built-in revision a shop's record replaces.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub replaces_revision: Option<u32>,
    /// Kind.
    pub kind: FurnaceKind,
    /// Lining and elements.
    pub lining: Lining,
    /// Hot zone.
    pub hot_zone: Space,
    /// Work zone: the part of it that a survey covers.
    pub work_zone: Space,
    /// Free volume swept by the gas with an empty zone, retort annulus and trap included, L.
    pub volume_l: f64,
    /// Highest setpoint, °C.
    pub max_c: f64,
    /// Fastest ramp the furnace follows empty, K/min.
    pub ramp_max_k_min: f64,
    /// Fastest cooling without a fan, at the top of the range, K/min.
    pub cooling_max_k_min: f64,
    /// Power, kW.
    pub power_kw: f64,
    /// Mass rating of hearth and stack, kg.
    pub mass_rating_kg: f64,
    /// Binder it may burn out in one run, g.
    pub binder_rating_g: f64,
    /// Least sweep flow in the debind range, L/min at 25 °C and 1 atm.
    pub sweep_min_l_min_25c: f64,
    /// Pump: (inlet pressure mbar, speed m³/h), rising in pressure; empty without a pump.
    pub pump: Vec<(f64, f64)>,
    /// Pressure it reaches cold and empty, mbar.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ultimate_mbar: Option<f64>,
    /// Highest pressure that it is made for, mbar absolute.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pressure_max_mbar: Option<f64>,
    /// Binder trap.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub trap: Option<Trap>,
    /// Gas slugs plumbed in.
    pub gases: Vec<String>,
    /// Thermocouples.
    pub sensors: Vec<FurnaceSensor>,
    /// Places to be kept free.
    pub forbidden: Vec<ForbiddenSpot>,
    /// Heights of fixed rack slots, mm above the hearth; empty where there is no rack.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rack_slots_mm: Vec<f64>,
    /// Controller.
    pub controller: Controller,
    /// Heat figures.
    pub heat: FurnaceHeat,
    /// Key into the bibliography.
    pub source: String,
    /// Standing of the record's numbers.
    pub standing: Standing,
    /// Fields that differ.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub except: Vec<Except>,
}

/// What a gas does to people and parts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum GasNature {
    /// Displaces air, does nothing else.
    Inert,
    /// Burns in air.
    Flammable,
    /// Mostly inert with a flammable share.
    Indeterminate,
}

/// Oxygen of air, by volume (NASA reference atmosphere, 1976).
pub const AIR_OXYGEN: f64 = 0.2095;

impl Furnace {
    /// How low its pump gets it cold and empty, mbar: as recorded, else the lowest point of the pump's
    /// table; none without a pump.
    pub fn pumps_to_mbar(&self) -> Option<f64> {
        let lowest = self.pump.iter().map(|(mbar, _)| *mbar);
        self.ultimate_mbar.or(lowest.reduce(f64::min))
    }
}

impl Gas {
    /// Share of oxygen, by volume: as recorded; where nothing is, that of air or 1 for a gas that is
    /// named so.
    pub fn oxygen(&self) -> f64 {
        if let Some(share) = self.oxygen_share {
            return share;
        }
        let named = |name: &str| {
            let both = [&self.id, &self.name].into_iter();
            let mut words = both.flat_map(|s| s.split(|c: char| !c.is_alphanumeric()));
            words.any(|word| word.to_lowercase() == name)
        };
        match (named("oxygen"), named("air")) {
            (true, _) => 1.0,
            (_, true) => AIR_OXYGEN,
            _ => 0.0,
        }
    }
}

/// A gas.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Gas {
    /// Unchanging slug.
    pub id: String,
    /// Name shown.
    pub name: String,
    /// Revision of this record, from 1.
    pub revision: u32,
    /// Which built-in revision a shop's record replaces.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub replaces_revision: Option<u32>,
    /// Nature.
    pub nature: GasNature,
    /// Share of hydrogen, by volume.
    pub hydrogen_share: f64,
    /// Share of nitrogen, by volume.
    pub nitrogen_share: f64,
    /// Share of oxygen, by volume: in such a gas binder burns. None where nothing is said of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub oxygen_share: Option<f64>,
    /// Molar mass, g/mol.
    pub molar_g_mol: f64,
    /// Lower flammable limit in air, % by volume.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lower_flammable_limit_pct: Option<f64>,
    /// Properties at 101.325 kPa: (K, viscosity µPa·s, conductivity mW/(m·K), cp J/(kg·K)).
    pub properties: Vec<(f64, f64, f64, f64)>,
    /// Usual caution, in sentences.
    pub caution: String,
    /// Ratio of heat capacities.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gamma: Option<f64>,
    /// Thermal accommodation on furnace surfaces, 0 to 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub accommodation: Option<f64>,
    /// Key into the bibliography.
    pub source: String,
    /// Standing of the record's numbers.
    pub standing: Standing,
    /// Fields that differ.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub except: Vec<Except>,
}

/// Who set a limit; the order is the order of precedence, strongest first.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum LimitScope {
    /// A customer's demand.
    Customer(String),
    /// A feedstock, by slug.
    Feedstock(String),
    /// An alloy, by slug.
    Alloy(String),
    /// A furnace, by slug.
    Furnace(String),
    /// The whole shop.
    Shop,
    /// Comes with the program.
    BuiltIn,
}

/// A limit of a check.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Limit {
    /// Slug, e.g. `"gap"`.
    pub id: String,
    /// What it limits, in words.
    pub name: String,
    /// Value.
    pub value: f64,
    /// Unit as printed, e.g. `"mm"`; empty for a number.
    pub unit: String,
    /// Where it holds.
    pub scope: LimitScope,
    /// Who set it.
    pub set_by: String,
    /// Key into the bibliography, or a document of the shop's.
    pub source: String,
    /// Standing.
    pub standing: Standing,
    /// Revision, from 1.
    pub revision: u32,
    /// Why it was set so.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub reason: String,
    /// Day on which it was set, year-month-day.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub on_day: Option<String>,
    /// Earlier values, oldest first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub history: Vec<LimitChange>,
}

/// How many of a catalogue item the shop has.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Stock {
    /// Setter, post or support slug.
    pub id: String,
    /// Pieces fit for use.
    pub count: u32,
}

/// One surveyed temperature of a temperature uniformity survey.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SurveyPoint {
    /// Setpoint surveyed, °C.
    pub setpoint_c: f64,
    /// Hottest place less setpoint, K, signed.
    pub hottest_k: f64,
    /// Coldest place less setpoint, K, signed.
    pub coldest_k: f64,
}

/// A temperature uniformity survey.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Survey {
    /// Day of the survey, year-month-day.
    pub date: String,
    /// Last day on which it holds.
    pub due: String,
    /// Surveyed temperatures, rising.
    pub points: Vec<SurveyPoint>,
    /// Drift allowed for since, K.
    pub drift_k: f64,
    /// Overshoot declared for the controller as tuned, K.
    pub overshoot_k: f64,
    /// Furnace class that it was made to (AMS 2750), 1 to 6.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub class: Option<u8>,
    /// The same survey place by place, where it was kept so.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub places: Vec<SurveyPlace>,
}

/// Something of a furnace that falls due.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Due {
    /// What, in words, e.g. `"control thermocouple"`.
    pub what: String,
    /// Last day on which it holds, year-month-day.
    pub due: String,
}

/// Gas on hand.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GasOnHand {
    /// Gas slug.
    pub gas: String,
    /// Usable content above the lowest supply pressure, m³ at 25 °C and 1 atm.
    pub m3_25c: f64,
    /// Kept back for an emergency purge, m³ at 25 °C and 1 atm.
    pub reserve_m3_25c: f64,
    /// Dew point of the supply as last read, °C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dew_point_c: Option<f64>,
    /// Day of that reading, or day and time of day.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dew_point_read: Option<String>,
}

/// State of one furnace.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FurnaceState {
    /// Furnace slug.
    pub furnace: String,
    /// What the trap holds now, g.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub trap_fill_g: Option<f64>,
    /// Day on which the trap was last emptied.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub trap_emptied: Option<String>,
    /// Survey in force.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub survey: Option<Survey>,
    /// Calibrations and other things that fall due.
    pub due: Vec<Due>,
    /// Leak-up rate as last tested, µmHg/h.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub leak_um_h: Option<f64>,
    /// Day of that test.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub leak_tested: Option<String>,
    /// Alloy slug of the last load.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub last_alloy: Option<String>,
    /// Gases on hand.
    pub gases: Vec<GasOnHand>,
    /// Thermocouples as they are now.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub sensors: Vec<SensorState>,
    /// Error of controller and recorder as calibrated, K either way.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub instrument_k: Option<f64>,
    /// Spread between coldest and hottest place declared where there is no survey, K either way.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spread_k: Option<f64>,
    /// Calibrations by kind.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub calibrations: Vec<Calibration>,
    /// Written procedures.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub procedures: Vec<Procedure>,
    /// Day of the last repair that may shift temperatures (elements, insulation, thermocouples).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub repaired_on: Option<String>,
    /// Runs since the trap was last emptied.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub trap_runs: Option<u32>,
    /// Last loads, oldest first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub loads: Vec<PastLoad>,
    /// Day of the last clean-up run.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cleaned_on: Option<String>,
    /// Dew point last read at the exhaust, at the highest hold, °C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub exhaust_dew_point_c: Option<f64>,
    /// Day of that reading.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub exhaust_dew_point_read: Option<String>,
}

impl FurnaceState {
    /// A furnace of which nothing is known yet.
    pub fn new(furnace: &str) -> FurnaceState {
        FurnaceState {
            furnace: furnace.to_owned(),
            trap_fill_g: None,
            trap_emptied: None,
            survey: None,
            due: Vec::new(),
            leak_um_h: None,
            leak_tested: None,
            last_alloy: None,
            gases: Vec::new(),
            sensors: Vec::new(),
            instrument_k: None,
            spread_k: None,
            calibrations: Vec::new(),
            procedures: Vec::new(),
            repaired_on: None,
            trap_runs: None,
            loads: Vec::new(),
            cleaned_on: None,
            exhaust_dew_point_c: None,
            exhaust_dew_point_read: None,
        }
    }
}

/// What the shop pays.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Prices {
    /// Currency, as printed.
    pub currency: String,
    /// One furnace hour.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub furnace_hour: Option<f64>,
    /// One kilowatt-hour.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub kwh: Option<f64>,
    /// One cubic metre at 25 °C and 1 atm, by gas slug.
    pub gas_m3_25c: Vec<(String, f64)>,
    /// One hour of labour.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub labour_hour: Option<f64>,
    /// Wear of setters and posts, one run.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub furniture_run: Option<f64>,
}

/// State of the shop.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ShopState {
    /// The shop's name.
    pub name: String,
    /// Accuracy to which people set parts down, mm.
    pub placing_tolerance_mm: f64,
    /// Air that the dryer of solvent-extracted parts moves, m³/h.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dryer_air_m3_h: Option<f64>,
    /// Setters, posts and supports.
    pub stock: Vec<Stock>,
    /// Furnaces.
    pub furnaces: Vec<FurnaceState>,
    /// Prices.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub prices: Option<Prices>,
    /// Whether certificates, signatures, qualifications and calibrations are asked for.
    #[serde(default, skip_serializing_if = "is_false")]
    pub regulated: bool,
    /// Roles that sign a plan, each by another person.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub signing_roles: Vec<String>,
    /// People at the furnaces.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub people: Vec<Person>,
    /// Balances.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub balances: Vec<Balance>,
    /// Hours at which somebody is at the furnaces; nothing is held against them where none are.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub attended: Vec<Attended>,
    /// Where the figures come from.
    pub source: String,
    /// Their standing.
    pub standing: Standing,
    /// Whether it came with a load and not out of the shop's own folder. Whoever makes a load can
    /// write any procedure into it, so none of these deals with what concerns people.
    #[serde(skip)]
    pub carried: bool,
}

/// A change to a built-in check: off, on, or another severity, for a reason that is printed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CheckSetting {
    /// Check slug.
    pub check: String,
    /// Whether it runs.
    pub on: bool,
    /// Severity instead of the default.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub severity: Option<Severity>,
    /// Why. It is printed wherever the change has an effect, so it is never empty.
    pub reason: String,
    /// Where it holds; in the whole shop where nothing is said.
    #[serde(default = "whole_shop", skip_serializing_if = "is_whole_shop")]
    pub scope: LimitScope,
    /// Who decided it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub set_by: String,
    /// Day on which it was decided, year-month-day.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub on_day: Option<String>,
}

impl CheckSetting {
    /// A check that is on in the whole shop.
    pub fn new(check: &str, reason: &str) -> CheckSetting {
        CheckSetting {
            check: check.to_owned(),
            on: true,
            severity: None,
            reason: reason.to_owned(),
            scope: LimitScope::Shop,
            set_by: String::new(),
            on_day: None,
        }
    }
}

fn whole_shop() -> LimitScope {
    LimitScope::Shop
}

fn is_whole_shop(scope: &LimitScope) -> bool {
    *scope == LimitScope::Shop
}

fn is_false(value: &bool) -> bool {
    !value
}

/// How much a finding matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Severity {
    /// For information.
    Note,
    /// Look at it before the start.
    Caution,
    /// Fix it before the start.
    Stop,
}
