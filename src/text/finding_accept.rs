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

/// What has to be typed before a finding can be accepted.
pub fn still_needed(fields: &str) -> String {
    say(format!("Still needed: {fields}."))
}

/// An acceptance that does not hold: who gave it, when, and why not.
pub fn lapsed(by: &str, on: &str, why: &str) -> String {
    say(format!(
        "Accepted by {by} on {on}, which does not hold: {why}"
    ))
}

/// Why an acceptance does not hold: the limit.
pub fn other_limit() -> &'static str {
    "it was given for another limit, or for another value or revision of this one."
}

/// The value.
pub fn worse(then: &str, now: &str) -> String {
    format!("it was given at {then}, and now it is {now}.")
}

/// What is said beside the value.
pub fn rests_on_other() -> &'static str {
    "what the value rests on is not what it was."
}

/// What a finding without a number says.
pub fn otherwise() -> &'static str {
    "what it was given for is not as it was: its place, its size or its step has changed."
}

/// The day.
pub fn after_start() -> &'static str {
    "it is dated after the planned start."
}

/// The person.
pub fn not_entitled() -> &'static str {
    "the shop does regulated work, and there a role accepts that the person has, and is qualified \
     for on that day."
}

/// The procedure.
pub fn no_such_procedure() -> &'static str {
    "the furnace has no written procedure of that name and revision for this check in the shop's \
     own folder."
}

/// What regulated work asks of everybody.
pub fn asked_of_all() -> &'static str {
    "in regulated work nobody accepts that a signature, an approval, a certificate or a \
     qualification is missing."
}
