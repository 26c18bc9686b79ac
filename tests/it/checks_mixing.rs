//! Checks of the mixing family: tripped, just inside, and without their datum.

use crate::checks_fixture_b::{Bench, clean};
use setterwright::catalogue::{Family, Kind};

fn with(feedstock: &str) -> Bench {
    let mut bench = clean();
    bench.add_part(feedstock, [20.0, 12.0, 2.5]);
    bench
}

const ALL: [&str; 6] = [
    "alloys-share-load",
    "carbon-mix",
    "vapour-mix",
    "reactive-mix",
    "peaks-differ",
    "previous-load-incompatible",
];

#[test]
fn one_alloy_in_two_feedstocks_is_no_mixture() {
    let bench = with("316l-peg");
    for check in ALL {
        bench.passes(check);
    }
    let mut bench = with("17-4ph-wax");
    bench.without_record(Kind::Alloy, "17-4ph");
    for check in ALL {
        bench.lacks(check);
    }
}

#[test]
fn alloys_share_a_load_by_their_record_only() {
    let mut bench = with("17-4ph-wax");
    bench.finds("alloys-share-load");
    bench.finds("vapour-mix");
    bench.passes("carbon-mix"); // 0 to 0.03 and 0 to 0.07 %
    bench.alloy("17-4ph", |a| a.may_share_with.push("316l".to_owned()));
    bench.passes("alloys-share-load");
    bench.alloy("17-4ph", |a| a.family = Family::AusteniticStainless);
    bench.passes("vapour-mix");
}

#[test]
fn carbon_ranges_meet_or_not() {
    let mut bench = with("420-wax"); // 0.15 to 0.4 %
    bench.finds("carbon-mix");
    bench.alloy("420", |a| a.carbon_min_pct = Some(0.03));
    bench.passes("carbon-mix");
    bench.alloy("420", |a| a.carbon_max_pct = None);
    bench.lacks("carbon-mix");
}

#[test]
fn titanium_goes_alone() {
    let bench = with("ti-6al-4v-peg");
    bench.finds("reactive-mix");
    bench.passes("alloys-share-load");
    with("17-4ph-wax").passes("reactive-mix");
}

#[test]
fn peaks_lie_together() {
    // 316l-wax 1330 to 1375 °C.
    let sinter = |from_c: f64, to_c: f64| {
        let mut bench = with("316l-peg");
        bench.feedstock("316l-peg", |f| {
            (f.sinter.from_c, f.sinter.to_c) = (from_c, to_c);
        });
        bench
    };
    sinter(1335.0, 1380.0).passes("peaks-differ");
    // Their middles lie 15 K apart and 1360 °C serves both.
    sinter(1345.0, 1390.0).passes("peaks-differ");
    sinter(1380.0, 1390.0).passes("peaks-differ");
    sinter(1380.5, 1390.0).finds("peaks-differ");
    let mut bench = sinter(1345.0, 1390.0);
    bench.without_limit("peak-difference-max");
    bench.lacks("peaks-differ");
}

#[test]
fn the_last_load_leaves_traces() {
    let mut bench = clean();
    bench.shop_mut().furnaces[0].last_alloy = Some("copper".to_owned());
    bench.finds("previous-load-incompatible");
    bench.alloy("copper", |a| a.may_share_with.push("316l".to_owned()));
    bench.passes("previous-load-incompatible");
    bench.shop_mut().furnaces[0].last_alloy = Some("no-such-alloy".to_owned());
    bench.lacks("previous-load-incompatible");
    bench.shop_mut().furnaces[0].last_alloy = None;
    bench.lacks("previous-load-incompatible");
}
