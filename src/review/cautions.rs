//! Standing cautions of the records that a run uses: its gases, its binders, its alloys.

use super::facts::Facts;
use std::collections::BTreeMap;

/// What a record says to watch.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RecordCaution {
    /// Name of the gas, binder or alloy.
    pub record: String,
    /// Its words.
    pub words: String,
}

/// Of the gases that the run uses, the binders that it burns out and the alloys in it, in this
/// order; each record once.
pub(super) fn cautions(facts: &Facts) -> Vec<RecordCaution> {
    let gases = facts.gas_slugs().into_iter();
    let gases = gases.filter_map(|slug| facts.catalogue.gas(slug));
    let gases = gases.map(|g| (&g.name, &g.caution));
    let mut binders = BTreeMap::new();
    for pieces in facts.pieces().iter().filter(|p| p.bring_binder()) {
        if let Some(records) = pieces.records {
            binders.insert(&records.binder.id, records.binder);
        }
    }
    let binders = binders.values().map(|b| (&b.name, &b.caution));
    let alloys = facts.alloys.values().map(|a| (&a.name, &a.watch));
    let all = gases.chain(binders).chain(alloys);
    all.filter(|(_, words)| !words.trim().is_empty())
        .map(|(record, words)| RecordCaution {
            record: record.clone(),
            words: words.clone(),
        })
        .collect()
}
