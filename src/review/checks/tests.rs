//! Rules that hold for every check.

use super::all_checks;
use crate::text::findings::prose;
use std::collections::BTreeSet;

#[test]
fn every_check_has_its_own_slug_and_its_words() {
    let mut seen = BTreeSet::new();
    for check in all_checks() {
        assert!(seen.insert(check.slug), "{} stands twice", check.slug);
        let words = prose(check.slug);
        let Some(words) = words else {
            panic!("{} has no words", check.slug)
        };
        for text in [words.title, words.sentence, words.why, words.remedy] {
            assert!(!text.is_empty(), "{} lacks a text", check.slug);
        }
        assert_ne!(words.why, words.title);
        let plain = |c: char| c.is_ascii_lowercase() || c == '-';
        assert!(
            check.slug.chars().all(plain),
            "{} is not a plain name",
            check.slug
        );
    }
    // Words without a check would be of one that was forgotten.
    assert_eq!(seen.len(), crate::text::findings::all().count());
    assert!(seen.len() >= 150, "{} checks", seen.len());
}
