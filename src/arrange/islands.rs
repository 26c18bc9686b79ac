//! Islands, merged in order.

use super::island::Island;
use super::proof::prove;
use super::rules::Rules;
use super::setup::Setup;
use super::task::{Answer, Fault, Goal, Ground, Task, Watch};
use std::sync::Arc;
use std::sync::atomic::Ordering;

/// Least number of exchanges between the islands over the whole budget.
const ROUNDS: u64 = 12;
/// Share of the effort, in tenths, within which what is worth most is searched for alone, where not all
/// of it went in at once (assumed).
const ALONE: u64 = 5;
/// Most evaluations of one island between exchanges.
const SLICE: u64 = 400_000;

/// How hard to search.
#[derive(Clone, Copy, Debug)]
pub struct Effort {
    /// Evaluations of one pose of one part, over all islands.
    pub evaluations: u64,
    /// The same number gives the same layout.
    pub seed: u64,
    /// Independent searches; fixed by the caller, not by the machine, since the answer depends
    /// on it.
    pub islands: usize,
}

/// [`arrange_by`] without further rules.
///
/// # Errors
/// See [`Fault`].
pub fn arrange(task: &Task, effort: Effort, watch: &Watch) -> Result<Answer, Fault> {
    arrange_by(task, &Rules::default(), effort, watch)
}

/// Arranges: the same task, effort and seed give the same answer on any number of cores, unless
/// cancelled. What is answered has passed [`super::prove`] and
/// [`super::obeys`].
///
/// # Errors
/// See [`Fault`].
pub fn arrange_by(
    task: &Task,
    rules: &Rules,
    effort: Effort,
    watch: &Watch,
) -> Result<Answer, Fault> {
    match plate(task, rules) {
        Some(width) => one_more_as_a_strip(task, width, effort, watch),
        None => searched(task, rules, effort, watch, None),
    }
}

/// Share of the effort that a plate filled in order gets as such, in tenths (assumed).
const AS_PLATE: u64 = 3;
/// With less than one over this of the effort left no strip is begun (assumed).
const LEAST_LEFT: u64 = 10;

/// The width of the one free plate that a task fills in order.
fn plate(task: &Task, rules: &Rules) -> Option<f64> {
    let [field] = task.fields.as_slice() else {
        return None;
    };
    let Ground::Rectangle { w, .. } = field.ground else {
        return None;
    };
    let free = field.fixed.is_empty() && field.accepts.iter().all(|accepts| *accepts);
    (task.goal == Goal::InOrder && free && rules.is_empty()).then_some(w)
}

/// Fills a plate in order: with one part more than went in it is a strip as deep as the plate, which
/// is shortened until it is no wider. That finds places for parts that putting one more among those
/// that stand never does. Every other island begins it with nothing, and none turns by odd degrees there,
/// in which strips of few kinds get stuck.
fn one_more_as_a_strip(
    task: &Task,
    width: f64,
    effort: Effort,
    watch: &Watch,
) -> Result<Answer, Fault> {
    let part_of = |evaluations: u64| Effort {
        evaluations,
        ..effort
    };
    let rules = Rules::default();
    let first = part_of(effort.evaluations * AS_PLATE / 10);
    let mut best = searched(task, &rules, first, watch, None)?;
    loop {
        let (placed, spent) = (best.placed.len(), best.evaluations);
        let left = effort.evaluations.saturating_sub(spent);
        if placed == 0
            || placed == task.parts.len()
            || left <= effort.evaluations / LEAST_LEFT
            || watch.cancelled()
        {
            return Ok(best);
        }
        let mut strip = task.clone();
        strip.goal = Goal::Strip;
        strip.parts.truncate(placed + 1);
        for field in &mut strip.fields {
            if let Ground::Rectangle { w, .. } = &mut field.ground {
                *w *= 2.0;
            }
        }
        let rules = Rules {
            start: best.placed.clone(),
            ..Rules::default()
        };
        // Whatever comes of it, the plate is proved.
        let Ok(found) = searched(&strip, &rules, part_of(left), watch, Some(width)) else {
            return Ok(best);
        };
        best.evaluations = spent + found.evaluations;
        let all = found.placed.len() == placed + 1;
        if !all || found.length > width || prove(task, &found.placed, None).is_err() {
            return Ok(best);
        }
        best.placed = found.placed;
        if let Ok(mut shown) = watch.best.lock() {
            *shown = Some(best.clone());
        }
    }
}

/// The search itself; a strip is shortened to `enough` and no further, and not shown.
fn searched(
    task: &Task,
    rules: &Rules,
    effort: Effort,
    watch: &Watch,
    enough: Option<f64>,
) -> Result<Answer, Fault> {
    // What an earlier search left belongs to another task.
    if enough.is_none()
        && let Ok(mut shown) = watch.best.lock()
    {
        *shown = None;
    }
    let Some(setup) = Setup::new(task, rules, watch)? else {
        return Ok(Answer::default());
    };
    let setup = Arc::new(setup);
    let count = effort.islands.max(1);
    let mut islands = (0..count as u64)
        .map(|k| {
            let seed = effort.seed.wrapping_mul(1000).wrapping_add(k);
            let mut island = Island::new(setup.clone(), seed);
            island.shows = enough.is_none();
            island.in_line = enough.is_some();
            island.anew = enough.is_some() && k % 2 == 1;
            island
        })
        .collect::<Vec<_>>();
    let each = effort.evaluations / count as u64;
    for island in &mut islands {
        island.only_until = each * ALONE / 10;
    }
    let slice = (each / ROUNDS).clamp(1, SLICE);
    let rounds = each.div_ceil(slice).max(1);
    // The last quarter is a strip's fine phase.
    let fine = rounds - rounds / 4;
    let mut told = 0;
    for round in 0..rounds {
        let whole = std::thread::scope(|scope| {
            let mut threads = Vec::new();
            for island in &mut islands {
                threads.push(scope.spawn(|| {
                    if round == 0 {
                        island.construct(watch);
                    }
                    if round >= fine {
                        island.finish();
                    }
                    let until = slice * (round + 1);
                    island.run(until.saturating_sub(island.evaluations), watch);
                }));
            }
            // A panic inside the collision library ends the search, not the program.
            threads
                .into_iter()
                .map(|t| t.join().is_ok())
                .fold(true, |a, b| a & b)
        });
        if !whole {
            return Err(Fault::Broken);
        }
        let spent = islands.iter().map(|i| i.evaluations).sum();
        watch.tried.fetch_add(spent - told, Ordering::Relaxed);
        told = spent;
        if watch.cancelled() {
            break;
        }
        let Some(first) = best(&setup, &islands) else {
            continue;
        };
        let short = |best: &Answer| enough.is_some_and(|enough| best.length <= enough);
        if islands[first].done() || islands[first].best.as_ref().is_some_and(short) {
            break;
        }
        for k in 0..islands.len() {
            // One that squeezes is let finish.
            if k == first || islands[k].squeeze.is_some() {
                continue;
            }
            // A strip's islands go their own ways a while.
            let near = match (&islands[k].best, &islands[first].best) {
                (Some(a), Some(b)) => task.goal == Goal::Strip && a.length < b.length * 1.004,
                _ => false,
            };
            if is_ahead(&setup, &islands[first], &islands[k]) && (!near || round + 1 >= fine) {
                let (left, right) = islands.split_at_mut(k.max(first));
                let (low, high) = (&mut left[k.min(first)], &mut right[0]);
                if k < first {
                    low.adopt(high, watch)
                } else {
                    high.adopt(low, watch)
                }
            }
        }
    }
    let evaluations = islands.iter().map(|i| i.evaluations).sum();
    let Some(first) = best(&setup, &islands) else {
        return Ok(Answer {
            evaluations,
            ..Answer::default()
        });
    };
    let found = islands[first].best.clone().unwrap_or_default();
    let mut answer = if task.goal == Goal::Strip || watch.cancelled() {
        found
    } else {
        let island = &mut islands[first];
        let polished = std::thread::scope(|s| s.spawn(|| island.polished(watch)).join());
        let polished = polished.map_err(|_| Fault::Broken)?;
        polished
            .filter(|p| !setup.better(&found, p))
            .unwrap_or(found)
    };
    answer.evaluations = evaluations;
    Ok(answer)
}

/// Whether an island's best is better than another's, or as good and its field nearer to empty.
fn is_ahead(setup: &Setup, one: &Island, other: &Island) -> bool {
    let Some(a) = &one.best else {
        return false;
    };
    let Some(b) = &other.best else {
        return true;
    };
    setup.better(a, b) || !setup.better(b, a) && one.progress() > other.progress()
}

fn best(setup: &Setup, islands: &[Island]) -> Option<usize> {
    let mut best: Option<usize> = None;
    for k in (0..islands.len()).filter(|&k| islands[k].best.is_some()) {
        if best.is_none_or(|b| is_ahead(setup, &islands[k], &islands[b])) {
            best = Some(k);
        }
    }
    best
}
