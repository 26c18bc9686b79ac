//! Shapes of parts: each is drawn, and measured as the program measures it.

use super::{Row, argon};
use crate::fixture::{Case, PART};
use setterwright::catalogue::Severity;
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

/// A T: a foot 5 mm wide and 4 high, and a bar 3 mm thick, 2.8 on the left, that reaches over it on
/// both sides.
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

/// A portal 8 mm high with feet of 4 mm and a bar 3 mm thick.
fn portal(span_mm: f64) -> Vec<[f64; 2]> {
    let (inner, outer) = (span_mm / 2.0, span_mm / 2.0 + 4.0);
    vec![
        [-outer, 0.0],
        [-inner, 0.0],
        [-inner, 5.0],
        [inner, 5.0],
        [inner, 0.0],
        [outer, 0.0],
        [outer, 8.0],
        [-outer, 8.0],
    ]
}

/// A block of 5.5 mm with a fin.
fn finned(fin_mm: f64) -> Vec<[f64; 2]> {
    vec![
        [0.0, 0.0],
        [20.0, 0.0],
        [20.0, fin_mm],
        [10.0, fin_mm],
        [10.0, 5.5],
        [0.0, 5.5],
    ]
}

/// A slab of 20 mm on a foot at its left end, 1 mm high.
fn one_sided(foot_mm: f64) -> Vec<[f64; 2]> {
    vec![
        [0.0, 0.0],
        [foot_mm, 0.0],
        [foot_mm, 1.0],
        [20.0, 1.0],
        [20.0, 6.0],
        [0.0, 6.0],
    ]
}

/// An L, of which neither section nor walls are measured.
pub fn unmeasured(case: &mut Case) {
    let outline_mm = vec![
        [0.0, 0.0],
        [20.0, 0.0],
        [20.0, 2.0],
        [10.0, 2.0],
        [10.0, 15.0],
        [0.0, 15.0],
    ];
    let height_mm = 5.0;
    case.shape(Shape::Prism {
        outline_mm,
        height_mm,
    });
}

pub fn without_feedstock(case: &mut Case) {
    case.catalogue_mut().feedstocks.remove("316l-wax");
}

pub fn without_limit(case: &mut Case, id: &str) {
    case.catalogue_mut().limits.retain(|l| l.id != id);
}

fn on_pins(case: &mut Case) {
    for level in [0, 1] {
        for placement in &mut case.level(level).placements {
            placement.support = Some("alumina-pins-5".to_owned());
        }
    }
}

/// Two coupons with these marks.
fn coupons(case: &mut Case, marks: [&str; 2]) {
    for (level, mark) in marks.into_iter().enumerate() {
        let label = mark.to_owned();
        case.put(level, Item::Coupon { part: PART, label }, [0.0, 60.0]);
    }
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
        })
        .with(&["safety-record-loosened"])
        .weighs(Severity::Note)
        .no_between("a binder has a first step or has none")
        .missing("the feedstock's record taken out", without_feedstock),
        argon("section-too-thick", "a block of 13 mm", |c| {
            typed(c, block(20.0, 20.0, 13.0), Rest::default());
        })
        .with(&[
            "bath-and-weighing-disagree",
            "extraction-centre-low",
            "ramp-far-too-fast-for-section",
        ])
        .weighs(Severity::Stop)
        .inside("a block of 12.4 mm", |c| {
            typed(c, block(20.0, 20.0, 12.4), Rest::default())
        })
        .missing("an L of which nobody stated the section", unmeasured),
        argon("section-thick", "a block of 7 mm", |c| {
            typed(c, block(20.0, 15.0, 7.0), Rest::default());
        })
        .with(&["ramp-too-fast-for-section"])
        .weighs(Severity::Caution)
        .inside("a block of 5.95 mm", |c| {
            typed(c, block(20.0, 15.0, 5.95), Rest::default())
        })
        .missing("an L of which nobody stated the section", unmeasured),
        argon("mesh-open", "a triangle taken out of a cube", |c| {
            let mut soup = cube(5.5, 0.0);
            soup.pop();
            mesh(c, &Mesh::from_soup(&soup), Rest::default());
        })
        .lapses(&[
            "bridge-long",
            "bath-and-weighing-disagree",
            "extraction-centre-low",
            "overhang-long",
            "overhang-too-long",
            "ramp-far-too-fast-for-section",
            "ramp-too-fast-for-section",
            "section-thick",
            "section-too-thick",
            "wall-ratio-high",
        ])
        .weighs(Severity::Caution)
        .inside("the cube whole", |c| {
            mesh(c, &Mesh::from_soup(&cube(5.5, 0.0)), Rest::default())
        })
        .never_missing("every mesh is counted when it is read"),
        argon("mesh-crossing", "two cubes drawn into each other", |c| {
            let soup = [cube(5.5, 0.0), cube(5.5, 2.0)].concat();
            mesh(c, &Mesh::from_soup(&soup), Rest::default());
        })
        .lapses(&[
            "bridge-long",
            "bath-and-weighing-disagree",
            "extraction-centre-low",
            "overhang-long",
            "overhang-too-long",
            "ramp-far-too-fast-for-section",
            "ramp-too-fast-for-section",
            "section-thick",
            "section-too-thick",
            "wall-ratio-high",
        ])
        .weighs(Severity::Caution)
        .inside("two cubes 0.1 mm apart", |c| {
            let soup = [cube(5.5, 0.0), cube(5.5, 5.6)].concat();
            mesh(c, &Mesh::from_soup(&soup), Rest::default());
        })
        .missing("a mesh that was read before crossings were counted", |c| {
            mesh(c, &Mesh::from_soup(&cube(5.5, 0.0)), Rest::default());
            Arc::make_mut(&mut c.part().geometry).detail = None;
        }),
        argon("mesh-degenerate", "a sliver without area in a cube", |c| {
            let mut soup = cube(5.5, 0.0);
            // Cut in two beside an edge, with a sliver between.
            let [a, b, far] = soup[0];
            let m = std::array::from_fn(|k| f64::midpoint(a[k], b[k]));
            soup[0] = [a, m, far];
            soup.extend([[m, b, far], [a, b, m]]);

            mesh(c, &Mesh::from_soup(&soup), Rest::default());
        })
        .weighs(Severity::Note)
        .inside("the cube without the sliver", |c| {
            mesh(c, &Mesh::from_soup(&cube(5.5, 0.0)), Rest::default())
        })
        .never_missing("every mesh is counted when it is read"),
        argon(
            "section-stated-thinner",
            "3 mm stated for a section of 5.9 mm",
            |c| {
                c.part().section_mm = Some(3.0);
            },
        )
        .weighs(Severity::Note)
        .inside("5.35 mm stated for a section of 5.9 mm", |c| {
            c.part().section_mm = Some(5.35)
        })
        .missing("3 mm stated for an L that nobody measured", |c| {
            unmeasured(c);
            c.part().section_mm = Some(3.0);
        }),
        argon("size-of-another-unit", "a cube of 4 mm", |c| {
            mesh(c, &Mesh::from_soup(&cube(4.0, 0.0)), Rest::default());
        })
        .weighs(Severity::Caution)
        .inside("a cube of 5.05 mm", |c| {
            mesh(c, &Mesh::from_soup(&cube(5.05, 0.0)), Rest::default())
        })
        .never_missing("every mesh has a size"),
        argon(
            "rests-on-kept-off-face",
            "the face it rests on marked as kept off",
            |c| {
                c.part().keep_off = vec![Rest::default()];
            },
        )
        .weighs(Severity::Caution)
        .inside("a face 5.1° beside it marked as kept off", |c| {
            let (sin, cos) = 5.1_f64.to_radians().sin_cos();
            c.part().keep_off = vec![Rest::towards([sin, 0.0, -cos]).unwrap()];
        })
        .never_missing("a face that nobody marked may be lain on, and every part rests on one"),
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
            "bath-and-weighing-disagree",
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
        ])
        .weighs(Severity::Caution)
        .inside("8.05 g for an outline that filled would weigh 7.7", |c| {
            outlined(c, [20.0, 15.0, 5.0]);
            c.part().weighed = Some(Weighed {
                state: MassState::Green,
                mass_g: 8.05,
            });
        })
        .missing("the outline of a part that nobody weighed", |c| {
            outlined(c, [20.0, 15.0, 5.0]);
            c.part().weighed = None;
        }),
        argon(
            "outline-and-mass-only",
            "a part known by outline and mass",
            |c| {
                outlined(c, [24.0, 18.0, 6.0]);
            },
        )
        .lapses(&[
            "bridge-long",
            "bath-and-weighing-disagree",
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
        ])
        .weighs(Severity::Note)
        .no_between("a part has a shape or an outline")
        .never_missing("that the shape is missing is what it finds"),
        argon("closed-infill", "closed infill", |c| {
            c.part().infill = Infill::Closed {
                shell_thickness_mm: 1.5,
            };
        })
        .lapses(&["weighed-mass-differs"])
        .weighs(Severity::Note)
        .no_between("the infill is closed or is not")
        .never_missing("every part says how it is filled"),
        argon(
            "overhang-long",
            "a T with arms of 16 mm, 2.8 mm thick",
            |c| standing(c, &t(16.0)),
        )
        .weighs(Severity::Caution)
        .inside("a T with arms of 9.9 mm, 2.8 mm thick", |c| {
            standing(c, &t(9.9))
        })
        .missing("a cube with a triangle less", |c| {
            let mut soup = cube(5.5, 0.0);
            soup.pop();
            mesh(c, &Mesh::from_soup(&soup), Rest::default());
        }),
        argon(
            "overhang-too-long",
            "a T with arms of 31 mm, 2.8 mm thick",
            |c| {
                standing(c, &t(31.0));
            },
        )
        .weighs(Severity::Stop)
        .inside("a T with arms of 27.6 mm, 2.8 mm thick", |c| {
            standing(c, &t(27.6))
        })
        .missing("a cube with a triangle less", |c| {
            let mut soup = cube(5.5, 0.0);
            soup.pop();
            mesh(c, &Mesh::from_soup(&soup), Rest::default());
        }),
        argon(
            "bridge-long",
            "a portal that spans 32 mm, 3 mm thick",
            |c| standing(c, &portal(32.0)),
        )
        .weighs(Severity::Caution)
        .inside("a portal that spans 29.6 mm", |c| {
            standing(c, &portal(29.6))
        })
        .missing("a cube with a triangle less", |c| {
            let mut soup = cube(5.5, 0.0);
            soup.pop();
            mesh(c, &Mesh::from_soup(&soup), Rest::default());
        }),
        argon(
            "wall-ratio-high",
            "a block of 5.5 mm with a fin of 1.5 mm",
            |c| standing(c, &finned(1.5)),
        )
        .weighs(Severity::Note)
        .inside("a fin of 1.86 mm", |c| standing(c, &finned(1.86)))
        .missing("an L of which nobody measured the walls", unmeasured),
        argon("part-may-roll", "a rod laid on its side", |c| {
            let rod = Shape::Disc {
                diameter_mm: 5.0,
                height_mm: 20.0,
            };
            typed(c, rod, Rest::towards([1.0, 0.0, 0.0]).unwrap());
        })
        .lapses(&["bridge-long", "overhang-long", "overhang-too-long"])
        .weighs(Severity::Stop)
        .inside(
            "a foot 1.11 mm wide, where a round of 15 mm touches over 1.095",
            |c| {
                Arc::make_mut(&mut c.part().geometry).footprint = Outline::rectangle(20.0, 1.11);
            },
        )
        .missing("all of it on pins", on_pins),
        argon("part-falls-over", "a foot beside the centre of mass", |c| {
            standing(c, &one_sided(5.0))
        })
        .weighs(Severity::Stop)
        .inside("a foot of 9.6 mm, 0.06 mm beyond the centre of mass", |c| {
            standing(c, &one_sided(9.6))
        })
        .missing("all of it on pins", on_pins),
        argon("part-too-slender", "a block 4 mm wide and 22 high", |c| {
            typed(c, block(20.0, 4.0, 22.0), Rest::default());
        })
        .weighs(Severity::Stop)
        .inside("a block 4 mm wide and 19.9 high", |c| {
            typed(c, block(20.0, 4.0, 19.9), Rest::default())
        })
        .missing("all of it on pins", on_pins),
        argon("part-may-tip", "a block 4 mm wide and 14 high", |c| {
            typed(c, block(20.0, 4.0, 14.0), Rest::default());
        })
        .weighs(Severity::Caution)
        .inside("a block 4 mm wide and 11.95 high", |c| {
            typed(c, block(20.0, 4.0, 11.95), Rest::default())
        })
        .missing("all of it on pins", on_pins),
        argon("foot-narrow", "a bar 3 mm wide and high", |c| {
            typed(c, block(20.0, 3.0, 3.0), Rest::default());
        })
        .weighs(Severity::Caution)
        .inside("a bar 3.57 mm wide, 3.03 when sintered", |c| {
            typed(c, block(20.0, 3.57, 3.0), Rest::default())
        })
        .missing("all of it on pins", on_pins),
        argon("drag-likely", "a bar of 70 mm and 54 g", |c| {
            typed(c, block(70.0, 30.0, 5.0), Rest::default());
        })
        .weighs(Severity::Caution)
        .inside("a bar of 59.4 mm from corner to corner", |c| {
            typed(c, block(51.3, 30.0, 7.0), Rest::default())
        })
        .missing("the outline of a part that nobody weighed", |c| {
            outlined(c, [70.0, 30.0, 5.0]);
            c.part().weighed = None;
        }),
        argon(
            "oversize-factor-mismatch",
            "made with 1.175 instead of 1.1777",
            |c| {
                c.part().made_with_oversize = Some([1.175; 3]);
                weigh(c);
            },
        )
        .weighs(Severity::Stop)
        .inside("made with 1.17572", |c| {
            c.part().made_with_oversize = Some([1.17572; 3])
        })
        .missing("nobody said with what it was made", |c| {
            c.part().made_with_oversize = None
        }),
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
        .with(&["lot-mass-differs"])
        .weighs(Severity::Caution)
        .inside("a piece of 13.2 g on the scale", |c| {
            c.part().weighed = Some(Weighed {
                state: MassState::Green,
                mass_g: 13.2,
            })
        })
        .missing("nobody weighed it", |c| c.part().weighed = None),
        argon("coupon-mark-twice", "two coupons of one mark", |c| {
            coupons(c, ["K1"; 2])
        })
        .lapses(&["solvent-on-parts"])
        .weighs(Severity::Stop)
        .inside("two coupons of two marks", |c| coupons(c, ["K1", "K2"]))
        .missing("two coupons without marks", |c| coupons(c, ["", " "])),
    ]
}
