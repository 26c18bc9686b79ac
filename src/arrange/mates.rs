//! Where a kind may stand beside another, or along a field's edge, so that sides meet: reckoned once for
//! each pair, for it is the same wherever the other stands.

use super::contact::{APART, Contact, Side, Turned, along, plus, rim, same_angle, turned, turning};
use super::island::Island;
use super::setup::{Setup, Surface};
use std::f32::consts::TAU;
use std::sync::Arc;

/// A place of a part beside one that is not turned and stands at (0, 0), or on a field.
#[derive(Clone, Copy, Debug)]
pub struct Mate {
    pub a: f32,
    pub at: [f32; 2],
}

impl Mate {
    /// The same beside a part that is turned and moved.
    pub fn beside(&self, a: f32, at: [f32; 2]) -> Mate {
        Mate {
            a: self.a + a,
            at: plus(turning(a)(self.at), at),
        }
    }

    fn is(&self, other: &Mate) -> bool {
        let [x, y] = [self.at[0] - other.at[0], self.at[1] - other.at[1]];
        same_angle(self.a, other.a) && x.abs() + y.abs() < APART
    }
}

/// Least share of a part's outline that a side must have for others to be laid along it.
pub const LEAST: f32 = 0.04;
/// Places kept along each side of a part, and of a field.
const MATES: usize = 2;
const EDGES: usize = 24;
/// What each further side from corner to corner adds in the choice of these.
pub const WHOLE: f32 = 0.5;
/// Turns looked at on a disc of a kind that takes any, and turns in a bore.
const RIMS: usize = 8;
const BORES: usize = 4;
/// Sides looked at that cost as much as a pose.
const SIDES_A_LOOK: u64 = 2400;

impl Setup {
    /// The sides of a kind at an angle, if it takes that.
    pub fn at_angle(&self, kind: usize, a: f32) -> Option<Arc<Turned>> {
        let k = &self.kinds[kind];
        if k.any {
            return Some(Arc::new(turned(&k.sides, a.rem_euclid(TAU))));
        }
        k.turned.iter().find(|t| same_angle(t.a, a)).cloned()
    }

    /// The best places of a kind along sides, `most` for each, at angles that it `takes`, where it is
    /// `free`; and how much was looked at.
    fn beside(
        &self,
        kind: usize,
        sides: &[Side],
        takes: &dyn Fn(f32) -> bool,
        free: &dyn Fn(&Mate) -> bool,
        most: usize,
    ) -> (Vec<Mate>, u64) {
        let k = &self.kinds[kind];
        let least = LEAST * k.around;
        let mut all: Vec<Mate> = Vec::new();
        let mut looks = 0;
        for e in sides.iter().filter(|e| e.len >= least) {
            let mut here: Vec<(f32, Mate)> = Vec::new();
            for f in k.sides.iter().filter(|f| f.len >= least) {
                let a = libm::atan2f(-e.d[1], -e.d[0]) - libm::atan2f(f.d[1], f.d[0]);
                let a = a.rem_euclid(TAU);
                if !takes(a) {
                    continue;
                }
                let t = turned(&k.sides, a);
                let turn = turning(a);
                let (p, q) = (turn(f.p), turn(f.q));
                for at in [
                    [e.q[0] - p[0], e.q[1] - p[1]],
                    [e.p[0] - q[0], e.p[1] - q[1]],
                ] {
                    looks += looked_at(sides.len(), k.sides.len());
                    let contact = along(&t.sides, at, sides, 1.0);
                    here.push((contact.worth(k.around, WHOLE), Mate { a, at }));
                }
            }
            here.sort_by(|a, b| b.0.total_cmp(&a.0));
            let mut kept = 0;
            for (_, mate) in here {
                if kept == most {
                    break;
                }
                if all.iter().any(|m| m.is(&mate)) {
                    kept += 1;
                } else if free(&mate) {
                    all.push(mate);
                    kept += 1;
                }
            }
        }
        (all, looks)
    }

    /// Places along a disc's edge, the best at each angle: a side is a chord of it.
    fn along_rim(&self, kind: usize, radius: f32, first: f32) -> Vec<Mate> {
        let k = &self.kinds[kind];
        let radius = radius - 2.0 * self.tiny;
        let angles: Vec<f32> = match k.any {
            true => (0..RIMS)
                .map(|n| (first + n as f32 * TAU / RIMS as f32).rem_euclid(TAU))
                .collect(),
            false => k.turned.iter().map(|t| t.a).collect(),
        };
        let best = |a: f32| {
            let t = turned(&k.sides, a);
            let places = t.sides.iter().filter_map(|f| {
                let high = radius * radius - f.len * f.len / 4.0;
                if high <= 0.0 {
                    return None;
                }
                // A part lies left of its sides, so outward is to the right.
                let (high, half) = (high.sqrt(), f.len / 2.0);
                let at = [
                    f.d[1] * high - f.d[0] * half - f.p[0],
                    -f.d[0] * high - f.d[1] * half - f.p[1],
                ];
                let far = |e: &Side| libm::hypotf(e.p[0] + at[0], e.p[1] + at[1]);
                let inside = t.sides.iter().all(|e| far(e) < radius + APART);
                let on: Contact = rim(&t.sides, at, radius, 1.0);
                inside.then_some((on.rim, Mate { a, at }))
            });
            places.max_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, m)| m)
        };
        angles.into_iter().filter_map(best).collect()
    }
}

/// What a look at sides costs.
pub fn looked_at(one: usize, other: usize) -> u64 {
    1 + (one * other) as u64 / SIDES_A_LOOK
}

impl Island {
    /// A look at sides costs less than one at a pose.
    pub fn count_looks(&mut self, looks: u64) {
        self.looked += looks;
        self.evaluations += self.looked / 2;
        self.looked %= 2;
    }

    /// Places of a kind beside another that stands at an angle.
    pub fn mates(&mut self, stands: usize, angle: f32, comes: usize) -> Arc<[Mate]> {
        let setup = self.setup.clone();
        let (one, other) = (&setup.kinds[stands], &setup.kinds[comes]);
        // Beside one that is turned anyhow, one that is not finds other places each time.
        let each_anew = one.any && !other.any;
        let key = stands * setup.kinds.len() + comes;
        if let Some(known) = &self.mates[key] {
            return known.clone();
        }
        let theirs: Vec<[f32; 3]> = one.body.circles().collect();
        let mine: Vec<[f32; 3]> = other.body.circles().collect();
        // What overlaps by more than a little is no place.
        let free = |mate: &Mate| {
            let turn = turning(mate.a);
            mine.iter().all(|c| {
                let at = plus(turn([c[0], c[1]]), mate.at);
                theirs.iter().all(|o| {
                    let (x, y) = (at[0] - o[0], at[1] - o[1]);
                    let r = (c[2] + o[2] - APART).max(0.0);
                    x * x + y * y >= r * r
                })
            })
        };
        let takes = |a: f32| match each_anew {
            true => other.takes(a + angle),
            false => other.any || one.turned.iter().any(|t| other.takes(t.a + a)),
        };
        let (mut found, looks) = setup.beside(comes, &one.sides, &takes, &free, MATES);
        self.count_looks(looks);
        for bore in &one.bores {
            let angles: Vec<f32> = match other.any {
                true => (0..BORES).map(|n| n as f32 * TAU / BORES as f32).collect(),
                false => other.turned.iter().map(|t| t.a).collect(),
            };
            let inside = angles.into_iter().filter(|a| takes(*a)).map(|a| {
                let middle = turning(a)(other.middle);
                let at = [bore[0] - middle[0], bore[1] - middle[1]];
                Mate { a, at }
            });
            found.extend(inside.filter(free).take(BORES));
        }
        let found: Arc<[Mate]> = found.into();
        if !each_anew {
            self.mates[key] = Some(found.clone());
        }
        found
    }

    /// Places of a kind along a field's edge.
    pub fn edges(&mut self, page: usize, kind: usize) -> Arc<[Mate]> {
        let setup = self.setup.clone();
        let (field, k) = (&setup.fields[page], &setup.kinds[kind]);
        let key = page * setup.kinds.len() + kind;
        if let Some(known) = &self.edges[key] {
            return known.clone();
        }
        if let Surface::Disc(radius) = field.wall.surface {
            let first = self.dice.between(0.0, TAU);
            let found: Arc<[Mate]> = setup.along_rim(kind, radius, first).into();
            self.count_looks((found.len() * k.sides.len()) as u64);
            // On a disc any angle is as good as another.
            if !k.any {
                self.edges[key] = Some(found.clone());
            }
            return found;
        }
        let inside = |mate: &Mate| self.is_inside(page, &turned(&k.sides, mate.a), mate.at);
        let takes = |a: f32| k.takes(a);
        let (found, looks) = setup.beside(kind, &field.sides, &takes, &inside, EDGES);
        self.count_looks(looks);
        let found: Arc<[Mate]> = found.into();
        self.edges[key] = Some(found.clone());
        found
    }

    /// Whether the box of sides, moved, lies in that of a field.
    pub fn is_inside(&self, page: usize, t: &Turned, at: [f32; 2]) -> bool {
        let b = self.setup.fields[page].wall.bounds;
        let slack = 4.0 * self.setup.tiny;
        t.bounds[0] + at[0] >= b[0] - slack
            && t.bounds[1] + at[1] >= b[1] - slack
            && t.bounds[2] + at[0] <= b[2] + slack
            && t.bounds[3] + at[1] <= b[3] + slack
    }
}
