//! Filling a field by contact: of all places where a side of a waiting part lies along a side of a
//! part that stands there, or along the field's edge, corner to corner, the one with the most of the
//! part's outline in contact comes first. Parts that belong together find each other so, which
//! samples seldom do. What is fixed on the field is kept off, but nothing is set along it.

use super::dice::Dice;
use super::island::{Island, Pose};
use super::setup::Setup;
use super::shape::rings;
use super::task::Watch;
use crate::geometry::{P2, Shape};

/// A side of a grown outline, drawn out to where it meets its neighbours.
#[derive(Clone, Copy, Debug)]
pub struct Side {
    p: [f32; 2],
    q: [f32; 2],
    d: [f32; 2],
    len: f32,
}

impl Side {
    fn bounds(&self) -> [f32; 4] {
        let (p, q) = (self.p, self.q);
        [
            p[0].min(q[0]),
            p[1].min(q[1]),
            p[0].max(q[0]),
            p[1].max(q[1]),
        ]
    }

    /// What lies along it lies in this box: sides may be apart, and end farther so for their angle.
    fn near(&self) -> [f32; 4] {
        let b = self.bounds();
        let far = 2.0 * APART + ASKEW * self.len;
        [b[0] - far, b[1] - far, b[2] + far, b[3] + far]
    }
}

/// Sides of a kind at one angle.
#[derive(Clone)]
pub struct Turned {
    a: f32,
    sides: Vec<Side>,
    bounds: [f32; 4],
    /// Of all that the sides reach: left, lower, right, upper.
    reach: [f32; 4],
}

/// Sides lie along each other if they point against each other within this (0.4 degrees) and are
/// no farther apart than that, search scale.
const AGAINST: f32 = -0.999_975;
const APART: f32 = 0.06;
/// More than the tangent of the angle that [`AGAINST`] allows.
const ASKEW: f32 = 0.01;
/// Corners are drawn out up to this cosine of the turn: sharper ones would reach too far.
const SHARP: f64 = -0.3;
/// Places kept for one field.
const PLACES: usize = 3000;
/// Least share of a part's outline that must lie along its first neighbour.
const LEAST: f32 = 0.04;

/// The sides of a shape moved outward by `grow`.
pub fn sides(shape: &Shape, grow: f64) -> Vec<Side> {
    let mut all = Vec::new();
    for ring in rings(shape) {
        let n = ring.len();
        let at = |k: usize| ring[k % n];
        let unit = |a: P2, b: P2| {
            let l = libm::hypot(b[0] - a[0], b[1] - a[1]).max(1e-12);
            [(b[0] - a[0]) / l, (b[1] - a[1]) / l]
        };
        let corner = |k: usize, own: P2| -> P2 {
            let (u, v) = (unit(at(k + n - 1), at(k)), unit(at(k), at(k + 1)));
            let dot = u[0] * v[0] + u[1] * v[1];
            let b = at(k);
            if dot < SHARP {
                return [b[0] + grow * own[1], b[1] - grow * own[0]];
            }
            let f = grow / (1.0 + dot);
            [b[0] + f * (u[1] + v[1]), b[1] - f * (u[0] + v[0])]
        };
        for k in 0..n {
            let own = unit(at(k), at(k + 1));
            let (p, q) = (corner(k, own), corner(k + 1, own));
            let along = (q[0] - p[0]) * own[0] + (q[1] - p[1]) * own[1];
            if along > 1e-6 {
                let f = |v: P2| [v[0] as f32, v[1] as f32];
                all.push(Side {
                    p: f(p),
                    q: f(q),
                    d: f(own),
                    len: along as f32,
                });
            }
        }
    }
    all
}

/// The sides turned.
pub fn turned(sides: &[Side], a: f32) -> Turned {
    let (s, c) = (libm::sinf(a), libm::cosf(a));
    let turn = |v: [f32; 2]| [c * v[0] - s * v[1], s * v[0] + c * v[1]];
    let sides: Vec<Side> = sides
        .iter()
        .map(|e| Side {
            p: turn(e.p),
            q: turn(e.q),
            d: turn(e.d),
            len: e.len,
        })
        .collect();
    let none = [f32::MAX, f32::MAX, f32::MIN, f32::MIN];
    let bounds = sides.iter().fold(none, |b, e| {
        [
            b[0].min(e.p[0]),
            b[1].min(e.p[1]),
            b[2].max(e.p[0]),
            b[3].max(e.p[1]),
        ]
    });
    let reach = sides.iter().fold(none, |b, e| union(b, e.bounds()));
    Turned {
        a,
        sides,
        bounds,
        reach,
    }
}

fn union(a: [f32; 4], b: [f32; 4]) -> [f32; 4] {
    [
        a[0].min(b[0]),
        a[1].min(b[1]),
        a[2].max(b[2]),
        a[3].max(b[3]),
    ]
}

/// Whether a box moved by `by` meets another.
fn meets(a: [f32; 4], by: [f32; 2], b: [f32; 4]) -> bool {
    let x = a[0] + by[0] <= b[2] && a[2] + by[0] >= b[0];
    x && a[1] + by[1] <= b[3] && a[3] + by[1] >= b[1]
}

/// Sides that stand, each with the box of all that can lie along it.
#[derive(Clone, Default)]
struct Standing {
    sides: Vec<Side>,
    boxes: Vec<[f32; 4]>,
    /// Round all boxes.
    round: Option<[f32; 4]>,
}

impl Standing {
    fn extend(&mut self, sides: &[Side]) {
        for e in sides {
            let near = e.near();
            self.sides.push(*e);
            self.boxes.push(near);
            self.round = Some(self.round.map_or(near, |r| union(r, near)));
        }
    }

    /// Length of the sides of `mine`, moved, that lies along these; `few` is room to work in.
    fn along(&self, mine: &Turned, by: [f32; 2], whole: f32, few: &mut Vec<Side>) -> f32 {
        if !self.round.is_some_and(|r| meets(mine.reach, by, r)) {
            return 0.0;
        }
        let near = self.sides.iter().zip(&self.boxes);
        let near = near.filter(|(_, b)| meets(mine.reach, by, **b));
        few.clear();
        few.extend(near.map(|(e, _)| *e));
        along(&mine.sides, by, few, whole)
    }
}

fn dot(a: [f32; 2], b: [f32; 2]) -> f32 {
    a[0] * b[0] + a[1] * b[1]
}

/// Length of `mine`, moved, that lies along `others`.
fn along(mine: &[Side], by: [f32; 2], others: &[Side], whole: f32) -> f32 {
    let mut sum = 0.0;
    for f in mine {
        let p = [f.p[0] + by[0], f.p[1] + by[1]];
        for e in others {
            if dot(e.d, f.d) > AGAINST {
                continue;
            }
            let to = [e.p[0] - p[0], e.p[1] - p[1]];
            if (f.d[0] * to[1] - f.d[1] * to[0]).abs() > APART {
                continue;
            }
            let end = dot(f.d, to);
            let begin = end - e.len;
            let on = (end.min(f.len) - begin.max(0.0)).max(0.0);
            let corners = begin.abs() < APART && (end - f.len).abs() < APART;
            sum += if corners { whole * on } else { on };
        }
    }
    sum
}

/// What makes a place better than another; each filling draws its own.
#[derive(Clone, Copy)]
pub struct Taste {
    /// How much more a side counts that lies along another from corner to corner.
    whole: f32,
    /// How much a part's size counts against its contact.
    size: f32,
    /// Chance.
    noise: f32,
}

impl Taste {
    pub fn draw(dice: &mut Dice) -> Taste {
        let u = dice.share();
        Taste {
            whole: 1.0 + 2.5 * u * u,
            size: 0.1 + 0.5 * dice.share(),
            noise: 0.3 * dice.share(),
        }
    }
}

/// A place that a waiting part may take.
struct Place {
    kind: usize,
    turned: usize,
    at: [f32; 2],
    contact: f32,
    chance: f32,
}

/// A place's kind as turned there.
fn at_angle<'a>(setup: &'a Setup, made: &'a [Vec<Turned>], p: &Place) -> &'a Turned {
    let kind = &setup.kinds[p.kind];
    let list = if kind.any {
        &made[p.kind]
    } else {
        &kind.turned
    };
    &list[p.turned]
}

impl Island {
    fn sides_of(&self, i: usize) -> Vec<Side> {
        let pose = self.poses[i];
        let t = turned(&self.setup.kind(i).sides, pose.a);
        t.sides
            .iter()
            .map(|e| Side {
                p: [e.p[0] + pose.x, e.p[1] + pose.y],
                q: [e.q[0] + pose.x, e.q[1] + pose.y],
                ..*e
            })
            .collect()
    }

    /// Fills a field with those of the first `count` parts that are not placed.
    pub fn fill(&mut self, page: usize, count: usize, taste: Taste, watch: &Watch) {
        let setup = self.setup.clone();
        let field = &setup.fields[page];
        let mut there = Standing::default();
        there.extend(&field.sides);
        for i in 0..self.n() {
            if self.active[i] && self.poses[i].page as usize == page {
                there.extend(&self.sides_of(i));
            }
        }
        // One list of sides an angle; of a kind that takes any, one is made when a side wants it.
        let mut lists: Vec<Vec<Turned>> = setup.kinds.iter().map(|_| Vec::new()).collect();
        let mut waiting: Vec<Vec<usize>> = vec![Vec::new(); setup.kinds.len()];
        for i in (0..count).rev() {
            let kind = setup.parts[i];
            if !self.active[i] && field.accepts[kind] {
                waiting[kind].push(i);
            }
        }
        // The last is taken first: of a kind the one that is worth most.
        for of_kind in &mut waiting {
            of_kind.sort_by(|&a, &b| {
                let worth = setup.worth[a].total_cmp(&setup.worth[b]);
                worth.then(b.cmp(&a))
            });
        }
        let mut places: Vec<Place> = Vec::new();
        let mut fresh = there.clone();
        let mut few = Vec::new();
        loop {
            for kind in 0..setup.kinds.len() {
                if watch.cancelled() {
                    return;
                }
                if !waiting[kind].is_empty() {
                    self.look(
                        kind,
                        &fresh,
                        &there,
                        field.wall.bounds,
                        &mut lists[kind],
                        &mut places,
                        taste,
                    );
                }
            }
            places.retain(|p| !waiting[p.kind].is_empty());
            let rank = |p: &Place| {
                let k = &setup.kinds[p.kind];
                p.contact / k.around + taste.size * k.area / setup.largest + p.chance
            };
            places.sort_by(|a, b| rank(b).total_cmp(&rank(a)));
            places.truncate(PLACES);
            let mut found = None;
            let mut bad = 0;
            for p in &places {
                let Some(&i) = waiting[p.kind].last() else {
                    continue;
                };
                let pose = Pose {
                    page: page as u16,
                    x: p.at[0],
                    y: p.at[1],
                    a: at_angle(&setup, &lists, p).a,
                };
                if self.bears(i, page) && self.free(i, pose) {
                    found = Some((i, p.kind, pose));
                    break;
                }
                bad += 1;
            }
            let Some((i, kind, pose)) = found else {
                return;
            };
            places.drain(..bad);
            self.put(i, pose);
            waiting[kind].pop();
            fresh = Standing::default();
            fresh.extend(&self.sides_of(i));
            for p in &mut places {
                let turned = at_angle(&setup, &lists, p);
                p.contact += fresh.along(turned, p.at, taste.whole, &mut few);
            }
            there.extend(&fresh.sides);
        }
    }

    #[allow(clippy::too_many_arguments)]
    fn look(
        &mut self,
        kind: usize,
        fresh: &Standing,
        there: &Standing,
        field: [f32; 4],
        list: &mut Vec<Turned>,
        places: &mut Vec<Place>,
        taste: Taste,
    ) {
        let setup = self.setup.clone();
        let k = &setup.kinds[kind];
        let least = LEAST * k.around;
        let mut pairs: Vec<(usize, [f32; 2])> = Vec::new();
        let mut few = Vec::new();
        if k.any {
            for e in fresh.sides.iter().filter(|e| e.len >= least) {
                for f in k.sides.iter().filter(|f| f.len >= least) {
                    let a = libm::atan2f(-e.d[1], -e.d[0]) - libm::atan2f(f.d[1], f.d[0]);
                    let a = a.rem_euclid(std::f32::consts::TAU);
                    let same = |t: &Turned| (t.a - a).abs() < 1e-4;
                    let at = list.iter().position(same).unwrap_or_else(|| {
                        list.push(turned(&k.sides, a));
                        list.len() - 1
                    });
                    let (s, c) = (libm::sinf(a), libm::cosf(a));
                    let turn = |v: [f32; 2]| [c * v[0] - s * v[1], s * v[0] + c * v[1]];
                    let (p, q) = (turn(f.p), turn(f.q));
                    pairs.push((at, [e.q[0] - p[0], e.q[1] - p[1]]));
                    pairs.push((at, [e.p[0] - q[0], e.p[1] - q[1]]));
                }
            }
        } else {
            for (at, t) in k.turned.iter().enumerate() {
                for f in t.sides.iter().filter(|f| f.len >= least) {
                    for e in fresh.sides.iter().filter(|e| e.len >= least) {
                        if dot(e.d, f.d) < AGAINST {
                            pairs.push((at, [e.q[0] - f.p[0], e.q[1] - f.p[1]]));
                            pairs.push((at, [e.p[0] - f.q[0], e.p[1] - f.q[1]]));
                        }
                    }
                }
            }
        }
        let slack = 4.0 * setup.tiny;
        let list: &[Turned] = if k.any { list } else { &k.turned };
        for (turned, at) in pairs {
            let t = &list[turned];
            let out = t.bounds[0] + at[0] < field[0] - slack
                || t.bounds[1] + at[1] < field[1] - slack
                || t.bounds[2] + at[0] > field[2] + slack
                || t.bounds[3] + at[1] > field[3] + slack;
            if out {
                continue;
            }
            self.looked += 1 + (there.sides.len() * t.sides.len()) as u64 / 2400;
            let contact = there.along(t, at, taste.whole, &mut few);
            places.push(Place {
                kind,
                turned,
                at,
                contact,
                chance: taste.noise * self.dice.share(),
            });
        }
        // A look at sides costs less than one at a pose.
        self.evaluations += self.looked / 2;
        self.looked %= 2;
    }
}
