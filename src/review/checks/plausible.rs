//! Figures that were typed and cannot be so, or that the equipment does not stand: times out of
//! order, a bath hotter than its wax bears, a pressure above the furnace's, records of days to come.

use super::common::{check, furnace, records, stop_when_regulated};
use crate::catalogue::Severity::{Caution, Stop};
use crate::catalogue::{FirstStep, Limit, when};
use crate::forecast::solvent::{dryer_air_m3, solvent_held_kg};
use crate::forecast::standing::ATMOSPHERE_MBAR;
use crate::load::{Lot, PartRecords};
use crate::part::MassState::{Brown, Dry, Green};
use crate::profile::EventKind;
use crate::review::facts::Facts;
use crate::review::facts_limits::from_record;
use crate::review::finding::{Check, Family, Report, Subject, at_most, number, text};
use crate::text::findings::Arg;
use crate::text::{limits, missing, plausible as say, unmeasured as lacks};
use crate::units::Quantity::{Fraction, Pressure, Temperature};

/// What an uncontrolled gas and the weather may add, mbar: a valve to the air.
const WEATHER_MBAR: f64 = 100.0;

/// The checks.
pub const CHECKS: &[Check] = &[
    check(
        Family::Debind,
        Caution,
        "lot-record-disagrees",
        &[],
        lot_record_disagrees,
    ),
    check(
        Family::Debind,
        Caution,
        "bath-too-hot",
        &["bath-solvent-max", "bath-water-max"],
        bath_too_hot,
    ),
    check(
        Family::Debind,
        Caution,
        "dryer-too-hot",
        &["dryer-max"],
        dryer_too_hot,
    ),
    Check {
        safety: true,
        ..check(
            Family::Debind,
            Stop,
            "dryer-air-short",
            &["dryer-flammable-share"],
            dryer_air_short,
        )
    },
    Check {
        safety: true,
        ..check(
            Family::Atmosphere,
            Stop,
            "pressure-above-furnace",
            &[],
            pressure_above_furnace,
        )
    },
    stop_when_regulated(records(
        Caution,
        "record-of-days-to-come",
        &[],
        record_of_days_to_come,
    )),
];

/// What is wrong within the record of one lot.
fn disagreement(lot: &Lot, start: Option<&str>) -> Option<String> {
    let ended = lot.bath.as_ref().and_then(|b| b.ended.as_deref());
    let times = [
        (say::green_weighed(), lot.green_at.as_deref()),
        (say::bath_ended(), ended),
        (say::weighed_before(), lot.previous_dry_at.as_deref()),
        (say::weighed_dry(), lot.dry_at.as_deref()),
        (say::start(), start),
    ];
    let known: Vec<_> = times
        .iter()
        .filter_map(|(what, at)| Some((*what, (*at)?, when::moment((*at)?)?)))
        .collect();
    for pair in known.windows(2) {
        if let [(earlier, at, a), (later, then, b)] = pair
            && a > b
        {
            return Some(say::out_of_order(earlier, at, later, then));
        }
    }
    let weighed = lot.dry_g.is_some() || lot.previous_dry_g.is_some();
    match lot.enters {
        Green if ended.is_some() => Some(say::green_with_bath()),
        Green if weighed => Some(say::green_weighed_dry()),
        Green | Brown | Dry => None,
        _ if weighed || ended.is_some() => Some(say::later_with_weighings(lot.enters.word())),
        _ => None,
    }
}

fn lot_record_disagrees(facts: &Facts, report: &mut Report) {
    facts.unknown_records(report);
    let plan = facts.plan;
    let start = plan
        .planned_start
        .as_deref()
        .zip(plan.planned_start_time.as_deref())
        .map(|(day, time)| format!("{day} {time}"));
    for (lot, _) in facts.placed_lots() {
        if let Some(how) = disagreement(lot, start.as_deref()) {
            let args = vec![("lot", text(&lot.name)), ("how", text(how))];
            report.found(vec![Subject::Lot(lot.id)], args);
        }
    }
}

fn hold_lot(
    facts: &Facts,
    report: &mut Report,
    (lot, records): (&Lot, &PartRecords),
    id: &str,
    c: f64,
) {
    let subjects = vec![Subject::Lot(lot.id)];
    match facts.limit_for_lot(id, records, lot) {
        Some(limit) => report.hold(
            subjects,
            at_most(Temperature, c, 0),
            limit,
            vec![("lot", text(&lot.name))],
        ),
        None => report.missing(subjects, missing::limit(id)),
    }
}

/// Whether a first step leaves parts wet.
fn is_wet(first_step: &FirstStep) -> bool {
    matches!(
        first_step,
        FirstStep::Solvent { .. } | FirstStep::Water { .. }
    )
}

fn bath_too_hot(facts: &Facts, report: &mut Report) {
    facts.unknown_records(report);
    facts.unknown_states(report, is_wet);
    for (lot, records) in facts.placed_lots() {
        let id = match records.binder.first_step {
            FirstStep::Solvent { .. } => "bath-solvent-max",
            FirstStep::Water { .. } => "bath-water-max",
            FirstStep::Catalytic { .. } | FirstStep::ThermalOnly => continue,
        };
        match lot.bath.as_ref().and_then(|b| b.temp_c) {
            Some(c) => hold_lot(facts, report, (lot, &records), id, c),
            None if matches!(lot.enters, Brown | Dry) => {
                report.missing(vec![Subject::Lot(lot.id)], lacks::bath_temperature());
            }
            None => {}
        }
    }
}

fn dryer_too_hot(facts: &Facts, report: &mut Report) {
    facts.unknown_records(report);
    facts.unknown_states(report, is_wet);
    for (lot, records) in facts.placed_lots() {
        match lot.dryer_c {
            Some(c) => hold_lot(facts, report, (lot, &records), "dryer-max", c),
            None if lot.enters == Dry && is_wet(&records.binder.first_step) => {
                report.missing(vec![Subject::Lot(lot.id)], lacks::dryer_temperature());
            }
            None => {}
        }
    }
}

/// Above the air's pressure a furnace is a pressure vessel, which most are not.
fn pressure_above_furnace(facts: &Facts, report: &mut Report) {
    let highest: Option<Limit> = match furnace(facts, report) {
        None => return,
        Some(f) => f.pressure_max_mbar.map(|most| {
            let name = limits::pressure_max();
            from_record(f, "pressure_max_mbar", name, most, "mbar")
        }),
    };
    for step in facts.steps() {
        let filled = step.segment.events.iter().filter_map(|e| match e.kind {
            EventKind::Backfill { to_mbar, .. } => Some(to_mbar),
            _ => None,
        });
        let asked = step.segment.pressure_mbar.into_iter().chain(filled);
        for mbar in asked.filter(|p| *p > ATMOSPHERE_MBAR) {
            let subjects = vec![step.subject()];
            match &highest {
                Some(limit) => {
                    let args = vec![("segment", Arg::Count(step.index + 1))];
                    report.hold(subjects, at_most(Pressure, mbar, 0), limit, args);
                }
                None if mbar > ATMOSPHERE_MBAR + WEATHER_MBAR => {
                    report.missing(subjects, missing::pressure_max());
                }
                None => {}
            }
        }
    }
}

/// A survey of next week says nothing about today.
fn record_of_days_to_come(facts: &Facts, report: &mut Report) {
    let start = facts.start_day();
    let Some(start) = start else {
        return report.missing(vec![Subject::Load], missing::planned_start());
    };
    let Some(state) = facts.state else {
        return report.missing(vec![Subject::Furnace], missing::furnace_state());
    };
    let mut dated = vec![
        (say::survey(), state.survey.as_ref().map(|s| &s.date)),
        (say::trap_emptied(), state.trap_emptied.as_ref()),
        (say::cleaned(), state.cleaned_on.as_ref()),
        (say::repaired(), state.repaired_on.as_ref()),
    ];
    dated.extend(state.calibrations.iter().map(|c| {
        let what = say::calibration(c.kind.word(), &c.what);
        (what, c.done.as_ref())
    }));
    let sensors = state.sensors.iter();
    dated.extend(sensors.map(|s| (say::thermocouple(&s.slot), s.installed.as_ref())));
    let used = |id: &str| {
        facts
            .plan
            .lots
            .iter()
            .any(|l| l.balance.as_deref() == Some(id))
    };
    let balances = facts.shop.into_iter().flat_map(|s| &s.balances);
    let balances = balances.filter(|b| used(&b.id));
    dated.extend(balances.map(|b| (say::balance(&b.id), b.done.as_ref())));
    for (what, day) in dated {
        let later = |day: &&String| when::day(day).is_some_and(|day| day > start);
        let Some(day) = day.filter(later) else {
            continue;
        };
        let args = vec![("what", text(&what)), ("day", text(day))];
        report.found(vec![Subject::Furnace, Subject::Named(what)], args);
    }
}

/// Vapour of all that dries from a lot in the air that the dryer moves meanwhile, as if it came off
/// evenly: at first it comes faster.
fn dryer_air_short(facts: &Facts, report: &mut Report) {
    facts.unknown_records(report);
    facts.unknown_states(report, |first_step| {
        matches!(
            first_step,
            FirstStep::Solvent {
                lower_flammable_limit_pct: Some(_),
                ..
            }
        )
    });
    for (lot, records) in facts.placed_lots() {
        let FirstStep::Solvent {
            solvent_density_g_cm3,
            lower_flammable_limit_pct: Some(lower_pct),
            solvent_molar_g_mol,
            ..
        } = records.binder.first_step
        else {
            continue;
        };
        if !matches!(lot.enters, Brown | Dry) {
            continue;
        }
        let subjects = vec![Subject::Lot(lot.id)];
        let Some(share) = facts.limit_for_lot("dryer-flammable-share", &records, lot) else {
            report.missing(subjects, missing::limit("dryer-flammable-share"));
            continue;
        };
        let Some((green, dry)) = lot.green_g.zip(lot.dry_g) else {
            report.missing(subjects, missing::green_and_dry());
            continue;
        };
        let Some(minutes) = lot.dried_min else {
            report.missing(subjects, missing::dryer_time());
            continue;
        };
        let Some(air_m3_h) = facts.shop.and_then(|s| s.dryer_air_m3_h) else {
            report.missing(subjects, missing::dryer_air());
            continue;
        };
        let Some(molar) = solvent_molar_g_mol else {
            report.missing(subjects, missing::solvent_figures());
            continue;
        };
        // The pores that what is out has left behind are full of solvent.
        let first = records.binder.components.iter().filter(|c| c.first_step);
        let (mass, volume) = first.fold((0.0, 0.0), |(m, v), c| {
            (m + c.mass_share, v + c.mass_share / c.density_g_cm3)
        });
        let opened_m3 = (green - dry) * volume / mass * 1e-6;
        let held_kg = solvent_held_kg(opened_m3, solvent_density_g_cm3 * 1e3);
        let need_m3 = dryer_air_m3(held_kg, molar * 1e-3, lower_pct / 100.0, share.value);
        let moved_m3 = air_m3_h * minutes / 60.0;
        if !need_m3.is_finite() {
            report.missing(subjects, missing::solvent_figures());
        } else if moved_m3 < need_m3 {
            let args = vec![
                ("lot", text(&lot.name)),
                ("need", text(say::air(need_m3))),
                ("moved", text(say::air(moved_m3))),
                ("share", number(Fraction, share.value, 0)),
            ];
            report.found_by(subjects, share, args);
        }
    }
}
