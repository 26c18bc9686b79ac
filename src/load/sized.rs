//! Bodies of the items at each size stage, made once per part record.

use super::plan::{Item, Placement, Plan};
use crate::catalogue::{Catalogue, Feedstock};
use crate::geometry::{Body, Known, Outline, Pose, Solid};
use crate::part::{self, Part, PartId, SizeStage, growth, measure_typed};
use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

/// Diameter to which a load thermocouple's sheath is taken, mm (assumed).
pub const SENSOR_DIAMETER_MM: f64 = 3.0;

/// One body at one size, as outlines for distances and as a solid for the collision check.
#[derive(Clone, Debug)]
pub struct SizedBody {
    /// Slabs.
    pub body: Body,
    /// The same as convex prisms.
    pub solid: Arc<Solid>,
    covers_mm2: OnceLock<f64>,
}

impl SizedBody {
    /// What it covers seen from above, mm²; the union of its slabs is made once.
    pub fn covers_mm2(&self) -> f64 {
        *self
            .covers_mm2
            .get_or_init(|| self.body.silhouette().area())
    }
}

/// The bodies of one body at green, hottest and sintered size.
#[derive(Debug)]
struct Stages {
    bodies: [SizedBody; 3],
    covers: OnceLock<Outline>,
}

impl Stages {
    fn new(body: &Body, factors: [[f64; 3]; 3]) -> Option<Arc<Stages>> {
        let make = |factor: [f64; 3]| {
            let body = body.scaled(factor);
            let solid = Arc::new(Solid::new(&body).ok()?);
            Some(SizedBody {
                body,
                solid,
                covers_mm2: OnceLock::new(),
            })
        };
        let [green, hottest, sintered] = factors;
        Some(Arc::new(Stages {
            bodies: [make(green)?, make(hottest)?, make(sintered)?],
            covers: OnceLock::new(),
        }))
    }
}

/// The address of a body, and the factors as bits.
type Key = (usize, [[u64; 3]; 3]);

/// Bodies that were made last, for cutting into prisms takes long and a search asks for the same ones
/// again and again. Each entry holds the body that it was made from: an address cannot come to mean
/// another one.
static KNOWN: KnownStages = Known::new(512);

type KnownStages = Known<Key, (Arc<Body>, Arc<Stages>)>;

/// The same as [`Stages::new`], made once for a body that is shared.
fn known_stages(
    known: &KnownStages,
    body: &Arc<Body>,
    factors: [[f64; 3]; 3],
) -> Option<Arc<Stages>> {
    let bits = factors.map(|stage| stage.map(f64::to_bits));
    let key = (Arc::as_ptr(body) as usize, bits);
    let make = || Some((Arc::clone(body), Stages::new(body, factors)?));
    known.get_or(key, make).map(|(_, stages)| stages)
}

/// An item's bodies at green, hottest and sintered size, about its anchor point.
#[derive(Clone, Debug)]
pub struct Sized {
    stages: Arc<Stages>,
    /// Feedstock slug, where the item shrinks.
    pub feedstock: Option<String>,
    /// Temperature of the hottest stage, °C.
    pub hottest_c: f64,
}

impl Sized {
    /// Body at a stage.
    pub fn at(&self, stage: SizeStage) -> &SizedBody {
        let [green, hottest, sintered] = &self.stages.bodies;
        match stage {
            SizeStage::Green => green,
            SizeStage::Hottest => hottest,
            SizeStage::Sintered => sintered,
        }
    }

    /// Height at the stage at which it is highest, mm.
    pub fn highest_mm(&self) -> f64 {
        let all = self
            .stages
            .bodies
            .iter()
            .map(|stage| stage.body.height_mm());
        all.fold(0.0, f64::max)
    }

    /// What it covers seen from above at any stage; made once.
    pub fn covers(&self) -> &Outline {
        self.stages.covers.get_or_init(|| {
            let all = self.stages.bodies.each_ref().map(|s| s.body.silhouette());
            Outline::union(&all)
        })
    }

    fn new(
        stages: Option<Arc<Stages>>,
        feedstock: Option<String>,
        hottest_c: f64,
    ) -> Option<Sized> {
        Some(Sized {
            stages: stages?,
            feedstock,
            hottest_c,
        })
    }
}

/// Bodies of everything in a plan.
#[derive(Clone, Debug, Default)]
pub struct Sizes {
    parts: BTreeMap<PartId, Arc<Sized>>,
    peak_c: f64,
}

impl Sizes {
    /// Makes the bodies of all part records whose feedstock is known.
    pub fn new(plan: &Plan, catalogue: &Catalogue) -> Sizes {
        let peak_c = peak_c(plan);
        let bodies = plan.parts.iter().filter_map(|part| {
            let sized = sized_part(part, catalogue, peak_c)?;
            Some((part.id, Arc::new(sized)))
        });
        Sizes::of_parts(bodies, peak_c)
    }

    /// From bodies made earlier by [`sized_part`] for the same highest setpoint, °C.
    pub fn of_parts(parts: impl Iterator<Item = (PartId, Arc<Sized>)>, peak_c: f64) -> Sizes {
        Sizes {
            parts: parts.collect(),
            peak_c,
        }
    }

    /// Highest setpoint, °C.
    pub fn peak_c(&self) -> f64 {
        self.peak_c
    }

    /// Bodies of one item; none where its part, feedstock or material is unknown.
    pub fn of(&self, item: &Item, catalogue: &Catalogue) -> Option<Arc<Sized>> {
        match item {
            Item::Part { part, .. } | Item::Coupon { part, .. } => self.parts.get(part).cloned(),
            Item::Dummy {
                shape, material, ..
            } => {
                let expansion = catalogue.material(material)?.expansion_per_k;
                let geometry = measure_typed(shape).ok()?;
                let hot = growth(expansion, self.peak_c);
                let factors = [[1.0; 3], [hot; 3], [1.0; 3]];
                let stages = Stages::new(&geometry.body, factors);
                Sized::new(stages, None, self.peak_c).map(Arc::new)
            }
            Item::Sensor { height_mm, .. } => {
                let body = Body::cylinder(SENSOR_DIAMETER_MM, *height_mm);
                let stages = Stages::new(&body, [[1.0; 3]; 3]);
                Sized::new(stages, None, self.peak_c).map(Arc::new)
            }
        }
    }
}

/// Bodies of one part record; none where its feedstock or alloy is unknown or it has no body. They
/// depend on `peak_c`, the highest setpoint, only up to where the feedstock begins to shrink
/// ([`hottest_c`]).
pub fn sized_part(part: &Part, catalogue: &Catalogue, peak_c: f64) -> Option<Sized> {
    let feedstock = catalogue.feedstock(&part.feedstock)?;
    let alloy = catalogue.alloy(&feedstock.alloy)?;
    let mut factors =
        SizeStage::ALL.map(|stage| part::scale(part, feedstock, alloy, peak_c, stage));
    let swell = swell(feedstock, catalogue);
    let [_, hottest, _] = &mut factors;
    *hottest = hottest.map(|factor| factor * swell);
    let hottest_c = hottest_c(feedstock, peak_c);
    let id = Some(part.feedstock.clone());
    Sized::new(
        known_stages(&KNOWN, &part.geometry.body, factors),
        id,
        hottest_c,
    )
}

/// Factor by which the binder of a feedstock makes its parts swell in the furnace; 1 for a
/// binder that is not known.
pub fn swell(feedstock: &Feedstock, catalogue: &Catalogue) -> f64 {
    let binder = catalogue.binder(&feedstock.binder);
    binder.map_or(1.0, |b| part::furnace_swell(&b.first_step))
}

/// Highest target of the plan's profile, °C; its start where there is no segment.
pub fn peak_c(plan: &Plan) -> f64 {
    plan.profile
        .segments
        .iter()
        .map(|s| s.to_c)
        .fold(plan.profile.start_c, f64::max)
}

/// Temperature at which a feedstock's part is largest, °C.
pub fn hottest_c(feedstock: &Feedstock, peak_c: f64) -> f64 {
    feedstock.shrink_start_c.min(peak_c)
}

/// Height that a placement's support lifts it at a stage, mm. A raft shrinks with its part.
pub fn lift_mm(placement: &Placement, catalogue: &Catalogue) -> f64 {
    placement
        .support
        .as_ref()
        .and_then(|id| catalogue.support(id))
        .map_or(0.0, |support| support.height_mm)
}

/// Pose of a placement on its setter, whose growth carries the anchor away from the centre.
pub fn pose_on_setter(placement: &Placement, lift_mm: f64, setter_growth: f64) -> Pose {
    Pose {
        x_mm: placement.at_mm[0] * setter_growth,
        y_mm: placement.at_mm[1] * setter_growth,
        z_mm: lift_mm,
        angle_deg: placement.angle_deg,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const FACTORS: [[f64; 3]; 3] = [[1.2; 3], [1.21; 3], [1.0; 3]];

    #[test]
    fn a_shared_body_is_cut_once_for_each_set_of_factors() {
        // One of its own, which no other test begins anew.
        let known: KnownStages = Known::new(8);
        let one = Arc::new(Body::cylinder(10.0, 4.0));
        let first = known_stages(&known, &one, FACTORS).unwrap();
        assert!(Arc::ptr_eq(
            &first,
            &known_stages(&known, &one, FACTORS).unwrap()
        ));
        let less = FACTORS.map(|factor| factor.map(|v| 0.9 * v));
        let smaller = known_stages(&known, &one, less).unwrap();
        assert!(smaller.bodies[0].covers_mm2() < first.bodies[0].covers_mm2());
        // Another body is never taken for it, even where it is as large.
        let other = Arc::new(Body::cylinder(10.0, 4.0));
        assert!(!Arc::ptr_eq(
            &first,
            &known_stages(&known, &other, FACTORS).unwrap()
        ));
    }

    #[test]
    fn what_is_covered_at_any_stage_holds_all_of_them() {
        let body = Arc::new(Body::cylinder(10.0, 4.0));
        let stages = known_stages(&KNOWN, &body, FACTORS);
        let sized = Sized::new(stages, None, 1000.0).unwrap();
        let largest = sized.at(SizeStage::Hottest).covers_mm2();
        assert!((sized.covers().area() - largest).abs() < 1e-6 * largest);
    }

    #[test]
    fn a_body_without_volume_has_no_sizes() {
        let none = Arc::new(Body { slabs: Vec::new() });
        assert!(known_stages(&KNOWN, &none, FACTORS).is_none());
    }
}
