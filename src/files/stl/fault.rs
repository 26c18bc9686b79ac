//! What can be wrong or odd with an STL file, and the sentence for it.

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
        match self {
            Self::ExtraBytes { extra } => write!(
                f,
                "{} after the last triangle left unread",
                counted(*extra, "byte")
            ),
        }
    }
}

impl fmt::Display for StlFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => write!(f, "the file is empty; export the part again"),
            Self::Utf16 => write!(
                f,
                "this is UTF-16 text; save the STL as binary or plain ASCII"
            ),
            Self::NotStl { found } => write!(
                f,
                "this is not an STL file: it is text that begins with \"{found}\", not with \
                 \"solid\"; export the part as STL"
            ),
            Self::TooShort { length } => write!(
                f,
                "the file has {}, fewer than the 84 in front of the first triangle of a binary \
                 STL; copy or export it again",
                counted(*length, "byte")
            ),
            Self::SurplusTriangles { promised, extra } => write!(
                f,
                "the header promises {promised} triangles and {extra} more follow; export the \
                 mesh again"
            ),
            Self::MissingBytes {
                promised,
                needed,
                length,
            } => write!(
                f,
                "the header promises {} ({needed} bytes) but the file has {}; it is cut off or \
                 not an STL, so copy or export it again",
                counted(u64::from(*promised), "triangle"),
                counted(*length, "byte")
            ),
            Self::NoTriangles => write!(
                f,
                "the file holds no triangles; export the part again with its body selected"
            ),
            Self::NotFinite { triangle, line } => {
                if let Some(line) = line {
                    write!(f, "line {line}: ")?;
                }
                write!(
                    f,
                    "triangle {triangle} has a coordinate that is not a finite number; repair the \
                     mesh or export it again"
                )
            }
            Self::NotANumber {
                line,
                triangle,
                found,
            } => write!(
                f,
                "line {line}: triangle {triangle} has \"{found}\" where a coordinate belongs; \
                 write numbers like 12.5 or 1.25e1, with a decimal point"
            ),
            Self::NotThreeVertices { line, triangle } => write!(
                f,
                "line {line}: facet {triangle} does not have exactly three vertices; export the \
                 part as triangles"
            ),
            Self::Unexpected {
                line,
                expected,
                found,
            } => write!(
                f,
                "line {line}: expected {expected} but found \"{found}\"; mend the line or export \
                 the part again"
            ),
            Self::CutOff { line, expected } => write!(
                f,
                "the file stops at line {line} where {expected} should follow; it is cut off, so \
                 copy or export it again"
            ),
        }
    }
}

impl std::error::Error for StlFault {}

fn counted(n: u64, noun: &str) -> String {
    let plural = if n == 1 { "" } else { "s" };
    format!("{n} {noun}{plural}")
}
