//! Density and size by the forecast.

use crate::forecast::plan::{KindRow, final_size_mm};
use crate::part::Drawn;
use crate::review::checks::common::limit_for;
use crate::review::facts::Facts;
use crate::review::facts_forecast::{Kind, Told};
use crate::review::finding::Sense::{AtLeast, AtMost};
use crate::review::finding::{Report, at_least, at_most, text};
use crate::text::missing;
use crate::units::Quantity::Fraction;

/// Rows of the kinds whose density is told; says of which it is not.
fn told_rows<'a, 't>(
    facts: &Facts<'a>,
    report: &mut Report,
    told: &Told<'t>,
) -> Vec<(Kind<'a>, &'t KindRow)> {
    let mut found = Vec::new();
    for kind in facts.kinds(told) {
        let Some(row) = told.said.kinds.iter().find(|r| r.kind == kind.index) else {
            continue;
        };
        let feedstock = kind.records.feedstock;
        let what = match row.density.nominal {
            Some(_) => None,
            None if feedstock.densifying.is_none() => Some(missing::densifying(&feedstock.name)),
            None if row.refired => Some(missing::refired(&kind.name)),
            None => Some(missing::prediction(&feedstock.name)),
        };
        if let Some(what) = what {
            report.missing(kind.subjects.clone(), what);
            continue;
        }
        // A case that goes beyond the figures is not judged, the others are.
        let beyond = |case: Option<Option<(f64, f64)>>| case == Some(None);
        if beyond(row.density.cold) || beyond(row.density.hot) {
            report.missing(kind.subjects.clone(), missing::prediction(&feedstock.name));
        }
        found.push((kind, row));
    }
    found
}

/// Least and most dense place in any case: hotter is not always denser, where gas is trapped.
fn extremes(row: &KindRow) -> Option<(f64, f64)> {
    let each = row.density.each().filter_map(|(_, density)| *density);
    each.reduce(|(least, most), (a, b)| (least.min(a), most.max(b)))
}

pub(super) fn density_low(facts: &Facts, report: &mut Report) {
    let Some(told) = facts.told(report) else {
        return;
    };
    told.needs_cases(report);
    for (kind, row) in told_rows(facts, report, &told) {
        let Some(limit) = limit_for(facts, report, "density-min", &kind.records, AtLeast) else {
            continue;
        };
        if let Some((least, _)) = extremes(row) {
            let args = vec![("subject", text(&kind.name))];
            report.hold(kind.subjects, at_least(Fraction, least, 1), limit, args);
        }
    }
}

/// From the least dense place to the densest one of all cases.
pub(super) fn density_uncertain(facts: &Facts, report: &mut Report) {
    let Some(told) = facts.told(report) else {
        return;
    };
    for (kind, row) in told_rows(facts, report, &told) {
        let Some(limit) = limit_for(facts, report, "density-spread-max", &kind.records, AtMost)
        else {
            continue;
        };
        let both = row.density.cold.flatten().and(row.density.hot.flatten());
        let (Some((least, most)), Some(_)) = (extremes(row), both) else {
            told.needs_cases(report);
            continue;
        };
        let args = vec![("subject", text(&kind.name))];
        report.hold(
            kind.subjects,
            at_most(Fraction, most - least, 1),
            limit,
            args,
        );
    }
}

/// Sides of a piece as they are meant, mm: as drawn, or as its oversize factors say.
fn meant_mm(kind: &Kind) -> [f64; 3] {
    let part = kind.records.part;
    if part.drawn == Drawn::Final {
        return part.geometry.size_mm;
    }
    final_size_mm(&kind.records, None, kind.records.feedstock.oversize_density)
}

pub(super) fn size_outside_tolerance(facts: &Facts, report: &mut Report) {
    let Some(told) = facts.told(report) else {
        return;
    };
    told.needs_cases(report);
    for (kind, row) in told_rows(facts, report, &told) {
        let Some(limit) = limit_for(facts, report, "size-tolerance", &kind.records, AtMost) else {
            continue;
        };
        let meant = meant_mm(&kind);
        let sizes = row.size_mm;
        let all = [sizes.nominal, sizes.cold.flatten(), sizes.hot.flatten()];
        let off = all.into_iter().flatten().flatten().flat_map(|size| {
            let sides = size.into_iter().zip(meant);
            sides.map(|(is, meant)| (is / meant - 1.0).abs())
        });
        let off = off.fold(0.0, f64::max);
        let args = vec![("subject", text(&kind.name))];
        report.hold(
            kind.subjects.clone(),
            at_most(Fraction, off, 2),
            limit,
            args,
        );
    }
}

/// Between the least and the most dense place of one case.
pub(super) fn spot_size_error(facts: &Facts, report: &mut Report) {
    let Some(told) = facts.told(report) else {
        return;
    };
    told.needs_cases(report);
    for (kind, row) in told_rows(facts, report, &told) {
        let Some(limit) = limit_for(facts, report, "size-spread-max", &kind.records, AtMost) else {
            continue;
        };
        let sizes = row.size_mm;
        let all = [sizes.nominal, sizes.cold.flatten(), sizes.hot.flatten()];
        let spread = all.into_iter().flatten().flat_map(|[dense, light]| {
            let sides = light.into_iter().zip(dense);
            sides.map(|(light, dense)| light / dense - 1.0)
        });
        let spread = spread.fold(0.0, f64::max);
        let args = vec![("subject", text(&kind.name))];
        report.hold(kind.subjects, at_most(Fraction, spread, 2), limit, args);
    }
}
