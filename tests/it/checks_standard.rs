//! A load against the standard that it began from: tripped, just inside, and without it.

use crate::fixture::{Case, clean, found, measured, not_evaluated, passes};
use setterwright::catalogue::Severity::{Caution, Note};
use setterwright::files;
use std::sync::Arc;

/// The load as begun from a standard that is the same in every way.
pub fn begun(case: &mut Case) {
    case.standard = Some(files::as_standard(&case.plan, "Brackets, two plates"));
    case.plan.begun_from = Some("Brackets.load.ron".to_owned());
}

fn of_the_standard(spoil: impl FnOnce(&mut Case)) -> impl FnOnce(&mut Case) {
    move |case| {
        begun(case);
        spoil(case);
    }
}

fn gone(case: &mut Case) {
    begun(case);
    case.standard = None;
}

const ALL: [&str; 4] = [
    "differs-from-standard",
    "moved-since-standard",
    "lighter-than-standard",
    "heavier-than-standard",
];

#[test]
fn a_load_as_its_standard_is_differs_in_nothing() {
    for slug in ALL {
        passes(slug, of_the_standard(|_| {}));
        // Begun from nothing, and nothing to compare it with.
        passes(slug, |_| {});
        not_evaluated(slug, "the standard load Brackets.load.ron", gone);
    }
}

#[test]
fn what_is_filled_in_anew_is_no_difference() {
    for slug in ALL {
        passes(
            slug,
            of_the_standard(|case| {
                case.lot().name = "B7".to_owned();
                case.plan.planned_start = Some("2026-11-25".to_owned());
                case.plan.title = "Wednesday".to_owned();
                case.bracket().locked = true;
            }),
        );
    }
}

#[test]
fn heat_and_places_are_told_in_words() {
    let hotter = of_the_standard(|case| case.profile().segments[4].to_c = 1361.0);
    let finding = found("differs-from-standard", Caution, hotter);
    let what = finding.args.iter().find(|(name, _)| *name == "what");
    let what = what.unwrap().1.to_string();
    assert!(what.contains("1361"), "{what}");
    let moved = |case: &mut Case| case.bracket().at_mm[0] -= 1.0;
    found("moved-since-standard", Note, of_the_standard(moved));
    passes("differs-from-standard", of_the_standard(moved));
    // Where the graver speaks the milder is silent, and the graver tells all.
    let both = move |case: &mut Case| {
        moved(case);
        case.profile().segments[4].to_c = 1361.0;
    };
    passes("moved-since-standard", of_the_standard(both));
    let finding = found("differs-from-standard", Caution, of_the_standard(both));
    let count = finding.args.iter().find(|(name, _)| *name == "count");
    assert_eq!(count.unwrap().1.to_string(), "2");
}

#[test]
fn many_differences_are_counted() {
    let finding = found(
        "differs-from-standard",
        Caution,
        of_the_standard(|case| {
            for segment in &mut case.profile().segments {
                segment.hold_min += 1.0;
            }
        }),
    );
    let what = finding.args.iter().find(|(name, _)| *name == "what");
    let what = what.unwrap().1.to_string();
    assert!(what.ends_with("; and 2 more"), "{what}");
}

/// 24 brackets; `left` of them stay.
fn left(left: usize) -> impl FnOnce(&mut Case) {
    of_the_standard(move |case| {
        let top = case.level(1);
        let tip = top.placements.pop().unwrap();
        top.placements.truncate(left - 12);
        top.placements.push(tip);
    })
}

/// As many more on the lower plate; places do not matter here.
fn more(more: usize) -> impl FnOnce(&mut Case) {
    of_the_standard(move |case| {
        let item = case.bracket().item.clone();
        for _ in 0..more {
            case.put(0, item.clone(), [80.0, 0.0]);
        }
    })
}

#[test]
fn charges_of_another_mass() {
    // 19 of 24 are 79 %, 20 are 83 %; 27 are 112 %, 26 are 108 %.
    measured("lighter-than-standard", Caution, "79 %", left(19));
    passes("lighter-than-standard", left(20));
    measured("heavier-than-standard", Caution, "112 %", more(3));
    passes("heavier-than-standard", more(2));
    for slug in ["lighter-than-standard", "heavier-than-standard"] {
        not_evaluated(
            slug,
            "the green mass of all parts",
            of_the_standard(|case| case.part().feedstock = "no-such".to_owned()),
        );
        // A standard with nothing in it weighs nothing.
        not_evaluated(
            slug,
            "the green mass of all parts",
            of_the_standard(|case| {
                let standard = case.standard.as_mut().unwrap();
                for level in &mut standard.load.stacks[0].levels {
                    Arc::make_mut(level).placements.clear();
                }
            }),
        );
    }
    // Where the shop states for which charge it was tried, that holds.
    passes("lighter-than-standard", |case: &mut Case| {
        left(13)(case);
        case.plan.validated_kg = Some([0.1, 1.0]);
    });
}

#[test]
fn the_standard_is_found_in_the_shop_folder() {
    let dir = tempfile::tempdir().unwrap();
    let case = clean();
    let folder = files::read_shop_folder(dir.path()).unwrap();
    let working = files::working(&case.plan, Some(&folder)).unwrap();
    let path = files::save_standard(dir.path(), &case.plan, &working, "Brackets").unwrap();
    let mut plan = case.plan.clone();
    assert_eq!(files::working(&plan, Some(&folder)).unwrap().standard, None);
    let name = path.file_name().unwrap().to_string_lossy().into_owned();
    plan.begun_from = Some(name);
    let standard = files::working(&plan, Some(&folder)).unwrap().standard;
    assert_eq!(standard.unwrap().title, "Brackets");
    plan.begun_from = Some("gone.load.ron".to_owned());
    assert_eq!(files::working(&plan, Some(&folder)).unwrap().standard, None);
}
