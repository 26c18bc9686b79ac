//! Furniture: setters, posts and supports: temperature, contact, places and stock.

use super::common::{furniture, limit, off, unknown_masses};
use crate::catalogue::Severity::{Caution, Note, Stop};
use crate::catalogue::{Kind, LimitScope, Material, SupportKind};
use crate::load::{Carrier, Level, OnMaterial, PartRecords, Placement, contact_material};
use crate::profile::{EventAt, EventKind};
use crate::review::facts::Facts;
use crate::review::facts_furniture::{over_no_post, post_inside_mm};
use crate::review::facts_limits::{as_share, from_shop, scaled};
use crate::review::finding::{Check, Report, Subject, at_least, at_most, number, text};
use crate::statics::post_lines;
use crate::text::findings::Arg;
use crate::text::{limits, missing, phrases, unmeasured as lacks};
use crate::units::Quantity::{Fraction, Length, Mass, Number, Temperature, TemperatureDifference};
use std::collections::{BTreeMap, BTreeSet};

/// Checks of setters, posts and supports.
pub const CHECKS: &[Check] = &[
    furniture(
        Stop,
        "setter-temperature",
        &["setter-temperature-margin"],
        setter_temperature,
    ),
    furniture(
        Stop,
        "setter-material-refused",
        &[],
        setter_material_refused,
    ),
    furniture(
        Stop,
        "silica-in-dry-hydrogen",
        &["silica-max", "silica-from-c"],
        silica_in_dry_hydrogen,
    ),
    furniture(Stop, "too-few-posts", &["posts-min"], too_few_posts),
    furniture(
        Caution,
        "posts-not-in-line",
        &["post-line-offset-max"],
        posts_not_in_line,
    ),
    furniture(
        Caution,
        "post-too-slim",
        &["post-slenderness-max"],
        post_too_slim,
    ),
    furniture(Stop, "post-outside-setter", &[], post_outside_setter),
    furniture(Stop, "setters-out-of-stock", &[], setters_out_of_stock),
    furniture(Stop, "posts-out-of-stock", &[], posts_out_of_stock),
    furniture(Stop, "supports-out-of-stock", &[], supports_out_of_stock),
    off(furniture(
        Note,
        "furniture-heavy",
        &["furniture-ratio"],
        furniture_heavy,
    )),
    furniture(
        Note,
        "level-heavy-to-lift",
        &["level-mass-lift"],
        level_heavy_to_lift,
    ),
];

/// A record as what a finding is about.
pub(in crate::review) fn record(kind: &str, id: &str) -> Subject {
    Subject::Named(format!("{kind} {id}"))
}

fn setter_temperature(facts: &Facts, report: &mut Report) {
    let Some(limit) = limit(facts, report, "setter-temperature-margin") else {
        return;
    };
    let catalogue = facts.catalogue;
    // No record says how hot a support may get. A raft is the part's own feedstock.
    for id in facts.plan.supports_used().into_keys() {
        let subject = vec![record("support", id)];
        match facts.catalogue.support(id) {
            None => report.missing(subject, missing::record_of("support")),
            Some(support) if support.kind == SupportKind::Raft => {}
            Some(support) => report.missing(subject, lacks::rated_temperature_of(&support.name)),
        }
    }
    let setters = facts.plan.setters_used().into_keys().map(|id| {
        let rated = catalogue.setter(id).map(|s| (s.name.as_str(), s.rated_c));
        ("setter", id, rated)
    });
    let posts = facts.plan.posts_used().into_keys().map(|id| {
        let rated = catalogue.post(id).map(|p| (p.name.as_str(), p.rated_c));
        ("post", id, rated)
    });
    // The hottest place counts, as far as something is known of it.
    let (hotter_k, known) = facts.hottest_at_peak().unwrap_or_default();
    let hot_c = facts.peak_c + hotter_k;
    for (kind, id, rated) in setters.chain(posts) {
        let subject = vec![record(kind, id)];
        let Some((name, rated_c)) = rated else {
            report.missing(subject, missing::record_of(kind));
            continue;
        };
        if !known && rated_c - hot_c >= limit.value {
            report.missing(subject, missing::survey_hottest());
            continue;
        }
        report.hold(
            subject,
            at_least(TemperatureDifference, rated_c - hot_c, 0),
            limit,
            vec![
                ("name", text(name)),
                ("rated", number(Temperature, rated_c, 0)),
                ("hot", number(Temperature, hot_c, 0)),
            ],
        );
    }
}

/// Material under a placement; what is missing where a record is unknown.
fn touched<'a>(
    facts: &Facts<'a>,
    level: &Level,
    placement: &Placement,
) -> Result<&'a str, &'static str> {
    let setter = facts.catalogue.setter(&level.setter);
    let setter = setter.ok_or(missing::setter_record())?;
    let support = match &placement.support {
        None => None,
        Some(id) => Some(
            facts
                .catalogue
                .support(id)
                .ok_or(missing::support_record())?,
        ),
    };
    Ok(contact_material(setter, support.map(AsRef::as_ref)))
}

fn setter_material_refused(facts: &Facts, report: &mut Report) {
    let records: BTreeMap<u32, Option<PartRecords>> = facts
        .placed
        .iter()
        .map(|placed| (placed.part.id.0, placed.records))
        .collect();
    let mut pairs: BTreeMap<(u32, &str), usize> = BTreeMap::new();
    let mut missing: BTreeSet<(Subject, &str)> = BTreeSet::new();
    for (level, placement) in facts.plan.placements() {
        let Some(part) = placement.item.part() else {
            continue;
        };
        match touched(facts, level, placement) {
            Ok(material) => *pairs.entry((part.0, material)).or_default() += 1,
            Err(what) => {
                missing.insert((Subject::Level(level.id), what));
            }
        }
        if let Some(None) = records.get(&part.0) {
            missing.insert((Subject::Part(part), missing::part_records()));
        }
    }
    for (subject, what) in missing {
        report.missing(vec![subject], what);
    }
    for ((part, material), count) in pairs {
        let Some(Some(records)) = records.get(&part) else {
            continue;
        };
        let subject = vec![Subject::Part(records.part.id)];
        let why = match records.on_material(material) {
            OnMaterial::RefusedByAlloy => phrases::must_not_touch(&records.alloy.name),
            OnMaterial::NotListed => phrases::does_not_list(&records.feedstock.name),
            OnMaterial::Unknown => {
                report.missing(subject, missing::setter_materials());
                continue;
            }
            OnMaterial::Listed => continue,
        };
        let name = facts.catalogue.material(material).map(|m| m.name.as_str());
        report.found(
            [subject, vec![record("material", material)]].concat(),
            vec![
                ("part", text(&records.part.name)),
                ("count", Arg::Count(count)),
                ("material", text(name.unwrap_or(material))),
                ("why", text(why)),
            ],
        );
    }
}

/// Highest setpoint over which there is hydrogen, °C: in a segment's gas, let in by a backfill, or
/// switched on by an event; none where there is none.
fn hottest_hydrogen_c(facts: &Facts) -> Option<f64> {
    let hydrogen = |slug: &str| {
        let gas = facts.catalogue.gas(slug);
        gas.is_some_and(|g| g.hydrogen_share > 0.0)
    };
    let over = facts.gases_over().into_iter();
    let over = over.filter(|o| hydrogen(o.slug)).map(|o| o.high_c);
    over.chain(hydrogen_switched_on_c(facts)).reduce(f64::max)
}

fn hydrogen_switched_on_c(facts: &Facts) -> Vec<f64> {
    let mut on = false;
    let mut at_c = Vec::new();
    for step in facts.steps() {
        let mut events = |at: EventAt, here_c: f64| {
            for event in step.segment.events.iter().filter(|e| e.at == at) {
                match event.kind {
                    EventKind::HydrogenOn => {
                        on = true;
                        at_c.push(here_c);
                    }
                    EventKind::HydrogenOff => on = false,
                    _ => {}
                }
            }
            on
        };
        let through = events(EventAt::Start, step.from_c);
        events(EventAt::End, step.segment.to_c);
        if through {
            at_c.push(step.high_c());
        }
    }
    at_c
}

/// Slugs of all materials in the load's furniture.
fn materials_used<'a>(facts: &Facts<'a>) -> BTreeSet<&'a str> {
    let mut all: BTreeSet<&str> = BTreeSet::new();
    for id in facts.plan.setters_used().into_keys() {
        if let Some(setter) = facts.catalogue.setter(id) {
            all.insert(&setter.material);
            all.extend(setter.face_material.as_deref());
        }
    }
    for id in facts.plan.posts_used().into_keys() {
        all.extend(facts.catalogue.post(id).map(|p| p.material.as_str()));
    }
    for id in facts.plan.supports_used().into_keys() {
        let support = facts.catalogue.support(id);
        let support = support.filter(|s| s.kind != SupportKind::Raft);
        all.extend(support.map(|s| s.material.as_str()));
    }
    all
}

/// Says of which furniture nobody knows the material.
fn unknown_furniture(facts: &Facts, report: &mut Report) {
    let (plan, catalogue) = (facts.plan, facts.catalogue);
    let used = [
        (Kind::Setter, plan.setters_used()),
        (Kind::Post, plan.posts_used()),
        (Kind::Support, plan.supports_used()),
    ];
    for (kind, used) in used {
        for id in used.into_keys().filter(|id| !catalogue.has(kind, id)) {
            let subject = vec![record(kind.word(), id)];
            report.missing(subject, missing::record_of(kind.word()));
        }
    }
}

fn silica_in_dry_hydrogen(facts: &Facts, report: &mut Report) {
    for gas in facts.gas_slugs() {
        if facts.catalogue.gas(gas).is_none() {
            let subject = vec![Subject::Named(gas.to_owned())];
            report.missing(subject, missing::gas_record_of(gas));
        }
    }
    let Some(hottest_c) = hottest_hydrogen_c(facts) else {
        return;
    };
    let Some(from) = limit(facts, report, "silica-from-c") else {
        return;
    };
    let Some(most) = limit(facts, report, "silica-max").map(as_share) else {
        return;
    };
    if hottest_c <= from.value {
        return;
    }
    unknown_furniture(facts, report);
    for id in materials_used(facts) {
        let subject = vec![record("material", id)];
        let Some(material): Option<&Material> = facts.catalogue.material(id).map(AsRef::as_ref)
        else {
            report.missing(subject, missing::material_record());
            continue;
        };
        // Hotter, or with more standing on it, more of it is reduced.
        let levels = facts.plan.levels().count();
        let pieces: usize = facts.placed.iter().map(|p| p.pieces).sum();
        let beside = format!("{levels} {pieces} {}", facts.run_as_it_is());
        report.hold_beside(
            subject,
            (at_most(Fraction, material.silica_pct / 100.0, 1), beside),
            &most,
            vec![
                ("material", text(&material.name)),
                ("hottest", number(Temperature, hottest_c, 0)),
                ("from", number(Temperature, from.value, 0)),
            ],
        );
    }
}

fn too_few_posts(facts: &Facts, report: &mut Report) {
    let Some(limit) = limit(facts, report, "posts-min") else {
        return;
    };
    for (_, level) in facts.plan.levels() {
        if let Carrier::Posts { at_mm, .. } = &level.carrier {
            report.hold(
                vec![Subject::Level(level.id)],
                at_least(Number, at_mm.len() as f64, 0),
                limit,
                vec![("level", text(facts.plan.level_label(level.id)))],
            );
        }
    }
}

fn posts_not_in_line(facts: &Facts, report: &mut Report) {
    let Some(limit) = limit(facts, report, "post-line-offset-max") else {
        return;
    };
    for stack in &facts.plan.load.stacks {
        let lines = post_lines(stack);
        let beyond = over_no_post(stack, facts.catalogue);
        for level in &stack.levels {
            // Over no post at all is a check of its own.
            if beyond
                .iter()
                .any(|b| b.level == level.id && b.worst.is_some())
            {
                continue;
            }
            let mine = || lines.iter().filter(|line| line.level == level.id);
            let subject = vec![Subject::Level(level.id)];
            if mine().any(|line| line.offset_mm.is_none()) {
                let what = missing::what_posts_stand_on();
                report.missing(subject.clone(), what);
            }
            let off = |mm: &f64| *mm > limit.value;
            let count = mine().filter_map(|l| l.offset_mm).filter(off).count();
            let Some(worst) = mine().filter_map(|l| l.offset_mm).reduce(f64::max) else {
                continue;
            };
            report.hold(
                subject,
                at_most(Length, worst, 1),
                limit,
                vec![
                    ("level", text(facts.plan.level_label(level.id))),
                    ("count", Arg::Count(count)),
                ],
            );
        }
    }
}

fn post_too_slim(facts: &Facts, report: &mut Report) {
    let Some(limit) = limit(facts, report, "post-slenderness-max") else {
        return;
    };
    for (id, count) in facts.plan.posts_used() {
        let subject = vec![record("post", id)];
        let Some(post) = facts.catalogue.post(id) else {
            report.missing(subject, missing::post_record());
            continue;
        };
        report.hold(
            subject,
            at_most(Number, post.length_mm / post.diameter_mm, 1),
            limit,
            vec![("post", text(&post.name)), ("count", Arg::Count(count))],
        );
    }
}

fn post_outside_setter(facts: &Facts, report: &mut Report) {
    for stack in &facts.plan.load.stacks {
        let mut below: Option<&Level> = None;
        for level in &stack.levels {
            if let Carrier::Posts { post, at_mm } = &level.carrier {
                posts_of_level(facts, report, level, below, post, at_mm);
            }
            below = Some(level);
        }
    }
}

/// Posts of one level against the plate that they carry and the one that they stand on.
fn posts_of_level(
    facts: &Facts,
    report: &mut Report,
    level: &Level,
    below: Option<&Level>,
    post: &str,
    at_mm: &[[f64; 2]],
) {
    let subject = vec![Subject::Level(level.id)];
    let Some(post) = facts.catalogue.post(post) else {
        return report.missing(subject, missing::post_record());
    };
    let mut least: Vec<f64> = Vec::new();
    for (plate, stands_on_it) in [(Some(level), false), (below, true)] {
        let Some(plate) = plate else {
            continue;
        };
        let Some(setter) = facts.catalogue.setter(&plate.setter) else {
            report.missing(subject.clone(), missing::setter_record());
            continue;
        };
        // The rim of the plate above does not reach down to its posts.
        let rim = setter.rim.filter(|_| stands_on_it);
        let inside = |at: &[f64; 2]| post_inside_mm(&setter.shape, rim, post.diameter_mm, *at);
        least.extend(at_mm.iter().map(inside).reduce(f64::min));
    }
    let worst = least.into_iter().fold(0.0, f64::min);
    if worst < 0.0 {
        let label = facts.plan.level_label(level.id);
        report.found(
            subject,
            vec![("level", text(label)), ("over", number(Length, -worst, 1))],
        );
    }
}

fn setters_out_of_stock(facts: &Facts, report: &mut Report) {
    out_of_stock(facts, report, "setter", &facts.plan.setters_used());
}

fn posts_out_of_stock(facts: &Facts, report: &mut Report) {
    out_of_stock(facts, report, "post", &facts.plan.posts_used());
}

fn supports_out_of_stock(facts: &Facts, report: &mut Report) {
    out_of_stock(facts, report, "support", &facts.plan.supports_used());
}

fn out_of_stock(facts: &Facts, report: &mut Report, kind: &str, used: &BTreeMap<&str, usize>) {
    if used.is_empty() {
        return;
    }
    let Some(shop) = facts.shop else {
        return report.missing(vec![Subject::Load], missing::shop_stock());
    };
    for (id, count) in used {
        let subject = vec![record(kind, id)];
        let Some(stock) = shop.stock.iter().find(|s| s.id == *id) else {
            report.missing(subject, missing::stock_of(kind, id));
            continue;
        };
        let held = f64::from(stock.count);
        let key = format!("{id}.stock");
        let limit = from_shop(shop, LimitScope::Shop, key, limits::stock(), held);
        report.hold(
            subject,
            at_most(Number, *count as f64, 0),
            &limit,
            vec![("kind", text(kind)), ("id", text(*id))],
        );
    }
}

fn furniture_heavy(facts: &Facts, report: &mut Report) {
    let Some(limit) = limit(facts, report, "furniture-ratio") else {
        return;
    };
    let whole = &facts.tally.whole;
    if whole.unknown > 0 {
        report.missing(vec![Subject::Load], missing::masses_of_load());
    }
    if whole.entering_g > 0.0 {
        report.hold(
            vec![Subject::Load],
            at_most(Number, whole.furniture_g / whole.entering_g, 1),
            limit,
            vec![
                ("furniture", number(Mass, whole.furniture_g, 0)),
                ("parts", number(Mass, whole.entering_g, 0)),
            ],
        );
    }
}

fn level_heavy_to_lift(facts: &Facts, report: &mut Report) {
    // The limit is in kilograms.
    let Some(limit) = limit(facts, report, "level-mass-lift").map(|l| scaled(l, 1000.0, "g"))
    else {
        return;
    };
    for tally in &facts.tally.levels {
        let level = facts.plan.level(tally.level).map(|(_, level)| level);
        let setter = level.and_then(|level| facts.catalogue.setter(&level.setter));
        unknown_masses(report, tally.level, tally.sums.unknown);
        if let Some(setter) = setter {
            report.hold(
                vec![Subject::Level(tally.level)],
                at_most(Mass, setter.mass_g + tally.on_plate_g, 0),
                &limit,
                vec![("level", text(facts.plan.level_label(tally.level)))],
            );
        }
    }
}
