//! Figures that a forecast used, each with its record, source and standing.

use crate::catalogue::{Record, Standing};
use crate::forecast::constants::Constant;
use crate::forecast::curve::Curve;
use crate::load::{Extracted, ExtractedBy};

/// What stands in for a figure, as its source says it.
const GENERIC: &str = "usual value";

/// Collects figures as they are read.
#[derive(Clone, Debug, Default)]
pub(super) struct Figures {
    all: Vec<Constant>,
}

impl Figures {
    /// All, in the order of records and fields.
    pub(super) fn into_all(mut self) -> Vec<Constant> {
        self.all
            .sort_by(|a, b| (&a.record, &a.name).cmp(&(&b.record, &b.name)));
        self.all
            .dedup_by(|a, b| (&a.record, &a.name) == (&b.record, &b.name));
        self.all
    }

    /// Notes a figure.
    pub(super) fn push(
        &mut self,
        record: String,
        name: String,
        value: f64,
        unit: &str,
        source: &str,
        standing: Standing,
    ) {
        self.all.push(Constant {
            name,
            value,
            unit: unit.to_owned(),
            standing,
            source: source.to_owned(),
            record,
        });
    }

    /// Notes a figure of a record and gives it back.
    pub(super) fn of<R: Record>(&mut self, record: &R, field: &str, unit: &str, value: f64) -> f64 {
        let (source, standing) = record.provenance(field);
        self.push(
            named(record),
            field.to_owned(),
            value,
            unit,
            source,
            standing,
        );
        value
    }

    /// Notes a figure of a table over something else than K, and gives it back.
    pub(super) fn at<R: Record>(
        &mut self,
        record: &R,
        field: &str,
        at: &str,
        unit: &str,
        value: f64,
    ) -> f64 {
        let (source, standing) = record.provenance(field);
        let name = format!("{field} at {at}");
        self.push(named(record), name, value, unit, source, standing);
        value
    }

    /// Notes a figure that a record leaves out and that follows from others of it, and gives it
    /// back.
    pub(super) fn derived<R: Record>(
        &mut self,
        record: &R,
        field: &str,
        unit: &str,
        value: f64,
        others: &str,
    ) -> f64 {
        let (name, standing) = (field.to_owned(), Standing::Derived);
        self.push(named(record), name, value, unit, others, standing);
        value
    }

    /// Notes what is out of a lot, or of pieces without one.
    pub(super) fn extracted(&mut self, of: String, extracted: &Extracted) {
        let (source, standing) = match extracted.by {
            ExtractedBy::Weighing => ("weighings", Standing::Shop),
            ExtractedBy::Bath => ("record of the bath", Standing::Derived),
            ExtractedBy::Assumption => ("target of the feedstock", Standing::Assumed),
        };
        let name = "first_step_binder_out".to_owned();
        self.push(of, name, extracted.share, "", source, standing);
    }

    /// A figure of a record, or what usually stands for it.
    pub(super) fn or<R: Record>(
        &mut self,
        record: &R,
        field: &str,
        unit: &str,
        value: Option<f64>,
        usual: f64,
    ) -> f64 {
        match value {
            Some(value) => self.of(record, field, unit, value),
            None => {
                let name = field.to_owned();
                self.push(named(record), name, usual, unit, GENERIC, Standing::Assumed);
                usual
            }
        }
    }

    /// A table over K of a record, or what usually stands for it.
    pub(super) fn table<R: Record>(
        &mut self,
        record: &R,
        field: &str,
        unit: &str,
        points: &[(f64, f64)],
        usual: &[(f64, f64)],
    ) -> Curve {
        let (points, (source, standing)) = if points.is_empty() {
            (usual, (GENERIC, Standing::Assumed))
        } else {
            (points, record.provenance(field))
        };
        for &(k, value) in points {
            let name = format!("{field} at {k} K");
            self.push(named(record), name, value, unit, source, standing);
        }
        Curve::new(points).unwrap_or_else(|| Curve::constant(0.0))
    }
}

fn named<R: Record>(record: &R) -> String {
    format!("{} {}", R::KIND.word(), record.id())
}
