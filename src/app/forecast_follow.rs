//! The forecast follows the plan, and what is being dragged or typed on the profile board.

use super::profile_table::typed_segment;
use super::state::{App, View};
use super::wake;
use crate::catalogue::{Catalogue, ShopState};
use crate::document::{ForecastReads, Forecasted, Forecasts, MadeFor, Question};
use crate::load::Plan;
use crate::profile::Segment;
use egui::Context;
use std::sync::Arc;
use std::time::{Duration, Instant};

/// What was asked for, by the values it was asked of.
type Of = (Arc<Plan>, Arc<Catalogue>, Option<Arc<ShopState>>);

/// The worker and what it was asked.
pub(super) struct Forecasting {
    /// Not made at all where it is off: for tests that are about something else.
    on: bool,
    work: Option<Forecasts>,
    reads: ForecastReads,
    asked: Option<Of>,
    /// Segment as it was tried out last.
    tried: Option<(usize, Segment)>,
}

impl Default for Forecasting {
    fn default() -> Forecasting {
        Forecasting {
            on: true,
            work: None,
            reads: ForecastReads::default(),
            asked: None,
            tried: None,
        }
    }
}

impl Forecasting {
    /// The result for the plan as it is, where it has come.
    pub fn now(&mut self) -> Option<Forecasted> {
        self.work.as_mut()?.now()
    }

    /// Another document is open.
    pub fn forget(&mut self) {
        self.asked = None;
        self.tried = None;
        if let Some(work) = &mut self.work {
            work.forget();
        }
    }

    /// What there is to show, and what it was made for.
    pub fn shown(&mut self) -> Option<(Forecasted, MadeFor)> {
        self.work.as_mut()?.shown()
    }
}

impl App {
    /// A window that makes no forecast: what needs one is not evaluated.
    pub fn without_forecast(mut self) -> App {
        self.forecasting.on = false;
        self
    }

    /// Whether the forecast of the plan as it is, or of what is tried out, is being made.
    pub fn is_forecasting(&self) -> bool {
        let work = self.forecasting.work.as_ref();
        work.is_some_and(Forecasts::is_busy)
    }

    /// Whether a forecast is made at all.
    pub(super) fn is_followed(&self) -> bool {
        self.forecasting.work.is_some()
    }

    /// What the profile board shows of a forecast, and what that was made for.
    pub fn shown_forecast(&mut self) -> Option<(Forecasted, MadeFor)> {
        self.forecasting.shown()
    }

    /// Waits until the forecast is there, or for so long.
    pub(super) fn wait_for_forecast(&self, most: Duration) {
        let start = Instant::now();
        while self.is_forecasting() && start.elapsed() < most {
            std::thread::sleep(Duration::from_millis(2));
        }
    }

    pub(super) fn start_forecasting(&mut self, ctx: &Context) {
        let forecasting = &mut self.forecasting;
        if forecasting.on && forecasting.work.is_none() {
            let wake = wake(ctx);
            forecasting.work = Some(Forecasts::start(wake));
        }
    }

    /// Asks for what is not there: called once a pass, and costs nothing where nothing changed.
    pub(super) fn follow_forecast(&mut self) {
        let plan = Arc::clone(self.doc.plan());
        let catalogue = &self.working.catalogue;
        let shop = &self.working.shop;
        let Forecasting {
            work: Some(work),
            reads,
            asked,
            tried,
            ..
        } = &mut self.forecasting
        else {
            return;
        };
        let derived = &mut self.doc.derived;
        let mut question = |plan: &Arc<Plan>| Question {
            plan: Arc::clone(plan),
            catalogue: Arc::clone(catalogue),
            shop: shop.clone(),
            // A trial changes the profile alone, and bodies at green size know nothing of that.
            sizes: derived.sizes(self.doc.history.plan(), catalogue),
        };
        let same = |of: &&Of| {
            let shops = (
                of.2.as_ref().map(Arc::as_ptr),
                shop.as_ref().map(Arc::as_ptr),
            );
            Arc::ptr_eq(&of.0, &plan) && Arc::ptr_eq(&of.1, catalogue) && shops.0 == shops.1
        };
        if asked.as_ref().filter(same).is_none() {
            let input = reads.of(&plan, catalogue, shop.as_deref());
            work.ask(input, || question(&plan));
            *asked = Some((Arc::clone(&plan), Arc::clone(catalogue), shop.clone()));
        }
        let Some(trial) = trial(&self.view, &plan) else {
            *tried = None;
            work.end_trial(|| question(&plan));
            return;
        };
        if tried.as_ref() == Some(&trial) || (work.is_trying() && work.is_busy()) {
            return;
        }
        let mut changed = Plan::clone(&plan);
        let segments = &mut Arc::make_mut(&mut changed.profile).segments;
        if let Some(segment) = segments.get_mut(trial.0) {
            *segment = trial.1.clone();
        }
        let changed = Arc::new(changed);
        let input = reads.of(&changed, catalogue, shop.as_deref());
        if work.try_out(input, || question(&changed)) {
            *tried = Some(trial);
        }
    }
}

/// The segment that a hand is at, as it would be: dragged, or typed into the table and not yet
/// committed.
fn trial(view: &View, plan: &Plan) -> Option<(usize, Segment)> {
    let segments = &plan.profile.segments;
    let dragged = view.profile.dragged();
    let mut typed = segments.iter().enumerate().filter_map(|(index, segment)| {
        let typed = typed_segment(&view.typing, index, segment)?;
        Some((index, typed))
    });
    let (index, segment) = dragged.or_else(|| typed.next())?;
    (segments.get(index)? != &segment).then_some((index, segment))
}
