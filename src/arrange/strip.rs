//! A strip's outer search: shorten it, take the overlaps apart, again.

use super::island::{Island, Kept, Pose};
use super::task::{Goal, Watch};

/// How a strip's step grows when shortening is easy; the first step of the fine phase.
const GROWTH: f32 = 1.5;
pub const FINE: f32 = 0.001;

impl Island {
    pub fn strip(&self) -> bool {
        self.setup.goal == Goal::Strip
    }

    pub fn used_length(&mut self) -> f32 {
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

    /// Moves the strip's wall: what stands right of a cut moves along.
    fn set_length(&mut self, poses: &[Pose], length: f32, cut: f32) {
        let shift = length - self.length;
        self.length = length;
        let b = self.setup.fields[0].wall.bounds;
        let Some(wall) = self
            .setup
            .wall(0, (length - b[0]) / (b[2] - b[0]) - 1.0, false)
        else {
            return;
        };
        self.off_wall(0, wall);
        for (i, pose) in poses.iter().enumerate() {
            let mut p = *pose;
            if p.x > cut {
                p.x += shift;
            }
            self.put(i, p);
        }
    }

    pub fn shorten(&mut self) {
        let Some(Kept { length, poses, .. }) = self.good.clone() else {
            return;
        };
        let step = if self.finishing { self.fine } else { self.step };
        self.length = length;
        let cut = self.dice.between(0.0, length);
        self.set_length(&poses, length * (1.0 - step), cut);
        self.clear_weights();
    }

    /// After a separation that succeeded.
    pub fn shortened(&mut self, watch: &Watch) {
        let kept = self.keep(watch);
        self.pool.clear();
        self.fails = 0;
        if !kept && self.good.is_none() {
            self.done = true;
            return;
        }
        if self.sweeps < 25 {
            self.step = (self.step * GROWTH).min(0.02);
        } else {
            self.step = (self.step * 0.7).max(0.001);
        }
        self.shorten();
        self.begin();
    }

    /// After a separation that got stuck.
    pub fn not_shortened(&mut self) {
        self.fails += 1;
        if self.finishing {
            self.fine = (self.fine * 0.8).max(0.00005);
            self.shorten();
            self.begin();
        } else if self.step > 0.0015 {
            self.step = (self.step * 0.5).max(0.001);
            self.pool.clear();
            self.fails = 0;
            self.shorten();
            self.begin();
        } else {
            self.remember();
            self.again();
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
}
