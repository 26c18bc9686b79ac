//! Words of the geometry checks.

use super::Prose;

/// One entry a check.
pub const PROSE: &[Prose] = &[
    Prose {
        check: "parts-touching",
        title: "Parts touch",
        sentence: "{a} and {b} touch ({stage}).",
        why: "Parts that touch sinter together or deform each other as they shrink.",
        remedy: "Move one of them, turn it, or set the row out again with a wider pitch.",
    },
    Prose {
        check: "gap-too-small",
        title: "Gap too small",
        sentence: "{a} and {b} are {value} apart ({stage}); at least {limit} is wanted. Green they \
                   are {green} apart.",
        why: "Parts grow before they shrink and are set down by hand: a gap this small may close.",
        remedy: "Widen the pitch, or turn one of them.",
    },
    Prose {
        check: "part-over-setter-edge",
        title: "Part over the setter's edge",
        sentence: "{a} reaches {over} over the edge of its setter's usable face ({stage}).",
        why: "What hangs over has no support: it sags, tips the part or breaks off.",
        remedy: "Move it inwards, or take a larger setter.",
    },
];
