//! Checks of geometry, each tripped, just inside, and without its datum.
//!
//! The bracket is 20 x 15 x 5 mm sintered, so 23.554 x 17.666 x 5.889 mm green (factor 1.1777), and
//! 1 + 18e-6·930 = 1.01674 times that before it shrinks at 950 °C. Setter and posts, alumina, grow by
//! 1 + 8.07e-6·930 = 1.0075051 meanwhile, and to 1.0108138 at 1360 °C.

use crate::files_plans::detail;
use crate::fixture::{Case, LEVELS, PART, clean, found, measured, not_evaluated, passes};
use setterwright::catalogue::SensorJob;
use setterwright::catalogue::Severity::{Caution, Note, Stop};
use setterwright::catalogue::Space;
use setterwright::load::{Carrier, Item};
use setterwright::part::{Detail, MeshUnit, Shape};
use setterwright::review::Subject;
use std::sync::Arc;

fn block(width_mm: f64, depth_mm: f64, height_mm: f64) -> Shape {
    Shape::Block {
        width_mm,
        depth_mm,
        height_mm,
    }
}

fn at(x: f64, y: f64) -> impl FnOnce(&mut Case) {
    move |case| case.bracket().at_mm = [x, y]
}

fn high(height_mm: f64) -> impl FnOnce(&mut Case) {
    move |case| case.shape(block(20.0, 15.0, height_mm))
}

fn stack(x: f64, y: f64) -> impl FnOnce(&mut Case) {
    move |case| case.plan.load.stacks[0].at_mm = [x, y]
}

fn no_setter(case: &mut Case) {
    case.level(1).setter = "none".to_owned();
}

fn no_furnace(case: &mut Case) {
    case.plan.load.furnace = "none".to_owned();
}

#[test]
fn nothing_placed() {
    found("nothing-placed", Note, |case| {
        case.level(0).placements.clear();
        case.level(1).placements.clear();
    });
    passes("nothing-placed", |case| case.level(0).placements.clear());
}

#[test]
fn parts_side_by_side() {
    // The neighbour stands at x = −20.
    found("parts-touching", Stop, at(-40.0, -40.0));
    passes("parts-touching", at(-44.0, -40.0));
    not_evaluated("parts-touching", "feedstock", |case| {
        case.part().feedstock = "none".to_owned();
    });
    // Green 24.1 − 23.554 = 0.546; at 950 °C 24.1·1.0075051 − 23.554·1.01674 = 0.33.
    measured("gap-too-small", Caution, "0.33 mm", at(-44.1, -40.0));
    passes("gap-too-small", at(-45.0, -40.0));
    not_evaluated("gap-too-small", "furnace", no_furnace);
}

#[test]
fn edge_of_the_setter() {
    found("part-over-setter-edge", Stop, at(-90.0, -40.0));
    passes("part-over-setter-edge", at(-88.0, -40.0));
    not_evaluated("part-over-setter-edge", "setter", no_setter);
    // (100 − 86)·1.0075051 − 11.777·1.01674 = 2.131.
    measured("part-near-setter-edge", Stop, "2.13 mm", at(-86.0, -40.0));
    passes("part-near-setter-edge", at(-85.0, -40.0));
    // Over the edge it is the other check's.
    passes("part-near-setter-edge", at(-90.0, -40.0));
    not_evaluated("part-near-setter-edge", "setter", no_setter);
}

#[test]
fn a_row_near_the_edge_is_one_finding_with_all_its_parts() {
    let mut case = clean();
    for i in [0, 4, 8] {
        case.level(0).placements[i].at_mm[0] = -86.0;
    }
    let (findings, _) = case.says("part-near-setter-edge");
    assert_eq!(findings.len(), 1);
    assert_eq!(findings[0].subjects.len(), 3);
}

#[test]
fn room_above() {
    // 40·1.0075051 − 36·1.01674 = 3.698.
    measured("head-room-low", Caution, "3.70 mm", high(36.0));
    passes("head-room-low", high(34.0));
    passes("head-room-low", high(41.0));
    not_evaluated("head-room-low", "setter", no_setter);
    found("part-touches-setter-above", Stop, high(40.0));
    passes("part-touches-setter-above", high(39.0));
    not_evaluated("part-touches-setter-above", "setter", no_setter);
    // The tip of a load thermocouple may stand close to the setter above, but not in it.
    let tip = |height_mm: f64| {
        move |case: &mut Case| {
            let sensor = "load-1".to_owned();
            case.put(0, Item::Sensor { sensor, height_mm }, [80.0, 0.0]);
        }
    };
    found("part-touches-setter-above", Stop, tip(45.0));
    passes("part-touches-setter-above", tip(38.0));
    passes("head-room-low", tip(38.0));
    // The upper face stands 82 mm high: 345 − 82·1.0075051 − 250·1.01674 = 8.200.
    measured("roof-room-low", Caution, "8.20 mm", high(250.0));
    passes("roof-room-low", high(245.0));
    not_evaluated("roof-room-low", "furnace", no_furnace);
    found("part-touches-roof", Stop, high(260.0));
    passes("part-touches-roof", high(255.0));
    not_evaluated("part-touches-roof", "furnace", no_furnace);
}

#[test]
fn posts_on_the_level() {
    // A post of 12 mm for the level above stands at (−80, −80).
    found("part-touches-post", Stop, at(-80.0, -70.0));
    passes("part-touches-post", at(-80.0, -64.0));
    not_evaluated("part-touches-post", "setter", no_setter);
    found("part-near-post", Caution, at(-80.0, -64.867));
    passes("part-near-post", at(-80.0, -64.3));
    not_evaluated("part-near-post", "furnace", no_furnace);
}

#[test]
fn forbidden_spots() {
    // The gas nozzle stands at (−162, 162) in the furnace, 10 mm round.
    found("part-in-forbidden-spot", Stop, |case| {
        stack(-75.0, 75.0)(case);
        at(-87.0, 87.0)(case);
    });
    passes("part-in-forbidden-spot", stack(-75.0, 75.0));
    not_evaluated("part-in-forbidden-spot", "furnace", no_furnace);
    let finding = found("setter-in-forbidden-spot", Stop, stack(-75.0, 75.0));
    let both = LEVELS.map(Subject::Level);
    assert_eq!(finding.subjects, both);
    passes("setter-in-forbidden-spot", stack(-50.0, 50.0));
    not_evaluated("setter-in-forbidden-spot", "setter", no_setter);
}

#[test]
fn thermocouples() {
    // Its tip hangs from 333.5 mm: 333.5 − 36 − 280·1.01674 = 12.81.
    let alone = |height_mm: f64| {
        move |case: &mut Case| {
            case.alone();
            high(height_mm)(case);
        }
    };
    measured("part-near-thermocouple", Caution, "12.81 mm", alone(280.0));
    passes("part-near-thermocouple", alone(265.0));
    not_evaluated("part-near-thermocouple", "furnace", no_furnace);
    found("load-thermocouple-unknown", Caution, |case| {
        let sensor = "load-9".to_owned();
        let height_mm = 5.0;
        case.put(0, Item::Sensor { sensor, height_mm }, [80.0, 0.0]);
    });
    found("load-thermocouple-unknown", Caution, |case| {
        case.furnace().sensors.retain(|s| s.job != SensorJob::Load);
    });
    not_evaluated("load-thermocouple-unknown", "furnace", no_furnace);
}

#[test]
fn work_zone() {
    // It ends 150 mm from the middle: 75 + 70 + 12 mm is outside, 70 + 60 + 12 is not.
    let out = |case: &mut Case| {
        stack(-75.0, 0.0)(case);
        at(-70.0, -40.0)(case);
    };
    let finding = found("part-outside-work-zone", Caution, out);
    assert_eq!(finding.subjects, [Subject::Part(PART)]);
    passes("part-outside-work-zone", stack(-70.0, 0.0));
    not_evaluated("part-outside-work-zone", "setter", no_setter);
    let only = |case: &mut Case| {
        case.part().work_zone_only = true;
        out(case);
    };
    found("work-zone-only-part-outside", Stop, only);
    passes("part-outside-work-zone", only);
    passes("work-zone-only-part-outside", out);
    not_evaluated("work-zone-only-part-outside", "setter", no_setter);
}

#[test]
fn setters_in_the_hot_zone() {
    // It ends 175 mm from the middle; the plate grows to 101.081 mm from its own.
    found("setter-outside-hot-zone", Stop, stack(-75.5, 0.0));
    passes("setter-outside-hot-zone", stack(-73.0, 0.0));
    not_evaluated("setter-outside-hot-zone", "setter", no_setter);
    measured(
        "setter-near-hot-zone-boundary",
        Stop,
        "3.9 mm",
        stack(-70.0, 0.0),
    );
    passes("setter-near-hot-zone-boundary", stack(-68.0, 0.0));
    passes("setter-near-hot-zone-boundary", stack(-75.5, 0.0));
    not_evaluated("setter-near-hot-zone-boundary", "furnace", no_furnace);
    // The upper face stands 82·1.0108138 = 82.89 mm high.
    let roof = |mm: f64| {
        move |case: &mut Case| {
            if let Space::Box { z1_mm, .. } = &mut case.furnace().hot_zone {
                *z1_mm = mm;
            }
        }
    };
    found("setter-touches-roof", Stop, roof(82.0));
    passes("setter-touches-roof", roof(84.0));
    not_evaluated("setter-touches-roof", "setter", no_setter);
    // Two plates need 202.16 mm.
    found("setters-of-stacks-touch", Stop, |case| {
        case.second_stack([202.0, 0.0]);
    });
    passes("setters-of-stacks-touch", |case| {
        case.second_stack([203.0, 0.0]);
    });
    not_evaluated("setters-of-stacks-touch", "setter", no_setter);
    // How far plates and posts grow is in the record of their material.
    let no_material = |case: &mut Case| {
        case.catalogue_mut().materials.remove("alumina-995");
    };
    for slug in ["setter-outside-hot-zone", "head-room-low", "gap-too-small"] {
        not_evaluated(slug, "the material record", no_material);
    }
}

#[test]
fn sections() {
    let section = |mm: f64| high(mm);
    measured("section-thick", Caution, "7.0 mm", section(7.0));
    passes("section-thick", section(6.0));
    passes("section-thick", section(13.0));
    measured("section-too-thick", Stop, "13.0 mm", section(13.0));
    passes("section-too-thick", section(12.5));
    for slug in ["section-thick", "section-too-thick"] {
        let outline_mm = vec![[0.0, 0.0], [20.0, 0.0], [0.0, 20.0]];
        not_evaluated(slug, "the governing section of Bracket", |case| {
            case.shape(Shape::Prism {
                outline_mm,
                height_mm: 5.0,
            });
        });
        not_evaluated(slug, "feedstock", |case| {
            case.part().feedstock = "none".to_owned();
        });
    }
}

#[test]
fn meshes() {
    found("mesh-open", Caution, |case| {
        Arc::make_mut(&mut case.part().geometry).open_edges = 3;
    });
    passes("mesh-open", |_| {});
    let mesh = |case: &mut Case, detail: Option<Detail>| {
        let part = case.part();
        part.shape = Shape::Mesh {
            file: "part.stl".to_owned(),
            unit: MeshUnit::Millimetre,
            sha256: "0".repeat(64),
            body: None,
        };
        Arc::make_mut(&mut part.geometry).detail = detail;
    };
    let crossing = |crossing_shells: Option<usize>| Detail {
        crossing_shells,
        ..detail()
    };
    found("mesh-crossing", Caution, |case| {
        mesh(case, Some(crossing(Some(2))))
    });
    passes("mesh-crossing", |case| mesh(case, Some(crossing(Some(0)))));
    passes("mesh-crossing", |_| {});
    for unknown in [None, Some(crossing(None))] {
        not_evaluated("mesh-crossing", "crossing surfaces", |case| {
            mesh(case, unknown)
        });
    }
    found("mesh-degenerate", Note, |case| {
        Arc::make_mut(&mut case.part().geometry).degenerate_triangles = 1;
    });
    passes("mesh-degenerate", |_| {});
}

#[test]
fn records_and_carriers() {
    let finding = found("unknown-record", Stop, |case| {
        case.level(0).setter = "alumina-square-200x7".to_owned();
    });
    let named = Subject::Named("setter alumina-square-200x7".to_owned());
    assert_eq!(finding.subjects, [Subject::Level(LEVELS[0]), named]);
    let said = format!("{:?}", finding.args);
    assert!(said.contains("alumina-square-200x6"), "{said}");
    let spoil: [fn(&mut Case); 5] = [
        no_furnace,
        |case| case.part().feedstock = "none".to_owned(),
        |case| case.feedstock().alloy = "none".to_owned(),
        |case| case.bracket().support = Some("none".to_owned()),
        |case| {
            if let Carrier::Posts { post, .. } = &mut case.level(0).carrier {
                "none".clone_into(post);
            }
        },
    ];
    for spoil in spoil {
        found("unknown-record", Stop, spoil);
    }
    passes("unknown-record", |_| {});
    let carrier = |carrier: Carrier| move |case: &mut Case| case.level(1).carrier = carrier;
    found("level-not-carried", Stop, carrier(Carrier::Rim));
    found("level-not-carried", Stop, carrier(Carrier::Hearth));
    found("level-not-carried", Stop, carrier(Carrier::RackSlot(0)));
    let height_mm = 40.0;
    passes("level-not-carried", carrier(Carrier::Feet { height_mm }));
    not_evaluated("level-not-carried", "furnace", no_furnace);
}
