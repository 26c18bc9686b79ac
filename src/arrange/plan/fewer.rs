//! A task with fewer of the pieces that wait: where what the whole load brings keeps pieces out, those
//! that may stay are set out for themselves, which needs fewer setters than a fuller layout thinned.

use super::super::task::Placed;
use super::Arrangement;
use crate::load::Plan;
use std::collections::BTreeMap;
use std::sync::Arc;

/// How a task was thinned.
#[derive(Clone)]
pub(super) struct Thinned {
    /// Pieces that wait and are searched with.
    most: usize,
    /// What keeps the others out, in words.
    words: String,
    /// Those others, by kind.
    out: Vec<(usize, usize)>,
}

impl Arrangement {
    /// What waits and is not searched with: its kind, how many, and why.
    pub(super) fn thinned_out(&self) -> impl Iterator<Item = (usize, usize, &String)> {
        let thinned = self.thinned.iter();
        thinned.flat_map(|t| t.out.iter().map(|(kind, n)| (*kind, *n, &t.words)))
    }

    /// The same with as few pieces as another task.
    pub(super) fn thinned_like(self, other: &Arrangement) -> Arrangement {
        let thinned = other.thinned.as_ref();
        let fewer = thinned.and_then(|t| self.fewer(t.most, &t.words));
        fewer.unwrap_or(self)
    }

    /// Pieces that wait and are searched with.
    pub(super) fn waiting(&self) -> usize {
        self.copies.iter().filter(|c| c.placed.is_none()).count()
    }

    /// Pieces that waited and stand in another plan.
    pub(super) fn placed(&self, plan: &Plan) -> usize {
        super::waiting(self.origin()).saturating_sub(super::waiting(plan))
    }

    /// The same with only so many of what waits, the dearest; the others wait on. None where no more
    /// waits anyway. `words` say what keeps the others out.
    pub(super) fn fewer(&self, most: usize, words: &str) -> Option<Arrangement> {
        let copies = || self.copies.iter().enumerate();
        let waits = copies().filter(|(_, copy)| copy.placed.is_none());
        let mut order: Vec<usize> = waits.map(|(i, _)| i).collect();
        self.dearest_first(&mut order, |i| *i);
        let mut out = order.split_off(most.min(order.len()));
        if out.is_empty() {
            return None;
        }
        out.sort_unstable();
        let stays = |i: usize| out.binary_search(&i).is_err();
        // Where each of the others is in the shorter list.
        let mut now: BTreeMap<usize, usize> = BTreeMap::new();
        for (i, _) in copies().filter(|(i, _)| stays(*i)) {
            now.insert(i, now.len());
        }
        let mut fewer = self.unshown();
        fewer.copies = copies()
            .filter(|(i, _)| stays(*i))
            .map(|(_, copy)| *copy)
            .collect();
        fewer.task.parts = fewer.copies.iter().map(|copy| copy.kind).collect();
        fewer.rules = self.rules.clone();
        let start = self.rules.start.iter();
        let start = start.filter_map(|p| {
            let part = *now.get(&p.part)?;
            Some(Placed { part, ..*p })
        });
        fewer.rules.start = start.collect();
        fewer.pieces.clone_from(&self.pieces);
        fewer.seats.clone_from(&self.seats);
        fewer.nowhere.clone_from(&self.nowhere);
        fewer.beyond.clone_from(&self.beyond);
        fewer.amiss = self.amiss.clone();
        let mut by_kind: BTreeMap<usize, usize> = BTreeMap::new();
        for copy in out.iter().filter_map(|i| self.copies.get(*i)) {
            *by_kind.entry(copy.kind).or_default() += 1;
        }
        fewer.thinned = Some(Thinned {
            most,
            words: words.to_owned(),
            out: by_kind.into_iter().collect(),
        });
        // Values and ranks are of the shorter list.
        let aims = Arc::clone(&self.aims);
        Some(fewer.with(&aims))
    }
}
