//! What a calibration of densification says of its pieces.

use super::say;

/// The slope that the pieces give is none.
pub fn slope(feedstock: &str, found: f64, was: f64) -> String {
    say(format!(
        "{feedstock}: not calibrated. The pieces give b = {found:.3}, the record says {was:.3}; more than three \
         times apart, that is no property of a powder. Look at the measurements and at where the pieces lay."
    ))
}

/// Neither figure is told.
pub fn nothing_told(feedstock: &str) -> String {
    say(format!(
        "{feedstock}: not calibrated. The pieces determine neither a nor b: what they say of them is too wide to be \
         used. Measure again those that contradict each other, and take more pieces from places or runs that differ \
         in time or temperature."
    ))
}

/// Two answers fit about as well: a and b of each, and of the record.
pub fn pores_either_way(
    feedstock: &str,
    one: (f64, f64),
    other: (f64, f64),
    was: (f64, f64),
) -> String {
    let told = |(a, b): (f64, f64)| format!("a = {a:.2} with b = {b:.2}");
    say(format!(
        "{feedstock}: not calibrated. Two answers fit about as well, and it is not known which: {}, and {}; the \
         record has {}. By one the pores of some pieces closed in vacuum, by the other gas stayed in them. Take pieces \
         from a run that is in one gas, or in vacuum, from debinding to the peak.",
        told(one),
        told(other),
        told(was),
    ))
}

/// Both answers are one, but too few pieces are left to say so.
pub fn pores_do_not_count(feedstock: &str, (a, b): (f64, f64)) -> String {
    say(format!(
        "{feedstock}: not calibrated. Whether gas stayed in the pores of some pieces is not known, and the others are \
         too few. Both ways come to about a = {a:.2} with b = {b:.2}, but how far these may be off is not evaluated. \
         Take more pieces, or some from a run that is in one gas, or in vacuum, from debinding to the peak."
    ))
}

/// A figure that moved, of which nobody knows how far it is off.
pub fn no_error(name: &str) -> String {
    say(format!(
        "how far {name} may be off is not evaluated: it hangs on a figure that the pieces do not determine"
    ))
}

/// With an energy that moved.
pub fn together() -> String {
    say(
        "a, b and Q go together, and each ± counts what the others may be off: put all three into the record, or \
         none.",
    )
}

/// The energy is kept.
pub fn one_rate() -> String {
    say("Q takes pieces from runs of two heating rates, the faster half as fast again at least.")
}

/// A field that has to be there.
pub fn empty(column: &str, row: usize) -> String {
    format!("row {row}: nothing stands under \"{column}\"")
}

/// A piece that was used, though to no end.
pub fn used(row: usize, density: f64) -> String {
    say(format!("row {row}: measured {:.1} %", 100.0 * density))
}

/// A piece that was not used.
pub fn unused(row: usize, density: f64, start: f64, end: f64) -> String {
    let [density, start, end] = [density, start, end].map(|d| 100.0 * d);
    say(format!(
        "row {row}: measured {density:.1} %, not used: it is not between the {start:.1} % of the green part and the \
         {end:.1} % at which the curve ends, and only there a density tells something"
    ))
}

/// A piece of the upper branch, which is not calibrated.
pub fn upper_branch(row: usize, density: f64, from_c: f64) -> String {
    say(format!(
        "row {row}: measured {:.1} %, not used: it was above {from_c:.0} °C, where the upper branch of the record \
         begins, and it is the lower one that is calibrated",
        100.0 * density
    ))
}

/// A piece of which the fit does not tell whether gas stayed in its pores.
pub fn pores_unknown(row: usize, density: f64) -> String {
    say(format!(
        "row {row}: measured {:.1} %, not used: whether gas stayed in its pores hangs on the figures that are sought, \
         and it comes out one way by these and the other way without them",
        100.0 * density
    ))
}

/// A piece far off the others.
pub fn outlier() -> String {
    say("far off what the other pieces say: measure it again, or leave it out")
}

/// No such level. Follows the file's name and a colon.
pub fn no_level(row: usize, level: f64, levels: usize) -> String {
    format!(
        "row {row}: there is no level {level}; levels are counted from the hearth up, 1 to {levels}"
    )
}

/// Nothing of a lot or part lies there: level and ring of where it does. Follows the file's name and a
/// colon.
pub fn no_ring(
    row: usize,
    name: &str,
    (level, ring): (f64, f64),
    there: &[(usize, usize)],
) -> String {
    let mut levels: Vec<(usize, Vec<String>)> = Vec::new();
    for (level, ring) in there {
        match levels.last_mut() {
            Some((last, rings)) if last == level => rings.push(ring.to_string()),
            _ => levels.push((*level, vec![ring.to_string()])),
        }
    }
    let each = levels
        .iter()
        .map(|(level, rings)| format!("level {level} ring {}", rings.join(", ")));
    let there = each.collect::<Vec<_>>().join("; ");
    format!(
        "row {row}: nothing of \"{name}\" lies on level {level} in ring {ring}, but there: {there}"
    )
}
