//! How far everything on a setter is from everything else, at the size stage that governs.
//!
//! The broad phase and the collision check are parry3d's; the gap reported is the exact f64
//! distance between the slab bodies. A body contains its part, so a reported gap is never larger
//! than the true one, and smaller by at most the outward tolerance of both outlines.
//!
//! Stages: side by side the hottest governs; inside another part's bore the sintered one may; of
//! two feedstocks one may have shrunk while the other has not, so both mixed cases are looked at.

use super::heights::{LevelHeight, floor_and_roof, stack_heights};
use super::plan::{Carrier, Level, LevelId, Placement, PlacementId, Plan, Stack, StackId};
use super::sized::{Sized, Sizes, lift_mm, peak_c, pose_on_setter};
use crate::catalogue::{Catalogue, Furnace, Setter, Space};
use crate::geometry::{
    Body, Outline, PlacedBody, Pose, Region, Scene, Solid, inside_margin, placed_gap, solids_within,
};
use crate::part::{SizeStage, growth};
use std::collections::BTreeSet;
use std::sync::Arc;

/// Slack of the collision check over the exact distance, mm; the two agree within it.
const AGREEMENT_MM: f64 = 0.02;

/// How far beyond the cap a green gap is still told, mm.
const TOLD_GREEN_MM: f64 = 10.0;

/// Stages of the two bodies in a gap.
pub type Stages = (SizeStage, SizeStage);

/// Two things on the same setter and how near they come.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PairGap {
    /// The one with the lower number.
    pub a: PlacementId,
    /// The other.
    pub b: PlacementId,
    /// Smallest gap over all stages, mm; 0 when they touch, overlap or one is inside the other.
    pub gap_mm: f64,
    /// Stages at which it is smallest.
    pub stages: Stages,
    /// Gap when green, mm; none when it is more than 10 mm beyond the cap.
    pub green_mm: Option<f64>,
}

/// What a thing on a setter is near to, other than another thing on it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Neighbour {
    /// Edge of the usable face; the gap is negative when it hangs over.
    SetterEdge,
    /// The setter above.
    SetterAbove(LevelId),
    /// The roof of the hot zone.
    Roof,
    /// A post that stands on this level and carries the next one, counted from 0.
    Post(usize),
    /// Boundary of the work zone; negative when outside.
    WorkZone,
    /// A forbidden spot of the furnace, by slug.
    Spot(String),
    /// A thermocouple fixed in the furnace, by slug.
    Sensor(String),
}

/// A thing on a setter and something that is not on it.
#[derive(Clone, Debug, PartialEq)]
pub struct ItemGap {
    /// Which.
    pub placement: PlacementId,
    /// What it is near to.
    pub to: Neighbour,
    /// Smallest gap over all stages, mm, signed for edges and zones.
    pub gap_mm: f64,
    /// Stage at which it is smallest.
    pub stage: SizeStage,
}

/// What a setter is near to.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum SetterNeighbour {
    /// Boundary of the hot zone; negative when outside.
    HotZone,
    /// A setter of another stack.
    Setter(LevelId),
    /// A forbidden spot, by slug.
    Spot(String),
    /// Roof of the hot zone above its rim.
    Roof,
    /// A thermocouple fixed in the furnace, by slug.
    Sensor(String),
}

/// A setter and what it is near to, grown at the highest setpoint.
#[derive(Clone, Debug, PartialEq)]
pub struct SetterGap {
    /// Level of the setter.
    pub level: LevelId,
    /// What it is near to.
    pub to: SetterNeighbour,
    /// Gap, mm, signed for zones.
    pub gap_mm: f64,
}

/// One standing thing, prepared for all stages.
#[derive(Clone, Debug)]
pub struct Standing {
    /// Which.
    pub id: PlacementId,
    feedstock: Option<String>,
    stages: [StandingAt; 3],
    /// Sintered while the setter is hot: beside something that has not shrunk yet.
    shrunk_hot: StandingAt,
}

#[derive(Clone, Debug)]
struct StandingAt {
    placed: PlacedBody,
    solid: Arc<Solid>,
    pose: Pose,
}

impl Standing {
    /// Prepares one placement. `growths` are the setter's at the three stages.
    pub fn new(placement: &Placement, sized: &Sized, lift_mm: f64, growths: [f64; 3]) -> Standing {
        let at = |stage: SizeStage, growth: f64| {
            let body = sized.at(stage);
            let pose = pose_on_setter(placement, lift_mm, growth);
            StandingAt {
                placed: PlacedBody::new(&body.body, &pose),
                solid: Arc::clone(&body.solid),
                pose,
            }
        };
        let stages = std::array::from_fn(|i| at(SizeStage::ALL[i], growths[i]));
        let [_, hot, _] = growths;
        let shrunk_hot = at(SizeStage::Sintered, hot);
        Standing {
            id: placement.id,
            feedstock: sized.feedstock.clone(),
            stages,
            shrunk_hot,
        }
    }

    fn at(&self, stage: SizeStage) -> &StandingAt {
        &self.stages[stage as usize]
    }

    /// Placed outlines at a stage with the heights from and to which they reach above the face.
    pub fn placed(&self, stage: SizeStage) -> &PlacedBody {
        &self.at(stage).placed
    }

    /// Exact gap at one pair of stages below a cap, if the collision check sees one.
    fn gap(&self, other: &Standing, stages: Stages, cap_mm: f64) -> Option<f64> {
        // Both stand on the same setter, so both are carried by the same growth of it.
        let (a, b) = match stages {
            (SizeStage::Hottest, SizeStage::Sintered) => (self.at(stages.0), &other.shrunk_hot),
            (SizeStage::Sintered, SizeStage::Hottest) => (&self.shrunk_hot, other.at(stages.1)),
            _ => (self.at(stages.0), other.at(stages.1)),
        };
        if !solids_within(&a.solid, &a.pose, &b.solid, &b.pose, cap_mm + AGREEMENT_MM) {
            return None;
        }
        placed_gap(&a.placed, &b.placed, cap_mm).map(|gap| gap.gap_mm)
    }

    /// Smallest gap over the stages below a cap.
    pub fn pair_gap(&self, other: &Standing, cap_mm: f64) -> Option<PairGap> {
        use SizeStage::{Green, Hottest, Sintered};
        if other.id < self.id {
            return other.pair_gap(self, cap_mm);
        }
        let green = self.gap(other, (Green, Green), cap_mm);
        let mut best = green.map(|gap| (gap, (Green, Green)));
        let mixed = self.feedstock != other.feedstock;
        let more: &[Stages] = if mixed {
            &[
                (Hottest, Hottest),
                (Sintered, Sintered),
                (Hottest, Sintered),
                (Sintered, Hottest),
            ]
        } else {
            &[(Hottest, Hottest), (Sintered, Sintered)]
        };
        for &stages in more {
            if let Some(gap) = self.gap(other, stages, cap_mm)
                && best.is_none_or(|(least, _)| gap < least)
            {
                best = Some((gap, stages));
            }
        }
        let (gap_mm, stages) = best?;
        // What growth takes is told beside it, so the green gap may lie beyond the cap.
        let green = green.or_else(|| self.gap(other, (Green, Green), cap_mm + TOLD_GREEN_MM));
        Some(PairGap {
            a: self.id,
            b: other.id,
            gap_mm,
            stages,
            green_mm: green,
        })
    }
}

/// Everything on one setter, ready to be asked for gaps.
pub struct LevelScene {
    standing: Vec<Standing>,
    scenes: [Scene; 3],
    /// Everything shrunk on the hot setter.
    shrunk_hot: Scene,
    mixed: bool,
    growths: [f64; 3],
    /// Placements whose part, feedstock or material is unknown: they have no body.
    pub without_body: Vec<PlacementId>,
}

impl LevelScene {
    /// Prepares a level.
    pub fn new(level: &Level, plan: &Plan, sizes: &Sizes, catalogue: &Catalogue) -> LevelScene {
        let mut found = Vec::new();
        let mut without_body = Vec::new();
        for placement in &level.placements {
            match sizes.of(&placement.item, catalogue) {
                Some(sized) => found.push((placement, sized)),
                None => without_body.push(placement.id),
            }
        }
        let growths = setter_growths(level, plan, catalogue, found.iter().map(|f| f.1.as_ref()));
        let standing = found
            .iter()
            .map(|(p, sized)| Standing::new(p, sized, lift_mm(p, catalogue), growths))
            .collect();
        LevelScene {
            without_body,
            ..LevelScene::of(standing, growths)
        }
    }

    /// A scene of some things alone, on a setter with these growths at the three stages.
    pub fn of(standing: Vec<Standing>, growths: [f64; 3]) -> LevelScene {
        let scene = |pick: &dyn Fn(&Standing) -> &StandingAt| {
            let all: Vec<_> = standing
                .iter()
                .map(|s| (Arc::clone(&pick(s).solid), pick(s).pose))
                .collect();
            Scene::new(&all)
        };
        let scenes = SizeStage::ALL.map(|stage| scene(&|s: &Standing| s.at(stage)));
        let shrunk_hot = scene(&|s: &Standing| &s.shrunk_hot);
        let mut feedstocks = standing.iter().map(|s| &s.feedstock);
        let first = feedstocks.next();
        let mixed = feedstocks.any(|feedstock| Some(feedstock) != first);
        LevelScene {
            standing,
            scenes,
            shrunk_hot,
            mixed,
            growths,
            without_body: Vec::new(),
        }
    }

    /// What stands on the level.
    pub fn standing(&self) -> &[Standing] {
        &self.standing
    }

    /// Growth of the setter at the three stages.
    pub fn growths(&self) -> [f64; 3] {
        self.growths
    }

    /// All pairs nearer than the cap, by their numbers.
    pub fn pair_gaps(&self, cap_mm: f64) -> Vec<PairGap> {
        let mut near: BTreeSet<(usize, usize)> = BTreeSet::new();
        for scene in &self.scenes {
            near.extend(scene.pairs(cap_mm + AGREEMENT_MM));
        }
        if self.mixed {
            for (i, standing) in self.standing.iter().enumerate() {
                let across = self.near_across(standing, cap_mm);
                near.extend(
                    across
                        .into_iter()
                        .filter(|j| *j != i)
                        .map(|j| (i.min(j), i.max(j))),
                );
            }
        }
        let mut gaps: Vec<PairGap> = near
            .into_iter()
            .filter_map(|(i, j)| {
                self.standing
                    .get(i)?
                    .pair_gap(self.standing.get(j)?, cap_mm)
            })
            .collect();
        gaps.sort_by_key(|gap| (gap.a, gap.b));
        gaps
    }

    /// Gaps of one thing, where it stands or is being dragged to, to everything else on the level
    /// except `skip` (itself and what is dragged with it).
    pub fn gaps_of(&self, moving: &Standing, skip: &[PlacementId], cap_mm: f64) -> Vec<PairGap> {
        let mut near: BTreeSet<usize> = BTreeSet::new();
        for (scene, stage) in self.scenes.iter().zip(SizeStage::ALL) {
            let at = moving.at(stage);
            near.extend(scene.near(&at.solid, &at.pose, cap_mm + AGREEMENT_MM));
        }
        if self.mixed
            || self
                .standing
                .iter()
                .any(|s| s.feedstock != moving.feedstock)
        {
            near.extend(self.near_across(moving, cap_mm));
        }
        near.into_iter()
            .filter_map(|i| self.standing.get(i))
            .filter(|other| other.id != moving.id && !skip.contains(&other.id))
            .filter_map(|other| moving.pair_gap(other, cap_mm))
            .collect()
    }
}

impl LevelScene {
    /// What is near when one has shrunk and the other has not.
    fn near_across(&self, standing: &Standing, cap_mm: f64) -> Vec<usize> {
        let margin = cap_mm + AGREEMENT_MM;
        let [_, hottest, _] = &self.scenes;
        let (hot, shrunk) = (standing.at(SizeStage::Hottest), &standing.shrunk_hot);
        let mut near = hottest.near(&shrunk.solid, &shrunk.pose, margin);
        near.extend(self.shrunk_hot.near(&hot.solid, &hot.pose, margin));
        near
    }
}

/// Growth of a level's setter at the three stages. Where feedstocks differ, the coolest hottest
/// stage is taken: the setter then carries its parts apart the least.
fn setter_growths<'a>(
    level: &Level,
    plan: &Plan,
    catalogue: &Catalogue,
    sized: impl Iterator<Item = &'a Sized>,
) -> [f64; 3] {
    let hottest_c = sized.map(|s| s.hottest_c).fold(peak_c(plan), f64::min);
    let hot = setter_growth(level, catalogue, hottest_c);
    [1.0, hot, 1.0]
}

fn setter_growth(level: &Level, catalogue: &Catalogue, at_c: f64) -> f64 {
    catalogue
        .setter(&level.setter)
        .and_then(|setter| catalogue.material(&setter.material))
        .map_or(1.0, |material| growth(material.expansion_per_k, at_c))
}

/// Outline of a setter's plate.
pub fn setter_outline(setter: &Setter) -> Outline {
    setter.shape.outline()
}

/// The face that parts may use: the plate less its rim, grown.
pub fn usable_face(setter: &Setter, growth: f64) -> Region {
    setter.face().scaled(growth)
}

/// A space seen from above.
pub fn space_region(space: &Space) -> Region {
    match *space {
        Space::Box {
            width_mm, depth_mm, ..
        } => Region::Rectangle { width_mm, depth_mm },
        Space::Cylinder { diameter_mm, .. } => Region::Disc { diameter_mm },
    }
}

/// Everything that [`clearances`] found below its caps.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Clearances {
    /// Between things on the same setter.
    pub pairs: Vec<PairGap>,
    /// Between things and what is not on their setter.
    pub items: Vec<ItemGap>,
    /// Of setters.
    pub setters: Vec<SetterGap>,
    /// Placements without a body.
    pub without_body: Vec<PlacementId>,
    /// Levels that could not be looked at in full: no setter record, or no height.
    pub without_height: Vec<LevelId>,
    /// Things looked at.
    pub looked_at: usize,
}

/// How far to look, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Caps {
    /// Between things on a setter, and to posts and spots.
    pub gap_mm: f64,
    /// To the edge of the usable face and the work zone.
    pub edge_mm: f64,
    /// Head room under a setter.
    pub head_mm: f64,
    /// Head room under the roof.
    pub roof_mm: f64,
    /// To a fixed thermocouple.
    pub sensor_mm: f64,
    /// Setter to hot zone and to other setters.
    pub zone_mm: f64,
}

/// What stands on one level, and how near it comes to each other. It does not depend on where the
/// level stands.
pub struct OnLevel {
    /// What stands there.
    pub scene: LevelScene,
    /// Between things on it.
    pub pairs: Vec<PairGap>,
}

impl OnLevel {
    /// Looks at one level by itself.
    pub fn new(
        level: &Level,
        plan: &Plan,
        catalogue: &Catalogue,
        sizes: &Sizes,
        caps: &Caps,
    ) -> OnLevel {
        let scene = LevelScene::new(level, plan, sizes, catalogue);
        let pairs = scene.pair_gaps(caps.gap_mm);
        OnLevel { scene, pairs }
    }
}

/// Where a level stands: in which stack, at which place, and between which heights.
#[derive(Clone, Copy, Debug)]
pub struct Site<'a> {
    /// Its stack.
    pub stack: &'a Stack,
    /// The level.
    pub level: &'a Arc<Level>,
    /// Its height; none where something below it or in it is unknown.
    pub height: Option<LevelHeight>,
    /// The level above and its height, where there is one.
    pub above: Option<(&'a Level, Option<LevelHeight>)>,
}

/// All levels of a plan with where they stand, stack by stack, bottom first.
pub fn sites<'a>(plan: &'a Plan, catalogue: &Catalogue, furnace: &Furnace) -> Vec<Site<'a>> {
    let mut sites = Vec::new();
    for stack in &plan.load.stacks {
        let heights = stack_heights(stack, catalogue, furnace);
        let height = |i: usize| heights.get(i).copied().and_then(Result::ok);
        for (i, level) in stack.levels.iter().enumerate() {
            let next = stack.levels.get(i + 1);
            sites.push(Site {
                stack,
                level,
                height: height(i),
                above: next.map(|next| (next.as_ref(), height(i + 1))),
            });
        }
    }
    sites
}

/// What one level and the things on it are near to in the furnace.
#[derive(Clone, Debug, PartialEq)]
pub struct AroundLevel {
    /// Between things and what is not on their setter.
    pub items: Vec<ItemGap>,
    /// Of its setter, other stacks not yet looked at.
    pub setters: Vec<SetterGap>,
    plate: PlacedBody,
}

impl AroundLevel {
    /// Looks around one level; none where its height or its setter's record is unknown.
    pub fn new(
        scene: &LevelScene,
        site: &Site,
        plan: &Plan,
        catalogue: &Catalogue,
        furnace: &Furnace,
        caps: &Caps,
    ) -> Option<AroundLevel> {
        let around = Around::new(site, plan, catalogue, furnace)?;
        let items = around.items(scene, site.above, caps);
        let (setters, plate) = around.setter_gaps(caps);
        Some(AroundLevel {
            items,
            setters,
            plate,
        })
    }
}

/// Gaps of the things in a scene to what is not on their setter; none where the height or the
/// setter's record of the level is unknown.
pub fn item_gaps(
    scene: &LevelScene,
    site: &Site,
    plan: &Plan,
    catalogue: &Catalogue,
    furnace: &Furnace,
    caps: &Caps,
) -> Option<Vec<ItemGap>> {
    let around = Around::new(site, plan, catalogue, furnace)?;
    Some(around.items(scene, site.above, caps))
}

/// Looks at the whole load.
pub fn clearances(
    plan: &Plan,
    catalogue: &Catalogue,
    furnace: &Furnace,
    sizes: &Sizes,
    caps: &Caps,
) -> Clearances {
    let sites = sites(plan, catalogue, furnace);
    let made = |site: &Site| {
        let on = OnLevel::new(site.level, plan, catalogue, sizes, caps);
        let around = AroundLevel::new(&on.scene, site, plan, catalogue, furnace, caps);
        (Arc::new(on), around.map(Arc::new))
    };
    // No level needs another one's results: half of them are made beside the others.
    let (lower, upper) = sites.split_at(sites.len() / 2);
    let made = std::thread::scope(|scope| {
        let upper = scope.spawn(|| upper.iter().map(made).collect::<Vec<_>>());
        let mut all: Vec<_> = lower.iter().map(made).collect();
        match upper.join() {
            Ok(upper) => all.extend(upper),
            Err(panic) => std::panic::resume_unwind(panic),
        }
        all
    });
    let levels = sites.into_iter().zip(made);
    let levels: Vec<LevelResults> = levels
        .map(|(site, (on, around))| (site, on, around))
        .collect();
    clearances_of(&levels, caps)
}

/// A level's results with where it stands.
pub type LevelResults<'a> = (Site<'a>, Arc<OnLevel>, Option<Arc<AroundLevel>>);

/// Puts the levels' results together, in the order of [`sites`], and looks at the setters of
/// different stacks.
pub fn clearances_of(levels: &[LevelResults], caps: &Caps) -> Clearances {
    let mut out = Clearances::default();
    let mut plates: Vec<(StackId, LevelId, &PlacedBody)> = Vec::new();
    for (site, on, around) in levels {
        out.looked_at += on.scene.standing.len();
        out.without_body.extend(&on.scene.without_body);
        out.pairs.extend(&on.pairs);
        match around {
            Some(around) => {
                out.items.extend(around.items.iter().cloned());
                out.setters.extend(around.setters.iter().cloned());
                plates.push((site.stack.id, site.level.id, &around.plate));
            }
            None => out.without_height.push(site.level.id),
        }
    }
    setters_of_other_stacks(&plates, caps, &mut out);
    out
}

fn setters_of_other_stacks(
    plates: &[(StackId, LevelId, &PlacedBody)],
    caps: &Caps,
    out: &mut Clearances,
) {
    for (i, (stack, level, plate)) in plates.iter().enumerate() {
        for (other_stack, other, other_plate) in plates.iter().skip(i + 1) {
            if stack == other_stack {
                continue;
            }
            if let Some(gap) = placed_gap(plate, other_plate, caps.zone_mm) {
                let to = SetterNeighbour::Setter(*other);
                out.setters.push(SetterGap {
                    level: *level,
                    to,
                    gap_mm: gap.gap_mm,
                });
            }
        }
    }
}

/// One level and what is around it.
struct Around<'a> {
    plan: &'a Plan,
    catalogue: &'a Catalogue,
    furnace: &'a Furnace,
    stack: &'a Stack,
    level: &'a Level,
    setter: &'a Setter,
    height: LevelHeight,
}

impl<'a> Around<'a> {
    fn new(
        site: &Site<'a>,
        plan: &'a Plan,
        catalogue: &'a Catalogue,
        furnace: &'a Furnace,
    ) -> Option<Around<'a>> {
        Some(Around {
            plan,
            catalogue,
            furnace,
            stack: site.stack,
            level: site.level,
            setter: catalogue.setter(&site.level.setter)?,
            height: site.height?,
        })
    }

    fn items(
        &self,
        scene: &LevelScene,
        above: Option<(&Level, Option<LevelHeight>)>,
        caps: &Caps,
    ) -> Vec<ItemGap> {
        let mut items = Vec::new();
        let posts = above.map_or_else(Vec::new, |(next, _)| self.posts_of(next, scene.growths()));
        let spots = self.spots();
        let face = self.setter.face();
        let faces = scene.growths().map(|growth| face.clone().scaled(growth));
        for standing in scene.standing() {
            let mut push = |to: Neighbour, found: Option<(f64, SizeStage)>, cap: f64| {
                if let Some((gap_mm, stage)) = found
                    && gap_mm < cap
                {
                    items.push(ItemGap {
                        placement: standing.id,
                        to,
                        gap_mm,
                        stage,
                    });
                }
            };
            let edge = least(SizeStage::ALL, |stage| {
                outlines_inside(standing.placed(stage), &faces[stage as usize])
            });
            push(Neighbour::SetterEdge, edge, caps.edge_mm);
            match above {
                Some((next, Some(next_height))) => {
                    let room = next_height.underside_mm - self.height.face_mm;
                    let found = self.head_room(standing, scene, room, next);
                    push(Neighbour::SetterAbove(next.id), found, caps.head_mm);
                }
                Some((_, None)) => {}
                None => push(
                    Neighbour::Roof,
                    self.roof_room(standing, scene),
                    caps.roof_mm,
                ),
            }
            for (i, post) in posts.iter().enumerate() {
                let found = least(SizeStage::ALL, |stage| {
                    placed_gap(standing.placed(stage), &post[stage as usize], caps.gap_mm)
                        .map(|gap| gap.gap_mm)
                });
                push(Neighbour::Post(i), found, caps.gap_mm);
            }
            push(Neighbour::WorkZone, self.work_zone(standing), caps.edge_mm);
            for (to, spot, cap) in &spots {
                let cap = if matches!(to, Neighbour::Sensor(_)) {
                    caps.sensor_mm
                } else {
                    *cap
                };
                let found = least([SizeStage::Green, SizeStage::Hottest], |stage| {
                    placed_gap(standing.placed(stage), spot, cap).map(|gap| gap.gap_mm)
                });
                push(to.clone(), found, cap);
            }
        }
        items
    }

    /// Posts that stand on this level and carry the next, at the three stages.
    fn posts_of(&self, next: &Level, growths: [f64; 3]) -> Vec<[PlacedBody; 3]> {
        let Carrier::Posts { post, at_mm } = &next.carrier else {
            return Vec::new();
        };
        let Some(post) = self.catalogue.post(post) else {
            return Vec::new();
        };
        let body = Body::cylinder(post.diameter_mm, post.length_mm);
        at_mm
            .iter()
            .map(|[x, y]| growths.map(|g| PlacedBody::new(&body, &Pose::at(x * g, y * g))))
            .collect()
    }

    /// Forbidden spots and fixed thermocouples, seen from this setter's face and centre.
    fn spots(&self) -> Vec<(Neighbour, PlacedBody, f64)> {
        let [sx, sy] = self.stack.at_mm;
        let place = |body: &Body, x: f64, y: f64, z: f64| {
            let pose = Pose {
                x_mm: x - sx,
                y_mm: y - sy,
                z_mm: z - self.height.face_mm,
                angle_deg: 0.0,
            };
            PlacedBody::new(body, &pose)
        };
        let mut spots = Vec::new();
        for spot in &self.furnace.forbidden {
            let body = Body::cylinder(2.0 * spot.radius_mm, spot.z1_mm - spot.z0_mm);
            let placed = place(&body, spot.at_mm[0], spot.at_mm[1], spot.z0_mm);
            spots.push((Neighbour::Spot(spot.id.clone()), placed, AGREEMENT_MM));
        }
        for sensor in &self.furnace.sensors {
            if let Some([x, y, z]) = sensor.at_mm {
                let tip = super::sized::SENSOR_DIAMETER_MM;
                let body = Body::cylinder(tip, tip);
                let placed = place(&body, x, y, z - tip / 2.0);
                spots.push((Neighbour::Sensor(sensor.id.clone()), placed, 0.0));
            }
        }
        spots
    }

    fn head_room(
        &self,
        standing: &Standing,
        scene: &LevelScene,
        room_mm: f64,
        next: &Level,
    ) -> Option<(f64, SizeStage)> {
        // The room grows with what carries the next setter.
        let carrier_growth = |stage: SizeStage| match (&next.carrier, stage) {
            (Carrier::Posts { post, .. }, SizeStage::Hottest) => self
                .catalogue
                .post(post)
                .and_then(|post| self.catalogue.material(&post.material))
                .map_or(1.0, |m| growth(m.expansion_per_k, self.hottest_c(scene))),
            (Carrier::Rim, stage) => scene.growths()[stage as usize],
            _ => 1.0,
        };
        least(SizeStage::ALL, |stage| {
            let (_, top) = standing.placed(stage).heights()?;
            Some(room_mm * carrier_growth(stage) - top)
        })
    }

    fn hottest_c(&self, scene: &LevelScene) -> f64 {
        // From the setter's growth back to the temperature it was taken at.
        let expansion = self
            .catalogue
            .material(&self.setter.material)
            .map_or(0.0, |material| material.expansion_per_k);
        if expansion > 0.0 {
            crate::part::ROOM_C + (scene.growths()[1] - 1.0) / expansion
        } else {
            crate::part::ROOM_C
        }
    }

    /// Room under the roof: the stack grows, the roof is taken as fixed.
    fn roof_room(&self, standing: &Standing, scene: &LevelScene) -> Option<(f64, SizeStage)> {
        let (hearth, roof) = floor_and_roof(&self.furnace.hot_zone);
        least(SizeStage::ALL, |stage| {
            let (_, top) = standing.placed(stage).heights()?;
            let face = (self.height.face_mm - hearth) * scene.growths()[stage as usize];
            Some(roof - hearth - face - top)
        })
    }

    fn work_zone(&self, standing: &Standing) -> Option<(f64, SizeStage)> {
        let zone = &self.furnace.work_zone;
        let region = space_region(zone);
        let (floor, roof) = floor_and_roof(zone);
        least([SizeStage::Green, SizeStage::Hottest], |stage| {
            let placed = standing.placed(stage);
            let (z0, z1) = placed.heights()?;
            let moved = |outline: &Outline| outline.moved(self.stack.at_mm[0], self.stack.at_mm[1]);
            let plan = placed
                .outlines()
                .filter_map(|(_, _, outline)| inside_margin(&region, &moved(outline)))
                .fold(f64::INFINITY, f64::min);
            let face = self.height.face_mm;
            Some(plan.min(face + z0 - floor).min(roof - face - z1))
        })
    }

    /// The setter against the hot zone, its roof and forbidden spots; gives its plate, grown.
    fn setter_gaps(&self, caps: &Caps) -> (Vec<SetterGap>, PlacedBody) {
        let mut setters = Vec::new();
        let grown = setter_growth(self.level, self.catalogue, peak_c(self.plan));
        let outline = setter_outline(self.setter).scaled(grown, grown);
        let pose = Pose {
            x_mm: self.stack.at_mm[0],
            y_mm: self.stack.at_mm[1],
            z_mm: self.height.underside_mm,
            angle_deg: 0.0,
        };
        let height = self.height.rim_mm - self.height.underside_mm;
        let plate = PlacedBody::new(&Body::prism(outline.clone(), height), &pose);
        let mut push = |to: SetterNeighbour, gap_mm: f64| {
            setters.push(SetterGap {
                level: self.level.id,
                to,
                gap_mm,
            });
        };
        let region = space_region(&self.furnace.hot_zone);
        let standing = outline.moved(self.stack.at_mm[0], self.stack.at_mm[1]);
        if let Some(margin) = inside_margin(&region, &standing)
            && margin < caps.zone_mm
        {
            push(SetterNeighbour::HotZone, margin);
        }
        let (hearth, roof) = floor_and_roof(&self.furnace.hot_zone);
        let room = roof - hearth - (self.height.rim_mm - hearth) * grown;
        if room < caps.zone_mm {
            push(SetterNeighbour::Roof, room);
        }
        for spot in &self.furnace.forbidden {
            let body = Body::cylinder(2.0 * spot.radius_mm, spot.z1_mm - spot.z0_mm);
            let at = Pose {
                x_mm: spot.at_mm[0],
                y_mm: spot.at_mm[1],
                z_mm: spot.z0_mm,
                angle_deg: 0.0,
            };
            if let Some(gap) = placed_gap(&plate, &PlacedBody::new(&body, &at), AGREEMENT_MM) {
                push(SetterNeighbour::Spot(spot.id.clone()), gap.gap_mm);
            }
        }
        for sensor in &self.furnace.sensors {
            let Some([x_mm, y_mm, z]) = sensor.at_mm else {
                continue;
            };
            let tip = super::sized::SENSOR_DIAMETER_MM;
            let at = Pose {
                x_mm,
                y_mm,
                z_mm: z - tip / 2.0,
                angle_deg: 0.0,
            };
            let tip = PlacedBody::new(&Body::prism(Outline::disc(tip), tip), &at);
            if let Some(gap) = placed_gap(&plate, &tip, caps.sensor_mm) {
                push(SetterNeighbour::Sensor(sensor.id.clone()), gap.gap_mm);
            }
        }
        (setters, plate)
    }
}

/// Smallest value over some stages, with its stage.
fn least(
    stages: impl IntoIterator<Item = SizeStage>,
    value: impl Fn(SizeStage) -> Option<f64>,
) -> Option<(f64, SizeStage)> {
    stages
        .into_iter()
        .filter_map(|stage| Some((value(stage)?, stage)))
        .min_by(|a, b| a.0.total_cmp(&b.0))
}

/// Smallest margin of all slabs inside a region.
fn outlines_inside(placed: &PlacedBody, region: &Region) -> Option<f64> {
    placed
        .outlines()
        .filter_map(|(_, _, outline)| inside_margin(region, outline))
        .min_by(f64::total_cmp)
}
