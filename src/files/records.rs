//! Records that a plan carries: what they hash to, and which of the file's, the shop's and the
//! built-in ones hold.

use super::disk::read_bytes;
use super::fault::{Fault, FileFault};
use super::form::{canonical_ron, sha256_hex};
use super::mesh::MESH_CAP;
use super::reach::{trimmed, uses};
use super::shop::ShopFolder;
use super::standards::standard_of;
use crate::catalogue::{
    self, Catalogue, CheckSetting, Limit, LimitScope, Origin, Record, ShopState, Table,
};
use crate::load::Plan;
use crate::part::Shape;
use crate::review::MESH_OTHER;
use crate::text::files as say;
use serde::Serialize;
use std::collections::BTreeMap;
use std::path::Path;
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
    /// State of the shop: the shop folder's, else what the file carries, else none.
    pub shop: Option<Arc<ShopState>>,
    /// Where they differ, in the order of the file's hashes.
    pub differences: Vec<RecordDifference>,
    /// The standard load that the plan began from, where the shop folder has it.
    pub standard: Option<Arc<Plan>>,
}

impl Working {
    /// Kind and slug of what differs, as the review is given it.
    pub fn told_differences(&self) -> Vec<(String, String)> {
        let all = self.differences.iter();
        all.map(|d| (d.kind.clone(), d.id.clone())).collect()
    }

    /// These records for the same plan, with what is known of its mesh files: they are looked at
    /// when a load is opened, not each time that a limit is set.
    pub fn with_meshes_of(mut self, before: &Working) -> Working {
        let of_meshes = |d: &&RecordDifference| d.kind == MESH_OTHER;
        let known = before.differences.iter().filter(of_meshes).cloned();
        self.differences.extend(known);
        self
    }
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
    scoped_key(&limit.id, &limit.scope)
}

/// A check setting's name among settings: the slug alone where it holds in the whole shop.
pub fn setting_key(setting: &CheckSetting) -> String {
    match &setting.scope {
        LimitScope::Shop => setting.check.clone(),
        scope => scoped_key(&setting.check, scope),
    }
}

fn scoped_key(id: &str, scope: &LimitScope) -> String {
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
        other(CHECK, &setting_key(check), hash(check)?);
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
pub(super) fn hashes(
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

/// The records to review a plan by.
///
/// With a shop folder its records over the built-in ones hold, and what neither has is taken from
/// the file; limits and check settings are then the folder's and the built-in ones alone. Without,
/// the file's records hold, and the built-in ones for what it does not carry. A new plan carries
/// none, so it gets the built-in ones or the shop's. The state of a shop is never made up: without
/// a folder and a file that carries one there is none, and what needs it is not evaluated.
///
/// # Errors
/// A slug, of the plan or of a record, that stands for nothing.
pub fn working(plan: &Plan, shop: Option<&ShopFolder>) -> Result<Working, FileFault> {
    let unnamed = |what| FileFault {
        file: String::new(),
        what,
    };
    let (build, _) = catalogue::builtin()
        .map_err(|fault| unnamed(Fault::BrokenBuild(Fault::from(fault).to_string())))?;
    let standard = shop.and_then(|folder| standard_of(plan, &folder.dir).ok().flatten());
    let working = choose(plan, shop, &build).map_err(unnamed)?;
    Ok(Working {
        standard: standard.map(|(_, standard)| Arc::new(standard)),
        ..working
    })
}

/// Mesh files beside a folder that are other ones than the parts were made from. One that is not
/// there is missed where it is asked for: the load is judged without it.
pub(super) fn other_meshes(folder: &Path, plan: &Plan) -> Vec<RecordDifference> {
    let mut found: Vec<RecordDifference> = Vec::new();
    for part in &plan.parts {
        let Shape::Mesh { file, sha256, .. } = &part.shape else {
            continue;
        };
        // Several parts may be bodies of one file.
        if found.iter().any(|d| d.id == *sha256) {
            continue;
        }
        if read_bytes(&folder.join(file), MESH_CAP).is_ok_and(|b| sha256_hex(&b) != *sha256) {
            found.push(RecordDifference {
                kind: MESH_OTHER.to_owned(),
                id: sha256.clone(),
                what: Differs::InUse,
            });
        }
    }
    found
}

fn choose(plan: &Plan, folder: Option<&ShopFolder>, build: &Catalogue) -> Result<Working, Fault> {
    let used = plan.records_used.as_ref();
    let first = folder.map_or(&used.catalogue, |folder| folder.catalogue.as_ref());
    let second = folder.map_or(build, |_| &used.catalogue);
    let mut catalogue = first.clone();
    fill(&mut catalogue, second);
    if folder.is_none() {
        fill_rules(&mut catalogue, second);
    }
    catalogue.check_links()?;
    for limit in &catalogue.limits {
        check_figure(limit, build)?;
    }
    for used in uses(plan) {
        if !catalogue.has(used.kind, used.id) {
            return Err(Fault::NoSuch {
                place: used.place,
                what: used.kind.word().to_owned(),
                candidates: catalogue.candidates(used.kind, used.id),
                id: used.id.to_owned(),
            });
        }
    }
    let own = folder.and_then(|folder| folder.shop.clone());
    let shop = own.or_else(|| {
        let carried = true;
        used.shop.clone().map(|shop| ShopState { carried, ..shop })
    });
    if let Some(shop) = &shop {
        shop.check()?;
    }
    let differences = differences(plan, folder.is_some(), &catalogue, shop.as_ref(), build)?;
    Ok(Working {
        catalogue: Arc::new(catalogue),
        shop: shop.map(Arc::new),
        differences,
        standard: None,
    })
}

/// Nothing is colder, °C.
const COLDEST_C: f64 = -273.15;
/// Most that a limit given as a share may be: 80 is meant as 80 %.
const SHARE_MAX: f64 = 2.0;

/// Holds that a limit is in the unit in which the checks read it, and can be.
///
/// # Errors
/// Another unit: 1 cm would be taken for 1 mm. A length below nothing, a share of 80.
pub(super) fn check_figure(limit: &Limit, build: &Catalogue) -> Result<(), Fault> {
    let Some(listed) = build.limits.iter().find(|l| l.id == limit.id) else {
        return Ok(());
    };
    let fault = |what| Fault::value(format!("limits, {}", limit.id), what);
    if listed.unit != limit.unit {
        return Err(fault(say::limit_unit(&limit.unit, &listed.unit)));
    }
    let (least, most) = match listed.unit.as_str() {
        "°C" => (COLDEST_C, f64::INFINITY),
        "%" => (0.0, 100.0),
        "" if listed.value <= 1.0 => (0.0, SHARE_MAX),
        _ => (0.0, f64::INFINITY),
    };
    if (least..=most).contains(&limit.value) {
        return Ok(());
    }
    let end = if limit.value < least { least } else { most };
    Err(fault(say::limit_cannot_be(
        &limit.shown(),
        end,
        &limit.unit,
    )))
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
        if !(to.checks.iter()).any(|c| c.check == check.check && c.scope == check.scope) {
            to.checks.push(check.clone());
        }
    }
}

/// The bibliography is left out: another wording of a source changes no verdict.
fn differences(
    plan: &Plan,
    folder: bool,
    catalogue: &Catalogue,
    shop: Option<&ShopState>,
    build: &Catalogue,
) -> Result<Vec<RecordDifference>, Fault> {
    let used = plan.records_used.as_ref();
    if used.hashes.is_empty() {
        return Ok(Vec::new());
    }
    let shop = shop.map(|shop| trimmed(shop, &plan.load.furnace));
    let embedded = hashes(&used.catalogue, used.shop.as_ref())?;
    let in_use = hashes(catalogue, shop.as_ref())?;
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
