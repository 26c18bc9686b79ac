//! The journal: snapshots of a document, appended and synced, so that a crash loses nothing that
//! was appended.
//!
//! A document has a folder of segment files. A segment is a row of frames; a frame is a mark, a
//! number, two lengths, a SHA-256 over all the rest, a label and the text. Appending only ever
//! writes behind the last whole frame. A frame torn by a crash does not match its hash and is left
//! out; the next append then begins a new segment. Beyond the cap whole segments are dropped, the
//! oldest first.

use super::disk::{check_file, read_bytes};
use super::fault::{Fault, FileFault};
use super::form::sha256_hex;
use crate::text::files as say;
use sha2::{Digest, Sha256};
use std::fmt;
use std::fs::{self, File, OpenOptions};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

const MARK: &[u8; 4] = b"SJ1\n";
/// Mark, number (u64), length of the label (u32), length of the text (u64), SHA-256.
const HEAD_BYTES: usize = 4 + 8 + 4 + 8 + 32;
/// Share of the cap that a segment may fill before the next begins: so much is dropped at once.
const SEGMENTS: u64 = 8;

/// Snapshots of one document, oldest first.
#[derive(Debug)]
pub struct Journal {
    dir: PathBuf,
    cap: u64,
    segments: Vec<Segment>,
    entries: Vec<Entry>,
    /// What was left out on opening.
    pub dropped: Vec<Dropped>,
}

#[derive(Debug)]
struct Segment {
    path: PathBuf,
    bytes: u64,
    /// Ends with a whole frame, so that another may follow.
    whole: bool,
}

/// One snapshot.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// Rises by one from snapshot to snapshot and is never used again.
    pub number: u64,
    /// Label of the step that led to it.
    pub label: String,
    path: PathBuf,
    at: u64,
    bytes: u64,
    sha256: [u8; 32],
}

/// Bytes at the end of a segment that are no whole frame.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Dropped {
    /// The segment.
    pub file: PathBuf,
    /// Bytes left out.
    pub bytes: u64,
}

impl fmt::Display for Dropped {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let file = self.file.display().to_string();
        f.write_str(&say::in_file(&file, &say::journal_dropped(self.bytes)))
    }
}

fn writing(path: &Path) -> impl Fn(io::Error) -> FileFault + '_ {
    |error| FileFault::new(path, Fault::writing(&error))
}

impl Journal {
    /// Opens the journal of one document under `dir`, or begins it. `key` names the document, its
    /// path for example; `cap_bytes` is the most that all its snapshots may take on the disk. One
    /// process at a time may append.
    ///
    /// # Errors
    /// The folder cannot be made or read. Damaged ends of files are no error: see
    /// [`Journal::dropped`].
    pub fn open(dir: &Path, key: &str, cap_bytes: u64) -> Result<Journal, FileFault> {
        let dir = dir.join(&sha256_hex(key.as_bytes())[..16]);
        fs::create_dir_all(&dir).map_err(writing(&dir))?;
        let mut journal = Journal {
            cap: cap_bytes,
            segments: Vec::new(),
            entries: Vec::new(),
            dropped: Vec::new(),
            dir,
        };
        for path in journal.listed()? {
            journal.scan(path)?;
        }
        Ok(journal)
    }

    fn listed(&self) -> Result<Vec<PathBuf>, FileFault> {
        let failed = |error: io::Error| FileFault::new(&self.dir, Fault::reading(&error));
        let mut paths = Vec::new();
        for entry in fs::read_dir(&self.dir).map_err(failed)? {
            let path = entry.map_err(failed)?.path();
            if path.extension().is_some_and(|e| e == "journal") {
                paths.push(path);
            }
        }
        // Names are numbers of one width, so this is their order.
        paths.sort();
        Ok(paths)
    }

    fn scan(&mut self, path: PathBuf) -> Result<(), FileFault> {
        let bytes = read_bytes(&path, u64::MAX - 1)?;
        let mut at = 0;
        while let Some(frame) = Frame::read(&bytes[at..]) {
            let newer = self.entries.last().is_none_or(|e| e.number < frame.number);
            if !newer {
                break;
            }
            self.entries.push(Entry {
                number: frame.number,
                label: frame.label.to_owned(),
                path: path.clone(),
                at: (at + frame.bytes - frame.text.len()) as u64,
                bytes: frame.text.len() as u64,
                sha256: Sha256::digest(frame.text).into(),
            });
            at += frame.bytes;
        }
        let left = (bytes.len() - at) as u64;
        if left > 0 {
            let file = path.clone();
            self.dropped.push(Dropped { file, bytes: left });
        }
        self.segments.push(Segment {
            path,
            bytes: bytes.len() as u64,
            whole: left == 0,
        });
        Ok(())
    }

    /// Snapshots that can be read, oldest first.
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// The newest snapshot.
    pub fn latest(&self) -> Option<&Entry> {
        self.entries.last()
    }

    /// Text of a snapshot.
    ///
    /// # Errors
    /// The file is gone, or its bytes have changed since it was opened.
    pub fn text(&self, entry: &Entry) -> Result<String, FileFault> {
        check_file(&entry.path, u64::MAX)?;
        let failed = |error: io::Error| FileFault::new(&entry.path, Fault::reading(&error));
        let mut file = File::open(&entry.path).map_err(failed)?;
        file.seek(SeekFrom::Start(entry.at)).map_err(failed)?;
        let mut bytes = Vec::new();
        file.take(entry.bytes)
            .read_to_end(&mut bytes)
            .map_err(failed)?;
        let same: [u8; 32] = Sha256::digest(&bytes).into();
        match String::from_utf8(bytes) {
            Ok(text) if same == entry.sha256 => Ok(text),
            _ => {
                let what = Fault::Unreadable(say::journal_changed());
                Err(FileFault::new(&entry.path, what))
            }
        }
    }

    /// Appends a snapshot and waits until it is on the disk. Gives its number.
    ///
    /// # Errors
    /// The disk refuses; earlier snapshots are as they were.
    pub fn append(&mut self, label: &str, text: &str) -> Result<u64, FileFault> {
        let number = self
            .entries
            .last()
            .map_or(1, |e| e.number.saturating_add(1));
        let frame = frame(number, label, text);
        let fits = |s: &Segment| s.whole && s.bytes < self.cap / SEGMENTS;
        if !self.segments.last().is_some_and(fits) {
            self.begin(number)?;
        }
        let Some(segment) = self.segments.last_mut() else {
            return Ok(number);
        };
        let path = segment.path.clone();
        // Until the write has succeeded the segment may end in half a frame.
        segment.whole = false;
        let mut file = OpenOptions::new()
            .append(true)
            .open(&path)
            .map_err(writing(&path))?;
        file.write_all(&frame).map_err(writing(&path))?;
        file.sync_data().map_err(writing(&path))?;
        segment.whole = true;
        let at = segment.bytes + (frame.len() - text.len()) as u64;
        segment.bytes += frame.len() as u64;
        self.entries.push(Entry {
            number,
            label: short(label).to_owned(),
            path,
            at,
            bytes: text.len() as u64,
            sha256: Sha256::digest(text).into(),
        });
        self.drop_oldest()?;
        Ok(number)
    }

    fn begin(&mut self, number: u64) -> Result<(), FileFault> {
        let mut name = number;
        let path = loop {
            let path = self.dir.join(format!("{name:020}.journal"));
            match OpenOptions::new().write(true).create_new(true).open(&path) {
                Ok(_) => break path,
                // A segment that holds no whole frame has the number that comes next.
                Err(error) if error.kind() == io::ErrorKind::AlreadyExists => name += 1,
                Err(error) => return Err(writing(&path)(error)),
            }
        };
        sync_dir(&self.dir).map_err(writing(&self.dir))?;
        self.segments.push(Segment {
            path,
            bytes: 0,
            whole: true,
        });
        Ok(())
    }

    /// The segment with the newest snapshot stays, however large.
    fn drop_oldest(&mut self) -> Result<(), FileFault> {
        while self.segments.len() > 1
            && self.segments.iter().map(|s| s.bytes).sum::<u64>() > self.cap
        {
            let oldest = self.segments.remove(0);
            self.entries.retain(|e| e.path != oldest.path);
            fs::remove_file(&oldest.path).map_err(writing(&oldest.path))?;
        }
        Ok(())
    }
}

#[cfg(unix)]
fn sync_dir(dir: &Path) -> io::Result<()> {
    File::open(dir)?.sync_all()
}

/// Other systems do not open folders; their file systems log the names themselves.
#[cfg(not(unix))]
fn sync_dir(_: &Path) -> io::Result<()> {
    Ok(())
}

struct Frame<'a> {
    number: u64,
    label: &'a str,
    text: &'a str,
    bytes: usize,
}

/// Labels are a few words; the cut only keeps the length within its field.
fn short(label: &str) -> &str {
    &label[..label.floor_char_boundary(usize::from(u16::MAX))]
}

fn frame(number: u64, label: &str, text: &str) -> Vec<u8> {
    let label = short(label);
    let mut out = Vec::with_capacity(HEAD_BYTES + label.len() + text.len());
    out.extend_from_slice(MARK);
    out.extend_from_slice(&number.to_le_bytes());
    out.extend_from_slice(&(label.len() as u32).to_le_bytes());
    out.extend_from_slice(&(text.len() as u64).to_le_bytes());
    let hash = frame_hash(&out, label.as_bytes(), text.as_bytes());
    out.extend_from_slice(&hash);
    out.extend_from_slice(label.as_bytes());
    out.extend_from_slice(text.as_bytes());
    out
}

fn frame_hash(head: &[u8], label: &[u8], text: &[u8]) -> [u8; 32] {
    let mut hash = Sha256::new();
    hash.update(head);
    hash.update(label);
    hash.update(text);
    hash.finalize().into()
}

impl Frame<'_> {
    /// The frame at the start of `bytes`, if it is whole and unhurt.
    fn read(bytes: &[u8]) -> Option<Frame<'_>> {
        let head = bytes.get(..HEAD_BYTES)?;
        let (unhashed, hash) = head.split_at(HEAD_BYTES - 32);
        let number = u64::from_le_bytes(unhashed.get(4..12)?.try_into().ok()?);
        let label = u32::from_le_bytes(unhashed.get(12..16)?.try_into().ok()?) as usize;
        let text = u64::from_le_bytes(unhashed.get(16..24)?.try_into().ok()?);
        let text_at = HEAD_BYTES.checked_add(label)?;
        let end = text_at.checked_add(usize::try_from(text).ok()?)?;
        let label = bytes.get(HEAD_BYTES..text_at)?;
        let text = bytes.get(text_at..end)?;
        if unhashed.get(..4)? != MARK || frame_hash(unhashed, label, text) != hash {
            return None;
        }
        Some(Frame {
            number,
            label: std::str::from_utf8(label).ok()?,
            text: std::str::from_utf8(text).ok()?,
            bytes: end,
        })
    }
}
