//! Words of the mass checks.

use super::Prose;

/// One entry a check.
pub const PROSE: &[Prose] = &[
    Prose {
        check: "load-over-furnace-mass",
        title: "Load over the furnace's mass",
        sentence: "The load weighs {value} with its furniture, and {furnace} is rated {limit}.",
        why: "The hearth creeps, and the furnace cannot follow the ramps.",
        remedy: "Split the load, or take lighter furniture.",
    },
    Prose {
        check: "level-mass-uneven",
        title: "Level heavier than the others",
        sentence: "The setter of {level} carries {value} times the mean of {mean}; more than \
                   {limit} is worth a look.",
        why: "A heavy level lags behind the others.",
        remedy: "Spread the parts evenly.",
    },
    Prose {
        check: "fill-high",
        title: "Setter densely filled",
        sentence: "On {level} parts cover {value} of the usable face; more than {limit} is worth a \
                   look.",
        why: "Gas reaches the parts in the middle poorly.",
        remedy: "Thin the level out.",
    },
    Prose {
        check: "fill-low",
        title: "Setter thinly filled",
        sentence: "On {level} parts cover {value} of the usable face; less than {limit} is worth a \
                   look.",
        why: "The run costs the same with more parts.",
        remedy: "Add parts from the backlog.",
    },
    Prose {
        check: "oversize-factor-mismatch",
        title: "Oversize factor does not match",
        sentence: "{part} was made with an oversize factor of {made}, and {feedstock} has \
                   {wanted}: they differ by {value}; up to {limit} is allowed.",
        why: "Every piece comes out of the furnace in the wrong size.",
        remedy: "Correct the factor, the feedstock or the lot before the run.",
    },
    Prose {
        check: "weighed-mass-differs",
        title: "Weighed mass differs",
        sentence: "{part} weighs {weighed} {state}, and {computed} follow from its volume: {value} \
                   apart; up to {limit} is allowed.",
        why: "Shape, unit, size or feedstock is not what was entered, or the piece has voids.",
        remedy: "Check the unit and size of the drawing and the feedstock, and weigh again.",
    },
    Prose {
        check: "heavier-than-solid",
        title: "Heavier than the shape can be",
        sentence: "{part} weighs {weighed} {state}, and the whole of its outline filled would weigh \
                   {filled}: {value} more; up to {limit} is allowed.",
        why: "The mass, the outline, the height or the unit is not the part's own, and everything \
              that is worked out from them goes with it.",
        remedy: "Weigh again, and check the outline, the height and the feedstock.",
    },
    Prose {
        check: "lot-mass-differs",
        title: "Lot mass differs",
        sentence: "Lot {lot} weighs {weighed} green for {pieces} pieces of {part}, and one piece \
                   is {each}: {value} apart; up to {limit} is allowed.",
        why: "Pieces are missing or too many, or the lot is of another part or feedstock.",
        remedy: "Count and weigh the lot again.",
    },
    Prose {
        check: "drag-likely",
        title: "Part drags on its setter",
        sentence: "{part}: {value} of foot and {mass} on bare setter ({count} pieces); above \
                   {limit} and {from} it drags.",
        why: "Friction holds the foot back while the part shrinks, so that end stays larger or \
              tears.",
        remedy: "Put powder, a sheet or a raft under it.",
    },
    Prose {
        check: "raft-of-other-feedstock",
        title: "Raft of another feedstock",
        sentence: "{part} stands on a raft of {raft} ({count} pieces), and is made of {feedstock}.",
        why: "A raft that shrinks otherwise than its part bends or tears it.",
        remedy: "Make the raft of the part's own feedstock, best of the same lot.",
    },
    Prose {
        check: "lot-count-mismatch",
        title: "Lot and load do not add up",
        sentence: "Lot {lot} has {count} pieces for this load; placed: {placed}.",
        why: "A piece too many has no place, and one too few is lost without anyone noticing.",
        remedy: "Place the rest, or correct the count of the lot.",
    },
    Prose {
        check: "lot-without-placement",
        title: "Lot not placed",
        sentence: "Lot {lot}, {count} pieces, stands nowhere in the load.",
        why: "It may have been forgotten.",
        remedy: "Place it, or take it out of the plan.",
    },
    Prose {
        check: "part-without-lot",
        title: "Pieces without a lot",
        sentence: "{part}: no lot for {count} pieces.",
        why: "What is of no lot has no weighing, and cannot be traced after the run.",
        remedy: "Assign a lot to them.",
    },
];
