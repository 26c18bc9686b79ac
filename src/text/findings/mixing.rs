//! Words of the mixing checks.

use super::Prose;

/// One entry a check.
pub const PROSE: &[Prose] = &[];
