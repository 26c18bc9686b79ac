//! The forecast of the plan as it is now, made on another thread, and of what a person tries out
//! before it is an edit.
//!
//! The newest plan wins and cancels what runs for an older one. A trial (a point being dragged, a
//! hold being typed) waits instead until what runs has ended: cancelled at every move of the hand,
//! none would ever come. Results are kept by what they were made from, so that an undo finds them.

use super::forecast_curves::Curves;
use super::hash::InputHash;
use super::job::{Finished, Stopped, Ticket, Wake, Worker};
use crate::catalogue::{Catalogue, ShopState};
use crate::forecast::plan::{Asked, NoForecast, PlanForecast, of};
use crate::load::{Plan, Sizes};
use std::sync::Arc;

/// Results kept: enough for some steps of undo and back (assumed).
const KEPT: usize = 8;

/// What a forecast is made from.
#[derive(Clone)]
pub struct Question {
    /// The plan.
    pub plan: Arc<Plan>,
    /// Records.
    pub catalogue: Arc<Catalogue>,
    /// State of the shop.
    pub shop: Option<Arc<ShopState>>,
    /// Bodies of the plan's parts at green size.
    pub sizes: Arc<Sizes>,
}

impl Question {
    /// As the forecast takes it.
    pub fn asked(&self) -> Asked<'_> {
        Asked {
            plan: &self.plan,
            catalogue: &self.catalogue,
            shop: self.shop.as_deref(),
            sizes: &self.sizes,
        }
    }
}

/// A forecast with what is shown of it.
#[derive(Clone)]
pub struct Made {
    /// The plan that it was made for.
    pub plan: Arc<Plan>,
    /// The records that it was made from.
    pub catalogue: Arc<Catalogue>,
    /// The forecast, or why there is none.
    pub result: Result<PlanForecast, NoForecast>,
    /// Its lines over time, where there is one.
    pub curves: Option<Curves>,
}

/// A result, or that the work on it failed.
pub type Forecasted = Arc<Finished<Made>>;

/// What a result that is shown was made for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MadeFor {
    /// The plan as it is.
    Now,
    /// What is being tried out. It follows the hand and may lie a moment behind it.
    Trial,
    /// An earlier state of the plan.
    Earlier,
}

/// The worker with what it made.
pub struct Forecasts {
    wake: Wake,
    worker: Worker<Question, Made>,
    /// Newest first.
    kept: Vec<Forecasted>,
    now: Option<InputHash>,
    /// Inputs of the trial that is on, and the one asked for last.
    trials: Vec<InputHash>,
}

impl Forecasts {
    /// Starts the thread; it waits until it is asked. `wake` is called when a result is there.
    pub fn start(wake: Wake) -> Forecasts {
        Forecasts {
            worker: Worker::start("forecast", Arc::clone(&wake), make),
            wake,
            kept: Vec::new(),
            now: None,
            trials: Vec::new(),
        }
    }

    /// Forgets all that was made: another plan is open, and this one's is not an earlier state of
    /// it.
    pub fn forget(&mut self) {
        *self = Forecasts::start(Arc::clone(&self.wake));
    }

    /// Asks for the forecast of the plan as it is now.
    pub fn ask(&mut self, input: InputHash, question: impl FnOnce() -> Question) {
        self.now = Some(input);
        if self.find(input).is_some() {
            // What runs is for something else.
            self.worker.drop_wanted();
        } else {
            self.worker.ask(input, question());
        }
    }

    /// Asks for the forecast of something that is not in the plan yet. Does nothing while another
    /// trial is being computed; to be called again when that has ended. Whether it was taken.
    pub fn try_out(&mut self, input: InputHash, question: impl FnOnce() -> Question) -> bool {
        if self.trials.last() == Some(&input) {
            return true;
        }
        let there = self.find(input).is_some();
        if !there && !self.trials.is_empty() && self.worker.is_busy() {
            return false;
        }
        self.trials.push(input);
        // The one that is on and the one asked for last; older results are gone anyway.
        if self.trials.len() > 2 {
            self.trials.remove(0);
        }
        if there {
            self.worker.drop_wanted();
        } else {
            self.worker.ask(input, question());
        }
        true
    }

    /// The trial is over. What the plan needs is to be asked for again where it is not there.
    pub fn end_trial(&mut self, question: impl FnOnce() -> Question) {
        if std::mem::take(&mut self.trials).is_empty() {
            return;
        }
        if let Some(now) = self.now {
            self.ask(now, question);
        }
    }

    /// Whether something is being tried out.
    pub fn is_trying(&self) -> bool {
        !self.trials.is_empty()
    }

    /// Whether something is being computed.
    pub fn is_busy(&self) -> bool {
        self.worker.is_busy()
    }

    /// The result for the plan as it is now, where it is there.
    pub fn now(&mut self) -> Option<Forecasted> {
        let now = self.now?;
        let found = self.find(now)?;
        self.kept.retain(|kept| kept.input != now);
        self.kept.insert(0, Arc::clone(&found));
        self.kept.truncate(KEPT);
        Some(found)
    }

    /// What there is to show, and what it was made for.
    pub fn shown(&mut self) -> Option<(Forecasted, MadeFor)> {
        if self.is_trying() {
            let mut trials = self.trials.iter().rev();
            if let Some(made) = trials.find_map(|input| self.find(*input)) {
                return Some((made, MadeFor::Trial));
            }
            let before = self.now().or_else(|| self.kept.first().cloned())?;
            return Some((before, MadeFor::Earlier));
        }
        if let Some(now) = self.now() {
            return Some((now, MadeFor::Now));
        }
        let earlier = self.kept.first().cloned();
        let earlier = earlier.or_else(|| self.worker.newest())?;
        Some((earlier, MadeFor::Earlier))
    }

    fn find(&self, input: InputHash) -> Option<Forecasted> {
        let newest = self.worker.newest();
        let mut all = self.kept.iter().chain(newest.as_ref());
        all.find(|made| made.input == input).cloned()
    }
}

fn make(question: Question, ticket: &Ticket) -> Result<Made, Stopped> {
    let result = of(&question.asked(), &|| ticket.go_on().is_err());
    // One that was cancelled is no result.
    ticket.go_on()?;
    let made = result.as_ref().ok();
    Ok(Made {
        curves: made.map(Curves::of),
        result,
        plan: Arc::clone(&question.plan),
        catalogue: Arc::clone(&question.catalogue),
    })
}
