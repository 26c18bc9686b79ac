//! Words of the furniture checks.

use super::Prose;

/// One entry a check.
pub const PROSE: &[Prose] = &[];
