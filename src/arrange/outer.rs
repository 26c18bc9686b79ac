//! The outer search: construct, then a field fewer or a part more, over and over.
//!
//! A field is emptied part by part: what stood on it waits, and one that waits is put among the
//! others, or in the place of one that counts for less; then the overlaps are taken apart. So
//! there is always a layout without overlap that holds more than the one before.

use super::contact::Taste;
use super::island::{Island, Kept, Pose};
use super::proof;
use super::rules::obeys;
use super::task::{Answer, Goal, Watch};
use std::sync::atomic::Ordering;

/// Sweeps without gain before going back to the least loss, and how often that is done.
const STALE: u32 = 80;
const STRIKES: u32 = 2;
/// The same for a first, quick look at what might go in.
const QUICK: u32 = 20;
/// The same for a step that may still be made smaller.
const ROUGH: u32 = 40;
/// Quick looks before the best of them is gone into ([`super::squeeze`]).
const LOOKS: usize = 6;
/// Layouts kept that failed.
const POOL: usize = 12;
/// Failures after which the search goes on from the best of all again.
const RESTART: u32 = 22;
/// Evaluations for filling by contact.
const REFILL: u64 = 40_000;
/// How often two fields are filled anew, and only what stood near a point of each.
const TWO: f32 = 0.3;
const NEAR: f32 = 0.5;
/// Share of the fields cleared that begin with a group of parts that fit together.
const GROUPS: f32 = 0.4;
/// Evaluations of filling until it goes on from nothing worse; what it takes then, share of all.
const COOLING: u64 = 1_000_000;
const HEAT: f64 = 0.02;
/// The share of the evaluations that filling gets at least and at most, what a success adds, and what a
/// failure leaves of it; where parts go in order it gains little.
const SHARE: [f32; 2] = [0.3, 0.8];
const SHARE_IN_ORDER: [f32; 2] = [0.1, 0.8];
const MORE: f32 = 0.1;
const LESS: f32 = 0.97;
/// Evaluations that a turn counts for in which nothing could be tried (assumed).
const IDLE: u64 = 100;
/// Waiting parts that are put in all at once at times.
const FEW: usize = 4;
/// Where a part of a given layout may stand instead, search scale.
const NUDGE: f32 = 1e-4;
const NUDGES: [(f32, f32); 17] = [
    (0.0, 0.0),
    (1.0, 0.0),
    (-1.0, 0.0),
    (0.0, 1.0),
    (0.0, -1.0),
    (1.0, 1.0),
    (-1.0, 1.0),
    (1.0, -1.0),
    (-1.0, -1.0),
    (4.0, 0.0),
    (-4.0, 0.0),
    (0.0, 4.0),
    (0.0, -4.0),
    (4.0, 4.0),
    (-4.0, 4.0),
    (4.0, -4.0),
    (-4.0, -4.0),
];
/// What is worth less than this share of what waits is left out at first (assumed).
const MUCH_LESS: f64 = 0.5;
/// Failures before another field is emptied.
const VAIN: u32 = 60;

impl Island {
    /// The first layout: what stands already, then those with the fewest fields to stand on and
    /// large parts first, as far left and low as samples find.
    pub fn construct(&mut self, watch: &Watch) {
        let pages = self.walls.len();
        if self.anew {
            self.open.fill(true);
        } else {
            self.begin_from_start();
        }
        let refused = !self.set_down_all(watch);
        for p in 0..pages {
            self.open[p] = match self.setup.goal {
                Goal::Setters => {
                    refused || (0..self.n()).any(|i| self.active[i] && self.on(i) == p)
                }
                _ => true,
            };
        }
        self.begin();
        if self.total() <= 0.0 && !self.keep(watch) && !self.strip() {
            // The search's own f32 was wrong somewhere: it begins with nothing placed.
            for i in 0..self.n() {
                if self.active[i] {
                    self.take(i);
                }
            }
            self.keep(watch);
        }
        self.without_the_rest();
    }

    /// The parts in the order in which they are set down first.
    fn in_order_of_room(&self) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.n()).collect();
        if self.setup.goal != Goal::InOrder {
            let rank = |i: usize| self.setup.rules.rank(i);
            let choice = |i: usize| {
                let kind = self.setup.parts[i];
                let fields = self.setup.fields.iter();
                fields.filter(|f| f.accepts[kind]).count()
            };
            let area = |i: usize| self.setup.kind(i).body.hull_area();
            order.sort_by(|&a, &b| {
                (rank(b).cmp(&rank(a)))
                    .then(choice(a).cmp(&choice(b)))
                    .then(area(b).total_cmp(&area(a)))
                    .then(self.setup.worth[b].total_cmp(&self.setup.worth[a]))
                    .then(a.cmp(&b))
            });
        }
        order
    }

    /// Sets down what waits, each as far left and low as samples find: whether all went in.
    fn set_down_all(&mut self, watch: &Watch) -> bool {
        let pages = self.walls.len();
        let open = self.open.clone();
        self.greedy = true;
        let mut refused = false;
        // Where one found no place another of its kind is not looked at: a field only gets fuller.
        let mut full = vec![false; self.setup.kinds.len() * pages];
        for i in self.in_order_of_room() {
            if self.active[i] {
                continue;
            }
            let kind = self.setup.parts[i];
            let mut found = None;
            if !watch.cancelled() && (!refused || self.setup.goal != Goal::InOrder) {
                for p in 0..pages {
                    let at = kind * pages + p;
                    if full[at] || !self.setup.fields[p].accepts[kind] || !self.bears(i, p) {
                        continue;
                    }
                    self.open.fill(false);
                    self.open[p] = true;
                    let (l, pose) = self.search(i, None);
                    if l < f32::MAX {
                        found = Some(pose);
                        break;
                    }
                    full[at] = true;
                }
            }
            match found {
                Some(pose) => self.put(i, pose),
                None => refused = true,
            }
        }
        self.greedy = false;
        self.open = open;
        !refused
    }

    /// Where not all went in that is worth most, that is searched for alone at first: what is worth
    /// much less would stand in its way.
    fn without_the_rest(&mut self) {
        let worth = &self.setup.worth;
        let waits = self.waiting().into_iter().map(|i| worth[i]);
        let most = waits.fold(0.0, f64::max) * MUCH_LESS;
        let rest: Vec<usize> = (0..self.n()).filter(|&i| worth[i] < most).collect();
        let late = self.evaluations >= self.only_until;
        if late || rest.is_empty() || self.setup.goal != Goal::Setters {
            return;
        }
        for i in rest {
            if self.active[i] {
                self.take(i);
            }
        }
        self.only = most;
        self.good = Some(self.kept());
        self.begin();
    }

    /// What is worth less is set down beside the best that was found without it.
    fn with_the_rest(&mut self, watch: &Watch) {
        self.only = 0.0;
        self.relax();
        let best = self.top.take().or_else(|| self.good.clone());
        if let Some(best) = best {
            self.load(&best.poses, &best.active);
        }
        self.clear_weights();
        self.set_down_all(watch);
        self.pool.clear();
        self.walk = None;
        self.fails = 0;
        self.patience = 0;
        self.begin();
        if self.total() <= 0.0 && self.keep(watch) {
            self.without_the_rest();
        }
    }

    /// What the caller has laid out already, as far as it is sound.
    fn begin_from_start(&mut self) {
        self.open.fill(true);
        let setup = self.setup.clone();
        for placed in &setup.rules.start {
            let (i, page) = (placed.part, placed.field);
            if i >= self.n() || page >= self.walls.len() || self.active[i] {
                continue;
            }
            // The collision library takes no other numbers.
            let known = [placed.x, placed.y, placed.angle];
            if !known.iter().all(|v| v.abs() < 1e6) {
                continue;
            }
            let pose = setup.pose(placed);
            let accepted = setup.fields[page].accepts[setup.parts[i]];
            if !accepted || !self.bears(i, page) {
                continue;
            }
            // What touches in f64 may overlap in f32: a hair's breadth aside it does not.
            let free = NUDGES.iter().find_map(|(x, y)| {
                let p = Pose {
                    x: pose.x + x * NUDGE,
                    y: pose.y + y * NUDGE,
                    ..pose
                };
                self.free(i, p).then_some(p)
            });
            if let Some(p) = free {
                self.put(i, p);
            }
        }
    }

    /// The field that a part stands on.
    fn on(&self, i: usize) -> usize {
        self.poses[i].page as usize
    }

    fn answer(&self) -> Answer {
        let s = &self.setup;
        let mut answer = Answer {
            evaluations: self.evaluations,
            ..Answer::default()
        };
        let mut used = vec![false; self.walls.len()];
        for i in 0..self.n() {
            if !self.active[i] {
                continue;
            }
            used[self.on(i)] = true;
            answer.placed.push(s.out(i, self.poses[i]));
        }
        answer.fields = used.iter().filter(|u| **u).count();
        // The edge of grown parts, and what the margin asks beyond half the clearance.
        let inset = s
            .task
            .fields
            .first()
            .map_or(0.0, |f| f.margin - s.task.clearance / 2.0);
        answer.length = self.length as f64 / s.scale + if self.strip() { inset } else { 0.0 };
        answer
    }

    pub fn kept(&self) -> Kept {
        Kept {
            loss: 0.0,
            length: self.length,
            poses: self.poses.clone(),
            active: self.active.clone(),
            open: self.open.clone(),
        }
    }

    /// What stands now, if the proof agrees.
    pub fn proved(&self) -> Option<Answer> {
        let answer = self.answer();
        let length = self.strip().then_some(answer.length);
        let task = &self.setup.task;
        let sound = proof::prove(task, &answer.placed, length).is_ok()
            && obeys(task, &self.setup.rules, &answer.placed).is_ok();
        sound.then_some(answer)
    }

    /// Keeps what is free of overlap, if the proof agrees; shows it if it is better than the last.
    pub fn keep(&mut self, watch: &Watch) -> bool {
        if self.strip() {
            self.length = self.used_length().min(self.length);
        }
        let Some(answer) = self.proved() else {
            return false;
        };
        let better = self
            .best
            .as_ref()
            .is_none_or(|b| self.setup.better(&answer, b));
        if better {
            let mut shown = watch
                .best
                .lock()
                .unwrap_or_else(std::sync::PoisonError::into_inner);
            if self.shows && shown.as_ref().is_none_or(|b| self.setup.better(&answer, b)) {
                *shown = Some(answer.clone());
            }
            drop(shown);
            self.best = Some(answer);
            self.shown = Some(self.kept());
        }
        self.good = Some(self.kept());
        true
    }

    // ---- fields

    /// Whether a part waits that may go now.
    pub fn waits(&self, i: usize) -> bool {
        !self.active[i] && self.setup.worth[i] >= self.only
    }

    fn waiting(&self) -> Vec<usize> {
        (0..self.n()).filter(|&i| self.waits(i)).collect()
    }

    fn area(&self, i: usize) -> f64 {
        self.setup.kind(i).area as f64
    }

    /// What a part counts for: what it is worth, or while a field is emptied its area.
    fn counts(&self, i: usize) -> f64 {
        if self.closing.is_some() {
            self.area(i)
        } else {
            self.setup.worth[i]
        }
    }

    /// Worth first, then room left.
    fn score(&self, active: &[bool]) -> (f64, f64) {
        let on = || (0..self.n()).filter(|&i| active[i]);
        (
            on().map(|i| self.counts(i)).sum(),
            -on().map(|i| self.area(i)).sum::<f64>(),
        )
    }

    /// How far a field is emptied: the area that stands elsewhere.
    pub fn progress(&self) -> f64 {
        match (&self.closing, &self.top) {
            (Some(_), Some(top)) => self.score(&top.active).0,
            _ => 0.0,
        }
    }

    fn success(&mut self, watch: &Watch) {
        if self.strip() {
            self.shortened(watch);
            return;
        }
        if self.squeeze.is_some() && !self.squeezed() {
            return;
        }
        let all = !(0..self.n()).any(|i| self.waits(i));
        // Nothing could even be tried: that is no step forward. Where no field is emptied every step
        // counts so, which was found by trial to place more: it brings exchanges and filling anew.
        let stands = |g: &Kept| self.closing.is_none() || g.active == self.active;
        let same = !all && self.good.as_ref().is_none_or(stands);
        // Where nothing could be tried it stands as it stood: that is proved, and not done for nothing.
        let idle = |g: &Kept| g.active == self.active && g.poses == self.poses;
        let idle = self.good.as_ref().is_some_and(idle);
        if idle && !all {
            self.evaluations += IDLE;
        }
        if !idle && (self.closing.is_none() || all) && !self.keep(watch) {
            // The search's own f32 was wrong: go on from before, if there is one.
            self.done = self.good.is_none();
            self.walk = None;
            self.not_placed(watch);
            return;
        }
        self.good = Some(self.kept());
        let score = self.score(&self.active);
        if self
            .top
            .as_ref()
            .is_none_or(|t| score > self.score(&t.active))
        {
            self.top = self.good.clone();
            self.patience = 0;
        }
        self.pool.clear();
        self.fails = if same { self.fails + 1 } else { 0 };
        if all && self.only > 0.0 {
            self.with_the_rest(watch);
            return;
        }
        if all {
            self.closing = None;
            self.vain.clear();
            self.whole = self.good.clone();
            self.close_one();
        }
        if !self.done {
            self.attempt(watch);
        }
        self.begin();
    }

    /// Begins to empty the field with the least on it.
    fn close_one(&mut self) {
        if self.setup.goal != Goal::Setters {
            self.done = true;
            return;
        }
        let mut area = vec![0.0; self.walls.len()];
        for i in 0..self.n() {
            area[self.on(i)] += self.area(i);
        }
        let open: Vec<usize> = (0..self.walls.len()).filter(|&p| self.open[p]).collect();
        let elsewhere = |p: usize| {
            let mut on = (0..self.n()).filter(|&i| self.on(i) == p);
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
        self.walk = None;
        self.open[p] = false;
        for i in 0..self.n() {
            if self.on(i) == p {
                self.take(i);
            }
        }
        self.good = Some(self.kept());
        self.top = self.good.clone();
        self.patience = 0;
    }

    /// Puts one that waits among the others, or in the place of one that counts for less.
    fn attempt(&mut self, watch: &Watch) {
        let Some(good) = self.good.clone() else {
            return;
        };
        self.load(&good.poses, &good.active);
        self.clear_weights();
        // The more filling gains the more it gets.
        let [least, most] = match self.setup.goal {
            Goal::InOrder => SHARE_IN_ORDER,
            _ => SHARE,
        };
        let owed = self.filling * self.evaluations as f32 - self.filled as f32;
        if self.fails > 0 && owed > 0.0 {
            let owed = (owed / (1.0 - self.filling)) as u64;
            if self.refill(owed.clamp(REFILL, 10 * REFILL), watch) {
                self.filling = (self.filling + MORE).min(most);
                return;
            }
            self.filling = (self.filling * LESS).max(least * self.setup.sided);
        }
        let waiting = self.waiting();
        let Some(&first) = waiting.first() else {
            return;
        };
        if self.setup.goal == Goal::InOrder {
            let (_, pose) = self.search(first, None);
            self.put(first, pose);
            return;
        }
        let room: f64 = {
            let open = (0..self.walls.len()).filter(|&p| self.open[p]);
            let fields = open.map(|p| self.setup.fields[p].area as f64);
            let on = (0..self.n()).filter(|&i| self.active[i]);
            fields.sum::<f64>() - on.map(|i| self.area(i)).sum::<f64>()
        };
        let all: f64 = waiting.iter().map(|&i| self.area(i)).sum();
        let few = waiting.len() <= FEW && all <= room;
        if few && self.dice.share() < 0.5 && self.set_down(first) {
            for &i in &waiting[1..] {
                self.set_down(i);
            }
            return;
        }
        for _ in 0..20 {
            let w = waiting[self.dice.below(waiting.len())];
            let full = self.area(w) > room;
            let exchange = full || (self.fails > 0 && self.dice.share() < 0.6);
            if !exchange {
                if self.set_down(w) {
                    return;
                }
                continue;
            }
            // At times a step back, if it stays near the best.
            let back = self.fails > 8 && self.dice.share() < 0.2;
            let out: Vec<usize> = (0..self.n())
                .filter(|&u| self.active[u])
                .filter(|&u| {
                    let alike = self.setup.parts[u] == self.setup.parts[w];
                    !alike || self.counts(w) > self.counts(u)
                })
                .filter(|&u| self.setup.fields[self.on(u)].accepts[self.setup.parts[w]])
                .filter(|&u| self.area(u) > 0.3 * self.area(w))
                .filter(|&u| {
                    let (cu, cw) = (self.counts(u), self.counts(w));
                    let gains = (cw, -self.area(w)) > (cu, -self.area(u));
                    gains != back && (!back || cu <= 1.3 * cw)
                })
                .collect();
            if out.is_empty() {
                continue;
            }
            let u = out[self.dice.below(out.len())];
            let at = self.poses[u];
            self.take(u);
            if !self.bears(w, at.page as usize) {
                self.put(u, at);
                continue;
            }
            let (_, pose) = self.search(w, Some(at));
            self.put(w, pose);
            return;
        }
    }

    /// Puts a part where it overlaps least; whether any field takes it.
    fn set_down(&mut self, i: usize) -> bool {
        let (loss, pose) = self.search(i, None);
        let found = loss < f32::MAX;
        if found {
            self.put(i, pose);
        }
        found
    }

    /// Fills fields anew by contact for so many evaluations, or until that gained: whether it did.
    fn refill(&mut self, evaluations: u64, watch: &Watch) -> bool {
        let Some(good) = self.good.clone() else {
            return false;
        };
        if self.filled - self.walk_from >= COOLING {
            self.walk = None;
        }
        let walk = self.walk.take().unwrap_or_else(|| {
            self.walk_from = self.filled;
            good.clone()
        });
        let start = self.evaluations;
        let (walk, gained) = self.walked(walk, &good, (start + evaluations).min(self.until), watch);
        self.walk = Some(walk);
        self.filled += self.evaluations - start;
        if !gained {
            self.load(&good.poses, &good.active);
        }
        gained
    }

    /// Clears a field or two, or what stands near one point of each, and fills them anew, going on
    /// from what is a little worse, too, ever less as it cools: where that ends, and whether it is
    /// better than what is good.
    fn walked(&mut self, mut walk: Kept, good: &Kept, until: u64, watch: &Watch) -> (Kept, bool) {
        let in_order = self.setup.goal == Goal::InOrder;
        let goal = self.score(&good.active);
        // In order: one more and no gap.
        let count = match good.active.iter().position(|on| !on) {
            Some(first) if in_order => first + 1,
            _ => self.n(),
        };
        // What waits says what a part counts for: what must go would outweigh all else.
        let goes = |i: &usize| self.setup.worth[*i] >= self.only;
        let waits = (0..self.n()).filter(|&i| !good.active[i]).filter(goes);
        let mut worths: Vec<f64> = waits.map(|i| self.counts(i)).collect();
        worths.sort_by(f64::total_cmp);
        let usual = worths.get(worths.len() / 2).copied().unwrap_or(0.0);
        let all = usual * self.n() as f64;
        let open: Vec<usize> = (0..self.walls.len()).filter(|&p| self.open[p]).collect();
        let walked = self.filled - self.walk_from;
        let start = self.evaluations;
        while self.evaluations < until && !watch.cancelled() {
            self.evaluations += 100;
            self.load(&walk.poses, &walk.active);
            let page = open[self.dice.below(open.len())];
            let other = open[self.dice.below(open.len())];
            let two = self.dice.share() < TWO && other != page;
            let near = self.dice.share() < NEAR;
            let mut pages = vec![page];
            pages.extend(two.then_some(other));
            for &page in &pages {
                let f = self.setup.fields[page].wall.bounds;
                let reach = (f[2] - f[0]).min(f[3] - f[1]) * self.dice.between(0.25, 0.7);
                let (x, y) = (self.dice.between(f[0], f[2]), self.dice.between(f[1], f[3]));
                for i in 0..self.n() {
                    let p = self.poses[i];
                    let goes = !near || libm::hypotf(p.x - x, p.y - y) < reach;
                    if self.active[i] && p.page as usize == page && goes {
                        self.take(i);
                    }
                }
            }
            let taste = Taste::draw(&mut self.dice);
            for &page in &pages {
                if !near && self.dice.share() < GROUPS {
                    self.group(page, count, taste, watch);
                }
                self.fill(page, count, taste, watch);
            }
            let now = self.score(&self.active);
            if now > goal && (!in_order || (0..count).all(|i| self.active[i])) {
                return (self.kept(), true);
            }
            let cold = (walked + self.evaluations - start) as f64 / COOLING as f64;
            let heat = HEAT * all * (1.0 - cold).max(0.0) * f64::from(self.dice.share());
            if now.0 >= self.score(&walk.active).0 - heat {
                walk = self.kept();
            }
        }
        (walk, false)
    }

    /// After a separation that got stuck: what might go in is looked at quickly several times,
    /// then the best of these is gone into.
    fn not_placed(&mut self, watch: &Watch) {
        if self.not_squeezed() {
            return;
        }
        self.fails += 1;
        self.patience += 1;
        if self.good.is_none() {
            return;
        }
        self.remember();
        if self.closing.is_some() && self.patience >= VAIN && !self.setup.alike {
            self.other_field(watch);
        } else if self.pool.len() >= LOOKS && self.stretch() {
            return;
        } else {
            if self.fails.is_multiple_of(RESTART) {
                self.good = self.top.clone();
            }
            self.attempt(watch);
        }
        self.begin();
    }

    /// Perhaps another field is emptied more easily.
    fn other_field(&mut self, watch: &Watch) {
        let (Some(p), Some(whole)) = (self.closing, self.whole.clone()) else {
            return;
        };
        self.load(&whole.poses, &whole.active);
        self.open = whole.open;
        self.vain.push(p);
        self.pool.clear();
        self.fails = 0;
        self.closing = None;
        self.close_one();
        if !self.done {
            self.attempt(watch);
        }
    }

    pub fn remember(&mut self) {
        let kept = Kept {
            loss: self.least,
            poses: self.least_poses.clone(),
            ..self.kept()
        };
        let at = self.pool.partition_point(|k| k.loss <= kept.loss);
        self.pool.insert(at, kept);
        self.pool.truncate(POOL);
    }

    /// Goes on from one that failed, the better ones more often, shaken.
    pub fn again(&mut self) {
        let u = self.dice.share() * self.dice.share();
        let k = ((u * self.pool.len() as f32) as usize).min(self.pool.len() - 1);
        let kept = self.pool[k].clone();
        self.load(&kept.poses, &kept.active);
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
            let (on_a, on_b) = (pa.page as usize, pb.page as usize);
            if on_a != on_b && !(self.bears(a, on_b) && self.bears(b, on_a)) {
                self.put(a, pa);
                self.put(b, pb);
                continue;
            }
            self.put(a, Pose { a: pa.a, ..pb });
            self.put(b, Pose { a: pb.a, ..pa });
            return;
        }
    }

    /// Takes another island's best layout.
    pub fn adopt(&mut self, other: &Island, watch: &Watch) {
        let Some(good) = other.good.clone() else {
            return;
        };
        self.best = other.best.clone();
        self.shown = other.shown.clone();
        self.pool.clear();
        if self.open != good.open || self.closing != other.closing {
            self.walk = None;
        }
        self.fails = 0;
        self.patience = 0;
        self.step = other.step;
        self.whole = other.whole.clone();
        self.top = other.top.clone();
        self.closing = other.closing;
        self.vain = other.vain.clone();
        self.open = good.open.clone();
        self.only = other.only;
        if self.strip() {
            self.good = Some(good);
            self.shorten();
        } else {
            self.length = good.length;
            self.good = Some(good);
            self.attempt(watch);
        }
        self.done = other.done;
        self.begin();
    }

    /// Goes on for so many evaluations.
    pub fn run(&mut self, evaluations: u64, watch: &Watch) {
        self.until = self.evaluations + evaluations;
        while self.evaluations < self.until && !self.done && !watch.cancelled() {
            if !self.finishing && self.strip() && watch.finish.load(Ordering::Relaxed) {
                self.finish();
            }
            // Even what costs nothing ends some day.
            self.evaluations += 1;
            if self.only > 0.0 && self.evaluations >= self.only_until {
                self.with_the_rest(watch);
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
            let (stale, strikes) = self.limits();
            if self.stale >= stale {
                self.strikes = if self.least < 0.9 * self.strike_start {
                    0
                } else {
                    self.strikes + 1
                };
                self.strike_start = self.least;
                self.stale = 0;
                if self.strikes >= strikes {
                    if self.strip() {
                        self.not_shortened();
                    } else {
                        self.not_placed(watch);
                    }
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

    /// Sweeps without gain, and how often from the least, before a separation is given up.
    fn limits(&self) -> (u32, u32) {
        match &self.squeeze {
            Some(squeeze) if squeeze.is_rough() => (ROUGH, 1),
            None if !self.strip() => (QUICK, 1),
            _ => (STALE, STRIKES),
        }
    }

    pub fn done(&self) -> bool {
        self.done
    }
}
