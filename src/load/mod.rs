//! The load: stacks, levels, placements, the edits that change them, and what follows from where
//! things stand: heights, clearances and the tally.

mod clearance;
mod differences;
mod edit;
mod edit_said;
mod free;
mod frontal;
mod furniture;
mod heights;
mod plan;
mod sized;
mod tally;

pub use clearance::*;
pub use differences::*;
pub use edit::*;
pub use free::*;
pub use frontal::*;
pub use heights::*;
pub use plan::*;
pub use sized::*;
pub use tally::*;
