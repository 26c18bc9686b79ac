//! The fewest runs into which what stands in some runs of one base load could go.

use super::queueing::Pattern;
use crate::arrange::{Arrangement, Furniture, Share};
use crate::load::{Item, LotId, Plan, Sizes, Stack, floor_and_roof, stack_heights, tally};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Areas are equal when they differ by no more than this share: sums in another order.
const HAIR: f64 = 1e-6;

/// What is asked about.
pub(super) struct Asked<'a> {
    /// The base load.
    pub pattern: &'a Pattern,
    /// It without its parts, with at least a piece of each lot waiting.
    pub plan: &'a Plan,
    /// The same as a task.
    pub set: &'a Arrangement,
    /// Lots with their pieces.
    pub pieces: &'a [(LotId, u32)],
    /// Whether levels may be set up anew.
    pub anew: bool,
}

/// Pieces of one lot.
struct Lot {
    /// Area of all with half the gap around each, mm².
    area_mm2: f64,
    /// Of a piece, at its highest, mm.
    height_mm: f64,
}

impl Asked<'_> {
    fn lots(&self) -> Option<Vec<Lot>> {
        let catalogue = &self.pattern.catalogue;
        let sizes = Sizes::new(self.plan, catalogue);
        let (areas, _) = self.set.least_areas();
        let lot = |(id, pieces): &(LotId, u32)| {
            let part = self.plan.lot(*id)?.part;
            let item = Item::Part {
                part,
                lot: Some(*id),
            };
            Some(Lot {
                area_mm2: areas.get(id)? * f64::from(*pieces),
                height_mm: sizes.of(&item, catalogue)?.highest_mm(),
            })
        };
        self.pieces.iter().map(lot).collect()
    }

    /// Fewest runs by area and by the height that its levels take; none where that is not known.
    pub fn least(&self) -> Option<usize> {
        let mut lots = self.lots()?;
        let (_, faces_mm2) = self.set.least_areas();
        let all_mm2: f64 = lots.iter().map(|lot| lot.area_mm2).sum();
        let times = |wanted: f64, each: f64| -> Option<usize> {
            (each > 0.0).then(|| (wanted / each * (1.0 - HAIR)).ceil() as usize)
        };
        if !self.anew {
            return times(all_mm2, faces_mm2.iter().sum());
        }
        let known = faces_mm2.len() == self.plan.levels().count();
        let face_mm2 = faces_mm2.iter().copied().fold(0.0, f64::max);
        let lowest_mm = lots.iter().map(|lot| lot.height_mm);
        let room = self.room(lowest_mm.fold(f64::INFINITY, f64::min))?;
        if !known {
            return None;
        }
        let by_area = times(all_mm2, room.levels as f64 * face_mm2)?;
        let Some(zones_mm) = room.zones_mm else {
            return Some(by_area);
        };
        // On so many levels at least stands something as high as this or higher, and each of them
        // takes its setter and that height.
        lots.sort_by(|a, b| b.height_mm.total_cmp(&a.height_mm));
        let (mut area_mm2, mut levels, mut height_mm) = (0.0, 0, 0.0);
        for lot in &lots {
            area_mm2 += lot.area_mm2;
            let so_far = times(area_mm2, face_mm2)?.max(levels);
            height_mm += (so_far - levels) as f64 * (room.thinnest_mm + lot.height_mm);
            levels = so_far;
        }
        Some(by_area.max(times(height_mm, zones_mm)?))
    }

    /// What a run has room for: by the setters that there are, and by the height of its stacks.
    fn room(&self, lowest_mm: f64) -> Option<Room> {
        let pattern = self.pattern;
        let catalogue = &pattern.catalogue;
        let furniture = Furniture::of(&pattern.plan, pattern.shop.as_deref());
        let setters = pattern.plan.setters_used();
        let there: usize = setters.keys().map(|id| furniture.count(id)).sum();
        let mut thinnest_mm = f64::INFINITY;
        for id in setters.keys() {
            thinnest_mm = thinnest_mm.min(catalogue.setter(id)?.thickness_mm);
        }
        let furnace = catalogue.furnace(&pattern.plan.load.furnace)?;
        let (_, roof_mm) = floor_and_roof(&furnace.hot_zone);
        let each_mm = thinnest_mm + lowest_mm;
        let zone_mm = |stack: &Stack| -> Option<f64> {
            let lowest = stack_heights(stack, catalogue, furnace).first().copied()?;
            Some((roof_mm - lowest.ok()?.underside_mm).max(0.0))
        };
        let (mut high, mut zones_mm) = (0, Some(0.0));
        for stack in &pattern.plan.load.stacks {
            let zone_mm = zone_mm(stack)?;
            let levels = (each_mm > 0.0).then(|| (zone_mm / each_mm) as usize)?;
            // Where the base load has more, its levels do not stand over each other as reckoned here.
            if levels < stack.levels.len() {
                zones_mm = None;
            }
            zones_mm = zones_mm.map(|sum| sum + zone_mm);
            high += levels.max(stack.levels.len());
        }
        Some(Room {
            levels: high.min(there).max(1),
            zones_mm,
            thinnest_mm,
        })
    }
}

struct Room {
    levels: usize,
    /// From the lowest setters to the roof, over all stacks, mm; none where that is no bound.
    zones_mm: Option<f64>,
    thinnest_mm: f64,
}

/// Fewest runs by the furnace's mass rating, from the parts in these runs' loads; none where a mass
/// rating is not known.
pub(super) fn least_by_mass<'a>(
    pattern: &Pattern,
    loads: impl Iterator<Item = &'a Plan>,
) -> Option<usize> {
    let catalogue = &pattern.catalogue;
    let furnace = catalogue.furnace(&pattern.plan.load.furnace)?;
    let rated_g = 1e3 * furnace.mass_rating_kg;
    let parts_g = loads.map(|plan| {
        let mut parts = plan.clone();
        for stack in &mut parts.load.stacks {
            for level in &mut stack.levels {
                let level = Arc::make_mut(level);
                level.placements.retain(|p| p.item.is_production());
            }
        }
        // Furniture counts in the rating as well; without it the bound is lower, and holds.
        let sizes = Sizes::new(&parts, catalogue);
        let furnace = Some(furnace.as_ref());
        tally(&parts, catalogue, furnace, &sizes).whole.entering_g
    });
    let parts_g: f64 = parts_g.sum();
    (rated_g > 0.0).then(|| (parts_g / rated_g * (1.0 - HAIR)).ceil() as usize)
}

/// Runs that a share is kept in need at least so many.
pub(super) fn least_by_pins(kept_in: impl Iterator<Item = Option<usize>>) -> usize {
    kept_in.flatten().max().unwrap_or(0)
}

/// Pieces of each entry over all runs.
pub(super) fn pieces_of<'a>(runs: impl Iterator<Item = &'a Vec<Share>>) -> Vec<Share> {
    let mut all = BTreeMap::new();
    for (entry, pieces) in runs.flatten() {
        *all.entry(*entry).or_insert(0) += pieces;
    }
    all.into_iter().collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::arrange::{Scope, Turning, Wish};
    use crate::document::arranging::distances;
    use crate::files::open_load;
    use crate::load::Placement;
    use crate::review::Given;
    use std::path::Path;

    const LOAD: &str = "demo-loads/clean.load.ron";

    fn least(brackets: u32, anew: bool) -> usize {
        let (plan, working) = open_load(Path::new(LOAD), None).unwrap();
        let given = Given {
            plan: &plan,
            catalogue: &working.catalogue,
            shop: None,
            differences: &[],
            standard: None,
            forecast: None,
        };
        let wish = Wish {
            scope: Scope::Everything,
            turning: Turning::Any,
            turns: BTreeMap::new(),
            keep: distances(&given),
        };
        let mut empty = plan.clone();
        for stack in &mut empty.load.stacks {
            for level in &mut stack.levels {
                let stays = |p: &Placement| !p.item.is_production();
                Arc::make_mut(level).placements.retain(stays);
            }
        }
        let bracket = plan.parts.iter().find(|p| p.name == "bracket").unwrap().id;
        empty.lots.retain(|lot| lot.part == bracket);
        let lot = empty.lots[0].id;
        let empty = Arc::new(empty);
        let pattern = Pattern {
            name: "clean".to_owned(),
            plan: Arc::new(plan),
            catalogue: Arc::clone(&working.catalogue),
            shop: working.shop.clone(),
            differences: Vec::new(),
            standard: None,
        };
        let like = &pattern.plan;
        let set = Arrangement::like(like, &empty, &working.catalogue, wish).unwrap();
        let asked = Asked {
            pattern: &pattern,
            plan: &empty,
            set: &set,
            pieces: &[(lot, brackets)],
            anew,
        };
        asked.least().unwrap()
    }

    /// By hand: a bracket takes 2000 mm² with half the gap around it and is 17.5 mm high as moulded. The
    /// base load has four faces of 240 mm by 240 mm; in the 315 mm over its lowest posts 13 levels stand,
    /// each of a setter of 6 mm and a part. So one run takes at most 115 or 374 brackets.
    #[test]
    fn a_lot_needs_as_many_runs_as_by_hand() {
        for (brackets, kept, anew) in [
            (100, 1, 1),
            (150, 2, 1),
            (300, 3, 1),
            (450, 4, 2),
            (900, 8, 3),
        ] {
            assert_eq!(least(brackets, false), kept, "{brackets}");
            assert_eq!(least(brackets, true), anew, "{brackets}");
        }
    }
}
