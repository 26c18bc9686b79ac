//! A setter's plan shape in outlines and numbers: whoever asks where its edge is asks here.

use super::{Catalogue, Setter, SetterShape};
use crate::geometry::outline::signed_area;
use crate::geometry::{Outline, P2, Pose, Region};
use std::f64::consts::PI;

/// Posts chosen under a polygon at most (assumed: as many as under a rectangle).
const MOST_POSTS: usize = 4;

impl SetterShape {
    /// Outline of the plate; that of a disc is drawn around it.
    pub fn outline(&self) -> Outline {
        match self {
            SetterShape::Rectangle { width_mm, depth_mm } => {
                Outline::rectangle(*width_mm, *depth_mm)
            }
            SetterShape::Disc { diameter_mm } => Outline::disc(*diameter_mm),
            SetterShape::Polygon { corners_mm } => {
                let mut ring = corners_mm.clone();
                if signed_area(&ring) < 0.0 {
                    ring.reverse();
                }
                Outline::single(ring)
            }
        }
    }

    /// What is left of the plate `less_mm` and farther within its edge, less the square corners of
    /// a rim there.
    pub fn region(&self, less_mm: f64) -> Region {
        match self {
            SetterShape::Rectangle { width_mm, depth_mm } => Region::Rectangle {
                width_mm: width_mm - 2.0 * less_mm,
                depth_mm: depth_mm - 2.0 * less_mm,
            },
            SetterShape::Disc { diameter_mm } => Region::Disc {
                diameter_mm: diameter_mm - 2.0 * less_mm,
            },
            SetterShape::Polygon { .. } => Region::Polygon(self.outline().within_rim(less_mm)),
        }
    }

    /// Lowest and highest corner of the box around the plate, mm from the setter's centre.
    pub fn bounds_mm(&self) -> [P2; 2] {
        let about = |half: P2| [half.map(|h| -h), half];
        match self {
            SetterShape::Rectangle { width_mm, depth_mm } => {
                about([width_mm / 2.0, depth_mm / 2.0])
            }
            SetterShape::Disc { diameter_mm } => about([diameter_mm / 2.0; 2]),
            SetterShape::Polygon { .. } => self.outline().bounds().unwrap_or_default(),
        }
    }

    /// Width along x and depth along y of that box, mm.
    pub fn size_mm(&self) -> [f64; 2] {
        match self {
            SetterShape::Rectangle { width_mm, depth_mm } => [*width_mm, *depth_mm],
            SetterShape::Disc { diameter_mm } => [*diameter_mm; 2],
            SetterShape::Polygon { .. } => {
                let [low, high] = self.bounds_mm();
                [0, 1].map(|k| high[k] - low[k])
            }
        }
    }

    /// Area of the plate, mm².
    pub fn area_mm2(&self) -> f64 {
        match self {
            SetterShape::Rectangle { width_mm, depth_mm } => width_mm * depth_mm,
            SetterShape::Disc { diameter_mm } => PI * diameter_mm * diameter_mm / 4.0,
            SetterShape::Polygon { .. } => self.outline().area(),
        }
    }

    /// Whether no corner of the plate points inward.
    pub fn is_convex(&self) -> bool {
        match self {
            SetterShape::Rectangle { .. } | SetterShape::Disc { .. } => true,
            SetterShape::Polygon { .. } => self.outline().is_convex(),
        }
    }

    /// Centroid of the plate's area, mm from the setter's centre.
    pub fn centroid_mm(&self) -> P2 {
        match self {
            SetterShape::Rectangle { .. } | SetterShape::Disc { .. } => [0.0; 2],
            SetterShape::Polygon { .. } => self.outline().centroid(),
        }
    }

    /// From a point to the edge of the plate, mm: positive inside, negative outside.
    pub fn margin_mm(&self, [x, y]: P2) -> f64 {
        match self {
            SetterShape::Rectangle { width_mm, depth_mm } => {
                (width_mm / 2.0 - x.abs()).min(depth_mm / 2.0 - y.abs())
            }
            SetterShape::Disc { diameter_mm } => diameter_mm / 2.0 - libm::hypot(x, y),
            SetterShape::Polygon { .. } => self.outline().margin_mm([x, y]),
        }
    }

    /// Places for posts this far within the edge, mm: at the corners of a rectangle, three under a
    /// disc, up to four under a polygon, far from each other and around its centroid. None where
    /// there is no such set of places.
    pub fn post_places(&self, inset_mm: f64) -> Vec<P2> {
        match self {
            SetterShape::Rectangle { width_mm, depth_mm } => {
                let (x, y) = (width_mm / 2.0 - inset_mm, depth_mm / 2.0 - inset_mm);
                vec![[-x, -y], [x, -y], [-x, y], [x, y]]
            }
            SetterShape::Disc { diameter_mm } => {
                let r = diameter_mm / 2.0 - inset_mm;
                let at = |angle_deg: f64| Pose {
                    angle_deg,
                    ..Pose::at(0.0, 0.0)
                };
                [90.0, 210.0, 330.0].map(|a| at(a).apply([r, 0.0])).to_vec()
            }
            SetterShape::Polygon { .. } => around(&self.outline(), inset_mm),
        }
    }
}

/// Corners of what is left within a margin, each the farthest from those before it.
fn around(plate: &Outline, inset_mm: f64) -> Vec<P2> {
    let middle = plate.centroid();
    let hull = plate.moved_in(inset_mm).hull();
    let apart = |a: P2, b: P2| libm::hypot(a[0] - b[0], a[1] - b[1]);
    let mut chosen: Vec<P2> = Vec::new();
    while chosen.len() < MOST_POSTS.min(hull.len()) {
        let far = |p: &P2| {
            let near = chosen.iter().map(|q| apart(*p, *q)).reduce(f64::min);
            near.unwrap_or_else(|| apart(*p, middle))
        };
        let next = hull.iter().max_by(|a, b| far(a).total_cmp(&far(b)));
        chosen.extend(next.copied());
    }
    // To a tenth of a millimetre, as people set posts down.
    let places: Vec<P2> = chosen
        .into_iter()
        .map(|p| p.map(|c| (c * 10.0).round() / 10.0))
        .collect();
    let held = Outline::single(crate::geometry::outline::convex_hull(
        places.iter().copied(),
    ));
    if places.len() >= 3 && held.margin_mm(middle) > 0.0 {
        places
    } else {
        Vec::new()
    }
}

impl Catalogue {
    /// Name of a setter, its slug where it is not on record.
    pub fn setter_name(&self, id: &str) -> String {
        let known = self.setter(id);
        known.map_or_else(|| id.to_owned(), |s| s.name.clone())
    }
}

impl Setter {
    /// Width of the rim, 0 where there is none, mm.
    pub fn rim_mm(&self) -> f64 {
        self.rim.map_or(0.0, |rim| rim.width_mm)
    }

    /// The face that parts may use: the plate less its rim.
    pub fn face(&self) -> Region {
        self.shape.region(self.rim_mm())
    }

    /// Centre of mass of plate and rim, of one density, mm from the setter's centre.
    pub fn mass_centre_mm(&self) -> P2 {
        let plate = self.shape.centroid_mm();
        let (Some(rim), Region::Polygon(face)) = (self.rim, self.face()) else {
            return plate;
        };
        // The plate to the top of the rim, less what is missing above the face.
        let whole = self.shape.area_mm2() * (self.thickness_mm + rim.height_mm);
        let missing = face.area() * rim.height_mm;
        let off = face.centroid();
        [0, 1].map(|k| (whole * plate[k] - missing * off[k]) / (whole - missing))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::{Rim, builtin};
    use proptest::prelude::*;

    fn polygon(corners: &[P2]) -> SetterShape {
        SetterShape::Polygon {
            corners_mm: corners.to_vec(),
        }
    }

    /// 200 × 200 with 100 × 100 missing at the back right, its inward corner at (20, 20).
    fn ell() -> SetterShape {
        polygon(&[
            [-80.0, -80.0],
            [120.0, -80.0],
            [120.0, 20.0],
            [20.0, 20.0],
            [20.0, 120.0],
            [-80.0, 120.0],
        ])
    }

    fn setter(shape: SetterShape, rim_mm: Option<f64>) -> Setter {
        let (catalogue, _) = builtin().unwrap();
        Setter {
            shape,
            thickness_mm: 5.0,
            rim: rim_mm.map(|width_mm| Rim {
                height_mm: 20.0,
                width_mm,
            }),
            ..(**catalogue.setter("alumina-square-150x5").unwrap()).clone()
        }
    }

    /// Composite areas (any statics textbook, from memory): 200 × 100 about (20, −30) and 100 × 100
    /// about (−30, 70), from the corners as they stand: x = (2·20 + 1·(−30))/3 = 10/3 and
    /// y = (2·(−30) + 70)/3 = 10/3.
    #[test]
    fn an_ell_weighs_where_its_two_rectangles_do() {
        let ell = ell();
        assert_eq!(ell.area_mm2(), 30_000.0);
        for c in ell.centroid_mm() {
            assert!((c - 10.0 / 3.0).abs() < 1e-9, "{c}");
        }
        assert_eq!(ell.size_mm(), [200.0, 200.0]);
        assert_eq!(ell.bounds_mm(), [[-80.0, -80.0], [120.0, 120.0]]);
        assert_eq!(ell.margin_mm([30.0, 40.0]), -10.0);
        assert_eq!(ell.margin_mm([0.0, 0.0]), libm::hypot(20.0, 20.0));
        // The same corners the other way round are the same plate.
        let SetterShape::Polygon { mut corners_mm } = ell.clone() else {
            unreachable!()
        };
        corners_mm.reverse();
        let back = SetterShape::Polygon { corners_mm };
        assert_eq!(back.area_mm2(), 30_000.0);
        assert_eq!(back.margin_mm([30.0, 40.0]), -10.0);
        // A rim of 10 × 20 above 5 of plate, by the strips that make it up.
        let centre = setter(ell, Some(10.0)).mass_centre_mm();
        let strips = [
            (2000.0, [20.0, -75.0]),
            (1900.0, [-75.0, 25.0]),
            (900.0, [115.0, -25.0]),
            (900.0, [-25.0, 115.0]),
            (900.0, [65.0, 15.0]),
            (1000.0, [15.0, 60.0]),
        ];
        let mut moments = [0.0; 2];
        let mut rim = 0.0;
        for (area, at) in strips {
            rim += area;
            (0..2).for_each(|k| moments[k] += area * at[k]);
        }
        for k in 0..2 {
            let whole = 30_000.0 * 5.0 + rim * 20.0;
            let by_strips = (30_000.0 * 5.0 * 10.0 / 3.0 + moments[k] * 20.0) / whole;
            assert!(
                (centre[k] - by_strips).abs() < 1e-4,
                "{centre:?} {by_strips}"
            );
        }
    }

    #[test]
    fn posts_of_a_polygon_stand_within_it_and_around_its_centroid() {
        let hexagon: Vec<P2> = (0..6)
            .map(|k| {
                let (c, s) = crate::geometry::pose::cos_sin_deg(60.0 * f64::from(k));
                [100.0 * c, 100.0 * s]
            })
            .collect();
        let triangle = polygon(&[[-60.0, -40.0], [60.0, -40.0], [0.0, 80.0]]);
        for (shape, count) in [(ell(), 4), (polygon(&hexagon), 4), (triangle, 3)] {
            let places = shape.post_places(10.0);
            assert_eq!(places.len(), count, "{places:?}");
            for (i, p) in places.iter().enumerate() {
                assert!(shape.margin_mm(*p) >= 9.9, "{places:?}");
                let apart = |q: &P2| libm::hypot(p[0] - q[0], p[1] - q[1]) > 20.0;
                assert!(places.iter().take(i).all(apart), "{places:?}");
            }
            let hull = crate::geometry::outline::convex_hull(places.into_iter());
            let inside = crate::geometry::point_to_convex_edge_distance(&hull, shape.centroid_mm());
            assert!(inside.unwrap() > 10.0);
        }
        // Nothing is that far within: no place is better than a wrong one.
        assert!(ell().post_places(60.0).is_empty());
    }

    /// A star about the origin: simple, and as concave as can be.
    fn star() -> impl Strategy<Value = SetterShape> {
        prop::collection::vec(30.0..150.0f64, 3..14).prop_map(|radii| {
            let n = radii.len() as f64;
            let corner = |(k, r): (usize, &f64)| {
                let (c, s) = crate::geometry::pose::cos_sin_deg(360.0 * k as f64 / n);
                [r * c, r * s]
            };
            polygon(&radii.iter().enumerate().map(corner).collect::<Vec<_>>())
        })
    }

    proptest! {
        #[test]
        fn the_face_within_a_rim_keeps_the_rim_clear(shape in star(), rim_mm in 0.5..12.0f64) {
            let plate = shape.outline();
            let Region::Polygon(face) = setter(shape, Some(rim_mm)).face() else {
                unreachable!()
            };
            for (a, b) in face.rings().flat_map(|r| r.iter().zip(r.iter().cycle().skip(1))) {
                for t in [0.0, 0.25, 0.5, 0.75] {
                    let p = [0, 1].map(|k| a[k] + (b[k] - a[k]) * t);
                    prop_assert!(plate.margin_mm(p) >= rim_mm, "{p:?}");
                }
            }
            // And little else is taken: by the square corners, and by the rounding of others.
            let round = plate.moved_in(rim_mm);
            for x in -15..=15 {
                for y in -15..=15 {
                    let p = [f64::from(x) * 10.0, f64::from(y) * 10.0];
                    let margin_mm = plate.margin_mm(p);
                    prop_assert!(margin_mm <= rim_mm + 0.02 || round.contains(p), "{p:?}");
                    prop_assert!(margin_mm <= 2.0 * rim_mm + 0.02 || face.contains(p), "{p:?}");
                }
            }
        }

        #[test]
        fn a_rectangle_by_its_corners_is_the_rectangle(
            (w, d) in (40.0..300.0f64, 40.0..300.0f64),
            rim_mm in 0.5..12.0f64,
            at in prop::array::uniform2(-200.0..200.0f64),
        ) {
            let (x, y) = (w / 2.0, d / 2.0);
            let corners = polygon(&[[-x, -y], [-x, y], [x, y], [x, -y]]);
            let typed = SetterShape::Rectangle { width_mm: w, depth_mm: d };
            prop_assert!((corners.area_mm2() - typed.area_mm2()).abs() < 1e-6);
            prop_assert_eq!(corners.size_mm(), typed.size_mm());
            let part = Outline::disc(30.0).moved(at[0], at[1]);
            let margin = |shape: &SetterShape, rim: f64| {
                crate::geometry::inside_margin(&shape.region(rim), &part).unwrap()
            };
            for rim in [0.0, rim_mm] {
                let (a, b) = (margin(&corners, rim), margin(&typed, rim));
                prop_assert!((a - b).abs() < 1e-5, "{a} {b}");
            }
            if typed.margin_mm(at) > 0.0 {
                prop_assert!((corners.margin_mm(at) - typed.margin_mm(at)).abs() < 1e-9);
            }
        }

        #[test]
        fn a_disc_by_many_corners_is_the_disc_within_a_chord(
            d in 50.0..300.0f64,
            at in prop::array::uniform2(-150.0..150.0f64),
            rim_mm in 0.5..12.0f64,
        ) {
            let n = 200;
            let corners: Vec<P2> = (0..n)
                .map(|k| {
                    let (c, s) = crate::geometry::pose::cos_sin_deg(360.0 * f64::from(k) / f64::from(n));
                    [d / 2.0 * c, d / 2.0 * s]
                })
                .collect();
            // Between chord and arc.
            let off = d / 2.0 * (1.0 - libm::cos(PI / f64::from(n)));
            let (many, disc) = (polygon(&corners), SetterShape::Disc { diameter_mm: d });
            let part = Outline::rectangle(14.0, 9.0).moved(at[0], at[1]);
            for rim in [0.0, rim_mm] {
                let [a, b] = [&many, &disc].map(|shape| {
                    crate::geometry::inside_margin(&shape.region(rim), &part).unwrap()
                });
                prop_assert!(a <= b + 1e-5 && b - a <= off + 1e-5, "{a} {b} {off}");
            }
        }
    }
}
