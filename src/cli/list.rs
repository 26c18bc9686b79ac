//! `setterwright review --list`: every check with its default and the limits that it asks for.

use super::{Outcome, mark, print_json};
use crate::catalogue::{Catalogue, CheckSetting, Limit, LimitScope, Severity, Standing};
use crate::files::{RecordedLimit, limits_in};
use crate::review::{Check, Needs, Recorded, TOPICS, Topic, WhenRegulated, recorded, setting_of};
use crate::text::cli as say;
use crate::text::findings::title;
use crate::text::topics;
use serde::Serialize;
use std::collections::BTreeSet;
use std::io::Write;
use std::path::Path;

#[derive(Serialize)]
struct Listed<'a> {
    schema: &'static str,
    version: u32,
    checks: Vec<Row<'a>>,
}

#[derive(Serialize)]
struct Row<'a> {
    /// The check that a person switches; `check` is one of its conditions.
    topic: &'static str,
    check: &'static str,
    #[serde(skip)]
    of: &'static Check,
    title: String,
    family: &'static str,
    severity: Severity,
    on: bool,
    safety: bool,
    /// Some of what it finds concerns safety, and that part stays on.
    some_safety: bool,
    needs: &'static str,
    /// For a forecast, which nothing gives yet.
    #[serde(skip)]
    waits: bool,
    /// In a regulated shop alone, or a stop there.
    when_regulated: Option<&'static str>,
    /// Why it is off or otherwise than by default, where somebody decided that.
    #[serde(skip_serializing_if = "Option::is_none")]
    reason: Option<&'a str>,
    /// Who decided that, where they are named.
    #[serde(skip_serializing_if = "Option::is_none")]
    set_by: Option<&'a str>,
    /// Who and when, as printed.
    #[serde(skip)]
    who: String,
    /// All that are set, by whom and for whom.
    limits: Vec<&'a Limit>,
    /// What stands in records and in the state of the shop.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    recorded: Vec<Elsewhere>,
    /// What is set for it in a narrower scope than the shop.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    settings: Vec<&'a CheckSetting>,
    /// Asked for, and set by nobody.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    limits_not_set: Vec<&'static str>,
}

/// A limit that is not in the list of limits.
#[derive(Serialize)]
#[serde(untagged)]
enum Elsewhere {
    Record(RecordedLimit),
    Shop { field: &'static str },
}

/// Limits of a condition that are not in the list of limits.
fn elsewhere(slug: &str, catalogue: &Catalogue) -> Vec<Elsewhere> {
    let of = |place| match place {
        Recorded::Shop(field) => vec![Elsewhere::Shop { field }],
        Recorded::Record(kind, field) => {
            let limits = limits_in(catalogue, kind, field).into_iter();
            limits.map(Elsewhere::Record).collect()
        }
    };
    recorded(slug).flat_map(of).collect()
}

impl<'a> Row<'a> {
    /// Whether it is there in a regulated shop alone.
    fn only_regulated(&self) -> bool {
        self.of.regulated == WhenRegulated::Only
    }

    fn new(
        topic: &'static Topic,
        check: &'static Check,
        catalogue: &'a Catalogue,
        regulated: bool,
    ) -> Row<'a> {
        let setting = setting_of(check.slug, &LimitScope::Shop, &catalogue.checks);
        Row {
            topic: topic.slug,
            check: check.slug,
            of: check,
            title: title(check.slug),
            family: check.family.word(),
            severity: match setting.and_then(|s| s.severity) {
                Some(severity) if check.safety => severity.max(check.severity),
                Some(severity) => severity,
                None => check.severity,
            },
            on: check.safety || setting.map_or_else(|| check.on_by_default(regulated), |s| s.on),
            safety: check.safety,
            some_safety: check.some_safety,
            needs: check.needs.word(),
            waits: check.needs == Needs::Forecast,
            when_regulated: match check.regulated {
                WhenRegulated::Same => None,
                WhenRegulated::Stop => Some("stop"),
                WhenRegulated::On => Some("on"),
                WhenRegulated::Only => Some("only"),
            },
            reason: setting.map(|s| s.reason.as_str()),
            set_by: setting
                .map(|s| s.set_by.as_str())
                .filter(|by| !by.is_empty()),
            who: setting.map_or_else(String::new, super::review::who),
            limits: limits(check, catalogue),
            limits_not_set: limits_not_set(check, catalogue),
            recorded: elsewhere(check.slug, catalogue),
            settings: narrower(topic, check, catalogue),
        }
    }
}

/// What is set of the limits that a condition asks for, by whom and for whom.
fn limits<'a>(check: &Check, catalogue: &'a Catalogue) -> Vec<&'a Limit> {
    let asked = check.limits.iter();
    asked
        .flat_map(|id| catalogue.limits.iter().filter(move |l| l.id == *id))
        .collect()
}

/// Asked for, and set by nobody.
fn limits_not_set(check: &Check, catalogue: &Catalogue) -> Vec<&'static str> {
    let set = |id: &&&str| catalogue.limits.iter().any(|l| l.id == **id);
    let asked = check.limits.iter();
    asked.filter(|id| !set(id)).copied().collect()
}

/// Every limit that a condition asks for, with its value, owner and source, as `review --list` has
/// them.
pub fn limits_in_words(check: &Check, catalogue: &Catalogue) -> Vec<String> {
    let listed = limits(check, catalogue).into_iter().map(|limit| {
        say::limit(
            &limit.name,
            &limit.shown(),
            &say::owner(&limit.set_by, &limit.scope.words()),
            catalogue.cited(&limit.source),
            limit.revision,
            limit.standing == Standing::Assumed,
        )
    });
    let recorded = elsewhere(check.slug, catalogue).into_iter();
    let recorded = recorded.map(|limit| match limit {
        Elsewhere::Record(limit) => say::limit_of_record(
            (&limit.record, limit.field, &limit.value),
            catalogue.cited(&limit.source),
            limit.standing == Standing::Assumed,
        ),
        Elsewhere::Shop { field } => say::limit_of_shop(field),
    });
    let not_set = limits_not_set(check, catalogue).into_iter();
    let not_set = not_set.map(say::limit_not_set);
    listed.chain(recorded).chain(not_set).collect()
}

/// Settings of a condition, or of its check, that hold for some things alone.
fn narrower<'a>(topic: &Topic, check: &Check, catalogue: &'a Catalogue) -> Vec<&'a CheckSetting> {
    let own = |s: &&CheckSetting| {
        (s.check == check.slug || s.check == topic.slug) && s.scope != LimitScope::Shop
    };
    catalogue.checks.iter().filter(own).collect()
}

pub(super) fn run(shop: Option<&Path>, json: bool, out: &mut dyn Write) -> Outcome {
    let working = super::edit::empty(shop)?.working;
    let regulated = working.shop.as_ref().is_some_and(|shop| shop.regulated);
    let catalogue = working.catalogue;
    let checks = TOPICS
        .iter()
        .flat_map(|topic| topic.all().map(move |c| (topic, c)));
    let rows: Vec<Row> = checks
        .map(|(topic, c)| Row::new(topic, c, &catalogue, regulated))
        .collect();
    if json {
        let listed = Listed {
            schema: "setterwright.checks",
            version: 1,
            checks: rows,
        };
        print_json(out, &listed)?;
        return Ok(0);
    }
    let mut last = "";
    for row in &rows {
        if row.topic != last {
            last = row.topic;
            writeln!(out, "{}", say::listed_topic(&topics::title(last), last))?;
        }
        let severity = mark(row.severity);
        let state = say::listed_state(
            row.on,
            row.safety,
            row.waits,
            row.only_regulated(),
            row.reason,
            &row.who,
        );
        let state = match row.some_safety {
            true => say::some_of_it_stays(&state),
            false => state,
        };
        writeln!(out, "  {severity}  {} [{}] – {state}", row.title, row.check)?;
        for text in limits_in_words(row.of, &catalogue) {
            writeln!(out, "           {text}")?;
        }
        for setting in &row.settings {
            let text = say::set_for(
                &setting.scope.words(),
                &super::review::made_of(setting),
                &setting.reason,
                &super::review::who(setting),
            );
            writeln!(out, "           {text}")?;
        }
    }
    let counts = |r: &&Row| r.on && (!r.only_regulated() || regulated);
    let on: Vec<&Row> = rows.iter().filter(counts).collect();
    let of =
        |rows: &mut dyn Iterator<Item = &Row>| rows.map(|r| r.topic).collect::<BTreeSet<_>>().len();
    let checks = [of(&mut rows.iter()), of(&mut on.iter().copied())];
    writeln!(out, "{}", say::listed_total(checks, [rows.len(), on.len()]))?;
    Ok(0)
}
