//! The arrangement of a load from the command line.

use crate::cli::{Ran, demo, run};
use setterwright::arrange::{
    Arrangement, Effort, Keep, Rearranged, Scope, Trouble, Turning, Watch, Wish, not_turned,
    rearrange,
};
use setterwright::catalogue::Catalogue;
use setterwright::files::{self, Working};
use setterwright::load::{Edit, Item, Lot, LotId, Placement, PlacementId, Plan};
use setterwright::part::{Drawn, Part, PartId, Shape, measure_typed};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::sync::Arc;

#[test]
fn a_load_goes_on_fewer_setters_and_the_same_again() {
    let folder = tempfile::tempdir().unwrap();
    let arranged = |name: &str, seed: &str| {
        let to = folder.path().join(name).display().to_string();
        let from = demo("cautions.load.ron");
        let words = [
            "arrange", &from, "-o", &to, "--budget", "1000000", "--seed", seed,
        ];
        let ran = run(&words);
        assert_eq!(ran.code, 0, "{}", ran.err);
        assert!(ran.out.contains("instead of 5"), "{}", ran.out);
        (ran.out, fs::read_to_string(to).unwrap())
    };
    let (_, first) = arranged("a.load.ron", "1");
    assert_eq!(first, arranged("b.load.ron", "1").1);
    assert_ne!(first, arranged("c.load.ron", "2").1);
    let review = |file: &str| run(&["review", file]).code;
    let to = folder.path().join("a.load.ron").display().to_string();
    assert_eq!(review(&to), review(&demo("cautions.load.ron")));
}

#[test]
fn what_cannot_be_bettered_is_said_and_nothing_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let to = folder.path().join("out.load.ron");
    let named = to.display().to_string();
    let from = demo("clean.load.ron");
    let ran = run(&["arrange", &from, "-o", &named, "--budget", "2000"]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(ran.out.contains("Not arranged: no layout"), "{}", ran.out);
    assert!(ran.out.contains("Nothing was written."), "{}", ran.out);
    assert!(!to.exists());
    // The same for programs, with what is known of the load as it is.
    let ran = run(&["arrange", &from, "-o", &named, "--budget", "2000", "--json"]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(!to.exists());
    let json: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!(json["found"], false);
    assert!(json["file"].is_null());
    assert!(json["why_not"].as_str().unwrap().starts_with("no layout"));
    let (plan, _) = files::open_load(Path::new(&from), None).unwrap();
    let setters = setterwright::arrange::setters_in_use(&plan);
    assert_eq!(json["before"]["setters"], setters);
    assert_eq!(json["after"], json["before"]);
    let bound = json["least_setters_by_area"].as_u64().unwrap();
    assert!((1..=setters as u64).contains(&bound));
    assert_eq!(json["left_out"], serde_json::json!([]));
    // Bad input is another thing.
    let ran = run(&["arrange", "no-such.load.ron", "-o", &named, "--json"]);
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
    let help = run(&["arrange", "--help"]).out;
    assert!(help.contains("1 when none was found"), "{help}");
}

/// Asks for an arrangement with options.
pub fn asked(from: &str, to: &str, more: &[&str]) -> Ran {
    run(&[&["arrange", from, "-o", to][..], more].concat())
}

/// Asks for an arrangement with options that are refused in these words.
pub fn refused(from: &str, to: &str, more: &[&str], said: &str) {
    let ran = asked(from, to, more);
    assert_eq!(ran.code, 2, "{}", ran.out);
    assert!(ran.err.contains(said), "{}", ran.err);
}

/// Pieces that are taken off each of the first two levels.
const OFF: usize = 5;

/// The demo with room on the first two levels, and so many pieces of its lot waiting.
pub fn waiting(pieces: usize) -> (Arc<Plan>, Working) {
    let file = demo("cautions.load.ron");
    let (plan, working) = files::open_load(Path::new(&file), None).unwrap();
    let part = |p: &&Placement| matches!(p.item, Item::Part { .. });
    let levels = plan.levels().take(2).map(|(_, l)| l);
    let off = levels.flat_map(|l| l.placements.iter().filter(part).take(OFF));
    let edit = Edit::RemovePlacements(off.map(|p| p.id).collect());
    let mut plan = edit.apply(&plan, &working.catalogue).unwrap();
    let stand = plan.placements().filter(|(_, p)| part(p)).count();
    Arc::make_mut(&mut plan.lots[0]).count = (stand + pieces) as u32;
    (Arc::new(plan), working)
}

#[test]
fn gaps_take_what_waits_and_a_level_that_is_not_there_is_said() {
    let folder = tempfile::tempdir().unwrap();
    let (from, to) = ["waits.load.ron", "out.load.ron"]
        .map(|name| folder.path().join(name).display().to_string())
        .into();
    let (plan, working) = waiting(3);
    files::save_load(Path::new(&from), &plan, &working).unwrap();
    let asked = |more: &[&str]| {
        let usual = ["--budget", "100000", "--overwrite"];
        asked(&from, &to, &[&usual, more].concat())
    };
    let ran = asked(&["--scope", "gaps", "--turns", "steps"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let said = "3 pieces of lots that waited placed, 0 left waiting";
    assert!(ran.out.contains(said), "{}", ran.out);
    let places = |file: &str| -> Vec<(PlacementId, [f64; 2])> {
        let (plan, _) = files::open_load(Path::new(file), None).unwrap();
        plan.placements().map(|(_, p)| (p.id, p.at_mm)).collect()
    };
    let (before, after) = (places(&from), places(&to));
    assert_eq!(after.len(), before.len() + 3);
    assert!(before.iter().all(|one| after.contains(one)));
    let ran = asked(&["--scope", "level", "--level", "9"]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("there is no level 9"), "{}", ran.err);
}

/// Setters and posts are there and the stack has the height: but where what stands is not moved, no
/// level is added, however long it is searched; and how few setters all of it needs is not known where
/// a part of it alone was set out.
#[test]
fn where_a_part_is_set_out_no_level_and_no_bound_is_promised() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name).display().to_string();
    let (from, to) = (at("waits.load.ron"), at("out.load.ron"));
    let file = demo("clean.load.ron");
    let (mut plan, working) = files::open_load(Path::new(&file), None).unwrap();
    Arc::make_mut(&mut plan.lots[0]).count += 60;
    files::save_load(Path::new(&from), &plan, &working).unwrap();
    for scope in [&["gaps"][..], &["level", "--level", "1"]] {
        let words = [
            &[
                "arrange",
                &from,
                "-o",
                &to,
                "--budget",
                "20000",
                "--without-forecast",
                "--overwrite",
                "--scope",
            ],
            scope,
        ]
        .concat();
        let ran = run(&words);
        let said = "but levels are added only where everything may be set out";
        assert!(ran.out.contains("One is in stock"), "{}", ran.out);
        assert!(ran.out.contains(said), "{}", ran.out);
        assert!(!ran.out.contains("may use it"), "{}", ran.out);
        assert!(!ran.out.contains("at least"), "{}", ran.out);
        let ran = run(&[&words[..], &["--json"]].concat());
        let json: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
        assert!(json["least_setters_by_area"].is_null(), "{}", ran.out);
    }
}

/// An option that would be passed over in silence has a sentence of its own.
#[test]
fn options_that_do_nothing_are_told() {
    let folder = tempfile::tempdir().unwrap();
    let named = |name: &str| folder.path().join(name).display().to_string();
    let from = demo("cautions.load.ron");
    let asked = |to: &str, more: &[&str]| {
        let words = [
            "arrange",
            &from,
            "-o",
            to,
            "--budget",
            "1000000",
            "--without-forecast",
        ];
        run(&[&words, more].concat())
    };
    for more in [&["--level", "2"][..], &["--scope", "gaps", "--level", "1"]] {
        let ran = asked(&named("level.load.ron"), more);
        assert_eq!(ran.code, 2, "{}", ran.out);
        assert!(ran.err.contains("--scope level"), "{}", ran.err);
    }
    let (plan, _) = files::open_load(Path::new(&from), None).unwrap();
    let lot = plan.lots[0].name.as_str();
    let to = named("out.ron");
    let ran = asked(&to, &["--must", lot, "--json"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let json: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    let notes = json["notes"].as_array().unwrap();
    let has = |words: &str| notes.iter().any(|n| n.as_str().unwrap().contains(words));
    assert!(
        has(&format!("Every piece of lot {lot} stands")),
        "{notes:?}"
    );
    assert!(has("does not end in .load.ron"), "{notes:?}");
    assert_eq!(notes.len(), 2);
    // In words, too; with a usual name and nothing marked there is no such line.
    let ran = asked(
        &named("out.load.ron"),
        &["--scope", "level", "--level", "1", "--keep-posts"],
    );
    let said = [ran.out, ran.err].concat();
    assert!(said.contains("--keep-posts changes nothing"), "{said}");
    assert!(!said.contains("does not end in"), "{said}");
}

/// Which level is meant nobody knows but where there is one alone.
#[test]
fn one_level_of_several_has_to_be_named() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name).display().to_string();
    let (one, to) = (at("one.load.ron"), at("out.load.ron"));
    let file = demo("cautions.load.ron");
    let (mut plan, working) = files::open_load(Path::new(&file), None).unwrap();
    let levels = plan.levels().count();
    refused(
        &file,
        &to,
        &["--scope", "level"],
        &format!("the load has {levels}: name it with --level, 1 to {levels}"),
    );
    assert!(!Path::new(&to).exists());
    plan.load.stacks[0].levels.truncate(1);
    files::save_load(Path::new(&one), &plan, &working).unwrap();
    let level = |more: &[&str]| {
        let usual = [
            "--scope",
            "level",
            "--budget",
            "20000",
            "--without-forecast",
        ];
        let ran = asked(
            &one,
            &to,
            &[&usual, more, &["--json", "--overwrite"]].concat(),
        );
        assert!(ran.code < 2, "{}", ran.err);
        ran.out
    };
    assert_eq!(level(&[]), level(&["--level", "1"]));
    plan.load.stacks.clear();
    files::save_load(Path::new(&one), &plan, &working).unwrap();
    let to = at("none.load.ron");
    refused(&one, &to, &["--scope", "level"], "the load has 0 levels");
}

/// What is said of parts that stay is what becomes of them.
#[test]
fn parts_that_are_not_turned_are_told() {
    let (plan, _) = files::open_load(Path::new(&demo("cautions.load.ron")), None).unwrap();
    let all: BTreeMap<PartId, Turning> = plan.parts.iter().map(|p| (p.id, Turning::Any)).collect();
    let told = |plan: &Plan, scope| not_turned(plan, scope, &all);
    let stays = |name: &str| format!("{name} is not turned, since it stays");
    let coupon = plan.placements().find_map(|(_, p)| match &p.item {
        Item::Coupon { part, .. } => Some(*part),
        _ => None,
    });
    let coupon = plan.part(coupon.unwrap()).unwrap().name.clone();
    let said = told(&plan, Scope::Everything);
    assert!(
        said.len() == 1 && said[0].starts_with(&stays(&coupon)),
        "{said:?}"
    );
    assert_eq!(
        not_turned(&plan, Scope::Everything, &BTreeMap::new()),
        [""; 0]
    );
    // All lots are whole: nothing that stands goes into a gap.
    assert_eq!(told(&plan, Scope::Gaps).len(), plan.parts.len());
    let part = plan.part(plan.lots[0].part).unwrap();
    let mut waits = plan.clone();
    Arc::make_mut(&mut waits.lots[0]).count += 1;
    let said = told(&waits, Scope::Gaps);
    assert!(
        !said.iter().any(|s| s.starts_with(&stays(&part.name))),
        "{said:?}"
    );
    // Locked, it stays with everything set out; one piece more that waits is turned.
    let lock = |plan: &mut Plan| {
        let levels = plan.load.stacks.iter_mut().flat_map(|s| &mut s.levels);
        let things = levels.flat_map(|l| &mut Arc::make_mut(l).placements);
        let mine = things.filter(|p| p.item.part() == Some(part.id));
        mine.for_each(|p| p.locked = true);
    };
    let mut locked = plan.clone();
    lock(&mut locked);
    let said = told(&locked, Scope::Everything);
    assert!(
        said.iter().any(|s| s.starts_with(&stays(&part.name))),
        "{said:?}"
    );
    lock(&mut waits);
    let said = told(&waits, Scope::Everything);
    assert!(
        !said.iter().any(|s| s.starts_with(&stays(&part.name))),
        "{said:?}"
    );
    // On the command line, too.
    let folder = tempfile::tempdir().unwrap();
    let to = folder.path().join("out.load.ron").display().to_string();
    let turn = format!("{coupon}=any");
    let usual = ["--budget", "20000", "--without-forecast", "--turn", &turn];
    let ran = asked(&demo("cautions.load.ron"), &to, &usual);
    assert!(ran.out.contains(&stays(&coupon)), "{}", ran.out);
}

pub const GAPS: Wish = Wish {
    scope: Scope::Gaps,
    turning: Turning::RightAngles,
    turns: BTreeMap::new(),
    keep: Keep {
        gap_mm: 0.6,
        edge_mm: 5.0,
        head_mm: 5.0,
        roof_mm: 10.0,
        sensor_mm: 5.0,
    },
};

fn searched(
    plan: &Arc<Plan>,
    catalogue: &Arc<Catalogue>,
    judge: &dyn Fn(&Plan) -> Vec<Trouble>,
) -> Rearranged {
    let set = Arrangement::new(plan, catalogue, GAPS).unwrap();
    let effort = Effort {
        evaluations: 200_000,
        seed: 1,
        islands: 2,
    };
    rearrange(set, effort, &Watch::default(), judge, &|_| ()).unwrap()
}

#[test]
fn what_the_judge_finds_on_a_level_keeps_new_pieces_off_it() {
    let (plan, Working { catalogue, .. }) = waiting(2);
    let bad = plan.levels().next().unwrap().1.id;
    let on_it = |plan: &Plan| plan.level(bad).unwrap().1.placements.len();
    let before = on_it(&plan);
    let judge = |now: &Plan| {
        let found = Trouble {
            words: "too much".to_owned(),
            levels: vec![bad],
            ..Trouble::default()
        };
        if on_it(now) > before {
            vec![found]
        } else {
            Vec::new()
        }
    };
    let found = searched(&plan, &catalogue, &judge);
    assert_eq!(on_it(&found.plan), before);
    assert_eq!(found.added, 2);
    assert!(found.left_out.is_empty());
}

#[test]
fn what_a_lot_would_bring_leaves_the_lot_out_and_says_so() {
    let (plan, Working { catalogue, .. }) = waiting(2);
    let lot = plan.lots[0].id;
    let judge = |now: &Plan| {
        let found = Trouble {
            words: "Lot is wet".to_owned(),
            lots: vec![lot],
            ..Trouble::default()
        };
        if now.placements().count() > plan.placements().count() {
            vec![found]
        } else {
            Vec::new()
        }
    };
    let found = searched(&plan, &catalogue, &judge);
    assert!(found.edit.is_none());
    assert_eq!(found.in_the_way, ["Lot is wet"]);
    assert_eq!(found.left_out.len(), 1);
    assert_eq!(found.left_out[0].count, 2);
    let said = found.left_out[0].sentence();
    assert!(said.contains("Lot is wet"), "{said}");
}

#[test]
fn each_reason_says_what_would_let_the_piece_in() {
    let (plan, Working { catalogue, .. }) = waiting(0);
    let mut plan = Plan::clone(&plan);
    let other = {
        let own = &plan.parts[0].feedstock;
        let mut all = catalogue.feedstocks.keys();
        all.find(|id| *id != own).unwrap().clone()
    };
    let block = |w: f64, d: f64, h: f64| Shape::Block {
        width_mm: w,
        depth_mm: d,
        height_mm: h,
    };
    let pieces = [
        ("mast", block(12.0, 12.0, 300.0), None),
        ("sheet", block(400.0, 400.0, 4.0), None),
        ("stranger", block(12.0, 12.0, 12.0), Some(other)),
    ];
    for (name, shape, feedstock) in pieces {
        let id = plan.next_id;
        let mut part = Part::clone(&plan.parts[0]);
        part.id = PartId(id);
        part.name = name.to_owned();
        part.geometry = Arc::new(measure_typed(&shape).unwrap());
        part.shape = shape;
        part.drawn = Drawn::Green;
        if let Some(feedstock) = feedstock {
            part.feedstock = feedstock;
        }
        let lot = Lot {
            count: 2,
            ..Lot::new(LotId(id + 1), name, part.id)
        };
        for edit in [Edit::AddPart(Box::new(part)), Edit::AddLot(lot)] {
            plan = edit.apply(&plan, &catalogue).unwrap();
        }
    }
    let plan = Arc::new(plan);
    let found = searched(&plan, &catalogue, &|_| Vec::new());
    let said: Vec<String> = found.left_out.iter().map(|l| l.sentence()).collect();
    let of = |name: &str| said.iter().find(|s| s.starts_with(name)).unwrap();
    assert!(
        of("mast").contains("more than there is room on"),
        "{said:?}"
    );
    assert!(of("mast").contains("would let them in"), "{said:?}");
    assert!(of("sheet").contains("A larger setter"), "{said:?}");
    assert!(of("stranger").contains("feedstock"), "{said:?}");
    assert!(said.iter().all(|s| s.contains("2 pieces wait")), "{said:?}");
    assert_eq!(found.added, 0);
}

#[test]
fn where_there_is_no_room_one_setter_more_is_reckoned() {
    let (plan, Working { catalogue, .. }) = waiting(60);
    let found = searched(&plan, &catalogue, &|_| Vec::new());
    assert!(found.added > 0);
    let said = found.left_out[0].sentence();
    assert!(said.contains("One setter more would take about"), "{said}");
    let (fill, most) = (found.after.fill.unwrap(), found.after.ceiling.unwrap());
    assert!(
        fill > found.before.fill.unwrap() && fill <= most,
        "{found:?}"
    );
    // Numbers given out meanwhile are not given out twice.
    let edit = found.numbered(plan.next_id + 50).unwrap();
    let mut later = Plan::clone(&plan);
    later.next_id += 50;
    assert!(edit.apply(&later, &catalogue).is_ok());
}
