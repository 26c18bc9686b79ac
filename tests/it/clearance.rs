//! Clearances of placed parts against hand-worked geometry.

use setterwright::catalogue::{Catalogue, builtin};
use setterwright::load::{
    Caps, Carrier, Clearances, Edit, Item, Level, LevelId, LevelScene, Neighbour, Placement,
    PlacementId, Plan, Sizes, Stack, StackId, clearances,
};
use setterwright::part::{Drawn, Part, PartId, Shape, SizeStage, measure_typed};
use setterwright::profile::{Profile, RampBy, Segment, SegmentId};
use std::sync::Arc;

const CAPS: Caps = Caps {
    gap_mm: 5.0,
    edge_mm: 200.0,
    head_mm: 100.0,
    roof_mm: 100.0,
    sensor_mm: 25.0,
    zone_mm: 20.0,
};

fn catalogue() -> Arc<Catalogue> {
    builtin().unwrap().0
}

/// A part drawn at green size.
fn part(id: u32, feedstock: &str, shape: Shape) -> Part {
    Part {
        id: PartId(id),
        name: format!("part {id}"),
        feedstock: feedstock.to_owned(),
        geometry: Arc::new(measure_typed(&shape).unwrap()),
        shape,
        drawn: Drawn::Green,
        made_with_oversize: None,
        weighed: None,
        section_mm: None,
        rest: Default::default(),
        infill: Default::default(),
        keep_off: Vec::new(),
        approved_rest: None,
        work_zone_only: false,
    }
}

fn block(width_mm: f64, depth_mm: f64, height_mm: f64) -> Shape {
    Shape::Block {
        width_mm,
        depth_mm,
        height_mm,
    }
}

/// An L of 30 × 30 mm with legs 8 mm wide, its inner corner open to the upper right.
fn l_shape(height_mm: f64) -> Shape {
    let outline_mm = vec![
        [0.0, 0.0],
        [30.0, 0.0],
        [30.0, 8.0],
        [8.0, 8.0],
        [8.0, 30.0],
        [0.0, 30.0],
    ];
    Shape::Prism {
        outline_mm,
        height_mm,
    }
}

/// A plan with one level on the hearth of the small box, fired to 1360 °C.
fn plan(parts: Vec<Part>, placed: &[(u32, [f64; 2], f64)]) -> Plan {
    let profile = Profile {
        name: "test".to_owned(),
        revision: "1".to_owned(),
        start_c: 20.0,
        segments: vec![Segment {
            id: SegmentId(900),
            ramp: RampBy::Rate { k_min: 5.0 },
            to_c: 1360.0,
            hold_min: 60.0,
            wait_on: None,
            gas: None,
            flow_l_min_25c: 0.0,
            pressure_mbar: None,
            events: Vec::new(),
            note: String::new(),
        }],
        unload_c: 60.0,
        approval: None,
    };
    let mut plan = Plan::new("test", "small-vacuum-box", profile);
    let catalogue = catalogue();
    for part in parts {
        plan = Edit::AddPart(Box::new(part))
            .apply(&plan, &catalogue)
            .unwrap();
    }
    let placements = placed
        .iter()
        .zip(102..)
        .map(|((part, at_mm, angle_deg), id)| Placement {
            id: PlacementId(id),
            item: Item::Part {
                part: PartId(*part),
                lot: None,
            },
            at_mm: *at_mm,
            angle_deg: *angle_deg,
            support: None,
            locked: false,
        })
        .collect();
    let level = Level {
        id: LevelId(101),
        setter: "alumina-square-250x6".to_owned(),
        carrier: Carrier::Hearth,
        placements,
    };
    let stack = Stack {
        id: StackId(100),
        at_mm: [0.0, 0.0],
        levels: vec![Arc::new(level)],
    };
    Edit::AddStack(stack).apply(&plan, &catalogue).unwrap()
}

fn look(plan: &Plan) -> Clearances {
    let catalogue = catalogue();
    let furnace = catalogue.furnace("small-vacuum-box").unwrap();
    clearances(
        plan,
        &catalogue,
        furnace,
        &Sizes::new(plan, &catalogue),
        &CAPS,
    )
}

#[track_caller]
fn near(value: f64, expected: f64, tolerance: f64) {
    assert!(
        (value - expected).abs() <= tolerance,
        "{value} instead of {expected}"
    );
}

#[test]
fn growth_takes_half_of_a_millimetre_between_sixty_millimetre_parts() {
    // model.md section 1: a 60 mm part at 61 mm pitch keeps 0.45 mm of its 1.00 mm gap at 950 °C.
    // By hand: 1.00 − 60 · 18e-6 · 930 + 61 · 8e-6 · 930 = 0.449 mm.
    let parts = vec![part(1, "316l-wax", block(60.0, 40.0, 10.0))];
    let found = look(&plan(
        parts,
        &[(1, [-30.5, 0.0], 0.0), (1, [30.5, 0.0], 0.0)],
    ));
    let [gap] = found.pairs[..] else {
        panic!("{:?}", found.pairs)
    };
    near(gap.green_mm.unwrap(), 1.0, 1e-9);
    near(gap.gap_mm, 0.45, 0.02);
    assert_eq!(gap.stages, (SizeStage::Hottest, SizeStage::Hottest));
}

#[test]
fn a_pin_in_a_bore_is_nearest_when_sintered() {
    // Both shrink about their common centre: the gap of (40 − 34)/2 = 3 mm shrinks with them.
    let parts = vec![
        part(
            1,
            "316l-wax",
            Shape::Tube {
                outer_mm: 60.0,
                bore_mm: 40.0,
                height_mm: 10.0,
            },
        ),
        part(
            2,
            "316l-wax",
            Shape::Disc {
                diameter_mm: 34.0,
                height_mm: 10.0,
            },
        ),
    ];
    let found = look(&plan(parts, &[(1, [5.0, 5.0], 0.0), (2, [5.0, 5.0], 33.0)]));
    let [gap] = found.pairs[..] else {
        panic!("{:?}", found.pairs)
    };
    let factor = catalogue().feedstock("316l-wax").unwrap().oversize[0];
    // Circles are polygons up to 0.02 mm on the near side of each other.
    near(gap.green_mm.unwrap(), 3.0, 0.04);
    near(gap.gap_mm, 3.0 / factor, 0.04);
    assert_eq!(gap.stages, (SizeStage::Sintered, SizeStage::Sintered));
}

#[test]
fn an_eccentric_pin_keeps_its_place_while_the_bore_shrinks() {
    // Pin 20 mm in a bore of 40 mm, 6 mm off centre: 4 mm green. Anchors stay, radii shrink:
    // 20/f − 10/f − 6 when sintered.
    let parts = vec![
        part(
            1,
            "316l-wax",
            Shape::Tube {
                outer_mm: 60.0,
                bore_mm: 40.0,
                height_mm: 10.0,
            },
        ),
        part(
            2,
            "316l-wax",
            Shape::Disc {
                diameter_mm: 20.0,
                height_mm: 10.0,
            },
        ),
    ];
    let found = look(&plan(parts, &[(1, [0.0, 0.0], 0.0), (2, [6.0, 0.0], 0.0)]));
    let factor = catalogue().feedstock("316l-wax").unwrap().oversize[0];
    near(found.pairs[0].gap_mm, 10.0 / factor - 6.0, 0.04);
}

#[test]
fn of_two_feedstocks_one_may_have_shrunk_and_the_other_not() {
    let parts = vec![
        part(
            1,
            "316l-wax",
            Shape::Tube {
                outer_mm: 60.0,
                bore_mm: 40.0,
                height_mm: 10.0,
            },
        ),
        part(
            2,
            "w-ni-fe-wax",
            Shape::Disc {
                diameter_mm: 34.0,
                height_mm: 10.0,
            },
        ),
    ];
    let found = look(&plan(parts, &[(1, [0.0, 0.0], 0.0), (2, [0.0, 0.0], 0.0)]));
    let [gap] = found.pairs[..] else {
        panic!("{:?}", found.pairs)
    };
    // The bore has shrunk to 40/f, the pin has grown: less than nothing is left.
    assert_eq!(gap.gap_mm, 0.0);
    assert_eq!(gap.stages, (SizeStage::Sintered, SizeStage::Hottest));
    near(gap.green_mm.unwrap(), 3.0, 0.04);
}

#[test]
fn interlocked_ls_are_apart_although_their_hulls_overlap() {
    // The second L is the first moved by (11, 11): its corner stands 3 mm off both legs of the
    // first, inside the first one's hull (x + y ≤ 38) and box.
    // The anchor of an L is its centroid; by hand for 30 × 30 with 8 mm legs:
    let c = (30.0 * 8.0 * 15.0 + 8.0 * 22.0 * 4.0) / (30.0 * 8.0 + 8.0 * 22.0);
    let (ax, ay) = (c, c);
    let (bx, by) = (c + 11.0, c + 11.0);
    for turn in [0.0_f64, 17.3, 211.0] {
        let (sin, cos) = turn.to_radians().sin_cos();
        let about = |x: f64, y: f64| {
            let (x, y) = (x - 20.0, y - 20.0);
            [cos * x - sin * y, sin * x + cos * y]
        };
        let parts = vec![part(1, "316l-wax", l_shape(6.0))];
        let placed = [(1, about(ax, ay), turn), (1, about(bx, by), turn)];
        let found = look(&plan(parts, &placed));
        let [gap] = found.pairs[..] else {
            panic!("at {turn}: {:?}", found.pairs)
        };
        near(gap.green_mm.unwrap(), 3.0, 1e-6);
    }
}

#[test]
fn a_part_inside_another_is_a_collision() {
    for angle in [0.0, 37.7] {
        let parts = vec![
            part(1, "316l-wax", block(60.0, 60.0, 20.0)),
            part(2, "316l-wax", block(5.0, 5.0, 5.0)),
        ];
        let found = look(&plan(
            parts,
            &[(1, [0.0, 0.0], angle), (2, [1.0, 2.0], -angle)],
        ));
        assert_eq!(found.pairs.len(), 1);
        assert_eq!(found.pairs[0].gap_mm, 0.0);
    }
}

#[test]
fn the_edge_is_measured_from_the_usable_face() {
    // 250 mm setter: half 125. A 20 mm block at x = 110 reaches 120: 5 mm green.
    let parts = vec![part(1, "316l-wax", block(20.0, 20.0, 10.0))];
    let found = look(&plan(parts.clone(), &[(1, [110.0, 0.0], 0.0)]));
    let edge = |found: &Clearances| {
        let edge = found.items.iter().find(|i| i.to == Neighbour::SetterEdge);
        edge.map(|e| e.gap_mm).unwrap()
    };
    assert!(edge(&found) <= 5.0 && edge(&found) > 4.9);
    let over = look(&plan(parts, &[(1, [120.0, 0.0], 0.0)]));
    near(edge(&over), -5.0, 0.2);
}

#[test]
fn a_dragged_part_gives_the_same_gaps_as_setting_it_down_there() {
    let catalogue = catalogue();
    let parts = vec![
        part(1, "316l-wax", l_shape(6.0)),
        part(2, "316l-wax", block(20.0, 10.0, 5.0)),
    ];
    let start = [
        (1, [0.0, 0.0], 10.0),
        (2, [60.0, 0.0], 0.0),
        (1, [-60.0, 20.0], 90.0),
    ];
    let before = plan(parts.clone(), &start);
    let after = plan(parts, &[start[0], (2, [22.0, 5.0], 45.0), start[2]]);
    let sizes = Sizes::new(&before, &catalogue);
    let level = |plan: &Plan| Arc::clone(plan.levels().next().unwrap().1);
    let scene = LevelScene::new(&level(&before), &before, &sizes, &catalogue);
    let moved = level(&after);
    let placement = &moved.placements[1];
    let sized = sizes.of(&placement.item, &catalogue).unwrap();
    let standing = setterwright::load::Standing::new(placement, &sized, 0.0, scene.growths());
    let dragged = scene.gaps_of(&standing, &[], 5.0);
    let set_down = LevelScene::new(&moved, &after, &sizes, &catalogue).pair_gaps(5.0);
    let of_it: Vec<_> = set_down
        .into_iter()
        .filter(|g| g.a == placement.id || g.b == placement.id)
        .collect();
    assert_eq!(dragged, of_it);
    assert!(!dragged.is_empty());
}
