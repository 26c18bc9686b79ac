//! What is asked of a forecast beyond the forecast, on tabs under the curve: a run that was
//! stopped, a shorter program, cost, figures from measurements. The answers are those of the
//! command line; they are made on threads of their own and never touch the document.

mod cost;
mod measured;
mod shorten;
mod stopped;

use super::forecast_plot::Below;
use super::state::{App, Ask};
use super::theme::Tokens;
use crate::app::wake;
use crate::catalogue::{Catalogue, ShopState};
use crate::document::{Finished, InputHash, Job, Question, Stopped, Ticket};
use crate::load::Plan;
use crate::text::ways_window as say;
use egui::{Context, Label, RichText, Ui};
use std::path::PathBuf;
use std::sync::Arc;
use std::time::{Duration, Instant};

/// Questions and their answers.
#[derive(Default)]
pub struct Ways {
    stopped: stopped::StoppedForm,
    shorten: shorten::ShortenForm,
    cost: cost::CostForm,
    measured: measured::MeasuredForm,
}

/// Work on a question, and what it was asked of.
struct Work<T> {
    job: Job<Result<T, String>>,
    plan: Arc<Plan>,
    catalogue: Arc<Catalogue>,
    shop: Option<Arc<ShopState>>,
}

impl<T: Send + Sync + 'static> Work<T> {
    fn start(
        ctx: &Context,
        name: &str,
        of: Question,
        work: impl FnOnce(&Question, &Ticket) -> Result<Result<T, String>, Stopped> + Send + 'static,
    ) -> Work<T> {
        let wake = wake(ctx);
        let (plan, catalogue) = (Arc::clone(&of.plan), Arc::clone(&of.catalogue));
        let shop = of.shop.clone();
        // What it was asked of is told by the values themselves.
        let input = InputHash::of(&name);
        let job = Job::start(name, input, wake, move |ticket| work(&of, ticket));
        Work {
            job,
            plan,
            catalogue,
            shop,
        }
    }
}

/// Whether there is work, and it goes on.
fn is_running<T>(work: &Option<Work<T>>) -> bool {
    work.as_ref().is_some_and(Work::is_running)
}

impl<T> Work<T> {
    fn is_running(&self) -> bool {
        self.job.finished().is_none()
    }

    fn finished(&self) -> Option<Arc<Finished<Result<T, String>>>> {
        self.job.finished()
    }

    /// Whether it is of the plan and the records as they are.
    fn is_current(&self, app: &App) -> bool {
        let shops = (
            self.shop.as_ref().map(Arc::as_ptr),
            app.working.shop.as_ref().map(Arc::as_ptr),
        );
        Arc::ptr_eq(&self.plan, app.doc.plan())
            && Arc::ptr_eq(&self.catalogue, &app.working.catalogue)
            && shops.0 == shops.1
    }
}

/// The answer, or why there is none, in a sentence.
fn answer<'a, T>(
    finished: &'a Finished<Result<T, String>>,
    question: &str,
) -> Result<&'a T, String> {
    match &finished.result {
        Ok(Ok(answer)) => Ok(answer),
        Ok(Err(sentence)) => Err(sentence.clone()),
        Err(fault) => Err(fault.sentence(question)),
    }
}

/// A sentence over as many lines as it takes.
fn line(ui: &mut Ui, text: impl Into<RichText>) {
    ui.add(Label::new(text.into()).wrap());
}

/// One that needs attention.
fn caution_line(ui: &mut Ui, text: String) {
    let color = Tokens::of(ui.ctx()).caution;
    line(ui, RichText::new(text).color(color));
}

/// One of less weight.
fn weak_line(ui: &mut Ui, text: String) {
    let color = Tokens::of(ui.ctx()).weak;
    line(ui, RichText::new(text).color(color));
}

impl Ways {
    /// Another document is open: what runs, and what was found, is of one that is gone.
    pub(super) fn forget(&mut self) {
        *self = Ways::default();
    }
}

impl App {
    /// Whether a question is being worked on.
    pub fn is_working_on_a_question(&self) -> bool {
        let ways = &self.ways;
        ways.stopped.is_running() || ways.shorten.is_running() || ways.measured.is_running()
    }

    /// Asks the question of a tab, of a stop half way through the program, and waits for the
    /// answer, or for so long.
    pub(super) fn answer_now(&mut self, ctx: &Context, tab: Below, most: Duration) {
        match tab {
            Below::Stopped => self.ask_half_way(ctx),
            Below::Shorten => self.search_shorter(ctx),
            _ => return,
        }
        let start = Instant::now();
        while self.is_working_on_a_question() && start.elapsed() < most {
            std::thread::sleep(Duration::from_millis(2));
        }
    }

    /// The plan as it is, as a question is asked of it.
    fn question(&mut self) -> Question {
        let catalogue = Arc::clone(&self.working.catalogue);
        Question {
            plan: Arc::clone(self.doc.plan()),
            shop: self.working.shop.clone(),
            sizes: self
                .doc
                .derived
                .sizes(self.doc.history.plan(), &self.working.catalogue),
            catalogue,
        }
    }

    /// A file that was asked for on one of the tabs.
    pub(super) fn take_file_of_question(&mut self, ctx: &Context, ask: Ask, path: PathBuf) {
        match ask {
            Ask::RunLog => {
                self.under_the_profile(Below::Stopped);
                self.take_run_log(ctx, path);
            }
            Ask::EmptyRun | Ask::LoadedRun | Ask::Pieces => {
                self.under_the_profile(Below::Measured);
                self.take_measured(ctx, ask, path);
            }
            Ask::Draft => self.save_shorter(&path),
            Ask::Open
            | Ask::SaveAs
            | Ask::Import
            | Ask::ShopFolder
            | Ask::Lots
            | Ask::Backlog
            | Ask::Compare => {}
        }
    }

    /// That what is shown is of another state, where it is.
    fn say_if_stale<T>(&self, ui: &mut Ui, work: &Work<T>) {
        if !work.is_current(self) {
            caution_line(ui, say::stale());
        }
    }
}
