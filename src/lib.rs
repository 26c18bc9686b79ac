//! Setterwright plans debind-and-sinter furnace loads: parts on setters, setters in stacks, and
//! the thermal profile that has to fit them.
//!
//! The crate reads from left to right along one line; a module may use anything to its right and
//! nothing to its left (`tests/it/imports.rs` holds that):
//!
//! `main → app → cli → document → files → sheet → record → review → arrange → forecast → statics →
//! load → profile → part → catalogue → geometry → { series, text } → units`

pub mod app;
pub mod arrange;
pub mod catalogue;
pub mod cli;
pub mod document;
pub mod files;
pub mod forecast;
pub mod geometry;
pub mod load;
pub mod part;
pub mod profile;
pub mod review;
pub mod series;
pub mod statics;
pub mod text;
pub mod units;
