//! Furniture: posts, setters, what they bear and what is in stock.

use super::parts::weigh;
use super::{Row, argon, hydrogen};
use crate::fixture::Case;
use setterwright::load::{Carrier, Item};
use setterwright::part::Shape;
use std::sync::Arc;

fn setter(case: &mut Case, level: usize, id: &str) {
    id.clone_into(&mut case.level(level).setter);
}

fn post(case: &mut Case, level: usize, id: &str) {
    if let Carrier::Posts { post, .. } = &mut case.level(level).carrier {
        id.clone_into(post);
    }
}

fn posts(case: &mut Case, level: usize, places: &[[f64; 2]]) {
    if let Carrier::Posts { at_mm, .. } = &mut case.level(level).carrier {
        *at_mm = places.to_vec();
    }
}

fn square(x: f64) -> [[f64; 2]; 4] {
    [[x, x], [-x, x], [-x, -x], [x, -x]]
}

/// Four posts from `left` to 80 mm.
fn from(left: f64) -> [[f64; 2]; 4] {
    [[80.0, 80.0], [left, 80.0], [left, -80.0], [80.0, -80.0]]
}

/// A mass in the middle of a level with nothing else on it.
fn mass(case: &mut Case, level: usize, mass_g: f64) {
    case.level(level).placements.retain(|p| p.item.is_tip());
    case.lot().count = crate::fixture::PER_LEVEL as u32;
    weigh(case);
    let item = Item::Dummy {
        shape: Shape::Disc {
            diameter_mm: 60.0,
            height_mm: 20.0,
        },
        mass_g,
        material: "alumina-995".to_owned(),
    };
    case.put(level, item, [0.0, -40.0]);
}

fn stock(case: &mut Case, id: &str, count: u32) {
    let stock = &mut case.shop_mut().stock;
    stock.iter_mut().find(|s| s.id == id).unwrap().count = count;
}

pub fn rows() -> Vec<Row> {
    vec![
        argon("setter-temperature", "a plate rated for 1376 °C", |c| {
            let record = c.catalogue_mut().setters.get_mut("alumina-square-200x6");
            Arc::make_mut(&mut record.unwrap().1).rated_c = 1376.0;
        }),
        argon("setter-material-refused", "a plate of mullite", |c| {
            setter(c, 0, "mullite-square-200x8");
        }),
        hydrogen(
            "silica-in-dry-hydrogen",
            "a plate of mullite in hydrogen",
            |c| {
                setter(c, 0, "mullite-square-200x8");
            },
        )
        .with(&["setter-material-refused"]),
        argon("too-few-posts", "two posts under the upper level", |c| {
            posts(c, 1, &square(80.0)[..2]);
        })
        .with(&["centre-of-mass-outside-posts", "plate-stress-high"]),
        argon(
            "posts-not-in-line",
            "posts 11.3 mm beside those below",
            |c| {
                posts(c, 1, &square(72.0));
            },
        )
        .lapses(&["plate-stress-high", "plate-stress-too-high"]),
        argon(
            "post-over-no-post",
            "posts 12.7 mm beside those below",
            |c| {
                posts(c, 1, &square(71.0));
            },
        )
        .lapses(&["plate-stress-high", "plate-stress-too-high"]),
        argon("post-too-slim", "posts of 12 mm, 100 mm long", |c| {
            post(c, 1, "alumina-post-12x100");
        }),
        argon(
            "post-outside-setter",
            "posts set half a millimetre over the edge",
            |c| {
                for level in [0, 1] {
                    posts(c, level, &square(94.5));
                }
            },
        ),
        argon("setters-out-of-stock", "one setter in stock", |c| {
            stock(c, "alumina-square-200x6", 1);
        }),
        argon("posts-out-of-stock", "three posts in stock", |c| {
            stock(c, "alumina-post-12x40", 3);
        }),
        argon(
            "supports-out-of-stock",
            "a bracket on powder that is not in stock",
            |c| {
                c.bracket().support = Some("alumina-powder-1".to_owned());
                stock(c, "alumina-powder-1", 0);
            },
        )
        .lapses(&["setter-temperature"]),
        argon(
            "level-heavy-to-lift",
            "14.3 kg on a plate rated for 20",
            |c| {
                let record = c.catalogue_mut().setters.get_mut("alumina-square-200x6");
                let record = Arc::make_mut(&mut record.unwrap().1);
                (record.rated_load_kg, record.thickness_mm) = (20.0, 30.0);
                mass(c, 0, 14_300.0);
            },
        ),
        argon(
            "centre-of-mass-outside-posts",
            "posts on one side of the upper level",
            |c| {
                posts(c, 1, &from(10.0));
            },
        )
        .with(&["post-over-no-post"])
        .lapses(&["plate-stress-high", "plate-stress-too-high"]),
        argon(
            "centre-of-mass-near-post-edge",
            "posts up to 2 mm beyond the middle",
            |c| {
                posts(c, 1, &from(-2.0));
            },
        )
        .with(&["post-over-no-post"])
        .lapses(&["plate-stress-high", "plate-stress-too-high"]),
        argon(
            "stack-out-of-balance",
            "posts of both levels from -20 to 80 mm",
            |c| {
                for level in [0, 1] {
                    posts(c, level, &from(-20.0));
                }
            },
        ),
        argon("mass-over-setter-rating", "a plate rated for 0.1 kg", |c| {
            let record = c.catalogue_mut().setters.get_mut("alumina-square-200x6");
            Arc::make_mut(&mut record.unwrap().1).rated_load_kg = 0.1;
        }),
        argon("plate-stress-high", "3.5 kg on the upper plate", |c| {
            let record = c.catalogue_mut().setters.get_mut("alumina-square-200x6");
            Arc::make_mut(&mut record.unwrap().1).rated_load_kg = 20.0;
            mass(c, 1, 3_500.0);
        }),
        argon("plate-stress-too-high", "8 kg on the upper plate", |c| {
            let record = c.catalogue_mut().setters.get_mut("alumina-square-200x6");
            Arc::make_mut(&mut record.unwrap().1).rated_load_kg = 20.0;
            mass(c, 1, 8_000.0);
        }),
        argon("load-over-furnace-mass", "a furnace rated for 2 kg", |c| {
            c.furnace().mass_rating_kg = 2.0;
        }),
        argon(
            "raft-of-other-feedstock",
            "a raft of another feedstock",
            |c| {
                c.bracket().support = Some("own-feedstock-raft-2".to_owned());
                let record = c.catalogue_mut().supports.get_mut("own-feedstock-raft-2");
                Arc::make_mut(&mut record.unwrap().1).material = "17-4ph-wax".to_owned();
            },
        )
        .lapses(&["solvent-on-parts"]),
    ]
}
