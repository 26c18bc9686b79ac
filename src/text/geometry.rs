//! Why an outline, a mesh or a body is refused. Plain words: the sentence is finished where the
//! fault is told. Numbers count from 1; the arguments are indices.

/// Fewer than three distinct points.
pub fn too_few_points(points: usize) -> String {
    format!("an outline needs at least 3 distinct points and this one has {points}")
}

/// A point that is none.
pub fn point_not_finite(index: usize) -> String {
    format!(
        "point {} of the outline is not a number within 1 km",
        index + 1
    )
}

/// Two edges meet.
pub fn self_crossing(first: usize, second: usize) -> String {
    format!(
        "the outline crosses or touches itself: the edge after point {} meets the edge after \
 point {}",
        first + 1,
        second + 1
    )
}

/// Points in line.
pub fn no_area() -> &'static str {
    "the outline encloses no area: its points lie on one line"
}

/// A mesh without triangles.
pub fn no_triangles() -> &'static str {
    "the mesh has no triangles"
}

/// A vertex that is none.
pub fn vertex_not_finite(index: usize) -> String {
    format!(
        "vertex {} of the mesh is not a number within 1 km",
        index + 1
    )
}

/// A triangle without a corner.
pub fn missing_vertex(triangle: usize) -> String {
    format!(
        "triangle {} of the mesh names a vertex that does not exist",
        triangle + 1
    )
}

/// A flat mesh.
pub fn no_volume() -> &'static str {
    "the mesh encloses no volume"
}

/// A body without a slab.
pub fn body_empty() -> &'static str {
    "the body has no volume"
}

/// A body beyond what is computed.
pub fn body_too_large() -> &'static str {
    "the body is larger than 10 m or its size is not a number"
}
