//! Reduction, dew point, evaporation, carbon and nitrogen by the forecast.

use crate::catalogue::Severity::{Caution, Stop};
use crate::catalogue::{Alloy, Element, Feedstock};
use crate::forecast::along::{ReductionAsked, evaporation_kg_m2, nitrogen_time_s, reduction_of};
use crate::forecast::chemistry::{
    DECARBURISED, Oxide, REDUCES_FROM_C, Reduction, STEEL_KG_MOL, Vapour, carbon, dew_point_c,
    vapour_of, water_share,
};
use crate::forecast::constants::ZERO_C;
use crate::forecast::offgas::char_carbon;
use crate::review::checks::common::{limit, limit_for};
use crate::review::facts::Facts;
use crate::review::facts_forecast::{Kind, Told};
use crate::review::facts_gas::is_stainless;
use crate::review::facts_limits::from_record;
use crate::review::finding::Sense::AtMost;
use crate::review::finding::{Report, Subject, at_least, at_most, text};
use crate::text::{forecast as say, limits, missing};
use crate::units::Quantity::{DewPoint, Fraction, Time};

/// Nitrogen enters stainless steel while it cools between these, °C (`model.md` section 7).
const NITROGEN_FROM_C: f64 = 1150.0;
const NITROGEN_TO_C: f64 = 600.0;

/// The balance of all kinds of one alloy in the hydrogen that sweeps the load. None where no
/// hydrogen flows; says what is missing.
struct Balance<'a> {
    alloy: &'a Alloy,
    feedstock: &'a Feedstock,
    kinds: Vec<Kind<'a>>,
    reduction: Reduction,
    oxide: Oxide,
    activity: f64,
    inlet: f64,
}

fn governing(alloy: &Alloy) -> Option<(Oxide, f64)> {
    let line = alloy.oxide?;
    let formula = alloy.governing_oxide.clone();
    let metal = alloy
        .elements
        .iter()
        .find(|e| formula.starts_with(&e.symbol))?;
    let oxide = Oxide {
        formula,
        enthalpy_j_mol: line.enthalpy_kj_mol * 1e3,
        entropy_j_molk: line.slope_j_molk,
        waters: line.oxygens,
        metals: line.metals,
    };
    Some((oxide, metal.activity))
}

fn balances<'a>(facts: &Facts<'a>, report: &mut Report, told: &Told) -> Vec<Balance<'a>> {
    let inputs = &told.made.prepared.inputs;
    let keys = &told.made.prepared.keys;
    let hydrogen: Vec<f64> = keys
        .gases
        .iter()
        .map(|slug| facts.catalogue.gas(slug).map_or(0.0, |g| g.hydrogen_share))
        .collect();
    let flows = inputs.program.segments.iter().any(|s| {
        let share = s.atmosphere.gas.and_then(|g| hydrogen.get(g).copied());
        s.atmosphere.sweep_mol_s > 0.0 && share.is_some_and(|h| h > 0.0)
    });
    if !flows {
        return Vec::new();
    }
    let mut dew = None;
    for (slug, _) in keys.gases.iter().zip(&hydrogen).filter(|(_, h)| **h > 0.0) {
        let supply = facts
            .state
            .and_then(|s| s.gases.iter().find(|g| g.gas == *slug));
        let Some(read) = supply.and_then(|s| s.dew_point_c) else {
            report.missing(vec![Subject::Named(slug.clone())], missing::dew_point());
            return Vec::new();
        };
        dew = Some(dew.map_or(read, |d: f64| d.max(read)));
    }
    let inlet = dew.map_or(0.0, water_share);
    told.needs_cases(report);
    let case = told.cold_or_nominal();
    let mut found = Vec::new();
    for (alloy, feedstock, kinds) in facts.kinds_by_alloy(told) {
        let named = vec![Subject::Named(alloy.id.clone())];
        let Some((oxide, activity)) = governing(alloy) else {
            report.missing(named, missing::oxide(&alloy.name));
            continue;
        };
        let metal: f64 = kinds
            .iter()
            .filter_map(|k| case.matter.metal_kg.get(k.index))
            .sum();
        let oxygen: Option<f64> = kinds
            .iter()
            .map(|k| {
                let metal = case.matter.metal_kg.get(k.index)?;
                Some(metal * k.records.feedstock.reducible_oxygen_pct? / 100.0)
            })
            .sum();
        let Some(oxygen) = oxygen else {
            report.missing(named, missing::reducible_oxygen(&feedstock.name));
            continue;
        };
        // Pores close in the sinter range, of the first of several feedstocks first.
        let ranges = kinds.iter().map(|k| k.records.feedstock.sinter.from_c);
        let closes_c = ranges.fold(f64::INFINITY, f64::min);
        let asked = ReductionAsked {
            kinds: kinds.iter().map(|k| k.index).collect(),
            oxide: oxide.clone(),
            activity,
            metal_kg: metal,
            reducible: if metal > 0.0 { oxygen / metal } else { 0.0 },
            hydrogen: hydrogen.clone(),
            inlet,
            from_k: REDUCES_FROM_C + ZERO_C,
            to_k: closes_c + ZERO_C,
        };
        found.push(Balance {
            alloy,
            feedstock,
            kinds,
            reduction: reduction_of(&case.run, &inputs.program, &asked),
            oxide,
            activity,
            inlet,
        });
    }
    found
}

pub(super) fn reduction_gas_limited(facts: &Facts, report: &mut Report) {
    let Some(told) = facts.told(report) else {
        return;
    };
    let Some(limit) = limit(facts, report, "reduction-share-min") else {
        return;
    };
    for balance in balances(facts, report, &told) {
        if balance.reduction.need_mol <= 0.0 {
            continue;
        }
        let subjects = vec![Subject::Named(balance.alloy.id.clone())];
        let args = vec![
            ("subject", text(&balance.alloy.name)),
            ("feedstock", text(&balance.feedstock.name)),
        ];
        let share = at_least(Fraction, balance.reduction.share(), 0);
        report.hold(subjects, share, limit, args);
    }
}

/// While the oxide gives water the exhaust reads its equilibrium, however dry the supply is; when
/// it is used up, the supply.
pub(super) fn furnace_dew_point(facts: &Facts, report: &mut Report) {
    let Some(told) = facts.told(report) else {
        return;
    };
    let Some(limit) = limit(facts, report, "dew-point-furnace-max") else {
        return;
    };
    for balance in balances(facts, report, &told) {
        if !is_stainless(balance.alloy.family) {
            continue;
        }
        let hottest = balance.feedstock.sinter.from_c.min(facts.peak_c) + ZERO_C;
        let wet = balance.reduction.share() < 1.0;
        let share = if wet {
            balance.inlet + balance.oxide.ratio(hottest, balance.activity)
        } else {
            balance.inlet
        };
        let subjects = vec![Subject::Named(balance.alloy.id.clone())];
        let args = vec![("subject", text(&balance.alloy.name))];
        let dew_c = dew_point_c(share);
        let severity = match facts.limit("dew-point-stop") {
            Some(stop) if libm::round(dew_c) > stop.value => Stop,
            _ => Caution,
        };
        report.rank(severity, false);
        report.hold(subjects, at_most(DewPoint, dew_c, 0), limit, args);
    }
}

fn vapour(element: &Element) -> Option<Vapour> {
    let known = vapour_of(&element.symbol)?;
    let activity = element.activity / element.mole_fraction;
    activity.is_finite().then_some(Vapour { activity, ..known })
}

/// What leaves the surface at the hottest place; an upper bound.
pub(super) fn evaporation_loss(facts: &Facts, report: &mut Report) {
    let Some(told) = facts.told(report) else {
        return;
    };
    told.needs_cases(report);
    let case = told.hot_or_nominal();
    let inputs = &told.made.prepared.inputs;
    for kind in facts.kinds(&told) {
        let alloy = kind.records.alloy;
        if !alloy.evaporates {
            continue;
        }
        let elements: Vec<(&Element, Vapour)> = alloy
            .elements
            .iter()
            .filter_map(|e| Some((e, vapour(e)?)))
            .collect();
        if elements.is_empty() {
            report.missing(kind.subjects, missing::elements(&alloy.name));
            continue;
        }
        let Some(limit) = limit_for(facts, report, "evaporation-max", &kind.records, AtMost) else {
            continue;
        };
        for (element, vapour) in elements {
            let kg_m2 = evaporation_kg_m2(
                &case.run,
                &inputs.program,
                &inputs.load,
                kind.index,
                &vapour,
                element.mole_fraction,
            );
            let part = kind.records.part;
            let per_area = part.geometry.volume_mm3 / part.geometry.area_mm2 * 1e-3;
            let of_mass = element.mole_fraction * vapour.molar_kg_mol / STEEL_KG_MOL;
            let held = of_mass * alloy.density_g_cm3 * 1e3 * per_area;
            // Its vapour falls with what is left of it: still an upper bound, for the surface has
            // no more of it than the whole.
            let share = 1.0 - libm::exp(-kg_m2 / held);
            if !share.is_finite() {
                report.missing(kind.subjects.clone(), missing::elements(&alloy.name));
                continue;
            }
            let mut subjects = kind.subjects.clone();
            subjects.push(Subject::Named(element.symbol.clone()));
            let args = vec![
                ("subject", text(&kind.name)),
                ("element", text(&element.symbol)),
                ("loss", text(say::grams_m2(share * held * 1e3))),
            ];
            let share = at_most(Fraction, share, 0);
            report.hold(subjects, share, limit, args);
        }
    }
}

/// Carbon of powder and char, less what carbon takes of the oxygen that hydrogen has left.
pub(super) fn carbon_near_range(facts: &Facts, report: &mut Report) {
    let Some(told) = facts.told(report) else {
        return;
    };
    let Some(spread) = limit(facts, report, "carbon-spread-share") else {
        return;
    };
    let balances = balances(facts, report, &told);
    let case = &told.made.forecast.nominal;
    for kind in facts.kinds(&told) {
        let (alloy, feedstock) = (kind.records.alloy, kind.records.feedstock);
        if !told.burns(&kind, report) {
            continue;
        }
        let ends = (alloy.carbon_min_pct, alloy.carbon_max_pct);
        if ends == (None, None) {
            report.missing(kind.subjects, missing::carbon_range(&alloy.name));
            continue;
        }
        let Some(oxygen_pct) = feedstock.reducible_oxygen_pct else {
            let what = missing::reducible_oxygen(&feedstock.name);
            report.missing(kind.subjects, what);
            continue;
        };
        let of = |all: &[f64]| all.get(kind.index).copied().unwrap_or(0.0);
        let char = char_carbon(of(&case.matter.char_kg), of(&case.matter.metal_kg));
        let mine = |b: &&Balance| b.kinds.iter().any(|k| k.index == kind.index);
        let reduced = balances
            .iter()
            .find(mine)
            .map_or(0.0, |b| b.reduction.share());
        let by_carbon = oxygen_pct / 100.0 * (1.0 - reduced.clamp(0.0, 1.0));
        let comes_to = carbon(
            feedstock.powder_carbon_pct / 100.0,
            char,
            by_carbon,
            DECARBURISED,
        );
        // What moves it is known to a share of itself.
        let sure = spread.value * (char + 0.75 * by_carbon);
        let near = [
            ends.0
                .map(|c| ("carbon_min_pct", c / 100.0, comes_to - c / 100.0)),
            ends.1
                .map(|c| ("carbon_max_pct", c / 100.0, c / 100.0 - comes_to)),
        ];
        let near = near
            .into_iter()
            .flatten()
            .min_by(|a, b| a.2.total_cmp(&b.2));
        let Some((field, end, margin)) = near else {
            continue;
        };
        if margin >= sure {
            continue;
        }
        let args = vec![
            ("subject", text(&kind.name)),
            (
                "value",
                crate::review::finding::number(Fraction, comes_to, 3),
            ),
            ("limit", crate::review::finding::number(Fraction, end, 3)),
            ("sure", crate::review::finding::number(Fraction, sure, 3)),
        ];
        let limit = from_record(alloy, field, limits::carbon_end(), end * 100.0, "%");
        report.found_by(kind.subjects, &limit, args);
    }
}

pub(super) fn nitrogen_taken_up(facts: &Facts, report: &mut Report) {
    let Some(told) = facts.told(report) else {
        return;
    };
    let nitrogen: Vec<bool> = told
        .made
        .prepared
        .keys
        .gases
        .iter()
        .map(|slug| {
            facts
                .catalogue
                .gas(slug)
                .is_some_and(|g| g.nitrogen_share > 0.0)
        })
        .collect();
    if !nitrogen.contains(&true) {
        return;
    }
    told.needs_cases(report);
    let inputs = &told.made.prepared.inputs;
    for kind in facts.kinds(&told) {
        if !is_stainless(kind.records.alloy.family) {
            continue;
        }
        let Some(limit) = limit_for(facts, report, "nitrogen-time-max", &kind.records, AtMost)
        else {
            continue;
        };
        let longest = told.all_cases().map(|case| {
            let range = (NITROGEN_FROM_C + ZERO_C, NITROGEN_TO_C + ZERO_C);
            nitrogen_time_s(
                &case.run,
                &inputs.program,
                kind.index,
                &nitrogen,
                range.0,
                range.1,
            )
        });
        let longest = longest.fold(0.0, f64::max);
        let args = vec![("subject", text(&kind.name))];
        let measured = at_most(Time, longest / 60.0, 0);
        report.hold(kind.subjects, measured, limit, args);
    }
}
