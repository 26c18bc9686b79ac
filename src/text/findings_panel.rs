//! Words of the findings panel.

use super::say;

/// Heading of a group with its count.
pub fn head(group: &str, n: usize) -> String {
    say(format!("{group} ({n})"))
}

/// Several findings of one check.
pub fn many(title: &str, n: usize) -> String {
    say(format!("{title} × {n}"))
}

/// A finding, for assistive technology.
pub fn row(severity: &str, title: &str, sentence: &str) -> String {
    say(format!("{severity}: {title}: {sentence}"))
}

/// Several findings of one check, for assistive technology.
pub fn rows(severity: &str, title: &str, n: usize) -> String {
    say(format!("{severity}: {title} × {n}"))
}

/// The button under a list that was cut short.
pub fn show_all(n: usize) -> String {
    say(format!("Show all {n}"))
}

/// What was measured.
pub fn value(shown: &str) -> String {
    say(format!("Value: {shown}"))
}

/// A limit; `side` is "at least" or "at most".
pub fn limit(side: &str, shown: &str, name: &str, assumed: bool) -> String {
    let assumed = if assumed { ", assumed" } else { "" };
    let space = if side.is_empty() { "" } else { " " };
    say(format!("Limit: {side}{space}{shown} ({name}{assumed})"))
}

/// Distance to the limit.
pub fn margin(shown: &str) -> String {
    say(format!("Margin: {shown}"))
}

/// Who set a limit.
pub fn set_by(who: &str, revision: u32) -> String {
    say(format!("Set by: {who}, revision {revision}"))
}

/// Where a limit comes from.
pub fn source(citation: &str) -> String {
    say(format!("Source: {citation}"))
}

/// The check's own name, as scripts and acceptances write it.
pub fn check(slug: &str) -> String {
    say(format!("Check: {slug}"))
}

/// What to do.
pub fn remedy(text: &str) -> String {
    say(format!("Do: {text}"))
}

/// What is missing for a check.
pub fn missing(title: &str, about: &str, what: &str) -> String {
    if about.is_empty() {
        return say(format!("{title}: missing is {what}"));
    }
    say(format!("{title}, {about}: missing is {what}"))
}

/// A check that is switched off.
pub fn off(title: &str, reason: Option<&str>, who: &str) -> String {
    match reason {
        Some(reason) => say(format!("{title}: {reason}{who}")),
        None => say(title),
    }
}
