//! Geometry and clearances.

use crate::catalogue::Severity::{Caution, Stop};
use crate::load::Neighbour;
use crate::part::SizeStage;
use crate::review::facts::Facts;
use crate::review::finding::{Check, Family, Report, Subject, at_least, number, text};
use crate::units::Quantity::Length;

const BASE: Check = Check {
    slug: "",
    family: Family::Geometry,
    severity: Stop,
    on: true,
    safety: false,
    limits: &[],
    run: |_, _| {},
};

/// The family's checks.
pub const CHECKS: &[Check] = &[
    Check {
        slug: "parts-touching",
        run: parts_touching,
        ..BASE
    },
    Check {
        slug: "gap-too-small",
        severity: Caution,
        limits: &["gap-min", "placing-tolerance-factor"],
        run: gap_too_small,
        ..BASE
    },
    Check {
        slug: "part-over-setter-edge",
        run: part_over_setter_edge,
        ..BASE
    },
];

/// Stages of a gap in words.
fn stages(stages: (SizeStage, SizeStage)) -> String {
    if stages.0 == stages.1 {
        stages.0.word().to_owned()
    } else {
        format!("one {}, the other {}", stages.0.word(), stages.1.word())
    }
}

fn parts_touching(facts: &Facts, report: &mut Report) {
    let Some(clearances) = &facts.clearances else {
        return report.missing(vec![Subject::Furnace], "the furnace record");
    };
    for id in &clearances.without_body {
        report.missing(
            vec![Subject::Placement(*id)],
            "the feedstock or material record",
        );
    }
    for gap in clearances.pairs.iter().filter(|gap| gap.gap_mm <= 0.0) {
        let plan = facts.plan;
        report.found(
            vec![Subject::Placement(gap.a), Subject::Placement(gap.b)],
            vec![
                ("a", text(plan.placement_label(gap.a))),
                ("b", text(plan.placement_label(gap.b))),
                ("stage", text(stages(gap.stages))),
            ],
        );
    }
}

fn gap_too_small(facts: &Facts, report: &mut Report) {
    let Some(clearances) = &facts.clearances else {
        return report.missing(vec![Subject::Furnace], "the furnace record");
    };
    let Some(limit) = &facts.gap_limit else {
        return report.missing(vec![Subject::Load], "the limit gap-min");
    };
    for id in &clearances.without_body {
        report.missing(
            vec![Subject::Placement(*id)],
            "the feedstock or material record",
        );
    }
    for gap in clearances.pairs.iter().filter(|gap| gap.gap_mm > 0.0) {
        let green = gap.green_mm.map_or_else(
            || "more than the limit".to_owned(),
            |g| number(Length, g, 2).to_string(),
        );
        report.hold(
            vec![Subject::Placement(gap.a), Subject::Placement(gap.b)],
            at_least(Length, gap.gap_mm, 2),
            limit,
            vec![
                ("a", text(facts.plan.placement_label(gap.a))),
                ("b", text(facts.plan.placement_label(gap.b))),
                ("stage", text(stages(gap.stages))),
                ("green", text(green)),
            ],
        );
    }
}

fn part_over_setter_edge(facts: &Facts, report: &mut Report) {
    let Some(clearances) = &facts.clearances else {
        return report.missing(vec![Subject::Furnace], "the furnace record");
    };
    for level in &clearances.without_height {
        report.missing(
            vec![Subject::Level(*level)],
            "the setter record or what carries it",
        );
    }
    let over = |to: &Neighbour, gap: f64| *to == Neighbour::SetterEdge && gap < 0.0;
    for item in clearances
        .items
        .iter()
        .filter(|item| over(&item.to, item.gap_mm))
    {
        report.found(
            vec![Subject::Placement(item.placement)],
            vec![
                ("a", text(facts.plan.placement_label(item.placement))),
                ("over", number(Length, -item.gap_mm, 1)),
                ("stage", text(item.stage.word())),
            ],
        );
    }
}
