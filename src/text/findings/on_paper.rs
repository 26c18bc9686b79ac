//! Words of the checks of what the papers of shop, furnace and lots say against each other.

use super::Prose;

/// One entry a check.
pub const PROSE: &[Prose] = &[
    Prose {
        check: "over-temperature-below-peak",
        title: "Over-temperature cut-out below the peak",
        sentence: "The cut-out is declared at {set}, {below} below the peak of {peak}.",
        why: "It ends the run before the peak, in hydrogen as well, or it was read wrongly and \
              guards at another temperature.",
        remedy: "Read the setting again and set it as the furnace's written procedure says, then \
                 declare it again.",
    },
    Prose {
        check: "over-temperature-above-furnace",
        title: "Over-temperature cut-out above the furnace",
        sentence: "The cut-out is declared at {value}; the furnace goes to {limit}.",
        why: "When control fails it acts only after the furnace is beyond what it is made for.",
        remedy: "Read the setting again, in degrees Celsius, and set it as the furnace's written \
                 procedure says, then declare it again.",
    },
    Prose {
        check: "acid-not-purged",
        title: "Acid not purged out",
        sentence: "Lot {lot}: its record says that the acid was not purged out.",
        why: "Parts from a catalytic first step give off acid and formaldehyde, which harm people \
              and eat furnace, pump and trap.",
        remedy: "Purge the lot with nitrogen as the written procedure of the first step says, and \
                 enter it.",
    },
    Prose {
        check: "dryer-not-ventilated",
        title: "Dryer not ventilated",
        sentence: "Lot {lot}: {liquid} was dried off in a dryer without ventilation, by its record.",
        why: "Solvent vapour gathers in a closed dryer up to a mixture that explodes, and parts \
              dry badly in it.",
        remedy: "Dry it with ventilation, as the dryer's written procedure and local codes say, and \
                 weigh it again; or correct the record.",
    },
    Prose {
        check: "thermocouple-type-changed",
        title: "Other thermocouple than on record",
        sentence: "Thermocouple {sensor} is of type {kind} by the shop's state, and of type {record} \
                   by the furnace's record.",
        why: "Range and tolerance are judged by what is in the slot; wiring and instrument may still \
              be those of the record.",
        remedy: "Look what is fitted, and correct the state or the record.",
    },
    Prose {
        check: "survey-above-furnace",
        title: "Survey above the furnace's highest setpoint",
        sentence: "The survey has {count} of its setpoints above {limit}, to which the furnace \
                   goes, up to {value}; likely Fahrenheit, which would be {celsius}.",
        why: "What lies between such a point and the next is judged by a survey that was never made \
              there.",
        remedy: "Correct the setpoints from the survey's report, in degrees Celsius; the deviations \
                 are then in Fahrenheit degrees too, likely.",
    },
    Prose {
        check: "survey-beyond-class",
        title: "Survey outside its own class",
        sentence: "Class {class} allows ±{allowed}, and {what}.",
        why: "By its own figures the furnace does not keep the class that the survey states.",
        remedy: "Correct class or figures from the survey's report, or have the furnace tuned and \
                 surveyed again.",
    },
    Prose {
        check: "survey-without-spread",
        title: "Survey without any spread",
        sentence: "At {setpoint} the survey says that no place is hotter or colder than the setpoint.",
        why: "No furnace is the same everywhere: nothing was read there, or it was not typed, and \
              the cold and the hot case are then the setpoint itself.",
        remedy: "Type the hottest and the coldest place that were read, or take the setpoint out.",
    },
    Prose {
        check: "soak-waits-for-no-thermocouple",
        title: "Soak waits for thermocouples that are not there",
        sentence: "Segment {segment} waits for load thermocouples, and none is placed in the load.",
        why: "The wait begins its hold at once or never, by the controller's make.",
        remedy: "Place load thermocouples, or let the segment wait for the control thermocouple.",
    },
    Prose {
        check: "soak-leaves-thermocouples-out",
        title: "Soak without all load thermocouples",
        sentence: "Segment {segment} waits for all load thermocouples. Placed: {there}; not placed: {left}.",
        why: "Whether the controller waits for an open channel depends on its settings.",
        remedy: "Place the others too, or take their channels out of the wait.",
    },
    Prose {
        check: "furnace-not-in-shop-state",
        title: "The shop's state does not have this furnace",
        sentence: "The state of the shop lists other furnaces, and no {kind} \
                   \"{furnace}\"{candidates}.",
        why: "Survey, thermocouples, trap and gases of this furnace are all not known, so most of \
              it is not evaluated.",
        remedy: "Correct the furnace's name in the shop's state, or add the furnace there.",
    },
    Prose {
        check: "lot-times-disagree",
        title: "Time that does not fit",
        sentence: "Lot {lot} is noted as {time} {what}; {between} there are {free}.",
        why: "One of the figures is wrong, and dryness or extraction rests on it.",
        remedy: "Look at the lot's card and correct the time or the moment.",
    },
    Prose {
        check: "dried-very-long",
        title: "Very long in the dryer",
        sentence: "Lot {lot} is noted with {value} in the dryer; more than {limit} is likely a slip \
                   of the unit.",
        why: "That the lot is dry rests on this time.",
        remedy: "Look at the lot's card and correct the time.",
    },
    Prose {
        check: "bath-of-other-solvent",
        title: "Bath of another solvent",
        sentence: "Lot {lot} was in a bath of {used}; {binder} is dissolved in {usual}.",
        why: "Extraction, drying and the flammable limit are judged by the binder's solvent.",
        remedy: "Correct the name if it is a slip; otherwise have the record of the binder made for \
                 that solvent.",
    },
    Prose {
        check: "debinding-not-evaluated",
        title: "Nothing of debinding is evaluated",
        sentence: "Lot {lot} enters {state}: nothing of its debinding is evaluated.",
        why: "If the state is a slip, binder comes that no check counts.",
        remedy: "Correct the state if the lot still holds binder.",
    },
];
