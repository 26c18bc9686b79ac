//! Words of the checks of what the shop's own records say.

use super::Prose;

/// One entry a check.
pub const PROSE: &[Prose] = &[
    Prose {
        check: "shop-names-unknown",
        title: "The shop's state names something unknown",
        sentence: "There is no {kind} \"{id}\", which the state of the shop names{candidates}.",
        why: "What is noted under that name holds for nothing, and nobody misses it.",
        remedy: "Correct the name in the shop's state, or add the record to the shop's catalogue.",
    },
    Prose {
        check: "survey-place-beyond-extremes",
        title: "Survey place beyond the survey's extremes",
        sentence: "{place} read {read} from the setpoint at {setpoint}, and the extremes are given \
                   as {coldest} and {hottest}.",
        why: "What the peak may be goes by the extremes, and this place is beyond them.",
        remedy: "Correct the extremes or the place from the survey's report.",
    },
];
