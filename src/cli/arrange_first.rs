//! Which lots go first, as options.

use super::Failure;
use crate::arrange::{First, MOST_PRIORITY, waiting_of};
use crate::catalogue::when;
use crate::load::{LotId, Plan};
use crate::text::arranging as words;
use crate::text::arranging_ways as ways;
use crate::text::nearest;
use clap::Args;
use std::collections::BTreeMap;

#[derive(Debug, Args)]
pub(super) struct Lots {
    /// A lot of which every piece that waits must go before any other; as often as there are some.
    #[arg(long, value_name = "LOT")]
    must: Vec<String>,
    /// The greater goes first among those due at one time; 0 to 99.
    #[arg(long, value_name = "LOT=N")]
    priority: Vec<String>,
    /// When the pieces of a lot are due: what is due earlier goes first.
    #[arg(long, value_name = "LOT=DAY")]
    due: Vec<String>,
}

impl Lots {
    /// By lot.
    pub(super) fn first(&self, plan: &Plan) -> Result<BTreeMap<LotId, First>, Failure> {
        let mut all: BTreeMap<LotId, First> = BTreeMap::new();
        for name in &self.must {
            for id in lots(plan, name)? {
                all.entry(id).or_default().must = true;
            }
        }
        for text in &self.priority {
            let (name, value) = split(text, ways::not_lot_and)?;
            let number: Option<u32> = value.parse().ok().filter(|n| *n <= MOST_PRIORITY);
            let no_such = || refused(ways::not_a_priority(name, value, MOST_PRIORITY));
            let number = number.ok_or_else(no_such)?;
            for id in lots(plan, name)? {
                all.entry(id).or_default().priority = number;
            }
        }
        for text in &self.due {
            let (name, value) = split(text, ways::not_lot_and)?;
            let ids = lots(plan, name)?;
            if when::day(value).is_none() && when::moment(value).is_none() {
                return Err(refused(ways::not_a_due(name, value)));
            }
            for id in ids {
                all.entry(id).or_default().due = Some(value.to_owned());
            }
        }
        Ok(all)
    }

    /// Of marked lots of which nothing waits, that marking them does nothing.
    pub(super) fn idle(&self, plan: &Plan) -> Result<Vec<String>, Failure> {
        let idle = |id: &LotId| plan.lot(*id).filter(|lot| waiting_of(plan, lot) == 0);
        let marked = self.first(plan)?;
        let idle = marked.keys().filter_map(idle);
        Ok(idle
            .map(|lot| ways::nothing_of_it_waits(&lot.name))
            .collect())
    }
}

pub(super) fn refused(reason: String) -> Failure {
    Failure::Input(words::not_arranged(&reason))
}

/// A name and its value; `not_both` says that there are not both.
pub(super) fn split(text: &str, not_both: fn(&str) -> String) -> Result<(&str, &str), Failure> {
    let both = text.rsplit_once('=');
    let both = both.map(|(name, value)| (name.trim(), value.trim()));
    let both = both.filter(|(name, value)| !name.is_empty() && !value.is_empty());
    both.ok_or_else(|| refused(not_both(text)))
}

/// What is called so: by that very name, else by the only one that differs from it in case alone.
pub(super) fn called<'a, T>(wanted: &str, all: impl Iterator<Item = (&'a str, T)>) -> Vec<T> {
    let lower = wanted.to_lowercase();
    let alike = all.filter(|(name, _)| name.to_lowercase() == lower);
    let (exactly, alike): (Vec<_>, Vec<_>) = alike.partition(|(name, _)| *name == wanted);
    let found = match (exactly.is_empty(), alike.as_slice()) {
        (false, _) => exactly,
        (true, [(first, _), rest @ ..]) if rest.iter().all(|(name, _)| name == first) => alike,
        _ => Vec::new(),
    };
    found.into_iter().map(|(_, one)| one).collect()
}

/// All lots of that name: one lot of a shop may be of several parts.
fn lots(plan: &Plan, name: &str) -> Result<Vec<LotId>, Failure> {
    let all = plan.lots.iter().map(|lot| (lot.name.as_str(), lot.id));
    let found = called(name, all);
    if found.is_empty() {
        let near = nearest(name, plan.lots.iter().map(|lot| lot.name.as_str()), 3);
        return Err(refused(ways::no_such_lot(name, &near)));
    }
    Ok(found)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn case_is_passed_over_where_only_one_name_is_meant() {
        let of = |wanted: &str, names: &[&'static str]| {
            called(wanted, names.iter().map(|name| (*name, *name)))
        };
        assert_eq!(of("B-1", &["b-1", "B-1"]), ["B-1"]);
        assert_eq!(of("bracket", &["Bracket", "gear"]), ["Bracket"]);
        assert_eq!(of("GEAR", &["gear", "ring", "gear"]), ["gear", "gear"]);
        assert!(of("BRACKET", &["Bracket", "bracket"]).is_empty());
        assert!(of("brackets", &["bracket"]).is_empty());
    }
}
