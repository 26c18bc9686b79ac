//! Holds the rules of who may use what over `src/`, by reading the sources.
//!
//! Found: `use` trees, inline paths, re-exports and public type aliases, `super` chains, other
//! names for the crate root or a crate, crate names anywhere in a path, macro bodies, serde's
//! strings. Not found: what the compiler alone knows, that is types reached by inference, methods
//! and public fields, and names that a macro puts together.
//!
//! Code under `#[cfg(test)]` is held to the same rules, but for the one about libm: a test that needs more
//! than its module may use is an integration test and stands beside this one.

mod cases;
mod lex;
mod read;
mod rules;
mod tree;
mod words;

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::{fs, io};

use lex::{Kind, Token};
use rules::{BY_LIBM, LINE, LINE_RULE, MAIN_IS_THIN, NOT_IN_LINE, Place, RULES, TRANSCENDENTAL};
use tree::{Form, Reference, Target, Tree};

/// What was seen, and one sentence for each breach.
#[derive(Default)]
struct Report {
    files: usize,
    references: usize,
    breaches: Vec<String>,
}

fn check<'a>(files: impl IntoIterator<Item = (&'a str, &'a str)>) -> Report {
    let mut tree = Tree::default();
    let mut report = Report::default();
    for (file, source) in files {
        report.files += 1;
        let tokens = lex::lex(source, 1);
        tree.read(file, &tokens);
        check_tokens(file, &tokens, &mut report.breaches);
        check_floats(file, &tokens, &mut report.breaches);
    }
    check_places(&tree, &mut report.breaches);
    for reference in &tree.references {
        report.breaches.extend(breaches_of(&tree, reference));
    }
    // A `mod` line names a module too.
    report.references = tree.references.len();
    report.references += tree.declared.iter().filter(|d| d.elsewhere).count();
    report.breaches.sort();
    report.breaches.dedup();
    report
}

fn breach(file: &str, line: usize, what: &str, rule: &str) -> String {
    format!("{file}:{line}: {what} (rule: {rule})")
}

fn rank(top: &str) -> Option<usize> {
    LINE.iter().position(|modules| modules.contains(&top))
}

/// The outermost module, `lib` for the library's root.
fn top(module: &[String]) -> &str {
    module.first().map_or("lib", String::as_str)
}

fn allows(place: Place, top: &str) -> bool {
    match place {
        Place::Only(modules) => modules.contains(&top),
        Place::Never(modules) => !modules.contains(&top),
    }
}

fn check_tokens(file: &str, tokens: &[Token], breaches: &mut Vec<String>) {
    let module = tree::module_of(file);
    let fits = |token: &Token, wanted: &str| match &token.kind {
        Kind::Word { text, .. } => text == wanted,
        Kind::Mark(c) => wanted.chars().eq([*c]),
        Kind::Str(_) => wanted == "\"",
        Kind::Sep | Kind::Arrow | Kind::Other => false,
    };
    for rule in RULES.iter().filter(|r| !allows(r.place, top(&module))) {
        for &run in rule.tokens {
            for found in tokens.windows(run.len()) {
                if found
                    .iter()
                    .zip(run)
                    .all(|(token, wanted)| fits(token, wanted))
                {
                    let what = format!("`{}`", run.join(" "));
                    breaches.push(breach(file, found[0].line, &what, rule.says));
                }
            }
        }
    }
}

/// `x.sin()` and `f64::sin`, up to the tests of a file.
fn check_floats(file: &str, tokens: &[Token], breaches: &mut Vec<String>) {
    let module = tree::module_of(file);
    if ["app", "main"].contains(&top(&module)) || module.iter().any(|m| m == "tests") {
        return;
    }
    let word = |token: &Token, wanted: &str| token.name() == Some(wanted);
    let cfg_test = |run: &[Token]| {
        let [a, b, cfg, c, test, d, e] = run else {
            return false;
        };
        let marks = [(a, '#'), (b, '['), (c, '('), (d, ')'), (e, ']')];
        marks.iter().all(|(token, mark)| token.is(*mark)) && word(cfg, "cfg") && word(test, "test")
    };
    // Only a module with its body here; `mod tests;` has code after it.
    let body = |rest: &[Token]| {
        let visible =
            |t: &&Token| matches!(t.word(), Some("pub" | "crate")) || t.is('(') || t.is(')');
        let skipped = rest.iter().take_while(visible).count();
        matches!(&rest[skipped..], [module, _, open, ..] if module.word() == Some("mod") && open.is('{'))
    };
    let end = tokens.windows(7).enumerate();
    let end = end.filter(|(i, run)| cfg_test(run) && body(&tokens[i + 7..]));
    let end = end.map(|(i, _)| i).next().unwrap_or(tokens.len());
    for run in tokens[..end].windows(3) {
        let [before, from, function] = run else {
            continue;
        };
        let Some(name) = function.name().filter(|n| TRANSCENDENTAL.contains(n)) else {
            continue;
        };
        let of_float = from.kind == Kind::Sep && (word(before, "f64") || word(before, "f32"));
        if from.is('.') || of_float {
            let what = format!("`{name}`");
            breaches.push(breach(file, function.line, &what, BY_LIBM));
        }
    }
}

fn check_places(tree: &Tree, breaches: &mut Vec<String>) {
    for declared in &tree.declared {
        let (file, line) = (&declared.file, declared.line);
        if top(&declared.module) == "main" && declared.elsewhere {
            breaches.push(breach(file, line, "`mod` of a file", MAIN_IS_THIN));
        }
        let top = top(&declared.module);
        if top != "lib" && rank(top).is_none() {
            let what = format!("module `{top}` is not in the line");
            breaches.push(breach(file, line, &what, NOT_IN_LINE));
        }
    }
}

fn breaches_of(tree: &Tree, reference: &Reference) -> Vec<String> {
    let user = top(&reference.module);
    let written = written(reference);
    let mut found = Vec::new();
    for (target, form) in readings(tree, reference) {
        if let Some(rule) = broken(user, &target, form) {
            let meant = target.segments.join("::");
            let meant = if target.inside {
                format!("crate::{meant}")
            } else {
                meant
            };
            let what = if written.trim_start_matches("::").starts_with(&meant) {
                format!("`{user}` uses `{written}`")
            } else {
                format!("`{user}` uses `{written}`, which leads to `{meant}`")
            };
            found.push(breach(&reference.file, reference.line, &what, rule));
        }
    }
    found
}

fn written(reference: &Reference) -> String {
    let start = if reference.path.global { "::" } else { "" };
    let end = match reference.form {
        Form::Plain => "",
        Form::Glob => "::*",
        Form::Macro => "!",
    };
    format!("{start}{}{end}", reference.path.segments.join("::"))
}

/// What a reference may stand for, with what comes along when it is a glob.
fn readings(tree: &Tree, reference: &Reference) -> BTreeSet<(Target, Form)> {
    let (at, path) = (&reference.module, &reference.path);
    let macro_of = |name: &String| {
        let homes: Vec<Target> = tree
            .macro_homes(name)
            .map(|home| Target {
                inside: true,
                segments: [&home[..], std::slice::from_ref(name)].concat(),
            })
            .collect();
        homes
    };

    let lone = path.segments.len() == 1 && !path.global;
    let mut targets = BTreeSet::new();
    if lone && reference.form == Form::Macro {
        let name = &path.segments[0];
        targets.extend(macro_of(name));
        if targets.iter().any(|t| top(&t.segments) == top(at)) {
            return BTreeSet::new();
        }
        if targets.is_empty() && name == "include" {
            targets.insert(Target {
                inside: false,
                segments: vec!["std".to_owned(), name.clone()],
            });
        }
    } else {
        for target in tree.resolve(at, path) {
            // An exported macro stands at the root, whatever module defines it.
            let homes = match &target.segments[..] {
                [name] if target.inside && rank(name).is_none() => macro_of(name),
                _ => Vec::new(),
            };
            if homes.is_empty() {
                targets.insert(target);
            } else {
                targets.extend(homes);
            }
        }
    }

    // A name at the root that leads on is judged by where it leads.
    let stray = |t: &Target| t.inside && t.segments.first().is_some_and(|s| rank(s).is_none());
    if targets.iter().any(|t| !stray(t)) {
        targets.retain(|t| !stray(t));
    }

    let mut found = BTreeSet::new();
    for target in targets {
        if reference.form == Form::Glob && target.inside && top(&target.segments) != top(at) {
            found.extend(tree.passed_on(&target.segments, at));
        }
        found.insert((target, reference.form));
    }
    found
}

/// The rule that module `user` breaks by using `target`.
fn broken(user: &str, target: &Target, form: Form) -> Option<&'static str> {
    if target.inside {
        let used = match target.segments.first() {
            Some(used) => used,
            // The root itself is no module's; all that it declares is too much at once.
            None if form == Form::Glob && user != "lib" => return Some(LINE_RULE),
            None => return None,
        };
        if used == user || user == "lib" {
            return None;
        }
        return match (rank(user), rank(used)) {
            (_, None) => Some(NOT_IN_LINE),
            (Some(user), Some(used)) if user >= used => Some(LINE_RULE),
            // A user that has no place is told so once, where it is declared.
            _ => None,
        };
    }
    let mut segments = target.segments.clone();
    if ["core", "alloc"].contains(&segments[0].as_str()) {
        segments[0] = "std".to_owned();
    }
    RULES
        .iter()
        .filter(|rule| !allows(rule.place, user))
        .find(|rule| rule.paths.iter().any(|path| covers(path, &segments, form)))
        .map(|rule| rule.says)
}

/// Whether using `segments` uses what stands at `path`.
fn covers(path: &str, segments: &[String], form: Form) -> bool {
    let path: Vec<&str> = path.split("::").collect();
    let one = |wanted: &str, found: &str| match wanted.strip_suffix('*') {
        Some(start) => found.starts_with(start),
        None => found == wanted,
    };
    let alike = path
        .iter()
        .zip(segments)
        .all(|(wanted, found)| one(wanted, found));
    // A macro shares its path with a module at times: `std::env!` is not `std::env`.
    let namesake =
        form == Form::Macro && path.len() == segments.len() && path != ["std", "include"];
    alike && !namesake && (segments.len() >= path.len() || form == Form::Glob)
}

/// Every Rust source below `folder`, by its path from the manifest, with its text.
fn sources(root: &Path, folder: &str) -> io::Result<Vec<(String, String)>> {
    let mut found = Vec::new();
    let mut open = vec![PathBuf::from(folder)];
    while let Some(folder) = open.pop() {
        for entry in fs::read_dir(root.join(&folder))? {
            let entry = entry?;
            let path = folder.join(entry.file_name());
            if entry.file_type()?.is_dir() {
                open.push(path);
            } else if path.extension().is_some_and(|e| e == "rs") {
                let name = path.to_string_lossy().replace('\\', "/");
                found.push((name, fs::read_to_string(root.join(path))?));
            }
        }
    }
    found.sort();
    Ok(found)
}

#[test]
fn the_sources_keep_the_rules() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let files = sources(root, "src").expect("src/ can be read");
    let report = check(files.iter().map(|(file, text)| (&file[..], &text[..])));
    assert!(report.files >= 2, "only {} files seen", report.files);
    assert!(
        report.references > 0,
        "no path seen in {} files",
        report.files
    );
    assert!(
        report.breaches.is_empty(),
        "{} breaches:\n{}",
        report.breaches.len(),
        report.breaches.join("\n")
    );
}

/// A rule about a module or a crate that is misspelt would hold nothing.
#[test]
fn rules_name_modules_of_the_line() {
    for rule in RULES {
        let (Place::Only(modules) | Place::Never(modules)) = rule.place;
        for module in modules {
            assert!(
                rank(module).is_some(),
                "{}: no module `{module}`",
                rule.says
            );
        }
        assert!(!rule.paths.is_empty(), "{}: forbids nothing", rule.says);
    }
}
