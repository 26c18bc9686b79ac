//! Words of the checks of what is on record of lots and furnace.

use super::Prose;

/// One entry a check.
pub const PROSE: &[Prose] = &[
    Prose {
        check: "brown-waited-too-long",
        title: "Brown parts waited long",
        sentence: "Lot {lot} waits {value} from the bath to the start; up to {limit} is usual.",
        why: "Brown parts are fragile, take up water and rust.",
        remedy: "Sinter it first, or keep it dry and under nitrogen until then.",
    },
    Prose {
        check: "extraction-centre-low",
        title: "Middle of the parts not extracted",
        sentence: "Lot {lot}: by the diffusion of its bath {value} of the first-step binder is out \
                   of the middle of the parts ({mean} in the mean); below {limit} the core counts as \
                   closed.",
        why: "The mean may be good while the middle is shut: it blisters when the backbone leaves.",
        remedy: "Put the lot back into the bath, or slow the ramp for it.",
    },
    Prose {
        check: "lots-oversize-differ",
        title: "Lots shrink differently",
        sentence: "Lots {one} and {other} of one feedstock differ by {value} in shrinkage; up to \
                   {limit} goes together.",
        why: "Parts of one drawing come out of two sizes.",
        remedy: "Run them apart, or mark which part is of which lot.",
    },
    Prose {
        check: "bath-and-weighing-disagree",
        title: "Bath and weighing disagree",
        sentence: "Lot {lot}: by weighing {weighed} of the first-step binder is out, by the record of \
                   its bath {bath}; they are {value} apart, and {limit} is told.",
        why: "One of the two records is wrong, and the forecast goes by the scale.",
        remedy: "Weigh a part of the lot again, and look at the bath's time, temperature and section.",
    },
    Prose {
        check: "balance-out-of-date",
        title: "Balance not in date",
        sentence: "Lot {lot} was weighed on {balance}, whose calibration held until {due}.",
        why: "The share of binder that is out rests on these weighings.",
        remedy: "Have the balance verified and weigh the lot again.",
    },
    Prose {
        check: "past-its-date",
        title: "Past its date",
        sentence: "Lot {lot}: the {what} was to be used until {until}.",
        why: "Old binder and spent solvent behave otherwise than the records say.",
        remedy: "Have it tested, and enter the new date.",
    },
    Prose {
        check: "thermocouple-used-up",
        title: "Thermocouple used up",
        sentence: "The thermocouple {slot}, type {kind}, has {count} runs above 980 °C behind it; \
                   {limit} are allowed.",
        why: "Base metal drifts by many kelvin after that.",
        remedy: "Put in a new one and enter the day.",
    },
    Prose {
        check: "thermocouple-old",
        title: "Thermocouple old",
        sentence: "The thermocouple {slot}, type {kind}, was put in on {installed}; after {limit} it \
                   is usually replaced.",
        why: "Base metal drifts with time in the heat.",
        remedy: "Put in a new one and enter the day.",
    },
    Prose {
        check: "repaired-since-survey",
        title: "Repaired since the survey",
        sentence: "The furnace was repaired on {repaired}; its survey is of {surveyed}.",
        why: "New elements, insulation or thermocouples move the hot and the cold spots.",
        remedy: "Survey it again before a load depends on it.",
    },
    Prose {
        check: "trap-not-emptied",
        title: "Trap not emptied for long",
        sentence: "The binder trap has taken {count} runs since it was emptied; {limit} are usual.",
        why: "What its filling is said to be rests on more and more guesses.",
        remedy: "Empty it and enter the day.",
    },
    Prose {
        check: "exhaust-dew-point-high",
        title: "Dew point at the exhaust high",
        sentence: "At the exhaust the dew point was last {value}; {limit} is allowed for {alloy}.",
        why: "The supply may be dry and the furnace not: chromium oxidises instead of being reduced.",
        remedy: "Look for leaks and wet insulation; raise the flow of dry gas.",
    },
    Prose {
        check: "charge-outside-tried",
        title: "Charge other than tried",
        sentence: "The parts weigh {value} green; the standard was tried with {from} to {to}.",
        why: "A lighter charge runs ahead of the program's holds, a heavier one behind them.",
        remedy: "Fill it up or take parts out, or try the standard with this charge.",
    },
    Prose {
        check: "acceptance-without-reason",
        title: "Accepted without a reason",
        sentence: "The acceptance of {check} names {how}.",
        why: "Nobody can tell later why it was let through.",
        remedy: "Withdraw it, or accept the finding again with a name and a reason.",
    },
    Prose {
        check: "rest-not-approved",
        title: "Lies on a face that is not approved",
        sentence: "{part} does not rest on the face that is approved for sintering.",
        why: "Size, sag and the marks of the setter come out otherwise than in the parts approved.",
        remedy: "Rest it as approved, or have this way approved.",
    },
];
