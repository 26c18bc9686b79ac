//! What follows from a plan, kept by a hash of what it was made from and nothing else: a note
//! stales nothing, an undo finds what was there before, and an edit on one level makes that level
//! anew, with the one below where its head room changes.
//!
//! Each hash here lists what the functions of `load` read. Structs of the plan are taken apart
//! field by field, so that a new field has to be decided on; a test compares every result after
//! random edits and catalogue changes with one made from scratch.

use super::hash::{InputHash, InputHasher};
use super::memo::{Digests, Memo};
use crate::catalogue::{Catalogue, Furnace};
use crate::load::{
    AroundLevel, Caps, Carrier, Clearances, Item, Level, Lot, OnLevel, PartRecords, Placement,
    Plan, Site, Sized, Sizes, Tally, clearances_of, hottest_c, peak_c, sites, sized_part,
    stack_heights, swell, tally,
};
use crate::part::PartId;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Whole results kept: enough for some steps of undo and back (assumed).
const WHOLE: usize = 8;

/// Results of a level or a part kept beyond one for each (assumed).
const SPARE: usize = 8;

/// How many results were made and not found, since the document was opened.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Made {
    /// Parts of which bodies were made.
    pub bodies: usize,
    /// Levels whose things were compared with each other.
    pub on_levels: usize,
    /// Levels whose surroundings were looked at.
    pub around_levels: usize,
    /// Whole clearances.
    pub clearances: usize,
    /// Tallies.
    pub tallies: usize,
}

/// What follows from a plan.
pub struct Derived {
    digests: Digests,
    bodies: Memo<InputHash, Option<Arc<Sized>>>,
    sizes: Memo<InputHash, Arc<Sizes>>,
    on: Memo<InputHash, Arc<OnLevel>>,
    around: Memo<InputHash, Option<Arc<AroundLevel>>>,
    clearances: Memo<InputHash, Arc<Clearances>>,
    tally: Memo<InputHash, Arc<Tally>>,
}

impl Default for Derived {
    fn default() -> Derived {
        Derived {
            digests: Digests::new(WHOLE),
            bodies: Memo::new(SPARE),
            sizes: Memo::new(WHOLE),
            on: Memo::new(SPARE),
            around: Memo::new(SPARE),
            clearances: Memo::new(WHOLE),
            tally: Memo::new(WHOLE),
        }
    }
}

/// Hashes of the bodies of the part records that have one.
type BodyHashes = BTreeMap<PartId, InputHash>;

impl Derived {
    /// How much was made, for tests and the program's own report.
    pub fn made(&self) -> Made {
        Made {
            bodies: self.bodies.made,
            on_levels: self.on.made,
            around_levels: self.around.made,
            clearances: self.clearances.made,
            tallies: self.tally.made,
        }
    }

    /// Bodies of everything, as [`Sizes::new`] makes them.
    pub fn sizes(&mut self, plan: &Plan, catalogue: &Catalogue) -> Arc<Sizes> {
        self.bodies(plan, catalogue).1
    }

    fn bodies(&mut self, plan: &Plan, catalogue: &Catalogue) -> (BodyHashes, Arc<Sizes>) {
        self.make_room(plan);
        let peak_c = peak_c(plan);
        let mut hashes = BodyHashes::new();
        let mut made = Vec::new();
        for part in &plan.parts {
            let Some(feedstock) = catalogue.feedstock(&part.feedstock) else {
                continue;
            };
            let Some(alloy) = catalogue.alloy(&feedstock.alloy) else {
                continue;
            };
            let body = &part.geometry.body;
            let mut hasher = InputHasher::new("bodies of a part");
            hasher.add(&self.digests.of("body", body, |body| InputHash::of(body)));
            hasher.add(&(part.drawn, part.rest, &part.feedstock, feedstock.oversize));
            hasher.add(&(alloy.expansion_per_k, hottest_c(feedstock, peak_c)));
            hasher.add(&swell(feedstock, catalogue));
            let hash = hasher.finish();
            let make = || sized_part(part, catalogue, peak_c).map(Arc::new);
            if let Some(sized) = self.bodies.get_or(hash, make) {
                hashes.insert(part.id, hash);
                made.push((part.id, sized));
            }
        }
        let hash = InputHash::of(&(&hashes, peak_c));
        let make = || Arc::new(Sizes::of_parts(made.into_iter(), peak_c));
        (hashes, self.sizes.get_or(hash, make))
    }

    /// One level by itself, as [`OnLevel::new`] makes it.
    pub fn on_level(
        &mut self,
        level: &Arc<Level>,
        plan: &Plan,
        catalogue: &Catalogue,
        caps: &Caps,
    ) -> Arc<OnLevel> {
        let (bodies, sizes) = self.bodies(plan, catalogue);
        let hash = self.on_level_hash(level, plan, catalogue, &bodies, caps);
        let make = || Arc::new(OnLevel::new(level, plan, catalogue, &sizes, caps));
        self.on.get_or(hash, make)
    }

    /// Clearances, as [`crate::load::clearances`] makes them.
    pub fn clearances(
        &mut self,
        plan: &Plan,
        catalogue: &Catalogue,
        furnace: &Furnace,
        caps: &Caps,
    ) -> Arc<Clearances> {
        let (bodies, sizes) = self.bodies(plan, catalogue);
        let mut levels = Vec::new();
        let mut whole = InputHasher::new("clearances");
        for site in sites(plan, catalogue, furnace) {
            let on = self.on_level_hash(site.level, plan, catalogue, &bodies, caps);
            let around = around_hash(on, &site, plan, catalogue, furnace, caps);
            whole.add(&(site.stack.id, site.level.id, on, around));
            levels.push((site, on, around));
        }
        let (ons, arounds) = (&mut self.on, &mut self.around);
        self.clearances.get_or(whole.finish(), || {
            let levels: Vec<_> = levels
                .into_iter()
                .map(|(site, on_hash, around_hash)| {
                    let make = || Arc::new(OnLevel::new(site.level, plan, catalogue, &sizes, caps));
                    let on = ons.get_or(on_hash, make);
                    let around = arounds.get_or(around_hash, || {
                        AroundLevel::new(&on.scene, &site, plan, catalogue, furnace, caps)
                            .map(Arc::new)
                    });
                    (site, on, around)
                })
                .collect();
            Arc::new(clearances_of(&levels, caps))
        })
    }

    /// Tally, as [`crate::load::tally`] makes it.
    pub fn tally(
        &mut self,
        plan: &Plan,
        catalogue: &Catalogue,
        furnace: Option<&Furnace>,
    ) -> Arc<Tally> {
        let (bodies, sizes) = self.bodies(plan, catalogue);
        let mut hasher = InputHasher::new("tally");
        hasher.add(&furnace.map(|f| (f.mass_rating_kg, f.hot_zone, &f.rack_slots_mm)));
        for part in &plan.parts {
            hasher.add(&(part.id, bodies.get(&part.id), part.geometry.volume_mm3));
            hasher.add(&(part.drawn, part.weighed, &part.feedstock));
            hasher.add(&part.solid_volume_mm3());
            hasher.add(&PartRecords::new(part, catalogue).map(|r| {
                let f = r.feedstock;
                let shares = (f.loading, f.oversize, f.extraction_target);
                (shares, r.alloy.density_g_cm3, &r.binder.components)
            }));
        }
        for lot in &plan.lots {
            hasher.add(&lot_masses(lot));
        }
        for stack in &plan.load.stacks {
            if let Some(furnace) = furnace {
                hasher.add(&stack_heights(stack, catalogue, furnace));
            }
            for level in &stack.levels {
                hasher.add(&self.digests.of("tally", level, pieces_hash));
                tally_records(&mut hasher, level, catalogue);
            }
        }
        let make = || Arc::new(tally(plan, catalogue, furnace, &sizes));
        self.tally.get_or(hasher.finish(), make)
    }

    /// Keeps a result for each part and level, so that one pass over a large plan does not push
    /// its own results out.
    fn make_room(&mut self, plan: &Plan) {
        let (parts, levels) = (plan.parts.len(), plan.levels().count());
        self.bodies.keep(parts + SPARE);
        self.on.keep(levels + SPARE);
        self.around.keep(levels + SPARE);
        self.digests.keep(2 * (parts + 2 * levels + SPARE));
    }

    fn on_level_hash(
        &mut self,
        level: &Arc<Level>,
        plan: &Plan,
        catalogue: &Catalogue,
        bodies: &BodyHashes,
        caps: &Caps,
    ) -> InputHash {
        let mut hasher = InputHasher::new("on a level");
        hasher.add(&self.digests.of("layout", level, layout_hash));
        hasher.add(&(caps.gap_mm, peak_c(plan)));
        let setter = catalogue.setter(&level.setter);
        hasher.add(&setter.and_then(|s| expansion(&s.material, catalogue)));
        for (part, supports) in on_it(level) {
            hasher.add(&(part, part.map(|id| bodies.get(&id))));
            for id in supports {
                hasher.add(&(id, catalogue.support(id).map(|s| s.height_mm)));
            }
        }
        for placement in &level.placements {
            if let Item::Dummy { material, .. } = &placement.item {
                hasher.add(&(placement.id, expansion(material, catalogue)));
            }
        }
        hasher.finish()
    }
}

/// Part records (none for what has no record) on a level with the supports under them.
fn on_it(level: &Level) -> BTreeMap<Option<PartId>, BTreeSet<&str>> {
    let mut found: BTreeMap<_, BTreeSet<&str>> = BTreeMap::new();
    for placement in &level.placements {
        let supports = found.entry(placement.item.part()).or_default();
        supports.extend(placement.support.as_deref());
    }
    found
}

fn expansion(material: &str, catalogue: &Catalogue) -> Option<f64> {
    catalogue.material(material).map(|m| m.expansion_per_k)
}

/// What stands where on a level.
fn layout_hash(level: &Level) -> InputHash {
    let mut hasher = InputHasher::new("layout");
    for placement in &level.placements {
        let Placement {
            id,
            item,
            at_mm,
            angle_deg,
            support,
            locked: _,
        } = placement;
        hasher.add(&(id, at_mm, angle_deg, support));
        match item {
            Item::Part { part, lot: _ } | Item::Coupon { part, label: _ } => hasher.add(part),
            Item::Dummy {
                shape,
                mass_g: _,
                material,
            } => hasher.add(&(shape, material)),
            Item::Sensor {
                sensor: _,
                height_mm,
            } => hasher.add(&("sensor", height_mm)),
        }
    }
    hasher.finish()
}

/// What [`AroundLevel::new`] reads beyond what stands on the level.
fn around_hash(
    on: InputHash,
    site: &Site,
    plan: &Plan,
    catalogue: &Catalogue,
    furnace: &Furnace,
    caps: &Caps,
) -> InputHash {
    let mut hasher = InputHasher::new("around a level");
    hasher.add(&(on, caps, peak_c(plan)));
    hasher.add(&(&furnace.hot_zone, &furnace.work_zone, &furnace.forbidden));
    for sensor in &furnace.sensors {
        hasher.add(&(&sensor.id, sensor.at_mm));
    }
    hasher.add(&(site.level.id, site.stack.at_mm, site.height));
    let setter = catalogue.setter(&site.level.setter);
    hasher.add(&setter.map(|s| (&s.shape, s.rim)));
    if let Some((next, height)) = site.above {
        hasher.add(&(next.id, &next.carrier, height));
        if let Carrier::Posts { post, .. } = &next.carrier {
            hasher.add(&catalogue.post(post).map(|p| {
                let expansion = expansion(&p.material, catalogue);
                (p.length_mm, p.diameter_mm, expansion)
            }));
        }
    }
    hasher.finish()
}

/// What a tally reads of a lot.
fn lot_masses(lot: &Lot) -> impl std::fmt::Debug {
    let Lot {
        id,
        enters,
        green_g,
        dry_g,
        ..
    } = lot;
    (id, enters, green_g, dry_g)
}

/// What a tally reads of a level, where nothing counts by its place.
fn pieces_hash(level: &Level) -> InputHash {
    let Level {
        id,
        setter: _,
        carrier: _,
        placements,
    } = level;
    let mut hasher = InputHasher::new("pieces");
    hasher.add(id);
    for placement in placements {
        let Placement {
            id: _,
            item,
            at_mm: _,
            angle_deg: _,
            support,
            locked: _,
        } = placement;
        hasher.add(support);
        match item {
            Item::Coupon { part, label: _ } => hasher.add(&("coupon", part)),
            item => hasher.add(item),
        }
    }
    hasher.finish()
}

/// Catalogue records that a tally reads for a level.
fn tally_records(hasher: &mut InputHasher, level: &Level, catalogue: &Catalogue) {
    let setter = catalogue.setter(&level.setter);
    hasher.add(&setter.map(|s| (s.mass_g, &s.shape, s.rim)));
    if let Carrier::Posts { post, at_mm } = &level.carrier {
        hasher.add(&(at_mm.len(), catalogue.post(post).map(|p| p.mass_g)));
    }
    for id in on_it(level).into_values().flatten() {
        hasher.add(&catalogue.support(id).map(|s| {
            let size = (s.height_mm, s.margin_mm, s.mass_g_cm2);
            (id, s.kind, size)
        }));
    }
    // A dummy has a body only where its material is known.
    for placement in &level.placements {
        if let Item::Dummy { material, .. } = &placement.item {
            hasher.add(&catalogue.material(material).is_some());
        }
    }
}
