use super::*;
use crate::catalogue::builtin;
use crate::load::{
    Carrier, Edit, Item, Level, LevelId, Lot, LotId, Move, Placement, PlacementId, Stack, StackId,
};
use crate::part::{Drawn, MassState, Part, PartId, Shape, measure_typed};
use crate::profile::{Profile, RampBy, Segment, SegmentId};
use std::sync::Arc;

fn segment(id: u32, to_c: f64) -> Segment {
    Segment {
        id: SegmentId(id),
        ramp: RampBy::Rate { k_min: 5.0 },
        to_c,
        hold_min: 60.0,
        wait_on: None,
        gas: None,
        flow_l_min_25c: 0.0,
        pressure_mbar: None,
        events: Vec::new(),
        note: String::new(),
    }
}

fn piece(id: u32, x_mm: f64) -> Placement {
    Placement {
        id: PlacementId(id),
        item: Item::Part {
            part: PartId(3),
            lot: None,
        },
        at_mm: [x_mm, 0.0],
        angle_deg: 0.0,
        support: None,
        locked: false,
    }
}

fn standard() -> Plan {
    let profile = Profile {
        name: "slow".to_owned(),
        revision: "A".to_owned(),
        start_c: 20.0,
        segments: vec![segment(1, 600.0), segment(2, 1360.0)],
        unload_c: 60.0,
        approval: None,
    };
    let shape = Shape::Block {
        width_mm: 20.0,
        depth_mm: 12.0,
        height_mm: 9.0,
    };
    let part = Part {
        id: PartId(3),
        name: "Bracket".to_owned(),
        feedstock: "316l-wax".to_owned(),
        geometry: Arc::new(measure_typed(&shape).unwrap()),
        shape,
        drawn: Drawn::Final,
        made_with_oversize: None,
        weighed: None,
        section_mm: None,
        rest: Default::default(),
        infill: Default::default(),
        keep_off: Vec::new(),
        work_zone_only: false,
        approved_rest: None,
    };
    let mut plan = Plan::new("Brackets", "small-vacuum-box", profile);
    let level = |id, placements| {
        Arc::new(Level {
            id: LevelId(id),
            setter: "alumina-square-150x5".to_owned(),
            carrier: Carrier::Hearth,
            placements,
        })
    };
    plan.parts = vec![Arc::new(part)];
    let row = vec![piece(10, -40.0), piece(11, 0.0), piece(12, 40.0)];
    let levels = vec![level(5, row), level(6, Vec::new())];
    plan.load.stacks = vec![Stack {
        id: StackId(9),
        at_mm: [0.0, 0.0],
        levels,
    }];
    plan.next_id = 20;
    plan
}

fn edited(edits: &[Edit]) -> Plan {
    let catalogue = builtin().unwrap().0;
    edits.iter().fold(standard(), |plan, edit| {
        edit.apply(&plan, &catalogue).unwrap()
    })
}

fn told(was: &Plan, is: &Plan) -> Vec<(Affects, String)> {
    let catalogue = builtin().unwrap().0;
    let found = differences(was, is, [&catalogue; 2]);
    found
        .into_iter()
        .map(|d| (d.affects, d.sentence.replace('\u{a0}', " ")))
        .collect()
}

fn after(edits: &[Edit]) -> Vec<(Affects, String)> {
    told(&standard(), &edited(edits))
}

fn sentences(found: &[(Affects, String)]) -> Vec<&str> {
    found.iter().map(|(_, s)| s.as_str()).collect()
}

fn to(id: u32, level: u32, at_mm: [f64; 2]) -> Move {
    Move {
        id: PlacementId(id),
        level: LevelId(level),
        at_mm,
        angle_deg: 0.0,
    }
}

fn lot(id: u32) -> Lot {
    Lot {
        id: LotId(id),
        name: "L1".to_owned(),
        part: PartId(3),
        count: 3,
        enters: MassState::Dry,
        customer: None,
        green_g: Some(40.0),
        dry_g: None,
        previous_dry_g: None,
        dried_min: None,
        ..Lot::default()
    }
}

fn filled_in() -> Vec<Edit> {
    let ids = vec![PlacementId(10), PlacementId(11)];
    vec![
        Edit::SetTitle("Monday".to_owned()),
        Edit::SetPlannedStart(Some("2027-03-15".to_owned())),
        Edit::AddLot(lot(20)),
        Edit::SetLot {
            ids: ids.clone(),
            lot: Some(LotId(20)),
        },
        Edit::SetLocked { ids, locked: true },
    ]
}

#[test]
fn what_every_load_fills_in_anew_is_no_difference_from_its_standard() {
    let catalogue = builtin().unwrap().0;
    let plan = edited(&filled_in());
    assert_eq!(since_standard(&standard(), &plan, &catalogue), []);
    let found = told(&standard(), &plan);
    assert_eq!(
        sentences(&found),
        [
            "Lot L1 added",
            "2 × Bracket on level 1, lot: L1, was none",
            "Planned start: “2027-03-15”, was none",
            "Title: “Monday”, was “Brackets”",
            "2 × Bracket on level 1, locked: yes, was no",
        ]
    );
}

#[test]
fn figures_of_a_lot_are_told_in_digits_that_tell_them_apart() {
    let was = edited(&[Edit::AddLot(lot(20))]);
    let mut other = lot(20);
    other.green_g = Some(40.001);
    other.dried_min = Some(90.0);
    let is = edited(&[Edit::AddLot(other)]);
    let found = told(&was, &is);
    assert_eq!(
        sentences(&found),
        [
            "Lot L1, green mass: 40.001 g, was 40.000 g",
            "Lot L1, time in the dryer: 90 min, was none"
        ]
    );
}

#[test]
fn moves_are_said_once_a_name_with_the_farthest() {
    // 3-4-5 triangle: 5 mm.
    let one = after(&[Edit::MovePlacements(vec![to(11, 5, [3.0, 4.0])])]);
    let sentence = "Bracket 2 on level 1 moved by 5.00 mm: at 3, 4 mm, was 0, 0 mm".to_owned();
    assert_eq!(one, [(Affects::Clearance, sentence)]);
    let two = vec![to(11, 5, [3.0, 4.0]), to(12, 5, [41.0, 0.0])];
    let two = after(&[Edit::MovePlacements(two)]);
    let sentence = "2 × Bracket on level 1 moved, by 5.00 mm at most".to_owned();
    assert_eq!(two, [(Affects::Clearance, sentence)]);
    let up = after(&[Edit::MovePlacements(vec![to(10, 6, [0.0, 0.0])])]);
    assert_eq!(sentences(&up), ["Bracket 3 now on level 2, was on level 1"]);
}

#[test]
fn added_and_removed_are_told_apart() {
    let found = after(&[
        Edit::RemovePlacements(vec![PlacementId(12)]),
        Edit::Place {
            level: LevelId(6),
            placements: vec![piece(20, 0.0), piece(21, 30.0)],
        },
    ]);
    // One of the two on level 2 is the one that is gone from level 1.
    assert_eq!(
        sentences(&found),
        [
            "Bracket 4 on level 2 added",
            "Bracket 3 now on level 2, was on level 1"
        ]
    );
    let gone = after(&[Edit::RemovePlacements(vec![PlacementId(12)])]);
    assert_eq!(sentences(&gone), ["Bracket 3 on level 1 removed"]);
}

#[test]
fn levels_and_furnace_are_named() {
    let carrier = Carrier::Feet { height_mm: 10.0 };
    let setter = "alumina-square-100x4".to_owned();
    let found = after(&[
        Edit::ChangeLevel {
            id: LevelId(5),
            setter,
            carrier,
        },
        Edit::RemoveLevel(LevelId(6)),
    ]);
    assert_eq!(found.len(), 3, "{found:?}");
    assert!(found.iter().all(|f| f.0 == Affects::StabilityAndMass));
    let all = sentences(&found);
    assert!(all[0].starts_with("Level 1, setter: "), "{all:?}");
    assert_eq!(all[1], "Level 1, carried: feet of 10 mm, was on the hearth");
    assert!(all[2].starts_with("Level 2 (") && all[2].ends_with(", empty) removed"));
    let moved = after(&[Edit::MoveLevel {
        id: LevelId(6),
        stack: StackId(9),
        index: 0,
    }]);
    assert_eq!(moved.len(), 1, "{moved:?}");
}

#[test]
fn a_level_put_in_is_one_difference() {
    let placements = vec![piece(21, -30.0), piece(22, 30.0)];
    let level = Level {
        id: LevelId(20),
        setter: "alumina-square-150x5".to_owned(),
        carrier: Carrier::Hearth,
        placements,
    };
    let found = after(&[Edit::AddLevel {
        stack: StackId(9),
        index: 0,
        level,
    }]);
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].1.starts_with("Level 1 (") && found[0].1.ends_with("with 2 × Bracket) added"));
}

#[test]
fn segments_are_compared_in_order() {
    let changed = Segment {
        hold_min: 90.0,
        gas: Some("argon".to_owned()),
        ..segment(2, 1340.0)
    };
    let found = after(&[
        Edit::AddSegment {
            index: 0,
            segment: segment(20, 200.0),
        },
        Edit::ChangeSegment(changed),
    ]);
    assert_eq!(
        sentences(&found),
        [
            "Segment 3 (there Segment 2), target: 1340 °C, was 1360 °C",
            "Sinter hold 1 (segment 3): 90 min, was 60 min",
            "Debind hold 1 (segment 1) (to 200 °C, hold 60 min) added",
            "Segment 3 (there Segment 2), gas: argon, was vacuum",
        ]
    );
}

#[test]
fn a_hold_in_the_debind_range_is_called_so() {
    let changed = Segment {
        hold_min: 120.0,
        ..segment(1, 450.0)
    };
    let was = edited(&[Edit::ChangeSegment(segment(1, 450.0))]);
    let is = edited(&[Edit::ChangeSegment(changed)]);
    let found = told(&was, &is);
    let sentence = "Debind hold 1 (segment 1): 120 min, was 60 min".to_owned();
    assert_eq!(found, [(Affects::BinderRemoval, sentence)]);
}

#[test]
fn another_feedstock_is_said() {
    let mut part = (*standard().parts[0]).clone();
    part.feedstock = "17-4ph-wax".to_owned();
    let found = after(&[Edit::ChangePart(Box::new(part))]);
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(found[0].0, Affects::SinterHeat);
    assert!(
        found[0].1.starts_with("Part Bracket, feedstock: "),
        "{found:?}"
    );
}
