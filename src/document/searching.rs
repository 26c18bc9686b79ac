//! A search in the background that can be told to stop with what it has so far.

use super::hash::InputHash;
use super::job::{Finished, Job, Progress, Stopped, Ticket, Wake};
use crate::arrange::Watch;
use crate::text::{locale, set_locale};
use std::sync::Arc;
use std::sync::atomic::Ordering;

/// A search that runs, or has ended; stopped when it is dropped.
pub struct Searching<T> {
    watch: Arc<Watch>,
    job: Job<T>,
}

impl<T> Drop for Searching<T> {
    fn drop(&mut self) {
        self.stop();
    }
}

impl<T: Send + Sync + 'static> Searching<T> {
    /// Starts it. `wake` is called when there is something new.
    pub(super) fn start(
        name: &str,
        input: InputHash,
        wake: Wake,
        work: impl FnOnce(&Watch, &Ticket) -> Result<T, Stopped> + Send + 'static,
    ) -> Searching<T> {
        let watch = Arc::new(Watch::default());
        let watched = Arc::clone(&watch);
        let language = locale();
        let work = move |ticket: &Ticket| {
            // Sentences are made where the work is done.
            set_locale(language);
            work(&watched, ticket)
        };
        Searching {
            watch,
            job: Job::start(name, input, wake, work),
        }
    }
}

impl<T> Searching<T> {
    /// What it tells on its way.
    pub(super) fn watch(&self) -> &Watch {
        &self.watch
    }

    /// Stops with what it has so far.
    pub fn stop(&self) {
        self.watch.cancel.store(true, Ordering::Relaxed);
    }

    /// Whether it was told to stop.
    pub fn is_stopped(&self) -> bool {
        self.watch.cancelled()
    }

    /// Whether it is still at work.
    pub fn is_running(&self) -> bool {
        self.job.finished().is_none()
    }

    /// What it is at.
    pub fn progress(&self) -> Progress {
        self.job.progress()
    }

    /// What came of it, once it has ended.
    pub fn finished(&self) -> Option<Arc<Finished<T>>> {
        self.job.finished()
    }
}
