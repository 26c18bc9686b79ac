//! Comparing two loads, against what a load means as this file says it on its own.

use crate::document_fixture::{Rng, catalogue, plan, random_edit};
use proptest::prelude::*;
use setterwright::catalogue::Catalogue;
use setterwright::files::{Compared, compare, open_load};
use setterwright::load::{
    Acceptance, Carrier, Difference, Item, Level, LevelId, Lot, LotId, Placement, PlacementId,
    Plan, Stack, StackId, differences,
};
use setterwright::part::{Part, PartId};
use setterwright::profile::{Segment, SegmentId};
use std::collections::BTreeSet;
use std::path::Path;
use std::sync::Arc;

fn sorted(mut all: Vec<String>) -> String {
    all.sort();
    all.join("\n")
}

fn part_means(part: &Part) -> String {
    let part = Part {
        id: PartId(0),
        ..part.clone()
    };
    format!("{part:?}")
}

fn lot_means(plan: &Plan, lot: &Lot) -> String {
    let part = plan.part(lot.part).map(|p| part_means(p));
    let lot = Lot {
        id: LotId(0),
        part: PartId(0),
        ..lot.clone()
    };
    format!("{lot:?} of {part:?}")
}

fn placement_means(plan: &Plan, placement: &Placement) -> String {
    let part = placement.item.part().and_then(|id| plan.part(id));
    let part = part.map(|p| part_means(p));
    let item = match &placement.item {
        Item::Part { lot, .. } => {
            let lot = lot.and_then(|id| plan.lot(id));
            format!("part {:?}", lot.map(|l| lot_means(plan, l)))
        }
        Item::Coupon { label, .. } => format!("coupon {label}"),
        other => format!("{other:?}"),
    };
    let at = placement.at_mm.map(|c| c + 0.0);
    let Placement {
        angle_deg,
        support,
        locked,
        ..
    } = placement;
    format!("{item} {part:?} {at:?} {angle_deg} {support:?} {locked}")
}

fn level_means(plan: &Plan, level: &Level) -> String {
    let carrier = match &level.carrier {
        Carrier::Posts { post, at_mm } => {
            let at = at_mm.iter().map(|at| format!("{:?}", at.map(|c| c + 0.0)));
            format!("{post} {}", sorted(at.collect()))
        }
        other => format!("{other:?}"),
    };
    let placements = level.placements.iter();
    let placements = sorted(placements.map(|p| placement_means(plan, p)).collect());
    format!("{} {carrier}\n{placements}", level.setter)
}

/// All that a load means: no numbers, and no order where order means nothing.
fn meaning(plan: &Plan) -> String {
    let stack = |stack: &Stack| {
        let levels: Vec<String> = stack.levels.iter().map(|l| level_means(plan, l)).collect();
        format!(
            "{:?}\n{}",
            stack.at_mm.map(|c| c + 0.0),
            levels.join("\n--\n")
        )
    };
    let mut profile = plan.profile.as_ref().clone();
    for segment in &mut profile.segments {
        segment.id = SegmentId(0);
    }
    let acceptance = |a: &Acceptance| format!("{a:?}");
    [
        format!(
            "{:?}",
            (
                &plan.title,
                &plan.note,
                &plan.planned_start,
                &plan.begun_from
            )
        ),
        plan.load.furnace.clone(),
        sorted(plan.parts.iter().map(|p| part_means(p)).collect()),
        sorted(plan.lots.iter().map(|l| lot_means(plan, l)).collect()),
        sorted(plan.load.stacks.iter().map(stack).collect()),
        format!("{profile:?}"),
        sorted(plan.declarations.iter().map(|d| format!("{d:?}")).collect()),
        sorted(plan.acceptances.iter().map(acceptance).collect()),
    ]
    .join("\n====\n")
}

fn items(found: &[Difference]) -> BTreeSet<&String> {
    found.iter().flat_map(|d| &d.items).collect()
}

fn edited(rng: &mut Rng, plan: &Plan, steps: usize, catalogue: &Catalogue) -> Plan {
    let mut plan = plan.clone();
    for _ in 0..steps {
        let edit = random_edit(rng, &plan, plan.next_id);
        plan = edit.apply(&plan, catalogue).unwrap_or(plan);
    }
    plan
}

/// The same load under other numbers, with what has no order in another.
fn renumbered(plan: &Plan) -> Plan {
    let by = 5000;
    let mut out = plan.clone();
    out.next_id += by;
    for part in &mut out.parts {
        *part = Arc::new(Part {
            id: PartId(part.id.0 + by),
            ..part.as_ref().clone()
        });
    }
    for lot in &mut out.lots {
        *lot = Arc::new(Lot {
            id: LotId(lot.id.0 + by),
            part: PartId(lot.part.0 + by),
            ..lot.as_ref().clone()
        });
    }
    for stack in &mut out.load.stacks {
        stack.id = StackId(stack.id.0 + by);
        for level in &mut stack.levels {
            let mut new = level.as_ref().clone();
            new.id = LevelId(new.id.0 + by);
            for placement in &mut new.placements {
                placement.id = PlacementId(placement.id.0 + by);
                match &mut placement.item {
                    Item::Part { part, lot } => {
                        part.0 += by;
                        *lot = lot.map(|l| LotId(l.0 + by));
                    }
                    Item::Coupon { part, .. } => part.0 += by,
                    Item::Dummy { .. } | Item::Sensor { .. } => {}
                }
            }
            new.placements.reverse();
            if let Carrier::Posts { at_mm, .. } = &mut new.carrier {
                at_mm.reverse();
            }
            *level = Arc::new(new);
        }
    }
    out.parts.reverse();
    out.lots.reverse();
    out.load.stacks.reverse();
    out.declarations.reverse();
    for acceptance in &mut out.acceptances {
        for subject in &mut acceptance.subjects {
            if let Some((kind, id)) = subject.split_once(' ')
                && let Ok(id) = id.parse::<u32>()
            {
                *subject = format!("{kind} {}", id + by);
            }
        }
    }
    let mut profile = out.profile.as_ref().clone();
    for segment in &mut profile.segments {
        *segment = Segment {
            id: SegmentId(segment.id.0 + by),
            ..segment.clone()
        };
    }
    out.profile = Arc::new(profile);
    out
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn edits_that_change_what_a_load_means_are_told_and_no_others(
        seed in any::<u64>(),
        steps in 1..14usize,
        other_steps in 0..6usize,
    ) {
        let (catalogue, mut rng) = (catalogue(), Rng(seed));
        let was = edited(&mut rng, &plan(), other_steps, &catalogue);
        let is = edited(&mut rng, &was, steps, &catalogue);
        let catalogues = [catalogue.as_ref(); 2];
        let there = differences(&was, &is, catalogues);
        let back = differences(&is, &was, catalogues);
        prop_assert_eq!(meaning(&was) != meaning(&is), !there.is_empty(), "{:#?}", there);
        prop_assert_eq!(items(&there), items(&back), "{:#?}\n{:#?}", &there, &back);
        let affected = |found: &[Difference]| {
            found.iter().map(|d| d.affects).collect::<BTreeSet<_>>()
        };
        prop_assert_eq!(affected(&there), affected(&back), "{:#?}\n{:#?}", &there, &back);
        let other = renumbered(&is);
        prop_assert_eq!(differences(&is, &other, catalogues), vec![]);
        prop_assert_eq!(differences(&other, &is, catalogues), vec![]);
        // The numbers say nothing: the same is told of the renumbered one, but for which of the
        // pieces of a name is called the third.
        let of_other = differences(&was, &other, catalogues);
        prop_assert_eq!(affected(&of_other), affected(&there));
    }
}

/// Two levels alike in stacks that changed their order: which of them is gone does not depend on the
/// side from which it is told.
#[test]
fn of_levels_alike_the_same_one_is_told_from_both_sides() {
    let (catalogue, mut rng) = (catalogue(), Rng(4_828_843_978_383_884_139));
    let was = edited(&mut rng, &plan(), 0, &catalogue);
    let is = edited(&mut rng, &was, 6, &catalogue);
    let catalogues = [catalogue.as_ref(); 2];
    let there = differences(&was, &is, catalogues);
    let back = differences(&is, &was, catalogues);
    assert_eq!(items(&there), items(&back));
}

fn demo(name: &str) -> std::path::PathBuf {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-loads");
    root.join(format!("{name}.load.ron"))
}

#[test]
fn a_demo_load_is_the_same_as_itself_under_other_numbers_with_its_acceptances() {
    for name in ["clean", "cautions", "stop", "large"] {
        let path = demo(name);
        let (mut plan, working) = open_load(&path, None).unwrap();
        let subject = plan.placements().next().unwrap().1.id.0;
        let level = plan.levels().next().unwrap().1.id.0;
        plan.acceptances.push(Acceptance {
            check: "gap-too-small".to_owned(),
            subjects: vec![format!("level {level}"), format!("placement {subject}")],
            limit: None,
            value: None,
            by: "engineer".to_owned(),
            reason: "thin".to_owned(),
            on: "2027-03-15".to_owned(),
            ..Acceptance::default()
        });
        let other = renumbered(&plan);
        let working = &working;
        let was = Compared {
            plan: &plan,
            working,
        };
        let is = Compared {
            plan: &other,
            working,
        };
        assert_eq!(compare(was, is), [], "{name}");
        let mut elsewhere = other.clone();
        let taken = plan.placements().nth(1).unwrap().1.id.0;
        let own = elsewhere.acceptances.last_mut().unwrap();
        own.subjects[1] = format!("placement {}", taken + 5000);
        let is = Compared {
            plan: &elsewhere,
            working,
        };
        assert_eq!(compare(was, is).len(), 2, "{name}");
    }
}

#[test]
fn the_command_tells_same_different_and_bad_apart() {
    use crate::cli::{json, run};
    let folder = tempfile::tempdir().unwrap();
    let (clean, cautions) = (demo("clean"), demo("cautions"));
    let [clean, cautions] = [&clean, &cautions].map(|p| p.display().to_string());
    let same = run(&["diff", &clean, &clean]);
    assert_eq!(same.code, 0, "{}", same.err);
    assert!(same.out.contains("No difference"), "{}", same.out);
    let ran = run(&["diff", &clean, &clean, "--json"]);
    assert_eq!((ran.code, json(&ran)["same"].as_bool()), (0, Some(true)));

    let held = folder.path().join("held.load.ron").display().to_string();
    let script = folder.path().join("longer.script");
    std::fs::write(&script, "change-segment segment=3 hold=777min\n").unwrap();
    let script = script.display().to_string();
    let ran = run(&["edit", &clean, "--script", &script, "-o", &held]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    let ran = run(&["diff", &clean, &held]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(ran.out.contains("777\u{a0}min, was "), "{}", ran.out);
    assert!(ran.out.contains("1 difference"), "{}", ran.out);

    let ran = run(&["diff", &clean, &cautions, "--json"]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    let told = json(&ran);
    assert_eq!(told["schema"], "setterwright.diff");
    let groups = told["groups"].as_array().unwrap();
    assert!(!groups.is_empty());
    for group in groups {
        assert!(!group["differences"].as_array().unwrap().is_empty());
    }

    let torn = folder.path().join("torn.load.ron");
    std::fs::write(&torn, "(kind: \"load\", ver").unwrap();
    let torn = torn.display().to_string();
    for pair in [
        [&clean, &torn],
        [&torn, &clean],
        [&clean, &"no-such.load.ron".to_owned()],
    ] {
        let ran = run(&["diff", pair[0], pair[1]]);
        assert_eq!(ran.code, 2);
        assert!(!ran.err.is_empty() && ran.out.is_empty());
    }
}
