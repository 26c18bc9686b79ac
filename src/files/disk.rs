//! Bytes from and to the disk, with every way a path can disappoint told apart.

use super::fault::{Fault, FileFault};
use super::form::head;
use super::kind::FileKind;
use crate::text::files as say;
use atomic_write_file::AtomicWriteFile;
use std::fs;
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

/// Most bytes of a text file of ours that are read: a load of thousands of parts has a few million
/// (assumed).
pub const TEXT_CAP: u64 = 200_000_000;

/// The bytes of a regular file of at most `cap` bytes. Its kind and size are looked at before it
/// is opened: opening a pipe would wait for somebody to write into it.
///
/// # Errors
/// Not found, not allowed, a folder, a pipe or device, too large, or failing on the way.
pub fn read_bytes(path: &Path, cap: u64) -> Result<Vec<u8>, FileFault> {
    read(path, cap).map_err(|what| FileFault::new(path, what))
}

/// Refuses what is not a regular file of at most `cap` bytes, without opening it.
///
/// # Errors
/// Not found, not allowed, a folder, a pipe or device, or too large.
pub fn check_file(path: &Path, cap: u64) -> Result<(), FileFault> {
    check(path, cap).map_err(|what| FileFault::new(path, what))
}

fn check(path: &Path, cap: u64) -> Result<(), Fault> {
    let meta = fs::metadata(path).map_err(|error| Fault::reading(&error))?;
    regular(&meta)?;
    let bytes = meta.len();
    if bytes > cap {
        return Err(Fault::TooLarge { bytes, cap });
    }
    Ok(())
}

fn read(path: &Path, cap: u64) -> Result<Vec<u8>, Fault> {
    let reading = |error: io::Error| Fault::reading(&error);
    check(path, cap)?;
    let mut out = Vec::new();
    let file = fs::File::open(path).map_err(reading)?;
    // One byte more than the cap, in case it grows while it is read.
    file.take(cap + 1).read_to_end(&mut out).map_err(reading)?;
    let bytes = out.len() as u64;
    if bytes > cap {
        return Err(Fault::TooLarge { bytes, cap });
    }
    Ok(out)
}

fn regular(meta: &fs::Metadata) -> Result<(), Fault> {
    if meta.is_dir() {
        return Err(Fault::Directory);
    }
    if !meta.is_file() {
        return Err(Fault::NotRegular);
    }
    Ok(())
}

/// Writes a text file whole or not at all. What stands there must be of the same kind, or empty; a
/// link stays a link and the mode of an old file is kept.
///
/// # Errors
/// Whatever stands in the way; the old file is then as it was.
pub fn write_text(path: &Path, text: &str, kind: FileKind, reads: u32) -> Result<(), FileFault> {
    write(path, text, kind, reads).map_err(|what| FileFault::new(path, what))
}

fn write(path: &Path, text: &str, kind: FileKind, reads: u32) -> Result<(), Fault> {
    let target = target(path, kind, reads)?;
    let writing = |error: io::Error| Fault::writing(&error);
    let mut file = AtomicWriteFile::open(target).map_err(writing)?;
    file.write_all(text.as_bytes()).map_err(writing)?;
    file.commit().map_err(writing)
}

/// Whether a text file could be written there now, which is asked before long work; nothing is
/// written. It must not be what the work begins from, where that is told, which would be lost.
///
/// # Errors
/// What stands in the way.
pub(super) fn may_write(
    path: &Path,
    from: Option<&Path>,
    kind: FileKind,
    reads: u32,
) -> Result<(), FileFault> {
    let may = || {
        let target = target(path, kind, reads)?;
        if from.is_some_and(|from| is_same(from, path)) {
            return Err(Fault::NotWritten(say::is_read_from()));
        }
        let file = AtomicWriteFile::open(target).map_err(|error| Fault::writing(&error))?;
        file.discard().map_err(|error| Fault::writing(&error))
    };
    may().map_err(|what| FileFault::new(path, what))
}

/// Whether two paths lead to one file.
pub fn is_same(a: &Path, b: &Path) -> bool {
    let whole = |path: &Path| fs::canonicalize(path).ok();
    whole(a).is_some_and(|a| whole(b) == Some(a))
}

/// Whether there is a file with something in it, which writing would lose.
pub fn would_be_lost(path: &Path) -> bool {
    fs::metadata(path).is_ok_and(|meta| meta.len() > 0)
}

/// Where to write: the file itself where the path is a link.
fn target(path: &Path, kind: FileKind, reads: u32) -> Result<PathBuf, Fault> {
    let meta = match fs::metadata(path) {
        Ok(meta) => meta,
        Err(error) if error.kind() == io::ErrorKind::NotFound => {
            return match fs::symlink_metadata(path) {
                Ok(_) => Err(Fault::Dangling),
                Err(_) => Ok(path.to_owned()),
            };
        }
        Err(error) => return Err(Fault::writing(&error)),
    };
    regular(&meta)?;
    if meta.permissions().readonly() {
        return Err(Fault::Denied);
    }
    if meta.len() > 0 {
        let bytes = match read(path, TEXT_CAP) {
            Err(Fault::TooLarge { .. }) => return Err(Fault::NotOurs(kind)),
            other => other?,
        };
        match head(&bytes, kind, reads) {
            Ok(_) => {}
            Err(fault @ Fault::Newer { .. }) => return Err(fault),
            Err(_) => return Err(Fault::NotOurs(kind)),
        }
    }
    fs::canonicalize(path).map_err(|error| Fault::writing(&error))
}

/// Reads a script of edits: UTF-8 text.
///
/// # Errors
/// What is wrong with the file or its text.
pub fn read_script(path: &Path) -> Result<String, FileFault> {
    let bytes = read_bytes(path, TEXT_CAP)?;
    let text = super::form::text_of(&bytes).map_err(|what| FileFault::new(path, what))?;
    Ok(text.to_owned())
}

/// Whether a folder could be made there and written into, which is asked before long work; it is not
/// made. Asked of the nearest folder above it that is there.
///
/// # Errors
/// What stands in the way.
pub fn may_make_folder(folder: &Path) -> Result<(), FileFault> {
    for at in folder.ancestors() {
        let at = match at.as_os_str().is_empty() {
            true => Path::new("."),
            false => at,
        };
        let told = |what: Fault| Err(FileFault::new(at, what));
        match fs::metadata(at) {
            Ok(meta) if meta.is_dir() => return may_write_into(at),
            Ok(_) => return told(Fault::NotWritten(say::file_in_the_way())),
            Err(error) => match error.kind() {
                // A link to nowhere is in the way as a file is.
                io::ErrorKind::NotFound if at.symlink_metadata().is_ok() => {
                    return told(Fault::Dangling);
                }
                // What stands in the way then is further up.
                io::ErrorKind::NotFound | io::ErrorKind::NotADirectory => {}
                _ => return told(Fault::writing(&error)),
            },
        }
    }
    Ok(())
}

/// Rights alone do not tell, so a folder is made in it and taken away again.
fn may_write_into(folder: &Path) -> Result<(), FileFault> {
    let trial = folder.join(format!(".setterwright-{}", std::process::id()));
    let made = fs::create_dir(&trial).and_then(|()| fs::remove_dir(&trial));
    match made {
        Err(error) if error.kind() != io::ErrorKind::AlreadyExists => {
            Err(FileFault::new(folder, Fault::writing(&error)))
        }
        _ => Ok(()),
    }
}

/// Makes a folder with those above it, unless it is there.
///
/// # Errors
/// What keeps it from being made.
pub fn make_folder(folder: &Path) -> Result<(), FileFault> {
    fs::create_dir_all(folder).map_err(|error| {
        let what = match error.kind() {
            io::ErrorKind::AlreadyExists | io::ErrorKind::NotADirectory => {
                Fault::NotWritten(say::file_in_the_way())
            }
            _ => Fault::writing(&error),
        };
        FileFault::new(folder, what)
    })
}
