//! A task with fewer of the pieces that wait: where what the whole load brings keeps pieces out, those
//! that may stay are set out for themselves, which needs fewer setters than a fuller layout thinned.

use super::super::task::Placed;
use super::Arrangement;
use crate::load::{LotId, Plan};
use std::collections::{BTreeMap, BTreeSet};
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

    /// Lots of the pieces that wait and are searched with.
    pub(super) fn lots_that_wait(&self) -> impl Iterator<Item = LotId> {
        let waits = self.copies.iter().filter(|c| c.placed.is_none());
        waits.filter_map(|c| self.pieces.get(c.kind)?.model.item.lot())
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
        let out: BTreeSet<usize> = order.into_iter().skip(most).collect();
        if out.is_empty() {
            return None;
        }
        // The shorter list, and where each piece of it is there.
        let (mut stay, mut now) = (Vec::new(), BTreeMap::new());
        let mut by_kind: BTreeMap<usize, usize> = BTreeMap::new();
        for (i, copy) in copies() {
            if out.contains(&i) {
                *by_kind.entry(copy.kind).or_default() += 1;
            } else {
                now.insert(i, stay.len());
                stay.push(*copy);
            }
        }
        let start = self.rules.start.iter().filter_map(|p| {
            let part = *now.get(&p.part)?;
            Some(Placed { part, ..*p })
        });
        let mut fewer = self.with_copies(stay);
        fewer.rules.start = start.collect();
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
