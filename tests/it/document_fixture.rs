//! A small load on the starting catalogue, and seeded random edits of it.

use setterwright::catalogue::{Catalogue, Furnace, builtin};
use setterwright::load::{
    Acceptance, Caps, Carrier, Declaration, Edit, Item, Level, LevelId, Lot, LotId, Move,
    Placement, PlacementId, Plan, Stack, StackId,
};
use setterwright::part::{Drawn, MassState, Part, PartId, Shape, measure_typed};
use setterwright::profile::{Profile, RampBy, Segment, SegmentId};
use std::sync::Arc;

pub const FURNACE: &str = "small-vacuum-box";
const SETTERS: [&str; 4] = [
    "alumina-square-150x5",
    "zirconia-tray-150x6-rim-20",
    "alumina-square-100x4",
    "mullite-square-200x8",
];
const POSTS: [&str; 3] = [
    "alumina-post-12x20",
    "alumina-post-12x30",
    "alumina-post-16x40",
];
const SUPPORTS: [&str; 3] = [
    "alumina-powder-1",
    "alumina-sheet-0.5",
    "own-feedstock-raft-2",
];
const FEEDSTOCKS: [&str; 4] = ["316l-wax", "17-4ph-wax", "copper-filament", "4605-acetal"];

pub const CAPS: Caps = Caps {
    gap_mm: 5.0,
    edge_mm: 10.0,
    head_mm: 20.0,
    roof_mm: 40.0,
    sensor_mm: 20.0,
    zone_mm: 30.0,
};

/// SplitMix64: the reference constants of Steele, Lea and Flood.
pub struct Rng(pub u64);

impl Rng {
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    pub fn below(&mut self, n: usize) -> usize {
        (self.next() % n.max(1) as u64) as usize
    }

    pub fn pick<T: Copy>(&mut self, of: &[T]) -> Option<T> {
        of.get(self.below(of.len())).copied()
    }

    fn mm(&mut self, most: f64) -> f64 {
        // Quarter millimetres, so that equal values come up too.
        ((self.below(1001) as f64 / 500.0 - 1.0) * most * 4.0).round() / 4.0
    }

    fn flip(&mut self) -> bool {
        self.below(2) == 0
    }
}

pub fn catalogue() -> Arc<Catalogue> {
    builtin().unwrap().0
}

pub fn furnace(catalogue: &Catalogue) -> &Furnace {
    catalogue.furnace(FURNACE).unwrap()
}

pub fn part(id: u32, name: &str, feedstock: &str, shape: Shape) -> Part {
    Part {
        id: PartId(id),
        name: name.to_owned(),
        feedstock: feedstock.to_owned(),
        geometry: Arc::new(measure_typed(&shape).unwrap()),
        shape,
        drawn: Drawn::Final,
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

pub fn place(id: u32, part: u32, at_mm: [f64; 2]) -> Placement {
    Placement {
        id: PlacementId(id),
        item: Item::Part {
            part: PartId(part),
            lot: None,
        },
        at_mm,
        angle_deg: 0.0,
        support: None,
        locked: false,
    }
}

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

pub fn four_posts(post: &str) -> Carrier {
    let at_mm = vec![[-65.0, -65.0], [65.0, -65.0], [65.0, 65.0], [-65.0, 65.0]];
    Carrier::Posts {
        post: post.to_owned(),
        at_mm,
    }
}

fn level(id: u32, setter: &str, carrier: Carrier, placements: Vec<Placement>) -> Arc<Level> {
    Arc::new(Level {
        id: LevelId(id),
        setter: setter.to_owned(),
        carrier,
        placements,
    })
}

/// Two stacks, three levels and one level, twelve parts of two feedstocks.
pub fn plan() -> Plan {
    let profile = Profile {
        name: "as drawn up".to_owned(),
        revision: "A".to_owned(),
        start_c: 20.0,
        segments: vec![segment(1, 600.0), segment(2, 1360.0)],
        unload_c: 60.0,
        approval: None,
    };
    let mut plan = Plan::new("Brackets", FURNACE, profile);
    let block = Shape::Block {
        width_mm: 20.0,
        depth_mm: 12.0,
        height_mm: 9.0,
    };
    let tube = Shape::Tube {
        outer_mm: 24.0,
        bore_mm: 16.0,
        height_mm: 11.0,
    };
    plan.parts = vec![
        Arc::new(part(3, "Bracket", "316l-wax", block)),
        Arc::new(part(4, "Ring", "17-4ph-wax", tube)),
    ];
    let row = |first: u32, y: f64| {
        (0..3)
            .map(|i| place(first + i, 3 + i % 2, [-30.0 + 28.0 * f64::from(i), y]))
            .collect()
    };
    let square = "alumina-square-150x5";
    let one = vec![
        level(5, square, Carrier::Hearth, row(10, 0.0)),
        level(6, square, four_posts("alumina-post-12x30"), row(13, 20.0)),
        level(7, square, four_posts("alumina-post-12x30"), row(16, -20.0)),
    ];
    let two = vec![level(8, square, Carrier::Hearth, row(19, 0.0))];
    plan.load.stacks = vec![
        Stack {
            id: StackId(9),
            at_mm: [-85.0, 0.0],
            levels: one,
        },
        Stack {
            id: StackId(22),
            at_mm: [85.0, 0.0],
            levels: two,
        },
    ];
    plan.next_id = 23;
    plan
}

/// Every number in use.
pub fn ids(plan: &Plan) -> Vec<u32> {
    let mut ids: Vec<u32> = plan.load.stacks.iter().map(|s| s.id.0).collect();
    ids.extend(plan.levels().map(|(_, l)| l.id.0));
    ids.extend(plan.placements().map(|(_, p)| p.id.0));
    ids.extend(plan.parts.iter().map(|p| p.id.0));
    ids.extend(plan.lots.iter().map(|l| l.id.0));
    ids.extend(plan.profile.segments.iter().map(|s| s.id.0));
    ids
}

fn some_placements(rng: &mut Rng, plan: &Plan) -> Vec<PlacementId> {
    let all: Vec<PlacementId> = plan.placements().map(|(_, p)| p.id).collect();
    let n = 1 + rng.below(3);
    (0..n).filter_map(|_| rng.pick(&all)).collect()
}

fn some_placement(rng: &mut Rng, plan: &Plan, id: u32) -> Placement {
    let parts: Vec<PartId> = plan.parts.iter().map(|p| p.id).collect();
    let part = rng.pick(&parts).unwrap_or(PartId(999));
    let item = match rng.below(8) {
        0 => Item::Coupon {
            part,
            label: "W1".to_owned(),
        },
        1 => Item::Dummy {
            shape: Shape::Disc {
                diameter_mm: 18.0,
                height_mm: 14.0,
            },
            mass_g: 30.0,
            material: "alumina-995".to_owned(),
        },
        2 => Item::Sensor {
            sensor: "load-1".to_owned(),
            height_mm: 8.0,
        },
        _ => Item::Part { part, lot: None },
    };
    Placement {
        item,
        angle_deg: rng.pick(&[0.0, 30.0, 90.0]).unwrap(),
        support: rng
            .pick(&[None, None, Some("alumina-powder-1".to_owned())].each_ref())
            .unwrap()
            .clone(),
        ..place(id, 0, [rng.mm(60.0), rng.mm(60.0)])
    }
}

fn some_carrier(rng: &mut Rng) -> Carrier {
    match rng.below(8) {
        0 => Carrier::Hearth,
        1 => Carrier::Rim,
        2 => Carrier::Feet { height_mm: 25.0 },
        3 => Carrier::RackSlot(rng.below(3)),
        _ => four_posts(rng.pick(&POSTS).unwrap()),
    }
}

/// A random edit; one in some is refused: an unknown slug, a used number, a thing that is gone.
pub fn random_edit(rng: &mut Rng, plan: &Plan, next: u32) -> Edit {
    let levels: Vec<LevelId> = plan.levels().map(|(_, l)| l.id).collect();
    let stacks: Vec<StackId> = plan.load.stacks.iter().map(|s| s.id).collect();
    let parts: Vec<PartId> = plan.parts.iter().map(|p| p.id).collect();
    let lots: Vec<LotId> = plan.lots.iter().map(|l| l.id).collect();
    let segments: Vec<SegmentId> = plan.profile.segments.iter().map(|s| s.id).collect();
    let level_id = rng.pick(&levels).unwrap_or(LevelId(999));
    let stack_id = rng.pick(&stacks).unwrap_or(StackId(999));
    let part_id = rng.pick(&parts).unwrap_or(PartId(999));
    let lot_id = rng.pick(&lots).unwrap_or(LotId(999));
    match rng.below(36) {
        0 => Edit::SetNote(format!("note {}", rng.below(3))),
        1 => Edit::SetTitle(format!("title {}", rng.below(3))),
        2 => Edit::SetPlannedStart(
            rng.pick(&[Some("2027-03-15"), None, Some("soon")])
                .unwrap()
                .map(str::to_owned),
        ),
        3 => Edit::SetFurnace(
            rng.pick(&[FURNACE, "mid-hydrogen-retort", "no-such"])
                .unwrap()
                .to_owned(),
        ),
        4..=7 => {
            let n = 1 + rng.below(2) as u32;
            let placements = (0..n).map(|i| some_placement(rng, plan, next + i));
            Edit::Place {
                level: level_id,
                placements: placements.collect(),
            }
        }
        8..=13 => {
            let moves = some_placements(rng, plan).into_iter().map(|id| {
                let home = plan.placement(id).map_or(level_id, |(l, _)| l.id);
                Move {
                    id,
                    level: if rng.below(4) == 0 { level_id } else { home },
                    at_mm: [rng.mm(70.0), rng.mm(70.0)],
                    angle_deg: rng.pick(&[0.0, 15.0, 90.0]).unwrap(),
                }
            });
            Edit::MovePlacements(moves.collect())
        }
        14 => Edit::RemovePlacements(some_placements(rng, plan)),
        15 => Edit::SetSupport {
            ids: some_placements(rng, plan),
            support: rng
                .pick(&[
                    None,
                    Some(SUPPORTS[0]),
                    Some(SUPPORTS[1]),
                    Some(SUPPORTS[2]),
                    Some("felt"),
                ])
                .unwrap()
                .map(str::to_owned),
        },
        16 => Edit::SetLocked {
            ids: some_placements(rng, plan),
            locked: rng.below(4) == 0,
        },
        17 | 18 => {
            let lot = Lot {
                id: if rng.flip() { LotId(next) } else { lot_id },
                name: format!("lot {}", rng.below(5)),
                part: part_id,
                count: 20,
                enters: rng.pick(&[MassState::Green, MassState::Dry]).unwrap(),
                customer: None,
                green_g: Some(500.0),
                dry_g: rng.pick(&[None, Some(470.0), Some(465.0)]).unwrap(),
                previous_dry_g: None,
                dried_min: None,
                ..Lot::default()
            };
            if lot.id == lot_id {
                Edit::ChangeLot(lot)
            } else {
                Edit::AddLot(lot)
            }
        }
        19 | 20 => Edit::SetLot {
            ids: some_placements(rng, plan),
            lot: rng.pick(&[None, Some(lot_id)]).unwrap(),
        },
        21 => Edit::RemoveLot(lot_id),
        22 => Edit::AddLevel {
            stack: stack_id,
            index: rng.below(4),
            level: Level {
                id: LevelId(next),
                setter: rng.pick(&SETTERS).unwrap().to_owned(),
                carrier: some_carrier(rng),
                placements: vec![some_placement(rng, plan, next + 1)],
            },
        },
        23..=25 => Edit::ChangeLevel {
            id: level_id,
            setter: rng.pick(&SETTERS).unwrap().to_owned(),
            carrier: some_carrier(rng),
        },
        26 => Edit::MoveLevel {
            id: level_id,
            stack: stack_id,
            index: rng.below(4),
        },
        27 if levels.len() > 3 => Edit::RemoveLevel(level_id),
        28 => Edit::MoveStack {
            id: stack_id,
            at_mm: [rng.mm(100.0), rng.mm(60.0)],
        },
        29 if stacks.len() < 4 => Edit::AddStack(Stack {
            id: StackId(next),
            at_mm: [rng.mm(100.0), rng.mm(100.0)],
            levels: Vec::new(),
        }),
        30 if stacks.len() > 2 => Edit::RemoveStack(stack_id),
        31 | 32 => {
            let size = 8.0 + rng.below(4) as f64 * 4.0;
            let shape = Shape::Block {
                width_mm: size,
                depth_mm: 14.0,
                height_mm: 10.0,
            };
            let new = rng.flip();
            let id = if new { next } else { part_id.0 };
            let name = format!("part {}", rng.below(4));
            let mut part = part(id, &name, rng.pick(&FEEDSTOCKS).unwrap(), shape);
            if !new
                && rng.flip()
                && let Some(old) = plan.part(part_id)
            {
                part = Part {
                    name,
                    work_zone_only: rng.flip(),
                    ..(**old).clone()
                };
            }
            let part = Box::new(part);
            if new {
                Edit::AddPart(part)
            } else {
                Edit::ChangePart(part)
            }
        }
        33 => Edit::ChangeSegment(segment(
            rng.pick(&segments).map_or(999, |s| s.0),
            rng.pick(&[500.0, 900.0, 1250.0, 1360.0]).unwrap(),
        )),
        34 => Edit::Declare(Declaration {
            question: "trap-emptied".to_owned(),
            answer: "yes".to_owned(),
            by: "shift lead".to_owned(),
            on: "2027-03-15".to_owned(),
            ..Declaration::default()
        }),
        35 => Edit::Accept(Acceptance {
            check: "gap-too-small".to_owned(),
            subjects: Vec::new(),
            limit: Some("1".to_owned()),
            value: Some("1.9 mm".to_owned()),
            by: "engineer".to_owned(),
            reason: rng.pick(&["", "thin parts"]).unwrap().to_owned(),
            on: "2027-03-15".to_owned(),
            ..Acceptance::default()
        }),
        // A number that was used, where the guarded cases above do not hold.
        _ => Edit::AddStack(Stack {
            id: StackId(1 + rng.below(next as usize - 1) as u32),
            at_mm: [0.0, 0.0],
            levels: Vec::new(),
        }),
    }
}

/// Changes, or takes away, a record that the load may read.
pub fn alter(rng: &mut Rng, catalogue: &mut Catalogue) {
    let setter = rng.pick(&SETTERS).unwrap();
    let post = rng.pick(&POSTS).unwrap();
    let support = rng.pick(&SUPPORTS).unwrap();
    let feedstock = rng.pick(&FEEDSTOCKS).unwrap();
    macro_rules! record {
        ($table:ident, $id:expr) => {
            match catalogue.$table.get_mut($id) {
                Some((_, record)) => Arc::make_mut(record),
                None => return,
            }
        };
    }
    match rng.below(18) {
        0 => record!(setters, setter).thickness_mm += 1.0,
        1 => record!(setters, setter).mass_g += 10.0,
        2 => record!(setters, setter).rim = None,
        3 => record!(setters, setter).material = "silicon-carbide".to_owned(),
        4 => record!(posts, post).length_mm += 2.0,
        5 => record!(posts, post).diameter_mm += 2.0,
        6 => record!(posts, post).mass_g += 1.0,
        7 => record!(supports, support).height_mm += 0.5,
        8 => record!(supports, support).mass_g_cm2 += 0.1,
        9 => record!(feedstocks, feedstock).oversize[1] += 0.01,
        10 => record!(feedstocks, feedstock).shrink_start_c -= 30.0,
        11 => record!(feedstocks, feedstock).extraction_target = Some(0.9),
        12 => record!(materials, "alumina-995").expansion_per_k *= 1.1,
        13 => record!(alloys, "316l").density_g_cm3 += 0.1,
        14 => {
            let furnace = record!(furnaces, FURNACE);
            furnace.mass_rating_kg += 1.0;
            furnace
                .rack_slots_mm
                .push(40.0 * (1.0 + furnace.rack_slots_mm.len() as f64));
        }
        15 => {
            let furnace = record!(furnaces, FURNACE);
            furnace
                .forbidden
                .iter_mut()
                .for_each(|spot| spot.radius_mm += 30.0);
        }
        16 => {
            let furnace = record!(furnaces, FURNACE);
            for sensor in &mut furnace.sensors {
                sensor.at_mm = Some([-85.0, 20.0, 20.0]);
            }
        }
        _ => {
            let gone = rng.below(4);
            match gone {
                0 => drop(catalogue.setters.remove(setter)),
                1 => drop(catalogue.posts.remove(post)),
                2 => drop(catalogue.supports.remove(support)),
                _ => drop(catalogue.feedstocks.remove(feedstock)),
            }
        }
    }
}
