//! What a forecast says of how parts enter the furnace.

use super::{pct, say, to_tenths};

/// What the first step took out, by weighings.
pub fn weighed_out(share: f64) -> String {
    say(format!(
        "first-step binder out before the run: {}, weighed",
        pct(share)
    ))
}

/// The same, by the record of the bath.
pub fn predicted_out(share: f64) -> String {
    say(format!(
        "first-step binder out before the run: {}, predicted from the record of the bath, not weighed",
        pct(share)
    ))
}

/// The same, where nobody knows.
pub fn assumed_out(share: f64) -> String {
    say(format!(
        "first-step binder out before the run: {}, assumed: neither weighed nor a bath on record",
        pct(share)
    ))
}

/// What the bath took out by the model: mean and middle, and the mean of other shapes.
pub fn by_bath(mean: f64, middle: f64, others: Option<[f64; 2]>) -> String {
    let others = others.map_or(String::new(), |[cylinder, sphere]| {
        let (cylinder, sphere) = (pct(cylinder), pct(sphere));
        format!(" (as a cylinder {cylinder}, as a sphere {sphere})")
    });
    say(format!(
        "by the record of the bath: {} out in the mean{others}, {} in the middle",
        pct(mean),
        pct(middle)
    ))
}

/// How long the bath takes to the share that the feedstock asks for.
pub fn target_after(share: f64, hours: Option<f64>) -> String {
    let share = pct(share);
    say(match hours {
        Some(hours) => format!("this bath takes {hours:.1} h until {share} is out in the mean"),
        None => format!("this bath never gets {share} out in the mean"),
    })
}

/// The hold that finishes what another leaves, after what is said of that one.
pub fn finishes(margin: &str, target_c: f64, spare: &str) -> String {
    format!(
        "{margin}; the hold at {} °C finishes it, {spare} to spare there",
        to_tenths(target_c)
    )
}

/// Where the density of presintered parts begins.
pub fn begins_at(share: f64) -> String {
    say(format!(
        "density begins at {}: what presintering gave is not on record and not counted",
        pct(share)
    ))
}

/// Burnout in a gas with oxygen, as it follows "lacks".
pub fn burning(gas: &str) -> String {
    format!("a model of how binder burns in \"{gas}\": burnout in air is not modelled")
}

/// Burnout of a component of a binder, as it follows "lacks".
pub fn burnout(component: &str, binder: &str) -> String {
    format!("how {component} of binder \"{binder}\" burns out")
}

/// What rests on burnout.
pub fn lacking_burnout(what: &str) -> String {
    say(format!(
        "Binder left, off-gas, trap and exhaust not evaluated: that lacks {what}."
    ))
}

/// Of a hold in whose reach a binder is of which nobody knows how it burns out.
pub fn need_unknown(component: &str) -> String {
    say(format!(
        "what {component} needs of it is not evaluated: nobody knows how that burns out"
    ))
}

/// What of the exhaust burns, where the binder's part in it is not known.
pub fn exhaust_not_evaluated() -> String {
    say("fuel in the exhaust: not evaluated")
}

/// Of a binder that is out when a hold ends, though its coldest place got less than that takes.
pub fn out_at_end() -> String {
    say("it is out when the hold ends: it goes before the place has arrived, too")
}

/// Of a binder that is out on the way to a later hold.
pub fn out_before(margin: &str, target_c: f64) -> String {
    say(format!(
        "{margin}; it is out on the way to {target_c:.0} °C, before the hold there begins"
    ))
}
