//! Records that a plan uses: which they are, what they hash to, and which of the file's, the
//! shop's and the built-in ones hold.

use super::fault::{Fault, FileFault};
use super::form::{canonical_ron, sha256_hex};
use super::shop::ShopFolder;
use crate::catalogue::{
    self, Catalogue, Furnace, FurnaceState, Gas, Kind, Limit, LimitScope, Origin, Record,
    ShopState, SupportKind, Table,
};
use crate::load::{Carrier, Item, Plan, RecordHash, RecordsUsed};
use crate::profile::EventKind;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Kind of a hashed limit.
pub const LIMIT: &str = "limit";
/// Kind of a hashed check setting.
pub const CHECK: &str = "check";
/// Kind of a hashed entry of the bibliography.
pub const REFERENCE: &str = "reference";
/// Kind of the hashed state of the shop.
pub const SHOP_STATE: &str = "shop state";

/// Records to review a plan by, and where they are not those it was saved with.
#[derive(Clone, Debug, PartialEq)]
pub struct Working {
    /// Records.
    pub catalogue: Arc<Catalogue>,
    /// State of the shop.
    pub shop: Arc<ShopState>,
    /// Where they differ, in the order of the file's hashes.
    pub differences: Vec<RecordDifference>,
}

/// A record that is not what it was when the plan was saved.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RecordDifference {
    /// Kind in words: a [`Kind::word`], [`LIMIT`], [`CHECK`] or [`SHOP_STATE`].
    pub kind: String,
    /// Slug; for a limit, [`limit_key`].
    pub id: String,
    /// What differs.
    pub what: Differs,
}

/// Which two differ.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Differs {
    /// The record in use (the shop's or built-in) is not the file's; for a limit or check, it may
    /// not be there any more.
    InUse,
    /// The file's record is in use; it was built in when saved, and this build's is another.
    Build,
    /// The file's record does not match the hash beside it: it was changed by hand.
    Edited,
}

/// One record with its hash.
pub(super) struct Entry {
    pub(super) kind: &'static str,
    pub(super) id: String,
    pub(super) origin: Option<Origin>,
    pub(super) sha256: String,
}

/// The word for an origin in files.
pub(super) fn origin_word(origin: Origin) -> &'static str {
    match origin {
        Origin::BuiltIn => "built-in",
        Origin::Shop => "shop",
        Origin::Load => "load",
    }
}

pub(super) fn origin_of(word: &str) -> Option<Origin> {
    [Origin::BuiltIn, Origin::Shop, Origin::Load]
        .into_iter()
        .find(|origin| origin_word(*origin) == word)
}

/// A limit's name among limits: its slug and whose it is, since a slug has one limit per scope.
pub fn limit_key(limit: &Limit) -> String {
    let Limit { id, scope, .. } = limit;
    match scope {
        LimitScope::Customer(of) => format!("{id} (customer {of})"),
        LimitScope::Feedstock(of) => format!("{id} (feedstock {of})"),
        LimitScope::Alloy(of) => format!("{id} (alloy {of})"),
        LimitScope::Furnace(of) => format!("{id} (furnace {of})"),
        LimitScope::Shop => format!("{id} (shop)"),
        LimitScope::BuiltIn => format!("{id} (built-in)"),
    }
}

fn hash<T: Serialize>(record: &T) -> Result<String, Fault> {
    Ok(sha256_hex(canonical_ron(record)?.as_bytes()))
}

/// Every record with its hash: tables by kind and slug, then limits, checks, references and the
/// state of the shop.
pub(super) fn entries(
    catalogue: &Catalogue,
    shop: Option<&ShopState>,
) -> Result<Vec<Entry>, Fault> {
    fn table<T: Record>(table: &Table<T>, out: &mut Vec<Entry>) -> Result<(), Fault> {
        for (id, (origin, record)) in table {
            out.push(Entry {
                kind: T::KIND.word(),
                id: id.clone(),
                origin: Some(*origin),
                sha256: hash(record.as_ref())?,
            });
        }
        Ok(())
    }
    let mut out = Vec::new();
    table(&catalogue.alloys, &mut out)?;
    table(&catalogue.binders, &mut out)?;
    table(&catalogue.feedstocks, &mut out)?;
    table(&catalogue.materials, &mut out)?;
    table(&catalogue.setters, &mut out)?;
    table(&catalogue.posts, &mut out)?;
    table(&catalogue.supports, &mut out)?;
    table(&catalogue.furnaces, &mut out)?;
    table(&catalogue.gases, &mut out)?;
    let mut other = |kind, id: &str, sha256| {
        let id = id.to_owned();
        let origin = None;
        out.push(Entry {
            kind,
            id,
            origin,
            sha256,
        });
    };
    for limit in &catalogue.limits {
        other(LIMIT, &limit_key(limit), hash(limit)?);
    }
    for check in &catalogue.checks {
        other(CHECK, &check.check, hash(check)?);
    }
    for (id, reference) in &catalogue.references {
        other(REFERENCE, id, hash(reference)?);
    }
    if let Some(shop) = shop {
        other(SHOP_STATE, &shop.name, hash(shop)?);
    }
    Ok(out)
}

/// Hashes by kind and id.
fn hashes(
    catalogue: &Catalogue,
    shop: Option<&ShopState>,
) -> Result<BTreeMap<(String, String), String>, Fault> {
    let entries = entries(catalogue, shop)?.into_iter();
    Ok(entries
        .map(|e| ((e.kind.to_owned(), e.id), e.sha256))
        .collect())
}

/// Says where a record of a table came from.
pub(super) fn set_origin(catalogue: &mut Catalogue, kind: &str, id: &str, origin: Origin) {
    fn set<T: Record>(table: &mut Table<T>, kind: &str, id: &str, origin: Origin) {
        if T::KIND.word() == kind
            && let Some(entry) = table.get_mut(id)
        {
            entry.0 = origin;
        }
    }
    set(&mut catalogue.alloys, kind, id, origin);
    set(&mut catalogue.binders, kind, id, origin);
    set(&mut catalogue.feedstocks, kind, id, origin);
    set(&mut catalogue.materials, kind, id, origin);
    set(&mut catalogue.setters, kind, id, origin);
    set(&mut catalogue.posts, kind, id, origin);
    set(&mut catalogue.supports, kind, id, origin);
    set(&mut catalogue.furnaces, kind, id, origin);
    set(&mut catalogue.gases, kind, id, origin);
}

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
                SupportKind::Powder | SupportKind::Sheet => self.material(&support.material),
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

    fn references(&mut self, shop: &ShopState) {
        fn cited<T: Record>(table: &Table<T>, out: &mut BTreeSet<String>) {
            for (_, record) in table.values() {
                out.insert(record.source().to_owned());
                out.extend(record.except().iter().map(|e| e.source.clone()));
            }
        }
        let mut keys = BTreeSet::from([shop.source.clone()]);
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
struct Use<'a> {
    kind: Kind,
    id: &'a str,
    place: String,
}

/// Every slug of a record in a plan.
fn uses(plan: &Plan) -> Vec<Use<'_>> {
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
/// in turn, all limits and check settings, the references they cite, and the state of the shop as
/// far as it is about this furnace (with all stock and prices). Slugs that stand for nothing are
/// passed over.
pub fn records_for(plan: &Plan, catalogue: &Catalogue, shop: &ShopState) -> RecordsUsed {
    // Without a built-in catalogue (a broken build) everything counts as the shop's.
    let build = catalogue::builtin().map(|(c, _)| c).unwrap_or_default();
    gather(plan, catalogue, shop, &build)
}

pub(super) fn gather(
    plan: &Plan,
    catalogue: &Catalogue,
    shop: &ShopState,
    build: &Catalogue,
) -> RecordsUsed {
    let shop = trimmed(shop, &plan.load.furnace);
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
    reach.shop(&shop);
    reach.to.limits.clone_from(&catalogue.limits);
    reach.to.checks.clone_from(&catalogue.checks);
    reach.to.checks.sort_by(|a, b| a.check.cmp(&b.check));
    reach.references(&shop);
    let hashes = with_origins(&reach.to, &shop, plan, build).unwrap_or_default();
    RecordsUsed {
        catalogue: reach.to,
        shop: Some(shop),
        hashes,
    }
}

/// The state of the shop as far as it is about one furnace.
fn trimmed(shop: &ShopState, furnace: &str) -> ShopState {
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
    shop: &ShopState,
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
    let entries = entries(catalogue, Some(shop))?.into_iter();
    Ok(entries
        .map(|entry| RecordHash {
            origin: origin_word(origin(&entry)).to_owned(),
            kind: entry.kind.to_owned(),
            id: entry.id,
            sha256: entry.sha256,
        })
        .collect())
}

/// The records to review a plan by.
///
/// With a shop folder its records over the built-in ones hold, and what neither has is taken from
/// the file; limits and check settings are then the folder's and the built-in ones alone. Without,
/// the file's records hold, and the built-in ones for what it does not carry. A new plan carries
/// none, so it gets the built-in ones or the shop's.
///
/// # Errors
/// A slug, of the plan or of a record, that stands for nothing.
pub fn working(plan: &Plan, shop: Option<&ShopFolder>) -> Result<Working, FileFault> {
    let unnamed = |what| FileFault {
        file: String::new(),
        what,
    };
    let (build, build_shop) = catalogue::builtin()
        .map_err(|fault| unnamed(Fault::BrokenBuild(Fault::from(fault).to_string())))?;
    choose(plan, shop, &build, &build_shop).map_err(unnamed)
}

pub(super) fn choose(
    plan: &Plan,
    folder: Option<&ShopFolder>,
    build: &Catalogue,
    build_shop: &ShopState,
) -> Result<Working, Fault> {
    let used = plan.records_used.as_ref();
    let first = folder.map_or(&used.catalogue, |folder| folder.catalogue.as_ref());
    let second = folder.map_or(build, |_| &used.catalogue);
    let mut catalogue = first.clone();
    fill(&mut catalogue, second);
    if folder.is_none() {
        fill_rules(&mut catalogue, second);
    }
    catalogue.check_links()?;
    for used in uses(plan) {
        if !has(&catalogue, used.kind, used.id) {
            return Err(Fault::NoSuch {
                place: used.place,
                what: used.kind.word().to_owned(),
                candidates: catalogue.candidates(used.kind, used.id),
                id: used.id.to_owned(),
            });
        }
    }
    let shop = folder
        .and_then(|folder| folder.shop.as_ref())
        .or(used.shop.as_ref())
        .unwrap_or(build_shop)
        .clone();
    let differences = differences(plan, folder.is_some(), &catalogue, &shop, build)?;
    Ok(Working {
        catalogue: Arc::new(catalogue),
        shop: Arc::new(shop),
        differences,
    })
}

/// Adds the records that are not there.
fn fill(to: &mut Catalogue, from: &Catalogue) {
    fn table<T>(to: &mut Table<T>, from: &Table<T>) {
        for (id, entry) in from {
            to.entry(id.clone()).or_insert_with(|| entry.clone());
        }
    }
    table(&mut to.alloys, &from.alloys);
    table(&mut to.binders, &from.binders);
    table(&mut to.feedstocks, &from.feedstocks);
    table(&mut to.materials, &from.materials);
    table(&mut to.setters, &from.setters);
    table(&mut to.posts, &from.posts);
    table(&mut to.supports, &from.supports);
    table(&mut to.furnaces, &from.furnaces);
    table(&mut to.gases, &from.gases);
    for (id, reference) in &from.references {
        let entry = to.references.entry(id.clone());
        entry.or_insert_with(|| reference.clone());
    }
}

/// Adds the limits and check settings that are not there.
fn fill_rules(to: &mut Catalogue, from: &Catalogue) {
    for limit in &from.limits {
        if !to
            .limits
            .iter()
            .any(|l| l.id == limit.id && l.scope == limit.scope)
        {
            to.limits.push(limit.clone());
        }
    }
    to.limits
        .sort_by(|a, b| (&a.id, &a.scope).cmp(&(&b.id, &b.scope)));
    for check in &from.checks {
        if !to.checks.iter().any(|c| c.check == check.check) {
            to.checks.push(check.clone());
        }
    }
}

fn has(catalogue: &Catalogue, kind: Kind, id: &str) -> bool {
    match kind {
        Kind::Alloy => catalogue.alloy(id).is_some(),
        Kind::Binder => catalogue.binder(id).is_some(),
        Kind::Feedstock => catalogue.feedstock(id).is_some(),
        Kind::Material => catalogue.material(id).is_some(),
        Kind::Setter => catalogue.setter(id).is_some(),
        Kind::Post => catalogue.post(id).is_some(),
        Kind::Support => catalogue.support(id).is_some(),
        Kind::Furnace => catalogue.furnace(id).is_some(),
        Kind::Gas => catalogue.gas(id).is_some(),
    }
}

/// The bibliography is left out: another wording of a source changes no verdict.
fn differences(
    plan: &Plan,
    folder: bool,
    catalogue: &Catalogue,
    shop: &ShopState,
    build: &Catalogue,
) -> Result<Vec<RecordDifference>, Fault> {
    let used = plan.records_used.as_ref();
    if used.hashes.is_empty() {
        return Ok(Vec::new());
    }
    let shop = trimmed(shop, &plan.load.furnace);
    let embedded = hashes(&used.catalogue, used.shop.as_ref())?;
    let in_use = hashes(catalogue, Some(&shop))?;
    let built = hashes(build, None)?;
    let mut out = Vec::new();
    for said in used.hashes.iter().filter(|h| h.kind != REFERENCE) {
        let key = (said.kind.clone(), said.id.clone());
        let mut push = |what| {
            out.push(RecordDifference {
                kind: said.kind.clone(),
                id: said.id.clone(),
                what,
            });
        };
        let mine = embedded.get(&key);
        if mine != Some(&said.sha256) {
            push(Differs::Edited);
        }
        if folder && in_use.get(&key) != mine {
            push(Differs::InUse);
        }
        let was_built_in = said.origin == origin_word(Origin::BuiltIn);
        if !folder && was_built_in && built.get(&key) != Some(&said.sha256) {
            push(Differs::Build);
        }
    }
    Ok(out)
}
