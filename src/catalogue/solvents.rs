//! Names of solvents as people write them.

use std::collections::BTreeSet;

/// Words of a solvent's name, without those that say how pure it is.
pub fn solvent_words(name: &str) -> BTreeSet<String> {
    let words = name.split(|c: char| !c.is_alphanumeric());
    let words = words.filter(|w| !w.is_empty()).map(str::to_lowercase);
    words
        .filter(|w| !["n", "technical", "pure", "grade", "reagent"].contains(&w.as_str()))
        .collect()
}

/// Whether both names say the same: "hexane" is "n-hexane", "cyclohexane" is not, nor is a mixture.
pub fn same_solvent(a: &str, b: &str) -> bool {
    solvent_words(a) == solvent_words(b)
}
