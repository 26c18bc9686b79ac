//! What furniture a plan uses: by slug, with how many of each.

use super::plan::{Carrier, Plan};
use std::collections::BTreeMap;

impl Plan {
    /// Setters.
    pub fn setters_used(&self) -> BTreeMap<&str, usize> {
        counted(self.levels().map(|(_, l)| (l.setter.as_str(), 1)))
    }

    /// Posts.
    pub fn posts_used(&self) -> BTreeMap<&str, usize> {
        counted(self.levels().filter_map(|(_, l)| match &l.carrier {
            Carrier::Posts { post, at_mm } => Some((post.as_str(), at_mm.len())),
            _ => None,
        }))
    }

    /// Supports under parts.
    pub fn supports_used(&self) -> BTreeMap<&str, usize> {
        let supports = self.placements().filter_map(|(_, p)| p.support.as_deref());
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
