//! Words of the mass checks.

use super::Prose;

/// One entry a check.
pub const PROSE: &[Prose] = &[];
