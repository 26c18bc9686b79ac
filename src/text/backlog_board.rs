//! The backlog in the window.

use super::{count, say};

/// What the board is for, before a file is chosen.
pub fn what_it_is() -> String {
    say(
        "A backlog (RON, or a table of jobs as CSV) becomes loads: what may share a run goes together, what is due first goes first, what is due later fills up. Open one to see the loads that it would become.",
    )
}

/// How hard to search, with the places tried for one filling.
pub fn hard(word: &str, evaluations: u64) -> String {
    say(format!(
        "{word}: {} thousand places tried for each filling",
        evaluations / 1000
    ))
}

/// What a table of jobs takes besides.
pub fn table_hint(load: &str) -> String {
    say(format!(
        "A table of jobs says nothing of furnaces: the open load, {load}, gives furnace, furniture, profile and parts."
    ))
}

/// How a start is typed.
pub fn start_hint() -> String {
    say("2026-12-01 06:00")
}

/// The start is no moment.
pub fn start_wanted(typed: &str) -> String {
    say(match typed {
        "" => "Type from when the furnace may be used, as 2026-12-01 06:00.".to_owned(),
        typed => format!("\"{typed}\" is not a moment; write it as 2026-12-01 06:00."),
    })
}

/// What keeping the posts does.
pub fn keep_posts_hint() -> String {
    say(
        "Each run keeps the levels and posts of its base load. Else posts and setters in stock are chosen anew where not all goes in, and for the lowest stack.",
    )
}

/// Whose weights count.
pub fn weights_hint() -> String {
    say("What counts besides is as set where a load is arranged.")
}

/// What stopping does.
pub fn stop_hint() -> String {
    say("Stops with the loads made so far; the rest is listed as left over.")
}

/// At work.
pub fn at_work(word: &str) -> String {
    say(format!("{word}…"))
}

/// Told to stop.
pub fn stopping(word: &str) -> String {
    say(format!("Stopping. {word}…"))
}

/// What the job is called in a sentence about its failure.
pub fn job() -> String {
    say("backlog")
}

/// The button of a run, for assistive technology.
pub fn open_run(number: usize) -> String {
    say(format!("Open run {number} as a load"))
}

/// A run was opened.
pub fn run_opened(title: &str) -> String {
    say(format!(
        "{title} is open as a new load. Save it to keep it; the other runs stay on the backlog board."
    ))
}

/// A run that is not there any more.
pub fn run_gone() -> String {
    say("That run is not there any more; make the loads again.")
}

/// What the review says of a run.
pub fn counts(
    with_forecast: bool,
    (stops, named): (usize, &str),
    cautions: usize,
    missing: usize,
) -> String {
    let review = match with_forecast {
        true => "Review",
        false => "Review without forecast, since the work was stopped",
    };
    say(format!(
        "{review}: {}{named}, {}, {missing} not evaluated.",
        count(stops, "stop", "stops"),
        count(cautions, "caution", "cautions")
    ))
}

/// Head of the jobs as they were read.
pub fn jobs_read(jobs: usize, faults: usize) -> String {
    let jobs = count(jobs, "job", "jobs");
    say(match faults {
        0 => format!("The file has {jobs}."),
        n => format!(
            "The file has {jobs}, {n} of them with a fault: mend it there, and open it again."
        ),
    })
}

/// Jobs that are not listed.
pub fn more_jobs(jobs: usize) -> String {
    say(format!(
        "{} not listed here.",
        count(jobs, "more job is", "more jobs are")
    ))
}

/// Whether a job is cleared, and when it will be ready.
pub fn cleared(cleared: Option<bool>, ready: &str) -> String {
    say(match (cleared, ready) {
        (Some(true), _) => "yes".to_owned(),
        (Some(false), "") => "no, and no time is given".to_owned(),
        (Some(false), ready) => format!("no, ready {ready}"),
        (None, _) => "?".to_owned(),
    })
}

/// A fault with its place in the file.
pub fn at(place: &str, fault: &str) -> String {
    say(format!("{place}: {fault}"))
}

/// Pieces of a lot in a run.
pub fn pieces(here: u32, of: u32) -> String {
    say(match here == of {
        true => here.to_string(),
        false => format!("{here} of {of}"),
    })
}
