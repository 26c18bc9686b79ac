//! Longer holds and timeouts by what the forecast says that they take.

use super::times::{segment, steps, up};
use super::{Candidate, Finding, Fixer, Found};
use crate::forecast::clock::ClockEvent;
use crate::forecast::plan::{PlanForecast, Which};
use crate::load::Edit;
use crate::profile::Segment;
use crate::review::facts_profile::Step;
use crate::review::finding::{Subject, number};
use crate::text::fixes as say;
use crate::units::Quantity::Time;

/// Minutes of a forecast are told to five.
const STEP_MIN: f64 = 5.0;
/// Lengths tried, over what the forecast asks for: the first that mends is offered (assumed).
const LENGTHS: [f64; 5] = [1.0, 1.25, 1.5, 2.0, 3.0];
/// A wait has so much more than the forecast says before it alarms (assumed).
const WAIT_RESERVE: f64 = 1.5;

/// A time of the forecast in its own steps and the controller's, never less.
fn whole(fixer: &Fixer, min: f64) -> f64 {
    up(up(min, STEP_MIN), steps(fixer).2)
}

fn shown(min: f64) -> String {
    number(Time, min, 0).to_string()
}

/// A hold at several lengths from what it takes; `takes` is that in words.
fn holds(fixer: &Fixer, step: &Step, takes_min: f64) -> Found {
    let now = step.segment.hold_min;
    let most = fixer.facts.furnace.map(|f| f.controller.hold_max_min);
    let mut lengths: Vec<f64> = LENGTHS
        .iter()
        .map(|l| whole(fixer, l * takes_min))
        .collect();
    lengths.retain(|min| *min > now);
    lengths.dedup();
    let too_long = |min: &f64| most.is_some_and(|most| *min > most);
    if lengths.iter().all(too_long) {
        return Err(say::beyond_controller());
    }
    lengths.retain(|min| !too_long(min));
    let candidate = |min: f64| {
        let segment = Segment {
            hold_min: min,
            ..step.segment.clone()
        };
        let label = say::hold_by_forecast(
            step.index,
            &shown(min),
            &shown(takes_min),
            &shown(min - takes_min),
        );
        Candidate::one(label, Edit::ChangeSegment(segment))
    };
    Ok(lengths.into_iter().map(candidate).collect())
}

/// The hold of a component of the binder: until the coldest place arrives, and from there what the
/// component takes, in the case that has least to spare.
pub(super) fn debind(fixer: &Fixer, finding: &Finding) -> Found {
    let (Some(step), Some(made)) = (segment(fixer, finding), fixer.forecast()) else {
        return Err(say::no_way());
    };
    let mut rows = made.report.holds.iter();
    let row = rows.find(|h| h.segment == step.index);
    let takes = row.and_then(|row| {
        let need = row.need.as_ref()?;
        let arrival = match need.case {
            Which::Nominal => row.arrival_min.nominal,
            Which::Cold => row.arrival_min.cold?,
            Which::Hot => row.arrival_min.hot?,
        };
        Some(arrival? + need.need.minutes())
    });
    // A component that is not out without a hold that takes any time is not held up by the hold.
    match takes {
        Some(takes) => holds(fixer, &step, takes.max(step.segment.hold_min)),
        None => Err(say::no_way()),
    }
}

/// The longest hold in the sinter range of a part's feedstock: what it has, and what the coldest
/// place lacks of time in range.
pub(super) fn sinter(fixer: &Fixer, finding: &Finding) -> Found {
    let part = finding.subjects.iter().find_map(|s| match s {
        Subject::Part(id) => Some(*id),
        _ => None,
    });
    let placed = fixer.facts.placed.iter().find(|p| Some(p.part.id) == part);
    let sinter = placed.and_then(|p| Some(p.records?.feedstock.sinter));
    let lacks = finding.margin().map(|m| -m).filter(|lacks| *lacks > 0.0);
    let (Some(sinter), Some(lacks)) = (sinter, lacks) else {
        return Err(say::no_way());
    };
    let mut held: Vec<Step> = fixer.facts.steps();
    held.retain(|s| {
        let target = s.segment.to_c;
        s.segment.hold_min > 0.0 && (sinter.from_c..=sinter.to_c).contains(&target)
    });
    let longest = held
        .into_iter()
        .rev()
        .max_by(|a, b| a.segment.hold_min.total_cmp(&b.segment.hold_min));
    match longest {
        Some(step) => holds(fixer, &step, step.segment.hold_min + lacks),
        None => Err(say::no_way()),
    }
}

/// A timeout: what the forecast waits there with a reserve, not above the shop's limit.
pub(super) fn timeout(fixer: &Fixer, finding: &Finding) -> Found {
    let (Some(step), Some(made)) = (segment(fixer, finding), fixer.forecast()) else {
        return Err(say::no_way());
    };
    let (Some(wait), Some(limit)) = (step.segment.wait_on, fixer.facts.limit("wait-timeout-max"))
    else {
        return Err(say::no_way());
    };
    let waits = longest_wait_min(made, step.index);
    let min = whole(fixer, WAIT_RESERVE * waits).max(STEP_MIN);
    if min > limit.value {
        return Err(say::wait_beyond_limit(&shown(waits), &shown(limit.value)));
    }
    let mut changed = step.segment.clone();
    changed.wait_on = Some(crate::profile::WaitOn {
        timeout_min: Some(min),
        ..wait
    });
    let label = say::timeout(step.index, &shown(min), &shown(waits));
    Ok(vec![Candidate::one(label, Edit::ChangeSegment(changed))])
}

/// The longest wait of any case in a segment, min.
fn longest_wait_min(made: &PlanForecast, segment: usize) -> f64 {
    let of = |case: &crate::forecast::whole::CaseForecast| {
        let waited = case.run.events.iter().map(|event| match event {
            ClockEvent::Waited {
                segment: at,
                waited_s,
                ..
            } if *at == segment => waited_s / 60.0,
            _ => 0.0,
        });
        waited.sum::<f64>()
    };
    made.by_case().map(|(_, case)| of(case)).fold(0.0, f64::max)
}
