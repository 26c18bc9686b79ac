//! Turning, lining up, spreading and mirroring what is selected: places in, moves out.

use crate::catalogue::Catalogue;
use crate::geometry::Pose;
use crate::load::{
    Carrier, Edit, Level, LevelId, Move, Placement, PlacementId, Plan, Sizes, Stack, StackId,
};
use crate::part::SizeStage;
use crate::profile::Profile;

/// A selected thing with the box of its outline, green.
#[derive(Clone, Debug)]
pub struct Selected {
    placement: Placement,
    level: LevelId,
    low: [f64; 2],
    high: [f64; 2],
}

/// What is lined up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Edge {
    /// Left edges.
    Left,
    /// Right edges.
    Right,
    /// Edges at the door side.
    Door,
    /// Edges at the back.
    Back,
    /// Anchor points in a column.
    MiddleX,
    /// Anchor points in a row.
    MiddleY,
}

/// Selected things that are not locked, with their boxes.
pub fn selected(plan: &Plan, catalogue: &Catalogue, ids: &[PlacementId]) -> Vec<Selected> {
    let sizes = Sizes::new(plan, catalogue);
    plan.placements()
        .filter(|(_, p)| ids.contains(&p.id) && !p.locked)
        .map(|(level, p)| {
            let pose = Pose {
                angle_deg: p.angle_deg,
                ..Pose::at(p.at_mm[0], p.at_mm[1])
            };
            let bounds = sizes.of(&p.item, catalogue).and_then(|s| {
                s.at(SizeStage::Green)
                    .body
                    .silhouette()
                    .placed(&pose)
                    .bounds()
            });
            let [low, high] = bounds.unwrap_or([p.at_mm, p.at_mm]);
            Selected {
                placement: p.clone(),
                level: level.id,
                low,
                high,
            }
        })
        .collect()
}

fn moved(s: &Selected, at_mm: [f64; 2], angle_deg: f64) -> Move {
    Move {
        id: s.placement.id,
        level: s.level,
        at_mm,
        angle_deg,
    }
}

/// Turned about the middle of their anchor points.
pub fn turned(all: &[Selected], by_deg: f64) -> Vec<Move> {
    let middle =
        |k: usize| all.iter().map(|s| s.placement.at_mm[k]).sum::<f64>() / all.len().max(1) as f64;
    let [cx, cy] = [middle(0), middle(1)];
    let turn = Pose {
        angle_deg: by_deg,
        ..Pose::at(cx, cy)
    };
    all.iter()
        .map(|s| {
            let [x, y] = s.placement.at_mm;
            let at_mm = if all.len() == 1 {
                [x, y]
            } else {
                turn.apply([x - cx, y - cy])
            };
            moved(s, at_mm, (s.placement.angle_deg + by_deg).rem_euclid(360.0))
        })
        .collect()
}

/// Lined up.
pub fn aligned(all: &[Selected], edge: Edge) -> Vec<Move> {
    let least = |f: fn(&Selected) -> f64| all.iter().map(f).fold(f64::INFINITY, f64::min);
    let most = |f: fn(&Selected) -> f64| all.iter().map(f).fold(f64::NEG_INFINITY, f64::max);
    let mean =
        |k: usize| all.iter().map(|s| s.placement.at_mm[k]).sum::<f64>() / all.len().max(1) as f64;
    let (left, right) = (least(|s| s.low[0]), most(|s| s.high[0]));
    let (door, back) = (least(|s| s.low[1]), most(|s| s.high[1]));
    all.iter()
        .map(|s| {
            let [x, y] = s.placement.at_mm;
            let at_mm = match edge {
                Edge::Left => [x + left - s.low[0], y],
                Edge::Right => [x + right - s.high[0], y],
                Edge::Door => [x, y + door - s.low[1]],
                Edge::Back => [x, y + back - s.high[1]],
                Edge::MiddleX => [mean(0), y],
                Edge::MiddleY => [x, mean(1)],
            };
            moved(s, at_mm, s.placement.angle_deg)
        })
        .collect()
}

/// Spread so that the gaps between boxes are equal along x (0) or y (1); the outermost stay.
pub fn distributed(all: &[Selected], k: usize) -> Vec<Move> {
    let mut order: Vec<&Selected> = all.iter().collect();
    let middle =
        |s: &Selected| (s.low.get(k).unwrap_or(&0.0) + s.high.get(k).unwrap_or(&0.0)) / 2.0;
    let size = |s: &Selected| s.high.get(k).unwrap_or(&0.0) - s.low.get(k).unwrap_or(&0.0);
    order.sort_by(|a, b| middle(a).total_cmp(&middle(b)));
    let (Some(first), Some(last)) = (order.first(), order.last()) else {
        return Vec::new();
    };
    if order.len() < 3 {
        return Vec::new();
    }
    let start = first.low.get(k).copied().unwrap_or(0.0);
    let span = last.high.get(k).copied().unwrap_or(0.0) - start;
    let filled: f64 = order.iter().map(|s| size(s)).sum();
    let gap = (span - filled) / (order.len() - 1) as f64;
    let mut at = start;
    order
        .iter()
        .map(|s| {
            let by = at - s.low.get(k).copied().unwrap_or(0.0);
            at += size(s) + gap;
            let [x, y] = s.placement.at_mm;
            let to = if k == 0 { [x + by, y] } else { [x, y + by] };
            moved(s, to, s.placement.angle_deg)
        })
        .collect()
}

/// Places mirrored about the middle of the selection along x (0) or y (1). A part is not turned
/// into its mirror image: its angle is mirrored.
pub fn mirrored(all: &[Selected], k: usize) -> Vec<Move> {
    let low = all
        .iter()
        .filter_map(|s| s.low.get(k))
        .copied()
        .fold(f64::INFINITY, f64::min);
    let high = all
        .iter()
        .filter_map(|s| s.high.get(k))
        .copied()
        .fold(f64::NEG_INFINITY, f64::max);
    all.iter()
        .map(|s| {
            let [x, y] = s.placement.at_mm;
            let angle = s.placement.angle_deg;
            if k == 0 {
                moved(s, [low + high - x, y], (360.0 - angle).rem_euclid(360.0))
            } else {
                moved(s, [x, low + high - y], (180.0 - angle).rem_euclid(360.0))
            }
        })
        .collect()
}

/// To the same place one level up (1) or down (−1).
pub fn to_neighbour(plan: &Plan, ids: &[PlacementId], by: isize) -> Vec<Move> {
    let mut moves = Vec::new();
    for stack in &plan.load.stacks {
        for (i, level) in stack.levels.iter().enumerate() {
            let to = i.checked_add_signed(by).and_then(|i| stack.levels.get(i));
            let Some(to) = to else { continue };
            for p in level
                .placements
                .iter()
                .filter(|p| ids.contains(&p.id) && !p.locked)
            {
                let (at_mm, angle_deg) = (p.at_mm, p.angle_deg);
                moves.push(Move {
                    id: p.id,
                    level: to.id,
                    at_mm,
                    angle_deg,
                });
            }
        }
    }
    moves
}

/// How far a copy has to go to stand beside the originals, mm.
pub fn width(all: &[Selected]) -> f64 {
    let low = all.iter().map(|s| s.low[0]).fold(f64::INFINITY, f64::min);
    let high = all
        .iter()
        .map(|s| s.high[0])
        .fold(f64::NEG_INFINITY, f64::max);
    // A gap that holds when the parts have grown by about two per cent.
    if high > low {
        (high - low) * 1.02 + 1.0
    } else {
        10.0
    }
}

/// What carries a level on top of another: the same posts again, or the first posts known.
pub fn carrier_above(plan: &Plan, catalogue: &Catalogue, top: &Level) -> Carrier {
    if let Carrier::Posts { .. } | Carrier::Feet { .. } = top.carrier {
        return top.carrier.clone();
    }
    let used = plan.levels().find_map(|(_, l)| match &l.carrier {
        posts @ Carrier::Posts { .. } => Some(posts.clone()),
        _ => None,
    });
    used.unwrap_or_else(|| posts_at_corners(catalogue, &top.setter))
}

/// Four of the catalogue's middle posts near the corners of a setter, or three for a disc.
pub fn posts_at_corners(catalogue: &Catalogue, setter: &str) -> Carrier {
    use crate::catalogue::SetterShape;
    let mut posts: Vec<_> = catalogue.posts.values().map(|(_, p)| p).collect();
    posts.sort_by(|a, b| a.length_mm.total_cmp(&b.length_mm));
    let Some(post) = posts.get(posts.len() / 2) else {
        return Carrier::Hearth;
    };
    let inset = post.diameter_mm / 2.0 + 4.0;
    let at_mm = match catalogue.setter(setter).map(|s| s.shape) {
        Some(SetterShape::Rectangle { width_mm, depth_mm }) => {
            let (x, y) = (width_mm / 2.0 - inset, depth_mm / 2.0 - inset);
            vec![[-x, -y], [x, -y], [-x, y], [x, y]]
        }
        Some(SetterShape::Disc { diameter_mm }) => {
            let r = diameter_mm / 2.0 - inset;
            [90.0, 210.0, 330.0]
                .map(|a| {
                    Pose {
                        angle_deg: a,
                        ..Pose::at(0.0, 0.0)
                    }
                    .apply([r, 0.0])
                })
                .to_vec()
        }
        None => Vec::new(),
    };
    Carrier::Posts {
        post: post.id.clone(),
        at_mm,
    }
}

/// The edits for a further level on top, with its number; the first one stands on the hearth.
/// None without any setter.
pub fn next_level(
    plan: &Plan,
    catalogue: &Catalogue,
    next_id: u32,
) -> Option<(Vec<Edit>, LevelId)> {
    if let Some(stack) = plan.load.stacks.last()
        && let Some(top) = stack.levels.last()
    {
        let level = Level {
            id: LevelId(next_id),
            setter: top.setter.clone(),
            carrier: carrier_above(plan, catalogue, top),
            placements: Vec::new(),
        };
        let id = level.id;
        return Some((
            vec![Edit::AddLevel {
                stack: stack.id,
                index: usize::MAX,
                level,
            }],
            id,
        ));
    }
    let setter = catalogue.setters.keys().next()?.clone();
    let carrier = Carrier::Hearth;
    if let Some(stack) = plan.load.stacks.last() {
        let id = LevelId(next_id);
        let level = Level {
            id,
            setter,
            carrier,
            placements: Vec::new(),
        };
        return Some((
            vec![Edit::AddLevel {
                stack: stack.id,
                index: 0,
                level,
            }],
            id,
        ));
    }
    let id = LevelId(next_id + 1);
    let level = Level {
        id,
        setter,
        carrier,
        placements: Vec::new(),
    };
    let stack = Stack {
        id: StackId(next_id),
        at_mm: [0.0, 0.0],
        levels: vec![std::sync::Arc::new(level)],
    };
    Some((vec![Edit::AddStack(stack)], id))
}

/// An empty load for a furnace.
pub fn empty_plan(furnace: &str) -> Plan {
    let profile = Profile {
        name: String::new(),
        revision: "1".to_owned(),
        start_c: 25.0,
        segments: Vec::new(),
        unload_c: 60.0,
    };
    Plan::new("", furnace, profile)
}
