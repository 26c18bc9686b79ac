//! Longer posts and other setters, of those in stock.

use super::{Candidate, Finding, Fixer, Found, placements};
use crate::catalogue::{Kind, Post, Setter};
use crate::load::{Carrier, Edit, Level, LevelId, Neighbour, PlacementId};
use crate::review::checks::furniture::record;
use crate::review::finding::{Subject, number};
use crate::text::fixes as say;
use crate::units::Quantity::Length;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Pieces of a slug that are left in stock beside those in the load; none where the shop keeps no
/// count of it.
fn left(fixer: &Fixer, id: &str, used: &BTreeMap<&str, usize>) -> Option<usize> {
    let stock = &fixer.facts.shop?.stock;
    let count = stock.iter().find(|s| s.id == id)?.count as usize;
    Some(count.saturating_sub(used.get(id).copied().unwrap_or(0)))
}

/// A level on posts, with those of the same diameter and material that are longer and in stock,
/// the shortest first.
struct OnPosts<'a> {
    level: &'a Level,
    at_mm: &'a [[f64; 2]],
    now_mm: f64,
    longer: Vec<&'a Arc<Post>>,
}

impl<'a> OnPosts<'a> {
    fn new(fixer: &Fixer<'a>, level: &'a Level) -> Result<OnPosts<'a>, String> {
        let catalogue = fixer.given.catalogue;
        let Carrier::Posts { post, at_mm } = &level.carrier else {
            return Err(say::no_posts_above());
        };
        let Some(now) = catalogue.post(post) else {
            return Err(say::no_posts_above());
        };
        let used = fixer.plan().posts_used();
        let alike = |p: &&Arc<Post>| {
            p.diameter_mm == now.diameter_mm
                && p.material == now.material
                && p.length_mm > now.length_mm
                && left(fixer, &p.id, &used).is_some_and(|n| n >= at_mm.len())
        };
        let all = catalogue.posts.values().map(|(_, p)| p);
        let mut longer: Vec<&Arc<Post>> = all.filter(alike).collect();
        longer.sort_by(|a, b| a.length_mm.total_cmp(&b.length_mm).then(a.id.cmp(&b.id)));
        if longer.is_empty() {
            return Err(say::no_post_in_stock());
        }
        Ok(OnPosts {
            level,
            at_mm,
            now_mm: now.length_mm,
            longer,
        })
    }

    fn on(&self, post: &Post) -> Edit {
        Edit::ChangeLevel {
            id: self.level.id,
            setter: self.level.setter.clone(),
            carrier: Carrier::Posts {
                post: post.id.clone(),
                at_mm: self.at_mm.to_vec(),
            },
        }
    }
}

fn length(post: &Post) -> String {
    number(Length, post.length_mm, 0).to_string()
}

/// Levels that stand on one with any of these things, each with that below it.
fn above<'a>(fixer: &Fixer<'a>, ids: &[PlacementId]) -> Vec<(&'a Level, &'a Level)> {
    let mut found = Vec::new();
    for stack in &fixer.plan().load.stacks {
        for pair in stack.levels.windows(2) {
            if let [here, next] = pair
                && here.placements.iter().any(|p| ids.contains(&p.id))
            {
                found.push((here.as_ref(), next.as_ref()));
            }
        }
    }
    found
}

/// The setter above those of the finding on the next longer posts of the same diameter and
/// material.
pub(super) fn longer_post(fixer: &Fixer, finding: &Finding) -> Found {
    let above = above(fixer, &placements(finding));
    let [(_, level)] = above.as_slice() else {
        return Err(match above.is_empty() {
            true => say::no_posts_above(),
            false => say::no_way(),
        });
    };
    let on = OnPosts::new(fixer, level)?;
    let label = fixer.plan().level_label(level.id);
    let candidate = |post: &&Arc<Post>| {
        let words = say::longer_post(&length(post), &label);
        Candidate::one(words, on.on(post))
    };
    Ok(on.longer.iter().map(candidate).collect())
}

/// Where head room is short under several levels: each on the shortest posts that give it.
pub(super) fn longer_posts(fixer: &Fixer, _: &Finding) -> Found {
    let short = fixer.before.findings.iter().filter(|f| {
        f.accepted.is_none() && matches!(f.check, "part-touches-setter-above" | "head-room-low")
    });
    let ids: Vec<PlacementId> = short.flat_map(placements).collect();
    let above = above(fixer, &ids);
    let Some(clearances) = fixer.facts.clearances.as_ref().filter(|_| above.len() > 1) else {
        return Err(say::no_way());
    };
    let limits = fixer.facts.least_limits("head-room-min");
    let used = fixer.plan().posts_used();
    let mut taken: BTreeMap<&str, usize> = BTreeMap::new();
    let mut edits = Vec::new();
    let mut lengths = Vec::new();
    for (here, level) in above {
        let on = OnPosts::new(fixer, level)?;
        let items = clearances.items.iter().filter(|g| {
            matches!(g.to, Neighbour::SetterAbove(_))
                && here.placements.iter().any(|p| p.id == g.placement)
        });
        let lacks = items.filter_map(|g| Some(limits.of(g.placement)?.value - g.gap_mm));
        let lacks_mm = lacks.fold(0.0, f64::max);
        let post = on.longer.iter().find(|post| {
            let beside = taken.get(post.id.as_str()).copied().unwrap_or(0);
            let enough = left(fixer, &post.id, &used);
            post.length_mm >= on.now_mm + lacks_mm
                && enough.is_some_and(|n| n >= beside + on.at_mm.len())
        });
        let Some(post) = post else {
            return Err(say::no_post_in_stock());
        };
        *taken.entry(&post.id).or_default() += on.at_mm.len();
        edits.push(on.on(post));
        lengths.push(length(post));
    }
    let label = say::longer_posts(&lengths);
    Ok(vec![Candidate { label, edits }])
}

fn face(setter: &Setter) -> &str {
    setter.face_material.as_ref().unwrap_or(&setter.material)
}

/// Levels whose setter a finding is about.
fn levels(fixer: &Fixer, finding: &Finding) -> Vec<LevelId> {
    let plan = fixer.plan();
    let setter = |level: &Level| fixer.given.catalogue.setter(&level.setter).cloned();
    let about = |level: &Level| {
        finding.subjects.iter().any(|subject| match subject {
            Subject::Level(id) => *id == level.id,
            Subject::Part(id) => {
                let mut all = level.placements.iter();
                all.any(|p| p.item.part() == Some(*id))
            }
            named @ Subject::Named(_) => {
                let material = |id: &str| *named == record(Kind::Material.word(), id);
                *named == record(Kind::Setter.word(), &level.setter)
                    || setter(level).is_some_and(|s| material(&s.material) || material(face(&s)))
            }
            _ => false,
        })
    };
    let all = plan.levels().filter(|(_, l)| about(l));
    all.map(|(_, l)| l.id).collect()
}

/// Another setter of the same plan on every level that the finding is about, the same thickness
/// first; for a post another of the same length and diameter.
pub(super) fn another(fixer: &Fixer, finding: &Finding) -> Found {
    let catalogue = fixer.given.catalogue;
    let plan = fixer.plan();
    let mut posts = plan.posts_used().into_keys();
    let about = |id: &&str| finding.subjects.contains(&record(Kind::Post.word(), id));
    if let Some(post) = posts.find(about) {
        return another_post(fixer, post);
    }
    let levels = levels(fixer, finding);
    let setters: Vec<&Arc<Setter>> = levels
        .iter()
        .filter_map(|id| catalogue.setter(&plan.level(*id)?.1.setter))
        .collect();
    let Some(now) = setters.first() else {
        return Err(say::no_way());
    };
    if setters.len() != levels.len() || setters.iter().any(|s| s.shape != now.shape) {
        return Err(say::setters_differ());
    }
    let used = plan.setters_used();
    let fits = |s: &&Arc<Setter>| {
        s.shape == now.shape
            && s.rim == now.rim
            && setters.iter().all(|mine| mine.id != s.id)
            && left(fixer, &s.id, &used).is_some_and(|n| n >= levels.len())
    };
    let all = catalogue.setters.values().map(|(_, s)| s);
    let mut fitting: Vec<&Arc<Setter>> = all.filter(fits).collect();
    let other = |s: &Setter| (s.thickness_mm - now.thickness_mm).abs();
    fitting.sort_by(|a, b| other(a).total_cmp(&other(b)).then(a.id.cmp(&b.id)));
    if fitting.is_empty() {
        return Err(say::no_setter_in_stock());
    }
    let candidate = |setter: &Arc<Setter>| {
        let edits = levels.iter().filter_map(|id| {
            Some(Edit::ChangeLevel {
                id: *id,
                setter: setter.id.clone(),
                carrier: plan.level(*id)?.1.carrier.clone(),
            })
        });
        Candidate {
            label: say::another_setter(&setter.name, levels.len()),
            edits: edits.collect(),
        }
    };
    Ok(fitting.into_iter().map(candidate).collect())
}

fn another_post(fixer: &Fixer, id: &str) -> Found {
    let (catalogue, plan) = (fixer.given.catalogue, fixer.plan());
    let Some(now) = catalogue.post(id) else {
        return Err(say::no_way());
    };
    let used = plan.posts_used();
    let needed = used.get(id).copied().unwrap_or(0);
    let fits = |p: &&Arc<Post>| {
        p.id != now.id
            && p.length_mm == now.length_mm
            && p.diameter_mm == now.diameter_mm
            && left(fixer, &p.id, &used).is_some_and(|n| n >= needed)
    };
    let fitting: Vec<&Arc<Post>> = catalogue
        .posts
        .values()
        .map(|(_, p)| p)
        .filter(fits)
        .collect();
    if fitting.is_empty() {
        return Err(say::no_post_in_stock());
    }
    let candidate = |post: &Arc<Post>| {
        let edits = plan.levels().filter_map(|(_, l)| match &l.carrier {
            Carrier::Posts { post: mine, at_mm } if mine == id => Some(Edit::ChangeLevel {
                id: l.id,
                setter: l.setter.clone(),
                carrier: Carrier::Posts {
                    post: post.id.clone(),
                    at_mm: at_mm.clone(),
                },
            }),
            _ => None,
        });
        let edits: Vec<Edit> = edits.collect();
        Candidate {
            label: say::another_post(&post.name, edits.len()),
            edits,
        }
    };
    Ok(fitting.into_iter().map(candidate).collect())
}
