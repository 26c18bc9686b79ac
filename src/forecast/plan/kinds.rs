//! Kinds of things that are heated: pieces of one part and lot, and dummies.

use super::extraction::extracted;
use super::figures::Figures;
use super::{Asked, Missing, generic};
use crate::catalogue::{Record, SupportKind};
use crate::forecast::curve::Curve;
use crate::forecast::inputs::{Emissivity, KindHeat};
use crate::forecast::pores::koh_fortini;
use crate::load::{
    Extracted, ExtractedBy, Item, LevelId, LotId, PartRecords, Placement, Plan, Sized,
    entering_state, support_bed,
};
use crate::part::{
    Geometry, MassState, Masses, PartId, Shape, SizeStage, binder_density, green_density,
    measure_typed, scale,
};
use crate::text::{forecast as text, forecast_parts as entry};
use std::collections::BTreeMap;
use std::sync::Arc;

/// What a kind stands for.
#[derive(Clone, Debug, PartialEq)]
pub enum KindIs {
    /// Pieces of a part, coupons of it among those without a lot.
    Pieces {
        /// Part.
        part: PartId,
        /// Lot.
        lot: Option<LotId>,
    },
    /// Dummies of one shape, mass and material.
    Dummy {
        /// Material slug.
        material: String,
    },
}

/// Which things of the plan a kind is.
#[derive(Clone, Debug, PartialEq)]
pub struct KindKey {
    /// What.
    pub is: KindIs,
    /// What a person calls it.
    pub name: String,
    /// Pieces in the load.
    pub pieces: usize,
    /// State in which they enter; sintered for dummies.
    pub enters: MassState,
    /// Whether a first step takes anything out of their binder.
    pub first_step: bool,
    /// Share of that which is out; none for dummies.
    pub extracted: Option<Extracted>,
}

impl KindKey {
    /// How much of the first-step binder is out of them; none where no first step took any.
    pub fn first_step_out(&self) -> Option<Extracted> {
        let brown = matches!(self.enters, MassState::Brown | MassState::Dry);
        self.extracted.filter(|_| brown && self.first_step)
    }

    /// Whether that is not weighed.
    pub fn rests_on_no_weighing(&self) -> bool {
        let out = self.first_step_out();
        out.is_some_and(|out| out.by != ExtractedBy::Weighing)
    }

    /// That in a sentence, with how it is known.
    pub fn extraction_said(&self) -> Option<String> {
        let out = self.first_step_out()?;
        Some(match out.by {
            ExtractedBy::Weighing => entry::weighed_out(out.share),
            ExtractedBy::Bath => entry::predicted_out(out.share),
            ExtractedBy::Assumption => entry::assumed_out(out.share),
        })
    }
}

/// Things of one kind and where they stand.
pub(super) struct Group<'a> {
    is: KindIs,
    /// The dummy, where it is one.
    dummy: Option<(&'a Shape, f64)>,
    /// Stack, level (both as in the core) and placement.
    pub(super) on: Vec<(usize, usize, &'a Placement)>,
}

/// Groups in the order of parts and lots, then dummies.
pub(super) fn find(plan: &Plan) -> Vec<Group<'_>> {
    let mut pieces: BTreeMap<(PartId, Option<LotId>), Group> = BTreeMap::new();
    let mut dummies: Vec<Group> = Vec::new();
    let stacks = plan.load.stacks.iter().filter(|s| !s.levels.is_empty());
    for (s, stack) in stacks.enumerate() {
        for (l, level) in stack.levels.iter().enumerate() {
            for p in &level.placements {
                let here = (s, l, p);
                let (part, lot) = match &p.item {
                    Item::Part { part, lot } => (*part, *lot),
                    Item::Coupon { part, .. } => (*part, None),
                    Item::Sensor { .. } => continue,
                    Item::Dummy {
                        shape,
                        mass_g,
                        material,
                    } => {
                        let is = KindIs::Dummy {
                            material: material.clone(),
                        };
                        let dummy = Some((shape, *mass_g));
                        match dummies.iter_mut().find(|g| g.is == is && g.dummy == dummy) {
                            Some(group) => group.on.push(here),
                            None => dummies.push(Group {
                                is,
                                dummy,
                                on: vec![here],
                            }),
                        }
                        continue;
                    }
                };
                let group = pieces.entry((part, lot)).or_insert_with(|| Group {
                    is: KindIs::Pieces { part, lot },
                    dummy: None,
                    on: Vec::new(),
                });
                group.on.push(here);
            }
        }
    }
    pieces.into_values().chain(dummies).collect()
}

/// A kind with all that its place on a level needs.
pub(super) struct Kind<'a> {
    pub(super) key: KindKey,
    /// Records, masses of a piece; none for dummies.
    pub(super) made_of: Option<(PartRecords<'a>, Masses)>,
    pub(super) sized: Arc<Sized>,
    /// Mass of a piece as it enters, g.
    pub(super) entering_g: f64,
    /// Volume of metal and binder of a green piece, mm³.
    pub(super) volume_mm3: f64,
    /// Outline seen from above, mm².
    pub(super) outline_mm2: f64,
    /// Height, mm.
    pub(super) height_mm: f64,
    pub(super) heat: KindHeat,
}

impl Kind<'_> {
    /// What stands under a piece: furniture, g, and a raft as it enters, g.
    pub(super) fn support_g(&self, asked: &Asked, placement: &Placement) -> Option<(f64, f64)> {
        let Some(id) = &placement.support else {
            return Some((0.0, 0.0));
        };
        let support = asked.catalogue.support(id)?;
        let Some(bed) = support_bed(support, &self.sized) else {
            return Some((0.0, 0.0));
        };
        Some(match (&self.made_of, support.kind) {
            (Some((_, masses)), SupportKind::Raft) => (
                0.0,
                bed.mass_g * masses.in_state(self.key.enters) / masses.green_g,
            ),
            // Under a dummy the tally counts no support.
            (None, _) => (0.0, 0.0),
            (Some(_), _) => (bed.mass_g, 0.0),
        })
    }
}

/// Volume of all pieces, m³.
pub(super) fn volume_m3(kinds: &[Kind]) -> f64 {
    let each = kinds.iter().map(|k| k.volume_mm3 * k.key.pieces as f64);
    each.sum::<f64>() * 1e-9
}

/// One kind a group, in their order; what is missing leaves its kind out.
pub(super) fn kinds<'a>(
    asked: &Asked<'a>,
    groups: &[Group<'a>],
    figures: &mut Figures,
    missing: &mut Vec<Missing>,
) -> Vec<Kind<'a>> {
    let make = |group: &Group<'a>| {
        let made = match &group.is {
            KindIs::Pieces { part, lot } => pieces(asked, group, *part, *lot, figures),
            KindIs::Dummy { material } => dummy(asked, group, material, figures),
        };
        made.map_err(|what| missing.push(what)).ok()
    };
    groups.iter().filter_map(make).collect()
}

fn pieces<'a>(
    asked: &Asked<'a>,
    group: &Group<'a>,
    id: PartId,
    lot: Option<LotId>,
    figures: &mut Figures,
) -> Result<Kind<'a>, Missing> {
    let plan = asked.plan;
    let Some(part) = plan.part(id) else {
        return Err(Missing::PartRecords(id, text::part_gone(id.0)));
    };
    let name = || part.name.clone();
    let records = PartRecords::new(part, asked.catalogue);
    let records = records.ok_or_else(|| Missing::PartRecords(id, name()))?;
    let lot = lot.and_then(|id| plan.lot(id)).map(AsRef::as_ref);
    let extracted = extracted(&records, lot);
    let enters = entering_state(lot, &records);
    let masses = records.masses(extracted.share.clamp(0.0, 1.0));
    let masses = masses.ok_or_else(|| Missing::Mass(id, name()))?;
    let first_step = masses.first_step_g > 0.0;
    if first_step && matches!(enters, MassState::Brown | MassState::Dry) {
        let of = lot.map_or_else(
            || format!("part {}", part.name),
            |l| format!("lot {}", l.name),
        );
        figures.extracted(of, &extracted);
    }
    let item = group.on.first().map(|(_, _, p)| &p.item);
    let sized = item.and_then(|item| asked.sizes.of(item, asked.catalogue));
    let sized = sized.ok_or_else(|| Missing::Body(id, name()))?;
    let section = part.green_section_mm(records.feedstock.oversize);
    let section = section.ok_or_else(|| Missing::Section(id, name()))?;
    let (feedstock, alloy) = (records.feedstock, records.alloy);
    let green = scale(part, feedstock, alloy, 0.0, SizeStage::Green);
    let loading = figures.of(feedstock, "loading", "", feedstock.loading);
    let solid = figures.table(
        alloy,
        "conductivity_w_mk",
        "W/mK",
        &alloy.conductivity_w_mk,
        &[(300.0, generic::ALLOY_CONDUCTIVITY_W_MK)],
    );
    let brown = figures.or(
        feedstock,
        "brown_conductivity_w_mk",
        "W/mK",
        feedstock.brown_conductivity_w_mk,
        generic::BROWN_CONDUCTIVITY_W_MK,
    );
    let cp = figures.table(
        alloy,
        "cp_j_kgk",
        "J/kgK",
        &alloy.cp_j_kgk,
        &generic::ALLOY_CP_J_KGK,
    );
    let mut shine = |field: &str, value: Option<f64>, usual| {
        figures.or(alloy, &format!("emissivity.{field}"), "", value, usual)
    };
    let e = alloy.emissivity;
    let emissivity = Emissivity {
        brown: shine("brown", e.map(|e| e.brown), generic::BROWN_EMISSIVITY),
        reduced: shine("reduced", e.map(|e| e.reduced), generic::REDUCED_EMISSIVITY),
        sintered: shine(
            "sintered",
            e.map(|e| e.sintered),
            generic::SINTERED_EMISSIVITY,
        ),
    };
    let binder_g_cm3 = binder_density(records.binder);
    let density = green_density(loading, alloy.density_g_cm3, binder_g_cm3);
    figures.of(alloy, "density_g_cm3", "g/cm³", alloy.density_g_cm3);
    let seen = Seen::new(&part.geometry, green, &sized);
    let key = KindKey {
        is: group.is.clone(),
        name: text::kind(&part.name, lot.map(|l| l.name.as_str())),
        pieces: group.on.len(),
        enters,
        first_step,
        extracted: Some(extracted),
    };
    Ok(Kind {
        entering_g: masses.in_state(enters),
        volume_mm3: masses.green_g / density * 1e3,
        outline_mm2: seen.outline_mm2,
        height_mm: sized.at(SizeStage::Green).body.height_mm(),
        heat: KindHeat {
            name: key.name.clone(),
            section_m: section * 1e-3,
            cp,
            conductivity: body(brown, &solid, loading),
            emissivity,
            plan_over_wet: seen.plan_over_wet,
            footprint_share: seen.footprint_share,
        },
        made_of: Some((records, masses)),
        sized,
        key,
    })
}

fn dummy<'a>(
    asked: &Asked<'a>,
    group: &Group<'a>,
    material: &str,
    figures: &mut Figures,
) -> Result<Kind<'a>, Missing> {
    let record = asked.catalogue.material(material);
    let record = record.ok_or_else(|| Missing::Material(material.to_owned()))?;
    let record = record.as_ref();
    let at = |level: LevelId| Missing::Dummy(asked.plan.level_label(level));
    let level = group
        .on
        .first()
        .and_then(|(_, _, p)| asked.plan.placement(p.id));
    let level = level.map_or(LevelId(0), |(l, _)| l.id);
    let (shape, mass_g) = group.dummy.ok_or_else(|| at(level))?;
    let geometry = measure_typed(shape).map_err(|_| at(level))?;
    let item = group.on.first().map(|(_, _, p)| &p.item);
    let sized = item.and_then(|item| asked.sizes.of(item, asked.catalogue));
    let sized = sized.ok_or_else(|| at(level))?;
    let seen = Seen::new(&geometry, [1.0; 3], &sized);
    let thinnest = geometry.size_mm.into_iter().fold(f64::INFINITY, f64::min);
    let key = KindKey {
        is: group.is.clone(),
        name: text::dummies(record.name()),
        pieces: group.on.len(),
        enters: MassState::Sintered,
        first_step: false,
        extracted: None,
    };
    Ok(Kind {
        made_of: None,
        entering_g: mass_g,
        volume_mm3: geometry.volume_mm3,
        outline_mm2: seen.outline_mm2,
        height_mm: sized.at(SizeStage::Green).body.height_mm(),
        heat: KindHeat {
            name: key.name.clone(),
            section_m: geometry.section_mm.unwrap_or(thinnest) * 1e-3,
            cp: ceramic_cp(record, figures),
            conductivity: ceramic_conductivity(record, figures),
            emissivity: Emissivity::constant(ceramic_emissivity(record, figures)),
            plan_over_wet: seen.plan_over_wet,
            footprint_share: seen.footprint_share,
        },
        sized,
        key,
    })
}

/// Heat capacity of what setters and dummies are made of.
pub(super) fn ceramic_cp(record: &crate::catalogue::Material, figures: &mut Figures) -> Curve {
    let usual = &generic::CERAMIC_CP_J_KGK;
    figures.table(record, "cp_j_kgk", "J/kgK", &record.cp_j_kgk, usual)
}

/// Its conductivity.
pub(super) fn ceramic_conductivity(
    record: &crate::catalogue::Material,
    figures: &mut Figures,
) -> Curve {
    figures.table(
        record,
        "conductivity_w_mk",
        "W/mK",
        &record.conductivity_w_mk,
        &[(300.0, generic::CERAMIC_CONDUCTIVITY_W_MK)],
    )
}

/// Its emissivity.
pub(super) fn ceramic_emissivity(
    record: &crate::catalogue::Material,
    figures: &mut Figures,
) -> f64 {
    let usual = generic::SETTER_EMISSIVITY;
    figures.or(record, "emissivity", "", record.emissivity, usual)
}

/// Conductivity of a body on its way: a bed of powder until necks form, then the solid's with the
/// pores of the loading (Koh and Fortini). Pores that close later would let more through.
fn body(brown: f64, solid: &Curve, loading: f64) -> Curve {
    let open = koh_fortini(1.0 - loading);
    let mut points = vec![(300.0, brown), (generic::NECKS_FROM_K, brown)];
    let knots = solid.points().iter().map(|p| p.0);
    let after =
        std::iter::once(generic::NECKS_TO_K).chain(knots.filter(|k| *k > generic::NECKS_TO_K));
    points.extend(after.map(|k| (k, (solid.at(k) * open).max(brown))));
    Curve::new(&points).unwrap_or_else(|| Curve::constant(brown))
}

/// Areas of a green piece.
struct Seen {
    outline_mm2: f64,
    plan_over_wet: f64,
    footprint_share: f64,
}

impl Seen {
    fn new(geometry: &Geometry, green: [f64; 3], sized: &Sized) -> Seen {
        let outline_mm2 = sized.at(SizeStage::Green).covers_mm2();
        let [x, y, _] = green;
        let footprint = geometry.footprint.area() * x * y;
        // Factors of the axes differ by a per cent or two; their mean does for a surface.
        let mean = libm::cbrt(green.iter().product::<f64>());
        let wet = (geometry.area_mm2 * mean * mean - footprint).max(outline_mm2);
        let over = |a: f64, b: f64| {
            if b > 0.0 {
                (a / b).clamp(0.0, 1.0)
            } else {
                1.0
            }
        };
        Seen {
            outline_mm2,
            plan_over_wet: over(outline_mm2, wet),
            footprint_share: over(footprint, outline_mm2),
        }
    }
}
