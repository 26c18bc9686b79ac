//! What a fit of furnace figures says of its log.

use super::say;

/// What the figures rest on.
pub fn rows(used: usize, given: usize, means: bool, power: bool) -> String {
    let what = if power { "power" } else { "load thermocouples" };
    let readings = if means { "means of 5 min" } else { "readings" };
    let why = if means {
        "; the chamber's rows scatter, so that means are taken"
    } else {
        ""
    };
    let beside = if power {
        " (means over 5 min and less: none within 5 min of a change of rate)"
    } else {
        ""
    };
    say(format!(
        "compared: {used} {readings} of {what}{beside}, of {given} rows in the log{why}"
    ))
}

/// Too few.
pub fn few(used: usize, given: usize, least: usize) -> String {
    format!(
        "of its {given} rows {used} can be compared, it takes {least}: rows within 5 min of the start or of a change of \
         rate do not count. Log a row a minute, through holds of 60 min"
    )
}

/// A log that never holds.
pub fn no_hold() -> String {
    "it never holds a temperature for 20 min: what heats the chamber and what is lost are not told apart. Hold at \
     three temperatures at least, 60 min each, as --card says"
        .to_owned()
}

/// Fewer holds than are asked for.
pub fn few_holds(holds: usize, asked: usize) -> String {
    say(format!(
        "it holds at {holds} temperature{}, {asked} are asked for (--card): ± tells the scatter of this log, not how \
         far the figures are off at other temperatures",
        if holds == 1 { "" } else { "s" }
    ))
}

/// What follows is without power.
pub fn no_power_after(minute: f64) -> String {
    say(format!(
        "what comes after minute {minute:.0} is not compared: no power was drawn any more"
    ))
}

/// What follows is cooling.
pub fn cooling_after(minute: f64) -> String {
    say(format!(
        "what comes after minute {minute:.0} is not compared: the furnace cools from there, and how it does is not \
         followed"
    ))
}

/// A loaded run that went another way than its plan.
pub fn off_plan(row: usize, minute: f64, off_k: f64) -> String {
    say(format!(
        "row {row} (minute {minute:.0}) is {:.0} K off the program of the plan: what gas was around the load is taken \
         from the plan, and may be another then",
        off_k.abs()
    ))
}
