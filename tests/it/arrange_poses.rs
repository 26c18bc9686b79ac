//! Parts laid on other faces and turned as each may be.

use crate::arrange::{GAPS, refused, waiting};
use crate::cli::{demo, run};
use setterwright::arrange::{
    Aims, Arrangement, Effort, Lying, Scope, Trouble, Turning, Watch, Weight, Weights, Wish,
    rearrange, setters_in_use,
};
use setterwright::catalogue::Catalogue;
use setterwright::document::arranging::{Arranged, ToArrange, arrange_plan};
use setterwright::files::{self, Working};
use setterwright::load::{Edit, Item, Lot, LotId, PartRecords, PlacementId, Plan};
use setterwright::part::{Drawn, Part, PartId, Rest, Shape, measure_typed};
use setterwright::statics::RestBy;
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

const ROD: Shape = Shape::Block {
    width_mm: 5.9,
    depth_mm: 6.2,
    height_mm: 37.0,
};

/// The demo with rods that wait, drawn standing, for which they are too slender.
fn with_rods(count: u32, change: impl Fn(&mut Part)) -> (Arc<Plan>, Working, PartId) {
    let (plan, working) = waiting(0);
    let mut plan = Plan::clone(&plan);
    let id = plan.next_id;
    let mut part = Part::clone(&plan.parts[0]);
    part.id = PartId(id);
    part.name = "rod".to_owned();
    part.geometry = Arc::new(measure_typed(&ROD).unwrap());
    part.shape = ROD;
    part.rest = Rest::AS_DRAWN;
    part.keep_off = Vec::new();
    part.approved_rest = None;
    part.weighed = None;
    part.drawn = Drawn::Green;
    change(&mut part);
    let id = part.id;
    // With what is on record of the demo's lot, weighed nearly free of what the first step takes out.
    let masses = PartRecords::new(&part, &working.catalogue)
        .unwrap()
        .masses(1.0)
        .unwrap();
    let [green_g, out_g] = [masses.green_g, masses.first_step_g].map(|g| g * f64::from(count));
    let lot = Lot {
        green_g: Some(green_g),
        dry_g: Some(green_g - 0.9 * out_g),
        previous_dry_g: Some(green_g - 0.9 * out_g),
        id: LotId(id.0 + 1),
        name: "rods".to_owned(),
        part: id,
        count,
        ..Lot::clone(&plan.lots[0])
    };
    for edit in [Edit::AddPart(Box::new(part)), Edit::AddLot(lot)] {
        plan = edit.apply(&plan, &working.catalogue).unwrap();
    }
    (Arc::new(plan), working, id)
}

fn asked(plan: &Arc<Plan>, working: &Working, poses: bool) -> ToArrange {
    ToArrange {
        poses,
        anew: false,
        evaluations: 100_000,
        with_forecast: false,
        ..ToArrange::of(Arc::clone(plan), working)
    }
}

fn arranged(asked: &ToArrange) -> Arranged {
    arrange_plan(asked, &Watch::default(), &|_| (), &|_| ()).unwrap()
}

fn rods(plan: &Plan, part: PartId) -> usize {
    let mine = |item: &Item| item.part() == Some(part);
    plan.placements().filter(|(_, p)| mine(&p.item)).count()
}

#[test]
fn what_cannot_stand_goes_in_lying_down_and_the_part_is_what_its_drawing_gives_there() {
    let (plan, working, part) = with_rods(3, |_| ());
    let stays = arranged(&asked(&plan, &working, false));
    assert_eq!(rods(&stays.layout.plan, part), 0);
    assert!(stays.layout.laid.is_empty());
    let lies = arranged(&asked(&plan, &working, true));
    let layout = &lies.layout;
    assert_eq!(rods(&layout.plan, part), 3, "{:?}", layout.left_out);
    let rod = layout.plan.part(part).unwrap();
    // A block on its side: its measures follow from the typed ones.
    let mut size = rod.geometry.size_mm;
    assert!(size[2] < 6.3, "{size:?}");
    size.sort_by(f64::total_cmp);
    for (is, was) in size.iter().zip([5.9, 6.2, 37.0]) {
        assert!((is - was).abs() < 1e-6, "{size:?}");
    }
    assert!((rod.geometry.volume_mm3 - 5.9 * 6.2 * 37.0).abs() < 1e-3);
    assert!(rod.rest.down()[2].abs() < 1e-6);
    // It is told, and part of the one step.
    assert_eq!(layout.laid.len(), 1);
    assert!(layout.laid[0].starts_with("rod lies on another face"));
    let edit = layout.numbered(plan.next_id).unwrap();
    assert_eq!(edit.apply(&plan, &working.catalogue).unwrap(), *layout.plan);
    // The same again.
    assert_eq!(
        arranged(&asked(&plan, &working, true)).layout.plan,
        layout.plan
    );
}

#[test]
fn a_face_that_is_kept_clean_or_approved_and_turns_keep_a_part_as_it_lies() {
    let sides = [
        [1.0, 0.0, 0.0],
        [-1.0, 0.0, 0.0],
        [0.0, 1.0, 0.0],
        [0.0, -1.0, 0.0],
    ];
    let (plan, working, part) = with_rods(2, |part| {
        part.keep_off = sides.map(|side| Rest::towards(side).unwrap()).to_vec();
    });
    let found = arranged(&asked(&plan, &working, true));
    assert_eq!(rods(&found.layout.plan, part), 0);
    // One side of the four is free.
    let (plan, working, part) = with_rods(2, |part| {
        part.keep_off = sides[..3]
            .iter()
            .map(|side| Rest::towards(*side).unwrap())
            .collect();
    });
    let found = arranged(&asked(&plan, &working, true));
    assert_eq!(rods(&found.layout.plan, part), 2);
    let down = found.layout.plan.part(part).unwrap().rest.down();
    assert!((down[1] + 1.0).abs() < 1e-6, "{down:?}");
    // Who may not turn it at all may not lay it otherwise.
    let (plan, working, part) = with_rods(2, |_| ());
    let unturned = ToArrange {
        turns: BTreeMap::from([(part, Turning::AsPlaced)]),
        ..asked(&plan, &working, true)
    };
    let found = arranged(&unturned);
    assert_eq!(rods(&found.layout.plan, part), 0);
    let said = found.layout.on_their_face.join(" ");
    assert!(
        said.contains("rod stays on its face: it is not to be turned"),
        "{said}"
    );
    // An approved pose is the only one.
    let (plan, working, part) = with_rods(2, |part| {
        part.approved_rest = Some(Rest::AS_DRAWN);
    });
    let found = arranged(&asked(&plan, &working, true));
    assert_eq!(rods(&found.layout.plan, part), 0);
}

#[test]
fn a_locked_piece_keeps_its_part_as_it_lies() {
    let (plan, working, part) = with_rods(2, |_| ());
    let level = plan.levels().next().unwrap().1;
    let mut rod = level.placements[0].clone();
    rod.id = PlacementId(plan.next_id);
    rod.item = Item::Part {
        part,
        lot: plan.lots.iter().find(|l| l.part == part).map(|l| l.id),
    };
    rod.support = None;
    rod.locked = true;
    let first = level.placements[0].id;
    let mut plan = Plan::clone(&plan);
    for edit in [
        Edit::RemovePlacements(vec![first]),
        Edit::Place {
            level: level.id,
            placements: vec![rod],
        },
    ] {
        plan = edit.apply(&plan, &working.catalogue).unwrap();
    }
    let plan = Arc::new(plan);
    let found = arranged(&asked(&plan, &working, true));
    assert!(
        found
            .layout
            .laid
            .iter()
            .all(|said| !said.starts_with("rod "))
    );
    assert_eq!(found.layout.plan.part(part), plan.part(part));
    let said = found.layout.on_their_face.join(" ");
    assert!(
        said.contains("rod stays on its face: pieces of it are locked"),
        "{said}"
    );
}

/// A bar that lies would stand higher and be worse to tip; no gain in points lets it.
#[test]
fn what_was_found_before_is_found_anew_where_a_new_face_makes_it_worse() {
    let block = Shape::Block {
        width_mm: 10.0,
        depth_mm: 40.0,
        height_mm: 34.0,
    };
    let (plan, working, part) = with_rods(3, |part| {
        part.geometry = Arc::new(measure_typed(&block).unwrap());
        part.shape = block.clone();
        part.keep_off = [[1.0, 0.0, 0.0], [-1.0, 0.0, 0.0]]
            .map(|side| Rest::towards(side).unwrap())
            .to_vec();
    });
    // Two of them stand, so that the finding is there before.
    let mut plan = Plan::clone(&plan);
    let level = plan.levels().last().unwrap().1;
    let (level, gone) = (level.id, level.placements.iter().map(|p| p.id).collect());
    let lot = plan.lots.iter().find(|l| l.part == part).map(|l| l.id);
    let placements = [0, 1].map(|i| setterwright::load::Placement {
        id: PlacementId(plan.next_id + i),
        item: Item::Part { part, lot },
        at_mm: [60.0 * f64::from(i) - 30.0, 0.0],
        angle_deg: 0.0,
        support: None,
        locked: false,
    });
    for edit in [
        Edit::RemovePlacements(gone),
        Edit::Place {
            level,
            placements: placements.to_vec(),
        },
    ] {
        plan = edit.apply(&plan, &working.catalogue).unwrap();
    }
    let plan = Arc::new(plan);
    let tip = |plan: &Plan| -> Option<f64> {
        let catalogue = &working.catalogue;
        let sizes = setterwright::load::Sizes::new(plan, catalogue);
        let item = Item::Part { part, lot };
        let sized = sizes.of(&item, catalogue)?;
        Some(
            sized
                .at(setterwright::part::SizeStage::Green)
                .body
                .height_mm(),
        )
    };
    let before = tip(&plan).unwrap();
    // All that counts is what a higher face would gain: nearness to the middle.
    let weights = [(Weight::Stack, 0.0), (Weight::Middle, 100.0)];
    let weights = weights
        .into_iter()
        .fold(Weights::default(), |all, (weight, each)| {
            all.with(weight, each).unwrap()
        });
    let found = arranged(&ToArrange {
        weights,
        ..asked(&plan, &working, true)
    });
    assert!(
        tip(&found.layout.plan).unwrap() <= before,
        "{:?}",
        found.layout.laid
    );
}

/// The judge takes no rod, however it lies, and brackets only where rods lie: with that face left in
/// the step, brackets alone would be kept.
#[test]
fn a_part_of_which_no_piece_finds_a_place_keeps_its_face() {
    for seed in 1..=3 {
        let (plan, working, part) = with_rods(3, |_| ());
        let mut plan = Plan::clone(&plan);
        Arc::make_mut(&mut plan.lots[0]).count += 2;
        let (plan, stood) = (Arc::new(plan.clone()), plan.placements().count());
        let set = Arrangement::new(&plan, &working.catalogue, GAPS).unwrap();
        let lying = {
            let rod = plan.part(part).unwrap();
            let by = RestBy::Towards(Rest::towards([1.0, 0.0, 0.0]).unwrap());
            let (rest, geometry) = files::part_resting(rod, Path::new(""), &by).unwrap();
            Lying {
                rest,
                geometry: Arc::new(geometry),
            }
        };
        let poses = move |_: &Watch| (BTreeMap::from([(part, vec![lying.clone()])]), Vec::new());
        let set = set.with_poses(Arc::new(poses));
        let judge = |now: &Plan| -> Vec<Trouble> {
            let (rods, more) = (rods(now, part), now.placements().count() > stood);
            let standing = now.part(part).unwrap().rest.is_as_drawn();
            let lots = now.lots.iter().filter(|l| rods == 0 || l.part == part);
            let found = Trouble {
                words: "not these".to_owned(),
                lots: lots.map(|l| l.id).collect(),
                ..Trouble::default()
            };
            match rods > 0 || standing && more {
                true => vec![found],
                false => Vec::new(),
            }
        };
        let effort = Effort {
            evaluations: 60_000,
            seed,
            islands: 1,
        };
        let found = rearrange(set, effort, &Watch::default(), &judge, &|_| ()).unwrap();
        assert_eq!(rods(&found.plan, part), 0);
        assert_eq!(found.plan.part(part), plan.part(part));
        assert!(found.laid.is_empty());
    }
}

/// Rods go in lying alone. Tiles have room as they are; laid with the rods they would be lower, and
/// nothing comes of it.
#[test]
fn a_face_that_brings_nothing_does_not_come_along() {
    let (plan, working, rod) = with_rods(3, |_| ());
    let mut plan = Plan::clone(&plan);
    let tile = PartId(plan.next_id);
    let shape = Shape::Block {
        width_mm: 12.0,
        depth_mm: 9.0,
        height_mm: 14.0,
    };
    let part = Part {
        id: tile,
        name: "tile".to_owned(),
        geometry: Arc::new(measure_typed(&shape).unwrap()),
        shape,
        ..Part::clone(plan.part(rod).unwrap())
    };
    let lot = Lot {
        count: 2,
        ..Lot::new(LotId(tile.0 + 1), "tiles", tile)
    };
    for edit in [Edit::AddPart(Box::new(part)), Edit::AddLot(lot)] {
        plan = edit.apply(&plan, &working.catalogue).unwrap();
    }
    let plan = Arc::new(plan);
    let lying = |id: PartId, down: [f64; 3]| {
        let by = RestBy::Towards(Rest::towards(down).unwrap());
        let part = plan.part(id).unwrap();
        let (rest, geometry) = files::part_resting(part, Path::new(""), &by).unwrap();
        let geometry = Arc::new(geometry);
        (id, vec![Lying { rest, geometry }])
    };
    let poses = BTreeMap::from([lying(rod, [1.0, 0.0, 0.0]), lying(tile, [0.0, 1.0, 0.0])]);
    let poses = move |_: &Watch| (poses.clone(), Vec::new());
    // Standing rods are refused.
    let judge = |now: &Plan| -> Vec<Trouble> {
        let standing = now.part(rod).unwrap().rest.is_as_drawn();
        let found = Trouble {
            words: "too slender".to_owned(),
            lots: now
                .lots
                .iter()
                .filter(|l| l.part == rod)
                .map(|l| l.id)
                .collect(),
            ..Trouble::default()
        };
        match standing && rods(now, rod) > 0 {
            true => vec![found],
            false => Vec::new(),
        }
    };
    let weights = [
        Weight::Setter,
        Weight::Stack,
        Weight::Middle,
        Weight::Balance,
        Weight::Rows,
    ];
    let weights = weights
        .into_iter()
        .fold(Weights::default(), |all, one| all.with(one, 0.0).unwrap());
    let wish = Wish {
        scope: Scope::Everything,
        ..GAPS
    };
    let set = Arrangement::new(&plan, &working.catalogue, wish).unwrap();
    let aims = Aims {
        weights,
        ..Aims::default()
    };
    let set = set.with(&Arc::new(aims)).with_poses(Arc::new(poses));
    let effort = Effort {
        evaluations: 100_000,
        seed: 1,
        islands: 1,
    };
    let found = rearrange(set, effort, &Watch::default(), &judge, &|_| ()).unwrap();
    assert_eq!([rod, tile].map(|part| rods(&found.plan, part)), [3, 2]);
    assert_eq!(found.laid.len(), 1, "{:?}", found.laid);
    assert!(found.laid[0].starts_with("rod "));
    assert_eq!(found.plan.part(tile), plan.part(tile));
}

#[test]
fn where_a_mesh_is_gone_its_part_stays_and_that_is_said() {
    let (plan, working) = waiting(1);
    let elsewhere = tempfile::tempdir().unwrap();
    let asked = ToArrange {
        folder: elsewhere.path().to_owned(),
        ..asked(&plan, &working, true)
    };
    let found = arranged(&asked);
    let layout = &found.layout;
    assert!(layout.laid.is_empty());
    let name = plan.parts[0].name.as_str();
    let said = layout
        .on_their_face
        .iter()
        .find(|said| said.starts_with(name));
    assert!(
        said.unwrap().contains("are not known"),
        "{:?}",
        layout.on_their_face
    );
}

#[test]
fn a_part_is_turned_as_it_may_be_and_the_others_as_all() {
    let (plan, working) = waiting(OFTEN);
    let part = plan.lots[0].part;
    let angles = |plan: &Plan| -> Vec<f64> {
        let mine = plan
            .placements()
            .filter(|(_, p)| p.item.part() == Some(part));
        mine.map(|(_, p)| p.angle_deg.rem_euclid(360.0)).collect()
    };
    let searched = |turns: BTreeMap<PartId, Turning>| {
        let wish = Wish {
            scope: Scope::Everything,
            turning: Turning::Any,
            turns,
            ..GAPS
        };
        let set = Arrangement::new(&plan, &working.catalogue, wish).unwrap();
        let effort = Effort {
            evaluations: 200_000,
            seed: 1,
            islands: 2,
        };
        rearrange(set, effort, &Watch::default(), &|_| Vec::new(), &|_| ()).unwrap()
    };
    let own = angles(&plan);
    let free = searched(BTreeMap::new());
    assert!(setters_in_use(&free.plan) > 0);
    assert!(angles(&free.plan).iter().any(|a| !own.contains(a)));
    let bound = searched(BTreeMap::from([(part, Turning::AsPlaced)]));
    assert!(bound.edit.is_some());
    assert!(angles(&bound.plan).iter().all(|a| own.contains(a)));
}

/// Pieces that wait.
const OFTEN: usize = 6;

#[test]
fn turns_and_poses_on_the_command_line() {
    let folder = tempfile::tempdir().unwrap();
    let to = folder.path().join("out.load.ron").display().to_string();
    let from = demo("cautions.load.ron");
    let refused = |more: &[&str], said: &str| refused(&from, &to, more, said);
    let (plan, _) = files::open_load(Path::new(&from), None).unwrap();
    let part = plan.parts[0].name.as_str();
    refused(&["--turn", "nobody=any"], "there is no part nobody");
    refused(&["--turn", part], "write --turn PART=TURNS");
    let [any, steps] = ["any", "steps"].map(|turns| format!("--turn={part}={turns}"));
    refused(&[&any, &steps], &format!("--turn names {part} twice"));
    // Case is no other name: this goes as far as the turns.
    let upper = part.to_uppercase();
    assert_ne!(upper, part);
    refused(&["--turn", &format!("{upper}=twice")], "none of right");
    let slip = format!("{}X=any", &upper[1..]);
    refused(&["--turn", &slip], &format!("did you mean {part}"));
    refused(
        &["--turn", &format!("{part}=twice")],
        "none of right, steps, any, as-placed",
    );
    refused(&["--budget", "0"], "1..");
    refused(&["--budget", "-1"], "invalid");
    // What is read is not written over, and a folder that is not there is told before the search.
    let (ran, before) = (
        run(&["arrange", &from, "-o", &from]),
        std::fs::read(&from).unwrap(),
    );
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("give another name"), "{}", ran.err);
    assert_eq!(std::fs::read(&from).unwrap(), before);
    let nowhere = folder.path().join("none").join("out.load.ron");
    let ran = run(&["arrange", &from, "-o", &nowhere.display().to_string()]);
    assert!(ran.err.contains("no such folder"), "{}", ran.err);
    // Paths of meshes are those from the new folder, and parts are what they were.
    let turn = format!("{part}=as-placed");
    let ran = run(&[
        "arrange",
        &from,
        "-o",
        &to,
        "--budget",
        "1000000",
        "--turn",
        &turn,
        "--poses",
        "--without-forecast",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let (plan, working) = files::open_load(Path::new(&to), None).unwrap();
    assert!(working.differences.is_empty(), "{:?}", working.differences);
    let meshes = plan.parts.iter().filter_map(|part| match &part.shape {
        Shape::Mesh { file, .. } => Some(folder.path().join(file)),
        _ => None,
    });
    let meshes: Vec<_> = meshes.collect();
    assert!(
        !meshes.is_empty() && meshes.iter().all(|file| file.exists()),
        "{meshes:?}"
    );
    // The same mesh by another path is no difference.
    let told = run(&["diff", &from, &to]);
    assert!(!told.out.contains("mesh file"), "{}", told.out);
    assert!(!told.out.contains("shape changed"), "{}", told.out);
}

#[test]
fn what_may_not_lie_on_a_material_is_not_put_onto_it_and_that_is_said() {
    let (plan, working, part) = with_rods(2, |part| {
        let flat = Shape::Block {
            width_mm: 12.0,
            depth_mm: 14.0,
            height_mm: 5.0,
        };
        part.geometry = Arc::new(measure_typed(&flat).unwrap());
        part.shape = flat;
    });
    let arranged = |listed: &str| {
        let mut catalogue = Catalogue::clone(&working.catalogue);
        let feedstock = plan.part(part).unwrap().feedstock.clone();
        let mine = &mut catalogue.feedstocks.get_mut(&feedstock).unwrap().1;
        Arc::make_mut(mine).setter_materials = vec![listed.to_owned()];
        let set = Arrangement::new(&plan, &Arc::new(catalogue), GAPS).unwrap();
        let effort = Effort {
            evaluations: 100_000,
            seed: 1,
            islands: 1,
        };
        rearrange(set, effort, &Watch::default(), &|_| Vec::new(), &|_| ()).unwrap()
    };
    let setter = &plan.levels().next().unwrap().1.setter;
    let setter = working.catalogue.setter(setter).unwrap();
    let support = plan.placements().next().unwrap().1.support.clone();
    let support = support.map(|id| working.catalogue.support(&id).unwrap().material.clone());
    let under = support.unwrap_or(
        setter
            .face_material
            .clone()
            .unwrap_or(setter.material.clone()),
    );
    assert_eq!(rods(&arranged(&under).plan, part), 2);
    let found = arranged("none of these");
    assert_eq!(rods(&found.plan, part), 0);
    let said = found
        .left_out
        .iter()
        .find(|l| l.name.starts_with("rod"))
        .unwrap();
    assert!(
        said.sentence().contains("does not go onto"),
        "{}",
        said.sentence()
    );
}
