//! Meshes, outlines, slab bodies and the distances between them.
//!
//! A part's body is a stack of at most eight [`slab::Slab`]s, each the exact outline of its height
//! band, so it holds the mesh wherever it is not equal to it. Two independent answers stand side
//! by side: [`solid`] asks parry3d (f32, convex prisms) whether two bodies are closer than a
//! margin, and [`gap`] works the same distance out in f64 on the outlines. They agree to 0.01 mm.
//!
//! Everything is in millimetres, plan coordinates `[x, y]`, z upward, angles in degrees
//! counter-clockwise.

mod bodies;
mod bvh;
mod contact;
mod crossing;
pub mod distance;
mod extrude;
mod face;
pub mod gap;
mod health;
mod hull;
mod inscribed;
mod known;
pub mod mesh;
pub mod outline;
mod overhang;
mod overlay;
mod pieces;
pub mod pose;
pub mod raster;
pub mod rest;
mod section;
mod simplify;
pub mod slab;
pub mod solid;

pub use distance::{Region, inside_margin, outline_distance, point_to_convex_edge_distance};
pub use gap::{Gap, PlacedBody, body_gap, placed_gap};
pub use health::Mended;
pub use inscribed::{Ball, Sections};
pub use known::Known;
pub use mesh::{Mesh, MeshMeasures};
pub use outline::{Outline, OutlineFault, P2, Shape};
pub use overhang::Overhang;
pub use pose::Pose;
pub use rest::{Hull, Stand};
pub use slab::{Body, BodyFault, Slab};
pub use solid::{Scene, Solid, SolidFault, solids_within};
