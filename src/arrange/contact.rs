//! Sides along sides. Where a side of a part lies along a side of another that stands there, or along
//! the field's edge, corner to corner, the two may belong together, and the more sides do so at once the
//! likelier; samples seldom find such places. What is fixed on a field is kept off, but nothing is set
//! along it.

use super::dice::Dice;
use super::setup::{Setup, Surface};
use super::shape::rings;
use crate::geometry::{P2, Shape};
use std::ops::AddAssign;

/// A side of a grown outline, drawn out to where it meets its neighbours.
#[derive(Clone, Copy, Debug)]
pub struct Side {
    pub p: [f32; 2],
    pub q: [f32; 2],
    /// Its direction; the part lies to its left.
    pub d: [f32; 2],
    pub len: f32,
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
    pub a: f32,
    pub sides: Vec<Side>,
    pub bounds: [f32; 4],
    /// Of all that the sides reach: left, lower, right, upper.
    pub reach: [f32; 4],
}

/// Sides lie along each other if they point against each other within this (0.4 degrees) and are
/// no farther apart than that, search scale.
const AGAINST: f32 = -0.999_975;
pub const APART: f32 = 0.06;
/// More than the tangent of the angle that [`AGAINST`] allows.
const ASKEW: f32 = 0.01;
/// Corners are drawn out up to this cosine of the turn: sharper ones would reach too far. Where parts
/// meet at a sharp corner, too, it is drawn out that they meet.
const SHARP: f64 = -0.9;
/// Angles are the same within this, radians.
const SAME: f32 = 2e-4;
/// Chords of a disc's edge that count as sides from corner to corner.
const CHORDS: f32 = 2.0;
/// What the rim counts for a part that touches nothing else: there it may lie anywhere round, beside
/// another it belongs. So much of the outline has to touch.
const RIM_ALONE: f32 = 0.2;
const TOUCHES: f32 = 0.03;
/// A place is worth settling where so many sides meet from corner to corner, or what lies along others is such
/// a share of the outline, sides from corner to corner counted as the taste has it.
pub const SEVERAL: f32 = 2.0;
const MOSTLY: f32 = 0.3;
/// Rounds of moving off one side after another.
const SETTLE: usize = 24;
/// Least distance left then, search scale.
const OFF: f32 = 2e-5;

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
    let turn = turning(a);
    let sides: Vec<Side> = sides
        .iter()
        .map(|e| Side {
            p: turn(e.p),
            q: turn(e.q),
            d: turn(e.d),
            len: e.len,
        })
        .collect();
    let bounds = sides.iter().fold(NOTHING, |b, e| {
        [
            b[0].min(e.p[0]),
            b[1].min(e.p[1]),
            b[2].max(e.p[0]),
            b[3].max(e.p[1]),
        ]
    });
    let reach = sides.iter().fold(NOTHING, |b, e| union(b, e.bounds()));
    Turned {
        a,
        sides,
        bounds,
        reach,
    }
}

/// Sides turned and moved.
pub fn placed(sides: &[Side], a: f32, at: [f32; 2]) -> Vec<Side> {
    let turn = turning(a);
    let place = |v: [f32; 2]| plus(turn(v), at);
    let side = |e: &Side| Side {
        p: place(e.p),
        q: place(e.q),
        d: turn(e.d),
        len: e.len,
    };
    sides.iter().map(side).collect()
}

/// Turns about the origin.
pub fn turning(a: f32) -> impl Fn([f32; 2]) -> [f32; 2] {
    let (s, c) = (libm::sinf(a), libm::cosf(a));
    move |v| [c * v[0] - s * v[1], s * v[0] + c * v[1]]
}

/// Whether two angles are the same.
pub fn same_angle(a: f32, b: f32) -> bool {
    let apart = (a - b).rem_euclid(std::f32::consts::TAU);
    apart.min(std::f32::consts::TAU - apart) < SAME
}

/// What of an outline lies along others.
#[derive(Clone, Copy, Default, PartialEq, Debug)]
pub struct Contact {
    /// Along sides.
    pub length: f32,
    /// Along a disc's edge.
    pub rim: f32,
    /// Sides that do from corner to corner.
    pub whole: f32,
}

impl AddAssign for Contact {
    fn add_assign(&mut self, more: Contact) {
        self.length += more.length;
        self.rim += more.rim;
        self.whole += more.whole;
    }
}

impl Contact {
    /// How likely a part belongs there: by the share of its outline, and by the sides that meet from
    /// corner to corner, for several do so by chance the more seldom the more they are.
    pub fn worth(&self, around: f32, whole: f32) -> f32 {
        let rim = match self.length > TOUCHES * around {
            true => self.rim,
            false => RIM_ALONE * self.rim,
        };
        (self.length + rim) / around * (1.0 + whole * (self.whole - 1.0).max(0.0))
    }

    /// Whether what overlaps there by a hair is worth settling.
    pub fn is_close(&self, around: f32) -> bool {
        self.whole >= SEVERAL || self.length + self.rim >= MOSTLY * around
    }
}

/// Sides that stand, each with the box of all that can lie along it.
#[derive(Clone, Default)]
pub struct Standing {
    pub sides: Vec<Side>,
    boxes: Vec<[f32; 4]>,
    /// Round all boxes.
    round: Option<[f32; 4]>,
    /// Radius of a disc's edge, about (0, 0).
    rim: Option<f32>,
}

impl Standing {
    /// The edge of a field.
    pub fn edge(setup: &Setup, page: usize) -> Standing {
        let field = &setup.fields[page];
        let mut edge = Standing {
            rim: match field.wall.surface {
                Surface::Disc(radius) => Some(radius),
                _ => None,
            },
            ..Standing::default()
        };
        edge.extend(&field.sides);
        edge
    }

    pub fn extend(&mut self, sides: &[Side]) {
        for e in sides {
            let near = e.near();
            self.sides.push(*e);
            self.boxes.push(near);
            self.round = Some(self.round.map_or(near, |r| union(r, near)));
        }
    }

    fn near(&self, mine: &Turned, by: [f32; 2]) -> impl Iterator<Item = &Side> {
        let near = self.sides.iter().zip(&self.boxes);
        let near = near.filter(move |(_, b)| meets(mine.reach, by, **b));
        near.map(|(e, _)| e)
    }

    /// What of `mine`, moved, lies along these; a side from corner to corner counts `whole` times
    /// its length. `few` is room to work in.
    pub fn along(&self, mine: &Turned, by: [f32; 2], whole: f32, few: &mut Vec<Side>) -> Contact {
        let rim = self.rim.map(|radius| rim(&mine.sides, by, radius, whole));
        let mut contact = rim.unwrap_or_default();
        if self.round.is_some_and(|r| meets(mine.reach, by, r)) {
            few.clear();
            few.extend(self.near(mine, by).copied());
            contact += along(&mine.sides, by, few, whole);
        }
        contact
    }

    /// Where a part that lies along sides within [`APART`] overlaps none of them, and how far it is
    /// turned there, if it `turns`: drawings are rounded, so of several sides that meet some are a
    /// hair's breadth too near. None if it stands so, or there is no such place at once.
    pub fn settled(&self, mine: &Turned, by: [f32; 2], turns: bool) -> Option<([f32; 2], f32)> {
        let r = mine.reach;
        let size = (0.5 * (r[2] - r[0]).max(r[3] - r[1])).max(1e-3);
        let lever = |n: [f32; 2], at: [f32; 2]| match turns {
            true => (n[1] * at[0] - n[0] * at[1]) / size,
            false => 0.0,
        };
        // What a step to the right, upward, round makes an end of a side farther off, and how far
        // that is.
        let mut off: Vec<([f32; 3], f32)> = Vec::new();
        let near: Vec<&Side> = self.near(mine, by).collect();
        for f in &mine.sides {
            let (p, q) = (plus(f.p, by), plus(f.q, by));
            for e in near.iter().filter(|e| dot(e.d, f.d) <= AGAINST) {
                let n = [e.d[1], -e.d[0]];
                let from = |v: [f32; 2]| [v[0] - e.p[0], v[1] - e.p[1]];
                let (first, last) = (dot(from(q), e.d), dot(from(p), e.d));
                let (low, high) = (first.max(0.0), last.min(e.len));
                if low >= high {
                    continue;
                }
                let (at_q, at_p) = (dot(from(q), n), dot(from(p), n));
                for t in [low, high] {
                    let share = (t - first) / (last - first).max(1e-6);
                    let gap = at_q + (at_p - at_q) * share;
                    let x = f.q[0] + (f.p[0] - f.q[0]) * share;
                    let y = f.q[1] + (f.p[1] - f.q[1]) * share;
                    if gap.abs() < APART {
                        off.push(([n[0], n[1], lever(n, [x, y])], gap));
                    }
                }
            }
            if let Some(radius) = self.rim {
                let far = libm::hypotf(p[0], p[1]);
                if (radius - far).abs() < APART && far > APART {
                    let n = [-p[0] / far, -p[1] / far];
                    off.push(([n[0], n[1], lever(n, f.p)], radius - far));
                }
            }
        }
        let mut by_how = [0.0f32; 3];
        for _ in 0..SETTLE {
            let mut moved = false;
            for (n, gap) in &off {
                let now: f32 = n.iter().zip(&by_how).map(|(n, d)| n * d).sum();
                let short = (OFF - gap - now) / (1.0 + n[2] * n[2]);
                if short > 1e-6 {
                    for (d, n) in by_how.iter_mut().zip(n) {
                        *d += n * short;
                    }
                    moved = true;
                }
            }
            if !moved {
                break;
            }
        }
        let far = by_how.iter().fold(0.0f32, |m, v| m.max(v.abs()));
        let at = plus(by, [by_how[0], by_how[1]]);
        (far > 0.0 && far < APART).then_some((at, by_how[2] / size))
    }
}

/// A box without anything in it.
const NOTHING: [f32; 4] = [f32::MAX, f32::MAX, f32::MIN, f32::MIN];

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

pub fn plus(a: [f32; 2], b: [f32; 2]) -> [f32; 2] {
    [a[0] + b[0], a[1] + b[1]]
}

fn dot(a: [f32; 2], b: [f32; 2]) -> f32 {
    a[0] * b[0] + a[1] * b[1]
}

/// What of `mine`, moved, lies along `others`.
pub fn along(mine: &[Side], by: [f32; 2], others: &[Side], whole: f32) -> Contact {
    let mut sum = Contact::default();
    for f in mine {
        let p = plus(f.p, by);
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
            sum += match corners {
                true => Contact {
                    length: whole * on,
                    whole: 1.0,
                    ..Contact::default()
                },
                false => Contact {
                    length: on,
                    ..Contact::default()
                },
            };
        }
    }
    sum
}

/// What of `mine`, moved, lies along a disc's edge: the sides that are chords of it.
pub fn rim(mine: &[Side], by: [f32; 2], radius: f32, whole: f32) -> Contact {
    let on = |p: [f32; 2]| (libm::hypotf(p[0] + by[0], p[1] + by[1]) - radius).abs() < APART;
    let chords = mine.iter().filter(|e| on(e.p) && on(e.q));
    let mut sum = Contact::default();
    for e in chords {
        sum += Contact {
            rim: whole * e.len,
            whole: 1.0,
            ..Contact::default()
        };
    }
    sum.whole = sum.whole.min(CHORDS);
    sum
}

/// What makes a place better than another; each filling draws its own.
#[derive(Clone, Copy)]
pub struct Taste {
    /// How much more a side counts that lies along another from corner to corner.
    pub corners: f32,
    /// How much each further of them adds.
    pub whole: f32,
    /// How much a part's size counts against its contact.
    pub size: f32,
    /// Chance.
    pub noise: f32,
}

impl Taste {
    pub fn draw(dice: &mut Dice) -> Taste {
        let u = dice.share();
        Taste {
            corners: 1.0 + 2.5 * u * u,
            size: 0.1 + 0.5 * dice.share(),
            noise: 0.3 * dice.share(),
            whole: 2.0 * dice.share(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ring(outer: &[P2]) -> Vec<Side> {
        let outer = outer.to_vec();
        let holes = Vec::new();
        sides(&Shape { outer, holes }, 0.0)
    }

    fn slot() -> Vec<Side> {
        ring(&[
            [0.0, 0.0],
            [30.0, 0.0],
            [30.0, 20.0],
            [20.0, 20.0],
            [20.0, 10.0],
            [10.0, 10.0],
            [10.0, 20.0],
            [0.0, 20.0],
        ])
    }

    /// A tongue under a bar, as wide as the slot but for a hundredth; its origin is its lower end.
    fn tongue() -> Vec<Side> {
        ring(&[
            [0.005, 0.0],
            [9.995, 0.0],
            [9.995, 10.0],
            [20.0, 10.0],
            [20.0, 20.0],
            [-10.0, 20.0],
            [-10.0, 10.0],
            [0.005, 10.0],
        ])
    }

    #[test]
    fn several_sides_that_meet_count_for_more_than_one_as_long() {
        let mut there = Standing::default();
        there.extend(&slot());
        let few = &mut Vec::new();
        let within = there.along(&turned(&tongue(), 0.0), [10.0, 10.0], 1.0, few);
        // Flanks, end, and both shoulders: 10 each.
        assert!((within.length - 50.0).abs() < 0.1 && within.whole == 5.0);
        let bar = ring(&[[0.0, 0.0], [20.0, 0.0], [20.0, 20.0], [0.0, 20.0]]);
        let beside = there.along(&turned(&bar, 0.0), [30.0, 0.0], 1.0, few);
        assert!((beside.length - 20.0).abs() < 0.1 && beside.whole == 1.0);
        assert!(within.worth(100.0, 0.5) > 4.0 * beside.worth(100.0, 0.5));
        // What overlaps or is away has none.
        let away = there.along(&turned(&tongue(), 0.0), [50.0, 50.0], 1.0, few);
        assert_eq!(away, Contact::default());
    }

    #[test]
    fn a_part_settles_between_the_sides_that_it_meets() {
        let mut there = Standing::default();
        there.extend(&slot());
        // Too far right and too low by less than sides may be apart, and turned.
        for (by, a) in [
            ([0.02, -0.01], 0.0),
            ([-0.03, 0.0], 0.0),
            ([0.0, -0.01], 6e-4),
        ] {
            let mine = turned(&tongue(), a);
            let (at, more) = there.settled(&mine, plus([10.0, 10.0], by), true).unwrap();
            for e in placed(&tongue(), a + more, at) {
                // No corner of it is in the metal.
                let [x, y] = e.p;
                let slot = x > 10.0 - 1e-4 && x < 20.0 + 1e-4 && y > 10.0 - 1e-4;
                assert!(slot || y > 20.0 - 1e-4, "{by:?} {a}: {x} {y}");
            }
        }
        // Where nothing is too near nothing is done.
        let free = turned(&tongue(), 0.0);
        assert_eq!(there.settled(&free, [10.0, 10.03], true), None);
    }

    #[test]
    fn an_arc_lies_along_the_rim_that_it_was_cut_from() {
        let radius = 50.0;
        let on = |deg: f64| {
            let (s, c) = deg.to_radians().sin_cos();
            [radius * c, radius * s]
        };
        let mut outer = vec![[0.0, 0.0]];
        outer.extend((0..=6).map(|k| on(5.0 * k as f64)));
        let piece = ring(&outer);
        let there = Standing {
            rim: Some(radius as f32),
            ..Standing::default()
        };
        let few = &mut Vec::new();
        let seated = there.along(&turned(&piece, 1.0), [0.0, 0.0], 1.0, few);
        // Six chords of 5 degrees each.
        let chord = 2.0 * 50.0 * 2.5f32.to_radians().sin();
        assert!((seated.rim - 6.0 * chord).abs() < 1e-2);
        let off = there.along(&turned(&piece, 1.0), [1.0, 0.0], 1.0, few);
        assert!(off.rim < seated.rim / 2.0);
    }

    #[test]
    fn sharp_corners_that_were_cut_apart_meet() {
        // A plate of 32 x 20 cut along its diagonal, each half drawn 1 inside itself: moved outward by 1
        // they meet along the whole cut, whose ends are corners of 32 degrees.
        let (w, h) = (32.0f64, 20.0f64);
        let r = (w + h - w.hypot(h)) / 2.0;
        let inside = |p: P2| {
            let by = (r - 1.0) / r;
            let middle = [w - r, r];
            [
                middle[0] + by * (p[0] - middle[0]),
                middle[1] + by * (p[1] - middle[1]),
            ]
        };
        let lower = [inside([0.0, 0.0]), inside([w, 0.0]), inside([w, h])];
        let upper = lower.map(|p| [w - p[0], h - p[1]]);
        let grown = |outer: &[P2]| {
            let outer = outer.to_vec();
            let holes = Vec::new();
            sides(&Shape { outer, holes }, 1.0)
        };
        let on = along(&grown(&lower), [0.0, 0.0], &grown(&upper), 1.0);
        assert_eq!(on.whole, 1.0);
        assert!((f64::from(on.length) - w.hypot(h)).abs() < 0.01);
    }

    #[test]
    fn the_rim_counts_little_for_what_touches_nothing_else() {
        let rim = Contact {
            rim: 40.0,
            whole: 2.0,
            ..Contact::default()
        };
        let beside = Contact {
            length: 10.0,
            ..rim
        };
        assert!(beside.worth(100.0, 1.0) > 3.0 * rim.worth(100.0, 1.0));
        // A place that a part fills well is settled though no side meets another from corner to corner.
        let seated = Contact {
            length: 60.0,
            ..Contact::default()
        };
        let grazed = Contact {
            length: 10.0,
            ..seated
        };
        assert!(seated.is_close(100.0) && !grazed.is_close(100.0));
    }
}
