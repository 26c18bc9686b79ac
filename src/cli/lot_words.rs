//! What a script line says of a lot.

use super::words::Words;
use crate::load::{Bath, Lot};
use crate::text::scripts as say;
use crate::units::Quantity;

type Result<T> = std::result::Result<T, String>;

/// Bath, dryer, times and papers, as far as the line names them.
pub(super) fn notes(words: &mut Words, lot: &mut Lot) -> Result<()> {
    for (key, field) in [
        ("feedstock-lot", &mut lot.feedstock_lot),
        ("feedstock-expires", &mut lot.feedstock_expires),
        ("certificate", &mut lot.certificate),
        ("balance", &mut lot.balance),
        ("green-at", &mut lot.green_at),
        ("previous-at", &mut lot.previous_dry_at),
        ("dry-at", &mut lot.dry_at),
    ] {
        if let Some(text) = words.text(key) {
            *field = Some(text);
        }
    }
    if let Some(factors) = words.numbers("oversize", ',')? {
        lot.oversize = Some(match factors.as_slice() {
            [all] => [*all; 3],
            [x, y, z] => [*x, *y, *z],
            _ => return Err(say::must_be("oversize", "one factor, or three for x,y,z")),
        });
    }
    if let Some(c) = words.quantity("dryer", Quantity::Temperature)? {
        lot.dryer_c = Some(c);
    }
    if let Some(yes) = words.yes_no("ventilated")? {
        lot.dryer_ventilated = Some(yes);
    }
    if let Some(yes) = words.yes_no("acid-purged")? {
        lot.acid_purged = Some(yes);
    }
    let mut bath = lot.bath.clone().unwrap_or_default();
    bath_notes(words, &mut bath)?;
    lot.bath = (bath != Bath::default()).then_some(bath);
    Ok(())
}

fn bath_notes(words: &mut Words, bath: &mut Bath) -> Result<()> {
    for (key, field) in [
        ("solvent", &mut bath.solvent),
        ("bath", &mut bath.bath_id),
        ("basket", &mut bath.basket),
        ("bath-ended", &mut bath.ended),
        ("solvent-expires", &mut bath.expires),
    ] {
        if let Some(text) = words.text(key) {
            *field = Some(text);
        }
    }
    for (key, quantity, field) in [
        ("bath-temp", Quantity::Temperature, &mut bath.temp_c),
        ("bath-time", Quantity::Time, &mut bath.minutes),
        ("wax-g-l", Quantity::Number, &mut bath.wax_g_l),
    ] {
        if let Some(value) = words.quantity(key, quantity)? {
            *field = Some(value);
        }
    }
    if let Some(yes) = words.yes_no("on-tray")? {
        bath.on_tray = Some(yes);
    }
    Ok(())
}
