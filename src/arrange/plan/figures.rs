//! What a load comes to in a few numbers, for before and after.

use super::super::task::Answer;
use super::pieces::{self, Around};
use super::{Arrangement, Keep, Scope, Turning};
use crate::catalogue::Catalogue;
use crate::load::{LevelId, Plan, Sizes, floor_and_roof, tally};
use crate::statics::level_centre;
use std::collections::{BTreeMap, BTreeSet};

/// A load in a few numbers.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Figures {
    /// Setters with anything on them.
    pub setters: usize,
    /// Pieces placed.
    pub placed: usize,
    /// Pieces of lots that stand nowhere.
    pub waiting: usize,
    /// Height of the highest stack with its parts, mm; none where one has no height.
    pub height_mm: Option<f64>,
    /// Share of the usable faces of those setters that parts take with half the gap around them.
    pub fill: Option<f64>,
    /// What that share would be with everything that waits: no layout on those setters takes more.
    pub ceiling: Option<f64>,
    /// Root mean square distance of the pieces from the middle of their setters, mm.
    pub middle_mm: Option<f64>,
    /// The farthest that a stack's centre of mass lies from its axis, green, mm; none where the
    /// mass of something is not known.
    pub off_axis_mm: Option<f64>,
    /// Share of the pieces that stand in a row with another of their part, turned alike.
    pub in_rows: Option<f64>,
}

impl Figures {
    /// Of a plan.
    pub fn of(plan: &Plan, catalogue: &Catalogue, keep: Keep) -> Figures {
        let sizes = Sizes::new(plan, catalogue);
        let areas = areas(plan, catalogue, &sizes, keep);
        let sums = areas.as_ref().map(|areas| {
            let used = areas.levels.values().filter(|[covered, _]| *covered > 0.0);
            used.fold([0.0, 0.0], |[a, b], [covered, face]| {
                [a + covered, b + face]
            })
        });
        let sums = sums.filter(|[_, face]| *face > 0.0);
        Figures {
            fill: sums.map(|[covered, face]| covered / face),
            ceiling: sums.zip(areas).map(|([covered, face], areas)| {
                let most = (covered + areas.waiting) / face;
                most.min(1.0)
            }),
            ..Figures::without_areas(plan, catalogue)
        }
    }

    /// The same without the shares of area, which take the longest to reckon.
    pub(super) fn without_areas(plan: &Plan, catalogue: &Catalogue) -> Figures {
        let sizes = Sizes::new(plan, catalogue);
        let pieces = plan.placements().filter(|(_, p)| p.item.is_production());
        Figures {
            setters: setters_in_use(plan),
            placed: pieces.count(),
            waiting: super::waiting(plan),
            height_mm: height_mm(plan, catalogue, &sizes),
            middle_mm: middle_mm(plan),
            off_axis_mm: off_axis_mm(plan, catalogue, &sizes),
            in_rows: in_rows(plan),
            ..Figures::default()
        }
    }
}

/// Height of the highest stack with its parts, mm; none where one has no height.
pub(super) fn height_mm(plan: &Plan, catalogue: &Catalogue, sizes: &Sizes) -> Option<f64> {
    let furnace = catalogue.furnace(&plan.load.furnace)?;
    let (hearth, roof) = floor_and_roof(&furnace.hot_zone);
    let share = tally(plan, catalogue, Some(furnace.as_ref()), sizes).height_fill?;
    Some(share * (roof - hearth))
}

/// Root mean square distance of the pieces from the middle of their setters, mm.
fn middle_mm(plan: &Plan) -> Option<f64> {
    let pieces = plan.placements().filter(|(_, p)| p.item.is_production());
    let squares = pieces.map(|(_, p)| p.at_mm[0] * p.at_mm[0] + p.at_mm[1] * p.at_mm[1]);
    let (count, sum) = squares.fold((0.0, 0.0), |(n, sum), square| (n + 1.0, sum + square));
    (count > 0.0).then(|| libm::sqrt(sum / count))
}

/// The farthest that a stack's centre of mass lies from its axis, mm; none where the mass of
/// something is not known.
pub(super) fn off_axis_mm(plan: &Plan, catalogue: &Catalogue, sizes: &Sizes) -> Option<f64> {
    let mut farthest: Option<f64> = None;
    for stack in &plan.load.stacks {
        let (mut mass_g, mut sums) = (0.0, [0.0; 2]);
        for level in &stack.levels {
            let centre = level_centre(level, plan, catalogue, sizes);
            if centre.unknown > 0 {
                return None;
            }
            mass_g += centre.mass_g;
            sums = [0, 1].map(|k| sums[k] + centre.mass_g * centre.at_mm[k]);
        }
        if mass_g > 0.0 {
            let off_mm = libm::hypot(sums[0], sums[1]) / mass_g;
            farthest = Some(farthest.map_or(off_mm, |most| most.max(off_mm)));
        }
    }
    farthest
}

/// Two places are on one line when they are not further apart, mm; two turns are one when they
/// are not, degrees (assumed: twice what places are rounded to).
pub(super) const IN_LINE: f64 = 0.02;

/// Share of the pieces that stand in a row with another of their part, turned alike.
pub(super) fn in_rows(plan: &Plan) -> Option<f64> {
    let (mut all, mut rows) = (0.0, 0.0);
    for (_, level) in plan.levels() {
        for piece in level.placements.iter().filter(|p| p.item.is_production()) {
            all += 1.0;
            let beside = level.placements.iter().any(|other| {
                let near = |k: usize| (other.at_mm[k] - piece.at_mm[k]).abs() < IN_LINE;
                let part = other.item.is_production() && other.item.part() == piece.item.part();
                let alike = (other.angle_deg - piece.angle_deg).abs() < IN_LINE;
                other.id != piece.id && part && alike && (near(0) || near(1))
            });
            rows += f64::from(u8::from(beside));
        }
    }
    (all > 0.0).then(|| rows / all)
}

/// What a layout comes to while better ones are looked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SoFar {
    /// Pieces placed, those that stand outside of what is set out among them.
    pub placed: usize,
    /// With those that wait.
    pub wanted: usize,
    /// Setters with anything on them.
    pub setters: usize,
    /// As [`Figures::fill`] and [`Figures::ceiling`].
    pub shares: Option<[f64; 2]>,
}

/// Areas that do not change while a task is searched.
pub(super) struct Still {
    /// A piece of each kind, mm².
    each: Vec<f64>,
    /// Covered by what is not set out, and usable, mm², of each level.
    levels: BTreeMap<LevelId, [f64; 2]>,
    /// All that is to be set out, mm².
    all: f64,
}

impl Arrangement {
    /// What a layout of this task comes to; `plan` is what [`Arrangement::shown`] made of it.
    pub fn so_far(&self, answer: &Answer, plan: &Plan) -> SoFar {
        let fixed = self.areas.get_or_init(|| self.fixed_areas());
        let shares = fixed.as_ref().and_then(|fixed| fixed.shares(self, answer));
        let pieces = plan.placements().filter(|(_, p)| p.item.is_production());
        let placed = pieces.count();
        SoFar {
            placed,
            wanted: placed + super::waiting(plan),
            setters: setters_in_use(plan),
            shares,
        }
    }

    /// Reckons what [`Arrangement::so_far`] needs, where it keeps nobody waiting.
    pub(super) fn know_areas(&self) {
        if !self.copies.is_empty() {
            self.areas.get_or_init(|| self.fixed_areas());
        }
    }

    fn fixed_areas(&self) -> Option<Still> {
        let (plan, catalogue, keep) = (&self.plan, &self.catalogue, self.wish.keep);
        let areas = areas(plan, catalogue, &Sizes::new(plan, catalogue), keep)?;
        let kinds = self.task.kinds.iter();
        let each: Vec<f64> = kinds.map(|k| pieces::area_mm2(k, keep)).collect();
        let mut fixed = Still {
            each,
            levels: areas.levels,
            all: areas.waiting,
        };
        for copy in &self.copies {
            let area = fixed.each.get(copy.kind).copied()?;
            let level = copy.placed.and_then(|id| plan.placement(id));
            if let Some((level, _)) = level
                && let Some([covered, _]) = fixed.levels.get_mut(&level.id)
            {
                *covered -= area;
                fixed.all += area;
            }
        }
        Some(fixed)
    }
}

impl Still {
    fn shares(&self, set: &Arrangement, answer: &Answer) -> Option<[f64; 2]> {
        let mut levels = self.levels.clone();
        for placed in &answer.placed {
            let kind = set.copies.get(placed.part)?.kind;
            let level = set.seats.get(placed.field)?.level;
            levels.get_mut(&level)?[0] += self.each.get(kind)?;
        }
        // What is taken off where it stood leaves a hair.
        let used = levels.iter().filter(|(_, [covered, _])| *covered > 1e-3);
        let sums = used.fold([0.0; 3], |[a, b, c], (id, [covered, face])| {
            let stays = self.levels.get(id).map_or(0.0, |level| level[0]);
            [a + covered, b + face, c + stays]
        });
        let [covered, face, stays] = sums;
        let share = |mm2: f64| mm2 / face;
        (face > 0.0).then(|| [share(covered), share(stays + self.all).min(1.0)])
    }
}

/// Setters with anything on them.
pub fn setters_in_use(plan: &Plan) -> usize {
    let with = plan.levels().filter(|(_, l)| !l.placements.is_empty());
    with.count()
}

/// The largest share of a setter that is taken; a half where nothing stands.
pub(super) fn fullest(plan: &Plan, catalogue: &Catalogue, keep: Keep) -> f64 {
    let sizes = Sizes::new(plan, catalogue);
    let areas = areas(plan, catalogue, &sizes, keep);
    let shares = areas.map_or_else(Vec::new, |areas| {
        let all = areas.levels.values().filter(|[_, face]| *face > 0.0);
        all.map(|[covered, face]| covered / face).collect()
    });
    let most = shares.into_iter().fold(0.0, f64::max);
    if most > 0.0 { most } else { 0.5 }
}

struct Areas {
    /// Covered and usable, mm², of each level.
    levels: BTreeMap<LevelId, [f64; 2]>,
    /// What waits would cover, mm².
    waiting: f64,
}

/// None where a body or a setter is not known.
fn areas(plan: &Plan, catalogue: &Catalogue, sizes: &Sizes, keep: Keep) -> Option<Areas> {
    let (everything, none) = (Scope::Everything, BTreeSet::new());
    let (kinds, copies, beyond) =
        pieces::pieces(plan, None, catalogue, sizes, everything, &none).ok()?;
    let shapes = pieces::kinds(plan, None, catalogue, sizes, &kinds, |_| {
        Turning::RightAngles
    })
    .ok()?;
    let each: Vec<f64> = shapes.iter().map(|k| pieces::area_mm2(k, keep)).collect();
    let around = Around {
        plan,
        catalogue,
        sizes,
        pieces: &[],
        keep,
        scope: everything,
    };
    let (_, seats) = pieces::fields(&around, &none).ok()?;
    let mut levels: BTreeMap<LevelId, [f64; 2]> = BTreeMap::new();
    for seat in &seats {
        levels.insert(seat.level, [0.0, seat.area_mm2]);
    }
    let each_of = |(kind, n): &(usize, usize)| Some(each.get(*kind)? * *n as f64);
    let mut waiting: f64 = beyond.iter().filter_map(each_of).sum();
    for copy in &copies {
        let area = each.get(copy.kind).copied()?;
        let level = copy.placed.and_then(|id| plan.placement(id));
        match level.and_then(|(level, _)| levels.get_mut(&level.id)) {
            Some([covered, _]) => *covered += area,
            None => waiting += area,
        }
    }
    // What is locked covers as much, whether or not it may be moved.
    let locked = plan
        .placements()
        .filter(|(_, p)| p.item.is_production() && p.locked);
    for (level, placement) in locked {
        let area = pieces::cover_mm2(placement, catalogue, sizes, keep)?;
        if let Some([covered, _]) = levels.get_mut(&level.id) {
            *covered += area;
        }
    }
    Some(Areas { levels, waiting })
}
