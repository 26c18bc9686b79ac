//! Files of version 1, frozen: structs that mirror what is saved, never what is worked with.
//!
//! A file written by these structs must open forever. To change one, copy this folder to `v2`,
//! change it there, and convert a file of version 1 on reading; never edit a field in place. Every
//! struct refuses unknown fields. The catalogue's records are frozen in `catalogue::v1` and stand
//! here as they are.

pub(super) mod load;
mod lot;
pub(super) mod part;
pub(super) mod profile;
pub(super) mod records;
mod said;

use super::fault::Fault;
use crate::catalogue::when;
use crate::text::files as say;

/// Coordinates beyond this are slips of the hand, mm; as for edits (assumed).
const FARTHEST_MM: f64 = 10_000.0;
/// Turns beyond this are slips of the hand, degrees; as for edits (assumed).
const MOST_DEG: f64 = 36_000.0;

/// A field in something; `place` is empty for what stands in the file itself.
fn path(place: &str, field: &str) -> String {
    if place.is_empty() {
        return field.to_owned();
    }
    format!("{place}.{field}")
}

fn positive(place: &str, field: &str, value: f64) -> Result<(), Fault> {
    if value.is_finite() && value > 0.0 {
        return Ok(());
    }
    Err(Fault::value(path(place, field), say::not_positive(value)))
}

fn some_positive(place: &str, field: &str, value: Option<f64>) -> Result<(), Fault> {
    value.map_or(Ok(()), |value| positive(place, field, value))
}

fn not_negative(place: &str, field: &str, value: f64) -> Result<(), Fault> {
    if value.is_finite() && value >= 0.0 {
        return Ok(());
    }
    Err(Fault::value(
        format!("{place}.{field}"),
        say::negative(value),
    ))
}

/// Refuses what is farther from zero than `most`, and NaN.
fn within(place: &str, field: &str, values: &[f64], most: f64, unit: &str) -> Result<(), Fault> {
    match values.iter().find(|v| v.is_nan() || v.abs() > most) {
        None => Ok(()),
        Some(value) => Err(Fault::value(
            format!("{place}.{field}"),
            say::beyond(*value, most, unit),
        )),
    }
}

fn count(place: &str, field: &str, value: u64) -> Result<usize, Fault> {
    usize::try_from(value).map_err(|_| {
        Fault::value(
            format!("{place}.{field}"),
            say::beyond(value as f64, usize::MAX as f64, ""),
        )
    })
}

fn day(place: &str, field: &str, text: &str) -> Result<(), Fault> {
    if when::day(text).is_some() {
        return Ok(());
    }
    Err(Fault::value(path(place, field), say::not_a_day(text)))
}

fn some_day(place: &str, field: &str, text: &Option<String>) -> Result<(), Fault> {
    text.as_ref().map_or(Ok(()), |t| day(place, field, t))
}

fn some_time(place: &str, field: &str, text: &Option<String>) -> Result<(), Fault> {
    match text {
        Some(t) if when::time(t).is_none() => {
            Err(Fault::value(path(place, field), say::not_a_time(t)))
        }
        _ => Ok(()),
    }
}

fn some_moment(place: &str, field: &str, text: &Option<String>) -> Result<(), Fault> {
    match text {
        Some(t) if when::moment(t).is_none() => {
            Err(Fault::value(path(place, field), say::not_a_moment(t)))
        }
        _ => Ok(()),
    }
}
