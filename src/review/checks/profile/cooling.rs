//! The way down. A segment that cools at full rate has no rate of its own: the furnace's fastest
//! cooling bounds it, and how slow it may be is not known.

use super::at;
use crate::catalogue::Feedstock;
use crate::profile::{Going, Range};
use crate::review::facts::Facts;
use crate::review::facts_limits::from_record;
use crate::review::facts_profile::Step;
use crate::review::finding::{Report, Subject, at_least, at_most, number, text};
use crate::text::{limits, missing};
use crate::units::Quantity::{Length, Rate, Temperature};

/// Cooling rules of the feedstocks in the load: record, range and the two rates.
fn rules<'a>(
    facts: &Facts<'a>,
    report: &mut Report,
) -> Vec<(&'a Feedstock, Range, Option<f64>, Option<f64>)> {
    facts.unknown_records(report);
    let feedstocks = facts.feedstocks.values().copied();
    feedstocks
        .filter_map(|f| {
            let rule = f.cooling?;
            let range = Range {
                from_c: rule.to_c,
                to_c: rule.from_c,
            };
            Some((f, range, rule.slowest_k_min, rule.fastest_k_min))
        })
        .collect()
}

/// Cooling segments through a range.
fn through<'a>(facts: &Facts<'a>, range: Range) -> Vec<Step<'a>> {
    let mut steps = facts.way_down();
    steps.retain(|s| s.cools() && s.ramps_through(range));
    steps
}

/// Whether the load was above a range and the profile ends above its lower end: the rest of the
/// cooling is not in the plan.
fn ends_above(facts: &Facts, range: Range) -> bool {
    let end = facts.plan.profile.segments.last().map(|s| s.to_c);
    facts.peak_c > range.from_c && end.is_none_or(|end| end > range.from_c)
}

pub(super) fn too_slow(facts: &Facts, report: &mut Report) {
    for (feedstock, range, slowest, _) in rules(facts, report) {
        let (Some(slowest), true) = (slowest, facts.peak_c > range.to_c) else {
            continue;
        };
        let about = Subject::Named(feedstock.id.clone());
        let Some(curve) = facts.curve_or_missing(report) else {
            return;
        };
        let steps = through(facts, range);
        if ends_above(facts, range) || steps.iter().any(|s| s.rate_k_min.is_none()) {
            report.missing(vec![Subject::Profile, about], missing::cooling_unrated());
            continue;
        }
        // The mean over the whole passage, holds included, from when the peak is left.
        let down = facts.way_down();
        let left_min = down.first().and_then(|s| {
            let point = curve.points().get(2 * s.index)?;
            Some(point.time_min)
        });
        let passage: f64 = curve
            .intervals(range.from_c, range.to_c)
            .iter()
            .filter(|i| i.going != Going::Rising && left_min.is_some_and(|t| i.from_min >= t))
            .map(|i| i.to_min - i.from_min)
            .sum();
        if passage <= 0.0 {
            continue; // a step, which is a fault of the profile
        }
        // Rounded, so that a typed 3 K/min is 3 K/min again.
        let rate = libm::round(range.width_k() / passage * 1e9) / 1e9;
        let field = "cooling.slowest_k_min";
        let limit = from_record(
            feedstock,
            field,
            limits::slowest_cooling(),
            slowest,
            "K/min",
        );
        report.hold(
            vec![Subject::Profile, about],
            at_least(Rate, rate, 1),
            &limit,
            vec![
                ("feedstock", text(&feedstock.name)),
                ("from", number(Temperature, range.to_c, 0)),
                ("to", number(Temperature, range.from_c, 0)),
            ],
        );
    }
}

/// Fastest cooling of a segment, K/min: its rate, or the furnace's where it cools by itself
/// without a fan; none where nobody knows.
fn pace(facts: &Facts, step: &Step) -> Option<f64> {
    match step.rate_k_min {
        Some(rate) => Some(-rate),
        None if facts.curve.is_ok() && !super::controller::fan_runs(facts, step.index) => {
            facts.furnace.map(|f| f.cooling_max_k_min)
        }
        None => None,
    }
}

pub(super) fn too_fast(facts: &Facts, report: &mut Report) {
    for (feedstock, range, _, fastest) in rules(facts, report) {
        let Some(fastest) = fastest.filter(|_| facts.peak_c > range.from_c) else {
            continue;
        };
        if ends_above(facts, range) {
            report.missing(
                vec![Subject::Profile, Subject::Named(feedstock.id.clone())],
                missing::cooling_after_end(),
            );
        }
        let field = "cooling.fastest_k_min";
        let limit = from_record(
            feedstock,
            field,
            limits::fastest_cooling(),
            fastest,
            "K/min",
        );
        for step in through(facts, range) {
            let subjects = vec![step.subject(), Subject::Named(feedstock.id.clone())];
            match pace(facts, &step) {
                Some(rate) => report.hold(
                    subjects,
                    at_most(Rate, rate, 1),
                    &limit,
                    vec![
                        at(&step),
                        ("feedstock", text(&feedstock.name)),
                        ("from", number(Temperature, range.to_c, 0)),
                        ("to", number(Temperature, range.from_c, 0)),
                    ],
                ),
                None => report.missing(subjects, missing::segment_cooling()),
            }
        }
    }
}

pub(super) fn hard_on_ceramics(facts: &Facts, report: &mut Report) {
    let limits = (
        facts.limit("ceramic-cooling-max"),
        facts.limit("ceramic-cooling-from"),
    );
    let (Some(limit), Some(from)) = limits else {
        return report.missing(
            vec![Subject::Load],
            missing::limits("ceramic-cooling-max", "ceramic-cooling-from"),
        );
    };
    let mut thickest_mm = 0.0_f64;
    for (_, level) in facts.plan.levels() {
        match facts.catalogue.setter(&level.setter) {
            Some(setter) => thickest_mm = thickest_mm.max(setter.thickness_mm),
            None => report.missing(vec![Subject::Level(level.id)], missing::setter_record()),
        }
    }
    if thickest_mm <= from.value {
        return;
    }
    let steps = facts.steps();
    for step in steps.iter().filter(|s| s.cools()) {
        match pace(facts, step) {
            Some(rate) => report.hold(
                vec![step.subject()],
                at_most(Rate, rate, 1),
                limit,
                vec![at(step), ("thickness", number(Length, thickest_mm, 1))],
            ),
            None => report.missing(vec![step.subject()], missing::segment_cooling()),
        }
    }
}

pub(super) fn ends_hot(facts: &Facts, report: &mut Report) {
    let profile = &facts.plan.profile;
    let Some(last) = profile.segments.last() else {
        return; // an empty profile is another check's to say
    };
    if last.to_c > profile.unload_c {
        report.found(
            vec![Subject::Segment(last.id)],
            vec![
                ("end", number(Temperature, last.to_c, 0)),
                ("unload", number(Temperature, profile.unload_c, 0)),
            ],
        );
    }
}
