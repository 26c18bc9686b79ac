//! Things by their number, found in one go: a tight load has hundreds of gaps to name.

use super::facts::Facts;
use crate::load::{Level, Placement, PlacementId, Plan};
use crate::text::names;
use std::collections::BTreeMap;

/// Everything that stands in a plan, with what a person calls it.
#[derive(Debug)]
pub(super) struct Placed<'a> {
    of: BTreeMap<PlacementId, (&'a Level, &'a Placement)>,
    labels: BTreeMap<PlacementId, String>,
}

impl<'a> Placed<'a> {
    fn new(plan: &'a Plan) -> Placed<'a> {
        Placed {
            of: plan.placements().map(|(l, p)| (p.id, (l, p))).collect(),
            labels: plan.placement_labels(),
        }
    }
}

impl<'a> Facts<'a> {
    fn by_number(&self) -> &Placed<'a> {
        self.by_number.get_or_init(|| Placed::new(self.plan))
    }

    /// What stands under a number.
    pub fn placement(&self, id: PlacementId) -> Option<&'a Placement> {
        Some(self.stands(id)?.1)
    }

    /// The same with its level.
    pub fn stands(&self, id: PlacementId) -> Option<(&'a Level, &'a Placement)> {
        self.by_number().of.get(&id).copied()
    }

    /// [`Plan::placement_label`] of one thing.
    pub fn label(&self, id: PlacementId) -> String {
        let known = self.by_number().labels.get(&id).cloned();
        known.unwrap_or_else(|| names::placement_gone().to_owned())
    }
}
