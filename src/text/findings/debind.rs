//! Words of the debind checks.

use super::Prose;

/// One entry a check.
pub const PROSE: &[Prose] = &[
    Prose {
        check: "first-step-missing",
        title: "First step missing",
        sentence: "Lot {lot} enters green, and its binder has a first step.",
        why: "Without open pores the binder boils inside the part and blisters or splits it.",
        remedy: "Take the lot through the first step and the dryer, or correct the state in which \
                 it enters.",
    },
    Prose {
        check: "extraction-too-low",
        title: "Too little binder extracted",
        sentence: "Lot {lot}: {value} of the first-step binder is out{note}; below {limit} it may \
                   not enter.",
        why: "The core is still closed, and the vapour of the rest has no way out. This is the \
              mean: the centre holds more.",
        remedy: "Put the lot back into the first step, dry it and weigh it again.",
    },
    Prose {
        check: "extraction-low",
        title: "Extraction low",
        sentence: "Lot {lot}: {value} of the first-step binder is out; {limit} is wanted.",
        why: "Thick sections lag behind the mean, and what is left goes through the furnace and \
              its trap.",
        remedy: "Lengthen the first step, or slow the ramp through the debind range.",
    },
    Prose {
        check: "extraction-not-weighed",
        title: "Extraction not weighed",
        sentence: "Lot {lot} has no pair of green and dry weighings, so nobody knows how much \
                   binder is out.",
        why: "The plan counts on the feedstock's target, which is a wish and not a measurement.",
        remedy: "Weigh the lot green and dry and enter both masses.",
    },
    Prose {
        check: "extraction-above-binder",
        title: "More lost than there was",
        sentence: "Lot {lot} lost {value} of its first-step binder, more than the {limit} that it \
                   can hold.",
        why: "A weighing is wrong, the lot is another part, or powder came off.",
        remedy: "Weigh again in one unit (both in g), count the pieces, and look for crumbs in the bath.",
    },
    Prose {
        check: "lot-not-dry",
        title: "Lot not dry",
        sentence: "Lot {lot} may still hold {liquid}: {how}.",
        why: "Liquid that boils in the pores cracks the part and wets the furnace.",
        remedy: "Dry it until two weighings agree and the time in the dryer is full.",
    },
    Prose {
        check: "residual-binder-over-furnace-rating",
        title: "More binder than the furnace is rated for",
        sentence: "The load brings {value} of binder, the furnace is rated for {limit} a \
                   run{assumed}.",
        why: "What the trap and the pump cannot take ends as tar in the cold parts and as soot on \
              the load.",
        remedy: "Split the load, or extract more in the first step.",
    },
    Prose {
        check: "trap-nearly-full",
        title: "Trap nearly full after this run",
        sentence: "The trap holds {now} and is expected to catch {catch} more: {value} of \
                   {capacity}; {limit} is the mark{assumed}.",
        why: "A trap this full passes vapour to the pump and may plug.",
        remedy: "Empty the trap before the run and enter what it holds.",
    },
    Prose {
        check: "trap-over-full",
        title: "Trap overfull after this run",
        sentence: "The trap holds {now} and is expected to catch {catch} more: {value} of \
                   {capacity}{assumed}.",
        why: "A plugged trap stops the sweep in the middle of the debind range.",
        remedy: "Empty the trap first, or split the load.",
    },
    Prose {
        check: "sweep-too-low",
        title: "Sweep too low in the debind range",
        sentence: "Segment {segment} sweeps with {value}; at least {limit} is wanted in the \
                   debind range.",
        why: "Vapour that is not carried off settles on the parts and in the cold places.",
        remedy: "Raise the flow in this segment.",
    },
    Prose {
        check: "ramp-too-fast-for-section",
        title: "Ramp fast for the section",
        sentence: "Segment {segment} heats at {value} in the debind range{others}; a section of \
                   {section} ({part}) is given {limit}.",
        why: "Binder turns to vapour faster than it can leave a section this thick.",
        remedy: "Slow the ramp, or split it so that only the debind range is slow.",
    },
    Prose {
        check: "ramp-far-too-fast-for-section",
        title: "Ramp far too fast for the section",
        sentence: "Segment {segment} heats at {value} in the debind range; a section of {section} \
                   ({part}) is given {allowed}, and beyond {limit} it stops.",
        why: "Pressure inside the section cracks or bloats it.",
        remedy: "Slow the ramp to the limit of the thickest section.",
    },
    Prose {
        check: "debind-hold-missing",
        title: "No hold in the debind range",
        sentence: "The profile has no hold on its way up between {from} and {to}, where the \
                   backbone of {feedstock} leaves.",
        why: "The middle of the load lags far behind the setpoint: without a hold it carries its \
              backbone into the hot part of the run.",
        remedy: "Add a hold in the debind range.",
    },
    Prose {
        check: "debind-ranges-do-not-overlap",
        title: "Debind ranges do not overlap",
        sentence: "{a} loses its backbone at {a_range}, {b} at {b_range}: no temperature serves \
                   both.",
        why: "One of them would be held too hot or too cold.",
        remedy: "Run the two feedstocks in separate loads.",
    },
    Prose {
        check: "binder-systems-mixed",
        title: "Binder systems mixed",
        sentence: "The load brings several binder systems: {binders}.",
        why: "Each leaves at its own pace and temperature, and the vapour of one settles on parts \
              of the other.",
        remedy: "Run them apart, or take a profile that was tried for the mixture.",
    },
];
