//! Posts that may take each other's place, how many of them are left, and what must fit under
//! what they carry.

use super::{Furniture, Keep};
use crate::catalogue::{Catalogue, Post};
use crate::geometry::{Outline, P2, Shape};
use crate::load::{
    Carrier, Edit, Item, Level, LevelId, Placement, Plan, Sizes, Stack, floor_and_roof, lift_mm,
    stack_heights,
};
use crate::part::SizeStage;
use std::collections::BTreeMap;

/// Two heights are one when they are not further apart, mm.
pub(super) const HAIR_MM: f64 = 1e-6;

/// Pieces in use, by slug.
pub(super) type Used = BTreeMap<String, usize>;

/// Posts of a plan.
pub(super) fn used(plan: &Plan) -> Used {
    let all = plan.posts_used().into_iter();
    all.map(|(id, n)| (id.to_owned(), n)).collect()
}

/// Setters of a plan.
pub(super) fn setters(plan: &Plan) -> Used {
    let all = plan.setters_used().into_iter();
    all.map(|(id, n)| (id.to_owned(), n)).collect()
}

/// Takes pieces out of use.
pub(super) fn give_back(used: &mut Used, id: &str, pieces: usize) {
    if let Some(n) = used.get_mut(id) {
        *n = n.saturating_sub(pieces);
    }
}

/// A post as what is in the way on a field whose setter's middle lies there.
pub(super) fn disc(diameter_mm: f64, [x, y]: P2, middle: P2) -> Vec<Shape> {
    let outline = Outline::disc(diameter_mm).moved(x + middle[0], y + middle[1]);
    outline.shapes
}

/// Posts of the same diameter and material as one, the shortest first.
pub(super) fn alike<'a>(catalogue: &'a Catalogue, post: &str) -> Vec<&'a Post> {
    let Some(now) = catalogue.post(post) else {
        return Vec::new();
    };
    let all = catalogue.posts.values().map(|(_, p)| p.as_ref());
    let same = |p: &&Post| p.diameter_mm == now.diameter_mm && p.material == now.material;
    let mut alike: Vec<&Post> = all.filter(same).collect();
    alike.sort_by(|a, b| a.length_mm.total_cmp(&b.length_mm).then(a.id.cmp(&b.id)));
    alike
}

/// The shortest of these posts that is as long and of which so many are left.
pub(super) fn shortest<'a>(
    posts: &[&'a Post],
    least_mm: f64,
    sets_of: usize,
    (furniture, used): (&Furniture, &Used),
) -> Option<&'a Post> {
    let left = |p: &Post| {
        let used = used.get(&p.id).copied().unwrap_or(0);
        furniture.count(&p.id).saturating_sub(used)
    };
    let does = |p: &&&'a Post| p.length_mm >= least_mm - HAIR_MM && left(p) >= sets_of;
    posts.iter().find(does).copied()
}

/// Height of a thing over its setter at its largest, mm; none where it is not known.
pub(super) fn height_mm(
    placement: &Placement,
    catalogue: &Catalogue,
    sizes: &Sizes,
) -> Option<f64> {
    if let Item::Sensor { height_mm, .. } = placement.item {
        return Some(height_mm);
    }
    let sized = sizes.of(&placement.item, catalogue)?;
    let highest = SizeStage::ALL.map(|s| sized.at(s).body.height_mm());
    Some(highest.into_iter().fold(0.0, f64::max) + lift_mm(placement, catalogue))
}

/// Height of the highest thing on a level, and of its rim, mm; none where one is not known.
pub(super) fn tallest_mm(level: &Level, catalogue: &Catalogue, sizes: &Sizes) -> Option<f64> {
    let rim = catalogue
        .setter(&level.setter)?
        .rim
        .map_or(0.0, |rim| rim.height_mm);
    let mut all = level
        .placements
        .iter()
        .map(|p| height_mm(p, catalogue, sizes));
    all.try_fold(rim, |most, height| Some(height?.max(most)))
}

/// Underside of the lowest setter of a stack and the height up to which its parts may reach, mm.
pub(super) fn floor_and_top(
    stack: &Stack,
    plan: &Plan,
    catalogue: &Catalogue,
    keep: Keep,
) -> Option<[f64; 2]> {
    let furnace = catalogue.furnace(&plan.load.furnace)?;
    let lowest = stack_heights(stack, catalogue, furnace)
        .first()
        .copied()?
        .ok()?;
    let (_, roof) = floor_and_roof(&furnace.hot_zone);
    let (_, zone) = floor_and_roof(&furnace.work_zone);
    Some([lowest.underside_mm, (roof - keep.roof_mm).min(zone)])
}

/// Each level that stands on posts longer than what is under it needs goes onto the shortest of
/// their kind that do; levels in `but` are left as they are. What is not known is left as it is.
pub(super) fn lowered(
    plan: &Plan,
    catalogue: &Catalogue,
    keep: Keep,
    furniture: &Furniture,
    but: &[LevelId],
) -> Vec<Edit> {
    let sizes = Sizes::new(plan, catalogue);
    let mut used = used(plan);
    let mut edits = Vec::new();
    for stack in &plan.load.stacks {
        for pair in stack.levels.windows(2) {
            let [under, level] = pair else { continue };
            if but.contains(&under.id) || but.contains(&level.id) {
                continue;
            }
            let Carrier::Posts { post, at_mm } = &level.carrier else {
                continue;
            };
            let (Some(now), Some(tallest)) =
                (catalogue.post(post), tallest_mm(under, catalogue, &sizes))
            else {
                continue;
            };
            let sets_of = at_mm.len();
            // Its own posts go back before others are taken.
            give_back(&mut used, post, sets_of);
            let least_mm = tallest + keep.head_mm;
            let found = shortest(
                &alike(catalogue, post),
                least_mm,
                sets_of,
                (furniture, &used),
            );
            let found = found.filter(|p| p.length_mm < now.length_mm - HAIR_MM);
            let id = found.map_or(post, |p| &p.id);
            *used.entry(id.clone()).or_default() += sets_of;
            if found.is_some() {
                edits.push(Edit::ChangeLevel {
                    id: level.id,
                    setter: level.setter.clone(),
                    carrier: Carrier::Posts {
                        post: id.clone(),
                        at_mm: at_mm.clone(),
                    },
                });
            }
        }
    }
    edits
}

/// Height left over the highest thing of a stack, mm; negative where it reaches too high.
pub(super) fn spare_mm(
    stack: &Stack,
    plan: &Plan,
    catalogue: &Catalogue,
    keep: Keep,
) -> Option<f64> {
    let [_, top] = floor_and_top(stack, plan, catalogue, keep)?;
    let furnace = catalogue.furnace(&plan.load.furnace)?;
    let sizes = Sizes::new(plan, catalogue);
    let mut highest = f64::NEG_INFINITY;
    for (level, at) in stack
        .levels
        .iter()
        .zip(stack_heights(stack, catalogue, furnace))
    {
        highest = f64::max(
            highest,
            at.ok()?.face_mm + tallest_mm(level, catalogue, &sizes)?,
        );
    }
    Some(top - highest)
}
