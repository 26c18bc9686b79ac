//! What a person counts and switches: a check is one concern of the trade, and what it can find are
//! its conditions, each with a weight and limits of its own.

use super::checks::{all_checks, check_by_slug};
use super::finding::Check;
use crate::catalogue::{CheckSetting, LimitScope};

/// One concern, with all that can be found about it.
#[derive(Debug, PartialEq)]
pub struct Topic {
    /// Stable name in plain English; no check has the same.
    pub slug: &'static str,
    /// Slugs of its checks, the gravest of one quantity first.
    pub checks: &'static [&'static str],
}

impl Topic {
    /// Its checks.
    pub fn all(&self) -> impl Iterator<Item = &'static Check> {
        self.checks.iter().filter_map(|slug| check_by_slug(slug))
    }

    /// Whether some of it runs where nobody has set anything.
    pub fn on(&self) -> bool {
        self.all().any(|check| check.on)
    }
}

/// The topic of a check.
pub fn topic_of(check: &str) -> Option<&'static Topic> {
    TOPICS.iter().find(|topic| topic.checks.contains(&check))
}

/// A topic by its slug.
pub fn topic_by_slug(slug: &str) -> Option<&'static Topic> {
    TOPICS.iter().find(|topic| topic.slug == slug)
}

/// Checks that a setting's name means: one, or all of a topic.
pub fn checks_meant(name: &str) -> Vec<&'static Check> {
    match topic_by_slug(name) {
        Some(topic) => topic.all().collect(),
        None => all_checks().filter(|check| check.slug == name).collect(),
    }
}

/// What is set for a check in a scope: by its own name, else by its topic's.
pub fn setting_of<'s>(
    check: &str,
    scope: &LimitScope,
    settings: &'s [CheckSetting],
) -> Option<&'s CheckSetting> {
    let named = |name: &str| settings.iter().find(|s| s.is(name, scope));
    named(check).or_else(|| named(topic_of(check)?.slug))
}

/// Every topic, in the order of the families.
pub const TOPICS: &[Topic] = &[
    Topic {
        slug: "fuel-gas-purged",
        checks: &[
            "hydrogen-without-purge-before",
            "hydrogen-without-purge-after",
            "purge-before-fuel-weak",
            "purge-before-air-weak",
            "air-into-fuel",
            "purge-after-hydrogen-on",
            "purge-reserve-short",
        ],
    },
    Topic {
        slug: "fuel-gas-burnt",
        checks: &[
            "hydrogen-without-burn-off",
            "hydrogen-event-mismatch",
            "hydrogen-below-air",
            "hydrogen-without-flow",
            "flame-off-before-hydrogen-off",
            "hydrogen-change-unattended",
        ],
    },
    Topic {
        slug: "vapours-before-heat",
        checks: &[
            "solvent-on-parts",
            "dryer-air-short",
            "dryer-not-ventilated",
            "acid-not-purged",
        ],
    },
    Topic {
        slug: "opening-the-door",
        checks: &[
            "unload-too-hot",
            "load-hot-at-unload",
            "unload-not-last",
            "ends-hot",
            "air-on-hot-zone",
            "vacuum-at-the-door",
        ],
    },
    Topic {
        slug: "over-temperature",
        checks: &[
            "over-temperature-not-declared",
            "over-temperature-set-low",
            "over-temperature-set-high",
            "over-temperature-below-peak",
            "over-temperature-above-furnace",
        ],
    },
    Topic {
        slug: "room-and-dust",
        checks: &["inert-gas-entry", "titanium-dust"],
    },
    Topic {
        slug: "limits-of-people",
        checks: &["safety-limit-loosened", "safety-record-loosened"],
    },
    Topic {
        slug: "gap-between-parts",
        checks: &["parts-touching", "gap-too-small"],
    },
    Topic {
        slug: "edge-of-setter",
        checks: &["part-over-setter-edge", "part-near-setter-edge"],
    },
    Topic {
        slug: "room-above",
        checks: &[
            "part-touches-setter-above",
            "head-room-low",
            "part-touches-roof",
            "roof-room-low",
        ],
    },
    Topic {
        slug: "parts-and-posts",
        checks: &["part-touches-post", "part-near-post"],
    },
    Topic {
        slug: "spots-kept-free",
        checks: &[
            "part-in-forbidden-spot",
            "setter-in-forbidden-spot",
            "part-near-thermocouple",
            "setter-near-thermocouple",
            "gas-path-narrow",
        ],
    },
    Topic {
        slug: "work-zone",
        checks: &["work-zone-only-part-outside", "part-outside-work-zone"],
    },
    Topic {
        slug: "hot-zone",
        checks: &[
            "setter-outside-hot-zone",
            "setter-near-hot-zone-boundary",
            "setter-touches-roof",
            "setters-of-stacks-touch",
        ],
    },
    Topic {
        slug: "names-and-records",
        checks: &[
            "nothing-placed",
            "unknown-record",
            "furnace-not-in-shop-state",
            "shop-names-unknown",
            "duplicate-names",
            "record-differs-from-file",
            "limit-loosened",
            "shop-state-invented",
            "record-of-days-to-come",
        ],
    },
    Topic {
        slug: "load-thermocouples",
        checks: &[
            "load-thermocouple-unknown",
            "thermocouple-placed-twice",
            "load-thermocouple-in-part",
            "soak-waits-for-no-thermocouple",
            "soak-leaves-thermocouples-out",
        ],
    },
    Topic {
        slug: "sections",
        checks: &[
            "section-too-thick",
            "section-thick",
            "section-stated-thinner",
            "section-stated-far-thinner",
            "wall-ratio-high",
        ],
    },
    Topic {
        slug: "shape-read",
        checks: &[
            "mesh-file-other",
            "mesh-open",
            "mesh-crossing",
            "mesh-degenerate",
            "size-of-another-unit",
            "outline-and-mass-only",
            "closed-infill",
        ],
    },
    Topic {
        slug: "faces-kept-off",
        checks: &["rests-on-kept-off-face"],
    },
    Topic {
        slug: "setter-material",
        checks: &[
            "setter-temperature",
            "setter-material-refused",
            "silica-in-dry-hydrogen",
        ],
    },
    Topic {
        slug: "posts-under-levels",
        checks: &[
            "too-few-posts",
            "posts-not-in-line",
            "post-too-slim",
            "post-outside-setter",
            "post-over-no-post",
            "level-not-carried",
        ],
    },
    Topic {
        slug: "furniture-in-stock",
        checks: &[
            "setters-out-of-stock",
            "posts-out-of-stock",
            "supports-out-of-stock",
        ],
    },
    Topic {
        slug: "plates-carry",
        checks: &[
            "mass-over-setter-rating",
            "plate-stress-too-high",
            "plate-stress-high",
            "plate-creep-bow",
            "plate-may-crack",
            "level-heavy-to-lift",
        ],
    },
    Topic {
        slug: "parts-stand",
        checks: &[
            "part-may-roll",
            "part-falls-over",
            "part-too-slender",
            "part-may-tip",
            "foot-narrow",
        ],
    },
    Topic {
        slug: "parts-span",
        checks: &["overhang-too-long", "overhang-long", "bridge-long"],
    },
    Topic {
        slug: "balance-of-stack",
        checks: &[
            "centre-of-mass-outside-posts",
            "centre-of-mass-near-post-edge",
            "stack-out-of-balance",
            "level-mass-uneven",
            "load-off-centre",
        ],
    },
    Topic {
        slug: "mass-of-load",
        checks: &[
            "load-over-furnace-mass",
            "charge-outside-tried",
            "furniture-heavy",
            "fill-high",
            "fill-low",
        ],
    },
    Topic {
        slug: "mass-of-parts",
        checks: &[
            "weighed-mass-differs",
            "heavier-than-solid",
            "lot-mass-differs",
        ],
    },
    Topic {
        slug: "drag",
        checks: &["drag-likely", "raft-of-other-feedstock"],
    },
    Topic {
        slug: "oversize",
        checks: &[
            "oversize-factor-mismatch",
            "lots-oversize-differ",
            "swelling-assumed",
            "size-outside-tolerance",
            "spot-size-error",
        ],
    },
    Topic {
        slug: "pieces-of-lots",
        checks: &[
            "lot-count-mismatch",
            "lot-without-placement",
            "part-without-lot",
        ],
    },
    Topic {
        slug: "first-step",
        checks: &[
            "first-step-missing",
            "extraction-too-low",
            "extraction-low",
            "extraction-centre-low",
            "bath-and-weighing-disagree",
            "extraction-not-weighed",
            "extraction-above-binder",
            "debinding-not-evaluated",
        ],
    },
    Topic {
        slug: "bath-and-dryer",
        checks: &[
            "lot-not-dry",
            "bath-of-other-solvent",
            "bath-too-hot",
            "dryer-too-hot",
            "dried-very-long",
            "brown-waited-too-long",
            "lot-record-disagrees",
            "lot-times-disagree",
        ],
    },
    Topic {
        slug: "binder-and-trap",
        checks: &[
            "residual-binder-over-furnace-rating",
            "trap-nearly-full",
            "trap-over-full",
            "trap-catch-predicted",
            "trap-never-emptied",
            "trap-not-emptied",
        ],
    },
    Topic {
        slug: "sweep",
        checks: &["sweep-too-low", "offgas-over-sweep", "flow-without-gas"],
    },
    Topic {
        slug: "speed-in-binder-range",
        checks: &[
            "ramp-too-fast-for-section",
            "ramp-far-too-fast-for-section",
            "full-rate-in-debind-range",
            "core-pressure-high",
            "pores-not-open",
        ],
    },
    Topic {
        slug: "debind-holds",
        checks: &[
            "debind-hold-missing",
            "debind-ranges-do-not-overlap",
            "binder-systems-mixed",
            "debind-hold-short",
            "debind-hold-far-short",
        ],
    },
    Topic {
        slug: "program-in-order",
        checks: &[
            "profile-empty",
            "profile-number-unusable",
            "step-jump",
            "event-undone-by-segment",
            "first-target-below-start",
        ],
    },
    Topic {
        slug: "guaranteed-soak",
        checks: &[
            "guaranteed-soak-missing",
            "soak-timeout-missing",
            "soak-without-effect",
            "soak-waits-on-control-only",
            "soak-band-narrow",
            "soak-band-wide",
            "soak-band-below-survey-spread",
            "wait-timeout-long",
        ],
    },
    Topic {
        slug: "coldest-place",
        checks: &[
            "coldest-spot-not-in-band",
            "band-never-reached",
            "wait-too-long",
            "run-longer-than-planned",
        ],
    },
    Topic {
        slug: "sinter-temperature",
        checks: &[
            "peak-below-sinter-range",
            "peak-above-sinter-range",
            "peak-near-solidus",
            "sinter-ranges-do-not-overlap",
            "hot-spot-over-range",
        ],
    },
    Topic {
        slug: "sinter-hold",
        checks: &[
            "sinter-hold-short",
            "sinter-hold-long",
            "sinter-hold-short-at-coldest",
            "density-low",
            "density-uncertain",
            "densifying-ramp-too-fast",
        ],
    },
    Topic {
        slug: "reduction-and-carbon",
        checks: &[
            "reduction-hold-missing",
            "reduction-gas-limited",
            "carbon-near-range",
        ],
    },
    Topic {
        slug: "cooling",
        checks: &[
            "cooling-too-slow",
            "cooling-too-fast",
            "cooling-hard-on-ceramics",
            "nitrogen-cooling-stainless",
        ],
    },
    Topic {
        slug: "furnace-can-do-it",
        checks: &[
            "target-above-furnace",
            "ramp-beyond-furnace",
            "ramp-beyond-power",
            "cooling-beyond-furnace",
            "fan-not-usable",
            "pump-not-there",
        ],
    },
    Topic {
        slug: "typed-into-controller",
        checks: &[
            "too-many-segments",
            "target-not-typable",
            "rate-not-typable",
            "hold-not-typable",
            "hold-beyond-controller",
        ],
    },
    Topic {
        slug: "slips-of-units",
        checks: &["rate-unit-suspicion", "fahrenheit-suspicion"],
    },
    Topic {
        slug: "gas-allowed",
        checks: &[
            "gas-unknown",
            "gas-not-plumbed",
            "gas-not-allowed-for-alloy",
            "hydrogen-in-graphite",
            "nitrogen-with-molybdenum",
            "nitrogen-taken-up",
            "air-left-on-heating",
        ],
    },
    Topic {
        slug: "evaporation",
        checks: &["pressure-below-floor", "evaporation-loss"],
    },
    Topic {
        slug: "vacuum-and-pressure",
        checks: &[
            "pressure-below-pump-floor",
            "pump-floor-with-vapour",
            "pressure-above-furnace",
            "titanium-vacuum-too-poor",
        ],
    },
    Topic {
        slug: "dew-point",
        checks: &[
            "dew-point-high",
            "dew-point-too-high",
            "dew-point-stale",
            "exhaust-dew-point-high",
            "furnace-dew-point",
        ],
    },
    Topic {
        slug: "leak-rate",
        checks: &["leak-rate-high", "leak-rate-too-high", "leak-test-old"],
    },
    Topic {
        slug: "gas-on-hand",
        checks: &["gas-supply-short"],
    },
    Topic {
        slug: "alloys-together",
        checks: &[
            "alloys-share-load",
            "carbon-mix",
            "vapour-mix",
            "reactive-mix",
            "peaks-differ",
        ],
    },
    Topic {
        slug: "load-before",
        checks: &["previous-load-incompatible"],
    },
    Topic {
        slug: "calibration-and-dates",
        checks: &[
            "calibration-due",
            "balance-out-of-date",
            "past-its-date",
            "certificate-missing",
        ],
    },
    Topic {
        slug: "survey",
        checks: &[
            "survey-missing",
            "survey-out-of-date",
            "survey-does-not-cover-peak",
            "survey-place-beyond-extremes",
            "survey-above-furnace",
            "survey-beyond-class",
            "survey-without-spread",
            "repaired-since-survey",
        ],
    },
    Topic {
        slug: "usable-setpoints",
        checks: &[
            "no-setpoint-exists",
            "peak-above-usable-setpoints",
            "peak-below-usable-setpoints",
        ],
    },
    Topic {
        slug: "thermocouples",
        checks: &[
            "thermocouple-unsuited",
            "thermocouple-used-up",
            "thermocouple-old",
            "thermocouple-type-mismatch",
            "thermocouple-type-changed",
            "thermocouple-without-tolerance",
        ],
    },
    Topic {
        slug: "coupons",
        checks: &["coupon-mark-twice", "coupon-missing"],
    },
    Topic {
        slug: "against-the-standard",
        checks: &[
            "differs-from-standard",
            "moved-since-standard",
            "lighter-than-standard",
            "heavier-than-standard",
        ],
    },
    Topic {
        slug: "approvals",
        checks: &[
            "signature-missing",
            "operator-not-qualified",
            "profile-not-approved",
            "profile-changed-since-approval",
            "acceptance-without-reason",
            "rest-not-approved",
        ],
    },
    Topic {
        slug: "declarations",
        checks: &["not-declared", "declared-otherwise", "declaration-stale"],
    },
    Topic {
        slug: "people-there",
        checks: &["unattended-step"],
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn each_check_has_one_topic_and_each_topic_its_words() {
        let mut listed = BTreeSet::new();
        let mut names = BTreeSet::new();
        for topic in TOPICS {
            assert!(names.insert(topic.slug), "{} stands twice", topic.slug);
            assert!(check_by_slug(topic.slug).is_none(), "{}", topic.slug);
            assert_ne!(crate::text::topics::title(topic.slug), topic.slug);
            for slug in topic.checks {
                assert!(check_by_slug(slug).is_some(), "there is no {slug}");
                assert!(listed.insert(*slug), "{slug} has two topics");
            }
        }
        for check in all_checks() {
            assert!(listed.contains(check.slug), "{} has no topic", check.slug);
        }
    }

    #[test]
    fn about_sixty_are_on_by_default() {
        let on = TOPICS.iter().filter(|topic| topic.on()).count();
        assert!((55..=70).contains(&on), "{on}");
    }
}
