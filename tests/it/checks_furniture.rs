//! Checks of furniture, each tripped, just inside, and without its datum.

use crate::fixture::{Case, LEVELS, clean, found, measured, not_evaluated, passes};
use setterwright::catalogue::Severity::{Caution, Note, Stop};
use setterwright::geometry::Outline;
use setterwright::load::{Carrier, Item};
use setterwright::part::Shape;
use setterwright::review::Subject;
use std::sync::Arc;

fn setter(level: usize, id: &str) -> impl FnOnce(&mut Case) {
    let id = id.to_owned();
    move |case| case.level(level).setter = id
}

fn post(id: &str) -> impl FnOnce(&mut Case) {
    let id = id.to_owned();
    move |case| {
        if let Carrier::Posts { post, .. } = &mut case.level(1).carrier {
            *post = id;
        }
    }
}

/// Posts of a level at other places.
fn posts(level: usize, places: &[[f64; 2]]) -> impl FnOnce(&mut Case) {
    let places = places.to_vec();
    move |case| {
        if let Carrier::Posts { at_mm, .. } = &mut case.level(level).carrier {
            *at_mm = places;
        }
    }
}

fn square(x: f64) -> [[f64; 2]; 4] {
    [[x, x], [-x, x], [-x, -x], [x, -x]]
}

/// Four posts from `left` to 80 mm.
fn from(left: f64) -> [[f64; 2]; 4] {
    [[80.0, 80.0], [left, 80.0], [left, -80.0], [80.0, -80.0]]
}

fn peak(to_c: f64) -> impl FnOnce(&mut Case) {
    move |case| case.profile().segments[4].to_c = to_c
}

fn hydrogen(case: &mut Case) {
    for segment in &mut case.profile().segments {
        segment.gas = Some("hydrogen".to_owned());
    }
}

/// One bracket, and a mass in the middle of the lower level.
fn dummy(mass_g: f64) -> impl FnOnce(&mut Case) {
    move |case| {
        case.alone();
        case.bracket().at_mm = [60.0, 60.0];
        let item = Item::Dummy {
            shape: Shape::Disc {
                diameter_mm: 60.0,
                height_mm: 20.0,
            },
            mass_g,
            material: "alumina-995".to_owned(),
        };
        case.put(0, item, [0.0, 0.0]);
    }
}

fn unknown_support(case: &mut Case) {
    case.bracket().support = Some("none".to_owned());
}

fn unknown_feedstock(case: &mut Case) {
    case.part().feedstock = "none".to_owned();
}

fn footprint(width_mm: f64, depth_mm: f64) -> impl FnOnce(&mut Case) {
    move |case| {
        let geometry = Arc::make_mut(&mut case.part().geometry);
        geometry.footprint = Outline::rectangle(width_mm, depth_mm);
    }
}

fn standing(depth_mm: f64, height_mm: f64) -> impl FnOnce(&mut Case) {
    move |case| {
        case.shape(Shape::Block {
            width_mm: 20.0,
            depth_mm,
            height_mm,
        });
    }
}

#[test]
fn rated_temperature() {
    // At 1360 °C the hottest place is 4 K above it, and 3 K of drift.
    let rated = |c: f64| {
        move |case: &mut Case| {
            let record = case.catalogue_mut().setters.get_mut("alumina-square-200x6");
            Arc::make_mut(&mut record.unwrap().1).rated_c = c;
        }
    };
    measured("setter-temperature", Stop, "9 K", rated(1376.0));
    passes("setter-temperature", rated(1377.0));
    // Without a survey the setpoint alone can only condemn.
    not_evaluated("setter-temperature", "hottest place", peak(1590.0));
    measured("setter-temperature", Stop, "9 K", peak(1591.0));
    not_evaluated("setter-temperature", "setter record", setter(0, "none"));
    not_evaluated("setter-temperature", "post record", post("none"));
}

#[test]
fn material_in_contact() {
    let slug = "setter-material-refused";
    found(slug, Stop, setter(0, "mullite-square-200x8"));
    // What the alloy refuses, no feedstock allows.
    found(slug, Stop, |case| {
        case.feedstock()
            .setter_materials
            .push("graphite".to_owned());
        let record = case.catalogue_mut().setters.get_mut("alumina-square-200x6");
        Arc::make_mut(&mut record.unwrap().1).face_material = Some("graphite".to_owned());
    });
    // A sheet between them is what the part touches.
    passes(slug, |case| {
        setter(0, "mullite-square-200x8")(case);
        for placement in &mut case.level(0).placements {
            placement.support = Some("alumina-sheet-0.5".to_owned());
        }
    });
    // A raft is the part's own and stands on the face.
    found(slug, Stop, |case| {
        setter(0, "mullite-square-200x8")(case);
        for placement in &mut case.level(0).placements {
            placement.support = Some("own-feedstock-raft-2".to_owned());
        }
    });
    passes(slug, setter(0, "yttria-alumina-square-200x6"));
    not_evaluated(slug, "allows", |case| {
        case.feedstock().setter_materials.clear()
    });
    not_evaluated(slug, "setter record", setter(0, "none"));
    not_evaluated(slug, "support record", unknown_support);
    not_evaluated(slug, "feedstock", unknown_feedstock);
}

#[test]
fn silica() {
    let slug = "silica-in-dry-hydrogen";
    let mullite = |case: &mut Case| setter(0, "mullite-square-200x8")(case);
    measured(slug, Stop, "28.0 %", |case| {
        mullite(case);
        hydrogen(case);
    });
    passes(slug, hydrogen);
    passes(slug, mullite);
    passes(slug, |case| {
        mullite(case);
        case.profile().segments[3].gas = Some("hydrogen".to_owned());
    });
    not_evaluated(slug, "gas record", |case| {
        case.profile().segments[3].gas = Some("none".to_owned());
    });
    not_evaluated(slug, "material record", |case| {
        hydrogen(case);
        case.catalogue_mut().materials.remove("alumina-995");
    });
}

#[test]
fn posts_under_a_level() {
    measured("too-few-posts", Stop, "2", posts(1, &square(80.0)[..2]));
    passes("too-few-posts", posts(1, &square(80.0)[..3]));
    // √(8² + 8²) = 11.31, √(7² + 7²) = 9.90.
    measured(
        "posts-not-in-line",
        Caution,
        "11.3 mm",
        posts(1, &square(72.0)),
    );
    passes("posts-not-in-line", posts(1, &square(73.0)));
    not_evaluated("posts-not-in-line", "what stands under the posts", |case| {
        case.level(0).carrier = Carrier::Feet { height_mm: 30.0 };
    });
    measured("post-too-slim", Caution, "8.3", post("alumina-post-12x100"));
    passes("post-too-slim", post("alumina-post-12x80"));
    not_evaluated("post-too-slim", "post record", post("none"));
}

#[test]
fn posts_on_plates() {
    let slug = "post-outside-setter";
    // 100 − 6 = 94.
    found(slug, Stop, posts(1, &square(94.5)));
    passes(slug, posts(1, &square(94.0)));
    // The rim below takes 8 mm; that above takes nothing.
    let tray = "alumina-tray-200x6-rim-25";
    let with_rim = |level: usize, x: f64| {
        move |case: &mut Case| {
            setter(level, tray)(case);
            posts(1, &square(x))(case);
        }
    };
    found(slug, Stop, with_rim(0, 86.5));
    passes(slug, with_rim(0, 86.0));
    passes(slug, with_rim(1, 86.5));
    found(slug, Stop, |case| {
        setter(1, "alumina-disc-220x6")(case);
    });
    not_evaluated(slug, "setter record", setter(0, "none"));
    not_evaluated(slug, "post record", post("none"));
}

#[test]
fn stock() {
    let have = |id: &'static str, count: u32| {
        move |case: &mut Case| {
            case.bracket().support = Some("alumina-powder-1".to_owned());
            let stock = &mut case.shop_mut().stock;
            stock.iter_mut().find(|s| s.id == id).unwrap().count = count;
        }
    };
    for (slug, id, used) in [
        ("setters-out-of-stock", "alumina-square-200x6", 2),
        ("posts-out-of-stock", "alumina-post-12x40", 4),
        ("supports-out-of-stock", "alumina-powder-1", 1),
    ] {
        measured(slug, Stop, &used.to_string(), have(id, used - 1));
        passes(slug, have(id, used));
        not_evaluated(slug, "the shop's stock", |case| {
            have(id, used)(case);
            case.shop = None;
        });
        not_evaluated(slug, &format!("the stock of {}", &slug[..4]), |case| {
            have(id, used)(case);
            case.shop_mut().stock.retain(|s| s.id != id);
        });
    }
    passes("supports-out-of-stock", |case| case.shop = None);
}

#[test]
fn weight_of_furniture() {
    let slug = "furniture-heavy";
    found(slug, Note, |_| {});
    passes(slug, |case| case.limit("furniture-ratio").value = 10.0);
    not_evaluated(slug, "masses", |case| {
        case.limit("furniture-ratio").value = 10.0;
        unknown_support(case);
    });
    let slug = "level-heavy-to-lift";
    // 934 g of plate, 12 brackets of 12.13 g and 14100 g.
    found(slug, Note, dummy(14_100.0));
    passes(slug, dummy(14_000.0));
    not_evaluated(slug, "mass", unknown_support);
}

#[test]
fn rolling_and_falling() {
    // A round 15 mm wide touches over 2√(15·0.02) = 1.095 mm.
    found("part-may-roll", Stop, footprint(20.0, 1.0));
    found("part-may-roll", Stop, |case| {
        Arc::make_mut(&mut case.part().geometry).footprint = Outline::default();
    });
    passes("part-may-roll", footprint(20.0, 1.2));
    not_evaluated("part-may-roll", "feedstock", unknown_feedstock);
    let centre = |x: f64| {
        move |case: &mut Case| {
            Arc::make_mut(&mut case.part().geometry).centroid_mm = [x, 0.0, 2.5];
        }
    };
    found("part-falls-over", Stop, centre(10.5));
    passes("part-falls-over", centre(9.5));
    not_evaluated("part-falls-over", "feedstock", unknown_feedstock);
}

#[test]
fn tipping() {
    measured("part-too-slender", Stop, "5.5", standing(4.0, 22.0));
    passes("part-too-slender", standing(4.0, 19.9));
    not_evaluated("part-too-slender", "feedstock", unknown_feedstock);
    // atan(2/7) = 15.9°.
    measured("part-may-tip", Caution, "15.9°", standing(4.0, 14.0));
    passes("part-may-tip", standing(4.0, 11.9));
    passes("part-may-tip", standing(4.0, 22.0));
    // A low centre of mass: 3.5 times as high as wide, but atan(2/4) = 26.6°.
    measured("part-may-tip", Caution, "3.5", |case| {
        standing(4.0, 14.0)(case);
        Arc::make_mut(&mut case.part().geometry).centroid_mm = [0.0, 0.0, 4.0];
    });
    not_evaluated("part-may-tip", "feedstock", unknown_feedstock);
    // Pins carry a part somewhere within its outline: its whole foot says nothing.
    not_evaluated("part-may-tip", "pins", |case| {
        standing(4.0, 14.0)(case);
        on_pins(case);
    });
    not_evaluated("part-falls-over", "pins", on_pins);
    measured("foot-narrow", Caution, "2.5 mm", footprint(20.0, 2.5));
    passes("foot-narrow", footprint(20.0, 3.1));
    not_evaluated("foot-narrow", "feedstock", unknown_feedstock);
}

fn on_pins(case: &mut Case) {
    for stack in &mut case.plan.load.stacks {
        for level in &mut stack.levels {
            for placement in &mut Arc::make_mut(level).placements {
                placement.support = Some("alumina-pins-5".into());
            }
        }
    }
}

#[test]
fn balance() {
    let slug = "centre-of-mass-outside-posts";
    found(slug, Stop, posts(1, &from(10.0)));
    found(
        slug,
        Stop,
        posts(1, &[[0.0, 80.0], [0.0, 0.0], [0.0, -80.0]]),
    );
    passes(slug, posts(1, &from(-1.0)));
    not_evaluated(slug, "mass", unknown_support);
    let slug = "centre-of-mass-near-post-edge";
    // 2 mm inside of 41 mm to the middle; 5 of 42.5.
    measured(slug, Stop, "5 %", posts(1, &from(-2.0)));
    passes(slug, posts(1, &from(-5.0)));
    passes(slug, posts(1, &from(10.0)));
    not_evaluated(slug, "mass", unknown_support);
    let slug = "stack-out-of-balance";
    // The middle of the base lies 30 of 50 mm off, or 20 of 60.
    found(slug, Stop, posts(0, &from(-20.0)));
    passes(slug, posts(0, &from(-40.0)));
    not_evaluated(slug, "mass", unknown_support);
    not_evaluated(slug, "a base", posts(0, &square(80.0)[..2]));
}

#[test]
fn what_plates_bear() {
    let slug = "mass-over-setter-rating";
    let finding = found(slug, Stop, dummy(2_990.0));
    assert_eq!(finding.subjects, [Subject::Level(LEVELS[0])]);
    passes(slug, dummy(2_980.0));
    not_evaluated(slug, "setter record", setter(0, "none"));
    not_evaluated(slug, "mass", unknown_support);
    // Corner posts (`physics.md` 6c, ν 0.22): σ = 6·0.1530·q·200²/6²; q from plate 934 g, bracket
    // 12.1 g and the dummy over 0.04 m².
    let slug = "plate-stress-high";
    measured(slug, Caution, "1.11 MPa", dummy(3_500.0));
    passes(slug, dummy(2_900.0));
    passes(slug, dummy(8_000.0));
    not_evaluated(slug, "not in the catalogue", setter(0, "none"));
    not_evaluated(slug, "the level above", posts(1, &square(69.0)));
    let slug = "plate-stress-too-high";
    measured(slug, Stop, "2.24 MPa", dummy(8_000.0));
    passes(slug, dummy(7_000.0));
    not_evaluated(slug, "not in the catalogue", setter(0, "none"));
}

#[test]
fn a_plate_is_bent_by_one_finding_a_level() {
    let mut case = clean();
    case.limit("plate-stress-caution").value = 0.1;
    let (findings, _) = case.says("plate-stress-high");
    let subjects: Vec<_> = findings.iter().map(|f| f.subjects.clone()).collect();
    assert_eq!(subjects, LEVELS.map(|l| vec![Subject::Level(l)]));
}
