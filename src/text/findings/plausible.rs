//! Words of the checks of figures that cannot be so, or that the equipment does not stand.

use super::Prose;

/// One entry a check.
pub const PROSE: &[Prose] = &[
    Prose {
        check: "lot-record-disagrees",
        title: "Lot record does not agree with itself",
        sentence: "Lot {lot}: {how}.",
        why: "One of the two is wrong, and the share of binder that is out may rest on it.",
        remedy: "Look at the lot's card and correct the date, the state or the weighing.",
    },
    Prose {
        check: "bath-too-hot",
        title: "Bath too hot",
        sentence: "Lot {lot} was in a bath of {value}; up to {limit} is usual.",
        why: "A wax that melts instead of dissolving swells the part, which cracks or sags, and a \
              hot solvent gives off more vapour.",
        remedy: "Correct the temperature if it is a slip; otherwise look at the parts for cracks \
                 and sagging, and have the bath's limit set for this feedstock.",
    },
    Prose {
        check: "dryer-too-hot",
        title: "Dryer too hot",
        sentence: "Lot {lot} was dried at {value}; up to {limit} is usual.",
        why: "Brown parts soften and sag above the melting range of the binder that is left.",
        remedy: "Correct the temperature if it is a slip; otherwise look at the parts, and have \
                 the dryer's limit set for this feedstock.",
    },
    Prose {
        check: "pressure-above-furnace",
        title: "Pressure above the furnace's",
        sentence: "Segment {segment} asks for {value}; the furnace is made for at most {limit}.",
        why: "A furnace that is no pressure vessel can burst or blow out gas. Only its relief \
              valve and its maker's rating say what it bears.",
        remedy: "Lower the pressure, or correct the unit in which it was typed.",
    },
    Prose {
        check: "record-of-days-to-come",
        title: "Record dated after the start",
        sentence: "{what} is dated {day}, after the planned start.",
        why: "What has not been done yet says nothing about this run.",
        remedy: "Correct the day, or plan the start for after it.",
    },
    Prose {
        check: "dryer-air-short",
        title: "Too little air in the dryer",
        sentence: "Lot {lot}: the solvent in it needs {need} of air to stay under {share} of its flammable limit; the dryer moved {moved} in its time.",
        why: "Solvent vapour above that burns at the first spark.",
        remedy: "Dry fewer parts at once, or with more air; follow the dryer's written \
                 procedure.",
    },
];
