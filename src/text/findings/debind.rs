//! Words of the debind checks.

use super::Prose;

/// One entry a check.
pub const PROSE: &[Prose] = &[];
