//! Texts of the part on its turntable and of the choice how it rests.

use super::say;

/// The turntable, for assistive technology.
pub fn view(part: &str, turn_deg: f64, tilt_deg: f64) -> String {
    say(format!(
        "View of {part}: turned {turn_deg:.0}°, from {tilt_deg:.0}° above. Drag it, or turn it by the arrow keys."
    ))
}

/// While the mesh is read.
pub fn reading() -> String {
    say("The mesh is being read; until then the body that the load keeps is drawn.")
}

/// Why the mesh is not drawn.
pub fn body_instead(why: &str) -> String {
    say(format!(
        "Drawn is the body that the load keeps: at most eight slabs that hold the shape. {why}"
    ))
}

/// The mesh file is another one now.
pub fn changed(file: &str) -> String {
    say(format!(
        "{file} is another file now than the one that was measured; import it anew to measure it."
    ))
}

/// Mark of the governing (0) or the thinnest (1) section in the picture.
pub fn ball_mark(n: usize) -> String {
    say(if n == 0 { "a" } else { "b" })
}

/// A button that shows the measures at a size, for assistive technology.
pub fn measures_at(size: &str) -> String {
    say(format!("Measures {size}"))
}

/// How measures were got.
pub fn from_mesh() -> String {
    say(
        "Measured on the mesh; sizes at a stage by the three factors, sections by the largest for the thick and the smallest for the thin one.",
    )
}

/// How measures were got.
pub fn from_typed() -> String {
    say("Worked out from the measures that were typed; at a stage by the three factors.")
}

/// How measures were got.
pub fn from_outline() -> String {
    say(
        "From the outline (exact to 0.02 mm, outward) and the faces within 0.02 mm of the lowest point.",
    )
}

/// How masses were got.
pub fn from_scale(state: &str) -> String {
    say(format!(
        "Weighed {state}; the other states by the feedstock's record."
    ))
}

/// How masses were got.
pub fn from_volume() -> String {
    say("Worked out from the volume and the feedstock's record; one piece.")
}

/// Legend: what touches the setter.
pub fn rests(area_mm2: f64) -> String {
    say(format!("touches the setter: {area_mm2:.1} mm²"))
}

/// Legend: nothing but a line or a point touches.
pub fn rests_on_a_line() -> String {
    say("touches the setter: on a line or a point only")
}

/// Legend: what hangs over.
pub fn hangs(area_mm2: f64) -> String {
    say(format!("hangs over: {area_mm2:.1} mm²"))
}

/// Legend: the governing section.
pub fn governing(diameter: &str) -> String {
    say(format!(
        "a: governing section, the largest ball inside: {diameter}"
    ))
}

/// Legend: the thinnest section.
pub fn thinnest(diameter: &str) -> String {
    say(format!("b: thinnest place between two walls: {diameter}"))
}
