//! Swelling of parts whose binder has no first step: clearances are taken with it, and it is a
//! guess of ours.

use super::common::check;
use crate::catalogue::Severity::Note;
use crate::load::swell;
use crate::part::THERMAL_SWELL;
use crate::review::facts::Facts;
use crate::review::finding::{Check, Family, Report, Subject, number, text};
use crate::units::Quantity::Fraction;

/// The check.
pub const CHECKS: &[Check] = &[check(
    Family::Geometry,
    Note,
    "swelling-assumed",
    &[],
    swelling_assumed,
)];

fn swelling_assumed(facts: &Facts, report: &mut Report) {
    facts.unknown_records(report);
    for feedstock in facts.feedstocks.values() {
        if swell(feedstock, facts.catalogue) > 1.0 {
            report.found(
                vec![Subject::Named(feedstock.id.clone())],
                vec![
                    ("feedstock", text(&feedstock.name)),
                    ("swell", number(Fraction, THERMAL_SWELL, 1)),
                ],
            );
        }
    }
}
