//! One part: where its shape came from, what was measured of it, and its mass and size by state.
//!
//! [`measure`] is the one place where a shape becomes numbers; everything else reads a
//! [`Geometry`]. A geometry keeps the size as drawn; [`size`] turns it into the size at a stage.

mod mass;
mod measure;
mod rest;
mod size;

pub use mass::{
    MassState, Masses, binder_density, binder_mass_share, computed_green_g, green_density, masses,
};
pub use measure::{
    CONTACT_MM, Detail, Geometry, MOST_CORNERS, MeasureFault, OUTWARD_TOLERANCE_MM, is_one_surface,
    likelier_unit, likely_slip, measure_mesh, measure_mesh_at, measure_typed, measure_typed_at,
    mesh_in_mm, typed_mesh,
};
pub use rest::Rest;
pub use size::{
    ROOM_C, SizeStage, THERMAL_SWELL, density_from_oversize, furnace_swell, growth,
    loading_from_mass_share, loading_from_oversize, oversize_from_loading, scale, shrinkage,
    shrinkage_from_oversize,
};

use std::sync::Arc;

/// Number of a part in its plan; never used again.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PartId(pub u32);

/// Length unit of a mesh file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MeshUnit {
    /// Millimetre.
    Millimetre,
    /// Inch, 25.4 mm.
    Inch,
    /// Metre.
    Metre,
}

impl MeshUnit {
    /// Millimetres in one.
    pub fn mm(self) -> f64 {
        match self {
            MeshUnit::Millimetre => 1.0,
            MeshUnit::Inch => 25.4,
            MeshUnit::Metre => 1000.0,
        }
    }

    /// As typed on the command line and in scripts.
    pub fn word(self) -> &'static str {
        match self {
            MeshUnit::Millimetre => "mm",
            MeshUnit::Inch => "in",
            MeshUnit::Metre => "m",
        }
    }
}

/// Size at which a shape is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Drawn {
    /// Final, sintered size.
    Final,
    /// Green, oversize.
    Green,
}

impl Drawn {
    /// As typed on the command line and in scripts.
    pub fn word(self) -> &'static str {
        match self {
            Drawn::Final => "final",
            Drawn::Green => "green",
        }
    }
}

/// Where a part's shape comes from. Lengths are as drawn, mm.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// A mesh file.
    Mesh {
        /// Path as given, relative to the load file where it can be.
        file: String,
        /// Unit of its numbers.
        unit: MeshUnit,
        /// SHA-256 of its bytes, hexadecimal.
        sha256: String,
        /// Which of several bodies, counted from 1; all as one for `None`.
        body: Option<usize>,
    },
    /// A block lying on its width × depth face.
    Block {
        /// Along x, mm.
        width_mm: f64,
        /// Along y, mm.
        depth_mm: f64,
        /// Height, mm.
        height_mm: f64,
    },
    /// A disc or upright rod.
    Disc {
        /// Diameter, mm.
        diameter_mm: f64,
        /// Height, mm.
        height_mm: f64,
    },
    /// An upright tube or ring.
    Tube {
        /// Outer diameter, mm.
        outer_mm: f64,
        /// Bore, mm.
        bore_mm: f64,
        /// Height, mm.
        height_mm: f64,
    },
    /// A prism over a typed outline.
    Prism {
        /// Corners of the outline, mm.
        outline_mm: Vec<[f64; 2]>,
        /// Height, mm.
        height_mm: f64,
    },
    /// Outline and height of something of which only the mass is known: not how much of the
    /// prism over the outline it fills.
    Outline {
        /// Corners of the outline, mm.
        outline_mm: Vec<[f64; 2]>,
        /// Height, mm.
        height_mm: f64,
    },
}

/// What a printed part is filled with. The shell's thickness is that of the green part, mm.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Infill {
    /// Solid.
    #[default]
    Solid,
    /// A lattice whose hollows open outwards: solvent and gas get in and out.
    Open {
        /// Thickness of the shell, mm.
        shell_thickness_mm: f64,
    },
    /// A lattice within a closed shell, which holds solvent and gas back.
    Closed {
        /// Thickness of the shell, mm.
        shell_thickness_mm: f64,
    },
}

impl Infill {
    /// As typed on the command line and in scripts.
    pub fn word(self) -> &'static str {
        match self {
            Infill::Solid => "solid",
            Infill::Open { .. } => "open",
            Infill::Closed { .. } => "closed",
        }
    }

    /// Thickness of the shell, mm; none for a solid part.
    pub fn shell_mm(self) -> Option<f64> {
        match self {
            Infill::Solid => None,
            Infill::Open { shell_thickness_mm } | Infill::Closed { shell_thickness_mm } => {
                Some(shell_thickness_mm)
            }
        }
    }
}

/// A weighing that overrides what the shape says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weighed {
    /// State in which one piece was weighed.
    pub state: MassState,
    /// Mass of one piece, g.
    pub mass_g: f64,
}

/// A part as the plan knows it.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Number in the plan.
    pub id: PartId,
    /// Name.
    pub name: String,
    /// Feedstock slug.
    pub feedstock: String,
    /// Where the shape comes from.
    pub shape: Shape,
    /// Size at which it is drawn.
    pub drawn: Drawn,
    /// Which way it rests.
    pub rest: Rest,
    /// What it is filled with.
    pub infill: Infill,
    /// Faces that are to be kept off the setter, by the direction out of them in the drawing.
    pub keep_off: Vec<Rest>,
    /// The way it may rest for sintering, where one is approved.
    pub approved_rest: Option<Rest>,
    /// What was measured of the shape at the size drawn, resting so.
    pub geometry: Arc<Geometry>,
    /// Oversize factors with which the tool or the print was made, where they are known.
    pub made_with_oversize: Option<[f64; 3]>,
    /// Mass of one piece from the scale.
    pub weighed: Option<Weighed>,
    /// Governing section at green size as stated by a person, mm; it overrides the measured one.
    pub section_mm: Option<f64>,
    /// Whether every piece has to stand inside the work zone.
    pub work_zone_only: bool,
}

impl Part {
    /// Governing section at green size, mm: stated, or the shell's of a part with infill, or
    /// measured where the shape gives it. A part nowhere thicker than two shells is solid.
    pub fn green_section_mm(&self, oversize: [f64; 3]) -> Option<f64> {
        self.section_mm.or_else(|| {
            // The largest factor: a section said too thick asks for more time, not less.
            let factor = self.to_green(oversize).into_iter().fold(1.0, f64::max);
            let whole = self.geometry.section_mm.map(|drawn| drawn * factor);
            match self.infill.shell_mm() {
                Some(shell) if whole.is_none_or(|whole| whole > 2.0 * shell) => Some(shell),
                _ => whole,
            }
        })
    }

    /// Factors from the size drawn to green, along the axes of the drawing: what the part was made
    /// with goes before what its feedstock asks for, `oversize`.
    pub fn to_green(&self, oversize: [f64; 3]) -> [f64; 3] {
        match self.drawn {
            Drawn::Green => [1.0; 3],
            Drawn::Final => self.made_with_oversize.unwrap_or(oversize),
        }
    }

    /// Volume of metal and binder as drawn, mm³; none where the shape does not tell it.
    pub fn solid_volume_mm3(&self) -> Option<f64> {
        let told = self.infill == Infill::Solid && !self.outline_only();
        told.then_some(self.geometry.volume_mm3)
    }

    /// Whether only its outline, its height and its mass are known.
    pub fn outline_only(&self) -> bool {
        matches!(self.shape, Shape::Outline { .. })
    }
}
