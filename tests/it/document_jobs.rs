//! Background work. Nothing here waits for time to pass: threads meet at channels.

use setterwright::document::{InputHash, Job, JobFault, Latest, Ticket, Wake, Worker};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex};

fn hash(n: u32) -> InputHash {
    InputHash::of(&n)
}

/// A wake and where its calls arrive.
fn wake() -> (Wake, Receiver<()>) {
    let (sender, woken) = channel();
    let sender = Mutex::new(sender);
    let wake: Wake = Arc::new(move || {
        // The test may have stopped listening.
        let _ = sender.lock().unwrap().send(());
    });
    (wake, woken)
}

/// Goes on until told to stop, and says so.
fn until_stopped(
    ticket: &Ticket,
    started: &Sender<()>,
) -> Result<u32, setterwright::document::Stopped> {
    started.send(()).unwrap();
    loop {
        ticket.go_on()?;
        std::thread::yield_now();
    }
}

#[test]
fn a_job_gives_its_result_with_the_hash_of_its_input() {
    let (wake, woken) = wake();
    let job = Job::start("sum", hash(1), wake, |_| Ok((1..=10).sum::<i32>()));
    woken.recv().unwrap();
    let finished = job.finished().unwrap();
    assert_eq!((finished.input, &finished.result), (hash(1), &Ok(55)));
    assert_eq!(job.input(), hash(1));
}

#[test]
fn a_job_tells_how_far_it_is_and_wakes_only_for_what_shows() {
    let (wake, woken) = wake();
    let (go, going) = channel::<()>();
    let job = Job::start("slow", hash(1), wake, move |ticket| {
        ticket.progress(0.5, "meshes");
        // Neither a whole percent nor another word: no wake.
        ticket.progress(0.5009, "meshes");
        ticket.progress(7.0, "writing");
        going.recv().unwrap();
        ticket.progress(f64::NAN, "odd");
        Ok(())
    });
    woken.recv().unwrap();
    woken.recv().unwrap();
    let progress = job.progress();
    assert_eq!((progress.share, progress.word.as_str()), (1.0, "writing"));
    assert!(woken.try_recv().is_err() && job.finished().is_none());
    go.send(()).unwrap();
    woken.recv().unwrap();
    woken.recv().unwrap();
    assert_eq!(job.progress().share, 0.0);
    assert!(job.finished().is_some());
}

#[test]
fn a_panic_is_a_sentence() {
    for (with_text, said) in [(true, "(slab 9 of 8)"), (false, "(no message)")] {
        let (wake, woken) = wake();
        let job: Job<()> = Job::start("faulty", hash(1), wake, move |_| {
            if with_text {
                panic!("slab {} of 8", 9);
            }
            std::panic::panic_any(7_u8);
        });
        woken.recv().unwrap();
        let finished = job.finished().unwrap();
        let sentence = finished.result.as_ref().unwrap_err().sentence("forecast");
        assert!(sentence.starts_with("The forecast stopped because of a fault in this program"));
        assert!(sentence.contains(said), "{sentence}");
    }
    let none = JobFault::NotStarted("no more threads".to_owned()).sentence("forecast");
    assert!(none.contains("could not be started (no more threads)"));
}

#[test]
fn a_dropped_job_stops() {
    let (wake, _woken) = wake();
    let (started, starting) = channel();
    let (ended, ending) = channel();
    let job = Job::start("endless", hash(1), wake, move |ticket| {
        let result = until_stopped(ticket, &started);
        ended.send(result.is_err()).unwrap();
        result
    });
    starting.recv().unwrap();
    drop(job);
    assert_eq!(ending.recv(), Ok(true));
}

#[test]
fn a_cancelled_job_has_no_result_even_if_it_does_not_listen() {
    let (wake, woken) = wake();
    let (go, going) = channel::<()>();
    let (begin, begun) = channel();
    let job = Job::start("deaf", hash(1), wake, move |_| {
        begin.send(()).unwrap();
        going.recv().unwrap();
        Ok(1)
    });
    begun.recv().unwrap();
    job.cancel();
    go.send(()).unwrap();
    woken.recv().unwrap();
    assert!(job.finished().is_none());
}

#[test]
fn the_mailbox_holds_only_the_newest() {
    let latest = Latest::default();
    assert_eq!(latest.put(1), None);
    assert_eq!(latest.put(2), Some(1));
    assert_eq!(latest.wait(), Some(2));
    let (answer, answers) = channel();
    let other = latest.clone();
    let waiting = std::thread::spawn(move || {
        while let Some(n) = other.wait() {
            answer.send(n).unwrap();
        }
    });
    latest.put(3);
    assert_eq!(answers.recv(), Ok(3));
    latest.close();
    waiting.join().unwrap();
    assert!(answers.recv().is_err());
    latest.put(4);
    assert_eq!(latest.wait(), None);
}

/// A worker that doubles its input once the test lets it, and says when it begins.
struct Doubling {
    worker: Worker<u32, u32>,
    begun: Receiver<u32>,
    go: Sender<()>,
    woken: Receiver<()>,
}

fn doubling() -> Doubling {
    let (wake, woken) = wake();
    let (begin, begun) = channel();
    let (go, going) = channel::<()>();
    let ends = Mutex::new((begin, going));
    let worker = Worker::start("doubling", wake, move |n: u32, _: &Ticket| {
        // A panic inside must not poison the test's own lock.
        let ends = ends.lock().unwrap_or_else(|e| e.into_inner());
        ends.0.send(n).unwrap();
        ends.1.recv().unwrap();
        assert!(n != 13, "thirteen");
        Ok(2 * n)
    });
    Doubling {
        worker,
        begun,
        go,
        woken,
    }
}

impl Doubling {
    fn ask(&mut self, n: u32) {
        self.worker.ask(hash(n), n);
    }

    fn finish(&self) {
        self.go.send(()).unwrap();
        self.woken.recv().unwrap();
    }
}

#[test]
fn the_newest_input_wins_and_an_older_result_is_known_as_such() {
    let mut d = doubling();
    assert!(d.worker.newest().is_none() && d.worker.progress().is_none());
    d.ask(1);
    assert_eq!(d.begun.recv(), Ok(1));
    d.finish();
    let first = d.worker.newest().unwrap();
    assert_eq!(first.result, Ok(2));
    assert!(d.worker.is_current(&first));
    // Three more while the first of them runs: the second is never begun, and the run that was
    // overtaken leaves no result, so the one from before stays, for an earlier state.
    d.ask(2);
    assert_eq!(d.begun.recv(), Ok(2));
    d.ask(3);
    d.ask(4);
    d.finish();
    assert_eq!(d.begun.recv(), Ok(4));
    let shown = d.worker.newest().unwrap();
    assert_eq!(shown.input, hash(1));
    assert!(!d.worker.is_current(&shown));
    // The same again begins nothing.
    d.ask(4);
    d.finish();
    let last = d.worker.newest().unwrap();
    assert_eq!((last.input, &last.result), (hash(4), &Ok(8)));
    assert!(d.begun.try_recv().is_err());
}

#[test]
fn going_back_to_what_is_there_begins_nothing() {
    let mut d = doubling();
    d.ask(1);
    assert_eq!(d.begun.recv(), Ok(1));
    d.finish();
    d.ask(2);
    assert_eq!(d.begun.recv(), Ok(2));
    // Undo while the run goes on: its result must not take the place of the current one.
    d.ask(1);
    d.finish();
    let shown = d.worker.newest().unwrap();
    assert!(d.worker.is_current(&shown) && shown.result == Ok(2));
    assert!(d.begun.try_recv().is_err());
}

#[test]
fn a_worker_outlives_a_panic_and_ends_when_dropped() {
    let mut d = doubling();
    d.ask(13);
    assert_eq!(d.begun.recv(), Ok(13));
    d.finish();
    let faulty = d.worker.newest().unwrap();
    let message = Some("thirteen".to_owned());
    assert_eq!(faulty.result, Err(JobFault::Panicked(message)));
    d.ask(5);
    assert_eq!(d.begun.recv(), Ok(5));
    d.finish();
    assert_eq!(d.worker.newest().unwrap().result, Ok(10));
    let Doubling { worker, begun, .. } = d;
    drop(worker);
    // The thread is gone with all that it held.
    assert!(begun.recv().is_err());
}
