//! What heat, gas and time will do to a load.
//!
//! | module | what it computes |
//! |---|---|
//! | [`inputs`] | what the forecast reads: load, furnace, gases, program; SI throughout |
//! | [`heat`] | the network: view factors, radiosity, gas, contact, losses, control |
//! | [`solver`] | error-controlled, linearly implicit, on bordered blocks by level |
//! | [`clock`] | the program's clock: waiting, bands, timeouts |
//! | [`run`] | one case from start to unload |
//! | [`matter`] | binder, off-gas, core pressure, density along a run |
//! | [`plan`] | from a plan and its records to inputs, and the forecast in the plan's terms |
//! | [`whole`] | nominal, cold and hot case together: the [`whole::Forecast`] |
//! | [`stopped`] | a run that was stopped, and ways on |
//! | [`at_temperature`] | when a program has a temperature |
//! | [`logs`] | whether a log of a furnace can be what it says it is |
//! | [`shorten`] | shortest holds and fastest ramps that keep every limit |
//!
//! Pure and deterministic: no disk, no clock, fixed order of sums, libm for transcendental
//! functions.

pub mod along;
pub mod at_temperature;
pub mod burnout;
pub mod calibrate;
pub mod cases;
pub mod ceramics;
pub mod chemistry;
pub mod clock;
pub mod closed;
pub mod constants;
pub mod cost;
pub mod curve;
pub mod demo;
pub mod densify;
pub mod even;
pub mod fit;
pub mod follow_log;
pub mod heat;
pub mod inputs;
pub mod logs;
pub mod matter;
pub mod offgas;
pub mod plan;
pub mod pores;
pub mod purge;
#[cfg(test)]
mod reference;
pub mod run;
pub mod shorten;
pub mod solvent;
pub mod solver;
pub mod standing;
pub mod stopped;
pub mod whole;
