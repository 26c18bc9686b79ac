//! Geometry: what is near to what, and records without which nothing can be drawn.

use super::parts::block;
use super::{Row, argon};
use crate::fixture::Case;
use setterwright::catalogue::Space;
use setterwright::load::{Carrier, Item};
use setterwright::part::Shape;

fn post(case: &mut Case, level: usize, id: &str) {
    if let Carrier::Posts { post, .. } = &mut case.level(level).carrier {
        id.clone_into(post);
    }
}

fn stack(case: &mut Case, x: f64, y: f64) {
    case.plan.load.stacks[0].at_mm = [x, y];
}

fn tip(case: &mut Case, level: usize, sensor: &str) {
    let sensor = sensor.to_owned();
    let height_mm = 5.0;
    case.put(level, Item::Sensor { sensor, height_mm }, [0.0, -20.0]);
}

/// A bar of ceramic that stands in for parts, 10 × 10 mm and so high.
fn bar(case: &mut Case, level: usize, height_mm: f64, at_mm: [f64; 2]) {
    let shape = block(10.0, 10.0, height_mm);
    let item = Item::Dummy {
        shape,
        mass_g: 10.0,
        material: "alumina-995".to_owned(),
    };
    case.put(level, item, at_mm);
}

fn roof(case: &mut Case, mm: f64) {
    if let Space::Box { z1_mm, .. } = &mut case.furnace().hot_zone {
        *z1_mm = mm;
    }
}

pub fn rows() -> Vec<Row> {
    vec![
        argon("nothing-placed", "everything taken from the setters", |c| {
            for level in [0, 1] {
                c.level(level).placements.clear();
            }
        })
        .with(&["lot-without-placement"]),
        argon(
            "parts-touching",
            "a bracket moved into its neighbour",
            |c| {
                c.bracket().at_mm = [-40.0, -40.0];
            },
        ),
        argon(
            "gap-too-small",
            "a bracket 0.3 mm from its neighbour when hot",
            |c| {
                c.bracket().at_mm = [-44.1, -40.0];
            },
        ),
        argon(
            "part-over-setter-edge",
            "a bracket moved over the edge",
            |c| {
                c.bracket().at_mm = [-90.0, -40.0];
            },
        ),
        argon(
            "part-near-setter-edge",
            "a bracket 2 mm from the edge",
            |c| {
                c.bracket().at_mm = [-86.0, -40.0];
            },
        ),
        argon(
            "part-touches-setter-above",
            "a bar of 41 mm under 40 mm",
            |c| {
                bar(c, 0, 41.0, [0.0, 60.0]);
            },
        ),
        argon("head-room-low", "a bar of 37 mm under 40 mm", |c| {
            bar(c, 0, 37.0, [0.0, 60.0]);
        }),
        argon("part-touches-roof", "a bar of 264 mm under the roof", |c| {
            bar(c, 1, 264.0, [60.0, 60.0]);
        }),
        argon("roof-room-low", "a bar of 250 mm under the roof", |c| {
            bar(c, 1, 250.0, [60.0, 60.0]);
        }),
        argon("part-touches-post", "a bracket moved to a post", |c| {
            c.bracket().at_mm = [-80.0, -70.0];
        }),
        argon(
            "part-near-post",
            "a bracket 0.1 mm from a post when hot",
            |c| {
                c.bracket().at_mm = [-80.0, -64.867];
            },
        ),
        argon(
            "part-in-forbidden-spot",
            "a bar under the gas nozzle",
            |c| {
                stack(c, -60.0, 60.0);
                bar(c, 0, 5.0, [-94.0, 94.0]);
            },
        )
        .with(&["part-near-setter-edge", "setter-in-forbidden-spot"]),
        argon(
            "part-near-thermocouple",
            "a bar 17 mm under a thermocouple",
            |c| {
                bar(c, 1, 232.0, [0.0, 0.0]);
            },
        ),
        argon(
            "work-zone-only-part-outside",
            "a part for the work zone only outside it",
            |c| {
                c.part().work_zone_only = true;
                stack(c, -70.0, 0.0);
                c.bracket().at_mm = [-70.0, -40.0];
            },
        )
        .with(&["setter-near-hot-zone-boundary"]),
        argon("part-outside-work-zone", "the stack moved 70 mm", |c| {
            stack(c, -66.0, 0.0);
            c.bracket().at_mm = [-75.0, -40.0];
        }),
        argon(
            "setter-in-forbidden-spot",
            "the stack moved to the gas nozzle",
            |c| {
                stack(c, -60.0, 60.0);
            },
        ),
        argon(
            "setter-outside-hot-zone",
            "the stack moved 76 mm to the left",
            |c| {
                stack(c, -76.0, 0.0);
            },
        ),
        argon(
            "setter-near-hot-zone-boundary",
            "the stack moved 70 mm to the left",
            |c| {
                stack(c, -70.0, 0.0);
            },
        ),
        argon(
            "setter-near-thermocouple",
            "the upper setter up to the control thermocouple",
            |c| {
                post(c, 0, "alumina-post-16x100");
                post(c, 1, "alumina-post-12x60");
                stack(c, 0.0, 42.0);
            },
        ),
        argon(
            "setter-touches-roof",
            "a furnace with a roof at 82 mm",
            |c| roof(c, 82.0),
        )
        .with(&["part-touches-roof"]),
        argon(
            "setters-of-stacks-touch",
            "a second stack 202 mm beside the first",
            |c| {
                stack(c, -74.0, 0.0);
                c.second_stack([127.0, 0.0]);
            },
        )
        .with(&["setter-outside-hot-zone"]),
        argon(
            "unknown-record",
            "the setter's record taken out of the catalogue",
            |c| {
                c.catalogue_mut().setters.remove("alumina-square-200x6");
            },
        )
        .lapses(&[
            "centre-of-mass-near-post-edge",
            "centre-of-mass-outside-posts",
            "cooling-hard-on-ceramics",
            "gas-path-narrow",
            "head-room-low",
            "level-heavy-to-lift",
            "load-over-furnace-mass",
            "mass-over-setter-rating",
            "part-in-forbidden-spot",
            "part-near-post",
            "part-near-setter-edge",
            "part-near-thermocouple",
            "part-outside-work-zone",
            "part-over-setter-edge",
            "part-touches-post",
            "part-touches-roof",
            "part-touches-setter-above",
            "plate-stress-high",
            "plate-stress-too-high",
            "post-outside-setter",
            "roof-room-low",
            "setter-in-forbidden-spot",
            "setter-material-refused",
            "setter-near-hot-zone-boundary",
            "setter-near-thermocouple",
            "setter-outside-hot-zone",
            "setter-temperature",
            "setter-touches-roof",
            "setters-of-stacks-touch",
            "stack-out-of-balance",
            "work-zone-only-part-outside",
        ]),
        argon(
            "level-not-carried",
            "the upper level on a rim that is none",
            |c| {
                c.level(1).carrier = Carrier::Rim;
            },
        )
        .lapses(&[
            "gas-path-narrow",
            "head-room-low",
            "part-in-forbidden-spot",
            "part-near-post",
            "part-near-setter-edge",
            "part-near-thermocouple",
            "part-outside-work-zone",
            "part-over-setter-edge",
            "part-touches-post",
            "part-touches-roof",
            "part-touches-setter-above",
            "plate-stress-high",
            "plate-stress-too-high",
            "roof-room-low",
            "setter-in-forbidden-spot",
            "setter-near-hot-zone-boundary",
            "setter-near-thermocouple",
            "setter-outside-hot-zone",
            "setter-touches-roof",
            "setters-of-stacks-touch",
            "work-zone-only-part-outside",
        ]),
        argon(
            "load-thermocouple-unknown",
            "a thermocouple that the furnace has not",
            |c| {
                tip(c, 0, "load-9");
            },
        ),
        argon(
            "thermocouple-placed-twice",
            "load-2 once more on the lower level",
            |c| {
                tip(c, 0, "load-2");
            },
        ),
        argon(
            "gas-path-narrow",
            "a wall 190 mm wide and 34 high under 40 mm",
            |c| {
                let item = Item::Dummy {
                    shape: Shape::Block {
                        width_mm: 190.0,
                        depth_mm: 10.0,
                        height_mm: 34.0,
                    },
                    mass_g: 10.0,
                    material: "alumina-995".to_owned(),
                };
                c.put(0, item, [0.0, 60.0]);
            },
        ),
    ]
}
