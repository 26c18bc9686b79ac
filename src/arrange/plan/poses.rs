//! Parts laid on other faces: which are tried together, as edits that come before a layout.

use super::furnish::Furnished;
use super::pieces;
use super::{Arrangement, Scope};
use crate::load::{Edit, Item, Placement, Plan, Sizes};
use crate::part::{Geometry, PartId, Rest};
use crate::text::arranging_ways as ways;
use std::collections::BTreeSet;
use std::sync::Arc;

/// A part is laid on another face only where that takes less than this share of what it takes now
/// (assumed: less is not worth a hand).
const LESS: f64 = 0.95;

/// A way in which a part may lie, with its measures there.
#[derive(Clone, Debug, PartialEq)]
pub struct Lying {
    /// Which way is down.
    pub rest: Rest,
    /// Measured so.
    pub geometry: Arc<Geometry>,
}

/// What a piece takes in one of its poses.
#[derive(Clone, Copy)]
struct Takes {
    /// With its share of the gaps, mm².
    area_mm2: f64,
    /// With what is under it, mm.
    height_mm: f64,
}

/// What is made small by laying parts on other faces.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Smallest {
    /// Area on the setter.
    Area,
    /// That times the height: of the furnace.
    Room,
    /// The height.
    Height,
}

impl Smallest {
    pub const ALL: [Smallest; 3] = [Smallest::Area, Smallest::Room, Smallest::Height];

    fn of(self, takes: Takes, head_mm: f64) -> f64 {
        match self {
            Smallest::Area => takes.area_mm2,
            Smallest::Room => takes.area_mm2 * (takes.height_mm + head_mm),
            Smallest::Height => takes.height_mm,
        }
    }
}

/// Poses that a part may take, with what a piece takes in each; that in which it lies has none.
struct Ways<'a> {
    part: PartId,
    now: Takes,
    others: Vec<(&'a Lying, Takes)>,
}

impl Arrangement {
    /// Parts that may be laid on other faces: all their pieces are set out here, and none stands
    /// on a support, which is made for one face.
    fn may_be_laid(&self) -> Vec<PartId> {
        let set_out: BTreeSet<_> = self.copies.iter().filter_map(|c| c.placed).collect();
        let mine = |p: &Placement| {
            let coupon = matches!(p.item, Item::Coupon { .. });
            !coupon && p.support.is_none() && set_out.contains(&p.id)
        };
        let of = |part: PartId| move |p: &&Placement| p.item.part() == Some(part);
        let all = self.aims.poses.keys().copied();
        let may = |part: &PartId| {
            let mut stands = self.plan.placements().map(|(_, p)| p).filter(of(*part));
            let waits = self.pieces.iter().map(|piece| &piece.model);
            let mut waits = waits.filter(of(*part)).peekable();
            waits.peek().is_some() && stands.all(mine) && waits.all(|p| p.support.is_none())
        };
        all.filter(may).collect()
    }

    fn ways(&self) -> Vec<Ways<'_>> {
        let mut all = Vec::new();
        let takes = |plan: &Plan| -> Option<Vec<Takes>> {
            let (catalogue, sizes) = (&self.catalogue, Sizes::new(plan, &self.catalogue));
            let like = self.like.as_deref();
            let turning = |part| self.wish.turning_of(part);
            let kinds = pieces::kinds(plan, like, catalogue, &sizes, &self.pieces, turning).ok()?;
            let pieces = self.pieces.iter().zip(kinds);
            let each = pieces.map(|(piece, kind)| {
                Some(Takes {
                    area_mm2: pieces::area_mm2(&kind, self.wish.keep),
                    height_mm: pieces::height_mm(&piece.model, catalogue, &sizes)?,
                })
            });
            each.collect()
        };
        let Some(now) = takes(&self.plan) else {
            return all;
        };
        let of = |part: PartId| {
            let mine = |p: &pieces::Piece| p.model.item.part() == Some(part);
            self.pieces.iter().position(mine)
        };
        let anew = self.aims.furniture.is_some() && self.wish.scope == Scope::Everything;
        for part in self.may_be_laid() {
            let (Some(at), Some(lying)) = (of(part), self.aims.poses.get(&part)) else {
                continue;
            };
            let Some(now) = now.get(at) else { continue };
            let others = lying.iter().filter_map(|one| {
                let plan = edit(part, one).apply(&self.plan, &self.catalogue).ok()?;
                Some((one, *takes(&plan)?.get(at)?))
            });
            // Where the levels stay, so does the room over what stands on them.
            let others = others.filter(|(_, takes)| anew || takes.height_mm <= now.height_mm);
            all.push(Ways {
                part,
                now: *now,
                others: others.collect(),
            });
        }
        all
    }

    /// The same with parts laid on other faces, but for `refused`, so that something gets smaller;
    /// none where nothing does.
    pub(super) fn laid(&self, smallest: Smallest, refused: &[(PartId, Rest)]) -> Option<Laid> {
        if smallest == Smallest::Height && self.wish.scope != Scope::Everything {
            return None;
        }
        let head_mm = self.wish.keep.head_mm;
        let size = |takes: Takes| smallest.of(takes, head_mm);
        let rests = self.least_of(&size, LESS, refused);
        let edits = rests.iter().map(|(part, lying)| edit(*part, lying));
        let set = (!rests.is_empty()).then(|| self.set_up(only(edits.collect())))?;
        let rests = rests.iter().map(|(part, lying)| (*part, lying.rest));
        Some(Laid {
            rests: rests.collect(),
            set: set?,
        })
    }

    /// The least number of setters by area, however the parts lie.
    pub(super) fn least_setters_laid(&self) -> Option<usize> {
        let rests = self.least_of(&|takes| takes.area_mm2, 1.0, &[]);
        let edits = rests.iter().map(|(part, lying)| edit(*part, lying));
        let set = self.set_up(only(edits.collect()))?;
        Some(set.least_setters().min(self.least_setters()))
    }

    /// For each part the pose in which it is smallest, if that is less than so much of what it is.
    fn least_of(
        &self,
        size: &dyn Fn(Takes) -> f64,
        less: f64,
        refused: &[(PartId, Rest)],
    ) -> Vec<(PartId, &Lying)> {
        let mut all = Vec::new();
        for ways in self.ways() {
            let may = |one: &&(&Lying, Takes)| !refused.contains(&(ways.part, one.0.rest));
            let may = ways.others.iter().filter(may);
            let least = may.min_by(|a, b| size(a.1).total_cmp(&size(b.1)));
            if let Some((lying, takes)) = least
                && size(*takes) < less * size(ways.now)
            {
                all.push((ways.part, *lying));
            }
        }
        all
    }

    /// What was laid on another face in the plan that this is of, in words.
    pub(super) fn laid_words(&self, plan: &Plan) -> Vec<String> {
        let were = |id: PartId| self.origin().part(id).map(|part| part.rest);
        let other = plan
            .parts
            .iter()
            .filter(|part| were(part.id) != Some(part.rest));
        let height = |part: &crate::part::Part| part.geometry.size_mm[2];
        let all = other.filter_map(|part| {
            let was = self.origin().part(part.id)?;
            Some(ways::laid(
                &part.name,
                part.rest.down(),
                [height(was), height(part)],
            ))
        });
        all.collect()
    }
}

/// A task with parts laid on other faces, and which.
pub(super) struct Laid {
    pub set: Arrangement,
    pub rests: Vec<(PartId, Rest)>,
}

fn only(edits: Vec<Edit>) -> Furnished {
    Furnished {
        edits,
        seeds: Vec::new(),
    }
}

fn edit(part: PartId, lying: &Lying) -> Edit {
    Edit::RestPart {
        id: part,
        rest: lying.rest,
        geometry: Arc::clone(&lying.geometry),
    }
}
