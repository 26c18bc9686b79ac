//! Ramps and holds.

use super::{Candidate, Finding, Fixer, Found};
use crate::load::Edit;
use crate::profile::{RampBy, Range, Segment, SegmentId};
use crate::review::checks::ramps_through;
use crate::review::facts_profile::Step;
use crate::review::finding::{Subject, number};
use crate::text::findings::Arg;
use crate::text::fixes as say;
use crate::units::Quantity::{Rate, Temperature, Time};
use crate::units::tidy;

/// Steps of a controller that is not known: round numbers (assumed).
const USUAL: (f64, f64, f64) = (1.0, 0.1, 1.0);

/// Steps of target (°C), rate (K/min) and hold (min).
pub(super) fn steps(fixer: &Fixer) -> (f64, f64, f64) {
    let Some(c) = fixer.facts.furnace.map(|f| &f.controller) else {
        return USUAL;
    };
    let or = |step: f64, usual: f64| if step > 0.0 { step } else { usual };
    (
        or(c.target_step_c, USUAL.0),
        or(c.rate_step_k_min, USUAL.1),
        or(c.hold_step_min, USUAL.2),
    )
}

fn down(value: f64, step: f64) -> f64 {
    tidy(libm::floor(value / step + 1e-9) * step)
}

pub(super) fn up(value: f64, step: f64) -> f64 {
    tidy(libm::ceil(value / step - 1e-9) * step)
}

/// The segment that a finding is about.
pub(super) fn segment<'a>(fixer: &Fixer<'a>, finding: &Finding) -> Option<Step<'a>> {
    let id = finding.subjects.iter().find_map(|s| match s {
        Subject::Segment(id) => Some(*id),
        _ => None,
    })?;
    let mut steps = fixer.facts.steps().into_iter();
    steps.find(|s| s.segment.id == id)
}

/// A number among a finding's arguments.
fn told(finding: &Finding, wanted: &str) -> Option<f64> {
    let mut args = finding.args.iter();
    args.find_map(|(name, arg)| match arg {
        Arg::Number(_, value, _) if *name == wanted => Some(*value),
        _ => None,
    })
}

/// Where a ramp is to be slow, and how slow, K/min in the controller's steps.
fn wanted(fixer: &Fixer, finding: &Finding) -> Option<(Range, f64)> {
    let facts = &fixer.facts;
    let (range, k_min) = match finding.check {
        "densifying-ramp-too-fast" => {
            let range = Range {
                from_c: told(finding, "start")?,
                to_c: f64::INFINITY,
            };
            (range, finding.limit.as_ref()?.value)
        }
        "full-rate-in-debind-range" => (facts.debind_span()?, slowest(fixer)?),
        _ => {
            let part = finding.subjects.iter().find_map(|s| match s {
                Subject::Part(id) => Some(*id),
                _ => None,
            })?;
            let placed = facts.placed.iter().find(|p| p.part.id == part)?;
            let debind = placed.records?.feedstock.debind;
            let range = Range {
                from_c: debind.from_c,
                to_c: debind.to_c,
            };
            (range, told(finding, "allowed")?)
        }
    };
    let slow = down(k_min, steps(fixer).1);
    (slow > 0.0).then_some((range, slow))
}

/// The slowest ramp that any part with binder asks for, K/min; none where one of them has no limit
/// for its section.
fn slowest(fixer: &Fixer) -> Option<f64> {
    let mut least: Option<f64> = None;
    for pieces in fixer.facts.pieces().iter().filter(|p| p.bring_binder()) {
        let feedstock = pieces.records?.feedstock;
        let mm = pieces.part.green_section_mm(feedstock.oversize)?;
        let rules = feedstock.ramp_limits.iter();
        let rule = rules
            .filter(|l| l.section_up_to_mm >= mm)
            .min_by(|a, b| a.section_up_to_mm.total_cmp(&b.section_up_to_mm))?;
        least = Some(least.map_or(rule.rate_k_min, |l| l.min(rule.rate_k_min)));
    }
    least
}

fn shown(k_min: f64) -> String {
    number(Rate, k_min, 2).to_string()
}

fn slowed(step: &Step, k_min: f64) -> Edit {
    Edit::ChangeSegment(Segment {
        ramp: RampBy::Rate { k_min },
        ..step.segment.clone()
    })
}

/// Ramps of the finding's range beside its own that are faster than wanted: the check names the
/// fastest alone, and as long as another one is left it finds that.
fn others_too_fast<'a>(
    fixer: &Fixer<'a>,
    finding: &Finding,
    (range, k_min): (Range, f64),
) -> Vec<Step<'a>> {
    let own = segment(fixer, finding).map(|s| s.index);
    let ramps = ramps_through(&fixer.facts, range).into_iter();
    let fast = ramps.filter(|(s, k)| Some(s.index) != own && *k > k_min);
    fast.map(|(s, _)| s).collect()
}

/// The whole ramp at the rate wanted, and every other that is too fast.
pub(super) fn slow(fixer: &Fixer, finding: &Finding) -> Found {
    let (Some(step), Some(wanted)) = (segment(fixer, finding), wanted(fixer, finding)) else {
        return Err(say::no_rate());
    };
    let others = others_too_fast(fixer, finding, wanted);
    let indices: Vec<usize> = std::iter::once(&step)
        .chain(&others)
        .map(|s| s.index)
        .collect();
    let edits = std::iter::once(&step).chain(&others);
    Ok(vec![Candidate {
        label: say::slow(&indices, &shown(wanted.1)),
        edits: edits.map(|s| slowed(s, wanted.1)).collect(),
    }])
}

/// The ramp in two or three, slow only within the range.
pub(super) fn split(fixer: &Fixer, finding: &Finding) -> Found {
    let (Some(step), Some((range, k_min))) = (segment(fixer, finding), wanted(fixer, finding))
    else {
        return Err(say::no_rate());
    };
    if !step.heats() {
        return Err(say::no_way());
    }
    let grid = steps(fixer).0;
    let (from, to) = (step.from_c, step.segment.to_c);
    let inside = |c: f64| from + grid / 2.0 < c && c < to - grid / 2.0;
    // Outwards, so that all of the range is slow.
    let below = Some(down(range.from_c, grid)).filter(|c| inside(*c));
    let above = Some(up(range.to_c, grid)).filter(|c| c.is_finite() && inside(*c));
    let ends: Vec<f64> = below.into_iter().chain(above).chain([to]).collect();
    if ends.len() < 2 {
        return Ok(Vec::new()); // all of the ramp lies in the range: slowing it is the same
    }
    // Pace of each piece: the ramp's own outside the range.
    let slow_at = usize::from(below.is_some());
    let mut edits = Vec::new();
    let mut rest = step.segment.clone();
    let mut at_c = from;
    for (i, end) in ends.iter().enumerate() {
        let slow = i == slow_at;
        let own = |by_k: f64| match step.segment.ramp {
            RampBy::Time { min } => RampBy::Time {
                min: tidy(min * by_k / (to - from)),
            },
            ramp => ramp,
        };
        let pace = |by_k: f64, slow: bool| {
            if slow {
                RampBy::Rate { k_min }
            } else {
                own(by_k)
            }
        };
        if i + 1 == ends.len() {
            rest.ramp = pace(end - at_c, slow);
            edits.push(Edit::ChangeSegment(rest.clone()));
            break;
        }
        let id = SegmentId(fixer.plan().next_id + i as u32);
        let (mut first, mut second) = rest.in_two(id);
        first.to_c = *end;
        first.hold_min = 0.0;
        first.ramp = pace(end - at_c, slow);
        second.ramp = own(to - end);
        edits.push(Edit::SplitSegment {
            first: Box::new(first),
            second: Box::new(second.clone()),
        });
        rest = second;
        at_c = *end;
    }
    let bounds: Vec<String> = below
        .into_iter()
        .chain(above)
        .map(|c| number(Temperature, c, 0).to_string())
        .collect();
    let others = others_too_fast(fixer, finding, (range, k_min));
    edits.extend(others.iter().map(|s| slowed(s, k_min)));
    let others: Vec<usize> = others.iter().map(|s| s.index).collect();
    let label = say::split(step.index, &bounds, &shown(k_min), &others);
    Ok(vec![Candidate { label, edits }])
}

/// The longest hold in the range of the feedstock made longer by what lacks.
pub(super) fn longer(fixer: &Fixer, finding: &Finding) -> Found {
    let feedstock = finding.subjects.iter().find_map(|s| match s {
        Subject::Named(id) => fixer.facts.feedstocks.get(id.as_str()).copied(),
        _ => None,
    });
    let lacks = finding.margin().map(|m| -m);
    let (Some(feedstock), Some(lacks)) = (feedstock, lacks) else {
        return Err(say::no_way());
    };
    let range = Range {
        from_c: feedstock.sinter.from_c,
        to_c: feedstock.sinter.to_c,
    };
    let mut holds: Vec<Step> = fixer.facts.steps();
    holds.retain(|s| range.contains(s.segment.to_c));
    let longest = holds
        .iter()
        .rev()
        .max_by(|a, b| a.segment.hold_min.total_cmp(&b.segment.hold_min));
    let Some(step) = longest else {
        return Err(say::no_way());
    };
    let min = up(step.segment.hold_min + lacks, steps(fixer).2);
    let most = fixer.facts.furnace.map(|f| f.controller.hold_max_min);
    if most.is_some_and(|most| min > most) {
        return Err(say::beyond_controller());
    }
    let segment = Segment {
        hold_min: min,
        ..step.segment.clone()
    };
    let label = say::hold(step.index, &number(Time, min, 0).to_string());
    Ok(vec![Candidate::one(label, Edit::ChangeSegment(segment))])
}

/// A number at the controller's nearest step.
pub(super) fn round(fixer: &Fixer, finding: &Finding) -> Found {
    let Some(step) = segment(fixer, finding) else {
        return Err(say::no_way());
    };
    let (target, rate, hold) = steps(fixer);
    let near = |value: f64, step: f64| tidy(libm::round(value / step) * step);
    let mut segment = step.segment.clone();
    let words = match (finding.check, segment.ramp) {
        ("target-not-typable", _) => {
            segment.to_c = near(segment.to_c, target);
            number(Temperature, segment.to_c, 1).to_string()
        }
        ("rate-not-typable", RampBy::Rate { k_min }) => {
            let k_min = near(k_min, rate).max(rate);
            segment.ramp = RampBy::Rate { k_min };
            shown(k_min)
        }
        ("hold-not-typable", _) => {
            segment.hold_min = near(segment.hold_min, hold);
            number(Time, segment.hold_min, 1).to_string()
        }
        _ => return Err(say::no_way()),
    };
    let label = say::round(step.index, &words);
    Ok(vec![Candidate::one(label, Edit::ChangeSegment(segment))])
}
