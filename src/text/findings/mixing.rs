//! Words of the mixing checks.

use super::Prose;

/// One entry a check.
pub const PROSE: &[Prose] = &[
    Prose {
        check: "alloys-share-load",
        title: "Alloys that may not share a load",
        sentence: "{a} and {b} share the load, and neither record allows it.",
        why: "Alloys want different gas and temperature, and what leaves one settles on the other.",
        remedy: "Run them apart, or enter in the alloy's record that they may share.",
    },
    Prose {
        check: "carbon-mix",
        title: "Carbon ranges apart",
        sentence: "{a} ({a_carbon} carbon) and {b} ({b_carbon}) share the load.",
        why: "Carbon travels through the gas: the rich one loses it and the poor one takes it up.",
        remedy: "Run them in separate loads.",
    },
    Prose {
        check: "vapour-mix",
        title: "Vapour of one alloy on another",
        sentence: "{a} and {b} share the load, and an element of an alloy evaporates ({which}).",
        why: "The vapour settles on parts of the other alloy.",
        remedy: "Run them apart, or keep a partial pressure and the evaporating one downstream.",
    },
    Prose {
        check: "reactive-mix",
        title: "Titanium with another alloy",
        sentence: "{a} and {b} share the load.",
        why: "Titanium takes up whatever the other gives off, and melts together with iron, nickel \
              and copper far below their own melting points.",
        remedy: "Run titanium alone, in a furnace kept for it.",
    },
    Prose {
        check: "peaks-differ",
        title: "Peaks differ",
        sentence: "Between the sinter ranges of {a} and {b} lie {value}; {limit} is the mark.",
        why: "Whatever the peak, one of them is outside its range by more than a furnace's spread.",
        remedy: "Run them apart.",
    },
    Prose {
        check: "previous-load-incompatible",
        title: "Last load of another family",
        sentence: "The furnace ran {a} last, and {b} is of another family.",
        why: "What the last load left in the zone evaporates again and settles on this one.",
        remedy: "Bake the zone out before this load, and enter it.",
    },
];
