//! Numbers that look typed in another unit, and a start that the controller may not keep.

use super::at;
use crate::catalogue::Limit;
use crate::profile::RampBy;
use crate::profile::slips::{RateSlip, fahrenheit_slip, rate_slip};
use crate::review::facts::Facts;
use crate::review::facts_limits::scaled;
use crate::review::facts_profile::Step;
use crate::review::finding::{Report, Subject, at_least, at_most, number, text};
use crate::text::{missing, phrases};
use crate::units::Quantity::{Rate, Temperature};

pub(super) fn first_target_below_start(facts: &Facts, report: &mut Report) {
    let Some((from_c, first)) = facts.segments().next() else {
        return;
    };
    if first.to_c < from_c {
        report.found(
            vec![Subject::Segment(first.id)],
            vec![
                ("target", number(Temperature, first.to_c, 0)),
                ("start", number(Temperature, from_c, 0)),
            ],
        );
    }
}

pub(super) fn rate_unit_suspicion(facts: &Facts, report: &mut Report) {
    if facts.curve_or_missing(report).is_none() {
        return;
    }
    let limits = (
        facts.limit("rate-suspect-low"),
        facts.limit("rate-suspect-high"),
    );
    let (Some(low), Some(high)) = limits else {
        return report.missing(
            vec![Subject::Profile],
            missing::limits("rate-suspect-low", "rate-suspect-high"),
        );
    };
    let steps = facts.steps();
    for step in steps.iter().filter(|s| s.segment.ramp != RampBy::FullRate) {
        let Some(rate) = step.rate_k_min else {
            continue; // a step, which is a fault of the profile
        };
        let pace = rate.abs();
        let (measured, limit, meant) = match rate_slip(pace, low.value, high.value) {
            Some(RateSlip::MeantPerHour { k_min }) => {
                let meant = phrases::per_hour(pace, &number(Rate, k_min, 2));
                (at_most(Rate, pace, 3), high, meant)
            }
            Some(RateSlip::MeantPerMinute { k_min }) => (
                at_least(Rate, pace, 3),
                low,
                number(Rate, k_min, 2).to_string(),
            ),
            None => continue,
        };
        let args = vec![at(step), ("meant", text(meant))];
        report.hold(vec![step.subject()], measured, limit, args);
    }
}

pub(super) fn fahrenheit_suspicion(facts: &Facts, report: &mut Report) {
    facts.unknown_records(report);
    let top = facts.feedstocks.values().map(|f| f.sinter.to_c);
    let Some(top_c) = top.max_by(f64::total_cmp) else {
        return;
    };
    let Some(factor) = facts.limit("fahrenheit-factor") else {
        return report.missing(vec![Subject::Profile], missing::limit("fahrenheit-factor"));
    };
    let steps = facts.steps();
    for step in &steps {
        let to_c = step.segment.to_c;
        if let Some(meant_c) = fahrenheit_slip(to_c, top_c, factor.value) {
            suspect(step, meant_c, &scaled(factor, top_c, "°C"), report);
        }
    }
    // The first hold is meant for the debind range: beyond it, and inside when read in °F.
    let Some(span) = facts.debind_span() else {
        return;
    };
    let first = steps.iter().find(|s| s.heats() && s.segment.hold_min > 0.0);
    if let Some(step) = first.filter(|s| s.segment.to_c <= factor.value * top_c)
        && let Some(meant_c) = fahrenheit_slip(step.segment.to_c, span.to_c, factor.value)
        && span.contains(meant_c)
    {
        suspect(step, meant_c, &scaled(factor, span.to_c, "°C"), report);
    }
}

fn suspect(step: &Step, meant_c: f64, limit: &Limit, report: &mut Report) {
    let typed = format!("{:.0} °F", step.segment.to_c);
    report.hold(
        vec![step.subject()],
        at_most(Temperature, step.segment.to_c, 0),
        limit,
        vec![
            at(step),
            ("typed", text(typed)),
            ("meant", number(Temperature, meant_c, 0)),
        ],
    );
}
