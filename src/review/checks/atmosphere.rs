//! Atmosphere.

use crate::review::finding::Check;

/// The family's checks.
pub const CHECKS: &[Check] = &[];
