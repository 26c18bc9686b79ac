//! How a setter's bending was worked out, and why it was not. Plain words: a finding's sentence is
//! finished round them.

/// Nothing bends.
pub fn on_hearth() -> &'static str {
    "lies on the hearth: no bending"
}

/// On a rim all round.
pub fn edges_held() -> &'static str {
    "rectangle simply supported on all edges (Roark table 11.4, case 1a)"
}

/// In a rack.
pub fn two_rails() -> &'static str {
    "rectangle on two rails, middle of the free edge (Lévy's series)"
}

/// On four posts.
pub fn corner_posts() -> &'static str {
    "on corner posts, as a square of the longer side: not more than this (finite elements)"
}

/// A disc on a rim.
pub fn round_on_rim() -> &'static str {
    "disc simply supported along its edge (closed form)"
}

/// On posts anywhere.
pub fn reach() -> &'static str {
    "strip of twice the farthest distance from a post, moment doubled: not more than this (assumed)"
}

/// No such setter.
pub fn unknown_setter(id: &str) -> String {
    format!("setter \"{id}\" is not in the catalogue")
}

/// No such material.
pub fn unknown_material(id: &str) -> String {
    format!("material \"{id}\" is not in the catalogue")
}

/// A material whose figures do not suffice.
pub fn no_table(id: &str) -> String {
    format!(
        "material \"{id}\" has no usable modulus, strength or Poisson's ratio: complete its record"
    )
}

/// A setter without a plate.
pub fn no_plate(id: &str) -> String {
    format!("setter \"{id}\" has no thickness or no area: correct its record")
}

/// Nothing under the setter.
pub fn no_post() -> &'static str {
    "no post carries the setter: add posts"
}

/// A case without a formula.
pub fn not_covered() -> &'static str {
    "a formula for how a round setter bends on feet or in a rack"
}

/// A polygon on what there is no formula for.
pub fn polygon_not_covered() -> &'static str {
    "a formula for how a setter that is neither rectangle nor disc bends on a rim, on feet or in a rack"
}

/// A polygon with a notch.
pub fn inward_corner() -> &'static str {
    "a formula for how a setter with an inward corner bends on posts: stress peaks in that corner"
}
