//! A load that began from a standard.

use super::{Row, bases, row};
use crate::checks_standard::begun;
use crate::fixture::Case;
use setterwright::catalogue::Severity::{Caution, Note};

/// Begun from a standard that was tried with this charge.
fn begun_and_tried(case: &mut Case) {
    begun(case);
    case.plan.validated_kg = Some([0.1, 1.0]);
}

/// Begun from a standard whose brackets have so many times the mass.
fn begun_with_brackets(case: &mut Case, times: f64) {
    begun(case);
    let standard = case.standard.as_mut().unwrap();
    let part = std::sync::Arc::make_mut(&mut standard.parts[0]);
    part.weighed.as_mut().unwrap().mass_g *= times;
}

pub fn rows() -> Vec<Row> {
    vec![
        row(
            "differs-from-standard",
            bases::argon,
            "a peak 1 K colder than the standard's",
            |c| {
                begun_and_tried(c);
                c.profile().segments[4].to_c -= 1.0;
            },
        )
        .weighs(Caution)
        .inside("a bracket 1 mm from its place, which is less", |c| {
            begun_and_tried(c);
            c.bracket().at_mm[0] -= 1.0;
        })
        .missing("the standard is not at hand", |c| {
            begun(c);
            c.standard = None;
        }),
        row(
            "moved-since-standard",
            bases::argon,
            "a bracket 1 mm from its place in the standard",
            |c| {
                begun_and_tried(c);
                c.bracket().at_mm[0] -= 1.0;
            },
        )
        .weighs(Note)
        .no_between("any distance is one")
        .missing("the standard is not at hand", |c| {
            begun(c);
            c.standard = None;
        }),
        row(
            "lighter-than-standard",
            bases::argon,
            "a standard with thrice as heavy brackets",
            |c| begun_with_brackets(c, 3.0),
        )
        .with(&["moved-since-standard"])
        .lapses(&["charge-outside-tried"])
        .weighs(Caution)
        .inside("a standard with 1.24 times as heavy brackets", |c| {
            begun_with_brackets(c, 1.24)
        })
        .missing("the standard is not at hand", |c| {
            begun(c);
            c.standard = None;
        }),
        row(
            "heavier-than-standard",
            bases::argon,
            "a standard with lighter brackets",
            |c| begun_with_brackets(c, 0.9),
        )
        .with(&["moved-since-standard"])
        .lapses(&["charge-outside-tried"])
        .weighs(Caution)
        .inside("a standard with brackets of 0.91 of the mass", |c| {
            begun_with_brackets(c, 0.91)
        })
        .missing("the standard is not at hand", |c| {
            begun(c);
            c.standard = None;
        }),
    ]
}
