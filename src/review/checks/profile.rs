//! Profile: faults in itself, peak, sinter hold, waits, slips of the keyboard and what the
//! controller and the furnace can do. Cooling is in `cooling`.

mod controller;
mod cooling;
mod soak;
mod typed;

use super::common::limit;
use super::debind::no_overlap;
use crate::catalogue::Severity::{Caution, Note, Stop};
use crate::catalogue::{Feedstock, Limit};
use crate::profile::{Fault, RampBy, Range};
use crate::review::facts::Facts;
use crate::review::facts_limits::{from_record, narrower};
use crate::review::facts_profile::Step;
use crate::review::finding::{
    Check, Family, Report, Sense, Subject, at_least, at_most, number, text,
};
use crate::text::findings::Arg;
use crate::text::{limits, missing};
use crate::units::Quantity::{Rate, Temperature, TemperatureDifference, Time};

const BASE: Check = Check {
    family: Family::Profile,
    severity: Stop,
    ..Check::BASE
};

/// The family's checks.
pub const CHECKS: &[Check] = &[
    Check {
        slug: "profile-empty",
        run: |facts, report| faults(facts, report, |f| matches!(f, Fault::NoSegments)),
        ..BASE
    },
    Check {
        slug: "profile-number-unusable",
        run: |facts, report| faults(facts, report, number_unusable),
        ..BASE
    },
    Check {
        slug: "step-jump",
        run: |facts, report| faults(facts, report, |f| matches!(f, Fault::StepJump { .. })),
        ..BASE
    },
    Check {
        slug: "soak-timeout-missing",
        run: |facts, report| faults(facts, report, |f| matches!(f, Fault::MissingTimeout { .. })),
        ..BASE
    },
    Check {
        slug: "soak-without-effect",
        run: |facts, report| {
            faults(facts, report, |f| {
                matches!(f, Fault::ZeroBand { .. } | Fault::WaitsNowhere { .. })
            });
        },
        ..BASE
    },
    Check {
        slug: "flow-without-gas",
        run: |facts, report| faults(facts, report, |f| matches!(f, Fault::FlowWithoutGas { .. })),
        ..BASE
    },
    Check {
        slug: "peak-below-sinter-range",
        severity: Caution,
        run: peak_below_sinter_range,
        ..BASE
    },
    Check {
        slug: "peak-above-sinter-range",
        run: peak_above_sinter_range,
        ..BASE
    },
    Check {
        slug: "peak-near-solidus",
        limits: &["solidus-margin"],
        run: peak_near_solidus,
        ..BASE
    },
    Check {
        slug: "sinter-ranges-do-not-overlap",
        run: |facts, report| {
            let range = |f: &Feedstock| (f.sinter.from_c, f.sinter.to_c);
            no_overlap(facts, report, facts.sinter.as_ref(), range);
        },
        ..BASE
    },
    Check {
        slug: "sinter-hold-short",
        severity: Caution,
        run: sinter_hold_short,
        ..BASE
    },
    Check {
        slug: "sinter-hold-long",
        severity: Caution,
        run: sinter_hold_long,
        ..BASE
    },
    Check {
        slug: "densifying-ramp-too-fast",
        severity: Caution,
        limits: &["sinter-rate-max"],
        run: densifying_ramp_too_fast,
        ..BASE
    },
    Check {
        slug: "guaranteed-soak-missing",
        severity: Caution,
        run: soak::guaranteed_soak_missing,
        ..BASE
    },
    Check {
        slug: "soak-waits-on-control-only",
        severity: Note,
        run: soak::soak_waits_on_control_only,
        ..BASE
    },
    Check {
        slug: "soak-band-narrow",
        severity: Note,
        limits: &["soak-band-min"],
        run: soak::soak_band_narrow,
        ..BASE
    },
    Check {
        slug: "soak-band-wide",
        severity: Caution,
        limits: &["soak-band-max"],
        run: soak::soak_band_wide,
        ..BASE
    },
    Check {
        slug: "wait-timeout-long",
        severity: Caution,
        limits: &["wait-timeout-max"],
        run: soak::wait_timeout_long,
        ..BASE
    },
    Check {
        slug: "reduction-hold-missing",
        severity: Caution,
        limits: &["hold-counts-from"],
        run: reduction_hold_missing,
        ..BASE
    },
    Check {
        slug: "full-rate-in-debind-range",
        severity: Caution,
        run: full_rate_in_debind_range,
        ..BASE
    },
    Check {
        slug: "cooling-too-slow",
        severity: Caution,
        run: cooling::too_slow,
        ..BASE
    },
    Check {
        slug: "cooling-too-fast",
        severity: Caution,
        run: cooling::too_fast,
        ..BASE
    },
    Check {
        slug: "cooling-hard-on-ceramics",
        severity: Caution,
        limits: &["ceramic-cooling-max", "ceramic-cooling-from"],
        run: cooling::hard_on_ceramics,
        ..BASE
    },
    Check {
        slug: "ends-hot",
        severity: Caution,
        run: cooling::ends_hot,
        ..BASE
    },
    Check {
        slug: "ramp-beyond-furnace",
        severity: Caution,
        run: controller::ramp_beyond_furnace,
        ..BASE
    },
    Check {
        slug: "cooling-beyond-furnace",
        severity: Caution,
        run: controller::cooling_beyond_furnace,
        ..BASE
    },
    Check {
        slug: "target-above-furnace",
        run: controller::target_above_furnace,
        ..BASE
    },
    Check {
        slug: "too-many-segments",
        run: controller::too_many_segments,
        ..BASE
    },
    Check {
        slug: "target-not-typable",
        severity: Caution,
        run: controller::target_not_typable,
        ..BASE
    },
    Check {
        slug: "rate-not-typable",
        severity: Caution,
        run: controller::rate_not_typable,
        ..BASE
    },
    Check {
        slug: "hold-not-typable",
        severity: Caution,
        run: controller::hold_not_typable,
        ..BASE
    },
    Check {
        slug: "hold-beyond-controller",
        run: controller::hold_beyond_controller,
        ..BASE
    },
    Check {
        slug: "fan-not-usable",
        run: controller::fan_not_usable,
        ..BASE
    },
    Check {
        slug: "pump-not-there",
        run: controller::pump_not_there,
        ..BASE
    },
    Check {
        slug: "first-target-below-start",
        severity: Caution,
        run: typed::first_target_below_start,
        ..BASE
    },
    Check {
        slug: "rate-unit-suspicion",
        limits: &["rate-suspect-high", "rate-suspect-low"],
        run: typed::rate_unit_suspicion,
        ..BASE
    },
    Check {
        slug: "fahrenheit-suspicion",
        limits: &["fahrenheit-factor"],
        run: typed::fahrenheit_suspicion,
        ..BASE
    },
];

/// The number of a segment as an argument.
fn at(step: &Step) -> (&'static str, Arg) {
    ("segment", Arg::Count(step.index + 1))
}

fn faults(facts: &Facts, report: &mut Report, wanted: fn(&Fault) -> bool) {
    for fault in facts.profile_faults.iter().filter(|f| wanted(f)) {
        let subject = fault.segment();
        let subject = subject.map_or(Subject::Profile, |s| Subject::Segment(s.id));
        report.found(vec![subject], vec![("fault", text(fault.to_string()))]);
    }
}

/// Faults of a number or an id, and ramps that take for ever or no known time.
fn number_unusable(fault: &Fault) -> bool {
    match fault {
        Fault::RepeatedId { .. }
        | Fault::NotFinite { .. }
        | Fault::BelowAbsoluteZero { .. }
        | Fault::Negative { .. }
        | Fault::TooLarge { .. }
        | Fault::ZeroRate { .. }
        | Fault::FullRateUnknown { .. } => true,
        Fault::NoSegments
        | Fault::StepJump { .. }
        | Fault::MissingTimeout { .. }
        | Fault::ZeroBand { .. }
        | Fault::WaitsNowhere { .. }
        | Fault::FlowWithoutGas { .. } => false,
    }
}

/// The feedstocks of the load with their sinter ranges.
fn sintering<'a>(facts: &Facts<'a>, report: &mut Report) -> Vec<(&'a Feedstock, Range)> {
    facts.unknown_records(report);
    let range = |f: &&'a Feedstock| Range {
        from_c: f.sinter.from_c,
        to_c: f.sinter.to_c,
    };
    let feedstocks = facts.feedstocks.values().copied();
    feedstocks.map(|f| (f, range(&f))).collect()
}

fn about(feedstock: &Feedstock) -> Vec<Subject> {
    vec![Subject::Profile, Subject::Named(feedstock.id.clone())]
}

fn named(feedstock: &Feedstock) -> Vec<(&'static str, Arg)> {
    vec![("feedstock", text(&feedstock.name))]
}

fn peak_below_sinter_range(facts: &Facts, report: &mut Report) {
    for (feedstock, range) in sintering(facts, report) {
        let name = limits::sinter_from();
        let limit = from_record(feedstock, "sinter.from_c", name, range.from_c, "°C");
        let peak = at_least(Temperature, facts.peak_c, 0);
        report.hold(about(feedstock), peak, &limit, named(feedstock));
    }
}

fn peak_above_sinter_range(facts: &Facts, report: &mut Report) {
    for (feedstock, range) in sintering(facts, report) {
        let name = limits::sinter_to();
        let limit = from_record(feedstock, "sinter.to_c", name, range.to_c, "°C");
        let peak = at_most(Temperature, facts.peak_c, 0);
        report.hold(about(feedstock), peak, &limit, named(feedstock));
    }
}

fn peak_near_solidus(facts: &Facts, report: &mut Report) {
    facts.unknown_records(report);
    let (hotter_k, known) = facts.hottest_at_peak().unwrap_or_default();
    for (slug, alloy) in facts.alloys.iter().filter(|(_, a)| !a.sinters_with_liquid) {
        let subjects = || vec![Subject::Profile, Subject::Named((*slug).to_owned())];
        let margin = facts.limit_for_alloy("solidus-margin", slug, Sense::AtLeast);
        let Some(margin) = margin else {
            report.missing(subjects(), missing::limit("solidus-margin"));
            continue;
        };
        let below_k = alloy.solidus_c - facts.peak_c - hotter_k;
        if !known && below_k >= margin.value {
            report.missing(subjects(), missing::survey_hottest());
            continue;
        }
        report.hold(
            subjects(),
            at_least(TemperatureDifference, below_k, 0),
            margin,
            vec![
                ("alloy", text(&alloy.name)),
                ("solidus", number(Temperature, alloy.solidus_c, 0)),
            ],
        );
    }
}

/// Minutes of hold at targets inside a range; none without such a hold.
fn held_min(facts: &Facts, range: Range) -> Option<f64> {
    let steps = facts.steps();
    let holds = steps.iter().filter(|s| range.contains(s.segment.to_c));
    holds.map(|s| s.segment.hold_min).reduce(|a, b| a + b)
}

fn sinter_hold_short(facts: &Facts, report: &mut Report) {
    for (feedstock, range) in sintering(facts, report) {
        let Some(min) = held_min(facts, range) else {
            continue; // the peak is outside the range, which is another check's to say
        };
        let least = feedstock.sinter.hold_min_min;
        let limit = from_record(
            feedstock,
            "sinter.hold_min_min",
            limits::sinter_hold(),
            least,
            "min",
        );
        let held = at_least(Time, min, 0);
        report.hold(about(feedstock), held, &limit, named(feedstock));
    }
}

fn sinter_hold_long(facts: &Facts, report: &mut Report) {
    for (feedstock, range) in sintering(facts, report) {
        let Some(min) = held_min(facts, range) else {
            continue;
        };
        let most = feedstock.sinter.hold_max_min;
        let limit = from_record(
            feedstock,
            "sinter.hold_max_min",
            limits::sinter_hold(),
            most,
            "min",
        );
        let held = at_most(Time, min, 0);
        report.hold(about(feedstock), held, &limit, named(feedstock));
    }
}

fn densifying_ramp_too_fast(facts: &Facts, report: &mut Report) {
    let feedstocks = sintering(facts, report);
    if feedstocks.is_empty() || facts.curve_or_missing(report).is_none() {
        return;
    }
    for (feedstock, _) in feedstocks {
        let range = Range {
            from_c: feedstock.shrink_start_c,
            to_c: f64::INFINITY,
        };
        let steps = facts.steps().into_iter();
        let ramps = steps.filter(|s| s.heats() && s.ramps_through(range));
        let fastest = ramps
            .filter_map(|s| Some((s, s.rate_k_min?)))
            .max_by(|a, b| a.1.total_cmp(&b.1));
        let Some((step, rate)) = fastest else {
            continue;
        };
        let (field, most) = ("sinter.rate_max_k_min", feedstock.sinter.rate_max_k_min);
        let own = from_record(feedstock, field, limits::densifying_ramp(), most, "K/min");
        let id = "sinter-rate-max";
        let listed = facts.limit_for_feedstock(id, &feedstock.id, Sense::AtMost);
        let limit: Limit = narrower(listed, Some(own.clone()), Sense::AtMost).unwrap_or(own);
        let mut args = named(feedstock);
        args.push(at(&step));
        args.push(("start", number(Temperature, range.from_c, 0)));
        let subjects = vec![step.subject(), Subject::Named(feedstock.id.clone())];
        report.hold(subjects, at_most(Rate, rate, 1), &limit, args);
    }
}

fn reduction_hold_missing(facts: &Facts, report: &mut Report) {
    facts.unknown_records(report);
    let Some(least) = limit(facts, report, "hold-counts-from") else {
        return;
    };
    for (slug, alloy) in &facts.alloys {
        let Some(wanted) = alloy.reduction_hold else {
            continue;
        };
        let range = Range {
            from_c: wanted.from_c,
            to_c: wanted.to_c,
        };
        let held = facts.held_min(range);
        let args = vec![
            ("held", number(Time, held, 1)),
            ("alloy", text(&alloy.name)),
            ("oxide", text(&alloy.governing_oxide)),
            ("from", number(Temperature, range.from_c, 0)),
            ("to", number(Temperature, range.to_c, 0)),
        ];
        let subjects = vec![Subject::Profile, Subject::Named((*slug).to_owned())];
        report.hold(subjects, at_least(Time, held, 1), least, args);
    }
}

fn full_rate_in_debind_range(facts: &Facts, report: &mut Report) {
    facts.unknown_records(report);
    let Some(span) = facts.debind_span() else {
        return;
    };
    let steps = facts.way_up();
    let full = |s: &&Step| s.segment.ramp == RampBy::FullRate && s.heats();
    for step in steps.iter().filter(full).filter(|s| s.ramps_through(span)) {
        report.found(vec![step.subject()], vec![at(step)]);
    }
}
