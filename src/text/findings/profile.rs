//! Words of the profile checks.

use super::Prose;

/// One entry a check.
pub const PROSE: &[Prose] = &[
    Prose {
        check: "profile-empty",
        title: "Empty profile",
        sentence: "{fault}",
        why: "Nothing about heating, gas or cooling can be judged.",
        remedy: "Add segments, or take a profile from another load.",
    },
    Prose {
        check: "profile-number-unusable",
        title: "Unusable number in the profile",
        sentence: "{fault}",
        why: "The program cannot be computed, and a controller may take such a number for another.",
        remedy: "Correct the number in the segment.",
    },
    Prose {
        check: "step-jump",
        title: "Step in the setpoint",
        sentence: "{fault}",
        why: "The controller answers a step with full power, and elements and load lag far behind.",
        remedy: "Give the ramp a time or a rate.",
    },
    Prose {
        check: "soak-timeout-missing",
        title: "Guaranteed soak without a timeout",
        sentence: "{fault}",
        why: "A broken thermocouple would hold the load at temperature without end.",
        remedy: "Set a timeout after which the furnace alarms.",
    },
    Prose {
        check: "soak-without-effect",
        title: "Guaranteed soak that cannot work",
        sentence: "{fault}",
        why: "It looks like a wait and is none, or waits for what never comes.",
        remedy: "Set band and place of the wait, or take it out.",
    },
    Prose {
        check: "flow-without-gas",
        title: "Flow without a gas",
        sentence: "{fault}",
        why: "Nobody can tell which valve is to be open.",
        remedy: "Name the gas, or set the flow to zero.",
    },
    Prose {
        check: "peak-below-sinter-range",
        title: "Peak below the sinter range",
        sentence: "The highest target is {value}; {feedstock} sinters from {limit} on.",
        why: "Parts stay porous, large and weak.",
        remedy: "Raise the peak, or correct the feedstock.",
    },
    Prose {
        check: "peak-above-sinter-range",
        title: "Peak above the sinter range",
        sentence: "The highest target is {value}; {feedstock} sinters up to {limit}.",
        why: "Parts slump, grow coarse grains or melt onto the setter.",
        remedy: "Lower the peak, or run this feedstock in another load.",
    },
    Prose {
        check: "peak-near-solidus",
        title: "Peak near the solidus",
        sentence: "The margin of the hottest place to the solidus of {alloy} ({solidus}) is \
                   {value}; {limit} is wanted.",
        why: "The hottest place of the zone is above the setpoint: the first liquid lets parts \
              slump.",
        remedy: "Lower the peak and lengthen the hold.",
    },
    Prose {
        check: "sinter-ranges-do-not-overlap",
        title: "Sinter ranges do not overlap",
        sentence: "{a} sinters at {a_range}, {b} at {b_range}: no peak serves both.",
        why: "One of them comes out porous or the other slumped.",
        remedy: "Run the two feedstocks in separate loads.",
    },
    Prose {
        check: "sinter-hold-short",
        title: "Sinter hold short",
        sentence: "The profile holds {value} in the sinter range of {feedstock}; at least {limit} \
                   is wanted.",
        why: "Density is reached in the hold, and the middle of the load arrives late in it.",
        remedy: "Lengthen the hold at the peak.",
    },
    Prose {
        check: "sinter-hold-long",
        title: "Sinter hold long",
        sentence: "The profile holds {value} in the sinter range of {feedstock}; at most {limit} \
                   is usual.",
        why: "Grains and pores grow, and strength falls again.",
        remedy: "Shorten the hold at the peak.",
    },
    Prose {
        check: "densifying-ramp-too-fast",
        title: "Ramp fast while parts densify",
        sentence: "Segment {segment} heats at {value} above {start}, where {feedstock} shrinks; at \
                   most {limit} is wanted.",
        why: "The outside shrinks before the inside, and the part distorts.",
        remedy: "Slow the ramp above the start of shrinking.",
    },
    Prose {
        check: "guaranteed-soak-missing",
        title: "Sinter hold runs by the clock",
        sentence: "Segment {segment} holds in the sinter range and waits for no thermocouple.",
        why: "The timer starts while the load is still on its way.",
        remedy: "Let the hold wait for the load thermocouples, with a band and a timeout.",
    },
    Prose {
        check: "soak-waits-on-control-only",
        title: "Guaranteed soak on the control thermocouple",
        sentence: "Segment {segment} waits for the control thermocouple, which waits for nothing.",
        why: "That thermocouple follows the setpoint closely and is in band at once; the load is \
              not.",
        remedy: "Let it wait for the load thermocouples.",
    },
    Prose {
        check: "soak-band-narrow",
        title: "Band of the guaranteed soak narrow",
        sentence: "Segment {segment} waits for a band of {value}; below {limit} the noise of a \
                   thermocouple leaves it again and again.",
        why: "The hold may never start, or restart without end.",
        remedy: "Widen the band.",
    },
    Prose {
        check: "soak-band-wide",
        title: "Band of the guaranteed soak wide",
        sentence: "Segment {segment} waits for a band of {value}; beyond {limit} it says little.",
        why: "The timer starts while the load is still far from the target.",
        remedy: "Narrow the band.",
    },
    Prose {
        check: "wait-timeout-long",
        title: "Timeout long",
        sentence: "Segment {segment} may wait {value} before the furnace alarms; {limit} is usual.",
        why: "A broken thermocouple keeps the load at temperature for all that time.",
        remedy: "Shorten the timeout.",
    },
    Prose {
        check: "reduction-hold-missing",
        title: "No hold for reduction",
        sentence: "{alloy} wants a hold between {from} and {to} on the way up, where its oxide \
                   ({oxide}) leaves; the profile has none.",
        why: "Gas of the reduction is trapped once the pores close: blisters and oxides remain.",
        remedy: "Add a hold in that range.",
    },
    Prose {
        check: "full-rate-in-debind-range",
        title: "Full rate in the debind range",
        sentence: "Segment {segment} heats as fast as the furnace can through the debind range.",
        why: "The pace then depends on the furnace and the load, not on what the parts bear.",
        remedy: "Give the ramp a rate.",
    },
    Prose {
        check: "cooling-too-slow",
        title: "Cooling slow",
        sentence: "From {from} to {to} the profile cools at {value} on the whole; {feedstock} \
                   wants at least {limit}.",
        why: "Carbides or soft structures form while the alloy stays in this range.",
        remedy: "Cool faster there, with gas or a fan where the furnace has one.",
    },
    Prose {
        check: "cooling-too-fast",
        title: "Cooling fast",
        sentence: "Segment {segment} cools at {value} between {from} and {to}; {feedstock} wants \
                   at most {limit}.",
        why: "Hard alloys crack when they are cooled faster than they can give way.",
        remedy: "Slow the cooling in this range.",
    },
    Prose {
        check: "cooling-hard-on-ceramics",
        title: "Cooling hard on plates",
        sentence: "Segment {segment} cools at {value}; plates of {thickness} are given {limit}.",
        why: "The edge of a thick plate cools before its middle, and the plate cracks.",
        remedy: "Slow the cooling, or take thinner plates.",
    },
    Prose {
        check: "ends-hot",
        title: "Profile ends above the unload temperature",
        sentence: "The last target is {end}, and the load is to come out at {unload}.",
        why: "The program is over while the load is hot: nobody is told when to open.",
        remedy: "Add a cooling segment down to the unload temperature.",
    },
    Prose {
        check: "ramp-beyond-furnace",
        title: "Ramp beyond the furnace",
        sentence: "Segment {segment} heats at {value}; the furnace follows {limit} empty.",
        why: "The setpoint runs ahead, and the program waits or alarms.",
        remedy: "Slow the ramp.",
    },
    Prose {
        check: "cooling-beyond-furnace",
        title: "Cooling beyond the furnace",
        sentence: "Segment {segment} cools at {value}; without a fan the furnace reaches {limit} \
                   at the top of its range and less below.",
        why: "The load lags behind the setpoint, and the program's times are not real.",
        remedy: "Slow the ramp, or let the furnace cool at full rate.",
    },
    Prose {
        check: "target-above-furnace",
        title: "Target above the furnace's highest",
        sentence: "The highest target is {value}; the furnace goes to {limit}.",
        why: "Elements, shields and insulation are not made for it.",
        remedy: "Lower the target, or choose another furnace.",
    },
    Prose {
        check: "too-many-segments",
        title: "Too many segments",
        sentence: "The profile has {value} segments; the controller takes {limit}.",
        why: "The program cannot be typed in as it stands.",
        remedy: "Merge segments.",
    },
    Prose {
        check: "target-not-typable",
        title: "Target between the controller's steps",
        sentence: "Segment {segment}: a target of {typed} cannot be typed; the controller goes in \
                   steps of {step}.",
        why: "Someone will round it at the furnace, and the run is no longer the plan.",
        remedy: "Round it here.",
    },
    Prose {
        check: "rate-not-typable",
        title: "Rate between the controller's steps",
        sentence: "Segment {segment}: a rate of {typed} cannot be typed; the controller goes in \
                   steps of {step}.",
        why: "Someone will round it at the furnace, and the run is no longer the plan.",
        remedy: "Round it here.",
    },
    Prose {
        check: "hold-not-typable",
        title: "Hold between the controller's steps",
        sentence: "Segment {segment}: a hold of {typed} cannot be typed; the controller goes in \
                   steps of {step}.",
        why: "Someone will round it at the furnace, and the run is no longer the plan.",
        remedy: "Round it here.",
    },
    Prose {
        check: "hold-beyond-controller",
        title: "Hold longer than the controller takes",
        sentence: "Segment {segment} holds {value}; the controller takes {limit}.",
        why: "The program cannot be typed in as it stands.",
        remedy: "Split the hold into two segments.",
    },
    Prose {
        check: "fan-not-usable",
        title: "Fan cannot run",
        sentence: "Segment {segment} switches the fan on, and {how}.",
        why: "A fan in hot or thin gas moves nothing or is destroyed.",
        remedy: "Move the event to a cooler segment, or backfill first.",
    },
    Prose {
        check: "pump-not-there",
        title: "Pump-down without a pump",
        sentence: "Segment {segment} is pumped down or held below the air's pressure, and the record of the furnace has no pump.",
        why: "What is purged or emptied by it in the plan stays full of what was there.",
        remedy: "Enter the pump in the furnace's record, or purge by a flow.",
    },
    Prose {
        check: "first-target-below-start",
        title: "First target below the start",
        sentence: "The profile starts at {start} and goes to {target} first.",
        why: "A controller that starts from the furnace's own temperature may skip to a later \
              segment.",
        remedy: "Check the start temperature.",
    },
    Prose {
        check: "rate-unit-suspicion",
        title: "Rate looks typed in another unit",
        sentence: "Segment {segment} goes at {value} ({limit} is the mark): perhaps {meant} was \
                   meant.",
        why: "Rates per hour and per minute differ by sixty and are easily mixed up.",
        remedy: "Confirm or correct the rate.",
    },
    Prose {
        check: "fahrenheit-suspicion",
        title: "Target looks like Fahrenheit",
        sentence: "Segment {segment} goes to {value}, beyond {limit}: perhaps {typed} was meant, \
                   which is {meant}.",
        why: "A number in °F read as °C is nearly twice as hot.",
        remedy: "Confirm or correct the target.",
    },
];
