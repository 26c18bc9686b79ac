//! What can be wrong with a 3MF package.

use super::super::quote::quoted;
use crate::text::meshes as say;
use std::fmt;

/// How much of the reader's own words is told, in characters (assumed: they may quote the file).
const REASON_CHARS: usize = 200;

/// Why a file could not be read as 3MF. Vertices and triangles count from 1, objects have their
/// own numbers.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ThreeMfFault {
    /// No ZIP archive.
    NotPackage,
    /// No relationship names a model.
    NoModel,
    /// A file that the package points to is not in it.
    NoSuchFile(String),
    /// A file of the package cannot be unpacked.
    Damaged {
        /// The file.
        path: String,
        /// What the unpacker says.
        reason: String,
    },
    /// More than is read when unpacked.
    Unpacked {
        /// Bytes read at most.
        cap: u64,
    },
    /// Too many model files, components or triangles.
    TooMuch,
    /// Not XML.
    Xml {
        /// The file.
        path: String,
        /// What the reader says.
        reason: String,
    },
    /// Not UTF-8.
    NotUtf8(String),
    /// A document type, which the specification forbids.
    DocType(String),
    /// Another kind of XML.
    NotModel(String),
    /// The model is not closed.
    CutOff(String),
    /// A unit that the specification does not have.
    Unit(String),
    /// Model files in different units.
    TwoUnits {
        /// The root's.
        one: &'static str,
        /// Another's.
        other: &'static str,
    },
    /// The package requires an extension that is not read.
    Extension(String),
    /// A number that is missing or none.
    Number {
        /// The file.
        path: String,
        /// The attribute.
        name: String,
    },
    /// A vertex without three finite numbers.
    Vertex {
        /// The object.
        object: u32,
        /// The vertex.
        vertex: usize,
    },
    /// A triangle that names a vertex that is not there.
    Triangle {
        /// The object.
        object: u32,
        /// The triangle.
        triangle: usize,
        /// Vertices of the object.
        vertices: usize,
    },
    /// A transform that is none, or that flattens.
    Transform(String),
    /// An object number twice.
    TwiceObject {
        /// The file.
        path: String,
        /// The object.
        object: u32,
    },
    /// An object that is not there.
    NoSuchObject {
        /// The file.
        path: String,
        /// The object.
        object: u32,
    },
    /// An object that is a component of itself.
    HoldsItself {
        /// The object.
        object: u32,
    },
    /// Components nested too deep.
    TooDeep {
        /// Levels followed.
        most: usize,
    },
    /// No build item with a triangle.
    NothingPlaced,
    /// Coordinates that leave the range of numbers when transformed.
    TooLargeNumbers,
}

impl ThreeMfFault {
    pub(super) fn xml(path: &str, reason: &impl fmt::Display) -> ThreeMfFault {
        ThreeMfFault::Xml {
            path: path.to_owned(),
            reason: quoted(&reason.to_string(), REASON_CHARS),
        }
    }
}

impl fmt::Display for ThreeMfFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // Paths may hold line ends.
        f.write_str(&clean(match self {
            Self::NotPackage => say::mf_not_package(),
            Self::NoModel => say::mf_no_model(),
            Self::NoSuchFile(path) => say::mf_no_such_file(path),
            Self::Damaged { path, reason } => say::mf_damaged(path, reason),
            Self::Unpacked { cap } => say::mf_unpacked(*cap),
            Self::TooMuch => say::mf_too_much(),
            Self::Xml { path, reason } => say::mf_xml(path, reason),
            Self::NotUtf8(path) => say::mf_not_utf8(path),
            Self::DocType(path) => say::mf_doc_type(path),
            Self::NotModel(path) => say::mf_not_model(path),
            Self::CutOff(path) => say::mf_cut_off(path),
            Self::Unit(word) => say::mf_unit(word),
            Self::TwoUnits { one, other } => say::mf_two_units(one, other),
            Self::Extension(space) => say::mf_extension(space),
            Self::Number { path, name } => say::mf_number(path, name),
            Self::Vertex { object, vertex } => say::mf_vertex(*object, *vertex),
            Self::Triangle {
                object,
                triangle,
                vertices,
            } => say::mf_triangle(*object, *triangle, *vertices),
            Self::Transform(text) => say::mf_transform(text),
            Self::TwiceObject { path, object } => say::mf_twice(path, *object),
            Self::NoSuchObject { path, object } => say::mf_no_such_object(path, *object),
            Self::HoldsItself { object } => say::mf_holds_itself(*object),
            Self::TooDeep { most } => say::mf_too_deep(*most),
            Self::NothingPlaced => say::mf_nothing_placed(),
            Self::TooLargeNumbers => say::mf_too_large_numbers(),
        }))
    }
}

fn clean(said: String) -> String {
    quoted(&said, said.len())
}

impl std::error::Error for ThreeMfFault {}
