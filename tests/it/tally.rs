//! Sizes, masses and the tally, against hand work. "Row" is a row of the check table in
//! `physics.md` section 8.

use crate::shop::{
    block, catalogue, dummy, level, lot, on_posts, part, piece, placed, plan, tally,
};
use proptest::prelude::*;
use setterwright::load::{Carrier, Item, Level, PartRecords};
use setterwright::part::{
    Drawn, MassState, PartId, Weighed, binder_mass_share, density_from_oversize, green_density,
    loading_from_mass_share, loading_from_oversize, oversize_from_loading, shrinkage,
    shrinkage_from_oversize,
};

/// Relative tolerance, as in the check table.
fn close(got: f64, expected: f64, tolerance: f64) {
    assert!(
        (got - expected).abs() <= tolerance * expected.abs(),
        "{got}, not {expected}"
    );
}

#[test]
fn shrinkage_and_oversize() {
    close(shrinkage(0.60, 0.98), 0.150868, 1e-5); // row 1
    close(oversize_from_loading(0.60, 0.98), 1.177670, 1e-5); // row 2
    close(shrinkage_from_oversize(1.2), 0.166667, 1e-5); // row 3: 1/6
    close(loading_from_oversize(1.2, 0.98), 0.567130, 1e-5); // row 4: 0.98/1.728
    // physics.md 1d, the other rows of its table.
    for (loading, density, s, factor) in [
        (0.60, 1.00, 0.156567, 1.18563),
        (0.62, 0.97, 0.138596, 1.16090),
        (0.65, 0.98, 0.127908, 1.14667),
        (0.55, 0.95, 0.166550, 1.19983),
    ] {
        close(shrinkage(loading, density), s, 1e-5);
        close(oversize_from_loading(loading, density), factor, 1e-5);
    }
}

#[test]
fn green_density_and_loading() {
    close(1.0 - binder_mass_share(0.60, 7.95, 0.92), 0.928377, 1e-5); // row 5
    close(green_density(0.60, 7.95, 0.92), 5.138, 1e-6); // row 6: 4.77 + 0.368
    close(loading_from_mass_share(0.93, 7.78, 0.92), 0.611056, 1e-5); // row 7
    // Rows 8 and 9: 17.4 % shrinkage to 99 % dense; the same feedstock stopped at 9.6 %.
    let loading = loading_from_oversize(1.0 / (1.0 - 0.174), 0.99);
    close(loading, 0.55792, 1e-4);
    close(
        density_from_oversize(1.0 / (1.0 - 0.096), loading),
        0.75521,
        1e-4,
    );
}

/// 20 × 20 × 10 mm green is 4 cm³, 20.552 g at 5.138 g/cm³; its binder is 4 · 0.4 · 0.92 =
/// 1.472 g, of which 55 % is soluble, 0.8096 g.
#[test]
fn a_block_by_hand() {
    let block = part(1, block(20.0, 20.0, 10.0), Drawn::Green);
    let catalogue = catalogue();
    let masses = PartRecords::new(&block, &catalogue)
        .unwrap()
        .masses(0.5)
        .unwrap();
    close(masses.green_g, 20.552, 1e-9);
    close(masses.binder_g, 1.472, 1e-9);
    close(masses.first_step_g, 0.8096, 1e-9);
    close(masses.dry_g, 20.552 - 0.4048, 1e-9);
    close(masses.metal_g, 19.08, 1e-9); // 4 · 0.6 · 7.95
}

/// Drawn at final size, the block is 1.2 · 1.2 · 1.25 = 1.8 times as large green.
#[test]
fn a_part_drawn_at_final_size_weighs_its_green_volume() {
    let block = part(1, block(20.0, 20.0, 10.0), Drawn::Final);
    let catalogue = catalogue();
    let masses = PartRecords::new(&block, &catalogue)
        .unwrap()
        .masses(0.5)
        .unwrap();
    close(masses.green_g, 1.8 * 20.552, 1e-9);
}

#[test]
fn a_weighing_overrides_the_volume() {
    let catalogue = catalogue();
    let weighed = |state: MassState, mass_g: f64| {
        let mut block = part(1, block(20.0, 20.0, 10.0), Drawn::Green);
        block.weighed = Some(Weighed { state, mass_g });
        PartRecords::new(&block, &catalogue)
            .unwrap()
            .masses(0.5)
            .unwrap()
    };
    // Twice the computed mass in any state doubles all of them.
    for (state, mass_g) in [
        (MassState::Green, 41.104),
        (MassState::Brown, 2.0 * 20.1472),
        (MassState::Dry, 2.0 * 20.1472),
        (MassState::Sintered, 38.16),
    ] {
        let masses = weighed(state, mass_g);
        close(masses.in_state(state), mass_g, 1e-12);
        close(masses.green_g, 41.104, 1e-9);
        close(masses.metal_g, 38.16, 1e-9);
    }
}

/// Plate 2079 g on three posts of 20 g: two blocks entering green, a coupon without a lot (dry, by
/// the feedstock's target of 90 %), and 100 g of dummy. Above it a tray of 500 g on its own feet
/// with one block on powder: (20 + 10) · (20 + 10) mm = 9 cm², 4.5 g.
#[test]
fn a_small_load_by_hand() {
    let mut on_powder = placed(5, piece(1, Some(1)), [0.0; 2]);
    on_powder.support = Some("powder".to_owned());
    let coupon = Item::Coupon {
        part: PartId(1),
        label: "A".to_owned(),
    };
    let posts = on_posts(&[[-100.0, -100.0], [100.0, -100.0], [0.0, 100.0]]);
    let plan = plan(
        vec![part(1, block(20.0, 20.0, 10.0), Drawn::Green)],
        vec![lot(1, 1, MassState::Green)],
        vec![
            level(
                1,
                "plate",
                posts,
                vec![
                    placed(1, piece(1, Some(1)), [0.0; 2]),
                    placed(2, piece(1, Some(1)), [50.0, 0.0]),
                    placed(3, coupon, [0.0, 50.0]),
                    placed(4, dummy(100.0), [-50.0, 0.0]),
                ],
            ),
            level(
                2,
                "tray",
                Carrier::Feet { height_mm: 20.0 },
                vec![on_powder],
            ),
        ],
    );
    let tally = tally(&plan);
    let dry_g = 20.552 - 0.9 * 0.8096;
    let first = &tally.levels[0];
    assert_eq!((first.sums.parts, first.sums.coupons), (2, 1));
    close(first.sums.in_state(MassState::Green), 3.0 * 20.552, 1e-9);
    close(first.sums.in_state(MassState::Sintered), 3.0 * 19.08, 1e-9);
    close(first.sums.entering_g, 2.0 * 20.552 + dry_g, 1e-9);
    close(first.sums.binder_g, 2.0 * 1.472 + dry_g - 19.08, 1e-9);
    close(first.sums.furniture_g, 2079.0 + 60.0, 1e-12);
    close(first.on_plate_g, 2.0 * 20.552 + dry_g + 100.0, 1e-9);
    close(first.covered_mm2, 3.0 * 400.0 + 100.0, 1e-9);
    close(first.fill().unwrap(), 1300.0 / 90_000.0, 1e-9);
    assert_eq!(first.sums.extraction_assumed, 1);
    let second = &tally.levels[1];
    close(second.sums.furniture_g, 500.0 + 4.5, 1e-12);
    close(second.on_plate_g, 20.552 + 4.5, 1e-9);
    // The rim takes 5 mm on every side.
    close(second.face_mm2.unwrap(), 190.0 * 90.0, 1e-12);
    let total = 3.0 * 20.552 + dry_g + 2079.0 + 60.0 + 500.0 + 4.5 + 100.0;
    close(tally.whole.total_g(), total, 1e-9);
    assert_eq!(tally.pieces[&1], 3);
    assert_eq!(tally.lots[&1], 3);
    assert_eq!(tally.whole.unknown, 0);
}

/// The second story: 60 yokes of 75 g green, 7.16 % binder, 55 % of it soluble. By weighing 108 g
/// went out, so 215 g of binder remain to burn, not the 153 g that the target of 95 % promises.
#[test]
fn weighings_of_the_lot_change_what_has_to_burn_out() {
    let mut yoke = part(1, block(20.0, 20.0, 10.0), Drawn::Green);
    yoke.weighed = Some(Weighed {
        state: MassState::Green,
        mass_g: 75.0,
    });
    let pieces = || {
        (0..60)
            .map(|i| placed(i, piece(1, Some(1)), [f64::from(i), 0.0]))
            .collect()
    };
    let with = |lot| {
        let levels = vec![level(1, "plate", Carrier::Hearth, pieces())];
        tally(&plan(vec![yoke.clone()], vec![lot], levels)).whole
    };
    let mut weighed = lot(1, 1, MassState::Dry);
    weighed.green_g = Some(4500.0);
    weighed.dry_g = Some(4392.0);
    let sums = with(weighed);
    close(sums.in_state(MassState::Green), 4500.0, 1e-12);
    close(
        sums.in_state(MassState::Green) - sums.in_state(MassState::Sintered),
        322.0,
        2e-3,
    );
    close(sums.entering_g, 4392.0, 1e-9);
    close(sums.binder_g, 215.0, 5e-3);
    assert_eq!(sums.extraction_assumed, 0);
    // Unweighed: the feedstock's target, here 90 %: 322.3 − 0.9 · 177.3 = 162.8 g.
    let sums = with(lot(1, 1, MassState::Dry));
    close(sums.binder_g, 162.8, 1e-3);
    assert_eq!(sums.extraction_assumed, 60);
}

/// Ten placements of different kinds in the order that `keys` gives.
fn shuffled(keys: &[u32]) -> Level {
    let mut all: Vec<_> = (0..10)
        .map(|i| {
            let at = [f64::from(i) * 7.3, f64::from(i * i) * 0.37];
            let item = match i % 4 {
                0 => piece(1, Some(1)),
                1 => piece(2, Some(2)),
                2 => dummy(0.1 + f64::from(i)),
                _ => piece(2, None),
            };
            let mut placement = placed(i, item, at);
            placement.support = (i % 3 == 0).then(|| "raft".to_owned());
            placement
        })
        .collect();
    all.sort_by_key(|p| keys[p.id.0 as usize]);
    level(1, "plate", Carrier::Hearth, all)
}

proptest! {
    /// Bit-equal, not only close: reviews are compared by their numbers.
    #[test]
    fn the_order_of_placements_does_not_matter(
        keys in proptest::collection::vec(any::<u32>(), 10),
    ) {
        let with = |keys: &[u32]| {
            let parts = vec![
                part(1, block(20.1, 20.3, 10.7), Drawn::Green),
                part(2, block(7.7, 13.1, 3.3), Drawn::Final),
            ];
            let lots = vec![lot(1, 1, MassState::Dry), lot(2, 2, MassState::Green)];
            tally(&plan(parts, lots, vec![shuffled(keys)]))
        };
        let in_order: Vec<u32> = (0..10).collect();
        prop_assert_eq!(with(&keys), with(&in_order));
    }
}
