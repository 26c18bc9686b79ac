//! A group of parts that fit together, grown apart from any field and then set down flush in a corner of
//! one: what belongs together is found so even where none of it belongs into a corner.

use super::collide::{Engine, Space};
use super::contact::{
    Contact, SEVERAL, Side, Standing, Taste, placed, plus, same_angle, turned, turning,
};
use super::fill::Place;
use super::island::{Island, Pose};
use super::mates::{Mate, WHOLE};
use super::setup::Surface;
use super::task::Watch;
use std::f32::consts::{FRAC_PI_2, TAU};

/// Share of the outline in contact for a part to belong to a group.
const SHARE: f32 = 0.2;
/// Places kept for the next part of a group.
const PLACES: usize = 100;
/// Angles at which a group is tried, and places on the field.
const ANGLES: usize = 24;
const SPOTS: usize = 12;
/// Sides whose angles differ by less give the same angle of a group, radians.
const ALIKE: f32 = 2e-3;
/// How much larger than the field a group may seem: it settles as it is set down, search scale.
const SLACK: f32 = 0.01;
/// Width of the ground that a group grows on, in field widths, each way.
const ROOM: f32 = 4.0;

/// A part of a group and where it stands in it.
#[derive(Clone, Copy)]
struct Member {
    part: usize,
    at: [f32; 2],
    a: f32,
}

impl Island {
    /// Sets down a group of those of the first `count` parts that wait: whether one was.
    pub fn group(&mut self, page: usize, count: usize, taste: Taste, watch: &Watch) -> bool {
        // A disc has no corners.
        if matches!(self.setup.fields[page].wall.surface, Surface::Disc(_)) {
            return false;
        }
        let mut waiting = self.waiting_for(page, count);
        let Some((members, sides, angles)) = self.grown(page, &mut waiting, taste, watch) else {
            return false;
        };
        members.len() > 1 && self.set_down_group(page, &members, &sides, &angles)
    }

    /// A group, its sides, and the angles at which it goes into the field's box.
    fn grown(
        &mut self,
        page: usize,
        waiting: &mut [Vec<usize>],
        taste: Taste,
        watch: &Watch,
    ) -> Option<(Vec<Member>, Vec<Side>, Vec<f32>)> {
        let setup = self.setup.clone();
        let b = setup.fields[page].wall.bounds;
        let room = f64::from(ROOM * (b[2] - b[0]).max(b[3] - b[1]));
        let ground = [[-room, -room], [room, -room], [room, room], [-room, room]];
        let mut ground = Engine::new(&ground, &[])?;
        let kinds: Vec<usize> = (0..waiting.len())
            .filter(|&k| !waiting[k].is_empty())
            .collect();
        let all: usize = waiting.iter().map(Vec::len).sum();
        let mut nth = (all > 0).then(|| self.dice.below(all))?;
        let first = kinds.into_iter().find(|&kind| {
            let here = nth < waiting[kind].len();
            nth = nth.saturating_sub(waiting[kind].len());
            here
        })?;
        let k = &setup.kinds[first];
        let mut next = (
            first,
            Member {
                part: *waiting[first].last()?,
                at: [0.0, 0.0],
                a: if k.any { 0.0 } else { k.turned.first()?.a },
            },
        );
        let (mut members, mut angles) = (Vec::new(), Vec::new());
        let mut there = Standing::default();
        let mut places: Vec<Place> = Vec::new();
        let mut few = Vec::new();
        loop {
            if watch.cancelled() {
                return None;
            }
            let (kind, new) = next;
            waiting[kind].pop();
            let body = &mut self.buffer[kind];
            body.set(&setup.kinds[kind].body, new.at[0], new.at[1], new.a);
            ground.put(new.part as u16, body);
            let mut sides = Standing::default();
            sides.extend(&placed(&setup.kinds[kind].sides, new.a, new.at));
            for p in &mut places {
                p.contact += sides.along(&p.turned, p.at, taste.corners, &mut few);
            }
            there.extend(&sides.sides);
            members.push(new);
            self.beside_member(kind, new, &there, waiting, &mut places, taste);
            places.retain(|p| {
                let Contact { length, whole, .. } = p.contact;
                let share = length / setup.kinds[p.kind].around;
                !waiting[p.kind].is_empty() && whole >= SEVERAL && share >= SHARE
            });
            let rank = |p: &Place| p.contact.worth(setup.kinds[p.kind].around, WHOLE) + p.chance;
            places.sort_by(|a, b| rank(b).total_cmp(&rank(a)));
            places.truncate(PLACES);
            let mut found = None;
            let mut seen = 0;
            for place in &places {
                seen += 1;
                let Some(member) = self.joins(place, waiting, &there, &ground) else {
                    continue;
                };
                let mut more = there.sides.clone();
                more.extend(placed(&setup.kinds[place.kind].sides, member.a, member.at));
                members.push(member);
                let fits = self.angles_of(page, &members, &more);
                members.pop();
                self.evaluations += ANGLES as u64;
                if watch.cancelled() {
                    return None;
                }
                if !fits.is_empty() {
                    angles = fits;
                    found = Some((place.kind, member));
                    break;
                }
            }
            places.drain(..seen);
            let Some(found) = found else {
                return Some((members, there.sides, angles));
            };
            next = found;
        }
    }

    /// Adds the places beside a new member.
    fn beside_member(
        &mut self,
        kind: usize,
        new: Member,
        there: &Standing,
        waiting: &[Vec<usize>],
        places: &mut Vec<Place>,
        taste: Taste,
    ) {
        let setup = self.setup.clone();
        let mut few = Vec::new();
        for comes in (0..waiting.len()).filter(|&k| !waiting[k].is_empty()) {
            let mates = self.mates(kind, new.a, comes);
            self.count_looks(mates.len() as u64);
            for mate in mates.iter() {
                let Mate { a, at } = mate.beside(new.a, new.at);
                if let Some(turned) = setup.at_angle(comes, a) {
                    places.push(Place {
                        kind: comes,
                        contact: there.along(&turned, at, taste.corners, &mut few),
                        turned,
                        at,
                        chance: taste.noise * self.dice.share(),
                    });
                }
            }
        }
    }

    /// A waiting part at a place beside a group, if it overlaps nothing there or settled.
    fn joins(
        &mut self,
        place: &Place,
        waiting: &[Vec<usize>],
        there: &Standing,
        ground: &Engine,
    ) -> Option<Member> {
        let part = *waiting[place.kind].last()?;
        let setup = self.setup.clone();
        let k = &setup.kinds[place.kind];
        let as_it_is = ([place.at[0], place.at[1]], place.turned.a);
        let settled = there.settled(&place.turned, place.at, k.any);
        let settled = settled.map(|(at, by)| (at, place.turned.a + by));
        for (at, a) in [Some(as_it_is), settled].into_iter().flatten() {
            self.evaluations += 1;
            let body = &mut self.buffer[place.kind];
            body.set(&k.body, at[0], at[1], a);
            let mut hit = false;
            ground.touching(body, part as u16, &mut |_| {
                hit = true;
                true
            });
            if !hit {
                return Some(Member { part, at, a });
            }
        }
        None
    }

    /// Angles at which a group goes into a field's box and every member may stand: sides along the
    /// edges, the longest first.
    fn angles_of(&self, page: usize, members: &[Member], sides: &[Side]) -> Vec<f32> {
        let b = self.setup.fields[page].wall.bounds;
        let mut along: Vec<(f32, f32)> = Vec::new();
        for e in sides {
            let a = (-libm::atan2f(e.d[1], e.d[0])).rem_euclid(FRAC_PI_2);
            let same = along.iter_mut().find(|(other, _)| {
                let apart = (a - *other).abs();
                apart.min(FRAC_PI_2 - apart) < ALIKE
            });
            match same {
                Some((_, length)) => *length += e.len,
                None => along.push((a, e.len)),
            }
        }
        along.sort_by(|a, b| b.1.total_cmp(&a.1));
        let quarters = |(a, _): (f32, f32)| (0..4).map(move |n| a + n as f32 * FRAC_PI_2);
        let angles = along.into_iter().take(ANGLES).flat_map(quarters);
        let goes = |a: f32| {
            let t = turned(sides, a).bounds;
            t[2] - t[0] <= b[2] - b[0] + SLACK
                && t[3] - t[1] <= b[3] - b[1] + SLACK
                && (members.iter()).all(|m| self.setup.kind(m.part).takes(a + m.a))
        };
        angles.filter(|&a| goes(a)).collect()
    }

    /// Sets a group down in a corner of a field, where most of its sides lie along the edge: whether
    /// it goes anywhere.
    fn set_down_group(
        &mut self,
        page: usize,
        members: &[Member],
        sides: &[Side],
        angles: &[f32],
    ) -> bool {
        let setup = self.setup.clone();
        let f = setup.fields[page].wall.bounds;
        let edge = Standing::edge(&setup, page);
        let mut few = Vec::new();
        let mut spots: Vec<(f32, f32, [f32; 2])> = Vec::new();
        let tiny = 3.0 * setup.tiny;
        for &a in angles {
            let t = turned(sides, a);
            let b = t.bounds;
            for x in [f[0] - b[0] + tiny, f[2] - b[2] - tiny] {
                for y in [f[1] - b[1] + tiny, f[3] - b[3] - tiny] {
                    let on = edge.along(&t, [x, y], 1.0, &mut few).length;
                    // Of those that are alike any.
                    spots.push((on + 1e-3 * self.dice.share(), a, [x, y]));
                }
            }
        }
        spots.sort_by(|a, b| b.0.total_cmp(&a.0));
        for (_, a, at) in spots.into_iter().take(SPOTS) {
            let turn = turning(a);
            let mut down = 0;
            for m in members {
                let k = setup.kind(m.part);
                let own = k.turned.iter().find(|t| same_angle(t.a, a + m.a));
                let angle = own.map_or((a + m.a).rem_euclid(TAU), |t| t.a);
                let [x, y] = plus(turn(m.at), at);
                let pose = Pose {
                    page: page as u16,
                    x,
                    y,
                    a: angle,
                };
                if !self.bears(m.part, page) || !self.free(m.part, pose) {
                    break;
                }
                self.put(m.part, pose);
                down += 1;
            }
            if down == members.len() {
                return true;
            }
            for m in &members[..down] {
                self.take(m.part);
            }
        }
        false
    }
}
