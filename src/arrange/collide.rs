//! The one place that calls jagua-rs: which bodies touch which, in f32. Its answers only propose;
//! [`super::proof`] decides.

use crate::geometry::P2;
use jagua_rs::collision_detection::hazards::collector::HazardCollector;
use jagua_rs::collision_detection::hazards::filter::HazardFilter;
use jagua_rs::collision_detection::hazards::{HazKey, Hazard, HazardEntity};
use jagua_rs::collision_detection::{CDEConfig, CDEngine};
use jagua_rs::geometry::DTransformation;
use jagua_rs::geometry::fail_fast::SPSurrogateConfig;
use jagua_rs::geometry::geo_enums::GeoPosition;
use jagua_rs::geometry::geo_traits::TransformableFrom;
use jagua_rs::geometry::primitives::{Point, Rect, SPolygon};
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

const SURROGATE: SPSurrogateConfig = SPSurrogateConfig {
    n_pole_limits: [(48, 0.0), (16, 0.8), (8, 0.9)],
    ff_pole_area_ratio: 0.5,
    n_ff_piers: 0,
};

/// Circles of what is never moved.
const FIXED: SPSurrogateConfig = SPSurrogateConfig {
    n_pole_limits: [(12, 0.0), (8, 0.8), (4, 0.9)],
    ..SURROGATE
};

/// Bodies that were made: circles take long to find, and one plan is searched several times.
static KNOWN: Mutex<BTreeMap<Vec<u32>, Body>> = Mutex::new(BTreeMap::new());
const MOST_KNOWN: usize = 4_000;

fn known() -> MutexGuard<'static, BTreeMap<Vec<u32>, Body>> {
    KNOWN.lock().unwrap_or_else(PoisonError::into_inner)
}

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
pub struct Body(SPolygon);

impl Body {
    pub fn new(ring: &[P2]) -> Option<Body> {
        Body::filled(ring, SURROGATE)
    }

    /// One that is never moved: few circles do.
    pub fn fixed(ring: &[P2]) -> Option<Body> {
        Body::filled(ring, FIXED)
    }

    fn filled(ring: &[P2], circles: SPSurrogateConfig) -> Option<Body> {
        let points: Vec<Point> = ring
            .iter()
            .map(|p| Point(p[0] as f32, p[1] as f32))
            .collect();
        let bits = points.iter().flat_map(|p| [p.0.to_bits(), p.1.to_bits()]);
        let mut key: Vec<u32> = vec![circles.n_pole_limits[0].0 as u32];
        key.extend(bits);
        if let Some(known) = known().get(&key) {
            return Some(known.clone());
        }
        let mut polygon = SPolygon::new(points).ok()?;
        polygon.generate_surrogate(circles).ok()?;
        let body = Body(polygon);
        let mut known = known();
        if known.len() >= MOST_KNOWN {
            known.clear();
        }
        known.insert(key, body.clone());
        Some(body)
    }

    /// Becomes `base` turned by `angle` radians and moved; `self` began as a clone of `base`.
    pub fn set(&mut self, base: &Body, x: f32, y: f32, angle: f32) {
        let move_ = DTransformation::new(angle, (x, y)).compose();
        self.0.transform_from(&base.0, &move_);
    }

    pub fn bounds(&self) -> [f32; 4] {
        let b = self.0.bbox();
        [b.x_min, b.y_min, b.x_max, b.y_max]
    }

    pub fn circles(&self) -> impl Iterator<Item = [f32; 3]> + '_ {
        self.0
            .surrogate()
            .poles
            .iter()
            .map(|c| [c.center.0, c.center.1, c.radius])
    }

    pub fn vertices(&self) -> impl Iterator<Item = [f32; 2]> + '_ {
        self.0.vertices().iter().map(|p| [p.0, p.1])
    }

    pub fn hull(&self) -> Vec<[f32; 2]> {
        let v = self.0.vertices();
        self.0
            .surrogate()
            .convex_hull_indices
            .iter()
            .map(|&i| [v[i].0, v[i].1])
            .collect()
    }

    pub fn hull_area(&self) -> f32 {
        self.0.surrogate().convex_hull_area
    }

    pub fn diameter(&self) -> f32 {
        self.0.diameter()
    }

    pub fn area(&self) -> f32 {
        self.0.area()
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
            hazards.push(Hazard::new(Touch::Post(k as u16), Arc::new(post.0.clone())));
        }
        let config = CDEConfig {
            // Deeper finds the same and takes longer (measured: strips, own loads).
            quadtree_depth: 3,
            cd_threshold: 16,
            item_surrogate_config: SURROGATE,
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
        self.engine
            .register_hazard(Hazard::new(Touch::Item(item), Arc::new(body.0.clone())));
    }

    fn take(&mut self, item: u16) {
        self.engine.deregister_hazard_by_entity(Touch::Item(item));
    }

    fn touching(&self, body: &Body, item: u16, stop: &mut dyn FnMut(Touch) -> bool) {
        let mut seen = Seen(Vec::with_capacity(8));
        let not = Not(item);
        if self
            .engine
            .collect_surrogate_collisions_until(&body.0, &not, &mut seen, &mut *stop)
        {
            return;
        }
        let _ = self
            .engine
            .collect_poly_collisions_until(&body.0, &not, &mut seen, &mut *stop);
    }
}
