//! What is said of tables that are read: logs of a furnace, measured pieces.

use super::{figure, say, to_tenths};

// The table itself. Each follows the file's name and a colon.

/// A row with more or fewer fields than the heading.
pub fn uneven(row: usize, fields: usize, heading: usize) -> String {
    format!(
        "row {row} has {fields} fields, the heading {heading}. Fields are separated by a comma (numbers then \
         take a decimal point), or by a semicolon or a tab (numbers then take a point or a comma)"
    )
}

/// A column is missing.
pub fn no_column(name: &str, there: &[String], wanted: &str) -> String {
    let there = match there {
        [] => "nothing".to_owned(),
        there => format!("\"{}\"", there.join("\", \"")),
    };
    format!("there is no column \"{name}\"; the first row names {there}. {wanted}")
}

/// What a log is made of.
pub fn wanted_of_log() -> &'static str {
    "A log has a heading with time_s (seconds, rising) and temperature_c (°C of the chamber); for --fit also \
     power_w (watts), or load_1_c, load_2_c (°C)"
}

/// What a table of pieces is made of.
pub fn wanted_of_pieces() -> &'static str {
    "A table of pieces has a heading with lot or part, level, ring and density_pct (% of full density), or \
     green_mm and sintered_mm"
}

/// A field is no number.
pub fn no_number(column: &str, row: usize, word: &str) -> String {
    format!(
        "row {row}: \"{word}\" under \"{column}\" is not a number. Write it as 1234.5, without a unit, a \
         clock time or a mark between thousands (as 1234,5 only where semicolons or tabs separate the fields)"
    )
}

/// Times do not rise.
pub fn times_fall(row: usize) -> String {
    format!(
        "row {row}: the time is not later than that of the row before; time_s are seconds and rise"
    )
}

/// Too few rows.
pub fn too_short(columns: &str) -> String {
    format!("it has fewer than two rows with {columns}")
}

// Logs that cannot be used.

/// Colder than a furnace gets.
pub fn cold(row: usize, c: f64) -> String {
    format!(
        "row {row} reads {} °C, which no furnace has: look at the thermocouple, and whether the column is in °C",
        to_tenths(c)
    )
}

/// Hotter than the furnace gets.
pub fn hot(row: usize, c: f64, max_c: f64, as_f_c: Option<f64>) -> String {
    let fahrenheit = as_f_c.map_or(String::new(), |c| format!(" (as °F it would be {c:.0} °C)"));
    format!(
        "row {row} reads {} °C, the furnace's highest is {} °C: is the column in °F?{fahrenheit} Give °C",
        to_tenths(c),
        figure(max_c)
    )
}

/// Faster than the furnace heats.
pub fn fast(rows: (usize, usize), rise_k: f64, seconds: f64, most_k_min: f64) -> String {
    format!(
        "from row {} to {} it rises by {rise_k:.0} K in {} s, the furnace by {} K/min at most: are these \
         minutes or hours under time_s? Give seconds, or leave out rows that read wrong",
        rows.0,
        rows.1,
        to_tenths(seconds),
        figure(most_k_min)
    )
}

/// A gap in which nobody knows what happened.
pub fn wide_gap(row: usize, minutes: f64, from_c: f64, to_c: f64) -> String {
    format!(
        "between row {row} and the next lie {minutes:.0} min, in which it went from {from_c:.0} to {to_c:.0} °C: \
         what happened in between is not known. Give a row every 15 min at least"
    )
}

/// The run began before it; what the row is in °C where it may be one of K.
pub fn begins_hot(row: usize, c: f64, start_c: f64, as_k_c: Option<f64>) -> String {
    let kelvin = as_k_c.map_or(String::new(), |c| {
        format!(" (as K it would be {c:.0} °C: is the column in kelvin? Give °C)")
    });
    format!(
        "it begins at {c:.0} °C (row {row}), the run at {start_c:.0} °C{kelvin}: what went before is not in \
         it. Give the log from the start of the run"
    )
}

/// In °F by all that can be told.
pub fn fahrenheit(row: usize, c: f64, planned_c: f64) -> String {
    format!(
        "taken for °F it follows the program, taken for °C it does not: row {row} reads {c:.0}, the program has \
         {planned_c:.0} °C there. Give °C under temperature_c"
    )
}

/// Power below nought.
pub fn negative_power(row: usize) -> String {
    format!("row {row}: power_w is below nought; it is the electric power taken, in watts")
}

/// Power that is next to nothing.
pub fn no_power(most_w: f64, record_kw: f64) -> String {
    format!(
        "highest power logged {} W beside {} kW in the record: is the column in kW or in per cent? power_w are watts",
        figure(libm::round(100.0 * most_w) / 100.0),
        figure(record_kw)
    )
}

/// Power far beyond the record.
pub fn much_power(most_w: f64, record_kw: f64) -> String {
    format!(
        "highest power logged {:.1} kW beside {} kW in the record: power_w are watts; if they are, mend power_kw of \
         the furnace's record first",
        most_w / 1e3,
        figure(record_kw)
    )
}

// Logs that are used, with a doubt.

/// Heading of doubts.
pub fn doubts() -> String {
    say("Doubtful in the log:")
}

/// Rows far apart.
pub fn gap(row: usize, minutes: f64) -> String {
    say(format!(
        "between row {row} and the next lie {minutes:.0} min; a straight line is taken there"
    ))
}

/// Time is counted from the first row.
pub fn begins_late(seconds: f64) -> String {
    say(format!(
        "its first row has time_s {}: time is counted from there",
        figure(seconds)
    ))
}

/// Far off the program; what the row is in °C where it is one of °F.
pub fn off_program(
    row: usize,
    off_k: f64,
    minute: f64,
    (segment, planned_c): (usize, f64),
    as_f_c: Option<f64>,
) -> String {
    let fahrenheit = as_f_c.map_or(String::new(), |c| format!(" As °F it reads {c:.0} °C."));
    let side = if off_k > 0.0 { "above" } else { "below" };
    say(format!(
        "row {row} (minute {minute:.0}) reads {:.0} K {side} the program in segment {segment}, which has \
         {planned_c:.0} °C there: was another program run, was there a longer wait (--segment N names the one that ran last), or \
         is the unit another?{fahrenheit}",
        off_k.abs()
    ))
}

/// Rows after the program's end.
pub fn goes_on(minutes: f64, end: f64) -> String {
    say(format!(
        "it goes on until minute {minutes:.0}, the program as forecast ends at minute {end:.0}"
    ))
}

/// Over the furnace's highest, though not by much.
pub fn over(c: f64, max_c: f64) -> String {
    say(format!(
        "its highest is {c:.0} °C, over the {} °C that the furnace's record allows",
        figure(max_c)
    ))
}

/// Power that never came near the record's.
pub fn never_near(most_kw: f64, record_kw: f64) -> String {
    say(format!(
        "highest power logged {most_kw:.1} kW beside {} kW in the record: the run never asked for more, or the \
         column is not in watts",
        figure(record_kw)
    ))
}

/// A start between 15 and 35 °C, written in °F.
pub fn perhaps_fahrenheit(c: f64, as_f_c: f64) -> String {
    say(format!(
        "it begins at {c:.0} °C; if the column is in °F that is {as_f_c:.0} °C"
    ))
}

/// A fit that does not fit.
pub fn misfit(residual: f64, limit: f64, power: bool) -> String {
    let unit = if power { "% of the highest power" } else { "K" };
    say(format!(
        "A misfit of {residual:.1} {unit} is large ({limit} assumed as the most): these figures do not describe this \
         log. Look for rows that read wrong, another gas, doors or shields that stood open; write none of them \
         into the record."
    ))
}

/// A chamber at the end of a log.
pub fn ends_at(row_c: f64, segment: usize) -> String {
    say(format!(
        "The log ends with the chamber at {row_c:.0} °C; segment {segment} is where the program has come by then \
         as forecast."
    ))
}

// Measured pieces.

/// A density that is no per cent.
pub fn no_percent(row: usize, given: f64) -> String {
    format!(
        "row {row}: {} under density_pct is not a density in per cent of full density, such as 96.5 (not 0.965, \
         not g/cm³)",
        figure(given)
    )
}

/// Lengths the wrong way round.
pub fn no_shrinkage(row: usize, green: f64, sintered: f64) -> String {
    format!(
        "row {row}: sintered_mm {} is no length of a piece that was {} mm green: are the two columns in each other's \
         place?",
        figure(sintered),
        figure(green)
    )
}
