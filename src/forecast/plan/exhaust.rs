//! What leaves the furnace: off-gas at its fastest, and the fuel in the exhaust. Flammable limits
//! hold for fuel in air alone, so that what burns is told as a flow, with the air that dilutes it
//! outside; never as a percentage of a limit that has no meaning inside.

use super::{Asked, InCases, PlanForecast};
use crate::catalogue::standards;
use crate::forecast::offgas::l_min_25c;
use crate::forecast::purge::{Fuel, Vent, dilution_air, lower_limit, vent};
use crate::forecast::whole::CaseForecast;

/// The rule by which an exhaust is diluted.
const RULE: &str = "oven exhaust at most, % of LFL";

/// Share of the most below which fuel counts as none (assumed).
const TRICKLE: f64 = 1e-3;

/// Off-gas when most of it comes.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct OffgasPeak {
    /// When, min from the start.
    pub at_min: f64,
    /// g/min.
    pub g_min: f64,
    /// L/min as hot and as thin as it is in the furnace then.
    pub there_l_min: f64,
    /// How long what flows stays in the furnace, s.
    pub residence_s: f64,
}

/// Fuel in the exhaust when it takes most air.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Exhaust {
    /// Hydrogen of the sweep, L/min at 25 °C and 1 atm.
    pub hydrogen_l_min: f64,
    /// Binder vapour, likewise.
    pub vapour_l_min: f64,
    /// Whether it is above the upper limit as it comes, at any time of any case; else its sweep
    /// dilutes it below the lower one throughout.
    pub above_upper_limit: bool,
    /// Lower limit of that fuel in air, share by volume.
    pub lower: f64,
    /// Share of it to which air dilutes.
    pub share: f64,
    /// Air that does, L/min.
    pub air_l_min: f64,
}

/// Lower limit in air of what comes from binder: the lowest of those listed, share by volume
/// (assumed: what it consists of is not known).
pub(super) fn vapour_lower() -> Option<f64> {
    let all = standards().flammable.iter().map(|f| f.lower_pct / 100.0);
    all.reduce(f64::min)
}

/// Share of the lower limit that an exhaust may have.
pub(super) fn exhaust_share() -> Option<f64> {
    let rule = standards().atmospheres.iter().find(|r| r.rule == RULE);
    rule.map(|r| r.value / 100.0)
}

/// Off-gas of each case at its peak; none where none comes, or nobody knows how much.
pub(super) fn peaks(made: &PlanForecast) -> InCases<Option<OffgasPeak>> {
    made.cases(|case| {
        if !case.matter.burnout_known {
            return None;
        }
        let at = case.matter.peak;
        let point = case.matter.offgas.get(at).filter(|p| p.flow.mol_s > 0.0)?;
        let state = case.run.sample(at).get(case.run.border.face).copied()?;
        Some(OffgasPeak {
            at_min: case.run.times_s.get(at)? / 60.0,
            g_min: 6e4 * point.flow.kg_s,
            there_l_min: point.flow.l_min_at(state, point.set_pa),
            residence_s: point.residence_s,
        })
    })
}

/// The exhaust when it takes most air, over all cases; none where nothing in it burns, or nobody knows
/// how much of it comes of the binder.
pub(super) fn exhaust(asked: &Asked, made: &PlanForecast) -> Option<Exhaust> {
    if !made.forecast.nominal.matter.burnout_known {
        return None;
    }
    let (vapour, share) = (vapour_lower()?, exhaust_share()?);
    let gases: Vec<(f64, f64)> = made
        .prepared
        .keys
        .gases
        .iter()
        .map(|slug| {
            let record = asked.catalogue.gas(slug);
            let limit = record.and_then(|g| g.lower_flammable_limit_pct);
            (
                record.map_or(0.0, |g| g.hydrogen_share),
                limit.unwrap_or(0.0) / 100.0,
            )
        })
        .collect();
    let hydrogen = gases.iter().map(|g| g.1).find(|l| *l > 0.0);
    let of = |case: &CaseForecast| {
        let segments = &made.prepared.inputs.program.segments;
        let each = case.matter.offgas.iter().zip(&case.run.segment);
        let all = each.filter_map(|(point, segment)| {
            let gas = segments.get(*segment).and_then(|s| s.atmosphere.gas);
            let sweep = l_min_25c(point.sweep_mol_s);
            let in_it = gas.and_then(|g| gases.get(g)).map_or(0.0, |g| g.0);
            let (h2, gone) = (sweep * in_it, point.flow.l_min_25c());
            let fuel = h2 + gone;
            let mut fuels = Vec::new();
            if gone > 0.0 {
                fuels.push(Fuel {
                    share: gone / fuel,
                    lower: vapour,
                });
            }
            if let Some(lower) = hydrogen.filter(|_| h2 > 0.0) {
                fuels.push(Fuel {
                    share: h2 / fuel,
                    lower,
                });
            }
            let lower = lower_limit(&fuels)?;
            Some(Exhaust {
                hydrogen_l_min: h2,
                vapour_l_min: gone,
                above_upper_limit: vent(fuel, sweep - h2, Some(lower), 0.0)
                    == Vent::AboveUpperLimit,
                lower,
                share,
                air_l_min: dilution_air(fuel, lower, share),
            })
        });
        // What trickles out after the sweep is off says nothing of the vent.
        let all: Vec<Exhaust> = all.collect();
        let most = all.iter().map(|e| e.air_l_min).fold(0.0, f64::max);
        all.into_iter()
            .filter(|e| e.air_l_min >= TRICKLE * most)
            .reduce(worse)
    };
    let all = made.cases(of);
    let each = all.each().filter_map(|(_, e)| *e);
    each.reduce(worse)
}

/// The one that takes more air, above the upper limit where either is.
fn worse(a: Exhaust, b: Exhaust) -> Exhaust {
    let most = if b.air_l_min > a.air_l_min { b } else { a };
    Exhaust {
        above_upper_limit: a.above_upper_limit || b.above_upper_limit,
        ..most
    }
}
