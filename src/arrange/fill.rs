//! Filling a field by contact: of all places where sides meet, the one with the most of the part's
//! outline in contact comes first, then what that brings, until nothing goes in. Parts that belong
//! together find each other so.

use super::contact::{Contact, Side, Standing, Taste, Turned, placed};
use super::island::{Island, Pose};
use super::mates::{Mate, looked_at};
use super::task::Watch;
use std::sync::Arc;

/// Places kept for one field.
const PLACES: usize = 3000;
/// Places looked at again that cost as much as a pose.
const PLACES_A_LOOK: u64 = 16;

/// A place that a waiting part may take.
pub struct Place {
    pub kind: usize,
    pub turned: Arc<Turned>,
    pub at: [f32; 2],
    pub contact: Contact,
    pub chance: f32,
}

impl Island {
    /// The sides of a part where it stands.
    pub fn sides_of(&self, i: usize) -> Vec<Side> {
        let pose = self.poses[i];
        placed(&self.setup.kind(i).sides, pose.a, [pose.x, pose.y])
    }

    /// Those of the first `count` parts that wait and may stand on a field, by kind. The last is
    /// taken first: of a kind the one that is worth most.
    pub fn waiting_for(&self, page: usize, count: usize) -> Vec<Vec<usize>> {
        let setup = &self.setup;
        let mut waiting: Vec<Vec<usize>> = vec![Vec::new(); setup.kinds.len()];
        for i in (0..count).rev() {
            let kind = setup.parts[i];
            if self.waits(i) && setup.fields[page].accepts[kind] {
                waiting[kind].push(i);
            }
        }
        for of_kind in &mut waiting {
            of_kind.sort_by(|&a, &b| {
                let worth = setup.worth[a].total_cmp(&setup.worth[b]);
                worth.then(b.cmp(&a))
            });
        }
        waiting
    }

    /// Fills a field with those of the first `count` parts that are not placed.
    pub fn fill(&mut self, page: usize, count: usize, taste: Taste, watch: &Watch) {
        let setup = self.setup.clone();
        let mut waiting = self.waiting_for(page, count);
        let mut there = Standing::edge(&setup, page);
        let mut fresh: Vec<usize> = (0..self.n())
            .filter(|&i| self.active[i] && self.poses[i].page as usize == page)
            .collect();
        for &i in &fresh {
            there.extend(&self.sides_of(i));
        }
        let mut places: Vec<Place> = Vec::new();
        let mut few = Vec::new();
        for kind in (0..setup.kinds.len()).filter(|&kind| !waiting[kind].is_empty()) {
            let mates = self.edges(page, kind);
            self.look(kind, &mates, None, page, &there, &mut places, taste);
        }
        loop {
            for kind in (0..setup.kinds.len()).filter(|&kind| !waiting[kind].is_empty()) {
                for &i in &fresh {
                    if watch.cancelled() {
                        return;
                    }
                    let pose = self.poses[i];
                    let mates = self.mates(setup.parts[i], pose.a, kind);
                    self.look(kind, &mates, Some(pose), page, &there, &mut places, taste);
                }
            }
            places.retain(|p| !waiting[p.kind].is_empty());
            let rank = |p: &Place| {
                let k = &setup.kinds[p.kind];
                let contact = p.contact.worth(k.around, taste.whole);
                contact + taste.size * k.area / setup.largest + p.chance
            };
            places.sort_by(|a, b| rank(b).total_cmp(&rank(a)));
            places.truncate(PLACES);
            let mut found = None;
            let mut bad = 0;
            for p in &places {
                let Some(&i) = waiting[p.kind].last() else {
                    continue;
                };
                if let Some(pose) = self.taken(i, page, p, &there) {
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
            let mut new = Standing::default();
            new.extend(&self.sides_of(i));
            // Most are far away and cost little.
            self.evaluations += places.len() as u64 / PLACES_A_LOOK;
            for p in &mut places {
                p.contact += new.along(&p.turned, p.at, taste.corners, &mut few);
            }
            there.extend(&new.sides);
            fresh = vec![i];
        }
    }

    /// Where a part stands that takes a place: there, or settled among the sides that it meets.
    fn taken(&mut self, i: usize, page: usize, place: &Place, there: &Standing) -> Option<Pose> {
        if !self.bears(i, page) {
            return None;
        }
        let pose = |at: [f32; 2], a: f32| Pose {
            page: page as u16,
            x: at[0],
            y: at[1],
            a,
        };
        let as_it_is = pose(place.at, place.turned.a);
        if self.free(i, as_it_is) {
            return Some(as_it_is);
        }
        if !place.contact.is_close(self.setup.kinds[place.kind].around) {
            return None;
        }
        let turns = self.setup.kinds[place.kind].any;
        let (at, by) = there.settled(&place.turned, place.at, turns)?;
        let settled = pose(at, place.turned.a + by);
        self.free(i, settled).then_some(settled)
    }

    /// Adds the places of a kind beside one that stands so, or along the edge.
    #[allow(clippy::too_many_arguments)]
    fn look(
        &mut self,
        kind: usize,
        mates: &[Mate],
        stands: Option<Pose>,
        page: usize,
        there: &Standing,
        places: &mut Vec<Place>,
        taste: Taste,
    ) {
        let setup = self.setup.clone();
        let mut few = Vec::new();
        let mut looks = 0;
        for mate in mates {
            let Mate { a, at } = stands.map_or(*mate, |p| mate.beside(p.a, [p.x, p.y]));
            let Some(turned) = setup.at_angle(kind, a) else {
                continue;
            };
            if !self.is_inside(page, &turned, at) {
                continue;
            }
            looks += looked_at(there.sides.len(), turned.sides.len());
            places.push(Place {
                kind,
                contact: there.along(&turned, at, taste.corners, &mut few),
                turned,
                at,
                chance: taste.noise * self.dice.share(),
            });
        }
        self.count_looks(looks);
    }
}
