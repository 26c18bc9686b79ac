//! What a forecast reads of a plan and its records, as a hash: a note, a title, an acceptance or a
//! lock stales nothing.

use super::hash::{InputHash, InputHasher};
use super::memo::Digests;
use crate::catalogue::{Catalogue, ShopState};
use crate::load::{Level, Lot, Placement, Plan};
use crate::part::Part;
use crate::profile::{Profile, Segment};
use std::sync::Arc;

/// Hashes of what was read before, kept beyond those of the plan.
const SPARE: usize = 16;

/// Remembers what it has read.
pub struct ForecastReads(Digests);

impl Default for ForecastReads {
    fn default() -> ForecastReads {
        ForecastReads(Digests::new(SPARE))
    }
}

impl ForecastReads {
    /// Hash of all that a forecast of the plan reads. Structs of the plan are taken apart field by
    /// field, so that a new one has to be decided on.
    pub fn of(
        &mut self,
        plan: &Plan,
        catalogue: &Arc<Catalogue>,
        shop: Option<&ShopState>,
    ) -> InputHash {
        let Plan {
            title: _,
            note: _,
            planned_start: _,
            planned_start_time: _,
            begun_from: _,
            next_id: _,
            load,
            profile,
            parts,
            lots,
            declarations: _,
            acceptances: _,
            signatures: _,
            validated_kg: _,
            records_used: _,
        } = plan;
        let levels = load.stacks.iter().map(|s| s.levels.len()).sum::<usize>();
        self.0.keep(levels + 2 * parts.len() + lots.len() + SPARE);
        let mut hasher = InputHasher::new("forecast");
        hasher.add(&self.0.of("catalogue", catalogue, |c| InputHash::of(c)));
        let furnaces = shop.into_iter().flat_map(|shop| &shop.furnaces);
        for state in furnaces.filter(|f| f.furnace == load.furnace) {
            hasher.add(state);
        }
        hasher.add(&profile_hash(profile));
        hasher.add(&load.furnace);
        for stack in &load.stacks {
            hasher.add(&("stack", stack.id, stack.at_mm));
            for level in &stack.levels {
                hasher.add(&self.0.of("level", level, level_hash));
            }
        }
        for part in parts {
            let geometry = &part.geometry;
            hasher.add(&self.0.of("shape", geometry, |g| InputHash::of(g)));
            hasher.add(&self.0.of("part", part, part_hash));
        }
        for lot in lots {
            hasher.add(&self.0.of("lot", lot, lot_hash));
        }
        hasher.finish()
    }
}

fn profile_hash(profile: &Profile) -> InputHash {
    let Profile {
        name: _,
        revision: _,
        start_c,
        segments,
        unload_c,
        approval: _,
    } = profile;
    let mut hasher = InputHasher::new("profile");
    hasher.add(&(start_c, unload_c));
    for segment in segments {
        let Segment {
            id,
            ramp,
            to_c,
            hold_min,
            wait_on,
            gas,
            flow_l_min_25c,
            pressure_mbar,
            events,
            note: _,
        } = segment;
        hasher.add(&(id, ramp, to_c, hold_min, wait_on));
        hasher.add(&(gas, flow_l_min_25c, pressure_mbar, events));
    }
    hasher.finish()
}

fn level_hash(level: &Level) -> InputHash {
    let Level {
        id,
        setter,
        carrier,
        placements,
    } = level;
    let mut hasher = InputHasher::new("level");
    hasher.add(&(id, setter, carrier));
    for placement in placements {
        let Placement {
            id,
            item,
            at_mm,
            angle_deg,
            support,
            locked: _,
        } = placement;
        hasher.add(&(id, item, at_mm, angle_deg, support));
    }
    hasher.finish()
}

/// All but the shape's measures, which other records share.
fn part_hash(part: &Part) -> InputHash {
    let Part {
        id,
        name,
        feedstock,
        shape,
        drawn,
        rest,
        infill,
        keep_off: _,
        approved_rest: _,
        geometry: _,
        made_with_oversize,
        weighed,
        section_mm,
        work_zone_only: _,
    } = part;
    let mut hasher = InputHasher::new("part");
    hasher.add(&(id, name, feedstock, shape, drawn, rest, infill));
    hasher.add(&(made_with_oversize, weighed, section_mm));
    hasher.finish()
}

/// A lot without its papers.
fn lot_hash(lot: &Lot) -> InputHash {
    InputHash::of(&Lot {
        customer: None,
        feedstock_lot: None,
        feedstock_expires: None,
        certificate: None,
        balance: None,
        ..lot.clone()
    })
}
