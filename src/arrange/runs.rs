//! Many loads: what goes first, which run takes what, what is late.

use super::islands::Effort;
use super::stack::{StackTask, Stacked, arrange_stack};
use super::task::{Fault, Watch};

/// What decides when a part goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Due {
    /// What may share a run: parts of one group.
    pub group: usize,
    /// The day by whose end it should be done.
    pub day: f64,
}

/// How runs follow each other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Calendar {
    /// When the first begins, days.
    pub start: f64,
    /// How long each takes, days.
    pub run: f64,
}

/// One furnace run.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// Group of its parts.
    pub group: usize,
    /// Day by whose end it is done.
    pub ends: f64,
    /// Its levels; the parts are those of the whole task.
    pub stacked: Stacked,
}

/// A backlog in runs.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Runs {
    /// In order.
    pub runs: Vec<Run>,
    /// Parts that no run takes.
    pub left_out: Vec<usize>,
}

/// How much more a part of an earlier due day counts than one of the next.
const EARLIER: f64 = 8.0;

impl Runs {
    /// Parts that are late, and the days late summed over them.
    pub fn late(&self, due: &[Due]) -> (usize, f64) {
        let parts = self.runs.iter().flat_map(|r| {
            let placed = r.stacked.levels.iter().flat_map(|l| &l.placed);
            placed.map(|p| r.ends - due[p.part].day)
        });
        parts
            .filter(|d| *d > 0.0)
            .fold((0, 0.0), |(n, sum), d| (n + 1, sum + d))
    }

    /// Levels over all runs.
    pub fn levels(&self) -> usize {
        self.runs.iter().map(|r| r.stacked.levels.len()).sum()
    }
}

/// Least runs by area, group for group: levels that the group's parts need over the most levels
/// of a run. `None` where a group's parts do not all go whatever the number.
pub fn least_runs(task: &StackTask, due: &[Due]) -> Option<usize> {
    let mut groups: Vec<usize> = due.iter().map(|d| d.group).collect();
    groups.sort_unstable();
    groups.dedup();
    let mut sum = 0;
    for group in groups {
        let parts: Vec<usize> = (0..task.parts.len())
            .filter(|&i| due.get(i).is_some_and(|d| d.group == group))
            .collect();
        sum += task.of(&parts).least_loads()?;
    }
    Some(sum)
}

/// Sets a backlog out in runs: which group goes next is tried over all orders by area, for the
/// least days late; a run takes the parts due first and fills up with later ones of its group.
/// Every run is arranged for real, then what is left is thought over again. The effort is shared
/// between the runs that the areas let expect.
///
/// # Errors
/// See [`Fault`]; [`Fault::Rules`] if `due` is not as long as the parts.
pub fn arrange_runs(
    task: &StackTask,
    due: &[Due],
    calendar: Calendar,
    effort: Effort,
    watch: &Watch,
) -> Result<Runs, Fault> {
    if due.len() != task.parts.len() {
        return Err(Fault::Rules);
    }
    let expected = least_runs(task, due).map_or(task.parts.len(), |n| n + n / 3 + 1);
    let room = task.most_area() * EXPECTED;
    let mut left = effort.evaluations;
    let mut waiting: Vec<usize> = (0..task.parts.len()).collect();
    let mut answer = Runs::default();
    while !waiting.is_empty() && !watch.cancelled() {
        let begins = calendar.start + calendar.run * answer.runs.len() as f64;
        let Some(group) = next_group(task, due, &waiting, (begins, calendar.run), room) else {
            break;
        };
        let of = |i: &&usize| due[**i].group == group;
        let parts: Vec<usize> = waiting.iter().filter(of).copied().collect();
        let mut days: Vec<f64> = parts.iter().map(|&i| due[i].day).collect();
        days.sort_by(|a, b| b.total_cmp(a));
        days.dedup();
        let mut run = task.of(&parts);
        // Area counts, what is due earlier several times.
        run.rules.value = parts
            .iter()
            .map(|&i| {
                let rank = days
                    .iter()
                    .position(|d| *d == due[i].day)
                    .unwrap_or(0)
                    .min(12);
                task.area(i) * libm::pow(EARLIER, rank as f64)
            })
            .collect();
        let runs_left = expected.saturating_sub(answer.runs.len()).max(1) as u64;
        let effort = Effort {
            evaluations: left / runs_left,
            ..effort
        };
        let mut stacked = arrange_stack(&run, effort, watch)?;
        left = left.saturating_sub(stacked.evaluations);
        for level in &mut stacked.levels {
            for p in &mut level.placed {
                p.part = parts[p.part];
            }
        }
        stacked.left_out = stacked.left_out.iter().map(|&i| parts[i]).collect();
        if stacked.levels.is_empty() {
            // None of the group goes into a furnace: the others may.
            waiting.retain(|i| due[*i].group != group);
            answer.left_out.extend(parts);
            continue;
        }
        waiting.retain(|i| due[*i].group != group || stacked.left_out.contains(i));
        let ends = begins + calendar.run;
        answer.runs.push(Run {
            group,
            ends,
            stacked,
        });
    }
    answer.left_out.extend(waiting);
    answer.left_out.sort_unstable();
    Ok(answer)
}

/// Orders of groups looked at.
const MOST_ORDERS: usize = 20_000;

/// The group with which the order of runs begins that, by area, is late by the fewest days.
fn next_group(
    task: &StackTask,
    due: &[Due],
    waiting: &[usize],
    (begins, run): (f64, f64),
    room: f64,
) -> Option<usize> {
    let mut groups: Vec<(usize, Vec<(f64, f64)>)> = Vec::new();
    for &i in waiting {
        let part = (due[i].day, task.grown_area(i));
        match groups.iter_mut().find(|(g, _)| *g == due[i].group) {
            Some((_, parts)) => parts.push(part),
            None => groups.push((due[i].group, vec![part])),
        }
    }
    for (_, parts) in &mut groups {
        parts.sort_by(|a, b| a.0.total_cmp(&b.0));
    }
    // Earliest due first: that is looked at first, and stays if the orders are too many.
    groups.sort_by(|a, b| a.1[0].0.total_cmp(&b.1[0].0).then(a.0.cmp(&b.0)));
    let mut orders = Orders {
        room,
        run,
        looked: 0,
        best: (f64::INFINITY, groups.first()?.0),
    };
    orders.look(&groups, begins, 0.0, None);
    Some(orders.best.1)
}

/// Share of the levels that parts are expected to cover.
const EXPECTED: f64 = 0.8;

struct Orders {
    room: f64,
    run: f64,
    looked: usize,
    /// Days late, and the group to begin with.
    best: (f64, usize),
}

impl Orders {
    fn look(
        &mut self,
        groups: &[(usize, Vec<(f64, f64)>)],
        day: f64,
        late: f64,
        first: Option<usize>,
    ) {
        self.looked += 1;
        if late >= self.best.0 || self.looked > MOST_ORDERS {
            return;
        }
        if groups.iter().all(|(_, parts)| parts.is_empty()) {
            self.best = (late, first.unwrap_or(self.best.1));
            return;
        }
        let ends = day + self.run;
        for k in (0..groups.len()).filter(|&k| !groups[k].1.is_empty()) {
            let mut next = groups.to_vec();
            let (mut room, mut took, mut more) = (self.room, 0, 0.0);
            next[k].1.retain(|(due, area)| {
                let fits = *area <= room || took == 0;
                if fits {
                    room -= area;
                    took += 1;
                    more += (ends - due).max(0.0);
                }
                !fits
            });
            self.look(&next, ends, late + more, first.or(Some(groups[k].0)));
        }
    }
}
