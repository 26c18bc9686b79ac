//! What can be wrong or odd with an STL file.

use crate::text::stl as say;
use std::fmt;

/// Something odd in a file that could be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum StlNote {
    /// A binary file goes on after the last promised triangle; the rest was left unread.
    ExtraBytes {
        /// Bytes after the last triangle.
        extra: u64,
    },
}

/// Why a file could not be read as STL. Triangles and lines count from 1.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum StlFault {
    /// The file has no bytes.
    Empty,
    /// UTF-16 text, as some editors save it.
    Utf16,
    /// Text that does not begin with `solid`.
    NotStl {
        /// The first word.
        found: String,
    },
    /// Not text, and too short for the 84 bytes before the first triangle.
    TooShort {
        /// Bytes in the file.
        length: u64,
    },
    /// Whole triangles follow the promised ones.
    SurplusTriangles {
        /// Triangles that the header promises.
        promised: u64,
        /// Triangles beyond them.
        extra: u64,
    },
    /// Binary with fewer bytes than its triangle count promises.
    MissingBytes {
        /// Triangles the header promises.
        promised: u32,
        /// Bytes that many triangles take, 84 + 50 n.
        needed: u64,
        /// Bytes in the file.
        length: u64,
    },
    /// Well formed, without a triangle in it.
    NoTriangles,
    /// A coordinate is NaN or infinite (or too large for f64).
    NotFinite {
        /// The triangle.
        triangle: usize,
        /// The line, in ASCII.
        line: Option<usize>,
    },
    /// ASCII: a coordinate is not a number.
    NotANumber {
        /// The line.
        line: usize,
        /// The triangle.
        triangle: usize,
        /// What stands in the number's place.
        found: String,
    },
    /// ASCII: a facet has more or fewer than three vertices.
    NotThreeVertices {
        /// The line where it shows.
        line: usize,
        /// The triangle.
        triangle: usize,
    },
    /// ASCII: a word other than the one that has to come next.
    Unexpected {
        /// The line.
        line: usize,
        /// What has to come next.
        expected: &'static str,
        /// The word found.
        found: String,
    },
    /// ASCII: the file stops before its solid is closed.
    CutOff {
        /// The last line.
        line: usize,
        /// What had to come next.
        expected: &'static str,
    },
}

impl fmt::Display for StlNote {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&match self {
            Self::ExtraBytes { extra } => say::extra_bytes(*extra),
        })
    }
}

impl fmt::Display for StlFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&match self {
            Self::Empty => say::empty(),
            Self::Utf16 => say::utf16(),
            Self::NotStl { found } => say::not_stl(found),
            Self::TooShort { length } => say::too_short(*length),
            Self::SurplusTriangles { promised, extra } => say::surplus(*promised, *extra),
            Self::MissingBytes {
                promised,
                needed,
                length,
            } => say::missing_bytes(*promised, *needed, *length),
            Self::NoTriangles => say::no_triangles(),
            Self::NotFinite { triangle, line } => say::not_finite(*triangle, *line),
            Self::NotANumber {
                line,
                triangle,
                found,
            } => say::not_a_number(*line, *triangle, found),
            Self::NotThreeVertices { line, triangle } => say::not_three(*line, *triangle),
            Self::Unexpected {
                line,
                expected,
                found,
            } => say::unexpected(*line, expected, found),
            Self::CutOff { line, expected } => say::cut_off(*line, expected),
        })
    }
}

impl std::error::Error for StlFault {}
