//! What is on record of the lots: waiting time, balance, dates, factors, and the middle of the parts
//! after the bath.

use super::common::{check, on_when_regulated};
use crate::catalogue::Severity::{self, Caution, Note};
use crate::catalogue::{FirstStep, LimitContext, when};
use crate::forecast::plan::by_bath;
use crate::load::{Lot, PartRecords};
use crate::part::MassState::{Brown, Dry, Green};
use crate::review::facts::Facts;
use crate::review::facts_debind::has_first_step;
use crate::review::facts_limits::{as_share, from_record, narrower, scaled};
use crate::review::finding::{Check, Family, Report, Sense, Subject, at_least, at_most, text};
use crate::text::{limits, lots_records as say, missing};
use crate::units::Quantity::{Fraction, Time};

const fn debind(
    severity: Severity,
    slug: &'static str,
    limits: &'static [&'static str],
    run: fn(&Facts, &mut Report),
) -> Check {
    check(Family::Debind, severity, slug, limits, run)
}

/// The checks.
pub const CHECKS: &[Check] = &[
    debind(
        Note,
        "brown-waited-too-long",
        &["brown-wait-max"],
        brown_waited_too_long,
    ),
    debind(
        Caution,
        "extraction-centre-low",
        &["extraction-stop"],
        extraction_centre_low,
    ),
    debind(
        Caution,
        "bath-and-weighing-disagree",
        &["extraction-difference"],
        bath_and_weighing_disagree,
    ),
    check(
        Family::Mixing,
        Caution,
        "lots-oversize-differ",
        &["lots-shrinkage-difference"],
        lots_oversize_differ,
    ),
    on_when_regulated(check(
        Family::Records,
        Caution,
        "balance-out-of-date",
        &[],
        balance_out_of_date,
    )),
    check(
        Family::Records,
        Caution,
        "past-its-date",
        &[],
        past_its_date,
    ),
];

/// Lots that went through a first step and bring binder; says of which parts that is not known.
fn after_first_step<'a>(facts: &Facts<'a>, report: &mut Report) -> Vec<(&'a Lot, PartRecords<'a>)> {
    facts.unknown_records(report);
    let mut lots = facts.placed_lots();
    lots.retain(|(lot, records)| {
        matches!(lot.enters, Brown | Dry) && has_first_step(records.binder)
    });
    lots
}

fn brown_waited_too_long(facts: &Facts, report: &mut Report) {
    let start = facts.start_moment();
    for (lot, records) in after_first_step(facts, report) {
        let subjects = vec![Subject::Lot(lot.id)];
        let ended = lot.bath.as_ref().and_then(|b| b.ended.as_deref());
        let Some(ended) = ended.and_then(when::moment) else {
            report.missing(subjects, say::end_of_bath());
            continue;
        };
        let Some(start) = start else {
            report.missing(subjects, say::time_of_start());
            continue;
        };
        let hours = when::hours_between(ended, start);
        if hours < 0.0 {
            report.missing(subjects, say::bath_after_start());
            continue;
        }
        match facts.limit_for_lot("brown-wait-max", &records, lot) {
            Some(limit) => report.hold(
                subjects,
                at_most(Time, hours * 60.0, 0),
                &scaled(limit, 60.0, "min"),
                vec![("lot", text(&lot.name))],
            ),
            None => report.missing(subjects, missing::limit("brown-wait-max")),
        }
    }
}

/// What is out of the middle of the parts, by the diffusion model (Crank's slab with the governing
/// section, `model.md` section 2), against the share below which the core counts as closed.
fn extraction_centre_low(facts: &Facts, report: &mut Report) {
    for (lot, records) in after_first_step(facts, report) {
        let subjects = vec![Subject::Lot(lot.id)];
        // A front, not diffusion.
        let step = &records.binder.first_step;
        if !matches!(step, FirstStep::Solvent { .. } | FirstStep::Water { .. }) {
            continue;
        }
        let Some(record) = &lot.bath else {
            report.missing(subjects, say::bath());
            continue;
        };
        let (Some(_), Some(_)) = (record.temp_c, record.minutes) else {
            report.missing(subjects, say::bath_time_and_temperature());
            continue;
        };
        let (Some(_), Some(_)) = (record.wax_g_l, record.on_tray) else {
            report.missing(subjects, say::wax_and_tray());
            continue;
        };
        let part = records.part;
        if part.green_section_mm(records.feedstock.oversize).is_none() {
            report.missing(subjects, missing::section());
            continue;
        }
        let own = records.feedstock.extraction_floor.map(|floor| {
            let name = limits::extraction_floor();
            from_record(records.feedstock, "extraction_floor", name, floor, "")
        });
        let listed = facts.limit_for_lot("extraction-stop", &records, lot);
        let Some(limit) = narrower(listed, own, Sense::AtLeast) else {
            report.missing(subjects, missing::limit("extraction-stop"));
            continue;
        };
        let Some(left) = by_bath(&records, lot) else {
            continue;
        };
        let args = vec![
            ("lot", text(&lot.name)),
            ("mean", text(say::share(left.out))),
        ];
        let centre = at_least(Fraction, left.centre_out, 0);
        report.hold(subjects, centre, &limit, args);
    }
}

/// What the scale says is out against what the bath can have taken out: one of the two records is
/// wrong where they are far apart.
fn bath_and_weighing_disagree(facts: &Facts, report: &mut Report) {
    for (lot, records) in after_first_step(facts, report) {
        let subjects = vec![Subject::Lot(lot.id)];
        let Some(weighed) = records.measured_share(lot) else {
            report.missing(subjects, missing::green_and_dry());
            continue;
        };
        let Some(bath) = by_bath(&records, lot) else {
            report.missing(subjects, say::bath_to_compare());
            continue;
        };
        let id = "extraction-difference";
        let Some(limit) = facts.limit_for_lot(id, &records, lot) else {
            report.missing(subjects, missing::limit(id));
            continue;
        };
        let args = vec![
            ("lot", text(&lot.name)),
            ("weighed", text(say::share(weighed))),
            ("bath", text(say::share(bath.out))),
        ];
        let apart = at_most(Fraction, (weighed - bath.out).abs(), 0);
        report.hold(subjects, apart, &as_share(limit), args);
    }
}

/// Shrinkage of two lots of one feedstock, axis by axis, from their oversize factors.
fn lots_oversize_differ(facts: &Facts, report: &mut Report) {
    facts.unknown_records(report);
    let lots = facts.placed_lots();
    for (i, (one, records)) in lots.iter().enumerate() {
        for (other, theirs) in &lots[i + 1..] {
            if records.feedstock.id != theirs.feedstock.id {
                continue;
            }
            let subjects = vec![Subject::Lot(one.id), Subject::Lot(other.id)];
            let (Some(a), Some(b)) = (one.oversize, other.oversize) else {
                report.missing(subjects, say::oversize_of_both());
                continue;
            };
            let shrinks = |factor: f64| 1.0 - 1.0 / factor;
            let apart = a
                .iter()
                .zip(&b)
                .map(|(a, b)| (shrinks(*a) - shrinks(*b)).abs());
            let apart = apart.fold(0.0, f64::max);
            let id = "lots-shrinkage-difference";
            let both = [one, other].map(|lot| LimitContext {
                customer: lot.customer.clone(),
                feedstock: Some(records.feedstock.id.clone()),
                alloy: Some(records.alloy.id.clone()),
                furnace: Some(facts.plan.load.furnace.clone()),
            });
            match facts.strictest(id, Sense::AtMost, both.iter()) {
                Some(limit) => report.hold(
                    subjects,
                    at_most(Fraction, apart, 2),
                    &as_share(limit),
                    vec![("one", text(&one.name)), ("other", text(&other.name))],
                ),
                None => report.missing(subjects, missing::limit(id)),
            }
        }
    }
}

fn balance_out_of_date(facts: &Facts, report: &mut Report) {
    for (lot, _) in facts.placed_lots() {
        if lot.green_g.is_none() && lot.dry_g.is_none() {
            continue;
        }
        let subjects = vec![Subject::Lot(lot.id)];
        let Some(named) = &lot.balance else {
            report.missing(subjects, say::balance());
            continue;
        };
        let balances = facts.shop.map_or(&[][..], |shop| &shop.balances);
        let Some(record) = balances.iter().find(|b| b.id == *named) else {
            report.missing(subjects, say::record_of_balance(named));
            continue;
        };
        // What counts is the day on which it was used; the start where that is not known.
        let used = lot.dry_at.as_deref().and_then(when::moment);
        let used = used.map(|m| m.date());
        let start = facts.start_day();
        let (Some(day), Some(due)) = (used.or(start), when::day(&record.due)) else {
            report.missing(subjects, missing::planned_start());
            continue;
        };
        if due < day {
            report.found(
                subjects,
                vec![
                    ("lot", text(&lot.name)),
                    ("balance", text(named)),
                    ("due", text(&record.due)),
                ],
            );
        }
    }
}

/// A shop that writes no such dates is not reminded of it, unless its work is regulated.
fn past_its_date(facts: &Facts, report: &mut Report) {
    let start = facts.start_day();
    for (lot, records) in facts.placed_lots() {
        let subjects = || vec![Subject::Lot(lot.id)];
        let mut hold = |what: &str, until: Option<&String>, used: Option<jiff::civil::Date>| {
            let Some(until) = until.filter(|u| when::day(u).is_some()) else {
                if until.is_some() || facts.regulated() {
                    report.missing(subjects(), say::use_by(what));
                }
                return;
            };
            let Some(used) = used else {
                return report.missing(subjects(), say::day_of_use(what));
            };
            if when::day(until).is_some_and(|last| last < used) {
                let args = vec![
                    ("lot", text(&lot.name)),
                    ("what", text(what)),
                    ("until", text(until)),
                ];
                report.found(subjects(), args);
            }
        };
        hold(say::feedstock(), lot.feedstock_expires.as_ref(), start);
        let wet = matches!(records.binder.first_step, FirstStep::Solvent { .. });
        if wet && lot.enters != Green {
            let bath = lot.bath.as_ref();
            let ended = bath.and_then(|b| b.ended.as_deref()).and_then(when::moment);
            let until = bath.and_then(|b| b.expires.as_ref());
            hold(say::solvent(), until, ended.map(|m| m.date()));
        }
    }
}
