//! Words of the board of limits and checks.

use super::say;

/// Where what is set is kept.
pub fn kept_in(folder: &str) -> String {
    say(format!("What the shop sets is kept in {folder}"))
}

/// Without a shop folder nothing can be set.
pub fn no_shop_folder() -> String {
    say(
        "To set limits and checks for the shop, choose its folder first; without one the limits \
         that come with the program and the file hold.",
    )
}

/// How many rows are shown.
pub fn shown(shown: usize, all: usize) -> String {
    say(format!("{shown} of {all}"))
}

/// Accessible name of a limit's row.
pub fn limit_row(name: &str, whose: &str) -> String {
    say(format!("Limit: {name}, {whose}"))
}

/// Accessible name of a check's row.
pub fn check_row(title: &str) -> String {
    say(format!("Check: {title}"))
}

/// Accessible name of the row of a check with all its conditions.
pub fn topic_row(title: &str, open: bool) -> String {
    say(match open {
        true => format!("All of: {title} (unfolded)"),
        false => format!("All of: {title}"),
    })
}

/// How many checks are shown, of how many, and how many conditions these have.
pub fn shown_checks(shown: usize, all: usize, conditions: usize) -> String {
    say(format!(
        "{shown} of {all} checks; all have {conditions} conditions"
    ))
}

/// How many conditions of a check are on, and how many are set otherwise for some things.
pub fn on_of(on: usize, all: usize, narrower: usize) -> String {
    let on = match on {
        0 => "off".to_owned(),
        on if on == all => "on".to_owned(),
        on => format!("{on} of {all}"),
    };
    say(match narrower {
        0 => on,
        n => format!("{on}; {n} set otherwise for some"),
    })
}

/// Over the conditions of a check.
pub fn conditions(n: usize) -> String {
    say(match n {
        1 => "It has one condition:".to_owned(),
        n => format!("It has {n} conditions:"),
    })
}

/// One condition with its weight.
pub fn condition(title: &str, weight: &str) -> String {
    say(format!("{title} ({weight})"))
}

/// Standing of a value.
pub fn standing(word: &str) -> String {
    say(word)
}

/// No limit is chosen.
pub fn choose_limit() -> String {
    say("Choose a limit to see who set it and what it was before, or to set it otherwise.")
}

/// No check is chosen.
pub fn choose_check() -> String {
    say("Choose a check to see why it matters, or to switch or weigh it otherwise.")
}

/// What holds now.
pub fn now(value: &str, whose: &str, set_by: &str, revision: u32) -> String {
    say(format!(
        "{value}, {whose}, set by {set_by}, revision {revision}"
    ))
}

/// A guess.
pub fn assumed() -> String {
    say("Assumed: a place-holder until the shop sets its own.")
}

/// Where a value is from.
pub fn source(source: &str) -> String {
    say(format!("Source: {source}"))
}

/// Why and when it was set.
pub fn because(reason: &str, on: Option<&str>) -> String {
    say(match on {
        Some(on) => format!("Because: {reason} ({on})"),
        None => format!("Because: {reason}"),
    })
}

/// Which checks ask for a limit.
pub fn asked_by(titles: &[String]) -> String {
    match titles {
        [] => say("No check asks for it by name."),
        titles => say(format!("Asked for by: {}", titles.join(", "))),
    }
}

/// Hint of the button that takes a limit back.
pub fn set_back_hint() -> String {
    say("Back to the value that would hold without it; who does it and why is kept as well.")
}

/// Nothing to take back.
pub fn not_set_here() -> String {
    say("The shop has not set it.")
}

/// No earlier value.
pub fn no_history() -> String {
    say("Nothing is on record from before.")
}

/// An earlier value.
pub fn was(revision: u32, value: &str, by: &str, reason: &str, on: Option<&str>) -> String {
    let on = on.map(|on| format!(", {on}")).unwrap_or_default();
    let reason = match reason {
        "" => String::new(),
        reason => format!(": {reason}"),
    };
    say(format!("Revision {revision}: {value}, by {by}{on}{reason}"))
}

/// Whether a check runs.
pub fn state(on: bool, safety: bool, forecast: bool) -> String {
    say(match (on, safety) {
        (true, _) if forecast => "on, by the forecast",
        (_, true) => "always (safety)",
        (true, _) => "on",
        (false, _) => "off",
    })
}

/// What is set for some things alone.
pub fn state_for(on: bool, whose: &str) -> String {
    let on = if on { "on" } else { "off" };
    say(format!("{on} {whose}"))
}

/// Why a safety check cannot be changed.
pub fn safety_stays() -> String {
    say(
        "A safety check stays on at its weight. A finding of it is dealt with by the furnace's \
         written procedure, not here.",
    )
}

/// Of a check some conditions guard people.
pub fn some_stay_on() -> String {
    say(
        "Those of its conditions that guard people stay on at their weight, whatever is set here; \
         the others follow.",
    )
}

/// The weight that comes with the program.
pub fn default_weight(severity: &str) -> String {
    say(format!("As it comes ({severity})"))
}

/// What regulated work asks for stays.
pub fn regulated_stays() -> String {
    say("Regulated work asks for it: while the shop does such work it stays as it comes.")
}

/// Of one check some findings guard people.
pub fn some_findings_stay() -> String {
    say("Those of its findings that guard people stay, whatever is set here.")
}

/// One setting of a check.
pub fn setting(whose: &str, on: bool, weight: Option<&str>) -> String {
    say(match (on, weight) {
        (false, _) => format!("Set, {whose}: off"),
        (true, None) => format!("Set, {whose}: on"),
        (true, Some(weight)) => format!("Set, {whose}: on, as {weight}"),
    })
}

/// Why it is set so, by whom and when.
pub fn set_because(reason: &str, (by, on): (&str, Option<&str>)) -> String {
    let by = match by {
        "" => "nobody is named".to_owned(),
        by => format!("set by {by}"),
    };
    let on = on.map(|on| format!(", {on}")).unwrap_or_default();
    say(format!("Because: {reason} ({by}{on})"))
}

/// Takes a setting into the form.
pub fn change_for(whose: &str) -> String {
    say(format!("Change it, {whose}"))
}

/// Takes a setting back.
pub fn back_for(whose: &str) -> String {
    say(format!("Set it back, {whose}"))
}

/// A check without a limit.
pub fn no_limit_of_its_own() -> String {
    say("It goes by no limit: what it finds is so or is not.")
}

/// A value that is none in the limit's unit.
pub fn does_not_fit(text: &str, unit: &str) -> String {
    say(match unit {
        "" => format!("\"{text}\" is no value here; write a bare number."),
        unit => format!("\"{text}\" is no value in {unit}; write a number, or one with {unit}."),
    })
}
