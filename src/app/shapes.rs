//! Outlines cut into convex pieces once, for drawing them filled: concave ones and holes come out
//! right, and nothing is cut anew in a frame.

use crate::catalogue::{Catalogue, SetterShape};
use crate::geometry::{P2, Pose, Region};
use crate::load::{Item, Plan, Sizes};
use crate::part::SizeStage;
use egui::epaint::{CircleShape, PathShape, RectShape};
use egui::epaint::{Mesh, Vertex, WHITE_UV};
use egui::{Color32, Pos2, Rect, Shape, Stroke, StrokeKind};
use std::collections::BTreeMap;
use std::sync::Arc;

/// An outline ready to be drawn: turned, with the anchor at the origin, mm.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drawn {
    /// Low and high corner; none where there is nothing to draw.
    pub bounds: Option<[P2; 2]>,
    /// Convex pieces.
    pub pieces: Vec<Vec<P2>>,
    /// Rings, outer and holes.
    pub rings: Vec<Vec<P2>>,
    /// Height at the stage, mm.
    pub height_mm: f64,
}

impl Drawn {
    /// Whether a point about the anchor lies on it: even-odd over all rings, so holes do not count.
    pub fn covers(&self, at: P2) -> bool {
        let mut inside = false;
        for ring in &self.rings {
            let next = ring.iter().cycle().skip(1);
            for (a, b) in ring.iter().zip(next) {
                if (a[1] > at[1]) != (b[1] > at[1])
                    && at[0] < (b[0] - a[0]) * (at[1] - a[1]) / (b[1] - a[1]) + a[0]
                {
                    inside = !inside;
                }
            }
        }
        inside
    }
}

/// What makes two items look alike.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Key {
    Part(u32),
    Other(String),
}

/// Most turned outlines that are kept: a drag of the turning handle makes a new one a frame.
const MOST: usize = 4096;

/// Drawn outlines by item and stage, kept while the parts and records stay the same.
#[derive(Debug, Default)]
pub struct Shapes {
    made: BTreeMap<(Key, u8), Arc<Drawn>>,
    turned: BTreeMap<(Key, u8, u64), Arc<Drawn>>,
    sizes: Sizes,
    plan: Option<Arc<Plan>>,
}

impl Shapes {
    /// Forgets what no longer holds.
    pub fn refresh(&mut self, plan: &Arc<Plan>, catalogue: &Catalogue) {
        let same = self.plan.as_ref().is_some_and(|old| {
            Arc::ptr_eq(old, plan)
                || (old.parts.len() == plan.parts.len()
                    && old
                        .parts
                        .iter()
                        .zip(&plan.parts)
                        .all(|(a, b)| Arc::ptr_eq(a, b))
                    && Arc::ptr_eq(&old.profile, &plan.profile))
        });
        if !same {
            self.made.clear();
            self.turned.clear();
            self.sizes = Sizes::new(plan, catalogue);
        }
        self.plan = Some(Arc::clone(plan));
    }

    /// Forgets everything, after another catalogue.
    pub fn clear(&mut self) {
        *self = Shapes::default();
    }

    /// Outline of an item at a stage, turned by an angle in degrees.
    pub fn of(
        &mut self,
        item: &Item,
        stage: SizeStage,
        angle_deg: f64,
        catalogue: &Catalogue,
    ) -> Arc<Drawn> {
        let key = match item {
            Item::Part { part, .. } | Item::Coupon { part, .. } => Key::Part(part.0),
            Item::Dummy { shape, .. } => Key::Other(format!("{shape:?}")),
            Item::Sensor { height_mm, .. } => Key::Other(format!("{height_mm}")),
        };
        let turned_key = (key, stage as u8, angle_deg.to_bits());
        if let Some(drawn) = self.turned.get(&turned_key) {
            return Arc::clone(drawn);
        }
        let straight = self.straight(turned_key.0.clone(), item, stage, catalogue);
        let pose = Pose {
            angle_deg,
            ..Pose::at(0.0, 0.0)
        };
        let turn = |lists: &[Vec<P2>]| -> Vec<Vec<P2>> {
            let turned = lists
                .iter()
                .map(|l| l.iter().map(|p| pose.apply(*p)).collect());
            turned.collect()
        };
        let rings = turn(&straight.rings);
        let drawn = Arc::new(Drawn {
            bounds: bounds(&rings),
            pieces: turn(&straight.pieces),
            rings,
            height_mm: straight.height_mm,
        });
        if self.turned.len() >= MOST {
            self.turned.clear();
        }
        self.turned.insert(turned_key, Arc::clone(&drawn));
        drawn
    }

    fn straight(
        &mut self,
        key: Key,
        item: &Item,
        stage: SizeStage,
        catalogue: &Catalogue,
    ) -> Arc<Drawn> {
        let key = (key, stage as u8);
        if let Some(drawn) = self.made.get(&key) {
            return Arc::clone(drawn);
        }
        let sized = self.sizes.of(item, catalogue);
        let drawn = sized.map_or_else(Drawn::default, |sized| {
            let body = &sized.at(stage).body;
            let outline = body.silhouette();
            Drawn {
                bounds: outline.bounds(),
                pieces: outline.convex_pieces(),
                rings: outline.rings().map(<[P2]>::to_vec).collect(),
                height_mm: body.height_mm(),
            }
        });
        let drawn = Arc::new(drawn);
        self.made.insert(key, Arc::clone(&drawn));
        drawn
    }
}

fn bounds(rings: &[Vec<P2>]) -> Option<[P2; 2]> {
    let points = rings.iter().flatten().map(|p| [*p, *p]);
    points.reduce(|[low, high], [p, _]| {
        [
            [low[0].min(p[0]), low[1].min(p[1])],
            [high[0].max(p[0]), high[1].max(p[1])],
        ]
    })
}

/// A ring as it can be stroked: points that fall together on the screen have no direction between
/// them, and the mitre of a corner there would reach across the window. None where too little is
/// left to be seen.
pub(super) fn closed(points: impl Iterator<Item = Pos2>) -> Option<Vec<Pos2>> {
    /// Least distance between points, points of the screen.
    const APART: f32 = 0.25;
    let mut kept: Vec<Pos2> = Vec::new();
    for point in points {
        if kept.last().is_none_or(|last| last.distance(point) >= APART) {
            kept.push(point);
        }
    }
    while kept.len() > 1
        && kept
            .first()
            .zip(kept.last())
            .is_some_and(|(a, b)| a.distance(*b) < APART)
    {
        kept.pop();
    }
    let all = Rect::from_points(&kept);
    (kept.len() > 2 && all.width().max(all.height()) >= 1.0).then_some(kept)
}

/// A setter's plate, or what is left of it `less_mm` within its edge.
pub(super) fn plate(
    shape: &SetterShape,
    less_mm: f64,
    at: impl Fn(&[f64; 2]) -> Pos2,
    fill: Color32,
    stroke: Stroke,
) -> Vec<Shape> {
    match shape.region(less_mm) {
        Region::Rectangle { width_mm, depth_mm } => {
            let (x, y) = (width_mm / 2.0, depth_mm / 2.0);
            let plate = Rect::from_two_pos(at(&[-x, -y]), at(&[x, y]));
            let plate = RectShape::new(plate, 0.0, fill, stroke, StrokeKind::Middle);
            vec![plate.into()]
        }
        Region::Disc { diameter_mm } => {
            let centre = at(&[0.0, 0.0]);
            let radius = centre.distance(at(&[diameter_mm / 2.0, 0.0]));
            let disc = CircleShape {
                center: centre,
                radius,
                fill,
                stroke,
            };
            vec![disc.into()]
        }
        Region::Polygon(outline) => {
            let mut all = vec![filled(&outline.convex_pieces(), &at, fill)];
            let rings = outline.rings().filter_map(|r| closed(r.iter().map(&at)));
            all.extend(rings.map(|ring| PathShape::closed_line(ring, stroke).into()));
            all
        }
    }
}

/// Convex pieces filled without seams between them, which rims drawn soft would leave.
pub(super) fn filled(
    pieces: &[Vec<[f64; 2]>],
    at: impl Fn(&[f64; 2]) -> Pos2,
    color: Color32,
) -> Shape {
    let mut mesh = Mesh::default();
    for piece in pieces {
        let first = mesh.vertices.len() as u32;
        mesh.vertices.extend(piece.iter().map(|p| Vertex {
            pos: at(p),
            uv: WHITE_UV,
            color,
        }));
        for i in 2..piece.len() as u32 {
            mesh.add_triangle(first, first + i - 1, first + i);
        }
    }
    Shape::mesh(mesh)
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::pos2;

    #[test]
    fn rings_that_fall_together_are_not_stroked() {
        let at = |x: f32, y: f32| pos2(100.0 + x, 100.0 + y);
        let sliver = [at(0.0, 0.0), at(0.004, 0.0), at(0.004, 0.002)];
        assert_eq!(closed(sliver.into_iter()), None);
        let square = [
            at(0.0, 0.0),
            at(9.0, 0.0),
            at(9.0, 0.01),
            at(9.0, 9.0),
            at(0.0, 9.0),
        ];
        let kept = closed(square.into_iter().chain([at(0.0, 0.001)]));
        assert_eq!(
            kept,
            Some(vec![at(0.0, 0.0), at(9.0, 0.0), at(9.0, 9.0), at(0.0, 9.0)])
        );
    }
}
