//! Words of taking a finding on.

use super::say;

/// What an acceptance holds for.
pub fn holds_for() -> String {
    say(
        "It holds for what the finding is about, for this limit and for this value or better, and \
         lapses otherwise.",
    )
}

/// Safety findings.
pub fn by_procedure_only() -> String {
    say(
        "This concerns people. No sentence waves it through: it is done under a written procedure \
         of the furnace, which prints on the sheet.",
    )
}

/// No procedure covers it.
pub fn no_procedure(from_the_load_alone: bool) -> String {
    say(match from_the_load_alone {
        true => {
            "What is known of this furnace came with the load, and its procedures do not count for \
             others. Choose the shop's own folder."
        }
        false => {
            "No written procedure on record for this furnace covers it. Licensed people write one; \
             it is then noted on the board Shop, Written procedures."
        }
    })
}

/// A procedure and its revision.
pub fn procedure(name: &str, revision: &str) -> String {
    say(format!("{name}, revision {revision}"))
}

/// Nobody takes it on.
pub fn role_needed() -> String {
    say("Name the role that takes it on first.")
}
