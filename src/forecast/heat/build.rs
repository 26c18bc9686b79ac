//! From a load to its network.

use super::network::{Block, Exchange, Gap, Link, Network, NodeAt, Place, ToFace};
use super::radiosity::{Surface, exchange};
use super::views::rings;
use crate::forecast::constants::{CONTACT_GAP_M, SIGMA};
use crate::forecast::curve::Grid;
use crate::forecast::inputs::{
    Case, Emissivity, LevelHeat, LoadHeat, OnLevel, PlanShape, StackHeat,
};

/// Sections above this have a core node, m: half section over 8 mm.
pub const CORE_SECTION_M: f64 = 0.016;
/// Least clear height of a gap, m, so that views stay defined however high the parts are.
const GAP_MIN_M: f64 = 1e-4;
/// Emissivity of the hearth's surface, as the chamber's.
const COVER_MAX: f64 = 0.98;

impl Network {
    /// Builds it. `face_emissivity` is that of the chamber (or the retort's inside). Missing kinds
    /// or materials, and levels without extent, are left out; none if nothing is left.
    pub fn build(
        load: &LoadHeat,
        face_emissivity: f64,
        zones: usize,
        case: &Case,
    ) -> Option<Network> {
        let zones = zones.clamp(1, 16);
        let mut net = Network {
            nodes: Vec::new(),
            mass_kg: Vec::new(),
            blocks: Vec::new(),
            wet_m2: Vec::new(),
            cp_of: Vec::new(),
            cp: Vec::new(),
            conductivity: Vec::new(),
            gaps: Vec::new(),
            contacts: Vec::new(),
            solids: Vec::new(),
            layers: Vec::new(),
            to_face: Vec::new(),
            rims: Vec::new(),
            zones,
            changes: load.kinds.iter().any(|k| {
                let e = k.emissivity;
                e.brown != e.reduced || e.reduced != e.sintered
            }),
        };
        for kind in &load.kinds {
            net.cp.push(Grid::from_curve(&kind.cp));
            net.conductivity.push(Grid::from_curve(&kind.conductivity));
        }
        for setter in &load.setters {
            net.cp.push(Grid::from_curve(&setter.cp));
            net.conductivity
                .push(Grid::from_curve(&setter.conductivity));
        }
        for (s, stack) in load.stacks.iter().enumerate() {
            net.stack(load, s, stack, face_emissivity, case)?;
        }
        let sound = net.mass_kg.iter().all(|m| m.is_finite() && *m > 0.0);
        (!net.is_empty() && sound).then_some(net)
    }

    fn stack(
        &mut self,
        load: &LoadHeat,
        index: usize,
        stack: &StackHeat,
        face_emissivity: f64,
        case: &Case,
    ) -> Option<()> {
        let plan = Plan::new(stack, self.zones)?;
        let first = self.blocks.len();
        for (l, level) in stack.levels.iter().enumerate() {
            self.level(load, index, l, level, &plan, case)?;
        }
        let blocks: Vec<Block> = self.blocks.get(first..)?.to_vec();
        let count = blocks.len();
        // Gap 0: hearth, lowest underside.
        if let (Some(block), Some(level)) = (blocks.first(), stack.levels.first()) {
            let h = stack.floor_gap_m.max(GAP_MIN_M);
            let below = Below::Floor(face_emissivity);
            self.gap(
                load,
                &plan,
                below,
                Some((block, level)),
                h,
                face_emissivity,
                case,
            )?;
            for z in 0..self.zones {
                let node = block.setters() + z;
                self.to_face.push(ToFace {
                    node,
                    area: plan.zone_m2,
                    distance: h,
                    roof: false,
                });
                self.sideways(node, plan.zone_m2, h, z, &plan);
            }
        }
        for (l, (block, level)) in blocks.iter().zip(&stack.levels).enumerate() {
            let above = blocks.get(l + 1).zip(stack.levels.get(l + 1));
            let covered: f64 = level
                .parts
                .iter()
                .map(|p| p.plan_share.clamp(0.0, COVER_MAX) * p.height_m.max(0.0))
                .sum();
            let h = (level.clear_m - covered).max(GAP_MIN_M);
            // The top gap has its full height.
            let h = if above.is_some() {
                h
            } else {
                level.clear_m.max(GAP_MIN_M)
            };
            self.gap(
                load,
                &plan,
                Below::Level(block, level),
                above,
                h,
                face_emissivity,
                case,
            )?;
            let setter_material = load.setters.get(level.setter)?;
            let emissivity =
                (setter_material.emissivity + case.setter_emissivity).clamp(0.02, 0.98);
            let edge = block.setters() + self.zones - 1;
            let rim = emissivity * plan.perimeter_m * level.thickness_m * plan.exposed * SIGMA;
            self.rims.push((edge, rim));
            let surfaces = plan.lower(load, level, self.zones);
            for (i, surface) in surfaces.iter().enumerate() {
                let node = block.start + block.cores + i;
                if surface.area_m2 <= 0.0 {
                    continue;
                }
                match above {
                    Some((up, _)) => {
                        self.layers.push(Link {
                            a: node,
                            b: up.setters() + surface.zone,
                            size: surface.area_m2,
                            table: 0,
                            distance: h,
                        });
                        self.sideways(node, surface.area_m2, h, surface.zone, &plan);
                    }
                    None => self.to_face.push(ToFace {
                        node,
                        area: surface.area_m2,
                        distance: h,
                        roof: true,
                    }),
                }
            }
            if let Some((up, _)) = above {
                for z in 0..self.zones {
                    self.sideways(up.setters() + z, plan.zone_m2, h, z, &plan);
                }
            }
            if l + 1 == count
                && let Some(b) = self.blocks.last_mut()
            {
                b.joined = false;
            }
        }
        Some(())
    }

    /// Nodes of a level, with conduction along the setter, contact and cores.
    fn level(
        &mut self,
        load: &LoadHeat,
        stack: usize,
        index: usize,
        level: &LevelHeat,
        plan: &Plan,
        case: &Case,
    ) -> Option<()> {
        let n = self.zones;
        let material = load.setters.get(level.setter)?;
        let start = self.nodes.len();
        let at = |zone, place| NodeAt {
            stack,
            level: index,
            zone,
            place,
        };
        let mut cores = 0;
        for on in &level.parts {
            let kind = load.kinds.get(on.kind)?;
            if kind.section_m > CORE_SECTION_M {
                for z in occupied(on, n) {
                    let mass = mass_in(on, z, n) * case.mass * 0.5;
                    self.node(at(z, Place::Core(on.kind)), mass, on.kind, 0.0);
                    cores += 1;
                }
            }
        }
        for on in &level.parts {
            let kind = load.kinds.get(on.kind)?;
            let part = if kind.section_m > CORE_SECTION_M {
                0.5
            } else {
                1.0
            };
            for z in occupied(on, n) {
                let mass = mass_in(on, z, n) * case.mass * part;
                let wet = share_in(on, z, n) * plan.zone_m2 / kind.plan_over_wet.clamp(0.01, 1.0);
                self.node(at(z, Place::Part(on.kind)), mass, on.kind, wet);
            }
        }
        let setters = self.nodes.len();
        for z in 0..n {
            let mass = plan.zone_m2 * level.thickness_m * material.density_kg_m3 * case.mass;
            let bare: f64 = 1.0 - level.parts.iter().map(|p| share_in(p, z, n)).sum::<f64>();
            let wet = plan.zone_m2 * (1.0 + bare.max(0.0));
            self.node(
                at(z, Place::Setter),
                mass,
                load.kinds.len() + level.setter,
                wet,
            );
        }
        let mut core = start;
        let mut part = start + cores;
        for on in &level.parts {
            let kind = load.kinds.get(on.kind)?;
            let thick = kind.section_m > CORE_SECTION_M;
            for z in occupied(on, n) {
                let area = share_in(on, z, n) * plan.zone_m2;
                self.contacts.push(Link {
                    a: part,
                    b: setters + z,
                    size: area * kind.footprint_share.clamp(0.0, 1.0),
                    table: 0,
                    distance: CONTACT_GAP_M,
                });
                if thick {
                    self.solids.push(Link {
                        a: core,
                        b: part,
                        // Section 4.12: f_k (A/zones) k/(L/2), L the half section.
                        size: area.max(1e-9) / (kind.section_m / 4.0),
                        table: on.kind,
                        distance: 0.0,
                    });
                    core += 1;
                }
                part += 1;
            }
        }
        for z in 1..n {
            self.solids.push(Link {
                a: setters + z - 1,
                b: setters + z,
                size: plan.along(z) * level.thickness_m,
                table: load.kinds.len() + level.setter,
                distance: 0.0,
            });
        }
        self.blocks.push(Block {
            start,
            len: self.nodes.len() - start,
            cores,
            zones: n,
            joined: true,
        });
        Some(())
    }

    fn node(&mut self, at: NodeAt, mass_kg: f64, table: usize, wet_m2: f64) {
        self.nodes.push(at);
        // Next to nothing still has a node; a gram keeps the equations regular.
        self.mass_kg.push(if mass_kg.is_finite() {
            mass_kg.max(1e-3)
        } else {
            mass_kg
        });
        self.cp_of.push(table);
        self.wet_m2.push(wet_m2);
    }

    fn sideways(&mut self, node: usize, area_m2: f64, h_m: f64, zone: usize, plan: &Plan) {
        self.to_face.push(ToFace {
            node,
            area: plan.perimeter_m * h_m * plan.exposed * area_m2 / plan.area_m2,
            distance: plan.to_edge(zone),
            roof: false,
        });
    }

    #[allow(clippy::too_many_arguments)]
    fn gap(
        &mut self,
        load: &LoadHeat,
        plan: &Plan,
        below: Below,
        above: Option<(&Block, &LevelHeat)>,
        h_m: f64,
        face_emissivity: f64,
        case: &Case,
    ) -> Option<()> {
        let n = self.zones;
        let views = above.map(|_| plan.views(h_m));
        let setter_e = |level: &LevelHeat| {
            let e = load.setters.get(level.setter)?.emissivity;
            Some((e + case.setter_emissivity).clamp(0.02, 0.98))
        };
        let (lower_nodes, lower) = match below {
            Below::Floor(_) => (None, plan.floor()),
            Below::Level(block, level) => (Some(block), plan.lower(load, level, n)),
        };
        let parts = match below {
            Below::Floor(_) => 0,
            Below::Level(_, level) => level.parts.iter().map(|p| occupied(p, n).count()).sum(),
        };
        let lower_count = lower.len();
        let upper_count = if above.is_some() { n } else { 0 };
        // Surfaces: lower, upper, opening.
        let total = lower_count + upper_count + 1;
        let opening_m2 = if above.is_some() {
            plan.perimeter_m * h_m
        } else {
            plan.area_m2
        };
        let mut f = vec![0.0; total * total];
        let zone_bare = |zone: usize| -> f64 {
            lower
                .iter()
                .filter(|s| s.zone == zone)
                .map(|s| s.area_m2)
                .sum::<f64>()
                .max(1e-12)
        };
        for (i, s) in lower.iter().enumerate() {
            match &views {
                None => f[i * total + total - 1] = 1.0,
                Some(v) => {
                    let seen: f64 = (0..n).map(|z| v[s.zone * n + z]).sum();
                    let open = (1.0 - seen).max(0.0);
                    for z in 0..n {
                        let returned = if z == s.zone {
                            open * (1.0 - plan.exposed)
                        } else {
                            0.0
                        };
                        f[i * total + lower_count + z] = v[s.zone * n + z] + returned;
                    }
                    f[i * total + total - 1] = open * plan.exposed;
                }
            }
        }
        if let Some(v) = &views {
            for zu in 0..n {
                let row = lower_count + zu;
                let seen: f64 = (0..n).map(|z| v[zu * n + z]).sum();
                let open = (1.0 - seen).max(0.0);
                for (i, s) in lower.iter().enumerate() {
                    let returned = if s.zone == zu {
                        open * (1.0 - plan.exposed)
                    } else {
                        0.0
                    };
                    f[row * total + i] =
                        (v[zu * n + s.zone] + returned) * s.area_m2 / zone_bare(s.zone);
                }
                f[row * total + total - 1] = open * plan.exposed;
            }
        }
        let area_of = |i: usize| {
            if i < lower_count {
                lower[i].area_m2
            } else {
                plan.zone_m2
            }
        };
        let mut rest = 1.0;
        for i in 0..total - 1 {
            let back = area_of(i) * f[i * total + total - 1] / opening_m2;
            f[(total - 1) * total + i] = back;
            rest -= back;
        }
        f[total * total - 1] = rest.max(0.0);

        let mut tables = Vec::new();
        for state in 0..if parts > 0 && self.changes { 3 } else { 1 } {
            let mut surfaces = Vec::with_capacity(total);
            for s in &lower {
                let e = match (s.kind, below) {
                    (Some(kind), _) => apparent(kind.0, kind.1, state),
                    (None, Below::Floor(e)) => e,
                    (None, Below::Level(_, level)) => setter_e(level)?,
                };
                surfaces.push(Surface {
                    area_m2: s.area_m2,
                    emissivity: e.clamp(0.02, 0.98),
                });
            }
            if let Some((_, level)) = above {
                for _ in 0..n {
                    surfaces.push(Surface {
                        area_m2: plan.zone_m2,
                        emissivity: setter_e(level)?,
                    });
                }
            }
            surfaces.push(Surface {
                area_m2: opening_m2,
                emissivity: face_emissivity.clamp(0.02, 0.98),
            });
            let k = exchange(&surfaces, &f)?;
            tables.push(reduce(&k, total, lower_nodes.is_some(), lower_count));
        }
        let lower = match lower_nodes {
            Some(block) => (block.start + block.cores, lower_count),
            None => (0, 0),
        };
        let upper = above.map_or((0, 0), |(block, _)| (block.setters(), n));
        self.gaps.push(Gap {
            lower,
            upper,
            parts,
            exchange: tables,
        });
        Some(())
    }
}

/// Exchange among node surfaces; floor (where it is no node) and opening are the chamber.
fn reduce(k: &[f64], total: usize, lower_is_node: bool, lower: usize) -> Exchange {
    let first = if lower_is_node { 0 } else { lower };
    let m = total - 1 - first;
    let mut out = Exchange {
        k: vec![0.0; m * m],
        face: vec![0.0; m],
    };
    for i in 0..m {
        let row = (first + i) * total;
        let mut face = k[row + total - 1];
        for j in 0..first {
            face += k[row + j];
        }
        let mut sum = face;
        for j in 0..m {
            if j != i {
                out.k[i * m + j] = k[row + first + j];
                sum += k[row + first + j];
            }
        }
        out.k[i * m + i] = -sum;
        out.face[i] = face;
    }
    out
}

/// ε_app = 1/(1 + (A_plan/A_wet)(1/ε − 1)).
fn apparent(e: Emissivity, plan_over_wet: f64, state: usize) -> f64 {
    let e = match state {
        0 => e.brown,
        1 => e.reduced,
        _ => e.sintered,
    }
    .clamp(0.02, 0.98);
    1.0 / (1.0 + plan_over_wet.clamp(0.01, 1.0) * (1.0 / e - 1.0))
}

#[derive(Clone, Copy)]
enum Below<'a> {
    Floor(f64),
    Level(&'a Block, &'a LevelHeat),
}

struct LowerSurface {
    zone: usize,
    area_m2: f64,
    kind: Option<(Emissivity, f64)>,
}

struct Plan {
    shape: PlanShape,
    zones: usize,
    area_m2: f64,
    zone_m2: f64,
    perimeter_m: f64,
    half_m: f64,
    exposed: f64,
}

impl Plan {
    fn new(stack: &StackHeat, zones: usize) -> Option<Plan> {
        let area = stack.shape.area_m2();
        let sound = area.is_finite() && area > 0.0 && stack.shape.half_width_m() > 0.0;
        sound.then(|| Plan {
            shape: stack.shape,
            zones,
            area_m2: area,
            zone_m2: area / zones as f64,
            perimeter_m: stack.shape.perimeter_m(),
            half_m: stack.shape.half_width_m(),
            exposed: stack.exposed.clamp(0.0, 1.0),
        })
    }

    /// Where a zone's node lies, from the centre, m: the middle between its inner and outer edge.
    fn radius(&self, zone: usize) -> f64 {
        let edge = |z: usize| libm::sqrt(z as f64 / self.zones as f64);
        self.half_m * 0.5 * (edge(zone) + edge(zone + 1))
    }

    fn to_edge(&self, zone: usize) -> f64 {
        self.half_m - self.radius(zone)
    }

    /// Shape factor of conduction between zone − 1 and zone, per thickness: 2π/ln(r/r').
    fn along(&self, zone: usize) -> f64 {
        2.0 * std::f64::consts::PI / libm::log(self.radius(zone) / self.radius(zone - 1))
    }

    fn views(&self, h_m: f64) -> Vec<f64> {
        rings(self.shape, self.zones, h_m)
    }

    fn floor(&self) -> Vec<LowerSurface> {
        (0..self.zones)
            .map(|zone| LowerSurface {
                zone,
                area_m2: self.zone_m2,
                kind: None,
            })
            .collect()
    }

    /// Parts kind by kind, then the bare setter, zone by zone: the order of the nodes.
    fn lower(&self, load: &LoadHeat, level: &LevelHeat, zones: usize) -> Vec<LowerSurface> {
        let mut out = Vec::new();
        for on in &level.parts {
            let kind = load
                .kinds
                .get(on.kind)
                .map(|k| (k.emissivity, k.plan_over_wet));
            for z in occupied(on, zones) {
                out.push(LowerSurface {
                    zone: z,
                    area_m2: share_in(on, z, zones) * self.zone_m2,
                    kind: kind.or(Some((Emissivity::constant(0.6), 1.0))),
                });
            }
        }
        for z in 0..zones {
            let covered: f64 = level.parts.iter().map(|p| share_in(p, z, zones)).sum();
            out.push(LowerSurface {
                zone: z,
                area_m2: (1.0 - covered).max(1.0 - COVER_MAX) * self.zone_m2,
                kind: None,
            });
        }
        out
    }
}

/// Zones in which something of a kind stands: only there it has nodes.
fn occupied(on: &OnLevel, zones: usize) -> impl Iterator<Item = usize> + '_ {
    (0..zones).filter(move |z| weight(on, *z, zones) > 0.0)
}

fn weight(on: &OnLevel, zone: usize, zones: usize) -> f64 {
    match &on.by_zone {
        Some(w) if w.len() == zones => {
            let sum: f64 = w.iter().sum();
            if sum > 0.0 {
                w[zone].max(0.0) / sum
            } else {
                1.0 / zones as f64
            }
        }
        _ => 1.0 / zones as f64,
    }
}

fn mass_in(on: &OnLevel, zone: usize, zones: usize) -> f64 {
    on.mass_kg * weight(on, zone, zones)
}

/// Share of the zone's plan that the parts cover.
fn share_in(on: &OnLevel, zone: usize, zones: usize) -> f64 {
    (on.plan_share * weight(on, zone, zones) * zones as f64).clamp(0.0, COVER_MAX)
}
