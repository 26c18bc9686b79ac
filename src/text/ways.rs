//! What is asked of a forecast beyond the forecast: a run that was stopped, a shorter program, cost,
//! furnace figures from logs, densification from measured pieces.

use super::{count, digits, figure, figure_to, say};

// Tables that are read.

/// A table cannot be read.
pub fn table(file: &str, why: &str) -> String {
    say(format!("{file}: {why}"))
}

/// A field is empty or names nothing.
pub fn names_nothing(column: &str, row: usize, word: &str) -> String {
    format!("row {row}: \"{word}\" under \"{column}\" names nothing in this load")
}

// Arguments.

/// No load file.
pub fn needs_file() -> String {
    say("Name a load file (*.load.ron).")
}

/// No furnace for a fit.
pub fn needs_furnace() -> String {
    say("Name the furnace: a load file, --loaded FILE CSV, or --furnace SLUG.")
}

/// Two runs in two furnaces.
pub fn other_furnace(loaded: &str, empty: &str) -> String {
    say(format!(
        "The loaded run is in furnace \"{loaded}\", the empty one in \"{empty}\": both have to be in one."
    ))
}

/// Minutes that cannot be.
pub fn minutes_cannot_be() -> String {
    say(
        "--stopped-at takes minutes from the start of the run, waits counted, nought or more; with --by-clock those of the program's clock.",
    )
}

// A run that was stopped.

/// Heading, with the time as the run goes and as the program's clock counts it.
pub fn stopped_head(title: &str, minutes: f64, clock: f64, segment: usize) -> String {
    say(format!(
        "\"{title}\" stopped {minutes:.0} minutes after its start, waits counted ({clock:.0} by the \
         program's clock, which stands still while it waits), in segment {segment}"
    ))
}

/// A stop that comes too late to be one.
pub fn stopped_after_end(minutes: f64, end: f64, by_clock: bool) -> String {
    let which = if by_clock {
        "by its clock"
    } else {
        "waits counted"
    };
    say(format!(
        "Minute {} lies after the end of the program, which ends at minute {end:.0} \
         ({which}): what follows is cooling, and nothing of it can be stopped.",
        figure_to(minutes, 0)
    ))
}

/// Nothing could be told.
pub fn nothing_ran() -> String {
    say("Nothing can be told: no part of the run lies in what was given.")
}

/// Temperatures now.
pub fn now_at(setpoint_c: f64, coldest: &str, hottest: &str) -> String {
    say(format!(
        "setpoint {setpoint_c:.0} °C; the coldest place has {coldest}, the hottest {hottest}"
    ))
}

/// Binder of a component now.
pub fn now_left(component: &str, least: &str, most: &str) -> String {
    say(format!(
        "{component}: {most} of what entered left at the worst place, {least} at the best"
    ))
}

/// Density now.
pub fn now_density(least_to_most: &str) -> String {
    say(format!("density so far {least_to_most}"))
}

/// Trap now.
pub fn now_trap(caught: &str) -> String {
    say(format!("the trap has caught {caught} of this run"))
}

/// A way on.
pub fn way_head(way: &str) -> String {
    say(format!("If you {way}"))
}

/// The rest of the program.
pub fn go_on() -> &'static str {
    "go on with the rest of the program"
}

/// The hold again.
pub fn repeat_hold() -> &'static str {
    "go back to this segment's target, repeat its whole hold, then go on"
}

/// All again.
pub fn reload() -> &'static str {
    "let it cool, load again as it is and run the whole program"
}

/// How long a way takes.
pub fn way_time(program: &str, load: &str) -> String {
    say(format!(
        "the program ends {program} from now, the whole load has the unload temperature after {load}"
    ))
}

/// Where the furnace's time in between is not counted.
pub fn way_cooling() -> String {
    say("(from the new start; cooling before it is not counted)")
}

// A shorter program.

/// Heading.
pub fn shorter_head(title: &str) -> String {
    say(format!(
        "Shortest holds and fastest ramps of \"{title}\" that keep every limit in the cold and the hot case"
    ))
}

/// No cases, no search.
pub fn shorter_needs_cases(why: &str) -> String {
    say(format!("No shorter program is searched. {why}"))
}

/// A segment that is none.
pub fn shorter_no_segment(number: usize, of: usize) -> String {
    say(format!(
        "There is no segment {number}: the program has {}, counted from 1.",
        count(of, "segment", "segments")
    ))
}

/// How far a search is.
pub fn shorter_progress(number: usize, of: usize) -> String {
    say(format!("searching segment {number} of {of}"))
}

/// A segment.
pub fn shorter_segment(number: usize, target_c: f64) -> String {
    say(format!(
        "segment {number}, {} °C",
        figure(to(target_c, 10.0))
    ))
}

/// A figure to a part of one, without the dust of its sums.
fn to(value: f64, parts: f64) -> f64 {
    (value * parts).round() / parts
}

/// What the coldest place gets of a hold.
pub fn shorter_gets(clock: f64, gets: f64, needs: Option<f64>) -> String {
    let needs = needs.map_or(String::new(), |n| format!(", needs {n:.0}"));
    say(format!(
        "clock {clock:.0}, coldest place gets {gets:.0}{needs} in the worse of the two cases"
    ))
}

/// Its hold.
pub fn shorter_hold(was: f64, is: f64, bound: Option<&str>) -> String {
    let bound = bound.map_or(String::new(), |b| format!("; one step shorter: {b}"));
    say(if (was - is).abs() < 1e-9 {
        format!("hold {was:.0} min stays{bound}")
    } else {
        format!("hold {was:.0} min could be {is:.0}{bound}")
    })
}

/// Its ramp.
pub fn shorter_ramp(was: f64, is: f64, bound: Option<&str>) -> String {
    let bound = bound.map_or(String::new(), |b| format!("; one step faster: {b}"));
    let (was, now) = (figure(to(was, 100.0)), figure(to(is, 100.0)));
    say(if was == now {
        format!("ramp {was} K/min stays{bound}")
    } else {
        format!("ramp {was} K/min could be {now}{bound}")
    })
}

/// Minutes saved.
pub fn shorter_saves(minutes: f64) -> String {
    say(if minutes >= 0.0 {
        format!("saves {minutes:.0} min")
    } else {
        format!("takes {:.0} min more", -minutes)
    })
}

/// The whole.
pub fn shorter_whole(was: f64, is: f64) -> String {
    say(format!(
        "by its clock the program takes {is:.0} min instead of {was:.0}"
    ))
}

/// What remains broken whatever the holds are.
pub fn shorter_remains(titles: &[String]) -> String {
    say(format!(
        "found before and still found, not worse: {}",
        titles.join("; ")
    ))
}

/// Judged how.
pub fn shorter_judged() -> String {
    say(
        "Judged by the stops and cautions of the whole review, the density of the cold case not below what it is; \
         checks that look at the nominal case were given the cold one.",
    )
}

/// Density, as a limit that binds.
pub fn density_not_lower() -> String {
    say("density of the cold case lower than now")
}

/// A draft was written.
pub fn draft_written(file: &str) -> String {
    say(format!(
        "Draft written to {file}: unsigned, to be judged and approved like any other."
    ))
}

/// Title of a draft.
pub fn draft_title(title: &str) -> String {
    format!("{title} (draft, shorter)")
}

/// A file is there.
pub fn draft_exists(file: &str) -> String {
    say(format!(
        "{file} exists: name a new file for the draft after -o."
    ))
}

// Cost.

/// Heading.
pub fn cost_head(title: &str) -> String {
    say(format!("Cost of \"{title}\", nominal case"))
}

/// A line.
pub fn cost_line(what: &str, amount: &str, cost: &str) -> String {
    say(format!("{what}: {amount}, {cost}"))
}

/// Money.
pub fn money(currency: &str, value: f64) -> String {
    format!("{value:.2} {currency}").trim_end().to_owned()
}

/// No price.
pub fn no_price() -> String {
    say("not evaluated: the shop's record has no price of it")
}

/// No amount.
pub fn no_labour() -> String {
    say("not evaluated: say how long with --labour MIN")
}

/// Furnace time.
pub fn furnace_time() -> &'static str {
    "furnace"
}

/// Energy.
pub fn energy() -> &'static str {
    "electric energy"
}

/// Labour.
pub fn labour() -> &'static str {
    "labour"
}

/// Gas of purges of which nothing says with what.
pub fn purge_gas() -> &'static str {
    "gas of the purges (which is not said)"
}

/// Furniture.
pub fn furniture() -> &'static str {
    "wear of setters and posts"
}

/// One run.
pub fn one_run() -> &'static str {
    "one run"
}

/// Sum.
pub fn cost_total(run: &str, part: Option<&str>, pieces: usize, incomplete: bool) -> String {
    let part = part.map_or(String::new(), |p| {
        format!(
            ", {p} for each of {} (coupons and dummies not counted; of what turns out bad nothing is known)",
            count(pieces, "part", "parts")
        )
    });
    let only = if incomplete {
        " (only of what was evaluated)"
    } else {
        ""
    };
    say(format!("one run {run}{part}{only}"))
}

/// Whose the prices are.
pub fn prices_of(shop: &str, source: &str, standing: &str) -> String {
    say(format!("Prices set by {shop}, {standing}; {source}"))
}

/// The furnace is not followed until unload.
pub fn cost_time_open() -> String {
    say(
        "The load is not followed down to its unload temperature: furnace time counts to the program's end.",
    )
}

// Fits.

/// Heading.
pub fn fit_head(furnace: &str, empty: bool) -> String {
    let which = if empty { "empty" } else { "loaded" };
    say(format!("{furnace}, from the {which} run"))
}

/// A figure that moved.
pub fn fit_line(name: &str, unit: &str, from: f64, to: f64, error: Option<f64>) -> String {
    let error = error.map_or_else(
        || "error not evaluated".to_owned(),
        |e| format!("± {}", digits(e)),
    );
    let said = format!(
        "{name}: {} -> {} {unit} ({error})",
        digits(from),
        digits(to)
    );
    say(said.replace("  (", " ("))
}

/// A figure that the runs do not tell.
pub fn fit_kept(name: &str, unit: &str, was: f64, error: Option<f64>) -> String {
    let error = error.map_or(String::new(), |e| {
        format!(" (they tell it to ± {})", digits(e))
    });
    let said = format!(
        "{name}: not determined by these data{error}; the record's {} {unit} is kept",
        digits(was)
    );
    say(said.replace("  ", " "))
}

/// What is left.
pub fn fit_residual(power: bool, from: f64, to: f64) -> String {
    let unit = if power { "% of the highest power" } else { "K" };
    say(format!(
        "residual (root mean square) {} -> {} {unit}",
        digits(from),
        digits(to)
    ))
}

/// Highest power seen.
pub fn fit_power(kw: f64, at_c: f64, record: f64) -> String {
    say(format!(
        "highest power logged {kw:.1} kW, at {at_c:.0} °C; the record says {record:.1} kW"
    ))
}

/// The log has nothing to compare.
pub fn fit_nothing() -> String {
    say(
        "Nothing to fit: the log needs power_w or a column of a load thermocouple (load_1_c, load_2_c, ...) \
         that stands in the load.",
    )
}

/// How it goes into the record.
pub fn fit_into_record() -> String {
    say(
        "The record is not changed: write the figures into the furnace's record, with the day of the run as their source.",
    )
}

/// loss_w_k.
pub fn loss() -> &'static str {
    "linear loss (loss_w_k)"
}

/// loss_area.
pub fn loss_area() -> &'static str {
    "radiating loss (loss_area_m2 over shields and emissivity)"
}

/// chamber_kj_k.
pub fn chamber_heat() -> &'static str {
    "heat capacity of the chamber (chamber_kj_k)"
}

/// Emissivity of the setters.
pub fn setter_emissivity() -> &'static str {
    "emissivity of the setters"
}

/// The card.
pub fn card() -> String {
    let how = "\
setterwright forecast LOAD --fit EMPTY.csv --loaded LOAD RUN.csv
Tables have a heading; commas separate the fields, or semicolons or tabs, where numbers may have a decimal comma.
setterwright forecast LOAD --calibrate PIECES.csv      (lot or part; level from the hearth up; ring from
the centre; density_pct, or green_mm and sintered_mm; load= another load file of the run, beside the table)";
    format!("{}\n{}", card_runs(), say(how))
}

/// The runs that it describes.
pub fn card_runs() -> String {
    say(
        "\
Three runs that make the forecast yours

1. Empty. No setters, no load; pumped, no sweep. Follow a program with at least three holds of 60 min
   or more over the whole range (such as 300, 700, 1100 °C) and ramps of two different rates between
   them. Log time_s, temperature_c (control thermocouple) and power_w (mean since the row before) once a
   minute. It gives the heat capacity of the chamber and its losses, and the highest power it reached.
2. Loaded. Setters and dummies or scrap as in a usual load, one thermocouple in the middle of the middle
   level and one at the edge of the uppermost, in the plan as they stand. Run the usual program; add
   load_1_c and load_2_c in the order in which the plan has them. It gives the emissivity of the setters,
   which rules the lag of the middle.
3. Density. At least three pieces of one feedstock from places (or runs) that differ in time or
   temperature; note level and ring. Weigh them in water, or measure one length before and after. It
   gives a and b of the densification; with two heating rates also its energy.

Repeat 1 after work on elements or insulation, 2 when setters are replaced, 3 with each powder lot.",
    )
}

// Calibration of densification.

/// Heading.
pub fn calibrated_head(feedstock: &str, points: usize) -> String {
    say(format!(
        "{feedstock}: calibrated from {}",
        count(points, "piece", "pieces")
    ))
}

/// Not calibrated: too few.
pub fn too_few(feedstock: &str, points: usize) -> String {
    say(format!(
        "{feedstock}: not calibrated. It takes three pieces whose density lies between that of the green part and \
         the end density; there are {points}. Take pieces from places or runs that differ in time or temperature."
    ))
}

/// Not calibrated: no spread.
pub fn no_spread(feedstock: &str) -> String {
    say(format!(
        "{feedstock}: not calibrated. The pieces have been through the same heat, or denser ones through less: \
         nothing tells a from b. Take pieces from places or runs that differ more in time or temperature."
    ))
}

/// No densification to start from.
pub fn nothing_to_calibrate(feedstock: &str) -> String {
    say(format!(
        "{feedstock}: not calibrated. Its record has no densification to start from, and what is measured here only \
         moves one. First figures (Q, a, b) come from its supplier, or from densities measured after runs at two \
         heating rates at least."
    ))
}

/// A figure that moved.
pub fn moved(name: &str, from: f64, to: f64, error: Option<f64>, unit: &str) -> String {
    let moved = to - from;
    let error = error.map_or(String::new(), |e| format!(", ± {e:.3} {unit}"));
    let error = error.trim_end();
    say(
        format!("{name}: {from:.3} -> {to:.3} (moved by {moved:+.3} {unit}{error})")
            .replace(" )", ")")
            .replace(" ,", ","),
    )
}

/// A figure that the pieces do not tell.
pub fn kept(name: &str, was: f64, unit: &str) -> String {
    let said =
        format!("{name}: not determined by these data; the record's {was:.3} {unit} is kept");
    say(said.replace("  ", " "))
}

/// A piece beside it.
pub fn piece(row: usize, measured: f64, before: f64, after: f64) -> String {
    say(format!(
        "row {row}: measured {:.1} %, forecast {:.1} % before and {:.1} % after",
        100.0 * measured,
        100.0 * before,
        100.0 * after
    ))
}

/// Residual.
pub fn residual(before: f64, after: f64) -> String {
    say(format!(
        "root mean square of the differences {:.2} % before, {:.2} % after",
        100.0 * before,
        100.0 * after
    ))
}

/// Flat near the end.
pub fn flat() -> String {
    say("Near full density the curve is flat: pieces there say little of a, and hide a cold place.")
}

/// Upper branch is not touched.
pub fn lower_branch_only() -> String {
    say("Only the lower branch is calibrated; the record has two.")
}
