//! What the review keeps out of a layout, what stands where it may not, and what a stop leaves.

use crate::arrange::{GAPS, asked, waiting};
use crate::cli::{demo, json, run};
use setterwright::arrange::{
    Aims, Arrangement, Effort, First, Furniture, Rearranged, Scope, Trouble, Watch, Wish, rearrange,
};
use setterwright::document::arranging::{ToArrange, arrange_plan};
use setterwright::files::{self, Working};
use setterwright::load::{Edit, Move, Plan};
use setterwright::text::arranging as words;
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::Ordering;

fn searched(
    plan: &Arc<Plan>,
    working: &Working,
    aims: Aims,
    evaluations: u64,
    judge: &dyn Fn(&Plan) -> Vec<Trouble>,
) -> Rearranged {
    let wish = Wish {
        scope: Scope::Everything,
        ..GAPS
    };
    let set = Arrangement::new(plan, &working.catalogue, wish).unwrap();
    let effort = Effort {
        evaluations,
        seed: 1,
        islands: 2,
    };
    let set = set.with(&Arc::new(aims));
    rearrange(set, effort, &Watch::default(), judge, &|_| ()).unwrap()
}

fn pieces(plan: &Plan) -> usize {
    let all = plan.placements();
    all.filter(|(_, p)| p.item.is_production()).count()
}

/// A load that takes so many more pieces.
fn takes(more: usize, before: &Plan) -> impl Fn(&Plan) -> Vec<Trouble> {
    let most = pieces(before) + more;
    move |now| {
        let found = Trouble {
            words: "Too much of it".to_owned(),
            ..Trouble::default()
        };
        let over = pieces(now) > most;
        over.then_some(found).into_iter().collect()
    }
}

/// A level that was emptied by hand between two others goes, and what is above comes down.
#[test]
fn a_level_that_is_empty_between_others_is_not_built() {
    let file = demo("clean.load.ron");
    let (plan, working) = files::open_load(Path::new(&file), None).unwrap();
    let between = plan.load.stacks[0].levels[1..].iter();
    let parts_alone = |l: &&Arc<setterwright::load::Level>| {
        !l.placements.is_empty() && l.placements.iter().all(|p| p.item.is_production())
    };
    let emptied = between.clone().find(parts_alone).unwrap().id;
    let is_top = plan.load.stacks[0].levels.last().unwrap().id == emptied;
    assert!(!is_top);
    let parts = plan.level(emptied).unwrap().1.placements.iter();
    let off = Edit::RemovePlacements(parts.map(|p| p.id).collect());
    let mut plan = off.apply(&plan, &working.catalogue).unwrap();
    for lot in &mut plan.lots {
        let stand = plan.load.stacks.iter().flat_map(|s| &s.levels);
        let stand = stand.flat_map(|l| &l.placements);
        let count = stand.filter(|p| p.item.lot() == Some(lot.id)).count();
        Arc::make_mut(lot).count = count as u32;
    }
    let plan = Arc::new(plan);
    let aims = Aims {
        furniture: Some(Furniture::of(&plan, working.shop.as_deref())),
        ..Aims::default()
    };
    let found = searched(&plan, &working, aims, 20_000, &|_| Vec::new());
    assert!(found.edit.is_some());
    assert!(found.plan.level(emptied).is_none());
    assert!(found.after.height_mm < found.before.height_mm);
    let kept = Aims::default();
    let kept = searched(&plan, &working, kept, 20_000, &|_| Vec::new());
    assert!(kept.plan.level(emptied).is_some());
}

/// What a load as a whole takes is filled to the last piece, not to a half, and one reason is given.
#[test]
fn as_much_goes_in_as_the_load_takes() {
    let (plan, working) = waiting(9);
    for more in [1, 4, 8] {
        let found = searched(
            &plan,
            &working,
            Aims::default(),
            150_000,
            &takes(more, &plan),
        );
        assert_eq!(found.added, more, "{:?}", found.left_out);
        let [left] = found.left_out.as_slice() else {
            panic!("{:?}", found.left_out);
        };
        assert_eq!(left.count, 9 - more);
        assert!(left.sentence().contains("Too much of it"));
    }
}

/// Where the load takes few of many, those are set out for themselves: on no more setters than they
/// need.
#[test]
fn what_the_load_takes_of_many_stands_on_few_setters() {
    let (plan, working) = waiting(120);
    let aims = || Aims {
        furniture: Some(Furniture::of(&plan, working.shop.as_deref())),
        ..Aims::default()
    };
    let held = searched(&plan, &working, aims(), 200_000, &takes(12, &plan));
    assert_eq!(held.added, 12, "{:?}", held.left_out);
    let waits: usize = held.left_out.iter().map(|left| left.count).sum();
    assert_eq!(waits, 108);
    let alone = {
        let mut plan = Plan::clone(&plan);
        Arc::make_mut(&mut plan.lots[0]).count -= 108;
        let plan = Arc::new(plan);
        searched(&plan, &working, aims(), 200_000, &|_| Vec::new())
    };
    assert_eq!(alone.added, 12);
    assert!(
        held.after.setters <= alone.after.setters + 1,
        "{} and {}",
        held.after.setters,
        alone.after.setters
    );
}

/// A longer search finds layouts in which what must go stands in the place of what stood; none is
/// taken.
#[test]
fn what_stands_is_not_given_up_for_what_must_go() {
    let (plan, working) = waiting(60);
    let mut plan = Plan::clone(&plan);
    let other = setterwright::load::Lot {
        count: 30,
        ..setterwright::load::Lot::new(
            setterwright::load::LotId(plan.next_id),
            "must go",
            plan.lots[0].part,
        )
    };
    let id = other.id;
    plan = Edit::AddLot(other)
        .apply(&plan, &working.catalogue)
        .unwrap();
    let plan = Arc::new(plan);
    let of = |plan: &Plan, id| {
        let mine = plan.placements().filter(|(_, p)| p.item.lot() == Some(id));
        mine.count()
    };
    let stood = plan.lots[0].id;
    let must = First {
        must: true,
        ..First::default()
    };
    for evaluations in [20_000, 200_000, 600_000] {
        let aims = Aims {
            first: BTreeMap::from([(id, must.clone())]),
            ..Aims::default()
        };
        let found = searched(&plan, &working, aims, evaluations, &|_| Vec::new());
        assert!(of(&found.plan, stood) >= of(&plan, stood));
        assert!(
            of(&found.plan, id) > 4,
            "{evaluations}: {:?}",
            found.left_out
        );
    }
}

/// The clean demo with its second bracket pushed onto its neighbour.
fn touching(folder: &Path) -> String {
    let (plan, working) = files::open_load(Path::new(&demo("clean.load.ron")), None).unwrap();
    let (_, level) = plan.levels().next().unwrap();
    let [first, second] = [&level.placements[0], &level.placements[1]];
    let to = Move {
        id: second.id,
        level: level.id,
        at_mm: [0, 1].map(|k| 0.7 * first.at_mm[k] + 0.3 * second.at_mm[k]),
        angle_deg: second.angle_deg,
    };
    let moved = Edit::MovePlacements(vec![to]);
    let plan = moved.apply(&plan, &working.catalogue).unwrap();
    let file = folder.join("touching.load.ron");
    files::save_load(&file, &plan, &working).unwrap();
    file.display().to_string()
}

/// A layout in which nothing touches is better than one in which parts do, whatever else it gains.
#[test]
fn parts_that_touch_are_set_clear_and_told() {
    let folder = tempfile::tempdir().unwrap();
    let from = touching(folder.path());
    let to = folder.path().join("out.load.ron").display().to_string();
    let arrange = |more: &[&str]| {
        let usual = ["--budget", "20000", "--without-forecast"];
        asked(&from, &to, &[&usual, more].concat())
    };
    let stops = |file: &str| {
        let found = json(&run(&["review", file, "--json"]));
        let all = found["findings"].as_array().unwrap().clone();
        let touch = |f: &&serde_json::Value| f["check"] == "parts-touching";
        all.iter().filter(touch).count()
    };
    assert_eq!(stops(&from), 1);
    let ran = arrange(&[]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    assert!(
        ran.out.contains("2 parts that stood too near"),
        "{}",
        ran.out
    );
    assert_eq!(stops(&to), 0);
    std::fs::remove_file(&to).unwrap();
    // Into the gaps nothing is moved, and nothing waits.
    assert_eq!(arrange(&["--scope", "gaps"]).code, 2);
    // Locked, both stay.
    let (plan, working) = files::open_load(Path::new(&from), None).unwrap();
    let all = plan.placements().map(|(_, p)| p.id).collect();
    let locked = Edit::SetLocked {
        ids: all,
        locked: true,
    };
    let plan = locked.apply(&plan, &working.catalogue).unwrap();
    files::save_load(Path::new(&from), &plan, &working).unwrap();
    let ran = arrange(&[]);
    assert_eq!(ran.code, 2, "{}", ran.out);
    assert!(!Path::new(&to).exists());
}

/// After a stop nothing is forecast any more; what was found is looked at on lower posts and once more.
#[test]
fn a_stop_while_it_is_reviewed_ends_it() {
    let (plan, working) = waiting(9);
    let watch = Watch::default();
    let told: RefCell<Vec<String>> = RefCell::default();
    let word = |word: &str| {
        if word == words::forecasting() {
            watch.cancel.store(true, Ordering::Relaxed);
        }
        told.borrow_mut().push(word.to_owned());
    };
    let asked = ToArrange {
        evaluations: 20_000,
        ..ToArrange::of(Arc::clone(&plan), &working)
    };
    let found = arrange_plan(&asked, &watch, &|_| (), &word).unwrap();
    assert!(found.layout.stopped);
    assert!(!found.with_forecast);
    let told = told.into_inner();
    let stop = told.iter().position(|w| *w == words::forecasting());
    let after = &told[stop.unwrap() + 1..];
    assert!(!after.contains(&words::forecasting()), "{told:?}");
    let reviewed = after.iter().filter(|w| **w == words::reviewing());
    assert!(reviewed.count() <= 2, "{told:?}");
}

/// Where furniture counts as well, more that waits does not make it less that goes in: a fuller layout
/// thinned would stand on setters that it does not need.
#[test]
fn more_that_waits_does_not_let_less_in() {
    let weight = |plan: &Plan| pieces(plan) + 8 * setterwright::arrange::setters_in_use(plan);
    let added = |waits: usize| {
        let (plan, working) = waiting(waits);
        let most = weight(&plan) + 8 + 15;
        let judge = move |now: &Plan| {
            let found = Trouble {
                words: "Too heavy".to_owned(),
                ..Trouble::default()
            };
            (weight(now) > most).then_some(found).into_iter().collect()
        };
        let aims = Aims {
            furniture: Some(Furniture::of(&plan, working.shop.as_deref())),
            ..Aims::default()
        };
        searched(&plan, &working, aims, 60_000, &judge).added
    };
    let few = added(15);
    assert_eq!(few, 15);
    for waits in [40, 100] {
        let many = added(waits);
        assert!(many + 1 >= few, "{many} of {waits}");
    }
}
