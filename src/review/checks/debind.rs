//! Debind: binder, trap, sweep, and the pace in the debind range; the lots are in `lots`.

mod lots;
mod without_lot;

pub(super) use lots::not_dry;

use super::atmosphere::allowed;
use super::common::{limit, limit_for};
use crate::catalogue::Severity::{Caution, Stop};
use crate::catalogue::{Feedstock, Limit};
use crate::load::PartRecords;
use crate::part::MassState;
use crate::profile::{NoOverlap, Range};
use crate::review::facts::Facts;
use crate::review::facts_debind::{Pieces, has_first_step};
use crate::review::facts_limits::{from_record, scaled};
use crate::review::facts_profile::Step;
use crate::review::finding::{
    Check, Family, Report, Sense, Subject, at_least, at_most, number, text,
};
use crate::text::findings::Arg;
use crate::text::{limits, missing, phrases};
use crate::units::Quantity::{Flow, Fraction, Length, Mass, Rate, Temperature, Time};
use std::collections::{BTreeMap, BTreeSet};

const BASE: Check = Check {
    family: Family::Debind,
    severity: Stop,
    ..Check::BASE
};

/// The family's checks.
pub const CHECKS: &[Check] = &[
    Check {
        slug: "first-step-missing",
        run: lots::first_step_missing,
        ..BASE
    },
    Check {
        slug: "extraction-too-low",
        limits: &["extraction-stop"],
        run: lots::extraction_too_low,
        ..BASE
    },
    Check {
        slug: "extraction-low",
        severity: Caution,
        limits: &["extraction-caution", "extraction-stop"],
        run: lots::extraction_low,
        ..BASE
    },
    Check {
        slug: "extraction-not-weighed",
        severity: Caution,
        run: lots::extraction_not_weighed,
        ..BASE
    },
    Check {
        slug: "extraction-above-binder",
        limits: &["extraction-most"],
        run: lots::extraction_above_binder,
        ..BASE
    },
    Check {
        slug: "lot-not-dry",
        severity: Caution,
        limits: &["dry-mass-change", "dry-time-min", "weighings-apart-min"],
        run: |facts, report| not_dry(facts, report, false),
        ..BASE
    },
    Check {
        slug: "residual-binder-over-furnace-rating",
        run: residual_binder_over_furnace_rating,
        ..BASE
    },
    Check {
        slug: "trap-nearly-full",
        severity: Caution,
        limits: &["trap-caution", "trap-stop"],
        run: trap_nearly_full,
        ..BASE
    },
    Check {
        slug: "trap-over-full",
        limits: &["trap-stop"],
        run: trap_over_full,
        ..BASE
    },
    Check {
        slug: "sweep-too-low",
        severity: Caution,
        run: sweep_too_low,
        ..BASE
    },
    Check {
        slug: "ramp-too-fast-for-section",
        severity: Caution,
        limits: &["ramp-stop-factor", "hold-counts-from"],
        run: |facts, report| ramp_for_section(facts, report, false),
        ..BASE
    },
    Check {
        slug: "ramp-far-too-fast-for-section",
        limits: &["ramp-stop-factor", "hold-counts-from"],
        run: |facts, report| ramp_for_section(facts, report, true),
        ..BASE
    },
    Check {
        slug: "debind-hold-missing",
        limits: &["hold-counts-from"],
        run: debind_hold_missing,
        ..BASE
    },
    Check {
        slug: "debind-ranges-do-not-overlap",
        run: |facts, report| {
            let range = |f: &Feedstock| (f.debind.from_c, f.debind.to_c);
            no_overlap(facts, report, facts.debind.as_ref(), range);
        },
        ..BASE
    },
    Check {
        slug: "binder-systems-mixed",
        severity: Caution,
        run: binder_systems_mixed,
        ..BASE
    },
];

fn residual_binder_over_furnace_rating(facts: &Facts, report: &mut Report) {
    facts.unknown_records(report);
    facts.unknown_part_masses(report);
    let Some(furnace) = facts.furnace else {
        return report.missing(vec![Subject::Furnace], missing::furnace_record());
    };
    let name = limits::binder_rating();
    let limit = from_record(
        furnace,
        "binder_rating_g",
        name,
        furnace.binder_rating_g,
        "g",
    );
    not_weighed(facts, report, facts.tally.whole.binder_g);
    report.hold(
        vec![Subject::Load, Subject::Furnace],
        at_most(Mass, facts.tally.whole.binder_g, 0),
        &limit,
        vec![(
            "assumed",
            text(phrases::assumed(facts.tally.whole.extraction_assumed)),
        )],
    );
}

/// Says where a feedstock's target stands in for weighings, with what it comes to: what rests on a
/// plan alone is not judged. Coupons are few and never weighed by themselves.
fn not_weighed(facts: &Facts, report: &mut Report, assumed_g: f64) {
    let assumed = |p: &&Pieces| {
        let routed = p.records.is_some_and(|r| has_first_step(r.binder));
        let weighed = p
            .lot
            .zip(p.records)
            .and_then(|(lot, r)| r.measured_share(lot));
        let green = p.lot.is_some_and(|lot| lot.enters == MassState::Green);
        !p.coupons && p.bring_binder() && routed && !green && weighed.is_none()
    };
    let pieces = facts.pieces();
    let count: usize = pieces.iter().filter(assumed).map(|p| p.count).sum();
    if count > 0 {
        let assumed = number(Mass, assumed_g, 0).to_string();
        report.missing(vec![Subject::Load], missing::weighings(count, &assumed));
    }
}

/// Filling of the trap after the run over its capacity, with the words that go with it; none
/// without a trap, or where the load brings no binder.
fn trap_filling(facts: &Facts, report: &mut Report) -> Option<(f64, Vec<(&'static str, Arg)>)> {
    let furnace = facts.furnace.or_else(|| {
        report.missing(vec![Subject::Furnace], missing::furnace_record());
        None
    })?;
    let trap = furnace.trap?;
    if facts.feedstocks_with_binder().is_empty() && facts.placed.iter().all(|p| p.records.is_some())
    {
        return None;
    }
    let Some(now_g) = facts.state.and_then(|s| s.trap_fill_g) else {
        report.missing(vec![Subject::Furnace], missing::trap_filling());
        return None;
    };
    let Some(catch_g) = facts.trap_catch_g() else {
        facts.unknown_records(report);
        facts.unknown_part_masses(report);
        return None;
    };
    not_weighed(facts, report, catch_g);
    let args = vec![
        ("now", number(Mass, now_g, 0)),
        ("catch", number(Mass, catch_g, 0)),
        ("capacity", number(Mass, trap.capacity_g, 0)),
        (
            "assumed",
            text(phrases::assumed(facts.tally.whole.extraction_assumed)),
        ),
    ];
    Some(((now_g + catch_g) / trap.capacity_g, args))
}

fn trap_nearly_full(facts: &Facts, report: &mut Report) {
    let Some((filling, args)) = trap_filling(facts, report) else {
        return;
    };
    let full = facts.limit("trap-stop");
    if full.is_some_and(|limit| filling > limit.value) {
        return;
    }
    match facts.limit("trap-caution") {
        Some(limit) => report.hold(
            vec![Subject::Furnace],
            at_most(Fraction, filling, 0),
            limit,
            args,
        ),
        None => report.missing(vec![Subject::Furnace], missing::limit("trap-caution")),
    }
}

fn trap_over_full(facts: &Facts, report: &mut Report) {
    let Some((filling, args)) = trap_filling(facts, report) else {
        return;
    };
    match facts.limit("trap-stop") {
        Some(limit) => report.hold(
            vec![Subject::Furnace],
            at_most(Fraction, filling, 0),
            limit,
            args,
        ),
        None => report.missing(vec![Subject::Furnace], missing::limit("trap-stop")),
    }
}

/// The largest of the furnace's least sweep and what the feedstocks ask for, L/min at 25 °C and
/// 1 atm; volumes are counted cold.
fn least_sweep(facts: &Facts) -> Option<Limit> {
    let furnace = facts.furnace?;
    let least = furnace.sweep_min_l_min_25c;
    let name = limits::debind_sweep();
    let own = from_record(furnace, "sweep_min_l_min_25c", name, least, "L/min");
    let asked = facts.feedstocks_with_binder();
    let asked = asked.values().filter_map(|feedstock| {
        let l_min = feedstock.sweep_volumes_per_h? * furnace.volume_l / 60.0;
        let field = "sweep_volumes_per_h";
        Some(from_record(*feedstock, field, name, l_min, "L/min"))
    });
    asked
        .chain([own])
        .max_by(|a, b| a.value.total_cmp(&b.value))
}

fn sweep_too_low(facts: &Facts, report: &mut Report) {
    facts.unknown_records(report);
    let Some(span) = facts.debind_span() else {
        return;
    };
    let Some(limit) = least_sweep(facts) else {
        return report.missing(vec![Subject::Furnace], missing::furnace_record());
    };
    for step in facts.way_up().iter().filter(|s| s.is_in(span)) {
        report.hold(
            vec![step.subject()],
            at_least(Flow, step.segment.flow_l_min_25c, 1),
            &limit,
            vec![("segment", Arg::Count(step.index + 1))],
        );
    }
}

/// Ramps through a range on the way up, each with its rate in K/min. The ramp that leaves
/// the range from a hold in its upper half does not count: what the hold has done is the forecast's
/// question, and normal profiles go faster from there on. A hold below that is there for the wax (assumed: the
/// backbones on record leave in the upper half).
pub(in crate::review) fn ramps_through<'a>(
    facts: &Facts<'a>,
    range: Range,
) -> Vec<(Step<'a>, f64)> {
    let steps = facts.way_up();
    // A hold too short to count has done nothing.
    let least = facts.limit("hold-counts-from").map_or(0.0, |l| l.value);
    let held = steps.iter().position(|s| {
        let upper = s.segment.to_c >= 0.5 * (range.from_c + range.to_c);
        upper && s.holds_in(range) && s.segment.hold_min >= least
    });
    let leaves = |s: &Step| {
        held.is_some_and(|i| i < s.index) && range.contains(s.from_c) && s.segment.to_c > range.to_c
    };
    steps
        .into_iter()
        .filter(|s| s.heats() && s.ramps_through(range) && !leaves(s))
        .filter_map(|s| Some((s, s.rate_k_min?)))
        .collect()
}

/// Holds the pace in the debind range against the limit for the thickest section, once a
/// feedstock: `far` beyond the limit times the stop factor, otherwise between the two.
fn ramp_for_section(facts: &Facts, report: &mut Report, far: bool) {
    facts.unknown_records(report);
    let mut thickest: BTreeMap<&str, (PartRecords, f64)> = BTreeMap::new();
    for pieces in facts.pieces().iter().filter(|p| p.bring_binder()) {
        let Some(records) = pieces.records else {
            continue;
        };
        match pieces.part.green_section_mm(records.feedstock.oversize) {
            Some(mm) => {
                let entry = thickest
                    .entry(&records.feedstock.id)
                    .or_insert((records, mm));
                if mm > entry.1 {
                    *entry = (records, mm);
                }
            }
            None => report.missing(vec![Subject::Part(pieces.part.id)], missing::section()),
        }
    }
    if thickest.is_empty() || facts.curve_or_missing(report).is_none() {
        return;
    }
    for (records, section_mm) in thickest.values() {
        let id = "ramp-stop-factor";
        let Some(factor) = limit_for(facts, report, id, records, Sense::AtMost) else {
            continue;
        };
        let part = Subject::Part(records.part.id);
        let limits = records.feedstock.ramp_limits.iter();
        let rule = limits
            .filter(|l| l.section_up_to_mm >= *section_mm)
            .min_by(|a, b| a.section_up_to_mm.total_cmp(&b.section_up_to_mm));
        let Some(rule) = rule else {
            report.missing(vec![part], missing::ramp_limit());
            continue;
        };
        let debind = records.feedstock.debind;
        let range = Range {
            from_c: debind.from_c,
            to_c: debind.to_c,
        };
        let ramps = ramps_through(facts, range);
        let Some((step, rate)) = ramps.iter().max_by(|a, b| a.1.total_cmp(&b.1)) else {
            continue;
        };
        let rate = *rate;
        let name = limits::debind_ramp();
        let rate_limit = rule.rate_k_min;
        let limit = from_record(records.feedstock, "ramp_limits", name, rate_limit, "K/min");
        let stop = scaled(&limit, factor.value, "K/min");
        if !far && rate > stop.value {
            continue;
        }
        let held = if far { &stop } else { &limit };
        let others = ramps
            .iter()
            .filter(|(s, k)| s.index != step.index && *k > held.value);
        let others: Vec<usize> = others.map(|(s, _)| s.index).collect();
        report.hold(
            vec![part, step.subject()],
            at_most(Rate, rate, 2),
            held,
            vec![
                ("segment", Arg::Count(step.index + 1)),
                ("others", text(phrases::segments_too(&others))),
                ("part", text(&records.part.name)),
                ("section", number(Length, *section_mm, 1)),
                ("allowed", number(Rate, limit.value, 2)),
            ],
        );
    }
}

fn debind_hold_missing(facts: &Facts, report: &mut Report) {
    facts.unknown_records(report);
    let Some(least) = limit(facts, report, "hold-counts-from") else {
        return;
    };
    for (slug, feedstock) in facts.feedstocks_with_binder() {
        let range = Range {
            from_c: feedstock.debind.from_c,
            to_c: feedstock.debind.to_c,
        };
        let held = facts.held_min(range);
        let mut args = range_args(&feedstock.name, (range.from_c, range.to_c));
        args.push(("held", number(Time, held, 1)));
        let subjects = vec![Subject::Profile, Subject::Named(slug.to_owned())];
        report.hold(subjects, at_least(Time, held, 1), least, args);
    }
}

fn range_args(feedstock: &str, (from_c, to_c): (f64, f64)) -> Vec<(&'static str, Arg)> {
    vec![
        ("feedstock", text(feedstock)),
        ("from", number(Temperature, from_c, 0)),
        ("to", number(Temperature, to_c, 0)),
    ]
}

/// Two feedstocks whose ranges have nothing in common; shared with the sinter ranges.
pub(super) fn no_overlap(
    facts: &Facts,
    report: &mut Report,
    common: Option<&Result<Range, NoOverlap>>,
    range: fn(&Feedstock) -> (f64, f64),
) {
    facts.unknown_records(report);
    let nth = |index: usize| facts.feedstocks.values().nth(index).copied();
    match common {
        Some(Err(NoOverlap::Pair { lower, upper })) => {
            let (Some(lower), Some(upper)) = (nth(*lower), nth(*upper)) else {
                return;
            };
            let shown = |(from, to): (f64, f64)| text(format!("{from:.0} to {to:.0} °C"));
            report.found(
                vec![
                    Subject::Named(lower.id.clone()),
                    Subject::Named(upper.id.clone()),
                ],
                vec![
                    ("a", text(&lower.name)),
                    ("b", text(&upper.name)),
                    ("a_range", shown(range(lower))),
                    ("b_range", shown(range(upper))),
                ],
            );
        }
        Some(Err(NoOverlap::NotARange(index))) => {
            let name = nth(*index).map_or_else(String::new, |f| f.id.clone());
            report.missing(vec![Subject::Named(name)], missing::range());
        }
        Some(Err(NoOverlap::NoRanges) | Ok(_)) | None => {}
    }
}

/// Whether some gas may be run over all of them in the range in which their binders leave.
fn share_a_gas<'f>(facts: &Facts, feedstocks: impl Iterator<Item = &'f Feedstock>) -> bool {
    let gases = facts.catalogue.gases.keys().map(String::as_str);
    let mut gases: Vec<&str> = gases.chain(std::iter::once("vacuum")).collect();
    for feedstock in feedstocks {
        // An alloy without a record is told by another check.
        if let Some(alloy) = facts.alloys.get(feedstock.alloy.as_str()) {
            let range = &feedstock.debind;
            gases.retain(|gas| allowed(alloy, gas, range.from_c, range.to_c));
        }
    }
    !gases.is_empty()
}

fn binder_systems_mixed(facts: &Facts, report: &mut Report) {
    facts.unknown_records(report);
    let feedstocks = facts.feedstocks_with_binder();
    let binders: BTreeSet<&str> = feedstocks.values().map(|f| f.binder.as_str()).collect();
    if binders.len() > 1 {
        let records = binders.iter().filter_map(|id| facts.catalogue.binder(id));
        let names: Vec<&str> = records.map(|b| b.name.as_str()).collect();
        if !share_a_gas(facts, feedstocks.values().copied()) {
            report.rank(Stop, false);
        }
        report.found(
            binders
                .iter()
                .map(|b| Subject::Named((*b).to_owned()))
                .collect(),
            vec![("binders", text(names.join("; ")))],
        );
    }
}
