//! Edits as values. [`Edit::apply`] validates and returns the new plan or a sentence; an edit that
//! creates something carries the number it creates.

use super::edit_said::{
    check_approval, check_lot_notes, check_signature, check_time, check_validated,
};
use super::plan::{
    Acceptance, Carrier, Declaration, Item, Level, LevelId, Lot, LotId, Placement, PlacementId,
    Plan, Signature, Stack, StackId,
};
use crate::catalogue::{Catalogue, Kind, when};
use crate::part::{Geometry, Part, PartId, Rest};
use crate::profile::{Approval, EventKind, Fault, Profile, Segment, SegmentId};
use crate::text::edits as say;
use std::sync::Arc;

/// Coordinates beyond this are slips of the hand, mm.
const FARTHEST_MM: f64 = 10_000.0;

/// Where a placement goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Move {
    /// Which.
    pub id: PlacementId,
    /// To which level.
    pub level: LevelId,
    /// Anchor point from the setter's centre, mm.
    pub at_mm: [f64; 2],
    /// Turn, degrees.
    pub angle_deg: f64,
}

/// One figure of a profile beside its segments.
#[derive(Clone, Debug, PartialEq)]
pub enum ProfileFigure {
    /// Name.
    Name(String),
    /// Revision.
    Revision(String),
    /// Temperature at which it starts, °C.
    StartC(f64),
    /// Temperature below which it is unloaded, °C.
    UnloadC(f64),
}

/// A change to a plan.
#[derive(Clone, Debug, PartialEq)]
pub enum Edit {
    /// Title.
    SetTitle(String),
    /// Note.
    SetNote(String),
    /// Planned start, year-month-day.
    SetPlannedStart(Option<String>),
    /// Time of day of the planned start, hour:minute.
    SetPlannedStartTime(Option<String>),
    /// Least and greatest charge for which a standard was tried, kg of green parts.
    SetValidated(Option<[f64; 2]>),
    /// A name under the plan; it replaces an earlier one in the same role.
    Sign(Signature),
    /// Takes away the signature of a role.
    WithdrawSignature(String),
    /// Who said that the profile may run; none takes it back.
    ApproveProfile(Option<Approval>),
    /// Furnace slug.
    SetFurnace(String),
    /// A new part record.
    AddPart(Box<Part>),
    /// New part records in one step: the bodies of a file.
    AddParts(Vec<Part>),
    /// Another record under the same number.
    ChangePart(Box<Part>),
    /// Lays a part on another face; its measures there come with it.
    RestPart {
        /// Which.
        id: PartId,
        /// Which way is down.
        rest: Rest,
        /// Measured so.
        geometry: Arc<Geometry>,
    },
    /// Takes away a part record that is not placed.
    RemovePart(PartId),
    /// A new lot.
    AddLot(Lot),
    /// Another lot under the same number.
    ChangeLot(Lot),
    /// Takes away a lot; its placements keep their part.
    RemoveLot(LotId),
    /// A new stack, empty or with levels.
    AddStack(Stack),
    /// Moves a stack.
    MoveStack {
        /// Which.
        id: StackId,
        /// Centre in the hot zone, mm.
        at_mm: [f64; 2],
    },
    /// Takes away a stack and what stands in it.
    RemoveStack(StackId),
    /// A new level, empty or laid out.
    AddLevel {
        /// In which stack.
        stack: StackId,
        /// At which place from the bottom, from 0.
        index: usize,
        /// The level.
        level: Level,
    },
    /// Another setter or carrier; what stands on it stays.
    ChangeLevel {
        /// Which.
        id: LevelId,
        /// Setter slug.
        setter: String,
        /// What carries it.
        carrier: Carrier,
    },
    /// Moves a level within or between stacks.
    MoveLevel {
        /// Which.
        id: LevelId,
        /// To which stack.
        stack: StackId,
        /// At which place from the bottom, from 0, counted without it.
        index: usize,
    },
    /// Takes away a level and what stands on it.
    RemoveLevel(LevelId),
    /// Sets things down on a level.
    Place {
        /// Which level.
        level: LevelId,
        /// What; each with its new number.
        placements: Vec<Placement>,
    },
    /// Moves and turns, also between levels.
    MovePlacements(Vec<Move>),
    /// Takes things away.
    RemovePlacements(Vec<PlacementId>),
    /// Puts a support under things, or takes it away.
    SetSupport {
        /// Which.
        ids: Vec<PlacementId>,
        /// Support slug.
        support: Option<String>,
    },
    /// Locks or unlocks.
    SetLocked {
        /// Which.
        ids: Vec<PlacementId>,
        /// Locked.
        locked: bool,
    },
    /// Assigns parts to a lot.
    SetLot {
        /// Which.
        ids: Vec<PlacementId>,
        /// Lot.
        lot: Option<LotId>,
    },
    /// Another profile.
    SetProfile(Profile),
    /// Another name, revision, start or unload temperature.
    SetProfileFigure(ProfileFigure),
    /// A new segment.
    AddSegment {
        /// At which place, from 0.
        index: usize,
        /// The segment.
        segment: Segment,
    },
    /// Another segment under the same number.
    ChangeSegment(Segment),
    /// Two segments in place of one: the first under its number, the second under a new one.
    SplitSegment {
        /// The earlier, under the number of the one that is split.
        first: Box<Segment>,
        /// The later, under a new number.
        second: Box<Segment>,
    },
    /// Takes away a segment.
    RemoveSegment(SegmentId),
    /// A person's statement; it replaces an earlier one to the same question about the same.
    Declare(Declaration),
    /// A finding taken on; it replaces an earlier acceptance of the same.
    Accept(Acceptance),
    /// Several edits as one step, each on what the one before left.
    Several {
        /// The step's name.
        label: String,
        /// The edits.
        edits: Vec<Edit>,
    },
    /// Withdraws an acceptance.
    WithdrawAcceptance {
        /// Check slug.
        check: String,
        /// Subjects, sorted.
        subjects: Vec<String>,
    },
}

/// Why an edit was refused, in a sentence.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusal(pub String);

impl std::fmt::Display for Refusal {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}

type Result<T = ()> = std::result::Result<T, Refusal>;

pub(super) fn refuse<T>(sentence: String) -> Result<T> {
    Err(Refusal(sentence))
}

impl Edit {
    /// The step's name in the list of undo steps.
    pub fn label(&self) -> String {
        match self {
            Edit::SetTitle(_) => say::label("Change the title"),
            Edit::SetNote(_) => say::label("Change the note"),
            Edit::SetPlannedStart(_) => say::label("Change the planned start"),
            Edit::SetPlannedStartTime(_) => say::label("Change the time of the planned start"),
            Edit::SetValidated(_) => say::label("Change the charge tried"),
            Edit::Sign(signature) => say::named("Sign as", &signature.role),
            Edit::WithdrawSignature(role) => say::named("Withdraw the signature of", role),
            Edit::SetFurnace(_) => say::label("Change the furnace"),
            Edit::AddPart(part) => say::named("Add part", &part.name),
            Edit::AddParts(parts) => say::add_parts(parts.len()),
            Edit::ChangePart(part) => say::named("Change part", &part.name),
            Edit::RestPart { rest, .. } if rest.is_as_drawn() => say::label("Rest a part as drawn"),
            Edit::RestPart { .. } => say::label("Rest a part on another face"),
            Edit::RemovePart(_) => say::label("Remove a part record"),
            Edit::AddLot(lot) => say::named("Add lot", &lot.name),
            Edit::ChangeLot(lot) => say::named("Change lot", &lot.name),
            Edit::RemoveLot(_) => say::label("Remove a lot"),
            Edit::AddStack(_) => say::label("Add a stack"),
            Edit::MoveStack { .. } => say::label("Move a stack"),
            Edit::RemoveStack(_) => say::label("Remove a stack"),
            Edit::AddLevel { .. } => say::label("Add a level"),
            Edit::ChangeLevel { .. } => say::label("Change a level"),
            Edit::MoveLevel { .. } => say::label("Move a level"),
            Edit::RemoveLevel(_) => say::label("Remove a level"),
            Edit::Place { placements, .. } => say::counted("Place", placements.len()),
            Edit::MovePlacements(moves) => say::counted("Move", moves.len()),
            Edit::RemovePlacements(ids) => say::counted("Remove", ids.len()),
            Edit::SetSupport {
                ids,
                support: Some(_),
            } => say::counted("Support", ids.len()),
            Edit::SetSupport { ids, support: None } => say::counted("Unsupport", ids.len()),
            Edit::SetLocked { ids, locked: true } => say::counted("Lock", ids.len()),
            Edit::SetLocked { ids, locked: false } => say::counted("Unlock", ids.len()),
            Edit::SetLot { ids, .. } => say::counted("Assign a lot to", ids.len()),
            Edit::SetProfile(profile) => say::named("Use profile", &profile.name),
            Edit::SetProfileFigure(figure) => say::label(match figure {
                ProfileFigure::Name(_) => "Change the profile's name",
                ProfileFigure::Revision(_) => "Change the profile's revision",
                ProfileFigure::StartC(_) => "Change the start temperature",
                ProfileFigure::UnloadC(_) => "Change the unload temperature",
            }),
            Edit::ApproveProfile(Some(approval)) => {
                say::named("Approve the profile as", &approval.by)
            }
            Edit::ApproveProfile(None) => say::label("Withdraw the profile's approval"),
            Edit::AddSegment { .. } => say::label("Add a segment"),
            Edit::ChangeSegment(_) => say::label("Change a segment"),
            Edit::SplitSegment { .. } => say::label("Split a segment"),
            Edit::RemoveSegment(_) => say::label("Remove a segment"),
            Edit::Declare(declaration) => say::named("Declare", &declaration.question),
            Edit::Accept(acceptance) => say::named("Accept", &acceptance.check),
            Edit::WithdrawAcceptance { check, .. } => say::named("Withdraw acceptance of", check),
            Edit::Several { label, .. } => label.clone(),
        }
    }

    /// The plan after the edit.
    ///
    /// # Errors
    /// A sentence that says what is wrong and what to do; the plan handed in is untouched.
    pub fn apply(&self, plan: &Plan, catalogue: &Catalogue) -> Result<Plan> {
        let mut next = plan.clone();
        self.change(&mut next, catalogue)?;
        // Who approved the profile has approved the steps that stood there then.
        if !plan.profile.runs_as(&next.profile)
            && let Some(approval) = &next.profile.approval
            && plan.profile.approval.as_ref() == Some(approval)
            && !approval.changed
        {
            let profile = Arc::make_mut(&mut next.profile);
            profile.approval = profile
                .approval
                .take()
                .map(|a| Approval { changed: true, ..a });
        }
        // Who signed has signed what stood there then.
        let signs = matches!(self, Edit::Sign(_) | Edit::WithdrawSignature(_));
        if !signs && !next.signatures.is_empty() && next != *plan {
            next.signatures.clear();
        }
        Ok(next)
    }

    fn change(&self, plan: &mut Plan, catalogue: &Catalogue) -> Result {
        match self {
            Edit::SetTitle(title) => plan.title.clone_from(title),
            Edit::SetNote(note) => plan.note.clone_from(note),
            Edit::SetPlannedStart(day) => {
                if let Some(day) = day {
                    check_day(day)?;
                }
                plan.planned_start.clone_from(day);
            }
            Edit::SetPlannedStartTime(time) => {
                if let Some(time) = time {
                    check_time(time)?;
                }
                plan.planned_start_time.clone_from(time);
            }
            Edit::SetValidated(kg) => {
                check_validated(kg)?;
                plan.validated_kg = *kg;
            }
            Edit::Sign(signature) => {
                check_signature(signature)?;
                plan.signatures.retain(|s| s.role != signature.role);
                plan.signatures.push(signature.clone());
            }
            Edit::WithdrawSignature(role) => {
                remove_one(&mut plan.signatures, |s| s.role == *role, "signature")?;
            }
            Edit::SetFurnace(id) => {
                known(catalogue, Kind::Furnace, id)?;
                if plan.load.furnace != *id {
                    // What was accepted in one furnace, with its gas, zone and records, says nothing
                    // of another.
                    plan.acceptances.clear();
                }
                plan.load.furnace.clone_from(id);
            }
            Edit::AddPart(part) => {
                check_part(part, catalogue)?;
                take(plan, part.id.0)?;
                plan.parts.push(Arc::new((**part).clone()));
            }
            Edit::AddParts(parts) => {
                for part in parts {
                    check_part(part, catalogue)?;
                    take(plan, part.id.0)?;
                    plan.parts.push(Arc::new(part.clone()));
                }
            }
            Edit::ChangePart(part) => {
                check_part(part, catalogue)?;
                let slot = plan.parts.iter_mut().find(|p| p.id == part.id);
                *slot.ok_or_else(|| gone("part"))? = Arc::new((**part).clone());
            }
            Edit::RestPart { id, rest, geometry } => {
                // What is locked keeps what it covers.
                let locked = |p: &&Placement| p.locked && p.item.part() == Some(*id);
                refuse_locked(plan, plan.placements().map(|(_, p)| p).find(locked))?;
                let slot = plan.parts.iter_mut().find(|p| p.id == *id);
                let part = Arc::make_mut(slot.ok_or_else(|| gone("part"))?);
                part.rest = *rest;
                part.geometry = Arc::clone(geometry);
            }
            Edit::RemovePart(id) => {
                let placed = plan
                    .placements()
                    .filter(|(_, p)| p.item.part() == Some(*id))
                    .count();
                if placed > 0 {
                    return refuse(say::part_in_use(placed));
                }
                if let Some(lot) = plan.lots.iter().find(|l| l.part == *id) {
                    return refuse(say::part_in_lot(&lot.name));
                }
                remove_one(&mut plan.parts, |p| p.id == *id, "part")?;
            }
            Edit::AddLot(lot) => {
                check_lot(lot, plan)?;
                take(plan, lot.id.0)?;
                plan.lots.push(Arc::new(lot.clone()));
            }
            Edit::ChangeLot(lot) => {
                check_lot(lot, plan)?;
                let slot = plan.lots.iter_mut().find(|l| l.id == lot.id);
                *slot.ok_or_else(|| gone("lot"))? = Arc::new(lot.clone());
            }
            Edit::RemoveLot(id) => {
                remove_one(&mut plan.lots, |l| l.id == *id, "lot")?;
                change_placements(plan, |p| match &mut p.item {
                    Item::Part { lot, .. } if *lot == Some(*id) => {
                        *lot = None;
                        true
                    }
                    _ => false,
                });
            }
            Edit::AddStack(stack) => {
                check_point(stack.at_mm)?;
                for level in &stack.levels {
                    check_level(level, plan, catalogue)?;
                }
                take(plan, stack.id.0)?;
                for level in &stack.levels {
                    take_level(plan, level)?;
                }
                plan.load.stacks.push(stack.clone());
            }
            Edit::MoveStack { id, at_mm } => {
                check_point(*at_mm)?;
                stack(plan, *id)?.at_mm = *at_mm;
            }
            Edit::RemoveStack(id) => {
                let gone = plan.load.stacks.iter().filter(|s| s.id == *id);
                let mut held = gone.flat_map(|s| &s.levels).flat_map(|l| &l.placements);
                refuse_locked(plan, held.find(|p| p.locked))?;
                remove_one(&mut plan.load.stacks, |s| s.id == *id, "stack")?;
            }
            Edit::AddLevel {
                stack: id,
                index,
                level,
            } => {
                check_level(level, plan, catalogue)?;
                stack(plan, *id)?;
                take_level(plan, level)?;
                let levels = &mut stack(plan, *id)?.levels;
                levels.insert((*index).min(levels.len()), Arc::new(level.clone()));
            }
            Edit::ChangeLevel {
                id,
                setter,
                carrier,
            } => {
                known(catalogue, Kind::Setter, setter)?;
                check_carrier(carrier, catalogue)?;
                let level = level(plan, *id)?;
                level.setter.clone_from(setter);
                level.carrier = carrier.clone();
            }
            Edit::MoveLevel {
                id,
                stack: to,
                index,
            } => {
                stack(plan, *to)?;
                let mut taken = None;
                for s in &mut plan.load.stacks {
                    if let Some(i) = s.levels.iter().position(|l| l.id == *id) {
                        taken = Some(s.levels.remove(i));
                    }
                }
                let taken = taken.ok_or_else(|| gone("level"))?;
                let levels = &mut stack(plan, *to)?.levels;
                levels.insert((*index).min(levels.len()), taken);
            }
            Edit::RemoveLevel(id) => {
                let held = plan.level(*id);
                let held = held.and_then(|(_, l)| l.placements.iter().find(|p| p.locked));
                refuse_locked(plan, held)?;
                let holder = plan.load.stacks.iter_mut().find_map(|s| {
                    let i = s.levels.iter().position(|l| l.id == *id)?;
                    Some((s, i))
                });
                let (holder, i) = holder.ok_or_else(|| gone("level"))?;
                holder.levels.remove(i);
            }
            Edit::Place {
                level: id,
                placements,
            } => {
                level(plan, *id)?;
                for placement in placements {
                    check_placement(placement, plan, catalogue)?;
                    take(plan, placement.id.0)?;
                }
                level(plan, *id)?
                    .placements
                    .extend(placements.iter().cloned());
            }
            Edit::MovePlacements(moves) => {
                for m in moves {
                    move_one(plan, m)?;
                }
            }
            Edit::RemovePlacements(ids) => {
                check_all_there(plan, ids)?;
                let held = |p: &&Placement| p.locked && ids.contains(&p.id);
                refuse_locked(plan, plan.placements().map(|(_, p)| p).find(held))?;
                for s in &mut plan.load.stacks {
                    for l in &mut s.levels {
                        if l.placements.iter().any(|p| ids.contains(&p.id)) {
                            Arc::make_mut(l).placements.retain(|p| !ids.contains(&p.id));
                        }
                    }
                }
            }
            Edit::SetSupport { ids, support } => {
                if let Some(id) = support {
                    known(catalogue, Kind::Support, id)?;
                }
                check_all_there(plan, ids)?;
                change_placements(plan, |p| {
                    let mine = ids.contains(&p.id);
                    if mine {
                        p.support.clone_from(support);
                    }
                    mine
                });
            }
            Edit::SetLocked { ids, locked } => {
                check_all_there(plan, ids)?;
                change_placements(plan, |p| {
                    let mine = ids.contains(&p.id);
                    if mine {
                        p.locked = *locked;
                    }
                    mine
                });
            }
            Edit::SetLot { ids, lot } => set_lot(plan, ids, *lot)?,
            Edit::SetProfile(profile) => {
                check_profile(profile, catalogue)?;
                for segment in &profile.segments {
                    plan.next_id = plan.next_id.max(segment.id.0.saturating_add(1));
                }
                plan.profile = Arc::new(profile.clone());
            }
            Edit::SetProfileFigure(figure) => {
                let profile = Arc::make_mut(&mut plan.profile);
                match figure {
                    ProfileFigure::Name(name) => profile.name.clone_from(name),
                    ProfileFigure::Revision(revision) => profile.revision.clone_from(revision),
                    ProfileFigure::StartC(c) => profile.start_c = *c,
                    ProfileFigure::UnloadC(c) => profile.unload_c = *c,
                }
                check_profile(&plan.profile, catalogue)?;
            }
            Edit::ApproveProfile(approval) => {
                if let Some(approval) = approval {
                    check_approval(approval)?;
                }
                Arc::make_mut(&mut plan.profile)
                    .approval
                    .clone_from(approval);
            }
            Edit::AddSegment { index, segment } => {
                take(plan, segment.id.0)?;
                let segments = &mut Arc::make_mut(&mut plan.profile).segments;
                segments.insert((*index).min(segments.len()), segment.clone());
                check_profile(&plan.profile, catalogue)?;
            }
            Edit::ChangeSegment(segment) => {
                let segments = &mut Arc::make_mut(&mut plan.profile).segments;
                let slot = segments.iter_mut().find(|s| s.id == segment.id);
                *slot.ok_or_else(|| gone("segment"))? = segment.clone();
                check_profile(&plan.profile, catalogue)?;
            }
            Edit::SplitSegment { first, second } => {
                take(plan, second.id.0)?;
                let segments = &mut Arc::make_mut(&mut plan.profile).segments;
                let place = segments.iter().position(|s| s.id == first.id);
                let place = place.ok_or_else(|| gone("segment"))?;
                segments.splice(place..=place, [(**first).clone(), (**second).clone()]);
                check_profile(&plan.profile, catalogue)?;
            }
            Edit::RemoveSegment(id) => {
                let segments = &mut Arc::make_mut(&mut plan.profile).segments;
                remove_one(segments, |s| s.id == *id, "segment")?;
            }
            Edit::Declare(declaration) => {
                check_day(&declaration.on)?;
                if let Some(at) = &declaration.at {
                    check_time(at)?;
                }
                let same = |d: &&Declaration| {
                    d.question == declaration.question && d.about == declaration.about
                };
                // One of a day after the start counts for nothing: a slip of the hand.
                let start = plan.planned_start.as_ref();
                let holds = |d: &&Declaration| {
                    d.on > declaration.on && start.is_none_or(|start| d.on <= *start)
                };
                let said = plan.declarations.iter().filter(same).filter(holds);
                if let Some(later) = said.max_by_key(|d| d.when()) {
                    return refuse(say::declared_later(
                        &declaration.question,
                        &declaration.on,
                        &later.on,
                    ));
                }
                plan.declarations
                    .retain(|d| d.question != declaration.question || d.about != declaration.about);
                plan.declarations.push(declaration.clone());
            }
            Edit::Accept(acceptance) => {
                if acceptance.reason.trim().is_empty() || acceptance.by.trim().is_empty() {
                    return refuse(say::acceptance_needs_reason());
                }
                check_day(&acceptance.on)?;
                let same = |a: &Acceptance| {
                    a.check == acceptance.check && a.subjects == acceptance.subjects
                };
                plan.acceptances.retain(|a| !same(a));
                plan.acceptances.push(acceptance.clone());
            }
            Edit::Several { edits, .. } => {
                for edit in edits {
                    edit.change(plan, catalogue)?;
                }
            }
            Edit::WithdrawAcceptance { check, subjects } => {
                remove_one(
                    &mut plan.acceptances,
                    |a| a.check == *check && a.subjects == *subjects,
                    "acceptance",
                )?;
            }
        }
        Ok(())
    }
}

fn gone(what: &str) -> Refusal {
    Refusal(say::not_there(what))
}

fn remove_one<T>(list: &mut Vec<T>, is: impl Fn(&T) -> bool, what: &str) -> Result {
    let i = list.iter().position(is).ok_or_else(|| gone(what))?;
    list.remove(i);
    Ok(())
}

/// Takes a number that was never used.
fn take(plan: &mut Plan, id: u32) -> Result {
    if id < plan.next_id {
        return refuse(say::number_used(id));
    }
    // The last number is never given, so that there is always a next one.
    let next = id.checked_add(1);
    plan.next_id = next.ok_or_else(|| Refusal(say::numbers_run_out()))?;
    Ok(())
}

fn take_level(plan: &mut Plan, level: &Level) -> Result {
    take(plan, level.id.0)?;
    for placement in &level.placements {
        take(plan, placement.id.0)?;
    }
    Ok(())
}

fn stack(plan: &mut Plan, id: StackId) -> Result<&mut Stack> {
    plan.load
        .stacks
        .iter_mut()
        .find(|s| s.id == id)
        .ok_or_else(|| gone("stack"))
}

fn level(plan: &mut Plan, id: LevelId) -> Result<&mut Level> {
    let mut levels = plan
        .load
        .stacks
        .iter_mut()
        .flat_map(|s| s.levels.iter_mut());
    levels
        .find(|l| l.id == id)
        .map(Arc::make_mut)
        .ok_or_else(|| gone("level"))
}

/// Calls `change` on each placement of a copy only where it changes something, so that levels that
/// stay the same keep their `Arc`.
fn change_placements(plan: &mut Plan, mut change: impl FnMut(&mut Placement) -> bool) {
    for s in &mut plan.load.stacks {
        for l in &mut s.levels {
            let mut copy = l.placements.clone();
            let mut changed = false;
            for p in &mut copy {
                changed |= change(p);
            }
            if changed {
                Arc::make_mut(l).placements = copy;
            }
        }
    }
}

fn set_lot(plan: &mut Plan, ids: &[PlacementId], lot: Option<LotId>) -> Result {
    check_all_there(plan, ids)?;
    let of = match lot {
        Some(id) => Some(plan.lot(id).ok_or_else(|| gone("lot"))?.part),
        None => None,
    };
    for id in ids {
        let item = plan.placement(*id).map(|(_, p)| &p.item);
        match item {
            Some(Item::Part { part, .. }) if of.is_none_or(|of| of == *part) => {}
            _ => return refuse(say::lot_of_another_part(&plan.placement_label(*id))),
        }
    }
    change_placements(plan, |p| match &mut p.item {
        Item::Part { lot: mine, .. } if ids.contains(&p.id) => {
            *mine = lot;
            true
        }
        _ => false,
    });
    Ok(())
}

fn move_one(plan: &mut Plan, m: &Move) -> Result {
    check_point(m.at_mm)?;
    check_angle(m.angle_deg)?;
    let (from, old) = plan.placement(m.id).ok_or_else(|| gone("part"))?;
    if old.locked {
        return refuse(say::locked(&plan.placement_label(m.id)));
    }
    let moved = Placement {
        at_mm: m.at_mm,
        angle_deg: m.angle_deg,
        ..old.clone()
    };
    let from = from.id;
    if from == m.level {
        for p in &mut level(plan, from)?.placements {
            if p.id == m.id {
                *p = moved.clone();
            }
        }
        return Ok(());
    }
    level(plan, m.level)?.placements.push(moved);
    level(plan, from)?.placements.retain(|p| p.id != m.id);
    Ok(())
}

fn check_all_there(plan: &Plan, ids: &[PlacementId]) -> Result {
    match ids.iter().find(|id| plan.placement(**id).is_none()) {
        Some(_) => Err(gone("part")),
        None => Ok(()),
    }
}

fn known(catalogue: &Catalogue, kind: Kind, id: &str) -> Result {
    if catalogue.has(kind, id) {
        return Ok(());
    }
    refuse(say::unknown_slug(
        kind.word(),
        id,
        &catalogue.candidates(kind, id),
    ))
}

pub(super) fn check_day(day: &str) -> Result {
    match when::day(day) {
        Some(_) => Ok(()),
        None => refuse(say::not_a_day(day)),
    }
}

fn check_point(at_mm: [f64; 2]) -> Result {
    // Written so that a NaN is refused too.
    if at_mm.iter().all(|c| c.abs() <= FARTHEST_MM) {
        return Ok(());
    }
    refuse(say::bad_place(at_mm))
}

fn check_angle(angle_deg: f64) -> Result {
    if angle_deg.abs() <= 36_000.0 {
        return Ok(());
    }
    refuse(say::bad_angle(angle_deg))
}

pub(super) fn check_positive(what: &str, value: f64) -> Result {
    if value.is_finite() && value > 0.0 {
        return Ok(());
    }
    refuse(say::not_positive(what, value))
}

/// What no file could hold is refused; what only a person can judge is left to the review.
fn check_profile(profile: &Profile, catalogue: &Catalogue) -> Result {
    for segment in &profile.segments {
        let let_in = segment.events.iter().filter_map(|e| match &e.kind {
            EventKind::Backfill { gas, .. } => Some(gas),
            _ => None,
        });
        for gas in segment.gas.iter().chain(let_in) {
            known(catalogue, Kind::Gas, gas)?;
        }
    }
    let faults = profile.faults(None);
    let unusable = |f: &&Fault| matches!(f, Fault::NotFinite { .. } | Fault::RepeatedId { .. });
    match faults.iter().find(unusable) {
        Some(fault) => refuse(say::bad_profile(&fault.to_string())),
        None => Ok(()),
    }
}

fn check_part(part: &Part, catalogue: &Catalogue) -> Result {
    if part.name.trim().is_empty() {
        return refuse(say::no_name("part"));
    }
    let id = &part.feedstock;
    known(catalogue, Kind::Feedstock, id)?;
    if let Some(weighed) = part.weighed {
        check_positive("weighed mass", weighed.mass_g)?;
    }
    if let Some(section) = part.section_mm {
        check_positive("governing section", section)?;
    }
    if let Some(shell) = part.infill.shell_mm() {
        check_positive("shell thickness", shell)?;
    }
    if part.outline_only() && part.weighed.is_none() {
        return refuse(say::outline_without_mass(&part.name));
    }
    for factor in part.made_with_oversize.into_iter().flatten() {
        check_positive("oversize factor", factor)?;
    }
    Ok(())
}

/// Refuses for the sake of a locked placement, where there is one.
fn refuse_locked(plan: &Plan, held: Option<&Placement>) -> Result {
    held.map_or(Ok(()), |p| refuse(say::locked(&plan.placement_label(p.id))))
}

/// Whether a lot may stand in a plan.
///
/// # Errors
/// Why not, in a sentence.
pub fn check_lot(lot: &Lot, plan: &Plan) -> Result {
    if lot.name.trim().is_empty() {
        return refuse(say::no_name("lot"));
    }
    plan.part(lot.part).ok_or_else(|| gone("part"))?;
    let masses = [
        ("green mass of the lot", lot.green_g),
        ("dry mass of the lot", lot.dry_g),
        ("mass at the weighing before", lot.previous_dry_g),
    ];
    for (what, mass) in masses {
        if let Some(mass) = mass {
            check_positive(what, mass)?;
        }
    }
    if let (Some(green), Some(dry)) = (lot.green_g, lot.dry_g)
        && dry > green
    {
        return refuse(say::dry_above_green(&lot.name));
    }
    check_lot_notes(lot)?;
    match lot.dried_min {
        Some(min) if !(min.is_finite() && min >= 0.0) => {
            refuse(say::not_positive("time in the dryer", min))
        }
        _ => Ok(()),
    }
}

fn check_carrier(carrier: &Carrier, catalogue: &Catalogue) -> Result {
    match carrier {
        Carrier::Posts { post, at_mm } => {
            known(catalogue, Kind::Post, post)?;
            at_mm.iter().try_for_each(|at| check_point(*at))
        }
        Carrier::Feet { height_mm } => check_positive("height of the feet", *height_mm),
        Carrier::Hearth | Carrier::Rim | Carrier::RackSlot(_) => Ok(()),
    }
}

fn check_level(level: &Level, plan: &Plan, catalogue: &Catalogue) -> Result {
    let id = &level.setter;
    known(catalogue, Kind::Setter, id)?;
    check_carrier(&level.carrier, catalogue)?;
    level
        .placements
        .iter()
        .try_for_each(|p| check_placement(p, plan, catalogue))
}

fn check_placement(placement: &Placement, plan: &Plan, catalogue: &Catalogue) -> Result {
    check_point(placement.at_mm)?;
    check_angle(placement.angle_deg)?;
    if let Some(id) = &placement.support {
        known(catalogue, Kind::Support, id)?;
    }
    match &placement.item {
        Item::Part { part, lot } => {
            plan.part(*part).ok_or_else(|| gone("part"))?;
            match lot {
                Some(lot) if plan.lot(*lot).is_none_or(|l| l.part != *part) => {
                    refuse(say::lot_of_another_part(&plan.item_name(&placement.item)))
                }
                _ => Ok(()),
            }
        }
        Item::Coupon { part, .. } => plan.part(*part).map(|_| ()).ok_or_else(|| gone("part")),
        Item::Dummy {
            shape,
            mass_g,
            material,
        } => {
            check_positive("mass of the dummy", *mass_g)?;
            known(catalogue, Kind::Material, material)?;
            match crate::part::measure_typed(shape) {
                Ok(_) => Ok(()),
                Err(fault) => refuse(say::bad_shape(&fault.to_string())),
            }
        }
        Item::Sensor { height_mm, .. } => check_positive("height of the tip", *height_mm),
    }
}
