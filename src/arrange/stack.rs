//! Levels over each other: which posts, how many levels, what stands on which.
//!
//! A level is a setter with its parts and the posts that carry what is above: it takes the
//! setter's thickness and the posts' length of the zone's height, the top level too (a cover, or
//! the zone's own clear height). A part needs the shortest posts that are at least its height and
//! the head room. [`arrange_stack`] asks for the most value placed, then the fewest levels, then
//! the lowest stack.
//!
//! The choices of posts are few (a handful of lengths, a dozen levels), so all are listed; by area
//! most fall out. The search gets levels that differ by the heights that they take and empties
//! them one after another; then fewer levels, one of them raised, and lower ones are tried.

use super::bound::{field_area, grown_area};
use super::islands::{Effort, arrange_by};
use super::rules::Rules;
use super::shape::area;
use super::task::{Answer, Fault, Field, Goal, Kind, Placed, Task, Watch};

/// Posts of one length in stock.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Posts {
    /// mm.
    pub length_mm: f64,
    /// Single posts.
    pub count: usize,
}

/// What is to stand in one furnace load.
#[derive(Clone, Debug)]
pub struct StackTask {
    /// The kinds of parts.
    pub kinds: Vec<Kind>,
    /// Height of each kind over its setter, at its highest stage, mm.
    pub heights_mm: Vec<f64>,
    /// The kind of each part.
    pub parts: Vec<usize>,
    /// The levels' setters are alike: ground, margin, what is fixed (the posts among it), and what
    /// they accept whatever its height.
    pub field: Field,
    /// Between parts, mm.
    pub clearance: f64,
    /// The stock; the stacks share it.
    pub posts: Vec<Posts>,
    /// Posts that one level takes.
    pub posts_per_level: usize,
    /// Of a setter, mm.
    pub thickness_mm: f64,
    /// Between a part and the setter above, mm.
    pub head_room_mm: f64,
    /// Height for a stack, mm.
    pub zone_mm: f64,
    /// Stacks beside each other.
    pub stacks: usize,
    /// Mass of each kind, value and precedence of each part, zones: as in [`Rules`]; its limits of
    /// mass and its start are not read.
    pub rules: Rules,
}

/// One level of an answer.
#[derive(Clone, Debug, PartialEq)]
pub struct StackLevel {
    /// Which stack it belongs to, from 0.
    pub stack: usize,
    /// Length of the posts that stand on it, mm.
    pub post_mm: f64,
    /// What stands on it; `field` is the level's index in [`Stacked::levels`].
    pub placed: Vec<Placed>,
}

/// What no stack can beat, as far as the choices of posts are listed: by area, height class for
/// height class.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StackBound {
    /// Levels.
    pub levels: usize,
    /// Of the highest stack, mm.
    pub height_mm: f64,
}

/// A stack, or several.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Stacked {
    /// Stack by stack, bottom up.
    pub levels: Vec<StackLevel>,
    /// Parts that found no place, in order.
    pub left_out: Vec<usize>,
    /// Of the highest stack, mm.
    pub height_mm: f64,
    /// `None` if by area not all parts go.
    pub bound: Option<StackBound>,
    /// Evaluations spent, no more than were given.
    pub evaluations: u64,
}

/// One choice of posts: length of each level, highest first, and the height that they come to.
#[derive(Clone, Debug, PartialEq)]
struct Choice {
    posts: Vec<f64>,
    height: f64,
}

/// Levels of one load at most; more make the list of choices long.
const MOST_LEVELS: usize = 24;
/// Choices looked at, so that a large stock cannot take for ever.
const MOST_CHOICES: usize = 200_000;
/// Share of a level that parts may be expected to cover without much trouble.
const EASY: f64 = 0.72;
/// Share of the effort for the first choice of posts, and for each further one.
const FIRST: f64 = 0.4;
const FURTHER: f64 = 0.2;

impl StackTask {
    /// The shortest posts in stock that a kind needs, mm.
    pub fn needs_mm(&self, kind: usize) -> Option<f64> {
        let least = self.heights_mm.get(kind)? + self.head_room_mm;
        let mut lengths = self.stock().into_iter().map(|(length_mm, _)| length_mm);
        lengths.find(|l| *l >= least - 1e-9)
    }

    /// Lengths of posts of which there is a set for a level, shortest first, mm, and how many sets.
    fn stock(&self) -> Vec<(f64, usize)> {
        let mut stock: Vec<(f64, usize)> = self
            .posts
            .iter()
            .map(|p| (p.length_mm, p.count / self.posts_per_level.max(1)))
            .filter(|(length_mm, sets)| *sets > 0 && *length_mm > 0.0)
            .collect();
        stock.sort_by(|a, b| a.0.total_cmp(&b.0));
        stock
    }

    /// Every choice of posts that the stock and the height allow, fewest levels first, then
    /// lowest.
    fn choices(&self) -> Vec<Choice> {
        let mut stock = self.stock();
        stock.reverse();
        let mut all = Vec::new();
        self.choose(&stock, &mut Vec::new(), &mut all);
        all.sort_by(|a, b| {
            let n = a.posts.len().cmp(&b.posts.len());
            n.then(a.height.total_cmp(&b.height))
        });
        all
    }

    fn choose(&self, stock: &[(f64, usize)], posts: &mut Vec<f64>, all: &mut Vec<Choice>) {
        if all.len() >= MOST_CHOICES {
            return;
        }
        let Some((&(length, count), rest)) = stock.split_first() else {
            if let Some((_, height)) = self.split(posts).filter(|_| !posts.is_empty()) {
                let posts = posts.clone();
                all.push(Choice { posts, height });
            }
            return;
        };
        let room = self.zone_mm * self.stacks.max(1) as f64;
        let had = posts.len();
        for _ in 0..=count {
            let sum: f64 = posts.iter().map(|p| p + self.thickness_mm).sum();
            if sum > room + 1e-9 || posts.len() > MOST_LEVELS.min(self.parts.len()) {
                break;
            }
            self.choose(rest, posts, all);
            posts.push(length);
        }
        posts.truncate(had);
    }

    /// Which stack each level goes to (the longest first, each on the lowest), and the height of
    /// the highest; `None` if that is more than the zone.
    fn split(&self, posts: &[f64]) -> Option<(Vec<usize>, f64)> {
        let mut heights = vec![0.0; self.stacks.max(1)];
        let mut to = Vec::with_capacity(posts.len());
        for post in posts {
            let mut lowest = 0;
            for (k, h) in heights.iter().enumerate() {
                if *h < heights[lowest] {
                    lowest = k;
                }
            }
            heights[lowest] += post + self.thickness_mm;
            to.push(lowest);
        }
        let highest = heights.iter().fold(0.0, |m: f64, h| m.max(*h));
        (highest <= self.zone_mm + 1e-9).then_some((to, highest))
    }

    /// Area that the parts of each need cover when grown: tallest first.
    fn areas(&self) -> Vec<(f64, f64)> {
        let half = self.clearance / 2.0;
        let mut areas: Vec<(f64, f64)> = Vec::new();
        let each: Vec<f64> = self
            .kinds
            .iter()
            .map(|k| grown_area(&k.outline, half))
            .collect();
        for &kind in &self.parts {
            let Some(need) = self.needs_mm(kind) else {
                continue;
            };
            match areas.iter_mut().find(|(n, _)| *n == need) {
                Some((_, sum)) => *sum += each[kind],
                None => areas.push((need, each[kind])),
            }
        }
        areas.sort_by(|a, b| b.0.total_cmp(&a.0));
        areas
    }

    /// How full the fullest levels would be: over all needs, the area of the parts that need as
    /// much or more over that of the levels that give it.
    fn fill(&self, choice: &Choice, areas: &[(f64, f64)]) -> f64 {
        let one = field_area(&self.field, self.clearance / 2.0);
        let (mut sum, mut fullest) = (0.0, 0.0f64);
        for (need, area) in areas {
            sum += area;
            let levels = choice.posts.iter().filter(|p| **p >= need - 1e-9).count();
            fullest = fullest.max(sum / (levels as f64 * one));
        }
        fullest
    }

    /// The same with some of the parts; their values go along.
    pub fn of(&self, parts: &[usize]) -> StackTask {
        let rules = &self.rules;
        let pick = |list: &[f64]| parts.iter().filter_map(|&i| list.get(i).copied()).collect();
        let rank = parts.iter().filter_map(|&i| rules.rank.get(i).copied());
        StackTask {
            parts: parts.iter().map(|&i| self.parts[i]).collect(),
            rules: Rules {
                value: pick(&rules.value),
                rank: rank.collect(),
                ..rules.clone()
            },
            ..self.clone()
        }
    }

    /// Area of a part, mm².
    pub fn area(&self, part: usize) -> f64 {
        area(&self.kinds[self.parts[part]].outline)
    }

    /// Area of a part grown by half the clearance, mm².
    pub fn grown_area(&self, part: usize) -> f64 {
        grown_area(&self.kinds[self.parts[part]].outline, self.clearance / 2.0)
    }

    /// Area of the most levels of one load, for grown parts, mm².
    pub fn most_area(&self) -> f64 {
        let most = self.choices().last().map_or(0, |c| c.posts.len());
        most as f64 * field_area(&self.field, self.clearance / 2.0)
    }

    /// Least loads by area, height class for height class; `None` if a part needs longer posts
    /// than there are.
    pub fn least_loads(&self) -> Option<usize> {
        if self.parts.iter().any(|&k| self.needs_mm(k).is_none()) {
            return None;
        }
        let areas = self.areas();
        // Loads may differ in their posts: for each class the most levels that one load can give it.
        let choices = self.choices();
        let one = field_area(&self.field, self.clearance / 2.0);
        // A margin that leaves nothing of a level: no number of loads does.
        if one.is_nan() || one <= 0.0 {
            return None;
        }
        let (mut sum, mut least) = (0.0, 1usize);
        for (need, area) in &areas {
            sum += area;
            let most = |c: &Choice| c.posts.iter().filter(|p| **p >= need - 1e-9).count();
            let most = choices.iter().map(most).max().filter(|n| *n > 0)?;
            least = least.max((sum / (most as f64 * one) - 1e-6).ceil() as usize);
        }
        Some(least)
    }

    /// The choice as fields, and the rules with their limits.
    fn task(&self, posts: &[f64], start: Vec<Placed>) -> (Task, Rules) {
        let accepts = |post: f64| -> Vec<bool> {
            let tall = |k: usize| self.needs_mm(k).is_some_and(|n| n <= post + 1e-9);
            let own = |k: usize| self.field.accepts.get(k).copied().unwrap_or(false);
            (0..self.kinds.len()).map(|k| own(k) && tall(k)).collect()
        };
        let fields = posts.iter().map(|&post| Field {
            accepts: accepts(post),
            ..self.field.clone()
        });
        let task = Task {
            kinds: self.kinds.clone(),
            parts: self.parts.clone(),
            fields: fields.collect(),
            clearance: self.clearance,
            goal: Goal::Setters,
        };
        let rules = Rules {
            most_g: Vec::new(),
            start,
            ..self.rules.clone()
        };
        (task, rules)
    }
}

/// What no stack can beat, `None` if by area not all parts go: the least levels, and the least
/// height, of all choices of posts whose levels hold the grown parts' area, class for class.
pub fn stack_bound(task: &StackTask) -> Option<StackBound> {
    let (choices, areas) = (task.choices(), task.areas());
    let fills: Vec<f64> = choices.iter().map(|c| task.fill(c, &areas)).collect();
    bound_of(task, &choices, &fills)
}

/// The same of choices whose fills are known.
fn bound_of(task: &StackTask, choices: &[Choice], fills: &[f64]) -> Option<StackBound> {
    if task.parts.iter().any(|&k| task.needs_mm(k).is_none()) {
        return None;
    }
    let mut bound: Option<StackBound> = None;
    let whole = choices.iter().zip(fills);
    for (choice, _) in whole.filter(|(_, fill)| **fill <= 1.0 + 1e-6) {
        // Several stacks are at least as high as their mean.
        let sum: f64 = choice.posts.iter().map(|p| p + task.thickness_mm).sum();
        let height_mm = sum / task.stacks.max(1) as f64;
        let now = bound.get_or_insert(StackBound {
            levels: choice.posts.len(),
            height_mm,
        });
        now.height_mm = now.height_mm.min(height_mm);
    }
    bound
}

/// Arranges the parts of one load on levels; see the head of this file. The same task, effort and
/// seed give the same answer, unless cancelled. Every level's layout has passed
/// [`super::prove`] and [`super::obeys`], and the heights add up to no more than the zone.
///
/// # Errors
/// See [`Fault`]; [`Fault::NoField`] if the stock or the height allow no level at all.
pub fn arrange_stack(task: &StackTask, effort: Effort, watch: &Watch) -> Result<Stacked, Fault> {
    let choices = task.choices();
    let areas = task.areas();
    let fills: Vec<f64> = choices.iter().map(|c| task.fill(c, &areas)).collect();
    // The easiest of the fewest levels; if none is easy, the roomiest.
    let easy = (0..choices.len()).find(|&k| fills[k] <= EASY);
    let roomy = || (0..choices.len()).min_by(|&a, &b| fills[a].total_cmp(&fills[b]));
    let first = easy.or_else(roomy).ok_or(Fault::NoField)?;
    let part = |share: f64| Effort {
        evaluations: (effort.evaluations as f64 * share) as u64,
        ..effort
    };
    let mut best = search(task, &choices[first].posts, &[], part(FIRST), watch)?;
    let mut left = effort.evaluations.saturating_sub(best.evaluations);
    let mut tried = vec![false; choices.len()];
    tried[first] = true;
    while left > effort.evaluations / 20 && !watch.cancelled() {
        // Fewer levels first, the roomiest of them; then a lower stack, the roomiest of them.
        let all = best.left_out.is_empty();
        let (n, h) = (best.levels.len(), best.height_mm);
        let better = |k: usize| {
            let c = &choices[k];
            if all {
                c.posts.len() < n || (c.posts.len() == n && c.height < h - 1e-9)
            } else {
                true
            }
        };
        // While not all go, only what is about as roomy.
        let most = if all { 1.0 } else { fills[first] * 1.05 };
        let may = |k: &usize| !tried[*k] && fills[*k] <= most && better(*k);
        let next = (0..choices.len()).filter(may).min_by(|&a, &b| {
            let fewer = |k: usize| all && choices[k].posts.len() < n;
            let order = fewer(b).cmp(&fewer(a));
            order.then(fills[a].total_cmp(&fills[b]))
        });
        // Nothing else to try: the rest goes into what is there, if that gains.
        let Some(k) = next.or((!all).then_some(first)) else {
            break;
        };
        tried[k] = true;
        let mut share = part(if next.is_some() { FURTHER } else { 1.0 });
        share.evaluations = share.evaluations.min(left);
        let found = search(task, &choices[k].posts, &best.levels, share, watch)?;
        left = left.saturating_sub(found.evaluations);
        if better_stack(task, &found, &best) {
            best = found;
        }
    }
    best.evaluations = effort.evaluations - left;
    best.bound = bound_of(task, &choices, &fills);
    Ok(best)
}

/// More value, then fewer levels, then lower.
fn better_stack(task: &StackTask, a: &Stacked, b: &Stacked) -> bool {
    let worth = task.rules.worth(task.parts.len());
    let out = |s: &Stacked| s.left_out.iter().map(|&i| worth[i]).sum::<f64>();
    let key = |s: &Stacked| (out(s), s.levels.len(), s.height_mm);
    key(a) < key(b)
}

/// Arranges on levels with these posts, beginning with what stands already.
fn search(
    task: &StackTask,
    posts: &[f64],
    before: &[StackLevel],
    effort: Effort,
    watch: &Watch,
) -> Result<Stacked, Fault> {
    // Short posts first: a low part takes room of the tall levels only when no other is left.
    let mut posts = posts.to_vec();
    posts.sort_by(f64::total_cmp);
    // Each level of before finds one that is as high, the tallest first, the shortest that does.
    let mut free: Vec<usize> = (0..posts.len()).collect();
    let mut start = Vec::new();
    let mut order: Vec<&StackLevel> = before.iter().collect();
    order.sort_by(|a, b| b.post_mm.total_cmp(&a.post_mm));
    for level in order {
        let Some(at) = free.iter().position(|&k| posts[k] >= level.post_mm - 1e-9) else {
            continue;
        };
        let field = free.remove(at);
        start.extend(level.placed.iter().map(|p| Placed { field, ..*p }));
    }
    let (fields, rules) = task.task(&posts, start);
    let answer = arrange_by(&fields, &rules, effort, watch)?;
    Ok(settle(task, &answer))
}

/// An answer's fields as levels: each on the shortest posts that do, heavy ones low.
fn settle(task: &StackTask, answer: &Answer) -> Stacked {
    let mut used: Vec<usize> = answer.placed.iter().map(|p| p.field).collect();
    used.sort_unstable();
    used.dedup();
    let need = |field: usize| {
        let on = answer.placed.iter().filter(|p| p.field == field);
        let needs = on.filter_map(|p| task.needs_mm(task.parts[p.part]));
        needs.fold(0.0, f64::max)
    };
    let mass = |field: usize| {
        let on = answer.placed.iter().filter(|p| p.field == field);
        on.map(|p| task.rules.mass(task.parts[p.part])).sum::<f64>()
    };
    let mut levels: Vec<(f64, f64, usize)> = used.iter().map(|&f| (need(f), mass(f), f)).collect();
    levels.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.2.cmp(&b.2)));
    let mut stock = task.stock();
    for level in &mut levels {
        // There is one: the search had its posts from the same stock.
        if let Some(own) = stock
            .iter_mut()
            .find(|(l, n)| *n > 0 && *l >= level.0 - 1e-9)
        {
            own.1 -= 1;
            level.0 = own.0;
        }
    }
    levels.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.2.cmp(&b.2)));
    let posts: Vec<f64> = levels.iter().map(|l| l.0).collect();
    let (to, height_mm) = task.split(&posts).unwrap_or_default();
    let mut order: Vec<usize> = (0..levels.len().min(to.len())).collect();
    order.sort_by(|&a, &b| {
        let heavy = levels[b].1.total_cmp(&levels[a].1);
        to[a].cmp(&to[b]).then(heavy).then(a.cmp(&b))
    });
    let levels: Vec<StackLevel> = order
        .iter()
        .enumerate()
        .map(|(index, &k)| StackLevel {
            stack: to[k],
            post_mm: levels[k].0,
            placed: (answer.placed.iter())
                .filter(|p| p.field == levels[k].2)
                .map(|p| Placed { field: index, ..*p })
                .collect(),
        })
        .collect();
    let mut left_out: Vec<usize> = (0..task.parts.len()).collect();
    let stands = |i: &usize| levels.iter().flat_map(|l| &l.placed).any(|p| p.part == *i);
    left_out.retain(|i| !stands(i));
    Stacked {
        levels,
        left_out,
        height_mm,
        bound: None,
        evaluations: answer.evaluations,
    }
}
