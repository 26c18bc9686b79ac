//! Binder: pores, pressure in the core, holds, off-gas, pump and trap.

use crate::forecast::constants::ZERO_C;
use crate::forecast::whole::CaseForecast;
use crate::profile::Segment;
use crate::review::checks::common::{limit, limit_for};
use crate::review::checks::pressures::PUMPED_MBAR;
use crate::review::facts::Facts;
use crate::review::facts_forecast::{Kind, LeftBy};
use crate::review::finding::Sense::AtMost;
use crate::review::finding::{Report, Sense, Subject, at_least, at_most, number, text};
use crate::text::findings::Arg;
use crate::text::{missing, phrases};
use crate::units::Quantity::{Fraction, Pressure};

fn named(kind: &Kind) -> Vec<(&'static str, Arg)> {
    vec![("subject", text(&kind.name))]
}

pub(super) fn pores_not_open(facts: &Facts, report: &mut Report) {
    let Some(told) = facts.told(report) else {
        return;
    };
    told.needs_cases(report);
    told.needs_extraction(facts, report);
    for kind in facts.kinds(&told) {
        if !told.burns(&kind, report) {
            continue;
        }
        let closed = |c: &CaseForecast| {
            let places = c.matter.kinds.get(kind.index).map(|k| &k.places);
            places.is_some_and(|all| all.iter().any(|p| p.closed_at_s.is_some()))
        };
        if told.all_cases().any(closed) {
            report.found(kind.subjects.clone(), named(&kind));
        }
    }
}

pub(super) fn core_pressure_high(facts: &Facts, report: &mut Report) {
    let Some(told) = facts.told(report) else {
        return;
    };
    told.needs_cases(report);
    told.needs_extraction(facts, report);
    for kind in facts.kinds(&told) {
        if !told.burns(&kind, report) {
            continue;
        }
        let Some(limit) = limit_for(facts, report, "core-pressure-max", &kind.records, AtMost)
        else {
            continue;
        };
        let most = told
            .all_cases()
            .filter_map(|c| c.matter.kinds.get(kind.index))
            .flat_map(|k| &k.places)
            .filter_map(|p| Some(p.overpressure?.0))
            .reduce(f64::max);
        // No number where no gas comes, or where the pores are not open: another check says that.
        if let Some(pa) = most {
            let measured = at_most(Pressure, pa / 100.0, 0);
            report.hold(kind.subjects.clone(), measured, limit, named(&kind));
        }
    }
}

/// What the hold leaves: a caution, or `far` short of it a stop.
pub(super) fn debind_hold(facts: &Facts, report: &mut Report, far: bool) {
    let Some(told) = facts.told(report) else {
        return;
    };
    told.needs_cases(report);
    for kind in facts.kinds(&told) {
        let (wanted, least) = ("backbone-out-wanted", "backbone-out-least");
        let Some(wanted) = limit_for(facts, report, wanted, &kind.records, Sense::AtLeast) else {
            continue;
        };
        let Some(least) = limit_for(facts, report, least, &kind.records, Sense::AtLeast) else {
            continue;
        };
        for hold in facts.backbone_holds(&told, &kind, report) {
            if !far && hold.out < least.value {
                continue;
            }
            let mut subjects = kind.subjects.clone();
            subjects.push(told.segment(hold.segment));
            let mut args = named(&kind);
            args.push(("component", text(&hold.component)));
            args.push(("segment", Arg::Count(hold.segment + 1)));
            args.push(("when", text(when_left(hold.segment, hold.by))));
            let limit = if far { least } else { wanted };
            // A ramp out of the range is judged where the range ends.
            let what = match hold.by {
                LeftBy::Ramp => {
                    let end_k = kind.records.feedstock.debind.to_c + ZERO_C;
                    told.not_surveyed_at(hold.segment, end_k)
                }
                LeftBy::Hold | LeftBy::StepsAfter(_) | LeftBy::End => {
                    told.not_surveyed(hold.segment)
                }
            };
            if hold.out >= limit.value
                && let Some(what) = what
            {
                report.missing(subjects, what);
                continue;
            }
            report.hold(subjects, at_least(Fraction, hold.out, 1), limit, args);
        }
    }
}

/// When the setpoint leaves the debind range, in words.
fn when_left(segment: usize, by: LeftBy) -> String {
    match by {
        LeftBy::Hold => phrases::at_end_of_hold(segment),
        LeftBy::StepsAfter(last) => phrases::at_end_of_steps(segment, last),
        LeftBy::Ramp => phrases::where_ramp_leaves(segment),
        LeftBy::End => phrases::when_program_ends(),
    }
}

pub(super) fn offgas_over_sweep(facts: &Facts, report: &mut Report) {
    let Some(told) = facts.told(report) else {
        return;
    };
    told.needs_cases(report);
    told.needs_extraction(facts, report);
    told.needs_burnout(facts, report);
    let Some(limit) = limit(facts, report, "sweep-offgas-share") else {
        return;
    };
    // Nothing flows, and nothing is pumped: a pump has a check of its own.
    let still = |index: usize| {
        let segment = facts.plan.profile.segments.get(index);
        let pressed =
            |s: &Segment| s.gas.is_some() || s.pressure_mbar.is_some_and(|p| p >= PUMPED_MBAR);
        segment.is_some_and(pressed)
    };
    // Once a segment: the worst of the cases.
    let mut worst: Vec<(usize, f64)> = Vec::new();
    for case in told.all_cases() {
        for (point, &segment) in case.matter.offgas.iter().zip(&case.run.segment) {
            if point.flow.mol_s <= 0.0 {
                continue;
            }
            let share = if point.sweep_mol_s > 0.0 {
                point.flow.mol_s / point.sweep_mol_s
            } else if still(segment) && point.flow.l_min_25c() > STILL_L_MIN {
                f64::INFINITY
            } else {
                continue;
            };
            match worst.iter_mut().find(|(s, _)| *s == segment) {
                Some((_, most)) => *most = most.max(share),
                None => worst.push((segment, share)),
            }
        }
    }
    for (segment, share) in worst {
        let mut args = vec![("segment", Arg::Count(segment + 1))];
        let subjects = vec![told.segment(segment)];
        if share.is_finite() {
            report.hold(subjects, at_most(Fraction, share, 0), limit, args);
        } else {
            args.push(("value", text(phrases::any_share())));
            args.push(("limit", number(Fraction, limit.value, 0)));
            report.found_by(subjects, limit, args);
        }
    }
}

/// Off-gas into still gas that is told, L/min at 25 °C (assumed: what a bubbler still shows).
const STILL_L_MIN: f64 = 0.01;

/// Where the program holds a pressure below the air's with a pump: what binder and sweep leave it.
pub(super) fn pump_floor_with_vapour(facts: &Facts, report: &mut Report) {
    let Some(told) = facts.told(report) else {
        return;
    };
    told.needs_cases(report);
    told.needs_extraction(facts, report);
    told.needs_burnout(facts, report);
    let plan = &facts.plan.profile.segments;
    let set = |s: &Segment| {
        s.pressure_mbar
            .filter(|mbar| *mbar > 0.0 && *mbar < PUMPED_MBAR)
    };
    if told.made.prepared.inputs.pump.is_none() {
        for segment in plan.iter().filter(|s| set(s).is_some()) {
            let subjects = vec![Subject::Segment(segment.id), Subject::Furnace];
            report.missing(subjects, missing::pump_speed());
        }
        return;
    }
    let mut worst: Vec<(usize, f64, f64)> = Vec::new();
    for case in told.all_cases() {
        for (point, &segment) in case.matter.offgas.iter().zip(&case.run.segment) {
            let Some(set) = plan.get(segment).and_then(set) else {
                continue;
            };
            let floor = match point.floor_pa {
                Some(pa) => pa / 100.0,
                // More than the pump moves at any pressure of its table.
                None if point.flow.mol_s > 0.0 => f64::INFINITY,
                None => continue,
            };
            if floor <= set {
                continue;
            }
            match worst.iter_mut().find(|(s, ..)| *s == segment) {
                Some((_, most, _)) => *most = most.max(floor),
                None => worst.push((segment, floor, set)),
            }
        }
    }
    for (segment, floor, set) in worst {
        let value = if floor.is_finite() {
            number(Pressure, floor, 2)
        } else {
            text(missing::more_than_the_pump_moves())
        };
        let args = vec![
            ("segment", Arg::Count(segment + 1)),
            ("value", value),
            ("limit", number(Pressure, set, 2)),
        ];
        report.found(vec![told.segment(segment)], args);
    }
}

pub(super) fn trap_catch_predicted(facts: &Facts, report: &mut Report) {
    let Some(told) = facts.told(report) else {
        return;
    };
    let trap = &told.said.trap;
    let Some(capacity) = trap.capacity_g else {
        return;
    };
    told.needs_cases(report);
    let subjects = vec![Subject::Furnace];
    if capacity <= 0.0 {
        return report.missing(subjects, missing::trap_capacity());
    }
    let Some(before) = trap.before_g else {
        return report.missing(subjects, missing::trap_filling());
    };
    let Some(limit) = limit(facts, report, "trap-caution") else {
        return;
    };
    told.needs_extraction(facts, report);
    told.needs_burnout(facts, report);
    // What the binder on record comes to is a stop without a forecast, and more than a forecast
    // ever catches: below that, this is the better figure.
    let stop = facts.limit("trap-stop").zip(facts.trap_catch_g());
    if stop.is_some_and(|(stop, g)| (before + g) / capacity > stop.value) {
        return;
    }
    // Of what is known to burn out, at least.
    let caught = told.all_cases().map(|c| 1e3 * c.matter.trapped.caught_kg);
    let most = caught.fold(0.0, f64::max);
    let share = (before + most) / capacity;
    report.hold(subjects, at_most(Fraction, share, 0), limit, Vec::new());
}
