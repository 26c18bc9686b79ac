//! What a drag, an edit and a review cost: `cargo bench --bench clearance`.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../demo/plans.rs"]
mod plans;

use divan::{Bencher, black_box};
use setterwright::catalogue::{Catalogue, ShopState, builtin};
use setterwright::load::{
    Caps, Clearances, LevelScene, Placement, Plan, Sizes, Standing, clearances, lift_mm,
};
use setterwright::review::{Given, review};
use std::sync::Arc;

/// Gap limit with the demo shop's placing tolerance, mm.
const GAP_MM: f64 = 0.6;

fn main() {
    divan::main();
}

fn shop() -> (Arc<Catalogue>, Arc<ShopState>) {
    builtin().expect("the starting catalogue")
}

/// 500 parts on one level, and the size tables.
fn five_hundred() -> (Plan, Arc<Catalogue>, Sizes) {
    let (catalogue, _) = shop();
    let plan = plans::any_size(500, 1, 1);
    let sizes = Sizes::new(&plan, &catalogue);
    (plan, catalogue, sizes)
}

fn scene(plan: &Plan, catalogue: &Catalogue, sizes: &Sizes) -> LevelScene {
    LevelScene::new(&plan.load.stacks[0].levels[0], plan, sizes, catalogue)
}

/// One part is dragged over the level: a new place and angle each time, prepared anew.
#[divan::bench(min_time = 2)]
fn one_dragged_against_500(bencher: Bencher) {
    let (plan, catalogue, sizes) = five_hundred();
    let scene = scene(&plan, &catalogue, &sizes);
    let level = &plan.load.stacks[0].levels[0];
    let mut dice = plans::Dice(7);
    let half = 11.0 * plans::ANY_PITCH_MM;
    let dragged = move || {
        let i = (dice.share() * level.placements.len() as f64) as usize;
        Placement {
            at_mm: [0.0; 2].map(|_| (2.0 * dice.share() - 1.0) * half),
            angle_deg: 360.0 * dice.share(),
            ..level.placements[i].clone()
        }
    };
    bencher.with_inputs(dragged).bench_local_refs(|placement| {
        let sized = sizes.of(&placement.item, &catalogue).expect("a body");
        let lift = lift_mm(placement, &catalogue);
        let standing = Standing::new(placement, &sized, lift, scene.growths());
        black_box(scene.gaps_of(&standing, &[placement.id], GAP_MM))
    });
}

/// All pairs of 500 parts, with the level prepared before.
#[divan::bench(min_time = 2)]
fn all_pairs_of_500(bencher: Bencher) {
    let (plan, catalogue, sizes) = five_hundred();
    let scene = scene(&plan, &catalogue, &sizes);
    bencher.bench_local(|| black_box(scene.pair_gaps(GAP_MM)));
}

/// The same with the level prepared each time.
#[divan::bench(min_time = 2)]
fn level_and_all_pairs_of_500(bencher: Bencher) {
    let (plan, catalogue, sizes) = five_hundred();
    bencher.bench_local(|| black_box(scene(&plan, &catalogue, &sizes).pair_gaps(GAP_MM)));
}

/// All clearances of the large demo load.
#[divan::bench(min_time = 2)]
fn clearances_of_large(bencher: Bencher) {
    let (catalogue, _) = shop();
    let plan = plans::large();
    let sizes = Sizes::new(&plan, &catalogue);
    let furnace = catalogue.furnace(&plan.load.furnace).expect("the furnace");
    let caps = Caps {
        gap_mm: GAP_MM,
        edge_mm: 3.0,
        head_mm: 5.0,
        roof_mm: 13.0,
        sensor_mm: 25.0,
        zone_mm: 5.0,
    };
    let all = || -> Clearances { clearances(&plan, &catalogue, furnace, &sizes, &caps) };
    bencher.bench_local(|| black_box(all()));
}

/// The whole review of the large demo load.
#[divan::bench(min_time = 2)]
fn review_of_large(bencher: Bencher) {
    let (catalogue, shop) = shop();
    let plan = plans::large();
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
