//! Words of the check of swelling.

use super::Prose;

/// One entry a check.
pub const PROSE: &[Prose] = &[Prose {
    check: "swelling-assumed",
    title: "Swelling assumed",
    sentence: "{feedstock} loses all its binder by heat: its parts are taken to be {swell} longer \
               until they shrink (assumed).",
    why: "A binder that is not dissolved first softens and swells, and gaps close by as much.",
    remedy: "Measure it on a coupon. Gaps, edges and head room are judged with it.",
}];
