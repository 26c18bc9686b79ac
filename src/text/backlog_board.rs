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
        "{word}: {} thousand places tried per filling",
        evaluations / 1000
    ))
}

/// What is meant by that.
pub fn hard_hint() -> String {
    say(
        "A place tried is one piece held to one spot at one angle. A run is filled several times, and each filling tries so many; more of them take longer and may place more. The same backlog, budget and seed give the same loads again.",
    )
}

/// What a table of jobs takes besides.
pub fn table_hint(load: &str) -> String {
    say(format!(
        "A table of jobs says nothing of furnaces: the open load, {load}, gives furnace, furniture, profile and parts."
    ))
}

/// How a start is typed.
pub fn start_hint() -> String {
    say("e.g. 2026-12-01 06:00")
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
    say("Weights are as set for arranging a load (load board, \"Arrange parts\").")
}

/// What reading again does.
pub fn again_hint() -> String {
    say(
        "Reads the file again, as after it was mended; loads that were made of it go from this list.",
    )
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
            "The file has {jobs}, {n} of them with a fault: mend it there, and read it again."
        ),
    })
}

/// Why no loads can be made: so many of the jobs have a fault.
pub fn faults_first(jobs: usize, faults: usize) -> String {
    say(match (jobs, faults) {
        (1, _) => "The job has a fault, so no load can be made.".to_owned(),
        (jobs, faults) if jobs == faults => {
            format!("All {jobs} jobs have a fault, so no load can be made.")
        }
        (jobs, faults) => format!(
            "{faults} of {jobs} jobs {} a fault, and none is left out in silence: no load is made before.",
            if faults == 1 { "has" } else { "have" }
        ),
    })
}

/// Why no loads can be made: the file as a whole.
pub fn file_first() -> String {
    say("No load can be made before what is said of the file below is mended.")
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

/// When a lot is due.
pub fn due(due: Option<&str>) -> String {
    due.map_or_else(|| say("no due date"), str::to_owned)
}

/// What else there is to say of a lot in a run: how late it is, and why it is here.
pub fn lot_notes(late_by: Option<&str>, kept: bool, fills_up: bool, ready: Option<&str>) -> String {
    let notes = [
        late_by.map(|by| format!("LATE by {by}")),
        kept.then(|| "kept in this run".to_owned()),
        fills_up.then(|| "fills up the load".to_owned()),
        ready.map(|ready| format!("not cleared yet, to be ready {ready}")),
    ];
    let notes: Vec<String> = notes.into_iter().flatten().collect();
    match notes.is_empty() {
        true => String::new(),
        false => say(notes.join("; ")),
    }
}

/// A clause of a list as a sentence of its own.
pub fn as_sentence(clause: &str) -> String {
    let clause = clause.trim();
    let mut out = String::new();
    let mut first = true;
    for c in clause.chars() {
        match first && c.is_alphabetic() {
            true => out.extend(c.to_uppercase()),
            false => out.push(c),
        }
        first &= !c.is_alphanumeric();
    }
    if !clause.ends_with(['.', ']']) {
        out.push('.');
    }
    out
}

/// Pieces of a lot in a run.
pub fn pieces(here: u32, of: u32) -> String {
    say(match here == of {
        true => here.to_string(),
        false => format!("{here} of {of}"),
    })
}
