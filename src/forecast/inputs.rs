//! What the forecast of heat reads. SI throughout: K, Pa, m, kg, s, W.

use super::curve::Curve;

/// Plan of a setter and of the levels of a stack.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PlanShape {
    /// Width and depth, m.
    Rectangle {
        /// Along x, m.
        width_m: f64,
        /// Along y, m.
        depth_m: f64,
    },
    /// Radius, m.
    Disc {
        /// Radius, m.
        radius_m: f64,
    },
}

impl PlanShape {
    /// Area, m².
    pub fn area_m2(&self) -> f64 {
        match *self {
            PlanShape::Rectangle { width_m, depth_m } => width_m * depth_m,
            PlanShape::Disc { radius_m } => std::f64::consts::PI * radius_m * radius_m,
        }
    }

    /// Perimeter, m.
    pub fn perimeter_m(&self) -> f64 {
        match *self {
            PlanShape::Rectangle { width_m, depth_m } => 2.0 * (width_m + depth_m),
            PlanShape::Disc { radius_m } => 2.0 * std::f64::consts::PI * radius_m,
        }
    }

    /// Half the width of the square (or disc) with the same area-to-perimeter ratio, m: half the
    /// width of a square, the radius of a disc.
    pub fn half_width_m(&self) -> f64 {
        2.0 * self.area_m2() / self.perimeter_m()
    }
}

/// Emissivities of a part through its states; hemispherical, total, grey.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Emissivity {
    /// Green, brown or oxidised.
    pub brown: f64,
    /// Reduced brown, above 700 °C.
    pub reduced: f64,
    /// Sintered and clean.
    pub sintered: f64,
}

impl Emissivity {
    /// The same in every state.
    pub fn constant(e: f64) -> Emissivity {
        Emissivity {
            brown: e,
            reduced: e,
            sintered: e,
        }
    }
}

/// A kind of part, as far as heat is concerned.
#[derive(Clone, Debug, PartialEq)]
pub struct KindHeat {
    /// Name, for reports.
    pub name: String,
    /// Governing section (full thickness), m. Above 16 mm the core gets a node of its own.
    pub section_m: f64,
    /// Heat capacity, J/(kg·K), over K.
    pub cp: Curve,
    /// Conductivity of the body, W/(m·K), over K.
    pub conductivity: Curve,
    /// Emissivities of the material.
    pub emissivity: Emissivity,
    /// Plan area over wetted area (top and sides): the cavity effect of section 4.4.
    pub plan_over_wet: f64,
    /// Footprint over plan area: the share that touches the setter.
    pub footprint_share: f64,
}

/// What a setter is made of.
#[derive(Clone, Debug, PartialEq)]
pub struct SetterHeat {
    /// Density, kg/m³.
    pub density_kg_m3: f64,
    /// Heat capacity, J/(kg·K), over K.
    pub cp: Curve,
    /// Conductivity, W/(m·K), over K.
    pub conductivity: Curve,
    /// Emissivity.
    pub emissivity: f64,
}

/// Parts of one kind on one level.
#[derive(Clone, Debug, PartialEq)]
pub struct OnLevel {
    /// Index of the kind.
    pub kind: usize,
    /// Mass on the level, kg.
    pub mass_kg: f64,
    /// Share of the setter's plan that they cover, 0–1.
    pub plan_share: f64,
    /// Height, m.
    pub height_m: f64,
    /// How mass and cover are spread over the zones, centre first; even without.
    pub by_zone: Option<Vec<f64>>,
}

/// One level: a setter and what stands on it.
#[derive(Clone, Debug, PartialEq)]
pub struct LevelHeat {
    /// Index of the setter's material.
    pub setter: usize,
    /// Thickness, m.
    pub thickness_m: f64,
    /// From this setter's face up to the next underside, or to the roof, m.
    pub clear_m: f64,
    /// Parts.
    pub parts: Vec<OnLevel>,
}

/// A stack of levels, bottom first.
#[derive(Clone, Debug, PartialEq)]
pub struct StackHeat {
    /// Plan of its setters.
    pub shape: PlanShape,
    /// From the hearth to the lowest underside, m.
    pub floor_gap_m: f64,
    /// Share of the perimeter that sees the chamber, 1 for a single stack.
    pub exposed: f64,
    /// Levels.
    pub levels: Vec<LevelHeat>,
}

/// A load thermocouple.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoadSensor {
    /// Stack.
    pub stack: usize,
    /// Level from 0 at the bottom.
    pub level: usize,
    /// Place from the centre (0) to the edge (1).
    pub place: f64,
    /// ρcV/A of the tip and sheath, J/(m²·K); 3000 for 3 mm (assumed).
    pub heat_j_m2k: f64,
}

/// Everything that is heated.
#[derive(Clone, Debug, PartialEq)]
pub struct LoadHeat {
    /// Stacks.
    pub stacks: Vec<StackHeat>,
    /// Kinds of parts.
    pub kinds: Vec<KindHeat>,
    /// Setter materials.
    pub setters: Vec<SetterHeat>,
    /// Load thermocouples.
    pub sensors: Vec<LoadSensor>,
}

/// A process gas.
#[derive(Clone, Debug, PartialEq)]
pub struct Gas {
    /// Name, for reports.
    pub name: String,
    /// Molar mass, kg/mol.
    pub molar_kg_mol: f64,
    /// Ratio of heat capacities.
    pub gamma: f64,
    /// Thermal accommodation.
    pub accommodation: f64,
    /// Viscosity, Pa·s, over K.
    pub viscosity: Curve,
    /// Conductivity, W/(m·K), over K.
    pub conductivity: Curve,
    /// Heat capacity, J/(kg·K), over K.
    pub cp: Curve,
    /// Factor on the losses through fibre; 1 where the furnace has none.
    pub loss_factor: f64,
}

/// Gas, pressure and sweep of a segment. Without a gas it is vacuum.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Atmosphere {
    /// Index of the gas; none = vacuum.
    pub gas: Option<usize>,
    /// Pressure, Pa absolute.
    pub pressure_pa: f64,
    /// Sweep, mol/s.
    pub sweep_mol_s: f64,
}

/// A retort between elements and load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Retort {
    /// Heat capacity, J/K.
    pub heat_j_k: f64,
    /// Outer area, m².
    pub area_m2: f64,
    /// Emissivity between elements and retort, as an exchange factor.
    pub exchange: f64,
    /// Convection outside, W/(m²·K).
    pub h_outer: f64,
}

/// Insulation with heat of its own.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Insulation {
    /// Heat capacity, J/K, as one node in the middle of the loss path.
    pub heat_j_k: f64,
}

/// A fan, or a debind oven's circulation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fan {
    /// Film coefficient on wet areas, W/(m²·K).
    pub h_w_m2k: f64,
    /// Gas to cooling water, W/K; 0 for an oven that only circulates.
    pub ua_w_k: f64,
    /// Water, K.
    pub water_k: f64,
    /// Runs only at or above this pressure, Pa.
    pub pressure_min_pa: f64,
    /// Runs only while the chamber is below this, K.
    pub on_below_k: f64,
}

/// Furnace figures of section 4.8.
#[derive(Clone, Debug, PartialEq)]
pub struct FurnaceHeat {
    /// Heat capacity of elements and inner face, J/K.
    pub heat_j_k: f64,
    /// Linear loss, W/K.
    pub loss_w_k: f64,
    /// Radiative loss as a black area, m².
    pub loss_m2: f64,
    /// Emissivity of the hot face (or of the retort's inside).
    pub emissivity: f64,
    /// Inner area of the hot face, m², for the fan's gas.
    pub face_m2: f64,
    /// Greatest power, W, over chamber K.
    pub power_w: Curve,
    /// Lag of the control thermocouple, s; 0 = none.
    pub sensor_lag_s: f64,
    /// Time constant of the controller, s.
    pub control_s: f64,
    /// Ambient and gas inlet, K.
    pub ambient_k: f64,
    /// Retort.
    pub retort: Option<Retort>,
    /// Insulation node.
    pub insulation: Option<Insulation>,
    /// Fan.
    pub fan: Option<Fan>,
}

/// How a ramp is paced.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Pace {
    /// K/s, without sign.
    Rate(f64),
    /// s; 0 is a step.
    Time(f64),
}

pub use crate::profile::WaitFor;

/// Guaranteed soak.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wait {
    /// On which.
    pub on: WaitFor,
    /// Half width of the band, K.
    pub band_k: f64,
    /// The setpoint stops while out of band.
    pub on_ramp: bool,
    /// The hold's timer stops while out of band.
    pub on_hold: bool,
    /// The timer begins again when the band is left.
    pub restart: bool,
    /// Longest wait in the segment, s; then the furnace alarms and the program goes on by its
    /// clock. None is taken as 24 h.
    pub timeout_s: Option<f64>,
}

/// A ramp to a target and a hold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Segment {
    /// Pace of the ramp.
    pub pace: Pace,
    /// Target, K.
    pub to_k: f64,
    /// Hold, s.
    pub hold_s: f64,
    /// Guaranteed soak.
    pub wait: Option<Wait>,
    /// Gas.
    pub atmosphere: Atmosphere,
    /// Whether the fan is switched on.
    pub fan: bool,
}

/// The program.
#[derive(Clone, Debug, PartialEq)]
pub struct Program {
    /// Setpoint at the start, K.
    pub start_k: f64,
    /// Segments.
    pub segments: Vec<Segment>,
    /// Gas after the last segment, while the load cools.
    pub after: Atmosphere,
    /// Whether the fan runs then.
    pub fan_after: bool,
    /// Temperature of the load at which it may come out, K.
    pub unload_k: f64,
    /// Longest cooling that is followed, s.
    pub cool_max_s: f64,
}

/// One tolerance case of section 8.
#[derive(Clone, Debug, PartialEq)]
pub struct Case {
    /// Surroundings of the load less chamber, K, over the chamber's K.
    pub offset: Curve,
    /// Added to the emissivity of setters.
    pub setter_emissivity: f64,
    /// Factor on masses.
    pub mass: f64,
}

impl Case {
    /// Nothing off.
    pub fn nominal() -> Case {
        Case {
            offset: Curve::constant(0.0),
            setter_emissivity: 0.0,
            mass: 1.0,
        }
    }
}

/// How finely it is computed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settings {
    /// Zones a level, equal in area, centre first.
    pub zones: usize,
    /// Relative tolerance of a step.
    pub rtol: f64,
    /// Absolute tolerance of a step, K.
    pub atol_k: f64,
    /// Uniform start of the load and chamber, K.
    pub start_k: f64,
    /// A node has arrived when it is this close to its target, K.
    pub arrival_band_k: f64,
    /// Most steps a case.
    pub steps_max: usize,
    /// A time, s, at which a sample is taken, too.
    pub mark_s: Option<f64>,
    /// The chamber follows the setpoint down as well, faster than its losses: a log is followed.
    pub cooled: bool,
}

impl Default for Settings {
    fn default() -> Settings {
        Settings {
            zones: 4,
            rtol: 1e-5,
            atol_k: 1e-2,
            start_k: 298.15,
            arrival_band_k: 5.0,
            steps_max: 200_000,
            mark_s: None,
            cooled: false,
        }
    }
}
