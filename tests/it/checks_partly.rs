//! Checks that looked at part of what they name: supports, hydrogen that only an event or a
//! backfill brings, coupons and rafts; and that every limit is read.

use crate::fixture::{Case, PART, clean, found, not_evaluated, passes};
use setterwright::catalogue::Severity::Stop;
use setterwright::catalogue::builtin;
use setterwright::load::Item;
use setterwright::profile::{Event, EventAt, EventKind};
use setterwright::review::all_checks;
use std::collections::BTreeSet;

#[test]
fn supports_have_no_rated_temperature() {
    let slug = "setter-temperature";
    let on = |support: &'static str| {
        move |case: &mut Case| case.bracket().support = Some(support.to_owned())
    };
    not_evaluated(slug, "the rated temperature of", on("alumina-powder-1"));
    not_evaluated(slug, "the support record", on("none"));
    // A raft is the part's own feedstock.
    passes(slug, on("own-feedstock-raft-2"));
}

#[test]
fn silica_sees_hydrogen_however_it_comes() {
    let slug = "silica-in-dry-hydrogen";
    let mullite = |case: &mut Case| case.level(0).setter = "mullite-square-200x8".to_owned();
    let event = |case: &mut Case, segment: usize, at, kind| {
        let events = &mut case.profile().segments[segment].events;
        events.push(Event { at, kind });
    };
    passes(slug, mullite);
    found(slug, Stop, |case| {
        mullite(case);
        event(case, 3, EventAt::Start, EventKind::HydrogenOn);
    });
    passes(slug, |case| {
        mullite(case);
        event(case, 3, EventAt::Start, EventKind::HydrogenOn);
        event(case, 3, EventAt::End, EventKind::HydrogenOff);
    });
    let fill = |gas: &str| EventKind::Backfill {
        gas: gas.to_owned(),
        to_mbar: 900.0,
    };
    found(slug, Stop, |case| {
        mullite(case);
        event(case, 4, EventAt::End, fill("hydrogen"));
    });
    not_evaluated(slug, "the gas record none", |case| {
        mullite(case);
        event(case, 4, EventAt::End, fill("none"));
    });
}

#[test]
fn no_lot_speaks_for_coupons_and_rafts() {
    let slug = "solvent-on-parts";
    not_evaluated(slug, "coupons of Bracket", |case| {
        let label = "K1".to_owned();
        case.put(0, Item::Coupon { part: PART, label }, [0.0, 60.0]);
    });
    not_evaluated(slug, "rafts under Bracket", |case| {
        case.bracket().support = Some("own-feedstock-raft-2".to_owned());
    });
    passes(slug, |_| {});
}

#[test]
fn every_limit_is_read_by_a_check() {
    // No check, but the search for a shorter program keeps this one.
    let kept = std::iter::once(setterwright::document::shorten::HOLD_MARGIN);
    let read = all_checks().flat_map(|c| c.limits.iter().copied());
    let read: BTreeSet<&str> = read.chain(kept).collect();
    let (catalogue, _) = builtin().unwrap();
    let listed: BTreeSet<&str> = catalogue.limits.iter().map(|l| l.id.as_str()).collect();
    let unread: Vec<_> = listed.iter().filter(|id| !read.contains(*id)).collect();
    assert!(unread.is_empty(), "no check reads {unread:?}");
    let unlisted: Vec<_> = read.difference(&listed).collect();
    assert!(unlisted.is_empty(), "nobody lists {unlisted:?}");
    assert_eq!(clean().review().missing, Vec::new());
}
