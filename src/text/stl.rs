//! What can be wrong or odd with an STL file. Triangles and lines count from 1.

use super::count;

fn bytes(n: u64) -> String {
    many(n, "byte", "bytes")
}

fn many(n: u64, one: &str, more: &str) -> String {
    count(usize::try_from(n).unwrap_or(usize::MAX), one, more)
}

/// A binary file goes on after its last triangle.
pub fn extra_bytes(extra: u64) -> String {
    format!("{} after the last triangle left unread", bytes(extra))
}

/// No bytes.
pub fn empty() -> String {
    "the file is empty; export the part again".to_owned()
}

/// Text as some editors save it.
pub fn utf16() -> String {
    "this is UTF-16 text; save the STL as binary or plain ASCII".to_owned()
}

/// Some other text.
pub fn not_stl(found: &str) -> String {
    format!(
        "this is not an STL file: it is text that begins with \"{found}\", not with \"solid\"; \
         export the part as STL"
    )
}

/// Shorter than a binary file's head.
pub fn too_short(length: u64) -> String {
    format!(
        "the file has {}, fewer than the 84 in front of the first triangle of a binary STL; copy \
         or export it again",
        bytes(length)
    )
}

/// More triangles than promised.
pub fn surplus(promised: u64, extra: u64) -> String {
    format!(
        "the header promises {} and {extra} more {}; export the mesh again",
        many(promised, "triangle", "triangles"),
        if extra == 1 { "follows" } else { "follow" }
    )
}

/// Fewer bytes than the triangles promised.
pub fn missing_bytes(promised: u32, needed: u64, length: u64) -> String {
    format!(
        "the header promises {} ({needed} bytes) but the file has {}; it is cut off or not an STL, \
         so copy or export it again",
        many(u64::from(promised), "triangle", "triangles"),
        bytes(length)
    )
}

/// Well formed and without a body.
pub fn no_triangles() -> String {
    "the file holds no triangles; export the part again with its body selected".to_owned()
}

/// A coordinate that is no number.
pub fn not_finite(triangle: usize, line: Option<usize>) -> String {
    let line = line.map_or_else(String::new, |line| format!("line {line}: "));
    format!(
        "{line}triangle {triangle} has a coordinate that is not a finite number; repair the mesh \
         or export it again"
    )
}

/// A word instead of a coordinate.
pub fn not_a_number(line: usize, triangle: usize, found: &str) -> String {
    format!(
        "line {line}: triangle {triangle} has \"{found}\" where a coordinate belongs; write \
         numbers like 12.5 or 1.25e1, with a decimal point"
    )
}

/// A facet that is no triangle.
pub fn not_three(line: usize, facet: usize) -> String {
    format!(
        "line {line}: facet {facet} does not have exactly three vertices; export the part as \
         triangles"
    )
}

/// Another word than the one that comes next.
pub fn unexpected(line: usize, expected: &str, found: &str) -> String {
    format!(
        "line {line}: expected {expected} but found \"{found}\"; mend the line or export the part \
         again"
    )
}

/// The end of the file within a body.
pub fn cut_off(line: usize, expected: &str) -> String {
    format!(
        "the file stops at line {line} where {expected} should follow; it is cut off, so copy or \
         export it again"
    )
}

// What comes next.

/// Between two bodies.
pub const SOLID_OR_END: &str = "\"solid\" or the end of the file";
/// Within a body.
pub const FACET_OR_END: &str = "\"facet\" or \"endsolid\"";
/// After `facet normal`.
pub const NORMAL: &str = "three numbers of the facet normal";
/// After `vertex`.
pub const COORDINATE: &str = "a coordinate";
