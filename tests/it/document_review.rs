//! The review of an open document, from what is kept, equals one from nothing.

use crate::document_fixture::{Rng, alter, catalogue, plan, random_edit};
use proptest::prelude::*;
use setterwright::catalogue::{Catalogue, ShopState, builtin};
use setterwright::document::Document;
use setterwright::forecast::plan::{Asked, NoForecast, PlanForecast, of};
use setterwright::load::{Plan, Sizes};
use setterwright::review::{Given, review};
use std::time::Duration;

fn forecast(
    plan: &Plan,
    catalogue: &Catalogue,
    shop: Option<&ShopState>,
) -> Result<PlanForecast, NoForecast> {
    let sizes = Sizes::new(plan, catalogue);
    let asked = Asked {
        plan,
        catalogue,
        shop,
        sizes: &sizes,
    };
    of(&asked, &|| false)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn after_edits_undos_and_redos_the_review_is_that_of_the_plan(seed in any::<u64>()) {
        let mut rng = Rng(seed);
        let mut catalogue: Catalogue = catalogue().as_ref().clone();
        let (_, shop) = builtin().unwrap();
        let differences = [("setter".to_owned(), "alumina-square-150x5".to_owned())];
        let first = plan();
        let mut document = Document::new(first.clone(), None);
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
            // The plan that it began from, which in the other half of the cases nobody has.
            let standard = (seed % 2 == 0).then_some(&first);
            let given = Given { plan: &plan, catalogue: &catalogue, shop, differences, standard, forecast: None };
            let (found, _) = document.review(&catalogue, shop, differences, standard, None);
            prop_assert_eq!(found, review(&given));
        }
    }
}

/// The same of the clean demo load with its forecast, which the review of every plan is given.
#[test]
fn with_a_forecast_the_review_is_that_of_the_plan() {
    let (first, working) = setterwright::cli::demo().unwrap();
    let (catalogue, shop) = (working.catalogue, working.shop);
    let mut made_any = 0;
    for seed in 0..4 {
        let mut rng = Rng(seed);
        let mut document = Document::new(first.clone(), None);
        for i in 0..12 {
            let (before, next) = (document.plan().clone(), document.history.next_id());
            let edit = random_edit(&mut rng, &before, next);
            let at = Duration::from_secs(2 * i);
            let _ = document.history.apply(&edit, &catalogue, at);
            if i % 4 < 3 {
                // Reviewed on the way, so that there is something kept.
                document.review(&catalogue, shop.as_deref(), &[], None, None);
                continue;
            }
            let plan = document.plan().clone();
            let made = forecast(&plan, &catalogue, shop.as_deref());
            made_any += usize::from(made.is_ok());
            let given = Given {
                plan: &plan,
                catalogue: &catalogue,
                shop: shop.as_deref(),
                differences: &[],
                standard: Some(&first),
                forecast: Some(&made),
            };
            let (found, _) =
                document.review(&catalogue, shop.as_deref(), &[], Some(&first), Some(&made));
            assert_eq!(found, review(&given), "seed {seed}, edit {i}");
        }
    }
    assert!(made_any > 0, "no plan on the way had a forecast");
}
