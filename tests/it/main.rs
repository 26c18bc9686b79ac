//! One integration test binary.

#[path = "../demo/meshes.rs"]
mod demo_meshes;
mod meshes;
