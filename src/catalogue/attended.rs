//! Hours at which somebody is at the furnaces: a part of the shop's state that may be left out.

use super::when;
use jiff::civil::{Date, DateTime, Time};
use serde::{Deserialize, Serialize};

/// A day of the week.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Weekday {
    /// Monday.
    Mon,
    /// Tuesday.
    Tue,
    /// Wednesday.
    Wed,
    /// Thursday.
    Thu,
    /// Friday.
    Fri,
    /// Saturday.
    Sat,
    /// Sunday.
    Sun,
}

impl Weekday {
    /// From Monday on, with the short word of each.
    pub const ALL: [(Weekday, &'static str); 7] = [
        (Weekday::Mon, "Mon"),
        (Weekday::Tue, "Tue"),
        (Weekday::Wed, "Wed"),
        (Weekday::Thu, "Thu"),
        (Weekday::Fri, "Fri"),
        (Weekday::Sat, "Sat"),
        (Weekday::Sun, "Sun"),
    ];

    fn of(date: Date) -> Weekday {
        use jiff::civil::Weekday as Day;
        match date.weekday() {
            Day::Monday => Weekday::Mon,
            Day::Tuesday => Weekday::Tue,
            Day::Wednesday => Weekday::Wed,
            Day::Thursday => Weekday::Thu,
            Day::Friday => Weekday::Fri,
            Day::Saturday => Weekday::Sat,
            Day::Sunday => Weekday::Sun,
        }
    }
}

/// Hours of a day at which somebody is there.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Attended {
    /// Days on which they begin; none named is every day.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub days: Vec<Weekday>,
    /// From, hour:minute.
    pub from: String,
    /// To, hour:minute; not later than `from`, it is on the next day.
    pub to: String,
}

impl Attended {
    /// From and to; none where one is no time of day.
    pub fn times(&self) -> Option<(Time, Time)> {
        Some((when::time(&self.from)?, when::time(&self.to)?))
    }

    /// The hours that begin on a day.
    fn on(&self, date: Date) -> Option<(DateTime, DateTime)> {
        if !self.days.is_empty() && !self.days.contains(&Weekday::of(date)) {
            return None;
        }
        let (from, to) = self.times()?;
        let ends = if to > from {
            date
        } else {
            date.tomorrow().ok()?
        };
        Some((date.to_datetime(from), ends.to_datetime(to)))
    }
}

/// Whether somebody is there all the time from one moment to another.
pub fn attended(hours: &[Attended], from: DateTime, to: DateTime) -> bool {
    let mut reached = from;
    let mut date = from.date().yesterday().unwrap_or(from.date());
    let mut spans = Vec::new();
    while date <= to.date() {
        spans.extend(hours.iter().filter_map(|h| h.on(date)));
        match date.tomorrow() {
            Ok(next) => date = next,
            Err(_) => break,
        }
    }
    spans.sort();
    for (begins, ends) in spans {
        if begins <= reached && reached <= ends {
            reached = ends.max(reached);
            if reached >= to {
                return true;
            }
        }
    }
    false
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hours(days: &[Weekday], from: &str, to: &str) -> Attended {
        Attended {
            days: days.to_vec(),
            from: from.to_owned(),
            to: to.to_owned(),
        }
    }

    fn there(hours: &[Attended], from: &str, to: &str) -> bool {
        attended(
            hours,
            when::moment(from).unwrap(),
            when::moment(to).unwrap(),
        )
    }

    #[test]
    fn hours_of_one_day_and_over_midnight() {
        let day = [hours(&[], "06:00", "22:00")];
        assert!(there(&day, "2026-11-24 06:00", "2026-11-24 22:00"));
        assert!(!there(&day, "2026-11-24 05:59", "2026-11-24 07:00"));
        assert!(!there(&day, "2026-11-24 21:00", "2026-11-24 22:01"));
        assert!(!there(&day, "2026-11-24 21:00", "2026-11-25 07:00"));
        let night = [hours(&[], "22:00", "06:00")];
        assert!(there(&night, "2026-11-24 23:00", "2026-11-25 05:00"));
        assert!(there(&night, "2026-11-25 02:00", "2026-11-25 02:00"));
        let all = [day[0].clone(), night[0].clone()];
        assert!(there(&all, "2026-11-24 01:00", "2026-11-29 01:00"));
        assert!(there(
            &[hours(&[], "00:00", "00:00")],
            "2026-11-24 01:00",
            "2026-11-29 01:00"
        ));
        assert!(!there(&[], "2026-11-24 01:00", "2026-11-24 01:00"));
    }

    #[test]
    fn days_are_those_on_which_the_hours_begin() {
        // The 27th of November 2026 is a Friday.
        let late = [hours(&[Weekday::Fri], "22:00", "06:00")];
        assert!(there(&late, "2026-11-28 05:00", "2026-11-28 05:00"));
        assert!(!there(&late, "2026-11-27 05:00", "2026-11-27 05:00"));
        let bad = [hours(&[], "25:00", "06:00")];
        assert!(!there(&bad, "2026-11-28 05:00", "2026-11-28 05:00"));
    }
}
