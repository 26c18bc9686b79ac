//! Load files and profile files.

use super::disk::{self, TEXT_CAP, read_bytes, write_text};
use super::fault::{Fault, FileFault};
use super::form::{canonical_ron, head, parse, sha256_hex};
use super::kind::FileKind;
use super::numbers::finite;
use super::paths::moved;
use super::reach::records_for;
use super::records::{Working, other_meshes, working};
use super::shop::ShopFolder;
use super::v1::load::LoadFile;
use super::v1::profile::Profile as ProfileV1;
use crate::load::Plan;
use crate::profile::Profile;
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Newest version of load files that is read, and the one that is written.
pub const LOAD_VERSION: u32 = 1;
/// Newest version of profile files that is read, and the one that is written.
pub const PROFILE_VERSION: u32 = 1;

/// How the name of a load's file ends.
pub(super) const ENDING: &str = ".load.ron";

/// A plan as it was saved.
#[derive(Clone, Debug, PartialEq)]
pub struct Saved {
    /// The plan with the records that were written.
    pub plan: Plan,
    /// SHA-256 of the file, hexadecimal.
    pub sha256: String,
}

/// The canonical text of a plan with the records it carries: the bytes of its file. The same plan
/// gives the same text.
///
/// # Errors
/// The writer's words; no plan is known to make it fail.
pub fn canonical(plan: &Plan) -> Result<String, FileFault> {
    canonical_ron(&LoadFile::from(plan)).map_err(unnamed)
}

/// SHA-256 of [`canonical`], hexadecimal.
///
/// # Errors
/// As [`canonical`].
pub fn plan_hash(plan: &Plan) -> Result<String, FileFault> {
    Ok(sha256_hex(canonical(plan)?.as_bytes()))
}

fn unnamed(what: Fault) -> FileFault {
    FileFault {
        file: String::new(),
        what,
    }
}

/// Reads a load file's bytes; `name` is for the fault.
///
/// # Errors
/// What is wrong, with line and column or the path of the field.
pub fn decode_load(name: &str, bytes: &[u8]) -> Result<Plan, FileFault> {
    decode(bytes).map_err(|what| FileFault::new(Path::new(name), what))
}

fn decode(bytes: &[u8]) -> Result<Plan, Fault> {
    let (text, _) = head(bytes, FileKind::Load, LOAD_VERSION)?;
    parse::<LoadFile>(text)?.into_work()
}

/// Reads a load file.
///
/// # Errors
/// What is wrong with it. The file is only read.
pub fn read_load(path: &Path) -> Result<Plan, FileFault> {
    let bytes = read_bytes(path, TEXT_CAP)?;
    decode(&bytes).map_err(|what| FileFault::new(path, what))
}

/// Reads a load file and chooses the records to review it by.
///
/// # Errors
/// As [`read_load`] and [`working`], with the file's name.
pub fn open_load(path: &Path, shop: Option<&ShopFolder>) -> Result<(Plan, Working), FileFault> {
    let plan = read_load(path)?;
    let mut working = working(&plan, shop).map_err(|fault| FileFault::new(path, fault.what))?;
    let folder = path.parent().unwrap_or(Path::new(""));
    working.differences.extend(other_meshes(folder, &plan));
    Ok((plan, working))
}

/// A path with the usual ending where it has none of its own.
pub fn load_path(path: &Path) -> PathBuf {
    if path.extension().is_some() || path.file_name().is_none() {
        return path.to_owned();
    }
    path.with_extension("load.ron")
}

/// Whether a file is called as loads are.
pub fn is_load_name(path: &Path) -> bool {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    name.len() > ENDING.len() && name.to_lowercase().ends_with(ENDING)
}

/// Whether a file, a folder or a link has that name.
pub fn is_there(path: &Path) -> bool {
    path.symlink_metadata().is_ok()
}

/// Saves a plan with the records in use that it reaches. The file is written whole or not at all,
/// and only what opens again is written.
///
/// # Errors
/// The plan would not open again, a file of another kind has that name, or the disk refuses. The
/// old file is then as it was.
pub fn save_load(path: &Path, plan: &Plan, working: &Working) -> Result<Saved, FileFault> {
    let mut plan = plan.clone();
    plan.records_used = Arc::new(records_for(
        &plan,
        &working.catalogue,
        working.shop.as_deref(),
    ));
    let text =
        canonical_ron(&LoadFile::from(&plan)).and_then(|text| match decode(text.as_bytes()) {
            Ok(_) => Ok(text),
            Err(fault) => Err(Fault::WouldNotOpen(Box::new(fault))),
        });
    let text = text.map_err(|what| FileFault::new(path, what))?;
    write_text(path, &text, FileKind::Load, LOAD_VERSION)?;
    let sha256 = sha256_hex(text.as_bytes());
    Ok(Saved { plan, sha256 })
}

/// The same of a plan whose mesh paths are relative to the folder `from`: in the file they are as
/// seen from where that lies.
///
/// # Errors
/// As [`save_load`].
pub fn save_load_from(
    from: &Path,
    path: &Path,
    plan: &Plan,
    working: &Working,
) -> Result<Saved, FileFault> {
    let to = path.parent().unwrap_or(Path::new(""));
    save_load(path, &moved(plan, from, to), working)
}

/// Whether a load could be written to a path now, which is asked before long work; `from` is the
/// load that the work begins from, where that has to stay.
///
/// # Errors
/// What stands in the way, or that it is that load itself.
pub fn may_write(path: &Path, from: Option<&Path>) -> Result<(), FileFault> {
    disk::may_write(path, from, FileKind::Load, LOAD_VERSION)
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct ProfileFile {
    kind: String,
    version: u32,
    profile: ProfileV1,
}

/// Reads a profile file's bytes; `name` is for the fault.
///
/// # Errors
/// What is wrong, with line and column or the path of the field.
pub fn decode_profile(name: &str, bytes: &[u8]) -> Result<Profile, FileFault> {
    head(bytes, FileKind::Profile, PROFILE_VERSION)
        .and_then(|(text, _)| parse::<ProfileFile>(text))
        .and_then(|file| file.profile.into_work("profile"))
        .map_err(|what| FileFault::new(Path::new(name), what))
}

/// Reads a profile file.
///
/// # Errors
/// What is wrong with it.
pub fn read_profile(path: &Path) -> Result<Profile, FileFault> {
    let bytes = read_bytes(path, TEXT_CAP)?;
    decode_profile(&path.display().to_string(), &bytes)
}

/// Saves a profile alone.
///
/// # Errors
/// A number that is not finite, a file of another kind under that name, or the disk.
pub fn save_profile(path: &Path, profile: &Profile) -> Result<(), FileFault> {
    let file = ProfileFile {
        kind: FileKind::Profile.word().to_owned(),
        version: PROFILE_VERSION,
        profile: ProfileV1::from(profile),
    };
    let text = canonical_ron(&file)
        .and_then(|text| match finite(&text) {
            Ok(()) => Ok(text),
            Err(fault) => Err(Fault::WouldNotOpen(Box::new(fault))),
        })
        .map_err(|what| FileFault::new(path, what))?;
    write_text(path, &text, FileKind::Profile, PROFILE_VERSION)
}
