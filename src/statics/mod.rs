//! Whether things stand: tipping of parts, balance of levels and stacks, bending of setters.
//!
//! Everything is worked out cold, with parts at green size unless a stage is asked for. A setter
//! grows with what it carries, so shares and margins in per cent hold hot as well.

mod balance;
mod plates;
mod polygon;
mod poses;
mod setters;
mod sides;
mod tipping;

pub use balance::*;
pub use plates::*;
pub use poses::*;
pub use setters::*;
pub use sides::*;
pub use tipping::*;
