//! Work on other threads: cancelled when it is dropped, and a panic in it is a sentence.
//!
//! [`Job`] does one thing once. [`Worker`] does the same thing again for the newest input. Neither
//! touches the document: it takes a value and gives a value back, with the hash of what it was
//! made from, so that a result for an earlier state can be drawn as one.

use super::hash::InputHash;
use crate::text::document as say;
use std::any::Any;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;

/// Called from the job's thread when there is something new to look at.
pub type Wake = Arc<dyn Fn() + Send + Sync>;

/// How far a job is.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Progress {
    /// Share done, 0 to 1.
    pub share: f64,
    /// What it is at, in a word or two.
    pub word: String,
}

/// The job was told to stop. Only a [`Ticket`] gives it out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stopped(());

/// Why a job has no result.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum JobFault {
    /// It panicked with this text.
    Panicked(Option<String>),
    /// The system gave it no thread, for this reason.
    NotStarted(String),
}

impl JobFault {
    /// The sentence; `what` names the job, for example "forecast".
    pub fn sentence(&self, what: &str) -> String {
        match self {
            JobFault::Panicked(Some(message)) => say::job_panicked(what, message),
            JobFault::Panicked(None) => say::job_panicked(what, &say::no_message()),
            JobFault::NotStarted(message) => say::job_not_started(what, message),
        }
    }
}

/// What a job holds: it asks here whether to go on and tells how far it is.
#[derive(Clone)]
pub struct Ticket {
    stop: Arc<AtomicBool>,
    progress: Arc<Mutex<Progress>>,
    wake: Wake,
}

impl Ticket {
    fn new(wake: Wake) -> Ticket {
        Ticket {
            stop: Arc::default(),
            progress: Arc::default(),
            wake,
        }
    }

    /// To be asked often: between steps of the work.
    ///
    /// # Errors
    /// [`Stopped`] when nobody wants the result any more: return at once.
    pub fn go_on(&self) -> Result<(), Stopped> {
        if self.stop.load(Ordering::Relaxed) {
            return Err(Stopped(()));
        }
        Ok(())
    }

    /// Tells how far the work is: a share from 0 to 1 and a word. Wakes only when a whole percent
    /// or the word has changed.
    pub fn progress(&self, share: f64, word: &str) {
        let share = if share.is_nan() {
            0.0
        } else {
            share.clamp(0.0, 1.0)
        };
        let mut now = lock(&self.progress);
        let percent = |share: f64| (share * 100.0).floor();
        let shown = percent(now.share) != percent(share) || now.word != word;
        *now = Progress {
            share,
            word: word.to_owned(),
        };
        drop(now);
        if shown {
            (self.wake)();
        }
    }

    fn cancel(&self) {
        self.stop.store(true, Ordering::Relaxed);
    }

    fn told(&self) -> Progress {
        lock(&self.progress).clone()
    }
}

/// No code of ours panics while it holds one of these locks, and a value in it is whole anyway.
fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Where a job leaves its result.
type Slot<T> = Arc<Mutex<Option<Arc<Finished<T>>>>>;

/// Does the work and leaves its result, unless nobody wants it any more.
fn run<T>(
    slot: &Slot<T>,
    input: InputHash,
    ticket: &Ticket,
    work: impl FnOnce() -> Result<T, Stopped>,
) {
    if ticket.go_on().is_err() {
        return;
    }
    // What the work owns is dropped with the panic; it shares nothing that it changes.
    let result = match catch_unwind(AssertUnwindSafe(work)) {
        Ok(Ok(value)) => Ok(value),
        Ok(Err(Stopped(()))) => return,
        Err(panic) => Err(JobFault::Panicked(message(&*panic))),
    };
    let mut slot = lock(slot);
    // Asked under the lock: whoever cancels and then looks into the slot finds either this result
    // or never will.
    if ticket.go_on().is_ok() {
        *slot = Some(Arc::new(Finished { input, result }));
    }
    drop(slot);
    (ticket.wake)();
}

fn message(panic: &(dyn Any + Send)) -> Option<String> {
    let text = panic.downcast_ref::<&str>().map(|text| (*text).to_owned());
    text.or_else(|| panic.downcast_ref::<String>().cloned())
}

fn start(name: &str, body: impl FnOnce() + Send + 'static) -> Result<(), JobFault> {
    let builder = thread::Builder::new().name(name.to_owned());
    match builder.spawn(body) {
        Ok(_) => Ok(()),
        Err(fault) => Err(JobFault::NotStarted(fault.to_string())),
    }
}

/// A result with the hash of what it was made from.
#[derive(Clone, Debug, PartialEq)]
pub struct Finished<T> {
    /// What it was made from.
    pub input: InputHash,
    /// The result, or why there is none.
    pub result: Result<T, JobFault>,
}

/// Work that runs once on its own thread. Dropping it cancels it and does not wait for it.
pub struct Job<T> {
    input: InputHash,
    ticket: Ticket,
    finished: Slot<T>,
}

impl<T: Send + Sync + 'static> Job<T> {
    /// Starts work on a thread called `name`. `input` is the hash of what it works on.
    pub fn start(
        name: &str,
        input: InputHash,
        wake: Wake,
        work: impl FnOnce(&Ticket) -> Result<T, Stopped> + Send + 'static,
    ) -> Job<T> {
        let job = Job {
            input,
            ticket: Ticket::new(wake),
            finished: Arc::default(),
        };
        let (ticket, slot) = (job.ticket.clone(), Arc::clone(&job.finished));
        let body = move || {
            run(&slot, input, &ticket, || work(&ticket));
        };
        if let Err(fault) = start(name, body) {
            let result = Err(fault);
            *lock(&job.finished) = Some(Arc::new(Finished { input, result }));
        }
        job
    }
}

impl<T> Job<T> {
    /// Hash of what it works on.
    pub fn input(&self) -> InputHash {
        self.input
    }

    /// How far it is.
    pub fn progress(&self) -> Progress {
        self.ticket.told()
    }

    /// The result, once there is one; a cancelled job has none.
    pub fn finished(&self) -> Option<Arc<Finished<T>>> {
        lock(&self.finished).clone()
    }

    /// Tells it to stop.
    pub fn cancel(&self) {
        self.ticket.cancel();
    }
}

impl<T> Drop for Job<T> {
    fn drop(&mut self) {
        self.cancel();
    }
}

/// A mailbox that holds only the newest input. Clones are the same mailbox.
pub struct Latest<I>(Arc<(Mutex<Mail<I>>, Condvar)>);

struct Mail<I> {
    newest: Option<I>,
    closed: bool,
}

impl<I> Clone for Latest<I> {
    fn clone(&self) -> Latest<I> {
        Latest(Arc::clone(&self.0))
    }
}

impl<I> Default for Latest<I> {
    fn default() -> Latest<I> {
        let mail = Mail {
            newest: None,
            closed: false,
        };
        Latest(Arc::new((Mutex::new(mail), Condvar::new())))
    }
}

impl<I> Latest<I> {
    /// Puts an input in; gives back the one that it replaces, which nobody will see.
    pub fn put(&self, input: I) -> Option<I> {
        let replaced = lock(&self.0.0).newest.replace(input);
        self.0.1.notify_one();
        replaced
    }

    /// Takes the newest input, waiting for one; none once the mailbox is closed.
    pub fn wait(&self) -> Option<I> {
        let mut mail = lock(&self.0.0);
        while mail.newest.is_none() && !mail.closed {
            let woken = self.0.1.wait(mail);
            mail = woken.unwrap_or_else(PoisonError::into_inner);
        }
        if mail.closed {
            None
        } else {
            mail.newest.take()
        }
    }

    /// Closes it for good; an input still in it is dropped.
    pub fn close(&self) {
        let mut mail = lock(&self.0.0);
        mail.closed = true;
        let unseen = mail.newest.take();
        drop(mail);
        drop(unseen);
        self.0.1.notify_all();
    }
}

struct Asked<I> {
    hash: InputHash,
    input: I,
    ticket: Ticket,
}

/// One thread that does the same work for the newest input: a newer input cancels the run for an
/// older one. Dropping it cancels and does not wait.
pub struct Worker<I, T> {
    mail: Latest<Asked<I>>,
    wake: Wake,
    wanted: Option<(InputHash, Ticket)>,
    finished: Slot<T>,
    fault: Option<JobFault>,
}

impl<I: Send + 'static, T: Send + Sync + 'static> Worker<I, T> {
    /// Starts the thread, called `name`; it waits until it is asked.
    pub fn start(
        name: &str,
        wake: Wake,
        work: impl Fn(I, &Ticket) -> Result<T, Stopped> + Send + 'static,
    ) -> Worker<I, T> {
        let mut worker = Worker {
            mail: Latest::default(),
            wake,
            wanted: None,
            finished: Arc::default(),
            fault: None,
        };
        let (mail, slot) = (worker.mail.clone(), Arc::clone(&worker.finished));
        let body = move || {
            while let Some(asked) = mail.wait() {
                let Asked {
                    hash,
                    input,
                    ticket,
                } = asked;
                run(&slot, hash, &ticket, || work(input, &ticket));
            }
        };
        worker.fault = start(name, body).err();
        worker
    }

    /// Asks for the result of an input. Nothing is begun anew when that input is the one asked for
    /// last, or its result is still there.
    pub fn ask(&mut self, hash: InputHash, input: I) {
        if self
            .wanted
            .as_ref()
            .is_some_and(|(wanted, _)| *wanted == hash)
        {
            return;
        }
        let ticket = Ticket::new(Arc::clone(&self.wake));
        if let Some((_, earlier)) = self.wanted.replace((hash, ticket.clone())) {
            earlier.cancel();
        }
        if self.newest().is_some_and(|finished| finished.input == hash) {
            return;
        }
        if let Some(fault) = &self.fault {
            let (input, result) = (hash, Err(fault.clone()));
            *lock(&self.finished) = Some(Arc::new(Finished { input, result }));
            return;
        }
        self.mail.put(Asked {
            hash,
            input,
            ticket,
        });
    }
}

impl<I, T> Worker<I, T> {
    /// Cancels what runs: nobody wants it any more.
    pub fn drop_wanted(&mut self) {
        if let Some((_, ticket)) = self.wanted.take() {
            ticket.cancel();
        }
    }

    /// Whether the result for the input asked for last is still to come.
    pub fn is_busy(&self) -> bool {
        let newest = self.newest().map(|finished| finished.input);
        self.wanted
            .as_ref()
            .is_some_and(|(wanted, _)| Some(*wanted) != newest)
    }

    /// The newest result, which may be for an earlier input: see [`is_current`](Worker::is_current).
    pub fn newest(&self) -> Option<Arc<Finished<T>>> {
        lock(&self.finished).clone()
    }

    /// Whether a result is for the input asked for last.
    pub fn is_current(&self, finished: &Finished<T>) -> bool {
        let wanted = self.wanted.as_ref();
        wanted.is_some_and(|(hash, _)| *hash == finished.input)
    }

    /// How far the run for the newest input is; none before the first.
    pub fn progress(&self) -> Option<Progress> {
        self.wanted.as_ref().map(|(_, ticket)| ticket.told())
    }
}

impl<I, T> Drop for Worker<I, T> {
    fn drop(&mut self) {
        self.mail.close();
        if let Some((_, ticket)) = &self.wanted {
            ticket.cancel();
        }
    }
}
