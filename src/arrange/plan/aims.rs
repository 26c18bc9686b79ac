//! What is wanted besides distances: what goes first, what counts, which furniture may be used.

use super::Weights;
use crate::catalogue::{ShopState, when};
use crate::load::{LotId, Plan};
use std::collections::BTreeMap;

/// Setters and posts that there are, those of the load among them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Furniture {
    counts: BTreeMap<String, usize>,
}

impl Furniture {
    /// What the shop has in stock. Of what it keeps no count, only the pieces in the load.
    pub fn of(plan: &Plan, shop: Option<&ShopState>) -> Furniture {
        let used = plan.setters_used().into_iter().chain(plan.posts_used());
        let mut counts: BTreeMap<String, usize> = used.map(|(id, n)| (id.to_owned(), n)).collect();
        let stock = shop.into_iter().flat_map(|shop| &shop.stock);
        counts.extend(stock.map(|s| (s.id.clone(), s.count as usize)));
        Furniture { counts }
    }

    /// Pieces of a slug.
    pub fn count(&self, id: &str) -> usize {
        self.counts.get(id).copied().unwrap_or(0)
    }
}

/// What is wanted of a layout.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Aims {
    /// Setters and posts for levels set up anew; without it the levels keep their posts.
    pub furniture: Option<Furniture>,
    /// Which lots go first; of those not named nothing is due.
    pub first: BTreeMap<LotId, First>,
    /// What counts besides.
    pub weights: Weights,
}

/// Largest priority that is taken (assumed: nobody tells more apart).
pub const MOST_PRIORITY: u32 = 99;

/// When the pieces of a lot go that wait.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct First {
    /// They go before any that need not.
    pub must: bool,
    /// The greater goes first among those due at one time, up to [`MOST_PRIORITY`].
    pub priority: u32,
    /// Day or moment at which they are due, `2026-12-01` or `2026-12-01 14:00`; a day is its end.
    pub due: Option<String>,
}

impl First {
    /// In the order in which they go: due first, then the greater priority.
    fn key(&self) -> (bool, String, u32) {
        let due = self.due.as_deref().map(str::trim).unwrap_or_default();
        // As the clock has it, not as it was typed: 9:00 is before 14:00.
        let due_at = match when::moment(due) {
            Some(moment) => moment.to_string(),
            // The end of a day is later than every moment of it.
            None => when::day(due).map_or(due.to_owned(), |day| format!("{day}T24")),
        };
        (due.is_empty(), due_at, u32::MAX - self.priority)
    }
}

/// Most that a piece counts for (assumed): in the sum over a load in which some must go as well, one of
/// the last class still tells.
const MOST_WORTH: f64 = 16_777_216.0;

impl Aims {
    /// What a piece of each lot is worth in the choice of those that go; empty where all are worth
    /// the same.
    pub(super) fn worths(&self, plan: &Plan) -> BTreeMap<LotId, f64> {
        let (none, mut worths) = (First::default(), BTreeMap::new());
        if self.first.is_empty() {
            return worths;
        }
        let first = |id: LotId| self.first.get(&id).unwrap_or(&none);
        let mut classes: Vec<_> = plan.lots.iter().map(|lot| first(lot.id).key()).collect();
        classes.sort();
        classes.dedup();
        for lot in &plan.lots {
            let key = first(lot.id).key();
            let later = classes.iter().filter(|class| **class > key).count();
            let worth = libm::pow(self.weights.earlier, later as f64);
            worths.insert(lot.id, worth.min(MOST_WORTH));
        }
        worths
    }

    /// Whether the pieces of a lot go before any that need not.
    pub(super) fn must(&self, lot: Option<LotId>) -> bool {
        let first = lot.and_then(|id| self.first.get(&id));
        first.is_some_and(|first| first.must)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_due_goes_by_the_clock_and_a_day_to_its_end() {
        let due = |text: &str| First {
            due: Some(text.to_owned()),
            ..First::default()
        };
        let mut all = [
            "",
            "2026-12-02",
            "2026-12-01",
            "2026-12-01 14:00",
            "2026-12-01 9:00",
        ]
        .map(due);
        all.sort_by_key(First::key);
        let order = all
            .each_ref()
            .map(|first| first.due.as_deref().unwrap_or(""));
        let right = [
            "2026-12-01 9:00",
            "2026-12-01 14:00",
            "2026-12-01",
            "2026-12-02",
            "",
        ];
        assert_eq!(order, right);
    }
}
