//! Which lots go first, as options.

use super::Failure;
use crate::arrange::{First, MOST_PRIORITY, waiting_of};
use crate::catalogue::when;
use crate::load::{LotId, Plan};
use crate::text::arranging as words;
use crate::text::arranging_ways as ways;
use crate::text::{called, nearest};
use clap::Args;
use std::collections::{BTreeMap, BTreeSet};

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
        let mut seen = BTreeSet::new();
        for name in &self.must {
            let name = name.trim();
            if name.is_empty() {
                return Err(refused(MUST.not_as_written(name)));
            }
            let ids = lots(plan, name)?;
            MUST.once(&mut seen, name, &ids).map_err(refused)?;
            for id in ids {
                all.entry(id).or_default().must = true;
            }
        }
        seen.clear();
        for text in &self.priority {
            let (name, value) = PRIORITY.split(text).map_err(refused)?;
            let number: Option<u32> = value.parse().ok().filter(|n| *n <= MOST_PRIORITY);
            let no_such = || refused(ways::not_a_priority(name, value, MOST_PRIORITY));
            let number = number.ok_or_else(no_such)?;
            let ids = lots(plan, name)?;
            PRIORITY.once(&mut seen, name, &ids).map_err(refused)?;
            for id in ids {
                all.entry(id).or_default().priority = number;
            }
        }
        seen.clear();
        for text in &self.due {
            let (name, value) = DUE.split(text).map_err(refused)?;
            let ids = lots(plan, name)?;
            DUE.once(&mut seen, name, &ids).map_err(refused)?;
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

/// An option with a name and its value, as it is written.
pub(super) struct Paired {
    pub option: &'static str,
    pub form: &'static str,
}

impl Paired {
    /// The name and the value.
    ///
    /// # Errors
    /// A sentence: there are not both.
    pub fn split<'a>(&self, text: &'a str) -> Result<(&'a str, &'a str), String> {
        let both = text.rsplit_once('=');
        let both = both.map(|(name, value)| (name.trim(), value.trim()));
        let both = both.filter(|(name, value)| !name.is_empty() && !value.is_empty());
        both.ok_or_else(|| self.not_as_written(text))
    }

    fn not_as_written(&self, text: &str) -> String {
        ways::not_as_written(self.option, text, self.form)
    }

    /// Notes what is called so.
    ///
    /// # Errors
    /// A sentence: it was named before, and which of the two is meant nobody knows.
    pub fn once<T: Ord + Copy>(
        &self,
        seen: &mut BTreeSet<T>,
        name: &str,
        ids: &[T],
    ) -> Result<(), String> {
        match ids.iter().all(|id| seen.insert(*id)) {
            true => Ok(()),
            false => Err(ways::named_twice(self.option, name)),
        }
    }
}

const MUST: Paired = Paired {
    option: "--must",
    form: "LOT",
};
const PRIORITY: Paired = Paired {
    option: "--priority",
    form: "LOT=N",
};
const DUE: Paired = Paired {
    option: "--due",
    form: "LOT=DAY",
};

/// All lots of that name: one lot of a shop may be of several parts.
fn lots(plan: &Plan, name: &str) -> Result<Vec<LotId>, Failure> {
    let all = plan.lots.iter().map(|lot| (lot.name.as_str(), lot.id));
    let found = called(name, all).unwrap_or_default();
    if found.is_empty() {
        let near = nearest(name, plan.lots.iter().map(|lot| lot.name.as_str()), 3);
        return Err(refused(ways::no_such_lot(name, &near)));
    }
    Ok(found)
}
