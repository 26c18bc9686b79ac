//! STL reader on bytes, binary and ASCII.
//!
//! Own reader because the general ones parse ASCII coordinates as f32, and of a damaged file tell
//! only "failed to fill whole buffer": not what is missing, nor where.
//!
//! Layout (common practice, no standard stands behind STL): binary is an 80-byte header, the number
//! of triangles n as a little-endian u32, then 50 bytes per triangle (normal and three vertices as
//! little-endian f32, two attribute bytes), 84 + 50 n bytes in all. Facet normals and attribute
//! bytes are skipped: the order of the vertices says which side is outside.

mod fault;

pub use fault::{StlFault, StlNote};

use super::quote::{self, QUOTE_CHARS};
use crate::text::stl as say;

const HEADER_BYTES: usize = 80;
const PREFIX_BYTES: usize = 84;
const TRIANGLE_BYTES: usize = 50;
/// How much of the file's start is looked at to tell text from binary.
const HEAD_BYTES: usize = 512;

/// What an STL file holds.
#[derive(Clone, Debug, PartialEq)]
pub struct StlFile {
    /// Three vertices per triangle in file order, in the file's unit (STL states none); finite, at
    /// least one triangle. Neither welded nor checked for closedness.
    pub triangles: Vec<[[f64; 3]; 3]>,
    /// How the file was written.
    pub format: StlFormat,
    /// ASCII: the first named solid's name. Binary: the header text. Without control characters,
    /// at most 80 bytes of the file; `None` when blank.
    pub name: Option<String>,
    /// Solids in the file, one for binary; all are read into `triangles`.
    pub solids: usize,
    /// What was odd but did not stand in the way.
    pub notes: Vec<StlNote>,
}

/// The two ways an STL file is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StlFormat {
    /// Little-endian f32 records.
    Binary,
    /// Keywords and decimal numbers.
    Ascii,
}

/// Reads a binary or ASCII STL file.
///
/// A file whose length is exactly 84 + 50 n is binary whatever its header says, `solid` included:
/// text cannot satisfy that below 8 GB, since four text bytes read as n are at least 0x0909_0909.
/// ASCII keywords may be in any case, lines may end in LF, CRLF or CR, a byte order mark is skipped.
///
/// # Errors
/// [`StlFault`] says what is wrong and where. Memory taken is bounded by the bytes given, not by
/// what the header promises.
pub fn read_stl(bytes: &[u8]) -> Result<StlFile, StlFault> {
    if bytes.is_empty() {
        return Err(StlFault::Empty);
    }
    if is_whole_binary(bytes) {
        return read_binary(bytes);
    }
    if is_utf16(bytes) {
        return Err(StlFault::Utf16);
    }
    let text = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let start = text.trim_ascii_start();
    let head = &text[..text.len().min(HEAD_BYTES)];
    let solid = starts_with_word(start, b"solid");
    // Stray control bytes in what is otherwise clearly ASCII belong to the text reader's faults.
    let facet = head.windows(5).any(|w| w.eq_ignore_ascii_case(b"facet"));
    if solid && (is_text(head) || facet) {
        return read_ascii(text);
    }
    if is_text(head) {
        let first = start.split(u8::is_ascii_whitespace).next();
        return Err(StlFault::NotStl {
            found: quoted(first.unwrap_or_default()),
        });
    }
    read_binary(bytes)
}

/// Whether bytes are STL beyond doubt: binary of the promised length, or `solid` and a facet.
pub(super) fn is_stl(bytes: &[u8]) -> bool {
    let text = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let head = &text[..text.len().min(HEAD_BYTES)];
    is_whole_binary(bytes)
        || starts_with_word(text.trim_ascii_start(), b"solid")
            && head.windows(5).any(|w| w.eq_ignore_ascii_case(b"facet"))
}

fn is_whole_binary(bytes: &[u8]) -> bool {
    promised_triangles(bytes).is_some_and(|n| binary_bytes(n) == bytes.len() as u64)
}

fn starts_with_word(bytes: &[u8], word: &[u8]) -> bool {
    bytes
        .get(..word.len())
        .is_some_and(|b| b.eq_ignore_ascii_case(word))
}

/// No control characters other than white space.
fn is_text(head: &[u8]) -> bool {
    head.iter().all(|b| *b >= b' ' || b.is_ascii_whitespace())
}

/// A UTF-16 byte order mark and a character below U+0100 behind it, or "so" in UTF-16 without one.
fn is_utf16(bytes: &[u8]) -> bool {
    match bytes {
        [0xFF, 0xFE, _, 0, ..] | [0xFE, 0xFF, 0, _, ..] | [0xFF, 0xFE] | [0xFE, 0xFF] => true,
        [s, 0, o, 0, ..] | [0, s, 0, o, ..] => [*s, *o].eq_ignore_ascii_case(b"so"),
        _ => false,
    }
}

fn promised_triangles(bytes: &[u8]) -> Option<u32> {
    let count = bytes.get(HEADER_BYTES..PREFIX_BYTES)?;
    Some(u32::from_le_bytes(count.try_into().ok()?))
}

fn binary_bytes(triangles: u32) -> u64 {
    PREFIX_BYTES as u64 + TRIANGLE_BYTES as u64 * u64::from(triangles)
}

fn read_binary(bytes: &[u8]) -> Result<StlFile, StlFault> {
    let length = bytes.len() as u64;
    let promised = promised_triangles(bytes).ok_or(StlFault::TooShort { length })?;
    if promised == 0 {
        return Err(StlFault::NoTriangles);
    }
    let needed = binary_bytes(promised);
    if length < needed {
        return Err(StlFault::MissingBytes {
            promised,
            needed,
            length,
        });
    }
    // `promised` is now known to fit the file, so it may size the allocation.
    let mut triangles = Vec::with_capacity(promised as usize);
    let (records, _) = bytes[PREFIX_BYTES..].as_chunks::<TRIANGLE_BYTES>();
    for record in records.iter().take(promised as usize) {
        let at = |i: usize| {
            f64::from(f32::from_le_bytes([
                record[i],
                record[i + 1],
                record[i + 2],
                record[i + 3],
            ]))
        };
        // The first 12 bytes are the normal.
        let triangle = [12, 24, 36].map(|i| [at(i), at(i + 4), at(i + 8)]);
        if !triangle.as_flattened().iter().all(|c| c.is_finite()) {
            return Err(StlFault::NotFinite {
                triangle: triangles.len() + 1,
                line: None,
            });
        }
        triangles.push(triangle);
    }
    let header = &bytes[..HEADER_BYTES];
    let mut notes = Vec::new();
    let extra = length.saturating_sub(needed);
    if extra >= TRIANGLE_BYTES as u64 && extra.is_multiple_of(TRIANGLE_BYTES as u64) {
        // Whole triangles beyond the promised ones: the count is wrong, and half a part is worse
        // than none.
        return Err(StlFault::SurplusTriangles {
            promised: triangles.len() as u64,
            extra: extra / TRIANGLE_BYTES as u64,
        });
    }
    if length > needed {
        notes.push(StlNote::ExtraBytes {
            extra: length - needed,
        });
    }
    Ok(StlFile {
        triangles,
        format: StlFormat::Binary,
        name: name_of(header.split(|b| *b == 0).next().unwrap_or_default()),
        solids: 1,
        notes,
    })
}

fn read_ascii(text: &[u8]) -> Result<StlFile, StlFault> {
    let mut words = Words {
        bytes: text,
        at: 0,
        line: 1,
    };
    let mut file = StlFile {
        triangles: Vec::new(),
        format: StlFormat::Ascii,
        name: None,
        solids: 0,
        notes: Vec::new(),
    };
    while let Some(word) = words.next_word() {
        if !word.eq_ignore_ascii_case(b"solid") {
            return Err(words.unexpected(say::SOLID_OR_END, word));
        }
        let name = name_of(words.rest_of_line());
        file.name = file.name.or(name);
        file.solids += 1;
        loop {
            let word = words.word(say::FACET_OR_END)?;
            if word.eq_ignore_ascii_case(b"facet") {
                let triangle = read_facet(&mut words, file.triangles.len() + 1)?;
                file.triangles.push(triangle);
            } else if word.eq_ignore_ascii_case(b"endsolid") {
                words.rest_of_line();
                break;
            } else {
                return Err(words.unexpected(say::FACET_OR_END, word));
            }
        }
    }
    if file.triangles.is_empty() {
        return Err(StlFault::NoTriangles);
    }
    Ok(file)
}

/// From behind `facet` to `endfacet`; `triangle` is its number.
fn read_facet(words: &mut Words<'_>, triangle: usize) -> Result<[[f64; 3]; 3], StlFault> {
    words.expect("\"normal\"")?;
    for _ in 0..3 {
        // Not parsed: some exporters write NaN normals for thin triangles.
        words.word(say::NORMAL)?;
    }
    words.expect("\"outer\"")?;
    words.expect("\"loop\"")?;
    let mut vertices = [[0.0; 3]; 3];
    for vertex in &mut vertices {
        let word = words.word("\"vertex\"")?;
        if word.eq_ignore_ascii_case(b"endloop") {
            return Err(words.not_three(triangle));
        }
        if !word.eq_ignore_ascii_case(b"vertex") {
            return Err(words.unexpected("\"vertex\"", word));
        }
        for coordinate in vertex {
            *coordinate = words.number(triangle)?;
        }
    }
    let word = words.word("\"endloop\"")?;
    if word.eq_ignore_ascii_case(b"vertex") {
        return Err(words.not_three(triangle));
    }
    if !word.eq_ignore_ascii_case(b"endloop") {
        return Err(words.unexpected("\"endloop\"", word));
    }
    words.expect("\"endfacet\"")?;
    Ok(vertices)
}

/// The words of a text, with the line they stand on.
struct Words<'a> {
    bytes: &'a [u8],
    at: usize,
    line: usize,
}

impl<'a> Words<'a> {
    fn next_word(&mut self) -> Option<&'a [u8]> {
        let mut rest = &self.bytes[self.at..];
        while let [first, after @ ..] = rest
            && first.is_ascii_whitespace()
        {
            // A CR counts as a line end only where no LF follows it.
            let ends = *first == b'\n' || (*first == b'\r' && after.first() != Some(&b'\n'));
            self.line += usize::from(ends);
            rest = after;
        }
        let length = rest.iter().position(u8::is_ascii_whitespace);
        let word = &rest[..length.unwrap_or(rest.len())];
        self.at = self.bytes.len() - rest.len() + word.len();
        (!word.is_empty()).then_some(word)
    }

    fn rest_of_line(&mut self) -> &'a [u8] {
        let rest = &self.bytes[self.at..];
        let length = rest.iter().position(|b| matches!(b, b'\r' | b'\n'));
        let line = &rest[..length.unwrap_or(rest.len())];
        self.at += line.len();
        line
    }

    fn word(&mut self, expected: &'static str) -> Result<&'a [u8], StlFault> {
        self.next_word().ok_or(StlFault::CutOff {
            line: self.line,
            expected,
        })
    }

    /// `expected` is the keyword in double quotes.
    fn expect(&mut self, expected: &'static str) -> Result<(), StlFault> {
        let word = self.word(expected)?;
        let keyword = expected.trim_matches('"').as_bytes();
        if word.eq_ignore_ascii_case(keyword) {
            Ok(())
        } else {
            Err(self.unexpected(expected, word))
        }
    }

    fn number(&mut self, triangle: usize) -> Result<f64, StlFault> {
        let word = self.word(say::COORDINATE)?;
        let parsed = str::from_utf8(word).ok().and_then(|w| w.parse().ok());
        let value: f64 = parsed.ok_or_else(|| StlFault::NotANumber {
            line: self.line,
            triangle,
            found: quoted(word),
        })?;
        if value.is_finite() {
            Ok(value)
        } else {
            Err(StlFault::NotFinite {
                triangle,
                line: Some(self.line),
            })
        }
    }

    fn unexpected(&self, expected: &'static str, word: &[u8]) -> StlFault {
        StlFault::Unexpected {
            line: self.line,
            expected,
            found: quoted(word),
        }
    }

    fn not_three(&self, triangle: usize) -> StlFault {
        StlFault::NotThreeVertices {
            line: self.line,
            triangle,
        }
    }
}

/// Up to 80 bytes as a name; `None` when nothing but blanks and control characters is there.
fn name_of(bytes: &[u8]) -> Option<String> {
    let bytes = bytes.trim_ascii();
    let bytes = &bytes[..bytes.len().min(HEADER_BYTES)];
    // As many characters at most, so that nothing is left out.
    let kept = quote::quoted(&String::from_utf8_lossy(bytes), HEADER_BYTES);
    let name = kept.trim();
    (!name.is_empty()).then(|| name.to_owned())
}

/// The start of a word, to stand between quotation marks in a fault.
fn quoted(word: &[u8]) -> String {
    // No character has more than four bytes; one more tells that something is left out.
    let start = &word[..word.len().min(4 * QUOTE_CHARS + 4)];
    quote::quoted(&String::from_utf8_lossy(start), QUOTE_CHARS)
}

#[cfg(test)]
mod tests;
