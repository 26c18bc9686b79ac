//! Standing cautions of records.

use super::say;

/// Heading.
pub fn head() -> String {
    say("What the gases, binders and alloys of this run ask for")
}

/// A record's caution.
pub fn of(record: &str, words: &str) -> String {
    say(format!("{record}: {words}"))
}

/// Whose word holds.
pub fn defer() -> String {
    say(
        "The furnace's written procedure, local codes and licensed people come before anything \
         said here.",
    )
}
