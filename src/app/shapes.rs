//! Outlines cut into convex pieces once, for drawing them filled: concave ones and holes come out
//! right, and nothing is cut anew in a frame.

use crate::catalogue::Catalogue;
use crate::geometry::P2;
use crate::load::{Item, Plan, Sizes};
use crate::part::SizeStage;
use std::collections::BTreeMap;
use std::sync::Arc;

/// An outline ready to be drawn, in the item's own coordinates, mm.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drawn {
    /// Convex pieces.
    pub pieces: Vec<Vec<P2>>,
    /// Rings, outer and holes.
    pub rings: Vec<Vec<P2>>,
    /// Height at the stage, mm.
    pub height_mm: f64,
}

/// What makes two items look alike.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Key {
    Part(u32, u8),
    Other(String, u8),
}

/// Drawn outlines by item and stage, kept while the parts and records stay the same.
#[derive(Debug, Default)]
pub struct Shapes {
    made: BTreeMap<Key, Arc<Drawn>>,
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
            self.sizes = Sizes::new(plan, catalogue);
        }
        self.plan = Some(Arc::clone(plan));
    }

    /// Forgets everything, after another catalogue.
    pub fn clear(&mut self) {
        *self = Shapes::default();
    }

    /// Outline of an item at a stage.
    pub fn of(&mut self, item: &Item, stage: SizeStage, catalogue: &Catalogue) -> Arc<Drawn> {
        let key = match item {
            Item::Part { part, .. } | Item::Coupon { part, .. } => Key::Part(part.0, stage as u8),
            Item::Dummy { shape, .. } => Key::Other(format!("{shape:?}"), stage as u8),
            Item::Sensor { height_mm, .. } => Key::Other(format!("{height_mm}"), stage as u8),
        };
        if let Some(drawn) = self.made.get(&key) {
            return Arc::clone(drawn);
        }
        let drawn = self
            .sizes
            .of(item, catalogue)
            .map_or_else(Drawn::default, |sized| {
                let body = &sized.at(stage).body;
                let outline = body.silhouette();
                Drawn {
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
