//! Free places on a level, as the review sees them: at every stage, on a setter that grows.

use super::clearance::{LevelScene, Standing, usable_face};
use super::plan::{Carrier, Level, Placement, Plan};
use super::sized::{Sizes, lift_mm};
use crate::catalogue::{Catalogue, Setter};
use crate::geometry::{Body, PlacedBody, Pose, inside_margin, placed_gap};
use crate::part::SizeStage;

/// Boxes of hot bodies this much farther apart than the gap limit are looked at no closer, mm:
/// more than setter and parts can grow towards each other.
const FAR_MM: f64 = 5.0;

/// What a free place has to keep.
pub struct Wanted<'a> {
    /// To the setter's edge, mm.
    pub edge_mm: f64,
    /// To anything else on the level, mm.
    pub gap_mm: f64,
    /// Places that are kept at most.
    pub most: usize,
    /// What else has to hold of a thing as it would stand.
    pub also: &'a dyn Fn(&Standing) -> bool,
}

/// Places all over a setter in steps of 5 mm, the nearest to its middle first: whoever sets parts
/// down by hand aligns them after. Corners of the box around it may lie beyond its edge.
pub fn places_on(setter: &Setter) -> Vec<[f64; 2]> {
    const STEP_MM: f64 = 5.0;
    let sides = setter.shape.bounds_mm().into_iter().flatten();
    let reach = sides.fold(0.0, |most: f64, side| most.max(side.abs()));
    let steps = (reach / STEP_MM).min(60.0) as i64;
    let mut places: Vec<[f64; 2]> = (-steps..=steps)
        .flat_map(|x| (-steps..=steps).map(move |y| [x as f64 * STEP_MM, y as f64 * STEP_MM]))
        .collect();
    let from_middle = |p: &[f64; 2]| p[0] * p[0] + p[1] * p[1];
    places.sort_by(|a, b| from_middle(a).total_cmp(&from_middle(b)));
    places
}

/// Keeps the places where a copy of something is free, beside what stands on the level and the
/// copies kept before it. None where that cannot be told.
pub fn keep_free_places(
    plan: &Plan,
    catalogue: &Catalogue,
    sizes: &Sizes,
    level: &Level,
    copied: &Placement,
    places: &mut Vec<[f64; 2]>,
    wanted: &Wanted,
) -> Option<()> {
    let sized = sizes.of(&copied.item, catalogue)?;
    let setter = catalogue.setter(&level.setter)?;
    let gap = wanted.gap_mm;
    let scene = LevelScene::new(level, plan, sizes, catalogue);
    let growths = scene.growths();
    let faces = growths.map(|growth| usable_face(setter, growth));
    let stages = || SizeStage::ALL.into_iter().zip(0..);
    let mut taken: Vec<Standing> = scene.standing().to_vec();
    let above = plan
        .level(level.id)
        .and_then(|(stack, _)| stack.levels.iter().skip_while(|l| l.id != level.id).nth(1));
    let mut posts: Vec<[PlacedBody; 3]> = Vec::new();
    if let Some(next) = above
        && let Carrier::Posts { post, at_mm } = &next.carrier
        && let Some(post) = catalogue.post(post)
    {
        let body = Body::cylinder(post.diameter_mm, post.length_mm);
        let stand =
            |[x, y]: &[f64; 2]| growths.map(|g| PlacedBody::new(&body, &Pose::at(x * g, y * g)));
        posts.extend(at_mm.iter().map(stand));
    }
    let lift = lift_mm(copied, catalogue);
    let apart = |a: &Standing, b: &Standing| {
        let boxes = |s: &Standing| s.placed(SizeStage::Hottest).bounds();
        boxes(a).zip(boxes(b)).is_some_and(|(a, b)| {
            (0..2).any(|k| (a[0][k] - b[1][k]).max(b[0][k] - a[1][k]) > gap + FAR_MM)
        })
    };
    let before = taken.len();
    places.retain(|at_mm| {
        if taken.len() - before >= wanted.most {
            return false;
        }
        let copy = Placement {
            at_mm: *at_mm,
            ..copied.clone()
        };
        let here = Standing::new(&copy, &sized, lift, growths);
        let inside = stages().all(|(stage, i): (SizeStage, usize)| {
            let mut outlines = here.placed(stage).outlines();
            outlines
                .all(|(_, _, o)| inside_margin(&faces[i], o).is_some_and(|m| m >= wanted.edge_mm))
        });
        let clear = |post: &[PlacedBody; 3]| {
            stages().all(|(stage, i): (SizeStage, usize)| {
                placed_gap(here.placed(stage), &post[i], gap).is_none()
            })
        };
        let free = inside
            && (wanted.also)(&here)
            && posts.iter().all(clear)
            && taken
                .iter()
                .all(|t| apart(t, &here) || t.pair_gap(&here, gap).is_none());
        if free {
            taken.push(here);
        }
        free
    });
    Some(())
}
