//! A shorter program for a plan: the shortest holds and fastest ramps that keep every limit in the
//! cold and the hot case. The limits are those of the review, so that whatever a shop has set
//! binds; what was found before and no hold mends may stay, but not grow worse.

use crate::catalogue::{Limit, LimitContext, Severity};
use crate::forecast::constants::ZERO_C;
use crate::forecast::inputs::{Pace, Program};
use crate::forecast::matter::densities;
use crate::forecast::plan::{
    Asked, BACKBONE_LEFT_WANTED, HoldRow, KindIs, NoForecast, PlanForecast, Prepared, WhyNoCases,
    of, prepare,
};
use crate::forecast::shorten::{Margin, Search, shorten};
use crate::forecast::stopped::length_s;
use crate::forecast::whole::{CaseForecast, Forecast, Inputs, several};
use crate::load::{Edit, PartRecords, Plan};
use crate::profile::RampBy;
use crate::review::{Family, Given, Needs, Prepared as Facts, Review, all_checks, review_of};
use crate::units::tidy;
use std::cell::{OnceCell, RefCell};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use std::rc::Rc;
use std::sync::Arc;

/// Steps in which holds are tried, s (assumed).
const HOLD_STEP_S: f64 = 300.0;
/// Steps in which ramps are tried, K/s (assumed).
const RATE_STEP_K_S: f64 = 0.5 / 60.0;
/// Lengths tried for a hold that leaves something found, over what it is (assumed).
const LONGER: [f64; 4] = [1.5, 2.0, 3.0, 4.0];
/// What a worse margin may come to by rounding alone.
const SAME: f64 = 1e-6;
/// Half a digit of a density as printed.
const SAME_DENSITY: f64 = 0.0005;
/// Check whose title stands for binder left at the end of a hold.
const BINDER: &str = "debind-hold-short";
/// Slug of the limit that density sets, beside those of the checks.
pub const DENSITY: &str = "density-not-lower";
/// Id of the limit that says what a hold keeps to spare.
pub const HOLD_MARGIN: &str = "hold-margin";

/// What keeps a hold in which the coldest place does not arrive.
const LATE: &str = "coldest-spot-not-in-band";

/// What keeps a hold below where the survey begins as it is.
pub const UNSURVEYED: &str = "unsurveyed";

/// What keeps holds and ramps as they are in the debind range of binder of which nobody knows how it
/// burns out.
pub const BURNOUT: &str = "burnout-unknown";

/// What was found for one segment of the plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Segment from 0.
    pub segment: usize,
    /// Target, °C.
    pub target_c: f64,
    /// Hold as it is and as it could be, min.
    pub hold_min: (f64, f64),
    /// Ramp likewise, K/min; none where it is not given as a rate.
    pub ramp_k_min: Option<(f64, f64)>,
    /// Slug of the check that speaks one step shorter.
    pub hold_bound_by: Option<String>,
    /// And one step faster.
    pub ramp_bound_by: Option<String>,
    /// Saved by the clock, min; negative where a hold has to be longer.
    pub saved_min: f64,
    /// What the coldest place gets of the hold as it is, and what it needs, min.
    pub gets_needs_min: (Option<f64>, Option<f64>),
    /// The hold of the draft; none where there is none, or none on the way up.
    pub draft: Option<HoldRow>,
}

/// What the load breaks as it is.
#[derive(Clone, Debug, PartialEq)]
pub struct Broken {
    /// Check.
    pub check: &'static str,
    /// Whether it is a stop.
    pub stop: bool,
    /// What was found, as printed, at its worst.
    pub measured: Option<String>,
    /// The limit, as printed, with who set it and its standing.
    pub limit: Option<(String, Limit)>,
    /// Whether the review of the load does not have it: it is so in the cold case alone.
    pub cold_case_only: bool,
}

/// A shorter program.
#[derive(Clone, Debug)]
pub struct Shorter {
    /// Segments that were searched.
    pub rows: Vec<Row>,
    /// The plan with them; approvals are marked and signatures gone as after any edit.
    pub plan: Plan,
    /// Checks that spoke before and speak still.
    pub remain: Vec<&'static str>,
    /// By the clock before and after, min.
    pub clock_min: (f64, f64),
    /// By what it was judged.
    pub judged: Judged,
    /// What holds keep to spare; none where nobody has set it.
    pub hold_margin: Option<Limit>,
}

/// By what trials were judged, as it was for the program as it is.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Judged {
    /// Checks that ran.
    pub ran: usize,
    /// Of these, those that lacked something.
    pub not_evaluated: usize,
    /// Of those evaluated, the ones that holds and ramps move.
    pub limits: Vec<&'static str>,
    /// Stops and cautions of the load as it is.
    pub broken: Vec<Broken>,
    /// Of these, stops that nobody has taken on.
    pub stops: usize,
}

impl Judged {
    /// By the review whose nominal case is the cold one, and that of the load as it is.
    fn by(review: &Review, as_is: &Review) -> Judged {
        let grave = review.findings.iter();
        let grave = grave.filter(|f| f.severity != Severity::Note && f.accepted.is_none());
        // Worst first, as the review has them; one check may have a stop and a caution.
        let mut seen = BTreeSet::new();
        let first = grave.filter(|f| seen.insert(f.check));
        let broken = first.map(|f| Broken {
            check: f.check,
            stop: f.severity == Severity::Stop,
            measured: f.measured.map(|m| m.shown()),
            limit: f.limit_shown().zip(f.limit.clone()),
            cold_case_only: as_is.findings.iter().all(|a| a.check != f.check),
        });
        let broken = broken.collect();
        let lacks = |slug: &str| review.missing.iter().any(|m| m.check == slug);
        let off = |slug: &str| review.off.iter().any(|(o, _)| *o == slug);
        let moved =
            all_checks().filter(|c| c.needs == Needs::Forecast || c.family == Family::Profile);
        let moved = moved.filter(|c| c.severity != Severity::Note);
        let limits = moved.map(|c| c.slug).filter(|s| !lacks(s) && !off(s));
        Judged {
            ran: review.ran,
            not_evaluated: review.not_evaluated(),
            limits: limits.collect(),
            broken,
            stops: as_is.open_stops(),
        }
    }
}

/// Why there is none.
#[derive(Clone, Debug, PartialEq)]
pub enum NoShorter {
    /// No forecast.
    Forecast(NoForecast),
    /// Limits are to be kept in the cold and the hot case, which there are not.
    Cases(WhyNoCases),
    /// An edit of the plan failed: a sentence.
    Edit(String),
    /// A segment from 0 that the program has not, of so many.
    Segment(usize, usize),
}

impl fmt::Display for NoShorter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            NoShorter::Forecast(why) => why.fmt(f),
            NoShorter::Cases(why) => {
                f.write_str(&crate::text::ways::shorter_needs_cases(&why.to_string()))
            }
            NoShorter::Edit(said) => f.write_str(said),
            NoShorter::Segment(at, of) => f.write_str(&crate::text::ways::shorter_no_segment(
                at.wrapping_add(1),
                *of,
            )),
        }
    }
}

impl std::error::Error for NoShorter {}

/// A finding as it is told again: check and subjects.
type Key = (&'static str, String);

/// What a program is judged by.
struct Bench<'a> {
    asked: &'a Asked<'a>,
    prepared: &'a Prepared,
    standard: Option<&'a Plan>,
    /// What holds and ramps do not move: bodies, clearances, masses.
    facts: OnceCell<Facts>,
    /// What holds keep to spare, min.
    hold_margin_min: f64,
    /// Segments that have a hold in the program as it is.
    held: Vec<usize>,
    /// Programs that were tried already.
    known: RefCell<Vec<(Program, Rc<Trial>)>>,
    cancelled: &'a (dyn Fn() -> bool + Sync),
}

/// A program, tried.
struct Trial {
    review: Review,
    holds: Vec<HoldRow>,
    /// Least density of each kind, and binder left after each hold, in the cold case.
    dense: Vec<Option<f64>>,
    left: Vec<f64>,
}

impl Trial {
    /// Stops and cautions with the margin of each.
    fn found(&self) -> BTreeMap<Key, Option<f64>> {
        let grave = self.review.findings.iter();
        let grave = grave.filter(|f| f.severity != Severity::Note);
        let mut out: BTreeMap<Key, Option<f64>> = BTreeMap::new();
        for f in grave {
            let subjects: Vec<String> = f.subjects.iter().map(|s| s.key()).collect();
            let margin = f.margin();
            let at = out.entry((f.check, subjects.join(" "))).or_insert(margin);
            if let (Some(worst), Some(this)) = (at.as_mut(), margin) {
                *worst = worst.min(this);
            }
        }
        out
    }

    /// What each hold has to spare in the case that has least of it, min, by its segment.
    fn spare(&self) -> BTreeMap<usize, f64> {
        let each = self.holds.iter().map(|h| (h.segment, spare_min(h)));
        each.collect()
    }
}

/// What a hold has to spare: beyond what it needs, there or where another finishes it; where it needs
/// nothing what its coldest place gets of it.
pub fn spare_min(hold: &HoldRow) -> f64 {
    let Some(need) = &hold.need else {
        return hold.least_gets_min();
    };
    need.finished
        .map_or_else(|| need.margin_min(), |finished| finished.spare_min)
}

impl Bench<'_> {
    /// The plan with the steps of a program.
    fn plan(&self, program: &Program) -> Plan {
        let mut plan = self.asked.plan.clone();
        let profile = Arc::make_mut(&mut plan.profile);
        let before = &self.prepared.inputs.program.segments;
        for ((ours, was), is) in profile
            .segments
            .iter_mut()
            .zip(before)
            .zip(&program.segments)
        {
            // What did not move stays bit by bit as it was typed.
            if is.hold_s != was.hold_s {
                ours.hold_min = is.hold_s / 60.0;
            }
            if let (RampBy::Rate { k_min }, Pace::Rate(k_s)) = (&mut ours.ramp, is.pace)
                && is.pace != was.pace
            {
                *k_min = tidy(60.0 * k_s);
            }
        }
        plan
    }

    /// What a program gives; the nominal case is taken to be the cold one.
    fn tried(&self, program: &Program) -> Result<Rc<Trial>, NoShorter> {
        let known = self.known.borrow();
        if let Some((_, trial)) = known.iter().find(|(p, _)| p == program) {
            return Ok(Rc::clone(trial));
        }
        drop(known);
        let (cold, hot) = self.both(program)?;
        let plan = self.plan(program);
        let mut prepared = self.prepared.clone();
        prepared.inputs.program = program.clone();
        let asked = Asked {
            plan: &plan,
            ..*self.asked
        };
        let dense = least_density(&cold);
        let left = left_after_holds(&cold, &self.prepared.inputs, &self.held);
        let cases = Forecast {
            nominal: cold.clone(),
            cold: Some(cold),
            hot: Some(hot),
            figures: Vec::new(),
        };
        let made = Ok(PlanForecast::new(&asked, prepared, cases));
        let trial = Rc::new(Trial {
            review: self.review(&plan, &made),
            holds: made.map(|made| made.report.holds).unwrap_or_default(),
            dense,
            left,
        });
        let mut known = self.known.borrow_mut();
        known.push((program.clone(), Rc::clone(&trial)));
        Ok(trial)
    }

    fn review(&self, plan: &Plan, made: &Result<PlanForecast, NoForecast>) -> Review {
        let given = Given {
            plan,
            catalogue: self.asked.catalogue,
            shop: self.asked.shop,
            differences: &[],
            standard: self.standard,
            forecast: Some(made),
        };
        let facts = self.facts.get_or_init(|| Facts::new(&given));
        review_of(&given, facts.clone())
    }

    fn both(&self, program: &Program) -> Result<(CaseForecast, CaseForecast), NoShorter> {
        let failed = |fault| NoShorter::Forecast(NoForecast::Run(fault));
        let inputs = Inputs {
            program: program.clone(),
            ..self.prepared.inputs.clone()
        };
        let why = || NoShorter::Cases(self.prepared.no_cases.unwrap_or(WhyNoCases::Unknown("")));
        let cases = inputs.cases.as_ref().ok_or_else(why)?;
        let done = several(&inputs, &[&cases.cold, &cases.hot], false, self.cancelled);
        let mut done = done.map_err(failed)?.into_iter();
        done.next().zip(done.next()).ok_or_else(why)
    }
}

/// Least density of each kind; none where a place has none.
fn least_density(case: &CaseForecast) -> Vec<Option<f64>> {
    let kinds = case.matter.kinds.iter();
    let least = kinds.map(|k| densities(k.places.iter().map(|p| p.density)));
    least.map(|both| both.map(|(least, _)| least)).collect()
}

/// Binder left at the worst place at the end of each segment that has a hold now, kind by kind and
/// component by component.
fn left_after_holds(case: &CaseForecast, inputs: &Inputs, holds: &[usize]) -> Vec<f64> {
    let mut out = Vec::new();
    for &segment in holds {
        for (k, kind) in inputs.matter.iter().enumerate() {
            for c in 0..kind.components.len() {
                let end = case.matter.left_after(&case.run, k, c, segment);
                out.push(end.map_or(1.0, |(_, most)| most));
            }
        }
    }
    out
}

/// What may not take less time.
#[derive(Clone, Copy)]
struct Stays {
    segment: usize,
    /// Whether its ramp, too.
    ramp: bool,
    why: &'static str,
}

impl Stays {
    /// Whether it takes less time than it did.
    fn is_broken(&self, was: &Program, is: &Program) -> bool {
        let at = |program: &Program| program.segments.get(self.segment).copied();
        let Some((before, now)) = at(was).zip(at(is)) else {
            return false;
        };
        now.hold_s < before.hold_s || self.ramp && now.pace != before.pace
    }
}

/// Segments of which a part lies in the debind range of a feedstock with binder of which nobody knows
/// how it burns out.
fn unknown_burnout(asked: &Asked, prepared: &Prepared) -> Vec<Stays> {
    let program = &prepared.inputs.program;
    let mut out = Vec::new();
    for (kind, key) in prepared.keys.kinds.iter().enumerate() {
        let KindIs::Pieces { part, .. } = key.is else {
            continue;
        };
        let part = asked.plan.part(part);
        let records = part.and_then(|part| PartRecords::new(part, asked.catalogue));
        if prepared.unknown_burnout(kind).next().is_none() {
            continue;
        }
        let Some(range) = records.map(|r| r.feedstock.debind) else {
            continue;
        };
        // What cools has no binder left to burn out.
        let heats = program.segments.iter().enumerate();
        let heats = heats.take(program.peak_segment() + 1);
        let within = heats.filter(|(i, s)| {
            let from_k = program.from_k(*i);
            let (low, high) = (from_k.min(s.to_k) - ZERO_C, from_k.max(s.to_k) - ZERO_C);
            low < range.to_c && high > range.from_c
        });
        out.extend(within.map(|(segment, _)| Stays {
            segment,
            ramp: true,
            why: BURNOUT,
        }));
    }
    out
}

/// What may not get shorter, and why: nobody knows how much colder the coldest place is below the
/// survey, one that does not arrive would only stay colder, and nobody knows what some binder needs.
fn stays(asked: &Asked, prepared: &Prepared, holds: &[HoldRow]) -> Vec<Stays> {
    let inputs = &prepared.inputs;
    let known = |k: f64| inputs.cases.as_ref().and_then(|c| c.known_from_k(k));
    let all = inputs.program.segments.iter().enumerate();
    let unsurveyed = all.filter(|(_, s)| known(s.to_k).is_some());
    let late = holds.iter().filter(|h| h.least_gets_min() <= 0.0);
    let hold = |(segment, why)| Stays {
        segment,
        ramp: false,
        why,
    };
    let unsurveyed = unsurveyed.map(|(segment, _)| (segment, UNSURVEYED));
    let held = unsurveyed.chain(late.map(|h| (h.segment, LATE))).map(hold);
    held.chain(unknown_burnout(asked, prepared)).collect()
}

/// What holds keep to spare: the most that is asked for one of the load's parts.
fn hold_margin(asked: &Asked) -> Option<Limit> {
    let furnace = Some(asked.plan.load.furnace.clone());
    let contexts = asked.plan.parts.iter().map(|part| {
        let records = PartRecords::new(part, asked.catalogue);
        LimitContext {
            customer: None,
            feedstock: Some(part.feedstock.clone()),
            alloy: records.map(|r| r.alloy.id.clone()),
            furnace: furnace.clone(),
        }
    });
    let limits = contexts.filter_map(|context| asked.catalogue.limit(HOLD_MARGIN, &context));
    limits.max_by(|a, b| a.value.total_cmp(&b.value)).cloned()
}

/// Whether another length of a hold can mend a finding: of a check that holds move, and not of another
/// segment alone. `own` is the segment among subjects.
fn may_mend((slug, subjects): &Key, own: &str) -> bool {
    let is_moved = all_checks()
        .any(|c| c.slug == *slug && (c.needs == Needs::Forecast || c.family == Family::Profile));
    is_moved && (!subjects.contains("segment ") || format!(" {subjects} ").contains(own))
}

/// Searches all segments, or one (from 0), in the order of the program; what was found for one holds
/// for the next. `progress` is told which segment, from 0, of how many is begun.
///
/// # Errors
/// See [`NoShorter`]; `cancelled` is asked once a step.
pub fn shorter(
    asked: &Asked,
    standard: Option<&Plan>,
    only: Option<usize>,
    progress: &dyn Fn(usize, usize),
    cancelled: &(dyn Fn() -> bool + Sync),
) -> Result<Shorter, NoShorter> {
    let prepared = prepare(asked).map_err(|m| NoShorter::Forecast(NoForecast::Missing(m)))?;
    if let Some(why) = prepared.no_cases {
        return Err(NoShorter::Cases(why));
    }
    let hold_margin = hold_margin(asked);
    let all = prepared.inputs.program.segments.iter().enumerate();
    let held = all.filter(|(_, s)| s.hold_s > 0.0).map(|(i, _)| i);
    let bench = Bench {
        asked,
        prepared: &prepared,
        standard,
        facts: OnceCell::new(),
        hold_margin_min: hold_margin.as_ref().map_or(0.0, |l| l.value),
        held: held.collect(),
        known: RefCell::default(),
        cancelled,
    };
    let segments = prepared.inputs.program.segments.len();
    if let Some(only) = only.filter(|only| *only >= segments) {
        return Err(NoShorter::Segment(only, segments));
    }
    let mut inputs = prepared.inputs.clone();
    let was_s = length_s(&inputs.program);
    let as_is = bench.tried(&inputs.program)?;
    let judged = Judged::by(
        &as_is.review,
        &bench.review(asked.plan, &of(asked, cancelled)),
    );
    let (mut base, spare) = (as_is.found(), as_is.spare());
    let stays = stays(asked, &prepared, &as_is.holds);
    let furnace = asked.catalogue.furnace(&asked.plan.load.furnace);
    let mut rows = Vec::new();
    let mut from_k = inputs.program.start_k;
    for segment in 0..inputs.program.segments.len() {
        let Some(now) = inputs.program.segments.get(segment).copied() else {
            break;
        };
        let heats = now.to_k >= from_k;
        from_k = now.to_k;
        if only.is_some_and(|o| o != segment) {
            continue;
        }
        progress(segment, segments);
        // A hold that leaves something found: the length that mends most and breaks nothing.
        let (mut longest, mut mended) = (now.hold_s, Vec::new());
        let own = format!(
            " segment {} ",
            prepared.keys.segments.get(segment).map_or(0, |s| s.0)
        );
        if now.hold_s > 0.0 && base.keys().any(|key| may_mend(key, &own)) {
            for factor in LONGER {
                let mut program = inputs.program.clone();
                if let Some(s) = program.segments.get_mut(segment) {
                    s.hold_s = factor * now.hold_s;
                }
                let found = bench.tried(&program)?.found();
                let gone: Vec<Key> = base
                    .keys()
                    .filter(|k| !found.contains_key(*k))
                    .cloned()
                    .collect();
                if found.keys().any(|k| !base.contains_key(k)) {
                    break;
                }
                if gone.len() > mended.len() {
                    (longest, mended) = (factor * now.hold_s, gone);
                }
            }
        }
        let mut may_stay = base.clone();
        may_stay.retain(|key, _| !mended.contains(key));
        let judge = |program: &Program| -> Result<Vec<Margin>, NoShorter> {
            let trial = bench.tried(program)?;
            let mut margins: Vec<Margin> = trial
                .found()
                .into_iter()
                .map(|((check, subjects), margin)| {
                    let before = may_stay.get(&(check, subjects));
                    let margin = match (before, margin) {
                        (Some(Some(was)), Some(is)) => {
                            is - was + SAME * was.abs().max(is.abs()).max(1.0)
                        }
                        (Some(_), _) => 0.0,
                        (None, Some(is)) => is.min(-SAME),
                        (None, None) => -1.0,
                    };
                    Margin {
                        limit: check.to_owned(),
                        margin,
                    }
                })
                .collect();
            // A hold that has a component out has it out when it is shorter, too.
            let worse = trial.left.iter().zip(&as_is.left);
            let worse = worse.map(|(is, was)| was.max(BACKBONE_LEFT_WANTED) + SAME - is);
            margins.extend(worse.reduce(f64::min).map(|margin| Margin {
                limit: BINDER.to_owned(),
                margin,
            }));
            let broken = stays.iter();
            let broken = broken.filter(|s| s.is_broken(&prepared.inputs.program, program));
            margins.extend(broken.map(|s| Margin {
                limit: s.why.to_owned(),
                margin: -1.0,
            }));
            // A hold that has less to spare than it should keeps what it has.
            for (segment, is) in trial.spare() {
                if let Some(was) = spare.get(&segment) {
                    margins.push(Margin {
                        limit: HOLD_MARGIN.to_owned(),
                        margin: is - was.min(bench.hold_margin_min) + SAME,
                    });
                }
            }
            for (is, was) in trial.dense.iter().zip(&as_is.dense) {
                if let Some(was) = was {
                    margins.push(Margin {
                        limit: DENSITY.to_owned(),
                        margin: is.unwrap_or(0.0) - was + SAME_DENSITY,
                    });
                }
            }
            Ok(margins)
        };
        let most_k_min = furnace.map_or(0.0, |f| {
            if heats {
                f.ramp_max_k_min
            } else {
                f.cooling_max_k_min
            }
        });
        let search = Search {
            hold_min_s: HOLD_STEP_S,
            hold_max_s: longest,
            hold_step_s: HOLD_STEP_S,
            rate_max_k_s: most_k_min / 60.0,
            rate_step_k_s: RATE_STEP_K_S,
        };
        let Some(found) = shorten(&inputs.program, segment, &search, &judge)? else {
            continue;
        };
        // Never longer than it is by the rounding of a step alone.
        let hold_s = if mended.is_empty() {
            found.hold_s.1.min(now.hold_s)
        } else {
            found.hold_s.1
        };
        let typed = asked.plan.profile.segments.get(segment);
        let by_rate = typed.is_some_and(|s| matches!(s.ramp, RampBy::Rate { .. }));
        let before = inputs.program.clone();
        let before_s = length_s(&before);
        if let Some(s) = inputs.program.segments.get_mut(segment) {
            s.hold_s = hold_s;
            if let (true, Some((_, rate))) = (by_rate, found.rate_k_s) {
                s.pace = Pace::Rate(rate);
            }
        }
        if inputs.program != before {
            base = bench.tried(&inputs.program)?.found();
        }
        let hold = as_is.holds.iter().find(|h| h.segment == segment);
        rows.push(Row {
            segment,
            target_c: tidy(now.to_k - ZERO_C),
            hold_min: (tidy(now.hold_s / 60.0), tidy(hold_s / 60.0)),
            ramp_k_min: found
                .rate_k_s
                .filter(|_| by_rate)
                .map(|(a, b)| (tidy(60.0 * a), tidy(60.0 * b))),
            hold_bound_by: found.hold_bound_by,
            ramp_bound_by: found.ramp_bound_by,
            saved_min: tidy((before_s - length_s(&inputs.program)) / 60.0),
            draft: None,
            gets_needs_min: (
                hold.map(|h| {
                    let gets = h.need.as_ref().map_or(h.gets_min.nominal, |n| n.gets_min);
                    gets.min(h.clock_min)
                }),
                hold.and_then(|h| h.need.as_ref()).map(|n| n.need.minutes()),
            ),
        });
    }
    let draft = &bench.tried(&inputs.program)?.holds;
    for row in &mut rows {
        let mut holds = draft.iter();
        row.draft = holds.find(|h| h.segment == row.segment).cloned();
    }
    let mut remain: Vec<&'static str> = base.keys().map(|k| k.0).collect();
    remain.dedup();
    let mut plan = asked.plan.clone();
    let stepped = bench.plan(&inputs.program);
    for (was, is) in asked
        .plan
        .profile
        .segments
        .iter()
        .zip(&stepped.profile.segments)
    {
        if was != is {
            plan = Edit::ChangeSegment(is.clone())
                .apply(&plan, asked.catalogue)
                .map_err(|said| NoShorter::Edit(said.to_string()))?;
        }
    }
    Ok(Shorter {
        rows,
        plan,
        remain,
        clock_min: (tidy(was_s / 60.0), tidy(length_s(&inputs.program) / 60.0)),
        judged,
        hold_margin,
    })
}
