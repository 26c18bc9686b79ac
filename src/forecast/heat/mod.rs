//! The heat network of section 4: zones of setters and parts, each a node, exchanging heat by
//! radiation, gas, contact and along the plates with each other and with the chamber.

pub mod furnace;
pub mod gas;
pub mod network;
pub mod radiosity;
pub mod views;

mod build;
mod flows;

pub(super) use build::CORE_SECTION_M;
pub use network::{Network, NodeAt, Place};
