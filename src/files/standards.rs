//! Standard loads: load files in the shop folder's `standards`, without what every load fills in
//! anew.

use super::fault::{Fault, FileFault};
use super::load::{ENDING, read_load, save_load};
use super::records::Working;
use crate::load::{Item, Plan};
use crate::text::files as say;
use std::fmt;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Longest name of a file without its ending, bytes: file systems take 255 (common practice).
const LONGEST: usize = 120;

/// Why a standard was not saved.
#[derive(Clone, Debug, PartialEq)]
pub enum StandardFault {
    /// The name has no letter and no digit.
    NoName,
    /// A standard of that name is there.
    Taken(String),
    /// The disk, or a plan that would not open again.
    File(FileFault),
}

impl fmt::Display for StandardFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            StandardFault::NoName => f.write_str(&say::standard_without_name()),
            StandardFault::Taken(name) => f.write_str(&say::standard_taken(name)),
            StandardFault::File(fault) => fault.fmt(f),
        }
    }
}

impl std::error::Error for StandardFault {}

/// Where a shop folder keeps its standard loads.
pub fn standards_dir(shop_dir: &Path) -> PathBuf {
    shop_dir.join("standards")
}

/// The standard loads of a shop folder, sorted by path; a bad file is listed with its fault. No
/// folder for them is no standard; one that cannot be read is listed as the fault that it is.
pub fn list_standards(shop_dir: &Path) -> Vec<(PathBuf, Result<Plan, FileFault>)> {
    let dir = standards_dir(shop_dir);
    let paths = match listed(&dir) {
        Ok(paths) => paths,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Vec::new(),
        Err(error) => {
            let fault = FileFault::new(&dir, Fault::reading(&error));
            return vec![(dir, Err(fault))];
        }
    };
    paths
        .into_iter()
        .map(|path| (path.clone(), read_load(&path)))
        .collect()
}

fn listed(dir: &Path) -> io::Result<Vec<PathBuf>> {
    let mut paths = Vec::new();
    for entry in fs::read_dir(dir)? {
        let path = entry?.path();
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        if name.ends_with(ENDING) && !name.starts_with('.') {
            paths.push(path);
        }
    }
    paths.sort();
    Ok(paths)
}

/// The plan as a standard: arrangement, part records and profile stay; lots and their assignment,
/// declarations, acceptances, signatures and the planned start go.
pub fn as_standard(plan: &Plan, title: &str) -> Plan {
    let mut out = plan.clone();
    out.title = title.to_owned();
    out.planned_start = None;
    out.planned_start_time = None;
    out.signatures.clear();
    out.begun_from = None;
    out.lots.clear();
    out.declarations.clear();
    out.acceptances.clear();
    for level in out.load.stacks.iter_mut().flat_map(|s| &mut s.levels) {
        let level = Arc::make_mut(level);
        for placement in &mut level.placements {
            if let Item::Part { lot, .. } = &mut placement.item {
                *lot = None;
            }
        }
    }
    out
}

/// The standard that a plan began from, with its path; none where it began from none.
///
/// # Errors
/// It is not in this shop folder any more, or cannot be read.
pub fn standard_of(plan: &Plan, shop_dir: &Path) -> Result<Option<(PathBuf, Plan)>, FileFault> {
    let name = plan.begun_from.as_deref().map(Path::new);
    // A name and nothing more: a load can not point out of the folder.
    let Some(name) = name.and_then(Path::file_name) else {
        return Ok(None);
    };
    let path = standards_dir(shop_dir).join(name);
    let standard = read_load(&path)?;
    let standard = as_standard(&standard, &standard.title);
    Ok(Some((path, standard)))
}

/// Saves a plan as a standard called `name` and gives its path. Nothing is ever replaced.
///
/// # Errors
/// A name without letters or digits, a standard of that name (letters' case aside), or the disk.
pub fn save_standard(
    shop_dir: &Path,
    plan: &Plan,
    working: &Working,
    name: &str,
) -> Result<PathBuf, StandardFault> {
    let name = name.trim();
    let stem = stem(name).ok_or(StandardFault::NoName)?;
    let dir = standards_dir(shop_dir);
    let failed =
        |error: &io::Error| StandardFault::File(FileFault::new(&dir, Fault::writing(error)));
    fs::create_dir_all(&dir).map_err(|error| failed(&error))?;
    let wanted = format!("{stem}{ENDING}");
    for entry in fs::read_dir(&dir).map_err(|error| failed(&error))? {
        let there = entry.map_err(|error| failed(&error))?.file_name();
        // Some file systems hold names that differ only in case for one.
        if there.to_string_lossy().to_lowercase() == wanted.to_lowercase() {
            return Err(StandardFault::Taken(name.to_owned()));
        }
    }
    let path = dir.join(wanted);
    save_load(&path, &as_standard(plan, name), working).map_err(StandardFault::File)?;
    Ok(path)
}

/// A file name for a name: letters, digits, `-` and `_` stay, anything else becomes one `-`.
fn stem(name: &str) -> Option<String> {
    let mut out = String::new();
    for c in name.chars() {
        let c = if c.is_alphanumeric() || c == '_' {
            c
        } else {
            '-'
        };
        if out.len() + c.len_utf8() > LONGEST {
            break;
        }
        if !(c == '-' && (out.is_empty() || out.ends_with('-'))) {
            out.push(c);
        }
    }
    let out = out.trim_end_matches('-');
    out.chars()
        .any(char::is_alphanumeric)
        .then(|| out.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_become_names_of_files() {
        assert_eq!(
            stem("Brackets, 316L / slow"),
            Some("Brackets-316L-slow".to_owned())
        );
        assert_eq!(stem("../../etc"), Some("etc".to_owned()));
        assert_eq!(stem("Träger 7"), Some("Träger-7".to_owned()));
        assert_eq!(stem(" -/. "), None);
        assert!(stem(&"ä".repeat(500)).is_some_and(|s| s.len() <= LONGEST));
    }
}
