//! Steps that need somebody, at hours at which nobody is there. Of a shop that does not state its
//! hours that is not evaluated.

use super::common::check;
use crate::catalogue::Severity::{Caution, Note};
use crate::catalogue::{Attended, attended, when};
use crate::profile::{Event, EventAt, EventKind};
use crate::review::facts::Facts;
use crate::review::finding::{Check, Family, Report, Subject, text};
use crate::text::{attended as say, missing};
use jiff::civil::DateTime;

/// The checks.
pub const CHECKS: &[Check] = &[
    check(
        Family::Profile,
        Note,
        "unattended-step",
        &[],
        unattended_step,
    ),
    Check {
        safety: true,
        ..check(
            Family::Safety,
            Caution,
            "hydrogen-change-unattended",
            &[],
            hydrogen_change_unattended,
        )
    },
];

/// Something that somebody has to be there for, min after the start at the earliest and latest.
struct Step {
    subject: Subject,
    what: String,
    min: [f64; 2],
}

fn hours<'f>(facts: &'f Facts) -> Option<&'f [Attended]> {
    let hours = &facts.shop?.attended;
    (!hours.is_empty()).then_some(hours)
}

/// When events of the kinds that `what` names happen, waits left out and up to their timeouts; the
/// last time is that of the end of the program.
fn timed(
    facts: &Facts,
    report: &mut Report,
    what: fn(&EventKind, usize) -> Option<String>,
) -> Option<(Vec<Step>, [f64; 2])> {
    let Some(times) = facts.segment_times() else {
        report.missing(vec![Subject::Profile], missing::program_length());
        return None;
    };
    let mut steps = Vec::new();
    let mut min = [0.0, 0.0];
    for (step, time) in facts.steps().iter().zip(times) {
        let begins = min;
        min[0] += time.program_min;
        min[1] += time.program_min + time.wait_min;
        for at in [EventAt::Start, EventAt::End] {
            for event in step.segment.events.iter().filter(|e| e.at == at) {
                if let Some(what) = what(&event.kind, step.index + 1) {
                    steps.push(Step {
                        subject: step.subject(),
                        what,
                        min: if at == EventAt::Start { begins } else { min },
                    });
                }
            }
        }
    }
    Some((steps, min))
}

/// Says which steps may come while nobody is there.
fn hold(facts: &Facts, report: &mut Report, hours: &[Attended], steps: Vec<Step>) {
    let plan = facts.plan;
    let Some(day) = facts.start_day() else {
        return report.missing(vec![Subject::Load], missing::planned_start());
    };
    let Some(time) = plan.planned_start_time.as_deref().and_then(when::time) else {
        return report.missing(vec![Subject::Load], say::start_time());
    };
    let start = day.to_datetime(time);
    // To the minute: a finding gives no more.
    let after = |min: f64| -> Option<DateTime> {
        let span = jiff::Span::new()
            .try_minutes(libm::round(min) as i64)
            .ok()?;
        start.checked_add(span).ok()
    };
    for step in steps {
        let [Some(from), Some(to)] = step.min.map(after) else {
            report.missing(vec![step.subject], missing::program_length());
            continue;
        };
        if !attended(hours, from, to) {
            let shown = |at: DateTime| at.strftime("%Y-%m-%d %H:%M").to_string();
            let args = vec![
                ("what", text(step.what)),
                ("when", text(say::when(&shown(from), &shown(to)))),
            ];
            report.found(vec![step.subject], args);
        }
    }
}

/// The start, every check by the operator, and the unloading; where no event unloads, the end of
/// the program does.
fn unattended_step(facts: &Facts, report: &mut Report) {
    let Some(hours) = hours(facts) else {
        return report.missing(vec![Subject::Load], missing::attended_hours());
    };
    let named = |kind: &EventKind, segment: usize| match kind {
        EventKind::Unload => Some(say::unloading(segment)),
        EventKind::OperatorCheck => Some(say::operator_check(segment)),
        _ => None,
    };
    let Some((mut steps, ends)) = timed(facts, report, named) else {
        return;
    };
    let unloads = facts.plan.profile.segments.iter().flat_map(|s| &s.events);
    if !unloads.map(|e| &e.kind).any(|k| *k == EventKind::Unload) {
        steps.push(Step {
            subject: Subject::Profile,
            what: say::end_of_program(),
            min: ends,
        });
    }
    steps.push(Step {
        subject: Subject::Load,
        what: say::start(),
        min: [0.0, 0.0],
    });
    hold(facts, report, hours, steps);
}

/// Hydrogen that comes on or goes off by an event.
fn hydrogen_change_unattended(facts: &Facts, report: &mut Report) {
    let Some(hours) = hours(facts) else {
        let changes = |e: &Event| matches!(e.kind, EventKind::HydrogenOn | EventKind::HydrogenOff);
        let mut segments = facts.plan.profile.segments.iter();
        if segments.any(|s| s.events.iter().any(changes)) {
            report.missing(vec![Subject::Load], missing::attended_hours());
        }
        return;
    };
    let named = |kind: &EventKind, segment: usize| match kind {
        EventKind::HydrogenOn => Some(say::hydrogen_on(segment)),
        EventKind::HydrogenOff => Some(say::hydrogen_off(segment)),
        _ => None,
    };
    let Some((steps, _)) = timed(facts, report, named) else {
        return;
    };
    if !steps.is_empty() {
        hold(facts, report, hours, steps);
    }
}
