//! Words of the profile checks.

use super::Prose;

/// One entry a check.
pub const PROSE: &[Prose] = &[];
