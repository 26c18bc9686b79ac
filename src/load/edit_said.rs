//! What an edit holds against what can be, of lots and of what people said.

use super::edit::{Refusal, check_day, check_positive, refuse};
use super::plan::{Bath, Lot, Signature};
use crate::catalogue::when;
use crate::profile::Approval;
use crate::text::edits as say;

type Result = std::result::Result<(), Refusal>;

/// No bath or dryer is hotter or colder, °C (assumed); as for files.
const MOST_C: f64 = 400.0;

pub(super) fn check_time(time: &str) -> Result {
    match when::time(time) {
        Some(_) => Ok(()),
        None => refuse(say::not_a_time(time)),
    }
}

fn check_moment(moment: &Option<String>) -> Result {
    match moment {
        Some(text) if when::moment(text).is_none() => refuse(say::not_a_moment(text)),
        _ => Ok(()),
    }
}

fn some_day(day: &Option<String>) -> Result {
    day.as_ref().map_or(Ok(()), |day| check_day(day))
}

fn check_temperature(what: &str, c: Option<f64>) -> Result {
    match c {
        Some(c) if !c.is_finite() || c.abs() > MOST_C => refuse(say::bad_temperature(what, c)),
        _ => Ok(()),
    }
}

fn not_negative(what: &str, value: Option<f64>) -> Result {
    match value {
        Some(value) if !(value.is_finite() && value >= 0.0) => {
            refuse(say::not_negative(what, value))
        }
        _ => Ok(()),
    }
}

/// Bath, dryer, times and factors of a lot.
pub(super) fn check_lot_notes(lot: &Lot) -> Result {
    some_day(&lot.feedstock_expires)?;
    for factor in lot.oversize.into_iter().flatten() {
        check_positive("oversize factor", factor)?;
    }
    check_moment(&lot.green_at)?;
    check_moment(&lot.previous_dry_at)?;
    check_moment(&lot.dry_at)?;
    check_temperature("temperature of the dryer", lot.dryer_c)?;
    lot.bath.as_ref().map_or(Ok(()), check_bath)
}

fn check_bath(bath: &Bath) -> Result {
    check_temperature("temperature of the bath", bath.temp_c)?;
    not_negative("time in the bath", bath.minutes)?;
    not_negative("wax content of the bath", bath.wax_g_l)?;
    check_moment(&bath.ended)?;
    some_day(&bath.expires)
}

pub(super) fn check_signature(signature: &Signature) -> Result {
    if signature.by.trim().is_empty() || signature.role.trim().is_empty() {
        return refuse(say::signature_needs_name());
    }
    check_day(&signature.on)?;
    signature.at.as_ref().map_or(Ok(()), |at| check_time(at))
}

pub(super) fn check_approval(approval: &Approval) -> Result {
    if approval.by.trim().is_empty() {
        return refuse(say::approval_needs_name());
    }
    check_day(&approval.on)
}

pub(super) fn check_validated(kg: &Option<[f64; 2]>) -> Result {
    let Some([least, most]) = *kg else {
        return Ok(());
    };
    check_positive("least charge tried", least)?;
    check_positive("greatest charge tried", most)?;
    if most < least {
        return refuse(say::range_turned_round(least, most));
    }
    Ok(())
}
