//! Words of records that say less than those that come with the program.

use super::{figure, say};

/// A gas that burns.
pub fn burns() -> &'static str {
    "it burns in air"
}

/// A share of hydrogen.
pub fn hydrogen(built: f64, now: f64) -> String {
    say(format!(
        "{} of it is hydrogen, and the record in use says {}",
        figure(built),
        figure(now)
    ))
}

/// A solvent that burns.
pub fn solvent_burns() -> &'static str {
    "the vapour of its solvent burns in air"
}

/// A feedstock whose binder leaves in a solvent that burns.
pub fn binder_of_solvent(built: &str, now: &str) -> String {
    say(format!(
        "its binder is {built}, the vapour of whose solvent burns in air, and the record in use names {now}"
    ))
}

/// A solvent that burns from less.
pub fn solvent_from(built: f64, now: f64) -> String {
    say(format!(
        "the vapour of its solvent burns from {} % in air, and the record in use says {} %",
        figure(built),
        figure(now)
    ))
}
