//! Circles that fill a polygon, each the largest that lies in it and outside those before: the same,
//! to the last bit, that the collision library makes of it, in a fraction of the time. There each
//! place that is looked at is held against all sides; here against those alone that can be nearest
//! to it.

use jagua_rs::geometry::geo_traits::{CollidesWith, DistanceTo, SeparationDistance};
use jagua_rs::geometry::primitives::{Circle, Edge, Point, Rect, SPolygon};
use std::collections::VecDeque;
use std::rc::Rc;

/// Times that a square is quartered at most (as in jagua-rs 1.1.0).
const DEEPEST: usize = 10;
/// What f32 may be wrong by in a distance, as a share of the polygon's size (assumed: a hundred times
/// its last digit).
const HAIR: f32 = 1e-5;
/// Lists that are no longer are not made shorter (assumed: no time is won).
const SHORT: usize = 4;

/// A side of the polygon or one of the circles.
#[derive(Clone, Copy)]
enum Border {
    Side(Edge),
    Circle(Circle),
}

impl Border {
    fn distance(&self, at: &Point) -> f32 {
        match self {
            Border::Side(edge) => edge.distance_to(at),
            Border::Circle(circle) => circle.separation_distance(at).1,
        }
    }
}

/// Fills a polygon until there are as many circles as the share of its area that they cover asks for:
/// of all limits whose share is passed the least number counts. None where it has no inside.
pub fn poles(polygon: &SPolygon, limits: &[(usize, f32)]) -> Option<Vec<Circle>> {
    let mut all = vec![polygon.poi()];
    let mut covered = polygon.poi().area();
    loop {
        let next = next(polygon, &all)?;
        covered += next.area();
        all.push(next);
        let share = covered / polygon.area();
        let passed = limits.iter().filter(|(_, least)| share > *least);
        let most = passed.map(|(most, _)| *most).min();
        if most.is_some_and(|most| all.len() >= most) {
            return Some(all);
        }
    }
}

/// A square in which the next circle's middle may lie.
struct Square {
    deep: usize,
    bounds: Rect,
    /// Half its diagonal.
    radius: f32,
    /// From its middle to the nearest border, less than 0 where that is no inside.
    distance: f32,
    /// Of the square that it is a quarter of: the borders that are nearest to any place in it.
    near: Rc<[Border]>,
    /// Whether all of it lies in a circle that is not among them.
    dead: bool,
}

/// The largest circle inside the polygon and outside of the others.
fn next(polygon: &SPolygon, others: &[Circle]) -> Option<Circle> {
    let sides = polygon.edge_iter().map(Border::Side);
    let circles = others.iter().copied().map(Border::Circle);
    let near: Rc<[Border]> = sides.chain(circles).collect();
    let bounds = polygon.bbox().inflate_to_square();
    let slack = HAIR * bounds.diameter();
    let root = Square::new(polygon, (DEEPEST, bounds), (&near, false), None);
    let mut queue = VecDeque::from([root]);
    let mut best: Option<Circle> = None;
    let radius = |circle: &Option<Circle>| circle.as_ref().map_or(0.0, |c| c.radius);
    while let Some(square) = queue.pop_front() {
        if square.distance > radius(&best) {
            best = Circle::try_new(square.bounds.centroid(), square.distance).ok();
        }
        if square.radius + square.distance > radius(&best) && square.deep > 0 {
            let (near, dead) = square.nearest(slack);
            let inside = square.all_inside(slack);
            let quarters = square.bounds.quadrants().into_iter();
            queue.extend(quarters.map(|quarter| {
                let of = (square.deep - 1, quarter);
                Square::new(polygon, of, (&near, dead), inside)
            }));
        }
    }
    best
}

impl Square {
    /// `inside` is whether its middle lies inside, where that is known.
    fn new(
        polygon: &SPolygon,
        (deep, bounds): (usize, Rect),
        (near, dead): (&Rc<[Border]>, bool),
        inside: Option<bool>,
    ) -> Square {
        let at = bounds.centroid();
        let nearest = near.iter().map(|border| border.distance(&at));
        let nearest = nearest.fold(f32::MAX, f32::min);
        let free = || {
            near.iter().all(|border| match border {
                Border::Circle(circle) => !circle.collides_with(&at),
                Border::Side(_) => true,
            })
        };
        let inside = !dead && inside.unwrap_or_else(|| free() && polygon.collides_with(&at));
        Square {
            deep,
            bounds,
            radius: bounds.diameter() / 2.0,
            distance: if inside { nearest } else { -nearest },
            near: Rc::clone(near),
            dead,
        }
    }

    /// The borders that are nearest to any place in it, and whether it lies in a circle that is not
    /// among them.
    fn nearest(&self, slack: f32) -> (Rc<[Border]>, bool) {
        if self.near.len() <= SHORT {
            return (Rc::clone(&self.near), self.dead);
        }
        let at = self.bounds.centroid();
        // A border's distance changes by no more than the place is moved.
        let most = self.distance.abs() + 2.0 * self.radius + slack;
        let (mut near, mut dead) = (Vec::new(), self.dead);
        for border in self.near.iter() {
            if border.distance(&at) <= most {
                near.push(*border);
            } else if let Border::Circle(circle) = border {
                dead |= circle.collides_with(&at);
            }
        }
        (near.into(), dead)
    }

    /// Whether all of it is inside, or all outside, where no border comes into it.
    fn all_inside(&self, slack: f32) -> Option<bool> {
        (self.distance.abs() > self.radius + slack).then_some(self.distance > 0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::super::{CIRCLES, early};
    use super::*;
    use crate::arrange::shape::keyhole;
    use crate::geometry::{Outline, P2, Shape};
    use jagua_rs::geometry::fail_fast::SPSurrogateConfig;
    use proptest::prelude::*;

    fn polygon(ring: &[P2]) -> SPolygon {
        let points = ring.iter().map(|p| Point(p[0] as f32, p[1] as f32));
        SPolygon::new(points.collect()).unwrap()
    }

    /// The collision library's own circles of a polygon.
    fn theirs(polygon: &SPolygon, limits: [(usize, f32); 3]) -> Vec<Circle> {
        let mut polygon = polygon.clone();
        let config = SPSurrogateConfig {
            n_pole_limits: limits,
            ..early(1)
        };
        polygon.generate_surrogate(config).unwrap();
        polygon.surrogate().poles.clone()
    }

    fn same(polygon: &SPolygon) {
        let bits = |all: Vec<Circle>| -> Vec<[u32; 3]> {
            let of = |c: &Circle| [c.center.0, c.center.1, c.radius].map(f32::to_bits);
            all.iter().map(of).collect()
        };
        let ours = poles(polygon, &CIRCLES).unwrap();
        assert_eq!(bits(ours), bits(theirs(polygon, CIRCLES)));
    }

    #[test]
    fn circles_of_common_shapes_are_those_of_the_library() {
        let bar = [[0.0, 0.0], [40.0, 0.0], [40.0, 6.0], [0.0, 6.0]];
        let angle = [
            [0.0, 0.0],
            [30.0, 0.0],
            [30.0, 5.0],
            [5.0, 5.0],
            [5.0, 20.0],
            [0.0, 20.0],
        ];
        same(&polygon(&bar));
        same(&polygon(&angle));
        let disc = |d: f64| Outline::disc(d).shapes[0].outer.clone();
        same(&polygon(&disc(12.0)));
        let mut hole = disc(20.0);
        hole.reverse();
        let ring = Shape {
            outer: disc(25.0),
            holes: vec![hole],
        };
        same(&polygon(&keyhole(&ring, 6e-4)));
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(24))]

        /// Stars of any number of points, near the middle and far from it.
        #[test]
        fn circles_of_any_star_are_those_of_the_library(
            radii in prop::collection::vec(2.0..20.0f64, 3..24),
            off in prop::array::uniform2(-90.0..90.0f64),
        ) {
            let n = radii.len() as f64;
            let ring: Vec<P2> = radii
                .iter()
                .enumerate()
                .map(|(i, r)| {
                    let (s, c) = (std::f64::consts::TAU * i as f64 / n).sin_cos();
                    [off[0] + r * c, off[1] + r * s]
                })
                .collect();
            same(&polygon(&ring));
        }
    }
}
