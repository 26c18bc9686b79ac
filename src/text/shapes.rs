//! What is wrong with a shape.

use super::{figure, figure_to, say};

/// No triangle.
pub fn empty() -> String {
    say("the mesh has no triangle; export it again.")
}

/// Faces that point inwards, or nothing enclosed.
pub fn no_volume(volume_mm3: f64) -> String {
    say(format!(
        "the mesh encloses {} mm³: its faces point inwards or it is not closed; mend it where it was \
         drawn.",
        figure_to(volume_mm3, 3)
    ))
}

/// A size that goes into no such furnace.
pub fn size(longest_mm: f64) -> String {
    say(format!(
        "its longest side is {} mm; check the unit of the file (mm, in or m).",
        figure_to(longest_mm, 4)
    ))
}

/// A length that is none.
pub fn length(what: &str, value_mm: f64) -> String {
    say(format!(
        "the {what} is {} mm; it must be a finite number above zero.",
        figure(value_mm)
    ))
}

/// A bore as wide as its tube.
pub fn bore() -> String {
    say("the bore must be smaller than the outer diameter.")
}

/// A typed outline that is none.
pub fn outline(fault: &str) -> String {
    say(format!("the outline is not usable: {fault}"))
}

/// No body could be made.
pub fn body(fault: &str) -> String {
    say(format!("no body could be made of it: {fault}"))
}

/// A typed outline with too many corners.
pub fn corners(n: usize, most: usize) -> String {
    say(format!(
        "the outline has {n} corners; at most {most} are read. Use a mesh instead."
    ))
}

/// An outline with a mass, to be turned over.
pub fn as_typed_only() -> String {
    say(
        "of this part only the outline seen from above is known: it rests as typed. Import its mesh \
         to turn it over.",
    )
}
