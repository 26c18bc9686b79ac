//! What the first step took out of a lot: as weighed, else as the record of its bath says by the
//! model of section 2, else assumed.

use crate::catalogue::{FirstStep, same_solvent, solvent_words};
use crate::forecast::constants::ZERO_C;
use crate::forecast::solvent::{Body, Diffusivity, bath, front_out, time_until};
use crate::load::{Extracted, ExtractedBy, Lot, PartRecords};

/// Share that a weighing may show beyond all of it, by the balance and by powder lost (assumed).
const MOST_OUT: f64 = 1.05;

/// A first step as the record of its bath says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ByBath {
    /// Share of the first-step binder that is out, mean of the governing section as a slab.
    pub out: f64,
    /// The same in the middle.
    pub centre_out: f64,
    /// Mean of a cylinder and of a sphere of that section; none for a front.
    pub other_shapes_out: Option<[f64; 2]>,
    /// Share that the feedstock asks for, and how long the bath takes to it, s; none where it asks
    /// for none, or where this bath never comes to it.
    pub target: Option<(f64, Option<f64>)>,
}

/// What the record of a lot's bath comes to; none without a record of all that counts, or without
/// a first step that a model describes.
pub fn by_bath(records: &PartRecords, lot: &Lot) -> Option<ByBath> {
    let record = lot.bath.as_ref()?;
    // Another liquid does not take out what the law was measured for.
    let stated = record.solvent.as_deref().filter(|s| !s.trim().is_empty());
    let wrong = stated.is_some_and(|stated| match &records.binder.first_step {
        FirstStep::Solvent { solvent, .. } => !same_solvent(stated, solvent),
        FirstStep::Water { .. } => !same_solvent(stated, "water"),
        FirstStep::Catalytic { .. } => !solvent_words(stated).contains("acid"),
        FirstStep::ThermalOnly => true,
    });
    if wrong {
        return None;
    }
    let time_s = 60.0 * record.minutes?;
    let section_m = records
        .part
        .green_section_mm(records.feedstock.oversize)
        .map(|mm| mm * 1e-3)?;
    // A face on a tray lets nothing out: the way is twice as long.
    let half_m = section_m * if record.on_tray? { 1.0 } else { 0.5 };
    let target = records.feedstock.extraction_target;
    let law = match records.binder.first_step {
        FirstStep::Solvent {
            diffusivity_cm2_s,
            diffusion_kj_mol,
            ..
        }
        | FirstStep::Water {
            diffusivity_cm2_s,
            diffusion_kj_mol,
        } => Diffusivity {
            d0_m2_s: 1e-4 * diffusivity_cm2_s,
            e_j_mol: 1e3 * diffusion_kj_mol,
        },
        FirstStep::Catalytic { front_mm_h } => {
            let front_m_s = 1e-3 * front_mm_h / 3600.0;
            let out = front_out(front_m_s, half_m, time_s);
            let after = |target: f64| (front_m_s > 0.0).then(|| target * half_m / front_m_s);
            return Some(ByBath {
                out,
                centre_out: if out >= 1.0 { 1.0 } else { 0.0 },
                other_shapes_out: None,
                target: target.map(|t| (t, after(t))),
            });
        }
        FirstStep::ThermalOnly => return None,
    };
    let (t_k, wax, body) = (ZERO_C + record.temp_c?, record.wax_g_l?, Body::Slab(half_m));
    let left = bath(law, body, t_k, time_s, wax);
    let after = |share: f64| time_until(law, body, t_k, wax, |b| b.out >= share);
    Some(ByBath {
        out: left.out,
        centre_out: 1.0 - left.centre_left,
        other_shapes_out: Some(left.other_shapes_out),
        target: target.map(|t| (t, after(t))),
    })
}

/// How much of the first-step binder is out.
pub(super) fn extracted(records: &PartRecords, lot: Option<&Lot>) -> Extracted {
    // More than there was has not come out: one of the two weighings is wrong.
    let known = match records.extracted(lot) {
        weighed if weighed.by == ExtractedBy::Weighing && weighed.share > MOST_OUT => {
            records.extracted(None)
        }
        known => known,
    };
    let predicted = || by_bath(records, lot?);
    match known.by {
        ExtractedBy::Assumption => predicted().map_or(known, |bath| Extracted {
            share: bath.out,
            by: ExtractedBy::Bath,
        }),
        _ => known,
    }
}
