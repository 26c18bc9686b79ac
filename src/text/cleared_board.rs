//! Words of the board of lots and furnace state.

use super::{count, say};

/// No lot.
pub fn no_lot() -> String {
    say("The load has no lots. Paste them from a table below, or add one beside a part.")
}

/// A lot and its part.
pub fn lot_row(lot: &str, part: &str, pieces: u32) -> String {
    say(format!(
        "Lot {lot}: {} of {part}",
        count(pieces as usize, "piece", "pieces")
    ))
}

/// Nothing stands against a lot.
pub fn cleared() -> String {
    say("Cleared to load: weighed, extracted and dry within their limits.")
}

/// No stop, but cautions.
pub fn to_look_at(what: &[String]) -> String {
    say(format!(
        "No stop; to be looked at first: {}",
        what.join("; ")
    ))
}

/// What stands against a lot.
pub fn not_cleared(why: &[String]) -> String {
    say(format!("Not cleared: {}", why.join("; ")))
}

/// What could not be judged of a lot.
pub fn not_evaluated(count_of: usize) -> String {
    say(format!(
        "Not cleared: {} not known",
        count(count_of, "thing is", "things are")
    ))
}

/// A datum that is missing.
pub fn missing(what: &str) -> String {
    say(format!("missing: {what}"))
}

/// How to bring in a table.
pub fn paste_here(columns: &[&str]) -> String {
    say(format!(
        "Paste cells from a spreadsheet, or let a scanner type here. The first row names the \
         columns, in any order, units behind a name or in a cell: {}. A lot that is there already \
         is changed, empty cells change nothing.",
        columns.join(", ")
    ))
}

/// What a table looks like.
pub fn paste_hint() -> String {
    say("lot\tpart\tpieces\tgreen mass (g)\tdry mass (g)")
}

/// Without a shop folder a furnace has no state.
pub fn no_shop_folder() -> String {
    say(
        "What is known of a furnace (survey, calibrations, trap, gas on hand) belongs to the shop \
         and is kept in its folder. Choose the folder first.",
    )
}

/// What regulated means.
pub fn regulated_hint() -> String {
    say(
        "Asks for signatures, certificates and qualified people, and makes overdue surveys and \
         calibrations a stop.",
    )
}

/// No survey.
pub fn no_survey() -> String {
    say("No survey is on record. Type its day to begin one.")
}

/// A surveyed temperature.
pub fn survey_point(n: usize) -> String {
    say(format!("Surveyed temperature {n}"))
}

/// Takes one away.
pub fn remove_point(n: usize) -> String {
    say(format!("Remove surveyed temperature {n}"))
}

/// What the dates of calibrations are.
pub fn last_days() -> String {
    say("The last day on which each holds, year-month-day.")
}

/// A calibration by its kind, and what of it where there are several.
pub fn calibration(kind: &str, what: &str) -> String {
    let mut letters = kind.chars();
    let first = letters.next().into_iter().flat_map(char::to_uppercase);
    let kind: String = first.chain(letters).collect();
    match what {
        "" => kind,
        what => format!("{kind}: {what}"),
    }
}

/// A lot of which nothing stands in the load.
pub fn nothing_placed_yet() -> String {
    "a place for its pieces: lots are judged by what stands in the load".to_owned()
}
