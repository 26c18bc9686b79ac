//! One search: overlap is allowed, then taken apart by guided local search. What overlaps again
//! and again weighs more and more.

use super::circles::{Circles, depth};
use super::collide::{Body, Space, Touch};
use super::dice::Dice;
use super::mates::Mate;
use super::rules::HAIR;
use super::setup::{Setup, Wall};
use super::squeeze::Squeeze;
use super::task::{Answer, Watch};
use std::sync::Arc;

/// Where a part stands in the search's own scale; `page` is a field.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pose {
    pub page: u16,
    pub x: f32,
    pub y: f32,
    pub a: f32,
}

/// A layout to come back to: without overlap, or with the least that was found.
#[derive(Clone)]
pub struct Kept {
    pub loss: f32,
    /// Length of the strip.
    pub length: f32,
    pub poses: Vec<Pose>,
    pub active: Vec<bool>,
    pub open: Vec<bool>,
}

/// Samples round where a part is, and all over the fields.
const FOCUSED: usize = 20;
const SPREAD: usize = 45;
pub struct Island {
    pub setup: Arc<Setup>,
    pub dice: Dice,
    pub walls: Vec<Wall>,
    pub open: Vec<bool>,
    /// Length of the strip, search scale.
    pub length: f32,
    pub poses: Vec<Pose>,
    pub active: Vec<bool>,
    pub circles: Vec<Circles>,
    pub pair: Vec<f32>,
    pub wall: Vec<f32>,
    pub weight: Vec<f32>,
    pub wall_weight: Vec<f32>,
    pub buffer: Vec<Body>,
    pub mine: Vec<[f32; 3]>,
    pub evaluations: u64,
    /// Where they end for now.
    pub until: u64,
    pub looked: u64,
    pub greedy: bool,
    // One separation.
    pub least: f32,
    pub least_poses: Vec<Pose>,
    pub stale: u32,
    pub strikes: u32,
    pub strike_start: f32,
    pub sweeps: u32,
    // The outer search.
    /// Mass on each field, g.
    pub loads: Vec<f64>,
    /// Layouts that kept some overlap, the least first.
    pub pool: Vec<Kept>,
    pub fails: u32,
    pub patience: u32,
    /// The share that is spent on filling by contact.
    pub filling: f32,
    pub step: f32,
    /// What filling goes on from, what was spent on filling when that began, and in all.
    pub walk: Option<Kept>,
    pub walk_from: u64,
    pub filled: u64,
    /// Places of kinds beside each other and along the edges, as they were asked for.
    pub mates: Vec<Option<Arc<[Mate]>>>,
    pub edges: Vec<Option<Arc<[Mate]>>>,
    /// A field that is too large for a while.
    pub squeeze: Option<Squeeze>,
    /// The field that is being emptied, and those that were tried in vain.
    pub closing: Option<usize>,
    pub vain: Vec<usize>,
    /// Without overlap: what the search goes on from, the best of this round, the last complete.
    pub good: Option<Kept>,
    pub top: Option<Kept>,
    pub whole: Option<Kept>,
    /// The best answer, and how it stood.
    pub best: Option<Answer>,
    /// Whether whoever watches is told of it.
    pub shows: bool,
    /// What may be turned anyhow is set with an edge along an axis only.
    pub in_line: bool,
    /// Begins with nothing, whatever stands.
    pub anew: bool,
    /// Parts that are worth less are left out, until so many evaluations at most.
    pub only: f64,
    pub only_until: u64,
    pub shown: Option<Kept>,
    pub finishing: bool,
    pub fine: f32,
    pub done: bool,
}

impl Island {
    pub fn new(setup: Arc<Setup>, seed: u64) -> Island {
        let n = setup.parts.len();
        let walls: Vec<Wall> = setup.fields.iter().map(|f| f.wall.clone()).collect();
        let buffer = setup.kinds.iter().map(|k| k.body.clone()).collect();
        let length = walls.first().map_or(0.0, |w| w.bounds[2]);
        Island {
            dice: Dice::new(seed),
            open: vec![true; walls.len()],
            walls,
            length,
            poses: vec![
                Pose {
                    page: 0,
                    x: 0.0,
                    y: 0.0,
                    a: 0.0
                };
                n
            ],
            active: vec![false; n],
            circles: vec![Circles::default(); n],
            pair: vec![0.0; n * n],
            wall: vec![0.0; n],
            weight: vec![1.0; n * n],
            wall_weight: vec![1.0; n],
            buffer,
            mine: Vec::new(),
            evaluations: 0,
            until: 0,
            looked: 0,
            greedy: false,
            least: f32::MAX,
            least_poses: Vec::new(),
            stale: 0,
            strikes: 0,
            strike_start: f32::MAX,
            sweeps: 0,
            loads: vec![0.0; setup.fields.len()],
            pool: Vec::new(),
            fails: 0,
            patience: 0,
            filling: 0.5 * setup.sided,
            step: 0.01,
            walk: None,
            walk_from: 0,
            filled: 0,
            mates: vec![None; setup.kinds.len() * setup.kinds.len()],
            edges: vec![None; setup.kinds.len() * setup.fields.len()],
            squeeze: None,
            closing: None,
            vain: Vec::new(),
            good: None,
            top: None,
            whole: None,
            best: None,
            shows: true,
            in_line: false,
            anew: false,
            only: 0.0,
            only_until: u64::MAX,
            shown: None,
            finishing: false,
            fine: super::strip::FINE,
            done: n == 0,
            setup,
        }
    }

    pub fn n(&self) -> usize {
        self.poses.len()
    }

    // ---- losses

    fn wall_loss(&self, kind: usize, page: usize) -> f32 {
        let out = self.walls[page].surface.outside(&self.buffer[kind]);
        self.out_loss(kind, out)
    }

    fn out_loss(&self, kind: usize, out: f32) -> f32 {
        let k = &self.setup.kinds[kind];
        (out * k.diameter * 0.5 + k.soft * k.soft).sqrt() * k.weight * 2.0
    }

    /// What a part loses that stands outside its part of the field.
    fn zone_loss(&self, kind: usize, page: usize) -> f32 {
        if self.setup.rules.is_whole(page) {
            return 0.0;
        }
        let Some(zone) = &self.setup.kinds[kind].within else {
            return 0.0;
        };
        let out = zone.outside(&self.buffer[kind]);
        if out > 0.0 {
            self.out_loss(kind, out)
        } else {
            0.0
        }
    }

    /// The weighted loss of a part at a pose; cut short once it reaches `cap`.
    pub fn loss(&mut self, i: usize, pose: Pose, cap: f32) -> f32 {
        self.evaluations += 1;
        let n = self.n();
        let kind = self.setup.parts[i];
        self.buffer[kind].set(&self.setup.kinds[kind].body, pose.x, pose.y, pose.a);
        self.mine.clear();
        let me = &self.buffer[kind];
        self.mine.extend(me.circles());
        let page = pose.page as usize;
        let mut sum = self.wall_weight[i] * self.zone_loss(kind, page);
        if sum >= cap {
            return sum;
        }
        let this = &*self;
        let mut stop = |t: Touch| {
            sum += match t {
                Touch::Wall => this.wall_weight[i] * this.wall_loss(kind, page),
                Touch::Post(p) => this.wall_weight[i] * this.post_loss(kind, page, p as usize),
                Touch::Item(j) => {
                    let w = this.weight[i * n + j as usize];
                    w * this.pair_loss(i, j as usize, (cap - sum) / w)
                }
            };
            sum >= cap
        };
        this.walls[page].engine.touching(me, i as u16, &mut stop);
        sum
    }

    fn pair_loss(&self, i: usize, j: usize, cap: f32) -> f32 {
        let (a, b) = (self.setup.kind(i), self.setup.kind(j));
        let soft = a.soft.max(b.soft);
        let weight = a.root * b.root;
        let cap = cap / weight;
        let d = depth(&self.mine, &self.circles[j], soft, cap * cap - soft * soft);
        (d + soft * soft).sqrt() * weight
    }

    fn post_loss(&self, kind: usize, page: usize, post: usize) -> f32 {
        let k = &self.setup.kinds[kind];
        let mut c = Circles::default();
        c.load(self.setup.fields[page].posts[post].circles());
        (depth(&self.mine, &c, k.soft, f32::MAX) + k.soft * k.soft).sqrt() * k.weight * 2.0
    }

    // ---- putting and taking

    pub fn put(&mut self, i: usize, pose: Pose) {
        let n = self.n();
        let kind = self.setup.parts[i];
        self.buffer[kind].set(&self.setup.kinds[kind].body, pose.x, pose.y, pose.a);
        self.mine.clear();
        self.mine.extend(self.buffer[kind].circles());
        let mut circles = std::mem::take(&mut self.circles[i]);
        circles.load(self.mine.iter().copied());
        self.circles[i] = circles;
        let page = pose.page as usize;
        let mut hits: Vec<Touch> = Vec::new();
        self.walls[page]
            .engine
            .touching(&self.buffer[kind], i as u16, &mut |t| {
                hits.push(t);
                false
            });
        self.wall[i] += self.zone_loss(kind, page);
        for t in hits {
            match t {
                Touch::Wall => self.wall[i] += self.wall_loss(kind, page),
                Touch::Post(p) => self.wall[i] += self.post_loss(kind, page, p as usize),
                Touch::Item(j) => {
                    let j = j as usize;
                    let l = self.pair_loss(i, j, f32::MAX);
                    self.pair[i * n + j] = l;
                    self.pair[j * n + i] = l;
                }
            }
        }
        self.walls[page].engine.put(i as u16, &self.buffer[kind]);
        self.loads[page] += self.setup.rules.mass(kind);
        self.poses[i] = pose;
        self.active[i] = true;
    }

    pub fn take(&mut self, i: usize) {
        let n = self.n();
        let page = self.poses[i].page as usize;
        self.walls[page].engine.take(i as u16);
        self.loads[page] -= self.setup.rules.mass(self.setup.parts[i]);
        for j in 0..n {
            self.pair[i * n + j] = 0.0;
            self.pair[j * n + i] = 0.0;
        }
        self.wall[i] = 0.0;
        self.active[i] = false;
    }

    /// Whether a field bears one part more.
    pub fn bears(&self, i: usize, page: usize) -> bool {
        let rules = &self.setup.rules;
        let most = rules.most(page) * (1.0 - HAIR);
        self.loads[page] + rules.mass(self.setup.parts[i]) <= most
    }

    pub fn load(&mut self, poses: &[Pose], active: &[bool]) {
        for i in 0..self.n() {
            if self.active[i] && (!active[i] || self.poses[i] != poses[i]) {
                self.take(i);
            }
        }
        for i in 0..self.n() {
            if active[i] && !self.active[i] {
                self.put(i, poses[i]);
            }
        }
    }

    pub fn clear_weights(&mut self) {
        self.weight.fill(1.0);
        self.wall_weight.fill(1.0);
    }

    pub fn total(&self) -> f32 {
        let n = self.n();
        let mut sum = 0.0;
        for i in 0..n {
            sum += self.wall[i];
            sum += self.pair[i * n + i + 1..(i + 1) * n].iter().sum::<f32>();
        }
        sum
    }

    pub fn raw(&self, i: usize) -> f32 {
        let n = self.n();
        self.wall[i] + self.pair[i * n..(i + 1) * n].iter().sum::<f32>()
    }

    fn weighted(&self, i: usize) -> f32 {
        let n = self.n();
        let row = i * n..(i + 1) * n;
        let pairs = self.pair[row.clone()]
            .iter()
            .zip(&self.weight[row])
            .map(|(l, w)| l * w);
        self.wall[i] * self.wall_weight[i] + pairs.sum::<f32>()
    }

    // ---- looking for a place

    fn angle(&mut self, kind: usize) -> f32 {
        let k = &self.setup.kinds[kind];
        let first = (self.in_line && k.any) || self.dice.share() < 0.75;
        if first || (k.all.is_empty() && !k.any) {
            k.first[self.dice.below(k.first.len())]
        } else if k.any {
            self.dice.between(0.0, std::f32::consts::TAU)
        } else {
            k.all[self.dice.below(k.all.len())]
        }
    }

    /// Room for the part's own origin on a page at an angle.
    fn room(&self, kind: usize, page: usize, a: f32) -> [f32; 4] {
        let (s, c) = (libm::sinf(a), libm::cosf(a));
        let mut b = [f32::MAX, f32::MAX, f32::MIN, f32::MIN];
        for p in &self.setup.kinds[kind].hull {
            let (x, y) = (c * p[0] - s * p[1], s * p[0] + c * p[1]);
            b = [b[0].min(x), b[1].min(y), b[2].max(x), b[3].max(y)];
        }
        let f = self.walls[page].bounds;
        let tiny = self.setup.tiny;
        // A part as wide as the field stands in the middle of what little there is.
        let span = |lo: f32, hi: f32| {
            if lo + tiny > hi - tiny {
                let middle = (lo + hi) / 2.0;
                (middle, middle)
            } else {
                (lo + tiny, hi - tiny)
            }
        };
        let (x, y) = (
            span(f[0] - b[0], f[2] - b[2]),
            span(f[1] - b[1], f[3] - b[3]),
        );
        [x.0, y.0, x.1, y.1]
    }

    pub fn spread(&mut self, i: usize, page: usize) -> Pose {
        let kind = self.setup.parts[i];
        let a = self.angle(kind);
        let r = self.room(kind, page, a);
        let (x, y) = (self.dice.between(r[0], r[2]), self.dice.between(r[1], r[3]));
        Pose {
            page: page as u16,
            x,
            y,
            a,
        }
    }

    fn focused(&mut self, i: usize, at: Pose) -> Pose {
        let kind = self.setup.parts[i];
        let reach = self.setup.kinds[kind].diameter * 0.5;
        let a = if self.dice.share() < 0.5 {
            at.a
        } else {
            self.angle(kind)
        };
        let r = self.room(kind, at.page as usize, a);
        let x = at.x + reach * (self.dice.share() + self.dice.share() - 1.0);
        let y = at.y + reach * (self.dice.share() + self.dice.share() - 1.0);
        Pose {
            page: at.page,
            x: x.clamp(r[0], r[2]),
            y: y.clamp(r[1], r[3]),
            a,
        }
    }

    /// Whether a part overlaps nothing there.
    pub fn free(&mut self, i: usize, pose: Pose) -> bool {
        self.loss(i, pose, 1e-9) == 0.0
    }

    /// What is made small: the loss, or while constructing how far left and low.
    fn cost(&mut self, i: usize, pose: Pose, cap: f32) -> f32 {
        if !self.greedy {
            return self.loss(i, pose, cap);
        }
        let far = pose.x + 0.08 * pose.y;
        if far >= cap || self.loss(i, pose, 1e-9) > 0.0 {
            f32::MAX
        } else {
            far
        }
    }

    fn descend(&mut self, i: usize, from: (f32, Pose), start: f32, end: f32) -> (f32, Pose) {
        let kind = self.setup.parts[i];
        let any = self.setup.kinds[kind].any && !self.in_line;
        let dim = self.setup.kinds[kind].least_side;
        let (mut loss, mut pose) = from;
        let (mut sx, mut sy, mut sa) = (start * dim, start * dim, 0.12 * start);
        let end = end * dim;
        let zero = if self.greedy { f32::MIN } else { 0.0 };
        while loss > zero && (sx >= end || sy >= end) {
            let axis = self.dice.below(if any { 5 } else { 4 });
            let (dx, dy, da) = match axis {
                0 => (sx, 0.0, 0.0),
                1 => (0.0, sy, 0.0),
                2 => (sx, sy, 0.0),
                3 => (sx, -sy, 0.0),
                _ => (0.0, 0.0, sa),
            };
            let mut better = false;
            let from = pose;
            for sign in [1.0, -1.0] {
                let p = Pose {
                    x: from.x + sign * dx,
                    y: from.y + sign * dy,
                    a: from.a + sign * da,
                    ..from
                };
                let l = self.cost(i, p, loss);
                if l < loss {
                    (loss, pose, better) = (l, p, true);
                }
            }
            let f = if better { 1.1 } else { 0.5 };
            match axis {
                0 => sx *= f,
                1 => sy *= f,
                4 => sa *= f,
                _ => {
                    let f = if better { 1.1 } else { 0.707 };
                    sx *= f;
                    sy *= f;
                }
            }
        }
        (loss, pose)
    }

    /// The best place found for a part, beginning where it is if it is placed.
    pub fn search(&mut self, i: usize, from: Option<Pose>) -> (f32, Pose) {
        const KEEP: usize = 3;
        let kind = self.setup.parts[i];
        let pages: Vec<usize> = (0..self.walls.len())
            .filter(|&p| {
                let own = from.is_some_and(|f| self.active[i] && f.page as usize == p);
                self.open[p] && self.setup.fields[p].accepts[kind] && (own || self.bears(i, p))
            })
            .collect();
        let mut kept: Vec<(f32, Pose)> = Vec::with_capacity(KEEP + 1);
        let near = 0.04 * self.setup.kinds[kind].diameter;
        let (focused, spread) = match (self.greedy, from.is_some()) {
            (true, _) => (0, 120),
            (_, true) => (FOCUSED, SPREAD),
            _ => (0, SPREAD * pages.len().clamp(1, 4)),
        };
        for k in 0..=focused + spread {
            let pose = match (k, from) {
                (0, Some(p)) => p,
                (0, None) => continue,
                (k, Some(p)) if k <= focused => self.focused(i, p),
                _ => {
                    if pages.is_empty() {
                        continue;
                    }
                    let own = from
                        .filter(|_| self.dice.share() < 0.5)
                        .map(|p| p.page as usize);
                    let page = own.unwrap_or_else(|| pages[self.dice.below(pages.len())]);
                    self.spread(i, page)
                }
            };
            let cap = if kept.len() < KEEP {
                f32::MAX
            } else {
                kept[kept.len() - 1].0
            };
            let l = self.cost(i, pose, cap);
            if l >= cap {
                continue;
            }
            if let Some(twin) = kept.iter().position(|(_, p)| {
                p.page == pose.page
                    && (p.x - pose.x).abs() + (p.y - pose.y).abs() < near
                    && (p.a - pose.a).abs() < 0.05
            }) {
                if l >= kept[twin].0 {
                    continue;
                }
                kept.remove(twin);
            }
            let at = kept.partition_point(|(m, _)| *m <= l);
            kept.insert(at, (l, pose));
            kept.truncate(KEEP);
            if l == 0.0 && !self.greedy {
                return kept[0];
            }
        }
        if kept.is_empty() {
            return (
                f32::MAX,
                from.unwrap_or(Pose {
                    page: 0,
                    x: 0.0,
                    y: 0.0,
                    a: 0.0,
                }),
            );
        }
        let mut best = (f32::MAX, kept[0].1);
        for c in kept {
            let d = self.descend(i, c, 0.25, 0.02);
            if d.0 < best.0 {
                best = d;
            }
            if best.0 == 0.0 && !self.greedy {
                return best;
            }
        }
        self.descend(i, best, 0.015, 0.001)
    }

    // ---- separation

    pub fn begin(&mut self) {
        self.least = f32::MAX;
        self.least_poses = self.poses.clone();
        self.stale = 0;
        self.strikes = 0;
        self.strike_start = f32::MAX;
        self.sweeps = 0;
    }

    pub fn sweep(&mut self, watch: &Watch) -> Option<()> {
        let mut hot: Vec<usize> = (0..self.n())
            .filter(|&i| self.active[i] && self.raw(i) > 0.0)
            .collect();
        self.dice.shuffle(&mut hot);
        for i in hot {
            if watch.cancelled() {
                return None;
            }
            let now = self.weighted(i);
            if now <= 0.0 {
                continue;
            }
            let (l, pose) = self.search(i, Some(self.poses[i]));
            if l < now && pose != self.poses[i] {
                self.take(i);
                self.put(i, pose);
            }
        }
        self.sweeps += 1;
        Some(())
    }

    pub fn reweigh(&mut self) {
        let n = self.n();
        let most = self
            .pair
            .iter()
            .chain(&self.wall)
            .fold(0.0f32, |m, l| m.max(*l));
        if most <= 0.0 {
            return;
        }
        let new = |w: f32, l: f32| {
            if l > 0.0 {
                w * (1.2 + 0.8 * l / most)
            } else {
                (w * 0.95).max(1.0)
            }
        };
        for k in 0..n * n {
            self.weight[k] = new(self.weight[k], self.pair[k]);
        }
        for i in 0..n {
            self.wall_weight[i] = new(self.wall_weight[i], self.wall[i]);
        }
    }
}
