//! Words of the checks of a profile's approval.

use super::Prose;

/// One entry a check.
pub const PROSE: &[Prose] = &[
    Prose {
        check: "profile-not-approved",
        title: "Profile not approved",
        sentence: "Profile {profile}: {how}.",
        why: "The shop runs nothing by a program that nobody with the say has looked at.",
        remedy: "Have it approved for what is in the load, or run an approved one.",
    },
    Prose {
        check: "profile-changed-since-approval",
        title: "Profile changed since its approval",
        sentence: "Profile {profile} was approved as revision {approved} by {by} on {on}, {how}.",
        why: "What was approved is another program than the one that would run.",
        remedy: "Have it approved as it is, or take the approved one.",
    },
];
