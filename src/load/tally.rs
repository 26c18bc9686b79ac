//! Masses, counts and fill, per level and whole.

use super::clearance::usable_face;
use super::plan::{Carrier, Item, Level, LevelId, Lot, Placement, Plan};
use super::sized::{Sized, Sizes};
use crate::catalogue::{
    Alloy, Binder, Catalogue, Feedstock, Furnace, Setter, Support, SupportKind,
};
use crate::geometry::Region;
use crate::part::{MassState, Masses, Part, SizeStage, masses};
use std::collections::BTreeMap;
use std::f64::consts::PI;

/// A part record with the records that it needs.
#[derive(Clone, Copy, Debug)]
pub struct PartRecords<'a> {
    /// Part.
    pub part: &'a Part,
    /// Its feedstock.
    pub feedstock: &'a Feedstock,
    /// Its alloy.
    pub alloy: &'a Alloy,
    /// Its binder.
    pub binder: &'a Binder,
}

/// What the records say of a part on a material.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OnMaterial {
    /// The feedstock lists it.
    Listed,
    /// The alloy must not touch it.
    RefusedByAlloy,
    /// The feedstock lists others.
    NotListed,
    /// The feedstock lists none.
    Unknown,
}

/// Material that a part touches: a sheet's or a powder's where one lies between, else the setter's
/// face. A raft is the part's own and stands on the face.
pub fn contact_material<'a>(setter: &'a Setter, support: Option<&'a Support>) -> &'a str {
    match support {
        Some(support) if support.kind != SupportKind::Raft => &support.material,
        _ => setter.face_material.as_ref().unwrap_or(&setter.material),
    }
}

impl<'a> PartRecords<'a> {
    /// Looks the records up; none where one is missing.
    pub fn new(part: &'a Part, catalogue: &'a Catalogue) -> Option<PartRecords<'a>> {
        let feedstock = catalogue.feedstock(&part.feedstock)?;
        let alloy = catalogue.alloy(&feedstock.alloy)?;
        let binder = catalogue.binder(&feedstock.binder)?;
        Some(PartRecords {
            part,
            feedstock,
            alloy,
            binder,
        })
    }

    /// Whether the part may lie on a material.
    pub fn on_material(&self, material: &str) -> OnMaterial {
        let allowed = &self.feedstock.setter_materials;
        if self
            .alloy
            .setter_materials_refused
            .iter()
            .any(|m| m == material)
        {
            OnMaterial::RefusedByAlloy
        } else if allowed.is_empty() {
            OnMaterial::Unknown
        } else if allowed.iter().any(|m| m == material) {
            OnMaterial::Listed
        } else {
            OnMaterial::NotListed
        }
    }

    /// Mass of one piece by state for a share extracted, g; none where it is not known.
    pub fn masses(&self, extracted: f64) -> Option<Masses> {
        masses(
            self.part,
            self.feedstock,
            self.alloy,
            self.binder,
            extracted,
        )
    }

    /// Share of the first-step binder that is out, as the lot's weighings say; where nothing was
    /// weighed the feedstock's target, which is a plan and not a measurement, and without a target
    /// none of it.
    pub fn extracted(&self, lot: Option<&Lot>) -> Extracted {
        let weighed = lot.and_then(|lot| self.measured_share(lot));
        let target = || self.feedstock.extraction_target.unwrap_or(0.0);
        Extracted {
            share: weighed.unwrap_or_else(target),
            by: match weighed {
                Some(_) => ExtractedBy::Weighing,
                None => ExtractedBy::Assumption,
            },
        }
    }

    /// (green − dry) over the first-step binder of the lot; none without both weighings.
    pub fn measured_share(&self, lot: &Lot) -> Option<f64> {
        let (green, dry) = (lot.green_g?, lot.dry_g?);
        let whole = self.masses(1.0)?;
        let first = whole.first_step_g / whole.green_g * green;
        (first > 0.0).then_some((green - dry) / first)
    }
}

/// How much of the first-step binder is out of a piece.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Extracted {
    /// Share, 0 to 1 (beyond it when the weighings are off).
    pub share: f64,
    /// How that is known.
    pub by: ExtractedBy,
}

/// How it is known what a first step took out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ExtractedBy {
    /// From the lot's weighings.
    Weighing,
    /// From the record of the bath by the model of the first step: predicted.
    Bath,
    /// The feedstock's target, or nothing taken as out: assumed.
    Assumption,
}

impl ExtractedBy {
    /// In words.
    pub fn word(self) -> &'static str {
        match self {
            ExtractedBy::Weighing => "weighed",
            ExtractedBy::Bath => "predicted",
            ExtractedBy::Assumption => "assumed",
        }
    }
}

/// Sums over one level, or over the load.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sums {
    /// Production parts.
    pub parts: usize,
    /// Coupons.
    pub coupons: usize,
    /// Production parts and coupons by state, g, in the order of [`MassState::ALL`].
    pub by_state_g: [f64; 5],
    /// The same as they enter the furnace, g.
    pub entering_g: f64,
    /// Binder still in them as they enter, g.
    pub binder_g: f64,
    /// Setters, posts and supports that do not shrink, g.
    pub furniture_g: f64,
    /// Dummy masses, g.
    pub dummy_g: f64,
    /// Things whose part, feedstock, alloy, binder, setter, post or mass is unknown; they are not
    /// in the sums.
    pub unknown: usize,
    /// Pieces whose extraction is the feedstock's target instead of a weighing.
    pub extraction_assumed: usize,
}

impl Sums {
    /// Everything that stands on the hearth, g, as the load enters.
    pub fn total_g(&self) -> f64 {
        self.entering_g + self.furniture_g + self.dummy_g
    }

    /// Mass in a state, g.
    pub fn in_state(&self, state: MassState) -> f64 {
        self.by_state_g[state as usize]
    }

    fn add(&mut self, other: &Sums) {
        self.parts += other.parts;
        self.coupons += other.coupons;
        for (mine, theirs) in self.by_state_g.iter_mut().zip(other.by_state_g) {
            *mine += theirs;
        }
        self.entering_g += other.entering_g;
        self.binder_g += other.binder_g;
        self.furniture_g += other.furniture_g;
        self.dummy_g += other.dummy_g;
        self.unknown += other.unknown;
        self.extraction_assumed += other.extraction_assumed;
    }
}

/// One level's tally.
#[derive(Clone, Debug, PartialEq)]
pub struct LevelTally {
    /// Which.
    pub level: LevelId,
    /// Sums. The setter and the posts that carry it are in the furniture.
    pub sums: Sums,
    /// Mass on the plate as it enters, without the plate, g.
    pub on_plate_g: f64,
    /// Usable face of the setter, mm².
    pub face_mm2: Option<f64>,
    /// Outlines of everything on it, green, mm².
    pub covered_mm2: f64,
}

impl LevelTally {
    /// Share of the usable face that is covered.
    pub fn fill(&self) -> Option<f64> {
        self.face_mm2
            .filter(|face| *face > 0.0)
            .map(|face| self.covered_mm2 / face)
    }
}

/// Tally of a load.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tally {
    /// Levels, stack by stack, bottom first.
    pub levels: Vec<LevelTally>,
    /// The whole.
    pub whole: Sums,
    /// Pieces placed by part record number.
    pub pieces: BTreeMap<u32, usize>,
    /// Pieces placed by lot number.
    pub lots: BTreeMap<u32, usize>,
    /// Height from hearth to the top of the tallest stack's parts, green, over the hot zone's.
    pub height_fill: Option<f64>,
    /// Total mass over the furnace's rating.
    pub rating_fill: Option<f64>,
}

impl Tally {
    /// Share of all usable faces that is covered.
    pub fn area_fill(&self) -> Option<f64> {
        let face: f64 = self.levels.iter().filter_map(|l| l.face_mm2).sum();
        let covered: f64 = self.levels.iter().map(|l| l.covered_mm2).sum();
        (face > 0.0).then(|| covered / face)
    }
}

/// Area of a region, mm².
pub fn region_area(region: &Region) -> f64 {
    match region {
        Region::Rectangle { width_mm, depth_mm } => width_mm * depth_mm,
        Region::Disc { diameter_mm } => PI * diameter_mm * diameter_mm / 4.0,
        Region::Polygon(outline) => outline.area(),
    }
}

/// Adds a load up. The order of placements does not matter: sums are taken over part records,
/// lots and supports, then over levels bottom up.
pub fn tally(
    plan: &Plan,
    catalogue: &Catalogue,
    furnace: Option<&Furnace>,
    sizes: &Sizes,
) -> Tally {
    let mut out = Tally::default();
    for (_, level) in plan.levels() {
        let one = level_tally(level, plan, catalogue, sizes, &mut out);
        out.whole.add(&one.sums);
        out.levels.push(one);
    }
    if let Some(furnace) = furnace {
        out.rating_fill = Some(out.whole.total_g() / 1000.0 / furnace.mass_rating_kg);
        out.height_fill = height_fill(plan, catalogue, furnace, sizes);
    }
    out
}

/// What makes two pieces weigh and cover the same.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Same {
    part: u32,
    lot: Option<u32>,
    coupon: bool,
}

fn level_tally(
    level: &Level,
    plan: &Plan,
    catalogue: &Catalogue,
    sizes: &Sizes,
    whole: &mut Tally,
) -> LevelTally {
    let mut sums = Sums::default();
    let setter = catalogue.setter(&level.setter);
    match setter {
        Some(setter) => sums.furniture_g += setter.mass_g,
        None => sums.unknown += 1,
    }
    if let Carrier::Posts { post, at_mm } = &level.carrier {
        match catalogue.post(post) {
            Some(post) => sums.furniture_g += post.mass_g * at_mm.len() as f64,
            None => sums.unknown += 1,
        }
    }
    let mut pieces: BTreeMap<Same, usize> = BTreeMap::new();
    let mut supports: BTreeMap<(&str, Same), usize> = BTreeMap::new();
    let mut dummies: Vec<(f64, f64)> = Vec::new();
    for placement in &level.placements {
        let same = match &placement.item {
            Item::Part { part, lot } => Same {
                part: part.0,
                lot: lot.map(|l| l.0),
                coupon: false,
            },
            Item::Coupon { part, .. } => Same {
                part: part.0,
                lot: None,
                coupon: true,
            },
            Item::Dummy { mass_g, .. } => {
                let area = sizes
                    .of(&placement.item, catalogue)
                    .map_or(0.0, |s| s.at(SizeStage::Green).covers_mm2());
                dummies.push((*mass_g, area));
                continue;
            }
            Item::Sensor { .. } => continue,
        };
        *pieces.entry(same).or_default() += 1;
        if let Some(support) = &placement.support {
            *supports.entry((support.as_str(), same)).or_default() += 1;
        }
    }
    // Sorted, so that the sum does not depend on the order of placements.
    dummies.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let mut covered_mm2 = 0.0;
    for (mass, area) in dummies {
        sums.dummy_g += mass;
        covered_mm2 += area;
    }
    for (same, count) in &pieces {
        if !same.coupon {
            *whole.pieces.entry(same.part).or_default() += count;
        }
        if let Some(lot) = same.lot {
            *whole.lots.entry(lot).or_default() += count;
        }
        covered_mm2 += add_pieces(&mut sums, *same, *count, plan, catalogue, sizes);
    }
    for ((id, same), count) in &supports {
        add_supports(&mut sums, id, *same, *count, plan, catalogue, sizes);
    }
    let carried = sums.furniture_g
        - setter.map_or(0.0, |s| s.mass_g)
        - match &level.carrier {
            Carrier::Posts { post, at_mm } => catalogue
                .post(post)
                .map_or(0.0, |p| p.mass_g * at_mm.len() as f64),
            _ => 0.0,
        };
    LevelTally {
        level: level.id,
        on_plate_g: sums.entering_g + sums.dummy_g + carried.max(0.0),
        face_mm2: setter.map(|s: &std::sync::Arc<Setter>| region_area(&usable_face(s, 1.0))),
        covered_mm2,
        sums,
    }
}

/// Adds `count` equal pieces; gives the area that they cover green, mm².
fn add_pieces(
    sums: &mut Sums,
    same: Same,
    count: usize,
    plan: &Plan,
    catalogue: &Catalogue,
    sizes: &Sizes,
) -> f64 {
    let n = count as f64;
    if same.coupon {
        sums.coupons += count;
    } else {
        sums.parts += count;
    }
    let part = plan.parts.iter().find(|p| p.id.0 == same.part);
    let Some(records) = part.and_then(|part| PartRecords::new(part, catalogue)) else {
        sums.unknown += count;
        return 0.0;
    };
    let lot = same
        .lot
        .and_then(|id| plan.lots.iter().find(|l| l.id.0 == id));
    let extracted = records.extracted(lot.map(AsRef::as_ref));
    let enters = entering_state(lot.map(AsRef::as_ref), &records);
    match records.masses(extracted.share.clamp(0.0, 1.0)) {
        Some(masses) => {
            for (sum, state) in sums.by_state_g.iter_mut().zip(MassState::ALL) {
                *sum += n * masses.in_state(state);
            }
            sums.entering_g += n * masses.in_state(enters);
            sums.binder_g += n * masses.binder_left_g(enters);
            let taken = matches!(enters, MassState::Brown | MassState::Dry);
            if masses.first_step_g > 0.0 && extracted.by != ExtractedBy::Weighing && taken {
                sums.extraction_assumed += count;
            }
        }
        // It stands there all the same.
        None => sums.unknown += count,
    }
    let item = Item::Coupon {
        part: records.part.id,
        label: String::new(),
    };
    let area = sizes
        .of(&item, catalogue)
        .map_or(0.0, |s| s.at(SizeStage::Green).covers_mm2());
    n * area
}

/// State in which pieces enter: as the lot says; otherwise dry where the route has a first step,
/// green where it has none.
pub fn entering_state(lot: Option<&Lot>, records: &PartRecords) -> MassState {
    match lot {
        Some(lot) => lot.enters,
        None if records.binder.components.iter().any(|c| c.first_step) => MassState::Dry,
        None => MassState::Green,
    }
}

/// The support under one piece.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SupportBed {
    /// Mass, g; green for a raft.
    pub mass_g: f64,
    /// Its middle from the piece's anchor, mm, unturned.
    pub middle_mm: [f64; 2],
}

/// A support covers the box of the green footprint and its own margin around it.
pub fn support_bed(support: &Support, sized: &Sized) -> Option<SupportBed> {
    let [low, high] = sized.at(SizeStage::Green).body.footprint()?.bounds()?;
    let margin = 2.0 * support.margin_mm;
    let area_cm2 = (high[0] - low[0] + margin) * (high[1] - low[1] + margin) / 100.0;
    Some(SupportBed {
        mass_g: area_cm2 * support.mass_g_cm2,
        middle_mm: [(low[0] + high[0]) / 2.0, (low[1] + high[1]) / 2.0],
    })
}

fn add_supports(
    sums: &mut Sums,
    id: &str,
    same: Same,
    count: usize,
    plan: &Plan,
    catalogue: &Catalogue,
    sizes: &Sizes,
) {
    let Some(support) = catalogue.support(id) else {
        sums.unknown += count;
        return;
    };
    let part = plan.parts.iter().find(|p| p.id.0 == same.part);
    let Some(records) = part.and_then(|part| PartRecords::new(part, catalogue)) else {
        sums.unknown += count;
        return;
    };
    let item = Item::Coupon {
        part: records.part.id,
        label: String::new(),
    };
    let Some(sized) = sizes.of(&item, catalogue) else {
        return;
    };
    let Some(bed) = support_bed(support, &sized) else {
        return;
    };
    let mass = count as f64 * bed.mass_g;
    if support.kind != SupportKind::Raft {
        sums.furniture_g += mass;
        return;
    }
    // A raft is the part's own feedstock: it brings binder and shrinks.
    let lot = same
        .lot
        .and_then(|id| plan.lots.iter().find(|l| l.id.0 == id));
    let extracted = records
        .extracted(lot.map(AsRef::as_ref))
        .share
        .clamp(0.0, 1.0);
    // Shares of its mass, whatever that is.
    let Some(one) = records.masses(extracted) else {
        sums.unknown += count;
        return;
    };
    let enters = entering_state(lot.map(AsRef::as_ref), &records);
    let share = |state: MassState| mass * one.in_state(state) / one.green_g;
    for (sum, state) in sums.by_state_g.iter_mut().zip(MassState::ALL) {
        *sum += share(state);
    }
    sums.entering_g += share(enters);
    sums.binder_g += mass * one.binder_left_g(enters) / one.green_g;
}

/// Height of the tallest stack with its parts, green, over the hot zone's height.
fn height_fill(
    plan: &Plan,
    catalogue: &Catalogue,
    furnace: &Furnace,
    sizes: &Sizes,
) -> Option<f64> {
    let (hearth, roof) = super::heights::floor_and_roof(&furnace.hot_zone);
    let mut top = hearth;
    for stack in &plan.load.stacks {
        let heights = super::heights::stack_heights(stack, catalogue, furnace);
        for (level, height) in stack.levels.iter().zip(heights) {
            let height = height.ok()?;
            let tallest = level
                .placements
                .iter()
                .filter_map(|p: &Placement| {
                    let sized = sizes.of(&p.item, catalogue)?;
                    let body = &sized.at(SizeStage::Green).body;
                    Some(super::sized::lift_mm(p, catalogue) + body.height_mm())
                })
                .fold(0.0, f64::max);
            top = f64::max(top, height.rim_mm.max(height.face_mm + tallest));
        }
    }
    (roof > hearth).then(|| (top - hearth) / (roof - hearth))
}
