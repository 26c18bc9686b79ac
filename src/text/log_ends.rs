//! What is said of where a log of a stopped run ends, and of how hot it was.

use super::{figure, figure_to, say};

/// A log that falls and stays below its program.
pub fn off_from(row: usize, minute: f64, c: f64) -> String {
    say(format!(
        "from row {row} (minute {minute:.0}, {c:.0} °C) on it falls away from the program and stays below it: was the \
         furnace off from minute {minute:.0}? Where the load is and what goes on are told as if it had run on: say \
         that it is to be taken up to minute {minute:.0} (--stopped-at {minute:.0}), or give a log that ends there"
    ))
}

/// A log that is not as planned.
pub fn apart(row: usize, minute: f64, off_k: f64, ramp_min: f64) -> String {
    let side = if off_k > 0.0 { "above" } else { "below" };
    let of_ramps = match libm::ceil(ramp_min) {
        ramp_min if ramp_min > 0.0 => format!(", as much as {ramp_min:.0} min of its ramps"),
        _ => String::new(),
    };
    say(format!(
        "it is not as forecast (row {row}, minute {minute:.0}: {:.0} K {side}{of_ramps}), so that where the program stood is \
         not certain by about as much, and neither are the minutes left: hold segment and minutes beside what the controller \
         shows, and name the segment that ran last (--segment N)",
        off_k.abs()
    ))
}

/// Rows after the stop.
pub fn left_out(minute: f64, end: f64) -> String {
    say(format!(
        "it is taken up to minute {minute:.0}, as was said; it goes on until minute {end:.0}, and that time is followed \
         only where it is said how long the furnace stood off (--pause)"
    ))
}

/// A stop outside the log. Follows the file's name and a colon.
pub fn stopped_outside(minute: f64, end: f64) -> String {
    format!(
        "minute {} (--stopped-at) does not lie in it: counted from its first row it ends at minute {}. Beside a log \
         the minute is one of the log",
        figure_to(minute, 0),
        figure(libm::floor(end))
    )
}

/// Hotter or colder than the sinter range.
pub fn outside_sinter(feedstock: &str, off_k: f64, from_c: f64, to_c: f64) -> String {
    let side = if off_k > 0.0 { "above" } else { "below" };
    say(format!(
        "its highest is {:.0} K {side} the sinter range of {feedstock} ({} to {} °C)",
        off_k.abs(),
        figure(from_c),
        figure(to_c)
    ))
}

/// One row that reads wrong. Follows the file's name and a colon.
pub fn spike(row: usize, c: f64, before_c: f64, after_c: f64) -> String {
    format!(
        "row {row} reads {c:.0} °C between {before_c:.0} and {after_c:.0} °C, faster than the furnace heats: leave that \
         row out"
    )
}

/// Times that cannot be seconds. Follows the file's name and a colon.
pub fn milliseconds(hours: f64, program_h: f64) -> String {
    format!(
        "its last row is {hours:.0} hours after its first, and the program takes {program_h:.1}: time_s is in seconds, \
         and these look like milliseconds"
    )
}

/// Lines above the heading. Follows the file's name and a colon.
pub fn heading_below(line: usize) -> String {
    format!("the heading stands in line {line}: leave out the lines above it")
}

/// From where on a segment that was named counts as in its hold.
pub fn holds_from(segment: usize, near_k: f64) -> String {
    say(format!(
        "Segment {segment} ran last, as was said. Its hold counts from where the log is within {near_k:.0} K of its \
         target."
    ))
}

/// Where the load is at the end of a log.
pub fn now_at(chamber_c: f64, coldest: &str, hottest: &str) -> String {
    say(format!(
        "chamber {chamber_c:.0} °C; the coldest place has {coldest}, the hottest {hottest}"
    ))
}
