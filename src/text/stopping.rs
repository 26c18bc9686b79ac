//! What is said of the time between a stop and the way on.

use super::say;

/// A pause that cannot be.
pub fn pause_cannot_be(most_min: f64) -> String {
    say(format!(
        "--pause takes minutes, from nought to {most_min:.0}: how long the furnace stands off before it goes on."
    ))
}

/// No pause.
pub fn at_once() -> String {
    say(
        "Ways on, as if they began at once, with the load as hot as at the stop; a furnace that stands off cools: \
         say for how long it does (--pause MIN).",
    )
}

/// A pause, and where the load is after it.
pub fn after_pause(minutes: f64, coldest: &str, hottest: &str) -> String {
    say(format!(
        "Ways on, after the furnace has stood off for {minutes:.0} min in the gas in which it stopped; the coldest place \
         then has {coldest}, the hottest {hottest}. Times count from the end of the pause."
    ))
}

/// What the review found, under a run that was stopped.
pub fn of_the_plan(found: &str) -> String {
    say(format!(
        "Of the plan as it was to run, not of what became of it: {found}"
    ))
}

/// What a setpoint in a segment means where it is held.
pub fn first_minute() -> String {
    say(
        "The first minute at that setpoint is taken. Say how far into the hold it stopped: a minute \
         late in a hold is another load.",
    )
}

/// Where the survey begins above all that the load has seen.
pub fn not_surveyed(from_c: f64) -> String {
    say(format!(
        "The survey begins at {from_c:.0} °C, and the load has not been as hot: cold and hot case are not evaluated \
         there, and the figures in brackets are no limits of what has been so far."
    ))
}
