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
    "no job waits; write one for each lot.".to_owned()
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
    "a job has no lot number; write one.".to_owned()
}

/// A job without a part.
pub fn without_part(lot: &str) -> String {
    format!("job {lot} names no part; write the part's name in its base load.")
}

/// A job without pieces.
pub fn without_pieces(lot: &str) -> String {
    format!("job {lot} has no pieces; take it out, or write how many.")
}

/// A time that is none.
pub fn not_a_time(lot: &str, field: &str, text: &str) -> String {
    format!(
        "job {lot}: \"{text}\" under {field} is neither a day (2026-12-01) nor a moment \
         (2026-12-01 14:00); write one of these."
    )
}

/// The beginning is no moment.
pub fn not_a_start(text: &str) -> String {
    format!("\"{text}\" is not a moment; write it as 2026-12-01 06:00.")
}

/// Runs are counted from 1.
pub fn runs_from_one(lot: &str) -> String {
    format!("job {lot}: runs are counted from 1; write 1 or more.")
}

/// A priority above the most.
pub fn priority_too_great(lot: &str, priority: u32, most: u32) -> String {
    format!("job {lot}: priority {priority} is above {most}; write 0 to {most}.")
}

/// A lot number twice.
pub fn lot_twice(lot: &str) -> String {
    format!(
        "two jobs have the lot number {lot}; one lot is one job: add their pieces, or number one of them anew."
    )
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
    format!(
        "the heading \"{heading}\" stands twice, or means the same as another; take one column out."
    )
}

/// A heading that is needed.
pub fn column_missing(heading: &str) -> String {
    format!(
        "there is no column \"{heading}\"; the first row names the columns, lot, part and count among them."
    )
}

/// Where a job stands in a table.
pub fn row(row: usize) -> String {
    format!("row {row}")
}

/// Where the headings of a table stand.
pub fn headings() -> String {
    "row 1".to_owned()
}

/// Where a job stands in a backlog file.
pub fn of_job(lot: &str) -> String {
    format!("jobs, {lot}")
}

/// More cells than headings.
pub fn more_cells(there: usize, headings: usize) -> String {
    format!(
        "the row has {there} cells and there are {headings} headings; put text with the separator in it into quotation marks."
    )
}

/// A cell that is no whole number.
pub fn not_a_count(column: &str, text: &str) -> String {
    format!("\"{text}\" under {column} is not a whole number; write it in digits, as 40.")
}

/// A cell that is neither yes nor no.
pub fn not_an_answer(column: &str, text: &str) -> String {
    format!("\"{text}\" under {column} is neither yes nor no; write one of them.")
}

/// All rows with a fault, each where it stands.
pub fn row_faults(file: &str, jobs: usize, faults: &[(&str, &str)]) -> String {
    let jobs = count(jobs, "job", "jobs");
    let head = say(format!(
        "In {file} {} of {jobs} cannot be planned; nothing was made:",
        faults.len()
    ));
    let lines = faults.iter().map(|(place, fault)| {
        // What is quoted from a file may hold line ends and a terminal's commands.
        format!("  {place}: {fault}").replace(char::is_control, " ")
    });
    std::iter::once(head)
        .chain(lines)
        .collect::<Vec<_>>()
        .join("\n")
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

/// An option that cannot be used; the reason is a clause.
pub fn not_planned(reason: &str) -> String {
    let reason = reason.trim_end_matches('.');
    let end = if reason.ends_with('?') { "" } else { "." };
    say(format!("Nothing was planned: {reason}{end}"))
}

/// A lot with the number of one in its base load: what is taken over of feedstock lot, its last day,
/// certificate, oversize factors and customer, and whether there is more, which is not.
pub fn same_number(lot: &str, base: &str, taken: [bool; 5], left: bool) -> String {
    let names = [
        "feedstock lot",
        "last day of the feedstock",
        "certificate",
        "oversize factors",
        "customer",
    ];
    let taken = names.iter().zip(taken).filter(|(_, taken)| *taken);
    let taken: Vec<&str> = taken.map(|(name, _)| *name).collect();
    let taken = match taken.as_slice() {
        [] => String::new(),
        all => format!(" Taken over from there: {}.", all.join(", ")),
    };
    let left = match left {
        true => {
            " Weighings, bath and drying were not taken over, for they may be of other pieces: record them anew."
        }
        false => "",
    };
    say(format!(
        "Lot {lot} has the number of a lot in base load {base}.{taken}{left}"
    ))
}

/// A part that no base load has.
pub fn no_such_part(lot: &str, part: &str, near: &[String]) -> String {
    say(format!(
        "Job {lot}: no base load has a part called \"{part}\"{}",
        did_you_mean(near)
    ))
}

/// Parts whose names differ from what was asked for, and from each other, in case alone.
pub fn several_parts(lot: &str, part: &str, names: &[&str]) -> String {
    say(format!(
        "Job {lot}: \"{part}\" may be any of {}, whose names differ in case alone; write the one \
         that is meant.",
        names.join(", ")
    ))
}

/// A part of another feedstock.
pub fn other_feedstock(lot: &str, part: &str, has: &str, said: &str) -> String {
    say(format!(
        "Job {lot}: {part} is of {has} in its base load, not of {said}; correct one of them."
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

/// The fewest runs that there could be.
pub fn least(least: Option<usize>) -> String {
    say(match least {
        Some(least) => format!(
            "By area, height, mass and pins, the pieces in them need at least {}.",
            count(least, "run", "runs")
        ),
        None => "How few runs there could be is not known.".to_owned(),
    })
}

/// One run.
pub fn run(number: usize, base: &str, from: &str, to: &str) -> String {
    say(format!("Run {number}: {base}, {from} to {to}"))
}

/// What stands in a run.
pub fn filled(pieces: u32, coupons: usize, setters: usize, fill: Option<f64>) -> String {
    let coupons = match coupons {
        0 => String::new(),
        n => format!(" and {}", count(n, "coupon", "coupons")),
    };
    let of_them = if setters == 1 { "its" } else { "their" };
    let fill = fill.map_or(String::new(), |f| {
        format!(", {:.0}\u{a0}% of {of_them} usable area", 100.0 * f)
    });
    say(format!(
        "  {}{coupons}; parts on {}{fill}",
        count(pieces as usize, "piece", "pieces"),
        count(setters, "setter", "setters")
    ))
}

/// How the levels of a run differ from those of its base load: on other posts, with another setter,
/// added, left out;
/// the height of the stack with the parts on it here and there, mm.
pub fn levels(
    [posts, setters, added, gone]: [usize; 4],
    [here, there]: [Option<f64>; 2],
    anew: bool,
) -> String {
    let levels = |n| count(n, "level", "levels");
    let mut all = Vec::new();
    if posts > 0 {
        all.push(format!("{} on other posts", levels(posts)));
    }
    if setters > 0 {
        all.push(format!("{} with another setter", levels(setters)));
    }
    if added > 0 {
        all.push(format!("{} added", levels(added)));
    }
    if gone > 0 {
        all.push(format!("{} left out", levels(gone)));
    }
    let than = match all.as_slice() {
        [] => "levels and posts as in the base load".to_owned(),
        all => format!("other than in the base load: {}", all.join(", ")),
    };
    let kept = if anew { "" } else { " (posts kept as asked)" };
    let height = match (here, there) {
        (Some(here), Some(there)) => {
            format!(
                "{here:.0}\u{a0}mm high up to the top of the highest part (base load: {there:.0}\u{a0}mm)"
            )
        }
        _ => "how high the highest part reaches is not known".to_owned(),
    };
    say(format!("  {height}; {than}{kept}"))
}

/// What the trap holds before and after a run, and at most, g.
pub fn trap(before_g: Option<f64>, after_g: Option<f64>, capacity_g: f64) -> String {
    say(match (before_g, after_g) {
        (Some(before), Some(after)) => format!(
            "  trap: {before:.0}\u{a0}g before, {after:.0}\u{a0}g expected after, of {capacity_g:.0}\u{a0}g"
        ),
        (Some(before), None) => format!(
            "  trap: {before:.0}\u{a0}g before, what the run leaves in it is not known, of {capacity_g:.0}\u{a0}g"
        ),
        (None, _) => "  trap: what it holds before the run is not known".to_owned(),
    })
}

/// The note of a load that was made from a backlog.
pub fn note_of_trap(trap: &str) -> String {
    say(format!(
        "From the backlog: {}. Review it once more with what the trap holds by then.",
        trap.trim()
    ))
}

/// How the trap is reckoned, and what else is not carried from run to run.
pub fn how_carried() -> String {
    say(
        "The trap of each run begins with what is on record and what the runs before it are expected \
         to leave, as if nobody emptied it between (assumed: the feedstock's extraction target where a \
         lot is not weighed). All else of the furnace, as gases on hand and past loads, is taken for \
         each run as it is on record now. The loads that are written carry what is on record now.",
    )
}

/// Furniture that two runs use at one time.
pub fn stock_twice(runs: &[usize], id: &str, wanted: usize, there: usize) -> String {
    let runs: Vec<String> = runs.iter().map(ToString::to_string).collect();
    say(format!(
        "Runs {} are in their furnaces at one time and use {wanted} of {id} together, but {there} are in stock: start one after the other.",
        runs.join(" and ")
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
    " (takes room that was left)".to_owned()
}

/// Not cleared yet.
pub fn not_cleared(ready: &str) -> String {
    format!(" (not cleared yet; should be ready {ready})")
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
pub fn reviewed(
    stops: usize,
    named: &[String],
    cautions: usize,
    missing: usize,
    file: &str,
) -> String {
    say(format!(
        "  review: {}{}, {}, {missing} not evaluated; {file}",
        count(stops, "stop", "stops"),
        names(named),
        count(cautions, "caution", "cautions")
    ))
}

/// Names of stops in brackets; nothing where there are none.
pub fn names(named: &[String]) -> String {
    match named {
        [] => String::new(),
        named => format!(" ({})", named.join("; ")),
    }
}

/// What the layouts with more pieces brought, which the base load has not. Whether another layout
/// would bring it nobody knows.
pub fn held_by(stops: &[String]) -> String {
    say(format!(
        "  not filled further: every layout tried with more pieces brought a stop that the base load \
         does not have ({})",
        stops.join("; ")
    ))
}

/// Stops that come of what the runs before leave in the trap.
pub fn of_runs_before(stops: &[String]) -> String {
    say(format!(
        "  empty the trap before this run: with what the runs before leave in it there is a stop ({})",
        stops.join("; ")
    ))
}

/// Stops that a single piece brings as well.
pub fn of_single_pieces(stops: &[String]) -> String {
    say(format!(
        "  stops that the base load does not have; a single piece brings them as well, so fewer pieces \
         do not help: {}",
        stops.join("; ")
    ))
}

/// Other stops that the base load does not have.
pub fn new_stops(stops: &[String]) -> String {
    say(format!(
        "  stops that the base load does not have: {}",
        stops.join("; ")
    ))
}

/// Cautions that the base load does not have, or has accepted: an acceptance is of one load.
pub fn new_cautions(cautions: &[String]) -> String {
    say(format!(
        "  cautions that are not open in the base load: {}",
        cautions.join("; ")
    ))
}

/// Which those are is not known; `forecast` where it is only of what the forecast finds.
pub fn cautions_not_compared(forecast: bool) -> String {
    let of = match forecast {
        true => "of the forecast ",
        false => "",
    };
    say(format!(
        "  not evaluated, since the work was stopped: which cautions {of}are not open in the base load"
    ))
}

/// What comes first of all: runs, those with stops, those of which the review was not finished and
/// has none so far, pieces in none.
pub fn summary(runs: usize, stopped: usize, unfinished: usize, in_none: u32) -> String {
    let of_them = |n: usize| match (n == runs, runs) {
        (true, 1) => "it".to_owned(),
        (true, _) => "each of them".to_owned(),
        _ => format!("{n} of them"),
    };
    let mut all = vec![match runs {
        0 => "No run is planned.".to_owned(),
        _ => format!("{} planned.", count(runs, "run is", "runs are")),
    }];
    match (runs, stopped, unfinished) {
        (0, ..) => {}
        (1, 0, 0) => all.push("The review finds no stop in it.".to_owned()),
        (_, 0, 0) => all.push("The review finds no stop in any of them.".to_owned()),
        (_, 0, _) => {}
        (_, n, _) => all.push(format!("The review finds stops in {}.", of_them(n))),
    }
    if unfinished > 0 {
        let runs = of_them(unfinished);
        all.push(format!("The review is without a forecast in {runs}."));
    }
    all.push(match in_none {
        0 => "No piece is left over.".to_owned(),
        n => format!("{} in no run.", count(n as usize, "piece is", "pieces are")),
    });
    say(all.join(" "))
}

/// Lateness of the whole; of what is in no run: how many pieces, how many of them are due, and when
/// the first of these.
pub fn lateness(
    late: u32,
    most_min: f64,
    (in_none, in_none_due, first_due): (u32, u32, Option<&str>),
) -> String {
    let late = match late {
        0 if in_none == 0 => "Nothing is late.".to_owned(),
        0 => "Nothing in the runs is late.".to_owned(),
        1 => format!("1 piece is late, by {}.", span(most_min)),
        n => format!("{n} pieces are late, by {} at most.", span(most_min)),
    };
    let first = first_due.map_or(String::new(), |first| format!(", the first {first}"));
    let none = match (in_none, in_none_due) {
        (0, _) => String::new(),
        (1, 0) => " 1 piece is in no run; it has no due date.".to_owned(),
        (n, 0) => format!(" {n} pieces are in no run; none of them has a due date."),
        (1, _) => format!(
            " 1 piece is in no run; it is due{}.",
            first_due.map_or(String::new(), |due| format!(" {due}"))
        ),
        (n, due) if n == due => format!(" {n} pieces are in no run; all of them are due{first}."),
        (n, due) => format!(
            " {n} pieces are in no run; {}{first}.",
            count(due as usize, "of them is due", "of them are due")
        ),
    };
    say(format!("{late}{none}"))
}

/// Pieces in runs that are not cleared yet.
pub fn count_on_clearing(pieces: u32) -> String {
    say(format!(
        "{} not cleared yet; the times hold only if they are ready when the backlog says.",
        count(
            pieces as usize,
            "piece in the runs is",
            "pieces in the runs are"
        )
    ))
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
pub fn left(lot: &str, part: &str, pieces: u32, due: Option<&str>, why: &str) -> String {
    let due = due.map_or_else(not_due, in_time);
    say(format!("  {lot}: {pieces} × {part}{due}: {why}"))
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
    "it has to go in one run, and there was no room left in that.".to_owned()
}

/// Not ready when the run of its pin begins.
pub fn pinned_not_ready() -> String {
    "it has to go in one run, and is ready only after that begins: pin it to a later one, or leave the run to be chosen."
        .to_owned()
}

/// The layouts with more that were tried had a stop.
pub fn pinned_held(stops: &[String]) -> String {
    format!(
        "it has to go in one run, and every layout tried with more pieces in that brought a stop that \
         the base load does not have: {}.",
        stops.join("; ")
    )
}

/// That run does not come.
pub fn pinned_later() -> String {
    "it has to go in a run that there is not: its base load has fewer.".to_owned()
}

/// Too many runs.
pub fn too_many_runs() -> String {
    "no more runs are planned at once.".to_owned()
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

/// How hard it is searched, before it begins.
pub fn budget(evaluations: u64) -> String {
    say(format!(
        "{evaluations} places are tried for each filling of a load (--budget); a run takes several fillings."
    ))
}

/// A run was filled; `left` pieces are in none yet.
pub fn made(run: usize, base: &str, pieces: u32, left: u32) -> String {
    say(format!(
        "Run {run}, {base}: {} placed, {left} still to place",
        count(pieces as usize, "piece", "pieces")
    ))
}

/// Looking for fewer runs: whether what is in one goes into the others.
pub fn fewer(run: usize, of: usize) -> String {
    say(format!(
        "Looking for fewer runs: whether run {run} of {of} goes into the others"
    ))
}

/// Looking for less lateness.
pub fn timely() -> String {
    say("Looking for less that is late")
}

/// Setting up a run anew.
pub fn anew(run: usize) -> String {
    say(format!("Setting up the levels of run {run}"))
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
