//! Fixes: the words of their buttons, what else they change, and why there is none.

use super::names;
use super::{count, say};
use crate::units::Quantity::{Mass, Time};
use crate::units::show;

/// Two things moved apart.
pub fn move_apart(by: &str) -> String {
    say(format!("Move apart by {by}"))
}

/// Things moved off an edge, a post or a thermocouple.
pub fn move_off(n: usize, by: &str) -> String {
    say(match n {
        1 => format!("Move away by {by}"),
        n => format!("Move {n} things away by up to {by}"),
    })
}

/// Things moved into the work zone.
pub fn into_work_zone(n: usize, by: &str) -> String {
    say(match n {
        1 => format!("Move into the work zone by {by}"),
        n => format!("Move {n} pieces into the work zone by up to {by}"),
    })
}

/// Longer posts under a level.
pub fn longer_post(length: &str, level: &str) -> String {
    say(format!("Posts of {length} under {level}"))
}

/// Longer posts under several levels.
pub fn longer_posts(lengths: &[String]) -> String {
    let levels = count(lengths.len(), "level", "levels");
    say(format!(
        "Longer posts under {levels}: {}",
        lengths.join(", ")
    ))
}

/// Things moved to another level, inside the work zone.
pub fn to_level(n: usize, level: &str) -> String {
    say(match n {
        1 => format!("Move to a free place on {level}"),
        n => format!("Move {n} pieces to free places on {level}"),
    })
}

/// No other level has room.
pub fn no_free_place() -> String {
    say("No other level has a free place inside the work zone.")
}

/// Another setter.
pub fn another_setter(name: &str, levels: usize) -> String {
    let on = count(levels, "level", "levels");
    say(format!("{name} on {on}"))
}

/// Another post.
pub fn another_post(name: &str, levels: usize) -> String {
    let under = count(levels, "level", "levels");
    say(format!("{name} under {under}"))
}

/// A ramp slowed as a whole.
pub fn slow(indices: &[usize], rate: &str) -> String {
    say(match indices {
        [one] => format!("Slow the ramp of {} to {rate}", names::segment(*one)),
        _ => format!("Slow the ramps of {} to {rate}", names::segments(indices)),
    })
}

/// A ramp split and slowed in part.
pub fn split(index: usize, at: &[String], rate: &str, others: &[usize]) -> String {
    let at = at.join(" and ");
    let others = match others {
        [] => String::new(),
        _ => format!(", and slow {} too", names::segments(others)),
    };
    say(format!(
        "Split the ramp of {} at {at}, slowed to {rate}{others}",
        names::segment(index)
    ))
}

/// A longer hold.
pub fn hold(index: usize, min: &str) -> String {
    say(format!("Hold {min} in {}", names::segment(index)))
}

/// A longer hold by the forecast.
pub fn hold_by_forecast(index: usize, min: &str, takes: &str, spare: &str) -> String {
    say(format!(
        "Hold {min} in {} (the forecast asks for {takes}; {spare} to spare)",
        names::segment(index)
    ))
}

/// A timeout by the forecast.
pub fn timeout(index: usize, min: &str, waits: &str) -> String {
    say(format!(
        "Timeout {min} in {} (the forecast waits {waits} at most)",
        names::segment(index)
    ))
}

/// The forecast waits longer than a timeout may be.
pub fn wait_beyond_limit(waits: &str, limit: &str) -> String {
    say(format!(
        "The forecast waits {waits} there; with half as much again it would be over the limit of {limit}."
    ))
}

/// A rounded number.
pub fn round(index: usize, to: &str) -> String {
    say(format!("Round to {to} in {}", names::segment(index)))
}

/// One thing out of the load.
pub fn remove(what: &str) -> String {
    say(format!("Take {what} out of the load"))
}

/// Several things out of the load.
pub fn remove_several(n: usize) -> String {
    say(format!("Take {n} things out of the load"))
}

fn listed(titles: &[(String, usize)]) -> String {
    let one = |(title, n): &(String, usize)| match n {
        1 => title.clone(),
        n => format!("{title} ({n})"),
    };
    titles.iter().map(one).collect::<Vec<_>>().join("; ")
}

/// What else a fix changes: other findings gone, new, and now about other things; and how much
/// time and mass.
pub fn also(
    gone: &[(String, usize)],
    new: &[(String, usize)],
    elsewhere: &[(String, usize)],
    minutes: Option<f64>,
    mass_g: f64,
) -> String {
    let mut parts = Vec::new();
    if !gone.is_empty() {
        parts.push(format!("also gone: {}", listed(gone)));
    }
    if !new.is_empty() {
        parts.push(format!("new: {}", listed(new)));
    }
    if !elsewhere.is_empty() {
        parts.push(format!("now about others: {}", listed(elsewhere)));
    }
    match minutes {
        Some(min) if min >= 0.5 => parts.push(format!("{} longer", show(Time, min, 0))),
        Some(min) if min <= -0.5 => parts.push(format!("{} shorter", show(Time, -min, 0))),
        Some(_) => {}
        None => parts.push("length of the program not evaluated".to_owned()),
    }
    if mass_g.abs() >= 0.5 {
        let word = if mass_g > 0.0 { "heavier" } else { "lighter" };
        parts.push(format!("{} {word}", show(Mass, mass_g.abs(), 0)));
    }
    if parts.is_empty() {
        return say("Changes nothing else that the review sees.");
    }
    say(format!("Changes besides: {}.", parts.join("; ")))
}

/// A safety finding has no button.
pub fn left_to_people() -> String {
    say("No button for this: it is for people, the furnace's written procedure and its interlocks.")
}

/// Nothing that the program can do.
pub fn no_way() -> String {
    say("Setterwright has no edit of its own for this; what to do stands above.")
}

/// Nothing but furniture would stay.
pub fn nothing_would_stay() -> String {
    say("Without what this is about no part would stay in the load.")
}

/// What would have to be moved is locked.
pub fn locked() -> String {
    say("What would have to be moved is locked.")
}

/// The level above stands on no posts.
pub fn no_posts_above() -> String {
    say("The setter above stands on no posts that could be longer.")
}

/// No post that fits.
pub fn no_post_in_stock() -> String {
    say("The stock holds no post that would do.")
}

/// No setter that fits.
pub fn no_setter_in_stock() -> String {
    say("The stock holds no other setter of this size.")
}

/// Setters of several sizes.
pub fn setters_differ() -> String {
    say("The setters in question are of different sizes: choose others one by one.")
}

/// No rate is known.
pub fn no_rate() -> String {
    say("How slow the ramp has to be is not known for every part.")
}

/// A hold beyond the controller.
pub fn beyond_controller() -> String {
    say("The hold that is wanted is longer than the controller takes.")
}

/// After a button was pressed: what it did, and what else that changed.
pub fn done(label: &str, also: &str) -> String {
    say(format!("{label}. {also}"))
}

/// While fixes are being tried.
pub fn looking() -> String {
    say("Trying what could be done …")
}

/// Above the buttons of a finding.
pub fn buttons() -> String {
    say("Can be done here:")
}

/// What is tried, for the sentence about a job that failed.
pub fn job() -> &'static str {
    "trying what could be done"
}

/// A small picture of a finding, for assistive technology.
pub fn picture(of: &str) -> String {
    say(format!("Picture of {of}"))
}

/// A fix in a list of lines.
pub fn can(label: &str, also: &str) -> String {
    say(format!("Can: {label}. {also}"))
}
