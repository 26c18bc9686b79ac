//! The shop folder: catalogue files of a shop's own over the built-in catalogue.

use super::disk::{TEXT_CAP, read_bytes};
use super::fault::{Fault, FileFault};
use super::form::{head, kind_of, parse, sha256_hex};
use super::kind::FileKind;
use super::records::{CHECK, LIMIT, REFERENCE, SHOP_STATE, check_figure, limit_key, setting_key};
use crate::catalogue::{
    self, Catalogue, CatalogueFile, Kind, Limit, LimitScope, Origin, Record, ShopState,
};
use crate::review::{
    TOPICS, all_checks, check_by_slug, checks_meant, question_by_slug, thermocouple_limit,
};
use crate::text::{files as say, nearest};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A shop's records over the built-in ones.
#[derive(Clone, Debug, PartialEq)]
pub struct ShopFolder {
    /// The folder.
    pub dir: PathBuf,
    /// Built-in records, replaced and added to by the shop's.
    pub catalogue: Arc<Catalogue>,
    /// State of the shop, where a file has one.
    pub shop: Option<ShopState>,
    /// The catalogue files read, in order.
    pub files: Vec<PathBuf>,
    /// SHA-256 of each of them as read.
    pub hashes: Vec<String>,
}

/// Reads a catalogue file's bytes.
///
/// # Errors
/// What is wrong, with line and column.
pub fn decode_catalogue(name: &str, bytes: &[u8]) -> Result<CatalogueFile, FileFault> {
    head(bytes, FileKind::Catalogue, 1)
        .and_then(|(text, _)| parse(text))
        .map_err(|what| FileFault::new(Path::new(name), what))
}

/// Reads a shop folder: each `*.ron` in it that is a catalogue, in the order of their names. Files
/// of our other kinds may lie there too and are passed over, and so are hidden ones.
///
/// # Errors
/// The folder or a file cannot be read, a file of no known kind, the same record in two files, a
/// slug that stands for nothing, or a limit or a check setting that nothing asks for.
pub fn read_shop_folder(dir: &Path) -> Result<ShopFolder, FileFault> {
    let (build, _) = catalogue::builtin()
        .map_err(|fault| FileFault::new(dir, Fault::BrokenBuild(Fault::from(fault).to_string())))?;
    read_over(dir, &build)
}

fn read_over(dir: &Path, build: &Catalogue) -> Result<ShopFolder, FileFault> {
    let mut merged = build.clone();
    let mut shop = None;
    let (mut files, mut hashes) = (Vec::new(), Vec::new());
    let (mut limits, mut checks) = (Vec::new(), Vec::new());
    let mut seen: BTreeMap<(&str, String), String> = BTreeMap::new();
    for path in listed(dir)? {
        let bytes = read_bytes(&path, TEXT_CAP)?;
        if kind_of(&bytes).is_some_and(|kind| kind != FileKind::Catalogue) {
            continue;
        }
        let here = |what| FileFault::new(&path, what);
        let name = path.display().to_string();
        let file = decode_catalogue(&name, &bytes)?;
        for (kind, id) in keys(&file) {
            if let Some(first) = seen.insert((kind, id.clone()), name.clone()) {
                let kind = kind.to_owned();
                return Err(here(if first == name {
                    Fault::RepeatedRecord {
                        place: "records".to_owned(),
                        kind,
                        id,
                    }
                } else {
                    Fault::RepeatedAcross { kind, id, first }
                }));
            }
        }
        limits.extend(file.limits.iter().map(|l| (path.clone(), l.clone())));
        checks.extend(file.checks.iter().map(|c| (path.clone(), c.clone())));
        let state = merged
            .add_file(&name, file, Origin::Shop)
            .map_err(|fault| here(fault.into()))?;
        if let Some(state) = &state {
            check_state(state).map_err(here)?;
        }
        shop = state.or(shop);
        hashes.push(sha256_hex(&bytes));
        files.push(path);
    }
    merged
        .check_links()
        .map_err(|fault| FileFault::new(dir, fault.into()))?;
    let thermocouples = merged.furnaces.values().flat_map(|(_, f)| &f.sensors);
    let thermocouples: Vec<String> = thermocouples.map(|s| thermocouple_limit(&s.kind)).collect();
    let listed = build.limits.iter().map(|l| l.id.as_str());
    let asked = all_checks().flat_map(|c| c.limits.iter().copied());
    let known: BTreeSet<&str> = listed
        .chain(asked)
        .chain(thermocouples.iter().map(String::as_str))
        .collect();
    for (path, limit) in &limits {
        check_limit(limit, &known, &merged)
            .and_then(|()| check_figure(limit, build))
            .map_err(|what| FileFault::new(path, what))?;
    }
    let slugs = || {
        let topics = TOPICS.iter().map(|t| t.slug);
        all_checks().map(|c| c.slug).chain(topics)
    };
    for (path, setting) in &checks {
        let slug = &setting.check;
        let meant = checks_meant(slug);
        let people = match question_by_slug(slug) {
            Some(question) => question.safety && !setting.on,
            None if meant.is_empty() => {
                let near = nearest(slug, slugs(), 3);
                return Err(FileFault::new(path, no_such("checks", CHECK, slug, near)));
            }
            // Of a topic, those that guard people stay as they are.
            None => meant.iter().all(|check| {
                let lower = setting.severity.is_some_and(|s| s < check.severity);
                check.safety && (!setting.on || lower)
            }),
        };
        let refused = if people {
            Err(Fault::value("checks", say::safety_stays(slug)))
        } else if setting.reason.trim().is_empty() || setting.set_by.trim().is_empty() {
            Err(Fault::value("checks", say::no_reason(slug)))
        } else {
            check_scope(&format!("checks, {slug}"), &setting.scope, &merged)
        };
        refused.map_err(|what| FileFault::new(path, what))?;
    }
    Ok(ShopFolder {
        dir: dir.to_owned(),
        catalogue: Arc::new(merged),
        shop,
        files,
        hashes,
    })
}

/// Holds that something asks for a limit, and that whose it is stands for a record: a slip would
/// leave the starting limit in force unseen.
fn check_limit(limit: &Limit, known: &BTreeSet<&str>, merged: &Catalogue) -> Result<(), Fault> {
    if !known.contains(limit.id.as_str()) {
        let near = nearest(&limit.id, known.iter().copied(), 3);
        return Err(no_such("limits", LIMIT, &limit.id, near));
    }
    check_scope(&format!("limits, {}", limit.id), &limit.scope, merged)
}

/// Holds that whose something is stands for a record.
fn check_scope(place: &str, scope: &LimitScope, merged: &Catalogue) -> Result<(), Fault> {
    let (kind, id) = match scope {
        LimitScope::Feedstock(id) => (Kind::Feedstock, id),
        LimitScope::Alloy(id) => (Kind::Alloy, id),
        LimitScope::Furnace(id) => (Kind::Furnace, id),
        LimitScope::Customer(_) | LimitScope::Shop | LimitScope::BuiltIn => return Ok(()),
    };
    if merged.has(kind, id) {
        return Ok(());
    }
    Err(no_such(place, kind.word(), id, merged.candidates(kind, id)))
}

/// Holds the state of a shop against what can be, and the checks that its procedures cover against
/// those there are.
fn check_state(state: &ShopState) -> Result<(), Fault> {
    state.check()?;
    for procedure in state.furnaces.iter().flat_map(|f| &f.procedures) {
        for slug in &procedure.covers {
            if check_by_slug(slug).is_none() {
                let place = format!("procedures, {}", procedure.name);
                let near = nearest(slug, all_checks().map(|c| c.slug), 3);
                return Err(no_such(&place, CHECK, slug, near));
            }
        }
    }
    Ok(())
}

fn no_such(place: &str, what: &str, id: &str, candidates: Vec<String>) -> Fault {
    Fault::NoSuch {
        place: place.to_owned(),
        what: what.to_owned(),
        id: id.to_owned(),
        candidates,
    }
}

pub(super) fn listed(dir: &Path) -> Result<Vec<PathBuf>, FileFault> {
    let failed = |error: std::io::Error| FileFault::new(dir, Fault::reading(&error));
    // A pipe or a file: what the system says of it is no sentence.
    if !fs::metadata(dir).map_err(failed)?.is_dir() {
        return Err(FileFault::new(dir, Fault::NotFolder));
    }
    let mut paths = Vec::new();
    for entry in fs::read_dir(dir).map_err(failed)? {
        let path = entry.map_err(failed)?.path();
        let hidden = path
            .file_name()
            .is_none_or(|name| name.as_encoded_bytes().starts_with(b"."));
        if path.extension().is_some_and(|e| e == "ron") && !hidden {
            paths.push(path);
        }
    }
    paths.sort();
    Ok(paths)
}

/// Every record of a file by kind and id.
fn keys(file: &CatalogueFile) -> Vec<(&'static str, String)> {
    fn of<T: Record>(records: &[T]) -> impl Iterator<Item = (&'static str, String)> {
        records.iter().map(|r| (T::KIND.word(), r.id().to_owned()))
    }
    let CatalogueFile {
        kind: _,
        version: _,
        references,
        alloys,
        binders,
        feedstocks,
        materials,
        setters,
        posts,
        supports,
        furnaces,
        gases,
        limits,
        checks,
        shop,
    } = file;
    of(alloys)
        .chain(of(binders))
        .chain(of(feedstocks))
        .chain(of(materials))
        .chain(of(setters))
        .chain(of(posts))
        .chain(of(supports))
        .chain(of(furnaces))
        .chain(of(gases))
        .chain(limits.iter().map(|l| (LIMIT, limit_key(l))))
        .chain(checks.iter().map(|c| (CHECK, setting_key(c))))
        .chain(references.iter().map(|r| (REFERENCE, r.id.clone())))
        // One state whatever its name.
        .chain(shop.iter().map(|_| (SHOP_STATE, String::new())))
        .collect()
}
