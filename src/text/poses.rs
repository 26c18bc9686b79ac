//! Resting poses.

use super::{count, say};

/// What names a pose.
pub fn not_a_rest(text: &str) -> String {
    say(format!(
        "\"{text}\" names no resting pose: write as-drawn, its number in the list that `measure \
         --poses` prints, or the direction that is down as x,y,z, e.g. 0,-1,0."
    ))
}

/// A number beyond the list.
pub fn no_such_pose(n: usize, poses: usize) -> String {
    say(format!(
        "there is no pose {n}; the part has {}.",
        count(poses, "pose", "poses")
    ))
}

/// A mesh that is not the one measured.
pub fn mesh_has_changed(part: &str) -> String {
    say(format!(
        "it is not the mesh that {part} was measured from; import it as a new part."
    ))
}

/// A pose that rests on a face to be kept off the setter.
pub fn on_kept_off_face() -> String {
    say(
        "in this pose the part rests on a face that is to be kept off the setter; choose another \
         pose, or leave keep-off out.",
    )
}
