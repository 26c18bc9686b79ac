//! The words of each finding: a template with named, typed arguments.

mod approval;
mod atmosphere;
mod attended;
mod debind;
mod declared;
mod forecast;
mod furniture;
mod geometry;
mod mass;
mod measures;
mod mixing;
mod on_file;
mod on_paper;
mod on_record;
mod order;
mod placing;
mod plausible;
mod pressures;
mod profile;
mod records;
mod regulated;
mod safety;
mod shop_names;
mod standard;
mod swelling;
mod thermometry;

use crate::units::{self, Quantity};

/// The words of a check by its slug.
pub fn prose(check: &str) -> Option<&'static Prose> {
    all().find(|prose| prose.check == check)
}

/// A check's title, or its slug where it has no words.
pub fn title(check: &str) -> String {
    prose(check).map_or_else(|| check.to_owned(), |words| fill(words.title, &[]))
}

/// The words of all checks, family by family.
pub fn all() -> impl Iterator<Item = &'static Prose> {
    [
        atmosphere::PROSE,
        debind::PROSE,
        declared::PROSE,
        forecast::PROSE,
        furniture::PROSE,
        geometry::PROSE,
        mass::PROSE,
        mixing::PROSE,
        profile::PROSE,
        on_file::PROSE,
        on_record::PROSE,
        records::PROSE,
        regulated::PROSE,
        approval::PROSE,
        safety::PROSE,
        shop_names::PROSE,
        standard::PROSE,
        swelling::PROSE,
        measures::PROSE,
        placing::PROSE,
        pressures::PROSE,
        plausible::PROSE,
        order::PROSE,
        attended::PROSE,
        thermometry::PROSE,
        on_paper::PROSE,
    ]
    .into_iter()
    .flatten()
}

/// A typed argument of a finding's sentence.
#[derive(Clone, Debug, PartialEq)]
pub enum Arg {
    /// A name or a phrase.
    Text(String),
    /// A quantity with its kind and the digits after the point.
    Number(Quantity, f64, usize),
    /// A count.
    Count(usize),
}

impl std::fmt::Display for Arg {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Arg::Text(text) => f.write_str(text),
            Arg::Number(quantity, value, digits) => {
                f.write_str(&units::show_in_words(*quantity, *value, *digits))
            }
            Arg::Count(n) => write!(f, "{n}"),
        }
    }
}

/// The words of one check.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Prose {
    /// Check slug.
    pub check: &'static str,
    /// A few words, e.g. "Parts touch".
    pub title: &'static str,
    /// What was found, with `{name}` for each argument.
    pub sentence: &'static str,
    /// Why it matters.
    pub why: &'static str,
    /// What to do about it.
    pub remedy: &'static str,
}

/// Fills a template. An argument that is not there stays visible as `{name}`. A count of one has
/// one piece, and a question keeps its own mark at the end.
pub fn fill(template: &str, args: &[(&'static str, Arg)]) -> String {
    let mut out = template.to_owned();
    for (name, arg) in args {
        if *arg == Arg::Count(1) {
            out = out.replace(&format!("{{{name}}} pieces"), "1 piece");
        }
        out = out.replace(&format!("{{{name}}}"), &arg.to_string());
    }
    if out.ends_with("?.") {
        out.pop();
    }
    super::say(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_piece_is_no_pieces() {
        let said = |n| fill("Bar ({count} pieces).", &[("count", Arg::Count(n))]);
        assert_eq!(said(1), "Bar (1 piece).");
        assert_eq!(said(2), "Bar (2 pieces).");
    }

    #[test]
    fn a_question_ends_once() {
        let near = super::super::did_you_mean(&["argon".to_owned(), "arcon".to_owned()]);
        let args = [("near", Arg::Text(near))];
        assert!(fill("No such gas{near}.", &args).ends_with("or arcon?"));
    }
}
