//! Words of the atmosphere checks.

use super::Prose;

/// One entry a check.
pub const PROSE: &[Prose] = &[
    Prose {
        check: "gas-unknown",
        title: "Unknown gas",
        sentence: "The profile uses {gas}, which the catalogue does not know{near}.",
        why: "Nothing about it can be judged: what it does to parts, zone and people.",
        remedy: "Choose a gas of the catalogue, or add a record.",
    },
    Prose {
        check: "gas-not-plumbed",
        title: "Gas not plumbed in",
        sentence: "The profile uses {gas}, which the furnace does not have.",
        why: "Somebody would have to change the plumbing, or the run stops there.",
        remedy: "Choose another gas or another furnace.",
    },
    Prose {
        check: "gas-not-allowed-for-alloy",
        title: "Gas not allowed for the alloy",
        sentence: "Segment {segment} runs {alloy} in {gas} between {low} and {high}, which its \
                   record does not allow there.",
        why: "Nitrides, hydrides, oxides or loss of an element change the alloy.",
        remedy: "Change the gas of this segment, or the alloy's record where the customer asks \
                 for it.",
    },
    Prose {
        check: "hydrogen-in-graphite",
        title: "Hydrogen in a hot graphite zone",
        sentence: "Segment {segment} has {gas} in a graphite zone at {value}; {limit} is the mark.",
        why: "Hydrogen takes carbon from the zone as methane and brings it to the parts.",
        remedy: "Use argon above that, or a metal zone.",
    },
    Prose {
        check: "nitrogen-with-molybdenum",
        title: "Nitrogen on hot molybdenum",
        sentence: "Segment {segment} has {gas} in a molybdenum zone at {value}; {limit} is the \
                   mark.",
        why: "Molybdenum takes up nitrogen and becomes brittle.",
        remedy: "Use argon or hydrogen above that.",
    },
    Prose {
        check: "pressure-below-floor",
        title: "Pressure low over an evaporating alloy",
        sentence: "Segment {segment} keeps {value} above {from}; {alloy} wants at least {limit} \
                   there.",
        why: "An element leaves the surface of the parts and settles in the cold places.",
        remedy: "Set a partial pressure of argon above that temperature.",
    },
    Prose {
        check: "pressure-below-pump-floor",
        title: "Pressure that the pump cannot hold",
        sentence: "Segment {segment} asks for {value} with a sweep of {flow}; against that sweep \
                   the pump holds {limit}, without counting any vapour of the load.",
        why: "The furnace would stand at another pressure than planned, or alarm.",
        remedy: "Lower the sweep or raise the pressure.",
    },
    Prose {
        check: "nitrogen-cooling-stainless",
        title: "Nitrogen while stainless cools",
        sentence: "Segment {segment} cools {alloy} in {gas} between {from} and {to}.",
        why: "Nitrogen enters the surface there and binds chromium.",
        remedy: "Change to argon or hydrogen for the way down.",
    },
    Prose {
        check: "dew-point-high",
        title: "Dew point of the supply high",
        sentence: "The supply of {gas} has a dew point of {value}; {limit} or less is wanted for \
                   stainless steel.",
        why: "Water in the gas keeps oxides on the parts.",
        remedy: "Change the dryer or purge the line, and read again.",
    },
    Prose {
        check: "dew-point-too-high",
        title: "Supply too wet",
        sentence: "The supply of {gas} has a dew point of {value}; above {limit} stainless steel \
                   is not run.",
        why: "The gas oxidises chromium instead of reducing it.",
        remedy: "Dry the supply first.",
    },
    Prose {
        check: "dew-point-stale",
        title: "Dew point read long ago",
        sentence: "The dew point of {gas} was read {age} before the planned start; {most} is the \
                   mark.",
        why: "A dryer fails from one day to the next.",
        remedy: "Read it again before the start.",
    },
    Prose {
        check: "leak-rate-high",
        title: "Leak-up rate high",
        sentence: "The furnace leaks up at {leak}; {most} is the mark.",
        why: "Air that leaks in oxidises the load.",
        remedy: "Find the leak and test again.",
    },
    Prose {
        check: "leak-rate-too-high",
        title: "Leak-up rate too high",
        sentence: "The furnace leaks up at {leak}; for {what} {most} is the mark.",
        why: "Titanium takes up all the oxygen that leaks in, and fuel gas makes a mixture of it.",
        remedy: "Find the leak and test again before the run.",
    },
    Prose {
        check: "leak-test-old",
        title: "Leak test old",
        sentence: "The last leak test is {age} before the planned start; {most} is the mark.",
        why: "A seal that was tight may have been damaged since.",
        remedy: "Test before the run and enter the result.",
    },
    Prose {
        check: "titanium-vacuum-too-poor",
        title: "Vacuum not good enough for titanium",
        sentence: "Segment {segment} sinters {feedstock} at {value}; at most {limit} is wanted.",
        why: "Titanium takes up oxygen for good: no later step takes it out.",
        remedy: "Pump longer, or take a furnace that reaches the pressure.",
    },
    Prose {
        check: "gas-supply-short",
        title: "Gas supply short",
        sentence: "The run uses {need} of {gas}; {usable} is on hand without the reserve ({value} \
                   of it).",
        why: "A bank that runs empty at the peak costs the load, and with hydrogen the purge.",
        remedy: "Change the bank first, or lower the flow.",
    },
];
