//! What was changed since a standard load.

use super::say;

/// Heading of the furnace's changes.
pub fn furnace_head() -> String {
    say("Furnace")
}

/// Heading of the changes of stacks and levels.
pub fn levels_head() -> String {
    say("Stacks and levels")
}

/// Heading of what was placed, moved or taken away.
pub fn placed_head() -> String {
    say("Set out")
}

/// Heading of the changes of part records.
pub fn parts_head() -> String {
    say("Part records")
}

/// Heading of the profile's changes.
pub fn profile_head() -> String {
    say("Profile")
}

/// One value instead of another.
pub fn instead(what: &str, now: &str, before: &str) -> String {
    say(format!("{what}: {now} instead of {before}"))
}

/// Something that was not there.
pub fn added(what: &str) -> String {
    say(format!("{what} added"))
}

/// Something that is gone.
pub fn removed(what: &str) -> String {
    say(format!("{what} removed"))
}

/// Something else than before, where the two have no short name.
pub fn changed(what: &str, which: &str) -> String {
    say(format!("{what}: {which} changed"))
}

/// Posts set out anew.
pub fn post_places(level: &str) -> String {
    changed(level, "places of the posts")
}

/// A part's section as a person gave it; a heading of [`instead`].
pub fn stated_section(part: &str) -> String {
    format!("{part}, stated section")
}

/// Another order of the same things.
pub fn reordered(what: &str) -> String {
    say(format!("{what} in another order"))
}

/// One thing moved on its level.
pub fn moved(what: &str, by: &str) -> String {
    say(format!("{what} moved by {by}"))
}

/// Several things of a name moved on their levels.
pub fn moved_many(what: &str, most: &str) -> String {
    say(format!("{what} moved, by {most} at most"))
}

/// One thing, or several of a name, on another level.
pub fn to_level(what: &str, level: &str) -> String {
    say(format!("{what} now on {level}"))
}

/// Several things of a name on other levels.
pub fn to_levels(what: &str) -> String {
    say(format!("{what} now on other levels"))
}

/// Turned in place.
pub fn turned(what: &str) -> String {
    say(format!("{what} turned"))
}

/// On another support.
pub fn supported(what: &str) -> String {
    say(format!("{what} on another support"))
}

/// Something else in the same place.
pub fn replaced(what: &str, before: &str) -> String {
    say(format!("{what} in the place of {before}"))
}

/// Several things of a name.
pub fn several(n: usize, name: &str) -> String {
    format!("{n} × {name}")
}

/// A segment by its number.
pub fn segment(number: usize) -> String {
    format!("Segment {number}")
}

/// A part record.
pub fn part(name: &str) -> String {
    format!("Part {name}")
}

/// No gas.
pub fn vacuum() -> String {
    "vacuum".to_owned()
}

/// Pressure that is not controlled.
pub fn not_controlled() -> String {
    "not controlled".to_owned()
}

/// A ramp as fast as the furnace can.
pub fn full_rate() -> String {
    "as fast as the furnace can".to_owned()
}

/// A ramp in a time.
pub fn in_time(time: &str) -> String {
    format!("in {time}")
}

/// A support or a figure that is not there.
pub fn none() -> String {
    "none".to_owned()
}

/// A stack by its number.
pub fn stack(number: usize) -> String {
    format!("Stack {number}")
}

/// A setter on the hearth.
pub fn on_hearth() -> String {
    "on the hearth".to_owned()
}

/// A setter on the rim of the one below.
pub fn on_rim() -> String {
    "on the rim below".to_owned()
}

/// A setter on feet.
pub fn feet(height: &str) -> String {
    format!("feet of {height}")
}

/// A setter in the rack.
pub fn rack_slot(number: usize) -> String {
    format!("rack slot {number}")
}
