//! The arrangement: what it did, and why it cannot be searched. Numbers count from 1; the arguments are indices.

use super::{count, say};

/// Nothing to arrange on.
pub fn no_field() -> &'static str {
    "there is no setter to arrange on"
}

/// The margin leaves nothing.
pub fn no_room(field: usize) -> String {
    format!("the edge margin leaves no room on setter {}", field + 1)
}

/// An outline that cannot be used.
pub fn bad_outline(kind: usize) -> String {
    format!(
        "the outline of part kind {} crosses itself or encloses no area",
        kind + 1
    )
}

/// A fixed thing that cannot be used.
pub fn bad_fixed(field: usize) -> String {
    format!(
        "something that stands on setter {} has an outline that crosses itself or encloses no area",
        field + 1
    )
}

/// Masses, values or zones that do not go with the task.
pub fn bad_rules() -> &'static str {
    "the masses, values or zones given do not match the parts and setters"
}

/// The collision library stopped.
pub fn broken() -> &'static str {
    "the search broke off because of an internal fault; the load is unchanged"
}

/// The step's name in the history.
pub fn step() -> String {
    say("Arrange parts")
}

/// All is locked, or there is none.
pub fn nothing_to_move() -> &'static str {
    "the load has no part that may be moved"
}

/// A record or a body is missing.
pub fn not_known(name: &str) -> String {
    format!("{name} has no body or no record of its setter or posts, so nothing was moved")
}

/// The search gained nothing.
pub fn no_better() -> &'static str {
    "no layout with fewer setters or more parts was found; a longer search may find one"
}

/// The finished plan failed the clearance check.
pub fn check_failed() -> &'static str {
    "the layout found did not pass the clearance check, so nothing was moved"
}

/// What an arrangement of a load came to.
pub fn arranged(before: usize, after: usize, bound: usize) -> String {
    say(format!(
        "Parts on {} instead of {before}; by area no layout has fewer than {bound}.",
        count(after, "setter", "setters")
    ))
}

/// Pieces that waited.
pub fn added(added: usize, waiting: usize) -> String {
    say(format!(
        "{} of lots that waited placed, {waiting} left waiting.",
        count(added, "piece", "pieces")
    ))
}

/// Stops of the review before and after.
pub fn stops(before: usize, after: usize) -> String {
    say(format!(
        "Open stops in the review: {before} before, {after} after."
    ))
}

/// The layout would bring stops that were not there.
pub fn more_stops(before: usize, after: usize) -> String {
    format!(
        "the layout found has {} where the load had {before}, so nothing was written",
        count(after, "open stop", "open stops")
    )
}

/// Arranging a load failed; the reason is a finished clause.
pub fn not_arranged(reason: &str) -> String {
    say(format!("Not arranged: {reason}."))
}
