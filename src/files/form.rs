//! RON in its one canonical form, and the reader's faults told apart.

use super::fault::{Fault, Spot};
use super::kind::FileKind;
use super::numbers::finite;
use ron::error::{Error, SpannedError};
use ron::extensions::Extensions;
use ron::ser::PrettyConfig;
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

fn options() -> ron::Options {
    ron::Options::default().with_default_extension(Extensions::IMPLICIT_SOME)
}

/// A value in canonical form: fields in the order of the struct, LF, shortest floats that read back
/// the same, lists without line breaks of their own, a final newline.
///
/// # Errors
/// The writer's own words; none of the structs used here makes it fail.
pub(super) fn canonical_ron<T: Serialize>(value: &T) -> Result<String, Fault> {
    let pretty = PrettyConfig::new()
        .new_line("\n")
        .indentor("  ")
        .struct_names(false)
        .compact_arrays(true);
    let text = options().to_string_pretty(value, pretty);
    let mut text = text.map_err(|error| Fault::NotWritten(error.to_string()))?;
    text.push('\n');
    Ok(text)
}

/// SHA-256 in lower-case hexadecimal.
pub fn sha256_hex(bytes: &[u8]) -> String {
    use std::fmt::Write;
    let mut out = String::with_capacity(64);
    for byte in Sha256::digest(bytes) {
        // Writing to a String does not fail.
        let _ = write!(out, "{byte:02x}");
    }
    out
}

/// The text in a file's bytes, without a byte order mark.
///
/// # Errors
/// Empty, UTF-16, zero bytes, or not UTF-8.
pub(super) fn text_of(bytes: &[u8]) -> Result<&str, Fault> {
    let printed = |c: &u8| c.is_ascii_graphic() || c.is_ascii_whitespace();
    let zero_after_ascii = |pair: &[u8]| matches!(pair, [0, c] | [c, 0] if printed(c));
    match bytes {
        [0xFF, 0xFE, ..] | [0xFE, 0xFF, ..] => return Err(Fault::Utf16),
        [a, b, c, d, ..] if zero_after_ascii(&[*a, *b]) && zero_after_ascii(&[*c, *d]) => {
            return Err(Fault::Utf16);
        }
        _ => {}
    }
    if bytes.contains(&0) {
        return Err(Fault::Binary);
    }
    let bare = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let text = std::str::from_utf8(bare).map_err(|error| {
        let good = bare.get(..error.valid_up_to()).unwrap_or_default();
        match error.error_len() {
            Some(_) => Fault::NotUtf8 {
                byte: good.len() + bytes.len() - bare.len(),
            },
            // Half a character at the very end.
            None => Fault::CutOff {
                at: end_of(&String::from_utf8_lossy(good)),
            },
        }
    })?;
    if text.trim().is_empty() {
        return Err(Fault::Empty);
    }
    Ok(text)
}

#[derive(Deserialize)]
struct Head {
    kind: String,
    version: u32,
}

/// The text behind a head of the wanted kind in a version that is read, and the version.
///
/// # Errors
/// Not our text, another kind, or a version that is not read.
pub(super) fn head(bytes: &[u8], wanted: FileKind, reads: u32) -> Result<(&str, u32), Fault> {
    let text = text_of(bytes)?;
    let head = kind_and_version(text)?;
    if head.kind != wanted.word() {
        let found = head.kind;
        return Err(Fault::OtherKind { found, wanted });
    }
    match head.version {
        0 => Err(Fault::NoSuchVersion(0)),
        version if version > reads => Err(Fault::Newer { version, reads }),
        version => Ok((text, version)),
    }
}

/// The kind that a file's head names, if it is one of ours.
pub(super) fn kind_of(bytes: &[u8]) -> Option<FileKind> {
    let head = kind_and_version(text_of(bytes).ok()?).ok()?;
    FileKind::from_word(&head.kind)
}

fn kind_and_version(text: &str) -> Result<Head, Fault> {
    options().from_str(text).map_err(|error| match &error.code {
        Error::MissingStructField { .. }
        | Error::ExpectedStructLike
        | Error::ExpectedNamedStructLike(_)
        | Error::ExpectedDifferentStructName { .. } => Fault::NoKind,
        _ => fault(text, error),
    })
}

/// Reads a text whose head was looked at.
///
/// # Errors
/// What is wrong, with line and column; numbers that are not finite too.
pub(super) fn parse<T: DeserializeOwned>(text: &str) -> Result<T, Fault> {
    finite(text)?;
    options().from_str(text).map_err(|error| fault(text, error))
}

fn fault(text: &str, error: SpannedError) -> Fault {
    let spot = |at: ron::error::Position| Spot {
        line: at.line,
        column: at.col,
    };
    let at = onward(text, spot(error.span.start));
    let words = |known: &[&str]| known.iter().map(|w| (*w).to_owned()).collect::<Vec<_>>();
    match error.code {
        Error::NoSuchStructField {
            expected,
            found,
            outer,
        } => Fault::UnknownField {
            at,
            candidates: crate::text::nearest(&found, expected.iter().copied(), 3),
            found,
            inside: outer,
        },
        Error::NoSuchEnumVariant {
            expected, found, ..
        } => Fault::UnknownWord {
            at,
            found,
            known: words(expected),
        },
        Error::MissingStructField { field, outer } => Fault::MissingField {
            at: spot(error.span.end),
            field: field.to_owned(),
            inside: outer,
        },
        Error::DuplicateStructField { field, .. } => Fault::RepeatedField {
            at,
            field: field.to_owned(),
        },
        Error::ExceededRecursionLimit => Fault::TooDeep { at },
        Error::Eof | Error::ExpectedStringEnd | Error::UnclosedBlockComment => Fault::CutOff { at },
        _ if ends_at(text, error.span.end) => Fault::CutOff {
            at: spot(error.span.end),
        },
        code @ (Error::InvalidValueForType { .. }
        | Error::ExpectedDifferentLength { .. }
        | Error::IntegerOutOfBounds
        | Error::ExpectedInteger
        | Error::ExpectedFloat
        | Error::ExpectedBoolean
        | Error::ExpectedString
        | Error::ExpectedArray
        | Error::ExpectedOption
        | Error::ExpectedMap
        | Error::ExpectedStructLike
        | Error::ExpectedNamedStructLike(_)
        | Error::ExpectedUnit) => Fault::WrongType {
            at,
            reason: code.to_string(),
        },
        code => Fault::Syntax {
            at,
            reason: code.to_string(),
        },
    }
}

/// The place behind a text.
fn end_of(text: &str) -> Spot {
    let last = text.rsplit('\n').next().unwrap_or_default();
    Spot {
        line: text.matches('\n').count() + 1,
        column: last.chars().count() + 1,
    }
}

/// The first place from `at` on that is not white space: the reader names a value it does not
/// like by the space before it.
fn onward(text: &str, at: Spot) -> Spot {
    let mut lines = text.split('\n').zip(1..).skip(at.line.saturating_sub(1));
    let mut from = at.column.saturating_sub(1);
    lines
        .find_map(|(line, number)| {
            let skip = std::mem::take(&mut from);
            let mut chars = line.chars().enumerate().skip(skip);
            let (column, _) = chars.find(|(_, c)| !c.is_whitespace())?;
            Some(Spot {
                line: number,
                column: column + 1,
            })
        })
        .unwrap_or(at)
}

/// Whether nothing but white space follows a position.
fn ends_at(text: &str, at: ron::error::Position) -> bool {
    let mut lines = text.split('\n').skip(at.line.saturating_sub(1));
    let rest = lines.next().unwrap_or_default();
    let mut rest = rest.chars().skip(at.col.saturating_sub(1));
    rest.all(char::is_whitespace) && lines.all(|line| line.trim().is_empty())
}
