//! After the search, at the same parts on the same fields: towards the middle, where a furnace is
//! most even and a setter bends least, few angles, rows in line. Every step stays free of overlap.

use super::island::{Island, Pose};
use super::task::{Answer, Watch};

/// Rounds over all parts; they pull inward in turn, so that a gap wanders out.
const ROUNDS: usize = 8;
/// Free places looked for nearer to the middle, for each part and round.
const LEAPS: usize = 30;
/// First and last step inward, share of a part's least side.
const STEPS: (f32, f32) = (0.4, 0.002);
/// Parts this near to a common line, search scale, are set on it.
const LINE: f32 = 1.5;

impl Island {
    /// The best layout polished; `None` if there is none, or the proof refuses the outcome.
    pub fn polished(&mut self, watch: &Watch) -> Option<Answer> {
        let kept = self.shown.clone()?;
        self.relax();
        self.load(&kept.poses, &kept.active);
        for round in 0..ROUNDS {
            // The outermost look for a better place first, then all draw together from inside.
            let mut order: Vec<(f32, usize)> = (0..self.n())
                .filter(|&i| self.active[i])
                .map(|i| (self.off(self.poses[i]), i))
                .collect();
            order.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            if round % 2 == 0 {
                order.reverse();
            }
            for (_, i) in order {
                if watch.cancelled() {
                    return None;
                }
                self.inward(i, round % 2 == 0);
            }
        }
        for i in (0..self.n())
            .filter(|&i| self.active[i])
            .collect::<Vec<_>>()
        {
            self.plain_angle(i);
        }
        for i in (0..self.n())
            .filter(|&i| self.active[i])
            .collect::<Vec<_>>()
        {
            self.in_line(i);
        }
        self.proved()
    }

    /// Square of the distance from the middle of its field.
    fn off(&self, pose: Pose) -> f32 {
        let f = self.setup.fields[pose.page as usize].wall.bounds;
        let (x, y) = (pose.x - (f[0] + f[2]) / 2.0, pose.y - (f[1] + f[3]) / 2.0);
        x * x + y * y
    }

    fn inward(&mut self, i: usize, leap: bool) {
        let from = self.poses[i];
        let mut pose = from;
        if leap {
            for _ in 0..LEAPS {
                let p = self.spread(i, pose.page as usize);
                if self.off(p) < 0.98 * self.off(pose) && self.free(i, p) {
                    pose = p;
                }
            }
        }
        let side = self.setup.kind(i).least_side;
        let mut step = STEPS.0 * side;
        let f = self.setup.fields[pose.page as usize].wall.bounds;
        let (cx, cy) = ((f[0] + f[2]) / 2.0, (f[1] + f[3]) / 2.0);
        while step > STEPS.1 * side {
            let (dx, dy) = (cx - pose.x, cy - pose.y);
            let far = libm::hypotf(dx, dy).max(1e-6);
            let (x, y) = (dx.clamp(-step, step), dy.clamp(-step, step));
            let along = step.min(far) / far;
            let tries = [(along * dx, along * dy), (x, 0.0), (0.0, y)];
            let next = tries.into_iter().find_map(|(x, y)| {
                let p = Pose {
                    x: pose.x + x,
                    y: pose.y + y,
                    ..pose
                };
                (self.off(p) < self.off(pose) - 1e-6 && self.free(i, p)).then_some(p)
            });
            match next {
                Some(p) => pose = p,
                None => step *= 0.5,
            }
        }
        self.change(i, pose);
    }

    fn change(&mut self, i: usize, pose: Pose) {
        if pose != self.poses[i] {
            self.take(i);
            self.put(i, pose);
        }
    }

    /// The plainest angle that is free at the same place.
    fn plain_angle(&mut self, i: usize) {
        let pose = self.poses[i];
        let k = self.setup.kind(i);
        let degrees = pose.a.to_degrees().rem_euclid(360.0);
        let angles: Vec<f32> = if k.any {
            let step = |s: f32| (degrees / s).round() * s;
            vec![step(90.0), step(15.0), step(5.0), step(1.0)]
                .into_iter()
                .map(f32::to_radians)
                .collect()
        } else {
            let mut all = if k.all.is_empty() {
                k.first.clone()
            } else {
                k.all.clone()
            };
            all.sort_by(f32::total_cmp);
            all
        };
        for a in angles {
            if (a - pose.a).abs() < 1e-6 {
                return;
            }
            let p = Pose { a, ..pose };
            if self.free(i, p) {
                self.change(i, p);
                return;
            }
        }
    }

    /// Onto the line of another of its kind on the same field.
    fn in_line(&mut self, i: usize) {
        for j in 0..i {
            let (p, q) = (self.poses[i], self.poses[j]);
            if !self.active[j] || self.setup.parts[i] != self.setup.parts[j] || p.page != q.page {
                continue;
            }
            let near = |a: f32, b: f32| a != b && (a - b).abs() < LINE;
            for line in [
                near(p.x, q.x).then_some(Pose { x: q.x, ..p }),
                near(p.y, q.y).then_some(Pose { y: q.y, ..p }),
            ] {
                if let Some(p) = line.filter(|p| self.free(i, *p)) {
                    self.change(i, p);
                    break;
                }
            }
        }
    }
}
