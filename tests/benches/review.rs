//! What a review costs, whole and after one edit: `cargo bench --bench review`.
//!
//! 500 parts of eight meshes on 12 levels, set out by chance: many near, a few touching, so that
//! there is much to be said.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../demo/plans.rs"]
mod plans;

use divan::{Bencher, black_box};
use setterwright::catalogue::{Catalogue, ShopState, builtin};
use setterwright::document::Document;
use setterwright::load::{Edit, Move, PlacementId, Plan};
use setterwright::profile::Segment;
use setterwright::review::{Given, review};
use std::sync::Arc;
use std::time::Duration;

fn main() {
    divan::main();
}

fn shop() -> (Arc<Catalogue>, Arc<ShopState>) {
    builtin().expect("the starting catalogue")
}

fn load() -> Plan {
    plans::any_size(500, 12, 1)
}

/// The whole review, from nothing.
#[divan::bench(min_time = 2)]
fn whole(bencher: Bencher) {
    let (catalogue, shop) = shop();
    let plan = load();
    let given = Given {
        plan: &plan,
        catalogue: &catalogue,
        shop: Some(&shop),
        differences: &[],
        standard: None,
        forecast: None,
    };
    bencher.bench_local(|| black_box(review(&given)));
}

/// Reviews of an open load, each after an edit that `next` makes.
fn after(bencher: Bencher, mut next: impl FnMut(&Plan, &mut plans::Dice) -> Edit) {
    let (catalogue, shop) = shop();
    let mut document = Document::new(load(), None);
    document.review(&catalogue, Some(&shop), &[], None, None);
    let mut dice = plans::Dice(7);
    let document = std::cell::RefCell::new(document);
    bencher
        .with_inputs(|| {
            let mut document = document.borrow_mut();
            let edit = next(document.plan(), &mut dice);
            let later = Duration::from_secs(10);
            document
                .history
                .apply(&edit, &catalogue, later)
                .expect("an edit that is allowed");
        })
        .bench_local_values(|()| {
            black_box(
                document
                    .borrow_mut()
                    .review(&catalogue, Some(&shop), &[], None, None),
            )
        });
}

fn anything(plan: &Plan, dice: &mut plans::Dice) -> PlacementId {
    let at = (dice.share() * plan.placements().count() as f64) as usize;
    plan.placements().nth(at).expect("a part").1.id
}

/// One part moved and turned on its level.
#[divan::bench(min_time = 2)]
fn after_a_move(bencher: Bencher) {
    after(bencher, |plan, dice| {
        let id = anything(plan, dice);
        let (level, placement) = plan.placement(id).expect("a part");
        let by = [0.0; 2].map(|_| 4.0 * dice.share() - 2.0);
        Edit::MovePlacements(vec![Move {
            id,
            level: level.id,
            at_mm: [placement.at_mm[0] + by[0], placement.at_mm[1] + by[1]],
            angle_deg: placement.angle_deg + 1.0,
        }])
    });
}

/// One hold of the profile made longer.
#[divan::bench(min_time = 2)]
fn after_a_longer_hold(bencher: Bencher) {
    after(bencher, |plan, dice| {
        let segments = &plan.profile.segments;
        let at = (dice.share() * segments.len() as f64) as usize;
        let segment = &segments[at];
        Edit::ChangeSegment(Segment {
            hold_min: segment.hold_min + 1.0,
            ..segment.clone()
        })
    });
}

/// One part taken away.
#[divan::bench(max_time = 2)]
fn after_a_removal(bencher: Bencher) {
    after(bencher, |plan, dice| {
        if plan.placements().count() < 250 {
            return Edit::SetNote(format!("{}", dice.share()));
        }
        Edit::RemovePlacements(vec![anything(plan, dice)])
    });
}
