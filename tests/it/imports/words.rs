//! Holds that phrases which a person reads stand in `text` alone, where they can be read through
//! and taken through the pseudo-locale.
//!
//! Found: string literals with a space and a word of three small letters, outside comments and
//! code under `#[cfg(test)]`, in the modules that compute. Not found: single words. The window,
//! the command line, files and load hand many labels to a function of `text`, and are held only
//! to the attributes that make a sentence.

use super::lex::{self, Kind, Token};
use super::sources;
use std::path::Path;

/// Modules without a phrase of their own.
const WITHOUT_PHRASES: &[&str] = &["review", "statics", "geometry", "series", "part", "profile"];

/// Stable keys that only look like phrases: acceptances and JSON hold them.
const KEYS: &[&str] = &[
    "stack {}",
    "level {}",
    "placement {}",
    "part {}",
    "lot {}",
    "segment {}",
    "thermocouple {}",
];

/// Whether a person would read it: words outside the braces of a template.
fn is_phrase(literal: &str) -> bool {
    let mut plain = String::new();
    let mut depth = 0_usize;
    for c in literal.chars() {
        match c {
            '{' => depth += 1,
            '}' => depth = depth.saturating_sub(1),
            c if depth == 0 => plain.push(c),
            _ => {}
        }
    }
    let small = |word: &str| word.chars().filter(char::is_ascii_lowercase).count() >= 3;
    plain.contains(' ') && plain.split(|c: char| !c.is_ascii_alphabetic()).any(small)
}

/// The tokens without what stands under `#[cfg(test)]`.
fn without_tests(tokens: &[Token]) -> Vec<&Token> {
    let words = ["cfg", "test"];
    let is_test = |at: usize| {
        let Some(run) = tokens.get(at..at + 7) else {
            return false;
        };
        let marks = [(0, '#'), (1, '['), (3, '('), (5, ')'), (6, ']')];
        marks.iter().all(|(i, mark)| run[*i].is(*mark))
            && run[2].word() == Some(words[0])
            && run[4].word() == Some(words[1])
    };
    let mut kept = Vec::new();
    let mut at = 0;
    while at < tokens.len() {
        if !is_test(at) {
            kept.push(&tokens[at]);
            at += 1;
            continue;
        }
        let mut depth = 0_usize;
        at += 7;
        while at < tokens.len() {
            let token = &tokens[at];
            at += 1;
            if token.is('{') {
                depth += 1;
            } else if token.is('}') {
                depth = depth.saturating_sub(1);
                if depth == 0 {
                    break;
                }
            } else if token.is(';') && depth == 0 {
                break;
            }
        }
    }
    kept
}

/// One line for each phrase of a source file outside `text`.
fn strays(file: &str, source: &str) -> Vec<String> {
    let tokens = lex::lex(source, 1);
    let tokens = without_tests(&tokens);
    let in_module =
        |m: &&str| file.starts_with(&format!("src/{m}/")) || file == format!("src/{m}.rs");
    let held = WITHOUT_PHRASES.iter().any(in_module);
    let mut found = Vec::new();
    for (i, token) in tokens.iter().enumerate() {
        let Kind::Str(literal) = &token.kind else {
            continue;
        };
        let attribute = i >= 2 && tokens[i - 2].word() == Some("error") && tokens[i - 1].is('(');
        if (held || attribute) && is_phrase(literal) && !KEYS.contains(&literal.as_str()) {
            found.push(format!("{file}:{}: \"{literal}\"", token.line));
        }
    }
    found
}

#[test]
fn phrases_stand_in_text() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let files = sources(root, "src").expect("src/ can be read");
    let other = files
        .iter()
        .filter(|(file, _)| !file.starts_with("src/text/"));
    // A file of tests is declared under `#[cfg(test)]` by its parent.
    let other = other.filter(|(file, _)| !file.contains("tests"));
    let found: Vec<String> = other
        .flat_map(|(file, source)| strays(file, source))
        .collect();
    assert!(found.is_empty(), "outside text:\n{}", found.join("\n"));
}

#[test]
fn the_scan_tells_phrases_from_keys_tests_and_comments() {
    let seen = |source: &str| strays("src/review/x.rs", source).len();
    assert_eq!(seen("fn f() { report.missing(s, \"the gas record\"); }"), 1);
    assert_eq!(
        seen("fn f() -> String { format!(\"{n} on the level\") }"),
        1
    );
    assert_eq!(
        seen("fn f() { limit(\"gap-min\"); format!(\"stack {}\", 1); }"),
        0
    );
    assert_eq!(
        seen("// \"the gas record\"\n#[cfg(test)] mod t { fn g() { \"a b cde\"; } }"),
        0
    );
    assert_eq!(seen("fn f() { format!(\"{shape rotten} {b}\"); }"), 0);
    let derived = "enum E { #[error(\"it has no end\")] A }";
    assert_eq!(strays("src/files/x.rs", derived).len(), 1);
    assert_eq!(
        strays("src/app/x.rs", "fn f() { label(\"Save the load\"); }").len(),
        0
    );
}
