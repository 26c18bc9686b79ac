//! The forecast in the window: how it stands, its lines over time, and its figures.

use super::{count, figure, say};

/// A forecast is being made, and there is none before it.
pub fn being_made() -> String {
    say("The forecast is being made.")
}

/// What is shown is not of the plan as it is.
pub fn earlier() -> String {
    say("Of an earlier state of the plan; the forecast of the plan as it is now is being made.")
}

/// What is shown follows a hand.
pub fn trial() -> String {
    say("Of what is being dragged or typed, not yet in the plan; it follows the hand.")
}

/// What is shown is of the plan as it is.
pub fn current() -> String {
    say("Forecast of the plan as it is now.")
}

/// How a forecast stands, in a few words: of the plan now, of a trial, of an earlier state, and not
/// there yet.
pub fn short() -> [String; 4] {
    [
        "Forecast: of the plan now",
        "Forecast: of what is dragged or typed",
        "Forecast: of an earlier state",
        "Forecast: being made",
    ]
    .map(say)
}

/// Why there is none, as a forecast says it, and what to do about it.
pub fn none(why: &str, what_to_do: &str) -> String {
    say(format!("{why} {what_to_do}"))
}

/// What a forecast works on, as it is named in a sentence on its failure.
pub fn job() -> &'static str {
    "forecast"
}

/// It failed.
pub fn failed(sentence: &str) -> String {
    say(format!(
        "{sentence} The next change of the plan tries again."
    ))
}

// What to do where figures are missing: an order each, without its point.

/// An empty furnace.
pub fn set_parts_out() -> &'static str {
    "set parts out on a level"
}

/// A record that is not there.
pub fn add_record() -> &'static str {
    "add the record to a catalogue of the shop folder, or choose another one"
}

/// A faulty profile.
pub fn mend_profile() -> &'static str {
    "mend the profile where its findings say so"
}

/// A figure of a part.
pub fn fill_in_part() -> &'static str {
    "fill it in where the part's panel asks for it"
}

/// A figure of a level or segment.
pub fn fill_in_segment() -> &'static str {
    "state the pressure of the segment, or the lowest pressure of the furnace's pump in its record"
}

/// The heights of levels.
pub fn mend_stack() -> &'static str {
    "say what carries the level, with a length known"
}

/// A dummy.
pub fn mend_dummy() -> &'static str {
    "give the dummy a shape with a size"
}

/// Density figures.
pub fn calibrate() -> &'static str {
    "add densification to the feedstock's record, from its supplier or from runs at two heating rates"
}

/// What to do.
pub fn to_do(orders: &[&str]) -> String {
    if orders.is_empty() {
        return "Change the plan to try again.".to_owned();
    }
    format!("To have one: {}.", orders.join("; "))
}

/// A model, not a measurement; no permission.
pub fn a_model() -> String {
    say(
        "A model, not a measurement: no result here is permission to open a furnace. What the \
         furnace's instruments and its written procedure say comes first.",
    )
}

// What is drawn on the curve.

/// The band and its lines.
pub fn band() -> String {
    say("coldest (thick) to hottest")
}

/// Legend of the cold case.
pub fn cold_case() -> String {
    say("Cold case")
}

/// Legend of the hot case.
pub fn hot_case() -> String {
    say("Hot case")
}

/// What is drawn of the cold case.
pub fn cold_hint() -> String {
    say("The coldest place of the parts in the cold case.")
}

/// What is drawn of the hot case.
pub fn hot_hint() -> String {
    say("The hottest place of the parts in the hot case.")
}

/// Legend of the chamber and of the setpoint.
pub fn as_run() -> String {
    say("Furnace as run")
}

/// What that is.
pub fn as_run_hint() -> String {
    say(
        "The chamber (dash, dot) and the setpoint with its waits (dash, two dots), in real time. On \
         ramps the chamber leads: the controller holds its thermocouple at the setpoint, and that lags \
         behind the chamber. Once the program is over there is no setpoint.",
    )
}

/// What the band is.
pub fn band_hint() -> String {
    say("Of all parts in the load, the coldest place (thick) and the hottest (thin), nominal.")
}

/// When the chamber reads the unload temperature.
pub fn chamber_mark(at_c: f64) -> String {
    say(format!("chamber reads {} °C", figure(at_c)))
}

/// When the whole load has it.
pub fn load_mark(at_c: f64) -> String {
    say(format!("load has {} °C", figure(at_c)))
}

/// Band at a time.
pub fn band_at(coldest_c: &str, hottest_c: &str) -> String {
    say(format!("coldest part {coldest_c}, hottest {hottest_c}"))
}

/// Band of a case at a time.
pub fn case_at(case: &str, coldest_c: &str, hottest_c: &str) -> String {
    say(format!("{case}: {coldest_c} to {hottest_c}"))
}

/// Chamber at a time.
pub fn chamber_at(c: &str) -> String {
    say(format!("chamber {c}"))
}

/// Setpoint at a time.
pub fn setpoint_at(c: &str) -> String {
    say(format!("setpoint then {c}"))
}

/// A time of the run, and what the program's clock has then where it still runs.
pub fn real_time(run: &str, clock: Option<&str>) -> String {
    say(match clock {
        Some(clock) => {
            format!("after {run} h:mm of the run, waits counted (program's clock {clock})")
        }
        None => format!("after {run} h:mm of the run, waits counted (program over)"),
    })
}

/// What the setpoint curve has at a time of the program's clock, and when the run is there.
pub fn by_the_clock(read: &str, run: Option<&str>) -> String {
    say(match run {
        Some(run) => format!("Program's clock {read}; the run is there after {run}"),
        None => format!("Program's clock {read}"),
    })
}

/// What both clocks have at the same number of hours.
pub fn both_clocks(by_clock: &str, time: &str, of_run: &str) -> String {
    say(format!(
        "by the program's clock {by_clock}; after {time} of the run, waits counted: {of_run}"
    ))
}

/// Name of the axis where both clocks are drawn along it.
pub fn two_clocks_axis() -> String {
    say("Time, h (points: program's clock; forecast: run with its waits)")
}

/// How long the program takes with its waits.
pub fn with_waits(time: &str) -> String {
    say(format!("({time} with waits)"))
}

// The panes below.

/// What stands on the tabs: segments, panes, figures.
pub fn tabs() -> [String; 3] {
    ["Segments", "Over time", "In figures"].map(say)
}

/// Which panes are shown: binder, off-gas, density.
pub fn panes() -> [String; 3] {
    ["Binder", "Off-gas", "Density"].map(say)
}

/// Whole name of the tab of the panes.
pub fn tab_over_time() -> String {
    say("Forecast over time")
}

/// Whole name of the tab of the figures.
pub fn tab_figures() -> String {
    say("Forecast in figures")
}

/// Which kind of part is drawn.
pub fn kind() -> String {
    say("Kind of part")
}

/// All kinds at once.
pub fn all_kinds() -> String {
    say("all kinds")
}

/// Pane of the binder.
pub fn binder_pane() -> String {
    say("Binder left, %")
}

/// Pane of the off-gas.
pub fn gas_pane() -> String {
    say("Off-gas and sweep, L/min")
}

/// Pane of the density.
pub fn density_pane() -> String {
    say("Density, %")
}

/// Legend.
pub fn worst_place() -> String {
    say("worst place")
}

/// Legend.
pub fn best_place() -> String {
    say("best place")
}

/// Legend.
pub fn offgas_line() -> String {
    say("off-gas")
}

/// Legend.
pub fn sweep_line() -> String {
    say("sweep")
}

/// Legend.
pub fn least_dense() -> String {
    say("least dense place")
}

/// Legend.
pub fn most_dense() -> String {
    say("most dense place")
}

/// Legend.
pub fn least_dense_cold() -> String {
    say("least, cold case")
}

/// Legend.
pub fn most_dense_hot() -> String {
    say("most, hot case")
}

/// A pane for those who do not see it: what it shows, and each line at the end.
pub fn pane_summary(pane: &str, ends: &[String]) -> String {
    say(format!("{pane}; at the end {}", ends.join(", ")))
}

/// A line and its value.
pub fn line_at(name: &str, value: &str) -> String {
    format!("{name} {value}")
}

/// A kind of part and what is read of it.
pub fn kind_at(kind: &str, values: &str) -> String {
    say(format!("{kind}: {values}"))
}

/// Nothing to draw in a pane.
pub fn no_lines() -> String {
    say("Nothing of this in the forecast.")
}

/// No density, and why: what is lacking.
pub fn no_density(lacking: &[String]) -> String {
    say(format!(
        "Not evaluated: it lacks {} (tab Measured).",
        lacking.join("; ")
    ))
}

/// No density, since parts go in again.
pub fn no_density_refired(parts: &[String]) -> String {
    say(format!(
        "Not evaluated: {} in the furnace again, sintered, with a density that nobody knows.",
        parts.join(", ")
    ))
}

/// No density, since a part goes above what its figures are for.
pub fn no_density_above(parts: &[String]) -> String {
    say(format!(
        "No prediction: {} above the temperatures for which there are figures of the powder.",
        parts.join(", ")
    ))
}

/// The greatest value of a line.
pub fn at_most(line: &str, value: &str) -> String {
    say(format!("({line} at most {value})"))
}

// The figures.

/// Figures that are assumed, of all of the forecast that are.
pub fn assumed(n: usize, all: usize) -> String {
    say(if n == all {
        format!("assumed: {}", count(n, "figure", "figures"))
    } else {
        format!("assumed: {n} of {}", count(all, "figure", "figures"))
    })
}

/// Why a hold rests on fewer figures than the parts.
pub fn heat_alone() -> String {
    say("those of heat; the others are of binder and powder")
}

/// The same as the name of a button.
pub fn show_assumed(what: &str, n: usize) -> String {
    say(format!(
        "{what}: show {} that {} assumed",
        count(n, "figure", "figures"),
        if n == 1 { "is" } else { "are" }
    ))
}

/// Beside a value that rests on an assumed figure.
pub fn assumed_mark() -> &'static str {
    "assumed"
}

/// A value that rests on an assumed figure.
pub fn rests_on_assumed(value: &str) -> String {
    say(format!("{value} ({})", assumed_mark()))
}

/// Heading of the holds.
pub fn holds() -> String {
    say("Holds: what the coldest place gets of them")
}

/// Heading of the parts.
pub fn parts() -> String {
    say("Parts: nominal, cold case, hot case")
}

/// Heading of the run.
pub fn run() -> String {
    say("The run")
}

/// No hold lasts.
pub fn no_holds() -> String {
    say("No segment holds.")
}

/// A value with its margin under it.
pub fn two_lines(value: &str, margin: Option<&str>) -> String {
    margin.map_or_else(|| value.to_owned(), |margin| format!("{value}\n{margin}"))
}

/// How far a density is from the least that is asked for.
pub fn density_margin(margin: &str, asked: &str, under: bool) -> String {
    say(if under {
        format!("{margin} under the least, {asked}")
    } else {
        format!("{margin} over the least, {asked}")
    })
}

/// A figure that is nought in the digits told.
pub fn less_than(figure: &str) -> String {
    format!("less than {figure}")
}

/// How far a size is from its tolerance.
pub fn size_margin(mm: &str, tolerance: &str, outside: bool) -> String {
    say(if outside {
        format!("{mm} mm outside the tolerance, ±{tolerance}")
    } else {
        format!("{mm} mm inside the tolerance, ±{tolerance}")
    })
}

/// A value of a case.
pub fn of_case(case: &str, value: &str) -> String {
    say(format!("{case} {value}"))
}

/// Heading of a column.
pub fn column(name: &str) -> String {
    say(name)
}

/// A hold in one sentence; how long it lasts where waits make that another time.
pub fn hold(
    target: &str,
    clock_min: &str,
    lasts_min: Option<&str>,
    gets_min: &str,
    needs_min: Option<&str>,
) -> String {
    let lasts = lasts_min.map_or(String::new(), |min| format!(" (lasts {min} with waits)"));
    let needs = needs_min.map_or(String::new(), |min| format!("; needs {min}"));
    say(format!(
        "{target}: clock {clock_min} min{lasts}\ncoldest place gets {gets_min}{needs}"
    ))
}

/// Minutes.
pub fn minutes(min: &str) -> String {
    say(format!("{min} min"))
}

/// Minutes with what they may be off.
pub fn minutes_off(min: &str, off: &str) -> String {
    say(format!("{min} ± {off} min"))
}

/// It arrives nominal, and not in the cold case.
pub fn not_when_cold(min: &str) -> String {
    say(format!("{min} min; cold case: not within a day"))
}

/// It does not arrive.
pub fn never() -> String {
    say("not within a day")
}

/// The hold is for a component of the binder.
pub fn for_component(component: &str, left_pct: f64) -> String {
    format!("until {component} is down to {} %", figure(left_pct))
}

/// The hold is the feedstock's.
pub fn for_sintering(part: &str) -> String {
    format!("by the feedstock of {part}")
}

/// More than is needed, or less.
pub fn margin_min(min: &str, short: bool) -> String {
    say(if short {
        format!("{min} min too short")
    } else {
        format!("{min} min to spare")
    })
}

/// A margin with the case in which it is least.
pub fn in_case(margin: &str, case: &str) -> String {
    format!("{margin} ({case})")
}

/// Missing at the end.
pub fn short_k(k: &str) -> String {
    say(format!("{k} K short at its end"))
}

/// Centre of a level.
pub fn centre() -> &'static str {
    "centre"
}

/// Edge of a level.
pub fn edge() -> &'static str {
    "edge"
}

/// A ring between.
pub fn ring(number: usize, of: usize) -> String {
    format!("ring {number} of {of} from the centre")
}

/// A place.
pub fn place(level: &str, ring: &str, what: &str) -> String {
    say(format!("{level}, {ring}, {what}"))
}

/// A part's inside, as a place.
pub fn inside(part: &str) -> String {
    format!("inside of {part}")
}

/// Kind of part with its number of pieces.
pub fn kind_head(name: &str, pieces: usize) -> String {
    say(format!("{name}, {}", count(pieces, "piece", "pieces")))
}

/// The value by case.
pub fn by_case(nominal: &str, cold: Option<&str>, hot: Option<&str>) -> String {
    say(match (cold, hot) {
        (Some(cold), Some(hot)) => format!("{nominal} (cold {cold}, hot {hot})"),
        _ => nominal.to_owned(),
    })
}

/// From one to another.
pub fn from_to(low: &str, high: &str) -> String {
    if low == high {
        low.to_owned()
    } else {
        format!("{low} to {high}")
    }
}

/// What is wanted of the binder, and how far it is from that.
pub fn binder_margin(wanted_pct: f64, margin: &str, over: bool) -> String {
    let wanted = figure(wanted_pct);
    say(if over {
        format!("{margin} over the {wanted} % that may be left")
    } else {
        format!("{margin} under the {wanted} % that may be left")
    })
}

/// Size in words.
pub fn size(sides: &str) -> String {
    format!("{sides}\u{a0}mm")
}

/// How far a size is from the drawing's at most.
pub fn off_drawing(drawn: &str, off_mm: &str, off_pct: &str) -> String {
    say(format!(
        "drawing {drawn} mm; off it by {off_mm} mm ({off_pct} %) at most"
    ))
}

/// The part is not drawn at its final size.
pub fn no_drawing() -> String {
    say("drawn green: no final size to hold it against")
}

/// Unloading.
pub fn unload(at_c: f64, chamber: &str, load: &str) -> String {
    say(format!(
        "Unload at {} °C, once the program is over: the chamber reads it from {chamber}; the whole load has it from {load}",
        figure(at_c)
    ))
}

/// End of the program.
pub fn program_end(hours: &str) -> String {
    say(format!("Program ends after {hours}"))
}

/// Trap.
pub fn trap(caught: &str, after: Option<&str>, capacity: Option<&str>) -> String {
    let after = after.map_or(String::new(), |g| format!("; then {g} are in it"));
    let capacity = capacity.map_or(String::new(), |g| format!("; it holds {g}"));
    say(format!("Binder trap catches {caught}{after}{capacity}"))
}

/// Off-gas.
pub fn offgas(l_min: &str) -> String {
    say(format!("Off-gas up to {l_min} at 25 °C and 1 atm"))
}

/// Off-gas of which nothing is known.
pub fn no_offgas() -> String {
    say("Off-gas not evaluated")
}

/// Energy.
pub fn energy(kwh: &str) -> String {
    say(format!("Electric energy {kwh}"))
}

/// Heading of the list of figures.
pub fn figures(all: usize, assumed: usize) -> String {
    say(format!(
        "All figures used ({all}, of which {assumed} assumed)"
    ))
}

/// Only those assumed.
pub fn only_assumed() -> String {
    say("Only those assumed")
}

/// A figure without a record belongs to the model.
pub fn of_the_model() -> String {
    say("the model")
}

/// A word or number of a record or bibliography, as it stands there.
pub fn data(text: &str) -> String {
    say(text)
}

/// Behind a hold below where the survey begins.
pub fn not_surveyed(hold: &str, from_c: f64) -> String {
    say(format!(
        "{hold} (cold and hot case not evaluated: survey from {from_c:.0} °C)"
    ))
}
