//! What furniture a load uses, and where posts stand on plates.

use crate::catalogue::{Catalogue, Rim, SetterShape};
use crate::load::{Carrier, LevelId, Stack};
use crate::statics::post_lines;

/// From the edge of a round post to the edge of a plate, mm, negative where it stands over. A rim
/// on which nothing may stand is given where there is one.
pub fn post_inside_mm(
    shape: &SetterShape,
    rim: Option<Rim>,
    post_diameter_mm: f64,
    at_mm: [f64; 2],
) -> f64 {
    let less = post_diameter_mm / 2.0 + rim.map_or(0.0, |rim| rim.width_mm);
    shape.margin_mm(at_mm) - less
}

/// Posts of a level that stand over none of the posts below.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OverNoPost {
    /// Level that they carry.
    pub level: LevelId,
    /// How many, and how far the farthest stands from the nearest post below, mm; none where a
    /// post record is unknown.
    pub worst: Option<(usize, f64)>,
}

/// Levels of a stack with posts over none of the posts below: their round ends do not overlap.
pub fn over_no_post(stack: &Stack, catalogue: &Catalogue) -> Vec<OverNoPost> {
    let lines = post_lines(stack);
    let mut found = Vec::new();
    let pairs = stack.levels.iter().zip(stack.levels.iter().skip(1));
    for (below, level) in pairs {
        let (Carrier::Posts { post: lower, .. }, Carrier::Posts { post, .. }) =
            (&below.carrier, &level.carrier)
        else {
            continue;
        };
        let both = catalogue.post(post).zip(catalogue.post(lower));
        let Some((upper, lower)) = both else {
            found.push(OverNoPost {
                level: level.id,
                worst: None,
            });
            continue;
        };
        let reach = (upper.diameter_mm + lower.diameter_mm) / 2.0;
        let offsets = lines.iter().filter(|line| line.level == level.id);
        let beyond: Vec<f64> = offsets
            .filter_map(|line| line.offset_mm)
            .filter(|mm| *mm > reach)
            .collect();
        if let Some(worst) = beyond.iter().copied().reduce(f64::max) {
            found.push(OverNoPost {
                level: level.id,
                worst: Some((beyond.len(), worst)),
            });
        }
    }
    found
}
