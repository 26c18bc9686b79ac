//! What the forecast of a plan says: what it lacks, and the lines of its summary.

use super::{count, figure, say};

// What is lacking, as it follows "lacks".

/// An empty furnace.
pub fn load() -> &'static str {
    "a level with something to heat"
}

/// Record of the furnace.
pub fn furnace(id: &str) -> String {
    format!("the record of furnace \"{id}\"")
}

/// A profile that can be followed.
pub fn profile(fault: &str) -> String {
    format!("a profile without faults ({fault})")
}

/// Record of a setter.
pub fn setter(id: &str) -> String {
    format!("the record of setter \"{id}\"")
}

/// Record of a post.
pub fn post(id: &str) -> String {
    format!("the record of post \"{id}\"")
}

/// Record of a support.
pub fn support(id: &str) -> String {
    format!("the record of support \"{id}\"")
}

/// Record of a material.
pub fn material(id: &str) -> String {
    format!("the record of material \"{id}\"")
}

/// Record of a gas.
pub fn gas(id: &str) -> String {
    format!("the record of gas \"{id}\"")
}

/// Figures of a gas.
pub fn gas_properties(id: &str) -> String {
    format!("the properties of gas \"{id}\" over temperature")
}

/// Height of a level.
pub fn height(level: &str) -> String {
    format!("how high {level} stands")
}

/// Pressure in vacuum.
pub fn vacuum(segment: usize) -> String {
    format!(
        "the pressure in segment {segment}: it has no gas, and the furnace no ultimate pressure"
    )
}

/// Records of a part.
pub fn part_records(part: &str) -> String {
    format!("the feedstock, alloy or binder record of {part}")
}

/// A part that no record describes.
pub fn part_gone(id: u32) -> String {
    format!("part {id}")
}

/// Body of a part.
pub fn body(part: &str) -> String {
    format!("a body of {part}")
}

/// Mass of a part.
pub fn mass(part: &str) -> String {
    format!("the mass of {part}: weigh one")
}

/// Section of a part.
pub fn section(part: &str) -> String {
    format!("the governing section of {part}")
}

/// A dummy's shape.
pub fn dummy(level: &str) -> String {
    format!("a shape of the dummy on {level} that can be measured")
}

/// Densification figures.
pub fn densifying(feedstock: &str) -> String {
    format!(
        "how feedstock \"{feedstock}\" densifies: its supplier may know, or measured densities of runs at two heating \
         rates at least tell it"
    )
}

/// Density of a part that goes in again.
pub fn refired(part: &str) -> String {
    format!("the density with which {part} goes in again")
}

// Why there is no forecast.

/// Figures are missing.
pub fn missing(what: &[String]) -> String {
    say(format!("No forecast: it lacks {}.", what.join("; ")))
}

/// No mass, or figures without meaning.
pub fn nothing_to_heat() -> String {
    say("No forecast: there is nothing to heat, or a mass or area of the load has no meaning.")
}

/// The furnace's figures.
pub fn furnace_figures() -> String {
    say("No forecast: a heat figure of the furnace has no meaning.")
}

/// The program.
pub fn program_figures() -> String {
    say("No forecast: the program cannot be followed.")
}

/// The integration.
pub fn gave_up(minutes: f64) -> String {
    say(format!(
        "No forecast: the computation came to no end after minute {minutes:.0} of the run."
    ))
}

/// A newer one was asked for.
pub fn cancelled() -> String {
    say("No forecast: it was stopped.")
}

/// Only the nominal case, for want of a figure.
pub fn no_cases(what: &str) -> String {
    say(format!(
        "Cold and hot case not evaluated: that lacks {what}."
    ))
}

/// Only the nominal case, since the survey ends too low.
pub fn beyond_survey(known_c: f64, peak_c: f64) -> String {
    say(format!(
        "Cold and hot case not evaluated: temperatures of the furnace are known up to {} °C, the \
         program goes to {} °C.",
        figure(known_c),
        figure(peak_c)
    ))
}

/// Something not evaluated for want of a figure.
pub fn lacking(what: &str) -> String {
    say(format!(
        "Density and size not evaluated: that lacks {what}."
    ))
}

// Names of kinds.

/// Pieces of a part, of a lot where they have one.
pub fn kind(part: &str, lot: Option<&str>) -> String {
    match lot {
        Some(lot) => format!("{part}, lot {lot}"),
        None => part.to_owned(),
    }
}

/// Dummies.
pub fn dummies(material: &str) -> String {
    format!("dummies of {material}")
}

// The summary.

/// Heading.
pub fn head(title: &str) -> String {
    say(format!("Forecast of \"{title}\""))
}

/// Standing of a forecast.
pub fn not_permission() -> String {
    say("A forecast is computed, not measured. It is never permission to open a furnace.")
}

/// Heading of the kinds.
pub fn parts() -> String {
    say("Parts (nominal, in brackets the least and the greatest of nominal, cold and hot case)")
}

/// Heading of the run.
pub fn run() -> String {
    say("Run")
}

/// A hold.
pub fn hold(number: usize, target_c: f64, clock: &str, gets: &str, place: &str) -> String {
    say(format!(
        "segment {number}, {} °C: clock {clock}, coldest place gets {gets} ({place})",
        figure(target_c)
    ))
}

/// What a hold needs for a component.
pub fn needs_burnout(minutes: &str, component: &str, left_pct: f64) -> String {
    format!(
        "needs {minutes} until {component} is down to {} %",
        figure(left_pct)
    )
}

/// What a hold needs to sinter, by the feedstock of a part.
pub fn needs_sinter(minutes: &str, part: &str) -> String {
    format!("needs {minutes} by the feedstock of {part}")
}

/// Time to spare, or what is missing.
pub fn hold_margin(minutes: &str, short: bool) -> String {
    if short {
        format!("{minutes} too short")
    } else {
        format!("{minutes} to spare")
    }
}

/// A hold that is too short by itself, while what is left leaves in the debind range later on.
pub fn rest_leaves_by(margin: &str, segment: usize) -> String {
    format!(
        "{margin} by itself, the rest leaves in the debind range by the end of {}",
        super::names::segment(segment)
    )
}

/// A need with the case that has least to spare for it, where there are several, and what it gets there.
pub fn worst_need(needs: &str, gets: &str, margin: &str, case: Option<&str>) -> String {
    say(match case {
        Some(case) => format!("worst in the {case}: {gets}, {needs}; {margin}"),
        None => format!("{needs}; {margin}"),
    })
}

/// When the coldest place arrives.
pub fn arrives(minutes: &str, short_k: Option<&str>) -> String {
    say(match short_k {
        Some(k) => format!("arrives after {minutes} if prolonged; {k} K short at its end"),
        None => format!("arrives after {minutes}"),
    })
}

/// It does not arrive.
pub fn never_arrives(short_k: &str) -> String {
    say(format!(
        "does not arrive within a day; {short_k} K short at its end"
    ))
}

/// A place in the load.
pub fn place(level: &str, ring: usize, rings: usize, what: &str) -> String {
    format!("{level}, ring {ring} of {rings} from the centre, {what}")
}

/// Setter, as a place.
pub fn setter_place() -> &'static str {
    "setter"
}

/// A kind of part.
pub fn kind_head(name: &str, pieces: usize) -> String {
    say(format!("{name}: {}", count(pieces, "piece", "pieces")))
}

/// Binder left.
pub fn left(share: &str) -> String {
    say(format!(
        "binder left at the worst place {share} of what enters"
    ))
}

/// Density.
pub fn density(least_to_most: &str) -> String {
    say(format!("density {least_to_most}"))
}

/// Size.
pub fn size(case: &str, size: &str) -> String {
    say(format!("size {case}: {size}"))
}

/// Pressure in the core.
pub fn core(kpa: &str) -> String {
    say(format!("core pressure up to {kpa} over the outside"))
}

/// Closed pores.
pub fn closed(case: Option<&str>) -> String {
    let case = case.map_or(String::new(), |case| format!(" ({case})"));
    say(format!("pores not open when the gas comes fastest{case}"))
}

/// Unloading.
pub fn unload(at_c: f64, chamber: &str, load: &str) -> String {
    say(format!(
        "{} °C or less once the program is over: the chamber from {chamber}, the whole load from {load}",
        figure(at_c)
    ))
}

/// Trap.
pub fn trap(caught: &str, before: Option<&str>, capacity: Option<&str>) -> String {
    let before = before.map_or(String::new(), |g| format!("; {g} are in it"));
    let capacity = capacity.map_or(String::new(), |g| format!("; it holds {g}"));
    say(format!("the trap catches {caught}{before}{capacity}"))
}

/// Off-gas.
pub fn offgas(l_min: &str) -> String {
    say(format!("off-gas up to {l_min} at 25 °C and 1 atm"))
}

/// Off-gas of which nothing is known.
pub fn no_offgas() -> String {
    say("off-gas not evaluated")
}

/// Energy.
pub fn energy(kwh: &str) -> String {
    say(format!("electric energy {kwh}"))
}

/// Why the chamber leads the setpoint.
pub fn lead(kelvin: f64, lag_s: f64) -> String {
    say(format!(
        "on ramps the chamber leads the setpoint by up to {kelvin:.1} K: the controller holds its \
         thermocouple at the setpoint, and that lags {lag_s:.0} s behind the chamber"
    ))
}

/// How many figures are assumed.
pub fn assumed(assumed: usize, all: usize) -> String {
    say(format!(
        "{assumed} of {all} figures used are assumed; --json lists each with its record and source"
    ))
}

/// Not evaluated, in a column.
pub fn not_evaluated() -> String {
    say("not evaluated")
}

/// Above the range of the figures.
pub fn no_prediction() -> String {
    say("no prediction above the temperatures of its figures")
}

/// No density of what goes in again sintered.
pub fn density_refired() -> String {
    say("not evaluated: it goes in again sintered, and nobody knows its density then")
}

/// Not within what is followed.
pub fn not_followed() -> String {
    say("more than is followed")
}

/// Cold case, as a word.
pub fn cold() -> &'static str {
    "cold case"
}

/// Nominal, as a word.
pub fn nominal() -> &'static str {
    "nominal"
}

/// Nominal, as a case among others.
pub fn nominal_case() -> &'static str {
    "nominal case"
}

/// Hot case, as a word.
pub fn hot() -> &'static str {
    "hot case"
}

/// An arrival that does not come.
pub fn not_within_a_day() -> &'static str {
    "more than a day"
}

/// A wait that ends by its timeout by the figures as they stand.
pub fn by_the_figures() -> &'static str {
    "by the figures as they stand"
}

/// A wait that ends by its timeout in the cold or the hot case alone.
pub fn in_a_case() -> &'static str {
    "only if the thermocouple stands in the coldest or hottest place of the furnace"
}

/// What leaves a surface.
pub fn grams_m2(grams: f64) -> String {
    format!("{} g/m²", figure(libm::round(grams * 10.0) / 10.0))
}
