//! Words of the records checks.

use super::Prose;

/// One entry a check.
pub const PROSE: &[Prose] = &[];
