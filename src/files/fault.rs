//! What can be wrong with a file. `Display` is one sentence: what, where, what to do.

use super::kind::FileKind;
use super::obj::ObjFault;
use super::stl::StlFault;
use super::threemf::ThreeMfFault;
use crate::catalogue::CatalogueFault;
use crate::text::files as say;
use std::fmt;
use std::io;
use std::path::Path;

/// A place in a text, counted from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Spot {
    /// Line.
    pub line: usize,
    /// Column, in characters.
    pub column: usize,
}

/// A fault with the file it is about.
#[derive(Clone, Debug, PartialEq)]
pub struct FileFault {
    /// Path as given; empty for a plan that has no file yet.
    pub file: String,
    /// What is wrong.
    pub what: Fault,
}

impl FileFault {
    /// A fault of the file at a path.
    pub fn new(path: &Path, what: Fault) -> FileFault {
        let file = path.display().to_string();
        FileFault { file, what }
    }
}

/// What is wrong with a file.
#[derive(Clone, Debug, PartialEq)]
pub enum Fault {
    /// Nothing under that name.
    NotFound,
    /// No permission.
    Denied,
    /// A folder.
    Directory,
    /// A file or a pipe where a folder belongs.
    NotFolder,
    /// A pipe, device or socket.
    NotRegular,
    /// More bytes than are read.
    TooLarge {
        /// Bytes in the file.
        bytes: u64,
        /// Bytes read at most.
        cap: u64,
    },
    /// No bytes, or only white space.
    Empty,
    /// Zero bytes in it.
    Binary,
    /// UTF-16 text.
    Utf16,
    /// Not UTF-8.
    NotUtf8 {
        /// Offset of the first bad byte, from 0.
        byte: usize,
    },
    /// The system could not read it.
    Unreadable(String),
    /// No kind or version in it.
    NoKind,
    /// Another kind of file.
    OtherKind {
        /// The word in its head.
        found: String,
        /// What is wanted.
        wanted: FileKind,
    },
    /// Written by a newer program.
    Newer {
        /// Its version.
        version: u32,
        /// Newest version read.
        reads: u32,
    },
    /// Version 0.
    NoSuchVersion(u32),
    /// Not the grammar, or any other fault of the reader.
    Syntax {
        /// Where.
        at: Spot,
        /// What the reader says.
        reason: String,
    },
    /// A value of another type.
    WrongType {
        /// Where.
        at: Spot,
        /// What the reader says.
        reason: String,
    },
    /// A field that the struct does not have.
    UnknownField {
        /// Where.
        at: Spot,
        /// Its name.
        found: String,
        /// The struct, where known.
        inside: Option<String>,
        /// Fields that look alike.
        candidates: Vec<String>,
    },
    /// A word that is none of a choice.
    UnknownWord {
        /// Where.
        at: Spot,
        /// The word.
        found: String,
        /// The choice.
        known: Vec<String>,
    },
    /// A field that is not there.
    MissingField {
        /// End of the struct.
        at: Spot,
        /// Its name.
        field: String,
        /// The struct, where known.
        inside: Option<String>,
    },
    /// A field twice.
    RepeatedField {
        /// Where.
        at: Spot,
        /// Its name.
        field: String,
    },
    /// Nested too deep.
    TooDeep {
        /// Where.
        at: Spot,
    },
    /// The text stops too early.
    CutOff {
        /// Where.
        at: Spot,
    },
    /// NaN, infinity or a number beyond f64.
    NotFinite {
        /// Where.
        at: Spot,
        /// As written.
        text: String,
    },
    /// A value that cannot be.
    Value {
        /// Path of the field, list places counted from 0.
        place: String,
        /// What is wrong and what to do, in words.
        reason: String,
    },
    /// The same number twice.
    RepeatedId {
        /// Path of the second.
        place: String,
        /// What carries it.
        what: &'static str,
        /// Number.
        id: u32,
    },
    /// A number that the counter has not reached.
    IdNotBelowNext {
        /// Path.
        place: String,
        /// What carries it.
        what: &'static str,
        /// Number.
        id: u32,
        /// The counter.
        next_id: u32,
    },
    /// The same record twice in one file.
    RepeatedRecord {
        /// Path.
        place: String,
        /// Kind of record.
        kind: String,
        /// Slug.
        id: String,
    },
    /// The same record in two files of one folder.
    RepeatedAcross {
        /// Kind of record.
        kind: String,
        /// Slug.
        id: String,
        /// The other file.
        first: String,
    },
    /// Something pointed to that is not there.
    NoSuch {
        /// Path of what points.
        place: String,
        /// What is looked for.
        what: String,
        /// Number or slug.
        id: String,
        /// Slugs that look alike.
        candidates: Vec<String>,
    },
    /// A shop's record that does not say which revision it replaces.
    UnsaidReplacement {
        /// Kind of record.
        kind: String,
        /// Slug.
        id: String,
        /// Revision.
        revision: u32,
    },
    /// The built-in catalogue cannot be read.
    BrokenBuild(String),
    /// No room to write.
    DiskFull,
    /// The system could not write it.
    NotWritten(String),
    /// A link to nothing.
    Dangling,
    /// Saving would overwrite a file of another kind.
    NotOurs(FileKind),
    /// What is to be saved is broken.
    WouldNotOpen(Box<Fault>),
    /// A mesh file format that is not read; its ending.
    MeshFormat(String),
    /// A faulty STL file.
    Stl(StlFault),
    /// A fault of the OBJ reader.
    Obj(ObjFault),
    /// A fault of the 3MF reader.
    ThreeMf(ThreeMfFault),
    /// A body that the mesh file does not have.
    NoSuchBody {
        /// The number asked for, from 1.
        wanted: usize,
        /// Bodies in the file.
        bodies: usize,
    },
    /// A mesh that cannot be measured, in words.
    Shape(String),
}

impl Fault {
    /// Line and column, where there is one.
    pub fn spot(&self) -> Option<Spot> {
        match self {
            Fault::Syntax { at, .. }
            | Fault::WrongType { at, .. }
            | Fault::UnknownField { at, .. }
            | Fault::UnknownWord { at, .. }
            | Fault::MissingField { at, .. }
            | Fault::RepeatedField { at, .. }
            | Fault::TooDeep { at }
            | Fault::CutOff { at }
            | Fault::NotFinite { at, .. } => Some(*at),
            _ => None,
        }
    }

    /// A value that cannot be, at a path.
    pub(super) fn value(place: impl Into<String>, reason: String) -> Fault {
        let place = place.into();
        Fault::Value { place, reason }
    }

    pub(super) fn reading(error: &io::Error) -> Fault {
        match error.kind() {
            io::ErrorKind::NotFound => Fault::NotFound,
            io::ErrorKind::PermissionDenied => Fault::Denied,
            io::ErrorKind::IsADirectory => Fault::Directory,
            _ => Fault::Unreadable(error.to_string()),
        }
    }

    pub(super) fn writing(error: &io::Error) -> Fault {
        match error.kind() {
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => Fault::DiskFull,
            io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => Fault::Denied,
            io::ErrorKind::IsADirectory => Fault::Directory,
            io::ErrorKind::NotFound => Fault::NotWritten(say::no_such_folder()),
            _ => Fault::NotWritten(error.to_string()),
        }
    }

    fn sentence(&self) -> String {
        match self {
            Fault::NotFound => say::not_found(),
            Fault::Denied => say::denied(),
            Fault::Directory => say::directory(),
            Fault::NotFolder => say::not_a_folder(),
            Fault::NotRegular => say::not_regular(),
            Fault::TooLarge { bytes, cap } => say::too_large(*bytes, *cap),
            Fault::Empty => say::empty(),
            Fault::Binary => say::binary(),
            Fault::Utf16 => say::utf16(),
            Fault::NotUtf8 { byte } => say::not_utf8(*byte),
            Fault::Unreadable(reason) => say::unreadable(reason),
            Fault::NoKind => say::no_kind(),
            Fault::OtherKind { found, wanted } => match FileKind::from_word(found) {
                Some(found) => say::other_kind(found.word(), wanted.word()),
                None => say::unknown_kind(found, wanted.word()),
            },
            Fault::Newer { version, reads } => say::newer(*version, *reads),
            Fault::NoSuchVersion(version) => say::no_such_version(*version),
            Fault::Syntax { reason, .. } => say::syntax(reason),
            Fault::WrongType { reason, .. } => say::wrong_type(reason),
            Fault::UnknownField {
                found,
                inside,
                candidates,
                ..
            } => say::unknown_field(found, inside.as_deref(), candidates),
            Fault::UnknownWord { found, known, .. } => say::unknown_word(found, known),
            Fault::MissingField { field, inside, .. } => {
                say::missing_field(field, inside.as_deref())
            }
            Fault::RepeatedField { field, .. } => say::repeated_field(field),
            Fault::TooDeep { .. } => say::too_deep(),
            Fault::CutOff { .. } => say::cut_off(),
            Fault::NotFinite { text, .. } => say::not_finite(text),
            Fault::Value { place, reason } => say::bad_value(place, reason),
            Fault::RepeatedId { place, what, id } => {
                say::bad_value(place, &say::repeated_id(what, *id))
            }
            Fault::IdNotBelowNext {
                place,
                what,
                id,
                next_id,
            } => say::bad_value(place, &say::id_not_below_next(what, *id, *next_id)),
            Fault::RepeatedRecord { place, kind, id } => {
                say::bad_value(place, &say::repeated_record(kind, id))
            }
            Fault::RepeatedAcross { kind, id, first } => say::repeated_across(kind, id, first),
            Fault::NoSuch {
                place,
                what,
                id,
                candidates,
            } => say::bad_value(place, &say::no_such(what, id, candidates)),
            Fault::UnsaidReplacement { kind, id, revision } => {
                say::unsaid_replacement(kind, id, *revision)
            }
            Fault::BrokenBuild(reason) => say::broken_build(reason),
            Fault::DiskFull => say::disk_full(),
            Fault::NotWritten(reason) => say::not_written(reason),
            Fault::Dangling => say::dangling(),
            Fault::NotOurs(wanted) => say::not_ours(wanted.word()),
            Fault::WouldNotOpen(fault) => say::would_not_open(&fault.to_string()),
            Fault::MeshFormat(extension) => say::mesh_format(extension),
            Fault::Stl(fault) => format!("{fault}."),
            Fault::Obj(fault) => format!("{fault}."),
            Fault::ThreeMf(fault) => format!("{fault}."),
            Fault::NoSuchBody { wanted, bodies } => {
                crate::text::meshes::no_such_body(*wanted, *bodies)
            }
            Fault::Shape(reason) => say::bad_shape(reason),
        }
    }
}

impl From<CatalogueFault> for Fault {
    fn from(fault: CatalogueFault) -> Fault {
        match fault {
            CatalogueFault::Syntax {
                line,
                column,
                reason,
                ..
            } => Fault::Syntax {
                at: Spot { line, column },
                reason,
            },
            CatalogueFault::Kind { kind, .. } => Fault::OtherKind {
                found: kind,
                wanted: FileKind::Catalogue,
            },
            CatalogueFault::Newer { version, .. } => Fault::Newer { version, reads: 1 },
            CatalogueFault::Duplicate { kind, id, .. } => Fault::RepeatedRecord {
                place: "records".to_owned(),
                kind: kind.to_owned(),
                id,
            },
            CatalogueFault::UnsaidReplacement {
                kind, id, revision, ..
            } => Fault::UnsaidReplacement {
                kind: kind.to_owned(),
                id,
                revision,
            },
            CatalogueFault::Unknown {
                place,
                kind,
                id,
                candidates,
            } => Fault::NoSuch {
                place,
                what: kind.to_owned(),
                id,
                candidates,
            },
            CatalogueFault::Number { place, reason } => {
                Fault::value(place, say::correct_it(&reason))
            }
            CatalogueFault::NoShopState => Fault::BrokenBuild(say::no_shop_state()),
        }
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sentence = self.sentence();
        match self.spot() {
            Some(spot) => f.write_str(&say::at(spot.line, spot.column, &sentence)),
            None => f.write_str(&sentence),
        }
    }
}

impl fmt::Display for FileFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let what = self.what.to_string();
        let said = match self.file.as_str() {
            "" => say::in_this_load(&what),
            file => say::in_file(file, &what),
        };
        // What is quoted from a file may hold line ends and a terminal's commands.
        f.write_str(&said.replace(char::is_control, " "))
    }
}

impl std::error::Error for FileFault {}

#[cfg(test)]
mod tests {
    use super::*;
    use io::ErrorKind as K;

    #[test]
    fn what_the_system_says_becomes_what_to_do() {
        let writing = |kind| Fault::writing(&io::Error::from(kind)).to_string();
        assert!(writing(K::StorageFull).contains("make room"));
        assert!(writing(K::QuotaExceeded).contains("make room"));
        assert!(writing(K::ReadOnlyFilesystem).contains("permissions"));
        assert!(writing(K::NotFound).contains("no such folder"));
        assert!(writing(K::Interrupted).contains("nothing was changed"));
        let reading = |kind| Fault::reading(&io::Error::from(kind));
        assert_eq!(reading(K::PermissionDenied), Fault::Denied);
        assert_eq!(reading(K::NotFound), Fault::NotFound);
        assert!(matches!(reading(K::Other), Fault::Unreadable(_)));
    }
}
