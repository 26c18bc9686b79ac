//! How far a run of a backlog is filled: only as far as its review, with a forecast, has no stop that
//! the base load has not. What a single piece of a lot brings as well, fewer pieces do not mend: that
//! keeps nothing out, and is told.

use super::arranging::forecast_of;
use super::queueing::{Pattern, built, without_waiting};
use crate::arrange::Watch;
use crate::catalogue::{Catalogue, Severity, ShopState};
use crate::forecast::plan::NoForecast;
use crate::forecast::run::RunFault;
use crate::load::{Carrier, Level, LotId, Placement, PlacementId, Plan};
use crate::review::{Finding, Given, Review, Subject, review};
use std::cell::{OnceCell, RefCell};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Checks that stop a load, by slug.
pub type Stops = BTreeSet<&'static str>;

/// Why a run is not filled further, and what stops it all the same.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Held {
    /// What stopped the layouts with more pieces that were tried, and does not stop its base load.
    pub by: Stops,
    /// What stops it with a single piece of one of its lots as well, and not its base load.
    pub anyway: Stops,
}

/// The review with a forecast; none where that was told to stop.
pub(super) fn review_with_forecast(given: &Given, watch: &Watch) -> Option<Review> {
    let made = forecast_of(given, watch);
    if matches!(made, Err(NoForecast::Run(RunFault::Cancelled))) {
        return None;
    }
    Some(review(&Given {
        plan: given.plan,
        catalogue: given.catalogue,
        shop: given.shop,
        differences: given.differences,
        standard: given.standard,
        forecast: Some(&made),
    }))
}

/// The open stops of a review.
pub(super) fn open_stops(found: Review) -> Vec<Finding> {
    let open = found.findings.into_iter();
    open.filter(|f| f.severity == Severity::Stop && !f.is_gone())
        .collect()
}

/// Checks of some findings.
pub(super) fn checks_of(found: &[Finding]) -> Stops {
    found.iter().map(|f| f.check).collect()
}

/// Checks of which there is a stop that the base load does not have of the same thing with a value as
/// bad or worse.
pub(super) fn new_among(found: &[Finding], base: &[Finding]) -> Stops {
    let known = |f: &Finding| {
        base.iter()
            .any(|g| g.check == f.check && of_same(f, g) && f.is_no_worse_than(g))
    };
    let new = found.iter().filter(|f| !known(f));
    new.map(|f| f.check).collect()
}

/// Whether two findings are about the same things. Pieces and lots of a run are others than those of
/// its base load, so any of them does.
fn of_same(f: &Finding, g: &Finding) -> bool {
    let same = |pair: (&Subject, &Subject)| match pair {
        (Subject::Placement(_), Subject::Placement(_)) | (Subject::Lot(_), Subject::Lot(_)) => true,
        (a, b) => a == b,
    };
    f.subjects.len() == g.subjects.len() && f.subjects.iter().zip(&g.subjects).all(same)
}

/// How far a load could be filled.
pub(super) struct HeldBack {
    /// The load.
    pub plan: Plan,
    /// Its pieces, and those that were to go in.
    pub pieces: [usize; 2],
    /// See [`Held::anyway`].
    pub anyway: Stops,
    /// Layouts that were tried and brought something new: their pieces, and what.
    pub stopped: Vec<(usize, Stops)>,
}

/// The state of the shop with the trap of a furnace emptied.
fn emptied(shop: &Arc<ShopState>, furnace: &str) -> Arc<ShopState> {
    let mut shop = Arc::clone(shop);
    let state: &mut ShopState = Arc::make_mut(&mut shop);
    if let Some(state) = state.furnaces.iter_mut().find(|s| s.furnace == furnace) {
        // What is not known stays so.
        state.trap_fill_g = state.trap_fill_g.map(|_| 0.0);
        state.trap_runs = state.trap_runs.map(|_| 0);
    }
    shop
}

/// Holds the loads of one base load against their review.
pub(super) struct Hold<'a> {
    pattern: &'a Pattern,
    watch: &'a Watch,
    /// Stops of the base load with the trap on record, and with an emptied one.
    base: [OnceCell<Option<Vec<Finding>>>; 2],
    /// What a single piece of a lot brings, in the first run of a furnace or in a later one.
    alone: RefCell<BTreeMap<(bool, LotId), Stops>>,
}

impl<'a> Hold<'a> {
    pub fn new(pattern: &'a Pattern, watch: &'a Watch) -> Hold<'a> {
        Hold {
            pattern,
            watch,
            base: Default::default(),
            alone: RefCell::default(),
        }
    }

    /// What stops the base load itself, as a first run of its furnace or as a later one; none where
    /// the search was stopped before it was known.
    pub fn base(&self, first: bool) -> Option<&[Finding]> {
        let [on_record, emptied] = &self.base;
        let base = if first { on_record } else { emptied };
        let known = || self.stops(&self.pattern.plan, first);
        base.get_or_init(known).as_deref()
    }

    /// What stops a load. The first run of a furnace has the trap that is on record; before a
    /// later one it can be emptied.
    fn stops(&self, plan: &Plan, first: bool) -> Option<Vec<Finding>> {
        let pattern = self.pattern;
        let catalogue: &Catalogue = &pattern.catalogue;
        let furnace = plan.load.furnace.as_str();
        let shop = pattern.shop.as_ref().map(|shop| match first {
            true => Arc::clone(shop),
            false => emptied(shop, furnace),
        });
        let given = Given {
            plan,
            catalogue,
            shop: shop.as_deref(),
            differences: &pattern.differences,
            standard: pattern.standard.as_deref(),
            forecast: None,
        };
        Some(open_stops(review_with_forecast(&given, self.watch)?))
    }

    /// What a load has beyond its base load.
    fn new_stops(&self, plan: &Plan, first: bool) -> Option<Stops> {
        let found = self.stops(&built(plan), first)?;
        Some(new_among(&found, self.base(first)?))
    }

    /// What of some checks a single piece of one of these lots brings as well.
    fn of_single_pieces(
        &self,
        plan: &Plan,
        first: bool,
        lots: &[LotId],
        of: &Stops,
    ) -> Option<Stops> {
        let mut brought = Stops::new();
        for lot in lots {
            if of.is_subset(&brought) {
                break;
            }
            let known = self.alone.borrow().get(&(first, *lot)).cloned();
            let alone = match known {
                Some(known) => known,
                None => {
                    let mut pieces = plan.placements().map(|(_, p)| p);
                    let Some(one) = pieces.find(|p| p.item.lot() == Some(*lot)) else {
                        continue;
                    };
                    let alone = self.new_stops(&only(plan, &BTreeSet::from([one.id])), first)?;
                    self.alone.borrow_mut().insert((first, *lot), alone.clone());
                    alone
                }
            };
            brought.extend(alone);
        }
        Some(&brought & of)
    }

    /// What stops a load that the base load has not: what more pieces than one of a lot bring, and
    /// what a single one brings as well. None where the search was stopped before it was known.
    pub fn found(&self, plan: &Plan, first: bool) -> Option<Held> {
        let new = self.new_stops(plan, first)?;
        let mut lots: Vec<LotId> = plan
            .placements()
            .filter_map(|(_, p)| p.item.lot())
            .collect();
        lots.sort_unstable();
        lots.dedup();
        let anyway = self.of_single_pieces(plan, first, &lots, &new)?;
        Some(Held {
            by: &new - &anyway,
            anyway,
        })
    }

    /// Pieces of a load that bring no stop that the base load has not, those of the first lots first:
    /// as many as are found by halving, which need not be the most. None where the search was stopped
    /// before that was known.
    pub fn held(&self, plan: &Plan, first: bool, lots: &[LotId]) -> Option<HeldBack> {
        let whole = self.found(plan, first)?;
        let mut pieces: Vec<(usize, PlacementId)> = Vec::new();
        for (_, placement) in plan.placements() {
            let of = |lot: LotId| lots.iter().position(|l| *l == lot);
            if let Some(at) = placement.item.lot().and_then(of) {
                pieces.push((at, placement.id));
            }
        }
        if whole.by.is_empty() || pieces.len() < 2 {
            return Some(HeldBack {
                plan: plan.clone(),
                pieces: [pieces.len(); 2],
                anyway: whole.anyway,
                stopped: Vec::new(),
            });
        }
        // Within a lot the lower levels come first: what stays empty on top is not built.
        pieces.sort_by_key(|(at, _)| *at);
        // One piece brings nothing that it does not bring alone.
        let (mut most, mut too_many) = (1, pieces.len());
        let (mut kept, mut stopped) = (None, vec![(pieces.len(), whole.by)]);
        while too_many - most > 1 || kept.is_none() {
            let count = if too_many - most > 1 {
                most + (too_many - most) / 2
            } else {
                most
            };
            let some = pieces.iter().take(count).map(|(_, id)| *id).collect();
            let less = only(plan, &some);
            let less = without_new_empty(less, &self.pattern.plan);
            let found = self.found(&less, first)?;
            if found.by.is_empty() || count <= 1 {
                most = count;
                kept = Some((less, found.anyway));
            } else {
                too_many = count;
                stopped.push((count, found.by));
            }
        }
        let (plan, anyway) = kept?;
        Some(HeldBack {
            plan,
            pieces: [most, pieces.len()],
            anyway,
            stopped,
        })
    }
}

/// A load with these of its parts, and all that is no part of a lot.
fn only(plan: &Plan, pieces: &BTreeSet<PlacementId>) -> Plan {
    let mut plan = plan.clone();
    for stack in &mut plan.load.stacks {
        for level in &mut stack.levels {
            let stays = |p: &Placement| p.item.lot().is_none() || pieces.contains(&p.id);
            if !level.placements.iter().all(stays) {
                Arc::make_mut(level).placements.retain(stays);
            }
        }
    }
    without_waiting(&plan)
}

/// A load without the levels that its base load has not and that carry nothing: what stood on one comes
/// down to where it stood.
fn without_new_empty(mut plan: Plan, base: &Plan) -> Plan {
    let slot = |level: &Level| matches!(level.carrier, Carrier::RackSlot(_));
    for stack in &mut plan.load.stacks {
        let mut gone: Option<Carrier> = None;
        let mut kept = Vec::new();
        for level in std::mem::take(&mut stack.levels) {
            let new = base.level(level.id).is_none();
            if new && level.placements.is_empty() && !slot(&level) {
                gone = gone.or_else(|| Some(level.carrier.clone()));
                continue;
            }
            match gone.take().filter(|_| !slot(&level)) {
                Some(carrier) => kept.push(Arc::new(Level {
                    carrier,
                    ..(*level).clone()
                })),
                None => kept.push(level),
            }
        }
        stack.levels = kept;
    }
    plan
}
