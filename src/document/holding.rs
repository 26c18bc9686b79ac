//! How far a run of a backlog is filled: only as far as its review, with a forecast, has no stop that
//! the base load has not. What a single piece of a lot brings as well, fewer pieces do not mend: that
//! keeps nothing out, and is told.

use super::arranging::forecast_of;
use super::queueing::{Pattern, built, without_waiting};
use crate::arrange::Watch;
use crate::catalogue::{Catalogue, Severity, ShopState};
use crate::forecast::plan::NoForecast;
use crate::forecast::run::RunFault;
use crate::load::{Level, LotId, Placement, PlacementId, Plan};
use crate::review::{Finding, Given, Review, Subject, review};
use std::cell::{OnceCell, RefCell};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Checks that found something, by slug.
pub type Checks = BTreeSet<&'static str>;

/// Why a run is not filled further, and what stops it all the same.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Held {
    /// What stopped the layouts with more pieces that were tried, and does not stop its base load.
    pub by: Checks,
    /// What stops it with a single piece of one of its lots as well, and not its base load.
    pub anyway: Checks,
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

/// The open stops and cautions of a review.
pub(super) fn open_in(found: Review) -> Vec<Finding> {
    let open = found.findings.into_iter();
    open.filter(|f| f.severity >= Severity::Caution && !f.is_gone())
        .collect()
}

/// Checks of the stops among some findings.
pub(super) fn stops_of(found: &[Finding]) -> Checks {
    let stops = found.iter().filter(|f| f.severity == Severity::Stop);
    stops.map(|f| f.check).collect()
}

/// Checks of which there is a stop, or a caution, that the base load does not have of the same thing as
/// grave and with a value as bad, or worse.
pub(super) fn new_among(found: &[Finding], base: &[Finding], severity: Severity) -> Checks {
    let known = |f: &Finding| {
        let same = |g: &&Finding| g.check == f.check && g.severity >= severity && of_same(f, g);
        base.iter().filter(same).any(|g| f.is_no_worse_than(g))
    };
    let found = found.iter().filter(|f| f.severity == severity);
    found.filter(|f| !known(f)).map(|f| f.check).collect()
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
    pub anyway: Checks,
    /// Layouts that were tried and brought something new: their pieces, and what.
    pub stopped: Vec<(usize, Checks)>,
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
    /// What is open in the base load with the trap on record, and with an emptied one.
    base: [OnceCell<Option<Vec<Finding>>>; 2],
    /// What a single piece of a lot brings, in the first run of a furnace or in a later one.
    alone: RefCell<BTreeMap<(bool, LotId), Checks>>,
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

    /// Open stops and cautions of the base load itself, as a first run of its furnace or as a later one;
    /// none where the search was stopped before they were known.
    pub fn base(&self, first: bool) -> Option<&[Finding]> {
        let [on_record, emptied] = &self.base;
        let base = if first { on_record } else { emptied };
        let known = || self.open(&self.pattern.plan, first);
        base.get_or_init(known).as_deref()
    }

    /// Open stops and cautions of a load. The first run of a furnace has the trap that is on record;
    /// before a later one it can be emptied.
    fn open(&self, plan: &Plan, first: bool) -> Option<Vec<Finding>> {
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
        Some(open_in(review_with_forecast(&given, self.watch)?))
    }

    /// What stops a load and not its base load.
    fn new_stops(&self, plan: &Plan, first: bool) -> Option<Checks> {
        let found = self.open(&built(plan), first)?;
        Some(new_among(&found, self.base(first)?, Severity::Stop))
    }

    /// What of some checks a single piece of one of these lots brings as well.
    fn of_single_pieces(
        &self,
        plan: &Plan,
        first: bool,
        lots: &[LotId],
        of: &Checks,
    ) -> Option<Checks> {
        let mut brought = Checks::new();
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

/// A load without the levels that its base load has not and that carry nothing.
fn without_new_empty(mut plan: Plan, base: &Plan) -> Plan {
    for stack in &mut plan.load.stacks {
        let new_empty = |l: &Level| l.placements.is_empty() && base.level(l.id).is_none();
        let lowered = stack.without_levels(new_empty);
        stack.levels.retain(|l| !lowered.gone.contains(&l.id));
        for (id, carrier) in lowered.onto {
            let level = stack.levels.iter_mut().find(|l| l.id == id);
            if let Some(level) = level {
                Arc::make_mut(level).carrier = carrier;
            }
        }
    }
    plan
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::load::{Carrier, Item, LevelId, Stack, StackId};
    use crate::part::PartId;
    use crate::review::{Family, Measured, Sense};
    use crate::units::Quantity;

    fn found(severity: Severity, lot: u32, value: f64) -> Finding {
        Finding {
            check: "some-check",
            family: Family::Mass,
            severity,
            subjects: vec![Subject::Lot(LotId(lot))],
            measured: Some(Measured {
                quantity: Quantity::Mass,
                value,
                digits: 1,
                sense: Sense::AtMost,
            }),
            beside: None,
            limit: None,
            args: Vec::new(),
            safety: false,
            accepted: None,
            lapsed: None,
            done_under: None,
        }
    }

    /// The lot is another, so it does not count.
    #[test]
    fn a_caution_is_new_where_the_base_load_has_none_as_bad() {
        use Severity::{Caution, Note, Stop};
        let run = [found(Caution, 2, 5.0), found(Note, 2, 5.0)];
        let is_new = |base: &[Finding]| !new_among(&run, base, Caution).is_empty();
        assert!(is_new(&[]));
        assert!(is_new(&[found(Caution, 1, 4.0)]));
        assert!(!is_new(&[found(Caution, 1, 4.0), found(Caution, 3, 5.0)]));
        // A stop of the base load is graver than that; a note is not.
        assert!(!is_new(&[found(Stop, 1, 5.0)]));
        assert!(is_new(&[found(Note, 1, 5.0)]));
        // A caution keeps no run from being filled, and is no leave for a stop.
        assert!(new_among(&run, &[], Stop).is_empty());
        let stop = [found(Stop, 2, 5.0)];
        let new = new_among(&stop, &[found(Caution, 1, 5.0)], Stop);
        assert_eq!(new, Checks::from(["some-check"]));
        assert!(new_among(&stop, &[], Caution).is_empty());
    }

    #[test]
    fn what_is_accepted_is_not_open() {
        let mut review = Review::default();
        let mut accepted = found(Severity::Caution, 1, 5.0);
        accepted.accepted = Some(0);
        review.findings = vec![
            accepted,
            found(Severity::Note, 1, 1.0),
            found(Severity::Stop, 1, 5.0),
        ];
        let open = open_in(review);
        assert_eq!(open, [found(Severity::Stop, 1, 5.0)]);
        assert_eq!(stops_of(&open), Checks::from(["some-check"]));
    }

    fn level(id: u32, carrier: Carrier, things: u32) -> Arc<Level> {
        let thing = |n: u32| Placement {
            id: PlacementId(100 * id + n),
            item: Item::Coupon {
                part: PartId(1),
                label: n.to_string(),
            },
            at_mm: [0.0; 2],
            angle_deg: 0.0,
            support: None,
            locked: false,
        };
        Arc::new(Level {
            id: LevelId(id),
            setter: "setter".to_owned(),
            carrier,
            placements: (0..things).map(thing).collect(),
        })
    }

    fn posts(post: &str) -> Carrier {
        Carrier::Posts {
            post: post.to_owned(),
            at_mm: vec![[50.0, 50.0]],
        }
    }

    fn stack(levels: Vec<Arc<Level>>) -> Plan {
        let mut plan = Plan::empty("a furnace");
        plan.load.stacks = vec![Stack {
            id: StackId(1),
            at_mm: [0.0; 2],
            levels,
        }];
        plan
    }

    #[test]
    fn new_levels_that_stay_empty_go_and_what_is_above_comes_down() {
        let base = stack(vec![
            level(2, Carrier::Hearth, 1),
            level(3, posts("short"), 0),
        ]);
        let filled = stack(vec![
            level(2, Carrier::Hearth, 1),
            level(3, posts("short"), 0),
            level(4, posts("tall"), 0),
            level(5, posts("middle"), 0),
            level(6, posts("short"), 2),
            level(7, posts("short"), 0),
        ]);
        // The base load's own empty level stays; the new one comes down to where the lowest stood.
        let wanted = stack(vec![
            level(2, Carrier::Hearth, 1),
            level(3, posts("short"), 0),
            level(6, posts("tall"), 2),
        ]);
        assert_eq!(without_new_empty(filled, &base), wanted);
    }

    #[test]
    fn what_has_nothing_else_to_stand_on_keeps_its_slot() {
        let rack = |slot| Carrier::RackSlot(slot);
        let base = stack(vec![level(2, rack(0), 1)]);
        let carries = stack(vec![
            level(2, rack(0), 1),
            level(3, rack(1), 0),
            level(4, posts("short"), 1),
        ]);
        assert_eq!(without_new_empty(carries.clone(), &base), carries);
        // The nearest slot below stays, and what is on posts comes down onto the lowest of them.
        let high = stack(vec![
            level(2, rack(0), 1),
            level(3, rack(1), 0),
            level(4, rack(2), 0),
            level(5, posts("tall"), 0),
            level(6, posts("middle"), 0),
            level(7, posts("short"), 1),
            level(8, posts("short"), 1),
        ]);
        let wanted = stack(vec![
            level(2, rack(0), 1),
            level(4, rack(2), 0),
            level(7, posts("tall"), 1),
            level(8, posts("short"), 1),
        ]);
        assert_eq!(without_new_empty(high, &base), wanted);
        let above = stack(vec![
            level(2, rack(0), 1),
            level(3, rack(1), 0),
            level(4, rack(2), 1),
        ]);
        let wanted = stack(vec![level(2, rack(0), 1), level(4, rack(2), 1)]);
        assert_eq!(without_new_empty(above, &base), wanted);
    }
}
