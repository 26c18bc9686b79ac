//! The other faces that parts of a plan may lie on, for an arrangement that may choose.

use crate::arrange::{Lying, Poses, Watch};
use crate::files;
use crate::load::{Item, Plan};
use crate::part::{Part, Rest, Shape};
use crate::statics::{RestBy, RestingPose, RestsOn};
use crate::text::arranging_ways as words;
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

/// Poses of a part that are tried, the best first (assumed: what comes later stands badly).
const MOST: usize = 4;
/// Area that may hang over more than now, mm² (assumed: what rounding makes).
const HAIR_MM2: f64 = 0.01;

/// Poses for all parts of which pieces stand or wait. Mesh files are named from `folder`.
pub(super) fn poses(plan: &Plan, folder: &Path, watch: &Watch) -> (Poses, Vec<String>) {
    let (mut known, mut unknown) = (BTreeMap::new(), Vec::new());
    for part in &plan.parts {
        let of = |item: &Item| item.part() == Some(part.id);
        let stands = plan.placements().any(|(_, p)| of(&p.item));
        let used = stands || plan.lots.iter().any(|lot| lot.part == part.id);
        if !used || watch.cancelled() {
            continue;
        }
        match poses_of(part, folder, watch) {
            Ok(all) if all.is_empty() => unknown.push(words::no_other_pose(&part.name)),
            Ok(all) => {
                known.insert(part.id, all);
            }
            // What was typed as an outline has one pose, and nothing is wrong with it.
            Err(_) if !matches!(part.shape, Shape::Mesh { .. }) => {}
            Err(why) => unknown.push(words::poses_not_known(&part.name, &why)),
        }
    }
    (known, unknown)
}

/// Where a pose is approved that one alone; else those on a foot, off the faces to be kept clean,
/// with no more hanging over than now: no check knows how far that sags.
fn poses_of(part: &Part, folder: &Path, watch: &Watch) -> Result<Vec<Lying>, String> {
    let rests = match part.approved_rest {
        Some(approved) => vec![approved],
        None => {
            let found = files::poses_of(part, folder, &part.keep_off);
            let ranked = found.map_err(|fault| fault.to_string())?.0.ranked;
            suited(&ranked, part.rest)
        }
    };
    let others = rests.into_iter().filter(|rest| *rest != part.rest);
    let others = others.take(MOST).take_while(|_| !watch.cancelled());
    let measured = others.map(|rest| {
        let found = files::part_resting(part, folder, &RestBy::Towards(rest));
        let (rest, geometry) = found.map_err(|fault| fault.to_string())?;
        let geometry = Arc::new(geometry);
        Ok(Lying { rest, geometry })
    });
    measured.collect()
}

fn suited(ranked: &[RestingPose], now: Rest) -> Vec<Rest> {
    let hangs_mm2 = |pose: &RestingPose| pose.overhang.map(|o| o.area_mm2);
    let as_now = ranked.iter().find(|pose| pose.rest == now);
    let now_mm2 = as_now.and_then(hangs_mm2).unwrap_or(0.0);
    let suits = |pose: &&RestingPose| {
        pose.stands
            && pose.rests_on == RestsOn::Area
            && !pose.kept_off
            && hangs_mm2(pose).is_some_and(|mm2| mm2 <= now_mm2 + HAIR_MM2)
    };
    ranked.iter().filter(suits).map(|pose| pose.rest).collect()
}
