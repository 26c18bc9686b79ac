//! What a person could do about a finding at the press of a button: ordinary edits of geometry and
//! times, tried on the plan before they are offered, with what else they change.
//!
//! A safety finding never has one: purge, hydrogen, oxygen, unloading, over-temperature and solvent
//! are for people, the furnace's written procedure and its interlocks.

mod by_forecast;
mod furniture;
mod other_level;
mod places;
mod times;

use super::checks::check_by_slug;
use super::engine::{Review, review, review_of};
use super::facts::{Facts, Given, Prepared};
use super::finding::{Check, Finding, Needs, Subject};
use crate::catalogue::Severity;
use crate::forecast::plan::{Asked, NoForecast, PlanForecast, of};
use crate::load::{Edit, LotId, PlacementId, Plan};
use crate::text::findings::title;
use crate::text::fixes as say;
use std::cell::OnceCell;
use std::collections::BTreeMap;

/// Kind of a fix.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum FixKind {
    /// Things on a setter are moved apart, or off an edge, a post or a thermocouple.
    MoveApart,
    /// The setter above gets longer posts.
    LongerPost,
    /// Another setter of the same plan, or another post of the same length.
    AnotherSetter,
    /// Parts are moved into the work zone.
    IntoWorkZone,
    /// Parts are moved to free places on another level.
    AnotherLevel,
    /// A ramp is split and slowed only where that is wanted.
    SplitRamp,
    /// A ramp is slowed.
    SlowRamp,
    /// A hold is made longer.
    LongerHold,
    /// A wait gets another timeout.
    Timeout,
    /// A number is rounded to what the controller takes.
    Round,
    /// Things are taken out of the load.
    Remove,
}

impl FixKind {
    /// All, in the order in which they are offered.
    pub const ALL: [FixKind; 11] = [
        FixKind::MoveApart,
        FixKind::LongerPost,
        FixKind::AnotherSetter,
        FixKind::IntoWorkZone,
        FixKind::AnotherLevel,
        FixKind::SplitRamp,
        FixKind::SlowRamp,
        FixKind::LongerHold,
        FixKind::Timeout,
        FixKind::Round,
        FixKind::Remove,
    ];

    /// In one word, for JSON.
    pub fn word(self) -> &'static str {
        match self {
            FixKind::MoveApart => "move-apart",
            FixKind::LongerPost => "longer-post",
            FixKind::AnotherSetter => "another-setter",
            FixKind::IntoWorkZone => "into-work-zone",
            FixKind::AnotherLevel => "another-level",
            FixKind::SplitRamp => "split-ramp",
            FixKind::SlowRamp => "slow-ramp",
            FixKind::LongerHold => "longer-hold",
            FixKind::Timeout => "timeout",
            FixKind::Round => "round",
            FixKind::Remove => "remove",
        }
    }
}

/// A fix that was tried: with it the finding is gone, and no stop is new.
#[derive(Clone, Debug, PartialEq)]
pub struct Fix {
    /// Kind.
    pub kind: FixKind,
    /// One step of undo, under the words of the button.
    pub edit: Edit,
    /// What else it changes.
    pub also: Also,
}

impl Fix {
    /// The words of the button.
    pub fn label(&self) -> String {
        self.edit.label()
    }
}

/// What a fix changes beside its finding.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Also {
    /// Other findings that are gone: how many of each check.
    pub gone: BTreeMap<&'static str, usize>,
    /// Findings that are new.
    pub new: BTreeMap<&'static str, usize>,
    /// How much longer the program takes, min; none where its length is not known.
    pub minutes: Option<f64>,
    /// How much heavier what stands on the hearth is, g.
    pub mass_g: f64,
}

impl Also {
    /// In one line.
    pub fn shown(&self) -> String {
        let titles = |of: &BTreeMap<&'static str, usize>| -> Vec<(String, usize)> {
            of.iter().map(|(slug, n)| (title(slug), *n)).collect()
        };
        // Gone of one thing and new of another: one title in both lists would read as a slip.
        let both = |slug: &str| self.gone.contains_key(slug) && self.new.contains_key(slug);
        let part = |of: &BTreeMap<&'static str, usize>, wanted: bool| {
            let all = of.iter().filter(|(slug, _)| both(slug) == wanted);
            all.map(|(slug, n)| (*slug, *n)).collect()
        };
        say::also(
            &titles(&part(&self.gone, false)),
            &titles(&part(&self.new, false)),
            &titles(&part(&self.new, true)),
            self.minutes,
            self.mass_g,
        )
    }
}

/// What can be done about a finding.
#[derive(Clone, Debug, PartialEq)]
pub enum Offer {
    /// At least one fix.
    Fixes(Vec<Fix>),
    /// None, and why, in a sentence.
    Nothing(String),
}

impl Offer {
    /// The fixes.
    pub fn fixes(&self) -> &[Fix] {
        match self {
            Offer::Fixes(fixes) => fixes,
            Offer::Nothing(_) => &[],
        }
    }
}

/// An edit that may mend, before it is tried.
struct Candidate {
    label: String,
    edits: Vec<Edit>,
}

impl Candidate {
    fn one(label: String, edit: Edit) -> Candidate {
        Candidate {
            label,
            edits: vec![edit],
        }
    }
}

/// What a way of mending comes to.
type Found = Result<Vec<Candidate>, String>;

/// A way of mending: what may be tried, dearest to the load first.
type Way = (FixKind, fn(&Fixer, &Finding) -> Found);

/// Candidates of one way that are tried at most; each costs a review.
const TRIES: usize = 12;

/// Fixes of one way that are tried with a forecast at most.
const TRIES_WITH_FORECAST: usize = 3;

/// Words of checks that are never mended by a button, whatever family they are in.
const NEVER: [&str; 9] = [
    "purge",
    "hydrogen",
    "oxygen",
    "unload",
    "over-temperature",
    "solvent",
    "burn-off",
    "ends-hot",
    "not-dry",
];

/// Whether a check's findings are left to people. The only check with hydrogen in its name that is
/// about a setter's material is none of these.
pub fn left_to_people(check: &Check) -> bool {
    let named = NEVER.iter().any(|word| check.slug.contains(word));
    check.safety || (named && check.slug != "silica-in-dry-hydrogen")
}

/// Ways of mending a check's findings.
fn ways(check: &str) -> Vec<Way> {
    let mut ways: Vec<Way> = Vec::new();
    match check {
        "parts-touching" | "gap-too-small" => ways.push((FixKind::MoveApart, places::apart)),
        "part-near-post"
        | "part-touches-post"
        | "part-near-setter-edge"
        | "part-over-setter-edge"
        | "part-near-thermocouple" => {
            ways.push((FixKind::MoveApart, places::off));
        }
        "part-touches-setter-above" | "head-room-low" => {
            ways.push((FixKind::LongerPost, furniture::longer_post));
            ways.push((FixKind::LongerPost, furniture::longer_posts));
        }
        "setter-temperature"
        | "setter-material-refused"
        | "mass-over-setter-rating"
        | "silica-in-dry-hydrogen" => {
            ways.push((FixKind::AnotherSetter, furniture::another));
        }
        "part-outside-work-zone" | "work-zone-only-part-outside" => {
            ways.push((FixKind::IntoWorkZone, places::into_work_zone));
            ways.push((FixKind::AnotherLevel, other_level::another_level));
        }
        "ramp-too-fast-for-section"
        | "ramp-far-too-fast-for-section"
        | "densifying-ramp-too-fast"
        | "full-rate-in-debind-range" => {
            ways.push((FixKind::SplitRamp, times::split));
            ways.push((FixKind::SlowRamp, times::slow));
        }
        "sinter-hold-short" => ways.push((FixKind::LongerHold, times::longer)),
        "debind-hold-short" | "debind-hold-far-short" => {
            ways.push((FixKind::LongerHold, by_forecast::debind));
        }
        "sinter-hold-short-at-coldest" => ways.push((FixKind::LongerHold, by_forecast::sinter)),
        "wait-timeout-long" | "soak-timeout-missing" => {
            ways.push((FixKind::Timeout, by_forecast::timeout));
        }
        "target-not-typable" | "rate-not-typable" | "hold-not-typable" => {
            ways.push((FixKind::Round, times::round));
        }
        _ => {}
    }
    ways
}

/// Kinds whose times come from a forecast, and are tried with one.
fn by_forecast(kind: FixKind, check: &str) -> bool {
    let needs = check_by_slug(check).is_some_and(|c| c.needs == Needs::Forecast);
    kind == FixKind::Timeout || (kind == FixKind::LongerHold && needs)
}

/// A forecast, and the review with it.
type Forecasted = (Result<PlanForecast, NoForecast>, Review);

/// Finds fixes for the findings of one review.
pub struct Fixer<'a> {
    given: Given<'a>,
    before: &'a Review,
    facts: Facts<'a>,
    /// Of the plan as it is; made when a fix needs it.
    forecasted: OnceCell<Forecasted>,
}

impl<'a> Fixer<'a> {
    /// For a review of what is given.
    pub fn new(given: &Given<'a>, before: &'a Review) -> Fixer<'a> {
        Fixer {
            given: *given,
            before,
            facts: Facts::new(given, Prepared::new(given)),
            forecasted: OnceCell::new(),
        }
    }

    /// The forecast of the plan as it is, and the review with it.
    fn forecasted(&self) -> &Forecasted {
        self.forecasted.get_or_init(|| forecasted(&self.given))
    }

    /// The forecast of the plan as it is; none where there is none.
    fn forecast(&self) -> Option<&PlanForecast> {
        self.forecasted().0.as_ref().ok()
    }

    fn plan(&self) -> &'a Plan {
        self.given.plan
    }

    /// What can be done about a finding of the review.
    pub fn offer(&self, finding: &Finding) -> Offer {
        let Some(check) = check_by_slug(finding.check) else {
            return Offer::Nothing(say::no_way());
        };
        if left_to_people(check) || finding.safety {
            return Offer::Nothing(say::left_to_people());
        }
        let mut ways = ways(check.slug);
        // Of two records that contradict each other one is wrong, and no part.
        let of_papers = finding.check == "bath-and-weighing-disagree";
        if !of_papers
            && finding
                .subjects
                .iter()
                .any(|s| matches!(s, Subject::Placement(_) | Subject::Lot(_)))
        {
            ways.push((FixKind::Remove, remove));
        }
        let mut fixes = Vec::new();
        let mut why = None;
        for (kind, way) in ways {
            match way(self, finding) {
                Ok(candidates) => fixes.extend(self.best(kind, finding, candidates)),
                Err(sentence) => {
                    why.get_or_insert(sentence);
                }
            }
        }
        if fixes.is_empty() {
            return Offer::Nothing(why.unwrap_or_else(say::no_way));
        }
        Offer::Fixes(fixes)
    }

    /// The candidate that mends with the least else to look at; the first of equals. What is
    /// offered is tried with a forecast too.
    fn best(&self, kind: FixKind, finding: &Finding, candidates: Vec<Candidate>) -> Option<Fix> {
        let mut others = Vec::new();
        for candidate in candidates.into_iter().take(TRIES) {
            let Some(tried) = self.tried(kind, finding, candidate) else {
                continue;
            };
            if tried.cost != (0, 0) {
                others.push(tried);
            } else if let Some(fix) = self.forecast_too(kind, finding, tried) {
                return Some(fix);
            }
        }
        others.sort_by_key(|tried| tried.cost);
        let mut others = others.into_iter().take(TRIES_WITH_FORECAST);
        others.find_map(|tried| self.forecast_too(kind, finding, tried))
    }

    /// A fix with what the forecast sees of it, unless that is a new stop.
    fn forecast_too(&self, kind: FixKind, finding: &Finding, tried: Tried) -> Option<Fix> {
        let Tried { mut fix, plan, .. } = tried;
        if by_forecast(kind, finding.check) {
            return Some(fix); // tried with one already
        }
        let given = Given {
            plan: &plan,
            // Not of this plan any more.
            forecast: None,
            ..self.given
        };
        let (before, after) = (&self.forecasted().1, &forecasted(&given).1);
        let of_forecast =
            |f: &&Finding| check_by_slug(f.check).is_some_and(|c| c.needs == Needs::Forecast);
        let mut new = differing(after, before, true);
        let mut gone = differing(before, after, true);
        new.retain(of_forecast);
        gone.retain(of_forecast);
        // What can no longer be judged is not gone.
        let blind = |f: &Finding| after.missing.iter().any(|m| m.check == f.check);
        gone.retain(|f| after.unforecast.is_empty() && !blind(f));
        if new.iter().any(|f| f.severity == Severity::Stop) {
            return None;
        }
        fix.also.new.extend(counted(&new));
        fix.also.gone.extend(counted(&gone));
        Some(fix)
    }

    /// The fix with its cost in new cautions and notes, where the edits are taken, the finding is
    /// gone and no stop is new.
    fn tried(&self, kind: FixKind, finding: &Finding, candidate: Candidate) -> Option<Tried> {
        let edit = Edit::Several {
            label: candidate.label,
            edits: candidate.edits,
        };
        let plan = edit.apply(self.plan(), self.given.catalogue).ok()?;
        let given = Given {
            plan: &plan,
            // Not of this plan any more.
            forecast: None,
            ..self.given
        };
        let forecasts = by_forecast(kind, finding.check);
        let (after, before) = if forecasts {
            (forecasted(&given).1, &self.forecasted().1)
        } else {
            (review(&given), self.before)
        };
        let new = differing(&after, before, forecasts);
        let mut gone = differing(before, &after, forecasts);
        let mine = |f: &&Finding| f.check == finding.check;
        // The check must have looked, and found nothing of this and nothing else of its kind.
        let left = after
            .findings
            .iter()
            .filter(mine)
            .any(|f| f.subjects.iter().all(|s| finding.subjects.contains(s)));
        let blind = |r: &Review| {
            r.missing
                .iter()
                .filter(|m| m.check == finding.check)
                .count()
        };
        if left || new.iter().any(|f| f.check == finding.check) || blind(&after) > blind(before) {
            return None;
        }
        gone.retain(|f| f.check != finding.check || f.subjects != finding.subjects);
        let of = |severity: Severity| new.iter().filter(|f| f.severity == severity).count();
        // Who takes a piece out of the load knows that its lot is then short.
        let follows = |f: &&&Finding| kind == FixKind::Remove && f.check == "lot-count-mismatch";
        let followers = new.iter().filter(follows).count();
        if of(Severity::Stop) > followers {
            return None;
        }
        let cost = (of(Severity::Caution), of(Severity::Note));
        let minutes = |plan: &Plan| {
            let full_rate = self.facts.furnace.map(|f| f.ramp_max_k_min);
            Some(plan.profile.curve(full_rate).ok()?.total_time_min())
        };
        let longer = minutes(&plan).zip(minutes(self.plan()));
        let also = Also {
            gone: counted(&gone),
            new: counted(&new),
            minutes: longer.map(|(after, before)| after - before),
            mass_g: mass_g(&given) - self.facts.tally.whole.total_g(),
        };
        let fix = Fix { kind, edit, also };
        Some(Tried { cost, fix, plan })
    }
}

/// A fix that mends, and how much else there is to look at.
struct Tried {
    /// New cautions and notes.
    cost: (usize, usize),
    fix: Fix,
    /// The plan after it.
    plan: Plan,
}

fn mass_g(given: &Given) -> f64 {
    let furnace = given.catalogue.furnace(&given.plan.load.furnace);
    let sizes = crate::load::Sizes::new(given.plan, given.catalogue);
    let tally = crate::load::tally(
        given.plan,
        given.catalogue,
        furnace.map(AsRef::as_ref),
        &sizes,
    );
    tally.whole.total_g()
}

/// The forecast of what is given, made unless it came with it, and the review with it.
fn forecasted(given: &Given) -> Forecasted {
    let prepared = Prepared::new(given);
    let asked = Asked {
        plan: given.plan,
        catalogue: given.catalogue,
        shop: given.shop,
        sizes: &prepared.sizes,
    };
    let made = match given.forecast {
        Some(made) => made.clone(),
        None => of(&asked, &|| false),
    };
    let with = Given {
        forecast: Some(&made),
        ..*given
    };
    let found = review_of(&with, prepared.clone());
    (made, found)
}

/// Findings of one review that another has not, by check and subjects. What a forecast found is left
/// out where the changed plan has none.
fn differing<'r>(of: &'r Review, other: &Review, forecasts: bool) -> Vec<&'r Finding> {
    let same = |f: &Finding| {
        let mut all = other.findings.iter();
        all.any(|g| f.check == g.check && f.subjects == g.subjects)
    };
    let forecast = |f: &Finding| check_by_slug(f.check).is_some_and(|c| c.needs == Needs::Forecast);
    let differ = of
        .findings
        .iter()
        .filter(|f| !same(f) && (forecasts || !forecast(f)));
    differ.collect()
}

fn counted(findings: &[&Finding]) -> BTreeMap<&'static str, usize> {
    let mut counts = BTreeMap::new();
    for finding in findings {
        *counts.entry(finding.check).or_default() += 1;
    }
    counts
}

/// Takes a finding's things out of the load: one of a pair, the others together.
fn remove(fixer: &Fixer, finding: &Finding) -> Found {
    let plan = fixer.plan();
    let lots: Vec<LotId> = finding
        .subjects
        .iter()
        .filter_map(|s| match s {
            Subject::Lot(id) => Some(*id),
            _ => None,
        })
        .collect();
    let of_lots = plan.placements().filter(|(_, p)| {
        matches!(&p.item, crate::load::Item::Part { lot: Some(lot), .. } if lots.contains(lot))
    });
    let named = placements(finding);
    let mut ids: Vec<PlacementId> = named.clone();
    ids.extend(of_lots.map(|(_, p)| p.id));
    ids.sort();
    ids.dedup();
    if let [_, _, ..] = ids.as_slice()
        && plan
            .placements()
            .all(|(_, p)| p.item.part().is_none() || ids.contains(&p.id))
    {
        return Err(say::nothing_would_stay());
    }
    let loose = |id: &PlacementId| plan.placement(*id).is_some_and(|(_, p)| !p.locked);
    let all_loose = ids.iter().all(loose);
    let sets: Vec<Vec<PlacementId>> = if ids.len() == 2 && lots.is_empty() {
        let singles = ids.iter().rev().filter(|id| loose(id));
        singles.map(|id| vec![*id]).collect()
    } else if all_loose && !ids.is_empty() {
        vec![ids]
    } else {
        Vec::new()
    };
    if sets.is_empty() {
        return Err(say::locked());
    }
    let candidate = |ids: Vec<PlacementId>| {
        let label = match ids.as_slice() {
            [one] => say::remove(&plan.placement_label(*one)),
            _ => say::remove_several(ids.len()),
        };
        Candidate::one(label, Edit::RemovePlacements(ids))
    };
    Ok(sets.into_iter().map(candidate).collect())
}

/// Placements that a finding is about.
fn placements(finding: &Finding) -> Vec<PlacementId> {
    let subjects = finding.subjects.iter();
    subjects
        .filter_map(|s| match s {
            Subject::Placement(id) => Some(*id),
            _ => None,
        })
        .collect()
}
