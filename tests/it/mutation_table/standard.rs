//! A load that began from a standard.

use super::{Row, bases, row};
use crate::checks_standard::begun;
use crate::fixture::Case;

/// Begun from a standard that was tried with this charge.
fn begun_and_tried(case: &mut Case) {
    begun(case);
    case.plan.validated_kg = Some([0.1, 1.0]);
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
        ),
        row(
            "moved-since-standard",
            bases::argon,
            "a bracket 1 mm from its place in the standard",
            |c| {
                begun_and_tried(c);
                c.bracket().at_mm[0] -= 1.0;
            },
        ),
        row(
            "lighter-than-standard",
            bases::argon,
            "a standard with thrice as heavy brackets",
            |c| {
                begun(c);
                let standard = c.standard.as_mut().unwrap();
                let part = std::sync::Arc::make_mut(&mut standard.parts[0]);
                part.weighed.as_mut().unwrap().mass_g *= 3.0;
            },
        )
        .with(&["moved-since-standard"])
        .lapses(&["charge-outside-tried"]),
        row(
            "heavier-than-standard",
            bases::argon,
            "a standard with lighter brackets",
            |c| {
                begun(c);
                let standard = c.standard.as_mut().unwrap();
                let part = std::sync::Arc::make_mut(&mut standard.parts[0]);
                part.weighed.as_mut().unwrap().mass_g *= 0.9;
            },
        )
        .with(&["moved-since-standard"])
        .lapses(&["charge-outside-tried"]),
    ]
}
