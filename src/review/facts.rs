//! Facts: computed once for all checks.

use super::facts_gaps::{Contexts, caps, stricter};
use super::facts_placed::Placed;
use super::limit_senses::sense_of;
use crate::catalogue::{
    Alloy, Catalogue, Feedstock, Furnace, FurnaceState, Gas, Limit, LimitContext, LimitScope,
    ShopState, SupportKind,
};
use crate::forecast::plan::{NoForecast, PlanForecast};
use crate::load::{
    CarrierFault, Clearances, Difference, LevelHeight, LevelId, PartRecords, Plan, Sizes, StackId,
    Tally, clearances, peak_c, stack_heights, tally,
};
use crate::part::{Part, SizeStage};
use crate::profile::{Curve, Fault, NoOverlap, Range, Segment, intersection};
use crate::statics::{
    PlateBending, PlateFault, StackBalance, Tipping, part_tipping, plate_bending, stack_balance,
};
use std::cell::{Cell, OnceCell, RefCell};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Kind of a difference: the mesh file of a part is another one than it was made from; the slug is
/// the SHA-256 of the one that it was made from, so that it ends with the part as it was.
pub const MESH_OTHER: &str = "mesh";

/// What a review is given.
#[derive(Clone, Copy, Debug)]
pub struct Given<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// Catalogue by which it is judged.
    pub catalogue: &'a Catalogue,
    /// State of the shop, where one is known.
    pub shop: Option<&'a ShopState>,
    /// Records in use that differ from those in the file: kind and slug.
    pub differences: &'a [(String, String)],
    /// The standard load that the plan began from, where it was found.
    pub standard: Option<&'a Plan>,
    /// Forecast of this very plan, or why there is none; nothing where nobody has made one.
    pub forecast: Option<&'a Result<PlanForecast, NoForecast>>,
}

/// A part record that stands in the load, with its records.
#[derive(Clone, Copy, Debug)]
pub struct PlacedPart<'a> {
    /// Part.
    pub part: &'a Part,
    /// Pieces placed, coupons included.
    pub pieces: usize,
    /// Of these, pieces on pins: what carries them is not known.
    pub on_pins: usize,
    /// Its records; none where one is unknown.
    pub records: Option<PartRecords<'a>>,
    /// How it stands green and sintered; none where a record is unknown.
    pub stands: Option<[Tipping; 2]>,
}

/// What costs most to make from a plan; whoever keeps it by what it was made from hands it in.
#[derive(Clone, Debug)]
pub struct Prepared {
    /// Bodies by part.
    pub sizes: Arc<Sizes>,
    /// Clearances below the [`caps`]; none without a furnace.
    pub clearances: Option<Arc<Clearances>>,
    /// Masses and fill.
    pub tally: Arc<Tally>,
    /// What limits are asked for.
    pub contexts: Contexts,
}

impl Prepared {
    /// Made from nothing.
    pub fn new(given: &Given) -> Prepared {
        let Given {
            plan, catalogue, ..
        } = *given;
        let furnace = catalogue.furnace(&plan.load.furnace).map(AsRef::as_ref);
        let sizes = Sizes::new(plan, catalogue);
        let contexts = Contexts::new(plan, catalogue);
        let caps = caps(given, &contexts);
        let near = |f| Arc::new(clearances(plan, catalogue, f, &sizes, &caps));
        Prepared {
            clearances: furnace.map(near),
            tally: Arc::new(tally(plan, catalogue, furnace, &sizes)),
            sizes: Arc::new(sizes),
            contexts,
        }
    }
}

/// Everything that checks read.
#[derive(Debug)]
pub struct Facts<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// The catalogue.
    pub catalogue: &'a Catalogue,
    /// State of the shop.
    pub shop: Option<&'a ShopState>,
    /// Records that differ from the file's.
    pub differences: &'a [(String, String)],
    /// The standard load that the plan began from, where it was found.
    pub standard: Option<&'a Plan>,
    /// Forecast of the plan, or why there is none; nothing where nobody has made one.
    pub forecast: Option<&'a Result<PlanForecast, NoForecast>>,
    /// The furnace.
    pub furnace: Option<&'a Furnace>,
    /// Its state.
    pub state: Option<&'a FurnaceState>,
    /// Bodies by part.
    pub sizes: Arc<Sizes>,
    /// Clearances below the caps; none without a furnace.
    pub clearances: Option<Arc<Clearances>>,
    /// Heights by stack.
    pub heights: BTreeMap<StackId, Vec<Result<LevelHeight, CarrierFault>>>,
    /// Masses and fill.
    pub tally: Arc<Tally>,
    /// Centres of mass by stack.
    pub balances: BTreeMap<StackId, StackBalance>,
    /// Bending of every setter at the highest target, stack by stack, bottom first.
    pub bending: Vec<(LevelId, Result<PlateBending, PlateFault>)>,
    /// Part records that stand in the load.
    pub placed: Vec<PlacedPart<'a>>,
    /// Feedstocks in the load, by slug.
    pub feedstocks: BTreeMap<&'a str, &'a Feedstock>,
    /// Alloys in the load, by slug.
    pub alloys: BTreeMap<&'a str, &'a Alloy>,
    /// Setpoint curve, or why there is none.
    pub curve: Result<Curve, Fault>,
    /// Faults of the profile in itself.
    pub profile_faults: Vec<Fault>,
    /// Highest target, °C.
    pub peak_c: f64,
    /// Debind range common to all feedstocks; none while nothing is placed.
    pub debind: Option<Result<Range, NoOverlap>>,
    /// Sinter range common to all feedstocks.
    pub sinter: Option<Result<Range, NoOverlap>>,
    /// What limits are asked for of each thing in the load.
    pub contexts: Contexts,
    /// Things by their number, once one is asked for.
    pub(super) by_number: OnceCell<Placed<'a>>,
    /// What was changed since the standard, once it is asked for.
    pub(super) since_standard: OnceCell<Vec<Difference>>,
    /// Limits of the check under way of which nobody said which of several is the strictest.
    unjudged: RefCell<BTreeSet<String>>,
    /// Whether the check under way is one of safety.
    for_safety: Cell<bool>,
}

impl<'a> Facts<'a> {
    /// Computes them.
    pub fn new(given: &Given<'a>, prepared: Prepared) -> Facts<'a> {
        let Given {
            plan,
            catalogue,
            shop,
            differences,
            standard,
            forecast,
        } = *given;
        let furnace = catalogue.furnace(&plan.load.furnace).map(AsRef::as_ref);
        let state = shop.and_then(|s| s.furnaces.iter().find(|f| f.furnace == plan.load.furnace));
        let Prepared {
            sizes,
            clearances,
            tally,
            contexts,
        } = prepared;
        let placed = placed_parts(plan, catalogue);
        let mut feedstocks = BTreeMap::new();
        let mut alloys = BTreeMap::new();
        for records in placed.iter().filter_map(|p| p.records) {
            feedstocks.insert(records.feedstock.id.as_str(), records.feedstock);
            alloys.insert(records.alloy.id.as_str(), records.alloy);
        }
        let heights = plan
            .load
            .stacks
            .iter()
            .filter_map(|stack| Some((stack.id, stack_heights(stack, catalogue, furnace?))));
        let range = |pick: fn(&Feedstock) -> Range| {
            let ranges: Vec<Range> = feedstocks.values().map(|f| pick(f)).collect();
            (!ranges.is_empty()).then(|| intersection(&ranges))
        };
        let full_rate = furnace.map(|f| f.ramp_max_k_min);
        let peak_c = peak_c(plan);
        let balances = plan.load.stacks.iter();
        let balances = balances.map(|s| (s.id, stack_balance(s, plan, catalogue, &sizes)));
        Facts {
            plan,
            catalogue,
            shop,
            differences,
            standard,
            forecast,
            furnace,
            state,
            clearances,
            heights: heights.collect(),
            balances: balances.collect(),
            bending: bending(plan, catalogue, &tally, peak_c),
            tally,
            sizes,
            debind: range(|f| Range {
                from_c: f.debind.from_c,
                to_c: f.debind.to_c,
            }),
            sinter: range(|f| Range {
                from_c: f.sinter.from_c,
                to_c: f.sinter.to_c,
            }),
            placed,
            feedstocks,
            alloys,
            curve: plan.profile.curve(full_rate),
            profile_faults: plan.profile.faults(full_rate),
            peak_c,
            contexts,
            by_number: OnceCell::new(),
            since_standard: OnceCell::new(),
            unjudged: RefCell::default(),
            for_safety: Cell::new(false),
        }
    }

    /// Limit that holds for the furnace and whatever else the context names.
    pub fn limit_in(&self, id: &str, context: LimitContext) -> Option<&'a Limit> {
        let furnace = Some(self.plan.load.furnace.clone());
        self.resolved(id, &LimitContext { furnace, ..context })
    }

    /// Limit of one context. For a check that concerns people a narrower scope does not loosen what
    /// a wider one asks for: of those that somebody set the strictest holds.
    pub(super) fn resolved(&self, id: &str, context: &LimitContext) -> Option<&'a Limit> {
        let narrowest = self.catalogue.limit(id, context)?;
        if !self.for_safety.get() {
            return Some(narrowest);
        }
        let Some(sense) = sense_of(id) else {
            return Some(narrowest);
        };
        let set =
            |l: &&Limit| l.id == id && l.scope != LimitScope::BuiltIn && context.matches(&l.scope);
        let set = self.catalogue.limits.iter().filter(set);
        Some(stricter(set, sense).unwrap_or(narrowest))
    }

    /// Limit that holds for the load as a whole: of those of the things that stand in it the
    /// strictest. What somebody sets for an alloy, a feedstock or a customer so has its effect
    /// wherever a thing of theirs is in the load. For a safety check the furnace's own holds too.
    pub fn limit(&self, id: &str) -> Option<&'a Limit> {
        let own = self.limit_in(id, LimitContext::default());
        let safety = self.for_safety.get();
        let things = || self.contexts.things();
        let mut limits = things().map(|context| self.resolved(id, context));
        let first = limits.next().flatten();
        if limits.all(|limit| limit == first) && (!safety || first == own) {
            return first.or(own);
        }
        let Some(sense) = sense_of(id) else {
            self.unjudged.borrow_mut().insert(id.to_owned());
            return own;
        };
        let also = self.contexts.all.iter().take(usize::from(safety));
        self.strictest(id, sense, things().chain(also))
    }

    /// A check begins: no limit was left unjudged yet.
    pub(super) fn begin(&self, safety: bool) {
        self.for_safety.set(safety);
        self.unjudged.borrow_mut().clear();
    }

    /// Limits that the check asked for as those of the whole load, while several hold in it and
    /// nobody said which is the stricter.
    pub(super) fn narrower_limits(&self) -> Vec<String> {
        self.unjudged.borrow().iter().cloned().collect()
    }

    /// Whether the shop asks for certificates, signatures, qualifications and calibrations.
    pub fn regulated(&self) -> bool {
        self.shop.is_some_and(|shop| shop.regulated)
    }

    /// Gas of a segment; `Ok(None)` in vacuum, `Err` with the slug where it is unknown.
    pub fn gas(&self, segment: &'a Segment) -> Result<Option<&'a Gas>, &'a str> {
        match &segment.gas {
            None => Ok(None),
            Some(id) => self.catalogue.gas(id).map(|g| Some(g.as_ref())).ok_or(id),
        }
    }

    /// Segments with the temperature from which each starts, °C.
    pub fn segments(&self) -> impl Iterator<Item = (f64, &'a Segment)> {
        let segments = &self.plan.profile.segments;
        let starts =
            std::iter::once(self.plan.profile.start_c).chain(segments.iter().map(|s| s.to_c));
        starts.zip(segments)
    }
}

fn bending(
    plan: &Plan,
    catalogue: &Catalogue,
    tally: &Tally,
    at_c: f64,
) -> Vec<(LevelId, Result<PlateBending, PlateFault>)> {
    let levels = plan.load.stacks.iter();
    levels
        .flat_map(|stack| {
            stack
                .levels
                .iter()
                .enumerate()
                .map(move |(i, l)| (stack, i, l.id))
        })
        .zip(&tally.levels)
        .filter_map(|((stack, i, id), level)| {
            Some((id, plate_bending(stack, i, level, catalogue, at_c)?))
        })
        .collect()
}

fn placed_parts<'a>(plan: &'a Plan, catalogue: &'a Catalogue) -> Vec<PlacedPart<'a>> {
    let mut pieces: BTreeMap<u32, usize> = BTreeMap::new();
    let mut on_pins: BTreeMap<u32, usize> = BTreeMap::new();
    for (id, placement) in plan
        .placements()
        .filter_map(|(_, p)| Some((p.item.part()?, p)))
    {
        *pieces.entry(id.0).or_default() += 1;
        let support = placement
            .support
            .as_ref()
            .and_then(|s| catalogue.support(s));
        if support.is_some_and(|s| s.kind == SupportKind::Pins) {
            *on_pins.entry(id.0).or_default() += 1;
        }
    }
    let known: BTreeSet<u32> = plan.parts.iter().map(|p| p.id.0).collect();
    pieces.retain(|id, _| known.contains(id));
    plan.parts
        .iter()
        .filter_map(|part| {
            let pieces = *pieces.get(&part.id.0)?;
            let records = PartRecords::new(part, catalogue);
            // Of an outline nobody knows what of it touches the setter, and where its mass is.
            let standing = records.filter(|_| !part.outline_only());
            let stands = |stage| standing.map(|r| part_tipping(&r, peak_c(plan), stage));
            Some(PlacedPart {
                part,
                pieces,
                on_pins: on_pins.get(&part.id.0).copied().unwrap_or(0),
                records,
                stands: stands(SizeStage::Green)
                    .zip(stands(SizeStage::Sintered))
                    .map(|(green, sintered)| [green, sintered]),
            })
        })
        .collect()
}
