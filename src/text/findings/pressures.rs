//! Words of the checks of pressure and flow.

use super::Prose;

/// One entry a check.
pub const PROSE: &[Prose] = &[
    Prose {
        check: "air-left-on-heating",
        title: "Air over a warm load",
        sentence: "Segment {segment}: at {by} the furnace still holds {value} of oxygen by what is planned; at most {limit} is usual.",
        why: "Air oxidises binder, parts, elements and graphite as soon as they are warm, and burns binder where it comes off.",
        remedy: "Pump down or purge before it heats, hold cold under a flow for longer, and name the gas that is let in where a pressure is set.",
    },
    Prose {
        check: "hydrogen-below-air",
        title: "Fuel gas below the air's pressure at a flame",
        sentence: "Segment {segment} holds {value} with fuel gas, and the exhaust burns at a flame.",
        why: "Gas has to come out for the flame; below the air's pressure air goes in through every leak, and the mixture explodes.",
        remedy: "Hold a little above the air's pressure, or follow the furnace's written procedure for hydrogen at reduced pressure; local codes and licensed people come first.",
    },
    Prose {
        check: "air-into-fuel",
        title: "Air let in over fuel gas",
        sentence: "Segment {segment} lets air in, or a gas with oxygen, while {value} of an atmosphere of fuel gas is left by calculation; at most {limit} is wanted before air enters.",
        why: "Fuel gas and air in one furnace explode at the first hot place.",
        remedy: "Purge with an inert gas, or pump down and backfill, before air comes in. Planned; the furnace's written procedure and its interlocks, local codes and licensed people come first.",
    },
    Prose {
        check: "hydrogen-without-flow",
        title: "Fuel gas without a flow",
        sentence: "Segment {segment} holds fuel gas with a flow of {value}; at least {least} is wanted.",
        why: "Gas that cools shrinks, and gas that leaks is not replaced: air comes in.",
        remedy: "Keep the flow that the furnace's written procedure asks for until it is purged out.",
    },
    Prose {
        check: "vacuum-at-the-door",
        title: "Vacuum at the door",
        sentence: "The furnace stands at {value} when the load is to come out.",
        why: "The door is held shut by the air, and air that rushes in carries dust and oxidises what is warm.",
        remedy: "Fill with gas to the air's pressure first.",
    },
    Prose {
        check: "event-undone-by-segment",
        title: "Segment undoes its event",
        sentence: "Segment {segment} begins with {what} to {filled}, and then holds {set}.",
        why: "One of the two is a slip: nobody fills what is pumped out at once.",
        remedy: "Correct the pressure of the segment or of the event.",
    },
];
