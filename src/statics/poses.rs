//! Resting poses: how a part can stand, and which of them suits the furnace.
//!
//! Height alone is a bad guide: the flattest pose may bridge a hollow, or lie on the face that has
//! to stay clean. Poses are told apart by what can be said for certain first (does it stand on a
//! face, is that face to be kept off the setter), then by one score.

use super::polygon::{inside_mm, least_width};
use super::tipping::{RestsOn, rests_on};
use crate::geometry::outline::signed_area;
use crate::geometry::rest::{turn_down, turned};
use crate::geometry::{Hull, Mesh, Overhang, P2, Stand};
use crate::part::{CONTACT_MM, MeasureFault, MeshUnit, Rest, is_one_surface, mesh_in_mm};
use crate::text::poses as say;
use std::cmp::Ordering;
use std::thread;

/// What standing firmly is worth in the score (assumed).
const STABILITY_WEIGHT: f64 = 0.4;
/// What resting on much of the plan is worth (assumed): it carries the part while it softens.
const FOOTPRINT_WEIGHT: f64 = 0.25;
/// What having nothing hang over is worth (assumed).
const OVERHANG_WEIGHT: f64 = 0.25;
/// What lying low is worth (assumed).
const HEIGHT_WEIGHT: f64 = 0.1;
/// A pose that tips only beyond this angle stands as firmly as need be, degrees (assumed).
const FIRM_DEG: f64 = 45.0;
/// Poses that are measured, the steadiest of all, beside the one drawn (assumed).
pub const MOST_POSES: usize = 24;
/// A pose that tips by less is one of many of a round, where others measure the same, degrees
/// (assumed).
const ROCKS_DEG: f64 = 5.0;
/// Poses that measure the same and roll or rock are those of a round if there are more of them.
const FEW: usize = 4;
/// Poses of a round are alike within this share (assumed).
const ALIKE: f64 = 0.02;
/// Scores are compared to this step: below stands rounding.
const STEP: f64 = 1e-6;

/// One way to rest, at the size drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct RestingPose {
    /// Which way is down.
    pub rest: Rest,
    /// Whether it stands there by itself: the centroid is over what carries it.
    pub stands: bool,
    /// What it stands on.
    pub rests_on: RestsOn,
    /// Whether it rests on a face that is to be kept off the setter.
    pub kept_off: bool,
    /// Other poses that differ by a turn about the part's own axis only: a round has many.
    pub alike: usize,
    /// Height, mm.
    pub height_mm: f64,
    /// Faces that touch the setter, mm².
    pub contact_area_mm2: f64,
    /// Convex hull of what touches the setter, mm².
    pub support_area_mm2: f64,
    /// Least width of that hull, mm.
    pub foot_width_mm: f64,
    /// Tilt of the setter at which it tips, degrees; negative where it falls by itself.
    pub tip_angle_deg: f64,
    /// Share of its surface that rests, 0 to 1.
    pub resting_share: f64,
    /// What hangs over; none as in [`crate::part::Detail::overhang`].
    pub overhang: Option<Overhang>,
    /// What the ranking goes by, 0 to 1; higher is better.
    pub score: f64,
}

/// The poses of a part, best first.
#[derive(Clone, Debug, PartialEq)]
pub struct Poses {
    /// Ranked; the one drawn is always among them.
    pub ranked: Vec<RestingPose>,
    /// Stable poses that were not measured, less steady than those that were.
    pub left_out: usize,
    /// Volume of the convex hull, mm³.
    pub hull_volume_mm3: f64,
}

/// Which pose a part is to rest in, as a person says it.
#[derive(Clone, Debug, PartialEq)]
pub enum RestBy {
    /// In this direction.
    Towards(Rest),
    /// Its number in the ranking, from 1, and the faces kept off the setter that the ranking goes
    /// by.
    Rank(usize, Vec<Rest>),
}

impl std::str::FromStr for RestBy {
    type Err = String;

    /// `as-drawn`, a number in the ranking, or the direction that is down as `x,y,z`.
    fn from_str(text: &str) -> Result<RestBy, String> {
        let text = text.trim();
        if text == "as-drawn" {
            return Ok(RestBy::Towards(Rest::AS_DRAWN));
        }
        match text.parse() {
            Ok(0) => Err(say::not_a_rest(text)),
            Ok(n) => Ok(RestBy::Rank(n, Vec::new())),
            Err(_) => direction(text).map(RestBy::Towards),
        }
    }
}

/// A direction `x,y,z` in the axes of the drawing.
///
/// # Errors
/// It is none, in a sentence.
pub fn direction(text: &str) -> Result<Rest, String> {
    let numbers: Result<Vec<f64>, _> = text.split(',').map(|n| n.trim().parse()).collect();
    let numbers = numbers.ok().and_then(|n| <[f64; 3]>::try_from(n).ok());
    numbers
        .and_then(Rest::towards)
        .ok_or_else(|| say::not_a_rest(text))
}

impl RestBy {
    /// The pose of a mesh.
    ///
    /// # Errors
    /// The mesh cannot be measured, or has no pose of that number, in a sentence.
    pub fn of(&self, mesh: &Mesh, unit: MeshUnit) -> Result<Rest, String> {
        match self {
            RestBy::Towards(rest) => Ok(*rest),
            RestBy::Rank(n, keep_off) => {
                let poses = resting_poses(mesh, unit, keep_off).map_err(|f| f.to_string())?;
                let pose = n.checked_sub(1).and_then(|i| poses.ranked.get(i));
                pose.map(|p| p.rest)
                    .ok_or_else(|| say::no_such_pose(*n, poses.ranked.len()))
            }
        }
    }
}

/// All stable poses of a mesh and the one drawn, best first for the furnace.
///
/// First come those that stand by themselves on a face, then those on an edge or a round, which
/// roll, then those that fall; a pose on a face to be kept off the setter comes after all others.
/// Among equals the score decides:
/// stability (tip angle, full at 45°), footprint (contact over plan), nothing hanging over
/// (overhang over plan) and height (lowest over own), with the weights above. Equal scores go by
/// direction, the one drawn first, so that the order never depends on chance.
///
/// # Errors
/// As [`crate::part::measure_mesh_at`].
pub fn resting_poses(
    mesh: &Mesh,
    unit: MeshUnit,
    keep_off: &[Rest],
) -> Result<Poses, MeasureFault> {
    resting_poses_of(mesh, unit, keep_off, None)
}

/// [`resting_poses`] of a mesh that is already known to be one closed surface, or not to be
/// ([`is_one_surface`]).
///
/// # Errors
/// As [`resting_poses`].
pub fn resting_poses_of(
    mesh: &Mesh,
    unit: MeshUnit,
    keep_off: &[Rest],
    one_surface: Option<bool>,
) -> Result<Poses, MeasureFault> {
    let (mesh, _) = mesh_in_mm(mesh, unit)?;
    let measures = mesh.measures();
    if measures.volume_mm3 <= 0.0 {
        return Err(MeasureFault::NoVolume(measures.volume_mm3));
    }
    let centroid = measures.centroid_mm;
    let Some(hull) = mesh.hull() else {
        return Err(MeasureFault::NoVolume(measures.volume_mm3));
    };
    let (found, all) = hull.stands(centroid);
    let mut groups = grouped(&hull, &found);
    let within: usize = groups.iter().map(|g| 1 + g.alike).sum();
    let beyond: usize = groups.iter().skip(MOST_POSES).map(|g| 1 + g.alike).sum();
    groups.truncate(MOST_POSES);
    if !groups.iter().any(|g| g.rest.is_as_drawn()) {
        groups.push(Group {
            rest: Rest::AS_DRAWN,
            alike: 0,
        });
    }
    let one_surface = one_surface.unwrap_or_else(|| is_one_surface(&mesh, &measures));
    let about = About {
        mesh: &mesh,
        hull: &hull,
        centroid,
        area_mm2: measures.area_mm2,
        one_surface,
    };
    let half = groups.len().div_ceil(2);
    let (first, second) = groups.split_at(half);
    let measured = |groups: &[Group]| -> Vec<(RestingPose, f64)> {
        groups.iter().map(|g| about.pose(g, keep_off)).collect()
    };
    let mut poses = thread::scope(|scope| {
        let other = scope.spawn(|| measured(second));
        let mut poses = measured(first);
        poses.extend(other.join().unwrap_or_default());
        poses
    });
    let lowest = poses
        .iter()
        .map(|(p, _)| p.height_mm)
        .fold(f64::INFINITY, f64::min);
    for (pose, plan_mm2) in &mut poses {
        pose.score = score(pose, *plan_mm2, lowest);
    }
    let mut ranked: Vec<RestingPose> = poses.into_iter().map(|p| p.0).collect();
    ranked.sort_by(better);
    Ok(Poses {
        ranked,
        left_out: all.saturating_sub(within) + beyond,
        hull_volume_mm3: hull.volume(),
    })
}

fn score(pose: &RestingPose, plan_mm2: f64, lowest_mm: f64) -> f64 {
    let share = |part: f64| (part / plan_mm2).clamp(0.0, 1.0);
    let hanging = pose.overhang.map_or(1.0, |o| share(o.area_mm2));
    STABILITY_WEIGHT * (pose.tip_angle_deg / FIRM_DEG).clamp(0.0, 1.0)
        + FOOTPRINT_WEIGHT * share(pose.contact_area_mm2)
        + OVERHANG_WEIGHT * (1.0 - hanging)
        + HEIGHT_WEIGHT * (lowest_mm / pose.height_mm).clamp(0.0, 1.0)
}

fn better(a: &RestingPose, b: &RestingPose) -> Ordering {
    let class = |p: &RestingPose| {
        let standing = match (p.stands, p.rests_on) {
            (true, RestsOn::Area) => 0,
            (true, _) => 1,
            (false, _) => 2,
        };
        (p.kept_off, standing)
    };
    let steps = |p: &RestingPose| libm::round(p.score / STEP);
    class(a)
        .cmp(&class(b))
        .then(steps(b).total_cmp(&steps(a)))
        .then_with(|| by_direction(a.rest, b.rest))
}

/// The one drawn first, then those along an axis, then by their numbers.
fn by_direction(a: Rest, b: Rest) -> Ordering {
    let kept = |rest: Rest| rest.kept();
    let axes = |rest: Rest| kept(rest).iter().filter(|c| **c != 0.0).count();
    let drawn = |rest: Rest| !rest.is_as_drawn();
    let numbers = kept(a).into_iter().zip(kept(b));
    (drawn(a), axes(a))
        .cmp(&(drawn(b), axes(b)))
        .then_with(|| numbers.fold(Ordering::Equal, |o, (a, b)| o.then(a.total_cmp(&b))))
}

/// Poses of a round that differ by a turn about its axis only are one.
#[derive(Clone, Copy)]
struct Group {
    rest: Rest,
    alike: usize,
}

/// Groups, steadiest first.
fn grouped(hull: &Hull, stands: &[Stand]) -> Vec<Group> {
    struct Kept {
        members: Vec<Rest>,
        rocks: bool,
        like: [f64; 4],
    }
    let mut all: Vec<(f64, Rest, &Stand)> = stands
        .iter()
        .filter_map(|s| Some((tip_angle_deg(s), Rest::towards(s.down)?, s)))
        .collect();
    let steps = |angle: f64| libm::round(angle * 1e4);
    all.sort_by(|a, b| {
        steps(b.0)
            .total_cmp(&steps(a.0))
            .then_with(|| by_direction(a.1, b.1))
    });
    let mut groups: Vec<Kept> = Vec::new();
    for (tips_deg, rest, stand) in all {
        let width = least_width(&stand.polygon);
        let seen = hull.seen_from_above(rest.down());
        let rolls = rests_on(&stand.polygon, width, &seen) != RestsOn::Area;
        let rocks = rolls || tips_deg < ROCKS_DEG;
        let area = area(&stand.polygon);
        let like = [stand.centroid_height, stand.margin(), width, area];
        let near = |kept: &Kept| {
            let each = kept.like.iter().zip(like);
            kept.rocks
                && rocks
                && each
                    .into_iter()
                    .all(|(a, b)| (a - b).abs() <= ALIKE * a.abs())
        };
        match groups.iter_mut().find(|kept| near(kept)) {
            Some(kept) => kept.members.push(rest),
            None => groups.push(Kept {
                members: vec![rest],
                rocks,
                like,
            }),
        }
    }
    let mut all = Vec::new();
    for kept in groups {
        let mut members = kept.members;
        if members.len() <= FEW {
            all.extend(members.into_iter().map(|rest| Group { rest, alike: 0 }));
            continue;
        }
        // The one drawn stands for its like.
        members.sort_by(|a, b| by_direction(*a, *b));
        all.push(Group {
            rest: members[0],
            alike: members.len() - 1,
        });
    }
    all
}

fn area(polygon: &[P2]) -> f64 {
    signed_area(polygon).abs()
}

/// atan(least distance of the projected centroid from the edge of what carries it / its height).
fn tip_angle_deg(stand: &Stand) -> f64 {
    let margin = stand.margin();
    if margin.is_finite() {
        libm::atan2(margin, stand.centroid_height).to_degrees()
    } else {
        0.0
    }
}

/// What is the same for all poses.
struct About<'a> {
    mesh: &'a Mesh,
    hull: &'a Hull,
    centroid: [f64; 3],
    area_mm2: f64,
    one_surface: bool,
}

impl About<'_> {
    /// A pose without its score, and the area of the convex hull of its outline, mm².
    fn pose(&self, group: &Group, keep_off: &[Rest]) -> (RestingPose, f64) {
        let rest = group.rest;
        let centroid = turned(&turn_down(rest.down()), self.centroid);
        let resting;
        let mesh = if rest.is_as_drawn() {
            self.mesh
        } else {
            resting = self.mesh.resting(rest.down());
            &resting
        };
        let contact = mesh.contact_outline(CONTACT_MM);
        let (low, high) = mesh.bounds().unwrap_or_default();
        let seen = self.hull.seen_from_above(rest.down());
        let foot = mesh.support_polygon(CONTACT_MM);
        let foot_width_mm = least_width(&foot);
        let margin = inside_mm(&foot, [centroid[0], centroid[1]]).unwrap_or(0.0);
        // An empty outline's area is −0.
        let contact_area_mm2 = contact.area() + 0.0;
        let pose = RestingPose {
            rest,
            stands: margin > 0.0,
            rests_on: rests_on(&foot, foot_width_mm, &seen),
            kept_off: keep_off.iter().any(|face| rest.rests_on_face(*face)),
            alike: group.alike,
            height_mm: high[2] - low[2],
            contact_area_mm2,
            support_area_mm2: area(&foot),
            foot_width_mm,
            tip_angle_deg: libm::atan2(margin, centroid[2] - low[2]).to_degrees(),
            resting_share: contact_area_mm2 / self.area_mm2,
            overhang: self
                .one_surface
                .then(|| mesh.overhang(CONTACT_MM))
                .flatten(),
            score: 0.0,
        };
        (pose, area(&seen))
    }
}
