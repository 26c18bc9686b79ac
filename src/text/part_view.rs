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
