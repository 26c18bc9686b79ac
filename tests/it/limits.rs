//! Whose limit holds for a single thing in a load, and what an acceptance of it is bound to.
//!
//! The bracket is the one of `checks_geometry`: 23.554 mm green, 1.01674 times that before it
//! shrinks, on a plate that grows by 1.0075051 meanwhile.

use crate::fixture::{Case, clean, found, not_evaluated, passes};
use setterwright::catalogue::LimitScope;
use setterwright::catalogue::Severity::{Caution, Stop};
use setterwright::load::{Acceptance, Item};
use setterwright::part::Shape;
use setterwright::review::{Finding, Subject, limit_to_accept};

const CUSTOMER: &str = "Customer B";

fn at(x: f64) -> impl Fn(&mut Case) {
    move |case| case.bracket().at_mm = [x, -40.0]
}

/// The starting limit again with another value, for one owner.
fn scoped(case: &mut Case, id: &str, scope: LimitScope, value: f64) {
    let mut limit = case.limit(id).clone();
    (limit.scope, limit.value) = (scope, value);
    case.catalogue_mut().limits.push(limit);
}

fn feedstock() -> LimitScope {
    LimitScope::Feedstock("316l-wax".to_owned())
}

fn alloy() -> LimitScope {
    LimitScope::Alloy("316l".to_owned())
}

fn customer() -> LimitScope {
    LimitScope::Customer(CUSTOMER.to_owned())
}

fn high(case: &mut Case, height_mm: f64) {
    case.shape(Shape::Block {
        width_mm: 20.0,
        depth_mm: 15.0,
        height_mm,
    });
}

/// 24.3056·1.0075051 − 23.554·1.01674 = 0.54: beyond 0.5 mm, within twice 0.3 mm.
#[test]
fn without_the_placing_tolerance_a_gap_is_not_passed() {
    let near = at(-44.3056);
    let finding = found("gap-too-small", Caution, &near);
    assert_eq!(finding.limit.unwrap().value, 0.6);
    let tolerance = "the placing tolerance of the shop";
    not_evaluated("gap-too-small", tolerance, |case| {
        near(case);
        case.shop = None;
    });
    not_evaluated("part-near-post", tolerance, |case| case.shop = None);

    // What is known still holds.
    let mut case = clean();
    at(-44.1)(&mut case);
    case.shop = None;
    let (findings, missing) = case.says("gap-too-small");
    assert_eq!(findings[0].limit.as_ref().unwrap().value, 0.5);
    assert_eq!(missing.len(), 1);
    assert_eq!(missing[0].subjects, [Subject::Load]);
}

/// 25·1.0075051 − 23.554·1.01674 = 1.24.
#[test]
fn a_gap_limit_of_a_feedstock_an_alloy_or_a_customer() {
    passes("gap-too-small", at(-45.0));
    for scope in [feedstock(), alloy(), customer()] {
        let finding = found("gap-too-small", Caution, |case| {
            at(-45.0)(case);
            case.lot().customer = Some(CUSTOMER.to_owned());
            scoped(case, "gap-min", scope.clone(), 2.0);
        });
        assert_eq!(finding.limit.unwrap().scope, scope);
    }
    for scope in [
        LimitScope::Feedstock("17-4ph-wax".to_owned()),
        LimitScope::Alloy("17-4ph".to_owned()),
        customer(),
    ] {
        passes("gap-too-small", |case| {
            at(-45.0)(case);
            scoped(case, "gap-min", scope, 2.0);
        });
    }
    // 24.1·1.0075051 − 23.9483 = 0.33, which this customer takes.
    passes("gap-too-small", |case| {
        at(-44.1)(case);
        case.lot().customer = Some(CUSTOMER.to_owned());
        scoped(case, "gap-min", customer(), 0.2);
        scoped(case, "placing-tolerance-factor", customer(), 1.0);
    });
}

#[test]
fn of_two_things_the_stricter_limit_holds() {
    let without_lot = |case: &mut Case| {
        at(-45.0)(case);
        case.lot().customer = Some(CUSTOMER.to_owned());
        if let Item::Part { lot, .. } = &mut case.bracket().item {
            *lot = None;
        }
    };
    let finding = found("gap-too-small", Caution, |case| {
        without_lot(case);
        scoped(case, "gap-min", customer(), 2.0);
    });
    assert_eq!(finding.limit.unwrap().scope, customer());
    // Looser for the one is not looser for the other.
    let finding = found("gap-too-small", Caution, |case| {
        without_lot(case);
        scoped(case, "gap-min", LimitScope::Shop, 2.0);
        scoped(case, "gap-min", customer(), 0.1);
    });
    assert_eq!(finding.limit.unwrap().scope, LimitScope::Shop);
}

#[test]
fn edges_rooms_and_posts_go_by_the_owner_too() {
    // (100 − 85)·1.0075051 − 11.777·1.01674 = 3.14.
    passes("part-near-setter-edge", at(-85.0));
    found("part-near-setter-edge", Stop, |case| {
        at(-85.0)(case);
        case.lot().customer = Some(CUSTOMER.to_owned());
        scoped(case, "edge-margin", customer(), 4.0);
    });
    // 40·1.0075051 − 34·1.01674 = 5.73.
    found("head-room-low", Caution, |case| {
        high(case, 34.0);
        scoped(case, "head-room-min", alloy(), 6.0);
    });
    found("part-near-post", Caution, |case| {
        case.bracket().at_mm = [-80.0, -64.3];
        scoped(case, "gap-min", feedstock(), 2.0);
    });
    // A dummy mass is nobody's: the shop's limit holds for it, the feedstock's does not.
    let dummy = |scope: LimitScope| {
        move |case: &mut Case| {
            let shape = Shape::Block {
                width_mm: 10.0,
                depth_mm: 10.0,
                height_mm: 10.0,
            };
            let item = Item::Dummy {
                shape,
                mass_g: 5.0,
                material: "alumina-995".to_owned(),
            };
            case.put(0, item, [0.0, 91.0]);
            scoped(case, "edge-margin", scope, 6.0);
        }
    };
    passes("part-near-setter-edge", dummy(feedstock()));
    found("part-near-setter-edge", Stop, dummy(LimitScope::Shop));
}

#[test]
fn things_on_one_level_under_two_limits_are_two_findings() {
    let mut case = clean();
    case.lot().customer = Some(CUSTOMER.to_owned());
    for i in [0, 4] {
        case.level(0).placements[i].at_mm[0] = -86.0;
    }
    if let Item::Part { lot, .. } = &mut case.bracket().item {
        *lot = None;
    }
    scoped(&mut case, "edge-margin", customer(), 4.0);
    let (findings, _) = case.says("part-near-setter-edge");
    let held = |f: &Finding| (f.subjects.len(), f.limit.as_ref().map(|l| l.value));
    let mut held: Vec<_> = findings.iter().map(held).collect();
    held.sort_by_key(|(_, limit)| limit.map(f64::to_bits));
    assert_eq!(held, [(1, Some(3.0)), (1, Some(4.0))]);
}

#[test]
fn a_limit_of_a_part_goes_by_the_customer_of_its_lots() {
    passes("section-thick", |case| high(case, 6.0));
    found("section-thick", Caution, |case| {
        high(case, 6.0);
        case.lot().customer = Some(CUSTOMER.to_owned());
        scoped(case, "section-caution", customer(), 5.0);
    });
}

#[test]
fn an_acceptance_lapses_with_the_placing_tolerance() {
    let mut case = clean();
    at(-44.1)(&mut case);
    let finding = |case: &Case| case.says("gap-too-small").0[0].clone();
    let one = finding(&case);
    case.plan.acceptances.push(Acceptance {
        check: one.check.to_owned(),
        subjects: one.subjects.iter().map(Subject::key).collect(),
        limit: one.limit.as_ref().map(limit_to_accept),
        value: one.value_to_accept(),
        by: "engineer".to_owned(),
        reason: "test".to_owned(),
        on: "2026-11-24".to_owned(),
        ..Acceptance::default()
    });
    assert!(finding(&case).accepted.is_some());
    case.shop_mut().placing_tolerance_mm = 0.6;
    let now = finding(&case);
    assert_eq!(now.value_to_accept(), one.value_to_accept());
    assert_eq!(now.accepted, None);
    case.shop_mut().placing_tolerance_mm = 0.3;
    assert!(finding(&case).accepted.is_some());
    // The starting limit is another limit than the one accepted.
    case.shop = None;
    assert_eq!(finding(&case).accepted, None);
}
