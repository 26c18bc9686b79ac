//! What is wanted of a layout besides distances: what goes first, the work zone, what counts.

use crate::arrange::{GAPS, asked, refused, waiting};
use crate::cli::{demo, run};
use setterwright::arrange::{
    Aims, Arrangement, Effort, Figures, First, Furniture, Order, Rearranged, Scope, Watch, Weight,
    Weights, Wish, rearrange,
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
            weights: order.weights(),
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
    let refused = |more: &[&str], said: &str| refused(&from, &to, more, said);
    let (plan, _) = waiting(0);
    let lot = plan.lots[0].name.as_str();
    refused(&["--must", "nobody"], "there is no lot nobody");
    refused(&["--priority", lot], "write --priority LOT=N");
    for (empty, said) in [
        (
            "--must=",
            "--must is followed by nothing; write --must LOT.",
        ),
        ("--must= ", "--must is followed by nothing"),
        ("--priority=", "--priority is followed by nothing"),
        ("--due=", "--due is followed by nothing"),
        ("--due==2026-12-02", "write --due LOT=DAY"),
    ] {
        refused(&[empty], said);
    }
    // Twice, which of the two is meant nobody knows; in another case it is the same lot.
    for (option, ends) in [
        ("must", ["", ""]),
        ("priority", ["=3", "=4"]),
        ("due", ["=2026-12-02", "=2026-12-03"]),
    ] {
        let [one, two] = ends.map(|end| format!("--{option}={lot}{end}"));
        let two = two.replacen(lot, &lot.to_lowercase(), 1);
        let said = format!("--{option} names {} twice", lot.to_lowercase());
        refused(&[&one, &two], &said);
    }
    let lower = format!("{}=high", lot.to_lowercase());
    assert_ne!(lot.to_lowercase(), lot);
    refused(&["--priority", &lower], "not a whole number");
    refused(
        &["--priority", &format!("{lot}=high")],
        "not a whole number from 0 to 99",
    );
    for bad in ["NaN", "-1", "100", "99999999999"] {
        let bad = format!("{lot}={bad}");
        refused(&["--priority", &bad], "not a whole number from 0 to 99");
    }
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

const NOTHING: Weights = Weights {
    setter: 0.0,
    stack: 0.0,
    middle: 0.0,
    balance: 0.0,
    rows: 0.0,
    earlier: 8.0,
};

/// Of what counts for something alone there is no less under any other weight, and clearly more
/// under one at least: a weight that is not looked at fails here.
#[test]
fn each_weight_decides_how_a_layout_is_finished() {
    let (plan, working) = waiting(4);
    let of = [Weight::Middle, Weight::Balance, Weight::Rows];
    let found = of.map(|weight| {
        let aims = Aims {
            weights: NOTHING.with(weight, 10.0).unwrap(),
            ..Aims::default()
        };
        let found = arranged(&plan, &working.catalogue, aims).unwrap();
        assert_eq!(found.after.waiting, 0);
        found.after
    });
    println!("{found:?}");
    let rows = |f: &Figures| 1.0 - f.in_rows.unwrap();
    let (middle, off) = (
        |f: &Figures| f.middle_mm.unwrap(),
        |f: &Figures| f.off_axis_mm.unwrap(),
    );
    let alone = |at: usize, figure: &dyn Fn(&Figures) -> f64, clearly: f64| {
        let all = found.map(|f| figure(&f));
        let most = all.into_iter().fold(0.0, f64::max);
        assert!(
            all.iter().all(|other| all[at] <= *other + 1e-6),
            "{at}: {all:?}"
        );
        assert!(most > all[at] + clearly, "{at}: {all:?}");
    };
    alone(0, &middle, 0.05);
    alone(1, &off, 0.1);
    alone(2, &rows, 0.05);
}

/// What counts for nothing is no reason to move anything.
#[test]
fn setters_and_height_are_saved_where_they_count_alone() {
    let (plan, working) = waiting(0);
    let of = |plan: &Arc<Plan>, weights: Weights| {
        let aims = Aims {
            furniture: Some(Furniture::of(plan, working.shop.as_deref())),
            weights,
            ..Aims::default()
        };
        arranged(plan, &working.catalogue, aims).unwrap()
    };
    // But that pieces stand too near to each other is.
    let clear = of(&plan, NOTHING);
    assert_eq!(clear.amiss, [4, 0]);
    let none = of(&clear.plan, NOTHING);
    assert_eq!((&none.edit, none.amiss), (&None, [0, 0]));
    assert_eq!(none.weighed().points, [0.0; 2]);
    let setter = of(&plan, NOTHING.with(Weight::Setter, 2.0).unwrap());
    assert!(setter.after.setters < setter.before.setters);
    let saved = (setter.before.setters - setter.after.setters) as f64;
    let [before, after] = setter.weighed().points;
    assert_eq!(before - after, 2.0 * saved);
    let stack = of(&plan, NOTHING.with(Weight::Stack, 1.0).unwrap());
    let height = |f: Figures| f.height_mm.unwrap();
    assert!(height(stack.after) < height(stack.before) - 1.0);
    assert!(height(stack.after) <= height(setter.after));
    // So little that no height is worth a point.
    let little = of(&clear.plan, NOTHING.with(Weight::Stack, 0.001).unwrap());
    assert_eq!(little.edit, None);
}

/// With 1 a due lot goes as if nothing were due.
#[test]
fn a_piece_due_earlier_counts_for_as_many_as_its_weight_says() {
    let (plan, catalogue, [one, other]) = three_lots();
    let due = |id: LotId| {
        let first = First {
            due: Some("2026-12-01".to_owned()),
            ..First::default()
        };
        BTreeMap::from([(id, first)])
    };
    let with = |earlier: f64, first: BTreeMap<LotId, First>| {
        let aims = Aims {
            first,
            weights: Weights::default().with(Weight::Earlier, earlier).unwrap(),
            ..Aims::default()
        };
        let found = arranged(&plan, &catalogue, aims).unwrap();
        [one, other].map(|lot| standing(&found.plan, lot))
    };
    let none = with(8.0, BTreeMap::new());
    println!("{none:?}");
    assert!(
        none[0] < 4 || none[1] < 4,
        "nothing is left to be told apart"
    );
    for (at, lot) in [one, other].into_iter().enumerate() {
        assert_eq!(with(1.0, due(lot)), none);
        assert_eq!(with(2.0, due(lot))[at], 4);
    }
}

#[test]
fn weights_are_set_on_the_command_line_and_told_in_text_and_json() {
    let folder = tempfile::tempdir().unwrap();
    let to = folder.path().join("out.load.ron").display().to_string();
    let from = demo("cautions.load.ron");
    let arrange = |more: &[&str]| {
        let usual = ["--budget", "1000000", "--without-forecast"];
        asked(&from, &to, &[&usual, more].concat())
    };
    for (bad, said) in [
        ("setter=-1", "from 0 to 1000000, which -1 is not"),
        ("stack=NaN", "which NaN is not"),
        ("rows=1e7", "which 10000000 is not"),
        ("earlier=0", "from 1 to 100"),
        ("rows=many", "is not a number"),
        ("rows", "write --weight NAME=NUMBER"),
        ("", "--weight is followed by nothing"),
        ("row=1", "did you mean rows?"),
        ("ROW=1", "did you mean rows?"),
        ("Rows=many", "is not a number"),
    ] {
        let ran = arrange(&["--weight", bad]);
        assert_eq!(ran.code, 2, "{}", ran.out);
        assert!(ran.err.contains(said), "{}", ran.err);
    }
    let ran = arrange(&["--weight", "rows=1", "--weight", "ROWS=2"]);
    assert_eq!(ran.code, 2, "{}", ran.out);
    assert!(ran.err.contains("--weight names ROWS twice"), "{}", ran.err);
    let ran = arrange(&[]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.contains("assumed weights"), "{}", ran.out);
    assert!(
        ran.out
            .contains("Setters used: 5 before, 4 after, at 1000 for each: 5000 and 4000 points")
    );
    assert!(ran.out.contains("Points in all: "));
    let own = [
        "--order",
        "rows",
        "--weight",
        "setter=7",
        "--weight",
        "stack=0.5",
        "--json",
        "--overwrite",
    ];
    let ran = arrange(&own);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let json: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!(json["found"], true);
    assert_eq!(json["file"], to.as_str());
    assert_eq!(json["weights_assumed"], false);
    let weights = [
        ("setter", 7.0),
        ("stack", 0.5),
        ("rows", 0.2),
        ("earlier", 8.0),
    ];
    for (name, number) in weights {
        assert_eq!(json["weights"][name], number, "{name}");
    }
    let sum = |side: &str| -> f64 {
        let terms = json["terms"].as_array().unwrap().iter();
        let one = |t: &serde_json::Value| t["each"].as_f64().unwrap() * t[side].as_f64().unwrap();
        terms.map(one).sum()
    };
    for side in ["before", "after"] {
        let points = json[format!("points_{side}")].as_f64().unwrap();
        assert!((sum(side) - points).abs() < 1e-6, "{side}");
        assert_eq!(
            json["terms"][0][side],
            json[side]["setters"].as_f64().unwrap()
        );
    }
    let help = run(&["arrange", "--help"]).out;
    for weight in Weight::ALL {
        assert!(help.contains(&format!("{}: ", weight.word())), "{help}");
    }
    assert!(
        help.contains("--order lowest: 1, 1, 0.1, 0.1, 0.02, 8"),
        "{help}"
    );
}

/// As many places as are told, within what the help allows.
#[test]
fn no_more_places_are_tried_than_the_help_says() {
    for budget in [100_000, 400_000] {
        let (plan, working) = waiting(60);
        let aims = Aims {
            furniture: Some(Furniture::of(&plan, working.shop.as_deref())),
            ..Aims::default()
        };
        let wish = Wish {
            scope: Scope::Everything,
            ..GAPS
        };
        let set = Arrangement::new(&plan, &working.catalogue, wish).unwrap();
        let effort = Effort {
            evaluations: budget,
            seed: 1,
            islands: 2,
        };
        let set = set.with(&Arc::new(aims));
        let watch = Watch::default();
        let found = rearrange(set, effort, &watch, &|_| Vec::new(), &|_| ()).unwrap();
        println!("{budget}: {}", found.evaluations);
        // What is told at the end is what was counted on the way.
        let counted = watch.tried.load(std::sync::atomic::Ordering::Relaxed);
        assert_eq!(found.evaluations, counted);
        assert!(found.evaluations > budget / 2);
        assert!(found.evaluations <= budget * 7 / 2, "{}", found.evaluations);
    }
}
