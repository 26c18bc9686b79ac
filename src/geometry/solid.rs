//! Collision and clearance with parry3d, in single precision.
//!
//! Each slab is cut into convex prisms, and parry3d's distance algorithm (GJK) runs on pairs of
//! them. The prisms implement parry's support map themselves: building its polyhedra would weld
//! nearly flat side faces and can panic on them. Solids of convex pieces have no inside surface,
//! so a part wholly within another is found as an overlap like any other.

use super::outline::P2;
use super::pieces::convex_pieces;
use super::pose::{Pose, cos_sin_deg};
use super::slab::Body;
use crate::text::geometry;
use parry3d::bounding_volume::{Aabb, BoundingVolume};
use parry3d::math::{Pose as Pose3, Rotation, Vector};
use parry3d::partitioning::{Bvh, BvhBuildStrategy};
use parry3d::query::ClosestPoints;
use parry3d::query::details::closest_points_support_map_support_map;
use parry3d::shape::SupportMap;
use std::sync::Arc;

/// Rounding allowance of the single-precision distance, mm: a touch is a touch. Two orders above
/// the spacing of f32 at 20 mm, two below the 0.01 mm of the contract.
const TOUCH_MM: f32 = 1e-4;

/// Largest extent a solid may have, mm: beyond it single precision is coarser than 0.01 mm.
pub const MAX_EXTENT_MM: f64 = 1e4;

/// Half the extent of the box that stands for "anywhere", mm.
const EVERYWHERE_MM: f64 = 1e7;

/// A convex prism about the solid's middle.
#[derive(Clone, Debug)]
struct Prism {
    ring: Vec<[f32; 2]>,
    low: f32,
    high: f32,
}

impl SupportMap for Prism {
    fn local_support_point(&self, dir: Vector) -> Vector {
        let mut best = f32::NEG_INFINITY;
        let mut at = [0.0; 2];
        for p in &self.ring {
            let along = p[0] * dir.x + p[1] * dir.y;
            if along > best {
                best = along;
                at = *p;
            }
        }
        let z = if dir.z >= 0.0 { self.high } else { self.low };
        Vector::new(at[0], at[1], z)
    }
}

/// A body as parry3d sees it.
#[derive(Clone)]
pub struct Solid {
    prisms: Vec<Prism>,
    tree: Bvh,
    /// Middle of the body's bounds, taken out of the f32 coordinates.
    middle: [f64; 3],
    half: [f64; 3],
}

/// Why a body gives no solid.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum SolidFault {
    /// The body has no slab with an area.
    #[error("{}", geometry::body_empty())]
    Empty,
    /// A coordinate is not finite, or the body is larger than [`MAX_EXTENT_MM`].
    #[error("{}", geometry::body_too_large())]
    TooLarge,
}

impl Solid {
    /// Cuts a body into prisms.
    ///
    /// # Errors
    /// See [`SolidFault`].
    pub fn new(body: &Body) -> Result<Solid, SolidFault> {
        let (mut low, mut high) = ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3]);
        for slab in &body.slabs {
            for p in slab.outline.rings().flatten() {
                for point in [[p[0], p[1], slab.z0], [p[0], p[1], slab.z1]] {
                    if !point.iter().all(|c| c.is_finite()) {
                        return Err(SolidFault::TooLarge);
                    }
                    low = std::array::from_fn(|k| low[k].min(point[k]));
                    high = std::array::from_fn(|k| high[k].max(point[k]));
                }
            }
        }
        if low[0] > high[0] {
            return Err(SolidFault::Empty);
        }
        let half: [f64; 3] = std::array::from_fn(|k| 0.5 * (high[k] - low[k]));
        let middle: [f64; 3] = std::array::from_fn(|k| 0.5 * (high[k] + low[k]));
        if half.iter().any(|h| 2.0 * h > MAX_EXTENT_MM) {
            return Err(SolidFault::TooLarge);
        }
        let mut prisms = Vec::new();
        for slab in &body.slabs {
            for piece in convex_pieces(&slab.outline) {
                prisms.push(Prism {
                    ring: piece
                        .iter()
                        .map(|p: &P2| [(p[0] - middle[0]) as f32, (p[1] - middle[1]) as f32])
                        .collect(),
                    low: (slab.z0 - middle[2]) as f32,
                    high: (slab.z1 - middle[2]) as f32,
                });
            }
        }
        if prisms.is_empty() {
            return Err(SolidFault::Empty);
        }
        let boxes: Vec<Aabb> = prisms
            .iter()
            .map(|prism| prism_box(prism, &Pose3::IDENTITY))
            .collect();
        let tree = Bvh::from_leaves(BvhBuildStrategy::Binned, &boxes);
        Ok(Solid {
            prisms,
            tree,
            middle,
            half,
        })
    }

    /// Convex prisms in it.
    pub fn piece_count(&self) -> usize {
        self.prisms.len()
    }

    /// Where the middle of its bounds stands, mm.
    fn placed_middle(&self, pose: &Pose) -> [f64; 3] {
        let [x, y] = pose.apply([self.middle[0], self.middle[1]]);
        [x, y, self.middle[2] + pose.z_mm]
    }

    /// Half the extents of a box around the turned bounds, mm.
    fn turned_half(&self, angle_deg: f64) -> [f64; 3] {
        let (cos, sin) = cos_sin_deg(angle_deg);
        [
            cos.abs() * self.half[0] + sin.abs() * self.half[1],
            sin.abs() * self.half[0] + cos.abs() * self.half[1],
            self.half[2],
        ]
    }

    /// Lowest and highest corner of a box around the placed solid, mm: the turned bounds, so not
    /// tight at odd angles.
    pub fn bounds(&self, pose: &Pose) -> ([f64; 3], [f64; 3]) {
        let at = self.placed_middle(pose);
        let half = self.turned_half(pose.angle_deg);
        (
            std::array::from_fn(|k| at[k] - half[k]),
            std::array::from_fn(|k| at[k] + half[k]),
        )
    }
}

impl std::fmt::Debug for Solid {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Solid")
            .field("pieces", &self.prisms.len())
            .field("middle", &self.middle)
            .field("half", &self.half)
            .finish()
    }
}

fn prism_box(prism: &Prism, pose: &Pose3) -> Aabb {
    let points = prism.ring.iter().flat_map(|p| {
        [
            pose * Vector::new(p[0], p[1], prism.low),
            pose * Vector::new(p[0], p[1], prism.high),
        ]
    });
    Aabb::from_points(points)
}

/// Whether two placed solids are closer than `margin_mm`, touch, overlap, or one lies within the
/// other. Negative margins count as 0; a pose or margin that is not finite is answered with yes.
pub fn solids_within(a: &Solid, pa: &Pose, b: &Solid, pb: &Pose, margin_mm: f64) -> bool {
    if !pa.is_finite() || !pb.is_finite() || !margin_mm.is_finite() {
        return true;
    }
    let margin = margin_mm.max(0.0);
    // Far apart: settled in f64, and f32 never sees large numbers.
    if !boxes_within(&a.bounds(pa), &b.bounds(pb), margin + f64::from(TOUCH_MM)) {
        return false;
    }
    // The second solid's middle as the first one sees it, worked in f64 before rounding.
    let (ma, mb) = (a.placed_middle(pa), b.placed_middle(pb));
    let (cos, sin) = cos_sin_deg(-pa.angle_deg);
    let (dx, dy) = (mb[0] - ma[0], mb[1] - ma[1]);
    let between = Pose3::from_parts(
        Vector::new(
            (cos * dx - sin * dy) as f32,
            (sin * dx + cos * dy) as f32,
            (mb[2] - ma[2]) as f32,
        ),
        turned(pb.angle_deg - pa.angle_deg),
    );
    let region = seen_from(b, pb, a, pa, margin);
    let margin = margin as f32 + TOUCH_MM;
    // Only what reaches into the first solid's box can be near it.
    let prisms = b.tree.intersect_aabb(&region);
    for prism in prisms.filter_map(|k| b.prisms.get(k as usize)) {
        let seen = prism_box(prism, &between).loosened(margin);
        for k in a.tree.intersect_aabb(&seen) {
            let Some(other) = a.prisms.get(k as usize) else {
                continue;
            };
            let near = match closest_points_support_map_support_map(&between, other, prism, margin)
            {
                ClosestPoints::Intersecting => true,
                ClosestPoints::WithinMargin(p, q) => (p - between * q).length() <= margin,
                ClosestPoints::Disjoint => false,
            };
            if near {
                return true;
            }
        }
    }
    false
}

/// A box in one solid's own coordinates that holds another's turned bounds, loosened by a margin
/// and by the rounding of f32.
fn seen_from(from: &Solid, pose: &Pose, other: &Solid, at: &Pose, margin_mm: f64) -> Aabb {
    let (here, there) = (from.placed_middle(pose), other.placed_middle(at));
    let (dx, dy) = (there[0] - here[0], there[1] - here[1]);
    let (cos, sin) = cos_sin_deg(-pose.angle_deg);
    let middle = [cos * dx - sin * dy, sin * dx + cos * dy, there[2] - here[2]];
    let half = other.turned_half(at.angle_deg - pose.angle_deg);
    loose_box(
        std::array::from_fn(|k| middle[k] - half[k]),
        std::array::from_fn(|k| middle[k] + half[k]),
        margin_mm,
    )
}

/// A turn about the vertical; sine and cosine are taken in f64 and alike on every machine.
fn turned(angle_deg: f64) -> Rotation {
    let (cos, sin) = cos_sin_deg(0.5 * angle_deg.rem_euclid(360.0));
    Rotation::from_xyzw(0.0, 0.0, sin as f32, cos as f32)
}

type Box3 = ([f64; 3], [f64; 3]);

fn boxes_within(a: &Box3, b: &Box3, margin: f64) -> bool {
    let apart: f64 = (0..3)
        .map(|k| (b.0[k] - a.1[k]).max(a.0[k] - b.1[k]).max(0.0))
        .map(|d| d * d)
        .sum();
    apart <= margin * margin
}

/// Many placed solids, with a tree over their boxes.
pub struct Scene {
    solids: Vec<(Arc<Solid>, Pose)>,
    tree: Bvh,
}

impl Scene {
    /// Builds the tree. Indices in the answers are positions in this list.
    pub fn new(solids: &[(Arc<Solid>, Pose)]) -> Scene {
        let boxes: Vec<Aabb> = solids.iter().map(|(s, p)| outer_box(s, p, 0.0)).collect();
        Scene {
            solids: solids.to_vec(),
            tree: Bvh::from_leaves(BvhBuildStrategy::Binned, &boxes),
        }
    }

    /// The solids closer than a margin to one more solid (not itself in the scene), ascending.
    pub fn near(&self, solid: &Solid, pose: &Pose, margin_mm: f64) -> Vec<usize> {
        let mut near: Vec<usize> = self
            .candidates(&outer_box(solid, pose, margin_mm))
            .filter(|&i| {
                self.solids
                    .get(i)
                    .is_some_and(|(s, p)| solids_within(s, p, solid, pose, margin_mm))
            })
            .collect();
        near.sort_unstable();
        near
    }

    /// All pairs `(i, j)`, `i < j`, closer than a margin, ascending.
    pub fn pairs(&self, margin_mm: f64) -> Vec<(usize, usize)> {
        let mut pairs = Vec::new();
        for (j, (solid, pose)) in self.solids.iter().enumerate() {
            for i in self.candidates(&outer_box(solid, pose, margin_mm)) {
                if i < j {
                    let (other, at) = &self.solids[i];
                    if solids_within(other, at, solid, pose, margin_mm) {
                        pairs.push((i, j));
                    }
                }
            }
        }
        pairs.sort_unstable();
        pairs
    }

    fn candidates<'a>(&'a self, query: &'a Aabb) -> impl Iterator<Item = usize> + 'a {
        self.tree.intersect_aabb(query).map(|i| i as usize)
    }
}

/// The placed solid's box in f32, loosened by a margin and by the rounding of f32. A place that is
/// not a number, or beyond any furnace, gets a box around everything: the pair check decides.
fn outer_box(solid: &Solid, pose: &Pose, margin_mm: f64) -> Aabb {
    let (low, high) = solid.bounds(pose);
    let sound = |c: &f64| c.abs() < EVERYWHERE_MM;
    if !low.iter().chain(&high).chain([&margin_mm]).all(sound) {
        let everywhere = Vector::splat(EVERYWHERE_MM as f32);
        return Aabb::new(-everywhere, everywhere);
    }
    loose_box(low, high, margin_mm)
}

/// A box in f32, loosened by a margin and by the rounding of f32.
fn loose_box(low: [f64; 3], high: [f64; 3], margin_mm: f64) -> Aabb {
    let vector = |p: [f64; 3]| Vector::new(p[0] as f32, p[1] as f32, p[2] as f32);
    let (low, high) = (vector(low), vector(high));
    let rounding = 4.0 * f32::EPSILON * low.abs().max(high.abs()).max_element() + TOUCH_MM;
    let loose = Vector::splat(margin_mm.max(0.0) as f32 + rounding);
    Aabb::new(low - loose, high + loose)
}

#[cfg(test)]
mod tests {
    use super::super::gap::body_gap;
    use super::super::outline::Outline;
    use super::super::slab::Slab;
    use super::*;
    use proptest::prelude::*;

    fn solid(body: &Body) -> Solid {
        Solid::new(body).unwrap()
    }

    fn at(x_mm: f64, y_mm: f64, z_mm: f64, angle_deg: f64) -> Pose {
        Pose {
            x_mm,
            y_mm,
            z_mm,
            angle_deg,
        }
    }

    #[test]
    fn a_block_inside_a_block_is_a_collision_at_any_angle() {
        let outer = Body::prism(Outline::rectangle(40.0, 40.0), 20.0);
        let inner = Body::prism(Outline::rectangle(2.0, 3.0), 1.0);
        let (a, b) = (solid(&outer), solid(&inner));
        for angle in [0.0, 17.3, 45.0, 301.7] {
            for inside in [at(0.0, 0.0, 9.0, angle), at(12.0, -11.0, 3.0, angle)] {
                let here = at(0.0, 0.0, 0.0, 0.4 * angle);
                assert!(solids_within(&a, &here, &b, &inside, 0.0));
                assert!(solids_within(&b, &inside, &a, &here, 0.0));
                let gap = body_gap(&outer, &here, &inner, &inside, 1.0).unwrap();
                assert_eq!(gap.gap_mm, 0.0);
            }
        }
    }

    #[test]
    fn touching_counts_and_a_pin_in_a_bore_does_not() {
        let block = Body::prism(Outline::rectangle(10.0, 10.0), 5.0);
        let b = solid(&block);
        assert!(solids_within(
            &b,
            &at(0.0, 0.0, 0.0, 0.0),
            &b,
            &at(10.0, 0.0, 0.0, 0.0),
            0.0
        ));
        assert!(!solids_within(
            &b,
            &at(0.0, 0.0, 0.0, 0.0),
            &b,
            &at(10.01, 0.0, 0.0, 0.0),
            0.0
        ));
        let frame = Outline::difference(
            &Outline::rectangle(30.0, 30.0),
            &Outline::rectangle(10.0, 10.0),
        );
        let frame = solid(&Body::prism(frame, 8.0));
        let pin = solid(&Body::prism(Outline::rectangle(4.0, 4.0), 20.0));
        // Square pin of 4 in a square bore of 10: 3 mm all round, 1 mm when moved by 2.
        let origin = Pose::default();
        assert!(!solids_within(&frame, &origin, &pin, &origin, 2.99));
        assert!(solids_within(&frame, &origin, &pin, &origin, 3.01));
        assert!(!solids_within(
            &frame,
            &origin,
            &pin,
            &Pose::at(2.0, 0.0),
            0.99
        ));
        assert!(solids_within(
            &frame,
            &origin,
            &pin,
            &Pose::at(2.0, 0.0),
            1.01
        ));
    }

    #[test]
    fn what_is_not_a_number_is_near_and_what_has_no_volume_is_refused() {
        let block = Body::prism(Outline::rectangle(10.0, 10.0), 5.0);
        let b = Arc::new(solid(&block));
        assert!(solids_within(
            &b,
            &Pose::default(),
            &b,
            &Pose::at(f64::NAN, 0.0),
            0.0
        ));
        let scene = Scene::new(&[
            (b.clone(), Pose::default()),
            (b.clone(), Pose::at(f64::NAN, 0.0)),
            (b.clone(), Pose::at(500.0, 0.0)),
        ]);
        assert_eq!(scene.pairs(1.0), vec![(0, 1), (1, 2)]);
        assert_eq!(
            scene.near(&b, &Pose::at(f64::INFINITY, 0.0), 1.0),
            vec![0, 1, 2]
        );
        assert_eq!(Solid::new(&Body::default()).unwrap_err(), SolidFault::Empty);
        let huge = Body::prism(Outline::rectangle(1e9, 1.0), 5.0);
        assert_eq!(Solid::new(&huge).unwrap_err(), SolidFault::TooLarge);
        let nan = Body::prism(Outline::rectangle(f64::NAN, 1.0), 5.0);
        assert_eq!(Solid::new(&nan).unwrap_err(), SolidFault::TooLarge);
    }

    #[test]
    fn a_scene_finds_what_trying_all_pairs_finds() {
        let ring = Arc::new(solid(&Body::prism(Outline::ring(20.0, 14.0), 5.0)));
        let block = Arc::new(solid(&Body::prism(Outline::rectangle(18.0, 6.0), 9.0)));
        let mut placed = Vec::new();
        for i in 0..8 {
            for j in 0..8 {
                let part = if (i + j) % 2 == 0 { &ring } else { &block };
                let angle = 13.0 * i as f64 + 29.0 * j as f64;
                placed.push((
                    part.clone(),
                    at(17.0 * i as f64, 16.0 * j as f64, 0.0, angle),
                ));
            }
        }
        let scene = Scene::new(&placed);
        for margin in [0.0, 1.5] {
            let mut wanted = Vec::new();
            for i in 0..placed.len() {
                for j in i + 1..placed.len() {
                    let ((a, pa), (b, pb)) = (&placed[i], &placed[j]);
                    if solids_within(a, pa, b, pb, margin) {
                        wanted.push((i, j));
                    }
                }
            }
            assert!(!wanted.is_empty() && wanted.len() < 64 * 63 / 2);
            assert_eq!(scene.pairs(margin), wanted);
        }
        assert!(Scene::new(&[]).pairs(1.0).is_empty());
        let dragged = Pose::at(8.0, 8.0);
        let wanted: Vec<usize> = (0..placed.len())
            .filter(|&i| solids_within(&placed[i].0, &placed[i].1, &block, &dragged, 1.0))
            .collect();
        assert!(wanted.len() > 1);
        assert_eq!(scene.near(&block, &dragged, 1.0), wanted);
    }

    /// A star-shaped polygon: one radius a corner, so it never crosses itself and is rarely convex.
    fn star() -> impl Strategy<Value = Outline> {
        prop::collection::vec(4.0..20.0f64, 5..24).prop_map(|radii| {
            let n = radii.len() as f64;
            let points: Vec<P2> = radii
                .iter()
                .enumerate()
                .map(|(k, r)| {
                    let (cos, sin) = cos_sin_deg(360.0 * k as f64 / n);
                    [r * cos, r * sin]
                })
                .collect();
            Outline::polygon(&points).unwrap()
        })
    }

    fn two_slabs() -> impl Strategy<Value = Body> {
        (star(), star(), 1.0..6.0f64).prop_map(|(low, high, step)| Body {
            slabs: vec![Slab::new(0.0, step, low), Slab::new(step, 2.5 * step, high)],
        })
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 128, failure_persistence: None, ..ProptestConfig::default() })]

        /// The contract: parry3d in f32 and the outlines in f64 agree to 0.01 mm.
        #[test]
        fn both_ways_of_measuring_agree(
            a in two_slabs(),
            b in two_slabs(),
            // Mostly a few mm apart: the bodies are 4 to 20 mm in radius.
            distance in 20.0..42.0f64,
            direction in 0.0..360.0f64,
            rise in -4.0..8.0f64,
            turns in (0.0..360.0f64, 0.0..360.0f64),
            far in -300.0..300.0f64,
        ) {
            let (cos, sin) = cos_sin_deg(direction);
            let pa = at(far, -far, 2.0, turns.0);
            let pb = at(far + distance * cos, distance * sin - far, 2.0 + rise, turns.1);
            let (sa, sb) = (solid(&a), solid(&b));
            match body_gap(&a, &pa, &b, &pb, 5.0) {
                None => prop_assert!(!solids_within(&sa, &pa, &sb, &pb, 4.99)),
                Some(gap) => {
                    let g = gap.gap_mm;
                    prop_assert!(solids_within(&sa, &pa, &sb, &pb, g + 0.01), "{g}");
                    if g > 0.02 {
                        prop_assert!(!solids_within(&sa, &pa, &sb, &pb, g - 0.01), "{g}");
                    }
                }
            }
        }
    }
}
