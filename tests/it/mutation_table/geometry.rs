//! Geometry: what is near to what, and records without which nothing can be drawn.

use super::parts::{block, without_feedstock, without_limit};
use super::{Row, argon};
use crate::fixture::Case;
use setterwright::catalogue::{Severity, Space};
use setterwright::load::{Carrier, Item};

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

/// A wall 190 mm wide across the lower level.
fn wall(case: &mut Case, height_mm: f64) {
    let item = Item::Dummy {
        shape: block(190.0, 10.0, height_mm),
        mass_g: 10.0,
        material: "alumina-995".to_owned(),
    };
    case.put(0, item, [0.0, 60.0]);
}

fn without_furnace(case: &mut Case) {
    case.catalogue_mut().furnaces.remove("small-vacuum-box");
}

fn without_setter(case: &mut Case) {
    case.catalogue_mut().setters.remove("alumina-square-200x6");
}

pub fn rows() -> Vec<Row> {
    vec![
        argon("nothing-placed", "everything taken from the setters", |c| {
            for level in [0, 1] {
                c.level(level).placements.clear();
            }
        })
        .with(&["lot-without-placement"])
        .weighs(Severity::Note)
        .inside("one bracket left", Case::alone)
        .never_missing("that nothing is there is what it finds"),
        argon(
            "parts-touching",
            "a bracket moved into its neighbour",
            |c| {
                c.bracket().at_mm = [-40.0, -40.0];
            },
        )
        .weighs(Severity::Stop)
        .inside("a bracket 0.03 mm from its neighbour when hot", |c| {
            c.bracket().at_mm = [-43.8, -40.0]
        })
        .missing("the feedstock's record taken out", without_feedstock),
        argon(
            "gap-too-small",
            "a bracket 0.3 mm from its neighbour when hot",
            |c| {
                c.bracket().at_mm = [-44.1, -40.0];
            },
        )
        .weighs(Severity::Caution)
        .inside("a bracket 0.605 mm from its neighbour when hot", |c| {
            c.bracket().at_mm = [-44.37, -40.0]
        })
        .missing("a shop that does not say how well it places", |c| {
            c.shop = None
        }),
        argon(
            "part-over-setter-edge",
            "a bracket moved over the edge",
            |c| {
                c.bracket().at_mm = [-90.0, -40.0];
            },
        )
        .weighs(Severity::Stop)
        .inside("a bracket 0.01 mm from the edge", |c| {
            c.bracket().at_mm = [-88.1, -40.0]
        })
        .missing("the setter's record taken out", without_setter),
        argon(
            "part-near-setter-edge",
            "a bracket 2 mm from the edge",
            |c| {
                c.bracket().at_mm = [-86.0, -40.0];
            },
        )
        .weighs(Severity::Stop)
        .inside("a bracket 3.04 mm from the edge", |c| {
            c.bracket().at_mm = [-85.1, -40.0]
        })
        .missing("nobody has set the limit", |c| {
            without_limit(c, "edge-margin")
        }),
        argon(
            "part-touches-setter-above",
            "a bar of 41 mm under 40 mm",
            |c| {
                bar(c, 0, 41.0, [0.0, 60.0]);
            },
        )
        .weighs(Severity::Stop)
        .inside("a bar of 39.85 mm", |c| {
            bar(c, 0, 39.85, [0.0, 60.0]);
        })
        .missing("a bracket on a support without a record", |c| {
            c.bracket().support = Some("none".to_owned())
        }),
        argon("head-room-low", "a bar of 37 mm under 40 mm", |c| {
            bar(c, 0, 37.0, [0.0, 60.0]);
        })
        .weighs(Severity::Caution)
        .inside("a bar of 34.9 mm", |c| {
            bar(c, 0, 34.9, [0.0, 60.0]);
        })
        .missing("a bracket on a support without a record", |c| {
            c.bracket().support = Some("none".to_owned())
        }),
        argon("part-touches-roof", "a bar of 264 mm under the roof", |c| {
            bar(c, 1, 264.0, [60.0, 60.0]);
        })
        .weighs(Severity::Stop)
        .inside("a bar of 259.5 mm", |c| {
            bar(c, 1, 259.5, [60.0, 60.0]);
        })
        .missing("a bracket on a support without a record", |c| {
            c.bracket().support = Some("none".to_owned())
        }),
        argon("roof-room-low", "a bar of 250 mm under the roof", |c| {
            bar(c, 1, 250.0, [60.0, 60.0]);
        })
        .weighs(Severity::Caution)
        .inside("a bar of 246.6 mm", |c| {
            bar(c, 1, 246.6, [60.0, 60.0]);
        })
        .missing("a bracket on a support without a record", |c| {
            c.bracket().support = Some("none".to_owned())
        }),
        argon("part-touches-post", "a bracket moved to a post", |c| {
            c.bracket().at_mm = [-80.0, -70.0];
        })
        .weighs(Severity::Stop)
        .inside("a bracket 0.03 mm from a post when hot", |c| {
            c.bracket().at_mm = [-80.0, -65.1]
        })
        .missing("the setter's record taken out", without_setter),
        argon(
            "part-near-post",
            "a bracket 0.27 mm from a post when hot",
            |c| {
                c.bracket().at_mm = [-80.0, -64.867];
            },
        )
        .weighs(Severity::Caution)
        .inside("a bracket 0.61 mm from a post when hot", |c| {
            c.bracket().at_mm = [-80.0, -64.52]
        })
        .missing("a shop that does not say how well it places", |c| {
            c.shop = None
        }),
        argon(
            "part-in-forbidden-spot",
            "a bar under the gas nozzle",
            |c| {
                stack(c, -60.0, 60.0);
                bar(c, 0, 5.0, [-94.0, 94.0]);
            },
        )
        .with(&["part-near-setter-edge", "setter-in-forbidden-spot"])
        .weighs(Severity::Stop)
        .inside("a bar 0.15 mm from the gas nozzle", |c| {
            stack(c, -60.0, 60.0);
            bar(c, 0, 5.0, [-89.1, 89.1]);
        })
        .missing("the furnace's record taken out", without_furnace),
        argon(
            "part-near-thermocouple",
            "a bar 17 mm under a thermocouple",
            |c| {
                bar(c, 1, 232.0, [0.0, 0.0]);
            },
        )
        .weighs(Severity::Caution)
        .inside("a bar 25.2 mm under a thermocouple", |c| {
            bar(c, 1, 223.9, [0.0, 0.0]);
        })
        .missing("the furnace's record taken out", without_furnace),
        argon(
            "work-zone-only-part-outside",
            "a part for the work zone only outside it",
            |c| {
                c.part().work_zone_only = true;
                stack(c, -70.0, 0.0);
                c.bracket().at_mm = [-70.0, -40.0];
            },
        )
        .with(&["setter-near-hot-zone-boundary"])
        .weighs(Severity::Stop)
        .inside("0.1 mm within it", |c| {
            c.part().work_zone_only = true;
            stack(c, -70.0, 0.0);
            c.bracket().at_mm = [-67.45, -40.0];
        })
        .missing("the setter's record taken out", without_setter),
        argon("part-outside-work-zone", "the stack moved 70 mm", |c| {
            stack(c, -66.0, 0.0);
            c.bracket().at_mm = [-75.0, -40.0];
        })
        .weighs(Severity::Caution)
        .inside("0.1 mm within it", |c| {
            stack(c, -66.0, 0.0);
            c.bracket().at_mm = [-71.4, -40.0];
        })
        .missing("the setter's record taken out", without_setter),
        argon(
            "setter-in-forbidden-spot",
            "the stack moved to the gas nozzle",
            |c| {
                stack(c, -60.0, 60.0);
            },
        )
        .weighs(Severity::Stop)
        .inside("a corner 0.1 mm from the gas nozzle", |c| {
            stack(c, -53.8, 53.8);
        })
        .missing("the setter's record taken out", without_setter),
        argon(
            "setter-outside-hot-zone",
            "the stack moved 76 mm to the left",
            |c| {
                stack(c, -76.0, 0.0);
            },
        )
        .weighs(Severity::Stop)
        .inside("the stack moved 73.9 mm to the left", |c| {
            stack(c, -73.9, 0.0);
        })
        .missing("the setter's record taken out", without_setter),
        argon(
            "setter-near-hot-zone-boundary",
            "the stack moved 70 mm to the left",
            |c| {
                stack(c, -70.0, 0.0);
            },
        )
        .weighs(Severity::Stop)
        .inside("the stack moved 68.9 mm to the left", |c| {
            stack(c, -68.9, 0.0);
        })
        .missing("nobody has set the limit", |c| {
            without_limit(c, "hot-zone-margin")
        }),
        argon(
            "setter-near-thermocouple",
            "the upper setter up to the control thermocouple",
            |c| {
                post(c, 0, "alumina-post-16x100");
                post(c, 1, "alumina-post-12x60");
                stack(c, 0.0, 42.0);
            },
        )
        .weighs(Severity::Caution)
        .inside("25.02 mm from it", |c| {
            post(c, 0, "alumina-post-16x100");
            post(c, 1, "alumina-post-12x60");
            stack(c, 0.0, 40.4);
        })
        .missing("the furnace's record taken out", without_furnace),
        argon(
            "setter-touches-roof",
            "a furnace with a roof at 82 mm",
            |c| roof(c, 82.0),
        )
        .with(&["part-touches-roof"])
        .weighs(Severity::Stop)
        .inside("a furnace with a roof at 82.9 mm", |c| roof(c, 82.9))
        .missing("the setter's record taken out", without_setter),
        argon(
            "setters-of-stacks-touch",
            "a second stack 201 mm beside the first",
            |c| {
                stack(c, -74.0, 0.0);
                c.second_stack([127.0, 0.0]);
            },
        )
        .with(&["setter-outside-hot-zone"])
        .weighs(Severity::Stop)
        .inside("a second stack 202.2 mm beside the first", |c| {
            stack(c, -74.0, 0.0);
            c.second_stack([128.2, 0.0]);
        })
        .missing("the setter's record taken out", without_setter),
        argon(
            "unknown-record",
            "the setter's record taken out of the catalogue",
            without_setter,
        )
        .lapses(&[
            "centre-of-mass-near-post-edge",
            "centre-of-mass-outside-posts",
            "cooling-hard-on-ceramics",
            "gas-path-narrow",
            "head-room-low",
            "level-heavy-to-lift",
            "level-not-carried",
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
        ])
        .weighs(Severity::Stop)
        .no_between("a record is there or is not")
        .never_missing("that the record is missing is what it finds"),
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
        ])
        .weighs(Severity::Stop)
        .inside("the same with a tray below", |c| {
            "alumina-tray-200x6-rim-25".clone_into(&mut c.level(0).setter);
            c.level(1).carrier = Carrier::Rim;
        })
        .missing("the setter's record taken out", without_setter),
        argon(
            "load-thermocouple-unknown",
            "a thermocouple that the furnace has not",
            |c| {
                tip(c, 0, "load-9");
            },
        )
        .weighs(Severity::Caution)
        .no_between("the furnace has one of that name or has none")
        .missing("the furnace's record taken out", without_furnace),
        argon(
            "thermocouple-placed-twice",
            "load-2 once more on the lower level",
            |c| {
                tip(c, 0, "load-2");
            },
        )
        .weighs(Severity::Stop)
        .no_between("it stands once or more often")
        .missing("a thermocouple without a name", |c| {
            tip(c, 0, " ");
        }),
        argon(
            "gas-path-narrow",
            "a wall 190 mm wide and 34 high under 40 mm",
            |c| wall(c, 34.0),
        )
        .weighs(Severity::Caution)
        .inside("a wall of 32.6 mm", |c| wall(c, 32.6))
        .missing("the furnace's record taken out", without_furnace),
    ]
}
