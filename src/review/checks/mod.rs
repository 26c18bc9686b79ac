//! The checks, one file a family.

mod atmosphere;
mod debind;
mod furniture;
mod geometry;
mod mass;
mod mixing;
mod profile;
mod records;
mod safety;
#[cfg(test)]
mod tests;

use super::finding::Check;

/// All checks, family by family.
pub fn all_checks() -> impl Iterator<Item = &'static Check> {
    [
        safety::CHECKS,
        geometry::CHECKS,
        furniture::CHECKS,
        mass::CHECKS,
        debind::CHECKS,
        profile::CHECKS,
        atmosphere::CHECKS,
        mixing::CHECKS,
        records::CHECKS,
    ]
    .into_iter()
    .flatten()
}

/// A check by its slug.
pub fn check_by_slug(slug: &str) -> Option<&'static Check> {
    all_checks().find(|check| check.slug == slug)
}
