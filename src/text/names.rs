//! What a person calls the things of a load. Scripts find things by these names. Numbers count from 1; the arguments are indices.

use super::say;

/// The load as a whole.
pub fn load() -> &'static str {
    "the load"
}

/// The profile as a whole.
pub fn profile() -> &'static str {
    "the profile"
}

/// The furnace.
pub fn furnace() -> &'static str {
    "the furnace"
}

/// A stack.
pub fn stack(index: usize) -> String {
    format!("stack {}", index + 1)
}

/// A level of the only stack.
pub fn level(index: usize) -> String {
    format!("level {}", index + 1)
}

/// A level among several stacks.
pub fn level_of(stack_index: usize, index: usize) -> String {
    format!("{}, {}", stack(stack_index), level(index))
}

/// A level that is not there any more.
pub fn level_gone() -> &'static str {
    "a level that is gone"
}

/// Something on a setter that is not there any more.
pub fn placement_gone() -> &'static str {
    "a part that is gone"
}

/// A part whose record is not there.
pub fn part_unknown() -> String {
    say("unknown part")
}

/// A test coupon.
pub fn coupon(label: &str) -> String {
    say(format!("coupon {label}"))
}

/// A dummy mass.
pub fn dummy() -> String {
    say("dummy mass")
}

/// A thermocouple.
pub fn thermocouple(sensor: &str) -> String {
    say(format!("thermocouple {sensor}"))
}

/// A segment of the profile.
pub fn segment(index: usize) -> String {
    format!("segment {}", index + 1)
}

/// Segments of the profile: "segments 2, 3 and 5"; of one, that one.
pub fn segments(indices: &[usize]) -> String {
    let mut numbers: Vec<String> = indices.iter().map(|i| (i + 1).to_string()).collect();
    match numbers.pop() {
        Some(last) if !numbers.is_empty() => {
            format!("segments {} and {last}", numbers.join(", "))
        }
        last => format!("segment {}", last.unwrap_or_default()),
    }
}

/// A lot.
pub fn lot(name: &str) -> String {
    format!("lot {name}")
}

/// The size before shrinking at the end of the way up.
pub fn hottest() -> &'static str {
    "hottest before shrinking"
}

/// The largest size of a part whose binder swells in the furnace.
pub fn swollen() -> &'static str {
    "hottest before shrinking, swollen (assumed)"
}

/// The outer diameter of a tube.
pub fn outer_diameter() -> &'static str {
    "outer diameter"
}

/// A post of a level.
pub fn post(index: usize) -> String {
    format!("post {}", index + 1)
}
