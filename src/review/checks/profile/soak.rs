//! Guaranteed soaks.

use super::{at, sintering};
use crate::profile::{WaitFor, WaitOn};
use crate::review::facts::Facts;
use crate::review::facts_profile::Step;
use crate::review::finding::{Report, at_least, at_most};
use crate::text::missing;
use crate::units::Quantity::{TemperatureDifference, Time};

/// Segments that hold inside the sinter range of some feedstock.
fn sinter_holds<'a>(facts: &Facts<'a>, report: &mut Report) -> Vec<Step<'a>> {
    let ranges = sintering(facts, report);
    let mut steps = facts.steps();
    steps.retain(|s| ranges.iter().any(|(_, range)| s.holds_in(*range)));
    steps
}

pub(super) fn guaranteed_soak_missing(facts: &Facts, report: &mut Report) {
    let holds = sinter_holds(facts, report);
    for step in holds.iter().filter(|s| s.segment.wait_on.is_none()) {
        report.found(vec![step.subject()], vec![at(step)]);
    }
}

pub(super) fn soak_waits_on_control_only(facts: &Facts, report: &mut Report) {
    for (step, _) in waits(facts).filter(|(_, w)| w.on == WaitFor::Control) {
        report.found(vec![step.subject()], vec![at(&step)]);
    }
}

fn waits<'a>(facts: &Facts<'a>) -> impl Iterator<Item = (Step<'a>, WaitOn)> {
    let steps = facts.steps().into_iter();
    steps.filter_map(|s| Some((s, s.segment.wait_on?)))
}

pub(super) fn soak_band_narrow(facts: &Facts, report: &mut Report) {
    let limit = facts.limit("soak-band-min");
    for (step, wait) in waits(facts).filter(|(_, w)| w.band_k > 0.0) {
        let band = at_least(TemperatureDifference, wait.band_k, 1);
        match limit {
            Some(limit) => report.hold(vec![step.subject()], band, limit, vec![at(&step)]),
            None => report.missing(vec![step.subject()], missing::limit("soak-band-min")),
        }
    }
}

pub(super) fn soak_band_wide(facts: &Facts, report: &mut Report) {
    let limit = facts.limit("soak-band-max");
    for (step, wait) in waits(facts) {
        let band = at_most(TemperatureDifference, wait.band_k, 1);
        match limit {
            Some(limit) => report.hold(vec![step.subject()], band, limit, vec![at(&step)]),
            None => report.missing(vec![step.subject()], missing::limit("soak-band-max")),
        }
    }
}

pub(super) fn wait_timeout_long(facts: &Facts, report: &mut Report) {
    let limit = facts.limit("wait-timeout-max");
    for (step, wait) in waits(facts) {
        let Some(min) = wait.timeout_min else {
            continue; // a fault of the profile, which another check names
        };
        let timeout = at_most(Time, min, 0);
        match limit {
            Some(limit) => report.hold(vec![step.subject()], timeout, limit, vec![at(&step)]),
            None => report.missing(vec![step.subject()], missing::limit("wait-timeout-max")),
        }
    }
}
