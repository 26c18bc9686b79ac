//! What several checks share.

use crate::catalogue::{Furnace, FurnaceState, Limit, Severity};
use crate::load::{Carrier, Clearances, Level, LevelId, PartRecords, Placement};
use crate::review::facts::{Facts, PlacedPart};
use crate::review::finding::{Check, Family, Report, Sense, Subject, WhenRegulated};
use crate::text::{missing, phrases, unmeasured as lacks};

/// A check that is on.
pub const fn check(
    family: Family,
    severity: Severity,
    slug: &'static str,
    limits: &'static [&'static str],
    run: fn(&Facts, &mut Report),
) -> Check {
    Check {
        slug,
        family,
        severity,
        limits,
        run,
        ..Check::BASE
    }
}

/// The same check, a stop where the shop is regulated.
pub const fn stop_when_regulated(check: Check) -> Check {
    Check {
        regulated: WhenRegulated::Stop,
        ..check
    }
}

/// The same check, off unless the shop is regulated or switches it on.
pub const fn on_when_regulated(check: Check) -> Check {
    Check {
        on: false,
        regulated: WhenRegulated::On,
        ..check
    }
}

/// The same check, where the shop is regulated and nowhere else.
pub const fn only_when_regulated(check: Check) -> Check {
    Check {
        regulated: WhenRegulated::Only,
        ..check
    }
}

/// A check of the family of geometry.
pub const fn geometry(
    severity: Severity,
    slug: &'static str,
    limits: &'static [&'static str],
    run: fn(&Facts, &mut Report),
) -> Check {
    check(Family::Geometry, severity, slug, limits, run)
}

/// A check of the family of furniture.
pub const fn furniture(
    severity: Severity,
    slug: &'static str,
    limits: &'static [&'static str],
    run: fn(&Facts, &mut Report),
) -> Check {
    check(Family::Furniture, severity, slug, limits, run)
}

/// A check of the family of records.
pub const fn records(
    severity: Severity,
    slug: &'static str,
    limits: &'static [&'static str],
    run: fn(&Facts, &mut Report),
) -> Check {
    check(Family::Records, severity, slug, limits, run)
}

/// The same check, off unless a shop switches it on.
pub const fn off(check: Check) -> Check {
    Check { on: false, ..check }
}

/// The limit that holds for the load; where nobody has set it, says so.
pub fn limit<'a>(facts: &Facts<'a>, report: &mut Report, id: &str) -> Option<&'a Limit> {
    let found = facts.limit(id);
    if found.is_none() {
        report.missing(vec![Subject::Load], missing::limit(id));
    }
    found
}

/// The limit that holds for one part; where nobody has set it, says so.
pub fn limit_for<'a>(
    facts: &Facts<'a>,
    report: &mut Report,
    id: &str,
    records: &PartRecords,
    sense: Sense,
) -> Option<&'a Limit> {
    let found = facts.limit_for(id, records, sense);
    if found.is_none() {
        let subjects = vec![Subject::Part(records.part.id)];
        report.missing(subjects, missing::limit(id));
    }
    found
}

/// The furnace; where its record is unknown, says so.
pub fn furnace<'a>(facts: &Facts<'a>, report: &mut Report) -> Option<&'a Furnace> {
    if facts.furnace.is_none() {
        report.missing(vec![Subject::Furnace], missing::furnace_record());
    }
    facts.furnace
}

/// The furnace's state; where none is known, says so.
pub fn state<'a>(facts: &Facts<'a>, report: &mut Report) -> Option<&'a FurnaceState> {
    if facts.state.is_none() {
        report.missing(vec![Subject::Furnace], missing::furnace_state());
    }
    facts.state
}

/// Clearances of things on setters; says what has no body or no height.
pub fn clearances<'f>(facts: &'f Facts, report: &mut Report) -> Option<&'f Clearances> {
    let Some(found) = &facts.clearances else {
        report.missing(vec![Subject::Furnace], missing::furnace_record());
        return None;
    };
    unknown_growth(facts, report);
    if !found.without_body.is_empty() {
        let subjects = found.without_body.iter().map(|id| Subject::Placement(*id));
        report.missing(subjects.collect(), missing::feedstock_or_material());
    }
    Some(found)
}

/// Says of which levels nobody knows how setter or posts grow: their material has no record.
fn unknown_growth(facts: &Facts, report: &mut Report) {
    let unknown = |id: &str| facts.catalogue.material(id).is_none();
    let of_level = |level: &Level| {
        let setter = facts.catalogue.setter(&level.setter);
        let post = match &level.carrier {
            Carrier::Posts { post, .. } => facts.catalogue.post(post),
            _ => None,
        };
        setter.is_some_and(|s| unknown(&s.material)) || post.is_some_and(|p| unknown(&p.material))
    };
    let levels = facts.plan.levels().filter(|(_, level)| of_level(level));
    let subjects: Vec<_> = levels.map(|(_, l)| Subject::Level(l.id)).collect();
    if !subjects.is_empty() {
        report.missing(subjects, missing::material_record());
    }
}

/// The same, for whatever needs the height of a level.
pub fn clearances_with_heights<'f>(
    facts: &'f Facts,
    report: &mut Report,
) -> Option<&'f Clearances> {
    let found = clearances(facts, report)?;
    if !found.without_height.is_empty() {
        let subjects = found.without_height.iter().map(|id| Subject::Level(*id));
        report.missing(subjects.collect(), missing::setter_or_carrier());
    }
    Some(found)
}

/// Whether a thing stands on a support of which nobody knows how high it is.
pub fn without_lift(facts: &Facts, placement: &Placement) -> bool {
    let support = placement.support.as_ref();
    support.is_some_and(|id| facts.catalogue.support(id).is_none())
}

/// Says what stands on a support of which nobody knows how high it is.
pub fn unknown_lifts(facts: &Facts, report: &mut Report) {
    let all = facts.plan.placements();
    let unknown = all.filter(|(_, placement)| without_lift(facts, placement));
    let subjects: Vec<_> = unknown.map(|(_, p)| Subject::Placement(p.id)).collect();
    if !subjects.is_empty() {
        report.missing(subjects, lacks::support_height());
    }
}

/// Parts in the load with their records; says which have none.
pub fn with_records<'a>(
    facts: &Facts<'a>,
    report: &mut Report,
) -> Vec<(PlacedPart<'a>, PartRecords<'a>)> {
    let mut found = Vec::new();
    for placed in &facts.placed {
        match placed.records {
            Some(records) => found.push((*placed, records)),
            None => report.missing(vec![Subject::Part(placed.part.id)], missing::part_records()),
        }
    }
    found
}

/// Says that masses on a level are not all known.
pub fn unknown_masses(report: &mut Report, level: LevelId, unknown: usize) {
    if unknown > 0 {
        report.missing(
            vec![Subject::Level(level)],
            missing::masses_on_level(unknown),
        );
    }
}

/// " and 3 more", or nothing.
pub fn and_more(all: usize) -> String {
    phrases::and_more(all.saturating_sub(1))
}
