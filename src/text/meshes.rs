//! What can be wrong or odd with OBJ and 3MF files, and what a mesh's health comes to. Faults are
//! without their full stop: the sentence is finished where the fault is told.

use super::{count, figure_to};

/// Not text.
pub fn obj_not_text() -> String {
    "this is not an OBJ file: it is not UTF-8 text; export the part again".to_owned()
}

/// Without a face.
pub fn obj_no_faces() -> String {
    "the file holds no faces; export the part again as a mesh".to_owned()
}

/// A coordinate that is none.
pub fn obj_coordinate(line: usize, found: &str) -> String {
    if found.is_empty() {
        return format!(
            "line {line}: a vertex has fewer than three coordinates; export the part again"
        );
    }
    format!(
        "line {line}: \"{found}\" is no finite number; write coordinates like 12.5, with a \
         decimal point"
    )
}

/// A corner that names no vertex.
pub fn obj_corner(line: usize, found: &str, vertices: usize) -> String {
    format!(
        "line {line}: \"{found}\" names no vertex; there are {vertices} before this line, so \
         export the part again"
    )
}

/// A face with too few corners or too many.
pub fn obj_corners(line: usize, corners: usize, most: usize) -> String {
    format!(
        "line {line}: a face has {}; from 3 to {most} are read, so export the part as triangles",
        count(corners, "corner", "corners")
    )
}

/// No package.
pub fn mf_not_package() -> String {
    "this is not a 3MF package: it is no ZIP archive, or it is cut off; copy or export it again"
        .to_owned()
}

/// No model in it.
pub fn mf_no_model() -> String {
    "the package names no 3D model; export the part again as 3MF".to_owned()
}

/// A file that is not there.
pub fn mf_no_such_file(path: &str) -> String {
    format!("the package has no file \"{path}\", which it points to; export the part again")
}

/// A file that cannot be unpacked.
pub fn mf_damaged(path: &str, reason: &str) -> String {
    format!("\"{path}\" in the package cannot be unpacked ({reason}); copy or export it again")
}

/// Too large when unpacked.
pub fn mf_unpacked(cap: u64) -> String {
    format!(
        "the package unpacks to more than {} MB; export fewer parts in one file",
        cap / 1_000_000
    )
}

/// Too many parts.
pub fn mf_too_much() -> String {
    "the package places more triangles, components or model files than are read; export fewer \
     parts in one file"
        .to_owned()
}

/// Not XML.
pub fn mf_xml(path: &str, reason: &str) -> String {
    format!("\"{path}\" in the package is not well-formed XML ({reason}); export the part again")
}

/// Not UTF-8.
pub fn mf_not_utf8(path: &str) -> String {
    format!("\"{path}\" in the package is not UTF-8 text; export the part again")
}

/// A document type.
pub fn mf_doc_type(path: &str) -> String {
    format!("\"{path}\" in the package carries a document type, which 3MF forbids; export it again")
}

/// Another kind of XML.
pub fn mf_not_model(path: &str) -> String {
    format!("\"{path}\" in the package is not a 3MF model; export the part again")
}

/// Not closed.
pub fn mf_cut_off(path: &str) -> String {
    format!("\"{path}\" in the package stops before its model is closed; copy or export it again")
}

/// No such unit.
pub fn mf_unit(word: &str) -> String {
    format!("\"{word}\" is no unit of 3MF; export the part in millimetres")
}

/// Two units in one package.
pub fn mf_two_units(one: &str, other: &str) -> String {
    format!(
        "the package's files are in different units ({one} and {other}); export the part in one \
         unit"
    )
}

/// An extension that is not read.
pub fn mf_extension(space: &str) -> String {
    format!(
        "the package requires an extension that is not read ({space}); export the part as a plain \
         mesh"
    )
}

/// A number that is none.
pub fn mf_number(path: &str, name: &str) -> String {
    format!("\"{path}\" in the package lacks a whole number for \"{name}\"; export it again")
}

/// A vertex without three numbers.
pub fn mf_vertex(object: u32, vertex: usize) -> String {
    format!(
        "vertex {vertex} of object {object} does not have three finite numbers; repair the mesh \
         or export it again"
    )
}

/// A triangle without a corner.
pub fn mf_triangle(object: u32, triangle: usize, vertices: usize) -> String {
    format!(
        "triangle {triangle} of object {object} names a vertex that is not among its {vertices}; \
         export the part again"
    )
}

/// A transform that is none.
pub fn mf_transform(text: &str) -> String {
    format!(
        "\"{text}\" is no transform: it needs twelve finite numbers that do not flatten the part; \
         export it again"
    )
}

/// An object number twice.
pub fn mf_twice(path: &str, object: u32) -> String {
    format!("\"{path}\" in the package has two objects of number {object}; export it again")
}

/// An object that is not there.
pub fn mf_no_such_object(path: &str, object: u32) -> String {
    format!("\"{path}\" in the package has no object {object}, which is placed; export it again")
}

/// A component of itself.
pub fn mf_holds_itself(object: u32) -> String {
    format!("object {object} is a component of itself; export the part again")
}

/// Nested too deep.
pub fn mf_too_deep(most: usize) -> String {
    format!("components are nested deeper than {most}; export the part as one body")
}

/// Nothing to build.
pub fn mf_nothing_placed() -> String {
    "nothing with a triangle is placed in the package's build section; place the part and export \
     it again"
        .to_owned()
}

/// Numbers beyond numbers.
pub fn mf_too_large_numbers() -> String {
    "a transform carries the part beyond the range of numbers; export it again".to_owned()
}

/// The content is another format than the ending says.
pub fn other_content(ending: &str, really: &str) -> String {
    format!("named .{ending} and read as {really}, which it is")
}

/// The file states its own unit.
pub fn own_unit(unit: &str) -> String {
    format!("read in {unit}, the unit of the file itself")
}

/// Support structures left out.
pub fn supports_left_out(n: usize) -> String {
    format!(
        "{} left out",
        count(n, "support structure", "support structures")
    )
}

/// Points, lines and curves left out.
pub fn lines_left_out(n: usize) -> String {
    format!(
        "{} left out: only faces are read",
        count(n, "line of points or curves", "lines of points or curves")
    )
}

/// Mended before measuring.
pub fn mended(done: &str) -> String {
    format!("mended before measuring: {done}")
}

/// Open edges.
pub fn open(edges: usize) -> String {
    let edges = count(edges, "edge is", "edges are");
    format!("the volume is not to be trusted: {edges} open")
}

/// Shells that cross or lie in each other; none if that took too long.
pub fn crossing(shells: Option<usize>) -> String {
    match shells {
        None => "whether its surfaces cross was not looked at: it has too many triangles close \
                 together"
            .to_owned(),
        Some(1) => "the volume is not to be trusted: a shell crosses itself, or lies in what \
                     another fills or leaves out"
            .to_owned(),
        Some(n) => {
            format!("the volume is not to be trusted: {n} shells cross, or lie in each other")
        }
    }
}

/// A size that tells of a drawing written in a wrong unit.
pub fn other_size(longest_mm: f64, likelier_mm: f64) -> String {
    format!(
        "its longest side is {} mm, unusual for such parts; was it written in a wrong unit, and is \
         {} mm?",
        figure_to(longest_mm, 3),
        figure_to(likelier_mm, 3)
    )
}

/// A size that tells of another unit.
pub fn other_unit(longest_mm: f64, unit: &str, likelier: &str) -> String {
    // "in in" reads like a slip.
    let inches = |word| if word == "in" { "inches" } else { word };
    let (unit, likelier) = (inches(unit), inches(likelier));
    format!(
        "its longest side is {} mm with the unit {unit}; was it drawn in {likelier}?",
        figure_to(longest_mm, 3)
    )
}

/// Mended before its bodies were told apart.
pub fn mended_first(done: &str) -> String {
    format!("before its bodies were told apart: {done}")
}

/// A body that the file does not have.
pub fn no_such_body(wanted: usize, bodies: usize) -> String {
    format!(
        "there is no body {wanted}: the file has {}.",
        count(bodies, "body", "bodies")
    )
}
