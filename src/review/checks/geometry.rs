//! Geometry: clearances between what stands on setters, setters and the furnace.
//!
//! Where a row of parts would make a row of findings, there is one for each level, part or stack,
//! with the worst value and a count.

use super::common::{
    and_more, clearances, clearances_with_heights, geometry, limit, stop_when_regulated,
    unknown_lifts,
};
use crate::catalogue::Severity::{Caution, Note, Stop};
use crate::catalogue::{Limit, LimitScope};
use crate::load::{
    Clearances, ItemGap, LevelId, Neighbour, PairGap, PlacementId, SetterGap, SetterNeighbour,
    StackId,
};
use crate::part::SizeStage;
use crate::review::facts::Facts;
use crate::review::facts_gaps::LeastLimits;
use crate::review::finding::{Check, Report, Subject, at_least, number, text};
use crate::text::findings::Arg;
use crate::text::{missing, names, phrases};
use crate::units::Quantity::Length;
use std::collections::BTreeMap;

/// Checks of clearances.
pub const CHECKS: &[Check] = &[
    geometry(Note, "nothing-placed", &[], nothing_placed),
    geometry(Stop, "parts-touching", &[], parts_touching),
    geometry(
        Caution,
        "gap-too-small",
        &["gap-min", "placing-tolerance-factor"],
        gap_too_small,
    ),
    geometry(Stop, "part-over-setter-edge", &[], part_over_setter_edge),
    geometry(
        Stop,
        "part-near-setter-edge",
        &["edge-margin"],
        part_near_setter_edge,
    ),
    geometry(
        Stop,
        "part-touches-setter-above",
        &[],
        part_touches_setter_above,
    ),
    geometry(Caution, "head-room-low", &["head-room-min"], head_room_low),
    geometry(Stop, "part-touches-roof", &[], part_touches_roof),
    geometry(
        Caution,
        "roof-room-low",
        &["roof-clearance-min"],
        roof_room_low,
    ),
    geometry(Stop, "part-touches-post", &[], part_touches_post),
    geometry(
        Caution,
        "part-near-post",
        &["gap-min", "placing-tolerance-factor"],
        part_near_post,
    ),
    geometry(Stop, "part-in-forbidden-spot", &[], part_in_forbidden_spot),
    geometry(
        Caution,
        "part-near-thermocouple",
        &["sensor-clearance-min"],
        part_near_thermocouple,
    ),
    geometry(
        Stop,
        "work-zone-only-part-outside",
        &[],
        work_zone_only_part_outside,
    ),
    stop_when_regulated(geometry(
        Caution,
        "part-outside-work-zone",
        &[],
        part_outside_work_zone,
    )),
    geometry(
        Stop,
        "setter-in-forbidden-spot",
        &[],
        setter_in_forbidden_spot,
    ),
    geometry(
        Stop,
        "setter-outside-hot-zone",
        &[],
        setter_outside_hot_zone,
    ),
    geometry(
        Stop,
        "setter-near-hot-zone-boundary",
        &["hot-zone-margin"],
        setter_near_hot_zone_boundary,
    ),
    geometry(Stop, "setter-touches-roof", &[], setter_touches_roof),
    geometry(
        Stop,
        "setters-of-stacks-touch",
        &[],
        setters_of_stacks_touch,
    ),
];

fn nothing_placed(facts: &Facts, report: &mut Report) {
    if facts.plan.placements().next().is_none() {
        report.found(vec![Subject::Load], Vec::new());
    }
}

/// Stages of a gap in words.
fn stages(stages: (SizeStage, SizeStage)) -> String {
    if stages.0 == stages.1 {
        stages.0.word().to_owned()
    } else {
        phrases::two_stages(stages.0.word(), stages.1.word())
    }
}

/// Near pairs without the tips of load thermocouples, which belong close to a part.
fn pairs<'f>(
    facts: &'f Facts,
    clearances: &'f Clearances,
) -> impl Iterator<Item = &'f PairGap> + 'f {
    let is_tip = |id| facts.placement(id).is_some_and(|p| p.item.is_tip());
    let near = clearances.pairs.iter();
    near.filter(move |gap| !is_tip(gap.a) && !is_tip(gap.b))
}

fn parts_touching(facts: &Facts, report: &mut Report) {
    let Some(clearances) = clearances(facts, report) else {
        return;
    };
    for gap in pairs(facts, clearances).filter(|gap| gap.gap_mm <= 0.0) {
        report.found(
            vec![Subject::Placement(gap.a), Subject::Placement(gap.b)],
            vec![
                ("a", text(facts.label(gap.a))),
                ("b", text(facts.label(gap.b))),
                ("stage", text(stages(gap.stages))),
            ],
        );
    }
}

/// A listed limit for each thing in the load; where nobody has set it, says so.
fn limits<'f>(facts: &'f Facts, report: &mut Report, id: &str) -> LeastLimits<'f> {
    let limits = facts.least_limits(id);
    if limits.lacking() {
        report.missing(vec![Subject::Load], missing::limit(id));
    }
    limits
}

/// The gap limit for each thing; says which part of it is not known. What is known still holds.
fn gap_limits<'f>(facts: &'f Facts, report: &mut Report) -> LeastLimits<'f> {
    let limits = facts.gap_limits();
    if limits.lacking() {
        report.missing(vec![Subject::Load], missing::limit("gap-min"));
    }
    if facts.shop.is_none() {
        report.missing(vec![Subject::Load], missing::placing_tolerance());
    } else if facts.least_limits("placing-tolerance-factor").lacking() {
        let what = missing::limit("placing-tolerance-factor");
        report.missing(vec![Subject::Load], what);
    }
    limits
}

fn gap_too_small(facts: &Facts, report: &mut Report) {
    let limits = gap_limits(facts, report);
    let Some(clearances) = clearances(facts, report) else {
        return;
    };
    for gap in pairs(facts, clearances).filter(|gap| gap.gap_mm > 0.0) {
        let Some(limit) = limits.between(gap.a, gap.b) else {
            continue;
        };
        let green = gap.green_mm.map_or_else(
            || phrases::more_than_limit().to_owned(),
            |g| number(Length, g, 2).to_string(),
        );
        report.hold(
            vec![Subject::Placement(gap.a), Subject::Placement(gap.b)],
            at_least(Length, gap.gap_mm, 2),
            limit,
            vec![
                ("a", text(facts.label(gap.a))),
                ("b", text(facts.label(gap.b))),
                ("stage", text(stages(gap.stages))),
                ("green", text(green)),
            ],
        );
    }
}

fn part_over_setter_edge(facts: &Facts, report: &mut Report) {
    let Some(clearances) = clearances_with_heights(facts, report) else {
        return;
    };
    let over = |item: &&ItemGap| item.to == Neighbour::SetterEdge && item.gap_mm < 0.0;
    for item in clearances.items.iter().filter(over) {
        report.found(
            vec![Subject::Placement(item.placement)],
            vec![
                ("a", text(facts.label(item.placement))),
                ("over", number(Length, -item.gap_mm, 1)),
                ("stage", text(item.stage.word())),
            ],
        );
    }
}

/// Gaps that are wanted, level by level, smallest first. Tips of load thermocouples only where they
/// touch what nothing can reach into: they belong close to other things.
fn near<'f>(
    facts: &'f Facts,
    report: &mut Report,
    wanted: impl Fn(&ItemGap) -> bool,
) -> Vec<Vec<&'f ItemGap>> {
    let Some(clearances) = clearances_with_heights(facts, report) else {
        return Vec::new();
    };
    let mut level_of: BTreeMap<PlacementId, (LevelId, bool)> = BTreeMap::new();
    for (level, placement) in facts.plan.placements() {
        level_of.insert(placement.id, (level.id, placement.item.is_tip()));
    }
    let mut levels: BTreeMap<LevelId, Vec<&ItemGap>> = BTreeMap::new();
    for item in clearances.items.iter().filter(|item| wanted(item)) {
        let solid = matches!(
            item.to,
            Neighbour::SetterAbove(_) | Neighbour::Roof | Neighbour::Post(_)
        );
        match level_of.get(&item.placement) {
            Some((_, true)) if !solid || item.gap_mm > 0.0 => {}
            Some((level, _)) => levels.entry(*level).or_default().push(item),
            None => {}
        }
    }
    let mut groups: Vec<Vec<&ItemGap>> = levels.into_values().collect();
    for group in &mut groups {
        group.sort_by(|a, b| a.gap_mm.total_cmp(&b.gap_mm));
    }
    groups
}

/// Subjects and words of one group of [`near`].
fn near_args(facts: &Facts, group: &[&ItemGap]) -> (Vec<Subject>, Vec<(&'static str, Arg)>) {
    let subjects = group.iter().map(|item| Subject::Placement(item.placement));
    let mut subjects: Vec<Subject> = subjects.collect();
    subjects.sort();
    subjects.dedup();
    let worst = group.first();
    let label = worst.map_or_else(String::new, |w| facts.label(w.placement));
    let to = worst.map_or_else(String::new, |w| match &w.to {
        Neighbour::Spot(id) => facts
            .furnace
            .and_then(|f| f.forbidden.iter().find(|spot| spot.id == *id))
            .map_or_else(|| id.clone(), |spot| spot.name.clone()),
        Neighbour::Sensor(id) => id.clone(),
        Neighbour::Post(i) => names::post(*i),
        Neighbour::SetterAbove(level) => facts.plan.level_label(*level),
        Neighbour::SetterEdge | Neighbour::Roof | Neighbour::WorkZone => String::new(),
    });
    let args = vec![
        ("a", text(label)),
        ("more", text(and_more(subjects.len()))),
        ("to", text(to)),
        ("into", number(Length, worst.map_or(0.0, |w| -w.gap_mm), 1)),
        ("stage", text(worst.map_or("", |w| w.stage.word()))),
    ];
    (subjects, args)
}

/// Holds the smallest gap of each level against its limit; things under different limits are
/// different findings.
fn hold_near(
    facts: &Facts,
    report: &mut Report,
    limits: &LeastLimits,
    wanted: impl Fn(&ItemGap) -> bool,
) {
    let breached = |item: &ItemGap| {
        let limit = limits.of(item.placement);
        wanted(item) && limit.is_some_and(|limit| item.gap_mm < limit.value)
    };
    for level in near(facts, report, breached) {
        let mut groups: BTreeMap<(&LimitScope, u64), (&Limit, Vec<&ItemGap>)> = BTreeMap::new();
        for item in level {
            if let Some(limit) = limits.of(item.placement) {
                let key = (&limit.scope, limit.value.to_bits());
                let (_, group) = groups.entry(key).or_insert((limit, Vec::new()));
                group.push(item);
            }
        }
        for (limit, group) in groups.into_values() {
            if let Some(worst) = group.first() {
                let measured = at_least(Length, worst.gap_mm, 2);
                let (subjects, args) = near_args(facts, &group);
                report.hold(subjects, measured, limit, args);
            }
        }
    }
}

/// Reports each level on which something touches.
fn touching(facts: &Facts, report: &mut Report, wanted: impl Fn(&Neighbour) -> bool) {
    let touches = |item: &ItemGap| wanted(&item.to) && item.gap_mm <= 0.0;
    for group in near(facts, report, touches) {
        let (subjects, args) = near_args(facts, &group);
        report.found(subjects, args);
    }
}

fn part_near_setter_edge(facts: &Facts, report: &mut Report) {
    let limits = limits(facts, report, "edge-margin");
    hold_near(facts, report, &limits, |item| {
        item.to == Neighbour::SetterEdge && item.gap_mm >= 0.0
    });
}

fn part_touches_setter_above(facts: &Facts, report: &mut Report) {
    unknown_lifts(facts, report);
    touching(facts, report, |to| matches!(to, Neighbour::SetterAbove(_)));
}

fn head_room_low(facts: &Facts, report: &mut Report) {
    unknown_lifts(facts, report);
    let limits = limits(facts, report, "head-room-min");
    hold_near(facts, report, &limits, |item| {
        matches!(item.to, Neighbour::SetterAbove(_)) && item.gap_mm > 0.0
    });
}

fn part_touches_roof(facts: &Facts, report: &mut Report) {
    unknown_lifts(facts, report);
    touching(facts, report, |to| *to == Neighbour::Roof);
}

fn roof_room_low(facts: &Facts, report: &mut Report) {
    unknown_lifts(facts, report);
    let limits = limits(facts, report, "roof-clearance-min");
    hold_near(facts, report, &limits, |item| {
        item.to == Neighbour::Roof && item.gap_mm > 0.0
    });
}

fn part_touches_post(facts: &Facts, report: &mut Report) {
    touching(facts, report, |to| matches!(to, Neighbour::Post(_)));
}

fn part_near_post(facts: &Facts, report: &mut Report) {
    let limits = gap_limits(facts, report);
    hold_near(facts, report, &limits, |item| {
        matches!(item.to, Neighbour::Post(_)) && item.gap_mm > 0.0
    });
}

fn part_in_forbidden_spot(facts: &Facts, report: &mut Report) {
    unknown_lifts(facts, report);
    touching(facts, report, |to| matches!(to, Neighbour::Spot(_)));
}

fn part_near_thermocouple(facts: &Facts, report: &mut Report) {
    unknown_lifts(facts, report);
    // Touching is only the nearest of being near: this check says both.
    let limits = limits(facts, report, "sensor-clearance-min");
    hold_near(facts, report, &limits, |item| {
        matches!(item.to, Neighbour::Sensor(_))
    });
}

fn work_zone_only_part_outside(facts: &Facts, report: &mut Report) {
    outside_work_zone(facts, report, true);
}

fn part_outside_work_zone(facts: &Facts, report: &mut Report) {
    outside_work_zone(facts, report, false);
}

/// One finding for each part record of which a piece reaches out of the work zone.
fn outside_work_zone(facts: &Facts, report: &mut Report, only: bool) {
    unknown_lifts(facts, report);
    let Some(clearances) = clearances_with_heights(facts, report) else {
        return;
    };
    let mut outside: BTreeMap<u32, Vec<&ItemGap>> = BTreeMap::new();
    for item in &clearances.items {
        let placement = facts.placement(item.placement);
        if let Some(part) = placement.and_then(|p| p.item.part())
            && item.to == Neighbour::WorkZone
            && item.gap_mm < 0.0
        {
            outside.entry(part.0).or_default().push(item);
        }
    }
    for placed in facts
        .placed
        .iter()
        .filter(|p| p.part.work_zone_only == only)
    {
        let Some(items) = outside.get(&placed.part.id.0) else {
            continue;
        };
        let worst = items.iter().map(|item| item.gap_mm).fold(0.0, f64::min);
        report.found(
            vec![Subject::Part(placed.part.id)],
            vec![
                ("part", text(&placed.part.name)),
                ("count", Arg::Count(items.len())),
                ("of", Arg::Count(placed.pieces)),
                ("out", number(Length, -worst, 1)),
            ],
        );
    }
}

/// Gaps of setters to one kind of neighbour, stack by stack, smallest first.
pub(super) fn setters_near<'f>(
    facts: &'f Facts,
    report: &mut Report,
    wanted: impl Fn(&SetterGap) -> bool,
) -> Vec<Vec<&'f SetterGap>> {
    let Some(clearances) = clearances_with_heights(facts, report) else {
        return Vec::new();
    };
    let mut stacks: BTreeMap<StackId, Vec<&SetterGap>> = BTreeMap::new();
    for gap in clearances.setters.iter().filter(|gap| wanted(gap)) {
        if let Some((stack, _)) = facts.plan.level(gap.level) {
            stacks.entry(stack.id).or_default().push(gap);
        }
    }
    let mut groups: Vec<Vec<&SetterGap>> = stacks.into_values().collect();
    for group in &mut groups {
        group.sort_by(|a, b| a.gap_mm.total_cmp(&b.gap_mm));
    }
    groups
}

pub(super) fn setter_args(
    facts: &Facts,
    group: &[&SetterGap],
) -> (Vec<Subject>, Vec<(&'static str, Arg)>) {
    let subjects = group.iter().map(|gap| Subject::Level(gap.level)).collect();
    let worst = group.first();
    let label = worst.map_or_else(String::new, |w| facts.plan.level_label(w.level));
    let to = worst.map_or_else(String::new, |w| match &w.to {
        SetterNeighbour::Spot(id) => facts
            .furnace
            .and_then(|f| f.forbidden.iter().find(|spot| spot.id == *id))
            .map_or_else(|| id.clone(), |spot| spot.name.clone()),
        SetterNeighbour::Setter(level) => facts.plan.level_label(*level),
        SetterNeighbour::Sensor(id) => id.clone(),
        SetterNeighbour::HotZone | SetterNeighbour::Roof => String::new(),
    });
    let args = vec![
        ("level", text(label)),
        ("more", text(and_more(group.len()))),
        ("to", text(to)),
        ("out", number(Length, worst.map_or(0.0, |w| -w.gap_mm), 1)),
    ];
    (subjects, args)
}

/// Reports each stack of which a setter touches or stands out.
fn setters_touching(facts: &Facts, report: &mut Report, wanted: impl Fn(&SetterGap) -> bool) {
    for group in setters_near(facts, report, wanted) {
        let (subjects, args) = setter_args(facts, &group);
        report.found(subjects, args);
    }
}

fn setter_in_forbidden_spot(facts: &Facts, report: &mut Report) {
    setters_touching(facts, report, |gap| {
        matches!(gap.to, SetterNeighbour::Spot(_)) && gap.gap_mm <= 0.0
    });
}

fn setter_outside_hot_zone(facts: &Facts, report: &mut Report) {
    setters_touching(facts, report, |gap| {
        gap.to == SetterNeighbour::HotZone && gap.gap_mm < 0.0
    });
}

fn setter_touches_roof(facts: &Facts, report: &mut Report) {
    setters_touching(facts, report, |gap| {
        gap.to == SetterNeighbour::Roof && gap.gap_mm <= 0.0
    });
}

fn setters_of_stacks_touch(facts: &Facts, report: &mut Report) {
    setters_touching(facts, report, |gap| {
        matches!(gap.to, SetterNeighbour::Setter(_)) && gap.gap_mm <= 0.0
    });
}

fn setter_near_hot_zone_boundary(facts: &Facts, report: &mut Report) {
    let Some(limit) = limit(facts, report, "hot-zone-margin") else {
        return;
    };
    let near = |gap: &SetterGap| {
        gap.to == SetterNeighbour::HotZone && (0.0..limit.value).contains(&gap.gap_mm)
    };
    for group in setters_near(facts, report, near) {
        if let Some(worst) = group.first() {
            let measured = at_least(Length, worst.gap_mm, 1);
            let (subjects, args) = setter_args(facts, &group);
            report.hold(subjects, measured, limit, args);
        }
    }
}
