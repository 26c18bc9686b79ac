//! What the command line says of a forecast beside its figures: limits, margins, what rests on what.

use super::{count, figure, pct, say};

fn in_case(case: Option<&str>) -> String {
    case.map_or(String::new(), |case| format!(" in the {case}"))
}

/// What the columns of holds are.
pub fn holds(band_k: f64) -> String {
    say(format!(
        "Holds (minutes: clock as the program counts, all others in real time; gets = from when the coldest place \
         is within {} K of the setpoint to the end of the hold; nominal, in brackets the least and the greatest of \
         nominal, cold and hot case)",
        figure(band_k)
    ))
}

/// How long a hold lasts with its waits.
pub fn lasts(minutes: f64) -> String {
    format!(", lasts {minutes:.0} with waits")
}

/// What a hold gets: of time within the band, or of a sinter hold within the feedstock's range.
pub fn gets(minutes: f64, sinter: bool) -> String {
    match sinter {
        true => format!("{minutes:.0} within its sinter range"),
        false => format!("gets {minutes:.0}"),
    }
}

/// What is nought to a tenth of a per cent.
const LEAST_SHARE: f64 = 0.0005;

/// Density beside its limit: shares.
pub fn density_margin(least: f64, margin: f64, case: Option<&str>) -> String {
    let by = match margin.abs() < LEAST_SHARE {
        true => format!("less than {}", pct(2.0 * LEAST_SHARE)),
        false => pct(margin.abs()),
    };
    let case = in_case(case);
    say(match margin < 0.0 {
        true => format!("at least {} is asked: {by} too little{case}", pct(least)),
        false => format!("at least {} is asked: {by} to spare{case}", pct(least)),
    })
}

/// Size beside the drawing and its tolerance, a share.
pub fn size_margin(drawn: [f64; 3], tolerance: f64, out_mm: f64, case: Option<&str>) -> String {
    let drawn = drawn.map(|side| format!("{side:.2}")).join(" x ");
    let case = in_case(case);
    let side = if out_mm > 0.0 { "outside" } else { "inside" };
    say(format!(
        "drawn {drawn} mm ± {}: at worst {:.2} mm {side}{case}",
        pct(tolerance),
        out_mm.abs()
    ))
}

/// The largest grain.
pub fn grain(um: &str) -> String {
    say(format!(
        "grains up to {um}, counted from the start of this run"
    ))
}

/// Where the curve is flat.
pub fn flat(per_10_k: f64) -> String {
    say(format!(
        "the curve is flat here: a place 10 K colder would show {:.2} % less, so that a cold place hardly shows",
        100.0 * per_10_k
    ))
}

/// On how many assumed figures what is said of a kind rests.
pub fn assumed_of(binder: usize, density: usize, size: usize) -> String {
    let parts = [(binder, "binder"), (density, "density"), (size, "size")];
    let told = parts.iter().filter(|(n, _)| *n > 0);
    let told: Vec<String> = told.map(|(n, of)| format!("{n} of {of}")).collect();
    if told.is_empty() {
        return String::new();
    }
    say(format!("assumed of its own figures: {}", told.join(", ")))
}

/// End of the program by both clocks, h.
pub fn program_end(real: &str, clock: &str) -> String {
    say(format!(
        "program ends after {real} of real time, waits counted; by its own clock {clock} h"
    ))
}

/// What the trap lets through.
pub fn passed(grams: &str) -> String {
    say(format!("{grams} pass it, on to the pump or the flame"))
}

/// Off-gas at its peak: hours, g/min, L/min as it is there, s.
pub fn offgas_peak(hours: &str, g_min: &str, there: &str, residence: &str) -> String {
    say(format!(
        "most of it after {hours}: {g_min}, in the furnace then {there}; gas stays there for {residence}"
    ))
}

/// Hydrogen and binder vapour, L/min; little of it in thousandths.
fn fuel((hydrogen, vapour): (f64, f64)) -> String {
    let flow = |l_min: f64| match l_min {
        0.1.. => format!("{l_min:.1}"),
        0.001.. => format!("{l_min:.3}"),
        _ => "less than 0.001".to_owned(),
    };
    let (h2, gone) = (flow(hydrogen), flow(vapour));
    match (hydrogen > 0.0, vapour > 0.0) {
        (true, true) => format!("{h2} L/min of hydrogen and {gone} of binder vapour"),
        (true, false) => format!("{h2} L/min of hydrogen"),
        _ => format!("{gone} L/min of binder vapour"),
    }
}

/// Fuel that the sweep dilutes below its lower limit: L/min of hydrogen and of binder vapour; the
/// lower limit in air and the share of it that is asked, shares; air, L/min.
pub fn exhaust_diluted(of: (f64, f64), lower: f64, share: f64, air: f64) -> String {
    let of = fuel(of);
    say(format!(
        "exhaust: up to {of}; by this forecast the sweep dilutes it below the lower limit in air ({}; binder vapour taken \
         as the lowest on the list, assumed). That is no leave to let it out as it is: with less sweep, or a pump that \
         gathers it, it may burn. Do as the procedure of the furnace says, flame and ventilation included; {air:.0} L/min \
         of air outside bring it to {} of that limit",
        pct(lower),
        pct(share)
    ))
}

/// Fuel in the exhaust above its upper limit: L/min of hydrogen and of binder vapour; its lower limit
/// in air and the share of it that is asked, shares; air, L/min.
pub fn exhaust(of: (f64, f64), lower: f64, share: f64, air: f64) -> String {
    let of = fuel(of);
    say(format!(
        "exhaust: up to {of}, as it comes above the upper limit in air: burn it at a proven flame, or dilute it outside \
         with {air:.0} L/min of air or more (to {} of its lower limit, {}; binder vapour taken as the lowest on the list, \
         assumed)",
        pct(share),
        pct(lower)
    ))
}

/// What the review with this forecast has found, stops and cautions with their names.
pub fn found(stops: (usize, &[String]), cautions: (usize, &[String]), file: &str) -> String {
    let named = |(n, titles): (usize, &[String]), one: &str, many: &str| {
        (n > 0).then(|| format!("{}: {}.", count(n, one, many), titles.join("; ")))
    };
    let each = [
        named(stops, "stop", "stops"),
        named(cautions, "caution", "cautions"),
    ];
    let each: Vec<String> = each.into_iter().flatten().collect();
    say(format!(
        "In the review of this load {} More: setterwright review {file}",
        each.join(" ")
    ))
}

/// It has found none.
pub fn nothing_found(conditions: usize, not_evaluated: usize) -> String {
    say(format!(
        "No stop and no caution found among {} of the review; {not_evaluated} not evaluated.",
        count(conditions, "condition", "conditions")
    ))
}

/// Of a hold below where the survey begins.
pub fn not_surveyed(from_c: f64) -> String {
    say(format!(
        "cold and hot case not evaluated here: the survey begins at {from_c:.0} °C, and below it they \
         are no more than the nominal one"
    ))
}
