//! Usual values for figures that a record may leave out. All of them are assumed. The report says
//! where one stands in; the factors on losses through fibre, where necks form, and how long a
//! cooling is followed hold for every furnace, and are listed where they count.

/// Heat capacity of an alloy: 428.46 + 0.1816 T J/(kg·K) of 316 stainless steel stands in.
pub const ALLOY_CP_J_KGK: [(f64, f64); 2] = [(290.0, 481.124), (1700.0, 737.18)];
/// Conductivity of a pore-free alloy, W/(m·K).
pub const ALLOY_CONDUCTIVITY_W_MK: f64 = 25.0;
/// Emissivity of green, brown or oxidised parts.
pub const BROWN_EMISSIVITY: f64 = 0.8;
/// Emissivity of reduced brown parts.
pub const REDUCED_EMISSIVITY: f64 = 0.6;
/// Emissivity of clean sintered parts.
pub const SINTERED_EMISSIVITY: f64 = 0.35;
/// Conductivity of a part before necks form, W/(m·K); 0.5 to 2.
pub const BROWN_CONDUCTIVITY_W_MK: f64 = 1.0;
/// Up to here a part conducts as a bed of powder, K (800 °C).
pub const NECKS_FROM_K: f64 = 1073.15;
/// From here as a porous body with necks, K (900 °C).
pub const NECKS_TO_K: f64 = 1173.15;
/// Powder that sets the pores, µm.
pub const POWDER_UM: f64 = 10.0;
/// Heat capacity of a ceramic: that of alumina stands in, J/(kg·K).
pub const CERAMIC_CP_J_KGK: [(f64, f64); 4] = [
    (298.0, 772.9),
    (500.0, 1040.8),
    (1000.0, 1224.9),
    (1600.0, 1307.2),
];
/// Conductivity of a ceramic, W/(m·K).
pub const CERAMIC_CONDUCTIVITY_W_MK: f64 = 6.0;
/// Emissivity of a setter.
pub const SETTER_EMISSIVITY: f64 = 0.45;
/// Ratio of heat capacities of a gas.
pub const GAMMA: f64 = 1.4;
/// Thermal accommodation of a gas.
pub const ACCOMMODATION: f64 = 0.8;
/// Time constant of the controller, s.
pub const CONTROL_S: f64 = 60.0;
/// Surroundings, °C.
pub const AMBIENT_C: f64 = 25.0;
/// Film coefficient under a fan, W/(m²·K); 15 to 40.
pub const FAN_FILM_W_M2K: f64 = 25.0;
/// Cooling water, °C.
pub const WATER_C: f64 = 25.0;
/// Film coefficient outside a retort, W/(m²·K).
pub const RETORT_FILM_W_M2K: f64 = 5.0;
/// ρcV/A of a load thermocouple of 3 mm, J/(m²·K).
pub const LOAD_SENSOR_J_M2K: f64 = 3000.0;
/// How long cooling is followed after the program, h.
pub const COOLING_H: f64 = 96.0;
/// Losses through fibre in argon, nitrogen and hydrogen over those in vacuum.
pub const FIBRE_LOSS: [f64; 3] = [1.5, 1.7, 3.0];
