//! Where mass, marks, thermocouples and posts are put: each check tripped, just inside, and
//! without its datum.

use crate::fixture::{Case, LEVELS, PART, clean, found, measured, not_evaluated, passes};
use setterwright::catalogue::Severity::{Caution, Note, Stop};
use setterwright::load::{Carrier, Item};
use setterwright::part::Shape;
use setterwright::review::Subject;

fn no_setter(case: &mut Case) {
    case.level(1).setter = "none".to_owned();
}

fn no_furnace(case: &mut Case) {
    case.plan.load.furnace = "none".to_owned();
}

fn square(x: f64) -> Vec<[f64; 2]> {
    vec![[x, x], [-x, x], [-x, -x], [x, -x]]
}

fn posts(level: usize, at: Vec<[f64; 2]>) -> impl FnOnce(&mut Case) {
    move |case| {
        if let Carrier::Posts { at_mm, .. } = &mut case.level(level).carrier {
            *at_mm = at;
        }
    }
}

#[test]
fn mass_on_one_side() {
    let slug = "load-off-centre";
    let moved = |x: f64, y: f64| move |case: &mut Case| case.plan.load.stacks[0].at_mm = [x, y];
    let finding = found(slug, Note, moved(30.0, 0.0));
    assert!(
        finding
            .subjects
            .contains(&Subject::Named("right".to_owned()))
    );
    let finding = found(slug, Note, moved(0.0, -30.0));
    assert!(
        finding
            .subjects
            .contains(&Subject::Named("door".to_owned()))
    );
    // A plate of 200 mm that stands 10 mm off has 55 % of itself on one side.
    passes(slug, moved(10.0, 10.0));
    not_evaluated(slug, "masses", no_setter);
    // The same by hand: one dummy of 10 kg beside 2 plates and 8 posts that lie even.
    let mut case = clean();
    case.level(0).placements.clear();
    case.level(1).placements.clear();
    let plate = case
        .catalogue
        .setter("alumina-square-200x6")
        .unwrap()
        .mass_g;
    let post = |id| case.catalogue.post(id).unwrap().mass_g;
    let posts_g = 4.0 * (post("alumina-post-12x30") + post("alumina-post-12x40"));
    let dummy = Item::Dummy {
        shape: Shape::Block {
            width_mm: 10.0,
            depth_mm: 10.0,
            height_mm: 10.0,
        },
        mass_g: 1000.0,
        material: "alumina-995".to_owned(),
    };
    case.put(0, dummy, [50.0, 0.0]);
    let (findings, _) = case.says(slug);
    let expected = 1000.0 / (1000.0 + 2.0 * plate + posts_g);
    let value = findings[0].measured.unwrap().value;
    assert!((value - expected).abs() < 1e-12, "{value} {expected}");
}

#[test]
fn marks_on_coupons() {
    let slug = "coupon-mark-twice";
    let coupons = |marks: [&'static str; 2]| {
        move |case: &mut Case| {
            for (level, mark) in marks.into_iter().enumerate() {
                let label = mark.to_owned();
                let item = Item::Coupon { part: PART, label };
                case.put(level, item, [0.0, 60.0]);
            }
        }
    };
    let finding = found(slug, Stop, coupons(["K1", "K1 "]));
    assert_eq!(finding.subjects.len(), 2);
    passes(slug, coupons(["K1", "K2"]));
    not_evaluated(slug, "the coupon's mark", coupons(["", ""]));
}

#[test]
fn one_thermocouple_in_two_places() {
    let slug = "thermocouple-placed-twice";
    let named = |name: &'static str| {
        move |case: &mut Case| {
            let sensor = name.to_owned();
            let item = Item::Sensor {
                sensor,
                height_mm: 5.0,
            };
            case.put(1, item, [0.0, -20.0]);
        }
    };
    let finding = found(slug, Stop, named("load-2"));
    assert_eq!(finding.subjects.len(), 2);
    passes(slug, named("load-3"));
    not_evaluated(slug, "which thermocouple", named(" "));
}

#[test]
fn posts_beside_posts() {
    let slug = "post-over-no-post";
    // √2·(80 − 71) = 12.7 of two posts of 12 mm; √2·(80 − 72) = 11.3.
    let finding = found(slug, Stop, posts(1, square(71.0)));
    assert_eq!(finding.subjects, [Subject::Level(LEVELS[1])]);
    passes(slug, posts(1, square(72.0)));
    // Beyond it the caution is silent.
    passes("posts-not-in-line", posts(1, square(71.0)));
    not_evaluated(slug, "post record", |case| {
        if let Carrier::Posts { post, .. } = &mut case.level(0).carrier {
            *post = "none".to_owned();
        }
    });
}

#[test]
fn room_for_the_gas() {
    let slug = "gas-path-narrow";
    // A block drawn green under a room of 40 mm on a plate of 200 mm, between two posts of 12 mm.
    let block = |height_mm: f64| {
        move |case: &mut Case| {
            case.alone();
            case.shape(Shape::Block {
                width_mm: 148.0,
                depth_mm: 20.0,
                height_mm,
            });
        }
    };
    // 1 − 24/200 − 148·h/8000: 20 % at h = 36.76.
    measured(slug, Caution, "19.6 %", block(37.0));
    passes(slug, block(36.5));
    not_evaluated(slug, "setter record or what carries it", no_setter);
    not_evaluated(slug, "furnace record", no_furnace);
    not_evaluated(slug, "feedstock", |case| {
        case.part().feedstock = "none".to_owned();
    });
    // A tray whose rim carries the next one leaves nothing.
    measured(slug, Caution, "0.0 %", |case| {
        case.level(0).setter = "alumina-tray-200x6-rim-25".to_owned();
        case.level(1).carrier = Carrier::Rim;
    });
}

#[test]
fn a_plate_beside_a_thermocouple() {
    let slug = "setter-near-thermocouple";
    // The control thermocouple stands at (0, 168, 170): 168 − 1.5 − (100·1.0108138 + y).
    let plate = |y: f64| {
        move |case: &mut Case| {
            if let Carrier::Posts { post, .. } = &mut case.level(0).carrier {
                *post = "alumina-post-16x100".to_owned();
            }
            if let Carrier::Posts { post, .. } = &mut case.level(1).carrier {
                *post = "alumina-post-12x60".to_owned();
            }
            case.plan.load.stacks[0].at_mm = [0.0, y];
        }
    };
    measured(slug, Caution, "23.4 mm", plate(42.0));
    passes(slug, plate(40.0));
    not_evaluated(slug, "furnace", no_furnace);
    not_evaluated(slug, "setter", no_setter);
}
