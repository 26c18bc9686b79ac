//! The largest ball inside a mesh, and its thinnest place.
//!
//! A ball that touches the surface from inside at one point is shrunk until it holds no other
//! point of the surface (the shrinking ball of medial-axis work; derived). The largest of those,
//! from points spread over the surface, are then grown: away from all points they touch, until
//! these surround the centre. Every step stays within the ball before it, so the centre never
//! leaves the solid, and the radius is the exact distance from the centre to the surface.

use super::bvh::{Bvh, nearest_on_triangle, on_two_threads};
use super::crossing::winding;
use super::mesh::{Mesh, cross, dot, sub};

/// Points spread over the surface by area (assumed: a place of a thousandth of it is seen).
const BY_AREA: usize = 1500;
/// Triangles, evenly by number, from whose middles balls are shrunk too (assumed, as many again):
/// detail has many small ones.
const BY_NUMBER: usize = 1500;
/// Balls that are grown (assumed: the thickest places of a part are fewer).
const GROWN: usize = 12;
/// Boxes of the tree that may be opened while growing one of them (assumed: a tenth of a second).
const MOST_VISITS: usize = 1_500_000;
/// A wall is touched on both sides: seen from the centre, the two points are at least 160° apart
/// (assumed: walls of a taper up to 20° count; what is steeper is an edge, and runs out to nothing).
const OPPOSITE_COS: f64 = -0.939_692_620_785_908_4;
/// Grid points a millimetre that results are kept on (assumed): below stands rounding.
const GRID_PER_MM: f64 = 1e6;

type P3 = [f64; 3];

/// A ball inside a solid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ball {
    /// Its centre, mm.
    pub centre_mm: P3,
    /// Its diameter, mm.
    pub diameter_mm: f64,
}

/// How thick a solid is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sections {
    /// The largest ball inside.
    pub largest: Ball,
    /// The smallest ball found between two walls; none where no two walls face each other.
    pub thinnest: Option<Ball>,
}

impl Mesh {
    /// The largest ball inside and the thinnest place found. The mesh must be closed and outward;
    /// `None` when it holds no ball.
    ///
    /// The largest is a ball that cannot grow, found from three thousand points of the surface; in
    /// a very fine ball-shaped mesh growing stops early, a few parts in ten thousand short.
    /// The thinnest is the smallest among the balls at those points and the ways straight through to
    /// an opposite wall, so that a place thinner than it and smaller than about a thousandth of the
    /// surface may be missed.
    pub fn sections(&self) -> Option<Sections> {
        let tree = Bvh::new(self)?;
        let (low, high) = self.bounds()?;
        let size = sub(high, low);
        let reach = 0.5 * length(size);
        let least_side = size.into_iter().fold(f64::INFINITY, f64::min);
        let starts = self.spread();
        let half = starts.len() / 2;
        let shrink = |starts: &[(usize, P3, P3)]| -> Vec<(Ball, Option<Ball>)> {
            let all = starts.iter();
            all.filter_map(|(_, p, inward)| {
                let (ball, walls) = shrunk(&tree, *p, *inward, reach)?;
                // A round is touched by its neighbouring facet, and has an opposite side all the
                // same.
                let thin = [walls.then_some(ball), through(&tree, *p, *inward, reach)];
                let thin = thin.into_iter().flatten();
                let thin = thin.min_by(|a, b| a.diameter_mm.total_cmp(&b.diameter_mm));
                Some((ball, thin))
            })
            .collect()
        };
        let (mut balls, others) =
            on_two_threads(|| shrink(&starts[..half]), || shrink(&starts[half..]));
        balls.extend(others);
        let thinnest = balls
            .iter()
            .filter_map(|(_, thin)| *thin)
            .min_by(|a, b| a.diameter_mm.total_cmp(&b.diameter_mm))
            .map(Ball::on_grid);
        // Stable, so that equal balls keep the order of the triangles.
        balls.sort_by(|a, b| b.0.diameter_mm.total_cmp(&a.0.diameter_mm));
        let mut chosen: Vec<Ball> = Vec::with_capacity(GROWN);
        for (ball, _) in balls {
            let apart = |other: &Ball| {
                length(sub(other.centre_mm, ball.centre_mm)) > 0.25 * other.diameter_mm
            };
            if chosen.iter().all(apart) {
                chosen.push(ball);
                if chosen.len() == GROWN {
                    break;
                }
            }
        }
        let (ones, others): (Vec<_>, Vec<_>) = (0..chosen.len()).partition(|i| i % 2 == 0);
        let grow = |balls: &[usize]| -> Vec<Ball> {
            let all = balls.iter();
            all.map(|i| grown(&tree, chosen[*i].centre_mm, least_side))
                .collect()
        };
        let (ones, others) = on_two_threads(|| grow(&ones), || grow(&others));
        let (mut ones, mut others) = (ones.into_iter(), others.into_iter());
        let mut largest: Option<Ball> = None;
        for i in 0..chosen.len() {
            let next = if i % 2 == 0 {
                ones.next()
            } else {
                others.next()
            };
            let Some(grown) = next else { break };
            // A surface folded onto itself may let a ball out.
            let inside = grown.diameter_mm <= least_side * (1.0 + 1e-9)
                && winding(&tree, grown.centre_mm) > 0;
            if !inside {
                continue;
            }
            // By more than rounding, so that the first of equal ones stays.
            if largest.is_none_or(|l| grown.diameter_mm > l.diameter_mm * (1.0 + 1e-7)) {
                largest = Some(grown);
            }
        }
        let largest = largest?.on_grid();
        // Thinner than the grid is nothing that is made.
        if largest.diameter_mm <= 0.0 {
            return None;
        }
        Some(Sections {
            largest,
            thinnest: thinnest
                .filter(|t| t.diameter_mm < largest.diameter_mm)
                .or(thinnest.map(|_| largest)),
        })
    }

    /// A point of a triangle by its number, with the direction into the solid; none where the
    /// triangle has no area.
    pub(super) fn start(&self, triangle: usize, u: f64, v: f64) -> Option<(usize, P3, P3)> {
        let corners = self.triangles.get(triangle).and_then(|t| self.corners(t));
        let [a, b, c] = corners?;
        let (ab, ac) = (sub(b, a), sub(c, a));
        let normal = cross(ab, ac);
        let size = length(normal);
        let p = std::array::from_fn(|k| a[k] + u * ab[k] + v * ac[k]);
        (size > 0.0).then(|| (triangle, p, normal.map(|n| -n / size)))
    }

    /// Points of the surface with their triangles and the direction into the solid.
    pub(super) fn spread(&self) -> Vec<(usize, P3, P3)> {
        let mut areas = Vec::with_capacity(self.triangles.len());
        let mut total = 0.0;
        for t in &self.triangles {
            let area = self
                .corners(t)
                .map_or(0.0, |[a, b, c]| length(cross(sub(b, a), sub(c, a))));
            total += area;
            areas.push(total);
        }
        let mut starts = Vec::with_capacity(BY_AREA + BY_NUMBER);
        for i in 0..BY_AREA {
            let wanted = total * (i as f64 + 0.5) / BY_AREA as f64;
            let triangle = areas.partition_point(|sum| *sum < wanted);
            // Evenly over the triangle: the additive recurrence of the plastic number.
            let (u, v) = (
                (0.5 + i as f64 * 0.754_877_666_246_692_8).fract(),
                (0.5 + i as f64 * 0.569_840_290_998_053_3).fract(),
            );
            let (u, v) = if u + v > 1.0 {
                (1.0 - u, 1.0 - v)
            } else {
                (u, v)
            };
            starts.extend(self.start(triangle, u, v));
        }
        let stride = self.triangles.len().div_ceil(BY_NUMBER).max(1);
        for triangle in (0..self.triangles.len()).step_by(stride) {
            starts.extend(self.start(triangle, 1.0 / 3.0, 1.0 / 3.0));
        }
        starts
    }
}

impl Ball {
    fn on_grid(self) -> Ball {
        let grid = |v: f64| libm::round(v * GRID_PER_MM) / GRID_PER_MM + 0.0;
        Ball {
            centre_mm: self.centre_mm.map(grid),
            diameter_mm: grid(self.diameter_mm),
        }
    }
}

fn length(v: P3) -> f64 {
    libm::sqrt(dot(v, v))
}

fn along(from: P3, way: P3, t: f64) -> P3 {
    std::array::from_fn(|k| from[k] + t * way[k])
}

/// The ball that touches at `p` and holds nothing of the surface; whether it lies between walls.
///
/// A ball through `q` that touches at `p` has r = |q − p|² / (2 n·(q − p)). Triangles near `p` come
/// first: they make the ball small, and few others are left to look at.
fn shrunk(tree: &Bvh, p: P3, inward: P3, reach: f64) -> Option<(Ball, bool)> {
    let mut state: (f64, Option<P3>) = (reach, None);
    tree.in_ball(
        p,
        &mut state,
        |(radius, _)| (along(p, inward, *radius), radius * (1.0 - 1e-7)),
        |(radius, touched), triangle| {
            for _ in 0..40 {
                let centre = along(p, inward, *radius);
                let q = nearest_on_triangle(centre, triangle);
                let way = sub(q, p);
                let depth = dot(way, inward);
                // Outside, or on the tangent plane but for rounding.
                if length(sub(q, centre)) >= *radius * (1.0 - 1e-9) || depth <= 0.0 {
                    break;
                }
                let smaller = dot(way, way) / (2.0 * depth);
                if smaller >= *radius * (1.0 - 1e-12) {
                    break;
                }
                *radius = smaller;
                *touched = Some(q);
            }
        },
        &mut 0,
    );
    let (radius, touched) = state;
    let centre_mm = along(p, inward, radius);
    // Coordinates of far apart sizes may leave no number.
    let sound = radius > 1e-9 * reach && centre_mm.iter().all(|c| c.is_finite());
    if !sound {
        return None;
    }
    let walls = touched.is_some_and(|q| {
        let (a, b) = (sub(p, centre_mm), sub(q, centre_mm));
        dot(a, b) <= OPPOSITE_COS * length(a) * length(b)
    });
    let ball = Ball {
        centre_mm,
        diameter_mm: 2.0 * radius,
    };
    Some((ball, walls))
}

/// The ball on the way straight in from `p` to the first wall that faces it.
fn through(tree: &Bvh, p: P3, inward: P3, reach: f64) -> Option<Ball> {
    let mut nearest = f64::INFINITY;
    tree.along_ray(p, inward, |far, [a, b, c]| {
        let normal = cross(sub(*b, *a), sub(*c, *a));
        if far > 1e-9 * reach && dot(normal, inward) >= -OPPOSITE_COS * length(normal) {
            nearest = nearest.min(far);
        }
        nearest
    });
    nearest.is_finite().then(|| Ball {
        centre_mm: along(p, inward, 0.5 * nearest),
        diameter_mm: nearest,
    })
}

/// Grows a ball inside the solid until it cannot grow or [`MOST_VISITS`] are used up: a fine
/// ball-shaped mesh touches its ball everywhere. Given up once it is wider than `most`, mm.
fn grown(tree: &Bvh, start: P3, most: f64) -> Ball {
    let mut visits = 0;
    let visits = &mut visits;
    let mut centre = start;
    let radius = tree.distance_above(centre, 0.0, visits);
    let mut radius = radius.filter(|d| d.is_finite()).unwrap_or(0.0);
    let mut slack = 0.05;
    while slack > 1e-8 && radius > 0.0 && radius <= most && *visits < MOST_VISITS {
        let ways = touched_ways(tree, centre, radius * (1.0 + slack), visits);
        let way = nearest_to_origin(&ways);
        let size = length(way);
        // What is touched surrounds the centre, or is lost in rounding: look closer.
        if size < 1e-3 || !size.is_finite() {
            slack *= 0.25;
            continue;
        }
        let way = way.map(|c| c / size);
        let mut moved = false;
        let mut step = radius * slack;
        while step > 1e-3 * radius * slack {
            let next = along(centre, way, step);
            let distance = tree.distance_above(next, radius, visits);
            if let Some(distance) = distance.filter(|d| d.is_finite() && radius <= most) {
                // Never beyond the ball itself: what lies within it is solid.
                (centre, radius, moved) = (next, distance, true);
                step = (2.0 * step).min(0.9 * radius);
            } else if moved {
                break;
            } else {
                step *= 0.25;
            }
        }
        if !moved {
            slack *= 0.25;
        }
    }
    Ball {
        centre_mm: centre,
        diameter_mm: 2.0 * radius,
    }
}

/// Directions from what lies within `radius` to the centre: of each small cone the nearest.
fn touched_ways(tree: &Bvh, centre: P3, radius: f64, visits: &mut usize) -> Vec<P3> {
    const CELLS: usize = 16;
    let mut nearest: Vec<Option<(f64, P3)>> = vec![None; 6 * CELLS * CELLS];
    tree.in_ball(
        centre,
        &mut nearest,
        |_| (centre, radius),
        |nearest, triangle| {
            let way = sub(centre, nearest_on_triangle(centre, triangle));
            let distance = length(way);
            if distance > radius || distance == 0.0 {
                return;
            }
            // The face of a cube that the direction leaves by, and the place on it.
            let k = (1..3).fold(0, |m, k| if way[k].abs() > way[m].abs() { k } else { m });
            let cell = |c: f64| {
                let share = 0.5 * (c / way[k].abs() + 1.0);
                ((share * CELLS as f64) as usize).min(CELLS - 1)
            };
            let face = 2 * k + usize::from(way[k] < 0.0);
            let at = (face * CELLS + cell(way[(k + 1) % 3])) * CELLS + cell(way[(k + 2) % 3]);
            if nearest[at].is_none_or(|(least, _)| distance < least) {
                nearest[at] = Some((distance, way.map(|c| c / distance)));
            }
        },
        visits,
    );
    nearest.into_iter().flatten().map(|(_, way)| way).collect()
}

/// The point nearest to the origin of the hull of unit vectors (Wolfe's method in its simplest
/// form: towards the farthest vector against it, to the nearest point of what is kept).
fn nearest_to_origin(ways: &[P3]) -> P3 {
    let Some(first) = ways.first() else {
        return [0.0; 3];
    };
    let mut kept: Vec<P3> = vec![*first];
    let mut at = *first;
    for _ in 0..40 {
        let against = ways
            .iter()
            .min_by(|a, b| dot(**a, at).total_cmp(&dot(**b, at)));
        let Some(next) = against else { break };
        if dot(at, at) - dot(*next, at) <= 1e-9 || kept.contains(next) {
            break;
        }
        kept.push(*next);
        at = of_few(&mut kept);
        if dot(at, at) < 1e-12 {
            return [0.0; 3];
        }
    }
    at
}

/// The nearest point to the origin of the hull of at most four points; drops those that do not
/// carry it.
fn of_few(points: &mut Vec<P3>) -> P3 {
    let n = points.len();
    let mut best: Option<(f64, P3, Vec<P3>)> = None;
    // All subsets: at most fifteen.
    for mask in 1_u32..(1 << n) {
        let some: Vec<P3> = (0..n)
            .filter(|i| mask >> i & 1 == 1)
            .map(|i| points[i])
            .collect();
        let Some(p) = carried(&some) else { continue };
        let d = dot(p, p);
        if best.as_ref().is_none_or(|b| d < b.0) {
            best = Some((d, p, some));
        }
    }
    match best {
        Some((_, p, some)) => {
            *points = some;
            p
        }
        None => points[0],
    }
}

/// The point nearest to the origin of the plane through points, if it lies between them.
fn carried(points: &[P3]) -> Option<P3> {
    match points {
        [a] => Some(*a),
        [a, b] => {
            let ab = sub(*b, *a);
            let t = -dot(*a, ab) / dot(ab, ab);
            (0.0..=1.0).contains(&t).then(|| along(*a, ab, t))
        }
        [a, b, c] => {
            let n = cross(sub(*b, *a), sub(*c, *a));
            let size = dot(n, n);
            let p = n.map(|x| x * dot(*a, n) / size);
            let inside = |u: P3, v: P3| dot(cross(sub(v, u), sub(p, u)), n) >= 0.0;
            (size > 1e-18 && inside(*a, *b) && inside(*b, *c) && inside(*c, *a)).then_some(p)
        }
        [a, b, c, d] => {
            // The origin lies inside when it is on the same side of each face as the fourth.
            let same = |u: P3, v: P3, w: P3, far: P3| {
                let n = cross(sub(v, u), sub(w, u));
                let side = dot(n, sub(far, u));
                side * -dot(n, u) >= 0.0 && side.abs() > 1e-12
            };
            let inside = same(*a, *b, *c, *d)
                && same(*b, *c, *d, *a)
                && same(*c, *d, *a, *b)
                && same(*d, *a, *b, *c);
            inside.then_some([0.0; 3])
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::super::mesh::tests::{cube, prism, revolved};
    use super::*;

    fn largest(mesh: &Mesh) -> Ball {
        mesh.sections().unwrap().largest
    }

    fn thinnest(mesh: &Mesh) -> f64 {
        mesh.sections().unwrap().thinnest.unwrap().diameter_mm
    }

    #[test]
    fn a_block_holds_a_ball_of_its_least_side() {
        for by in [[0.0; 3], [700.0, -300.0, 40.0]] {
            let block = cube().scaled([30.0, 20.0, 7.0]).moved(by);
            let ball = largest(&block);
            assert!((ball.diameter_mm - 7.0).abs() < 2e-6, "{ball:?}");
            assert!((ball.centre_mm[2] - by[2] - 3.5).abs() < 1e-5);
            assert!((thinnest(&block) - 7.0).abs() < 2e-6);
        }
    }

    #[test]
    fn a_cube_holds_its_ball_in_the_middle() {
        let ball = largest(&cube().scaled([10.0; 3]));
        assert!((ball.diameter_mm - 10.0).abs() < 1e-5, "{ball:?}");
        assert!(ball.centre_mm.iter().all(|c| (c - 5.0).abs() < 1e-5));
    }

    #[test]
    fn a_ball_holds_a_ball_as_large_as_its_facets_let_it() {
        let profile: Vec<[f64; 2]> = (0..=24)
            .map(|i| {
                let a = std::f64::consts::PI * (f64::from(i) / 24.0 - 0.5);
                [if i % 24 == 0 { 0.0 } else { 8.0 * a.cos() }, 8.0 * a.sin()]
            })
            .collect();
        let mesh = revolved(&profile, 48);
        let ball = largest(&mesh);
        // Facets stand at R cos(π/48) cos(π/48) and farther.
        let inner = 16.0 * (std::f64::consts::PI / 48.0).cos().powi(2);
        assert!(
            ball.diameter_mm >= inner - 1e-6 && ball.diameter_mm <= 16.0,
            "{ball:?}"
        );
        assert!(ball.centre_mm.iter().all(|c| c.abs() < 0.05), "{ball:?}");
    }

    #[test]
    fn a_tube_is_as_thick_as_its_wall_and_a_ring_as_its_height() {
        let tube = |outer: f64, bore: f64, height: f64| {
            revolved(
                &[[bore, 0.0], [outer, 0.0], [outer, height], [bore, height]],
                96,
            )
        };
        let flat = (std::f64::consts::PI / 96.0).cos();
        // Between the flats of the outer polygon and the corners of the bore: never more than
        // flat to flat, and never less than flat to corner.
        let wall = largest(&tube(10.0, 7.0, 30.0)).diameter_mm;
        assert!(
            wall <= 3.0 + 7.0 * (1.0 - flat) && wall >= 3.0 - 10.0 * (1.0 - flat),
            "{wall}"
        );
        let ring = largest(&tube(20.0, 10.0, 2.0)).diameter_mm;
        assert!((ring - 2.0).abs() < 2e-6, "{ring}");
    }

    #[test]
    fn an_angle_is_thickest_in_its_corner() {
        // Legs of 4 and 6: the ball between the outer faces of the corner and its inner edge at
        // (4, 6) has r = |(4, 6) - (r, r)|: r² - 20 r + 52 = 0, r = 10 - √48.
        let angle = prism(
            &[
                [0.0, 0.0],
                [40.0, 0.0],
                [40.0, 6.0],
                [4.0, 6.0],
                [4.0, 30.0],
                [0.0, 30.0],
            ],
            50.0,
        );
        let r = 10.0 - 48.0_f64.sqrt();
        let ball = largest(&angle);
        assert!((ball.diameter_mm - 2.0 * r).abs() < 1e-5, "{ball:?} {r}");
        assert!((ball.centre_mm[0] - r).abs() < 1e-4 && (ball.centre_mm[2] - r).abs() < 1e-4);
        assert!((thinnest(&angle) - 4.0).abs() < 2e-6);
    }

    #[test]
    fn a_wedge_holds_its_incircle() {
        // A right triangle 3-4-5 of depth 20: the incircle has r = (3 + 4 - 5) / 2 = 1.
        let wedge = prism(&[[0.0, 0.0], [4.0, 0.0], [0.0, 3.0]], 20.0);
        let ball = largest(&wedge);
        assert!((ball.diameter_mm - 2.0).abs() < 1e-5, "{ball:?}");
        // A corner of a cube cut off: the insphere of x + y + z ≤ a has r = a / (3 + √3).
        let mut corner = Mesh::from_soup(&[
            [[0.0; 3], [0.0, 6.0, 0.0], [6.0, 0.0, 0.0]],
            [[0.0; 3], [6.0, 0.0, 0.0], [0.0, 0.0, 6.0]],
            [[0.0; 3], [0.0, 0.0, 6.0], [0.0, 6.0, 0.0]],
            [[6.0, 0.0, 0.0], [0.0, 6.0, 0.0], [0.0, 0.0, 6.0]],
        ]);
        let r = 6.0 / (3.0 + 3.0_f64.sqrt());
        for _ in 0..2 {
            let ball = largest(&corner);
            assert!((ball.diameter_mm - 2.0 * r).abs() < 1e-5, "{ball:?}");
            corner.triangles.reverse();
        }
    }

    #[test]
    fn a_thin_pin_is_seen_however_fine_it_is() {
        // 2 mm across on a disc of 20 by 10: no facet of it is opposite to its neighbour.
        for around in [16_u32, 64, 128] {
            let profile = [
                [0.0, 0.0],
                [10.0, 0.0],
                [10.0, 10.0],
                [1.0, 10.0],
                [1.0, 25.0],
                [0.0, 25.0],
            ];
            let pin = revolved(&profile, around as usize);
            let across = 2.0 * (std::f64::consts::PI / f64::from(around)).cos();
            let thin = thinnest(&pin);
            assert!(thin >= 0.95 * across && thin <= 2.0, "{around}: {thin}");
            let mut other = pin.clone();
            other.triangles.reverse();
            assert!((thinnest(&other) - thin).abs() < 0.05);
        }
    }

    #[test]
    fn nothing_holds_no_ball() {
        assert_eq!(Mesh::default().sections(), None);
    }
}
