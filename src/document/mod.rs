//! The open document: its history, what follows from it, and the work in the background. No
//! window and no disk.
//!
//! - [`History`]: the plan's values, undo and redo, the saved mark
//! - [`Derived`]: sizes, clearances and tally, kept by what they were made from
//! - [`Preview`]: a drag before it is an edit
//! - [`Job`], [`Worker`], [`Latest`]: work on other threads
//! - [`Arranging`]: parts set out anew in the background, to be kept or not
//! - [`Forecasts`]: the forecast of the plan as it is, made in the background
//! - [`InputHash`]: what a result was made from

pub mod arranging;
pub mod backlog;
mod derived;
mod forecast_curves;
mod forecast_reads;
mod forecasts;
mod hash;
mod history;
mod holding;
mod job;
mod lying;
mod memo;
mod preview;
mod queue_bound;
pub mod queueing;
mod searching;
pub mod shorten;

pub use arranging::{Arranged, Arranging, Budget, ToArrange};
pub use derived::{Derived, Made};
pub use forecast_curves::{BandOfLoad, Curves, KindLines, Lines};
pub use forecast_reads::ForecastReads;
pub use forecasts::{Forecasted, Forecasts, Made as MadeForecast, MadeFor, Question};
pub use hash::{InputHash, InputHasher};
pub use history::{Applied, Change, Dropped, History, Keep, NUDGES_WITHIN};
pub use job::{Finished, Job, JobFault, Latest, Progress, Stopped, Ticket, Wake, Worker};
pub use preview::{Preview, PreviewGaps, preview_gaps};
pub use searching::Searching;

use crate::catalogue::{Catalogue, ShopState};
use crate::forecast::plan::{NoForecast, PlanForecast};
use crate::load::{Caps, Clearances, Plan, Tally};
use crate::review::{Contexts, Given, Prepared, Review, caps, review_of};
use crate::text::document as say;
use std::sync::Arc;

/// A plan that is open.
pub struct Document {
    /// Its values, undo and redo.
    pub history: History,
    /// What follows from it.
    pub derived: Derived,
    /// Under which name it was opened or saved; none before that. Only shown: where the file lies
    /// is not the document's to know.
    pub name: Option<String>,
}

impl Document {
    /// A plan that is as it was saved (or new and empty, so that nothing is lost by closing it).
    pub fn new(plan: Plan, name: Option<String>) -> Document {
        let mut document = Document::recovered(plan, name);
        document.history.mark_saved();
        document
    }

    /// A plan that is not as it was saved, or was never saved.
    pub fn recovered(plan: Plan, name: Option<String>) -> Document {
        Document {
            history: History::new(plan),
            derived: Derived::default(),
            name,
        }
    }

    /// The plan as it is now.
    pub fn plan(&self) -> &Arc<Plan> {
        self.history.plan()
    }

    /// Name, or the plan's title where there is none yet; with a star when something is not saved.
    pub fn title(&self) -> String {
        let untitled = say::untitled();
        let title = self.plan().title.trim();
        let name = match &self.name {
            Some(name) => name,
            None if title.is_empty() => &untitled,
            None => title,
        };
        say::title(name, self.history.is_saved())
    }

    /// Clearances of the plan as it is now; none where its furnace is not in the catalogue.
    pub fn clearances(&mut self, catalogue: &Catalogue, caps: &Caps) -> Option<Arc<Clearances>> {
        let plan = self.history.plan();
        let furnace = catalogue.furnace(&plan.load.furnace)?;
        Some(self.derived.clearances(plan, catalogue, furnace, caps))
    }

    /// The review of the plan as it is now, from what is kept, and how far it looked for gaps.
    pub fn review(
        &mut self,
        catalogue: &Catalogue,
        shop: Option<&ShopState>,
        differences: &[(String, String)],
        standard: Option<&Plan>,
        forecast: Option<&Result<PlanForecast, NoForecast>>,
    ) -> (Review, Caps) {
        let plan = Arc::clone(self.plan());
        let given = Given {
            plan: &plan,
            catalogue,
            shop,
            differences,
            standard,
            forecast,
        };
        let contexts = Contexts::new(&plan, catalogue);
        let caps = caps(&given, &contexts);
        let prepared = Prepared {
            sizes: self.derived.sizes(&plan, catalogue),
            clearances: self.clearances(catalogue, &caps),
            tally: self.tally(catalogue),
            contexts,
        };
        (review_of(&given, prepared), caps)
    }

    /// Tally of the plan as it is now.
    pub fn tally(&mut self, catalogue: &Catalogue) -> Arc<Tally> {
        let plan = self.history.plan();
        let furnace = catalogue.furnace(&plan.load.furnace);
        let furnace = furnace.map(AsRef::as_ref);
        self.derived.tally(plan, catalogue, furnace)
    }
}
