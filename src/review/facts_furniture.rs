//! What furniture a load uses, and where posts stand on plates.

use crate::catalogue::{Rim, SetterShape};

/// From the edge of a round post to the edge of a plate, mm, negative where it stands over. A rim
/// on which nothing may stand is given where there is one.
pub fn post_inside_mm(
    shape: SetterShape,
    rim: Option<Rim>,
    post_diameter_mm: f64,
    at_mm: [f64; 2],
) -> f64 {
    let less = post_diameter_mm / 2.0 + rim.map_or(0.0, |rim| rim.width_mm);
    let [x, y] = at_mm;
    let inside = match shape {
        SetterShape::Rectangle { width_mm, depth_mm } => {
            (width_mm / 2.0 - x.abs()).min(depth_mm / 2.0 - y.abs())
        }
        SetterShape::Disc { diameter_mm } => diameter_mm / 2.0 - libm::hypot(x, y),
    };
    inside - less
}
