//! Limits that stand in a record or in the state of the shop instead of the list of limits: which
//! condition reads which.

use crate::catalogue::{self, Catalogue, Kind, Standing, Table};

/// Where a limit stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Recorded {
    /// In each record of a kind, under a path of fields.
    Record(Kind, &'static str),
    /// In the state of the shop, under a field.
    Shop(&'static str),
}

use Recorded::{Record, Shop};

const FEEDSTOCK: Kind = Kind::Feedstock;
const FURNACE: Kind = Kind::Furnace;

/// Where the limits of a condition stand, besides the list.
pub fn recorded(slug: &str) -> impl Iterator<Item = Recorded> {
    let found = RECORDED.iter().filter(move |(of, _)| of.contains(&slug));
    found.map(|(_, place)| *place)
}

/// A limit of one record.
#[derive(Clone, Debug, PartialEq)]
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
    /// Revision of the record.
    pub revision: u32,
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

fn in_table<R: catalogue::Record>(table: &Table<R>, field: &'static str) -> Vec<RecordedLimit> {
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
            revision: record.revision(),
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

/// By place: the conditions that read it.
const RECORDED: &[(&[&str], Recorded)] = &[
    (
        &[
            "peak-below-sinter-range",
            "no-setpoint-exists",
            "peak-below-usable-setpoints",
        ],
        Record(FEEDSTOCK, "sinter.from_c"),
    ),
    (
        &[
            "peak-above-sinter-range",
            "no-setpoint-exists",
            "peak-above-usable-setpoints",
            "hot-spot-over-range",
        ],
        Record(FEEDSTOCK, "sinter.to_c"),
    ),
    (
        &["sinter-hold-short", "sinter-hold-short-at-coldest"],
        Record(FEEDSTOCK, "sinter.hold_min_min"),
    ),
    (
        &["sinter-hold-long"],
        Record(FEEDSTOCK, "sinter.hold_max_min"),
    ),
    (
        &["densifying-ramp-too-fast"],
        Record(FEEDSTOCK, "sinter.rate_max_k_min"),
    ),
    (
        &["ramp-too-fast-for-section", "ramp-far-too-fast-for-section"],
        Record(FEEDSTOCK, "ramp_limits"),
    ),
    (
        &["cooling-too-slow"],
        Record(FEEDSTOCK, "cooling.slowest_k_min"),
    ),
    (
        &["cooling-too-fast"],
        Record(FEEDSTOCK, "cooling.fastest_k_min"),
    ),
    (
        &[
            "extraction-too-low",
            "extraction-low",
            "extraction-centre-low",
        ],
        Record(FEEDSTOCK, "extraction_floor"),
    ),
    (&["sweep-too-low"], Record(FEEDSTOCK, "sweep_volumes_per_h")),
    (&["sweep-too-low"], Record(FURNACE, "sweep_min_l_min_25c")),
    (&["ramp-beyond-furnace"], Record(FURNACE, "ramp_max_k_min")),
    (
        &["cooling-beyond-furnace"],
        Record(FURNACE, "cooling_max_k_min"),
    ),
    (
        &[
            "target-above-furnace",
            "over-temperature-above-furnace",
            "survey-above-furnace",
        ],
        Record(FURNACE, "max_c"),
    ),
    (
        &["too-many-segments"],
        Record(FURNACE, "controller.segments_max"),
    ),
    (
        &["hold-beyond-controller"],
        Record(FURNACE, "controller.hold_max_min"),
    ),
    (
        &["target-not-typable"],
        Record(FURNACE, "controller.target_step_c"),
    ),
    (
        &["rate-not-typable"],
        Record(FURNACE, "controller.rate_step_k_min"),
    ),
    (
        &["hold-not-typable"],
        Record(FURNACE, "controller.hold_step_min"),
    ),
    (
        &["residual-binder-over-furnace-rating"],
        Record(FURNACE, "binder_rating_g"),
    ),
    (
        &["load-over-furnace-mass"],
        Record(FURNACE, "mass_rating_kg"),
    ),
    (
        &["pressure-above-furnace"],
        Record(FURNACE, "pressure_max_mbar"),
    ),
    (&["pressure-below-pump-floor"], Record(FURNACE, "pump")),
    (
        &["pressure-below-floor"],
        Record(Kind::Alloy, "pressure_floor_mbar"),
    ),
    (
        &["carbon-near-range"],
        Record(Kind::Alloy, "carbon_min_pct"),
    ),
    (
        &["carbon-near-range"],
        Record(Kind::Alloy, "carbon_max_pct"),
    ),
    (
        &["mass-over-setter-rating"],
        Record(Kind::Setter, "rated_load_kg"),
    ),
    (&["setter-temperature"], Record(Kind::Setter, "rated_c")),
    (&["setter-temperature"], Record(Kind::Post, "rated_c")),
    (&["plate-may-crack"], Record(Kind::Material, "strength_mpa")),
    (
        &[
            "setters-out-of-stock",
            "posts-out-of-stock",
            "supports-out-of-stock",
        ],
        Shop("stock"),
    ),
    (&["gas-supply-short"], Shop("furnaces: gases")),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::builtin;
    use crate::review::check_by_slug;

    #[test]
    fn every_place_is_there_and_read_by_a_check() {
        let (catalogue, _) = builtin().unwrap();
        for (slugs, place) in RECORDED {
            for slug in *slugs {
                assert!(check_by_slug(slug).is_some(), "{slug}");
            }
            // Not every field is in a built-in record: a built-in furnace is no pressure vessel.
            if let Record(kind, field) = place
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
