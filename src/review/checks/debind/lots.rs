//! Readiness of the lots: first step, extraction and drying.

use crate::catalogue::{Limit, when};
use crate::load::{Bath, Lot, PartRecords};
use crate::part::MassState::{Brown, Dry, Green};
use crate::review::facts::Facts;
use crate::review::facts_debind::has_first_step;
use crate::review::facts_limits::{as_share, from_record, narrower};
use crate::review::finding::{Report, Sense, Subject, at_least, at_most, number, text};
use crate::text::findings::Arg;
use crate::text::{limits, missing, on_paper, phrases};
use crate::units::Quantity::{Fraction, Time};

/// A lot in the load that has to have been through a first step.
struct FirstStepLot<'a> {
    lot: &'a Lot,
    records: PartRecords<'a>,
}

/// Lots in the load whose binder has a first step and that bring binder.
fn first_step_lots<'a>(facts: &Facts<'a>, report: &mut Report) -> Vec<FirstStepLot<'a>> {
    facts.unknown_records(report);
    let pieces = facts.pieces();
    for one in &pieces {
        let routed = one.records.is_some_and(|r| has_first_step(r.binder));
        if routed && one.lot.is_none() && !one.coupons {
            report.missing(vec![Subject::Part(one.part.id)], missing::state_on_entry());
        }
    }
    let lots = pieces.iter().filter(|p| p.bring_binder()).filter_map(|p| {
        Some(FirstStepLot {
            lot: p.lot?,
            records: p.records?,
        })
    });
    lots.filter(|l| has_first_step(l.records.binder)).collect()
}

fn lot_args(lot: &Lot) -> Vec<(&'static str, Arg)> {
    vec![("lot", text(&lot.name))]
}

pub(super) fn first_step_missing(facts: &Facts, report: &mut Report) {
    let lots = first_step_lots(facts, report);
    for FirstStepLot { lot, .. } in lots.iter().filter(|l| l.lot.enters == Green) {
        report.found(vec![Subject::Lot(lot.id)], lot_args(lot));
    }
}

/// What the weighings say of each lot that went through the first step.
fn extractions<'a>(facts: &Facts<'a>, report: &mut Report) -> Vec<(FirstStepLot<'a>, f64)> {
    let mut found = Vec::new();
    for lot in first_step_lots(facts, report) {
        if lot.lot.enters == Green {
            continue;
        }
        match lot.records.measured_share(lot.lot) {
            Some(share) => found.push((lot, share)),
            None => report.missing(vec![Subject::Lot(lot.lot.id)], missing::green_and_dry()),
        }
    }
    found
}

fn extraction_floor(facts: &Facts, lot: &FirstStepLot) -> Option<Limit> {
    let feedstock = lot.records.feedstock;
    let own = feedstock.extraction_floor.map(|floor| {
        let name = limits::extraction_floor();
        from_record(feedstock, "extraction_floor", name, floor, "")
    });
    let listed = facts.limit_for_lot("extraction-stop", &lot.records, lot.lot);
    narrower(listed, own, Sense::AtLeast)
}

pub(super) fn extraction_too_low(facts: &Facts, report: &mut Report) {
    for (lot, share) in extractions(facts, report) {
        let subjects = vec![Subject::Lot(lot.lot.id)];
        match extraction_floor(facts, &lot) {
            Some(limit) => {
                let note = if share < 0.0 {
                    on_paper::dry_above_green()
                } else {
                    ""
                };
                let mut args = lot_args(lot.lot);
                args.push(("note", text(note)));
                report.hold(subjects, at_least(Fraction, share, 1), &limit, args);
            }
            None => report.missing(subjects, missing::limit("extraction-stop")),
        }
    }
}

pub(super) fn extraction_low(facts: &Facts, report: &mut Report) {
    for (lot, share) in extractions(facts, report) {
        let subjects = vec![Subject::Lot(lot.lot.id)];
        if extraction_floor(facts, &lot).is_some_and(|floor| share < floor.value) {
            continue;
        }
        match facts.limit_for_lot("extraction-caution", &lot.records, lot.lot) {
            Some(limit) => report.hold(
                subjects,
                at_least(Fraction, share, 1),
                limit,
                lot_args(lot.lot),
            ),
            None => report.missing(subjects, missing::limit("extraction-caution")),
        }
    }
}

pub(super) fn extraction_not_weighed(facts: &Facts, report: &mut Report) {
    for FirstStepLot { lot, records } in first_step_lots(facts, report) {
        if lot.enters != Green && records.measured_share(lot).is_none() {
            report.found(vec![Subject::Lot(lot.id)], lot_args(lot));
        }
    }
}

pub(super) fn extraction_above_binder(facts: &Facts, report: &mut Report) {
    for (lot, share) in extractions(facts, report) {
        let subjects = vec![Subject::Lot(lot.lot.id)];
        match facts.limit_for_lot("extraction-most", &lot.records, lot.lot) {
            Some(limit) => report.hold(
                subjects,
                at_most(Fraction, share, 1),
                limit,
                lot_args(lot.lot),
            ),
            None => report.missing(subjects, missing::limit("extraction-most")),
        }
    }
}

/// Lots whose wet first step may have left liquid in them; `flammable` picks those whose liquid
/// burns, which the safety family asks for.
pub(in crate::review::checks) fn not_dry(facts: &Facts, report: &mut Report, flammable: bool) {
    super::without_lot::not_known_dry(facts, report, flammable);
    for lot in wet_lots(facts, report) {
        let Some((liquid, burns)) = facts.wet_with(lot.lot, lot.records.binder) else {
            continue;
        };
        if burns != flammable {
            continue;
        }
        let subjects = || vec![Subject::Lot(lot.lot.id)];
        let args = |how: &str| {
            let mut args = lot_args(lot.lot);
            args.extend([("liquid", text(&liquid)), ("how", text(how))]);
            args
        };
        match lot.lot.enters {
            Brown => report.found(subjects(), args(phrases::brown_not_dried())),
            Dry => dry_enough(facts, report, (&lot, flammable), subjects, args),
            // Whatever else it is, it has been in a bath.
            _ if in_a_bath(lot.lot) => {
                dry_enough(facts, report, (&lot, flammable), subjects, args);
            }
            _ => {}
        }
    }
}

fn dry_enough(
    facts: &Facts,
    report: &mut Report,
    (lot, flammable): (&FirstStepLot, bool),
    subjects: impl Fn() -> Vec<Subject>,
    args: impl Fn(&str) -> Vec<(&'static str, Arg)>,
) {
    let limit = |id| facts.limit_for_lot(id, &lot.records, lot.lot);
    let weighed = lot.lot.previous_dry_g.is_some() && lot.lot.dry_g.is_some();
    match (lot.lot.dried_min.is_some(), weighed) {
        _ if !flammable => {}
        (false, false) => {
            return report.found(subjects(), args(on_paper::no_proof_of_dryness()));
        }
        // Half a proof is none where vapour burns.
        (false, true) => report.found(subjects(), args(on_paper::no_time_in_dryer())),
        (true, false) => report.found(subjects(), args(on_paper::no_two_weighings())),
        (true, true) => {}
    }
    if let Some(how) = refuted(facts, lot.lot) {
        report.found(subjects(), args(&how));
    }
    weighed_apart(
        report,
        lot.lot,
        limit("weighings-apart-min"),
        &subjects,
        &args,
    );
    let change = match (lot.lot.previous_dry_g, lot.lot.dry_g) {
        (Some(before), Some(after)) if after > 0.0 => Some((before - after).abs() / after),
        _ => None,
    };
    match (change, limit("dry-mass-change").map(as_share)) {
        (None, _) => report.missing(subjects(), missing::dryer_weighings()),
        (_, None) => report.missing(subjects(), missing::limit("dry-mass-change")),
        (Some(change), Some(limit)) => report.hold(
            subjects(),
            at_most(Fraction, change, 2),
            &limit,
            args(&phrases::weighings_differ(
                &number(Fraction, change, 2),
                &number(Fraction, limit.value, 2),
            )),
        ),
    }
    match (lot.lot.dried_min, limit("dry-time-min")) {
        (None, _) => report.missing(subjects(), missing::dryer_time()),
        (_, None) => report.missing(subjects(), missing::limit("dry-time-min")),
        (Some(min), Some(limit)) => report.hold(
            subjects(),
            at_least(Time, min, 0),
            limit,
            args(&phrases::dried_short(
                &number(Time, min, 0),
                &number(Time, limit.value, 0),
            )),
        ),
    }
}

fn in_a_bath(lot: &Lot) -> bool {
    let named = |bath: &Bath| bath.solvent.as_ref().is_some_and(|s| !s.trim().is_empty());
    lot.bath.as_ref().is_some_and(named)
}

/// Lots with a first step, and lots of which somebody noted a bath all the same.
fn wet_lots<'a>(facts: &Facts<'a>, report: &mut Report) -> Vec<FirstStepLot<'a>> {
    let mut lots = first_step_lots(facts, report);
    for (lot, records) in facts.placed_lots() {
        if in_a_bath(lot) && lots.iter().all(|l| l.lot.id != lot.id) {
            lots.push(FirstStepLot { lot, records });
        }
    }
    // A lot taken off its pieces does not dry them: where pieces of its part stand without one.
    for pieces in facts
        .pieces()
        .iter()
        .filter(|p| p.lot.is_none() && !p.coupons)
    {
        let of_part = facts.plan.lots.iter().filter(|l| l.part == pieces.part.id);
        for lot in of_part {
            let listed = lots.iter().any(|l| l.lot.id == lot.id);
            if let (false, Some(records)) = (listed, pieces.records) {
                lots.push(FirstStepLot { lot, records });
            }
        }
    }
    lots
}

/// What a lot's own moments say against its being dry: a bath that ends after the weighing or the
/// start, or a dryer that had less time than is noted.
fn refuted(facts: &Facts, lot: &Lot) -> Option<String> {
    let at = |text: Option<&String>| text.and_then(|t| when::moment(t));
    let ended = at(lot.bath.as_ref().and_then(|bath| bath.ended.as_ref()))?;
    let weighed = at(lot.dry_at.as_ref());
    let before = at(lot.previous_dry_at.as_ref());
    let start = facts.start_moment();
    // Where only the day of the start is known, its end is the latest that it can be.
    let day = facts.start_day();
    let latest = start.or_else(|| {
        let next = day?.tomorrow().ok()?;
        Some(next.to_datetime(jiff::civil::Time::midnight()))
    });
    let min = |to: jiff::civil::DateTime| when::hours_between(ended, to) * 60.0;
    if latest.is_some_and(|to| min(to) < 0.0) {
        return Some(on_paper::bath_ends_after_start().to_owned());
    }
    if [weighed, before]
        .into_iter()
        .flatten()
        .any(|to| min(to) < 0.0)
    {
        return Some(on_paper::weighed_before_bath_ended().to_owned());
    }
    let beyond = |at: jiff::civil::DateTime| latest.is_some_and(|latest| at > latest);
    if [weighed, before].into_iter().flatten().any(beyond) {
        return Some(on_paper::weighed_after_start().to_owned());
    }
    let until = weighed.or(start)?;
    let noted = lot.dried_min?;
    (noted > min(until)).then(|| {
        let shown = |v: f64| number(Time, v, 0).to_string();
        on_paper::dryer_had_less_time(&shown(noted), &shown(min(until)))
    })
}

/// Two weighings with nothing between them agree whatever the parts still hold. Moments that nobody
/// noted are no missing datum: that one weighing came before the other is what was typed.
fn weighed_apart(
    report: &mut Report,
    lot: &Lot,
    least: Option<&Limit>,
    subjects: impl Fn() -> Vec<Subject>,
    args: impl Fn(&str) -> Vec<(&'static str, Arg)>,
) {
    let at = |text: &Option<String>| text.as_deref().and_then(when::moment);
    if lot.previous_dry_g.is_none() || lot.dry_g.is_none() {
        return;
    }
    let Some((before, after)) = at(&lot.previous_dry_at).zip(at(&lot.dry_at)) else {
        return;
    };
    let Some(least) = least else {
        return report.missing(subjects(), missing::limit("weighings-apart-min"));
    };
    let min = when::hours_between(before, after) * 60.0;
    let how = if min < 0.0 {
        on_paper::weighed_backwards()
    } else {
        let shown = |min| number(Time, min, 0).to_string();
        on_paper::weighed_too_soon(&shown(min), &shown(least.value))
    };
    report.hold(subjects(), at_least(Time, min, 0), least, args(&how));
}
