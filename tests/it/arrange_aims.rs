//! What is wanted of a layout besides distances: what goes first, the work zone, what counts.

use crate::arrange::{GAPS, waiting};
use crate::cli::{demo, run};
use setterwright::arrange::{
    Aims, Arrangement, Effort, First, Order, Rearranged, Scope, Watch, Wish, rearrange,
};
use setterwright::catalogue::{Catalogue, Space};
use setterwright::load::{Edit, Lot, LotId, Plan};
use std::collections::BTreeMap;
use std::sync::Arc;

fn arranged(plan: &Arc<Plan>, catalogue: &Arc<Catalogue>, aims: Aims) -> Option<Rearranged> {
    let wish = Wish {
        scope: Scope::Everything,
        ..GAPS
    };
    let set = Arrangement::new(plan, catalogue, wish).ok()?;
    let effort = Effort {
        evaluations: 150_000,
        seed: 1,
        islands: 2,
    };
    let set = set.with(&Arc::new(aims));
    rearrange(set, effort, &Watch::default(), &|_| Vec::new(), &|_| ()).ok()
}

/// The demo with 40 pieces of its first lot waiting and four each of two others of the same part.
fn three_lots() -> (Arc<Plan>, Arc<Catalogue>, [LotId; 2]) {
    let (plan, working) = waiting(40);
    let mut plan = Plan::clone(&plan);
    let ids = [LotId(plan.next_id), LotId(plan.next_id + 1)];
    for id in ids {
        let lot = Lot {
            count: 4,
            ..Lot::new(id, &format!("more {}", id.0), plan.lots[0].part)
        };
        plan = Edit::AddLot(lot).apply(&plan, &working.catalogue).unwrap();
    }
    (Arc::new(plan), working.catalogue, ids)
}

fn standing(plan: &Plan, lot: LotId) -> usize {
    let mine = plan.placements().filter(|(_, p)| p.item.lot() == Some(lot));
    mine.count()
}

#[test]
fn what_must_go_goes_then_what_is_due_then_what_has_priority() {
    let (plan, catalogue, [one, other]) = three_lots();
    let first = |id: LotId, first: First| Aims {
        first: BTreeMap::from([(id, first)]),
        ..Aims::default()
    };
    let firsts = [
        First {
            must: true,
            ..First::default()
        },
        First {
            due: Some("2026-12-01".to_owned()),
            ..First::default()
        },
        First {
            priority: 2,
            ..First::default()
        },
    ];
    for mine in [one, other] {
        for of in &firsts {
            let found = arranged(&plan, &catalogue, first(mine, of.clone())).unwrap();
            assert!(found.after.waiting > 0, "there is room for all");
            assert_eq!(standing(&found.plan, mine), 4, "{of:?}");
            // What stood stands.
            let before = standing(&plan, plan.lots[0].id);
            assert!(standing(&found.plan, plan.lots[0].id) >= before);
        }
    }
}

#[test]
fn what_must_go_and_cannot_is_told_first() {
    let (plan, working) = waiting(60);
    let must = First {
        must: true,
        ..First::default()
    };
    let aims = Aims {
        first: BTreeMap::from([(plan.lots[0].id, must)]),
        ..Aims::default()
    };
    let found = arranged(&plan, &working.catalogue, aims).unwrap();
    let said = found.left_out[0].sentence();
    assert!(said.starts_with("Must go: "), "{said}");
}

#[test]
fn what_has_to_be_in_the_work_zone_is_put_there() {
    let (plan, working) = waiting(0);
    let mut plan = Plan::clone(&plan);
    let mut catalogue = Catalogue::clone(&working.catalogue);
    let furnace = &mut catalogue.furnaces.get_mut(&plan.load.furnace).unwrap().1;
    let furnace = Arc::make_mut(furnace);
    let (z0_mm, z1_mm) = match furnace.work_zone {
        Space::Box { z0_mm, z1_mm, .. } | Space::Cylinder { z0_mm, z1_mm, .. } => (z0_mm, z1_mm),
    };
    furnace.work_zone = Space::Box {
        width_mm: 130.0,
        depth_mm: 150.0,
        z0_mm,
        z1_mm,
    };
    let mine = |p: &setterwright::load::Placement| p.item.is_production();
    let all = plan
        .placements()
        .filter(|(_, p)| mine(p))
        .map(|(_, p)| p.id);
    let off = Edit::RemovePlacements(all.collect());
    plan = off.apply(&plan, &catalogue).unwrap();
    for part in &mut plan.parts {
        Arc::make_mut(part).work_zone_only = true;
    }
    let (plan, catalogue) = (Arc::new(plan), Arc::new(catalogue));
    let found = arranged(&plan, &catalogue, Aims::default()).unwrap();
    assert!(found.added > 8, "{}", found.added);
    let sizes = setterwright::load::Sizes::new(&found.plan, &catalogue);
    for (level, p) in found.plan.placements().filter(|(_, p)| mine(p)) {
        let sized = sizes.of(&p.item, &catalogue).unwrap();
        let (stack, _) = found.plan.level(level.id).unwrap();
        let body = &sized.at(setterwright::part::SizeStage::Hottest).body;
        let pose = setterwright::load::pose_on_setter(p, 0.0, 1.01);
        let rings = body.silhouette().placed(&pose);
        for [x, y] in rings.rings().flatten() {
            let (x, y) = (x + stack.at_mm[0], y + stack.at_mm[1]);
            assert!(x.abs() <= 65.0 && y.abs() <= 75.0, "{x} {y}");
        }
    }
}

#[test]
fn balance_and_rows_are_served_where_they_are_asked_for() {
    let (plan, working) = waiting(4);
    let with = |order: Order| {
        let aims = Aims {
            order,
            ..Aims::default()
        };
        arranged(&plan, &working.catalogue, aims).unwrap().after
    };
    let [middle, balance, rows] = [Order::Middle, Order::Balance, Order::Rows].map(with);
    println!("{middle:?}\n{balance:?}\n{rows:?}");
    assert!(balance.off_axis_mm.unwrap() <= middle.off_axis_mm.unwrap() + 1.0);
    assert!(rows.in_rows.unwrap() >= middle.in_rows.unwrap());
    assert_eq!(rows.setters, middle.setters);
}

#[test]
fn lots_are_marked_on_the_command_line() {
    let folder = tempfile::tempdir().unwrap();
    let to = folder.path().join("out.load.ron").display().to_string();
    let from = demo("cautions.load.ron");
    let refused = |more: &[&str], said: &str| {
        let ran = run(&[&["arrange", &from, "-o", &to][..], more].concat());
        assert_eq!(ran.code, 2, "{}", ran.out);
        assert!(ran.err.contains(said), "{}", ran.err);
    };
    let (plan, _) = waiting(0);
    let lot = plan.lots[0].name.as_str();
    refused(&["--must", "nobody"], "there is no lot nobody");
    refused(&["--priority", lot], "equals sign");
    refused(
        &["--priority", &format!("{lot}=high")],
        "not a whole number",
    );
    refused(&["--due", &format!("{lot}=tomorrow")], "neither a day");
    let (must, due) = (["--must", lot], format!("{lot}=2026-12-02"));
    let words = [
        "arrange", &from, "-o", &to, "--order", "balance", "--due", &due,
    ];
    let ran = run(&[&words[..], &must, &["--without-forecast"]].concat());
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.contains("off the axis of the stack"), "{}", ran.out);
}

/// A slip of the hand in a count is no reason to take all the memory that there is.
#[test]
fn a_lot_of_all_the_pieces_in_the_world_is_arranged_as_far_as_it_goes() {
    let (plan, working) = waiting(0);
    let mut plan = Plan::clone(&plan);
    Arc::make_mut(&mut plan.lots[0]).count = u32::MAX;
    let before = standing(&plan, plan.lots[0].id);
    let lot = plan.lots[0].id;
    let found = arranged(&Arc::new(plan), &working.catalogue, Aims::default()).unwrap();
    let placed = standing(&found.plan, lot);
    assert!(placed > before);
    let left: usize = found.left_out.iter().map(|left| left.count).sum();
    assert_eq!(placed + left, u32::MAX as usize);
}
