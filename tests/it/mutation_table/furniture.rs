//! Furniture: posts, setters, what they bear and what is in stock.

use super::parts::{weigh, without_limit};
use super::{Row, argon, hydrogen};
use crate::fixture::Case;
use setterwright::catalogue::{Setter, Severity};
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

fn unknown_support(case: &mut Case) {
    case.bracket().support = Some("none".to_owned());
}

fn without_setter(case: &mut Case) {
    case.catalogue_mut().setters.remove("alumina-square-200x6");
}

/// Changes the record of both setters.
fn rated(case: &mut Case, change: fn(&mut Setter)) {
    let record = case.catalogue_mut().setters.get_mut("alumina-square-200x6");
    change(Arc::make_mut(&mut record.unwrap().1));
}

fn on_powder(case: &mut Case) {
    case.bracket().support = Some("alumina-powder-1".to_owned());
}

/// A bracket on a raft of some feedstock.
fn raft(case: &mut Case, feedstock: &str) {
    let id = "own-feedstock-raft-2";
    case.bracket().support = Some(id.to_owned());
    let record = case.catalogue_mut().supports.get_mut(id);
    feedstock.clone_into(&mut Arc::make_mut(&mut record.unwrap().1).material);
}

fn stock(case: &mut Case, id: &str, count: u32) {
    let stock = &mut case.shop_mut().stock;
    stock.iter_mut().find(|s| s.id == id).unwrap().count = count;
}

pub fn rows() -> Vec<Row> {
    vec![
        argon("setter-temperature", "a plate rated for 1376 °C", |c| {
            rated(c, |setter| setter.rated_c = 1376.0)
        })
        .weighs(Severity::Stop)
        .inside("a plate rated for 1377 °C", |c| {
            rated(c, |setter| setter.rated_c = 1377.0)
        })
        .missing("the setter's record taken out", without_setter),
        argon("setter-material-refused", "a plate of mullite", |c| {
            setter(c, 0, "mullite-square-200x8");
        })
        .weighs(Severity::Stop)
        .no_between("the feedstock lists a material or does not")
        .missing("a feedstock that lists none", |c| {
            c.feedstock().setter_materials.clear()
        }),
        hydrogen(
            "silica-in-dry-hydrogen",
            "a plate of mullite in hydrogen",
            |c| {
                setter(c, 0, "mullite-square-200x8");
            },
        )
        .with(&["setter-material-refused"])
        .weighs(Severity::Stop)
        .inside("a plate with 0.99 % of silica", |c| {
            setter(c, 0, "mullite-square-200x8");
            let record = c.catalogue_mut().materials.get_mut("mullite");
            Arc::make_mut(&mut record.unwrap().1).silica_pct = 0.99;
        })
        .missing("the setter's record taken out", without_setter),
        argon("too-few-posts", "two posts under the upper level", |c| {
            posts(c, 1, &square(80.0)[..2]);
        })
        .with(&["centre-of-mass-outside-posts", "plate-stress-high"])
        .weighs(Severity::Stop)
        .inside("three posts under the upper level", |c| {
            posts(c, 1, &square(80.0)[..3])
        })
        .missing("nobody has set the limit", |c| {
            without_limit(c, "posts-min")
        }),
        argon(
            "posts-not-in-line",
            "posts 11.3 mm beside those below",
            |c| {
                posts(c, 1, &square(72.0));
            },
        )
        .lapses(&["plate-stress-high", "plate-stress-too-high"])
        .weighs(Severity::Caution)
        .inside("posts 9.9 mm beside those below", |c| {
            posts(c, 1, &square(73.0))
        })
        .missing(
            "the lower level on feet, of which nobody knows where they stand",
            |c| {
                c.level(0).carrier = Carrier::Feet { height_mm: 30.0 };
            },
        ),
        argon(
            "post-over-no-post",
            "posts 12.7 mm beside those below",
            |c| {
                posts(c, 1, &square(71.0));
            },
        )
        .lapses(&["plate-stress-high", "plate-stress-too-high"])
        .weighs(Severity::Stop)
        .inside("posts 11.9 mm beside those below", |c| {
            posts(c, 1, &square(71.6))
        })
        .missing("a post without a record", |c| post(c, 0, "none")),
        argon("post-too-slim", "posts of 12 mm, 100 mm long", |c| {
            post(c, 1, "alumina-post-12x100");
        })
        .weighs(Severity::Caution)
        .inside("posts of 12 mm, 95.5 mm long", |c| {
            post(c, 1, "alumina-post-12x100");
            let record = c.catalogue_mut().posts.get_mut("alumina-post-12x100");
            Arc::make_mut(&mut record.unwrap().1).length_mm = 95.5;
        })
        .missing("a post without a record", |c| post(c, 0, "none")),
        argon(
            "post-outside-setter",
            "posts set half a millimetre over the edge",
            |c| {
                for level in [0, 1] {
                    posts(c, level, &square(94.5));
                }
            },
        )
        .weighs(Severity::Stop)
        .inside("posts 0.1 mm inside of the edge", |c| {
            for level in [0, 1] {
                posts(c, level, &square(93.9));
            }
        })
        .missing("a post without a record", |c| post(c, 0, "none")),
        argon("setters-out-of-stock", "one setter in stock", |c| {
            stock(c, "alumina-square-200x6", 1);
        })
        .weighs(Severity::Stop)
        .inside("two setters in stock", |c| {
            stock(c, "alumina-square-200x6", 2)
        })
        .missing("of which the shop does not say how many it has", |c| {
            c.shop_mut()
                .stock
                .retain(|s| s.id != "alumina-square-200x6");
        }),
        argon("posts-out-of-stock", "three posts in stock", |c| {
            stock(c, "alumina-post-12x40", 3);
        })
        .weighs(Severity::Stop)
        .inside("four posts in stock", |c| stock(c, "alumina-post-12x40", 4))
        .missing("of which the shop does not say how many it has", |c| {
            c.shop_mut().stock.retain(|s| s.id != "alumina-post-12x40");
        }),
        argon(
            "supports-out-of-stock",
            "a bracket on powder that is not in stock",
            |c| {
                on_powder(c);
                stock(c, "alumina-powder-1", 0);
            },
        )
        .lapses(&["setter-temperature"])
        .weighs(Severity::Stop)
        .inside("one support in stock", |c| {
            on_powder(c);
            stock(c, "alumina-powder-1", 1);
        })
        .missing("of which the shop does not say how many it has", |c| {
            on_powder(c);
            c.shop_mut().stock.retain(|s| s.id != "alumina-powder-1");
        }),
        argon(
            "level-heavy-to-lift",
            "14.3 kg on a plate rated for 20",
            |c| {
                rated(c, |s| (s.rated_load_kg, s.thickness_mm) = (20.0, 30.0));
                mass(c, 0, 14_300.0);
            },
        )
        .weighs(Severity::Note)
        .inside("14 050 g on it", |c| mass(c, 0, 14_050.0))
        .missing("a bracket on a support without a record", unknown_support),
        argon(
            "centre-of-mass-outside-posts",
            "posts on one side of the upper level",
            |c| {
                posts(c, 1, &from(10.0));
            },
        )
        .with(&["post-over-no-post"])
        .lapses(&["plate-stress-high", "plate-stress-too-high"])
        .weighs(Severity::Stop)
        .inside("posts up to 0.2 mm beyond the middle", |c| {
            posts(c, 1, &from(-0.2))
        })
        .missing("a bracket on a support without a record", unknown_support),
        argon(
            "centre-of-mass-near-post-edge",
            "posts up to 2 mm beyond the middle",
            |c| {
                posts(c, 1, &from(-2.0));
            },
        )
        .with(&["post-over-no-post"])
        .lapses(&["plate-stress-high", "plate-stress-too-high"])
        .weighs(Severity::Stop)
        .inside("posts up to 4.25 mm beyond the middle", |c| {
            posts(c, 1, &from(-4.25))
        })
        .missing("a bracket on a support without a record", unknown_support),
        argon(
            "stack-out-of-balance",
            "posts of both levels from -20 to 80 mm",
            |c| {
                for level in [0, 1] {
                    posts(c, level, &from(-20.0));
                }
            },
        )
        .weighs(Severity::Stop)
        .inside("posts of both levels from -25 to 80 mm", |c| {
            for level in [0, 1] {
                posts(c, level, &from(-25.0));
            }
        })
        .missing("two posts, which are no base", |c| {
            posts(c, 0, &square(80.0)[..2])
        }),
        argon("mass-over-setter-rating", "a plate rated for 0.1 kg", |c| {
            rated(c, |setter| setter.rated_load_kg = 0.1)
        })
        .weighs(Severity::Stop)
        .inside("a plate rated for 147 g", |c| {
            rated(c, |setter| setter.rated_load_kg = 0.147)
        })
        .missing("a bracket on a support without a record", unknown_support),
        argon("plate-stress-high", "3.5 kg on the upper plate", |c| {
            rated(c, |setter| setter.rated_load_kg = 20.0);
            mass(c, 1, 3_500.0);
        })
        .weighs(Severity::Caution)
        .inside("3.05 kg", |c| mass(c, 1, 3_050.0))
        .missing("the setter's record taken out", without_setter),
        argon("plate-stress-too-high", "8 kg on the upper plate", |c| {
            rated(c, |setter| setter.rated_load_kg = 20.0);
            mass(c, 1, 8_000.0);
        })
        .weighs(Severity::Stop)
        .inside("7.03 kg", |c| mass(c, 1, 7_030.0))
        .missing("the setter's record taken out", without_setter),
        argon("load-over-furnace-mass", "a furnace rated for 2 kg", |c| {
            c.furnace().mass_rating_kg = 2.0;
        })
        .weighs(Severity::Stop)
        .inside("a furnace rated for 2.29 kg", |c| {
            c.furnace().mass_rating_kg = 2.29
        })
        .missing("a bracket on a support without a record", unknown_support),
        argon(
            "raft-of-other-feedstock",
            "a raft of another feedstock",
            |c| raft(c, "17-4ph-wax"),
        )
        .lapses(&["solvent-on-parts"])
        .weighs(Severity::Caution)
        .inside("a raft of the part's own feedstock", |c| {
            raft(c, "316l-wax")
        })
        .missing("a bracket on a support without a record", unknown_support),
    ]
}
