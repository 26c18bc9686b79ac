//! Limits of the single things in a load: each is asked for with its feedstock, its alloy and the
//! customer of its lot; of two things the stricter holds.

use super::facts::{Facts, Given};
use super::finding::{Sense, Subject};
use crate::catalogue::{Catalogue, Limit, LimitContext, ShopState};
use crate::load::{Caps, Item, Level, LotId, PartRecords, PlacementId, Plan};
use crate::part::PartId;
use crate::text::limits;
use std::collections::{BTreeMap, BTreeSet};

/// The factor on the shop's placing tolerance.
const PLACING: &str = "placing-tolerance-factor";

/// What limits are asked for of each thing that stands in a load.
#[derive(Clone, Debug)]
pub struct Contexts {
    /// All that differ; that of the load itself comes first.
    pub(super) all: Vec<LimitContext>,
    of: BTreeMap<PlacementId, usize>,
    parts: BTreeMap<PartId, BTreeSet<usize>>,
}

impl Contexts {
    /// Of everything that stands in a plan.
    pub fn new(plan: &Plan, catalogue: &Catalogue) -> Contexts {
        let load = LimitContext {
            furnace: Some(plan.load.furnace.clone()),
            ..LimitContext::default()
        };
        let mut all = vec![load];
        let mut known: BTreeMap<(PartId, Option<LotId>), usize> = BTreeMap::new();
        let mut of = BTreeMap::new();
        let mut parts: BTreeMap<PartId, BTreeSet<usize>> = BTreeMap::new();
        for (_, placement) in plan.placements() {
            // A dummy mass or a thermocouple is no feedstock's and no customer's.
            let (part, lot) = match &placement.item {
                Item::Part { part, lot } => (*part, *lot),
                Item::Coupon { part, .. } => (*part, None),
                Item::Dummy { .. } | Item::Sensor { .. } => continue,
            };
            let i = *known.entry((part, lot)).or_insert_with(|| {
                let context = of_part(plan, catalogue, part, lot);
                all.iter().position(|c| *c == context).unwrap_or_else(|| {
                    all.push(context);
                    all.len() - 1
                })
            });
            of.insert(placement.id, i);
            parts.entry(part).or_default().insert(i);
        }
        Contexts { all, of, parts }
    }

    /// Those of the things that stand in the load; its own while nothing stands in it.
    pub(super) fn things(&self) -> impl Iterator<Item = &LimitContext> {
        let own = usize::from(self.all.len() > 1);
        self.all.iter().skip(own)
    }

    /// Those of what a finding is about; of all things in the load where its subjects do not tell.
    pub(super) fn of_subjects(&self, subjects: &[Subject], facts: &Facts) -> Vec<LimitContext> {
        let placements = |level: &Level| -> Vec<LimitContext> {
            let ids = level.placements.iter().map(|p| p.id);
            ids.filter_map(|id| self.of_placement(id))
                .cloned()
                .collect()
        };
        let plan = facts.plan;
        let mut found: Vec<LimitContext> = Vec::new();
        for subject in subjects {
            match subject {
                Subject::Placement(id) => found.extend(self.of_placement(*id).cloned()),
                Subject::Part(id) => found.extend(self.of_part(*id).cloned()),
                Subject::Lot(id) => {
                    let lot = plan.lot(*id);
                    found.extend(lot.map(|l| of_part(plan, facts.catalogue, l.part, Some(l.id))));
                }
                Subject::Level(id) => {
                    found.extend(plan.level(*id).into_iter().flat_map(|(_, l)| placements(l)));
                }
                Subject::Stack(id) => {
                    let stack = plan.load.stacks.iter().find(|s| s.id == *id);
                    let levels = stack.into_iter().flat_map(|s| &s.levels);
                    found.extend(levels.flat_map(|l| placements(l)));
                }
                Subject::Named(name) => {
                    let named = |c: &&LimitContext| {
                        let of = [&c.feedstock, &c.alloy];
                        of.into_iter().flatten().any(|slug| slug == name)
                    };
                    found.extend(self.all.iter().filter(named).cloned());
                }
                Subject::Load | Subject::Profile | Subject::Furnace | Subject::Segment(_) => {}
            }
        }
        if found.is_empty() {
            found.extend(self.things().cloned());
        }
        found
    }

    fn of_placement(&self, id: PlacementId) -> Option<&LimitContext> {
        self.of.get(&id).and_then(|i| self.all.get(*i))
    }

    /// Those of all pieces of a part: one for each customer of its lots.
    fn of_part(&self, part: PartId) -> impl Iterator<Item = &LimitContext> {
        let of = self.parts.get(&part).into_iter().flatten();
        of.filter_map(|i| self.all.get(*i))
    }
}

fn of_part(plan: &Plan, catalogue: &Catalogue, part: PartId, lot: Option<LotId>) -> LimitContext {
    let feedstock = plan.part(part).map(|p| p.feedstock.clone());
    let record = feedstock.as_ref().and_then(|id| catalogue.feedstock(id));
    LimitContext {
        customer: lot
            .and_then(|id| plan.lot(id))
            .and_then(|l| l.customer.clone()),
        alloy: record.map(|f| f.alloy.clone()),
        feedstock,
        furnace: Some(plan.load.furnace.clone()),
    }
}

/// A limit of which the larger value is the stricter, for each thing in the load.
#[derive(Debug)]
pub struct LeastLimits<'f> {
    contexts: &'f Contexts,
    limits: Vec<Option<Limit>>,
}

impl LeastLimits<'_> {
    /// Whether nobody has set it for something in the load.
    pub fn lacking(&self) -> bool {
        self.limits.iter().any(Option::is_none)
    }

    /// The limit of one thing.
    pub fn of(&self, id: PlacementId) -> Option<&Limit> {
        let i = self.contexts.of.get(&id).copied().unwrap_or(0);
        self.limits.get(i)?.as_ref()
    }

    /// The stricter of the limits of two things.
    pub fn between(&self, a: PlacementId, b: PlacementId) -> Option<&Limit> {
        let both = [self.of(a), self.of(b)].into_iter().flatten();
        both.max_by(|a, b| a.value.total_cmp(&b.value))
    }
}

/// Limit that holds for one part of a plan; of the customers of its lots the strictest.
pub fn limit_of_part<'a>(
    contexts: &Contexts,
    catalogue: &'a Catalogue,
    id: &str,
    part: PartId,
    sense: Sense,
) -> Option<&'a Limit> {
    strictest(catalogue, id, sense, contexts.of_part(part))
}

fn strictest<'a, 'c>(
    catalogue: &'a Catalogue,
    id: &str,
    sense: Sense,
    contexts: impl Iterator<Item = &'c LimitContext>,
) -> Option<&'a Limit> {
    stricter(
        contexts.filter_map(|context| catalogue.limit(id, context)),
        sense,
    )
}

/// The strictest of several limits.
pub(super) fn stricter<'a>(
    found: impl Iterator<Item = &'a Limit>,
    sense: Sense,
) -> Option<&'a Limit> {
    let by_value = |a: &&Limit, b: &&Limit| a.value.total_cmp(&b.value);
    match sense {
        Sense::AtLeast => found.max_by(by_value),
        Sense::AtMost => found.min_by(by_value),
    }
}

impl<'a> Facts<'a> {
    /// Limit that holds for one part; of the customers of its lots the strictest.
    pub fn limit_for(&self, id: &str, records: &PartRecords, sense: Sense) -> Option<&'a Limit> {
        self.strictest(id, sense, self.contexts.of_part(records.part.id))
    }

    /// Limit that holds for what is of an alloy; of several customers the strictest.
    pub fn limit_for_alloy(&self, id: &str, alloy: &str, sense: Sense) -> Option<&'a Limit> {
        let of = |c: &&LimitContext| c.alloy.as_deref() == Some(alloy);
        self.strictest(id, sense, self.contexts.all.iter().filter(of))
    }

    /// Limit that holds for what is of a feedstock; of several customers the strictest.
    pub fn limit_for_feedstock(&self, id: &str, slug: &str, sense: Sense) -> Option<&'a Limit> {
        let of = |c: &&LimitContext| c.feedstock.as_deref() == Some(slug);
        self.strictest(id, sense, self.contexts.all.iter().filter(of))
    }

    pub(super) fn strictest<'c>(
        &self,
        id: &str,
        sense: Sense,
        contexts: impl Iterator<Item = &'c LimitContext>,
    ) -> Option<&'a Limit> {
        stricter(
            contexts.filter_map(|context| self.resolved(id, context)),
            sense,
        )
    }

    /// A listed limit for each thing in the load.
    pub fn least_limits(&self, id: &str) -> LeastLimits<'_> {
        self.each(|context| self.catalogue.limit(id, context).cloned())
    }

    /// The gap limit for each thing in the load: the larger of the listed gap and the placing
    /// tolerance times its factor; without a shop the listed gap alone. Growth is computed, so it
    /// is not in the limit.
    pub fn gap_limits(&self) -> LeastLimits<'_> {
        self.each(|context| gap_limit(self.catalogue, self.shop, context))
    }

    fn each(&self, limit: impl Fn(&LimitContext) -> Option<Limit>) -> LeastLimits<'_> {
        LeastLimits {
            contexts: &self.contexts,
            limits: self.contexts.all.iter().map(limit).collect(),
        }
    }
}

fn gap_limit(
    catalogue: &Catalogue,
    shop: Option<&ShopState>,
    context: &LimitContext,
) -> Option<Limit> {
    let least = catalogue.limit("gap-min", context)?;
    let (Some(factor), Some(shop)) = (catalogue.limit(PLACING, context), shop) else {
        return Some(least.clone());
    };
    let placing = factor.value * shop.placing_tolerance_mm;
    if placing <= least.value {
        return Some(least.clone());
    }
    Some(Limit {
        set_by: limits::set_by_placing(&shop.name, shop.placing_tolerance_mm),
        source: shop.source.clone(),
        standing: shop.standing,
        value: placing,
        unit: least.unit.clone(),
        name: least.name.clone(),
        ..factor.clone()
    })
}

/// How far to look for a given plan, for drag previews too: as far as the strictest limit of
/// anything in the load. Touching is looked for even where a limit is not set.
pub fn caps(given: &Given, contexts: &Contexts) -> Caps {
    const TOUCHING_MM: f64 = 0.05;
    let Given {
        catalogue, shop, ..
    } = *given;
    let most = |value: &dyn Fn(&LimitContext) -> Option<f64>| {
        let values = contexts.all.iter().filter_map(value);
        values.fold(TOUCHING_MM, f64::max)
    };
    let listed = |id: &str| most(&|context| catalogue.limit(id, context).map(|l| l.value));
    Caps {
        gap_mm: most(&|context| gap_limit(catalogue, shop, context).map(|l| l.value)),
        edge_mm: listed("edge-margin"),
        head_mm: listed("head-room-min"),
        roof_mm: listed("roof-clearance-min"),
        sensor_mm: listed("sensor-clearance-min"),
        zone_mm: listed("hot-zone-margin"),
    }
}
