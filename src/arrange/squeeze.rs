//! One part more by way of a field that is too large for a while: its edge is moved outward until
//! what stands on it is free of overlap, then drawn in again step by step, as a strip is shortened.

use super::island::{Island, Kept};
use super::setup::{Surface, Wall};
use super::task::Goal;

/// How far the edge is moved at first, and at most, share of the width.
const FIRST: f32 = 0.02;
const MOST: f32 = 0.17;
/// Steps inward: the first, the least, the most, and how they grow where it is easy.
const STEP: f32 = 0.004;
const LEAST: f32 = 0.001;
const LARGEST: f32 = 0.02;
const GROWTH: f32 = 1.5;
/// Sweeps within which a step was easy.
const EASY: u32 = 25;
/// Failures at one step before it is given up.
const TRIES: u32 = 8;
/// Evaluations before it is given up; in order there is nothing else to do.
const LONG: u64 = 400_000;
const PATIENT: u64 = 4_000_000;
/// So near it goes on all the same, share of the width.
const NEAR: f32 = 0.01;

/// A field that is too large for a while.
pub struct Squeeze {
    page: usize,
    /// Along the depth instead of the width.
    deep: bool,
    /// How far the edge is out, share of the width.
    out: f32,
    step: f32,
    tries: u32,
    /// Evaluations after which it is given up.
    until: u64,
    /// The last layout without overlap, and how far the edge was out; none before the first.
    free: Option<(f32, Kept)>,
    /// What it began with.
    from: Kept,
}

impl Squeeze {
    /// Whether it may still take smaller steps.
    pub fn is_rough(&self) -> bool {
        self.free.is_none() || self.step > 1.5 * LEAST
    }
}

impl Island {
    /// Begins with the best of the quick looks: whether there is one.
    pub fn stretch(&mut self) -> bool {
        let Some(from) = self.pool.first().cloned() else {
            return false;
        };
        self.load(&from.poses, &from.active);
        // The field with the most overlap.
        let mut over = vec![0.0f32; self.walls.len()];
        for i in (0..self.n()).filter(|&i| self.active[i]) {
            over[self.poses[i].page as usize] += self.raw(i);
        }
        let Some(page) = (0..over.len()).max_by(|a, b| over[*a].total_cmp(&over[*b])) else {
            return false;
        };
        self.pool.clear();
        let long = match self.setup.goal {
            Goal::InOrder => PATIENT,
            _ => LONG,
        };
        self.squeeze = Some(Squeeze {
            page,
            deep: self.dice.share() < 0.5,
            out: FIRST,
            step: STEP,
            tries: 0,
            until: self.evaluations + long,
            free: None,
            from,
        });
        self.draw(0.0, FIRST)
    }

    /// Moves the edge of the field from one place to another, and what stands beyond a cut with it.
    fn draw(&mut self, before: f32, out: f32) -> bool {
        let Some(squeeze) = &mut self.squeeze else {
            return false;
        };
        squeeze.out = out;
        let (page, deep) = (squeeze.page, squeeze.deep);
        let real = &self.setup.fields[page].wall;
        let wall = match out > 0.0 {
            true => self.setup.wall(page, out, deep),
            false => Some(real.clone()),
        };
        let b = real.bounds;
        let Some(wall) = wall else {
            self.relax();
            return false;
        };
        let cut = self.dice.share();
        let square = matches!(wall.surface, Surface::Rectangle(_));
        let on = self.off_wall(page, wall);
        // Of a rectangle what stands beyond a cut moves along, of others all move from the middle.
        let (low, side) = match deep {
            true => (b[1], b[3] - b[1]),
            false => (b[0], b[2] - b[0]),
        };
        let beyond = low + cut * side * (1.0 + before);
        let (x, y) = ((b[0] + b[2]) / 2.0, (b[1] + b[3]) / 2.0);
        let by = (1.0 + out) / (1.0 + before);
        for i in on {
            let mut p = self.poses[i];
            if !square {
                p.x = x + (p.x - x) * by;
                p.y = y + (p.y - y) * by;
            } else if deep && p.y > beyond {
                p.y += side * (out - before);
            } else if !deep && p.x > beyond {
                p.x += side * (out - before);
            }
            self.put(i, p);
        }
        self.clear_weights();
        self.begin();
        true
    }

    /// The edge back where it is.
    pub fn relax(&mut self) {
        let Some(squeeze) = self.squeeze.take() else {
            return;
        };
        let wall = self.setup.fields[squeeze.page].wall.clone();
        for i in self.off_wall(squeeze.page, wall) {
            self.put(i, self.poses[i]);
        }
        self.pool.clear();
    }

    /// Another edge for a field; what stood on it is taken off and given back.
    pub fn off_wall(&mut self, page: usize, wall: Wall) -> Vec<usize> {
        let on: Vec<usize> = (0..self.n())
            .filter(|&i| self.active[i] && self.poses[i].page as usize == page)
            .collect();
        for &i in &on {
            self.take(i);
        }
        self.walls[page] = wall;
        on
    }

    /// After a separation that succeeded: whether the edge is where it belongs.
    pub fn squeezed(&mut self) -> bool {
        let kept = self.kept();
        let easy = self.sweeps < EASY;
        let Some(squeeze) = &mut self.squeeze else {
            return true;
        };
        if squeeze.out <= 0.0 {
            self.squeeze = None;
            self.pool.clear();
            return true;
        }
        squeeze.step = if easy {
            (squeeze.step * GROWTH).min(LARGEST)
        } else {
            (squeeze.step * 0.7).max(LEAST)
        };
        squeeze.tries = 0;
        squeeze.free = Some((squeeze.out, kept));
        let soon = self.evaluations < squeeze.until || squeeze.out < NEAR;
        self.pool.clear();
        if soon {
            self.tighten();
        } else {
            // It is separated once more as it stands.
            self.relax();
            self.clear_weights();
            self.begin();
        }
        false
    }

    fn tighten(&mut self) -> bool {
        let Some(squeeze) = &self.squeeze else {
            return false;
        };
        let Some((out, free)) = squeeze.free.clone() else {
            return false;
        };
        let next = (out - squeeze.step).max(0.0);
        self.load(&free.poses, &free.active);
        self.draw(out, next)
    }

    /// After a separation that got stuck: whether it goes on.
    pub fn not_squeezed(&mut self) -> bool {
        let Some(squeeze) = &mut self.squeeze else {
            return false;
        };
        let late = self.evaluations >= squeeze.until;
        let further = squeeze.free.is_none() && 2.0 * squeeze.out <= MOST;
        if !late && further {
            let out = squeeze.out * 2.0;
            let from = squeeze.from.clone();
            self.load(&from.poses, &from.active);
            return self.draw(0.0, out);
        }
        if !late && squeeze.free.is_some() && squeeze.is_rough() {
            squeeze.step = (squeeze.step * 0.5).max(LEAST);
            self.pool.clear();
            return self.tighten();
        }
        if !late && squeeze.free.is_some() && squeeze.tries < TRIES {
            squeeze.tries += 1;
            self.remember();
            self.again();
            return true;
        }
        self.relax();
        false
    }
}

#[cfg(test)]
mod tests {
    use super::super::task::{Ground, Watch};
    use super::super::tests::mixed;
    use super::super::{Rules, setup::Setup};
    use super::*;
    use std::sync::Arc;

    #[test]
    fn a_field_is_larger_for_a_while_and_then_itself() {
        let corner = [
            [0.0, 0.0],
            [90.0, 0.0],
            [90.0, 50.0],
            [50.0, 50.0],
            [50.0, 90.0],
            [0.0, 90.0],
        ];
        let grounds = [
            Ground::Rectangle { w: 80.0, h: 70.0 },
            Ground::Disc { d: 90.0 },
            Ground::Polygon(corner.to_vec()),
        ];
        for ground in grounds {
            let mut task = mixed(1);
            task.fields[0].ground = ground;
            let watch = Watch::default();
            let setup = Setup::new(&task, &Rules::default(), &watch)
                .unwrap()
                .unwrap();
            let mut island = Island::new(Arc::new(setup), 1);
            island.construct(&watch);
            // It is a task in which not all goes in.
            island.run(400_000, &watch);
            island.relax();
            let good = island.good.clone().unwrap();
            island.load(&good.poses, &good.active);
            assert_eq!(island.total(), 0.0);
            // One more and one more, until it is too many.
            let waiting: Vec<usize> = (0..island.n()).filter(|&i| !island.active[i]).collect();
            let mut waiting = waiting.into_iter();
            while island.total() <= 0.0 {
                let i = waiting.next().expect("not all go in");
                let (_, pose) = island.search(i, None);
                island.put(i, pose);
            }
            let over = island.total();
            island.begin();
            island.least = over;
            island.least_poses = island.poses.clone();
            island.remember();
            assert!(island.stretch());
            let real = island.setup.fields[0].wall.bounds;
            let side = |b: [f32; 4]| (b[2] - b[0]) + (b[3] - b[1]);
            assert!(side(island.walls[0].bounds) > 1.009 * side(real));
            // Where it stands free it is drawn in, and only where it belongs it is done.
            for _ in 0..2_000 {
                if island.squeeze.is_none() {
                    break;
                }
                let out = side(island.walls[0].bounds) > side(real);
                if island.total() <= 0.0 {
                    assert_eq!(island.squeezed(), !out);
                } else if island.sweeps >= 20 {
                    island.not_squeezed();
                } else {
                    island.reweigh();
                    island.sweep(&watch);
                }
            }
            island.relax();
            assert_eq!(island.walls[0].bounds, real);
            // What stands is what the losses say: no trace of the larger field is left.
            let (poses, active) = (island.poses.clone(), island.active.clone());
            let total = island.total();
            for (i, _) in active.iter().enumerate().filter(|(_, on)| **on) {
                island.take(i);
            }
            island.load(&poses, &active);
            assert!((island.total() - total).abs() <= 1e-3 * total.max(1.0));
        }
    }
}
