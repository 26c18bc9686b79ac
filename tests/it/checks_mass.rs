//! Checks of mass, each tripped, just inside, and without its datum.

use crate::fixture::{Case, OVERSIZE, PER_LEVEL, found, measured, not_evaluated, passes};
use setterwright::catalogue::Severity::{Caution, Note, Stop};
use setterwright::load::Item;
use setterwright::part::{MassState, Shape, Weighed};
use std::sync::Arc;

fn dummy(mass_g: f64) -> impl FnOnce(&mut Case) {
    move |case| {
        let item = Item::Dummy {
            shape: Shape::Disc {
                diameter_mm: 10.0,
                height_mm: 10.0,
            },
            mass_g,
            material: "alumina-995".to_owned(),
        };
        case.put(0, item, [0.0, -20.0]);
    }
}

fn unknown_support(case: &mut Case) {
    case.bracket().support = Some("none".to_owned());
}

fn unknown_feedstock(case: &mut Case) {
    case.part().feedstock = "none".to_owned();
}

fn green(width_mm: f64, depth_mm: f64, height_mm: f64) -> impl FnOnce(&mut Case) {
    move |case| {
        case.shape(Shape::Block {
            width_mm,
            depth_mm,
            height_mm,
        });
    }
}

fn all_supported(case: &mut Case) {
    for level in 0..2 {
        for placement in &mut case.level(level).placements {
            placement.support = Some("alumina-powder-1".to_owned());
        }
    }
}

fn lot_of(case: &mut Case, index: usize, to: Option<setterwright::load::LotId>) {
    if let Item::Part { lot, .. } =
        &mut case.level(index / PER_LEVEL).placements[index % PER_LEVEL].item
    {
        *lot = to;
    }
}

#[test]
fn furnace_rating() {
    // 30 kg, with 2.25 kg of brackets, plates and posts.
    found("load-over-furnace-mass", Stop, dummy(28_000.0));
    passes("load-over-furnace-mass", dummy(27_700.0));
    not_evaluated("load-over-furnace-mass", "furnace", |case| {
        case.plan.load.furnace = "none".to_owned();
    });
    not_evaluated("load-over-furnace-mass", "masses", unknown_support);
}

#[test]
fn evenness_and_fill() {
    // 145.5 g of brackets on each level: (145.5 + d)/(145.5 + d/2).
    measured("level-mass-uneven", Note, "1.63", dummy(500.0));
    passes("level-mass-uneven", dummy(250.0));
    not_evaluated("level-mass-uneven", "mass", unknown_support);
    // 12·23.554·17.666/200² = 0.1248.
    measured("fill-low", Note, "12 %", |_| {});
    passes("fill-low", |case| case.limit("fill-low").value = 0.12);
    not_evaluated("fill-low", "setter record", |case| {
        case.limit("fill-low").value = 0.12;
        case.level(0).setter = "none".to_owned();
    });
    measured("fill-high", Caution, "12.5 %", |case| {
        case.limit("fill-high").value = 0.12;
    });
    passes("fill-high", |_| {});
    not_evaluated("fill-high", "setter record", |case| {
        case.level(0).setter = "none".to_owned();
    });
}

#[test]
fn oversize() {
    let slug = "oversize-factor-mismatch";
    let made = |z: f64| {
        move |case: &mut Case| {
            case.part().made_with_oversize = Some([OVERSIZE, OVERSIZE, z]);
        }
    };
    measured(slug, Stop, "0.0023", made(1.18));
    measured(slug, Stop, "0.0027", made(1.175));
    passes(slug, made(1.1796));
    not_evaluated(slug, "the oversize factors of Bracket", |case| {
        case.part().made_with_oversize = None;
    });
    not_evaluated(slug, "feedstock", unknown_feedstock);
}

#[test]
fn weighings() {
    // 1500 mm³·1.1777³ = 2450.2 mm³; the lot is weighed against the scale, not the volume.
    let weighed = |state: MassState, mass_g: f64| {
        move |case: &mut Case| case.part().weighed = Some(Weighed { state, mass_g })
    };
    let slug = "weighed-mass-differs";
    found(slug, Caution, weighed(MassState::Green, 13.3));
    found(slug, Caution, weighed(MassState::Green, 11.9));
    // Weighed dry it is lighter by the first-step binder.
    found(slug, Caution, weighed(MassState::Dry, 13.1));
    passes(slug, weighed(MassState::Green, 13.1));
    not_evaluated(slug, "the weighed mass of Bracket", |case| {
        case.part().weighed = None;
    });
    not_evaluated(slug, "feedstock", unknown_feedstock);
    // 1500 mm³ green as an outline of 20 × 15 by 5 mm, filled: 1.5·5.134 = 7.70 g.
    let slug = "heavier-than-solid";
    let outline = |mass_g: f64| {
        move |case: &mut Case| {
            let [w, d, h] = [20.0, 15.0, 5.0];
            case.shape(Shape::Outline {
                outline_mm: vec![[0.0, 0.0], [w, 0.0], [w, d], [0.0, d]],
                height_mm: h,
            });
            case.part().weighed = Some(Weighed {
                state: MassState::Green,
                mass_g,
            });
        }
    };
    found(slug, Caution, outline(8.2));
    passes(slug, outline(8.0));
    passes(slug, outline(2.0));
    not_evaluated(slug, "the weighed mass of Bracket", |case| {
        outline(8.0)(case);
        case.part().weighed = None;
    });
    let slug = "lot-mass-differs";
    let lot = |each_g: f64| move |case: &mut Case| case.lot().green_g = Some(24.0 * each_g);
    // 13.3/12.58 − 1.
    measured(slug, Caution, "5.7 %", lot(13.3));
    passes(slug, lot(13.2));
    not_evaluated(slug, "the green mass of lot A1", |case| {
        case.lot().green_g = None;
    });
    not_evaluated(slug, "feedstock", unknown_feedstock);
}

#[test]
fn drag() {
    let slug = "drag-likely";
    // √(70² + 15²) = 71.6; 10.5 cm³ at 5.13 g/cm³ are 54 g, 9.45 cm³ are 48.5 g.
    measured(slug, Caution, "72 mm", green(70.0, 15.0, 10.0));
    passes(slug, green(70.0, 15.0, 9.0));
    passes(slug, green(57.0, 18.0, 12.0));
    passes(slug, |case| {
        green(70.0, 15.0, 10.0)(case);
        all_supported(case);
    });
    not_evaluated(slug, "feedstock", unknown_feedstock);
}

#[test]
fn rafts() {
    let slug = "raft-of-other-feedstock";
    let raft = |material: &'static str| {
        move |case: &mut Case| {
            case.bracket().support = Some("own-feedstock-raft-2".to_owned());
            let record = case
                .catalogue_mut()
                .supports
                .get_mut("own-feedstock-raft-2");
            Arc::make_mut(&mut record.unwrap().1).material = material.to_owned();
        }
    };
    found(slug, Caution, raft("17-4ph-wax"));
    passes(slug, raft("316l-wax"));
    passes(slug, raft(""));
    passes(slug, all_supported);
    not_evaluated(slug, "support record", unknown_support);
}

#[test]
fn lots() {
    let slug = "lot-count-mismatch";
    found(slug, Stop, |case| case.lot().count = 25);
    found(slug, Stop, |case| case.lot().count = 23);
    passes(slug, |case| case.lot().count = 24);
    let none_of_it = |case: &mut Case| {
        for index in 0..2 * PER_LEVEL {
            lot_of(case, index, None);
        }
    };
    passes(slug, none_of_it);
    found("lot-without-placement", Note, none_of_it);
    passes("lot-without-placement", |case| lot_of(case, 0, None));
    let finding = found("part-without-lot", Note, |case| lot_of(case, 0, None));
    assert!(format!("{:?}", finding.args).contains("Count(1)"));
    passes("part-without-lot", |_| {});
    passes("part-without-lot", |case| {
        none_of_it(case);
        case.plan.lots.clear();
    });
}
