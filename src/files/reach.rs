//! Which records a plan uses, and the hashes they are saved with.

use super::fault::Fault;
use super::records::{Entry, entries, hashes, origin_of, origin_word};
use crate::catalogue::{
    self, Catalogue, Furnace, FurnaceState, Gas, Kind, Origin, Record, ShopState, SupportKind,
    Table,
};
use crate::load::{Carrier, Item, Plan, RecordHash, RecordsUsed};
use crate::profile::EventKind;
use std::collections::BTreeSet;
use std::sync::Arc;

/// Records that a plan reaches, gathered from a catalogue.
struct Reach<'a> {
    from: &'a Catalogue,
    to: Catalogue,
}

/// Takes a record over; gives it when it was not there yet.
fn take<T>(from: &Table<T>, to: &mut Table<T>, id: &str) -> Option<Arc<T>> {
    if to.contains_key(id) {
        return None;
    }
    let (origin, record) = from.get(id)?;
    to.insert(id.to_owned(), (*origin, Arc::clone(record)));
    Some(Arc::clone(record))
}

impl Reach<'_> {
    fn gas(&mut self, id: &str) {
        take::<Gas>(&self.from.gases, &mut self.to.gases, id);
    }

    fn material(&mut self, id: &str) {
        take(&self.from.materials, &mut self.to.materials, id);
    }

    fn furnace(&mut self, id: &str) {
        if let Some(furnace) = take::<Furnace>(&self.from.furnaces, &mut self.to.furnaces, id) {
            furnace.gases.iter().for_each(|gas| self.gas(gas));
        }
    }

    fn alloy(&mut self, id: &str) {
        if let Some(alloy) = take(&self.from.alloys, &mut self.to.alloys, id) {
            alloy.gases.iter().for_each(|rule| self.gas(&rule.gas));
            let refused = alloy.setter_materials_refused.iter();
            refused.for_each(|material| self.material(material));
        }
    }

    fn feedstock(&mut self, id: &str) {
        if let Some(feedstock) = take(&self.from.feedstocks, &mut self.to.feedstocks, id) {
            self.alloy(&feedstock.alloy);
            take(&self.from.binders, &mut self.to.binders, &feedstock.binder);
            let allowed = feedstock.setter_materials.iter();
            allowed.for_each(|material| self.material(material));
        }
    }

    fn setter(&mut self, id: &str) {
        if let Some(setter) = take(&self.from.setters, &mut self.to.setters, id) {
            self.material(&setter.material);
            if let Some(face) = &setter.face_material {
                self.material(face);
            }
        }
    }

    fn post(&mut self, id: &str) {
        if let Some(post) = take(&self.from.posts, &mut self.to.posts, id) {
            self.material(&post.material);
        }
    }

    fn support(&mut self, id: &str) {
        if let Some(support) = take(&self.from.supports, &mut self.to.supports, id) {
            match support.kind {
                SupportKind::Raft => self.feedstock(&support.material),
                SupportKind::Powder | SupportKind::Sheet | SupportKind::Pins => {
                    self.material(&support.material)
                }
            }
        }
    }

    fn shop(&mut self, shop: &ShopState) {
        for furnace in &shop.furnaces {
            furnace
                .gases
                .iter()
                .for_each(|on_hand| self.gas(&on_hand.gas));
            if let Some(alloy) = &furnace.last_alloy {
                self.alloy(alloy);
            }
        }
    }

    fn references(&mut self, shop: Option<&ShopState>) {
        fn cited<T: Record>(table: &Table<T>, out: &mut BTreeSet<String>) {
            for (_, record) in table.values() {
                out.insert(record.source().to_owned());
                out.extend(record.except().iter().map(|e| e.source.clone()));
            }
        }
        let mut keys: BTreeSet<String> = shop.iter().map(|s| s.source.clone()).collect();
        cited(&self.to.alloys, &mut keys);
        cited(&self.to.binders, &mut keys);
        cited(&self.to.feedstocks, &mut keys);
        cited(&self.to.materials, &mut keys);
        cited(&self.to.setters, &mut keys);
        cited(&self.to.posts, &mut keys);
        cited(&self.to.supports, &mut keys);
        cited(&self.to.furnaces, &mut keys);
        cited(&self.to.gases, &mut keys);
        keys.extend(self.to.limits.iter().map(|limit| limit.source.clone()));
        for key in keys {
            if let Some(reference) = self.from.references.get(&key) {
                self.to.references.insert(key, reference.clone());
            }
        }
    }
}

/// A slug that a plan uses, where it uses it.
pub(super) struct Use<'a> {
    pub(super) kind: Kind,
    pub(super) id: &'a str,
    pub(super) place: String,
}

/// Every slug of a record in a plan.
pub(super) fn uses(plan: &Plan) -> Vec<Use<'_>> {
    let mut out = Vec::new();
    let mut push = |kind, id, place| out.push(Use { kind, id, place });
    push(Kind::Furnace, &plan.load.furnace, "furnace".to_owned());
    for (i, segment) in plan.profile.segments.iter().enumerate() {
        let place = format!("profile.segments[{i}]");
        if let Some(gas) = &segment.gas {
            push(Kind::Gas, gas, format!("{place}.gas"));
        }
        for (e, event) in segment.events.iter().enumerate() {
            if let EventKind::Backfill { gas, .. } = &event.kind {
                push(Kind::Gas, gas, format!("{place}.events[{e}].gas"));
            }
        }
    }
    for (i, part) in plan.parts.iter().enumerate() {
        let place = format!("parts[{i}].feedstock");
        push(Kind::Feedstock, &part.feedstock, place);
    }
    for (s, stack) in plan.load.stacks.iter().enumerate() {
        for (l, level) in stack.levels.iter().enumerate() {
            let place = format!("stacks[{s}].levels[{l}]");
            push(Kind::Setter, &level.setter, format!("{place}.setter"));
            if let Carrier::Posts { post, .. } = &level.carrier {
                push(Kind::Post, post, format!("{place}.carrier.post"));
            }
            for (p, placement) in level.placements.iter().enumerate() {
                let place = format!("{place}.placements[{p}]");
                if let Some(support) = &placement.support {
                    push(Kind::Support, support, format!("{place}.support"));
                }
                if let Item::Dummy { material, .. } = &placement.item {
                    push(Kind::Material, material, format!("{place}.item.material"));
                }
            }
        }
    }
    out
}

/// Exactly the records that a plan reaches, with their hashes: what it names and what those name
/// in turn, all limits and check settings, the references they cite, and, where there is one, the
/// state of the shop as far as it is about this furnace (with all stock and prices). Slugs that stand for nothing are
/// passed over.
pub fn records_for(plan: &Plan, catalogue: &Catalogue, shop: Option<&ShopState>) -> RecordsUsed {
    // Without a built-in catalogue (a broken build) everything counts as the shop's.
    let build = catalogue::builtin().map(|(c, _)| c).unwrap_or_default();
    gather(plan, catalogue, shop, &build)
}

fn gather(
    plan: &Plan,
    catalogue: &Catalogue,
    shop: Option<&ShopState>,
    build: &Catalogue,
) -> RecordsUsed {
    let shop = shop.map(|shop| trimmed(shop, &plan.load.furnace));
    let mut reach = Reach {
        from: catalogue,
        to: Catalogue::default(),
    };
    for used in uses(plan) {
        match used.kind {
            Kind::Furnace => reach.furnace(used.id),
            Kind::Gas => reach.gas(used.id),
            Kind::Feedstock => reach.feedstock(used.id),
            Kind::Setter => reach.setter(used.id),
            Kind::Post => reach.post(used.id),
            Kind::Support => reach.support(used.id),
            Kind::Material => reach.material(used.id),
            Kind::Alloy => reach.alloy(used.id),
            Kind::Binder => {
                take(&catalogue.binders, &mut reach.to.binders, used.id);
            }
        }
    }
    if let Some(shop) = &shop {
        reach.shop(shop);
    }
    reach.to.limits.clone_from(&catalogue.limits);
    reach.to.checks.clone_from(&catalogue.checks);
    reach
        .to
        .checks
        .sort_by(|a, b| (&a.check, &a.scope).cmp(&(&b.check, &b.scope)));
    reach.references(shop.as_ref());
    let hashes = with_origins(&reach.to, shop.as_ref(), plan, build).unwrap_or_default();
    RecordsUsed {
        catalogue: reach.to,
        shop,
        hashes,
    }
}

/// The state of the shop as far as it is about one furnace.
pub(super) fn trimmed(shop: &ShopState, furnace: &str) -> ShopState {
    let about = |state: &&FurnaceState| state.furnace == furnace;
    ShopState {
        furnaces: shop.furnaces.iter().filter(about).cloned().collect(),
        ..shop.clone()
    }
}

/// Hashes with origins. What no table remembers an origin of (limits and the like) is built in
/// where this build has the same, as the file said where the file had the same, else the shop's.
fn with_origins(
    catalogue: &Catalogue,
    shop: Option<&ShopState>,
    plan: &Plan,
    build: &Catalogue,
) -> Result<Vec<RecordHash>, Fault> {
    let built = hashes(build, None)?;
    let before = &plan.records_used.hashes;
    let origin = |entry: &Entry| {
        let key = (entry.kind.to_owned(), entry.id.clone());
        let said = || {
            before
                .iter()
                .find(|h| h.kind == key.0 && h.id == key.1 && h.sha256 == entry.sha256)
                .and_then(|h| origin_of(&h.origin))
        };
        match entry.origin {
            Some(origin) => origin,
            None if built.get(&key) == Some(&entry.sha256) => Origin::BuiltIn,
            None => said().unwrap_or(Origin::Shop),
        }
    };
    let entries = entries(catalogue, shop)?.into_iter();
    Ok(entries
        .map(|entry| RecordHash {
            origin: origin_word(origin(&entry)).to_owned(),
            kind: entry.kind.to_owned(),
            id: entry.id,
            sha256: entry.sha256,
        })
        .collect())
}
