//! Stacks, levels and what stands on them, as heat sees it.

use super::figures::Figures;
use super::kinds::{Group, Kind, ceramic_conductivity, ceramic_cp, ceramic_emissivity};
use super::rings::{Beside, exposed, out, plan_shape, spread};
use super::{Asked, Missing, generic};
use crate::catalogue::{Furnace, Setter};
use crate::forecast::inputs::{
    LevelHeat, LoadHeat, LoadSensor, OnLevel, PlanShape, SetterHeat, StackHeat,
};
use crate::geometry::P2;
use crate::load::{
    Carrier, Item, Level, LevelHeight, LevelId, PlacementId, Stack, StackId, floor_and_roof,
    lift_mm, pose_on_setter, stack_heights,
};
use crate::part::SizeStage;

/// What stands in the furnace.
pub(super) struct Loaded {
    pub(super) load: LoadHeat,
    pub(super) stacks: Vec<(StackId, Vec<LevelId>)>,
    pub(super) sensors: Vec<PlacementId>,
    /// Volume of setters and posts, m³.
    pub(super) furniture_m3: f64,
}

/// One stack with what is known of its levels.
struct Known<'a> {
    stack: &'a Stack,
    heights: Vec<LevelHeight>,
    setters: Vec<&'a Setter>,
    shape: PlanShape,
    /// Where the middle of that plan lies on the setters, mm.
    middle_mm: P2,
}

/// The load. A setter weighs what its record says, with the posts that carry it and the powder,
/// sheets and pins on it; all of it counts as the setter's material. Rims shade nothing.
pub(super) fn load<'a>(
    asked: &Asked<'a>,
    furnace: &Furnace,
    groups: &[Group<'a>],
    kinds: &[Kind<'a>],
    zones: usize,
    figures: &mut Figures,
    missing: &mut Vec<Missing>,
) -> Loaded {
    let stacks = asked
        .plan
        .load
        .stacks
        .iter()
        .filter(|s| !s.levels.is_empty());
    let known: Vec<Known> = stacks
        .filter_map(|stack| known(asked, stack, furnace, missing))
        .collect();
    let mut out = Loaded {
        load: LoadHeat {
            stacks: Vec::new(),
            kinds: kinds.iter().map(|k| k.heat.clone()).collect(),
            setters: Vec::new(),
            sensors: Vec::new(),
        },
        stacks: Vec::new(),
        sensors: Vec::new(),
        furniture_m3: 0.0,
    };
    // Kinds and groups go together only where no kind is missing, and else there is no forecast.
    if kinds.len() != groups.len() {
        return out;
    }
    let beside: Vec<Beside> = known
        .iter()
        .map(|k| Beside {
            stack: k.stack,
            shape: k.shape,
            middle_mm: k.middle_mm,
            high_mm: k.heights.last().map_or(0.0, |h| h.face_mm),
        })
        .collect();
    let (hearth, roof) = floor_and_roof(&furnace.hot_zone);
    for (s, of) in known.iter().enumerate() {
        let mut levels = Vec::new();
        for (l, (level, setter)) in of.stack.levels.iter().zip(&of.setters).enumerate() {
            let (parts, supports_g) = on_level(asked, groups, kinds, (s, l), of, zones, missing);
            let posts_g = posts_g(asked, level, missing);
            let Some(material) = asked.catalogue.material(&setter.material) else {
                missing.push(Missing::Material(setter.material.clone()));
                continue;
            };
            let mass_kg =
                (figures.of(*setter, "mass_g", "g", setter.mass_g) + posts_g + supports_g) * 1e-3;
            let thickness_m = setter.thickness_mm * 1e-3;
            let face = setter.face_material.as_ref();
            let face = face
                .and_then(|id| asked.catalogue.material(id))
                .unwrap_or(material);
            let heat = SetterHeat {
                // What makes the plate of the network weigh so much.
                density_kg_m3: mass_kg / (of.shape.area_m2() * thickness_m),
                cp: ceramic_cp(material, figures),
                conductivity: ceramic_conductivity(material, figures),
                emissivity: ceramic_emissivity(face, figures),
            };
            out.furniture_m3 += mass_kg * 1e-3 / material.density_g_cm3;
            let setters = &mut out.load.setters;
            let index = setters.iter().position(|h| *h == heat).unwrap_or_else(|| {
                setters.push(heat);
                setters.len() - 1
            });
            let face_mm = of.heights.get(l).map_or(hearth, |h| h.face_mm);
            let above = of.heights.get(l + 1).map_or(roof, |h| h.underside_mm);
            levels.push(LevelHeat {
                setter: index,
                thickness_m,
                clear_m: (above - face_mm).max(0.0) * 1e-3,
                parts,
            });
            sensors(furnace, level, of, (s, l), figures, &mut out);
        }
        let lowest = of.heights.first().map_or(hearth, |h| h.underside_mm);
        out.stacks
            .push((of.stack.id, of.stack.levels.iter().map(|l| l.id).collect()));
        out.load.stacks.push(StackHeat {
            shape: of.shape,
            floor_gap_m: (lowest - hearth).max(0.0) * 1e-3,
            exposed: exposed(s, &beside),
            levels,
        });
    }
    out
}

fn known<'a>(
    asked: &Asked<'a>,
    stack: &'a Stack,
    furnace: &Furnace,
    missing: &mut Vec<Missing>,
) -> Option<Known<'a>> {
    let mut setters: Vec<&Setter> = Vec::new();
    for level in &stack.levels {
        match asked.catalogue.setter(&level.setter) {
            Some(setter) => setters.push(setter),
            None => missing.push(Missing::Setter(level.setter.clone())),
        }
    }
    let mut heights = Vec::new();
    let found = stack_heights(stack, asked.catalogue, furnace);
    for (level, height) in stack.levels.iter().zip(found) {
        match height {
            Ok(height) => heights.push(height),
            Err(_) => {
                let label = asked.plan.level_label(level.id);
                missing.push(Missing::Height(level.id, label));
            }
        }
    }
    let all = setters.len() == stack.levels.len() && heights.len() == stack.levels.len();
    let (shape, middle_mm) = setters
        .iter()
        .map(|s| plan_shape(&s.shape))
        .max_by(|a, b| a.0.area_m2().total_cmp(&b.0.area_m2()))?;
    all.then_some(Known {
        stack,
        heights,
        setters,
        shape,
        middle_mm,
    })
}

fn posts_g(asked: &Asked, level: &Level, missing: &mut Vec<Missing>) -> f64 {
    let Carrier::Posts { post, at_mm } = &level.carrier else {
        return 0.0;
    };
    match asked.catalogue.post(post) {
        Some(post) => post.mass_g * at_mm.len() as f64,
        None => {
            missing.push(Missing::Post(post.clone()));
            0.0
        }
    }
}

/// Kinds on one level, and the furniture under them, g.
fn on_level(
    asked: &Asked,
    groups: &[Group],
    kinds: &[Kind],
    at: (usize, usize),
    of: &Known,
    zones: usize,
    missing: &mut Vec<Missing>,
) -> (Vec<OnLevel>, f64) {
    let mut supports_g = 0.0;
    let mut parts = Vec::new();
    for (k, (group, kind)) in groups.iter().zip(kinds).enumerate() {
        let mut here: Vec<_> = group
            .on
            .iter()
            .filter(|(s, l, _)| (*s, *l) == at)
            .map(|(_, _, p)| *p)
            .collect();
        if here.is_empty() {
            continue;
        }
        // So that sums do not depend on the order in which things were set down.
        here.sort_by(|a, b| {
            let key = |p: &crate::load::Placement| [p.at_mm[0], p.at_mm[1], p.angle_deg];
            let (a, b) = (key(a), key(b));
            a.iter()
                .zip(&b)
                .map(|(x, y)| x.total_cmp(y))
                .find(|o| o.is_ne())
                .unwrap_or(std::cmp::Ordering::Equal)
        });
        let (mut rafts_g, mut height_mm) = (0.0, 0.0);
        let mut by_zone = vec![0.0; zones];
        let outline = kind.sized.at(SizeStage::Green).body.silhouette();
        for placement in &here {
            match kind.support_g(asked, placement) {
                Some((support, raft)) => {
                    supports_g += support;
                    rafts_g += raft;
                }
                None => missing.push(Missing::Support(
                    placement.support.clone().unwrap_or_default(),
                )),
            }
            let lift = lift_mm(placement, asked.catalogue);
            height_mm = f64::max(height_mm, lift + kind.height_mm);
            let mut pose = pose_on_setter(placement, 0.0, 1.0);
            pose.x_mm -= of.middle_mm[0];
            pose.y_mm -= of.middle_mm[1];
            for (sum, share) in by_zone
                .iter_mut()
                .zip(spread(of.shape, &outline, &pose, zones))
            {
                *sum += share;
            }
        }
        let n = here.len() as f64;
        parts.push(OnLevel {
            kind: k,
            mass_kg: (n * kind.entering_g + rafts_g) * 1e-3,
            plan_share: n * kind.outline_mm2 * 1e-6 / of.shape.area_m2(),
            height_m: height_mm * 1e-3,
            by_zone: Some(by_zone),
        });
    }
    (parts, supports_g)
}

fn sensors(
    furnace: &Furnace,
    level: &Level,
    of: &Known,
    (stack, index): (usize, usize),
    figures: &mut Figures,
    loaded: &mut Loaded,
) {
    let from_middle = |at: P2| [at[0] - of.middle_mm[0], at[1] - of.middle_mm[1]];
    for placement in &level.placements {
        if let Item::Sensor { .. } = placement.item {
            loaded.sensors.push(placement.id);
            loaded.load.sensors.push(LoadSensor {
                stack,
                level: index,
                place: out(of.shape, from_middle(placement.at_mm)).clamp(0.0, 1.0),
                heat_j_m2k: figures.or(
                    furnace,
                    "heat.load_sensor_j_m2k",
                    "J/m²K",
                    furnace.heat.load_sensor_j_m2k,
                    generic::LOAD_SENSOR_J_M2K,
                ),
            });
        }
    }
}
