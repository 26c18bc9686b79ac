//! Words of the checks of declarations.

use super::Prose;

/// One entry a check.
pub const PROSE: &[Prose] = &[
    Prose {
        check: "not-declared",
        title: "Not declared",
        sentence: "{question} Not declared: {how}.",
        why: "No plan can know it; somebody has to look and say so before the start.",
        remedy: "Look, and declare it under Declarations ({slug}).",
    },
    Prose {
        check: "declared-otherwise",
        title: "Declared not to be so",
        sentence: "{question} {by} declared: {answer}.",
        why: "Somebody looked and found it not as it has to be.",
        remedy: "Put it right, look again and declare it anew; follow the furnace's written \
                 procedure.",
    },
    Prose {
        check: "declaration-stale",
        title: "Declared too long ago",
        sentence: "{question} It was {how}.",
        why: "What was so then may have changed since.",
        remedy: "Look again and declare it anew.",
    },
];
