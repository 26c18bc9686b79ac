//! Meshes, outlines, slab bodies and the distances between them.
