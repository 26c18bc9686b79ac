//! The thermal profile: segments, the setpoint curve they make, and the ranges it has to meet.
//!
//! - [`segment`]: what a profile is made of
//! - [`faults`]: what is wrong with it in itself, before any load or alloy is looked at
//! - `approval`: who said that it may run
//! - `check`: looks for those
//! - [`curve`]: setpoint over time
//! - [`ranges`]: debind and sinter ranges, and where several overlap
//! - [`slips`]: numbers that look typed in another unit

mod approval;
mod check;
pub mod curve;
pub mod faults;
pub mod ranges;
pub mod segment;
pub mod slips;

pub use approval::Approval;
pub use curve::{Curve, CurvePoint, Going, Interval, Phase};
pub use faults::{Fault, Field, SegmentRef};
pub use ranges::{NoOverlap, Range, intersection};
pub use segment::{
    Event, EventAt, EventKind, OnLeave, Profile, RampBy, Segment, SegmentId, WaitFor, WaitOn,
};
