//! To free places on another level, inside the work zone.

use super::places::outside;
use super::{Candidate, Finding, Fixer, Found};
use crate::geometry::{Outline, inside_margin};
use crate::load::{
    Edit, Level, Move, Placement, Stack, Standing, Wanted, keep_free_places, places_on,
    space_region,
};
use crate::part::SizeStage;
use crate::text::fixes as say;

/// More pieces than this nobody moves at the press of a button (assumed).
const MOST_PIECES: usize = 12;
/// Levels that are tried at most, the nearest first.
const MOST_LEVELS: usize = 4;

/// All pieces of the part that reach out of the work zone, together to one other level.
pub(super) fn another_level(fixer: &Fixer, finding: &Finding) -> Found {
    let plan = fixer.plan();
    let gaps = outside(fixer, finding);
    let pieces: Vec<(&Level, &Placement)> = gaps
        .iter()
        .filter_map(|g| plan.placement(g.placement))
        .collect();
    if pieces.is_empty() || pieces.len() > MOST_PIECES {
        return Err(say::no_way());
    }
    if pieces.iter().any(|(_, p)| p.locked) {
        return Err(say::locked());
    }
    let levels: Vec<(&Stack, &Level)> = plan.levels().map(|(s, l)| (s, l.as_ref())).collect();
    let here = levels
        .iter()
        .position(|(_, l)| pieces.iter().any(|(from, _)| from.id == l.id));
    let here = here.unwrap_or(0);
    let from = |level: &Level| pieces.iter().any(|(from, _)| from.id == level.id);
    let mut others: Vec<usize> = (0..levels.len()).filter(|i| !from(levels[*i].1)).collect();
    others.sort_by_key(|i| i.abs_diff(here));
    let mut candidates = Vec::new();
    for (stack, level) in others.iter().take(MOST_LEVELS).map(|i| levels[*i]) {
        let Some(moves) = free_for(fixer, stack, level, &pieces) else {
            continue;
        };
        let label = say::to_level(moves.len(), &plan.level_label(level.id));
        candidates.push(Candidate::one(label, Edit::MovePlacements(moves)));
    }
    if candidates.is_empty() {
        return Err(say::no_free_place());
    }
    Ok(candidates)
}

/// A free place for each piece; none where one finds none.
fn free_for(
    fixer: &Fixer,
    stack: &Stack,
    level: &Level,
    pieces: &[(&Level, &Placement)],
) -> Option<Vec<Move>> {
    let facts = &fixer.facts;
    let catalogue = fixer.given.catalogue;
    let zone = space_region(&facts.furnace?.work_zone);
    let setter = catalogue.setter(&level.setter)?;
    // The review sees heights; here only the outline seen from above is held to the zone.
    let in_zone = |standing: &Standing| {
        let [x, y] = stack.at_mm;
        let inside = |o: &Outline| inside_margin(&zone, &o.moved(x, y)).is_some_and(|m| m >= 0.0);
        [SizeStage::Green, SizeStage::Hottest]
            .into_iter()
            .all(|stage| standing.placed(stage).outlines().all(|(_, _, o)| inside(o)))
    };
    let mut filled = level.clone();
    let mut moves = Vec::new();
    for (_, piece) in pieces {
        let wanted = Wanted {
            edge_mm: facts.least_limits("edge-margin").of(piece.id)?.value,
            gap_mm: facts.gap_limits().of(piece.id)?.value,
            most: 1,
            also: &in_zone,
        };
        let mut places = places_on(setter);
        let sizes = &facts.sizes;
        keep_free_places(
            fixer.plan(),
            catalogue,
            sizes,
            &filled,
            piece,
            &mut places,
            &wanted,
        )?;
        let at_mm = *places.first()?;
        moves.push(Move {
            id: piece.id,
            level: level.id,
            at_mm,
            angle_deg: piece.angle_deg,
        });
        filled.placements.push(Placement {
            at_mm,
            ..(*piece).clone()
        });
    }
    Some(moves)
}
