//! Names of edits, and sentences that refuse one.

use super::{count, did_you_mean, figure, say};

/// A step's name.
pub fn label(text: &str) -> String {
    say(text)
}

/// A step's name with the name of its object.
pub fn named(what: &str, name: &str) -> String {
    say(format!("{what} \"{name}\""))
}

/// A step's name with a number of parts.
pub fn counted(what: &str, n: usize) -> String {
    say(format!("{what} {}", count(n, "part", "parts")))
}

/// The object of the edit is not in the plan.
pub fn not_there(what: &str) -> String {
    say(format!(
        "There is no such {what} in this load any more; choose one that is there."
    ))
}

/// A number that was used before.
pub fn number_used(id: u32) -> String {
    say(format!(
        "Number {id} was used before and is never used again; take a higher one."
    ))
}

/// No number left for something new.
pub fn numbers_run_out() -> String {
    say("This load has no numbers left for new things; begin a new load with what is needed of it.")
}

/// A slug that stands for nothing.
pub fn unknown_slug(kind: &str, id: &str, candidates: &[String]) -> String {
    say(format!(
        "There is no {kind} \"{id}\" in the catalogue{}",
        match candidates {
            [] => ".".to_owned(),
            _ => did_you_mean(candidates),
        }
    ))
}

/// A place that is none.
pub fn bad_place(at_mm: [f64; 2]) -> String {
    say(format!(
        "The place ({}, {}) mm is no place in a furnace; give x and y from the setter's centre.",
        figure(at_mm[0]),
        figure(at_mm[1])
    ))
}

/// An angle that is none.
pub fn bad_angle(angle_deg: f64) -> String {
    say(format!(
        "{} is no angle; give degrees between 0 and 360.",
        figure(angle_deg)
    ))
}

/// A figure that must be above zero.
pub fn not_positive(what: &str, value: f64) -> String {
    say(format!(
        "The {what} is {}; it must be a finite number above zero.",
        figure(value)
    ))
}

/// Something without a name.
pub fn no_name(what: &str) -> String {
    say(format!("The {what} has no name; give it one."))
}

/// A part record that stands on setters.
pub fn part_in_use(n: usize) -> String {
    let pieces = count(n, "piece", "pieces");
    say(format!(
        "{pieces} of this part stand in the load; take them out first."
    ))
}

/// A part record that a lot needs.
pub fn part_in_lot(lot: &str) -> String {
    say(format!(
        "Lot \"{lot}\" is of this part; remove the lot first."
    ))
}

/// A locked placement.
pub fn locked(label: &str) -> String {
    say(format!("{label} is locked; unlock it first."))
}

/// A lot of another part.
pub fn lot_of_another_part(label: &str) -> String {
    say(format!(
        "The lot is not of the same part as {label}; choose a lot of that part."
    ))
}

/// A day that is none.
pub fn not_a_day(text: &str) -> String {
    say(format!(
        "\"{text}\" is no day; write it as year-month-day, for example 2027-03-15."
    ))
}

/// An acceptance without a reason or a name.
pub fn acceptance_needs_reason() -> String {
    say("An acceptance needs a name and a reason; write both.")
}

/// An answer that is older than the one that is there.
pub fn declared_later(question: &str, on: &str, later: &str) -> String {
    say(format!(
        "{question} was answered on {later}, after {on}: the later answer holds; give the day on \
         which it was looked at again."
    ))
}

/// A shape that cannot be measured.
pub fn bad_shape(fault: &str) -> String {
    say(format!("The shape is not usable: {fault}"))
}

/// A profile that no file could hold.
pub fn bad_profile(fault: &str) -> String {
    say(format!("The profile is not usable: {fault}"))
}

/// A lot that is heavier dry than green.
pub fn dry_above_green(lot: &str) -> String {
    say(format!(
        "Lot \"{lot}\" is heavier dry than green; weigh it again."
    ))
}

/// Neither a shape nor a mass.
pub fn outline_without_mass(part: &str) -> String {
    say(format!(
        "Of {part} only the outline is known; weigh a piece and give its mass and state."
    ))
}

/// Step: lots of a table.
pub fn take_lots(count_of: usize) -> String {
    say(format!(
        "Take {} from a table",
        count(count_of, "lot", "lots")
    ))
}

/// Step: several part records.
pub fn add_parts(n: usize) -> String {
    say(format!("Add {}", count(n, "part", "parts")))
}

/// A time of day that is none.
pub fn not_a_time(text: &str) -> String {
    say(format!(
        "\"{text}\" is no time of day; write it as hour:minute, for example 06:30."
    ))
}

/// A day with a time that is none.
pub fn not_a_moment(text: &str) -> String {
    say(format!(
        "\"{text}\" is no day with a time; write it as year-month-day hour:minute, for example \
         2027-03-15 06:30."
    ))
}

/// A temperature that no bath or dryer has.
pub fn bad_temperature(what: &str, c: f64) -> String {
    say(format!(
        "The {what} is {} °C; give what the thermometer said.",
        figure(c)
    ))
}

/// A figure that must not be below zero.
pub fn not_negative(what: &str, value: f64) -> String {
    say(format!(
        "The {what} is {}; it must be a finite number, zero or more.",
        figure(value)
    ))
}

/// A signature without a name or a role.
pub fn signature_needs_name() -> String {
    say("A signature needs a name and a role; write both.")
}

/// An approval without a name.
pub fn approval_needs_name() -> String {
    say("An approval needs the name of who gave it; write it.")
}

/// The lower end above the upper.
pub fn range_turned_round(least: f64, most: f64) -> String {
    say(format!(
        "{} to {} is turned round; write the smaller figure first.",
        figure(least),
        figure(most)
    ))
}
