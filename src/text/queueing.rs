//! A backlog and the runs that it becomes.

use super::{count, did_you_mean, say};

/// No base load.
pub fn no_base() -> String {
    "there is no base load; name at least one load whose furnace, furniture and profile the jobs use."
        .to_owned()
}

/// Two of one name.
pub fn base_twice(name: &str) -> String {
    format!("two base loads are called \"{name}\".")
}

/// A base that is not there.
pub fn no_such_base(name: &str, near: &[String]) -> String {
    format!("there is no base load \"{name}\"{}", did_you_mean(near))
}

/// A turnaround that cannot be.
pub fn bad_turnaround(most: f64) -> String {
    format!("the time between two runs is a number of minutes, 0 to {most:.0}.")
}

/// Nothing waits.
pub fn no_jobs() -> String {
    "no job waits.".to_owned()
}

/// Too many jobs.
pub fn too_many_jobs(most: usize) -> String {
    format!("at most {most} jobs are read; split the backlog.")
}

/// Too many pieces.
pub fn too_many_pieces(there: u64, most: u64) -> String {
    format!(
        "the jobs have {there} pieces in all, and at most {most} are planned; correct the counts or split the backlog."
    )
}

/// A job without a lot.
pub fn without_lot() -> String {
    "a job has no lot number.".to_owned()
}

/// A job without a part.
pub fn without_part(lot: &str) -> String {
    format!("job {lot} names no part.")
}

/// A job without pieces.
pub fn without_pieces(lot: &str) -> String {
    format!("job {lot} has no pieces; take it out, or write how many.")
}

/// A time that is none.
pub fn not_a_time(lot: &str, field: &str, text: &str) -> String {
    format!(
        "job {lot}: \"{text}\" under {field} is neither a day (2026-12-01) nor a moment \
         (2026-12-01 14:00)."
    )
}

/// The beginning is no moment.
pub fn not_a_start(text: &str) -> String {
    format!("\"{text}\" is not a moment; write it as 2026-12-01 06:00.")
}

/// Runs are counted from 1.
pub fn runs_from_one(lot: &str) -> String {
    format!("job {lot}: runs are counted from 1.")
}

/// A lot number twice.
pub fn lot_twice(lot: &str) -> String {
    format!("two jobs have the lot number {lot}; one lot is one job.")
}

/// A heading that is not known.
pub fn unknown_column(heading: &str, near: &[String]) -> String {
    format!(
        "the heading \"{heading}\" is not one of lot, part, count, feedstock, due, cleared, ready, \
         priority, run, base and customer{}",
        did_you_mean(near)
    )
}

/// A heading twice.
pub fn column_twice(heading: &str) -> String {
    format!("the heading \"{heading}\" stands twice.")
}

/// A heading that is needed.
pub fn column_missing(heading: &str) -> String {
    format!("there is no column \"{heading}\".")
}

/// A fault of a row.
pub fn in_row(row: usize, reason: &str) -> String {
    format!("row {row}: {reason}")
}

/// A cell that is no whole number.
pub fn not_a_count(column: &str, text: &str) -> String {
    format!("\"{text}\" under {column} is not a whole number.")
}

/// A cell that is neither yes nor no.
pub fn not_an_answer(text: &str) -> String {
    format!("\"{text}\" under cleared is neither yes nor no.")
}

/// A table needs more than itself.
pub fn table_needs_bases() -> String {
    say(
        "A table of jobs needs --base LOAD (as often as there are base loads) and --start \"2026-12-01 06:00\".",
    )
}

/// A backlog file has that already.
pub fn only_for_tables() -> String {
    say("--base, --start and --turnaround are for a table of jobs; a backlog file has its own.")
}

/// A part that no base load has.
pub fn no_such_part(lot: &str, part: &str, near: &[String]) -> String {
    say(format!(
        "Job {lot}: no base load has a part called \"{part}\"{}",
        did_you_mean(near)
    ))
}

/// A part of another feedstock.
pub fn other_feedstock(lot: &str, part: &str, has: &str, said: &str) -> String {
    say(format!(
        "Job {lot}: {part} is of {has} in its base load, not of {said}."
    ))
}

/// A base load without a run time.
pub fn no_run_time(base: &str) -> String {
    say(format!(
        "Base load {base}: how long its run takes is not known; its furnace or its profile is not \
         complete."
    ))
}

/// A base load without levels.
pub fn no_levels(base: &str) -> String {
    say(format!(
        "Base load {base} has no level on which a part could stand."
    ))
}

/// A base load that cannot be set out.
pub fn base_fault(base: &str, why: &str) -> String {
    say(format!("Base load {base}: {why}"))
}

/// Head of the list of runs.
pub fn runs(runs: usize, least: Option<usize>) -> String {
    let runs = count(runs, "run", "runs");
    say(match least {
        Some(least) => format!("{runs}; by area at least {least}."),
        None => format!("{runs}; how few there could be is not known."),
    })
}

/// One run.
pub fn run(number: usize, base: &str, from: &str, to: &str) -> String {
    say(format!("Run {number}: {base}, {from} to {to}"))
}

/// What stands in a run.
pub fn filled(pieces: u32, setters: usize, fill: Option<f64>, left_free: usize) -> String {
    let fill = fill.map_or(String::new(), |f| {
        format!(", {:.0}\u{a0}% of them", 100.0 * f)
    });
    let free = match left_free {
        0 => String::new(),
        n => format!(
            "; {} of the base load left out",
            count(n, "level", "levels")
        ),
    };
    say(format!(
        "  {} on {}{fill}{free}",
        count(pieces as usize, "piece", "pieces"),
        count(setters, "setter", "setters")
    ))
}

/// A lot in a run.
pub fn lot(lot: &str, part: &str, pieces: u32, of: u32, when: &str) -> String {
    let share = match pieces == of {
        true => format!("{pieces}"),
        false => format!("{pieces} of {of}"),
    };
    say(format!("  {lot}: {share} × {part}{when}"))
}

/// In time.
pub fn in_time(due: &str) -> String {
    format!(", due {due}")
}

/// Late.
pub fn late(due: &str, by: &str) -> String {
    format!(", due {due}: LATE by {by}")
}

/// Never due.
pub fn not_due() -> String {
    ", no due date".to_owned()
}

/// Put there by hand.
pub fn pinned() -> String {
    " (kept in this run)".to_owned()
}

/// Filled up with what is due later.
pub fn filler() -> String {
    " (fills up the load)".to_owned()
}

/// Not cleared yet.
pub fn not_cleared(ready: &str) -> String {
    format!(" (not cleared yet, to be ready {ready})")
}

/// A time span in hours or days.
pub fn span(min: f64) -> String {
    let hours = min / 60.0;
    if hours < 48.0 {
        format!("{hours:.1}\u{a0}h")
    } else {
        format!("{:.1}\u{a0}days", hours / 24.0)
    }
}

/// What the review says of a run's load.
pub fn reviewed(stops: usize, cautions: usize, missing: usize, file: &str) -> String {
    say(format!(
        "  review: {}, {}, {missing} not evaluated; {file}",
        count(stops, "stop", "stops"),
        count(cautions, "caution", "cautions")
    ))
}

/// Lateness of the whole; `left_over` pieces are in no run.
pub fn lateness(pieces: u32, most_min: f64, left_over: u32) -> String {
    say(match pieces {
        0 if left_over > 0 => format!(
            "Nothing in the runs is late; {} in no run.",
            count(left_over as usize, "piece is", "pieces are")
        ),
        0 => "Nothing is late.".to_owned(),
        n => format!(
            "{} late, at most by {}.",
            count(n as usize, "piece is", "pieces are"),
            span(most_min)
        ),
    })
}

/// How run times are counted.
pub fn how_counted() -> String {
    say(
        "Run times count every wait of the program up to its timeout, so a run may end sooner. A \
         run takes what is due first, then what is due later as far as it goes.",
    )
}

/// Head of what is in no run.
pub fn left_over() -> String {
    say("In no run")
}

/// One job that is in no run, and why.
pub fn left(lot: &str, part: &str, pieces: u32, why: &str) -> String {
    say(format!("  {lot}: {pieces} × {part}: {why}"))
}

/// Not cleared, and nobody knows when.
pub fn never_ready() -> String {
    "not cleared, and no time is given at which it will be ready.".to_owned()
}

/// No place even in an empty load.
pub fn no_place(why: &[String]) -> String {
    match why {
        [] => "finds no place even in an empty load.".to_owned(),
        why => format!("finds no place even in an empty load: {}", why.join(" ")),
    }
}

/// The run was full.
pub fn pinned_full() -> String {
    "there was no room left in the run in which it has to go.".to_owned()
}

/// That run does not come.
pub fn pinned_later() -> String {
    "the run in which it has to go does not come; there are fewer.".to_owned()
}

/// Too many runs.
pub fn too_many_runs() -> String {
    "more runs are not planned at once.".to_owned()
}

/// Stopped.
pub fn stopped() -> String {
    "the search was stopped before it came to this.".to_owned()
}

/// Title of a run's load.
pub fn title(base: &str, number: usize) -> String {
    format!("{base}, run {number}")
}

/// A file that is there.
pub fn already_there(path: &str) -> String {
    say(format!(
        "{path} is there already; choose another folder with -o, or move it away."
    ))
}

/// Making a run on a terminal.
pub fn making(number: usize, base: &str) -> String {
    say(format!("run {number} of {base} …"))
}

/// Reading the files.
pub fn reading() -> String {
    say("Reading the backlog")
}

/// Filling a load.
pub fn filling(number: usize, base: &str) -> String {
    say(format!("Filling load {number}, {base}"))
}

/// Reviewing the loads.
pub fn reviewing() -> String {
    say("Holding the loads against the review")
}
