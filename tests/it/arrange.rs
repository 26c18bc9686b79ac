//! The arrangement of a load from the command line.

use crate::cli::{demo, run};
use std::fs;

#[test]
fn a_load_goes_on_fewer_setters_and_the_same_again() {
    let folder = tempfile::tempdir().unwrap();
    let arranged = |name: &str, seed: &str| {
        let to = folder.path().join(name).display().to_string();
        let from = demo("cautions.load.ron");
        let words = [
            "arrange", &from, "-o", &to, "--budget", "300000", "--seed", seed,
        ];
        let ran = run(&words);
        assert_eq!(ran.code, 0, "{}", ran.err);
        assert!(ran.out.contains("instead of 5"), "{}", ran.out);
        (ran.out, fs::read_to_string(to).unwrap())
    };
    let (_, first) = arranged("a.load.ron", "1");
    assert_eq!(first, arranged("b.load.ron", "1").1);
    assert_ne!(first, arranged("c.load.ron", "2").1);
    let review = |file: &str| run(&["review", file]).code;
    let to = folder.path().join("a.load.ron").display().to_string();
    assert_eq!(review(&to), review(&demo("cautions.load.ron")));
}

#[test]
fn what_cannot_be_bettered_is_said_and_nothing_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let to = folder.path().join("out.load.ron");
    let named = to.display().to_string();
    let from = demo("clean.load.ron");
    let ran = run(&["arrange", &from, "-o", &named, "--budget", "2000"]);
    assert_eq!(ran.code, 2, "{}", ran.out);
    assert!(ran.err.contains("Not arranged: no layout"), "{}", ran.err);
    assert!(!to.exists());
}
