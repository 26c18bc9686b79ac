//! Fixes: a clean load spoilt one way, the fix that is offered applied, the finding gone, and one
//! undo restores byte for byte.

use crate::cli::{demo, json, run};
use crate::fixture::{Case, LOT, PART, clean};
use crate::window::bench::{Bench, plain};
use setterwright::catalogue::{Severity, Stock};
use setterwright::document::{Change, History};
use setterwright::files::canonical;
use setterwright::load::{Carrier, Edit};
use setterwright::part::{MassState, Shape};
use setterwright::profile::RampBy;
use setterwright::review::{
    Finding, Fix, FixKind, Fixer, Given, Offer, Subject, all_checks, check_by_slug, left_to_people,
};
use std::sync::Arc;
use std::time::Duration;

/// As typed: no accents of the pseudo-locale, plain spaces.
fn said(text: &str) -> String {
    plain(text).replace('\u{a0}', " ")
}

fn given(case: &Case) -> Given<'_> {
    Given {
        plan: &case.plan,
        catalogue: &case.catalogue,
        shop: case.shop.as_deref(),
        differences: &case.differences,
        standard: None,
        forecast: None,
    }
}

fn spoilt(spoil: impl FnOnce(&mut Case)) -> Case {
    let mut case = clean();
    spoil(&mut case);
    case
}

fn offer(case: &Case, slug: &str) -> (Finding, Offer) {
    let review = case.review();
    let finding = review.findings.iter().find(|f| f.check == slug);
    let finding = finding.unwrap_or_else(|| {
        let slugs: Vec<_> = review.findings.iter().map(|f| f.check).collect();
        panic!("{slug} found nothing: {slugs:?}")
    });
    let offer = Fixer::new(&given(case), &review).offer(finding);
    (finding.clone(), offer)
}

/// The fix of a kind for what a check finds, after it was held against all that it promises.
fn mends(slug: &str, kind: FixKind, spoil: impl FnOnce(&mut Case)) -> Fix {
    let case = spoilt(spoil);
    let (finding, offer) = offer(&case, slug);
    let fix = offer.fixes().iter().find(|f| f.kind == kind);
    let fix = fix.unwrap_or_else(|| panic!("{slug}: {offer:?}")).clone();
    let mut history = History::new(case.plan.clone());
    let before = canonical(history.plan()).unwrap();
    let applied = history.apply(&fix.edit, &case.catalogue, Duration::ZERO);
    assert_eq!(applied.unwrap().change, Change::Step, "{slug}");
    assert_eq!(history.undo_label(), Some(fix.label().as_str()));
    let mended = Case {
        plan: Arc::unwrap_or_clone(Arc::clone(history.plan())),
        ..case.clone()
    };
    let (was, now) = (case.review(), mended.review());
    let same = |a: &Finding, b: &Finding| a.check == b.check && a.subjects == b.subjects;
    assert!(
        !now.findings.iter().any(|f| same(f, &finding)),
        "{slug} is not gone"
    );
    // What it says besides is what two reviews differ in.
    let new: Vec<&Finding> = now
        .findings
        .iter()
        .filter(|f| !was.findings.iter().any(|g| same(f, g)))
        .collect();
    assert_eq!(
        new.len(),
        fix.also.new.values().sum::<usize>(),
        "{slug}: {new:?}"
    );
    let stop = |f: &&&Finding| f.severity == Severity::Stop && f.check != "lot-count-mismatch";
    assert_eq!(new.iter().filter(stop).count(), 0, "{slug}: {new:?}");
    assert!(!fix.also.shown().is_empty());
    assert!(history.undo());
    assert_eq!(canonical(history.plan()).unwrap(), before, "{slug}");
    // The same again: nothing is left to chance.
    let again = Fixer::new(&given(&case), &was).offer(&finding);
    assert_eq!(again, offer, "{slug}");
    fix
}

/// Why nothing is offered.
#[track_caller]
fn nothing(slug: &str, words: &str, spoil: impl FnOnce(&mut Case)) {
    match offer(&spoilt(spoil), slug).1 {
        Offer::Nothing(why) => assert!(why.contains(words), "{slug}: {why}"),
        Offer::Fixes(fixes) => panic!("{slug}: {fixes:?}"),
    }
}

fn at(index: usize, at_mm: [f64; 2]) -> impl FnOnce(&mut Case) {
    move |case| case.level(0).placements[index].at_mm = at_mm
}

/// The bracket is 23.55 mm wide when green, and its neighbour stands at −20.
#[test]
fn moves_apart() {
    let fix = mends("parts-touching", FixKind::MoveApart, at(0, [-40.0, -40.0]));
    assert!(fix.label().starts_with("Move apart by "), "{}", fix.label());
    let small = mends("gap-too-small", FixKind::MoveApart, at(0, [-43.8, -40.0]));
    // Green 0.25 mm are there, hot next to nothing, and 0.6 are wanted: no more is moved.
    let by = said(&small.label());
    assert!(
        ["0.5 mm", "0.6 mm", "0.7 mm"]
            .iter()
            .any(|mm| by.ends_with(mm)),
        "{by}"
    );
    let lock = |case: &mut Case, n: usize| {
        at(0, [-40.0, -40.0])(case);
        for placement in &mut case.level(0).placements[..n] {
            placement.locked = true;
        }
    };
    // The one that is not locked is moved.
    let other = mends("parts-touching", FixKind::MoveApart, |case| lock(case, 1));
    let Edit::Several { edits, .. } = &other.edit else {
        panic!("{other:?}")
    };
    let Edit::MovePlacements(moves) = &edits[0] else {
        panic!("{edits:?}")
    };
    assert_eq!(moves[0].id, clean().level(0).placements[1].id);
    nothing("parts-touching", "locked", |case| lock(case, 2));
}

#[test]
fn moves_off_edges_and_posts() {
    mends(
        "part-over-setter-edge",
        FixKind::MoveApart,
        at(0, [-90.0, -40.0]),
    );
    mends(
        "part-near-setter-edge",
        FixKind::MoveApart,
        at(0, [-86.5, -40.0]),
    );
    mends("part-near-post", FixKind::MoveApart, at(0, [-62.0, -80.0]));
    nothing("part-over-setter-edge", "locked", |case| {
        at(0, [-90.0, -40.0])(case);
        case.bracket().locked = true;
    });
}

fn low_posts(case: &mut Case) {
    case.shape(Shape::Block {
        width_mm: 20.0,
        depth_mm: 15.0,
        height_mm: 16.5,
    });
    if let Carrier::Posts { post, .. } = &mut case.level(1).carrier {
        *post = "alumina-post-12x15".to_owned();
    }
}

#[test]
fn longer_posts() {
    // 16.5 mm drawn green under a setter at 15: 20 leave 3.5, of 5 wanted, and 25 leave 8.5.
    let fix = mends("part-touches-setter-above", FixKind::LongerPost, low_posts);
    assert!(
        said(&fix.label()).starts_with("Posts of 25 mm"),
        "{}",
        fix.label()
    );
    let stock = |case: &mut Case| {
        low_posts(case);
        case.shop_mut().stock.clear();
    };
    let case = spoilt(stock);
    let (_, offer) = offer(&case, "part-touches-setter-above");
    assert!(
        offer.fixes().iter().all(|f| f.kind == FixKind::Remove),
        "{offer:?}"
    );
}

/// A second plate of the same size, in stock.
fn other_plate(case: &mut Case, count: u32) {
    let catalogue = case.catalogue_mut();
    let (origin, plate) = catalogue.setters["alumina-square-200x6"].clone();
    let mut other = (*plate).clone();
    other.id = "alumina-square-200x7".to_owned();
    other.thickness_mm = 7.0;
    other.rated_c += 100.0;
    catalogue
        .setters
        .insert(other.id.clone(), (origin, Arc::new(other)));
    let id = "alumina-square-200x7".to_owned();
    case.shop_mut()
        .stock
        .retain(|s| !s.id.contains("square-200x") || s.id.ends_with("200x6"));
    case.shop_mut().stock.push(Stock { id, count });
}

fn plate(case: &mut Case, change: impl FnOnce(&mut setterwright::catalogue::Setter)) {
    let catalogue = case.catalogue_mut();
    let (_, plate) = catalogue.setters.get_mut("alumina-square-200x6").unwrap();
    change(Arc::make_mut(plate));
}

#[test]
fn another_setter() {
    mends("setter-temperature", FixKind::AnotherSetter, |case| {
        other_plate(case, 2);
        plate(case, |p| p.rated_c = 1300.0);
    });
    mends("mass-over-setter-rating", FixKind::AnotherSetter, |case| {
        other_plate(case, 2);
        plate(case, |p| p.rated_load_kg = 0.01);
    });
    mends("setter-material-refused", FixKind::AnotherSetter, |case| {
        other_plate(case, 2);
        plate(case, |p| p.face_material = Some("mullite".to_owned()));
    });
    nothing("setter-temperature", "stock", |case| {
        other_plate(case, 1);
        let shop = case.shop_mut();
        shop.stock.retain(|s| s.id.starts_with("alumina-"));
        plate(case, |p| p.rated_c = 1300.0);
    });
}

#[test]
fn into_the_work_zone() {
    mends("part-outside-work-zone", FixKind::IntoWorkZone, |case| {
        case.plan.load.stacks[0].at_mm = [75.0, 0.0];
        for level in 0..2 {
            for placement in &mut case.level(level).placements {
                if placement.at_mm[0] == 60.0 {
                    placement.at_mm[0] = 66.0;
                }
            }
        }
    });
}

/// Brackets at the edge of some levels, 3 mm out of the work zone.
fn out_of_the_zone(levels: &'static [usize]) -> impl FnOnce(&mut Case) {
    move |case| {
        case.plan.load.stacks[0].at_mm = [75.0, 0.0];
        for level in levels {
            for placement in &mut case.level(*level).placements {
                if placement.at_mm[0] == 60.0 {
                    placement.at_mm[0] = 66.0;
                }
            }
        }
    }
}

#[test]
fn to_free_places_on_another_level() {
    let slug = "part-outside-work-zone";
    let fix = mends(slug, FixKind::AnotherLevel, out_of_the_zone(&[0]));
    let label = said(&fix.label());
    assert_eq!(label, "Move 3 pieces to free places on level 2");
    let offered = |spoil: &dyn Fn(&mut Case)| {
        let fixes = offer(&spoilt(spoil), slug).1.fixes().to_vec();
        fixes.iter().any(|f| f.kind == FixKind::AnotherLevel)
    };
    assert!(offered(&|case| out_of_the_zone(&[0])(case)));
    // Pieces of both levels are out: there is no other.
    assert!(!offered(&|case| out_of_the_zone(&[0, 1])(case)));
    assert!(!offered(&|case| {
        out_of_the_zone(&[0])(case);
        case.level(0).placements[3].locked = true;
    }));
    // No room: a dummy over all of the other level.
    assert!(!offered(&|case| {
        out_of_the_zone(&[0])(case);
        let shape = Shape::Block {
            width_mm: 190.0,
            depth_mm: 190.0,
            height_mm: 5.0,
        };
        let material = case.catalogue.materials.keys().next().unwrap().clone();
        let item = setterwright::load::Item::Dummy {
            shape,
            mass_g: 100.0,
            material,
        };
        case.level(1).placements.clear();
        case.put(1, item, [0.0, 0.0]);
    }));
}

/// Low posts under the second level and under an empty third.
fn low_posts_twice(case: &mut Case) {
    low_posts(case);
    let mut third = case.level(1).clone();
    third.id = setterwright::load::LevelId(6);
    third.placements.clear();
    case.plan.load.stacks[0].levels.push(Arc::new(third));
}

#[test]
fn longer_posts_under_all_levels_at_once() {
    let slug = "part-touches-setter-above";
    let case = spoilt(low_posts_twice);
    let (_, offer) = offer(&case, slug);
    let several = |f: &&Fix| said(&f.label()).contains("under 2 levels");
    let fix = offer.fixes().iter().find(several);
    let fix = fix.unwrap_or_else(|| panic!("{offer:?}"));
    assert_eq!(
        said(&fix.label()),
        "Longer posts under 2 levels: 25 mm, 25 mm"
    );
    let plan = fix.edit.apply(&case.plan, &case.catalogue).unwrap();
    let after = Case {
        plan,
        ..case.clone()
    }
    .review()
    .findings;
    let short = ["part-touches-setter-above", "head-room-low"];
    assert!(after.iter().all(|f| !short.contains(&f.check)));
    // One level alone has its own button and no other.
    let single = spoilt(low_posts);
    let fixes = self::offer(&single, slug).1;
    assert!(!fixes.fixes().iter().any(|f| several(&f)), "{fixes:?}");
    // Not enough posts for both.
    let scarce = spoilt(|case| {
        low_posts_twice(case);
        for stock in &mut case.shop_mut().stock {
            if stock.id.starts_with("alumina-post-12x") && !stock.id.ends_with("x15") {
                stock.count = stock.count.min(7);
            }
        }
        case.shop_mut().stock.retain(|s| {
            !s.id.starts_with("alumina-post-12x") || s.count > 7 || s.id.ends_with("x25")
        });
    });
    let fixes = self::offer(&scarce, slug).1;
    assert!(!fixes.fixes().iter().any(|f| several(&f)), "{fixes:?}");
}

fn ramp(index: usize, k_min: f64) -> impl FnOnce(&mut Case) {
    move |case| case.profile().segments[index].ramp = RampBy::Rate { k_min }
}

#[test]
fn ramps() {
    // The debind range begins at 150 °C, in the first ramp.
    let slug = "ramp-too-fast-for-section";
    let split = mends(slug, FixKind::SplitRamp, ramp(0, 1.4));
    assert!(said(&split.label()).contains("150 °C"), "{}", split.label());
    let slow = mends(slug, FixKind::SlowRamp, ramp(0, 1.4));
    assert!(slow.also.minutes.unwrap() > split.also.minutes.unwrap());
    mends(
        "ramp-far-too-fast-for-section",
        FixKind::SplitRamp,
        ramp(0, 4.0),
    );
    mends("densifying-ramp-too-fast", FixKind::SlowRamp, ramp(4, 12.0));
    mends("full-rate-in-debind-range", FixKind::SplitRamp, |case| {
        case.profile().segments[0].ramp = RampBy::FullRate;
    });
    mends("full-rate-in-debind-range", FixKind::SlowRamp, |case| {
        case.profile().segments[1].ramp = RampBy::FullRate;
    });
}

#[test]
fn holds_and_round_numbers() {
    let fix = mends("sinter-hold-short", FixKind::LongerHold, |case| {
        case.profile().segments[4].hold_min = 45.5;
    });
    assert!((fix.also.minutes.unwrap() - 14.5).abs() < 1e-9);
    nothing("sinter-hold-short", "controller takes", |case| {
        case.profile().segments[4].hold_min = 45.0;
        case.furnace().controller.hold_max_min = 59.0;
    });
    mends("target-not-typable", FixKind::Round, |case| {
        case.profile().segments[1].to_c = 450.4;
    });
    mends("rate-not-typable", FixKind::Round, ramp(1, 0.93));
    mends("hold-not-typable", FixKind::Round, |case| {
        case.profile().segments[1].hold_min = 90.3;
    });
}

#[test]
fn out_of_the_load() {
    let fix = mends("parts-touching", FixKind::Remove, at(0, [-40.0, -40.0]));
    assert!(fix.also.mass_g < 0.0);
    assert_eq!(fix.also.new.get("lot-count-mismatch"), Some(&1));
    // Not what is locked.
    let case = spoilt(|case| {
        at(0, [-40.0, -40.0])(case);
        for placement in &mut case.level(0).placements {
            placement.locked = true;
        }
    });
    assert_eq!(offer(&case, "parts-touching").1.fixes(), []);
}

/// Purge, hydrogen, oxygen, unloading, over-temperature and solvent are for people: whatever a
/// finding of such a check is about, nothing is offered.
#[test]
fn a_safety_finding_never_has_a_button() {
    let case = clean();
    let review = case.review();
    let given = given(&case);
    let fixer = Fixer::new(&given, &review);
    let words = [
        "purge",
        "oxygen",
        "unload",
        "over-temperature",
        "solvent",
        "hydrogen",
    ];
    let mut left = 0;
    for check in all_checks() {
        let placement = case.plan.placements().next().unwrap().1.id;
        let subjects = [
            vec![Subject::Placement(placement)],
            vec![Subject::Lot(LOT)],
            vec![
                Subject::Part(PART),
                Subject::Segment(case.plan.profile.segments[1].id),
            ],
        ];
        let named = words.iter().any(|w| check.slug.contains(w));
        // The one about a setter's material, where the fix is another setter.
        let people = check.safety || named && check.slug != "silica-in-dry-hydrogen";
        assert!(!people || left_to_people(check), "{}", check.slug);
        left += usize::from(left_to_people(check));
        // Some checks find what is a matter of safety only at times.
        let flags = if left_to_people(check) {
            &[true, false][..]
        } else {
            &[true]
        };
        for (subjects, safety) in subjects
            .iter()
            .flat_map(|s| flags.iter().map(move |f| (s, *f)))
        {
            let finding = Finding {
                check: check.slug,
                family: check.family,
                severity: check.severity,
                subjects: subjects.clone(),
                measured: None,
                beside: None,
                limit: None,
                args: Vec::new(),
                safety,
                accepted: None,
                lapsed: None,
                done_under: None,
            };
            let offer = fixer.offer(&finding);
            let why = matches!(&offer, Offer::Nothing(why) if why.contains("written procedure"));
            assert!(why, "{}: {offer:?}", check.slug);
        }
    }
    assert!(left >= all_checks().filter(|c| c.safety).count());
    assert!(check_by_slug("silica-in-dry-hydrogen").is_some());
    // And a real one, with a lot in it.
    nothing("solvent-on-parts", "written procedure", |case| {
        case.lot().enters = MassState::Brown;
        case.lot().dried_min = None;
        case.lot().previous_dry_g = Some(1e4);
    });
}

#[test]
fn the_command_line_lists_them_and_writes_nothing() {
    let file = demo("stop.load.ron");
    let bytes = std::fs::read(&file).unwrap();
    let ran = run(&["review", &file, "--fixes"]);
    assert_eq!(ran.code, 1);
    assert!(
        said(&ran.out).contains("Can: Move apart by "),
        "{}",
        ran.out
    );
    assert!(!run(&["review", &file]).out.contains("Can: "));
    let out = json(&run(&["review", &file, "--fixes", "--json"]));
    let findings = out["findings"].as_array().unwrap();
    let touching = findings
        .iter()
        .find(|f| f["check"] == "parts-touching")
        .unwrap();
    let fix = &touching["fixes"][0];
    assert_eq!(fix["kind"], "move-apart");
    assert_eq!(fix["longer_min"], 0.0);
    let without = findings.iter().filter(|f| f["no_fix"].is_string());
    assert!(without.count() > 0);
    assert_eq!(
        json(&run(&["review", &file, "--json"]))["findings"][0].get("fixes"),
        None
    );
    assert_eq!(std::fs::read(&file).unwrap(), bytes);
}

#[test]
fn the_usable_setpoints_are_in_text_and_json() {
    let file = demo("clean.load.ron");
    let ran = run(&["review", &file]);
    assert!(
        said(&ran.out).contains("Peak 1345 °C; usable setpoints "),
        "{}",
        ran.out
    );
    let out = json(&run(&["review", &file, "--json"]));
    let usable = &out["usable_setpoints_c"];
    assert!(usable["from"].as_f64().unwrap() < usable["to"].as_f64().unwrap());
    assert_eq!(usable["exists"], true);
}

#[test]
fn a_button_in_the_findings_and_one_undo() {
    let mut bench = Bench::sized("stop", [1600.0, 4000.0]);
    let before = bench.bytes();
    let finding = bench.findings("parts-touching")[0].clone();
    let row = bench
        .names()
        .into_iter()
        .find(|n| n.contains("Parts touch"))
        .unwrap();
    bench.click(&row);
    bench.wait("fixes", |app| !app.tries_fixes());
    bench.run();
    assert!(
        bench.names().iter().any(|n| n.contains("Picture of")),
        "{:?}",
        bench.names()
    );
    let names = bench.names();
    let button = names
        .iter()
        .find(|n| n.contains("Move apart by "))
        .unwrap()
        .clone();
    bench.click(&button);
    let gone = bench.findings("parts-touching");
    assert!(gone.iter().all(|f| f.subjects != finding.subjects));
    let told = bench.message();
    assert!(
        told.contains("Move apart by ") && told.contains("hanges"),
        "{told}"
    );
    bench.keys(egui::Modifiers::COMMAND, egui::Key::Z);
    assert_eq!(bench.bytes(), before);
}
