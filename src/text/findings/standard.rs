//! Words of the checks against the standard that a load began from.

use super::Prose;

/// One entry a check.
pub const PROSE: &[Prose] = &[
    Prose {
        check: "differs-from-standard",
        title: "Not the standard load any more",
        sentence: "Changes since {standard} that can affect the parts, {count} in all: {what}.",
        why: "What the standard was tried for does not hold for this load as it stands.",
        remedy: "Take the changes back, or try the load anew and keep it as a standard of its own.",
    },
    Prose {
        check: "moved-since-standard",
        title: "Places or masses not the standard's",
        sentence: "Changes since {standard} in places and masses, {count} in all: {what}.",
        why: "Heat and gas reach the parts by other ways than when the standard was tried.",
        remedy: "Set it out as the standard is, or look at the first run with care.",
    },
    Prose {
        check: "lighter-than-standard",
        title: "Lighter than the standard",
        sentence: "The parts weigh {is} green, {value} of the {was} of {standard}; at least \
                   {limit} counts as the same charge.",
        why: "A light charge follows the program sooner, stays hot longer and sinters further.",
        remedy: "Fill up with dummy masses, or state for which charge the standard was tried.",
    },
    Prose {
        check: "heavier-than-standard",
        title: "Heavier than the standard",
        sentence: "The parts weigh {is} green, {value} of the {was} of {standard}; at most {limit} \
                   counts as the same charge.",
        why: "A heavy charge lags behind the program, and gives off more binder than was tried.",
        remedy: "Take parts out, or state for which charge the standard was tried.",
    },
];
