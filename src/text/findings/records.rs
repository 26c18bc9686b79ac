//! Words of the records checks.

use super::Prose;

/// One entry a check.
pub const PROSE: &[Prose] = &[
    Prose {
        check: "shop-state-invented",
        title: "State of an invented shop",
        sentence: "Survey, leak rate, trap, gas on hand, stock and due dates are those of {shop}.",
        why: "Checks that read them say nothing about your furnace.",
        remedy: "Keep your own state in a shop folder and name it with --shop, or choose the folder \
                 in the window.",
    },
    Prose {
        check: "calibration-due",
        title: "Calibration due",
        sentence: "Falls due on {due}, {when}, {value} days before the end: {what}.",
        why: "After that day nobody can say how far its reading may be off.",
        remedy: "Have it done first, or run on another furnace.",
    },
    Prose {
        check: "trap-never-emptied",
        title: "No record that the trap was emptied",
        sentence: "{furnace}: no day is on record on which the binder trap was emptied.",
        why: "A trap of unknown content may plug in the middle of the debind.",
        remedy: "Empty it and enter the day and its content.",
    },
    Prose {
        check: "coupon-missing",
        title: "No coupon in the load",
        sentence: "No witness coupon stands among {count} parts.",
        why: "Without one, density and chemistry have to be measured on parts.",
        remedy: "Place a coupon at the coldest and the hottest spot.",
    },
    Prose {
        check: "record-differs-from-file",
        title: "A record has changed since the file was saved",
        sentence: "The {kind} {id} is not as it was when the file was saved: it was changed by hand, \
                   or another one is in use.",
        why: "The load may be judged otherwise than when it was cleared.",
        remedy: "Look at the difference, then keep the file's record or take the shop's.",
    },
    Prose {
        check: "safety-record-loosened",
        title: "Record that guards people says less than it comes with",
        sentence: "{record}: by the record that comes with the program {what}; the one in use does \
                   not say so.",
        why: "Purge, flame and dryness go by what burns: a record that leaves it out takes their \
              stops away.",
        remedy: "Write it as it is, or give another gas or binder a name of its own.",
    },
    Prose {
        check: "limit-loosened",
        title: "Limit set looser than it comes",
        sentence: "{limit}: {now}, set by {by}; as it comes {built}.",
        why: "What lies between the two is not told any more, and nothing else in the review says \
              so.",
        remedy: "See that whoever set it meant this load too; under Limits it can be set back.",
    },
    Prose {
        check: "duplicate-names",
        title: "Two of one name",
        sentence: "{count} {kind} are called \"{name}\".",
        why: "On the run sheet nobody can tell them apart.",
        remedy: "Rename them.",
    },
    Prose {
        check: "survey-missing",
        title: "No survey",
        sentence: "No temperature uniformity survey is on record for the furnace.",
        why: "Without one nobody knows how far the load is off the setpoint, and no margin can be \
              given.",
        remedy: "Have the furnace surveyed and enter the result.",
    },
    Prose {
        check: "survey-out-of-date",
        title: "Survey out of date",
        sentence: "The survey of {date} holds until {due}, {when}: {value} days too short.",
        why: "Elements and insulation age, and the map of the furnace with them.",
        remedy: "Have the furnace surveyed again.",
    },
    Prose {
        check: "survey-does-not-cover-peak",
        title: "Survey does not cover the peak",
        sentence: "The peak is {peak}, and the survey goes from {from} to {to}.",
        why: "How even the furnace is at one temperature says little about another: whether the \
              hottest place melts or the coldest stays behind cannot be judged.",
        remedy: "Have the furnace surveyed at the peak.",
    },
    Prose {
        check: "no-setpoint-exists",
        title: "No setpoint exists",
        sentence: "In the sinter range of {from} to {to} the coldest place needs a setpoint of at \
                   least {lowest} and the hottest allows at most {highest} ({known}).",
        why: "Whatever the setpoint, part of the load is too cold or too hot.",
        remedy: "Use a smaller part of the furnace and survey that, tune the controller, or run it \
                 in another furnace.",
    },
    Prose {
        check: "peak-above-usable-setpoints",
        title: "Peak too hot for the hottest place",
        sentence: "The peak is {value}; at most {limit} keeps the hottest place in \
                   the sinter range. Usable are {from} to {to}.",
        why: "Parts at the hottest place slump, blister or melt.",
        remedy: "Lower the peak into the usable setpoints.",
    },
    Prose {
        check: "peak-below-usable-setpoints",
        title: "Peak too cold for the coldest place",
        sentence: "The peak is {value}; with the survey at least {limit} brings the coldest place \
                   into the sinter range. Usable are {from} to {to}.",
        why: "Parts at the coldest place stay too large and too porous.",
        remedy: "Raise the peak into the usable setpoints.",
    },
    Prose {
        check: "thermocouple-unsuited",
        title: "Thermocouple unsuited to the peak",
        sentence: "Thermocouple {sensor} is of type {kind}, and the peak is {value}; the type goes \
                   up to {limit}.",
        why: "Beyond its range it drifts within hours and then fails, with the load at peak.",
        remedy: "Take it out for this run, or fit a type that goes higher.",
    },
];
