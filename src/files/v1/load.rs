//! The load file.

use super::lot::Lot;
use super::part::{Part, Shape, measured};
use super::profile::Profile;
use super::records::Records;
use super::said::{Acceptance, Declaration, Signature};
use super::{FARTHEST_MM, MOST_DEG, count, positive, some_day, some_time, within};
use crate::files::fault::Fault;
use crate::files::kind::FileKind;
use crate::load as work;
use crate::part::PartId;
use crate::text::files as say;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use std::sync::Arc;

/// The whole file.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(in crate::files) struct LoadFile {
    kind: String,
    version: u32,
    title: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    note: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    planned_start: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    planned_start_time: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    begun_from: Option<String>,
    next_id: u32,
    furnace: String,
    stacks: Vec<Stack>,
    profile: Profile,
    parts: Vec<Part>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    lots: Vec<Lot>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    declarations: Vec<Declaration>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    acceptances: Vec<Acceptance>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    signatures: Vec<Signature>,
    /// In a standard load: least and greatest charge tried, kg of green parts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    validated_kg: Option<[f64; 2]>,
    #[serde(default, skip_serializing_if = "Records::is_empty")]
    records: Records,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Stack {
    id: u32,
    at_mm: [f64; 2],
    levels: Vec<Level>,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Level {
    id: u32,
    setter: String,
    carrier: Carrier,
    placements: Vec<Placement>,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
enum Carrier {
    Hearth,
    Posts { post: String, at_mm: Vec<[f64; 2]> },
    Rim,
    Feet { height_mm: f64 },
    RackSlot(u64),
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Placement {
    id: u32,
    item: Item,
    at_mm: [f64; 2],
    #[serde(default)]
    angle_deg: f64,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    support: Option<String>,
    #[serde(default)]
    locked: bool,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
enum Item {
    Part {
        part: u32,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        lot: Option<u32>,
    },
    Coupon {
        part: u32,
        label: String,
    },
    Dummy {
        shape: Shape,
        mass_g: f64,
        material: String,
    },
    Sensor {
        sensor: String,
        height_mm: f64,
    },
}

impl From<&work::Plan> for LoadFile {
    fn from(plan: &work::Plan) -> LoadFile {
        let work::Plan {
            title,
            note,
            planned_start,
            planned_start_time,
            begun_from,
            next_id,
            load,
            profile,
            parts,
            lots,
            declarations,
            acceptances,
            signatures,
            validated_kg,
            records_used,
        } = plan;
        let work::Load { furnace, stacks } = load;
        LoadFile {
            kind: FileKind::Load.word().to_owned(),
            version: 1,
            title: title.clone(),
            note: note.clone(),
            planned_start: planned_start.clone(),
            planned_start_time: planned_start_time.clone(),
            begun_from: begun_from.clone(),
            next_id: *next_id,
            furnace: furnace.clone(),
            stacks: stacks.iter().map(Stack::from).collect(),
            profile: Profile::from(profile.as_ref()),
            parts: parts.iter().map(|p| Part::from(p.as_ref())).collect(),
            lots: lots.iter().map(|l| Lot::from(l.as_ref())).collect(),
            declarations: declarations.iter().map(Declaration::from).collect(),
            acceptances: acceptances.iter().map(Acceptance::from).collect(),
            signatures: signatures.iter().map(Signature::from).collect(),
            validated_kg: *validated_kg,
            records: Records::from(records_used.as_ref()),
        }
    }
}

/// Looks after the numbers of a file: each once in its kind, all below the counter.
struct Numbers {
    next_id: u32,
    seen: BTreeSet<(&'static str, u32)>,
}

impl Numbers {
    fn take(&mut self, place: &str, what: &'static str, id: u32) -> Result<(), Fault> {
        let place = || format!("{place}.id");
        if id >= self.next_id {
            return Err(Fault::IdNotBelowNext {
                place: place(),
                what,
                id,
                next_id: self.next_id,
            });
        }
        if !self.seen.insert((what, id)) {
            return Err(Fault::RepeatedId {
                place: place(),
                what,
                id,
            });
        }
        Ok(())
    }
}

fn no_such(place: String, what: &str, id: u32) -> Fault {
    Fault::NoSuch {
        place,
        what: what.to_owned(),
        id: id.to_string(),
        candidates: Vec::new(),
    }
}

impl LoadFile {
    /// The plan, once everything in the file holds against everything else in it.
    pub(in crate::files) fn into_work(self) -> Result<work::Plan, Fault> {
        let LoadFile {
            kind: _,
            version: _,
            title,
            note,
            planned_start,
            planned_start_time,
            begun_from,
            next_id,
            furnace,
            stacks,
            profile,
            parts,
            lots,
            declarations,
            acceptances,
            signatures,
            validated_kg,
            records,
        } = self;
        let mut numbers = Numbers {
            next_id,
            seen: BTreeSet::new(),
        };
        some_day("", "planned_start", &planned_start)?;
        some_time("", "planned_start_time", &planned_start_time)?;
        if let Some([least, most]) = validated_kg {
            positive("", "validated_kg", least)?;
            positive("", "validated_kg", most)?;
            if most < least {
                let place = "validated_kg".to_owned();
                return Err(Fault::value(place, say::range_turned_round(least, most)));
            }
        }
        let profile = profile.into_work("profile")?;
        for (i, segment) in profile.segments.iter().enumerate() {
            numbers.take(&format!("profile.segments[{i}]"), "segment", segment.id.0)?;
        }
        let mut plan = work::Plan::new(&title, &furnace, profile);
        plan.note = note;
        plan.planned_start = planned_start;
        plan.planned_start_time = planned_start_time;
        plan.validated_kg = validated_kg;
        plan.begun_from = begun_from;
        plan.next_id = next_id;
        for (i, part) in parts.into_iter().enumerate() {
            let place = format!("parts[{i}]");
            let part = part.into_work(&place)?;
            numbers.take(&place, "part", part.id.0)?;
            plan.parts.push(Arc::new(part));
        }
        for (i, lot) in lots.into_iter().enumerate() {
            let place = format!("lots[{i}]");
            let lot = lot.into_work(&place)?;
            numbers.take(&place, "lot", lot.id.0)?;
            if plan.part(lot.part).is_none() {
                return Err(no_such(format!("{place}.part"), "part", lot.part.0));
            }
            plan.lots.push(Arc::new(lot));
        }
        let mut work_stacks = Vec::with_capacity(stacks.len());
        for (i, stack) in stacks.into_iter().enumerate() {
            work_stacks.push(stack.into_work(&format!("stacks[{i}]"), &plan, &mut numbers)?);
        }
        plan.load.stacks = work_stacks;
        for (i, declaration) in declarations.into_iter().enumerate() {
            let place = format!("declarations[{i}]");
            plan.declarations.push(declaration.into_work(&place)?);
        }
        for (i, acceptance) in acceptances.into_iter().enumerate() {
            let place = format!("acceptances[{i}]");
            plan.acceptances.push(acceptance.into_work(&place)?);
        }
        for (i, signature) in signatures.into_iter().enumerate() {
            let place = format!("signatures[{i}]");
            plan.signatures.push(signature.into_work(&place)?);
        }
        plan.records_used = Arc::new(records.into_work()?);
        Ok(plan)
    }
}

impl From<&work::Stack> for Stack {
    fn from(stack: &work::Stack) -> Stack {
        let work::Stack { id, at_mm, levels } = stack;
        Stack {
            id: id.0,
            at_mm: *at_mm,
            levels: levels.iter().map(|l| Level::from(l.as_ref())).collect(),
        }
    }
}

impl Stack {
    fn into_work(
        self,
        place: &str,
        plan: &work::Plan,
        numbers: &mut Numbers,
    ) -> Result<work::Stack, Fault> {
        let Stack { id, at_mm, levels } = self;
        numbers.take(place, "stack", id)?;
        within(place, "at_mm", &at_mm, FARTHEST_MM, "mm")?;
        let mut work_levels = Vec::with_capacity(levels.len());
        for (i, level) in levels.into_iter().enumerate() {
            let level = level.into_work(&format!("{place}.levels[{i}]"), plan, numbers)?;
            work_levels.push(Arc::new(level));
        }
        Ok(work::Stack {
            id: work::StackId(id),
            at_mm,
            levels: work_levels,
        })
    }
}

impl From<&work::Level> for Level {
    fn from(level: &work::Level) -> Level {
        let work::Level {
            id,
            setter,
            carrier,
            placements,
        } = level;
        Level {
            id: id.0,
            setter: setter.clone(),
            carrier: match carrier {
                work::Carrier::Hearth => Carrier::Hearth,
                work::Carrier::Posts { post, at_mm } => Carrier::Posts {
                    post: post.clone(),
                    at_mm: at_mm.clone(),
                },
                work::Carrier::Rim => Carrier::Rim,
                work::Carrier::Feet { height_mm } => Carrier::Feet {
                    height_mm: *height_mm,
                },
                work::Carrier::RackSlot(slot) => Carrier::RackSlot(*slot as u64),
            },
            placements: placements.iter().map(Placement::from).collect(),
        }
    }
}

impl Level {
    fn into_work(
        self,
        place: &str,
        plan: &work::Plan,
        numbers: &mut Numbers,
    ) -> Result<work::Level, Fault> {
        let Level {
            id,
            setter,
            carrier,
            placements,
        } = self;
        numbers.take(place, "level", id)?;
        let carrier = match carrier {
            Carrier::Hearth => work::Carrier::Hearth,
            Carrier::Posts { post, at_mm } => {
                let at = at_mm.as_flattened();
                within(place, "carrier.at_mm", at, FARTHEST_MM, "mm")?;
                work::Carrier::Posts { post, at_mm }
            }
            Carrier::Rim => work::Carrier::Rim,
            Carrier::Feet { height_mm } => {
                positive(place, "carrier.height_mm", height_mm)?;
                work::Carrier::Feet { height_mm }
            }
            Carrier::RackSlot(slot) => work::Carrier::RackSlot(count(place, "carrier", slot)?),
        };
        let mut work_placements = Vec::with_capacity(placements.len());
        for (i, placement) in placements.into_iter().enumerate() {
            let place = format!("{place}.placements[{i}]");
            numbers.take(&place, "placement", placement.id)?;
            work_placements.push(placement.into_work(&place, plan)?);
        }
        Ok(work::Level {
            id: work::LevelId(id),
            setter,
            carrier,
            placements: work_placements,
        })
    }
}

impl From<&work::Placement> for Placement {
    fn from(placement: &work::Placement) -> Placement {
        let work::Placement {
            id,
            item,
            at_mm,
            angle_deg,
            support,
            locked,
        } = placement;
        Placement {
            id: id.0,
            item: match item {
                work::Item::Part { part, lot } => Item::Part {
                    part: part.0,
                    lot: lot.map(|lot| lot.0),
                },
                work::Item::Coupon { part, label } => Item::Coupon {
                    part: part.0,
                    label: label.clone(),
                },
                work::Item::Dummy {
                    shape,
                    mass_g,
                    material,
                } => Item::Dummy {
                    shape: Shape::from(shape),
                    mass_g: *mass_g,
                    material: material.clone(),
                },
                work::Item::Sensor { sensor, height_mm } => Item::Sensor {
                    sensor: sensor.clone(),
                    height_mm: *height_mm,
                },
            },
            at_mm: *at_mm,
            angle_deg: *angle_deg,
            support: support.clone(),
            locked: *locked,
        }
    }
}

impl Placement {
    fn into_work(self, place: &str, plan: &work::Plan) -> Result<work::Placement, Fault> {
        let Placement {
            id,
            item,
            at_mm,
            angle_deg,
            support,
            locked,
        } = self;
        within(place, "at_mm", &at_mm, FARTHEST_MM, "mm")?;
        within(place, "angle_deg", &[angle_deg], MOST_DEG, "degrees")?;
        Ok(work::Placement {
            id: work::PlacementId(id),
            item: item.into_work(&format!("{place}.item"), plan)?,
            at_mm,
            angle_deg,
            support,
            locked,
        })
    }
}

impl Item {
    fn into_work(self, place: &str, plan: &work::Plan) -> Result<work::Item, Fault> {
        let known = |part: u32| match plan.part(PartId(part)) {
            Some(_) => Ok(PartId(part)),
            None => Err(no_such(format!("{place}.part"), "part", part)),
        };
        Ok(match self {
            Item::Part { part, lot } => {
                let part = known(part)?;
                let lot = match lot {
                    None => None,
                    Some(id) => match plan.lot(work::LotId(id)) {
                        None => return Err(no_such(format!("{place}.lot"), "lot", id)),
                        Some(lot) if lot.part != part => {
                            let place = format!("{place}.lot");
                            return Err(Fault::value(place, say::lot_of_another_part(id)));
                        }
                        Some(lot) => Some(lot.id),
                    },
                };
                work::Item::Part { part, lot }
            }
            Item::Coupon { part, label } => work::Item::Coupon {
                part: known(part)?,
                label,
            },
            Item::Dummy {
                shape,
                mass_g,
                material,
            } => {
                let shape = shape.into_work(&format!("{place}.shape"))?;
                if matches!(shape, crate::part::Shape::Mesh { .. }) {
                    return Err(Fault::value(format!("{place}.shape"), say::mesh_dummy()));
                }
                measured(&shape, crate::part::Rest::AS_DRAWN, place)?;
                positive(place, "mass_g", mass_g)?;
                work::Item::Dummy {
                    shape,
                    mass_g,
                    material,
                }
            }
            Item::Sensor { sensor, height_mm } => {
                positive(place, "height_mm", height_mm)?;
                within(place, "height_mm", &[height_mm], FARTHEST_MM, "mm")?;
                work::Item::Sensor { sensor, height_mm }
            }
        })
    }
}
