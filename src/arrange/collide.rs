//! The one place that calls jagua-rs: which bodies touch which, in f32. Its answers only propose;
//! [`super::proof`] decides.

mod poles;

use crate::geometry::{Known, P2};
use jagua_rs::collision_detection::hazards::collector::HazardCollector;
use jagua_rs::collision_detection::hazards::filter::HazardFilter;
use jagua_rs::collision_detection::hazards::{HazKey, Hazard, HazardEntity};
use jagua_rs::collision_detection::{CDEConfig, CDEngine};
use jagua_rs::geometry::DTransformation;
use jagua_rs::geometry::convex_hull::convex_hull_from_points;
use jagua_rs::geometry::fail_fast::SPSurrogateConfig;
use jagua_rs::geometry::geo_enums::GeoPosition;
use jagua_rs::geometry::geo_traits::TransformableFrom;
use jagua_rs::geometry::primitives::{Circle, Point, Rect, SPolygon};
use poles::poles;
use std::sync::Arc;

/// Circles that fill a body: so many, fewer where they cover so much of it.
const CIRCLES: [(usize, f32); 3] = [(48, 0.0), (16, 0.8), (8, 0.9)];
/// Circles of what is never moved.
const FIXED: [(usize, f32); 3] = [(12, 0.0), (8, 0.8), (4, 0.9)];

/// The share of a body that its first circles have to cover for a touch to be looked for with them
/// first.
const EARLY: f32 = 0.5;
/// Where more circles are needed for that, it brings little, and takes the library long to make ready
/// (measured, DEVELOPERS.md).
const MOST_EARLY: usize = 4;

/// The circles that the library tests first: no more than are needed.
fn early(most: usize) -> SPSurrogateConfig {
    SPSurrogateConfig {
        n_pole_limits: [(most, 0.0); 3],
        ff_pole_area_ratio: EARLY,
        n_ff_piers: 0,
    }
}

/// Bodies that were made: circles take long to find, and one plan is searched several times.
static KNOWN: Known<Vec<u32>, Body> = Known::new(4_000);

/// What a body touches.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Touch {
    Wall,
    Post(u16),
    Item(u16),
}

impl HazardEntity for Touch {
    fn scope(&self) -> GeoPosition {
        match self {
            Touch::Wall => GeoPosition::Exterior,
            _ => GeoPosition::Interior,
        }
    }

    fn is_dynamic(&self) -> bool {
        matches!(self, Touch::Item(_))
    }
}

/// A simple polygon with the circles that fill it.
#[derive(Clone)]
pub struct Body {
    polygon: SPolygon,
    circles: Vec<Circle>,
    hull_area: f32,
}

impl Body {
    pub fn new(ring: &[P2]) -> Option<Body> {
        Body::filled(ring, CIRCLES)
    }

    /// One that is never moved: few circles do.
    pub fn fixed(ring: &[P2]) -> Option<Body> {
        Body::filled(ring, FIXED)
    }

    fn filled(ring: &[P2], limits: [(usize, f32); 3]) -> Option<Body> {
        let points: Vec<Point> = ring
            .iter()
            .map(|p| Point(p[0] as f32, p[1] as f32))
            .collect();
        let bits = points.iter().flat_map(|p| [p.0.to_bits(), p.1.to_bits()]);
        let mut key: Vec<u32> = vec![limits[0].0 as u32];
        key.extend(bits);
        KNOWN.get_or(key, || Body::made(points, limits))
    }

    fn made(points: Vec<Point>, limits: [(usize, f32); 3]) -> Option<Body> {
        let mut polygon = SPolygon::new(points).ok()?;
        let circles = poles(&polygon, &limits)?;
        let mut covered = 0.0;
        let first = circles.iter().position(|circle| {
            covered += circle.area();
            covered >= EARLY * polygon.area()
        });
        if let Some(first) = first.filter(|first| *first < MOST_EARLY) {
            polygon.generate_surrogate(early(first + 1)).ok()?;
        }
        let hull = convex_hull_from_points(polygon.vertices().to_vec());
        Some(Body {
            hull_area: SPolygon::calculate_area(&hull),
            polygon,
            circles,
        })
    }

    /// Becomes `base` turned by `angle` radians and moved; `self` began as a clone of `base`.
    pub fn set(&mut self, base: &Body, x: f32, y: f32, angle: f32) {
        let move_ = DTransformation::new(angle, (x, y)).compose();
        self.polygon.transform_from(&base.polygon, &move_);
        for (circle, of) in self.circles.iter_mut().zip(&base.circles) {
            circle.transform_from(of, &move_);
        }
    }

    pub fn bounds(&self) -> [f32; 4] {
        let b = self.polygon.bbox();
        [b.x_min, b.y_min, b.x_max, b.y_max]
    }

    pub fn circles(&self) -> impl Iterator<Item = [f32; 3]> + '_ {
        self.circles
            .iter()
            .map(|c| [c.center.0, c.center.1, c.radius])
    }

    pub fn vertices(&self) -> impl Iterator<Item = [f32; 2]> + '_ {
        self.polygon.vertices().iter().map(|p| [p.0, p.1])
    }

    pub fn hull(&self) -> Vec<[f32; 2]> {
        let hull = convex_hull_from_points(self.polygon.vertices().to_vec());
        hull.iter().map(|p| [p.0, p.1]).collect()
    }

    pub fn hull_area(&self) -> f32 {
        self.hull_area
    }

    pub fn diameter(&self) -> f32 {
        self.polygon.diameter()
    }

    pub fn area(&self) -> f32 {
        self.polygon.area()
    }
}

/// What the search asks of a collision library.
pub trait Space {
    fn put(&mut self, item: u16, body: &Body);
    fn take(&mut self, item: u16);
    /// Tells each thing that `body`, standing for `item`, touches, until `stop` says true.
    fn touching(&self, body: &Body, item: u16, stop: &mut dyn FnMut(Touch) -> bool);
}

/// [`Space`] by jagua-rs.
#[derive(Clone)]
pub struct Engine {
    engine: CDEngine<Touch>,
}

impl Engine {
    pub fn new(field: &[P2], posts: &[Body]) -> Option<Engine> {
        let outer = SPolygon::new(
            field
                .iter()
                .map(|p| Point(p[0] as f32, p[1] as f32))
                .collect(),
        )
        .ok()?;
        let b = outer.bbox();
        let side = (b.x_max - b.x_min).max(b.y_max - b.y_min) * 1.02;
        let (cx, cy) = ((b.x_min + b.x_max) / 2.0, (b.y_min + b.y_max) / 2.0);
        let h = side / 2.0;
        let bbox = Rect::try_new(cx - h, cy - h, cx + h, cy + h).ok()?;
        let mut hazards = vec![Hazard::new(Touch::Wall, Arc::new(outer))];
        for (k, post) in posts.iter().enumerate() {
            hazards.push(Hazard::new(
                Touch::Post(k as u16),
                Arc::new(post.polygon.clone()),
            ));
        }
        let config = CDEConfig {
            // Deeper finds the same and takes longer (measured: strips, own loads).
            quadtree_depth: 3,
            cd_threshold: 16,
            item_surrogate_config: SPSurrogateConfig::none(),
        };
        Some(Engine {
            engine: CDEngine::new(bbox, hazards, config),
        })
    }
}

struct Seen(Vec<(HazKey, Touch)>);

impl HazardCollector for Seen {
    type Entity = Touch;

    fn contains_key(&self, key: HazKey) -> bool {
        self.0.iter().any(|(k, _)| *k == key)
    }
    fn insert(&mut self, key: HazKey, entity: Touch) {
        self.0.push((key, entity));
    }
    fn remove_by_key(&mut self, key: HazKey) {
        self.0.retain(|(k, _)| *k != key);
    }
    fn len(&self) -> usize {
        self.0.len()
    }
    fn iter(&self) -> impl Iterator<Item = (HazKey, &Touch)> {
        self.0.iter().map(|(k, e)| (*k, e))
    }
}

struct Not(u16);

impl HazardFilter<Touch> for Not {
    fn is_irrelevant(&self, _: HazKey, entity: &Touch) -> bool {
        *entity == Touch::Item(self.0)
    }
}

impl Space for Engine {
    fn put(&mut self, item: u16, body: &Body) {
        self.engine.register_hazard(Hazard::new(
            Touch::Item(item),
            Arc::new(body.polygon.clone()),
        ));
    }

    fn take(&mut self, item: u16) {
        self.engine.deregister_hazard_by_entity(Touch::Item(item));
    }

    fn touching(&self, body: &Body, item: u16, stop: &mut dyn FnMut(Touch) -> bool) {
        let mut seen = Seen(Vec::with_capacity(8));
        let not = Not(item);
        if self.engine.collect_surrogate_collisions_until(
            &body.polygon,
            &not,
            &mut seen,
            &mut *stop,
        ) {
            return;
        }
        let _ =
            self.engine
                .collect_poly_collisions_until(&body.polygon, &not, &mut seen, &mut *stop);
    }
}
