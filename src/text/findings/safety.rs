//! Words of the safety checks.

use super::Prose;

/// One entry a check.
pub const PROSE: &[Prose] = &[];
