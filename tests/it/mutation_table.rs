//! One small change to a clean load for every check that is on: the check that must trip, what
//! comes with it, and what can no longer be judged. Anything else that appears fails, and so does
//! a check that is on and has no row. `cargo test --test it mutation_table -- --nocapture` prints
//! the table.
//!
//! Every changed plan is built anew by the editor's own edits, with the records that the clean load
//! has, so a check is not tripped by a plan that nobody can make. The editor refuses names that no
//! record has: those rows take the record away afterwards.

#[path = "mutation_table/atmosphere.rs"]
mod atmosphere;
#[path = "mutation_table/bases.rs"]
pub mod bases;
#[path = "mutation_table/furniture.rs"]
mod furniture;
#[path = "mutation_table/geometry.rs"]
mod geometry;
#[path = "mutation_table/lots.rs"]
mod lots;
#[path = "mutation_table/on_file.rs"]
mod on_file;
#[path = "mutation_table/on_paper.rs"]
mod on_paper;
#[path = "mutation_table/on_record.rs"]
mod on_record;
#[path = "mutation_table/papers.rs"]
mod papers;
#[path = "mutation_table/parts.rs"]
mod parts;
#[path = "mutation_table/plausible.rs"]
mod plausible;
#[path = "mutation_table/pressures.rs"]
mod pressures;
#[path = "mutation_table/profile.rs"]
mod profile;
#[path = "mutation_table/records.rs"]
mod records;
#[path = "mutation_table/safety.rs"]
mod safety;
#[path = "mutation_table/standard.rs"]
mod standard;

use crate::fixture::Case;
use bases::Base;
use setterwright::catalogue::{Catalogue, Severity};
use setterwright::load::{Edit, Level, Plan, Stack};
use setterwright::review::{Check, Needs, Review, all_checks, check_by_slug};
use std::collections::BTreeSet;

/// One change and what it does.
pub struct Row {
    check: &'static str,
    base: Base,
    words: &'static str,
    spoil: fn(&mut Case),
    with: &'static [&'static str],
    lapses: &'static [&'static str],
}

/// A check, the clean load, the change in words and in code.
pub fn row(check: &'static str, base: Base, words: &'static str, spoil: fn(&mut Case)) -> Row {
    Row {
        check,
        base,
        words,
        spoil,
        with: &[],
        lapses: &[],
    }
}

/// The same for brackets in argon.
pub fn argon(check: &'static str, words: &'static str, spoil: fn(&mut Case)) -> Row {
    row(check, bases::argon, words, spoil)
}

/// The same for brackets in hydrogen.
pub fn hydrogen(check: &'static str, words: &'static str, spoil: fn(&mut Case)) -> Row {
    row(check, bases::hydrogen, words, spoil)
}

impl Row {
    /// Other findings that come with it.
    pub fn with(self, with: &'static [&'static str]) -> Row {
        Row { with, ..self }
    }

    /// Checks that can no longer judge.
    pub fn lapses(self, lapses: &'static [&'static str]) -> Row {
        Row { lapses, ..self }
    }
}

fn rows() -> Vec<Row> {
    [
        safety::rows(),
        geometry::rows(),
        parts::rows(),
        furniture::rows(),
        lots::rows(),
        profile::rows(),
        atmosphere::rows(),
        records::rows(),
        on_record::rows(),
        plausible::rows(),
        pressures::rows(),
        standard::rows(),
        papers::rows(),
        on_paper::rows(),
        on_file::rows(),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// Checks that found something of a subject of which they found nothing before.
fn new_findings(before: &Review, after: &Review) -> BTreeSet<&'static str> {
    let said: BTreeSet<_> = before
        .findings
        .iter()
        .map(|f| (f.check, &f.subjects))
        .collect();
    let found = after.findings.iter();
    let found = found.filter(|f| !said.contains(&(f.check, &f.subjects)));
    found.map(|f| f.check).collect()
}

/// Checks that lack something that they had before.
fn new_gaps(before: &Review, after: &Review) -> BTreeSet<&'static str> {
    let said: BTreeSet<_> = before.missing.iter().map(|m| (m.check, &m.what)).collect();
    let lacks = after.missing.iter();
    let lacks = lacks.filter(|m| !said.contains(&(m.check, &m.what)));
    lacks.map(|m| m.check).collect()
}

/// The plan built anew by edits, with the records that were there; what is refused.
fn by_edits(plan: &Plan, catalogue: &Catalogue) -> Result<(), String> {
    let mut edits = vec![
        Edit::SetFurnace(plan.load.furnace.clone()),
        Edit::SetPlannedStart(plan.planned_start.clone()),
        Edit::SetProfile(plan.profile.as_ref().clone()),
    ];
    edits.extend(
        plan.parts
            .iter()
            .map(|p| Edit::AddPart(Box::new(p.as_ref().clone()))),
    );
    edits.extend(plan.lots.iter().map(|l| Edit::AddLot(l.as_ref().clone())));
    for stack in &plan.load.stacks {
        edits.push(Edit::AddStack(Stack {
            levels: Vec::new(),
            ..stack.clone()
        }));
        for level in &stack.levels {
            let mut placements = level.placements.clone();
            placements.sort_by_key(|p| p.id);
            let (stack, index, id) = (stack.id, usize::MAX, level.id);
            let level = Level {
                placements: Vec::new(),
                ..level.as_ref().clone()
            };
            edits.push(Edit::AddLevel {
                stack,
                index,
                level,
            });
            edits.push(Edit::Place {
                level: id,
                placements,
            });
        }
    }
    edits.extend(plan.declarations.iter().map(|d| Edit::Declare(d.clone())));
    let empty = Plan::empty(&plan.load.furnace);
    edits
        .iter()
        .try_fold(empty, |plan, edit| {
            let after = edit.apply(&plan, catalogue);
            let after = after.map_err(|refusal| format!("{}: {refusal}", edit.label()));
            // Numbers come in another order than they were given.
            after.map(|plan| Plan { next_id: 0, ..plan })
        })
        .map(|_| ())
}

fn list<'a>(slugs: impl IntoIterator<Item = &'a &'static str>) -> String {
    let slugs: Vec<&str> = slugs.into_iter().copied().collect();
    if slugs.is_empty() {
        "-".to_owned()
    } else {
        slugs.join(", ")
    }
}

/// What is wrong with a row, in words.
fn wrong(row: &Row) -> Vec<String> {
    let base = (row.base)();
    let mut case = base.clone();
    (row.spoil)(&mut case);
    let (before, after) = (base.review(), case.review());
    let (mut found, gaps) = (new_findings(&before, &after), new_gaps(&before, &after));
    let mut wrong = Vec::new();
    if !found.remove(row.check) {
        wrong.push("does not trip".to_owned());
    }
    let mut differs = |what: &str, is: &BTreeSet<&'static str>, listed: &[&'static str]| {
        let listed: BTreeSet<&'static str> = listed.iter().copied().collect();
        if *is != listed {
            wrong.push(format!("{what} {:?}, listed {:?}", is, listed));
        }
    };
    differs("comes with", &found, row.with);
    differs("not evaluated", &gaps, row.lapses);
    if let Err(refusal) = by_edits(&case.plan, &base.catalogue) {
        wrong.push(format!("the editor refuses: {refusal}"));
    }
    wrong
}

#[test]
fn the_clean_loads_are_clean() {
    for (name, base) in bases::ALL {
        let review = base().review();
        let wrong = review.findings.iter();
        let wrong: Vec<_> = wrong.filter(|f| f.severity > Severity::Note).collect();
        assert!(wrong.is_empty(), "{name}: {wrong:#?}");
    }
}

#[test]
fn each_change_trips_its_check_and_nothing_unforeseen() {
    let rows = rows();
    let mut faults = Vec::new();
    println!("check | change | comes with | not evaluated");
    for row in &rows {
        let wrong = wrong(row);
        println!(
            "{} | {} | {} | {}",
            row.check,
            row.words,
            list(row.with),
            list(row.lapses),
        );
        let said = wrong.into_iter().map(|w| format!("{}: {w}", row.check));
        faults.extend(said);
    }
    println!("{} rows", rows.len());
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn every_check_that_is_on_has_a_row() {
    let rows: BTreeSet<&str> = rows().iter().map(|r| r.check).collect();
    for slug in &rows {
        assert!(check_by_slug(slug).is_some(), "no check {slug}");
    }
    // What needs a forecast has a table of its own.
    let here = |c: &&Check| c.on && c.needs != Needs::Forecast;
    let on = all_checks().filter(here).map(|c| c.slug);
    let without: Vec<_> = on.filter(|slug| !rows.contains(slug)).collect();
    assert!(
        without.is_empty(),
        "{} without a row: {without:?}",
        without.len()
    );
}
