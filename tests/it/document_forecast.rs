//! What a forecast reads: where the core's inputs or the report's records change, the hash has to.

use crate::document_fixture::{Rng, alter, catalogue, plan, random_edit};
use crate::window::bench::demo_loads;
use setterwright::catalogue::Catalogue;
use setterwright::document::{ForecastReads, InputHash};
use setterwright::files::open_load;
use setterwright::forecast::plan::{Asked, prepare};
use setterwright::load::{Acceptance, Declaration, Edit, Plan, Sizes};
use std::sync::Arc;

fn hash(reads: &mut ForecastReads, plan: &Plan, catalogue: &Arc<Catalogue>) -> InputHash {
    reads.of(plan, catalogue, None)
}

/// All that the core gets.
fn inputs(plan: &Plan, catalogue: &Catalogue) -> String {
    let sizes = Sizes::new(plan, catalogue);
    let asked = Asked {
        plan,
        catalogue,
        shop: None,
        sizes: &sizes,
    };
    format!("{:?}", prepare(&asked))
}

#[test]
fn after_random_edits_equal_hashes_mean_equal_inputs() {
    for seed in 0..12 {
        let mut rng = Rng(seed);
        let mut reads = ForecastReads::default();
        let mut records = catalogue();
        let mut now = plan();
        let mut next = 5000;
        let mut before = (hash(&mut reads, &now, &records), inputs(&now, &records));
        for _ in 0..40 {
            if rng.below(8) == 0 {
                alter(&mut rng, Arc::make_mut(&mut records));
            } else {
                let edit = random_edit(&mut rng, &now, next);
                next += 20;
                if let Ok(after) = edit.apply(&now, &records) {
                    now = after;
                }
            }
            let after = (hash(&mut reads, &now, &records), inputs(&now, &records));
            assert!(before.1 == after.1 || before.0 != after.0, "seed {seed}");
            // What is remembered says the same as what is read anew.
            let anew = hash(&mut ForecastReads::default(), &now, &records);
            assert_eq!(after.0, anew, "seed {seed}");
            before = after;
        }
    }
}

#[test]
fn words_signatures_and_locks_are_not_read() {
    let path = demo_loads().join("clean.load.ron");
    let (plan, working) = open_load(&path, None).unwrap();
    let records = &working.catalogue;
    let mut reads = ForecastReads::default();
    let first = hash(&mut reads, &plan, records);
    let id = plan.placements().next().unwrap().1.id;
    let edits = [
        Edit::SetTitle("another".to_owned()),
        Edit::SetNote("a word".to_owned()),
        Edit::Declare(Declaration::default()),
        Edit::Accept(Acceptance::default()),
        Edit::SetLocked {
            ids: vec![id],
            locked: true,
        },
    ];
    let mut now = plan.clone();
    for edit in edits {
        if let Ok(after) = edit.apply(&now, records) {
            assert_ne!(after, now, "{edit:?}");
            now = after;
        }
        assert_eq!(hash(&mut reads, &now, records), first, "{edit:?}");
    }
    let mut segment = now.profile.segments[2].clone();
    segment.note = "watch".to_owned();
    now = Edit::ChangeSegment(segment.clone())
        .apply(&now, records)
        .unwrap();
    assert_eq!(hash(&mut reads, &now, records), first);
    segment.hold_min += 1.0;
    now = Edit::ChangeSegment(segment).apply(&now, records).unwrap();
    assert_ne!(hash(&mut reads, &now, records), first);
}
