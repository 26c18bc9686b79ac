//! Limits that stand in records, read by the path of their field.

use crate::catalogue::{Catalogue, Kind, Record, Standing, Table};
use serde::Serialize;

/// A limit of one record.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RecordedLimit {
    /// Name of the record.
    pub record: String,
    /// Path of its field.
    pub field: &'static str,
    /// Its value, as the record writes it.
    pub value: String,
    /// Key into the bibliography.
    pub source: String,
    /// Its standing.
    pub standing: Standing,
}

/// What the records of a kind say under a path, record by record; those without it are left out.
pub fn limits_in(catalogue: &Catalogue, kind: Kind, field: &'static str) -> Vec<RecordedLimit> {
    match kind {
        Kind::Alloy => in_table(&catalogue.alloys, field),
        Kind::Binder => in_table(&catalogue.binders, field),
        Kind::Feedstock => in_table(&catalogue.feedstocks, field),
        Kind::Material => in_table(&catalogue.materials, field),
        Kind::Setter => in_table(&catalogue.setters, field),
        Kind::Post => in_table(&catalogue.posts, field),
        Kind::Support => in_table(&catalogue.supports, field),
        Kind::Furnace => in_table(&catalogue.furnaces, field),
        Kind::Gas => in_table(&catalogue.gases, field),
    }
}

fn in_table<R: Record>(table: &Table<R>, field: &'static str) -> Vec<RecordedLimit> {
    let pointer = format!("/{}", field.replace('.', "/"));
    let of = |record: &R| {
        let whole = serde_json::to_value(record).ok()?;
        let value = whole.pointer(&pointer).filter(|v| !v.is_null())?;
        let (source, standing) = record.provenance(field);
        Some(RecordedLimit {
            record: record.name().to_owned(),
            field,
            value: written(value),
            source: source.to_owned(),
            standing,
        })
    };
    table
        .values()
        .filter_map(|(_, record)| of(record))
        .collect()
}

/// A value of a record in one line.
fn written(value: &serde_json::Value) -> String {
    use serde_json::Value;
    match value {
        Value::String(text) => text.clone(),
        Value::Array(list) => {
            let each: Vec<String> = list.iter().map(written).collect();
            each.join("; ")
        }
        Value::Object(fields) => {
            let each = fields
                .iter()
                .map(|(name, v)| format!("{name} {}", written(v)));
            each.collect::<Vec<_>>().join(", ")
        }
        other => other.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::builtin;
    use crate::review::{RECORDED, Recorded};

    #[test]
    fn every_field_is_in_a_built_in_record() {
        let (catalogue, _) = builtin().unwrap();
        for (_, place) in RECORDED {
            // Not every one is: no built-in furnace is a pressure vessel.
            if let Recorded::Record(kind, field) = place
                && *field != "pressure_max_mbar"
            {
                let found = limits_in(&catalogue, *kind, field);
                assert!(!found.is_empty(), "{} {field}", kind.word());
            }
        }
        let ramps = limits_in(&catalogue, Kind::Feedstock, "ramp_limits");
        let wax = ramps.iter().find(|l| l.record.contains("316L")).unwrap();
        assert!(wax.value.contains("section_up_to_mm 3"), "{}", wax.value);
    }
}
