//! Words of the checks of the order of events, of reserves and of dust. What they judge is a plan.

use super::Prose;

/// One entry a check.
pub const PROSE: &[Prose] = &[
    Prose {
        check: "unload-not-last",
        title: "The program goes on after unloading",
        sentence: "The load comes out, and {what} of the program still come after that.",
        why: "Whoever stands at the open door meets heat, gas or a pump that starts.",
        remedy: "Move the unloading to the end of the last segment, after every other event. The \
                 furnace's written procedure and its interlocks decide when the door opens.",
    },
    Prose {
        check: "flame-off-before-hydrogen-off",
        title: "Flame off while fuel gas is on",
        sentence: "The burn-off flame goes off in segment {segment} while fuel gas is still on.",
        why: "What leaves the furnace then gathers unburnt under the roof of the hall.",
        remedy: "Switch hydrogen off first. Planned; to be verified by the furnace's interlocks \
                 and its written procedure.",
    },
    Prose {
        check: "purge-after-hydrogen-on",
        title: "Purge while hydrogen is on",
        sentence: "Segment {segment} has {what} while hydrogen is switched on.",
        why: "It drives out no air before the fuel comes, and no fuel before the air comes.",
        remedy: "Move it before hydrogen is switched on, or after it is switched off. Planned; to \
                 be verified by the furnace's interlocks and its written procedure.",
    },
    Prose {
        check: "purge-reserve-short",
        title: "Too little gas kept for a purge",
        sentence: "Of {gas} {kept} are kept back, {value} furnace volumes; at least {limit} are \
                   wanted while fuel gas is in the furnace.",
        why: "When the power fails or a valve sticks, this gas alone drives the fuel out.",
        remedy: "Keep more back or change the bank before the start. How much an emergency purge \
                 needs is the furnace's written procedure to say, with local codes and a licensed \
                 practitioner.",
    },
    Prose {
        check: "air-on-hot-zone",
        title: "Air on a hot zone",
        sentence: "The door is opened at {value}; air is let on {zone} at {limit} at most.",
        why: "Hot, the zone burns away in air: shields, elements and insulation are lost.",
        remedy: "Cool farther before unloading. The furnace's written procedure decides when the \
                 door opens.",
    },
    Prose {
        check: "titanium-dust",
        title: "Dust of titanium burns",
        sentence: "{alloy} is in the load: its dust and the condensate of such runs burn, and \
                   neither water nor carbon dioxide puts them out.",
        why: "Powder swept from setters, or magnesium used as a getter, may catch fire at a spark \
              or in wet cleaning.",
        remedy: "Keep an extinguisher for metal fires at hand and clean dry, as the furnace's \
                 written procedure and local codes say.",
    },
];
