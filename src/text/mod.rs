//! Every sentence that a person reads.
//!
//! Messages are functions with typed arguments, or, for findings, templates with typed arguments
//! ([`findings`]). All of them leave through [`say`], so that a test can run the program in the
//! pseudo-locale and see which texts went round this module.

pub mod app;
pub mod approvals;
pub mod arranging;
pub mod arranging_ways;
pub mod arranging_weights;
pub mod attended;
pub mod backlog_board;
pub mod calibrating;
pub mod cautions;
pub mod cleared_board;
pub mod cli;
pub mod differences;
pub mod document;
pub mod edits;
pub mod files;
pub mod finding_accept;
pub mod findings;
pub mod findings_panel;
pub mod fitting;
pub mod fixes;
pub mod forecast;
pub mod forecast_parts;
pub mod forecast_text;
pub mod forecast_window;
pub mod furnace_records;
pub mod geometry;
pub mod library;
pub mod limits;
pub mod limits_board;
pub mod log_ends;
pub mod logs;
pub mod loosened;
pub mod lots_records;
pub mod lots_table;
pub mod measures;
pub mod meshes;
pub mod missing;
pub mod names;
pub mod on_paper;
pub mod order;
pub mod part_view;
pub mod phrases;
pub mod plates;
pub mod plausible;
pub mod poses;
pub mod pressures;
pub mod profile;
pub mod questions;
pub mod queueing;
pub mod scripts;
pub mod setpoints;
pub mod shapes;
pub mod shop_forms;
pub mod shop_names;
pub mod shortening;
pub mod signing;
pub mod standards;
pub mod stl;
pub mod stopping;
pub mod supplies;
pub mod topics;
pub mod unmeasured;
pub mod ways;
pub mod ways_window;

use std::cell::Cell;
use std::collections::BTreeSet;

/// Language of the texts.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Locale {
    /// English.
    #[default]
    English,
    /// English with accents and a third more length, for tests of layout and completeness.
    Pseudo,
}

thread_local! {
    static LOCALE: Cell<Locale> = const { Cell::new(Locale::English) };
}

/// Sets the language for this thread.
pub fn set_locale(locale: Locale) {
    LOCALE.with(|l| l.set(locale));
}

/// The language of this thread, for another one that speaks to the same person.
pub fn locale() -> Locale {
    LOCALE.with(Cell::get)
}

/// What `make` gives in English, whatever the language of this thread: for what programs read.
pub fn in_english<T>(make: impl FnOnce() -> T) -> T {
    let before = LOCALE.with(|l| l.replace(Locale::English));
    let made = make();
    set_locale(before);
    made
}

/// A finished sentence in the language of this thread.
pub fn say(text: impl Into<String>) -> String {
    let text = text.into();
    match LOCALE.with(Cell::get) {
        Locale::English => text,
        Locale::Pseudo => pseudo(&text),
    }
}

fn pseudo(text: &str) -> String {
    let mut out = String::from("[");
    for c in text.chars() {
        out.push(match c {
            'a' => 'á',
            'e' => 'é',
            'i' => 'í',
            'o' => 'ö',
            'u' => 'ü',
            'A' => 'Å',
            'E' => 'É',
            'O' => 'Ö',
            other => other,
        });
    }
    out.extend(std::iter::repeat_n('~', text.chars().count() / 3));
    out.push(']');
    out
}

/// The words of `known` that look like `wanted`, whatever their case, best first, at most `most`.
pub fn nearest<'a>(wanted: &str, known: impl Iterator<Item = &'a str>, most: usize) -> Vec<String> {
    let lower = wanted.to_lowercase();
    let mut scored: Vec<(f64, &str)> = known
        .map(|word| (strsim::jaro_winkler(&lower, &word.to_lowercase()), word))
        .filter(|(score, _)| *score > 0.7)
        .collect();
    scored.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(b.1)));
    scored
        .into_iter()
        .take(most)
        .map(|(_, word)| word.to_owned())
        .collect()
}

/// What is called so: by that very name, else by one that differs from it in case alone; nothing
/// where there is none.
///
/// # Errors
/// The names, where several differ from what is wanted, and from each other, in case alone.
pub fn called<'a, T>(
    wanted: &str,
    all: impl Iterator<Item = (&'a str, T)>,
) -> Result<Vec<T>, Vec<&'a str>> {
    let lower = wanted.to_lowercase();
    let alike = all.filter(|(name, _)| name.to_lowercase() == lower);
    let (exactly, alike): (Vec<_>, Vec<_>) = alike.partition(|(name, _)| *name == wanted);
    let found = match exactly.is_empty() {
        true => alike,
        false => exactly,
    };
    let names: BTreeSet<&str> = found.iter().map(|(name, _)| *name).collect();
    match names.len() > 1 {
        true => Err(names.into_iter().collect()),
        false => Ok(found.into_iter().map(|(_, one)| one).collect()),
    }
}

/// `"; did you mean a, b or c?"`, or nothing.
pub fn did_you_mean(candidates: &[String]) -> String {
    match candidates {
        [] => String::new(),
        [one] => format!("; did you mean {one}?"),
        [first @ .., last] => format!("; did you mean {} or {last}?", first.join(", ")),
    }
}

/// A bare number in as few digits as say it; beyond 1e9 in scientific form, as
/// [`show`](crate::units::show) prints a quantity, so that no sentence is drowned in digits.
pub fn figure(value: f64) -> String {
    if value.abs() > 1e9 || (value != 0.0 && value.abs() < 1e-9) {
        format!("{value:e}")
    } else {
        format!("{value}")
    }
}

/// The same to a number of digits after the point.
pub fn figure_to(value: f64, digits: usize) -> String {
    if value.abs() > 1e9 {
        format!("{value:e}")
    } else {
        format!("{value:.digits$}")
    }
}

/// To a tenth at most.
pub fn to_tenths(value: f64) -> String {
    figure(libm::round(10.0 * value) / 10.0)
}

/// A share in per cent, to a tenth at most.
pub fn pct(share: f64) -> String {
    format!("{} %", figure(libm::round(1000.0 * share) / 10.0))
}

/// Three digits that count.
pub fn digits(x: f64) -> String {
    let size = if x == 0.0 { 0.0 } else { libm::log10(x.abs()) };
    let after = (2.0 - libm::floor(size)).clamp(0.0, 6.0) as usize;
    format!("{x:.after$}")
}

/// `"1 part"`, `"2 parts"`.
pub fn count(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn case_is_passed_over_where_only_one_name_is_meant() {
        let of = |wanted: &str, names: &[&'static str]| {
            called(wanted, names.iter().map(|name| (*name, *name)))
        };
        assert_eq!(of("B-1", &["b-1", "B-1"]), Ok(vec!["B-1"]));
        assert_eq!(of("bracket", &["Bracket", "gear"]), Ok(vec!["Bracket"]));
        assert_eq!(of("GEAR", &["gear", "ring", "gear"]), Ok(vec!["gear"; 2]));
        let names = ["bracket", "Bracket"];
        assert_eq!(of("BRACKET", &names), Err(vec!["Bracket", "bracket"]));
        assert_eq!(of("brackets", &["bracket"]), Ok(Vec::new()));
        assert_eq!(of("käfig", &["KÄFIG"]), Ok(vec!["KÄFIG"]));
    }

    #[test]
    fn the_pseudo_locale_is_longer_and_only_for_this_thread() {
        set_locale(Locale::Pseudo);
        let said = say("Parts touch");
        set_locale(Locale::English);
        assert!(said.starts_with('[') && said.chars().count() > "Parts touch".len() + 2);
        assert_eq!(say("Parts touch"), "Parts touch");
    }

    #[test]
    fn a_number_does_not_drown_its_sentence() {
        assert_eq!(figure(12.5), "12.5");
        assert_eq!(figure(0.0), "0");
        assert_eq!(figure(1e308), "1e308");
        assert_eq!(figure(-2.5e-300), "-2.5e-300");
        assert_eq!(figure(f64::NAN), "NaN");
        assert_eq!(figure_to(0.5, 3), "0.500");
        assert_eq!(figure_to(-1e308, 3), "-1e308");
    }

    #[test]
    fn a_slip_of_the_key_finds_its_word() {
        let known = ["alumina", "zirconia", "argon"];
        assert_eq!(nearest("alumna", known.into_iter(), 3), ["alumina"]);
        assert_eq!(nearest("ALUMNA", known.into_iter(), 3), ["alumina"]);
        assert!(nearest("qqq", known.into_iter(), 3).is_empty());
    }
}
