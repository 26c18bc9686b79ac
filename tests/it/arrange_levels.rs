//! Levels set up anew: posts and setters from the stock.

use crate::arrange::{GAPS, waiting};
use crate::cli::{demo, run};
use setterwright::arrange::{
    Aims, Arrangement, Effort, Furniture, Rearranged, Scope, Trouble, Watch, Why, Wish, rearrange,
};
use setterwright::catalogue::Stock;
use setterwright::files::{self, Working};
use setterwright::load::{Carrier, Edit, LevelId, Lot, LotId, Plan, floor_and_roof, stack_heights};
use setterwright::part::{Drawn, Part, PartId, Shape, measure_typed};
use std::collections::BTreeSet;
use std::path::Path;
use std::sync::Arc;

/// The demo with blocks of a height waiting.
fn with_blocks(count: u32, height_mm: f64) -> (Arc<Plan>, Working) {
    let (plan, working) = waiting(0);
    let mut plan = Plan::clone(&plan);
    let id = plan.next_id;
    let shape = Shape::Block {
        width_mm: 30.0,
        depth_mm: 30.0,
        height_mm,
    };
    let mut part = Part::clone(&plan.parts[0]);
    part.id = PartId(id);
    part.name = "block".to_owned();
    part.geometry = Arc::new(measure_typed(&shape).unwrap());
    part.shape = shape;
    part.drawn = Drawn::Green;
    let lot = Lot {
        count,
        ..Lot::new(LotId(id + 1), "blocks", part.id)
    };
    for edit in [Edit::AddPart(Box::new(part)), Edit::AddLot(lot)] {
        plan = edit.apply(&plan, &working.catalogue).unwrap();
    }
    (Arc::new(plan), working)
}

/// Arranges everything with a stock, or leaving the levels on their posts.
fn arranged(plan: &Arc<Plan>, working: &Working, stock: Option<&[(&str, u32)]>) -> Rearranged {
    judged(plan, working, stock, &|_| Vec::new())
}

/// The same where a judge has something to say.
fn judged(
    plan: &Arc<Plan>,
    working: &Working,
    stock: Option<&[(&str, u32)]>,
    judge: &dyn Fn(&Plan) -> Vec<Trouble>,
) -> Rearranged {
    let mut shop = working.shop.as_deref().cloned().unwrap();
    if let Some(stock) = stock {
        for (id, count) in stock {
            shop.stock.retain(|s| s.id != *id);
            shop.stock.push(Stock {
                id: (*id).to_owned(),
                count: *count,
            });
        }
    }
    let aims = Aims {
        furniture: stock.map(|_| Furniture::of(plan, Some(&shop))),
        ..Aims::default()
    };
    let wish = Wish {
        scope: Scope::Everything,
        ..GAPS
    };
    let set = Arrangement::new(plan, &working.catalogue, wish).unwrap();
    let effort = Effort {
        evaluations: 400_000,
        seed: 1,
        islands: 2,
    };
    let set = set.with(&Arc::new(aims));
    let found = rearrange(set, effort, &Watch::default(), judge, &|_| ()).unwrap();
    if let Some(edit) = &found.edit {
        assert_eq!(edit.apply(plan, &working.catalogue).unwrap(), *found.plan);
    }
    found
}

fn posts(plan: &Plan) -> Vec<&str> {
    let carriers = plan.levels().filter_map(|(_, l)| match &l.carrier {
        Carrier::Posts { post, .. } => Some(post.as_str()),
        _ => None,
    });
    carriers.collect()
}

/// Every part stands under what is above it.
fn has_room(plan: &Plan, working: &Working) {
    let sizes = setterwright::load::Sizes::new(plan, &working.catalogue);
    let furnace = working.catalogue.furnace(&plan.load.furnace).unwrap();
    let (_, roof) = floor_and_roof(&furnace.hot_zone);
    for stack in &plan.load.stacks {
        let heights = stack_heights(stack, &working.catalogue, furnace);
        for (i, level) in stack.levels.iter().enumerate() {
            let face = heights[i].unwrap().face_mm;
            let top = heights
                .get(i + 1)
                .map_or(roof - GAPS.keep.roof_mm, |above| {
                    above.unwrap().underside_mm - GAPS.keep.head_mm
                });
            for placement in level.placements.iter().filter(|p| p.item.is_production()) {
                let sized = sizes.of(&placement.item, &working.catalogue).unwrap();
                let height = sized
                    .at(setterwright::part::SizeStage::Green)
                    .body
                    .height_mm();
                assert!(
                    face + height <= top + 1e-6,
                    "{height} at {face} under {top}"
                );
            }
        }
    }
}

#[test]
fn what_is_too_high_gets_longer_posts_from_the_stock() {
    let (plan, working) = with_blocks(6, 38.0);
    let kept = arranged(&plan, &working, None);
    let found = arranged(&plan, &working, Some(&[]));
    assert_eq!(found.after.waiting, 0, "{:?}", found.left_out);
    has_room(&found.plan, &working);
    assert!(found.after.setters <= kept.after.setters.max(found.before.setters) + 1);
    assert!(found.levels[0] + found.levels[2] > 0);
    // Not more posts than there are.
    let shop = working.shop.as_deref().unwrap();
    for id in posts(&found.plan) {
        let stock = shop.stock.iter().find(|s| s.id == id).unwrap();
        let used = found.plan.posts_used()[id];
        assert!(used <= stock.count as usize, "{used} of {id}");
    }
    // The same again.
    assert_eq!(found.plan, arranged(&plan, &working, Some(&[])).plan);
    // Numbers given out meanwhile are not given out twice, levels among them.
    let later = plan.next_id + 50;
    let edit = found.numbered(later).unwrap();
    let mut then = Plan::clone(&plan);
    then.next_id = later;
    let done = edit.apply(&then, &working.catalogue).unwrap();
    let known: BTreeSet<LevelId> = plan.levels().map(|(_, l)| l.id).collect();
    let new = |l: &LevelId| !known.contains(l);
    assert!(
        done.levels()
            .map(|(_, l)| l.id)
            .filter(new)
            .all(|l| l.0 >= later)
    );
    assert_eq!(done.placements().count(), found.plan.placements().count());
}

/// Locks the first so many things that may be moved on each of some levels.
fn locked(plan: &Plan, working: &Working, levels: &[usize], pieces: usize) -> Arc<Plan> {
    let all: Vec<_> = plan.levels().map(|(_, l)| l).collect();
    let firsts = levels.iter().flat_map(|i| {
        let parts = all[*i].placements.iter().filter(|p| p.item.is_production());
        parts.take(pieces)
    });
    let ids = firsts.map(|p| p.id).collect();
    let edit = Edit::SetLocked { ids, locked: true };
    Arc::new(edit.apply(plan, &working.catalogue).unwrap())
}

#[test]
fn what_is_too_high_for_every_level_gets_longer_posts_as_well() {
    // The top level, open to the roof, takes nothing beside what is locked there on another support.
    let (plan, working) = with_blocks(6, 60.0);
    let plan = locked(&plan, &working, &[plan.levels().count() - 1], usize::MAX);
    let mut plan = Plan::clone(&plan);
    let levels = &mut plan.load.stacks[0].levels;
    let short = levels[1].carrier.clone();
    let top = Arc::make_mut(levels.last_mut().unwrap());
    // It stood on posts of 100 mm, under which the blocks fit.
    top.carrier = short;
    for placement in &mut top.placements {
        placement.support = Some("alumina-powder-1".to_owned());
    }
    let plan = Arc::new(plan);
    let kept = arranged(&plan, &working, None);
    assert!(matches!(kept.left_out[0].why, Why::TooHigh { .. }));
    assert_eq!(kept.left_out[0].count, 6);
    let found = arranged(&plan, &working, Some(&[]));
    assert_eq!(found.after.waiting, 0, "{:?}", found.left_out);
    has_room(&found.plan, &working);
}

#[test]
fn where_something_stays_on_every_level_more_come_on_top() {
    let (plan, working) = waiting(60);
    let levels: Vec<usize> = (0..plan.levels().count()).collect();
    let plan = locked(&plan, &working, &levels, 1);
    // Its posts are longer than they need to be: without that there is the height for one more.
    let lower = arranged(&plan, &working, Some(&[]));
    let plan = Arc::clone(&lower.plan);
    let kept = arranged(&plan, &working, None);
    let found = arranged(&plan, &working, Some(&[]));
    assert!(found.after.waiting < kept.after.waiting);
    assert!(found.levels[2] > 0, "{:?}", found.levels);
    has_room(&found.plan, &working);
    for (_, was) in plan.placements().filter(|(_, p)| p.locked) {
        let (_, is) = found.plan.placement(was.id).unwrap();
        assert_eq!((is.at_mm, is.angle_deg), (was.at_mm, was.angle_deg));
    }
}

#[test]
fn what_stays_at_another_height_is_told() {
    let (plan, working) = with_blocks(6, 38.0);
    let top = plan.levels().count() - 1;
    let plan = locked(&plan, &working, &[top], 1);
    let found = arranged(&plan, &working, Some(&[]));
    let id = plan.levels().last().unwrap().1.id;
    let furnace = working.catalogue.furnace(&plan.load.furnace).unwrap();
    let face = |plan: &Plan| {
        let (stack, _) = plan.level(id).unwrap();
        let at = stack.levels.iter().position(|l| l.id == id).unwrap();
        let heights = stack_heights(stack, &working.catalogue, furnace);
        heights[at].unwrap().face_mm
    };
    let higher = face(&found.plan) - face(&plan);
    assert!(higher.abs() > 1.0);
    let label = plan.level_label(id);
    let (_, told) = found.held.iter().find(|(l, _)| *l == label).unwrap();
    assert!((told - higher).abs() < 1e-9);
    assert!(found.set_up()[1].contains("another height"));
}

#[test]
fn without_such_posts_the_reason_says_so() {
    let (plan, working) = with_blocks(2, 120.0);
    let none = ["30", "40", "50", "60", "80", "100"].map(|l| format!("alumina-post-16x{l}"));
    let mut stock: Vec<(&str, u32)> = none.iter().map(|id| (id.as_str(), 0)).collect();
    stock[0].1 = 48;
    let found = arranged(&plan, &working, Some(&stock));
    assert_eq!(found.after.waiting, 2);
    let said = found.left_out[0].sentence();
    assert!(said.contains("would let them in"), "{said}");
    let kept = arranged(&plan, &working, None);
    assert!(!kept.left_out[0].sentence().contains("in stock"));
}

#[test]
fn what_finds_no_room_gets_another_setter_or_hears_why_not() {
    let (plan, working) = waiting(60);
    let kept = arranged(&plan, &working, None);
    assert!(kept.after.waiting > 0);
    let found = arranged(&plan, &working, Some(&[]));
    assert!(found.after.waiting < kept.after.waiting, "{found:?}");
    assert!(found.levels[2] > 0, "{:?}", found.levels);
    has_room(&found.plan, &working);
    let none = arranged(&plan, &working, Some(&[("alumina-square-250x6", 5)]));
    assert_eq!(none.levels[2], 0);
    let said = none.left_out[0].sentence();
    assert!(
        said.contains("None of that kind is left in stock"),
        "{said}"
    );
}

/// Setters and posts are there, and more would not help: the trap is full.
#[test]
fn where_the_review_keeps_pieces_out_that_comes_first_and_no_longer_search_is_promised() {
    let (plan, working) = waiting(60);
    let (stood, most) = (plan.placements().count(), 12);
    let full = |now: &Plan| match now.placements().count() > stood + most {
        true => vec![Trouble {
            words: "Trap would be over-full".to_owned(),
            ..Trouble::default()
        }],
        false => Vec::new(),
    };
    let found = judged(&plan, &working, Some(&[]), &full);
    assert_eq!(found.after.waiting, 60 - most);
    let said: Vec<String> = found.left_out.iter().map(|l| l.sentence()).collect();
    assert!(!said.is_empty());
    for one in &said {
        let review = one.find("Trap would be over-full").unwrap();
        assert!(one.find("no room was found").is_none_or(|at| review < at));
        assert!(!one.contains("longer search"), "{one}");
    }
    // A review that has nothing to say is not named.
    let open = judged(&plan, &working, None, &|_| Vec::new());
    assert!(!open.left_out[0].sentence().contains("review"));
}

#[test]
fn posts_are_no_longer_than_they_need_to_be_unless_they_are_to_stay() {
    let folder = tempfile::tempdir().unwrap();
    let out = |name: &str| folder.path().join(name).display().to_string();
    let from = demo("cautions.load.ron");
    let run = |to: &str, more: &[&str]| {
        let words = [
            "arrange",
            &from,
            "-o",
            to,
            "--budget",
            "1000000",
            "--without-forecast",
        ];
        let ran = run(&[&words, more].concat());
        assert_eq!(ran.code, 0, "{}", ran.err);
        let (plan, _) = files::open_load(Path::new(to), None).unwrap();
        (ran.out, plan)
    };
    let (said, lower) = run(&out("lower.load.ron"), &[]);
    assert!(said.contains("high instead of"), "{said}");
    assert!(!posts(&lower).contains(&"alumina-post-12x100"));
    let (_, as_they_were) = run(&out("kept.load.ron"), &["--keep-posts"]);
    let before = files::open_load(Path::new(&from), None).unwrap().0;
    let known: BTreeSet<&str> = posts(&before).into_iter().collect();
    assert!(
        posts(&as_they_were)
            .into_iter()
            .all(|id| known.contains(id))
    );
}
