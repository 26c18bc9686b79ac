//! Levels set up anew: how many there are and which posts stand between them. What stands in a
//! stack and may be moved goes, with what waits, through [`arrange_stack`], group by group (what is
//! of one feedstock on one support); levels with things that stay keep what stands on them and
//! their posts. The outcome is a plan of its own, in which everything that stood stands, as a place
//! to search on from.

use super::super::islands::Effort;
use super::super::rules::{Rank, Rules};
use super::super::stack::{Posts, StackTask, arrange_stack};
use super::super::task::{Placed, Watch};
use super::pieces::{Copy, Piece, Refused, movable};
use super::posts::{self, Used};
use super::{Arrangement, Furniture, ROUND_MM};
use crate::catalogue::Post;
use crate::geometry::P2;
use crate::load::{Carrier, Edit, Level, LevelId, Move, Sizes, Stack};
use std::collections::BTreeSet;
use std::sync::Arc;

/// A plan with other levels, and what waited in it.
pub(super) struct Furnished {
    /// From the plan as it was to this one.
    pub edits: Vec<Edit>,
    /// Where pieces that wait may stand to begin with.
    pub seeds: Vec<Seed>,
}

/// A place for a piece that waits: its kind, and where on which level.
#[derive(Clone, Copy)]
pub(super) struct Seed {
    pub kind: usize,
    pub level: LevelId,
    pub at_mm: P2,
    pub angle_deg: f64,
}

/// What may share a setter.
#[derive(Clone, PartialEq)]
struct Group {
    feedstock: Option<String>,
    support: Option<String>,
}

impl Group {
    fn of(piece: &Piece) -> Group {
        Group {
            feedstock: piece.feedstock.clone(),
            support: piece.model.support.clone(),
        }
    }
}

/// A level as it is to be.
struct Wanted {
    setter: String,
    /// What must stand under the next setter.
    post_mm: f64,
    mass_g: f64,
    pieces: Vec<Standing>,
}

/// A piece on it: which copy, and where.
struct Standing {
    copy: usize,
    at_mm: P2,
    angle_deg: f64,
}

/// Sets levels up anew; none where nothing of that can be done, or nothing but places would change.
pub(super) fn furnish(
    set: &Arrangement,
    furniture: &Furniture,
    effort: Effort,
    watch: &Watch,
) -> Option<Furnished> {
    let waits = |copy: &usize| set.copies.get(*copy).is_some_and(|c| c.placed.is_none());
    let mut work = Work {
        set,
        furniture,
        sizes: Sizes::new(&set.plan, &set.catalogue),
        used: posts::used(&set.plan),
        setters: posts::setters(&set.plan),
        next_id: set.plan.next_id,
        waiting: (0..set.copies.len()).filter(waits).collect(),
        out: Furnished {
            edits: Vec::new(),
            seeds: Vec::new(),
        },
    };
    let stacks = &set.plan.load.stacks;
    let effort = Effort {
        evaluations: effort.evaluations / stacks.len().max(1) as u64,
        ..effort
    };
    for stack in stacks {
        if watch.cancelled() {
            return None;
        }
        work.stack(stack, effort, watch);
    }
    let changes = |edit: &Edit| !matches!(edit, Edit::MovePlacements(_));
    let any = work.out.edits.iter().any(changes);
    any.then_some(work.out)
}

struct Work<'a> {
    set: &'a Arrangement,
    furniture: &'a Furniture,
    sizes: Sizes,
    /// Posts and setters of what is set up so far, and of what is left as it is.
    used: Used,
    setters: Used,
    next_id: u32,
    /// Copies that wait and have no place yet.
    waiting: Vec<usize>,
    out: Furnished,
}

/// A stack with what is asked of it.
struct Frame<'a> {
    stack: &'a Stack,
    /// Levels set up anew, bottom up.
    free: Vec<&'a Level>,
    posts: Vec<&'a Post>,
    /// Where posts stand on a setter.
    at_mm: Vec<P2>,
    /// Height for the free levels, mm.
    zone_mm: f64,
    /// Whether the highest is among them, or comes on top where none is: it carries nothing.
    top_is_free: bool,
}

/// Whether a level is an empty setter on top of others that all carry something.
fn is_cover(stack: &Stack, at: usize) -> bool {
    let empty = |l: &Arc<Level>| l.placements.is_empty();
    let below = stack.levels.get(..at).unwrap_or_default();
    at > 0
        && at + 1 == stack.levels.len()
        && stack.levels.get(at).is_some_and(empty)
        && !below.iter().any(empty)
}

impl<'a> Frame<'a> {
    /// None where levels stand on anything but posts, or something is not known.
    fn new(stack: &'a Stack, set: &'a Arrangement, sizes: &Sizes) -> Option<Frame<'a>> {
        let (catalogue, keep) = (&set.catalogue, set.wish.keep);
        let [floor, top] = posts::floor_and_top(stack, &set.plan, catalogue, keep)?;
        let on_posts = stack.levels.iter().find_map(|l| match &l.carrier {
            Carrier::Posts { post, at_mm } if !at_mm.is_empty() => Some((post, at_mm)),
            _ => None,
        });
        let (post, at_mm) = on_posts?;
        let mut frame = Frame {
            stack,
            free: Vec::new(),
            posts: posts::alike(catalogue, post),
            at_mm: at_mm.clone(),
            zone_mm: top - floor + keep.head_mm,
            top_is_free: false,
        };
        for (i, level) in stack.levels.iter().enumerate() {
            let on_posts = matches!(level.carrier, Carrier::Posts { .. });
            if i > 0 && !on_posts {
                return None;
            }
            let looked_at = set.seats.iter().any(|seat| seat.level == level.id);
            let may = looked_at && level.placements.iter().all(movable);
            frame.top_is_free = may && !is_cover(stack, i);
            if frame.top_is_free {
                frame.free.push(level);
                continue;
            }
            let under_mm = match stack.levels.get(i + 1).map(|l| &l.carrier) {
                Some(Carrier::Posts { post, .. }) => catalogue.post(post)?.length_mm,
                Some(_) => return None,
                None => posts::tallest_mm(level, catalogue, sizes)? + keep.head_mm,
            };
            frame.zone_mm -= catalogue.setter(&level.setter)?.thickness_mm + under_mm;
        }
        if frame.free.is_empty() {
            // Where something stays on every level more may come on top of them, but not on a cover.
            let last = stack.levels.len().checked_sub(1)?;
            frame.top_is_free = !is_cover(stack, last);
            return frame.top_is_free.then_some(frame);
        }
        Some(frame)
    }

    /// Length of the posts that stand on a level now, mm; none on the highest.
    fn post_on_mm(&self, level: LevelId, set: &Arrangement) -> Option<f64> {
        let mut from_it = self.stack.levels.iter().skip_while(|l| l.id != level);
        match &from_it.nth(1)?.carrier {
            Carrier::Posts { post, .. } => Some(set.catalogue.post(post)?.length_mm),
            _ => None,
        }
    }
}

impl Work<'_> {
    /// Sets a stack up anew, or leaves it as it is.
    fn stack(&mut self, stack: &Stack, effort: Effort, watch: &Watch) -> Option<()> {
        let frame = Frame::new(stack, self.set, &self.sizes)?;
        let before = (self.used.clone(), self.setters.clone());
        let done = self.set_up(&frame, effort, watch);
        if done.is_none() {
            (self.used, self.setters) = before;
        }
        done
    }

    fn set_up(&mut self, frame: &Frame, effort: Effort, watch: &Watch) -> Option<()> {
        // What the free levels have goes back first.
        for (i, level) in frame.stack.levels.iter().enumerate() {
            let under_free = i > 0
                && frame
                    .free
                    .iter()
                    .any(|l| l.id == frame.stack.levels[i - 1].id);
            if let (true, Carrier::Posts { post, at_mm }) = (under_free, &level.carrier) {
                posts::give_back(&mut self.used, post, at_mm.len());
            }
        }
        for level in &frame.free {
            posts::give_back(&mut self.setters, &level.setter, 1);
        }
        let groups = self.groups(frame);
        let each = effort.evaluations / groups.len().max(1) as u64;
        let (mut wanted, mut placed) = (Vec::new(), Vec::new());
        let mut used_mm = 0.0;
        for (at, group) in groups.iter().enumerate() {
            // Those that come later keep what they have.
            let later = groups.get(at + 1..).unwrap_or_default().iter();
            let kept_mm: f64 = later.map(|g| g.has_mm).sum();
            let zone_mm = frame.zone_mm - used_mm - kept_mm;
            let effort = Effort {
                evaluations: each,
                ..effort
            };
            let setters = self.setters.clone();
            let found = self.arrange(frame, group, (zone_mm, at == 0), effort, watch);
            let holds = |levels: &Vec<Wanted>| {
                let there = levels.iter().flat_map(|l| &l.pieces).map(|p| p.copy);
                let there: BTreeSet<usize> = there.collect();
                group.standing.iter().all(|copy| there.contains(copy))
            };
            let levels = match found.filter(holds) {
                Some(levels) => levels,
                // A short search may not find what stands again.
                None => {
                    self.setters = setters;
                    self.as_it_stands(frame, group)?
                }
            };
            used_mm += levels.iter().map(|l| l.post_mm).sum::<f64>();
            used_mm += levels.len() as f64 * group.thickness_mm;
            let all = levels.iter().flat_map(|l| l.pieces.iter().map(|p| p.copy));
            placed.extend(all);
            wanted.extend(levels);
        }
        if wanted.is_empty() {
            return None;
        }
        self.waiting.retain(|copy| !placed.contains(copy));
        self.build(frame, wanted)
    }

    /// What stands on the free levels by group, then groups of which something waits alone.
    fn groups(&self, frame: &Frame) -> Vec<Mine> {
        let set = self.set;
        let thickness = |setter: &str| set.catalogue.setter(setter).map(|s| s.thickness_mm);
        let mut groups: Vec<Mine> = Vec::new();
        let mut add = |copy: usize, level: Option<&Level>| {
            let Some(piece) = set.copies.get(copy).and_then(|c| set.pieces.get(c.kind)) else {
                return;
            };
            let group = Group::of(piece);
            let at = groups.iter().position(|g| g.group == group).or_else(|| {
                // What waits alone may go where its like stands in another stack.
                let level = level.or(frame.free.first().copied());
                let level = level.or(frame.stack.levels.last().map(AsRef::as_ref))?;
                groups.push(Mine {
                    group,
                    setter: level.setter.clone(),
                    like: level.id,
                    thickness_mm: thickness(&level.setter)?,
                    levels: Vec::new(),
                    has_mm: 0.0,
                    standing: Vec::new(),
                    waiting: Vec::new(),
                });
                Some(groups.len() - 1)
            });
            let Some(mine) = at.and_then(|at| groups.get_mut(at)) else {
                return;
            };
            match level {
                None => mine.waiting.push(copy),
                Some(level) => {
                    mine.standing.push(copy);
                    if !mine.levels.contains(&level.id) {
                        mine.levels.push(level.id);
                        let post_mm = frame.post_on_mm(level.id, set).unwrap_or(0.0);
                        mine.has_mm += post_mm + mine.thickness_mm;
                    }
                }
            }
        };
        for level in &frame.free {
            for (copy, one) in set.copies.iter().enumerate() {
                let here = |id| level.placements.iter().any(|p| p.id == id);
                if one.placed.is_some_and(here) {
                    add(copy, Some(level));
                }
            }
        }
        for copy in &self.waiting {
            add(*copy, None);
        }
        groups
    }

    /// The levels of a group in so much height; the first group may have the highest level, which
    /// carries nothing.
    fn arrange(
        &mut self,
        frame: &Frame,
        group: &Mine,
        (zone_mm, first): (f64, bool),
        effort: Effort,
        watch: &Watch,
    ) -> Option<Vec<Wanted>> {
        let set = self.set;
        let keep = set.wish.keep;
        let copies: Vec<usize> = group
            .standing
            .iter()
            .chain(&group.waiting)
            .copied()
            .collect();
        let parts: Vec<usize> = copies
            .iter()
            .filter_map(|c| Some(set.copies.get(*c)?.kind))
            .collect();
        let heights_mm: Vec<f64> = set.pieces.iter().map(|p| p.height_mm).collect();
        let per_level = frame.at_mm.len();
        let mut stock: Vec<Posts> = Vec::new();
        for post in &frame.posts {
            let left = self.furniture.count(&post.id);
            let left = left.saturating_sub(self.used.get(&post.id).copied().unwrap_or(0));
            match stock.iter_mut().find(|p| p.length_mm == post.length_mm) {
                Some(same) => same.count += left,
                None => stock.push(Posts {
                    length_mm: post.length_mm,
                    count: left,
                }),
            }
        }
        if first && frame.top_is_free {
            let tallest = parts.iter().filter_map(|k| heights_mm.get(*k));
            let length_mm = tallest.copied().fold(0.0, f64::max) + keep.head_mm;
            let count = per_level;
            match stock.iter_mut().find(|p| p.length_mm == length_mm) {
                Some(same) => same.count += count,
                None => stock.push(Posts { length_mm, count }),
            }
        }
        let seat = set.seats.iter().position(|seat| seat.level == group.like)?;
        let (mut field, middle) = (
            set.task.fields.get(seat)?.clone(),
            set.seats.get(seat)?.middle,
        );
        let refused = &set.seats.get(seat)?.refused;
        let may = |kind: &Option<Refused>| !matches!(kind, Some(Refused::Material(_)));
        field.accepts = refused.iter().map(may).collect();
        if frame.free.is_empty() {
            // What stays there is not on a level that comes.
            field.fixed.clear();
        }
        if frame
            .stack
            .levels
            .last()
            .is_some_and(|l| l.id == group.like)
        {
            // Something may come to stand on it.
            let diameter_mm = frame.posts.first()?.diameter_mm;
            let discs = frame
                .at_mm
                .iter()
                .flat_map(|at| posts::disc(diameter_mm, *at, middle));
            field.fixed.extend(discs);
        }
        let stands = group.standing.len();
        let pick = |list: &[f64]| {
            copies
                .iter()
                .filter_map(|c| list.get(*c).copied())
                .collect()
        };
        let rank = copies.iter().enumerate().map(|(i, c)| match i < stands {
            true => Rank::Stands,
            false => set.rules.rank(*c),
        });
        let task = StackTask {
            kinds: set.task.kinds.clone(),
            heights_mm,
            parts,
            field,
            clearance: set.task.clearance,
            posts: stock,
            posts_per_level: per_level,
            thickness_mm: group.thickness_mm,
            head_room_mm: keep.head_mm,
            zone_mm,
            stacks: 1,
            rules: Rules {
                mass_g: set.rules.mass_g.clone(),
                value: pick(&set.rules.value),
                rank: rank.collect(),
                within: set.rules.within.clone(),
                ..Rules::default()
            },
        };
        let found = arrange_stack(&task, effort, watch).ok()?;
        let levels = found.levels.iter().map(|level| {
            let kinds = level.placed.iter().filter_map(|p| task.parts.get(p.part));
            let piece = |p: &Placed| {
                Some(Standing {
                    copy: *copies.get(p.part)?,
                    at_mm: [p.x - middle[0], p.y - middle[1]],
                    angle_deg: p.angle,
                })
            };
            Wanted {
                setter: group.setter.clone(),
                post_mm: level.post_mm,
                mass_g: kinds.map(|k| task.rules.mass(*k)).sum(),
                pieces: level.placed.iter().filter_map(piece).collect(),
            }
        });
        let mut levels: Vec<Wanted> = levels.collect();
        self.only_setters_there(group, &mut levels)?;
        Some(levels)
    }

    /// The levels of a group with what stands on them, where it stands.
    fn as_it_stands(&mut self, frame: &Frame, group: &Mine) -> Option<Vec<Wanted>> {
        let set = self.set;
        let mut levels = Vec::new();
        for id in &group.levels {
            let level = frame.free.iter().find(|l| l.id == *id)?;
            let (mut pieces, mut mass_g, mut tallest_mm) = (Vec::new(), 0.0, 0.0f64);
            for copy in &group.standing {
                let one = set.copies.get(*copy)?;
                let stands = level.placements.iter().find(|p| Some(p.id) == one.placed);
                let Some(stands) = stands else { continue };
                tallest_mm = tallest_mm.max(set.pieces.get(one.kind)?.height_mm);
                mass_g += set.rules.mass(one.kind);
                pieces.push(Standing {
                    copy: *copy,
                    at_mm: stands.at_mm,
                    angle_deg: stands.angle_deg,
                });
            }
            let least_mm = tallest_mm + set.wish.keep.head_mm;
            levels.push(Wanted {
                setter: level.setter.clone(),
                post_mm: frame.post_on_mm(*id, set).unwrap_or(least_mm),
                mass_g,
                pieces,
            });
            *self.setters.entry(level.setter.clone()).or_default() += 1;
        }
        Some(levels)
    }

    /// Leaves out levels for which there is no setter, those first that bear least and nothing that
    /// stood.
    fn only_setters_there(&mut self, group: &Mine, levels: &mut Vec<Wanted>) -> Option<()> {
        let used = self.setters.get(&group.setter).copied().unwrap_or(0);
        let left = self.furniture.count(&group.setter).saturating_sub(used);
        while levels.len() > left {
            let stood = |l: &Wanted| l.pieces.iter().any(|p| group.standing.contains(&p.copy));
            let spare = levels.iter().enumerate().filter(|(_, l)| !stood(l));
            let (least, _) = spare.min_by(|a, b| a.1.mass_g.total_cmp(&b.1.mass_g))?;
            levels.remove(least);
        }
        *self.setters.entry(group.setter.clone()).or_default() += levels.len();
        Some(())
    }

    /// Makes the edits: levels in the places of the free ones, more on top of them, or fewer.
    fn build(&mut self, frame: &Frame, mut wanted: Vec<Wanted>) -> Option<()> {
        // Heavy ones low; highest the one that needs the longest posts, where it carries nothing.
        wanted.sort_by(|a, b| b.mass_g.total_cmp(&a.mass_g));
        if frame.top_is_free
            && let Some((longest, _)) = wanted
                .iter()
                .enumerate()
                .max_by(|a, b| a.1.post_mm.total_cmp(&b.1.post_mm))
        {
            let top = wanted.remove(longest);
            wanted.push(top);
        }
        let mut order: Vec<(LevelId, Option<usize>)> = Vec::new();
        let mut next = 0;
        let highest = frame.free.last().copied();
        let highest = highest.or(frame.stack.levels.last().map(AsRef::as_ref))?.id;
        let mut gone = Vec::new();
        let mut ids = self.next_id;
        for level in &frame.stack.levels {
            let free = frame.free.iter().any(|l| l.id == level.id);
            if !free {
                order.push((level.id, None));
            } else if next < wanted.len() {
                order.push((level.id, Some(next)));
                next += 1;
            } else {
                gone.push(level.id);
            }
            while level.id == highest && next < wanted.len() {
                order.push((LevelId(ids), Some(next)));
                ids = ids.checked_add(1)?;
                next += 1;
            }
        }
        let carriers = self.carriers(frame, &order, &wanted)?;
        let (mut moves, mut adds, mut changes) = (Vec::new(), Vec::new(), Vec::new());
        for (at, ((id, mine), carrier)) in order.iter().zip(carriers).enumerate() {
            let old = self.set.plan.level(*id).map(|(_, level)| level);
            let setter = match (mine.and_then(|k| wanted.get(k)), old) {
                (Some(wanted), _) => wanted.setter.clone(),
                (None, Some(old)) => old.setter.clone(),
                (None, None) => return None,
            };
            match old {
                Some(old) if old.setter == setter && old.carrier == carrier => {}
                Some(_) => changes.push(Edit::ChangeLevel {
                    id: *id,
                    setter,
                    carrier,
                }),
                None => adds.push(Edit::AddLevel {
                    stack: frame.stack.id,
                    index: at,
                    level: Level {
                        id: *id,
                        setter,
                        carrier,
                        placements: Vec::new(),
                    },
                }),
            }
            for piece in mine
                .and_then(|k| wanted.get(k))
                .into_iter()
                .flat_map(|w| &w.pieces)
            {
                let copy: &Copy = self.set.copies.get(piece.copy)?;
                let at_mm = piece.at_mm.map(|v| (v / ROUND_MM).round() * ROUND_MM);
                match copy.placed {
                    Some(placed) => moves.push(Move {
                        id: placed,
                        level: *id,
                        at_mm,
                        angle_deg: piece.angle_deg,
                    }),
                    None => self.out.seeds.push(Seed {
                        kind: copy.kind,
                        level: *id,
                        at_mm,
                        angle_deg: piece.angle_deg,
                    }),
                }
            }
        }
        self.next_id = ids;
        // Levels come in from the bottom up, each at its place; those that go are still there then.
        self.out.edits.append(&mut adds);
        if !moves.is_empty() {
            self.out.edits.push(Edit::MovePlacements(moves));
        }
        self.out.edits.append(&mut changes);
        self.out
            .edits
            .extend(gone.into_iter().map(Edit::RemoveLevel));
        Some(())
    }

    /// What each level stands on, bottom up: the lowest on what it stood on, the others on the
    /// posts that the level under them needs.
    fn carriers(
        &mut self,
        frame: &Frame,
        order: &[(LevelId, Option<usize>)],
        wanted: &[Wanted],
    ) -> Option<Vec<Carrier>> {
        let set = self.set;
        let lowest = frame.stack.levels.first()?.carrier.clone();
        let mut all = vec![lowest];
        for (under, (id, _)) in order.iter().zip(order.iter().skip(1)) {
            let old = set.plan.level(*id).map(|(_, level)| &level.carrier);
            let at_mm = match old {
                Some(Carrier::Posts { at_mm, .. }) if !at_mm.is_empty() => at_mm.clone(),
                _ => frame.at_mm.clone(),
            };
            let free = under.1.and_then(|k| wanted.get(k));
            let stays = match free {
                Some(_) => None,
                None => frame.post_on_mm(under.0, set),
            };
            let (least_mm, counted) = match (free, stays) {
                (Some(wanted), _) => (wanted.post_mm, false),
                // They are among those in use.
                (None, Some(post_mm)) => (post_mm, true),
                (None, None) => {
                    let (_, level) = set.plan.level(under.0)?;
                    let tallest = posts::tallest_mm(level, &set.catalogue, &self.sizes)?;
                    (tallest + set.wish.keep.head_mm, false)
                }
            };
            if counted {
                let above = frame
                    .stack
                    .levels
                    .iter()
                    .skip_while(|l| l.id != under.0)
                    .nth(1)?;
                let Carrier::Posts { post, at_mm: were } = &above.carrier else {
                    return None;
                };
                posts::give_back(&mut self.used, post, were.len());
            }
            let stock = (self.furniture, &self.used);
            let post = posts::shortest(&frame.posts, least_mm, at_mm.len(), stock)?;
            *self.used.entry(post.id.clone()).or_default() += at_mm.len();
            let post = post.id.clone();
            all.push(Carrier::Posts { post, at_mm });
        }
        Some(all)
    }
}

/// A group in a stack.
struct Mine {
    group: Group,
    /// A level of it, for its setter and what is in the way there.
    like: LevelId,
    setter: String,
    thickness_mm: f64,
    levels: Vec<LevelId>,
    /// Height that its levels take now, mm.
    has_mm: f64,
    standing: Vec<usize>,
    waiting: Vec<usize>,
}
