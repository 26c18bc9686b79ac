//! Days and times of day as records and loads hold them: text, so that a file shows what was typed.

use jiff::civil::{Date, DateTime, Time};

/// A day written year-month-day.
pub fn day(text: &str) -> Option<Date> {
    let parts: Vec<&str> = text.split('-').collect();
    // jiff also reads a day with a time behind it, which would not be one word for one thing.
    let digits = |s: &&&str| s.len() <= 4 && s.bytes().all(|b| b.is_ascii_digit());
    if parts.len() != 3 || parts.iter().filter(digits).count() != 3 {
        return None;
    }
    text.parse().ok()
}

/// A time of day written hour:minute, from 00:00 to 23:59.
pub fn time(text: &str) -> Option<Time> {
    let (hour, minute) = text.split_once(':')?;
    let number = |s: &str| {
        let digits = (1..=2).contains(&s.len()) && s.bytes().all(|b| b.is_ascii_digit());
        digits.then(|| s.parse::<i8>().ok()).flatten()
    };
    Time::new(number(hour)?, number(minute)?, 0, 0).ok()
}

/// Hours of the day that a time is, with its minutes as a share.
pub fn hours(at: Time) -> f64 {
    f64::from(at.hour()) + f64::from(at.minute()) / 60.0
}

/// A day and a time of day with a space between them.
pub fn moment(text: &str) -> Option<DateTime> {
    let (on, at) = text.split_once(' ')?;
    Some(DateTime::from_parts(day(on)?, time(at.trim_start())?))
}

/// Hours from one moment to a later one; negative where it is earlier.
pub fn hours_between(from: DateTime, to: DateTime) -> f64 {
    let seconds = to.duration_since(from).as_secs_f64();
    seconds / 3600.0
}

/// Whole days from one day to a later one; negative where it is earlier.
pub fn days_between(from: Date, to: Date) -> f64 {
    let (from, to) = (from.at(0, 0, 0, 0), to.at(0, 0, 0, 0));
    libm::round(hours_between(from, to) / 24.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_times_and_moments() {
        assert!(day("2026-11-26").is_some());
        for bad in [
            "",
            "2026-11",
            "26.11.2026",
            "2026-13-01",
            "2026-11-26 06:00",
        ] {
            assert!(day(bad).is_none(), "{bad}");
        }
        assert_eq!(time("6:05"), Time::new(6, 5, 0, 0).ok());
        for bad in ["", "24:00", "6", "6:60", "06:00:00", "-1:00"] {
            assert!(time(bad).is_none(), "{bad}");
        }
        let from = moment("2026-11-26 22:30").unwrap();
        let to = moment("2026-11-28 04:00").unwrap();
        assert!((hours_between(from, to) - 29.5).abs() < 1e-12);
        assert!((days_between(from.date(), to.date()) - 2.0).abs() < 1e-12);
        assert!(moment("2026-11-26").is_none());
    }
}
