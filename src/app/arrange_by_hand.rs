//! Turning, lining up, spreading and mirroring what is selected: places in, moves out.

use crate::catalogue::Catalogue;
use crate::geometry::{Outline, Pose};
use crate::load::{
    Carrier, Edit, Level, LevelId, Move, Placement, PlacementId, Plan, Sizes, Stack, StackId,
};
use crate::part::SizeStage;

/// A selected thing with the box of its outline, green.
#[derive(Clone, Debug)]
pub struct Selected {
    placement: Placement,
    level: LevelId,
    low: [f64; 2],
    high: [f64; 2],
    /// Its outline as it lies at 0°, about the anchor.
    outline: Option<Outline>,
}

impl Selected {
    /// The box of its outline at a place and angle; the place alone where it has no outline.
    fn boxed(&self, [x, y]: [f64; 2], angle_deg: f64) -> [[f64; 2]; 2] {
        let pose = Pose {
            angle_deg,
            ..Pose::at(x, y)
        };
        let bounds = self.outline.as_ref().and_then(|o| o.placed(&pose).bounds());
        bounds.unwrap_or([[x, y]; 2])
    }
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
            let sized = sizes.of(&p.item, catalogue);
            let mut one = Selected {
                placement: p.clone(),
                level: level.id,
                low: p.at_mm,
                high: p.at_mm,
                outline: sized.map(|s| s.at(SizeStage::Green).body.silhouette()),
            };
            [one.low, one.high] = one.boxed(p.at_mm, p.angle_deg);
            one
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
/// into its mirror image: its angle is mirrored. The box around all keeps its middle, also where a
/// part is no mirror image of itself, so that mirroring twice changes nothing.
pub fn mirrored(all: &[Selected], k: usize) -> Vec<Move> {
    let ends = |boxes: &mut dyn Iterator<Item = [[f64; 2]; 2]>| {
        boxes
            .filter_map(|[low, high]| Some((*low.get(k)?, *high.get(k)?)))
            .reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
            .map_or(0.0, |(low, high)| low + high)
    };
    let across = ends(&mut all.iter().map(|s| [s.low, s.high]));
    let mut moves: Vec<Move> = all
        .iter()
        .map(|s| {
            let [x, y] = s.placement.at_mm;
            let angle = s.placement.angle_deg;
            if k == 0 {
                moved(s, [across - x, y], (360.0 - angle).rem_euclid(360.0))
            } else {
                moved(s, [x, across - y], (180.0 - angle).rem_euclid(360.0))
            }
        })
        .collect();
    let boxes = all.iter().zip(&moves);
    let mirrored = ends(&mut boxes.map(|(s, m)| s.boxed(m.at_mm, m.angle_deg)));
    for to in &mut moves {
        if let Some(v) = to.at_mm.get_mut(k) {
            *v += (across - mirrored) / 2.0;
        }
    }
    moves
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

/// The catalogue's middle posts near the corners of a setter, or three for a disc; without places
/// where there are none for such a setter, which the review tells.
pub fn posts_at_corners(catalogue: &Catalogue, setter: &str) -> Carrier {
    let mut posts: Vec<_> = catalogue.posts.values().map(|(_, p)| p).collect();
    posts.sort_by(|a, b| a.length_mm.total_cmp(&b.length_mm));
    let Some(post) = posts.get(posts.len() / 2) else {
        return Carrier::Hearth;
    };
    let inset = post.diameter_mm / 2.0 + 4.0;
    let setter = catalogue.setter(setter);
    let at_mm = setter.map_or_else(Vec::new, |s| s.shape.post_places(inset));
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
    let id = LevelId(next_id.saturating_add(1));
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::builtin;
    use crate::load::Item;
    use crate::part::{Drawn, Part, PartId, Shape, measure_typed};
    use std::sync::Arc;

    /// A plate of 20 x 12 mm.
    const PLATE: u32 = 1;
    /// An L of 10 mm arms, 30 along x and 40 along y: its anchor, the centroid, lies 10 and 15 mm
    /// from the outer corner.
    const ELL: u32 = 2;

    fn part(id: u32, shape: Shape) -> Arc<Part> {
        Arc::new(Part {
            id: PartId(id),
            name: format!("part {id}"),
            feedstock: "316l-wax".to_owned(),
            geometry: Arc::new(measure_typed(&shape).unwrap()),
            shape,
            drawn: Drawn::Green,
            made_with_oversize: None,
            weighed: None,
            section_mm: None,
            rest: Default::default(),
            infill: Default::default(),
            keep_off: Vec::new(),
            approved_rest: None,
            work_zone_only: false,
        })
    }

    fn piece(id: u32, of: u32, at_mm: [f64; 2], angle_deg: f64) -> Placement {
        Placement {
            id: PlacementId(id),
            item: Item::Part {
                part: PartId(of),
                lot: None,
            },
            at_mm,
            angle_deg,
            support: None,
            locked: false,
        }
    }

    /// Levels 1, 2, … of one stack, each with its things.
    fn plan(levels: Vec<Vec<Placement>>) -> Plan {
        let mut plan = Plan::empty("small-vacuum-box");
        let plate = Shape::Block {
            width_mm: 20.0,
            depth_mm: 12.0,
            height_mm: 5.0,
        };
        let ell = Shape::Prism {
            outline_mm: vec![
                [0.0, 0.0],
                [30.0, 0.0],
                [30.0, 10.0],
                [10.0, 10.0],
                [10.0, 40.0],
                [0.0, 40.0],
            ],
            height_mm: 5.0,
        };
        plan.parts = vec![part(PLATE, plate), part(ELL, ell)];
        let levels = levels.into_iter().zip(1..);
        let level = |(placements, id)| {
            Arc::new(Level {
                id: LevelId(id),
                setter: "alumina-square-150x5".to_owned(),
                carrier: Carrier::Hearth,
                placements,
            })
        };
        plan.load.stacks = vec![Stack {
            id: StackId(90),
            at_mm: [0.0, 0.0],
            levels: levels.map(level).collect(),
        }];
        plan.next_id = 100;
        plan
    }

    fn all(plan: &Plan) -> Vec<Selected> {
        let ids: Vec<PlacementId> = plan.placements().map(|(_, p)| p.id).collect();
        selected(plan, &builtin().unwrap().0, &ids)
    }

    fn of(things: Vec<Placement>) -> Vec<Selected> {
        all(&plan(vec![things]))
    }

    /// Number, place and angle of each, by number, to a thousandth.
    fn places(mut moves: Vec<Move>) -> Vec<(u32, [f64; 2], f64)> {
        moves.sort_by_key(|m| m.id);
        let round = |v: f64| (v * 1e3).round() / 1e3 + 0.0;
        let place = |m: Move| (m.id.0, m.at_mm.map(round), round(m.angle_deg));
        moves.into_iter().map(place).collect()
    }

    /// The plan after moves, for doing something twice.
    fn after(mut things: Vec<Placement>, moves: &[Move]) -> Vec<Placement> {
        for thing in &mut things {
            let to = moves.iter().find(|m| m.id == thing.id).unwrap();
            (thing.at_mm, thing.angle_deg) = (to.at_mm, to.angle_deg);
        }
        things
    }

    #[test]
    fn boxes_are_those_of_turned_outlines() {
        let found = of(vec![
            piece(1, ELL, [100.0, 50.0], 0.0),
            piece(2, ELL, [100.0, 50.0], 90.0),
            piece(3, PLATE, [0.0, 0.0], 45.0),
        ]);
        let near = |s: &Selected, low: [f64; 2], high: [f64; 2]| {
            let pairs = [(s.low, low), (s.high, high)];
            for (is, want) in pairs.into_iter().flat_map(|(a, b)| a.into_iter().zip(b)) {
                assert!((is - want).abs() < 1e-9, "{s:?}");
            }
        };
        near(&found[0], [90.0, 35.0], [120.0, 75.0]);
        // A quarter turn takes (x, y) to (-y, x).
        near(&found[1], [75.0, 40.0], [115.0, 70.0]);
        // (20 + 12) / 2 / sqrt 2 each way.
        let half = 16.0 / 2.0_f64.sqrt();
        near(&found[2], [-half; 2], [half; 2]);
    }

    #[test]
    fn what_is_locked_or_not_asked_for_is_not_taken() {
        let mut locked = piece(1, PLATE, [0.0, 0.0], 0.0);
        locked.locked = true;
        let plan = plan(vec![vec![locked, piece(2, PLATE, [30.0, 0.0], 0.0)]]);
        let taken = selected(&plan, &builtin().unwrap().0, &[PlacementId(1)]);
        assert!(taken.is_empty());
        assert_eq!(all(&plan).len(), 1);
    }

    #[test]
    fn turned_about_the_common_middle() {
        let things = vec![
            piece(1, PLATE, [10.0, 0.0], 0.0),
            piece(2, ELL, [30.0, 40.0], 300.0),
        ];
        // About (20, 20): (-10, -20) goes to (20, -10), (10, 20) to (-20, 10).
        let moves = turned(&of(things.clone()), 90.0);
        let quarter = vec![(1, [40.0, 10.0], 90.0), (2, [0.0, 30.0], 30.0)];
        assert_eq!(places(moves), quarter);
        // Four quarters are none; one to the right undoes one to the left.
        let mut now = things.clone();
        for by in [90.0, 90.0, 90.0, 90.0, 90.0, -90.0] {
            let moves = turned(&of(now.clone()), by);
            now = after(now, &moves);
        }
        assert_eq!(now, things);
        // A single thing turns where it stands.
        let moves = turned(&of(vec![piece(1, ELL, [7.0, 8.0], 350.0)]), 15.0);
        assert_eq!(places(moves), [(1, [7.0, 8.0], 5.0)]);
    }

    #[test]
    fn aligned_at_each_edge_of_the_outlines() {
        // Boxes: 1 from (-10, -6) to (10, 6); 2, an L turned by 90°, from (75, 40) to (115, 70).
        let things = of(vec![
            piece(1, PLATE, [0.0, 0.0], 0.0),
            piece(2, ELL, [100.0, 50.0], 90.0),
        ]);
        let at = |edge| {
            let places = places(aligned(&things, edge));
            assert_eq!((places[0].2, places[1].2), (0.0, 90.0));
            [places[0].1, places[1].1]
        };
        assert_eq!(at(Edge::Left), [[0.0, 0.0], [15.0, 50.0]]);
        assert_eq!(at(Edge::Right), [[105.0, 0.0], [100.0, 50.0]]);
        assert_eq!(at(Edge::Door), [[0.0, 0.0], [100.0, 4.0]]);
        assert_eq!(at(Edge::Back), [[0.0, 64.0], [100.0, 50.0]]);
        assert_eq!(at(Edge::MiddleX), [[50.0, 0.0], [50.0, 50.0]]);
        assert_eq!(at(Edge::MiddleY), [[0.0, 25.0], [100.0, 25.0]]);
    }

    #[test]
    fn distributed_with_equal_gaps() {
        // Along x: 20 from -10, 12 (a plate turned) from 14, 30 (an L) from 60, 20 from 110. From
        // -10 to 130 that leaves 140 - 82 = 58 for three gaps.
        let things = of(vec![
            piece(4, PLATE, [120.0, 3.0], 0.0),
            piece(1, PLATE, [0.0, 0.0], 0.0),
            piece(3, ELL, [70.0, 9.0], 0.0),
            piece(2, PLATE, [20.0, -5.0], 90.0),
        ]);
        let gap = 58.0 / 3.0;
        let moves = distributed(&things, 0);
        let found = places(moves);
        let want = [
            (1, [0.0, 0.0]),
            (2, [10.0 + gap + 6.0, -5.0]),
            (3, [10.0 + gap + 12.0 + gap + 10.0, 9.0]),
            (4, [120.0, 3.0]),
        ];
        for (found, (id, at)) in found.iter().zip(want) {
            assert_eq!(found.0, id);
            assert!(
                (found.1[0] - at[0]).abs() < 1e-3 && found.1[1] == at[1],
                "{found:?}"
            );
        }
        // Along y: 12 from -6, 20 from 24, 12 from 94: gaps of (112 - 44) / 2 = 34.
        let things = of(vec![
            piece(1, PLATE, [1.0, 0.0], 0.0),
            piece(2, PLATE, [2.0, 34.0], 90.0),
            piece(3, PLATE, [3.0, 100.0], 0.0),
        ]);
        let found = places(distributed(&things, 1));
        assert_eq!(found[1], (2, [2.0, 50.0], 90.0));
        // Two have nothing between them.
        assert!(distributed(&things[..2], 0).is_empty());
        assert!(distributed(&[], 0).is_empty());
    }

    #[test]
    fn mirrored_places_and_angles() {
        // From -10 to 60 along x: the middle is 25. From -6 to 37 along y: 15.5.
        let things = vec![
            piece(1, PLATE, [0.0, 0.0], 0.0),
            piece(2, PLATE, [50.0, 31.0], 180.0),
            piece(3, PLATE, [20.0, 10.0], 30.0),
        ];
        let found = places(mirrored(&of(things.clone()), 0));
        let want = [
            (1, [50.0, 0.0], 0.0),
            (2, [0.0, 31.0], 180.0),
            (3, [30.0, 10.0], 330.0),
        ];
        assert_eq!(found, want);
        let found = places(mirrored(&of(things.clone()), 1));
        let want = [
            (1, [0.0, 31.0], 180.0),
            (2, [50.0, 0.0], 0.0),
            (3, [20.0, 21.0], 150.0),
        ];
        assert_eq!(found, want);
        // Both ways is half a turn.
        let once = after(things.clone(), &mirrored(&of(things.clone()), 0));
        let twice = places(mirrored(&of(once), 1));
        assert_eq!(twice[2], (3, [30.0, 21.0], 210.0));
    }

    /// An L has no mirror image among its turns: the box stays where it was, and a second time
    /// gives the first places back.
    #[test]
    fn mirroring_twice_changes_nothing() {
        let ell = vec![piece(1, ELL, [0.0, 0.0], 0.0)];
        assert_eq!(places(mirrored(&of(ell), 0)), [(1, [0.0, 0.0], 0.0)]);
        let things = vec![
            piece(1, ELL, [0.0, 0.0], 20.0),
            piece(2, PLATE, [50.0, 31.0], 77.0),
            piece(3, ELL, [70.0, -12.0], 200.0),
        ];
        for k in [0, 1] {
            let moves = mirrored(&of(things.clone()), k);
            let once = after(things.clone(), &moves);
            assert_ne!(once, things);
            let back = places(mirrored(&of(once), k));
            let first = things.iter().map(|p| (p.id.0, p.at_mm, p.angle_deg));
            assert_eq!(back, first.collect::<Vec<_>>());
        }
    }

    #[test]
    fn to_the_neighbour_at_the_same_place() {
        let mut locked = piece(2, PLATE, [30.0, 0.0], 0.0);
        locked.locked = true;
        let plan = plan(vec![
            vec![piece(1, ELL, [5.0, 6.0], 70.0), locked],
            vec![piece(3, PLATE, [1.0, 2.0], 0.0)],
        ]);
        let ids = [1, 2, 3].map(PlacementId);
        // What stands on the highest level has none above it.
        let up = to_neighbour(&plan, &ids, 1);
        let to = |m: &Move| (m.id.0, m.level.0, m.at_mm, m.angle_deg);
        assert_eq!(
            up.iter().map(to).collect::<Vec<_>>(),
            [(1, 2, [5.0, 6.0], 70.0)]
        );
        let down = to_neighbour(&plan, &ids, -1);
        assert_eq!(
            down.iter().map(to).collect::<Vec<_>>(),
            [(3, 1, [1.0, 2.0], 0.0)]
        );
        assert!(to_neighbour(&plan, &[], 1).is_empty());
    }

    #[test]
    fn a_copy_goes_beside_the_originals() {
        // From -10 to 60: 70 mm, two per cent and 1 mm more.
        let things = of(vec![
            piece(1, PLATE, [0.0, 0.0], 0.0),
            piece(2, PLATE, [50.0, 31.0], 0.0),
        ]);
        assert!((width(&things) - 72.4).abs() < 1e-9);
        assert_eq!(width(&[]), 10.0);
    }

    #[test]
    fn posts_near_the_corners_of_a_setter() {
        let catalogue = builtin().unwrap().0;
        let corners = |setter: &str| match posts_at_corners(&catalogue, setter) {
            Carrier::Posts { post, at_mm } => (catalogue.post(&post).unwrap().clone(), at_mm),
            other => panic!("{other:?}"),
        };
        // The post's edge stands 4 mm inside the setter's.
        let (post, at_mm) = corners("alumina-square-150x5");
        let v = 75.0 - 4.0 - post.diameter_mm / 2.0;
        assert_eq!(at_mm, [[-v, -v], [v, -v], [-v, v], [v, v]]);
        let shorter = |p: &crate::catalogue::Post| p.length_mm < post.length_mm;
        let n = catalogue.posts.len();
        let below = catalogue.posts.values().filter(|(_, p)| shorter(p)).count();
        assert!(below <= n / 2 && below > 0, "{below} of {n}");
        let (post, at_mm) = corners("alumina-disc-220x6");
        let r = 110.0 - 4.0 - post.diameter_mm / 2.0;
        assert_eq!(at_mm.len(), 3);
        for [x, y] in &at_mm {
            assert!((x.hypot(*y) - r).abs() < 1e-9);
        }
        // A third of a turn apart, the first at the back.
        assert!((at_mm[0][0]).abs() < 1e-9 && (at_mm[0][1] - r).abs() < 1e-9);
        assert!((at_mm[1][1] + r / 2.0).abs() < 1e-9 && at_mm[1][0] < 0.0);
        let (_, at_mm) = corners("of another shop");
        assert!(at_mm.is_empty());
        let mut none = (*catalogue).clone();
        none.posts.clear();
        let carrier = posts_at_corners(&none, "alumina-square-150x5");
        assert_eq!(carrier, Carrier::Hearth);
    }

    #[test]
    fn a_level_is_carried_as_the_one_below() {
        let catalogue = builtin().unwrap().0;
        let mut plan = plan(vec![Vec::new(), Vec::new()]);
        let set = |plan: &mut Plan, i: usize, carrier: &Carrier| {
            let level = Arc::make_mut(&mut plan.load.stacks[0].levels[i]);
            level.carrier = carrier.clone();
        };
        let above = |plan: &Plan| {
            let top = plan.load.stacks[0].levels.last().unwrap();
            carrier_above(plan, &catalogue, top)
        };
        // No posts anywhere: the catalogue's.
        let corners = posts_at_corners(&catalogue, "alumina-square-150x5");
        assert_eq!(above(&plan), corners);
        // Posts elsewhere in the plan.
        let posts = Carrier::Posts {
            post: "alumina-post-12x15".to_owned(),
            at_mm: vec![[1.0, 2.0], [3.0, 4.0], [-5.0, 6.0]],
        };
        set(&mut plan, 0, &posts);
        assert_eq!(above(&plan), posts);
        // The top's own.
        let feet = Carrier::Feet { height_mm: 20.0 };
        set(&mut plan, 1, &feet);
        assert_eq!(above(&plan), feet);
    }

    #[test]
    fn the_next_level_goes_on_top() {
        let catalogue = builtin().unwrap().0;
        let mut plan = plan(vec![Vec::new(), Vec::new()]);
        let grown = |plan: &Plan| {
            let (edits, id) = next_level(plan, &catalogue, plan.next_id).unwrap();
            let apply = |plan: Plan, edit: &Edit| edit.apply(&plan, &catalogue).unwrap();
            (edits.iter().fold(plan.clone(), apply), id)
        };
        let (after, id) = grown(&plan);
        let top = after.load.stacks[0].levels.last().unwrap();
        assert_eq!((top.id, id), (LevelId(100), LevelId(100)));
        assert_eq!(top.setter, "alumina-square-150x5");
        assert_eq!(top.placements, []);
        // An empty stack, and none at all: on the hearth.
        plan.load.stacks[0].levels.clear();
        let (after, id) = grown(&plan);
        assert_eq!(after.load.stacks[0].levels[0].id, id);
        assert_eq!(after.load.stacks[0].levels[0].carrier, Carrier::Hearth);
        plan.load.stacks.clear();
        let (after, id) = grown(&plan);
        let stack = &after.load.stacks[0];
        assert_eq!(
            (stack.id, stack.levels[0].id, id),
            (StackId(100), LevelId(101), LevelId(101))
        );
        assert_eq!(stack.levels[0].carrier, Carrier::Hearth);
        let mut none = (*catalogue).clone();
        none.setters.clear();
        assert!(next_level(&plan, &none, 1).is_none());
    }
}
