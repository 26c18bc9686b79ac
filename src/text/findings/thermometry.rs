//! Words of the checks of thermocouples and instruments.

use super::Prose;

/// One entry a check.
pub const PROSE: &[Prose] = &[
    Prose {
        check: "thermocouple-type-mismatch",
        title: "Instrument set to another thermocouple type",
        sentence: "Thermocouple {sensor} is of type {kind}, and controller or logger is set to type \
                   {set}: with the tip at {peak} {shown}.",
        why: "The furnace is controlled, waits or cuts out at another temperature than the plan's.",
        remedy: "Set the instrument to type {kind}, or correct the note of the furnace's \
                 thermocouples.",
    },
    Prose {
        check: "soak-band-below-survey-spread",
        title: "Band of the guaranteed soak below the survey's spread",
        sentence: "Segment {segment} waits at {target} for load thermocouples within ±{value}; the \
                   survey found places {coldest} and {hottest} from the setpoint there.",
        why: "A thermocouple at such a place never comes into the band: the timer does not start, \
              and the furnace waits until the timeout.",
        remedy: "Widen the band to {limit} at least, or let the wait hang on thermocouples that the \
                 survey found closer.",
    },
    Prose {
        check: "thermocouple-without-tolerance",
        title: "Thermocouple without a stated tolerance",
        sentence: "Thermocouple {sensor} is of type {kind}, for which no tolerance is stated in all \
                   of the debind range of {from} to {to}.",
        why: "So low its EMF is tiny, and nobody answers for what it reads: the debind hold may be \
              tens of kelvins off.",
        remedy: "Control the debind range by a thermocouple of type K, N, R or S, or have this one \
                 calibrated there.",
    },
];
