//! The review of an open document, from what is kept, equals one from nothing.

use crate::document_fixture::{Rng, alter, catalogue, plan, random_edit};
use proptest::prelude::*;
use setterwright::catalogue::{Catalogue, builtin};
use setterwright::document::Document;
use setterwright::review::{Given, review};
use std::time::Duration;

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn after_edits_undos_and_redos_the_review_is_that_of_the_plan(seed in any::<u64>()) {
        let mut rng = Rng(seed);
        let mut catalogue: Catalogue = catalogue().as_ref().clone();
        let (_, shop) = builtin().unwrap();
        let differences = [("setter".to_owned(), "alumina-square-150x5".to_owned())];
        let mut document = Document::new(plan(), None);
        for i in 0..40 {
            match rng.below(12) {
                0 => { document.history.undo(); }
                1 => { document.history.redo(); }
                2 => alter(&mut rng, &mut catalogue),
                _ => {
                    let (before, next) = (document.plan().clone(), document.history.next_id());
                    let edit = random_edit(&mut rng, &before, next);
                    // A refusal leaves all as it was.
                    let at = Duration::from_secs(2 * i);
                    let _ = document.history.apply(&edit, &catalogue, at);
                }
            }
            let shop = (rng.below(5) > 0).then_some(shop.as_ref());
            let differences = if rng.below(5) == 0 { &differences[..] } else { &[] };
            let plan = document.plan().clone();
            let given = Given { plan: &plan, catalogue: &catalogue, shop, differences, standard: None, forecast: None };
            let (found, _) = document.review(&catalogue, shop, differences, None, None);
            prop_assert_eq!(found, review(&given));
        }
    }
}
