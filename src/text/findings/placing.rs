//! Words of the checks of where mass, marks, thermocouples and posts are put.

use super::Prose;

/// One entry a check.
pub const PROSE: &[Prose] = &[
    Prose {
        check: "load-off-centre",
        title: "Load to one side",
        sentence: "Of {mass} in the furnace the half on the {side} side holds {value} of it more \
                   than the other; more than {limit} is told.",
        why: "The heavier side is late, and the furnace heats both alike.",
        remedy: "Spread the load, or put a dummy mass on the lighter side.",
    },
    Prose {
        check: "coupon-mark-twice",
        title: "One mark on several coupons",
        sentence: "The mark \"{mark}\" stands on {count} coupons.",
        why: "After the run nobody can tell which of them stood where.",
        remedy: "Mark each coupon with its own sign.",
    },
    Prose {
        check: "thermocouple-placed-twice",
        title: "A thermocouple in several places",
        sentence: "Thermocouple {sensor} stands in {count} places.",
        why: "It can be in one only: what is read in it would be taken for the others as well.",
        remedy: "Take the furnace's other load thermocouples, or leave one place out.",
    },
    Prose {
        check: "post-over-no-post",
        title: "Posts over no post",
        sentence: "{level}: {count} of its posts stand over none of the posts below, up to {offset} \
                   from the nearest.",
        why: "The plate between bears the whole stack above in bending, and breaks hot.",
        remedy: "Put the posts of all levels in line.",
    },
    Prose {
        check: "gas-path-narrow",
        title: "Little room for the gas",
        sentence: "{level}: seen {from}, {value} of the opening over its setter is free; at least \
                   {limit} is wanted.",
        why: "Binder vapour has to get out and the gas has to get in between the parts: where \
              neither does, soot and oxide stay.",
        remedy: "Take longer posts, or set the parts wider apart.",
    },
    Prose {
        check: "setter-near-thermocouple",
        title: "Setter near a thermocouple",
        sentence: "The setter of {level}{more} comes within {value} of thermocouple {to} at the \
                   peak; at least {limit} is wanted.",
        why: "Beside a cold plate it reads low, and the controller overheats the rest of the load.",
        remedy: "Move the stack, or take a smaller setter at this height.",
    },
];
