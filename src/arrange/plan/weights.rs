//! What a layout's figures count for, in points, and the sum by which layouts are compared. What
//! must go, what the placed pieces are worth and how many there are come before all of it.

use super::Figures;
use crate::text::arranging_weights as words;

/// A layout that places no more is offered where it has so many points less (assumed: with the
/// named sets that is a millimetre of stack).
pub(super) const LEAST_GAIN: f64 = 1.0;
/// Points that are one sum but for rounding.
pub(super) const SAME_POINTS: f64 = 1e-6;

/// Most that one weight may be, points: a million setters' worth still sums exactly.
const MOST_POINTS: f64 = 1_000_000.0;
/// Most that [`Weights::earlier`] may be (assumed).
const MOST_EARLIER: f64 = 100.0;

/// What each thing counts for. The numbers of the named sets, the usual ones among them, are
/// assumed; whoever arranges sets their own.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weights {
    /// Points for each setter with anything on it.
    pub setter: f64,
    /// Points for each mm of height of the highest stack with its parts.
    pub stack: f64,
    /// Points for each mm of root mean square distance of the pieces, each counted once, from the
    /// middle of their setters.
    pub middle: f64,
    /// Points for each mm by which the farthest of the stacks' centres of mass is off its axis.
    pub balance: f64,
    /// Points for each percent of the pieces that stand in no row with another of their part.
    pub rows: f64,
    /// How many pieces of the next later class of due time and priority a piece counts for in the
    /// choice of those that go: no points, but what comes before them. 1 makes all alike.
    pub earlier: f64,
}

/// The name of a weight.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Weight {
    /// [`Weights::setter`].
    Setter,
    /// [`Weights::stack`].
    Stack,
    /// [`Weights::middle`].
    Middle,
    /// [`Weights::balance`].
    Balance,
    /// [`Weights::rows`].
    Rows,
    /// [`Weights::earlier`].
    Earlier,
}

impl Weight {
    /// All of them.
    pub const ALL: [Weight; 6] = [
        Weight::Setter,
        Weight::Stack,
        Weight::Middle,
        Weight::Balance,
        Weight::Rows,
        Weight::Earlier,
    ];

    /// As it is typed and stands in files.
    pub fn word(self) -> &'static str {
        match self {
            Weight::Setter => "setter",
            Weight::Stack => "stack",
            Weight::Middle => "middle",
            Weight::Balance => "balance",
            Weight::Rows => "rows",
            Weight::Earlier => "earlier",
        }
    }

    /// The one of that word.
    pub fn of_word(word: &str) -> Option<Weight> {
        Weight::ALL.into_iter().find(|one| one.word() == word)
    }

    /// Least and most that it may be.
    pub fn range(self) -> [f64; 2] {
        match self {
            Weight::Earlier => [1.0, MOST_EARLIER],
            _ => [0.0, MOST_POINTS],
        }
    }

    /// What of a layout it is multiplied with: setters, mm, mm, mm, percent; none where that is not
    /// known, and for the one that is no sum.
    fn amount(self, of: &Figures) -> Option<f64> {
        match self {
            Weight::Setter => Some(of.setters as f64),
            Weight::Stack => of.height_mm,
            Weight::Middle => of.middle_mm,
            Weight::Balance => of.off_axis_mm,
            Weight::Rows => of.in_rows.map(|share| 100.0 * (1.0 - share)),
            Weight::Earlier => None,
        }
    }
}

/// A number that cannot be a weight.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("{}", words::not_a_weight(.of.word(), *.value, .of.range()))]
pub struct NotAWeight {
    /// Of which.
    pub of: Weight,
    /// What it was to be.
    pub value: f64,
}

/// Named sets of weights: what counts, the first thing first.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Order {
    /// Fewest setters, lowest stack, pieces near the middle.
    #[default]
    Middle,
    /// Fewest setters, lowest stack, masses in balance.
    Balance,
    /// Fewest setters, lowest stack, pieces in rows.
    Rows,
    /// Lowest stack, fewest setters, pieces near the middle.
    Lowest,
}

impl Order {
    /// All of them.
    pub const ALL: [Order; 4] = [Order::Middle, Order::Balance, Order::Rows, Order::Lowest];

    /// Its weights, all assumed: a setter counts for more than any furnace is high, a millimetre of
    /// stack for ten of distance from the middle; what a set is named after counts tenfold.
    pub fn weights(self) -> Weights {
        let middle = Weights {
            setter: 1000.0,
            stack: 1.0,
            middle: 0.1,
            balance: 0.1,
            rows: 0.02,
            earlier: 8.0,
        };
        match self {
            Order::Middle => middle,
            Order::Balance => Weights {
                balance: 1.0,
                ..middle
            },
            Order::Rows => Weights {
                rows: 0.2,
                ..middle
            },
            Order::Lowest => Weights {
                setter: 1.0,
                ..middle
            },
        }
    }

    /// The set that these are; none where somebody set their own.
    pub fn of(weights: &Weights) -> Option<Order> {
        Order::ALL.into_iter().find(|o| o.weights() == *weights)
    }
}

impl Default for Weights {
    fn default() -> Weights {
        Order::default().weights()
    }
}

/// One weight with what it is multiplied with in two layouts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Term {
    /// Which.
    pub weight: Weight,
    /// Points for each.
    pub each: f64,
    /// Setters, mm, mm, mm, percent; none where not known.
    pub amounts: [Option<f64>; 2],
}

impl Term {
    /// Points of the two layouts.
    pub fn points(&self) -> [Option<f64>; 2] {
        self.amounts.map(|amount| Some(self.each * amount?))
    }
}

/// Two layouts weighed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weighed {
    /// By weight.
    pub terms: [Term; 5],
    /// Points in all, the fewer the better, without what is not known of either.
    pub points: [f64; 2],
    /// Whether everything that counts is known of both.
    pub whole: bool,
}

impl Weights {
    /// The number of one.
    pub fn get(&self, weight: Weight) -> f64 {
        match weight {
            Weight::Setter => self.setter,
            Weight::Stack => self.stack,
            Weight::Middle => self.middle,
            Weight::Balance => self.balance,
            Weight::Rows => self.rows,
            Weight::Earlier => self.earlier,
        }
    }

    /// The same with another number for one.
    ///
    /// # Errors
    /// The number is none, or outside the weight's range.
    pub fn with(mut self, weight: Weight, value: f64) -> Result<Weights, NotAWeight> {
        let [least, most] = weight.range();
        if !(least..=most).contains(&value) {
            return Err(NotAWeight { of: weight, value });
        }
        *match weight {
            Weight::Setter => &mut self.setter,
            Weight::Stack => &mut self.stack,
            Weight::Middle => &mut self.middle,
            Weight::Balance => &mut self.balance,
            Weight::Rows => &mut self.rows,
            Weight::Earlier => &mut self.earlier,
        } = value;
        Ok(self)
    }

    /// Two layouts weighed against each other.
    pub fn weighed(&self, [before, after]: [&Figures; 2]) -> Weighed {
        let of = [
            Weight::Setter,
            Weight::Stack,
            Weight::Middle,
            Weight::Balance,
            Weight::Rows,
        ];
        let terms = of.map(|weight| Term {
            weight,
            each: self.get(weight),
            amounts: [weight.amount(before), weight.amount(after)],
        });
        let (mut points, mut whole) = ([0.0; 2], true);
        for term in &terms {
            match term.points() {
                [Some(before), Some(after)] => points = [points[0] + before, points[1] + after],
                _ => whole &= term.each == 0.0,
            }
        }
        Weighed {
            terms,
            points,
            whole,
        }
    }

    /// Points by which the second is better than the first.
    pub(super) fn gain(&self, layouts: [&Figures; 2]) -> f64 {
        let [before, after] = self.weighed(layouts).points;
        before - after
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_weight_is_a_number_in_its_range() {
        let usual = Weights::default();
        for weight in Weight::ALL {
            let [least, most] = weight.range();
            for good in [least, most] {
                let set = usual.with(weight, good).unwrap();
                assert_eq!(set.get(weight), good);
                // No other is changed with it.
                assert_eq!(set.with(weight, usual.get(weight)), Ok(usual));
            }
            let bad = [f64::NAN, f64::INFINITY, -0.5, most * 1.01];
            for bad in bad {
                let refused = usual.with(weight, bad).unwrap_err().to_string();
                assert!(refused.contains(weight.word()), "{refused}");
            }
            assert_eq!(Weight::of_word(weight.word()), Some(weight));
        }
        assert_eq!(Weight::of_word("height"), None);
    }

    #[test]
    fn every_named_set_is_known_again_and_within_the_ranges() {
        for order in Order::ALL {
            let weights = order.weights();
            assert_eq!(Order::of(&weights), Some(order));
            for weight in Weight::ALL {
                assert_eq!(weights.with(weight, weights.get(weight)), Ok(weights));
                let other = weights.with(weight, weights.get(weight) + 0.5).unwrap();
                assert_eq!(Order::of(&other), None);
            }
        }
    }

    #[test]
    fn the_sum_is_weight_times_figure_and_what_is_not_known_is_left_out_of_both() {
        let before = Figures {
            setters: 3,
            height_mm: Some(120.0),
            middle_mm: Some(60.0),
            off_axis_mm: Some(4.0),
            in_rows: Some(0.75),
            ..Figures::default()
        };
        let weights = Weights {
            setter: 100.0,
            stack: 2.0,
            middle: 0.5,
            balance: 3.0,
            rows: 0.25,
            earlier: 8.0,
        };
        let after = Figures {
            setters: 2,
            off_axis_mm: None,
            ..before
        };
        let both = weights.weighed([&before, &before]);
        assert_eq!(both.points, [300.0 + 240.0 + 30.0 + 12.0 + 6.25; 2]);
        assert!(both.whole);
        let one = weights.weighed([&before, &after]);
        assert_eq!(one.points, [576.25, 476.25]);
        assert!(!one.whole);
        assert_eq!(weights.gain([&before, &after]), 100.0);
    }
}
