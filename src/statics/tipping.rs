//! Whether a part stands on its foot.

use super::polygon;
use crate::geometry::P2;
use crate::geometry::outline::convex_hull;
use crate::load::PartRecords;
use crate::part::{CONTACT_MM, Geometry, SizeStage, scale};

/// What a part stands on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum RestsOn {
    /// A foot, or several, with an area between them.
    Area,
    /// A line: no wider than what a round of the part's own width touches. It rolls.
    Line,
    /// A spot that is as narrow in all directions.
    Point,
    /// Nothing is known to touch the setter.
    Nothing,
}

impl RestsOn {
    /// In words, for sentences and JSON.
    pub fn word(self) -> &'static str {
        match self {
            RestsOn::Area => "area",
            RestsOn::Line => "line",
            RestsOn::Point => "point",
            RestsOn::Nothing => "nothing",
        }
    }
}

/// How a part stands at one size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tipping {
    /// Tilt of the setter at which the part tips, degrees; negative when it falls by itself, 0
    /// when nothing is known to carry it.
    pub tip_angle_deg: f64,
    /// From the projected centre of mass to the nearest edge of the support polygon, mm; negative
    /// outside.
    pub nearest_edge_mm: f64,
    /// Centre of mass above the setter, mm.
    pub height_of_centre_mm: f64,
    /// Least width of the support polygon, mm.
    pub foot_width_mm: f64,
    /// Height over the foot's least width; none where the foot has no width.
    pub slenderness: Option<f64>,
    /// What it stands on.
    pub rests_on: RestsOn,
}

/// How a shape stands when its drawn size is multiplied by `factors` in x, y, z.
///
/// The support polygon is the convex hull of what touches the setter: faces, edges and tips. Tip angle = atan(distance of
/// the projected centre of mass from the hull's nearest edge / height of the centre)
/// (`practice.md` 4.10; derived). A support under the part is not counted.
pub fn tipping(geometry: &Geometry, factors: [f64; 3]) -> Tipping {
    let [fx, fy, fz] = factors;
    let [cx, cy, cz] = geometry.centroid_mm;
    let hull = geometry.support_polygon().into_iter();
    let hull: Vec<P2> = hull.map(|[x, y]| [x * fx, y * fy]).collect();
    let height_of_centre_mm = cz * fz;
    let nearest_edge_mm = polygon::inside_mm(&hull, [cx * fx, cy * fy]).unwrap_or(0.0);
    let foot_width_mm = polygon::least_width(&hull);
    let height_mm = geometry.height_mm() * fz;
    let body = geometry.body.slabs.iter().flat_map(|s| &s.outline.shapes);
    let seen_from_above = convex_hull(
        body.flat_map(|shape| &shape.outer)
            .map(|p| [p[0] * fx, p[1] * fy]),
    );
    Tipping {
        tip_angle_deg: libm::atan2(nearest_edge_mm, height_of_centre_mm).to_degrees(),
        nearest_edge_mm,
        height_of_centre_mm,
        foot_width_mm,
        slenderness: (foot_width_mm > 0.0).then(|| height_mm / foot_width_mm),
        rests_on: rests_on(&hull, foot_width_mm, &seen_from_above),
    }
}

/// How a part stands at a size stage; `peak_c` is the highest setpoint of the plan, °C.
pub fn part_tipping(records: &PartRecords, peak_c: f64, stage: SizeStage) -> Tipping {
    let part = records.part;
    let factors = scale(part, records.feedstock, records.alloy, peak_c, stage);
    tipping(&part.geometry, factors)
}

/// A round of radius R touches within the contact height c over 2√(2Rc); a foot no wider than
/// that of a round of the part's own width is a line (derived).
pub(super) fn rests_on(foot: &[P2], foot_width_mm: f64, seen_from_above: &[P2]) -> RestsOn {
    let band = |width_mm: f64| 2.0 * libm::sqrt(width_mm * CONTACT_MM);
    if foot.is_empty() {
        RestsOn::Nothing
    } else if foot_width_mm > band(polygon::least_width(seen_from_above)) {
        RestsOn::Area
    } else if polygon::greatest_width(foot) > band(polygon::greatest_width(seen_from_above)) {
        RestsOn::Line
    } else {
        RestsOn::Point
    }
}
