//! The network as arrays: nodes by level, gaps, links. Built in `build`, evaluated in `flows`.

use crate::forecast::curve::Grid;

/// What a node stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// A zone of a setter.
    Setter,
    /// Parts of a kind in a zone (their outer half where they have a core).
    Part(usize),
    /// Inner half of thick parts of a kind.
    Core(usize),
}

/// Where a node is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NodeAt {
    /// Stack.
    pub stack: usize,
    /// Level from 0 at the bottom.
    pub level: usize,
    /// Zone from 0 in the centre.
    pub zone: usize,
    /// What.
    pub place: Place,
}

/// Nodes of a level lie together: cores, parts (kind by kind, zone by zone), then setter zones.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Block {
    /// First node.
    pub start: usize,
    /// Nodes.
    pub len: usize,
    /// Of these, cores.
    pub cores: usize,
    /// Of these, setter zones.
    pub zones: usize,
    /// Whether the next block lies above this one in the same stack.
    pub joined: bool,
}

impl Block {
    /// First setter node.
    pub fn setters(&self) -> usize {
        self.start + self.len - self.zones
    }
}

/// Radiation of one gap among its node surfaces and with the chamber.
#[derive(Clone, Debug)]
pub(super) struct Gap {
    /// First node and number of the lower surfaces: parts and setter zones of a level.
    pub lower: (usize, usize),
    /// First node and number of the upper surfaces: setter zones of the level above.
    pub upper: (usize, usize),
    /// Of the lower surfaces, those that are parts.
    pub parts: usize,
    /// Exchange by state of the parts: brown, reduced, sintered; one where they do not differ.
    pub exchange: Vec<Exchange>,
}

/// Exchange coefficients, W/K⁴.
#[derive(Clone, Debug)]
pub(super) struct Exchange {
    /// Row-major among the gap's surfaces, the diagonal holding minus the row's sum with `face`,
    /// so that Q = K·T⁴ + face·Tf⁴.
    pub k: Vec<f64>,
    /// With the chamber.
    pub face: Vec<f64>,
}

/// A path between two nodes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Link {
    pub a: usize,
    pub b: usize,
    /// Area, m², or shape factor, m.
    pub size: f64,
    /// Which table, or unused.
    pub table: usize,
    /// Distance, m, where one counts.
    pub distance: f64,
}

/// A path from a node to the chamber.
#[derive(Clone, Copy, Debug)]
pub(super) struct ToFace {
    pub node: usize,
    pub area: f64,
    pub distance: f64,
    /// Whether the chamber's roof lies above (buoyancy counts).
    pub roof: bool,
}

/// A heat network ready for integration.
#[derive(Clone, Debug)]
pub struct Network {
    /// What each node stands for.
    pub nodes: Vec<NodeAt>,
    /// Mass of each node, kg.
    pub mass_kg: Vec<f64>,
    /// Levels.
    pub blocks: Vec<Block>,
    /// Wet area of each node, m², for a fan.
    pub wet_m2: Vec<f64>,
    /// Heat capacity table of each node.
    pub(super) cp_of: Vec<usize>,
    pub(super) cp: Vec<Grid>,
    pub(super) conductivity: Vec<Grid>,
    pub(super) gaps: Vec<Gap>,
    pub(super) contacts: Vec<Link>,
    pub(super) solids: Vec<Link>,
    pub(super) layers: Vec<Link>,
    pub(super) to_face: Vec<ToFace>,
    /// Rim radiation: node and coefficient, W/K⁴.
    pub(super) rims: Vec<(usize, f64)>,
    /// Zones a level.
    pub zones: usize,
    /// Whether emissivities change with the parts' state.
    pub changes: bool,
}

impl Network {
    /// Number of nodes.
    pub fn len(&self) -> usize {
        self.nodes.len()
    }

    /// Whether there is nothing to heat.
    pub fn is_empty(&self) -> bool {
        self.nodes.is_empty()
    }

    /// Heat capacity of a node, J/K, and its slope, J/K².
    pub fn capacity(&self, node: usize, t_k: f64) -> (f64, f64) {
        let cp = self.cp_of.get(node).and_then(|&c| self.cp.get(c));
        let m = self.mass_kg.get(node).copied().unwrap_or(0.0);
        cp.map_or((m, 0.0), |grid| {
            let (v, s) = grid.at(t_k);
            (m * v, m * s)
        })
    }
}
