//! Edits from a text file: one line an edit, `verb key=value …`, the same edits as the window.

use super::words::{Line, Words};
use crate::catalogue::{Catalogue, ShopState};
use crate::files::{part_resting, shape_from_mesh};
use crate::forecast::plan::{Asked, of};
use crate::load::{
    Acceptance, Carrier, Declaration, Edit, Item, Level, LevelId, Lot, LotId, Move, Placement,
    PlacementId, Plan, ProcedureRef, Signature, Sizes, Stack, StackId,
};
use crate::part::{
    Drawn, Infill, MassState, MeshUnit, Part, PartId, Rest, Shape, Weighed, measure_typed,
};
use crate::profile::{
    Approval, Event, EventAt, EventKind, OnLeave, Profile, RampBy, Segment, SegmentId, WaitFor,
    WaitOn,
};
use crate::review::{
    Finding, Given, Needs, QUESTIONS, Subject, all_checks, check_by_slug, covers, limit_to_accept,
    question_by_slug, review,
};
use crate::statics::{RestBy, direction};
use crate::text::scripts as say;
use crate::units::Quantity;
use std::path::Path;

/// What went wrong, with its line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ScriptFault {
    /// Line, from 1.
    pub line: usize,
    /// What, and what to do.
    pub reason: String,
}

impl std::fmt::Display for ScriptFault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&say::at_line(self.line, &self.reason))
    }
}

type Result<T> = std::result::Result<T, String>;

/// Levels that one line may add.
const MOST_LEVELS: usize = 200;

/// What a script runs against.
pub struct Shop<'a> {
    /// Catalogue in use.
    pub catalogue: &'a Catalogue,
    /// State of the shop.
    pub shop: Option<&'a ShopState>,
    /// The standard load that the plan began from.
    pub standard: Option<&'a Plan>,
    /// Folder that mesh paths are relative to.
    pub folder: &'a Path,
}

/// Runs a script over a plan and gives the new plan and the names of its steps.
///
/// # Errors
/// The first line that does not work; nothing is kept then.
pub fn run(
    text: &str,
    plan: &Plan,
    shop: &Shop,
) -> std::result::Result<(Plan, Vec<String>), ScriptFault> {
    let mut plan = plan.clone();
    let mut steps = Vec::new();
    // The stack made or named last, counted from 1.
    let mut last: Option<usize> = None;
    for (i, raw) in text.lines().enumerate() {
        let fault = |reason| ScriptFault {
            line: i + 1,
            reason,
        };
        let Some(line) = Line::parse(raw).map_err(fault)? else {
            continue;
        };
        let number = last.map(|n| n.to_string());
        let mut words = Words::new(&line).standing_in("stack", number);
        let edits = edits(&mut words, &plan, shop).map_err(fault)?;
        words.all_used().map_err(fault)?;
        for edit in edits {
            plan = edit.apply(&plan, shop.catalogue).map_err(|r| fault(r.0))?;
            steps.push(edit.label());
        }
        if let Some(step) = steps.last_mut() {
            for note in &words.notes {
                *step += &say::note_on_step(note);
            }
        }
        last = match words.verb() {
            "stack" => Some(plan.load.stacks.len()),
            // Those behind it have another number now.
            "remove-stack" => None,
            _ if words.has("stack") => words.count("stack").map_err(fault)?,
            _ => last,
        };
    }
    Ok((plan, steps))
}

/// Verbs, for "did you mean".
const VERBS: [&str; 42] = [
    "load",
    "part",
    "change-part",
    "rest",
    "remove-part",
    "lot",
    "change-lot",
    "remove-lot",
    "stack",
    "move-stack",
    "remove-stack",
    "level",
    "change-level",
    "move-level",
    "remove-level",
    "repeat-level",
    "place",
    "array",
    "coupon",
    "dummy",
    "thermocouple",
    "move",
    "remove",
    "lock",
    "unlock",
    "support",
    "assign",
    "profile",
    "approve-profile",
    "withdraw-approval",
    "segment",
    "change-segment",
    "remove-segment",
    "declare",
    "accept",
    "withdraw",
    "start",
    "title",
    "note",
    "sign",
    "withdraw-signature",
    "tried",
];

fn edits(words: &mut Words, plan: &Plan, shop: &Shop) -> Result<Vec<Edit>> {
    let one = |edit| Ok(vec![edit]);
    match words.verb() {
        "load" => load(words),
        "title" => one(Edit::SetTitle(words.need("text")?)),
        "note" => one(Edit::SetNote(words.need("text")?)),
        "start" => {
            let day = words.need("on")?;
            let mut edits = vec![Edit::SetPlannedStart((day != "none").then_some(day))];
            if let Some(at) = words.text("at") {
                edits.push(Edit::SetPlannedStartTime((at != "none").then_some(at)));
            }
            Ok(edits)
        }
        "sign" => one(Edit::Sign(Signature {
            role: words.need("role")?,
            by: words.need("by")?,
            on: words.need("on")?,
            at: words.text("at"),
        })),
        "withdraw-signature" => one(Edit::WithdrawSignature(words.need("role")?)),
        "tried" => {
            let mut end = |key| {
                let mass = words.quantity(key, Quantity::Mass)?;
                mass.ok_or_else(|| say::missing(key)).map(|g| g / 1000.0)
            };
            one(Edit::SetValidated(Some([end("from")?, end("to")?])))
        }
        "part" => one(Edit::AddPart(Box::new(new_part(words, plan, shop)?))),
        "change-part" => one(Edit::ChangePart(Box::new(changed_part(words, plan)?))),
        "rest" => rest(words, plan, shop),
        "remove-part" => one(Edit::RemovePart(part(words, plan)?.id)),
        "lot" => {
            let name = words.need("name")?;
            let of = part_named(&words.need("part")?, plan)?.id;
            let fresh = Lot::new(LotId(plan.next_id), &name, of);
            one(Edit::AddLot(lot_fields(words, fresh)?))
        }
        "change-lot" => {
            let old = lot_named(&words.need("name")?, plan)?;
            one(Edit::ChangeLot(lot_fields(words, old)?))
        }
        "remove-lot" => one(Edit::RemoveLot(lot_named(&words.need("name")?, plan)?.id)),
        "stack" => one(Edit::AddStack(Stack {
            id: StackId(plan.next_id),
            at_mm: words.point("at")?.unwrap_or_default(),
            levels: Vec::new(),
        })),
        "move-stack" => one(Edit::MoveStack {
            id: stack(words, plan)?,
            at_mm: words.point("at")?.ok_or_else(|| say::missing("at"))?,
        }),
        "remove-stack" => one(Edit::RemoveStack(stack(words, plan)?)),
        "level" => new_level(words, plan),
        "change-level" => {
            let (_, old) = level(words, plan)?;
            let setter = words.text("setter").unwrap_or_else(|| old.setter.clone());
            let carrier = carrier(words)?.unwrap_or_else(|| old.carrier.clone());
            one(Edit::ChangeLevel {
                id: old.id,
                setter,
                carrier,
            })
        }
        "move-level" => {
            let (own, level) = level(words, plan)?;
            let stack = match words.count("to-stack")? {
                Some(to) => stack_at(to, plan)?,
                None => own,
            };
            one(Edit::MoveLevel {
                id: level.id,
                stack,
                index: words.count("index")?.unwrap_or(usize::MAX),
            })
        }
        "remove-level" => one(Edit::RemoveLevel(level(words, plan)?.1.id)),
        "repeat-level" => repeat_level(words, plan),
        "place" => place(words, plan),
        "array" => array(words, plan),
        "coupon" => {
            let part = part(words, plan)?.id;
            let label = words.need("label")?;
            set_down(words, plan, Item::Coupon { part, label })
        }
        "dummy" => {
            let shape = shape(words, None)?.ok_or_else(say::no_shape)?.0;
            let mass_g = words.quantity("mass", Quantity::Mass)?;
            let mass_g = mass_g.ok_or_else(|| say::missing("mass"))?;
            let material = words.need("material")?;
            set_down(
                words,
                plan,
                Item::Dummy {
                    shape,
                    mass_g,
                    material,
                },
            )
        }
        "thermocouple" => {
            let sensor = words.need("sensor")?;
            let height_mm = words.quantity("height", Quantity::Length)?.unwrap_or(10.0);
            set_down(words, plan, Item::Sensor { sensor, height_mm })
        }
        "move" => move_items(words, plan),
        "remove" => one(Edit::RemovePlacements(items(words, plan)?)),
        "lock" => one(Edit::SetLocked {
            ids: items(words, plan)?,
            locked: true,
        }),
        "unlock" => one(Edit::SetLocked {
            ids: items(words, plan)?,
            locked: false,
        }),
        "support" => {
            let ids = items(words, plan)?;
            let support = words.need("with")?;
            one(Edit::SetSupport {
                ids,
                support: (support != "none").then_some(support),
            })
        }
        "assign" => {
            let ids = items(words, plan)?;
            let lot = match words.need("lot")?.as_str() {
                "none" => None,
                name => Some(lot_named(name, plan)?.id),
            };
            one(Edit::SetLot { ids, lot })
        }
        "profile" => one(Edit::SetProfile(Profile {
            name: words.need("name")?,
            revision: words.text("revision").unwrap_or_else(|| "1".to_owned()),
            start_c: words
                .quantity("from", Quantity::Temperature)?
                .unwrap_or(25.0),
            segments: match words.text("keep").as_deref() {
                Some("yes") => plan.profile.segments.clone(),
                _ => Vec::new(),
            },
            unload_c: words
                .quantity("unload", Quantity::Temperature)?
                .unwrap_or(60.0),
            approval: match words.text("keep").as_deref() {
                Some("yes") => plan.profile.approval.clone(),
                _ => None,
            },
        })),
        "approve-profile" => one(Edit::ApproveProfile(Some(Approval {
            revision: words
                .text("revision")
                .unwrap_or_else(|| plan.profile.revision.clone()),
            by: words.need("by")?,
            on: words.need("on")?,
            feedstocks: feedstocks(words, shop)?,
            changed: false,
        }))),
        "withdraw-approval" => one(Edit::ApproveProfile(None)),
        "segment" => {
            let paced = ["rate", "time", "full-rate"]
                .into_iter()
                .any(|key| words.has(key));
            if !paced {
                return Err(say::no_pace());
            }
            let segment = segment(words, fresh_segment(plan))?;
            one(Edit::AddSegment {
                index: words
                    .count("at")?
                    .map_or(usize::MAX, |n| n.saturating_sub(1)),
                segment,
            })
        }
        "change-segment" => {
            let old = nth_segment(words, plan)?;
            one(Edit::ChangeSegment(segment(words, old)?))
        }
        "remove-segment" => one(Edit::RemoveSegment(nth_segment(words, plan)?.id)),
        "declare" => one(Edit::Declare(declare(words, plan)?)),
        "accept" => accept(words, plan, shop),
        "withdraw" => {
            let check = words.need("check")?;
            let about = words.text("about");
            withdraw(plan, check, about)
        }
        other => Err(say::unknown_verb(
            other,
            &crate::text::nearest(other, VERBS.into_iter(), 3),
        )),
    }
}

/// Feedstocks for which a profile is approved; none named is all.
fn feedstocks(words: &mut Words, shop: &Shop) -> Result<Vec<String>> {
    let slugs = words.text("for").unwrap_or_default();
    let each: Vec<&str> = named(&slugs);
    for slug in &each {
        if shop.catalogue.feedstock(slug).is_none() {
            let known = shop.catalogue.feedstocks.keys().map(String::as_str);
            let near = crate::text::nearest(slug, known, 3);
            return Err(say::unknown_feedstock(slug, &near));
        }
    }
    Ok(each.into_iter().map(str::to_owned).collect())
}

/// A question of the table, and its answer, which has to be one.
fn declare(words: &mut Words, plan: &Plan) -> Result<Declaration> {
    let slug = words.need("question")?;
    let Some(question) = question_by_slug(&slug) else {
        let near = crate::text::nearest(&slug, QUESTIONS.iter().map(|q| q.slug), 3);
        return Err(say::unknown_question(&slug, &near));
    };
    let answer = words.need("answer")?;
    question.check(&answer)?;
    Ok(Declaration {
        question: slug,
        answer,
        by: words.need("by")?,
        on: words.need("on")?,
        at: words.text("at"),
        about: match words.text("about") {
            Some(name) => Some(Subject::Lot(lot_named(&name, plan)?.id).key()),
            None => None,
        },
    })
}

/// Holds that the furnace has a procedure for a check, in the revision named.
fn known_procedure(
    named: &ProcedureRef,
    check: &str,
    plan: &Plan,
    shop: Option<&ShopState>,
) -> Result<()> {
    let furnace = &plan.load.furnace;
    if shop.is_some_and(|shop| covers(shop, furnace, named, check)) {
        return Ok(());
    }
    if shop.is_some_and(|shop| shop.carried) {
        return Err(say::procedure_of_the_load_alone(check));
    }
    let states = shop.map_or(&[][..], |shop| &shop.furnaces);
    let state = states.iter().find(|s| s.furnace == *furnace);
    let procedures = state.map_or(&[][..], |s| &s.procedures);
    let known: Vec<String> = procedures
        .iter()
        .filter(|p| p.covers.iter().any(|slug| slug == check))
        .map(|p| say::procedure(&p.name, &p.revision))
        .collect();
    let ProcedureRef { name, revision } = named;
    Err(say::no_such_procedure(name, revision, check, &known))
}

/// Withdraws what was accepted of a check: all of it, or what is about one thing.
fn withdraw(plan: &Plan, check: String, about: Option<String>) -> Result<Vec<Edit>> {
    let about = about.as_deref().map(named).unwrap_or_default();
    known_check(&check)?;
    let all = subjects(plan);
    let keys = |label: &str| -> Vec<String> {
        let same = all.iter().filter(|s| s.label(plan) == label);
        same.map(Subject::key).collect()
    };
    let about: Vec<Vec<String>> = about.into_iter().map(keys).collect();
    let is_about = |subjects: &[String]| {
        let mut asked = about.iter();
        asked.all(|keys| keys.iter().any(|key| subjects.contains(key)))
    };
    let edits: Vec<Edit> = plan
        .acceptances
        .iter()
        .filter(|a| a.check == check && is_about(&a.subjects))
        .map(|a| Edit::WithdrawAcceptance {
            check: check.clone(),
            subjects: a.subjects.clone(),
        })
        .collect();
    if edits.is_empty() {
        return Err(say::nothing_accepted(&check));
    }
    Ok(edits)
}

/// Everything in a plan that a finding can be about.
fn subjects(plan: &Plan) -> Vec<Subject> {
    let mut all = vec![Subject::Load, Subject::Profile, Subject::Furnace];
    all.extend(plan.load.stacks.iter().map(|s| Subject::Stack(s.id)));
    all.extend(plan.levels().map(|(_, l)| Subject::Level(l.id)));
    all.extend(plan.placements().map(|(_, p)| Subject::Placement(p.id)));
    all.extend(plan.parts.iter().map(|p| Subject::Part(p.id)));
    all.extend(plan.lots.iter().map(|l| Subject::Lot(l.id)));
    let segments = plan.profile.segments.iter();
    all.extend(segments.map(|s| Subject::Segment(s.id)));
    all
}

fn known_check(check: &str) -> Result<()> {
    if check_by_slug(check).is_some() {
        return Ok(());
    }
    let near = crate::text::nearest(check, all_checks().map(|c| c.slug), 3);
    Err(say::no_such_check(check, &near))
}

fn load(words: &mut Words) -> Result<Vec<Edit>> {
    let mut edits = Vec::new();
    if let Some(title) = words.text("title") {
        edits.push(Edit::SetTitle(title));
    }
    if let Some(furnace) = words.text("furnace") {
        edits.push(Edit::SetFurnace(furnace));
    }
    if let Some(day) = words.text("start") {
        edits.push(Edit::SetPlannedStart(Some(day)));
    }
    if let Some(note) = words.text("note") {
        edits.push(Edit::SetNote(note));
    }
    if edits.is_empty() {
        return Err(say::missing("title, furnace, start or note"));
    }
    Ok(edits)
}

// ---- parts and lots

fn part_named<'a>(name: &str, plan: &'a Plan) -> Result<&'a Part> {
    plan.parts
        .iter()
        .find(|p| p.name == name)
        .map(AsRef::as_ref)
        .ok_or_else(|| {
            let names = plan.parts.iter().map(|p| p.name.as_str());
            say::unknown_name("part", name, &crate::text::nearest(name, names, 3))
        })
}

fn part<'a>(words: &mut Words, plan: &'a Plan) -> Result<&'a Part> {
    let name = match words.text("part") {
        Some(name) => name,
        None => words.need("name")?,
    };
    part_named(&name, plan)
}

fn lot_named(name: &str, plan: &Plan) -> Result<Lot> {
    plan.lots
        .iter()
        .find(|l| l.name == name)
        .map(|l| (**l).clone())
        .ok_or_else(|| {
            let names = plan.lots.iter().map(|l| l.name.as_str());
            say::unknown_name("lot", name, &crate::text::nearest(name, names, 3))
        })
}

fn drawn(words: &mut Words) -> Result<Option<Drawn>> {
    match words.text("size").as_deref() {
        None => Ok(None),
        Some("final") => Ok(Some(Drawn::Final)),
        Some("green") => Ok(Some(Drawn::Green)),
        Some(other) => Err(say::not_one_of("size", other, "final or green")),
    }
}

fn mesh_unit(words: &mut Words) -> Result<Option<MeshUnit>> {
    match words.text("unit").as_deref() {
        None => Ok(None),
        Some("mm") => Ok(Some(MeshUnit::Millimetre)),
        Some("in") => Ok(Some(MeshUnit::Inch)),
        Some("m") => Ok(Some(MeshUnit::Metre)),
        Some(other) => Err(say::not_one_of("unit", other, "mm, in or m")),
    }
}

fn new_part(words: &mut Words, plan: &Plan, shop: &Shop) -> Result<Part> {
    let name = words.need("name")?;
    let feedstock = words.need("feedstock")?;
    let (shape, geometry) = shape(words, Some(shop.folder))?.ok_or_else(say::no_shape)?;
    let drawn = drawn(words)?.ok_or_else(|| say::missing("size (final or green)"))?;
    let mut part = Part {
        id: PartId(plan.next_id),
        name,
        feedstock,
        shape,
        drawn,
        rest: Rest::AS_DRAWN,
        infill: Infill::Solid,
        keep_off: Vec::new(),
        approved_rest: None,
        geometry: geometry.into(),
        made_with_oversize: None,
        weighed: None,
        section_mm: None,
        work_zone_only: false,
    };
    if let Some(by) = rest_by(words)? {
        let resting = part_resting(&part, shop.folder, &by).map_err(|fault| fault.to_string())?;
        part.rest = resting.0;
        part.geometry = resting.1.into();
    }
    part_fields(words, part)
}

/// Faces to be kept off the setter, divided by `;`.
fn keep_off(words: &mut Words) -> Result<Option<Vec<Rest>>> {
    let Some(faces) = words.text("keep-off") else {
        return Ok(None);
    };
    let faces = faces.split(';').filter(|face| !face.trim().is_empty());
    faces.map(direction).collect::<Result<_>>().map(Some)
}

/// `rest=` and, for a number in the ranking, `keep-off=` with directions divided by `;`.
fn rest_by(words: &mut Words) -> Result<Option<RestBy>> {
    let Some(text) = words.text("rest") else {
        return Ok(None);
    };
    let by = text.parse()?;
    let faces = keep_off(words)?.unwrap_or_default();
    Ok(Some(match by {
        RestBy::Rank(n, _) => RestBy::Rank(n, faces),
        RestBy::Towards(rest) if faces.iter().any(|face| rest.rests_on_face(*face)) => {
            return Err(crate::text::poses::on_kept_off_face());
        }
        towards => towards,
    }))
}

fn rest(words: &mut Words, plan: &Plan, shop: &Shop) -> Result<Vec<Edit>> {
    let part = part(words, plan)?;
    let by = match rest_by(words)?.ok_or_else(|| say::missing("rest"))? {
        RestBy::Rank(n, faces) if faces.is_empty() => RestBy::Rank(n, part.keep_off.clone()),
        by => by,
    };
    let resting = part_resting(part, shop.folder, &by);
    let (rest, geometry) = resting.map_err(|fault| fault.to_string())?;
    Ok(vec![Edit::RestPart {
        id: part.id,
        rest,
        geometry: geometry.into(),
    }])
}

/// `infill=` and the thickness of its shell.
fn infill(words: &mut Words) -> Result<Option<Infill>> {
    let Some(word) = words.text("infill") else {
        return Ok(None);
    };
    let shell = words.quantity("shell", Quantity::Length)?;
    let shell_thickness_mm = || shell.ok_or_else(|| say::missing("shell"));
    Ok(Some(match word.as_str() {
        "solid" => Infill::Solid,
        "open" => Infill::Open {
            shell_thickness_mm: shell_thickness_mm()?,
        },
        "closed" => Infill::Closed {
            shell_thickness_mm: shell_thickness_mm()?,
        },
        other => return Err(say::not_one_of("infill", other, "solid, open or closed")),
    }))
}

fn changed_part(words: &mut Words, plan: &Plan) -> Result<Part> {
    let mut part = part(words, plan)?.clone();
    if let Some(name) = words.text("rename") {
        part.name = name;
    }
    if let Some(feedstock) = words.text("feedstock") {
        part.feedstock = feedstock;
    }
    if let Some(drawn) = drawn(words)? {
        part.drawn = drawn;
    }
    part_fields(words, part)
}

fn part_fields(words: &mut Words, mut part: Part) -> Result<Part> {
    if let Some(mass_g) = words.quantity("mass", Quantity::Mass)? {
        let state = state(words, "state")?.ok_or_else(|| say::missing("state"))?;
        part.weighed = Some(Weighed { state, mass_g });
    }
    if let Some(section) = words.quantity("section", Quantity::Length)? {
        part.section_mm = Some(section);
    }
    if let Some(infill) = infill(words)? {
        part.infill = infill;
    }
    if let Some(faces) = keep_off(words)? {
        part.keep_off = faces;
    }
    if let Some(factors) = words.numbers("oversize", ',')? {
        part.made_with_oversize = Some(match factors.as_slice() {
            [all] => [*all; 3],
            [x, y, z] => [*x, *y, *z],
            _ => {
                return Err(say::must_be("oversize", "one factor, or three for x,y,z"));
            }
        });
    }
    if let Some(only) = words.yes_no("work-zone-only")? {
        part.work_zone_only = only;
    }
    if let Some(approved) = words.yes_no("approved-rest")? {
        part.approved_rest = approved.then_some(part.rest);
    }
    Ok(part)
}

fn state(words: &mut Words, key: &str) -> Result<Option<MassState>> {
    let Some(word) = words.text(key) else {
        return Ok(None);
    };
    MassState::ALL
        .into_iter()
        .find(|s| s.word() == word)
        .map(Some)
        .ok_or_else(|| say::not_one_of(key, &word, "green, brown, dry, presintered or sintered"))
}

fn shape(
    words: &mut Words,
    folder: Option<&Path>,
) -> Result<Option<(Shape, crate::part::Geometry)>> {
    if let Some(folder) = folder
        && let Some(file) = words.text("mesh")
    {
        let unit = mesh_unit(words)?.ok_or_else(|| say::missing("unit (mm, in or m)"))?;
        let body = words.count("body")?;
        let read = shape_from_mesh(&folder.join(&file), &file, unit, body);
        let (shape, geometry, notes) = read.map_err(|fault| fault.to_string())?;
        words.notes.extend(notes.iter().map(ToString::to_string));
        return Ok(Some((shape, geometry)));
    }
    let height = words.quantity("height", Quantity::Length)?;
    let shape = if let Some(sides) = words.numbers("block", 'x')? {
        let [width_mm, depth_mm, height_mm] = sides[..] else {
            return Err(say::must_be(
                "block",
                "width x depth x height, e.g. 45x30x15",
            ));
        };
        Shape::Block {
            width_mm,
            depth_mm,
            height_mm,
        }
    } else if let Some(sides) = words.numbers("disc", 'x')? {
        let [diameter_mm, height_mm] = sides[..] else {
            return Err(say::must_be("disc", "diameter x height, e.g. 20x5"));
        };
        Shape::Disc {
            diameter_mm,
            height_mm,
        }
    } else if let Some(sides) = words.numbers("tube", 'x')? {
        let [outer_mm, bore_mm, height_mm] = sides[..] else {
            return Err(say::must_be("tube", "outer x bore x height, e.g. 40x34x5"));
        };
        Shape::Tube {
            outer_mm,
            bore_mm,
            height_mm,
        }
    } else if let Some(outline_mm) = words.points("prism")? {
        let height_mm = height.ok_or_else(|| say::missing("height"))?;
        Shape::Prism {
            outline_mm,
            height_mm,
        }
    } else if let Some(outline_mm) = words.points("outline")? {
        let height_mm = height.ok_or_else(|| say::missing("height"))?;
        Shape::Outline {
            outline_mm,
            height_mm,
        }
    } else {
        return Ok(None);
    };
    let geometry = measure_typed(&shape).map_err(|fault| fault.to_string())?;
    Ok(Some((shape, geometry)))
}

fn lot_fields(words: &mut Words, mut lot: Lot) -> Result<Lot> {
    if let Some(count) = words.count("count")? {
        lot.count = u32::try_from(count).map_err(|_| say::too_many(u32::MAX as usize))?;
    }
    if let Some(enters) = state(words, "enters")? {
        lot.enters = enters;
    }
    if let Some(customer) = words.text("customer") {
        lot.customer = Some(customer);
    }
    let masses = [
        ("green", &mut lot.green_g),
        ("dry", &mut lot.dry_g),
        ("previous", &mut lot.previous_dry_g),
    ];
    for (key, field) in masses {
        if let Some(mass) = words.quantity(key, Quantity::Mass)? {
            *field = Some(mass);
        }
    }
    if let Some(min) = words.quantity("dried", Quantity::Time)? {
        lot.dried_min = Some(min);
    }
    super::lot_words::notes(words, &mut lot)?;
    Ok(lot)
}

/// Numbers for new things, one after the other.
struct Numbers(u32);

impl Numbers {
    fn of(plan: &Plan) -> Numbers {
        Numbers(plan.next_id)
    }

    fn take(&mut self) -> Result<u32> {
        let id = self.0;
        self.0 = id
            .checked_add(1)
            .ok_or_else(crate::text::edits::numbers_run_out)?;
        Ok(id)
    }
}

// ---- stacks and levels

fn stack_at(i: usize, plan: &Plan) -> Result<StackId> {
    let found = i.checked_sub(1).and_then(|i| plan.load.stacks.get(i));
    found
        .map(|s| s.id)
        .ok_or_else(|| say::no_such("stack", i, plan.load.stacks.len()))
}

fn stack(words: &mut Words, plan: &Plan) -> Result<StackId> {
    stack_at(words.count("stack")?.unwrap_or(1), plan)
}

fn level<'a>(words: &mut Words, plan: &'a Plan) -> Result<(StackId, &'a Level)> {
    let stack = stack(words, plan)?;
    let number = words.count("level")?.ok_or_else(|| say::missing("level"))?;
    let levels = plan
        .load
        .stacks
        .iter()
        .find(|s| s.id == stack)
        .map(|s| s.levels.as_slice());
    let levels = levels.unwrap_or_default();
    let found = number.checked_sub(1).and_then(|i| levels.get(i));
    let level = found.ok_or_else(|| say::no_such("level", number, levels.len()))?;
    Ok((stack, level))
}

fn carrier(words: &mut Words) -> Result<Option<Carrier>> {
    Ok(Some(match words.text("on").as_deref() {
        None => return Ok(None),
        Some("hearth") => Carrier::Hearth,
        Some("rim") => Carrier::Rim,
        Some("feet") => Carrier::Feet {
            height_mm: words
                .quantity("feet", Quantity::Length)?
                .ok_or_else(|| say::missing("feet"))?,
        },
        Some("slot") => Carrier::RackSlot(
            words
                .count("slot")?
                .and_then(|n| n.checked_sub(1))
                .ok_or_else(|| say::missing("slot (1 is the lowest)"))?,
        ),
        Some("posts") => Carrier::Posts {
            post: words.need("post")?,
            at_mm: words
                .points("at")?
                .ok_or_else(|| say::missing("at (x,y of each post)"))?,
        },
        Some(other) => {
            return Err(say::not_one_of(
                "on",
                other,
                "hearth, posts, rim, feet or slot",
            ));
        }
    }))
}

fn new_level(words: &mut Words, plan: &Plan) -> Result<Vec<Edit>> {
    let mut edits = Vec::new();
    let mut numbers = Numbers::of(plan);
    let stack = if plan.load.stacks.is_empty() {
        // The first level of an empty load brings its stack with it.
        let id = StackId(numbers.take()?);
        edits.push(Edit::AddStack(Stack {
            id,
            at_mm: [0.0, 0.0],
            levels: Vec::new(),
        }));
        match words.count("stack")? {
            None | Some(1) => id,
            Some(n) => return Err(say::no_such("stack", n, 0)),
        }
    } else {
        stack(words, plan)?
    };
    let level = Level {
        id: LevelId(numbers.take()?),
        setter: words.need("setter")?,
        carrier: carrier(words)?.ok_or_else(|| say::missing("on"))?,
        placements: Vec::new(),
    };
    let index = words
        .count("index")?
        .map_or(usize::MAX, |n| n.saturating_sub(1));
    edits.push(Edit::AddLevel {
        stack,
        index,
        level,
    });
    Ok(edits)
}

fn repeat_level(words: &mut Words, plan: &Plan) -> Result<Vec<Edit>> {
    let (stack, old) = level(words, plan)?;
    let times = words.count("times")?.unwrap_or(1);
    if times > MOST_LEVELS {
        return Err(say::too_many(MOST_LEVELS));
    }
    let carrier = carrier(words)?.unwrap_or_else(|| old.carrier.clone());
    let mut numbers = Numbers::of(plan);
    let mut edits = Vec::new();
    for _ in 0..times {
        let id = LevelId(numbers.take()?);
        let mut placements = Vec::new();
        for p in &old.placements {
            placements.push(Placement {
                id: PlacementId(numbers.take()?),
                locked: false,
                ..p.clone()
            });
        }
        let level = Level {
            id,
            setter: old.setter.clone(),
            carrier: carrier.clone(),
            placements,
        };
        edits.push(Edit::AddLevel {
            stack,
            index: usize::MAX,
            level,
        });
    }
    Ok(edits)
}

// ---- placements

fn set_down(words: &mut Words, plan: &Plan, item: Item) -> Result<Vec<Edit>> {
    let (_, level) = level(words, plan)?;
    let placement = Placement {
        id: PlacementId(plan.next_id),
        item,
        at_mm: [
            words.quantity("x", Quantity::Length)?.unwrap_or(0.0),
            words.quantity("y", Quantity::Length)?.unwrap_or(0.0),
        ],
        angle_deg: words.quantity("angle", Quantity::Angle)?.unwrap_or(0.0),
        support: words.text("support"),
        locked: words.yes_no("locked")?.unwrap_or(false),
    };
    Ok(vec![Edit::Place {
        level: level.id,
        placements: vec![placement],
    }])
}

fn part_item(words: &mut Words, plan: &Plan) -> Result<Item> {
    let part = part_named(&words.need("part")?, plan)?.id;
    let lot = match words.text("lot") {
        Some(name) => Some(lot_named(&name, plan)?.id),
        None => None,
    };
    Ok(Item::Part { part, lot })
}

fn place(words: &mut Words, plan: &Plan) -> Result<Vec<Edit>> {
    let item = part_item(words, plan)?;
    set_down(words, plan, item)
}

/// Rows and columns about a centre.
fn array(words: &mut Words, plan: &Plan) -> Result<Vec<Edit>> {
    const MOST: usize = 10_000;
    let item = part_item(words, plan)?;
    let (_, level) = level(words, plan)?;
    let mut at_least_one = |key: &str| match words.count(key)? {
        None => Err(say::missing(key)),
        Some(0) => Err(say::must_be(key, "at least 1")),
        Some(n) => Ok(n),
    };
    let (columns, rows) = (at_least_one("columns")?, at_least_one("rows")?);
    if columns.saturating_mul(rows) > MOST {
        return Err(say::too_many(MOST));
    }
    let (dx, dy) = match words.numbers("pitch", 'x')?.as_deref() {
        Some([one]) => (*one, *one),
        Some([dx, dy]) => (*dx, *dy),
        _ => return Err(say::missing("pitch, e.g. 48x33")),
    };
    if dx <= 0.0 || dy <= 0.0 {
        return Err(say::must_be("pitch", "above zero, e.g. 48x33"));
    }
    let x0 = words.quantity("x", Quantity::Length)?.unwrap_or(0.0);
    let y0 = words.quantity("y", Quantity::Length)?.unwrap_or(0.0);
    let angle_deg = words.quantity("angle", Quantity::Angle)?.unwrap_or(0.0);
    let support = words.text("support");
    let middle = |n: usize| (n.saturating_sub(1)) as f64 / 2.0;
    let mut numbers = Numbers::of(plan);
    let mut placements = Vec::new();
    for (row, column) in (0..rows).flat_map(|row| (0..columns).map(move |column| (row, column))) {
        placements.push(Placement {
            id: PlacementId(numbers.take()?),
            item: item.clone(),
            at_mm: [
                x0 + (column as f64 - middle(columns)) * dx,
                y0 + (row as f64 - middle(rows)) * dy,
            ],
            angle_deg,
            support: support.clone(),
            locked: false,
        });
    }
    Ok(vec![Edit::Place {
        level: level.id,
        placements,
    }])
}

/// Items by label ("Bracket 3"), several divided by `;`, or `all` of a part.
fn items(words: &mut Words, plan: &Plan) -> Result<Vec<PlacementId>> {
    if let Some(name) = words.text("all") {
        let part = part_named(&name, plan)?.id;
        let is = |p: &Placement| matches!(p.item, Item::Part { part: of, .. } if of == part);
        return Ok(plan
            .placements()
            .filter(|(_, p)| is(p))
            .map(|(_, p)| p.id)
            .collect());
    }
    let wanted = words.need("item")?;
    wanted
        .split(';')
        .map(|label| item(label.trim(), plan))
        .collect()
}

fn item(label: &str, plan: &Plan) -> Result<PlacementId> {
    let mut numbers: std::collections::BTreeMap<String, usize> = Default::default();
    let mut labels = Vec::new();
    for (_, p) in plan.placements() {
        let name = plan.item_name(&p.item);
        let n = numbers.entry(name.clone()).or_default();
        *n += 1;
        let mine = format!("{name} {n}");
        if mine == label {
            return Ok(p.id);
        }
        labels.push(mine);
    }
    let near = crate::text::nearest(label, labels.iter().map(String::as_str), 3);
    Err(say::unknown_name("item", label, &near))
}

fn move_items(words: &mut Words, plan: &Plan) -> Result<Vec<Edit>> {
    let ids = items(words, plan)?;
    let to = match words.count("level")? {
        Some(_) => {
            words.reset("level");
            Some(level(words, plan)?.1.id)
        }
        None => None,
    };
    let [x, y, dx, dy] = ["x", "y", "dx", "dy"].map(|key| words.quantity(key, Quantity::Length));
    let (x, y, dx, dy) = (x?, y?, dx?, dy?);
    let angle = words.quantity("angle", Quantity::Angle)?;
    let turn = words.quantity("turn", Quantity::Angle)?.unwrap_or(0.0);
    let moves = ids.into_iter().filter_map(|id| {
        let (level, old) = plan.placement(id)?;
        Some(Move {
            id,
            level: to.unwrap_or(level.id),
            at_mm: [
                x.unwrap_or(old.at_mm[0]) + dx.unwrap_or(0.0),
                y.unwrap_or(old.at_mm[1]) + dy.unwrap_or(0.0),
            ],
            angle_deg: angle.unwrap_or(old.angle_deg) + turn,
        })
    });
    Ok(vec![Edit::MovePlacements(moves.collect())])
}

// ---- profile

fn fresh_segment(plan: &Plan) -> Segment {
    let last = plan.profile.segments.last();
    Segment {
        id: SegmentId(plan.next_id),
        ramp: RampBy::FullRate,
        to_c: last.map_or(plan.profile.start_c, |s| s.to_c),
        hold_min: 0.0,
        wait_on: None,
        gas: None,
        flow_l_min_25c: 0.0,
        pressure_mbar: None,
        events: Vec::new(),
        note: String::new(),
    }
}

fn nth_segment(words: &mut Words, plan: &Plan) -> Result<Segment> {
    let n = words
        .count("segment")?
        .ok_or_else(|| say::missing("segment"))?;
    let segments = &plan.profile.segments;
    let found = n.checked_sub(1).and_then(|i| segments.get(i));
    found
        .cloned()
        .ok_or_else(|| say::no_such("segment", n, segments.len()))
}

fn segment(words: &mut Words, mut s: Segment) -> Result<Segment> {
    let paces = ["rate", "time", "full-rate"]
        .into_iter()
        .filter(|key| words.has(key))
        .count();
    if paces > 1 {
        return Err(say::two_paces());
    }
    if let Some(k_min) = words.quantity("rate", Quantity::Rate)? {
        s.ramp = RampBy::Rate { k_min };
    }
    if let Some(min) = words.quantity("time", Quantity::Time)? {
        s.ramp = RampBy::Time { min };
    }
    if let Some(true) = words.yes_no("full-rate")? {
        s.ramp = RampBy::FullRate;
    }
    if let Some(to_c) = words.quantity("to", Quantity::Temperature)? {
        s.to_c = to_c;
    }
    // Three words of the trade for one thing.
    let holds = ["hold", "soak", "dwell"];
    if holds.into_iter().filter(|key| words.has(key)).count() > 1 {
        return Err(say::two_holds());
    }
    for key in holds {
        if let Some(min) = words.quantity(key, Quantity::Time)? {
            s.hold_min = min;
        }
    }
    if let Some(gas) = words.text("gas") {
        s.gas = (gas != "vacuum").then_some(gas);
    }
    if let Some(flow) = words.quantity("flow", Quantity::Flow)? {
        s.flow_l_min_25c = flow;
    }
    match words.text("pressure").as_deref() {
        None => {}
        Some("free") => s.pressure_mbar = None,
        Some(_) => {
            words.reset("pressure");
            s.pressure_mbar = words.quantity("pressure", Quantity::Pressure)?;
        }
    }
    if let Some(note) = words.text("note") {
        s.note = note;
    }
    wait(words, &mut s)?;
    for (key, at) in [("start", EventAt::Start), ("end", EventAt::End)] {
        if let Some(list) = words.text(key) {
            s.events.retain(|e| e.at != at);
            for one in list.split(';').map(str::trim).filter(|one| !one.is_empty()) {
                s.events.push(Event {
                    at,
                    kind: event(one)?,
                });
            }
        }
    }
    Ok(s)
}

fn wait(words: &mut Words, s: &mut Segment) -> Result<()> {
    let with = ["band", "timeout", "wait-during", "on-leave"];
    let old = s.wait_on;
    let on = match (words.text("wait").as_deref(), old) {
        (None, _) if !with.into_iter().any(|key| words.has(key)) => return Ok(()),
        // What is not named stays.
        (None, Some(old)) => old.on,
        (None, None) => return Err(say::wait_first()),
        (Some(word), _) => match wait_for(word)? {
            Some(on) => on,
            None => {
                s.wait_on = None;
                return Ok(());
            }
        },
    };
    let band = words.quantity("band", Quantity::TemperatureDifference)?;
    let band = band.or(old.map(|w| w.band_k));
    let during = old.map_or((false, true), |w| (w.on_ramp, w.on_hold));
    let (on_ramp, on_hold) = match words.text("wait-during").as_deref() {
        None => during,
        Some("hold" | "soak" | "dwell") => (false, true),
        Some("ramp") => (true, false),
        Some("both") => (true, true),
        Some(other) => return Err(say::not_one_of("wait-during", other, "ramp, hold or both")),
    };
    let on_leave = match words.text("on-leave").as_deref() {
        None => old.map_or(OnLeave::Pause, |w| w.on_leave),
        Some("pause") => OnLeave::Pause,
        Some("restart") => OnLeave::Restart,
        Some(other) => return Err(say::not_one_of("on-leave", other, "pause or restart")),
    };
    let timeout = words.quantity("timeout", Quantity::Time)?;
    s.wait_on = Some(WaitOn {
        on,
        band_k: band.ok_or_else(|| say::missing("band"))?,
        on_ramp,
        on_hold,
        on_leave,
        timeout_min: timeout.or(old.and_then(|w| w.timeout_min)),
    });
    Ok(())
}

/// What a guaranteed soak waits for; nothing where it does not wait.
fn wait_for(word: &str) -> Result<Option<WaitFor>> {
    Ok(match word {
        "none" => None,
        "control" => Some(WaitFor::Control),
        "any-load" => Some(WaitFor::AnyLoad),
        "all-load" => Some(WaitFor::AllLoad),
        other => {
            let known = "none, control, any-load or all-load";
            return Err(say::not_one_of("wait", other, known));
        }
    })
}

/// `pump-down 0.1 mbar`, `purge 5`, `backfill argon 1000 mbar`, `hydrogen-on`, …
fn event(text: &str) -> Result<EventKind> {
    let (word, rest) = text.split_once(' ').unwrap_or((text, ""));
    let number = |quantity, text: &str| {
        crate::units::parse(quantity, text).map_err(|fault| fault.to_string())
    };
    Ok(match word {
        "purge" => EventKind::PurgeInert {
            volumes: rest
                .trim()
                .parse()
                .map_err(|_| say::must_be("purge", "furnace volumes, e.g. purge 5"))?,
        },
        "pump-down" => EventKind::PumpDown {
            to_mbar: number(Quantity::Pressure, rest)?,
        },
        "backfill" => {
            let (gas, pressure) = rest.trim().split_once(' ').ok_or_else(|| {
                say::must_be(
                    "backfill",
                    "gas and pressure, e.g. backfill argon 1000 mbar",
                )
            })?;
            let to_mbar = number(Quantity::Pressure, pressure)?;
            EventKind::Backfill {
                gas: gas.to_owned(),
                to_mbar,
            }
        }
        "hydrogen-on" => EventKind::HydrogenOn,
        "hydrogen-off" => EventKind::HydrogenOff,
        "fan-on" => EventKind::FanOn,
        "fan-off" => EventKind::FanOff,
        "burn-off-on" => EventKind::BurnOffOn,
        "burn-off-off" => EventKind::BurnOffOff,
        "unload" => EventKind::Unload,
        "operator-check" => EventKind::OperatorCheck,
        other => return Err(say::unknown_event(other)),
    })
}

// ---- acceptances

/// Names in a list, "bracket 3; bracket 4": what is about all of them is meant.
fn named(list: &str) -> Vec<&str> {
    let each = list.split(';').map(str::trim);
    each.filter(|name| !name.is_empty()).collect()
}

fn accept(words: &mut Words, plan: &Plan, shop: &Shop) -> Result<Vec<Edit>> {
    let check = words.need("check")?;
    known_check(&check)?;
    let about = words.text("about");
    let (by, reason, on) = (words.need("by")?, words.need("reason")?, words.need("on")?);
    let role = words.text("role");
    let procedure = match words.text("procedure") {
        Some(name) => Some(ProcedureRef {
            name,
            revision: words.need("revision")?,
        }),
        None => None,
    };
    let Shop {
        catalogue,
        shop,
        standard,
        ..
    } = *shop;
    let needs_forecast = check_by_slug(&check).is_some_and(|c| c.needs == Needs::Forecast);
    let made = needs_forecast.then(|| {
        let sizes = Sizes::new(plan, catalogue);
        let asked = Asked {
            plan,
            catalogue,
            shop,
            sizes: &sizes,
        };
        of(&asked, &|| false)
    });
    let found = review(&Given {
        plan,
        catalogue,
        shop,
        differences: &[],
        standard,
        forecast: made.as_ref(),
    });
    let about = about.as_deref().map(named).unwrap_or_default();
    let matches = |subjects: &[Subject]| {
        let labels: Vec<String> = subjects.iter().map(|s| s.label(plan)).collect();
        about.iter().all(|a| labels.iter().any(|label| label == a))
    };
    let all = found.findings.iter();
    let meant: Vec<&Finding> = all
        .filter(|f| f.check == check && matches(&f.subjects))
        .collect();
    match &procedure {
        None if meant.iter().any(|f| f.safety) => return Err(say::safety_not_accepted(&check)),
        Some(named) => known_procedure(named, &check, plan, shop)?,
        None => {}
    }
    let edits: Vec<Edit> = meant
        .into_iter()
        .map(|f| {
            Edit::Accept(Acceptance {
                check: check.clone(),
                subjects: f.subjects.iter().map(Subject::key).collect(),
                limit: f.limit.as_ref().map(limit_to_accept),
                value: f.value_to_accept(),
                by: by.clone(),
                reason: reason.clone(),
                on: on.clone(),
                role: role.clone(),
                procedure: procedure.clone(),
            })
        })
        .collect();
    if edits.is_empty() {
        return Err(say::nothing_to_accept(&check));
    }
    Ok(edits)
}
