//! The checks, one file a family; the larger families have two.

mod approval;
mod atmosphere;
mod attended;
mod common;
mod debind;
mod declared;
mod forecast;
mod furnace_records;
pub(super) mod furniture;
mod geometry;
mod loosened;
mod lots_records;
mod mass;
mod measures;
mod mixing;
mod on_file;
mod on_paper;
mod order;
mod placing;
mod plausible;
mod pressures;
mod profile;
mod records;
mod regulated;
mod safety;
mod shape;
mod shop_names;
mod standard;
mod standing;
mod survey;
mod swelling;
#[cfg(test)]
mod tests;
mod thermometry;

pub(super) use debind::ramps_through;
pub use survey::thermocouple_limit;

use super::finding::Check;

/// All checks, family by family.
pub fn all_checks() -> impl Iterator<Item = &'static Check> {
    [
        safety::CHECKS,
        loosened::CHECKS,
        geometry::CHECKS,
        shape::CHECKS,
        swelling::CHECKS,
        furniture::CHECKS,
        standing::CHECKS,
        mass::CHECKS,
        debind::CHECKS,
        profile::CHECKS,
        atmosphere::CHECKS,
        mixing::CHECKS,
        records::CHECKS,
        survey::CHECKS,
        shop_names::CHECKS,
        standard::CHECKS,
        regulated::CHECKS,
        approval::CHECKS,
        lots_records::CHECKS,
        furnace_records::CHECKS,
        declared::CHECKS,
        forecast::CHECKS,
        measures::CHECKS,
        placing::CHECKS,
        pressures::CHECKS,
        plausible::CHECKS,
        order::CHECKS,
        attended::CHECKS,
        thermometry::CHECKS,
        on_paper::CHECKS,
        on_file::CHECKS,
    ]
    .into_iter()
    .flatten()
}

/// A check by its slug.
pub fn check_by_slug(slug: &str) -> Option<&'static Check> {
    all_checks().find(|check| check.slug == slug)
}
