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

/// The largest size of a part whose binder swells in the furnace.
pub fn swollen(size: &str) -> String {
    say(format!(
        "Swollen while the binder softens (assumed): {size}"
    ))
}

/// How measures were got.
pub fn from_mesh() -> String {
    say(
        "Measured on the mesh; sizes at a stage by the three factors, sections by the largest for the thick and the smallest for the thin one.",
    )
}

/// How measures were got where little is known.
pub fn outline_only() -> String {
    say("Outline and mass only: typed outline and height, and the scale.")
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
    say(
        "Worked out from the volume and the feedstock's record, one piece; dry at its extraction target.",
    )
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

/// The window with the poses of a part.
pub fn poses_of(part: &str) -> String {
    say(format!("How {part} rests"))
}

/// What the poses are and how they are ranked.
pub fn poses_help() -> String {
    say(
        "Every face on which the part stands by itself, best first: firm, a large foot, nothing \
         hanging over, low. Faces that are kept off the setter come last.",
    )
}

/// While the poses are looked for or measured.
pub fn measuring() -> String {
    say("Measuring…")
}

/// The job, where it fails.
pub fn poses_job() -> &'static str {
    "looking for resting poses"
}

/// A pose's picture, for assistive technology.
pub fn pose_picture(n: usize) -> String {
    say(format!("Pose {n}"))
}

/// The button that lays the part so.
pub fn rest_so(n: usize) -> String {
    say(format!("Rest in pose {n}"))
}

/// The box that keeps a face off the setter.
pub fn keep_off(n: usize) -> String {
    say(format!("Keep the face under pose {n} off the setter"))
}

/// Of a pose.
pub fn pose_as_drawn() -> String {
    say("as drawn")
}

/// Of a pose.
pub fn pose_falls() -> String {
    say("does not stand by itself")
}

/// Of a pose that rolls, with how many others are like it.
pub fn pose_rolls(alike: usize) -> String {
    say(match alike {
        0 => "rolls: on a line or a point".to_owned(),
        n => format!("rolls: on a line or a point; {n} more like it"),
    })
}

/// Of a pose.
pub fn pose_kept_off() -> String {
    say("rests on a face that is kept off")
}

/// Of a pose.
pub fn pose_tips(angle_deg: f64) -> String {
    say(format!("tips at {angle_deg:.0}°"))
}

/// Of a pose.
pub fn pose_foot(contact_mm2: f64, width: &str) -> String {
    say(format!("touches {contact_mm2:.0} mm², foot {width} wide"))
}

/// Of a pose.
pub fn pose_height(height: &str) -> String {
    say(format!("{height} high"))
}

/// Of a pose.
pub fn pose_hangs(area_mm2: f64, span: &str) -> String {
    say(format!("{area_mm2:.0} mm² hang over, free span {span}"))
}

/// Of a pose of an open mesh.
pub fn pose_hangs_not_evaluated() -> String {
    say("overhang not evaluated: the mesh is open")
}

/// Poses that were not measured.
pub fn poses_left_out(n: usize) -> String {
    say(format!(
        "{} less steady than these left out.",
        super::count(n, "pose", "poses")
    ))
}
