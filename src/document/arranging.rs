//! Parts set out anew in the background: the search, what the review says of what it finds, and
//! the best so far for showing. The plan is not touched: what is found is one edit, for whoever
//! asked to keep or not.

use super::hash::InputHash;
use super::job::{Ticket, Wake};
use super::lying;
use super::searching::Searching;
use crate::arrange::{
    Aims, Answer, Arrangement, Effort, First, Furniture, Keep, NotRearranged, Rearranged, Scope,
    SoFar, Trouble, Turning, Watch, Weights, Wish, rearrange,
};
use crate::catalogue::{Catalogue, Severity, ShopState};
use crate::files::Working;
use crate::forecast::plan::{Asked, NoForecast, PlanForecast, of};
use crate::load::{LotId, PlacementId, Plan, Sizes};
use crate::part::PartId;
use crate::review::{
    Contexts, Finding, Given, Needs, Review, Subject, caps, check_by_slug, review,
};
use crate::text::arranging as words;
use crate::text::findings::title;
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::atomic::Ordering;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

/// Searches that meet now and then; the answer depends on their number, so it is fixed.
pub const ISLANDS: usize = 2;

/// Largest seed that a window takes (assumed: more than anybody tries).
pub const MOST_SEED: u64 = 999_999;

/// How long to search, in words.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Budget {
    /// Some tenths of a second for a load.
    Quick,
    /// Some seconds.
    #[default]
    Thorough,
    /// Half a minute and more.
    Long,
}

impl Budget {
    /// All, the shortest first.
    pub const ALL: [Budget; 3] = [Budget::Quick, Budget::Thorough, Budget::Long];

    /// Places tried for a load (assumed).
    pub fn evaluations(self) -> u64 {
        match self {
            Budget::Quick => 300_000,
            Budget::Thorough => 3_000_000,
            Budget::Long => 30_000_000,
        }
    }

    /// Places tried for one filling of a load of a backlog, of which there are many (assumed).
    pub fn a_filling(self) -> u64 {
        match self {
            Budget::Quick => 50_000,
            Budget::Thorough => 400_000,
            Budget::Long => 3_000_000,
        }
    }

    /// In a word.
    pub fn word(self) -> &'static str {
        match self {
            Budget::Quick => "Quick",
            Budget::Thorough => "Thorough",
            Budget::Long => "Long",
        }
    }
}

/// What is to be arranged, and what the review knows beside it.
#[derive(Clone)]
pub struct ToArrange {
    /// The plan; new things are numbered from its next number on.
    pub plan: Arc<Plan>,
    /// Records.
    pub catalogue: Arc<Catalogue>,
    /// State of the shop.
    pub shop: Option<Arc<ShopState>>,
    /// Records in use that differ from those in the file: kind and slug.
    pub differences: Vec<(String, String)>,
    /// The standard load that the plan began from.
    pub standard: Option<Arc<Plan>>,
    /// What may be moved.
    pub scope: Scope,
    /// How it may be turned.
    pub turning: Turning,
    /// How parts may be turned for which that does not hold.
    pub turns: BTreeMap<PartId, Turning>,
    /// Whether parts may be laid on other faces.
    pub poses: bool,
    /// Where mesh files of parts are named from: the load's folder.
    pub folder: PathBuf,
    /// Whether levels may be set up anew with the posts and setters in stock.
    pub anew: bool,
    /// Which waiting lots go first.
    pub first: BTreeMap<LotId, First>,
    /// What counts besides.
    pub weights: Weights,
    /// Places tried.
    pub evaluations: u64,
    /// Another number gives another layout.
    pub seed: u64,
    /// Whether what the forecast finds counts, too; each time that takes some seconds.
    pub with_forecast: bool,
}

/// Findings that nobody has accepted, and what could not be judged.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Stops.
    pub stops: usize,
    /// Cautions.
    pub cautions: usize,
    /// Not evaluated.
    pub missing: usize,
}

impl Counts {
    /// Of a review.
    pub fn of(review: &Review) -> Counts {
        Counts {
            stops: review.open_stops(),
            cautions: review.open(Severity::Caution),
            missing: review.not_evaluated(),
        }
    }
}

/// What was found.
#[derive(Clone, Debug)]
pub struct Arranged {
    /// The layout.
    pub layout: Rearranged,
    /// The review before and after.
    pub counts: [Counts; 2],
    /// Whether the forecast was part of it.
    pub with_forecast: bool,
    /// Cautions that only the forecast has, and that were not there before: they are told, for a
    /// person to weigh; its stops keep a layout out.
    pub told: Vec<String>,
    /// Lots of which only some pieces stand then, and which stood or waited as a whole before: stops of
    /// the review that say that the rest waits.
    pub in_part: usize,
}

impl Arranged {
    /// What review and forecast say of the layout, in sentences.
    pub fn said(&self) -> String {
        let found = self.found();
        match self.in_part {
            0 => found,
            n => format!("{found} {}", words::lots_in_part(n)),
        }
    }

    fn found(&self) -> String {
        match (self.with_forecast, self.told.as_slice()) {
            (false, _) => words::without_forecast(),
            (true, []) => words::with_forecast(),
            (true, told) => words::forecast_tells(told),
        }
    }
}

impl ToArrange {
    /// Everything, by right angles, thoroughly, with the forecast, by the records in use.
    pub fn of(plan: Arc<Plan>, working: &Working) -> ToArrange {
        ToArrange {
            plan,
            catalogue: Arc::clone(&working.catalogue),
            shop: working.shop.clone(),
            differences: working.told_differences(),
            standard: working.standard.clone(),
            scope: Scope::Everything,
            turning: Turning::default(),
            turns: BTreeMap::new(),
            poses: false,
            folder: PathBuf::new(),
            anew: true,
            first: BTreeMap::new(),
            weights: Weights::default(),
            evaluations: Budget::default().evaluations(),
            seed: 1,
            with_forecast: true,
        }
    }

    fn given<'a>(&'a self, plan: &'a Plan) -> Given<'a> {
        Given {
            plan,
            catalogue: &self.catalogue,
            shop: self.shop.as_deref(),
            differences: &self.differences,
            standard: self.standard.as_deref(),
            forecast: None,
        }
    }

    /// What is wanted, with the distances that the review asks for.
    fn wish(&self) -> Wish {
        Wish {
            scope: self.scope,
            turning: self.turning,
            turns: self.turns.clone(),
            keep: distances(&self.given(&self.plan)),
        }
    }

    /// What is wanted besides distances.
    fn aims(&self) -> Aims {
        let shop = self.shop.as_deref();
        Aims {
            furniture: self.anew.then(|| Furniture::of(&self.plan, shop)),
            first: self.first.clone(),
            weights: self.weights,
        }
    }

    /// The review of a plan with its forecast; none where that was cancelled or there is none.
    fn review_with_forecast(&self, plan: &Plan, watch: &Watch) -> Option<Review> {
        let made = forecast_of(&self.given(plan), watch).ok()?;
        Some(review(&Given {
            forecast: Some(&Ok(made)),
            ..self.given(plan)
        }))
    }
}

/// The forecast of what is given to a review.
pub(super) fn forecast_of(given: &Given, watch: &Watch) -> Result<PlanForecast, NoForecast> {
    let sizes = Sizes::new(given.plan, given.catalogue);
    let asked = Asked {
        plan: given.plan,
        catalogue: given.catalogue,
        shop: given.shop,
        sizes: &sizes,
    };
    of(&asked, &|| watch.cancelled())
}

/// Arranges, and holds every layout that is to be kept against the review. `ready` is told each
/// task before it is searched, `word` what is being done.
///
/// # Errors
/// Why there is nothing to search.
pub fn arrange_plan(
    asked: &ToArrange,
    watch: &Watch,
    ready: &dyn Fn(&Arc<Arrangement>),
    word: &dyn Fn(&str),
) -> Result<Arranged, NotRearranged> {
    word(&words::making_ready());
    let set = Arrangement::new(&asked.plan, &asked.catalogue, asked.wish())?;
    let set = set.with(&Arc::new(asked.aims()));
    let set = match asked.poses {
        true => {
            let (plan, folder) = (Arc::clone(&asked.plan), asked.folder.clone());
            set.with_poses(Arc::new(move |watch| lying::poses(&plan, &folder, watch)))
        }
        false => set,
    };
    // Made beside the search: no layout is judged without it, and none waits for it.
    let before = OnceLock::new();
    let before = || before.get_or_init(|| review(&asked.given(&asked.plan)));
    let forecast_before = OnceLock::new();
    word(&words::searching());
    let look = |plan: &Plan| -> Look {
        word(&words::reviewing());
        let after = review(&asked.given(plan));
        let now = Now {
            plan,
            with_forecast: false,
        };
        let found = new_in(before(), &after, &asked.plan, &now).into_iter();
        let mut look = Look {
            troubles: found.map(|(_, trouble)| trouble).collect(),
            in_part: lots_in_part(&after),
            counts: Counts::of(&after),
            with_forecast: false,
            told: Vec::new(),
        };
        if look.troubles.is_empty() && asked.with_forecast && !watch.cancelled() {
            word(&words::forecasting());
            let was =
                forecast_before.get_or_init(|| asked.review_with_forecast(&asked.plan, watch));
            if let Some(was) = was
                && let Some(after) = asked.review_with_forecast(plan, watch)
            {
                let (stops, cautions): (Vec<_>, Vec<_>) = new_in(
                    was,
                    &after,
                    &asked.plan,
                    &Now {
                        plan,
                        with_forecast: true,
                    },
                )
                .into_iter()
                .partition(|(severity, _)| *severity == Severity::Stop);
                let troubles = stops.into_iter().map(|(_, trouble)| trouble);
                let mut told: Vec<String> = Vec::new();
                for (_, trouble) in cautions {
                    // Two of a check about the same are told once.
                    if !told.contains(&trouble.words) {
                        told.push(trouble.words);
                    }
                }
                look = Look {
                    troubles: troubles.collect(),
                    in_part: lots_in_part(&after),
                    counts: Counts::of(&after),
                    with_forecast: true,
                    told,
                };
            }
        }
        word(&words::searching());
        look
    };
    // What is kept in the end need not be what was judged last.
    let clean: RefCell<Vec<(Plan, Look)>> = RefCell::default();
    let judge = |plan: &Plan| {
        let look = look(plan);
        let troubles = look.troubles.clone();
        if troubles.is_empty() {
            clean.borrow_mut().push((plan.clone(), look));
        }
        troubles
    };
    let effort = Effort {
        evaluations: asked.evaluations,
        seed: asked.seed,
        islands: ISLANDS,
    };
    let layout = std::thread::scope(|scope| {
        scope.spawn(|| {
            before();
        });
        rearrange(set, effort, watch, &judge, ready)
    })?;
    let known = clean.into_inner().into_iter().rev();
    let known = known.map(|(plan, look)| (plan == *layout.plan).then_some(look));
    let last = layout.edit.is_some().then(|| {
        let known = known.flatten().next();
        known.unwrap_or_else(|| look(&layout.plan))
    });
    let with_forecast = last.as_ref().is_some_and(|look| look.with_forecast);
    let was = match forecast_before.get() {
        Some(Some(was)) if with_forecast => Counts::of(was),
        _ => Counts::of(before()),
    };
    let in_part = last.as_ref().map_or(0, |look| look.in_part);
    let in_part = in_part.saturating_sub(lots_in_part(before()));
    let (after, told) = last.map_or((was, Vec::new()), |look| (look.counts, look.told));
    Ok(Arranged {
        in_part,
        layout,
        counts: [was, after],
        with_forecast,
        told,
    })
}

/// What review and forecast say of a layout.
struct Look {
    /// What keeps it out.
    troubles: Vec<Trouble>,
    counts: Counts,
    /// Stops that say that a lot stands in part.
    in_part: usize,
    with_forecast: bool,
    /// New cautions of the forecast alone.
    told: Vec<String>,
}

/// Distances that the review of a plan asks for.
pub(super) fn distances(given: &Given) -> Keep {
    let far = caps(given, &Contexts::new(given.plan, given.catalogue));
    Keep {
        gap_mm: far.gap_mm,
        edge_mm: far.edge_mm,
        head_mm: far.head_mm,
        roof_mm: far.roof_mm,
        sensor_mm: far.sensor_mm,
    }
}

/// A plan that is judged.
struct Now<'a> {
    plan: &'a Plan,
    /// Whether its review has a forecast.
    with_forecast: bool,
}

/// The check of how many pieces of a lot stand.
const LOT_COUNT: &str = "lot-count-mismatch";

/// Open stops that say that a lot stands in part.
fn lots_in_part(review: &Review) -> usize {
    let all = review.findings.iter();
    let in_part = all.filter(|f| f.check == LOT_COUNT && f.severity == Severity::Stop);
    in_part.filter(|f| !f.is_gone()).count()
}

/// Stops and cautions of a review that the one before has not. Findings of pairs are counted for
/// each check, since pieces that change places meet others; all others are told by what they are
/// about; a stop, and what is found of a part that lies on another face, also by its value. What is accepted counts as
/// little as what was there.
fn new_in(
    before: &Review,
    after: &Review,
    plan_before: &Plan,
    &Now {
        plan,
        with_forecast,
    }: &Now,
) -> Vec<(Severity, Trouble)> {
    fn grave(review: &Review) -> impl Iterator<Item = &Finding> {
        let all = review.findings.iter();
        all.filter(|f| f.severity != Severity::Note && !f.is_gone())
    }
    let on_things = |f: &Finding| {
        !f.subjects.is_empty()
            && f.subjects
                .iter()
                .all(|s| matches!(s, Subject::Placement(_)))
    };
    let mut counted: BTreeMap<(&str, Severity), usize> = BTreeMap::new();
    for finding in grave(before).filter(|f| on_things(f)) {
        *counted
            .entry((finding.check, finding.severity))
            .or_default() += 1;
    }
    let was = |id: PartId| plan_before.part(id).map(|part| part.rest);
    let laid = |subject: &Subject| match subject {
        Subject::Part(id) => plan
            .part(*id)
            .is_some_and(|part| was(*id) != Some(part.rest)),
        _ => false,
    };
    // A stop that is there already is no leave to make it worse, but for what nobody can read off.
    let as_bad = |f: &Finding, g: &Finding| {
        f.is_no_worse_than(g) || f.measured.is_some() && f.value_to_accept() == g.value_to_accept()
    };
    let known = |f: &Finding| {
        let valued = f.severity == Severity::Stop || f.subjects.iter().any(laid);
        let same = |g: &Finding| {
            g.check == f.check
                && g.subjects == f.subjects
                && g.severity >= f.severity
                && (!valued || as_bad(f, g))
        };
        grave(before).any(same)
    };
    let mut new: BTreeMap<(&str, Severity), Vec<&Finding>> = BTreeMap::new();
    let mut found = Vec::new();
    for finding in grave(after) {
        // That a lot waits in part is told beside what was left out.
        if finding.check == LOT_COUNT {
            continue;
        }
        let of_forecast = check_by_slug(finding.check).is_some_and(|c| c.needs == Needs::Forecast);
        if of_forecast && !with_forecast {
            continue;
        }
        if on_things(finding) {
            let key = (finding.check, finding.severity);
            new.entry(key).or_default().push(finding);
        } else if !known(finding) {
            found.push((finding.severity, trouble(finding, plan)));
        }
    }
    for (key, findings) in new {
        let allowed = counted.get(&key).copied().unwrap_or(0);
        if findings.len() > allowed {
            let all = findings.iter().filter(|f| !known(f));
            found.extend(all.map(|f| (f.severity, trouble(f, plan))));
        }
    }
    found
}

/// What a finding says of a layout.
pub(super) fn trouble(finding: &Finding, plan: &Plan) -> Trouble {
    let mut told = Trouble::default();
    let mut about = Vec::new();
    for subject in &finding.subjects {
        match subject {
            Subject::Placement(id) => told.placements.push(*id),
            Subject::Level(id) => told.levels.push(*id),
            Subject::Lot(id) => told.lots.push(*id),
            Subject::Part(id) => told.parts.push(*id),
            _ => {}
        }
        about.push(subject.label(plan));
    }
    told.words = words::new_finding(&title(finding.check), &about);
    told
}

/// What a job gives back.
pub type ArrangedOrNot = Result<Arranged, NotRearranged>;

/// A search that runs, or has ended.
pub struct Arranging {
    of: Arc<Plan>,
    catalogue: Arc<Catalogue>,
    set: Arc<Mutex<Option<Arc<Arrangement>>>>,
    search: Searching<ArrangedOrNot>,
    shown: Option<(Answer, Arc<Plan>, SoFar)>,
    first_new: PlacementId,
}

impl Arranging {
    /// Starts it. `of` is the plan as it is open, which the one that is asked for may be but for
    /// its next number. `wake` is called when there is something new.
    pub fn start(of: Arc<Plan>, asked: ToArrange, wake: Wake) -> Arranging {
        let set: Arc<Mutex<Option<Arc<Arrangement>>>> = Arc::default();
        let told = Arc::clone(&set);
        let first_new = PlacementId(asked.plan.next_id);
        let catalogue = Arc::clone(&asked.catalogue);
        let input = InputHash::of(&(asked.seed, asked.evaluations, asked.plan.next_id));
        let work = move |watch: &Watch, ticket: &Ticket| {
            let ready = |made: &Arc<Arrangement>| {
                *told.lock().unwrap_or_else(PoisonError::into_inner) = Some(Arc::clone(made));
            };
            let word = |word: &str| ticket.progress(0.0, word);
            Ok(arrange_plan(&asked, watch, &ready, &word))
        };
        Arranging {
            of,
            catalogue,
            set,
            search: Searching::start("arrange", input, wake, work),
            shown: None,
            first_new,
        }
    }

    /// The plan that it was started on.
    pub fn of(&self) -> &Arc<Plan> {
        &self.of
    }

    /// The records that it was started with.
    pub fn catalogue(&self) -> &Arc<Catalogue> {
        &self.catalogue
    }

    /// The search itself.
    pub fn search(&self) -> &Searching<ArrangedOrNot> {
        &self.search
    }

    /// The best so far as a plan, for showing; none before the first. Made anew only where it is
    /// another one.
    pub fn best(&mut self) -> Option<(Arc<Plan>, SoFar)> {
        let (best, set) = {
            // Under the lock of the best its task does not change.
            let best = self.search.watch().best.lock();
            let best = best.unwrap_or_else(PoisonError::into_inner);
            let set = self.set.lock().unwrap_or_else(PoisonError::into_inner);
            (best.clone(), set.clone())
        };
        if let Some((best, set)) = best.zip(set)
            && self.shown.as_ref().is_none_or(|(of, ..)| *of != best)
            && let Some(plan) = set.shown(&best)
        {
            let so_far = set.so_far(&best, &plan);
            self.shown = Some((best, Arc::new(plan), so_far));
        }
        let shown = self.shown.as_ref();
        shown.map(|(_, plan, so_far)| (Arc::clone(plan), *so_far))
    }

    /// Places tried so far.
    pub fn tried(&self) -> u64 {
        self.search.watch().tried.load(Ordering::Relaxed)
    }

    /// Number of the first thing that is new in what is shown.
    pub fn first_new(&self) -> PlacementId {
        self.first_new
    }
}
