//! Shapes of parts: each is drawn, and measured as the program measures it.

use super::{Row, argon};
use crate::fixture::{Case, PART};
use setterwright::geometry::{Mesh, Outline};
use setterwright::load::{Item, PartRecords, Placement};
use setterwright::part::{
    Drawn, Infill, MassState, MeshUnit, Rest, Shape, Weighed, measure_mesh_at, measure_typed_at,
};
use std::sync::Arc;

pub fn block(width_mm: f64, depth_mm: f64, height_mm: f64) -> Shape {
    Shape::Block {
        width_mm,
        depth_mm,
        height_mm,
    }
}

/// Weighs the part and its lot anew, as its shape has it.
pub fn weigh(case: &mut Case) {
    case.part().weighed = None;
    let catalogue = Arc::clone(&case.catalogue);
    let pieces = f64::from(case.lot().count);
    let masses = {
        let records = PartRecords::new(&case.plan.parts[0], &catalogue).unwrap();
        records.masses(0.92).unwrap()
    };
    case.part().weighed = Some(Weighed {
        state: MassState::Green,
        mass_g: masses.green_g,
    });
    let lot = case.lot();
    lot.green_g = Some(pieces * masses.green_g);
    lot.dry_g = Some(pieces * masses.dry_g);
    lot.previous_dry_g = lot.dry_g;
}

/// Leaves one piece on the lower level, of a lot of one.
pub fn one_piece(case: &mut Case) {
    let tips: Vec<Placement> = case
        .plan
        .placements()
        .filter(|(_, p)| p.item.is_tip())
        .map(|(_, p)| p.clone())
        .collect();
    case.alone();
    // What the soak waits for stays.
    for (tip, y) in tips.into_iter().zip([-20.0, 20.0]) {
        let at_mm = [0.0, y];
        case.level(1).placements.push(Placement { at_mm, ..tip });
    }
    case.lot().count = 1;
}

/// One piece of a typed shape, drawn green, resting so.
fn typed(case: &mut Case, shape: Shape, rest: Rest) {
    one_piece(case);
    let part = case.part();
    part.geometry = Arc::new(measure_typed_at(&shape, rest).unwrap());
    (part.shape, part.rest, part.drawn) = (shape, rest, Drawn::Green);
    weigh(case);
}

/// One piece of a mesh, drawn green, resting so.
fn mesh(case: &mut Case, mesh: &Mesh, rest: Rest) {
    one_piece(case);
    let part = case.part();
    part.geometry = Arc::new(measure_mesh_at(mesh, MeshUnit::Millimetre, rest).unwrap());
    part.shape = Shape::Mesh {
        file: "part.stl".to_owned(),
        unit: MeshUnit::Millimetre,
        sha256: "0".repeat(64),
        body: None,
    };
    (part.rest, part.drawn) = (rest, Drawn::Green);
    weigh(case);
}

/// A profile in x and z, 20 mm deep, standing on its lowest edge.
fn standing(case: &mut Case, profile_mm: &[[f64; 2]]) {
    let outline = Outline::polygon(profile_mm).unwrap();
    let down = Rest::towards([0.0, -1.0, 0.0]).unwrap();
    mesh(case, &Mesh::upright(&outline, 20.0), down);
}

/// A T: a foot 5 mm wide and 4 high, and a bar 3 mm thick that reaches over it on both sides.
fn t(reach_mm: f64) -> Vec<[f64; 2]> {
    let end = 2.5 + reach_mm;
    vec![
        [-2.5, 0.0],
        [2.5, 0.0],
        [2.5, 4.0],
        [end, 4.0],
        [end, 7.0],
        [-end, 7.0],
        [-end, 4.2],
        [-2.5, 4.2],
    ]
}

/// The brackets by an outline and what they weigh, drawn green.
fn outlined(case: &mut Case, [w, d, height_mm]: [f64; 3]) {
    let weighed = case.part().weighed;
    case.shape(Shape::Outline {
        outline_mm: vec![[0.0, 0.0], [w, 0.0], [w, d], [0.0, d]],
        height_mm,
    });
    case.part().weighed = weighed;
}

fn cube(side_mm: f64, at_mm: f64) -> Vec<[[f64; 3]; 3]> {
    let outline = Outline::rectangle(side_mm, side_mm).moved(at_mm, at_mm);
    let mesh = Mesh::upright(&outline, side_mm);
    let corner = |i: &u32| mesh.vertices[*i as usize];
    let all = mesh.triangles.iter();
    all.map(|t| [corner(&t[0]), corner(&t[1]), corner(&t[2])])
        .collect()
}

pub fn rows() -> Vec<Row> {
    vec![
        argon("swelling-assumed", "a binder without a first step", |c| {
            let thermal = c.catalogue.feedstock("17-4ph-thermal").unwrap();
            c.feedstock().binder = thermal.binder.clone();
        }),
        argon("section-too-thick", "a block of 13 mm", |c| {
            typed(c, block(20.0, 20.0, 13.0), Rest::default());
        })
        .with(&["extraction-centre-low", "ramp-far-too-fast-for-section"]),
        argon("section-thick", "a block of 7 mm", |c| {
            typed(c, block(20.0, 15.0, 7.0), Rest::default());
        })
        .with(&["ramp-too-fast-for-section"]),
        argon("mesh-open", "a triangle taken out of a cube", |c| {
            let mut soup = cube(5.5, 0.0);
            soup.pop();
            mesh(c, &Mesh::from_soup(&soup), Rest::default());
        })
        .lapses(&[
            "bridge-long",
            "extraction-centre-low",
            "overhang-long",
            "overhang-too-long",
            "ramp-far-too-fast-for-section",
            "ramp-too-fast-for-section",
            "section-thick",
            "section-too-thick",
            "wall-ratio-high",
        ]),
        argon("mesh-crossing", "two cubes drawn into each other", |c| {
            let soup = [cube(5.5, 0.0), cube(5.5, 2.0)].concat();
            mesh(c, &Mesh::from_soup(&soup), Rest::default());
        })
        .lapses(&[
            "bridge-long",
            "extraction-centre-low",
            "overhang-long",
            "overhang-too-long",
            "ramp-far-too-fast-for-section",
            "ramp-too-fast-for-section",
            "section-thick",
            "section-too-thick",
            "wall-ratio-high",
        ]),
        argon("mesh-degenerate", "a sliver without area in a cube", |c| {
            let mut soup = cube(5.5, 0.0);
            // Cut in two beside an edge, with a sliver between.
            let [a, b, far] = soup[0];
            let m = std::array::from_fn(|k| f64::midpoint(a[k], b[k]));
            soup[0] = [a, m, far];
            soup.extend([[m, b, far], [a, b, m]]);

            mesh(c, &Mesh::from_soup(&soup), Rest::default());
        }),
        argon(
            "section-stated-thinner",
            "3 mm stated for a section of 5.9 mm",
            |c| {
                c.part().section_mm = Some(3.0);
            },
        ),
        argon("size-of-another-unit", "a cube of 4 mm", |c| {
            mesh(c, &Mesh::from_soup(&cube(4.0, 0.0)), Rest::default());
        }),
        argon(
            "rests-on-kept-off-face",
            "the face it rests on marked as kept off",
            |c| {
                c.part().keep_off = vec![Rest::default()];
            },
        ),
        argon(
            "heavier-than-solid",
            "12.6 g for an outline that filled would weigh 7.7",
            |c| {
                outlined(c, [20.0, 15.0, 5.0]);
            },
        )
        .with(&["outline-and-mass-only"])
        .lapses(&[
            "bridge-long",
            "extraction-centre-low",
            "foot-narrow",
            "overhang-long",
            "overhang-too-long",
            "part-falls-over",
            "part-may-roll",
            "part-may-tip",
            "part-too-slender",
            "ramp-far-too-fast-for-section",
            "ramp-too-fast-for-section",
            "section-thick",
            "section-too-thick",
            "wall-ratio-high",
            "weighed-mass-differs",
        ]),
        argon(
            "outline-and-mass-only",
            "a part known by outline and mass",
            |c| {
                outlined(c, [24.0, 18.0, 6.0]);
            },
        )
        .lapses(&[
            "bridge-long",
            "extraction-centre-low",
            "foot-narrow",
            "overhang-long",
            "overhang-too-long",
            "part-falls-over",
            "part-may-roll",
            "part-may-tip",
            "part-too-slender",
            "ramp-far-too-fast-for-section",
            "ramp-too-fast-for-section",
            "section-thick",
            "section-too-thick",
            "wall-ratio-high",
            "weighed-mass-differs",
        ]),
        argon("closed-infill", "closed infill", |c| {
            c.part().infill = Infill::Closed {
                shell_thickness_mm: 1.5,
            };
        })
        .lapses(&["weighed-mass-differs"]),
        argon("overhang-long", "a T with arms of 16 mm, 3 mm thick", |c| {
            standing(c, &t(16.0))
        }),
        argon(
            "overhang-too-long",
            "a T with arms of 31 mm, 3 mm thick",
            |c| {
                standing(c, &t(31.0));
            },
        ),
        argon(
            "bridge-long",
            "a portal that spans 32 mm, 3 mm thick",
            |c| {
                standing(
                    c,
                    &[
                        [-20.0, 0.0],
                        [-16.0, 0.0],
                        [-16.0, 5.0],
                        [16.0, 5.0],
                        [16.0, 0.0],
                        [20.0, 0.0],
                        [20.0, 8.0],
                        [-20.0, 8.0],
                    ],
                );
            },
        ),
        argon(
            "wall-ratio-high",
            "a block of 5.5 mm with a fin of 1.5 mm",
            |c| {
                standing(
                    c,
                    &[
                        [0.0, 0.0],
                        [20.0, 0.0],
                        [20.0, 1.5],
                        [10.0, 1.5],
                        [10.0, 5.5],
                        [0.0, 5.5],
                    ],
                );
            },
        ),
        argon("part-may-roll", "a rod laid on its side", |c| {
            let rod = Shape::Disc {
                diameter_mm: 5.0,
                height_mm: 20.0,
            };
            typed(c, rod, Rest::towards([1.0, 0.0, 0.0]).unwrap());
        })
        .lapses(&["bridge-long", "overhang-long", "overhang-too-long"]),
        argon("part-falls-over", "a foot beside the centre of mass", |c| {
            standing(
                c,
                &[
                    [0.0, 0.0],
                    [5.0, 0.0],
                    [5.0, 1.0],
                    [20.0, 1.0],
                    [20.0, 6.0],
                    [0.0, 6.0],
                ],
            );
        }),
        argon("part-too-slender", "a block 4 mm wide and 22 high", |c| {
            typed(c, block(20.0, 4.0, 22.0), Rest::default());
        }),
        argon("part-may-tip", "a block 4 mm wide and 14 high", |c| {
            typed(c, block(20.0, 4.0, 14.0), Rest::default());
        }),
        argon("foot-narrow", "a bar 3 mm wide and high", |c| {
            typed(c, block(20.0, 3.0, 3.0), Rest::default());
        }),
        argon("drag-likely", "a bar of 70 mm and 54 g", |c| {
            typed(c, block(70.0, 30.0, 5.0), Rest::default());
        }),
        argon(
            "oversize-factor-mismatch",
            "made with 1.175 instead of 1.1777",
            |c| {
                c.part().made_with_oversize = Some([1.175; 3]);
                weigh(c);
            },
        ),
        argon(
            "weighed-mass-differs",
            "a piece of 13.3 g on the scale",
            |c| {
                c.part().weighed = Some(Weighed {
                    state: MassState::Green,
                    mass_g: 13.3,
                });
            },
        )
        .with(&["lot-mass-differs"]),
        argon("coupon-mark-twice", "two coupons of one mark", |c| {
            for level in [0, 1] {
                let label = "K1".to_owned();
                c.put(level, Item::Coupon { part: PART, label }, [0.0, 60.0]);
            }
        })
        .lapses(&["solvent-on-parts"]),
    ]
}
