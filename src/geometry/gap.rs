//! The distance between two placed bodies, in f64.
//!
//! A slab is a prism with vertical sides, so the distance between two of them is exactly
//! √(plan² + height²). Contract with [`super::solid`], held by property tests: for a gap `g` up
//! to 5 mm, parry3d calls the bodies closer than `g + 0.01` and not closer than `g − 0.01`.

use super::distance::{Bounds, box_gap_squared, distance_in_boxes};
use super::outline::Outline;
use super::pose::Pose;
use super::slab::Body;
use std::sync::{Arc, OnceLock};

/// How far two bodies are apart, mm.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Gap {
    /// Distance in space; 0 if they touch or overlap.
    pub gap_mm: f64,
    /// The part of it in plan, for the two slabs that come nearest.
    pub plan_mm: f64,
    /// The part of it along the vertical, for the same two slabs.
    pub height_mm: f64,
}

/// A body turned and moved to where it stands, made once and compared with many.
#[derive(Clone, Debug, PartialEq)]
pub struct PlacedBody {
    slabs: Vec<PlacedSlab>,
    bounds: Bounds,
    finite: bool,
}

#[derive(Clone, Debug, PartialEq)]
struct PlacedSlab {
    z0: f64,
    z1: f64,
    outline: Outline,
    bounds: Bounds,
    fine: Option<Fine>,
}

/// A fine outline, placed when something comes near.
#[derive(Clone, Debug)]
struct Fine {
    outline: Arc<Outline>,
    pose: Pose,
    placed: OnceLock<Outline>,
}

impl PartialEq for Fine {
    fn eq(&self, other: &Fine) -> bool {
        self.outline == other.outline && self.pose == other.pose
    }
}

impl PlacedSlab {
    fn finest(&self) -> &Outline {
        match &self.fine {
            Some(fine) => fine.placed.get_or_init(|| fine.outline.placed(&fine.pose)),
            None => &self.outline,
        }
    }
}

impl PlacedBody {
    /// Turns and moves a body.
    pub fn new(body: &Body, pose: &Pose) -> PlacedBody {
        let slabs: Vec<PlacedSlab> = body
            .slabs
            .iter()
            .filter_map(|slab| {
                let outline = slab.outline.placed(pose);
                let bounds = outline.bounds()?;
                Some(PlacedSlab {
                    z0: slab.z0 + pose.z_mm,
                    z1: slab.z1 + pose.z_mm,
                    outline,
                    bounds,
                    fine: slab.fine.as_ref().map(|outline| Fine {
                        outline: Arc::clone(outline),
                        pose: *pose,
                        placed: OnceLock::new(),
                    }),
                })
            })
            .collect();
        // An empty body keeps a box at infinity: nothing comes near it.
        let bounds = slabs.iter().fold(
            [[f64::INFINITY; 2], [f64::NEG_INFINITY; 2]],
            |[lo, hi], slab| {
                [
                    std::array::from_fn(|k| lo[k].min(slab.bounds[0][k])),
                    std::array::from_fn(|k| hi[k].max(slab.bounds[1][k])),
                ]
            },
        );
        PlacedBody {
            slabs,
            bounds,
            finite: pose.is_finite(),
        }
    }

    /// Lowest and highest corner in plan, mm; `None` for an empty body.
    pub fn bounds(&self) -> Option<[[f64; 2]; 2]> {
        (!self.slabs.is_empty()).then_some(self.bounds)
    }

    /// Lowest and highest height, mm; `None` for an empty body.
    pub fn heights(&self) -> Option<(f64, f64)> {
        Some((self.slabs.first()?.z0, self.slabs.last()?.z1))
    }

    /// The placed outlines, as fine as they are known, with the heights they reach from and to, mm, upward.
    pub fn outlines(&self) -> impl Iterator<Item = (f64, f64, &Outline)> {
        self.slabs.iter().map(|s| (s.z0, s.z1, s.finest()))
    }
}

/// [`placed_gap`] for two bodies placed here and now.
pub fn body_gap(a: &Body, pa: &Pose, b: &Body, pb: &Pose, cap_mm: f64) -> Option<Gap> {
    placed_gap(&PlacedBody::new(a, pa), &PlacedBody::new(b, pb), cap_mm)
}

/// The gap between two placed bodies; `None` if it is `cap_mm` or more. A cap of 0 therefore
/// answers `None` always: to find touching bodies use any positive cap. A pose or cap that is not
/// a number is answered with a gap of 0, as parry3d's side does.
pub fn placed_gap(a: &PlacedBody, b: &PlacedBody, cap_mm: f64) -> Option<Gap> {
    let mut best: Option<Gap> = None;
    let mut cap = cap_mm;
    if a.slabs.is_empty() || b.slabs.is_empty() {
        return None;
    }
    if !(a.finite && b.finite && cap.is_finite()) {
        return Some(Gap::default());
    }
    if box_gap_squared(&a.bounds, &b.bounds) >= cap * cap {
        return None;
    }
    for lower in &a.slabs {
        for upper in &b.slabs {
            let height = (upper.z0 - lower.z1).max(lower.z0 - upper.z1).max(0.0);
            if height >= cap {
                continue;
            }
            let plan_cap = libm::sqrt(cap * cap - height * height);
            let apart = |a: &Outline, b: &Outline| {
                distance_in_boxes(a, &lower.bounds, b, &upper.bounds, plan_cap)
            };
            // What stands outside the fine outlines is only ever nearer.
            let mut plan = apart(&lower.outline, &upper.outline);
            if plan < plan_cap && (lower.fine.is_some() || upper.fine.is_some()) {
                plan = apart(lower.finest(), upper.finest());
            }
            let gap = libm::hypot(plan, height);
            if plan < plan_cap && gap < cap {
                cap = gap;
                best = Some(Gap {
                    gap_mm: gap,
                    plan_mm: plan,
                    height_mm: height,
                });
                if gap == 0.0 {
                    return best;
                }
            }
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::super::mesh::tests::cube;
    use super::super::outline::P2;
    use super::super::solid::{Solid, solids_within};
    use super::*;
    use proptest::prelude::*;

    fn gap(a: &Body, pa: Pose, b: &Body, pb: Pose) -> Gap {
        body_gap(a, &pa, b, &pb, 100.0).unwrap()
    }

    /// Both bodies turned together about the origin of the plan.
    fn turned_together(pose: &Pose, angle_deg: f64) -> Pose {
        let [x_mm, y_mm] = Pose {
            angle_deg,
            ..Pose::default()
        }
        .apply([pose.x_mm, pose.y_mm]);
        Pose {
            x_mm,
            y_mm,
            z_mm: pose.z_mm,
            angle_deg: pose.angle_deg + angle_deg,
        }
    }

    fn ell() -> Body {
        // Legs 30 and 20 long, 10 wide, corner at the origin.
        let ring: [P2; 6] = [
            [0.0, 0.0],
            [30.0, 0.0],
            [30.0, 10.0],
            [10.0, 10.0],
            [10.0, 20.0],
            [0.0, 20.0],
        ];
        Body::prism(Outline::polygon(&ring).unwrap(), 5.0)
    }

    #[test]
    fn interlocked_ells_have_the_gap_worked_by_hand() {
        // The second L, turned by half a turn about (22, 12), has its corner at (44, 24): its long
        // leg covers x 14..44, y 14..24, its short leg x 34..44, y 4..14. Each leg passes the other
        // L's at 4: (10, y) to (14, y), (30, y) to (34, y), and y = 10 to y = 14. Boxes overlap, and
        // (22, 12) lies within both hulls: the first one's slanted edge, from (30, 10) to (10, 20),
        // passes y = 12 at x = 26.
        let (a, b) = (ell(), ell());
        let (pa, pb) = (
            Pose::default(),
            Pose {
                x_mm: 44.0,
                y_mm: 24.0,
                z_mm: 0.0,
                angle_deg: 180.0,
            },
        );
        let found = gap(&a, pa, &b, pb);
        assert_eq!(
            (found.gap_mm, found.plan_mm, found.height_mm),
            (4.0, 4.0, 0.0)
        );
        let hull = |pose: &Pose| {
            let outline = a.slabs[0].outline.placed(pose);
            Outline::polygon(&outline.hull()).unwrap()
        };
        assert_eq!(
            super::super::outline_distance(&hull(&pa), &hull(&pb), 9.0),
            0.0
        );
        for angle in [17.3, 90.0, 211.9] {
            let turned = gap(
                &a,
                turned_together(&pa, angle),
                &b,
                turned_together(&pb, angle),
            );
            assert!((turned.gap_mm - 4.0).abs() < 1e-9);
        }
        assert_eq!(body_gap(&a, &pa, &b, &pb, 4.0), None);
    }

    #[test]
    fn a_pin_stands_free_in_a_bore() {
        // Bore 20 drawn inside its circle, pin 10 around its own, both with corners within
        // 0.02 mm of the circle: radial gap 5, less up to 0.04; eccentric by 3: gap 2.
        let sleeve = Body::prism(Outline::ring(30.0, 20.0), 8.0);
        let pin = Body::prism(Outline::disc(10.0), 20.0);
        let centred = gap(&sleeve, Pose::default(), &pin, Pose::default()).gap_mm;
        assert!(centred <= 5.0 && centred > 4.95, "{centred}");
        let eccentric = gap(&sleeve, Pose::default(), &pin, Pose::at(0.0, 3.0)).gap_mm;
        assert!(eccentric <= 2.0 && eccentric > 1.95, "{eccentric}");
        assert_eq!(
            gap(&sleeve, Pose::default(), &pin, Pose::at(6.0, 0.0)).gap_mm,
            0.0
        );
        // Above the sleeve by 2 and beside its bore's edge by 0: all of it vertical.
        let above = Pose {
            z_mm: 10.0,
            x_mm: 12.0,
            ..Pose::default()
        };
        let found = gap(&sleeve, Pose::default(), &pin, above);
        assert_eq!(
            (found.plan_mm, found.height_mm, found.gap_mm),
            (0.0, 2.0, 2.0)
        );
    }

    #[test]
    fn a_bar_under_an_overhang_keeps_its_vertical_gap() {
        // The channel: base to 3, roof from 7, open to the right of x = −5. A bar 6 × 4 × 2 lying
        // at height 4 at x = 4: 1 below, 1 above, web at 4 − 3 + 5 = 6 to the left.
        let channel = Body::from_mesh(&super::super::slab::tests::channel(), 0.02).unwrap();
        let bar = Body::prism(Outline::rectangle(6.0, 4.0), 2.0);
        let at = |x_mm, z_mm| Pose {
            x_mm,
            z_mm,
            ..Pose::default()
        };
        let found = gap(&channel, Pose::default(), &bar, at(4.0, 4.0));
        assert_eq!(
            (found.gap_mm, found.plan_mm, found.height_mm),
            (1.0, 0.0, 1.0)
        );
        let solids = (Solid::new(&channel).unwrap(), Solid::new(&bar).unwrap());
        let within = |margin| {
            solids_within(
                &solids.0,
                &Pose::default(),
                &solids.1,
                &at(4.0, 4.0),
                margin,
            )
        };
        assert!(within(1.01) && !within(0.99));
        // Out to the right and up: 3-4-5 between the roof's edge (10, 9) and the bar (13, 13).
        let found = gap(&channel, Pose::default(), &bar, at(16.0, 13.0));
        assert_eq!(
            (found.gap_mm, found.plan_mm, found.height_mm),
            (5.0, 3.0, 4.0)
        );
    }

    #[test]
    fn one_inside_another_or_on_it_has_no_gap() {
        let outer = Body::from_mesh(
            &cube().moved([-0.5, -0.5, 0.0]).scaled([40.0, 40.0, 20.0]),
            0.02,
        )
        .unwrap();
        let inner = Body::prism(Outline::disc(3.0), 2.0);
        for z_mm in [0.0, 5.0, 20.0] {
            let pose = Pose {
                z_mm,
                x_mm: 7.0,
                ..Pose::default()
            };
            assert_eq!(gap(&outer, Pose::default(), &inner, pose).gap_mm, 0.0);
            assert_eq!(gap(&inner, pose, &outer, Pose::default()).gap_mm, 0.0);
        }
        assert_eq!(
            body_gap(
                &outer,
                &Pose::default(),
                &Body::default(),
                &Pose::default(),
                9.0
            ),
            None
        );
        assert_eq!(
            PlacedBody::new(&Body::default(), &Pose::default()).bounds(),
            None
        );
        let nowhere = Pose::at(f64::NAN, 0.0);
        assert_eq!(gap(&outer, nowhere, &inner, Pose::default()).gap_mm, 0.0);
        let placed = PlacedBody::new(&outer, &Pose::at(5.0, 0.0));
        assert_eq!(placed.bounds(), Some([[-15.0, -20.0], [25.0, 20.0]]));
        assert_eq!(placed.heights(), Some((0.0, 20.0)));
    }

    #[test]
    fn round_bodies_are_as_far_apart_as_their_circles() {
        // Circles of 20 mm at 20.3 between centres, and a pin of 9.8 in a bore of 10.2: by hand.
        let round = Body::cylinder(20.0, 5.0);
        let bore = Body::tube(30.0, 10.2, 5.0);
        let pin = Body::cylinder(9.8, 5.0);
        for angle_deg in [0.0, 7.0, 33.3] {
            let at = turned_together(
                &Pose {
                    x_mm: 20.3,
                    ..Pose::default()
                },
                angle_deg,
            );
            let beside = gap(&round, Pose::default(), &round, at).gap_mm;
            assert!((0.299..=0.3 + 1e-9).contains(&beside), "{beside}");
            let within = gap(&bore, Pose::default(), &pin, Pose::at(0.05, 0.0)).gap_mm;
            assert!((0.149..=0.15 + 1e-9).contains(&within), "{within}");
        }
    }

    #[test]
    fn facetted_round_bodies_are_as_far_apart_as_their_meshes() {
        // Two 20 mm cylinders of 256 facets, corner to corner along x: 20.3 − 20 between corners.
        let ring: Vec<P2> = (0..256)
            .map(|k| {
                let a = f64::from(k) * std::f64::consts::TAU / 256.0;
                [10.0 * a.cos(), 10.0 * a.sin()]
            })
            .collect();
        let outline = Outline::polygon(&ring).unwrap();
        let mesh = super::super::mesh::Mesh::upright(&outline, 5.0);
        let body = Body::from_mesh(&mesh, 0.016).unwrap();
        assert!(body.slabs[0].outline.point_count() < 128);
        let found = gap(&body, Pose::default(), &body, Pose::at(20.3, 0.0)).gap_mm;
        assert!((0.299..=0.3 + 1e-6).contains(&found), "{found}");
        // At a limit of 0.3 and beyond it: what is told is the fine distance.
        let (a, b) = (
            PlacedBody::new(&body, &Pose::default()),
            PlacedBody::new(&body, &Pose::at(20.32, 0.0)),
        );
        assert_eq!(placed_gap(&a, &b, 0.3), None);
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn the_gap_does_not_depend_on_where_the_pair_stands(
            x in -60.0..60.0f64,
            y in -60.0..60.0f64,
            z in -8.0..8.0f64,
            angle in 0.0..360.0f64,
            together in 0.0..360.0f64,
            moved in (-400.0..400.0f64, -400.0..400.0f64),
        ) {
            let (a, b) = (ell(), Body::prism(Outline::ring(24.0, 16.0), 4.0));
            let pa = Pose::default();
            let pb = Pose { x_mm: x, y_mm: y, z_mm: z, angle_deg: angle };
            let first = gap(&a, pa, &b, pb);
            prop_assert_eq!(first, gap(&b, pb, &a, pa));
            let shift = |p: Pose| Pose { x_mm: p.x_mm + moved.0, y_mm: p.y_mm + moved.1, ..p };
            let second = gap(
                &a, shift(turned_together(&pa, together)),
                &b, shift(turned_together(&pb, together)),
            );
            prop_assert!((first.gap_mm - second.gap_mm).abs() < 1e-9);
            // A cap does not change what lies below it.
            let capped = body_gap(&a, &pa, &b, &pb, 3.0);
            if first.gap_mm < 3.0 {
                prop_assert_eq!(capped.map(|g| g.gap_mm), Some(first.gap_mm));
            } else {
                prop_assert_eq!(capped, None);
            }
        }
    }
}
