//! Takes a record or a limit away, so that a check has nothing to go by.

use crate::fixture::Case;

/// The record of the load's furnace.
pub fn furnace(case: &mut Case) {
    let id = case.plan.load.furnace.clone();
    assert!(case.catalogue_mut().furnaces.remove(&id).is_some());
}

/// The record of the brackets' feedstock.
pub fn feedstock(case: &mut Case) {
    let id = case.plan.parts[0].feedstock.clone();
    assert!(case.catalogue_mut().feedstocks.remove(&id).is_some());
}

/// The record of the binder in it.
pub fn binder(case: &mut Case) {
    let feedstock = case.catalogue.feedstock(&case.plan.parts[0].feedstock);
    let id = feedstock.unwrap().binder.clone();
    assert!(case.catalogue_mut().binders.remove(&id).is_some());
}

/// The record of an alloy.
pub fn alloy(case: &mut Case, id: &str) {
    assert!(case.catalogue_mut().alloys.remove(id).is_some());
}

/// The record of a gas.
pub fn gas(case: &mut Case, id: &str) {
    assert!(case.catalogue_mut().gases.remove(id).is_some());
}

/// A limit, in every scope.
pub fn limit(case: &mut Case, id: &str) {
    let limits = &mut case.catalogue_mut().limits;
    let before = limits.len();
    limits.retain(|l| l.id != id);
    assert!(limits.len() < before, "no limit {id}");
}

/// What somebody answered to a question.
pub fn answer(case: &mut Case, question: &str) {
    case.plan.declarations.retain(|d| d.question != question);
}
