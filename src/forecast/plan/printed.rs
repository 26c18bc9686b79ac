//! How figures of a forecast are printed: no finer than they are meant.

use super::report::InCases;
use crate::forecast::whole::printed_min;
use crate::text::forecast as words;

/// Minutes, to five.
pub fn minutes(min: f64) -> String {
    format!("{:.0}", printed_min(min * 60.0))
}

/// Hours of so many minutes, to five of these; what is not followed has none.
pub fn hours(min: Option<f64>) -> String {
    min.map_or_else(words::not_followed, |min| format!("{} h", in_hours(min)))
}

/// Hours without their unit.
pub fn in_hours(min: f64) -> String {
    format!("{:.1}", printed_min(min * 60.0) / 60.0)
}

/// A share as per cent without its sign.
pub fn percent(share: f64) -> String {
    format!("{:.1}", 100.0 * share)
}

/// A figure, and how it is written.
#[derive(Clone, Copy)]
pub struct Written<'a> {
    /// Digits.
    pub digits: fn(f64) -> String,
    /// Unit, "" without.
    pub unit: &'a str,
}

impl Written<'_> {
    fn one(&self, text: &str) -> String {
        format!("{text} {}", self.unit).trim_end().to_owned()
    }

    fn both(&self, low: f64, high: f64, between: &str) -> String {
        let (low, high) = ((self.digits)(low), (self.digits)(high));
        if low == high {
            self.one(&low)
        } else {
            self.one(&format!("{low}{between}{high}"))
        }
    }
}

/// The nominal value or range, and in brackets the least and the greatest of all cases where there
/// are a cold and a hot one. `ends` gives the ends of a value, none where it has no figure, which
/// `none` says then.
pub fn in_brackets<T>(
    value: &InCases<T>,
    written: Written,
    none: &str,
    ends: impl Fn(&T) -> Option<(f64, f64)>,
) -> String {
    let nominal = ends(&value.nominal).map_or_else(
        || none.to_owned(),
        |(low, high)| written.both(low, high, "-"),
    );
    // Where no case has a figure that is said once.
    if !value.has_all() || value.each().all(|(_, v)| ends(v).is_none()) {
        return nominal;
    }
    let all: Vec<Option<(f64, f64)>> = value.each().map(|(_, v)| ends(v)).collect();
    let known = || all.iter().flatten();
    let least = known().map(|e| e.0).reduce(f64::min);
    let most = known().map(|e| e.1).reduce(f64::max);
    let span = match least.zip(most) {
        None => none.to_owned(),
        // One case has none: that is the far end.
        Some((least, _)) if all.contains(&None) => {
            format!("{} to {none}", written.one(&(written.digits)(least)))
        }
        Some((least, most)) => written.both(least, most, " to "),
    };
    format!("{nominal} [{span}]")
}

/// [`in_brackets`] of plain figures.
pub fn figure_in_brackets(value: &InCases<f64>, written: Written) -> String {
    in_brackets(value, written, "", |x| Some((*x, *x)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cases<T>(nominal: T, cold: T, hot: T) -> InCases<T> {
        InCases {
            nominal,
            cold: Some(cold),
            hot: Some(hot),
        }
    }

    #[test]
    fn brackets_hold_the_least_and_the_greatest_of_all_cases() {
        let kpa = Written {
            digits: |x| format!("{x:.1}"),
            unit: "kPa",
        };
        // The nominal case may be the worst of all.
        let said = figure_in_brackets(&cases(5.0, 4.0, 4.5), kpa);
        assert_eq!(said, "5.0 kPa [4.0 to 5.0 kPa]");
        let said = in_brackets(
            &cases((0.9, 0.95), (0.8, 0.9), (0.92, 0.97)),
            kpa,
            "",
            |d| Some(*d),
        );
        assert_eq!(said, "0.9 kPa [0.8 to 1.0 kPa]");
        let said = in_brackets(&cases(Some(8.0), None, Some(7.0)), kpa, "never", |t| {
            t.map(|t| (t, t))
        });
        assert_eq!(said, "8.0 kPa [7.0 kPa to never]");
        let said = in_brackets(&cases(None, None, None), kpa, "never", |t: &Option<f64>| {
            t.map(|t| (t, t))
        });
        assert_eq!(said, "never");
        let alone = InCases {
            nominal: 5.0,
            cold: None,
            hot: None,
        };
        assert_eq!(figure_in_brackets(&alone, kpa), "5.0 kPa");
        assert_eq!(
            (hours(Some(62.0)), minutes(62.0)),
            ("1.0 h".to_owned(), "60".to_owned())
        );
    }
}
