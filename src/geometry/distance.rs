//! Exact f64 distances in plan: between two regions, and from a part to the edge of the place it
//! has to stay in.

use super::outline::{Outline, P2, edges, segments_meet, turn};

/// A bounding box: lowest and highest corner, mm.
pub(super) type Bounds = [P2; 2];

/// Squared distance between two boxes, mm².
pub(super) fn box_gap_squared(a: &Bounds, b: &Bounds) -> f64 {
    let along = |k: usize| (b[0][k] - a[1][k]).max(a[0][k] - b[1][k]).max(0.0);
    let (dx, dy) = (along(0), along(1));
    dx * dx + dy * dy
}

fn edge_box(a: P2, b: P2) -> Bounds {
    [
        [a[0].min(b[0]), a[1].min(b[1])],
        [a[0].max(b[0]), a[1].max(b[1])],
    ]
}

/// Squared distance from a point to a segment, mm².
pub(super) fn point_segment_squared(p: P2, a: P2, b: P2) -> f64 {
    let (ux, uy) = (b[0] - a[0], b[1] - a[1]);
    let (vx, vy) = (p[0] - a[0], p[1] - a[1]);
    let length = ux * ux + uy * uy;
    let t = if length > 0.0 {
        ((vx * ux + vy * uy) / length).clamp(0.0, 1.0)
    } else {
        0.0
    };
    let (dx, dy) = (vx - t * ux, vy - t * uy);
    dx * dx + dy * dy
}

/// Squared distance between two segments, 0 where they meet, mm².
fn segments_squared(a: P2, b: P2, c: P2, d: P2) -> f64 {
    if segments_meet(a, b, c, d) {
        return 0.0;
    }
    point_segment_squared(a, c, d)
        .min(point_segment_squared(b, c, d))
        .min(point_segment_squared(c, a, b))
        .min(point_segment_squared(d, a, b))
}

/// Distance between two filled regions, mm: 0 if they touch, overlap or one lies within the
/// other, `cap_mm` if they are that far apart or farther. A pin standing free in a bore is not
/// within the region: its distance is the one to the bore's edge.
pub fn outline_distance(a: &Outline, b: &Outline, cap_mm: f64) -> f64 {
    match (a.bounds(), b.bounds()) {
        (Some(a_box), Some(b_box)) => distance_in_boxes(a, &a_box, b, &b_box, cap_mm),
        _ => cap_mm,
    }
}

/// [`outline_distance`] with the outlines' boxes at hand.
pub(super) fn distance_in_boxes(
    a: &Outline,
    a_box: &Bounds,
    b: &Outline,
    b_box: &Bounds,
    cap_mm: f64,
) -> f64 {
    let mut best = cap_mm * cap_mm;
    // A cap of zero still has to tell meeting from missing, hence the strict comparison.
    if box_gap_squared(a_box, b_box) > best {
        return cap_mm;
    }
    let near = |outline: &Outline, other: &Bounds| -> Vec<(Bounds, P2, P2)> {
        outline
            .rings()
            .flat_map(edges)
            .map(|(p, q)| (edge_box(p, q), p, q))
            .filter(|(bounds, ..)| box_gap_squared(bounds, other) <= best)
            .collect()
    };
    // Only edges near the other's box can decide; the second list sees the first one's box only.
    let a_edges = near(a, b_box);
    let b_edges = match a_edges.iter().map(|e| e.0).reduce(joined) {
        Some(near_box) => near(b, &near_box),
        None => Vec::new(),
    };
    let b_near = b_edges.iter().map(|e| e.0).reduce(joined);
    for (bounds, p, q) in &a_edges {
        if b_near.is_none_or(|near| box_gap_squared(bounds, &near) > best) {
            continue;
        }
        for (other, r, s) in &b_edges {
            if box_gap_squared(bounds, other) <= best {
                let squared = segments_squared(*p, *q, *r, *s);
                if squared <= best {
                    best = squared;
                    if best == 0.0 {
                        return 0.0;
                    }
                }
            }
        }
    }
    // Edges that do not meet leave each shape wholly inside or wholly outside the other region.
    let within = |inner: &Outline, outer: &Outline, outer_box: &Bounds| {
        inner
            .shapes
            .iter()
            .filter_map(|shape| shape.outer.first())
            .any(|p| box_gap_squared(&[*p, *p], outer_box) == 0.0 && outer.contains(*p))
    };
    if box_gap_squared(a_box, b_box) == 0.0 && (within(a, b, b_box) || within(b, a, a_box)) {
        return 0.0;
    }
    libm::sqrt(best).min(cap_mm)
}

fn joined(a: Bounds, b: Bounds) -> Bounds {
    [
        [a[0][0].min(b[0][0]), a[0][1].min(b[0][1])],
        [a[1][0].max(b[1][0]), a[1][1].max(b[1][1])],
    ]
}

/// Where parts may stand: the place's own outline, centred on its origin.
#[derive(Clone, Debug, PartialEq)]
pub enum Region {
    /// A rectangle centred on the origin.
    Rectangle {
        /// Extent along x, mm.
        width_mm: f64,
        /// Extent along y, mm.
        depth_mm: f64,
    },
    /// A disc about the origin.
    Disc {
        /// Diameter, mm.
        diameter_mm: f64,
    },
    /// Any outline, holes included.
    Polygon(Outline),
}

impl Region {
    /// Scaled about the origin.
    pub fn scaled(self, by: f64) -> Region {
        match self {
            Region::Rectangle { width_mm, depth_mm } => Region::Rectangle {
                width_mm: width_mm * by,
                depth_mm: depth_mm * by,
            },
            Region::Disc { diameter_mm } => Region::Disc {
                diameter_mm: diameter_mm * by,
            },
            Region::Polygon(outline) => Region::Polygon(outline.scaled(by, by)),
        }
    }
}

/// How far a placed outline stays inside a region, mm: the smallest distance from it to the
/// region's edge. Negative if it reaches out, by the distance its farthest point lies outside
/// (for a polygon also by how deep a notch or hole of the region reaches into the outline, and
/// where a side bridges a notch by how far out the middle of that stretch lies).
/// `None` if either has no points.
pub fn inside_margin(region: &Region, outline: &Outline) -> Option<f64> {
    let points = || outline.shapes.iter().flat_map(|s| s.outer.iter());
    match region {
        Region::Rectangle { width_mm, depth_mm } => points()
            .map(|p| {
                let dx = 0.5 * width_mm - p[0].abs();
                let dy = 0.5 * depth_mm - p[1].abs();
                if dx >= 0.0 && dy >= 0.0 {
                    dx.min(dy)
                } else {
                    -libm::hypot(dx.min(0.0), dy.min(0.0))
                }
            })
            .reduce(f64::min),
        Region::Disc { diameter_mm } => points()
            .map(|p| 0.5 * diameter_mm - libm::hypot(p[0], p[1]))
            .reduce(f64::min),
        Region::Polygon(allowed) => inside_polygon(allowed, outline),
    }
}

/// [`inside_margin`] of a polygon. Most things stand away from its edge: then no side of it meets
/// their box, one point tells for all, and few sides are near enough to be measured.
fn inside_polygon(allowed: &Outline, outline: &Outline) -> Option<f64> {
    let bounds = outline.bounds()?;
    let first = outline.shapes.first()?.outer.first()?;
    let mut sides: Vec<(f64, P2, P2)> = allowed
        .rings()
        .flat_map(edges)
        .map(|(c, d)| (box_gap_squared(&edge_box(c, d), &bounds), c, d))
        .collect();
    sides.sort_by(|a, b| a.0.total_cmp(&b.0));
    let apart = sides.first()?.0 > 0.0;
    if !(apart && allowed.contains(*first)) {
        let out = overhang(allowed, outline);
        if out > 0.0 {
            return Some(-out);
        }
    }
    let mut best = f64::INFINITY;
    for (gap, c, d) in sides {
        if gap >= best {
            break;
        }
        for (a, b) in outline.rings().flat_map(edges) {
            if box_gap_squared(&edge_box(a, b), &edge_box(c, d)) < best {
                best = best.min(segments_squared(a, b, c, d));
            }
        }
    }
    Some(libm::sqrt(best))
}

/// How far an outline hangs over the edge of a polygon, mm; 0 where it does not.
fn overhang(allowed: &Outline, outline: &Outline) -> f64 {
    let out = outline
        .shapes
        .iter()
        .flat_map(|s| s.outer.iter())
        .filter(|p| !allowed.contains(**p))
        .map(|p| edge_distance(allowed, *p));
    let notch = allowed
        .rings()
        .flatten()
        .filter(|p| outline.contains(**p))
        .map(|p| edge_distance(outline, *p));
    let bridged = outline
        .rings()
        .flat_map(edges)
        .map(|(a, b)| bridges(allowed, a, b))
        .filter(|mm| *mm > HAIR_MM);
    out.chain(notch).chain(bridged).fold(0.0, f64::max)
}

/// A stretch of a side no farther out than this lies on the edge, mm: rounding.
const HAIR_MM: f64 = 1e-9;

/// How far out the middle of a stretch of a side lies between the edges of a region that it meets,
/// mm; 0 where no stretch lies out.
fn bridges(allowed: &Outline, a: P2, b: P2) -> f64 {
    let mut met = vec![0.0, 1.0];
    for (c, d) in allowed.rings().flat_map(edges) {
        let (from, to) = (turn(c, d, a), turn(c, d, b));
        if segments_meet(a, b, c, d) && from != to {
            met.push((from / (from - to)).clamp(0.0, 1.0));
        }
    }
    met.sort_by(f64::total_cmp);
    met.iter()
        .zip(met.iter().skip(1))
        .map(|(from, to)| [0, 1].map(|k| a[k] + (b[k] - a[k]) * (from + to) / 2.0))
        .filter(|middle| !allowed.contains(*middle))
        .map(|middle| edge_distance(allowed, middle))
        .fold(0.0, f64::max)
}

/// Distance from a point to the nearest edge of a region, whichever side it is on, mm; without end
/// for a region without edges.
pub(super) fn edge_distance(outline: &Outline, point: P2) -> f64 {
    libm::sqrt(
        outline
            .rings()
            .flat_map(edges)
            .map(|(a, b)| point_segment_squared(point, a, b))
            .fold(f64::INFINITY, f64::min),
    )
}

/// Distance from a point to the edge of a convex counter-clockwise polygon, mm: positive inside,
/// negative outside. `None` for fewer than three points, which support nothing.
pub fn point_to_convex_edge_distance(polygon: &[P2], point: P2) -> Option<f64> {
    if polygon.len() < 3 {
        return None;
    }
    let inside = edges(polygon).all(|(a, b)| turn(a, b, point) >= 0.0);
    let nearest = libm::sqrt(
        edges(polygon)
            .map(|(a, b)| point_segment_squared(point, a, b))
            .fold(f64::INFINITY, f64::min),
    );
    Some(if inside { nearest } else { -nearest })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn regions_apart_touching_overlapping_and_inside() {
        let a = Outline::rectangle(10.0, 10.0);
        let away = |x, y| outline_distance(&a, &a.moved(x, y), 100.0);
        assert_eq!(away(13.0, 0.0), 3.0);
        assert_eq!(away(13.0, 14.0), 5.0); // 3-4-5 between corners
        assert_eq!(away(10.0, 3.0), 0.0);
        assert_eq!(away(4.0, 4.0), 0.0);
        assert_eq!(
            outline_distance(&a, &Outline::rectangle(1.0, 1.0), 5.0),
            0.0
        );
        assert_eq!(
            outline_distance(&Outline::rectangle(1.0, 1.0), &a, 5.0),
            0.0
        );
        assert_eq!(outline_distance(&a, &a.moved(13.0, 0.0), 2.0), 2.0);
        assert_eq!(outline_distance(&a, &Outline::default(), 2.0), 2.0);
        // Two separate shapes in one region: the nearer counts.
        let pair = Outline::union(&[a.clone(), a.moved(40.0, 0.0)]);
        assert_eq!(outline_distance(&pair, &a.moved(22.0, 0.0), 100.0), 8.0);
    }

    #[test]
    fn margins_in_rectangle_and_disc_are_exact() {
        let plate = Region::Rectangle {
            width_mm: 100.0,
            depth_mm: 60.0,
        };
        let part = Outline::rectangle(10.0, 10.0);
        let at = |region: &Region, x, y| inside_margin(region, &part.moved(x, y)).unwrap();
        assert_eq!(at(&plate, 0.0, 0.0), 25.0);
        assert_eq!(at(&plate, 40.0, 0.0), 5.0);
        assert_eq!(at(&plate, 48.0, 0.0), -3.0);
        assert_eq!(at(&plate, 48.0, 29.0), -5.0); // 3-4-5 beyond the corner
        let disc = Region::Disc { diameter_mm: 100.0 };
        // Corner at (30, 40): exactly on the circle.
        assert_eq!(at(&disc, 25.0, 35.0), 0.0);
        assert_eq!(at(&disc, 0.0, 0.0), 50.0 - 50f64.sqrt());
        assert_eq!(inside_margin(&disc, &Outline::default()), None);
    }

    #[test]
    fn margins_in_a_polygon_see_notches_and_holes() {
        let part = Outline::rectangle(10.0, 10.0);
        let plain = Region::Polygon(Outline::rectangle(100.0, 60.0));
        let same = Region::Rectangle {
            width_mm: 100.0,
            depth_mm: 60.0,
        };
        for (x, y) in [
            (0.0, 0.0),
            (40.0, 3.0),
            (48.0, 0.0),
            (48.0, 29.0),
            (60.0, 0.0),
        ] {
            let placed = part.moved(x, y);
            let (a, b) = (
                inside_margin(&plain, &placed),
                inside_margin(&same, &placed),
            );
            assert!((a.unwrap() - b.unwrap()).abs() < 1e-12, "{x} {y}");
        }
        // A notch 2 wide reaching down to y = 3 from the top, through the part's middle: no
        // corner of the part is outside, the notch's bottom lies 2 deep in it.
        let notch = Outline::rectangle(2.0, 27.0).moved(0.0, 16.5);
        let notched = Region::Polygon(Outline::difference(
            &Outline::rectangle(100.0, 60.0),
            &notch,
        ));
        let margin = inside_margin(&notched, &part).unwrap();
        assert!((margin + 2.0).abs() < 1e-12, "{margin}");
        // A bar across that notch: all its corners are inside and no corner of the notch is in it,
        // but 2 mm of it hang between the two sides, 1 from either at most.
        let bar = Outline::rectangle(30.0, 4.0).moved(0.0, 20.0);
        assert_eq!(inside_margin(&notched, &bar), Some(-1.0));
        // Along the notch it touches and hangs nowhere.
        let along = Outline::rectangle(4.0, 20.0).moved(3.0, 18.0);
        assert_eq!(inside_margin(&notched, &along), Some(0.0));
        // A gas nozzle's hole 4 × 4 under the part's middle: 3 deep; beside it, 8 away.
        let holed = Region::Polygon(Outline::difference(
            &Outline::rectangle(100.0, 60.0),
            &Outline::rectangle(4.0, 4.0),
        ));
        assert_eq!(inside_margin(&holed, &part), Some(-3.0));
        assert_eq!(inside_margin(&holed, &part.moved(15.0, 0.0)), Some(8.0));
    }

    #[test]
    fn support_distance_has_a_sign() {
        let square = Outline::rectangle(10.0, 10.0).hull();
        assert_eq!(
            point_to_convex_edge_distance(&square, [0.0, 1.0]),
            Some(4.0)
        );
        assert_eq!(
            point_to_convex_edge_distance(&square, [8.0, 9.0]),
            Some(-5.0)
        );
        assert_eq!(
            point_to_convex_edge_distance(&square, [5.0, 0.0]),
            Some(0.0)
        );
        assert_eq!(
            point_to_convex_edge_distance(&square[..2], [0.0, 0.0]),
            None
        );
    }
}
