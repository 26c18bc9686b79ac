//! One small change to a clean load for every check that is on: the check that must trip, what
//! comes with it, and what can no longer be judged. Anything else that appears fails.

#[path = "mutation_table/bases.rs"]
pub mod bases;

use setterwright::catalogue::Severity;

#[test]
fn the_clean_loads_are_clean() {
    for (name, base) in bases::ALL {
        let review = base().review();
        let wrong = review.findings.iter();
        let wrong: Vec<_> = wrong.filter(|f| f.severity > Severity::Note).collect();
        assert!(wrong.is_empty(), "{name}: {wrong:#?}");
    }
}
