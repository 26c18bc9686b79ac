//! One search: overlap is allowed, then taken apart by guided local search. What overlaps again
//! and again weighs more and more.

use super::collide::{Body, Engine, Space, Touch};
use super::proof;
use super::setup::Setup;
use super::task::{Answer, Goal, Watch};
use std::sync::Arc;
use std::sync::atomic::Ordering;

/// A small generator of our own (xorshift64*), so that a seed means the same for ever.
#[derive(Clone)]
pub struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Dice {
        let mut z = seed.wrapping_add(0x9E37_79B9_7F4A_7C15);
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        Dice((z ^ (z >> 31)) | 1)
    }

    fn next(&mut self) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        self.0.wrapping_mul(0x2545_F491_4F6C_DD1D)
    }

    /// From 0 up to 1.
    fn share(&mut self) -> f32 {
        (self.next() >> 40) as f32 / (1u64 << 24) as f32
    }

    fn between(&mut self, a: f32, b: f32) -> f32 {
        a + (b - a) * self.share()
    }

    fn below(&mut self, n: usize) -> usize {
        ((self.next() >> 32) as usize * n) >> 32
    }

    fn shuffle<T>(&mut self, all: &mut [T]) {
        for i in (1..all.len()).rev() {
            let j = self.below(i + 1);
            all.swap(i, j);
        }
    }
}

/// Where a part stands in the search's own scale; `page` is a field.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pose {
    pub page: u16,
    pub x: f32,
    pub y: f32,
    pub a: f32,
}

const LANES: usize = 8;

/// Circles laid out for eight at a time.
#[derive(Clone, Default)]
struct Circles {
    x: Vec<[f32; LANES]>,
    y: Vec<[f32; LANES]>,
    r: Vec<[f32; LANES]>,
}

impl Circles {
    fn load(&mut self, circles: impl Iterator<Item = [f32; 3]>) {
        self.x.clear();
        self.y.clear();
        self.r.clear();
        for (k, c) in circles.enumerate() {
            if k % LANES == 0 {
                self.x.push([1e9; LANES]);
                self.y.push([1e9; LANES]);
                self.r.push([0.0; LANES]);
            }
            let at = k / LANES;
            self.x[at][k % LANES] = c[0];
            self.y[at][k % LANES] = c[1];
            self.r[at][k % LANES] = c[2];
        }
    }
}

/// How deep two sets of circles lie in each other, weighed by the smaller of each pair; apart, it
/// falls off slowly so that there is always a way down.
/// Given up once it is over `cap`.
fn depth(a: &[[f32; 3]], b: &Circles, soft: f32, cap: f32) -> f32 {
    let mut sum = [0.0f32; LANES];
    for c in a {
        if sum.iter().sum::<f32>() > cap {
            break;
        }
        for k in 0..b.x.len() {
            let (x, y, r) = (&b.x[k], &b.y[k], &b.r[k]);
            for l in 0..LANES {
                let (dx, dy) = (x[l] - c[0], y[l] - c[1]);
                let deep = r[l] + c[2] - (dx * dx + dy * dy).sqrt();
                let far = soft * soft / (2.0 * soft - deep.min(soft));
                let f = if deep >= soft { deep } else { far };
                sum[l] += f * r[l].min(c[2]);
            }
        }
    }
    sum.iter().sum()
}

/// A layout without overlap: length, poses, which parts are placed, which fields are open.
type Good = (f32, Vec<Pose>, Vec<bool>, Vec<bool>);

/// A layout that failed or succeeded, to come back to.
#[derive(Clone)]
struct Kept {
    loss: f32,
    poses: Vec<Pose>,
}

/// Samples round where a part is, and all over the fields.
const FOCUSED: usize = 20;
const SPREAD: usize = 45;
/// Sweeps without gain before going back to the least loss, and how often that is done.
const STALE: u32 = 80;
const STRIKES: u32 = 2;
/// Failures before another waiting part is tried.
const TRIES: u32 = 4;
/// How a strip's step grows when shortening is easy; the first step of the fine phase.
const GROWTH: f32 = 1.5;
const FINE: f32 = 0.001;

pub struct Island {
    setup: Arc<Setup>,
    dice: Dice,
    pages: Vec<Engine>,
    open: Vec<bool>,
    /// Length of the strip, search scale.
    length: f32,
    poses: Vec<Pose>,
    active: Vec<bool>,
    waiting: Vec<usize>,
    circles: Vec<Circles>,
    pair: Vec<f32>,
    wall: Vec<f32>,
    weight: Vec<f32>,
    wall_weight: Vec<f32>,
    buffer: Vec<Body>,
    mine: Vec<[f32; 3]>,
    pub evaluations: u64,
    greedy: bool,
    // One separation.
    least: f32,
    least_poses: Vec<Pose>,
    stale: u32,
    strikes: u32,
    strike_start: f32,
    sweeps: u32,
    // The outer search.
    pool: Vec<Kept>,
    fails: u32,
    step: f32,
    adding: Option<usize>,
    /// The field that is being emptied, and those that were tried in vain.
    closing: Option<usize>,
    vain: Vec<usize>,
    good: Option<Good>,
    pub best: Option<Answer>,
    finishing: bool,
    fine: f32,
    done: bool,
}

impl Island {
    pub fn new(setup: Arc<Setup>, seed: u64) -> Island {
        let n = setup.parts.len();
        let pages: Vec<Engine> = setup.fields.iter().map(|f| f.engine.clone()).collect();
        let buffer = setup.kinds.iter().map(|k| k.body.clone()).collect();
        let length = setup.fields.first().map_or(0.0, |f| f.bounds[2]);
        Island {
            dice: Dice::new(seed),
            open: vec![true; pages.len()],
            pages,
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
            waiting: Vec::new(),
            circles: vec![Circles::default(); n],
            pair: vec![0.0; n * n],
            wall: vec![0.0; n],
            weight: vec![1.0; n * n],
            wall_weight: vec![1.0; n],
            buffer,
            mine: Vec::new(),
            evaluations: 0,
            greedy: false,
            least: f32::MAX,
            least_poses: Vec::new(),
            stale: 0,
            strikes: 0,
            strike_start: f32::MAX,
            sweeps: 0,
            pool: Vec::new(),
            fails: 0,
            step: 0.01,
            adding: None,
            closing: None,
            vain: Vec::new(),
            good: None,
            best: None,
            finishing: false,
            fine: FINE,
            done: n == 0,
            setup,
        }
    }

    fn n(&self) -> usize {
        self.poses.len()
    }

    // ---- losses

    fn wall_loss(&self, kind: usize, page: usize) -> f32 {
        let k = &self.setup.kinds[kind];
        let field = &self.setup.fields[page];
        let out = field.surface.outside(&self.buffer[kind], self.length);
        (out * k.diameter * 0.5 + k.soft * k.soft).sqrt() * k.weight * 2.0
    }

    /// The weighted loss of a part at a pose; cut short once it reaches `cap`.
    fn loss(&mut self, i: usize, pose: Pose, cap: f32) -> f32 {
        self.evaluations += 1;
        let n = self.n();
        let kind = self.setup.parts[i];
        self.buffer[kind].set(&self.setup.kinds[kind].body, pose.x, pose.y, pose.a);
        self.mine.clear();
        let me = &self.buffer[kind];
        self.mine.extend(me.circles());
        let mut sum = 0.0;
        let this = &*self;
        let page = pose.page as usize;
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
        this.pages[page].touching(me, i as u16, &mut stop);
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

    fn put(&mut self, i: usize, pose: Pose) {
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
        self.pages[page].touching(&self.buffer[kind], i as u16, &mut |t| {
            hits.push(t);
            false
        });
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
        self.pages[page].put(i as u16, &self.buffer[kind]);
        self.poses[i] = pose;
        self.active[i] = true;
    }

    fn take(&mut self, i: usize) {
        let n = self.n();
        self.pages[self.poses[i].page as usize].take(i as u16);
        for j in 0..n {
            self.pair[i * n + j] = 0.0;
            self.pair[j * n + i] = 0.0;
        }
        self.wall[i] = 0.0;
        self.active[i] = false;
    }

    fn load(&mut self, poses: &[Pose], active: &[bool]) {
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

    fn clear_weights(&mut self) {
        self.weight.fill(1.0);
        self.wall_weight.fill(1.0);
    }

    fn total(&self) -> f32 {
        let n = self.n();
        let mut sum = 0.0;
        for i in 0..n {
            sum += self.wall[i];
            sum += self.pair[i * n + i + 1..(i + 1) * n].iter().sum::<f32>();
        }
        sum
    }

    fn raw(&self, i: usize) -> f32 {
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
        let first = self.dice.share() < 0.75;
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
        let f = self.setup.fields[page].bounds;
        let right = if self.setup.goal == Goal::Strip {
            self.length
        } else {
            f[2]
        };
        let tiny = self.setup.tiny;
        let lo = [f[0] - b[0] + tiny, f[1] - b[1] + tiny];
        [
            lo[0],
            lo[1],
            (right - b[2] - tiny).max(lo[0]),
            (f[3] - b[3] - tiny).max(lo[1]),
        ]
    }

    fn spread(&mut self, i: usize, page: usize) -> Pose {
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
        let any = self.setup.kinds[kind].any;
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
    fn search(&mut self, i: usize, from: Option<Pose>) -> (f32, Pose) {
        const KEEP: usize = 3;
        let kind = self.setup.parts[i];
        let pages: Vec<usize> = (0..self.pages.len())
            .filter(|&p| self.open[p] && self.setup.fields[p].accepts[kind])
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

    fn begin(&mut self) {
        self.least = f32::MAX;
        self.least_poses = self.poses.clone();
        self.stale = 0;
        self.strikes = 0;
        self.strike_start = f32::MAX;
        self.sweeps = 0;
    }

    fn sweep(&mut self, watch: &Watch) -> Option<()> {
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

    fn reweigh(&mut self) {
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

    // ---- the outer search

    /// The first layout: large parts first, as far left and low as samples find.
    pub fn construct(&mut self, watch: &Watch) {
        let mut order: Vec<usize> = (0..self.n()).collect();
        if self.setup.goal != Goal::InOrder {
            order.sort_by(|&a, &b| {
                let area = |i: usize| self.setup.kind(i).body.hull_area();
                area(b).total_cmp(&area(a)).then(a.cmp(&b))
            });
        }
        self.greedy = true;
        let pages = self.pages.len();
        let mut used = 0;
        for i in order {
            let kind = self.setup.parts[i];
            let mut found = None;
            if !watch.cancelled() && (self.waiting.is_empty() || self.setup.goal != Goal::InOrder) {
                for p in 0..pages {
                    if !self.setup.fields[p].accepts[kind] {
                        continue;
                    }
                    self.open.fill(false);
                    self.open[p] = true;
                    let (l, pose) = self.search(i, None);
                    if l < f32::MAX {
                        used = used.max(p + 1);
                        found = Some(pose);
                        break;
                    }
                }
            }
            match found {
                Some(pose) => self.put(i, pose),
                None => self.waiting.push(i),
            }
        }
        self.greedy = false;
        for p in 0..pages {
            self.open[p] = match self.setup.goal {
                Goal::Setters => {
                    (0..self.n()).any(|i| self.active[i] && self.poses[i].page as usize == p)
                        || !self.waiting.is_empty()
                }
                _ => true,
            };
        }
        self.begin();
    }

    fn used_length(&mut self) -> f32 {
        let mut right: f32 = 0.0;
        for i in 0..self.n() {
            if self.active[i] {
                let kind = self.setup.parts[i];
                let p = self.poses[i];
                self.buffer[kind].set(&self.setup.kinds[kind].body, p.x, p.y, p.a);
                right = right.max(self.buffer[kind].bounds()[2]);
            }
        }
        right + self.setup.tiny
    }

    fn answer(&self) -> Answer {
        let s = &self.setup;
        let mut answer = Answer {
            evaluations: self.evaluations,
            ..Answer::default()
        };
        let mut used = vec![false; self.pages.len()];
        for i in 0..self.n() {
            if !self.active[i] {
                continue;
            }
            used[self.poses[i].page as usize] = true;
            answer.placed.push(s.out(i, self.poses[i]));
        }
        answer.fields = used.iter().filter(|u| **u).count();
        answer.length = self.length as f64 / s.scale;
        answer
    }

    fn strip(&self) -> bool {
        self.setup.goal == Goal::Strip
    }

    /// Keeps what is free of overlap, if the proof agrees and it is better than the last.
    fn keep(&mut self, watch: &Watch) -> bool {
        if self.strip() {
            self.length = self.used_length().min(self.length);
        }
        let answer = self.answer();
        let length = self.strip().then_some(answer.length);
        if proof::prove(&self.setup.task, &answer.placed, length).is_err() {
            return false;
        }
        let better = self
            .best
            .as_ref()
            .is_none_or(|b| self.setup.better(&answer, b));
        if better {
            let mut shown = watch
                .best
                .lock()
                .unwrap_or_else(std::sync::PoisonError::into_inner);
            if shown.as_ref().is_none_or(|b| self.setup.better(&answer, b)) {
                *shown = Some(answer.clone());
            }
            drop(shown);
            self.best = Some(answer);
        }
        self.good = Some((
            self.length,
            self.poses.clone(),
            self.active.clone(),
            self.open.clone(),
        ));
        true
    }

    /// Moves the strip's wall: what stands right of a cut moves along.
    fn set_length(&mut self, poses: &[Pose], length: f32, cut: f32) {
        let shift = length - self.length;
        self.length = length;
        let Some(engine) = self.setup.strip_engine(length) else {
            return;
        };
        self.pages = vec![engine];
        self.pair.fill(0.0);
        self.wall.fill(0.0);
        let n = self.n();
        self.active = vec![false; n];
        for (i, pose) in poses.iter().enumerate() {
            let mut p = *pose;
            if p.x > cut {
                p.x += shift;
            }
            self.put(i, p);
        }
    }

    fn success(&mut self, watch: &Watch) {
        self.adding = None;
        self.closing = None;
        self.vain.clear();
        let kept = self.keep(watch);
        self.pool.clear();
        self.fails = 0;
        if !kept && self.good.is_none() {
            self.done = true;
            return;
        }
        match self.setup.goal {
            Goal::Strip => {
                if self.sweeps < 25 {
                    self.step = (self.step * GROWTH).min(0.02);
                } else {
                    self.step = (self.step * 0.7).max(0.001);
                }
                self.shorten();
            }
            Goal::InOrder | Goal::Setters => self.harder(),
        }
        self.begin();
    }

    fn shorten(&mut self) {
        let Some((length, poses, _, _)) = self.good.clone() else {
            return;
        };
        let step = if self.finishing { self.fine } else { self.step };
        self.length = length;
        let cut = self.dice.between(0.0, length);
        self.set_length(&poses, length * (1.0 - step), cut);
        self.clear_weights();
    }

    fn harder(&mut self) {
        if !self.waiting.is_empty() {
            let i = self.waiting.remove(0);
            self.adding = Some(i);
            let (_, pose) = self.search(i, None);
            self.put(i, pose);
            self.clear_weights();
            return;
        }
        if self.setup.goal == Goal::InOrder {
            self.done = true;
            return;
        }
        let mut area = vec![0.0; self.pages.len()];
        for i in 0..self.n() {
            area[self.poses[i].page as usize] += self.setup.kind(i).area;
        }
        let open: Vec<usize> = (0..self.pages.len()).filter(|&p| self.open[p]).collect();
        let elsewhere = |p: usize| {
            let mut on = (0..self.n()).filter(|&i| self.poses[i].page as usize == p);
            on.all(|i| {
                let kind = self.setup.parts[i];
                open.iter()
                    .any(|&q| q != p && self.setup.fields[q].accepts[kind])
            })
        };
        let closable: Vec<usize> = open.iter().copied().filter(|&p| elsewhere(p)).collect();
        if closable.iter().all(|p| self.vain.contains(p)) {
            self.vain.clear();
        }
        let emptiest = closable
            .into_iter()
            .filter(|p| !self.vain.contains(p))
            .min_by(|a, b| area[*a].total_cmp(&area[*b]));
        let Some(p) = emptiest.filter(|_| open.len() > self.setup.least_fields.max(1)) else {
            self.done = true;
            return;
        };
        self.closing = Some(p);
        self.open[p] = false;
        self.clear_weights();
        let mut out: Vec<usize> = (0..self.n())
            .filter(|&i| self.active[i] && self.poses[i].page as usize == p)
            .collect();
        out.sort_by(|&a, &b| self.setup.kind(b).area.total_cmp(&self.setup.kind(a).area));
        for &i in &out {
            self.take(i);
        }
        for i in out {
            let (_, pose) = self.search(i, None);
            self.put(i, pose);
        }
    }

    /// After a separation that got stuck: remember it, go on from a kept one, shaken.
    fn fail(&mut self) {
        self.fails += 1;
        if self.finishing && self.strip() {
            self.fine = (self.fine * 0.8).max(0.00005);
            self.shorten();
            self.begin();
            return;
        }
        let kept = Kept {
            loss: self.least,
            poses: self.least_poses.clone(),
        };
        let at = self.pool.partition_point(|k| k.loss <= kept.loss);
        self.pool.insert(at, kept);
        self.pool.truncate(12);
        if self.strip() && self.step > 0.0015 {
            self.step = (self.step * 0.5).max(0.001);
            self.pool.clear();
            self.fails = 0;
            self.shorten();
            self.begin();
            return;
        }
        // Perhaps another of those that wait fits better.
        if let (Some(i), Some((_, poses, active, _)), Goal::Setters) =
            (self.adding, self.good.clone(), self.setup.goal)
            && self.fails >= TRIES
            && !self.waiting.is_empty()
        {
            self.load(&poses, &active);
            self.waiting.push(i);
            self.pool.clear();
            self.fails = 0;
            self.harder();
            self.begin();
            return;
        }
        // Perhaps another field is emptied more easily.
        if let (Some(p), Some((_, poses, active, open))) = (self.closing, self.good.clone())
            && self.fails >= TRIES
        {
            self.load(&poses, &active);
            self.open = open;
            self.vain.push(p);
            self.pool.clear();
            self.fails = 0;
            self.harder();
            self.begin();
            return;
        }
        // The better ones more often.
        let u = self.dice.share() * self.dice.share();
        let k = ((u * self.pool.len() as f32) as usize).min(self.pool.len() - 1);
        let poses = self.pool[k].poses.clone();
        let active = self.active.clone();
        self.load(&poses, &active);
        self.clear_weights();
        self.shake();
        self.begin();
    }

    /// Two large parts of different kinds change places.
    fn shake(&mut self) {
        let mut large: Vec<usize> = (0..self.n()).filter(|&i| self.active[i]).collect();
        large.sort_by(|&a, &b| {
            let area = |i: usize| self.setup.kind(i).body.hull_area();
            area(b).total_cmp(&area(a)).then(a.cmp(&b))
        });
        let half = (large.len() / 2).max(2).min(large.len());
        if half < 2 {
            return;
        }
        for _ in 0..20 {
            let (a, b) = (large[self.dice.below(half)], large[self.dice.below(half)]);
            let (ka, kb) = (self.setup.parts[a], self.setup.parts[b]);
            let (pa, pb) = (self.poses[a], self.poses[b]);
            let fits = self.setup.fields[pb.page as usize].accepts[ka]
                && self.setup.fields[pa.page as usize].accepts[kb];
            if ka == kb || !fits {
                continue;
            }
            self.take(a);
            self.take(b);
            self.put(a, Pose { a: pa.a, ..pb });
            self.put(b, Pose { a: pb.a, ..pa });
            return;
        }
    }

    /// Takes another island's best layout.
    pub fn adopt(&mut self, other: &Island) {
        let Some(good) = other.good.clone() else {
            return;
        };
        self.best = other.best.clone();
        self.pool.clear();
        self.fails = 0;
        self.step = other.step;
        self.waiting = other.waiting.clone();
        let (length, poses, active, open) = good.clone();
        self.open = open;
        self.good = Some(good);
        if self.strip() {
            self.shorten();
        } else {
            self.waiting = (0..self.n()).filter(|&i| !active[i]).collect();
            self.length = length;
            self.load(&poses, &active);
            self.harder();
        }
        self.done = other.done;
        self.begin();
    }

    /// Goes on for so many evaluations.
    pub fn run(&mut self, evaluations: u64, watch: &Watch) {
        let until = self.evaluations + evaluations;
        while self.evaluations < until && !self.done && !watch.cancelled() {
            if !self.finishing && self.strip() && watch.finish.load(Ordering::Relaxed) {
                self.finish();
            }
            let total = self.total();
            if total <= 0.0 {
                self.success(watch);
                continue;
            }
            if total < self.least * 0.98 {
                self.stale = 0;
            } else {
                self.stale += 1;
            }
            if total < self.least {
                self.least = total;
                self.least_poses = self.poses.clone();
            }
            if self.stale >= STALE {
                self.strikes = if self.least < 0.9 * self.strike_start {
                    0
                } else {
                    self.strikes + 1
                };
                self.strike_start = self.least;
                self.stale = 0;
                if self.strikes >= STRIKES {
                    self.fail();
                    continue;
                }
                let (poses, active) = (self.least_poses.clone(), self.active.clone());
                self.load(&poses, &active);
            }
            self.reweigh();
            if self.sweep(watch).is_none() {
                return;
            }
        }
    }

    /// The last phase: small steps from the best.
    pub fn finish(&mut self) {
        if self.finishing || !self.strip() || self.good.is_none() {
            return;
        }
        self.finishing = true;
        self.pool.clear();
        self.shorten();
        self.begin();
    }

    pub fn done(&self) -> bool {
        self.done
    }
}
