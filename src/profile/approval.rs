//! Who said that a profile may run.

use super::Profile;

/// An approval of a profile.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Approval {
    /// Revision approved.
    pub revision: String,
    /// Who.
    pub by: String,
    /// When, year-month-day.
    pub on: String,
    /// Slugs of the feedstocks for which it may run; none named is all.
    pub feedstocks: Vec<String>,
    /// Whether temperatures, steps or notes were changed since.
    pub changed: bool,
}

impl Profile {
    /// Whether both run alike: all but the name, the revision and who approved it.
    pub fn runs_as(&self, other: &Profile) -> bool {
        let Profile {
            name: _,
            revision: _,
            start_c,
            segments,
            unload_c,
            approval: _,
        } = self;
        *start_c == other.start_c && *segments == other.segments && *unload_c == other.unload_c
    }
}
