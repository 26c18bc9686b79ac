//! Limits that stand in a record instead of the list of limits, and limits in another unit.

use super::facts::Facts;
use super::finding::Sense;
use crate::catalogue::{Kind, Limit, LimitContext, LimitScope, Record, ShopState};
use crate::load::{Lot, PartRecords};
use crate::text::limits;

/// A number of a record as a limit, with the record's own source, standing and revision. `field`
/// is the path that the record's provenance goes by; `unit` is as printed.
pub fn from_record<R: Record>(
    record: &R,
    field: &str,
    name: &str,
    value: f64,
    unit: &str,
) -> Limit {
    let (source, standing) = record.provenance(field);
    let id = record.id().to_owned();
    Limit {
        id: format!("{id}.{field}"),
        name: name.to_owned(),
        value,
        unit: unit.to_owned(),
        scope: match R::KIND {
            Kind::Feedstock => LimitScope::Feedstock(id),
            Kind::Alloy => LimitScope::Alloy(id),
            Kind::Furnace => LimitScope::Furnace(id),
            _ => LimitScope::BuiltIn,
        },
        set_by: limits::set_by_record(R::KIND.word(), record.name()),
        source: source.to_owned(),
        standing,
        revision: record.revision(),
        reason: String::new(),
        on_day: None,
        history: Vec::new(),
    }
}

/// What the state of the shop says, as a plain number, for a limit.
pub fn from_shop(shop: &ShopState, scope: LimitScope, id: String, name: &str, value: f64) -> Limit {
    Limit {
        id,
        name: name.to_owned(),
        value,
        unit: String::new(),
        scope,
        set_by: shop.name.clone(),
        source: shop.source.clone(),
        standing: shop.standing,
        revision: 1,
        reason: String::new(),
        on_day: None,
        history: Vec::new(),
    }
}

/// The limit to which an acceptance is bound: which, whose, how much and in which revision. Another
/// value is another limit, even where nobody counted the revision up.
pub fn limit_to_accept(limit: &Limit) -> String {
    let Limit {
        id,
        value,
        unit,
        scope,
        revision,
        ..
    } = limit;
    format!("{id} {scope:?} {value} {unit} r{revision}")
}

/// The same limit in another unit: its value times a factor.
pub fn scaled(limit: &Limit, factor: f64, unit: &str) -> Limit {
    Limit {
        value: limit.value * factor,
        unit: unit.to_owned(),
        ..limit.clone()
    }
}

/// A limit in per cent as a share, since a [`Fraction`](crate::units::Quantity::Fraction) is held
/// as one. A limit that is a share already stays.
pub fn as_share(limit: &Limit) -> Limit {
    if limit.unit == "%" {
        scaled(limit, 0.01, "")
    } else {
        limit.clone()
    }
}

impl<'a> Facts<'a> {
    /// Limit that holds for one lot: the customer's, where the lot has one, comes first.
    pub fn limit_for_lot(&self, id: &str, records: &PartRecords, lot: &Lot) -> Option<&'a Limit> {
        self.limit_in(
            id,
            LimitContext {
                customer: lot.customer.clone(),
                feedstock: Some(records.feedstock.id.clone()),
                alloy: Some(records.alloy.id.clone()),
                furnace: None,
            },
        )
    }
}

/// The narrower of a listed limit and the feedstock record's own: a limit that a customer set, or
/// that is listed for this feedstock, holds before the record, and the record before the rest. A
/// limit that the shop itself set holds where it is stricter than the record.
pub fn narrower(listed: Option<&Limit>, record: Option<Limit>, sense: Sense) -> Option<Limit> {
    if let (Some(limit), Some(own)) = (listed, &record)
        && limit.scope != LimitScope::BuiltIn
        && match sense {
            Sense::AtLeast => limit.value > own.value,
            Sense::AtMost => limit.value < own.value,
        }
    {
        return Some(limit.clone());
    }
    match listed {
        Some(limit)
            if matches!(
                limit.scope,
                LimitScope::Customer(_) | LimitScope::Feedstock(_)
            ) =>
        {
            Some(limit.clone())
        }
        _ => record.or_else(|| listed.cloned()),
    }
}
