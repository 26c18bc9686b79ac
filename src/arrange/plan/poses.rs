//! Parts laid on other faces: which are tried together, as edits that come before a layout.

use super::super::task::Watch;
use super::furnish::Furnished;
use super::pieces::{self, Piece};
use super::{Arrangement, Scope, Turning};
use crate::catalogue::SupportKind;
use crate::load::{Edit, Item, Placement, Plan, Sizes};
use crate::part::{Geometry, Part, PartId, Rest};
use crate::text::arranging_ways as ways;
use std::collections::{BTreeMap, BTreeSet};
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

/// Poses by part.
pub type Poses = BTreeMap<PartId, Vec<Lying>>;

/// Finds the poses that parts may take besides their own, and says in sentences why a part has none;
/// asked for only once they are needed, since that takes a while.
pub type FindPoses = Arc<dyn Fn(&Watch) -> (Poses, Vec<String>) + Send + Sync>;

/// Why a part stays on its face.
enum Stays {
    /// Its support is made for it.
    Support,
    /// It is not to be turned.
    NotTurned,
    /// A piece of it stays.
    Pieces,
}

impl Stays {
    fn sentence(&self, part: &str) -> String {
        match self {
            Stays::Support => ways::stays_on_support(part),
            Stays::NotTurned => ways::stays_unturned(part),
            Stays::Pieces => ways::stays_for_pieces(part),
        }
    }
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
pub(super) struct Ways<'a> {
    part: PartId,
    now: Takes,
    others: Vec<(&'a Lying, Takes)>,
}

impl Arrangement {
    /// The same, with how the other poses of its parts are found once they are asked for.
    #[must_use]
    pub fn with_poses(mut self, poses: FindPoses) -> Arrangement {
        self.poses = Some(poses);
        self
    }

    /// Why a part stays on its face; none where it may be laid on another.
    fn stays(&self, part: PartId) -> Option<Stays> {
        let set_out: BTreeSet<_> = self.copies.iter().filter_map(|c| c.placed).collect();
        let of = |p: &&Placement| p.item.part() == Some(part);
        // Raft and pins are made for one face.
        let made_for_it = |p: &Placement| {
            let support = p.support.as_ref().map(|id| self.catalogue.support(id));
            support.is_some_and(|record| {
                record.is_none_or(|s| matches!(s.kind, SupportKind::Raft | SupportKind::Pins))
            })
        };
        let stands: Vec<_> = self.plan.placements().map(|(_, p)| p).filter(of).collect();
        let waits = self.pieces.iter().map(|piece| &piece.model);
        let waits: Vec<_> = waits.filter(of).collect();
        if stands.iter().chain(&waits).any(|p| made_for_it(p)) {
            return Some(Stays::Support);
        }
        if self.wish.turning_of(Some(part)) == Turning::AsPlaced {
            return Some(Stays::NotTurned);
        }
        let kept =
            |p: &Placement| matches!(p.item, Item::Coupon { .. }) || !set_out.contains(&p.id);
        if stands.into_iter().any(kept) || waits.is_empty() {
            return Some(Stays::Pieces);
        }
        None
    }

    /// What pieces take as their parts lie, and in their other poses; of parts that stay on their
    /// faces why, in sentences.
    pub(super) fn ways<'a>(&self, poses: &'a Poses) -> (Vec<Ways<'a>>, Vec<String>) {
        let (mut all, mut why_not) = (Vec::new(), Vec::new());
        let takes = |plan: &Plan, piece: &Piece| -> Option<Takes> {
            let (catalogue, sizes) = (&self.catalogue, Sizes::new(plan, &self.catalogue));
            let (like, one) = (self.like.as_deref(), std::slice::from_ref(piece));
            let turning = |part| self.wish.turning_of(part);
            let kinds = pieces::kinds(plan, like, catalogue, &sizes, one, turning).ok()?;
            Some(Takes {
                area_mm2: pieces::area_mm2(kinds.first()?, self.wish.keep),
                height_mm: pieces::height_mm(&piece.model, catalogue, &sizes)?,
            })
        };
        let of = |part: PartId| {
            let mine = |p: &&Piece| p.model.item.part() == Some(part);
            self.pieces.iter().find(mine)
        };
        let anew = self.aims.furniture.is_some() && self.wish.scope == Scope::Everything;
        for (&part, lying) in poses {
            if let Some(stays) = self.stays(part) {
                let name = self.plan.part(part).map(|part| &part.name);
                why_not.extend(name.map(|name| stays.sentence(name)));
                continue;
            }
            let Some(piece) = of(part) else { continue };
            let Some(now) = takes(&self.plan, piece) else {
                continue;
            };
            let others = lying.iter().filter_map(|one| {
                let plan = edit(part, one).apply(&self.plan, &self.catalogue).ok()?;
                Some((one, takes(&plan, piece)?))
            });
            // Where the levels stay, so does the room over what stands on them.
            let others = others.filter(|(_, takes)| anew || takes.height_mm <= now.height_mm);
            all.push(Ways {
                part,
                now,
                others: others.collect(),
            });
        }
        (all, why_not)
    }

    /// The same with parts laid on other faces, but for `refused`, so that something gets smaller;
    /// none where nothing does.
    pub(super) fn laid(
        &self,
        ways: &[Ways],
        smallest: Smallest,
        refused: &[(PartId, Rest)],
    ) -> Option<Laid> {
        if smallest == Smallest::Height && self.wish.scope != Scope::Everything {
            return None;
        }
        let head_mm = self.wish.keep.head_mm;
        let size = |takes: Takes| smallest.of(takes, head_mm);
        let rests = least_of(ways, &size, LESS, refused);
        let set = (!rests.is_empty()).then(|| self.lying(&rests))?;
        let rests = rests.iter().map(|(part, lying)| (*part, lying.rest));
        Some(Laid {
            rests: rests.collect(),
            set: set?,
        })
    }

    /// The same with those parts laid that lie otherwise in a plan, but for one; none where no other
    /// does.
    pub(super) fn laid_but(&self, ways: &[Ways], plan: &Plan, but: PartId) -> Option<Arrangement> {
        let lies = |one: &Ways| plan.part(one.part).map(|part| part.rest);
        let rests = ways.iter().filter(|one| one.part != but).filter_map(|one| {
            let mut others = one.others.iter().map(|(lying, _)| *lying);
            let lying = others.find(|lying| lies(one) == Some(lying.rest))?;
            Some((one.part, lying))
        });
        let rests: Vec<_> = rests.collect();
        (!rests.is_empty()).then(|| self.lying(&rests))?
    }

    fn lying(&self, rests: &[(PartId, &Lying)]) -> Option<Arrangement> {
        let edits = rests.iter().map(|(part, lying)| edit(*part, lying));
        self.set_up(only(edits.collect()))
    }

    /// The least number of setters by area, however the parts lie.
    pub(super) fn least_setters_laid(&self, ways: &[Ways]) -> Option<usize> {
        let rests = least_of(ways, &|takes| takes.area_mm2, 1.0, &[]);
        let set = self.lying(&rests)?;
        Some(set.least_setters().min(self.least_setters()))
    }

    /// Parts that lie on other faces in a plan than in the one that was asked about, before and
    /// after.
    pub(super) fn laid_parts<'a>(&'a self, plan: &'a Plan) -> impl Iterator<Item = [&'a Part; 2]> {
        let both = |part: &'a Arc<Part>| Some([self.origin().part(part.id)?, part.as_ref()]);
        let all = plan.parts.iter().filter_map(both);
        all.filter(|[was, is]| was.rest != is.rest)
    }

    /// What was laid on another face in the plan that this is of, in words.
    pub(super) fn laid_words(&self, plan: &Plan) -> Vec<String> {
        let all = self.laid_parts(plan).map(|[was, is]| {
            let heights = [was, is].map(|part| part.geometry.size_mm[2]);
            ways::laid(&is.name, is.rest.down(), heights)
        });
        all.collect()
    }
}

/// For each part the pose in which it is smallest, if that is less than so much of what it is.
fn least_of<'a>(
    ways: &[Ways<'a>],
    size: &dyn Fn(Takes) -> f64,
    less: f64,
    refused: &[(PartId, Rest)],
) -> Vec<(PartId, &'a Lying)> {
    let mut all = Vec::new();
    for ways in ways {
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
