//! The journal: a crash at any byte loses at most the snapshot that was being written.

use crate::files::SAMPLE;
use setterwright::files::Journal;
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::tempdir;

fn labels(journal: &Journal) -> Vec<(u64, String)> {
    let entries = journal.entries().iter();
    entries.map(|e| (e.number, e.label.clone())).collect()
}

#[test]
fn a_journal_keeps_what_was_appended_across_openings() {
    let dir = tempdir().unwrap();
    let mut journal = Journal::open(dir.path(), "a.load.ron", 1 << 20).unwrap();
    assert!(journal.latest().is_none());
    assert_eq!(journal.append("Open", "first").unwrap(), 1);
    assert_eq!(journal.append("Move \"Bracket\"", SAMPLE).unwrap(), 2);
    let mut journal = Journal::open(dir.path(), "a.load.ron", 1 << 20).unwrap();
    assert_eq!(journal.append("Empty", "").unwrap(), 3);
    let journal = Journal::open(dir.path(), "a.load.ron", 1 << 20).unwrap();
    assert!(journal.dropped.is_empty());
    let expected = [(1, "Open"), (2, "Move \"Bracket\""), (3, "Empty")];
    assert_eq!(labels(&journal), expected.map(|(n, l)| (n, l.to_owned())));
    let text = |i: usize| journal.text(&journal.entries()[i]).unwrap();
    assert_eq!(
        (text(0).as_str(), text(1).as_str(), text(2).as_str()),
        ("first", SAMPLE, "")
    );
    // Another document has another journal.
    let other = Journal::open(dir.path(), "b.load.ron", 1 << 20).unwrap();
    assert!(other.entries().is_empty());
}

fn only_segment(dir: &Path) -> PathBuf {
    let folder = fs::read_dir(dir).unwrap().next().unwrap().unwrap().path();
    let mut files = fs::read_dir(folder).unwrap().map(|e| e.unwrap().path());
    let path = files.next().unwrap();
    assert!(files.next().is_none());
    path
}

#[test]
fn a_frame_torn_at_any_byte_loses_only_itself() {
    let dir = tempdir().unwrap();
    let mut journal = Journal::open(dir.path(), "k", 1 << 20).unwrap();
    journal.append("One", "alpha").unwrap();
    let path = only_segment(dir.path());
    let before = fs::read(&path).unwrap().len();
    journal.append("Two", "beta, a little longer").unwrap();
    let whole = fs::read(&path).unwrap();
    for end in before..whole.len() {
        fs::write(&path, &whole[..end]).unwrap();
        let journal = Journal::open(dir.path(), "k", 1 << 20).unwrap();
        assert_eq!(labels(&journal), [(1, "One".to_owned())], "{end}");
        let lost: Vec<u64> = journal.dropped.iter().map(|d| d.bytes).collect();
        let torn = (end - before) as u64;
        assert_eq!(lost, if torn == 0 { vec![] } else { vec![torn] });
    }
    // A byte changed anywhere in it is noticed too.
    for at in before..whole.len() {
        let mut hurt = whole.clone();
        hurt[at] ^= 0x20;
        fs::write(&path, &hurt).unwrap();
        let journal = Journal::open(dir.path(), "k", 1 << 20).unwrap();
        assert_eq!(journal.entries().len(), 1, "{at}");
        assert!(journal.dropped[0].to_string().contains("could not be read"));
    }
    // Going on after a torn frame keeps both sides of it.
    fs::write(&path, &whole[..whole.len() - 3]).unwrap();
    let mut journal = Journal::open(dir.path(), "k", 1 << 20).unwrap();
    assert_eq!(journal.append("Three", "gamma").unwrap(), 2);
    let journal = Journal::open(dir.path(), "k", 1 << 20).unwrap();
    assert_eq!(
        labels(&journal),
        [(1, "One".to_owned()), (2, "Three".to_owned())]
    );
    assert_eq!(journal.text(journal.latest().unwrap()).unwrap(), "gamma");
    assert_eq!(fs::read(&path).unwrap(), &whole[..whole.len() - 3]);
}

#[test]
fn a_journal_stays_below_its_cap_and_keeps_the_newest() {
    let dir = tempdir().unwrap();
    let cap = 20_000;
    let mut journal = Journal::open(dir.path(), "k", cap).unwrap();
    for step in 1..=200_u64 {
        let number = journal
            .append(&format!("Step {step}"), &"x".repeat(1000))
            .unwrap();
        assert_eq!(number, step);
    }
    let folder = fs::read_dir(dir.path())
        .unwrap()
        .next()
        .unwrap()
        .unwrap()
        .path();
    let files = fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().metadata().unwrap().len());
    let total: u64 = files.sum();
    assert!(total <= cap && total > cap / 2, "{total}");
    let again = Journal::open(dir.path(), "k", cap).unwrap();
    assert_eq!(labels(&again), labels(&journal));
    assert_eq!(again.latest().unwrap().number, 200);
    // One snapshot beyond the cap is kept all the same.
    journal.append("Large", &"y".repeat(50_000)).unwrap();
    journal.append("Small", "z").unwrap();
    let again = Journal::open(dir.path(), "k", cap).unwrap();
    assert_eq!(again.latest().unwrap().label, "Small");
}
