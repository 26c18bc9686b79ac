//! When the load really is as hot as the program says: lag, waits, power, the hottest place, and
//! how warm the load is when the chamber says that it may come out.

use crate::catalogue::Lining;
use crate::catalogue::Severity::{Caution, Note, Stop};
use crate::forecast::clock::{ClockEvent, Phase};
use crate::forecast::constants::ZERO_C;
use crate::forecast::plan::least_in_range_min;
use crate::forecast::whole::CaseForecast;
use crate::review::checks::common::{furnace, limit};
use crate::review::facts::Facts;
use crate::review::facts_forecast::Told;
use crate::review::facts_limits::from_record;
use crate::review::finding::{Report, Subject, at_least, at_most, number, text};
use crate::text::findings::Arg;
use crate::text::{forecast as say, limits, missing};
use crate::units::Quantity::{Temperature, TemperatureDifference, Time};
use std::collections::BTreeSet;

pub(super) fn coldest_spot_not_in_band(facts: &Facts, report: &mut Report) {
    let Some(told) = facts.told(report) else {
        return;
    };
    told.needs_cases(report);
    let band_k = told.made.prepared.inputs.settings.arrival_band_k;
    let peak = facts.peak_c;
    let mut up = true;
    for hold in &told.said.holds {
        // On the way down the load is the warmer one, and a hold there is for something else.
        if !up {
            break;
        }
        up = hold.target_c < peak;
        let arrival = hold.arrival_min.cold.unwrap_or(hold.arrival_min.nominal);
        // A wait makes it as long as it lasts.
        let lasts = hold.lasts_in.cold.unwrap_or(hold.lasts_in.nominal);
        if arrival.is_some_and(|min| min <= lasts) {
            if let Some(what) = told.not_surveyed(hold.segment) {
                report.missing(vec![told.segment(hold.segment)], what);
            }
            continue;
        }
        let level = told.level(hold.coldest.stack, hold.coldest.level);
        let level = level
            .map(|id| facts.plan.level_label(id))
            .unwrap_or_default();
        let after = match arrival {
            Some(min) => number(Time, min, 0),
            None => text(say::not_within_a_day()),
        };
        let args = vec![
            ("segment", Arg::Count(hold.segment + 1)),
            ("level", text(level)),
            ("band", number(TemperatureDifference, band_k, 0)),
            ("after", after),
            ("hold", number(Time, lasts, 0)),
        ];
        report.found(vec![told.segment(hold.segment)], args);
    }
}

pub(super) fn band_never_reached(facts: &Facts, report: &mut Report) {
    let Some(told) = facts.told(report) else {
        return;
    };
    told.needs_cases(report);
    let timed_out = |case: &CaseForecast| -> BTreeSet<usize> {
        let events = case.run.events.iter();
        let over = events.filter_map(|event| match event {
            ClockEvent::TimedOut { segment, .. } => Some(*segment),
            _ => None,
        });
        over.collect()
    };
    let nominal = timed_out(&told.made.forecast.nominal);
    let any: BTreeSet<usize> = told.all_cases().flat_map(timed_out).collect();
    for segment in any {
        // The load's thermocouples are seldom at the coldest place of the furnace.
        let (severity, how) = if nominal.contains(&segment) {
            (Stop, say::by_the_figures())
        } else {
            (Note, say::in_a_case())
        };
        report.rank(severity, false);
        let args = vec![("segment", Arg::Count(segment + 1)), ("how", text(how))];
        report.found(vec![told.segment(segment)], args);
    }
}

/// Minutes that the program waits in each segment.
fn waits(case: &CaseForecast) -> Vec<(usize, f64)> {
    let mut waits: Vec<(usize, f64)> = Vec::new();
    for event in &case.run.events {
        if let ClockEvent::Waited {
            segment, waited_s, ..
        } = event
        {
            let min = waited_s / 60.0;
            match waits.iter_mut().find(|(s, _)| s == segment) {
                Some((_, all)) => *all += min,
                None => waits.push((*segment, min)),
            }
        }
    }
    waits
}

pub(super) fn wait_too_long(facts: &Facts, report: &mut Report) {
    let Some(told) = facts.told(report) else {
        return;
    };
    let Some(limit) = limit(facts, report, "wait-caution") else {
        return;
    };
    for (segment, min) in waits(&told.made.forecast.nominal) {
        let args = vec![("segment", Arg::Count(segment + 1))];
        let subjects = vec![told.segment(segment)];
        report.hold(subjects, at_most(Time, min, 0), limit, args);
    }
}

/// How far the chamber is behind where a ramp upward ends; a stop where the program then waits for
/// hours.
pub(super) fn ramp_beyond_power(facts: &Facts, report: &mut Report) {
    let Some(told) = facts.told(report) else {
        return;
    };
    let (Some(longest), Some(limit)) = (
        limit(facts, report, "power-wait-stop"),
        limit(facts, report, "chamber-lag-max"),
    ) else {
        return;
    };
    let case = &told.made.forecast.nominal;
    let waits = waits(case);
    let program = &told.made.prepared.inputs.program;
    let mut from_k = program.start_k;
    for (index, segment) in program.segments.iter().enumerate() {
        let heats = segment.to_k > from_k;
        from_k = segment.to_k;
        let end = case.run.end_of(index, Phase::Ramp);
        let end = end.and_then(|end| case.run.ends.get(end));
        let chamber = end.and_then(|e| e.state.get(case.run.border.chamber));
        if let (true, Some(chamber)) = (heats, chamber) {
            let lag = segment.to_k - chamber;
            let waits = waits
                .iter()
                .any(|(s, min)| *s == index && *min > longest.value);
            report.rank(if waits { Stop } else { Caution }, false);
            let args = vec![("segment", Arg::Count(index + 1))];
            let subjects = vec![told.segment(index)];
            report.hold(
                subjects,
                at_most(TemperatureDifference, lag, 0),
                limit,
                args,
            );
        }
    }
}

/// Time in the sinter range at the place of a kind that has the least of it.
pub(super) fn sinter_hold_short_at_coldest(facts: &Facts, report: &mut Report) {
    let Some(told) = facts.told(report) else {
        return;
    };
    told.needs_cases(report);
    let case = told.cold_or_nominal();
    for kind in facts.kinds(&told) {
        let (range, feedstock) = (kind.records.feedstock.sinter, kind.records.feedstock);
        let Some(least) = least_in_range_min(case, kind.index, &range) else {
            continue;
        };
        let name = limits::sinter_hold();
        let limit = from_record(
            feedstock,
            "sinter.hold_min_min",
            name,
            range.hold_min_min,
            "min",
        );
        let measured = at_least(Time, least, 0);
        let args = vec![("subject", text(&kind.name))];
        report.hold(kind.subjects, measured, &limit, args);
    }
}

pub(super) fn hot_spot_over_range(facts: &Facts, report: &mut Report) {
    let Some(told) = facts.told(report) else {
        return;
    };
    told.needs_cases(report);
    let case = told.hot_or_nominal();
    for kind in facts.kinds(&told) {
        let (range, feedstock) = (kind.records.feedstock.sinter, kind.records.feedstock);
        let places = case.matter.kinds.get(kind.index).map(|k| &k.places);
        let hottest = places.into_iter().flatten().map(|p| p.hottest_k);
        let Some(hottest) = hottest.reduce(f64::max) else {
            continue;
        };
        let name = limits::sinter_to();
        let limit = from_record(feedstock, "sinter.to_c", name, range.to_c, "°C");
        let measured = at_most(Temperature, hottest - ZERO_C, 0);
        let args = vec![("subject", text(&kind.name))];
        report.hold(kind.subjects, measured, &limit, args);
    }
}

/// The hottest part when the chamber first reads the plan's unload temperature.
pub(super) fn load_hot_at_unload(facts: &Facts, report: &mut Report) {
    let Some(told) = facts.told(report) else {
        return;
    };
    told.needs_cases(report);
    let Some(furnace) = furnace(facts, report) else {
        return;
    };
    let id = match furnace.lining {
        Lining::Molybdenum => "unload-max-molybdenum",
        Lining::Graphite | Lining::CeramicFibre => "unload-max",
    };
    let Some(limit) = limit(facts, report, id) else {
        return;
    };
    let mut hottest: Option<f64> = None;
    for case in told.all_cases() {
        let Some(at) = case.run.chamber_unload_s else {
            report.missing(vec![Subject::Profile], missing::chamber_cools());
            continue;
        };
        let sample = Told::sample_at(&case.run, at);
        if let Some((_, most)) = case.run.extremes(sample, |_| true) {
            hottest = Some(hottest.unwrap_or(most).max(most));
        }
    }
    if let Some(most) = hottest {
        let measured = at_most(Temperature, most - ZERO_C, 0);
        let args = vec![("at", number(Temperature, facts.plan.profile.unload_c, 0))];
        report.hold(vec![Subject::Load], measured, limit, args);
    }
}

pub(super) fn run_longer_than_planned(facts: &Facts, report: &mut Report) {
    let Some(told) = facts.told(report) else {
        return;
    };
    let Some(limit) = limit(facts, report, "run-over-plan-max") else {
        return;
    };
    let Some(curve) = facts.curve_or_missing(report) else {
        return;
    };
    let Some(end) = curve.points().last().map(|p| p.time_min) else {
        return;
    };
    // In the cold case every wait runs to its timeout; what is to be expected is the nominal one.
    let longest = told.said.unload.program_min.nominal;
    let args = vec![
        ("program", number(Time, end, 0)),
        ("run", number(Time, longest, 0)),
    ];
    let over = at_most(Time, (longest - end).max(0.0), 0);
    report.hold(vec![Subject::Profile], over, limit, args);
}
