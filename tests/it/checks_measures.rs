//! Overhangs, free spans and walls: each check tripped, just inside, and without its datum.

use crate::files_plans::detail;
use crate::fixture::{Case, clean, measured, not_evaluated, passes};
use setterwright::catalogue::Severity::{Caution, Note, Stop};
use setterwright::geometry::{Ball, Overhang};
use setterwright::part::{Detail, MeshUnit, Shape};
use std::sync::Arc;

fn mesh(case: &mut Case, detail: Option<Detail>) {
    let part = case.part();
    part.shape = Shape::Mesh {
        file: "part.stl".to_owned(),
        unit: MeshUnit::Millimetre,
        sha256: "0".repeat(64),
        body: None,
    };
    Arc::make_mut(&mut part.geometry).detail = detail;
}

/// A mesh that is 2 mm thin somewhere, with a reach and a span, mm.
fn hangs(reach_mm: f64, span_mm: f64) -> impl FnOnce(&mut Case) {
    let detail = Detail {
        thinnest: Some(thin(2.0)),
        overhang: Some(Overhang {
            area_mm2: 3.0,
            reach_mm,
            span_mm,
        }),
        ..detail()
    };
    move |case| mesh(case, Some(detail))
}

fn thin(diameter_mm: f64) -> Ball {
    Ball {
        centre_mm: [0.0; 3],
        diameter_mm,
    }
}

#[test]
fn what_hangs_over() {
    let long = "overhang-long";
    measured(long, Caution, "5.5", hangs(11.0, 0.0));
    passes(long, hangs(10.0, 0.0));
    // A thin wall sags over a length that a thick one bears.
    let wall = |mm: f64| {
        move |case: &mut Case| {
            let detail = Detail {
                thinnest: Some(thin(mm)),
                overhang: Some(Overhang {
                    area_mm2: 3.0,
                    reach_mm: 12.0,
                    span_mm: 0.0,
                }),
                ..detail()
            };
            mesh(case, Some(detail));
        }
    };
    measured(long, Caution, "12.0 mm", wall(2.9));
    passes(long, wall(3.0));
    // Beyond the limit that stops it is the other check's.
    passes(long, hangs(21.0, 0.0));
    passes(long, |_| {});
    let too_long = "overhang-too-long";
    measured(too_long, Stop, "10.5", hangs(21.0, 0.0));
    passes(too_long, hangs(20.0, 0.0));
    for slug in [long, too_long, "bridge-long"] {
        not_evaluated(slug, "the overhangs of Bracket", |case| mesh(case, None));
        not_evaluated(slug, "the overhangs of Bracket", |case| {
            let open = Detail {
                overhang: None,
                ..detail()
            };
            mesh(case, Some(open));
        });
        not_evaluated(slug, "the thinnest wall of Bracket", |case| {
            let none = Detail {
                thinnest: None,
                ..detail()
            };
            mesh(case, Some(none));
        });
        not_evaluated(slug, "feedstock", |case| {
            hangs(50.0, 50.0)(case);
            case.part().feedstock = "none".to_owned();
        });
    }
}

#[test]
fn what_spans_freely() {
    measured("bridge-long", Caution, "10.5", hangs(0.0, 21.0));
    passes("bridge-long", hangs(0.0, 20.0));
    passes("bridge-long", hangs(11.0, 0.0));
}

#[test]
fn what_a_raft_carries_of_it_is_not_known() {
    let on_rafts = |case: &mut Case, pieces: usize| {
        hangs(11.0, 0.0)(case);
        let mut left = pieces;
        for level in [0, 1] {
            for placement in &mut case.level(level).placements {
                if left > 0 && placement.item.part().is_some() {
                    placement.support = Some("own-feedstock-raft-2".to_owned());
                    left -= 1;
                }
            }
        }
    };
    not_evaluated("overhang-long", "what its support carries", |case| {
        on_rafts(case, 24);
    });
    // Those beside it still hang.
    let mut case = clean();
    on_rafts(&mut case, 1);
    let (findings, missing) = case.says("overhang-long");
    assert_eq!((findings.len(), missing.len()), (1, 1));
}

#[test]
fn thick_beside_thin() {
    let slug = "wall-ratio-high";
    // The bracket's section is 5 mm.
    let thinnest = |mm: f64| {
        move |case: &mut Case| {
            let thinnest = Some(thin(mm));
            let detail = Detail {
                thinnest,
                ..detail()
            };
            mesh(case, Some(detail));
        }
    };
    measured(slug, Note, "3.1", thinnest(1.6));
    passes(slug, thinnest(1.7));
    passes(slug, |_| {});
    not_evaluated(slug, "the thinnest wall of Bracket", |case| {
        mesh(case, None)
    });
    // Of an L nobody has measured the walls.
    not_evaluated(slug, "the thinnest wall of Bracket", |case| {
        case.shape(Shape::Prism {
            outline_mm: vec![
                [0.0, 0.0],
                [20.0, 0.0],
                [20.0, 2.0],
                [10.0, 2.0],
                [10.0, 15.0],
                [0.0, 15.0],
            ],
            height_mm: 5.0,
        });
    });
}
