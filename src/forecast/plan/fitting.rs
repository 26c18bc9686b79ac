//! What furnace figures are fitted with: the furnace alone, empty.

use super::figures::Figures;
use super::furnace::heat;
use crate::catalogue::Furnace;
use crate::forecast::curve::Curve;
use crate::forecast::inputs::{
    Atmosphere, FurnaceHeat, LevelHeat, LoadHeat, Pace, PlanShape, Segment, SetterHeat, StackHeat,
};

/// A furnace as its record has it.
pub fn furnace_heat(furnace: &Furnace) -> FurnaceHeat {
    heat(furnace, &mut Figures::default())
}

/// Next to nothing: one plate of 5 cm and ten grams, since a run needs something to heat.
pub fn empty_load() -> LoadHeat {
    LoadHeat {
        stacks: vec![StackHeat {
            shape: PlanShape::Rectangle {
                width_m: 0.05,
                depth_m: 0.05,
            },
            floor_gap_m: 0.05,
            exposed: 1.0,
            levels: vec![LevelHeat {
                setter: 0,
                thickness_m: 0.001,
                clear_m: 0.1,
                parts: Vec::new(),
            }],
        }],
        kinds: Vec::new(),
        setters: vec![SetterHeat {
            density_kg_m3: 3900.0,
            cp: Curve::constant(1100.0),
            conductivity: Curve::constant(9.0),
            emissivity: 0.45,
        }],
        sensors: Vec::new(),
    }
}

/// A segment in vacuum, for a log to be followed with.
pub fn vacuum_hold() -> Segment {
    Segment {
        pace: Pace::Time(0.0),
        to_k: 0.0,
        hold_s: 0.0,
        wait: None,
        atmosphere: Atmosphere::default(),
        fan: false,
    }
}
