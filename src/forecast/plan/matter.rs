//! Binder, pores and sintering of the kinds.

use super::figures::Figures;
use super::kinds::{Kind, KindIs};
use super::{Missing, generic};
use crate::catalogue::{DensifyingBranch, Feedstock};
use crate::forecast::burnout::{Component, Reaction};
use crate::forecast::constants::{R, ZERO_C};
use crate::forecast::densify::{Asymptote, Branch, Grains, Sintering};
use crate::forecast::matter::KindMatter;
use crate::load::PartRecords;
use crate::part::{MassState, Masses};

/// One entry a kind, in their order. What is lacking for the density or the binder
/// alone goes to `lacking`.
pub(super) fn matter(
    kinds: &[Kind],
    caught: &[usize],
    figures: &mut Figures,
    lacking: &mut Vec<Missing>,
) -> Vec<KindMatter> {
    kinds
        .iter()
        .map(|kind| match &kind.made_of {
            Some((records, masses)) => pieces(kind, records, masses, caught, figures, lacking),
            None => KindMatter {
                components: Vec::new(),
                loading: 1.0,
                binder_volume_left: 0.0,
                powder_m: generic::POWDER_UM * 1e-6,
                half_m: kind.heat.section_m / 2.0,
                body_kg_m3: kind.entering_g / kind.volume_mm3 * 1e6,
                sintering: None,
                density: 1.0,
                caught_gases: Vec::new(),
            },
        })
        .collect()
}

fn pieces(
    kind: &Kind,
    records: &PartRecords,
    masses: &Masses,
    caught: &[usize],
    figures: &mut Figures,
    lacking: &mut Vec<Missing>,
) -> KindMatter {
    let enters = kind.key.enters;
    let (feedstock, binder) = (records.feedstock, records.binder);
    let out = kind.key.extracted.map_or(0.0, |e| e.share.clamp(0.0, 1.0));
    let stays = |first_step: bool| match enters {
        MassState::Green => 1.0,
        MassState::Brown | MassState::Dry if first_step => 1.0 - out,
        MassState::Brown | MassState::Dry => 1.0,
        MassState::Presintered | MassState::Sintered => 0.0,
    };
    let (mut components, mut green, mut left) = (Vec::new(), 0.0, 0.0);
    for c in &binder.components {
        let field = |name: &str| format!("components.{}.{name}", c.id);
        let mut of = |name: &str, unit: &str, value| figures.of(binder, &field(name), unit, value);
        let share = of("mass_share", "", c.mass_share);
        let density = of("density_g_cm3", "g/cm³", c.density_g_cm3);
        green += share / density;
        left += share / density * stays(c.first_step);
        let entering = masses.binder_g * share * stays(c.first_step) / masses.in_state(enters);
        if entering <= 0.0 {
            continue;
        }
        let reactions = c.reactions.iter().enumerate().map(|(i, r)| {
            let mut of = |name: &str, unit: &str, value| {
                let path = format!("reactions.{i}.{name}");
                figures.of(binder, &field(&path), unit, value)
            };
            Reaction {
                share: of("share", "", r.share),
                a_per_s: of("a_per_s", "1/s", r.a_per_s),
                e_j_mol: 1e3 * of("e_kj_mol", "kJ/mol", r.e_kj_mol),
                order: of("order", "", r.order),
                evaporates: r.evaporates,
            }
        });
        let reactions: Vec<Reaction> = reactions.collect();
        if reactions.is_empty() {
            lacking.push(Missing::Burnout(c.name.clone(), binder.id.clone()));
        }
        let mut of = |name: &str, unit: &str, value| figures.of(binder, &field(name), unit, value);
        components.push(Component {
            name: c.name.clone(),
            mass_share: entering,
            density_kg_m3: 1e3 * density,
            reactions,
            char_share: of("char_share", "", c.char_share),
            offgas_kg_mol: 1e-3 * of("offgas_g_mol", "g/mol", c.offgas_g_mol),
            trap_share: of("trap_share", "", c.trap_share),
        });
    }
    let sintering = match (enters, &kind.key.is) {
        (MassState::Sintered, KindIs::Pieces { part, .. }) => {
            lacking.push(Missing::Refired(*part, records.part.name.clone()));
            None
        }
        _ => sintering(feedstock, figures, lacking),
    };
    let start = feedstock.densifying.and_then(|d| d.start_density);
    let powder = feedstock.powder_um;
    KindMatter {
        components,
        loading: feedstock.loading,
        binder_volume_left: if green > 0.0 { left / green } else { 0.0 },
        powder_m: 1e-6 * figures.or(feedstock, "powder_um", "µm", powder, generic::POWDER_UM),
        half_m: kind.heat.section_m / 2.0,
        body_kg_m3: kind.entering_g / kind.volume_mm3 * 1e6,
        sintering,
        density: match enters {
            MassState::Sintered => feedstock.oversize_density,
            _ => start.unwrap_or(feedstock.loading),
        },
        caught_gases: caught.to_vec(),
    }
}

fn sintering(
    feedstock: &Feedstock,
    figures: &mut Figures,
    lacking: &mut Vec<Missing>,
) -> Option<Sintering> {
    let Some(d) = feedstock.densifying else {
        lacking.push(Missing::Densifying(feedstock.id.clone()));
        return None;
    };
    let mut of = |name: &str, unit: &str, value| {
        figures.of(feedstock, &format!("densifying.{name}"), unit, value)
    };
    let mut branch = |path: &str, b: DensifyingBranch| Branch {
        q_j_mol: 1e3 * of(&format!("{path}.kj_mol"), "kJ/mol", b.kj_mol),
        a: of(&format!("{path}.a"), "", b.a),
        b: of(&format!("{path}.b"), "", b.b),
    };
    let low = branch("branch", d.branch);
    let high = d
        .upper
        .map(|u| (u.from_c, branch("upper.branch", u.branch)));
    let high = high.map(|(c, b)| (ZERO_C + of("upper.from_c", "°C", c), b));
    let asymptote = Asymptote {
        open: of("end_density_open", "", d.end_density_open),
        gas_filled: of("end_density_gas_filled", "", d.end_density_gas_filled),
    };
    let range_to_k = ZERO_C + of("range_to_c", "°C", d.range_to_c);
    let grains = d.grains.map(|g| {
        let mut of = |name: &str, unit: &str, value| {
            figures.of(feedstock, &format!("densifying.grains.{name}"), unit, value)
        };
        let (n, k) = (
            of("exponent", "", g.exponent),
            of("k_um_s", "µmⁿ/s", g.k_um_s),
        );
        let (at_k, q_j_mol) = (
            ZERO_C + of("at_c", "°C", g.at_c),
            1e3 * of("kj_mol", "kJ/mol", g.kj_mol),
        );
        Grains {
            n,
            start_m: 1e-6 * of("start_um", "µm", g.start_um),
            k0: k * libm::pow(1e-6, n) * libm::exp(q_j_mol / (R * at_k)),
            q_j_mol,
        }
    });
    Some(Sintering {
        low,
        high,
        asymptote,
        range_to_k,
        grains,
    })
}
