//! The one integration binary: a module per topic.

// clippy.toml allows these inside `#[test]` only, not in the helpers beside them.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../demo/meshes.rs"]
mod demo_meshes;
mod meshes;
mod plates;
mod profile;
mod series;
mod shop;
mod statics;
mod tally;
mod units;
