//! The one integration binary: a module per topic.

// clippy.toml allows these inside `#[test]` only, not in the helpers beside them.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod checks_atmosphere;
mod checks_debind;
mod checks_fixture_b;
mod checks_mixing;
mod checks_profile;
mod checks_safety;
#[path = "../demo/meshes.rs"]
mod demo_meshes;
mod imports;
mod lockfile;
mod meshes;
mod profile;
mod series;
mod units;
