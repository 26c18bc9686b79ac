//! Facts about binder: who brings how much of what, and where it leaves.

use super::facts::Facts;
use super::finding::{Report, Subject};
use crate::catalogue::{Binder, Component, Feedstock, FirstStep, solvent_words};
use crate::load::{Item, Lot, PartRecords, entering_state};
use crate::part::{MassState, Masses, Part};
use crate::profile::Range;
use crate::text::missing;
use std::collections::BTreeMap;

/// Most witness coupons of one part that need no lot (assumed: two a level in a small furnace).
const WITNESSES: usize = 8;

/// Pieces of one part and lot that stand in the load.
#[derive(Clone, Copy, Debug)]
pub struct Pieces<'a> {
    /// Part.
    pub part: &'a Part,
    /// Its records; none where one is unknown.
    pub records: Option<PartRecords<'a>>,
    /// Their lot, where one is assigned.
    pub lot: Option<&'a Lot>,
    /// Witness coupons, which have no lot; at most [`WITNESSES`].
    pub coupons: bool,
    /// How many.
    pub count: usize,
}

impl Pieces<'_> {
    /// State in which they enter the furnace; none where a record is unknown.
    pub fn enters(&self) -> Option<MassState> {
        self.records
            .map(|records| entering_state(self.lot, &records))
    }

    /// Whether they bring binder; true where a record is unknown.
    pub fn bring_binder(&self) -> bool {
        self.enters().is_none_or(has_binder)
    }
}

fn has_binder(state: MassState) -> bool {
    match state {
        MassState::Green | MassState::Brown | MassState::Dry => true,
        MassState::Presintered | MassState::Sintered => false,
    }
}

/// Whether a first step takes anything out of a binder.
pub fn has_first_step(binder: &Binder) -> bool {
    binder.components.iter().any(|c| c.first_step)
}

/// Solvents that do not burn in air, whoever says it (common practice, no source). Of any other a
/// record without a flammable limit leaves it out.
const HARMLESS: [&str; 3] = ["water", "perchloroethylene", "tetrachloroethylene"];

fn is_harmless(solvent: &str) -> bool {
    let words = solvent_words(solvent);
    !words.is_empty() && words.iter().all(|w| HARMLESS.contains(&w.as_str()))
}

/// The liquid that a first step leaves in the parts and whether its vapour burns; none where the
/// step is dry.
pub fn liquid(first_step: &FirstStep) -> Option<(&str, bool)> {
    match first_step {
        FirstStep::Solvent {
            solvent,
            lower_flammable_limit_pct,
            ..
        } => Some((
            solvent,
            lower_flammable_limit_pct.is_some() || !is_harmless(solvent),
        )),
        FirstStep::Water { .. } => Some(("water", false)),
        FirstStep::Catalytic { .. } | FirstStep::ThermalOnly => None,
    }
}

impl Facts<'_> {
    /// The liquid of a lot, and whether its vapour burns: that of the bath in which it is said to
    /// have been, else the one that its binder's first step leaves. A solvent of which no binder
    /// says anything counts as one that burns.
    pub fn wet_with(&self, lot: &Lot, binder: &Binder) -> Option<(String, bool)> {
        let stated = lot.bath.as_ref().and_then(|bath| bath.solvent.as_deref());
        let Some(stated) = stated.map(str::trim).filter(|s| !s.is_empty()) else {
            return liquid(&binder.first_step).map(|(name, burns)| (name.to_owned(), burns));
        };
        // Whatever else it is said to be, the binder's own liquid may be in it.
        let own = liquid(&binder.first_step);
        let known = self.catalogue.binders.values().map(|(_, b)| b.as_ref());
        let known: Vec<(&str, bool)> = known.filter_map(|b| liquid(&b.first_step)).collect();
        let of = solvent_words(stated);
        let harmless = |word: &String| {
            let mut all = known
                .iter()
                .filter(|(name, _)| solvent_words(name).contains(word));
            word == "water" || (all.clone().next().is_some() && all.all(|(_, burns)| !burns))
        };
        let burns = own.is_some_and(|(_, burns)| burns) || !of.iter().all(harmless);
        Some((stated.to_owned(), burns))
    }
}

/// Mass of each component in one piece as it enters, g: the first step has taken the share
/// `extracted` of the components that it dissolves and nothing of the others.
pub fn components_left<'a>(
    binder: &'a Binder,
    masses: &Masses,
    enters: MassState,
    extracted: f64,
) -> Vec<(&'a Component, f64)> {
    let left = |component: &Component| match enters {
        MassState::Green => 1.0,
        MassState::Brown | MassState::Dry if component.first_step => {
            1.0 - extracted.clamp(0.0, 1.0)
        }
        MassState::Brown | MassState::Dry => 1.0,
        MassState::Presintered | MassState::Sintered => 0.0,
    };
    let components = binder.components.iter();
    components
        .map(|c| (c, masses.binder_g * c.mass_share * left(c)))
        .collect()
}

impl<'a> Facts<'a> {
    /// What stands in the load, by part and lot. Placements of unknown parts are left out: another
    /// check names them.
    pub fn pieces(&self) -> Vec<Pieces<'a>> {
        let mut counts: BTreeMap<(u32, bool, Option<u32>), usize> = BTreeMap::new();
        for (_, placement) in self.plan.placements() {
            let key = match &placement.item {
                Item::Part { part, lot } => (part.0, false, lot.map(|l| l.0)),
                Item::Coupon { part, .. } => (part.0, true, None),
                Item::Dummy { .. } | Item::Sensor { .. } => continue,
            };
            *counts.entry(key).or_default() += 1;
        }
        let found = |((part, coupons, lot), count): ((u32, bool, Option<u32>), usize)| {
            let part: &'a Part = self.plan.parts.iter().find(|p| p.id.0 == part)?;
            let lot = lot.and_then(|id| self.plan.lots.iter().find(|l| l.id.0 == id));
            Some(Pieces {
                part,
                records: PartRecords::new(part, self.catalogue),
                lot: lot.map(AsRef::as_ref),
                // So many are a load, whatever they are called.
                coupons: coupons && count <= WITNESSES,
                count,
            })
        };
        counts.into_iter().filter_map(found).collect()
    }

    /// Lots of which pieces stand in the load, with their records; those of unknown records are left
    /// out.
    pub fn placed_lots(&self) -> Vec<(&'a Lot, PartRecords<'a>)> {
        let mut found: Vec<(&'a Lot, PartRecords<'a>)> = Vec::new();
        for pieces in self.pieces() {
            if let (Some(lot), Some(records)) = (pieces.lot, pieces.records)
                && found.iter().all(|(l, _)| l.id != lot.id)
            {
                found.push((lot, records));
            }
        }
        found
    }

    /// Counts parts whose records are unknown as not evaluated, for a check that needs them.
    pub fn unknown_records(&self, report: &mut Report) {
        for placed in self.placed.iter().filter(|p| p.records.is_none()) {
            report.missing(vec![Subject::Part(placed.part.id)], missing::part_records());
        }
    }

    /// Says of which pieces nobody knows what first step they have been through, for they are of no
    /// lot; `concerns` picks the first steps that matter. Coupons are another's.
    pub fn unknown_states(&self, report: &mut Report, concerns: impl Fn(&FirstStep) -> bool) {
        for one in &self.pieces() {
            let concerned = one.records.is_some_and(|r| concerns(&r.binder.first_step));
            if concerned && one.lot.is_none() && !one.coupons {
                report.missing(vec![Subject::Part(one.part.id)], missing::state_on_entry());
            }
        }
    }

    /// Parts with pieces that are of no lot, and how many those are.
    pub fn without_lot(&self) -> Vec<(&'a Part, usize)> {
        let mut without: BTreeMap<u32, usize> = BTreeMap::new();
        for (_, placement) in self.plan.placements() {
            if let Item::Part { part, lot: None } = &placement.item {
                *without.entry(part.0).or_default() += 1;
            }
        }
        let placed = self.placed.iter().map(|placed| placed.part);
        placed
            .filter_map(|part| Some((part, *without.get(&part.id.0)?)))
            .collect()
    }

    /// Says which parts' mass, and with it their binder, is not known.
    pub fn unknown_part_masses(&self, report: &mut Report) {
        for placed in &self.placed {
            if placed.records.is_some_and(|r| r.masses(1.0).is_none()) {
                let what = missing::weighed_mass(&placed.part.name);
                report.missing(vec![Subject::Part(placed.part.id)], what);
            }
        }
    }

    /// Feedstocks that bring binder, by slug.
    pub fn feedstocks_with_binder(&self) -> BTreeMap<&'a str, &'a Feedstock> {
        let pieces = self.pieces();
        let bring = pieces.iter().filter(|p| p.bring_binder());
        bring
            .filter_map(|p| p.records)
            .map(|r| (r.feedstock.id.as_str(), r.feedstock))
            .collect()
    }

    /// From the lowest to the highest temperature at which any binder in the load leaves, °C.
    pub fn debind_span(&self) -> Option<Range> {
        let feedstocks = self.feedstocks_with_binder();
        let mut ranges = feedstocks.values().map(|f| f.debind);
        let first = ranges.next()?;
        let (from_c, to_c) = ranges.fold((first.from_c, first.to_c), |(from, to), r| {
            (from.min(r.from_c), to.max(r.to_c))
        });
        Some(Range { from_c, to_c })
    }

    /// Binder that the trap is expected to catch, g: Σ of what is left of each component times
    /// the share that it catches (`model.md` section 3). Rafts count at the mean of the parts.
    /// None where a record or a mass is unknown.
    pub fn trap_catch_g(&self) -> Option<f64> {
        let (mut caught_g, mut left_g) = (0.0, 0.0);
        for pieces in self.pieces() {
            let records = pieces.records?;
            let extracted = records.extracted(pieces.lot).share.clamp(0.0, 1.0);
            let masses = records.masses(extracted)?;
            let enters = entering_state(pieces.lot, &records);
            for (component, mass_g) in components_left(records.binder, &masses, enters, extracted) {
                left_g += pieces.count as f64 * mass_g;
                caught_g += pieces.count as f64 * mass_g * component.trap_share;
            }
        }
        let all_g = self.tally.whole.binder_g;
        Some(if left_g > 0.0 {
            caught_g * all_g / left_g
        } else {
            0.0
        })
    }
}
