//! A backlog into runs: which pieces go together, and in which order the furnaces run.
//!
//! Runs are made one after another: the furnace that is free first takes the group whose most
//! pressing piece is due first (earliest due date, the rule that makes the greatest lateness of one
//! machine least; Jackson 1955, bibliography from memory), fills the load with what is due first
//! and then with what is due later. After that whole runs are taken apart into the room of others,
//! late pieces change places with later ones, and neighbours on one furnace change their order, as
//! long as that helps. Whoever knows how a load is filled hands in a [`Filler`], so that each move
//! is held against the real arrangement.

/// Pieces of one kind that wait.
#[derive(Clone, Debug, PartialEq)]
pub struct Wanted {
    /// Which may share a run: those of one group.
    pub group: usize,
    /// How many.
    pub pieces: u32,
    /// When they have to be out of the furnace, min from the beginning; none is never.
    pub due_min: Option<f64>,
    /// When they may go in at the earliest, min.
    pub ready_min: f64,
    /// The greater goes first among those of one due time.
    pub priority: u32,
    /// The run of its group in which they have to go, counted from 1.
    pub run: Option<usize>,
}

/// What shares a furnace and a profile.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Group {
    /// Which furnace.
    pub furnace: usize,
    /// From start to unloading, min.
    pub run_min: f64,
}

/// Pieces of an entry: its index among the wanted, and how many.
pub type Share = (usize, u32);

/// A load that was filled.
#[derive(Clone, Debug)]
pub struct Filled<L> {
    /// What is in it.
    pub taken: Vec<Share>,
    /// The load itself.
    pub load: L,
}

/// What is done with the runs, to be told on the way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Step {
    /// A run was filled.
    Made {
        /// From 1.
        run: usize,
        /// Its group.
        group: usize,
        /// Pieces in it.
        pieces: u32,
        /// Pieces that are in no run yet.
        left: u32,
    },
    /// A run is taken apart into the room of others.
    Fewer {
        /// From 1.
        run: usize,
        /// Runs that there are.
        of: usize,
    },
    /// Late pieces change places with later ones.
    Timely,
}

/// Fills loads.
pub trait Filler {
    /// A filled load.
    type Load: Clone;
    /// Fills an empty load of a group: of each class as much as goes, the first class first. `first`
    /// is whether it is the first run of its furnace.
    fn fill(
        &mut self,
        group: usize,
        first: bool,
        classes: &[Vec<Share>],
    ) -> Option<Filled<Self::Load>>;
    /// Puts more into a load; none where not all of it goes in.
    fn add(&mut self, of: &Filled<Self::Load>, more: &[Share]) -> Option<Filled<Self::Load>>;
    /// Whether to stop with what there is.
    fn cancelled(&self) -> bool;
    /// Is told how far it is.
    fn told(&mut self, _: Step) {}
}

/// One run.
#[derive(Clone, Debug)]
pub struct QueuedRun<L> {
    /// Its group.
    pub group: usize,
    /// min from the beginning.
    pub start_min: f64,
    /// min from the beginning.
    pub end_min: f64,
    /// The load.
    pub filled: Filled<L>,
}

/// Why pieces are in no run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LeftOver {
    /// They find no place even in an empty load.
    NoPlace,
    /// Their run came, and there was no room left in it.
    PinnedFull,
    /// Their run began before they were ready.
    PinnedNotReady,
    /// There are fewer runs of the group than the one they are meant for.
    PinnedLater,
    /// Too many runs.
    TooMany,
    /// The search was stopped.
    Stopped,
}

/// A backlog in runs.
#[derive(Clone, Debug)]
pub struct Queue<L> {
    /// In the order of their starts.
    pub runs: Vec<QueuedRun<L>>,
    /// What is in none.
    pub left: Vec<(Share, LeftOver)>,
}

/// Most runs that are made (assumed: two months of one furnace).
pub const MOST_RUNS: usize = 60;
/// Most classes of due time and priority in one load; what goes later is one class (assumed).
const CLASSES: usize = 4;
/// Most exchanges that are tried against lateness (assumed).
const EXCHANGES: usize = 12;
/// Two times are one when they are not further apart, min.
const SAME_MIN: f64 = 1e-6;

impl<L> Queue<L> {
    /// Pieces that are late, and the sum of their lateness, piece·min.
    pub fn lateness(&self, wanted: &[Wanted]) -> (u32, f64) {
        let mut late = (0, 0.0);
        for run in &self.runs {
            for (entry, pieces) in &run.filled.taken {
                let over = late_min(wanted, *entry, run.end_min);
                if over > SAME_MIN {
                    late = (late.0 + pieces, late.1 + over * f64::from(*pieces));
                }
            }
        }
        late
    }
}

/// By how much an entry is late that comes out then, min; 0 where it is not.
pub fn late_min(wanted: &[Wanted], entry: usize, end_min: f64) -> f64 {
    let due = wanted.get(entry).and_then(|w| w.due_min);
    due.map_or(0.0, |due| (end_min - due).max(0.0))
}

/// Runs for a backlog; `turnaround_min` lies between two runs of one furnace.
pub fn queue<F: Filler>(
    wanted: &[Wanted],
    groups: &[Group],
    turnaround_min: f64,
    filler: &mut F,
) -> Queue<F::Load> {
    let mut making = Making {
        wanted,
        groups,
        turnaround_min,
        left: wanted.iter().map(|w| w.pieces).collect(),
        out: Queue {
            runs: Vec::new(),
            left: Vec::new(),
        },
    };
    making.construct(filler);
    if making.out.runs.len() > 1 {
        making.fewer(filler);
        filler.told(Step::Timely);
        making.timely(filler);
    }
    making.reorder();
    making.out
}

struct Making<'a, L> {
    wanted: &'a [Wanted],
    groups: &'a [Group],
    turnaround_min: f64,
    left: Vec<u32>,
    out: Queue<L>,
}

impl<L: Clone> Making<'_, L> {
    fn furnaces(&self) -> usize {
        self.groups.iter().map(|g| g.furnace + 1).max().unwrap_or(0)
    }

    /// When a furnace is free.
    fn free_min(&self, furnace: usize) -> f64 {
        let mine = |r: &&QueuedRun<L>| self.groups.get(r.group).map(|g| g.furnace) == Some(furnace);
        let last = self.out.runs.iter().filter(mine).map(|r| r.end_min);
        last.map(|end| end + self.turnaround_min)
            .fold(0.0, f64::max)
    }

    /// Whether no run before this one is in the furnace of a group.
    fn is_first(&self, at: usize, group: usize) -> bool {
        let furnace = |group: usize| self.groups.get(group).map(|g| g.furnace);
        let mut before = self.out.runs.iter().take(at);
        !before.any(|run| furnace(run.group) == furnace(group))
    }

    fn runs_of(&self, group: usize) -> usize {
        self.out.runs.iter().filter(|r| r.group == group).count()
    }

    /// Entries of a group that may go into its next run at a time.
    fn may_go(&self, group: usize, at_min: f64) -> Vec<usize> {
        let next = self.runs_of(group) + 1;
        let mine = |i: &usize| {
            self.wanted.get(*i).is_some_and(|w| {
                w.group == group
                    && w.ready_min <= at_min + SAME_MIN
                    && w.run.is_none_or(|run| run == next)
            })
        };
        let waits = (0..self.left.len()).filter(|i| self.left.get(*i).is_some_and(|n| *n > 0));
        waits.filter(mine).collect()
    }

    /// Pressing first.
    fn key(&self, entry: usize) -> (bool, f64, u32) {
        match self.wanted.get(entry) {
            Some(w) => (
                w.run.is_none(),
                w.due_min.unwrap_or(f64::INFINITY),
                u32::MAX - w.priority,
            ),
            None => (true, f64::INFINITY, u32::MAX),
        }
    }

    fn by_press(&self, entries: &mut [usize]) {
        entries.sort_by(|a, b| {
            let (a, b) = (self.key(*a), self.key(*b));
            a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.cmp(&b.2))
        });
    }

    fn construct<F: Filler<Load = L>>(&mut self, filler: &mut F) {
        loop {
            if self.left.iter().all(|n| *n == 0) {
                return;
            }
            if filler.cancelled() || self.out.runs.len() >= MOST_RUNS {
                let why = match filler.cancelled() {
                    true => LeftOver::Stopped,
                    false => LeftOver::TooMany,
                };
                return self.give_up(|_| true, why);
            }
            let Some((group, start)) = self.next() else {
                // Only what is pinned to runs that never come.
                return self.give_up(|_| true, LeftOver::PinnedLater);
            };
            let mut entries = self.may_go(group, start);
            self.by_press(&mut entries);
            let first = self.is_first(self.out.runs.len(), group);
            let filled = filler.fill(group, first, &self.classes(&entries));
            let filled = filled.filter(|f| f.taken.iter().any(|(_, n)| *n > 0));
            let run = self.runs_of(group) + 1;
            let Some(filled) = filled else {
                self.give_up(|i| entries.contains(&i), LeftOver::NoPlace);
                continue;
            };
            for (entry, pieces) in &filled.taken {
                if let Some(left) = self.left.get_mut(*entry) {
                    *left = left.saturating_sub(*pieces);
                }
            }
            filler.told(Step::Made {
                run: self.out.runs.len() + 1,
                group,
                pieces: filled.taken.iter().map(|(_, n)| *n).sum(),
                left: self.left.iter().sum(),
            });
            let run_min = self.groups.get(group).map_or(0.0, |g| g.run_min);
            self.out.runs.push(QueuedRun {
                group,
                start_min: start,
                end_min: start + run_min,
                filled,
            });
            let wanted = self.wanted;
            let missed = |i: usize| {
                wanted
                    .get(i)
                    .is_some_and(|w| w.group == group && w.run == Some(run))
            };
            let late = |i: usize| missed(i) && !entries.contains(&i);
            self.give_up(late, LeftOver::PinnedNotReady);
            self.give_up(missed, LeftOver::PinnedFull);
        }
    }

    fn give_up(&mut self, which: impl Fn(usize) -> bool, why: LeftOver) {
        for (entry, left) in self.left.iter_mut().enumerate() {
            if *left > 0 && which(entry) {
                self.out.left.push(((entry, *left), why));
                *left = 0;
            }
        }
    }

    /// The group that runs next, and when: the furnace that can start first takes the most
    /// pressing of what is ready then.
    fn next(&self) -> Option<(usize, f64)> {
        let mut best: Option<(f64, f64, usize)> = None;
        for furnace in 0..self.furnaces() {
            let groups = || {
                let mine = move |g: &(usize, &Group)| g.1.furnace == furnace;
                self.groups.iter().enumerate().filter(mine).map(|(i, _)| i)
            };
            let free = self.free_min(furnace);
            let soonest = groups()
                .flat_map(|g| self.may_go(g, f64::INFINITY))
                .filter_map(|i| self.wanted.get(i).map(|w| w.ready_min))
                .fold(f64::INFINITY, f64::min);
            if !soonest.is_finite() {
                continue;
            }
            let start = free.max(soonest);
            for group in groups() {
                let due = self
                    .may_go(group, start)
                    .into_iter()
                    .map(|i| self.key(i).1)
                    .reduce(f64::min);
                let Some(due) = due else { continue };
                if best.is_none_or(|(s, d, _)| (start, due) < (s, d)) {
                    best = Some((start, due, group));
                }
            }
        }
        best.map(|(start, _, group)| (group, start))
    }

    /// What is due at one time and of one priority is one class; the last takes all that goes later.
    /// One search for several priorities would weigh them, and might leave out the greater.
    fn classes(&self, entries: &[usize]) -> Vec<Vec<Share>> {
        let mut classes: Vec<Vec<Share>> = Vec::new();
        let mut last = None;
        for entry in entries {
            let (free, due, priority) = self.key(*entry);
            let time = Some((free, due.to_bits(), priority));
            let share = (*entry, self.left.get(*entry).copied().unwrap_or(0));
            let full = classes.len() == CLASSES;
            match classes.last_mut() {
                Some(class) if last == time || full => class.push(share),
                _ => classes.push(vec![share]),
            }
            last = time;
        }
        classes
    }

    /// Times anew: every furnace runs in the order of its runs.
    fn retime(&mut self) {
        for furnace in 0..self.furnaces() {
            let mut free = 0.0_f64;
            for run in &mut self.out.runs {
                let Some(group) = self.groups.get(run.group).filter(|g| g.furnace == furnace)
                else {
                    continue;
                };
                let ready = ready_min(self.wanted, &run.filled.taken);
                run.start_min = free.max(ready);
                run.end_min = run.start_min + group.run_min;
                free = run.end_min + self.turnaround_min;
            }
        }
        self.out
            .runs
            .sort_by(|a, b| a.start_min.total_cmp(&b.start_min));
    }

    fn pinned(&self, run: &QueuedRun<L>) -> bool {
        let pinned = |(i, _): &Share| self.wanted.get(*i).is_some_and(|w| w.run.is_some());
        run.filled.taken.iter().any(pinned)
    }

    /// Takes runs apart into the room of others of their group, the smallest first.
    fn fewer<F: Filler<Load = L>>(&mut self, filler: &mut F) {
        let mut tried: Vec<Vec<Share>> = Vec::new();
        while !filler.cancelled() {
            let groups_with_pins: Vec<usize> = (0..self.groups.len())
                .filter(|g| {
                    self.out
                        .runs
                        .iter()
                        .any(|r| r.group == *g && self.pinned(r))
                })
                .collect();
            let size = |r: &QueuedRun<L>| r.filled.taken.iter().map(|(_, n)| *n).sum::<u32>();
            let candidate = self
                .out
                .runs
                .iter()
                .enumerate()
                .filter(|(_, r)| self.runs_of(r.group) > 1 && !tried.contains(&r.filled.taken))
                // A run fewer would change the numbers that pins name.
                .filter(|(_, r)| !groups_with_pins.contains(&r.group))
                .min_by_key(|(_, r)| size(r));
            let Some((at, run)) = candidate else { return };
            let (group, mut rest) = (run.group, run.filled.taken.clone());
            filler.told(Step::Fewer {
                run: at + 1,
                of: self.out.runs.len(),
            });
            tried.push(rest.clone());
            let mut changed: Vec<(usize, Filled<L>)> = Vec::new();
            for (other, host) in self.out.runs.iter().enumerate() {
                if other == at || host.group != group || rest.is_empty() {
                    continue;
                }
                let fits = |(i, _): &&Share| {
                    let ready = self.wanted.get(*i).map_or(0.0, |w| w.ready_min);
                    ready <= host.start_min + SAME_MIN
                };
                let more: Vec<Share> = rest.iter().filter(fits).copied().collect();
                if more.is_empty() {
                    continue;
                }
                // All of it, else entry by entry.
                let whole = filler.add(&host.filled, &more);
                let (filled, gone) = match whole {
                    Some(filled) => (Some(filled), more),
                    None => {
                        let (mut now, mut gone) = (None, Vec::new());
                        for one in more {
                            let of: &Filled<L> = now.as_ref().unwrap_or(&host.filled);
                            if let Some(filled) = filler.add(of, &[one]) {
                                now = Some(filled);
                                gone.push(one);
                            }
                        }
                        (now, gone)
                    }
                };
                if let Some(filled) = filled {
                    rest.retain(|share| !gone.contains(share));
                    changed.push((other, filled));
                }
            }
            if rest.is_empty() {
                let before = (self.out.runs.clone(), self.out.lateness(self.wanted).1);
                for (other, filled) in changed {
                    if let Some(run) = self.out.runs.get_mut(other) {
                        run.filled = filled;
                    }
                }
                self.out.runs.remove(at);
                self.retime();
                // A run fewer is not worth a late piece.
                if self.out.lateness(self.wanted).1 > before.1 + SAME_MIN {
                    self.out.runs = before.0;
                }
            }
        }
    }

    /// Late entries change places with what is due later in an earlier run of their group.
    fn timely<F: Filler<Load = L>>(&mut self, filler: &mut F) {
        let mut tries = 0;
        let mut failed: Vec<(usize, usize)> = Vec::new();
        while tries < EXCHANGES && !filler.cancelled() {
            let Some((late_at, entry, pieces, early_at)) = self.late(&failed) else {
                return;
            };
            tries += 1;
            failed.push((entry, early_at));
            let (Some(late), Some(early)) =
                (self.out.runs.get(late_at), self.out.runs.get(early_at))
            else {
                return;
            };
            let group = late.group;
            let due = |i: usize| self.key(i).1;
            let waits = |(i, _): &&Share| {
                let w = self.wanted.get(*i);
                w.is_some_and(|w| w.run.is_none()) && late_min(self.wanted, *i, late.end_min) <= 0.0
            };
            let later: Vec<Share> = early
                .filled
                .taken
                .iter()
                .filter(waits)
                .filter(|(i, _)| due(*i) > due(entry))
                .copied()
                .collect();
            let stays = |share: &&Share| !later.contains(share);
            let mut first: Vec<Share> = early.filled.taken.iter().filter(stays).copied().collect();
            first.push((entry, pieces));
            let rest = late.filled.taken.iter().filter(|s| s.0 != entry).copied();
            let rest: Vec<Share> = rest.collect();
            let first_run = self.is_first(early_at, group);
            let Some(one) = filler.fill(group, first_run, &[first.clone(), later.clone()]) else {
                continue;
            };
            if !holds(&one.taken, &first) {
                continue;
            }
            let mut second = rest;
            for (i, n) in &later {
                let in_one: u32 = one.taken.iter().filter(|t| t.0 == *i).map(|t| t.1).sum();
                if in_one < *n {
                    second.push((*i, n - in_one));
                }
            }
            let two = match second.is_empty() {
                true => None,
                false => match filler.fill(group, false, std::slice::from_ref(&second)) {
                    Some(two) if holds(&two.taken, &second) => Some(two),
                    _ => continue,
                },
            };
            let before = (self.out.runs.clone(), self.out.lateness(self.wanted).1);
            if let Some(run) = self.out.runs.get_mut(early_at) {
                run.filled = one;
            }
            match two {
                Some(two) => {
                    if let Some(run) = self.out.runs.get_mut(late_at) {
                        run.filled = two;
                    }
                }
                None => {
                    self.out.runs.remove(late_at);
                }
            }
            self.retime();
            if self.out.lateness(self.wanted).1 >= before.1 - SAME_MIN {
                self.out.runs = before.0;
            } else {
                failed.clear();
            }
        }
    }

    /// A late entry, and an earlier run of its group into which it might go.
    fn late(&self, failed: &[(usize, usize)]) -> Option<(usize, usize, u32, usize)> {
        for (at, run) in self.out.runs.iter().enumerate() {
            for (entry, pieces) in &run.filled.taken {
                let wanted = self.wanted.get(*entry)?;
                if wanted.run.is_some() || late_min(self.wanted, *entry, run.end_min) <= SAME_MIN {
                    continue;
                }
                let earlier = self.out.runs.iter().enumerate().take(at).find(|(i, r)| {
                    r.group == run.group
                        && wanted.ready_min <= r.start_min + SAME_MIN
                        && late_min(self.wanted, *entry, r.end_min)
                            < late_min(self.wanted, *entry, run.end_min)
                        && !failed.contains(&(*entry, *i))
                });
                if let Some((early, _)) = earlier {
                    return Some((at, *entry, *pieces, early));
                }
            }
        }
        None
    }

    /// Neighbours change their order while that makes less late. Runs of a group with pins keep
    /// their order among themselves.
    fn reorder(&mut self) {
        let mut better = true;
        let mut rounds = 0;
        while better && rounds < MOST_RUNS {
            better = false;
            rounds += 1;
            for at in 1..self.out.runs.len() {
                let same = match (self.out.runs.get(at - 1), self.out.runs.get(at)) {
                    (Some(a), Some(b)) => a.group == b.group,
                    _ => true,
                };
                if same {
                    continue;
                }
                let before = (self.out.runs.clone(), self.out.lateness(self.wanted).1);
                self.out.runs.swap(at - 1, at);
                self.retime();
                if self.out.lateness(self.wanted).1 < before.1 - SAME_MIN {
                    better = true;
                } else {
                    self.out.runs = before.0;
                }
            }
        }
    }
}

/// When all of it may go in, min.
fn ready_min(wanted: &[Wanted], taken: &[Share]) -> f64 {
    let of = taken.iter().filter_map(|(i, _)| wanted.get(*i));
    of.map(|w| w.ready_min).fold(0.0, f64::max)
}

/// Whether all of it is there; an entry may stand twice among what is asked.
fn holds(taken: &[Share], all: &[Share]) -> bool {
    let of = |shares: &[Share], entry: usize| -> u32 {
        let mine = shares.iter().filter(|s| s.0 == entry);
        mine.map(|s| s.1).sum()
    };
    all.iter()
        .all(|(entry, _)| of(taken, *entry) >= of(all, *entry))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Loads that take so many pieces; the load itself is nothing.
    struct Room(u32);

    impl Filler for Room {
        type Load = ();

        fn fill(&mut self, _: usize, _: bool, classes: &[Vec<Share>]) -> Option<Filled<()>> {
            let mut room = self.0;
            let mut taken = Vec::new();
            for (entry, pieces) in classes.iter().flatten() {
                let goes = room.min(*pieces);
                room -= goes;
                if goes > 0 {
                    taken.push((*entry, goes));
                }
            }
            Some(Filled { taken, load: () })
        }

        fn add(&mut self, of: &Filled<()>, more: &[Share]) -> Option<Filled<()>> {
            let mut taken = of.taken.clone();
            for (entry, pieces) in more {
                match taken.iter_mut().find(|t| t.0 == *entry) {
                    Some(there) => there.1 += pieces,
                    None => taken.push((*entry, *pieces)),
                }
            }
            let all: u32 = taken.iter().map(|t| t.1).sum();
            (all <= self.0).then_some(Filled { taken, load: () })
        }

        fn cancelled(&self) -> bool {
            false
        }
    }

    fn wanted(group: usize, pieces: u32, due: Option<f64>) -> Wanted {
        Wanted {
            group,
            pieces,
            due_min: due,
            ready_min: 0.0,
            priority: 0,
            run: None,
        }
    }

    const ONE: [Group; 1] = [Group {
        furnace: 0,
        run_min: 100.0,
    }];

    fn taken(queue: &Queue<()>) -> Vec<Vec<Share>> {
        queue.runs.iter().map(|r| r.filled.taken.clone()).collect()
    }

    #[test]
    fn what_is_due_first_goes_first_and_the_rest_fills_up() {
        let all = [
            wanted(0, 6, Some(900.0)),
            wanted(0, 6, Some(100.0)),
            wanted(0, 3, None),
        ];
        let made = queue(&all, &ONE, 10.0, &mut Room(10));
        assert_eq!(taken(&made), [vec![(1, 6), (0, 4)], vec![(0, 2), (2, 3)]]);
        assert_eq!(made.runs[1].start_min, 110.0);
        assert_eq!(made.lateness(&all), (0, 0.0));
        assert!(made.left.is_empty());
    }

    #[test]
    fn a_greater_priority_goes_first_among_those_of_one_time() {
        let mut all = [wanted(0, 10, Some(50.0)), wanted(0, 10, Some(50.0))];
        all[1].priority = 2;
        let made = queue(&all, &ONE, 0.0, &mut Room(10));
        assert_eq!(taken(&made), [vec![(1, 10)], vec![(0, 10)]]);
        // Run 2 ends at 200, 150 after the due time; run 1 at 100, 50 after it.
        assert_eq!(made.lateness(&all), (20, 10.0 * 50.0 + 10.0 * 150.0));
    }

    /// A filler that takes only the last of its classes: it tells one class from another.
    struct Last;

    impl Filler for Last {
        type Load = ();

        fn fill(&mut self, _: usize, _: bool, classes: &[Vec<Share>]) -> Option<Filled<()>> {
            let taken = classes.last()?.clone();
            Some(Filled { taken, load: () })
        }

        fn add(&mut self, _: &Filled<()>, _: &[Share]) -> Option<Filled<()>> {
            None
        }

        fn cancelled(&self) -> bool {
            false
        }
    }

    /// What differs in priority alone is not put to one search.
    #[test]
    fn another_priority_is_another_class() {
        let mut all = [wanted(0, 1, Some(900.0)), wanted(0, 2, Some(900.0))];
        let made = queue(&all, &ONE, 0.0, &mut Last);
        assert_eq!(taken(&made), [vec![(0, 1), (1, 2)]]);
        all[1].priority = 1;
        let made = queue(&all, &ONE, 0.0, &mut Last);
        assert_eq!(taken(&made), [vec![(0, 1)], vec![(1, 2)]]);
    }

    #[test]
    fn a_pin_holds_and_what_is_not_ready_waits() {
        let mut all = [
            wanted(0, 4, Some(100.0)),
            wanted(0, 4, Some(100.0)),
            wanted(0, 4, Some(100.0)),
        ];
        all[0].run = Some(2);
        all[2].ready_min = 150.0;
        let made = queue(&all, &ONE, 0.0, &mut Room(10));
        assert_eq!(taken(&made)[0], [(1, 4)]);
        let second = &made.runs[1];
        assert!(second.filled.taken.contains(&(0, 4)));
        // The pinned lot need not wait for the other: that comes when it is ready.
        let third = made.runs.iter().find(|r| r.filled.taken.contains(&(2, 4)));
        assert!(third.unwrap().start_min >= 150.0);
        // What is ready only after its run begins found no run, not one without room.
        all[2].run = Some(1);
        let made = queue(&all, &ONE, 0.0, &mut Room(10));
        assert_eq!(made.left, [((2, 4), LeftOver::PinnedNotReady)]);
        (all[2].run, all[2].ready_min) = (None, 0.0);
        // A pin to a run that does not come is told, and nothing is lost.
        all[0].run = Some(9);
        let made = queue(&all, &ONE, 0.0, &mut Room(10));
        assert_eq!(made.left, [((0, 4), LeftOver::PinnedLater)]);
    }

    #[test]
    fn two_furnaces_run_beside_each_other() {
        let groups = [
            Group {
                furnace: 0,
                run_min: 100.0,
            },
            Group {
                furnace: 1,
                run_min: 300.0,
            },
        ];
        let all = [wanted(0, 10, Some(100.0)), wanted(1, 10, Some(300.0))];
        let made = queue(&all, &groups, 0.0, &mut Room(10));
        assert!(made.runs.iter().all(|r| r.start_min == 0.0));
        assert_eq!(made.lateness(&all).0, 0);
    }

    /// Two groups on one furnace: the one whose first piece is due first runs first (Jackson 1955),
    /// whatever their order in the list.
    #[test]
    fn groups_of_one_furnace_run_by_due_date() {
        let groups = [ONE[0]; 2];
        let all = [wanted(0, 5, Some(200.0)), wanted(1, 5, Some(100.0))];
        let made = queue(&all, &groups, 0.0, &mut Room(10));
        let order: Vec<usize> = made.runs.iter().map(|r| r.group).collect();
        assert_eq!(order, [1, 0]);
        assert_eq!(made.lateness(&all).0, 0);
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 128, failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn every_piece_is_in_a_run_or_told(
            jobs in prop::collection::vec(
                (0..2usize, 1..15u32, prop::option::of(0.0..2000.0f64), 0.0..500.0f64, prop::option::of(1..4usize)),
                1..12,
            ),
            room in 1..20u32,
        ) {
            let all: Vec<Wanted> = jobs
                .into_iter()
                .map(|(group, pieces, due_min, ready_min, run)| Wanted {
                    group, pieces, due_min, ready_min, priority: 0, run,
                })
                .collect();
            let groups = [Group { furnace: 0, run_min: 100.0 }, Group { furnace: 0, run_min: 60.0 }];
            let made = queue(&all, &groups, 5.0, &mut Room(room));
            for (entry, wanted) in all.iter().enumerate() {
                let of = |shares: &mut dyn Iterator<Item = Share>| -> u32 {
                    shares.filter(|s| s.0 == entry).map(|s| s.1).sum()
                };
                let placed = of(&mut made.runs.iter().flat_map(|r| r.filled.taken.clone()));
                let left = of(&mut made.left.iter().map(|l| l.0));
                prop_assert_eq!(placed + left, wanted.pieces);
            }
            let mut end = f64::NEG_INFINITY;
            let mut runs = [0, 0];
            for run in &made.runs {
                // One furnace: one run after the other, nothing before it is ready, none over full,
                // pins kept.
                prop_assert!(run.start_min >= end);
                end = run.end_min + 5.0 - 1e-9;
                runs[run.group] += 1;
                let mut pieces = 0;
                for (entry, n) in &run.filled.taken {
                    let wanted = &all[*entry];
                    prop_assert_eq!(wanted.group, run.group);
                    prop_assert!(wanted.ready_min <= run.start_min + 1e-6);
                    prop_assert!(wanted.run.is_none_or(|at| at == runs[run.group]));
                    pieces += n;
                }
                prop_assert!(pieces <= room);
            }
        }
    }
}
