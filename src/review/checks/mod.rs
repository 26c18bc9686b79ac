//! The checks, one file a family; the larger families have two.

mod atmosphere;
mod common;
mod debind;
mod furniture;
mod geometry;
mod mass;
mod measures;
mod mixing;
mod order;
mod placing;
mod profile;
mod records;
mod safety;
mod shape;
mod standing;
mod survey;
#[cfg(test)]
mod tests;
mod thermometry;

pub use survey::thermocouple_limit;

use super::finding::Check;
use crate::units::Quantity;

/// Questions to a person that checks ask, by slug, each with what its answer has to be.
pub const QUESTIONS: [(&str, Quantity); 1] = [(safety::OVER_TEMPERATURE, Quantity::Temperature)];

/// All checks, family by family.
pub fn all_checks() -> impl Iterator<Item = &'static Check> {
    [
        safety::CHECKS,
        geometry::CHECKS,
        shape::CHECKS,
        furniture::CHECKS,
        standing::CHECKS,
        mass::CHECKS,
        debind::CHECKS,
        profile::CHECKS,
        atmosphere::CHECKS,
        mixing::CHECKS,
        records::CHECKS,
        survey::CHECKS,
        measures::CHECKS,
        placing::CHECKS,
        order::CHECKS,
        thermometry::CHECKS,
    ]
    .into_iter()
    .flatten()
}

/// A check by its slug.
pub fn check_by_slug(slug: &str) -> Option<&'static Check> {
    all_checks().find(|check| check.slug == slug)
}
