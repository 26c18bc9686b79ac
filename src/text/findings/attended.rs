//! Words of the checks of hours at which nobody is there.

use super::Prose;

/// One entry a check.
pub const PROSE: &[Prose] = &[
    Prose {
        check: "unattended-step",
        title: "Nobody there when somebody is needed",
        sentence: "Planned {when}, which is not all within the shop's attended hours: {what}.",
        why: "The load waits until somebody comes, and the furnace with it.",
        remedy: "Plan another start, or have somebody there.",
    },
    Prose {
        check: "hydrogen-change-unattended",
        title: "Hydrogen changes with nobody there",
        sentence: "Planned {when}, which is not all within the shop's attended hours: {what}.",
        why: "When a purge, a valve or the flame fails at that step, nobody is there to see it.",
        remedy: "Plan another start, so that somebody is there, and go by the furnace's written \
                 procedure.",
    },
];
