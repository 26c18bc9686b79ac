//! The plan: one immutable value, shared by `Arc` per level, part and lot.

use crate::catalogue::{Catalogue, ShopState};
use crate::part::{MassState, Part, PartId, Shape};
use crate::profile::Profile;
use crate::text::names;
use std::collections::BTreeMap;
use std::sync::Arc;

macro_rules! id {
    ($($(#[$doc:meta])* $name:ident;)*) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(pub u32);
    )*};
}
id! {
    /// Number of a stack in its plan; never used again.
    StackId;
    /// Number of a level in its plan; never used again.
    LevelId;
    /// Number of a placement in its plan; never used again.
    PlacementId;
    /// Number of a lot in its plan; never used again.
    LotId;
}

/// What stands on a setter.
#[derive(Clone, Debug, PartialEq)]
pub enum Item {
    /// A part to be made.
    Part {
        /// Which.
        part: PartId,
        /// Its lot, where one is assigned.
        lot: Option<LotId>,
    },
    /// A witness coupon.
    Coupon {
        /// The part record that it is made to.
        part: PartId,
        /// Its mark.
        label: String,
    },
    /// A mass that stands in for parts; it does not shrink.
    Dummy {
        /// Typed shape; never a mesh.
        shape: Shape,
        /// Mass, g.
        mass_g: f64,
        /// Material slug, for its expansion.
        material: String,
    },
    /// Tip of a load thermocouple.
    Sensor {
        /// Slug of the furnace's load thermocouple.
        sensor: String,
        /// Height of the tip above the setter, mm.
        height_mm: f64,
    },
}

impl Item {
    /// Whether it is the tip of a load thermocouple.
    pub fn is_tip(&self) -> bool {
        matches!(self, Item::Sensor { .. })
    }

    /// Whether it is a part to be made, no coupon and nothing that only stands there.
    pub fn is_production(&self) -> bool {
        matches!(self, Item::Part { .. })
    }

    /// The lot of a part, where one is assigned.
    pub fn lot(&self) -> Option<LotId> {
        match self {
            Item::Part { lot, .. } => *lot,
            Item::Coupon { .. } | Item::Dummy { .. } | Item::Sensor { .. } => None,
        }
    }

    /// The part record, for parts and coupons.
    pub fn part(&self) -> Option<PartId> {
        match self {
            Item::Part { part, .. } | Item::Coupon { part, .. } => Some(*part),
            Item::Dummy { .. } | Item::Sensor { .. } => None,
        }
    }
}

/// One thing on a setter. x and y count from the setter's centre to the item's anchor point.
#[derive(Clone, Debug, PartialEq)]
pub struct Placement {
    /// Number in the plan.
    pub id: PlacementId,
    /// What.
    pub item: Item,
    /// Anchor point from the setter's centre, mm; x to the right, y away from the door.
    pub at_mm: [f64; 2],
    /// Turn about the anchor, degrees, counter-clockwise seen from above.
    pub angle_deg: f64,
    /// Support slug under the item.
    pub support: Option<String>,
    /// Not to be moved by an arrangement.
    pub locked: bool,
}

/// What carries a setter.
#[derive(Clone, Debug, PartialEq)]
pub enum Carrier {
    /// It lies on the hearth.
    Hearth,
    /// Posts that stand on the level below, or on the hearth.
    Posts {
        /// Post slug.
        post: String,
        /// Centres from the setter's centre, mm.
        at_mm: Vec<[f64; 2]>,
    },
    /// The rim of the setter below.
    Rim,
    /// Feet of its own.
    Feet {
        /// Height, mm.
        height_mm: f64,
    },
    /// A slot of the furnace's rack, counted from 0 at the bottom.
    RackSlot(usize),
}

/// A setter and what stands on it.
#[derive(Clone, Debug, PartialEq)]
pub struct Level {
    /// Number in the plan.
    pub id: LevelId,
    /// Setter slug.
    pub setter: String,
    /// What carries it.
    pub carrier: Carrier,
    /// What stands on it.
    pub placements: Vec<Placement>,
}

/// Levels one above the other, bottom first.
#[derive(Clone, Debug, PartialEq)]
pub struct Stack {
    /// Number in the plan.
    pub id: StackId,
    /// Centre in the hot zone, mm; x to the right, y away from the door.
    pub at_mm: [f64; 2],
    /// Levels, bottom first.
    pub levels: Vec<Arc<Level>>,
}

/// Levels taken out of a stack.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Lowered {
    /// Levels that go.
    pub gone: Vec<LevelId>,
    /// Levels that come down, with what carries them then.
    pub onto: Vec<(LevelId, Carrier)>,
}

impl Stack {
    /// Takes levels out. What stood on them comes down to where the lowest of them stood: on its posts,
    /// so that the level below keeps its head room and the posts their places. A level in a rack's slot
    /// stays where what is on it has nothing else to stand on.
    pub fn without_levels(&self, goes: impl Fn(&Level) -> bool) -> Lowered {
        let slot = |level: &Level| matches!(level.carrier, Carrier::RackSlot(_));
        let mut lowered = Lowered::default();
        let mut emptied: Vec<&Level> = Vec::new();
        for level in &self.levels {
            if goes(level) {
                emptied.push(level);
                continue;
            }
            let under = std::mem::take(&mut emptied);
            let stays = match slot(level) {
                true => None,
                false => under.iter().rposition(|l| slot(l)),
            };
            let gone = under.iter().enumerate().filter(|(i, _)| Some(*i) != stays);
            lowered.gone.extend(gone.map(|(_, l)| l.id));
            let lowest = under.get(stays.map_or(0, |at| at + 1));
            if let Some(lowest) = lowest.filter(|_| !slot(level)) {
                lowered.onto.push((level.id, lowest.carrier.clone()));
            }
        }
        lowered.gone.extend(emptied.iter().map(|l| l.id));
        lowered
    }
}

/// The furnace charge.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Load {
    /// Furnace slug.
    pub furnace: String,
    /// Stacks side by side.
    pub stacks: Vec<Stack>,
}

/// The bath of the first step as one lot saw it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Bath {
    /// Solvent, in the shop's words.
    pub solvent: Option<String>,
    /// Which bath.
    pub bath_id: Option<String>,
    /// Temperature, °C.
    pub temp_c: Option<f64>,
    /// Time in it, min.
    pub minutes: Option<f64>,
    /// Wax that it held already, g/L.
    pub wax_g_l: Option<f64>,
    /// Which basket.
    pub basket: Option<String>,
    /// Whether the parts lay with one face on a tray, which does not extract.
    pub on_tray: Option<bool>,
    /// When it ended, `2026-11-26 14:30`.
    pub ended: Option<String>,
    /// Last day on which the solvent may be used.
    pub expires: Option<String>,
}

/// Pieces that went through moulding and the first step together. `..Lot::default()` fills in
/// what is not known.
#[derive(Clone, Debug, PartialEq)]
pub struct Lot {
    /// Number in the plan.
    pub id: LotId,
    /// Lot number as written on the tray.
    pub name: String,
    /// The part.
    pub part: PartId,
    /// Pieces to go into this load.
    pub count: u32,
    /// State in which they enter the furnace.
    pub enters: MassState,
    /// Customer, where limits depend on it.
    pub customer: Option<String>,
    /// Mass of all pieces green, g.
    pub green_g: Option<f64>,
    /// Mass of all pieces dry, g.
    pub dry_g: Option<f64>,
    /// Mass at the weighing before the last, g.
    pub previous_dry_g: Option<f64>,
    /// Time in the dryer, min.
    pub dried_min: Option<f64>,
    /// Lot number of the feedstock.
    pub feedstock_lot: Option<String>,
    /// Last day on which that feedstock may be used.
    pub feedstock_expires: Option<String>,
    /// Number of the certificate of the feedstock lot.
    pub certificate: Option<String>,
    /// Slug of the shop's balance on which it was weighed.
    pub balance: Option<String>,
    /// Oversize factors of this feedstock lot, where they are known.
    pub oversize: Option<[f64; 3]>,
    /// Bath of the first step.
    pub bath: Option<Bath>,
    /// When the green mass was weighed, `2026-11-26 14:30`.
    pub green_at: Option<String>,
    /// When the mass before the last was weighed.
    pub previous_dry_at: Option<String>,
    /// When the last, dry mass was weighed.
    pub dry_at: Option<String>,
    /// Temperature of the dryer, °C.
    pub dryer_c: Option<f64>,
    /// Whether the dryer was ventilated.
    pub dryer_ventilated: Option<bool>,
    /// Whether acid was purged out after a catalytic first step.
    pub acid_purged: Option<bool>,
}

impl Default for Lot {
    fn default() -> Lot {
        Lot::new(LotId(0), "", PartId(0))
    }
}

impl Lot {
    /// The lot with what holds for its number, whichever of its pieces are meant: state, customer,
    /// feedstock and oversize; without what was done with the pieces that were counted here, which
    /// says nothing of others.
    pub fn papers(&self) -> Lot {
        Lot {
            enters: self.enters,
            customer: self.customer.clone(),
            feedstock_lot: self.feedstock_lot.clone(),
            feedstock_expires: self.feedstock_expires.clone(),
            certificate: self.certificate.clone(),
            oversize: self.oversize,
            ..Lot::new(self.id, &self.name, self.part)
        }
    }

    /// Dry pieces of which nothing is known yet, not even how many.
    pub fn new(id: LotId, name: &str, part: PartId) -> Lot {
        Lot {
            id,
            name: name.to_owned(),
            part,
            count: 0,
            enters: MassState::Dry,
            customer: None,
            green_g: None,
            dry_g: None,
            previous_dry_g: None,
            dried_min: None,
            feedstock_lot: None,
            feedstock_expires: None,
            certificate: None,
            balance: None,
            oversize: None,
            bath: None,
            green_at: None,
            previous_dry_at: None,
            dry_at: None,
            dryer_c: None,
            dryer_ventilated: None,
            acid_purged: None,
        }
    }
}

/// Something a person states that no plan can compute.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Declaration {
    /// Slug of the question.
    pub question: String,
    /// Answer: yes, no, or a quantity with its unit.
    pub answer: String,
    /// Who.
    pub by: String,
    /// When, year-month-day.
    pub on: String,
    /// Time of that day, hour:minute.
    pub at: Option<String>,
    /// What it is about where not the whole load: a subject as findings name it, e.g. `lot 3`.
    pub about: Option<String>,
}

impl Declaration {
    /// Day and time at which it was said, for order: without a time, the beginning of the day.
    pub fn when(&self) -> (&str, &str) {
        (&self.on, self.at.as_deref().unwrap_or_default())
    }
}

/// A written procedure and its revision.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ProcedureRef {
    /// Name or number of the document.
    pub name: String,
    /// Revision.
    pub revision: String,
}

/// A name under a plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Signature {
    /// As what: a role in the shop's words.
    pub role: String,
    /// Who.
    pub by: String,
    /// When, year-month-day.
    pub on: String,
    /// Time of that day, hour:minute.
    pub at: Option<String>,
}

/// A finding that a person takes on, for these subjects, this limit and this value.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Acceptance {
    /// Check slug.
    pub check: String,
    /// Subjects, as in the finding, sorted.
    pub subjects: Vec<String>,
    /// The limit: which, whose, how much and in which revision.
    pub limit: Option<String>,
    /// Value accepted, at printed digits.
    pub value: Option<String>,
    /// Name; in older files role and name.
    pub by: String,
    /// Why.
    pub reason: String,
    /// When, year-month-day.
    pub on: String,
    /// Role in which it was taken on.
    pub role: Option<String>,
    /// The furnace's written procedure that deals with it; nothing else will do for safety.
    pub procedure: Option<ProcedureRef>,
}

/// Records that a load file carries, so that it opens and reviews alike anywhere.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RecordsUsed {
    /// Records by kind, as embedded.
    pub catalogue: Catalogue,
    /// State of the shop when it was saved.
    pub shop: Option<ShopState>,
    /// SHA-256 of each record at the time of saving: (kind, id, origin, hash).
    pub hashes: Vec<RecordHash>,
}

/// Hash and origin of an embedded record.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RecordHash {
    /// Kind in words.
    pub kind: String,
    /// Slug.
    pub id: String,
    /// Where it came from: `built-in`, `shop` or `load`.
    pub origin: String,
    /// SHA-256 of its canonical form, hexadecimal.
    pub sha256: String,
}

/// A plan: load, profile, parts, lots and what people said about them.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// Title.
    pub title: String,
    /// Note.
    pub note: String,
    /// Planned start, year-month-day.
    pub planned_start: Option<String>,
    /// Time of that day, hour:minute.
    pub planned_start_time: Option<String>,
    /// File name of the standard load that it began from, in the shop folder.
    pub begun_from: Option<String>,
    /// Next number for anything that gets one.
    pub next_id: u32,
    /// The charge.
    pub load: Load,
    /// The thermal profile.
    pub profile: Arc<Profile>,
    /// Part records.
    pub parts: Vec<Arc<Part>>,
    /// Lots.
    pub lots: Vec<Arc<Lot>>,
    /// Declarations.
    pub declarations: Vec<Declaration>,
    /// Acceptances.
    pub acceptances: Vec<Acceptance>,
    /// Signatures.
    pub signatures: Vec<Signature>,
    /// In a standard load: least and greatest charge for which it was tried, kg of green parts.
    pub validated_kg: Option<[f64; 2]>,
    /// Records that came with the file.
    pub records_used: Arc<RecordsUsed>,
}

impl Plan {
    /// A plan with nothing in it and a profile without segments.
    pub fn empty(furnace: &str) -> Plan {
        let profile = Profile {
            name: String::new(),
            revision: "1".to_owned(),
            start_c: 25.0,
            segments: Vec::new(),
            unload_c: 60.0,
            approval: None,
        };
        Plan::new("", furnace, profile)
    }

    /// A plan for a furnace with nothing in it.
    pub fn new(title: &str, furnace: &str, profile: Profile) -> Plan {
        Plan {
            title: title.to_owned(),
            note: String::new(),
            planned_start: None,
            planned_start_time: None,
            begun_from: None,
            next_id: 1,
            load: Load {
                furnace: furnace.to_owned(),
                stacks: Vec::new(),
            },
            profile: Arc::new(profile),
            parts: Vec::new(),
            lots: Vec::new(),
            declarations: Vec::new(),
            acceptances: Vec::new(),
            signatures: Vec::new(),
            validated_kg: None,
            records_used: Arc::default(),
        }
    }

    /// Part record by number.
    pub fn part(&self, id: PartId) -> Option<&Arc<Part>> {
        self.parts.iter().find(|p| p.id == id)
    }

    /// Lot by number.
    pub fn lot(&self, id: LotId) -> Option<&Arc<Lot>> {
        self.lots.iter().find(|l| l.id == id)
    }

    /// All levels with their stack, stack by stack, bottom first.
    pub fn levels(&self) -> impl Iterator<Item = (&Stack, &Arc<Level>)> {
        self.load
            .stacks
            .iter()
            .flat_map(|s| s.levels.iter().map(move |l| (s, l)))
    }

    /// Stack and level by the level's number.
    pub fn level(&self, id: LevelId) -> Option<(&Stack, &Arc<Level>)> {
        self.levels().find(|(_, l)| l.id == id)
    }

    /// All placements with their level.
    pub fn placements(&self) -> impl Iterator<Item = (&Level, &Placement)> {
        self.levels()
            .flat_map(|(_, l)| l.placements.iter().map(move |p| (l.as_ref(), p)))
    }

    /// Placement and its level by number.
    pub fn placement(&self, id: PlacementId) -> Option<(&Level, &Placement)> {
        self.placements().find(|(_, p)| p.id == id)
    }

    /// "level 2", or "stack 1, level 2" where there are several stacks. Derived, never stored.
    pub fn level_label(&self, id: LevelId) -> String {
        for (s, stack) in self.load.stacks.iter().enumerate() {
            if let Some(l) = stack.levels.iter().position(|level| level.id == id) {
                return if self.load.stacks.len() == 1 {
                    names::level(l)
                } else {
                    names::level_of(s, l)
                };
            }
        }
        names::level_gone().to_owned()
    }

    /// "Bracket 3": the name of the item and its place among those of the same name in the load.
    /// Derived, never stored.
    pub fn placement_label(&self, id: PlacementId) -> String {
        let Some((_, wanted)) = self.placement(id) else {
            return names::placement_gone().to_owned();
        };
        let name = self.item_name(&wanted.item);
        let number = self
            .placements()
            .filter(|(_, p)| self.item_name(&p.item) == name)
            .position(|(_, p)| p.id == id);
        format!("{name} {}", number.unwrap_or(0) + 1)
    }

    /// [`placement_label`](Plan::placement_label) of every placement, made in one go.
    pub fn placement_labels(&self) -> BTreeMap<PlacementId, String> {
        let mut numbers: BTreeMap<String, usize> = BTreeMap::new();
        self.placements()
            .map(|(_, p)| {
                let name = self.item_name(&p.item);
                let number = numbers.entry(name.clone()).or_default();
                *number += 1;
                (p.id, format!("{name} {number}"))
            })
            .collect()
    }

    /// Name of an item, without a number.
    pub fn item_name(&self, item: &Item) -> String {
        let part = |id: PartId| {
            self.part(id)
                .map_or_else(names::part_unknown, |p| p.name.clone())
        };
        match item {
            Item::Part { part: id, .. } => part(*id),
            Item::Coupon { label, .. } => names::coupon(label),
            Item::Dummy { .. } => names::dummy(),
            Item::Sensor { sensor, .. } => names::thermocouple(sensor),
        }
    }

    /// Takes a number; none where they have run out.
    pub fn take_id(&mut self) -> Option<u32> {
        let id = self.next_id;
        self.next_id = id.checked_add(1)?;
        Some(id)
    }
}
