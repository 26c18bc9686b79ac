//! From a plan to a task and back to one edit.

use super::bound::least_fields;
use super::islands::{Effort, arrange};
use super::task::{Fault, Field, Goal, Ground, Kind, Task, Turns, Watch};
use crate::catalogue::Catalogue;
use crate::geometry::{Outline, P2, Pose, Region, Shape};
use crate::load::{
    Carrier, Edit, Item, Level, LevelId, LevelScene, Move, Placement, PlacementId, Plan, Sizes,
    lift_mm, pose_on_setter, usable_face,
};
use crate::part::SizeStage;
use crate::text::arranging as words;
use std::sync::Arc;

/// Outlines may be simplified outward by so much, mm.
const SIMPLER_MM: f64 = 0.02;
/// Places are rounded to this, mm; distances are asked for with as much more.
const ROUND_MM: f64 = 0.01;

/// Distances to keep, mm: those of the review.
#[derive(Clone, Copy, Debug)]
pub struct Keep {
    /// Between things on a setter, and to posts.
    pub gap_mm: f64,
    /// To the edge of the usable face.
    pub edge_mm: f64,
}

/// A plan set out anew.
#[derive(Clone, Debug)]
pub struct Rearranged {
    /// One step of the history.
    pub edit: Edit,
    /// Levels with movable parts before.
    pub before: usize,
    /// Levels with movable parts after.
    pub after: usize,
    /// Least number of levels by area.
    pub bound: usize,
    /// Pieces of lots that were waiting and are now placed.
    pub added: usize,
    /// Pieces of lots that still wait.
    pub waiting: usize,
}

/// Why a plan is not set out anew.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NotRearranged {
    /// Nothing that may be moved.
    #[error("{}", words::nothing_to_move())]
    Nothing,
    /// A level or a thing whose records are missing.
    #[error("{}", words::not_known(name))]
    Unknown {
        /// Its label.
        name: String,
    },
    /// The search found no layout with fewer setters or more parts.
    #[error("{}", words::no_better())]
    NoBetter,
    /// The check of the finished plan found a gap too small.
    #[error("{}", words::check_failed())]
    Check,
    /// See [`Fault`].
    #[error("{0}")]
    Fault(#[from] Fault),
}

/// A kind of piece: what is alike for the arrangement.
struct Piece {
    model: Placement,
    height_mm: f64,
    feedstock: Option<String>,
}

/// One piece: where it stands, or which lot it waits in.
struct Copy {
    kind: usize,
    placed: Option<PlacementId>,
}

/// Sets out all parts that are not locked, and the pieces of lots that wait, on the levels that
/// are there: more pieces first, then fewer levels. Emptied levels on top of a stack go. A level
/// takes only what stands on it already, or what is of the same feedstock on the same support and
/// no higher. Dummies, coupons, thermocouples and locked parts stay.
///
/// # Errors
/// See [`NotRearranged`].
pub fn rearrange(
    plan: &Plan,
    catalogue: &Catalogue,
    keep: Keep,
    effort: Effort,
    watch: &Watch,
) -> Result<Rearranged, NotRearranged> {
    let sizes = Sizes::new(plan, catalogue);
    let levels: Vec<Arc<Level>> = plan.levels().map(|(_, l)| Arc::clone(l)).collect();
    let (pieces, copies) = pieces(plan, catalogue, &sizes)?;
    let before = levels
        .iter()
        .filter(|l| l.placements.iter().any(movable))
        .count();
    let mut kinds = Vec::new();
    for piece in &pieces {
        let footprint = footprint(&piece.model, catalogue, &sizes);
        let unknown = || NotRearranged::Unknown {
            name: plan.item_name(&piece.model.item),
        };
        kinds.push(Kind {
            outline: footprint.ok_or_else(unknown)?,
            turns: Turns::Of(vec![0.0, 90.0, 180.0, 270.0]),
        });
    }
    let mut fields = Vec::new();
    let mut middles = Vec::new();
    for (at, level) in levels.iter().enumerate() {
        let next = next_in_stack(plan, level.id);
        let field = field(
            &levels[at],
            next.as_deref(),
            &pieces,
            catalogue,
            &sizes,
            keep,
        );
        let (field, middle) = field.ok_or_else(|| NotRearranged::Unknown {
            name: plan.level_label(level.id),
        })?;
        fields.push(field);
        middles.push(middle);
    }
    let task = Task {
        kinds,
        parts: copies.iter().map(|c| c.kind).collect(),
        fields,
        clearance: keep.gap_mm + 3.0 * ROUND_MM,
        goal: Goal::Setters,
    };
    let answer = arrange(&task, effort, watch)?;
    let stood = copies.iter().filter(|c| c.placed.is_some()).count();
    let kept = answer
        .placed
        .iter()
        .filter(|p| copies[p.part].placed.is_some())
        .count();
    let added = answer.placed.len() - kept;
    if kept < stood || (added == 0 && answer.fields >= before) {
        return Err(NotRearranged::NoBetter);
    }
    let (mut moves, mut places) = (Vec::new(), vec![Vec::new(); levels.len()]);
    let mut next_id = plan.next_id;
    for p in &answer.placed {
        let (copy, middle) = (&copies[p.part], middles[p.field]);
        let round = |v: f64| (v / ROUND_MM).round() * ROUND_MM;
        let at_mm = [round(p.x - middle[0]), round(p.y - middle[1])];
        match copy.placed {
            Some(id) => moves.push(Move {
                id,
                level: levels[p.field].id,
                at_mm,
                angle_deg: p.angle,
            }),
            None => {
                places[p.field].push(Placement {
                    id: PlacementId(next_id),
                    at_mm,
                    angle_deg: p.angle,
                    ..pieces[copy.kind].model.clone()
                });
                next_id = next_id.saturating_add(1);
            }
        }
    }
    let mut edits = vec![Edit::MovePlacements(moves)];
    for (level, placements) in levels.iter().zip(places) {
        if !placements.is_empty() {
            let level = level.id;
            edits.push(Edit::Place { level, placements });
        }
    }
    let mut edit = Edit::Several {
        label: words::step(),
        edits,
    };
    let moved = edit
        .apply(plan, catalogue)
        .map_err(|_| NotRearranged::Check)?;
    let empty = empty_tops(&moved, &levels);
    if let Edit::Several { edits, .. } = &mut edit {
        edits.extend(empty.into_iter().map(Edit::RemoveLevel));
    }
    let done = edit
        .apply(plan, catalogue)
        .map_err(|_| NotRearranged::Check)?;
    check(&done, catalogue, keep.gap_mm)?;
    Ok(Rearranged {
        edit,
        before,
        after: answer.fields,
        bound: least_fields(&task),
        added,
        waiting: copies.len() - answer.placed.len(),
    })
}

fn movable(placement: &Placement) -> bool {
    !placement.locked && matches!(placement.item, Item::Part { .. })
}

/// The kinds of pieces and every piece of them: what stands, then what waits.
fn pieces(
    plan: &Plan,
    catalogue: &Catalogue,
    sizes: &Sizes,
) -> Result<(Vec<Piece>, Vec<Copy>), NotRearranged> {
    let mut kinds: Vec<Piece> = Vec::new();
    let mut copies = Vec::new();
    let mut kind_of = |model: &Placement| -> Result<usize, NotRearranged> {
        let alike = |k: &Piece| k.model.item == model.item && k.model.support == model.support;
        if let Some(kind) = kinds.iter().position(alike) {
            return Ok(kind);
        }
        let sized = sizes.of(&model.item, catalogue);
        let sized = sized.ok_or_else(|| NotRearranged::Unknown {
            name: plan.item_name(&model.item),
        })?;
        let highest = SizeStage::ALL.map(|s| sized.at(s).body.height_mm());
        kinds.push(Piece {
            model: model.clone(),
            height_mm: highest.into_iter().fold(0.0, f64::max) + lift_mm(model, catalogue),
            feedstock: sized.feedstock.clone(),
        });
        Ok(kinds.len() - 1)
    };
    let stands: Vec<&Placement> = plan.placements().map(|(_, p)| p).collect();
    for placement in stands.iter().filter(|p| movable(p)) {
        copies.push(Copy {
            kind: kind_of(placement)?,
            placed: Some(placement.id),
        });
    }
    for lot in &plan.lots {
        let of_lot =
            |p: &&&Placement| matches!(p.item, Item::Part { lot: Some(l), .. } if l == lot.id);
        let placed: Vec<&&Placement> = stands.iter().filter(of_lot).collect();
        // How a lot's pieces are set down is seen from those that stand.
        let Some(model) = placed.iter().find(|p| movable(p)) else {
            continue;
        };
        let kind = kind_of(model)?;
        for _ in placed.len()..lot.count as usize {
            copies.push(Copy { kind, placed: None });
        }
    }
    if copies.is_empty() {
        return Err(NotRearranged::Nothing);
    }
    Ok((kinds, copies))
}

/// What a thing may cover at any stage, about its anchor, one shape.
fn footprint(model: &Placement, catalogue: &Catalogue, sizes: &Sizes) -> Option<Shape> {
    let sized = sizes.of(&model.item, catalogue)?;
    let all = SizeStage::ALL.map(|s| sized.at(s).body.silhouette());
    let outline = Outline::union(&all).simplify_outward(SIMPLER_MM);
    match <[Shape; 1]>::try_from(outline.shapes.clone()) {
        Ok([shape]) => Some(shape),
        Err(_) => Some(Shape {
            outer: Some(outline.hull()).filter(|hull| hull.len() > 2)?,
            holes: Vec::new(),
        }),
    }
}

fn next_in_stack(plan: &Plan, id: LevelId) -> Option<Arc<Level>> {
    let (stack, _) = plan.level(id)?;
    stack
        .levels
        .iter()
        .skip_while(|l| l.id != id)
        .nth(1)
        .cloned()
}

/// A level as a field, and where its middle lies in the field's frame.
fn field(
    level: &Level,
    next: Option<&Level>,
    pieces: &[Piece],
    catalogue: &Catalogue,
    sizes: &Sizes,
    keep: Keep,
) -> Option<(Field, P2)> {
    let setter = catalogue.setter(&level.setter)?;
    let (ground, middle) = match usable_face(setter, 1.0) {
        Region::Rectangle {
            width_mm: w,
            depth_mm: h,
        } => (Ground::Rectangle { w, h }, [w / 2.0, h / 2.0]),
        Region::Disc { diameter_mm: d } => (Ground::Disc { d }, [0.0; 2]),
        Region::Polygon(_) => return None,
    };
    let mut fixed = Vec::new();
    for placement in level.placements.iter().filter(|p| !movable(p)) {
        let shape = footprint(placement, catalogue, sizes)?;
        let pose = pose_on_setter(placement, 0.0, 1.0);
        fixed.push(placed(shape, &pose, middle));
    }
    if let Some(Level {
        carrier: Carrier::Posts { post, at_mm },
        ..
    }) = next
    {
        let disc = Outline::disc(catalogue.post(post)?.diameter_mm);
        for [x, y] in at_mm {
            let shapes = disc.shapes.iter().cloned();
            fixed.extend(shapes.map(|s| placed(s, &Pose::at(*x, *y), middle)));
        }
    }
    let stands = |piece: &Piece| {
        let alike = |p: &Placement| p.item == piece.model.item && p.support == piece.model.support;
        level.placements.iter().any(alike)
    };
    let accepts = |piece: &Piece| {
        stands(piece)
            || pieces.iter().any(|other| {
                stands(other)
                    && other.feedstock == piece.feedstock
                    && other.model.support == piece.model.support
                    && piece.height_mm <= other.height_mm
            })
    };
    let field = Field {
        ground,
        margin: keep.edge_mm + ROUND_MM,
        fixed,
        accepts: pieces.iter().map(accepts).collect(),
    };
    Some((field, middle))
}

fn placed(shape: Shape, pose: &Pose, middle: P2) -> Shape {
    let shapes = vec![shape];
    let moved = Outline { shapes }.placed(pose).moved(middle[0], middle[1]);
    moved.shapes.into_iter().next().unwrap_or_default()
}

/// Levels that were laid out and are empty now, from the top of their stacks.
fn empty_tops(moved: &Plan, levels: &[Arc<Level>]) -> Vec<LevelId> {
    let laid_out = |id: LevelId| {
        levels
            .iter()
            .any(|l| l.id == id && !l.placements.is_empty())
    };
    let mut empty = Vec::new();
    for stack in &moved.load.stacks {
        let from_top = stack.levels.iter().rev();
        let tops = from_top.take_while(|l| l.placements.is_empty() && laid_out(l.id));
        empty.extend(tops.map(|l| l.id));
    }
    empty
}

/// The clearance check's own answer for every level.
fn check(plan: &Plan, catalogue: &Catalogue, gap_mm: f64) -> Result<(), NotRearranged> {
    let sizes = Sizes::new(plan, catalogue);
    for (_, level) in plan.levels() {
        let scene = LevelScene::new(level, plan, &sizes, catalogue);
        let moved = |id: PlacementId| {
            let mut all = level.placements.iter();
            all.any(|p| p.id == id && movable(p))
        };
        let near = scene.pair_gaps(gap_mm);
        if near
            .iter()
            .any(|g| g.gap_mm < gap_mm && (moved(g.a) || moved(g.b)))
        {
            return Err(NotRearranged::Check);
        }
    }
    Ok(())
}
