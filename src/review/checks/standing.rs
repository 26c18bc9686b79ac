//! Furniture: whether parts, levels and stacks stand, and what plates bear.

use super::common::{furniture, limit, limit_for, unknown_masses, with_records};
use crate::catalogue::Severity::{Caution, Stop};
use crate::load::PartRecords;
use crate::review::facts::{Facts, PlacedPart};
use crate::review::facts_limits::{from_record, scaled};
use crate::review::finding::{Check, Report, Sense, Subject, at_least, at_most, number, text};
use crate::statics::{LevelBalance, OnPosts, RestsOn, Tipping};
use crate::text::findings::Arg;
use crate::text::missing;
use crate::text::{limits, phrases};
use crate::units::Quantity::{Angle, Fraction, Length, Mass, Number, Stress, Temperature};

/// Checks of standing and bearing.
pub const CHECKS: &[Check] = &[
    furniture(Stop, "part-may-roll", &[], part_may_roll),
    furniture(Stop, "part-falls-over", &[], part_falls_over),
    furniture(
        Stop,
        "part-too-slender",
        &["tip-slenderness-stop"],
        part_too_slender,
    ),
    furniture(
        Caution,
        "part-may-tip",
        &[
            "tip-slenderness-caution",
            "tip-slenderness-stop",
            "tip-angle-min",
        ],
        part_may_tip,
    ),
    furniture(Caution, "foot-narrow", &["foot-width-min"], foot_narrow),
    furniture(
        Stop,
        "centre-of-mass-outside-posts",
        &[],
        centre_of_mass_outside_posts,
    ),
    furniture(
        Stop,
        "centre-of-mass-near-post-edge",
        &["centre-of-mass-inside-min"],
        centre_of_mass_near_post_edge,
    ),
    furniture(
        Stop,
        "stack-out-of-balance",
        &["stack-centre-middle-share"],
        stack_out_of_balance,
    ),
    furniture(
        Stop,
        "mass-over-setter-rating",
        &[],
        mass_over_setter_rating,
    ),
    furniture(
        Stop,
        "plate-stress-too-high",
        &["plate-stress-stop"],
        plate_stress_too_high,
    ),
    furniture(
        Caution,
        "plate-stress-high",
        &["plate-stress-caution", "plate-stress-stop"],
        plate_stress_high,
    ),
];

/// Parts with records, and how each stands green and sintered. What pins carry is said as not
/// evaluated: nobody has said where they stand, and a foot is no pin.
fn standing<'a>(
    facts: &Facts<'a>,
    report: &mut Report,
) -> Vec<(PlacedPart<'a>, PartRecords<'a>, [Tipping; 2])> {
    let mut found = Vec::new();
    for (placed, records) in with_records(facts, report) {
        if placed.on_pins > 0 {
            report.missing(vec![Subject::Part(placed.part.id)], missing::pin_places());
        }
        if placed.part.outline_only() {
            let what = missing::centre_of(&placed.part.name);
            report.missing(vec![Subject::Part(placed.part.id)], what);
        }
        if let Some(stands) = placed.stands.filter(|_| placed.on_pins < placed.pieces) {
            found.push((placed, records, stands));
        }
    }
    found
}

/// Those that stand on a foot with an area: whether the others stand is another check's question.
fn footed<'a>(
    facts: &Facts<'a>,
    report: &mut Report,
) -> Vec<(PlacedPart<'a>, PartRecords<'a>, [Tipping; 2])> {
    let mut parts = standing(facts, report);
    parts.retain(|(_, _, stands)| stands.iter().all(|s| s.rests_on == RestsOn::Area));
    parts
}

fn args(placed: &PlacedPart) -> Vec<(&'static str, Arg)> {
    vec![
        ("part", text(&placed.part.name)),
        ("count", Arg::Count(placed.pieces)),
    ]
}

fn part_may_roll(facts: &Facts, report: &mut Report) {
    for (placed, _, stands) in standing(facts, report) {
        let on = stands.iter().map(|s| s.rests_on);
        if let Some(on) = on.into_iter().find(|on| *on != RestsOn::Area) {
            let on = match on {
                RestsOn::Line => phrases::on_line(),
                RestsOn::Point => phrases::on_point(),
                RestsOn::Area | RestsOn::Nothing => phrases::on_nothing(),
            };
            let args = [args(&placed), vec![("on", text(on))]].concat();
            report.found(vec![Subject::Part(placed.part.id)], args);
        }
    }
}

/// The stage at which the centre of mass lies nearest to the edge of the foot, or farthest out.
fn worst(stands: &[Tipping; 2]) -> &Tipping {
    let [green, sintered] = stands;
    if sintered.tip_angle_deg < green.tip_angle_deg {
        sintered
    } else {
        green
    }
}

fn part_falls_over(facts: &Facts, report: &mut Report) {
    for (placed, _, stands) in footed(facts, report) {
        let out = -worst(&stands).nearest_edge_mm;
        if out > 0.0 {
            let args = [args(&placed), vec![("out", number(Length, out, 1))]].concat();
            report.found(vec![Subject::Part(placed.part.id)], args);
        }
    }
}

fn slenderness(stands: &[Tipping; 2]) -> Option<f64> {
    stands.iter().filter_map(|s| s.slenderness).reduce(f64::max)
}

fn part_too_slender(facts: &Facts, report: &mut Report) {
    for (placed, records, stands) in footed(facts, report) {
        let Some(limit) = limit_for(
            facts,
            report,
            "tip-slenderness-stop",
            &records,
            Sense::AtMost,
        ) else {
            continue;
        };
        if let Some(slenderness) = slenderness(&stands) {
            report.hold(
                vec![Subject::Part(placed.part.id)],
                at_most(Number, slenderness, 1),
                limit,
                args(&placed),
            );
        }
    }
}

/// Says what the other two do not: not too slender to run, and its centre over its foot.
fn part_may_tip(facts: &Facts, report: &mut Report) {
    for (placed, records, stands) in footed(facts, report) {
        let slim = limit_for(
            facts,
            report,
            "tip-slenderness-caution",
            &records,
            Sense::AtMost,
        );
        let angle = limit_for(facts, report, "tip-angle-min", &records, Sense::AtLeast);
        let (Some(slim), Some(angle)) = (slim, angle) else {
            continue;
        };
        let stop = facts.limit_for("tip-slenderness-stop", &records, Sense::AtMost);
        let slenderness = slenderness(&stands);
        let tip_deg = worst(&stands).tip_angle_deg;
        let beyond = slenderness
            .zip(stop)
            .is_some_and(|(s, stop)| s > stop.value);
        if beyond || tip_deg < 0.0 {
            continue;
        }
        let subject = vec![Subject::Part(placed.part.id)];
        let mut args = args(&placed);
        match slenderness.filter(|s| *s > slim.value) {
            Some(slenderness) if tip_deg >= angle.value => {
                args.push(("what", text(phrases::slenderness())));
                report.hold(subject, at_most(Number, slenderness, 1), slim, args);
            }
            _ => {
                args.push(("what", text(phrases::tipping_angle())));
                report.hold(subject, at_least(Angle, tip_deg, 1), angle, args);
            }
        }
    }
}

fn foot_narrow(facts: &Facts, report: &mut Report) {
    for (placed, records, [_, sintered]) in footed(facts, report) {
        let Some(limit) = limit_for(facts, report, "foot-width-min", &records, Sense::AtLeast)
        else {
            continue;
        };
        report.hold(
            vec![Subject::Part(placed.part.id)],
            at_least(Length, sintered.foot_width_mm, 1),
            limit,
            args(&placed),
        );
    }
}

/// Levels on posts; says where masses are not known.
fn on_posts<'f>(facts: &'f Facts, report: &mut Report) -> Vec<(&'f LevelBalance, &'f OnPosts)> {
    let mut found = Vec::new();
    for level in facts.balances.values().flat_map(|stack| &stack.levels) {
        if let Some(posts) = level.on_posts.as_ref().filter(|p| p.posts > 0) {
            unknown_masses(report, level.level, level.carried.unknown);
            found.push((level, posts));
        }
    }
    found
}

fn centre_of_mass_outside_posts(facts: &Facts, report: &mut Report) {
    for (level, posts) in on_posts(facts, report) {
        let out = posts.inside_mm.map(|mm| -mm).filter(|out| *out > 0.0);
        let how = match (posts.inside_share, out) {
            (None, _) => phrases::posts_in_line().to_owned(),
            (Some(_), Some(out)) => phrases::outside_posts(&number(Length, out, 1)),
            (Some(_), None) => continue,
        };
        let label = facts.plan.level_label(level.level);
        report.found(
            vec![Subject::Level(level.level)],
            vec![
                ("level", text(label)),
                ("mass", number(Mass, level.carried.mass_g, 0)),
                ("how", text(how)),
            ],
        );
    }
}

fn centre_of_mass_near_post_edge(facts: &Facts, report: &mut Report) {
    let Some(limit) = limit(facts, report, "centre-of-mass-inside-min") else {
        return;
    };
    for (level, posts) in on_posts(facts, report) {
        // Outside, and posts in line, are the other check's.
        let Some(share) = posts.inside_share.filter(|share| *share >= 0.0) else {
            continue;
        };
        let label = facts.plan.level_label(level.level);
        report.hold(
            vec![Subject::Level(level.level)],
            at_least(Fraction, share, 0),
            limit,
            vec![("level", text(label))],
        );
    }
}

fn stack_out_of_balance(facts: &Facts, report: &mut Report) {
    let Some(limit) = limit(facts, report, "stack-centre-middle-share") else {
        return;
    };
    for run in facts.balances.values().flat_map(|stack| &stack.runs) {
        unknown_masses(report, run.from, run.centre.unknown);
        let subject = vec![Subject::Stack(run.stack), Subject::Level(run.from)];
        let Some(share) = run.share_of_way_out else {
            report.missing(subject, missing::base());
            continue;
        };
        report.hold(
            subject,
            at_most(Fraction, share, 0),
            limit,
            vec![
                ("stack", text(Subject::Stack(run.stack).label(facts.plan))),
                ("levels", Arg::Count(run.levels)),
                ("mass", number(Mass, run.centre.mass_g, 0)),
            ],
        );
    }
}

fn mass_over_setter_rating(facts: &Facts, report: &mut Report) {
    for tally in &facts.tally.levels {
        let subject = vec![Subject::Level(tally.level)];
        let level = facts.plan.level(tally.level).map(|(_, level)| level);
        let setter = level.and_then(|level| facts.catalogue.setter(&level.setter));
        let Some(setter) = setter else {
            report.missing(subject, missing::setter_record());
            continue;
        };
        unknown_masses(report, tally.level, tally.sums.unknown);
        let limit = from_record(
            setter.as_ref(),
            "rated_load_kg",
            limits::plate_mass(),
            setter.rated_load_kg,
            "kg",
        );
        report.hold(
            subject,
            at_most(Mass, tally.on_plate_g, 0),
            &scaled(&limit, 1000.0, "g"),
            vec![
                ("level", text(facts.plan.level_label(tally.level))),
                ("setter", text(&setter.name)),
            ],
        );
    }
}

fn plate_stress_too_high(facts: &Facts, report: &mut Report) {
    plate_stress(facts, report, "plate-stress-stop", None);
}

fn plate_stress_high(facts: &Facts, report: &mut Report) {
    plate_stress(
        facts,
        report,
        "plate-stress-caution",
        Some("plate-stress-stop"),
    );
}

/// Holds the bending stress of each setter against a limit, unless it is beyond the one that
/// stops.
fn plate_stress(facts: &Facts, report: &mut Report, id: &str, stop: Option<&str>) {
    let Some(limit) = limit(facts, report, id) else {
        return;
    };
    let stop = stop.and_then(|id| facts.limit(id));
    for (level, found) in &facts.bending {
        let subject = vec![Subject::Level(*level)];
        let bending = match found {
            Ok(bending) => bending,
            Err(fault) => {
                report.missing(subject, fault.to_string());
                continue;
            }
        };
        if bending.more_above {
            let what = missing::load_from_above();
            report.missing(subject.clone(), what);
        }
        let stress = bending.bent.stress_mpa;
        if stop.is_some_and(|stop| stress > stop.value) {
            continue;
        }
        report.hold(
            subject,
            at_most(Stress, stress, 2),
            limit,
            vec![
                ("level", text(facts.plan.level_label(*level))),
                ("at", number(Temperature, bending.at_c, 0)),
                ("formula", text(bending.case.formula())),
            ],
        );
    }
}
