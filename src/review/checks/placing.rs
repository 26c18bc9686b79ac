//! Geometry and furniture: where mass, marks, thermocouples and posts are put, and what the gas
//! finds free.

use super::common::{check, clearances_with_heights, limit, off, unknown_lifts};
use super::geometry::{setter_args, setters_near};
use crate::catalogue::Severity::{Caution, Note, Stop};
use crate::load::{Item, PlacementId, SetterNeighbour, gas_paths};
use crate::review::facts::Facts;
use crate::review::facts_furniture::over_no_post;
use crate::review::finding::{Check, Family, Report, Subject, at_least, at_most, number, text};
use crate::statics::load_sides;
use crate::text::findings::Arg;
use crate::text::{missing, order, unmeasured as lacks};
use crate::units::Quantity::{Fraction, Length, Mass};
use std::collections::BTreeMap;

/// Checks of places.
pub const CHECKS: &[Check] = &[
    off(check(
        Family::Mass,
        Note,
        "load-off-centre",
        &["asymmetry-max"],
        load_off_centre,
    )),
    check(
        Family::Records,
        Stop,
        "coupon-mark-twice",
        &[],
        coupon_mark_twice,
    ),
    check(
        Family::Geometry,
        Stop,
        "thermocouple-placed-twice",
        &[],
        thermocouple_placed_twice,
    ),
    check(
        Family::Furniture,
        Stop,
        "post-over-no-post",
        &[],
        post_over_no_post,
    ),
    check(
        Family::Mass,
        Caution,
        "gas-path-narrow",
        &["gas-path-free-min"],
        gas_path_narrow,
    ),
    check(
        Family::Geometry,
        Caution,
        "setter-near-thermocouple",
        &["sensor-clearance-min"],
        setter_near_thermocouple,
    ),
];

fn load_off_centre(facts: &Facts, report: &mut Report) {
    let Some(limit) = limit(facts, report, "asymmetry-max") else {
        return;
    };
    let sides = load_sides(facts.plan, facts.catalogue, &facts.sizes);
    if sides.unknown > 0 {
        report.missing(vec![Subject::Load], missing::masses_of_load());
    }
    let halves = [
        (sides.right, order::left(), order::right()),
        (sides.back, order::door(), order::back()),
    ];
    for (leans, less, more) in halves {
        let side = if leans < 0.0 { less } else { more };
        let args = vec![
            ("side", text(side)),
            ("mass", number(Mass, sides.mass_g, 0)),
        ];
        let subjects = vec![Subject::Load, Subject::Named(side.to_owned())];
        report.hold(subjects, at_most(Fraction, leans.abs(), 0), limit, args);
    }
}

/// Placements that bear the same name; the nameless apart.
fn named_alike<'a>(
    facts: &'a Facts,
    name: impl Fn(&'a Item) -> Option<&'a str>,
) -> (BTreeMap<&'a str, Vec<PlacementId>>, Vec<PlacementId>) {
    let mut all: BTreeMap<&str, Vec<PlacementId>> = BTreeMap::new();
    for (_, placement) in facts.plan.placements() {
        if let Some(name) = name(&placement.item) {
            all.entry(name.trim()).or_default().push(placement.id);
        }
    }
    let nameless = all.remove("").unwrap_or_default();
    all.retain(|_, ids| ids.len() > 1);
    (all, nameless)
}

fn placements(ids: &[PlacementId]) -> Vec<Subject> {
    ids.iter().map(|id| Subject::Placement(*id)).collect()
}

fn coupon_mark_twice(facts: &Facts, report: &mut Report) {
    let (twice, nameless) = named_alike(facts, |item| match item {
        Item::Coupon { label, .. } => Some(label),
        Item::Part { .. } | Item::Dummy { .. } | Item::Sensor { .. } => None,
    });
    for id in nameless {
        report.missing(placements(&[id]), lacks::coupon_mark());
    }
    for (mark, ids) in twice {
        let args = vec![("mark", text(mark)), ("count", Arg::Count(ids.len()))];
        report.found(placements(&ids), args);
    }
}

fn thermocouple_placed_twice(facts: &Facts, report: &mut Report) {
    let (twice, nameless) = named_alike(facts, |item| match item {
        Item::Sensor { sensor, .. } => Some(sensor),
        Item::Part { .. } | Item::Dummy { .. } | Item::Coupon { .. } => None,
    });
    for id in nameless {
        report.missing(placements(&[id]), lacks::thermocouple_name());
    }
    for (sensor, ids) in twice {
        let args = vec![("sensor", text(sensor)), ("count", Arg::Count(ids.len()))];
        report.found(placements(&ids), args);
    }
}

fn post_over_no_post(facts: &Facts, report: &mut Report) {
    for stack in &facts.plan.load.stacks {
        for line in over_no_post(stack, facts.catalogue) {
            let subject = vec![Subject::Level(line.level)];
            let label = facts.plan.level_label(line.level);
            match line.worst {
                None => report.missing(subject, missing::post_record()),
                Some((count, offset_mm)) => report.found(
                    subject,
                    vec![
                        ("level", text(label)),
                        ("count", Arg::Count(count)),
                        ("offset", number(Length, offset_mm, 1)),
                    ],
                ),
            }
        }
    }
}

fn gas_path_narrow(facts: &Facts, report: &mut Report) {
    let Some(limit) = limit(facts, report, "gas-path-free-min") else {
        return;
    };
    unknown_lifts(facts, report);
    let Some(_) = clearances_with_heights(facts, report) else {
        return;
    };
    let Some(furnace) = facts.furnace else {
        return;
    };
    for stack in &facts.plan.load.stacks {
        let heights = facts.heights.get(&stack.id).map_or(&[][..], Vec::as_slice);
        for path in gas_paths(stack, heights, facts.catalogue, furnace, &facts.sizes) {
            // Which way the gas goes is in no record, so the narrower way counts.
            let (free, from) = if path.from_side < path.from_door {
                (path.from_side, order::from_side())
            } else {
                (path.from_door, order::from_door())
            };
            let args = vec![
                ("level", text(facts.plan.level_label(path.level))),
                ("from", text(from)),
            ];
            let subject = vec![Subject::Level(path.level)];
            report.hold(subject, at_least(Fraction, free, 1), limit, args);
        }
    }
}

fn setter_near_thermocouple(facts: &Facts, report: &mut Report) {
    let Some(limit) = limit(facts, report, "sensor-clearance-min") else {
        return;
    };
    let near = setters_near(facts, report, |gap| {
        matches!(gap.to, SetterNeighbour::Sensor(_)) && gap.gap_mm < limit.value
    });
    for group in near {
        if let Some(worst) = group.first() {
            let measured = at_least(Length, worst.gap_mm, 1);
            let (subjects, args) = setter_args(facts, &group);
            report.hold(subjects, measured, limit, args);
        }
    }
}
