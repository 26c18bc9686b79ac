//! Questions beyond the forecast as the window asks them: a run that was stopped, a shorter
//! program, cost, figures from measurements.

use super::{digits, figure, say};

/// What stands on a tab and its whole name: stopped, shorten, cost, measured.
pub fn tabs() -> [(String, String); 4] {
    [
        ("Run stopped", "A run that was stopped"),
        ("Shorten", "A shorter program"),
        ("Cost", "Cost of the run"),
        ("Measured", "Figures from measurements"),
    ]
    .map(|(short, whole)| (say(short), say(whole)))
}

/// The answer is of another state.
pub fn stale() -> String {
    say("Of an earlier state of the plan or its records: ask again.")
}

/// Work goes on.
pub fn being_answered() -> String {
    say("Being computed; the window can be used meanwhile.")
}

/// Button.
pub fn stop() -> String {
    say("Stop")
}

/// Nothing in a cell.
pub fn none() -> String {
    say("–")
}

/// A word or number of a record, as it stands there.
pub fn data(text: &str) -> String {
    say(text)
}

/// One under the other.
pub fn lines(all: &[String]) -> String {
    all.join("\n")
}

// A run that was stopped.

/// How a stop is told.
pub fn stopped_by() -> [String; 4] {
    [
        "Time since the start, waits counted",
        "Time by the program's clock",
        "Setpoint in a segment",
        "Log of the chamber",
    ]
    .map(say)
}

/// What to type.
pub fn stopped_hint() -> String {
    say(
        "Say when the run stopped: the time (5:00, 300 min), the setpoint and its segment, or a log of the \
         chamber until then. It tells what the load has by then, and what each way on gives.",
    )
}

/// Field.
pub fn stopped_after() -> String {
    say("Stopped after")
}

/// Field.
pub fn into_hold() -> String {
    say("So long into its hold")
}

/// Field.
pub fn log_until() -> String {
    say("Taken up to its minute")
}

/// Field.
pub fn ran_last() -> String {
    say("Ran last")
}

/// The same, for a reader of the screen.
pub fn segment_ran_last() -> String {
    say("Segment that ran last by the log")
}

/// The segment that ran last goes by the log.
pub fn as_log_tells() -> String {
    say("as the log tells")
}

/// Field.
pub fn stands_off() -> String {
    say("Furnace stands off for")
}

/// A pause that cannot be.
pub fn pause_cannot_be(most_h: f64) -> String {
    say(format!(
        "A furnace can be followed while it stands off for 0 to {most_h:.0} h."
    ))
}

/// No pause.
pub fn at_once() -> String {
    say(
        "Ways on as if they began at once, with the load as hot as at the stop; type how long the furnace stands off if it does.",
    )
}

/// Field.
pub fn setpoint_then() -> String {
    say("Setpoint then")
}

/// Field.
pub fn labour_of_run() -> String {
    say("Labour of the run")
}

/// Name of the list of segments.
pub fn segment_stopped_in() -> String {
    say("Segment in which it stopped")
}

/// A segment.
pub fn segment(number: usize) -> String {
    say(format!("segment {number}"))
}

/// Button.
pub fn where_is_it() -> String {
    say("Show where the load is")
}

/// Button.
pub fn open_run_log() -> String {
    say("Open the log…")
}

/// What a log has.
pub fn log_columns() -> String {
    say(
        "A CSV with the columns time_s and temperature_c (chamber, °C), from the start of the run to the stop.",
    )
}

/// A temperature that a segment does not have.
pub fn not_in_segment(number: usize, c: f64, from_c: f64, to_c: f64) -> String {
    say(format!(
        "The setpoint of segment {number} goes from {from_c:.0} to {to_c:.0} °C: {} °C is not on its way.",
        figure(c)
    ))
}

/// Minutes of a hold that there is not, or not so long; °C and minutes.
pub fn not_in_hold(number: usize, c: f64, hold_min: f64) -> String {
    let c = figure(c);
    say(match hold_min > 0.0 {
        true => format!(
            "Segment {number} holds {c} °C for {hold_min:.0} min: give minutes from nought to that."
        ),
        false => format!(
            "Segment {number} does not hold {c} °C: leave the minutes into the hold out, or give \
             the setpoint of its hold."
        ),
    })
}

/// What it is called in a sentence on its failure.
pub fn stopped_job() -> &'static str {
    "forecast of the stopped run"
}

/// First columns.
pub fn stopped_heads() -> [String; 2] {
    ["Part", "Now"].map(say)
}

/// A way on, as a heading: the rest, the hold again, all again.
pub fn way_short(way: usize) -> String {
    say(match way {
        0 => "Go on",
        1 => "Repeat the hold",
        _ => "Cool, load again",
    })
}

/// What the ways are.
pub fn ways_hint() -> String {
    say(
        "Go on: the rest of the program. Repeat the hold: back to this segment's target, its whole hold, then the \
         rest. Cool, load again: the whole program once more with the \
         parts as they are. In brackets the least and the greatest of nominal, cold and hot case.",
    )
}

/// Heading of the row of times.
pub fn times() -> String {
    say("Time")
}

/// No time has passed.
pub fn nothing_yet() -> String {
    say("–")
}

/// How long a way takes.
pub fn way_times(program: &str, load: &str, again: bool) -> String {
    let from = if again {
        "from the new start, cooling not counted:"
    } else {
        "from now:"
    };
    say(format!(
        "{from}\nprogram ends after {program}\nload has the unload temperature after {load}"
    ))
}

// A shorter program.

/// Button.
pub fn search() -> String {
    say("Search a shorter program")
}

/// What it does.
pub fn shorten_hint() -> String {
    say(
        "Searches, segment by segment, the shortest holds and fastest ramps that keep every limit of the review in the \
         cold and the hot case and the limit \"hold-margin\", and names the limit that binds each. It takes seconds to minutes in the background \
         and changes nothing until you take it.",
    )
}

/// It was stopped.
pub fn search_stopped() -> String {
    say("The search was stopped; nothing is changed.")
}

/// What it is called in a sentence on its failure.
pub fn shorten_job() -> &'static str {
    "search for a shorter program"
}

/// Button.
pub fn take_shorter() -> String {
    say("Take it into the plan")
}

/// Button.
pub fn save_draft() -> String {
    say("Save as a draft beside it…")
}

/// Label of the edit.
pub fn shorter_label() -> String {
    say("Shorter program")
}

/// Nothing differs.
pub fn nothing_shorter() -> String {
    say("Nothing can be shorter without breaking a limit.")
}

/// Nothing to save.
pub fn nothing_found() -> String {
    say("No shorter program is there to be saved: search one.")
}

/// The draft would replace what it stands beside.
pub fn draft_over_itself() -> String {
    say("A draft stands beside the load: name another file than that of the load itself.")
}

/// Where the state of the furnace is typed.
pub fn state_of_furnace() -> String {
    say("What is known of the furnace is typed on the board Lots and furnace.")
}

/// Columns.
pub fn shorter_heads() -> [String; 6] {
    [
        "Segment",
        "Hold: now, could be",
        "One step shorter breaks",
        "Ramp: now, could be",
        "One step faster breaks",
        "Saves",
    ]
    .map(say)
}

/// A segment and its target.
pub fn segment_at(number: usize, target_c: f64) -> String {
    say(format!("{number}: {} °C", figure(tenth(target_c))))
}

fn tenth(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

/// A figure as it is and as it could be.
pub fn now_could_be((now, could): (f64, f64), unit: &str) -> String {
    let [now, could] = [now, could].map(|x| figure((x * 100.0).round() / 100.0));
    say(if now == could {
        format!("{now} {unit} stays")
    } else {
        format!("{now} {unit}, could be {could}")
    })
}

/// What the coldest place gets of a hold and needs, min.
pub fn gets_needs(gets: f64, needs: Option<f64>) -> String {
    let needs = needs.map_or(String::new(), |n| format!(", needs {n:.0}"));
    say(format!("coldest place gets {gets:.0} now{needs}"))
}

/// No limit stood in the way.
pub fn no_limit() -> String {
    say("no limit: the end of the search")
}

// Cost.

/// Button to where prices are typed.
pub fn to_prices() -> String {
    say("Prices are typed under Shop")
}

/// No prices at all.
pub fn no_prices() -> String {
    say(
        "Not evaluated: the shop has set no prices. Type them on the board Shop, under Hours and prices; without a \
         shop folder choose one first (File menu).",
    )
}

/// No price of one thing.
pub fn no_price() -> String {
    say("not evaluated: no price of it (Shop, Hours and prices)")
}

/// No labour.
pub fn no_labour() -> String {
    say("not evaluated: type the labour of the run above")
}

/// Labour below nought.
pub fn labour_below_nought() -> String {
    say("Labour is nought or more minutes.")
}

/// Minutes.
pub fn minutes(min: f64) -> String {
    say(format!("{min:.0} min"))
}

/// Columns.
pub fn cost_heads() -> [String; 4] {
    ["What", "Amount", "Cost", "For each part"].map(say)
}

// Figures from measurements.

/// Button.
pub fn open_empty_run() -> String {
    say("Log of an empty run…")
}

/// Button.
pub fn open_loaded_run() -> String {
    say("Log of a run of this load…")
}

/// Button.
pub fn open_pieces() -> String {
    say("Measured pieces…")
}

/// Choice.
pub fn with_energy() -> String {
    say("Q too")
}

/// What that is.
pub fn with_energy_hint() -> String {
    say(
        "Moves the activation energy of the densification, too: it takes pieces from two heating rates.",
    )
}

/// What can be opened.
pub fn measured_hint() -> String {
    say(
        "Logs are CSV with time_s, temperature_c (chamber) and power_w; that of this load has load_1_c, load_2_c ... \
         for its load thermocouples. Pieces are CSV with lot or part, level, ring, and density_pct or green_mm and \
         sintered_mm.",
    )
}

/// What a fit is called in a sentence on its failure.
pub fn fit_job() -> &'static str {
    "fit of the furnace"
}

/// What a calibration is called in a sentence on its failure.
pub fn calibration_job() -> &'static str {
    "calibration"
}

/// Columns of fitted figures.
pub fn fit_heads() -> [String; 5] {
    ["Figure", "Record", "Measured", "±", "Moved by"].map(say)
}

/// Three digits that count, and a unit.
pub fn value(x: f64, unit: &str) -> String {
    say(format!("{} {unit}", digits(x)).trim_end())
}

/// The data do not tell it.
pub fn not_told() -> String {
    say("not determined by these data: the record's stays")
}

/// A change, as a share.
pub fn moved_by(was: f64, is: f64) -> String {
    if was == 0.0 {
        return none();
    }
    say(format!("{:+.1} %", 100.0 * (is - was) / was.abs()))
}

/// Where furnace figures go.
pub fn into_furnace_record(slug: &str) -> String {
    say(format!(
        "The record is not changed here: write the figures under heat of furnace \"{slug}\" in a catalogue file of the \
         shop folder, with the day of the run as their source, and choose the folder again. An emissivity goes into \
         the record of the setters' material."
    ))
}

/// Where densification goes.
pub fn into_feedstock_record(slug: &str) -> String {
    say(format!(
        "The record is not changed here: write this into feedstock \"{slug}\" in a catalogue file of the shop folder, \
         with the lot of the pieces as its source, and choose the folder again."
    ))
}

/// The field of a record, as it is written there.
pub fn branch_field(kj_mol: f64, a: f64, b: f64) -> String {
    format!("branch: (kj_mol: {kj_mol:.1}, a: {a:.5}, b: {b:.4})")
}

/// Button.
pub fn copy() -> String {
    say("Copy")
}

/// The table has no rows.
pub fn no_rows() -> String {
    say("The table has no rows: nothing was measured.")
}

/// Columns of the pieces.
pub fn piece_heads() -> [String; 5] {
    ["Row", "Measured", "By the record", "Calibrated", "Remark"].map(say)
}

/// A row of a table.
pub fn row(number: usize) -> String {
    say(format!("{number}"))
}

/// A density.
pub fn percent(share: f64) -> String {
    say(format!("{:.1} %", 100.0 * share))
}
