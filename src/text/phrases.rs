//! Phrases that fill a place in a finding's sentence. The sentence is finished by
//! [`fill`](super::findings::fill), and acceptances hold the arguments as they are, so these are
//! plain words.

use super::count;
use super::findings::Arg;

/// A furnace that takes fuel gas.
pub fn fuel_gas() -> &'static str {
    "fuel gas"
}

/// A furnace that takes neither fuel gas nor titanium.
pub fn this_run() -> &'static str {
    "this run"
}

/// A gas without a name of its own.
pub fn inert_gas() -> &'static str {
    "inert gas"
}

/// A lot straight from its bath.
pub fn brown_not_dried() -> &'static str {
    "it enters brown, not dried"
}

/// A gap so wide that nobody measured it.
pub fn more_than_limit() -> &'static str {
    "more than the limit"
}

/// Why a fan cannot run.
pub fn no_fan() -> &'static str {
    "the furnace has no fan"
}

/// When something falls due.
pub fn before_start() -> &'static str {
    "before the planned start"
}

/// When something falls due.
pub fn before_end() -> &'static str {
    "before the run may end"
}

/// Neither a purge nor a pump-down.
pub fn no_purge() -> &'static str {
    "no purge"
}

/// Fuel gas that nothing drives out.
pub fn fuel_at_end() -> &'static str {
    "it is still in the furnace at the end"
}

/// Events against the gas.
pub fn hydrogen_without_gas() -> &'static str {
    "the events have hydrogen on, and its gas is another"
}

/// The gas against events.
pub fn gas_without_hydrogen() -> &'static str {
    "its gas burns, and no event has switched hydrogen on"
}

/// Why a level is not carried.
pub fn no_rim_below() -> &'static str {
    "what is below it has no rim"
}

/// Why a level is not carried.
pub fn no_slot() -> &'static str {
    "the furnace has no such rack slot"
}

/// Why a level is not carried.
pub fn hearth_taken() -> &'static str {
    "it is to lie on the hearth, and another level is below it"
}

/// Why a level is not carried.
pub fn in_rim_below() -> &'static str {
    "it stands lower than the rim of the setter below and does not fit within it"
}

/// Why a level is not carried.
pub fn within_rim() -> &'static str {
    "it is to rest on the rim of the setter below, and is so small that it would fall within it"
}

/// Why a level is not carried.
pub fn slot_too_low() -> &'static str {
    "its rack slot is not above the level below"
}

/// What a part rests on.
pub fn on_line() -> &'static str {
    "a line"
}

/// What a part rests on.
pub fn on_point() -> &'static str {
    "a point"
}

/// What a part rests on.
pub fn on_nothing() -> &'static str {
    "no face"
}

/// What tells that a part may tip.
pub fn slenderness() -> &'static str {
    "height over least base"
}

/// What tells that a part may tip.
pub fn tipping_angle() -> &'static str {
    "tipping angle"
}

/// Posts that span no area.
pub fn posts_in_line() -> &'static str {
    "they stand in line"
}

/// How many weighings a plan stands in for, as a clause; nothing where all are weighed.
pub fn assumed(pieces: usize) -> String {
    match pieces {
        0 => String::new(),
        n => format!(
            " (for {} the feedstock's target stands in for a weighing)",
            count(n, "piece", "pieces")
        ),
    }
}

/// Two weighings from the dryer that are not alike enough.
pub fn weighings_differ(by: &Arg, most: &Arg) -> String {
    format!("the last two weighings differ by {by}, more than {most}")
}

/// A lot that left the dryer early.
pub fn dried_short(time: &Arg, least: &Arg) -> String {
    format!("it was {time} in the dryer, less than {least}")
}

/// A setter material that an alloy refuses.
pub fn must_not_touch(alloy: &str) -> String {
    format!("{alloy} must not touch it")
}

/// A setter material that a feedstock does not name.
pub fn does_not_list(feedstock: &str) -> String {
    format!("{feedstock} does not list it")
}

/// Two neighbours at different stages.
pub fn two_stages(a: &str, b: &str) -> String {
    format!("one {a}, the other {b}")
}

/// A rate per hour, K/h, and the same per minute.
pub fn per_hour(k_h: f64, per_minute: &Arg) -> String {
    format!("{k_h:.0} K/h, which is {per_minute}")
}

/// A fan that starts while it is too hot.
pub fn fan_too_hot(at: &Arg, below: &Arg) -> String {
    format!("at {at} it is above the {below} below which the fan may run")
}

/// A fan that starts with too little to blow.
pub fn fan_too_thin(at: &Arg, least: &Arg) -> String {
    format!("at {at} there is too little gas; it needs {least}")
}

/// A purge by volumes of the chamber.
pub fn purge(volumes: f64) -> String {
    format!("a purge of {volumes} volumes")
}

/// Purging by vacuum.
pub fn pump_downs(n: usize) -> String {
    count(n, "pump-down", "pump-downs")
}

/// Purging by vacuum and by volumes.
pub fn pump_downs_and_purge(n: usize, volumes: f64) -> String {
    format!("{} and {}", pump_downs(n), purge(volumes))
}

/// A purge that leaves too much.
pub fn too_weak(what: &str, left: &Arg) -> String {
    format!("{what} (too weak: {left} of what was there is left by calculation)")
}

/// What drives fuel gas out.
pub fn planned_after(what: &str) -> String {
    format!("the plan has {what}")
}

/// A centre of mass that is not between the posts.
pub fn outside_posts(by: &Arg) -> String {
    format!("its centre of mass lies {by} outside them")
}

/// " and 3 more", or nothing.
pub fn and_more(more: usize) -> String {
    match more {
        0 => String::new(),
        more => format!(" and {more} more"),
    }
}

/// Segments of which the same holds, behind the one that was told; nothing without one.
pub fn segments_too(indices: &[usize]) -> String {
    match indices {
        [] => String::new(),
        _ => format!(" ({} too)", super::names::segments(indices)),
    }
}

/// Binder at the end of its hold.
pub fn at_end_of_hold(segment: usize) -> String {
    format!(
        "at the end of the hold of {}",
        super::names::segment(segment)
    )
}

/// Binder at the end of the debind range, after its hold and what follows in the range.
pub fn at_end_of_steps(segment: usize, last: usize) -> String {
    format!(
        "after the hold of {} and what follows it in the debind range, to the end of {}",
        super::names::segment(segment),
        super::names::segment(last)
    )
}

/// Binder where a ramp leaves the debind range.
pub fn where_ramp_leaves(segment: usize) -> String {
    format!(
        "when the setpoint leaves the debind range on the ramp of {}, with no hold in the range \
         that is there for it",
        super::names::segment(segment)
    )
}

/// When what was to leave in a range is judged of a program that stays in it.
pub fn when_program_ends() -> String {
    "when the program ends, which never leaves the range".to_owned()
}

/// Off-gas against a sweep that is none, as it stands before "of the sweep flow".
pub fn any_share() -> &'static str {
    "more than any share (nothing flows)"
}
