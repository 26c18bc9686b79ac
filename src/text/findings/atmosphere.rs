//! Words of the atmosphere checks.

use super::Prose;

/// One entry a check.
pub const PROSE: &[Prose] = &[];
