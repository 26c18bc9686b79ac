//! What is wrong with a line of a script.

use super::{did_you_mean, say};

/// Puts the line's number before a reason.
pub fn at_line(line: usize, reason: &str) -> String {
    say(format!("line {line}: {reason}"))
}

/// A key that must be given.
pub fn missing(key: &str) -> String {
    // The key itself may be followed by what it may be.
    let word = key.split(' ').next().unwrap_or(key);
    say(format!("{key} is missing; write it as {word}=…"))
}

/// A word without `=`.
pub fn no_equals(word: &str) -> String {
    say(format!(
        "\"{word}\" is not of the form key=value; put quotes round a value with spaces."
    ))
}

/// A key given twice.
pub fn twice(key: &str) -> String {
    say(format!("{key} is given twice; keep one."))
}

/// A quote that does not end.
pub fn open_quote() -> String {
    say("a quote is opened and not closed on this line; close it.")
}

/// A value that is none of those known.
pub fn not_one_of(key: &str, value: &str, known: &str) -> String {
    say(format!("{key} is \"{value}\"; it must be {known}."))
}

/// A question that no check asks.
pub fn unknown_question(question: &str, near: &[String]) -> String {
    let hint = if near.is_empty() {
        ".".to_owned()
    } else {
        did_you_mean(near)
    };
    say(format!("no check asks the question \"{question}\"{hint}"))
}

/// A feedstock that no record has.
pub fn unknown_feedstock(slug: &str, near: &[String]) -> String {
    let hint = if near.is_empty() {
        ".".to_owned()
    } else {
        did_you_mean(near)
    };
    say(format!("no record has the feedstock \"{slug}\"{hint}"))
}

/// Words of a guaranteed soak on a segment that has none.
pub fn wait_first() -> String {
    say(
        "band, timeout, wait-during and on-leave belong to a guaranteed soak, which this segment \
         has not; write wait=all-load (or any-load, control) with them.",
    )
}

/// A value of another form.
pub fn must_be(key: &str, form: &str) -> String {
    say(format!("{key} must be {form}."))
}

/// A value that cannot be read.
pub fn bad_value(key: &str, reason: &str) -> String {
    say(format!("{key}: {reason}"))
}

/// Not a number.
pub fn not_a_number(key: &str, value: &str) -> String {
    say(format!("{key} is \"{value}\"; it must be a number."))
}

/// Not a whole number.
pub fn not_a_count(key: &str, value: &str) -> String {
    say(format!(
        "{key} is \"{value}\"; it must be a whole number, zero or more."
    ))
}

/// Not a point.
pub fn not_a_point(key: &str, value: &str) -> String {
    say(format!(
        "{key} holds \"{value}\"; points are written x,y in mm and divided by spaces."
    ))
}

/// A key that the verb does not know.
pub fn unknown_key(verb: &str, key: &str, near: &[String]) -> String {
    let hint = if near.is_empty() {
        "; leave it out.".to_owned()
    } else {
        did_you_mean(near)
    };
    say(format!("{verb} does not know {key}{hint}"))
}

/// A verb that is not known.
pub fn unknown_verb(verb: &str, near: &[String]) -> String {
    let hint = if near.is_empty() {
        "; the verbs are listed under `setterwright edit --help`.".to_owned()
    } else {
        did_you_mean(near)
    };
    say(format!("there is no verb {verb}{hint}"))
}

/// An event that is not known.
pub fn unknown_event(event: &str) -> String {
    say(format!(
        "there is no event \"{event}\"; known are purge, pump-down, backfill, hydrogen-on, \
         hydrogen-off, fan-on, fan-off, burn-off-on, burn-off-off, unload and operator-check."
    ))
}

/// A name that the plan does not know.
pub fn unknown_name(kind: &str, name: &str, near: &[String]) -> String {
    let hint = if near.is_empty() {
        ".".to_owned()
    } else {
        did_you_mean(near)
    };
    say(format!("this load has no {kind} \"{name}\"{hint}"))
}

/// A number beyond the list.
pub fn no_such(kind: &str, number: usize, there: usize) -> String {
    say(format!(
        "there is no {kind} {number}; this load has {there}, counted from 1."
    ))
}

/// No shape given.
pub fn no_shape() -> String {
    say("a shape is missing; give mesh=, block=, disc=, tube=, prism= or outline=.")
}

/// An array larger than makes sense.
pub fn too_many(most: usize) -> String {
    say(format!(
        "that is more than {most} pieces at once; make the array smaller."
    ))
}

/// A check that is none.
pub fn no_such_check(check: &str, near: &[String]) -> String {
    say(format!(
        "there is no check \"{check}\"{}",
        match near {
            [] => ".".to_owned(),
            near => did_you_mean(near),
        }
    ))
}

/// Nothing accepted under that check.
pub fn nothing_accepted(check: &str) -> String {
    say(format!(
        "no finding of {check} was accepted; nothing to withdraw."
    ))
}

/// No finding to accept.
pub fn nothing_to_accept(check: &str) -> String {
    say(format!(
        "the review has no such finding of {check} now; run the review and look."
    ))
}

/// A safety finding.
pub fn safety_not_accepted(check: &str) -> String {
    say(format!(
        "{check} is a safety finding and cannot be accepted with a sentence; change the plan, \
         and follow the furnace's written procedure: procedure=NAME revision=N names it."
    ))
}

/// A procedure with its revision.
pub fn procedure(name: &str, revision: &str) -> String {
    format!("{name} rev {revision}")
}

/// Procedures that only the load itself names.
pub fn procedure_of_the_load_alone(check: &str) -> String {
    say(format!(
        "{check} concerns people, and the furnace's procedures are known from this load alone. Name \
         the shop's own folder with --shop."
    ))
}

/// A procedure that the furnace's state does not have for this check.
pub fn no_such_procedure(name: &str, revision: &str, check: &str, known: &[String]) -> String {
    let has = match known {
        [] => "it lists none for this check".to_owned(),
        known => format!("for this check it lists {}", known.join(", ")),
    };
    say(format!(
        "The state of the furnace has no procedure \"{name}\" rev {revision} that covers {check}; \
         {has}. Enter it there first."
    ))
}

/// Some lengths with a unit and some without.
pub fn mixed_units(key: &str) -> String {
    say(format!(
        "{key}: write the unit with every length, or with none for mm."
    ))
}

/// A segment without a pace.
pub fn no_pace() -> String {
    say("a segment needs rate=, time= or full-rate=yes.")
}

/// A segment with two holds.
pub fn two_holds() -> String {
    say("a segment has one hold: hold=, soak= or dwell=.")
}

/// A segment with two paces.
pub fn two_paces() -> String {
    say("a segment has one pace: rate=, time= or full-rate=yes.")
}

/// What is odd about a mesh, under the step that read it.
pub fn note_on_step(note: &str) -> String {
    format!("\n  {}", say(format!("note: {note}")))
}
