//! What a forecast costs: `cargo bench --bench forecast`.
//!
//! The large demo load: 12 levels, eight kinds of parts, more than forty hours; cold, nominal and
//! hot case. `three_cases` is what runs while a point of the program is dragged.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../demo/plans.rs"]
mod plans;

use divan::{Bencher, black_box};
use setterwright::catalogue::{Catalogue, ShopState, builtin};
use setterwright::forecast::plan::{Asked, of, prepare};
use setterwright::forecast::whole::forecast;
use setterwright::load::{Plan, Sizes};
use setterwright::review::{Given, review};
use std::sync::Arc;

fn main() {
    let (catalogue, shop) = records();
    let plan = plans::large();
    let sizes = Sizes::new(&plan, &catalogue);
    let made = of(&asked(&plan, &catalogue, &shop, &sizes), &|| false).expect("a forecast");
    for (case, of) in made.by_case() {
        println!("{case}: {} states, {:?}", of.run.width, of.run.effort);
    }
    divan::main();
}

fn records() -> (Arc<Catalogue>, Arc<ShopState>) {
    builtin().expect("the starting catalogue")
}

fn asked<'a>(
    plan: &'a Plan,
    catalogue: &'a Catalogue,
    shop: &'a ShopState,
    sizes: &'a Sizes,
) -> Asked<'a> {
    Asked {
        plan,
        catalogue,
        shop: Some(shop),
        sizes,
    }
}

/// Heat and matter of the three cases, from inputs that are made.
#[divan::bench(min_time = 3, args = [false, true])]
fn three_cases(bencher: Bencher, prolong: bool) {
    let (catalogue, shop) = records();
    let plan = plans::large();
    let sizes = Sizes::new(&plan, &catalogue);
    let prepared = prepare(&asked(&plan, &catalogue, &shop, &sizes)).expect("inputs");
    bencher.bench_local(|| black_box(forecast(&prepared.inputs, prolong, &|| false)));
}

/// The inputs alone.
#[divan::bench(min_time = 1)]
fn inputs(bencher: Bencher) {
    let (catalogue, shop) = records();
    let plan = plans::large();
    let sizes = Sizes::new(&plan, &catalogue);
    bencher.bench_local(|| black_box(prepare(&asked(&plan, &catalogue, &shop, &sizes))));
}

/// A review that is given its forecast.
#[divan::bench(min_time = 2)]
fn review_of_it(bencher: Bencher) {
    let (catalogue, shop) = records();
    let plan = plans::large();
    let sizes = Sizes::new(&plan, &catalogue);
    let asked = asked(&plan, &catalogue, &shop, &sizes);
    let made = of(&asked, &|| false);
    let given = Given {
        plan: &plan,
        catalogue: &catalogue,
        shop: Some(&shop),
        differences: &[],
        standard: None,
        forecast: Some(&made),
    };
    bencher.bench_local(|| black_box(review(&given)));
}
