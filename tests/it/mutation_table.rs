//! One small change to a clean load for every check that is on: the check that must trip, what
//! comes with it, and what can no longer be judged. Anything else that appears fails, and so does
//! a check that is on and has no row. `cargo test --test it mutation_table -- --nocapture` prints
//! the table. Every row also says how heavy the finding is, what just does not trip the check, and
//! what it does without its datum, or why there is no such thing.
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
pub mod lots;
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
#[path = "mutation_table/taken.rs"]
pub mod taken;

use crate::fixture::Case;
use bases::Base;
use setterwright::catalogue::{Catalogue, Severity};
use setterwright::load::{Edit, Level, Plan, Stack};
use setterwright::review::{Check, Needs, Review, Subject, all_checks, check_by_slug};
use std::collections::BTreeSet;

/// A change in words and in code.
#[derive(Clone, Copy)]
struct Change {
    words: &'static str,
    make: fn(&mut Case),
}

/// A change of its own beside the one that trips a check, or why there is none.
#[derive(Clone, Copy)]
enum Beside {
    Change(Change),
    None(&'static str),
}

impl Beside {
    fn words(self) -> &'static str {
        match self {
            Beside::Change(change) => change.words,
            Beside::None(why) => why,
        }
    }
}

/// One change and what it does.
pub struct Row {
    check: &'static str,
    base: Base,
    words: &'static str,
    spoil: fn(&mut Case),
    with: &'static [&'static str],
    lapses: &'static [&'static str],
    weight: Option<Severity>,
    inside: Option<Beside>,
    missing: Option<Beside>,
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
        weight: None,
        inside: None,
        missing: None,
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

    /// How heavy the finding is.
    pub fn weighs(self, weight: Severity) -> Row {
        Row {
            weight: Some(weight),
            ..self
        }
    }

    /// A change just within the limit: judged, and nothing is found.
    pub fn inside(self, words: &'static str, make: fn(&mut Case)) -> Row {
        Row {
            inside: Some(Beside::Change(Change { words, make })),
            ..self
        }
    }

    /// Yes or no: no value lies just within, and the clean load is the other side.
    pub fn no_between(self, why: &'static str) -> Row {
        Row {
            inside: Some(Beside::None(why)),
            ..self
        }
    }

    /// The datum taken away: not evaluated, and nothing is found.
    pub fn missing(self, words: &'static str, make: fn(&mut Case)) -> Row {
        Row {
            missing: Some(Beside::Change(Change { words, make })),
            ..self
        }
    }

    /// Every plan has the datum, or that it is missing is what the check finds.
    pub fn never_missing(self, why: &'static str) -> Row {
        Row {
            missing: Some(Beside::None(why)),
            ..self
        }
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

/// The finding is of another weight than listed.
fn wrong_weight(row: &Row, before: &Review, after: &Review) -> Option<String> {
    let of = |review: &Review| -> Vec<(Severity, Vec<Subject>)> {
        let findings = review.findings.iter().filter(|f| f.check == row.check);
        findings.map(|f| (f.severity, f.subjects.clone())).collect()
    };
    let (said, listed) = (of(before), row.weight?);
    let new: Vec<Severity> = of(after)
        .into_iter()
        .filter(|found| !said.contains(found))
        .map(|(severity, _)| severity)
        .collect();
    let heaviest = new.iter().max();
    (heaviest != Some(&listed)).then(|| format!("weighs {new:?}, listed {listed:?}"))
}

/// What is wrong with the changes beside: just inside trips or is not judged, without the datum it
/// is judged.
fn wrong_beside(row: &Row, base: &Case, before: &Review) -> Vec<String> {
    let mut wrong = Vec::new();
    let mut of = |beside: Option<Beside>, what: &str, lacks: bool| {
        let Some(Beside::Change(change)) = beside else {
            return;
        };
        let mut case = base.clone();
        (change.make)(&mut case);
        let review = case.review();
        if new_findings(before, &review).contains(row.check) {
            wrong.push(format!("{what} trips: {}", change.words));
        }
        if new_gaps(before, &review).contains(row.check) != lacks {
            let is = if lacks { "is judged" } else { "is not judged" };
            wrong.push(format!("{what} {is}: {}", change.words));
        }
    };
    of(row.inside, "just inside", false);
    of(row.missing, "without its datum", true);
    wrong
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
    wrong.extend(wrong_weight(row, &before, &after));
    wrong.extend(wrong_beside(row, &base, &before));
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
        // What titanium always comes with.
        let wrong: Vec<_> = wrong
            .filter(|f| f.severity > Severity::Note && f.check != "titanium-dust")
            .collect();
        assert!(wrong.is_empty(), "{name}: {wrong:#?}");
    }
}

#[test]
fn each_change_trips_its_check_and_nothing_unforeseen() {
    let rows = rows();
    let mut faults = Vec::new();
    println!("check | weight | change | comes with | not evaluated | just inside | without datum");
    for row in &rows {
        let wrong = wrong(row);
        println!(
            "{} | {} | {} | {} | {} | {} | {}",
            row.check,
            row.weight.map_or("-".to_owned(), |w| format!("{w:?}")),
            row.words,
            list(row.with),
            list(row.lapses),
            row.inside.map_or("-", Beside::words),
            row.missing.map_or("-", Beside::words),
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

#[test]
fn every_check_has_its_neighbours_and_weights() {
    let rows = rows();
    let mut open = Vec::new();
    for check in rows.iter().map(|r| r.check).collect::<BTreeSet<_>>() {
        let mut own = rows.iter().filter(|r| r.check == check);
        let lacks = [
            (own.clone().any(|r| r.weight.is_none()), "weighs"),
            (own.clone().all(|r| r.inside.is_none()), "inside"),
            (own.all(|r| r.missing.is_none()), "missing"),
        ];
        let lacks: Vec<&str> = lacks.iter().filter(|l| l.0).map(|l| l.1).collect();
        if !lacks.is_empty() {
            open.push(format!("{check}: {}", lacks.join(", ")));
        }
    }
    assert!(
        open.is_empty(),
        "{} checks:\n{}",
        open.len(),
        open.join("\n")
    );
}
