//! Plans for the tests of files: one by hand with something of every kind, and random ones.

use proptest::prelude::*;
use setterwright::geometry::{Ball, Body, Mended, Outline, Overhang, Shape as Region, Slab};
use setterwright::load::{
    Acceptance, Carrier, Declaration, Item, Level, LevelId, Lot, LotId, Placement, PlacementId,
    Plan, Stack, StackId,
};
use setterwright::part::{
    Detail, Drawn, Geometry, Infill, MassState, MeshUnit, Part, PartId, Rest, Shape, Weighed,
    measure_typed, measure_typed_at,
};
use setterwright::profile::{
    Event, EventAt, EventKind, OnLeave, Profile, RampBy, Segment, SegmentId, WaitFor, WaitOn,
};
use std::sync::Arc;

/// The plan in `tests/cases/load-v1.load.ron`.
pub fn sample() -> Plan {
    let mut plan = Plan::new("Brackets and rings", "small-vacuum-box", profile());
    plan.note = "Line one\nline \"two\"".to_owned();
    plan.planned_start = Some("2027-03-15".to_owned());
    plan.next_id = 40;
    plan.parts = vec![Arc::new(step()), Arc::new(ring())];
    plan.lots = vec![Arc::new(Lot {
        id: LotId(7),
        name: "A-17".to_owned(),
        part: PartId(5),
        count: 12,
        enters: MassState::Dry,
        customer: Some("Example customer".to_owned()),
        green_g: Some(61.5),
        dry_g: Some(58.25),
        previous_dry_g: Some(58.3),
        dried_min: Some(240.0),
        ..Lot::default()
    })];
    let placement = |id, item, at_mm| Placement {
        id: PlacementId(id),
        item,
        at_mm,
        angle_deg: 0.0,
        support: None,
        locked: false,
    };
    let part = |part, lot| Item::Part {
        part: PartId(part),
        lot,
    };
    let dummy = Item::Dummy {
        shape: Shape::Prism {
            outline_mm: vec![[0.0, 0.0], [8.0, 0.0], [0.0, 6.0]],
            height_mm: 5.0,
        },
        mass_g: 4.5,
        material: "molybdenum".to_owned(),
    };
    let sensor = Item::Sensor {
        sensor: "load-1".to_owned(),
        height_mm: 10.0,
    };
    let coupon = Item::Coupon {
        part: PartId(6),
        label: "W1".to_owned(),
    };
    let first = Level {
        id: LevelId(11),
        setter: "alumina-square-100x4".to_owned(),
        carrier: Carrier::Feet { height_mm: 10.0 },
        placements: vec![
            Placement {
                angle_deg: 12.5,
                support: Some("alumina-sheet-0.5".to_owned()),
                locked: true,
                ..placement(20, part(5, Some(LotId(7))), [-20.0, 10.25])
            },
            placement(21, part(6, None), [20.0, -10.0]),
            placement(22, coupon, [30.0, 30.0]),
        ],
    };
    let second = Level {
        id: LevelId(12),
        setter: "alumina-square-100x4".to_owned(),
        carrier: Carrier::Posts {
            post: "alumina-post-12x30".to_owned(),
            at_mm: vec![[-40.0, -40.0], [40.0, -40.0], [0.0, 40.0]],
        },
        placements: vec![
            placement(23, dummy, [0.0, 0.0]),
            placement(24, sensor, [15.0, 15.0]),
        ],
    };
    plan.load.stacks = vec![Stack {
        id: StackId(10),
        at_mm: [0.0, -2.5],
        levels: vec![Arc::new(first), Arc::new(second)],
    }];
    plan.declarations = vec![Declaration {
        question: "trap-emptied".to_owned(),
        answer: "yes".to_owned(),
        by: "technician".to_owned(),
        on: "2027-03-14".to_owned(),
        ..Declaration::default()
    }];
    plan.acceptances = vec![Acceptance {
        check: "gap-too-small".to_owned(),
        subjects: vec!["placement 20".to_owned(), "placement 21".to_owned()],
        limit: Some("1".to_owned()),
        value: Some("0.48 mm".to_owned()),
        by: "process engineer".to_owned(),
        reason: "same part, same lot".to_owned(),
        on: "2027-03-14".to_owned(),
        ..Acceptance::default()
    }];
    plan
}

/// A step of 10 × 10 × 2 mm with half of it 4 mm high, as if from a mesh. Volume 10·10·2 + 5·10·2 =
/// 300 mm³. Surface: top and bottom 100 + 100, front and back 2·(20 + 10), low side 20, high side
/// 40, the riser 20: 340 mm².
fn step() -> Part {
    let square = |x0: f64, x1: f64| Outline {
        shapes: vec![Region {
            outer: vec![[x0, -5.0], [x1, -5.0], [x1, 5.0], [x0, 5.0]],
            holes: Vec::new(),
        }],
    };
    let slab = Slab::new;
    Part {
        id: PartId(5),
        name: "Step".to_owned(),
        feedstock: "316l-wax".to_owned(),
        shape: Shape::Mesh {
            file: "meshes/step.stl".to_owned(),
            unit: MeshUnit::Millimetre,
            sha256: "0123456789abcdef".repeat(4),
            body: None,
        },
        drawn: Drawn::Final,
        geometry: Arc::new(Geometry {
            volume_mm3: 300.0,
            area_mm2: 340.0,
            // Lever: (200·0 + 100·2.5)/300 in x, (200·1 + 100·3)/300 in z.
            centroid_mm: [250.0 / 300.0, 0.0, 500.0 / 300.0],
            size_mm: [10.0, 10.0, 4.0],
            body: Arc::new(Body {
                slabs: vec![
                    slab(0.0, 2.0, square(-5.0, 5.0)),
                    slab(2.0, 4.0, square(0.0, 5.0)),
                ],
            }),
            footprint: square(-5.0, 5.0),
            support_mm: None,
            section_mm: None,
            open_edges: 0,
            degenerate_triangles: 1,
            shells: 1,
            anchor_mm: [105.0, 55.0, -1.0],
            // The sample is older than these measures.
            detail: None,
        }),
        made_with_oversize: Some([1.19, 1.19, 1.2]),
        weighed: Some(Weighed {
            state: MassState::Green,
            mass_g: 2.41,
        }),
        section_mm: Some(2.4),
        rest: Default::default(),
        infill: Default::default(),
        keep_off: Vec::new(),
        approved_rest: None,
        work_zone_only: true,
    }
}

fn ring() -> Part {
    let shape = Shape::Tube {
        outer_mm: 20.0,
        bore_mm: 16.0,
        height_mm: 6.0,
    };
    typed(6, "Ring", "316l-wax", shape)
}

fn typed(id: u32, name: &str, feedstock: &str, shape: Shape) -> Part {
    Part {
        id: PartId(id),
        name: name.to_owned(),
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

fn profile() -> Profile {
    let segment = |id, ramp, to_c, hold_min| Segment {
        id: SegmentId(id),
        ramp,
        to_c,
        hold_min,
        wait_on: None,
        gas: Some("argon".to_owned()),
        flow_l_min_25c: 5.0,
        pressure_mbar: Some(30.0),
        events: Vec::new(),
        note: String::new(),
    };
    let event = |at, kind| Event { at, kind };
    Profile {
        name: "316L, wax".to_owned(),
        revision: "C".to_owned(),
        start_c: 20.0,
        segments: vec![
            Segment {
                events: vec![
                    event(EventAt::Start, EventKind::PumpDown { to_mbar: 0.01 }),
                    event(
                        EventAt::Start,
                        EventKind::Backfill {
                            gas: "argon".to_owned(),
                            to_mbar: 900.0,
                        },
                    ),
                    event(EventAt::Start, EventKind::PurgeInert { volumes: 5.0 }),
                ],
                note: "Watch the flow meter".to_owned(),
                ..segment(1, RampBy::Rate { k_min: 0.5 }, 600.0, 120.0)
            },
            Segment {
                wait_on: Some(WaitOn {
                    on: WaitFor::AllLoad,
                    band_k: 5.0,
                    on_ramp: false,
                    on_hold: true,
                    on_leave: OnLeave::Pause,
                    timeout_min: Some(60.0),
                }),
                gas: None,
                flow_l_min_25c: 0.0,
                pressure_mbar: None,
                ..segment(2, RampBy::Time { min: 150.0 }, 1360.0, 90.0)
            },
            Segment {
                events: vec![
                    event(EventAt::Start, EventKind::FanOn),
                    event(EventAt::End, EventKind::OperatorCheck),
                    event(EventAt::End, EventKind::Unload),
                ],
                ..segment(3, RampBy::FullRate, 50.0, 0.0)
            },
        ],
        unload_c: 60.0,
        approval: None,
    }
}

/// Any length that a part may have, down to the last bit.
fn length() -> impl Strategy<Value = f64> {
    0.06..400.0_f64
}

fn shape() -> impl Strategy<Value = Shape> {
    prop_oneof![
        (length(), length(), length()).prop_map(|(width_mm, depth_mm, height_mm)| Shape::Block {
            width_mm,
            depth_mm,
            height_mm
        }),
        (length(), length()).prop_map(|(diameter_mm, height_mm)| Shape::Disc {
            diameter_mm,
            height_mm
        }),
        (length(), 0.1..0.9_f64, length()).prop_map(|(outer_mm, share, height_mm)| Shape::Tube {
            outer_mm,
            bore_mm: outer_mm * share,
            height_mm
        }),
        (length(), length(), length()).prop_map(|(x, y, height_mm)| Shape::Prism {
            outline_mm: vec![[0.0, 0.0], [x, 0.0], [x, y]],
            height_mm
        }),
    ]
}

fn state() -> impl Strategy<Value = MassState> {
    prop::sample::select(MassState::ALL.to_vec())
}

fn word() -> impl Strategy<Value = String> {
    // Quotes, escapes, other scripts, control characters, and words of the grammar itself.
    prop_oneof![
        "\\PC{0,12}",
        "[\\x00-\\x7f]{0,12}",
        Just("None".to_owned()),
        Just("NaN".to_owned())
    ]
    .prop_map(|text| text.replace('\0', ""))
}

fn item(parts: u32) -> impl Strategy<Value = Item> {
    let part = (1..=parts).prop_map(PartId);
    prop_oneof![
        4 => part.clone().prop_map(|part| Item::Part { part, lot: None }),
        1 => (part, word()).prop_map(|(part, label)| Item::Coupon { part, label }),
        1 => (shape(), 0.1..500.0_f64).prop_map(|(shape, mass_g)| Item::Dummy {
            shape,
            mass_g,
            material: "alumina-995".to_owned()
        }),
        1 => (0.1..100.0_f64).prop_map(|height_mm| Item::Sensor {
            sensor: "load-1".to_owned(),
            height_mm
        }),
    ]
}

fn at() -> impl Strategy<Value = [f64; 2]> {
    [-300.0..300.0_f64, -300.0..300.0_f64]
}

fn carrier() -> impl Strategy<Value = Carrier> {
    prop_oneof![
        Just(Carrier::Hearth),
        Just(Carrier::Rim),
        (0.1..90.0_f64).prop_map(|height_mm| Carrier::Feet { height_mm }),
        (0..5_usize).prop_map(Carrier::RackSlot),
        prop::collection::vec(at(), 0..5).prop_map(|at_mm| Carrier::Posts {
            post: "alumina-post-12x40".to_owned(),
            at_mm
        }),
    ]
}

fn level(parts: u32) -> impl Strategy<Value = Level> {
    let setters = vec![
        "alumina-square-200x6",
        "zirconia-tray-150x6-rim-20",
        "alumina-disc-220x6",
    ];
    let supports = vec![None, Some("alumina-powder-1"), Some("own-feedstock-raft-2")];
    let placement = (
        item(parts),
        at(),
        -720.0..720.0_f64,
        prop::sample::select(supports),
        any::<bool>(),
    )
        .prop_map(|(item, at_mm, angle_deg, support, locked)| Placement {
            id: PlacementId(0),
            item,
            at_mm,
            angle_deg,
            support: support.map(str::to_owned),
            locked,
        });
    (
        prop::sample::select(setters),
        carrier(),
        prop::collection::vec(placement, 0..4),
    )
        .prop_map(|(setter, carrier, placements)| Level {
            id: LevelId(0),
            setter: setter.to_owned(),
            carrier,
            placements,
        })
}

fn segment() -> impl Strategy<Value = Segment> {
    let ramp = prop_oneof![
        (0.01..20.0_f64).prop_map(|k_min| RampBy::Rate { k_min }),
        (0.0..900.0_f64).prop_map(|min| RampBy::Time { min }),
        Just(RampBy::FullRate),
    ];
    let gas = prop::sample::select(vec![None, Some("argon"), Some("hydrogen")]);
    let wait = prop::option::of((
        any::<bool>(),
        0.0..20.0_f64,
        prop::option::of(1.0..90.0_f64),
    ));
    let number = || prop::option::of(0.0..1100.0_f64);
    (
        ramp,
        -20.0..1500.0_f64,
        0.0..600.0_f64,
        gas,
        number(),
        wait,
        word(),
        any::<bool>(),
    )
        .prop_map(
            |(ramp, to_c, hold_min, gas, pressure_mbar, wait, note, hydrogen)| Segment {
                id: SegmentId(0),
                ramp,
                to_c,
                hold_min,
                wait_on: wait.map(|(flag, band_k, timeout_min)| WaitOn {
                    on: if flag {
                        WaitFor::AnyLoad
                    } else {
                        WaitFor::Control
                    },
                    band_k,
                    on_ramp: flag,
                    on_hold: !flag,
                    on_leave: if flag {
                        OnLeave::Restart
                    } else {
                        OnLeave::Pause
                    },
                    timeout_min,
                }),
                gas: gas.map(str::to_owned),
                flow_l_min_25c: hold_min / 7.0,
                pressure_mbar,
                events: vec![Event {
                    at: EventAt::End,
                    kind: if hydrogen {
                        EventKind::HydrogenOn
                    } else {
                        EventKind::BurnOffOff
                    },
                }],
                note,
            },
        )
}

fn part() -> impl Strategy<Value = Part> {
    let feedstocks = vec!["316l-wax", "17-4ph-filament", "ti-6al-4v-peg"];
    let weighed = (state(), 0.01..900.0_f64).prop_map(|(state, mass_g)| Weighed { state, mass_g });
    let way = prop::option::of([-1.0..1.0_f64, -1.0..1.0_f64, -1.0..1.0_f64]);
    let infill = prop_oneof![
        Just(Infill::Solid),
        length().prop_map(|shell_thickness_mm| Infill::Open { shell_thickness_mm }),
        length().prop_map(|shell_thickness_mm| Infill::Closed { shell_thickness_mm }),
    ];
    (
        shape(),
        word(),
        prop::sample::select(feedstocks),
        prop::option::of(weighed),
        prop::option::of([1.0..1.3_f64, 1.0..1.3_f64, 1.0..1.3_f64]),
        any::<bool>(),
        way,
        infill,
    )
        .prop_map(
            |(shape, name, feedstock, weighed, made_with_oversize, flag, way, infill)| {
                let rest = way.and_then(Rest::towards).unwrap_or_default();
                Part {
                    drawn: if flag { Drawn::Final } else { Drawn::Green },
                    rest,
                    infill,
                    weighed,
                    made_with_oversize,
                    work_zone_only: flag,
                    geometry: Arc::new(measure_typed_at(&shape, rest).unwrap()),
                    ..typed(0, &name, feedstock, shape)
                }
            },
        )
        .prop_map(|mut part| {
            // Nobody knows what else it weighs.
            if let (
                Some(_),
                Shape::Prism {
                    outline_mm,
                    height_mm,
                },
                true,
            ) = (part.weighed, &part.shape, part.rest.is_as_drawn())
            {
                part.shape = Shape::Outline {
                    outline_mm: outline_mm.clone(),
                    height_mm: *height_mm,
                };
            }
            part
        })
}

/// Random plans over the built-in catalogue.
pub fn plans() -> impl Strategy<Value = Plan> {
    let parts = prop::collection::vec(part(), 1..4);
    let inner = parts.prop_flat_map(|parts| {
        let n = parts.len() as u32;
        let stack = (at(), prop::collection::vec(level(n), 0..4));
        let segments = prop::collection::vec(segment(), 0..5);
        let lots = prop::collection::vec((1..=n, word(), state(), 0.1..99.0_f64), 0..3);
        let stacks = prop::collection::vec(stack, 0..3);
        (Just(parts), stacks, segments, lots, word(), word())
    });
    inner.prop_map(|(parts, stacks, segments, lots, title, note)| {
        let furnaces = ["small-vacuum-box", "mid-hydrogen-retort", "round-hot-zone"];
        let furnace = furnaces[segments.len() % 3];
        let profile = Profile {
            name: title.clone(),
            segments: Vec::new(),
            ..profile()
        };
        let mut plan = Plan::new(&title, furnace, profile);
        plan.note = note;
        for part in parts {
            let id = PartId(plan.take_id().unwrap());
            plan.parts.push(Arc::new(Part { id, ..part }));
        }
        for (part, name, enters, green_g) in lots {
            let id = LotId(plan.take_id().unwrap());
            plan.lots.push(Arc::new(Lot {
                id,
                name,
                part: PartId(part),
                count: id.0 * 3,
                enters,
                customer: None,
                green_g: Some(green_g),
                dry_g: None,
                previous_dry_g: None,
                dried_min: None,
                ..Lot::default()
            }));
        }
        let mut numbered = Vec::new();
        for segment in segments {
            let id = SegmentId(plan.take_id().unwrap());
            numbered.push(Segment { id, ..segment });
        }
        Arc::make_mut(&mut plan.profile).segments = numbered;
        for (at_mm, levels) in stacks {
            let id = StackId(plan.take_id().unwrap());
            let mut ready = Vec::new();
            for mut level in levels {
                level.id = LevelId(plan.take_id().unwrap());
                for placement in &mut level.placements {
                    placement.id = PlacementId(plan.take_id().unwrap());
                    let lot = plan.lots.first().cloned();
                    if let (Item::Part { part, lot: mine }, Some(lot)) = (&mut placement.item, lot)
                        && *part == lot.part
                    {
                        *mine = Some(lot.id);
                    }
                }
                ready.push(Arc::new(level));
            }
            plan.load.stacks.push(Stack {
                id,
                at_mm,
                levels: ready,
            });
        }
        plan
    })
}

/// What a mesh is measured for since: each field with a value of its own.
pub fn detail() -> Detail {
    Detail {
        inertia_mm5: [1.0, 2.0, 3.0, -0.5, 0.25, 0.0],
        outline_mm2: Some(99.0),
        section_at_mm: Some([0.5, 0.0, 1.5]),
        thinnest: Some(Ball {
            centre_mm: [-2.0, 0.0, 1.0],
            diameter_mm: 2.0,
        }),
        overhang: Some(Overhang {
            area_mm2: 3.0,
            reach_mm: 2.0,
            span_mm: 1.0,
        }),
        touching_edges: 1,
        crossing_shells: Some(2),
        mended: Mended {
            welded: 1,
            split: 6,
            collapsed: 2,
            doubled: 3,
            turned: 4,
            inside_out: 5,
        },
    }
}
