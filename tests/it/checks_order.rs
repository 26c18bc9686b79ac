//! Order of events, air on a hot zone, the purge's reserve and dust: each check tripped, just
//! inside, and without its datum.

use crate::fixture::{Case, found, measured, not_evaluated, passes};
use crate::mutation_table::bases::{hydrogen, titanium};
use setterwright::catalogue::Lining;
use setterwright::catalogue::Severity::{Caution, Stop};
use setterwright::profile::{Event, EventAt, EventKind};

fn events(case: &mut Case, segment: usize, at: EventAt, kinds: &[EventKind]) {
    let kinds = kinds.iter().cloned();
    let events = kinds.map(|kind| Event { at, kind });
    case.profile().segments[segment].events.extend(events);
}

fn pump() -> EventKind {
    EventKind::PumpDown { to_mbar: 1.0 }
}

/// The hydrogen run, spoilt.
fn in_hydrogen(spoil: impl FnOnce(&mut Case)) -> impl FnOnce(&mut Case) {
    move |case| {
        *case = hydrogen();
        spoil(case);
    }
}

#[test]
fn nothing_comes_after_unloading() {
    use EventKind::{FanOff, OperatorCheck, Unload};
    let slug = "unload-not-last";
    let last = |kinds: Vec<EventKind>| move |case: &mut Case| events(case, 5, EventAt::End, &kinds);
    found(slug, Stop, last(vec![Unload, pump()]));
    passes(slug, last(vec![pump(), Unload]));
    passes(slug, last(vec![Unload, OperatorCheck, FanOff]));
    passes(slug, |_| {});
    found(slug, Stop, |case| events(case, 4, EventAt::End, &[Unload]));
    // At the start of the last segment all of it is still to come.
    let finding = found(slug, Stop, |case| {
        events(case, 5, EventAt::Start, &[Unload])
    });
    assert_eq!(finding.args[0].1.to_string(), "1 segment");
    // Of a profile without a segment there is nothing to know.
    passes(slug, |case| case.profile().segments.clear());
}

#[test]
fn the_flame_outlasts_the_hydrogen() {
    use EventKind::{BurnOffOff, HydrogenOff};
    let slug = "flame-off-before-hydrogen-off";
    let order = |kinds: Vec<EventKind>| {
        in_hydrogen(move |case| {
            case.profile().segments[6].events.clear();
            events(case, 6, EventAt::Start, &kinds);
        })
    };
    let purge = || EventKind::PurgeInert { volumes: 10.0 };
    found(slug, Stop, order(vec![BurnOffOff, HydrogenOff, purge()]));
    passes(slug, order(vec![HydrogenOff, BurnOffOff, purge()]));
    passes(slug, |_| {});
    not_evaluated(slug, "gas record", |case| {
        case.profile().segments[2].gas = Some("none".to_owned());
    });
}

#[test]
fn a_purge_comes_before_the_hydrogen() {
    let slug = "purge-after-hydrogen-on";
    let late = |kind: EventKind| in_hydrogen(move |case| events(case, 0, EventAt::Start, &[kind]));
    found(slug, Stop, late(EventKind::PurgeInert { volumes: 5.0 }));
    found(slug, Stop, late(pump()));
    passes(slug, in_hydrogen(|_| {}));
    passes(slug, |_| {});
    not_evaluated(slug, "gas record", |case| {
        case.profile().segments[2].gas = Some("none".to_owned());
    });
}

#[test]
fn gas_is_kept_for_a_purge() {
    let slug = "purge-reserve-short";
    // 5 volumes of 60 L are 0.3 m³.
    let kept = |m3: f64| {
        in_hydrogen(move |case| {
            for gas in &mut case.state().gases {
                gas.reserve_m3_25c = m3;
            }
        })
    };
    measured(slug, Stop, "4.8", kept(0.29));
    passes(slug, kept(0.3));
    // No more can be kept back than is there.
    measured(
        slug,
        Stop,
        "1.7",
        in_hydrogen(|case| {
            for gas in &mut case.state().gases {
                (gas.m3_25c, gas.reserve_m3_25c) = (0.1, 5.0);
            }
        }),
    );
    // Without fuel there is nothing to drive out.
    passes(slug, |case| case.shop = None);
    not_evaluated(
        slug,
        "state of the furnace",
        in_hydrogen(|case| case.shop = None),
    );
    not_evaluated(
        slug,
        "how much of the gas",
        in_hydrogen(|case| {
            case.state().gases.retain(|g| g.gas == "hydrogen");
        }),
    );
}

#[test]
fn air_comes_to_a_zone_that_has_cooled() {
    let slug = "air-on-hot-zone";
    let unload = |c: f64, lining: Lining| {
        move |case: &mut Case| {
            case.profile().unload_c = c;
            case.furnace().lining = lining;
        }
    };
    measured(slug, Stop, "201 °C", unload(201.0, Lining::Molybdenum));
    passes(slug, unload(200.0, Lining::Molybdenum));
    measured(slug, Stop, "401 °C", unload(401.0, Lining::Graphite));
    passes(slug, unload(400.0, Lining::Graphite));
    passes(slug, unload(900.0, Lining::CeramicFibre));
    measured(slug, Stop, "1360 °C", |case| {
        events(case, 4, EventAt::End, &[EventKind::Unload]);
    });
    not_evaluated(slug, "furnace record", |case| {
        case.plan.load.furnace = "none".to_owned();
    });
    not_evaluated(slug, "air-graphite-max", |case| {
        let limits = &mut case.catalogue_mut().limits;
        limits.retain(|l| l.id != "air-graphite-max");
    });
}

#[test]
fn titanium_burns() {
    found("titanium-dust", Caution, |case| *case = titanium());
    passes("titanium-dust", |_| {});
    not_evaluated("titanium-dust", "feedstock", |case| {
        case.part().feedstock = "none".to_owned();
    });
}
