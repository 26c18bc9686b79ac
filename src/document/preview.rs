//! A drag before it is an edit. It is view state: dropped on Escape, one edit on release.

use super::derived::Derived;
use crate::catalogue::{Catalogue, Furnace};
use crate::load::{
    Caps, Edit, ItemGap, LevelScene, Move, PairGap, Placement, PlacementId, Plan, Standing,
    item_gaps, lift_mm, sites,
};

/// Things that are being dragged on their levels.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Preview {
    /// Which.
    pub ids: Vec<PlacementId>,
    /// How far, mm.
    pub delta_mm: [f64; 2],
    /// How far each is turned about its own anchor point, degrees, counter-clockwise.
    pub delta_deg: f64,
}

impl Preview {
    /// Where they would stand, in the plan's order. What is not in the plan any more is left out.
    pub fn moves(&self, plan: &Plan) -> Vec<Move> {
        let dragged = plan
            .placements()
            .filter(|(_, placement)| self.ids.contains(&placement.id));
        dragged
            .map(|(level, placement)| Move {
                id: placement.id,
                level: level.id,
                at_mm: std::array::from_fn(|i| placement.at_mm[i] + self.delta_mm[i]),
                angle_deg: turned(placement.angle_deg, self.delta_deg),
            })
            .collect()
    }

    /// The edit that the release makes; none when nothing moves.
    pub fn to_edit(&self, plan: &Plan) -> Option<Edit> {
        let moves = self.moves(plan);
        let still = self.delta_mm == [0.0, 0.0] && self.delta_deg == 0.0;
        (!still && !moves.is_empty()).then_some(Edit::MovePlacements(moves))
    }
}

/// An angle that was not turned stays as it was written; others lie between 0 and 360.
fn turned(angle_deg: f64, by_deg: f64) -> f64 {
    if by_deg == 0.0 {
        angle_deg
    } else {
        (angle_deg + by_deg).rem_euclid(360.0)
    }
}

/// Gaps of what is being dragged, where it would stand.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PreviewGaps {
    /// To each other and to what stands still on the same level, by number.
    pub pairs: Vec<PairGap>,
    /// To edges, posts, the setter above and the like; empty on a level without a height.
    pub items: Vec<ItemGap>,
}

/// Checks a drag by the same functions as the plan itself: what it says is what
/// [`Derived::clearances`] says of the dragged things after the release.
pub fn preview_gaps(
    preview: &Preview,
    plan: &Plan,
    catalogue: &Catalogue,
    furnace: &Furnace,
    caps: &Caps,
    derived: &mut Derived,
) -> PreviewGaps {
    let mut out = PreviewGaps::default();
    let moves = preview.moves(plan);
    let sizes = derived.sizes(plan, catalogue);
    for site in sites(plan, catalogue, furnace) {
        if moves.iter().all(|m| m.level != site.level.id) {
            continue;
        }
        let on = derived.on_level(site.level, plan, catalogue, caps);
        let growths = on.scene.growths();
        let standing = site.level.placements.iter().filter_map(|placement| {
            let to = moves.iter().find(|m| m.id == placement.id)?;
            let moved = Placement {
                at_mm: to.at_mm,
                angle_deg: to.angle_deg,
                ..placement.clone()
            };
            let sized = sizes.of(&moved.item, catalogue)?;
            let lift = lift_mm(&moved, catalogue);
            Some(Standing::new(&moved, &sized, lift, growths))
        });
        let dragged = LevelScene::of(standing.collect(), growths);
        for moving in dragged.standing() {
            let gaps = on.scene.gaps_of(moving, &preview.ids, caps.gap_mm);
            out.pairs.extend(gaps);
        }
        out.pairs.extend(dragged.pair_gaps(caps.gap_mm));
        let items = item_gaps(&dragged, &site, plan, catalogue, furnace, caps);
        out.items.extend(items.unwrap_or_default());
    }
    out.pairs.sort_by_key(|gap| (gap.a, gap.b));
    out
}
