//! What the papers of shop, furnace and lots say against each other and against the run: cut-out,
//! survey, thermocouples in their slots, drying and baths.

use super::common::{check, furnace, limit, records, stop_when_regulated};
use super::safety::cut_out_c;
use super::survey::{in_use, thermocouple_limit};
use super::thermometry::kind_in_slot;
use crate::catalogue::Severity::{Caution, Note, Stop};
use crate::catalogue::{FirstStep, Kind, SensorJob, SurveyPoint, same_solvent, standards, when};
use crate::load::{Item, Lot, PartRecords};
use crate::part::MassState::{Brown, Dry, Presintered, Sintered};
use crate::profile::WaitFor;
use crate::review::facts::Facts;
use crate::review::facts_debind::liquid;
use crate::review::facts_limits::from_record;
use crate::review::facts_profile::Step;
use crate::review::finding::{Check, Family, Report, Subject, at_most, number, text};
use crate::text::findings::Arg;
use crate::text::{did_you_mean, limits, lots_records, missing, nearest, on_paper as say};
use crate::units::Quantity::{Temperature, TemperatureDifference, Time};
use jiff::civil::DateTime;
use std::collections::BTreeSet;

const SAFETY: Check = Check {
    family: Family::Safety,
    severity: Stop,
    safety: true,
    ..Check::BASE
};

/// The checks.
pub const CHECKS: &[Check] = &[
    Check {
        slug: "over-temperature-below-peak",
        run: over_temperature_below_peak,
        ..SAFETY
    },
    Check {
        slug: "over-temperature-above-furnace",
        run: over_temperature_above_furnace,
        ..SAFETY
    },
    Check {
        slug: "acid-not-purged",
        run: acid_not_purged,
        ..SAFETY
    },
    Check {
        slug: "dryer-not-ventilated",
        run: dryer_not_ventilated,
        ..SAFETY
    },
    records(
        Caution,
        "thermocouple-type-changed",
        &[],
        thermocouple_type_changed,
    ),
    records(Caution, "survey-above-furnace", &[], survey_above_furnace),
    stop_when_regulated(records(
        Caution,
        "survey-beyond-class",
        &[],
        survey_beyond_class,
    )),
    records(Caution, "survey-without-spread", &[], survey_without_spread),
    check(
        Family::Profile,
        Stop,
        "soak-waits-for-no-thermocouple",
        &[],
        soak_waits_for_no_thermocouple,
    ),
    check(
        Family::Profile,
        Note,
        "soak-leaves-thermocouples-out",
        &[],
        soak_leaves_thermocouples_out,
    ),
    records(
        Caution,
        "furnace-not-in-shop-state",
        &[],
        furnace_not_in_shop_state,
    ),
    check(
        Family::Debind,
        Caution,
        "lot-times-disagree",
        &[],
        lot_times_disagree,
    ),
    check(
        Family::Debind,
        Caution,
        "dried-very-long",
        &["dry-time-max"],
        dried_very_long,
    ),
    check(
        Family::Debind,
        Caution,
        "bath-of-other-solvent",
        &[],
        bath_of_other_solvent,
    ),
    check(
        Family::Debind,
        Note,
        "debinding-not-evaluated",
        &[],
        debinding_not_evaluated,
    ),
];

/// Below the peak by less than a kelvin is said in tenths.
fn kelvins(k: f64) -> Arg {
    number(TemperatureDifference, k, usize::from(k < 1.0))
}

fn over_temperature_below_peak(facts: &Facts, report: &mut Report) {
    let Ok(set_c) = cut_out_c(facts) else {
        return report.missing(vec![Subject::Furnace], missing::cut_out_setting());
    };
    let below_k = facts.peak_c - set_c;
    if below_k > 0.0 {
        let args = vec![
            ("set", number(Temperature, set_c, 0)),
            ("below", kelvins(below_k)),
            ("peak", number(Temperature, facts.peak_c, 0)),
        ];
        report.found(vec![Subject::Furnace], args);
    }
}

fn over_temperature_above_furnace(facts: &Facts, report: &mut Report) {
    let Some(furnace) = furnace(facts, report) else {
        return;
    };
    let Ok(set_c) = cut_out_c(facts) else {
        return report.missing(vec![Subject::Furnace], missing::cut_out_setting());
    };
    let name = limits::highest_setpoint();
    let limit = from_record(furnace, "max_c", name, furnace.max_c, "°C");
    let set = at_most(Temperature, set_c, 0);
    report.hold(vec![Subject::Furnace], set, &limit, vec![]);
}

/// Those of them that come out of a first step.
fn after_first_step<'a>(facts: &Facts<'a>) -> Vec<(&'a Lot, PartRecords<'a>)> {
    let mut lots = facts.placed_lots();
    lots.retain(|(lot, _)| matches!(lot.enters, Brown | Dry));
    lots
}

fn lot_args(lot: &Lot) -> Vec<(&'static str, Arg)> {
    vec![("lot", text(&lot.name))]
}

/// That nobody said so is a question of its own.
fn acid_not_purged(facts: &Facts, report: &mut Report) {
    facts.unknown_records(report);
    for (lot, records) in after_first_step(facts) {
        let catalytic = matches!(records.binder.first_step, FirstStep::Catalytic { .. });
        if catalytic && lot.acid_purged == Some(false) {
            report.found(vec![Subject::Lot(lot.id)], lot_args(lot));
        }
    }
    let catalytic = |step: &FirstStep| matches!(step, FirstStep::Catalytic { .. });
    facts.unknown_states(report, catalytic);
}

/// Where the shop says how much air its dryer moves, that is judged by itself.
fn dryer_not_ventilated(facts: &Facts, report: &mut Report) {
    facts.unknown_records(report);
    for (lot, records) in after_first_step(facts) {
        let Some((liquid, true)) = facts.wet_with(lot, records.binder) else {
            continue;
        };
        let air = facts.shop.and_then(|shop| shop.dryer_air_m3_h);
        match lot.dryer_ventilated {
            Some(false) => {
                let mut args = lot_args(lot);
                args.push(("liquid", text(liquid)));
                report.found(vec![Subject::Lot(lot.id)], args);
            }
            None if air.is_none() => report.missing(vec![Subject::Lot(lot.id)], say::dryer_air()),
            _ => {}
        }
    }
    facts.unknown_states(report, |step| matches!(liquid(step), Some((_, true))));
}

/// Checks go by what is in the slot; the record of the furnace says something else.
fn thermocouple_type_changed(facts: &Facts, report: &mut Report) {
    let Some(furnace) = furnace(facts, report) else {
        return;
    };
    for sensor in &furnace.sensors {
        let kind = kind_in_slot(facts, sensor);
        if !kind.eq_ignore_ascii_case(&sensor.kind) {
            let args = vec![
                ("sensor", text(&sensor.id)),
                ("kind", text(kind)),
                ("record", text(&sensor.kind)),
            ];
            let subject = Subject::Named(format!("thermocouple {}", sensor.id));
            report.found(vec![subject], args);
        }
    }
}

/// A stop where the peak is judged between a point that cannot be and its neighbour.
fn survey_above_furnace(facts: &Facts, report: &mut Report) {
    let Some(survey) = facts.state.and_then(|s| s.survey.as_ref()) else {
        return;
    };
    let Some(furnace) = furnace(facts, report) else {
        return;
    };
    let name = limits::highest_setpoint();
    let limit = from_record(furnace, "max_c", name, furnace.max_c, "°C");
    let (beyond, within): (Vec<f64>, Vec<f64>) = survey
        .points
        .iter()
        .map(|p| p.setpoint_c)
        .partition(|c| *c > furnace.max_c);
    let Some(most) = beyond.iter().copied().reduce(f64::max) else {
        return;
    };
    if within.iter().all(|c| *c < facts.peak_c) {
        report.rank(Stop, false);
    }
    let args = vec![
        ("count", Arg::Count(beyond.len())),
        ("celsius", number(Temperature, (most - 32.0) / 1.8, 0)),
    ];
    let most = at_most(Temperature, most, 0);
    report.hold(vec![Subject::Furnace], most, &limit, args);
}

/// That no class is stated is no missing datum.
fn survey_beyond_class(facts: &Facts, report: &mut Report) {
    let Some((state, survey)) = facts.state.and_then(|s| Some((s, s.survey.as_ref()?))) else {
        return;
    };
    let Some(class) = survey.class else {
        return;
    };
    let Some(k) = standards().uniformity_k(class) else {
        return report.missing(vec![Subject::Furnace], say::class_of_survey(class));
    };
    let mut found = |what: String| {
        let args = vec![
            ("class", text(class.to_string())),
            ("allowed", number(TemperatureDifference, k, 0)),
            ("what", text(&what)),
        ];
        report.found(vec![Subject::Furnace, Subject::Named(what)], args);
    };
    for point in &survey.points {
        if point.hottest_k > k || point.coldest_k < -k {
            let (coldest_k, hottest_k) = (point.coldest_k, point.hottest_k);
            found(say::extremes(point.setpoint_c, coldest_k, hottest_k));
        }
    }
    if let Some(spread_k) = state.spread_k.filter(|spread| *spread > k) {
        found(say::declared_spread(spread_k));
    }
}

/// No furnace is the same everywhere: nothing at all was read, or nothing was typed.
fn survey_without_spread(facts: &Facts, report: &mut Report) {
    let Some(survey) = facts.state.and_then(|s| s.survey.as_ref()) else {
        return report.missing(vec![Subject::Furnace], missing::survey());
    };
    let none = |p: &&SurveyPoint| p.hottest_k == 0.0 && p.coldest_k == 0.0;
    for point in survey.points.iter().filter(none) {
        let at = Subject::Named(say::surveyed_at(point.setpoint_c));
        let args = vec![("setpoint", number(Temperature, point.setpoint_c, 0))];
        report.found(vec![Subject::Furnace, at], args);
    }
}

/// Segments that wait for load thermocouples.
fn load_waits<'a>(facts: &Facts<'a>) -> Vec<(Step<'a>, WaitFor)> {
    let steps = facts.steps().into_iter();
    let waits = steps.filter_map(|s| Some((s, s.segment.wait_on?.on)));
    waits.filter(|(_, on)| *on != WaitFor::Control).collect()
}

fn soak_waits_for_no_thermocouple(facts: &Facts, report: &mut Report) {
    let slots = facts.furnace.map_or(&[][..], |f| &f.sensors);
    let known = |id: &str| {
        let load = slots.iter().filter(|s| s.job == SensorJob::Load);
        facts.furnace.is_none() || load.into_iter().any(|s| s.id == id)
    };
    let mut items = facts.plan.placements().map(|(_, p)| &p.item);
    let waits = load_waits(facts);
    // An empty load is another check's. A tip in a slot that the furnace does not have tells nothing.
    if waits.is_empty() || facts.placed.is_empty() {
        return;
    }
    if items.any(|item| matches!(item, Item::Sensor { sensor, .. } if known(sensor))) {
        if facts.furnace.is_none() {
            report.missing(vec![Subject::Furnace], missing::furnace_record());
        }
        return;
    }
    for (step, _) in waits {
        let args = vec![("segment", Arg::Count(step.index + 1))];
        report.found(vec![step.subject()], args);
    }
}

/// Only those count that go up to what the segment waits for.
fn soak_leaves_thermocouples_out(facts: &Facts, report: &mut Report) {
    let mut waits = load_waits(facts);
    waits.retain(|(_, on)| *on == WaitFor::AllLoad);
    if waits.is_empty() {
        return;
    }
    let Some(furnace) = furnace(facts, report) else {
        return;
    };
    let placed: BTreeSet<&str> = in_use(facts, furnace)
        .iter()
        .map(|s| s.id.as_str())
        .collect();
    for (step, _) in waits {
        let load = furnace.sensors.iter().filter(|s| s.job == SensorJob::Load);
        let able = load.filter(|s| {
            let limit = facts.limit(&thermocouple_limit(kind_in_slot(facts, s)));
            limit.is_none_or(|l| l.value >= step.segment.to_c)
        });
        let (there, left): (Vec<&str>, Vec<&str>) = able
            .map(|s| s.id.as_str())
            .partition(|id| placed.contains(id));
        // With none at all another check speaks.
        if !there.is_empty() && !left.is_empty() {
            let args = vec![
                ("segment", Arg::Count(step.index + 1)),
                ("there", text(there.join(", "))),
                ("left", text(left.join(", "))),
            ];
            report.found(vec![step.subject()], args);
        }
    }
}

/// Where the state knows no furnace at all, each check says what it lacks.
fn furnace_not_in_shop_state(facts: &Facts, report: &mut Report) {
    let Some(shop) = facts.shop else {
        return report.missing(vec![Subject::Load], missing::shop_state());
    };
    if facts.state.is_some() || shop.furnaces.is_empty() {
        return;
    }
    let wanted = &facts.plan.load.furnace;
    let known = shop.furnaces.iter().map(|s| s.furnace.as_str());
    let args = vec![
        ("kind", text(Kind::Furnace.word())),
        ("furnace", text(wanted)),
        ("candidates", text(did_you_mean(&nearest(wanted, known, 3)))),
    ];
    report.found(vec![Subject::Furnace], args);
}

fn moment(at: Option<&String>) -> Option<DateTime> {
    at.and_then(|at| when::moment(at))
}

/// Times that do not fit between the moments noted around them; moments in the wrong order are
/// another check's.
fn lot_times_disagree(facts: &Facts, report: &mut Report) {
    facts.unknown_records(report);
    let start = facts.start_moment();
    for (lot, records) in after_first_step(facts) {
        let subjects = || vec![Subject::Lot(lot.id)];
        let bath = lot.bath.as_ref();
        let ended = bath.and_then(|b| moment(b.ended.as_ref()));
        let mut fit = |what: &str, min: f64, from: DateTime, to: DateTime, between: String| {
            let free_min = when::hours_between(from, to) * 60.0;
            if free_min >= 0.0 && min > free_min {
                let mut args = lot_args(lot);
                args.extend([
                    ("what", text(what)),
                    ("time", number(Time, min, 0)),
                    ("between", text(between)),
                    ("free", number(Time, free_min, 0)),
                ]);
                report.found(subjects(), args);
            }
        };
        let in_bath = bath.and_then(|b| b.minutes);
        if let (Some(min), Some(from), Some(to)) = (in_bath, moment(lot.green_at.as_ref()), ended) {
            fit(say::in_bath(), min, from, to, say::green_to_end_of_bath());
        }
        let wet = liquid(&records.binder.first_step).is_some();
        let Some(min) = lot.dried_min.filter(|_| wet) else {
            continue;
        };
        let Some(from) = ended else {
            report.missing(subjects(), lots_records::end_of_bath());
            continue;
        };
        let weighed = moment(lot.dry_at.as_ref());
        match (weighed, start) {
            (Some(to), _) => fit(say::in_dryer(), min, from, to, say::bath_to_weighing()),
            (None, Some(to)) => fit(say::in_dryer(), min, from, to, say::bath_to_start()),
            (None, None) => report.missing(subjects(), lots_records::time_of_start()),
        }
    }
}

fn dried_very_long(facts: &Facts, report: &mut Report) {
    for (lot, _) in after_first_step(facts) {
        let Some(min) = lot.dried_min else {
            continue;
        };
        let Some(limit) = limit(facts, report, "dry-time-max") else {
            return;
        };
        let subjects = vec![Subject::Lot(lot.id)];
        report.hold(subjects, at_most(Time, min, 0), limit, lot_args(lot));
    }
}

/// A bath whose solvent nobody named is no missing datum.
fn bath_of_other_solvent(facts: &Facts, report: &mut Report) {
    facts.unknown_records(report);
    for (lot, records) in after_first_step(facts) {
        let used = lot.bath.as_ref().and_then(|b| b.solvent.as_deref());
        let used = used.filter(|u| !u.trim().is_empty());
        let Some((used, (usual, _))) = used.zip(liquid(&records.binder.first_step)) else {
            continue;
        };
        if !same_solvent(used, usual) {
            let mut args = lot_args(lot);
            args.extend([
                ("used", text(used)),
                ("usual", text(usual)),
                ("binder", text(&records.binder.name)),
            ]);
            report.found(vec![Subject::Lot(lot.id)], args);
        }
    }
    facts.unknown_states(report, |step| liquid(step).is_some());
}

fn debinding_not_evaluated(facts: &Facts, report: &mut Report) {
    facts.unknown_records(report);
    for (lot, _) in facts.placed_lots() {
        if matches!(lot.enters, Presintered | Sintered) {
            let mut args = lot_args(lot);
            args.push(("state", text(lot.enters.word())));
            report.found(vec![Subject::Lot(lot.id)], args);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::same_solvent;

    #[test]
    fn solvents_are_told_apart_by_whole_words() {
        assert!(same_solvent("hexane", "n-hexane"));
        assert!(same_solvent("n-Hexane, technical", "n-hexane"));
        assert!(!same_solvent("cyclohexane", "n-hexane"));
        assert!(!same_solvent("heptane", "n-hexane"));
    }
}
