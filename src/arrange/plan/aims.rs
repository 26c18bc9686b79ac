//! What is wanted besides distances: the furniture that may be used.

use crate::catalogue::ShopState;
use crate::load::Plan;
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
}
