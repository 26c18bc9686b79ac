//! What furniture a load uses, and where posts stand on plates.

use super::facts::Facts;
use crate::catalogue::{Rim, SetterShape};
use crate::load::Carrier;
use std::collections::BTreeMap;

impl<'a> Facts<'a> {
    /// Setters in the load by slug, with how many of each.
    pub fn setters_used(&self) -> BTreeMap<&'a str, usize> {
        counted(self.plan.levels().map(|(_, l)| (l.setter.as_str(), 1)))
    }

    /// Posts in the load by slug, with how many of each.
    pub fn posts_used(&self) -> BTreeMap<&'a str, usize> {
        counted(self.plan.levels().filter_map(|(_, l)| match &l.carrier {
            Carrier::Posts { post, at_mm } => Some((post.as_str(), at_mm.len())),
            _ => None,
        }))
    }

    /// Supports under parts by slug, with how many of each.
    pub fn supports_used(&self) -> BTreeMap<&'a str, usize> {
        let supports = self
            .plan
            .placements()
            .filter_map(|(_, p)| p.support.as_deref());
        counted(supports.map(|id| (id, 1)))
    }
}

fn counted<'a>(pieces: impl Iterator<Item = (&'a str, usize)>) -> BTreeMap<&'a str, usize> {
    let mut all: BTreeMap<&str, usize> = BTreeMap::new();
    for (id, count) in pieces {
        *all.entry(id).or_default() += count;
    }
    all
}

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
