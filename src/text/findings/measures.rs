//! Words of the checks of overhangs and walls.

use super::Prose;

/// One entry a check.
pub const PROSE: &[Prose] = &[
    Prose {
        check: "overhang-too-long",
        title: "Overhang far too long",
        sentence: "{part}: something hangs {length} over, {value} times its thinnest wall of \
                   {thinnest}; more than {limit} times is not run without a support ({count} \
                   pieces).",
        why: "Hot, the metal bears next to nothing: what hangs so far bends down to the setter.",
        remedy: "Lay it on another face, or put a support of its own feedstock under it. Where \
                 what hangs is thicker than the thinnest wall, accept this with that reason.",
    },
    Prose {
        check: "overhang-long",
        title: "Long overhang",
        sentence: "{part}: something hangs {length} over, with a thinnest wall of {thinnest}: \
                   {value} {of}; at most {limit} is wanted ({count} pieces).",
        why: "Parts soften before they are dense, and sag where nothing is under them.",
        remedy: "Lay it on another face, or put a support of its own feedstock under it.",
    },
    Prose {
        check: "bridge-long",
        title: "Long free span",
        sentence: "{part}: something spans {length} freely, {value} times its thinnest wall of \
                   {thinnest}; at most {limit} times is wanted ({count} pieces).",
        why: "What spans freely sags in the middle and pulls its ends together.",
        remedy: "Lay it on another face, or support the middle with its own feedstock.",
    },
    Prose {
        check: "wall-ratio-high",
        title: "Walls of very different thickness",
        sentence: "{part}: its thickest place is {thickest}, {value} times its thinnest of \
                   {thinnest}; more than {limit} times is told.",
        why: "Thin walls are free of binder and shrink while thick ones still hold theirs: the \
              part warps or cracks where they meet.",
        remedy: "Go by the thickest place for ramps and holds, and look at the first parts.",
    },
];
