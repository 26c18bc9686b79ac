//! Coupons and rafts, which no lot speaks for.

use crate::catalogue::SupportKind;
use crate::review::facts::Facts;
use crate::review::facts_debind::liquid;
use crate::review::finding::{Report, Subject};
use crate::text::unmeasured as lacks;
use std::collections::BTreeSet;

/// Says of which coupons and rafts of a feedstock nobody knows whether they are dry; `flammable`
/// picks those whose liquid burns.
pub(super) fn not_known_dry(facts: &Facts, report: &mut Report, flammable: bool) {
    let mut on_rafts = BTreeSet::new();
    for (_, placement) in facts.plan.placements() {
        let support = placement.support.as_ref();
        let support = support.and_then(|id| facts.catalogue.support(id));
        if support.is_some_and(|s| s.kind == SupportKind::Raft) {
            on_rafts.extend(placement.item.part().map(|p| p.0));
        }
    }
    let mut said = BTreeSet::new();
    for pieces in facts.pieces() {
        let Some(records) = pieces.records.filter(|_| pieces.bring_binder()) else {
            continue;
        };
        let burns = liquid(&records.binder.first_step).map(|(_, burns)| burns);
        if burns != Some(flammable) {
            continue;
        }
        let part = pieces.part;
        let subject = || vec![Subject::Part(part.id)];
        if pieces.coupons {
            report.missing(subject(), lacks::coupon_state(&part.name));
        }
        if on_rafts.contains(&part.id.0) && said.insert(part.id.0) {
            report.missing(subject(), lacks::raft_state(&part.name));
        }
    }
}
