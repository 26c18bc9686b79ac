//! Gases of a program.

use super::figures::Figures;
use super::others::model;
use super::{Asked, Missing, generic};
use crate::catalogue::{Furnace, GasNature, Lining};
use crate::forecast::curve::Curve;
use crate::forecast::inputs::Gas;
use crate::profile::EventKind;
use std::collections::BTreeSet;

/// Gases by index.
pub(super) struct Gases {
    /// Slugs.
    pub(super) slugs: Vec<String>,
    /// The same as the core reads them.
    pub(super) gases: Vec<Gas>,
    /// Those that stay in closing pores: all but hydrogen.
    pub(super) caught: Vec<usize>,
    /// The one of a flow purge, which no event names: the only inert one.
    pub(super) purges: Option<usize>,
    /// Those that burn: what "hydrogen off" shuts off.
    pub(super) fuels: Vec<usize>,
}

/// Gases that segments and backfills name, by slug.
pub(super) fn gases(
    asked: &Asked,
    furnace: &Furnace,
    figures: &mut Figures,
    missing: &mut Vec<Missing>,
) -> Gases {
    let segments = &asked.plan.profile.segments;
    let filled = segments
        .iter()
        .flat_map(|s| &s.events)
        .filter_map(|e| match &e.kind {
            EventKind::Backfill { gas, .. } => Some(gas),
            _ => None,
        });
    let named: BTreeSet<&String> = segments
        .iter()
        .filter_map(|s| s.gas.as_ref())
        .chain(filled)
        .collect();
    let mut out = Gases {
        slugs: Vec::new(),
        gases: Vec::new(),
        caught: Vec::new(),
        purges: None,
        fuels: Vec::new(),
    };
    let mut inert = Vec::new();
    for slug in named {
        let Some(record) = asked.catalogue.gas(slug) else {
            missing.push(Missing::Gas(slug.clone()));
            continue;
        };
        let record = record.as_ref();
        if record.oxygen() > 0.0 {
            missing.push(Missing::Burning(slug.clone()));
            continue;
        }
        let mut column = |field: &str, unit: &str, pick: fn(&(f64, f64, f64, f64)) -> f64| {
            let points: Vec<(f64, f64)> =
                record.properties.iter().map(|p| (p.0, pick(p))).collect();
            (!points.is_empty()).then(|| figures.table(record, field, unit, &points, &[]))
        };
        let (Some(viscosity), Some(conductivity), Some(cp)) = (
            column("properties.viscosity", "µPa·s", |p| p.1),
            column("properties.conductivity", "mW/mK", |p| p.2),
            column("properties.cp", "J/kgK", |p| p.3),
        ) else {
            missing.push(Missing::GasProperties(slug.clone()));
            continue;
        };
        let (hydrogen, nitrogen) = (record.hydrogen_share, record.nitrogen_share);
        figures.of(record, "hydrogen_share", "", hydrogen);
        figures.of(record, "nitrogen_share", "", nitrogen);
        if hydrogen < 0.5 {
            out.caught.push(out.gases.len());
        }
        let [argon_loss, nitrogen_loss, hydrogen_loss] = generic::FIBRE_LOSS;
        let rest = (1.0 - hydrogen - nitrogen).max(0.0);
        let fibre = furnace.lining == Lining::CeramicFibre;
        for (name, share, factor) in [
            ("fibre_loss_argon", rest, argon_loss),
            ("fibre_loss_nitrogen", nitrogen, nitrogen_loss),
            ("fibre_loss_hydrogen", hydrogen, hydrogen_loss),
        ] {
            if fibre && share > 0.0 {
                model(name, factor, "", "losses through fibre", figures);
            }
        }
        if record.hydrogen_share > 0.0 {
            out.fuels.push(out.gases.len());
        }
        if record.nature == GasNature::Inert {
            inert.push(out.gases.len());
        }
        out.slugs.push(slug.clone());
        out.gases.push(Gas {
            name: record.name.clone(),
            molar_kg_mol: 1e-3 * figures.of(record, "molar_g_mol", "g/mol", record.molar_g_mol),
            gamma: figures.or(record, "gamma", "", record.gamma, generic::GAMMA),
            accommodation: figures.or(
                record,
                "accommodation",
                "",
                record.accommodation,
                generic::ACCOMMODATION,
            ),
            viscosity: times(&viscosity, 1e-6),
            conductivity: times(&conductivity, 1e-3),
            cp,
            loss_factor: if fibre {
                rest * argon_loss + nitrogen * nitrogen_loss + hydrogen * hydrogen_loss
            } else {
                1.0
            },
        });
    }
    out.purges = match inert[..] {
        [only] => Some(only),
        _ => None,
    };
    out
}

fn times(curve: &Curve, factor: f64) -> Curve {
    let points: Vec<(f64, f64)> = curve.points().iter().map(|p| (p.0, p.1 * factor)).collect();
    Curve::new(&points).unwrap_or_else(|| Curve::constant(0.0))
}
