//! What edits refuse, so that a plan in memory is always one that a file can hold.

use setterwright::catalogue::builtin;
use setterwright::files::{Working, open_load};
use setterwright::load::{Acceptance, Edit, Plan, ProfileFigure};
use setterwright::part::{MeasureFault, Shape, measure_typed};
use setterwright::profile::{Profile, RampBy, Segment, SegmentId};
use setterwright::review::{Given, limit_to_accept, review};

fn segment(to_c: f64) -> Segment {
    Segment {
        id: SegmentId(7),
        ramp: RampBy::Rate { k_min: 2.0 },
        to_c,
        hold_min: 0.0,
        wait_on: None,
        gas: None,
        flow_l_min_25c: 0.0,
        pressure_mbar: None,
        events: Vec::new(),
        note: String::new(),
    }
}

fn profile(segments: Vec<Segment>) -> Profile {
    Profile {
        name: "p".to_owned(),
        revision: "1".to_owned(),
        start_c: 25.0,
        segments,
        unload_c: 60.0,
        approval: None,
    }
}

#[test]
fn a_profile_that_no_file_could_hold_is_refused() {
    let (catalogue, _) = builtin().unwrap();
    let plan = Plan::new("t", "small-vacuum-box", profile(vec![segment(450.0)]));
    let mut plan = plan;
    plan.next_id = 8;
    let bad = [
        Edit::SetProfile(profile(vec![segment(f64::NAN)])),
        Edit::SetProfile(profile(vec![segment(450.0), segment(900.0)])),
        Edit::ChangeSegment(segment(f64::INFINITY)),
        Edit::SetProfileFigure(ProfileFigure::StartC(f64::NAN)),
        Edit::SplitSegment {
            first: Box::new(segment(450.0)),
            second: Box::new(Segment {
                id: SegmentId(8),
                ..segment(f64::NAN)
            }),
        },
        Edit::AddSegment {
            index: 0,
            segment: Segment {
                id: SegmentId(8),
                ..segment(f64::NAN)
            },
        },
    ];
    for edit in bad {
        let refusal = edit.apply(&plan, &catalogue).unwrap_err();
        assert!(refusal.0.contains("profile is not usable"), "{refusal}");
    }
    // A split takes a new number, and something to split.
    for (first, second) in [(7, 7), (9, 8)] {
        let of = |id| {
            Box::new(Segment {
                id: SegmentId(id),
                ..segment(450.0)
            })
        };
        let (first, second) = (of(first), of(second));
        let split = Edit::SplitSegment { first, second };
        assert!(split.apply(&plan, &catalogue).is_err());
    }
    // A step jump is for a person to judge: the review says it.
    let step = Segment {
        ramp: RampBy::Time { min: 0.0 },
        ..segment(900.0)
    };
    assert!(Edit::ChangeSegment(step).apply(&plan, &catalogue).is_ok());
}

#[test]
fn an_outline_with_too_many_corners_is_refused_at_once() {
    let outline_mm = (0..20_000)
        .map(|i| [f64::from(i), f64::from(i % 7)])
        .collect();
    let fault = measure_typed(&Shape::Prism {
        outline_mm,
        height_mm: 5.0,
    })
    .unwrap_err();
    assert_eq!(fault, MeasureFault::Corners(20_000));
}

/// Whether the slim post of the demo load stays accepted under an acceptance.
fn accepted(change: impl FnOnce(&mut Acceptance)) -> bool {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let path = root.join("demo-loads/cautions.load.ron");
    let (
        mut plan,
        Working {
            catalogue, shop, ..
        },
    ) = open_load(&path, None).unwrap();
    let found = |plan: &Plan| {
        let given = Given {
            plan,
            catalogue: &catalogue,
            shop: shop.as_deref(),
            differences: &[],
            standard: None,
            forecast: None,
        };
        let findings = review(&given).findings;
        findings
            .into_iter()
            .find(|f| f.check == "post-too-slim")
            .unwrap()
    };
    let finding = found(&plan);
    let mut acceptance = Acceptance {
        check: finding.check.to_owned(),
        subjects: finding.subjects.iter().map(|s| s.key()).collect(),
        limit: finding.limit.as_ref().map(limit_to_accept),
        value: finding.measured.map(|m| m.printed()),
        by: "engineer".to_owned(),
        reason: "capped posts".to_owned(),
        on: "2026-11-24".to_owned(),
        ..Acceptance::default()
    };
    change(&mut acceptance);
    plan.acceptances.push(acceptance);
    found(&plan).accepted.is_some()
}

#[test]
fn an_acceptance_holds_for_its_value_or_a_better_one_and_lapses_otherwise() {
    // The post is 8.3 times as long as wide; at most 8.0 is allowed.
    assert!(accepted(|_| {}));
    assert!(
        accepted(|a| a.value = Some("8.5".to_owned())),
        "better than what was accepted"
    );
    assert!(
        !accepted(|a| a.value = Some("8.1".to_owned())),
        "worse than what was accepted"
    );
    assert!(!accepted(|a| a.value = None));
    assert!(!accepted(|a| a.value = Some("a little".to_owned())));
    assert!(
        !accepted(|a| a.limit = Some("other".to_owned())),
        "another revision of the limit"
    );
    assert!(
        !accepted(|a| a.subjects.push("level 1".to_owned())),
        "other subjects"
    );
}

#[test]
fn a_locked_piece_stays_whatever_would_take_it_away() {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let path = root.join("demo-loads/cautions.load.ron");
    let (plan, Working { catalogue, .. }) = open_load(&path, None).unwrap();
    let (level, placement) = plan.placements().next().unwrap();
    let ids = vec![placement.id];
    let holder = |s: &&setterwright::load::Stack| s.levels.iter().any(|l| l.id == level.id);
    let stack = plan.load.stacks.iter().find(holder).unwrap();
    let takes_away = [
        Edit::RemovePlacements(ids.clone()),
        Edit::RemoveLevel(level.id),
        Edit::RemoveStack(stack.id),
    ];
    let lock = |locked| Edit::SetLocked {
        ids: ids.clone(),
        locked,
    };
    let held = lock(true).apply(&plan, &catalogue).unwrap();
    let free = lock(false).apply(&held, &catalogue).unwrap();
    for edit in takes_away {
        let refusal = edit.apply(&held, &catalogue).unwrap_err();
        let label = plan.placement_label(placement.id);
        assert!(
            refusal.0.contains(&label) && refusal.0.contains("unlock"),
            "{refusal}"
        );
        assert!(edit.apply(&free, &catalogue).is_ok(), "{}", edit.label());
    }
}
